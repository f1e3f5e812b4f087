"""What a cell says of a material: its family, whether it is ferromagnetic, its groups in flange standards.

One reader for chambers, flanges and floats. Designations are compared as whole names, alone or in a phrase
('Carbon steel A106 Gr.B', 'PTFE lined CS', '316L, electropolished'); never by likeness. What is not
understood, or leaves the metal open ('steel'), has a doubt and no properties.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import astuple, dataclass, replace
from functools import cache, lru_cache
from typing import Any

from xlfuncs.data import kept, load

UNKNOWN = "unknown"
"""Doubt: a designation or a word that is in no table."""
OPEN = "open"
"""Doubt: the words leave the metal open, as 'steel' and 'stainless steel' do."""
SEVERAL = "several"
"""Doubt: materials that differ are named."""
BORDERLINE = "borderline"
"""Doubt: composition and temperature decide whether it is ferromagnetic."""

SYSTEMS = {"asme": "b16_5", "pn": "en_1092", "jis": "jis_b2220"}
"""System of flange ratings -> the key of its material groups in the table of alloys."""


@dataclass(frozen=True, slots=True)
class Material:
    """What is known of a material. `doubt` says why it is not known, "" where it is."""

    family: str = ""
    """Block of the families in the table of alloys."""
    ferromagnetic: bool | None = None
    alloy: str = ""
    """Block of the table of alloys; "" where only the family is known."""
    groups: Mapping[str, str] | None = None
    """Material groups of the grade by `SYSTEMS`."""
    listed: bool = True
    """Whether ASME B16.5 lists this specification and form; else its group is that of the same grade."""
    highest: float | None = None
    """Temperature [degC] above which ASME B16.5 does not permit the grade; None where its table ends it."""
    lined: bool = False
    doubt: str = ""

    def group(self, system: str) -> str | None:
        """Material group of the grade in a system of flange ratings; None where it has none."""
        return (self.groups or {}).get(system)

    @property
    def label(self) -> str:
        """The family in words."""
        return str(load("alloys")["family"][self.family]["label"]) if self.family else ""


@lru_cache(maxsize=4096)
def read(text: str) -> Material:
    """The material that a cell names.

    >>> read("Carbon steel A106 Gr.B").ferromagnetic, read("1.4404").ferromagnetic
    (True, False)
    >>> read("PTFE lined CS").label, read("PTFE lined CS").ferromagnetic
    ('carbon steel', True)
    >>> read("steel").doubt, read("CS / 316L").doubt, read("316X").doubt
    ('open', 'several', 'unknown')
    """
    return _combined(list(_pieces(normal(text))))


# --- one form for comparing -------------------------------------------------------------------------

LOOKALIKE = str.maketrans("АВЕКМНОРСТУХІ", "ABEKMHOPCTYXI")
_SOUND = dict(zip("АБВГДЕЗИКЛМНОПРСТУФЦЭЯ", "ABVGDEZIKLMNOPRSTUFCEA", strict=True)) | {
    "Ч": "CH",
    "Ш": "SH",
    "Ю": "YU",
}
_CHROMIUM = ("KH", "CH", "X", "H")
"""How the Cyrillic letter of chromium is written in Latin."""
_CJK = "぀-ヿ㐀-鿿가-힯"
_TOKEN = re.compile(r"\d[.,]\d{4}(?!\d)|\d+|[^\W\d_]+|#")
_VOICED = "゙゚"
"""Marks that tell Japanese letters apart; the others are accents."""

Tokens = list[re.Match[str]]


def normal(text: str) -> str:
    """Upper case without accents; Cyrillic letters that look Latin are Latin, dashes and quotes are one."""
    plain = unicodedata.normalize("NFKD", str(text))
    plain = "".join(letter for letter in plain if not unicodedata.combining(letter) or letter in _VOICED)
    plain = unicodedata.normalize("NFKC", plain).upper().translate(LOOKALIKE)
    plain = re.sub(r"[‐-―−]", "-", plain).replace("''", '"').replace("⁄", "/")
    plain = re.sub(r"[“”″]", '"', plain)
    return re.sub(r"\bS(?=[AB][ -]?\d{2,4}(?!\d))", "", plain)  # ASME's SA-105 is ASTM's A105


@cache
def _token_in_any_script() -> re.Pattern[str]:
    """Chinese, Japanese and Korean signs one by one: long to compile, seldom met."""
    return re.compile(rf"\d[.,]\d{{4}}(?!\d)|\d+|[{_CJK}]|[^\W\d_{_CJK}]+|#")


def _tokens(plain: str) -> Tokens:
    pattern = _TOKEN if plain.isascii() else _token_in_any_script()
    return list(pattern.finditer(plain))


def _key(tokens: Iterable[re.Match[str]]) -> str:
    return "".join(token[0].replace(",", ".") for token in tokens)


def _key_of(name: str) -> str:
    return _key(_tokens(normal(name)))


def _latin(name: str) -> Iterator[str]:
    """A GOST grade in Latin letters, as it sounds."""
    letters = unicodedata.normalize("NFC", name).upper()
    for chromium in _CHROMIUM if "Х" in letters else ("",):
        yield "".join(chromium if letter == "Х" else _SOUND.get(letter, letter) for letter in letters)


# --- tables -----------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Piece:
    """Something understood in a text."""

    kind: str
    """metal, liner (what is no metal), open, lining, denial, beside, or unknown."""
    family: str = ""
    alloy: str = ""
    families: tuple[str, ...] = ()
    """Families that an open word leaves."""
    spec: str = ""
    group: str = ""
    """Group of ASME B16.5 by specification and grade."""
    own: bool = True
    """Whether the designation is of a system whose grades ASME B16.5 lists."""
    grouped: bool = True
    """Whether the material groups of the alloy hold for this designation."""
    general: bool = False
    """Whether it names a kind of metal, such as 'duplex', rather than a grade."""


Found = tuple[_Piece, int]
"""A piece and the number of tokens it takes."""

_LISTING = ("trade", "aisi", "astm", "uns")
"""Systems of designation in which ASME B16.5 states its grades, and what the trade calls them."""
_BESIDE = ("en", "jis", "gb")
"""Systems whose grades ISO 15510 sets beside those."""


def _kind(family: str) -> str:
    return str(load("alloys")["family"][family]["kind"])


@cache
def _known(key: str) -> _Piece | None:
    """What a name is, by its key."""
    found = _prepared()[0].get(key)
    return None if found is None else _Piece(*found)


@cache
def _longest() -> int:
    """Most tokens that a known name has."""
    return _prepared()[1]


@cache
def _prepared() -> tuple[dict[str, tuple[Any, ...]], int]:
    """What both are made of."""

    def make() -> tuple[dict[str, tuple[Any, ...]], int]:
        return {key: astuple(piece) for key, piece in _read_names().items()}, _read_longest()

    return kept("material_names", ["alloys", "material_words"], __file__, make)


def _read_names() -> dict[str, _Piece]:
    found: dict[str, _Piece] = {}
    words = load("material_words")
    for kind in ("beside", "denial", "lining"):
        found |= {_key_of(word): _Piece(kind) for word in words[kind]["words"]}
    for block in words["open"].values():
        found |= dict.fromkeys(
            map(_key_of, block["words"]), _Piece("open", families=tuple(block["families"]))
        )
    for alloy, block in load("alloys")["alloy"].items():
        lists = {system: names for system, names in block.items() if isinstance(names, list)}
        for system in sorted(lists, key=_order):
            found |= dict(_named_by(system, lists[system], alloy, block))
    return found


def _order(system: str) -> int:
    """Where two systems share a name, what is said of it in the more definite one holds."""
    return _LISTING.index(system) if system in _LISTING else -1


def _named_by(
    system: str, names: list[str], alloy: str, block: Mapping[str, Any]
) -> Iterator[tuple[str, _Piece]]:
    """Keys of an alloy's names in one system of designation."""
    family = block["family"]
    own = system in _LISTING
    grade = _Piece(_kind(family), family, alloy, own=own, grouped=own or system in _BESIDE)
    word = replace(grade, general=not block.keys() & SYSTEMS.values())
    latin = [spelling for name in names for spelling in _latin(name)] if system == "gost" else []
    for name in (*names, *latin):
        plain = system == "trade" or not any(letter.isdigit() for letter in name)
        yield _key_of(name), word if plain else grade


