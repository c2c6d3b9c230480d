"""A page in Debian's Chromium with an eye on its console, its requests and its accessibility."""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import urlsplit

from axe_playwright_python.base import AXE_SCRIPT
from playwright.sync_api import Browser, ConsoleMessage, Locator, Page

CHROMIUM = os.environ.get("RUNNINGFIT_CHROMIUM", "/usr/bin/chromium")
FLAGS = [
    "--disable-quic",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
    "--no-sandbox",
]
PHONE: dict[str, Any] = {
    "viewport": {"width": 390, "height": 844},
    "device_scale_factor": 2,
    "is_mobile": True,
    "has_touch": True,
}
DESK: dict[str, Any] = {"viewport": {"width": 1280, "height": 800}}
LOOPBACK = {"127.0.0.1", "localhost", "[::1]", "::1"}
# A page that is right ends the waiting at once; a busy machine must not turn it red.
PATIENCE_MS = 30_000
Look = Callable[[Page], None]
# Half of axe's time goes into rules that find nothing serious: the impact of a rule is that of all it finds.
SERIOUS_FAULTS = """async (unasked) => {
  const left_out = axe._audit.rules.filter(
    (rule) => unasked.includes(rule.id) || !["serious", "critical"].includes(rule.impact));
  const rules = Object.fromEntries(left_out.map((rule) => [rule.id, {enabled: false}]));
  return (await axe.run({resultTypes: ["violations"], rules})).violations;
}"""


@dataclass
class Watch:
    """What went wrong on a page without showing: errors in its console, requests that left this machine.

    A test that provokes an error on purpose names it first, by ``expect_error("status of 409")``; an expected
    error that never came is itself a trouble.
    """

    errors: list[str] = field(default_factory=list)
    strangers: list[str] = field(default_factory=list)
    expected: list[str] = field(default_factory=list)

    def follow(self, page: Page) -> None:
        """Listen to the page from now on."""
        page.on("console", self._hear)
        page.on("pageerror", lambda error: self.errors.append(str(error)))
        page.on("request", lambda request: self._see(request.url))

    def expect_error(self, pattern: str) -> None:
        """Let console errors pass that match this regular expression; at least one must come."""
        self.expected.append(pattern)

    def troubles(self) -> list[str]:
        """One sentence for each thing that went wrong."""
        found = [
            f"console error: {error}"
            for error in self.errors
            if not any(re.search(pattern, error) for pattern in self.expected)
        ]
        found += [f"request to a host that is not this machine: {url}" for url in self.strangers]
        found += [
            f"expected console error never came: {pattern}"
            for pattern in self.expected
            if not any(re.search(pattern, error) for error in self.errors)
        ]
        return found

    def _hear(self, message: ConsoleMessage) -> None:
        if message.type == "error":
            self.errors.append(f"{message.text} ({message.location['url']})")

    def _see(self, url: str) -> None:
        parts = urlsplit(url)
        if parts.scheme not in {"data", "blob", "about"} and parts.hostname not in LOOPBACK:
            self.strangers.append(url)


@contextmanager
def watched_page(
    browser: Browser, watch: Watch, base_url: str | None, size: dict[str, Any]
) -> Iterator[Page]:
    """Open a page of this size; when it closes, any trouble that the watch has seen fails the test."""
    context = browser.new_context(
        base_url=base_url, locale="en-GB", timezone_id="Europe/London", reduced_motion="reduce", **size
    )
    context.set_default_timeout(PATIENCE_MS)
    context.on("page", watch.follow)
    page = context.new_page()
    try:
        yield page
    finally:
        context.close()
    troubles = watch.troubles()
    assert not troubles, "\n".join(troubles)


def follow(link: Locator) -> None:
    """Press a link or button that opens another page, and wait until that page is there.

    A press alone may return while the old document is still shown, or is being torn down: whatever
    looks at the page at once then sees the wrong one, or none.
    """
    with link.page.expect_navigation():
        link.click()


def no_serious_faults(page: Page, *, colours: bool = True) -> None:
    """Assert that axe finds no serious or critical fault on the page as it is now; the message lists each."""
    if not page.evaluate("() => 'axe' in window"):
        page.evaluate(AXE_SCRIPT)
    faults = page.evaluate(SERIOUS_FAULTS, [] if colours else ["color-contrast"])
    lines = [
        f"{fault['impact']}: {fault['id']}: {fault['help']}\n"
        + "\n".join(f"    {node['target']}  {node['html'][:160]}" for node in fault["nodes"])
        for fault in faults
    ]
    assert not lines, f"axe on {page.url}\n" + "\n".join(lines)


def nothing_beside(page: Page) -> None:
    """Assert that the page as it is now does not scroll sideways; the message names what sticks out."""
    beside = page.evaluate(
        """() => {
          const width = document.documentElement.clientWidth;
          if (document.documentElement.scrollWidth <= width) return [];
          return [...document.querySelectorAll("body *")]
            .filter((one) => one.getBoundingClientRect().right > width + 1)
            .map((one) => `${one.tagName.toLowerCase()}.${one.className}: ${one.outerHTML.slice(0, 160)}`)
            .slice(0, 6);
        }"""
    )
    assert not beside, f"{page.url} scrolls sideways\n" + "\n".join(beside)


def no_fault_but_of_colour(page: Page) -> None:
    """The colours are the same at every width, and weighing them takes most of the time."""
    no_serious_faults(page, colours=False)


def look_at_each(
    page: Page, shown: list[str], *looks: Look, wide: tuple[Look, ...] = (nothing_beside,)
) -> None:
    """Open each page once as on the phone, look at it, widen it to a desk's, and look again."""
    troubles = []
    phone_size = page.viewport_size
    assert phone_size is not None
    for where in shown:
        page.goto(where)
        for size, these in ((phone_size, looks), (DESK["viewport"], wide)):
            page.set_viewport_size(size)
            for look in these:
                try:
                    look(page)
                except AssertionError as error:
                    troubles.append(str(error))
        page.set_viewport_size(phone_size)
    assert not troubles, "\n".join(troubles)
