"""What `import xlfuncs` offers: the audit of files and frames, functions, and what each takes."""

from __future__ import annotations

import inspect
import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pint
import polars as pl
import pytest

import xlfuncs
from tests import public_face
from xlfuncs.worksheet import catalogue

DEMO = Path(__file__).parent.parent / "workbooks" / "contractor_index.xlsx"
CHANGED = "a public signature has changed: enter it in the list of changes, then write both files anew"
INDEX: dict[str, list[Any]] = {
    "Tag": ["LG-1", "LG-2", "LG-3"],
    "Fluid": ["Water", "Water", "Water"],
    "Fluid density SG": [0.983, 0.3, 0.98],
    "Float mass g": [350.0, 350.0, 350.0],
    "Float diameter mm": [50, 50, 50],
    "Float length mm": [250, 250, 250],
    "Magnet height mm": [181, 181, 181],
    "Operating temperature degC": [60, 60, None],
}


def test_no_public_signature_has_changed() -> None:
    assert public_face.signatures() == public_face.SIGNATURES.read_text(encoding="utf-8"), CHANGED
    assert public_face.stub() == public_face.STUB.read_text(encoding="utf-8"), CHANGED


def test_every_public_name_is_there_and_documented() -> None:
    for name in xlfuncs.__all__:
        found = getattr(xlfuncs, name)
        assert name == "__version__" or inspect.getdoc(found), name
    assert set(xlfuncs.__all__) <= set(dir(xlfuncs))
    with pytest.raises(AttributeError, match="no_such_name"):
        xlfuncs.no_such_name  # type: ignore[attr-defined]  # noqa: B018


def test_nothing_is_loaded_before_a_name_is_used() -> None:
    code = "import sys, xlfuncs; print(*sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert not set(done.stdout.split()) & {"numpy", "xlfuncs.face", "xlfuncs.audit", "narwhals", "pandas"}


@pytest.mark.parametrize("first", ["", "import xlfuncs.audit.engine; "])
def test_the_audit_is_called_whatever_was_loaded_before(first: str) -> None:
    code = f"{first}import xlfuncs; from xlfuncs import audit; print(len(audit({str(DEMO)!r}).findings))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert int(done.stdout) == len(xlfuncs.audit(DEMO).findings)


# --- functions --------------------------------------------------------------------------------------


def test_each_function_is_one_of_python_and_gives_its_example() -> None:
    functions = xlfuncs.functions()
    assert len(functions) == len(catalogue())
    for function in catalogue().values():
        python = getattr(xlfuncs, function.name.removeprefix("LG_").lower())
        asked = python(*function.example.arguments)
        assert repr(asked) == repr(xlfuncs.call(function.name, *function.example.arguments))
        assert function.summary in (python.__doc__ or "")


def test_arguments_by_name_with_units_and_for_many() -> None:
    given: dict[str, Any] = {"mass": 280, "diameter": 50, "length": 200, "magnet_height": 150}
    offset = xlfuncs.reading_offset(**given, lower_density="0.8 SG")
    assert offset == pytest.approx(-28.4289172574)
    assert xlfuncs.reading_offset(**given, lower_density="0.8 SG", unit="in") == pytest.approx(offset / 25.4)
    unit = pint.UnitRegistry().Quantity
    assert xlfuncs.reading_offset(unit(0.28, "kg"), unit(5, "cm"), 200, 150, "0.8 SG") == pytest.approx(
        offset
    )
    densities = [800.0, 850.0, 900.0]
    expected = xlfuncs.reading_offset(**given, lower_density=densities)
    for many in (np.array(densities), pd.Series(densities), pl.Series(densities)):
        assert xlfuncs.reading_offset(**given, lower_density=many) == pytest.approx(expected)


def test_what_cannot_be_computed_is_a_refusal_and_no_number() -> None:
    sunk = xlfuncs.immersion(900, 50, 200, 850)
    assert isinstance(sunk, xlfuncs.Refusal)
    with pytest.raises(TypeError):
        assert sunk > 40  # type: ignore[operator]
    some = xlfuncs.immersion([280, 900], 50, 200, 850)
    assert some[0] == pytest.approx(167.768034)
    assert isinstance(some[1], xlfuncs.Refusal)
    with pytest.raises(xlfuncs.XlfuncsError, match="mass"):
        xlfuncs.immersion(pint.UnitRegistry().Quantity(1, "second"), 50, 200, 850)
    with pytest.raises(TypeError, match="no_such_argument"):
        xlfuncs.immersion(280, 50, 200, 850, no_such_argument=1)  # type: ignore[call-arg]


# --- the audit --------------------------------------------------------------------------------------


def _places(result: Any) -> list[tuple[str, str]]:
    return [(finding.rule, finding.cell) for finding in result.findings]


def test_a_frame_is_audited_as_the_sheet_that_it_would_make(tmp_path: Path) -> None:
    path = tmp_path / "index.csv"
    pd.DataFrame(INDEX).to_csv(path, index=False)
    expected = _places(xlfuncs.audit(path))
    assert ("float-sinks", "C3") in expected
    for frame in (pd.DataFrame(INDEX), pl.DataFrame(INDEX)):
        result = xlfuncs.audit(frame)
        assert _places(result) == expected
        assert result.rows_audited == 3
        found = result.to_frame()
        assert type(found) is type(frame)
        assert list(found["rule"]) == [rule for rule, _ in expected]
        assert next(iter(found["row"])) == 3
        assert next(iter(found["found"])) == pytest.approx(0.3)
        assert next(iter(found["found_unit"])) == "SG"
    assert isinstance(xlfuncs.audit(path).to_frame("polars"), pl.DataFrame)


