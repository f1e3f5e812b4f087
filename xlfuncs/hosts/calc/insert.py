"""The window 'Insert function...'. It runs in LibreOffice's own Python: the standard library and uno only."""

import re

from .document import Stop, address_of, areas_of, cell_of
from .windows import Listener, Text, Window

ANYTHING = 1 | 2 | 4 | 16  # com.sun.star.sheet.CellFlags: VALUE, DATETIME, STRING, FORMULA
MOST = 100000  # cells of a range that a trial is made with
REFERENCE = re.compile(r"\$?[A-Za-z]{1,3}(\$?\d+(:\$?[A-Za-z]{1,3}\$?\d+)?|:\$?[A-Za-z]{1,3})")
ROOM = 26  # arguments that the dialog has lines for


class Insert(Window):
    """A function looked for, its arguments given, its result seen, and put into a cell."""

    def __init__(self, desk, document):
        self._functions = desk.ask(action="functions")
        self._cell = cell_of(document)
        self._sheet, self._place = address_of(self._cell)
        super().__init__(desk, document, f"Insert a function into {self._sheet}!{self._place}", 430, 406)
        self._found, self._chosen, self._parts, self._size, self._last = [], None, [], [1, 1], None
        self._fields()
        self._buttons()
        self.open()
        self._list()  # a list has no selection before it is shown

    def _fields(self):
        self.text("for", 6, 6, 120, 10, "Search: name, meaning or argument")
        search = self.edit("search", 6, 17, 120, 13)
        search.addTextListener(Listener(lambda event: self.safely(self._list)))
        self._names = self.add("ListBox", "names", 6, 33, 120, 368)
        self._names.addItemListener(Listener(lambda event: self.safely(self._choose)))
        self._head = self.text("head", 134, 4, 290, 26, MultiLine=True)
        self._lines = []
        for n in range(ROOM):
            y = 31 + 11 * n
            label = self.text(f"name{n}", 134, y + 1, 78, 10, EnableVisible=False)
            field = self.edit(f"field{n}", 214, y, 96, 11, EnableVisible=False)
            unit = self.text(f"unit{n}", 313, y + 1, 112, 10, EnableVisible=False)
            field.addTextListener(Listener(lambda event: self.safely(self._try)))
            field.addFocusListener(Listener(lambda event, n=n: self.safely(lambda: self._help_of(n))))
            self._lines.append((label, field, unit))
        self._help = self.text("help", 134, 319, 290, 18, MultiLine=True)
        self._said = self.text("said", 134, 338, 290, 33, MultiLine=True)
        self._formula = self.edit("formula", 134, 373, 290, 12, ReadOnly=True)

    def _buttons(self):
        self.button("take", 134, 388, 88, "Take selected cells", self._take)
        self.button("more", 226, 388, 46, "Help", self._more)
        self.button("insert", 306, 388, 70, "Insert", self._put, DefaultButton=True)
        self.button("close", 380, 388, 44, "Close", self.close)

    def _list(self):
        words = self.window.getControl("search").getText().casefold().split()
        self._found = [f for f in self._functions if all(word in f["words"] for word in words)]
        self._names.removeItems(0, self._names.getItemCount())
        self._names.addItems(tuple(f["name"] for f in self._found), 0)
        if self._found:
            self._names.selectItemPos(0, True)
        self._choose()

    def _choose(self):
        at = self._names.getSelectedItemPos()
        chosen = self._found[at] if 0 <= at < len(self._found) else None
        if chosen is not None and chosen is self._chosen:
            return
        self._chosen = chosen
        arguments = chosen["arguments"] if chosen else []
        self._head.setText(
            f"{chosen['summary']}. Result: {_result(chosen)}" if chosen else "no such function"
        )
        for n, (label, field, unit) in enumerate(self._lines):
            one = arguments[n] if n < len(arguments) else None
            for control in (label, field, unit):
                control.getModel().EnableVisible = one is not None
            field.setText("")
            if one:
                label.setText(one["name"] + (" *" if one["needed"] else ""))
                usual = f"default {one['usual']}" if one["usual"] else ""
                unit.setText(", ".join(filter(None, (one["unit"], usual))))
        self._below(len(arguments))
        self._last = 0
        self._help.setText("* has to be given. A number in the unit shown, text with a unit, or cells.")
        self._try()

    def _below(self, lines):
        """Help, formula and answer right below so many arguments; what room is left is the answer's."""
        y = 31 + 11 * lines + 4
        for control, height in ((self._help, 18), (self._formula, 12), (self._said, 384 - y - 32)):
            model = control.getModel()
            model.PositionY, model.Height = y, height
            y += height + 1

    def _help_of(self, n):
        self._last = n
        if self._chosen and n < len(self._chosen["arguments"]):
            one = self._chosen["arguments"][n]
            self._help.setText(f"{one['name']}: {one['help']}")

    def _try(self):
        """The result for what has been typed so far."""
        self._parts = None
        self._formula.setText("")
        if self._chosen is None:
            return self.say("")
        given = [
            self._given(field.getText()) for _, field, _ in self._lines[: len(self._chosen["arguments"])]
        ]
        found = self.desk.ask(action="trial", name=self._chosen["name"], arguments=given)
        self._parts, self._size = found["parts"], found["size"]
        self._formula.setText(f"={self._chosen['name']}({';'.join(self._parts)})")
        return self.say(("= " if found["good"] else "") + found["shown"])

    def _given(self, typed):
        """Cells where a reference was typed, else the text."""
        area = self._area(typed.strip())
        if area is None:
            return {"typed": typed}
        sheet, place = address_of(area)
        address = area.getRangeAddress()
        cells = (address.EndColumn - address.StartColumn + 1) * (address.EndRow - address.StartRow + 1)
        if cells > MOST:
            raise Stop(f"{typed}: {cells:,} cells are too many for a trial; name those that are filled")
        rows = [list(row) for row in area.getDataArray()]
        if cells == 1 and area.getCellByPosition(0, 0).getError():
            rows[0][0] = area.getCellByPosition(0, 0).getString()
        written = typed.strip() if sheet == self._sheet and "." not in typed and "!" not in typed else None
        quoted = sheet.replace("'", "''")
        return {"reference": written or f"$'{quoted}'.{place}", "cells": rows}

    def _area(self, typed):
        head, mark, place = typed.replace("!", ".").rpartition(".")
        if not mark and self.document.NamedRanges.hasByName(typed):
            return self.document.NamedRanges.getByName(typed).getReferredCells()
        if not REFERENCE.fullmatch(place):
            return None
        name = head.strip("$").strip("'").replace("''", "'") if mark else self._sheet
        if not self.document.Sheets.hasByName(name):
            return None
        try:
            return self.document.Sheets.getByName(name).getCellRangeByName(place)
        except Exception:
            return None

    def _take(self):
        """The selected cells as the argument that was looked at last."""
        selection = areas_of(self.document)
        if not hasattr(selection, "getRangeAddress"):
            raise Stop("select one range")
        sheet, place = address_of(selection)
        quoted = sheet.replace("'", "''")
        field = self._lines[self._last or 0][1]
        field.setText(place if sheet == self._sheet else f"$'{quoted}'.{place}")
        following = (self._last or 0) + 1
        if self._chosen and following < len(self._chosen["arguments"]):
            self._lines[following][1].setFocus()

    def _more(self):
        if self._chosen:
            name = self._chosen["name"]
            Text(self.desk, self.document, name, self.desk.ask(action="help", name=name))

    def _put(self):
        if not self._parts and self._parts != []:
            raise Stop("choose a function first")
        formula = self._formula.getText()
        height, width = self._size
        if height * width == 1:
            self._cell.setFormula(formula)
        else:
            self._fill(formula, height, width)
        self.document.CurrentController.select(self._cell)
        self.close()

    def _fill(self, formula, height, width):
        """An array formula, where its cells are free."""
        start = self._cell.getCellAddress()
        sheet = self._cell.Spreadsheet
        area = sheet.getCellRangeByPosition(
            start.Column, start.Row, start.Column + width - 1, start.Row + height - 1
        )
        for filled in area.queryContentCells(ANYTHING).getRangeAddresses():
            only = (filled.StartColumn, filled.StartRow, filled.EndColumn, filled.EndRow)
            if only != (start.Column, start.Row, start.Column, start.Row):
                raise Stop(
                    f"the answer needs {address_of(area)[1]}, where something stands: choose a free place"
                )
        area.setArrayFormula(formula)


def _result(function):
    return function["result"] + (f", {function['unit']}" if function["unit"] else "")
