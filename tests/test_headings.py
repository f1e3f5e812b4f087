"""Every heading that the data file lists is recognised as its field, and as no other."""

from __future__ import annotations

import pytest

from xlfuncs.data import load
from xlfuncs.lists.headings import fields, match, settle

# Two meanings that only their surroundings tell apart.
OPEN = {"LT", "DP"}

LISTED = [
    pytest.param(name, text, kind, id=f"{name}-{language}-{text}")
    for name, entry in fields().items()
    for kind, key in (("gauges", "headings"), ("floats", "list_headings"))
    if kind in entry["tables"]
    for language, texts in entry.get(key, {}).items()
    for text in texts
    if text not in OPEN
]


def test_listed_headings():
    wrong = []
    for parameters in LISTED:
        name, text, kind = parameters.values
        taken, _ = settle(match(text, "", kind))
        if taken is None or taken.field != name:
            wrong.append((name, text, taken))
    assert not wrong


@pytest.mark.parametrize("language", ["en", "de", "fr", "es", "pt", "it"])
def test_every_field_has_a_heading_in_each_language(language):
    assert not [name for name, entry in fields().items() if not entry["headings"].get(language)]


def test_columns_that_the_audit_does_not_use_are_left_alone():
    wrong = []
    for texts in load("heading_words")["decoys"].values():
        for text in texts:
            taken, _ = settle(match(text))
            if taken is not None and not taken.decoy:
                wrong.append((text, taken))
    assert not wrong


@pytest.mark.parametrize("heading", ["DP", "LT"])
def test_two_meanings(heading):
    taken, second = settle(match(heading))
    assert taken is None
    assert second is not None


@pytest.mark.parametrize(
    ("heading", "group", "field"),
    [
        ("Material", "Float", "float_material"),
        ("Material", "Chamber", "chamber_material"),
        ("Press.", "Oper.", "operating_pressure"),
        ("Temp.", "Dsgn.", "design_temperature"),
        ("Density", "Upper fluid", "upper_density"),
        ("Name", "Fluid", "fluid"),
        ("Serial No.", "Float", "float_serial"),
        ("4 mA", "Transmitter", "lrv"),
        ("LSHH", "Switch set points", "switch_lshh"),
        ("mm", "Visible range", "visible_range"),
        ("Max. temp.", "Magnet", "magnet_max_temperature"),
    ],
)
def test_group_heading(heading, group, field):
    taken, _ = settle(match(heading, group))
    assert taken is not None
    assert taken.field == field


@pytest.mark.parametrize(
    ("heading", "group"), [("Pressure", "Pump"), ("Material", ""), ("Material", "Gasket")]
)
def test_group_heading_of_something_else(heading, group):
    taken, _ = settle(match(heading, group))
    assert taken is None or taken.decoy


@pytest.mark.parametrize(
    ("heading", "field"),
    [
        ("Betriebsdruck", "operating_pressure"),
        ("BETR.-DRUCK", "operating_pressure"),
        ("Max. Auslegungstemperatur", "design_temperature"),
        ("press.  (OPER.)", "operating_pressure"),
        ("Temp. de diseño", "design_temperature"),
        ("Pressão de Projeto", "design_pressure"),
        ("centre-to-centre", "connection_distance"),
        ("fluidDensity", "fluid_density"),
    ],
)
def test_spellings(heading, field):
    taken, _ = settle(match(heading))
    assert taken is not None
    assert taken.field == field
