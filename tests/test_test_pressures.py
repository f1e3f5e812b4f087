"""The hydrostatic test against the code of design that a cell names.

Factors: 1.3 by ASME BPVC VIII-1, UG-99(b); 1.5 by ASME B31.3, 345.4.2; 1.43 by 2014/68/EU, Annex I, 7.4; the
others from memory, as `data/test_pressures.toml` says.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.rows import save
from tests.test_rule_edges import several
from tests.test_rule_limits import fires
from xlfuncs.audit.engine import audit_book
from xlfuncs.audit.examples import SOUND
from xlfuncs.audit.in_memory import gauges_of
from xlfuncs.audit.model import AuditResult
from xlfuncs.audit.registry import calculation_of, find_rule, remedy_of
from xlfuncs.audit.settings import Settings

SLUG = "test-pressure-low"

CODES = [
    ("ASME VIII Div. 1", 1.3),
    ("ASME Sec. VIII, Division 1 (2021)", 1.3),
    ("ASME BPVC VIII-1", 1.3),
    ("ASME Sección VIII Div. I", 1.3),
    ("ASME SEC 8 DIV 1", 1.3),
    ("ASME Abschnitt VIII Abt. 1", 1.3),
    ("ASME VIII Div 2", 1.25),
    ("ASME VIII", 1.25),
    ("ASME B31.3", 1.5),
    ("ANSI B 31.3", 1.5),
    ("ASME B31.1", 1.5),
    ("EN 13445", 1.43),
    ("PN-EN 13445-3:2021", 1.43),
    ("DIN EN 13480", 1.43),
    ("PED 2014/68/EU", 1.43),
    ("DGRL", 1.43),
    ("AD 2000", 1.43),
    ("AD-Merkblatt HP 30", 1.43),
    ("PD 5500", 1.25),
    ("GB/T 150.1-2011", 1.25),
    ("ГОСТ 34347-2017", 1.25),
]


@pytest.mark.parametrize(("text", "factor"), CODES, ids=[text for text, _ in CODES])
def test_a_code_asks_for_its_factor_and_no_more(text: str, factor: float) -> None:
    at = {"design_code": text, "design_pressure": "40 barg", "design_temperature": "20 degC"}
    assert fires(SLUG, at | {"test_pressure": f"{40 * factor:.4f} barg"}) == []
    # 0.1 % is the rounding of another unit
    assert fires(SLUG, at | {"test_pressure": f"{40 * factor * 0.9991:.4f} barg"}) == []
    (hit,) = fires(SLUG, at | {"test_pressure": f"{40 * factor * 0.9989:.4f} barg"})
    assert f"below {factor:g} times the design pressure of 40 barg" in hit.message
    assert hit.expected is not None
    assert hit.expected.value == pytest.approx(40 * factor, abs=0.01)


UNREAD = (
    *("company standard", "ASME B16.5", "ASME VIII Div. 3", "ASME VIII Div III", "ASME B31", "B31.8"),
    *("PED Art. 4.3", "PED Art. 4(3), SEP", "not to PED", "non-PED", "PED n/a", "Secret 8 1", "API 2000"),
)


@pytest.mark.parametrize("text", UNREAD)
def test_of_a_code_that_is_not_known_only_what_any_code_asks_is_said(text: str) -> None:
    assert fires(SLUG, {"design_code": text, "test_pressure": "10 barg"}) == []
    (hit,) = fires(SLUG, {"design_code": text, "test_pressure": "9.9 barg"})
    assert "is below the design pressure of 10 barg" in hit.message
    # the setting is for sheets without a code
    assert (
        fires(SLUG, {"design_code": text, "test_pressure": "11 barg"}, Settings(test_pressure_factor=1.3))
        == []
    )


def test_the_codes_factor_goes_before_the_setting() -> None:
    other = Settings(test_pressure_factor=1.5)
    stated = {"design_code": "ASME VIII-1", "test_pressure": "14 barg"}
    assert fires(SLUG, stated, other) == []
    assert fires(SLUG, stated | {"design_code": None}, other)


def test_of_two_codes_the_lower_one_is_certain() -> None:
    both = {"design_code": "ASME VIII Div. 1 / B31.3", "design_temperature": "60 degC"}
    assert "1.3 times" in fires(SLUG, both | {"test_pressure": "12.9 barg"})[0].message
    hits, missing = several(SLUG, [both | {"test_pressure": "14.9 barg"}])
    assert hits == []
    assert missing == ["which of the codes of design in 'ASME VIII Div. 1 / B31.3' the test follows"]
    assert several(SLUG, [both | {"test_pressure": "15 barg"}]) == ([], [])


@pytest.mark.parametrize(
    ("code", "cold", "hot"),
    [
        ("ASME VIII-1", "149 degC", "149.1 degC"),
        ("ASME VIII-2", "38 degC", "38.1 degC"),
        ("ASME B31.3", "149 degC", "149.1 degC"),
        ("EN 13445", "50 degC", "50.1 degC"),
        ("GB 150", "20 degC", "20.1 degC"),
    ],
)
def test_a_hot_metal_may_ask_for_more(code: str, cold: str, hot: str) -> None:
    tested = {"design_code": code, "test_pressure": "15 barg"}
    assert several(SLUG, [tested | {"design_temperature": cold}]) == ([], [])
    for temperature in (hot, None):
        hits, missing = several(SLUG, [tested | {"design_temperature": temperature}])
        assert hits == []
        assert len(missing) == 1
        assert missing[0].startswith("permitted stress of the chamber at the test over that at design")
    low = tested | {"test_pressure": "12 barg", "design_temperature": hot}
    assert several(SLUG, [low])[1] == []


def test_a_code_without_a_ratio_is_decided_when_hot() -> None:
    hot = {"design_code": "ASME B31.1", "design_temperature": "400 degC", "test_pressure": "15 barg"}
    assert several(SLUG, [hot]) == ([], [])


def test_calculation_and_remedy_take_the_factor_of_the_code() -> None:
    cells = {"design_code": "EN 13445", "test_pressure": "14 barg"}
    gauges, item = gauges_of({name: [cell] for name, cell in (SOUND | cells).items()}), find_rule(SLUG)
    (hit,) = fires(SLUG, cells)
    found = calculation_of(item, gauges, gauges.settings, hit)
    assert found is not None
    assert found.fires
    used = {one.symbol: one for one in found.inputs}
    assert used["f"].number == 1.43
    assert "2014/68/EU, Annex I, 7.4" in used["f"].note
    assert used["code"].stated == "EN 13445"
    cure = remedy_of(item, gauges, gauges.settings, hit)
    assert cure is not None
    assert "14.3 barg or more, 1.43 times the design pressure" in cure.text


# --- as it stands in sheets -----------------------------------------------------------------------------

HEADINGS = (
    *("Design Code", "Construction code", "Design standard", "Auslegungsregelwerk", "Code de construction"),
    *("Código de diseño", "Código de projeto", "Codice di calcolo", "Ontwerpcode", "Norma projektowa"),
    *(
        "Konstruktionskod",
        "Konstruksjonskode",
        "Suunnittelustandardi",
        "Výpočtová norma",
        "Tervezési szabvány",
    ),
    *(
        "Cod de proiectare",
        "Tasarım kodu",
        "Нормы проектирования",
        "Норми проєктування",
        "Κώδικας σχεδιασμού",
    ),
    *("设计规范", "設計規格", "설계코드", "Kode desain", "Tiêu chuẩn thiết kế", "كود التصميم", "קוד תכנון"),
)


def index(path: Path, heading: str, *rows: tuple[str, float, float]) -> AuditResult:
    """An index with a code, a design pressure and a test pressure in each row."""
    names = ["Tag", "Fluid", "Density kg/m3", "Design temp. degC", "Design pressure barg", heading]
    table = [[f"LG-{i}", "Water", 990, 40, design, code] for i, (code, design, _) in enumerate(rows, 1)]
    tests = [test for *_, test in rows]
    cells: list[list[object]] = [
        [*names, "Test pressure barg"],
        *([*row, test] for row, test in zip(table, tests, strict=True)),
    ]
    return audit_book(save(path, Index=cells))


@pytest.mark.parametrize("heading", HEADINGS)
def test_the_column_is_read_by_its_heading(heading: str, tmp_path: Path) -> None:
    rows = ("ASME VIII Div. 1", 10, 13), ("EN 13445", 10, 14.2), ("ASME B31.3", 10, 15)
    result = index(tmp_path / "index.xlsx", heading, *rows)
    assert result.columns["Index"]["design_code"] == "F"
    assert [(one.tag, one.cell) for one in result.findings if one.rule == SLUG] == [("LG-2", "G3")]


def test_a_code_that_is_not_known_is_named_with_its_cell(tmp_path: Path) -> None:
    rows = ("Works standard 12", 10, 13), ("ASME VIII-1", 10, 13), ("Works standard 12", 10, 9)
    result = index(tmp_path / "index.xlsx", "Design code", *rows)
    assert [one.tag for one in result.findings if one.rule == SLUG] == ["LG-3"]
    (open_,) = [one for one in result.not_checked if one.rule == SLUG]
    assert (open_.tag, open_.cell, open_.missing) == ("LG-1", "F2", ("code of design",))
    assert "'Works standard 12' is no code of design" in open_.why
    assert "write one, such as ASME VIII-1" in open_.why


def test_a_code_that_is_not_stated_yet_is_asked_for(tmp_path: Path) -> None:
    rows = ("TBD", 10, 13), ("", 10, 13), ("-", 10, 13), ("TBD", 10, 9)
    result = index(tmp_path / "index.xlsx", "Design code", *rows)
    assert [one.tag for one in result.findings if one.rule == SLUG] == ["LG-4"]
    open_ = [(one.tag, one.missing) for one in result.not_checked if one.rule == SLUG]
    assert open_ == [("LG-1", ("code of design",))]
