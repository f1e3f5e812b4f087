"""The add-in file for Excel, made without Excel: a VBA module, its settings, the help, the ribbon.

VBA project: [MS-OVBA], written by pyOpenVBA. Package: ECMA-376 part 2. Ribbon: [MS-CUSTOMUI2], part
customUI/customUI14.xml.
"""

from __future__ import annotations

import re
import subprocess
import sys
import tempfile
import zipfile
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape

import xlfuncs
from xlfuncs.errors import XlfuncsError
from xlfuncs.spreadsheet.address import column_letter
from xlfuncs.spreadsheet.files import whole_file
from xlfuncs.worksheet import catalogue
from xlfuncs.worksheet.spec import Argument, Function

NAME = "xlfuncs.xlam"
MODULE = "xlfuncs"
"""Name of the VBA module."""
UDF_MODULE = "xlfuncs.hosts.excel.udfs"
SHEET = "xlfuncs"
_HELP_AFTER = 5
"""Rows of the settings and the blank one behind them."""
_HERE = Path(__file__).parent
_LONGEST = 255
"""Characters that 'Insert function' takes (MacroOptions)."""
_RIBBON = "customUI/customUI14.xml"
_RIBBON_TYPE = "http://schemas.microsoft.com/office/2007/relationships/ui/extensibility"
_CORE = """\
<?xml version="1.0" encoding="UTF-8" standalone="yes"?>
<cp:coreProperties xmlns:cp="http://schemas.openxmlformats.org/package/2006/metadata/core-properties" \
xmlns:dc="http://purl.org/dc/elements/1.1/"><dc:title>xlfuncs</dc:title>\
<dc:creator>xlfuncs</dc:creator></cp:coreProperties>
"""


@dataclass(frozen=True, slots=True)
class Settings:
    """What the add-in has to know, at the head of its sheet: no other place is asked."""

    version: str
    """Of xlfuncs."""
    folder: str
    """Where xlwings' library is."""
    command: str
    """What starts Python; xlwings' library puts the class of its server in the place of $(CLSID)."""
    python: str


def settings() -> Settings:
    """The settings for this environment."""
    code = "from xlfuncs.hosts.excel.server import serve; serve('$(CLSID)')"
    return Settings(
        xlfuncs.__version__,
        str(library_folder()),
        # -I: no folder but Python's own, no variable of the environment. -B: nothing is written
        subprocess.list2cmdline([sys.executable, "-I", "-B", "-c", code]),
        sys.executable,
    )


def xlwings_version() -> str:
    """The version that is installed; it stands in the name of the library."""
    from importlib.metadata import version

    return version("xlwings")


def library_names() -> dict[int, str]:
    """xlwings' library by the bits of the Excel that loads it."""
    return {bits: f"xlwings{bits}-{xlwings_version()}.dll" for bits in (64, 32)}


def library_folder() -> Path:
    """Where pip put xlwings' libraries: beside Python, or above the folder of a virtual environment's."""
    here = Path(sys.executable).parent
    for folder in (here, here.parent):
        if any((folder / name).exists() for name in library_names().values()):
            return folder
    return here


# --- the VBA project ------------------------------------------------------------------------------------


def module() -> str:
    """The text of the VBA module, ASCII only, so that no code page matters."""
    text = (_HERE / "xlfuncs.bas").read_text("ascii")
    for mark, value in (
        ("@VERSION@", xlfuncs.__version__),
        ("@XLWINGS@", xlwings_version()),
        ("@MODULE@", UDF_MODULE),
        ("@FIRST@", str(_HELP_AFTER + 1)),
        ("@LAST@", str(_HELP_AFTER + len(catalogue()))),
        ("@FUNCTIONS@\n", "".join(map(_function, catalogue().values()))),
    ):
        text = text.replace(mark, value)
    return text.replace("\n", "\r\n")


def opening() -> str:
    """The text of the module ThisWorkbook."""
    return (_HERE / "ThisWorkbook.cls").read_text("ascii").replace("\n", "\r\n")


def _function(function: Function) -> str:
    names = [*(a.name for a in function.arguments), *(["unit"] * function.takes_unit)]
    # all optional: Excel would refuse a call that lacks one by itself, and without a reason
    declared = ", ".join(f"Optional {name}" for name in names)
    return (
        f"\nPublic Function {function.name}({declared})\n"
        f'    {function.name} = Answer("{function.name}", Array({", ".join(names)}))\n'
        "End Function\n"
    )


# --- the sheet ------------------------------------------------------------------------------------------


def settings_rows(found: Settings) -> list[list[Any]]:
    """The head of the sheet; VBA reads B2 and B3."""
    return [
        ["xlfuncs", found.version],
        ["folder of xlwings' library", found.folder],
        ["command", found.command],
        ["Python", found.python],
        [],
    ]


