"""The cells of an .xlsx or .xlsm file, read as formulas see them, and new values put into a copy.

Every part of the file that does not hold a changed cell stays byte for byte: openpyxl would drop the
values kept with formulas, pictures, slicers and more. ECMA-376 part 1, section 18.3 (worksheets).
"""

from __future__ import annotations

import posixpath
import re
import zipfile
from collections.abc import Callable, Mapping
from copy import copy
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from xml.parsers import expat
from xml.sax.saxutils import escape, quoteattr

from xlfuncs.errors import XlfuncsError
from xlfuncs.spreadsheet.address import column_letter, split_address
from xlfuncs.spreadsheet.evaluate import BookCells, FormulaCell, SheetCells
from xlfuncs.spreadsheet.formula import Area, CellError
from xlfuncs.spreadsheet.ooxml import DAMAGED

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
            self._zip = zipfile.ZipFile(path)
        except FileNotFoundError:
            raise XlfuncsError(f"{path}: there is no such file") from None
        except DAMAGED:
            raise XlfuncsError(
                f"{path}: is not an .xlsx or .xlsm workbook, or is protected by a password; save it as .xlsx"
            ) from None
        if sum(info.file_size for info in self._zip.infolist()) > _LIMIT:
            self.close()
            raise XlfuncsError(f"{path}: unpacks to more than 2 GiB; it is not read")
        try:
            self._parts: dict[str, str] = {}
            self._main = self._related("", "officeDocument")[0]
            self.cells = self._read_book()
        except (KeyError, IndexError, expat.ExpatError, *DAMAGED) as error:
            self.close()
            raise XlfuncsError(
                f"{path}: the workbook is damaged ({error}); open it and save it again"
            ) from None

    def close(self) -> None:
        self._zip.close()

    def __enter__(self) -> Workbook:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    # --- reading ---

    def _relations(self, part: str) -> dict[str, tuple[str, str]]:
        """Id -> (last word of the type, target part)."""
        folder, name = posixpath.split(part)
        path = posixpath.join(folder, "_rels", f"{name}.rels")
        found: dict[str, tuple[str, str]] = {}
        if path not in self._zip.NameToInfo:
            return found

        def begin(tag: str, attributes: dict[str, str]) -> None:
            if _local(tag) == "Relationship" and attributes.get("TargetMode") != "External":
                target = posixpath.normpath(posixpath.join("/", folder, attributes["Target"])).lstrip("/")
                found[attributes["Id"]] = (attributes["Type"].rpartition("/")[2], target)

        _parse(self._zip.read(path), begin)
        return found

    def _related(self, part: str, kind: str) -> list[str]:
        return [target for found, target in self._relations(part).values() if found == kind]

    def _read_book(self) -> BookCells:
        sheets: list[tuple[str, str]] = []
        names: list[tuple[str, str, list[str]]] = []
        calculation: dict[str, str] = {}
        current: list[str] | None = None

        def begin(tag: str, attributes: dict[str, str]) -> None:
            nonlocal current
            local = _local(tag)
            if local == "sheet":
                key = next(value for name, value in attributes.items() if _local(name) == "id")
                sheets.append((attributes["name"], key))
            elif local == "definedName":
                current = []
                names.append((attributes["name"], attributes.get("localSheetId", ""), current))
            elif local == "calcPr":
                calculation.update(attributes)

        def finish(tag: str) -> None:
            nonlocal current
            current = None

        def characters(text: str) -> None:
            if current is not None:
                current.append(text)

        _parse(self._zip.read(self._main), begin, finish, characters)
        relations = self._relations(self._main)
        strings = self._strings()
        book = BookCells({}, trusted=calculation.get("fullCalcOnLoad", "0") not in ("1", "true"))
        for name, key in sheets:
            kind, part = relations.get(key, ("", ""))
            cells = SheetCells(name)
            book.sheets[name.casefold()] = cells
            if kind == "worksheet":
                self._parts[name] = part
                _SheetReader(cells, strings).read(self._zip.read(part))
                for table in self._related(part, "table"):
                    self._read_table(self._zip.read(table), name, book)
        for defined, local, text in names:
            scope = sheets[int(local)][0].casefold() if local else ""
            book.names[scope, defined.casefold()] = "".join(text)
        return book

    def _strings(self) -> list[str]:
        parts = self._related(self._main, "sharedStrings")
        strings: list[str] = []
        path: list[str] = []

        def begin(tag: str, attributes: dict[str, str]) -> None:
            path.append(_local(tag))
            if path[-1] == "si":
                strings.append("")

        def finish(tag: str) -> None:
            path.pop()

        def characters(text: str) -> None:
            if path[-1] == "t" and "rPh" not in path:  # phonetic text is not part of the string
                strings[-1] += text

        if parts:
            _parse(self._zip.read(parts[0]), begin, finish, characters)
        return [_unescaped(s) for s in strings]

    @staticmethod
    def _read_table(data: bytes, sheet: str, book: BookCells) -> None:
        table: dict[str, str] = {}
        headings: list[str] = []

        def begin(tag: str, attributes: dict[str, str]) -> None:
            if _local(tag) == "table":
                table.update(attributes)
            elif _local(tag) == "tableColumn":
                headings.append(_unescaped(attributes["name"]).casefold())

        _parse(data, begin)
        area = _area(sheet, table["ref"])
        if table.get("headerRowCount") == "0":
            area = area._replace(top=area.top - 1)
        totals = int(table.get("totalsRowCount", 0))
        book.tables[table.get("displayName", table["name"]).casefold()] = (area, tuple(headings), totals)

    # --- writing ---

    def save(
        self,
        path: Path,
        edits: Mapping[str, Mapping[tuple[int, int], Edit]],
        sheets: Mapping[str, str] | None = None,
    ) -> None:
        """Write a copy with the values of `edits` (sheet -> (row, column) -> edit) in its cells, and the
        new names of `sheets` (old -> new; formulas that refer to them are not changed).

        The copy does not ask to be calculated when it is opened, so that it shows its numbers where
        the functions are missing.
        """
        changed = {
            self._parts[s]: _SheetWriter(e).write(self._zip.read(self._parts[s]))
            for s, e in edits.items()
            if e
        }
        changed[self._main] = _renamed(_calculated(self._zip.read(self._main)), sheets or {})
        dropped: set[str] = set()
        if any(not edit.formula for sheet in edits.values() for edit in sheet.values()):
            dropped = self._drop_chain(changed)
        with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as out:
            for info in self._zip.infolist():
                if info.filename not in dropped:
                    data = changed.get(info.filename)
                    out.writestr(copy(info), self._zip.read(info) if data is None else data)

    def _drop_chain(self, changed: dict[str, bytes]) -> set[str]:
        """Leave out the order of calculation, which names cells that lose their formulas; it is optional."""
        chains = self._related(self._main, "calcChain")
        folder, name = posixpath.split(self._main)
        for chain in chains:
            file = re.escape(posixpath.basename(chain)).encode()
            relations = posixpath.join(folder, "_rels", f"{name}.rels")
            for part, tag in ((relations, rb"Relationship"), ("[Content_Types].xml", rb"Override")):
                data = changed.get(part) or self._zip.read(part)
                changed[part] = re.sub(rb"<" + tag + rb"\s[^<>]*\b" + file + rb'"[^<>]*/>', b"", data)
        return set(chains)


