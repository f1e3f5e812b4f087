"""One self-contained page: nothing is fetched, and its own policy forbids it."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cache
from html import escape
from importlib.resources import files
from itertools import accumulate
from typing import Any

from xlfuncs.audit.model import AuditResult, Finding
from xlfuncs.report import _consequence as consequence
from xlfuncs.report import _fold as fold
from xlfuncs.report import _gaps, _working, drawing
from xlfuncs.report import _proof as proof
from xlfuncs.report import _summary as summary
from xlfuncs.report import _units as units
from xlfuncs.report import _words as words
from xlfuncs.report._words import escaped as _t
from xlfuncs.report.cautions import cautions

MOST_DRAWN = 200
"""Gauges that are drawn, the worst first; the page says how many were left out."""

_TAGS = 40
_FACTS = {
    "service": ("service", ""),
    "fluid": ("fluid", ""),
    "float_part": ("float", ""),
    "float_mass_kg": ("float mass", "mass"),
    "lower_density": ("operating density", "density"),
    "upper_density": ("density above", "density"),
}


def text(results: Sequence[AuditResult], printed: bool = False) -> str:
    """The page. `printed`: nothing can be unfolded on paper, so the calculations stand at the end."""
    style, script = _asset("page.css"), _asset("page.js")
    title = f"Audit of {', '.join(words.one_line(r.workbook) for r in results)}"
    allowed = {"style-src": _hash(style), "script-src": _hash(script)}
    allowed |= dict.fromkeys(("default-src", "base-uri", "form-action"), "'none'")
    head = (
        '<meta charset="utf-8">',
        f'<meta http-equiv="Content-Security-Policy" content="{"; ".join(map(" ".join, allowed.items()))}">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        '<meta name="referrer" content="no-referrer">',
        f"<title>{_t(title)}</title>",
        f"<style>{style}</style>",
    )
    body = "\n".join(_body(results, title, _Places(results), printed))
    return (
        f'<!doctype html>\n<html lang="en"><head>{"".join(head)}</head>\n<body>\n{body}\n'
        f"<script>{script}</script>\n</body></html>\n"
    )


@cache
def _asset(name: str) -> str:
    return (files("xlfuncs.report") / name).read_text(encoding="utf-8")


def _hash(content: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(content.encode()).digest()).decode()}'"


class _Places:
    """Which gauge of all workbooks a finding belongs to, and in which area that stands."""

    def __init__(self, results: Sequence[AuditResult]) -> None:
        self.several = len(results) > 1
        self.books = [summary.Places(result) for result in results]
        self.first = list(accumulate((len(result.gauges) for result in results), initial=0))
        self.units = [{"units": units.usual(result)} for result in results]

    def of(self, book: int, finding: Finding) -> tuple[str, Mapping[str, Any]]:
        """The id of the gauge's section and its data; empty where there is none."""
        places = self.books[book]
        number = places.gauge(finding)
        return (
            ("", {})
            if number is None
            else (
                f"g{self.first[book] + number}",
                self.units[book] | places.gauges[number],
            )
        )

    def area(self, book: int, finding: Finding) -> str:
        return self.books[book].area(finding)

    @property
    def heading(self) -> str:
        """What the areas are; of workbooks that differ, both."""
        return " / ".join(dict.fromkeys(places.heading for places in self.books))


def _body(results: Sequence[AuditResult], title: str, places: _Places, printed: bool) -> Iterator[str]:
    yield '<a class="skip" href="#list">To the findings</a>'
    yield f"<header><h1>{_t(title)}</h1>"
    for result in results:
        name = f"{_t(result.workbook)}: " if places.several else ""
        rows = f"{words.plural(result.rows_audited, 'row')} audited with xlfuncs {_t(result.version)}"
        for line in summary.reading(result):
            yield f'<p class="read">{name}{_t(line)}</p>'
        yield f'<p class="meta">{name}{rows}; sha256 <code>{_t(result.sha256)}</code></p>'
        if result.since:
            told = f"Since {_t(result.since)}: {summary.revision(result)}"
            yield f"<p>{name}{told}; sha256 of that <code>{_t(result.since_sha256)}</code></p>"
        if result.accepted:
            yield f"<p>{name}{summary.accepted(result)}</p>"
    counts = [(s, sum(r.count(s) for r in results)) for s in summary.SEVERITIES]
    chips = (
        f'<li class="s {s.value}"><b>{n:,}</b>{s.value if n == 1 else s.value + "s"}</li>' for s, n in counts
    )
    yield f'<ul class="counts">{"".join(chips)}</ul>'
    if told := consequence.headline(*(r.findings for r in results)):
        yield f'<p class="verdict">{_t(words.sentence(told))}.</p>'
    yield "</header><main>"
    findings = summary.merged(results)
    shown = _drawn(findings, places)
    yield from _open(results)
    yield from _summary(findings, places)
    yield from _cautions([f for r in results for f in summary.standing(r)])
    yield from _list(results, findings, places, shown, printed)
    yield from _accepted(results)
    yield from _mended(results)
    yield from _gauges(findings, places, shown)
    yield from _working.all_of(findings) if printed else ()
    yield from _not_checked(results)
    yield from _about(results)
    yield "</main>"


