"""The drawings are to scale and the charts show what the float balance gives."""

from __future__ import annotations

import math
import re
from itertools import pairwise
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from xlfuncs.audit.model import AuditResult
from xlfuncs.report import _svg as svg
from xlfuncs.report import drawing

SPACE = "{http://www.w3.org/2000/svg}"


def shapes(figure: drawing.Figure | None, cls: str) -> list[ElementTree.Element]:
    assert figure is not None
    root = ElementTree.fromstring(figure.svg)
    return [e for e in root.iter() if cls in e.get("class", "").split()]


def height_of(element: ElementTree.Element) -> float:
    return float(element.attrib["height"])


@pytest.fixture
def whole(sample: AuditResult) -> dict[str, Any]:
    return dict(sample.gauges[0])


def test_the_float_is_drawn_to_one_scale(whole: dict[str, Any]) -> None:
    whole |= {
        "float_ends": "flat",
        "float_diameter_mm": 40.0,
        "float_length_mm": 200.0,
        "immersion_mm": 150.0,
    }
    made = drawing.detail(whole)
    (body,) = shapes(made, "float")
    scale = float(body.attrib["height"]) / 200.0
    assert float(body.attrib["width"]) / scale == pytest.approx(40.0, abs=0.2)
    (level,) = shapes(made, "level")
    bottom = float(body.attrib["y"]) + float(body.attrib["height"])
    assert (bottom - float(level.attrib["y1"])) / scale == pytest.approx(150.0, abs=0.2)
    (indicated,) = shapes(made, "indicated")
    assert (bottom - float(indicated.attrib["y1"])) / scale == pytest.approx(
        whole["magnet_height_mm"], abs=0.2
    )
    walls = [float(w.attrib["x1"]) for w in shapes(made, "wall")]
    assert (max(walls) - min(walls)) / scale == pytest.approx(whole["chamber_bore_mm"], abs=0.2)


def test_the_gauge_is_drawn_to_one_scale(whole: dict[str, Any]) -> None:
    made = drawing.overview(whole)
    nozzles = sorted(float(n.attrib["y1"]) for n in shapes(made, "nozzle"))
    scale = (nozzles[1] - nozzles[0]) / whole["connection_distance_mm"]
    (chamber,) = shapes(made, "chamber")
    assert float(chamber.attrib["width"]) / scale == pytest.approx(whole["chamber_bore_mm"], abs=0.5)
    (strip,) = shapes(made, "strip")
    assert height_of(strip) / scale == pytest.approx(whole["visible_range_mm"], abs=1)
    foot = float(strip.attrib["y"]) + height_of(strip)
    assert (nozzles[1] - foot) / scale == pytest.approx(whole["visible_low_mm"], abs=1)
    (bar,) = [b for b in shapes(made, "bar") if b.get("y1") == b.get("y2")]
    length = (float(bar.attrib["x2"]) - float(bar.attrib["x1"])) / scale
    assert made is not None and f">{round(length, -2):.0f} mm</text>" in made.svg


def test_figures_speak_the_units_of_the_workbook_and_keep_their_scale(whole: dict[str, Any]) -> None:
    units = {"length": "in", "density": "SG", "pressure_gauge": "psig", "temperature": "degF"}
    metric = {f.shows: f for f in drawing.figures(whole)}
    inch = {f.shows: f for f in drawing.figures(whole | {"units": units})}
    assert "magnet 8.764 in" in inch["float"].svg  # 222.6 mm
    assert "it reads 22.6 mm low; 10 mm are allowed" in inch["float"].caption
    assert "55.12 in" in inch["gauge"].svg  # 1400 mm
    assert "At the operating density, 0.71 SG, it reads" in inch["offset"].caption
    assert "density of the lower fluid, SG" in inch["offset"].svg
    assert "design 232.1" in inch["pressure"].svg  # 16 bar
    assert "pressure, psig" in inch["pressure"].svg
    assert "at 77 degF" in inch["viscosity"].caption  # 25 degC
    for name, cls in (("float", "float"), ("gauge", "strip"), ("offset", "curve"), ("pressure", "limit")):
        pairs = zip(shapes(metric[name], cls), shapes(inch[name], cls), strict=True)
        assert all(one.attrib == other.attrib for one, other in pairs)
    (bar,) = [b for b in shapes(inch["gauge"], "bar") if b.get("y1") == b.get("y2")]
    nozzles = sorted(float(n.attrib["y1"]) for n in shapes(inch["gauge"], "nozzle"))
    length = (float(bar.attrib["x2"]) - float(bar.attrib["x1"])) / (nozzles[1] - nozzles[0]) * 1400 / 25.4
    assert f">{round(length):.0f} in</text>" in inch["gauge"].svg


@pytest.mark.parametrize("unit", ["degAPI", "no unit", ""])
def test_a_unit_that_no_axis_can_have_leaves_the_figures_as_they_are(
    whole: dict[str, Any], unit: str
) -> None:
    assert drawing.figures(whole | {"units": {"density": unit}}) == drawing.figures(whole)


def test_an_offset_beyond_the_tolerance_is_marked(whole: dict[str, Any]) -> None:
    assert shapes(drawing.detail(whole), "wrong")
    whole |= {"reading_offset_mm": -9.0}
    assert not shapes(drawing.detail(whole), "wrong")


