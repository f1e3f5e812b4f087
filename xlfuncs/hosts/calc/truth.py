"""Which calls of our functions in the open documents may be given TRUE where Calc hands over the number 1.

Calc hands TRUE to a function of a macro as 1, whether typed or in a cell, and does not say who calls. So the
formulas of the documents are read as texts, which calculates nothing: calls of which an argument may be a
truth are listed with what else is known of their arguments, to be compared with a call that has a 1. What
cannot be told from its text, as which cell INDEX finds, counts as a truth where one is among its cells.

Formulas that were filled down are one to LibreOffice, which tells where the next one differs: so ten
thousand are read in some milliseconds. It runs in LibreOffice's own Python, 3.8 or newer: the standard
library and uno only.
"""

import re
from bisect import bisect_right
from itertools import chain

VALUE, FORMULA = 1, 16  # com.sun.star.sheet.CellFlags
LOGICAL = 1024  # com.sun.star.util.NumberFormat.LOGICAL
MOST = 1000  # cells of a range that are looked at
SHORT = 16  # rows of formulas that are read one by one
TRIES = 8  # formulas of a column that are compared with those below them; then the rest is read one by one
ROUNDS = 20  # of truths passed on from cell to cell
KEPT = 50000  # formulas whose meaning is remembered

CALL = re.compile(r"\bLG_\w+(?=\()", re.IGNORECASE)
_CELL = r"(?:\$?('(?:[^']|'')+'|[^'.$\s:;()]+)\.)?\$?([A-Z]{1,3})(\$?)(\d+)"
RANGE = re.compile(rf"(?<![\w.$']){_CELL}(?::{_CELL})?(?![\w(.])")
NAME = re.compile(r"[^\W\d][\w.]*")
NUMBER = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:E[-+]?\d+)?", re.IGNORECASE)
TEXT = re.compile('"(?:[^"]|"")*"')
HEAD = re.compile(r"([A-Z][A-Z0-9._]*)[(]", re.IGNORECASE)
TRUTHS = re.compile(
    "TRUE|FALSE|AND|OR|NOT|XOR|EXACT|IS(?:NUMBER|BLANK|TEXT|NONTEXT|ERROR|ERR|NA|LOGICAL|REF|FORMULA|EVEN|ODD)"
)
PASS_ON = {
    "IF": slice(1, None),
    "IFERROR": slice(0, None),
    "IFNA": slice(0, None),
    "IFS": slice(1, None, 2),
    "CHOOSE": slice(1, None),
    "SWITCH": slice(1, None),
    "LET": slice(1, None),
}
"""Functions that give one of their arguments -> which may be given."""
LOOK_UP = ("INDEX", "LOOKUP", "VLOOKUP", "HLOOKUP", "XLOOKUP", "COM.MICROSOFT.XLOOKUP")
ANYWHERE = ("OFFSET", "INDIRECT")

# What a text means: a float; True, a truth; cells, as (sheet or None, left, top, right, bottom, whether the
# top row moves when it is filled down, whether the bottom does); Among, one of several; Named; else None


class Among(tuple):
    """Cells and names, one of which gives the value; None for cells that are not known."""


class Named(str):
    """The name of cells or of an expression."""


def calls_with_truths(documents):
    """Calls of which an argument may be a truth, to be asked by `marked`."""
    found = {}
    for document in documents:
        book = _Book(document)
        for name, known in book.candidates():
            kinds = tuple(map(_kind, known))
            numbers = tuple([one for one, kind in zip(known, kinds) if kind == "number"])  # noqa: B905
            alike = found.setdefault(name, {}).setdefault(kinds, {}).setdefault(numbers, [])
            if not alike or "rows" in kinds:
                alike.append(known)
    return found


def _kind(known):
    return "rows" if type(known) is list else "number" if type(known) is float else known


def marked(name, arguments, candidates):
    """The arguments with True in place of 1 where a call that may be this one is given a truth."""
    for kinds, table in candidates.get(name, {}).items():
        if len(kinds) == len(arguments):
            numbers = tuple([one for one, kind in zip(arguments, kinds) if kind == "number"])  # noqa: B905
            for known in table.get(numbers, ()):
                if all(map(_may_be, arguments, known)):
                    return tuple(map(_mark, arguments, known))
    return arguments


