"""The rule tag-malformed."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Iterator, Sequence
from functools import cache
from typing import Final

from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.model import Severity
from xlfuncs.audit.registry import Hit, gauge_hit, rule
from xlfuncs.audit.remedies import tags
from xlfuncs.audit.settings import Settings
from xlfuncs.data import load
from xlfuncs.lists.tags import letters_of


@cache
def _is_isa(letters: str) -> bool:
    table = load("isa_letters")
    return letters[0] in table["measured"]["letters"] and all(
        c in table["function"]["letters"] for c in letters[1:]
    )


_SAME_DIGIT = str.maketrans("123456789", "000000000")
"""Tags that differ in their digits only are looked at once."""


def _names_level(tag: str) -> bool:
    return any(_is_isa(group) for group in re.findall(r"[A-Z]+", tag.upper()))


_SCHEME: Final = 3
"""Gauges that make a scheme."""


def _of_own_scheme(shapes: Sequence[str], strange: Collection[str]) -> set[str]:
    """Of strange shapes those whose letters most tags of the workbook have."""
    if not strange:
        return set()
    letters = Counter(letters_of(shape) for shape in shapes if shape)
    usual, count = max(letters.items(), key=lambda one: one[1])
    if not usual or count < _SCHEME or count <= letters.total() / 2:
        return set()
    return {shape for shape in strange if letters_of(shape) == usual}


@rule(
    "tag-malformed",
    Severity.WARNING,
    remedy=tags.usual_letters,
    passing=({"tag": "23-LG-1003A"}, {"tag": "LIT 1003"}),
    firing={"tag": "GAUGE-1004"},
)
def tag_malformed(gauges: Gauges, settings: Settings) -> Iterator[Hit]:
    """A tag whose letters are not an identification of a level instrument.

    Finds: a tag without letters, or whose letters are no identification for level as ISA-5.1 has
        them: L for the measured variable, then readout or function letters (LG, LI, LT, LSH ...). Letters
        that most tags of a list share are the plant's own scheme, and no finding.
    Why: lists are sorted and linked by these letters; a gauge with others drops out of them.
    Mend: write the tag with its ISA-5.1 letters, or agree the plant's own scheme and ignore this rule.
    """
    shapes = gauges.reworded("tag", lambda text: text.translate(_SAME_DIGIT))
    strange = {shape for shape in set(shapes) if shape and not _names_level(shape)}
    strange -= _of_own_scheme(shapes, strange)
    for record in [record for record, shape in enumerate(shapes) if shape in strange] if strange else ():
        yield gauge_hit(
            gauges,
            record,
            "tag",
            f"the letters of tag {gauges.tag(record)} are no ISA-5.1 identification of a level instrument",
        )
