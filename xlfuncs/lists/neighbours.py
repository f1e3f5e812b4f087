"""What the columns of a list say about one another.

'Max. temp.' right of 'Float mass' is the float's; a bare 'Pressure' beside a design pressure that is nowhere
lower is the operating one. Such evidence raises a score that the heading left too low to be taken; it does
not overrule a heading that says what it is, but for tags of gauges and serials that repeat the gauges' own.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any, Final, Protocol

import numpy as np
from numpy.typing import NDArray

from xlfuncs.data.words import means
from xlfuncs.lists import relations, tags
from xlfuncs.lists.decide import Verdict
from xlfuncs.lists.evidence import (
    AGAINST,
    Profile,
    is_arrangement,
    is_design_code,
    is_digits,
    is_fluid,
    is_letters,
    is_level_tag,
    is_material,
    is_part,
    is_range,
    is_written_class,
    says_action,
    says_ends,
    says_kind,
    weigh,
)
from xlfuncs.units import UnitError, converter, quantities_of
from xlfuncs.vocabulary.meaning import ACCEPT, POSSIBLE, Kind, Reading, fields, quantities_for, read_heading
from xlfuncs.vocabulary.words import concepts_of, fold, telling, words_of

_LENT: Final = 0.93
"""What is left of a meaning that a neighbour's subject completes."""
_NEAR: Final = 2
"""Columns to the left or right whose subject a heading may share."""
_KNOWN_BY_CELLS: Final = 0.86
_SPECIFIC: Final = 5.0
"""Numbers below this one are specific gravities, no densities in kg/m3."""
_SUPPORTED: Final = 0.88
_SUBJECTS: Final = {
    "float": "float",
    "magnet": "float",
    "transmitter": "transmitter",
    "lrv": "transmitter",
    "urv": "transmitter",
    "stated": "transmitter",
    "switch": "switch",
    "tracer": "tracing",
    "tracing": "tracing",
    "maintain": "tracing",
    "insulation": "insulation",
    "chamber": "chamber",
}
"""First part of a field's name -> the subject that columns beside it may share."""


class Head(Protocol):
    """The heading of a column."""

    @property
    def index(self) -> int: ...
    @property
    def text(self) -> str: ...
    @property
    def above(self) -> tuple[str, ...]: ...
    @property
    def unit_row(self) -> str: ...


class Columns:
    """The columns of a list while they are being decided."""

    def __init__(
        self,
        heads: Sequence[Head],
        readings: Sequence[Reading],
        profiles: Sequence[Profile],
        scores: list[dict[str, float]],
        kind: Kind,
    ) -> None:
        self.heads, self.readings, self.profiles, self.scores, self.kind = (
            heads,
            readings,
            profiles,
            scores,
            kind,
        )
        self.sure: dict[str, int] = {}
        """Field -> the column that surely is it."""

    def raise_to(self, i: int, field: str, score: float) -> bool:
        """Give a column a better score for a field; whether that changed anything."""
        if kind_of(field, self.kind) and score > self.scores[i].get(field, 0.0) + 1e-6:
            self.scores[i][field] = score
            return True
        return False

    def si(self, i: int, field: str) -> NDArray[np.float64] | None:
        """The numbers of a column in SI, if its unit for a field is stated or usual."""
        return self._converted(i, field, self.profiles[i].numbers)

    def in_si(self, i: int, field: str) -> NDArray[np.float64]:
        """The same row by row, NaN where no number stands or the unit is not known."""
        numbers = self.profiles[i].in_rows
        found = self._converted(i, field, numbers)
        if found is None and fields()[field]["quantity"] == "density":
            specific = np.asarray(converter("SG", "density", assume=True).to_si(numbers))
            return np.where(numbers < _SPECIFIC, specific, numbers)  # a specific gravity has no unit
        return np.full(len(numbers), np.nan) if found is None else found

    def _converted(self, i: int, field: str, numbers: NDArray[np.float64]) -> NDArray[np.float64] | None:
        meaning = next((one for one in self.readings[i].meanings if one.field == field), None)
        unit = meaning.unit if meaning is not None else ""
        for quantity in quantities_for(fields()[field]["quantity"]) if unit else ():
            try:
                return np.asarray(converter(unit, quantity, assume=True).to_si(numbers))
            except UnitError:
                continue
        return None


