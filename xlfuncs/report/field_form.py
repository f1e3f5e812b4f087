"""The form for a phone or tablet: one page that works offline and asks by the same model as `diagnose --ask`.

It keeps what was typed in the browser, and saves a file that `diagnose` reads.
"""

from __future__ import annotations

import base64
import hashlib
import json
import math
from dataclasses import asdict, replace
from html import escape
from importlib.resources import files
from typing import Any

import numpy as np

from xlfuncs.data import load
from xlfuncs.errors import XlfuncsError
from xlfuncs.gauge.causes import AS_DESIGNED, CAUSES, NONE, Cause
from xlfuncs.gauge.diagnosis import PARTED, SETTLED, SOUND_FROM
from xlfuncs.gauge.faulty import CHOKE_SPREAD, LEAST_GAS
from xlfuncs.gauge.floats import immersed_volume
from xlfuncs.gauge.leaning import HOLDS
from xlfuncs.gauge.questions import (
    OTHER_FLOAT,
    SISTER,
    WEIGHING,
    questions,
    sign_of_none,
    sister_mass,
)
from xlfuncs.gauge.readings import DENSITY_NOISE, LEVEL_NOISE, USUAL_RATE, Case, Readings
from xlfuncs.report.cautions import FIELD
from xlfuncs.units import converter
from xlfuncs.worksheet.diagnosis import Stated

_SLICES = 400
_HEAD = ("Date", "Calibrator", "Instrument", "Weather")
_STAYS = ("liquid", "reference")


def form(stated: Stated, tag: str) -> str:
    """The page for a gauge."""
    style, script = _asset("field_form.css"), _asset("field_form.js")
    allowed = {
        "default-src": "'none'",
        "style-src": _hash(style),
        "script-src": _hash(script),
        "base-uri": "'none'",
        "form-action": "'none'",
    }
    policy = "; ".join(f"{name} {value}" for name, value in allowed.items())
    title = escape(f"Field form {tag}")
    data = json.dumps(_data(stated, tag), allow_nan=False).replace("<", "\\u003c")
    heads = "".join(f'<label for="head-{k}">{k}</label><input id="head-{k}">' for k in _HEAD)
    rows = "".join(
        f"<tr><td>{escape(str(label))}</td><td>{escape(str(value))} {escape(unit)}</td></tr>"
        for label, value, unit in _stated(stated)
    )
    cautions = "".join(f"<p class=caution>{escape(text)}</p>" for text in FIELD)
    return (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        f'<meta http-equiv="Content-Security-Policy" content="{policy}">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{title}</title><style>{style}</style></head><body><h1>{title}</h1>{cautions}"
        f"<h2>Visit</h2>{heads}"
        f"<h2>Data of the gauge</h2><table class=stated>{rows}</table>"
        '<h2>Readings as found</h2><div id="found"></div>'
        '<button id="more-found" type="button">One more</button>'
        '<h2>What next</h2><div id="next" class="card" aria-live="polite"></div>'
        '<h2>So far</h2><div id="bars"></div><ul id="seen"></ul>'
        '<h2>Readings as left</h2><div id="left"></div>'
        '<button id="more-left" type="button">One more</button>'
        '<h2>File</h2><button id="save" type="button">Save as a file</button>'
        '<button id="print" type="button">Print</button><button id="again" type="button">Start anew</button>'
        f'<script type="application/json" id="data">{data}</script>'
        f"<script>{script}</script></body></html>\n"
    )


def _asset(name: str) -> str:
    return (files("xlfuncs.report") / name).read_text(encoding="utf-8")


def _hash(content: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(content.encode()).digest()).decode()}'"


