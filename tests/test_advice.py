"""The advice of a refusal, and of a report, followed to the letter.

Each list below has headings that nobody could know. A person who knows what its columns are follows the
option that the refusal names, with the right field in it, until the audit runs.
"""

from __future__ import annotations

import json
import re
import shlex
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

from tests.rows import save
from xlfuncs.cli import main
from xlfuncs.errors import XlfuncsError
from xlfuncs.lists.reader import read_book
from xlfuncs.lists.reading import open_columns


def options_in(text: str) -> list[str]:
    """The arguments of the options that a message names, as a shell would hand them over."""
    found = []
    for start in re.finditer("--map ", text):
        words = shlex.shlex(text[start.end() :], posix=True, punctuation_chars="")
        words.whitespace_split, words.commenters = True, ""
        found.append((words.get_token() or "").rstrip(",;:.)"))
    return found


@dataclass
class Strange:
    """A list whose headings tell nothing, and what a person knows of it."""

    sheets: Mapping[str, Sequence[Sequence[Any]]]
    known: dict[str, str]
    """Cell of a heading -> its field."""
    gauges: int = 3
    sheet: str = ""
    suffix: str = ".xlsx"
    needed: set[str] = field(default_factory=set)
    """Fields without which nothing can be audited."""


def _rows(*columns: Sequence[Any]) -> list[list[Any]]:
    return [list(row) for row in zip(*columns, strict=True)]


