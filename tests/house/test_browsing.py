"""The eye on the pages sees what it should: it is what every browser test relies on."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Browser, Page

from browsing import DESK, PHONE, Watch, look_at_each, no_serious_faults, nothing_beside, watched_page

FAULTLESS = (
    "<html lang=en><meta name=viewport content='width=device-width'><title>A page</title>"
    "<main><h1>A page</h1><button>Keep</button></main></html>"
)


def test_a_quiet_page_passes_at_both_sizes(browser: Browser) -> None:
    for size in (PHONE, DESK):
        with watched_page(browser, Watch(), None, size) as page:
            page.set_content(FAULTLESS)
            no_serious_faults(page)
            assert page.evaluate("innerWidth") == size["viewport"]["width"]


def test_a_console_error_fails_the_page(browser: Browser) -> None:
    with (
        pytest.raises(AssertionError, match="console error: no such bag"),
        watched_page(browser, Watch(), None, DESK) as page,
    ):
        page.evaluate("console.error('no such bag')")


def test_an_uncaught_error_fails_the_page(browser: Browser) -> None:
    with (
        pytest.raises(AssertionError, match="console error: bag is not defined"),
        watched_page(browser, Watch(), None, DESK) as page,
    ):
        page.set_content("<script>bag</script>")


def test_a_request_to_another_machine_fails_the_page(browser: Browser) -> None:
    with (
        pytest.raises(AssertionError, match=re.escape("not this machine: http://elsewhere.invalid/a.png")),
        watched_page(browser, Watch(), None, DESK) as page,
        page.expect_event("requestfailed"),
    ):
        page.set_content("<img alt='' src='http://elsewhere.invalid/a.png'>")


def test_an_announced_error_passes_and_must_come(browser: Browser) -> None:
    watch = Watch()
    watch.expect_error("status of 409")
    with watched_page(browser, watch, None, DESK) as page:
        page.evaluate("console.error('the server responded with a status of 409')")
    assert watch.troubles() == []
    watch.errors.clear()
    assert watch.troubles() == ["expected console error never came: status of 409"]


def test_a_button_without_a_name_is_a_serious_fault(browser: Browser) -> None:
    with watched_page(browser, Watch(), None, PHONE) as page:
        page.set_content(FAULTLESS.replace("Keep", ""))
        with pytest.raises(AssertionError, match="critical: button-name"):
            no_serious_faults(page)


def test_what_is_less_than_serious_and_what_was_not_asked_about_passes(browser: Browser) -> None:
    pale_and_outside_main = FAULTLESS.replace("<main>", "<p style='color:#ccc'>pale</p><main>")
    with watched_page(browser, Watch(), None, PHONE) as page:
        page.set_content(pale_and_outside_main)
        no_serious_faults(page, colours=False)
        with pytest.raises(AssertionError, match="serious: color-contrast"):
            no_serious_faults(page)


def test_each_page_is_looked_at_as_on_the_phone_and_then_as_on_a_desk(browser: Browser) -> None:
    seen = []
    wide = f"data:text/html,{FAULTLESS.replace('<button', '<button style=width:500px')}"
    with watched_page(browser, Watch(), None, PHONE) as page:
        with pytest.raises(AssertionError, match=r"scrolls sideways\nbutton\.: <button style") as found:
            look_at_each(
                page, ["data:text/html,a", wide], lambda one: seen.append(one.viewport_size), nothing_beside
            )
        assert str(found.value).count("scrolls sideways") == 1
        assert seen == [PHONE["viewport"]] * 2
        assert page.viewport_size == PHONE["viewport"]


def test_a_test_that_opens_a_page_is_marked_by_itself(request: pytest.FixtureRequest, desk: Page) -> None:
    assert request.node.get_closest_marker("browser") is not None
    assert desk.viewport_size == DESK["viewport"]
