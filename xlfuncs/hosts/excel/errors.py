"""Error values as Excel hands them to a program and takes them back.

In a VARIANT an error is of the type VT_ERROR and holds 0x800A0000 plus the error's number in VBA (`CVErr`,
`xlErrDiv0`). pywin32 hands it over as a Python int; a cell's number is a float or a Decimal, never an int.
Numbers up to 2042: Excel's object library; later ones from memory.
"""

from __future__ import annotations

from typing import Any, Final

from xlfuncs.worksheet.refusal import UNUSABLE

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
_VT_ERROR = 10


def code(error: str) -> int:
    """The integer that stands for an error value in a VARIANT of the type VT_ERROR."""
    return _BASE + NUMBERS.get(error, NUMBERS[UNUSABLE])


def text(code: int) -> str:
    """The error value that an integer stands for; #VALUE! for one that is not known."""
    return _TEXTS.get(code - _BASE, UNUSABLE)


def shown(error: str) -> Any:
    """An error value as Excel takes it in a result.

    An error in any case, never a number: but pywin32 puts 'argument missing' into every VT_ERROR that it
    sends (com/win32com/src/oleargs.cpp, MakeObjToVariant), so that which one it is can only be made in VBA,
    by CVErr of the number in `code`.
    """
    from win32com.client import VARIANT

    return VARIANT(_VT_ERROR, code(error))
