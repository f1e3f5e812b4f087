"""Between LibreOffice and the functions. It runs in LibreOffice's own Python, whichever version that
is: the standard library and uno only. Nothing is ever raised to Basic, which would open a dialog.
"""

import importlib
import json
import marshal
import os
import struct
import subprocess
import sys
import tempfile
import threading
import time
import types

import unohelper
from com.sun.star.script import ArrayWrapper, XInvocation

IMPLEMENTATION = "xlfuncs.calc.Functions"
VALUE = 519  # Calc's number of #VALUE!
ROOM = 50000  # calls that are remembered
LARGE = 1000  # cells in the ranges of a call that is remembered
WHOLE = 1 << 20  # rows of a whole column
PACE = 0.002  # seconds from one call to the next of one calculation, at most
PAUSE = 5  # seconds before a worker that could not be started is tried again


def environment():
    """The environment for our Python: without what soffice exports for its own."""
    hidden = ("PYTHONPATH", "PYTHONHOME", "LD_LIBRARY_PATH")
    return {key: value for key, value in os.environ.items() if key not in hidden}


class Worker:
    """The functions in a process of their own. It ends when its input does: with LibreOffice."""

    def __init__(self, settings):
        self._python = settings["python"]
        self._lock = threading.Lock()
        self._process = None
        self._failed = ""
        self._again = 0.0

    def answer(self, name, cells):
        content = marshal.dumps((name, cells), 2)  # a fifth of the time of JSON
        request = len(content).to_bytes(4, "little") + content
        with self._lock:
            if self._failed and time.monotonic() < self._again:
                return {"failed": self._failed}, ()
            for _ in (1, 2):  # a worker that has died is started once more
                if self._process is None:
                    self._start()
                reply = self._exchange(request)
                if reply:
                    self._failed = ""
                    return marshal.loads(reply)
                self._failed = f"the worker process ended ({self._end()})"
            self._again = time.monotonic() + PAUSE
            return {"failed": self._failed}, ()

    def _exchange(self, request):
        """The reply of the worker; nothing where it has died."""
        try:
            self._process.stdin.write(request)
            self._process.stdin.flush()
            size = int.from_bytes(self._process.stdout.read(4), "little")
            reply = self._process.stdout.read(size)
        except OSError:
            return b""
        return reply if len(reply) == size else b""

    def _start(self):
        self._errors = tempfile.TemporaryFile()  # noqa: SIM115  (as long as the process)
        self._process = subprocess.Popen(
            [self._python, "-P", "-m", "xlfuncs.hosts.calc.worker"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=self._errors,
            env=environment(),
            creationflags=getattr(subprocess, "CREATE_NO_WINDOW", 0),
        )

    def _end(self):
        process, self._process = self._process, None
        process.kill()
        status = process.wait()
        self._errors.seek(0)
        lines = self._errors.read().decode("utf-8", "replace").strip().splitlines()
        return lines[-1] if lines else f"exit status {status}"


class InProcess:
    """The functions in LibreOffice's process."""

    def __init__(self, settings):
        import site

        before = list(sys.path)
        for folder in settings["paths"]:
            site.addsitedir(folder)
        # the environment's packages come before those of LibreOffice's Python
        sys.path[:] = [p for p in sys.path if p not in before] + before
        from xlfuncs.hosts.calc.ahead import Ahead
        from xlfuncs.hosts.calc.worker import ACTION, asked

        ahead = Ahead()
        self.answer = lambda name, cells: (asked(cells), ()) if name == ACTION else ahead.answer(name, cells)


_ways: dict = {}  # one worker for LibreOffice, however often Basic asks for it


def _way(settings):
    if settings not in _ways:
        how = json.loads(settings)
        _ways[settings] = (InProcess if how["in_process"] else Worker)(how)
    return _ways[settings]


class Functions(unohelper.Base, XInvocation):
    """What the Basic module calls: each function of the catalogue as a method."""

    def __init__(self, context, settings):
        self._context = context
        self._settings = settings
        self._flags = None
        self._known = {}
        self._truth, self._truths = None, {}
        self._read, self._answered = False, 0.0

    def invoke(self, name, arguments, _positions, _values):
        if name == "callFunction":
            name, *arguments = arguments
        if name in WORK:
            return WORK[name](self, *arguments[0]), (), ()
        if time.monotonic() - self._answered > PACE:
            self._read = False
        result = self.callFunction(name, arguments[0])
        self._answered = time.monotonic()
        if type(result) is tuple:
            result = ArrayWrapper(True, result)  # a range of cells for Basic
        return result, (), ()

    def callFunction(self, name, arguments):
        """The value of a function; an error is a NaN with its number, a range a tuple of rows."""
        large = _size(arguments) > LARGE
        truths = ()
        if large:
            arguments = _used(arguments)
        else:
            if _has_one(arguments):
                arguments = self._with_truths(name, arguments)
                truths = _places(arguments)
            if (name, arguments, truths) in self._known:  # calculated anew, with nothing changed
                return self._known[name, arguments, truths]
        try:
            result, others = _way(self._settings).answer(name, arguments)
        except BaseException as error:
            text = " ".join(str(error).split())[:300]
            result, others = {"failed": f"{type(error).__name__}: {text}"}, ()
        if type(result) is dict and "failed" in result:
            return (
                "{}; run 'xlfuncs doctor'".format(result["failed"]) if name == "LG_REASON" else _cell(result)
            )
        result = tuple(tuple(map(_cell, row)) for row in result) if type(result) is list else _cell(result)
        if not large:
            self._remember(
                [
                    ((name, arguments, truths), result),
                    *[((name, cells, ()), value) for cells, value in others],
                ]
            )
        return result

    def _only_flags(self, name, arguments):
        """Whether all that is 1 are arguments that take 1 for TRUE."""
        if self._flags is None:
            self._flags = json.loads(self._settings).get("flags", {})
        flags = self._flags.get(name)
        return bool(flags) and not _has_one([a for at, a in enumerate(arguments) if at not in flags])

    def _with_truths(self, name, arguments):
        """The arguments with True where a formula of an open document gives it, which Calc hands on as 1.

        The formulas are read once for calls that follow close upon another: for one calculation.
        """
        try:
            if self._only_flags(name, arguments):
                return arguments
            if not self._read:
                if self._truth is None:
                    self._truth = _module("truth.py")
                desktop = self._context.ServiceManager.createInstanceWithContext(
                    "com.sun.star.frame.Desktop", self._context
                )
                opened = desktop.Components.createEnumeration()
                documents = []
                while opened.hasMoreElements():
                    documents.append(opened.nextElement())
                documents = [one for one in documents if hasattr(one, "Sheets")]
                self._truths = self._truth["calls_with_truths"](documents)
                self._read = True
            return self._truth["marked"](name, arguments, self._truths)
        except Exception:  # a document that is just being opened or closed
            return arguments

    def _remember(self, results):
        self._known.update(results)
        if len(self._known) > ROOM:  # the older half goes
            for key in list(self._known)[: ROOM // 2]:
                del self._known[key]

    def _job(self, path):
        """Work through a file of jobs, once Basic has returned: no function answers before that."""
        _module("jobs.py")["later"](self._context, path)

    def _menu(self, command, document):
        """A command of the menu, once Basic has returned."""
        python = json.loads(self._settings)["python"]
        commands = importlib.import_module(_package() + ".commands")
        commands.later(self._context, self.ask, (python, environment()), command, document)

    def ask(self, **request):
        """What `xlfuncs.hosts.actions.answer` gives."""
        reply, _ = _way(self._settings).answer("action", json.dumps(request))
        if type(reply) is dict:
            raise RuntimeError("{}; run 'xlfuncs doctor'".format(reply["failed"]))
        return json.loads(reply)

    def _plain_names(self, document):
        """Call functions that Excel stored with the name of an add-in by their plain names."""
        known = json.loads(self._settings)["functions"]
        names = _module("../../spreadsheet/plain.py")

        def plain(formula):
            # what still names a link by its number cannot be written anew: Calc reads it from a file only
            new = names["plain"](formula, known)
            return formula if names["numbered"](new) else new

        _module("opened.py")["plain_names"](document, plain)

    def getIntrospection(self):
        return None

    def hasMethod(self, name):
        return True

    def hasProperty(self, name):
        return False

    def getValue(self, name):
        return None

    def setValue(self, name, value):
        pass


WORK = {"job": Functions._job, "menu": Functions._menu, "plain names": Functions._plain_names}


def _module(name):
    """A file from beside this one, whose folder is not on the path."""
    source = os.path.join(os.path.dirname(os.path.abspath(__file__)), name)
    module = {"__name__": "xlfuncs_" + os.path.basename(name)[:-3]}
    with open(source, encoding="utf-8") as file:
        exec(compile(file.read(), source, "exec"), module)
    return module


def _package():
    """The files beside this one as a package, for those that import one another: ours is not on the path."""
    name = "xlfuncs_beside"
    if name not in sys.modules:
        sys.modules[name] = types.ModuleType(name)
        sys.modules[name].__path__ = [os.path.dirname(os.path.abspath(__file__))]
    return name


def _size(arguments):
    return sum([len(a) * len(a[0]) for a in arguments if type(a) is tuple])


def _has_one(arguments):
    if 1 in arguments:
        return True
    return any(1 in row for a in arguments if type(a) is tuple for row in a)


def _places(arguments):
    """Where True stands among the arguments: as a key 1 is the same."""
    flat = [c for a in arguments for row in (a if type(a) is tuple else ((a,),)) for c in row]
    return tuple([at for at, cell in enumerate(flat) if cell is True])


def _used(arguments):
    """Whole columns, cut after the last row in which one of them holds something."""
    last = max([_last(a) for a in arguments if type(a) is tuple and len(a) >= WHOLE], default=0)
    return tuple([a[:last] if type(a) is tuple and len(a) >= WHOLE else a for a in arguments])


def _last(rows):
    for n in range(len(rows), 1, -1):
        if any(cell is not None and cell != "" for cell in rows[n - 1]):
            return n
    return 1


def _cell(value):
    """A value as a cell takes it: an error is a NaN with the error's number in its low bits."""
    if type(value) is not dict:
        return value
    return struct.unpack("<d", struct.pack("<Q", 0x7FF8000000000000 | value.get("error", VALUE)))[0]


g_ImplementationHelper = unohelper.ImplementationHelper()
g_ImplementationHelper.addImplementation(Functions, IMPLEMENTATION, (IMPLEMENTATION,))
