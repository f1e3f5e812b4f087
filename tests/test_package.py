"""The wheel that a user installs holds everything, and works away from the checkout."""

from __future__ import annotations

import os
import subprocess
import sys
import zipfile
from pathlib import Path

ROOT = Path(__file__).parent.parent


def test_the_wheel_is_whole_and_audits(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps", "-w", str(tmp_path), str(ROOT)]
    subprocess.run(command, check=True)
    (wheel,) = tmp_path.glob("*.whl")
    with zipfile.ZipFile(wheel) as archive:
        held = set(archive.namelist())
        archive.extractall(tmp_path / "installed")
    wanted = {
        path.relative_to(ROOT).as_posix()
        for path in (ROOT / "xlfuncs").rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }
    assert wanted <= held
    assert not [name for name in held if name.startswith(("tests/", "workbooks/"))]
    book = ROOT / "workbooks" / "contractor_index.xlsx"
    done = subprocess.run(
        [sys.executable, "-m", "xlfuncs", "audit", str(book), "--format", "text"],
        cwd=tmp_path,
        env=os.environ | {"PYTHONPATH": str(tmp_path / "installed")},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 1, done.stderr
    assert "float-sinks" in done.stdout
