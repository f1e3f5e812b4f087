"""What several reports write in the same way: cleaned text, numbers, references, lists of names."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from html import escape

from xlfuncs.audit.model import Finding, Measure

# Control characters, and the marks that turn the direction of writing: neither may reach a terminal,
# a spreadsheet or a page from somebody else's cell.
_UNSAFE = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028-\u202e\u2066-\u2069\ud800-\udfff\ufffe\uffff]")

# A spreadsheet program may run a text that begins with one of these.
_ACTIVE = ("=", "+", "-", "@", "\t", "\r")


def clean(text: object) -> str:
    """The text without characters that could act on a terminal, a page or an XML file."""
    return _UNSAFE.sub("\ufffd", str(text))


def one_line(text: object) -> str:
    """The cleaned text with every run of blanks and line ends made one blank."""
    return " ".join(clean(text).split())


def escaped(text: object) -> str:
    """One line that is safe in a page."""
    return escape(one_line(text))


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


def sentence(text: object) -> str:
    """One line that begins with a capital, unless its first word is a name or a symbol."""
    line = one_line(text)
    return line[:1].upper() + line[1:] if re.match(r"[a-z]+[ ,:']", line) else line


def reference(sheet: str, cell: str) -> str:
    """`Index!H14`; the sheet's name is quoted where a formula would have to quote it."""
    name = quoted_sheet(one_line(sheet)) if sheet else ""
    return f"{name}!{cell}" if name and cell else name or cell


def place(finding: Finding) -> str:
    """Where the finding stands, as a reference."""
    return reference(finding.sheet, finding.cell)


def same_cause(finding: Finding) -> str:
    """The rules that only repeat the finding's cause."""
    return f"same cause: {', '.join(finding.also)}" if finding.also else ""


def mend_of(finding: Finding) -> str:
    """What to do about it, and what was computed to mend it."""
    remedy = finding.remedy
    return " ".join(filter(None, (sentence(finding.mend), one_line(remedy.text) if remedy else "")))


def quoted_sheet(name: str) -> str:
    """The name as a reference writes it: `'Level gauges'`, `Index`."""
    plain = re.fullmatch(r"[^\W\d]\w*", name) and not re.fullmatch(r"[A-Za-z]{1,3}\d+|[rRcC]\d*", name)
    return name if plain else "'" + name.replace("'", "''") + "'"


def plural(count: int, word: str) -> str:
    """`1 row`, `2 rows`."""
    return f"{count:,} {word}{'' if count == 1 else 's'}"


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
