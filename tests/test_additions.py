"""A company's own rules, functions, fluids, headings and float lists, in a small distribution made here."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

import xlfuncs

ENTRIES = """\
[xlfuncs.rules]
acme = acme_gauges:RULES
[xlfuncs.functions]
acme = acme_gauges:FUNCTIONS
[xlfuncs.data]
fluids = acme_gauges:fluids.toml
heading_words = acme_gauges:headings.toml
[xlfuncs.floats]
acme-floats = acme_gauges:floats.csv
"""
CODE = '''
from xlfuncs import Argument, Example, Function, Result, Severity, Undecided, gauge_hit, rule


@rule("acme-long-float", Severity.WARNING, needs=("float_length",), firing={"float_length": "400 mm"})
def long_float(gauges, settings):
    """The float is longer than those in the stores.

    Finds: a float of more than 300 mm.
    Why: none is kept in stock.
    Mend: choose a shorter float, or order one.
    """
    lengths = gauges.si("float_length")
    for record in (lengths > 0.3).nonzero()[0].tolist():
        yield gauge_hit(gauges, record, "float_length", "The float is longer than 300 mm")


RULES = [long_float]


def stock_number(length):
    """Number in the stores of a float of a length in m."""
    return length * 1000 + 7


FUNCTIONS = [
    Function(
        name="LG_ACME_STOCK",
        summary="Number of a float in the stores",
        category="Stores",
        arguments=(Argument("length", "length of the float", "mm", "length", low=0),),
        result=Result("stock number"),
        call="acme_gauges:stock_number",
        example=Example((250,), 257.0),
        source="list of the stores",
    )
]
'''
FILES = {
    "fluids.toml": """
[fluid."Oil Q7"]
source = "invented data sheet"
names = { en = ["oil Q7"] }
[fluid."Oil Q7".states]
temperature_degC = [20, 120]
density_kg_m3 = [900.0, 800.0]
viscosity_mPas = [100.0, 1.0]
vapour_pressure_bara = [0.001, 0.1]
""",
    "headings.toml": """
[concept.density]
zz = ["zwergwort"]
""",
    "water.toml": "[fluid.Water]\nfreezing = 1.0\n",
    "states.toml": "[fluid.Water]\nstates = { temperature_degC = [20, 90], density_kg_m3 = [870, 860] }\n",
    "key.toml": '[fluid."Oil Q8"]\nstates = { temperature_degC = [20, 90], density_kgm3 = [870, 860] }\n',
    "names.toml": '[fluid."Oil Q8"]\nnames = ["oil Q8"]\n',
    "concept.toml": '[concept.densty]\nen = ["own word"]\n',
    "word.toml": '[concept.density]\nen = "own word"\n',
    "floats.csv": "Part no,Mass g,Diameter mm,Length mm,Magnet height mm\nA1,350,50,400,181\n",
}
INDEX = "Tag,Zwergwort fluid kg/m3,Float type,Fluid,Operating temperature degC\nLG-1,983,A1,oil Q7,70\n"


def _install(folder: Path, name: str = "acme_gauges", entries: str = ENTRIES, code: str = CODE) -> Path:
    """As pip would: a package, and the metadata of its distribution."""
    (folder / name).mkdir()
    for file, text in {"__init__.py": code, **FILES}.items():
        (folder / name / file).write_text(text, encoding="utf-8")
    about = folder / f"{name}-1.2.dist-info"
    about.mkdir()
    (about / "METADATA").write_text(f"Metadata-Version: 2.1\nName: {name}\nVersion: 1.2\n", encoding="utf-8")
    (about / "entry_points.txt").write_text(entries, encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return _install(tmp_path_factory.mktemp("site"))


def _run(folder: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, *arguments],
        env=os.environ | {"PYTHONPATH": str(folder)},
        capture_output=True,
        text=True,
        check=False,
    )


ONE_AFTER_ANOTHER = """
import contextlib, io, json, sys
from xlfuncs.cli import main
for command in json.loads(sys.argv[1]):
    with contextlib.redirect_stdout(io.StringIO()) as out, contextlib.redirect_stderr(io.StringIO()) as err:
        status = main(command)
    print(json.dumps((status, out.getvalue(), err.getvalue())))
