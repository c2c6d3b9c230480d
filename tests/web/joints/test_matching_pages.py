"""The pages of what goes with what: answers checked by hand, kept and taken back, wrong input kept."""

from __future__ import annotations

import re

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from runningfit.core.measurements.sheets.features import FeatureKind
from runningfit.workshop.joints.fit_models import DrawerShim, RunningFit
from runningfit.workshop.joints.match_models import MatchDecision, ShimSheet
from runningfit.workshop.models import Job, Record, ToBuy
from web.joints.judged_shop import text_of
from web.joints.matched_shop import a_read_set, bores_and_pistons

pytestmark = pytest.mark.django_db
LIMITS = {"least": "0.04 mm", "most": "0.06 mm", "source": "manual p. 14", "aim": "worst"}
VALVES = {
    "valves": "1 in; 0.30; 2.50\n1 ex; 0.15; 2.60\n2 in; 0.22; 2.45; 0.20; 0.25",
    "least": "0.20", "most": "0.25", "source": "manual p. 30", "u": "0.01",
}  # fmt: skip


def key_of(page: str) -> dict[str, str]:
    """The hidden fields by which a page's answer is known."""
    found = {name: re.search(rf'name="{name}" value="([^"]*)"', page) for name in ("asked", "key")}
    return {name: one[1].replace("&amp;", "&") for name, one in found.items() if one}


def test_with_nothing_on_the_sheet_each_page_says_what_it_needs(client: Client, job: Job) -> None:
    told = text_of(client.get(f"/jobs/{job.pk}/matching"))
    assert "needs bores and pistons on the sheet" in told
    for kind in ("pistons", "weights", "shims"):
        page = client.get(f"/jobs/{job.pk}/matching/{kind}")
        assert page.status_code == 200
        assert "Keep the best" not in page.content.decode()
    assert not Record.objects.filter(verb="keep_match").exists()


def test_pistons_are_paired_kept_and_taken_back(client: Client, job: Job) -> None:
    bores, pistons = bores_and_pistons(job)
    at = f"/jobs/{job.pk}/matching/pistons"
    asked: dict[str, str | int] = {"bores": bores.pk, "pistons": pistons.pk, **LIMITS}
    page = client.get(at, asked).content.decode()
    rows = re.findall(r"</span>(No\. \d)</th><td>.*?class=\"num\">(No\. \d)</span>", page)
    # By hand: 80.050-80.000, 80.058-80.008 and 80.070-80.020 are 0.050 each; no other pairing meets it.
    assert rows[:3] == [("No. 1", "No. 2"), ("No. 2", "No. 1"), ("No. 3", "No. 3")]
    assert len(rows) == 6
    told = text_of(client.get(at, asked))
    assert "the worst lies 0 in from the middle" in told
    assert "gives No. 1 and No. 2 another partner and lies 0.0003 in further off" in told
    assert "manual p. 14" in told

    sent = {"choice": "second", "why": "marked so by its maker", **key_of(page)}
    assert client.post(f"{at}/keep", sent).status_code == 302
    kept = MatchDecision.objects.get()
    assert [pair[:2] for pair in kept.pairs][:2] == [["No. 1", "No. 1"], ["No. 2", "No. 2"]]
    over = text_of(client.get(f"/jobs/{job.pk}/matching"))
    assert "the second best" in over
    assert "marked so by its maker" in over
    assert "another one was kept" in client.get(at, asked).content.decode()

    assert client.post(f"/jobs/{job.pk}/matching/kept/{kept.pk}/take-back").status_code == 302
    assert "Nothing is kept yet" in text_of(client.get(f"/jobs/{job.pk}/matching"))
    assert client.post(f"/jobs/{job.pk}/matching/kept/{kept.pk}/take-back").status_code == 409


def test_an_answer_that_changed_since_is_not_kept_unseen(client: Client, job: Job) -> None:
    bores, pistons = bores_and_pistons(job)
    at = f"/jobs/{job.pk}/matching/pistons"
    asked: dict[str, str | int] = {"bores": bores.pk, "pistons": pistons.pk, **LIMITS}
    page = client.get(at, asked).content.decode()
    a_key = key_of(page)
    RunningFit.objects.all().delete()
    reread = a_read_set(job, "pistons again", FeatureKind.SHAFT, ("80.008", "80.030", "80.020"))
    a_key["asked"] = a_key["asked"].replace(f"pistons={pistons.pk}", f"pistons={reread.pk}")
    answer = client.post(f"{at}/keep", {"choice": "best", **a_key})
    assert answer.status_code == 409
    assert "another one by now" in answer.content.decode()
    assert not MatchDecision.objects.exists()


