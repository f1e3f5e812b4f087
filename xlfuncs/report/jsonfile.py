"""The stable JSON form: one result as it is, several in an envelope."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from json.encoder import encode_basestring
from typing import Any, Final

from xlfuncs.audit.model import SCHEMA, AuditResult, UncheckedBlock, blocks_of

_STEP: Final = "  "


def text(given: AuditResult | Sequence[AuditResult]) -> str:
    """JSON with a line end; numbers that are not finite, which JSON lacks, become null."""
    if isinstance(given, AuditResult):
        return _result(given, "") + "\n"
    results = _array((_result(result, 2 * _STEP) for result in given), _STEP)
    return _object({"schema": str(SCHEMA), "results": results}, "") + "\n"


def _result(result: AuditResult, pad: str) -> str:
    """A result. What was not checked becomes text block by block: a long index has a million entries."""
    inner = pad + _STEP
    parts = {key: _dumped(value, inner) for key, value in replace(result, not_checked=()).to_dict().items()}
    entries = (entry for block in blocks_of(result.not_checked) for entry in _entries(block, inner + _STEP))
    return _object(parts | {"not_checked": _array(entries, inner)}, pad)


def _entries(block: UncheckedBlock, pad: str) -> Iterator[str]:
    """The entries of a block: what they have in common is written once.

    A quotation mark within a text is escaped, so that a name with its value is found where it stands.
    """
    form = _dumped(block.entry("", "", 0), pad).replace("%", "%%")
    for empty, filled in (
        ('"tag": ""', '"tag": %s'),
        ('"sheet": ""', '"sheet": %s'),
        ('"row": 0', '"row": %d'),
    ):
        form = form.replace(empty, filled, 1)
    for tag, sheet, row in block.gauges:
        yield form % (_quoted(tag), _quoted(sheet), row)


def _quoted(words: str) -> str:
    return encode_basestring(words.encode("utf-8", "replace").decode())


def _dumped(value: Any, pad: str) -> str:
    """JSON that stands `pad` further in than it would alone."""
    return json.dumps(plain(value), ensure_ascii=False, indent=2, allow_nan=False).replace("\n", f"\n{pad}")


def _object(parts: Mapping[str, str], pad: str) -> str:
    return _enclosed("{", (f'"{key}": {part}' for key, part in parts.items()), "}", pad)


def _array(parts: Iterable[str], pad: str) -> str:
    return _enclosed("[", parts, "]", pad)


def _enclosed(opening: str, parts: Iterable[str], closing: str, pad: str) -> str:
    inside = f",\n{pad}{_STEP}".join(parts)
    return f"{opening}\n{pad}{_STEP}{inside}\n{pad}{closing}" if inside else opening + closing


def plain(value: Any) -> Any:
    """The value in types that JSON has."""
    if value is None or isinstance(value, bool):
        return value
    if isinstance(value, str):
        return value.encode("utf-8", "replace").decode()
    if isinstance(value, int):
        return int(value)
    if isinstance(value, Mapping):
        return {str(k): plain(v) for k, v in value.items()}
    if isinstance(value, float):
        return float(value) if math.isfinite(value) else None
    if isinstance(value, list | tuple | set | frozenset):
        return [plain(v) for v in (sorted(value, key=str) if isinstance(value, set | frozenset) else value)]
    if hasattr(value, "tolist"):  # numpy scalars and arrays
        return plain(value.tolist())
    return value.isoformat() if hasattr(value, "isoformat") else str(value)
