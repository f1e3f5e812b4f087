"""The books of each set. A book is a function that fills one workbook, clean or with its faults planted."""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module
from pathlib import Path
from typing import Final

from tests.reading.writing import Book

SETS: Final = ("lists_english", "lists_european", "shapes", "lists_by_trade", "shapes_of_documents")
Maker = Callable[[Book], None]

_BOOKS: Final[dict[str, dict[str, Maker]]] = {name: {} for name in SETS}


def book(make: Maker) -> Maker:
    """Declare a book; its name is the function's, its set the package that it stands in."""
    _BOOKS[make.__module__.split(".")[-2]][make.__name__] = make
    return make


def books(name: str) -> dict[str, Maker]:
    """The books of a set, in order."""
    import_module(f"tests.reading.books.{name}")
    return dict(sorted(_BOOKS[name].items()))


def build(make: Maker, folder: Path) -> tuple[Path, Path]:
    """Write a book, clean and faulty, each with its truth beside it."""
    paths = []
    for faulty in (False, True):
        b = Book(folder, make.__name__, faulty)
        make(b)
        paths.append(b.path)
    return paths[0], paths[1]
