"""Takes the README's pictures from a fresh demo, at desk and phone size."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from urllib.error import URLError
from urllib.request import urlopen

from PIL import Image
from playwright.sync_api import Page, sync_playwright

ROOT = Path(__file__).resolve().parent.parent
FOLDER = ROOT / "docs" / "pictures"
CHROMIUM = os.environ.get("RUNNINGFIT_CHROMIUM", "/usr/bin/chromium")
QUIET = ["--disable-quic", "--disable-background-networking", "--no-first-run", "--no-sandbox"]
PATIENCE_S = 60
COLOURS = 160


@dataclass(frozen=True, slots=True)
class Shot:
    """One picture: its file, the page, its size, a link to follow from there, and what stands at its top."""

    file: str
    path: str
    width: int
    height: int
    scale: float = 1.0
    tap: str = ""
    top: str = ""


SHOTS = (
    Shot("strip.png", "/jobs/{job}/strip", 1280, 800),
    Shot("bucket.png", "/outside/2", 1280, 800),
    Shot("bores.png", "/jobs/{job}/measure", 390, 868, scale=2.0, tap="cylinder bores: not", top="No. 3"),
)


def free_port() -> int:
    """Return a port that nobody uses."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@contextmanager
def served() -> Iterator[str]:
    """Serve a fresh demo; yields its address."""
    with tempfile.TemporaryDirectory(prefix="runningfit-pictures-") as folder:
        port = free_port()
        environment = os.environ | {"RUNNINGFIT_DEMO_DATA": folder}
        server = subprocess.Popen(
            [sys.executable, "-m", "runningfit", "demo", "--alone", "--port", str(port)],
            env=environment,
            stdout=subprocess.DEVNULL,
        )
        address = f"http://127.0.0.1:{port}"
        try:
            wait_for(address)
            yield address
        finally:
            server.terminate()
            server.wait(20)


def wait_for(address: str) -> None:
    """Wait until the server answers."""
    until = time.monotonic() + PATIENCE_S
    while True:
        try:
            urlopen(address, timeout=5).close()
            return
        except (URLError, ConnectionError):
            if time.monotonic() > until:
                raise
            time.sleep(0.2)


def job_of(page: Page, address: str) -> str:
    """Return the number of the demo job, as the first page links it."""
    page.goto(address)
    link = page.get_by_role("link", name="Pellworth Tern").first.get_attribute("href") or ""
    return link.split("/jobs/")[1].split("/")[0]


def take(page: Page, shot: Shot, address: str, job: str) -> None:
    """Take one picture and keep it small."""
    page.goto(address + shot.path.format(job=job))
    if shot.tap:
        page.get_by_role("link", name=shot.tap).first.click()
    page.wait_for_load_state("networkidle")
    if shot.top:
        page.get_by_text(shot.top, exact=True).first.evaluate(
            "one => { one.scrollIntoView(); scrollBy(0, -17) }"
        )
    with Image.open(BytesIO(page.screenshot())) as whole:
        small = whole.convert("RGB").quantize(COLOURS, dither=Image.Dither.NONE)
        small.save(FOLDER / shot.file, optimize=True)
    print(f"{shot.file}: {(FOLDER / shot.file).stat().st_size // 1024} KB")


def main() -> int:
    """Take every picture."""
    FOLDER.mkdir(parents=True, exist_ok=True)
    with served() as address, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=QUIET)
        for shot in SHOTS:
            context = browser.new_context(
                viewport={"width": shot.width, "height": shot.height},
                device_scale_factor=shot.scale,
                locale="en-GB",
                reduced_motion="reduce",
            )
            page = context.new_page()
            take(page, shot, address, job_of(page, address))
            context.close()
        browser.close()
    return 0


if __name__ == "__main__":
    sys.exit(main())
