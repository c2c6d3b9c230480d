"""A shop at its fullest: 500 lots of one job, and everything named as long as the forms let it be."""

from __future__ import annotations

from decimal import Decimal

from pictures_for_tests import jpeg
from runningfit.core.plan.count_back import Counted
from runningfit.workshop.outside_work import count_back, services, telling, treating
from runningfit.workshop.outside_work.expecting import Scope, sort_of
from runningfit.workshop.outside_work.queries import lines_of
from runningfit.workshop.photos.services import take_in_photo
from runningfit.workshop.pieces import bench_lists, tally
from runningfit.workshop.pieces.bags import make_bag
from runningfit.workshop.pieces.bench_intake import take_in
from runningfit.workshop.pieces.findings import record_finding
from runningfit.workshop.pieces.ledger import count_of
from runningfit.workshop.pieces.lots import change_lot
from runningfit.workshop.pieces.models import Area, Lot
from runningfit.workshop.pieces.places import PlaceFacts, add_place
from runningfit.workshop.plan.buying import add_to_buy, order, quote
from runningfit.workshop.plan.services import allot
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.services import add_donor, open_job, say_shop
from runningfit.workshop.records.writing import Hand

ROWS = 500
UNBROKEN = "Kurbelwellengehäusedichtflächenschraubenverbindungselementabc"  # 60 letters without a space
LONGEST_NAME = (UNBROKEN * 2)[:60]
HAND = Hand(who=(UNBROKEN * 2)[:60], why=(UNBROKEN + " ") * 2)
KINDS = ("hex bolt", "stud", "plain washer", "nut", "slotted screw", "spring washer")
THREADS = ("5/16-24 UNF", "1/4-20", "M8", "2BA", "7/16-20 UNF", "3/8 BSP")


def crowded_shop() -> Job:
    """Fill the shop by the same verbs that its pages call; returns its job."""
    say_shop(name=LONGEST_NAME, label_address="http://192.168.1.20:8459", hand=HAND)
    job = open_job(
        name=LONGEST_NAME,
        engine_name=UNBROKEN,
        engine_number=UNBROKEN[:60],
        built_basis=UNBROKEN * 3,
        hand=HAND,
    )
    for _ in range(3):
        add_donor(job=job, name=UNBROKEN, number=UNBROKEN[:60], hand=HAND)
    _import(job)
    lots = list(Lot.objects.filter(job=job).order_by("number"))
    area = Area.objects.filter(job=job).order_by("pk")[0]
    _describe(job, area, lots)
    _send(lots)
    for number in range(30):
        take_in_photo(job=job, data=jpeg(400 + number, 300), hand=HAND, filename=UNBROKEN)
    _tally(job, area)
    return job


def _import(job: Job) -> None:
    rows = ["count,kind,size,length,finish,area,bag,condition,remarks"]
    for number in range(ROWS):
        area = f"{UNBROKEN[:50]}{number % 40}"
        bag = f"LONGESTCOD{number % 60:02d}"
        rows.append(
            f"{10 + number},{KINDS[number % 6]},{THREADS[number % 6]},{1 + number % 4},"
            f"{'clear' if number % 3 else 'dark'},{area},{bag},"
            f"{'2 bent' if number % 50 == 0 else UNBROKEN},{UNBROKEN}{number}"
        )
    taken = take_in(job=job, name=f"{UNBROKEN}.csv", data="\n".join(rows).encode(), hand=HAND)
    bench_lists.accept(bench_list=taken.bench_list, hand=HAND)
    # A second list that waits to be accepted, with a row of which nothing is understood.
    other = [row.replace(",clear,", ",black,").replace("LONGEST", "OTHERST") for row in rows[:80]]
    nothing = f"some,{UNBROKEN},{UNBROKEN},{UNBROKEN},,,,,"
    take_in(job=job, name=f"other {UNBROKEN}.csv", data="\n".join([*other, nothing]).encode(), hand=HAND)


