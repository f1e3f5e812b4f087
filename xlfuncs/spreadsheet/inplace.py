"""The cells of an .xlsx or .xlsm file, read as formulas see them, and new values put into a copy.

Every part of the file that does not hold a changed cell stays byte for byte: openpyxl would drop the
values kept with formulas, pictures, slicers and more. ECMA-376 part 1, section 18.3 (worksheets).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, MutableMapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from xlfuncs.errors import XlfuncsError
from xlfuncs.spreadsheet.address import column_letter, split_address
from xlfuncs.spreadsheet.book import BookCells, FormulaCell, SheetCells
from xlfuncs.spreadsheet.cell_values import CellError
from xlfuncs.spreadsheet.changed import Changed
from xlfuncs.spreadsheet.elsewhere import read_link
from xlfuncs.spreadsheet.markup import escape, quoteattr
from xlfuncs.spreadsheet.package import Broken, Package, local, new_parser, parse, spoken
from xlfuncs.spreadsheet.splice import NotPlainXml
from xlfuncs.spreadsheet.tree import Area

_LIMIT = 2**31
"""Unpacked size in bytes above which a file is refused."""
_BEYOND = 1 << 30
"""A row or column after the last."""
_CALC_ID = 191029
"""Calculation engine of Excel 2019 and later (from memory): a file that names an older one is
calculated anew on opening, and would show #NAME? where the functions are not installed."""


@dataclass(frozen=True, slots=True)
class Edit:
    """What to write into a cell."""

    value: Any
    """float, str, bool, `CellError`, or None to leave the cell empty."""
    formula: bool | str = True
    """False: the formula is replaced by the value. A text: it takes the place of the formula's text."""
    fills: str = ""
    """New range of a dynamic array formula, 'B2:C9'; "" to leave it."""


