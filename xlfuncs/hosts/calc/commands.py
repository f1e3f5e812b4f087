"""The commands of the menu in Calc. It runs in LibreOffice's own Python: the standard library and uno only.

A command takes from the document what `xlfuncs.hosts.actions` asks for and shows what it gives. What takes
long runs in a process of its own, while the user goes on; the document is never written to, but for the
formula that 'Insert function' puts into a cell.
"""

import contextlib
import json
import os
import re
import shutil
import subprocess
import tempfile
import threading
import urllib.parse

import uno
import unohelper
from com.sun.star.awt import (
    XActionListener,
    XCallback,
    XFocusListener,
    XItemListener,
    XTextListener,
    XTopWindowListener,
    XWindowListener,
)
from com.sun.star.beans import PropertyValue

TITLE = "Level gauges"
CALC = "com.sun.star.sheet.SpreadsheetDocument"
FILTERS = {
    ".xlsx": "Calc MS Excel 2007 XML",
    ".xlsm": "Calc MS Excel 2007 VBA XML",
    ".ods": "calc8",
}
SUCCESS, WARNING = 1, 2  # com.sun.star.frame.InfobarType
ANYTHING = 1 | 2 | 4 | 16  # com.sun.star.sheet.CellFlags: VALUE, DATETIME, STRING, FORMULA
MOST = 100000  # cells of a range that a trial is made with
REFERENCE = re.compile(r"\$?[A-Za-z]{1,3}(\$?\d+(:\$?[A-Za-z]{1,3}\$?\d+)?|:\$?[A-Za-z]{1,3})")
ROOM = 26  # arguments that the dialog has lines for


def later(context, ask, process, command, document):
    """Do a command as soon as LibreOffice is idle: a dialog must not keep Basic waiting."""
    _soon(context, lambda: _command(Desk(context, ask, process), command, document))


def _soon(context, work):
    service = context.ServiceManager.createInstanceWithContext("com.sun.star.awt.AsyncCallback", context)
    service.addCallback(_Callback(work), None)


class _Callback(unohelper.Base, XCallback):
    def __init__(self, work):
        self._work = work

    def notify(self, data):
        self._work()


def _command(desk, command, document):
    if not _is_spreadsheet(document):
        document = desk.document()
    if document is None:
        desk.box("click into the spreadsheet first")
        return
    try:
        COMMANDS[command](desk, document)
    except Stop as why:
        desk.tell(document, str(why), WARNING)
    except Exception as error:
        desk.tell(document, f"{type(error).__name__}: {' '.join(str(error).split())[:300]}", WARNING)


class Stop(Exception):
    """Why a command cannot be done."""


