"""openpyxl's tokenizer of formulas, without the rest of openpyxl, which takes long to load."""

from __future__ import annotations

import sys
from functools import cache
from importlib.util import find_spec, module_from_spec, spec_from_file_location
from pathlib import Path
from types import ModuleType
from typing import Any


@cache
def _module() -> ModuleType:
    package = find_spec("openpyxl") if "openpyxl" not in sys.modules else None
    for folder in package.submodule_search_locations or () if package else ():
        file = Path(folder) / "formula" / "tokenizer.py"
        spec = spec_from_file_location("xlfuncs.spreadsheet._tokenizer", file) if file.is_file() else None
        if spec is not None and spec.loader is not None:
            found = module_from_spec(spec)
            spec.loader.exec_module(found)
            return found
    from openpyxl.formula import tokenizer

    return tokenizer


def tokens(formula: str) -> list[Any] | None:
    """The tokens of a formula that begins with '='; None where it is none."""
    module = _module()
    try:
        items: list[Any] = module.Tokenizer(formula).items
    except (module.TokenizerError, IndexError):
        return None
    return items
