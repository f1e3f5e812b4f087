"""One self-contained page: nothing is fetched, and its own policy forbids it."""

from __future__ import annotations

import base64
import hashlib
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cache
from html import escape
from importlib.resources import files
from itertools import groupby
from typing import Any

from xlfuncs.audit.model import AuditResult, Finding
from xlfuncs.report import _words as words
from xlfuncs.report import drawing
from xlfuncs.report.cautions import cautions

MOST_DRAWN = 200
"""Gauges that are drawn, the worst first; the page says how many were left out."""

_TAGS = 40
_FACTS = {
    "service": ("service", ""),
    "fluid": ("fluid", ""),
    "float_part": ("float", ""),
    "float_mass_kg": ("float mass", "kg"),
    "lower_density": ("operating density", "kg/m3"),
    "upper_density": ("density above", "kg/m3"),
    "tolerance_mm": ("permitted offset", "mm"),
}


def text(results: Sequence[AuditResult]) -> str:
    """The page."""
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
    body = "\n".join(_body(results, title, _Places(results)))
    return (
        f'<!doctype html>\n<html lang="en"><head>{"".join(head)}</head>\n<body>\n{body}\n'
        f"<script>{script}</script>\n</body></html>\n"
    )


@cache
def _asset(name: str) -> str:
    return (files("xlfuncs.report") / name).read_text(encoding="utf-8")


def _hash(content: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(content.encode()).digest()).decode()}'"


def _t(value: object) -> str:
    """Text that is safe in the page."""
    return escape(words.one_line(value))


class _Places:
    """Which gauge a finding belongs to, and in which area that stands."""

    def __init__(self, results: Sequence[AuditResult]) -> None:
        self.several = len(results) > 1
        self.order: dict[tuple[int, str, int], tuple[str, Mapping[str, Any]]] = {}
        by_tag: dict[tuple[int, str], tuple[int, str, int]] = {}
        for book, result in enumerate(results):
            for gauge in result.gauges:
                key = (book, str(gauge.get("sheet", "")), int(gauge.get("row") or 0))
                self.order[key] = (f"g{len(self.order)}", gauge)
                if gauge.get("tag"):
                    by_tag.setdefault((book, str(gauge["tag"])), key)
        self.by_tag = by_tag

    def of(self, book: int, finding: Finding) -> tuple[str, Mapping[str, Any]]:
        """The id of the gauge's section and its data; empty where there is none."""
        row = re.sub(r"\D", "", finding.cell)
        key = (book, finding.sheet, int(row or 0))
        if key not in self.order:
            key = self.by_tag.get((book, finding.tag), key)
        return self.order.get(key, ("", {}))

    def area(self, book: int, finding: Finding) -> str:
        return words.one_line(self.of(book, finding)[1].get("area") or "")


def _body(results: Sequence[AuditResult], title: str, places: _Places) -> Iterator[str]:
    yield '<a class="skip" href="#list">To the findings</a>'
    yield f"<header><h1>{_t(title)}</h1>"
    for result in results:
        name = f"{_t(result.workbook)}: " if places.several else ""
        rows = f"{words.plural(result.rows_audited, 'row')} audited with xlfuncs {_t(result.version)}"
        yield f'<p class="meta">{name}{rows}; sha256 <code>{_t(result.sha256)}</code></p>'
    counts = [(s, sum(r.count(s) for r in results)) for s in words.SEVERITIES]
    chips = (
        f'<li class="s {s.value}"><b>{n:,}</b>{s.value if n == 1 else s.value + "s"}</li>' for s, n in counts
    )
    yield f'<ul class="counts">{"".join(chips)}</ul></header><main>'
    findings = [(book, f) for book, r in enumerate(results) for f in r.by_severity()]
    findings.sort(key=lambda pair: -pair[1].severity.rank)
    shown = _drawn(findings, places)
    yield from _summary([f for _, f in findings])
    yield from _cautions([f for _, f in findings])
    yield from _list(results, findings, places, shown)
    yield from _gauges(findings, places, shown)
    yield from _not_checked(results)
    yield from _about(results)
    yield "</main>"