"""


def _commands(folder: Path, *commands: tuple[str, ...]) -> list[tuple[int, str, str]]:
    """Status, output and errors of commands that one process runs: most of its time goes into its start."""
    done = _run(folder, "-c", ONE_AFTER_ANOTHER, json.dumps(commands))
    assert done.returncode == 0, done.stderr
    return [tuple(json.loads(line)) for line in done.stdout.splitlines()]


def _xlfuncs(folder: Path, *commands: tuple[str, ...]) -> list[str]:
    told = _commands(folder, *commands)
    assert all(status in (0, 1) for status, _, _ in told), told
    return [out for _, out, _ in told]


def test_an_own_rule_is_listed_explained_and_reported(installed: Path, tmp_path: Path) -> None:
    index, page = tmp_path / "index.csv", tmp_path / "page.html"
    index.write_text(INDEX, encoding="utf-8")
    audit = ("audit", str(index), "--floats", "acme-floats", "--format")
    listed, explained, document, text, *_ = _xlfuncs(
        installed,
        ("rules",),
        ("explain", "acme-long-float"),
        (*audit, "json"),
        (*audit, "text"),
        (*audit, "html", "-o", str(page)),
        (*audit, "workbook", "-o", str(tmp_path)),
    )
    assert "acme-long-float" in listed
    assert "none is kept in stock" in explained
    hits = [one for one in json.loads(document)["findings"] if one["rule"] == "acme-long-float"]
    assert [(hit["tag"], hit["found"]["value"]) for hit in hits] == [("LG-1", 400.0)]
    assert "acme-long-float" in text
    assert "acme-long-float" in page.read_text(encoding="utf-8")


def test_an_own_heading_and_an_own_fluid_are_understood(installed: Path, tmp_path: Path) -> None:
    index = tmp_path / "index.csv"
    index.write_text(INDEX, encoding="utf-8")
    command = ("audit", str(index), "--floats", "acme-floats", "--format", "json")
    (document,) = _xlfuncs(installed, command)
    found = json.loads(document)
    assert found["columns"]["index"]["fluid_density"] == "B"
    (hit,) = (one for one in found["findings"] if one["rule"] == "density-not-at-operating-conditions")
    assert hit["evidence"]["reference_density_kg_m3"] == pytest.approx(850.0)


STATES = """
import xlfuncs
print(xlfuncs.density("oil Q7", 70), xlfuncs.fluid_viscosity("oil Q7", 70))
print(xlfuncs.saturation_temperature("oil Q7", "0.01 bara"))
print(xlfuncs.density("oil Q7", 130)); print(xlfuncs.vapour_density("oil Q7", 70))
print(xlfuncs.density("water", 70))
"""


def test_states_of_an_own_fluid_lie_between_its_measured_values(installed: Path) -> None:
    lines = _run(installed, "-c", STATES).stdout.splitlines()
    assert [float(text) for text in lines[0].split()] == pytest.approx([850.0, 10.0])
    assert float(lines[1]) == pytest.approx(70.0)
    for line in lines[2:4]:
        assert "only values of the liquid from 20 to 120 degC are stated" in line
    assert float(lines[4]) == xlfuncs.density("water", 70)


def test_an_own_function_is_in_every_host_and_in_help(installed: Path) -> None:
    (told,) = _xlfuncs(installed, ("functions", "LG_ACME_STOCK"))
    assert "Number of a float in the stores" in told
    code = """
import xlfuncs
from xlfuncs.hosts.calc.basic import module, settings
from xlfuncs.worksheet.cells import FUNCTIONS
print(xlfuncs.acme_stock(250), xlfuncs.call("LG_ACME_STOCK", "1 m"))
print(FUNCTIONS.unknown("LG_ACME_STOCK") == "", "LG_ACME_STOCK" in module(settings()))
"""
    done = _run(installed, "-c", code)
    assert done.stdout.split() == ["257.0", "1007.0", "True", "True"], done.stderr


@pytest.mark.parametrize(
    ("entries", "code", "said"),
    [
        ("[xlfuncs.rules]\na = broken:RULES\n", "1/0", "cannot be loaded: ZeroDivisionError"),
        ("[xlfuncs.rules]\na = broken:RULES\n", "RULES = [1]", "1 is no rule"),
        ("[xlfuncs.functions]\na = broken:F\n", "F = [1]", "1 is no xlfuncs.Function"),
        (
            "[xlfuncs.data]\nfluids = broken:no.toml\n",
            "",
            "no.toml in broken, with the file named in its package-data",
        ),
        ("[xlfuncs.data]\nfluids = broken:floats.csv\n", "", "is no readable TOML file"),
        (
            "[xlfuncs.data]\nfluids = broken:water.toml\n",
            "",
            "fluid 'Water': its freezing is stated by xlfuncs",
        ),
        (
            "[xlfuncs.data]\nfluids = broken:states.toml\n",
            "",
            "fluid 'Water': its states is stated by xlfuncs",
        ),
        ("[xlfuncs.data]\nfluids = broken:key.toml\n", "", "'density_kgm3'; did you mean density_kg_m3"),
        ("[xlfuncs.data]\nfluids = broken:names.toml\n", "", "write names by language"),
        ("[xlfuncs.data]\nheading_words = broken:concept.toml\n", "", "'densty'; did you mean density"),
        ("[xlfuncs.data]\nheading_words = broken:word.toml\n", "", 'write a list: ["own word"]'),
    ],
)
def test_what_cannot_be_used_is_said_in_one_line(tmp_path: Path, entries: str, code: str, said: str) -> None:
    _install(tmp_path, "broken", entries, code)
    index = tmp_path / "index.csv"
    index.write_text("Tag,Fluid,Density kg/m3\nLG-1,Water,=LG_X(1)\n", encoding="utf-8")
    commands = (("rules",), ("functions",), ("audit", str(index)))
    texts = [errors for _, _, errors in _commands(tmp_path, *commands)]
    told = [text for text in texts if said in text]
    assert told, texts
    assert all(text.startswith("xlfuncs: broken 1.2 (entry point") and text.count("\n") == 1 for text in told)
