"""More of what the columns of a list say of one another: floats in balance, codes of design, bare names."""

from __future__ import annotations

import math
from collections.abc import Sequence

import pytest

from tests.test_columns_beside import (
    ACCEPTED,
    BY_CELLS,
    CURRENTS,
    LEVELS,
    SUPPORTED,
    Column,
    _loop,
    lent,
    words,
)


def test_where_a_level_and_its_current_are_known_no_other_columns_are() -> None:
    known = [
        Column("Zork", [100, 90, 100, 80, 50], sure="stated_level"),
        Column("Zeta", [19, 17, 18, 17, 19], sure="stated_current"),
    ]
    others = [Column("Zeal", LEVELS), Column("Zinc", CURRENTS)]
    assert lent(*_loop("lrv", "urv"), *known, *others)[4:] == [{}, {}]
    assert lent(*_loop("lrv", "urv"), known[0], *others)[3:] != [{}, {}]


# --- codes of design -------------------------------------------------------------------------------------

CODE = "ASME B31.3"


@pytest.mark.parametrize(("share", "named"), [(0.9, False), (0.91, True), (0.95, True), (1.0, True)])
def test_a_column_of_codes_of_design_is_that_whatever_it_is_called(share: float, named: bool) -> None:
    cells = words(CODE, share)
    assert lent(Column("Zork", cells))[0] == ({"design_code": BY_CELLS} if named else {})
    for score, open_ in ((0.83, True), (ACCEPTED, False)):
        raised = lent(Column("Zork", cells, {"remarks": score}))[0].get("design_code")
        assert (raised == BY_CELLS) is (named and open_)
    assert lent(Column("Code", sure="design_code"), Column("Zork", cells))[1].get("design_code") is None
    assert lent(Column("Zork", [CODE]))[0] == {}
    assert lent(Column("Zork", [CODE] * 2))[0] == {"design_code": BY_CELLS}


# --- a magnet in the surface of the liquid that its float was made for -----------------------------------


def balanced(
    planes: Sequence[float], densities: Sequence[float], masses: Sequence[float], heading: str = "Density"
) -> dict[str, float]:
    """What a column of magnets is taken for, beside floats of 50 mm and 250 mm."""
    rows = len(planes)
    columns = [
        Column("Length mm", [250] * rows, sure="float_length"),
        Column("Mass g", masses, sure="float_mass"),
        Column("OD mm", [50] * rows, sure="float_diameter"),
        Column(heading, densities, sure="float_design_density"),
        Column("Magnet mm", planes, {"magnet_height": 0.7, "magnet_from_top": 0.6, "magnet_material": 0.7}),
    ]
    return lent(*columns, kind="floats", tagged=False)[4]


def immersed(mass: float, density: float) -> float:
    """Depth in mm to which a cylinder of 50 mm floats (Archimedes)."""
    return 1000 * mass / 1000 / (density * math.pi * 0.05**2 / 4)


MASSES = [300.0, 310.0, 280.0, 260.0]
PLANES = [immersed(mass, 850) for mass in MASSES]


def test_magnet_planes_are_counted_from_the_end_from_which_they_are_in_the_surface() -> None:
    assert balanced(PLANES, [850] * 4, MASSES, "Density kg/m3") == {"magnet_height": SUPPORTED}
    top = [250 - plane for plane in PLANES]
    assert balanced(top, [850] * 4, MASSES, "Density kg/m3") == {"magnet_from_top": SUPPORTED}
    open_ = {"magnet_height": 0.7, "magnet_from_top": 0.6, "magnet_material": 0.7}
    assert balanced([5, 9, 5, 9], [850] * 4, MASSES, "Density kg/m3") == open_


@pytest.mark.parametrize(
    ("stated", "density"),
    [(0.85, 850), (4.9, 4900), (5.0, 5.0), (5.2, 5.2), (850, 850)],
)
def test_a_density_below_five_is_a_specific_gravity(stated: float, density: float) -> None:
    masses = [density * mass / 850 for mass in MASSES]
    assert balanced(PLANES, [stated] * 4, masses, "Made for") == {"magnet_height": SUPPORTED}


def test_magnets_are_counted_only_where_the_float_is_stated_and_none_is_known() -> None:
    magnet = Column("Magnet mm", PLANES, {"magnet_height": 0.7, "magnet_from_top": 0.6})
    known = [
        Column("Length mm", [250] * 4, sure="float_length"),
        Column("Mass g", MASSES, sure="float_mass"),
        Column("OD mm", [50] * 4, sure="float_diameter"),
        Column("Density kg/m3", [850] * 4, sure="float_design_density"),
    ]
    assert lent(*known, magnet, kind="floats", tagged=False)[4] == {"magnet_height": SUPPORTED}
    for j in range(4):
        less = [one for i, one in enumerate(known) if i != j]
        assert lent(*less, magnet, kind="floats", tagged=False)[3] == magnet.scores
    taken = Column("Plane", PLANES, sure="magnet_height")
    assert lent(*known, taken, magnet, kind="floats", tagged=False)[5] == magnet.scores
    more = Column("Maker", ["x"] * 4, sure="remarks")
    assert lent(*known, more, magnet, kind="floats", tagged=False)[5] == {"magnet_height": SUPPORTED}


# --- bare names beside a part ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("heading", "cells", "field", "lends"),
    [
        ("Weight total", [340, 350], "float_mass", True),
        ("Type", ["QF-12", "QF-13"], "float_part", True),
        ("Rating", [10, 12], "float_max_pressure", False),
    ],
)
def test_a_bare_name_is_the_floats_where_beside_it_it_means_that_and_little_else(
    heading: str, cells: list[object], field: str, lends: bool
) -> None:
    beside = Column("Float OD", sure="float_diameter")
    raised = lent(beside, Column(heading, cells))[1].get(field, 0.0)
    assert (raised >= ACCEPTED) is lends
    assert lends or raised == 0.0


@pytest.mark.parametrize(("between", "lends"), [(0, True), (1, True), (2, False), (3, False)])
def test_a_bare_name_takes_the_subject_of_the_second_column_beside_it_at_most(
    between: int, lends: bool
) -> None:
    beside, open_ = Column("Float OD", sure="float_diameter"), [Column("Zork", ["x", "y"])] * between
    bare = Column("Weight", [340, 350], {"urv": 0.5})
    assert ("float_mass" in lent(beside, *open_, bare)[-1]) is lends
    before = [bare, *open_, beside, Column("Fluid", sure="fluid")]
    assert ("float_mass" in lent(*before)[0]) is lends
    parted = [beside, Column("Fluid", sure="fluid"), bare, *[Column("Zork", ["x", "y"])] * 3]
    assert "float_mass" not in lent(*parted)[2]


def test_serials_that_are_repeated_are_of_the_nearest_part_before_them() -> None:
    serials = [f"A{n}" for n in range(440, 450)]
    first, label = Column("Serial", serials, sure="serial"), Column("Label", serials)
    floats, loops = Column("Part", sure="float_part"), Column("Loop", sure="transmitter_tag")
    assert lent(first, loops, floats, label)[3] == {"float_gauge_serial": 0.96}
    assert lent(first, floats, loops, label)[3] == {"transmitter_gauge_serial": 0.96}
    assert lent(loops, floats, first, label)[3] == {"float_gauge_serial": 0.96}
