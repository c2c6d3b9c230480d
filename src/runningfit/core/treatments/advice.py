"""What to mind where a treatment meets a material: what must not be done, why, and what to do instead."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from enum import StrEnum

from runningfit.core.errors import InvalidInput
from runningfit.core.treatments.cautions import DEFER
from runningfit.core.treatments.plain import treatment
from runningfit.core.verdicts import Caution


class Material(StrEnum):
    """What a piece is made of, or bears on it, as far as a treatment minds."""

    STEEL = "steel"
    HARDENED_STEEL = "hardened_steel"
    SPRING_STEEL = "spring_steel"
    STAINLESS = "stainless"
    CAST_IRON = "cast_iron"
    ALUMINIUM = "aluminium"
    MAGNESIUM = "magnesium"
    COPPER_ALLOY = "copper_alloy"
    ZINC_CASTING = "zinc_casting"
    WHITE_METAL = "white_metal"
    CADMIUM_OR_CHROMATE = "cadmium_or_chromate"
    OLD_PAINT = "old_paint"
    OLD_GASKET = "old_gasket"
    RUBBER_OR_PLASTIC = "rubber_or_plastic"


@dataclass(frozen=True, slots=True)
class Advice:
    """One thing to mind.

    Parameters
    ----------
    treatments : frozenset of str
        Keys of the treatments it is about; empty is all of them.
    materials : frozenset of Material
        Materials it is about; empty is all of them.
    what : str
        What must not be done, or must.
    why : str
        Why.
    instead : str
        What to do instead.
    source : str
        Where it comes from.
    """

    treatments: frozenset[str]
    materials: frozenset[Material]
    what: str
    why: str
    instead: str
    source: str

    @property
    def caution(self) -> Caution:
        """The whole as one caution."""
        return Caution(f"{self.what} {self.why} {self.instead} {DEFER}")

    def is_about(self, key: str, materials: Collection[Material]) -> bool:
        """Whether it is about a treatment of such materials."""
        fits = not self.materials or bool(self.materials & set(materials))
        return fits and (not self.treatments or key in self.treatments)


_ELECTROPLATE = frozenset({"zinc_clear", "zinc_yellow", "cadmium", "nickel", "chrome"})
_COATED_OUTSIDE = _ELECTROPLATE | {"phosphate", "black_oxide", "mechanical_zinc", "zinc_flake"}
_ACID = _ELECTROPLATE | {"derust", "phosphate"}
_HARD = frozenset({Material.HARDENED_STEEL, Material.SPRING_STEEL})


_PRACTICE = "common practice, no source"


def _advice(
    treatments: Iterable[str],
    materials: Iterable[Material],
    what: str,
    why: str,
    instead: str,
    source: str = _PRACTICE,
) -> Advice:
    return Advice(frozenset(treatments), frozenset(materials), what, why, instead, source)


_ALL = (
    _advice(
        {"bead_blast", "machine", "paint", "clean", "derust", "scrap"},
        {Material.CADMIUM_OR_CHROMATE},
        "Never weld, torch, grind, wire-wheel or dry-blast what may be plated with cadmium or chromate.",
        "Its dust and fumes poison lungs and kidneys, and chromate causes cancer.",
        "Have the plating stripped in a bath by a plater, or keep it wet and leave it on.",
    ),
    _advice(
        _COATED_OUTSIDE,
        {Material.CADMIUM_OR_CHROMATE},
        "Tell the shop that old cadmium or chromate may be on it; bake plated pieces only there.",
        "Cadmium in the wrong strip spoils the bath, and an open oven fills the room with it.",
        "Send it in its own bag with the word cadmium on the note.",
    ),
    _advice(
        _ELECTROPLATE,
        {Material.SPRING_STEEL},
        "Do not electroplate springs, spring washers, circlips or tension pins.",
        "Hydrogen from acid and plating cracks them under load, hours or weeks later.",
        "Leave them plain and oiled, buy new ones, or take zinc flake or mechanically plated zinc.",
        "ASME B18.21.1-1999 2.7 for spring washers; for the others common practice, no source",
    ),
    _advice(
        _ELECTROPLATE,
        {Material.HARDENED_STEEL},
        "Do not electroplate hardened steel without the bake that its hardness asks for.",
        "Hydrogen from acid and plating can crack it under load, hours or weeks later.",
        "Give the plater the hardness and the bake in writing: plate, bake, then passivate.",
        "ISO 4042:2018, ASTM F1941/F1941M-15 and ASTM B850-98(2009)",
    ),
    _advice(
        {"mechanical_zinc", "zinc_flake", "black_oxide"},
        _HARD,
        "Ask that no acid is used before this coat, and how hot it is cured.",
        "The coat itself brings no hydrogen, an acid pickle before it does; flake cures at 200 to 300 °C.",
        "Have it cleaned by blasting or in alkali, and keep the heat below the temper of the piece.",
        "encyclopaedia text on ISO 10683 for the cure; the rest common practice, no source",
    ),
    _advice(
        {"thread_insert"},
        {Material.ALUMINIUM, Material.MAGNESIUM, Material.CAST_IRON},
        "Measure wall and depth before a hole is drilled for an insert.",
        "Too little wall cracks, and a drill that breaks through opens an oilway or a water jacket.",
        "Have it welded up or bushed by a machine shop where there is too little.",
    ),
    _advice(
        {"derust"},
        _HARD,
        "Do not derust hardened steel in acid or as the cathode of a tank, and mind converters.",
        "Both set hydrogen free on it, and so does a converter that holds phosphoric acid.",
        "Use a neutral chelating bath, a brush, or vapour blasting where nothing is cadmium plated.",
        "ISO 9587:2007 on cathodic cleaning; the rest common practice, no source",
    ),
    _advice(
        {"phosphate"},
        _HARD,
        "Phosphate is not free of hydrogen: do not phosphate hardened steel without its heat treatments.",
        "The bath and the acid before it set hydrogen free.",
        "Ask for stress relief before and the bake after, from 39 HRC on.",
        "DOD-P-16232F 3.3",
    ),
    _advice(
        {"derust"},
        {Material.STAINLESS},
        "Never use a stainless anode, nor chromed parts, in electrolytic derusting.",
        "The bath turns their chromium into poisonous chromates.",
        "Use plain steel anodes, in the open, away from flames, for the gas explodes.",
    ),
    _advice(
        {"derust"},
        {Material.STEEL, Material.CAST_IRON},
        "Derust electrolytically in the open and with anodes of plain steel, never stainless.",
        "The tank gives off hydrogen, and stainless gives off poisonous chromates.",
        "Switch off before you touch, and use washing soda, never caustic or salt.",
    ),
    _advice(
        _ACID | {"degrease", "clean", "black_oxide"},
        {Material.ALUMINIUM, Material.ZINC_CASTING, Material.MAGNESIUM},
        "Keep aluminium, magnesium and zinc castings out of acid, caustic and hot alkaline baths.",
        "They dissolve, with hydrogen and heat, and inserts and plugs of them go first.",
        "Use a neutral degreaser meant for the metal, by hand.",
    ),
    _advice(
        {"bead_blast", "machine"},
        {Material.MAGNESIUM},
        "Make no dry dust or fine chips of magnesium.",
        "They burn, and water makes it worse.",
        "Work wet or with sharp tools and coarse chips, with the extinguisher for metal at hand.",
    ),
    _advice(
        {"derust", "black_oxide"},
        {Material.COPPER_ALLOY},
        "Keep brass, bronze and copper out of the acid and the blackening bath.",
        "Acid takes the zinc out of brass and lays copper on the steel beside it; ammonia cracks it.",
        "Take bushes and plugs out first, or clean by hand.",
    ),
    _advice(
        {"bead_blast", "derust", "degrease", "paint"},
        {Material.WHITE_METAL},
        "Keep white metal and other bearing metal out of the blast, the bath and the oven.",
        "It is soft, holds lead, beads stay in it, and it melts from about 180 °C on.",
        "Take shells out; mask what cannot be taken out, or clean by hand and wet.",
    ),
    _advice(
        {"bead_blast"},
        {Material.STEEL, Material.HARDENED_STEEL, Material.CAST_IRON, Material.ALUMINIUM},
        "Blast nothing with oilways or blind holes that cannot be proven clean afterwards.",
        "One bead ruins a bearing, and beads hide behind plugs.",
        "Plug and mask it, take the gallery plugs out, wash, and prove each oilway before it is built in.",
    ),
    _advice(
        {"machine", "bead_blast"},
        {Material.OLD_GASKET},
        "Do not scrape, blast or wire-wheel old gaskets dry.",
        "Gaskets made before the 1990s may hold asbestos.",
        "Soak it, lift it off wet, bag it, and keep to local rules.",
    ),
    _advice(
        {"clean", "degrease"},
        {Material.OLD_GASKET},
        "Do not brush old gaskets or clutch and brake dust off dry.",
        "They may hold asbestos.",
        "Keep it wet, wipe, and bag it, and keep to local rules.",
    ),
    _advice(
        {"bead_blast", "paint", "machine"},
        {Material.OLD_PAINT},
        "Do not sand, blast or burn old paint off without protection.",
        "It may hold lead or chromate.",
        "Strip it wet or by a shop that is set up for it.",
    ),
    _advice(
        {"paint"},
        {Material.STEEL, Material.CAST_IRON, Material.ALUMINIUM},
        "Spray no two-pack paint without air-fed breathing protection.",
        "Its hardener may hold isocyanates, which can make one asthmatic for life.",
        "Brush a one-pack paint, or send it out.",
    ),
    _advice(
        {"paint", "phosphate", "black_oxide"},
        {Material.RUBBER_OR_PLASTIC},
        "Take seals, hoses and plastic out before the oven or the bath.",
        "Burnt rubber of some kinds leaves acid that eats skin; others swell or melt.",
        "Strip the piece bare; touch no sticky black residue.",
    ),
    _advice(
        {"paint"},
        {Material.HARDENED_STEEL, Material.SPRING_STEEL},
        "Mind the heat of a curing oven on hardened pieces.",
        "Above its tempering heat a piece goes soft, and seats and plugs move.",
        "Ask for the curing temperature and keep it below 200 °C, or paint cold.",
    ),
    _advice(
        _COATED_OUTSIDE,
        {Material.STAINLESS},
        "Do not send stainless pieces for zinc, black oxide or phosphate.",
        "These do not hold on it, and the acid spoils it.",
        "Leave it, or have it passivated as stainless.",
    ),
    _advice(
        _ELECTROPLATE,
        {Material.CAST_IRON},
        "Ask before cast iron is electroplated.",
        "Its graphite holds acid in its pores, which bleeds out and rusts under the coat.",
        "Paint or phosphate it.",
    ),
)


def advice_for(key: str, materials: Iterable[Material | str]) -> tuple[Advice, ...]:
    """Give what to mind where a treatment meets the materials of a piece.

    Parameters
    ----------
    key : str
        Key of the treatment, such as `derust`.
    materials : iterable of Material or str
        Everything the piece is made of and bears; name an old plating that nobody knows as cadmium.

    Returns
    -------
    tuple of Advice
        Each with its reason and what to do instead, the most dangerous first.

    Raises
    ------
    InvalidInput
        No such treatment or material is known.
    """
    treatment(key)
    known = []
    for one in materials:
        if one not in set(Material):
            raise InvalidInput("material", needs=f"one of {', '.join(Material)}", came=str(one), remedy="")
        known.append(Material(one))
    return tuple(advice for advice in _ALL if advice.is_about(key, known))


def all_advice() -> tuple[Advice, ...]:
    """Give every piece of advice.

    Returns
    -------
    tuple of Advice
        The most dangerous first.
    """
    return _ALL
