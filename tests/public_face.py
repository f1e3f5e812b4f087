"""What is public, written down: the stub that type checkers read, and every signature.

    python -m tests.public_face --write

writes both anew, which is to be done together with an entry in the list of changes (DEVELOPERS.md).
`tests/test_public_face.py` fails where either differs from the code.
"""

from __future__ import annotations

import inspect
import sys
from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from pathlib import Path
from typing import Any

import xlfuncs

ROOT = Path(xlfuncs.__file__).parent
OF_GAUGES = {"tag", "texts", "given", "si", "low", "high", "place", "measure", "or_default", "say"}
"""What a rule of somebody else's may use of the table of gauges; the rest is for the rules here."""
STUB = ROOT / "__init__.pyi"
SIGNATURES = Path(__file__).parent / "public_face.txt"


def stub() -> str:
    """The whole of `xlfuncs/__init__.pyi`."""
    imports = [
        f"from {module} import {name} as {name}"
        for name, module in sorted(vars(xlfuncs)["_PUBLIC"].items(), key=lambda item: (item[1], item[0]))
    ]
    lines = [
        '"""Written by `python -m tests.public_face --write`; the docstrings are in the code."""',
        "",
        "from typing import Any, TypeAlias",
        "",
        *imports,
        "",
        "__version__: str",
        "__all__: list[str]",
        "Cells: TypeAlias = Any",
        '"""A number, a text with its unit, None, a quantity of pint, or many of them."""',
        "",
    ]
    for name, function in xlfuncs.functions().items():
        lines.append(f"def {name}{_typed(inspect.signature(function))} -> Any: ...")
    return "\n".join(lines) + "\n"


def _typed(signature: inspect.Signature) -> str:
    parts = []
    for parameter in signature.parameters.values():
        default = parameter.default
        shown = "" if default is inspect.Parameter.empty else f" = {default!r}"
        if parameter.kind is inspect.Parameter.VAR_POSITIONAL:
            parts.append(f"*{parameter.name}: Cells")
        elif parameter.kind is inspect.Parameter.KEYWORD_ONLY:
            parts += ["*", f"{parameter.name}: str | None{shown}"]
        else:
            parts.append(f"{parameter.name}: Cells{shown}")
    if any(part.startswith("*") and part != "*" for part in parts) and "*" in parts:
        parts.remove("*")
    return f"({', '.join(parts)})"


def signatures() -> str:
    """Every public name with what it takes, one line each."""
    lines: list[str] = []
    for name in sorted(xlfuncs.__all__):
        lines += _described(name, getattr(xlfuncs, name))
    for name, function in xlfuncs.functions().items():
        lines.append(f"{name}{inspect.signature(function)}")
    return "\n".join(lines) + "\n"


def _described(name: str, thing: Any) -> Iterator[str]:
    if not isinstance(thing, type):
        yield f"{name}{inspect.signature(_called(thing))}" if callable(thing) else name
        return
    own = {key: value for cls in reversed(thing.__mro__[:-1]) for key, value in vars(cls).items()}
    if issubclass(thing, Exception):
        yield f"class {name}(Exception)"
        return
    yield f"class {name}{_parameters(thing)}"
    for key, value in sorted(own.items()):
        if thing is xlfuncs.Gauges and key not in OF_GAUGES:
            continue
        if key.startswith("_") and key != "_repr_html_":
            continue
        plain = value.__func__ if isinstance(value, (classmethod, staticmethod)) else value
        if inspect.isfunction(plain):
            yield f"    {name}.{key}{inspect.signature(plain)}"
        elif isinstance(value, property) or type(value).__name__ == "cached_property":
            yield f"    {name}.{key}"


def _parameters(thing: type) -> str:
    if is_dataclass(thing):
        return f"({', '.join(f'{field.name}: {field.type}' for field in fields(thing))})"
    return str(inspect.signature(thing))


def _called(thing: Any) -> Any:
    """`xlfuncs.audit` is a package that can be called."""
    from xlfuncs import face

    return face.audit if inspect.ismodule(thing) else thing


if __name__ == "__main__":
    if "--write" in sys.argv:
        STUB.write_text(stub(), encoding="utf-8")
        SIGNATURES.write_text(signatures(), encoding="utf-8")
    else:
        print(signatures(), end="")
