"""Comments and sheets put into a copy of an .xlsx or .xlsm file, all other parts of it kept byte for byte.

openpyxl only builds the added sheets; they are grafted here: ECMA-376 part 1 (SpreadsheetML).
"""

from __future__ import annotations

import contextlib
import html
import io
import re
import zipfile
from collections.abc import Collection, Iterator, Mapping
from pathlib import Path
from types import TracebackType

from openpyxl import Workbook
from openpyxl.utils.cell import column_index_from_string, coordinate_from_string

from xlfuncs.report import _marks, _number_formats
from xlfuncs.report._room import Held, Looks, Room
from xlfuncs.spreadsheet.changed import XML, Changed, declared
from xlfuncs.spreadsheet.markup import escape, quoteattr
from xlfuncs.spreadsheet.package import Broken, Package
from xlfuncs.spreadsheet.splice import Element, NotPlainXml, Splice
from xlfuncs.spreadsheet.usual import MAIN, OFFICE

_SPREADSHEET = "application/vnd.openxmlformats-officedocument.spreadsheetml"
_STRICT = "http://purl.oclc.org/ooxml/"
_AUTHOR = "xlfuncs audit"

# What follows `legacyDrawing` in a worksheet (CT_Worksheet, ECMA-376 part 1, 18.3.1.99).
_AFTER_LEGACY = frozenset({
    "legacyDrawingHF", "drawingHF", "picture", "oleObjects", "controls", "webPublishItems", "tableParts",
    "extLst", "AlternateContent",
})  # fmt: skip

# What precedes `definedNames` in a workbook (CT_Workbook, 18.2.27).
_BEFORE_NAMES = ("externalReferences", "functionGroups", "sheets")

# The four collections of looks that a cell format points into (CT_Stylesheet, 18.8.39).
_LOOKS = {"fontId": "fonts", "fillId": "fills", "borderId": "borders"}

_SPACES = (
    'xmlns:v="urn:schemas-microsoft-com:vml" xmlns:o="urn:schemas-microsoft-com:office:office" '
    'xmlns:x="urn:schemas-microsoft-com:office:excel"'
)
_VML = f'<xml {_SPACES}><o:shapelayout v:ext="edit"><o:idmap v:ext="edit" data="1"/></o:shapelayout></xml>'
_SHAPE_TYPE = (
    f'<v:shapetype {_SPACES} id="_x0000_t202" coordsize="21600,21600" o:spt="202" '
    'path="m,l,21600r21600,l21600,xe">'
    '<v:stroke joinstyle="miter"/><v:path gradientshapeok="t" o:connecttype="rect"/></v:shapetype>'
)


_TITLES = "_xlnm.Print_Titles"
_STYLES = f'{XML}<styleSheet xmlns="{MAIN}"></styleSheet>'
_VML_TYPE = "application/vnd.openxmlformats-officedocument.vmlDrawing"
_DRAWING_TYPE = "application/vnd.openxmlformats-officedocument.drawing+xml"
_AFTER_LOOKS = ("tableStyles", "colors", "extLst")
"""What follows `dxfs` in a style sheet (CT_Stylesheet, 18.8.39)."""
_COMMENTS = f'{XML}<comments xmlns="{MAIN}"><authors></authors><commentList></commentList></comments>'


class CannotKeep(Exception):
    """Why a copy of this file would lose something; the text completes 'the file ...'."""


@contextlib.contextmanager
def _kept() -> Iterator[None]:
    """Whatever is wrong with the file is a reason to leave it alone."""
    try:
        yield
    except Broken as error:
        raise CannotKeep(f"is damaged: {error}") from error


