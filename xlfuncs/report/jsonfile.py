"""The stable JSON form: one result as it is, several in an envelope."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping, Sequence
from typing import Any

from xlfuncs.audit.model import SCHEMA, AuditResult


def text(given: AuditResult | Sequence[AuditResult]) -> str:
    """JSON with a line end; numbers that are not finite, which JSON lacks, become null."""
    whole: dict[str, Any]
    if isinstance(given, AuditResult):
        whole = given.to_dict()
    else:
        whole = {"schema": SCHEMA, "results": [result.to_dict() for result in given]}
    whole = plain(whole)
    return json.dumps(whole, ensure_ascii=False, indent=2, allow_nan=False) + "\n"


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
