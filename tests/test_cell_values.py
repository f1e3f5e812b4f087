"""What a cell says: read (and with what was assumed), not known yet, not understood, or impossible."""

from __future__ import annotations

import csv
import math
import re
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from xlfuncs.data.words import listed, not_known
from xlfuncs.lists.columns import Cells, Quantities, limits, quantity_column, text_column
from xlfuncs.lists.model import Column, State
from xlfuncs.units import converter
from xlfuncs.vocabulary.meaning import fields

NAN = math.nan


def cells(values: list[Any], rows: list[int] | None = None, cols: list[int] | None = None) -> Cells:
    """Cells of column H from row 12 on, or of other places."""
    raw = np.empty(len(values), dtype=object)
    raw[:] = ["" if value is None else value for value in values]
    row = np.array(rows or range(12, 12 + len(values)), dtype=np.int64)
    col = np.array(cols or [8] * len(values), dtype=np.int64)
    return Cells(raw, np.full(len(values), "Index", dtype=object), row, col)


def column(field: str, unit: str, *values: Any, **more: Any) -> Column:
    return quantity_column(field, cells(list(values)), unit, **more).column


def states(found: Column) -> list[str]:
    return [State(int(state)).name for state in found.state]


def shown(found: Column, record: int, unit: str) -> tuple[float, float]:
    """Both ends of a value in a unit."""
    kind = converter(unit, fields()[found.field]["quantity"], assume=True)
    ends = [float(kind.from_si(float(end))) for end in (found.low[record], found.high[record])]
    return ends[0], ends[1]


# --- read -------------------------------------------------------------------------------------------

