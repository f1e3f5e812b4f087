"""Workbooks in shapes other than a plain list, and plain lists in further languages."""

from tests.reading.books.shapes import forms, languages, rows, side_by_side

__all__ = ["forms", "languages", "rows", "side_by_side"]
