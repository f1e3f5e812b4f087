"""What the reading has reached and must not fall behind: `floors.toml`.

`found` and `right` are the least, `silent`, `invented` (in clean workbooks) and `wrong` the most.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Final

from tests.reading import heading_tables
from tests.reading.heading_tables import Heading
from tests.reading.scoring import Score

FILE: Final = Path(__file__).with_name("floors.toml")
LEAST: Final = frozenset({"found", "right"})
_HEAD: Final = """\
# What the reading has reached: `python -m tests.reading --write-floors` writes it anew when it is better.
# found, right: at least; silent, invented (in clean workbooks), wrong: at most.
"""

Reached = Mapping[str, int]


def reached(score: Score) -> Reached:
    """Of a set of workbooks."""
    return {
        "found": score.count("found"),
        "silent": score.count("silent"),
        "invented": score.invented_in_clean(),
    }


def reached_by_headings(headings: Sequence[Heading]) -> Reached:
    kinds = heading_tables.count(headings)
    return {"right": kinds["right"], "wrong": kinds["wrong"]}


def read() -> dict[str, dict[str, int]]:
    """Set or table -> its floors."""
    return tomllib.loads(FILE.read_text(encoding="utf-8"))


def below(now: Reached, floor: Reached) -> list[str]:
    """In words what has fallen; empty if nothing."""
    return [
        f"{name} {now[name]}, {'at least' if name in LEAST else 'at most'} {limit}"
        for name, limit in floor.items()
        if (now[name] < limit if name in LEAST else now[name] > limit)
    ]


def write(now: Mapping[str, Reached]) -> list[str]:
    """Write what is reached now. Sets and tables that have fallen keep their floors and are named."""
    floors = read() if FILE.exists() else {}
    fallen = []
    for name, values in now.items():
        texts = below(values, floors.get(name, {}))
        fallen += [f"{name}: {text}" for text in texts]
        if not texts:
            floors[name] = dict(values)
    blocks = [
        f"[{name}]\n" + "".join(f"{key} = {value}\n" for key, value in values.items())
        for name, values in floors.items()
    ]
    FILE.write_text(_HEAD + "\n" + "\n".join(blocks), encoding="utf-8")
    return fallen