class Annotated:
    """An Office Open XML spreadsheet, opened for a changed copy."""

    def __init__(self, path: Path) -> None:
        try:
            self._package = Package(path)
        except Broken as error:
            raise CannotKeep("is not an .xlsx workbook") from error
        try:
            self._open()
        except CannotKeep:
            self._package.close()
            raise

    def _open(self) -> None:
        names = [name.lower() for name, _ in self._package.entries()]
        if any(name.startswith("_xmlsignatures/") for name in names):
            raise CannotKeep("carries a digital signature, which any change would break")
        if any("/revisions/" in name for name in names):
            raise CannotKeep("is a shared workbook with tracked changes")
        self._changed = Changed(self._package)
        with _kept():
            self._main = self._package.main
            if not self._main or self._package.binary:
                raise CannotKeep("has no workbook in it")
            if any(link.type.startswith(_STRICT) for link in self._package.relations("")):
                raise CannotKeep("is kept in the strict variant of the format")
            self._workbook = self._splice(self._main)
            self._sheets = _need(self._workbook.root, "sheets")
            self.sheets = {sheet.name: sheet.part for sheet in self._package.sheets}
            """Name of each sheet -> its part."""
            self._first_look = -1
            self.with_cells = set(self._package.worksheets)
            """The sheets that are no charts or dialogs."""

    def __enter__(self) -> Annotated:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._package.close()

    def save(self, path: Path) -> None:
        """Write the copy."""
        with _kept():
            self._changed.save(path)

    def _splice(self, part: str, depth: int = 99) -> Splice:
        """A part, opened once for changes."""
        try:
            return self._changed.splice(part, depth)
        except NotPlainXml:
            raise CannotKeep(f"has a part that is not plain XML, {part}") from None
        except Broken as error:
            raise CannotKeep(f"has a damaged part, {part}") from error

    def _related(self, part: str, kind: str) -> str:
        """The part of that kind that belongs to `part`, or an empty text."""
        with _kept():
            return self._package.related(part, kind)

    # Comments

    def comment(self, sheet: str, texts: Mapping[str, str]) -> list[str]:
        """Put a comment at each cell; an existing one is kept and ours stands below it.

        Returns the cells that could not take one: a threaded conversation stands there.
        """
        part = self.sheets[sheet]
        page = self._splice(part, depth=1)
        notes = self._related(part, "comments")
        if not notes:
            notes, _ = self._changed.add(
                "xl/commentsAudit.xml", _COMMENTS, f"{_SPREADSHEET}.comments+xml", part, "comments"
            )
        talks = self._related(part, "threadedComment")
        busy = {c.attributes.get("ref", "") for c in self._splice(talks).root.children} if talks else set()
        wanted = {cell: text for cell, text in texts.items() if cell not in busy}
        added = _write_comments(self._splice(notes), wanted)
        drawing = page.root.one("legacyDrawing")
        if drawing is not None:
            key = drawing.attributes.get("id", "")
            shapes = next((link.part for link in self._package.relations(part) if link.key == key), "")
        else:
            shapes, key = self._changed.add(
                "xl/drawings/vmlDrawingAudit.vml", _VML, _VML_TYPE, part, "vmlDrawing"
            )
            data = _need(page.root, "sheetData")
            later = (c.start for c in page.root.children if c.start > data.start and c.name in _AFTER_LEGACY)
            where = next(later, page.root.close)
            page.insert(where, f'<legacyDrawing{declared(page, MAIN)} xmlns:r="{OFFICE}" r:id="{key}"/>')
        self._changed.put(shapes, _shapes(self._changed.read(shapes), {c: wanted[c] for c in added}))
        return [cell for cell in texts if cell in busy]

    # Colours and numbers

    def mark(self, sheet: str, marks: _marks.Marks, held: Held) -> None:
        """Colour cells and put a number beside each; the cells themselves stay as they are.

        `held`: what a cell of the sheet holds.
        """
        part = self.sheets[sheet]
        page = self._splice(part, depth=1)
        if self._first_look < 0:
            self._first_look = self._graft_looks()
        _marks.colour(page, marks, self._first_look)
        told = {cell: mark for cell, mark in marks.items() if mark[1]}
        drawing = self._related(part, "drawing")
        if not drawing:
            drawing, key = self._changed.add(
                "xl/drawings/drawingAudit.xml", XML + _marks.EMPTY, _DRAWING_TYPE, part, "drawing"
            )
            link = f'<drawing{declared(page, MAIN)} xmlns:r="{OFFICE}" r:id="{key}"/>'
            page.insert(_marks.before_drawing(page), link)
        shapes = self._splice(drawing)
        first = max([0, *(int(n) for n in re.findall(rb'\bid="(\d{1,8})"', shapes.data))]) + 1
        shapes.append(shapes.root, _marks.anchors(told, Room(page, self._looks(), held, told), first))

    def _looks(self) -> Looks:
        styles = self._related(self._main, "styles")
        return Looks(self._splice(styles) if styles else None)

    def _graft_looks(self) -> int:
        """Add the looks of the marks to the style sheet; gives the number of the first."""
        part = self._related(self._main, "styles")
        if not part:
            part, _ = self._changed.add(
                "xl/stylesAudit.xml", _STYLES, f"{_SPREADSHEET}.styles+xml", self._main, "styles"
            )
        styles = self._splice(part)
        space = declared(styles, MAIN)
        lines = [_with_space(look, space) for look in _marks.looks()]
        if styles.root.one("dxfs") is not None:
            return self._extend(styles, "dxfs", lines)
        made = f'<dxfs{space} count="{len(lines)}">{"".join(lines)}</dxfs>'
        later = (c.start for c in styles.root.children if c.name in _AFTER_LOOKS)
        styles.insert(next(later, styles.root.close), made)
        return 0

    def _clear_marks(self, part: str) -> None:
        page = self._splice(part, depth=1)
        _marks.clear(page)
        if drawing := self._related(part, "drawing"):
            _marks.clear_numbers(self._splice(drawing))
            self._changed.settle(drawing)
        self._changed.settle(part)

    # What an earlier report has left

    def forget(self, names: Collection[str]) -> None:
        """Leave out the sheets that an earlier report has added, and what it said in comments."""
        if not names:
            return
        gone = [k for k, sheet in enumerate(self._sheets.children) if sheet.attributes.get("name") in names]
        for k in gone:
            sheet = self._sheets.children[k]
            self._workbook.replace(sheet.start, sheet.end, "")
            name = sheet.attributes["name"]
            with _kept():
                self._changed.drop(self.sheets.pop(name), self._main)
            self.with_cells.discard(name)
        self._shift_names(set(gone))
        self._first_in_view()
        for name in self.with_cells:
            self._clear_comments(self.sheets[name])
            self._clear_marks(self.sheets[name])

    def _shift_names(self, gone: set[int]) -> None:
        """Defined names count the sheets: those of sheets that are left out go, the others move up."""
        names = self._workbook.root.one("definedNames")
        for name in names.children if names is not None else ():
            sheet = name.attributes.get("localSheetId")
            if sheet is None:
                continue
            if int(sheet) in gone:
                self._workbook.replace(name.start, name.end, "")
            elif before := sum(k < int(sheet) for k in gone):
                self._workbook.attribute(name, "localSheetId", str(int(sheet) - before))

    def _first_in_view(self) -> None:
        """The sheet that was shown last may be gone: the first one is shown."""
        views = self._workbook.root.one("bookViews")
        for view in views.children if views is not None else ():
            for name in ("activeTab", "firstSheet"):
                if name in view.attributes:
                    self._workbook.attribute(view, name, "0")

    def _clear_comments(self, part: str) -> None:
        notes = self._related(part, "comments")
        if not notes:
            return
        comments = self._splice(notes)
        cleared = set()
        for comment in _need(comments.root, "commentList").children:
            rest = _without_ours(comments, comment)
            if rest == "":
                cleared.add(comment.attributes.get("ref", ""))
                comments.replace(comment.start, comment.end, "")
            elif rest is not None:
                text = _need(comment, "text")
                space = declared(comments, MAIN)
                plain = f'<t{space} xml:space="preserve">{escape(rest)}</t>'
                comments.replace(text.inner, text.close, plain)
        self._changed.settle(notes)  # for other comments may come to the same cells
        drawing = self._related(part, "vmlDrawing")
        if cleared and drawing:
            self._changed.put(drawing, _without_shapes(self._changed.read(drawing), cleared))

    # Sheets

    def graft(self, book: Workbook, titles: Mapping[str, str] | None = None) -> None:
        """Append the sheets of a workbook that was built with openpyxl, with their looks and print titles.

        `titles`: sheet of the workbook -> its rows of headings as '$9:$10', for one that prints none yet.
        """
        buffer = io.BytesIO()
        book.save(buffer)
        with zipfile.ZipFile(buffer) as made:
            looks = self._graft_styles(made.read("xl/styles.xml"))
            number = max((int(s.attributes.get("sheetId", 0)) for s in self._sheets.children), default=0)
            spaces = f'{declared(self._workbook, MAIN)} xmlns:r="{OFFICE}"'
            for k, sheet in enumerate(book.worksheets, 1):
                data = made.read(f"xl/worksheets/sheet{k}.xml").replace(b' tabSelected="1"', b"")
                data = re.sub(
                    rb'(<c [^>]*?\bs=")(\d+)', lambda m: m[1] + str(looks[int(m[2])]).encode(), data
                )
                data = _with_results(data, getattr(sheet, "_report_kept", {}))
                kind = f"{_SPREADSHEET}.worksheet+xml"
                _, key = self._changed.add(
                    "xl/worksheets/sheetAudit.xml", data, kind, self._main, "worksheet"
                )
                name = quoteattr(sheet.title)
                self._workbook.append(
                    self._sheets, f'<sheet{spaces} name={name} sheetId="{number + k}" r:id="{key}"/>'
                )
            self._graft_names(made.read("xl/workbook.xml"), titles or {})

    def _titles(self, titles: Mapping[str, str]) -> Iterator[str]:
        """The print titles of sheets that have none."""
        old = self._workbook.root.one("definedNames")
        numbers = {name: number for number, name in enumerate(self.sheets)}
        have = {
            int(one.attributes["localSheetId"])
            for one in (old.children if old is not None else ())
            if one.attributes.get("name") == _TITLES and "localSheetId" in one.attributes
        }
        space = declared(self._workbook, MAIN)
        for name, rows in titles.items():
            if name in numbers and numbers[name] not in have:
                place = escape("'" + name.replace("'", "''") + "'!" + rows)
                head = f'<definedName{space} name="{_TITLES}" localSheetId="{numbers[name]}">'
                yield f"{head}{place}</definedName>"

    def _graft_names(self, workbook: bytes, titles: Mapping[str, str]) -> None:
        made = Splice(workbook)
        names = made.root.one("definedNames")
        space = declared(self._workbook, MAIN)
        lines = list(self._titles(titles))
        for name in names.children if names is not None else ():
            sheet = int(name.attributes["localSheetId"]) + len(self.sheets)
            hidden = ' hidden="1"' if name.attributes.get("hidden") == "1" else ""
            text = workbook[name.inner : name.close].decode()
            key = name.attributes["name"]
            lines.append(
                f'<definedName{space} name="{key}" localSheetId="{sheet}"{hidden}>{text}</definedName>'
            )
        if not lines:
            return
        old = self._workbook.root.one("definedNames")
        if old is not None:
            self._workbook.append(old, "".join(lines))
            return
        before = next(e for e in map(self._workbook.root.one, _BEFORE_NAMES) if e is not None)
        self._workbook.insert(before.end, f"<definedNames{space}>{''.join(lines)}</definedNames>")

    def _graft_styles(self, made: bytes) -> list[int]:
        """Add the looks of another style sheet; gives the new number of each of its cell formats."""
        theirs = Splice(made)
        formats = list(_need(theirs.root, "cellXfs").children)
        part = self._related(self._main, "styles")
        if not part:
            self._changed.add("xl/stylesAudit.xml", made, f"{_SPREADSHEET}.styles+xml", self._main, "styles")
            return list(range(len(formats)))
        ours = self._splice(part)
        space = declared(ours, MAIN)
        numbers = _number_formats.taken_over(ours, theirs, space)
        first = {}
        for key, name in _LOOKS.items():
            looks = (made[look.start : look.end].decode() for look in _need(theirs.root, name).children)
            first[key] = self._extend(ours, name, [_with_space(look, space) for look in looks])
        lines = []
        for look in formats:
            moved = {key: str(int(look.attributes[key]) + first[key]) for key in _LOOKS}
            number = look.attributes.get("numFmtId", "0")
            moved |= {"xfId": "0", "numFmtId": numbers.get(number, number)}
            values = look.attributes | moved
            attributes = "".join(f" {key}={quoteattr(value)}" for key, value in values.items())
            lines.append(f"<xf{space}{attributes}>{made[look.inner : look.close].decode()}</xf>")
        start = self._extend(ours, "cellXfs", lines)
        return [start + k for k in range(len(formats))]

    @staticmethod
    def _extend(styles: Splice, name: str, lines: list[str]) -> int:
        """Append to a collection of the style sheet; gives the number of the first that was added."""
        collection = _need(styles.root, name)
        count = len(collection.children)
        styles.attribute(collection, "count", str(count + len(lines)))
        styles.append(collection, "".join(lines))
        return count


