"""Installing the functions in Excel, and finding out why they are not there.

Registry keys and policies: Microsoft's documentation of Office's administrative templates, from memory.
"""

from __future__ import annotations

import os
import site
import struct
import subprocess
import sys
import sysconfig
from collections.abc import Iterator
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import xlfuncs
from xlfuncs.errors import XlfuncsError
from xlfuncs.hosts.checks import Check
from xlfuncs.hosts.excel import addin
from xlfuncs.worksheet import catalogue

ELSEWHERE = (
    "Excel takes functions in Python on Windows only; use 'xlfuncs install calc' for LibreOffice Calc, "
    "or 'xlfuncs recalculate BOOK -o OUT' to have the results in the cells"
)
_AGAIN = "close Excel and run 'xlfuncs install excel'"
_ADMINISTRATOR = "ask whoever administers the policies of Office on this machine"


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

    def values(self, path: str) -> Iterator[Any]:
        """All values of a key of the user."""
        import winreg

        try:
            with winreg.OpenKey(winreg.HKEY_CURRENT_USER, path) as key:  # type: ignore[attr-defined]
                for number in range(winreg.QueryInfoKey(key)[1]):  # type: ignore[attr-defined]
                    yield winreg.EnumValue(key, number)[1]  # type: ignore[attr-defined]
        except OSError:
            return

    def running(self) -> bool:
        """Whether an Excel is open."""
        command = ["tasklist", "/FI", "IMAGENAME eq EXCEL.EXE", "/NH"]
        return b"EXCEL.EXE" in subprocess.run(command, capture_output=True, check=False).stdout.upper()

    def start_folder(self) -> Path:
        """The folder from which Excel opens everything at its start."""
        return Path(os.environ["APPDATA"]) / "Microsoft" / "Excel" / "XLSTART"

    def processor(self) -> str:
        """What this Python was made for: 'win-amd64', 'win32' or 'win-arm64', whatever the machine is."""
        return sysconfig.get_platform()

    def of_the_user(self) -> list[str]:
        """Packages that 'pip install --user' has put where Python by itself (-I) does not look."""
        folder = Path(site.getusersitepackages()).resolve()
        found = {name: find_spec(name) for name in ("xlfuncs", "xlwings", "win32api")}
        return [
            name
            for name, spec in found.items()
            if spec and folder in Path(str(spec.origin)).resolve().parents
        ]

    def spelt(self, text: str) -> bool:
        """Whether the machine's code page has all letters of a text: xlwings' library takes no others."""
        try:
            text.encode("mbcs", "strict")
        except UnicodeEncodeError:
            return False
        return True

    def server(self) -> str:
        """Why the server could not be imported as Excel has it done; "" where it could."""
        code = "import xlfuncs.hosts.excel.udfs, xlwings.com_server"
        command = [sys.executable, "-I", "-B", "-c", code]
        done = subprocess.run(command, capture_output=True, text=True, check=False, cwd=sys.prefix)
        return (done.stderr.strip().splitlines() or ["no reason given"])[-1] if done.returncode else ""


@dataclass(frozen=True)
class Excel:
    """The Excel of this machine."""

    version: str
    """'16.0'"""
    bits: int
    """64, 32, or 0 if it cannot be told."""


def find_excel(windows: Windows) -> Excel | None:
    """The installed Excel; None if there is none."""
    current = windows.registry(r"SOFTWARE\Classes\Excel.Application\CurVer")
    if not current:
        return None
    version = f"{str(current).rpartition('.')[2]}.0"
    platform_ = windows.registry(r"SOFTWARE\Microsoft\Office\ClickToRun\Configuration", "Platform")
    platform_ = platform_ or windows.registry(rf"SOFTWARE\Microsoft\Office\{version}\Outlook", "Bitness")
    return Excel(version, {"x64": 64, "x86": 32}.get(str(platform_), 0))


def install(windows: Windows) -> Iterator[str]:
    """Put the add-in where Excel finds it; tells what was done, line by line. Excel is not started."""
    excel = find_excel(windows)
    if excel is None:
        raise XlfuncsError("Excel was not found on this machine; " + ELSEWHERE.partition("; ")[2])
    for check in _environment(windows, excel):
        if not check.passed:
            raise XlfuncsError(f"{check.name}: {check.found}; {check.mend}")
    if windows.running():
        raise XlfuncsError("Excel is running; close all its windows, and run 'xlfuncs install excel' again")
    target = windows.start_folder() / addin.NAME
    target.parent.mkdir(parents=True, exist_ok=True)
    addin.build(target)
    yield f"wrote {target}, with {len(catalogue())} functions"
    left = [check for check in checks(windows) if not check.passed]
    for check in left:
        yield f"one thing remains: {check.name}: {check.found}; {check.mend}"
    if not left:
        yield "start Excel and type =LG_VERSION() in a cell; the ribbon has a tab 'Level gauges'"


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


def checks(windows: Windows) -> Iterator[Check]:
    """Each link of the chain from a formula to Python."""
    excel = find_excel(windows)
    if excel is None:
        yield Check("Excel", False, "not found", ELSEWHERE.partition("; ")[2])
        return
    bits = f"{excel.bits} bit" if excel.bits else "32 or 64 bit"
    yield Check("Excel", True, f"version {excel.version}, {bits}")
    yield from _environment(windows, excel)
    target = windows.start_folder() / addin.NAME
    if not target.exists():
        yield Check("add-in", False, f"no {target}", _AGAIN)
        return
    yield Check("add-in", True, str(target))
    yield from _add_in(target)
    yield _macros(windows, excel)
    yield _disabled(windows, excel)


# --- Python ---------------------------------------------------------------------------------------------


