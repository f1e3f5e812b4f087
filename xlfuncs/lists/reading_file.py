"""How a workbook was read as a file: READING.toml, to be corrected, kept for a contractor, and given back."""

from __future__ import annotations

import json
import re
import tomllib
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from textwrap import wrap
from typing import Any, Final, cast

from xlfuncs.errors import XlfuncsError
from xlfuncs.lists.instructions import FILE, SaidColumn, SaidList, check_unit, no_field
from xlfuncs.lists.reading import KINDS, NOT_USED, OPEN, ColumnRead, ListRead
from xlfuncs.vocabulary.meaning import Kind, fields

_WIDTH: Final = 110


def to_toml(lists: Sequence[ListRead], workbook: str) -> str:
    """The reading as a file to correct, to keep and to give back with `--reading`."""
    lines = [*_explained(workbook, lists), ""]
    for number, one in enumerate(lists, 1):
        lines += ["", *_list(number, one)]
    return "\n".join(lines) + "\n"


def _explained(workbook: str, lists: Sequence[ListRead]) -> Iterator[str]:
    texts = _EXPLAINED.format(workbook=_comment(workbook)).split("\n")
    kinds = dict.fromkeys(one.kind for one in lists) or dict.fromkeys(KINDS)
    for kind in kinds:
        names = ", ".join(name for name, entry in fields().items() if kind in entry["tables"])
        texts += ["", f"Fields of {_A[kind]}: {names}."]
    texts += ["", "What each of them means: xlfuncs columns --fields"]
    for text in texts:
        yield from (f"# {line}" for line in wrap(text, _WIDTH - 2)) if text else ["#"]


_EXPLAINED: Final = """\
How xlfuncs has read {workbook}. Correct what is wrong, keep the file, and give it back, for this \
workbook or for the next ones of the same maker:  xlfuncs audit BOOK --reading THIS.toml

field: what the column is, a name of those below; "" = not used; "?" = nobody has said yet.
shape: how the sheet is read, where it could be read in several ways. Where you change it, what is said of \
its columns counts no more: write the file again with  xlfuncs columns BOOK --reading THIS.toml -o NEW.toml
unit: the unit of its numbers; "" = as the sheet says, in its headings, in its cells or beside them.
A column is known again by its sheet and heading, else by its heading on any sheet, else by sheet and \
letter. A column of which there is no entry is read as if there were no file."""
_A: Final[Mapping[Kind, str]] = {"gauges": "an index of gauges", "floats": "a float list"}


def _list(number: int, one: ListRead) -> Iterator[str]:
    nearest = f"{one.sheet}: no list was found; these are the texts of what comes nearest to headings"
    yield f"# {number}. {_comment(one.line if one.found else nearest)}"
    yield "[[list]]"
    yield f"sheet = {_text(one.sheet)}"
    yield f"kind = {_text(one.kind)}  # {KINDS[one.kind]}"
    if one.headings:
        yield f"rows = [{', '.join(map(str, one.headings))}]  # of the headings"
    if one.found and (one.shape or one.others):
        others = " or ".join(map(_text, one.others))
        asked = "IN DOUBT, the cells mean something else then: " if one.question else ""
        yield f"shape = {_text(one.layout)}" + (f"  # or {asked}{_comment(others)}" if others else "")
    key = "column" if one.headings else "cell"
    yield "columns = ["
    cells = [
        (f"{key} = {_text(column.letter)},", f"heading = {_text(column.heading)},",
         f"field = {_text(column.said)},", f"unit = {_text(column.unit)} }},")
        for column in one.columns
        if column.filled or column.field or column.heading
    ]  # fmt: skip
    told = [_told(column) for column in one.columns if column.filled or column.field or column.heading]
    wide = [min(max(map(len, texts), default=0), 48) for texts in zip(*cells, strict=True)] if cells else []
    for texts, comment in zip(cells, told, strict=True):
        line = "  { " + " ".join(text.ljust(width) for text, width in zip(texts, wide, strict=True)).rstrip()
        yield f"{line}  # {comment}" if comment else line
    yield "]"


def _told(column: ColumnRead) -> str:
    """How sure a column is, the runner-up, and what is in doubt."""
    parts = []
    if column.field:
        parts.append(f"{column.sure:.0%}")
        if column.runner_up:
            parts.append(f"next: {column.runner_up} {column.runner_up_sure:.0%}")
    elif column.could_be:
        parts.append(f'IN DOUBT: {" or ".join(column.could_be)}, or "" for neither')
    elif column.unknown:
        near = f"; nearest: {column.runner_up} {column.runner_up_sure:.0%}" if column.runner_up else ""
        parts.append(f'not understood: write its field, or ""{near}')
    elif column.known_as:
        parts.append(f"of no use: {column.known_as}")
    elif not column.filled:
        parts.append("no data")
    if column.misfit:
        parts.append(f"UNIT: {column.misfit!r} is none of this field, so its numbers are not used")
    if column.unit_told:
        parts.append(f"unit: {column.unit_told}")
    return _comment("; ".join(parts))


def _text(text: str) -> str:
    """A basic string of TOML; JSON's escapes are TOML's."""
    return json.dumps(text.encode("utf-8", "replace").decode(), ensure_ascii=False).replace("\x7f", "\\u007f")


def _comment(text: str) -> str:
    return re.sub(r"[\x00-\x08\x0a-\x1f\x7f]+", " ", text.encode("utf-8", "replace").decode())


# --- a file that was corrected ------------------------------------------------------------------------------