READ = [  # field, heading's unit, text, low, high, unit of both, words that are noted
    ("fluid_density", "kg/m3", "830 (est.)", 830, 830, "kg/m3", "est"),
    ("fluid_density", "kg/m3", "geschätzt 830", 830, 830, "kg/m3", "geschätzt"),
    ("fluid_density", "kg/m3", "830 (расч.)", 830, 830, "kg/m3", "расч"),
    ("fluid_density", "kg/m3", "~850", 850, 850, "kg/m3", "~"),
    ("fluid_density", "kg/m3", "ca. 850 kg/m3", 850, 850, "kg/m3", "ca"),
    ("fluid_density", "kg/m3", "около 850", 850, 850, "kg/m3", "около"),
    ("fluid_density", "kg/m3", "约850", 850, 850, "kg/m3", "约"),
    ("fluid_density", "kg/m3", "850*", 850, 850, "kg/m3", ""),
    ("fluid_density", "kg/m3", "850 (1)", 850, 850, "kg/m3", ""),
    ("fluid_density", "kg/m3", "850 [note 2]", 850, 850, "kg/m3", ""),
    ("fluid_density", "kg/m3", "850 (TBC)", 850, 850, "kg/m3", "TBC"),
    ("fluid_density", "kg/m3", "850 @ 60 degC", 850, 850, "kg/m3", "at 60 degC"),
    ("fluid_density", "kg/m3", "850 kg/m³ (bei 60 °C)", 850, 850, "kg/m3", "60 °C"),
    ("fluid_density", "kg/m3", "850\nat 15 °C", 850, 850, "kg/m3", "15 °C"),
    ("fluid_density", "SG", "0.905 @ 15 °C\n0.866 @ OT", 0.866, 0.866, "SG", "OT"),
    ("fluid_density", "SG", "0.85 (60/60 °F)", 0.85, 0.85, "SG", ""),
    ("fluid_density", "kg/m3", "８５０", 850, 850, "kg/m3", ""),
    ("fluid_density", "kg/m3", "٨٥٠٫٥", 850.5, 850.5, "kg/m3", ""),
    ("fluid_density", "kg/m3", "0,85 г/см³", 850, 850, "kg/m3", ""),
    ("fluid_density", "kg/m3", "850 Â°", NAN, NAN, "kg/m3", None),
    ("fluid_density", "kg/m3", "min/max: 830/870", 830, 870, "kg/m3", ""),
    ("fluid_density", "kg/m3", "850 ± 2 %", 833, 867, "kg/m3", ""),
    ("viscosity", "cP", "12 @ 40 °C", 12, 12, "cP", "at 40 °C"),
    ("viscosity", "cP", "<500 cP", NAN, 500, "cP", ""),
    ("design_pressure", "barg", "12.5 barg (MAWP)", 12.5, 12.5, "barg", "MAWP"),
    ("design_pressure", "barg", "max. 60 barg", NAN, 60, "barg", ""),
    ("operating_pressure", "barg", "2.5 IN HG VAC", -2.5, -2.5, "inHg g", ""),
    ("operating_pressure", "barg", "6 bar g", 6, 6, "barg", ""),
    ("operating_pressure", "barg", "6 g", 6, 6, "barg", ""),
    ("operating_pressure", "barg", "6 (abs)", 6, 6, "bara", ""),
    ("operating_pressure", "psig", "5 (vac.)", -5, -5, "psig", ""),
    ("operating_pressure", "barg", "6 bar Ü", 6, 6, "barg", ""),
    ("operating_pressure", "barg", "6 barÜ", 6, 6, "barg", ""),
    ("operating_pressure", "barg", "6 bar rel.", 6, 6, "barg", ""),
    ("operating_pressure", "barg", "6 bar eff.", 6, 6, "barg", ""),
    ("operating_pressure", "barg", "6 bar effectifs", 6, 6, "barg", ""),
    ("operating_pressure", "barg", "6 kg/cm2 abs", 6, 6, "kgf/cm2 a", ""),
    ("operating_pressure", "barg", "0.6 MPa(G)", 0.6, 0.6, "MPag", ""),
    ("operating_pressure", "barg", "6 кгс/см2 изб", 6, 6, "kgf/cm2 g", ""),
    ("operating_pressure", "barg", "6 ВАRG", 6, 6, "barg", ""),
    ("operating_pressure", "barg", "6 barg\n87 psig", 6, 6, "barg", ""),
    ("operating_pressure", "barg", "6 barg / 87 psig", 6, 6, "barg", ""),
    ("operating_pressure", "barg", "FV / 10", -1.01325, 10, "barg", ""),
    ("operating_pressure", "barg", "10 barg (int.) / FV (ext.)", -1.01325, 10, "barg", ""),
    ("operating_pressure", "barg", "ATM", 0, 0, "barg", ""),
    ("operating_pressure", "barg", "atm - 2", 0, 2, "barg", ""),
    ("operating_temperature", "°C", "60°", 60, 60, "degC", ""),
    ("operating_temperature", "°F", "60 °C", 60, 60, "degC", ""),
    ("operating_temperature", "°C", "60 Â°C", 60, 60, "degC", ""),
    ("operating_temperature", "°C", "60 °С", 60, 60, "degC", ""),
    ("design_temperature", "°C", "150/-29", -29, 150, "degC", ""),
    ("design_temperature", "°C", "от -29 до 150 °C", -29, 150, "degC", ""),
    ("design_temperature", "°C", "zwischen -29 und 150", -29, 150, "degC", ""),
    ("connection_distance", "mm", '1200 mm (47.2")', 1200, 1200, "mm", ""),
    ("connection_distance", "mm", '1200 mm\n(47.24")', 1200, 1200, "mm", ""),
    ("connection_distance", "mm", "1'200", 1200, 1200, "mm", ""),
    ("connection_distance", "mm", "1\u2009200", 1200, 1200, "mm", ""),
    ("connection_distance", "mm", "1\u00a0200", 1200, 1200, "mm", ""),
    ("connection_distance", "mm", "12,00,0", NAN, NAN, "mm", None),
    ("lrv", "mm", "−25", -25, -25, "mm", ""),
    ("connection_distance", "mm", "3'-6 1/2\"", 42.5, 42.5, "in", ""),
    ("connection_distance", "mm", "3'6", 42, 42, "in", ""),
    ("connection_distance", "mm", '42-1/2"', 42.5, 42.5, "in", ""),
    ("connection_distance", "mm", "3 1/2 ft", 3.5, 3.5, "ft", ""),
    ("connection_distance", "mm", "c/c 1200", 1200, 1200, "mm", ""),
    ("connection_distance", "mm", "1200 (C-C)", 1200, 1200, "mm", ""),
    ("connection_distance", "mm", "M = 1200", 1200, 1200, "mm", ""),
    ("connection_distance", "mm", "1,500", 1500, 1500, "mm", "1.5 mm cannot be"),
    ("connection_distance", "mm", "1.500", 1500, 1500, "mm", "1.5 mm cannot be"),
    ("fluid_density", "SG", "1.025", 1.025, 1.025, "SG", ""),
    ("design_pressure", "barg", "1.013", 1.013, 1.013, "barg", ""),
    ("transmitter_range", "mm", "4 mA = 0 mm / 20 mA = 1200 mm", 0, 1200, "mm", ""),
    ("transmitter_range", "mm", "0 (4 mA) to 1200 (20 mA)", 0, 1200, "mm", ""),
    ("transmitter_range", "mm", "±600", -600, 600, "mm", ""),
    ("visible_range", "mm", "0-1200", 0, 1200, "mm", ""),
    ("urv", "mm", "1200 (100%)", 1200, 1200, "mm", ""),
    ("stated_current", "mA", "12 mA @ 600 mm", 12, 12, "mA", "at 600 mm"),
    ("float_mass", "g", "1 lb 3 oz", 19, 19, "oz", ""),
    ("float_mass", "g", "345 g (dry)", 345, 345, "g", ""),
    ("float_diameter", "mm", "Ø 50 (nominal)", 50, 50, "mm", "nominal"),
    ("chamber_diameter", "mm", "DN 80", 88.9, 88.9, "mm", "DN 80: 88.9 mm outside by ASME B36.10M"),
    ("chamber_diameter", "mm", '3" sch 40', 88.9, 88.9, "mm", "NPS 3"),
    ("chamber_diameter", "mm", "60.3 OD", 60.3, 60.3, "mm", ""),
]


