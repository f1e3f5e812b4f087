"""What `import xlfuncs` offers to Python: the audit, its result, and every worksheet function.

`xlfuncs/__init__.py` loads a name from here when it is asked for.
"""

from __future__ import annotations

import inspect
import os
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, fields
from functools import cache
from html import escape
from pathlib import Path
from typing import Any

from xlfuncs.additions import float_list
from xlfuncs.audit import engine, model
from xlfuncs.audit.acceptance import apply, read_acceptances
from xlfuncs.audit.settings import Settings, checked, read_settings
from xlfuncs.errors import XlfuncsError
from xlfuncs.spreadsheet import frame
from xlfuncs.worksheet import call, catalogue
from xlfuncs.worksheet.help import argument_text, formula
from xlfuncs.worksheet.spec import Argument, Function

SHOWN = 50
"""Findings in a notebook; the page of `to_html` has them all."""
_HEADINGS = ("severity", "rule", "tag", "place", "finding", "mend")
_COLOURS = {"error": "#b00020", "warning": "#8a5a00", "note": "#36597a"}


@dataclass(slots=True)
class AuditResult(model.AuditResult):
    """What an audit found, with the forms in which Python wants it. In a notebook it shows itself."""

    library: str | None = None
    """Of the frame that was audited: `to_frame` gives one of the same."""

    def to_frame(self, library: str | None = None) -> Any:
        """The findings as a data frame of 'pandas', 'polars' or 'pyarrow', one row each.

        Columns: rule, severity, tag, sheet, cell, row, message, mend, status; found, found_unit, found_text
        (the number, its unit, both as a report shows them), and the same of what is expected. `row` is the
        spreadsheet's; of an audited frame the headings are row 1, so that its first row is 2.
        """
        rows = [_row(finding) for finding in self.findings]
        columns = {name: [row[name] for row in rows] for name in _row(_NOTHING)}
        return frame.frame_of(columns, library or self.library)

    def to_html(self) -> str:
        """The whole report as one page that needs nothing else, as `audit --format html` writes it."""
        from xlfuncs.report import html

        return html.text([self])

    def _repr_html_(self) -> str:
        """The findings, for a notebook."""
        counts = ", ".join(f"{self.count(one)} {one.value}s" for one in model.Severity)
        head = "".join(f'<th style="text-align:left">{name}</th>' for name in _HEADINGS)
        body = "".join(_table_row(finding) for finding in self.findings[:SHOWN])
        more = len(self.findings) - SHOWN
        failed = "".join(f"<p><b>{escape(str(one))}</b></p>" for one in self.rules_not_run)
        tail = f"<p>and {more} more: <code>to_frame()</code> or <code>to_html()</code> has all</p>"
        return (
            f"<p><b>{escape(self.workbook)}</b>: {self.rows_audited} rows audited, {counts}; "
            f"{len(self.not_checked)} checks lack data</p>{failed}"
            f"<table><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>{tail if more > 0 else ''}"
        )


_NOTHING = model.Finding("", model.Severity.NOTE, "", "", "", "", "")


def _row(finding: model.Finding) -> dict[str, Any]:
    return {
        "rule": finding.rule,
        "severity": finding.severity.value,
        "tag": finding.tag,
        "sheet": finding.sheet,
        "cell": finding.cell,
        "row": int("".join(c for c in finding.cell.split(":")[0] if c.isdigit()) or 0),
        "message": finding.message,
        "mend": finding.mend,
        "status": finding.status,
        **_measure("found", finding.found),
        **_measure("expected", finding.expected),
    }


def _measure(name: str, value: model.Measure | None) -> dict[str, Any]:
    number = value.value if value is not None and not isinstance(value.value, str) else None
    unit, text = ("", "") if value is None else (value.unit, str(value))
    return {name: number, f"{name}_unit": unit, f"{name}_text": text}


