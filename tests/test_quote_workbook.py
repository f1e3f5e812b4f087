"""The quote workbook: kept results are right, it follows the inquiry, and it prints clean pages."""

from __future__ import annotations

import re
import subprocess
import sys
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from xlfuncs.hosts.recalculate import recalculate
from xlfuncs.worksheet import call

ROOT = Path(__file__).parent.parent
BOOK = ROOT / "workbooks" / "quote_check.xlsx"


def read(path: Path, formulas: bool = False) -> Any:
    return openpyxl.load_workbook(path, data_only=not formulas)


@pytest.fixture(scope="module")
def kept() -> Any:
    return read(BOOK)


@pytest.fixture(scope="module")
def inputs() -> dict[str, str]:
    """Name of an input -> its cell on the inquiry, or on the choice."""
    names = read(BOOK, formulas=True).defined_names
    return {name: item.attr_text.replace("$", "") for name, item in names.items()}


def cell(book: Any, place: str) -> Any:
    sheet, _, address = place.partition("!")
    return book[sheet][address].value


def differences(one: Any, other: Any) -> list[str]:
    found = []
    for sheet in one:
        for row in sheet.iter_rows():
            for item in row:
                theirs = other[sheet.title][item.coordinate].value
                if isinstance(item.value, (int, float)) and isinstance(theirs, (int, float)):
                    if theirs != pytest.approx(item.value, rel=1e-9, abs=1e-7):  # kept to ten digits
                        found.append(f"{sheet.title}!{item.coordinate}: {item.value} and {theirs}")
                elif item.value != theirs:
                    found.append(f"{sheet.title}!{item.coordinate}: {item.value!r} and {theirs!r}")
    return found


@pytest.fixture
def answer(tmp_path: Path, inputs: dict[str, str]) -> Callable[..., Any]:
    """The workbook as it stands after some inputs were changed; None empties one."""

    def changed(**values: Any) -> Any:
        book = read(BOOK, formulas=True)
        for name, value in values.items():
            sheet, _, address = inputs[name].partition("!")
            book[sheet][address].value = value
        book.save(tmp_path / "changed.xlsx")
        recalculate(tmp_path / "changed.xlsx", tmp_path / "answer.xlsx")
        return read(tmp_path / "answer.xlsx")

    return changed


def texts(book: Any, sheet: str = "Inquiry") -> str:
    return "\n".join(str(c.value) for row in book[sheet].iter_rows() for c in row if isinstance(c.value, str))


def test_it_is_what_the_builder_writes_every_time(tmp_path: Path) -> None:
    built = []
    for name in ("one", "two"):
        command = [sys.executable, str(ROOT / "workbooks" / "build.py"), "quote_check.xlsx", "-o"]
        subprocess.run([*command, str(tmp_path / name)], check=True, capture_output=True)
        built.append((tmp_path / name / "quote_check.xlsx").read_bytes())
    assert built[0] == built[1]
    with (
        zipfile.ZipFile(BOOK) as committed,
        zipfile.ZipFile(tmp_path / "one" / "quote_check.xlsx") as fresh,
    ):
        assert fresh.namelist() == committed.namelist()
        stale = [name for name in fresh.namelist() if fresh.read(name) != committed.read(name)]
    assert not stale, "run python workbooks/build.py and commit the result"


def test_kept_results_are_those_of_a_recalculation(kept: Any, tmp_path: Path) -> None:
    report = recalculate(BOOK, tmp_path / "again.xlsx")
    assert report.formulas > 300
    assert not report.reasons
    assert not report.left
    assert not differences(kept, read(tmp_path / "again.xlsx"))


def test_every_formula_keeps_a_result(kept: Any) -> None:
    formulas = read(BOOK, formulas=True)
    for sheet in formulas:
        for row in sheet.iter_rows():
            for item in row:
                if isinstance(item.value, str) and item.value.startswith("="):
                    value = kept[sheet.title][item.coordinate].value
                    place = f"{sheet.title}!{item.coordinate}"
                    assert not (isinstance(value, str) and value.startswith("#")), place
                    # an empty text is read back as nothing: only the questions may be empty
                    assert value is not None or (sheet.title == "Inquiry" and item.column == 4), place


def test_the_readings_are_those_of_the_functions(kept: Any, inputs: dict[str, str]) -> None:
    def given(name: str) -> Any:
        return cell(kept, inputs[name])

    body = [given(f"best_{name}") for name in ("mass", "diameter", "length", "magnet_height")]
    ends = given("best_ends")
    first = int(re.sub(r"\D", "", inputs["best_mass"])) + 2
    for i, density in enumerate(("density_low", "density_normal", "density_high", "density_cold")):
        row = first + i
        fluids = (given(density), given("upper_density"), ends)
        assert kept["Inquiry"][f"F{row}"].value == pytest.approx(
            call("LG_READING_OFFSET", *body, *fluids), rel=1e-9
        )
        assert kept["Inquiry"][f"D{row}"].value == pytest.approx(
            call("LG_IMMERSION", *body[:3], *fluids), rel=1e-9
        )
    best = [c.value for c in kept["Choice"][5]]
    assert best[0] == 1 and best[2] == "fits"
    assert best[3] == pytest.approx(kept["Inquiry"][f"F{first}"].value, rel=1e-9)
    chamber = map(given, ("maintain", "minimum_ambient", "chamber_diameter", "insulation"))
    loss = call("LG_HEAT_LOSS", *chamber, 0.04, given("wind_speed"))
    shown = {row[0].value: row[1].value for row in kept["Inquiry"].iter_rows() if row[0].value}
    assert shown["Heat loss, W/m"] == pytest.approx(loss, rel=1e-9)
    assert shown["Tracer output asked for, W/m"] == pytest.approx(1.2 * loss, rel=1e-9)
    assert shown["Tracing needed"] == "yes"