def _may_be(given, known):
    if type(known) is list:
        return type(given) is tuple and len(given) == len(known) and len(given[0]) == len(known[0])
    if known is None:
        return True
    return type(given) is not tuple and given == known  # True is 1


def _mark(given, known):
    if type(known) is list:
        return tuple([tuple(map(_mark, *rows)) for rows in zip(given, known)])  # noqa: B905
    return True if known is True and given == 1 else given


# --- what a formula says ------------------------------------------------------------------------------


def calls(formula):
    """Each call of one of our functions in a formula, with the texts of its arguments."""
    bare = _without_texts(formula)
    for call in CALL.finditer(bare):
        yield call[0].upper(), [formula[a:b].strip() for a, b in parts(bare, call.end() + 1)]


def _without_texts(formula):
    return TEXT.sub(lambda text: '"' + "_" * (len(text[0]) - 2) + '"', formula)


def parts(text, start):
    """Where the arguments from `start` to the closing parenthesis stand."""
    depth, begin = 0, start
    for at in range(start, len(text)):
        letter = text[at]
        if letter in "({":
            depth += 1
        elif letter in ")}" and depth:
            depth -= 1
        elif letter == ")" or (letter == ";" and not depth):
            yield begin, at
            begin = at + 1
            if letter == ")":
                return


def meaning(expression):
    """What an expression may be, by how it is written."""
    expression = expression.strip().lstrip("+")
    if NUMBER.fullmatch(expression):
        return float(expression)
    bare = _without_texts(expression)
    if bare.startswith("(") and list(parts(bare, 1))[-1:] == [(1, len(bare) - 1)]:
        return meaning(expression[1:-1])
    whole = RANGE.fullmatch(bare)
    if whole:
        return _range(whole)
    if NAME.fullmatch(bare):
        return Named(bare)
    if _compares(bare):
        return True
    head = HEAD.match(bare)
    places = list(parts(bare, head.end())) if head else []
    if not places or places[-1][1] != len(bare) - 1:
        return None
    return _of_call(head[1].upper(), [expression[a:b] for a, b in places])


def _compares(bare):
    depth = 0
    for letter in bare:
        depth += (letter in "({") - (letter in ")}")
        if letter in "<>=" and not depth:
            return True
    return False


def _of_call(name, arguments):
    if TRUTHS.fullmatch(name):
        return True
    if name in ANYWHERE:
        return Among([None])
    if name not in LOOK_UP and name not in PASS_ON:
        return None
    found = [meaning(text) for text in arguments[PASS_ON.get(name, slice(None))]]
    if name in PASS_ON and any(one is True for one in found):
        return True
    cells = [one if type(one) is Among else [one] for one in found if _is_cells(one)]
    return Among(chain.from_iterable(cells)) if cells else None


def _is_cells(means):
    return type(means) in (tuple, Named, Among)


def _range(found):
    sheet, left, fixed, top, _, right, end_fixed, bottom = found.groups()
    if right is None:
        right, end_fixed, bottom = left, fixed, top
    sheet = sheet.strip("'").replace("''", "'") if sheet else None
    return sheet, _column(left), int(top) - 1, _column(right), int(bottom) - 1, not fixed, not end_fixed


def _column(letters):
    number = 0
    for letter in letters.upper():
        number = number * 26 + ord(letter) - 64
    return number - 1


_known: dict = {}
"""Formula -> what it means, the same in every document."""


def _understood(formula):
    """Our calls in a formula, each with the meanings of its arguments, and what the formula means."""
    if formula not in _known:
        if len(_known) >= KEPT:
            _known.clear()
        bare = formula[2:-1] if formula.startswith("{=") else formula[1:]
        ours = [(name, list(map(meaning, texts))) for name, texts in calls(bare)]
        _known[formula] = ours, meaning(bare)
    return _known[formula]


# --- where the formulas of a document stand -----------------------------------------------------------