@pytest.mark.parametrize(("field", "unit", "text", "low", "high", "of", "noted"), READ)
def test_cells_that_are_read(
    field: str, unit: str, text: str, low: float, high: float, of: str, noted: str | None
) -> None:
    found = column(field, unit, text)
    if noted is None:
        assert not found.given[0]
        return
    assert found.given[0], found.problem
    assert shown(found, 0, of) == pytest.approx((low, high), rel=1e-9, abs=1e-9, nan_ok=True)
    assert noted in found.noted.get(0, "")
    assert bool(noted) == (0 in found.noted)


# --- not known yet ----------------------------------------------------------------------------------

PLACEHOLDERS = [
    *("HOLD", "HOLD 3", "(hold)", "on hold", "TBC", "T.B.A.", "tbd*", "TBC by vendor", "by vendor", "later"),
    *(
        "by vendor (rev. 2)",
        "to be confirmed",
        "info later",
        "N/A",
        "n.a.",
        "-",
        "—",
        "....",
        "_____",
        "?",
        "xx",
    ),
    *("nach Angabe", "noch offen", "wird nachgereicht", "folgt", "k.A.", "lt. Lieferant", "unbekannt"),
    *("à définir", "A CONFIRMER", "par le fournisseur", "en attente", "sans objet", "inconnu"),
    *(
        "por definir",
        "a confirmar",
        "según proveedor",
        "pendiente",
        "N/D",
        "a ser definido",
        "pelo fornecedor",
    ),
    *("da definire", "a cura del fornitore", "in attesa", "n.d.", "n.t.b.", "door leverancier", "n.v.t."),
    *("do uzgodnienia", "b.d.", "brak danych", "уточняется", "н/д", "по данным поставщика", "нет данных"),
    *("待定", "待厂家确认", "未知"),
]


@pytest.mark.parametrize("text", PLACEHOLDERS)
def test_what_is_not_known_yet(text: str) -> None:
    found = column("fluid_density", "kg/m3", text, 850)
    assert states(found) == ["PLACEHOLDER", "OK"]
    assert not found.problem
    assert np.isnan(found.low[0])


@pytest.mark.parametrize(
    "text", ["AMB", "ambient", "Umgebungstemp.", "temp. ambiante", "RT", "окр. среды", "环境温度"]
)
def test_the_ambient_temperature_is_no_number(text: str) -> None:
    assert states(column("operating_temperature", "°C", text)) == ["PLACEHOLDER"]


@pytest.mark.parametrize(
    "text", ["TBC 60 barg", "to be 850 kg/m3", "-10", "–10", "12", "later 3.5", "850 kg/m3"]
)
def test_what_holds_a_value_is_no_placeholder(text: str) -> None:
    assert not not_known(text, number=True)


def test_every_word_for_not_known_is_one() -> None:
    assert [word for word in listed("not_known") if not not_known(word, number=False)] == []
    assert [word for word in listed("no_number") if not not_known(word, number=True)] == []