def question(
    heads: Sequence[Head],
    readings: Sequence[Reading],
    profiles: Sequence[Profile],
    scores: list[dict[str, float]],
) -> None:
    """Lower the scores of what a list as a whole speaks against."""
    _named_tags(heads, profiles, scores)
    _gauge_tags(heads, profiles, scores)
    _oil_alone(heads, scores)
    _api_beside(heads, scores)
    _shares(readings, profiles, scores)
    _numbers_of_types(heads, profiles, scores)
    _kinds_of_service(profiles, scores)
    _arrangements(heads, profiles, scores)


def _arrangements(heads: Sequence[Head], profiles: Sequence[Profile], scores: list[dict[str, float]]) -> None:
    """A column of connections whose cells say 'side' or 'top / bottom' is that of their arrangement."""
    for head, found, one in zip(heads, profiles, scores, strict=True):
        if "connection" in concepts_of(head.text) and found.share("arrangement", is_arrangement) > _TAGS:
            one["connection_arrangement"] = max(one.get("connection_arrangement", 0.0), _NAMED)


def _kinds_of_service(profiles: Sequence[Profile], scores: list[dict[str, float]]) -> None:
    """A column of types whose cells say 'level' or 'interface' is that of the service."""
    for found, one in zip(profiles, scores, strict=True):
        if one.get("instrument_type", 0.0) < ACCEPT or found.share("says_kind", says_kind) <= _TAGS:
            continue
        if any(means(text, "interface") for text in found.texts):
            one["service_type"] = max(one.get("service_type", 0.0), one.pop("instrument_type"))


def _numbers_of_types(
    heads: Sequence[Head], profiles: Sequence[Profile], scores: list[dict[str, float]]
) -> None:
    """A number that may be the float's serial or its type is the type where several gauges share one."""
    for head, found, one in zip(heads, profiles, scores, strict=True):
        if any("serial" in word.concepts and "number" not in word.concepts for word in words_of(head.text)):
            continue
        shared = found.filled - len({*found.texts, *found.numbers.tolist()})
        if shared > 1 and one.get("float_part", 0.0) >= ACCEPT:
            one["float_serial"] = AGAINST * one.get("float_serial", 0.0)


def _best(scores: list[dict[str, float]], *names: str) -> float:
    return max((one.get(name, 0.0) for one in scores for name in names), default=0.0)


def _said(head: Head) -> set[str]:
    """The concepts that a heading names."""
    return concepts_of(" ".join((*head.above, head.text)))


def _named_tags(heads: Sequence[Head], profiles: Sequence[Profile], scores: list[dict[str, float]]) -> None:
    """Cells that are tags of level gauges, below a heading with the word tag in it, whatever else it says, or
    one that may mean the tag."""
    for head, found, one in zip(heads, profiles, scores, strict=True):
        own = concepts_of(head.text)
        named = "tag" in own and not own & {"transmitter", "old", "switch", "prefix", "suffix"}
        likely = one.get("tag", 0.0) >= POSSIBLE and found.share("gauge tags", tags.is_gauge_tag) > _MOST_TAGS
        if found.filled > 1 and (likely or (named and _are_tags(found))):
            one["tag"] = max(one.get("tag", 0.0), _NAMED)


def _are_tags(found: Profile) -> bool:
    """Whether the cells are tags, those of level instruments among them."""
    tagged = found.share("tags", tags.is_tag)  # the name of a section may stand between them
    return tagged > _MOST_TAGS and found.share("level tags", is_level_tag) > _SOME_TAGS


