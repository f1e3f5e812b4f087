"""How a rule is declared: one function whose docstring is its manual page.

The docstring has a title and three paragraphs::

    The float sinks.

    Finds: ...
    Why: ...
    Mend: ...
"""

from __future__ import annotations

import inspect
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from dataclasses import field as made_by
from functools import cache, cached_property
from importlib import import_module
from typing import Any

import numpy as np

from xlfuncs.additions import RULES, Added, added
from xlfuncs.audit.calculation import Calculation
from xlfuncs.audit.gauges import Gauges, Mask, label, stated_in
from xlfuncs.audit.model import Measure, Severity
from xlfuncs.audit.remedy import Option, Remedy
from xlfuncs.audit.settings import Settings
from xlfuncs.audit.working import Working
from xlfuncs.errors import XlfuncsError
from xlfuncs.gauge import Array, Reasons

OWN = "own"
"""Family of the rules that other distributions add."""
FAMILIES = ("reading", "documents", "sheet", "formulas", "float_fluid", "strength", "geometry", "tracing")
"""Packages of `xlfuncs.audit.rules`, in the order of the reports; a module for each rule."""

TITLES = {
    "reading": "How the sheet was read",
    "documents": "Several documents",
    "float_fluid": "Float and fluid",
    "strength": "Strength and material",
    "geometry": "Geometry, signal and switches",
    "tracing": "Heat tracing",
    "sheet": "Sheet and formulas",
    "formulas": "Sheet and formulas",
    OWN: "Own rules",
}
"""Family -> its heading in a report, in the order in which people look for findings."""

Row = Mapping[str, Any]
"""An example: what differs from the sound gauge of `xlfuncs.audit.examples`."""


@dataclass(slots=True)
class Hit:
    """One place where a rule fires."""

    record: int
    """Number of the gauge; -1 where the place is not a gauge's (a cell of the float list)."""
    sheet: str
    cell: str
    tag: str
    message: str
    field: str = ""
    found: Measure | None = None
    expected: Measure | None = None
    evidence: dict[str, float | str] = made_by(default_factory=dict)
    mend: str = ""
    """Better than the docstring's, where the numbers allow a definite one."""
    case: dict[str, Any] = made_by(default_factory=dict)
    """Which case was decided, for its calculation."""


@dataclass(frozen=True, slots=True)
class Undecided:
    """Gauges for which a rule has the fields that it needs, and still cannot tell."""

    where: Mask
    missing: str
    """What would settle it, as a person asks for it."""
    field: str = ""
    """The field in which something stands that was not understood; "" where nothing stands."""
    why: str = ""
    """What is wrong with that; "" where it is in none of the words that are known."""


@dataclass(frozen=True, slots=True)
class Unread:
    """A cell that was not understood, so that a rule about the cell itself cannot tell."""

    field: str
    sheet: str
    row: int
    cell: str
    tag: str
    """Of the gauge, or the part number of the float."""
    why: str


Outcome = Hit | Undecided | Unread
Check = Callable[[Gauges, Settings], Iterator[Outcome]]
Calculate = Callable[[Working, Hit], None]
Cure = Callable[[Gauges, Settings, Hit], Remedy | None]


