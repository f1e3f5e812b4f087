"""What the VBA module gets in place of xlwings' server when LibreOffice runs it.

It runs in LibreOffice's own Python: the standard library and uno only. Calls go to `excel_stand_in` in a
process of its own, which ends with LibreOffice.
"""

import json
import subprocess

import unohelper
from com.sun.star.script import XInvocation

NAME = "xlfuncs.excel.StandIn"
_processes: dict = {}


class Server(unohelper.Base, XInvocation):
    """An object with the method CallUDF."""

    def __init__(self, context, command):
        if command not in _processes:
            pipe = subprocess.PIPE
            _processes[command] = subprocess.Popen(json.loads(command), stdin=pipe, stdout=pipe, text=True)
        self._process = _processes[command]

    def getIntrospection(self):
        return None

    def hasMethod(self, name):
        return name == "CallUDF"

    def hasProperty(self, name):
        return False

    def getValue(self, name):
        return None

    def setValue(self, name, value):
        pass

    def invoke(self, name, parameters, places, values):
        _, what, cells = parameters
        self._process.stdin.write(json.dumps([what, cells]) + "\n")
        self._process.stdin.flush()
        return _number(json.loads(self._process.stdout.readline())), (), ()


def _number(value):
    """A result with its error values as integers, as VBA gets them."""
    if isinstance(value, list):
        return tuple(map(_number, value))
    return value["error"] if isinstance(value, dict) else value


g_ImplementationHelper = unohelper.ImplementationHelper()
g_ImplementationHelper.addImplementation(Server, NAME, (NAME,))
