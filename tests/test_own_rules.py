"""An own rule that fails is named with its line and reason, the others run, the exit status tells."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from tests.test_additions import CODE, _install, _run
from xlfuncs.audit.engine import audit
from xlfuncs.audit.examples import SOUND
from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.in_memory import gauges_of
from xlfuncs.audit.model import RuleNotRun, Severity
from xlfuncs.audit.own_rules import outcomes, problems
from xlfuncs.audit.registry import OWN, Hit, Outcome, Rule, gauge_hit
from xlfuncs.audit.settings import Settings

OWN_RULE = CODE[: CODE.index("def stock_number")].replace("gauge_hit, rule", "Hit, gauge_hit, rule")
FAULTS = {
    "misspelt field": (
        'gauges.si("float_length")',
        'gauges.si("float_lenght")',
        13,
        "did you mean float_length",
    ),
    "a field of texts": (
        'gauges.si("float_length")',
        'gauges.si("fluid")',
        13,
        "ask for gauges.texts('fluid')",
    ),
    "misspelt need": ('needs=("float_length",)', 'needs=("float_lenght",)', 5, "did you mean float_length"),
    "misspelt setting": (
        "needs=",
        "thresholds=('offset_tolerance',), needs=",
        5,
        "no setting 'offset_tolerance'",
    ),
    "misspelt rule": ("needs=", "covers=('float-sink',), needs=", 5, "there is no rule 'float-sink'"),
    "exception": ("    lengths =", "    1 / 0\n    lengths =", 13, "ZeroDivisionError: division by zero"),
    "no hit": ("yield gauge_hit(", "yield (", 5, "it yields (<xlfuncs.audit"),
    "place of no field": ('record, "float_length"', 'record, "lenght"', 15, "there is no field 'lenght'"),
    "severity": ("Severity.WARNING", '"warning"', 5, "its severity is 'warning'; give one of Severity."),
    "no measure": ('300 mm")', '300 mm", expected=300)', 5, "expected is 300; give xlfuncs.Measure"),
    "no text": ('300 mm")', '300 mm", mend=7)', 5, "mend is 7; give a text"),
    "no mask": ("yield gauge_hit(", "yield Undecided(True, ''), (", 5, "it yields"),
    "one mask for all": (
        "    for",
        "    yield Undecided(lengths[:0] > 0, '')\n    for",
        5,
        "give one truth for each",
    ),
    "no such gauge": (
        "for record in",
        "yield Hit(7, '', 'A1', '', '')\n    for record in",
        5,
        "there is no gauge 7",
    ),
    "when": ("needs=", "when=lambda gauges: gauges.given('tagg'), needs=", 5, "there is no field 'tagg'"),
}
"""What is wrong -> the text it replaces, the line that is named, and what is said."""


def _rule(code: str) -> Rule:
    """The rule of a module, as if a distribution had added it."""
    names: dict[str, list[Rule]] = {"__name__": "own_rule"}  # type: ignore[dict-item]
    exec(compile(code, "own_rule.py", "exec"), names)
    return replace(names["RULES"][0], family=OWN, origin="own 1.2 (entry point own of xlfuncs.rules)")


def _changed(right: str, wrong: str) -> str:
    assert OWN_RULE.count(right) == 1
    return OWN_RULE.replace(right, wrong)


LONG = gauges_of({name: [cell] for name, cell in (SOUND | {"float_length": "400 mm"}).items()})


def test_a_rule_without_fault_gives_its_hits() -> None:
    found = outcomes(_rule(OWN_RULE), LONG, LONG.settings)
    assert isinstance(found, list)
    assert [(hit.tag, hit.cell) for hit in found if isinstance(hit, Hit)] == [("LG-1000", "S2")]
    assert list(problems(_rule(OWN_RULE))) == []


@pytest.mark.parametrize("fault", FAULTS)
def test_a_rule_that_fails_says_where_and_why(fault: str) -> None:
    right, wrong, line, said = FAULTS[fault]
    found = outcomes(_rule(_changed(right, wrong)), LONG, LONG.settings)
    assert isinstance(found, RuleNotRun), found
    assert (found.rule, found.file, found.line) == ("acme-long-float", "own_rule.py", line)
    assert said in found.why
    assert str(found).startswith(f"rule acme-long-float was not run: own_rule.py, line {line}: ")
    assert str(found).endswith("; mend or uninstall own 1.2 (entry point own of xlfuncs.rules)")


@pytest.mark.parametrize(
    ("right", "wrong", "said"),
    [
        ("400 mm", "200 mm", "its example does not fire: float_length = 200 mm"),
        ("> 0.3)", "> 0.2)", "it fires on what should pass: the sound gauge"),
        (', firing={"float_length": "400 mm"}', "", "it has no example; give firing="),
        ('{"float_length"', '{"float_lenght"', "there is no field 'float_lenght'"),
        ('gauges.si("float_length")', 'gauges.si("float_lenght")', "there is no field 'float_lenght'"),
    ],
)
def test_an_example_that_does_not_hold_is_a_problem(right: str, wrong: str, said: str) -> None:
    told = list(problems(_rule(_changed(right, wrong))))
    assert len(told) == 1
    assert told[0].startswith("rule acme-long-float of own 1.2 (entry point own of xlfuncs.rules): ")
    assert said in told[0]


def test_a_rule_of_ours_that_fails_stops_the_audit(monkeypatch: pytest.MonkeyPatch) -> None:
    ours = replace(_rule(_changed(*FAULTS["exception"][:2])), family="geometry")
    monkeypatch.setattr("xlfuncs.audit.engine.rules", lambda: {ours.slug: ours})
    with pytest.raises(ZeroDivisionError):
        audit(LONG.book, LONG.settings)


def test_every_report_tells_of_a_rule_that_was_not_run(tmp_path: Path) -> None:
    site, index = tmp_path / "site", tmp_path / "index.csv"
    site.mkdir()
    code = _changed(*FAULTS["misspelt field"][:2])
    _install(site, "own_rule", "[xlfuncs.rules]\na = own_rule:RULES\n", code)
    index.write_text("Tag,Density kg/m3,Float length mm\nLG-1,800,400\nLG-1,800,400\n", encoding="utf-8")
    done = _run(site, "-m", "xlfuncs", "audit", str(index), "--format", "json")
    assert done.returncode == 2
    assert done.stderr.count("\n") == 1
    place = f"{site}/own_rule/__init__.py, line 13: there is no field"
    assert done.stderr.startswith(f"xlfuncs: {index}: rule acme-long-float was not run: {place}")
    result = json.loads(done.stdout)
    assert "tag-duplicate" in {one["rule"] for one in result["findings"]}
    assert [(one["rule"], one["line"]) for one in result["rules_not_run"]] == [("acme-long-float", 13)]
    page = tmp_path / "page.html"
    shown = _run(site, "-m", "xlfuncs", "audit", str(index), "--format", "html", "-o", str(page))
    assert (shown.returncode, "acme-long-float was not run" in page.read_text(encoding="utf-8")) == (2, True)
    shown = _run(site, "-m", "xlfuncs", "audit", str(index), "--all", "--format", "text")
    assert "rule acme-long-float was not run" in " ".join(shown.stdout.split())
    for command in (("rules", "--check"), ("explain", "acme-long-float")):
        done = _run(site, "-m", "xlfuncs", *command)
        assert (done.returncode, done.stderr.count("\n")) == (2, 1)
        assert "rule acme-long-float of own_rule 1.2 (entry point a of xlfuncs.rules)" in done.stderr


def test_a_gauge_that_lacks_what_a_rule_needs_is_not_accused() -> None:
    """Whatever the rule itself yields: it is listed as not checked instead."""

    def check(gauges: Gauges, settings: Settings) -> Iterator[Outcome]:
        yield from (gauge_hit(gauges, record, "tag", "fires on all") for record in range(gauges.n))

    own = Rule("acme-all", Severity.NOTE, check, OWN, needs=("float_mass", ("viscosity", "viscosity_max")))
    columns = {"tag": ["LG-1", "LG-2", "LG-3"], "float_mass": ["300 g", "", "300 g"]}
    gauges = gauges_of(columns | {"viscosity": ["", "5 cP", "5 cP"]})
    found = outcomes(own, gauges, gauges.settings)
    assert not isinstance(found, RuleNotRun)
    assert [one.record for one in found if isinstance(one, Hit)] == [2]
