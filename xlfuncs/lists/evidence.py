"""What the cells of a column say about which field it is: shapes, words, units and magnitudes."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from xlfuncs.data import load
from xlfuncs.data.words import means
from xlfuncs.gauge import design_codes
from xlfuncs.gauge.fluids import resolve
from xlfuncs.gauge.ratings import magnet_limit
from xlfuncs.lists import tags
from xlfuncs.lists.columns import is_placeholder
from xlfuncs.units import UnitError, converter, find_unit, is_unit
from xlfuncs.vocabulary.meaning import fields, quantities_for

SAMPLED: Final = 120
"""Cells that are looked at in a long column."""
COMPARED: Final = 60
"""Rows in which columns are compared with each other."""
_FEW: Final = 0.3
_MOST: Final = 0.6
_SOME: Final = 0.4
AGAINST: Final = 0.45
"""What is left of a heading's score where its cells are of another kind."""
DOUBTED: Final = 0.8
"""Where its numbers lie where the quantity seldom lies."""
FOR: Final = 1.06
"""Where its cells are just what the field holds."""

_MATERIAL: Final = re.compile(
    r"(?i)(?<![\w.])(?:ss|s\.s\.|cs|c\.s\.|lcs|lts|as|aisi|inox|edelstahl|steel|stahl|acier|acero|acciaio|aco|aço|titan\w*|ptfe|pvdf|pvc|pp|"
    r"duplex|sdss|superduplex|alloy|monel|nickel|grp|frp|brass|bronze|alumini\w*|3(?:04|16|21|47)(?:l|h|ti)?|1\.[0-9]{4}|"
    r"a\s?-?(?:10[5-6]|182|312|333|350|403|351|358|240|276|479|53|516)\b.*|s[123]\d{4}|n\d{5}|p2[0-9]5\w*|st\s?\d{2}\S*|"
    r"sus\s?\d{3}\w*|q\d{3}\w*|x\d?cr\w*|tp\s?3\d\d\w*|f\s?3\d\d\w*|wcb|cf8m?|cf3m?|ti(?:\.|\s)?gr\S*|z\d\s?cn\w*|\d\dх\d\d\S*|ст\.?\s?\d+)(?![\w])"
)
_CLASS: Final = re.compile(
    r"(?i)(?:\b(?:cl(?:ass|asse|ase)?|kl|ansi|asme|pn|jis|b16\.5)\.?\s?[:#]?\s?\d{1,4}\b|\b\d{2,4}\s?(?:#|lbs?\b)|#\s?\d{3,4}|\b\d{1,2}k\b)"
)
_CLASSES: Final = frozenset(
    {6, 10, 16, 20, 25, 40, 50, 63, 64, 100, 150, 160, 300, 400, 600, 900, 1500, 2500}
)
_SIZE: Final = re.compile(
    r"(?:DN|NB|NPS|NW)\s*\d{1,4}(?:\s*\d/\d)?\"?|"
    r"(?:\d{1,3}[ -])?\d{1,3}(?:/\d{1,2})?\s*(?:\"|''|in\.?|inch(?:es)?|mm)",
    re.IGNORECASE,
)
_PART: Final = re.compile(r"(?=.*\d)(?=.*[A-Za-z])[A-Za-z0-9][\w./\-+]{2,30}")
_RANGE: Final = re.compile(
    r"[+-]?\d[\d.,]*\s*(?:mm|cm|m|in|%|\")?\s*(?:-|–|—|to|bis|\.\.+|/|…|÷|a|à)\s*[+-]?\d", re.IGNORECASE
)


@dataclass
class Profile:
    """The cells of a column, as far as they tell what it is."""

    numbers: NDArray[np.float64]
    texts: list[str]
    """What is neither a number nor blank nor a placeholder."""
    cells: Sequence[Any] = ()
    """The cells as they follow each other, to compare them with those of other columns."""
    _shares: dict[str, float] = field(default_factory=dict)

    @property
    def filled(self) -> int:
        return len(self.numbers) + len(self.texts)

    def share(self, name: str, test: Callable[[str], bool]) -> float:
        """Share of the cells whose text passes a test; numbers count as they are written."""
        if name not in self._shares:
            passed = sum(count for text, count in self._written.items() if test(text))
            self._shares[name] = passed / self.filled if self.filled else 0.0
        return self._shares[name]

    @cached_property
    def _written(self) -> Counter[str]:
        """The cells as they are written, and how many there are of each."""
        return Counter((*self.texts, *(f"{number:g}" for number in self.numbers.tolist())))

    @cached_property
    def in_rows(self) -> NDArray[np.float64]:
        """The first cells as numbers, row by row; NaN where there is none."""
        return np.array([_number_of(value) for value in self.cells[:COMPARED]], dtype=np.float64)

    @property
    def numeric(self) -> float:
        """Share of numbers, and of texts that begin with one or end in a unit."""
        if not self.filled:
            return 0.0
        like = sum(_like_quantity(text) for text in self.texts)
        return (len(self.numbers) + like) / self.filled

    @property
    def units(self) -> float:
        """Share of cells that are the name of a unit."""
        return sum(is_unit(text.strip(" ()[].")) for text in self.texts) / self.filled if self.filled else 0.0