# --- not understood ---------------------------------------------------------------------------------

NOT_UNDERSTOOD = [  # field, heading's unit, text, words of the problem
    ("fluid_density", "kg/m3", "See DS", "See DS"),
    ("fluid_density", "kg/m3", "see note 4", "see note 4"),
    ("fluid_density", "kg/m3", "yes", "yes"),
    ("fluid_density", "kg/m3", "850 or 870", "850 or 870"),
    ("fluid_density", "kg/m3", "850,870", "850.870 or 850870"),
    ("fluid_density", "kg/m3", "880/820", "two values"),
    ("fluid_density", "kg/m3", "850 kg", "unit of mass"),
    ("fluid_density", "kg/m3", "45 °Bé", "heavier or lighter"),
    ("fluid_density", "kg/m3", "12 Brix", "sugar"),
    ("fluid_density", "kg/m3", "24 °Tw", "60 degF"),
    ("fluid_density", "kg/m3", "850 (was 870)", "was 870"),
    ("fluid_density", "kg/m3", "850 @ 15 °C / 820 @ 60 °C", "850 @ 15"),
    ("fluid_density", "kg/m3", "850 @ 15 °C\n820 @ 60 °C", "820 @ 60"),
    ("fluid_density", "kg/m3", "850 @ OT\n820 @ OT", "820 @ OT"),
    ("fluid_density", "kg/m3", True, "holds TRUE"),
    ("design_pressure", "barg", "10/150", "two values"),
    ("design_pressure", "barg", "6 barg\n150 psig", "two values that differ"),
    ("design_pressure", "barg", "6\n10", "6 10"),
    ("design_pressure", "barg", "PN16", "PN16"),
    ("design_pressure", "barg", "-0.5 bar vac", "minus"),
    ("design_pressure", "barg", "500 mbar vac", "absolute pressure"),
    ("design_pressure", "barg", "vacuum", "vacuum"),
    ("design_pressure", "barg", "ATM + 50 mmWC", "ATM"),
    ("design_pressure", "", "1,200 barg", "1.200 or 1200"),
    ("operating_temperature", "°C", "60/80/90", "60/80/90"),
    ("connection_distance", "mm", "DN 50", "nominal size of pipe, 60.3 mm outside"),
    ("connection_distance", "mm", "50 %", "percent"),
    ("connection_distance", "mm", "1200 / 800", "two values"),
    ("connection_distance", "mm", '1200 mm (48.2")', "differ"),
    ("connection_distance", "mm", "42 1/2", "fraction"),
    ("connection_distance", "mm", "3'-6", "feet and inches or a range"),
    ("urv", "mm", "1,500", "1.5 mm or 1500 mm"),
    ("urv", "mm", "1.500", "1.5 mm or 1500 mm"),
    ("chamber_diameter", "mm", "DN 65", "two pipes"),
    ("chamber_bore", "mm", "DN 50", "nominal size"),
    ("float_mass", "g", "1,204", "1.204 g or 1204 g"),
    ("viscosity", "cP", "3 °E", "write mm2/s"),
    ("viscosity", "cP", "ISO VG 46", "ISO VG 46"),
]


@pytest.mark.parametrize(("field", "unit", "text", "says"), NOT_UNDERSTOOD)
def test_what_is_not_understood_keeps_its_text(field: str, unit: str, text: Any, says: str) -> None:
    found = column(field, unit, text)
    assert states(found)[0] in ("UNREADABLE", "AMBIGUOUS")
    assert says in found.problem[0]
    assert np.isnan(found.low[0])
    assert np.isnan(found.high[0])
    assert found.raw[0] == text
    assert found.text[0] == (text if isinstance(text, str) else "")


# --- impossible -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("field", "unit", "value", "says"),
    [
        ("fluid_density", "SG", 870, "870 SG cannot be"),
        ("fluid_density", "kg/m3", "870 SG", "870 SG cannot be"),
        ("operating_temperature", "°C", -300, "-300 degC cannot be"),
        ("operating_temperature", "°C", "-5 K", "-5 K cannot be"),
        ("operating_pressure", "barg", "-2 barg", "-2 barg cannot be"),
        ("float_length", "mm", "-250", "-250 mm cannot be"),
        ("fluid_density", "kg/m3", "-150 API", "no density"),
        ("viscosity", "cP", "20 SSU", "no kinematic viscosity"),
        (
            "connection_distance",
            "mm",
            datetime(2026, 10, 1),
            "the date 2026-10-01, perhaps once a range such as 10-1",
        ),
    ],
)
def test_a_number_that_cannot_be(field: str, unit: str, value: Any, says: str) -> None:
    found = column(field, unit, value)
    assert states(found) == ["IMPOSSIBLE"]
    assert says in found.problem[0]
    assert not found.given[0]


