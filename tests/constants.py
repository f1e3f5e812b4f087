"""Every constant of the physics changed by 1 %: which check notices?

    python -m tests.constants                 # all tables of the physics
    python -m tests.constants materials ends  # some of them
    python -m tests.constants --quiet         # the score only

Each number of a table in `xlfuncs/data` is changed alone, in a process of its own, and the checks against
published values are run (`tests/published`), then the examples of the worksheet functions. It is caught by a
source where a check leaves its tolerance, by an example where only one of those changes, and not at all
where nothing does. A zero is changed to 0.01. A range of validity or a step counts like a size.
"""

from __future__ import annotations

import os
import sys
from collections import Counter
from collections.abc import Callable, Iterator
from importlib import import_module, reload
from typing import Any

from tests.test_worst_case_decides import allowed
from tests.verification import Check, read
from xlfuncs.data import load
from xlfuncs.gauge.model import Spread, usual_spread
from xlfuncs.worksheet import call, catalogue
from xlfuncs.worksheet.spec import Function

TABLES = {
    "ends": ("floats", "strength"),
    "materials": ("strength", "choice"),
    "strength": ("strength", "choice"),
    "expansion": ("model",),
    "nozzle": ("model",),
    "water": ("model",),
    "model": ("choice", "model"),
    "response": ("response",),
    "petroleum": ("oil",),
    "viscosity": ("viscosity",),
    "signal": ("signal",),
    "insulation": ("heat",),
    "air": ("heat",),
    "magnets": ("ratings",),
    "temperature_classes": ("ratings",),
    "sizing": ("choice",),
}
"""Table of the physics -> tables of published values in which it counts."""

EQUAL = {
    ("petroleum", "60 degF.crude.0.above"): "no oil is as light as 0 or 0.01 kg/m3",
    ("petroleum", "60 degF.lubricant.0.above"): "no oil is as light as 0 or 0.01 kg/m3",
    ("petroleum", "60 degF.product.0.above"): "no oil is as light as 0 or 0.01 kg/m3",
    **{
        ("viscosity", f"astm_d341.inverse_exponent.{i}"): "where an iteration starts, not where it ends"
        for i in range(4)
    },
    **{
        ("magnets", f"{name}.highest.1"): "for the reader: what is computed is the weakest grade"
        for name in (
            *("alnico", "samarium_cobalt_1_5", "samarium_cobalt_2_17", "samarium_cobalt"),
            *("neodymium", "ferrite"),
        )
    },
    **{
        ("materials", f"{name}.temperature.0"): "the other property of the metal ends there too"
        for name in (
            *("316L.modulus", "316L.yield_strength", "titanium grade 2.modulus"),
            *("titanium grade 2.yield_strength", "alloy 625.modulus", "alloy 625.yield_strength"),
        )
    },
    **{
        (
            "expansion",
            f"{name}.temperature.{i}",
        ): "half to one kelvin off, the coefficient keeps its printed digits"
        for name, numbers_ in (("austenitic", (3, 4, 5)), ("titanium", (1, 2, 3)))
        for i in numbers_
    },
    ("sizing", "thickest.end_wall"): "the shell gives way before a plate so thick",
    ("sizing", "least.metacentric_height"): "0 or 0.01 mm: the float of the search is the same",
}
"""Constants that no result can show, each with the reason."""


def nozzle_answers(head: float) -> bool:
    """Whether there is a lag for a viscosity whose loss in a nozzle of 10 x 200 mm is `head` [m]."""
    viscosity = head * 850 * 9.80665 * 0.01**4 / (32 * 0.2 * 0.06**2 * 0.001)
    return isinstance(call("LG_NOZZLE_LAG", 60, 10, 200, 850, 1e3 * viscosity, 1, 0), float)


PROBES: dict[str, Callable[[], bool]] = {
    # JCGM 100:2008, 4.3.7: half a width over sqrt(3); 6.3.3: a factor of 2 covers about 95 %
    "model": lambda: (
        usual_spread() == Spread(0.5e-3 / 3**0.5, 0.05e-3 / 3**0.5, 0.5e-3 / 3**0.5, coverage=2.0)
    ),
    # common practice: a chamber is 20 m long at most; a loss by Hagen and Poiseuille below and above that
    "nozzle": lambda: [nozzle_answers(share * 20.0) for share in (0.999, 1.001)] == [True, False],
    # statics of the proposed float with its mass off by 2 %
    "sizing": allowed,
}
"""What no worksheet function shows by itself."""

