"""What several reports say in the same words: cleaned text, numbers with units, groups and counts."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from xlfuncs.audit.model import AuditResult, Finding, Measure, Severity

SEVERITIES = (Severity.ERROR, Severity.WARNING, Severity.NOTE)

# Control characters, and the marks that turn the direction of writing: neither may reach a terminal,
# a spreadsheet or a page from somebody else's cell.
_UNSAFE = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028-\u202e\u2066-\u2069\ud800-\udfff\ufffe\uffff]")

# A spreadsheet program may run a text that begins with one of these.
_ACTIVE = ("=", "+", "-", "@", "\t", "\r")

_PROOF = 60
"""Characters of a text that a line of evidence still takes."""

# Endings of evidence names, longest first, and the unit that a person reads.
_UNITS = (
    ("_kg_m3", "kg/m3"), ("_g_cm3", "g/cm3"), ("_mm_s", "mm/s"), ("_m_s", "m/s"), ("_w_m_k", "W/(m K)"),
    ("_w_mk", "W/(m K)"), ("_w_m", "W/m"), ("_mpa_s", "mPa.s"), ("_mpas", "mPa.s"), ("_n_m", "N/m"),
    ("_mm2_s", "mm2/s"), ("_percent", "%"), ("_barg", "bar gauge"), ("_bara", "bar absolute"),
    ("_bar", "bar"), ("_mbar", "mbar"), ("_kpa", "kPa"), ("_mpa", "MPa"), ("_pa", "Pa"), ("_psi", "psi"),
    ("_degc", "°C"), ("_k", "K"), ("_mm", "mm"), ("_cm3", "cm3"), ("_m", "m"), ("_kg", "kg"), ("_g", "g"),
    ("_ma", "mA"), ("_ohm", "ohm"), ("_sg", "SG"), ("_s", "s"), ("_w", "W"), ("_n", "N"), ("_v", "V"),
)  # fmt: skip


def clean(text: object) -> str:
    """The text without characters that could act on a terminal, a page or an XML file."""
    return _UNSAFE.sub("\ufffd", str(text))


def one_line(text: object) -> str:
    """The cleaned text with every run of blanks and line ends made one blank."""
    return " ".join(clean(text).split())


def active(text: str) -> bool:
    """Whether a spreadsheet program could take the text for a formula."""
    return text.startswith(_ACTIVE)


def number(value: object) -> str:
    """A number as a person reads it (four figures, no exponent for everyday sizes), or the text."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return one_line(value)
    if isinstance(value, int) or value != value or abs(value) == float("inf"):
        return str(value)
    if value != 0 and not 1e-4 <= abs(value) < 1e7:
        return f"{value:.4g}"
    whole = len(str(int(abs(value))))
    text = f"{value:.{max(0, 4 - whole if abs(value) >= 1 else 4)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def measure(value: Measure | None) -> str:
    """`0.71 SG`; an empty text for None."""
    return "" if value is None else f"{number(value.value)} {one_line(value.unit)}".strip()


def evidence(name: str, value: object) -> tuple[str, str]:
    """`("reading offset", "-18.4 mm")` for `reading_offset_mm`."""
    lower = name.lower()
    for suffix, unit in _UNITS:
        if lower.endswith(suffix) and len(lower) > len(suffix) and isinstance(value, int | float):
            return one_line(name[: -len(suffix)].replace("_", " ")), f"{number(value)} {unit}"
    return one_line(name.replace("_", " ")), number(value)


def evidence_text(finding: Finding) -> str:
    """All evidence of a finding in one line."""
    return "; ".join(" ".join(evidence(name, value)) for name, value in finding.evidence.items())


def beyond_message(finding: Finding) -> list[str]:
    """Found, expected and evidence, as far as the message does not show them already."""
    message = one_line(finding.message)
    shown = [(float(m[0]), len(m[1] or "")) for m in re.finditer(r"\d+(?:\.(\d+))?", message)]

    def told(value: object) -> bool:
        if isinstance(value, bool) or not isinstance(value, int | float):
            return one_line(value) in message or len(one_line(value)) > _PROOF
        return any(abs(abs(value) - number) <= 0.51 * 10.0**-digits for number, digits in shown)

    proof = [
        f"{name} {measure(m)}"
        for name, m in (("found", finding.found), ("expected", finding.expected))
        if m is not None and not told(m.value)
    ]
    return proof + [" ".join(evidence(name, v)) for name, v in finding.evidence.items() if not told(v)]


def reference(sheet: str, cell: str) -> str:
    """`Index!H14`; the sheet's name is quoted where a formula would have to quote it."""
    name = quoted_sheet(one_line(sheet)) if sheet else ""
    return f"{name}!{cell}" if name and cell else name or cell


def place(finding: Finding) -> str:
    """Where the finding stands, as a reference."""
    return reference(finding.sheet, finding.cell)


def quoted_sheet(name: str) -> str:
    """The name as a reference writes it: `'Level gauges'`, `Index`."""
    plain = re.fullmatch(r"[^\W\d]\w*", name) and not re.fullmatch(r"[A-Za-z]{1,3}\d+|[rRcC]\d*", name)
    return name if plain else "'" + name.replace("'", "''") + "'"


