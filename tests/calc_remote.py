"""Works in a LibreOffice as its user does: run by LibreOffice's Python, `python calc_remote.py PIPE JOBS`.

A line of JSON in for each step, a line out for what it gave; it ends where LibreOffice has. The steps of
`xlfuncs.hosts.calc.jobs` (whose file is JOBS) and, in the document opened last:

    {"do": "type", "cell": "A1", "text": ...}      typed into a cell and entered
    {"do": "command", "name": ".uno:...", "with": {...}}
    {"do": "time", "cell": "A1", "values": [...], "read": "B1"}    seconds from each value to its answer
    {"do": "menu", "command": "Audit"}             an entry of our menu
    {"do": "documents"}                            titles of the open documents, the newest last
    {"do": "front", "title": ...}                  the document to go on with
    {"do": "save", "path": ..., "filter": ...}     as, or without a path where it is
    {"do": "select", "range": "A1:B2"}
    {"do": "modified"}
    {"do": "entries"}                              of our menu and tool bar
    {"do": "sheets"}
    {"do": "sheet", "name": ...}                   a new one, behind the others
    {"do": "name", "name": ..., "content": ...}    a new name for cells
    {"do": "links", "cell": "C2"}                  texts of the links in a cell
    {"do": "untell"}                               close the line above the sheet
    {"do": "told"}                                 whether a line of ours stands above the sheet
    {"do": "windows"}                              titles of what is open
    {"do": "parts", "window": ...}                 role, name and text of all that is in a dialog
    {"do": "press", "window": ..., "name": ...}    a button, a check box or an entry of a list
    {"do": "enter", "window": ..., "field": 0, "text": ...}     into the n-th field of a window
    {"do": "run", "code": ...}                     Python, with remote, document, sheet; sets gave
    {"do": "quit"}
"""

import json
import sys
import time
from collections.abc import Iterator
from typing import Any

import uno


def connect(pipe: str) -> Any:
    context = uno.getComponentContext()
    resolver = context.ServiceManager.createInstanceWithContext("com.sun.star.bridge.UnoUrlResolver", context)
    for _ in range(600):
        try:
            return resolver.resolve(f"uno:pipe,name={pipe};urp;StarOffice.ComponentContext")
        except Exception:
            time.sleep(0.1)
    raise SystemExit("LibreOffice did not answer within a minute")


def _text(part: Any) -> str:
    return str(part.getText()) if hasattr(part, "getText") else ""