def _read_longest() -> int:
    blocks = [*load("alloys")["alloy"].values(), *load("material_words")["open"].values()]
    lists = [names for block in blocks for names in block.values() if isinstance(names, list)]
    return max(len(_tokens(normal(name))) for names in lists for name in names)


@cache
def _rules() -> list[tuple[re.Pattern[str], re.Pattern[str] | None, str]]:
    """Designations that follow a rule: (form, exceptions, family)."""
    return [
        (re.compile(item["text"]), re.compile(item["except"]) if "except" in item else None, item["family"])
        for item in load("material_words")["pattern"]
    ]


@cache
def _beside() -> re.Pattern[str]:
    forms = load("material_words")["beside"]["patterns"]
    return re.compile("|".join(f"(?:{form})" for form in forms))


# --- reading ----------------------------------------------------------------------------------------

_SPEC = re.compile(r"(?:ASTM ?|ASME ?)?([AB]) ?-? ?(\d{2,4})(?![\d.])M?(?![A-Z]{4})")
_GRADE_WORDS = frozenset(("GR", "GRADE", "TYPE", "TP", "G", "GRD"))
_CLASS_WORDS = frozenset(("CL", "CLASS"))
_LETTERS = _GRADE_WORDS | _CLASS_WORDS | frozenset("ABCDEN")
"""What may touch the number of a specification: A106B, A105N."""