_TAGS: Final = 0.9
_MOST_TAGS: Final = 0.7
_SOME_TAGS: Final = 0.5
_NAMED: Final = 0.98


def _gauge_tags(heads: Sequence[Head], profiles: Sequence[Profile], scores: list[dict[str, float]]) -> None:
    """Where a column holds tags of level gauges, another one with numbers of places or of equipment is not
    that of the tags, even if it is called so."""

    def share(i: int) -> float:
        if _said(heads[i]) & _OTHER_TAGS or profiles[i].filled < 2:
            return 0.0
        return profiles[i].share("gauge tags", tags.is_gauge_tag)

    others = [i for i, one in enumerate(scores) if one.get("tag", 0.0) >= 0.8 and share(i) < 0.2]
    if not others:
        return
    best = max(range(len(heads)), key=lambda i: share(i) * profiles[i].filled)
    if share(best) >= _GAUGE_TAGS:
        for i in others:
            scores[i]["tag"] *= _ALONE
        scores[best]["tag"] = max(scores[best].get("tag", 0.0), _NAMED)


_GAUGE_TAGS: Final = 0.5
"""Share of tags of level gauges in a column that other instruments may stand in as well."""
_OTHER_TAGS: Final = frozenset({"old", "transmitter", "switch", "prefix", "suffix", "remarks"})


def _oil_alone(heads: Sequence[Head], scores: list[dict[str, float]]) -> None:
    """'Oil density' is that of the upper fluid only where the lower one's is called so as well."""
    lower = any(
        one.get("fluid_density", 0.0) >= ACCEPT and _said(head) & {"water", "lower"}
        for head, one in zip(heads, scores, strict=True)
    )
    for head, one in zip(heads, scores, strict=True):
        said = _said(head)
        if "upper_density" in one and "oil" in said and not lower and not said & {"upper", "vapour"}:
            one["upper_density"] *= _ALONE


def _api_beside(heads: Sequence[Head], scores: list[dict[str, float]]) -> None:
    """An API gravity is no operating density where these are stated."""
    gravities = [i for i, head in enumerate(heads) if "api" in _said(head)]
    if not gravities:
        return
    others = [one for i, one in enumerate(scores) if i not in gravities]
    if _best(others, "fluid_density", "fluid_density_min", "fluid_density_max") >= ACCEPT:
        for i in gravities:
            if "fluid_density" in scores[i]:
                scores[i]["fluid_density"] *= _ALONE


def _shares(readings: Sequence[Reading], profiles: Sequence[Profile], scores: list[dict[str, float]]) -> None:
    """Set points up to 100 without a unit, in a list of lengths of many hundreds, may be percentages."""
    lengths = [
        profiles[i].numbers
        for i, one in enumerate(scores)
        if max(one.get("visible_range", 0.0), one.get("connection_distance", 0.0)) >= ACCEPT
    ]
    if not any(len(numbers) and numbers.min() > _LONG for numbers in lengths):
        return
    for i, one in enumerate(scores):
        points = [name for name in one if name.startswith("switch_")]
        unit = next((meaning.unit for meaning in readings[i].meanings if meaning.field in points), "")
        numbers = profiles[i].numbers
        if points and not unit and len(numbers) and numbers.max() <= 100:
            for name in points:
                one[name] *= _ALONE


_ALONE: Final = 0.75
_LONG: Final = 250.0
"""Lengths above which numbers up to 100 beside them look like percentages."""


def kind_of(field: str, kind: Kind) -> bool:
    """Whether a field may stand in a kind of list."""
    return kind in fields()[field]["tables"]


