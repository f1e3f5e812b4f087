"""Lists that say a thing otherwise than most: in remarks, by a unit, under a strange heading."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from xlfuncs.audit.engine import audit
from xlfuncs.audit.model import AuditResult
from xlfuncs.audit.settings import Settings
from xlfuncs.data.words import parts_in
from xlfuncs.lists.columns import Cells, text_column
from xlfuncs.lists.reader import read_book
from xlfuncs.lists.remarked import says_reverse
from xlfuncs.spreadsheet.grid import Grid
from xlfuncs.vocabulary.meaning import ACCEPT, Kind, read_heading, said_by, unit_in


def audited(head: Sequence[str], *rows: Sequence[Any]) -> AuditResult:
    grid = Grid.block("Index", np.array([head, *rows], dtype=object))
    return audit(read_book(Path("index.xlsx"), sheets=[grid]), Settings())


# --- parts that look like notes -------------------------------------------------------------------------


def column(field: str, *texts: str) -> list[str]:
    n = len(texts)
    place = np.arange(1, n + 1)
    cells = Cells(
        np.array(texts, dtype=object), np.full(n, "Floats", dtype=object), place, np.ones(n, np.int64)
    )
    return [str(text) for text in text_column(field, cells).text]


@pytest.mark.parametrize("letters", ["ND", "NA", "TBC", "TBA"])
def test_a_part_with_letters_of_not_known_is_a_part_beside_others_with_a_suffix(letters: str) -> None:
    parts = [f"{letters}-7", f"{letters}-77", f"{letters}-77B", f"{letters}-112"]
    assert column("float_part", *parts) == parts


def test_a_hold_and_a_single_note_are_no_parts() -> None:
    assert column("float_part", "GX-12", "HOLD-14", "TBC-2", "TBC", "GX-7 B") == [
        "GX-12",
        "",
        "",
        "",
        "GX-7 B",
    ]
    assert parts_in({"HOLD-14", "TBC-2", "n/d"}) == set()


def test_a_remark_that_is_not_known_yet_stays_none() -> None:
    assert column("remarks", "TBC-12", "see sketch") == ["", "see sketch"]


@pytest.mark.parametrize(("part", "told"), [("TBC-2", True), ("ND-78", False)])
def test_a_row_of_the_float_list_without_a_part_is_told(part: str, told: bool) -> None:
    index = [["Tag", "Float part", "C-C (mm)"], ["LG-101", "ND-77B", 1000.0], ["LG-102", "ND-77", 1000.0]]
    floats = [
        ["Part", "Float mass (g)", "Diameter (mm)", "Length (mm)"],
        *([name, 210.0 + i, 50.0, 220.0] for i, name in enumerate(["ND-77", "ND-77B", part, "GX-8"])),
    ]
    sheets = [
        Grid.block(name, np.array(rows, dtype=object))
        for name, rows in (("Index", index), ("Floats", floats))
    ]
    doubts = [
        doubt.text for doubt in read_book(Path("index.xlsx"), sheets=sheets).doubts if doubt.kind == "row"
    ]
    assert [f"'{part}'" in text for text in doubts] == [True] * told


# --- the action of a transmitter in remarks -------------------------------------------------------------


@pytest.mark.parametrize(
    "remark",
    [
        "Xmtr reverse acting",
        "zender omgekeerd werkend",
        "Spare float in store; LT reverse action",
        "Signal umgekehrt",
        "Messumformer invers",
        "transmetteur inversé",
        "trasmettitore ad azione inversa",
        "transmisor de acción inversa",
        "Transmissor invertido",
        "Nadajnik o działaniu odwrotnym",
        "Givaren omvänd",
        "Lähetin käänteinen",
        "Snímač inverzní",
        "Távadó fordított",
        "Verici ters çalışır",
        "Датчик обратного действия",
        "变送器反作用",
        "発信器は逆動作",
        "전송기 역작용",
        "20-4 mA",
    ],
)
def test_a_remark_says_that_the_transmitter_acts_in_reverse(remark: str) -> None:
    assert says_reverse(remark) == "sure"


@pytest.mark.parametrize(
    "remark",
    [
        "non-reverse acting",
        "Transmitter not reverse acting",
        "check valve against reverse flow",
        "Flags reversed",
        "Transmitter wired with reverse polarity",
        "Rev 2",
        "Direct / reverse TBC",
        "Transmitter reverse action?",
        "Reverse osmosis feed",
    ],
)
def test_what_else_is_reversed_is_no_action(remark: str) -> None:
    assert says_reverse(remark) == ""


@pytest.mark.parametrize(
    ("remark", "lrv", "urv", "current", "rule"),
    [
        ("LT reverse acting", 1000, 0, 12.0, ""),
        ("reverse", 1000, 0, 12.0, ""),
        ("Flags reversed", 1000, 0, 12.0, "range-reversed"),
        ("reverse", 0, 1000, 8.0, ""),
        ("LT reverse acting", 0, 1000, 8.0, "current-inconsistent"),
    ],
)
def test_ranges_and_currents_are_judged_by_the_action_that_remarks_state(
    remark: str, lrv: int, urv: int, current: float, rule: str
) -> None:
    level = 500 if current == 12 else 250
    result = audited(
        ["Tag", "Remarks", "LRV (mm)", "URV (mm)", "NLL (mm)", "Current at NLL (mA)"],
        ["LG-101", remark, lrv, urv, level, current],
        ["LG-102", "", 0, 800, 400, 12.0],
    )
    fired = {finding.rule for finding in result.findings}
    assert fired & {"range-reversed", "current-inconsistent"} == ({rule} if rule else set())


@pytest.mark.parametrize(
    ("remark", "how"), [("reverse", "bare"), ("reverse here", "bare"), ("reverse of it", "")]
)
def test_a_remark_of_more_than_two_words_is_none_of_the_word_alone(remark: str, how: str) -> None:
    assert says_reverse(remark) == how


def test_remarks_tell_the_action_only_where_its_column_does_not() -> None:
    rows = [
        ["LG-101", "direct", "LT reverse acting"],
        ["LG-102", "", "LT reverse acting"],
        ["LG-103", "", ""],
    ]
    head = ["Tag", "Transmitter action", "Remarks", "LRV (mm)", "URV (mm)"]
    grid = Grid.block("Index", np.array([head, *([*row, 1000, 0] for row in rows)], dtype=object))
    (table,) = read_book(Path("index.xlsx"), sheets=[grid]).gauges
    assert table.columns["action"].text.tolist() == ["direct", "reverse", ""]


# --- a value that cannot be -----------------------------------------------------------------------------


def test_a_density_that_is_not_used_is_in_no_order() -> None:
    head = ["Tag", "Fluid", "Density (kg/m3)", "Density min (kg/m3)", "Density max (kg/m3)"]
    rows = [
        ["LG-101", "Oil", 0.829, 825, 834],
        ["LG-102", "Oil", 990, 825, 834],
        ["LG-103", "Oil", 829, 825, 834],
    ]
    found = {(one.rule, one.tag) for one in audited(head, *rows).findings}
    assert found >= {("value-implausible", "LG-101"), ("density-range-reversed", "LG-102")}
    assert ("density-range-reversed", "LG-101") not in found


# --- headings -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("kind", "heading", "field"),
    [
        ("floats", "Overall in.", "float_length"),
        ("floats", "Magnet line above bottom in.", "magnet_height"),
        ("floats", "Good to psig", "float_max_pressure"),
        ("floats", "Good to F", "float_max_temperature"),
        ("floats", "Geeignet bis °C", "float_max_temperature"),
        ("floats", "Jusqu'à barg", "float_max_pressure"),
        ("gauges", "Ruler zero above lower noz. CL in.", "scale_zero"),
        ("gauges", "Liniaal nul boven onderste aansluiting mm", "scale_zero"),
        ("gauges", "Massa vol. fase sopra [kg/m³]", "upper_density"),
        ("gauges", "Dichte Phase oben kg/m3", "upper_density"),
        ("gauges", "Potenza cavo [W/m]", "tracer_output"),
        ("gauges", "Puissance du câble [W/m]", "tracer_output"),
        ("gauges", "Rated pressure (vessel) barg", "design_pressure"),
        ("gauges", "Rated temperature (vessel) °C", "design_temperature"),
        ("gauges", "Float space under lower branch mm", "room_below"),
        ("gauges", "Visible length of flags mm", "visible_range"),
        ("gauges", "Sichtbare Länge der Klappen mm", "visible_range"),
        ("gauges", "Highest trip level HHLL mm", "level_high_high"),
        ("gauges", "Lowest trip level LLLL mm", "level_low_low"),
        ("gauges", "Stroom bij normaal peil", "stated_current"),
    ],
)
def test_trade_words_name_their_field(kind: Kind, heading: str, field: str) -> None:
    best = read_heading(heading, kind=kind).meanings[0]
    assert best.field == field
    assert best.score >= ACCEPT


@pytest.mark.parametrize("heading", ["Potenza cavo [kW]", "Phase", "Cable length m"])
def test_a_cable_without_watts_for_each_metre_and_a_phase_alone_stay_what_they_are(heading: str) -> None:
    assert all(meaning.score < ACCEPT for meaning in read_heading(heading).meanings)


@pytest.mark.parametrize(
    ("text", "unit"),
    [("rel. to water 1000 kg/m³", "SG"), ("bezogen auf Wasser 1000 kg/m3", "SG"), ("kg/m³", "kg/m3")],
)
def test_the_unit_of_the_water_that_a_density_is_related_to_is_not_its_own(text: str, unit: str) -> None:
    assert unit_in(text, "fluid_density") == unit


@pytest.mark.parametrize(("numbers", "read"), [((47.6, 50.1), True), ((0.76, 0.8), False)])
def test_bounds_without_a_unit_take_that_of_the_density_beside_them(
    numbers: tuple[float, float], read: bool
) -> None:
    rows = [[f"LG-10{i}", "Oil", 48.2 + i, numbers[0] + i * (numbers[0] > 1), numbers[1]] for i in range(4)]
    result = audited(["Tag", "Fluid", "Sp. wt lb/cu ft", "Sp. wt low", "Sp. wt high"], *rows)
    assert (result.units["Index"].get("fluid_density_min") == "lb/ft3") == read


@pytest.mark.parametrize("heading", ["mA bij normaal peil", "Stroom bij normaal niveau"])
def test_a_current_at_the_normal_level_is_compared_with_it(heading: str) -> None:
    result = audited(
        ["Tag", "4 mA (mm)", "20 mA (mm)", "Normaal peil (mm)", heading],
        ["LG-101", 0, 1000, 500, 12.0],
        ["LG-102", 0, 1000, 500, 13.6],
        ["LG-103", 0, 800, 400, 12.0],
    )
    assert [f.tag for f in result.findings if f.rule == "current-inconsistent"] == ["LG-102"]


# --- columns left unread --------------------------------------------------------------------------------


def test_a_rule_that_would_use_an_unread_column_is_not_checked() -> None:
    head = ["Tag", "Service", "C-C (mm)", "4 mA (mm)", "20 mA (mm)"]
    rows = [[f"LG-10{i}", "Drum", 1000.0, 0.0, 1000.0, 1450.0, 35.0] for i in range(4)]
    strange = ["Visible length of gasket (mm)", "Gasket zero above zork blah blub (mm)"]

    def not_checked(*more: str) -> set[str]:
        result = audited([*head, *more], *(row[: 5 + len(more)] for row in rows))
        return {entry.rule for entry in result.not_checked}

    asked = {"range-exceeds-connections", "scale-zero-shifted"}
    assert asked <= not_checked(*strange)
    assert not asked & not_checked()
    assert not asked & not_checked("Pump zero (mm)")


def test_a_rule_that_is_left_out_is_not_listed_for_an_unread_column() -> None:
    head = ["Tag", "Service", "C-C (mm)", "Gasket zero above zork blah blub (mm)"]
    ignoring = Settings(ignore=("scale-zero-shifted",))
    grid = Grid.block("Index", np.array([head, ["LG-101", "Drum", 1000.0, 35.0]], dtype=object))
    result = audit(read_book(Path("index.xlsx"), sheets=[grid]), ignoring)
    assert "scale-zero-shifted" not in {entry.rule for entry in result.not_checked}
    assert "scale-zero-shifted" in {
        entry.rule for entry in audited(head, ["LG-101", "Drum", 1000.0, 35.0]).not_checked
    }


def test_a_single_word_without_a_unit_names_no_quantity() -> None:
    assert said_by("Scale colour") == ()
    assert said_by("Visible length of zork") == ("visible_range",)