def _pieces(plain: str) -> Iterator[_Piece]:
    """The text from left to right, the longest known name at each place."""
    tokens = _tokens(plain)
    at = 0
    while at < len(tokens):
        piece, number = _at(plain, tokens, at)
        yield piece
        at += number


def _at(plain: str, tokens: Tokens, at: int) -> Found:
    """What starts at a token."""
    readers = (_named, _specified, _ruled, _aside)
    found = [option for reader in readers if (option := reader(plain, tokens, at)) is not None]
    if found:
        return max(found, key=lambda option: option[1])
    word = tokens[at][0]
    long_number = word.isdigit() and len(word) > 2
    strange = word != "#" and (long_number or _glued(tokens, at) or _hyphened(plain, tokens, at))
    return _Piece("unknown" if strange else "beside"), 1


def _touching(tokens: Tokens, at: int) -> bool:
    """Whether a token follows the one before it without a break."""
    return (
        0 < at < len(tokens)
        and tokens[at].start() == tokens[at - 1].end()
        and "#" not in (tokens[at][0], tokens[at - 1][0])
    )


def _glued(tokens: Tokens, at: int) -> bool:
    """Whether a token touches the one before or after it."""
    return _touching(tokens, at) or _touching(tokens, at + 1)


def _hyphened(plain: str, tokens: Tokens, at: int) -> bool:
    """Whether an unknown word is one with a short one by a hyphen: 'Ni-something' is not nickel."""
    pairs = [(first, first + 1) for first in (at - 1, at) if 0 <= first < len(tokens) - 1]
    others = [
        second if first == at else first
        for first, second in pairs
        if plain[tokens[first].end() : tokens[second].start()] == "-"
    ]
    short = [other for other in others if len(tokens[other][0]) <= 3 and not _glued(tokens, other)]
    return len(tokens[at][0]) > 1 and any(tokens[other][0].isalpha() for other in short)


def _apart(plain: str, tokens: Tokens, at: int) -> bool:
    """Whether a token is parted from the one before it by what no name reaches across."""
    before, after = tokens[at - 1].end(), tokens[at].start()
    gap = plain[before:after]
    decimal = gap == "," and plain[before - 1].isdigit() and plain[after].isdigit()
    return not decimal and any(sign in gap for sign in ",;&+()\n")