def test_a_number_whose_unit_was_only_assumed_is_not_the_sheet_s_error() -> None:
    found = column("connection_distance", "", 3.0, 1200.0)
    assert states(found) == ["AMBIGUOUS", "OK"]
    assert "its unit stands nowhere" in found.problem[0]
    assert states(column("connection_distance", "", -3.0, 0.0)) == ["IMPOSSIBLE", "IMPOSSIBLE"]


def test_limits_hold_at_both_ends() -> None:
    low, high = limits("connection_distance")
    inside = column("connection_distance", "m", low, high)
    assert states(inside) == ["OK", "OK"]
    outside = column("connection_distance", "m", low * 0.999, high * 1.001)
    assert states(outside) == ["IMPOSSIBLE", "IMPOSSIBLE"]


# --- ditto marks --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "mark",
    [
        '"',
        "''",
        "do.",
        "ditto",
        "Dito",
        "idem",
        "id.",
        "„",
        "〃",
        ",,",
        '-"-',
        "wie oben",
        "come sopra",
        "同上",
        "то же",
    ],
)
def test_a_ditto_mark_is_the_value_above(mark: str) -> None:
    found = column("fluid_density", "kg/m3", 850, mark, mark, 900, mark)
    assert found.low.tolist() == [850, 850, 850, 900, 900]
    assert states(found) == ["OK"] * 5
    assert found.noted == {1: "as H12", 2: "as H12", 4: "as H15"}
    assert found.raw[1] == mark


def test_a_ditto_mark_repeats_a_text_with_its_notes_and_its_unit() -> None:
    found = column("design_pressure", "barg", "87 psig (est.)", '"')
    assert found.low[1] == found.low[0]
    assert found.unit[1] == "psig"
    assert found.noted[1] == "as H12; est"


def test_a_ditto_mark_repeats_what_is_not_known() -> None:
    assert states(column("fluid_density", "kg/m3", "TBC", '"')) == ["PLACEHOLDER", "PLACEHOLDER"]
    found = column("fluid_density", "kg/m3", "see DS", '"')
    assert states(found) == ["UNREADABLE", "UNREADABLE"]


@pytest.mark.parametrize(
    ("rows", "cols"), [([12, 14], [8, 8]), ([12, 12], [8, 9]), ([14, 12], [8, 8]), ([12, 13], [8, 9])]
)
def test_only_a_cell_above_in_the_same_column_is_repeated(rows: list[int], cols: list[int]) -> None:
    found = quantity_column("fluid_density", cells([850, '"'], rows, cols), "kg/m3").column
    repeated = cols[0] == cols[1] and rows[0] < rows[1]
    assert found.given.tolist() == [True, repeated]


@pytest.mark.parametrize("above", [None, ""])
def test_a_ditto_mark_below_nothing_is_not_understood(above: Any) -> None:
    found = column("fluid_density", "kg/m3", 850, above, '"')
    assert states(found) == ["OK", "BLANK", "UNREADABLE"]
    assert "repeats the cell above, which holds no value" in found.problem[2]
    assert states(column("fluid_density", "kg/m3", '"')) == ["UNREADABLE"]


def test_a_merged_ditto_mark_repeats_the_cell_above_it() -> None:
    merged = cells([850, '"', '"'], [12, 13, 13])
    assert quantity_column("fluid_density", merged, "kg/m3").column.low.tolist() == [850] * 3


def test_ditto_marks_in_a_column_of_texts() -> None:
    found = text_column("fluid", cells(["Water", '"', "Oil", "do.", "TBC", '"']))
    assert found.text.tolist() == ["Water", "Water", "Oil", "Oil", "", ""]
    assert found.noted == {1: "as H12", 3: "as H14", 5: "as H16"}
    assert found.raw[1] == '"'
    tags = text_column("tag", cells(["LG-1", '"']))
    assert tags.text.tolist() == ["LG-1", '"']


