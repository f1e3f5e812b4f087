"""Installing the functions in LibreOffice Calc, and finding out why they are not there."""

from __future__ import annotations

import json
import os
import re
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.request import url2pathname

from xlfuncs import __version__
from xlfuncs.errors import XlfuncsError
from xlfuncs.hosts.calc import basic, menu, office, profile
from xlfuncs.hosts.calc.profile import default_profile
from xlfuncs.hosts.checks import Check

__all__ = ["checks", "default_profile", "install", "remove"]

_AGAIN = "run 'xlfuncs install calc'"


def install(folder: Path, in_process: bool = False) -> Iterator[str]:
    """Put the functions into a profile after a trial in a private one; tells what was done."""
    python = _trial(in_process=False)
    version = python["version"]
    if in_process and version[:2] != list(sys.version_info[:2]):
        raise XlfuncsError(
            f"LibreOffice's Python is {_dotted(version)}, this one {_dotted(sys.version_info[:3])}: they "
            "differ, so the functions cannot run in its process; install without --in-process"
        )
    if in_process:
        _trial(in_process=True)
    if not profile.is_used(folder):
        office.start(folder, ["--terminate_after_init"], 120)  # the first start fills the new profile
        yield f"made the LibreOffice profile {folder}"
    yield f"wrote {profile.install(folder, in_process, _landmark(python))}"
    own = profile.opened_by(folder)
    if own != profile.OURS:
        yield (
            f"caution: your own macro runs when a document has been loaded ({own}); so a file in which Excel "
            "stored the functions with its add-in shows #NAME? here: run 'xlfuncs recalculate' on it"
        )
    for clash in profile.clashes(folder):
        yield f"caution: your own macro {clash} has the name of one of our functions; rename it"
    yield f"start LibreOffice Calc: it has a menu '{menu.TITLE}'; type =LG_VERSION() in a cell"


def remove(folder: Path) -> Iterator[str]:
    """Take the functions out of a profile."""
    if not folder.exists():
        raise XlfuncsError(f"{folder}: there is no such LibreOffice profile")
    there = profile.remove(folder)
    yield f"removed the functions from {folder}" if there else f"the functions were not in {folder}"


def _trial(in_process: bool) -> dict[str, Any]:
    """Whether a formula reaches this environment; gives version and library of LibreOffice's Python."""
    steps: list[dict[str, Any]] = [
        {"do": "open", "path": None},
        {"do": "formulas", "cells": {"A1": "=LG_VERSION()"}},
        {"do": "python"},
        {"do": "read", "areas": {"Sheet1": ["A1"]}},
    ]
    *_, python, read = office.run(steps, in_process, 120)
    answer = read["Sheet1"][0][0][0]
    if answer != f"xlfuncs {__version__}":
        raise XlfuncsError(f"LibreOffice works, but a formula gave: {answer}")
    found: dict[str, Any] = python
    return found


def _landmark(python: dict[str, Any]) -> str:
    """See `basic.settings`: LibreOffice's own library lies in a folder 'python-core-...'."""
    major, minor = python["version"][:2]
    return "" if "python-core" in python["library"] else f"lib/python{major}.{minor}/os.py"


def checks(folder: Path) -> Iterator[Check]:
    """Each link of the chain from a formula to this Python environment."""
    try:
        yield Check("LibreOffice", True, str(office.find_office()))
    except XlfuncsError as error:
        yield Check("LibreOffice", False, "not found", str(error))
        return
    try:
        python = _trial(in_process=False)
    except XlfuncsError as error:
        yield Check("a formula in a new document", False, str(error), "see the message")
        return
    yield Check("a formula in a new document", True, f"answered by {sys.executable}")
    version = python["version"]
    same = version[:2] == list(sys.version_info[:2])
    both = "of the same version" if same else "another version, which needs the worker process"
    yield Check("LibreOffice's Python", True, f"{_dotted(version)}, {both}")
    if _landmark(python) and office.environment().get("PATH") != os.environ.get("PATH"):
        terminal = "has another Python in PATH; start LibreOffice from the desktop, not from here"
        yield Check("this terminal", True, terminal)
    yield from _profile_checks(folder, same)


def _profile_checks(folder: Path, same: bool) -> Iterator[Check]:
    yield Check("profile", profile.is_used(folder), str(folder), f"{_AGAIN}; it makes the profile")
    try:
        text = profile.installed(folder)
    except XlfuncsError as error:
        yield Check("functions in the profile", False, str(error), _AGAIN)
        return
    if text is None:
        yield Check("functions in the profile", False, "not installed", _AGAIN)
        return
    how = _settings(text)
    current = text == basic.module(how)
    made = re.search(r"Made by xlfuncs (\S+)", text)
    other = f"made by version {made[1] if made else 'unknown'} or by another installation"
    found = "current" if current else other
    yield Check("functions in the profile", current, found, _AGAIN)
    python = Path(str(how.get("python", "")))
    yield Check("Python of the functions", python.is_file(), str(python), _AGAIN)
    if how.get("in_process"):
        yield Check("in LibreOffice's process", same, "installed so", f"{_AGAIN} without --in-process")
    else:
        yield Check("in a worker process", True, "installed so")
    bridge = re.search(r'"(file:[^"]*bridge\.py)"', text.replace("&quot;", '"'))
    path = Path(url2pathname(bridge[1].removeprefix("file://"))) if bridge else Path()
    yield Check("bridge", path.is_file(), str(path), _AGAIN)
    opened = profile.opened_by(folder)
    said = {profile.OURS: "computed when opened", "": "show #NAME?"}
    yield Check(
        "files that Excel saved", opened != "", said.get(opened, f"left to your macro {opened}"), _AGAIN
    )
    there = profile.has_menu(folder)
    yield Check("menu", there, f"'{menu.TITLE}'" if there else "not in the profile", _AGAIN)
    clash = ", ".join(profile.clashes(folder))
    yield Check("names", not clash, clash or "no other macro has one of them", "rename your own macro")


def _settings(text: str) -> dict[str, Any]:
    """The settings written into a module."""
    found = re.search(r"Array\(\"(\{.*?\})\"\)", text.replace("&quot;", '"').replace("&amp;", "&"))
    try:
        how: dict[str, Any] = json.loads(found[1].replace('""', '"')) if found else {}
    except ValueError:
        how = {}
    return how


def _dotted(version: Any) -> str:
    return ".".join(map(str, version))
