"""The commands of the menu in Calc. It runs in LibreOffice's own Python: the standard library and uno only.

A command takes from the document what `xlfuncs.hosts.actions` asks for and shows what it gives. What takes
long runs in a process of its own, while the user goes on; the document is never written to, but for the
formula that 'Insert function' puts into a cell.
"""

import contextlib
import json
import shutil
import subprocess
import tempfile
import threading

import uno

from .document import Stop, address_of, areas_of, cell_of, is_spreadsheet, property_of, shown
from .insert import Insert
from .windows import Keep, Text, soon

TITLE = "Level gauges"
SUCCESS, WARNING = 1, 2  # com.sun.star.frame.InfobarType


def later(context, ask, process, command, document):
    """Do a command as soon as LibreOffice is idle: a dialog must not keep Basic waiting."""
    soon(context, lambda: _command(Desk(context, ask, process), command, document))


def _command(desk, command, document):
    if not is_spreadsheet(document):
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
        if is_spreadsheet(front):
            return front
        components, found = desktop.Components.createEnumeration(), []
        while components.hasMoreElements():
            found.append(components.nextElement())
        found = [one for one in found if is_spreadsheet(one)]
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
            request = {"action": action, **shown(document, folder, ending), **given}
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
            soon(self.context, lambda: finish(done))

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
        arguments = (property_of("AsTemplate", True), property_of("MacroExecutionMode", 3))
        desktop = self.service("com.sun.star.frame.Desktop")
        url = uno.systemPathToFileUrl(done["file"])
        document = desktop.loadComponentFromURL(url, "_blank", 0, arguments)
        document.setTitle(done["title"])
        if done["sheet"] and document.Sheets.hasByName(done["sheet"]):
            document.CurrentController.setActiveSheet(document.Sheets.getByName(done["sheet"]))
        document.setModified(False)
        return document


def _failed(why):
    return {"message": why, "good": False, "file": "", "title": "", "sheet": "", "text": ""}


def _audit(desk, document):
    desk.run(document, "audit")


def _reading(desk, document):
    desk.run(document, "reading")


def _explain(desk, document):
    sheet, cell = address_of(cell_of(document))
    desk.run(document, "explain", sheet=sheet, cell=cell)


def _pack(desk, document):
    rows = {}
    for address in areas_of(document).queryVisibleCells().getRangeAddresses():
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
