"""What a shop says of one-sided wear: towards which side, and how one-sided such engines usually are."""

from __future__ import annotations

import re
from collections.abc import Collection

from runningfit.core.errors import InvalidInput
from runningfit.core.treatments.machining.cutting import OneSided

_TOWARDS = re.compile(
    r"^(?P<size>.*?)\s+at\s+(?P<angle>-?[0-9]+(?:[.,][0-9]+)?)\s*(?:°|deg)?\s*$", re.IGNORECASE
)
_USUAL = re.compile(
    r"^(?P<usual>[0-9]+(?:[.,][0-9]+)?)\s*%?\s*(?:(?:±|\+-|\+/-)\s*(?P<spread>[0-9]+(?:[.,][0-9]+)?)\s*)?%$"
)


def read_side(text: str) -> tuple[str, float | None]:
    """Part an offset from the side towards which it lies.

    Parameters
    ----------
    text : str
        Such as `0.04 ± 0.01 mm at 90°`.

    Returns
    -------
    tuple of str and (float or None)
        The size as typed, and the direction [°]; none where none was typed.
    """
    found = _TOWARDS.match(" ".join(text.split()))
    if found is None:
        return text.strip(), None
    return found["size"], float(found["angle"].replace(",", ".")) % 360.0


def read_offsets(text: str, names: Collection[str]) -> dict[str, tuple[str, float | None]]:
    """Part offsets by the bore or journal to which each belongs.

    Parameters
    ----------
    text : str
        Such as `3: 0.04 ± 0.01 mm at 90°; 1: 0.02 mm`, with semicolons or lines between.
    names : collection of str
        Those that there are.

    Returns
    -------
    dict of str to (str, float or None)
        By name the size as typed and the direction [°].

    Raises
    ------
    InvalidInput
        No name, one that is not there, or one twice.
    """
    found: dict[str, tuple[str, float | None]] = {}
    for part in (one.strip() for one in re.split(r"[;\n]", text)):
        name, colon, size = (piece.strip() for piece in part.partition(":"))
        if not part:
            continue
        if not colon or name not in names or name in found:
            raise InvalidInput(
                "offsets", needs=f"one of {', '.join(sorted(names))} and a size for each, semicolons between",
                came=part, remedy="Such as 3: 0.04 ± 0.01 mm; 1: 0.02 mm at 90°.",
            )  # fmt: skip
        found[name] = read_side(size)
    return found


def read_one_sided(text: str) -> OneSided:
    """Read how one-sided such engines wear.

    Parameters
    ----------
    text : str
        The usual share of the wear by which one side is worn more, and how it spreads from bore to bore:
        `40 ± 15 %`; blank where the shop has no figures of its own.

    Returns
    -------
    OneSided
        With what is usual of any engine for what was not told.

    Raises
    ------
    InvalidInput
        No share between nothing and all, or a spread that such shares cannot have.
    """
    written = " ".join(text.split())
    if not written:
        return OneSided()
    found = _USUAL.match(written)
    if found is None:
        raise InvalidInput(
            "one-sided wear", needs="a share of the wear in per cent, with its spread where it is known",
            came=written, remedy="Such as 40 ± 15 %.",
        )  # fmt: skip
    spread = found["spread"]
    return OneSided(
        usual=float(found["usual"].replace(",", ".")) / 100,
        spread=None if spread is None else float(spread.replace(",", ".")) / 100,
    )