def _describe(job: Job, area: Area, lots: list[Lot]) -> None:
    for number in range(60):
        facts = PlaceFacts(
            name=f"{UNBROKEN}{number}",
            count=300,
            basis="parts_list",
            basis_said=UNBROKEN * 3,
            kind="hex_bolt",
            end_a=("5/16-24 UNF",),
            length_mm=25.4,
            length_nominal="1 in",
            torque_typed=UNBROKEN[:60],
            hole_material=UNBROKEN[:40],
            note=UNBROKEN * 4,
        )
        place = add_place(area=area, facts=facts, hand=HAND)
        if number < 3:
            allot(lot=lots[6 * number], place=place, count=5, hand=HAND, over=True)
    change_lot(
        lot=lots[0],
        hand=HAND,
        remarks=UNBROKEN * 8,
        defect=UNBROKEN,
        origin_said=UNBROKEN * 3,
        questions=(UNBROKEN * 3, f"more than one thread: {UNBROKEN}"),
        condition=UNBROKEN * 4,
    )
    for lot in lots[:20]:
        record_finding(
            job=job, what="stuck", lot=lot, area=area, tried=UNBROKEN * 4, note=UNBROKEN * 5, hand=HAND
        )
    make_bag(job=job, code="ZZZZZZZZZZZZ", note=UNBROKEN * 4, area=area, hand=HAND)
    row = add_to_buy(job=job, what=UNBROKEN * 3, count=99999, note=UNBROKEN * 4, hand=HAND)
    row = quote(
        row=row,
        supplier=UNBROKEN * 2,
        price_each=Decimal("9999999.00"),
        note=UNBROKEN * 4,
        hand=HAND,
        refurbish_price_each=Decimal("8888888.88"),
    )
    order(row=row, hand=HAND)


def _send(lots: list[Lot]) -> None:
    treating.say_treatment(lots=lots[100:320], treatment="zinc_clear", hand=HAND)
    lots = list(Lot.objects.filter(job=lots[0].job).order_by("number"))
    sent = services.make_up(
        shop_name=LONGEST_NAME,
        shares=[services.Share(lot) for lot in lots[100:300]],
        asked=UNBROKEN * 6,
        must_not=UNBROKEN * 6,
        hand=HAND,
    )
    for line in lines_of(sent):
        # What a bath may crack goes only for a reason.
        if line.lot.kind == "spring_washer":
            telling.send_anyway(line=line, why=UNBROKEN * 4, hand=HAND)
    sent = services.send(consignment=sent, hand=HAND)
    for _ in range(5):
        services.log_call(
            consignment=sent, said=UNBROKEN * 8, spoke_to=UNBROKEN, price=Decimal("123456.78"), hand=HAND
        )
    counted = [Counted(lot.pk, sort_of(lot), 3, 1) for lot in lots[100:104]]
    # One whole lot is back: it is asked which finish came.
    counted.append(Counted(lots[104].pk, sort_of(lots[104]), count_of(lots[104]).usable))
    proposed = count_back.propose(consignment=sent, scope=Scope("bucket"), counted=counted, finished=False)
    count_back.accept(
        consignment=sent,
        scope=Scope("bucket"),
        counted=counted,
        finished=False,
        state=proposed.state,
        damaged_said=UNBROKEN * 2,
        hand=HAND,
    )
    services.make_up(
        shop_name=f"{UNBROKEN} 2", shares=[services.Share(lot) for lot in lots[300:320]], hand=HAND
    )


def _tally(job: Job, area: Area) -> None:
    sheet = tally.open_sheet(
        job=job,
        kind="hex_bolt",
        thread="5/16-24 UNF",
        unit="in",
        area=area.name,
        bag="LONGESTCOD00",
        hand=HAND,
    )
    presses = [tally.Pressed(f"press-{n:06d}", f"{0.5 + 0.25 * (n % 24):.3f}") for n in range(150)]
    presses += [tally.Pressed(f"asked-{n:06d}", "0.815") for n in range(3)]
    tally.press(sheet=sheet, presses=presses, hand=HAND)
