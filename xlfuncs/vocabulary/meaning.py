"""What a heading means: its concepts compared with the patterns of `fields.toml`.

A heading lends itself what it leaves out: from the group heading above it, from the title, or from the list
it stands in ('Mass' in a float list is the float's). What it says itself counts before what it is lent. Every
score keeps its reason, so that a person can be told why a column was taken.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from typing import Any, Final, Literal

from xlfuncs.data import load
from xlfuncs.units import find_unit, is_unit, quantities_of
from xlfuncs.vocabulary.words import Slot, Word, fold, slots, tokens, words_of

Kind = Literal["gauges", "floats"]

ACCEPT: Final = 0.84
"""Score from which a heading is taken for a field."""
POSSIBLE: Final = 0.5
"""Score from which a field is worth naming as what a heading could be."""

# How much is left of a score, by what speaks against it. Our own choice; tests/reading holds the effects.
_OWN_EXTRA: Final = 0.55
"""The heading holds a word that makes it another quantity."""
_LENT_EXTRA: Final = 0.8
"""The group heading names another thing."""
_LENT_OTHER: Final = 0.95
_FOREIGN: Final = 0.4
_UNKNOWN: Final = (1.0, 0.94, 0.88, 0.8)
"""By the number of words that are not understood."""
_MISFIT: Final = 0.3
"""The stated unit is none of the quantity."""
_TEXT_WITH_UNIT: Final = 0.6
_ACROSS: Final = 0.96
"""What is left of a heading's score that is half of a term, the other half being its group."""
_WITHOUT_GROUP: Final = 0.96
"""The heading alone, where it is not sure that the group heading to the left is its own."""
_LENT: Final = 0.99
"""A needed word was lent by the group heading."""
_ASSUMED: Final = 0.985
"""A needed word was lent by the kind of list."""
_SYMBOL: Final = 0.985
"""'Distance M': a letter beside words is the symbol of the drawing."""
_WEAK_UNUSED: Final = 0.997
_AT_ANOTHER: Final = 0.75
"""A density at a standard temperature, a viscosity at some: not sure to be the operating one."""
_NEEDS_WEAK: Final = 0.03
"""'Float for gauge S/N': a pattern that needs a word which tells nothing elsewhere was written for it."""
_MORE_WORDS: Final = 0.002
"""A pattern that explains more words of the heading is nearer to it."""

