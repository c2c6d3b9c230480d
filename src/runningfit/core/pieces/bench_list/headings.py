"""The words that head the columns of a bench list: English trade words, and some German, French and Dutch."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache

from runningfit.core.pieces.understood import Meaning
from runningfit.core.units import LengthUnit

_WORDS: dict[Meaning, str] = {
    Meaning.BAG: (
        "bag, bags, bag no, bag number, bag code, bag id, tin, tin no, box, box no, container, packet, "
        "beutel, beutel nr, tute, sachet, sac, zak, zakje, zak nr"
    ),
    Meaning.AREA: (
        "area, where, where from, where it came off, where it came from, came off, came from, "
        "taken from, from, "
        "location, position, section, assembly, off what, part of engine, region, "
        "ort, baugruppe, stelle, herkunft, von wo, woher, bereich, emplacement, endroit, ou, provenance, "
        "plaats, waar, waarvandaan, groep"
    ),
    Meaning.COUNT: (
        "count, how many, qty, qnty, quantity, no off, number off, nos, number, pcs, pieces, off, "
        "amount, total, "
        "anzahl, stuck, stk, menge, quantite, qte, nombre, nbre, nb, aantal, stuks, hoeveel"
    ),
    Meaning.KIND: (
        "kind, what, what it is, type, item, part, fastener, sort, article, piece, kind of piece, "
        "art, was, teil, sorte, artikel, quoi, piece, genre, wat, soort, onderdeel"
    ),
    Meaning.SIZE: (
        "size, thread, thread size, size and thread, size thread, thread and size, dia, diameter, "
        "size of thread, "
        "dia and tpi, gewinde, grosse, gewindegrosse, filetage, filet, taille, diametre, dimension, "
        "draad, maat, schroefdraad"
    ),
    Meaning.PITCH: "tpi, pitch, threads per inch, t p i, steigung, gangzahl, pas, spoed, gangen",
    Meaning.SERIES: (
        "series, thread series, thread form, form, standard, thread type, system, norm, gewindeart, norme"
    ),
    Meaning.LENGTH: (
        "length, len, long, lg, lgth, u h length, length under head, under head, uhl, shank length, "
        "lange, lge, longueur, lengte, lang"
    ),
    Meaning.FINISH: (
        "finish, plating, plated, colour, color, coating, look, surface, "
        "oberflache, farbe, uberzug, finition, revetement, couleur, afwerking, kleur"
    ),
    Meaning.CONDITION: (
        "condition, cond, state, status, shape, defects, damage, zustand, etat, conditie, staat, toestand"
    ),
    Meaning.REMARKS: (
        "remarks, remark, notes, note, comments, comment, memo, observations, "
        "bemerkung, bemerkungen, anmerkung, anmerkungen, notiz, remarque, remarques, opmerking, opmerkingen"
    ),
    Meaning.ACROSS_FLATS: (
        "a f, af, across flats, spanner, spanner size, wrench, wrench size, hexagon, hex, "
        "sw, schlusselweite, cle, surplats, sleutelwijdte"
    ),
    Meaning.TORQUE: (
        "torque, tightening torque, lb ft, ft lb, lbf ft, nm, drehmoment, couple, koppel, aanhaalmoment"
    ),
    Meaning.DESCRIPTION: (
        "description, desc, descr, details, detail, what and size, contents, hardware, "
        "bezeichnung, beschreibung, designation, omschrijving, benaming"
    ),
}
_MEANING_OF = {word.strip(): meaning for meaning, words in _WORDS.items() for word in words.split(",")}
_JOINING = frozenset({"and", "x", "by", "with", "und", "et", "en"})
_TOLD_BY_A_LINE = frozenset({Meaning.COUNT, Meaning.KIND, Meaning.SIZE, Meaning.LENGTH, Meaning.FINISH})
_NUMBERING = frozenset({"no", "nr", "row", "line", "item no", "pos", "lfd nr", "index", "num"})
_MM = re.compile(r"\b(?:mm|millimet(?:re|er)s?)\b", re.IGNORECASE)
_INCH = re.compile(r"\b(?:in|ins|inch|inches|zoll|pouces?|inch\.)(?![^\W_])|[\"″]", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Heading:
    """What a heading says: a meaning if known, a unit if it names one, and whether it only numbers rows."""

    text: str
    meaning: Meaning | None
    unit: LengthUnit | None
    is_numbering: bool


@lru_cache(maxsize=2048)
def read_heading(text: str) -> Heading:
    """Read the heading of a column.

    Parameters
    ----------
    text : str
        Such as ``Length (mm)``, ``Len, in``, ``How many``, ``Gewinde``.

    Returns
    -------
    Heading
        Without a meaning where the words are not known.
    """
    unit = LengthUnit.MM if _MM.search(text) else LengthUnit.INCH if _INCH.search(text) else None
    tried = [_plain(text)]
    if unit is not None:
        tried.append(_plain(_INCH.sub(" ", _MM.sub(" ", text))))
    tried.append(_plain(re.sub(r"\(.*?\)|\[.*?\]", " ", text)))
    tried.append(_plain(re.split(r"[/,;:\n(]", text)[0]))
    for words in tried:
        if words in _MEANING_OF:
            return Heading(text, _MEANING_OF[words], unit, False)
    if (several := _several(tried[-2])) is not None:
        return Heading(text, several, unit, False)
    return Heading(text, None, unit, any(words in _NUMBERING for words in tried) or text.strip() == "#")


def _several(words: str) -> Meaning | None:
    """What a column tells whose heading joins two: size and length, item and size."""
    told = {_MEANING_OF.get(word) for word in words.split() if word not in _JOINING}
    if told == {Meaning.SIZE, Meaning.LENGTH}:
        return Meaning.SIZE
    whole = Meaning.KIND in told and Meaning.SIZE in told and told <= _TOLD_BY_A_LINE
    return Meaning.DESCRIPTION if whole else None


def _plain(text: str) -> str:
    """Small letters without accents and marks."""
    bare = "".join(
        letter for letter in unicodedata.normalize("NFKD", text.lower()) if not unicodedata.combining(letter)
    )
    return " ".join(re.findall(r"[^\W_]+", bare.replace("ß", "ss")))
