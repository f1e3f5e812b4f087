"""What a heading means: each text is scored against the headings of `fields.toml`.

A heading is cut into ideas (`heading_words.toml`: 'Press.', 'Druck' and 'pression' are one), and compared
with every known heading as a set of ideas, so that order, language and abbreviations do not matter.
"""

from __future__ import annotations

import re
import unicodedata
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Any, Final, Literal

import numpy as np
from numpy.typing import NDArray

from xlfuncs.data import load
from xlfuncs.units import find_unit, is_unit

Kind = Literal["gauges", "floats"]

ACCEPT: Final = 0.84
"""Score from which a heading counts as recognised (common practice, no source)."""
MARGIN: Final = 0.06
"""A runner-up closer than this leaves the heading in doubt."""
EXACT: Final = 1.0
"""Score of a heading that stands in `fields.toml`; a later one in a list scores a little less."""
SURE: Final = 0.975
"""Score that only such a heading reaches."""
POSSIBLE: Final = 0.55
"""Score from which a field is worth naming as what a heading could be."""

_LOWEST: Final = 0.3
"""Score below which a field is not looked at."""
_PROMISING: Final = 0.7
_LONGEST_PROMISE: Final = 100
_MOST_IDEAS: Final = 12
_WEAK: Final = 0.25
_UNKNOWN: Final = 0.7
_LETTERS: Final = re.compile(r"[^\W\d_]+|\d+")
_BRACKETS: Final = re.compile(r"[(\[{<][^()\[\]{}<>]*[)\]}>]")
_SMALL: Final = ("mbar", "mmH2O", "inH2O", "cmH2O", "hPa")
"""Units in which a differential pressure is written and a design pressure is not."""
_GAUGE: Final = re.compile(
    r"uberdruck|manometri|\(gauge\)|\b(?:pression|presion|pressao|pressione) relativ[ae]\b"
)
_ABSOLUTE: Final = re.compile(r"absolut|\babs\b|\bassolut")
"""Words by which a heading says that its pressure is one above the atmosphere, or above vacuum."""
_SEPARATORS: Final = re.compile(r"[\s,;()\[\]]+")
_OR: Final = ("or", "oder", "ou", "o", "and", "und", "in", "/", "-")
_BEFORE_UNIT: Final = ("in", "en", "em", "-", "/", ":", "@")
_DOTTED: Final = re.compile(r"\b((?:\w\.){2,})")
_CAMEL: Final = re.compile(r"(?<=[a-zà-ÿ])(?<!\bm(?=A\b))(?=[A-Z])|(?<=[A-Z])(?=[A-Z][a-zà-ÿ]{2})")


def fold(text: str) -> str:
    """Lower case, without accents, one kind of space."""
    if text.isascii():
        return " ".join(text.lower().split())
    plain = unicodedata.normalize("NFKD", text).casefold()
    return " ".join("".join(c for c in plain if not unicodedata.combining(c)).split())


@cache
def fields() -> dict[str, dict[str, Any]]:
    """The fields of `fields.toml`."""
    return load("fields")


@dataclass(frozen=True, slots=True)
class Match:
    """A field that a heading may name."""

    field: str
    """A name of `fields.toml`; of a column that the audit does not use, its name after a '-'."""
    score: float
    unit: str = ""

    @property
    def decoy(self) -> bool:
        return self.field.startswith("-")


@dataclass(frozen=True, slots=True)
class _Known:
    field: str
    ideas: frozenset[str]
    folded: str
    only: Kind | None
    rank: int
    """Place among the headings of its field: the first are the surest."""


