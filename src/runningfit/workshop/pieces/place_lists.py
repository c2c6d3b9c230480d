"""Places from a list: a parts list typed off a page, or holes counted into a spreadsheet."""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from enum import StrEnum

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.bench_list.tables import Row, Table, read_table
from runningfit.core.pieces.counts import Count, read_count
from runningfit.core.pieces.kinds import Kind, KindUnknown, read_kind
from runningfit.core.units import LengthUnit
from runningfit.workshop.pieces.models import Area, Place
from runningfit.workshop.pieces.place_reading import PlaceWords, read_place
from runningfit.workshop.pieces.places import (
    PlaceFacts,
    change_facts_of_place,
    check_facts,
    keep_place,
    need_basis,
)
from runningfit.workshop.pieces.understanding import AreasByName
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.writing import Hand, write

# One place a hole at most; an engine of this trade has some hundreds of holes.
MAX_PLACES = 2_000


class Column(StrEnum):
    """What a column of a list of places tells."""

    AREA = "area"
    NAME = "place"
    COUNT = "count"
    KIND = "kind"
    THREAD = "thread"
    LENGTH = "length"
    FINISH = "finish"
    VISIBLE = "visible"
    TORQUE = "torque"
    MATERIAL = "hole material"
    BLIND = "blind or through"
    DEPTH = "depth"
    NOTE = "note"


# Heading words, the surer ones first; a column takes the first that one of its heading's words fits.
_HEADINGS: tuple[tuple[Column, frozenset[str]], ...] = (
    (Column.BLIND, frozenset({"blind", "through"})),
    (Column.DEPTH, frozenset({"depth", "deep"})),
    (Column.MATERIAL, frozenset({"material", "hole", "metal", "into"})),
    (Column.TORQUE, frozenset({"torque", "tighten", "tightening"})),
    (Column.VISIBLE, frozenset({"visible", "seen", "visibility"})),
    (Column.FINISH, frozenset({"finish", "look", "plating", "colour", "color"})),
    (Column.LENGTH, frozenset({"length", "len", "long"})),
    (Column.THREAD, frozenset({"thread", "size", "threads"})),
    (Column.COUNT, frozenset({"count", "qty", "quantity", "number", "off", "how"})),
    (Column.KIND, frozenset({"kind", "type", "what", "fastener", "item"})),
    (Column.AREA, frozenset({"area", "region", "group", "assembly", "section"})),
    (Column.NAME, frozenset({"place", "position", "location", "where", "name", "description"})),
    (Column.NOTE, frozenset({"note", "notes", "remarks", "remark", "comment"})),
)
_WORD = re.compile(r"[a-z]+")
_YES = frozenset({"y", "yes", "x", "1", "true", "visible", "seen", "outside"})
_NO = frozenset({"", "-", "n", "no", "0", "false", "hidden", "inside", "not seen"})


@dataclass(frozen=True, slots=True)
class PlaceRow:
    """A row of a list of places as understood, or why it was not.

    ``fate`` is new, changed, same or not understood.
    """

    line_number: int
    typed: str
    area: str
    facts: PlaceFacts | None
    fate: str
    problem: str = ""
    differs: tuple[str, ...] = ()