def _open(results: Sequence[AuditResult]) -> Iterator[str]:
    """The columns that a person has to say something of, each with the options that settle it."""
    for result in results:
        yield from _table(
            f"Answers to look at again{_in(result, results)}",
            ((one,) for one in summary.unclear_answers(result)),
        )
        waiting = [*summary.in_doubt(result), *summary.not_understood(result)]
        if not waiting:
            continue
        yield f"<h2>Say first what these columns are{_in(result, results)}</h2>"
        yield '<p class="intro">Rules wait for them. Add one of the options to the command and audit again, '
        yield "or choose on the sheet Reading of the annotated copy, save it and audit that.</p>"
        heads = ("Column", "What is open", "Waits for it", "Options")
        yield f'<table class="open">{_head(*((head, "") for head in heads))}<tbody>'
        for one in waiting:
            rules = f'{_t(summary.waits(one))}<br><span class="soft">{_t(", ".join(one.rules))}</span>'
            options = "".join(f"<li>{_option(option)}</li>" for option in one.column.options)
            yield f'<tr class="look"><td>{_t(summary.column(one))}</td><td>{_t(one.column.text)}</td>'
            yield f'<td>{rules}</td><td><ul class="options">{options}</ul></td></tr>'
        yield "</tbody></table>"


def _option(text: str) -> str:
    """An option as code, with a button that copies it."""
    return (
        f"<code>{escape(words.clean(text))}</code> "
        '<button type="button" class="copy live-only" aria-label="Copy the option">Copy</button>'
    )


def _drawn(findings: Sequence[tuple[int, Finding]], places: _Places) -> dict[str, Mapping[str, Any]]:
    """The gauges that are drawn: id -> data; those with the gravest findings, in the order of the sheet."""
    drawn: dict[str, Mapping[str, Any]] = {}
    for book, f in findings:
        key, gauge = places.of(book, f)
        if key and len(drawn) < MOST_DRAWN:
            drawn.setdefault(key, gauge)
    return dict(sorted(drawn.items(), key=lambda item: int(item[0][1:])))


def _summary(findings: Sequence[tuple[int, Finding]], places: _Places) -> Iterator[str]:
    yield "<h2>Summary</h2>"
    if not findings:
        yield "<p>Nothing was found. What could not be checked stands below.</p>"
        return
    yield f'<div class="tallies"><table class="tally">{_head(("Findings about", ""), *_COUNTED)}<tbody>'
    for family in summary.families(f for _, f in findings):
        buttons = "".join(
            f'<span><button type="button" class="rule" data-rule="{_t(rule)}">{_t(rule)}</button>'
            f"{f' ({count:,})' if count > 1 else ''}</span>"
            for rule, count in family.rules.items()
        )
        name = f'<b>{_t(family.title)}</b><div class="rules">{buttons}</div>'
        yield f"<tr><td>{name}</td>{_counted(family)}</tr>"
    yield "</tbody></table>"
    areas = summary.areas((places.area(book, f), book, f) for book, f in findings)
    if areas:
        heads = _head((places.heading, ""), *_COUNTED, ("Gauges", "n"))
        yield f'<table class="tally">{heads}<tbody>'
        for area in areas:
            yield f"<tr><td>{_t(area.title)}</td>{_counted(area)}"
            yield f'<td class="n">{len(area.gauges):,}</td></tr>'
        yield "</tbody></table>"
    yield "</div>"


_COUNTED = tuple((f"{s.value.capitalize()}s", "n") for s in summary.SEVERITIES)


def _counted(tally: summary.Tally) -> str:
    return "".join(f'<td class="n">{tally.severities[s] or ""}</td>' for s in summary.SEVERITIES)


