"""`xlfuncs choose`: the floats of a list that suit a duty, and the float that would where none does."""

from __future__ import annotations

import argparse
import re
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

from xlfuncs.errors import XlfuncsError

if TYPE_CHECKING:
    from xlfuncs.gauge.choice import Duty, FloatList
    from xlfuncs.gauge.sizing import Body, Sized
    from xlfuncs.work.float_store import Listed

START = "cold start-up"
_PROPOSALS = 8
"""Most combinations of diameter, metal and ends that are sized."""
_LARGER = 8
"""Diameters tried beyond those of the list."""

QUANTITIES = {
    "density": ("density", "kg/m3"),
    "density_normal": ("density", "kg/m3"),
    "density_cold": ("density", "kg/m3"),
    "upper": ("density", "kg/m3"),
    "upper_cold": ("density", "kg/m3"),
    "pressure": ("pressure_gauge", "barg"),
    "temperature": ("temperature", "degC"),
    "lowest_temperature": ("temperature", "degC"),
    "tolerance": ("length", "mm"),
    "reserve": ("ratio", "1"),
    "viscosity": ("dynamic_viscosity", "mPa.s"),
    "viscosity_cold": ("dynamic_viscosity", "mPa.s"),
    "bore": ("length", "mm"),
    "level_rate": ("velocity", "mm/s"),
    "diameter": ("length", "mm"),
    "max_length": ("length", "mm"),
    "inside_mass": ("mass", "g"),
    "mass_allowance": ("ratio", "1"),
}
"""Option -> quantity and the unit of a plain number."""
_LIKE = {
    "density": "fluid_density",
    "density_normal": "fluid_density",
    "density_cold": "fluid_density",
    "upper": "upper_density",
    "upper_cold": "upper_density",
    "bore": "chamber_bore",
    "diameter": "float_diameter",
    "max_length": "float_length",
}
"""Option -> the field of a sheet whose plausible limits it shares."""
_RANGES = {"inside_mass": (0.0, 20.0), "mass_allowance": (0.0, 0.5)}
"""Options with limits of their own, in SI."""


def add(commands: Any) -> None:
    """Declare the arguments."""
    from xlfuncs.cli.audit import add_reading

    parser = commands.add_parser(
        "choose",
        help="choose a float from a list for a duty",
        description="Ranks the floats of a list for a duty, says why the others do not suit, and sizes a "
        "float that would where none does. The workbook is only read. Values take a unit: '0.85 SG', '60 C'.",
        epilog="Exit status: 0 a float of the list fits (with --for: every gauge has one), 1 none does, "
        "2 the question could not be answered.",
    )
    # so that '--temperature -20C' is a value, not an option
    parser._negative_number_matcher = re.compile(r"^-\.?\d")
    parser.add_argument("floats", type=Path, metavar="FLOATS", help="workbook or .csv with the float list")
    duty = parser.add_argument_group("duty")
    options: dict[str, tuple[Any, str, str]] = {
        "--density": (duty, "RANGE", "operating density of the (lower) liquid: '850' or '0.55..0.58 SG'"),
        "--density-normal": (duty, "DENSITY", "normal density within the range"),
        "--density-cold": (duty, "RANGE", "density at cold start-up, where the float must float as well"),
        "--upper": (duty, "RANGE", "density of the vapour, or of the upper liquid of an interface"),
        "--upper-cold": (duty, "RANGE", "the same at cold start-up"),
        "--pressure": (duty, "PRESSURE", "design pressure (gauge)"),
        "--temperature": (duty, "TEMPERATURE", "design temperature"),
        "--lowest-temperature": (duty, "TEMPERATURE", "lowest at which the float has to read right"),
        "--tolerance": (duty, "LENGTH", "permitted reading offset, either way (default: 10 mm)"),
        "--reserve": (duty, "SHARE", "least share above the surface (default: 10 %%)"),
        "--viscosity": (duty, "VISCOSITY", "viscosity in operation; with --bore it gives the lag"),
        "--viscosity-cold": (duty, "VISCOSITY", "viscosity at cold start-up"),
        "--bore": (duty, "LENGTH", "inside diameter of the chamber"),
        "--level-rate": (duty, "SPEED", "rate at which the level moves (default: 10 mm/s)"),
    }
    sized = parser.add_argument_group("if none fits, the float that would (by default as those of the list)")
    options |= {
        "--diameter": (sized, "LENGTH", "its outside diameter"),
        "--material": (sized, "NAME", "its metal: 316L, titanium grade 2, alloy 625"),
        "--max-length": (sized, "LENGTH", "its greatest length"),
        "--inside-mass": (sized, "MASS", "magnets, holder and ballast"),
        "--mass-allowance": (
            sized,
            "SHARE",
            "by which its finished mass may be off, either way (default: 2 %%)",
        ),
    }
    for name, (group, metavar, text) in options.items():
        group.add_argument(
            name,
            metavar=metavar,
            help=text,
        )
    shapes = ("flat", "hemispherical", "elliptical")
    duty.add_argument(
        "--service", choices=("level", "interface"), help="default: by the density of the upper fluid"
    )
    duty.add_argument(
        "--safety-factor", type=float, default=3.0, help="collapse over permitted pressure (default: 3)"
    )
    sized.add_argument("--ends", choices=shapes, help="its ends; also those of listed floats that state none")
    add_reading(parser)
    inquiry = parser.add_argument_group("a whole inquiry")
    inquiry.add_argument(
        "--for",
        dest="inquiry",
        action="append",
        type=Path,
        metavar="INQUIRY",
        help="workbook or .csv with the gauges that floats are wanted for; may be repeated",
    )
    inquiry.add_argument(
        "-o",
        "--output",
        action="append",
        type=Path,
        help="pages to send: a file ending in .xlsx, .html or .pdf, or a folder for all; may be repeated",
    )
    inquiry.add_argument(
        "--rank", metavar="HEADING", help="column of the float list: the floats with the least come first"
    )
    inquiry.add_argument(
        "--require",
        action="append",
        metavar="COLUMN=TEXT",
        help="what a column of the float list has to say: 'approval=NACE', 'stock>=1'; may be repeated",
    )
    inquiry.add_argument(
        "--fewest", action="store_true", help="name floats of the fewest types for all gauges"
    )
    inquiry.add_argument(
        "--show",
        action="append",
        metavar="HEADING",
        help="column of the float list that the pages show; else they show none of the company's own",
    )
    inquiry.add_argument("--settings", type=Path, metavar="FILE", help="TOML file with thresholds")
    parser.add_argument("--json", action="store_true", help="print the result as JSON")