@dataclass(frozen=True)
class Rule:
    """A declared rule."""

    slug: str
    severity: Severity
    check: Check
    family: str
    needs: tuple[str | tuple[str, ...], ...] = ()
    """Fields without which it cannot be decided; a tuple lists alternatives."""
    thresholds: tuple[str, ...] = ()
    """Settings by which it decides."""
    assumes: tuple[str, ...] = ()
    """Fields with a default where they are blank. One that states something unusable leaves it undecided."""
    when: Callable[[Gauges], Mask] | None = None
    """The gauges that it concerns; all of them when None."""
    covers: tuple[str, ...] = ()
    """Rules that, fired for the same gauge, only repeat this one's cause."""
    spoils: bool = False
    """The value it complains of is not used by later rules."""
    late: bool = False
    """It asks for equations of state, which take long to load: it runs when the others are done."""
    calculate: Calculate | None = None
    """Writes down how a finding of it was computed; None where nothing is."""
    remedy: Cure | None = None
    """What would mend a finding of it, computed; None where that takes a person."""
    last: bool = False
    """It looks at what the others could not decide."""
    origin: str = ""
    """The distribution that adds it; "" for our own."""
    passing: tuple[Row, ...] = ()
    firing: tuple[Row, ...] = ()

    @property
    def needed(self) -> list[tuple[str, ...]]:
        """What it needs: of each group of fields one."""
        return [(need,) if isinstance(need, str) else need for need in self.needs]

    @cached_property
    def page(self) -> dict[str, str]:
        """title, finds, why, mend: the parts of the docstring."""
        text = inspect.cleandoc(self.check.__doc__ or "")
        title, _, rest = text.partition("\n\n")
        parts = {"title": title.strip()}
        for name in ("Finds", "Why", "Mend"):
            match = re.search(rf"^{name}: (.*?)(?=^\w+: |\Z)", rest, re.S | re.M)
            if match is None:
                raise ValueError(f"the docstring of rule {self.slug} lacks '{name}:'")
            parts[name.casefold()] = " ".join(match.group(1).split())
        return parts


def rule(slug: str, severity: Severity, **details: Any) -> Callable[[Check], Rule]:
    """Declare the decorated function as a rule; see `Rule` for the details."""

    def declare(check: Check) -> Rule:
        family = check.__module__.split(".")[-2:][0]
        for name in ("passing", "firing"):
            if isinstance(details.get(name), Mapping):
                details[name] = (details[name],)
        return Rule(slug=slug, severity=severity, check=check, family=family, **details)

    return declare


@cache
def rules() -> dict[str, Rule]:
    """Every rule by its slug, in the order of the reports."""
    found: dict[str, Rule] = {}
    for family in FAMILIES:
        for item in import_module(f"xlfuncs.audit.rules.{family}").RULES:
            if item.slug in found:
                raise ValueError(f"rule {item.slug} is declared twice")
            found[item.slug] = item
    for one in added(RULES):
        for item in _added_rules(one):
            if item.slug in found:
                raise XlfuncsError(f"{one.origin}: there is a rule '{item.slug}' already; choose another")
            found[item.slug] = item
    return found


def _added_rules(one: Added) -> Iterator[Rule]:
    """The rules of another distribution; each has a manual page."""
    items = [one.content] if isinstance(one.content, Rule) else list(one.content)
    for item in items:
        if not isinstance(item, Rule):
            raise XlfuncsError(f"{one.origin}: {item!r} is no rule; declare it with xlfuncs.rule")
        own = replace(item, family=OWN, origin=one.origin)
        try:
            own.page  # noqa: B018  (it says what the docstring lacks)
        except ValueError as why:
            raise XlfuncsError(f"{one.origin}: {why}") from None
        yield own


def find_rule(slug: str) -> Rule:
    """The rule of that name; XlfuncsError with the nearest names."""
    if slug not in rules():
        from difflib import get_close_matches

        near = get_close_matches(slug, rules(), 3, 0.4)
        hint = f"did you mean {', '.join(near)}?" if near else "'xlfuncs rules' lists them"
        raise XlfuncsError(f"there is no rule '{slug}': {hint}")
    return rules()[slug]


def family_of(slug: str) -> str:
    """The family of a rule; "" for a name that is no rule's."""
    return rules()[slug].family if slug in rules() else ""


def check_names(slugs: Iterable[str], origin: str) -> None:
    """XlfuncsError for a name that is no rule's."""
    for slug in slugs:
        if slug not in rules():
            raise XlfuncsError(f"{origin}: there is no rule '{slug}'; 'xlfuncs rules' lists them")