def _drawn(findings: Sequence[tuple[int, Finding]], places: _Places) -> dict[str, Mapping[str, Any]]:
    """The gauges that are drawn: id -> data; those with the gravest findings, in the order of the sheet."""
    drawn: dict[str, Mapping[str, Any]] = {}
    for book, f in findings:
        key, gauge = places.of(book, f)
        if key and len(drawn) < MOST_DRAWN:
            drawn.setdefault(key, gauge)
    return dict(sorted(drawn.items(), key=lambda item: int(item[0][1:])))


def _summary(findings: Sequence[Finding]) -> Iterator[str]:
    yield "<h2>Summary</h2>"
    if not findings:
        yield "<p>Nothing was found. What could not be checked stands below.</p>"
        return
    yield f'<table class="narrow">{_head(("Severity", ""), ("Rule", ""), ("Findings", "n"))}'
    for severity, rule, count in words.tally(findings):
        button = f'<button type="button" class="rule" data-rule="{_t(rule)}">{_t(rule)}</button>'
        yield f'<tr class="{severity.value}"><td class="s">{severity.value}</td><td>{button}</td>'
        yield f'<td class="n">{count:,}</td></tr>'
    yield "</table>"


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
) -> Iterator[str]:
    yield '<h2 id="list" tabindex="-1">Findings</h2>'
    if not findings:
        yield "<p>None.</p>"
        return
    areas = sorted({a for book, f in findings if (a := places.area(book, f))})
    box = '<label class="s {0}"><input type="checkbox" name="severity" value="{0}" checked> {0}</label>'
    boxes = "".join(box.format(s.value) for s in words.SEVERITIES)
    filters = [
        f"<fieldset><legend>Severity</legend>{boxes}</fieldset>",
        _select("rule", "Rule", ((r, r) for r in sorted({f.rule for _, f in findings}))),
    ]
    if areas:
        filters.append(_select("area", "Area", ((a, a) for a in areas)))
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
    yield f'<table id="findings">{_head(*heads)}<tbody>'
    for book, f in findings:
        yield _row(book, f, places, shown, results[book].workbook if places.several else "")
    yield "</tbody></table>"


def _row(book: int, f: Finding, places: _Places, shown: Mapping[str, Any], name: str) -> str:
    key, area = places.of(book, f)[0], places.area(book, f)
    tag = _t(f.tag) or '<span class="soft">no tag</span>'
    if key in shown:
        tag = f'<a href="#{key}">{tag}</a>'
    data = f'data-severity="{f.severity.value}" data-rule="{_t(f.rule)}"'
    data += f' data-gauge="{key}"' if key else ""
    data += f' data-area="{_t(area)}"' if area else ""
    data += f' data-book="{book}"' if name else ""
    proof = words.beyond_message(f)
    proof += [f"same cause: {', '.join(f.also)}"] if f.also else []
    parts = [f"<p>{_t(f.message)}</p>"]
    parts += [f'<p class="soft">{_t("; ".join(proof))}</p>'] if proof else []
    parts += [f'<p class="mend">{_t(f.mend)}</p>'] if f.mend else []
    where = _place(f) + (f'<br><span class="soft">{_t(name)}</span>' if name else "")
    cells = "".join(f"<td>{cell}</td>" for cell in (tag, where, _t(f.rule), "".join(parts)))
    return f'<tr class="{f.severity.value}" {data}><td class="s">{f.severity.value}</td>{cells}</tr>'


def _place(f: Finding) -> str:
    """The reference; a line may end before its cell, not within it."""
    sheet, mark, cell = words.place(f).rpartition("!")
    return f'{_t(sheet)}<wbr><span class="whole">{mark}{_t(cell)}</span>'


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
    yield '<p class="soft">The gauges of the findings that are shown above.'
    if left:
        yield f"Drawn are the {len(shown)} with the gravest findings; {left:,} more are not drawn."
    yield "</p>"
    for key, gauge in shown.items():
        yield _gauge(key, gauge, found[key])