def read_toml(path: Path) -> list[SaidList]:
    """The lists of a READING.toml. XlfuncsError names the file, the entry and what to write."""
    content = _parsed(path)
    known = {"list"}
    for name in content.keys() - known:
        raise XlfuncsError(f"{path}: {name!r} is not known here; a reading holds [[list]] tables only")
    lists = content.get("list", [])
    if not isinstance(lists, list) or not lists or not all(isinstance(one, dict) for one in lists):
        raise XlfuncsError(
            f"{path}: holds no [[list]]; 'xlfuncs columns BOOK -o {path.name}' writes such a file"
        )
    return [_said_list(path, number, one) for number, one in enumerate(lists, 1)]


def _parsed(path: Path) -> dict[str, Any]:
    try:
        raw = path.read_bytes()
    except FileNotFoundError:
        raise XlfuncsError(
            f"{path}: there is no such file; 'xlfuncs columns BOOK -o {path}' writes it"
        ) from None
    except OSError as why:
        raise XlfuncsError(f"{path}: cannot be read: {why.strerror or why}") from None
    try:
        text = raw.decode("utf-16" if raw[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig")
    except UnicodeDecodeError:
        raise XlfuncsError(f"{path}: is no text in UTF-8; save it as such") from None
    try:
        return tomllib.loads(text.replace("\r\n", "\n"))
    except tomllib.TOMLDecodeError as why:
        raise XlfuncsError(f"{path}: {_where(str(why), text)}") from None


def _where(why: str, text: str) -> str:
    """What is wrong with a TOML file, with the line."""
    found = re.search(r"\(at line (\d+), column \d+\)", why)
    reason = re.sub(r"\s*\(at .*\)", "", why)
    if not found:
        return f"is not valid TOML: {reason}: look for a bracket or a quote that is not closed"
    line = text.split("\n")[int(found[1]) - 1].strip()
    return (
        f"line {found[1]} is not valid TOML ({reason}): {line[:80]!r}; texts stand between double quotes,"
        " a comma after each entry"
    )


_KEYS: Final = {"sheet", "kind", "rows", "shape", "columns"}
_COLUMN_KEYS: Final = {"column", "cell", "heading", "field", "unit"}


def _said_list(path: Path, number: int, one: Mapping[str, Any]) -> SaidList:
    sheet, kind, columns = one.get("sheet", ""), one.get("kind", ""), one.get("columns", [])
    shape = one.get("shape", "")
    said = f"{path}: list {number}" + (f" ({sheet!r})" if isinstance(sheet, str) and sheet else "")
    if unknown := sorted(one.keys() - _KEYS):
        raise XlfuncsError(f"{said}: {unknown[0]!r} is not known; write sheet, kind, rows, shape and columns")
    if not isinstance(sheet, str):
        raise XlfuncsError(f'{said}: write the name of the sheet between quotes: sheet = "Index"')
    if not isinstance(shape, str):
        raise XlfuncsError(f'{said}: write the shape between quotes: shape = "a list"')
    if kind not in KINDS:
        raise XlfuncsError(
            f'{said}: kind is {kind!r}; write "gauges" for an index, or "floats" for a float list'
        )
    if not isinstance(columns, list) or not all(isinstance(column, dict) for column in columns):
        raise XlfuncsError(
            f'{said}: write columns as a list of entries {{ column = "H", heading = "SG", ... }}'
        )
    made = tuple(_said_column(said, cast(Kind, kind), column) for column in columns)
    check_once(made)
    return SaidList(sheet, cast(Kind, kind), made, FILE, said, str(path), shape.strip())


def _said_column(said: str, kind: Kind, entry: Mapping[str, Any]) -> SaidColumn:
    texts = {name: entry.get(name, "") for name in _COLUMN_KEYS}
    place = texts["column"] or texts["cell"]
    what = f"{said}, {'cell' if texts['cell'] else 'column'} {place}" + (
        f" {texts['heading']!r}" if texts["heading"] else ""
    )
    if unknown := sorted(entry.keys() - _COLUMN_KEYS):
        raise XlfuncsError(f"{what}: {unknown[0]!r} is not known; write {', '.join(sorted(_COLUMN_KEYS))}")
    if wrong := next((name for name, text in texts.items() if not isinstance(text, str)), ""):
        raise XlfuncsError(f"{what}: {wrong} is {texts[wrong]!r}; write it between double quotes")
    if not place and not texts["heading"]:
        raise XlfuncsError(f'{said}: an entry names no column; write column = "H" or heading = "..."')
    if "field" not in entry:
        raise XlfuncsError(f'{what}: write its field, "" for a column that is not used, or "?"')
    field = texts["field"].strip()
    check_field(field, kind, what)
    unit = texts["unit"].strip()
    if unit and field and field != OPEN:
        check_unit(field, unit, what)
    return SaidColumn(place.strip().upper(), texts["heading"], None if field == OPEN else field, unit, what)


def check_field(field: str, kind: Kind, what: str) -> None:
    """XlfuncsError for what is no field of a kind of list."""
    if field in (NOT_USED, OPEN):
        return
    if field not in fields():
        raise XlfuncsError(f'{what}: {no_field(field)}; "" = not used, "?" = not known')
    if kind not in fields()[field]["tables"] and field != "tag":  # of the gauge that a float is for
        raise XlfuncsError(
            f"{what}: {field} is no field of {_A[kind]}; 'xlfuncs columns --fields' lists those"
        )


def check_once(columns: Sequence[SaidColumn]) -> None:
    """XlfuncsError where two columns of a list are said to be one field."""
    count = Counter(column.field for column in columns if column.field)
    for name, times in count.items():
        if times > 1:
            first, second = [column for column in columns if column.field == name][:2]
            raise XlfuncsError(
                f"{second.said}: {name} is already column {first.letter} {first.heading!r}: a list has one;"
                f' write "" for the other'
            )
