"""The common ground of all papers: data and pictures in, a PDF out, set in a child process with limits.

What people typed never becomes part of a template: it travels as ``data.json`` and is set as plain text.
"""

from __future__ import annotations

import json
import re
import subprocess
import sys
import tempfile
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from io import BytesIO
from pathlib import Path

from PIL import Image, ImageOps

from runningfit.core.errors import InvalidInput

TIME_LIMIT_S = 90.0
# 600 photos of noise at print size, the worst there is, were set within it.
MEMORY_LIMIT_BYTES = 3 * 2**30
PRINTED_PX = 900
_PICTURE_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,30}\.(?:jpg|png|svg)")
_TEMPLATE_NAME = re.compile(r"[a-z][a-z0-9_-]*\.typ")
_OUT_OF_MEMORY = re.compile(r"MemoryError|memory allocation|out of memory|failed to map segment")
# Control signs and the invisible ones that turn or hide text; nobody at a bench types them.
_UNPRINTABLE = re.compile(
    r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u200b-\u200f\u202a-\u202e\u2060-\u206f\ufeff\ufff9-\ufffb]"
)
# A word longer than a line would run over its neighbours: it may break here, where no one sees it.
_LONG_WORD = re.compile(r"\S{36}(?=\S)")


def render(
    template_name: str,
    data: Mapping[str, object],
    images: Mapping[str, bytes] | None = None,
    *,
    time_limit_s: float = TIME_LIMIT_S,
    memory_limit_bytes: int = MEMORY_LIMIT_BYTES,
) -> bytes:
    """Set a paper and return its PDF (PDF/A-2b wherever the bundled fonts have every sign).

    Parameters
    ----------
    template_name : str
        A template of ``reports/typst``, such as ``labels.typ``; it reads its data by ``json("data.json")``.
    data : mapping
        What the paper says, as JSON can hold it.
    images : mapping of str to bytes
        Pictures by the name the data calls them: ``NAME.jpg`` or ``.png`` (shrunk to print size) or ``.svg``.
    time_limit_s : float
        How long setting may take [s].
    memory_limit_bytes : int
        How much memory the setting process may ask for [byte].

    Returns
    -------
    bytes
        The PDF.

    Raises
    ------
    InvalidInput
        The paper is larger than the time or memory limit allows, or a name or picture cannot be used.
    """
    if not _TEMPLATE_NAME.fullmatch(template_name) or template_name not in templates():
        raise InvalidInput("template", needs=f"one of {', '.join(sorted(templates()))}", came=template_name)
    with tempfile.TemporaryDirectory(prefix="runningfit-paper-") as name:
        folder = Path(name)
        for template, source in templates().items():
            (folder / template).write_text(source, encoding="utf-8")
        for picture, content in (images or {}).items():
            (folder / _picture_name(picture)).write_bytes(_at_print_size(picture, content))
        (folder / "data.json").write_text(json.dumps(printable(data), ensure_ascii=False), encoding="utf-8")
        _set_in_a_child([str(folder), template_name, str(memory_limit_bytes)], time_limit_s)
        return (folder / "paper.pdf").read_bytes()


@cache
def templates() -> dict[str, str]:
    """Return every template by its file name."""
    folder = files("runningfit.reports") / "typst"
    sources = (entry for entry in folder.iterdir() if entry.name.endswith(".typ"))
    return {source.name: source.read_text(encoding="utf-8") for source in sources}


def printable(value: object) -> object:
    """Return data ready to be set: unprintable signs left out, endless words made breakable."""
    if isinstance(value, str):
        said = _UNPRINTABLE.sub("", value.encode("utf-8", "replace").decode("utf-8"))
        return _LONG_WORD.sub(lambda match: match[0] + "\u200b", said)
    if isinstance(value, Mapping):
        return {str(key): printable(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [printable(one) for one in value]
    return value


def _set_in_a_child(asked: list[str], time_limit_s: float) -> None:
    command = [sys.executable, "-m", "runningfit.reports.typesetting", *asked]
    try:
        done = subprocess.run(command, capture_output=True, timeout=time_limit_s, check=False)  # noqa: S603
    except subprocess.TimeoutExpired as error:
        raise _too_large(f"more than {time_limit_s:g} seconds of setting") from error
    said = done.stderr.decode("utf-8", "replace")
    if done.returncode < 0 or (done.returncode and _OUT_OF_MEMORY.search(said)):
        raise _too_large("more than fits into memory")
    if done.returncode:
        raise RuntimeError(f"the template {asked[1]} could not be set:\n{said[-4000:]}")


def _too_large(came: str) -> InvalidInput:
    return InvalidInput(
        "the paper", needs="a size that can be set at once", came=came, remedy="Choose fewer and print again."
    )


def _picture_name(name: str) -> str:
    if not _PICTURE_NAME.fullmatch(name):
        raise InvalidInput("picture", needs="a plain name ending in .jpg, .png or .svg", came=name)
    return name


def _at_print_size(name: str, content: bytes) -> bytes:
    """Return a picture no larger than print needs; a drawing stays as it is."""
    if name.endswith(".svg"):
        return content
    kind = "JPEG" if name.endswith(".jpg") else "PNG"
    try:
        with Image.open(BytesIO(content), formats=["JPEG", "PNG"]) as picture:
            picture.draft("RGB", (PRINTED_PX, PRINTED_PX))
            picture.thumbnail((PRINTED_PX, PRINTED_PX))
            upright = ImageOps.exif_transpose(picture).convert("RGB")
    except (OSError, SyntaxError, ValueError, Image.DecompressionBombError) as error:
        raise InvalidInput("picture", needs="a JPEG or PNG that can be read", came=name) from error
    out = BytesIO()
    upright.save(out, kind, quality=82)
    return out.getvalue()