_BRACKETS: Final = re.compile(r"[(\[{<]([^()\[\]{}<>]*(?:\([^()]*\)[^()\[\]{}<>]*)*)[)\]}>]")
_AT: Final = re.compile(
    r"(?:@|\bat\b|\bbei\b|\ba\b|\bà\b)\s*(\d{1,3}(?:[.,]\d+)?)\s*(?:°|º|deg(?:rees?)?\.?)?\s*([CFK])\b(?:\s*/\s*\d{1,3}\s*(?:°|º|deg)?\s*[CF]\b)?",
    re.IGNORECASE,
)
_STANDARD_CELSIUS: Final = (3.9, 25.1)
"""Temperatures at which a standard density is stated: 4, 15, 15.56 and 20 degC, 60 degF."""
_BARE_STANDARD: Final = re.compile(
    r"(?<!\d)(?:15(?:[.,]56?)?|20|4)\s*(?:°|º)\s*C\b|\b60\s*(?:°|º|deg)?\s*F\b|\b15\s?C\b"
)
_GAUGE: Final = re.compile(
    r"uberdruck|pretlak|overtry[ck]|overdruk|nadcisnien|\bизб|\(o\)|"
    r"manometri|\(gauge\)|\bgauge pressure|\b(?:rel|relative?|relativ[ao]|eff|effectiv[ae]|"
    r"effective)\b"
)
_ABSOLUTE: Final = re.compile(r"absolut|\babs\b|\bassolut")
"""Words by which a heading says that its pressure is one above the atmosphere, or above vacuum."""
_AT_TEMPERATURE: Final = re.compile(
    r"(?:@|\b(?:at|bei|à|alla|en|na)\b|\ba(?=\s+T[ª°.]?(?:\s|$)|\s+temp))\s*((?:[^\W\d_]+\.?\s*){0,2}?)(?:\btemp[\w°]*\.?|\bT(?:°|\.)?(?=[\s,;)]|$)|(?<=\w)temp\w*\.?)"
    r"(?:\s*(?:de|d['’]|di|of)?\s*(?=service|op|oper|serv|trab|eserc|work))?",
    re.IGNORECASE,
)
_MACHINE_UNIT: Final = re.compile(
    r"_(kgf?|lb|g|w|mm|m)_((?:cm|m|ft|in)[23]|l|s|min|m)(?:_(g|a|man|gauge|abs|eff|rel)\b)?(?=_|$)",
    re.IGNORECASE,
)
_REFERENCE: Final = re.compile(
    r"(?<=[\s(\[,/])((?:k|M|m|h)?Pa|m?bar|psi|kgf?/cm[2²]|at|lbf?/in[2²])\s*[(\[]\s*"
    r"(g|a|abs|ga|gauge|man|rel|eff|manom|ü)\.?\s*[)\]]",
    re.IGNORECASE,
)
"""'MPa(G)', 'kg/cm² (g)': the reference of a pressure in brackets belongs to its unit."""
_OF_WATER: Final = re.compile(
    r"[(\[]\s*(?:ref\.?\s*)?[^()\[\]]*\bwater\b[^()\[\]]*=\s*1(?:[.,]0+)?\s*[)\]]", re.IGNORECASE
)
"""'SG (water at 60 °F = 1)': what a specific gravity is related to."""
_TO_WATER: Final = re.compile(
    r"\b(?:rel(?:ativ[aeo]?)?|ref(?:erred)?|related|compared|bezogen|bez|rapporte?e?|respecto|riferit[ao]|"
    r"rispetto|tov|t\.o\.v|wzgl(?:edem)?)\b\.?[^()\[\]\d]{0,12}?\b(?:water|wasser|eau|agua|acqua|água|wody?|"
    r"vatten|vann|vand)\b[^()\[\]]{0,14}?(?<![\d.,])(?:1[.,]?000|99\d|62[.,]\d+|8[.,]3\d+)(?:[.,]\d+)?\s*"
    r"(?:kg\s*/\s*m\s*[3³]|lb\s*/\s*[\w ]+)?",
    re.IGNORECASE,
)
"""'rel. to water 1000 kg/m³': it is the water that has the unit."""
_DIGITS: Final = re.compile(r"\d\d")
_WHOLE_SIGNAL: Final = re.compile(r"\b4\s*(?:-|–|to|\.\.+|/|bis|a|à)\s*20\s*[mм][AА](?!\w)", re.IGNORECASE)
_FOUR: Final = re.compile(r"(?<![\d.,-])4(?:[.,]0+)?\s*[mм][AАа](?!\w)", re.IGNORECASE)
_TWENTY: Final = re.compile(r"(?<![\d.,-])20(?:[.,]0+)?\s*[mм][AАа](?!\w)", re.IGNORECASE)
_LEADING_CURRENT: Final = re.compile(r"^\s*[mм][AА](?=\s*@|\s+(?:at|bei|à|alla|en|при)\b)", re.IGNORECASE)
_REMARK_SIGNS: Final = re.compile(r"[=:※]|water|ends$", re.IGNORECASE)
_REMARK: Final = re.compile(
    r"\([^()]*\w{2,}[^()]*:\s+[^()]*\)|\(\s*(?:0|zero|null|nul|zéro|cero|nolla|noll)\s*=[^()]*\)|※.*$"
    r"|\(\s*\d+\s*°?\s*[CF]\s+water\s*\)|,\s*(?:flat|hemispherical|dished)\s+ends$",
    re.IGNORECASE,
)
"""What a heading explains besides its name: '(interface: lower)', '(0 = lower nozzle)'."""
_DEGREES: Final = re.compile(r"(?<=\w)([℃℉])")
"""The sign of a degree right behind a word."""
_TRIM: Final = " \t\n,;:/-–—=."
_OR: Final = re.compile(r"\s+(?:or|oder|ou|o)\s+|\s*/\s*|\s*\|\s*", re.IGNORECASE)
_NO_TRAILING_UNIT: Final = frozenset(
    {
        "min",
        "max",
        "in",
        "at",
        "a",
        "l",
        "h",
        "d",
        "s",
        "t",
        "n",
        "p",
        "m",
        "no",
        "nm",
        "st",
        "pt",
        "ps",
        "gr",
    }
)


@cache
def fields() -> dict[str, dict[str, Any]]:
    """The fields of `fields.toml`."""
    return load("fields")


def quantities_for(quantity: str) -> tuple[str, ...]:
    """The quantities whose units a column may state: a viscosity may be kinematic."""
    return (quantity, "kinematic_viscosity") if quantity == "dynamic_viscosity" else (quantity,)


@dataclass(frozen=True, slots=True)
class _Pattern:
    field: str
    weight: float
    needed: frozenset[str]
    beside: frozenset[str]
    weak: bool
    """It needs a word that tells nothing elsewhere."""
    lends: bool
    """The group heading may say a part of it."""


@cache
def _patterns() -> tuple[_Pattern, ...]:
    out = []
    for field, entry in fields().items():
        for text in entry["means"]:
            found = re.fullmatch(r"(?:([\d.]+): )?([^\[\]]+?)(?: \[([^\]]*)\])?", text)
            assert found is not None, f"fields.toml, {field}: {text}"
            needed, beside = frozenset(found[2].split()), frozenset((found[3] or "").split())
            unknown = (needed | beside) - slots().keys()
            assert not unknown, f"fields.toml, {field}: {unknown}"
            weak = any(slots()[name] == "weak" for name in needed)
            out.append(
                _Pattern(field, float(found[1] or 1.0), needed, beside, weak, not weak or len(needed) > 2)
            )
    return tuple(out)


@cache
def _patterns_of(kind: Kind) -> tuple[_Pattern, ...]:
    return tuple(pattern for pattern in _patterns() if kind in fields()[pattern.field]["tables"])


@dataclass(frozen=True, slots=True)
class Meaning:
    """A field that a heading may name."""

    field: str
    score: float
    unit: str = ""
    """The unit that the heading, its unit row or its group states for this field."""
    misfit: str = ""
    """A stated unit that is none of this field's quantity."""


@dataclass(frozen=True, slots=True)
class Reading:
    """A heading, understood as far as its words go."""

    text: str
    meanings: tuple[Meaning, ...]
    """Best first."""
    foreign: str = ""
    """A thing of which the audit has no use, that the heading names; "" if it names none."""
    is_uom: bool = False
    """The column holds units of measure."""
    unknown: tuple[str, ...] = ()
    """Words that are not understood."""


