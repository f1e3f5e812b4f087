"""Ratings read from tables: flanges, chamber materials, magnets, temperature classes.

Temperatures are in K, pressures in Pa gauge. Names are compared exactly after tidying, never by
likeness: what is not in a table has no rating.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cache, lru_cache
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from xlfuncs.data import load
from xlfuncs.gauge._names import squeeze
from xlfuncs.gauge._reasons import UNUSABLE, Floats, not_negative, refuse
from xlfuncs.gauge._state import ZERO_CELSIUS

_BAR = 1e5
_HAIR = 1e-6
"""A temperature this far (in K) past the end of a table counts as at its end."""

_CLASSES = (150, 300, 400, 600, 900, 1500, 2500)
_SIZE = r"(?:(?:NPS ?[\d./ -]+|DN ?\d+|\d[\d./ -]*(?:\"|''|″|IN(?:CH)?\b\.?))[ ,/-]*)?"
_CLASS_TEXT = re.compile(
    _SIZE + r"(?:ASME|ANSI)? ?(?:B ?16\.5)? ?(?:CLASS|CL\.?|#)? ?(\d{3,4}) ?(?:#|LBS?\.?)?"
    r"(?:[ ,/-]*(?:RF|RTJ|RJ|FF|WN|SO|SW|BL|FLG|FLANGED?))*"
)
_EXPLOSION_CLASS = re.compile(r"(?<![A-Z0-9])T[ -]?([1-6][A-D]?)(?![A-Z0-9])")


# --- flanges ----------------------------------------------------------------------------------------


def class_number(text: str | float) -> int | None:
    """ASME flange class that a cell states: 150, '150#', 'Class 150', '2" CL150 RF'; None where none is.

    A PN designation is not an ASME class and gives None.

    >>> class_number("Cl. 300 RF"), class_number('2" - 150# RF'), class_number("DN 50 PN 40")
    (300, 150, None)
    """
    written = f"{text:g}" if isinstance(text, (int, float)) else " ".join(str(text).upper().split())
    match = _CLASS_TEXT.fullmatch(written)
    number = int(match[1]) if match else 0
    return number if number in _CLASSES else None


@lru_cache(maxsize=1024)
def _rating_table(stated_class: str | float, stated_group: str | float) -> tuple[Floats, Floats] | str:
    """Temperatures [K] and pressures [Pa gauge] of a class in a group, or why there are none."""
    tables = load("flange_ratings")
    number = class_number(stated_class)
    if number is None:
        return f"flange_class '{stated_class}' is not an ASME class: give 150, 300, 600, 900, 1500 or 2500"
    group = re.sub(r"^group ?", "", str(stated_group).strip().casefold())
    block = tables["group"].get(group)
    if block is None:
        known = material_group(group)
        hint = f"this material is in group {known}" if known else f"give {', '.join(tables['group'])}"
        return f"material_group '{stated_group}' is not tabulated: {hint}"
    if str(number) not in block:
        return f"flange_class {number} is not tabulated for material_group {group}"
    pressures = np.array(block[str(number)]) * _BAR
    temperatures = np.array([tables["table"]["lowest"], *block["temperature"]]) + ZERO_CELSIUS
    return temperatures, np.concatenate((pressures[:1], pressures))


def _read(table: tuple[Floats, Floats], kelvins: Floats, here: NDArray[np.bool_]) -> Floats:
    """The table at some temperatures; those `here` that are outside are refused."""
    warm, pressure = table
    outside = (kelvins < warm[0] - _HAIR) | (kelvins > warm[-1] + _HAIR)
    ends = "{:.0f} to {:.0f} degC".format(*(warm[[0, -1]] - ZERO_CELSIUS))
    refuse(kelvins, here & outside, f"temperature is outside the table of this material_group: {ends}")
    return np.where(outside | np.isnan(kelvins), np.nan, np.interp(kelvins, warm, pressure))


def flange_rating(flange_class: Any, material_group: Any, temperature: ArrayLike) -> Floats:
    """Greatest working gauge pressure of a steel flange at a temperature.

    Linear interpolation between the tabulated temperatures, none between classes.

    Parameters: `flange_class` (150 to 2500, as number or text such as '300#'), `material_group` (text:
    '1.1', '2.1', '2.2', '2.3'), `temperature` of the metal [K]; all broadcast. Returns the pressure
    [Pa gauge].

    NaN with a reason: a class or group that is not tabulated; a temperature outside the table, which
    starts at -29 degC and ends at 538 degC (groups 1.1 and 2.1) or 400 degC (2.2 and 2.3).

    Source: ASME B16.5-2009, Tables 2-1.1, 2-2.1, 2-2.2 and 2-2.3. It rates the flange, not the bolts,
    the gasket, the chamber or its welds.

    >>> float(round(flange_rating(300, "1.1", 175 + 273.15) / 1e5, 2))
    44.45
    """
    classes, groups, kelvins = np.broadcast_arrays(
        np.asarray(flange_class, dtype=object),
        np.asarray(material_group, dtype=object),
        np.asarray(temperature, dtype=np.float64),
    )
    rating: Floats = np.full(kelvins.shape, np.nan)
    for stated in set(zip(classes.flat, groups.flat, strict=True)):
        here = np.asarray((classes == stated[0]) & (groups == stated[1]))
        table = _rating_table(*stated)
        if isinstance(table, str):
            rating = refuse(rating, here, table, UNUSABLE)
        else:
            rating = np.where(here, _read(table, kelvins, here), rating)
    return rating[()]


def lowest_class(pressure: ArrayLike, material_group: Any, temperature: ArrayLike) -> Floats:
    """Lowest tabulated flange class whose rating covers a gauge pressure at a temperature.

    Parameters: `pressure` [Pa gauge], `material_group` and `temperature` [K] as in `flange_rating`;
    all broadcast. Returns the class number. NaN with a reason: as there, and a pressure above the
    highest tabulated class.

    Source: ASME B16.5-2009, as in `flange_rating`.

    >>> float(lowest_class(20e5, "2.3", 100 + 273.15))
    300.0
    """
    wanted, groups, kelvins = np.broadcast_arrays(
        np.asarray(pressure, dtype=np.float64),
        np.asarray(material_group, dtype=object),
        np.asarray(temperature, dtype=np.float64),
    )
    lowest: Floats = np.full(kelvins.shape, np.nan)
    for group in set(groups.flat):
        here = np.asarray(groups == group)
        tables = {number: _rating_table(number, group) for number in _CLASSES}
        usable = {number: table for number, table in tables.items() if not isinstance(table, str)}
        if not usable:
            lowest = refuse(lowest, here, str(tables[_CLASSES[0]]), UNUSABLE)
        for number, table in reversed(usable.items()):
            enough = here & (_read(table, kelvins, here) >= wanted * (1.0 - 1e-12))
            lowest = np.where(enough, number, lowest)
    above = "pressure is above the highest class tabulated for this material_group"
    return refuse(lowest, np.isnan(lowest) & ~np.isnan(wanted + kelvins), above)


# --- materials --------------------------------------------------------------------------------------


@cache
def _ignored_words() -> re.Pattern[str]:
    return re.compile(rf"\b(?:{'|'.join(load('chamber_materials')['ignored']['words'])})\b")


def _tidy(name: str) -> str:
    """A material's name as it is compared: 'ASTM A-182 Gr. F316L' and 'F316L' are one."""
    text = re.sub(r"[-_,()]|(?<!\d)\.|\.(?!\d)", " ", str(name).upper())
    text = re.sub(r"\bS?A ?(\d{3})", r"A\1", text)
    text = re.sub(r"\b(?:SS|TP|SUS|AISI) ?(?=\d)|(?<=\d)SS\b|(?<=\dL)SS\b", "", text)
    return re.sub(r"\s", "", _ignored_words().sub("", text))