def test_a_fit_with_limits_answers_at_once(client: Client, job: Job) -> None:
    bores, pistons = bores_and_pistons(job)
    RunningFit.objects.create(
        job=job, kind="piston", name="pistons", hole_set=bores, shaft_set=pistons,
        new_lower_mm=0.04, new_upper_mm=0.06, basis="manual", source="manual p. 14",
    )  # fmt: skip
    assert "Keep the best" in client.get(f"/jobs/{job.pk}/matching/pistons").content.decode()


@pytest.mark.parametrize(
    ("wrong", "said"),
    [({"least": "0.06 mm", "most": "0.04 mm"}, "upside down"), ({"least": "tight"}, "least needs")],
)
def test_wrong_limits_stay_in_the_form(client: Client, job: Job, wrong: dict[str, str], said: str) -> None:
    bores, pistons = bores_and_pistons(job)
    asked: dict[str, str | int] = {"bores": bores.pk, "pistons": pistons.pk, **LIMITS, **wrong}
    page = client.get(f"/jobs/{job.pk}/matching/pistons", asked).content.decode()
    assert said in page
    assert f'value="{asked["least"]}"' in page


def test_a_half_read_set_is_matched_as_far_as_it_goes(client: Client, job: Job) -> None:
    bores = a_read_set(job, "cylinder bores", FeatureKind.BORE, ("80.050", "80.058", ""), "bores")
    pistons = a_read_set(job, "pistons", FeatureKind.SHAFT, ("80.008", "80.000", "80.020"), "pistons")
    asked: dict[str, str | int] = {"bores": bores.pk, "pistons": pistons.pk, **LIMITS}
    told = text_of(client.get(f"/jobs/{job.pk}/matching/pistons", asked))
    assert "cylinder bores: No. 3 not read, so left out." in told
    assert "Without a partner: No. 3." in told


def test_a_set_that_nobody_read_says_so(client: Client, job: Job) -> None:
    bores = a_read_set(job, "cylinder bores", FeatureKind.BORE, ("", ""), "bores")
    pistons = a_read_set(job, "pistons", FeatureKind.SHAFT, ("80.008", "80.000"), "pistons")
    asked: dict[str, str | int] = {"bores": bores.pk, "pistons": pistons.pk, **LIMITS}
    page = client.get(f"/jobs/{job.pk}/matching/pistons", asked).content.decode()
    assert "cylinder bores needs readings" in page


def test_weights_pair_the_heavy_with_the_light(client: Client, job: Job) -> None:
    first = a_read_set(
        job, "piston weights", FeatureKind.WEIGHT, ("412.0", "418.0", "415.0"), "piston_weights", unit="g"
    )
    other = a_read_set(
        job, "rod weights", FeatureKind.WEIGHT, ("603.0", "611.0", "606.0"), "rod_weights", unit="g"
    )
    at = f"/jobs/{job.pk}/matching/weights"
    asked: dict[str, str | int] = {
        "first": first.pk,
        "other": other.pk,
        "off_first": "5",
        "off_other": "8",
        "tolerance": "1",
    }
    told = text_of(client.get(at, asked))
    # 418+603, 415+606, 412+611 = 1021, 1021, 1023: 1 g comes off; as numbered 1015, 1029, 1021: 13 and 5 g.
    assert "1.0 g come off in all; the lightest pair, 1021.0 g" in told
    assert "Paired as they are numbered, 18.0 g would come off instead." in told
    page = client.get(at, {**asked, "off_first": "0", "off_other": "0.1"}).content.decode()
    assert "a pairing that stays within what may come off" in page
    assert 'value="0.1"' in page
    assert "This is the same set." in client.get(at, {**asked, "other": first.pk}).content.decode()


def shop_in_mm(client: Client) -> None:
    from runningfit.workshop.records.queries import the_shop

    shop = the_shop()
    shop.unit = "mm"
    shop.save()


