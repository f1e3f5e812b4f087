"""Every published number in the data files has its source beside it."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

import xlfuncs.data

FOLDER = Path(xlfuncs.data.__file__).parent
FILES = sorted(FOLDER.glob("*.toml"))


def _holds_number(value: Any) -> bool:
    if isinstance(value, list):
        return any(map(_holds_number, value))
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def _sources(block: dict[str, Any]) -> list[str]:
    return [str(value) for key, value in block.items() if key == "source" or key.endswith("_source")]


def _without_source(block: dict[str, Any], where: str, above: list[str]) -> Iterator[str]:
    """Blocks with numbers and no source, neither their own nor one of a block around them."""
    known = above + _sources(block)
    if not known and any(map(_holds_number, block.values())):
        yield where
    for name, value in block.items():
        for inner in value if isinstance(value, list) else [value]:
            if isinstance(inner, dict):
                yield from _without_source(inner, f"{where}.{name}", known)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_numbers_have_a_source(path: Path) -> None:
    content = tomllib.loads(path.read_text(encoding="utf-8"))
    of_the_file = _sources(content.get("meta", {}))
    assert list(_without_source(content, path.stem, of_the_file)) == []
    assert all(len(source) > 10 for source in of_the_file)


def test_the_search_finds_a_number_without_a_source() -> None:
    assert list(_without_source({"a": {"b": {"value": [1.0]}}}, "x", [])) == ["x.a.b"]
    assert list(_without_source({"a": {"source": "here", "b": {"value": 1}}}, "x", [])) == []


def test_units_of_pint_have_a_source_in_each_group() -> None:
    """The definitions read by pint: a comment with the source above each group of numbers."""
    groups = (FOLDER / "units_pint.txt").read_text(encoding="utf-8").split("\n\n")
    numbers = [g for g in groups if any("=" in line and not line.startswith("#") for line in g.splitlines())]
    assert numbers
    assert [group for group in numbers if "#" not in group] == []
