"""Ratings read from tables: flanges, chamber materials, magnets, temperature classes.

Temperatures are in K, pressures in Pa gauge. Names are compared exactly after tidying, never by
likeness: what is not in a table has no rating.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cache, lru_cache
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from xlfuncs.data import load
from xlfuncs.data.constants import ZERO_CELSIUS
from xlfuncs.gauge import classes, materials
from xlfuncs.gauge._names import squeeze
from xlfuncs.gauge._reasons import UNUSABLE, Array, not_negative, refuse
from xlfuncs.gauge.classes import ASME, JIS, PN

_BAR = 1e5
_HAIR = 1e-6
"""A temperature this far (in K) past the end of a table counts as at its end."""
_REFERENCE = 210.0
"""N/mm2: strength of which EN 1092-1 takes 1/1.5 as its reference stress of 140 N/mm2."""
_EXPLOSION_CLASS = re.compile(r"(?<![A-Z0-9])T[ -]?([1-6][A-D]?)(?![A-Z0-9])")


# --- flanges ----------------------------------------------------------------------------------------


def class_number(text: str | float) -> int | None:
    """ASME flange class that a cell states: 150, '150#', 'Class 150', '2" CL150 RF'; None where none is.

    A PN designation is not an ASME class and gives None; `classes.read` reads every system.

    >>> class_number("Cl. 300 RF"), class_number('2" - 150# RF'), class_number("DN 50 PN 40")
    (300, 150, None)
    """
    rating = classes.read(text)
    return int(rating.number) if rating is not None and rating.system == ASME else None


class Table(NamedTuple):
    """Temperatures [K] and pressures [Pa gauge] of a rating in a material group."""

    temperatures: Array
    lowest: Array
    """What every flange of the rating carries; NaN where its division decides."""
    highest: Array
    """What no flange of the rating exceeds."""
    ends: str = ""
    """Why the table ends where the standard goes on."""


@lru_cache(maxsize=1024)
def _rating_table(stated_class: str | float, stated_group: str | float) -> Table | str:
    """The table of a rating in a material group, or why there is none."""
    rating = classes.read(stated_class)
    if rating is None or rating.system == classes.NONE:
        choice = "an ASME class (150 to 2500), a PN ('PN 40') or a rating of JIS ('10K')"
        return f"flange_class '{stated_class}' is not one rating: give {choice}"
    group = _group_name(str(stated_group))
    found = {ASME: _asme, PN: _pn, JIS: _jis}[rating.system](rating.number, group)
    if found is not None:
        return found
    known = _groups_of(rating.system)
    if rating.system == JIS and rating.number > (last := _last_jis()):
        return f"flange_class {rating} is not in JIS B 2220, which ends at {last}K: ask for its standard"
    if group in known:
        return f"flange_class {rating} is not tabulated for material_group {group}"
    named = materials.read(str(stated_group)).group(rating.system)
    hint = f"this material is in group {named}" if named else f"give {', '.join(known)}"
    return f"material_group '{stated_group}' is not tabulated for {rating}: {hint}"


def _last_jis() -> int:
    return max(int(number) for number in load("flange_ratings")[JIS]["rating"] if number.isdigit())


def _group_name(text: str) -> str:
    """A group as the tables name it: 'Group 2.3', '13e0'."""
    bare = re.sub(r"^(?:group|grp|gr\.?) ?", "", text.strip().casefold())
    return bare.upper() if re.fullmatch(r"\d{1,2}e\d", bare) else bare


def _groups_of(system: str) -> list[str]:
    """Material groups that a system's tables hold."""
    groups = load("flange_ratings")[system]["group"]
    return (
        [g for names in groups.values() if isinstance(names, list) for g in names]
        if system == JIS
        else [*groups]
    )


def _rows(celsius: list[float], lowest: float, bars: list[float]) -> tuple[Array, Array]:
    """Temperatures [K] and pressures [Pa]; the first row stands from `lowest` on."""
    warm = np.array([lowest, *celsius[: len(bars)]]) + ZERO_CELSIUS
    return warm, np.array([bars[0], *bars]) * _BAR


def _asme(number: float, group: str) -> Table | None:
    tables = load("flange_ratings")[ASME]
    block = tables["group"].get(group, {})
    bars = block.get(f"{number:g}")
    if bars is None:
        return None
    warm, pressure = _rows(tables["temperature"], block.get("lowest", tables["lowest"]), bars)
    return Table(warm, pressure, pressure)


def _pn(number: float, group: str) -> Table | None:
    tables = load("flange_ratings")[PN]
    block = tables["group"].get(group)
    if block is None or number not in tables["numbers"]:
        return None
    shares = [1.0, *(min(1.0, strength / _REFERENCE) for strength in block["strength"])]
    bars = [np.floor(number * share * 10 + _HAIR) / 10 for share in shares]  # down to 0.1 bar
    warm, pressure = _rows(tables["temperature"], block.get("lowest", tables["lowest"]), bars)
    return Table(warm, pressure, pressure, block.get("ends", ""))