def test_notes_follow_their_records() -> None:
    found = column("fluid_density", "kg/m3", 850, '"', "900 (est.)").take(np.array([2, -1, 1]))
    assert found.noted == {0: "est", 2: "as H12"}


# --- what the column proves ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("others", "text", "mm"),
    [
        (["12,5"], "1,500", 1.5),
        (["12.5"], "1,500", 1500),
        (["0,85"], "1.500", 1500),
        (["0.85"], "1.500", 1.5),
        (["1.234,5"], "1.500", 1500),
        (["1,234.5"], "1,500", 1500),
        (["1,20,000"], "1,500", 1500),
        (["12.345.678"], "1,500", 1.5),
        (["1 200"], "280 350", 280350),
        (["12,5", "12.5"], "1,500", None),
        (["1200"], "1,500", None),
        (["1,20,000"], "1,20,500", 120500),
        (["1200"], "1,20,500", 120500),
    ],
)
def test_other_cells_prove_how_digits_are_grouped(others: list[str], text: str, mm: float | None) -> None:
    found = column("urv", "um", *others, text)
    if mm is None:
        assert states(found)[-1] == "AMBIGUOUS"
    else:
        assert found.low[-1] * 1e6 == pytest.approx(mm)


# --- units that stand elsewhere -------------------------------------------------------------------------


def test_a_heading_that_states_another_unit_is_never_replaced_by_a_default() -> None:
    found = quantity_column(
        "connection_distance", cells([1200, "1200", "1.2 m", "TBC", "3-6"]), "", unfit="%"
    )
    assert states(found.column) == ["AMBIGUOUS", "AMBIGUOUS", "OK", "PLACEHOLDER", "AMBIGUOUS"]
    assert "'%' in the heading is none of this quantity" in found.column.problem[0]
    assert found.column.low[2] == 1.2
    assert (found.unit, found.source, found.untold) == ("", "", 0)


def test_nominal_sizes_in_the_heading() -> None:
    found = column("chamber_diameter", "", 80, "65", "100", unfit="DN")
    assert found.low[0] == pytest.approx(0.0889)
    assert states(found) == ["OK", "AMBIGUOUS", "AMBIGUOUS"]
    assert states(column("chamber_bore", "", 80, unfit="DN")) == ["AMBIGUOUS"]
    assert column("chamber_diameter", "", 3, unfit="NPS").low[0] == pytest.approx(0.0889)


@pytest.mark.parametrize(
    ("field", "choices", "text", "value", "unit"),
    [
        ("operating_pressure", ("kPag", "psig"), "20 (2.9)", 20, "kPag"),
        ("operating_pressure", ("kPag", "psig"), "2.9 (20)", 2.9, "psig"),
        ("operating_temperature", ("degC", "degF"), "75 / 167", 75, "degC"),
        ("connection_distance", ("mm", "in"), "1300\n51.2", 1300, "mm"),
        ("connection_distance", ("mm", "in"), "1300 [51,2]", 1300, "mm"),
        ("operating_pressure", ("kPag", "psig"), "20 (29)", None, ""),
    ],
)
def test_one_value_in_both_units_of_the_heading(
    field: str, choices: tuple[str, str], text: str, value: float | None, unit: str
) -> None:
    found = column(field, "", text, choices=choices)
    assert found.given[0] == (value is not None)
    if value is not None:
        assert shown(found, 0, unit)[0] == pytest.approx(value)


def units_of(*texts: str) -> np.ndarray[Any, Any]:
    out = np.empty(len(texts), dtype=object)
    out[:] = texts
    return out


def test_a_unit_beside_the_value_comes_before_that_of_the_heading() -> None:
    found = quantity_column(
        "design_pressure",
        cells([10, 150, "10", 10, "2 MPag", 7]),
        "barg",
        units=units_of("", "psig", "kg/cm2 g", "kg/h", "psig", "-"),
    )
    bar = [round(low / 1e5, 4) for low in found.column.low.tolist()]
    assert bar == pytest.approx([10, 10.3421, 9.8067, NAN, 20, 7], abs=1e-4, nan_ok=True)
    assert list(found.column.unit) == ["barg", "psig", "kgf/cm2 g", "", "MPag", "barg"]
    assert states(found.column)[3] == "AMBIGUOUS"
    assert "'kg/h' beside it is none of this quantity" in found.column.problem[3]
    assert (found.unit, found.source) == ("barg", "")


