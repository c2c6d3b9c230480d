"""How often the same pieces laid out anew are noticed, and how often other pieces are taken for them.

    .venv/bin/python bench/same_pieces.py [TRIALS | --page]

Bags of a simulator (`tests/simulators/bags.py`) are photographed twice, the pieces lying elsewhere; one piece
of fifty is overlooked each time. Then the photos of the tests are held against each other, measured as in the
shop. Last comes how long a core is busy for the page of a photo that is held against as many as the shop
looks back; `--page` measures that alone.
"""

from __future__ import annotations

import json
import os
import statistics
import sys
import time
from collections.abc import Callable, Sequence
from functools import partial
from itertools import combinations
from pathlib import Path
from random import Random

ROOT = Path(__file__).parents[1]
sys.path[:0] = [str(ROOT / "src"), str(ROOT / "tests")]
os.environ["DJANGO_SETTINGS_MODULE"] = "settings_for_tests"

import django  # noqa: E402  (the settings come first)

django.setup()

from django.core.management import call_command  # noqa: E402
from django.test import Client  # noqa: E402
from django.utils import timezone  # noqa: E402

from photos_of_bags import photo_of  # noqa: E402
from runningfit.core.photos.answers import CouldNotMeasure  # noqa: E402
from runningfit.core.photos.checking import check_photo  # noqa: E402
from runningfit.core.photos.items import PhotoItem  # noqa: E402
from runningfit.core.photos.mats import read_mat  # noqa: E402
from runningfit.core.photos.measuring import measure_photo  # noqa: E402
from runningfit.workshop.models import Job, Photo, PhotoPiece, PhotoRun, Record  # noqa: E402
from runningfit.workshop.photos.hardware_reads import pieces_of  # noqa: E402
from runningfit.workshop.photos.proposed import piece_of  # noqa: E402
from runningfit.workshop.photos.same_pieces import LOOKED_BACK, look_the_same, seen_before  # noqa: E402
from runningfit.workshop.records.services import open_job  # noqa: E402
from runningfit.workshop.records.writing import Hand  # noqa: E402
from simulators import bags  # noqa: E402

PHOTOS = ROOT / "tests" / "data" / "photos"
OVERLOOKED = 0.02
# Of the pages that are measured: pieces of each photo, the makes that a shop has, points of an outline.
PIECES, MAKES, OUTLINE, ROUNDS = (8, 15, 30, 60), 40, 40, 15
ERRORS = {
    "lengths to 0.25 mm": bags.Errors(),
    "lengths to 1 mm": bags.Errors(length=1.0, diameter=0.5, pitch=0.02, scale=0.004),
}
Makes = Sequence[bags.Make]


def rows(items: Sequence[PhotoItem], chance: Random) -> list[PhotoPiece]:
    """The pieces of a photo as the books keep them, each at a spot of its own."""
    kept = [piece_of(PhotoRun(), item) for item in items]
    for row in kept:
        row.x_mm, row.y_mm = chance.uniform(10, 390), chance.uniform(10, 280)
    return kept


def seen(makes: Makes, errors: bags.Errors, chance: Random) -> list[PhotoPiece]:
    """A photo of these pieces."""
    scale = 1 + chance.gauss(0, errors.scale)
    found = [
        bags.seen(n, one, errors, scale, chance)
        for n, one in enumerate(makes)
        if chance.random() > OVERLOOKED
    ]
    chance.shuffle(found)
    return rows(photo_of(found).items, chance)


def counted(sorts: Makes, chance: Random) -> list[bags.Make]:
    """Pieces of these sorts, as many of each as a bag has."""
    return [one for one in sorts for _ in range(chance.choice((1, 1, 2, 2, 3, 4, 6)))]


def sorts(chance: Random) -> list[bags.Make]:
    """Three to eight sorts."""
    return [bags.make(chance) for _ in range(chance.randint(3, 8))]


def half_shared(chance: Random) -> tuple[Makes, Makes]:
    """Two bags that share every other sort."""
    ours = sorts(chance)
    theirs = [one if n % 2 else bags.make(chance) for n, one in enumerate(ours)]
    return counted(ours, chance), counted(theirs, chance)


def near(chance: Random) -> tuple[Makes, Makes]:
    """A bag, and one of as many pieces that differ each in thread or length."""
    makes = counted(sorts(chance), chance)
    return makes, [bags.another(one, chance) for one in makes]


def same(chance: Random) -> tuple[Makes, Makes]:
    """One bag."""
    makes = counted(sorts(chance), chance)
    return makes, makes


def half(chance: Random) -> tuple[Makes, Makes]:
    """About half of a bag, and the bag."""
    makes = counted(sorts(chance), chance)
    return [one for one in makes if chance.random() < 0.5] or makes[:1], makes


def of_one_sort(chance: Random) -> tuple[Makes, Makes]:
    """Three to twelve of one sort."""
    makes = [bags.make(chance)] * chance.randint(3, 12)
    return makes, makes


def equal_sorts(chance: Random) -> tuple[Makes, Makes]:
    """Two bags of the same sorts, each with its own counts."""
    ours = sorts(chance)
    return counted(ours, chance), counted(ours, chance)


def others(chance: Random) -> tuple[Makes, Makes]:
    """Two bags."""
    return counted(sorts(chance), chance), counted(sorts(chance), chance)


