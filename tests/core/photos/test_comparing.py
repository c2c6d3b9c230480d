"""Two photos of one bag: what is missing, added and swapped, and what cannot be told."""

from __future__ import annotations

import pytest

from photos_of_bags import photo, piece
from runningfit.core.photos.answers import Fault
from runningfit.core.photos.comparing import Comparison, Difference, compare
from runningfit.core.photos.items import Look, PhotoItem
from runningfit.core.pieces.kinds import Kind

COARSE, FINE = "3/8-16 UNC", "3/8-24 UNF"


def bolt(
    length_mm: float,
    thread: str = COARSE,
    *,
    u_mm: float = 0.2,
    look: Look | None = None,
    scale: float = 1.0,
) -> PhotoItem:
    return piece(
        Kind.HEX_BOLT,
        {thread: 0.999},
        look=look,
        u_mm=u_mm,
        length=length_mm * scale,
        major=9.45 * scale,
        head_across_flats=14.3 * scale,
    )


def washer(outside_mm: float) -> PhotoItem:
    return piece(Kind.PLAIN_WASHER, outside=outside_mm, inside=outside_mm * 0.52)


def nut(across_flats_mm: float = 14.3) -> PhotoItem:
    return piece(Kind.NUT, {COARSE: 0.6, FINE: 0.39}, head_across_flats=across_flats_mm, thickness=8.2)


BAG = (bolt(25.5), bolt(25.3), bolt(25.4), bolt(25.6), bolt(50.7), nut(), nut(), washer(19.1), washer(19.0))


def nothing(found: Comparison) -> bool:
    return not (found.missing or found.added or found.swapped or found.cannot_tell)


def test_a_bag_that_came_back_whole() -> None:
    found = compare(photo(BAG), photo(reversed(BAG)))
    assert nothing(found)
    assert found.probability_complete > 0.98
    assert found.summary == "9 before, 9 after: nothing is missing and nothing swapped (over 99 %)."
    assert [(len(one.before), len(one.after)) for one in found.groups] == [(1, 1), (4, 4), (2, 2), (2, 2)]
    assert found.groups[1].name == "hex bolt 3/8-16 UNC, 25.4 mm"
    assert found.cautions == ()


def test_of_four_alike_one_is_missing_and_nobody_says_which() -> None:
    found = compare(photo(BAG), photo(BAG[1:]))
    (missing,) = found.missing
    assert (missing.count, missing.group) == (1, 2)
    assert missing.probability > 0.98
    assert missing.sentence == "Missing: 1 of 4 hex bolts 3/8-16 UNC, 25.4 mm (over 99 %)."
    assert found.group(2).before == (1, 2, 3, 4)
    assert found.group(2).change == -1
    assert not found.added
    assert not found.swapped
    assert found.probability_complete < 0.01
    assert found.summary == "9 before, 8 after: 1 missing."
    assert found.cautions == (
        "Look whether each piece has its outline in both photos: one without counts as missing.",
    )


def test_two_alike_are_missing_together() -> None:
    found = compare(photo(BAG), photo(BAG[2:]))
    assert [(one.count, one.group) for one in found.missing] == [(2, 2)]
    assert found.missing[0].sentence.startswith("Missing: 2 of 4 hex bolts")


def test_a_piece_of_another_kind_was_added() -> None:
    found = compare(photo(BAG), photo((*BAG, piece(Kind.STUD, {"M8x1.25": 0.99}, length=60.0, major=7.9))))
    (added,) = found.added
    assert found.group(added.group).name == "stud M8x1.25, 60.0 mm"
    assert added.sentence == "Added: 1 stud M8x1.25, 60.0 mm (over 99 %)."
    assert not found.missing
    assert found.probability_complete > 0.95


def test_one_more_of_a_group_was_added() -> None:
    found = compare(photo(BAG), photo((*BAG, washer(19.05))))
    (added,) = found.added
    assert "1 plain washer, 19.0 mm outside, 9.9 mm inside, where there were 2" in added.sentence


def test_a_bolt_was_swapped_for_a_longer_one() -> None:
    found = compare(photo(BAG), photo((*BAG[:3], bolt(38.1), *BAG[4:])))
    (swapped,) = found.swapped
    assert swapped.differs == (Difference.LENGTH,)
    # One length in some hundred is read off something else, which looks the same.
    assert 0.6 < swapped.probability < 0.99
    assert found.group(swapped.gone).before == (1, 2, 3, 4)
    assert found.group(swapped.came).after == (4,)
    assert swapped.sentence.startswith(
        "Swapped: 1 of 4 hex bolts 3/8-16 UNC, 25.4 mm went, 1 hex bolt 3/8-16 UNC, 38.1 mm came, "
        "of another length"
    )
    assert not found.missing
    assert not found.added


def test_a_bolt_was_swapped_for_one_of_another_thread() -> None:
    found = compare(photo(BAG), photo((*BAG[:4], bolt(50.7, FINE), *BAG[5:])))
    (swapped,) = found.swapped
    assert swapped.differs == (Difference.THREAD,)
    assert "of another thread" in swapped.sentence
    assert found.group(swapped.came).name == "hex bolt 3/8-24 UNF, 50.7 mm"


