"""What stands on a printed paper: words, fonts, pictures and pages, by a reader that is not the writer."""

from __future__ import annotations

import ctypes

import pypdfium2
import pypdfium2.raw
from PIL import Image


def words_of(paper: bytes) -> str:
    """The words of all pages, with one blank between any two."""
    with pypdfium2.PdfDocument(paper) as pdf:
        return " ".join(" ".join(page.get_textpage().get_text_range() for page in pdf).split())


def pages_of(paper: bytes, *, dots_per_inch: int) -> list[Image.Image]:
    """The pages, in grey, as a printer of this fineness sets them."""
    with pypdfium2.PdfDocument(paper) as pdf:
        return [page.render(scale=dots_per_inch / 72, grayscale=True).to_pil() for page in pdf]


def count_pages(paper: bytes) -> int:
    """How many pages there are."""
    with pypdfium2.PdfDocument(paper) as pdf:
        return len(pdf)


def fonts_of(paper: bytes) -> set[str]:
    """The families of the fonts in which something is set."""
    with pypdfium2.PdfDocument(paper) as pdf:
        wanted = [pypdfium2.raw.FPDF_PAGEOBJ_TEXT]
        return {_font_name(words) for page in pdf for words in page.get_objects(wanted)}


def picture_sizes(paper: bytes) -> list[tuple[int, int]]:
    """Width and height in pixels of each picture, as it is kept in the paper."""
    with pypdfium2.PdfDocument(paper) as pdf:
        wanted = [pypdfium2.raw.FPDF_PAGEOBJ_IMAGE]
        return [picture.get_px_size() for page in pdf for picture in page.get_objects(wanted)]


def _font_name(words: pypdfium2.PdfObject) -> str:
    """The family of a font: `ABCDEF+LibertinusSerif-Bold` is LibertinusSerif."""
    room = ctypes.create_string_buffer(200)
    font = pypdfium2.raw.FPDFTextObj_GetFont(words)
    pypdfium2.raw.FPDFFont_GetBaseFontName(font, room, len(room))
    return room.value.decode().rpartition("+")[2].partition("-")[0]
