"""Changes to an XML file that leave every byte of the rest as it was.

A parser that reads and writes again would rename prefixes and drop what it does not know, and a
spreadsheet program refuses such a file. Here the parser only tells where the elements stand.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from xml.parsers import expat

from xlfuncs.spreadsheet.markup import quoteattr

_OPEN = re.compile(rb"""<[^\s/>]+(?:\s+[^\s=]+\s*=\s*(?:"[^"]*"|'[^']*'))*\s*(/?)>""")


class NotPlainXml(Exception):
    """The file is no XML, or of a kind that is not changed in place."""

    def __str__(self) -> str:
        return "a part of it is not plain XML"


@dataclass(slots=True)
class Element:
    """One element, and where it stands in the bytes."""

    name: str
    """Without prefix."""
    attributes: dict[str, str]
    """By their names without prefix."""
    start: int
    inner: int
    """Where the content begins; the end of the tag for an element without content."""
    close: int
    """Where the closing tag begins; equal to `end` for an element closed in its own tag."""
    end: int
    children: list[Element] = field(default_factory=list)

    def all(self, name: str) -> Iterator[Element]:
        return (child for child in self.children if child.name == name)

    def one(self, name: str) -> Element | None:
        return next(self.all(name), None)


class Splice:
    """An XML file and the changes asked for; `result` gives the new file."""

    def __init__(self, data: bytes, depth: int = 99) -> None:
        """`depth`: how deep the tree goes; 1 holds the root and its children only."""
        self.data = data
        self.depth = depth
        self._edits: list[tuple[int, int, int, bytes]] = []
        self.root = self._read()

    def _read(self) -> Element:
        data = self.data
        path: list[Element] = []
        level = 0
        root: list[Element] = []
        parser = expat.ParserCreate()

        def begin(name: str, attributes: dict[str, str]) -> None:
            nonlocal level
            if level <= self.depth:
                at = parser.CurrentByteIndex
                tag = _OPEN.match(data, at)
                if tag is None:
                    raise NotPlainXml
                bare = {
                    key.rpartition(":")[2] if not key.startswith("xmlns") else key: v
                    for key, v in attributes.items()
                }
                element = Element(
                    name.rpartition(":")[2], bare, at, tag.end(), -1 if not tag[1] else tag.end(), tag.end()
                )
                (path[-1].children if path else root).append(element)
                path.append(element)
            level += 1

        def finish(_: str) -> None:
            nonlocal level
            level -= 1
            if level <= self.depth:
                element = path.pop()
                if element.close < 0:
                    element.close = parser.CurrentByteIndex
                    element.end = data.index(b">", element.close) + 1

        def refuse(*_: object) -> None:
            raise NotPlainXml

        parser.StartElementHandler, parser.EndElementHandler = begin, finish
        parser.StartDoctypeDeclHandler = refuse
        parser.XmlDeclHandler = lambda _version, encoding, _alone: (
            refuse() if encoding and encoding.lower() not in ("utf-8", "us-ascii") else None
        )
        try:
            parser.Parse(data, True)
        except (expat.ExpatError, ValueError) as error:
            raise NotPlainXml from error
        if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
            raise NotPlainXml
        return root[0]

    def insert(self, at: int, xml: str) -> None:
        self._edits.append((at, at, len(self._edits), xml.encode()))

    def replace(self, start: int, end: int, xml: str) -> None:
        self._edits.append((start, end, len(self._edits), xml.encode()))

    def append(self, element: Element, xml: str) -> None:
        """Add to the end of the element's content."""
        if element.close < element.end:
            self.insert(element.close, xml)
            return
        tag = self.data[element.start : element.end]
        name = re.match(rb"<([^\s/>]+)", tag)
        assert name is not None
        slash = element.start + tag.rindex(b"/")
        self.replace(slash, element.end, f">{xml}</{name[1].decode()}>")

    def attribute(self, element: Element, name: str, value: str) -> None:
        """Set an attribute (named without prefix) of the opening tag."""
        tag = self.data[element.start : element.inner]
        old = re.search(rb"\s" + name.encode() + rb"\s*=\s*(\"[^\"]*\"|'[^']*')", tag)
        if old:
            self.replace(element.start + old.start(1), element.start + old.end(1), quoteattr(value))
        else:
            head = re.match(rb"<[^\s/>]+", tag)
            assert head is not None
            self.insert(element.start + head.end(), f" {name}={quoteattr(value)}")

    def result(self) -> bytes:
        out, at = [], 0
        for start, end, _, new in sorted(self._edits, key=lambda e: e[:3]):
            out += [self.data[at:start], new]
            at = end
        return b"".join(out) + self.data[at:]