def test_the_float_that_would_do_is_one(kept: Any, inputs: dict[str, str]) -> None:
    at = int(re.sub(r"\D", "", inputs["sized"].split(":")[1]))
    table = [[c.value for c in kept["Choice"][row]][:13] for row in (at - 1, at)]
    duty = [cell(kept, inputs[n]) for n in ("density_low", "density_high", "upper_density")]
    design = [cell(kept, inputs[n]) for n in ("design_pressure", "design_temperature")]
    assert call("LG_CHOOSE_FLOAT", table, *duty, *design)[1][:3] == [1, "proposed", "fits"]


def test_what_is_missing_is_asked_for(kept: Any, answer: Callable[..., Any]) -> None:
    asked = re.findall(r"^ask: .*", texts(kept), re.M)
    assert len(asked) == 4
    assert "Still to be asked or looked at: 4 of" in texts(kept)
    complete = answer(material_group="2.3", viscosity_cold=40, test_pressure=9, temperature_class="T3")
    assert "The inquiry is complete." in texts(complete)
    assert not re.findall(r"^ask: .*", texts(complete), re.M)
    assert "is above its limit of 7.5 barg" in texts(complete)
    assert "temperature class T3" in texts(complete)
    shown = {row[0].value: row[1].value for row in complete["Inquiry"].iter_rows() if row[0].value}
    assert shown["Flanges hold, barg"] == pytest.approx(call("LG_FLANGE_RATING", 300, "2.3", 120), rel=1e-9)


def test_an_empty_inquiry_asks_for_everything_and_shows_no_error(
    answer: Callable[..., Any], inputs: dict[str, str]
) -> None:
    names = [
        n for n, place in inputs.items() if re.fullmatch(r"Inquiry!B\d+", place) and not n.startswith("best_")
    ]
    book = answer(**dict.fromkeys(names))
    assert "The densities are needed before a float can be chosen." in texts(book)
    assert len(re.findall(r"^ask: .*", texts(book), re.M)) > 20
    for sheet in ("Inquiry", "Choice"):
        assert not re.findall(r"^#\S+", texts(book, sheet), re.M), sheet
    assert "lower_density_min: missing" in texts(book, "Choice")


def test_a_duty_that_no_float_suits_names_the_nearest(answer: Callable[..., Any]) -> None:
    book = answer(density_low=550, density_normal=560, density_high=580, density_cold=610, design_pressure=20)
    assert "0 of 21 listed floats fit. Nearest: KV-101, its limit is 6 barg" in texts(book)
    assert "none fits" in texts(book)
    assert "No float of 60 mm in titanium grade 2 would do" in texts(book)


def test_contradictions_are_pointed_out(answer: Callable[..., Any]) -> None:
    found = texts(answer(density_normal=900, service="interface", range_high=1500))
    assert "is not between lowest and highest" in found
    assert "is a gas: give the upper liquid's" in found
    assert "range is not within the visible range" in found
    assert "The upper liquid has to cover the float" in found


def test_an_interface_is_answered_as_well(answer: Callable[..., Any]) -> None:
    book = answer(
        service="interface",
        density_low=990,
        density_normal=995,
        density_high=1000,
        density_cold=None,
        upper_density=855,
        viscosity=None,
        design_temperature=90,
    )
    assert "1 of 21 listed floats fit." in texts(book)
    assert book["Choice"]["B5"].value == "KV-122"


def test_the_inputs_are_guarded_and_the_charts_are_native() -> None:
    book = read(BOOK, formulas=True)
    rules = {rule.type for rule in book["Inquiry"].data_validations.dataValidation}
    assert rules == {"list", "decimal"}
    assert len(book["Inquiry"].data_validations.dataValidation) > 25
    with zipfile.ZipFile(BOOK) as parts:
        assert len([name for name in parts.namelist() if name.startswith("xl/charts/chart")]) == 2
    assert book["Inquiry"].page_setup.fitToHeight == 0
    assert re.fullmatch(r"'Inquiry'!\$A\$1:\$K\$\d+", book["Inquiry"].print_area)


@pytest.mark.calc
def test_calc_computes_the_same(kept: Any, tmp_path: Path) -> None:
    report = recalculate(BOOK, tmp_path / "calc.xlsx", with_calc=True)
    assert not report.reasons
    assert not differences(kept, read(tmp_path / "calc.xlsx"))


@pytest.mark.calc
def test_calc_prints_two_clean_pages_without_the_functions(tmp_path: Path) -> None:
    profile = f"-env:UserInstallation=file://{tmp_path}/profile"
    command = ["soffice", profile, "--headless", "--convert-to", "pdf", "--outdir", str(tmp_path), str(BOOK)]
    subprocess.run(command, check=True, capture_output=True, timeout=120)
    pdf = tmp_path / "quote_check.pdf"
    printed = subprocess.run(
        ["pdftotext", "-layout", pdf, "-"], check=True, capture_output=True, text=True
    ).stdout
    pages = printed.split("\f")
    assert "#NAME?" not in printed and "Err:" not in printed and "###" not in printed
    assert "Floats of the list that fit" in pages[0]
    assert "What the best float will read" in pages[1] and "Exclusions and cautions" in pages[1]
    assert "Every float of the list against the inquiry" in pages[2]
    assert "page 2 of 5" in pages[1]