TAGS = ["LG-101", "LG-102", "LG-103"]
DENSITY = [850, 870, 900]
THREE = ["Kappa", "Zuber", "Omicron"]
LISTS: dict[str, Strange] = {
    "headings in the first row": Strange(
        {"Sheet1": [THREE, *_rows(TAGS, ["a", "b", "c"], DENSITY)]},
        {"A1": "tag", "C1": "fluid_density"},
    ),
    "below a title, on a sheet whose name has blanks": Strange(
        {
            "Cover": [["Some plant"], ["Revision", 3]],
            "Tab 2 (new)": [
                ["Some list of a plant"], [], ["Quux", "Blorp", "Wibble"],
                *_rows([7, 8, 9], TAGS, [900, 950, 800]),
            ],
        },
        {"B3": "tag", "C3": "visible_range"},
    ),
    "words of no language": Strange(
        {"Blatt": [["Ωξ", "Ψφ", "Ξχ"], *_rows(TAGS, ["Water", "Water", "Water"], [998, 997, 996])]},
        {"A1": "tag", "B1": "fluid", "C1": "fluid_density"},
    ),
    "a text file": Strange(
        {"": [["k1", "k2", "k3"], *_rows(TAGS, ["x", "y", "z"], [850, 870, 900])]},
        {"A1": "tag", "C1": "fluid_density"},
        suffix=".csv",
    ),
    "labels beside values": Strange(
        {
            "P7": [
                ["Quark", "LG-7"], ["Snark", "Water"], ["Boojum", 998], ["Bander", 900], ["Jub", "n"],
                ["Tove", "x"],
            ]
        },
        {"A1": "tag", "A2": "fluid", "A3": "fluid_density", "A4": "visible_range"},
        gauges=1,
    ),
    "a sheet whose name a shell would act on": Strange(
        {"Bob's list! $1": [THREE, *_rows(TAGS, ["a", "b", "c"], DENSITY)]},
        {"A1": "tag", "C1": "fluid_density"},
    ),
    "beside a float list that is understood": Strange(
        {
            "Floats": [["Float part no.", "Mass g", "Diameter mm", "Length mm"], ["ZF-1", 300, 50, 250]],
            "Main": [["Mimsy", "Borogove", "Rath"], *_rows(TAGS, ["ZF-1"] * 3, [850, 870, 900])],
        },
        {"A1": "tag", "B1": "float_part", "C1": "fluid_density"},
    ),
    "tags that no gauge has": Strange(
        {"Sheet1": [THREE, *_rows(["XQ-1", "XQ-2", "XQ-3"], ["ZF-1"] * 3, DENSITY)]},
        {"A1": "tag", "B1": "float_part", "C1": "fluid_density"},
    ),
    "two heading rows": Strange(
        {
            "Sheet1": [
                ["Alfa", None, "Bravo", None],
                [*THREE, "Pi"],
                *_rows(TAGS, ["a", "b", "c"], DENSITY, [1, 1, 1]),
            ]
        },
        {"A2": "tag", "C2": "fluid_density"},
    ),
    "numbers for headings beside words": Strange(
        {"Sheet1": [["Kappa", 4711, "Omicron"], *_rows(TAGS, ["a", "b", "c"], [850, 870, 900])]},
        {"A1": "tag", "C1": "fluid_density"},
    ),
    "letters for headings": Strange(
        {"Sheet1": [["C", "A", "B"], *_rows(TAGS, ["a", "b", "c"], [850, 870, 900])]},
        {"A1": "tag", "C1": "fluid_density"},
    ),
    "three sheets, two of which are no lists": Strange(
        {
            "Notes": [["Remarks to the list", "by hand"], ["keep", "dry"], ["do not", "bend"]],
            "Data": [
                ["Snork", "Fribble", "Glorp", "Zork"],
                *_rows(TAGS, ["a", "b", "c"], DENSITY, [120, 130, 140]),
            ],
            "Other": [["Name", "Phone"], ["A", 1], ["B", 2]],
        },
        {"A1": "tag", "C1": "fluid_density", "D1": "design_temperature"},
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", LISTS)
def test_a_refusal_leads_to_an_audit(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    strange = LISTS[name]
    path = save(tmp_path / f"list{strange.suffix}", strange.sheets)
    said: list[str] = []
    for _ in range(len(strange.known) + 1):
        status = main(["audit", str(path), "--format", "json", *(a for one in said for a in ("--map", one))])
        told = capsys.readouterr()
        if status != 2:
            break
        line = told.err
        assert line.count("\n") == 1, line
        assert "no errors" not in told.out
        said.append(_corrected(line, strange, said))
    assert len(said) <= len(strange.known), said
    result = json.loads(told.out)
    assert result["rows_audited"] == strange.gauges
    [columns] = [fields for fields in result["columns"].values() if "tag" in fields]
    for one in said:
        assert one.partition("=")[0] in columns


def _corrected(line: str, strange: Strange, said: Sequence[str]) -> str:
    """The first option of a message, with the field that a person knows its column to be."""
    options = options_in(line)
    assert options, line
    places = {one.partition("=")[2] for one in said}
    for option in options:
        _, _, place = option.partition("=")
        cell = place.rpartition(":")[2]
        if place in places:
            continue
        for heading, name in strange.known.items():
            if cell in (heading, heading.rstrip("0123456789")):
                return f"{name}={place}"
    cells = [heading for heading in strange.known if re.search(rf"\b{heading} '", line)]
    left = [heading for heading in cells if not any(one.endswith(f":{heading}") for one in said)]
    assert left, line  # the column that the person needs is named in the message
    sheet, mark, _ = options[0].partition("=")[2].rpartition(":")
    return f"{strange.known[left[0]]}={sheet}{mark}{left[0]}"


def test_a_float_list_is_refused_with_an_option_that_works(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rows: list[list[Any]] = [
        ["Kappa", "Zuber", "Omicron", "Pi"],
        ["ZF-1", 300, 50, 250],
        ["ZF-2", 320, 50, 260],
    ]
    path = save(tmp_path / "floats.xlsx", {"Sheet1": rows})
    known = Strange(
        {}, {"A1": "float_part", "B1": "float_mass", "C1": "float_diameter", "D1": "float_length"}
    )
    said: list[str] = []
    for _ in range(5):
        arguments = ["choose", str(path), "--density", "900"]
        status = main([*arguments, *(a for one in said for a in ("--map", one))])
        told = capsys.readouterr()
        if status != 2:
            break
        said.append(_corrected(told.err, known, said))
    assert 1 <= len(said) <= 4
    assert "2 floats fit" in told.out


# --- the options of a report --------------------------------------------------------------------------

HEAD: list[Any] = ["Tag", "Fluid", "Density (kg/m3)", "DP (barg)", "C/C (mm)", "Qty"]
BODY: list[list[Any]] = [["LG-101", "Water", 998, 16, 900, 120], ["LG-102", "Water", 990, 16, 950, 120]]


def audit(path: Path, capsys: pytest.CaptureFixture[str], *arguments: str) -> dict[str, Any]:
    main(["audit", str(path), "--format", "json", *arguments])
    told: dict[str, Any] = json.loads(capsys.readouterr().out)
    return told


def _in_doubt(path: Path, capsys: pytest.CaptureFixture[str]) -> list[dict[str, Any]]:
    return [one for one in audit(path, capsys)["reading"]["open"] if one["what"] == "doubt"]


@pytest.mark.parametrize("sheets", [["Index"], ["LI Index", "Other index"], ["A!b", "Index"]])
def test_each_option_of_a_column_in_doubt_settles_it(
    sheets: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    content: dict[str, Any] = {sheets[0]: [HEAD, *BODY]}
    for number, name in enumerate(sheets[1:], 2):
        other = [
            "Tag",
            "Service",
            "Operating temperature (°C)",
            "Pressure (barg)",
            "Float part no.",
            "Pour point °C",
        ]
        content[name] = [other, [f"LG-{number}01", "Drum", 60, 12, "ZF-1", 5]]
    path = save(tmp_path / "a.xlsx", content)
    [column] = [one for one in _in_doubt(path, capsys) if one["sheet"] == sheets[0]]
    assert column["heading"] == "DP (barg)"
    assert column["gauges"] == 2
    assert len(column["options"]) > 1
    for option in column["options"]:
        [said] = options_in(option)
        after = audit(path, capsys, "--map", said)
        name = said.partition("=")[0]
        if name != "none":
            assert after["columns"][sheets[0]][name] == column["column"]
            assert all(name not in fields for sheet, fields in after["columns"].items() if sheet != sheets[0])
        left = [one for one in after["reading"]["open"] if one["what"] == "doubt"]
        assert sheets[0] not in [one["sheet"] for one in left]


def test_an_option_with_a_unit_settles_a_unit(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    head = ["Tag", "Fluid", "Operating temperature", "C/C (mm)"]
    path = save(
        tmp_path / "a.xlsx", {"Index": [head, ["LG-101", "Water", 60, 900], ["LG-102", "Water", 61, 900]]}
    )
    [column] = [one for one in audit(path, capsys)["reading"]["open"] if one["what"] == "unit"]
    assert [options_in(one)[0] for one in column["options"]] == [
        "operating_temperature=C [degC]", "operating_temperature=C [degF]",
    ]  # fmt: skip
    after = audit(path, capsys, "--map", "operating_temperature=C [degF]")
    assert after["units"]["Index"]["operating_temperature"] == "degF"
    assert not [one for one in after["reading"]["open"] if one["what"] == "unit"]


def test_the_options_of_repeated_lists_on_one_sheet_name_the_row(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    floats: list[list[Any]] = [
        ["Float part no.", "Mass g", "Diameter mm", "Length mm", "Magnet height mm"],
        ["ZF-1", 300, 50, 250, 180],
    ]
    path = save(tmp_path / "a.xlsx", {"Index": [HEAD, *BODY, [], ["Floats"], *floats]})
    [column] = _in_doubt(path, capsys)
    [said, *_] = [options_in(one)[0] for one in column["options"]]
    assert said == "design_pressure=Index:D1"
    assert audit(path, capsys, "--map", said)["columns"]["Index"]["design_pressure"] == "D"


def test_a_heading_that_is_a_letter_does_not_mislead_an_option(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rows: list[list[Any]] = [[*HEAD, "D"], *([*row, 5] for row in BODY)]
    path = save(tmp_path / "a.xlsx", {"Index": rows})
    [column] = _in_doubt(path, capsys)
    [said, *_] = [options_in(one)[0] for one in column["options"]]
    assert audit(path, capsys, "--map", said)["columns"]["Index"]["design_pressure"] == "D"


# --- what cannot be meant, or could be meant twice ----------------------------------------------------

TWO: dict[str, Any] = {
    "Unit 100": [
        ["Tag", "Fluid", "Spec wt", "C/C mm"], ["LG-101", "Water", 998, 900], ["LG-102", "Water", 998, 900],
    ],
    "Process": [["Tag", "Temp °C", "Spec wt", "Pressure psig", "Viscosity cP"], ["LG-201", 60, 0.9, 100, 1]],
}  # fmt: skip


@pytest.mark.parametrize("where", ["C", "Spec wt", "spec  WT"])
def test_what_could_mean_two_sheets_is_asked_back_with_options_that_work(where: str, tmp_path: Path) -> None:
    path = save(tmp_path / "a.xlsx", TWO)
    with pytest.raises(XlfuncsError) as refused:
        read_book(path, mapping={"upper_density": where})
    line = str(refused.value)
    assert "'Unit 100'" in line and "'Process'" in line
    _, first, second, both = options_in(line)  # the first is what was said
    for option, sheets in ((first, {"Unit 100"}), (second, {"Process"}), (both, {"Unit 100", "Process"})):
        name, _, place = option.partition("=")
        book = read_book(path, mapping=[(name, place)])
        taken = {f.sheet for table in book.gauges for f in table.recognised if f.field == "upper_density"}
        assert taken == sheets, option


def test_one_field_on_two_sheets_by_two_options(tmp_path: Path) -> None:
    path = save(tmp_path / "a.xlsx", TWO)
    book = read_book(path, mapping=[("upper_density", "Unit 100!C"), ("upper_density", "'Process'!$C$1")])
    assert {f.sheet for table in book.gauges for f in table.recognised if f.field == "upper_density"} == set(
        TWO
    )


def test_a_list_that_goes_on_in_another_sheet_is_one(tmp_path: Path) -> None:
    rows = TWO["Unit 100"]
    other = [rows[0], ["LG-301", "Water", 998, 900]]
    path = save(tmp_path / "a.xlsx", {"Unit 100": rows, "Unit 300": other})
    book = read_book(path, mapping={"upper_density": "Spec wt"})
    assert {f.sheet for table in book.gauges for f in table.recognised if f.field == "upper_density"} == {
        "Unit 100", "Unit 300",
    }  # fmt: skip


def test_a_letter_applies_to_the_only_list_of_its_kind(tmp_path: Path) -> None:
    floats: list[list[Any]] = [
        ["Float part no.", "Mass g", "Diameter mm", "Length mm"],
        ["ZF-1", 300, 50, 250],
    ]
    path = save(tmp_path / "a.xlsx", {"Index": TWO["Unit 100"], "Floats": floats})
    book = read_book(path, mapping={"upper_density": "C"})
    assert "upper_density" in book.gauges[0].columns
    with pytest.raises(XlfuncsError, match=r"could mean 'Index' column C .* or 'Floats' column C"):
        read_book(path, mapping={"float_diameter": "C"})


def test_two_workbooks_whose_sheets_have_one_name(tmp_path: Path) -> None:
    head = ["Float part no.", "Mass g", "Diameter mm", "Length mm", "Zeta"]
    floats = save(
        tmp_path / "list.xlsx", {"Index": [head, ["ZF-1", 300, 50, 250, 7], ["ZF-2", 310, 50, 250, 9]]}
    )
    rows: list[list[Any]] = [
        ["Tag", "Fluid", "Density (kg/m3)", "C/C mm", "Zeta"],
        ["LG-101", "Water", 998, 900, 3],
    ]
    path = save(tmp_path / "index.xlsx", {"Index": rows})
    with pytest.raises(XlfuncsError) as refused:
        read_book(path, floats=floats, mapping={"float_wall": "Zeta"})
    first, second = (one.split("=", 1)[1] for one in options_in(str(refused.value))[1:3])
    assert (first, second) == ("[index.xlsx]Index:E", "[list.xlsx]Index:E")
    for place, number in ((first, 0), (second, 1)):
        book = read_book(path, floats=floats, mapping={"float_wall": place})
        assert ["float_wall" in table.columns for table in (*book.gauges, *book.floats)] == [
            number == 0,
            number == 1,
        ]


def test_columns_are_left_alone(tmp_path: Path) -> None:
    path = save(tmp_path / "a.xlsx", {"Index": TWO["Unit 100"]})
    assert "fluid_density" in read_book(path).gauges[0].columns
    for said in ({"none": "C"}, {"fluid_density": ""}):
        book = read_book(path, mapping=said)
        assert "fluid_density" not in book.gauges[0].columns
        assert not open_columns(book.read)
        [left] = [column for column in book.read[0].columns if column.letter == "C"]
        assert left.known_as == "left alone, as was said"


def test_an_ignored_column_and_one_without_heading_are_taken(tmp_path: Path) -> None:
    rows: list[list[Any]] = [
        ["Item", "Tag", "Fluid", "C/C mm", None],
        *([i, f"LG-10{i}", "Water", 900, 998] for i in (1, 2, 3)),
    ]
    path = save(tmp_path / "a.xlsx", {"Index": rows})
    book = read_book(path, mapping={"fluid_density": "E", "serial": "Item"})
    columns = book.gauges[0].columns
    assert columns["fluid_density"].low.tolist() == [998] * 3
    assert columns["serial"].text.tolist() == ["1", "2", "3"]


def test_labels_of_a_data_sheet_are_taken_by_text_and_by_cell(tmp_path: Path) -> None:
    rows: list[list[Any]] = [
        ["Tag number", "LG-7"], ["Fluid", "Water"], ["Operating density", "917 kg/m3"], ["Zuber", 12],
        ["Float mass", "310 g"], ["Float diameter", "52 mm"],
    ]  # fmt: skip
    path = save(tmp_path / "a.xlsx", {"Sheet": rows})
    for place in ("Zuber", "A4", "Sheet!A4", "Sheet:Zuber"):
        book = read_book(path, mapping=[("design_pressure", f"{place} [barg]")])
        assert book.gauges[0].columns["design_pressure"].low.tolist() == [12e5], place


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ([("fluid_density", "Nowhere!C")], "there is no sheet 'Nowhere'; there are 'Unit 100', 'Process'"),
        ([("fluid_density", "Spec. wgt")], "there are 'Spec wt'"),
        ([("float_wall", "ZZ")], "no such heading or column"),
        (
            [("upper_density", "Process!C [mm]")],
            "'mm' is no unit of density of the upper fluid or vapour: write kg/m3",
        ),
        ([("service", "Process!C [mm]")], "service is a text and has no unit"),
        ([("none", "")], "write the column after it"),
        ([("fluid_densty", "C")], "did you mean fluid_density"),
        ([("tag", "Process!C"), ("tag", "Process!D")], "names another column of the same list"),
        ([("tag", "Process!C"), ("service", "Process!C")], "names the same column"),
    ],
)
def test_an_option_that_says_nothing_usable_is_refused_in_one_line(
    said: list[tuple[str, str]], told: str, tmp_path: Path
) -> None:
    with pytest.raises(XlfuncsError) as refused:
        read_book(save(tmp_path / "a.xlsx", TWO), mapping=said)
    assert told in str(refused.value)
    assert "\n" not in str(refused.value)


def test_rows_of_a_second_list_that_were_never_tried(tmp_path: Path) -> None:
    rows: list[list[Any]] = [
        HEAD,
        *BODY,
        [],
        ["Kappa", "Zuber", "Omicron"],
        *_rows(["LG-201", "LG-202"], ["a", "b"], [850, 870]),
    ]
    path = save(tmp_path / "a.xlsx", {"Index": rows})
    before = read_book(path)
    book = read_book(path, mapping=[("tag", "Index!A5"), ("fluid_density", "Index!C5")])
    assert sum(map(len, before.gauges)) != 4 or len(before.read) == 1
    assert [one.headings for one in book.read] == [(1,), (5,)]
    assert [table.columns["tag"].text.tolist() for table in book.gauges] == [
        ["LG-101", "LG-102"],
        ["LG-201", "LG-202"],
    ]


# --- nothing audited is never 'no errors' -------------------------------------------------------------

PUMPS: list[list[Any]] = [
    ["Tag", "Service", "Design pressure (barg)", "Design temp. (°C)"],
    ["P-101", "Pump", 16, 120],
    ["P-102", "Pump", 16, 120],
]


@pytest.mark.parametrize("suffix", [".xlsx", ".csv"])
@pytest.mark.parametrize("rows", [PUMPS, LISTS["headings in the first row"].sheets["Sheet1"]])
def test_nothing_audited_is_exit_status_2(
    rows: Any, suffix: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = save(tmp_path / f"a{suffix}", {"Sheet1": rows})
    for form in ("text", "json", "request"):
        assert main(["audit", str(path), "--format", form]) == 2
        told = capsys.readouterr()
        assert "no errors" not in told.out
        assert told.err.count("\n") == 1
        assert str(path) in told.err
    assert [p.name for p in tmp_path.iterdir()] == [path.name]


def test_one_bad_book_among_good_ones(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    good = save(tmp_path / "good.xlsx", {"Index": [HEAD, *BODY]})
    bad = save(tmp_path / "bad.csv", {"": PUMPS})
    for jobs in ("1", "2"):
        assert main(["audit", str(good), str(bad), "--format", "json", "--jobs", jobs]) == 2
        told = capsys.readouterr()
        assert [one["workbook"] for one in json.loads(told.out)["results"]] == ["good.xlsx"]
        assert "bad.csv" in told.err and told.err.count("\n") == 1
        assert "float level gauge" in told.err or "no index" in told.err
