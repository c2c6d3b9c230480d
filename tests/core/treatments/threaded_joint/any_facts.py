"""Facts as any shop may have typed them, right, wrong, and not at all."""

from __future__ import annotations

from typing import Any, TypeVar

from hypothesis import strategies as st

from runningfit.core.pieces.gauging.measured import Measured
from runningfit.core.pieces.kinds import Kind
from runningfit.core.treatments.plain import all_treatments
from runningfit.core.treatments.reuse import Role
from runningfit.core.treatments.threaded_joint.facts import (
    JointFacts,
    Mate,
    MateFacts,
    PieceFacts,
    ThreadState,
    TorqueFacts,
    Turned,
)

_T = TypeVar("_T")
THREADS = (
    "5/16-18 UNC", "5/16-24 UNF", "3/8-16 UNC", "1/4-26 BSF", "1/4-20 BSW", "2BA", "0BA", "M8x1.25", "M10x1",
    "1/2-20 UNF", "7/16-20 UNF", "G1/4", "1/8-27 NPT", "5/16-26 CEI", "M6x1",
)  # fmt: skip
GRADES = ("", "SAE J429 5", "SAE J429 8", "grade 2", "8.8", "10.9", "12.9", "BS 1768 R", "letter T", "V")
FINISHES = (
    "", "zinc", "cadmium", "plain", "black oxide", "phosphate", "nickel", "yellow", "none", "zinc flake",
)  # fmt: skip
CONDITIONS = (
    "",
    "plain, oil",
    "cadmium, dry",
    "zinc, dry",
    "black oxide, oil",
    "unknown",
    "zinc, on aluminium",
)


def or_none(strategy: st.SearchStrategy[_T]) -> st.SearchStrategy[_T | None]:
    return st.none() | strategy


def typed(*words: str) -> st.SearchStrategy[str]:
    """Words that can be read, most of the time."""
    return st.sampled_from(words) | st.text(max_size=12)


def lengths() -> st.SearchStrategy[float | None]:
    return or_none(st.floats(0.0, 120.0) | st.floats())


def diameters() -> st.SearchStrategy[Measured | None]:
    return or_none(
        st.builds(Measured, st.floats(2.0, 14.0) | st.floats(), st.floats(0.001, 0.05) | st.floats())
    )


def pieces(**given: Any) -> st.SearchStrategy[PieceFacts]:
    yes_or_no = or_none(st.booleans())
    return st.builds(
        PieceFacts,
        kind=st.sampled_from(Kind),
        threads=st.lists(st.sampled_from((*THREADS, "M9x1.7")), max_size=2).map(tuple),
        length_mm=lengths(),
        grade=typed(*GRADES),
        head_marking=typed("", "none", "3 radial lines", "six lines", "8.8", "R"),
        hardness=typed("", "22 HRC", "38 HRC", "42 HRC", "390 HV", "95 HRB"),
        material=typed("", "steel", "hardened_steel", "spring_steel", "stainless", "copper_alloy"),
        thread_class=typed("", "2A", "6g", "medium"),
        role=st.sampled_from(Role),
        torque_to_yield=st.booleans(),
        thread_state=st.sampled_from(ThreadState),
        passes_go=yes_or_no,
        stops_no_go=yes_or_no,
        pitch_diameter=diameters(),
        major=diameters(),
        stretch_mm=or_none(st.floats(-0.1, 1.0) | st.floats()),
        stretch_most_mm=or_none(st.floats(0.0, 1.0) | st.floats()),
        looks_sound=yes_or_no,
        crack_tested=yes_or_no,
        is_new=st.booleans(),
        finish_now=typed(*FINISHES),
        old_coat=typed("", "5um", "0.0003in"),
        own_steps=typed("", "acid rust remover", "degrease, wire brush", "electrolytic derust"),
        treatment=st.sampled_from(["", "gold", *(one.key for one in all_treatments())]),
        coat=typed("", "5um", "5..8um", "Fe/Zn 5", "SC2", "QQ-P-416 class 2", "200um"),
        finish_received=typed(*FINISHES),
        ordered_steps=typed("", "bake", "bake, passivate"),
        neck_mm=or_none(st.floats(-0.01, 0.2) | st.floats()),
        neck_most_mm=or_none(st.floats(0.0, 0.2) | st.floats()),
        thread_length_mm=lengths(),
        over_ten_mm=lengths(),
        rust_mm=or_none(st.floats(0.0, 3.0) | st.floats()),
        lost=typed("", "2um", "1..4um"),
        **given,
    )


def mates() -> st.SearchStrategy[MateFacts]:
    return st.builds(
        MateFacts,
        mate=st.sampled_from(Mate),
        material=typed("", "aluminium", "LM25-TF", "cast iron", "steel", "bronze", "unknown"),
        grade=typed(*GRADES),
        thread_class=typed("", "2B", "6H", "medium"),
        thread_state=st.sampled_from(ThreadState),
        blind=or_none(st.booleans()),
        depth_mm=lengths(),
        chamfer_mm=lengths(),
        clamped_mm=lengths(),
        washer_mm=lengths(),
        damaged_turns=st.floats(0.0, 5.0) | st.floats(),
        pitch_diameter=diameters(),
        minor=diameters(),
        on_aluminium=st.booleans(),
        engaged_mm=lengths(),
        prevailing_nm=or_none(st.floats(0.0, 20.0) | st.floats()),
        finish=typed(*FINISHES, "nickel", "hot-dip galvanised"),
        coat=typed("", "5um", "5..8um", "Fe/Zn 5", "200um"),
        turned=st.sampled_from(Turned),
    )


def torques() -> st.SearchStrategy[TorqueFacts]:
    return st.builds(
        TorqueFacts,
        torque_nm=or_none(st.floats(1.0, 200.0) | st.floats()),
        page=st.sampled_from(["", "C3"]),
        assumed=typed(*CONDITIONS),
        lubricant=typed("", "oil", "dry", "grease", "moly"),
        scatter=or_none(st.floats(0.0, 0.5) | st.floats()),
        wanted_clamp_n=or_none(st.floats(0.0, 50_000.0) | st.floats()),
    )


def joints() -> st.SearchStrategy[JointFacts]:
    return st.builds(JointFacts, pieces(), mates(), torques())
