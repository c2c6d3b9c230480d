"""The child process that sets one paper: a folder with template, data and pictures in, a PDF out."""

from __future__ import annotations

import sys
from pathlib import Path


def set_paper(folder: Path, template_name: str) -> None:
    """Set ``folder/template_name`` into ``folder/paper.pdf`` with the bundled fonts only.

    It is PDF/A-2b wherever those fonts have every sign.

    Parameters
    ----------
    folder : Path
        Holds the templates, ``data.json`` and the pictures; nothing outside it can be read by the template.
    template_name : str
        The template's file name.
    """
    # Loaded here, so that the memory limit stands before the compiler starts its threads.
    import typst

    fonts = typst.Fonts(include_system_fonts=False)
    compiler = typst.Compiler(
        input=folder / template_name,
        root=folder,
        font_paths=fonts,
        package_path=folder / "no-packages",
        package_cache_path=folder / "no-packages",
    )
    try:
        compiler.compile(output=folder / "paper.pdf", format="pdf", pdf_standards=["a-2b"])
    except typst.TypstError as error:
        # A sign that no bundled font has is a fault in an archive copy; on plain paper it shows as a box.
        if "could not be displayed" not in str(error):
            raise
        compiler.compile(output=folder / "paper.pdf", format="pdf")


def _limit_memory(limit_bytes: int) -> None:
    # Windows knows no such limit; the time limit of the parent still holds there.
    if sys.platform != "win32":
        import resource

        resource.setrlimit(resource.RLIMIT_AS, (limit_bytes, limit_bytes))


if __name__ == "__main__":
    _limit_memory(int(sys.argv[3]))
    set_paper(Path(sys.argv[1]), sys.argv[2])