@dataclass(frozen=True, slots=True)
class _Variant:
    """A heading with what may be its unit taken off."""

    words: tuple[Word, ...]
    unit: str
    """The unit's text."""
    standard: bool = False
    """It states a density at a standard temperature."""
    degrees: bool = False
    """It states a value at some temperature."""


@lru_cache(maxsize=16384)
def read_heading(
    text: str, group: str = "", kind: Kind = "gauges", unit_row: str = "", sure: bool = True
) -> Reading:
    """What a heading may mean. `group`: the headings above it that span columns, `sure` where they certainly
    do; `unit_row`: the text of a row of units beneath."""
    says_all = text.strip() in _switch_letters()  # but for its unit
    variants, lent = _variants(text), () if says_all else _lent(group)
    if kind == "floats":
        variants = tuple(replace(one, words=_of_floats(one.words)) for one in variants)
        lent = _of_floats(lent)
    stated = unit_row.strip(" ()[]") or (_variants(group)[0].unit if group else "")
    best: dict[str, Meaning] = {}
    for variant in variants:
        for found in _scores(variant, lent, kind, sure, stated):
            best[found.field] = max(found, best.get(found.field, found), key=lambda one: one.score)
    if not sure and group:
        for variant in variants:
            for found in _scores(variant, (), kind, True, stated):
                if found.score * _WITHOUT_GROUP > best.get(found.field, Meaning(found.field, 0.0)).score:
                    best[found.field] = Meaning(found.field, found.score * _WITHOUT_GROUP)
    if sure and group and max((one.score for one in best.values()), default=0.0) < ACCEPT:
        apart = [word for one in (group, text) for part in _variants(one) for word in part.words]
        known = {name for word in apart for name in word.concepts}
        for variant in _variants(f"{group} {text}"):
            if all(word.concepts <= known for word in variant.words):
                continue  # no term of which one word stands in the group, as 'Code' under 'Design'
            for found in _scores(variant, (), kind, True, stated):
                if found.score * _ACROSS > best.get(found.field, Meaning(found.field, ACCEPT)).score:
                    best[found.field] = replace(found, score=found.score * _ACROSS)
    meanings = [_with_unit(found, text, group, unit_row, variants, sure) for found in best.values()]
    meanings.sort(key=lambda one: (-one.score, one.field))
    words = max((variant.words for variant in variants), key=len, default=())
    return Reading(
        text,
        tuple(one for one in meanings if one.score >= POSSIBLE / 2),
        _foreign(variants),
        _is_uom(words),
        tuple(word.text for word in words if not word.concepts),
    )


@cache
def _switch_letters() -> frozenset[str]:
    """Letters of switches and alarms by ISA-5.1, without a number."""
    return frozenset(text for every in load("instruments")["letters"]["switch"].values() for text in every)


@lru_cache(maxsize=4096)
def said_by(text: str) -> tuple[str, ...]:
    """The quantities of a gauge of which a heading holds all words, whatever else it says and is read as;
    of those that share a word the ones that need most."""
    said = _variants(text)[0]
    names = frozenset(name for word in said.words for name in word.concepts)
    unit = next((one.unit for one in _variants(text) if one.unit), "")
    most: dict[str, int] = {}
    for pattern in _patterns_of("gauges"):
        if pattern.needed <= names and pattern.weight >= ACCEPT and _quantity_fits(pattern.field, unit):
            most[pattern.field] = max(most.get(pattern.field, 0), len(pattern.needed))
    longest = max(most.values(), default=0)
    if longest == 1 and not unit:  # 'Scale colour'
        return ()
    return tuple(field for field, count in most.items() if count == longest)


def _quantity_fits(field: str, unit: str) -> bool:
    return fields()[field]["kind"] == "quantity" and (not unit or _could_be(unit, field))


def named_field(text: str, kind: Kind, among: Collection[str]) -> str | None:
    """The field that a heading of a range names best, of those the range may hold; None if none surely.

    `kind` "floats": 'Mass' is the float's without saying so.
    """
    for said in (
        text,
        _BRACKETED.sub(" ", text),
    ):  # a unit of something else is told as such, not passed over
        found = [one for one in read_heading(said, kind=kind).meanings if one.field in among]
        best = max(found, key=lambda one: one.score, default=None)
        if best and best.score >= ACCEPT:
            return best.field
    return None


_BRACKETED: Final = re.compile(r"[(\[{][^()\[\]{}]*[)\]}]")


def _is_uom(words: Sequence[Word]) -> bool:
    told = [word for word in words if not word.concepts <= {"filler", "number"}]
    return bool(told) and all("uom" in word.concepts for word in told)


def _foreign(variants: Sequence[_Variant]) -> str:
    for variant in variants[:1]:
        for word in variant.words:
            strange = [name for name in word.concepts if slots()[name] == "foreign"]
            if strange and len(strange) == len(word.concepts):
                return sorted(strange)[0]
        if any("vessel" in word.concepts for word in variant.words):
            return "vessel"
    return ""


@lru_cache(maxsize=4096)
def _lent(group: str) -> tuple[Word, ...]:
    if not group:
        return ()
    bare = _BRACKETS.sub(" ", group).strip(_TRIM)
    return max(_variants(bare or group), key=lambda one: sum(bool(word.concepts) for word in one.words)).words