class Desk:
    """LibreOffice as the commands use it."""

    def __init__(self, context, ask, process):
        self.context, self.ask = context, ask
        self._process = process
        self.toolkit = self.service("com.sun.star.awt.Toolkit")

    def service(self, name):
        return self.context.ServiceManager.createInstanceWithContext(name, self.context)

    def document(self):
        """The spreadsheet in front, or the only one that is open."""
        desktop = self.service("com.sun.star.frame.Desktop")
        front = desktop.getCurrentComponent()
        if _is_spreadsheet(front):
            return front
        components, found = desktop.Components.createEnumeration(), []
        while components.hasMoreElements():
            found.append(components.nextElement())
        found = [one for one in found if _is_spreadsheet(one)]
        return found[0] if len(found) == 1 else None

    def tell(self, document, text, kind):
        """A line above the sheet, which nobody has to close; where that is not known, a box."""
        controller = document.CurrentController
        with contextlib.suppress(Exception):
            controller.removeInfobar("xlfuncs")
        try:
            controller.appendInfobar("xlfuncs", TITLE, text, kind, (), True)
        except Exception:
            self.box(text)

    def box(self, text):
        window = self.service("com.sun.star.frame.Desktop").getCurrentFrame().ContainerWindow
        kind = uno.Enum("com.sun.star.awt.MessageBoxType", "INFOBOX")
        self.toolkit.createMessageBox(window, kind, 1, TITLE, text).execute()

    def run(self, document, action, then=None, ending="", **given):
        """Do an action of `xlfuncs.hosts.actions` beside LibreOffice, and show what it gives."""
        folder = tempfile.mkdtemp(prefix="xlfuncs-")
        try:
            request = {"action": action, **_shown(document, folder, ending), **given}
            if action in ("audit", "reading", "pack"):
                request["folder"] = folder
            indicator = document.CurrentController.Frame.createStatusIndicator()
            indicator.start(f"{TITLE}: {WORKING[action]} {request['name']} ...", 100)
            indicator.setValue(50)
        except BaseException:
            shutil.rmtree(folder, ignore_errors=True)
            raise

        def finish(done):
            with contextlib.suppress(Exception):  # the document may have been closed meanwhile
                indicator.end()
            try:
                (then or self.show)(document, done)
            except Exception as error:
                self.box(f"{done['message']} {type(error).__name__}: {error}")
            finally:
                shutil.rmtree(folder, ignore_errors=True)

        def work():
            done = self._done(request)
            _soon(self.context, lambda: finish(done))

        threading.Thread(target=work, daemon=True).start()

    def _done(self, request):
        """What the process answers. It ends with LibreOffice, by the end of its input."""
        python, environment = self._process
        with tempfile.TemporaryFile() as errors:
            try:
                with subprocess.Popen(
                    [python, "-P", "-m", "xlfuncs.hosts.actions"],
                    stdin=subprocess.PIPE,
                    stdout=subprocess.PIPE,
                    stderr=errors,
                    env=environment,
                    creationflags=getattr(subprocess, "CREATE_NO_WINDOW", 0),
                ) as process:
                    process.stdin.write(json.dumps(request).encode() + b"\n")
                    process.stdin.flush()
                    reply = process.stdout.readline()
            except OSError as error:
                return _failed(f"{python} could not be started ({error}); run 'xlfuncs doctor'")
            if reply:
                return json.loads(reply)
            errors.seek(0)
            lines = errors.read().decode("utf-8", "replace").strip().splitlines() or ["no message"]
            return _failed(f"the process ended ({lines[-1]}); run 'xlfuncs doctor'")

    def show(self, document, done):
        """Show what an action gave."""
        kind = SUCCESS if done["good"] else WARNING
        target = self._open(done) if done["file"] else document
        if not target.CurrentController:  # it has been closed meanwhile
            return
        if done["message"]:
            self.tell(target, done["message"], kind)
        if done["text"]:
            Text(self, target, done["title"], done["text"])

    def _open(self, done):
        """A file as a new document, which its user saves where it is wanted."""
        arguments = (_property("AsTemplate", True), _property("MacroExecutionMode", 3))
        desktop = self.service("com.sun.star.frame.Desktop")
        url = uno.systemPathToFileUrl(done["file"])
        document = desktop.loadComponentFromURL(url, "_blank", 0, arguments)
        document.setTitle(done["title"])
        if done["sheet"] and document.Sheets.hasByName(done["sheet"]):
            document.CurrentController.setActiveSheet(document.Sheets.getByName(done["sheet"]))
        document.setModified(False)
        return document


def _is_spreadsheet(component):
    return hasattr(component, "supportsService") and component.supportsService(CALC)


def _failed(why):
    return {"message": why, "good": False, "file": "", "title": "", "sheet": "", "text": ""}


def _property(name, value):
    made = PropertyValue()
    made.Name, made.Value = name, value
    return made


# --- the document -------------------------------------------------------------------------------------------


def _path(document):
    """The path of a document's file; "" where it is not on this machine or has never been saved."""
    url = document.getURL()
    return uno.fileUrlToSystemPath(url) if url.startswith("file:") else ""


def _name(document):
    url = document.getURL()
    return urllib.parse.unquote(url.rpartition("/")[2]) if url else document.getTitle()


