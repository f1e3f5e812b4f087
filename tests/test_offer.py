"""An inquiry becomes an offer: floats with their proof, questions, the fewest types, pages to send."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from xlfuncs.cli import main
from xlfuncs.errors import XlfuncsError
from xlfuncs.lists.reader import read_book
from xlfuncs.report import offer_book, offer_pages
from xlfuncs.work.float_store import Listed, read_listed, required
from xlfuncs.work.offer import Offer, Offered, Wish, offer

FLOATS: list[list[Any]] = [
    ["Part", "Service", "Mass g", "OD mm", "Length mm", "Ends", "Magnet height mm", "Material",
     "Max pressure barg", "Max temp. °C", "Price EUR", "Stock pcs", "Approvals"],
    ["HV-70", "level", 312, 52, 270, "hemispherical", 216, "Ti Gr.2", 40, 250, 560, 9, "PED; NACE MR0175"],
    ["HV-85", "level", 322, 52, 240, "hemispherical", 187, "Ti Gr.2", 17, 250, 500, 14, "PED"],
    ["HV-85S", "level", 350, 52, 260, "hemispherical", 203, "316L", 18, 300, 210, 20, "PED; no NACE"],
    ["HV-X1", "interface", 399, 52, 200, "flat", 110, "316L", 22, 300, 260, 3, "PED"],
]  # fmt: skip
HEADINGS = [
    "Tag No.", "Service", "Fluid", "Operating temperature °C", "Design pressure barg",
    "Design temperature °C", "Density min kg/m3", "Density max kg/m3",
    "Density of upper liquid or vapour kg/m3", "Viscosity cP",
    "Chamber bore mm", "Center to center mm", "LRV mm", "URV mm", "LSL mm", "LSH mm", "Flange class",
]  # fmt: skip
INQUIRY: list[list[Any]] = [
    HEADINGS,
    ["LG-1", "Drum", "Condensate", 45, 16, 90, 700, 720, 8, 0.4, 59, 800, 0, 800, 100, 700, "150#"],
    ["LG-2", "Tank", "Gas oil", 40, 3.5, 80, 829, 829, 0, 3, 59, 600, 0, 600, None, None, "150#"],
    ["LG-3", "Flash drum", "Rich amine", 65, 14, 110, "TBA", None, 5, 2, 59, 900, 0, 900, None, None, "150#"],
    ["LI-4", "Separator interface", "Crude / water", 60, 18, 110, 1020, 1020, 840, 1, 59, 900, 0, 900, None,
     None, "150#"],
    ["LG-5", "Acid", "Sulphuric acid", 30, 3.5, 60, 1830, 1830, 0, 20, 59, 800, 0, 800, None, None, "150#"],
]  # fmt: skip


def saved(path: Path, rows: Sequence[Sequence[Any]], title: str) -> Path:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = title
    for row in rows:
        sheet.append(list(row))
    book.save(path)
    return path


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    folder = tmp_path_factory.mktemp("secret_folder")
    return saved(folder / "floats.xlsx", FLOATS, "Floats"), saved(folder / "plant.xlsx", INQUIRY, "Gauges")


@pytest.fixture(scope="module")
def listed(files: tuple[Path, Path]) -> Listed:
    return read_listed(files[0])


@pytest.fixture(scope="module")
def made(files: tuple[Path, Path], listed: Listed) -> Offer:
    return offer(read_book(files[1]), listed)


@pytest.mark.parametrize(("stated", "lowest"), [(45, 45.0), ("-40 to 45", -40.0), (None, math.nan)])
def test_the_lowest_operating_temperature_counts(
    tmp_path: Path, listed: Listed, stated: object, lowest: float
) -> None:
    row = [*INQUIRY[1][:3], stated, *INQUIRY[1][4:]]
    made = offer(read_book(saved(tmp_path / "cold.xlsx", [HEADINGS, row], "Gauges")), listed)
    duty = of(made, "LG-1").asked.duty
    assert duty is not None
    assert duty.lowest_temperature - 273.15 == pytest.approx(lowest, nan_ok=True)


def of(made: Offer, tag: str) -> Offered:
    return next(one for one in made.gauges if one.asked.tag == tag)


def immersed(mass_g: float, diameter: float, length: float, density: float, above: float) -> float:
    """Immersion [mm] of a float with hemispherical ends, by slices from the bottom."""
    radius, step = diameter / 2, length / 20000

    def area(z: float) -> float:
        depth = min(z, length - z)
        r = radius if depth >= radius else math.sqrt(radius**2 - (radius - depth) ** 2)
        return math.pi * r * r

    heights = [(i + 0.5) * step for i in range(20000)]
    volume = sum(area(z) * step for z in heights)
    wanted, below = (mass_g * 1e-3 - above * volume * 1e-9) / ((density - above) * 1e-9), 0.0
    for z in heights:
        below += area(z) * step
        if below >= wanted:
            return z
    return math.nan


def test_the_float_and_its_readings_are_those_of_the_balance_by_slices(made: Offer) -> None:
    one = of(made, "LG-1")
    assert one.chosen is not None
    assert one.chosen.part == "HV-70"
    for case in one.cases:
        depth = immersed(312, 52, 270, case.lower_density, 8)
        assert 1e3 * case.immersion == pytest.approx(depth, abs=0.05)
        assert 1e3 * case.offset == pytest.approx(216 - depth, abs=0.05)
        assert case.lowest <= case.offset <= case.highest


def test_currents_follow_what_the_indicator_shows(made: Offer) -> None:
    one = of(made, "LG-1")
    levels = list(one.currents())
    assert [round(1e3 * level) for level, _ in levels] == [0, 200, 400, 600, 800]
    for level, currents in levels:
        for case, current in zip(one.cases, currents, strict=True):
            assert current == pytest.approx(4 + 16 * (level + case.offset) / 0.8)


def test_a_switch_acts_where_the_magnet_passes_its_set_point(made: Offer) -> None:
    one = of(made, "LG-1")
    offsets = [case.offset for case in one.cases]
    found = {name: (low, high) for name, _, low, high in one.switch_levels()}
    assert found["LSL"] == pytest.approx((0.1 - max(offsets), 0.1 - min(offsets)))


def test_what_is_missing_is_a_question_and_no_float_is_named(made: Offer) -> None:
    one = of(made, "LG-3")
    assert one.chosen is None
    assert any(q.blocking and "Density of the liquid" in q.text for q in one.questions)


def test_an_interface_gets_its_own_float_and_where_none_fits_the_nearest_is_told(
    made: Offer,
) -> None:
    interface = of(made, "LI-4").chosen
    assert interface is not None
    assert interface.part == "HV-X1"
    acid = of(made, "LG-5")
    assert acid.chosen is None
    assert acid.nearest is not None
    assert "LG-5" in made.cover.without


def test_the_fewest_types_serve_every_gauge_that_can_be_served(made: Offer) -> None:
    assert len(made.cover.types) == 3
    assert set(made.cover.serves) == {"LG-1", "LG-2", "LI-4"}


def test_floats_are_ranked_by_a_column_of_the_company(files: tuple[Path, Path], listed: Listed) -> None:
    book = read_book(files[1])
    by_price = of(offer(book, listed, Wish(rank="price")), "LG-2")
    assert [item.part for item in by_price.fitting] == ["HV-85S", "HV-85"]
    by_stock = of(offer(book, listed, Wish(rank="stock")), "LG-2")
    assert [item.part for item in by_stock.fitting] == ["HV-85", "HV-85S"]


def test_a_required_approval_is_not_met_by_its_denial(files: tuple[Path, Path], listed: Listed) -> None:
    wish = Wish(required=(required(listed, "approval=NACE"),))
    one = of(offer(read_book(files[1]), listed, wish), "LG-2")
    assert not one.fitting
    why = {item.part: item.reasons[-1] for item in one.candidates}
    assert why["HV-85S"] == "the list's 'Approvals' is 'PED; no NACE', NACE is required"


@pytest.mark.parametrize(
    ("text", "cell", "met"),
    [
        ("stock>=10", 9, False),
        ("stock>=10", "10 pcs", True),
        ("stock<=6", "4-6", True),
        ("stock<=5", "4-6", False),
        ("stock>=1000", "1,500", False),
        ("stock>=1", "", False),
    ],
)
def test_numbers_in_cells_are_compared_or_not_met(listed: Listed, text: str, cell: Any, met: bool) -> None:
    one = required(listed, text)
    assert (one.unmet({one.heading: cell}) == "") == met


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("colour=red", "fits no heading of the float list"),
        ("ma=x", "fits more than one heading"),
        ("price", "write HEADING=TEXT"),
        ("price<=cheap", "'cheap' is no number"),
    ],
)
def test_a_requirement_that_cannot_be_understood_is_refused(listed: Listed, text: str, said: str) -> None:
    with pytest.raises(XlfuncsError, match=re.escape(said)):
        required(listed, text)


def test_pages_show_nothing_of_the_company_that_was_not_asked_for(made: Offer) -> None:
    pages = [offer_pages.text(made), _texts(offer_book.build(made))]
    for page in pages:
        assert "HV-70" in page
        for secret in ("Price", "560", "Stock", "secret_folder", "floats.xlsx"):
            assert secret not in page
        for blank in ("Customer", "Date", "Revision", "Signature"):
            assert blank in page
    assert "560" in offer_pages.text(made, ["Price EUR"])


def _texts(book: openpyxl.Workbook) -> str:
    return "\n".join(str(cell) for sheet in book for row in sheet.iter_rows(values_only=True) for cell in row)


def test_each_gauge_has_its_page_with_drawings(made: Offer) -> None:
    page = offer_pages.text(made)
    assert page.count('<section class="page') == 1 + len(made.gauges)
    assert page.count('to scale"') >= 2 * 3
    assert offer_book.build(made).sheetnames == ["Summary", *(one.asked.tag for one in made.gauges)]


def test_the_command_writes_the_pages_and_says_by_its_status_that_a_gauge_has_no_float(
    files: tuple[Path, Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    target = tmp_path / "offer.html"
    arguments = ["choose", str(files[0]), "--for", str(files[1]), "--json", "-o", str(target)]
    assert main(arguments) == 1
    assert target.read_text(encoding="utf-8").startswith("<!doctype html>")
    result = json.loads(capsys.readouterr().out)["inquiries"][0]
    assert result["without_float"] == ["LG-3", "LG-5"]
    assert result["gauges"][0]["own_columns"]["Price EUR"] == 560


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (["--rank", "colour"], "--rank: 'colour' fits no heading"),
        (["--rank", "approvals"], "holds no number"),
        (["-o", "offer.doc"], "name a file ending in .xlsx, .pdf, .html"),
        (["--density", "850"], "--density: the duty stands in the inquiry"),
    ],
)
def test_a_wrong_option_is_one_line(
    files: tuple[Path, Path], more: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["choose", str(files[0]), "--for", str(files[1]), *more]) == 2
    error = capsys.readouterr().err.strip()
    assert said in error
    assert "\n" not in error


def test_options_of_an_inquiry_need_one(files: tuple[Path, Path], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["choose", str(files[0]), "--density", "850", "--fewest"]) == 2
    assert "--fewest: give the inquiry as well" in capsys.readouterr().err
    assert main(["choose", str(files[0])]) == 2
    assert "--density: state the density" in capsys.readouterr().err