def lend(
    heads: Sequence[Head],
    readings: Sequence[Reading],
    profiles: Sequence[Profile],
    scores: list[dict[str, float]],
    verdicts: Sequence[Verdict],
    kind: Kind,
    parts: frozenset[str] = frozenset(),
) -> bool:
    """Raise the scores that the columns' neighbours support; whether any was.

    `parts`: the part numbers of the float lists."""
    columns = Columns(heads, readings, profiles, scores, kind)
    columns.sure = {verdict.field: i for i, verdict in enumerate(verdicts) if verdict.sure}
    changed = False
    for i, verdict in enumerate(verdicts):
        if verdict.sure or readings[i].is_uom:
            continue
        changed |= _by_subject(columns, verdicts, i)
        changed |= _by_pair(columns, i, "pressure")
        changed |= _by_pair(columns, i, "temperature")
        changed |= _by_bound(columns, i)
        changed |= _by_range(columns, i)
        changed |= _by_scale(columns, i)
        changed |= _dp(columns, i)
        changed |= _by_letters(columns, i)
        changed |= _by_cells(columns, i)
    if kind == "gauges":
        changed |= _tag_in_cells(columns)
        changed |= _by_serials(columns)
        changed |= _by_loop_checks(columns)
        changed |= _by_lengths(columns)
        changed |= _by_parts(columns, parts)
    else:
        changed |= _by_balance(columns)
    in_parts = {"tag_letters", "tag_number"} <= columns.sure.keys()
    if "tag" not in columns.sure and not in_parts:  # a loop's number alone is no tag
        changed |= _by_tags(columns) if kind == "gauges" else _tags_of_floats(columns)
    return changed


def _open(columns: Columns, *but: str) -> list[int]:
    """The columns that are not surely a field, other than some."""
    taken = {i for field, i in columns.sure.items() if field not in but}
    return [i for i in range(len(columns.heads)) if i not in taken and not columns.readings[i].is_uom]


def _by_serials(columns: Columns) -> bool:
    """A column that repeats the gauges' serials notes them for a float or a transmitter."""
    serial = columns.sure.get("serial")
    if serial is None:
        return _serials_repeated(columns)
    changed = False
    for i in _open(columns, *_NO_SERIALS):
        if i == serial or not relations.repeats(columns.profiles[i], columns.profiles[serial]):
            continue
        field = f"{_bearer(columns, i)}_gauge_serial"
        if field in columns.sure or _said(columns.heads[i]) & {"old", "tag"}:
            continue
        if columns.raise_to(i, field, _RELATED):
            changed = True
            for name in _NO_SERIALS:
                columns.scores[i].pop(name, None)
    return changed


_NO_SERIALS: Final = (
    "float_serial", "transmitter_serial", "float_part", "float_material", "chamber_material",
    "instrument_type", "float_service", "service",
)  # fmt: skip
"""What a column that repeats the gauges' serials is not, whatever its heading says."""


def _serials_repeated(columns: Columns) -> bool:
    """Of the columns that may be the gauges' serials, the one that another repeats."""
    for i, scores in enumerate(columns.scores):
        score = scores.get("serial", 0.0)
        if score < ACCEPT:
            continue
        for j in _open(columns):
            less = j != i and columns.scores[j].get("serial", 0.0) < score - 0.02
            if less and relations.repeats(columns.profiles[j], columns.profiles[i]):
                return columns.raise_to(i, "serial", 1.1)
    return False


def _bearer(columns: Columns, i: int) -> str:
    """Whose plate bears a serial: the float's or the transmitter's, by the heading or the columns before."""
    said = _said(columns.heads[i])
    for name in ("transmitter", "float"):
        if name in said:
            return name
    for j in range(i - 1, -1, -1):
        field = next((field for field, at in columns.sure.items() if at == j), "")
        subject = _SUBJECTS.get(field.split("_")[0], "")
        if subject in ("float", "transmitter"):
            return subject
    return "float"


