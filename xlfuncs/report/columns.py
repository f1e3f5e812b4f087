"""What was taken for which column, as `xlfuncs columns` prints it."""

from __future__ import annotations

from xlfuncs.data import load
from xlfuncs.workbook.model import Book


def print_columns(book: Book) -> None:
    """One row for each recognised column of each table, with confidence and runner-up; then the doubts."""
    from rich.console import Console
    from rich.table import Table

    console = Console(highlight=False)
    fields = load("fields")
    for table in (*book.gauges, *book.floats):
        what = "index of gauges" if table.kind == "gauges" else "float list"
        console.print(f"[bold]{table.sheet}[/]: {what}, {len(table)} rows", soft_wrap=True)
        grid = Table(box=None, pad_edge=False, header_style="bold")
        for heading in ("column", "heading", "taken for", "unit", "sure", "runner-up"):
            grid.add_column(heading, overflow="fold")
        for found in table.recognised:
            unit = found.unit + (
                f" ({found.unit_source})" if found.unit_source not in ("", "heading") else ""
            )
            runner_up = f"{found.runner_up} {found.runner_up_confidence:.0%}" if found.runner_up else ""
            grid.add_row(
                found.column,
                found.heading,
                f"{found.field}: {fields[found.field]['label']}",
                unit,
                f"{found.confidence:.0%}",
                runner_up,
            )
        console.print(grid)
        console.print()
    for doubt in book.doubts:
        place = f"{doubt.sheet}!{doubt.cell}" if doubt.cell else doubt.sheet
        console.print(f"open: {place}: {doubt.text}", soft_wrap=True, markup=False)
    for reason, count in book.skipped.items():
        console.print(f"not audited: {count} rows: {reason}", soft_wrap=True, markup=False)
