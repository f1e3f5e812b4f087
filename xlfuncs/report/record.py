"""What a commissioning record has behind the field page: identity, ratings, mounting, start-up, loop check.

Verdicts are formulas of any spreadsheet program. Limits that need a table or an equation (flanges, magnet,
collapse) stand as computed from the index. Tolerances and the order of the start-up are common practice, no
source.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from xlfuncs.audit.gauges import Gauges, label
from xlfuncs.audit.model import Finding
from xlfuncs.audit.settings import Settings
from xlfuncs.data import load
from xlfuncs.data.words import says
from xlfuncs.errors import XlfuncsError
from xlfuncs.report import _words as words
from xlfuncs.report._hands import BOLD, LAST, LEFTWARD, within
from xlfuncs.report.cautions import CAUTIONS, FIELD
from xlfuncs.report.field_sheet import SWITCHES, FieldPage, current
from xlfuncs.units import converter
from xlfuncs.worksheet import Refusal, call

SCALE_TOLERANCE = 2
"""mm, of the scale's zero."""
CONNECTION_TOLERANCE = 3
"""mm, centre to centre."""
PLUMB_TOLERANCE = 3
"""mm in each metre of the chamber."""
LOOP_TOLERANCE = 0.5
"""Percent of 16 mA."""
"""These tolerances are common practice, no source."""
START_UP = (
    "Permit to work in hand; pressure test done, with the float out unless its maker states otherwise.",
    "Chamber flushed; float wiped clean of magnetic particles, inspected, put in with its marked top up.",
    "Chamber closed and tight by the site's procedure; drain and vent shut.",
    "Tracing, where there is one, on and the chamber warm before a viscous liquid comes in.",
    "Upper isolation valve opened first, slowly, until the pressures are equal.",
    "Then the lower isolation valve, slowly, so that the float is lifted and not thrown.",
    "Both valves fully open; temperature settled; indicator follows the float over its whole way.",
    "Reading compared with a level by another means and written down on the first page.",
)
"""The order is common practice, no source."""
IDENTITY = (
    ("Gauge serial", "serial"),
    ("Float part number", "float_part"),
    ("Float serial", "float_serial"),
    ("Gauge serial on the float", "float_gauge_serial"),
    ("Transmitter tag", "transmitter_tag"),
    ("Transmitter serial", "transmitter_serial"),
    ("Gauge serial on the transmitter", "transmitter_gauge_serial"),
)
LOOKED_AT = (
    "Float clean of magnetic particles",
    "Float's marked top up",
    "Float moves freely over its way",
    "Indicator follows, none left turned",
    "Drain and vent shut and plugged",
)
NEEDED = (
    *("float_mass", "float_diameter", "float_length", "float_ends", "magnet_height", "float_wall"),
    *("float_material", "magnet_material", "float_max_pressure", "float_max_temperature", "flange_class"),
    *("material_group", "fluid", "fluid_density", "fluid_density_min", "fluid_density_max"),
    *("upper_density", "operating_temperature", "operating_pressure", "design_temperature"),
    *("design_pressure", "test_pressure", "connection_distance", "visible_range", "scale_zero"),
)
"""What a record tells to be missing."""
SIGNAL = ("lrv", "urv")