class Workbook:
    """An Office Open XML workbook, opened for reading and for a changed copy."""

    def __init__(self, path: Path) -> None:
        self.path = path
        try:
            self._package = Package(path)
        except FileNotFoundError:
            raise XlfuncsError(f"{path}: there is no such file") from None
        except PermissionError:
            raise XlfuncsError(f"{path}: may not be read; ask for the permission, or copy it") from None
        except Broken:
            raise XlfuncsError(
                f"{path}: is not an .xlsx or .xlsm workbook, or is protected by a password; save it as .xlsx"
            ) from None
        try:
            if sum(info.file_size for info in self._package.zip.infolist()) > _LIMIT:
                raise XlfuncsError(f"{path}: unpacks to more than 2 GiB; it is not read")
            if not self._package.main or self._package.binary:
                raise XlfuncsError(f"{path}: holds no .xlsx or .xlsm workbook; save it as .xlsx")
            self.cells = self._read_book()
        except Broken as why:
            self.close()
            raise self._damaged(why) from why
        except BaseException:
            self.close()
            raise

    def _damaged(self, why: object) -> XlfuncsError:
        return XlfuncsError(f"{self.path}: the workbook is damaged: {why}; open it and save it again")

    def close(self) -> None:
        self._package.close()

    def __enter__(self) -> Workbook:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    # --- reading ---

    def _read_book(self) -> BookCells:
        names: list[tuple[dict[str, str], list[str]]] = []
        calculation: dict[str, str] = {}
        others: list[str] = []
        current: list[str] | None = None

        def begin(tag: str, attributes: dict[str, str]) -> None:
            nonlocal current
            if local(tag) == "definedName":
                current = []
                names.append((attributes, current))
            elif local(tag) == "externalReference":
                others.append(next((value for key, value in attributes.items() if local(key) == "id"), ""))
            elif local(tag) == "calcPr":
                calculation.update(attributes)

        def finish(tag: str) -> None:
            nonlocal current
            current = None

        def characters(text: str) -> None:
            if current is not None:
                current.append(text)

        package = self._package
        parse(package.read(package.main), package.main, begin, finish, characters)
        strings = self._strings()
        book = BookCells({}, trusted=calculation.get("fullCalcOnLoad", "0") not in ("1", "true"))
        book.from_1904 = package.from_1904
        for number, key in enumerate(others, 1):
            if key in package.links and (part := package.links[key].part):
                book.links[str(number)] = read_link(package.read(part), part)
        sheets = package.sheets
        for sheet in sheets:
            cells = SheetCells(sheet.name)
            book.sheets[sheet.name.casefold()] = cells
            if sheet.part and sheet.holds_cells:
                _SheetReader(cells, strings).read(package, sheet.part)
                for link in package.relations(sheet.part):
                    if link.kind == "table" and link.part:
                        _read_table(package.read(link.part), link.part, sheet.name, book)
        for about, text in names:
            scope, name = about.get("localSheetId", ""), about.get("name", "").casefold()
            if not scope:
                book.names["", name] = "".join(text)
            elif scope.isdecimal() and int(scope) < len(sheets):
                book.names[sheets[int(scope)].name.casefold(), name] = "".join(text)
        return book

    def _strings(self) -> list[str]:
        part = self._package.strings
        strings: list[str] = []
        path: list[str] = []

        def begin(tag: str, attributes: dict[str, str]) -> None:
            path.append(local(tag))
            if path[-1] == "si":
                strings.append("")

        def finish(tag: str) -> None:
            path.pop()

        def characters(text: str) -> None:
            if path[-1] == "t" and strings and "rPh" not in path:  # phonetic text is no part of the string
                strings[-1] += text

        if part:
            _parse_pieces(self._package, part, begin, finish, characters)
        return [_unescaped(s) for s in strings]

    # --- writing ---

    def save(
        self,
        path: Path,
        edits: Mapping[str, Mapping[tuple[int, int], Edit]],
        sheets: Mapping[str, str] | None = None,
        then: Callable[[Changed], None] | None = None,
    ) -> None:
        """Write a copy with the values of `edits` (sheet -> (row, column) -> edit) in its cells, and the
        new names of `sheets` (old -> new; formulas that refer to them are not changed). What else is to be
        different, `then` says.

        The copy does not ask to be calculated when it is opened, so that it shows its numbers where
        the functions are missing.
        """
        package = self._package
        parts = package.worksheets
        changed = Changed(package)
        try:
            for sheet, cells in edits.items():
                if cells:
                    changed.put(parts[sheet], _SheetWriter(cells).write(changed.in_utf_8(parts[sheet])))
            main = _renamed(calculated(changed.in_utf_8(package.main)), sheets or {})
            changed.put(package.main, main)
            if any(not edit.formula for sheet in edits.values() for edit in sheet.values()):
                # the order of calculation names cells that lose their formulas; it is optional
                for link in package.links.values():
                    if link.kind == "calcChain" and link.part:
                        changed.drop(link.part, package.main)
            if then:
                then(changed)
            changed.save(path)
        except (Broken, NotPlainXml) as why:
            raise self._damaged(why) from why


def _parse_pieces(package: Package, part: str, *handlers: Any) -> None:
    """Parse a part that may be long."""
    parser = new_parser(*handlers)
    with spoken(part):
        for piece in package.pieces(part):
            parser.Parse(piece, False)
        parser.Parse(b"", True)


def _read_table(data: bytes, part: str, sheet: str, book: BookCells) -> None:
    """Note what a table is called and where it is; one without a name or a range cannot be referred to."""
    table: dict[str, str] = {}
    headings: list[str] = []
    ranges: list[Area | None] = []

    def begin(tag: str, attributes: dict[str, str]) -> None:
        if local(tag) == "table":
            table.update(attributes)
        elif local(tag) == "tableColumn":
            headings.append(_unescaped(attributes.get("name", "")).casefold())
        elif local(tag) == "autoFilter":
            ranges.append(_area(sheet, attributes.get("ref", "")))
        elif local(tag) == "filterColumn":
            book.sheets[sheet.casefold()].filtered.update(filter(None, ranges[-1:]))

    parse(data, part, begin)
    name = table.get("displayName") or table.get("name", "")
    area = _area(sheet, table.get("ref", ""))
    if not name or area is None:
        return
    if table.get("headerRowCount") == "0":
        area = area._replace(top=area.top - 1)
    totals = table.get("totalsRowCount", "")
    book.tables[name.casefold()] = (area, tuple(headings), int(totals) if totals.isdecimal() else 0)


