"""What a form says of a piece, or of what a place needs, read into the fields that both have."""

from __future__ import annotations

from dataclasses import dataclass

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.kinds import Kind, is_pressed_plug
from runningfit.core.pieces.lot_lengths import length_unit_of, read_lot_length
from runningfit.core.pieces.lot_threads import ThreadText, read_threads
from runningfit.core.units import LengthUnit


@dataclass(frozen=True, slots=True)
class Spec:
    """Kind, thread at each end, length, as a lot or a place keeps them; an open thread has all candidates."""

    kind: str
    end_a: tuple[str, ...] = ()
    end_b: tuple[str, ...] = ()
    size_said: str = ""
    length_mm: float | None = None
    length_nominal: str = ""
    length_typed: str = ""
    length_basis: str = ""
    questions: tuple[str, ...] = ()


def read_spec(
    *, kind: str, thread: str, length: str, words: str = "", default_unit: LengthUnit | None = None
) -> Spec:
    """Read a kind, a thread and a length as the trade writes them.

    Parameters
    ----------
    kind : str
        One of core.pieces.Kind.
    thread : str
        As written; two ends are parted by a slash, an open thread may stay open; empty is unknown.
    length : str
        As written; empty is unknown.
    words : str
        Other words about it that may settle an open thread.
    default_unit : LengthUnit or None
        The unit of a bare length where the thread does not tell it.

    Raises
    ------
    InvalidInput
        A thread or a length was typed that cannot be read, or that has two readings.
    """
    if kind not in set(Kind):
        raise InvalidInput("kind", needs="one of the kinds in the list", came=kind)
    sort = Kind(kind)
    threads = read_threads(
        ThreadText(thread.strip(), "", "", words),
        kind=sort,
        threaded=sort.has_thread and not is_pressed_plug(words),
    )
    if thread.strip() and threads.problems:
        problem = threads.problems[0]
        raise InvalidInput(
            "thread",
            needs="a standard thread or size",
            came=thread.strip(),
            remedy=_remedy(problem.what, problem.remedy),
        )
    candidates = tuple(name for end in threads.ends for name in end.candidates)
    sizes = candidates or ((threads.size_said,) if threads.size_said else ())
    unit = length_unit_of(sizes) or default_unit
    read = read_lot_length(length, kind=sort, column_unit=None, thread_unit=unit)
    if length.strip() and read.problems:
        trouble = read.problems[0]
        raise InvalidInput(
            "length", needs="one length", came=length.strip(), remedy=_remedy(trouble.what, trouble.remedy)
        )
    ends = [end.candidates for end in threads.ends] + [(), ()]
    basis = sort.length_basis
    return Spec(
        kind=kind,
        end_a=ends[0],
        end_b=ends[1],
        size_said=(threads.size_said or "")[:40],
        length_mm=read.mm,
        length_nominal=(read.nominal or "")[:30],
        length_typed=length.strip()[:60],
        length_basis=basis.value if basis and read.mm is not None else "",
        questions=tuple(question.question for question in (*threads.questions, *read.questions)),
    )


def thread_typed(end_a: str, end_b: str, size_said: str) -> str:
    """Return the text that reads back as these ends, for a form that shows what is kept.

    An open thread has no text of its own that keeps it open, so its first spelling without a series is given.
    """
    shown = [_open_form(end) for end in (end_a, end_b) if end]
    if len(shown) == 2 and shown[0] == shown[1]:
        shown = shown[:1]
    return " / ".join(shown) or size_said


def _open_form(end: str) -> str:
    first, *others = end.split("|")
    return first.rpartition(" ")[0] or first if others else first


def _remedy(what: str, remedy: str) -> str:
    said = what[:1].upper() + what[1:]
    return f"{said}. {remedy}".strip()
