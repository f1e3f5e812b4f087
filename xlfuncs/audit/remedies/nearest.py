"""Why none of a list fits: what all of its parts break, and every limit that the nearest one breaks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from xlfuncs.gauge.choice import Candidate, Duty, Said
from xlfuncs.gauge.shortfall import in_common


def none_fits(
    rejected: Sequence[Candidate],
    silent: str,
    of_list: str,
    own: Mapping[str, str],
    duty: Duty,
    said: Said,
) -> str:
    """That nothing fits, of what could be judged, and what could not.

    `of_list`: which parts come into question: 'float list of a metal that ...'; `own`: kind -> what all of
    them break beside the limits of a choice, "" where one does not.
    """
    if not rejected:
        return (
            f"No other float of the list could be judged; {silent}"
            if silent
            else f"The list has no other float{of_list.partition('list')[2]}"
        )
    common = in_common(rejected, duty, said)
    common |= {kind: said_of_all for kind, said_of_all in own.items() if said_of_all}
    nearest = rejected[0]
    others = {kind for kind in common if kind != "reading"}  # what each reads is its own
    left = [why for kind, why in zip(nearest.kinds, nearest.reasons, strict=True) if kind not in others]
    if left:
        told = f"the nearest{' otherwise' if common else ''} is {nearest.part}: {'; '.join(left)}"
    else:
        told = f"{nearest.part} breaks nothing else"
    why = "; ".join([*common.values(), told])
    colon = ":" if common else ","
    if not silent:
        return f"None of the {of_list} fits{colon} {why}"
    return f"Of the {of_list} {len(rejected)} could be judged and none fits{colon} {why}; {silent}"