def profile(cells: Sequence[Any]) -> Profile:
    """The profile of some cells."""
    numbers: list[float] = []
    texts: list[str] = []
    for value in cells:
        if isinstance(value, bool):
            texts.append(str(value))
        elif isinstance(value, (int, float)):
            numbers.append(float(value))
        elif isinstance(value, str):
            text = " / ".join(" ".join(line.split()) for line in value.splitlines() if line.strip())
            if text and not is_placeholder(text, True):
                number = _plain_number(text)
                if number is None:
                    texts.append(text)
                else:
                    numbers.append(number)
        elif value is not None:
            texts.append(str(value))
        if len(numbers) + len(texts) >= SAMPLED:
            break
    return Profile(np.array(numbers, dtype=np.float64), texts, cells)


_GROUPED: Final = re.compile(r"[+-]?\d{1,3}(?:[ \u00a0\u202f]\d{3})+|[+-]?\d+(?:[.,]\d+)?")


def _number_of(value: Any) -> float:
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        return float(value)
    if isinstance(value, str) and _GROUPED.fullmatch(value.strip()):
        return float(re.sub(r"[ \u00a0\u202f]", "", value.strip()).replace(",", "."))
    return float("nan")


@lru_cache(maxsize=16384)
def _plain_number(text: str) -> float | None:
    if re.fullmatch(r"(?!0)\d{1,3}(?:[.,]\d{3})+", text):
        return None  # 1.2 or 1200
    if re.fullmatch(r"[+\-−]?\d+(?:[.,]\d+)?", text):
        return float(text.replace(",", ".").replace("−", "-"))
    return None


@lru_cache(maxsize=16384)
def _like_quantity(text: str) -> bool:
    return bool(
        re.match(r"[<>≤≥~±+\-−]?\s*(?:(?:max|min|ca|approx|abt)\.?\s*)?[\d٠-٩０-９]", text, re.IGNORECASE)
    ) or text in ("FV", "ATM", "AMB")


def weigh(field_name: str, unit: str, found: Profile) -> float:
    """What the cells leave of a heading's score for a field: 1 where they say nothing."""
    entry = fields()[field_name]
    if found.filled < 2 and not (found.filled and field_name in ("tag", "tag_number")):
        return FOR if field_name == "flange_class" and found.share("rating", _states_rating) else 1.0
    if entry["kind"] == "quantity":
        return _quantity(field_name, entry, unit, found)
    return _text(field_name, found)


def _quantity(field_name: str, entry: dict[str, Any], unit: str, found: Profile) -> float:
    if "split" in entry:
        ranges = found.share("range", lambda text: _RANGE.search(text) is not None)
        return FOR if ranges > _MOST else AGAINST if found.numeric < _FEW else 1.0
    if found.numeric < _FEW:
        return AGAINST
    if field_name == "visible_range" or not len(found.numbers):
        pass
    elif found.share("range", lambda text: _RANGE.search(text) is not None) > _MOST and field_name in (
        "lrv",
        "urv",
    ):
        return AGAINST
    usual = load("typical")["range"].get(field_name)
    if usual is None or not len(found.numbers):
        return 1.0
    if unit == "%":
        return 1.0 if np.mean((found.numbers >= -10) & (found.numbers <= 130)) > _MOST else DOUBTED
    inside = [_inside(found.numbers, one, entry["quantity"], usual) for one in _units(entry, unit)]
    share = float(np.mean(np.any(inside, axis=0))) if inside else 1.0
    return 1.0 if share >= _MOST else DOUBTED if share > 0.2 else DOUBTED * 0.9