def run(args: argparse.Namespace) -> int:
    """Choose, print, and say by the status whether a float fits."""
    from xlfuncs.gauge.choice import choose
    from xlfuncs.report.choice import Chosen, print_choice, to_json

    if args.inquiry:
        return _inquiries(args)
    _needs_inquiry(args)
    given = {name: _quantity(args, name) for name in QUANTITIES}
    duty = _duty(args, given)
    listed = _floats(args)
    floats, notes = listed.floats, list(listed.notes)
    found = choose(floats, duty)
    proposals: list[Sized] = []
    if not any(item.status == "fits" for item in found):
        proposals = _proposals(args, given, duty, floats, notes)
    result = Chosen(str(args.floats), duty, found, proposals, notes)
    if args.json:
        print(to_json(result))
    else:
        print_choice(result, sys.stdout)
    return 0 if any(item.status == "fits" for item in found) else 1


def _needs_inquiry(args: argparse.Namespace) -> None:
    """XlfuncsError where an option asks for an inquiry, or nothing says what the float is for."""
    for name in ("output", "rank", "require", "fewest", "show", "settings"):
        if getattr(args, name):
            raise XlfuncsError(f"--{name}: give the inquiry as well, with --for")
    if args.density is None:
        raise XlfuncsError("--density: state the density of the liquid, or give an inquiry with --for")


# --- arguments ----------------------------------------------------------------------------------------


def _quantity(args: argparse.Namespace, name: str) -> tuple[float, float] | None:
    """Lowest and highest SI value of an option."""
    text = getattr(args, name)
    if text is None:
        return None
    from xlfuncs.units import UnitError, from_si, parse

    option = "--" + name.replace("_", "-")
    quantity, unit = QUANTITIES[name]
    try:
        read = parse(text, quantity, unit)
    except UnitError as why:
        if quantity == "dynamic_viscosity" and (kinematic := _kinematic(args, name, text)):
            return kinematic
        raise XlfuncsError(f"{option}: {why}") from None
    if not read.si_low <= read.si_high:
        raise XlfuncsError(f"{option} {text}: give a number or both ends, e.g. '0.82..0.86 SG'")
    if read.si_low < read.si_high and not name.startswith(("density", "upper")):
        raise XlfuncsError(f"{option} {text}: give one number")
    low, high = _limits(name, quantity)
    if not (low <= read.si_low and read.si_high <= high):
        wrong = read.si_low if read.si_low < low else read.si_high
        if name.startswith("density"):
            reason = f"{wrong:g} kg/m3 is no liquid's density; write the unit, e.g. '0.85 SG'"
        else:
            span = " to ".join(f"{float(from_si(end, unit, quantity)):g}" for end in (low, high))
            reason = f"this cannot be; it is from {span} {unit}".removesuffix(" 1")
        raise XlfuncsError(f"{option} {text}: {reason}")
    return read.si_low, read.si_high


