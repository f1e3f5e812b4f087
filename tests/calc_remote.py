"""Works in a LibreOffice as its user does: run by LibreOffice's Python, `python calc_remote.py PIPE JOBS`.

A line of JSON in for each step, a line out for what it gave. The steps of `xlfuncs.hosts.calc.jobs` (whose
file is JOBS) and, in the document opened last:

    {"do": "type", "cell": "A1", "text": ...}      typed into a cell and entered
    {"do": "command", "name": ".uno:...", "with": {...}}
    {"do": "time", "cell": "A1", "values": [...], "read": "B1"}    seconds from each value to its answer
    {"do": "quit"}
"""

import json
import sys
import time

import uno


def connect(pipe):
    context = uno.getComponentContext()
    resolver = context.ServiceManager.createInstanceWithContext("com.sun.star.bridge.UnoUrlResolver", context)
    for _ in range(600):
        try:
            return resolver.resolve(f"uno:pipe,name={pipe};urp;StarOffice.ComponentContext")
        except Exception:
            time.sleep(0.1)
    raise SystemExit("LibreOffice did not answer within a minute")


class Remote:
    def __init__(self, pipe, jobs):
        self.jobs = {"__name__": "jobs"}
        with open(jobs, encoding="utf-8") as file:
            exec(compile(file.read(), jobs, "exec"), self.jobs)
        self.context = connect(pipe)
        self.desktop = self.service("com.sun.star.frame.Desktop")
        self.document = None

    def service(self, name):
        return self.context.ServiceManager.createInstanceWithContext(name, self.context)

    def do(self, step):
        what = step["do"]
        own = getattr(self, "do_" + what, None)
        return own(step) if own else self.jobs["STEPS"][what](self.document, step)

    def do_open(self, step):
        path = step.get("path")
        url = "private:factory/scalc" if path is None else uno.systemPathToFileUrl(path)
        as_configured = self.jobs["_property"]("MacroExecutionMode", 3)  # as File, Open; else NEVER_EXECUTE
        self.document = self.desktop.loadComponentFromURL(url, "_blank", 0, (as_configured,))

    def do_close(self, step):
        self.document.close(True)

    def do_command(self, step):
        values = tuple(self.jobs["_property"](*pair) for pair in step.get("with", {}).items())
        frame = self.document.CurrentController.Frame
        self.service("com.sun.star.frame.DispatchHelper").executeDispatch(frame, step["name"], "", 0, values)

    def do_type(self, step):
        self.do_command({"name": ".uno:GoToCell", "with": {"ToPoint": step["cell"]}})
        self.do_command({"name": ".uno:EnterString", "with": {"StringName": step["text"]}})

    def do_time(self, step):
        sheet = self.document.Sheets.getByIndex(0)
        cell, answer = (sheet.getCellRangeByName(step[key]) for key in ("cell", "read"))
        seconds = []
        for value in step["values"]:
            start = time.perf_counter()
            cell.setValue(value)
            answer.getString()
            seconds.append(time.perf_counter() - start)
        return seconds

    def do_quit(self, step):
        self.desktop.terminate()


def main():
    remote = Remote(*sys.argv[1:])
    for line in sys.stdin:
        try:
            reply = {"gave": remote.do(json.loads(line))}
        except Exception as error:
            reply = {"failed": str(error)}
        print(json.dumps(reply), flush=True)


if __name__ == "__main__":
    main()