def test_units_beside_every_value_are_those_of_the_cells() -> None:
    found = quantity_column(
        "operating_temperature", cells([60, 140, 70]), "", units=units_of("°C", "°F", "°C")
    )
    assert found.column.low.tolist() == pytest.approx([333.15, 333.15, 343.15])
    assert (found.unit, found.source, found.untold) == ("degC", "cells", 0)


def test_a_range_keeps_both_ends_beside_other_units() -> None:
    found = quantity_column(
        "design_pressure", cells(["2 to 10", 150]), "", units=units_of("barg", "psig")
    ).column
    assert (found.low[0], found.high[0]) == (2e5, 1e6)
    assert found.low[1] == found.high[1]


def test_a_ditto_mark_takes_the_unit_of_the_value_that_it_repeats() -> None:
    for beside in (units_of("psig", ""), units_of("psig", '"'), units_of("psig", "do.")):
        found = quantity_column("design_pressure", cells([150, '"']), "barg", units=beside).column
        assert found.low[1] == found.low[0]


# --- cells from outside ---------------------------------------------------------------------------------

OUTSIDE = Path(__file__).parent / "reading" / "values.csv"
"""Cells as lists have them, and what a person reads in them; made without a look at this program."""
MISSED = {("viscosity", "mPa.s", "1.002")}
"""Refused though a person reads it: as far as the limits of a viscosity tell, it could be 1002 mPa.s."""
ABOVE = {"density": 850.0, "pressure_gauge": 6.0, "temperature": 60.0, "length": 1200.0, "mass": 345.0}

Reading = tuple[str, float | None, float | None]


def _expected(row: dict[str, str]) -> Iterator[Reading]:
    yield row["kind"], _number(row["low"]), _number(row["high"])
    for kind, low, high in re.findall(r"also: (\w+) (\S+) (\S+?)(?=;|$)", row["note"]):
        yield kind, _number(low.replace("_", "")), _number(high.replace("_", ""))


def _number(text: str) -> float | None:
    return float(text) if text else None


def _outcome(row: dict[str, str]) -> Reading:
    values: list[Any] = [row["text"]]
    if row["kind"] == "ditto":
        above = 2.0 if row["heading_unit"] == "in" else ABOVE.get(fields()[row["field"]]["quantity"], 5.0)
        values = [above, row["text"]]
    read: Quantities = quantity_column(row["field"], cells(values), row["heading_unit"])
    found, last = read.column, len(values) - 1
    if not found.given[last]:
        kinds = {State.PLACEHOLDER: "placeholder", State.IMPOSSIBLE: "impossible", State.BLANK: "blank"}
        return kinds.get(State(int(found.state[last])), "ask"), None, None
    if row["kind"] == "ditto" and found.low[0] == found.low[last]:
        return "ditto", None, None
    if read.kinematic is not None and read.kinematic[last]:
        return "ask", None, None  # it needs the density
    low, high = float(found.low[last]), float(found.high[last])
    kind = "bound" if math.isnan(low) or math.isnan(high) else "value"
    return kind, None if math.isnan(low) else low, None if math.isnan(high) else high


def _same(ours: Reading, theirs: Reading, tolerance: float) -> bool:
    kinds = {"unreadable": "ask"}
    ends = zip(ours[1:], theirs[1:], strict=True)
    return kinds.get(theirs[0], theirs[0]) == ours[0] and all(
        one is two if one is None or two is None else one == pytest.approx(two, rel=tolerance, abs=1e-9)
        for one, two in ends
    )


def _rows() -> list[dict[str, str]]:
    with OUTSIDE.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_cells_from_outside_are_read_as_a_person_reads_them() -> None:
    missed = set()
    for row in _rows():
        stated = re.search(r"tol=(\S+?)(;|$)", row["note"])
        tolerance = float(stated[1]) if stated else 2e-6
        ours = _outcome(row)
        if not any(_same(ours, theirs, tolerance) for theirs in _expected(row)):
            missed.add((row["field"], row["heading_unit"], row["text"]))
    assert missed == MISSED


def test_no_cell_from_outside_without_a_value_gives_a_number() -> None:
    wrong = [
        row["text"]
        for row in _rows()
        if row["kind"] in ("ask", "unreadable", "placeholder")
        and _outcome(row)[0] in ("value", "bound")
        and not any(theirs[0] in ("value", "bound") for theirs in _expected(row))
    ]
    assert wrong == []
