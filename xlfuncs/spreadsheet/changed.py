"""A changed copy of an Office Open XML package: every part that is not changed stays byte for byte.

openpyxl would drop the values kept with formulas, pictures, form controls, slicers and more.
ECMA-376 part 2 (packages).
"""

from __future__ import annotations

import posixpath
import zipfile
from copy import copy
from pathlib import Path
from typing import Final

from xlfuncs.spreadsheet.markup import quoteattr
from xlfuncs.spreadsheet.package import TYPES, Package, encoding, normal, relations_of, spoken
from xlfuncs.spreadsheet.splice import Splice
from xlfuncs.spreadsheet.usual import CONTENT, OFFICE, RELATIONS, recoded

XML: Final = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'


class Changed:
    """What is to be different in a copy of a package."""

    def __init__(self, package: Package) -> None:
        self.package = package
        self._content: dict[str, bytes] = {}
        self._dropped: set[str] = set()
        self._splices: dict[str, Splice] = {}
        self._keys: dict[str, int] = {}

    # --- parts ---

    def has(self, part: str) -> bool:
        return part in self._content or self.package.has(part)

    def read(self, part: str) -> bytes:
        """A part as it is by now, but for what is done to its `splice`."""
        part = self._named(part)
        return self._content[part] if part in self._content else self.package.read(part)

    def in_utf_8(self, part: str) -> bytes:
        """A part to which UTF-8 text can be added."""
        data = self.read(part)
        said = encoding(data[:200])
        if said in ("utf-8", "utf-8-sig"):
            return data
        with spoken(part):
            return b"".join(recoded(iter([data]), said))

    def put(self, part: str, data: bytes) -> None:
        """Another content, or a part that is new."""
        self._content[self._named(part)] = data

    def splice(self, part: str, depth: int = 99) -> Splice:
        """A part, opened once for changes."""
        part = self._named(part)
        if part not in self._splices:
            self._splices[part] = Splice(self.in_utf_8(part), depth)
        return self._splices[part]

    def settle(self, part: str) -> None:
        """Take what was done to the `splice` of a part as its content: it can be opened anew."""
        part = self._named(part)
        self._content[part] = self._splices.pop(part).result()

    def _named(self, part: str) -> str:
        return normal(self.package.entry(part)) if self.package.has(part) else part

    # --- parts that come and go ---

    def add(
        self, wanted: str, data: str | bytes, content_type: str, owner: str, kind: str
    ) -> tuple[str, str]:
        """A new part that belongs to `owner`; gives its name and the key of the relation to it."""
        stem, _, ending = wanted.rpartition(".")
        number = 1
        while self.has(part := f"{stem}{number}.{ending}"):
            number += 1
        self.put(part, data.encode() if isinstance(data, str) else data)
        types = self.splice(TYPES)
        override = f'<Override{declared(types, CONTENT)} PartName="/{part}" ContentType="{content_type}"/>'
        types.append(types.root, override)
        links = relations_of(owner)
        if not self.has(links):
            self.put(links, f'{XML}<Relationships xmlns="{RELATIONS}"></Relationships>'.encode())
        there = self.splice(links)
        used = {link.attributes.get("Id", "") for link in there.root.children}
        first = self._keys.get(links, 0) + 1
        self._keys[links] = count = next(n for n in range(first, 10**6) if f"rIdAudit{n}" not in used)
        target = quoteattr(posixpath.relpath("/" + part, posixpath.dirname("/" + owner)))
        there.append(
            there.root,
            f'<Relationship{declared(there, RELATIONS)} Id="rIdAudit{count}" Type="{OFFICE}/{kind}" '
            f"Target={target}/>",
        )
        return part, f"rIdAudit{count}"

    def drop(self, part: str, owner: str) -> None:
        """Leave out a part that belongs to `owner`."""
        self._dropped |= {part, relations_of(part)}
        keys = {link.key for link in self.package.relations(owner) if link.part == part}
        links = self.splice(relations_of(owner))
        for link in links.root.children:
            if link.attributes.get("Id") in keys:
                links.replace(link.start, link.end, "")
        if self.has(TYPES):
            types = self.splice(TYPES)
            for entry in types.root.all("Override"):
                if normal(entry.attributes.get("PartName", "")).casefold() == part.casefold():
                    types.replace(entry.start, entry.end, "")

    # --- writing ---

    def save(self, path: Path) -> None:
        """Write the copy: parts in their old order, the new ones last."""
        content = self._content | {part: splice.result() for part, splice in self._splices.items()}
        with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as out:
            for part, info in self.package.entries():
                if part not in self._dropped:
                    data = content.pop(part) if part in content else self.package.content(part, info)
                    out.writestr(copy(info), data)
            for part, data in content.items():
                out.writestr(part, data)


def declared(splice: Splice, namespace: str) -> str:
    """The namespace declaration that an added element needs: none where the file uses no prefix."""
    plain = splice.root.attributes.get("xmlns") == namespace
    return "" if plain else f' xmlns="{namespace}"'