def _by_loop_checks(columns: Columns) -> bool:
    """A level and its current: what the transmitter's range relates to each other."""
    if not {"lrv", "urv"} <= columns.sure.keys() or {"stated_level", "stated_current"} <= columns.sure.keys():
        return False
    lrv, urv = (columns.profiles[columns.sure[name]].in_rows for name in ("lrv", "urv"))
    free = _open(columns, "stated_level", "stated_current")
    currents = [i for i in relations.tell_currents(columns.profiles) if i in free]
    for i in currents:
        current = columns.profiles[i].in_rows
        for j in sorted(set(free) - {i}, key=lambda j: abs(j - i)):
            level = columns.profiles[j].in_rows
            if relations.follows(level, current, lrv, urv):
                changed = columns.raise_to(i, "stated_current", _RELATED)
                return columns.raise_to(j, "stated_level", _RELATED) or changed
    return False


def _by_lengths(columns: Columns) -> bool:
    """Lengths that mostly equal the visible range are the distance of the connections, and the other way."""
    changed = False
    for known, wanted in _EQUAL:
        if known not in columns.sure or wanted in columns.sure:
            continue
        lengths = columns.profiles[columns.sure[known]].in_rows
        for i in _open(columns):
            best = max(columns.scores[i].values(), default=0.0)
            if columns.readings[i].foreign or best >= ACCEPT or "old" in _said(columns.heads[i]):
                continue
            if relations.equals(columns.profiles[i].in_rows, lengths):
                changed |= columns.raise_to(i, wanted, _SUPPORTED)
                break
    return changed


def _by_balance(columns: Columns) -> bool:
    """Magnet planes of floats whose density is stated too: the magnet is in the surface of that liquid."""
    beside = ("float_length", "float_mass", "float_diameter", "float_design_density")
    if not columns.sure.keys() >= set(beside) or {"magnet_height", "magnet_from_top"} & columns.sure.keys():
        return False
    known = [columns.in_si(columns.sure[name], name) for name in beside]
    for i in _open(columns):
        if "magnet_height" not in columns.scores[i]:
            continue
        end = relations.counted_from(columns.in_si(i, "magnet_height"), *known)
        if end:
            columns.scores[i].pop("magnet_material", None)  # a length
            field = "magnet_height" if end == "bottom" else "magnet_from_top"
            columns.scores[i].pop("magnet_from_top" if end == "bottom" else "magnet_height", None)
            return columns.raise_to(i, field, _SUPPORTED)
    return False


def _by_parts(columns: Columns, parts: frozenset[str]) -> bool:
    """A column whose cells stand in the float lists names the floats; another that may name them does not."""
    if not parts or "float_part" in columns.sure:
        return False
    shares = {i: _listed(columns.profiles[i], parts) for i in _open(columns)}
    named = next((i for i, share in shares.items() if share >= _LISTED), None)
    if named is None:
        return False
    changed = columns.raise_to(named, "float_part", _NAMED)
    for i, share in shares.items():
        scores = columns.scores[i]
        if not share and scores.get("float_part", 0.0) > AGAINST:
            if columns.profiles[i].share("part", is_part) > _MOST_PARTS:
                columns.raise_to(i, "float_serial", scores["float_part"])
            scores["float_part"] = AGAINST
            changed = True
    return changed


def _listed(found: Profile, parts: frozenset[str]) -> float:
    """Share of the texts of a column, two or more, that stand in the float lists."""
    listed = sum(fold(text) in parts for text in found.texts)
    return listed / len(found.texts) if listed >= 2 else 0.0


_MOST_PARTS: Final = 0.6
"""Share of the cells that are numbers of parts, of a column of float serials."""
_LISTED: Final = 0.5
"""Share of the cells of a column that stand in a float list, if it names floats."""
_RELATED: Final = 0.96
"""Score of a column whose cells are related to others as only that field's are."""
_EQUAL: Final = (("visible_range", "connection_distance"), ("connection_distance", "visible_range"))


