"""Pure fluids by the name a person writes, their saturation and their freezing points.

Names are looked up in `data/fluids.toml`, never guessed: a mixture, a solution or a name that fits
several substances is unknown, and `why_unknown` says why.

Saturation is computed with the reference equation of state of each fluid as CoolProp holds it: for
water and steam IAPWS-95 (IAPWS R6-95). CoolProp: Bell, Wronski, Quoilin and Lemort, Ind. Eng. Chem.
Res. 53 (2014) 2498.

Shapes: the fluid's name and the numbers broadcast; a fluid may be one text or an array of texts.
NaN has a reason: an unknown fluid, or a state outside the range of its equation.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterable, Iterator
from functools import lru_cache
from itertools import combinations
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from xlfuncs.data import kept, load
from xlfuncs.gauge._reasons import MISSING, UNUSABLE, Array, reasons, refuse, scalar
from xlfuncs.gauge._state import boilable, evaluate, saturable

_STRENGTH = re.compile(r"[%٪]|\bppm\b|\bwt\b|\bvol\b|\bmol\b|°\s*b[eé]\b", re.IGNORECASE)
_WHOLLY = re.compile(r"\b100([.,]0+)?\s*%(\s*(wt|vol|mol))?")
_JOINED = re.compile(
    r"[/+&;,、،\n]|\b(?:and|und|et|y|e|with|mit|avec|con|com)\b|(?<=\w)\s*-\s*(?=\w{4})"
    # with a blank on both sides, as VE-Wasser is no "VE and water"
    r"|(?<=\s)(?:en|och|og|ja|oraz|ve|ile|és|și|cu|dan|dengan|và|với|и|с|та|και|و)(?=\s)",
    re.IGNORECASE,
)
# Written without blanks between words: Thai, kana, Chinese, Korean.
_UNSPACED = re.compile("[\u0e00-\u0e7f\u3040-\u30ff\u3400-\u9fff\uac00-\ud7a3]")
_NOT_LATIN = re.compile("[^\u0000-\u024f\u1e00-\u1eff\u2010-\u201f]+")
_LATIN = re.compile("[\u0000-\u024f\u1e00-\u1eff\u2010-\u201f]+")
# Marks that are no accents: Thai vowels (benzene and benzine differ by one) and the voicing of kana.
_TELLING = frozenset("=+/&;,、،\u3099\u309a\u0e31\u0e34\u0e35\u0e36\u0e37\u0e38\u0e39\u0e4d")
# Letters that Unicode does not take apart, Arabic endings written either way, and the traditional Chinese
# characters of the names for their simplified ones.
_ALIKE = str.maketrans(
    "łđøıةىکی" + "鍋爐給結軟氣無異環對間鄰純熱鹽飽飲卻離餾淨補過壓蠟劑氫體態脫氬廢燒鹼輕潤溫",
    "ldoiهيكي" + "锅炉给结软气无异环对间邻纯热盐饱饮却离馏净补过压蜡剂氢体态脱氩废烧碱轻润温",
) | {ord("æ"): "ae", ord("ـ"): ""}
_MANY = 5  # qualifiers beside one name; more is a remark
_TWO_LETTERS = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue", "ø": "oe", "å": "aa"})


def _key(text: str) -> str:
    """What is compared: letters and digits without case and accents; subscripts count as digits.

    Signs that join two substances are kept, and a comma unless it stands between digits (1,2-).
    """
    plain = unicodedata.normalize("NFKD", re.sub(r"(?<=\d),(?=\d)", "", text.casefold()))
    return "".join(c for c in plain.translate(_ALIKE) if c.isalnum() or c in _TELLING)


def _spelt_out(text: str) -> str:
    """German and Scandinavian vowels of two letters, as keyboards without them give."""
    return text.casefold().translate(_TWO_LETTERS)


def _keys(names: Iterable[str]) -> Iterator[str]:
    for name in names:
        yield _key(name)
        yield _key(_spelt_out(name))


@lru_cache(maxsize=1)
def _tables() -> tuple[dict[str, str], dict[str, str], frozenset[str]]:
    """Fluid by key, reason by key, keys of the words that change nothing."""
    return kept("fluid_names", ["fluids"], __file__, _made)


def _made() -> tuple[dict[str, str], dict[str, str], frozenset[str]]:
    data = load("fluids")
    known: dict[str, str] = {}
    for fluid, entry in data["fluid"].items():
        spoken = (name for group in entry.get("names", {}).values() for name in group)
        names = [fluid, *entry.get("codes", ()), *spoken]
        for key in _keys(names):
            if known.setdefault(key, fluid) != fluid:
                raise ValueError(f"fluids.toml: '{key}' names both {known[key]} and {fluid}")
    unknown = {key: block["reason"] for block in data["unknown"] for key in _keys(block["names"])}
    return known, unknown, frozenset(_keys(data["qualifiers"]["names"]))


def _spellings(text: str) -> Iterator[str]:
    """The text, then the same turned round at a comma, without brackets, without qualifiers."""
    yield text
    head, comma, tail = text.partition(",")
    if comma and tail.strip():
        text = f"{tail.strip()} {head.strip()}"
        yield text
    yield from _unqualified(re.split(r"[\s_]+", text))
    if _UNSPACED.search(text):
        yield from _bared(_key(text))


def _unqualified(words: list[str]) -> Iterator[str]:
    """Without its qualifiers, the fewest first: "liquid gaz metan" is gaz metan, natural gas, not metan."""
    qualifiers = [i for i, word in enumerate(words) if _key(word) in _tables()[2]]
    if len(qualifiers) == len(words) or len(qualifiers) > _MANY:
        return
    for count in range(1, len(qualifiers) + 1):
        for dropped in combinations(qualifiers, count):
            yield " ".join(word for i, word in enumerate(words) if i not in dropped)


def _bared(key: str) -> Iterator[str]:
    """A name in a script without blanks, without the qualifiers before it and then without those after it.

    After it only what has two letters: one, as in a compound, can make another substance of it.
    """
    qualifiers = _unspaced_qualifiers()
    while before := next((word for word in qualifiers if key.startswith(word) and key != word), ""):
        key = key.removeprefix(before)
        yield key
    longer = [word for word in qualifiers if len(unicodedata.normalize("NFC", word)) > 1]
    while after := next((word for word in longer if key.endswith(word) and key != word), ""):
        key = key.removesuffix(after)
        yield key


@lru_cache(maxsize=1)
def _unspaced_qualifiers() -> list[str]:
    """The longest first."""
    written = (word for word in _tables()[2] if _UNSPACED.search(unicodedata.normalize("NFC", word)))
    return sorted(written, key=len, reverse=True)


def _same(parts: Iterable[str]) -> str | None:
    """The fluid that every part names ("water / steam"); None where they name several or one is unknown."""
    fluids = {_look_up(part)[0] for part in parts}
    return fluids.pop() if len(fluids) == 1 else None


def _in_two_scripts(text: str) -> list[str]:
    """'Boiler feed water 锅炉给水' in its two languages; nothing where one script writes it all."""
    parts = [_NOT_LATIN.sub(" ", text).strip(), _LATIN.sub(" ", text).strip()]
    return parts if all(any(c.isalpha() for c in part) for part in parts) else []


@lru_cache(maxsize=4096)
def _look_up(name: str) -> tuple[str | None, str]:
    """CoolProp's name, or None and the reason."""
    known, unknown, _ = _tables()
    text = _WHOLLY.sub("", unicodedata.normalize("NFKC", name)).strip(" ,()")
    if not _key(text):
        return None, "no name given"
    if _STRENGTH.search(text):
        return None, "a stated strength means a solution or mixture; give its density"
    if _key(text) not in known and "(" in text:
        return _bracketed(text)
    for spelling in _spellings(text):
        key = _key(spelling)
        if key in known:
            return known[key], ""
        if key in unknown:
            return None, unknown[key]
    parts = [part.strip() for part in _JOINED.split(text) if part.strip()]
    if len(parts) > 1:
        if same := _same(parts):
            return same, ""
        if any(_key(part) in known or _key(part) in unknown for part in parts):
            return None, "more than one substance is named; give the density of the mixture"
    elif both := _same(_in_two_scripts(text)):
        return both, ""
    return None, _NO_SUCH


