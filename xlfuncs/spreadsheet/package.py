"""An Office Open XML package: its parts, and how they are related.

Parts are found as programs find them that open more than they would write: whatever the case of a name, with
back slashes, from a relation that is relative, absolute or quoted. ECMA-376 part 2 (OPC), 9.1 (names) and 9.3
(relationships); what it does not permit, but programs read: common practice, no source.
"""

from __future__ import annotations

import io
import posixpath
import re
import zipfile
import zlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import IO, Any, Final
from urllib.parse import unquote
from xml.parsers import expat

DAMAGED: Final = (
    zipfile.BadZipFile,
    zlib.error,
    OSError,
    EOFError,
    ValueError,
    RuntimeError,
    NotImplementedError,
)
"""What the zip reader raises for an archive that is damaged, or written in a way that it does not know."""
MOST: Final = 64 << 20
"""Bytes of a part that only says where others are: 20,000 sheets take 3 MB."""

TYPES: Final = "[Content_Types].xml"
_USUAL: Final = ("xl/workbook.xml", "xl/workbook.bin")
_KINDS_OF_WORKBOOK: Final = re.compile(
    r"(?:sheet|template|addin)\.(?:macroEnabled\.|binary\.\w+\.)?main\b", re.I
)
_FIRST_ELEMENT: Final = re.compile(rb"<(?:[^\s<>/:?!]+:)?([A-Za-z]\w*)")
_MARKS: Final = ((b"\xef\xbb\xbf", "utf-8-sig"), (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"))
_SAID: Final = re.compile(rb"""^\s*<\?xml\b[^>]*?\bencoding\s*=\s*["']([\w.:-]{1,40})["']""")
NO_CELLS: Final = ("chartsheet", "dialogsheet", "xlMacrosheet", "xlIntlMacrosheet")
"""Kinds of sheets that hold no values."""


class Broken(Exception):
    """Why a package, or a part of it, cannot be read; the text goes on after 'damaged:'."""


@dataclass(frozen=True, slots=True)
class Relation:
    """A link from one part to another."""

    key: str = ""
    type: str = ""
    target: str = ""
    """As it is written."""
    part: str = ""
    """The part that it leads to, "" where there is none."""

    @property
    def kind(self) -> str:
        """Last word of its type, such as 'worksheet'."""
        return self.type.rpartition("/")[2]


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet that the workbook lists."""

    name: str
    part: str
    """"" where the file does not hold it."""
    kind: str
    hidden: bool

    @property
    def holds_cells(self) -> bool:
        return self.kind not in NO_CELLS


class Package:
    """A package, opened for reading. `Broken` says why it cannot be."""

    def __init__(self, file: Path | bytes) -> None:
        self.file = file
        self.lost: list[str] = []
        """Names of sheets that are listed, but that the file does not hold."""
        try:
            self.zip = zipfile.ZipFile(file if isinstance(file, Path) else io.BytesIO(file))
        except (FileNotFoundError, PermissionError, IsADirectoryError):
            raise
        except DAMAGED:
            raise Broken("it is no zip archive, or its end is missing") from None
        self._found: dict[str, zipfile.ZipInfo] = {}
        for info in self.zip.infolist():
            if not info.is_dir():
                self._found[_key(info.filename)] = info
        for info in list(self._found.values()):
            self._found.setdefault(_key(unquote(info.filename)), info)

    def stream(self) -> Path | IO[bytes]:
        """The whole file, for another reader."""
        return self.file if isinstance(self.file, Path) else io.BytesIO(self.file)

    def close(self) -> None:
        self.zip.close()

    def __enter__(self) -> Package:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    # --- parts ---

    def _info(self, part: str) -> zipfile.ZipInfo | None:
        exact = self.zip.NameToInfo.get(part)
        return exact or self._found.get(_key(part)) or self._found.get(_key(unquote(part)))

    def has(self, part: str) -> bool:
        return self._info(part) is not None

    def entry(self, part: str) -> str:
        """The name of a part in the archive. `Broken` where it is missing."""
        return self._there(part).filename

    def size(self, part: str) -> int:
        """Bytes, unpacked, as the archive states them."""
        return self._there(part).file_size

    def _there(self, part: str) -> zipfile.ZipInfo:
        info = self._info(part)
        if info is None:
            raise Broken(f"its part {part!r} is missing")
        return info

    def read(self, part: str, most: int | None = None) -> bytes:
        """The content of a part."""
        info = self._there(part)
        if most is not None and info.file_size > most:
            raise Broken(f"its part {part!r} unpacks to {info.file_size / 1e6:,.0f} MB, more than is read")
        return self.content(part, info)

    def pieces(self, part: str, size: int = 1 << 20) -> Iterator[bytes]:
        """The content of a part, a piece at a time."""
        with self._open(part) as stream:
            while True:
                with spoken(part):
                    piece = stream.read(size)
                if not piece:
                    return
                yield piece

    def _open(self, part: str) -> IO[bytes]:
        with spoken(part):
            return self.zip.open(self._there(part))

    def head(self, part: str) -> bytes:
        """How a part begins."""
        with self._open(part) as stream, spoken(part):
            return stream.read(4096)

    def entries(self) -> Iterator[tuple[str, zipfile.ZipInfo]]:
        """The parts and folders of the archive, in its order; of two of one name the one that is read."""
        for info in self.zip.infolist():
            if self.zip.NameToInfo[info.filename] is info:
                yield normal(info.filename), info

    def content(self, part: str, info: zipfile.ZipInfo) -> bytes:
        with spoken(part):
            return self.zip.read(info)

    # --- relations ---

    def relations(self, part: str) -> list[Relation]:
        """The links of a part ("": of the package) to parts of the file; those that lead out are left out."""
        links = relations_of(part)
        if not self.has(links):
            return []
        out: list[Relation] = []

        def begin(tag: str, attributes: dict[str, str]) -> None:
            if local(tag) == "Relationship" and attributes.get("TargetMode") != "External":
                target = attributes.get("Target", "")
                found = self._resolve(part, target)
                out.append(Relation(attributes.get("Id", ""), attributes.get("Type", ""), target, found))

        parse(self.read(links, MOST), links, begin)
        return out

    def _resolve(self, part: str, target: str) -> str:
        """The part to which a relation leads: beside its source, else from the root; "" for none."""
        target = target.replace("\\", "/")
        if not target:
            return ""
        for start in (posixpath.dirname(part), ""):
            found = normal(posixpath.join("/", start, target))
            if self.has(found):
                return normal(self.entry(found))
        return ""

    def related(self, part: str, kind: str) -> str:
        """The part of that kind to which a part is related; "" for none."""
        return next((link.part for link in self.relations(part) if link.kind == kind and link.part), "")

    # --- the workbook ---

    @cached_property
    def main(self) -> str:
        """The part that is the workbook; "" where there is none."""
        try:
            named = [link.part for link in self.relations("") if link.kind == "officeDocument"]
        except Broken:
            named = []
        for part in (*named, *self._declared(), *_USUAL):
            if part and self.has(part) and self._is_workbook(part):
                return normal(self.entry(part))
        return ""

    def _declared(self) -> list[str]:
        """Workbooks by the list of content types."""
        out: list[str] = []

        def begin(tag: str, attributes: dict[str, str]) -> None:
            if local(tag) == "Override" and _KINDS_OF_WORKBOOK.search(attributes.get("ContentType", "")):
                out.append(normal(attributes.get("PartName", "")))

        if self.has(TYPES):
            try:
                parse(self.read(TYPES, MOST), TYPES, begin)
            except Broken:
                return out
        return out

    def _is_workbook(self, part: str) -> bool:
        if part.lower().endswith(".bin"):
            return True
        found = _FIRST_ELEMENT.search(self.head(part).replace(b"\0", b""))
        return found is not None and found[1] == b"workbook"

    @property
    def binary(self) -> bool:
        """Whether it is an .xlsb."""
        return self.main.lower().endswith(".bin")

    @cached_property
    def links(self) -> dict[str, Relation]:
        """The links of the workbook, by key."""
        return {link.key: link for link in self.relations(self.main)}

    @cached_property
    def sheets(self) -> list[Sheet]:
        """The sheets of the workbook in their order, each of another name."""
        taken: set[str] = set()
        out = []
        for number, sheet in enumerate(self._listed[0], 1):
            key = next((value for name, value in sheet.items() if local(name) == "id"), "")
            link = self.links.get(key, Relation())
            name = _free(sheet.get("name") or f"Sheet {number}", taken)
            hidden = sheet.get("state", "visible") not in ("visible", "")
            out.append(Sheet(name, link.part, link.kind, hidden))
        return out

    @cached_property
    def names_are_plain(self) -> bool:
        """Whether each sheet is listed by a name of its own."""
        return [sheet.name for sheet in self.sheets] == [sheet.get("name") for sheet in self._listed[0]]

    @property
    def from_1904(self) -> bool:
        """Whether days are counted from 1904."""
        return self._listed[1].get("date1904", "0") in ("1", "true")

    @cached_property
    def _listed(self) -> tuple[list[dict[str, str]], dict[str, str]]:
        """The attributes of the sheets, and those of the workbook, as the workbook part gives them."""
        sheets: list[dict[str, str]] = []
        about: dict[str, str] = {}

        def begin(tag: str, attributes: dict[str, str]) -> None:
            if local(tag) == "sheet":
                sheets.append(attributes)
            elif local(tag) == "workbookPr":
                about.update(attributes)

        parse(self.read(self.main, MOST), self.main, begin)
        return sheets, about

    @cached_property
    def worksheets(self) -> dict[str, str]:
        """Name -> part of the sheets that hold cells; those that are missing are left out."""
        return {sheet.name: sheet.part for sheet in self.sheets if sheet.part and sheet.holds_cells}

    @cached_property
    def strings(self) -> str:
        """The part with the shared strings; "" for none."""
        return self._beside("sharedStrings")

    @cached_property
    def styles(self) -> str:
        """The part with the styles of cells; "" for none."""
        return self._beside("styles")

    def _beside(self, kind: str) -> str:
        """A part that belongs to the workbook, by its relation or at its usual place."""
        linked = next((link.part for link in self.links.values() if link.kind == kind and link.part), "")
        usual = f"xl/{kind}.{'bin' if self.binary else 'xml'}"
        return linked or (usual if self.has(usual) else "")


def _free(name: str, taken: set[str]) -> str:
    free, number = name, 2
    while free.casefold() in taken:
        free, number = f"{name} ({number})", number + 1
    taken.add(free.casefold())
    return free


def normal(name: str) -> str:
    """The name of a part as others of the same meaning are written: no leading slash, no '..', no '\\'."""
    return posixpath.normpath("/" + name.replace("\\", "/")).lstrip("/")


def _key(name: str) -> str:
    """Equal for names of the same part (9.1.1: the case of letters does not tell parts apart)."""
    return normal(name).casefold()


def relations_of(part: str) -> str:
    """The part that holds the relations of a part."""
    folder, name = posixpath.split(part)
    return posixpath.join(folder, "_rels", f"{name}.rels")


def local(tag: str) -> str:
    """A name without its prefix."""
    return tag.rpartition(":")[2]


def encoding(head: bytes) -> str:
    """In what XML is written, by how it begins (XML 1.0, appendix F): 'utf-8' or another."""
    for mark, name in _MARKS:
        if head.startswith(mark):
            return name
    if head[:4] in (b"<\0?\0", b"<\0w\0", b"\0<\0?", b"\0<\0w"):
        return "utf-16-le" if head[0] else "utf-16-be"
    said = _SAID.match(head)
    name = said[1].decode().lower() if said else "utf-8"
    return "utf-8" if name in ("utf-8", "utf8", "us-ascii", "ascii") else name


def new_parser(
    begin: Callable[[str, dict[str, str]], object] | None,
    finish: Callable[[str], object] | None = None,
    characters: Callable[[str], object] | None = None,
) -> Any:
    """A parser that expands and fetches nothing."""
    parser = expat.ParserCreate()
    parser.buffer_text = True
    parser.StartDoctypeDeclHandler = _refuse_type
    parser.StartElementHandler, parser.EndElementHandler = begin, finish
    parser.CharacterDataHandler = characters
    return parser


def parse(data: bytes, part: str, *handlers: Callable[..., object]) -> None:
    """Parse the XML of a part; the handlers are those of `new_parser`."""
    with spoken(part):
        new_parser(*handlers).Parse(data, True)


def _refuse_type(*_: object) -> None:
    raise Broken("it declares a document type, which a workbook does not")


class spoken:
    """What a library says of a damaged part, in our words."""

    def __init__(self, part: str) -> None:
        self._part = part

    def __enter__(self) -> None:
        return None

    def __exit__(self, kind: Any, error: BaseException | None, trace: object) -> None:
        if isinstance(error, expat.ExpatError):
            raise Broken(f"its part {self._part!r} is broken XML, line {error.lineno}") from error
        if isinstance(error, NotImplementedError):
            raise Broken(f"its part {self._part!r} is packed by a method that is not read") from error
        if type(error) is LookupError:
            raise Broken(f"its part {self._part!r} is in an encoding that is not read") from error
        if type(error) is RuntimeError:  # 'password required'
            raise Broken(f"its part {self._part!r} is encrypted") from error
        if isinstance(error, DAMAGED):
            raise Broken(f"its part {self._part!r} is damaged") from error