def plural(count: int, word: str) -> str:
    """`1 row`, `2 rows`."""
    return f"{count:,} {word}{'' if count == 1 else 's'}"


def tally(findings: Iterable[Finding]) -> list[tuple[Severity, str, int]]:
    """How many findings of each severity and rule: errors first, the most frequent first."""
    counts = Counter((f.severity, f.rule) for f in findings)
    return sorted(((s, r, n) for (s, r), n in counts.items()), key=lambda t: (-t[0].rank, -t[2], t[1]))


def headline(result: AuditResult) -> str:
    """`3 errors, 1 warning, no notes` of a result."""
    parts = [(result.count(s), s.value) for s in SEVERITIES]
    return ", ".join(plural(n, word) if n else f"no {word}s" for n, word in parts)


def unchecked(result: AuditResult) -> list[tuple[str, tuple[str, ...], list[str]]]:
    """What could not be checked: (rule, missing data, tags), the widest gaps of each rule first."""
    groups: dict[tuple[str, tuple[str, ...]], dict[str, None]] = {}
    for item in result.not_checked:
        name = item.tag or (f"{item.sheet} row {item.row}" if item.row else item.sheet)
        groups.setdefault((item.rule, item.missing), {})[one_line(name)] = None
    found = [(rule, missing, list(tags)) for (rule, missing), tags in groups.items()]
    return sorted(found, key=lambda g: (g[0], -len(g[2]), g[1]))


def most_wanted(groups: Iterable[tuple[str, tuple[str, ...], list[str]]]) -> list[tuple[str, int, int]]:
    """The missing items: name, gauges that lack it, rules that wait for it; the most urgent first."""
    gauges: dict[str, set[str]] = {}
    rules: dict[str, set[str]] = {}
    for rule, missing, tags in groups:
        for item in map(one_line, missing):
            gauges.setdefault(item, set()).update(tags)
            rules.setdefault(item, set()).add(rule)
    found = [(item, len(tags), len(rules[item])) for item, tags in gauges.items()]
    return sorted(found, key=lambda f: (-f[1] * f[2], f[0]))


def listed(names: Sequence[str], most: int) -> str:
    """`LG-1, LG-5 to LG-9 and 8 more`: at most `most` names or runs, and an honest count of the rest."""
    pieces = _runs(names)
    shown = pieces if len(pieces) == most + 1 else pieces[:most]  # 'and 1 more' saves nothing
    left = len(names) - sum(count for _, count in shown)
    return ", ".join(text for text, _ in shown) + (f" and {left:,} more" if left else "")


def _runs(names: Sequence[str]) -> list[tuple[str, int]]:
    """Names that count up by one, three or more of them, become `first to last`."""
    parts = [re.fullmatch(r"(.*?)(\d+)(\D*)", name) for name in names]
    keys = [m.group(1, 2, 3) if m else None for m in parts]
    pieces: list[tuple[str, int]] = []
    start = 0
    for end in range(1, len(names) + 1):
        before, here = keys[end - 1], keys[end] if end < len(names) else None
        if before and here == (before[0], str(int(before[1]) + 1).zfill(len(before[1])), before[2]):
            continue
        run = names[start:end]
        pieces += [(f"{run[0]} to {run[-1]}", len(run))] if len(run) > 2 else [(name, 1) for name in run]
        start = end
    return pieces


def cells(findings: Iterable[Finding]) -> list[str]:
    """Where the findings stand, sheet by sheet: `Index!D5`, `D6`, `Lists!A1`."""
    out: list[str] = []
    sheet = None
    for finding in sorted(findings, key=lambda f: f.sheet):
        out.append(finding.cell if finding.cell and finding.sheet == sheet else place(finding))
        sheet = finding.sheet
    return out


def settings(result: AuditResult) -> list[tuple[str, str, str]]:
    """The settings used: name, value, and what it means with its default where that is another."""
    from xlfuncs.audit.settings import describe

    known = {name: (_value(default), meaning) for name, default, meaning, _ in describe()}
    lines = []
    for name, value in _flat(result.settings):
        default, meaning = known.get(name, (value, ""))
        lines.append(
            (name, value, meaning if default == value else f"{meaning} (default {default})".lstrip())
        )
    return lines


def _flat(settings: Mapping[str, Any], prefix: str = "") -> Iterable[tuple[str, str]]:
    for name, value in settings.items():
        if isinstance(value, Mapping):
            yield from _flat(value, f"{prefix}{name}.")
        else:
            yield f"{prefix}{name}", _value(value)


def _value(value: object) -> str:
    if isinstance(value, list | tuple | set | frozenset):
        return ", ".join(number(v) for v in value) or "none"
    return str(value).lower() if isinstance(value, bool) else number(value)


def label(field: str) -> str:
    """How a person calls a field of the vocabulary."""
    from xlfuncs.data import load

    return str(load("fields").get(field, {}).get("label", field.replace("_", " ")))
