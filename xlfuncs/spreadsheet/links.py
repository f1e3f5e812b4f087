"""A workbook of Excel in which our functions stand by their plain names, without the links to their add-in.

Byte for byte what it was beside that. ECMA-376 part 1, 18.14 (external workbook references).
"""

from __future__ import annotations

import posixpath
import re
from collections.abc import Callable, Container, Iterable, Iterator, Mapping
from xml.sax.saxutils import escape, unescape

from xlfuncs.spreadsheet.plain import PARTS, plain

_FORMULA = re.compile(
    rb"(<(?:\w+:)?(?:f|formula[12]?|definedName|calculatedColumnFormula|totalsRowFormula)"
    rb"(?:\s[^<>]*)?(?<!/)>)([^<]*)(?=</)"
)
_NUMBER = re.compile(r"(?<=\[)\d+(?=\])")
_NO_FORMULAS = re.compile(r"xl/(?:sharedStrings|comments|threadedComments|persons|externalLinks|theme|media)")
_ENTITIES = {"&quot;": '"', "&apos;": "'"}
_MAIN = "xl/workbook.xml"
_RELATIONS = "xl/_rels/workbook.xml.rels"
_TYPES = "[Content_Types].xml"


def without_addins(
    parts: Mapping[str, bytes], known: Container[str] | None = None
) -> dict[str, bytes | None]:
    """What changes in the parts of an .xlsx or .xlsm; None: the part goes.

    Links that were used by our functions (or those in `known`) alone go, and in every formula the numbers of
    those that stay move up. Where such a number stands in no formula, as in the macro of a button, all stay.
    """
    holding = {
        name: data
        for name, data in parts.items()
        if name.startswith("xl/") and name.endswith(".xml") and not _NO_FORMULAS.match(name)
    }
    named = {name: _rewritten(data, lambda formula: plain(formula, known)) for name, data in holding.items()}
    gone = set(_numbers(holding.values())) - set(_numbers(named.values()))
    links = _links(parts)
    if gone and max(gone) <= len(links) and not _elsewhere(named.values(), min(gone)):
        moved = {n: n - sum(g < n for g in gone) for n in range(1, len(links) + 1)}
        named = {
            name: _rewritten(data, lambda formula: _moved(formula, moved)) for name, data in named.items()
        }
    else:
        gone = set()
    now: dict[str, bytes | None] = {**parts, **named}
    for n in gone:
        _drop(now, *links[n - 1])
    return {name: data for name, data in now.items() if data is None or data != parts[name]}


def _rewritten(data: bytes, change: Callable[[str], str]) -> bytes:
    """A part with other formulas; those that do not change keep their bytes."""

    def formula(found: re.Match[bytes]) -> bytes:
        if b"[" not in found[2] and b"LG_" not in found[2].upper():
            return found[0]
        old = unescape(found[2].decode(), _ENTITIES)
        new = change(old)
        return found[0] if new == old else found[1] + escape(new).encode()

    return _FORMULA.sub(formula, data)


def _numbers(parts: Iterable[bytes]) -> Iterator[int]:
    """Numbers of the links that formulas use."""
    for data in parts:
        for found in _FORMULA.finditer(data):
            if b"[" in found[2]:
                for part in PARTS.finditer(unescape(found[2].decode(), _ENTITIES)):
                    if part["sheet"] or part["name"]:
                        yield from map(int, _NUMBER.findall(part[0]))


def _moved(formula: str, numbers: Mapping[int, int]) -> str:
    def number(found: re.Match[str]) -> str:
        return str(numbers.get(int(found[0]), found[0]))

    def part(found: re.Match[str]) -> str:
        return _NUMBER.sub(number, found[0], count=1) if found["sheet"] or found["name"] else found[0]

    return PARTS.sub(part, formula)


def _elsewhere(parts: Iterable[bytes], first: int) -> bool:
    """Whether the number of a link from `first` on stands outside formulas."""
    return any(
        int(found[1]) >= first
        for data in parts
        for found in re.finditer(rb"\[(\d+)\](?=[^<>\[\]]*!)", _FORMULA.sub(b"", data))
    )


def _attribute(tag: bytes, name: str) -> str:
    found = re.search(rb"\s(?:\w+:)?" + name.encode() + rb"\s*=\s*(?:\"([^\"]*)\"|'([^']*)')", tag)
    return (found[1] or found[2] or b"").decode() if found else ""


def _tags(data: bytes, name: str) -> Iterator[bytes]:
    """The empty elements of a name."""
    return (found[0] for found in re.finditer(rb"<(?:\w+:)?" + name.encode() + rb"\b[^<>]*/>", data))


def _links(parts: Mapping[str, bytes]) -> list[tuple[bytes, bytes, str]]:
    """In the order of their numbers: what lists a link in the workbook and in its relations, and its part."""
    relations = {_attribute(tag, "Id"): tag for tag in _tags(parts.get(_RELATIONS, b""), "Relationship")}
    found = []
    for tag in _tags(parts.get(_MAIN, b""), "externalReference"):
        relation = relations.get(_attribute(tag, "id"), b"")
        target = posixpath.normpath(posixpath.join("/xl", _attribute(relation, "Target"))).lstrip("/")
        found.append((tag, relation, target))
    return found


def _drop(parts: dict[str, bytes | None], tag: bytes, relation: bytes, link: str) -> None:
    """Take a link out of a workbook."""
    main = (parts[_MAIN] or b"").replace(tag, b"", 1)
    parts[_MAIN] = re.sub(rb"<((?:\w+:)?externalReferences)>\s*</\1>", b"", main)
    parts[_RELATIONS] = (parts[_RELATIONS] or b"").replace(relation, b"", 1)
    types = parts[_TYPES] or b""
    for override in list(_tags(types, "Override")):
        if _attribute(override, "PartName").lstrip("/") == link:
            types = types.replace(override, b"", 1)
    parts[_TYPES] = types
    folder, name = posixpath.split(link)
    for part in (link, f"{folder}/_rels/{name}.rels"):
        if part in parts:
            parts[part] = None
