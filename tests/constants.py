"""Every constant of the physics changed by 1 %: which check notices?

    python -m tests.constants                 # all tables of the physics
    python -m tests.constants materials ends  # some of them
    python -m tests.constants --quiet         # the score only

Each number of a table in `xlfuncs/data` is changed alone, in a process of its own, and the checks against
published values are run (`tests/published`), then the examples of the worksheet functions. It is caught by a
source where a check leaves its tolerance, by an example where only one of those changes, and not at all where
nothing does. A zero is changed to 0.01, and what is not a size but a range of validity or a step counts as well.
"""

from __future__ import annotations

import os
import sys
from collections import Counter
from collections.abc import Iterator
from typing import Any

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

SOURCE, EXAMPLE, MISSED = "by a source", "by an example", "not"
_STATUS = (SOURCE, EXAMPLE, MISSED)

Path = tuple[str | int, ...]


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


def caught(name: str, path: Path) -> str:
    """What notices that a number of a table is changed. Changes the table: for a process of its own."""
    from xlfuncs.data import load

    change(load(name), path)
    from tests.test_published import assert_same
    from tests.verification import read
    from xlfuncs.worksheet import call, catalogue

    for check in read():
        if check.place.partition(".")[0] in TABLES[name]:
            try:
                good = check.holds(check.ours())
            except Exception:
                good = False
            if not good:
                return SOURCE
    for function in catalogue().values():
        try:
            assert_same(
                call(function.name, *function.example.arguments),
                function.example.answer,
                function.example.tolerance,
            )
        except Exception:
            return EXAMPLE
    return MISSED


def apart(name: str, path: Path) -> str:
    """`caught` in a process of its own, so that nothing remembers the changed number."""
    child = os.fork()
    if child == 0:
        status = 9
        try:
            status = _STATUS.index(caught(name, path))
        finally:
            os._exit(status)
    code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    return _STATUS[code] if code < len(_STATUS) else SOURCE


def main(arguments: list[str]) -> int:
    """Print what was not caught, and the score; the exit status is 1 where something was not."""
    import CoolProp  # noqa: F401
    import fluids  # noqa: F401
    import pint  # noqa: F401
    import scipy.integrate  # noqa: F401

    from xlfuncs.data import load

    quiet = "--quiet" in arguments
    wanted = [name for name in arguments if not name.startswith("-")] or list(TABLES)
    score: Counter[str] = Counter()
    for name in wanted:
        found = {path: apart(name, path) for path, _ in numbers(load(name))}
        score.update(found.values())
        if not quiet:
            for path, status in found.items():
                if status != SOURCE:
                    print(f"{name}: {'.'.join(map(str, path))} caught {status}")
            sys.stdout.flush()
    total = sum(score.values())
    print(
        f"{total} constants changed by 1 %: {score[SOURCE]} caught by a source, {score[EXAMPLE]} by an example"
        f" of ours, {score[MISSED]} not"
    )
    return 1 if score[MISSED] else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