class _Vocabulary:
    """The words and headings of the data files, made ready once."""

    def __init__(self) -> None:
        words = load("heading_words")
        self.phrases = [(re.compile(entry["find"]), entry["put"]) for entry in words["phrases"]]
        self.joined: dict[str, list[str]] = words["joined"]
        self.units: dict[str, str] = words["units"]
        self.noise = frozenset(words["lists"]["noise"])
        self.weak = frozenset(words["lists"]["weak"])
        self.half = frozenset(words["lists"]["half"])
        self.dependent = frozenset(words["lists"]["dependent"])
        self.turns = frozenset(words["lists"]["turns"])
        self.names = frozenset(words["words"])
        self.idea: dict[str, str] = {}
        for idea, spellings in words["words"].items():
            for word in spellings:
                self.idea.setdefault(fold(word), idea)
        self.idea_of_end = {word for word, idea in self.idea.items() if idea in ("minimum", "maximum")}
        self.known: list[_Known] = []
        for name, entry in fields().items():
            for texts in entry["headings"].values():
                self._learn(name, texts, None)
            for texts in entry.get("list_headings", {}).values():
                self._learn(name, texts, "floats")
        for name, texts in words["decoys"].items():
            self._learn(f"-{name}", texts, None)
        self.index: dict[str, list[int]] = defaultdict(list)
        self.by_text: dict[str, list[int]] = defaultdict(list)
        for number, known in enumerate(self.known):
            for idea in known.ideas:
                self.index[idea].append(number)
            self.by_text[known.folded].append(number)
        self._sets = list(dict.fromkeys((known.field, known.ideas, known.only) for known in self.known))
        self._total = np.array([sum(map(self.weight, ideas)) for _, ideas, _ in self._sets])
        self._where: dict[str, NDArray[np.int64]] = {
            idea: np.array([n for n, entry in enumerate(self._sets) if idea in entry[1]], dtype=np.int64)
            for idea in self.index
        }

    def _learn(self, field: str, texts: list[str], only: Kind | None) -> None:
        for rank, text in enumerate(texts):
            self.known.append(_Known(field, frozenset(self.ideas(text)), squash(text), only, rank))

    def weight(self, idea: str) -> float:
        """How much an idea tells: little for common words, less than a known one for a strange one."""
        if idea in self.weak:
            return _WEAK
        if idea in self.half:
            return 0.5
        return 1.0 if idea in self.index or idea in self.names else _UNKNOWN

    @lru_cache(maxsize=16384)  # noqa: B019  (the one vocabulary lives as long as the program)
    def words_of(self, text: str) -> Sequence[str]:
        """The words of a heading, after the phrases of the data file are replaced."""
        text = fold(_CAMEL.sub(" ", text.replace("_", " ").replace("\n", " ")))
        text = _DOTTED.sub(lambda found: found[1].replace(".", "") + " ", text)
        for pattern, put in self.phrases:
            text = pattern.sub(put, text)
        return _LETTERS.findall(text)

    def ideas(self, text: str) -> list[str]:
        """The ideas of a heading, in its order."""
        return [
            self.idea.get(part, part)
            for word in self.words_of(text)
            for part in self._cut(word)
            if part not in self.noise
        ]

    def telling(self, text: str) -> bool:
        """Whether a text holds a word by which columns are told apart."""
        return any(self.weight(idea) == 1.0 for idea in self.ideas(text))

    @lru_cache(maxsize=4096)  # noqa: B019
    def _cut(self, word: str) -> tuple[str, ...]:
        """The parts of a compound word, if all of them are known."""
        if word in self.joined:
            return tuple(self.joined[word])
        if word in self.idea or word in self.noise or len(word) < 8:
            return (word,)
        for end in range(len(word) - 3, 2, -1):
            head, tail = word[:end], word[end:]
            head = (
                head if head in self.idea or head in self.joined else head[:-1] if head[-1:] in "sn" else head
            )
            if head not in self.idea and head not in self.joined:
                continue
            rest = self._cut(tail)
            if all(part in self.idea for part in rest):
                return (*self.joined.get(head, [head]), *rest)
        return (word,)

    def _holds(self, idea: str) -> NDArray[np.bool_]:
        """Which of the known headings hold an idea."""
        held = np.zeros(len(self._sets), dtype=bool)
        held[self._where.get(idea, [])] = True
        return held

    @lru_cache(maxsize=16384)  # noqa: B019
    def scores(self, ideas: frozenset[str], kind: Kind) -> Mapping[str, float]:
        """Field -> how well its best heading covers the ideas and nothing else, if well enough to count."""
        shared = np.zeros(len(self._sets))
        for idea in ideas:
            if (where := self._where.get(idea)) is not None:
                shared[where] += self.weight(idea)
        total = self._total + sum(map(self.weight, ideas))
        for idea in ideas & self.turns:
            total = total + ~self._holds(idea)
        covered = 2 * shared / total
        best: dict[str, float] = {}
        for number in np.flatnonzero(covered >= _LOWEST).tolist():
            field, _, only = self._sets[number]
            if only in (None, kind):
                best[field] = max(best.get(field, 0.0), float(covered[number]))
        return best