@lru_cache(maxsize=32768)
def _variants(text: str) -> tuple[_Variant, ...]:
    """A heading as it stands and with what may be its unit taken off; the likeliest first."""
    text = _REMARK.sub(" ", _OF_WATER.sub(" ", text)) if _REMARK_SIGNS.search(text) else text
    text = _TO_WATER.sub(" SG ", text) if _DIGITS.search(text) else text
    text = _REFERENCE.sub(r"\1\2", _in_machine_names(_DEGREES.sub(r" \1", text)))
    text, standard, degrees = _condition(
        _ends_of_signal(_at_temperature(" ".join(text.replace("_", " ").split())))
    )
    out: dict[tuple[str, str], None] = {}
    inside = [part for part in _BRACKETS.findall(text) if is_unit(part.strip()) or _all_units(part)]
    if inside:
        bare = text
        for part in inside:
            bare = re.sub(r"[(\[{<]\s*" + re.escape(part) + r"\s*[)\]}>]", " ", bare)
        out[bare.strip(_TRIM), inside[0].strip()] = None
    if is_unit(text.strip(" ()[].")) and not _is_a_word(text):
        out["", text.strip(" ()[].")] = None
    for start in [bare for bare, _ in out if bare] or [text]:
        for head, unit in _ends_with_unit(start):
            out.setdefault((head, unit), None)
    out.setdefault((text, ""), None)
    made = [
        _Variant(_of_cables(_of_phases(words_of(bare)), unit), unit, standard, degrees)
        for bare, unit in out
        if bare or unit
    ]
    made += [replace(one, words=one.words[:-1]) for one in made if _repeats_act(one.words)]
    made += [
        replace(one, words=one.words[:end]) for one in made if (end := _datum(one.words)) < len(one.words)
    ]
    return tuple(made) or (_Variant((), "", standard, degrees),)


def _of_phases(words: tuple[Word, ...]) -> tuple[Word, ...]:
    """'Phase' beside 'upper' is a liquid; else it is a state of matter, or electrical."""
    if not any(word.text in _PHASES for word in words) or not any(w.concepts & _LAYERS for w in words):
        return words
    return tuple(replace(w, concepts=frozenset({"fluid"})) if w.text in _PHASES else w for w in words)


_PHASES: Final = frozenset(
    {"phase", "fase", "fasen", "faza", "fazy", "faze", "fazis", "fasi", "фаза", "фазы", "фази"}
)
_LAYERS: Final = frozenset({"upper", "lower"})


def _of_cables(words: tuple[Word, ...], unit: str) -> tuple[Word, ...]:
    """A cable of so many watts for each metre is one that heats."""
    if not any("electrical" in word.concepts for word in words):
        return words
    power = "power_per_length" in quantities_of(find_unit(unit) or "") if unit else False
    if not power:
        return words
    return tuple(
        replace(w, concepts=frozenset({"tracing"})) if "electrical" in w.concepts else w for w in words
    )


def _repeats_act(words: Sequence[Word]) -> bool:
    """Whether a heading ends in the letter of what it has said: 'low alarm L'."""
    if len(words) < 2 or words[-1].text not in ("l", "h"):
        return False
    said = {name for word in words[:-1] for name in word.concepts}
    return bool(said & ({"low"} if words[-1].text == "l" else {"high"}))


def _of_floats(words: tuple[Word, ...]) -> tuple[Word, ...]:
    """The words of a float list, where a body is no chamber's, and 'up to' says a limit, not where a range
    ends. Its mean density is none of the fields."""
    words = tuple(replace(w, concepts=w.concepts | {"limit"}) if "stop" in w.concepts else w for w in words)
    if not any(word.text in _BODIES for word in words) or any("density" in w.concepts for w in words):
        return words
    return tuple(replace(w, concepts=frozenset({"float"})) if w.text in _BODIES else w for w in words)


_BODIES: Final = frozenset(
    {"body", "korper", "corps", "cuerpo", "corpo", "lichaam", "korpus", "telo", "kropp"}
)


def _datum(words: tuple[Word, ...]) -> int:
    """Where 'above the lower connection' begins at the end of a heading: from there levels are counted, so
    that it names no field. The number of words where nothing such stands there."""
    for at in range(max(1, len(words) - _DATUM_WORDS), len(words) - 1):
        if words[at].text in _ABOVE:
            said = {name for word in words[at + 1 :] for name in word.concepts}
            if "connection" in said and said & {"lower", "from_bottom"}:
                return at
    return len(words)


_DATUM_WORDS: Final = 6
_ABOVE: Final = frozenset({
    "above", "over", "from", "ab", "uber", "von", "dessus", "au dessus", "depuis", "sobre", "desde", "encima",
    "sopra", "da", "dal", "acima", "de", "boven", "vanaf", "van", "ponad", "nad", "od", "ovenfor", "ovanfor",
    "fran", "fra", "peste", "выше", "над", "от",
})  # fmt: skip
"""Words that lead from a level to where it is counted from."""


def _in_machine_names(text: str) -> str:
    """'PRESS_KGF_CM2_MAN', 'DENS_KG_M3': units without their strokes, as fields of a data base have them."""
    return (
        _MACHINE_UNIT.sub(lambda found: f" {found[1]}/{found[2]} {found[3] or ''} ", text)
        if "_" in text
        else text
    )


def _at_temperature(text: str) -> str:
    """'Density at storage temp.' without the temperature, at which it is stated."""
    return _AT_TEMPERATURE.sub(lambda found: f" {found[1] or ''} ", text)