def _by_subject(columns: Columns, verdicts: Sequence[Verdict], i: int) -> bool:
    """A heading without a subject of its own takes that of the columns beside it."""
    head = columns.heads[i]
    if columns.kind != "gauges" or head.above or max(columns.scores[i].values(), default=0.0) >= ACCEPT:
        return False
    if columns.readings[i].foreign or not telling(head.text):
        return False
    changed = False
    for subject in dict.fromkeys(_subjects_beside(verdicts, i)):
        lent = read_heading(head.text, subject, columns.kind, head.unit_row)
        for meaning in lent.meanings[:3]:
            if (
                meaning.score < 0.9
                or meaning.field in columns.sure
                or _SUBJECTS.get(meaning.field.split("_")[0]) != subject
            ):
                continue
            score = meaning.score * _LENT * weigh(meaning.field, meaning.unit, columns.profiles[i])
            changed |= columns.raise_to(i, meaning.field, score)
    return changed


def _subjects_beside(verdicts: Sequence[Verdict], i: int) -> list[str]:
    out = []
    for step in (-1, 1):
        for far in range(1, _NEAR + 1):
            j = i + step * far
            if 0 <= j < len(verdicts) and verdicts[j].sure:
                subject = _SUBJECTS.get(verdicts[j].field.split("_")[0], "")
                out += [subject] if subject else []
                break
    return out


def _by_pair(columns: Columns, i: int, quantity: str) -> bool:
    """A bare pressure or temperature beside one that says whether it is the operating or the design one."""
    operating, design = f"operating_{quantity}", f"design_{quantity}"
    scores = columns.scores[i]
    if not {operating, design} & {name for name, score in scores.items() if score >= 0.65}:
        return False
    if design in columns.sure and operating not in columns.sure and scores.get(operating, 0.0) >= 0.65:
        return _not_above(columns, i, operating, columns.sure[design], design) and columns.raise_to(
            i, operating, _SUPPORTED
        )
    if operating in columns.sure and design not in columns.sure and scores.get(design, 0.0) >= 0.65:
        return _not_above(columns, columns.sure[operating], operating, i, design) and columns.raise_to(
            i, design, _SUPPORTED
        )
    return False


def _by_bound(columns: Columns, i: int) -> bool:
    """'Min.' and 'Max.' beside a column of the same quantity, below the same group heading, are its ends."""
    above = columns.heads[i].above
    changed = False
    for base, j in columns.sure.items():
        for end in ("min", "max"):
            field = f"{base}_{end}"
            if field in fields() and field not in columns.sure and columns.heads[j].above == above and above:
                near = columns.scores[i].get(field, 0.0)
                changed |= near >= POSSIBLE * 0.9 and columns.raise_to(i, field, _SUPPORTED)
    return changed


def _not_above(columns: Columns, low: int, low_field: str, high: int, high_field: str) -> bool:
    """Whether the numbers of one column are nearly all below those of another."""
    one, other = columns.si(low, low_field), columns.si(high, high_field)
    if one is None or other is None or not len(one) or len(one) != len(other):
        return (
            one is not None
            and other is not None
            and bool(len(one) and len(other))
            and bool(np.median(one) <= np.median(other))
        )
    return bool(np.mean(one <= other * 1.0001) >= 0.6)


def _by_range(columns: Columns, i: int) -> bool:
    """'Range' is the visible one where a transmitter has its own, and the transmitter's where a
    visible one stands."""
    scores = columns.scores[i]
    if not {"visible_range", "transmitter_range"} & {name for name, score in scores.items() if score >= 0.65}:
        return False
    if "old" in _said(columns.heads[i]):
        return False
    changed = False
    own_transmitter = {"lrv", "urv", "transmitter_range"} & columns.sure.keys()
    if own_transmitter and "visible_range" not in columns.sure:
        changed |= columns.raise_to(i, "visible_range", _SUPPORTED)
    elif "visible_range" in columns.sure and not own_transmitter:
        changed |= columns.raise_to(i, "transmitter_range", _SUPPORTED)
    elif not own_transmitter and "visible_range" not in columns.sure and columns.profiles[i].numeric >= 0.5:
        lone = "connection_distance" in columns.sure or not columns.profiles[i].share("range", is_range)
        changed |= lone and columns.raise_to(i, "visible_range", _SUPPORTED)
    return changed