def _named(plain: str, tokens: Tokens, at: int) -> Found | None:
    """The longest name of the tables that starts here."""
    last = at + 1
    while last < min(at + _longest(), len(tokens)) and not _apart(plain, tokens, last):
        last += 1
    for end in range(last, at, -1):
        piece = _known(_key(tokens[at:end]))
        if piece is None or (piece.kind == "beside" and _part_of_grade(tokens, at, end)):
            continue
        number_follows = end < len(tokens) and tokens[end][0][0].isdigit()
        if piece.kind == "denial" and tokens[at][0] == "NO" and number_follows:
            piece = _Piece("beside")  # 'No. 1.4404'
        if not _touching(tokens, end) or _named(plain, tokens, end) or _ruled(plain, tokens, end):
            return piece, end - at
    return None


def _part_of_grade(tokens: Tokens, at: int, end: int) -> bool:
    """Whether this is a single letter that touches a number: 316B is not 316."""
    return end == at + 1 and len(tokens[at][0]) == 1 and _glued(tokens, at)


def _whole(tokens: Tokens, at: int, end: int) -> int:
    """Number of tokens up to a place in the text; 0 where none ends there, or one goes on without a break."""
    for number, token in enumerate(tokens[at:], 1):
        if token.end() == end:
            return 0 if _touching(tokens, at + number) else number
    return 0


def _ruled(plain: str, tokens: Tokens, at: int) -> Found | None:
    """The longest designation here that follows a rule of its standard."""
    best: Found | None = None
    for form, exceptions, family in _rules():
        match = form.match(plain, tokens[at].start())
        if match is None or (exceptions and exceptions.fullmatch(match[0])):
            continue
        number = _whole(tokens, at, match.start() + len(match[0].rstrip()))
        if number and (best is None or number > best[1]):
            best = _Piece(_kind(family), family, own=False), number
    return best


def _aside(plain: str, tokens: Tokens, at: int) -> Found | None:
    """A standard, a size, a class: what may stand beside a material."""
    match = _beside().match(plain, tokens[at].start())
    number = sum(token.end() <= match.end() for token in tokens[at:]) if match else 0
    return (_Piece("beside"), number) if number else None


def _specified(plain: str, tokens: Tokens, at: int) -> Found | None:
    """A specification of ASTM with its grade."""
    match = _SPEC.match(plain, tokens[at].start())
    name = f"{match[1]}{match[2]}" if match else ""
    spec = load("material_words")["spec"].get(name)
    if match is None or spec is None:
        return None
    number = sum(token.end() <= match.end() for token in tokens[at:])
    grade, more = _grade(plain, tokens, at + number, spec)
    family = spec.get("grades", {}).get(grade, spec.get("family", ""))
    group = spec.get("groups", {}).get(grade, "")
    family = family or (spec["grade_family"] if group else "")
    return _Piece(_kind(family) if family else "beside", family, spec=name, group=group), number + more


def _grade(plain: str, tokens: Tokens, at: int, spec: Mapping[str, Any]) -> tuple[str, int]:
    """The grade after a specification, and how many tokens it takes."""
    known = spec.get("groups", {}).keys() | spec.get("grades", {}).keys()
    for number in range(min(6, len(tokens) - at), 0, -1):
        if not _whole(tokens, at, tokens[at + number - 1].end()):
            continue
        words = ["CL" if token[0] in _CLASS_WORDS else token[0] for token in tokens[at : at + number]]
        grade = "".join(word for word in words if word not in _GRADE_WORDS)
        for name in (grade, grade.removesuffix("N")):  # N: normalised
            if name in known:
                return name, number
    if at >= len(tokens) or _apart(plain, tokens, at):
        return "", 0
    if _touching(tokens, at) and tokens[at][0].isalpha() and tokens[at][0] not in _LETTERS:
        return "", 0
    after = end = at + (tokens[at][0] in _GRADE_WORDS | _CLASS_WORDS)
    while end < len(tokens) and (end == after or _touching(tokens, end)):
        end += 1
    grade = _key(tokens[after:end])
    longest = 6 if spec.get("family") and any(letter.isdigit() for letter in grade) else 2
    named = _named(plain, tokens, after) if grade else None
    if 0 < len(grade) <= longest and "#" not in grade and (named is None or named[0].kind == "beside"):
        return grade, end - at
    return "", 0


