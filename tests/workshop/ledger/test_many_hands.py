"""Several people at once, each a process of its own, on one database: nothing lost, nothing counted twice."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from workshop.ledger.shop_floor import a_floor, answers, faults, kept, let_go, tokens

PEOPLE = ("ann", "ben", "cat", "dan")


def random_work(folder: Path, acts_each: int) -> Counter[str]:
    with a_floor(folder) as floor:
        people = [floor.start("work", name, str(acts_each)) for name in PEOPLE]
        let_go(*people)
        said = [line for person in people for line in answers(person)]
        assert faults(floor) == []
        assert sorted(tokens(floor)) == sorted(kept(said)), "each acknowledged act is there once, no other"
        return Counter(line[0] for line in said) + Counter(line[2] for line in said if line[0] == "refused")


def test_four_people_at_random_work_leave_the_books_right(tmp_path: Path) -> None:
    done = random_work(tmp_path / "shop", acts_each=40)
    assert done["kept"] > 60


@pytest.mark.slow
def test_ten_thousand_random_acts_of_four_people_at_once_leave_the_books_right(tmp_path: Path) -> None:
    done = random_work(tmp_path / "shop", acts_each=2_500)
    assert done["kept"] > 4_000
    assert done["again"] > 300
    assert done["LedgerRefused"] > 300
    assert done["Conflict"] > 300


def test_two_people_who_split_one_lot_at_once_get_what_there_is_and_no_more(tmp_path: Path) -> None:
    with a_floor(tmp_path / "shop") as floor:
        setter = floor.start("wanted")
        let_go(setter)
        answers(setter)
        two = [floor.start("splits", name, "15") for name in ("ann", "ben")]
        let_go(*two)
        said = [line for one in two for line in answers(one)]
        assert Counter(line[0] for line in said) == {"kept": 20, "refused": 10}
        assert faults(floor) == []
        assert sorted(number for (number,) in floor.rows("SELECT number FROM workshop_lot")) == list(
            range(1, 22)
        )


def test_a_form_sent_twice_at_the_same_moment_is_kept_once(tmp_path: Path) -> None:
    with a_floor(tmp_path / "shop") as floor:
        for number in range(3):
            two = [floor.start("form", f"form-{number}") for _sending in range(2)]
            let_go(*two)
            said = sorted(line[0] for one in two for line in answers(one))
            assert said == ["again", "kept"]
        assert tokens(floor) == ["form-0", "form-1", "form-2"]
        assert faults(floor) == []
