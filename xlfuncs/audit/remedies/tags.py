"""Tags as the list's own pattern shows them."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from typing import Final

import numpy as np

from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.measure import Measure
from xlfuncs.audit.registry import Hit
from xlfuncs.audit.remedy import Option, Remedy
from xlfuncs.audit.settings import Settings
from xlfuncs.data import load
from xlfuncs.lists.tags import letters_of

_FEW: Final = 3
"""Gauges that make a pattern, and the share of them that has to keep to it (common practice, no source)."""
_MOST: Final = 0.9
_AROUND: Final = 500
"""Rows before and behind in which a pattern is looked for: a long list is not gone through for each row."""
_NUMBERED: Final = re.compile(r"(?P<stem>.*\D)(?P<number>\d{2,9})")


def own_tag(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """The tag by the number that other columns bear where they follow the tags, or by the rows beside."""
    found = _by_pattern(gauges, hit.record)
    if found is None:
        return None
    tag, why = found
    option = Option(f"tag {tag}", "tag", Measure(tag))
    return Remedy(f"{why}: if so, it is {option.text}, which is free.", (option,))


def another_tag(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """The tag that the second row should have, or the first where that one is the wrong one."""
    if (remedy := own_tag(gauges, settings, hit)) is not None:
        return remedy
    first = int(hit.case["first"])
    found = _by_pattern(gauges, first)
    if found is None:
        return None
    cell = gauges.place(first, "tag")[1]
    return Remedy(
        f"The other row is the wrong one: {found[1]}; if so, {cell} is tag {found[0]}, which is free."
    )


def usual_letters(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """The same tag with the letters that most tags of the list have."""
    usual, share = _letters(gauges)
    own = gauges.tag(hit.record)
    if not usual or share <= 0.5:
        return None
    groups = re.findall(r"[A-Za-z]+", own)
    tag = own.replace(groups[-1], usual, 1) if len(groups) == 1 else ""
    if not tag or _key(tag) in _used(gauges):
        return None
    option = Option(f"tag {tag}", "tag", Measure(tag))
    return Remedy(
        f"Most tags of this list have {usual}: if so, it is {option.text}, which is free.", (option,)
    )


def _key(tag: str) -> str:
    return re.sub(r"\s+", "", tag).casefold()


def _used(gauges: Gauges) -> set[str]:
    return gauges.derived(
        "tags in use", lambda: {_key(str(tag)) for tag in gauges.texts("tag").tolist() if tag}
    )


def _parts(tag: str) -> tuple[str, str]:
    """What stands before a tag's number, and the number; nothing for another shape."""
    found = _NUMBERED.fullmatch(tag)
    return (found["stem"], found["number"]) if found else ("", "")


def _by_pattern(gauges: Gauges, record: int) -> tuple[str, str] | None:
    """A free tag for a row, and what tells it."""
    stem, digits = _model(gauges, record)
    if not stem:
        return None
    bearing = dict(_numbers(gauges, record, digits))
    used, labels = _used(gauges), load("fields")
    if len(set(bearing.values())) == 1:
        tag = f"{stem}{next(iter(bearing.values()))}"
        name = str(labels[next(iter(bearing))]["label"])
        why = f"Elsewhere in this list the {name} ends with the number of the tag"
        return (tag, why) if _key(tag) not in used else None
    if bearing:
        return None
    before, after = (_beside(gauges, record, step, stem) for step in (-1, 1))
    if before is not None and after is not None and after - before == 2:
        number: int | None = before + 1
        why = "The tags of the rows beside it leave one number out"
    else:
        number, why = _counting_on(gauges, record, stem), "The tags of the rows above it count on"
    if number is None or (after is not None and before is not None and not before < number < after):
        return None
    tag = f"{stem}{number:0{digits}d}"
    return (tag, why) if _key(tag) not in used else None


def _counting_on(gauges: Gauges, record: int, stem: str) -> int | None:
    """The number that comes next where the two or three rows above count row by row, else None."""
    above = [at for at in range(max(record - _FEW, 0), record) if gauges.sheet[at] == gauges.sheet[record]]
    tags = [(at, _parts(gauges.tag(at))) for at in above]
    steps = [int(number) - at for at, (own, number) in tags if own == stem]
    return steps[0] + record if len(steps) > 1 and len(set(steps)) == 1 else None


def _beside(gauges: Gauges, record: int, step: int, stem: str) -> int | None:
    """The number of the next row's tag; None where it is of another kind, or there is none."""
    at = record + step
    if not 0 <= at < gauges.n or gauges.sheet[at] != gauges.sheet[record]:
        return None
    found = _parts(gauges.tag(at))
    return int(found[1]) if found[0] == stem else None


def _model(gauges: Gauges, record: int) -> tuple[str, int]:
    """What the row's own tag, or those beside it, begin with, and how many digits follow; "" where they
    differ."""
    beside = [
        gauges.tag(at)
        for at in (record - 1, record + 1)
        if 0 <= at < gauges.n and gauges.sheet[at] == gauges.sheet[record]
    ]
    tags = [gauges.tag(record)] if gauges.tag(record) else beside
    if len(tags) > 1:
        usual, _ = _letters(gauges)
        tags = [tag for tag in tags if letters_of(tag) == usual] or tags
    models = {(stem, len(number)) for stem, number in map(_parts, tags) if stem}
    return models.pop() if len(models) == 1 else ("", 0)


def _letters(gauges: Gauges) -> tuple[str, float]:
    """The letters that most tags have, and the share of them; "" where there are few tags."""
    letters = gauges.derived(
        "letters of tags",
        lambda: Counter(letters_of(str(tag)) for tag in gauges.texts("tag").tolist() if tag),
    )
    usual, count = next(iter(letters.most_common(1)), ("", 0))
    return (usual, count / letters.total()) if count >= _FEW else ("", 0.0)


def _numbers(gauges: Gauges, record: int, digits: int) -> Iterator[tuple[str, str]]:
    """Columns of texts that end with the tag's number in nearly every row, with this row's number."""
    first = max(record - _AROUND, 0)
    rows = range(first, min(record + _AROUND + 1, gauges.n))
    tags = [_parts(gauges.tag(at))[1] for at in rows]
    for field in gauges.own:
        if field == "tag" or load("fields")[field]["kind"] != "text":
            continue
        ends = [_ending(str(text)) for text in gauges.texts(field)[first : rows.stop].tolist()]
        pairs = [
            (tag, end)
            for at, tag, end in zip(rows, tags, ends, strict=True)
            if at != record and len(tag) == digits and end
        ]
        follows = [end.endswith(tag) for tag, end in pairs]
        own = ends[record - first]
        if len(follows) >= _FEW and np.mean(follows) >= _MOST and len(own) >= digits:
            yield field, own[-digits:]


def _ending(text: str) -> str:
    """The digits at the end of a text."""
    found = re.search(r"\d+$", text.strip())
    return found[0] if found else ""
