"""What the demo measures of its threads: one that stays open, and a bolt held against its limits."""

from __future__ import annotations

from dataclasses import replace

from runningfit.cli.demo.shelf import Shelf
from runningfit.cli.demo.story import SaidCheck, SaidNaming
from runningfit.core.pieces.gauging import Measured as Diameter
from runningfit.core.pieces.gauging import ThreadMeasurement
from runningfit.core.pieces.identification import Country, ThreadReadings
from runningfit.workshop.pieces.naming import Measured, keep_thread_open, prior_of
from runningfit.workshop.pieces.thread_gauging import Gauged, keep_check
from runningfit.workshop.records.writing import Hand


def name(said: SaidNaming, shelf: Shelf, hand: Hand) -> None:
    """Measure a thread and leave it open."""
    lot = shelf.lot(said.lot)
    measured = Measured(
        typed={
            "side": "bolt",
            "major": f"{said.major_mm:g} mm",
            "leaf": f"{said.leaf_tpi:g} tpi",
            "country": said.country,
            "beside": "on",
        },
        readings=ThreadReadings(major_mm=said.major_mm, leaf_tpi=said.leaf_tpi),
        prior=replace(prior_of(lot), country=Country(said.country)),
    )
    keep_thread_open(lot=lot, end="end_a", measured=measured, hand=hand.because(said.why))


def check(said: SaidCheck, shelf: Shelf, hand: Hand) -> None:
    """Hold some pieces of a lot against the usual class of their thread."""
    lot = shelf.lot(said.lot)
    gauged = Gauged(
        designation=lot.end_a,
        thread_class=None,
        typed={
            "named": lot.end_a,
            "side": "bolt",
            "major": f"{said.major_mm:g} mm",
            "pitch_diameter": f"{said.pitch_diameter_mm:g} mm",
            "gauge": "micrometer",
        },
        measurement=ThreadMeasurement(
            internal=False,
            major=Diameter(said.major_mm, said.u_mm),
            pitch_diameter=Diameter(said.pitch_diameter_mm, said.u_mm),
        ),
    )
    keep_check(lot=lot, end="end_a", gauged=gauged, count=said.count, hand=hand.because(said.why))
