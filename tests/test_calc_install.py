"""The functions put into a LibreOffice profile and taken out again, and what the doctor says of it."""

from __future__ import annotations

import ast
import os
import struct
import sys
import types
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from xlfuncs import __version__
from xlfuncs.cli import main
from xlfuncs.errors import XlfuncsError
from xlfuncs.hosts import calc
from xlfuncs.hosts.calc import basic, office, profile, setup
from xlfuncs.worksheet import call, catalogue

pytestmark = pytest.mark.calc

HERE = Path(calc.__file__).parent

OWN_LIST = """\
<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE library:library PUBLIC "-//OpenOffice.org//DTD OfficeDocument 1.0//EN" "library.dtd">
<library:library xmlns:library="http://openoffice.org/2000/library" library:name="Standard" \
library:readonly="false" library:passwordprotected="false">
 <library:element library:name="Module1"/>
 <library:element library:name="Umläute"/>
</library:library>"""


SETTINGS = """\
<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry" \
xmlns:xs="http://www.w3.org/2001/XMLSchema" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">
<item oor:path="/org.openoffice.UserProfile/Data"><prop oor:name="givenname" oor:op="fuse">\
<value>Zoë</value></prop></item>
{}</oor:items>
"""

BOUND = """\
<item oor:path="/org.openoffice.Office.Events/ApplicationEvents/Bindings">\
<node oor:name="{}" oor:op="replace"><prop oor:name="BindingURL" oor:op="fuse">\
<value>vnd.sun.star.script:Standard.Module1.Mine</value></prop></node></item>
"""


@pytest.fixture
def used(tmp_path: Path) -> Path:
    """A profile with macros of the user's own."""
    folder = tmp_path / "profile"
    standard = folder / "user" / "basic" / "Standard"
    standard.mkdir(parents=True)
    (folder / "user" / "registrymodifications.xcu").write_text(SETTINGS.format(""), encoding="utf-8")
    (standard / "script.xlb").write_text(OWN_LIST, encoding="utf-8")
    (standard / "Module1.xba").write_text("Sub Main\nEnd Sub\n", encoding="utf-8")
    return folder


def files(folder: Path) -> dict[str, bytes]:
    return {str(p.relative_to(folder)): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def test_installing_adds_one_module_and_removing_leaves_no_trace(used: Path) -> None:
    before = files(used)
    profile.install(used)
    after = files(used)
    assert set(after) - set(before) == {"user/basic/Standard/xlfuncs.xba"}
    changed = {name for name in before if before[name] != after[name]}
    assert changed == {"user/basic/Standard/script.xlb", "user/registrymodifications.xcu"}
    listed = after["user/basic/Standard/script.xlb"].decode()
    assert listed.replace(' <library:element library:name="xlfuncs"/>\n', "") == OWN_LIST
    profile.install(used)
    assert files(used) == after
    assert profile.remove(used)
    assert files(used) == before
    assert not profile.remove(used)


def test_the_event_of_a_document_that_has_been_loaded_is_ours_unless_it_is_taken(used: Path) -> None:
    settings = used / "user" / "registrymodifications.xcu"
    assert profile.opened_by(used) == ""
    settings.write_text(SETTINGS.format(BOUND.format("OnSave")), encoding="utf-8")
    profile.install(used)
    assert profile.opened_by(used) == profile.OURS
    assert "OnSave" in settings.read_text(encoding="utf-8")
    profile.remove(used)
    taken = SETTINGS.format(BOUND.format("OnLoadFinished"))
    settings.write_text(taken, encoding="utf-8")
    profile.install(used)
    assert profile.opened_by(used) == "vnd.sun.star.script:Standard.Module1.Mine"
    profile.remove(used)
    assert settings.read_text(encoding="utf-8") == taken


def test_settings_that_cannot_be_read_are_named_and_left(used: Path) -> None:
    (used / "user" / "registrymodifications.xcu").write_text("<oor:items>")
    before = files(used)
    for work in (profile.install, profile.remove):
        with pytest.raises(XlfuncsError, match=r"registrymodifications\.xcu: cannot be read"):
            work(used)
    assert files(used) == before


def test_a_list_closed_in_its_own_tag_is_opened(used: Path) -> None:
    (used / "user/basic/Standard/script.xlb").write_text(
        '<library:library xmlns:library="http://openoffice.org/2000/library" library:name="Standard"/>\n'
    )
    profile.install(used)
    assert profile.installed(used)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (('readonly="false"', 'readonly="true"'), "is read-only"),
        (('passwordprotected="false"', 'passwordprotected="true"'), "protected by a password"),
        (("</library:library>", ""), "cannot be read .*left as it is"),
        (("library:library", "x:y"), "cannot be read|is not a list of Basic modules"),
    ],
)
def test_a_library_that_cannot_be_changed_is_left_as_it_is(
    used: Path, change: tuple[str, str], message: str
) -> None:
    listing = used / "user/basic/Standard/script.xlb"
    listing.write_text(OWN_LIST.replace(*change), encoding="utf-8")
    before = files(used)
    for work in (profile.install, profile.remove):
        with pytest.raises(XlfuncsError, match=message):
            work(used)
    assert files(used) == before


