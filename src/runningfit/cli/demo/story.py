"""The story of the demo as its data files tell it: what is said, by name, before anything is kept."""

from __future__ import annotations

import csv
import datetime as dt
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

DATA = Path(__file__).parent / "data"
PICTURES = Path(__file__).parent / "pictures"


@dataclass(frozen=True, slots=True)
class SaidEngine:
    """An engine: its name and number, and the window in which it was built."""

    name: str
    number: str
    built_from: dt.date
    built_to: dt.date
    built_basis: str
    country: str
    key: str = ""


@dataclass(frozen=True, slots=True)
class SaidPlace:
    """A place as a row of the list of places says it."""

    area: str
    name: str
    count: int
    kind: str
    thread: str
    length: str
    finish: str
    visible: bool
    torque: str
    hole_material: str
    hole_blind: str
    hole_depth: str
    basis: str
    basis_said: str


@dataclass(frozen=True, slots=True)
class SaidLine:
    """A quick line, and whose pieces it tells of: the subject engine, a donor, or the loose stock."""

    origin: str
    line: str


@dataclass(frozen=True, slots=True)
class ThreadChosen:
    """The thread that one end of a row of the bench list turned out to have."""

    row: int
    end: int
    designation: str


@dataclass(frozen=True, slots=True)
class Corrected:
    """A cell of the bench list read again and put right."""

    row: int
    kind: str = ""
    finish: str = ""


@dataclass(frozen=True, slots=True)
class Aside:
    """A row of the bench list that waits, and why."""

    row: int
    why: str


@dataclass(frozen=True, slots=True)
class Origin:
    """The engine that a lot came off."""

    lot: str
    engine: str


@dataclass(frozen=True, slots=True)
class Treat:
    """What is to be done with some lots, and whether it is done already."""

    treatment: str
    why: str
    lots: list[str]
    done: bool = False


@dataclass(frozen=True, slots=True)
class Allot:
    """Pieces of a lot for a place beyond what the proposal says; without a count the whole lot."""

    place: str
    lot: str
    count: int | None = None
    why: str = ""


@dataclass(frozen=True, slots=True)
class SaidFinding:
    """A finding, of a lot, a place or an area, with its photo and how it was settled."""

    what: str
    lot: str = ""
    place: str = ""
    area: str = ""
    count: int | None = None
    tried: str = ""
    note: str = ""
    settled: str = ""
    photo: str = ""


@dataclass(frozen=True, slots=True)
class SaidNaming:
    """What was measured of a thread that stays open."""

    lot: str
    country: str
    major_mm: float
    leaf_tpi: float
    why: str


@dataclass(frozen=True, slots=True)
class SaidCheck:
    """What was measured of some pieces of a lot, to be held against the limits of its thread."""

    lot: str
    count: int
    major_mm: float
    pitch_diameter_mm: float
    u_mm: float
    why: str


@dataclass(frozen=True, slots=True)
class Recount:
    """A lot counted again."""

    lot: str
    counted: int
    why: str


@dataclass(frozen=True, slots=True)
class SaidShop:
    """An outside shop."""

    name: str
    trade: str
    phone: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class SaidCall:
    """A call about a consignment; days are counted from today."""

    spoke_to: str
    said: str
    days_ago: int
    new_due: int | None = None
    price: str | None = None


@dataclass(frozen=True, slots=True)
class SaidBack:
    """What was counted coming back, as quick lines: of one bag, or of the whole bucket."""

    way: str
    lines: list[str]
    bag: str = ""


@dataclass(frozen=True, slots=True)
class SaidConsignment:
    """A consignment from its making-up to what came back; days are counted from today.

    ``anyway`` names lots that must not go and went all the same, each with the reason somebody gave.
    """

    shop: str
    treatment: str
    lots: list[str]
    sent: int | None = None
    due: int | None = None
    asked: str = ""
    must_not: str = ""
    quoted: str | None = None
    paid: str | None = None
    anyway: Mapping[str, str] = field(default_factory=dict)
    call: tuple[SaidCall, ...] = ()
    back: tuple[SaidBack, ...] = ()


@dataclass(frozen=True, slots=True)
class Fit:
    """Pieces that are in the engine again."""

    lot: str
    count: int


@dataclass(frozen=True, slots=True)
class Buy:
    """Something to buy, for a place, instead of a lot, or in plain words; days are counted from today."""

    place: str = ""
    instead_of: str = ""
    what: str = ""
    count: int | None = None
    supplier: str = ""
    price: str | None = None
    refurbish_price: str | None = None
    ordered: int | None = None
    due: int | None = None
    received: bool = False
    look: str = "unknown"
    note: str = ""