def _head(*columns: tuple[str, str]) -> str:
    """The head of a table: name and class of each column."""
    cells = "".join(f'<th scope="col" class="{cls}">{name}</th>' for name, cls in columns)
    return f"<thead><tr>{cells}</tr></thead>"


def _select(name: str, label: str, options: Iterable[tuple[str, str]]) -> str:
    inner = "".join(f'<option value="{_t(value)}">{_t(text)}</option>' for value, text in options)
    return (
        f'<div><label class="above" for="f-{name}">{label}</label><select id="f-{name}" name="{name}">'
        f'<option value="">all</option>{inner}</select></div>'
    )


def _list(
    results: Sequence[AuditResult],
    findings: Sequence[tuple[int, Finding]],
    places: _Places,
    shown: Mapping[str, Any],
    printed: bool,
) -> Iterator[str]:
    yield '<h2 id="list" tabindex="-1">Findings</h2>'
    if not findings:
        yield "<p>None.</p>"
        return
    areas = sorted({a for book, f in findings if (a := places.area(book, f))})
    box = (
        '<label><input type="checkbox" name="severity" value="{0}" checked> '
        '<span class="s {0}">{0}</span></label>'
    )
    boxes = "".join(box.format(s.value) for s in summary.SEVERITIES)
    filters = [
        f"<fieldset><legend>Severity</legend>{boxes}</fieldset>",
        _select("rule", "Rule", ((r, r) for r in sorted({f.rule for _, f in findings}))),
    ]
    if areas:
        filters.append(_select("area", _t(places.heading), ((a, a) for a in areas)))
    if any(r.since for r in results):
        filters.append(_select("status", "Status", summary.STATUS.items()))
    if places.several:
        filters.append(_select("book", "Workbook", ((str(k), r.workbook) for k, r in enumerate(results))))
    filters.append(
        '<div><label class="above" for="f-tag">Tag contains</label>'
        '<input type="search" id="f-tag" name="tag" autocomplete="off" spellcheck="false"></div>'
        '<button type="reset">Show all</button>'
    )
    yield f'<form id="filter" class="live-only" aria-label="Filter of the findings">{"".join(filters)}</form>'
    yield '<p id="shown" class="live-only" role="status"></p>'
    heads = (
        ("Severity", "w1"),
        ("Tag", "w2"),
        ("Cell", "w3"),
        ("Rule", "w4"),
        ("What is wrong, and the mend", ""),
    )
    yield f'<table id="findings">{_head(*heads)}'
    last = None
    for (number, book, f), others in fold.folded(findings, places.area):
        if (meaning := consequence.of(f)) is not last:
            count = sum(consequence.of(other) is meaning for _, other in findings)
            end = "" if last is None else "</tbody>"
            title = f"{consequence.TITLES[meaning]} ({count:,})"
            yield f'{end}<tbody><tr class="group"><th colspan="5" scope="rowgroup">{title}</th></tr>'
            last = meaning
        name = results[book].workbook if places.several else ""
        yield _row((number, book, f), others, places, shown, name, printed)
    yield "</tbody></table>"


def _row(
    finding: fold.Numbered,
    others: Sequence[fold.Numbered],
    places: _Places,
    shown: Mapping[str, Any],
    name: str,
    printed: bool,
) -> str:
    number, book, f = finding
    key, area = places.of(book, f)[0], places.area(book, f)
    tag = _t(f.tag) or '<span class="soft">no tag</span>'
    if key in shown:
        tag = f'<a href="#{key}">{tag}</a>'
    data = f'data-severity="{f.severity.value}" data-rule="{_t(f.rule)}"'
    data += f' data-gauge="{key}"' if key else ""
    data += f' data-area="{_t(area)}"' if area else ""
    data += f' data-status="{f.status}"' if f.status else ""
    data += f' data-book="{book}"' if name else ""
    if others:
        tags = "&#10;".join(_t(one.tag) for _, _, one in (finding, *others))
        data += f' data-count="{len(others) + 1}" data-tags="{tags}"'
    more = proof.beyond_message(f)
    more += [words.same_cause(f)] if f.also else []
    parts = [f"<p>{_t(words.sentence(f.message))}</p>"]
    parts += [f'<p class="soft">{_t("; ".join(more))}</p>'] if more else []
    parts += [f'<p class="mend">{_t(words.mend_of(f))}</p>'] if f.mend else []
    parts += [f'<p class="answer"><b>Answer:</b> {_t(f.answer)}</p>'] if f.answer else []
    parts += [_working.unfolded(number, f, printed), fold.more(others, printed)]
    where = _place(f) + (f'<br><span class="soft">{_t(name)}</span>' if name else "")
    cells = "".join(f"<td>{cell}</td>" for cell in (tag, where, _t(f.rule), "".join(parts)))
    status = f'<div class="status">{summary.STATUS[f.status]}</div>' if f.status else ""
    first = _severity(f, status, f"{number}. ")
    return f'<tr class="{f.severity.value}" id="f{number}" {data}>{first}{cells}</tr>'