def _jis(number: float, group: str) -> Table | None:
    tables = load("flange_ratings")[JIS]
    block = tables["rating"].get(f"{number:g}")
    kind = next(
        (name for name in ("carbon", "austenitic", "low_carbon") if group in tables["group"][name]), ""
    )
    if block is None or not kind or group in block.get("without", ()):
        return None
    highest = block["highest"]
    least = block.get(f"{kind}_lowest", block["lowest"])
    warm, pressure = _rows(tables["temperature"], tables["lowest"], highest)
    return Table(warm, np.array([least, least, *[np.nan] * (len(highest) - 1)]) * _BAR, pressure)


def _read(table: Table, kelvins: Array, here: NDArray[np.bool_], end: str) -> Array:
    """One end of a rating at some temperatures; those `here` that are outside are refused.

    Between two rows the rating is on their line; of a rating of which the rows are no more than bounds the
    upper one is that of the cooler row.
    """
    warm, pressure = table.temperatures, table.highest if end == "highest" else table.lowest
    outside = (kelvins < warm[0] - _HAIR) | (kelvins > warm[-1] + _HAIR)
    ends = "{:.0f} to {:.0f} degC".format(*(warm[[0, -1]] - ZERO_CELSIUS))
    why = f": {table.ends}" if table.ends else ""
    refuse(kelvins, here & outside, f"temperature is outside the table of this material_group: {ends}{why}")
    if end == "highest" and np.isnan(table.lowest).any():
        cooler = np.searchsorted(warm, kelvins + _HAIR, side="right") - 1
        found = pressure[np.clip(cooler, 0, len(warm) - 1)]
    else:
        found = np.interp(kelvins, warm, pressure)
        open_ = here & ~outside & np.isnan(found) & ~np.isnan(kelvins)
        refuse(
            kelvins, open_, "above 120 degC the division of the flange (JIS B 2220, by type and size) decides"
        )
    return np.where(outside | np.isnan(kelvins), np.nan, found)


STANDARDS = {classes.ASME: "ASME B16.5", classes.PN: "EN 1092-1", classes.JIS: "JIS B 2220"}
"""System of flange ratings -> its standard."""


def rating_bounds(flange_class: Any, material_group: Any, temperature: ArrayLike) -> tuple[Array, Array]:
    """Lowest and highest that the working gauge pressure of a flange can be, as `flange_rating` [Pa gauge].

    They differ only for JIS B 2220, whose rating depends on the flange's division.
    """
    stated, groups, kelvins = np.broadcast_arrays(
        np.asarray(flange_class, dtype=object),
        np.asarray(material_group, dtype=object),
        np.asarray(temperature, dtype=np.float64),
    )
    low: Array = np.full(kelvins.shape, np.nan)
    high = low.copy()
    for pair in set(zip(stated.flat, groups.flat, strict=True)):
        here = np.asarray((stated == pair[0]) & (groups == pair[1]))
        table = _rating_table(*pair)
        if isinstance(table, str):
            low = refuse(low, here, table, UNUSABLE)
            continue
        high = np.where(here, _read(table, kelvins, here, "highest"), high)
        low = np.where(here, _read(table, kelvins, here, "lowest"), low)
    return low[()], high[()]


@cache
def rating_ceiling(flange_class: str | float) -> float:
    """Greatest working gauge pressure that a flange of a class has in any material, at any temperature [Pa].

    NaN for what is no class. Sources: as `flange_rating`.
    """
    stated = classes.read(flange_class)
    groups = [] if stated is None or stated.system == classes.NONE else _groups_of(stated.system)
    found = (_rating_table(flange_class, group) for group in groups)
    most = [float(np.nanmax(table.highest)) for table in found if not isinstance(table, str)]
    return max(most, default=float("nan"))


def rating_rows(flange_class: Any, material_group: Any) -> tuple[list[float], list[float], bool]:
    """Rows of the table that `rating_bounds` reads its upper end from, and whether the cooler row stands.

    Temperatures [K], pressures [Pa gauge]; empty where no table has it.
    """
    table = _rating_table(flange_class, material_group)
    if isinstance(table, str):
        return [], [], False
    stepped = bool(np.isnan(table.lowest).any())
    return table.temperatures.tolist(), table.highest.tolist(), stepped


def rated_until(flange_class: Any, material_group: Any) -> float:
    """Temperature up to which every division of a flange is rated [K]; NaN where no table has it."""
    table = _rating_table(flange_class, material_group)
    if isinstance(table, str):
        return float("nan")
    return float(np.max(table.temperatures[~np.isnan(table.lowest)], initial=-np.inf))