def _table_row(finding: model.Finding) -> str:
    place = f"{finding.sheet}!{finding.cell}"
    texts = (finding.rule, finding.tag, place, finding.message, finding.mend)
    level = finding.severity.value
    cells = "".join(f'<td style="text-align:left">{escape(text)}</td>' for text in texts)
    return f'<tr><td style="color:{_COLOURS[level]}">{level}</td>{cells}</tr>'


def audit(
    source: str | os.PathLike[str] | Any,
    *,
    settings: Settings | Mapping[str, Any] | str | os.PathLike[str] | None = None,
    columns: Mapping[str, str] | None = None,
    reading: str | os.PathLike[str] | None = None,
    floats: str | os.PathLike[str] | Any | None = None,
    others: Iterable[str | os.PathLike[str]] = (),
    since: str | os.PathLike[str] | None = None,
    accept: Iterable[Mapping[str, Any]] = (),
    name: str = "DataFrame",
) -> AuditResult:
    """Audit an instrument index: a workbook by its path, or a data frame of pandas, polars or pyarrow.

    `settings`: `Settings`, thresholds by name, or the path of a settings file; `columns`: field -> heading or
    column letter, for a heading that is not recognised; `reading`: a corrected READING.toml; `floats`: path
    or frame of the float list, or the name of an installed one; `others`: more workbooks that speak of the
    same gauges; `since`: an older revision of the workbook;
    `accept`: accepted findings, each with tag, rule, who, when, why and until; `name`: of the frame, in
    findings.

    XlfuncsError, one line, where it cannot be audited. What is audited is never changed.
    """
    try:
        return _audited(source, settings, columns, reading, floats, others, since, accept, name)
    except XlfuncsError as why:
        said = str(why)
        if "--map" not in said:
            raise
        raise XlfuncsError(f"{said}. In Python --map FIELD=COLUMN is columns={{'FIELD': 'COLUMN'}}") from None


def _audited(
    source: Any,
    settings: Any,
    columns: Mapping[str, str] | None,
    reading: Any,
    floats: Any,
    others: Iterable[Any],
    since: Any,
    accept: Iterable[Mapping[str, Any]],
    name: str,
) -> AuditResult:
    used, said, accepted = _settings(settings)
    sheets = [frame.grid_of(source, name)] if frame.is_frame(source) else None
    lists = [frame.grid_of(floats, "floats")] if frame.is_frame(floats) else None
    if sheets is not None and since is not None:
        raise XlfuncsError("since: a frame has no older revision; audit both and compare the findings")
    other = None if floats is None else Path("floats") if lists is not None else float_list(_path(floats))
    found = engine.audit_book(
        Path(name) if sheets is not None else _path(source),
        used,
        mapping=columns,
        columns=said,
        correction=None if reading is None else _path(reading),
        floats=other,
        others=[_path(one) for one in others],
        since=None if since is None else _path(since),
        sheets=sheets,
        float_sheets=lists,
    )
    entries = [*accepted, *read_acceptances([dict(entry) for entry in accept], "accept")]
    if entries:
        apply(found, entries)
    values = {field.name: getattr(found, field.name) for field in fields(found)}
    return AuditResult(**values, library=None if sheets is None else type(source).__module__.split(".")[0])


def _path(source: Any) -> Path:
    if not isinstance(source, (str, os.PathLike)):
        lazy = ", such as its .collect()" if hasattr(source, "collect") else ""
        raise XlfuncsError(f"a {type(source).__name__} cannot be audited: give a path or a data frame{lazy}")
    return Path(source)


def _settings(given: Any) -> tuple[Settings, dict[str, str] | None, list[model.Accepted]]:
    """Thresholds, columns and acceptances."""
    if given is None or isinstance(given, Settings):
        return given or Settings(), None, []
    if isinstance(given, Mapping):
        values = {key: list(value) if isinstance(value, tuple) else value for key, value in given.items()}
        return checked(values, Settings(), "settings"), None, []
    path = _path(given)
    used, tables = read_settings(path)
    columns = tables.pop("columns", None)
    accepted = read_acceptances(tables.pop("accept", []), f"settings file {path}")
    if tables:
        raise XlfuncsError(f"settings file {path}: unknown table [{next(iter(tables))}]")
    return used, columns, accepted


