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

from xlfuncs.gauge.choice import Condition, Duty, between, choose
from xlfuncs.hosts.recalculate import recalculate
from xlfuncs.report.offer_pages import BLANKS
from xlfuncs.worksheet import call
from xlfuncs.worksheet.float_table import read_floats

ROOT = Path(__file__).parent.parent
BOOK = ROOT / "workbooks" / "quote_check.xlsx"


def read(path: Path, formulas: bool = False) -> Any:
    return openpyxl.load_workbook(path, data_only=not formulas)


@pytest.fixture(scope="module")
def kept() -> Any:
    return read(BOOK)


@pytest.fixture(scope="module")
def formulas() -> Any:
    return read(BOOK, formulas=True)


@pytest.fixture(scope="module")
def inputs(formulas: Any) -> dict[str, str]:
    """Name of an input -> its cell on the inquiry, or on the choice; other names -> theirs."""
    names = formulas.defined_names
    cells = {name: item.attr_text.replace("$", "") for name, item in names.items()}
    typed = {name.removeprefix("typed_"): at for name, at in cells.items() if name.startswith("typed_")}
    return cells | typed


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
def answer(tmp_path: Path, formulas: Any, inputs: dict[str, str]) -> Callable[..., Any]:
    """The workbook as it stands after some inputs were changed; None empties one."""

    def changed(**values: Any) -> Any:
        places = [inputs[name].partition("!") for name in values]
        cells = [formulas[sheet][address] for sheet, _, address in places]
        stood = [cell.value for cell in cells]
        for cell, value in zip(cells, values.values(), strict=True):
            cell.value = value
        formulas.save(tmp_path / "changed.xlsx")
        for cell, value in zip(cells, stood, strict=True):
            cell.value = value
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


def test_every_formula_keeps_a_result(kept: Any, formulas: Any) -> None:
    for sheet in formulas:
        for row in sheet.iter_rows():
            for item in row:
                if isinstance(item.value, str) and item.value.startswith("="):
                    value = kept[sheet.title][item.coordinate].value
                    place = f"{sheet.title}!{item.coordinate}"
                    # a point that a chart leaves out is #N/A
                    gap = sheet.title == "Curve" and value == "#N/A"
                    assert gap or not (isinstance(value, str) and value.startswith("#")), place
                    # an empty text is read back as nothing: questions, and what was not typed
                    may = {"Inquiry": (4,), "Values": (2, 3, 4), "Offer": (1,)}.get(sheet.title, ())
                    assert value is not None or item.column in may, place


def facts(book: Any) -> dict[str, Any]:
    """What stands beside a label of the page to send."""
    return {row[0].value: row[1].value for row in book["Offer"].iter_rows() if row[0].value}


def cases(book: Any) -> dict[str, list[Any]]:
    """The expected readings by case."""
    return {
        row[0].value: [c.value for c in row[1:]]
        for row in book["Offer"].iter_rows()
        if str(row[0].value).endswith(("density", "start-up"))
    }


def test_the_readings_are_those_of_the_functions(kept: Any, inputs: dict[str, str]) -> None:
    def given(name: str) -> Any:
        return cell(kept, inputs[name])

    body = [given(f"best_{name}") for name in ("mass", "diameter", "length", "magnet_height")]
    ends = given("best_ends")
    names = ("lowest density", "normal density", "highest density", "cold start-up")
    for name, key in zip(
        names, ("density_low", "density_normal", "density_high", "density_cold"), strict=True
    ):
        shown = cases(kept)[name]
        fluids = (given(key), given("upper_density"), ends)
        assert shown[2] == pytest.approx(call("LG_IMMERSION", *body[:3], *fluids), rel=1e-9)
        offset = call("LG_READING_OFFSET", *body, *fluids)
        assert shown[3] == pytest.approx(offset, rel=1e-9)
        assert shown[4] <= shown[5] and shown[4] < shown[3] + 5
        assert shown[9] == pytest.approx(call("LG_LEVEL_TO_CURRENT", 1200 + offset, 0, 1200), rel=1e-9)
    best = [c.value for c in kept["Choice"][5]]
    assert best[0] == 1 and best[2] == "fits"
    assert best[3] == pytest.approx(cases(kept)["lowest density"][3], rel=1e-9)
    chamber = map(given, ("maintain", "minimum_ambient", "chamber_diameter", "insulation"))
    loss = call("LG_HEAT_LOSS", *chamber, 0.04, given("wind_speed"))
    assert facts(kept)["Heat tracing"].startswith("needed: pour or freezing point 6 °C")
    assert f"{loss:.1f} W/m are lost" in facts(kept)["Heat tracing"]