def _bracketed(text: str) -> tuple[str | None, str]:
    """A bracket may belong to the name, repeat it or qualify it; anything else could change the substance."""
    before, _, rest = text.partition("(")
    inside, closed, after = rest.rpartition(")")
    if not closed:
        inside, after = rest, ""
    outside = f"{before.strip()} {after.strip()}".strip()
    if not outside:
        return _look_up(inside)
    together = f"{inside.strip()} {outside}"
    if any(_key(together) in table for table in _tables()[:2]):
        return _look_up(together)
    fluid, why = _look_up(outside)
    repeats = _key(inside) in _tables()[2] or _look_up(inside)[0] == fluid
    return (fluid, why) if repeats or fluid is None else (None, f"'({inside})' is not understood")


def resolve(name: str) -> str | None:
    """CoolProp's name of the fluid that a person called `name`, or None where that is unknown.

    Case, accents, punctuation and spaces do not matter; formulae, refrigerant numbers and the names
    in the languages of `data/fluids.toml` are known, and one in two scripts of which both name it. Mixtures,
    solutions, stated strengths and names that fit several substances are unknown: nothing is guessed.

    >>> resolve("Boiler feed water"), resolve("NH₃"), resolve("Kühlwasser"), resolve("LPG")
    ('Water', 'Ammonia', 'Water', None)
    """
    return _look_up(str(name).strip())[0]