_END_IN_PER_CENT: Final = re.compile(
    r"(?<![\d.,])(?<!\d[-–])(?<!\d [-–] )(?<!\d to )(100|0)\s?(?:%|pct|percent)"
)


def _ends_of_signal(text: str) -> str:
    """'Level at 4 mA' and 'Range 0 %' name the lower range value; milliamperes or per cent are not the
    column's unit. 'mA at normal level' names a current.
    """
    text = _LEADING_CURRENT.sub("current (mA) ", text)
    text = _WHOLE_SIGNAL.sub(" current range ", text)
    ends = _END_IN_PER_CENT.findall(text)
    if len(ends) == 1:
        text = _END_IN_PER_CENT.sub(" urv " if ends[0] == "100" else " lrv ", text)
    return _TWENTY.sub(" urv ", _FOUR.sub(" lrv ", text))


def _is_filler(text: str) -> bool:
    return text.isalpha() and any("filler" in word.concepts for word in words_of(text))


def _is_a_word(text: str) -> bool:
    """Whether a text that could be a unit is a word of a heading as well ('C/C', 'PS')."""
    return len(text) <= 3 and any(word.concepts and "weak" not in _kinds(word) for word in words_of(text))


def _all_units(text: str) -> bool:
    parts = [part.strip() for part in _OR.split(text) if part.strip()]
    return bool(parts) and all(map(is_unit, parts))


def _condition(text: str) -> tuple[str, bool, bool]:
    """(heading without '@ 15 °C', whether that is a standard temperature, whether it states one at all)."""
    found = _AT.search(text)
    if found is not None:
        degrees = float(found[1].replace(",", "."))
        celsius = (degrees - 32) / 1.8 if found[2].upper() == "F" else degrees
        rest = f"{text[: found.start()]} {text[found.end() :]}".replace("( )", " ").replace("()", " ")
        return (
            " ".join(rest.split()).strip(" ,;"),
            _STANDARD_CELSIUS[0] < celsius < _STANDARD_CELSIUS[1],
            True,
        )
    found = _BARE_STANDARD.search(text)
    if found is not None and re.search(
        r"(?i)dens|dicht|\bsg\b|grav|masse vol|rho|peso|massa|api", fold(text)
    ):
        return f"{text[: found.start()]} {text[found.end() :]}", True, True
    return text, False, False


def _ends_with_unit(text: str) -> Iterator[tuple[str, str]]:
    """(the words before, the unit) for each unit that a heading may end with."""
    quotient = re.fullmatch(r"(.*\S)\s*/\s*[(\[]?([^/()\[\]]+(?:/[^/()\[\]]+)?)[)\]]?", text)
    if quotient and _is_quotient(quotient[1], quotient[2].strip(), text):
        yield quotient[1].strip(_TRIM), quotient[2].strip()  # 'p/bar': a quantity over its unit, ISO 80000-1
    head, mark, tail = text.rpartition(",")
    if mark and is_unit(tail.strip()):
        yield head.strip(_TRIM), tail.strip()
    words = text.split()
    for take in range(1, min(4, len(words))):
        unit = " ".join(words[-take:]).strip("()[],;:")
        if is_unit(unit) and unit.casefold().strip(".") not in _NO_TRAILING_UNIT:
            kept = words[:-take]
            while len(kept) > 1 and kept[-1].casefold().strip(".,:") in ("in", "en", "em", "-", "/", "", "@"):
                kept.pop()
            yield " ".join(kept).strip(_TRIM), unit
    for place, word in enumerate(words[1:-1], 1):
        if "/" in word and is_unit(word) and not any(one.concepts for one in words_of(word)[:1]):
            yield " ".join([*words[:place], *words[place + 1 :]]), word
    if (
        len(words) > 1
        and is_unit(words[0])
        and len(words[0]) > 2
        and words[0].casefold().strip(".") not in ("min", "max")
    ):
        yield " ".join(words[1:]), words[0]


def _is_quotient(name: str, unit: str, text: str) -> bool:
    """Whether 'name/unit' is a quantity over its unit, and not 'C/C' or 'S/N'."""
    plain = len(unit) > 1 or (unit in ("m", "g", "K") and len(name.strip()) > 1)
    return plain and is_unit(unit) and not is_unit(text) and not is_unit(name.strip())


