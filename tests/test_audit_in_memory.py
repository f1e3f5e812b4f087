"""An audit of columns in memory: what is said to be found, what to be not checked, and what is told of it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import Any

import numpy as np
import pytest

from tests.test_gauges_in_memory import with_cases
from tests.test_rule_limits import mass_of
from xlfuncs.audit.acceptance import apply, read_acceptances
from xlfuncs.audit.cases import name_cases
from xlfuncs.audit.engine import audit
from xlfuncs.audit.evidence import evidence_of, split
from xlfuncs.audit.examples import SOUND
from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.in_memory import gauges_of
from xlfuncs.audit.measure import Measure
from xlfuncs.audit.model import AuditResult, Finding, RuleNotRun, Severity, Unchecked, UncheckedBlock
from xlfuncs.audit.named import record_of
from xlfuncs.audit.own_rules import outcomes
from xlfuncs.audit.registry import OWN, Hit, Outcome, Rule, Undecided, find_rule, gauge_hit, unexplained
from xlfuncs.audit.revisions import compare
from xlfuncs.audit.settings import Settings, checked, setting_source
from xlfuncs.audit.waiting import waiting
from xlfuncs.errors import XlfuncsError
from xlfuncs.gauge import reasons, refuse
from xlfuncs.lists.reading import OpenColumn
from xlfuncs.report import _consequence as consequence
from xlfuncs.report import _summary as summary

QUIET = Settings(ignore=("number-as-text", "serial-reused", "float-not-in-list"))
SINKS = {"fluid_density": "700 kg/m3", "fluid": "Blend 7"}


def audited(*rows: Mapping[str, Any], floats: Mapping[str, Sequence[Any]] | None = None) -> AuditResult:
    names = dict.fromkeys([*SOUND, *(name for row in rows for name in row)])
    columns = {name: [{**SOUND, **row}.get(name) for row in rows] for name in names}
    return audit(gauges_of(columns, floats).book, QUIET)


def findings(result: AuditResult) -> list[tuple[str, str]]:
    return [(one.rule, one.tag) for one in result.findings]


def lacking(result: AuditResult, rule: str) -> dict[str, tuple[str, ...]]:
    """Tag -> what a rule lacks for it."""
    return {one.tag: one.missing for one in result.not_checked if one.rule == rule}


@pytest.fixture(scope="module")
def several() -> AuditResult:
    return audited(
        {"tag": "LG-1", "float_ends": "odd"},
        {"tag": "LG-2"},
        {"tag": "LG-3", "float_mass": None},
        {"tag": "LG-4", "float_mass": None, "float_length": None},
        {"tag": "LG-5", **SINKS},
        {"tag": "LG-6", "switch_lsl": "900 mm", "switch_lsh": "850 mm"},
    )


def test_what_lacks_is_told_by_gauge(several: AuditResult) -> None:
    told = lacking(several, "float-sinks")
    assert set(told) == {"LG-1", "LG-3", "LG-4"}
    assert told["LG-3"] == ("float mass",)
    assert told["LG-4"] == ("float mass", "float length over all")


def test_a_word_that_was_not_understood_is_told_with_its_cell(several: AuditResult) -> None:
    (one,) = (one for one in several.not_checked if (one.rule, one.tag) == ("float-sinks", "LG-1"))
    assert (one.cell, one.why) == ("T2", "'odd' is none that is known")
    assert one.lacking == (f"{one.missing[0]} (T2: 'odd' is none that is known)",)


def test_a_cause_is_found_once_and_names_what_only_repeats_it(several: AuditResult) -> None:
    told = findings(several)
    assert ("float-sinks", "LG-5") in told
    assert ("float-barely-floats", "LG-5") not in told
    assert ("switch-order", "LG-6") in told
    assert ("switch-spacing-small", "LG-6") not in told
    assert "LG-5" not in lacking(several, "float-sinks")
    assert [one["tag"] for one in several.gauges] == ["LG-5", "LG-6"]


def test_what_a_rule_has_found_at_a_gauge_it_does_not_ask_for_as_well() -> None:
    result = audited({"switch_lsl": "900 mm", "switch_lsh": "850 mm", "switch_lshh": "odd"})
    assert ("switch-order", "LG-1000") in findings(result)
    assert lacking(result, "switch-order") == {}
    assert set(lacking(result, "switch-outside-range")) == {"LG-1000"}
    lower = {"tag": "LG-2A", "connection_elevation": "1000 mm"}
    upper = {"tag": "LG-2B", "connection_elevation": "2010 mm", "visible_low": "1010 mm"}
    assert set(lacking(audited(lower, upper), "stacked-gauges-gap")) == {"LG-2B"}
    other = audited(lower, upper | {"fluid": "Toluene"})
    assert ("stacked-gauges-gap", "LG-2B") in findings(other)
    assert lacking(other, "stacked-gauges-gap") == {}


def test_what_one_lacks_is_asked_for_once(several: AuditResult) -> None:
    told = [(one.rule, one.tag) for one in several.not_checked]
    assert len(told) == len(set(told))
    assert [tag for rule, tag in told if rule == "float-sinks"] == ["LG-1", "LG-3", "LG-4"]
    assert {rule for rule, tag in told if tag == "LG-2"} == {"float-collapses"}  # its flat ends


def test_findings_are_counted_by_their_severity(several: AuditResult) -> None:
    counts = {severity: several.count(severity) for severity in Severity}
    assert sum(counts.values()) == len(several.findings)
    assert counts[Severity.ERROR] == sum(one.severity is Severity.ERROR for one in several.findings) > 0
    assert several.worst() is Severity.ERROR


def test_gauges_are_counted_by_their_rows_and_not_by_their_tags() -> None:
    lacks = {"float_mass": None, "viscosity": None}
    result = audited(
        {"tag": "LG-1", **SINKS}, {"tag": None, **SINKS}, {"tag": "LG-1", **SINKS}, {"tag": "LG-2"}
    )
    assert result.to_dict()["gauges_with_findings"] == 3
    assert consequence.headline(result.findings).startswith("3 gauges cannot work")
    places = {(one["gauge"]["sheet"], one["gauge"]["cell"]) for one in result.to_dict()["findings"]}
    assert len(places) == 3
    result = audited({"tag": "LG-1", **lacks}, {"tag": None, **lacks}, {"tag": "LG-1", **lacks})
    (names,) = (names for rule, _, names in summary.unchecked(result) if rule == "float-sinks")
    assert names == ["LG-1", "gauges row 3", "LG-1 (gauges row 4)"]
    assert dict(summary.undecided(summary.unchecked(result)))["float-sinks"] == 3


def test_the_cases_of_a_gauge_are_counted_once() -> None:
    columns = {name: [value, value] for name, value in {**SOUND, "tag": "LG-1", **SINKS}.items()}
    result = audit(with_cases(("A", "B"), (2, 2), **columns).book, QUIET)
    assert result.to_dict()["gauges_with_findings"] == 1
    lacking = audit(with_cases(("A", "B"), (2, 2), **columns | {"float_mass": [None, None]}).book, QUIET)
    assert dict(summary.undecided(summary.unchecked(lacking)))["float-sinks"] == 1


def test_a_finding_about_a_float_list_is_counted_as_no_gauge() -> None:
    listed = {"float_part": ["F-1", "F-1"], "float_mass": ["350 g", "390 g"]}
    result = audited({"float_part": "F-1", "float_mass": None}, floats=listed)
    assert result.to_dict()["gauges_with_findings"] == 0
    assert consequence.headline(result.findings) == "1 finding about no single gauge"


def test_gauges_of_two_books_are_two_though_they_stand_in_the_same_cells() -> None:
    one = audited({"tag": "LG-1", **SINKS})
    assert consequence.headline(one.findings, one.findings).startswith("2 gauges cannot work")
    (first, *_) = one.findings
    located = [("A", book, first) for book in (0, 0, 1)] + [("B", 0, first)]
    assert [len(area.gauges) for area in summary.areas(located)] == [2, 1]


def test_a_word_of_the_float_list_is_told_with_its_sheet() -> None:
    listed = {"float_part": ["F-1"], "float_ends": ["odd"]}
    result = audited({"float_part": "F-1", "float_ends": None}, floats=listed)
    (one,) = (one for one in result.not_checked if one.rule == "float-sinks")
    assert (one.sheet, one.cell) == ("gauges", "floats!B2")


def test_a_finding_in_the_float_list_belongs_to_no_gauge() -> None:
    listed = {"float_part": ["F-1", "F-1"], "float_mass": ["350 g", "390 g"]}
    result = audited({"float_part": "F-1", "float_mass": None}, floats=listed)
    (one,) = (one for one in result.findings if one.rule == "float-list-repeats")
    assert one.sheet == "floats"
    assert all(entry["tag"] for entry in result.gauges)
    assert one.calculation is None
    assert one.remedy is not None and one.remedy.options == ()  # which row holds is not known
    assert one.remedy.text.endswith("it is that of LG-1000: read the number on the float.")


@pytest.mark.parametrize(("count", "blocks"), [(200, 200), (201, 1)])
def test_up_to_two_hundred_words_are_told_cell_by_cell(count: int, blocks: int) -> None:
    columns = {"tag": [f"LG-{i}" for i in range(count)], "chamber_material": ["Unobtainium"] * count}
    result = audit(gauges_of(columns).book, QUIET)
    told = [one for one in _blocks(result) if one.rule == "chamber-magnetic"]
    assert len(told) == blocks
    assert sum(len(one.gauges) for one in told) == count


def _blocks(result: AuditResult) -> list[UncheckedBlock]:
    assert isinstance(result.not_checked, Unchecked)
    return result.not_checked.blocks


def test_what_was_not_checked_is_counted_through_its_blocks() -> None:
    first = UncheckedBlock("a", ("x",), [("LG-1", "S", 2), ("LG-2", "S", 3)])
    every = Unchecked([first, UncheckedBlock("b", ("y",), [("LG-3", "S", 4)])])
    assert [(every[i].rule, every[i].tag) for i in range(3)] == [("a", "LG-1"), ("a", "LG-2"), ("b", "LG-3")]
    for beyond in (3, -1):
        with pytest.raises(IndexError):
            every[beyond]


# --- acceptances and revisions --------------------------------------------------------------------------

ACCEPTED = {"who": "B. Reviewer", "why": "as built", "when": date(2026, 3, 2), "until": date(2026, 3, 2)}


def result_of(*found: tuple[str, str, str]) -> AuditResult:
    """A result with findings (rule, tag, cell)."""
    made = [
        Finding(rule, Severity.ERROR, "Index", cell, tag, f"{rule} at {cell}", "")
        for rule, tag, cell in found
    ]
    return AuditResult("a.xlsx", "", 1, {}, {}, made, [])


def left(entry: dict[str, Any], today: date = date(2026, 3, 2)) -> tuple[list[str], str]:
    """Cells of the findings that an acceptance leaves, and what is said of it."""
    result = result_of(
        ("float-sinks", "LG-1", "B2"), ("switch-order", "LG-1", "C2"), ("float-sinks", "LG-2", "B3")
    )
    apply(result, read_acceptances([ACCEPTED | entry], "own.toml"), today)
    return [one.cell for one in result.findings], result.accepted[0].state


def test_an_acceptance_covers_what_agrees_with_all_that_it_gives() -> None:
    assert left({"tag": "lg-1"}) == (["B3"], "used")
    assert left({"rule": "float-sinks"}) == (["C2"], "used")
    assert left({"tag": "LG-1", "rule": "float-sinks"}) == (["C2", "B3"], "used")
    assert left({"cell": "Index!B3"}) == (["B2", "C2"], "used")
    assert left({"cell": "'Index'!C2"}) == (["B2", "B3"], "used")
    assert left({"cell": "Index!D9"}) == (["B2", "C2", "B3"], "unused")


def test_an_acceptance_holds_on_its_last_day_and_no_longer() -> None:
    assert left({"tag": "LG-1"}, date(2026, 3, 2))[1] == "used"
    assert left({"tag": "LG-1"}, date(2026, 3, 3)) == (["B2", "C2", "B3"], "expired")


def test_an_acceptance_ends_no_earlier_than_it_begins() -> None:
    assert read_acceptances([ACCEPTED | {"tag": "LG-1"}], "own.toml")[0].until == date(2026, 3, 2)
    with pytest.raises(XlfuncsError, match="until is before when"):
        read_acceptances([ACCEPTED | {"tag": "LG-1", "until": date(2026, 3, 1)}], "own.toml")


def test_a_rule_that_fires_more_often_than_before_is_new_for_the_surplus() -> None:
    old = result_of(("float-sinks", "LG-1", "B2"), ("switch-order", "LG-1", "C2"))
    new = result_of(("float-sinks", "LG-1", "B5"), ("float-sinks", "LG-1", "B6"))
    compare(new, old)
    assert [one.status for one in new.findings] == ["open", "new"]
    assert [one.rule for one in new.mended] == ["switch-order"]


# --- settings -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("values", "right"),
    [
        ({"float_reserve_minimum": 0.0}, True),
        ({"float_reserve_minimum": 0.9}, True),
        ({"float_reserve_minimum": 0.91}, False),
        ({"float_reserve_minimum": -0.01}, False),
        ({"float_reserve_minimum": True}, False),
        ({"ignore": ["tag-missing"]}, True),
        ({"ignore": "tag-missing"}, False),
        ({"ignore": 3}, False),
    ],
)
def test_a_setting_lies_within_its_bounds(values: dict[str, Any], right: bool) -> None:
    if right:
        made = checked(values, Settings(), "own.toml")
        ((name, value),) = values.items()
        assert getattr(made, name) == (tuple(value) if isinstance(value, list) else value)
        return
    with pytest.raises(XlfuncsError, match=r"own.toml: .* must be"):
        checked(values, Settings(), "own.toml")


def test_a_setting_has_its_own_meaning() -> None:
    assert setting_source("freezing_margin_k")[0] == "distance kept from pour or freezing point"
    assert setting_source("offset_tolerance_mm")[0] == "permitted reading offset, either way"


# --- cases ----------------------------------------------------------------------------------------------


def cased(*messages: tuple[int, str]) -> list[tuple[int, str, dict[str, float | str]]]:
    """What is told of hits (record, message) of LG-1 with two cases and LG-2 with none."""
    gauges = with_cases(("Case A", "Case B", ""), (2, 2, 4), tag=["LG-1", "LG-1", "LG-2"])
    item = find_rule("float-sinks")
    hits = [(item, Hit(record, "gauges", f"B{record + 2}", "", text, "fluid")) for record, text in messages]
    return [(hit.record, hit.message, hit.evidence) for _, hit in name_cases(hits, gauges)]


def test_what_every_case_says_alike_is_told_once_and_else_by_case() -> None:
    assert cased((0, "sinks"), (1, "sinks")) == [(0, "sinks", {"other_cell": "gauges!B3"})]
    assert cased((1, "sinks")) == [(1, "Case B: sinks", {"case": "Case B"})]
    assert [text for _, text, _ in cased((0, "sinks"), (1, "sinks too"))] == [
        "Case A: sinks",
        "Case B: sinks too",
    ]
    assert cased((2, "sinks")) == [(2, "sinks", {})]
    assert cased((-1, "listed twice")) == [(-1, "listed twice", {})]


# --- evidence and measures ------------------------------------------------------------------------------


def test_a_name_that_is_a_unit_alone_has_none() -> None:
    assert split("offset_mm") == ("offset", "mm", "length")
    assert split("_mm") == ("_mm", "", "")


def test_evidence_stands_in_the_cell_that_states_it() -> None:
    columns: dict[str, list[Any]] = {
        "tag": ["LG-1"],
        "fluid_density": ["880 kg/m3"],
        "chamber_material": ["A105"],
    }
    columns |= {"fluid_density_min": ["870 kg/m3"], "flange_material": ["316L"], "float_mass": ["350 g"]}
    gauges = gauges_of(columns)

    def place(record: int = 0, **evidence: float | str) -> str:
        hit = Hit(record, "gauges", "A2", "LG-1", "", "fluid_density", evidence=evidence)
        return evidence_of(gauges, hit)[0].cell

    assert place(density_kg_m3=870.0) == "D2"
    assert place(density_kg_m3=880.0) == "B2"
    assert place(density_kg_m3=875.0) == ""
    assert place(material="A105") == "C2"
    assert place(material="316L") == "E2"
    assert place(material="Titanium") == ""
    assert place(float_mass_g=355.0) == "F2"  # the only cell of that name, whatever was compared
    assert place(-1, density_kg_m3=880.0) == ""
    assert place(level_mm=1.0) == "B2"  # what is judged stands at the finding's own cell


def test_a_number_has_four_digits_or_is_whole() -> None:
    told = [str(Measure(value, "mm")) for value in (0.12345, 12.345, 999.94, 1000.4, 12345.6, -12345.6)]
    assert told == ["0.1235 mm", "12.35 mm", "999.9 mm", "1000 mm", "12346 mm", "-12346 mm"]
    assert str(Measure("A105")) == "A105"


def test_a_gauge_is_found_by_its_tag_whatever_its_case_and_blanks() -> None:
    gauges = gauges_of({"tag": ["LG 1", "LG-2", "LG-3", "lg-3"]})
    assert [record_of(gauges, "lg1"), record_of(gauges, "LG-2")] == [0, 1]
    with pytest.raises(XlfuncsError, match="LG-3 stands at gauges row 4 and gauges row 5"):
        record_of(gauges, "LG-3")
    with pytest.raises(XlfuncsError, match="there is no gauge LG-22: did you mean LG-2"):
        record_of(gauges, "LG-22")


# --- rules of others ------------------------------------------------------------------------------------

TWO = gauges_of({"tag": ["LG-1", "LG-2"]})


def own(*given: Outcome, **details: Any) -> list[Outcome] | str:
    """What an own rule gives, or why it cannot be run."""

    def check(gauges: Gauges, settings: Settings) -> Iterator[Outcome]:
        yield from given

    found = outcomes(Rule("acme", Severity.NOTE, check, OWN, **details), TWO, TWO.settings)
    return found.why if isinstance(found, RuleNotRun) else found


@pytest.mark.parametrize(("record", "right"), [(-2, False), (-1, True), (0, True), (1, True), (2, False)])
def test_a_hit_of_an_own_rule_is_one_of_the_gauges_or_of_none(record: int, right: bool) -> None:
    hit = Hit(record, "gauges", "A2", "", "fires")
    assert own(hit) == (
        [hit] if right else f"IndexError: there is no gauge {record}: they are numbered from 0 to 1"
    )


def test_an_own_rule_gives_one_truth_for_each_gauge() -> None:
    right = Undecided(np.array([True, False]), "data")
    assert own(right) == [right]
    for wrong in (np.array([True]), np.array([1, 0]), np.array([1.0, 0.0])):
        assert "give one truth for each gauge" in str(own(Undecided(wrong, "data")))


def test_a_hit_that_is_no_gauge_s_needs_nothing_of_one() -> None:
    elsewhere, here = Hit(-1, "floats", "A2", "", "fires"), Hit(0, "gauges", "A2", "", "fires")
    assert own(elsewhere, here, needs=("float_mass",)) == [elsewhere]
    assert own(elsewhere, here, needs=("tag",)) == [elsewhere, here]


def test_a_failing_own_rule_is_named_by_its_line_and_not_by_ours() -> None:
    code = "def check(gauges, settings):\n    yield 1\n\n"
    code += "def wrong(gauges, settings):\n    gauges.si('fluid')\n    yield\n"
    names: dict[str, Any] = {}
    exec(compile(code, "own_rule.py", "exec"), names)
    found = outcomes(Rule("acme", Severity.NOTE, names["wrong"], OWN), TWO, TWO.settings)
    assert isinstance(found, RuleNotRun)
    assert (found.file, found.line) == ("own_rule.py", 5)
    found = outcomes(Rule("acme", Severity.NOTE, names["check"], OWN), TWO, TWO.settings)
    assert isinstance(found, RuleNotRun)
    assert (found.file, found.line) == ("own_rule.py", 1)


def test_a_number_that_is_none_is_told_by_its_reason() -> None:
    where = np.array([True, True, False, True])
    with reasons() as why:
        values = refuse(np.array([1.0, 2.0, 3.0, 4.0]), np.array([True, False, True, False]), "too hot")
        values = refuse(values, np.array([False, False, False, True]), "too cold")
    told = [
        (one.missing, one.where.tolist()) for one in unexplained(where, np.asarray(values), why, "a state")
    ]
    assert told == [
        ("a state (too hot)", [True, False, False, False]),
        ("a state (too cold)", [False, False, False, True]),
    ]
    with reasons() as why:
        some = refuse(np.array([1.0, 2.0, 4.0]), np.array([False, True, False]), "too hot")
    told = [(one.missing, one.where.tolist()) for one in unexplained(where, np.asarray(some), why, "a state")]
    assert told == [("a state (too hot)", [False, True, False, False])]


# --- open columns ---------------------------------------------------------------------------------------


def column(
    heading: str, *fields: str, what: Any = "unread", kind: Any = "gauges", sheet: str = "Index"
) -> OpenColumn:
    options = (*fields, "none")
    return OpenColumn(sheet, kind, "C", "C1", heading, fields, options, f"'{heading}' is not known", what)


def waits(
    columns: Sequence[OpenColumn], lacks: Mapping[str, int], sheets: Mapping[str, int]
) -> list[tuple[Any, ...]]:
    """(heading, fields, rules, gauges) of what waits; `lacks`: field -> gauges of 'Index' that lack it."""
    blocks = [
        UncheckedBlock(
            f"needs-{name}", (name,), [(f"LG-{i}", "Index", i) for i in range(n)], fields=(frozenset({name}),)
        )
        for name, n in lacks.items()
    ]
    return [
        (one.column.heading, one.column.fields, one.rules, one.gauges)
        for one in waiting(columns, Unchecked(blocks), sheets)
    ]


def test_an_unread_column_is_what_half_of_the_gauges_lack() -> None:
    unread = [column("X", "viscosity", "float_mass")]
    assert waits(unread, {"viscosity": 5, "float_mass": 6}, {"Index": 10}) == [
        ("X", ("float_mass",), ("needs-float_mass",), 6)
    ]
    assert waits(unread, {"viscosity": 5}, {"Index": 10}) == [("X", ("viscosity",), ("needs-viscosity",), 5)]
    assert waits(unread, {"viscosity": 5}, {"Index": 11}) == []
    assert waits(unread, {"viscosity": 50}, {"Index": 91}) == [
        ("X", ("viscosity",), ("needs-viscosity",), 50)
    ]
    assert waits(unread, {"viscosity": 50}, {"Index": 99}) == [
        ("X", ("viscosity",), ("needs-viscosity",), 50)
    ]
    assert waits(unread, {"viscosity": 50}, {"Index": 101}) == []


def test_a_column_in_doubt_goes_before_what_was_not_understood() -> None:
    doubt = column("D", "viscosity", what="doubt")
    told = waits(
        [column("X", "viscosity", "float_mass"), doubt], {"viscosity": 9, "float_mass": 6}, {"Index": 10}
    )
    assert [(heading, fields) for heading, fields, _, _ in told] == [
        ("D", ("viscosity",)),
        ("X", ("float_mass",)),
    ]
    assert waits([doubt], {"viscosity": 1}, {"Index": 10}) == [("D", ("viscosity",), ("needs-viscosity",), 1)]


def test_a_column_of_one_sheet_gives_nothing_to_the_gauges_of_another() -> None:
    here, there = (
        column("D", "viscosity", what="doubt"),
        column("D", "viscosity", what="doubt", sheet="Other"),
    )
    assert waits([here], {"viscosity": 3}, {"Index": 3, "Other": 2}) == [
        ("D", ("viscosity",), ("needs-viscosity",), 3)
    ]
    assert waits([there], {"viscosity": 3}, {"Index": 3, "Other": 2}) == [("D", ("viscosity",), (), 0)]
    floats = replace(there, kind="floats")
    assert waits([floats], {"viscosity": 3}, {"Index": 3, "Other": 2}) == [
        ("D", ("viscosity",), ("needs-viscosity",), 3)
    ]


def test_a_rule_that_was_not_run_for_a_gauge_lists_the_columns_in_doubt() -> None:
    from xlfuncs.audit.waiting import named

    block = UncheckedBlock("a", ("viscosity",), [("LG-1", "Index", 2)], fields=(frozenset({"viscosity"}),))
    told = named([column("D", "viscosity", what="doubt"), column("X", "viscosity")], Unchecked([block]))
    assert told.blocks[0].perhaps == ("Index!C 'D'",)
    assert named([column("X", "viscosity")], Unchecked([block])).blocks[0].perhaps == ()


def test_the_sound_gauge_has_no_finding() -> None:
    assert findings(audited({})) == []
    assert findings(audited({"fluid": "Blend 7", "float_mass": mass_of(984)}))[0][0] == "float-sinks"
    assert gauge_hit(TWO, 1, "tag", "x").cell == "A3"