def why_unknown(name: str) -> str:
    """One line that says why `resolve` knows no fluid of this name; "" where it knows one.

    >>> why_unknown("Caustic 20%")
    "unknown fluid 'Caustic 20%': a stated strength means a solution or mixture; give its density"
    """
    text = str(name).strip()
    fluid, why = _look_up(text)
    near = nearest(text) if why == _NO_SUCH else ""
    hint = f", or write '{near}' if that is meant" if near else ""
    return "" if fluid else f"unknown fluid '{text}': {why}{hint}"


@lru_cache(maxsize=4096)
def nearest(name: str) -> str:
    """The fluid whose name a misspelt one comes nearest; "" where none is near, or several are.

    >>> nearest("Touluene"), nearest("Propanol")
    ('Toluene', '')
    """
    key, known = _key(name.strip()), _tables()[0]
    if len(key) < _LONG_ENOUGH:
        return ""
    bones = _bones(key)
    near = {known[one] for one in known if one[-4:] == key[-4:] and one[0] == key[0] and _bones(one) == bones}
    return near.pop() if len(near) == 1 else ""


def _bones(key: str) -> str:
    """A name without its vowels and without doubled letters."""
    return _DOUBLED.sub(r"\1", "".join(c for c in key if c not in "aeiouy"))


_NO_SUCH = "no equation of state is known by this name; give the density instead"
_DOUBLED = re.compile(r"(.)\1+")
_LONG_ENOUGH = 6
"""Letters from which on a misspelt name is recognised: where only a vowel before its last four letters, or a
doubled letter, differs. Any other letter makes another substance: propanol is no propane (common practice,
no source)."""


def recognised(fluid: str | NDArray[Any]) -> str | NDArray[np.object_]:
    """The fluid that a name stands for, under the name used here, or why it is unknown.

    `fluid` one text or an array of texts; the result has its shape.

    >>> recognised("BFW")
    'Water'
    """
    if isinstance(fluid, str):
        return resolve(fluid) or why_unknown(fluid)
    names = np.asarray(fluid, dtype=object)
    found = np.empty(names.shape, dtype=object)
    found.reshape(-1)[:] = [resolve(name) or why_unknown(name) for name in names.flat]
    return found


