"""What the VBA module gets in place of xlwings' server when LibreOffice runs it.

It runs in LibreOffice's own Python: the standard library and uno only. Calls go to `excel_stand_in` in a
process of its own, which ends with LibreOffice.
"""

import json
import subprocess
from typing import Any

import unohelper
from com.sun.star.script import XInvocation

NAME = "xlfuncs.excel.StandIn"
_processes: dict[str, subprocess.Popen[str]] = {}


class Server(unohelper.Base, XInvocation):
    """An object with the method CallUDF."""

    def __init__(self, context: Any, command: str) -> None:
        if command not in _processes:
            pipe = subprocess.PIPE
            _processes[command] = subprocess.Popen(json.loads(command), stdin=pipe, stdout=pipe, text=True)
        self._process = _processes[command]

    def getIntrospection(self) -> None:
        return None

    def hasMethod(self, name: str) -> bool:
        return name == "CallUDF"

    def hasProperty(self, name: str) -> bool:
        return False

    def getValue(self, name: str) -> None:
        return None

    def setValue(self, name: str, value: Any) -> None:
        pass

    def invoke(
        self, name: str, parameters: tuple[Any, ...], places: Any, values: Any
    ) -> tuple[Any, tuple[()], tuple[()]]:
        _, what, cells = parameters
        assert self._process.stdin is not None and self._process.stdout is not None
        self._process.stdin.write(json.dumps([what, cells]) + "\n")
        self._process.stdin.flush()
        return _number(json.loads(self._process.stdout.readline())), (), ()


def _number(value: Any) -> Any:
    """A result with its error values as integers, as VBA gets them."""
    if isinstance(value, list):
        return tuple(map(_number, value))
    return value["error"] if isinstance(value, dict) else value


g_ImplementationHelper = unohelper.ImplementationHelper()
g_ImplementationHelper.addImplementation(Server, NAME, (NAME,))