@dataclass(frozen=True, slots=True, eq=False)
class Neighbours:
    """Headings that mean a field only where enough of them stand in one row."""

    kind: Kind
    least: int
    fields: frozenset[str]
    texts: Mapping[str, str]
    """Squashed heading -> field."""
    ideas: Mapping[frozenset[str], str]
    """Ideas of a heading -> field."""
    beside: frozenset[str]
    """Ideas that a group heading may add."""
    cells: str
    """What has to stand below: "lengths", "parts" or anything."""

    @lru_cache(maxsize=16384)  # noqa: B019  (the few groups live as long as the program)
    def meaning(self, heading: str) -> str | None:
        """The field that a heading means among its neighbours."""
        group, _, own = heading.rpartition(" / ")
        above = vocabulary().ideas(group)
        for variant, _ in _variants(own):
            field = self.texts.get(squash(variant)) if self.beside.issuperset(above) else None
            field = field or self.ideas.get(frozenset((*above, *vocabulary().ideas(variant))))
            if field:
                return field
        return None


@cache
def groups_of_headings() -> tuple[Neighbours, ...]:
    """The groups of `heading_words.toml`."""
    out = []
    for entry in load("heading_words")["neighbours"]:
        texts = {text: name for name, every in entry["means"].items() for text in every}
        ideas = {frozenset(vocabulary().ideas(text)): name for text, name in texts.items()}
        ideas.pop(frozenset(), None)  # 'D' and 'L' are told by their letter
        out.append(
            Neighbours(
                entry["table"],
                entry["least"],
                frozenset(entry["means"]),
                {squash(text): name for text, name in texts.items()},
                ideas,
                frozenset(entry.get("beside", ())),
                entry.get("cells", ""),
            )
        )
    return tuple(out)


@cache
def vocabulary() -> _Vocabulary:
    """The words and headings, read once."""
    return _Vocabulary()


def squash(text: str) -> str:
    """A heading in the form in which two are the same text."""
    return " ".join(_LETTERS.findall(fold(text.replace("_", " "))))


@lru_cache(maxsize=4096)
def _fits(unit: str, field: str) -> bool:
    """Whether a unit can be the unit of a field."""
    quantity = fields()[field].get("quantity")
    return quantity is not None and any(find_unit(unit, name) for name in quantities_for(quantity))


def quantities_for(quantity: str) -> tuple[str, ...]:
    """The quantities whose units a column may state: a viscosity may be kinematic."""
    return (quantity, "kinematic_viscosity") if quantity == "dynamic_viscosity" else (quantity,)


def unit_in(text: str, field: str) -> str:
    """The unit that a heading or a unit cell states for a field, "" if none."""
    quantity = fields()[field].get("quantity")
    for name in quantities_for(quantity) if quantity else ():
        unit = find_unit(text, name)
        if unit:
            return unit
    for name in quantities_for(quantity) if quantity and len(units_in(text, field)) < 2 else ():
        for _, ending in _variants(text):  # 'Schwimmergewicht g'
            if ending and (unit := find_unit(ending, name)):
                return unit
    if quantity == "density" and len(units_in(text, field)) < 2:
        for word in vocabulary().words_of(text):
            if word in vocabulary().units:
                return vocabulary().units[word]
    return ""