_RANGE = re.compile(r"([A-Z]{1,3}[1-9]\d{0,8})(?::([A-Z]{1,3}[1-9]\d{0,8}))?", re.IGNORECASE)


def _area(sheet: str, reference: str) -> Area | None:
    """A range of a sheet; None for what is none."""
    found = _RANGE.fullmatch(reference.replace("$", ""))
    if found is None:
        return None
    left, top = split_address(found[1])
    right, bottom = split_address(found[2] or found[1])
    return Area(sheet, top, left, bottom, right)


def _unescaped(text: str) -> str:
    """Characters that XML cannot hold are kept as _x000D_ (ECMA-376 part 1, 22.9.2.19)."""
    return re.sub(r"_x([0-9A-Fa-f]{4})_", lambda m: chr(int(m[1], 16)), text) if "_x" in text else text


def _escaped(text: str) -> str:
    text = re.sub(r"_(?=x[0-9A-Fa-f]{4}_)", "_x005F_", text)
    return escape(re.sub(r"[\x00-\x08\x0b-\x1f\ufffe\uffff]", lambda m: f"_x{ord(m[0]):04X}_", text))


class _Place:
    """Where a parser is among rows and cells, whether or not they say so themselves."""

    def __init__(self) -> None:
        self.row = self.column = 0

    def next_row(self, attributes: Mapping[str, str]) -> None:
        number = attributes.get("r", "")
        self.row = int(number) if number.isdecimal() else self.row + 1
        self.column = 0

    def next_cell(self, attributes: Mapping[str, str]) -> tuple[int, int]:
        where = attributes.get("r", "").replace("$", "")
        if where and _RANGE.fullmatch(where):
            self.column, self.row = split_address(where)
        else:
            self.column += 1
        return self.row, self.column


class _Values(MutableMapping[tuple[int, int], Any]):
    """Values by row and column, kept by rows: a key for each cell would take more than they do."""

    def __init__(self) -> None:
        self._rows: dict[int, dict[int, Any]] = {}

    def __getitem__(self, place: tuple[int, int]) -> Any:
        return self._rows[place[0]][place[1]]

    def get(self, place: tuple[int, int], default: Any = None) -> Any:
        row = self._rows.get(place[0])
        return default if row is None else row.get(place[1], default)

    def __contains__(self, place: object) -> bool:
        return isinstance(place, tuple) and place[1] in self._rows.get(place[0], ())

    def __setitem__(self, place: tuple[int, int], value: Any) -> None:
        self._rows.setdefault(place[0], {})[place[1]] = value

    def __delitem__(self, place: tuple[int, int]) -> None:
        del self._rows[place[0]][place[1]]

    def __iter__(self) -> Iterator[tuple[int, int]]:
        return ((row, column) for row, cells in self._rows.items() for column in cells)

    def __len__(self) -> int:
        return sum(map(len, self._rows.values()))