@cache
def _materials() -> dict[str, dict[str, Any]]:
    blocks = load("chamber_materials")
    return {_tidy(name): block for block in blocks.values() for name in block.get("names", ())}


def _said_of(name: str, what: str) -> Any:
    """What the table says of a material; of several names ('F316L/316L', '1.4404 (316L)') what they share."""
    known = _materials()
    if _tidy(name) in known:
        return known[_tidy(name)].get(what)
    parts = [part for part in re.split(r"[/()+;,]", str(name)) if part.strip()]
    answers = {known.get(_tidy(part), {}).get(what) for part in parts}
    return answers.pop() if len(answers) == 1 else None


def material_group(name: str) -> str | None:
    """Material group of ASME B16.5 for a material's name; None where the table does not say.

    Source: ASME B16.5-2009, Table 1A, for the names in the table of chamber materials.

    >>> material_group("ASTM A182 Gr. F316L"), material_group("F316L/316L"), material_group("cast iron")
    ('2.3', '2.3', None)
    """
    group: str | None = _said_of(name, "group")
    return group


def group_number(text: str) -> str | None:
    """Number of a material group as a cell states it: '2.3', 'Gr. 2.3', 'Group 2.3'; None for anything else.

    >>> group_number("Gr. 2.3"), group_number("316L")
    ('2.3', None)
    """
    words = text.casefold().replace("group", " ").replace("gr.", " ").split()
    return words[0] if len(words) == 1 and words[0].replace(".", "", 1).isdigit() else None


