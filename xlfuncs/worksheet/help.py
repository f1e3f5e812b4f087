"""The help of a worksheet function, made from its declaration."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from textwrap import fill
from typing import Any

from xlfuncs.data import load
from xlfuncs.worksheet.spec import Argument, Function

WIDTH = 92


def constant(value: Any) -> str:
    """A value as it is typed into a formula; a range as an array constant."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return str(value).upper()
    if isinstance(value, (list, tuple)):
        rows = [row if isinstance(row, (list, tuple)) else [row] for row in value]
        return "{" + ";".join(",".join(constant(cell) or '""' for cell in row) for row in rows) + "}"
    if isinstance(value, str):
        return '"' + value.replace('"', '""') + '"'
    return repr(value)


def formula(function: Function, separator: str = ",") -> str:
    """The example as typed into a cell."""
    arguments = f"{separator} ".join(constant(value) for value in function.example.arguments)
    return f"={function.name}({arguments})"


def argument_text(argument: Argument) -> str:
    """Meaning, unit, default and valid range of an argument, in one line."""
    parts = [argument.meaning]
    if argument.unit:
        parts.append(f"in {argument.unit}")
    if argument.said:
        parts.append("blank: the answer says so")
    elif not argument.required:
        parts.append("optional" if argument.default is None else f"default {constant(argument.default)}")
    if argument.low is not None and argument.high is not None:
        parts.append(f"{argument.low:g} to {argument.high:g}")
    elif argument.low:
        parts.append(f"{argument.low:g} or more")
    elif argument.high is not None:
        parts.append(f"{argument.high:g} or less")
    return ", ".join(parts)


def answer_text(answer: Any) -> str:
    """The example's answer as a sheet shows it."""
    if isinstance(answer, float):
        return f"{answer:.6g}"
    if isinstance(answer, (list, tuple)):
        if answer and isinstance(answer[0], (list, tuple)):
            lines = ["  " + " | ".join(answer_text(cell) for cell in row) for row in answer]
            return "\n".join(lines if max(map(len, lines)) <= WIDTH else _records(answer))
        return " | ".join(answer_text(cell) for cell in answer)
    return str(answer)


def _records(table: Sequence[Sequence[Any]]) -> Iterable[str]:
    """A wide table, one line for each filled cell."""
    for row in table[1:]:
        for heading, cell in zip(table[0], row, strict=True):
            if cell != "":
                yield f"  {heading}: {answer_text(cell)}"


def _paragraph(text: str, indent: str = "  ", hang: str = "", hyphens: bool = True) -> str:
    return fill(
        text,
        WIDTH,
        initial_indent=indent,
        subsequent_indent=indent + hang,
        break_on_hyphens=hyphens,
    )


def help_text(function: Function) -> str:
    """What `xlfuncs functions NAME` prints."""
    from xlfuncs.worksheet.assumed import sentences  # evaluates the example

    lines: list[str] = [function.signature, "", _paragraph(function.summary + ".", ""), ""]
    if function.arguments:
        lines.append("Arguments")
        width = max(len(a.name) for a in function.named)
        for argument in function.named:
            lead = f"{argument.name:<{width}}  "
            lines.append(_paragraph(lead + argument_text(argument), "  ", " " * len(lead)))
        if function.takes_unit:
            lines.append(_paragraph(f"{'unit':<{width}}  unit of the result, default {function.result.unit}"))
        if any(a.kind == "quantity" for a in function.arguments):
            lines.append(_paragraph("Each takes a number in its unit, a text with another unit, or a range."))
        lines.append("")
    result = function.result
    lines += ["Result", _paragraph(result.meaning + (f", {result.unit}" if result.unit else "")), ""]
    lines += ["Example", f"  {formula(function)}"]
    if (semicolons := formula(function, ";")) != formula(function):
        lines += ["  or, where the list separator is a semicolon,", f"  {semicolons}"]
    lines += [*_indented(answer_text(function.example.answer)), ""]
    if how := equations(function):
        lines += ["Equation", *(_paragraph(line, hang="  ", hyphens=False) for line in how), ""]
    if left_out := sentences(function):
        lines += ["Left out", *map(_paragraph, left_out), ""]
    lines += ["Source", _paragraph(function.source)]
    if function.notes:
        lines += ["", "Notes", *(_paragraph(note) for note in function.notes)]
    return "\n".join(lines)


def equations(function: Function) -> list[str]:
    """How the example is computed, and where other calls differ; a function of others' may have none."""
    stated = load("equations").get(function.name, {})
    steps: list[str] = stated.get("steps", [])
    lead = ["The example, with the arguments in SI units (m, kg, Pa, K, s; angles in rad), step by step:"]
    return [*(lead if steps else []), *steps, *stated.get("words", [])]


def _indented(text: str) -> Iterable[str]:
    lines = text.splitlines()
    if len(lines) == 1:
        return [f"  = {lines[0]}"]
    return ["  =", *(f"  {line}" for line in lines)]
