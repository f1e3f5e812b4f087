"""Workbooks from rows, as tests write them down."""

from __future__ import annotations

import csv
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import openpyxl

Rows = Sequence[Sequence[Any]]


def save(path: Path, sheets: Mapping[str, Rows] | None = None, /, **named: Rows) -> Path:
    """A workbook with the rows of each sheet; of the first one alone, where it is to be a .csv."""
    every = {**(sheets or {}), **named}
    if path.suffix == ".csv":
        with path.open("w", newline="", encoding="utf-8") as file:
            csv.writer(file).writerows(next(iter(every.values())))
        return path
    book = openpyxl.Workbook()
    book.remove(book.worksheets[0])
    for name, rows in every.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(list(row))
    book.save(path)
    return path