CASES: dict[str, Callable[[Random], tuple[Makes, Makes]]] = {
    "the same pieces": same,
    "the same, all of one sort": of_one_sort,
    "about half of them again": half,
    "other pieces of the same sorts, other counts": equal_sorts,
    "other pieces, every other sort the same": half_shared,
    "other pieces, each near in thread or length": near,
    "other pieces": others,
}


def simulated(trials: int) -> None:
    """Print how often each case is asked about."""
    print("| laid out anew |", " | ".join(ERRORS), "|")
    print("|---|", "---|" * len(ERRORS), sep="")
    for name, drawn in CASES.items():
        told = []
        for errors in ERRORS.values():
            chance = Random(17)
            asked = 0
            for _ in range(trials):
                ours, theirs = drawn(chance)
                asked += look_the_same(seen(ours, errors, chance), seen(theirs, errors, chance))
            share = asked / trials
            error = f" ({100 * share:.1f} ± {100 * (share * (1 - share) / trials) ** 0.5:.1f} %)"
            told.append(f"{asked} of {trials}{error if 0 < asked < trials else ''}")
        print(f"| {name} |", " | ".join(told), "|", flush=True)


def photographed() -> None:
    """Print which of the tests' photos are taken for the same pieces."""
    chance = Random(5)
    by_name: dict[str, list[PhotoPiece]] = {}
    for photo in sorted(PHOTOS.glob("*.jpg")):
        told = json.loads((PHOTOS / f"{photo.stem}_pieces.json").read_text())
        camera = photo.with_suffix(".json")
        mat = PHOTOS / json.loads(camera.read_text())["mat"] if camera.exists() else None
        plane = check_photo(
            photo.read_bytes(),
            mat=read_mat(mat.read_text()) if mat else None,
            print_scale=told.get("print_scale"),
        )
        answer = plane if isinstance(plane, CouldNotMeasure) else measure_photo(plane)
        if not isinstance(answer, CouldNotMeasure):
            by_name[photo.stem] = rows(answer.items, chance)
    for one, other in combinations(by_name, 2):
        asked = "asked" if look_the_same(by_name[one], by_name[other]) else "not"
        print(f"{one} ({len(by_name[one])} pieces), {other} ({len(by_name[other])}): {asked}")


def job_of_photos(pieces: int, chance: Random) -> PhotoRun:
    """A shop's last photos of so many pieces each, in the books but the last one; returns this."""
    job = open_job(name=f"{pieces} pieces", engine_name="an engine", hand=Hand(who="Bench"))
    PhotoRun.objects.update(withdrawn=True)
    makes = [bags.make(chance) for _ in range(MAKES)]
    runs = []
    for number in range(LOOKED_BACK + 1):
        in_books = Record.objects.latest("pk") if number < LOOKED_BACK else None
        runs.append(_run(job, f"{pieces}-{number}", in_books))
        counted_out: list[bags.Make] = []
        while len(counted_out) < pieces / (1 - OVERLOOKED):
            counted_out += [chance.choice(makes)] * chance.choice((1, 1, 2, 2, 3, 4, 6))
        rows_of = seen(counted_out, ERRORS["lengths to 1 mm"], chance)[:pieces]
        for place, row in enumerate(rows_of, start=1):
            row.run, row.number = runs[-1], place
            row.outline_px = row.outline_mm = [[1.5 * at, 2.5 * at] for at in range(OUTLINE)]
        PhotoPiece.objects.bulk_create(rows_of)
    return runs[-1]


def _run(job: Job, name: str, in_books: Record | None) -> PhotoRun:
    now = timezone.now()
    photo = Photo.objects.create(
        job=job,
        original=name,
        shown=name,
        thumb=name,
        sha256=name,
        width_px=4000,
        height_px=3000,
        taken_at=now,
    )
    return PhotoRun.objects.create(
        job=job,
        photo=photo,
        asked_at=now,
        asked_by="Bench",
        beat_at=now,
        state=PhotoRun.MEASURED,
        accepted_by=in_books,
        print_scale=1.0,
        gsd_mm=0.1,
        width_px=4000,
        height_px=3000,
    )


def busy_ms(work: Callable[[], object]) -> float:
    """How long a core is busy for something [ms]."""
    began = time.process_time()
    work()
    return 1000 * (time.process_time() - began)


def paged() -> None:
    """Print how long a core is busy for the check and for its page."""
    call_command("migrate", verbosity=0)
    chance, client = Random(23), Client()
    # What a worker imports when it first compares is no part of any photo's time.
    one = seen([bags.make(chance)], bags.Errors(), chance)
    look_the_same(one, one)
    print("| pieces of each photo | the check, first | again | the page |\n|---|---|---|---|")
    for pieces in PIECES:
        run = job_of_photos(pieces, chance)
        shown = pieces_of(run)
        first = busy_ms(partial(seen_before, run, shown))
        at = f"/jobs/{run.job_id}/hardware/{run.pk}"
        assert client.get(at).status_code == 200
        again = [busy_ms(partial(seen_before, run, shown)) for _ in range(ROUNDS)]
        page = [busy_ms(partial(client.get, at)) for _ in range(ROUNDS)]
        told = " | ".join(f"{statistics.median(one):.0f} ms" for one in ([first], again, page))
        print(f"| {pieces} | {told} |", flush=True)


if __name__ == "__main__":
    if sys.argv[1:] != ["--page"]:
        simulated(int(sys.argv[1]) if len(sys.argv) > 1 else 400)
        photographed()
    paged()