@pytest.mark.parametrize("ends", ["flat", "hemispherical", "elliptical"])
def test_the_offset_curve_is_the_float_balance(whole: dict[str, Any], ends: str) -> None:
    from xlfuncs.gauge import floats

    whole["float_ends"] = ends
    made = drawing.offset_chart(whole)
    (curve,) = shapes(made, "curve")
    points = np.array([tuple(map(float, p.split(","))) for p in curve.attrib["points"].split()])
    dot = next(p for p in shapes(made, "point") if p.get("r") == "4.5")
    spot = np.array([float(dot.attrib["cx"]), float(dot.attrib["cy"])])
    assert np.min(np.hypot(*(points - spot).T)) < 3  # the operating point lies on the curve
    offset = float(floats.reading_offset(0.33, 0.05, 0.28, 0.2226, 709.3, 3.2, ends)) * 1e3
    assert made is not None
    said = re.search(r"operating density, 709.3 kg/m3, it reads ([\d.]+) mm (low|high)", made.caption)
    assert said
    assert float(said[1]) * (-1 if said[2] == "low" else 1) == pytest.approx(offset, abs=0.05)


def test_a_float_that_sinks_is_said_to_sink(sample: AuditResult) -> None:
    sunk = sample.gauges[2]
    assert drawing.sinks(sunk)
    detail, chart = drawing.detail(sunk), drawing.offset_chart(sunk)
    assert detail is not None and "It sinks" in detail.caption
    assert chart is not None and "so it does at the operating density" in chart.caption
    assert "immersion" not in drawing.unknown(sunk)
    assert not shapes(drawing.detail(sunk), "level")


def test_what_is_not_known_is_named_and_not_drawn(sample: AuditResult) -> None:
    bare = sample.gauges[3]
    assert drawing.detail(bare) is None
    assert drawing.overview(bare) is None
    assert "bore of the chamber" in drawing.unknown(bare)
    no_bore = sample.gauges[1]
    assert drawing.unknown(no_bore) == ["bore of the chamber"]
    assert shapes(drawing.overview(no_bore), "guess")
    assert not shapes(drawing.overview(no_bore), "chamber")


def test_a_visible_range_longer_than_the_connections_is_marked(sample: AuditResult) -> None:
    assert shapes(drawing.overview(sample.gauges[1]), "wrong")


def test_bars_below_the_design_pressure_are_marked_by_word(whole: dict[str, Any]) -> None:
    made = drawing.pressure_chart(whole)
    assert made is not None and "13.73 below design" in made.svg
    assert len(shapes(made, "wrong")) == 1
    widths = [float(b.attrib["width"]) for b in shapes(made, "limit")]
    assert widths[0] / widths[2] == pytest.approx(25.0 / 44.5, rel=0.01)


def test_the_viscosity_chart_has_a_logarithmic_scale(whole: dict[str, Any]) -> None:
    made = drawing.viscosity_chart(whole)
    (curve,) = shapes(made, "curve")
    ys = [float(p.split(",")[1]) for p in curve.attrib["points"].split()]
    assert (ys[5] - ys[0]) / (ys[3] - ys[0]) == pytest.approx(
        math.log(900 / 17) / math.log(900 / 55), rel=0.02
    )
    assert made is not None and "Operating: 240 mPa.s at 25" in made.caption
    assert shapes(made, "forbidden")


NUMBERS = st.one_of(
    st.none(), st.floats(), st.floats(0.1, 3000), st.integers(-5, 5000), st.text(max_size=3), st.booleans()
)
KEYS = [
    "float_mass_kg",
    "float_diameter_mm",
    "float_length_mm",
    "float_ends",
    "magnet_height_mm",
    "lower_density",
    "lower_density_min",
    "lower_density_max",
    "upper_density",
    "immersion_mm",
    "reading_offset_mm",
    "tolerance_mm",
    "chamber_bore_mm",
    "connection_distance_mm",
    "visible_range_mm",
    "visible_low_mm",
    "scale_zero_mm",
    "lrv_mm",
    "urv_mm",
]


@given(
    st.fixed_dictionaries({}, optional=dict.fromkeys(KEYS, NUMBERS)),
    st.dictionaries(
        st.sampled_from(["design", "test", "operating", "float_max", "permitted", "flange"]), NUMBERS
    ),
)
def test_any_data_gives_readable_figures(gauge: dict[str, Any], pressures: dict[str, Any]) -> None:
    made = drawing.figures(
        gauge | {"tag": "LG-1", "pressures": pressures, "switches": {"LSH": gauge.get("lrv_mm")}}
    )
    for figure in made:
        root = ElementTree.fromstring(figure.svg)
        box = [float(v) for v in root.attrib["viewBox"].split()]
        assert all(map(math.isfinite, box))
        assert box[3] < 2000
        assert "nan" not in figure.svg
        assert "inf" not in figure.svg


@given(st.floats(-1e6, 1e6), st.floats(1e-3, 1e6))
def test_ticks_are_round_and_lie_within(low: float, span: float) -> None:
    high = low + span
    made = svg.ticks(low, high)
    assert len(made) <= 8
    assert all(low - 1e-6 * span <= t <= high + 1e-6 * span for t in made)
    steps = {round(b - a, 9) for a, b in pairwise(made)}
    if steps and span > 1e-2:
        digits = f"{steps.pop():.6e}".split("e")[0].rstrip("0").rstrip(".")
        assert digits in ("1", "2", "5")
