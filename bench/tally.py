"""One press of the caliper's button at the server, and three hundred one after the other."""

from __future__ import annotations

import http.client
import json
import os
import re
import sys
import tempfile
import time
from pathlib import Path
from random import Random

from serving import middle_and_slow, served, wake

PRESSES = 300
AIM_MS = 25.0


def main() -> int:
    """Press three hundred times, each press sent by itself, and print how long a press took."""
    with tempfile.TemporaryDirectory(prefix="runningfit-bench-") as name:
        folder = Path(name)
        wake(folder)
        from django.db import connections

        from runningfit.workshop.pieces.tally import open_sheet
        from runningfit.workshop.pieces.tally_reads import state_of
        from runningfit.workshop.records.services import open_job
        from runningfit.workshop.records.writing import Hand

        hand = Hand(who="Bench")
        job = open_job(name="Job", engine_name="an engine", hand=hand)
        sheet = open_sheet(job=job, kind="hex_bolt", thread="5/16-24 UNF", hand=hand)
        path = f"/jobs/{job.pk}/tally/{sheet.pk}"
        connections.close_all()
        with served(folder) as server:
            times = pressed(server.port, path)
        counted = state_of(sheet).total
        connections.close_all()
    if counted != PRESSES:
        raise RuntimeError(f"{PRESSES} presses were sent and {counted} counted")
    database = "PostgreSQL" if os.environ.get("RUNNINGFIT_DATABASE_URL") else "SQLite"
    middle, slow = middle_and_slow(times)
    over = " **over**" if middle > AIM_MS else ""
    print(f"## The tally sheet on {database}\n")
    print(
        f"{PRESSES} presses, each sent by itself and answered with the sheet as it stands: p50 "
        f"{middle:.1f} ms{over}, p95 {slow:.1f} ms, {sum(times) / 1000:.1f} s in all; {counted} counted. "
        f"Aim: {AIM_MS:.0f} ms a press.\n"
    )
    return 0


def pressed(port: int, path: str) -> list[float]:
    """Send the presses as the page does; returns the time of each in milliseconds."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
    connection.request("GET", path)
    answer = connection.getresponse()
    page = answer.read().decode()
    found = re.search(r'name="csrfmiddlewaretoken" value="([^"]+)"', page)
    cookies = "; ".join(
        value.partition(";")[0] for header, value in answer.getheaders() if header.lower() == "set-cookie"
    )
    headers = {
        "Content-Type": "application/json",
        "Cookie": cookies,
        "X-CSRFToken": found[1] if found else "",
        "Referer": f"http://127.0.0.1:{port}{path}",
    }
    chance = Random(300)
    times = []
    for number in range(PRESSES):
        length = chance.choice((34.92, 31.75, 25.4, 38.1)) + chance.gauss(0, 0.05)
        body = json.dumps({"items": [{"token": f"bench-press-{number:04}", "typed": f"{length:.2f}"}]})
        began = time.perf_counter()
        connection.request("POST", f"{path}/presses", body=body, headers=headers)
        answer = connection.getresponse()
        answer.read()
        times.append((time.perf_counter() - began) * 1000)
        if answer.status != 200:
            raise RuntimeError(f"press {number} was answered with {answer.status}")
    return times


if __name__ == "__main__":
    sys.exit(main())
