"""How long naming ten thousand measured threads takes, from a file to the answers, and naming one."""

from __future__ import annotations

import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from random import Random

ROWS = 10_000
AIM_S, AIM_COMMAND_S = 5.0, 0.4
TIMES = 9


def sheet(chance: Random) -> str:
    """Return a sheet of worn threads of all series, half of them with a leaf, half with a measured pitch."""
    from runningfit.core.standards import all_threads

    lines = ["major_mm,tpi,pitch_mm,u_major_mm,u_pitch_mm"]
    threads = all_threads()
    for _ in range(ROWS):
        thread = chance.choice(threads)
        major = thread.major_mm - chance.uniform(0, 0.15) * thread.pitch_mm + chance.gauss(0, 0.02)
        leaf = thread.tpi is not None and chance.random() < 0.5
        tpi = f"{thread.tpi:g}" if leaf else ""
        pitch = "" if leaf else f"{thread.pitch_mm + chance.gauss(0, 0.015):.3f}"
        lines.append(f"{max(major, 0.2):.2f},{tpi},{pitch},0.02,0.015")
    return "\n".join(lines)


def seconds(*arguments: str) -> float:
    """Run the command and return how long it took."""
    began = time.perf_counter()
    subprocess.run([sys.executable, "-m", "runningfit", *arguments], check=True, stdout=subprocess.DEVNULL)
    return time.perf_counter() - began


def main() -> int:
    """Measure and print."""
    with tempfile.TemporaryDirectory(prefix="runningfit-bench-") as folder:
        file = Path(folder) / "cases.csv"
        file.write_text(sheet(Random(10)), encoding="utf-8")
        whole = statistics.median(
            seconds("thread", "identify", "--batch", str(file), "--json") for _ in range(3)
        )
    one = statistics.median(
        seconds("thread", "identify", "--major", "7.87mm", "--pitch", "1.06mm", "--json")
        for _ in range(TIMES)
    )
    print("## Naming threads\n")
    print(
        f"{ROWS:,} threads from a file to the answers in JSON, the command's start included: {whole:.1f} s"
        f"{' **over**' if whole > AIM_S else ''}; the middle of three. Aim: under {AIM_S:.0f} s. One thread: "
        f"{one:.2f} s{' **over**' if one > AIM_COMMAND_S else ''}, the middle of {TIMES}. Aim: "
        f"{AIM_COMMAND_S:g} s.\n"
    )
    return 0


if __name__ == "__main__":
    sys.exit(main())