def test_the_worst_reading_is_the_one_by_which_floats_are_chosen(kept: Any) -> None:
    listed = kept["Floats"]
    rows = [[c.value for c in row][:14] for row in listed.iter_rows()]
    floats = read_floats(tuple(map(tuple, rows)), None)
    duty = Duty(
        (
            *between((842.0, 868.0), (1.5, 1.5), 855.0, viscosity=0.006),
            Condition("cold start-up", 890.0, 1.5, operating=False),
        ),
        design_pressure=6e5, design_temperature=393.15, chamber_bore=0.067,
    )  # fmt: skip
    best = choose(floats, duty)[0]
    shown = [row[4:6] for name, row in cases(kept).items() if name.endswith("density")]
    assert min(low for low, _ in shown) == pytest.approx(1e3 * best.reading[0], abs=1e-6)
    assert max(high for _, high in shown) == pytest.approx(1e3 * best.reading[1], abs=1e-6)
    verdict = f"Float {best.part}: in every operating case it reads between {1e3 * best.reading[0]:+.1f} and"
    assert verdict in texts(kept, "Offer")


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
    page = texts(complete, "Offer")
    assert "9 barg is above its limit of 7.5 barg" in page
    assert "temperature class T3" in page
    assert "none: the inquiry is complete" in page
    rated = call("LG_FLANGE_RATING", 300, "2.3", 120)
    assert facts(complete)["Flanges"] == f"class 300; rated {rated:.1f} barg at design temperature"


def test_every_reservation_and_question_stands_on_the_page_to_send(kept: Any) -> None:
    page = texts(kept, "Offer")
    for question in re.findall(r"^ask: (.*)", texts(kept), re.M):
        assert f"• {question}" in page
    part, remark = kept["Choice"]["B5"].value, kept["Choice"]["M5"].value
    assert remark != "-" and f"• {part}: {remark}" in page
    for heading in ("Expected readings", "Switches", "Other floats", "Questions", "Assumptions", "Cautions"):
        assert heading in page
    for blank in BLANKS:
        assert blank in page


def test_values_with_their_unit_work_in_every_cell(
    answer: Callable[..., Any],
) -> None:
    plain = answer(
        density_low=842, density_high=868, visible_range=1219.2, design_pressure=6.2, range_high=1219.2
    )
    typed = answer(
        density_low=f"{842 / 999.016:.9f} SG", density_high="868 kg/m3", visible_range="48 in",
        design_pressure="620 kPag", range_high="4 ft", chamber_bore="6,7 cm", design_temperature="248 degF",
        viscosity="0.006 Pa.s", density_normal="0.855 g/cm3", tolerance="1 cm", upper_density="1.5 g/L",
    )  # fmt: skip
    for name in ("lowest density", "normal density", "highest density"):
        assert cases(typed)[name] == pytest.approx(cases(plain)[name], rel=1e-5, abs=1e-2)
    assert typed["Choice"]["B5"].value == plain["Choice"]["B5"].value == "KV-107"
    light = answer(density_low="0.50 SG", density_normal=None, density_high="0.51 SG", density_cold=None)
    assert cases(light)["lowest density"][0] == pytest.approx(0.50 * 999.016, rel=1e-5)


