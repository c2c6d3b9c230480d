"""How a metal expands, as far as anybody said what metal it is; both ends, so that each question has one."""

from __future__ import annotations

import re
from dataclasses import dataclass

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.grades import is_trusted
from runningfit.core.joints.press_fits.materials import known_elastic_materials, read_elastic_material
from runningfit.core.standards.tables import rows
from runningfit.core.verdicts import Reason

_TABLE = "expansions_collected_2026"
_UNKNOWN = {"", "unknown", "not known", "?"}
_ALUMINIUM = {"aluminium", "aluminum", "alloy", "light alloy"}
_ALPHA = re.compile(r"\s*(?:alpha|α)\s*=\s*(?P<value>[0-9]*\.?[0-9]+(?:e-?[0-9]+)?)\s*(?:/?\s*k)?\s*", re.I)
_LEAST_PER_K, _MOST_PER_K = 1e-7, 1e-4


@dataclass(frozen=True, slots=True)
class Expansion:
    """The linear expansion of a metal.

    Parameters
    ----------
    said : str
        What metal it is.
    low_per_k, high_per_k : float
        Both ends of the coefficient [1/K].
    known : bool
        False where nobody said what metal it is, so that the ends are those of all metals in the tables.
    trusted : bool
        False where a figure behind it is from memory.
    reasons : tuple of Reason
        The figures with their sources.
    """

    said: str
    low_per_k: float
    high_per_k: float
    known: bool
    trusted: bool
    reasons: tuple[Reason, ...]


def known_expansions() -> tuple[str, ...]:
    """The metals whose expansion stands in a table.

    Returns
    -------
    tuple of str
        Families, then alloys and uses.
    """
    own = dict.fromkeys(name for row in rows(_TABLE) for name in (row["material"], row["kind"]))
    return tuple(dict.fromkeys(("aluminium", *known_elastic_materials(), *own)))


def read_expansion(text: str | None) -> Expansion:
    """Look up how a metal expands, or read the figure as typed.

    Parameters
    ----------
    text : str or None
        `grey cast iron`, `aluminium`, `2024`, `alpha=21e-6`; nothing or `unknown` is any metal of the tables.

    Returns
    -------
    Expansion
        Both ends of what it may be.

    Raises
    ------
    InvalidInput
        No table has such a metal, or the figure cannot be.
    """
    plain = " ".join((text or "").lower().replace("_", " ").split())
    if plain in _UNKNOWN:
        return _any_metal()
    if plain in _ALUMINIUM:
        wrought = [one for one in _own("wrought aluminium") if one.trusted]
        found = _family("aluminium", [_elastic("aluminium casting"), *wrought])
        note = Reason(
            "Pistons with much silicon expand less than 21e-6 per K (from memory): their hot clearance may "
            "be larger than its largest here."
        )
        return Expansion(
            found.said, found.low_per_k, found.high_per_k, True, found.trusted, (*found.reasons, note)
        )
    own = _own(plain)
    if own:
        return _family(plain, own)
    if "=" in plain and _ALPHA.fullmatch(plain):
        return _typed(text or "")
    try:
        return _elastic(text or "")
    except InvalidInput as refused:
        if refused.argument != "material" or "=" in plain:
            raise
        raise InvalidInput(
            "material",
            needs=f"one of {', '.join(known_expansions())}",
            came=text,
            remedy='Or write its figure, such as "alpha=21e-6"; unknown is taken at its careful end.',
        ) from None


def _typed(text: str) -> Expansion:
    found = _ALPHA.fullmatch(text)
    value = float(found["value"]) if found else 0.0
    if not _LEAST_PER_K <= value <= _MOST_PER_K:
        raise InvalidInput("alpha", needs="the expansion for each kelvin, such as 21e-6", came=text)
    reason = Reason(f"The expansion of the metal is as typed: {text.strip()}.")
    return Expansion("as typed", value, value, True, True, (reason,))


def _elastic(name: str) -> Expansion:
    metal = read_elastic_material(name)
    ends = (metal.expansion_low_per_k, metal.expansion_high_per_k)
    return _said(metal.said, ends, metal.trusted, [one.source or one.text for one in metal.reasons])


def _own(name: str) -> list[Expansion]:
    """The rows of the table of expansions that a name means."""
    found = []
    for row in rows(_TABLE):
        # Steel, bronze and brass as families stand in the other table.
        family = set() if row["material"] in {"steel", "bronze", "brass"} else {row["material"]}
        if name not in family | {row["kind"].lower()}:
            continue
        ends = (
            float(row["expansion_low_um_per_m_k"]) * 1e-6,
            float(row["expansion_high_um_per_m_k"]) * 1e-6,
        )
        trusted = is_trusted(row["status"], row["source"])
        found.append(_said(row["kind"], ends, trusted, [f"{row['source']} ({row['status']})"]))
    return found


def _said(name: str, ends: tuple[float, float], trusted: bool, sources: list[str]) -> Expansion:
    low, high = ends
    span = f"{low * 1e6:.3g}" if low == high else f"{low * 1e6:.3g} to {high * 1e6:.3g}"
    reason = Reason(f"{name} expands by {span}e-6 per K.", "; ".join(dict.fromkeys(sources)))
    return Expansion(name, low, high, True, trusted, (reason,))


def _family(name: str, members: list[Expansion]) -> Expansion:
    if len(members) == 1:
        return members[0]
    return _said(
        name,
        (min(one.low_per_k for one in members), max(one.high_per_k for one in members)),
        all(one.trusted for one in members),
        [reason.source for one in members for reason in one.reasons],
    )


def _any_metal() -> Expansion:
    metals = [_elastic(name) for name in known_elastic_materials()]
    metals += [one for row in rows(_TABLE) for one in _own(row["kind"].lower()) if one.trusted]
    low, high = min(one.low_per_k for one in metals), max(one.high_per_k for one in metals)
    reason = Reason(
        f"Nobody said what metal it is, so it may expand by {low * 1e6:.3g}e-6 to {high * 1e6:.3g}e-6 per K, "
        "the ends of all metals in the tables.",
        "elastic_materials_collected_2026 and expansions_collected_2026",
    )
    return Expansion("unknown metal", low, high, False, True, (reason,))
