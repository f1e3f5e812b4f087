"""The JSON is written part by part; it is what `json` makes of the whole."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from xlfuncs.audit.model import AuditResult, NotChecked, Unchecked, UncheckedBlock
from xlfuncs.report import jsonfile

MANY = UncheckedBlock(
    "float-collapses",
    ('wall "nominal", 5 %s', "material"),
    [("LG-1", "Index", 7), ('LG "2" 5 % \\ \n', "Füße", 8), ("LG-\ud800", "Index", 9)],
    "H7",
    'holds "tag": "" and "row": 0',
    perhaps=("K", ""),
)
FEW = UncheckedBlock("float-lags", ("viscosity",), [("", "", 0)])
RESULTS = [
    AuditResult("a.xlsx", "00", 3, {"Index": {"tag": "A"}}, {"limit": float("nan")}, [], unchecked)
    for unchecked in (
        Unchecked([MANY, FEW]),
        Unchecked([replace(MANY, gauges=[])]),
        [NotChecked("float-lags", "LG-1", ("viscosity",), "Index", 7)],
        [],
    )
]


def whole(value: object) -> str:
    return json.dumps(jsonfile.plain(value), ensure_ascii=False, indent=2, allow_nan=False) + "\n"


@pytest.mark.parametrize("result", RESULTS)
def test_one_result_is_written_as_it_is(result: AuditResult) -> None:
    assert jsonfile.text(result) == whole(result.to_dict())


def test_several_results_stand_in_an_envelope() -> None:
    results = [result.to_dict() for result in RESULTS]
    assert jsonfile.text(RESULTS) == whole({"schema": 1, "results": results})
    assert jsonfile.text([]) == whole({"schema": 1, "results": []})
