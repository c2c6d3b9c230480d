"""Pages of threads: naming, a whole sheet, cards, checks against limits; nothing typed is ever lost."""

from __future__ import annotations

import re
from html import unescape
from typing import Protocol

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from runningfit.core.standards import all_threads
from runningfit.workshop.models import Job, Lot, ThreadGauging, ThreadNaming
from runningfit.workshop.pieces.lots import LotFacts, keep_lot
from runningfit.workshop.pieces.thread_doubts import A_PAGE
from runningfit.workshop.records.writing import Hand

pytestmark = pytest.mark.django_db


class Answer(Protocol):
    """What a page answered."""

    @property
    def content(self) -> bytes: ...


ANN = Hand(who="Ann")
LIVE = {"HX-Request": "true"}


@pytest.fixture
def lot(job: Job) -> Lot:
    ends = ("1/4-20 UNC", "1/4-20 BSW")
    return keep_lot(job=job, facts=LotFacts(count=6, kind="hex_bolt", end_a=ends), hand=ANN)


def text_of(answer: Answer) -> str:
    """The words of a page, without its tags."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", answer.content.decode())).split())


def named(client: Client, **typed: str) -> str:
    return text_of(client.get(reverse("name_a_thread"), typed))


def test_a_thread_is_named_from_two_readings_in_whatever_unit_they_are_typed(client: Client) -> None:
    for major in ("7.87", "7.87 mm", ".3098", "0.3098 in"):
        page = named(client, side="bolt", major=major, leaf="24")
        assert "5/16-24 UNF" in page
        assert "0.99 almost surely" in page
        assert "Nothing more is needed" in page
        assert "24 tpi" in page


def test_what_would_tell_the_candidates_apart_comes_first_then_each_in_words_and_as_a_number(
    client: Client,
) -> None:
    page = named(client, side="bolt", major="6.27", leaf="20")
    order = [page.index(words) for words in ("A 55 degree gauge", "alike in all", "may well be", "none of")]
    assert order == sorted(order)
    assert re.search(r"1/4-20 BSW 0\.2500 in \(6\.35 mm\), 20 tpi 0\.[0-9]{2} may", page)


def test_the_two_leading_profiles_are_drawn_over_each_other_with_words_for_those_who_cannot_see_them(
    client: Client,
) -> None:
    answer = client.get(reverse("name_a_thread"), {"major": "2.8", "turns_length": "5.3 mm"})
    page = answer.content.decode()
    (said,) = re.findall(r'role="img" aria-label="([^"]+laid over each other[^"]+)"', page)
    assert "at the same scale" in said
    assert "apart after ten turns" in page


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ({"major": "7.8x"}, "7.8x"),
        ({"major": "100"}, "Write in or mm behind it"),
        ({"leaf": "5", "major": "7.87"}, "Write 5 tpi or 5 mm"),
        ({"major": "0.3125 mm", "leaf": "24"}, "inches"),
        (
            {"major": "7.87", "leaf": "24", "built_from": "1960", "built_to": "1950"},
            "a first and a last year",
        ),
    ],
)
def test_what_cannot_be_is_told_beside_its_field_and_everything_typed_stays(
    client: Client, typed: dict[str, str], told: str
) -> None:
    answer = client.get(reverse("name_a_thread"), typed)
    page = answer.content.decode()
    assert answer.status_code == 200
    assert told in text_of(answer)
    assert "wrong" in page
    assert all(f'value="{value}"' in page for value in typed.values())
    live = client.get(reverse("name_a_thread"), typed, headers=LIVE)
    assert told in text_of(live)
    assert "<html" not in live.content.decode()


def test_a_pitch_no_standard_has_is_an_honest_spread(client: Client) -> None:
    page = named(client, major="7.4", turns_length="11.3")
    assert re.search(r"none of these (over )?0\.[5-9]", page)


def test_nothing_measured_says_where_to_begin(client: Client) -> None:
    assert "Nothing measured yet." in named(client)


def test_what_is_held_likely_is_shown_and_moves_the_answer(client: Client) -> None:
    def chance(country: str) -> float:
        page = named(client, major="6.27", leaf="20", country=country)
        found = re.search(r"1/4-20 UNC 0\.2500 in \(6\.35 mm\), 20 tpi (?:over )?(0\.\d\d)", page)
        assert found is not None
        return float(found[1])

    assert chance("United States") > chance("") > chance("United Kingdom")
    page = named(client, major="6.27", leaf="20", country="United States", built_from="1940", built_to="1945")
    assert "Built in the United States from 1940 to 1945" in page


def test_a_series_that_is_more_usual_here_counts_more_and_is_ticked_again_next_time(
    client: Client, lot: Lot
) -> None:
    typed = {"major": "6.27", "leaf": "20"}
    page = named(client, **typed)
    assert page.index("1/4-20 BSW 0.25") < page.index("1/4-20 UNC 0.25")
    page = named(client, **typed, usual_here="UNC")
    assert page.index("1/4-20 UNC 0.25") < page.index("1/4-20 BSW 0.25")
    assert "UNC counts 4 times, as you set it." in page
    keep = reverse("keep_lot_thread", args=[lot.job_id, lot.number])
    client.post(keep, {**typed, "usual_here": ["BSW", "BSF"], "end": "end_a", "designation": ""})
    assert ThreadNaming.objects.get().prior["series_weights"] == [["BSW", 4.0], ["BSF", 4.0]]
    again = client.get(reverse("name_lot_thread", args=[lot.job_id, lot.number])).content.decode()
    assert re.findall(r'name="usual_here" value="(\w+)"[^>]* checked', again) == ["BSW", "BSF"]


def test_a_lot_opened_again_shows_all_that_its_last_answer_rested_on(client: Client, lot: Lot) -> None:
    measured = {"major": "6.27", "leaf": "20", "built_from": "1931", "country": "Japan"}
    keep = reverse("keep_lot_thread", args=[lot.job_id, lot.number])
    client.post(keep, {**measured, "end": "end_a", "designation": ""})
    naming = ThreadNaming.objects.get()
    naming.typed = {"major": "6.27", "leaf": "20"}
    naming.save(update_fields=["typed"])
    again = client.get(reverse("name_lot_thread", args=[lot.job_id, lot.number])).content.decode()
    assert re.search(r'name="gauge" value="caliper"[^>]* checked', again)
    assert re.search(r'name="turns" value="10"', again)
    assert re.search(r'name="built_from" value="1931"', again)
    assert '<option value="Japan" selected>' in again


def test_the_country_of_the_engine_is_kept_and_held_likely_of_its_threads(client: Client, lot: Lot) -> None:
    engine = lot.job.engines.get()
    known = {"engine_name": engine.name, "country": "continental Europe"}
    client.post(reverse("engine", args=[lot.job_id, engine.pk]), known)
    engine.refresh_from_db()
    assert engine.country == "continental Europe"
    page = client.get(reverse("name_lot_thread", args=[lot.job_id, lot.number])).content.decode()
    assert '<option value="continental Europe" selected>' in page


def test_a_name_is_kept_from_the_page_and_shown_on_the_lot_with_its_readings(
    client: Client, lot: Lot
) -> None:
    address = reverse("keep_lot_thread", args=[lot.job_id, lot.number])
    typed = {"side": "bolt", "major": "6.27", "leaf": "20", "angle": "60", "light": ["55"], "end": "end_a"}
    answer = client.post(address, {**typed, "designation": "1/4-20 UNC", "why": "60 fits"})
    assert answer.status_code == 302
    lot.refresh_from_db()
    assert lot.end_a == "1/4-20 UNC"
    naming = ThreadNaming.objects.get()
    assert (naming.kept_as, naming.why, naming.typed["light"]) == ("1/4-20 UNC", "60 fits", "55")
    page = text_of(client.get(reverse("lot", args=[lot.job_id, lot.number])))
    assert "Measured on its thread" in page
    assert "outside 6.27 , leaf 20 , angle gauge 60" in page
    again = client.get(reverse("name_lot_thread", args=[lot.job_id, lot.number])).content.decode()
    assert 'value="6.27"' in again


def test_a_thread_is_kept_open_from_the_page(client: Client, lot: Lot) -> None:
    address = reverse("keep_lot_thread", args=[lot.job_id, lot.number])
    client.post(address, {"side": "bolt", "major": "6.27", "leaf": "20", "end": "end_a", "designation": ""})
    lot.refresh_from_db()
    assert set(lot.end_a.split("|")) == {"1/4-20 UNC", "1/4-20 BSW"}
    assert ThreadNaming.objects.get().kept_as == ""


@pytest.mark.parametrize(
    "typed", [{"major": "6.2x", "designation": "1/4-20 UNC"}, {"designation": "1/4-20 UNC"}]
)
def test_what_cannot_be_kept_comes_back_with_all_that_was_typed(
    client: Client, lot: Lot, typed: dict[str, str]
) -> None:
    address = reverse("keep_lot_thread", args=[lot.job_id, lot.number])
    answer = client.post(address, {**typed, "leaf": "", "end": "end_a"})
    assert answer.status_code == 200
    assert not ThreadNaming.objects.exists()
    if "major" in typed:
        assert 'value="6.2x"' in answer.content.decode()


def test_the_threads_of_a_job_that_ask_are_listed_with_what_to_measure_next(client: Client, lot: Lot) -> None:
    page = text_of(client.get(reverse("job_threads", args=[lot.job_id])))
    assert "1/4-20 UNC or 1/4-20 BSW" in page
    assert "A 55 degree gauge: fits 1/4-20 BSW" in page
    lot.job.lots.update(end_a="1/4-20 UNC")
    assert "No thread is open." in text_of(client.get(reverse("job_threads", args=[lot.job_id])))


def test_many_open_threads_page_by_the_number_of_their_lots(client: Client, lot: Lot) -> None:
    for _ in range(A_PAGE):
        keep_lot(job=lot.job, facts=LotFacts(count=1, kind="stud", end_a=("G1/4", "R1/4")), hand=ANN)
    address = reverse("job_threads", args=[lot.job_id])
    first = client.get(address).content.decode()
    assert f"?after={A_PAGE}" in first
    assert text_of(client.get(address, {"after": A_PAGE})).count("Name it") == 1


@pytest.mark.parametrize("one", all_threads()[::9], ids=lambda one: one.designation)
def test_every_thread_has_its_card_with_where_each_figure_comes_from(client: Client, one: object) -> None:
    designation: str = one.designation  # type: ignore[attr-defined]
    answer = client.get(reverse("thread_card", args=[designation]))
    page = answer.content.decode()
    assert answer.status_code == 200
    assert designation in page
    assert page.count("where it comes from") >= 5
    for number in re.findall(r'href="#from-(\d+)"', page):
        assert f'id="from-{number}"' in page


def test_a_card_shows_sizes_limits_drill_spanners_and_what_is_from_memory(client: Client) -> None:
    page = text_of(client.get(reverse("thread_card", args=["1/4-20 BSW"])))
    for words in (
        "6.350 mm",
        "medium",
        "close",
        "free",
        "5.1 mm",
        "3/16 W",
        "before the war",
        "from memory",
        "20.68",
    ):
        assert words in page, words
    taper = text_of(client.get(reverse("thread_card", args=["1/4-18 NPT"])))
    assert "A taper thread has no limits of diameter" in taper
    assert client.get(reverse("thread_card", args=["1/4-21 UNC"])).status_code == 404


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("5/16", ["5/16-18 UNC", "5/16-22 BSF", "5/16-26 CEI"]),
        ("3/8 BSP", ["G3/8", "R3/8"]),
        ("5/17", ["nearest"]),
    ],
)
def test_threads_are_found_by_size_in_any_spelling(client: Client, typed: str, told: list[str]) -> None:
    page = text_of(client.get(reverse("threads"), {"q": typed}))
    assert all(words in page for words in told)
    assert client.get(reverse("threads"), {"q": "5/16 unf"}).headers["Location"].endswith("5/16-24%20UNF")


def test_a_bolt_is_held_against_its_class(client: Client) -> None:
    asked = {
        "side": "bolt",
        "named": "5/16 UNF",
        "pitch_diameter": "7.05",
        "major": "7.8",
        "gauge": "micrometer",
    }
    page = text_of(client.get(reverse("check_a_thread"), asked))
    assert "not within its class probability over 0.99 5/16-24 UNF class 2A" in page
    assert "worn, or made so, by 0.077 mm beyond the limit" in page
    good = text_of(client.get(reverse("check_a_thread"), {"named": "5/16 UNF", "major": "7.85"}))
    assert "not proven" in good
    assert "a good major diameter says nothing of it" in good


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        ({"named": "1/4-18 NPT", "major": "13.7"}, "taper"),
        ({"named": "5/16", "major": "7.9"}, "Which of these: 5/16-18 UNC"),
        ({"named": "5/17 UNF"}, "nearest"),
        ({"named": "5/16 UNF", "over_wires": "8.1"}, "wire needs its own diameter"),
        ({"named": "5/16 UNF", "major": "0.3125 mm"}, "inches"),
    ],
)
def test_what_cannot_be_checked_says_why(client: Client, asked: dict[str, str], told: str) -> None:
    answer = client.get(reverse("check_a_thread"), {"side": "bolt", **asked})
    assert answer.status_code == 200
    assert told in text_of(answer)


def test_the_classes_offered_are_those_of_the_side_and_a_class_of_the_other_is_not_used(
    client: Client,
) -> None:
    asked = {"side": "hole", "named": "5/16 UNF", "thread_class": "2A", "minor": "6.9"}
    page = client.get(reverse("check_a_thread"), asked, headers=LIVE).content.decode()
    assert re.findall(r'<option value="([^"]+)"', page) == ["2B", "1B", "3B"]
    assert 'hx-swap-oob="true"' in page


def test_over_three_wires_becomes_the_pitch_diameter(client: Client) -> None:
    asked = {"side": "bolt", "named": "5/16-24 UNF", "over_wires": "8.072", "wire": "0.611"}
    page = text_of(client.get(reverse("check_a_thread"), asked))
    found = re.search(r"a pitch diameter of (\d\.\d+) mm", page)
    assert found is not None
    # M = d2 + 3 W - 0.866025 P for 60 degrees.
    assert float(found[1]) == pytest.approx(8.072 - 3 * 0.611 + 0.8660254 * 25.4 / 24, abs=0.001)


def test_a_check_is_kept_on_the_lot_for_some_of_its_pieces(client: Client, lot: Lot) -> None:
    address = reverse("keep_lot_check", args=[lot.job_id, lot.number])
    asked = {"side": "bolt", "named": "1/4-20 UNC", "no_go": "goes", "end": "end_a", "count": "2"}
    answer = client.post(address, asked)
    gauging = ThreadGauging.objects.get()
    assert answer.headers["Location"] == reverse("lot", args=[lot.job_id, gauging.lot.number])
    assert gauging.lot.thread_state == "defective"
    page = text_of(client.get(answer.headers["Location"]))
    assert "not within its class 2A" in page
    assert "The NO-GO ring went on" in page
    refused = client.post(address, {**asked, "count": "40"})
    assert "count needs at most 4" in text_of(refused)


def test_a_whole_sheet_is_named_in_its_order_with_bad_rows_in_their_place(client: Client, lot: Lot) -> None:
    sheet = (
        "label,lot,major_mm,tpi,pitch_mm\n"
        f"tin 1,{lot.number},7.87,24,\nbad,,x,,\ntin 2,,6.27,20,\ninches,,0.3125,24,\nodd,,7.4,,1.13\n"
    )
    page = text_of(client.post(reverse("name_sheet"), {"pasted": sheet}))
    order = [
        page.index(words) for words in ("tin 1", "5/16-24 UNF", "bad", "major_mm needs a number", "tin 2")
    ]
    assert order == sorted(order)
    assert "inches" in page
    assert re.search(r"odd none of these", page)
    file = SimpleUploadedFile("sheet.csv", sheet.encode())
    answer = client.post(reverse("name_job_sheet", args=[lot.job_id]), {"file": file})
    keep_at = re.search(r'href="([^"]+)">Look, and keep', answer.content.decode())
    assert keep_at is not None
    assert "5/16-24 UNF" in text_of(client.get(unescape(keep_at[1])))


@pytest.mark.parametrize(
    ("pasted", "told"), [("", "Choose a file, or paste"), ("a,b\n1,2", "a first row that names its columns")]
)
def test_a_sheet_that_cannot_be_read_says_so_and_stays(client: Client, pasted: str, told: str) -> None:
    answer = client.post(reverse("name_sheet"), {"pasted": pasted})
    assert told in text_of(answer)
    assert pasted in answer.content.decode()


def test_a_lot_leads_to_the_cards_of_its_threads_and_to_naming_them(client: Client, lot: Lot) -> None:
    page = client.get(reverse("lot", args=[lot.job_id, lot.number])).content.decode()
    assert 'href="/threads/1/4-20%20UNC"' in page
    assert reverse("name_lot_thread", args=[lot.job_id, lot.number]) in page