def _by_scale(columns: Columns, i: int) -> bool:
    """'Scale low', 'Scale high': the transmitter's where the visible range stands elsewhere, else
    the gauge's."""
    changed = False
    for ours, theirs in (("lrv", "visible_low"), ("urv", "visible_high")):
        scores = columns.scores[i]
        if scores.get(ours, 0.0) >= 0.9 and scores.get(theirs, 0.0) >= 0.9 and ours not in columns.sure:
            meant = ours if "visible_range" in columns.sure else theirs
            changed |= columns.raise_to(i, meant, max(scores[ours], scores[theirs]) + 0.03)
    return changed


def _dp(columns: Columns, i: int) -> bool:
    """'DP' is the design pressure beside a design or an operating temperature; alone it may be a
    difference."""
    near = columns.scores[i].get("design_pressure", 0.0)
    beside = {"design_temperature", "operating_pressure"} & columns.sure.keys()
    return near >= 0.7 and bool(beside) and columns.raise_to(i, "design_pressure", _SUPPORTED)


def _tags_of_floats(columns: Columns) -> bool:
    """Of a float list, the one column that holds tags of gauges names those that the floats are for."""
    held = [i for i in _open(columns, "float_gauge_serial") if _hold_gauges(columns.profiles[i])]
    if len(held) != 1 or columns.scores[held[0]] == {"tag": _SUPPORTED}:
        return False
    columns.scores[held[0]].clear()
    columns.scores[held[0]]["tag"] = _SUPPORTED
    return True


def _hold_gauges(found: Profile) -> bool:
    return found.filled > 1 and found.share("gauge tags", tags.is_gauge_tag) > _TAGS


def _by_tags(columns: Columns) -> bool:
    """A list without a column of tags: the one whose cells are all tags of gauges is it, whatever
    it is called."""
    for i, found in enumerate(columns.profiles):
        if found.filled and found.share("gauge tags", tags.is_gauge_tag) > _MOST_TAGS:
            changed = columns.scores[i] != {"tag": _SUPPORTED}
            columns.scores[i].clear()
            columns.scores[i]["tag"] = _SUPPORTED
            return changed
    for i, found in enumerate(columns.profiles):
        if _designates(columns, i):
            return found.filled > 2 and columns.raise_to(i, "tag", _DESIGNATION)
    return False


def _designates(columns: Columns, i: int) -> bool:
    """Whether cells are all different and all have the shape of a tag, of whatever plant's code, below a
    heading that says no more than what they name."""
    found = columns.profiles[i]
    if (
        columns.readings[i].foreign not in ("", "item", "electrical")
        or found.share("tags", tags.is_tag) < _TAGS
    ):
        return False
    different = len(set(found.texts)) == len(found.texts) == found.filled
    return different and _said(columns.heads[i]) <= {"service", "item", "place", "electrical", "filler"}


_DESIGNATION: Final = 1.01
"""Above what the word 'designation' alone is worth for a service."""


def _tag_in_cells(columns: Columns) -> bool:
    """One heading 'Tag' over several columns: block, system, letters and number of a plant's code."""
    groups: dict[str, list[int]] = {}
    for i, head in enumerate(columns.heads):
        groups.setdefault(head.above[0] if head.above else head.text, []).append(i)
    for group, cells in groups.items():
        found = read_heading(group).meanings if len(cells) > 2 else ()
        if not found or found[0].field != "tag" or found[0].score < ACCEPT:
            continue
        letters = [i for i in cells if columns.profiles[i].share("letters", is_letters) > _TAGS]
        numbers = [i for i in cells if columns.profiles[i].share("digits", is_digits) > _TAGS]
        if not letters or not numbers or numbers[-1] < letters[-1]:
            continue
        parts = {letters[-1]: "tag_letters", numbers[-1]: "tag_number"}
        before = [i for i in cells if i < letters[-1]]
        parts |= dict(zip(before[::-1], ("tag_area", "tag_block", "tag_plant"), strict=False))
        changed = any(columns.scores[i] != {name: 1.0} for i, name in parts.items())
        for i, name in parts.items():
            columns.scores[i].clear()
            columns.scores[i][name] = 1.0
        return changed
    return False


