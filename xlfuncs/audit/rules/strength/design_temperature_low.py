"""The rule design-temperature-low."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Final

import numpy as np

from xlfuncs.audit.gauges import FLANGE_MATERIALS, Gauges, Mask, label
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, Outcome, Undecided, gauge_hit, rule
from xlfuncs.audit.remedies import floats as cures
from xlfuncs.audit.rules.strength.shared import lowest_temperature
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import strength as limits
from xlfuncs.data.constants import ZERO_CELSIUS
from xlfuncs.data.words import denies, means
from xlfuncs.gauge import Array

_FIELD: Final = "design_temperature_min"
_MADE_FOR: Final = {"float_min_temperature": "the float", "magnet_min_temperature": "its magnet"}


def _cold(gauges: Gauges) -> Mask:
    """Where a lowest design temperature is stated."""
    return gauges.mentioned(_FIELD)


@rule(
    "design-temperature-low",
    Severity.WARNING,
    calculate=limits.cold,
    remedy=cures.float_for_cold,
    thresholds=("cryogenic_below_c",),
    when=_cold,
    needs=(FLANGE_MATERIALS,),
    assumes=(_FIELD, f"{_FIELD}.low", *_MADE_FOR),
    passing=(
        {"design_temperature_min": "-196 degC"},
        {"design_temperature_min": "-60 degC", "float_min_temperature": "-60 degC"},
    ),
    firing=(
        {"design_temperature_min": "-200 degC"},
        {"design_temperature_min": "-60 degC", "float_min_temperature": "-50 degC"},
        {"design_temperature_min": "-60 degC", "magnet_min_temperature": "-40 degC"},
        {"design_temperature_min": "-60 degC", "frost_extension": "none"},
    ),
)
def design_temperature_low(gauges: Gauges, settings: Settings) -> Iterator[Outcome]:
    """Chamber, float or indicator is not made for the cold.

    Finds: a lowest design temperature below that at which the standard of the flanges begins to rate their
        material group: -29 degC for most groups of ASME B16.5, -198 degC for the usual austenitic ones,
        -10 degC of EN 1092-1 and JIS B 2220 (the group is that of the flanges, else of the chamber); below
        the stated minimum of the float or its magnet; or below -50 degC (common practice, no source) where it
        is stated that there is no frost extension.
    Why: ferritic steel becomes brittle in the cold and breaks without a warning; ice over the indicator hides
        the level.
    Mend: take an austenitic or an impact-tested material, a float for that temperature, a frost extension, or
        correct the temperature; the code decides.
    """
    if not _cold(gauges).any():
        return
    yield from _of_group(gauges)
    for field, part in _MADE_FOR.items():
        yield from _of_float(gauges, field, part)
    yield from _of_frost(gauges, settings)


def _of_group(gauges: Gauges) -> Iterator[Outcome]:
    """The material group against the lowest design temperature."""
    coldest = gauges.low(_FIELD)
    limit = np.array(
        [lowest_temperature(group) for group in gauges.material_groups.tolist()], dtype=np.float64
    )
    unread = gauges.given("design_temperature_min") & ~gauges.given("known_material_group")
    for field in FLANGE_MATERIALS:
        yield Undecided(unread & (gauges.group_fields == field), label("known_material_group"), field)
    for record in _colder(coldest, limit):
        group = gauges.material_groups[record]
        words = f"group {group} is rated from {gauges.say(record, _FIELD, limit[record])} on"
        rated = float(limit[record] - ZERO_CELSIUS)
        more: dict[str, float | str] = {"lowest_rated_degC": rated, "material_group": str(group)}
        yield _hit(gauges, record, float(limit[record]), words, more, "group")


def _of_float(gauges: Gauges, field: str, part: str) -> Iterator[Hit]:
    """The stated minimum of the float, or of its magnet, against the lowest design temperature."""
    coldest, limit = gauges.low(_FIELD), gauges.high(field)
    for record in _colder(coldest, limit):
        words = f"{part} is made for {gauges.say(record, _FIELD, limit[record])} and above"
        more = {f"{field}_degC": float(limit[record] - ZERO_CELSIUS)}
        yield _hit(gauges, record, float(limit[record]), words, more, field)


def _colder(coldest: Array, limit: Array) -> list[int]:
    with np.errstate(invalid="ignore"):
        return np.flatnonzero(coldest < limit - 1e-6).tolist()


def _hit(
    gauges: Gauges, record: int, limit: float, words: str, more: Mapping[str, float | str], of: str
) -> Hit:
    """The lowest design temperature of a gauge is below what something is made for."""
    coldest = float(gauges.low(_FIELD)[record])
    return gauge_hit(
        gauges,
        record,
        _FIELD,
        f"{words}, the lowest design temperature is {gauges.say(record, _FIELD, coldest)}",
        found=gauges.measure(record, _FIELD, coldest),
        evidence={"design_temperature_min_degC": coldest - ZERO_CELSIUS, **more},
        case={"of": of},
    )


def _has_one(text: str) -> bool:
    """Whether a text says that there is a frost extension: yes, or its length."""
    return means(text, "yes") or _LENGTH.search(text) is not None


_LENGTH: Final = re.compile(r"^\W*\d+(?:[.,]\d+)?\W*$|\d\s*(?:mm|cm|m|in|inch)\b|\d\s*\"", re.IGNORECASE)


def _of_frost(gauges: Gauges, settings: Settings) -> Iterator[Outcome]:
    """Cold service for which it is stated that there is no frost extension."""
    coldest = gauges.low(_FIELD)
    without = gauges.each("frost_extension", denies).astype(np.bool_) | gauges.dashed("frost_extension")
    with np.errstate(invalid="ignore"):
        cold = coldest < settings.cryogenic_below_c + ZERO_CELSIUS - 1e-6
    there = gauges.each("frost_extension", _has_one).astype(np.bool_)
    unread = cold & gauges.mentioned("frost_extension") & ~without & ~there
    yield Undecided(unread, label("frost_extension"), "frost_extension")
    for record in np.flatnonzero(without & cold).tolist():
        yield gauge_hit(
            gauges,
            record,
            "frost_extension",
            f"no frost extension, and the lowest design temperature is"
            f" {gauges.say(record, _FIELD, coldest[record])}: ice hides the indicator",
            evidence={"design_temperature_min_degC": float(coldest[record] - ZERO_CELSIUS)},
            case={"of": "frost"},
        )
