"""Makes `data/unit_factors.json`: what pint says of every unit of `data/units.toml`.

    python -m xlfuncs.units.tabulate

A unit that is not tabled, such as one that a company adds, is still asked of pint (`units/_convert.py`).
`tests/test_units.py` compares.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path

from xlfuncs.units._convert import FACTORS, WATER, ask_pint
from xlfuncs.units._table import quantities


def factors() -> dict[str, tuple[float, float]]:
    """'expression -> SI unit' -> (scale, offset), as pint knows them."""
    pairs = {
        (unit.expression, quantity.si): None
        for quantity in quantities().values()
        for unit in quantity.units.values()
        if unit.expression
    }
    pairs[WATER, quantities()["density"].si] = None
    return {f"{expression} -> {si}": ask_pint(expression, si) for expression, si in pairs}


def main() -> int:
    """Write the table."""
    import pint

    lines = (f"{json.dumps(pair)}: {json.dumps(found)}" for pair, found in factors().items())
    text = f'{{\n"source": "pint {pint.__version__}",\n' + ",\n".join(lines) + "\n}\n"
    Path(str(FACTORS)).write_text(text, encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
