"""Whether what is said of the clearance of whole fits is true: thousands of simulated ones, fresh seeds.

    .venv/bin/python bench/whole_fits.py [FITS] [SEED ...]

The simulator imports nothing from the computation. Each fit is judged by the code of the workshop, from rows
as the workshop keeps them, without a database.
"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path

from serving import wake

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))

FITS, SEEDS = 12_000, (1, 2)


def main(arguments: list[str]) -> int:
    """Judge and print."""
    numbers = [int(one) for one in arguments]
    count, seeds = (numbers or [FITS])[0], tuple(numbers[1:]) or SEEDS
    with tempfile.TemporaryDirectory(prefix="runningfit-bench-") as name:
        wake(Path(name))
        from simulators.engine_trials import Reliability
        from simulators.fit_trials import judged_many
        from simulators.whole_fits import Population, many

        trials = (
            ("all that comes in, the maker's limits", Population.ALL_COMERS, False),
            ("about the limits, borrowed ones: nothing is believed before", Population.BORDERLINE, True),
            ("only worn as it was made", Population.WORN, False),
            ("only bored or ground by others", Population.OTHER_HANDS, False),
            ("only anything", Population.ANYTHING, False),
        )
        for title, population, borrowed in trials:
            whole: dict[str, Reliability] = {}
            began = time.perf_counter()
            for at, seed in enumerate(seeds):
                found = judged_many(many(seed, count, population), borrowed=borrowed)
                for of, score in (
                    ("all", found.all),
                    ("gauges not tried", found.untried),
                    *found.sorts.items(),
                ):
                    whole.setdefault(of, Reliability()).join(score, at * count)
            took = time.perf_counter() - began
            print(f"\n### {title}; seeds {seeds}, {count} fits each, {took:.0f} s")
            shown = (
                whole
                if population in (Population.ALL_COMERS, Population.BORDERLINE)
                else {"all": whole["all"]}
            )
            for of, score in shown.items():
                print(f"{of}:\n{score.told()}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