class Remote:
    def __init__(self, pipe: str, jobs: str) -> None:
        self.jobs: dict[str, Any] = {"__name__": "jobs"}
        with open(jobs, encoding="utf-8") as file:
            exec(compile(file.read(), jobs, "exec"), self.jobs)
        self.context = connect(pipe)
        self.desktop = self.service("com.sun.star.frame.Desktop")
        self.document: Any = None

    def service(self, name: str) -> Any:
        return self.context.ServiceManager.createInstanceWithContext(name, self.context)

    def do(self, step: dict[str, Any]) -> Any:
        what = step["do"]
        own = getattr(self, "do_" + what, None)
        return own(step) if own else self.jobs["STEPS"][what](self.document, step)

    def answers(self) -> bool:
        """Whether LibreOffice is still there."""
        try:
            self.desktop.getCurrentFrame()
        except Exception:
            return False
        return True

    def do_open(self, step: dict[str, Any]) -> None:
        path = step.get("path")
        url = "private:factory/scalc" if path is None else uno.systemPathToFileUrl(path)
        given = {"MacroExecutionMode": 3}  # as File, Open; else NEVER_EXECUTE
        if "password" in step:
            given["Password"] = step["password"]
        properties = tuple(self.jobs["_property"](*pair) for pair in given.items())
        self.document = self.desktop.loadComponentFromURL(url, "_blank", 0, properties)

    def do_close(self, step: dict[str, Any]) -> None:
        self.document.close(True)

    def do_command(self, step: dict[str, Any]) -> None:
        values = tuple(self.jobs["_property"](*pair) for pair in step.get("with", {}).items())
        frame = self.document.CurrentController.Frame
        self.service("com.sun.star.frame.DispatchHelper").executeDispatch(frame, step["name"], "", 0, values)

    def do_type(self, step: dict[str, Any]) -> None:
        self.do_command({"name": ".uno:GoToCell", "with": {"ToPoint": step["cell"]}})
        self.do_command({"name": ".uno:EnterString", "with": {"StringName": step["text"]}})

    def do_time(self, step: dict[str, Any]) -> list[float]:
        sheet = self.document.Sheets.getByIndex(0)
        cell, answer = (sheet.getCellRangeByName(step[key]) for key in ("cell", "read"))
        seconds = []
        for value in step["values"]:
            start = time.perf_counter()
            cell.setValue(value)
            answer.getString()
            seconds.append(time.perf_counter() - start)
        return seconds

    def do_menu(self, step: dict[str, Any]) -> None:
        module = "vnd.sun.star.script:Standard.xlfuncs.LG__{}?language=Basic&location=application"
        self.do_command({"name": module.format(step["command"])})

    def _documents(self) -> Iterator[Any]:
        found = self.desktop.Components.createEnumeration()
        while found.hasMoreElements():
            one = found.nextElement()
            if hasattr(one, "Sheets"):
                yield one

    def do_documents(self, step: dict[str, Any]) -> list[str]:
        return [one.getTitle() for one in self._documents()]

    def do_front(self, step: dict[str, Any]) -> Any:
        self.document = next(one for one in self._documents() if one.getTitle().startswith(step["title"]))
        self.document.CurrentController.Frame.activate()
        self.document.CurrentController.Frame.ContainerWindow.toFront()
        return self.document.CurrentController.ActiveSheet.Name

    def do_select(self, step: dict[str, Any]) -> None:
        sheet = self.document.CurrentController.ActiveSheet
        self.document.CurrentController.select(sheet.getCellRangeByName(step["range"]))

    def do_modified(self, step: dict[str, Any]) -> Any:
        return self.document.isModified()

    def do_entries(self, step: dict[str, Any]) -> dict[str, Any]:
        """Our menu, and what stands on the tool bar, as LibreOffice has built them."""
        manager = self.document.CurrentController.Frame.LayoutManager
        name = "private:resource/toolbar/addon_xlfuncs"
        addons = self.configuration("/org.openoffice.Office.Addons/AddonUI")
        found = {}
        for key, part in (("menu", addons.OfficeMenuBar), ("bar", addons.OfficeToolBar)):
            ours = part.getByName("xlfuncs") if part.hasByName("xlfuncs") else None
            nodes = () if ours is None else (ours.Submenu if key == "menu" else ours)
            found[key] = [nodes.getByName(n).Title for n in nodes.ElementNames] if nodes else []
        return {
            **found,
            "docked": manager.isElementFloating(name) is False and manager.isElementVisible(name),
        }

    def configuration(self, path: str) -> Any:
        provider = self.service("com.sun.star.configuration.ConfigurationProvider")
        access = "com.sun.star.configuration.ConfigurationAccess"
        given = self.jobs["_property"]("nodepath", path)
        return provider.createInstanceWithArguments(access, (given,))

    def do_name(self, step: dict[str, Any]) -> None:
        origin = self.document.Sheets.getByIndex(0).getCellByPosition(0, 0).getCellAddress()
        self.document.NamedRanges.addNewByName(step["name"], step["content"], origin, 0)

    def do_sheet(self, step: dict[str, Any]) -> None:
        self.document.Sheets.insertNewByName(step["name"], self.document.Sheets.Count)

    def do_sheets(self, step: dict[str, Any]) -> list[str]:
        return list(self.document.Sheets.ElementNames)

    def do_links(self, step: dict[str, Any]) -> list[str]:
        cell = self.document.CurrentController.ActiveSheet.getCellRangeByName(step["cell"])
        return [field.Representation for field in cell.getTextFields()]

    def do_untell(self, step: dict[str, Any]) -> None:
        self.document.CurrentController.removeInfobar("xlfuncs")

    def do_told(self, step: dict[str, Any]) -> Any:
        return self.document.CurrentController.hasInfobar("xlfuncs")

    def _windows(self) -> Iterator[tuple[str, Any]]:
        toolkit = self.service("com.sun.star.awt.Toolkit")
        for n in range(toolkit.getTopWindowCount()):
            try:
                context = toolkit.getTopWindow(n).getAccessibleContext()
                title = context.getAccessibleName()
            except Exception:  # closed meanwhile
                continue
            yield title, context

    def _parts(self, context: Any) -> Iterator[Any]:
        yield context
        for n in range(context.getAccessibleChildCount()):
            yield from self._parts(context.getAccessibleChild(n).getAccessibleContext())

    def do_windows(self, step: dict[str, Any]) -> list[str]:
        return [title for title, _ in self._windows()]

    def do_parts(self, step: dict[str, Any]) -> list[list[Any]]:
        parts = self._parts(self._window(step))
        return [[part.getAccessibleRole(), part.getAccessibleName(), _text(part)] for part in parts]

    def _window(self, step: dict[str, Any]) -> Any:
        return next(context for title, context in self._windows() if step["window"] in title)

    def do_press(self, step: dict[str, Any]) -> None:
        for part in self._parts(self._window(step)):
            if part.getAccessibleName() == step["name"] and hasattr(part, "doAccessibleAction"):
                part.doAccessibleAction(0)
                return
        raise ValueError("there is no {name} in {window}".format(**step))

    def do_enter(self, step: dict[str, Any]) -> None:
        fields = [part for part in self._parts(self._window(step)) if hasattr(part, "setText")]
        fields[step["field"]].setText(step["text"])

    def do_save(self, step: dict[str, Any]) -> None:
        if "path" in step:
            url = uno.systemPathToFileUrl(step["path"])
            self.document.storeAsURL(url, (self.jobs["_property"]("FilterName", step["filter"]),))
        else:
            self.document.store()

    def do_run(self, step: dict[str, Any]) -> Any:
        names: dict[str, Any] = {"remote": self, "document": self.document, "uno": uno, "gave": None}
        names["property"] = self.jobs["_property"]
        names["sheet"] = self.document.CurrentController.ActiveSheet
        exec(step["code"], names)
        return names["gave"]

    def do_quit(self, step: dict[str, Any]) -> None:
        self.desktop.terminate()


def main() -> None:
    remote = Remote(*sys.argv[1:])
    for line in sys.stdin:
        try:
            reply = {"gave": remote.do(json.loads(line))}
        except Exception as error:
            if not remote.answers():
                raise SystemExit(str(error)) from error
            reply = {"failed": str(error)}
        print(json.dumps(reply), flush=True)


if __name__ == "__main__":
    main()
