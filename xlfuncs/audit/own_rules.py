"""Rules that other distributions add: what they name is checked, and one that fails stops no other."""

from __future__ import annotations

import inspect
from collections.abc import Callable, Iterator
from dataclasses import fields
from traceback import extract_tb

import numpy as np

from xlfuncs.audit.examples import SOUND
from xlfuncs.audit.gauges import VIRTUAL, Gauges, Mask, no_field
from xlfuncs.audit.model import Measure, RuleNotRun, Severity
from xlfuncs.audit.registry import (
    OWN,
    Hit,
    Outcome,
    Row,
    Rule,
    Undecided,
    Unread,
    calculation_of,
    check_names,
    remedy_of,
    rules,
)
from xlfuncs.audit.settings import Settings
from xlfuncs.data import load
from xlfuncs.errors import XlfuncsError


def outcomes(item: Rule, gauges: Gauges, settings: Settings) -> list[Outcome] | RuleNotRun:
    """What a rule says of all gauges; for a rule of another distribution that fails, why."""
    if item.family != OWN:
        return list(item.check(gauges, settings))
    try:
        _check_declared(item)
        found = list(item.check(gauges, settings))
        _check_given(item, gauges, settings, found)
        lacks = _lacking(item, gauges)
    except Exception as why:
        return _not_run(item, why)
    return [one for one in found if not (isinstance(one, Hit) and one.record >= 0 and lacks[one.record])]


def _lacking(item: Rule, gauges: Gauges) -> Mask:
    """The gauges that lack something a rule needs: they are listed as not checked, whatever it yields."""
    lacks = np.zeros(gauges.n, dtype=np.bool_)
    for group in item.needed:
        lacks |= ~np.logical_or.reduce([gauges.given(name) for name in group])
    return lacks


def _check_declared(item: Rule) -> None:
    """XlfuncsError where a rule names a field, a setting or a rule that there is not, or has no severity."""
    severity: object = item.severity
    if not isinstance(severity, Severity):
        names = ", ".join(f"Severity.{one.name}" for one in Severity)
        raise XlfuncsError(f"its severity is {severity!r}; give one of {names}")
    needs = [name for group in item.needed for name in group]
    for name in (*needs, *item.assumes):
        if name not in VIRTUAL and name.removesuffix(".low").removesuffix(".high") not in load("fields"):
            raise no_field(name, VIRTUAL)
    known = {one.name for one in fields(Settings)}
    for name in item.thresholds:
        if name not in known:
            raise XlfuncsError(f"there is no setting '{name}'")
    check_names(item.covers, "covers")


def _check_given(item: Rule, gauges: Gauges, settings: Settings, found: list[Outcome]) -> None:
    """An error where the engine or a report would stumble over what a rule gives."""
    for one in found:
        if not isinstance(one, (Hit, Undecided, Unread)):
            raise TypeError(f"it yields {one!r}; yield xlfuncs.gauge_hit(...) or xlfuncs.Undecided(...)")
        if isinstance(one, Undecided):
            _check_mask(one.where, gauges, "Undecided")
        if isinstance(one, Hit):
            if not -1 <= one.record < gauges.n:
                raise IndexError(
                    f"there is no gauge {one.record}: they are numbered from 0 to {gauges.n - 1}"
                )
            _check_hit(one)
            calculation_of(item, gauges, settings, one)
            remedy_of(item, gauges, settings, one)
    if item.when is not None:
        _check_mask(item.when(gauges), gauges, "when")


def _check_hit(one: Hit) -> None:
    texts: dict[str, object] = {"message": one.message, "mend": one.mend}
    for name, text in texts.items():
        if not isinstance(text, str):
            raise TypeError(f"{name} is {text!r}; give a text")
    measures: dict[str, object] = {"found": one.found, "expected": one.expected}
    for name, value in measures.items():
        if value is not None and not isinstance(value, Measure):
            raise TypeError(f"{name} is {value!r}; give xlfuncs.Measure(NUMBER, UNIT), or leave it out")


def _check_mask(mask: object, gauges: Gauges, what: str) -> None:
    made = np.asarray(mask)
    if made.shape != (gauges.n,) or made.dtype != np.bool_:
        raise TypeError(f"{what} gives {made.dtype} of shape {made.shape}; give one truth for each gauge")


def _not_run(item: Rule, why: Exception) -> RuleNotRun:
    """Where a rule failed: its last line that was being run, else its declaration."""
    check: Callable[..., object] = inspect.unwrap(item.check)
    code = getattr(check, "__code__", None)
    file, line = (code.co_filename, code.co_firstlineno) if code is not None else (item.check.__module__, 0)
    within = [frame.lineno for frame in extract_tb(why.__traceback__) if frame.filename == file]
    text = str(why) if isinstance(why, XlfuncsError) else f"{type(why).__name__}: {why}"
    return RuleNotRun(item.slug, item.origin, file, next(reversed(within), None) or line, text)


# --- examples ---------------------------------------------------------------------------------------


def own_rules() -> list[Rule]:
    """The rules that other distributions add."""
    return [item for item in rules().values() if item.family == OWN]


def problems(item: Rule) -> Iterator[str]:
    """What is wrong with an own rule by its examples: one that does not fire, or fires where it must not."""
    head = f"rule {item.slug} of {item.origin}"
    if not item.firing:
        yield f"{head}: it has no example; give firing={{'FIELD': 'CELL'}}, what differs from a sound gauge"
    for row in item.firing:
        found = _tried(item, row)
        if isinstance(found, str):
            yield f"{head}: {found}"
        elif not found:
            yield f"{head}: its example does not fire: {_said(row)}"
    for row in item.passing or ({},):
        found = _tried(item, row)
        if isinstance(found, str):
            if not item.firing:
                yield f"{head}: {found}"
        elif found:
            yield f"{head}: it fires on what should pass: {_said(row)}; change it, or give passing={{...}}"


def _tried(item: Rule, row: Row) -> list[Hit] | str:
    """The hits of a rule on the sound gauge with some cells changed; why it cannot be tried."""
    from xlfuncs.audit.in_memory import gauges_of

    try:
        gauges = gauges_of({name: [cell] for name, cell in (SOUND | dict(row)).items()})
    except XlfuncsError as why:
        return f"its example {_said(row)}: {why}"
    found = outcomes(item, gauges, gauges.settings)
    if isinstance(found, RuleNotRun):
        return f"{found.file}, line {found.line}: {found.why}"
    return [one for one in found if isinstance(one, Hit)]


def _said(row: Row) -> str:
    return ", ".join(f"{name} = {cell}" for name, cell in row.items()) or "the sound gauge"