def understand_places(
    *, job: Job, data: bytes, filename: str, basis: str, basis_said: str, default_unit: LengthUnit
) -> list[PlaceRow]:
    """Understand a list of places, each row beside what the job already knows.

    Parameters
    ----------
    data : bytes
        A CSV or XLSX file with a heading row, at least with columns for the area, the place and the count.
    basis, basis_said : str
        Where the knowledge of the whole list comes from.
    default_unit : LengthUnit
        The shop's unit.

    Raises
    ------
    InvalidInput
        The file is no such list, or it is not said where it comes from.
    """
    need_basis(basis, basis_said)
    table = read_table(data, filename=filename)
    heading, columns = _columns(table)
    rows = [row for row in table.rows if row.line_number > heading.line_number and not row.is_blank]
    if not rows:
        raise InvalidInput("list", needs="rows under its heading", came=f"{filename} with none")
    if len(rows) > MAX_PLACES:
        raise InvalidInput("list", needs=f"at most {MAX_PLACES:,} rows", came=f"{len(rows):,} rows")
    known = {
        (place.area.name.casefold(), place.name.casefold()): place
        for place in Place.objects.filter(area__job=job, withdrawn=False).select_related("area")
    }
    seen: dict[tuple[str, str], int] = {}
    read = []
    area = ""
    for row in rows:
        # An area is often written once and holds for the rows below it.
        area = _text(row, columns, Column.AREA) or area
        read.append(
            _understood(row, columns, area, PlaceSource(basis, basis_said, default_unit), known, seen)
        )
    return read


@dataclass(frozen=True, slots=True)
class PlaceSource:
    """Where a list of places comes from, and the unit of its bare numbers."""

    basis: str
    basis_said: str
    default_unit: LengthUnit


def import_places(*, job: Job, rows: Sequence[PlaceRow], hand: Hand) -> tuple[int, int]:
    """Keep the understood rows of a list: new places are made, changed ones changed, the same left alone.

    Returns
    -------
    made, changed : int
        How many places.
    """
    if not any(row.fate in ("new", "changed") for row in rows):
        return 0, 0
    with write(verb="import_places", summary="imported places", hand=hand, job=job) as entry:
        areas = AreasByName(entry, job, None)
        made = changed = 0
        for row in rows:
            if row.facts is None or row.fate not in ("new", "changed"):
                continue
            area = areas.named(row.area)
            if area is None:
                continue
            place = _known_place(area, row.facts.name)
            if place is None:
                keep_place(entry, area=area, facts=row.facts)
                made += 1
            else:
                change_facts_of_place(entry, place, row.facts)
                changed += 1
        entry.say(f"imported places: {made} new, {changed} changed")
    return made, changed


def text_of(data: bytes, filename: str, *, only: Collection[int] | None = None) -> str:
    """Return a list of places as text with tabs between its columns, as the form shows it.

    Parameters
    ----------
    only : collection of int or None
        Line numbers of the rows wanted beside the heading; None means all.
    """
    table = read_table(data, filename=filename)
    heading, _read = _columns(table)
    rows = [row for row in table.rows if row.line_number > heading.line_number and not row.is_blank]
    wanted = [heading] + [row for row in rows if only is None or row.line_number in only]
    return "\n".join("\t".join(" ".join(cell.text.split()) for cell in row.cells) for row in wanted)


def _known_place(area: Area, name: str) -> Place | None:
    return Place.objects.filter(area=area, name__iexact=name.strip(), withdrawn=False).first()


def _columns(table: Table) -> tuple[Row, dict[Column, int]]:
    for row in table.rows[:20]:
        columns: dict[Column, int] = {}
        for index, cell in enumerate(row.cells):
            words = set(_WORD.findall(cell.text.lower()))
            meaning = next(
                (column for column, known in _HEADINGS if words & known and column not in columns), None
            )
            if meaning is not None:
                columns[meaning] = index
        if {Column.AREA, Column.NAME, Column.COUNT} <= set(columns):
            return row, columns
    raise InvalidInput(
        "list",
        needs="a heading row that names at least area, place and count",
        came="none in the first 20 rows",
        remedy=f"Head the columns with {', '.join(column.value for column in Column)}, as you have them.",
    )


def _text(row: Row, columns: dict[Column, int], column: Column) -> str:
    index = columns.get(column)
    return " ".join(row.cell(index).text.split()) if index is not None else ""


