"""A function of the parts of a gauge, called with one number after the other.

A sheet hands over single cells: mass, diameter, lower density. The physics takes them as what they belong to,
`Float`, `Fluids`, `Chamber` (`xlfuncs.gauge.model`). `by_name` stands between: each argument that is a field
of a part becomes that field.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields
from typing import Any, get_type_hints

from xlfuncs.gauge.model import Chamber, Float, Fluids, Movement, Spread

OTHER_NAMES: dict[type, dict[str, str]] = {
    Float: {"float_material": "metal"},
    Chamber: {"chamber_bore": "bore", "chamber_material": "metal", "connection_distance": "distance"},
    Spread: {
        "u_mass": "mass",
        "u_diameter": "diameter",
        "u_magnet_height": "magnet_height",
        "u_density": "lower_density",
        "u_upper_density": "upper_density",
    },
}
"""Arguments that are called otherwise than their field, since two parts have one of that name."""


def _names(part: type) -> dict[str, str]:
    """Argument -> field of a part."""
    other = OTHER_NAMES.get(part, {})
    taken = {*other.values(), "wear", "coverage"} if part is Spread else set(other.values())
    return {f.name: f.name for f in fields(part) if f.name not in taken} | other


NAMES = {part: _names(part) for part in (Float, Chamber, Fluids, Movement, Spread)}


def by_name(function: Callable[..., Any]) -> Callable[..., Any]:
    """`function` with keywords for the fields of its parts; itself where it takes none.

    A keyword of None is left out, so that the field keeps its default.
    """
    hints = {name: hint for name, hint in get_type_hints(function).items() if hint in NAMES}
    if not hints:
        return function
    parts = [(name, part, NAMES[part]) for name, part in hints.items()]
    belongs = {argument for _, _, names in parts for argument in names}

    def called(**given: Any) -> Any:
        stated = {key: value for key, value in given.items() if value is not None}
        whole = {
            name: part(**{field: stated[key] for key, field in names.items() if key in stated})
            for name, part, names in parts
        }
        return function(**whole, **{key: value for key, value in given.items() if key not in belongs})

    return called
