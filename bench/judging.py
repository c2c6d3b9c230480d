"""How long the verdicts of two thousand threaded joints take, in the core and through the database."""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from random import Random
from typing import TYPE_CHECKING

from serving import wake

if TYPE_CHECKING:
    from runningfit.core.treatments.threaded_joint.facts import JointFacts
    from runningfit.workshop.pieces.lots import LotFacts
    from runningfit.workshop.pieces.models import Area, Place
    from runningfit.workshop.records.models import Job

JOINTS = 2_000
AIM_AGAIN_S, AIM_ONE_MS = 1.0, 50.0
TIMES = 9
# What the page shows at once.
A_PAGE = 50
BOOKS = "--books"
THREADS = (
    "1/4-20 UNC", "1/4-28 UNF", "5/16-18 UNC", "5/16-24 UNF", "3/8-16 UNC", "3/8-24 UNF", "7/16-20 UNF",
    "1/2-20 UNF", "1/4-26 BSF", "5/16-22 BSF", "2BA", "M8x1.25",
)  # fmt: skip


def joint(chance: Random) -> JointFacts:
    """Return a joint of which about half is known, unlike nearly every other."""
    from runningfit.core.pieces.kinds import Kind
    from runningfit.core.treatments.threaded_joint.facts import (
        JointFacts,
        Mate,
        MateFacts,
        PieceFacts,
        TorqueFacts,
    )

    def words(*said: str) -> str:
        return chance.choice(said) if chance.random() < 0.6 else ""

    def length(low: float, high: float) -> float | None:
        return round(chance.uniform(low, high), 1) if chance.random() < 0.6 else None

    thread = chance.choice(THREADS)
    grades = ("ISO 898-1 8.8",) if thread[0] == "M" else ("SAE J429 5", "SAE J429 8", "SAE J429 2")
    piece = PieceFacts(
        kind=chance.choice((Kind.HEX_BOLT, Kind.HEX_BOLT, Kind.SETSCREW, Kind.STUD, Kind.NUT)),
        threads=(thread,),
        length_mm=length(12, 90),
        grade=words(*grades) if "B" not in thread else "",
        looks_sound=chance.choice((True, True, None)),
        finish_now=words("zinc", "cadmium", "plain", "black oxide"),
        treatment=chance.choice(("leave", "clean", "zinc_clear", "zinc_yellow", "cadmium", "black_oxide")),
        coat=words("5um", "5..8um"),
        finish_received=words("zinc", "cadmium", "plain"),
    )
    mate = MateFacts(
        mate=chance.choice((Mate.TAPPED_HOLE, Mate.TAPPED_HOLE, Mate.NUT, Mate.STUD)),
        material=words("aluminium", "cast iron", "steel"),
        blind=chance.choice((True, False, None)),
        depth_mm=length(8, 35),
        chamfer_mm=length(0.3, 1.5),
        clamped_mm=length(3, 50),
        washer_mm=length(0.8, 2.5),
    )
    torque = TorqueFacts(
        torque_nm=length(5, 110),
        page="C3",
        assumed=words("plain, oil", "cadmium, dry", "zinc, dry"),
        lubricant=words("oil", "dry"),
        scatter=chance.choice((0.04, 0.1, None)),
    )
    return JointFacts(piece, mate, torque)


def rows_of(facts: Sequence[JointFacts]) -> Job:
    """Keep a job of these joints in the books: a place and a lot for each, with what is known of both."""
    from runningfit.workshop.joints.models import KnownOfLot, KnownOfPlace
    from runningfit.workshop.pieces.lots import keep_lots
    from runningfit.workshop.pieces.models import Area, Lot, Place
    from runningfit.workshop.records.services import open_job
    from runningfit.workshop.records.writing import Hand, write

    hand = Hand(who="Bench")
    job = open_job(name="Job", engine_name="an engine", hand=hand)
    with write(verb="fill", summary="filled a job", hand=hand, job=job) as entry:
        areas = entry.create_many(Area, [Area(job=job, name=f"area {number:02}") for number in range(40)])
        places = entry.create_many(Place, [_place(one, areas, index) for index, one in enumerate(facts)])
        lots = [_lot(one, place) for one, place in zip(facts, places, strict=True)]
        made = keep_lots(entry, job=job, facts=lots)
        known = []
        for lot, one in zip(made, facts, strict=True):
            piece = one.piece
            lot.treatment = piece.treatment
            known.append(
                KnownOfLot(lot=lot, grade=piece.grade, looks_sound=piece.looks_sound, coat=piece.coat)
            )
        Lot.objects.bulk_update(made, ["treatment"], batch_size=500)
        entry.create_many(KnownOfLot, known)
        entry.create_many(
            KnownOfPlace,
            [
                KnownOfPlace(
                    place=place,
                    mate=one.mate.mate.value,
                    chamfer_mm=one.mate.chamfer_mm,
                    clamped_mm=one.mate.clamped_mm,
                    washer_mm=one.mate.washer_mm,
                    torque_page=one.torque.page,
                    torque_assumed=one.torque.assumed,
                    lubricant=one.torque.lubricant,
                    scatter=one.torque.scatter,
                )
                for place, one in zip(places, facts, strict=True)
            ],
        )
    return job