def _local(tag: str) -> str:
    return tag.rpartition(":")[2]


def _refuse_type(*_: object) -> None:
    raise ValueError("it declares a document type")


def _parse(
    data: bytes,
    begin: Callable[[str, dict[str, str]], None],
    finish: Callable[[str], None] | None = None,
    characters: Callable[[str], None] | None = None,
) -> None:
    parser = expat.ParserCreate()
    parser.buffer_text = True
    parser.StartElementHandler = begin
    parser.StartDoctypeDeclHandler = _refuse_type
    if finish:
        parser.EndElementHandler = finish
    if characters:
        parser.CharacterDataHandler = characters
    parser.Parse(data, True)


def _area(sheet: str, reference: str) -> Area:
    first, _, last = reference.replace("$", "").partition(":")
    left, top = split_address(first)
    right, bottom = split_address(last or first)
    return Area(sheet, top, left, bottom, right)


def _unescaped(text: str) -> str:
    """Characters that XML cannot hold are kept as _x000D_ (ECMA-376 part 1, 22.9.2.19)."""
    return re.sub(r"_x([0-9A-Fa-f]{4})_", lambda m: chr(int(m[1], 16)), text) if "_x" in text else text


def _escaped(text: str) -> str:
    text = re.sub(r"_(?=x[0-9A-Fa-f]{4}_)", "_x005F_", text)
    return escape(re.sub(r"[\x00-\x08\x0b-\x1f\ufffe\uffff]", lambda m: f"_x{ord(m[0]):04X}_", text))