def _shown(document, folder, ending=""):
    """The file to read: the document's own, or a copy of what stands on the screen. The document stays as
    it is, and so does whether it counts as changed.
    """
    path, name = _path(document), _name(document)
    own = os.path.splitext(path)[1].lower()
    state = "unsaved" if not document.getURL() else "changed" if document.isModified() else "saved"
    wanted = ending or (own if own in (".xlsx", ".xlsm") else ".xlsx")
    locked = any(
        a.Name in ("EncryptionData", "Password") for a in document.getArgs()
    )  # open for its user only
    if state == "saved" and own == wanted and os.path.isfile(path) and not locked:
        return {"file": path, "name": name, "state": state}
    stem = re.sub(r'[\\/:*?"<>|]', "_", os.path.splitext(name)[0] if path else name) or "book"
    copy = os.path.join(folder, stem + wanted)
    document.storeToURL(uno.systemPathToFileUrl(copy), (_property("FilterName", FILTERS[wanted]),))
    return {"file": copy, "name": name, "state": state}


def _areas(document):
    """The selected ranges."""
    selection = document.CurrentSelection
    if selection is None or not hasattr(selection, "queryVisibleCells"):
        raise Stop("select cells of the sheet first")
    return selection


def _address(area):
    """(sheet, 'A1:B2') of a range; the sheet as its name."""
    address = area.getRangeAddress()
    first = f"{_letters(address.StartColumn)}{address.StartRow + 1}"
    last = f"{_letters(address.EndColumn)}{address.EndRow + 1}"
    return area.Spreadsheet.Name, first if first == last else f"{first}:{last}"


def _letters(column):
    found = ""
    column += 1
    while column:
        column, last = divmod(column - 1, 26)
        found = chr(65 + last) + found
    return found


def _cell(document):
    """The cell under the cursor, or the first of those selected."""
    selection = _areas(document)
    if hasattr(selection, "getRangeAddress"):
        return selection.getCellByPosition(0, 0)
    return selection.getByIndex(0).getCellByPosition(0, 0)


# --- the commands -------------------------------------------------------------------------------------------


def _audit(desk, document):
    desk.run(document, "audit")


def _reading(desk, document):
    desk.run(document, "reading")


def _explain(desk, document):
    sheet, cell = _address(_cell(document))
    desk.run(document, "explain", sheet=sheet, cell=cell)


def _pack(desk, document):
    rows = {}
    for address in _areas(document).queryVisibleCells().getRangeAddresses():
        name = document.Sheets.getByIndex(address.Sheet).Name
        rows.setdefault(name, []).append((address.StartRow + 1, address.EndRow + 1))
    desk.run(document, "pack", rows=rows)


def _keep(desk, document):
    Keep(desk, document)


def _insert(desk, document):
    Insert(desk, document)


COMMANDS = {
    "Audit": _audit,
    "Reading": _reading,
    "Insert": _insert,
    "Explain": _explain,
    "Keep": _keep,
    "Pack": _pack,
}
WORKING = {
    "audit": "auditing",
    "reading": "reading",
    "explain": "looking at",
    "keep": "calculating",
    "pack": "writing the records of",
}


# --- windows ------------------------------------------------------------------------------------------------


class _Listener(
    unohelper.Base,
    XActionListener,
    XFocusListener,
    XItemListener,
    XTextListener,
    XTopWindowListener,
    XWindowListener,
):
    """Calls a function, whatever happens."""

    def __init__(self, heard):
        self._heard = heard

    def actionPerformed(self, event):
        self._heard(event)

    itemStateChanged = textChanged = focusGained = windowClosing = windowResized = actionPerformed

    def focusLost(self, event):
        pass

    disposing = windowOpened = windowClosed = windowMinimized = windowNormalized = focusLost
    windowActivated = windowDeactivated = windowMoved = windowShown = windowHidden = focusLost


