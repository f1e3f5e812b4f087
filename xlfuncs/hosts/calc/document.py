"""A document in Calc as the commands of the menu take it.

It runs in LibreOffice's own Python: the standard library and uno only.
"""

import os
import re
import urllib.parse

import uno
from com.sun.star.beans import PropertyValue

CALC = "com.sun.star.sheet.SpreadsheetDocument"
FILTERS = {
    ".xlsx": "Calc MS Excel 2007 XML",
    ".xlsm": "Calc MS Excel 2007 VBA XML",
    ".ods": "calc8",
}


class Stop(Exception):
    """Why a command cannot be done."""


def is_spreadsheet(component):
    return hasattr(component, "supportsService") and component.supportsService(CALC)


def property_of(name, value):
    made = PropertyValue()
    made.Name, made.Value = name, value
    return made


def path_of(document):
    """The path of a document's file; "" where it is not on this machine or has never been saved."""
    url = document.getURL()
    return uno.fileUrlToSystemPath(url) if url.startswith("file:") else ""


def name_of(document):
    url = document.getURL()
    return urllib.parse.unquote(url.rpartition("/")[2]) if url else document.getTitle()


def shown(document, folder, ending=""):
    """The file to read: the document's own, or a copy of what stands on the screen. The document stays as
    it is, and so does whether it counts as changed.
    """
    path, name = path_of(document), name_of(document)
    own = os.path.splitext(path)[1].lower()
    state = "unsaved" if not document.getURL() else "changed" if document.isModified() else "saved"
    wanted = ending or (own if own in (".xlsx", ".xlsm") else ".xlsx")
    locked = any(
        a.Name in ("EncryptionData", "Password") for a in document.getArgs()
    )  # open for its user only
    if state == "saved" and own == wanted and os.path.isfile(path) and not locked:
        return {"file": path, "name": name, "state": state}
    stem = re.sub(r'[\\/:*?"<>|]', "_", os.path.splitext(name)[0] if path else name) or "book"
    copy = os.path.join(folder, stem + wanted)
    document.storeToURL(uno.systemPathToFileUrl(copy), (property_of("FilterName", FILTERS[wanted]),))
    return {"file": copy, "name": name, "state": state}


def areas_of(document):
    """The selected ranges."""
    selection = document.CurrentSelection
    if selection is None or not hasattr(selection, "queryVisibleCells"):
        raise Stop("select cells of the sheet first")
    return selection


def address_of(area):
    """(sheet, 'A1:B2') of a range; the sheet as its name."""
    address = area.getRangeAddress()
    first = f"{_letters(address.StartColumn)}{address.StartRow + 1}"
    last = f"{_letters(address.EndColumn)}{address.EndRow + 1}"
    return area.Spreadsheet.Name, first if first == last else f"{first}:{last}"


def _letters(column):
    found = ""
    column += 1
    while column:
        column, last = divmod(column - 1, 26)
        found = chr(65 + last) + found
    return found


def cell_of(document):
    """The cell under the cursor, or the first of those selected."""
    selection = areas_of(document)
    if hasattr(selection, "getRangeAddress"):
        return selection.getCellByPosition(0, 0)
    return selection.getByIndex(0).getCellByPosition(0, 0)


def state_of(document):
    """What the document is, where a copy of the screen is taken in place of its file."""
    if not document.getURL():
        return "This document has never been saved: the copy is made of what stands on the screen."
    if document.isModified():
        return "Changes have not been saved: the copy is made of what stands on the screen, with them."
    return ""