def test_floats_in_a_frame_of_their_own() -> None:
    index = pd.DataFrame({"Tag": ["LG-1"], "Density kg/m3": [500.0], "Float type": ["A1"]})
    names = ("Part no", "Mass g", "Diameter mm", "Length mm", "Magnet height mm")
    floats = pd.DataFrame([dict(zip(names, ("A1", 350.0, 50.0, 250.0, 181.0), strict=True))])
    assert ("float-sinks", "B2") in _places(xlfuncs.audit(index, floats=floats))


def test_settings_columns_and_acceptances() -> None:
    frame = pd.DataFrame({**INDEX, "Fluid density SG": [0.92, 0.983, 0.983]})
    assert "offset-exceeds-tolerance" in {rule for rule, _ in _places(xlfuncs.audit(frame))}
    wide = {"offset_tolerance_mm": 40.0}
    for settings in (wide, xlfuncs.Settings(offset_tolerance_mm=40.0)):
        rules = {rule for rule, _ in _places(xlfuncs.audit(frame, settings=settings))}
        assert "offset-exceeds-tolerance" not in rules
    with pytest.raises(xlfuncs.XlfuncsError, match="offset_tolerance_mm must be a number"):
        xlfuncs.audit(frame, settings={"offset_tolerance_mm": "wide"})
    odd = frame.rename(columns={"Fluid density SG": "Q17"})
    assert not any(cell == "C2" for _, cell in _places(xlfuncs.audit(odd)))
    said = _places(xlfuncs.audit(odd, columns={"fluid_density": "Q17 [SG]"}))
    assert ("offset-exceeds-tolerance", "C2") in said
    entry = {"tag": "LG-1", "rule": "offset-exceeds-tolerance", "who": "A", "why": "scale made for it"}
    entry |= {"when": pd.Timestamp("2026-01-01"), "until": pd.Timestamp("2126-01-01")}
    result = xlfuncs.audit(frame, accept=[entry])
    assert ("offset-exceeds-tolerance", "C2") not in _places(result)
    assert [accepted.state for accepted in result.accepted] == ["used"]


def test_a_settings_file_counts_as_on_the_command_line(tmp_path: Path) -> None:
    path = tmp_path / "settings.toml"
    path.write_text(
        'ignore = ["float-sinks"]\n[columns]\nfluid_density = "Fluid density SG"\n', encoding="utf-8"
    )
    assert "float-sinks" not in {
        rule for rule, _ in _places(xlfuncs.audit(pd.DataFrame(INDEX), settings=path))
    }


@pytest.mark.parametrize(
    ("source", "said"),
    [
        (5, "a int cannot be audited: give a path or a data frame"),
        ("no_such_file.xlsx", "does not exist"),
        (pd.DataFrame({"A": [1.0]}), "DataFrame"),
        (pd.DataFrame(), "DataFrame is empty"),
        (pd.Series([1.0], name="Tag"), "a Series cannot be audited: give a path or a data frame"),
        (pl.LazyFrame(INDEX), r"a LazyFrame cannot be audited: give .* frame, such as its \.collect\(\)"),
        (pd.DataFrame([[1, 2]], columns=["Tag", "Tag"]), "'Tag' 2 times; give one column to each name"),
        (pd.DataFrame(INDEX).drop(columns="Tag"), r"--map .* In Python .* is columns={'FIELD': 'COLUMN'}"),
    ],
)
def test_what_cannot_be_audited_is_said_in_one_line(source: Any, said: str) -> None:
    with pytest.raises(xlfuncs.XlfuncsError, match=said) as refused:
        xlfuncs.audit(source)
    assert "\n" not in str(refused.value)


def test_headings_of_two_levels_and_cells_of_any_kind() -> None:
    frame = pd.DataFrame(INDEX)
    frame.columns = pd.MultiIndex.from_tuples([("Float", n) if "Float" in n else ("", n) for n in INDEX])
    frame[("", "Remark")] = [pd.Timestamp("2026-01-01"), np.float32(1.5), pd.NA]
    assert ("float-sinks", "C3") in _places(xlfuncs.audit(frame))


def test_tags_in_a_named_index_are_read() -> None:
    frame = pd.DataFrame(INDEX)
    expected = _places(xlfuncs.audit(frame))
    assert _places(xlfuncs.audit(frame.set_index("Tag"))) == expected
    assert _places(xlfuncs.audit(frame.set_index(["Tag", "Fluid"]))) == expected


@pytest.mark.parametrize("name", [3, None])
def test_a_function_is_asked_for_by_its_name(name: Any) -> None:
    with pytest.raises(xlfuncs.XlfuncsError, match="is a text such as 'LG_IMMERSION', not"):
        xlfuncs.call(name)


def test_in_a_notebook_a_result_shows_itself_and_escapes_what_it_shows() -> None:
    result = xlfuncs.audit(pd.DataFrame(INDEX), name="<script>alert(1)")
    shown = result._repr_html_()
    assert "float-sinks" in shown
    assert "<script>" not in shown
    assert "&lt;script&gt;" in shown
    assert result.to_html().startswith("<!doctype html>")


def test_a_frame_of_no_library_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    result = xlfuncs.audit(pd.DataFrame(INDEX))
    with pytest.raises(xlfuncs.XlfuncsError, match="no frame of 'abacus' can be made"):
        result.to_frame("abacus")
    monkeypatch.setattr("xlfuncs.spreadsheet.frame.find_spec", lambda name: None)
    with pytest.raises(xlfuncs.XlfuncsError, match="pandas is not installed"):
        result.to_frame()
    with pytest.raises(xlfuncs.XlfuncsError, match="no library of data frames is installed"):
        xlfuncs.audit(DEMO).to_frame()