class _SheetReader:
    """Values and formulas of one sheet."""

    def __init__(self, cells: SheetCells, strings: Sequence[str]) -> None:
        self._cells, self._strings = cells, strings
        cells.values = _Values()  # type: ignore[assignment]
        self._place = _Place()
        self._here = (0, 0)
        self._kind = self._meta = ""
        self._value: list[str] = []
        self._formula: list[str] = []
        self._attributes: dict[str, str] | None = None
        self._into: list[str] | None = None
        self._phonetic = self._has_value = False
        self._shared: dict[str, tuple[str, str]] = {}
        self._filter: Area | None = None

    def read(self, package: Package, part: str) -> None:
        _parse_pieces(package, part, self._begin, self._finish, self._characters)

    def read_xml(self, data: bytes) -> None:
        parse(data, "worksheet", self._begin, self._finish, self._characters)

    def _begin(self, tag: str, attributes: dict[str, str]) -> None:
        name = local(tag)
        if name == "c":
            self._here = self._place.next_cell(attributes)
            self._kind, self._meta = attributes.get("t", "n"), attributes.get("cm", "")
            self._value, self._formula, self._attributes = [], [], None
            self._has_value = False
        elif name == "v" or name == "t":
            self._has_value = True
            self._into = None if self._phonetic else self._value
        elif name == "f":
            self._attributes = attributes
            self._into = self._formula
        elif name == "row":
            self._place.next_row(attributes)
            if attributes.get("hidden") in ("1", "true"):
                self._cells.hidden.add(self._place.row)
        elif name == "autoFilter":
            self._filter = _area(self._cells.name, attributes.get("ref", ""))
        elif name == "filterColumn" and self._filter is not None:
            self._cells.filtered.add(self._filter)
        elif name == "rPh":
            self._phonetic = True

    def _characters(self, text: str) -> None:
        if self._into is not None:
            self._into.append(text)

    def _finish(self, tag: str) -> None:
        name = local(tag)
        if name == "c":
            self._cell()
        elif name in ("v", "t", "f"):
            self._into = None
        elif name == "rPh":
            self._phonetic = False

    def _cell(self) -> None:
        here = self._here
        value = self._typed("".join(self._value)) if self._has_value else None
        if value is not None:
            self._cells.values[here] = value
        if self._attributes is not None:
            self._cells.formulas[here] = self._read_formula(self._attributes, "".join(self._formula))
        if value is not None or self._attributes is not None:
            self._cells.rows = max(self._cells.rows, here[0])
            self._cells.columns = max(self._cells.columns, here[1])

    def _typed(self, text: str) -> Any:
        kind = self._kind
        if kind == "s":
            return self._shared_string(text.strip())
        if kind in ("str", "inlineStr"):
            return _unescaped(text)
        if kind == "b":
            return text.strip() in ("1", "true")
        if kind == "e":
            return CellError(text)
        if kind == "d":
            return text
        try:
            return float(text) if text.strip() else None
        except ValueError:
            return text

    def _shared_string(self, number: str) -> str | None:
        if not number:
            return None
        if not number.isdecimal() or int(number) >= len(self._strings):
            where = f"{self._cells.name}!{self._address()}"
            raise Broken(f"the text of cell {where} is not in the file")
        return self._strings[int(number)]

    def _address(self) -> str:
        return f"{column_letter(self._here[1])}{self._here[0]}"

    def _read_formula(self, attributes: dict[str, str], text: str) -> FormulaCell:
        kind = attributes.get("t", "normal")
        if kind == "array":
            area = _area(self._cells.name, attributes.get("ref", ""))
            return FormulaCell(
                text, area, dynamic=bool(self._meta), other="" if area else "an array without a range"
            )
        if kind == "dataTable":
            return FormulaCell("", other="a data table")
        if kind == "shared":
            group = attributes.get("si", "")
            if text:
                self._shared[group] = (text, self._address())
            elif group not in self._shared:
                return FormulaCell("", other="a formula shared with a cell that has none")
            else:
                text = _moved(*self._shared[group], self._address())
        return FormulaCell(text)


def read_sheet(name: str, data: bytes, strings: Sequence[str]) -> SheetCells:
    """The cells of one worksheet, whose XML is at hand."""
    cells = SheetCells(name)
    _SheetReader(cells, strings).read_xml(data)
    return cells


def _moved(text: str, origin: str, here: str) -> str:
    from openpyxl.formula.translate import Translator

    moved: str = Translator(f"={text}", origin).translate_formula(here)
    return moved[1:]