@pytest.mark.parametrize(
    ("typed", "asked"),
    [
        (0.84, "Density, lowest: is it a specific gravity? Write 0.84 SG, or a number in kg/m3"),
        (35, "Density, lowest: is no liquid's density in kg/m3: write its unit, as 0.85 SG"),
        (
            "light",
            "Density, lowest: cannot be read: write a number in kg/m3, or with its unit behind a space",
        ),
        ("0.84 barg", "Density, lowest: cannot be read"),
        (None, "Lowest density in operation (hottest, lightest)?"),
    ],
)
def test_a_density_that_is_none_is_asked_back_and_names_no_float(
    answer: Callable[..., Any], typed: Any, asked: str
) -> None:
    page = texts(answer(density_low=typed), "Offer")
    assert f"• {asked}" in page
    assert "No float is named before the questions are answered." in page
    assert "KV-107" not in page


def test_an_empty_inquiry_asks_for_everything_and_shows_no_error(
    answer: Callable[..., Any], inputs: dict[str, str]
) -> None:
    names = [n for n, place in inputs.items() if re.fullmatch(r"Inquiry!B\d+", place)]
    book = answer(**dict.fromkeys(names))
    page = texts(book, "Offer")
    assert "No float is named before the questions are answered." in page
    assert len(re.findall(r"^ask: .*", texts(book), re.M)) > 20
    assert re.search(r"• and \d+ more, on the sheet Inquiry", page)
    for sheet in ("Inquiry", "Choice", "Offer", "Values"):
        assert not re.findall(r"^#\S+", texts(book, sheet), re.M), sheet
    assert "lower_density_min: missing" in texts(book, "Choice")


def test_a_duty_that_no_float_suits_names_the_nearest(answer: Callable[..., Any]) -> None:
    book = answer(density_low=550, density_normal=560, density_high=580, density_cold=610, design_pressure=20)
    page = texts(book, "Offer")
    assert "No float of our range fits. Nearest: KV-101: its limit is 6 barg" in page
    assert "One made for it would" not in page
    made = texts(answer(density_low=700, density_normal=705, density_high=710, density_cold=None), "Offer")
    assert re.search(r"No float of our range fits\..*One made for it would: 60 mm in titanium grade 2", made)


def test_contradictions_are_pointed_out(answer: Callable[..., Any]) -> None:
    found = texts(answer(density_normal=900, service="interface", range_high=1500))
    assert "is not between lowest and highest" in found
    assert "Write 1.5 SG, or a number in kg/m3" in found
    assert "is a gas: give the upper liquid's" in texts(answer(service="interface", upper_density=120))
    assert "range is not within the visible range" in found
    assert "the upper liquid covers the float" in texts(
        answer(service="interface", upper_density=700), "Offer"
    )


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
    assert book["Choice"]["B5"].value == "KV-122"
    assert "Interface" in texts(book, "Offer")
    assert "Float KV-122: in every operating case it reads between" in texts(book, "Offer")


def test_the_inputs_are_guarded_and_the_charts_are_native(formulas: Any) -> None:
    book = formulas
    rules = {rule.type for rule in book["Inquiry"].data_validations.dataValidation}
    assert rules == {"list", "custom"}
    assert len(book["Inquiry"].data_validations.dataValidation) > 25
    with zipfile.ZipFile(BOOK) as parts:
        assert len([name for name in parts.namelist() if name.startswith("xl/charts/chart")]) == 3
    for name in ("Inquiry", "Offer"):
        assert re.fullmatch(rf"'{name}'!\$A\$1:\$K\$\d+", book[name].print_area)


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
    assert "Limits of this check" in pages[0]
    assert "Expected readings" in pages[1] and "Signature" in pages[1]
    assert "flat ends not computed" in pages[1]
    assert "Every float of the list against the inquiry" in pages[2]
    assert "page 2 of 6" in pages[1]
