"""xlwings as it runs under Windows, with only the COM modules substituted.

`start()` puts stand-ins for pywin32 and the Windows part of ctypes in place, and gives xlwings' own COM
server, as Excel's VBA gets it: its code takes the arguments, calls the functions and hands back the results.
It must be called in a process of its own, before xlwings is imported.

`python -I tests/excel_stand_in.py` is such a server on a pipe: a line of JSON for a call, one for its result.
An error value is {"error": number}, an argument left out "missing", in both directions as in a VARIANT.
"""

from __future__ import annotations

import ctypes
import json
import subprocess
import sys
import types
from typing import Any

MISSING = 0x80020004 - (1 << 32)
"""What VBA hands over for an optional argument that was left out (DISP_E_PARAMNOTFOUND)."""
ERRORS = 0x800A0000 - (1 << 32)
"""What it hands over for an error value, less the error's number in VBA."""


def start() -> Any:
    """Import xlwings as on Windows; gives its COM server."""
    import asyncio  # noqa: F401  these are loaded before the platform changes
    import concurrent.futures  # noqa: F401
    import tempfile  # noqa: F401

    import numpy  # noqa: F401

    class ComError(Exception):
        hresult = 0

    class Dispatch:
        """A COM object."""

    def module(name: str, **attributes: Any) -> None:
        made = types.ModuleType(name)
        made.__dict__.update(attributes)
        sys.modules[name] = made

    def nothing(*_: Any, **__: Any) -> None:
        return None

    def not_ours(value: Any) -> Any:
        raise ComError(f"{value} is no object of this server")

    module(
        "pywintypes", com_error=ComError, error=ComError, TimeType=type("Time", (), {}), IID=lambda text: text
    )
    module("win32api")
    module("win32con")
    module("win32gui")
    module("win32event")
    module("win32process", GetWindowThreadProcessId=lambda window: (0, 1))
    module("win32timezone")
    module(
        "pythoncom",
        __file__="pythoncom",
        com_error=ComError,
        ole_error=ComError,
        CoInitialize=nothing,
        IID_IDispatch="dispatch",
        IID_IEnumVARIANT="enum",
        TypeIIDs={"dispatch": Dispatch},
    )
    client = {
        "CDispatch": Dispatch,
        "CoClassBaseClass": type("CoClassBaseClass", (), {}),
        "DispatchBaseClass": type("DispatchBaseClass", (), {}),
        "Dispatch": lambda found, *_, **__: found,
        "DispatchEx": nothing,
        "gencache": types.SimpleNamespace(EnsureModule=nothing),
    }
    module("win32com", client=types.SimpleNamespace(**client))
    module("win32com.client", **client)
    module("win32com.server.util", unwrap=not_ours)
    module("win32com.server.policy")
    module("win32com.server.dispatcher")
    util = sys.modules["win32com.server.util"]
    module("win32com.server", util=util)
    sys.modules["win32com"].server = sys.modules["win32com.server"]  # type: ignore[attr-defined]
    library = types.SimpleNamespace(
        ole32=types.SimpleNamespace(CLSIDFromString=nothing),
        oleacc=types.SimpleNamespace(AccessibleObjectFromWindow=nothing),
        PyCom_PyObjectFromIUnknown=nothing,
    )

    def from_unknown() -> None:
        return None

    ctypes.windll = ctypes.oledll = library  # type: ignore[attr-defined]
    vars(ctypes)["PyDLL"] = lambda name: types.SimpleNamespace(PyCom_PyObjectFromIUnknown=from_unknown)
    subprocess.CREATE_NO_WINDOW = 0  # type: ignore[attr-defined]
    here, sys.platform = sys.platform, "win32"
    import xlwings

    sys.platform = here  # the libraries of the functions load as ever

    assert "excel" in [engine.name for engine in xlwings.engines]
    return sys.modules["xlwings.com_server"].XLPython()


def from_json(value: Any) -> Any:
    """A value as pywin32 makes it of a VARIANT."""
    if isinstance(value, list):
        return tuple(map(from_json, value))
    if isinstance(value, dict):
        return MISSING if "missing" in value else ERRORS + value["error"]
    return float(value) if type(value) is int else value


def to_json(value: Any) -> Any:
    """A result with each integer as what VBA makes of it: an error value."""
    if isinstance(value, (list, tuple)):
        return [to_json(cell) for cell in value]
    return {"error": value} if type(value) is int else value


def main() -> None:
    """Answer calls until there are no more: [function of our module, arguments]."""
    server = start()
    module = "xlfuncs.hosts.excel.udfs"
    for line in sys.stdin:
        name, arguments = json.loads(line)
        found = server.CallUDF(module, name, tuple(map(from_json, arguments)))
        print(json.dumps(to_json(found)), flush=True)


if __name__ == "__main__":
    main()