def test_nothing_is_changed_under_a_running_libreoffice(used: Path) -> None:
    (used / ".lock").write_text("")
    with pytest.raises(XlfuncsError, match="LibreOffice is running with this profile"):
        profile.install(used)
    assert not profile.installed(used)


def test_own_macros_with_our_names_are_reported(used: Path) -> None:
    (used / "user/basic/Standard/Module1.xba").write_text("\tfunction LG_Immersion(a)\nFunction LG_OTHER()\n")
    assert profile.clashes(used) == ["LG_Immersion in Module1"]


def test_the_module_has_every_function_for_any_number_of_arguments() -> None:
    text = basic.module(basic.settings())
    for name in catalogue():
        assert f"\nFunction {name}(ParamArray cells())\n\tOn Error GoTo First\n" in text
    assert "\nGlobal lg_host As Variant\n" in text  # another variable is forgotten after each call


@pytest.mark.parametrize(
    "name",
    [
        "bridge.py",
        "commands.py",
        "document.py",
        "insert.py",
        "windows.py",
        "jobs.py",
        "opened.py",
        "truth.py",
    ],
)
def test_what_runs_in_libreoffice_is_written_for_old_pythons_and_needs_no_package(name: str) -> None:
    tree = ast.parse((HERE / name).read_text(encoding="utf-8"), feature_version=(3, 7))
    for node in ast.walk(tree):
        modules = [a.name for a in node.names] if isinstance(node, ast.Import) else []
        modules += [node.module or ""] if isinstance(node, ast.ImportFrom) and not node.level else []
        for module in modules:
            root = module.partition(".")[0]
            known = root in sys.stdlib_module_names or root in ("uno", "unohelper", "com")
            assert known or module in ("xlfuncs.hosts.calc.ahead", "xlfuncs.hosts.calc.worker"), module


# --- with a real LibreOffice --------------------------------------------------------------------------


