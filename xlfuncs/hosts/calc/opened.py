"""A document in Calc whose formulas call our functions by way of an add-in, as Excel stores them: they get
their plain names. It runs in LibreOffice's own Python: the standard library and uno only.
"""

FORMULA = 16  # com.sun.star.sheet.CellFlags.FORMULA


def plain_names(document, plain):
    """Write such formulas anew, which calculates them. `plain` gives a formula as it is to be.

    The document does not count as changed by that, and nothing can be undone that its user has not done.
    """
    modified = document.isModified()
    document.UndoManager.lock()
    try:
        for sheet in document.Sheets:
            _sheet(sheet, plain)
            _names(sheet.NamedRanges, plain)
        _names(document.NamedRanges, plain)
    finally:
        document.UndoManager.unlock()
    document.setModified(modified)


def _sheet(sheet, plain):
    for part in sheet.queryContentCells(FORMULA).getRangeAddresses():
        area = sheet.getCellRangeByPosition(part.StartColumn, part.StartRow, part.EndColumn, part.EndRow)
        for r, row in enumerate(area.getFormulaArray()):
            for c, formula in enumerate(row):
                new = plain(formula)
                if new != formula:
                    _write(sheet, area.getCellByPosition(c, r), new)


def _write(sheet, cell, formula):
    if not formula.startswith("{="):
        cell.setFormula(formula)
    elif cell.getFormula() != formula:  # an array: its first cell writes all
        area = sheet.createCursorByRange(cell)
        area.collapseToCurrentArray()
        area.clearContents(FORMULA)
        area.setArrayFormula(formula[1:-1])


def _names(names, plain):
    for name in names.getElementNames():
        defined = names.getByName(name)
        content = defined.getContent()
        if plain(content) != content:
            defined.setContent(plain(content))