def _runs(sheet):
    """Formulas of a sheet that are alike but for their row: (column, first row, last row, the first)."""
    for part in sheet.queryContentCells(FORMULA).getRangeAddresses():
        if part.EndRow - part.StartRow < SHORT:
            yield from _singly(sheet, part.StartColumn, part.StartRow, part.EndColumn, part.EndRow)
        else:
            for column in range(part.StartColumn, part.EndColumn + 1):
                yield from _filled_down(sheet, column, part.StartRow, part.EndRow)


def _filled_down(sheet, column, top, bottom):
    for _ in range(TRIES):
        area = sheet.getCellRangeByPosition(column, top, column, bottom)
        first = area.getCellByPosition(0, 0)
        formula = first.getFormula()
        if formula.startswith("{"):  # part of an array, whose text is that of its first cell
            break
        others = area.queryColumnDifferences(first.getCellAddress()).getRangeAddresses()
        end = min([other.StartRow for other in others], default=bottom + 1) - 1
        yield column, top, end, formula
        top = end + 1
        if top > bottom:
            return
    yield from _singly(sheet, column, top, column, bottom)


def _singly(sheet, left, top, right, bottom):
    area = sheet.getCellRangeByPosition(left, top, right, bottom)
    for row, formulas in enumerate(area.getFormulaArray(), top):
        for column, formula in enumerate(formulas, left):
            if formula.startswith(("=", "{=")):
                yield column, row, row, formula


