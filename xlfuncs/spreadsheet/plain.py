"""Our functions by their plain names in a formula that a program stored with the add-in they came from.

Excel stores the call of an add-in's function as '[1]!LG_IMMERSION(...)', where 1 is the number of a link to
the add-in's file, and that of an add-in in JavaScript as '_xldudf_LG_IMMERSION(...)'. A program without that
add-in shows #NAME?, also where it knows the function by its plain name. ECMA-376 part 1, 18.17 (formulas) and
18.14 (external workbook references); '_xldudf_': from memory.

LibreOffice's own Python, whichever version that is, loads this file from its path: the standard library only.
"""

import re

_WORD = r"""[^\s'"!()\[\]{},;+\-*/^&=<>%:@$#]"""
_QUOTED = r"'(?:[^']|'')*'"
PARTS = re.compile(
    rf"""
    "(?:[^"]|"")*"                                                    # a text
  | (?<![\w.:\\/])                                                    # one of ours, by way of an add-in
    (?: (?: {_QUOTED} | \[[^\[\]]*\]{_WORD}* | {_WORD}+ )! | _xldudf_ | _(?:xll|xlfn|xludf|xlws)\. )+
    (?P<name>LG_\w+)(?=\s*\()
  | (?P<sheet>{_QUOTED}(?=!) | (?<![\w.\]])\[\d+\]{_WORD}*(?=!))      # in another workbook, perhaps
  | \[(?:[^\[\]']|'.)*\]                                              # a column of a table
    """,
    re.VERBOSE | re.IGNORECASE | re.DOTALL,
)


def plain(formula, known=None):
    """A formula in which our functions, or those in `known` (in capitals), stand by their plain names.

    >>> plain("=IF([1]!LG_IMMERSION(A1,50,200,850)>40,'[2]x'!B1,_xldudf_lg_version())")
    "=IF(LG_IMMERSION(A1,50,200,850)>40,'[2]x'!B1,LG_VERSION())"
    """

    def part(found):
        name = (found["name"] or "").upper()
        return name if name and (known is None or name in known) else found[0]

    return PARTS.sub(part, formula) if "LG_" in formula.upper() else formula


def numbered(formula):
    """Whether a formula refers to another workbook by the number of its link, '[2]Sheet1!A1'."""
    return any((part["sheet"] or "").lstrip("'").startswith("[") for part in PARTS.finditer(formula))