def test_shims_come_from_the_drawer_first_and_what_lacks_is_bought_once(client: Client, job: Job) -> None:
    shop_in_mm(client)
    put = {"size": "2.60", "count": "1", "mark": "260", "price": ""}
    assert client.post("/drawer", put).status_code == 302
    assert client.post("/drawer", {**put, "size": "2.525", "count": "0", "price": "3.10"}).status_code == 302
    at = f"/jobs/{job.pk}/matching/shims"
    assert client.post(f"{at}/valves", VALVES).status_code == 302
    told = text_of(client.get(at))
    # By hand: 1 in needs 2.55 to 2.60, 1 ex 2.50 to 2.55, 2 in 2.42 to 2.47. The shim of 1 ex or of the
    # drawer goes under 1 in, that of 1 in under 1 ex, that of 2 in stays: nothing is bought.
    assert ShimSheet.objects.get().rows[2]["most_mm"] == pytest.approx(0.25)
    assert "Put them on the list to buy" not in told
    assert re.search(r"1 ex now under it 2\.60 mm goes under it 2\.50 mm from under 1 in", told)
    assert re.search(r"2 in now under it 2\.45 mm goes under it 2\.45 mm from stays", told)
    page = client.get(at).content.decode()
    assert client.post(f"{at}/keep", {"choice": "best", **key_of(page)}).status_code == 302

    # A valve that is far tighter takes a thin shim that nobody has.
    tighter = {**VALVES, "valves": "1 in; 0.05; 2.50", "first": "2.00", "last": "3.00", "step": "0.025"}
    assert client.post(f"{at}/valves", tighter).status_code == 302
    told = text_of(client.get(at))
    assert "1 valve shim 2.325 mm" in told
    assert client.post(f"{at}/buy").status_code == 302
    row = ToBuy.objects.get()
    assert (row.what, row.count) == ("valve shim 2.325 mm", 1)
    assert client.post(f"{at}/buy").status_code == 409
    assert ToBuy.objects.count() == 1


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"valves": "1 in; 0.30"}, "with semicolons between in line 1"),
        ({"valves": "1 in; 0.30; 2.50\n1 in; 0.20; 2.50"}, "each valve once"),
        ({"valves": "1 in; 0.30; 250"}, "0.3 to 20 mm thick"),
        ({"least": "0.25", "most": "0.20"}, "upside down"),
        ({"least": "", "most": ""}, "the limits of the clearance"),
        ({"first": "2.00"}, "type all three, or none"),
    ],
)
def test_wrong_valves_stay_in_the_form(client: Client, job: Job, wrong: dict[str, str], said: str) -> None:
    shop_in_mm(client)
    sent = {**VALVES, **wrong}
    answer = client.post(f"/jobs/{job.pk}/matching/shims/valves", sent)
    assert answer.status_code == 400
    page = answer.content.decode()
    assert said in page
    assert sent["valves"] in page.replace("\r", "")
    assert not ShimSheet.objects.exists()


def test_the_drawer_takes_any_unit_and_a_sheet_and_refuses_a_size_twice(client: Client) -> None:
    assert client.post("/drawer", {"size": "0.1024 in", "count": "3"}).status_code == 302
    assert DrawerShim.objects.get().size_mm == pytest.approx(0.1024 * 25.4)
    page = client.post("/drawer", {"size": "0.1024 in", "count": "1"})
    assert "is in the drawer already, 3 of it" in page.content.decode()
    sheet = {"pasted": "shim mm,count\n2.50,4\n2.55,2\n2.50,1\n"}
    assert client.post("/drawer/sheet", sheet).status_code == 302
    assert list(DrawerShim.objects.order_by("size_mm").values_list("size_mm", "count"))[:2] == [
        (2.5, 5), (2.55, 2)
    ]  # fmt: skip
    wrong = client.post("/drawer/sheet", {"pasted": "shim_mm,count\n2.50,9\nthick,2\n"})
    assert wrong.status_code == 400
    assert "thick" in wrong.content.decode()
    assert DrawerShim.objects.get(size_mm=2.5).count == 5
    one = DrawerShim.objects.get(size_mm=2.5)
    assert client.post(f"/drawer/{one.pk}", {"size": "2.50 mm", "count": "4"}).status_code == 302
    one.refresh_from_db()
    assert one.count == 4
    assert client.get("/drawer/9999").status_code == 404


def questions(client: Client, where: str, **asked: str | int) -> int:
    """How many questions a page asks the database."""
    with CaptureQueriesContext(connection) as asking:
        assert client.get(where, asked).status_code == 200
    return len(asking)


def test_a_page_asks_as_little_for_twelve_cylinders_as_for_three(client: Client, job: Job) -> None:
    shop_in_mm(client)
    at = f"/jobs/{job.pk}/matching"
    few = bores_and_pistons(job)
    bores = tuple(f"80.0{50 + 2 * one}" for one in range(12))
    pistons = tuple(f"80.0{10 + one}" for one in range(12))
    many = (
        a_read_set(job, "bores of the long engine", FeatureKind.BORE, bores),
        a_read_set(job, "its pistons", FeatureKind.SHAFT, pistons),
    )
    counts = [
        questions(client, f"{at}/pistons", bores=hole.pk, pistons=shaft.pk, **LIMITS)
        for hole, shaft in (few, many)
    ]
    assert counts[0] == counts[1]
    assert counts[0] <= 22
    client.post(f"{at}/shims/valves", VALVES)
    client.post("/drawer", {"size": "3.5 mm", "count": "2"})
    client.get("/drawer")
    shims = questions(client, f"{at}/shims")
    for size in range(30):
        client.post("/drawer", {"size": f"{2 + size / 40:.3f} mm", "count": "2"})
    # The first page afterwards says what was put in.
    assert questions(client, "/drawer") <= 9
    assert questions(client, "/drawer") <= 5
    assert questions(client, f"{at}/shims") == shims <= 10
    assert questions(client, at) <= 11