class Window:
    """A window beside the sheet, in which the user can go on."""

    def __init__(self, desk, document, title, width, height, sizeable=False):
        self.desk, self.document = desk, document
        self.model = desk.service("com.sun.star.awt.UnoControlDialogModel")
        self.model.setPropertyValues(
            ("Closeable", "Height", "Moveable", "Sizeable", "Title", "Width"),
            (True, height, True, sizeable, title, width),
        )
        self.window = desk.service("com.sun.star.awt.UnoControlDialog")
        self.window.setModel(self.model)

    def add(self, kind, name, x, y, width, height, **values):
        """A control, in units of the dialog's font."""
        model = self.model.createInstance(f"com.sun.star.awt.UnoControl{kind}Model")
        place = {"PositionX": x, "PositionY": y, "Width": width, "Height": height}
        for key, value in sorted({**values, **place}.items()):
            model.setPropertyValue(key, value)
        self.model.insertByName(name, model)
        return self.window.getControl(name)

    def text(self, name, x, y, width, height, text="", **values):
        return self.add("FixedText", name, x, y, width, height, Label=text, **values)

    def edit(self, name, x, y, width, height, **values):
        return self.add("Edit", name, x, y, width, height, **values)

    def button(self, name, x, y, width, text, pressed, **values):
        made = self.add("Button", name, x, y, width, 15, Label=text, **values)
        made.addActionListener(_Listener(lambda event: self.safely(pressed)))
        return made

    def open(self):
        parent = self.document.CurrentController.Frame.ContainerWindow
        self.window.createPeer(self.desk.toolkit, parent)
        self.window.addTopWindowListener(_Listener(lambda event: self.close()))
        around, own = parent.getPosSize(), self.window.getPosSize()
        self.window.setPosSize(
            max((around.Width - own.Width) // 2, 0), max((around.Height - own.Height) // 3, 0), 0, 0, 3
        )
        self.window.setVisible(True)
        self.window.setFocus()

    def close(self):
        # not while the control that was pressed is at work
        _soon(self.desk.context, self.window.dispose)

    def safely(self, work):
        """What the user started must not end in silence."""
        try:
            work()
        except Stop as why:
            self.say(str(why))
        except Exception as error:
            self.say(f"{type(error).__name__}: {' '.join(str(error).split())[:300]}")

    def say(self, text):
        self.window.getControl("said").setText(text)


class Text(Window):
    """Lines to read and to copy."""

    def __init__(self, desk, document, title, text):
        super().__init__(desk, document, title, 380, 250, sizeable=True)
        self._text = self.edit(
            "said", 6, 6, 368, 220, MultiLine=True, ReadOnly=True, VScroll=True,
            FontName="DejaVu Sans Mono;Consolas;Liberation Mono;Courier New",
        )  # fmt: skip
        self._text.setText(text)
        self._close = self.button("close", 324, 230, 50, "Close", self.close, DefaultButton=True)
        self.open()
        self._edge = self._text.getPosSize().X
        self.window.addWindowListener(_Listener(lambda event: self._fit()))

    def _fit(self):
        all_, button, edge = self.window.getPosSize(), self._close.getPosSize(), self._edge
        top = all_.Height - button.Height - edge
        self._text.setPosSize(edge, edge, all_.Width - 2 * edge, top - 2 * edge, 15)
        self._close.setPosSize(all_.Width - button.Width - edge, top, 0, 0, 3)


class Keep(Window):
    """Where the copy with the kept results goes."""

    def __init__(self, desk, document):
        super().__init__(desk, document, f"Keep results of {_name(document)}", 330, 112)
        self.text(
            "what", 6, 6, 318, 26,
            "Writes a copy in which each formula with one of our functions keeps its result, so that it "
            "shows its numbers where the functions are not installed. This document stays as it is.",
            MultiLine=True,
        )  # fmt: skip
        self.text("to", 6, 38, 40, 10, "Write to")
        self._output = self.edit("output", 48, 36, 250, 13)
        self._output.setText(self._free())
        self.button("browse", 302, 35, 22, "...", self._browse)
        self._values = self.add(
            "CheckBox",
            "values",
            48,
            53,
            276,
            12,
            Label="replace our formulas by their values, for sending outside",
        )
        self.text("said", 6, 68, 318, 25, MultiLine=True)
        self.say(_state(document))
        self.button("write", 214, 94, 54, "Write", self._write, DefaultButton=True)
        self.button("close", 272, 94, 52, "Close", self.close)
        self.open()

    def _free(self):
        """A name beside the document's that is not taken."""
        path = _path(self.document)
        folder = os.path.dirname(path) if path else os.path.expanduser("~")
        stem, ending = os.path.splitext(os.path.basename(path) or _name(self.document) + ".xlsx")
        ending = ending if ending.lower() in FILTERS else ".xlsx"
        number = 1
        while True:
            more = f" {number}" if number > 1 else ""
            found = os.path.join(folder, f"{stem} with results{more}{ending}")
            if not os.path.exists(found):
                return found
            number += 1

    def _browse(self):
        picker = self.desk.service("com.sun.star.ui.dialogs.FilePicker")
        picker.initialize((1,))  # com.sun.star.ui.dialogs.TemplateDescription.FILESAVE_SIMPLE
        folder, name = os.path.split(self._output.getText())
        picker.setDisplayDirectory(uno.systemPathToFileUrl(folder or os.path.expanduser("~")))
        picker.setDefaultName(name)
        if picker.execute():
            self._output.setText(uno.fileUrlToSystemPath(picker.getSelectedFiles()[0]))

    def _write(self):
        output = os.path.expanduser(self._output.getText().strip())
        ending = os.path.splitext(output)[1].lower()
        if ending not in FILTERS or not os.path.isabs(output):
            raise Stop("give the whole path of the copy, with the ending .xlsx, .xlsm or .ods")
        values = bool(self._values.getState())
        self.say("calculating ...")
        self.desk.run(self.document, "keep", self._written, ending, output=output, values=values)

    def _written(self, document, done):
        with contextlib.suppress(Exception):  # closed meanwhile
            self.say(done["message"])
        self.desk.show(document, done)


def _state(document):
    """What the document is, where a copy of the screen is taken in place of its file."""
    if not document.getURL():
        return "This document has never been saved: the copy is made of what stands on the screen."
    if document.isModified():
        return "Changes have not been saved: the copy is made of what stands on the screen, with them."
    return ""


class Insert(Window):
    """A function looked for, its arguments given, its result seen, and put into a cell."""

    def __init__(self, desk, document):
        self._functions = desk.ask(action="functions")
        self._cell = _cell(document)
        self._sheet, self._place = _address(self._cell)
        super().__init__(desk, document, f"Insert a function into {self._sheet}!{self._place}", 430, 406)
        self._found, self._chosen, self._parts, self._size, self._last = [], None, [], [1, 1], None
        self._fields()
        self._buttons()
        self.open()
        self._list()  # a list has no selection before it is shown

    def _fields(self):
        self.text("for", 6, 6, 120, 10, "Search: name, meaning or argument")
        search = self.edit("search", 6, 17, 120, 13)
        search.addTextListener(_Listener(lambda event: self.safely(self._list)))
        self._names = self.add("ListBox", "names", 6, 33, 120, 368)
        self._names.addItemListener(_Listener(lambda event: self.safely(self._choose)))
        self._head = self.text("head", 134, 4, 290, 26, MultiLine=True)
        self._lines = []
        for n in range(ROOM):
            y = 31 + 11 * n
            label = self.text(f"name{n}", 134, y + 1, 78, 10, EnableVisible=False)
            field = self.edit(f"field{n}", 214, y, 96, 11, EnableVisible=False)
            unit = self.text(f"unit{n}", 313, y + 1, 112, 10, EnableVisible=False)
            field.addTextListener(_Listener(lambda event: self.safely(self._try)))
            field.addFocusListener(_Listener(lambda event, n=n: self.safely(lambda: self._help_of(n))))
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
        sheet, place = _address(area)
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
        selection = _areas(self.document)
        if not hasattr(selection, "getRangeAddress"):
            raise Stop("select one range")
        sheet, place = _address(selection)
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
                    f"the answer needs {_address(area)[1]}, where something stands: choose a free place"
                )
        area.setArrayFormula(formula)


def _result(function):
    return function["result"] + (f", {function['unit']}" if function["unit"] else "")
