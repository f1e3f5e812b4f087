"""The Basic module that gives the functions their names in Calc, written from the catalogue."""

from __future__ import annotations

import json
import sys
import sysconfig
from collections.abc import Iterable
from pathlib import Path
from xml.sax.saxutils import escape

import xlfuncs
from xlfuncs.hosts.calc import menu
from xlfuncs.worksheet import catalogue
from xlfuncs.worksheet.spec import Function

MODULE = "xlfuncs"
JOB_MODULE = "xlfuncs_job"
_HERE = Path(__file__).parent

# Global: a Private or Public variable is forgotten after each call from a cell. Compatible: for ParamArray.
_CALL = """\
Option Compatible
Global lg_host As Variant

Function LG__First(name As String, cells)
	On Error GoTo Failed
	Dim found, loader, factory
	found = LG__Foreign()
	If found <> "" Then
		LG__First = LG__Failed(name, "the Python in " & found & _
			", first in PATH, would crash LibreOffice's own: " & _
			"start LibreOffice from the desktop, or from a terminal without that environment")
		Exit Function
	End If
	loader = CreateUnoService("com.sun.star.loader.Python")
	factory = loader.activate("xlfuncs.calc.Functions", "", {bridge}, Nothing)
	lg_host = factory.createInstanceWithArgumentsAndContext(Array({settings}), GetDefaultContext())
	LG__First = lg_host.callFunction(name, cells)
	Exit Function
Failed:
	LG__First = LG__Failed(name, "LibreOffice could not start its Python: " & Error$ & _
		"; run 'xlfuncs doctor'")
End Function

' A document has been opened: functions that Excel stored by way of an add-in get their plain names.
Sub LG__Opened(event)
	On Error GoTo Done
	Dim document, n As Long
	document = event.Source
	If Not HasUnoInterfaces(document, "com.sun.star.sheet.XSpreadsheetDocument") Then Exit Sub
	For n = 0 To document.Sheets.Count - 1
		If LG__Stored(document.Sheets(n).queryContentCells(com.sun.star.sheet.CellFlags.FORMULA)) Then
			LG__First("plain names", Array(document))
			Exit Sub
		End If
	Next
Done:
End Sub

Function LG__Stored(formulas) As Boolean
	Dim search
	search = formulas.createSearchDescriptor()
	search.SearchRegularExpression = True
	search.SearchString = "(!|_xl[a-z]+[_.])LG_[A-Z0-9_]+ *[(]"
	LG__Stored = Not IsNull(formulas.findFirst(search))
End Function

Function LG__Foreign() As String
	Dim folders, n As Long
	If {landmark} = "" Then Exit Function
	folders = Split(Environ("PATH"), ":")
	For n = 0 To UBound(folders)
		If FileExists(folders(n) & "/python3") Then
			If folders(n) = "/usr/bin" Or folders(n) = "/bin" Then Exit Function
			If FileExists(folders(n) & "/../pyvenv.cfg") Or FileExists(folders(n) & "/../" & {landmark}) Then
				LG__Foreign = folders(n)
			End If
			Exit Function
		End If
	Next
End Function

' #VALUE!, which Basic knows no other way to give: a NaN with the error's number, 519, in its low bits.
Function LG__Failed(name As String, why As String)
	Dim bytes, stream
	If name = "LG_REASON" Or name = "menu" Then
		LG__Failed = why
		Exit Function
	End If
	bytes = com.sun.star.io.SequenceInputStream.createStreamFromSequence(Array(127, -8, 0, 0, 0, 0, 2, 7))
	stream = CreateUnoService("com.sun.star.io.DataInputStream")
	stream.setInputStream(bytes)
	LG__Failed = stream.readDouble()
End Function
"""

_COMMAND = """
Sub LG__{command}()
	Dim failed
	failed = LG__First("menu", Array("{command}", ThisComponent))
	If VarType(failed) = 8 Then
		If failed <> "" Then MsgBox failed, 16, "{title}"
	End If
End Sub
"""

_JOB = """\
Sub Run(path As String)
	LG__First("job", Array(path))
End Sub
"""


def settings(in_process: bool = False, landmark: str = "") -> dict[str, object]:
    """How the functions are reached from LibreOffice's Python: this environment.

    `landmark` is the file by which LibreOffice's Python knows its library, "lib/python3.11/os.py", where
    it is the system's: a Python with such a file, or a virtual environment, first in PATH leads it astray
    and LibreOffice aborts. "" for a LibreOffice that brings its own library.
    """
    paths = dict.fromkeys([str(Path(xlfuncs.__file__).parent.parent), *_site_folders()])
    return {
        "python": sys.executable,
        "paths": list(paths),
        "in_process": in_process,
        "landmark": landmark,
        "functions": list(catalogue()),
        "flags": {f.name: at for f in catalogue().values() if (at := _flags(f))},
    }


def _flags(function: Function) -> list[int]:
    """The places of arguments that are TRUE or FALSE, for which 1 and 0 do as well."""
    return [at for at, argument in enumerate(function.arguments) if argument.kind == "flag"]


def _site_folders() -> Iterable[str]:
    return (sysconfig.get_path("purelib"), sysconfig.get_path("platlib"))


def module(how: dict[str, object]) -> str:
    """The text of the module file (.xba)."""
    head = _CALL.format(
        bridge=_text((_HERE / "bridge.py").as_uri()),
        settings=_text(json.dumps(how, ensure_ascii=False)),
        landmark=_text(str(how.get("landmark", ""))),
    )
    commands = "".join(_COMMAND.format(command=command, title=menu.TITLE) for command, _ in menu.ENTRIES)
    made = f"' Made by xlfuncs {xlfuncs.__version__} from its catalogue: changes are lost.\n"
    return _file(MODULE, made + head + "".join(map(_function, catalogue().values())) + commands)


def job_module() -> str:
    """A module that starts `jobs`, for profiles of our own."""
    return _file(JOB_MODULE, _JOB)


def _function(function: Function) -> str:
    # Sixteen steps of Basic let LibreOffice look after its windows, which takes longer than all the rest. So
    # this is as short as it gets: all arguments at once, however many, and without a host the call fails.
    return (
        f"\nFunction {function.name}(ParamArray cells())\n"
        "\tOn Error GoTo First\n"
        f"\t{function.name} = lg_host.{function.name}(cells)\n"
        "\tExit Function\n"
        "First:\n"
        f'\t{function.name} = LG__First("{function.name}", cells)\n'
        "End Function\n"
    )


def _text(value: str) -> str:
    return '"' + value.replace('"', '""') + '"'


def _file(name: str, text: str) -> str:
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        '<!DOCTYPE script:module PUBLIC "-//OpenOffice.org//DTD OfficeDocument 1.0//EN" "module.dtd">\n'
        f'<script:module xmlns:script="http://openoffice.org/2000/script" script:name="{name}" '
        f'script:language="StarBasic">{escape(text, {chr(34): "&quot;"})}</script:module>\n'
    )
