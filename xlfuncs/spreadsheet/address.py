"""Cells by letter and number, as a spreadsheet names them."""

from __future__ import annotations


def column_letter(number: int) -> str:
    """1 -> A, 27 -> AA."""
    letters = ""
    while number > 0:
        number, rest = divmod(number - 1, 26)
        letters = chr(65 + rest) + letters
    return letters


def split_address(cell: str) -> tuple[int, int]:
    """'H14' -> (8, 14): column and row, counted from 1."""
    letters = cell.rstrip("0123456789")
    number = 0
    for letter in letters.upper():
        number = number * 26 + ord(letter) - 64
    return number, int(cell[len(letters) :])