def _units(entry: dict[str, Any], unit: str) -> tuple[str, ...]:
    """The units in which the numbers may be: the stated one, else the usual ones."""
    if unit:
        return (unit,)
    usual = {
        "density": ("kg/m3", "SG"),
        "length": ("mm", "in", "m"),
        "pressure_gauge": ("barg", "psig", "MPag", "kPag"),
        "temperature": ("degC", "degF"),
        "mass": ("g", "kg", "lb"),
        "dynamic_viscosity": ("mPa.s",),
    }
    return usual.get(entry["quantity"], (entry["unit"],) if "unit" in entry else ())


def _inside(
    numbers: NDArray[np.float64], unit: str, quantity: str, usual: Sequence[float]
) -> NDArray[np.bool_]:
    """Which numbers, in a unit, lie where the quantity usually lies."""
    ends = _ends_in(unit, quantity, usual[0], usual[1])
    if ends is None:
        return np.ones(len(numbers), dtype=np.bool_)
    return np.asarray((numbers >= ends[0]) & (numbers <= ends[1]))


@lru_cache(maxsize=1024)
def _ends_in(unit: str, quantity: str, low: float, high: float) -> tuple[float, float] | None:
    """Where a quantity usually lies, in a unit; None for one that is none of it, or of a kinematic viscosity.

    A scale that has no number for an end (degrees of a hydrometer) is open there.
    """
    for kind in quantities_for(quantity):
        try:
            found = converter(unit, kind, assume=True)
        except UnitError:
            continue
        if kind == "kinematic_viscosity":
            return None
        ends = [float(found.from_si(end)) for end in (low, high)]
        if found.to_si(1.0) > found.to_si(2.0):  # less for more, as degrees API
            ends.reverse()
        lowest, highest = (none if math.isnan(end) else end for end, none in zip(ends, _OPEN, strict=True))
        return lowest, highest
    return None


_OPEN: Final = (-math.inf, math.inf)


def _text(field_name: str, found: Profile) -> float:
    if field_name in _NAMES and counts_rows(found):
        return AGAINST
    if "pair" in fields()[field_name]:
        return FOR if found.share("pair", _is_pair) >= _SOME else AGAINST
    other = {"tag": is_digits, "service": is_letters}.get(field_name)
    if other is not None and found.share(other.__name__, other) > 0.7:
        return AGAINST
    if field_name == "service" and _names_kinds(found):
        return AGAINST
    test = _SHAPES.get(field_name)
    numeric = len(found.numbers) / found.filled
    if test is not None:
        share = found.share(test.__name__, test)
        if share <= _FEW and field_name.endswith("_material") and numeric > _MOST:
            return AGAINST
        if share <= _FEW and field_name == "flange_class" and found.share("size", is_size) > _MOST:
            return AGAINST
        return FOR if share > 0.75 else 1.0 if share > _FEW else _LACKING.get(field_name, 0.9)
    if field_name in _WORDS and numeric > _MOST:
        return AGAINST
    if field_name == "tracing" and numeric > _MOST and found.numbers.max() > 1:
        return AGAINST  # 1 and 0 may be yes and no
    return 1.0


_NAMES: Final = ("serial", "tag", "float_serial", "float_part")


