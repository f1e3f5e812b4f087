"""What several of the rules of this family need."""

from __future__ import annotations

from xlfuncs.audit.gauges import Gauges


def by_tag(gauges: Gauges) -> dict[str, int]:
    return {tag: record for record, tag in reversed(list(enumerate(gauges.texts("tag").tolist())))}
