"""Short names of the truth files and the fields of the audit that they stand for.

`x_...` and `NAME@unit` are columns that no field should take (`x_u...`: the unit of a value beside it).
`NAME@WHERE` is NAME in one of several cases, offers or documents, `NAME_spec` what was asked for beside what
is offered: such a column may be taken or left.
"""

from __future__ import annotations

from typing import Final

_NAMES: Final = {  # field: short names
    "tag": "tag",
    "old_tag": "old",
    "tag_area": "tag_area tarea t_area",
    "tag_letters": "tag_letters tlet t_let",
    "tag_number": "tag_number tnum t_num",
    "tag_suffix": "tag_suffix tsuf t_suf",
    "area": "area",
    "service": "svc",
    "instrument_type": "type inst ityp",
    "fluid": "fluid",
    "service_type": "typ styp",
    "serial": "gsn",
    "float_part": "part",
    "float_serial": "fsn",
    "float_gauge_serial": "fgsn",
    "transmitter_tag": "ltag",
    "transmitter_serial": "tsn lsn",
    "transmitter_gauge_serial": "tgsn lgsn",
    "remarks": "rem remarks",
    "fluid_density": "rho",
    "fluid_density_min": "rho_min",
    "fluid_density_max": "rho_max",
    "upper_fluid": "upf uflu ufl fluid_u",
    "upper_density": "rho_u",
    "operating_temperature": "ot",
    "operating_temperature_min": "ot_min",
    "operating_temperature_max": "ot_max",
    "operating_pressure": "op",
    "operating_pressure_min": "op_min",
    "operating_pressure_max": "op_max",
    "operating_pressure_temperature": "opot",
    "design_temperature": "dt",
    "design_temperature_min": "dt_min",
    "design_pressure": "dp",
    "design_pressure_temperature": "dpdt",
    "test_pressure": "tp",
    "viscosity": "mu",
    "level_rate": "rate",
    "pour_point": "pour",
    "freezing_point": "frz",
    "minimum_ambient": "amb tamb",
    "float_mass": "mass",
    "float_diameter": "od",
    "float_length": "L",
    "float_straight_length": "L_str",
    "float_ends": "ends",
    "magnet_height": "mag",
    "magnet_from_top": "mag_top",
    "float_design_density": "drho",
    "float_max_pressure": "pmax",
    "float_max_temperature": "tmax",
    "float_wall": "wall",
    "float_material": "fmat ffmat",
    "float_service": "fsvc",
    "magnet_material": "mmat",
    "magnet_max_temperature": "mtmax",
    "chamber_bore": "bore",
    "chamber_diameter": "cod cdia chod",
    "chamber_material": "cmat",
    "flange_class": "fclass flg",
    "flange_material": "flmat flgmat",
    "material_group": "grp",
    "connection_distance": "cc",
    "visible_range": "vis",
    "visible_low": "vlo",
    "scale_zero": "zero sz szero",
    "lrv": "lrv",
    "urv": "urv",
    "transmitter_range": "range",
    "action": "action act",
    "stated_level": "slev",
    "stated_current": "scur",
    "switch_lsll": "lsll",
    "switch_lsl": "lsl",
    "switch_lsh": "lsh",
    "switch_lshh": "lshh",
    "tracing": "trace",
    "tracer_output": "tw wpm tout",
    "maintain_temperature": "tmain tmaint",
    "sheath_temperature": "tsh tsheath",
    "temperature_class": "tcls tclass tcl",
    "transmitter_max_temperature": "ltmax",
    "insulation_thickness": "ins insth",
    "insulation_conductivity": "kins insk",
}
FIELDS: Final = {name: field for field, names in _NAMES.items() for name in names.split()}
NOTHING: Final = frozenset({"r15", "no", "qty"})
"""A density at a reference temperature, a row number, a quantity."""


UNKNOWN: Final = "?"


def field_of(name: str) -> tuple[str, bool]:
    """The field of a short name ("": none may take it; `UNKNOWN`), and whether its column has to be taken."""
    of_float, name = name.startswith("float "), name.removeprefix("float ")
    if of_float and name == "svc":
        return "float_service", True
    base, _, where = name.partition("@")
    if where == "unit" or base.startswith("x_") or base in NOTHING:
        return "", False
    asked_for = base.endswith("_spec")
    return FIELDS.get(base.removesuffix("_spec"), UNKNOWN), not (where or asked_for)