def _scores(
    variant: _Variant, lent: tuple[Word, ...], kind: Kind, sure: bool, unit: str = ""
) -> Iterator[Meaning]:
    own = _ends_in_words(_both_ends(_without_joints(variant.words)), lent)
    if not own and not lent:
        return
    slot = slots()
    taken = _spoken(own)
    usable = [word for word in lent if _adds(word, own, taken)]
    if not any(word.concepts & _OF_UNITS for word in (*own, *usable)):
        usable += _of_unit(variant.unit or unit)
    unknown = sum(not word.concepts for word in own)
    sureness = 1.0
    for word in own:
        sureness *= word.sure
    own_concepts = frozenset(name for word in own for name in word.concepts)
    lent_concepts = frozenset(name for word in usable for name in word.concepts)
    if variant.standard:
        own_concepts |= {"standard"}
    assumed = frozenset({"float"}) if kind == "floats" else frozenset()
    if kind == "floats" and _of_another(own):
        assumed = frozenset()
    spoken = own_concepts | lent_concepts | assumed
    for pattern in _patterns_of(kind):
        if pattern.needed.isdisjoint(spoken):
            continue
        missing = pattern.needed - own_concepts
        from_group = missing & lent_concepts if pattern.lends else frozenset()
        missing -= from_group
        from_kind = missing & assumed
        missing -= from_kind
        if missing:
            if own_concepts & pattern.needed and len(missing) == 1 and len(pattern.needed) > 1:
                yield Meaning(pattern.field, 0.5 * pattern.weight)
            continue
        allowed = pattern.needed | pattern.beside
        if own and not _contributes(own, pattern, allowed, bool(from_kind)):
            continue
        score = pattern.weight * sureness * _UNKNOWN[min(unknown, 3)]
        score *= _extras(own, allowed, _OWN_EXTRA, slot)
        score *= _lent_extras(usable, allowed, pattern.needed, slot, sure)
        if variant.standard or (variant.degrees and "viscosity" in pattern.needed):
            score *= _AT_ANOTHER
        score *= _LENT ** bool(from_group) * _ASSUMED ** bool(from_kind)
        if variant.unit and not _could_be(variant.unit, pattern.field):
            score *= _OWN_EXTRA  # what was cut off as a unit is none of this field
        explained = sum(bool(word.concepts & allowed) for word in own)
        score += _MORE_WORDS * min(explained, 4)
        yield Meaning(pattern.field, score + _NEEDS_WEAK * pattern.weak)


def _kinds(word: Word) -> set[Slot]:
    return {slots()[name] for name in word.concepts}


@lru_cache(maxsize=1024)
def _of_unit(unit: str) -> tuple[Word, ...]:
    """The quantity that a unit leaves no doubt of: 'Max. psig' is a pressure."""
    found = quantities_of(find_unit(unit) or "") if unit else frozenset()
    names = {_OF_QUANTITY[name] for name in found if name in _OF_QUANTITY}
    return (Word(unit, frozenset(names)),) if len(names) == 1 else ()


_OF_QUANTITY: Final = {
    "pressure_gauge": "pressure",
    "pressure_absolute": "pressure",
    "temperature": "temperature",
    "density": "density",
    "mass": "mass",
    "dynamic_viscosity": "viscosity",
    "kinematic_viscosity": "viscosity",
    "power_per_length": "output",
}


_OF_UNITS: Final = frozenset(_OF_QUANTITY.values()) | {"length", "height", "diameter", "distance", "range"}
"""Quantities that a heading names: it is lent none by its unit."""


@lru_cache(maxsize=8192)
def _could_be(unit: str, field: str) -> bool:
    """Whether a text is a unit of a field; of a field of words any text may be."""
    entry = fields()[field]
    if entry["kind"] != "quantity" or ("%" in unit and entry.get("percent")):
        return True
    return any(find_unit(unit, name) for name in quantities_for(entry["quantity"]))


def _both_ends(words: tuple[Word, ...]) -> tuple[Word, ...]:
    """The words without a pair of bounds: 'Density min/max' is the density, 'LRV/URV' the range."""
    names = {name for word in words for name in word.concepts}
    if {"minimum", "maximum"} <= names:
        return tuple(word for word in words if not word.concepts & {"minimum", "maximum"})
    if {"lrv", "urv"} <= names:
        rest = [word for word in words if not word.concepts & {"lrv", "urv"}]
        return (*rest, Word("range", frozenset({"range"})), Word("transmitter", frozenset({"transmitter"})))
    return words


def _without_joints(words: tuple[Word, ...]) -> tuple[Word, ...]:
    """The words without the 'de' of 'plage de lecture', which alone says where a range starts."""
    return tuple(
        word
        for place, word in enumerate(words)
        if not (0 < place < len(words) - 1 and len(word.text) <= 2 and word.concepts & {"start", "stop"})
    )


def _contributes(own: tuple[Word, ...], pattern: _Pattern, allowed: frozenset[str], assumed: bool) -> bool:
    """Whether the heading itself says something of the field, and is not only lent all of it."""
    if any(word.concepts & pattern.needed for word in own):
        return True
    return any(word.concepts & allowed and "weak" not in _kinds(word) for word in own) or (
        not assumed and all("weak" in _kinds(word) and _kinds(word) <= {"weak", "foreign"} for word in own)
    )


def _ends_in_words(own: tuple[Word, ...], lent: tuple[Word, ...]) -> tuple[Word, ...]:
    """'Temp. high' is the highest temperature; of a level, high and low are switches."""
    if not any(word.concepts & _WITH_ENDS for word in (*own, *lent)):
        return own
    ends = {"low": "minimum", "high": "maximum"}
    return tuple(
        replace(word, concepts=word.concepts | {ends[name] for name in word.concepts if name in ends})
        for word in own
    )


_WITH_ENDS: Final = frozenset({"pressure", "temperature", "density", "viscosity"})


def _of_another(own: tuple[Word, ...]) -> bool:
    """Whether a heading names a thing of its own, so that the list's does not count."""
    slot = slots()
    return any(
        word.concepts
        and all(
            slot[name] == "subject" and name not in ("float", "magnet", "fluid") for name in word.concepts
        )
        for word in own
    )


def _spoken(own: tuple[Word, ...]) -> set[Slot]:
    """The kinds of word that a heading has itself, beyond doubt."""
    slot = slots()
    kinds = [{slot[name] for name in word.concepts} for word in own if word.concepts]
    return {next(iter(one)) for one in kinds if len(one) == 1} - {"weak"}


