"""Comments and sheets put into a copy of an .xlsx or .xlsm file, all other parts of it kept byte for byte.

openpyxl would drop the values kept with formulas, pictures, form controls, slicers and more, so it
only builds the added sheets. They are grafted here: ECMA-376 part 1 (SpreadsheetML) and part 2 (packages).
"""

from __future__ import annotations

import io
import posixpath
import re
import zipfile
from collections.abc import Mapping
from pathlib import Path
from types import TracebackType
from xml.sax.saxutils import escape, quoteattr

from openpyxl import Workbook
from openpyxl.utils.cell import column_index_from_string, coordinate_from_string

from xlfuncs.report._xml import Element, NotPlainXml, Splice
from xlfuncs.spreadsheet.ooxml import DAMAGED

_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_RELATIONS = "http://schemas.openxmlformats.org/package/2006/relationships"
_CONTENT = "http://schemas.openxmlformats.org/package/2006/content-types"
_SPREADSHEET = "application/vnd.openxmlformats-officedocument.spreadsheetml"
_TYPES = "[Content_Types].xml"
_AUTHOR = "xlfuncs audit"
_XML = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'

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


_VML_TYPE = "application/vnd.openxmlformats-officedocument.vmlDrawing"
_COMMENTS = f'{_XML}<comments xmlns="{_MAIN}"><authors></authors><commentList></commentList></comments>'


class CannotKeep(Exception):
    """Why a copy of this file would lose something; the text completes 'the file ...'."""


