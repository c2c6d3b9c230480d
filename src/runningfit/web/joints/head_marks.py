"""Marks on bolt heads, drawn as one sees them, so that a mark is tapped and not spelled."""

from __future__ import annotations

from functools import cache
from html import escape
from math import cos, pi, sin

from django.utils.safestring import SafeString

OTHER = "other"
_LINES = {"none": 0, "3 radial lines": 3, "6 radial lines": 6}
_STAMPED = ("8.8", "10.9", "12.9", "R", "S", "T", "V", "X")


@cache
def mark_choices() -> list[tuple[str, str]]:
    """Return the marks as choices, each with its drawing before its words."""
    words = {"none": "bare", "3 radial lines": "3 lines", "6 radial lines": "6 lines"}
    lines = [(mark, _choice(_lines(count), words[mark])) for mark, count in _LINES.items()]
    stamped = [(mark, _choice(_letters(mark), mark, drawn_only=True)) for mark in _STAMPED]
    return [("", "not looked"), *lines, *stamped, (OTHER, "another")]


def _choice(inside: str, words: str, *, drawn_only: bool = False) -> str:
    said = f'<span class="unseen">{escape(words)}</span>' if drawn_only else f" {escape(words)}"
    corners = " ".join(f"{20 + 18 * cos(n * pi / 3):.1f},{20 + 18 * sin(n * pi / 3):.1f}" for n in range(6))
    head = f'<polygon points="{corners}"/><circle cx="20" cy="20" r="14.6"/>{inside}'
    return SafeString(
        f'<svg class="mark" viewBox="0 0 40 40" width="40" height="40" aria-hidden="true">{head}</svg>{said}'
    )


def _lines(count: int) -> str:
    if not count:
        return ""
    steps = []
    for n in range(count):
        angle = 2 * pi * n / count - pi / 2
        x, y = cos(angle), sin(angle)
        steps.append(f"M{20 + 6 * x:.1f} {20 + 6 * y:.1f}L{20 + 12.6 * x:.1f} {20 + 12.6 * y:.1f}")
    return f'<path d="{"".join(steps)}"/>'


def _letters(text: str) -> str:
    size = 11 if len(text) > 2 else 15
    at = f'x="20" y="{20 + size * 0.36:.1f}" font-size="{size}" text-anchor="middle"'
    return f"<text {at}>{escape(text)}</text>"