def _limits(name: str, quantity: str) -> tuple[float, float]:
    """Lowest and highest SI value that an option can have."""
    from xlfuncs.data import load

    if name in _RANGES:
        return _RANGES[name]
    table = load("plausible")
    low, high = table["field"].get(_LIKE.get(name)) or table["quantity"].get(quantity) or (-1e15, 1e15)
    return low, high


def _kinematic(args: argparse.Namespace, name: str, text: str) -> tuple[float, float] | None:
    """A kinematic viscosity times the density of the same condition."""
    from xlfuncs.units import UnitError, parse

    density = _quantity(args, "density_cold" if name.endswith("cold") else "density")
    try:
        nu = parse(text, "kinematic_viscosity")
    except UnitError:
        return None
    if density is None or nu.si_low != nu.si_high:
        return None
    return nu.si * sum(density) / 2, nu.si * sum(density) / 2


def _duty(args: argparse.Namespace, given: dict[str, tuple[float, float] | None]) -> Duty:
    from xlfuncs.gauge.choice import Condition, Duty, between

    def one(name: str, absent: float = float("nan")) -> float:
        pair = given[name]
        return absent if pair is None else pair[0]

    density, upper = given["density"], given["upper"] or (0.0, 0.0)
    assert density is not None
    normal = given["density_normal"]
    if normal is not None and normal[0] != normal[1]:
        raise XlfuncsError("--density-normal: give one number")
    for name in ("upper_cold", "viscosity_cold"):
        if given[name] and not given["density_cold"]:
            raise XlfuncsError(
                f"--{name.replace('_', '-')}: give --density-cold with it, the density at start-up"
            )
    try:
        conditions = between(density, upper, None if normal is None else normal[0], one("viscosity"))
        if cold := given["density_cold"]:
            above = given["upper_cold"] or upper
            ends = dict.fromkeys(zip(cold, above, strict=True))
            words = ("", " (lowest)", " (highest)")[:1] if len(ends) == 1 else (" (lowest)", " (highest)")
            conditions += tuple(
                Condition(START + word, *pair, operating=False, viscosity=one("viscosity_cold"))
                for word, pair in zip(words, ends, strict=True)
            )
        return Duty(
            conditions,
            design_pressure=one("pressure"),
            design_temperature=one("temperature"),
            lowest_temperature=one("lowest_temperature"),
            tolerance=one("tolerance", 0.010),
            minimum_reserve=one("reserve", 0.10),
            chamber_bore=one("bore"),
            level_rate=one("level_rate", 0.010),
            safety_factor=args.safety_factor,
            service=args.service or "",
        )
    except ValueError as why:
        raise XlfuncsError(str(why)) from None


# --- the list -----------------------------------------------------------------------------------------


def _floats(args: argparse.Namespace) -> Listed:
    """The floats of all lists of the workbook, with what had to be assumed to read them."""
    from xlfuncs.cli.audit import pairs
    from xlfuncs.work.float_store import read_listed

    return read_listed(args.floats, pairs(args.map), args.reading, args.ends)


# --- an inquiry ---------------------------------------------------------------------------------------


def _inquiries(args: argparse.Namespace) -> int:
    """Offers for whole inquiries; 0 where every gauge has its float."""
    from xlfuncs.audit.settings import Settings, read_settings
    from xlfuncs.lists.reader import read_book
    from xlfuncs.report import offer as report
    from xlfuncs.work.float_store import once_each, required
    from xlfuncs.work.offer import Wish, offer

    _only_for_one(args)
    settings, columns = Settings(), None
    if args.settings:
        settings, tables = read_settings(args.settings)
        columns = tables.pop("columns", None)
    listed = _floats(args)
    once_each(listed, args.floats)
    wish = Wish(args.rank or "", tuple(required(listed, text) for text in args.require or ()), args.fewest)
    shown = [listed.heading(text, "--show") for text in args.show or ()]
    targets = report.targets(args.output or [], args.inquiry)
    offers = []
    for path in args.inquiry:
        found = offer(read_book(path, columns=columns, strict=False), listed, wish, settings)
        offers.append(found)
        for target in targets[path]:
            report.write(found, target, [path, args.floats], shown)
            print(f"written: {target}", file=sys.stderr)
    if args.json:
        print(report.to_json(offers))
    else:
        for found in offers:
            report.print_offer(found, sys.stdout)
    return 0 if all(one.chosen for found in offers for one in found.gauges) else 1


def _only_for_one(args: argparse.Namespace) -> None:
    """An option that states the duty is of no use beside an inquiry."""
    given = [f"--{name.replace('_', '-')}" for name in QUANTITIES if getattr(args, name) is not None]
    if given or args.service:
        raise XlfuncsError(
            f"{(given or ['--service'])[0]}: the duty stands in the inquiry; leave this out, or --for"
        )