def test_a_swap_in_thread_and_length_is_surer_than_in_one_of_them() -> None:
    found = compare(photo(BAG), photo((*BAG[:3], bolt(38.1, FINE), *BAG[4:])))
    (swapped,) = found.swapped
    assert swapped.differs == (Difference.THREAD, Difference.LENGTH)
    assert swapped.probability > 0.9


def test_a_thread_that_is_not_sure_is_called_probable() -> None:
    found = compare(photo([nut()]), photo([nut()]))
    assert found.groups[0].name == "nut 3/8-16 UNC or 3/8-24 UNF, 14.3 mm across flats"
    doubtful = piece(Kind.STUD, {"M6x1": 0.5, "1/4-26 BSF": 0.1}, length=30.0)
    assert compare(photo([doubtful]), photo([doubtful])).groups[0].name == "stud, probably M6x1, 30.0 mm"


def test_a_washer_was_swapped_for_a_larger_one() -> None:
    found = compare(photo(BAG), photo((*BAG[:8], washer(30.0))))
    (swapped,) = found.swapped
    assert swapped.differs == (Difference.SIZE,)


def test_lengths_within_the_uncertainty_are_no_swap() -> None:
    before = (bolt(25.0, u_mm=0.5), bolt(60.0, u_mm=0.5))
    found = compare(photo(before), photo((bolt(25.9, u_mm=0.5), bolt(59.5, u_mm=0.5))))
    assert not found.swapped
    assert found.probability_complete > 0.9


def test_between_two_lengths_it_cannot_be_told_which_is_missing() -> None:
    before = (bolt(29.2, u_mm=0.8), bolt(30.8, u_mm=0.8), washer(19.0))
    found = compare(photo(before), photo((bolt(30.0, u_mm=0.8), washer(19.0))))
    (missing,) = found.missing
    group = found.group(missing.group)
    assert (group.before, group.after) == ((1, 2), (1,))
    assert missing.probability > 0.95


def test_a_doubtful_difference_is_left_open() -> None:
    before = (bolt(25.4, u_mm=0.4), washer(19.0), nut())
    found = compare(photo(before), photo((bolt(27.4, u_mm=0.4), washer(19.0), nut())))
    told = [one.probability for one in found.swapped] + [one.probability for one in found.cannot_tell]
    assert told
    assert all(one is not None and 0.08 <= one <= 0.92 for one in told)
    assert 0.08 < found.probability_complete < 0.92


def test_a_photo_whose_print_is_scaled_shows_the_same_bag() -> None:
    bag = [bolt(20 + 6 * step, u_mm=0.15) for step in range(8)]
    scaled = [bolt(20 + 6 * step, u_mm=0.15, scale=1.025) for step in range(8)]
    found = compare(photo(bag), photo(scaled))
    assert nothing(found)
    assert found.scale_ratio == pytest.approx(1.025, abs=0.003)
    (caution,) = found.cautions
    assert caution.startswith("All sizes come out 2.5 % larger in the second photo")


def test_looks_count_only_where_they_cannot_have_changed() -> None:
    before, after = photo([bolt(25.4, look=Look.RUST)]), photo([bolt(26.6, look=Look.YELLOW)])
    changed = compare(before, after)
    assert changed.probability_complete > 0.9
    kept = compare(before, after, look_may_change=False)
    assert kept.probability_complete < changed.probability_complete - 0.1


def test_a_piece_that_was_not_measured_may_be_the_one_that_seems_missing() -> None:
    touching = piece(Kind.OTHER, fault=Fault.PIECES_TOUCH)
    found = compare(photo(BAG), photo((*BAG[:4], *BAG[5:], touching)))
    assert not found.missing
    words = [one.sentence for one in found.cannot_tell]
    assert (
        "Some pieces could not be measured, 1 in the second photo, which may be any of the pieces." in words
    )
    assert any(one.startswith("Pieces touch in the second photo (outline 9)") for one in words)


def test_what_is_no_piece_is_not_counted() -> None:
    found = compare(photo(BAG), photo((*BAG, piece(Kind.OTHER, fault=Fault.NOT_A_PIECE))))
    assert (found.before, found.after) == (9, 9)
    assert nothing(found)


@pytest.mark.parametrize(("before", "after", "summary"), [
    ((), (), "0 before, 0 after: nothing is missing and nothing swapped (over 99 %)."),
    (BAG[:4], (), "4 before, 0 after: 4 missing."),
    ((), BAG[:4], "0 before, 4 after: 4 added."),
])  # fmt: skip
def test_an_empty_side(before: tuple[PhotoItem, ...], after: tuple[PhotoItem, ...], summary: str) -> None:
    found = compare(photo(before), photo(after))
    assert found.summary == summary
    assert found.scale_ratio is None


def test_two_bags_that_have_nothing_to_do_with_each_other() -> None:
    other = [piece(Kind.STUD, {"M6x1": 0.99}, length=20.0 + 9 * at, major=5.9) for at in range(7)]
    found = compare(photo(BAG), photo(other))
    assert sum(one.count for one in found.missing) == 9
    assert sum(one.count for one in found.added) == 7
    assert (
        "Less than half of the pieces agree: make sure that both photos show the same bag." in found.cautions
    )


def test_the_same_photos_give_the_same_answer() -> None:
    before, after = photo(BAG), photo(BAG[1:])
    assert compare(before, after) == compare(before, after)