def unit_of(field: str, *texts: str) -> str:
    """The unit that the first of some texts (row of units, heading, group) states for a field, "" if none.

    'bar' is gauge below 'Betriebsüberdruck', and absolute below 'Absolutdruck'.
    """
    unit = next(filter(None, (unit_in(text, field) for text in texts)), "")
    if unit and fields()[field].get("quantity") == "pressure_gauge":
        said = fold(" ".join(texts))
        for pattern, letter in ((_ABSOLUTE, "a"), (_GAUGE, "g")):
            if pattern.search(said) and find_unit(f"{unit}{letter}", "pressure_gauge"):
                return find_unit(f"{unit}{letter}", "pressure_gauge") or unit
    return unit


@lru_cache(maxsize=4096)
def units_in(text: str, field: str) -> tuple[str, ...]:
    """The units that a heading states for a field, where it states several ('SG or kg/m3')."""
    quantity = fields()[field].get("quantity", "")
    if not quantity:
        return ()
    found = (find_unit(word, quantity) for word in _pieces(text) if is_unit(word))
    return tuple(dict.fromkeys(unit for unit in found if unit))


def _pieces(text: str) -> list[str]:
    """The words of a heading, 'barg/°C' as two, 'kg/m3' and 'S/N' as one."""
    out: list[str] = []
    for word in filter(None, _SEPARATORS.split(text)):
        whole = is_unit(word) or re.fullmatch(r"\w/\w", word)
        out += [word] if whole else [part for part in word.split("/") if part]
    return out


@lru_cache(maxsize=8192)
def _variants(text: str) -> tuple[tuple[str, str], ...]:
    """A heading as it stands and with what may be its unit taken off: (what is left, unit text)."""
    text = " ".join(text.replace("_", " ").split())
    out = {text: ""}
    bare = _BRACKETS.sub(" ", text).strip(" ,;:/-")
    inside = " ".join(part[1:-1] for part in _BRACKETS.findall(text))
    if is_unit(inside) or not vocabulary().telling(inside):
        out.setdefault(bare, inside if is_unit(inside) else "")
    for start in list(out):
        head, mark, tail = start.rpartition(",")
        if mark and (is_unit(tail) or not vocabulary().telling(tail)):
            out.setdefault(head.strip(), tail.strip() if is_unit(tail) else "")
        for head, unit in _ends_with_unit(start.split()):
            out.setdefault(head, unit)
    pieces = _pieces(text)
    if sum(map(is_unit, pieces)) > 1:
        names, ideas = vocabulary().names, vocabulary().ideas
        kept = [word for word in pieces if not is_unit(word) or not names.isdisjoint(ideas(word))]
        out.setdefault(" ".join(word for word in kept if word.casefold() not in _OR), "")
    out.pop("", None)
    return tuple(out.items())


def _ends_with_unit(words: list[str]) -> Iterator[tuple[str, str]]:
    """(the words before, the unit) for each unit that a heading may end with; 'min' is none there."""
    for take in range(1, min(4, len(words))):
        unit = " ".join(words[-take:]).strip("()[],;:")
        if is_unit(unit) and unit.lower().strip(".") not in vocabulary().idea_of_end:
            kept = words[:-take]
            while len(kept) > 1 and kept[-1].casefold().strip(".,") in _BEFORE_UNIT:
                kept.pop()
            yield " ".join(kept).rstrip(" ,;:-"), unit


@lru_cache(maxsize=65536)
def promises(text: str) -> bool:
    """Whether a text may be a heading of some field: a quick test, which lets more through than `settle`."""
    words = vocabulary()
    if len(text) > _LONGEST_PROMISE:
        return False
    for variant in {text, _BRACKETS.sub(" ", text)}:
        ideas = frozenset(words.ideas(variant))
        if 0 < len(ideas) <= _MOST_IDEAS and not words.index.keys().isdisjoint(ideas):
            kinds: tuple[Kind, ...] = ("gauges", "floats")
            if any(score >= _PROMISING for kind in kinds for score in words.scores(ideas, kind).values()):
                return True
    return False


def _both(text: str, kind: Kind) -> dict[str, float]:
    """The field of a heading in two languages ('Mittenabstand / C-C mm'), if both name the same."""
    parts = re.split(r"\s+/\s+", text)
    for cut in range(1, min(len(parts), 4)):
        one, other = (_best(" / ".join(half), frozenset(), kind) for half in (parts[:cut], parts[cut:]))
        same = {name: min(score, other[name]) for name, score in one.items() if name in other}
        if max(same.values(), default=0.0) >= ACCEPT:
            return same
    return {}