_FORMULA = re.compile(rb'<c r="([A-Z]+[0-9]+)"([^>]*)><f>(.*?)</f><v\s*(?:/>|></v>)</c>', re.DOTALL)


def _with_results(data: bytes, kept: Mapping[str, float | str]) -> bytes:
    """The sheet with the results of its formulas, which a program shows before it calculates."""

    def filled(found: re.Match[bytes]) -> bytes:
        value = kept.get(found[1].decode())
        if value is None:
            return found[0]
        look = re.sub(rb' t="[^"]*"', b"", found[2]) + (b' t="str"' if isinstance(value, str) else b"")
        text = value if isinstance(value, str) else repr(float(value))
        return b'<c r="%s"%s><f>%s</f><v>%s</v></c>' % (found[1], look, found[3], escape(text).encode())

    return _FORMULA.sub(filled, data) if kept else data


def _without_ours(comments: Splice, comment: Element) -> str | None:
    """What a comment says without what a report has put into it; None where it has put nothing."""
    text = comment.one("text")
    pieces = [] if text is None else _texts(comments, text)
    whole = "".join(pieces)
    found = re.search(rf"(?:^|\n\n){re.escape(_AUTHOR)}\n", whole)
    return None if found is None else whole[: found.start()]


def _texts(comments: Splice, element: Element) -> list[str]:
    """The texts of a comment, run by run."""
    out = []
    for child in element.children:
        if child.name == "t":
            text = comments.data[child.inner : child.close].decode()
            out.append(html.unescape(text).replace("\r\n", "\n"))
        elif child.name == "r":
            out += _texts(comments, child)
    return out


