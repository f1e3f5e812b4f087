"""The HTML page printed to PDF, by a Chromium that is installed."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterable, Sequence
from pathlib import Path

from xlfuncs.audit.model import AuditResult
from xlfuncs.errors import XlfuncsError
from xlfuncs.report import html
from xlfuncs.spreadsheet.files import whole_file

_NAMES = (
    "chromium",
    "chromium-browser",
    "google-chrome",
    "google-chrome-stable",
    "chrome",
    "msedge",
    "microsoft-edge",
)
_QUIET = (
    "--headless",
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-pdf-header-footer",
)
_SECONDS = 300


def browser() -> str | None:
    """The browser to print with: XLFUNCS_BROWSER, else the first Chromium on the path."""
    return shutil.which(os.environ.get("XLFUNCS_BROWSER") or "") or next(
        filter(None, map(shutil.which, _NAMES)), None
    )


def write(results: Sequence[AuditResult], path: Path, sources: Iterable[Path]) -> None:
    """Print the page of an audit to `path`."""
    print_page(html.text(results, printed=True), path, sources)


def print_page(content: str, path: Path, sources: Iterable[Path]) -> None:
    """Print an HTML page to `path`."""
    program = browser()
    if program is None:
        raise XlfuncsError(
            "a PDF needs Chromium, which was not found: install it, name it in XLFUNCS_BROWSER, or use "
            "--format html and print the page"
        )
    with whole_file(path, sources) as draft, tempfile.TemporaryDirectory() as folder:
        page = Path(folder, "report.html")
        page.write_text(content, encoding="utf-8")
        # As root, as in a container, Chromium starts without its sandbox only; the page is our own.
        root = ["--no-sandbox"] if getattr(os, "geteuid", lambda: 1)() == 0 else []
        command = [program, *_QUIET, *root, f"--user-data-dir={Path(folder, 'profile')}"]
        try:
            done = subprocess.run(
                [*command, f"--print-to-pdf={draft}", page.as_uri()], capture_output=True, timeout=_SECONDS
            )
        except (OSError, subprocess.TimeoutExpired) as error:
            raise XlfuncsError(f"{program} could not print the page: {error}") from error
        if done.returncode or not draft.exists() or not draft.read_bytes().startswith(b"%PDF"):
            raise XlfuncsError(f"{program} could not print the page; use --format html and print the page")
