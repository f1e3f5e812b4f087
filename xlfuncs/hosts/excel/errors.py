"""Error values as Excel hands them to a program and takes them back.

In a VARIANT an error is of the type VT_ERROR and holds 0x800A0000 plus the error's number in VBA (`CVErr`,
`xlErrDiv0`). pywin32 hands it over as a Python int; a cell's number is a float. It cannot send one: it puts
'argument missing' into every VT_ERROR (com/win32com/src/oleargs.cpp, MakeObjToVariant). So an error goes back
as its number, an int, and VBA makes the error of it by `CVErr`.
Numbers up to 2042: Excel's object library; later ones from memory.
"""

from __future__ import annotations

from typing import Any, Final

from xlfuncs.worksheet.refusal import UNUSABLE, Refusal

NUMBERS: Final = {
    "#NULL!": 2000,
    "#DIV/0!": 2007,
    "#VALUE!": 2015,
    "#REF!": 2023,
    "#NAME?": 2029,
    "#NUM!": 2036,
    "#N/A": 2042,
    "#GETTING_DATA": 2043,
    "#SPILL!": 2045,
    "#CONNECT!": 2046,
    "#BLOCKED!": 2047,
    "#UNKNOWN!": 2048,
    "#FIELD!": 2049,
    "#CALC!": 2050,
    "#BUSY!": 2051,
}
"""Error value -> its number in VBA."""
_TEXTS = {number: text for text, number in NUMBERS.items()}
_BASE = 0x800A0000 - (1 << 32)
_MISSING = 0x80020004 - (1 << 32)
"""DISP_E_PARAMNOTFOUND: an optional argument that was left out."""


def taken(cell: Any) -> Any:
    """What a cell holds, as `worksheet.call` takes it: an error value by its text.

    An error that is not known is #VALUE!: an error in any case, never a number.
    """
    if type(cell) is not int:
        return cell
    if cell == _MISSING:
        return None
    if 0 <= cell - _BASE < 1 << 16:
        return _TEXTS.get(cell - _BASE, UNUSABLE)
    return float(cell)  # of a macro, which has integers


def shown(value: Any) -> Any:
    """A result as VBA takes it: an int is the number of an error value, every number a float."""
    if isinstance(value, Refusal):
        return NUMBERS.get(value.error, NUMBERS[UNUSABLE])
    if type(value) is int:
        return float(value)
    return "" if value is None else value
