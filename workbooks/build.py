"""Builds the demo workbooks: `python workbooks/build.py [NAME...] [-o FOLDER]`.

The same data give the same bytes. To add a workbook, write a function that takes the path of the new
file, and name it in WORKBOOKS.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable
from pathlib import Path

os.environ.setdefault("OPENPYXL_LXML", "False")  # with lxml openpyxl writes other bytes

import contractor
import field
import index
import quote

WORKBOOKS: dict[str, Callable[[Path], None]] = {
    "instrument_index.xlsx": index.instrument_index,
    "float_list.xlsx": index.float_list,
    "contractor_index.xlsx": contractor.contractor_index,
    "quote_check.xlsx": quote.quote_check,
    "commissioning_pack.xlsx": field.commissioning_pack,
    "field_case.xlsx": field.field_case,
}


def main(arguments: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n")[0])
    parser.add_argument("names", nargs="*", help=f"of {', '.join(WORKBOOKS)}; all of them by default")
    parser.add_argument("-o", "--output", type=Path, default=Path(__file__).parent, help="folder")
    options = parser.parse_args(arguments)
    if unknown := [name for name in options.names if name not in WORKBOOKS]:
        parser.error(f"no workbook {unknown[0]}: choose from {', '.join(WORKBOOKS)}")
    options.output.mkdir(parents=True, exist_ok=True)
    for name in options.names or WORKBOOKS:
        target = options.output / name
        fresh = target.with_suffix(".xlsx.tmp")
        WORKBOOKS[name](fresh)
        fresh.replace(target)
        print(target)
    return 0


if __name__ == "__main__":
    sys.exit(main())
