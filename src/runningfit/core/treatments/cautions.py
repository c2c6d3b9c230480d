"""The usual cautions of the treatments, said once and deferring to those who know the product and the law."""

from __future__ import annotations

from runningfit.core.verdicts import Caution

DEFER = "The product's data sheet, local codes and licensed practice come first."

CADMIUM = Caution(
    "Cadmium and chromate dust and fumes are poisonous. Never weld, torch, grind or dry-blast a piece that "
    f"is or may be plated with them; a yellow or dull grey old plating may be. {DEFER}"
)
EMBRITTLEMENT = Caution(
    "Acid and electroplating can make hardened steel crack days later, under load (hydrogen embrittlement). "
    "Say which pieces are hard: spring washers, high-tensile bolts and studs, clips. Whether and how to bake "
    f"them is the plater's work, under control; never with a torch. {DEFER}"
)
BATHS = Caution(
    "Acids, caustic and chelating baths burn skin and eyes, and eat aluminium, zinc and brass. Gloves, "
    f"goggles, air, and the bath's own data sheet for each metal. {DEFER}"
)
ELECTROLYSIS = Caution(
    "In electrolytic derusting never use a stainless anode: it gives off poisonous chromates. The gas is "
    f"explosive, so do it in the open, away from flames. {DEFER}"
)
PAINTS = Caution(
    "Two-pack paints may hold isocyanates: not without the breathing protection their data sheet names. "
    f"Curing ovens reach heat that softens plugs, seals and bearing metal. {DEFER}"
)
SLUDGE = Caution(
    "Old oil sludge and bearing metal may hold lead, and old gaskets asbestos: wet, never dry-brushed. "
    f"{DEFER}"
)
BLASTING = Caution(
    "Blast nothing that is or may be plated with cadmium or chromate, and nothing with oilways that cannot "
    f"be proven clean afterwards; beads left inside ruin a bearing. {DEFER}"
)
THREADS = Caution(
    "A coat takes room in a thread and changes its friction: a torque given for a bare or oiled thread no "
    "longer holds, and a tight fit may no longer go together (common practice, no source)."
)
CRITICAL = Caution(
    "Con-rod, main-cap, flywheel, steering and brake fasteners are never judged by looks alone, before the "
    "treatment or after it."
)
HEAT = Caution(f"Heat moves plugs and press fits, and draws the temper of hard pieces. {DEFER}")
INSERTS = Caution(
    "An insert needs wall round it and depth below it: measure both before drilling, and keep chips out of "
    "oilways and cylinders (common practice, no source)."
)
DONOR = Caution(
    "A donor's piece is judged as every other: thread, length, material and condition, not only its looks."
)