def _by_letters(columns: Columns, i: int) -> bool:
    """Where the function letters have a column of their own, 'Tag no.' over numbers is the loop number."""
    named = max(columns.scores[i].get("tag", 0.0), columns.scores[i].get("tag_number", 0.0))
    digits = "tag_letters" in columns.sure and columns.profiles[i].share("digits", is_digits) > 0.7
    return digits and named > 0.3 and columns.raise_to(i, "tag_number", _SUPPORTED)


def _by_cells(columns: Columns, i: int) -> bool:
    """Columns whose heading says nothing that is known: what the unit or the cells alone leave no
    doubt of."""
    reading, found = columns.readings[i], columns.profiles[i]
    best = max(columns.scores[i].values(), default=0.0)
    if (
        "design_code" not in columns.sure
        and best < ACCEPT
        and found.filled > 1
        and found.share("design code", is_design_code) > 0.9
    ):
        return columns.raise_to(i, "design_code", _KNOWN_BY_CELLS)  # whatever the norm is called above them
    if reading.foreign not in ("", "item") or best >= 0.65 or found.filled < 2:
        return False
    head = columns.heads[i]
    if re.search(r"\d\s*(?:°|deg)", head.text):
        return False
    for field, unit_quantity in _BY_UNIT:
        if field not in columns.sure and unit_quantity in _quantities(head):
            return columns.raise_to(i, field, _KNOWN_BY_CELLS * weigh(field, "", found))
    of_floats = columns.kind == "floats" and not telling(head.text)
    metals = of_floats and found.share("is_material", is_material) > _MOST_PARTS
    if metals and "float_material" not in columns.sure:
        return columns.raise_to(i, "float_material", _KNOWN_BY_CELLS)  # 'Shell'
    if of_floats and "float_part" not in columns.sure:
        numbers = found.share("part", is_part) > _MOST_PARTS
        return numbers and columns.raise_to(i, "float_part", _KNOWN_BY_CELLS)
    if found.share("says_kind", says_kind) > 0.9 and found.share("interface", _says_interface) > 0:
        of_float = columns.kind == "floats" or "float" in _said(head)
        field = "float_service" if of_float or "service_type" in columns.sure else "service_type"
        return field not in columns.sure and columns.raise_to(i, field, _KNOWN_BY_CELLS)
    if columns.kind == "gauges":
        for field, test, least in _BY_SHAPE:
            if (
                field not in columns.sure
                and best < POSSIBLE + 0.1
                and found.share(test.__name__, test) >= least
            ):
                return columns.raise_to(i, field, _KNOWN_BY_CELLS)
    return False


def _quantities(head: Head) -> frozenset[str]:
    """The quantities of the unit that a heading or its unit row states."""
    for text in (
        head.unit_row,
        *re.findall(r"[(\[]([^()\[\]]+)[)\]]", head.text),
        head.text.split()[-1] if head.text else "",
    ):
        if text and len(text.strip(" ()[]")) > 1 and (found := quantities_of(text.strip(" ()[]"))):
            return found
    return frozenset()


def _says_interface(text: str) -> bool:
    return means(text, "interface")


_BY_UNIT: Final = (
    ("viscosity", "dynamic_viscosity"),
    ("viscosity", "kinematic_viscosity"),
    ("tracer_output", "power_per_length"),
)
_BY_SHAPE: Final[tuple[tuple[str, Any, float], ...]] = (
    ("tag", is_level_tag, 0.7),
    ("fluid", is_fluid, 0.5),
    ("action", says_action, 0.9),
    ("float_ends", says_ends, 0.9),
    ("flange_class", is_written_class, 0.8),
)