def unexplained(where: Mask, values: Array, why: Reasons, what: str) -> Iterator[Undecided]:
    """Gauges `where` a result is NaN, by the reason noted. `values`: of all gauges, or of those only."""
    texts = why.at(values)
    bad = np.isnan(values)
    if values.shape != where.shape:
        texts_there, bad_there = texts, bad
        texts, bad = np.full(where.shape, "", dtype=object), np.zeros(where.shape, dtype=np.bool_)
        texts[where], bad[where] = texts_there, bad_there
    bad = bad & where
    for text in dict.fromkeys(texts[bad].tolist()):
        yield Undecided(bad & (texts == text), f"{what} ({text})" if text else what)


def calculation_of(item: Rule, gauges: Gauges, settings: Settings, hit: Hit) -> Calculation | None:
    """How a finding was computed; None where nothing was."""
    if item.calculate is None or hit.record < 0:
        return None
    working = Working(gauges, settings, hit.record)
    item.calculate(working, hit)
    return working.done(stated_in(need) for group in (*item.needed, item.assumes) for need in group)


def remedy_of(item: Rule, gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """What would mend a finding; None where that cannot be computed.

    What stands in the cells already is never offered.
    """
    nowhere = hit.record < 0 and not hit.case  # a cell that is no gauge's and no part's
    if item.remedy is None or nowhere:
        return None
    remedy = item.remedy(gauges, settings, hit)
    if remedy is None or hit.record < 0:
        return remedy
    left = _left(gauges, hit.record, remedy)
    return left if left is None else _placed(gauges, hit, left)


def _left(gauges: Gauges, record: int, remedy: Remedy) -> Remedy | None:
    """The remedy without the options that stand in the cells already; None where none is left."""
    left = tuple(one for one in remedy.options if not _stands(gauges, record, one))
    if len(left) == len(remedy.options):
        return remedy
    if not left:
        return None
    text = remedy.text
    for one in remedy.options:
        if one not in left:
            text = text.replace(f"; or {one.text}", "").replace(f"{one.text}; or ", "")
    return replace(remedy, text=text, options=left)


def _stands(gauges: Gauges, record: int, option: Option) -> bool:
    """Whether all that an option would put into the gauge's cells stands there, as it is shown."""
    if not option.name or option.value is None or option.changes:
        return False
    cells = ((option.name, option.value), *option.along)
    return all(str(value) == str(gauges.measure(record, name)) for name, value in cells)


def _placed(gauges: Gauges, hit: Hit, remedy: Remedy) -> Remedy:
    """The remedy with the cell that each of its options changes.

    Where the first is another float, and the finding names another cell, such as that of the density, that
    is told as well.
    """
    places = [_changed(gauges, hit, option.name) for option in remedy.options]
    options = tuple(replace(one, cell=cell) for one, (_, cell) in zip(remedy.options, places, strict=True))
    field, cell = places[0] if places else ("", "")
    told = ""
    if cell and cell != hit.cell and field.startswith(("float_", "magnet_")):
        told = f" The {label(field)} to change stands in {cell}."
    return replace(remedy, text=f"{remedy.text}{told}", options=options)


def _changed(gauges: Gauges, hit: Hit, field: str) -> tuple[str, str]:
    """(field, cell) that is changed in the index: of a float that its list states, its part."""
    own = gauges.own.get(field)
    if own is None or not own.given[hit.record]:
        listed = gauges.listed.get(field)
        at = gauges.float_row[hit.record]
        if listed is not None and at >= 0 and listed.given[at]:
            field, own = "float_part", gauges.own["float_part"]
    address = "" if own is None else own.address(hit.record)
    if own is None or not address:
        return field, ""
    sheet = str(own.sheet[hit.record])
    return field, address if sheet == hit.sheet else f"{sheet}!{address}"


def gauge_hit(gauges: Gauges, record: int, field_name: str, message: str, **details: Any) -> Hit:
    """A hit at a gauge's value of `field_name`; `found` is that value unless given."""
    sheet, cell = gauges.place(record, field_name)
    details.setdefault("found", gauges.measure(record, field_name))
    return Hit(record, sheet, cell, gauges.tag(record), message, field_name, **details)
