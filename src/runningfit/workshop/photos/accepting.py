"""Accepting a photo: its pieces become lots with their pictures, in one act that can be taken back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from runningfit.core.errors import Conflict, InvalidInput
from runningfit.workshop.photos.cut_outs import MOST_SHOWN, original_of
from runningfit.workshop.photos.files import store
from runningfit.workshop.photos.grouping import PieceGroup, grouped, state_of
from runningfit.workshop.photos.hardware import held_run, need_measured, need_not_accepted
from runningfit.workshop.photos.hardware_models import PhotoPiece, PhotoRun
from runningfit.workshop.photos.hardware_reads import pieces_of
from runningfit.workshop.photos.pictured import Pictured
from runningfit.workshop.photos.pictures import Picture, read_picture
from runningfit.workshop.photos.same_pieces import in_its_bag, seen_before
from runningfit.workshop.photos.services import keep_photo
from runningfit.workshop.pieces.bag_codes import normal_code
from runningfit.workshop.pieces.bags import make_bag_inside
from runningfit.workshop.pieces.lots import keep_lots
from runningfit.workshop.pieces.models import Bag, Lot, Place
from runningfit.workshop.pieces.understanding import AreasByName, BagsByCode
from runningfit.workshop.records.models import Engine
from runningfit.workshop.records.writing import Entry, Hand, write

_CORRECTED = (
    "Somebody corrected a piece of this photo since the page was loaded. Nothing was kept. Look at what the "
    "lots are now, and accept them again."
)


@dataclass(frozen=True, slots=True)
class Chosen:
    """A group of pieces that shall become a lot: how many, and the place that they belong to."""

    key: str
    count: int
    place: Place | None = None


@dataclass(frozen=True, slots=True)
class Into:
    """Where the lots of a photo go: a bag by its code, or a new one, an area by its name, an engine."""

    bag: str = ""
    new_bag: bool = False
    area: str = ""
    origin: Engine | None = None


def accept(
    *,
    run: PhotoRun,
    chosen: Sequence[Chosen],
    into: Into,
    state: str,
    hand: Hand,
    others_than_before: bool = False,
) -> list[Lot]:
    """Take the pieces of a photo into the books, a lot for each group; each lot keeps its cut-out picture.

    Parameters
    ----------
    run : PhotoRun
        A photo that was measured.
    chosen : sequence of Chosen
        The groups that are kept; the others stay out of the books.
    into : Into
        Where they go.
    state : str
        That of the pieces as they were shown; when somebody corrected one in between it no longer holds.
    others_than_before : bool
        True where a person says that these are not the pieces that are in the books by an earlier photo of
        such pieces, or in the bag that they came out of.

    Returns
    -------
    list of Lot

    Raises
    ------
    Conflict
        It was accepted before, somebody corrected it meanwhile, or its pieces may be counted already.
    InvalidInput
        Nothing was chosen, or the bag's code cannot be used.
    """
    if not chosen:
        raise InvalidInput(
            "lots",
            needs="at least one line that is ticked",
            came="none",
            remedy="Tick what goes into the books, or correct what was not measured.",
        )
    code = normal_code(into.bag) if into.bag.strip() else ""
    pictures = _pictures(run, chosen)
    with write(verb="accept_photo", summary="accepted a hardware photo", hand=hand, job=run.job) as entry:
        held = held_run(run)
        need_measured(held)
        need_not_accepted(held)
        pieces = pieces_of(held)
        if state_of(pieces) != state:
            raise Conflict(_CORRECTED)
        if not others_than_before:
            _need_new(held, pieces)
        groups = {group.key: group for group in grouped(pieces)}
        lots = _keep(entry, held, [(groups[one.key], one) for one in chosen], into, code)
        for lot, (picture, names, words) in zip(lots, pictures, strict=True):
            pictured = Pictured(lot=lot, bag=lot.bag, area=lot.area, words=words)
            keep_photo(entry, job=held.job, picture=picture, names=names, pictured=pictured)
        # A photo of no bag yet shows from now on what lies in the one that its pieces went into.
        entry.change(held, accepted_by=entry.record, bag=held.bag or lots[0].bag)
        numbers = ", ".join(str(lot.number) for lot in lots)
        count = sum(one.count for one in chosen)
        entry.say(
            f"accepted {held}: {count} piece{'s' if count > 1 else ''} as lot{'s' if len(lots) > 1 else ''} "
            f"{numbers}" + (f", bag {lots[0].bag.code}" if lots[0].bag else "")
        )
    return lots


def _need_new(run: PhotoRun, pieces: Sequence[PhotoPiece]) -> None:
    """Refuse what may be in the books already, unless somebody says that it is not."""
    if seen_before(run, pieces) or (run.bag and in_its_bag(run)):
        raise Conflict(
            "They may be in the books already. Nothing was counted. "
            "Say below whether these are the same ones, or others."
        )


def _keep(
    entry: Entry, run: PhotoRun, chosen: Sequence[tuple[PieceGroup, Chosen]], into: Into, code: str
) -> list[Lot]:
    for _group, one in chosen:
        if one.place is not None and one.place.area.job_id != run.job_id:
            raise Conflict(f"The place {one.place.name} belongs to another job.")
    area = AreasByName(entry, run.job, into.origin).named(into.area)
    bag: Bag | None
    if into.new_bag and not code:
        bag = make_bag_inside(entry, job=run.job, area=area)
    else:
        bag, _question = BagsByCode(entry, run.job).coded(code, area)
    facts = [
        replace(group.facts(one.count), area=area, bag=bag, place=one.place, origin=into.origin)
        for group, one in chosen
    ]
    for row in (area, bag, into.origin):
        entry.refer(row)
    return keep_lots(entry, job=run.job, facts=facts)


def _pictures(run: PhotoRun, chosen: Sequence[Chosen]) -> list[tuple[Picture, dict[str, str], str]]:
    """Cut the pieces of each group out and store the pictures; decoding comes before the transaction."""
    groups = {group.key: group for group in grouped(pieces_of(run))}
    missing = [one.key for one in chosen if one.key not in groups]
    if missing:
        raise Conflict(_CORRECTED)
    photo = original_of(run)
    made = []
    for one in chosen:
        picture = read_picture(photo.sheet(groups[one.key].pieces), filename=f"cut-out of {run}")
        made.append((picture, store(picture), _words(groups[one.key])))
    return made


def _words(group: PieceGroup) -> str:
    shown = min(MOST_SHOWN, len(group.pieces))
    which = f"{shown} of {len(group.pieces)} pieces, " if shown < len(group.pieces) else ""
    return f"{which}cut out of a photo on the mat"