def _in_float_list(field: str) -> bool:
    """Whether a float list can have such a column; there, 'Mass' needs no 'float' before it."""
    if field.startswith("-"):
        return field[1:] not in load("heading_words")["lists"]["not_in_float_list"]
    return "floats" in fields()[field]["tables"]


def _best(text: str, also: frozenset[str], kind: Kind) -> dict[str, float]:
    """Field -> score of a heading, with the ideas of its group heading added."""
    words = vocabulary()
    best: dict[str, float] = {}
    for variant, unit in _variants(text):
        ideas = frozenset(words.ideas(variant)) | also
        if not ideas:
            continue
        same = [words.known[n] for n in words.by_text.get(squash(variant), ())] if not also else []
        exact = {
            known.field: EXACT - 0.001 * known.rank for known in reversed(same) if known.only in (None, kind)
        }
        for field, score in words.scores(ideas, kind).items():
            if kind == "floats" and not _in_float_list(field):
                continue
            if unit and not field.startswith("-") and not _fits(unit, field):
                continue
            best[field] = max(best.get(field, 0.0), exact.get(field, 0.0), min(score, 0.97))
    return best


@lru_cache(maxsize=16384)
def match(text: str, group: str = "", kind: Kind = "gauges", unit_row: str = "") -> tuple[Match, ...]:
    """Fields that a heading may name, best first. `group` is the heading above it that spans columns;
    `unit_row` the text of a row of units beneath."""
    words = vocabulary()
    if group and not unit_row and is_unit(text.strip(" ()[]")) and not words.telling(text):
        return match(group, "", kind, text)
    own = _both(text, kind) or _best(text, frozenset(), kind)
    best = own
    if group:
        said = words.ideas(_BRACKETS.sub(" ", group))
        above = frozenset(idea for idea in said if words.weight(idea) > _WEAK) or frozenset(said)
        best = _best(text, above, kind)
        telling = any(idea in words.names and words.weight(idea) == 1.0 for idea in above)
        cut = [variant for variant, unit in _variants(text) if unit]
        bare = min(cut, key=len, default=_BRACKETS.sub(" ", text))
        generic = all(idea in words.dependent or idea in words.weak for idea in words.ideas(bare))
        for field, score in own.items():
            best[field] = max(best.get(field, 0.0), score - (0.3 if telling and generic else 0.03))
    known = squash(text) in words.by_text  # 'C/C' is no pair of units
    stated = find_unit(unit_row) if unit_row else None if known else find_unit(text)
    found = []
    for field, score in best.items():
        unit = ""
        if not field.startswith("-") and score >= POSSIBLE:
            unit = unit_of(field, unit_row, text, group)
            quantity = fields()[field].get("quantity")
            if stated and not unit and (quantity is not None or is_unit(unit_row)):
                score *= 0.6  # its unit belongs to something else
        elif field == "-differential_pressure" and stated:
            difference = find_unit(unit_row or text, "pressure_difference")
            if difference != stated:
                score -= 0.2  # barg and bara are no differences
            elif difference in _SMALL:
                score += 0.08
        found.append(Match(field, round(score, 3), unit))
    found.sort(key=lambda entry: (-entry.score, entry.decoy, entry.field))
    return tuple(found)


def settle(matches: tuple[Match, ...]) -> tuple[Match | None, Match | None]:
    """(what a heading is taken for, the runner-up); the first is None if nothing is near or two are."""
    if not matches:
        return None, None
    first = matches[0]
    second = matches[1] if len(matches) > 1 else None
    if first.score < ACCEPT:
        return None, first
    if first.decoy:
        field = next((entry for entry in matches if not entry.decoy), None)
        if field is not None and field.score >= SURE and first.score - field.score < MARGIN:
            return None, field
        return first, field
    if (
        second is not None
        and first.score - second.score < MARGIN
        and (first.score < SURE or second.score >= SURE)
    ):
        return None, first
    return first, second