def _adds(word: Word, own: tuple[Word, ...], taken: set[Slot]) -> bool:
    """Whether a word of the group heading adds to a heading: something that it leaves open itself."""
    slot = slots()
    kinds = {slot[name] for name in word.concepts}
    if not kinds or kinds == {"weak"}:
        return False
    if "tag" in word.concepts:  # a part of a tag: 'Tag' over 'Area'
        return not any("tag" in other.concepts for other in own)
    if kinds & {"quantity"} and "quantity" in taken:
        return kinds - {"quantity"} > taken
    if kinds & {"qualifier"}:
        mine = {name for other in own for name in other.concepts if slot[name] == "qualifier"}
        return not (mine & _CONDITIONS) or not (word.concepts & _CONDITIONS)
    return not (kinds <= taken)


_CONDITIONS: Final = frozenset(
    {
        "operating",
        "design",
        "test",
        "standard",
        "cold",
        "maintain",
        "pour",
        "freezing",
        "calibrated",
        "visible",
    }
)
"""Qualifiers of which a heading has one: its own counts before that of its group."""


_SMALL: Final = ("mbar", "mmH2O", "inH2O", "cmH2O", "hPa")
"""Units in which a differential pressure is written and a design pressure is not."""
_ENDS: Final = frozenset({"single_letter_h", "single_letter_l"})
_POINTS: Final = frozenset({"setpoint", "switch", "alarm"})
"""What 'H' and 'L' tell apart."""
_OTHER_STATES: Final = frozenset({"test", "standard", "cold", "collapse"})


def _extras(own: tuple[Word, ...], allowed: frozenset[str], cost: float, slot: Any) -> float:
    left = 1.0
    for word in own:
        if not word.concepts or word.concepts & allowed:
            continue
        kinds = {slot[name] for name in word.concepts}
        if word.concepts & _ENDS and allowed & _POINTS:
            left *= cost
        elif "weak" in kinds:
            left *= _WEAK_UNUSED
        elif len(word.text) == 1 and len(own) > 1:
            left *= _SYMBOL
        elif kinds == {"foreign"}:
            left *= _FOREIGN
        else:
            left *= cost
    return left


@lru_cache(maxsize=512)
def _subjects_of(needed: frozenset[str]) -> frozenset[str]:
    """The subjects that some field has together with a quantity of a pattern: a float has a density of its
    own, and no freezing point."""
    quantities = {name for name in needed if slots()[name] == "quantity"} or needed
    return frozenset(
        name
        for pattern in _patterns()
        if pattern.needed & quantities
        for name in pattern.needed | pattern.beside
        if slots()[name] == "subject"
    )


_LOOSE_GROUPS: Final = frozenset({"size"})
"""What a group of headings may be called whose columns are of use all the same: 'Dimensions'."""


def _lent_extras(
    lent: Sequence[Word], allowed: frozenset[str], needed: frozenset[str], slot: Any, sure: bool
) -> float:
    left = 1.0
    of_others = _subjects_of(needed)
    for word in lent:
        kinds = {slot[name] for name in word.concepts}
        if word.concepts & allowed or "weak" in kinds:
            continue
        other = kinds & {"foreign"} or (kinds & {"subject"} and not word.concepts.isdisjoint(of_others))
        strong = bool(other or word.concepts & _OTHER_STATES) and sure and not word.concepts & _LOOSE_GROUPS
        left *= _LENT_EXTRA if strong else _LENT_OTHER
    return left


def _with_unit(
    found: Meaning, text: str, group: str, unit_row: str, variants: Sequence[_Variant], sure: bool
) -> Meaning:
    """The unit that is stated for a field, or the misfit of what is stated."""
    entry = fields()[found.field]
    stated = (
        unit_row
        if unit_row and is_unit(unit_row.strip(" ()[]"))
        else next((v.unit for v in variants if v.unit), "")
    )
    if entry["kind"] != "quantity":
        of_class = found.field == "flange_class" and stated.strip(" ()[].").casefold() in _POUNDS
        strange = bool(stated) and "pair" not in entry and not of_class
        worse = strange and found.score >= POSSIBLE and not _is_word(stated)
        return Meaning(found.field, found.score * (_TEXT_WITH_UNIT if worse else 1.0))
    unit = unit_of(found.field, unit_row, text, group)
    if unit:
        small = unit in _SMALL and any("dp" in word.concepts for one in variants for word in one.words)
        return Meaning(found.field, found.score * (_FOREIGN if small else 1.0), unit)
    stated = stated or _strange_unit(text)
    of_group = "" if stated or not sure else _unit_of_group(group)
    if of_group:  # it is stated for all below it: no default takes its place
        percent = entry.get("percent") and "%" in of_group
        return Meaning(found.field, found.score, "%" if percent else "", "" if percent else of_group)
    if stated and not several_units(text, found.field):
        percent = entry.get("percent") and "%" in stated
        return (
            Meaning(found.field, found.score, "%")
            if percent
            else Meaning(found.field, found.score * _MISFIT, "", stated)
        )
    return Meaning(found.field, found.score)


_POUNDS: Final = frozenset({"lb", "lbs", "#"})
"""What stands beside a flange class, and is no unit of it."""


@lru_cache(maxsize=1024)
def _unit_of_group(group: str) -> str:
    """The unit that stands in brackets in the last of the headings above, "" if none does."""
    inside = _BRACKETS.findall(group.rpartition(" / ")[2])
    return next((part.strip() for part in inside if part.strip() == "%" or is_unit(part.strip())), "")


