"""Which calls of our functions in the open documents are given TRUE where Calc hands over the number 1.

Calc hands TRUE to a function of a macro as 1, whether typed or in a cell, and does not say who calls. So the
formulas of the documents are read as texts, which calculates nothing: calls of which an argument is a truth
are listed with what else is known of their arguments, to be compared with a call that has a 1. It runs in
LibreOffice's own Python: the standard library and uno only.
"""

import re

VALUE, FORMULA = 1, 16  # com.sun.star.sheet.CellFlags
LOGICAL = 1024  # com.sun.star.util.NumberFormat.LOGICAL
MOST = 1000  # cells of a range that are looked at
CALL = re.compile(r"\bLG_\w+(?=\()", re.IGNORECASE)
CELL = re.compile(r"(?:\$?(?P<sheet>'(?:[^']|'')+'|[^'.$\s]+)\.)?\$?(?P<c>[A-Z]{1,3})\$?(?P<r>\d+)")
TRUTH = re.compile(
    "(?:TRUE|FALSE|AND|OR|NOT|XOR|EXACT"
    "|IS(?:NUMBER|BLANK|TEXT|NONTEXT|ERROR|ERR|NA|LOGICAL|REF|FORMULA|EVEN|ODD))[(]",
    re.IGNORECASE,
)
MAYBE = re.compile("[<>=]|TRUE[(]|FALSE[(]|AND[(]|OR[(]|NOT[(]|EXACT[(]|IS[A-Z]+[(]", re.IGNORECASE)
PASSED_ON = re.compile('=[^-+*/&^<>=;()"]+')
NUMBER = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:E[-+]?\d+)?", re.IGNORECASE)


def calls_with_truths(documents):
    """Calls of which an argument is a truth, by name: of each argument True, a number, rows, or None."""
    found = {}
    for document in documents:
        book = _Book(document)
        for sheet, formula in book.ours:
            if not book.truths and not MAYBE.search(formula, 2):
                continue
            for name, arguments in calls(formula):
                known = [book.known(argument, sheet) for argument in arguments]
                if any(_has_truth(one) for one in known):
                    found.setdefault(name, []).append([book.number(one) for one in known])
    return found


def marked(arguments, candidates):
    """The arguments with True in place of 1 where a call that may be this one is given a truth."""
    for known in candidates:
        if len(known) == len(arguments) and all(map(_may_be, arguments, known)):
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
        return tuple([tuple(map(_mark, *rows)) for rows in zip(given, known, strict=True)])
    return True if known is True and given == 1 else given


def _has_truth(known):
    return known is True or (type(known) is list and any(True is cell for row in known for cell in row))


def calls(formula):
    """Each call of one of our functions in a formula, with the texts of its arguments."""
    bare = re.sub(r'"(?:[^"]|"")*"', lambda text: '"' + "_" * (len(text[0]) - 2) + '"', formula)
    for call in CALL.finditer(bare):
        yield call[0].upper(), [formula[a:b].strip() for a, b in parts(bare, call.end() + 1)]


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


def is_truth(expression):
    """Whether an expression gives a truth, by how it is written: TRUE(), AND(...), A1>3."""
    first = TRUTH.match(expression)
    if first:
        last = list(parts(expression, first.end()))
        return bool(last) and last[-1][1] == len(expression) - 1
    depth, quoted = 0, False
    for letter in expression:
        if letter == '"':
            quoted = not quoted
        elif not quoted:
            depth += (letter in "({") - (letter in ")}")
            if letter in "<>=" and not depth:
                return True
    return False


