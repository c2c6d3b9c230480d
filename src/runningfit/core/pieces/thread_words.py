"""The words of a thread, parted into size, pitch, series and remarks."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace

from runningfit.core.standards import ThreadSeries
from runningfit.core.units import in_figures

_S = ThreadSeries


@dataclass(frozen=True, slots=True)
class Said:
    """What was said of a thread, not yet looked up.

    Parameters
    ----------
    size : str
        `5/16`, `1 1/8`, `10`, `.250`, `M8`, or the B.A. number.
    tpi : float or None
        Threads per inch.
    pitch_mm : float or None
        Metric pitch [mm].
    series : frozenset of ThreadSeries
        The series it may be; empty where none was said.
    metric, numbered, unit_marked, doubt : bool
        Whether it is metric, a numbered size, has its unit written, or is doubted.
    note : str
        What was said beyond that.
    """

    size: str
    tpi: float | None
    pitch_mm: float | None
    series: frozenset[ThreadSeries]
    metric: bool
    numbered: bool
    unit_marked: bool
    doubt: bool
    note: str

    @property
    def is_bare(self) -> bool:
        """Whether only a size was said; a B.A. number says its thread."""
        return self.tpi is None and self.pitch_mm is None and not self.series


_ANY_UNIFIED = (_S.UNC, _S.UNF, _S.UNEF, _S.UN, _S.UNS)
# What is said for a series, and a remark where the word says more than the series.
_SERIES: Mapping[str, tuple[tuple[ThreadSeries, ...], str]] = {
    "unc": ((_S.UNC,), ""),
    "unrc": ((_S.UNC,), ""),
    "unf": ((_S.UNF,), ""),
    "unrf": ((_S.UNF,), ""),
    "unef": ((_S.UNEF,), ""),
    "nef": ((_S.UNEF,), "NEF: American National, before Unified"),
    "nc": ((_S.UNC,), "NC: American National, before Unified"),
    "anc": ((_S.UNC,), "ANC: American National, before Unified"),
    "uss": ((_S.UNC,), "USS: before Unified"),
    "nf": ((_S.UNF,), "NF: American National, before Unified"),
    "anf": ((_S.UNF,), "ANF: American National, before Unified"),
    "sae": ((_S.UNF,), "SAE: before Unified"),
    "un": (_ANY_UNIFIED, ""),
    "unified": (_ANY_UNIFIED, ""),
    "uns": ((_S.UNS,), ""),
    "unrs": ((_S.UNS,), ""),
    "bsw": ((_S.BSW,), ""),
    "whitworth": ((_S.BSW,), ""),
    "whitwort": ((_S.BSW,), ""),
    "whit": ((_S.BSW,), ""),
    "w": ((_S.BSW,), ""),
    "ww": ((_S.BSW,), ""),
    "bsf": ((_S.BSF,), ""),
    "cei": ((_S.CEI,), ""),
    "bsc": ((_S.CEI,), ""),
    "bscy": ((_S.CEI,), ""),
    "cycle": ((_S.CEI,), ""),
    "ba": ((_S.BA,), ""),
    "bsp": ((_S.G, _S.R), ""),
    "gas": ((_S.G, _S.R), ""),
    "pipe": ((_S.G, _S.R, _S.NPT), ""),
    "bspp": ((_S.G,), ""),
    "g": ((_S.G,), ""),
    "bspt": ((_S.R,), ""),
    "r": ((_S.R,), ""),
    "rc": ((_S.R,), "Rc: the taper internal thread"),
    "rp": ((_S.R,), "Rp: the parallel internal thread"),
    "npt": ((_S.NPT,), ""),
    "nptf": ((_S.NPT,), "NPTF: the dryseal form"),
    "coarse": ((_S.UNC, _S.BSW, _S.METRIC_COARSE), ""),
    "fine": ((_S.UNF, _S.BSF, _S.METRIC_FINE), ""),
}
# Sayings of several words, and letters with points between, brought to one word.
_SAYINGS = (
    (re.compile(r"(?<![a-z])u\.?\s?n\.?\s?([cfs])\b\.?"), r"un\1"),
    (re.compile(r"(?<![a-z])u\.?\s?n\.?\s?e\.?\s?f\b\.?"), "unef"),
    (re.compile(r"(?<![a-z])u\.n\.(?=$|\s)"), "un"),
    (re.compile(r"(?<![a-z])b\.?\s?s\.?\s?([wfpc])\b\.?"), r"bs\1"),
    (re.compile(r"(?<![a-z])b\.?\s?a\b\.?"), "ba"),
    (re.compile(r"(?<![a-z])c\.?\s?e\.?\s?i\b\.?"), "cei"),
    (re.compile(r"(?<![a-z])n\.?\s?p\.?\s?t\b\.?"), "npt"),
    (re.compile(r"(?<![a-z])unified\s+(?:national\s+)?coarse\b"), "unc"),
    (re.compile(r"(?<![a-z])unified\s+(?:national\s+)?(?:extra[- ]fine)\b"), "unef"),
    (re.compile(r"(?<![a-z])unified\s+(?:national\s+)?fine\b"), "unf"),
    (re.compile(r"(?<![a-z])british\s+standard\s+whitworth\b"), "bsw"),
    (re.compile(r"(?<![a-z])british\s+standard\s+fine\b"), "bsf"),
    (re.compile(r"(?<![a-z])british\s+standard\s+pipe\b"), "bsp"),
    (re.compile(r"(?<![a-z])british\s+association\b"), "ba"),
    (re.compile(r"(?<![a-z])bsp\s*(?:parallel|\(?p\)?)(?=$|\s)"), "bspp"),
    (re.compile(r"(?<![a-z])bsp\s*(?:taper|tapered|\(?t\)?)(?=$|\s)"), "bspt"),
    (
        re.compile(
            r"(?<![a-z])(?:t\.p\.i\.?|t\.p\.i|(?:threads?\s+)?(?:per|to\s+the|to\s+an)\s+inch)(?=$|\W)"
        ),
        "tpi",
    ),
)
_LEFT = re.compile(r"\b(?:l\.?\s?h\b\.?|left[- ]hand(?:ed)?)")
_RIGHT = re.compile(r"\b(?:r\.?\s?h\b\.?|right[- ]hand(?:ed)?)")
_FILLERS = re.compile(
    r"\b(?:threads?|threaded|thd|dia|diameter|male|female|internal|external|size|metric|pitch)\b\.?"
)
_UN_CLASS = re.compile(r"(?<=[a-z0-9])[\s-]+(?P<fit>[123]\s?[ab])\b")
_ISO_CLASS = re.compile(r"[\s-]+(?P<fit>[4-8][gheGHE](?:[4-8][gheGHE])?)\b")
_G_CLASS = re.compile(r"(?P<thread>\bg\s*[0-9][0-9/ ]*?)\s*(?P<fit>[ab])\s*$")

_METRIC = re.compile(
    r"m\s?(?P<size>[0-9]{1,3}(?:[.,][0-9])?)"
    r"(?:\s*(?:[x*-]|\s)\s*(?P<pitch>[0-9]{1,3}(?:[.,][0-9]{1,3})?))?\s*(?:mm)?\s*p?"
)
_MM_SIZE = re.compile(
    r"(?P<size>[0-9]{1,3}(?:[.,][0-9])?)\s*mm(?:\s*[x*]\s*(?P<pitch>[0-9](?:[.,][0-9]{1,3})?)\s*(?:mm)?)?"
)
_INCH = re.compile(
    r"(?P<number>(?:no\.?|number|nr\.?|#)\s*)?"
    r"(?P<size>[0-9]{1,2}[\s-]+[0-9]{1,2}/[0-9]{1,2}|[0-9]{1,2}/[0-9]{1,2}|[0-9]?\.[0-9]{2,5}|[0-9]{1,2})"
    r"\s*(?P<mark>\"|inch(?:es)?\b|ins?\b\.?)?"
    r"(?:\s*(?:[-x*,@]|\s)\s*(?P<tpi>[0-9]{1,2}(?:\.[0-9]|\s1/2)?)\s*(?:tpi)?)?"
)


_BA_NUMBER = re.compile(r"(?:(?:no\.?|number|nr\.?|#)\s*)?(?P<size>[0-9]{1,2})")
_METRIC_SERIES = frozenset({_S.METRIC_COARSE, _S.METRIC_FINE})
# Dictated without "inch" behind it: "quarter twenty", "half UNF".
_SPOKEN_SIZE = (("half ", "1/2 "), ("quarter ", "1/4 "))


def _series_in(words: str) -> tuple[frozenset[ThreadSeries], list[str], str]:
    """Take the words for series out of the text; return the series, remarks and the rest."""
    series: set[ThreadSeries] = set()
    notes: list[str] = []

    def take(found: re.Match[str]) -> str:
        meant, note = _SERIES[found[0]]
        series.update(meant)
        if note:
            notes.append(note)
        return " "

    names = "|".join(sorted(_SERIES, key=len, reverse=True))
    # A series may touch the number it belongs to: 2BA, 1/4W, G3/8.
    rest = re.sub(rf"(?<![a-z])(?:{names})(?![a-z])", take, words)
    return frozenset(series), notes, rest


def _narrowed(series: frozenset[ThreadSeries], words: str) -> frozenset[ThreadSeries]:
    """Let `fine` and `coarse` choose among the series said beside them."""
    for word, meant in (("fine", {_S.UNF, _S.BSF}), ("coarse", {_S.UNC, _S.BSW})):
        others = re.sub(rf"\b{word}\b", " ", words)
        if others != words and (named := _series_in(others)[0] - {_S.METRIC_COARSE, _S.METRIC_FINE}):
            return frozenset(named & meant) or frozenset(named)
    return series


def part_words(text: str) -> Said | str:
    """Part what was said of a thread.

    Parameters
    ----------
    text : str
        The thread as typed or dictated.

    Returns
    -------
    Said or str
        The parts, or what to do where a word is left over that belongs to no thread.
    """
    words = " ".join(in_figures(text).lower().split())
    for spoken, figures in _SPOKEN_SIZE:
        words = figures + words.removeprefix(spoken) if words.startswith(spoken) else words
    doubt = "?" in words
    words = re.sub(r"\s*/\s*", "/", words.replace("?", " ").replace("''", '"'))
    notes = ["doubted by the writer"] if doubt else []
    for saying, word in _SAYINGS:
        words = saying.sub(word, words)
    if _LEFT.search(words):
        notes.append("left-hand thread")
    words = _RIGHT.sub(" ", _LEFT.sub(" ", words))
    words, notes = _without_class(words, notes)
    series, remarks, rest = _series_in(words)
    series = _narrowed(series, words)
    rest = re.sub(r"\bor\b", " ", _FILLERS.sub(" ", rest))
    rest = (
        " ".join(re.sub(r"[/()\[\]]+(?=\s|$)|(?<=\s)[/()]+", " ", f" {rest} ").split())
        .strip(" -,;:")
        .rstrip(".")
    )
    said = _measured(rest, series, "metric" in words)
    if said is None:
        return _left_over(rest)
    return replace(said, doubt=doubt, note="; ".join(notes + remarks))


def _without_class(words: str, notes: list[str]) -> tuple[str, list[str]]:
    """Take a class of fit off the end and keep it as a remark."""
    if found := _G_CLASS.search(words):
        return found["thread"], [*notes, f"class {found['fit'].upper()}"]
    for pattern in (_UN_CLASS, _ISO_CLASS):
        if found := pattern.search(words):
            fit = found["fit"].replace(" ", "")
            shown = fit.upper() if pattern is _UN_CLASS else fit
            return words[: found.start()] + words[found.end() :], [*notes, f"class {shown}"]
    return words, notes


def _number(figures: str | None) -> float | None:
    if figures is None:
        return None
    if figures.endswith(" 1/2"):
        return float(figures.removesuffix(" 1/2")) + 0.5
    return float(figures.replace(",", "."))


def _measured(rest: str, series: frozenset[ThreadSeries], metric: bool) -> Said | None:
    """Read the figures of a thread; none where they are not understood."""
    blank = Said(
        "", None, None, series, metric=False, numbered=False, unit_marked=False, doubt=False, note=""
    )
    if _S.BA in series:
        found = _BA_NUMBER.fullmatch(rest)
        return replace(blank, size=str(int(found["size"]))) if found else None
    if not series - _METRIC_SERIES or series & _METRIC_SERIES:
        found = _METRIC.fullmatch(f"m{rest}" if metric and rest[:1].isdigit() and "mm" not in rest else rest)
        marked = _MM_SIZE.fullmatch(rest)
        if found := found or marked:
            size = f"M{float(found['size'].replace(',', '.')):g}"
            unit_marked = marked is not None
            return replace(
                blank, size=size, pitch_mm=_number(found["pitch"]), metric=True, unit_marked=unit_marked
            )
    if found := _INCH.fullmatch(rest):
        return replace(
            blank,
            size=" ".join(found["size"].replace("-", " ").split()),
            tpi=_number(found["tpi"]),
            numbered=found["number"] is not None,
            unit_marked=found["mark"] is not None,
        )
    return None


def _left_over(rest: str) -> str:
    if not rest:
        return "Say the size too."
    return f"'{rest}' is not understood: write the size, then the threads per inch, then the series."
