"""The compression ratio of a cylinder with its uncertainty, and what bore, skim and gasket make of it."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from math import pi

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.engine_figures.swept import check_size, inputs_of
from runningfit.core.measurements.uncertainty.inputs import Budget
from runningfit.core.measurements.uncertainty.measured import Measured
from runningfit.core.measurements.uncertainty.propagation import Propagated, propagate

_MM3_PER_ML = 1000.0
_NOTHING = Measured(0.0, 0.0)
# In ml for each square of a diameter in mm and millimetre of height.
_ROUND = pi / 4 / _MM3_PER_ML


@dataclass(frozen=True, slots=True)
class Cylinder:
    """What the compression ratio of one cylinder comes from.

    Parameters
    ----------
    name : str
        Which cylinder.
    bore_mm, stroke_mm : Measured
        Bore and stroke [mm].
    chamber_ml : Measured
        The chamber in the head, by burette, valves and plug in place [ml].
    gasket_mm, gasket_bore_mm : Measured
        The gasket as it is when tightened, and the diameter of its hole [mm].
    deck_mm : Measured
        From the piston's edge up to the face of the block at the top of the stroke [mm]; negative where the
        piston stands proud.
    dish_ml : Measured
        What is hollow in the crown, pockets for valves with it, less what stands above its edge [ml]; of a
        domed piston negative.
    land_diameter_mm : Measured or None
        The diameter of the piston above the top ring [mm]; none leaves the gap beside it out.
    land_mm : Measured
        How far the top ring lies below the edge [mm].
    face_mm2 : float or None
        The area of the chamber in the face of the head [mm²], which a skim of the head takes away; none is
        that of the bore.
    """

    name: str
    bore_mm: Measured
    stroke_mm: Measured
    chamber_ml: Measured
    gasket_mm: Measured
    gasket_bore_mm: Measured
    deck_mm: Measured = _NOTHING
    dish_ml: Measured = _NOTHING
    land_diameter_mm: Measured | None = None
    land_mm: Measured = field(default=_NOTHING)
    face_mm2: float | None = None

    def __post_init__(self) -> None:
        check_size(self.bore_mm, "bore")
        check_size(self.stroke_mm, "stroke")
        check_size(self.gasket_bore_mm, "gasket bore")
        if self.gasket_bore_mm.value < 0.9 * self.bore_mm.value:
            raise InvalidInput(
                "gasket bore", needs="about the bore or more",
                came=f"{self.gasket_bore_mm.value:g} mm over a bore of {self.bore_mm.value:g} mm",
            )  # fmt: skip
        if not 0 <= self.gasket_mm.value <= 10 or not -10 <= self.deck_mm.value <= 30:
            raise InvalidInput(
                "gasket and deck", needs="a gasket of 0 to 10 mm and a deck height of -10 to 30 mm",
                came=f"{self.gasket_mm.value:g} and {self.deck_mm.value:g} mm",
                remedy="Check units and decimals.",
            )  # fmt: skip
        land = self.land_diameter_mm
        if land is not None and not 0.9 * self.bore_mm.value <= land.value <= self.bore_mm.value:
            raise InvalidInput("land", needs="a diameter a little below the bore", came=f"{land.value:g} mm")
        if self.face_mm2 is not None and not 0 < self.face_mm2 <= 4 * self.bore_mm.value**2:
            raise InvalidInput("face of the chamber", needs="its area in mm²", came=f"{self.face_mm2:g}")
        if not self.above_ml > 0:
            raise InvalidInput(
                "volume above the piston", needs="more than nothing", came=f"{self.above_ml:g} ml",
                remedy="Check the signs: a dish is positive, a dome and a proud piston negative.",
            )  # fmt: skip

    @property
    def swept_ml(self) -> float:
        """What the piston sweeps [ml]."""
        return _ROUND * self.bore_mm.value**2 * self.stroke_mm.value

    @property
    def above_ml(self) -> float:
        """What is left above the piston at the top of its stroke [ml]."""
        land = self.land_diameter_mm
        beside = (
            0.0 if land is None else _ROUND * (self.bore_mm.value**2 - land.value**2) * self.land_mm.value
        )
        return (
            self.chamber_ml.value
            + self.dish_ml.value
            + _ROUND * self.gasket_bore_mm.value**2 * self.gasket_mm.value
            + _ROUND * self.bore_mm.value**2 * self.deck_mm.value
            + beside
        )

    @property
    def ratio(self) -> float:
        """The compression ratio [-], without its uncertainty."""
        return 1 + self.swept_ml / self.above_ml


def compression_ratio(cylinder: Cylinder, coverage: float = 0.95) -> Propagated:
    """Give the compression ratio of a cylinder.

    Parameters
    ----------
    cylinder : Cylinder
        Its sizes and volumes.
    coverage : float
        The probability that the expanded interval shall hold the ratio [-].

    Returns
    -------
    Propagated
        The ratio [-] with its uncertainty and what each size and volume adds.

    Raises
    ------
    InvalidInput
        A coverage that cannot be.

    Notes
    -----
    1 + V / v with V = π d² s / 4 swept, and v above the piston: chamber, dish, gasket π dg² t / 4, deck
    π d² h / 4, and the gap beside the top land π (d² - dl²) l / 4. What happens before the inlet valve shuts
    is left out: this is the geometric ratio.
    """
    bore, at = "bore * bore", f"{_ROUND!r}"
    above = f"chamber + dish + {at} * gasket_bore * gasket_bore * gasket + {at} * {bore} * deck"
    told = {
        "bore": cylinder.bore_mm,
        "stroke": cylinder.stroke_mm,
        "chamber": cylinder.chamber_ml,
        "dish": cylinder.dish_ml,
        "gasket_bore": cylinder.gasket_bore_mm,
        "gasket": cylinder.gasket_mm,
        "deck": cylinder.deck_mm,
    }
    if cylinder.land_diameter_mm is not None:
        above += f" + {at} * ({bore} - land_diameter * land_diameter) * land"
        told |= {"land_diameter": cylinder.land_diameter_mm, "land": cylinder.land_mm}
    model = f"1 + {at} * {bore} * stroke / ({above})"
    return propagate(Budget(model, inputs_of(told), coverage=coverage))


def with_changes(
    cylinder: Cylinder,
    *,
    bore_mm: float | None = None,
    head_skim_mm: float = 0.0,
    deck_skim_mm: float = 0.0,
    gasket_mm: float | None = None,
) -> Cylinder:
    """Give a cylinder as machining and another gasket would leave it.

    Parameters
    ----------
    cylinder : Cylinder
        As it is.
    bore_mm : float or None
        The bore that it is bored to [mm]; none leaves it.
    head_skim_mm : float
        What is taken off the face of the head [mm]; negative is a thicker one.
    deck_skim_mm : float
        What is taken off the face of the block [mm].
    gasket_mm : float or None
        The thickness of another gasket, tightened [mm].

    Returns
    -------
    Cylinder
        With the same uncertainties; a piston for the new bore has the same dish, and its land the same gap.

    Raises
    ------
    InvalidInput
        It would leave nothing above the piston, or a gasket smaller than the bore.
    """
    area_mm2 = pi / 4 * cylinder.bore_mm.value**2 if cylinder.face_mm2 is None else cylinder.face_mm2
    changed = cylinder
    if bore_mm is not None:
        land = cylinder.land_diameter_mm
        if land is not None:
            land = replace(land, value=land.value + bore_mm - cylinder.bore_mm.value)
        changed = replace(
            changed,
            bore_mm=replace(cylinder.bore_mm, value=bore_mm),
            land_diameter_mm=land,
            gasket_bore_mm=replace(
                cylinder.gasket_bore_mm, value=max(cylinder.gasket_bore_mm.value, bore_mm)
            ),
            face_mm2=area_mm2,
        )
    chamber = cylinder.chamber_ml.value - area_mm2 * head_skim_mm / _MM3_PER_ML
    return replace(
        changed,
        chamber_ml=replace(cylinder.chamber_ml, value=chamber),
        deck_mm=replace(cylinder.deck_mm, value=cylinder.deck_mm.value - deck_skim_mm),
        gasket_mm=cylinder.gasket_mm if gasket_mm is None else replace(cylinder.gasket_mm, value=gasket_mm),
    )


@dataclass(frozen=True, slots=True)
class ForRatio:
    """What would bring a cylinder to a wanted ratio, each by itself.

    Parameters
    ----------
    remove_ml : float
        By how much the volume above the piston must shrink [ml]; negative is grow.
    head_skim_mm : float
        What to take off the head [mm]; negative is more than nothing to add, so not by skimming.
    deck_skim_mm : float
        What to take off the block [mm], alike.
    gasket_mm : float or None
        The tightened thickness of the gasket that does it [mm]; none where it would be thinner than nothing.
    piston_clearance_mm : float
        What is left between the piston's edge and the head's face after the skim of the block, or with that
        gasket [mm]; below nothing is a piston that strikes, unless the chamber lies above it.
    """

    remove_ml: float
    head_skim_mm: float
    deck_skim_mm: float
    gasket_mm: float | None
    piston_clearance_mm: float


def for_ratio(cylinder: Cylinder, wanted_ratio: float) -> ForRatio:
    """Say what would bring a cylinder to a wanted compression ratio.

    Parameters
    ----------
    cylinder : Cylinder
        As it is.
    wanted_ratio : float
        The ratio wanted [-].

    Returns
    -------
    ForRatio
        Volume, skim of head or block, and gasket, each by itself.

    Raises
    ------
    InvalidInput
        A ratio that no engine has.

    Notes
    -----
    v = V / (ε - 1); a skim of the head takes the face of the chamber times its depth, for its walls are taken
    as upright there; a skim of the block takes the area of the bore.
    """
    if not 2 <= wanted_ratio <= 30:
        raise InvalidInput(
            "compression ratio", needs="2 to 30", came=f"{wanted_ratio:g}", remedy="Write 8.5 for 8.5:1."
        )
    remove_ml = cylinder.above_ml - cylinder.swept_ml / (wanted_ratio - 1)
    bore_mm2 = pi / 4 * cylinder.bore_mm.value**2
    hole_mm2 = pi / 4 * cylinder.gasket_bore_mm.value**2
    gasket_mm = cylinder.gasket_mm.value - remove_ml * _MM3_PER_ML / hole_mm2
    face_mm2 = bore_mm2 if cylinder.face_mm2 is None else cylinder.face_mm2
    deck_skim_mm = remove_ml * _MM3_PER_ML / bore_mm2
    left = min(-deck_skim_mm, gasket_mm - cylinder.gasket_mm.value)
    return ForRatio(
        remove_ml,
        remove_ml * _MM3_PER_ML / face_mm2,
        deck_skim_mm,
        gasket_mm if gasket_mm >= 0 else None,
        cylinder.deck_mm.value + cylinder.gasket_mm.value + left,
    )