def is_ferromagnetic(name: str) -> bool | None:
    """Whether a chamber of this material shields or holds the float's magnet; None where unknown.

    Carbon steel, ferritic, martensitic and duplex grades do; annealed austenitic grades, titanium,
    nickel-chromium alloys and plastics do not. Cold work and castings with ferrite make austenitic
    steel slightly magnetic: that is not judged here.

    Source: as stated beside each group of names in the table of chamber materials.

    >>> is_ferromagnetic("316L"), is_ferromagnetic("S31803"), is_ferromagnetic("cast iron")
    (False, True, None)
    """
    magnetic: bool | None = _said_of(name, "ferromagnetic")
    return magnetic


def group_of(material: Any) -> NDArray[np.object_]:
    """`material_group` for a text or an array of texts; 'unknown' where the table does not say.

    >>> str(group_of("316L"))
    '2.3'
    """
    names = np.asarray(material, dtype=object)
    texts = np.array([material_group(name) or "unknown" for name in names.flat], dtype=object)
    return texts.reshape(names.shape)[()]


# --- limits -----------------------------------------------------------------------------------------


def _read_each(texts: Any, read: Callable[[str], float], reason: str) -> Floats:
    """`read` for each text; NaN with the reason where it gives NaN."""
    names = np.asarray(texts, dtype=object)
    numbers = np.array([read(str(name)) for name in names.flat], dtype=np.float64).reshape(names.shape)
    return refuse(numbers, np.isnan(numbers), reason, UNUSABLE)


@cache
def _magnets() -> dict[str, float]:
    return {
        squeeze(name): block["highest"][0] + ZERO_CELSIUS
        for block in load("magnets").values()
        for name in block["names"]
    }


def magnet_limit(material: Any) -> Floats:
    """Highest working temperature of a magnet material.

    The lower end of the range over the grades, because a name does not state the grade.

    Parameter: `material`, text or array of texts: alnico, SmCo5, Sm2Co17, SmCo, NdFeB, ferrite.
    Returns the temperature [K]. NaN with a reason: any other name.

    Source: as stated beside each material in the table of magnets; the maker's figure for the grade
    and the shape decides.

    >>> float(magnet_limit("NdFeB")) - 273.15
    80.0
    """
    choices = ", ".join(block["names"][0] for block in load("magnets").values())
    reason = f"material is not a magnet material of the table: give one of {choices}"
    return _read_each(material, lambda name: _magnets().get(squeeze(name), np.nan), reason)


@lru_cache(maxsize=1024)
def _explosion_limit(text: str) -> float:
    stated = set(_EXPLOSION_CLASS.findall(text.upper()))
    limits = load("temperature_classes")
    celsius = {**limits["iec"], **limits["divisions"]}.get(f"T{stated.pop()}") if len(stated) == 1 else None
    return np.nan if celsius is None else celsius + ZERO_CELSIUS


def temperature_class_limit(temperature_class: Any, margin: ArrayLike = 0.0) -> Floats:
    """Greatest surface temperature that a temperature class permits, less a margin.

    Parameters: `temperature_class`, text or array of texts: 'T4', or a marking with one such class
    ('Ex ia IIC T4 Ga'), also the subdivided classes of North America ('T3C'); `margin` [K], such as the
    5 K (T3 to T6) or 10 K (T1, T2) that equipment is tested with. Returns the temperature [K].

    NaN with a reason: no class, or several ('T4 to T6': the ambient temperature decides which holds); a
    negative margin.

    Source: IEC 60079-0; NFPA 70, article 500. The hot process counts as a source of the surface
    temperature as much as the electronics do.

    >>> float(temperature_class_limit("T3")) - 273.15
    200.0
    """
    limit = _read_each(temperature_class, _explosion_limit, "temperature_class must be one class, T1 to T6")
    return limit - not_negative("margin", margin)