def help_rows() -> Iterator[list[Any]]:
    """Behind the settings: function, category, description, number of arguments, help of each."""
    for function in catalogue().values():
        unit = f" Result in {function.result.unit}." if function.result.unit else ""
        texts = [_help(argument) for argument in function.arguments]
        if function.takes_unit:
            texts.append(f"unit of the result; {function.result.unit} if left out")
        head = [function.name, f"xlfuncs: {function.category}", f"{function.summary}.{unit}"]
        yield [*head, len(texts), *(_short(text) for text in texts)]


def _help(argument: Argument) -> str:
    parts = [argument.meaning]
    if argument.unit:
        parts.append(f"a number in {argument.unit}, or text with its unit")
    if argument.usual:
        parts.append(f"{argument.usual} if left out")
    elif not argument.required:
        parts.append("may be left out")
    return "; ".join(parts)


def _short(text: str) -> str:
    return text if len(text) <= _LONGEST else f"{text[: _LONGEST - 4]} ..."


def _cells(rows: Iterable[list[Any]]) -> str:
    """Texts and numbers as a worksheet holds them."""
    lines = []
    for r, row in enumerate(rows, 1):
        cells = [_cell(f"{column_letter(c)}{r}", value) for c, value in enumerate(row, 1)]
        lines.append(f'<row r="{r}">{"".join(cells)}</row>')
    return "".join(lines)


def _cell(place: str, value: str | int) -> str:
    if isinstance(value, int):
        return f'<c r="{place}"><v>{value}</v></c>'
    return f'<c r="{place}" t="inlineStr"><is><t xml:space="preserve">{escape(value)}</t></is></c>'


# --- the file -------------------------------------------------------------------------------------------


def build(target: Path) -> None:
    """Write the add-in file."""
    from pyopenvba import ExcelFile
    from pyopenvba.vba import VBAModuleKind

    with tempfile.TemporaryDirectory(prefix="xlfuncs-") as folder:
        plain = Path(folder) / NAME
        with ExcelFile.create_new(plain) as book:
            book.set_module("ThisWorkbook", opening())
            project = book.vba_project()
            project.delete_module("Module1")
            project.add_module(MODULE, module(), kind=VBAModuleKind.standard)
            book.save()
        with whole_file(target) as draft:
            _furnish(plain, draft)


def _furnish(plain: Path, target: Path) -> None:
    """Put settings, help and ribbon into the add-in."""
    rows = _cells([*settings_rows(settings()), *help_rows()])
    replaced = {
        "xl/worksheets/sheet1.xml": ("<sheetData/>", f"<sheetData>{rows}</sheetData>"),
        "xl/workbook.xml": ('<sheet name="Sheet1"', f'<sheet name="{SHEET}"'),
        "docProps/app.xml": ("<vt:lpstr>Sheet1<", f"<vt:lpstr>{SHEET}<"),
        "_rels/.rels": (
            "</Relationships>",
            f'<Relationship Id="xlfuncs" Type="{_RIBBON_TYPE}" Target="{_RIBBON}"/></Relationships>',
        ),
    }
    with zipfile.ZipFile(plain) as source, zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as made:
        for name in source.namelist():
            part = source.read(name)
            if name in replaced:
                old, new = replaced[name]
                if part.count(old.encode()) != 1:
                    raise XlfuncsError(f"pyOpenVBA's empty add-in has another {name}; install pyOpenVBA 6.5")
                part = part.replace(old.encode(), new.encode())
            made.writestr(_info(name), _CORE if name == "docProps/core.xml" else part)
        made.writestr(_info(_RIBBON), (_HERE / "ribbon.xml").read_bytes())


def _info(name: str) -> zipfile.ZipInfo:
    """An entry that is the same whenever it is written."""
    info = zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0))
    info.compress_type = zipfile.ZIP_DEFLATED
    return info


# --- reading it back ------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Found:
    """What stands in an add-in file."""

    settings: Settings
    functions: frozenset[str]
    libraries: frozenset[str]
    """Names of the libraries that its module declares."""
    ribbon: bool


def read(target: Path) -> Found:
    """What stands in an add-in file; XlfuncsError where it is none of ours."""
    from pyopenvba import ExcelFile

    from xlfuncs.spreadsheet.inplace import Workbook

    with Workbook(target) as book:
        sheet = book.cells.sheets.get(SHEET)
        values = sheet.values if sheet else {}
        found = Settings(*(str(values.get((row, 2), "")) for row in range(1, 5)))
    with ExcelFile(target) as file:
        text = file.get_module(MODULE) if MODULE in file.module_names() else ""
    with zipfile.ZipFile(target) as package:
        ribbon = _RIBBON in package.namelist()
    functions = frozenset(re.findall(r"^Public Function (LG_\w+)\(", text, re.MULTILINE))
    return Found(found, functions, frozenset(re.findall(r'Lib "(xlwings[^"]+)"', text)), ribbon)