class Record(FieldPage):
    """The field page of a gauge, and the rest of its commissioning record."""

    def write_record(self, findings: Sequence[Finding], source: str, settings: Settings) -> str:
        """Write it; gives the cell that counts the verdicts which say fail."""
        self.write("Commissioning record")
        self.bar("Verdicts")
        self.label("Verdicts that say fail", 4)
        counter, counted = self.result(5, "=0", last=6), self.row
        self.put(7, 8)
        self.end()
        self.text(f"From {source}. Yellow cells are to be filled in, grey ones follow by formula.")
        self._identity()
        self._ratings(settings)
        self._mounting()
        self._start_up()
        if self.transmitter:
            self._loop()
        self.bar("Findings of the audit, to be closed before start-up", 1)
        for finding in findings:
            self.text(f"{finding.severity.value.upper()} {finding.rule}: {words.one_line(finding.message)}")
        if not findings:
            self.text("none")
        self.bar("Not known, to be asked for or measured", 1)
        for text in self.missing() or ["nothing: all data of the record are stated"]:
            self.text(text)
        self._signatures()
        self.bar("Cautions", 2)
        for text in (*(f"{c.title}: {c.text}" for c in CAUTIONS), *FIELD[1:]):
            self.text(text)
        last = self.row
        parts = (f"A1:H{counted - 1}", f"A{counted + 1}:H{last}")
        fails = "+".join(f'SUMPRODUCT(--({part}="fail"))' for part in parts)
        self.sheet.cell(counted, 5).value = f"={fails}"
        self.finish()
        return counter

    # --- what the index says ------------------------------------------------------------------------------

    @property
    def transmitter(self) -> bool:
        names = ("transmitter_tag", "transmitter_serial", *SIGNAL)
        return any(bool(self.gauges.given(name)[self.place]) for name in names)

    def text_of(self, name: str) -> str:
        return words.one_line(str(self.gauges.texts(name)[self.place]))

    def number(self, name: str, unit: str, quantity: str) -> float | None:
        """In a trade unit, as many digits as a person reads."""
        value = float(self.gauges.si(name)[self.place])
        if math.isnan(value):
            return None
        return float(f"{float(converter(unit, quantity).from_si(value)):.6g}")

    def missing(self) -> list[str]:
        """What the index does not state, with what stands in its place."""
        return list(_missing(self.gauges, self.place, self.transmitter))

    # --- sections -------------------------------------------------------------------------------------------

    def _identity(self) -> None:
        self.bar("Identity")
        self.heads(
            *((1, 2, "Item"), (3, 4, "As stated"), (5, 6, "As found on the plate"), (7, 7, "Match")),
            (8, 8, "Initials"),
        )
        stated: dict[str, str] = {}
        for text, value in [("Tag", self.tag), *((text, self.text_of(name)) for text, name in IDENTITY)]:
            self.label(text, 2)
            known = stated[text] = self.stated(3, 4, value)
            found = self.blank(5, 6)
            same = f"UPPER(TRIM({found}))=UPPER(TRIM({known}))"
            self.verdict(7, f'=IF(OR({found}="",{known}=""),"",IF({same},"pass","fail"))')
            self.blank(8)
            self.end()
        for other in ("Gauge serial on the float", "Gauge serial on the transmitter"):
            one, two = stated["Gauge serial"], stated[other]
            self.label(f"Index: {other[0].lower()}{other[1:]} is the gauge's", 6)
            same = f"UPPER(TRIM({one}))=UPPER(TRIM({two}))"
            self.verdict(7, f'=IF(OR({one}="",{two}=""),"not known",IF({same},"pass","fail"))', 8)
            self.end()

    def _ratings(self, settings: Settings) -> None:
        self.bar("Ratings against design conditions")
        self.text("A check of stated data, as computed from the index: certificates and codes decide.")
        self.heads((1, 4, "Check"), (5, 5, "Limit"), (6, 6, "Required"), (7, 7, "Unit"), (8, 8, "Verdict"))
        barg, degc = ("barg", "pressure_gauge"), ("degC", "temperature")
        pressure, hot = self.number("design_pressure", *barg), self.number("design_temperature", *degc)
        stated = self.number("float_max_pressure", *barg)
        magnet = _limit("LG_MAGNET_LIMIT", self.text_of("magnet_material"))
        checks = (
            ("Float, stated maximum pressure", stated, pressure, "barg"),
            (
                f"Float, computed collapse / {settings.safety_factor:g} (curved ends only)",
                self._collapse(settings.safety_factor), pressure, "barg",
            ),
            ("Flanges, ASME B16.5-2009", self._flange(), pressure, "barg"),
            ("Float, stated maximum temperature", self.number("float_max_temperature", *degc), hot, "degC"),
            ("Magnet, lowest limit of its kind", magnet, hot, "degC"),
        )  # fmt: skip
        for text, limit, required, unit in checks:
            both = self._limits(text, limit, required, unit)
            self.verdict(
                8, f'=IF(COUNT({both[0]},{both[1]})=2,IF({both[0]}>={both[1]},"pass","fail"),"not known")'
            )
            self.end()
        low, need = self._limits(
            "Float in the pressure test", stated, self.number("test_pressure", *barg), "barg"
        )
        inside = f'IF({low}>={need},"maker decides","float out")'
        self.verdict(8, f'=IF(COUNT({low},{need})=2,{inside},"float out")')
        self.end()

    def _limits(self, text: str, limit: float | None, required: float | None, unit: str) -> tuple[str, str]:
        self.label(text, 4)
        cells = self.stated(5, 5, limit, "0.0"), self.stated(6, 6, required, "0.0")
        self.put(7, 7, unit)
        return cells

    def _collapse(self, factor: float) -> float | None:
        """Of ends that are stated only: no shape is taken for one that is not."""
        ends = self.data.get("ends")
        numbers = [self.number(f"float_{name}", "mm", "length") for name in ("diameter", "wall", "length")]
        hot = self.number("design_temperature", "degC", "temperature")
        metal = self.text_of("float_material")
        if ends is None or hot is None or not metal or None in numbers:
            return None
        return _limit("LG_FLOAT_COLLAPSE", *numbers, metal, hot, ends, factor)

    def _flange(self) -> float | None:
        group = self.text_of("material_group") or str(self.gauges.material_groups[self.place] or "")
        hot = self.number("design_temperature", "degC", "temperature")
        rated = self.text_of("flange_class")
        return (
            None if not group or hot is None or not rated else _limit("LG_FLANGE_RATING", rated, group, hot)
        )

    def _mounting(self) -> None:
        self.bar("Mounting and scale")
        self.text("Tolerances are common practice; the maker's manual decides.")
        self.heads(
            *((1, 2, "Check"), (3, 3, "Nominal"), (4, 4, "Tolerance"), (5, 5, "As found"), (6, 6, "Verdict")),
            *((7, 7, "As left"), (8, 8, "Verdict")),
        )
        zero, distance = (self.number(n, "mm", "length") for n in ("scale_zero", "connection_distance"))
        for text, nominal, tolerance in (
            ("Scale zero above connection, mm", 0.0 if zero is None else zero, SCALE_TOLERANCE),
            ("Connections, centre to centre, mm", distance, CONNECTION_TOLERANCE),
            ("Chamber out of plumb, mm/m", 0.0, PLUMB_TOLERANCE),
        ):
            self.label(text, 2)
            expected = self.stated(3, 3, nominal, "0")
            allowed = self.put(4, 4, tolerance)
            for column in (5, 7):
                found = self.blank(column)
                self.verdict(column + 1, within(found, expected, expected, allowed))
            self.end(28)
        for text in LOOKED_AT:
            self.label(text, 4)
            for column in (5, 7):
                found = self.blank(column)
                self.verdict(column + 1, f'=IF({found}="","",IF(LOWER({found})="yes","pass","fail"))')
                self.yes_or_no(found)
            self.end()

    def _start_up(self) -> None:
        self.bar("Start-up")
        self.text("Common practice; the maker's manual and the site's procedure decide.")
        self.heads((1, 6, "Step"), (7, 7, "Done"), (8, 8, "Initials"))
        for number, text in enumerate(START_UP, start=1):
            self.label(f"{number}  {text}", 6)
            self.yes_or_no(self.blank(7))
            self.blank(8)
            self.end(32)

    def _loop(self) -> None:
        self.bar("Loop check, five points", 7)
        self.label("Tolerance, % of 16 mA", 2)
        tolerance = self.put(3, 3, LOOP_TOLERANCE)
        self.put(4, 8, "level rising and again falling shows hysteresis", align=LEFTWARD)
        self.end()
        self.heads(
            *(
                (1, 1, "Percent of range"),
                (2, 2, "Level, mm"),
                (3, 3, "Current, mA"),
                (4, 4, "More or less, mA"),
            ),
            *((5, 5, "As found, mA"), (6, 6, "Verdict"), (7, 7, "As left, mA"), (8, 8, "Verdict")),
        )
        lrv, urv = self.at["lrv"], self.at["urv"]
        one = self.gauges.texts("action")[self.place : self.place + 1]
        reverse = bool(says(one, "reverse")[0])
        for percent in (0, 25, 50, 75, 100):
            share = self.put(1, 1, percent)
            known = f"COUNT({lrv},{urv})<2"
            level = self.result(2, f'=IF({known},"",{lrv}+({urv}-{lrv})*{share}/100)', "0.0")
            amps = self.result(3, f'=IF({known},"",{current(level, lrv, urv, reverse)})', "0.00")
            self.result(4, f"={tolerance}*0.16", "0.00")
            for column in (5, 7):
                found = self.blank(column, form="0.00")
                self.verdict(column + 1, within(found, amps, amps, f"{tolerance}*0.16"))
            self.end()

    def _signatures(self) -> None:
        self.bar("Remarks", 6)
        for _ in range(3):
            self.blank(1, LAST)
            self.end()
        self.heads((1, 2, "For"), (3, 4, "Name"), (5, 6, "Signature"), (7, 8, "Date"))
        for role in ("Commissioned by", "Witnessed by", "Accepted by"):
            self.put(1, 2, role, font=BOLD, align=LEFTWARD)
            for first in (3, 5, 7):
                self.blank(first, first + 1)
            self.end(26)


