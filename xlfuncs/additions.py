"""What other installed distributions add: a company's own rules, functions, tables and float lists.

A distribution names them in its pyproject.toml::

    [project.entry-points."xlfuncs.rules"]
    acme = "acme_gauges.rules:RULES"                # rules made by xlfuncs.rule
    [project.entry-points."xlfuncs.functions"]
    acme = "acme_gauges.functions:FUNCTIONS"        # xlfuncs.Function, with names that begin with LG_
    [project.entry-points."xlfuncs.data"]
    fluids = "acme_gauges:fluids.toml"              # a file of the package, added to data/fluids.toml here
    heading_words = "acme_gauges:headings.toml"
    [project.entry-points."xlfuncs.floats"]
    acme-floats = "acme_gauges:floats.xlsx"         # a file of the package, for `--floats acme-floats`

They are read in the order of the distributions' names. Every one that cannot be used is an XlfuncsError that
names the distribution. Nothing heavy is imported, the machinery of entry points only where there are any,
and no code of a distribution for its files.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from xlfuncs.errors import XlfuncsError

if TYPE_CHECKING:
    from importlib.metadata import EntryPoint

RULES, FUNCTIONS, DATA, FLOATS = "xlfuncs.rules", "xlfuncs.functions", "xlfuncs.data", "xlfuncs.floats"
GROUPS = (RULES, FUNCTIONS, DATA, FLOATS)
_MARK = b"[xlfuncs."


class Added(NamedTuple):
    """Something that a distribution adds."""

    name: str
    """Of the entry point."""
    origin: str
    """For messages: 'acme-gauges 1.2 (entry point acme of xlfuncs.rules)'."""
    content: Any
    """A list of rules or functions; the path of a file."""


def added(group: str) -> Iterator[Added]:
    """What all distributions add to a group, loaded."""
    for entry in _entries():
        if entry.group != group:
            continue
        about = entry.dist
        who = f"{about.metadata['Name']} {about.version}" if about is not None else entry.value
        origin = f"{who} (entry point {entry.name} of {group})"
        try:
            content = _file(entry) if group in (DATA, FLOATS) else entry.load()
        except Exception as why:
            raise XlfuncsError(
                f"{origin}: {entry.value} cannot be loaded: {type(why).__name__}: {why}; mend or uninstall it"
            ) from why
        yield Added(entry.name, origin, content)


def _file(entry: EntryPoint) -> Path:
    """'acme_gauges:fluids.toml': the file beside a module, or in a package, which is not run for it."""
    from importlib.util import find_spec

    spec = find_spec(entry.module)
    if spec is None or not entry.attr:
        raise LookupError(f"there is no package {entry.module!r}, or no file is named")
    folders = spec.submodule_search_locations or [str(Path(spec.origin or "").parent)]
    for folder in folders:
        if (Path(folder) / entry.attr).is_file():
            return Path(folder) / entry.attr
    hint = "" if spec.submodule_search_locations else ", which is a single module: make it a package"
    raise LookupError(
        f"there is no file {entry.attr} in {entry.module}{hint}, with the file named in its package-data"
    )


@cache
def _entries() -> tuple[EntryPoint, ...]:
    if not _any():
        return ()
    from importlib.metadata import entry_points

    found = [entry for group in GROUPS for entry in entry_points(group=group)]
    return tuple(sorted(found, key=lambda entry: (entry.dist.name if entry.dist else "", entry.name)))


def _any() -> bool:
    """Whether an installed distribution adds anything, by a look at its file of entry points."""
    return any(_MARK in content for folder in sys.path for content in _files(folder or os.curdir))


def _files(folder: str) -> Iterator[bytes]:
    try:
        with os.scandir(folder) as entries:
            names = [entry.path for entry in entries if entry.name.endswith((".dist-info", ".egg-info"))]
    except OSError:  # no folder: an archive, or one that is not there
        return
    for name in names:
        try:
            yield (Path(name) / "entry_points.txt").read_bytes()
        except OSError:
            continue


# --- tables -----------------------------------------------------------------------------------------


def adds_to(tables: tuple[str, ...]) -> bool:
    """Whether any distribution adds to one of these tables of `data`."""
    return any(entry.group == DATA and entry.name in tables for entry in _entries())


def with_additions(name: str, table: dict[str, Any]) -> dict[str, Any]:
    """A table of `data` with what is added to it; a number or text that it states is never changed."""
    for one in added(DATA):
        if one.name == name:
            more = _content(one)
            _check(name, table, more, f"{one.origin}: {one.content}")
            table = _merged(table, more, one.origin, name)
    return table


_OF_A_KNOWN_FLUID = frozenset({"names", "codes"})
_OF_A_FLUID = frozenset({"source", "states", *_OF_A_KNOWN_FLUID})
_STATES = frozenset({"temperature_degC", "density_kg_m3", "viscosity_mPas", "vapour_pressure_bara"})


def _check(name: str, table: Mapping[str, Any], more: Mapping[str, Any], where: str) -> None:
    """XlfuncsError for what is added to a table and would change what it says, or say nothing."""
    if name == "fluids":
        for fluid, stated in more.get("fluid", {}).items():
            _check_fluid(fluid, stated, fluid in table.get("fluid", {}), f"{where}: fluid {fluid!r}")
    if name == "heading_words":
        for concept, words in more.get("concept", {}).items():
            if concept not in table["concept"]:
                raise XlfuncsError(
                    f"{where}: there is no concept {concept!r}{_near(concept, table['concept'])}"
                )
            for language, listed in words.items():
                if not isinstance(listed, list):
                    raise XlfuncsError(
                        f'{where}: concept.{concept}.{language} is {listed!r}; write a list: ["{listed}"]'
                    )


def _near(name: str, known: Iterable[str]) -> str:
    from difflib import get_close_matches

    every = sorted(known)
    near = get_close_matches(name, every, 3, 0.5) or [one for one in every if one in name.split("_")]
    return f"; did you mean {' or '.join(near)}?" if near else f"; there are {', '.join(every)}"


def _check_fluid(fluid: str, stated: Mapping[str, Any], known: bool, where: str) -> None:
    allowed = _OF_A_KNOWN_FLUID if known else _OF_A_FLUID
    for key in stated.keys() - allowed:
        if known:
            raise XlfuncsError(
                f"{where}: its {key} is stated by xlfuncs and must not be changed; add one under a new name"
            )
        raise XlfuncsError(f"{where}: {key!r} is not known; write {', '.join(sorted(allowed))}")
    names = stated.get("names", {})
    if not isinstance(names, Mapping) or not all(isinstance(listed, list) for listed in names.values()):
        raise XlfuncsError(f'{where}: write names by language: names = {{ en = ["..."] }}')
    for key in stated.get("states", {}).keys() - _STATES:
        raise XlfuncsError(f"{where}: states has {key!r}{_near(key, _STATES)}")


def _content(one: Added) -> dict[str, Any]:
    import tomllib

    try:
        return tomllib.loads(one.content.read_text(encoding="utf-8"))
    except (OSError, ValueError) as why:
        raise XlfuncsError(f"{one.origin}: {one.content} is no readable TOML file: {why}") from None


def _merged(table: Any, more: Any, origin: str, where: str) -> Any:
    if isinstance(table, Mapping) and isinstance(more, Mapping):
        both = {key: _merged(table[key], more[key], origin, f"{where}.{key}") for key in more if key in table}
        return {**table, **more, **both}
    if isinstance(table, list) and isinstance(more, list):
        return [*table, *(item for item in more if item not in table)]
    if table == more:
        return table
    raise XlfuncsError(
        f"{origin}: {where} is stated by xlfuncs and must not be changed; add under a new name"
    )


# --- float lists ------------------------------------------------------------------------------------


def float_list(name: Path) -> Path:
    """The workbook of a float list: the file of that name, else the installed list that is called so."""
    if name.exists():
        return name
    for one in added(FLOATS):
        if one.name == str(name):
            found: Path = one.content
            return found
    return name
