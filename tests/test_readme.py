"""The worked examples of the README and of the tutorials are what the commands print.

An example stands between two marks, as an indented or fenced block of commands and their output::

    <!-- example: quote -->
    ```
    $ xlfuncs choose ...
    output
    ```
    <!-- end -->

It runs in a folder that holds copies of the demo workbooks. A line `...` in the output stands for any
lines. `python -m tests.test_readme` writes the examples anew, those with such a line excepted.
"""

from __future__ import annotations

import os
import re
import shlex
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from itertools import groupby
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
README = ROOT / "README.md"
PAGES = ROOT / "xlfuncs" / "docs" / "pages"
TOLD = (README, *(PAGES / f"{name}.md" for name in ("index_keeper", "auditor", "estimator")))
MARKED = re.compile(r"<!-- example: ([\w-]+) -->\n(.*?)<!-- end -->", re.DOTALL)
ANYTHING = "..."


@dataclass(frozen=True)
class Step:
    """One command and the lines that it is said to print."""

    command: str
    output: tuple[str, ...]


def examples(text: str) -> dict[str, list[Step]]:
    """Name -> the steps of each marked example; ValueError for a mark without commands."""
    found: dict[str, list[Step]] = {}
    for name, body in MARKED.findall(text):
        lines = [line for line in body.splitlines() if not line.startswith("```")]
        steps: list[Step] = []
        for line in lines:
            if line.startswith("$ "):
                steps.append(Step(line[2:], ()))
            elif steps:
                steps[-1] = Step(steps[-1].command, (*steps[-1].output, line.rstrip()))
        if not steps or name in found:
            raise ValueError(f"the example '{name}' holds no command, or its name stands twice")
        found[name] = [Step(step.command, _trimmed(step.output)) for step in steps]
    return found


def _trimmed(lines: tuple[str, ...]) -> tuple[str, ...]:
    """Without blank lines at the ends."""
    return tuple("\n".join(lines).strip("\n").split("\n"))


@cache
def run(command: str, folder: Path) -> tuple[str, ...]:
    """What a command prints, both streams, in 80 columns; 'xlfuncs' is this package.

    One that stands in several documents is run once for all of them.
    """
    words = shlex.split(command)
    if words[0] != "xlfuncs":
        raise ValueError(f"an example runs xlfuncs, not {words[0]}")
    kept = {name: value for name, value in os.environ.items() if name != "COLUMNS"}
    done = subprocess.run(
        [sys.executable, "-m", "xlfuncs", *words[1:]],
        cwd=folder,
        env={**kept, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8"},
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        encoding="utf-8",
    )
    assert done.returncode in (0, 1), done.stdout
    return _trimmed(tuple(line.rstrip() for line in done.stdout.splitlines()))


def agrees(printed: tuple[str, ...], stated: tuple[str, ...]) -> bool:
    """Whether the lines are those stated, where '...' stands for any number of lines."""
    parts = [
        r"(?:.*\n)*" if gap else "".join(re.escape(line) + r"\n" for line in lines)
        for gap, lines in groupby(stated, key=lambda line: line.strip() == ANYTHING)
    ]
    return re.fullmatch("".join(parts), "".join(line + "\n" for line in printed)) is not None


def _workplace(folder: Path) -> Path:
    place = folder / "workbooks"
    place.mkdir()
    for path in (ROOT / "workbooks").glob("*.xlsx"):
        shutil.copy(path, place)
    return folder


@pytest.fixture(scope="module")
def workplace(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return _workplace(tmp_path_factory.mktemp("readme"))


@pytest.mark.parametrize("path", TOLD, ids=lambda path: path.stem)
def test_each_example_shows_what_the_commands_print(path: Path, workplace: Path) -> None:
    stale = []
    found = examples(path.read_text(encoding="utf-8"))
    assert len(found) >= 3
    for name, steps in found.items():
        for step in steps:
            printed = run(step.command, workplace)
            if not agrees(printed, step.output):
                stale += [f"{name}: $ {step.command}", *printed, ""]
    assert not stale, "\n".join(
        (f"not what {path.name} says ('python -m tests.test_readme' mends it):", *stale)
    )


SHOWN = """
<!-- example: one -->
```
$ xlfuncs --version
xlfuncs 9

$ xlfuncs functions
Field
...
  LG_Z  last
```
<!-- end -->
"""


def test_marked_blocks_are_taken_apart() -> None:
    one, two = examples(SHOWN)["one"]
    assert (one.command, one.output) == ("xlfuncs --version", ("xlfuncs 9",))
    assert two.output == ("Field", "...", "  LG_Z  last")
    with pytest.raises(ValueError, match="stands twice"):
        examples(SHOWN + SHOWN)
    with pytest.raises(ValueError, match="holds no command"):
        examples("<!-- example: none -->\ntext\n<!-- end -->\n")


def test_output_that_differs_is_seen() -> None:
    stated = ("Field", "...", "  LG_Z  last")
    assert agrees(("Field", "  LG_A  first", "", "  LG_Z  last"), stated)
    assert agrees(("Field", "  LG_Z  last"), stated)
    assert not agrees(("Fields", "  LG_Z  last"), stated)
    assert not agrees(("Field", "  LG_Z  last", "more"), stated)


def test_a_stale_line_would_fail(workplace: Path) -> None:
    assert not agrees(run("xlfuncs --version", workplace), ("xlfuncs 0.0.0-stale",))
    with pytest.raises(ValueError, match="runs xlfuncs"):
        run("rm -r workbooks", workplace)


def _written(text: str, folder: Path) -> Iterator[tuple[str, str]]:
    """Each example as it stands, and as it should."""
    for steps in examples(text).values():
        for step in steps:
            old = "\n".join((f"$ {step.command}", *step.output))
            if ANYTHING not in [line.strip() for line in step.output]:
                yield old, "\n".join((f"$ {step.command}", *run(step.command, folder)))


if __name__ == "__main__":
    for told in TOLD:
        with tempfile.TemporaryDirectory() as name:
            stands = fresh = told.read_text(encoding="utf-8")
            for old, new in _written(stands, _workplace(Path(name))):
                fresh = fresh.replace(old, new)
            told.write_text(fresh, encoding="utf-8")