def _severity(f: Finding, more: str = "", number: str = "") -> str:
    return f'<td>{number}<span class="s">{f.severity.value}</span>{more}</td>'


def _place(f: Finding) -> str:
    """The reference; a line may end before its cell, not within it."""
    sheet, mark, cell = words.place(f).rpartition("!")
    return f'{_t(sheet)}<wbr><span class="whole">{mark}{_t(cell)}</span>'


def _accepted(results: Sequence[AuditResult]) -> Iterator[str]:
    for result in results:
        if not result.accepted:
            continue
        yield f"<h2>Accepted findings{_in(result, results)}</h2>"
        heads = ("Tag", "Rule", "State", "Who, when and why", "What is accepted")
        yield f"<table>{_head(*((head, '') for head in heads))}<tbody>"
        for entry in summary.acceptances(result):
            covered = entry.findings if entry.state == "used" else ()
            found = "".join(f"<p>{_place(f)}: {_t(words.sentence(f.message))}</p>" for f in covered)
            look = "" if entry.state == "used" else ' class="look"'
            texts = entry.tag, entry.rule, summary.acceptance_state(entry), summary.acceptance_reason(entry)
            cells = [*map(_t, texts), found]
            yield f"<tr{look}>{''.join(f'<td>{cell}</td>' for cell in cells)}</tr>"
        yield "</tbody></table>"


def _mended(results: Sequence[AuditResult]) -> Iterator[str]:
    for result in results:
        if not result.since:
            continue
        yield f"<h2>Mended since {_t(result.since)}{_in(result, results)}</h2>"
        if not result.mended:
            yield "<p>Nothing.</p>"
            continue
        heads = (("Severity", ""), ("Tag", ""), ("Rule", ""), ("What was wrong", ""))
        yield f"<table>{_head(*heads)}<tbody>"
        for f in summary.ordered(result, result.mended):
            cells = (_t(f.tag) or "no tag", _t(f.rule), _t(words.sentence(f.message)))
            row = "".join(f"<td>{cell}</td>" for cell in cells)
            yield f'<tr class="{f.severity.value}">{_severity(f)}{row}</tr>'
        yield "</tbody></table>"


def _in(result: AuditResult, results: Sequence[AuditResult]) -> str:
    return f": {_t(result.workbook)}" if len(results) > 1 else ""


def _gauges(
    findings: Sequence[tuple[int, Finding]], places: _Places, shown: Mapping[str, Mapping[str, Any]]
) -> Iterator[str]:
    if not shown:
        return
    found: dict[str, list[Finding]] = {}
    for book, f in findings:
        found.setdefault(places.of(book, f)[0], []).append(f)
    left = len(found.keys() - shown.keys() - {""})
    yield "<h2>The gauges with findings</h2>"
    yield '<p class="soft intro">The gauges of the findings that are shown above.'
    if left:
        yield f"Drawn are the {len(shown)} with the gravest findings; {left:,} more are not drawn."
    yield '<span class="print-only">Printed are the figures in which a finding can be seen, and the gauges '
    yield "that have one; the page on the screen holds all.</span></p>"
    for key, gauge in shown.items():
        yield _gauge(key, gauge, found[key])


def _gauge(key: str, gauge: Mapping[str, Any], findings: Sequence[Finding]) -> str:
    title = _t(gauge.get("tag") or "no tag")
    where = _t(f"{gauge.get('sheet', '')} row {gauge.get('row', '')}")
    lines = "".join(
        f'<li class="{f.severity.value}"><span class="s">{f.severity.value}</span> '
        f"{_t(words.sentence(f.message))}</li>"
        for f in findings
    )
    wanted = drawing.shown_in(f.rule for f in findings)
    figures: dict[bool, list[str]] = {True: [], False: []}
    for f in drawing.figures(gauge):
        picture = f"<figure>{f.svg}<figcaption>{_t(f.caption)}</figcaption></figure>"
        figures[f.shows in wanted].append(picture)
    main, more = "".join(figures[True]), "".join(figures[False])
    beside = " beside" if len(figures[True]) == 1 else ""
    facts = "".join(f"<div><dt>{name}</dt><dd>{_t(text)}</dd></div>" for name, text in _facts(gauge))
    missing = drawing.unknown(gauge)
    note = f'<p class="soft">Not known and not drawn: {_t(", ".join(missing))}.</p>' if missing else ""
    body = f'<div class="figures{beside}"><dl>{facts}</dl>{main}</div>'
    if more:
        count = words.plural(len(figures[False]), "more figure" if main else "figure")
        body += f'<details><summary>{count}</summary><div class="figures">{more}</div></details>'
    return (
        f'<section class="gauge{"" if main else " plain"}" id="{key}" aria-labelledby="{key}-t">'
        f'<h3 id="{key}-t">{title} <span class="soft">{where}</span></h3>'
        f"<ul>{lines}</ul>{body}{note}</section>"
    )


