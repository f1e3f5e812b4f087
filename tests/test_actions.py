"""What the menus of the spreadsheet programs do, whatever the program."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from tests.layouts import LAYOUTS, build
from xlfuncs.hosts import actions
from xlfuncs.hosts.actions import Shown
from xlfuncs.hosts.calc.answer import evaluate
from xlfuncs.worksheet import call, catalogue

BOOKS = Path(__file__).parent.parent / "workbooks"
CONTRACTOR = Shown(BOOKS / "contractor_index.xlsx", "contractor_index.xlsx")
INDEX = Shown(BOOKS / "instrument_index.xlsx", "instrument_index.xlsx")


def formulas(path: Path, **cells: Any) -> Shown:
    book = openpyxl.Workbook()
    for cell, value in cells.items():
        book.worksheets[0][cell] = value
    book.save(path)
    return Shown(path, path.name)


@pytest.fixture
def off(tmp_path: Path) -> Path:
    """A small index with a gauge that reads wrong."""
    return build(tmp_path / "off.xlsx", LAYOUTS[0], [{"magnet_height": "210 mm"}]).path


def test_the_audit_gives_an_annotated_copy_and_says_what_was_audited(tmp_path: Path) -> None:
    before = CONTRACTOR.file.read_bytes()
    done = actions.audit(Shown(CONTRACTOR.file, "sent.xlsx", "changed"), tmp_path)
    assert not done.good
    assert "errors" in done.message and "71 gauges read" in done.message
    assert "sent.xlsx as it stands on the screen, with changes that have not been saved" in done.message
    assert (done.title, done.sheet) == ("sent - audited", "Findings")
    book = openpyxl.load_workbook(done.file)
    place: Any = book[done.sheet]["D2"]
    assert place.hyperlink.location.replace("$", "") == place.value
    sheet, cell = place.value.replace("'", "").split("!")
    assert book[sheet][cell].comment is not None
    assert CONTRACTOR.file.read_bytes() == before


def test_a_sheet_named_findings_is_not_taken_for_the_report(off: Path, tmp_path: Path) -> None:
    book = openpyxl.load_workbook(off)
    book.create_sheet("Findings")["A1"] = "of our own"
    book.save(tmp_path / "own.xlsx")
    done = actions.audit(Shown(tmp_path / "own.xlsx", "own.xlsx"), tmp_path)
    assert done.sheet != "Findings"
    assert openpyxl.load_workbook(done.file)[done.sheet]["B1"].value == "Severity"


def test_the_reading_is_a_sheet_to_correct_and_the_corrected_copy_is_obeyed(
    off: Path, tmp_path: Path
) -> None:
    def found(path: Path) -> set[Any]:
        audited = actions.audit(Shown(path, path.name), tmp_path)
        heads, *rows = openpyxl.load_workbook(audited.file)["Findings"].values
        return {row[heads.index("Rule")] for row in rows}

    assert "offset-exceeds-tolerance" in found(off)
    done = actions.reading(Shown(off, off.name), tmp_path)
    assert done.sheet == "Reading"
    book = openpyxl.load_workbook(done.file)
    sheet = book["Reading"]
    row = next(r for r in range(2, sheet.max_row) if str(sheet.cell(r, 4).value).startswith("fluid_density "))
    sheet.cell(row, 4).value = "(not used)"
    book.save(tmp_path / "corrected.xlsx")
    assert "offset-exceeds-tolerance" not in found(tmp_path / "corrected.xlsx")


def test_a_workbook_without_an_index_shows_how_it_was_read(tmp_path: Path) -> None:
    floats = {"file": str(BOOKS / "float_list.xlsx"), "name": "x.xlsx", "state": "saved"}
    done = actions.do({"action": "reading", **floats, "folder": str(tmp_path)})
    assert not done["good"]
    assert done["file"] == ""
    assert "x.xlsx" in done["message"]
    assert "float list" in done["text"] and "float_mass" in done["text"]


def test_a_refusal_names_the_workbook_as_its_user_does(tmp_path: Path) -> None:
    file = tmp_path / "copy" / "Untitled 1.xlsx"
    file.parent.mkdir()
    formulas(file)
    request = {"action": "audit", "file": str(file), "name": "Untitled 1", "state": "unsaved", "folder": "."}
    done = actions.do(request)
    assert done["message"].startswith("Untitled 1 is empty")
    assert not done["good"]


def test_a_pack_has_the_gauges_of_the_selected_rows(tmp_path: Path) -> None:
    done = actions.pack(INDEX, tmp_path, {"Index": [(3, 4), (7, 7)], "Floats": [(2, 9)]})
    index = openpyxl.load_workbook(INDEX.file)["Index"]
    tags = [index.cell(row, 1).value for row in (3, 4, 7)]
    assert openpyxl.load_workbook(done.file).sheetnames == ["Contents", *tags]
    assert done.message.startswith("3 records")


def test_a_pack_of_no_gauge_says_where_the_first_one_is(tmp_path: Path) -> None:
    request = {"action": "pack", "file": str(INDEX.file), "name": INDEX.name, "state": "saved"}
    done = actions.do({**request, "folder": str(tmp_path), "rows": {"Floats": [[2, 3]]}})
    assert "no gauge stands in the selected rows" in done["message"]
    assert "Index row 2" in done["message"]
    assert not done["file"]


def test_kept_results_stand_in_a_copy_that_replaces_nothing(tmp_path: Path) -> None:
    book = formulas(
        tmp_path / "b.xlsx", A1=280, A2="=LG_IMMERSION(A1,50,200,850)", A3="=LG_IMMERSION(A1,50,,850)"
    )
    done = actions.keep(book, tmp_path / "kept.xlsx")
    assert "2 formulas" in done.message and "1 cell a function refuses" in done.message
    assert "Sheet!A3: #N/A" in done.text and "length" in done.text
    kept = openpyxl.load_workbook(tmp_path / "kept.xlsx", data_only=True).worksheets[0]
    assert kept["A2"].value == pytest.approx(call("LG_IMMERSION", 280, 50, 200, 850))
    actions.keep(book, tmp_path / "values.xlsx", values=True)
    values = openpyxl.load_workbook(tmp_path / "values.xlsx").worksheets[0]
    assert values["A2"].value == kept["A2"].value
    again = {"action": "keep", "file": str(book.file), "name": "b.xlsx", "state": "saved"}
    before = (tmp_path / "kept.xlsx").read_bytes()
    refused = actions.do({**again, "output": str(tmp_path / "kept.xlsx")})
    assert "is there already" in refused["message"]
    assert (tmp_path / "kept.xlsx").read_bytes() == before


def test_what_is_not_known_here_is_named_where_there_is_no_calc_to_ask(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XLFUNCS_SOFFICE", str(tmp_path / "none"))
    book = formulas(tmp_path / "b.xlsx", A1='=LG_CONVERT(CELL("width"),"in","mm")')
    done = actions.keep(book, tmp_path / "kept.xlsx")
    assert not done.good
    assert "1 cell could not be calculated" in done.message
    assert 'A1: not calculated, CELL("width") is not known here' in done.text


def test_an_explanation_names_inputs_answer_equation_and_source(tmp_path: Path) -> None:
    book = formulas(tmp_path / "e.xlsx", A1=280, B1='=ROUND(LG_IMMERSION(A1,50,200,"0.85 SG"),1)')
    text = actions.explain(book, "Sheet", "B1").text
    immersion = call("LG_IMMERSION", 280, 50, 200, "0.85 SG")
    for told in (
        "280 g",
        "in A1",
        "0.85 SG",
        "left out: 0 kg/m3",
        f"= {immersion:.6g} mm",
        "V(h)",
        "Archimedes",
    ):
        assert told in text, told
    assert f"The cell: {round(immersion, 1)}" in text


def test_an_explanation_says_why_a_function_refuses(tmp_path: Path) -> None:
    book = formulas(tmp_path / "e.xlsx", A1="=IFERROR(LG_IMMERSION(400,50,200,850),0)")
    text = actions.explain(book, "Sheet", "A1").text
    assert "The cell: 0" in text
    assert "refuses: #NUM!" in text and "sinks" in text


def test_each_of_several_calls_is_explained_with_its_own_inputs(tmp_path: Path) -> None:
    book = formulas(
        tmp_path / "e.xlsx",
        A1=850,
        A2=900,
        B1="=LET(m,281,LG_IMMERSION(m,50,200,A1)-LG_IMMERSION(m,50,200,A2))",
    )
    text = actions.explain(book, "Sheet", "B1").text
    first, second = (text.index(f"{density} kg/m3") for density in (850, 900))
    assert first < text.index("in A1") < second < text.index("in A2")
    assert text.count("281 g") == 2


@pytest.mark.parametrize(
    ("cell", "why"), [("A1", "holds no formula"), ("A2", "calls none of our functions"), ("Z9", "no formula")]
)
def test_a_cell_without_one_of_our_functions_is_said(tmp_path: Path, cell: str, why: str) -> None:
    book = formulas(tmp_path / "e.xlsx", A1=1, A2="=A1+1", A3="=LG_VERSION()")
    request = {"action": "explain", "file": str(book.file), "name": "e.xlsx", "state": "saved"}
    done = actions.do({**request, "sheet": "Sheet", "cell": cell})
    assert why in done["message"]
    assert done["text"] == ""


def test_the_dialog_knows_every_function_and_argument() -> None:
    told = {one["name"]: one for one in actions.functions()}
    assert told.keys() == catalogue().keys()
    for function in catalogue().values():
        names = [argument["name"] for argument in told[function.name]["arguments"]]
        assert names == [a.name for a in function.named] + ["unit"] * function.takes_unit
    assert max(len(one["arguments"]) for one in told.values()) <= 26  # lines of the dialog in Calc


def test_a_trial_gives_the_formula_and_its_result() -> None:
    typed = [{"typed": text} for text in ("280", "50", "200", "0.85 SG", "", "flat", "in")]
    found = actions.trial("LG_IMMERSION", typed)
    assert found["parts"] == ["280", "50", "200", '"0.85 SG"', '""', '"flat"', '"in"']
    expected = call("LG_IMMERSION", 280, 50, 200, "0.85 SG", 0, "flat", "in")
    assert found["shown"] == f"{expected:.6g} in"
    assert found["good"]


def test_a_trial_takes_cells() -> None:
    given: list[dict[str, Any]] = [
        {"reference": "A1:A2", "cells": [[280], [281]]},
        {"typed": "50"},
        {"typed": "200"},
    ]
    found = actions.trial("LG_IMMERSION", [*given, {"reference": "B1", "cells": [[850]]}, {"typed": ""}])
    assert found["parts"] == ["A1:A2", "50", "200", "B1"]
    assert found["size"] == [2, 1]


def test_a_trial_says_what_is_missing_and_why_a_function_refuses() -> None:
    assert actions.trial("LG_IMMERSION", [{"typed": "280"}])["shown"] == (
        "to be given: diameter, length, lower_density"
    )
    sinking = [{"typed": text} for text in ("400", "50", "200", "850")]
    found = actions.trial("LG_IMMERSION", sinking)
    assert found["shown"].startswith("#NUM!") and "sinks" in found["shown"]
    assert not found["good"]
    blank: list[dict[str, Any]] = [{"reference": "A1", "cells": [[""]]}, *sinking[1:]]
    assert actions.trial("LG_IMMERSION", blank)["shown"] == "to be given: mass"


def test_a_typed_zero_is_what_the_cell_in_calc_takes_for_zero() -> None:
    """A plain 0 for an argument with another default is refused there."""
    typed = [{"typed": text} for text in ("50", "1", "200", "316L", "0")]
    found = actions.trial("LG_FLOAT_COLLAPSE", typed, evaluate)
    assert found["parts"][-1] == '"0 degC"'
    assert found["good"]


@pytest.mark.parametrize("text", ["1e400", 'a "b"', "=1+1", "1,5", "TRUE", "-"])
def test_whatever_is_typed_gives_a_formula_and_no_fault(text: str) -> None:
    typed = [{"typed": one} for one in (text, "50", "200", "850")]
    found = actions.trial("LG_IMMERSION", typed)
    assert isinstance(found["shown"], str)
    assert found["parts"][0][0] in '"T1'


def test_a_process_does_one_action_and_ends(tmp_path: Path) -> None:
    request = {"action": "explain", "file": "none.xlsx", "name": "none.xlsx", "state": "saved"}
    line = json.dumps({**request, "sheet": "Sheet", "cell": "A1"})
    process = subprocess.Popen(
        [sys.executable, "-P", "-m", "xlfuncs.hosts.actions"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        cwd=tmp_path,
    )
    assert process.stdin is not None
    assert process.stdout is not None
    process.stdin.write(line + "\n")
    process.stdin.flush()
    assert "none.xlsx: its file is no longer there" in json.loads(process.stdout.readline())["message"]
    _, errors = process.communicate(timeout=60)
    assert (process.returncode, errors) == (0, "")


def test_a_process_ends_with_the_program_that_asked(tmp_path: Path) -> None:
    request = {"action": "audit", "file": str(CONTRACTOR.file), "name": "c.xlsx", "state": "saved"}
    done = subprocess.run(
        [sys.executable, "-P", "-m", "xlfuncs.hosts.actions"],
        input=json.dumps({**request, "folder": str(tmp_path)}) + "\n",
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert (done.returncode, done.stdout, done.stderr) == (1, "", "")
    assert not list(tmp_path.iterdir())


def test_a_fault_of_ours_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(book: Shown, **given: object) -> None:
        raise ZeroDivisionError("of all things")

    monkeypatch.setitem(actions._ACTIONS, "audit", broken)
    done = actions.do({"action": "audit", "file": __file__, "name": "a.xlsx", "state": "saved"})
    assert "a fault in xlfuncs: ZeroDivisionError: of all things" in done["message"]
