"""xlwings as it runs under Windows, with only the COM modules substituted.

`start()` puts stand-ins for pywin32 and the Windows part of ctypes in place and imports xlwings, which
then takes the machine for Windows: its own code reads ranges, calls the functions, converts the results
and writes the VBA module. It must be called in a process of its own, before xlwings is imported.
"""

from __future__ import annotations

import ctypes
import subprocess
import sys
import types
from typing import Any

RANGE = "{00020846-0000-0000-C000-000000000046}"
"""Interface of Excel's Range object."""
MISSING = -2147352572
"""What VBA hands over for an optional argument that was left out (DISP_E_PARAMNOTFOUND)."""
DIV0 = -2146826281
"""What VBA hands over for a cell that holds #DIV/0!."""


class Variant:
    """`win32com.client.VARIANT`: a value with the type that it is to have in COM."""

    def __init__(self, varianttype: int, value: Any) -> None:
        self.varianttype, self.value = varianttype, value


class _Dispatch:
    """A COM object."""


class FakeRange(_Dispatch):
    """A range of cells as Excel's object model shows it."""

    CLSID = RANGE

    def __init__(self, rows: list[list[Any]]) -> None:
        self._rows = tuple(map(tuple, rows))
        self.Rows = types.SimpleNamespace(Count=len(rows))
        self.Columns = types.SimpleNamespace(Count=len(rows[0]))
        self.Row = self.Column = 1
        self.Count = len(rows) * len(rows[0])
        book = types.SimpleNamespace(Application=types.SimpleNamespace(Hwnd=1), Name="book.xlsx")
        self.Worksheet = types.SimpleNamespace(Parent=book, Name="Sheet1")
        attributes = types.SimpleNamespace(iid=RANGE)
        information = types.SimpleNamespace(GetTypeAttr=lambda: attributes)
        self._oleobj_ = types.SimpleNamespace(GetTypeInfo=lambda: information)

    @property
    def Value(self) -> Any:
        """A value for one cell, else a tuple of rows."""
        return self._rows[0][0] if self.Count == 1 else self._rows


class FakeComponents:
    """The VBA components of a workbook, when programs may write them."""

    def __init__(self, error: type[Exception]) -> None:
        self.text = ""
        self._error = error

    def __call__(self, name: str) -> Any:
        raise self._error(f"there is no component {name}")

    def Remove(self, component: Any) -> None:
        raise AssertionError(component)

    def Import(self, path: str) -> None:
        with open(path, encoding="utf-8") as file:
            self.text = file.read()


class FakeBook(_Dispatch):
    """The add-in, open in Excel."""

    Name = "xlfuncs.xlam"

    def __init__(self, error: type[Exception]) -> None:
        self.helps: dict[str, dict[str, Any]] = {}
        self.VBProject = types.SimpleNamespace(VBComponents=FakeComponents(error))
        self.Application = types.SimpleNamespace(Version="16.0", MacroOptions=self._macro_options)
        self.Worksheets: list[Any] = []
        self.Sheets = self.Worksheets

    def _macro_options(self, name: str, **options: Any) -> None:
        self.helps[name.rpartition("!")[2]] = options


def start() -> types.ModuleType:
    """Import xlwings as on Windows; gives its module `udfs`."""
    import asyncio  # noqa: F401  these are loaded before the platform changes
    import concurrent.futures  # noqa: F401
    import tempfile  # noqa: F401

    import numpy  # noqa: F401

    class ComError(Exception):
        hresult = 0

    def module(name: str, **attributes: Any) -> None:
        made = types.ModuleType(name)
        made.__dict__.update(attributes)
        sys.modules[name] = made

    def nothing(*_: Any, **__: Any) -> None:
        return None

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
        TypeIIDs={"dispatch": _Dispatch},
    )
    client = {
        "CDispatch": _Dispatch,
        "CoClassBaseClass": type("CoClassBaseClass", (), {}),
        "DispatchBaseClass": type("DispatchBaseClass", (), {}),
        "Dispatch": lambda found, *_, **__: found,
        "DispatchEx": nothing,
        "VARIANT": Variant,
        "gencache": types.SimpleNamespace(EnsureModule=nothing),
    }
    module("win32com", client=types.SimpleNamespace(**client))
    module("win32com.client", **client)
    module("win32com.server", util=types.SimpleNamespace())
    for name in ("util", "policy", "dispatcher"):
        module(f"win32com.server.{name}")
    library = types.SimpleNamespace(
        ole32=types.SimpleNamespace(CLSIDFromString=nothing),
        oleacc=types.SimpleNamespace(AccessibleObjectFromWindow=nothing),
        PyCom_PyObjectFromIUnknown=nothing,
    )

    def from_unknown() -> None:
        return None

    ctypes.windll = ctypes.oledll = library  # type: ignore[attr-defined]
    ctypes.PyDLL = lambda name: types.SimpleNamespace(PyCom_PyObjectFromIUnknown=from_unknown)  # type: ignore
    subprocess.CREATE_NO_WINDOW = 0  # type: ignore[attr-defined]
    here, sys.platform = sys.platform, "win32"
    import xlwings

    sys.platform = here  # the libraries of the functions load as ever

    assert "excel" in [engine.name for engine in xlwings.engines]
    return sys.modules["xlwings.udfs"]


def com_error() -> type[Exception]:
    """The error that COM raises."""
    found: type[Exception] = sys.modules["pywintypes"].com_error
    return found