def test_install_remove_and_doctor_with_a_new_profile(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "new"
    assert main(["install", "calc", "--profile", str(folder)]) == 0
    shown = capsys.readouterr().out
    assert f"made the LibreOffice profile {folder}" in shown
    assert "type =LG_VERSION() in a cell" in shown
    assert answer_in(folder, tmp_path) == f"xlfuncs {__version__}"
    assert main(["doctor", "--profile", str(folder)]) == 0
    shown = capsys.readouterr().out
    assert "!!" not in shown
    assert "ok  functions in the profile: current" in shown
    assert "ok  files that Excel saved: computed when opened" in shown
    assert main(["install", "calc", "--profile", str(folder), "--remove"]) == 0
    assert main(["doctor", "--profile", str(folder)]) == 1
    assert (
        "!!  functions in the profile: not installed\n      run 'xlfuncs install calc'"
        in capsys.readouterr().out
    )


def answer_in(folder: Path, tmp_path: Path, formula: str = "=LG_VERSION()") -> Any:
    """What a file with a formula shows when it is converted with a profile."""
    book = openpyxl.Workbook()
    assert book.active is not None
    book.active["A1"] = formula
    book.save(tmp_path / "version.xlsx")
    office.start(
        folder, ["--convert-to", "csv", "--outdir", str(tmp_path), str(tmp_path / "version.xlsx")], 60
    )
    return (tmp_path / "version.csv").read_text().strip()


@pytest.fixture
def hostile(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A virtual environment that is active: first in PATH, and not the one of LibreOffice."""
    folder = tmp_path / "venv" / "bin"
    folder.mkdir(parents=True)
    (folder / "python3").symlink_to(sys.executable)
    (folder.parent / "pyvenv.cfg").write_text(f"home = {Path(sys.executable).resolve().parent}\n")
    monkeypatch.setenv("PATH", f"{folder}:/usr/bin:/bin")
    return folder


def test_an_active_environment_does_not_reach_libreoffice(hostile: Path) -> None:
    assert str(hostile) not in office.environment()["PATH"]
    *_, python = office.run([{"do": "python"}])
    assert python["version"][0] == 3


def test_libreoffice_started_in_an_active_environment_gives_an_error_instead_of_ending(
    hostile: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "profile"
    profile.private_profile(folder)
    profile.install(folder, landmark="lib/python3.11/os.py")
    monkeypatch.setattr(office, "environment", lambda: dict(os.environ))
    assert answer_in(folder, tmp_path) == "#VALUE!"
    shown = answer_in(folder, tmp_path, '=LG_REASON("LG_VERSION")')
    assert shown.startswith(f'"the Python in {hostile}, first in PATH, would crash LibreOffice')


def test_another_python_cannot_run_in_the_process(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(setup, "_trial", lambda in_process: {"version": [3, 8, 10], "library": "os.py"})
    with pytest.raises(XlfuncsError, match=r"LibreOffice's Python is 3\.8\.10.*without --in-process"):
        list(setup.install(tmp_path / "profile", in_process=True))


def test_a_missing_libreoffice_is_named(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("XLFUNCS_SOFFICE", str(tmp_path / "soffice"))
    with pytest.raises(XlfuncsError, match="XLFUNCS_SOFFICE: there is no file"):
        office.find_office()
    monkeypatch.delenv("XLFUNCS_SOFFICE")
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.setattr(office, "_PLACES", ())
    with pytest.raises(XlfuncsError, match="LibreOffice was not found; install it"):
        office.find_office()


def test_a_libreoffice_that_hangs_is_ended(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    slow = tmp_path / "soffice"
    slow.write_text("#!/bin/sh\nsleep 60\n")
    slow.chmod(0o755)
    monkeypatch.setenv("XLFUNCS_SOFFICE", str(slow))
    with pytest.raises(XlfuncsError, match=r"did not finish within 0\.5 s"):
        office.start(tmp_path / "profile", [], 0.5)


def test_a_libreoffice_without_python_is_explained(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    quick = tmp_path / "soffice"
    quick.write_text("#!/bin/sh\nexit 0\n")
    quick.chmod(0o755)
    monkeypatch.setenv("XLFUNCS_SOFFICE", str(quick))
    with pytest.raises(XlfuncsError, match="not its Python; install its part 'Python scripting'"):
        office.run([])


# --- the bridge ---------------------------------------------------------------------------------------


@pytest.fixture
def bridge(monkeypatch: pytest.MonkeyPatch) -> types.ModuleType:
    """The bridge, loaded without LibreOffice."""
    helper = types.ModuleType("unohelper")
    helper.Base = type("Base", (), {})  # type: ignore[attr-defined]
    helper.ImplementationHelper = lambda: types.SimpleNamespace(  # type: ignore[attr-defined]
        addImplementation=lambda *_: None
    )
    script = types.ModuleType("com.sun.star.script")
    script.XInvocation = type("XInvocation", (), {})  # type: ignore[attr-defined]
    script.ArrayWrapper = lambda from_zero, rows: ("range", from_zero, rows)  # type: ignore[attr-defined]
    monkeypatch.setitem(sys.modules, "unohelper", helper)
    for name in ("com", "com.sun", "com.sun.star"):
        monkeypatch.setitem(sys.modules, name, types.ModuleType(name))
    monkeypatch.setitem(sys.modules, "com.sun.star.script", script)
    module = types.ModuleType("bridge")
    exec(compile((HERE / "bridge.py").read_text(encoding="utf-8"), "bridge.py", "exec"), module.__dict__)
    return module


def test_a_worker_that_dies_is_started_again(bridge: types.ModuleType) -> None:
    worker = bridge.Worker({"python": sys.executable})
    assert worker.answer("LG_VERSION", ()) == (f"xlfuncs {__version__}", [])
    worker._process.kill()
    worker._process.wait()
    immersion = call("LG_IMMERSION", 280, 50, 200, 850)
    assert worker.answer("LG_IMMERSION", (280, 50, 200, 850)) == (immersion, [])
    worker._end()


def test_a_worker_does_not_inherit_libreoffices_python(
    bridge: types.ModuleType, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    (tmp_path / "numpy.py").write_text("raise ImportError('the wrong numpy')")
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    monkeypatch.setenv("PYTHONHOME", str(tmp_path))
    monkeypatch.chdir(tmp_path)
    worker = bridge.Worker({"python": sys.executable})
    immersion = call("LG_IMMERSION", 280, 50, 200, 850)
    assert worker.answer("LG_IMMERSION", (280, 50, 200, 850)) == (immersion, [])
    worker._end()


def test_what_goes_wrong_is_an_error_with_its_reason(bridge: types.ModuleType, tmp_path: Path) -> None:
    functions = bridge.Functions(None, '{"python": "/no/such/python", "in_process": false}')
    assert error_number(functions.callFunction("LG_VERSION", ())) == 519
    text = functions.callFunction("LG_REASON", ("LG_VERSION",))
    assert text.startswith("FileNotFoundError")
    assert text.endswith("run 'xlfuncs doctor'")


def test_a_worker_that_cannot_start_is_not_tried_again_for_each_cell(
    bridge: types.ModuleType, tmp_path: Path
) -> None:
    started = tmp_path / "started"
    broken = tmp_path / "python"
    broken.write_text(f"#!/bin/sh\necho once >> {started}\necho 'no module xlfuncs' >&2\nexit 3\n")
    broken.chmod(0o755)
    functions = bridge.Functions(None, f'{{"python": "{broken}", "in_process": false}}')
    for _ in range(5):
        assert error_number(functions.callFunction("LG_VERSION", ())) == 519
    said = functions.callFunction("LG_REASON", ("LG_VERSION",))
    assert said == "the worker process ended (no module xlfuncs); run 'xlfuncs doctor'"
    assert started.read_text().split() == ["once", "once"]
    vars(bridge)["PAUSE"] = 0
    bridge._way(functions._settings)._again = 0
    functions.callFunction("LG_VERSION", ())
    assert len(started.read_text().split()) == 4


def error_number(value: float) -> int:
    """The error that Calc sees in a NaN."""
    bits: int = struct.unpack("<Q", struct.pack("<d", value))[0]
    assert bits >> 48 == 0x7FF8
    return bits & 0xFFFFFFFF


def test_results_reach_basic_as_rows(bridge: types.ModuleType) -> None:
    functions = bridge.Functions(None, '{"paths": [], "in_process": true}')
    rows = (tuple(call("LG_DENSITY_WINDOW", 280, 50, 200, 150, 10)),)
    cells = (280, 50, 200, 150, 10)
    assert functions.callFunction("LG_DENSITY_WINDOW", cells) == rows
    assert functions.invoke("LG_DENSITY_WINDOW", (cells,), (), ()) == (("range", True, rows), (), ())
    first = functions.invoke("callFunction", ("LG_DENSITY_WINDOW", cells), (), ())
    assert first == (("range", True, rows), (), ())
    column = functions.callFunction("LG_IMMERSION", (((280,), (400,), (None,)), 50, 200, 850))
    assert column[0] == (call("LG_IMMERSION", 280, 50, 200, 850),)
    assert [error_number(cell) for (cell,) in column[1:]] == [503, 32767]


class Answers:
    """Stands for the worker."""

    def __init__(self, found: Any, others: Any = ()) -> None:
        self.found, self.others = found, others
        self.calls = 0

    def answer(self, name: str, cells: Any) -> Any:
        self.calls += 1
        return self.found, self.others


def test_errors_are_numbers_of_calc_in_every_cell(bridge: types.ModuleType) -> None:
    functions = bridge.Functions(None, "x")
    for number in (503, 519, 32767):
        bridge._ways["x"] = Answers({"error": number})
        assert error_number(functions.callFunction("LG_X", (number,))) == number
    bridge._ways["x"] = Answers([[1.0, {"error": 503}], ["text", {"error": 32767}]])
    (one, impossible), (text, missing) = functions.callFunction("LG_X", ())
    assert (one, text) == (1.0, "text")
    assert (error_number(impossible), error_number(missing)) == (503, 32767)


def test_a_call_is_remembered_unless_its_ranges_are_large_or_it_failed(bridge: types.ModuleType) -> None:
    functions = bridge.Functions(None, "x")
    bridge._ways["x"] = answers = Answers(1.0)
    for _ in range(3):
        functions.callFunction("LG_X", (1, ((2,), (None,)), "3"))
    assert answers.calls == 1
    functions.callFunction("LG_X", (1, ((2,), (3,)), "3"))
    functions.callFunction("LG_Y", (1, ((2,), (3,)), "3"))
    assert answers.calls == 3
    for _ in range(2):
        functions.callFunction("LG_X", (((2,),) * (bridge.LARGE + 1),))
    assert answers.calls == 5
    bridge._ways["x"] = failing = Answers({"failed": "no worker"})
    for _ in range(2):
        functions.callFunction("LG_X", ("new",))
    assert failing.calls == 2


def test_results_of_calls_that_may_follow_are_remembered(bridge: types.ModuleType) -> None:
    functions = bridge.Functions(None, "x")
    bridge._ways["x"] = answers = Answers(1.0, [((2, "a"), 2.0), ((3, "a"), 3.0)])
    assert [functions.callFunction("LG_X", (n, "a")) for n in (1, 2, 3)] == [1.0, 2.0, 3.0]
    assert answers.calls == 1


def test_no_more_calls_are_remembered_than_there_is_room_for(bridge: types.ModuleType) -> None:
    vars(bridge)["ROOM"] = 3
    functions = bridge.Functions(None, "x")
    bridge._ways["x"] = Answers(1.0)
    for n in range(10):
        functions.callFunction("LG_X", (n,))
        assert len(functions._known) <= 3


def test_whole_columns_are_cut_after_what_they_hold(bridge: types.ModuleType) -> None:
    vars(bridge).update(LARGE=2, WHOLE=5)
    functions = bridge.Functions(None, "x")
    sent: list[Any] = []

    def answer(name: str, cells: Any) -> tuple[float, tuple[()]]:
        sent.append(cells)
        return 1.0, ()

    bridge._ways["x"] = types.SimpleNamespace(answer=answer)
    first = ((1,), (None,), (3,), ("",), (None,))
    second = ((None,), (2,), (None,), (None,), (None,))
    functions.callFunction("LG_X", (first, 5, second, ((7,), (None,), (None,))))
    assert sent.pop() == (first[:3], 5, second[:3], ((7,), (None,), (None,)))
    functions.callFunction("LG_X", (((None,),) * 6,))
    assert sent.pop() == (((None,),),)
    functions.callFunction("LG_X", (((1,), (None,), (None,), (None,)),))
    assert sent.pop() == (((1,), (None,), (None,), (None,)),)
