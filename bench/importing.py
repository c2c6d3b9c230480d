"""Importing a bench list of 5,000 rows: reading it in, and accepting it into the books."""

from __future__ import annotations

import os
import sys
import tempfile
import time
from pathlib import Path
from random import Random

from serving import wake

ROWS = 5000
AIM_S = 5.0


def bench_list(chance: Random) -> bytes:
    """Return a list as people write them: many spellings, defects, blanks."""
    kinds = ("hex bolt", "hex setscrew", "stud", "nut", "plain washer", "spring washer", "slotted screw")
    sizes = (
        "5/16-24 UNF",
        "1/4-28 UNF",
        "3/8-16 UNC",
        "1/4-20",
        "M8",
        "2BA",
        "5/16 UNF",
        "7/16-20",
        "1/2 BSW",
    )
    lengths = ("1 3/8", "5/8", "1 1/2in", "2 7/8", "34.9mm", "1.875", "1 1/4", "7/8")
    rows = ["Bag,Area,Count,Kind,Size,Length,Finish,State,Remarks"]
    for row in range(ROWS):
        kind = chance.choice(kinds)
        length = "" if "washer" in kind or kind == "nut" else chance.choice(lengths)
        finish = chance.choice(("clear", "yellow", "black", "plated"))
        state = chance.choice(("ok", "rusty", "", "ok", "2 with pulled threads"))
        cells = (
            *(f"T{row // 40}", f"area {row // 150}", str(chance.randint(3, 40)), kind, chance.choice(sizes)),
            *(length, finish, state, chance.choice(("", "", "deep pattern", f"note {row}"))),
        )
        rows.append(",".join(cells))
    return "\n".join(rows).encode()


def main() -> int:
    """Import three lists into three jobs and print the middle one."""
    with tempfile.TemporaryDirectory(prefix="runningfit-bench-") as folder:
        wake(Path(folder))
        from django.db import connections

        from runningfit.workshop.pieces.bench_intake import take_in
        from runningfit.workshop.pieces.bench_lists import accept
        from runningfit.workshop.records.services import open_job
        from runningfit.workshop.records.writing import Hand

        hand = Hand(who="Bench")
        times = []
        for turn in range(3):
            data = bench_list(Random(turn))
            job = open_job(name=f"Job {turn}", engine_name="an engine", hand=hand)
            began = time.perf_counter()
            taken = take_in(job=job, name="list.csv", data=data, hand=hand)
            read = time.perf_counter()
            kept = accept(bench_list=taken.bench_list, hand=hand)
            times.append((time.perf_counter() - began, read - began, kept.lots))
        whole, reading, lots = sorted(times)[1]
        database = "PostgreSQL" if os.environ.get("RUNNINGFIT_DATABASE_URL") else "SQLite"
        connections.close_all()
    over = " **over**" if whole > AIM_S else ""
    print(f"## Importing on {database}\n")
    print(
        f"A bench list of {ROWS:,} rows ({lots:,} lots): {whole:.1f} s in all{over}, of which {reading:.1f} "
        f"s to read it in and {whole - reading:.1f} s to accept it; the middle of three. "
        f"Aim: under {AIM_S:.0f} s.\n"
    )
    return 0


if __name__ == "__main__":
    sys.exit(main())