def _facts(gauge: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    """What is known of the gauge: name and text."""
    for name, (label, quantity) in _FACTS.items():
        value = drawing.value(gauge, name) if quantity else gauge.get(name)
        if value not in (None, ""):
            yield label, units.scale(gauge, quantity).text(value) if quantity else str(value)
    tolerance, offset = (drawing.value(gauge, f"{name}_mm") for name in ("tolerance", "reading_offset"))
    if tolerance is not None:
        yield "permitted offset", f"{words.number(tolerance)} mm"
    if offset is not None:
        yield "it reads", drawing.direction(offset)
    shown = units.scale(gauge, "density")
    window = [w for w in gauge.get("density_window") or () if isinstance(w, int | float) and w == w]
    if len(window) == 2:
        low, high = (words.number(float(shown(w))) for w in window)
        yield "within tolerance", f"{low} to {high} {shown.unit}"


def _not_checked(results: Sequence[AuditResult]) -> Iterator[str]:
    yield "<h2>Could not be checked, for want of data</h2>"
    for result in results:
        if len(results) > 1:
            yield f"<h3>{_t(result.workbook)}</h3>"
        groups = summary.unchecked(result)
        causes = _gaps.causes(result, groups)
        if not causes:
            yield "<p>Nothing: every rule could be decided for every row.</p>"
            continue
        heads = _head(("Missing, most urgent first", ""), ("Gauges", "n"), ("Which", ""), ("Needed for", ""))
        yield f'<table class="gaps">{heads}'
        for title, rows in causes:
            told = f"{title} ({len(rows):,})"
            yield f'<tbody><tr class="group"><th colspan="4" scope="rowgroup">{told}</th></tr>'
            for row in rows:
                which = _t(words.listed(row.tags, _TAGS))
                yield f'<tr><td>{_t(row.text)}</td><td class="n">{row.gauges:,}</td>'
                yield f"<td>{which}</td><td>{_t(', '.join(row.rules))}</td></tr>"
            yield "</tbody>"
        yield "</table>"
        counts = ", ".join(f"{rule} for {n:,}" for rule, n in summary.undecided(groups))
        yield f'<p class="wide">Rules not decided, and for how many gauges: {_t(counts)}.</p>'


def _table(head: str, rows: Iterable[tuple[object, ...]]) -> Iterator[str]:
    given = list(rows)
    if given:
        yield f'<h3>{head}</h3><table class="narrow">'
        for row in given:
            yield f"<tr>{''.join(f'<td>{_t(cell)}</td>' for cell in row)}</tr>"
        yield "</table>"


def _about(results: Sequence[AuditResult]) -> Iterator[str]:
    for result in results:
        yield f"<h2>How it was audited{_in(result, results)}</h2>"
        yield from _table("Settings used", summary.settings(result))
        yield from _table("Rows not audited, and why", ((why, f"{n:,}") for why, n in result.skipped.items()))
        doubts = (
            (words.reference(d.get("sheet", ""), d.get("cell", "")), d.get("text", ""))
            for d in summary.doubts(result)
        )
        yield from _table("Doubts of the reader", doubts)
        columns = (
            (sheet, ", ".join(f"{letter} {summary.label(name)}" for name, letter in fields.items()))
            for sheet, fields in result.columns.items()
        )
        yield from _table("Columns read", columns)
        yield from _table("Columns not read", summary.unread(result))


def _cautions(findings: Sequence[Finding]) -> Iterator[str]:
    yield '<h2>Cautions</h2><div class="cautions">'
    for caution in cautions(findings):
        yield f'<p class="caution"><b>{_t(caution.title)}</b>{_t(caution.text)}</p>'
    yield "</div>"
