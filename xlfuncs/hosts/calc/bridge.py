"""Between LibreOffice and the functions. It runs in LibreOffice's own Python, whichever version that
is: the standard library and uno only. Nothing is ever raised to Basic, which would open a dialog.
"""

import json
import os
import struct
import subprocess
import sys
import tempfile
import threading

import unohelper
from com.sun.star.sheet import XFunctionAccess

IMPLEMENTATION = "xlfuncs.calc.Functions"
VALUE = 519  # Calc's number of #VALUE!


class Worker:
    """The functions in a process of their own; a line of JSON each way."""

    def __init__(self, settings):
        self._python = settings["python"]
        self._lock = threading.Lock()
        self._process = None

    def _start(self):
        # soffice exports these for its own Python
        hidden = ("PYTHONPATH", "PYTHONHOME", "LD_LIBRARY_PATH")
        environment = {key: value for key, value in os.environ.items() if key not in hidden}
        self._errors = tempfile.TemporaryFile()  # noqa: SIM115  (as long as the process)
        self._process = subprocess.Popen(
            [self._python, "-P", "-m", "xlfuncs.hosts.calc.worker"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=self._errors,
            env=environment,
            creationflags=getattr(subprocess, "CREATE_NO_WINDOW", 0),
        )

    def answer(self, name, cells):
        request = json.dumps([name, cells]).encode() + b"\n"
        with self._lock:
            for _ in (1, 2):  # a worker that has died is started once more
                if self._process is None:
                    self._start()
                try:
                    self._process.stdin.write(request)
                    self._process.stdin.flush()
                    reply = self._process.stdout.readline()
                except OSError:
                    reply = b""
                if reply:
                    return json.loads(reply)
                why = self._end()
            return {"failed": f"the worker process ended ({why})"}

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
        from xlfuncs.hosts.calc.answer import answer

        self.answer = answer


class Functions(unohelper.Base, XFunctionAccess):
    """What the Basic module calls."""

    def __init__(self, context, settings):
        self._context = context
        self._settings = json.loads(settings)
        self._functions = None

    def callFunction(self, name, arguments):
        try:
            if name == "job":
                self._job(*arguments)
                return ""
            if self._functions is None:
                kind = InProcess if self._settings["in_process"] else Worker
                self._functions = kind(self._settings)
            result = self._functions.answer(name, arguments)
        except BaseException as error:
            text = " ".join(str(error).split())[:300]
            result = {"failed": f"{type(error).__name__}: {text}"}
        if isinstance(result, dict) and "failed" in result and name == "LG_REASON":
            return f"{result['failed']}; run 'xlfuncs doctor'"
        if isinstance(result, list):
            return tuple(tuple(map(_cell, row)) for row in result)
        return _cell(result)

    def _job(self, path):
        """Work through a file of jobs, once Basic has returned: no function answers before that."""
        module = {"__name__": "xlfuncs_jobs"}
        source = os.path.join(os.path.dirname(os.path.abspath(__file__)), "jobs.py")
        with open(source, encoding="utf-8") as file:
            exec(compile(file.read(), source, "exec"), module)
        module["later"](self._context, path)


def _cell(value):
    """A value as a cell takes it: an error is a NaN with the error's number in its low bits."""
    if not isinstance(value, dict):
        return value
    number = value.get("error", VALUE)
    return struct.unpack("<d", struct.pack("<Q", 0x7FF8000000000000 | number))[0]


g_ImplementationHelper = unohelper.ImplementationHelper()
g_ImplementationHelper.addImplementation(Functions, IMPLEMENTATION, (IMPLEMENTATION,))
