"""Work on documents inside LibreOffice, in its own Python: standard library and uno only.

A job file is JSON: {"result": path, "steps": [step ...]}; the result is a list with what each step
gives. When all is done LibreOffice ends. The steps:

    {"do": "open", "path": ...}                    open, or with null a new one; the profile has Calc take
                                                   no kept value
    {"do": "formulas", "sheet": ..., "cells": {"A1": formula ...}}   English names, semicolons
    {"do": "fill", "sheet": ..., "cell": "A1", "rows": [[...]]}
    {"do": "array", "sheet": ..., "range": "A1:B9", "formula": ...}
    {"do": "calculate"}                            gives the seconds it took
    {"do": "read", "areas": {sheet: ["A1:B9" ...]}}    gives rows of values; an error is {"error": text}
    {"do": "texts", "sheet": ..., "cells": [...]}  formulas as the cells hold them
    {"do": "own", "values": false}                 formulas with LG_: [sheet, cell, value], one for an array;
                                                   with values, each is replaced by its value
    {"do": "store", "path": ..., "filter": ...}
    {"do": "python"}                               version and library of LibreOffice's Python
"""

import json
import os
import sys
import time
import traceback

import uno
import unohelper
from com.sun.star.awt import XCallback
from com.sun.star.beans import PropertyValue

ERRORS = 4  # com.sun.star.sheet.FormulaResult.ERROR
FORMULAS = 16  # com.sun.star.sheet.CellFlags.FORMULA
LOGICAL = 1024  # com.sun.star.util.NumberFormat.LOGICAL


def later(context, path):
    """Do the jobs of a file as soon as LibreOffice is idle."""
    service = context.ServiceManager.createInstanceWithContext("com.sun.star.awt.AsyncCallback", context)
    service.addCallback(_Jobs(context, path), None)


class _Jobs(unohelper.Base, XCallback):
    def __init__(self, context, path):
        self._context, self._path = context, path

    def notify(self, data):
        desktop = self._context.ServiceManager.createInstanceWithContext(
            "com.sun.star.frame.Desktop", self._context
        )
        results = []
        document = None
        with open(self._path, encoding="utf-8") as file:
            jobs = json.load(file)
        try:
            for step in jobs["steps"]:
                if step["do"] == "open":
                    if document is not None:
                        document.close(True)
                    document = _open(desktop, step["path"])
                    results.append(None)
                else:
                    results.append(STEPS[step["do"]](document, step))
            outcome = {"results": results}
        except BaseException:
            outcome = {"failed": traceback.format_exc(), "results": results}
        try:
            with open(jobs["result"], "w", encoding="utf-8") as file:
                json.dump(outcome, file)
            if document is not None:
                document.close(True)
        finally:
            desktop.terminate()


def _property(name, value):
    made = PropertyValue()
    made.Name, made.Value = name, value
    return made


def _open(desktop, path):
    url = "private:factory/scalc" if path is None else uno.systemPathToFileUrl(path)
    document = desktop.loadComponentFromURL(url, "_blank", 0, (_property("Hidden", True),))
    if document is None or not hasattr(document, "calculateAll"):
        raise ValueError(f"LibreOffice cannot open {path} as a spreadsheet")
    return document


def _sheet(document, step):
    name = step.get("sheet")
    return document.Sheets.getByIndex(0) if name is None else document.Sheets.getByName(name)


def _formulas(document, step):
    sheet = _sheet(document, step)
    for cell, formula in step["cells"].items():
        sheet.getCellRangeByName(cell).setFormula(formula)


def _fill(document, step):
    rows = tuple(map(tuple, step["rows"]))
    start = _sheet(document, step).getCellRangeByName(step["cell"]).getCellAddress()
    area = _sheet(document, step).getCellRangeByPosition(
        start.Column, start.Row, start.Column + len(rows[0]) - 1, start.Row + len(rows) - 1
    )
    if isinstance(rows[0][0], str) and rows[0][0].startswith("="):
        area.setFormulaArray(rows)
    else:
        area.setDataArray(rows)


def _array(document, step):
    _sheet(document, step).getCellRangeByName(step["range"]).setArrayFormula(step["formula"])


def _calculate(document, step):
    start = time.perf_counter()
    document.calculateAll()
    return time.perf_counter() - start


def _read(document, step):
    return {
        name: [_values(document.Sheets.getByName(name).getCellRangeByName(area), document) for area in areas]
        for name, areas in step["areas"].items()
    }


def _values(area, document):
    rows = [list(row) for row in area.getDataArray()]
    corner = area.getRangeAddress()
    for wrong in area.queryFormulaCells(ERRORS).getRangeAddresses():
        for row in range(wrong.StartRow, wrong.EndRow + 1):
            for column in range(wrong.StartColumn, wrong.EndColumn + 1):
                r, c = row - corner.StartRow, column - corner.StartColumn
                rows[r][c] = {"error": area.getCellByPosition(c, r).getString()}
    formats = document.getNumberFormats()
    for r, row in enumerate(rows):
        for c, value in enumerate(row):
            if value in (0.0, 1.0):
                key = area.getCellByPosition(c, r).NumberFormat
                if formats.getByKey(key).Type & LOGICAL:
                    row[c] = bool(value)
    return rows


def _texts(document, step):
    return [_sheet(document, step).getCellRangeByName(cell).getFormula() for cell in step["cells"]]


def _own(document, step):
    found = []
    for name in document.Sheets.getElementNames():
        sheet = document.Sheets.getByName(name)
        seen = set()
        for part in sheet.queryContentCells(FORMULAS).getRangeAddresses():
            area = sheet.getCellRangeByPosition(part.StartColumn, part.StartRow, part.EndColumn, part.EndRow)
            for r, row in enumerate(area.getFormulaArray()):
                for c, formula in enumerate(row):
                    where = (part.StartRow + r, part.StartColumn + c)
                    if "LG_" in formula.upper() and where not in seen:
                        found.append(_take(document, sheet, where, seen, step.get("values")))
    return found


def _take(document, sheet, where, seen, values):
    """Value of one of our formulas; cells of its array are noted as seen."""
    cell = sheet.getCellByPosition(where[1], where[0])
    area = cell
    if cell.getArrayFormula():
        area = sheet.createCursorByRange(cell)
        area.collapseToCurrentArray()
    address = area.getRangeAddress()
    for row in range(address.StartRow, address.EndRow + 1):
        seen.update((row, column) for column in range(address.StartColumn, address.EndColumn + 1))
    rows = _values(area, document)
    if values:
        data = area.getDataArray()
        area.clearContents(FORMULAS)
        area.setDataArray(data)
        for r, row in enumerate(rows):
            for c, value in enumerate(row):
                if isinstance(value, dict):  # an error is no constant in an .ods
                    area.getCellByPosition(c, r).setFormula("=" + value["error"])
    name = cell.AbsoluteName.replace("$", "").rpartition(".")[2]
    return [sheet.Name, name, rows[0][0]]


def _store(document, step):
    document.storeToURL(uno.systemPathToFileUrl(step["path"]), (_property("FilterName", step["filter"]),))


def _python(document, step):
    return {"version": list(sys.version_info[:3]), "library": os.__file__}


STEPS = {
    "formulas": _formulas,
    "fill": _fill,
    "array": _array,
    "calculate": _calculate,
    "read": _read,
    "texts": _texts,
    "own": _own,
    "store": _store,
    "python": _python,
}
