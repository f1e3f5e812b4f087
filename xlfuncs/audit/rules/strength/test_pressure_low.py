"""The rule test-pressure-low."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from xlfuncs.audit.gauges import SAME_PRESSURE, Gauges, Mask
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, Outcome, Undecided, Unread, gauge_hit, rule
from xlfuncs.audit.remedies import states as cures
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.workings import strength as limits
from xlfuncs.data.constants import ZERO_CELSIUS
from xlfuncs.gauge.design_codes import DesignCode, read


@rule(
    "test-pressure-low",
    Severity.WARNING,
    thresholds=("test_pressure_factor",),
    calculate=limits.test_pressure,
    remedy=cures.higher_test,
    when=lambda gauges: gauges.mentioned("test_pressure"),
    needs=("design_pressure", "design_pressure.high"),
    assumes=("test_pressure", "test_pressure.low", "design_code"),
    passing=(
        {"test_pressure": "10 barg"},
        {"design_code": "ASME B31.3", "test_pressure": "15 barg"},
    ),
    firing=(
        {"test_pressure": "9 barg"},
        {"design_code": "ASME VIII Div. 1", "test_pressure": "12 barg"},
    ),
)
def test_pressure_low(gauges: Gauges, settings: Settings) -> Iterator[Outcome]:
    """The test pressure is too low for the design pressure.

    Finds: a hydrostatic test pressure below the design pressure of the same gauge, or below the multiple of
        it that the stated code of design asks for: 1.3 by ASME BPVC VIII-1, UG-99, 1.43 by 2014/68/EU, Annex
        I, 7.4, and EN 13445-5, 1.5 by ASME B31.3, 345.4.2, each as if the cold metal were no stronger than
        the hot one. Where no code is stated: `test_pressure_factor`, else 1 (common practice, no source).
        Where a hot metal may ask for more, and where a code is not known, it is said to be not checked.
    Why: a test below what the code asks for proves nothing; one of the two numbers is wrong, or their columns
        were swapped.
    Mend: correct the wrong number; the code of the plant decides by how much the test is above design.
    """
    test, design = gauges.low("test_pressure"), gauges.high("design_pressure")
    stated = gauges.given("design_code")
    with np.errstate(invalid="ignore", divide="ignore"):
        times = np.where(design > 0, test / design, np.nan)
    yield from _hits(gauges, ~stated & _below(times, settings.test_pressure_factor), None, settings)
    for text, where in gauges.by_text("design_code", stated):
        codes = read(text)
        if not codes:
            yield from _hits(gauges, where & _below(times, 1.0), None, settings, known=False)
            yield from _unread(gauges, where & ~_below(times, 1.0) & ~np.isnan(times), text)
            continue
        least, most = codes[0], codes[-1]
        low = _below(times, least.factor)
        yield from _hits(gauges, where & low, least, settings)
        between = where & ~low & _below(times, most.factor)
        yield Undecided(between, f"which of the codes of design in '{text}' the test follows")
        yield from _hot(gauges, where & ~low & ~between & ~np.isnan(times), codes)


def _below(times: np.ndarray[tuple[int], np.dtype[np.float64]], factor: float) -> Mask:
    """Where a test pressure is below so many times the design pressure."""
    with np.errstate(invalid="ignore"):
        return np.asarray(times < factor * (1 - SAME_PRESSURE))


def _hot(gauges: Gauges, where: Mask, codes: tuple[DesignCode, ...]) -> Iterator[Undecided]:
    """Gauges whose metal may be weaker at the design temperature: the code then asks for more."""
    hottest = gauges.high("design_temperature") - ZERO_CELSIUS
    for code in codes:
        if code.ratio:
            with np.errstate(invalid="ignore"):
                cold = hottest <= code.cold_to
            yield Undecided(
                where & ~cold,
                "permitted stress of the chamber at the test over that at design temperature"
                f" ({code.name} asks for more where it is above 1)",
            )


def _unread(gauges: Gauges, where: Mask, text: str) -> Iterator[Unread]:
    """Cells that name no code that is known."""
    why = (
        f"'{text}' is no code of design of which the test pressure is known: write one, such as ASME VIII-1,"
        " ASME B31.3, EN 13445 or PED"
    )
    first = {
        gauges.place(record, "design_code"): record for record in reversed(np.flatnonzero(where).tolist())
    }
    for (sheet, cell), record in reversed(first.items()):
        yield Unread("design_code", sheet, int(gauges.row[record]), cell, gauges.tag(record), why)


def _hits(
    gauges: Gauges, where: Mask, code: DesignCode | None, settings: Settings, *, known: bool = True
) -> Iterator[Hit]:
    """The gauges that were tested too low. `known`: whether a code that is stated was understood."""
    factor = code.factor if code else settings.test_pressure_factor if known else 1.0
    times = f"{factor:g} times " if factor != 1 else ""
    by = f", which {code.name} asks for at least" if code else ""
    test, design = gauges.low("test_pressure"), gauges.high("design_pressure")
    for record in np.flatnonzero(where).tolist():
        yield gauge_hit(
            gauges,
            record,
            "test_pressure",
            f"the test pressure of {gauges.say(record, 'test_pressure', test[record])} is below {times}the"
            f" design pressure of {gauges.say(record, 'test_pressure', design[record])}{by}",
            found=gauges.measure(record, "test_pressure", float(test[record])),
            expected=gauges.measure(record, "test_pressure", float(design[record]) * factor),
            evidence={
                "test_pressure_barg": float(test[record] / 1e5),
                "design_pressure_barg": float(design[record] / 1e5),
                "test_pressure_factor": factor,
            }
            | ({"design_code": code.name} if code else {}),
            case={"code": code, "known": known},
        )