def each_fluid(fluid: str | NDArray[Any], compute: Callable[..., Array], *numbers: ArrayLike) -> Array:
    """`compute(name, *numbers)` for each fluid named; an element with an unknown fluid is refused.

    `fluid` broadcasts against the numbers; `compute` gets the elements of one fluid at a time.
    """
    arrays = [np.asarray(number, dtype=np.float64) for number in numbers]
    if isinstance(fluid, str):
        name = resolve(fluid)
        if name is not None:
            return compute(name, *arrays)
        nothing = np.full(np.broadcast_shapes(*(array.shape for array in arrays)), np.nan)
        return refuse(nothing, np.ones(nothing.shape, np.bool_), why_unknown(fluid), UNUSABLE)
    names, *arrays = np.broadcast_arrays(np.asarray(fluid, dtype=object), *arrays)
    found = np.full(names.shape, np.nan)
    listed = names.ravel().tolist()
    numbered = {text: number for number, text in enumerate(dict.fromkeys(listed))}
    codes = np.array(list(map(numbered.__getitem__, listed)), dtype=np.intp).reshape(names.shape)
    for text, number in numbered.items():
        where = codes == number
        with reasons() as why:
            part = each_fluid(str(text), compute, *(array[where] for array in arrays))
        found[where] = part
        texts, kinds = why.why(part)
        bad = np.isnan(part)
        for reason, kind in dict.fromkeys(zip(texts[bad], kinds[bad], strict=True)):
            mask = np.zeros(names.shape, np.bool_)
            mask[where] = (texts == reason) & bad
            refuse(found, mask, reason, kind)
    return scalar(found)


def saturation_pressure(fluid: str | NDArray[Any], temperature: ArrayLike) -> Array:
    """Pressure at which the liquid boils at a temperature.

    The Maxwell criterion on the fluid's equation of state. `temperature` [K] from the triple point to
    below the critical point. Returns the absolute pressure [Pa].

    NaN with a reason: an unknown fluid; a temperature below the triple point or not below the
    critical point. Within 0.02 K below the triple point the triple point is taken (0 degC water).

    >>> float(round(saturation_pressure("water", 373.15) / 1e5, 4))
    1.0142
    """

    def compute(name: str, kelvin: Array) -> Array:
        return evaluate(name, "QT", 0.0, saturable(name, kelvin), "p")

    return each_fluid(fluid, compute, temperature)


def saturation_temperature(fluid: str | NDArray[Any], pressure: ArrayLike) -> Array:
    """Temperature at which the liquid boils at an absolute pressure: inverse of `saturation_pressure`.

    `pressure` [Pa absolute] from the triple point to below the critical point. Returns K. NaN with a
    reason: an unknown fluid; a pressure outside that range.

    >>> float(round(saturation_temperature("water", 101325.0) - 273.15, 2))
    99.97
    """

    def compute(name: str, pascal: Array) -> Array:
        return evaluate(name, "PQ", boilable(name, pascal), 0.0, "T")

    return each_fluid(fluid, compute, pressure)


def freezing_temperature(fluid: str | NDArray[Any]) -> Array:
    """Freezing point of the pure fluid at atmospheric pressure [K].

    Dissolved salts lower it; for oils use the pour point. NaN with a reason: an unknown fluid, or one
    without a tabulated value.

    Source: CRC Handbook of Chemistry and Physics, 95th edition, as in `data/fluids.toml`.

    >>> float(freezing_temperature("benzene"))
    278.688
    """

    def compute(name: str, kelvin: Array) -> Array:
        value = load("fluids")["fluid"][name].get("freezing", np.nan)
        missing = np.isnan(value) & np.ones(kelvin.shape, np.bool_)
        return refuse(
            kelvin + value, missing, f"no freezing point of {name} is tabulated; give a number", MISSING
        )

    return each_fluid(fluid, compute, np.zeros(np.shape(fluid)))