def _names_kinds(found: Profile) -> bool:
    """Whether the cells are kinds of instrument or of service, the same over and over, and no services."""
    few = len(set(found.texts)) <= max(3, len(found.texts) // 4)
    return few and (found.share("is_type", is_type) > _MOST or found.share("says_kind", says_kind) > 0.9)


def says_kind(text: str) -> bool:
    """Whether a text says 'level' or 'interface' and little else."""
    return len(text) < 24 and (means(text, "interface") or means(text, "level"))


def counts_rows(found: Profile) -> bool:
    """Whether the cells number the rows: 1, 2, 3 ... or 10, 20, 30."""
    numbers = found.numbers
    if len(numbers) < 3 or found.texts or numbers[0] > 10:
        return False
    steps = np.diff(numbers)
    return bool(steps[0] > 0 and (steps == steps[0]).all())


def is_material(text: str) -> bool:
    """Whether a text is like the name of a material."""
    return _MATERIAL.search(text) is not None


def is_class(text: str) -> bool:
    """Whether a text is like a flange class."""
    if _CLASS.search(text):
        return True
    number = _plain_number(text)
    return number is not None and number in _CLASSES


def _states_rating(text: str) -> bool:
    """Whether a text says by its own words that it is a flange's rating ('DN25 PN16', '300#')."""
    return _CLASS.search(text) is not None


def is_size(text: str) -> bool:
    """Whether a text is the size of a pipe."""
    return _SIZE.fullmatch(text.strip()) is not None


def is_range(text: str) -> bool:
    """Whether a text is a range, 'low to high'."""
    return _RANGE.search(text) is not None


def is_part(text: str) -> bool:
    """Whether a text is like a part number."""
    return _PART.fullmatch(text) is not None


@lru_cache(maxsize=4096)
def is_fluid(text: str) -> bool:
    """Whether a text is the name of a fluid that the tables hold."""
    return len(text) < 60 and resolve(text) is not None


def is_digits(text: str) -> bool:
    """Whether a text is a loop number."""
    return re.fullmatch(r"\d{1,6}[A-Za-z]?", text) is not None


def is_letters(text: str) -> bool:
    """Whether a text is a group of function letters."""
    return re.fullmatch(r"[A-Z]{1,5}", text) is not None


def _is_pair(text: str) -> bool:
    return re.search(r"\d[^/@]*(?:[/@|;]|\bat\b)\s*[+-]?\d", text) is not None


def is_tclass(text: str) -> bool:
    """Whether a text names a temperature class."""
    return re.search(r"\bT\s?[1-6]\b", text) is not None


def is_level_tag(text: str) -> bool:
    """Whether a text is the tag of a level instrument."""
    letters = tags.letters_of(text)
    return tags.is_tag(text) and (letters[:1] == "L" or tags.is_gauge(letters))


def is_type(text: str) -> bool:
    """Whether a text says what kind of instrument it is."""
    return not text[:1].isdigit() and not tags.is_tag(text) and tags.type_of(text) != ""


def says_action(text: str) -> bool:
    """Whether a text says which way a transmitter acts."""
    return means(text, "direct") or means(text, "reverse")


def says_ends(text: str) -> bool:
    """Whether a text names the shape of a float's ends."""
    return len(text) < 30 and any(means(text, shape) for shape in ("flat", "hemispherical", "elliptical"))


def is_written_class(text: str) -> bool:
    """Whether a text is a flange class and no bare number."""
    return _CLASS.search(text) is not None and len(text) < 30


def is_magnet(text: str) -> bool:
    """Whether a text is the name of a magnet material."""
    return bool(np.isfinite(magnet_limit(text)))


def is_design_code(text: str) -> bool:
    """Whether a text names a code of design."""
    return bool(design_codes.read(text))


def is_arrangement(text: str) -> bool:
    """Whether a text says where the process connections are."""
    return means(text, "side_connected") or means(text, "end_connected")


def is_loop_tag(text: str) -> bool:
    """Whether a text is the tag of a transmitter."""
    return tags.is_transmitter(tags.letters_of(text))


_SHAPES: Final[dict[str, Callable[[str], bool]]] = {
    "tag": is_level_tag,
    "tag_number": is_digits,
    "tag_letters": is_letters,
    "chamber_material": is_material,
    "float_material": is_material,
    "flange_material": is_material,
    "flange_class": is_class,
    "temperature_class": is_tclass,
    "transmitter_tag": is_loop_tag,
    "instrument_type": is_type,
    "magnet_material": is_magnet,
}
_LACKING: Final = {
    "tag": 0.92,
    "tag_number": AGAINST,
    "tag_letters": AGAINST,
    "flange_class": 0.88,
    "transmitter_tag": AGAINST,
    "temperature_class": 0.6,
    "instrument_type": 0.97,
    "magnet_material": 1.0,
    "chamber_material": 0.93,
    "float_material": 0.93,
}
"""What is left where hardly any cell has the shape."""
_WORDS: Final = (
    "service",
    "fluid",
    "upper_fluid",
    "instrument_type",
    "service_type",
    "remarks",
    "float_ends",
    "magnet_material",
    "float_service",
    "connection_arrangement",
    "action",
)
"""Fields whose cells are words, not numbers."""


def units_in_cells(found: Profile) -> str:
    """The unit that most cells carry after their number, "" if they carry none."""
    count: dict[str, int] = {}
    for text in found.texts[:60]:
        tail = re.sub(r"^[^A-Za-z°%\"µ]*", "", text)
        unit = find_unit(tail) if tail and len(tail) < 16 else None
        if unit:
            count[unit] = count.get(unit, 0) + 1
    best = max(count, key=lambda name: count[name], default="")
    return best if best and count[best] > 0.5 * found.filled else ""
