"""What an offer says back: impossible densities, what a float is subject to, and the inquiry's own words."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from tests.test_offer import FLOATS, saved
from xlfuncs.lists.reader import read_book
from xlfuncs.report import offer_book, offer_pages
from xlfuncs.work.float_store import read_listed
from xlfuncs.work.offer import Offer, Offered, offer

TITLE = "Anfrage 4711: Standanzeiger Nordbecken"
HEADINGS = ["Pos.", "Tag No.", "Fluid", "Density min kg/m3", "Density max kg/m3", "Density of vapour kg/m3",
            "Operating temperature °C", "Design pressure barg", "Design temperature °C",
            "Center to center mm", "Remarks"]  # fmt: skip
ROWS: list[list[Any]] = [
    [10, "LG-1", "Condensate", 700, 720, 8, 45, 16, 90, 800, "tight space"],
    [20, "LG-2", "Naphtha", 85, 85, 0, 40, 6, 60, 800, None],
    [30, "LG-3", "Condensate", 700, 720, 8, 45, None, 90, 800, None],
    [40, "LG-4", "Heating oil", 700, 720, None, 45, 16, 90, 800, None],
    [50, "LG-5", "Methanol", 1200, 1200, 0, 25, 6, 60, 800, None],
]


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Offer:
    folder = tmp_path_factory.mktemp("inquiry")
    path = saved(folder / "file.xlsx", [[TITLE], [], HEADINGS, *ROWS], "Gauges")
    return offer(read_book(path), read_listed(saved(folder / "floats.xlsx", FLOATS, "Floats")))


def of(made: Offer, tag: str) -> Offered:
    return next(one for one in made.gauges if one.asked.tag == tag)


def plain(made: Offer) -> str:
    return " ".join(
        re.sub(r"<style.*?</style>|<svg.*?</svg>|<[^>]+>", " ", offer_pages.text(made), flags=re.S).split()
    )


def test_a_density_that_no_liquid_has_is_asked_back_with_its_cell(made: Offer) -> None:
    one = of(made, "LG-2")
    (question,) = [q for q in one.questions if q.blocking]
    assert "85 kg/m3 in cell D5" in question.text and "850" in question.text
    assert one.chosen is None and "before the questions are answered" in offer_pages.verdict(one)


def test_a_density_far_from_that_of_the_pure_fluid_is_asked_back(made: Offer) -> None:
    asked = [q for q in of(made, "LG-5").questions if "1200 kg/m3 in cell D8" in q.text]
    # methanol at 25 degC: 786.6 kg/m3 (from memory of a handbook)
    assert len(asked) == 1 and re.search("78[67] kg/m3", asked[0].why) and not asked[0].blocking
    assert not any("is it right" in q.text for q in of(made, "LG-1").questions)


def test_a_float_is_subject_to_the_pressure_that_nobody_stated(made: Offer) -> None:
    open_, sure = of(made, "LG-3"), of(made, "LG-1")
    assert open_.unchecked == ["design pressure"] and sure.unchecked == []
    assert offer_pages.verdict(open_).startswith("Subject to the design pressure, not stated: float")
    assert "subject to design pressure" in offer_pages.summary_line(open_, {})[3]
    page = offer_pages.text(made)
    assert page.count('class="subject"') == 1 and "subject" not in offer_pages.summary_line(sure, {})[3]


def test_a_vapour_that_was_taken_as_nothing_is_not_said_to_be_counted(made: Offer) -> None:
    assert "everything that is known counted" in offer_pages.verdict(of(made, "LG-1"))
    said = offer_pages.verdict(of(made, "LG-4"))
    assert "taken as 0" in said and "counted" not in said
    assert f"{1e3 * of(made, 'LG-4').vapour_shift:+.1f} mm more" in said


def test_title_items_and_remarks_are_those_of_the_inquiry(made: Offer) -> None:
    assert made.name == TITLE
    assert [one.asked.item for one in made.gauges] == ["10", "20", "30", "40", "50"]
    text = plain(made)
    assert f"Inquiry: {TITLE}" in text and "Remark of the inquiry tight space" in text
    assert "10: LG-1 Level Condensate" in text and "file" not in text.split("Types of float")[0]
    cells = [str(c.value) for row in offer_book.build(made)["LG-1"].iter_rows() for c in row if c.value]
    assert "tight space" in cells and "Item of the inquiry" in cells


def test_floats_that_do_not_fit_are_not_shown_to_the_customer(made: Offer) -> None:
    text = plain(made)
    fitting = {item.part for one in made.gauges for item in one.fitting}
    unfit = {str(row[0]) for row in FLOATS[1:]} - fitting
    assert unfit and not any(re.search(rf"{re.escape(part)}(?![\w-])", text) for part in unfit)
    assert "not offered" not in text


def test_an_inquiry_without_title_goes_by_its_file(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    assert book.active is not None
    for row in [HEADINGS, ROWS[0]]:
        book.active.append(row)
    book.save(tmp_path / "plant.xlsx")
    listed = read_listed(saved(tmp_path / "floats.xlsx", FLOATS, "Floats"))
    assert offer(read_book(tmp_path / "plant.xlsx"), listed).name == "plant"