@dataclass(frozen=True, slots=True)
class Tally:
    """A tally sheet left open."""

    kind: str
    thread: str
    finish_look: str
    unit: str
    bag: str
    presses: list[str]


@dataclass(frozen=True, slots=True)
class Pictured:
    """A photo and what it shows; without a lot or a place it waits in the inbox."""

    file: str
    words: str = ""
    lot: str = ""
    place: str = ""
    bag: str = ""
    area: str = ""


@dataclass(frozen=True, slots=True)
class Story:
    """Everything the demo tells, in the order in which it is kept."""

    shop_name: str
    job_name: str
    job_note: str
    wanted_in: int
    engine: SaidEngine
    donors: tuple[SaidEngine, ...]
    places: tuple[SaidPlace, ...]
    bench_list: Path
    threads: tuple[ThreadChosen, ...]
    corrected: tuple[Corrected, ...]
    aside: tuple[Aside, ...]
    lines: tuple[SaidLine, ...]
    origins: tuple[Origin, ...]
    treats: tuple[Treat, ...]
    allots: tuple[Allot, ...]
    findings: tuple[SaidFinding, ...]
    named: tuple[SaidNaming, ...]
    checked: tuple[SaidCheck, ...]
    recounts: tuple[Recount, ...]
    packed: tuple[str, ...]
    labelled: tuple[str, ...]
    shops: tuple[SaidShop, ...]
    consignments: tuple[SaidConsignment, ...]
    fits: tuple[Fit, ...]
    to_buy: tuple[Buy, ...]
    tally: Tally
    pictures: tuple[Pictured, ...]


@cache
def the_story() -> Story:
    """Return the story, read from the data files."""
    told: dict[str, Any] = tomllib.loads((DATA / "scenario.toml").read_text(encoding="utf-8"))
    shown = tomllib.loads((DATA / "pictures.toml").read_text(encoding="utf-8"))
    job = told["job"]
    return Story(
        shop_name=told["shop"]["name"],
        job_name=job["name"],
        job_note=job["note"],
        wanted_in=job["wanted_in"],
        engine=SaidEngine(
            job["engine"],
            job["number"],
            job["built_from"],
            job["built_to"],
            job["built_basis"],
            job["country"],
        ),
        donors=tuple(SaidEngine(**row) for row in told["donor"]),
        places=tuple(_place(row) for row in _rows("places.csv")),
        bench_list=DATA / told["bench_list"]["file"],
        threads=tuple(ThreadChosen(**row) for row in told["bench_list"]["thread"]),
        corrected=tuple(Corrected(**row) for row in told["bench_list"]["correct"]),
        aside=tuple(Aside(**row) for row in told["bench_list"]["aside"]),
        lines=tuple(SaidLine(row["origin"], row["line"]) for row in _rows("quick-lines.csv")),
        origins=tuple(Origin(**row) for row in told["origin"]),
        treats=tuple(Treat(**row) for row in told["treat"]),
        allots=tuple(Allot(**row) for row in told["allot"]),
        findings=tuple(SaidFinding(**row) for row in told["finding"]),
        named=tuple(SaidNaming(**row) for row in told["named"]),
        checked=tuple(SaidCheck(**row) for row in told["checked"]),
        recounts=tuple(Recount(**row) for row in told["recount"]),
        packed=tuple(told["bags"]["packed"]),
        labelled=tuple(told["bags"]["labelled"]),
        shops=tuple(SaidShop(**row) for row in told["outside_shop"]),
        consignments=tuple(_consignment(row) for row in told["consignment"]),
        fits=tuple(Fit(**row) for row in told["fit"]),
        to_buy=tuple(Buy(**row) for row in told["to_buy"]),
        tally=Tally(**told["tally"]),
        pictures=tuple(Pictured(**row) for row in shown["picture"]),
    )


def money(text: str | None) -> Decimal | None:
    """Return an amount as the books keep it."""
    return None if text is None else Decimal(text)


def _rows(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


def _place(row: dict[str, str]) -> SaidPlace:
    return SaidPlace(
        area=row["area"],
        name=row["place"],
        count=int(row["count"]),
        kind=row["kind"].replace(" ", "_"),
        thread=row["thread"],
        length=row["length"],
        finish=row["finish"],
        visible=row["visible"] == "yes",
        torque=row["torque"],
        hole_material=row["hole material"],
        hole_blind=row["hole"],
        hole_depth=row["depth"],
        basis=row["known from"].replace(" ", "_"),
        basis_said=row["said"] or "",
    )


def _consignment(row: dict[str, Any]) -> SaidConsignment:
    calls = tuple(SaidCall(**call) for call in row.pop("call", ()))
    backs = tuple(SaidBack(**back) for back in row.pop("back", ()))
    return SaidConsignment(**row, call=calls, back=backs)
