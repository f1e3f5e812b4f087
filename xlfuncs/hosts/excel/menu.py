"""The buttons of the ribbon. What they do is the same in every spreadsheet program: `xlfuncs.hosts.actions`.

That runs in a process of its own, so that an audit leaves nothing behind in the one that answers the cells.
"""

from __future__ import annotations

import json
import re
import subprocess
import sys
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

_COMMAND = ("-I", "-m", "xlfuncs.hosts.actions")
_ENDINGS = (".xlsx", ".xlsm", ".xlsb", ".xls", ".ods", ".csv")
_LONGEST = 1000
"""Characters of a message box."""


@cache
def _folder() -> TemporaryDirectory[str]:
    return TemporaryDirectory(prefix="xlfuncs-", ignore_cleanup_errors=True)


def copy_for(book: str) -> Path:
    """Where Excel is to save a copy of a workbook; 'Book1', which was never saved, becomes an .xlsx.

    >>> copy_for("Book1").name, copy_for("index.xlsm").name
    ('Book1.xlsx', 'index.xlsm')
    """
    known = Path(book).suffix.casefold() in _ENDINGS
    return Path(_folder().name) / (book if known else f"{book}.xlsx")


def act(
    action: str, copy: str, name: str, state: str, sheet: str, cell: str, selection: str, output: str
) -> tuple[str, str, str, str, str]:
    """Carry out a button: message, file to open as a new workbook, sheet of it, heading and text."""
    request: dict[str, Any] = {"action": action, "file": copy, "name": name, "state": state}
    if action == "explain":
        request |= {"sheet": sheet, "cell": cell}
    elif action == "keep":
        request["output"] = output
    else:
        request["folder"] = str(Path(copy).parent)
        if action == "pack":
            request["rows"] = {sheet: rows(selection)}
    done = _do(request)
    file = _titled(done["file"], done["title"]) if done["file"] else ""
    message = done["message"]
    if len(message) > _LONGEST:
        message = f"{message[:_LONGEST]} ..."
    return message, file, done["sheet"] if file else "", done["title"], done["text"]


def rows(selection: str) -> list[tuple[int, int]]:
    """First and last row of each part of a selection, '$A$14:$C$16,$20:$20'; whole columns have all rows.

    >>> rows("$A$14:$C$16,$20:$20,$B$3")
    [(14, 16), (20, 20), (3, 3)]
    """
    found = []
    for part in selection.split(","):
        numbers = [int(number) for number in re.findall(r"\d+", part)]
        found.append((numbers[0], numbers[-1]) if numbers else (1, 1 << 20))
    return found


def _do(request: dict[str, Any]) -> dict[str, Any]:
    """Ask `xlfuncs.hosts.actions`: a line of JSON in, one out; its input stays open until then."""
    hidden = getattr(subprocess, "CREATE_NO_WINDOW", 0)
    with subprocess.Popen(
        [sys.executable, *_COMMAND],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        cwd=sys.prefix,
        creationflags=hidden,
    ) as process:
        assert process.stdin is not None and process.stdout is not None
        process.stdin.write(json.dumps(request).encode() + b"\n")
        process.stdin.flush()
        answer = process.stdout.readline()
    if not answer:
        message = f"{request['name']}: the program ended without an answer; run 'xlfuncs doctor'"
        return {"message": message, "file": "", "title": "", "sheet": "", "text": ""}
    found: dict[str, Any] = json.loads(answer)
    return found


def _titled(file: str, title: str) -> str:
    """The file under its title: Excel calls the new workbook after it."""
    path = Path(file)
    plain = re.sub(r'[\\/:*?"<>|\[\]]', "_", title).strip() or path.stem
    return str(path.replace(path.with_name(f"{plain}{path.suffix}")))