_UNIT_LIKE: Final = re.compile(
    r"[(\[]\s*((?:[A-Za-zµ°%]{1,4}[²³23]?)(?:[/·.][A-Za-zµ°]{1,4}[²³23]?)+)\s*[)\]]"
)


def _strange_unit(text: str) -> str:
    """What stands in brackets like a unit and is none that is known ('m³/h', 'kg/Nm3'), "" if
    nothing does."""
    for found in _UNIT_LIKE.finditer(text):
        if not is_unit(found[1]) and re.search(r"[²³23]", found[1]):
            return found[1]
    return ""


def _is_word(unit: str) -> bool:
    """Whether what looks like a unit is as likely a word of a heading ('N', 'C/C', 'PS')."""
    return (len(unit) <= 2 and unit not in _NO_WORDS) or fold(unit).replace("/", " ").split() == ["c", "c"]


_NO_WORDS: Final = frozenset({"mm", "mA", "cm", "kg", "cP", "°C", "°F"})
"""Short units that stand for nothing else in a heading."""


def unit_of(field: str, *texts: str) -> str:
    """The unit that the first of some texts (row of units, heading, group) states for a field, "" if none.

    'bar' is gauge below 'Betriebsüberdruck', and absolute below 'Absolutdruck'.
    """
    unit = next(filter(None, (unit_in(text, field) for text in texts if text)), "")
    plain = unit and "pressure_difference" in quantities_of(unit)  # it says neither gauge nor absolute
    if plain and fields()[field].get("quantity") == "pressure_gauge":
        said = fold(" ".join(texts))
        for pattern, letter in ((_ABSOLUTE, "a"), (_GAUGE, "g")):
            if pattern.search(said) and find_unit(f"{unit}{letter}", "pressure_gauge"):
                return find_unit(f"{unit}{letter}", "pressure_gauge") or unit
    return unit


@lru_cache(maxsize=16384)
def unit_in(text: str, field: str) -> str:
    """The unit that a heading or a unit cell states for a field, "" if none."""
    quantity = fields()[field].get("quantity")
    if not quantity or len(several_units(text, field)) > 1:
        return ""
    text = _TO_WATER.sub(" SG ", text) if quantity == "density" else text
    text, _, _ = _condition(" ".join(_in_machine_names(text).split()))
    for name in quantities_for(quantity):
        for variant in _variants(text):
            if variant.unit and (unit := find_unit(variant.unit, name)):
                return unit
        if unit := find_unit(text, name):
            return unit
    if quantity == "density" and {"sg", "sp gr"} & {word.text for word in words_of(text)}:
        return "SG"
    return _relative_density(text) if quantity == "density" else ""


_SG: Final = re.compile(
    r"\b(?:s\.?\s?g\.?|sp(?:ec(?:ific)?)?\.?\s*gr(?:av(?:ity)?)?|relative? dens\w*|rel\.? dens\w*|"
    r"relative dichte|gravedad especifica|densidad relativa|densidade relativa|"
    r"densita relativa|gravidade especifica|rd)\b"
)


def _relative_density(text: str) -> str:
    return "SG" if _SG.search(fold(text.replace("_", " "))) else ""


def _one_unit(text: str) -> bool:
    """Whether a text is a unit, and not a choice of several."""
    several = [part for part in re.split(r"\s+(?:or|oder|ou|o)\s+", text) if part.strip()]
    return len(several) == 1 and is_unit(text.strip())


@lru_cache(maxsize=4096)
def several_units(text: str, field: str) -> tuple[str, ...]:
    """The units that a heading states for a field, where it states several ('SG or kg/m3')."""
    quantity = fields()[field].get("quantity", "")
    if not quantity:
        return ()
    inside = [part.strip() for part in _BRACKETS.findall(text) if _one_unit(part)]
    rest = _BRACKETS.sub(lambda part: " " if _one_unit(part[1]) else part[0], text)
    pieces = re.split(r"[\s,;()\[\]|]+|(?<=\D)/(?=\s)|\b(?:or|oder|ou)\b", _REFERENCE.sub(r"\1\2", rest))
    outside = [
        word
        for word in pieces
        if word and is_unit(word) and word.casefold() not in _NO_TRAILING_UNIT and not _is_filler(word)
    ]
    found = (find_unit(word, quantity) for word in (*outside, *inside))
    return tuple(dict.fromkeys(unit for unit in found if unit))


@lru_cache(maxsize=65536)
def promises(text: str) -> bool:
    """Whether a text may be a heading: a quick test, which lets more through than a decision does."""
    if len(text) > 120 or not tokens(text):
        return False
    slot = slots()
    words = _variants(text)[0].words
    if len(words) > 10 or not words:
        return False
    known = [
        word
        for word in words
        if any(slot[name] in ("subject", "quantity", "qualifier") for name in word.concepts)
    ]
    named = sum(bool(word.concepts) for word in words)
    return bool(known) and named >= 0.5 * len(words)


def squash(text: str) -> str:
    """A heading in the form in which two are the same text."""
    return " ".join(tokens(text))


def fits(unit: str, field: str) -> bool:
    """Whether a unit can be the unit of a field."""
    quantity = fields()[field].get("quantity")
    return quantity is not None and not quantities_of(unit).isdisjoint(quantities_for(quantity))