def _data(stated: Stated, tag: str) -> dict[str, Any]:
    g = stated.gauge
    if math.isnan(stated.density):
        raise XlfuncsError(f"{tag}: the density of the liquid is not stated: the form needs it")
    case = Case(g, Readings(np.array([stated.density])))
    heights = np.linspace(0.0, g.length, _SLICES + 1)
    usual, guide = load("diagnosis"), load("questions")["guide"]
    own = {
        "mass": g.mass,
        "length": g.length,
        "plane": g.magnet_height,
        "shift": g.scale_shift,
        "upper": g.upper_density,
        "density": stated.density,
        "lrv": g.lrv,
        "urv": g.urv,
        "reverse": g.reverse,
        "room": g.room_below,
        "top": case.top,
    }
    return {
        "tag": tag,
        "gauge": {name: _finite(value) for name, value in own.items()},
        "volume": np.asarray(immersed_volume(heights, g.diameter, g.length, g.ends)).tolist(),
        "interface": case.interface,
        "noise": LEVEL_NOISE,
        "density_noise": DENSITY_NOISE,
        "rate": USUAL_RATE,
        "spread": CHOKE_SPREAD,
        "least_gas": LEAST_GAS,
        "sister": sister_mass(case),
        "sister_spread": SISTER,
        "weighing": WEIGHING,
        "none": usual["none"],
        "none_prior": math.log(usual["prior"]["none"]),
        "none_sign": sign_of_none(),
        "none_shows": load("questions")["usual"]["none"],
        "none_cause": {"name": NONE.name, "none": True, "change": {}, "spans": []},
        **{way: [w.lower() for w in load("observations")["words"][way]] for way in ("below", "above")},
        "settled": SETTLED,
        "parted": PARTED,
        "sound": SOUND_FROM,
        "numbers": {k: v for k, v in load("questions")["numbers"].items() if k != "source"},
        "holds": HOLDS,
        "confirms": guide["confirms"],
        "confirms_for": guide["confirms_for"],
        "least_bits": guide["least_bits"],
        "opens": {k: v for k, v in load("questions")["opens"].items() if k != "source"},
        "causes": [_cause(c, case) for c in CAUSES if c.concerns(case) and _has(c, case)],
        "questions": [asdict(q) for q in questions().values() if replace(q, after="").fits(case)],
        "stated": _stated(stated),
    }


def _finite(value: Any) -> Any:
    return None if isinstance(value, float) and not math.isfinite(value) else value


def _has(cause: Cause, case: Case) -> bool:
    """The gauge has the part; a switch is looked at, not read, on this form."""
    if cause.part == "transmitter":
        return case.gauge.urv > case.gauge.lrv
    return cause.part != "switch" or not math.isnan(case.gauge.set_point)


def _cause(cause: Cause, case: Case) -> dict[str, Any]:
    marks = [f"p{number}" for number in range(len(cause.parameters))]
    return {
        "name": cause.name,
        "change": {k: v for k, v in cause.change(case, *marks).items() if k not in ("no_field", "set_point")},
        "spans": cause.spans(case).tolist(),
        "free": cause.free_density,
        "mend": cause.mend,
        "sound": cause is AS_DESIGNED,
        "scatters": cause.scatters,
        "stays": cause.part in _STAYS,
        "other": cause.name == OTHER_FLOAT,
        "mended": cause.mended,
        "forms": [_cause(form, case) for form in cause.forms],
    }


def _stated(stated: Stated) -> list[list[Any]]:
    """Label, value and unit of each datum, as `diagnose` reads them."""
    g = stated.gauge
    values: dict[str, Any] = {name: getattr(g, name, None) for name in load("observations")["gauge"]}
    values |= {"density": stated.density, "fluid": stated.fluid}
    values["scale_zero"] = -g.scale_shift if g.scale_shift else None
    values["action"] = "reverse" if g.reverse else "direct"
    values["switch_action"] = "falling" if g.falling_switch else "rising"
    rows: list[list[Any]] = []
    for name, entry in load("observations")["gauge"].items():
        spec = load("fields")[entry["like"]] if "like" in entry else entry
        quantity, unit = spec.get("quantity", ""), entry.get("unit") or spec.get("unit", "")
        value = values[name]
        if value is None or value == "" or (isinstance(value, float) and math.isnan(value)):
            continue
        if quantity:
            value = float(f"{float(converter(unit, quantity).from_si(value)):.9g}")
        label = str(entry.get("shown", spec["label"]))
        rows.append([label[:1].upper() + label[1:], value, unit])
    return rows
