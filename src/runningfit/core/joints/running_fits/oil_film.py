"""A check of the oil film of a bearing under a steady load: does it come to anything sensible at all."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from math import isfinite, log

from runningfit.core.errors import InvalidInput
from runningfit.core.standards.tables import rows
from runningfit.core.units import MM_PER_INCH, SaidLength, SentencePart
from runningfit.core.verdicts import Caution, Outcome, Reason, Verdict

_TABLE = "raimondi_boyd_1958"
_SOURCE = "Raimondi and Boyd 1958, each figure solved anew from Reynolds' equation within 3.5 %"
# An article on engine bearings names twenty millionths of an inch as the thinnest that runs (SECONDARY).
THINNEST_FILM_UM = 0.00002 * MM_PER_INCH * 1000
_UM_PER_MM = 1000.0


@dataclass(frozen=True, slots=True)
class FilmCase:
    """A plain bearing under a steady load.

    Parameters
    ----------
    journal_mm : float
        Diameter of the journal [mm].
    width_mm : float
        Width of the bearing that carries [mm].
    clearance_low_mm, clearance_high_mm : float
        The least and the largest clearance on diameter, as it runs [mm].
    load_n : float
        The load [N].
    speed_rpm : float
        The speed of the journal in its bearing [1/min].
    viscosity_mpa_s : float
        The dynamic viscosity of the oil in the film [mPa s].

    Raises
    ------
    InvalidInput
        A figure that is not more than nothing, or clearances in the wrong order.
    """

    journal_mm: float
    width_mm: float
    clearance_low_mm: float
    clearance_high_mm: float
    load_n: float
    speed_rpm: float
    viscosity_mpa_s: float

    def __post_init__(self) -> None:
        figures = {
            "journal": self.journal_mm,
            "width": self.width_mm,
            "clearance": self.clearance_low_mm,
            "load": self.load_n,
            "speed": self.speed_rpm,
            "viscosity": self.viscosity_mpa_s,
        }
        for name, value in figures.items():
            if not (isfinite(value) and value > 0):
                raise InvalidInput(name, needs="more than nothing", came=f"{value:g}")
        if not self.clearance_low_mm <= self.clearance_high_mm < self.journal_mm / 20:
            raise InvalidInput(
                "clearance", needs="the least before the largest, and below a twentieth of the journal",
                came=f"{self.clearance_low_mm:g} and {self.clearance_high_mm:g} mm",
                remedy="It is on diameter; check the decimal point.",
            )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Film:
    """The film at one clearance.

    Parameters
    ----------
    clearance_mm : float
        The clearance on diameter [mm].
    sommerfeld : float
        The Sommerfeld number [-].
    eccentricity : float or None
        Distance of the centres over the radial clearance [-]; none beyond the table.
    least_film_um : float or None
        The least thickness of the film [µm]; none beyond the table.
    at_most_um : float or None
        What that thickness is at the most [µm], where a load too heavy for the table leaves it below its last
        figure; none where the load is too light.
    """

    clearance_mm: float
    sommerfeld: float
    eccentricity: float | None
    least_film_um: float | None
    at_most_um: float | None


@dataclass(frozen=True, slots=True)
class FilmAnswer:
    """The film of a bearing, worked out.

    Parameters
    ----------
    specific_load_mpa : float
        Load over width times diameter [MPa].
    at_low, at_high : Film
        The film at the least and the largest clearance.
    verdict : Verdict
        What it comes to, never sound, as the load of an engine is not steady; its value is the thinner
        film [µm].
    """

    specific_load_mpa: float
    at_low: Film
    at_high: Film
    verdict: Verdict


def oil_film(bearing: FilmCase) -> FilmAnswer:
    """Work out the least oil film of a plain bearing under a steady load.

    Parameters
    ----------
    bearing : FilmCase
        Bearing, load, speed and oil.

    Returns
    -------
    FilmAnswer
        Specific load and least film; not sound where the film is thinner than any that runs, else not proven.

    Raises
    ------
    InvalidInput
        A width beyond a quarter to once the diameter, for which the table holds.

    Notes
    -----
    S = (r/c)² μ N / P with radial clearance c, N in turns each second and P = W / (l d); least film
    c (1 - ε(S, l/d)) from the table of Raimondi and Boyd, between its entries along straight lines of log S
    and log l/d.
    """
    ratio = bearing.width_mm / bearing.journal_mm
    widths = tuple(_table())
    if not widths[0] <= ratio <= widths[-1]:
        raise InvalidInput(
            "width of the bearing", needs=f"{widths[0]:g} to {widths[-1]:g} times the diameter",
            came=f"{ratio:.2g} times", remedy="Of a bearing with a groove around it, take one half.",
        )  # fmt: skip
    specific_mpa = bearing.load_n / (bearing.width_mm * bearing.journal_mm)
    films = [
        _film(bearing, one, specific_mpa) for one in (bearing.clearance_low_mm, bearing.clearance_high_mm)
    ]
    known = [one.least_film_um for one in films if one.least_film_um is not None]
    thinnest_um = min(known) if len(known) == len(films) else None
    reasons = [Reason(f"The load is {specific_mpa:.2f} MPa on width times diameter.")]
    for one in films:
        reasons.append(
            Reason.of(
                *("At ", SaidLength(one.clearance_mm, 4), " of clearance: Sommerfeld number "),
                *(f"{one.sommerfeld:.3g}, least film ", *_film_said(one), "."),
                source=_SOURCE,
            )
        )
    too_thin = all(one.at_most_um is not None and one.at_most_um < THINNEST_FILM_UM for one in films)
    if too_thin:
        reasons.append(
            Reason.of(
                *("That is thinner than the ", _said(THINNEST_FILM_UM, ".1f")),
                " that bearings are said to run with.",
                source="an article on engine bearings (SECONDARY)",
            )
        )
    cautions = (
        Caution(
            "A check under a steady load and with a full flow of oil at one temperature: the load of an "
            "engine turns and beats, so this is no pass. The maker's clearance decides."
        ),
        Caution("The film must be thicker than both surfaces are rough, together and under load."),
    )
    verdict = Verdict(
        Outcome.NOT_SOUND if too_thin else Outcome.NOT_PROVEN,
        thinnest_um,
        "µm",
        reasons=tuple(reasons),
        cautions=cautions,
    )
    return FilmAnswer(specific_mpa, films[0], films[1], verdict)


def _film(case: FilmCase, clearance_mm: float, specific_mpa: float) -> Film:
    # mPa s over MPa is 1e-9 s, and r/c is diameter over clearance on diameter.
    sommerfeld = (
        (case.journal_mm / clearance_mm) ** 2
        * case.viscosity_mpa_s
        * (case.speed_rpm / 60)
        / specific_mpa
        * 1e-9
    )
    curve = _curve(case.width_mm / case.journal_mm)
    eccentricity = _eccentricity(sommerfeld, curve)
    radial_um = clearance_mm / 2 * _UM_PER_MM
    least_um = None if eccentricity is None else radial_um * (1 - eccentricity)
    last, log_last = curve[-1]
    at_most_um = radial_um * (1 - last) if log(sommerfeld) < log_last else least_um
    return Film(clearance_mm, sommerfeld, eccentricity, least_um, at_most_um)


def _film_said(film: Film) -> tuple[SentencePart, ...]:
    if film.least_film_um is not None:
        return (_said(film.least_film_um, ".2f"),)
    if film.at_most_um is None:
        return ("thicker than the table goes, for so light a load",)
    return "below ", _said(film.at_most_um, ".2f"), ", where the table ends"


def _said(film_um: float, form: str) -> SaidLength:
    return SaidLength(film_um / _UM_PER_MM, None, form=form)


@cache
def _table() -> dict[float, tuple[tuple[float, float], ...]]:
    """Of each width over diameter, eccentricity with the logarithm of its Sommerfeld number."""
    found: dict[float, list[tuple[float, float]]] = {}
    for row in rows(_TABLE):
        entry = (float(row["eccentricity"]), log(float(row["sommerfeld"])))
        found.setdefault(float(row["length_over_diameter"]), []).append(entry)
    return {width: tuple(entries) for width, entries in sorted(found.items())}


def _eccentricity(sommerfeld: float, curve: Sequence[tuple[float, float]]) -> float | None:
    wanted = log(sommerfeld)
    # The lighter the load, the larger the Sommerfeld number and the smaller the eccentricity.
    for (low, log_low), (high, log_high) in pairwise(curve):
        if log_high <= wanted <= log_low:
            return low + (high - low) * (log_low - wanted) / (log_low - log_high)
    return None


def _curve(ratio: float) -> Sequence[tuple[float, float]]:
    """The table's column for a width over diameter, between its neighbours along log S and log l/d."""
    table = _table()
    for low, high in pairwise(table):
        if low <= ratio <= high:
            share = log(ratio / low) / log(high / low)
            pairs = zip(table[low], table[high], strict=True)
            return [(e, one + share * (two - one)) for (e, one), (_, two) in pairs]
    raise InvalidInput("width of the bearing", needs="a width of the table", came=f"{ratio:g}")