# --- the float that would do --------------------------------------------------------------------------


def _proposals(
    args: argparse.Namespace,
    given: dict[str, tuple[float, float] | None],
    duty: Duty,
    floats: FloatList,
    notes: list[str],
) -> list[Sized]:
    """A float of each build, those that exist first, the shortest of them first."""
    from xlfuncs.gauge.sizing import Sized, size_float

    allowance = given["mass_allowance"]

    def sized(body: Body) -> Sized:
        try:
            return size_float(duty, body, None if allowance is None else allowance[0])
        except ValueError as why:
            return Sized(body, str(why))

    found = [sized(body) for body in _bodies(args, given, floats, notes)]
    if found and all(item.reason for item in found) and given["diameter"] is None:
        for body in _larger([item.body for item in found], duty):
            larger = sized(body)
            if not larger.reason:
                notes.append("the float that would do is larger than those of the list: look at the chamber")
                found.append(larger)
                break
    return sorted(found, key=lambda item: (bool(item.reason), item.length if not item.reason else 0.0))


def _larger(bodies: list[Body], duty: Duty) -> Iterator[Body]:
    """Builds beyond the listed diameters in the lightest metal, in steps of 5 mm, as the bore allows."""
    from xlfuncs.gauge.sizing import metal_density

    model = min(bodies, key=lambda body: (float(metal_density(body.material)), body.ends == "flat"))
    widest = max(body.diameter for body in bodies)
    for step in range(1, 1 + _LARGER):
        diameter = round(widest + 0.005 * step, 6)
        if diameter >= duty.chamber_bore:
            return
        yield model._replace(diameter=diameter, max_length=max(model.max_length, 5 * diameter))


def _bodies(
    args: argparse.Namespace,
    given: dict[str, tuple[float, float] | None],
    floats: FloatList,
    notes: list[str],
) -> list[Body]:
    """Builds to size: those of the list, or as the options say."""
    from collections import Counter

    import numpy as np

    from xlfuncs.data import load
    from xlfuncs.gauge.sizing import Body
    from xlfuncs.gauge.strength import find_material

    if args.material and not find_material(args.material):
        raise XlfuncsError(
            f"--material {args.material}: it is unknown, use one of {', '.join(load('materials'))}"
        )

    def chosen(name: str, listed: float) -> float:
        pair = given[name]
        return listed if pair is None else pair[0]

    builds = Counter(
        (
            round(chosen("diameter", float(floats.diameter[i])), 6),
            find_material(args.material or str(floats.material[i])) or "",
            args.ends or str(floats.ends[i]),
        )
        for i in range(len(floats))
    )
    known = [build for build, _ in builds.most_common() if build[0] > 0 and build[1] and build[2]]
    longest = chosen("max_length", float(np.fmax.reduce(floats.length)))
    if not known or np.isnan(longest):
        notes.append(
            "no float was sized: the list states no known material with diameter, length and ends; "
            "give --diameter, --material, --ends and --max-length"
        )
        return []
    if len(known) > _PROPOSALS:
        notes.append(
            f"of {len(known)} builds in the list the {_PROPOSALS} commonest were sized; --diameter names one"
        )
    inside = _inside(floats)
    if given["inside_mass"] is None:
        notes.append(
            "magnets and holder of a sized float weigh as much as in the listed floats of its metal"
            if inside
            else "magnets and holder of a sized float are not counted: give --inside-mass"
        )
    return [
        Body(
            diameter,
            material,
            longest,
            ends,
            chosen("inside_mass", inside.get(material, inside.get("", 0.0))),
        )
        for diameter, material, ends in known[:_PROPOSALS]
    ]


def _inside(floats: FloatList) -> dict[str, float]:
    """Metal -> what the listed floats of it hold besides their shell [kg], the median; "": of all floats."""
    import numpy as np

    from xlfuncs.gauge.sizing import shell_mass
    from xlfuncs.gauge.strength import find_material

    metals = np.array([find_material(str(name)) or "" for name in floats.material], dtype=object)
    curved = (metals != "") & ((floats.ends == "hemispherical") | (floats.ends == "elliptical"))
    if not curved.any():
        return {}
    sizes = (floats.diameter[curved], floats.wall[curved], floats.length[curved])
    rest = floats.mass[curved] - shell_mass(*sizes, metals[curved], floats.ends[curved].astype(str))
    good, metals = rest[rest > 0], metals[curved][rest > 0]
    if not len(good):
        return {}
    found = {str(metal): float(np.median(good[metals == metal])) for metal in set(metals.tolist())}
    return {**found, "": float(np.median(good))}
