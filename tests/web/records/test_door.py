"""The door, who is here, and what a form must carry to be trusted."""

from __future__ import annotations

from pathlib import Path

import pytest
from django.contrib.auth.hashers import make_password
from django.test import Client
from pytest_django.fixtures import Settings

from runningfit.web.middleware import SlowDoor
from runningfit.web.records import views
from runningfit.workshop.models import Record
from runningfit.workshop.records.queries import the_shop

pytestmark = pytest.mark.django_db


@pytest.fixture
def let_in_by_passcode(settings: Settings, data_folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A shop that other devices come into by the passcode only."""
    settings.LAN = True
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    settings.PASSCODE_FILE.write_text(make_password("spanner rack"), encoding="utf-8")
    monkeypatch.setattr(views, "slow_door", SlowDoor())


@pytest.mark.usefixtures("let_in_by_passcode")
def test_a_device_comes_in_by_the_passcode_and_goes_where_it_wanted(client: Client) -> None:
    assert client.get("/history").headers["Location"] == "/door?next=/history"
    assert client.post("/shop", {"name": "x"}).headers["Location"] == "/door?next=/shop"
    assert "Passcode of the shop" in client.get("/door?next=/history").content.decode()
    wrong = client.post("/door", {"passcode": "spanner", "next": "/history"})
    assert wrong.status_code == 403
    assert "That is not the passcode of this shop." in wrong.content.decode()
    right = client.post("/door", {"passcode": "spanner rack", "next": "/history"})
    assert right.headers["Location"] == "/history"
    assert client.get("/history").status_code == 200


@pytest.mark.usefixtures("let_in_by_passcode")
def test_the_session_of_who_came_in_is_a_new_one(client: Client) -> None:
    client.get("/door")
    session = client.session
    session["who"] = "Ann"
    session.save()
    before = client.session.session_key
    client.post("/door", {"passcode": "spanner rack", "next": "/"})
    assert client.session.session_key != before


@pytest.mark.usefixtures("let_in_by_passcode")
@pytest.mark.parametrize(
    "elsewhere", ["https://elsewhere.example/", "//elsewhere.example/", "/\\elsewhere.example"]
)
def test_the_door_leads_nowhere_else(client: Client, elsewhere: str) -> None:
    answer = client.post("/door", {"passcode": "spanner rack", "next": elsewhere})
    assert answer.headers["Location"] == "/"


@pytest.mark.usefixtures("let_in_by_passcode")
def test_after_five_wrong_tries_the_door_is_slow_even_for_the_right_passcode(client: Client) -> None:
    for _try in range(5):
        client.post("/door", {"passcode": "guess"})
    answer = client.post("/door", {"passcode": "spanner rack"})
    assert answer.status_code == 403
    assert "Too many wrong tries from this device. Wait a minute." in answer.content.decode()
    other_device = client.post("/door", {"passcode": "spanner rack"}, REMOTE_ADDR="192.0.2.7")
    assert other_device.status_code == 302


def test_a_slow_door_opens_again_after_the_wait() -> None:
    door = SlowDoor(tries=2, wait_s=0.0)
    door.wrong("phone")
    door.wrong("phone")
    assert not door.waiting("phone")


@pytest.mark.usefixtures("let_in_by_passcode")
def test_without_the_passcode_only_the_door_and_its_drawings_answer(client: Client) -> None:
    drawing = client.get("/static/runningfit/bench-book.css")
    assert drawing.status_code == 200
    b"".join(drawing.streaming_content)  # type: ignore[attr-defined]
    assert client.get("/staticky").headers["Location"].startswith("/door")
    assert client.get("/door/").headers["Location"].startswith("/door?next=")


def test_who_is_here_is_asked_once_and_written_down(client: Client) -> None:
    assert "Your name at the bench" in client.get("/who?next=/shop").content.decode()
    assert client.post("/who", {"who": "Ann", "next": "/shop"}).headers["Location"] == "/shop"
    client.post("/shop", {"name": "Harbour works", "currency": "£", "unit": "in", "label_address": ""})
    assert the_shop().name == "Harbour works"
    assert Record.objects.latest("pk").who == "Ann"


def test_a_name_that_is_too_long_is_refused_in_the_form(client: Client) -> None:
    answer = client.post("/who", {"who": "A" * 61})
    assert answer.status_code == 200
    assert "at most 60 characters" in answer.content.decode()
    assert "A" * 61 in answer.content.decode()


def test_a_form_without_its_mark_is_not_trusted_and_says_what_to_do() -> None:
    strict = Client(enforce_csrf_checks=True)
    answer = strict.post("/shop", {"name": "x", "currency": "£", "unit": "in"})
    assert answer.status_code == 403
    assert "the form could not be trusted" in answer.content.decode()
    assert the_shop().name == ""


@pytest.mark.parametrize("token", ["t" * 65, "a\x00b"])
def test_a_form_with_a_mark_that_no_page_drew_is_refused(client: Client, token: str) -> None:
    answer = client.post("/shop", {"name": "x", "currency": "£", "unit": "in", "once": token})
    assert "token needs at most 64 plain characters" in answer.content.decode()
    assert the_shop().name == ""


@pytest.mark.parametrize("seen", ["9" * 30, "-1", "x", "²", ""])
def test_a_form_that_says_nonsense_of_what_it_saw_is_taken_as_one_that_says_nothing(
    client: Client, seen: str
) -> None:
    answer = client.post("/shop", {"name": "Harbour works", "currency": "£", "unit": "in", "seen": seen})
    assert answer.status_code == 302
    assert the_shop().name == "Harbour works"