_SHAPE = re.compile(r"<(?P<tag>[A-Za-z]+:)shape\b.*?</(?P=tag)shape>", re.DOTALL)


def _without_shapes(vml: bytes, cells: Collection[str]) -> bytes:
    """The drawing without the boxes of some comments."""
    places = set()
    for cell in cells:
        letters, row = coordinate_from_string(cell)
        places.add((row - 1, column_index_from_string(letters) - 1))

    def kept(found: re.Match[str]) -> str:
        row, column = (
            re.search(rf"<x:{name}>\s*(\d+)\s*</x:{name}>", found[0]) for name in ("Row", "Column")
        )
        here = row is not None and column is not None and (int(row[1]), int(column[1])) in places
        return "" if here else found[0]

    return _SHAPE.sub(kept, vml.decode("utf-8", "surrogateescape")).encode("utf-8", "surrogateescape")


def _need(element: Element, name: str) -> Element:
    child = element.one(name)
    if child is None:
        raise CannotKeep(f"has no '{name}' where one belongs")
    return child


def _with_space(xml: str, space: str) -> str:
    return re.sub(r"^<([^\s/>]+)", rf"<\1{space}", xml) if space else xml


def _run(text: str, space: str = "", bold: bool = False) -> str:
    look = (
        "<rPr>"
        + "<b/>" * bold
        + '<sz val="9"/><color indexed="81"/><rFont val="Tahoma"/><family val="2"/></rPr>'
    )
    return f'<r{space}>{look}<t xml:space="preserve">{escape(text)}</t></r>'


