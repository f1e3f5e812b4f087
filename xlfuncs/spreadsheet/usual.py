"""A workbook as the compiled reader needs it: each part where programs usually put it, in UTF-8.

Of a file that is packed otherwise a copy is made in memory, with the parts that hold cells; the file itself
is only read.
"""

from __future__ import annotations

import codecs
import contextlib
import io
import re
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Final

from xlfuncs.spreadsheet.markup import quoteattr
from xlfuncs.spreadsheet.package import NO_CELLS, Package, Relation, encoding, relations_of, spoken

MAIN: Final = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
OFFICE: Final = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
RELATIONS: Final = "http://schemas.openxmlformats.org/package/2006/relationships"
CONTENT: Final = "http://schemas.openxmlformats.org/package/2006/content-types"
_SPREADSHEET: Final = "application/vnd.openxmlformats-officedocument.spreadsheetml"
_TYPES: Final = {
    "xml": f"{_SPREADSHEET}.sheet.main+xml",
    "bin": "application/vnd.ms-excel.sheet.binary.macroEnabled.main",
}
_DECLARATION: Final = re.compile(r"^\s*<\?xml\b[^>]*\?>")
_UTF_8: Final = ("utf-8", "utf-8-sig")
_NO_CELLS: Final = f'<worksheet xmlns="{MAIN}"><sheetData/></worksheet>'


@contextlib.contextmanager
def usual(path: Path) -> Iterator[Package]:
    """The package of a workbook, or a copy of it with its parts where they usually are."""
    with Package(path) as package:
        if package.main and not is_usual(package):
            with Package(copy(package)) as copied:
                if not package.binary:
                    copied.lost = [sheet.name for sheet in package.sheets if not sheet.part]
                yield copied
        else:
            yield package


def is_usual(package: Package) -> bool:
    """Whether every reader finds the sheets, strings and styles, and can read them."""
    main = f"xl/workbook.{_ending(package)}"
    places = {package.main: main, relations_of(package.main): relations_of(main)}
    places |= {part: place for part, place in _beside(package).items() if part}
    if any(package.entry(part) != place for part, place in places.items()):
        return False
    if not any(link.target in (main, f"/{main}") for link in package.relations("")):
        return False
    if not all(_found_by_all(package, link) for link in package.links.values() if link.kind == "worksheet"):
        return False
    if package.binary:
        return True
    if not package.names_are_plain or not all(sheet.part for sheet in package.sheets):
        return False
    parts = [*places, *package.worksheets.values()]
    return all(encoding(package.head(part)) in _UTF_8 for part in parts)


def _ending(package: Package) -> str:
    return "bin" if package.binary else "xml"


def _beside(package: Package) -> dict[str, str]:
    """Part -> usual place of what the cells need besides the sheets."""
    ending = _ending(package)
    return {package.strings: f"xl/sharedStrings.{ending}", package.styles: f"xl/styles.{ending}"}


def _found_by_all(package: Package, link: Relation) -> bool:
    """Whether a reader finds a sheet that only knows the two usual ways to write a relation."""
    target = link.target
    place = target[1:] if target.startswith("/") else f"xl/{target}"
    return bool(link.part) and package.entry(link.part) == place


def copy(package: Package) -> bytes:
    """The workbook, its sheets, strings and styles, at their usual places in another package."""
    ending = _ending(package)
    main = f"xl/workbook.{ending}"
    links = _sheet_links(package)
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as archive:
        archive.writestr(
            "[Content_Types].xml",
            f'<Types xmlns="{CONTENT}"><Override PartName="/{main}" ContentType="{_TYPES[ending]}"/></Types>',
        )
        archive.writestr("_rels/.rels", _relations([("rId1", "officeDocument", main)]))
        beside = [(part, place) for part, place in _beside(package).items() if part]
        named = [(key, kind, f"worksheets/sheet{n}.{ending}") for n, (key, kind, _) in enumerate(links, 1)]
        named += [(f"rIdX{n}", place[3:-4], place[3:]) for n, (_, place) in enumerate(beside)]
        archive.writestr(relations_of(main), _relations(named))
        if package.binary:
            archive.writestr(main, package.read(package.main))
        else:
            archive.writestr(main, _workbook(package))
        sheets = [(part, f"xl/worksheets/sheet{n}.{ending}") for n, (*_, part) in enumerate(links, 1)]
        for part, place in (*sheets, *beside):
            with archive.open(place, "w") as stream:
                for piece in _in_utf_8(package, part):
                    stream.write(piece)
    return out.getvalue()


def _sheet_links(package: Package) -> list[tuple[str, str, str]]:
    """(key, kind, part) of each sheet of the copy; the part is "" where it is missing."""
    if package.binary:
        kinds = ("worksheet", *NO_CELLS)
        return [(k.key, k.kind, k.part) for k in package.links.values() if k.part and k.kind in kinds]
    sheets = [sheet for sheet in package.sheets if sheet.holds_cells]
    return [(f"rId{n}", "worksheet", sheet.part) for n, sheet in enumerate(sheets, 1)]


def _relations(links: list[tuple[str, str, str]]) -> str:
    lines = (
        f'<Relationship Id={quoteattr(key)} Type="{OFFICE}/{kind}" Target="{target}"/>'
        for key, kind, target in links
    )
    return f'<Relationships xmlns="{RELATIONS}">{"".join(lines)}</Relationships>'


def _workbook(package: Package) -> str:
    states = ("visible", "hidden")
    listed = "".join(
        f'<sheet name={quoteattr(sheet.name)} sheetId="{n}" state="{states[sheet.hidden]}" r:id="rId{n}"/>'
        for n, sheet in enumerate((sheet for sheet in package.sheets if sheet.holds_cells), 1)
    )
    days = ' date1904="1"' * package.from_1904
    return (
        f'<workbook xmlns="{MAIN}" xmlns:r="{OFFICE}"><workbookPr{days}/><sheets>{listed}</sheets></workbook>'
    )


def _in_utf_8(package: Package, part: str) -> Iterator[bytes]:
    """A part in pieces, recoded where it is XML in another encoding; a sheet without cells for none."""
    if not part:
        yield _NO_CELLS.encode()
        return
    said = "utf-8" if package.binary else encoding(package.head(part))
    if said in _UTF_8:
        yield from package.pieces(part)
        return
    with spoken(part):
        yield from recoded(package.pieces(part), said)


def recoded(pieces: Iterator[bytes], said: str) -> Iterator[bytes]:
    """XML in UTF-8, without the declaration that says otherwise. LookupError for an unknown encoding."""
    decoder = codecs.getincrementaldecoder(said)()
    first = True
    for piece in pieces:
        text = decoder.decode(piece)
        yield (_DECLARATION.sub("", text) if first else text).encode()
        first = first and not text
    yield decoder.decode(b"", True).encode()
