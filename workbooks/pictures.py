"""Pictures of the demo workbooks for the README, rendered by LibreOffice Calc with live functions.

    python workbooks/pictures.py

needs LibreOffice and pdftoppm (Debian: libreoffice-calc, poppler-utils).
"""

from __future__ import annotations

import subprocess
import tempfile
from pathlib import Path

from xlfuncs.hosts.calc.office import run

HERE = Path(__file__).parent
PICTURES = HERE / "pictures"

PAGES = {
    "instrument_index": ("instrument_index.xlsx", 4, 2900, (40, 60, 1540, 720)),
    "quote_check": ("quote_check.xlsx", 2, 1500, (60, 70, 1400, 1600)),
}
"""Picture -> workbook, page of its print, width of the page in pixels, and the part of it that is kept (left,
top, width, height)."""


def render(name: str, folder: Path) -> Path:
    """One picture, as PNG."""
    book, page, width, part = PAGES[name]
    pdf = folder / f"{name}.pdf"
    steps = [
        {"do": "open", "path": str(HERE / book), "hard": True},
        {"do": "store", "path": str(pdf), "filter": "calc_pdf_Export"},
    ]
    run(steps)
    target = PICTURES / name
    crop = [word for flag, at in zip(("-x", "-y", "-W", "-H"), part, strict=True) for word in (flag, str(at))]
    scale = ["-scale-to-x", str(width), "-scale-to-y", "-1"]
    command = ["pdftoppm", "-png", "-singlefile", "-f", str(page), *scale, *crop, str(pdf), str(target)]
    subprocess.run(command, check=True)
    return target.with_suffix(".png")


if __name__ == "__main__":
    PICTURES.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as made:
        for picture in PAGES:
            print(render(picture, Path(made)))