class _Book:
    """A document, as the texts of its formulas and the formats of its cells."""

    def __init__(self, document):
        self._document = document
        self._formats = document.getNumberFormats()
        self._logical = {}
        self.truths, self.ours = set(), []
        """Cells that hold a truth, as (sheet, column, row); our formulas, each with the name of its sheet."""
        passed_on = []
        for sheet in document.Sheets:
            self._typed(sheet)
            for place, formula in _formulas(sheet):
                if "LG_" in formula.upper():
                    self.ours.append((sheet.Name, formula))
                elif PASSED_ON.fullmatch(formula):
                    passed_on.append((place, formula))
                elif MAYBE.search(formula, 2 if formula[:1] == "{" else 1) and (
                    is_truth(formula.lstrip("{=").rstrip("}"))
                    or (re.search("TRUE[(]|FALSE[(]", formula) and self._shown_as_truth(*place))
                ):
                    self.truths.add(place)
        for place, formula in passed_on if self.truths else ():
            area = self._area(formula[1:], place[0])
            if area and area[:3] in self.truths:
                self.truths.add(place)

    def _typed(self, sheet):
        """Note the cells that are formatted as truths and hold the number 1: TRUE, typed in."""
        for area in sheet.getCellFormatRanges():
            if self._is_logical(area.NumberFormat):
                for part in area.queryContentCells(VALUE).getRangeAddresses():
                    for row in range(part.StartRow, part.EndRow + 1):
                        for column in range(part.StartColumn, part.EndColumn + 1):
                            if sheet.getCellByPosition(column, row).getValue() == 1:
                                self.truths.add((sheet.Name, column, row))

    def _is_logical(self, key):
        if key not in self._logical:
            self._logical[key] = bool(self._formats.getByKey(key).Type & LOGICAL)
        return self._logical[key]

    def known(self, argument, sheet):
        """What is known of an argument without calculating: a truth, a number, rows of cells, or None."""
        if NUMBER.fullmatch(argument):
            return float(argument)
        area = self._area(argument, sheet)
        if area is None:
            return True if is_truth(argument) else None
        name, left, top, right, bottom = area
        if (left, top) == (right, bottom):
            return self._cell(name, left, top)
        if (right - left + 1) * (bottom - top + 1) > MOST:
            return None
        return [[self._cell(name, c, r) for c in range(left, right + 1)] for r in range(top, bottom + 1)]

    def _area(self, written, sheet):
        """(sheet, left, top, right, bottom) of a reference or a named range; None for anything else."""
        first, _, last = written.partition(":")
        one, other = CELL.fullmatch(first), CELL.fullmatch(last or first)
        if one and other:
            name = one["sheet"].strip("'").replace("''", "'") if one["sheet"] else sheet
            corners = [_column(one["c"]), int(one["r"]) - 1, _column(other["c"]), int(other["r"]) - 1]
            return (name, *corners) if self._document.Sheets.hasByName(name) else None
        if self._document.NamedRanges.hasByName(written):
            cells = self._document.NamedRanges.getByName(written).getReferredCells()
            if cells is not None:
                a = cells.getRangeAddress()
                return cells.Spreadsheet.Name, a.StartColumn, a.StartRow, a.EndColumn, a.EndRow
        return None

    def _cell(self, sheet, column, row):
        """True for a truth; else the place, whose number is looked up where it matters."""
        return True if (sheet, column, row) in self.truths else (sheet, column, row)

    def number(self, known):
        """What is known of an argument, with the numbers of its cells in their places."""
        if type(known) is list:
            return [[True if cell is True else None for cell in row] for row in known]
        if type(known) is not tuple:
            return known
        text = self._document.Sheets.getByName(known[0]).getCellByPosition(*known[1:]).getFormula()
        return float(text) if NUMBER.fullmatch(text) else None

    def _shown_as_truth(self, sheet, column, row):
        return self._is_logical(
            self._document.Sheets.getByName(sheet).getCellByPosition(column, row).NumberFormat
        )


def _formulas(sheet):
    """Each formula of a sheet, with its place."""
    name = sheet.Name
    for part in sheet.queryContentCells(FORMULA).getRangeAddresses():
        area = sheet.getCellRangeByPosition(part.StartColumn, part.StartRow, part.EndColumn, part.EndRow)
        for row, formulas in enumerate(area.getFormulaArray(), part.StartRow):
            for column, formula in enumerate(formulas, part.StartColumn):
                yield (name, column, row), formula


def _column(letters):
    number = 0
    for letter in letters.upper():
        number = number * 26 + ord(letter) - 64
    return number - 1