def _limit(function: str, *arguments: object) -> float | None:
    """The answer of a worksheet function; None where it has none."""
    if not arguments or arguments[0] in ("", None):
        return None
    try:
        found = call(function, *arguments)
    except XlfuncsError:
        return None
    if isinstance(found, Refusal | str) or not np.isfinite(float(found)):
        return None
    return float(f"{float(found):.9g}")


def _missing(gauges: Gauges, record: int, transmitter: bool) -> Iterator[str]:
    identity = [name for _, name in IDENTITY if transmitter or not name.startswith("transmitter")]
    for name in (*NEEDED, *(SIGNAL if transmitter else ()), *identity):
        if name == "material_group" and gauges.material_groups[record]:
            continue
        if name == "float_ends" and gauges.given(name)[record] and not gauges.ends_unknown[record]:
            continue
        stated = (
            not math.isnan(float(gauges.si(name)[record])) if _numeric(name) else gauges.texts(name)[record]
        )
        if not stated:
            yield _lacking(gauges, record, name)
    if any(gauges.given(field)[record] for _, field, _ in SWITCHES):
        yield "differential of the switches"


def _numeric(name: str) -> bool:
    return bool(load("fields")[name].get("quantity"))


def _lacking(gauges: Gauges, record: int, name: str) -> str:
    """The field, and what stands in its cell if that is no value."""
    column = gauges.column(name)
    raw, address = column.raw[record], column.address(record)
    if raw is None or not address:
        return label(name)
    return f"{label(name)} ({column.sheet[record]}!{address} holds '{words.one_line(raw)}')"
