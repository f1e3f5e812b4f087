"""What a text says of a part: 'OD 50 x 270 mm, mass 248.6 g, for density 670 kg/m3, max. 10 barg / 150 degC'.

Each piece with a name and a value becomes one; a size stands for two lengths, a value with a unit that only
one property of the part can have needs no name.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from xlfuncs.data.words import fold, listed
from xlfuncs.units import find_unit
from xlfuncs.vocabulary.meaning import ACCEPT, read_heading
from xlfuncs.vocabulary.words import concepts_of, words_of

_LONGEST: Final = 600
_PIECES: Final = re.compile(r"[;\n|；，、。]|,\s+|\s/\s")
_VALUE: Final = r"[+\-<>~≤≥]?\d[\d.,\s]*?(?:\s*[^\d\s].*)?"
_NAMED: Final = re.compile(rf"(?P<name>[^\W\d][^\d:=]{{0,60}}?)\s*[:=]?\s*(?P<value>{_VALUE})", re.DOTALL)
_SIGNAL: Final = re.compile(
    rf"(?P<name>(?:4|20)\s*mA)\s*(?:[:=@]|bei|at|a|à|en|przy|при)?\s*(?P<value>{_VALUE})"
)
_WHOLE: Final = re.compile(r"[^\d]{0,30}4\s*[-–~]\s*20\s*mA\s*[:=]\s*(?P<value>-?\d[\d.,]*\s*[-–~]\s*\d.*)")
_AFTER: Final = re.compile(r"(?P<value>\d[\d.,]*\s*[^\d\s]\S*)\s+(?P<name>[^\d]{3,40})")
"""'955 kg/m3 sűrűséghez': the value first."""
_KEYED: Final = re.compile(r"(?P<name>[^:=\d][^:=]{0,60}?)\s*[:=]\s*(?P<value>\S.*)", re.DOTALL)
_TWICE: Final = re.compile(
    rf"(?P<name>[^:=\d]{{1,60}}?)\s*=\s*(?P<other>[^:=\d]{{1,60}}?)\s+(?P<value>{_VALUE})", re.DOTALL
)
"""'centre to centre = visible range 1200 mm'."""
_RATING: Final = re.compile(
    r"\b(?:PN\s?\d{1,3}|JIS\s?\d{1,2}\s?K|CL(?:ASS)?\.?\s?\d{3,4})\b|\b\d{3,4}\s?#", re.IGNORECASE
)
_SIZE: Final = re.compile(
    r"[^\d]{0,20}?(?P<across>\d+(?:[.,]\d+)?)\s*(?:mm|cm|in|\")?\s*[x×*]\s*(?P<long>\d+(?:[.,]\d+)?)"
    r"\s*(?P<unit>[^\W\d]+|\")?"
)
_BARE: Final = re.compile(r"\d+(?:[.,]\d+)?\s*(?P<unit>[^\d\s].*)")
_UNIT: Final = re.compile(r"\d\s*(?P<unit>[^\d\s.,].*)$")
_OF_FLOAT: Final = {"mass": "float mass"}
"""Quantity -> what a value of it can only be, in a text about a float."""
_OF_BOUND: Final = {"pressure_gauge": "pressure", "temperature": "temperature"}
_TEXTS: Final = frozenset(
    {"fluid", "serial", "float_serial", "float_part", "chamber_material", "float_material"}
)


@dataclass(frozen=True, slots=True)
class Said:
    """A value that a text gives, and what it says of it."""

    name: str
    """As the text has it, or what stands for it."""
    value: str
    key: str = ""
    """What the name means, where the text leaves it to the reader."""


@lru_cache(maxsize=8192)
def said_in(text: str, part: str) -> tuple[Said, ...]:
    """The values of a text about a part ('float', 'chamber', ... or ""); none in one without names."""
    if not 4 <= len(text) <= _LONGEST:
        return ()
    out: list[Said] = []
    bound = qualifier = ""
    text = text.replace("＝", "=").replace("：", ":").replace("～", "~")
    for piece in filter(None, map(str.strip, _PIECES.split(text))):
        same = _qualified(piece, qualifier)
        found = [same] if same is not None else _of_piece(piece, part, bound)
        qualifier = _qualifier(found[0].name) if len(found) == 1 else ""
        bound = found[0].name if len(found) == 1 and _only_bounds(found[0].name) else ""
        out += found
    return tuple(out)


@lru_cache(maxsize=4096)
def _qualifier(name: str) -> str:
    """'Operating' or 'design' of the name of a pressure; "" for another name."""
    said = concepts_of(name)
    qualifiers = [one for one in ("operating", "design") if one in said]
    return qualifiers[0] if "pressure" in said and len(qualifiers) == 1 else ""


def _qualified(piece: str, qualifier: str) -> Said | None:
    """'Operating pressure 2 bar / temp. 103 degC': the temperature is that of operation too."""
    named = _NAMED.fullmatch(piece) if qualifier else None
    if named is None:
        return None
    said = concepts_of(named["name"])
    bare = "temperature" in said and not said & {"operating", "design"}
    return Said(named["name"], named["value"].strip(), f"{qualifier} temperature") if bare else None


def _of_piece(piece: str, part: str, bound: str) -> list[Said]:
    """`bound`: the 'max.' of the piece before, which holds for a bare value behind a stroke too."""
    size = _SIZE.fullmatch(piece)
    if size is not None and part == "float":
        unit = size["unit"] or "mm"
        return [
            Said("d x L", f"{size['across']} {unit}", "float outside diameter"),
            Said("d x L", f"{size['long']} {unit}", "float length"),
        ]
    whole = _WHOLE.fullmatch(piece)
    if whole is not None:
        return [Said("4-20 mA", whole["value"], "transmitter range")]
    after = _AFTER.fullmatch(piece) if part == "float" else None
    if after is not None and "density" in concepts_of(after["name"]):
        return [Said(after["name"], after["value"], "float design density")]
    signal = _SIGNAL.fullmatch(piece)
    if signal is not None:
        return [Said(signal["name"], signal["value"])]
    twice = _TWICE.fullmatch(piece)
    if twice is not None and _is_named(twice["name"], part) and _is_named(twice["other"], part):
        return [Said(twice[name], twice["value"]) for name in ("name", "other")]
    rating = _RATING.search(piece)
    if rating is not None and part in ("", "flange", "chamber"):
        return [Said("class", rating[0], "flange class")]
    named = _NAMED.fullmatch(piece) or _KEYED.fullmatch(piece)
    if named is not None and (found := _of_named(named["name"].strip(" :="), named["value"].strip(), part)):
        return [found]
    bare = _BARE.fullmatch(piece)
    if bare is not None:
        return _of_bare(piece, bare["unit"], part, bound)
    return _of_words(piece)


def _of_named(name: str, value: str, part: str) -> Said | None:
    if _only_bounds(name):
        key = _bounded(name, value)
        return Said(name, value, key) if key else None
    if part.startswith("switch") and (act := act_of(name)):
        return Said(name, value, act)
    if part == "float" and name.strip(" .") in ("Ø", "ø", "⌀", "D"):
        return Said(name, value, "float outside diameter")
    if part == "float" and (_for_density(name) or (_is_for(name) and _unit_of(value, "density"))):
        return Said(name, value, "float design density")
    if part == "float" and "magnet" in concepts_of(name) and (plane := _PLANE.match(value)):
        from_top = "from_top" in concepts_of(f"{name} {plane['from']}")
        return Said(name, plane["value"], "magnet from top" if from_top else "magnet height")
    if _CODE.match(value) or not _is_named(name, part):
        return None
    return Said(name, value)


_CODE: Final = re.compile(r"-\d")
"""What follows the letters of a number of a part, and is no negative value."""


def _is_named(name: str, part: str) -> bool:
    """Whether a name certainly means something, of the part or by itself."""
    for found in (read_heading(name, part).meanings, read_heading(name).meanings):
        if found and found[0].score >= ACCEPT:
            return True
    return False


def _of_bare(piece: str, unit: str, part: str, bound: str) -> list[Said]:
    if bound and (key := _bounded(bound, piece)):
        return [Said(bound, piece, key)]
    for quantity, key in _OF_FLOAT.items() if part == "float" else ():
        if find_unit(unit.strip(), quantity):
            return [Said(key, piece, key)]
    return []


@lru_cache(maxsize=4096)
def _for_density(name: str) -> bool:
    """Whether a name is 'for density': that of the fluid which the float is made for."""
    words = name.split()
    return "density" in concepts_of(name) and fold(words[0]) in map(fold, listed("made_for"))


def _is_for(name: str) -> bool:
    """Whether a name ends in 'for', as 'made for' does."""
    return bool(name) and fold(name.split()[-1]) in map(fold, listed("made_for"))


def _unit_of(value: str, quantity: str) -> str:
    """The unit of a value, if it is one of a quantity."""
    unit = _UNIT.search(value)
    return (find_unit(unit["unit"].strip(), quantity) or "") if unit is not None else ""


_PLANE: Final = re.compile(r"(?P<value>\d[\d.,]*\s*(?:mm|cm|in|\"))(?P<from>\b.*|\s.*|)$", re.DOTALL)
"""'139 mm above the bottom' of a float: where its magnet stands."""


@lru_cache(maxsize=4096)
def _only_bounds(name: str) -> bool:
    """Whether a name is 'max.' or 'design' and nothing else."""
    said = concepts_of(name)
    return bool(said & _BOUNDS) and said <= {*_BOUNDS, "filler"}


_BOUNDS: Final = frozenset({"maximum", "minimum", "operating", "design"})
ACTS: Final = {"lowlow": "LSLL", "low": "LSL", "high": "LSH", "highhigh": "LSHH"}
"""Concept of an act -> the letters of its switch."""


def act_of(name: str) -> str:
    """The letters of the switch whose act a name says; "" for another name."""
    said = [act for concept, act in ACTS.items() if concept in concepts_of(name)]
    return said[0] if len(said) == 1 else ""


def _bounded(name: str, value: str) -> str:
    """'max.' before '10 barg' is the maximum pressure; "" where the unit does not say."""
    unit = _UNIT.search(value)
    for quantity, word in _OF_BOUND.items() if unit is not None else ():
        if unit is not None and find_unit(unit["unit"].strip(), quantity):
            return f"{name} {word}"
    return ""


def _of_words(piece: str) -> list[Said]:
    """'Medium naphtha', 'serial no. P-3307': a name, and a text for its value."""
    words = piece.split()
    for count in range(min(3, len(words) - 1), 0, -1):
        name = " ".join(words[:count])
        found = read_heading(name).meanings
        known = all(word.concepts for word in words_of(name))
        if known and found and found[0].score >= ACCEPT and found[0].field in _TEXTS:
            return [Said(name.strip(" :"), " ".join(words[count:]))]
    return []