def _understood(
    row: Row,
    columns: dict[Column, int],
    area: str,
    source: PlaceSource,
    known: dict[tuple[str, str], Place],
    seen: dict[tuple[str, str], int],
) -> PlaceRow:
    typed = " · ".join(cell.text.strip() for cell in row.cells if cell.text.strip())
    try:
        if not area:
            raise InvalidInput("area", needs="a name", came="", remedy="Say which area the place is in.")
        facts = _facts(row, columns, source)
        key = (area.casefold(), facts.name.casefold())
        if key in seen:
            raise InvalidInput(
                "place",
                needs="a name once in its area",
                came=facts.name,
                remedy=f"Line {seen[key]} has it already.",
            )
        seen[key] = row.line_number
    except InvalidInput as error:
        return PlaceRow(row.line_number, typed, area, None, "not understood", str(error))
    place = known.get(key)
    if place is None:
        return PlaceRow(row.line_number, typed, area, facts, "new")
    differs = _differs(place, facts)
    return PlaceRow(row.line_number, typed, area, facts, "changed" if differs else "same", differs=differs)


def _facts(row: Row, columns: dict[Column, int], source: PlaceSource) -> PlaceFacts:
    said = {column: _text(row, columns, column) for column in Column}
    count = read_count(said[Column.COUNT])
    if not isinstance(count, Count):
        raise InvalidInput("count", needs="a whole number", came=said[Column.COUNT], remedy=count.remedy)
    kind = read_kind(said[Column.KIND]) if said[Column.KIND] else Kind.OTHER
    if isinstance(kind, KindUnknown):
        raise InvalidInput("kind", needs="a kind of fastener", came=said[Column.KIND], remedy=kind.reason)
    facts = read_place(
        PlaceWords(
            name=said[Column.NAME],
            count=count.number,
            basis=source.basis,
            basis_said=source.basis_said,
            kind=kind.value,
            thread=said[Column.THREAD],
            length=said[Column.LENGTH],
            finish=said[Column.FINISH],
            visible=_visible(said[Column.VISIBLE]),
            torque=said[Column.TORQUE],
            hole_material=said[Column.MATERIAL],
            hole_blind=_blind(said[Column.BLIND]),
            hole_depth=said[Column.DEPTH],
            note=said[Column.NOTE],
        ),
        default_unit=source.default_unit,
    )
    check_facts(facts)
    return facts


def _visible(said: str) -> bool:
    word = said.lower()
    if word in _YES:
        return True
    if word in _NO:
        return False
    raise InvalidInput("visible", needs="yes or no", came=said)


def _blind(said: str) -> str:
    word = said.lower()
    for known in ("blind", "through"):
        if word.startswith(known):
            return known
    if word in ("", "-", "?"):
        return ""
    raise InvalidInput("blind or through", needs="blind, through or nothing", came=said)


def _differs(place: Place, facts: PlaceFacts) -> tuple[str, ...]:
    pairs = (
        ("count", place.count, facts.count),
        ("kind", place.kind, facts.kind),
        ("thread", place.end_a, "|".join(facts.end_a)),
        ("other end", place.end_b, "|".join(facts.end_b)),
        ("size", place.size_said, facts.size_said),
        ("length", place.length_mm, facts.length_mm),
        ("finish", place.finish_wanted, facts.finish_wanted),
        ("visible", place.visible, facts.visible),
        ("torque", place.torque_nm, facts.torque_nm),
        ("hole material", place.hole_material, facts.hole_material),
        ("blind or through", place.hole_blind, facts.hole_blind),
        ("depth", place.hole_depth_mm, facts.hole_depth_mm),
        ("note", place.note, facts.note),
        ("where from", (place.basis, place.basis_said), (facts.basis, facts.basis_said)),
    )
    return tuple(f"{name}: {_shown(old)} → {_shown(new)}" for name, old, new in pairs if old != new)


def _shown(value: object) -> str:
    if isinstance(value, tuple):
        return " ".join(str(part) for part in value if part).replace("_", " ")
    if isinstance(value, float):
        return f"{value:g}"
    return str(value).replace("|", " or ") if value not in (None, "") else "nothing"