def _gauge(key: str, gauge: Mapping[str, Any], findings: Sequence[Finding]) -> str:
    title = _t(gauge.get("tag") or "no tag")
    where = _t(f"{gauge.get('sheet', '')} row {gauge.get('row', '')}")
    lines = "".join(
        f'<li class="{f.severity.value}"><span class="s">{f.severity.value}</span> {_t(f.message)}</li>'
        for f in findings
    )
    facts = []
    for name, (label, unit) in _FACTS.items():
        value = gauge.get(name)
        if value in (None, "") or value != value:
            continue
        facts.append(f"<div><dt>{label}</dt><dd>{_t(f'{words.number(value)} {unit}')}</dd></div>")
    offset = drawing.value(gauge, "reading_offset_mm")
    if offset is not None:
        facts.append(f"<div><dt>it reads</dt><dd>{drawing.direction(offset)}</dd></div>")
    window = [
        words.number(w) for w in gauge.get("density_window") or () if isinstance(w, int | float) and w == w
    ]
    if len(window) == 2:
        facts.append(f"<div><dt>within tolerance</dt><dd>{window[0]} to {window[1]} kg/m3</dd></div>")
    figures = "".join(
        f"<figure>{f.svg}<figcaption>{_t(f.caption)}</figcaption></figure>" for f in drawing.figures(gauge)
    )
    missing = drawing.unknown(gauge)
    note = f'<p class="soft">Not known and not drawn: {_t(", ".join(missing))}.</p>' if missing else ""
    return (
        f'<section class="gauge" id="{key}" aria-labelledby="{key}-t"><h3 id="{key}-t">{title} '
        f'<span class="soft">{where}</span></h3><ul>{lines}</ul><dl>{"".join(facts)}</dl>'
        f'<div class="figures">{figures}</div>{note}</section>'
    )


def _not_checked(results: Sequence[AuditResult]) -> Iterator[str]:
    yield "<h2>Could not be checked, for want of data</h2>"
    for result in results:
        groups = words.unchecked(result)
        if len(results) > 1:
            yield f"<h3>{_t(result.workbook)}</h3>"
        if not groups:
            yield "<p>Nothing: every rule could be decided for every row.</p>"
            continue
        yield f"<table>{_head(('Rule', ''), ('Missing data', ''), ('Gauges', 'n'), ('Which', ''))}<tbody>"
        for rule, rows in groupby(groups, key=lambda g: g[0]):
            for number, (_, missing, tags) in enumerate(rows):
                yield (
                    f"<tr><td>{_t(rule) if number == 0 else ''}</td><td>{_t(', '.join(missing))}</td>"
                    f'<td class="n">{len(tags):,}</td><td>{_t(words.listed(tags, _TAGS))}</td></tr>'
                )
        yield "</tbody></table>"


def _table(head: str, rows: Iterable[tuple[object, ...]]) -> Iterator[str]:
    given = list(rows)
    if given:
        yield f'<h3>{head}</h3><table class="narrow">'
        for row in given:
            yield f"<tr>{''.join(f'<td>{_t(cell)}</td>' for cell in row)}</tr>"
        yield "</table>"


def _about(results: Sequence[AuditResult]) -> Iterator[str]:
    for result in results:
        yield "<h2>How it was audited" + (f": {_t(result.workbook)}" if len(results) > 1 else "") + "</h2>"
        yield from _table("Settings used", words.settings(result))
        yield from _table("Rows not audited, and why", ((why, f"{n:,}") for why, n in result.skipped.items()))
        doubts = (
            (words.reference(d.get("sheet", ""), d.get("cell", "")), d.get("text", "")) for d in result.doubts
        )
        yield from _table("Doubts of the reader", doubts)
        columns = (
            (words.label(name), f"{sheet}, column {letter}")
            for sheet, fields in result.columns.items()
            for name, letter in fields.items()
        )
        yield from _table("Columns read", columns)


def _cautions(findings: Sequence[Finding]) -> Iterator[str]:
    yield "<h2>Cautions</h2>"
    for caution in cautions(findings):
        yield f'<p class="caution"><b>{_t(caution.title)}</b>{_t(caution.text)}</p>'
