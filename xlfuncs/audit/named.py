"""A gauge of an index by its tag."""

from __future__ import annotations

from xlfuncs.audit.gauges import Gauges
from xlfuncs.errors import XlfuncsError


def record_of(gauges: Gauges, tag: str) -> int:
    """Record of the gauge; XlfuncsError names the nearest tags, or that the tag stands on two rows."""

    def plain(text: str) -> str:
        return "".join(text.split()).casefold()

    tags = [gauges.tag(record) for record in range(gauges.n)]
    found = [record for record, other in enumerate(tags) if other and plain(other) == plain(tag)]
    book = gauges.book.path.name
    if len(found) == 1:
        return found[0]
    if found:
        rows = " and ".join(f"{gauges.sheet[i]} row {gauges.row[i]}" for i in found[:3])
        raise XlfuncsError(f"{book}: {tag} stands at {rows}; one of them has to go")
    from difflib import get_close_matches

    near = get_close_matches(tag, [t for t in tags if t], 3, 0.5)
    hint = f"did you mean {', '.join(near)}?" if near else f"it holds {gauges.n} gauges, such as {tags[0]}"
    raise XlfuncsError(f"{book}: there is no gauge {tag}: {hint}")