class _SheetReader:
    """Values and formulas of one sheet."""

    def __init__(self, cells: SheetCells, strings: list[str]) -> None:
        self._cells, self._strings = cells, strings
        self._row = self._column = 0
        self._kind = self._meta = ""
        self._value: list[str] = []
        self._formula: list[str] = []
        self._attributes: dict[str, str] | None = None
        self._into: list[str] | None = None
        self._phonetic = self._has_value = False
        self._shared: dict[str, tuple[str, str]] = {}

    def read(self, data: bytes) -> None:
        _parse(data, self._begin, self._finish, self._characters)

    def _begin(self, tag: str, attributes: dict[str, str]) -> None:
        local = _local(tag)
        if local == "c":
            where = attributes.get("r")
            if where:
                self._column, self._row = split_address(where)
            else:
                self._column += 1
            self._kind, self._meta = attributes.get("t", "n"), attributes.get("cm", "")
            self._value, self._formula, self._attributes = [], [], None
            self._has_value = False
        elif local == "v" or local == "t":
            self._has_value = True
            self._into = None if self._phonetic else self._value
        elif local == "f":
            self._attributes = attributes
            self._into = self._formula
        elif local == "row":
            self._row = int(attributes.get("r", self._row + 1))
            self._column = 0
        elif local == "rPh":
            self._phonetic = True

    def _characters(self, text: str) -> None:
        if self._into is not None:
            self._into.append(text)

    def _finish(self, tag: str) -> None:
        local = _local(tag)
        if local == "c":
            self._cell()
        elif local in ("v", "t", "f"):
            self._into = None
        elif local == "rPh":
            self._phonetic = False

    def _cell(self) -> None:
        here = (self._row, self._column)
        value = self._typed("".join(self._value)) if self._has_value else None
        if value is not None:
            self._cells.values[here] = value
        if self._attributes is not None:
            self._cells.formulas[here] = self._read_formula(self._attributes, "".join(self._formula))
        if value is not None or self._attributes is not None:
            self._cells.rows = max(self._cells.rows, self._row)
            self._cells.columns = max(self._cells.columns, self._column)

    def _typed(self, text: str) -> Any:
        kind = self._kind
        if kind == "s":
            return self._strings[int(text)]
        if kind in ("str", "inlineStr"):
            return _unescaped(text)
        if kind == "b":
            return text.strip() in ("1", "true")
        if kind == "e":
            return CellError(text)
        if kind == "d":
            return text
        return float(text) if text.strip() else None

    def _read_formula(self, attributes: dict[str, str], text: str) -> FormulaCell:
        kind = attributes.get("t", "normal")
        if kind == "array":
            return FormulaCell(text, _area(self._cells.name, attributes["ref"]), dynamic=bool(self._meta))
        if kind == "dataTable":
            return FormulaCell("", other="a data table")
        if kind == "shared":
            here = f"{column_letter(self._column)}{self._row}"
            if text:
                self._shared[attributes["si"]] = (text, here)
            else:
                text = _moved(*self._shared[attributes["si"]], here)
        return FormulaCell(text)


def _moved(text: str, origin: str, here: str) -> str:
    from openpyxl.formula.translate import Translator

    return Translator(f"={text}", origin).translate_formula(here)[1:]


