"""Cut-outs: pieces out of the photo that they were measured in, one by one or side by side on one sheet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO

from PIL import Image, ImageOps

from runningfit.core.photos.picture_files import formats_of, in_plain_colours
from runningfit.workshop.photos.correcting import box_of
from runningfit.workshop.photos.files import read
from runningfit.workshop.photos.hardware_models import PhotoPiece, PhotoRun

# The pieces of a lot that its picture shows, and the longest side that one of them has on it.
MOST_SHOWN, CELL_PX = 12, 360
_ACROSS, _GAP_PX = 4, 12
_GROUND = (255, 255, 255)


@dataclass(frozen=True, slots=True)
class Original:
    """The photo of a run, upright and of the size in which its pieces were measured."""

    picture: Image.Image

    def of(self, piece: PhotoPiece) -> Image.Image:
        """Return a piece cut out with a margin round it; a fresh picture that carries nothing else."""
        return self.within(box_of(piece, self.picture.width, self.picture.height))

    def within(self, box_px: Sequence[int]) -> Image.Image:
        """Return what lies in a box of left, top, right and bottom [px]."""
        left, top, right, bottom = box_px
        return self.picture.crop((left, top, max(right, left + 1), max(bottom, top + 1)))

    def sheet(self, pieces: Sequence[PhotoPiece]) -> bytes:
        """Return the first dozen of pieces side by side, all at one scale, as a JPEG."""
        cuts = [self.of(piece) for piece in pieces[:MOST_SHOWN]]
        longest = max(max(cut.size) for cut in cuts)
        scale = min(1.0, CELL_PX / longest)
        sizes = [(max(1, round(cut.width * scale)), max(1, round(cut.height * scale))) for cut in cuts]
        small = [cut.resize(size) for cut, size in zip(cuts, sizes, strict=True)]
        wide = max(cut.width for cut in small) + _GAP_PX
        high = max(cut.height for cut in small) + _GAP_PX
        across = min(_ACROSS, len(small))
        rows = -(-len(small) // across)
        sheet = Image.new("RGB", (across * wide + _GAP_PX, rows * high + _GAP_PX), _GROUND)
        for at, cut in enumerate(small):
            row, column = divmod(at, across)
            sheet.paste(cut, (_GAP_PX + column * wide, _GAP_PX + row * high))
        return as_jpeg(sheet)


def original_of(run: PhotoRun) -> Original:
    """Open the photo of a run for cutting."""
    data = read(run.photo, "original")
    with Image.open(BytesIO(data), formats=formats_of(data, f"photo {run.photo_id}")) as photo:
        size = (run.width_px or photo.width, run.height_px or photo.height)
        # A large JPEG was measured at half its size, as it is decoded here.
        photo.draft("RGB", (min(size), min(size)))
        upright = in_plain_colours(ImageOps.exif_transpose(photo)).convert("RGB")
    return Original(upright if upright.size == size else upright.resize(size))


def as_jpeg(picture: Image.Image) -> bytes:
    """Return a picture as a JPEG file without any data about where it came from."""
    out = BytesIO()
    picture.save(out, "JPEG", quality=88)
    return out.getvalue()