def _write_comments(comments: Splice, texts: Mapping[str, str]) -> list[str]:
    """Add the texts; gives the cells that had no comment before."""
    space = declared(comments, MAIN)
    authors, listed = _need(comments.root, "authors"), _need(comments.root, "commentList")
    comments.append(authors, f"<author{space}>{_AUTHOR}</author>")
    author = len(authors.children)
    old = {c.attributes.get("ref", ""): c for c in listed.children}
    for cell, text in texts.items():
        body = _run(f"{_AUTHOR}\n", space, bold=True) + _run(text, space)
        if cell not in old:
            comments.append(
                listed, f'<comment{space} ref="{cell}" authorId="{author}"><text>{body}</text></comment>'
            )
            continue
        there = _need(old[cell], "text")
        whole = there.one("t")
        if whole is not None:  # a plain text: it becomes the first run, so that ours can follow
            comments.insert(whole.start, f"<r{space}>")
            comments.insert(whole.end, f"</r>{_run(chr(10) * 2, space)}{body}")
        else:
            last = [r.end for r in there.all("r")]
            gap = _run("\n\n", space) if last else ""
            if last:
                comments.insert(last[-1], gap + body)
            else:
                comments.append(there, body)
    return [cell for cell in texts if cell not in old]


def _shapes(vml: bytes, texts: Mapping[str, str]) -> bytes:
    """The drawing with a hidden box for each new comment."""
    text = vml.decode("utf-8", "surrogateescape")
    number = max([1024, *(int(n) for n in re.findall(r"_x0000_s(\d{1,9})\b", text))])
    shapes = [] if '"_x0000_t202"' in text else [_SHAPE_TYPE]
    for k, (cell, comment) in enumerate(texts.items(), 1):
        letters, row = coordinate_from_string(cell)
        lines = sum(1 + len(line) // 48 for line in comment.split("\n")) + 2
        size = f"width:260pt;height:{min(13 * lines, 500)}pt"
        style = f"position:absolute;margin-left:60pt;margin-top:2pt;{size};z-index:{k};visibility:hidden"
        column = column_index_from_string(letters)
        shapes.append(
            f'<v:shape {_SPACES} id="_x0000_s{number + k}" type="#_x0000_t202" style="{style}" '
            'fillcolor="#ffffe1" o:insetmode="auto"><v:fill color2="#ffffe1"/>'
            '<v:shadow color="black" obscured="t"/><v:path o:connecttype="none"/>'
            '<v:textbox style="mso-direction-alt:auto"><div style="text-align:left"></div></v:textbox>'
            '<x:ClientData ObjectType="Note"><x:MoveWithCells/><x:SizeWithCells/>'
            "<x:AutoFill>False</x:AutoFill>"
            f"<x:Row>{row - 1}</x:Row><x:Column>{column - 1}</x:Column></x:ClientData></v:shape>"
        )
    end = text.rfind("</xml>")
    if end < 0:
        raise CannotKeep("has a drawing of comments that cannot be read")
    return (text[:end] + "".join(shapes) + text[end:]).encode("utf-8", "surrogateescape")
