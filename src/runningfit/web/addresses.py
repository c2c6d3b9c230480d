"""Addresses of pages by their names, quickly: a page says up to a hundred of them."""

from __future__ import annotations

import re
from functools import cache

from django.urls import NoReverseMatch, get_script_prefix, reverse

# What an address can hold as it is; anything else is left to Django to quote or to refuse.
_PLAIN = re.compile(r"[A-Za-z0-9_-]+")
_NUMBER, _TEXT = 2_000_000_011, "text-mark-"


def address(name: str, *values: object) -> str:
    """Return the address of a page, as Django's reverse does.

    Parameters
    ----------
    name : str
        The page's name among the addresses.
    values : int or str
        What the address holds, in its order.

    Raises
    ------
    NoReverseMatch
        No address of that name takes such values.
    """
    kinds = tuple(
        int
        if type(value) is int and value >= 0
        else str
        if type(value) is str and _PLAIN.fullmatch(value)
        else None
        for value in values
    )
    if None not in kinds and get_script_prefix() == "/":
        pattern = _pattern(name, kinds)
        if pattern:
            return pattern % values
    return reverse(name, args=values)


@cache
def _pattern(name: str, kinds: tuple[type, ...]) -> str:
    """Return the address with a place for each value; empty where it has none for values of this kind."""
    marks: list[int | str] = [
        _NUMBER + place if kind is int else f"{_TEXT}{place}" for place, kind in enumerate(kinds)
    ]
    try:
        pattern = reverse(name, args=marks).replace("%", "%%")
    except NoReverseMatch:
        return ""
    places = [pattern.find(str(mark)) for mark in marks]
    if places != sorted(places) or -1 in places:
        return ""
    for mark in marks:
        pattern = pattern.replace(str(mark), "%s")
    return pattern