def _environment(windows: Windows, excel: Excel) -> Iterator[Check]:
    here = sys.executable
    bits = 8 * struct.calcsize("P")
    store = "WindowsApps" in here
    mend = "install Python from python.org, and xlfuncs into it"
    yield Check("Python for Excel", not store, f"{here}, {bits} bit", mend)
    yield _processor(windows)
    yield _library(windows, excel)
    plain = windows.spelt(str(addin.settings().command)) and "$(" not in here
    mend = "install Python and xlfuncs in a folder with plain letters in its name"
    yield Check(
        "name of the folder", plain, "can be passed on" if plain else f"{here} cannot be passed on", mend
    )
    yield _place(windows)
    broken = "" if store else windows.server()
    mend = "run 'pip install xlfuncs' with this Python, in a virtual environment or for all of it"
    yield Check("Python by itself", not broken, broken or "finds xlfuncs, xlwings and pywin32", mend)


def _processor(windows: Windows) -> Check:
    """Whether xlwings' library, which Excel loads, is published for what this Python was made for."""
    made_for = windows.processor()
    mend = (
        f"xlwings has no library for {made_for}: install the 64-bit Python for x64 processors from "
        "python.org, which Windows runs on this machine as well, and xlfuncs into it"
    )
    return Check("processor", made_for in ("win-amd64", "win32"), f"Python is made for {made_for}", mend)


def _place(windows: Windows) -> Check:
    """Whether the packages lie where a Python finds them that searches no folder of the user."""
    there = windows.of_the_user()
    mend = (
        "install them in a virtual environment, or for the whole Python without '--user': Excel starts a "
        "Python that searches no folder of the user"
    )
    said = f"{', '.join(there)} in a folder of the user (pip install --user)"
    return Check("place of the packages", not there, said if there else "those of this Python", mend)


def _library(windows: Windows, excel: Excel) -> Check:
    names = addin.library_names()
    wanted = [names[excel.bits]] if excel.bits else list(names.values())
    folder = addin.library_folder()
    there = [name for name in wanted if (folder / name).exists()]
    found = f"{', '.join(there or wanted)} {'in' if there else 'missing from'} {folder}"
    mend = "run 'pip install --force-reinstall --no-deps xlwings'"
    return Check("xlwings library", bool(there), found, mend)


# --- the add-in -----------------------------------------------------------------------------------------


def _add_in(target: Path) -> Iterator[Check]:
    try:
        found = addin.read(target)
    except Exception as error:  # whatever a file that is none of ours makes of the readers
        yield Check("functions of the add-in", False, f"cannot be read ({error})", _AGAIN)
        return
    missing = sorted(catalogue().keys() - found.functions)
    more = f" and {len(missing) - 3} more" if len(missing) > 3 else ""
    said = f"{', '.join(missing[:3])}{more} missing" if missing else f"{len(found.functions)}"
    yield Check("functions of the add-in", not missing, said, _AGAIN)
    made = found.settings
    same = made.version == xlfuncs.__version__
    yield Check("version of the add-in", same, made.version or "none", _AGAIN)
    right = found.libraries == set(addin.library_names().values()) and made.folder == str(
        addin.library_folder()
    )
    said = f"{', '.join(sorted(found.libraries)) or 'none'} in {made.folder}"
    yield Check("library of the add-in", right, said, _AGAIN)
    command = made.command == addin.settings().command
    yield Check("Python of the add-in", command, made.python or "none", _AGAIN)
    yield Check("ribbon of the add-in", found.ribbon, "there" if found.ribbon else "missing", _AGAIN)


def _macros(windows: Windows, excel: Excel) -> Check:
    """Whether Excel runs the macros of what lies in its start folder, a trusted location."""

    def setting(path: str, value: str) -> tuple[Any, bool]:
        """A setting, and whether a policy makes it, which counts before the user's own."""
        by_policy = windows.registry(rf"SOFTWARE\Policies\Microsoft\Office\{path}", value)
        if by_policy is not None:
            return by_policy, True
        return windows.registry(rf"SOFTWARE\Microsoft\Office\{path}", value), False

    security = rf"{excel.version}\Excel\Security"
    if setting(rf"{excel.version}\Common", "VbaOff")[0] == 1:
        return Check("macros", False, "VBA is switched off for Office (VbaOff)", _ADMINISTRATOR)
    closed, closed_by_policy = setting(rf"{security}\Trusted Locations", "AllLocationsDisabled")
    level, by_policy = setting(security, "VBAWarnings")
    how = {3: "only signed ones", 4: "disabled without notice"}.get(level, "permitted")
    if closed != 1:
        return Check("macros", True, f"{how}; of the start folder, a trusted location, permitted")
    if level not in (3, 4):
        return Check("macros", True, f"{how}, after a question, since trusted locations are disabled")
    mend = (
        "in Excel's Trust Center permit trusted locations, or choose 'Disable VBA macros with notification'"
    )
    said = f"{how}, and trusted locations are disabled (AllLocationsDisabled)"
    return Check("macros", False, said, _ADMINISTRATOR if by_policy or closed_by_policy else mend)


def _disabled(windows: Windows, excel: Excel) -> Check:
    """Whether Excel keeps the add-in from being opened, as it does after a crash."""
    key = rf"SOFTWARE\Microsoft\Office\{excel.version}\Excel\Resiliency\DisabledItems"
    name = addin.NAME.encode("utf-16-le")
    kept = any(isinstance(item, bytes) and name in item.lower() for item in windows.values(key))
    mend = "in Excel click File > Options > Add-ins > Manage: Disabled Items > Go, and enable xlfuncs.xlam"
    return Check("not disabled after a crash", not kept, "disabled" if kept else "it is not", mend)
