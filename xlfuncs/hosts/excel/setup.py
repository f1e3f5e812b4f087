"""Installing the functions in Excel, and finding out why they are not there."""

from __future__ import annotations

import os
import struct
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from typing import Any

from xlfuncs.errors import XlfuncsError
from xlfuncs.hosts.checks import Check
from xlfuncs.hosts.excel import addin

TRUST = (
    "in Excel click File > Options > Trust Center > Trust Center Settings > Macro Settings and tick "
    "'Trust access to the VBA project object model', close Excel, and run 'xlfuncs install excel' again"
)
ELSEWHERE = (
    "Excel takes functions in Python on Windows only; use 'xlfuncs install calc' for LibreOffice Calc, "
    "or 'xlfuncs recalculate BOOK -o OUT' to have the results in the cells"
)


class Windows:
    """What is asked of Windows; tests put something else in its place."""

    def registry(self, path: str, value: str = "") -> Any:
        """A value of the registry, for the user or the machine; None if it is not there."""
        import winreg

        for root in (winreg.HKEY_CURRENT_USER, winreg.HKEY_LOCAL_MACHINE):  # type: ignore[attr-defined]
            try:
                with winreg.OpenKey(root, path) as key:  # type: ignore[attr-defined]
                    return winreg.QueryValueEx(key, value)[0]  # type: ignore[attr-defined]
            except OSError:
                continue
        return None

    def excel(self) -> Any:
        """A new, invisible Excel."""
        return import_module("win32com.client").DispatchEx("Excel.Application")

    def import_functions(self, book: Any) -> None:
        """Write the VBA module of our functions into an open workbook."""
        import_module("xlwings").import_udfs(addin.UDF_MODULE, book)

    def running(self) -> bool:
        """Whether an Excel is open."""
        import subprocess

        command = ["tasklist", "/FI", "IMAGENAME eq EXCEL.EXE", "/NH"]
        return b"EXCEL.EXE" in subprocess.run(command, capture_output=True, check=False).stdout.upper()

    def start_folder(self) -> Path:
        """The folder from which Excel opens everything at its start."""
        return Path(os.environ["APPDATA"]) / "Microsoft" / "Excel" / "XLSTART"


@dataclass(frozen=True)
class Excel:
    """The Excel of this machine."""

    version: str
    """'16.0'"""
    bits: int
    """64, 32, or 0 if it cannot be told."""
    trusted: bool
    """Programs may write VBA modules."""


def find_excel(windows: Windows) -> Excel | None:
    """The installed Excel; None if there is none."""
    current = windows.registry(r"SOFTWARE\Classes\Excel.Application\CurVer")
    if not current:
        return None
    version = f"{str(current).rpartition('.')[2]}.0"
    office = rf"SOFTWARE\Microsoft\Office\{version}"
    platform = windows.registry(r"SOFTWARE\Microsoft\Office\ClickToRun\Configuration", "Platform")
    platform = platform or windows.registry(rf"{office}\Outlook", "Bitness")
    policy = windows.registry(rf"SOFTWARE\Policies\Microsoft\Office\{version}\Excel\Security", "AccessVBOM")
    trust = policy if policy is not None else windows.registry(rf"{office}\Excel\Security", "AccessVBOM")
    return Excel(version, {"x64": 64, "x86": 32}.get(str(platform), 0), trust == 1)


def install(windows: Windows) -> Iterator[str]:
    """Put the add-in where Excel finds it, with the functions in it; tells what was done, line by line."""
    excel = find_excel(windows)
    if excel is None:
        raise XlfuncsError("Excel was not found on this machine; " + ELSEWHERE.partition("; ")[2])
    for check in (_python(), _library(excel)):
        if not check.passed:
            raise XlfuncsError(f"{check.name}: {check.found}; {check.mend}")
    if windows.running():
        raise XlfuncsError("Excel is running; close all its windows, and run 'xlfuncs install excel' again")
    target = windows.start_folder() / addin.NAME
    target.parent.mkdir(parents=True, exist_ok=True)
    addin.build(target)
    yield f"wrote {target}"
    if not excel.trusted:
        yield f"one thing remains: {TRUST}"
        return
    _import(windows, target)
    yield "imported the functions; start Excel and type =LG_VERSION() in a cell"


def _import(windows: Windows, target: Path) -> None:
    application = windows.excel()
    try:
        application.DisplayAlerts = False
        book = application.Workbooks.Open(str(target))
        windows.import_functions(book)
        book.Save()
        book.Close(False)
    except Exception as error:  # whatever COM raises
        raise XlfuncsError(
            f"Excel did not take the functions ({error}); {TRUST}; or start Excel, press Alt+F8, "
            "type ImportPythonUDFsToAddin, and click Run"
        ) from error
    finally:
        application.Quit()


def remove(windows: Windows) -> Iterator[str]:
    """Delete the add-in."""
    target = windows.start_folder() / addin.NAME
    if windows.running():
        raise XlfuncsError("Excel is running; close all its windows, and try again")
    if target.exists():
        target.unlink()
        yield f"deleted {target}"
    else:
        yield f"there was no {target}"


def _python() -> Check:
    here = sys.executable
    bits = 8 * struct.calcsize("P")
    mend = "install Python from python.org, and xlfuncs into it"
    return Check("Python for Excel", "WindowsApps" not in here, f"{here}, {bits} bit", mend)


def _library(excel: Excel) -> Check:
    import xlwings

    kinds = [excel.bits] if excel.bits else [64, 32]
    wanted = [f"xlwings{bits}-{xlwings.__version__}.dll" for bits in kinds]
    folders = (Path(sys.executable).parent, Path(sys.executable).parent.parent)
    there = [name for name in wanted if any((folder / name).exists() for folder in folders)]
    found = f"{', '.join(there or wanted)} {'in' if there else 'missing from'} {folders[1]}"
    return Check(
        "xlwings library", bool(there), found, "run 'pip install --force-reinstall --no-deps xlwings'"
    )


def checks(windows: Windows) -> Iterator[Check]:
    """Each link of the chain from a formula to Python."""
    excel = find_excel(windows)
    if excel is None:
        yield Check("Excel", False, "not found", ELSEWHERE.partition("; ")[2])
        return
    bits = f"{excel.bits} bit" if excel.bits else "32 or 64 bit"
    yield Check("Excel", True, f"version {excel.version}, {bits}")
    yield _python()
    yield _library(excel)
    yield Check("access to VBA", excel.trusted, "trusted" if excel.trusted else "not trusted", TRUST)
    target = windows.start_folder() / addin.NAME
    again = "run 'xlfuncs install excel'"
    if not target.exists():
        yield Check("add-in", False, f"no {target}", again)
        return
    yield Check("add-in", True, str(target))
    python = _interpreter(target)
    yield Check("Python of the add-in", python == sys.executable, python or "none", again)
    disabled = windows.registry(rf"SOFTWARE\Microsoft\Office\{excel.version}\Excel\Security", "VBAWarnings")
    mend = "in Excel's Macro Settings choose 'Disable VBA macros with notification', not without"
    yield Check("macros", disabled != 4, "disabled without notice" if disabled == 4 else "permitted", mend)


def _interpreter(target: Path) -> str:
    from xlfuncs.spreadsheet.inplace import Workbook

    with Workbook(target) as book:
        sheet = book.cells.sheets.get(addin.SHEET)
        values = sheet.values if sheet else {}
        rows = {str(values[row, 1]).casefold(): row for row, column in values if column == 1}
        return str(values.get((rows.get("interpreter_win", 0), 2), ""))
