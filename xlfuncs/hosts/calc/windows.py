"""Windows beside the sheet, in which the user can go on.

It runs in LibreOffice's own Python: the standard library and uno only.
"""

import contextlib
import os

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

from .document import FILTERS, Stop, name_of, path_of, state_of


def soon(context, work):
    service = context.ServiceManager.createInstanceWithContext("com.sun.star.awt.AsyncCallback", context)
    service.addCallback(_Callback(work), None)


class _Callback(unohelper.Base, XCallback):
    def __init__(self, work):
        self._work = work

    def notify(self, data):
        self._work()


class Listener(
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
        made.addActionListener(Listener(lambda event: self.safely(pressed)))
        return made

    def open(self):
        parent = self.document.CurrentController.Frame.ContainerWindow
        self.window.createPeer(self.desk.toolkit, parent)
        self.window.addTopWindowListener(Listener(lambda event: self.close()))
        around, own = parent.getPosSize(), self.window.getPosSize()
        self.window.setPosSize(
            max((around.Width - own.Width) // 2, 0), max((around.Height - own.Height) // 3, 0), 0, 0, 3
        )
        self.window.setVisible(True)
        self.window.setFocus()

    def close(self):
        # not while the control that was pressed is at work
        soon(self.desk.context, self.window.dispose)

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
        self.window.addWindowListener(Listener(lambda event: self._fit()))

    def _fit(self):
        all_, button, edge = self.window.getPosSize(), self._close.getPosSize(), self._edge
        top = all_.Height - button.Height - edge
        self._text.setPosSize(edge, edge, all_.Width - 2 * edge, top - 2 * edge, 15)
        self._close.setPosSize(all_.Width - button.Width - edge, top, 0, 0, 3)


class Keep(Window):
    """Where the copy with the kept results goes."""

    def __init__(self, desk, document):
        super().__init__(desk, document, f"Keep results of {name_of(document)}", 330, 112)
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
        self.say(state_of(document))
        self.button("write", 214, 94, 54, "Write", self._write, DefaultButton=True)
        self.button("close", 272, 94, 52, "Close", self.close)
        self.open()

    def _free(self):
        """A name beside the document's that is not taken."""
        path = path_of(self.document)
        folder = os.path.dirname(path) if path else os.path.expanduser("~")
        stem, ending = os.path.splitext(os.path.basename(path) or name_of(self.document) + ".xlsx")
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