class _SheetWriter:
    """Puts values into the XML of a sheet and leaves all other bytes."""

    def __init__(self, edits: Mapping[tuple[int, int], Edit]) -> None:
        self._edits = edits
        self._waiting = sorted(edits, reverse=True)
        self._row = self._column = 0
        self._prefix = ""
        self._open: tuple[int, int] | None = None
        self._kept: list[tuple[str, int, int]] = []
        self._depth = 0
        self._in_data = False
        # start, end, and whether it closes itself, of the opening tag of a row, a cell and a part of a cell
        self._tags: dict[str, tuple[int, int, bool]] = {}

    def write(self, data: bytes) -> bytes:
        self._data = data
        self._pieces: list[bytes] = []
        self._at = 0
        self._parser = parser = expat.ParserCreate()
        parser.StartElementHandler, parser.EndElementHandler = self._begin, self._finish
        parser.StartDoctypeDeclHandler = _refuse_type
        parser.Parse(data, True)
        return b"".join(self._pieces) + data[self._at :]

    def _begin(self, tag: str, attributes: dict[str, str]) -> None:
        local = _local(tag)
        index = self._parser.CurrentByteIndex
        if self._open is not None:
            self._depth += 1
            if self._depth == 1:
                self._note("part", index)
            return
        if not self._in_data:
            if local == "sheetData":
                self._in_data, self._prefix = True, tag[: -len(local)]
                self._note("sheetData", index)
            return
        if local == "row":
            self._row = int(attributes.get("r", self._row + 1))
            self._column = 0
            self._insert_rows(index, self._row)
            self._note("row", index)
            self._widen_row()
        elif local == "c":
            where = attributes.get("r")
            if where:
                self._column, self._row = split_address(where)
            else:
                self._column += 1
            here = (self._row, self._column)
            self._insert_cells(index, here)
            if self._waiting and self._waiting[-1] == here:
                self._waiting.pop()
                self._note("c", index)
                self._open, self._kept, self._depth = here, [], 0

    def _finish(self, tag: str) -> None:
        local = _local(tag)
        index = self._parser.CurrentByteIndex
        if self._open is not None:
            if self._depth:
                self._depth -= 1
                if self._depth == 0:
                    self._kept.append((local, self._tags["part"][0], self._end("part", index)))
                return
            self._replace_cell(self._end("c", index))
            self._open = None
        elif local == "row" and self._in_data:
            if self._waiting and self._waiting[-1][0] == self._row:
                self._fill("row", index, lambda at: self._insert_cells(at, (self._row, _BEYOND)))
        elif local == "sheetData":
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
        for local, start, stop in self._kept:
            if local == "f" and edit.formula:
                formula = self._data[start:stop]
                if isinstance(edit.formula, str) and not formula.endswith(b"/>"):
                    first, last = formula.index(b">") + 1, formula.rindex(b"<")
                    formula = formula[:first] + escape(edit.formula).encode() + formula[last:]
                if edit.fills:
                    wanted = rb'\1"' + edit.fills.encode() + b'"'
                    formula = re.sub(rb'(\sref\s*=\s*)("[^"]*"|\'[^\']*\')', wanted, formula, count=1)
            elif local not in ("f", "v", "is"):
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


def _calculated(workbook: bytes) -> bytes:
    """The workbook part, told that its values are up to date."""
    found = re.search(rb"<(?:[\w.-]+:)?calcPr\b[^<>]*>", workbook)
    if found is None:
        *_, before = re.finditer(
            rb"</((?:[\w.-]+:)?)(?:sheets|functionGroups|externalReferences|definedNames)>", workbook
        )
        tag = b"<" + before[1] + b'calcPr calcId="%d"/>' % _CALC_ID
        return workbook[: before.end()] + tag + workbook[before.end() :]
    tag = re.sub(rb"\s+(fullCalcOnLoad|forceFullCalc)\s*=\s*(\"[^\"]*\"|'[^']*')", b"", found[0])
    engine = re.search(rb"calcId\s*=\s*[\"'](\d+)[\"']", tag)
    if engine is not None and int(engine[1]) < _CALC_ID:
        tag = tag[: engine.start(1)] + b"%d" % _CALC_ID + tag[engine.end(1) :]
    return workbook[: found.start()] + tag + workbook[found.end() :]
