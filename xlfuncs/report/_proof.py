"""What proves a finding: in the units of its sheet, and without what its message has said already."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from typing import Any

from xlfuncs.audit.evidence import ENDINGS, split
from xlfuncs.audit.model import Finding, Measure
from xlfuncs.data import load
from xlfuncs.report._words import measure, number, one_line
from xlfuncs.units import UnitError, converter, find_unit

_LONG = 60
"""Characters of a text that a line of evidence, or a narrow column, still takes."""

# The pressures of a sheet are gauge pressures; a difference has the same number.
_ALSO = {"pressure_difference": "pressure_gauge"}

# A number of a message with its unit, if any: no part of a tag, a cell or a longer number.
_STATED = re.compile(r"(?<![\w.,!$-])[-\u2212+]?(\d+(?:\.(\d+))?)(?![\w!-]|[.,]\d)\s?([^\s,;:()]*)")
_DIGITS = re.compile(r"\d+(?:\.(\d+))?%?")
_SYMBOLS = re.compile(r"\b(lrv|urv|lsll?|lshh?)\b")


def _name(name: str) -> tuple[str, str, str]:
    """(words, unit, quantity) of an evidence name: `reading_offset_mm` is a reading offset in mm."""
    plain, unit, quantity = split(name)
    return _spaced(plain), unit, quantity


def _spaced(name: str) -> str:
    return _SYMBOLS.sub(lambda found: found[0].upper(), one_line(name.replace("_", " ")))


@cache
def _unit(text: str, quantity: str) -> Any:
    """The converter of a unit as a sheet or a message spells it; None for a unit of something else."""
    for kind in filter(None, (_ALSO.get(quantity), quantity)):
        try:
            if name := find_unit(text, kind):
                return converter(name, kind, assume=True)
        except UnitError:
            continue
    return None


@cache
def _is_unit(text: str) -> bool:
    try:
        return bool(text) and find_unit(text) is not None
    except UnitError:
        return True


def _si(value: float, unit: str, quantity: str) -> float:
    return float(_unit(unit, quantity).to_si(float(value)))


@dataclass(slots=True)
class _Said:
    """What has been said: texts, and numbers with their units."""

    text: str
    numbers: list[tuple[float, float, str]]
    """Number without its sign, half its last digit, unit (or the word behind it)."""

    @classmethod
    def of(cls, text: str) -> _Said:
        found = (m.groups() for m in _STATED.finditer(text))
        return cls(text, [(float(n), 0.51 * 10.0 ** -len(d or ""), u.rstrip(".")) for n, d, u in found])

    def tells(self, value: object, unit: str = "", quantity: str = "") -> bool:
        if isinstance(value, bool) or not isinstance(value, int | float):
            return one_line(value).casefold() in self.text.casefold()
        if value != value:
            return False
        if not quantity:
            return any(
                abs(abs(value) * (100 if m[0].endswith("%") else 1) - float(m[0].rstrip("%")))
                <= 0.51 * 10.0 ** -len(m[1] or "")
                for m in _DIGITS.finditer(self.text)
            )
        return any(self._same(value, unit, quantity, *stated) for stated in self.numbers)

    @staticmethod
    def _same(value: float, unit: str, quantity: str, stated: float, half: float, word: str) -> bool:
        there = _unit(word, quantity) if word else None
        if there is None:
            return not _is_unit(word) and abs(abs(value) - stated) <= half
        due = _si(value, unit, quantity)
        near, far = sorted((float(there.to_si(stated - half)), float(there.to_si(stated + half))))
        return near <= due <= far or near <= -due <= far

    def unit(self, quantity: str, first: list[str]) -> Any:
        """The converter of the unit in which the sheet states the quantity, as far as it shows; or None."""
        words = [*first, *(word for _, _, word in self.numbers)]
        return next((found for word in words if word and (found := _unit(word, quantity))), None)


def evidence(name: str, value: object) -> tuple[str, str]:
    """`("reading offset", "-18.4 mm")` for `reading_offset_mm`: the number as the rule gave it."""
    words, unit, _ = _name(name) if isinstance(value, int | float) else (_spaced(name), "", "")
    return words, f"{number(value)} {unit}".strip()


def evidence_text(finding: Finding) -> str:
    """All evidence of a finding in one line, as the rule gave it."""
    return "; ".join(" ".join(evidence(name, value)) for name, value in finding.evidence.items())


def _told_by(finding: Finding) -> str:
    return f"{one_line(finding.message)} {one_line(finding.mend)}"


def beyond_message(finding: Finding) -> list[str]:
    """Found, expected and evidence, as far as message and mend do not say them already."""
    text = _told_by(finding)
    proof = []
    for name, value in (("found", finding.found), ("expected", finding.expected)):
        if value is not None and not _told(finding, _Said.of(text), value):
            proof.append(f"{name} {measure(value)}")
            text += f"; {proof[-1]}"
    return proof + _evidence(finding, _Said.of(text))


def columns(finding: Finding) -> tuple[str, str, str]:
    """Found, expected, and the evidence beyond both and the message, for a table with a column for each."""
    text = _told_by(finding)
    shown = []
    for value in (finding.found, finding.expected):
        long = value is not None and len(str(value.value)) > _LONG
        shown.append("" if long and value and _told(finding, _Said.of(text), value) else measure(value))
    return shown[0], shown[1], "; ".join(_evidence(finding, _Said.of("; ".join((text, *shown)))))


def _told(finding: Finding, said: _Said, value: Measure) -> bool:
    quantity = next((q for _, _, q in ENDINGS if q and _unit(value.unit, q)), "") if value.unit else ""
    if not isinstance(value.value, str):
        return said.tells(value.value, value.unit, quantity)
    numbers = [float(m[1]) for m in _STATED.finditer(value.value)]
    ends = bool(quantity and numbers) and all(said.tells(n, value.unit, quantity) for n in numbers)
    message = one_line(finding.message)
    return ends or said.tells(value.value) or (message != "" and message in one_line(value.value))


def _evidence(finding: Finding, said: _Said) -> list[str]:
    """The evidence that has not been said, in the units of the sheet as far as they show."""
    first = [m.unit for m in (finding.found, finding.expected) if m is not None and m.unit]
    fields = load("fields")
    lines = []
    for name, value in finding.evidence.items():
        if isinstance(value, bool) or not isinstance(value, int | float):
            text = one_line(value)
            text = str(fields[text].get("label", text)) if isinstance(fields.get(text), dict) else text
            if len(text) <= _LONG and not said.tells(text):
                lines.append(f"{_spaced(name)} {text}")
            continue
        words, unit, quantity = _name(name)
        if said.tells(value, unit, quantity):
            continue
        sheet = said.unit(quantity, first) if quantity else None
        if sheet is not None and value == value:
            value, unit = sheet.from_si(_si(value, unit, quantity)), sheet.unit
        lines.append(f"{words} {number(value)} {unit}".strip())
    return lines