def _place(facts: JointFacts, areas: Sequence[Area], index: int) -> Place:
    from runningfit.workshop.pieces.models import Place

    mate = facts.mate
    return Place(
        area=areas[index % len(areas)],
        name=f"place {index:04}",
        count=4,
        basis="holes_counted",
        kind=facts.piece.kind.value,
        end_a=facts.piece.threads[0],
        hole_material=mate.material,
        hole_blind={True: "blind", False: "through", None: ""}[mate.blind],
        hole_depth_mm=mate.depth_mm,
        torque_nm=facts.torque.torque_nm,
    )


def _lot(facts: JointFacts, place: Place) -> LotFacts:
    from runningfit.workshop.pieces.lots import LotFacts

    piece = facts.piece
    return LotFacts(
        count=4,
        area=place.area,
        place=place,
        kind=piece.kind.value,
        end_a=piece.threads,
        length_mm=piece.length_mm,
        finish_look="none" if piece.finish_now == "plain" else "unknown",
        finish_process={"zinc": "zinc", "cadmium": "cadmium", "black oxide": "oxide"}.get(
            piece.finish_now, ""
        ),
    )


def from_the_books() -> int:
    """Measure the same through the database, in a process that has judged nothing yet, and print."""
    with tempfile.TemporaryDirectory(prefix="runningfit-bench-") as name:
        wake(Path(name))
        from django.db import connections

        from runningfit.workshop.joints.queries import judged_joints
        from runningfit.workshop.joints.ranking import judged_of, ranked_joints
        from runningfit.workshop.joints.reading import SaidOfLot
        from runningfit.workshop.joints.services import say_of_lot
        from runningfit.workshop.pieces.models import Lot
        from runningfit.workshop.records.writing import Hand

        job = rows_of(unlike_joints())

        def page_s() -> float:
            began = time.perf_counter()
            judged_of(job, ranked_joints(job)[:A_PAGE])
            return time.perf_counter() - began

        def all_s() -> float:
            began = time.perf_counter()
            if len(judged_joints(job)) != JOINTS:
                raise RuntimeError("not every joint was judged")
            return time.perf_counter() - began

        first_page_s, first_all_s = page_s(), all_s()
        pages: list[float] = []
        alls: list[float] = []
        for index, lot in enumerate(Lot.objects.filter(job=job).order_by("number")[: 2 * TIMES]):
            say_of_lot(lot=lot, said=SaidOfLot(hardness="31 HRC"), hand=Hand(who="Bench"))
            (alls if index % 2 else pages).append(all_s() if index % 2 else page_s())
        connections.close_all()
    again_s, page_again_s = statistics.median(alls), statistics.median(pages)
    database = "PostgreSQL" if os.environ.get("RUNNINGFIT_DATABASE_URL") else "SQLite"
    print(
        f"Through the database ({database}), a job of as many joints, each at its place with what is known "
        f"of both: the first {A_PAGE} of the list, all {JOINTS:,} ranked, {first_page_s:.2f} s in a process "
        f"that has judged nothing yet, then {page_again_s:.3f} s after one change. Every joint judged "
        f"wholly: {first_all_s:.1f} s after that first list, then {again_s:.2f} s after one change"
        f"{' **over**' if again_s > AIM_AGAIN_S else ''}. Aim: under {AIM_AGAIN_S:g} s after one change.\n"
    )
    return 0


def unlike_joints() -> list[JointFacts]:
    """Return two thousand joints, no two alike."""
    chance = Random(4)
    return list({joint(chance): None for _ in range(2 * JOINTS)})[:JOINTS]


def main() -> int:
    """Measure and print."""
    from runningfit.core.treatments.threaded_joint import judge_joint

    joints = unlike_joints()
    began = time.perf_counter()
    judge_joint(joints[0])
    first_ms = 1000 * (time.perf_counter() - began)
    began = time.perf_counter()
    for one in joints:
        judge_joint(one)
    anew_s = time.perf_counter() - began
    again, singles = [], []
    for index in range(TIMES):
        changed = joints[index]
        joints[index] = replace(changed, piece=replace(changed.piece, hardness="31 HRC"))
        began = time.perf_counter()
        judge_joint(joints[index])
        singles.append(1000 * (time.perf_counter() - began))
        joints[index] = replace(changed, piece=replace(changed.piece, hardness="32 HRC"))
        began = time.perf_counter()
        for one in joints:
            judge_joint(one)
        again.append(time.perf_counter() - began)
    again_s, one_ms = statistics.median(again), statistics.median(singles)
    print("## Judging joints\n")
    print(
        f"{JOINTS:,} joints, no two alike in what is known of them, each by every question and with the "
        f"missing fact that matters most: all anew {anew_s:.1f} s; again after one change {again_s:.3f} s"
        f"{' **over**' if again_s > AIM_AGAIN_S else ''}. Aim: under {AIM_AGAIN_S:g} s after one change. One "
        f"joint: {one_ms:.1f} ms{' **over**' if one_ms > AIM_ONE_MS else ''}; the very first of all, with "
        f"the tables read, {first_ms:.0f} ms. Aim: {AIM_ONE_MS:g} ms.\n",
        flush=True,
    )
    return subprocess.run([sys.executable, __file__, BOOKS], check=False).returncode


if __name__ == "__main__":
    sys.exit(from_the_books() if BOOKS in sys.argv else main())
