"""Number formats of one style sheet taken over into another, where their numbers may be taken."""

from __future__ import annotations

from xlfuncs.spreadsheet.markup import quoteattr
from xlfuncs.spreadsheet.splice import Splice

FIRST_OWN = 164
"""Lower numbers are the formats that every program knows (ECMA-376 part 1, 18.8.30)."""


def taken_over(ours: Splice, theirs: Splice, space: str) -> dict[str, str]:
    """Number that each own format of `theirs` has in `ours`, which they are added to."""
    added = theirs.root.one("numFmts")
    if added is None or not added.children:
        return {}
    present = ours.root.one("numFmts")
    known = [] if present is None else [int(one.attributes["numFmtId"]) for one in present.children]
    first = max([FIRST_OWN - 1, *known]) + 1
    new = {one.attributes["numFmtId"]: str(first + k) for k, one in enumerate(added.children)}
    lines = "".join(
        f"<numFmt{space} numFmtId={quoteattr(new[one.attributes['numFmtId']])}"
        f" formatCode={quoteattr(one.attributes['formatCode'])}/>"
        for one in added.children
    )
    if present is None:
        ours.insert(ours.root.inner, f'<numFmts{space} count="{len(new)}">{lines}</numFmts>')
    else:
        ours.attribute(present, "count", str(len(known) + len(new)))
        ours.append(present, lines)
    return new
