"""A workbook of Excel in which our functions stand by their plain names, without the links to their add-in.

ECMA-376 part 1, 18.14 (external workbook references): a formula refers to another workbook by the number of a
link, its place in the workbook's list of them.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Container, Iterable, Iterator, Mapping

from xlfuncs.spreadsheet.changed import Changed
from xlfuncs.spreadsheet.markup import escape, unescape
from xlfuncs.spreadsheet.plain import PARTS, plain

_FORMULA = re.compile(
    rb"(<(?:\w+:)?(?:f|formula[12]?|definedName|calculatedColumnFormula|totalsRowFormula)"
    rb"(?:\s[^<>]*)?(?<!/)>)([^<]*)(?=</)"
)
_NUMBER = re.compile(r"(?<=\[)\d+(?=\])")
_NO_FORMULAS = re.compile(
    r"(?:\[Content_Types\]|docProps/|customXml/|xl/(?:sharedStrings|styles|comments|threadedComments|persons|"
    r"externalLinks/|theme/|media/))"
)
_ENTITIES = {"&quot;": '"', "&apos;": "'"}


def drop_addins(copy: Changed, known: Container[str] | None = None) -> None:
    """Let our functions, or those in `known`, stand by their plain names in a copy of an .xlsx or .xlsm.

    Links that they alone used go, and in every formula the numbers of those that stay move up. Where such a
    number stands in no formula, as in the macro of a button, all links stay.
    """
    before = {part: copy.in_utf_8(part) for part in _holding(copy)}
    after = {part: _rewritten(data, lambda formula: plain(formula, known)) for part, data in before.items()}
    gone = set(_numbers(before.values())) - set(_numbers(after.values()))
    keys = _keys(copy)
    if gone and max(gone) <= len(keys) and not _elsewhere(after.values(), min(gone)):
        moved = {n: n - sum(g < n for g in gone) for n in range(1, len(keys) + 1)}
        after = {
            part: _rewritten(data, lambda formula: _moved(formula, moved)) for part, data in after.items()
        }
    else:
        gone = set()
    for part, data in after.items():
        if data != before[part]:
            copy.put(part, data)
    if gone:
        _drop(copy, {keys[n - 1] for n in gone})


def _holding(copy: Changed) -> Iterator[str]:
    """The parts that may hold formulas."""
    for part, _ in copy.package.entries():
        if part.lower().endswith(".xml") and not _NO_FORMULAS.match(part):
            yield part


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


def _keys(copy: Changed) -> list[str]:
    """The keys of the links, in the order of their numbers."""
    tags = re.findall(rb"<(?:\w+:)?externalReference\b[^<>]*>", copy.in_utf_8(copy.package.main))
    found = (re.search(rb"\s(?:\w+:)?id\s*=\s*[\"']([^\"']*)", tag) for tag in tags)
    return [key[1].decode() if key else "" for key in found]


def _drop(copy: Changed, keys: set[str]) -> None:
    """Take links out of the workbook."""
    main = copy.splice(copy.package.main, 2)
    for links in main.root.all("externalReferences"):
        listed = list(links.all("externalReference"))
        ours = [link for link in listed if link.attributes.get("id") in keys]
        for link in [links] if ours == listed else ours:
            main.replace(link.start, link.end, "")
    for key in keys:
        part = copy.package.links[key].part
        if part:
            copy.drop(part, copy.package.main)