SLOW = frozenset(("LG_SIZE_FLOAT", "LG_CHOOSE_FLOAT"))
"""Searches through many floats: asked only for the tables that they alone use."""
SEARCHED = frozenset(("sizing", "model"))

SOURCE, EXAMPLE, MISSED = "by a source", "by an example", "not"
_STATUS = (SOURCE, EXAMPLE, MISSED)

Path = tuple[str | int, ...]


def assert_same(ours: Any, answer: Any, relative: float) -> None:
    """Raise AssertionError where an answer differs from the one that is kept."""
    if isinstance(answer, (list, tuple)):
        for part, expected in zip(ours, answer, strict=True):
            assert_same(part, expected, relative)
    elif isinstance(answer, (int, float)) and not isinstance(answer, bool):
        assert abs(float(ours) - answer) <= relative * abs(answer) + 1e-9
    else:
        assert ours == answer


def numbers(block: Any, path: Path = ()) -> Iterator[tuple[Path, float]]:
    """Every number in a table, with where it stands."""
    pairs = block.items() if isinstance(block, dict) else enumerate(block) if isinstance(block, list) else ()
    for key, value in pairs:
        if isinstance(value, (int, float)) and not isinstance(value, bool):
            yield (*path, key), float(value)
        else:
            yield from numbers(value, (*path, key))


def change(block: Any, path: Path, factor: float = 1.01) -> None:
    """The number at `path` times `factor`, in place; a zero to 0.01."""
    for key in path[:-1]:
        block = block[key]
    value = block[path[-1]]
    block[path[-1]] = value * factor if value else 0.01


_CONSTANTS_AT_IMPORT = (
    "xlfuncs.gauge.response",
    "xlfuncs.gauge.viscosity",
    "xlfuncs.gauge.signal",
    "xlfuncs.worksheet.functions.signal",
)


def _forget() -> None:
    """Drop what has been remembered of the unchanged tables."""
    for name, module in list(sys.modules.items()):
        if name.startswith("xlfuncs.") and name != "xlfuncs.data":
            for found in vars(module).values():
                clear = getattr(found, "cache_clear", None)
                if clear is not None and getattr(found, "__module__", "") != "xlfuncs.data":
                    clear()
    for name in _CONSTANTS_AT_IMPORT:
        reload(import_module(name))


def caught(name: str, path: Path, checks: list[Check]) -> str:
    """What notices that a number of a table is changed. Changes the table: for a process of its own."""
    change(load(name), path)
    _forget()
    concerned = [
        check
        for check in checks
        if check.place.partition(".")[0] in TABLES[name] and (name in SEARCHED or check.function not in SLOW)
    ]
    if name in PROBES and not PROBES[name]():
        return SOURCE
    if not all(_holds(check) for check in concerned):
        return SOURCE
    functions = {check.function for check in concerned} & catalogue().keys()
    return MISSED if all(_same(catalogue()[function]) for function in sorted(functions)) else EXAMPLE


def _holds(check: Check) -> bool:
    try:
        return check.holds(check.ours())
    except Exception:  # the changed table cannot even be used
        return False


def _same(function: Function) -> bool:
    example = function.example
    try:
        assert_same(call(function.name, *example.arguments), example.answer, example.tolerance)
    except Exception:
        return False
    return True


def apart(name: str, path: Path, checks: list[Check]) -> str:
    """`caught` in a process of its own, so that nothing remembers the changed number."""
    child = os.fork()
    if child == 0:
        status = 9
        try:
            status = _STATUS.index(caught(name, path, checks))
        finally:
            os._exit(status)
    code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    return _STATUS[code] if code < len(_STATUS) else SOURCE


def main(arguments: list[str]) -> int:
    """Print what was not caught, and the score; the exit status is 1 where something was not."""
    checks = read()
    for check in checks:  # once as it is, so that every module and every state is there
        _holds(check)
    quiet = "--quiet" in arguments
    wanted = [name for name in arguments if not name.startswith("-")] or list(TABLES)
    score: Counter[str] = Counter()
    same = 0
    for name in wanted:
        for path, _ in numbers(load(name)):
            if (name, ".".join(map(str, path))) in EQUAL:
                same += 1
                continue
            status = apart(name, path, checks)
            score[status] += 1
            if status != SOURCE and not quiet:
                print(f"{name}: {'.'.join(map(str, path))} caught {status}", flush=True)
    total = sum(score.values())
    print(
        f"{total} constants changed by 1 %: {score[SOURCE]} caught by a source,"
        f" {score[EXAMPLE]} by an example of ours, {score[MISSED]} not; {same} more that no result can show"
    )
    return 1 if score[MISSED] else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