class Package:
    """An Office Open XML spreadsheet, opened for a changed copy."""

    def __init__(self, path: Path) -> None:
        try:
            self._zip = zipfile.ZipFile(path)
        except DAMAGED as error:
            raise CannotKeep("is not an .xlsx workbook") from error
        self._names = {name.lower(): name for name in self._zip.namelist()}
        self._new: dict[str, bytes] = {}
        self._splices: dict[str, Splice] = {}
        self._ids: dict[str, int] = {}
        try:
            self._open()
        except CannotKeep:
            self._zip.close()
            raise

    def _open(self) -> None:
        if any(name.startswith("_xmlsignatures/") for name in self._names):
            raise CannotKeep("carries a digital signature, which any change would break")
        if any("/revisions/" in name for name in self._names):
            raise CannotKeep("is a shared workbook with tracked changes")
        root = next((r for r in self._relations("") if r["Type"].endswith("/officeDocument")), None)
        if root is None:
            raise CannotKeep("has no workbook in it")
        if not root["Type"].startswith(_OFFICE):
            raise CannotKeep("is kept in the strict variant of the format")
        self._main = _resolve("", root["Target"])
        self._workbook = self._splice(self._main)
        links = self._relations(self._main)
        targets = {r["Id"]: _resolve(self._main, r["Target"]) for r in links}
        self._sheets = _need(self._workbook.root, "sheets")
        self.sheets = {
            s.attributes["name"]: targets.get(s.attributes.get("id", ""), "")
            for s in self._sheets.all("sheet")
        }
        """Name of each sheet -> its part."""
        pages = {_resolve(self._main, r["Target"]) for r in links if r["Type"].endswith("/worksheet")}
        self.with_cells = {name for name, part in self.sheets.items() if part in pages}
        """The sheets that are no charts or dialogs."""

    def __enter__(self) -> Package:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._zip.close()

    def save(self, path: Path) -> None:
        """Write the copy: parts in their old order, the new ones last."""
        new = self._new | {part: splice.result() for part, splice in self._splices.items()}
        with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as out:
            for info in self._zip.infolist():
                out.writestr(
                    info, new.pop(info.filename) if info.filename in new else self._read(info.filename)
                )
            for part, data in new.items():
                out.writestr(part, data)

    # Parts and the relations between them

    def _has(self, part: str) -> bool:
        return part in self._new or part.lower() in self._names

    def _read(self, part: str) -> bytes:
        try:
            return self._new[part] if part in self._new else self._zip.read(self._names[part.lower()])
        except (KeyError, *DAMAGED) as error:
            raise CannotKeep(f"has a damaged part, {part}") from error

    def _splice(self, part: str, depth: int = 99) -> Splice:
        """The part, opened once for changes."""
        part = self._names.get(part.lower(), part)
        if part not in self._splices:
            try:
                self._splices[part] = Splice(self._read(part), depth)
            except NotPlainXml:
                raise CannotKeep(f"has a part that is not plain XML, {part}") from None
        return self._splices[part]

    def _relations(self, part: str) -> list[dict[str, str]]:
        """The relations of a part to other parts of the file: Id, Type and Target of each."""
        name = _rels(part)
        if not self._has(name):
            return []
        found = (r.attributes for r in self._splice(name).root.all("Relationship"))
        return [
            r for r in found if r.get("TargetMode") != "External" and r.keys() >= {"Id", "Type", "Target"}
        ]

    def _related(self, part: str, kind: str) -> str:
        """The part of that kind that belongs to `part`, or an empty text."""
        return next(
            (_resolve(part, r["Target"]) for r in self._relations(part) if r["Type"].endswith(f"/{kind}")), ""
        )

    def _add(
        self, wanted: str, data: str | bytes, content_type: str, owner: str, kind: str
    ) -> tuple[str, str]:
        """A new part of the owner; gives its name and the id of the relation to it."""
        stem, _, ending = wanted.rpartition(".")
        number = 1
        while self._has(part := f"{stem}{number}.{ending}"):
            number += 1
        self._new[part] = data.encode() if isinstance(data, str) else data
        types = self._splice(_TYPES)
        space = _space(types, _CONTENT)
        types.append(types.root, f'<Override{space} PartName="/{part}" ContentType="{content_type}"/>')
        name = _rels(owner)
        if not self._has(name):
            self._new[name] = f'{_XML}<Relationships xmlns="{_RELATIONS}"></Relationships>'.encode()
        rels = self._splice(name)
        used = {r.attributes.get("Id", "") for r in rels.root.children}
        self._ids[name] = count = next(
            n for n in range(self._ids.get(name, 0) + 1, 10**6) if f"rIdAudit{n}" not in used
        )
        key = f"rIdAudit{count}"
        link = quoteattr(posixpath.relpath("/" + part, posixpath.dirname("/" + owner)))
        space = _space(rels, _RELATIONS)
        rels.append(rels.root, f'<Relationship{space} Id="{key}" Type="{_OFFICE}/{kind}" Target={link}/>')
        return part, key

    # Comments

    def comment(self, sheet: str, texts: Mapping[str, str]) -> list[str]:
        """Put a comment at each cell; an existing one is kept and ours stands below it.

        Returns the cells that could not take one: a threaded conversation stands there.
        """
        part = self.sheets[sheet]
        page = self._splice(part, depth=1)
        notes = self._related(part, "comments")
        if not notes:
            notes, _ = self._add(
                "xl/commentsAudit.xml", _COMMENTS, f"{_SPREADSHEET}.comments+xml", part, "comments"
            )
        talks = self._related(part, "threadedComment")
        busy = {c.attributes.get("ref", "") for c in self._splice(talks).root.children} if talks else set()
        wanted = {cell: text for cell, text in texts.items() if cell not in busy}
        added = _write_comments(self._splice(notes), wanted)
        drawing = page.root.one("legacyDrawing")
        if drawing is not None:
            key = drawing.attributes.get("id", "")
            shapes = next((_resolve(part, r["Target"]) for r in self._relations(part) if r["Id"] == key), "")
        else:
            shapes, key = self._add("xl/drawings/vmlDrawingAudit.vml", _VML, _VML_TYPE, part, "vmlDrawing")
            data = _need(page.root, "sheetData")
            later = (c.start for c in page.root.children if c.start > data.start and c.name in _AFTER_LEGACY)
            where = next(later, page.root.close)
            page.insert(where, f'<legacyDrawing{_space(page, _MAIN)} xmlns:r="{_OFFICE}" r:id="{key}"/>')
        self._new[self._names.get(shapes.lower(), shapes)] = _shapes(
            self._read(shapes), {c: wanted[c] for c in added}
        )
        return [cell for cell in texts if cell in busy]

    # Sheets

    def graft(self, book: Workbook) -> None:
        """Append the sheets of a workbook that was built with openpyxl, with their looks and print titles."""
        buffer = io.BytesIO()
        book.save(buffer)
        with zipfile.ZipFile(buffer) as made:
            looks = self._graft_styles(made.read("xl/styles.xml"))
            number = max((int(s.attributes.get("sheetId", 0)) for s in self._sheets.children), default=0)
            spaces = f'{_space(self._workbook, _MAIN)} xmlns:r="{_OFFICE}"'
            for k, sheet in enumerate(book.worksheets, 1):
                data = made.read(f"xl/worksheets/sheet{k}.xml").replace(b' tabSelected="1"', b"")
                data = re.sub(
                    rb'(<c [^>]*?\bs=")(\d+)', lambda m: m[1] + str(looks[int(m[2])]).encode(), data
                )
                kind = f"{_SPREADSHEET}.worksheet+xml"
                _, key = self._add("xl/worksheets/sheetAudit.xml", data, kind, self._main, "worksheet")
                name = quoteattr(sheet.title)
                self._workbook.append(
                    self._sheets, f'<sheet{spaces} name={name} sheetId="{number + k}" r:id="{key}"/>'
                )
            self._graft_names(made.read("xl/workbook.xml"))

    def _graft_names(self, workbook: bytes) -> None:
        made = Splice(workbook)
        names = made.root.one("definedNames")
        if names is None:
            return
        space = _space(self._workbook, _MAIN)
        lines = []
        for name in names.children:
            sheet = int(name.attributes["localSheetId"]) + len(self.sheets)
            hidden = ' hidden="1"' if name.attributes.get("hidden") == "1" else ""
            text = workbook[name.inner : name.close].decode()
            key = name.attributes["name"]
            lines.append(
                f'<definedName{space} name="{key}" localSheetId="{sheet}"{hidden}>{text}</definedName>'
            )
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
            self._add("xl/stylesAudit.xml", made, f"{_SPREADSHEET}.styles+xml", self._main, "styles")
            return list(range(len(formats)))
        ours = self._splice(part)
        space = _space(ours, _MAIN)
        first = {}
        for key, name in _LOOKS.items():
            looks = (made[look.start : look.end].decode() for look in _need(theirs.root, name).children)
            first[key] = self._extend(ours, name, [_with_space(look, space) for look in looks])
        lines = []
        for look in formats:
            moved = {key: str(int(look.attributes[key]) + first[key]) for key in _LOOKS}
            values = look.attributes | moved | {"xfId": "0"}
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


def _need(element: Element, name: str) -> Element:
    child = element.one(name)
    if child is None:
        raise CannotKeep(f"has no '{name}' where one belongs")
    return child


def _resolve(part: str, target: str) -> str:
    """The part that a relation of `part` points to."""
    return posixpath.normpath(posixpath.join("/", posixpath.dirname(part), target)).lstrip("/")


def _rels(part: str) -> str:
    folder, name = posixpath.split(part)
    return posixpath.join(folder, "_rels", f"{name}.rels")


def _space(splice: Splice, namespace: str) -> str:
    """The namespace declaration that an added element needs: none where the file uses no prefix."""
    plain = splice.root.attributes.get("xmlns") == namespace
    return "" if plain else f' xmlns="{namespace}"'


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
    space = _space(comments, _MAIN)
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