class _SheetWriter:
    """Puts values into the XML of a sheet and leaves all other bytes."""

    def __init__(self, edits: Mapping[tuple[int, int], Edit]) -> None:
        self._edits = edits
        self._waiting = sorted(edits, reverse=True)
        self._place = _Place()
        self._prefix = ""
        self._open: tuple[int, int] | None = None
        self._kept: list[tuple[str, int, int]] = []
        self._depth = 0
        self._in_data = False
        # start, end, and whether it closes itself, of the opening tag of a row, a cell and a part of a cell
        self._tags: dict[str, tuple[int, int, bool]] = {}

    @property
    def _row(self) -> int:
        return self._place.row

    def write(self, data: bytes) -> bytes:
        self._data = data
        self._pieces: list[bytes] = []
        self._at = 0
        self._parser = new_parser(self._begin, self._finish)
        with spoken("worksheet"):
            self._parser.Parse(data, True)
        return b"".join(self._pieces) + data[self._at :]

    def _begin(self, tag: str, attributes: dict[str, str]) -> None:
        name = local(tag)
        index = self._parser.CurrentByteIndex
        if self._open is not None:
            self._depth += 1
            if self._depth == 1:
                self._note("part", index)
            return
        if not self._in_data:
            if name == "sheetData":
                self._in_data, self._prefix = True, tag[: -len(name)]
                self._note("sheetData", index)
            return
        if name == "row":
            self._place.next_row(attributes)
            self._insert_rows(index, self._row)
            self._note("row", index)
            self._widen_row()
        elif name == "c":
            here = self._place.next_cell(attributes)
            self._insert_cells(index, here)
            if self._waiting and self._waiting[-1] == here:
                self._waiting.pop()
                self._note("c", index)
                self._open, self._kept, self._depth = here, [], 0

    def _finish(self, tag: str) -> None:
        name = local(tag)
        index = self._parser.CurrentByteIndex
        if self._open is not None:
            if self._depth:
                self._depth -= 1
                if self._depth == 0:
                    self._kept.append((name, self._tags["part"][0], self._end("part", index)))
                return
            self._replace_cell(self._end("c", index))
            self._open = None
        elif name == "row" and self._in_data:
            if self._waiting and self._waiting[-1][0] == self._row:
                self._fill("row", index, lambda at: self._insert_cells(at, (self._row, _BEYOND)))
        elif name == "sheetData":
            if self._waiting:
                self._fill("sheetData", index, lambda at: self._insert_rows(at, _BEYOND))
            self._in_data = False

    def _note(self, kind: str, index: int) -> None:
        end = self._data.index(b">", index) + 1
        self._tags[kind] = (index, end, self._data[end - 2 : end - 1] == b"/")

    def _end(self, kind: str, index: int) -> int:
        """Where an element ends; `index` is where its closing tag begins, if it has one."""
        _, end, closed = self._tags[kind]
        return end if closed else self._data.index(b">", index) + 1

    def _fill(self, kind: str, index: int, insert: Callable[[int], None]) -> None:
        """Insert at the end of an element; one that closes itself is opened for that."""
        _, end, closed = self._tags[kind]
        if not closed:
            insert(index)
            return
        self._copy(end)
        tag = self._pieces.pop()
        self._pieces.append(tag[: tag.rindex(b"/")] + b">")
        insert(end)
        self._pieces.append(f"</{self._prefix}{kind}>".encode())

    def _widen_row(self) -> None:
        """Drop the note of the columns that a row reaches over: it may get more."""
        start, end, closed = self._tags["row"]
        if self._waiting and self._waiting[-1][0] == self._row and not closed:
            self._copy(start)
            self._pieces.append(re.sub(rb"\s+spans\s*=\s*(\"[^\"]*\"|'[^']*')", b"", self._data[start:end]))
            self._at = end

    def _copy(self, until: int) -> None:
        self._pieces.append(self._data[self._at : until])
        self._at = until

    def _cell(
        self, place: tuple[int, int], opening: str = "", formula: bytes = b"", rest: bytes = b""
    ) -> bytes:
        p = self._prefix
        kind, inner = _content(self._edits[place], p, bool(formula))
        opening = opening or f'<{p}c r="{column_letter(place[1])}{place[0]}"'
        if not formula and not inner and not rest:
            return f"{opening}/>".encode()
        return f"{opening}{kind}>".encode() + formula + inner.encode() + rest + f"</{p}c>".encode()

    def _replace_cell(self, end: int) -> None:
        assert self._open is not None
        edit = self._edits[self._open]
        start, tag_end, _ = self._tags["c"]
        self._copy(start)
        tag = self._data[start:tag_end].rstrip(b"/> \t\r\n").decode()
        opening = re.sub(r"\s+t\s*=\s*(\"[^\"]*\"|'[^']*')", "", tag)
        formula = rest = b""
        for name, start, stop in self._kept:
            if name == "f" and edit.formula:
                formula = self._data[start:stop]
                if isinstance(edit.formula, str) and not formula.endswith(b"/>"):
                    first, last = formula.index(b">") + 1, formula.rindex(b"<")
                    formula = formula[:first] + escape(edit.formula).encode() + formula[last:]
                if edit.fills:
                    wanted = rb'\1"' + edit.fills.encode() + b'"'
                    formula = re.sub(rb'(\sref\s*=\s*)("[^"]*"|\'[^\']*\')', wanted, formula, count=1)
            elif name not in ("f", "v", "is"):
                rest += self._data[start:stop]
        if not edit.formula:
            opening = re.sub(r"\s+cm\s*=\s*(\"[^\"]*\"|'[^']*')", "", opening)
        self._pieces.append(self._cell(self._open, opening, formula, rest))
        self._at = end

    def _insert_cells(self, index: int, before: tuple[int, int]) -> None:
        """Cells that the row does not hold yet."""
        if self._waiting and self._waiting[-1] < before and self._waiting[-1][0] == self._row:
            self._copy(index)
            while self._waiting and self._waiting[-1] < before and self._waiting[-1][0] == self._row:
                self._pieces.append(self._cell(self._waiting.pop()))

    def _insert_rows(self, index: int, before: int) -> None:
        if self._waiting and self._waiting[-1][0] < before:
            self._copy(index)
            while self._waiting and self._waiting[-1][0] < before:
                row = self._waiting[-1][0]
                self._pieces.append(f'<{self._prefix}row r="{row}">'.encode())
                while self._waiting and self._waiting[-1][0] == row:
                    self._pieces.append(self._cell(self._waiting.pop()))
                self._pieces.append(f"</{self._prefix}row>".encode())