class _Book:
    """A document, as the texts of its formulas and the formats of its cells."""

    def __init__(self, document):
        self._document = document
        self._formats = document.getNumberFormats()
        self._logical, self._names, self._columns = {}, {}, {}
        self._truths = {}
        """Cells that may hold a truth, as rows from and to: by sheet and column, in order."""
        self._ours, passed_on = [], []
        found = {}
        for sheet in document.Sheets:
            name = sheet.Name
            for column, row in self._typed(sheet):
                found.setdefault((name, column), []).append((row, row))
            for column, top, bottom, formula in _runs(sheet):
                ours, means = _understood(formula)
                if ours:
                    self._ours.append((name, top, bottom, ours))
                if means is True:
                    found.setdefault((name, column), []).append((top, bottom))
                elif _is_cells(means):
                    passed_on.append((name, column, top, bottom, means))
        self._add(found)
        self._pass_on(passed_on)

    def _typed(self, sheet):
        """Cells that are formatted as truths and hold the number 1: TRUE, typed in."""
        for area in sheet.getCellFormatRanges():
            if self._is_logical(area.NumberFormat):
                for part in area.queryContentCells(VALUE).getRangeAddresses():
                    cells = sheet.getCellRangeByPosition(
                        part.StartColumn, part.StartRow, part.EndColumn, part.EndRow
                    )
                    for row, values in enumerate(cells.getDataArray(), part.StartRow):
                        for column, value in enumerate(values, part.StartColumn):
                            if value == 1:
                                yield column, row

    def _is_logical(self, key):
        if key not in self._logical:
            self._logical[key] = bool(self._formats.getByKey(key).Type & LOGICAL)
        return self._logical[key]

    def _pass_on(self, waiting):
        """Cells whose formula gives what another cell holds are truths where that one is."""
        for _ in range(ROUNDS):
            found, rest = {}, []
            for one in waiting if self._truths else ():
                sheet, column, top, bottom, means = one
                rows = self._rows([means], sheet, bottom - top)
                found.setdefault((sheet, column), []).extend([(top + a, top + b) for a, b in rows])
                rest.append(one)
            if not self._add(found):
                return
            waiting = rest
        # a truth that creeps through a long column: the whole of it may be one
        found = {}
        for sheet, column, top, bottom, means in waiting:
            if self._rows([means], sheet, bottom - top):
                found.setdefault((sheet, column), []).append((top, bottom))
        self._add(found)

    def _add(self, found):
        """Note more truths; False where all were known."""
        more = False
        for place, rows in found.items():
            if rows:
                merged = _merged([*self._truths.get(place, ()), *rows])
                more = more or merged != self._truths.get(place)
                self._truths[place] = merged
        return more

    def candidates(self):
        """Our calls of which an argument may be a truth, each with what is known of its arguments."""
        for sheet, top, bottom, ours in self._ours:
            for name, arguments in ours:
                for first, last in self._rows(arguments, sheet, bottom - top):
                    for at in range(first, last + 1):
                        yield name, [self._at(one, sheet, at, bottom - top) for one in arguments]

    def _rows(self, means, sheet, last):
        """Of rows 0 to `last` of alike formulas those in which one of the meanings may be a truth."""
        if any(one is True for one in means):
            return [(0, last)]
        if not self._truths:
            return []
        return _merged([rows for one in means for rows in self._rows_of(one, sheet, last)])

    def _rows_of(self, means, sheet, last):
        if type(means) is Named:
            means = self._named(means, sheet)
        if means is True:
            return [(0, last)]
        if type(means) is Among:
            return [
                rows
                for one in means
                for rows in ([(0, last)] if one is None else self._rows_of(one, sheet, last))
            ]
        return self._meeting(means, sheet, last) if type(means) is tuple else []

    def _meeting(self, area, sheet, last):
        """The rows in which a range that moves with them meets a truth."""
        own, left, top, right, bottom, top_moves, bottom_moves = area
        for (name, column), spans in self._truths.items():
            if name == (own or sheet) and left <= column <= right:
                for a, b in spans:
                    first = a - bottom if bottom_moves else 0 if bottom >= a else last + 1
                    end = b - top if top_moves else last if top <= b else -1
                    if max(first, 0) <= min(end, last):
                        yield max(first, 0), min(end, last)

    def _at(self, means, sheet, at, last):
        """What is known of an argument in one of the rows: True, a number, rows of cells, or None."""
        if means is True or type(means) is float:
            return means
        if type(means) is Named:
            means = self._named(means, sheet)
        if means is True:
            return True
        if type(means) is Among:
            return True if self._rows_at(means, sheet, at) else None
        if type(means) is not tuple:
            return None
        own, left, top, right, bottom, top_moves, bottom_moves = means
        top, bottom = sorted((top + at * top_moves, bottom + at * bottom_moves))
        name = own or sheet
        if (left, top) == (right, bottom):
            if self._holds(name, left, top):
                return True
            return self._number(name, left, top, last - at if top_moves else 0)
        if (right - left + 1) * (bottom - top + 1) > MOST:
            return None
        columns = range(left, right + 1)
        return [[self._holds(name, c, r) or None for c in columns] for r in range(top, bottom + 1)]

    def _rows_at(self, means, sheet, at):
        """Whether one of some cells may be a truth, as seen from one row."""
        return any(first <= at <= end for first, end in self._rows_of(means, sheet, at))

    def _holds(self, sheet, column, row):
        spans = self._truths.get((sheet, column), ())
        at = bisect_right(spans, (row, float("inf"))) - 1
        return at >= 0 and row <= spans[at][1]

    def _number(self, sheet, column, row, more):
        """The number typed into a cell; None for anything else. As many below it are read with it."""
        if (sheet, column, row) not in self._columns:
            cells = self._document.Sheets.getByName(sheet)
            cells = cells.getCellRangeByPosition(column, row, column, row + more)
            for at, (text,) in enumerate(cells.getFormulaArray(), row):
                number = NUMBER.fullmatch(text)
                self._columns[sheet, column, at] = float(text) if number else None
        return self._columns[sheet, column, row]

    def _named(self, name, sheet):
        """What a name stands for: on this sheet, or in the document."""
        key = name, sheet
        if key not in self._names:
            self._names[key] = None
            for names in (self._document.Sheets.getByName(sheet).NamedRanges, self._document.NamedRanges):
                if names.hasByName(name):
                    found = meaning(names.getByName(name).getContent())
                    self._names[key] = self._named(found, sheet) if type(found) is Named else found
                    break
        return self._names[key]


def _merged(spans):
    """Spans of rows in order, those that touch made one."""
    merged = []
    for first, last in sorted(spans):
        if merged and first <= merged[-1][1] + 1:
            merged[-1] = (merged[-1][0], max(last, merged[-1][1]))
        else:
            merged.append((first, last))
    return merged
