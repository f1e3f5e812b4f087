"""Layouts of instrument lists as contractors send them: each is written to a file and read back."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import openpyxl
import pytest
from openpyxl.styles import Font

from xlfuncs.errors import XlfuncsError
from xlfuncs.lists.model import Book, Column, State, Table
from xlfuncs.lists.reader import read_book

Rows = Sequence[Sequence[Any]]
Reader = Callable[..., Book]

HEAD = ["Tag No.", "Service", "Fluid", "Density (kg/m3)", "Float Part No.", "C/C (mm)"]
SHORT = ["Tag No.", "Fluid", "Float Part No."]
BODY = [
    ["LG-101", "Feed drum", "Propane", 500, "ZF-1", 1200],
    ["LG-102", "Reflux drum", "Butane", 570, "ZF-2", 1400],
]


@pytest.fixture
def read(tmp_path: Path) -> Reader:
    """Write sheets of rows to a workbook and read it."""

    def _read(
        *sheets: Rows,
        merges: Sequence[str] = (),
        change: Callable[[openpyxl.Workbook], object] | None = None,
        **options: Any,
    ) -> Book:
        book = openpyxl.Workbook()
        book.remove(book.worksheets[0])
        for number, rows in enumerate(sheets, 1):
            sheet = book.create_sheet(f"Sheet{number}")
            for i, row in enumerate(rows, 1):
                for j, value in enumerate(row, 1):
                    if value is not None:
                        sheet.cell(i, j, value)
        for merge in merges:
            book.worksheets[0].merge_cells(merge)
        if change is not None:
            change(book)
        path = tmp_path / "book.xlsx"
        book.save(path)
        return read_book(path, **options)

    return _read


def index(book: Book) -> Table:
    assert len(book.gauges) == 1, [table.sheet for table in book.gauges]
    return book.gauges[0]


def column(book: Book, name: str) -> Column:
    return index(book).columns[name]


def tags(book: Book) -> list[str]:
    return [str(text) for text in column(book, "tag").text]


def si(book: Book, name: str) -> list[float]:
    return [round(float(value), 4) for value in column(book, name).value]


# --- headings ------------------------------------------------------------------------------------


def test_one_heading_row(read: Reader) -> None:
    book = read([HEAD, *BODY])
    assert tags(book) == ["LG-101", "LG-102"]
    assert si(book, "fluid_density") == [500, 570]
    assert si(book, "connection_distance") == [1.2, 1.4]
    assert column(book, "fluid_density").address(1) == "D3"
    assert not book.doubts


@pytest.mark.parametrize("above", [1, 5, 20, 45])
def test_title_block_above(read: Reader, above: int) -> None:
    title = [["Plant 0000, invented"], ["Instrument index", None, "Rev. 2"]][:above]
    title += [[]] * (above - len(title))
    book = read([*title, HEAD, *BODY])
    assert tags(book) == ["LG-101", "LG-102"]
    assert column(book, "tag").address(0) == f"A{above + 2}"
    assert index(book).row.tolist() == [above + 2, above + 3]


def test_group_headings_merged(read: Reader) -> None:
    rows = [
        ["Tag", "Operating", None, "Design", None, "Float", None],
        [None, "Press.", "Temp.", "Press.", "Temp.", "Part No.", "Mass"],
        [None, "barg", "°C", "barg", "°C", None, "g"],
        ["LG-1", 10, 40, 18, 80, "ZF-1", 300],
    ]
    book = read(rows, merges=["A1:A3", "B1:C1", "D1:E1", "F1:G1"])
    assert si(book, "operating_pressure") == [1e6]
    assert si(book, "design_pressure") == [1.8e6]
    assert si(book, "operating_temperature") == [313.15]
    assert si(book, "float_mass") == [0.3]
    found = {entry.field: entry for entry in index(book).recognised}
    assert found["design_pressure"].heading == "Design / Press."
    assert found["design_pressure"].unit_source == "unit row"


def test_group_headings_without_merges(read: Reader) -> None:
    rows = [
        ["Tag", "Operating", None, "Design", None, None],
        [None, "Pressure (barg)", "Temperature (°C)", "Pressure (barg)", "Temperature (°C)", "Remarks"],
        ["LG-1", 10, 40, 18, 80, "as built"],
    ]
    book = read(rows)
    assert si(book, "operating_temperature") == [313.15]
    assert si(book, "design_temperature") == [353.15]
    assert column(book, "remarks").text[0] == "as built"


def test_three_heading_rows(read: Reader) -> None:
    rows = [
        ["Tag No.", "PROCESS DATA", None, None, None, "GAUGE", None],
        [None, "Operating", None, "Design", None, "Connection", "Visible"],
        [None, "Press. barg", "Temp. °C", "Press. barg", "Temp. °C", "C/C mm", "Range mm"],
        ["LG-1", 10, 40, 18, 80, 1200, 1000],
    ]
    book = read(rows, merges=["A1:A3", "B1:E1", "B2:C2", "D2:E2", "F1:G1"])
    assert si(book, "operating_pressure") == [1e6]
    assert si(book, "design_temperature") == [353.15]
    assert si(book, "connection_distance") == [1.2]
    assert si(book, "visible_range") == [1.0]


@pytest.mark.parametrize(
    "names",
    [
        ["TAG_NO", "SERVICE", "FLUID", "FLUID_DENS", "FLT_PN", "CC_DIST"],
        ["A", "B", "C", "D", "E", "F"],
        [1, 2, 3, 4, 5, 6],
        ["(1)", "(2)", "(3)", "(4)", "(5)", "(6)"],
        ["A7", "B7", "C7", "D7", "E7", "F7"],
    ],
    ids=["machine", "letters", "numbers", "bracketed", "references"],
)
@pytest.mark.parametrize("below", [True, False])
def test_competing_heading_rows(read: Reader, names: list[int] | list[str], below: bool) -> None:
    rows = [HEAD, names] if below else [names, HEAD]
    book = read([["Index of level gauges"], *rows, *BODY])
    assert tags(book) == ["LG-101", "LG-102"]
    assert si(book, "fluid_density") == [500, 570]


@pytest.mark.parametrize(
    "sample",
    [
        ["XX-LG-XXXX", "text", "text", 0.0, "ZF-X", 0],
        ["LG-NNNN", "name", "name", "number", "text", "number"],
        ["e.g. LG-100", "Drum", "Water", 998, "ZF-9", 1000],
        ["<tag>", "<service>", "<fluid>", None, None, None],
    ],
)
def test_placeholder_row_under_the_heading(read: Reader, sample: Any) -> None:
    assert tags(read([HEAD, sample, *BODY])) == ["LG-101", "LG-102"]


def test_repeated_headings_sections_totals_and_notes(read: Reader) -> None:
    rows = [
        HEAD,
        ["AREA 200"],
        BODY[0],
        [],
        HEAD,
        ["Section B - utilities"],
        BODY[1],
        [],
        ["Total", None, None, None, None, 2600],
        ["Notes:"],
        ["1. Densities at operating conditions."],
        ["2. LG-101 to be confirmed by the process department."],
    ]
    book = read(rows)
    assert tags(book) == ["LG-101", "LG-102"]
    assert index(book).row.tolist() == [3, 7]


def test_row_with_data_and_no_tag_is_kept(read: Reader) -> None:
    book = read([HEAD, *BODY, [None, "Knock-out drum", "Propane", 510, "ZF-3", 1000]])
    assert tags(book) == ["LG-101", "LG-102", ""]
    assert column(book, "tag").state[2] == State.BLANK


@pytest.mark.parametrize(
    ("heading", "field", "expected"),
    [
        ("Operating pressure, barg", "operating_pressure", 1e5),
        ("Operating pressure [bar g]", "operating_pressure", 1e5),
        ("Op. press. barg", "operating_pressure", 1e5),
        ("OP_PRESS_BARG", "operating_pressure", 1e5),
        ("Op. Temp °F", "operating_temperature", 255.9278),
        ("Operating temperature in K", "operating_temperature", 1.0),
        ("SG", "fluid_density", 999.0),
        ("Sp. Gr. @ op. temp.", "fluid_density", 999.0),
        ("Design P (MPag)", "design_pressure", 1e6),
        ("Des. Temp. (°C)", "design_temperature", 274.15),
        ("Visible length, in", "visible_range", 0.0254),
        ("Min. ambient temp. (°C)", "minimum_ambient", 274.15),
        ("Viscosity cP", "viscosity", 0.001),
    ],
)
def test_units_and_abbreviations_in_headings(read: Reader, heading: str, field: str, expected: float) -> None:
    book = read([[*SHORT, heading], ["LG-1", "Water", "ZF-1", 1]])
    assert column(book, field).value[0] == pytest.approx(expected, rel=1e-3)
    assert not book.doubts


LANGUAGES = {
    "de": ["Messstelle", "Messstoff", "Betriebsdichte [kg/m³]", "Betriebsdruck (barü)",
           "Auslegungstemperatur °C", "Schwimmertyp", "Mittenabstand mm"],
    "fr": ["Repère", "Fluide", "Masse volumique (kg/m³)", "Pression de service (bar eff.)",
           "Température de calcul (°C)", "Référence flotteur", "Entraxe (mm)"],
    "es": ["Etiqueta", "Fluido", "Densidad (kg/m³)", "Presión de operación (bar man.)",
           "Temperatura de diseño (°C)", "Tipo de flotador", "Distancia entre centros (mm)"],
    "pt": ["Identificação", "Fluido", "Massa específica (kg/m³)", "Pressão de operação (bar man.)",
           "Temperatura de projeto (°C)", "Tipo de boia", "Distância entre centros (mm)"],
    "it": ["Sigla", "Fluido", "Densità (kg/m³)", "Pressione di esercizio (bar rel.)",
           "Temperatura di progetto (°C)", "Codice galleggiante", "Interasse (mm)"],
    "de+en": ["Messstelle / Tag No.", "Messstoff / Fluid", "Betriebsdichte / Operating density kg/m3",
              "Betriebsdruck / Operating pressure barg", "Auslegungstemp. / Design temp. °C",
              "Schwimmer / Float", "Mittenabstand / C-C mm"],
}  # fmt: skip


@pytest.mark.parametrize("language", LANGUAGES)
def test_languages(read: Reader, language: str) -> None:
    book = read([LANGUAGES[language], ["LG-1", "Öl", 850, 3, 120, "ZF-1", 1200]])
    assert tags(book) == ["LG-1"]
    assert si(book, "fluid_density") == [850]
    assert si(book, "operating_pressure") == [3e5]
    assert si(book, "design_temperature") == [393.15]
    assert si(book, "connection_distance") == [1.2]
    assert column(book, "fluid").text[0] == "Öl"
    assert column(book, "float_part").text[0] == "ZF-1"


# --- what could be two things ---------------------------------------------------------------------


def test_dp_alone_is_reported_not_guessed(read: Reader) -> None:
    book = read([[*HEAD, "DP (bar)"], [*BODY[0], 16]])
    assert "design_pressure" not in index(book).columns
    [doubt] = book.doubts
    assert doubt.kind == "heading"
    assert doubt.cell == "G1"
    assert "design pressure" in doubt.text
    assert "--map design_pressure=G or --map none=G" in doubt.text


def test_dp_beside_dt_is_the_design_pressure(read: Reader) -> None:
    book = read([[*HEAD, "DP barg", "DT °C"], [*BODY[0], 16, 120]])
    assert si(book, "design_pressure") == [1.6e6]
    assert si(book, "design_temperature") == [393.15]


def test_dp_in_millibar_is_a_differential_pressure(read: Reader) -> None:
    book = read([[*HEAD, "DP (mbar)"], [*BODY[0], 250]])
    assert "design_pressure" not in index(book).columns
    assert not book.doubts


def test_lt_over_tags_is_a_transmitter_and_over_numbers_is_not(read: Reader) -> None:
    book = read([[*HEAD, "LT"], [*BODY[0], "LT-101"], [*BODY[1], "LT-102"]])
    assert list(column(book, "transmitter_tag").text) == ["LT-101", "LT-102"]
    book = read([[*HEAD, "LT"], [*BODY[0], 45], [*BODY[1], 60]])
    assert "transmitter_tag" not in index(book).columns


def test_pressure_without_operating_or_design(read: Reader) -> None:
    book = read([[*HEAD, "Pressure (barg)"], [*BODY[0], 16]])
    assert not {"operating_pressure", "design_pressure"} & set(index(book).columns)
    [doubt] = book.doubts
    assert "operating pressure or design pressure" in doubt.text


def test_medium_means_fluid_in_german(read: Reader) -> None:
    book = read([["Messstelle", "Medium", "Dichte kg/m3", "Schwimmer"], ["LG-1", "Wasser", 998, "ZF-1"]])
    assert column(book, "fluid").text[0] == "Wasser"


def test_old_and_new_tag(read: Reader) -> None:
    head = ["Old Tag", "New Tag", *HEAD[1:]]
    book = read([head, ["23-L-1", *BODY[0]], ["23-L-2", *BODY[1]]])
    assert tags(book) == ["LG-101", "LG-102"]
    assert list(column(book, "old_tag").text) == ["23-L-1", "23-L-2"]


def test_map_names_a_column_by_heading_letter_and_sheet(read: Reader) -> None:
    rows = [
        ["Tag No.", "Fluid", "Wichte kg/m3", "Float Part No.", "C/C mm"],
        ["LG-1", "Water", 998, "ZF-1", 800],
    ]
    for where in ("Wichte kg/m3", "wichte  (kg/m3)", "C", "Sheet1!C"):
        book = read(rows, mapping={"fluid_density": where})
        assert si(book, "fluid_density") == [998], where
        entry = next(e for e in index(book).recognised if e.field == "fluid_density")
        assert (entry.confidence, entry.column, entry.unit) == (1.0, "C", "kg/m3")


def test_map_to_a_heading_that_is_not_there(read: Reader) -> None:
    with pytest.raises(XlfuncsError, match=r"fluid_density=Spec wt.*'Tag No\.'"):
        read([HEAD, *BODY], mapping={"fluid_density": "Spec wt"})


def test_map_of_an_unknown_field(read: Reader) -> None:
    with pytest.raises(XlfuncsError, match=r"no field 'densty'.*fluid_density"):
        read([HEAD, *BODY], mapping={"densty": "Density"})


def test_runner_up_is_shown(read: Reader) -> None:
    book = read([HEAD, *BODY])
    entry = next(e for e in index(book).recognised if e.field == "fluid_density")
    assert entry.confidence > entry.runner_up_confidence > 0
    assert entry.runner_up


# --- tags and instruments --------------------------------------------------------------------------


def test_several_tags_in_a_cell_share_the_cell(read: Reader) -> None:
    book = read([HEAD, ["LG-002A/B/C", *BODY[0][1:]], ["LG-101/102", *BODY[1][1:]]])
    assert tags(book) == ["LG-002A", "LG-002B", "LG-002C", "LG-101", "LG-102"]
    assert [column(book, "tag").address(i) for i in range(5)] == ["A2", "A2", "A2", "A3", "A3"]
    assert si(book, "fluid_density") == [500, 500, 500, 570, 570]


def test_area_prefixed_tags(read: Reader) -> None:
    book = read([HEAD, ["23-LG-96184", *BODY[0][1:]], ["200LG1201", *BODY[1][1:]]])
    assert tags(book) == ["23-LG-96184", "200LG1201"]


def test_tag_in_parts(read: Reader) -> None:
    head = ["Area", "Function", "Loop No.", "Suffix", *HEAD[1:]]
    book = read([head, ["23", "LG", 96184, "A", *BODY[0][1:]], ["23", "LG", "0012", None, *BODY[1][1:]]])
    assert tags(book) == ["LG-96184A", "LG-0012"]
    assert column(book, "tag").address(0) == "C2"
    head[0] = "Tag Prefix"
    book = read([head, ["23", "LG", 96184, "A", *BODY[0][1:]]])
    assert tags(book) == ["23-LG-96184A"]


def test_other_instruments_are_left_out(read: Reader) -> None:
    head = ["Tag No.", "Instrument Type", "Fluid", "Density (kg/m3)", "C/C (mm)"]
    rows = [
        ["LG-1", "Magnetic level gauge", "Water", 998, 800],
        ["PT-1", "Pressure transmitter", "Water", 998, None],
        ["TI-1", "Thermometer", "Water", None, None],
        ["FT-7", "Flow transmitter", "Water", 998, None],
        ["LT-9", "Radar level transmitter", "Water", 998, 900],
        ["LG-2", "Reflex level gauge", "Water", 998, 900],
        ["LG-3", "Transparent gauge glass", "Oil", 850, 900],
        ["LI-4", "Magnetic level indicator", "Oil", 850, 900],
    ]
    book = read([head, *rows])
    assert tags(book) == ["LG-1", "LI-4"]
    assert book.skipped == {"other instrument": 4, "level glass without float": 2}


def test_level_glass_told_by_the_float_column(read: Reader) -> None:
    rows = [
        BODY[0],
        ["LG-103", "Drum", "Water", 998, "no float", 600],
        ["LG-104", "Drum", "Water", 998, "TBC", 600],
    ]
    book = read([HEAD, *rows])
    assert tags(book) == ["LG-101", "LG-104"]
    assert book.skipped == {"level glass without float": 1}


def test_struck_through_and_deleted_rows(read: Reader) -> None:
    def strike(book: openpyxl.Workbook) -> None:
        for cell in book.worksheets[0][3]:
            cell.font = Font(strike=True)

    head = [*HEAD, "Remarks"]
    rows = [
        [*BODY[0], None],
        [*BODY[1], None],
        ["LG-103", *BODY[1][1:], "Deleted in rev. 3"],
        ["LG-104", *BODY[1][1:], "OK"],
    ]
    book = read([head, *rows], change=strike)
    assert tags(book) == ["LG-101", "LG-104"]
    assert book.skipped == {"struck through": 1, "deleted": 1}


def test_transmitters_and_switches_in_rows_of_their_own(read: Reader) -> None:
    head = [*HEAD, "LRV (mm)", "URV (mm)", "Set point (mm)", "Serial No."]
    rows = [
        [*BODY[0], None, None, None, "S-1"],
        ["LT-101", "Feed drum", "Propane", None, None, None, 0, 1000, None, "S-9"],
        ["LSH-101", "Feed drum", "Propane", None, None, None, None, None, 850, None],
        ["LSL-101", "Feed drum", "Propane", None, None, None, None, None, 150, None],
        ["LT-777", "Sump", "Water", None, None, None, 0, 500, None, None],
    ]
    book = read([head, *rows])
    assert tags(book) == ["LG-101"]
    assert si(book, "lrv") == [0]
    assert si(book, "urv") == [1]
    assert si(book, "switch_lsh") == [0.85]
    assert si(book, "switch_lsl") == [0.15]
    assert column(book, "switch_lsh").address(0) == "I4"
    assert column(book, "transmitter_tag").text[0] == "LT-101"
    assert column(book, "serial").text[0] == "S-1"
    assert column(book, "transmitter_serial").text[0] == "S-9"
    assert book.skipped["other instrument"] == 1


# --- where the data stands -------------------------------------------------------------------------

FLOATS: list[list[Any]] = [
    ["Part No.", "Mass (g)", "OD (mm)", "Length (mm)", "Magnet height (mm)", "Max. pressure (barg)"],
    ["ZF-1", 300, 60, 250, 110, 20],
    ["ZF-2", 320, 60, 260, 120, 20],
]


def test_float_list_in_another_sheet(read: Reader) -> None:
    book = read([HEAD, *BODY], FLOATS)
    assert [table.sheet for table in book.floats] == ["Sheet2"]
    assert list(book.floats[0].columns["float_part"].text) == ["ZF-1", "ZF-2"]
    assert book.floats[0].columns["float_mass"].low.tolist() == [0.3, 0.32]


def test_float_list_below_the_index(read: Reader) -> None:
    book = read([HEAD, *BODY, [], ["Float list"], *FLOATS, ["Notes: all invented"]])
    assert tags(book) == ["LG-101", "LG-102"]
    assert len(book.floats[0]) == 2
    assert book.floats[0].columns["float_mass"].address(0) == "B7"


def test_float_list_in_a_second_workbook(read: Reader, tmp_path: Path) -> None:
    other = openpyxl.Workbook()
    for row in FLOATS:
        other.worksheets[0].append(row)
    other.save(tmp_path / "floats.xlsx")
    book = read([HEAD, *BODY], [FLOATS[0], ["ZF-9", 1, 1, 1, 1, 1]], floats=tmp_path / "floats.xlsx")
    assert list(book.floats[0].columns["float_part"].text) == ["ZF-1", "ZF-2"]
    assert book.floats[0].path.endswith("floats.xlsx")


def test_second_workbook_without_a_float_list(read: Reader, tmp_path: Path) -> None:
    other = openpyxl.Workbook()
    other.worksheets[0].append(["nothing", "here"])
    other.save(tmp_path / "floats.xlsx")
    with pytest.raises(XlfuncsError, match="no float list found"):
        read([HEAD, *BODY], floats=tmp_path / "floats.xlsx")


def test_two_sheets_with_different_data_of_the_same_gauges(read: Reader) -> None:
    process = [["Tag No.", "Fluid", "Density (kg/m3)", "Operating pressure (barg)", "Design pressure (barg)"],
               ["LG-1", "Water", 998, 1, 2], ["LG-2", "Oil", 850, 2, 4]]  # fmt: skip
    mechanical = [["Tag No.", "Float Part No.", "C/C (mm)", "Visible range (mm)", "Chamber material"],
                  ["LG-2", "ZF-2", 900, 800, "316L"], ["LG-1", "ZF-1", 800, 700, "316L"],
                  ["LG-3", "ZF-3", 1, 1, "316L"]]  # fmt: skip
    book = read(process, mechanical)
    first, rest = book.gauges
    assert list(first.columns["tag"].text) == ["LG-1", "LG-2"]
    assert list(first.columns["float_part"].text) == ["ZF-1", "ZF-2"]
    assert first.columns["connection_distance"].address(0) == "C3"
    assert first.columns["connection_distance"].sheet[0] == "Sheet2"
    assert list(rest.columns["tag"].text) == ["LG-3"]


def test_index_in_two_sheets_by_area(read: Reader) -> None:
    book = read([HEAD, *BODY], [HEAD, ["LG-201", *BODY[0][1:]]])
    assert [len(table) for table in book.gauges] == [2, 1]


def test_one_sheet_for_each_gauge(read: Reader) -> None:
    def sheet(tag: str, density: float) -> Rows:
        return [
            ["DATA SHEET"],
            ["1", "Tag No.", tag, None, "Rev.", 1],
            ["2", "Service", "Feed drum"],
            ["PROCESS DATA"],
            ["3", "Fluid", None, "Propane"],
            ["4", "Operating pressure", "barg", 10.5],
            ["5", "Density at operating temp.", density, "kg/m3"],
            [None, "FLOAT"],
            ["6", "Part No.", "ZF-1"],
            ["7", "Mass", 300, "g"],
            ["8", "Visible range", "1000 mm"],
        ]

    book = read(sheet("LG-1", 500), sheet("LG-2", 510))
    assert [str(table.columns["tag"].text[0]) for table in book.gauges] == ["LG-1", "LG-2"]
    second = book.gauges[1]
    assert second.columns["fluid_density"].value[0] == 510
    assert second.columns["fluid_density"].address(0) == "C7"
    assert second.columns["operating_pressure"].value[0] == pytest.approx(1.05e6)
    assert second.columns["float_mass"].value[0] == 0.3
    assert second.columns["visible_range"].value[0] == 1.0


def test_gauges_side_by_side(read: Reader) -> None:
    rows = [
        ["Tag", "", "LG-1", "LG-2", "LG-3"],
        ["Fluid", "", "Water", "Oil", "Amine"],
        ["Density", "kg/m3", 998, 850, 1010],
        ["Operating pressure", "barg", 1, 2, None],
        ["Float part no.", "", "ZF-1", "ZF-2", "ZF-3"],
        ["C/C", "mm", 800, 900, 1000],
    ]
    book = read(rows)
    assert tags(book) == ["LG-1", "LG-2", "LG-3"]
    assert si(book, "fluid_density") == [998, 850, 1010]
    assert column(book, "connection_distance").address(2) == "E6"
    assert column(book, "operating_pressure").state[2] == State.BLANK


def test_value_merged_over_rows_counts_for_each(read: Reader) -> None:
    rows = [
        HEAD,
        BODY[0],
        ["LG-102", "Drum", "Butane", None, "ZF-2", 900],
        ["LG-103", "Drum", "Butane", 570, "ZF-2", 900],
    ]
    book = read(rows, merges=["D2:D3"])
    assert si(book, "fluid_density") == [500, 500, 570]
    assert column(book, "fluid_density").address(1) == "D2"


def test_tag_merged_over_two_rows_is_one_gauge(read: Reader) -> None:
    rows = [HEAD, BODY[0], [None, "second line", None, None, None, 900], BODY[1]]
    book = read(rows, merges=["A2:A3"])
    assert tags(book) == ["LG-101", "LG-102"]


def test_hidden_rows_columns_and_sheets_are_noted(read: Reader) -> None:
    def hide(book: openpyxl.Workbook) -> None:
        sheet = book.worksheets[0]
        sheet.row_dimensions[3].hidden = True
        sheet.column_dimensions["D"].hidden = True
        book.worksheets[1].sheet_state = "hidden"

    book = read([HEAD, *BODY], FLOATS, change=hide)
    assert index(book).hidden.tolist() == [False, True]
    assert index(book).hidden_fields == {"fluid_density"}
    assert book.floats[0].hidden.tolist() == [True, True]


# --- values ----------------------------------------------------------------------------------------


def cells(read: Reader, heading: str, *values: Any) -> Column:
    """The column of one heading with these cells."""
    rows = [[f"LG-{number}", "Water", "ZF-1", value] for number, value in enumerate(values, 1)]
    book = read([[*SHORT, heading], *rows])
    [name] = set(index(book).columns) - {"tag", "fluid", "float_part"}
    return index(book).columns[name]


def test_ranges_and_bounds(read: Reader) -> None:
    found = cells(read, "Density (SG)", "0.82-0.87", ">0.8", "<0.9", 0.85, "0.82 to 0.87")
    low, high = np.round(found.low / 999.016, 4), np.round(found.high / 999.016, 4)
    np.testing.assert_array_equal(low, [0.82, 0.8, np.nan, 0.85, 0.82])
    np.testing.assert_array_equal(high, [0.87, np.nan, 0.9, 0.85, 0.87])
    assert set(found.state) == {State.OK}


def test_numbers_kept_as_text(read: Reader) -> None:
    found = cells(read, "Density (kg/m3)", "850", "850,5", "998 kg/m3", "\u2212", 850)
    assert found.state.tolist() == [State.TEXT_NUMBER] * 3 + [State.PLACEHOLDER, State.OK]
    assert found.low[:3].tolist() == [850, 850.5, 998]


def test_units_in_the_cells_are_no_fault(read: Reader) -> None:
    found = cells(read, "Operating pressure", "10 barg", "145 psig", "11 bara")
    assert found.state.tolist() == [State.OK] * 3
    assert found.value == pytest.approx([1e6, 999739.8, 998675.0], rel=1e-6)
    assert list(found.unit) == ["barg", "psig", "bara"]


@pytest.mark.parametrize(
    "text", ["TBC", "tba", "N/A", "by vendor", "-", "\u2013", "???", "à définir", "entfällt", "HOLD"]
)
def test_placeholders(read: Reader, text: str) -> None:
    found = cells(read, "Density (kg/m3)", text, 850)
    assert found.state.tolist() == [State.PLACEHOLDER, State.OK]
    assert np.isnan(found.low[0])


def test_ambiguous_number_is_not_guessed(read: Reader) -> None:
    found = cells(read, "Scale zero (mm)", "1,500", 1500)
    assert found.state.tolist() == [State.AMBIGUOUS, State.OK]
    assert "1500" in found.problem[0]


def test_a_number_of_which_one_reading_cannot_be_is_the_other(read: Reader) -> None:
    found = cells(read, "C/C (mm)", "1,500", 1500)
    assert found.low.tolist() == [1.5, 1.5]
    assert found.noted[0] == "1.5 mm cannot be"


def test_ditto_marks_on_a_sheet(read: Reader) -> None:
    found = cells(read, "Density (kg/m3)", 850, '"', "do.", "TBC", 900)
    assert found.low.tolist()[:3] == [850] * 3
    assert found.noted == {1: "as D2", 2: "as D2"}


def test_unreadable_text(read: Reader) -> None:
    found = cells(read, "C/C (mm)", "see sketch", 1500)
    assert found.state[0] == State.UNREADABLE
    assert "see sketch" in found.problem[0]


def test_date_that_was_a_range(read: Reader) -> None:
    import datetime

    found = cells(read, "C/C (mm)", datetime.date(2024, 5, 2), 1500)
    assert found.state[0] == State.IMPOSSIBLE
    assert "2024-05-02" in found.problem[0]
    assert "5-2" in found.problem[0]


def test_pressure_without_reference_is_taken_as_gauge_and_said(read: Reader) -> None:
    found = cells(read, "Design pressure (bar)", 16)
    assert found.value[0] == 1.6e6
    assert "bar gauge" in found.assumed[0]


@pytest.mark.parametrize(
    ("numbers", "expected"),
    [((0.8, 1.2, "0.9"), "SG"), ((800, 1200), "kg/m3")],
)
def test_density_without_unit_is_told_where_no_other_fits(
    read: Reader, numbers: tuple[Any, ...], expected: str
) -> None:
    found = cells(read, "Density", *numbers)
    assert set(found.unit) == {expected}


def test_density_without_unit_that_cannot_be_told(read: Reader) -> None:
    rows = [["LG-1", "Water", "ZF-1", 0.9], ["LG-2", "Oil", "ZF-1", 850]]
    book = read([[*SHORT, "Density"], *rows])
    found = column(book, "fluid_density")
    assert found.state.tolist() == [State.AMBIGUOUS] * 2
    assert np.isnan(found.low).all()
    [doubt] = book.doubts
    assert (doubt.kind, doubt.cell, doubt.fields) == ("unit", "D1", ("fluid_density",))


def test_heading_with_several_units_of_density(read: Reader) -> None:
    found = cells(read, "Density (SG or kg/m3)", 0.9, 850, "35 degAPI")
    assert list(found.unit) == ["SG", "kg/m3", "degAPI"]
    assert found.value == pytest.approx([899.1, 850, 848.9], rel=1e-3)


def test_temperature_without_unit_is_a_doubt(read: Reader) -> None:
    rows = [["LG-1", "Water", "ZF-1", 90]]
    book = read([[*SHORT, "Operating temperature"], *rows])
    assert column(book, "operating_temperature").state[0] == State.AMBIGUOUS
    assert [doubt.kind for doubt in book.doubts] == ["unit"]


def test_default_unit_is_noted_as_assumed(read: Reader) -> None:
    book = read([[*SHORT, "C/C"], ["LG-1", "Water", "ZF-1", 800]])
    assert si(book, "connection_distance") == [0.8]
    entry = next(e for e in index(book).recognised if e.field == "connection_distance")
    assert (entry.unit, entry.unit_source) == ("mm", "assumed")


def test_kinematic_viscosity_becomes_dynamic_by_the_density(read: Reader) -> None:
    head = [*SHORT, "Density (kg/m3)", "Viscosity (cSt)"]
    book = read([head, ["LG-1", "Oil", "ZF-1", 900, 10], ["LG-2", "Oil", "ZF-1", None, 10]])
    found = column(book, "viscosity")
    assert found.value[0] == pytest.approx(0.009)
    assert found.state[1] == State.AMBIGUOUS
    assert "density" in found.problem[1]


def test_error_cells_and_formulas_without_a_value(read: Reader) -> None:
    def spoil(book: openpyxl.Workbook) -> None:
        sheet = book.worksheets[0]
        sheet["D2"].value, sheet["D2"].data_type = "#REF!", "e"
        sheet["D3"].value = "=1+2"

    book = read([HEAD, *BODY, ["LG-103", *BODY[0][1:]]], change=spoil)
    found = column(book, "fluid_density")
    assert found.state.tolist() == [State.ERROR, State.NEVER_CALCULATED, State.OK]
    assert found.raw[0] == "#REF!"


def test_centre_distance_written_in_the_range_column(read: Reader) -> None:
    found = read(
        [[*SHORT, "Range"], ["LG-1", "Water", "ZF-1", "C/C 1200 mm"], ["LG-2", "Water", "ZF-1", "1000 mm"]]
    )
    assert column(found, "connection_distance").low[0] == 1.2
    assert column(found, "connection_distance").address(0) == "D2"
    assert column(found, "visible_range").state.tolist() == [State.BLANK, State.OK]


def test_range_with_two_ends(read: Reader) -> None:
    head = [*SHORT, "Visible range (mm)", "Calibrated range (mm)"]
    rows = [["LG-1", "Water", "ZF-1", "100-1100", "150 to 1000"], ["LG-2", "Water", "ZF-1", 900, "0...800"]]
    found = read([head, *rows])
    assert si(found, "visible_range") == [1.0, 0.9]
    assert si(found, "visible_low")[0] == 0.1
    assert column(found, "visible_low").state[1] == State.BLANK
    assert si(found, "lrv") == [0.15, 0]
    assert si(found, "urv") == [1.0, 0.8]


def test_lowest_and_highest_without_a_usual_value(read: Reader) -> None:
    head = [*SHORT, "Operating temperature min (°C)", "Operating temperature max (°C)"]
    found = read([head, ["LG-1", "Water", "ZF-1", 10, 90]])
    assert column(found, "operating_temperature").low[0] == pytest.approx(283.15)
    assert column(found, "operating_temperature").high[0] == pytest.approx(363.15)


def test_pressure_and_temperature_in_one_cell(read: Reader) -> None:
    cells_ = [
        ["LG-1", "Water", "ZF-1", "16/120"],
        ["LG-2", "Water", "ZF-1", "16"],
        ["LG-3", "Water", "ZF-1", "TBC"],
    ]
    found = read([[*SHORT, "Design P/T (barg/°C)"], *cells_])
    assert column(found, "design_pressure").value[0] == 1.6e6
    assert column(found, "design_temperature").value[0] == pytest.approx(393.15)
    assert column(found, "design_pressure").state.tolist() == [State.OK, State.UNREADABLE, State.PLACEHOLDER]


def test_column_without_values_is_left_out(read: Reader) -> None:
    book = read([[*HEAD, "Viscosity (cP)"], *BODY])
    assert "viscosity" not in index(book).columns


# --- finer points of tags and types ------------------------------------------------------------------


def test_tags_with_footnotes_and_other_dashes(read: Reader) -> None:
    rows = [
        ["LG\u2013101*", *BODY[0][1:]],
        ["LG-102 (2)", *BODY[0][1:]],
        ["LG\u2011103 Note 3", *BODY[0][1:]],
    ]
    assert tags(read([HEAD, *rows])) == ["LG-101", "LG-102", "LG-103"]


def test_glass_lined_vessel_is_no_level_glass(read: Reader) -> None:
    head = ["Tag No.", "Service", "Fluid", "Density (kg/m3)", "C/C (mm)", "Remarks"]
    rows = [
        ["LG-1", "Glass-lined reactor", "Acid", 1100, 900, None],
        ["LG-2", "Drum", "Acid", 1100, 900, "Reflex type"],
    ]
    book = read([head, *rows])
    assert tags(book) == ["LG-1"]
    assert book.skipped == {"level glass without float": 1}


def test_list_of_level_glasses_told_by_its_title(read: Reader) -> None:
    head = ["Tag No.", "Service", "Fluid", "Density (kg/m3)", "C/C (mm)"]
    rows = [["LG-11", "Drum", "Water", 998, 600], ["LG-12", "Drum", "Water", 998, 600]]
    book = read([HEAD, *BODY], [["Level glasses, unit 0"], head, *rows])
    assert [list(table.columns["tag"].text) for table in book.gauges if len(table)] == [["LG-101", "LG-102"]]
    assert book.skipped == {"level glass without float": 2}


def test_high_pressure_level_gauge_is_one(read: Reader) -> None:
    head = ["Tag No.", "Type", "Fluid", "Density (kg/m3)", "C/C (mm)"]
    rows = [
        ["LG-1", "High pressure level gauge", "Water", 998, 600],
        ["LG-2", "Radar level gauge", "Water", 998, 600],
        ["PI-3", "Pressure gauge", "Water", 998, None],
    ]
    assert tags(read([head, *rows])) == ["LG-1"]


def test_gauges_without_usual_letters_are_kept(read: Reader) -> None:
    rows = [["GAUGE-7", *BODY[0][1:]], ["1201", *BODY[0][1:]], [1202, *BODY[1][1:]]]
    assert tags(read([HEAD, *rows])) == ["GAUGE-7", "1201", "1202"]


VESSELS = [
    [
        "Equipment tag",
        "Service",
        "Fluid",
        "Design pressure (barg)",
        "Design temperature (°C)",
        "Operating pressure (barg)",
    ],
    ["V-101", "Feed drum", "Propane", 18, 80, 10],
    ["V-102", "Reflux drum", "Butane", 18, 80, 8],
]


def test_list_of_vessels_is_not_audited(read: Reader) -> None:
    book = read([HEAD, *BODY], VESSELS)
    assert sum(len(table) for table in book.gauges) == 2
    assert book.skipped == {"other instrument": 2}
    with pytest.raises(XlfuncsError, match="no float level gauge found in 'Sheet1'"):
        read(VESSELS)


def test_index_that_names_no_gauge_letters_but_its_title_does(read: Reader) -> None:
    head = ["Tag No.", "Fluid", "Density (kg/m3)", "Design pressure (barg)", "Operating pressure (barg)"]
    book = read([["Level gauges of unit 0"], head, ["GAUGE-7", "Water", 998, 10, 5]])
    assert tags(book) == ["GAUGE-7"]


def test_transmitter_of_another_kind_is_not_the_gauges_own(read: Reader) -> None:
    head = [*HEAD, "Instrument type", "LRV (mm)", "URV (mm)"]
    rows = [
        [*BODY[0], "Magnetic level gauge", None, None],
        ["LT-101", "Feed drum", "Propane", None, None, None, "Radar transmitter", 0, 3000],
        [*BODY[1], "Magnetic level gauge", None, None],
        ["LT-102", "Reflux drum", "Butane", None, None, None, "Magnetostrictive transmitter", 0, 900],
    ]
    book = read([head, *rows])
    assert column(book, "urv").state.tolist() == [State.BLANK, State.OK]
    assert si(book, "urv")[1] == 0.9


# --- headings that are nearly another's -----------------------------------------------------------

SIZES = ["Tag", "Fluid", "Density kg/m3", "Float mass g", "Float diameter mm"]
FLOAT_ROW = ["LG-101", "Water", 998, 300, 50]


@pytest.mark.parametrize(
    "heading",
    [
        "FLOAT STRAIGHT LENGTH, MM", "Float cylindrical length (mm)", "Float length without ends [mm]",
        "Float T/T length mm", "Float length, without heads, mm", "Float length w/o ends (mm)",
        "Schwimmer zylindrische Länge (mm)", "Longueur droite du flotteur (mm)",
        "Longitud cilíndrica del flotador (mm)", "Comprimento do flutuador sem fundos (mm)",
        "Lunghezza galleggiante senza fondi (mm)",
    ],
)  # fmt: skip
@pytest.mark.parametrize(
    ("ends", "length"),
    [("flat", 0.2), ("hemispherical", 0.25), ("2:1 elliptical", 0.225), ("Halbkugel", 0.25)],
)
def test_length_without_ends_gets_them(read: Reader, heading: str, ends: str, length: float) -> None:
    """Depth of both ends: none, one diameter, or half of it (geometry of hemisphere and 2:1 ellipsoid)."""
    book = read([[*SIZES, heading, "Float ends"], [*FLOAT_ROW, 200, ends]])
    assert si(book, "float_length") == [length]
    assert column(book, "float_length").address(0) == "F2"
    assert not book.doubts


@pytest.mark.parametrize(
    ("head", "row"),
    [
        ([*SIZES, "Float straight length mm"], [*FLOAT_ROW, 200]),
        ([*SIZES, "Float straight length mm", "Float ends"], [*FLOAT_ROW, 200, "conical"]),
        (
            [*SIZES[:4], "Float straight length mm", "Float ends"],
            [*FLOAT_ROW[:4], 200, "hemispherical"],
        ),
    ],
)
def test_length_without_known_ends_is_not_the_length(
    read: Reader, head: list[str], row: list[int | str]
) -> None:
    book = read([head, row])
    assert not column(book, "float_length").given.any()
    assert [doubt.cell for doubt in book.doubts] == [f"{'F' if 'Float diameter mm' in head else 'E'}1"]
    assert "length without the ends" in book.doubts[0].text


def test_length_over_all_needs_no_ends(read: Reader) -> None:
    book = read([[*SIZES, "Float length mm", "Float straight length mm"], [*FLOAT_ROW, 260, 200]])
    assert si(book, "float_length") == [0.26]


@pytest.mark.parametrize(
    "heading", ["Zylindrische Länge", "T/T length", "Longueur droite", "Length without ends"]
)
def test_length_without_ends_in_a_float_list(read: Reader, heading: str) -> None:
    book = read(
        [SHORT, ["LG-101", "Water", "ZF-1"]],
        [["Part no.", "Mass g", "Diameter mm", f"{heading} (mm)", "Ends"], ["ZF-1", 300, 50, 200, "hemi"]],
    )
    assert book.floats[0].columns["float_length"].value.tolist() == pytest.approx([0.25])


@pytest.mark.parametrize(
    "heading",
    [
        "MAGNET FROM TOP, MM", "Magnet height (from top) mm", "Magnet position from top of float (mm)",
        "Magnethöhe von oben (mm)", "Hauteur de l'aimant depuis le haut (mm)",
    ],
)  # fmt: skip
def test_magnet_measured_from_the_top(read: Reader, heading: str) -> None:
    book = read([[*SIZES, "Float length mm", heading], [*FLOAT_ROW, 250, 60]])
    assert si(book, "magnet_height") == [0.19]
    alone = read([[*SIZES, heading], [*FLOAT_ROW, 60]])
    assert not column(alone, "magnet_height").given.any()
    assert "from the float's top" in alone.doubts[0].text


def test_straight_length_and_magnet_from_the_top(read: Reader) -> None:
    head = [*SIZES, "Magnet from top mm", "Float straight length mm", "Float ends"]
    book = read([head, [*FLOAT_ROW, 60, 200, "hemispherical"]])
    assert si(book, "magnet_height") == [0.19]


@pytest.mark.parametrize(
    "heading",
    [
        "Float radius mm", "Chamber inside radius mm", "Chamber bore clearance mm", "Float to chamber gap mm",
        "Float weight in liquid (g)", "Float weight in water g", "Submerged float weight g",
        "Schwimmergewicht in Wasser g", "Float diameter tolerance mm", "Float tube length mm",
        "Density difference kg/m3", "Float wall thickness tolerance mm",
    ],
)  # fmt: skip
def test_what_is_nearly_a_field_is_not_taken_for_it(read: Reader, heading: str) -> None:
    book = read([[*HEAD, heading], [*BODY[0], 25]])
    assert set(index(book).columns) == {
        "tag", "service", "fluid", "fluid_density", "float_part", "connection_distance",
    }  # fmt: skip
    assert heading in [found.heading for found in index(book).unrecognised]


@pytest.mark.parametrize("heading", ["Enden", "Böden", "Kopfform"])
def test_ends_below_a_group(read: Reader, heading: str) -> None:
    head = [
        ["Messstelle", "Medium", "Mittenabstand mm", "Schwimmer", None, None],
        [None, None, None, "Masse g", "Länge mm", heading],
    ]
    book = read([*head, ["LG-101", "Wasser", 900, 300, 250, "Halbkugel"]], merges=["D1:F1"])
    assert column(book, "float_ends").text.tolist() == ["Halbkugel"]


def test_bare_unit_behind_a_heading(read: Reader) -> None:
    head = ["Kennzeichen", "Medium", "Schwimmergewicht g", "OPER TEMP F", "Chamber bore mm"]
    book = read([head, ["LG-101", "Wasser", 300, 212, 60]])
    assert si(book, "float_mass") == [0.3]
    assert si(book, "operating_temperature") == [373.15]


def test_two_densities_in_one_cell(read: Reader) -> None:
    head = ["Tag", "Fluid", "Density (kg/m3) min/max", "C/C mm"]
    density = column(read([head, ["LG-101", "Oil", "770/792", 900]]), "fluid_density")
    assert (density.low.tolist(), density.high.tolist()) == ([770.0], [792.0])


@pytest.mark.parametrize("other", ["Density kg/m3", "Oper. dens. kg/m3", "Liquid density at T kg/m3"])
@pytest.mark.parametrize("first", [True, False])
def test_density_at_operating_conditions_goes_before_that_at_a_standard_temperature(
    read: Reader, other: str, first: bool
) -> None:
    for standard, number in (
        ("API gravity", 35),
        ("Density at 15 °C kg/m3", 850),
        ("Density @ 60F kg/m3", 850),
    ):
        pairs = [(standard, number), (other, 800)][:: 1 if first else -1]
        book = read(
            [["Tag", "Fluid", *(p[0] for p in pairs), "C/C mm"], ["LG-1", "Oil", *(p[1] for p in pairs), 900]]
        )
        assert si(book, "fluid_density") == [800]


def test_api_gravity_beside_lowest_and_highest_density(read: Reader) -> None:
    head = ["Tag", "Fluid", "API gravity", "Density min kg/m3", "Density max kg/m3", "C/C mm"]
    book = read([head, ["LG-1", "Oil", 35, 780, 800, 900]])
    assert "fluid_density" not in index(book).columns
    assert si(book, "fluid_density_min") == [780]


@pytest.mark.parametrize(
    ("heading", "pascal"),
    [
        ("Betriebsüberdruck (bar)", 5e5),
        ("Betriebsdruck absolut (bar)", 5e5 - 101325),
        ("Operating pressure abs. (bar)", 5e5 - 101325),
        ("Zul. Betriebsüberdruck (bar)", 5e5),
    ],
)
def test_pressure_that_its_heading_calls_gauge_or_absolute(read: Reader, heading: str, pascal: float) -> None:
    name = "design_pressure" if heading.startswith("Zul") else "operating_pressure"
    pressure = column(read([["Tag", "Medium", heading, "C/C mm"], ["LG-1", "Wasser", 5, 900]]), name)
    assert pressure.value.tolist() == pytest.approx([pascal])
    assert not pressure.assumed


# --- headings that are understood by their neighbours ---------------------------------------------


def test_set_points_by_letters(read: Reader) -> None:
    head = ["Tag", "Visible range mm", "LL", "L", "H", "HH", "LRV mm"]
    book = read([head, ["LG-1", 1500, 150, 300, 1200, 1350, 0]])
    assert [si(book, f"switch_{name}") for name in ("lsll", "lsl", "lsh", "lshh")] == [
        [0.15], [0.3], [1.2], [1.35],
    ]  # fmt: skip
    grouped = [
        ["Tag", "Transmitter", None, "Alarm", None, None, None],
        [None, "LRV mm", "URV mm", "LL", "L", "H", "HH"],
    ]
    book = read([*grouped, ["LG-1", 0, 1500, 150, 300, 1200, 1350]], merges=["B1:C1", "D1:G1"])
    assert si(book, "switch_lshh") == [1.35]


@pytest.mark.parametrize(
    ("head", "row"),
    [
        (["LL", "L", "H", "HH"], [10, 20, 80, 90]),  # per cent, it seems
        (["B", "L", "H", "W"], [150, 300, 1200, 1350]),
    ],
)
def test_letters_that_are_no_set_points(read: Reader, head: list[str], row: list[int]) -> None:
    book = read([["Tag", "Visible range mm", *head, "LRV mm"], ["LG-1", 1500, *row, 0]])
    assert not [name for name in index(book).columns if name.startswith("switch")]


def test_set_points_in_per_cent_of_the_visible_range(read: Reader) -> None:
    head = ["Tag", "Visible range mm", "LL %", "L %", "H %", "HH %", "LRV mm"]
    book = read([head, ["LG-1", 1500, 10, 20, 80, 90, 0]])
    assert [si(book, f"switch_{name}") for name in ("lsll", "lsl", "lsh", "lshh")] == [
        [0.15], [0.3], [1.2], [1.35],
    ]  # fmt: skip


def test_oil_and_water(read: Reader) -> None:
    head = ["Tag", "Oil density kg/m3", "Water density kg/m3", "C/C mm"]
    book = read([head, ["LG-1", 850, 1005, 900]])
    assert (si(book, "upper_density"), si(book, "fluid_density")) == ([850], [1005])
    alone = read([["Tag", "Oil density kg/m3", "Visible range mm", "C/C mm"], ["LG-1", 850, 900, 900]])
    assert {"upper_density", "fluid_density"}.isdisjoint(index(alone).columns)


def test_float_list_with_letters(read: Reader) -> None:
    listed = [
        ["Nr.", "Gewicht", "D", "L", "Form", "PN", "Tmax"],
        [None, "kg", "mm", "mm", None, "bar", "°C"],
        ["T-1", 0.31, 50, 230, "eben", 16, 150],
        ["T-2", 0.36, 50, 230, "Halbkugel", 16, 150],
    ]
    book = read([SHORT, ["LG-101", "Water", "T-1"]], listed)
    floats = book.floats[0].columns
    assert floats["float_part"].text.tolist() == ["T-1", "T-2"]
    assert floats["float_diameter"].value.tolist() == [0.05, 0.05]
    assert floats["float_length"].value.tolist() == [0.23, 0.23]
    assert floats["float_ends"].text.tolist() == ["eben", "Halbkugel"]
    assert floats["float_max_temperature"].value.tolist() == pytest.approx([423.15, 423.15])


def test_counted_float_list_has_its_part_elsewhere(read: Reader) -> None:
    listed = [["No.", "Float", "Mass g", "D", "L"], [1, "T-1", 310, 50, 230], [2, "T-2", 360, 50, 230]]
    book = read([SHORT, ["LG-101", "Water", "T-1"]], listed)
    assert book.floats[0].columns["float_part"].text.tolist() == ["T-1", "T-2"]


@pytest.mark.parametrize("tagged", [["LG-51", "LG-52"], ["LG-51"]])
def test_fields_down_and_tags_as_headings(read: Reader, tagged: list[str]) -> None:
    n = len(tagged)
    rows = [
        ["Data", "Unit", *tagged],
        ["Fluid", None, *["Water", "Ammonia"][:n]],
        ["Operating density", "kg/m³", *[958.4, 595][:n]],
        ["Float mass", "g", *[320, 200][:n]],
        ["Float diameter", "mm", *[52, 52][:n]],
        ["Float length", "mm", *[260, 300][:n]],
    ]
    book = read(rows)
    assert tags(book) == tagged
    assert [column(book, "tag").address(i) for i in range(n)] == ["C1", "D1"][:n]
    assert si(book, "fluid_density") == [958.4, 595][:n]
    assert column(book, "float_mass").address(n - 1) == ["C4", "D4"][n - 1]
