"""The documentation's pages: whole, with links that lead somewhere, searched by typing, their code run."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tomllib
from html import unescape
from pathlib import Path

import pytest

import xlfuncs
from xlfuncs.audit.registry import rules
from xlfuncs.cli import main
from xlfuncs.docs.build import build, pages
from xlfuncs.worksheet import catalogue

CODE = re.compile(r"^```(\w+)\n(.*?)^```", re.DOTALL | re.MULTILINE)
TYPED = """<script>
words.value = "flange rating"; words.dispatchEvent(new Event("input"));
document.title = [...found.querySelectorAll("a")].map(link => link.getAttribute("href")).join(" ");
</script>"""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("docs") / "site"
    build(out)
    return out


def _text(name: str) -> str:
    return next(page.text for page in pages() if page.name == name)


def test_every_function_rule_setting_and_public_name_has_its_place(folder: Path) -> None:
    for name in catalogue():
        assert f'id="{name.casefold()}"' in (folder / "functions.html").read_text(encoding="utf-8")
    for slug in rules():
        assert f'id="{slug}"' in (folder / "rules.html").read_text(encoding="utf-8")
    for name in xlfuncs.Settings().to_dict():
        assert f"<code>{name}</code>" in (folder / "settings.html").read_text(encoding="utf-8")
    for name in set(xlfuncs.__all__) - {"__version__"}:
        shown = (folder / "python.html").read_text(encoding="utf-8")
        assert f">xlfuncs.{name}</h2>" in shown


def test_every_link_leads_somewhere_and_nothing_is_fetched(folder: Path) -> None:
    for path in folder.glob("*.html"):
        text = path.read_text(encoding="utf-8")
        anchors = re.findall(r'id="([^"]+)"', text)
        assert len(anchors) == len(set(anchors)), path.name
        for target in re.findall(r'(?:href|src)="([^"]+)"', text):
            name, _, anchor = unescape(target).partition("#")
            assert (folder / name).is_file(), f"{path.name}: {target}"
            assert not anchor or f'id="{anchor}"' in (folder / name).read_text(encoding="utf-8")
    for address in re.findall(r'\["([^"]+)"', (folder / "search.js").read_text(encoding="utf-8"))[:400]:
        name, _, anchor = address.partition("#")
        if name.endswith(".html"):
            assert f'id="{anchor}"' in (folder / name).read_text(encoding="utf-8"), address


@pytest.mark.browser
def test_it_is_searched_by_typing(folder: Path, tmp_path: Path) -> None:
    page = (folder / "index.html").read_text(encoding="utf-8").replace("</body>", f"{TYPED}</body>")
    (folder / "typed.html").write_text(page, encoding="utf-8")
    command = ["chromium", "--headless", "--no-sandbox", "--disable-gpu", f"--user-data-dir={tmp_path}"]
    address = (folder / "typed.html").as_uri()
    done = subprocess.run([*command, "--dump-dom", address], capture_output=True, text=True, check=True)
    (folder / "typed.html").unlink()
    title = re.search(r"<title>(.*?)</title>", done.stdout)
    assert title is not None
    assert "functions.html#lg_flange_rating" in title[1].split()


def test_the_command_writes_the_pages(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["docs", str(tmp_path / "out")]) == 0
    assert "index.html" in capsys.readouterr().out
    (tmp_path / "file").touch()
    assert main(["docs", str(tmp_path / "file")]) == 2
    assert "is a file: name a folder" in capsys.readouterr().err


def test_the_code_of_the_notebook_page_runs() -> None:
    blocks = [code for language, code in CODE.findall(_text("notebook")) if language == "python"]
    assert len(blocks) == 2
    done = subprocess.run([sys.executable, "-c", "".join(blocks)], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr


def test_a_rule_made_by_following_the_page_works(tmp_path: Path) -> None:
    blocks = CODE.findall(_text("own"))
    rule, function = (code for language, code in blocks if language == "python")
    project, files, fluid = (tomllib.loads(code) for language, code in blocks if language == "toml")
    entries = project["project"]["entry-points"] | {"xlfuncs.functions": {"acme": "acme_gauges:FUNCTIONS"}}
    assert entries["xlfuncs.rules"] == {"acme": "acme_gauges:RULES"}
    assert set(files["project"]["entry-points"]) == {"xlfuncs.data", "xlfuncs.floats"}
    assert set(fluid["fluid"]["Thermal oil X"]) == {"source", "names", "states"}
    (tmp_path / "acme_gauges.py").write_text(rule + function, encoding="utf-8")
    about = tmp_path / "acme_gauges-1.0.dist-info"
    about.mkdir()
    (about / "METADATA").write_text(
        "Metadata-Version: 2.1\nName: acme-gauges\nVersion: 1.0\n", encoding="utf-8"
    )
    lines = [
        f"[{group}]\n" + "".join(f"{k} = {v}\n" for k, v in named.items()) for group, named in entries.items()
    ]
    (about / "entry_points.txt").write_text("".join(lines), encoding="utf-8")
    for command in (["explain", "acme-long-float"], ["functions", "LG_ACME_STOCK"]):
        environment = os.environ | {"PYTHONPATH": str(tmp_path)}
        run = [sys.executable, "-m", "xlfuncs", *command]
        done = subprocess.run(run, env=environment, capture_output=True, text=True)
        assert done.returncode == 0, done.stderr
        assert "stores" in done.stdout
