"""What every test can ask for: pages at phone and desk size, watched, on the served site."""

from __future__ import annotations

import os
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import hypothesis
import pytest
from playwright.sync_api import expect

from browsing import CHROMIUM, DESK, FLAGS, PATIENCE_MS, PHONE, Watch, watched_page

if TYPE_CHECKING:
    from pathlib import Path

    from django.db.backends.base.operations import BaseDatabaseOperations
    from playwright.sync_api import Browser, Page
    from pytest_django.fixtures import Settings
    from pytest_django.live_server_helper import LiveServer

    from runningfit.workshop.pieces.models import Area, Place
    from runningfit.workshop.records.models import Job

# Playwright keeps an event loop running in the test's own thread, which Django takes for async code.
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"


# Speed is measured in bench/, never in a test: a busy machine must not turn a right answer red.
# A clean checkout is judged by the same examples every time; at the bench each run looks for new ones.
hypothesis.settings.register_profile("shop", deadline=None, derandomize=bool(os.environ.get("CI")))
# For ./check --fast: fewer examples of each property, so that its answer comes while one still thinks of it.
hypothesis.settings.register_profile(
    "fast", max_examples=20, deadline=None, derandomize=bool(os.environ.get("CI"))
)
hypothesis.settings.load_profile("shop")
expect.set_options(timeout=PATIENCE_MS)


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark every test that opens a page as a browser test, so that none can forget to say so."""
    for item in items:
        if "browser" in getattr(item, "fixturenames", ()):
            item.add_marker(pytest.mark.browser)


@pytest.fixture(autouse=True, scope="session")
def emptied_between_tests() -> Iterator[None]:
    """Let the tests, and only them, empty the ledger and the readings; their law stands again at once."""
    from django.db import connection

    from runningfit.workshop.measurements import readings_sql
    from runningfit.workshop.pieces import ledger_sql

    operations = type(connection.ops)
    flush = operations.execute_sql_flush

    def lawless(self: BaseDatabaseOperations, statements: list[str]) -> None:
        for law in (ledger_sql, readings_sql):
            law.remove(self.connection)
        flush(self, statements)
        for law in (ledger_sql, readings_sql):
            law.install(self.connection)

    operations.execute_sql_flush = lawless  # type: ignore[method-assign, assignment]
    yield
    operations.execute_sql_flush = flush  # type: ignore[method-assign]


@pytest.fixture(scope="session")
def browser_type_launch_args() -> dict[str, Any]:
    """Debian's Chromium, quiet towards the network."""
    return {"executable_path": CHROMIUM, "args": FLAGS}


@pytest.fixture
def watch(data_folder: Path) -> Watch:
    """The eye on the test's pages; ask for it to announce an error that the test provokes.

    It asks for the data folder so that this outlives the page, which may still be fetching a photo.
    """
    return Watch()


@pytest.fixture
def phone(browser: Browser, live_server: LiveServer, watch: Watch) -> Iterator[Page]:
    """A page as on a phone: narrow, touched, relative addresses lead to the served site."""
    with watched_page(browser, watch, live_server.url, PHONE) as page:
        yield page


@pytest.fixture
def desk(browser: Browser, live_server: LiveServer, watch: Watch) -> Iterator[Page]:
    """A page as on the office screen; relative addresses lead to the served site."""
    with watched_page(browser, watch, live_server.url, DESK) as page:
        yield page


@pytest.fixture(params=[PHONE, DESK], ids=["phone", "desk"])
def any_size(
    request: pytest.FixtureRequest, browser: Browser, live_server: LiveServer, watch: Watch
) -> Iterator[Page]:
    """The same page twice over: the test runs once at phone and once at desk size."""
    with watched_page(browser, watch, live_server.url, request.param) as page:
        yield page


@pytest.fixture
def job() -> Job:
    """A job of one engine, with nothing in it yet; the test itself says how it uses the database."""
    from runningfit.workshop.records.services import open_job
    from runningfit.workshop.records.writing import Hand

    return open_job(name="Launch engine", engine_name="Pellworth Tern", hand=Hand(who="Ann"))


@pytest.fixture
def area(job: Job) -> Area:
    """An area of the job with nothing in it yet."""
    from runningfit.workshop.pieces.places import add_area
    from runningfit.workshop.records.writing import Hand

    return add_area(job=job, name="Gear case", hand=Hand(who="Ann"))


@pytest.fixture
def place(area: Area) -> Place:
    """Nine counted holes of the area, for bolts; nothing fills them yet."""
    from runningfit.workshop.pieces.places import PlaceFacts, add_place
    from runningfit.workshop.records.writing import Hand

    facts = PlaceFacts(
        name="cover bolts",
        count=9,
        basis="holes_counted",
        kind="hex_bolt",
        end_a=("5/16-24 UNF",),
        length_mm=34.925,
    )
    return add_place(area=area, facts=facts, hand=Hand(who="Ann"))


@pytest.fixture
def data_folder(settings: Settings, tmp_path: Path) -> Path:
    """An empty data folder of the test's own, for photos and the passcode; the database is not in it."""
    settings.DATA = tmp_path
    settings.PHOTO_FOLDER = tmp_path / "photos"
    settings.PASSCODE_FILE = tmp_path / "passcode"
    return tmp_path
