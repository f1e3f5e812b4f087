"""Workbooks kept as data: the cells of documents as they came, and the faults that stand in them.

Each file of the folder `kept` is a workbook: `sheets` with their cells, merged and hidden ones; `faults` with
rule, tag and cells; `allow`, what may be found besides. A text that begins with '=' and is no formula has an
apostrophe before it. Their makers had seen neither code nor words.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, Final

from openpyxl import Workbook

FOLDER: Final = Path(__file__).with_name("kept")
NAME: Final = "documents"


def files() -> list[Path]:
    """The documents, in order."""
    return sorted(FOLDER.glob("*.json"))


def write(kept: Path, folder: Path) -> Path:
    """Write a document as a workbook with its truth beside it; the truth's path."""
    found: dict[str, Any] = json.loads(kept.read_text(encoding="utf-8"))
    book = Workbook()
    if book.active is not None:
        book.remove(book.active)
    for one in found.pop("sheets"):
        sheet = book.create_sheet(one["name"])
        for cell, value in one["cells"].items():
            if isinstance(value, str) and value.startswith("'="):
                sheet[cell] = value[1:]
                sheet[cell].data_type = "s"
            else:
                sheet[cell] = value
        for cells in one.get("merges", ()):
            sheet.merge_cells(cells)
        for letter in one.get("hidden_columns", ()):
            sheet.column_dimensions[letter].hidden = True
        for row in one.get("hidden_rows", ()):
            sheet.row_dimensions[row].hidden = True
        if one.get("hidden"):
            sheet.sheet_state = "hidden"
    path = folder / f"{kept.stem}.xlsx"
    book.save(path)
    truth = path.with_name(f"{path.name}.truth.json")
    truth.write_text(json.dumps({"book": path.name, **found}), encoding="utf-8")
    return truth
