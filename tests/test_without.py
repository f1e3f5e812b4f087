"""The engine where there are no threads, no processes, no CoolProp, no compiled reader and no Excel.

A page of a browser that runs Python is such a place. The findings are the same.
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from tests.generator.layouts import build, choose
from tests.generator.style import draw
from xlfuncs.audit.engine import audit_book
from xlfuncs.cli import main
from xlfuncs.errors import XlfuncsError

WORKBOOKS = Path(__file__).parent.parent / "workbooks"
PROGRAM = """
import errno, json, multiprocessing.process, os, subprocess, sys, threading
from pathlib import Path

FORBIDDEN = {"CoolProp", "python_calamine", "xlwings", "pandas", "polars", "pyarrow", "scipy"}


class Forbidding:
    def find_spec(self, name, path=None, target=None):
        if name.partition(".")[0] in FORBIDDEN:
            raise ModuleNotFoundError(f"No module named {name!r}", name=name)


def no_thread(*args, **keywords):
    raise RuntimeError("can't start new thread")


def no_process(*args, **keywords):
    raise OSError(errno.ENOSYS, "there are no processes here")


if sys.argv[1] == "without":
    sys.meta_path.insert(0, Forbidding())
    threading.Thread.start = no_thread
    subprocess.Popen.__init__ = multiprocessing.process.BaseProcess.start = os.fork = no_process

from xlfuncs.audit.engine import audit_book
from xlfuncs.errors import XlfuncsError

for name in sys.argv[2:]:
    try:
        found = audit_book(Path(name)).to_dict()
    except XlfuncsError as why:
        found = str(why)
    print(json.dumps(found, default=str))
assert sys.argv[1] == "with" or not FORBIDDEN & {name.partition(".")[0] for name in sys.modules}
"""


def _audits(how: str, paths: list[Path]) -> list[Any]:
    command = [sys.executable, "-W", "ignore", "-c", PROGRAM, how, *map(str, paths)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return [json.loads(line) for line in done.stdout.splitlines()]


def _found(path: Path) -> Any:
    """What the audit finds here, where everything is installed."""
    try:
        return audit_book(path).to_dict()
    except XlfuncsError as why:
        return str(why)


def _never_calculated(path: Path) -> Path:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append(["Tag", "Fluid", "Fluid density kg/m3", "Operating temperature degC", "Range mm"])
    for number in range(4):
        sheet.append([f"LG-{number}", "Water", "=900+83", 60, 1000])
    book.save(path)
    return path


def test_the_findings_are_the_same(tmp_path: Path) -> None:
    demos = sorted(WORKBOOKS.glob("*.xlsx"))
    assert {"field_case", "float_list", "commissioning_pack"} <= {path.stem for path in demos}
    styles = [style for style in map(draw, range(16)) if style.suffix in (".xlsx", ".xlsm", ".csv")]
    made = [
        build(tmp_path, style, choose(style, 6)).path for style in styles if style.writer != "libreoffice"
    ]
    paths = [*demos, *made, _never_calculated(tmp_path / "formulas.xlsx")]
    plain = [json.loads(json.dumps(_found(path), default=str)) for path in paths]
    bare = _audits("without", paths)
    assert len(plain) == len(bare) == len(paths) > 15
    for path, one, other in zip(paths, plain, bare, strict=True):
        assert other == one, path.name
    assert "never-calculated" in {finding["rule"] for finding in bare[-1]["findings"]}


@pytest.mark.parametrize("suffix", [".ods", ".xlsb"])
def test_a_file_that_needs_the_compiled_reader_says_so(suffix: str, tmp_path: Path) -> None:
    style = next(s for s in map(draw, range(100)) if s.suffix == suffix and s.writer != "libreoffice")
    path = build(tmp_path, style, choose(style, 3)).path
    (said,) = _audits("without", [path])
    assert "python-calamine, which reads such files, is not installed" in said
    assert "save it" in said


COMMANDS: dict[str, tuple[str, ...]] = {
    "audit": ("audit", str(WORKBOOKS / "contractor_index.xlsx"), "--fail-on", "never", "-o", "{out}.html"),
    "recalculate": ("recalculate", str(WORKBOOKS / "field_case.xlsx"), "-o", "{out}.xlsx"),
    "choose": ("choose", str(WORKBOOKS / "float_list.xlsx"), "--density", "842..868", "--upper", "1.5"),
    "commission": (
        *("commission", str(WORKBOOKS / "instrument_index.xlsx"), "--tag", "LG-1003"),
        *("-o", "{out}.xlsx"),
    ),
    "diagnose": ("diagnose", str(WORKBOOKS / "field_case.xlsx"), "--sheet", "First visit"),
}
COMMAND = (
    PROGRAM.partition("from xlfuncs.audit")[0]
    + "from xlfuncs.cli import main\nsys.exit(main(sys.argv[2:]))\n"
)


@pytest.mark.parametrize("name", COMMANDS)
def test_each_command_says_and_writes_the_same(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    def here(arguments: list[str]) -> tuple[int, str]:
        return main(arguments), capsys.readouterr().out

    def bare(arguments: list[str]) -> tuple[int, str]:
        command = [sys.executable, "-W", "ignore", "-c", COMMAND, "without", *arguments]
        done = subprocess.run(command, capture_output=True, text=True, check=False)
        assert not done.returncode or done.returncode == 1, done.stderr
        return done.returncode, done.stdout

    told = []
    for run in (here, bare):
        folder = tmp_path / run.__name__
        folder.mkdir()
        status, said = run([text.format(out=folder / "out") for text in COMMANDS[name]])
        assert status in (0, 1)
        written = {path.name: _content(path) for path in folder.iterdir()}
        assert written or "-o" not in COMMANDS[name]
        told.append((status, said.replace(str(folder), ""), written))
    assert told[0] == told[1]


def _content(path: Path) -> Any:
    if path.suffix != ".xlsx":
        return path.read_bytes()
    sheets = openpyxl.load_workbook(path).worksheets
    return {sheet.title: [[cell.value for cell in row] for row in sheet.iter_rows()] for sheet in sheets}
