"""The add-in file for Excel: the template of xlwings with our settings in its sheet.

The template keeps its settings in a sheet 'myaddin.conf', delivered as '_myaddin.conf', which it ignores.
Settings of other xlwings projects on the machine are not touched.
"""

from __future__ import annotations

import sys
from pathlib import Path

from xlfuncs.errors import XlfuncsError
from xlfuncs.spreadsheet.files import whole_file
from xlfuncs.spreadsheet.inplace import Edit, Workbook

NAME = "xlfuncs.xlam"
UDF_MODULE = "xlfuncs.hosts.excel.udfs"
SHEET = "myaddin.conf"


def settings() -> dict[str, str]:
    """What xlwings has to know: the Python of this environment and the module of functions."""
    return {
        "Interpreter_Win": sys.executable,
        "UDF Modules": UDF_MODULE,
        "ADD_WORKBOOK_TO_PYTHONPATH": "false",  # no file beside a workbook takes the place of a module
    }


def template() -> Path:
    """The empty add-in that comes with xlwings."""
    import xlwings

    found = Path(xlwings.__file__).with_name("quickstart_addin.xlam")
    if not found.exists():
        raise XlfuncsError(f"{found}: xlwings comes without its add-in template; install xlwings from PyPI")
    return found


def build(target: Path) -> None:
    """Write the add-in file; its functions are imported by Excel afterwards."""
    with Workbook(template()) as book, whole_file(target) as draft:
        (sheet,) = book.cells.sheets.values()
        keys = {str(value).casefold(): row for (row, column), value in sheet.values.items() if column == 1}
        edits: dict[tuple[int, int], Edit] = {}
        for key, value in settings().items():
            row = keys.get(key.casefold(), max(keys.values()) + 1)
            keys[key.casefold()] = row
            edits[row, 1] = Edit(key, formula=False)
            edits[row, 2] = Edit(value, formula=False)
        book.save(draft, {sheet.name: edits}, sheets={sheet.name: SHEET})