# --- functions --------------------------------------------------------------------------------------


def python_name(name: str) -> str:
    """The name in Python of a worksheet function.

    >>> python_name("LG_READING_OFFSET")
    'reading_offset'
    """
    return name.removeprefix("LG_").lower()


@cache
def functions() -> dict[str, Callable[..., Any]]:
    """Every worksheet function as a function of Python, by its name there."""
    return {python_name(function.name): _as_python(function) for function in catalogue().values()}


def signature_of(function: Function) -> inspect.Signature:
    """Arguments by the names and with the defaults of the catalogue."""
    kind = inspect.Parameter.POSITIONAL_OR_KEYWORD
    parameters = []
    optional = False
    for argument in function.named:
        optional = optional or not argument.required
        default = inspect.Parameter.empty if not optional else None if argument.required else argument.default
        parameters.append(inspect.Parameter(argument.name, kind, default=default))
    if function.repeats:
        parameters.pop()
        parameters = [one.replace(default=inspect.Parameter.empty) for one in parameters]
        parameters.append(inspect.Parameter("arguments", inspect.Parameter.VAR_POSITIONAL))
    if function.takes_unit:
        parameters.append(inspect.Parameter("unit", inspect.Parameter.KEYWORD_ONLY, default=None))
    return inspect.Signature(parameters)


def _as_python(function: Function) -> Callable[..., Any]:
    signature = signature_of(function)

    def python(*args: Any, **keywords: Any) -> Any:
        given = signature.bind(*args, **keywords)
        given.apply_defaults()
        arguments = [*given.args]
        cells = [
            _plain(argument, cell) for argument, cell in zip(function.arguments, arguments, strict=False)
        ]
        unit = given.kwargs.get("unit")
        if unit is not None:
            cells += [None] * (len(function.arguments) - len(cells)) + [unit]
        return call(function.name, *cells)

    python.__name__ = python.__qualname__ = python_name(function.name)
    python.__module__ = "xlfuncs"
    python.__doc__ = _docstring(function)
    python.__signature__ = signature  # type: ignore[attr-defined]
    return python


def _docstring(function: Function) -> str:
    lines = [f"{function.summary}.", ""]
    lines += [f"{argument.name}: {argument_text(argument)}" for argument in function.named]
    if function.takes_unit:
        lines.append(f"unit: of the result, {function.result.unit} where none is named")
    lines += [
        "",
        "A number is in its unit; a text ('4.5 in') or a quantity of pint has its own; lists, arrays and",
        "columns of frames give arrays. What cannot be computed is a Refusal, in an array each for itself.",
        "",
        f"In a sheet: {formula(function)}",
        f"Source: {function.source}",
    ]
    return "\n".join(lines)


def _plain(argument: Argument, cell: Any) -> Any:
    """An argument as a cell or a range: quantities of pint in the unit of the argument, columns as arrays."""
    if hasattr(cell, "magnitude") and hasattr(cell, "units"):
        return _converted(argument, cell)
    if hasattr(cell, "to_numpy"):
        return cell.to_numpy()
    return cell


def _converted(argument: Argument, quantity: Any) -> Any:
    from xlfuncs.units import UnitError, converter

    unit = str(quantity.units)
    try:
        known = converter(f"{quantity.units:~}".replace(" ", ""), argument.quantity)
    except UnitError:
        try:
            known = converter(unit, argument.quantity)
        except UnitError as why:
            raise XlfuncsError(f"{argument.name}: {why}") from None
    import numpy as np

    si = known.to_si(np.asarray(quantity.magnitude, dtype=np.float64))
    return converter(argument.unit, argument.quantity).from_si(si)
