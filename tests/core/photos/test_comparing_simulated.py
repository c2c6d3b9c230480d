"""Bags of a simulator that knows nothing of the comparison: changes are found, probabilities hold."""

from __future__ import annotations

import ast
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path
from random import Random

import pytest

from photos_of_bags import photo_of
from runningfit.core.photos.comparing import Comparison, compare
from simulators import bags

pytestmark = pytest.mark.slow

TRIALS = 60


@dataclass
class Tried:
    """What many trials came to."""

    gone: int = 0
    gone_found: int = 0
    came: int = 0
    came_found: int = 0
    findings: list[tuple[float, bool]] = field(default_factory=list)
    whole: list[tuple[float, bool]] = field(default_factory=list)

    def add(self, trial: bags.Trial, found: Comparison) -> None:
        """Hold one comparison against what became of the bag, alike pieces by their count."""
        before = Counter(trial.makes[one.piece] for one in trial.before)
        after = Counter(trial.makes[one.piece] for one in trial.after)
        gone, came = before - after, after - before

        def makes(number: int) -> set[bags.Make]:
            group = found.group(number)
            return {trial.makes[trial.before[at - 1].piece] for at in group.before} | {
                trial.makes[trial.after[at - 1].piece] for at in group.after
            }

        def of(changed: Counter[bags.Make], number: int) -> int:
            return sum(changed[one] for one in makes(number))

        went: Counter[int] = Counter()
        brought: Counter[int] = Counter()
        for one in found.missing:
            went[one.group] += one.count
            self.findings.append((one.probability, of(gone, one.group) >= one.count))
        for new in found.added:
            brought[new.group] += new.count
            self.findings.append((new.probability, of(came, new.group) >= new.count))
        for swap in found.swapped:
            went[swap.gone] += swap.count
            brought[swap.came] += swap.count
            right = of(gone, swap.gone) >= swap.count and of(came, swap.came) >= swap.count
            self.findings.append((swap.probability, right))
        self.gone += gone.total()
        self.came += came.total()
        self.gone_found += sum(min(of(gone, number), count) for number, count in went.items())
        self.came_found += sum(min(of(came, number), count) for number, count in brought.items())
        self.whole.append((found.probability_complete, not gone))


def tried(seed: int, **how: float) -> Tried:
    chance = Random(seed)
    result = Tried()
    for _ in range(TRIALS):
        trial = bags.trial(chance, **how)  # type: ignore[arg-type]
        result.add(trial, compare(photo_of(trial.before), photo_of(trial.after)))
    return result


def assert_reliable(told: list[tuple[float, bool]], *, within: float) -> None:
    """What is said with a probability is right about as often, but for two standard errors."""
    for low, high in ((0.0, 0.1), (0.1, 0.9), (0.9, 1.01)):
        some = [(p, right) for p, right in told if low <= p < high]
        if not some:
            continue
        mean = sum(p for p, _ in some) / len(some)
        share = sum(right for _, right in some) / len(some)
        error = (mean * (1 - mean) / len(some)) ** 0.5
        assert abs(share - mean) <= within + 2 * error, (low, len(some), mean, share)


@pytest.fixture(scope="module")
def usual() -> Tried:
    return tried(101)


def test_the_simulator_knows_nothing_of_what_it_tests() -> None:
    tree = ast.parse(Path(bags.__file__).read_text(encoding="utf-8"))
    names = [node.module or "" for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)]
    names += [alias.name for node in ast.walk(tree) if isinstance(node, ast.Import) for alias in node.names]
    assert names
    assert not [name for name in names if name.startswith("runningfit")]


def test_planted_changes_are_found(usual: Tried) -> None:
    assert usual.gone > 40
    assert usual.gone_found / usual.gone > 0.8
    assert usual.came_found / usual.came > 0.8


def test_findings_are_as_sure_as_they_say(usual: Tried) -> None:
    assert len(usual.findings) > 40
    assert_reliable(usual.findings, within=0.12)


def test_a_whole_bag_is_as_surely_whole_as_is_said(usual: Tried) -> None:
    assert_reliable(usual.whole, within=0.1)


def test_a_bag_that_came_back_whole_raises_few_alarms() -> None:
    whole = tried(102, lost=0.0, swapped=0.0, added=0.0)
    assert whole.gone == whole.came == 0
    assert len(whole.findings) <= 0.15 * TRIALS


def test_twice_the_errors_leave_more_open_but_findings_hold() -> None:
    chance = Random(103)
    rough = Tried()
    for _ in range(TRIALS // 2):
        trial = bags.trial(chance, errors=bags.Errors(length=0.5, diameter=0.25, pitch=0.012, scale=0.004))
        rough.add(trial, compare(photo_of(trial.before), photo_of(trial.after)))
    assert rough.gone_found / rough.gone > 0.6
    assert_reliable(rough.findings, within=0.15)
