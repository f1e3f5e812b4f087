"""What several of the rules of this family need."""

from __future__ import annotations

from xlfuncs.audit.gauges import Gauges, Mask


def traced(gauges: Gauges) -> Mask:
    return gauges.traced