# --- what the pieces say together --------------------------------------------------------------------

_BASES = ("carbon_steel", "low_alloy", "cast_iron")
"""Metals that are lined or clad with others."""
_COATS = ("lead", "nickel")
"""Metals with which others are plated."""


def _combined(pieces: list[_Piece]) -> Material:
    kinds = {piece.kind for piece in pieces}
    if kinds & {"unknown", "denial"}:
        return Material(doubt=UNKNOWN)
    metals = [piece for piece in pieces if piece.kind == "metal"]
    liners = [piece for piece in pieces if piece.kind == "liner"]
    vague = [piece for piece in pieces if piece.kind == "open"]
    if "lining" in kinds or (liners and (metals or vague)):
        return _lined(metals, liners, vague)
    if metals or liners:
        return _together(metals or liners, vague, lined=False)
    return Material(doubt=OPEN if vague else UNKNOWN)


def _lined(metals: list[_Piece], liners: list[_Piece], vague: list[_Piece]) -> Material:
    """A metal with a lining, a cladding or a coating: the base metal is the material."""
    bases = [piece for piece in metals if piece.family in _BASES]
    others = [piece for piece in metals if liners or piece.family not in _COATS]
    if bases:
        return _together(bases, [], lined=True)
    if others and (liners or not vague):
        return _together(others, vague, lined=True)
    if not others and vague and all("carbon_steel" in piece.families for piece in vague):
        return _of_family("carbon_steel", lined=True)  # 'steel, rubber lined'
    return Material(doubt=SEVERAL if others else OPEN, lined=True)


def _of_family(family: str, lined: bool) -> Material:
    magnetic = load("alloys")["family"][family].get("ferromagnetic")
    return Material(family, magnetic, lined=lined, doubt="" if magnetic is not None else BORDERLINE)


def _together(named: list[_Piece], vague: list[_Piece], lined: bool) -> Material:
    """Definite names that have to agree, with open words that have to fit them."""
    families = list(dict.fromkeys(piece.family for piece in named))
    said = [_of_family(family, lined) for family in families]
    unfit = any(piece.families and not set(families) <= set(piece.families) for piece in vague)
    if unfit or len({material.ferromagnetic for material in said}) > 1:
        return Material(doubt=SEVERAL, lined=lined)
    grades = [piece for piece in named if (piece.alloy or piece.group) and not piece.general] or named
    alloys = {piece.alloy for piece in grades}
    groups = [_groups(piece) for piece in grades]
    shared = {
        system: group for system, group in groups[0].items() if all(g.get(system) == group for g in groups)
    }
    specs = [load("material_words")["spec"][piece.spec] for piece in named if piece.spec]
    listed = any(piece.own for piece in grades) and all("flange" in s or "groups" in s for s in specs)
    blocks = [load("alloys")["alloy"].get(alloy, {}) for alloy in alloys]
    limits = [block["b16_5_highest"] for block in blocks if "b16_5_highest" in block]
    return replace(
        said[0],
        alloy=alloys.pop() if len(alloys) == 1 else "",
        groups=shared,
        listed=listed,
        highest=min(limits, default=None),
    )


def _groups(piece: _Piece) -> dict[str, str]:
    """Material groups of a name by system."""
    block = load("alloys")["alloy"].get(piece.alloy, {}) if piece.grouped else {}
    found = {system: block[key] for system, key in SYSTEMS.items() if key in block}
    return found | ({"asme": piece.group} if piece.group else {})