def flange_rating(flange_class: Any, material_group: Any, temperature: ArrayLike) -> Array:
    """Greatest working gauge pressure of a steel flange at a temperature.

    Linear interpolation between the tabulated temperatures, none between classes.

    Parameters: `flange_class` (150 to 2500, as number or text such as '300#'; 'PN 40'; '10K'),
    `material_group` (text: '1.1', '2.3' ... of ASME B16.5; '3E0', '13E0' ... of EN 1092-1; '021a' ... of
    JIS B 2220), `temperature` of the metal [K]; all broadcast. Returns the pressure [Pa gauge]; of JIS what
    every division carries.

    NaN with a reason: a rating or group that is not tabulated; a temperature outside the table, which
    may end where the standard goes on.

    Source: ASME B16.5-2009, Tables 2-1.1 to 2-3.12; EN 1092-1:2018, annexes F and G; JIS B 2220:2004.

    >>> float(round(flange_rating(300, "1.1", 175 + 273.15) / 1e5, 2))
    44.45
    >>> float(round(flange_rating("PN 40", "13E0", 100 + 273.15) / 1e5, 2))
    37.9
    """
    return rating_bounds(flange_class, material_group, temperature)[0]


def group_system(group: str) -> str:
    """System of flange ratings to which a material group belongs: asme, pn or jis.

    >>> group_system("2.3"), group_system("13E0"), group_system("021a")
    ('asme', 'pn', 'jis')
    """
    return PN if "E" in group else JIS if group.startswith("0") else ASME


_CLASSES = (150, 300, 400, 600, 900, 1500, 2500)


def lowest_class(pressure: ArrayLike, material_group: Any, temperature: ArrayLike) -> Array:
    """Lowest tabulated flange class whose rating covers a gauge pressure at a temperature.

    Parameters: `pressure` [Pa gauge], `material_group` of ASME B16.5 and `temperature` [K] as in
    `flange_rating`; all broadcast. Returns the class number. NaN with a reason: as there, and a pressure
    above the highest tabulated class.

    Source: ASME B16.5-2009, as in `flange_rating`.

    >>> float(lowest_class(20e5, "2.3", 100 + 273.15))
    300.0
    """
    wanted, groups, kelvins = np.broadcast_arrays(
        np.asarray(pressure, dtype=np.float64),
        np.asarray(material_group, dtype=object),
        np.asarray(temperature, dtype=np.float64),
    )
    lowest: Array = np.full(kelvins.shape, np.nan)
    for group in set(groups.flat):
        here = np.asarray(groups == group)
        tables = {number: _rating_table(number, group) for number in _CLASSES}
        usable = {number: table for number, table in tables.items() if not isinstance(table, str)}
        if not usable:
            lowest = refuse(lowest, here, str(tables[_CLASSES[0]]), UNUSABLE)
        for number, table in reversed(usable.items()):
            enough = here & (_read(table, kelvins, here, "lowest") >= wanted * (1.0 - 1e-12))
            lowest = np.where(enough, number, lowest)
    above = "pressure is above the highest class tabulated for this material_group"
    return refuse(lowest, np.isnan(lowest) & ~np.isnan(wanted + kelvins), above)


# --- materials --------------------------------------------------------------------------------------


def material_group(name: str) -> str | None:
    """Material group of ASME B16.5 for a material's name; None where the standard does not list it.

    Table 1A lists forgings, castings and plates by specification and grade; a grade alone, an AISI or UNS
    number count as these. A pipe (A106, A312) or a European number is not listed.

    Source: ASME B16.5-2009, Table 1A, for the names in the tables of materials.

    >>> material_group("ASTM A182 Gr. F316L"), material_group("F316L/316L"), material_group("cast iron")
    ('2.3', '2.3', None)
    """
    material = materials.read(name)
    return material.group(ASME) if material.listed else None


def group_number(text: str) -> str | None:
    """A material group as a cell states it: '2.3', 'Gr. 2.3', '13E0'; None for anything else.

    >>> group_number("Gr. 2.3"), group_number("13e0"), group_number("316L")
    ('2.3', '13E0', None)
    """
    words = text.casefold().replace("group", " ").replace("gr.", " ").split()
    if len(words) != 1:
        return None
    name = _group_name(words[0])
    return name if re.fullmatch(r"\d(?:\.\d{1,2})?|\d{1,2}E\d|0\d\d[ab]?", name) else None


def is_ferromagnetic(name: str) -> bool | None:
    """Whether a chamber of this material shields or holds the float's magnet; None where unknown.

    Carbon steel, ferritic, martensitic and duplex grades do; annealed austenitic grades, titanium,
    nickel-chromium alloys and plastics do not. Cold work and castings with ferrite make austenitic
    steel slightly magnetic: that is not judged here.

    Source: as stated beside each family in the table of alloys.

    >>> is_ferromagnetic("316L"), is_ferromagnetic("S31803"), is_ferromagnetic("steel")
    (False, True, None)
    """
    return materials.read(name).ferromagnetic


def group_of(material: Any) -> NDArray[np.object_]:
    """`material_group` for a text or an array of texts; 'unknown' where the table does not say.

    >>> str(group_of("316L"))
    '2.3'
    """
    names = np.asarray(material, dtype=object)
    texts = np.array([material_group(str(name)) or "unknown" for name in names.flat], dtype=object)
    return texts.reshape(names.shape)[()]


# --- limits -----------------------------------------------------------------------------------------


def _read_each(texts: Any, read: Callable[[str], float], reason: str) -> Array:
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


def magnet_limit(material: Any) -> Array:
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


def temperature_class_limit(temperature_class: Any, margin: ArrayLike = 0.0) -> Array:
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