def with_values(data: bytes, edits: Mapping[tuple[int, int], Edit]) -> bytes:
    """The XML of a worksheet with other values in some of its cells."""
    return _SheetWriter(edits).write(data)


def _content(edit: Edit, prefix: str, formula: bool) -> tuple[str, str]:
    """The attribute for the kind of a value, and the element that holds it."""
    value = edit.value
    if value is None:
        return "", ""
    if isinstance(value, bool):
        kind, shown = "b", str(int(value))
    elif isinstance(value, (int, float)):
        kind, shown = "", repr(value)
    elif isinstance(value, CellError):
        kind, shown = "e", escape(value)
    elif formula:
        kind, shown = "str", _escaped(value)
    else:
        text = f'<{prefix}is><{prefix}t xml:space="preserve">{_escaped(value)}</{prefix}t></{prefix}is>'
        return ' t="inlineStr"', text
    return f' t="{kind}"' if kind else "", f"<{prefix}v>{shown}</{prefix}v>"


def _renamed(workbook: bytes, sheets: Mapping[str, str]) -> bytes:
    for old, new in sheets.items():
        named = rb"(<(?:[\w.-]+:)?sheet\b[^<>]* name=)" + re.escape(quoteattr(old).encode())
        found = re.search(named, workbook)
        if found:
            workbook = workbook[: found.end(1)] + quoteattr(new).encode() + workbook[found.end() :]
    return workbook


_BEFORE_CALCULATION = re.compile(
    rb"</((?:[\w.-]+:)?)(?:sheets|functionGroups|externalReferences|definedNames)>"
)


def calculated(workbook: bytes) -> bytes:
    """The workbook part, told that its values are up to date."""
    found = re.search(rb"<(?:[\w.-]+:)?calcPr\b[^<>]*>", workbook)
    if found is None:
        places = [*_BEFORE_CALCULATION.finditer(workbook)]
        if not places:
            return workbook
        before = places[-1]
        tag = b"<" + before[1] + b'calcPr calcId="%d"/>' % _CALC_ID
        return workbook[: before.end()] + tag + workbook[before.end() :]
    tag = re.sub(rb"\s+(fullCalcOnLoad|forceFullCalc)\s*=\s*(\"[^\"]*\"|'[^']*')", b"", found[0])
    engine = re.search(rb"calcId\s*=\s*[\"'](\d+)[\"']", tag)
    if engine is not None and int(engine[1]) < _CALC_ID:
        tag = tag[: engine.start(1)] + b"%d" % _CALC_ID + tag[engine.end(1) :]
    return workbook[: found.start()] + tag + workbook[found.end() :]
