"""The pages of an offer as one HTML file that prints on A4: a summary, then a page for each gauge.

For a customer: nothing of the company's own columns that was not asked for, no file and no path.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cache
from importlib.resources import files
from typing import Any

from xlfuncs.gauge.choice import Candidate
from xlfuncs.report import _words as words
from xlfuncs.report import drawing
from xlfuncs.report._words import escaped as _t
from xlfuncs.report.offer import celsius, flange, general, mm, nearest, tracing
from xlfuncs.work.duties import Question
from xlfuncs.work.offer import VAPOUR_MATTERS, Body, Offer, Offered

BLANKS = ("Customer", "Customer's reference", "Date", "Revision", "Valid until", "Signature")
"""What is written in by hand."""
EXCLUSIONS = (
    (
        "This is a check of the data of the inquiry, no more. The maker's manual, the local codes and"
        " regulations and the judgement of a licensed engineer take precedence over it."
    ),
    "Take the float out of the chamber before a hydrostatic test above its limit.",
    (
        "Not part of it: design of the pressure parts, resistance of the wetted materials to the fluid, "
        "certification for hazardous areas, installation."
    ),
)
SUMMARY_HEADS = ("Tag", "Service", "Fluid", "Float", "Worst reading, mm", "Questions")
_SHOWN = 4
"""Alternatives of which a page tells."""


def text(found: Offer, shown: Sequence[str] = ()) -> str:
    """The file. `shown`: headings of the company's own that the customer may see."""
    shared = general(found)
    pages = [_summary(found, shared, shown), *(_page(found, one, shared, shown) for one in found.gauges)]
    style = _style()
    title = f"Offer: {words.one_line(found.name)}"
    return (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{_t(title)}</title><style>{style}</style></head>\n<body>\n"
        + "\n".join(pages)
        + "\n</body></html>\n"
    )


@cache
def _style() -> str:
    """The look of the drawings, which the reports share, and that of these pages."""
    folder = files("xlfuncs.report")
    lines = (folder / "page.css").read_text(encoding="utf-8").splitlines()
    drawn = [line for line in lines if line.startswith(("svg", ":root", "  --error"))]
    return "\n".join(drawn) + "\n" + (folder / "offer.css").read_text(encoding="utf-8")


def _blanks() -> str:
    cells = "".join(f"<div><dt>{name}</dt><dd></dd></div>" for name in BLANKS)
    return f'<dl class="blanks">{cells}</dl>'


def _table(heads: Sequence[str], rows: Iterable[Sequence[str]], cls: str = "") -> str:
    """Columns of numbers stand on the right."""
    body = list(rows)
    if not body:
        return ""
    right = [any(_is_number(row[i]) for row in body) for i in range(len(heads))]
    out = [_row("th", heads, right)] + [_row("td", row, right) for row in body]
    return f'<table class="{cls}"><thead>{out[0]}</thead><tbody>{"".join(out[1:])}</tbody></table>'


def _row(name: str, cells: Sequence[str], right: Sequence[bool]) -> str:
    made = (
        f"<{name}{' class=n' if number else ''}>{_t(cell)}</{name}>"
        for cell, number in zip(cells, right, strict=True)
    )
    return f"<tr>{''.join(made)}</tr>"


def _is_number(value: str) -> bool:
    return value.lstrip("+-").replace(".", "").isdigit()


def _listed(title: str, lines: Iterable[str]) -> str:
    items = "".join(f"<li>{_t(line)}</li>" for line in dict.fromkeys(lines))
    return f"<h3>{title}</h3><ul>{items}</ul>" if items else ""


def asking(question: Question) -> str:
    must = "Needed before a float is named: " if question.blocking else ""
    return f"{must}{question.text}" + (f" ({question.why})" if question.why else "")


# --- the summary --------------------------------------------------------------------------------------------


def _summary(found: Offer, shared: Mapping[Question, list[str]], shown: Sequence[str]) -> str:
    done = sum(one.chosen is not None for one in found.gauges)
    lines = (
        _table(
            SUMMARY_HEADS,
            (summary_line(one, shared) for one in found.gauges),
            "all",
        ),
        _types(found, shown),
        _listed("Questions on several gauges", (several(q, tags, found) for q, tags in shared.items())),
        _listed("What could not be read", found.doubts),
        _listed("Validity and exclusions", EXCLUSIONS),
    )
    return (
        f'<section class="page summary"><h1>Magnetic float level gauges</h1>'
        f"<p>Inquiry: {_t(found.name)}. A float is named for {done} of "
        f"{words.plural(len(found.gauges), 'gauge')}. "
        f"Tolerance of the reading: {found.settings.offset_tolerance_mm:g} mm, in every stated case.</p>"
        f"{_blanks()}{''.join(lines)}</section>"
    )


def several(question: Question, tags: list[str], found: Offer) -> str:
    others = [one.asked.tag for one in found.gauges if one.asked.tag not in tags]
    who = f"{len(tags)} gauges ({', '.join(tags)})"
    if len(others) < len(tags):
        who = f"All gauges but {', '.join(others)}" if others else "All gauges"
    return f"{who}: {asking(question)}"


def summary_line(one: Offered, shared: Mapping[Question, list[str]]) -> list[str]:
    own = sum(question not in shared for question in one.questions)
    named, worst = "none", "-"
    if one.chosen is not None:
        named = one.chosen.part + (" (provisional)" if one.asked.assumptions else "")
        if one.unchecked:
            named += f", subject to {' and '.join(one.unchecked)}"
        worst = f"{mm(one.chosen.reading[0], '+.1f')} to {mm(one.chosen.reading[1], '+.1f')}"
    elif one.asked.duty is None:
        named = "none before an answer"
    kind = one.asked.service or ("Interface" if one.asked.interface else "Level")
    tag = f"{one.asked.item}: {one.asked.tag}" if one.asked.item else one.asked.tag
    return [tag, kind, one.asked.fluid or "-", named, worst, str(own or "-")]


def _types(found: Offer, shown: Sequence[str]) -> str:
    table = _table(*type_table(found, shown))
    return f"<h3>Types of float and spares</h3><p>{_t(type_text(found))}</p>{table}" if table else ""


def type_table(found: Offer, shown: Sequence[str]) -> tuple[list[str], list[list[str]]]:
    """The floats that are named, their gauges, and which of them can stand in for them."""
    used, fits = found.used(), found.fits()
    of = {one.chosen.part: one for one in found.gauges if one.chosen is not None}
    rows = []
    for part, tags in used.items():
        also = [other for other in used if other != part and set(tags) <= set(fits.get(other, ()))]
        own = [words.number(of[part].own.get(h, "-")) for h in shown]
        rows.append([part, str(len(tags)), ", ".join(tags), ", ".join(also) or "-", *own])
    return ["Float", "Gauges", "Tags", "Replaced by", *shown], rows


def type_text(found: Offer) -> str:
    """How many types there are, and how many are needed."""
    named, types = len(found.used()), found.cover.types
    least = (
        "No smaller number of types serves these gauges."
        if len(types) == named
        else f"{words.plural(len(types), 'type')} would serve them all: {', '.join(types)}."
    )
    return (
        f"{words.plural(named, 'type')} of float {'is' if named == 1 else 'are'} named. {least} A float named"
        " under 'replaced by' fits every gauge of the row: it can stand in as the spare."
    )


# --- a gauge ------------------------------------------------------------------------------------------------


def _page(found: Offer, one: Offered, shared: Mapping[Question, list[str]], shown: Sequence[str]) -> str:
    left = f"{_stated(facts(found, one, shown))}{_switches(one)}{_others(one)}"
    parts = (
        _named(one),
        f'<div class="beside"><div>{left}</div>{_drawings(found, one)}</div>',
        _cases(one),
        _listed("Questions", question_lines(one, shared)),
        _listed("Assumptions", assumptions(found, one)),
        _listed("Cautions", [*one.cautions, *remarks(one)]),
    )
    return (
        f'<section class="page"><h2>{_t(one.asked.tag)}</h2><p class="soft">{_t(headline(one))}</p>'
        f'{"".join(parts)}<footer>{_blanks()}<p class="soft">{_t(EXCLUSIONS[0])}</p></footer></section>'
    )


def headline(one: Offered) -> str:
    """What the gauge is for."""
    kind = "Interface" if one.asked.interface else "Level"
    return " · ".join(filter(None, (kind, one.asked.service, one.asked.fluid)))


def question_lines(one: Offered, shared: Mapping[Question, list[str]]) -> list[str]:
    """The gauge's own questions first."""
    own = [asking(q) for q in one.questions if q not in shared]
    return own + [f"{q.text} (asked for several gauges)" for q in one.questions if q in shared]


def _named(one: Offered) -> str:
    kind = "none" if one.chosen is None else "subject" if one.unchecked else "named"
    return f'<p class="{kind}">{_t(verdict(one))}</p>'


def verdict(one: Offered) -> str:
    """The float that is named, or why none is."""
    if one.chosen is None:
        return nearest(one, named=False)
    low, high = one.chosen.reading
    provisional = "Provisionally float" if one.asked.assumptions else "Float"
    if one.unchecked:
        provisional = f"Subject to the {' and the '.join(one.unchecked)}, not stated: float"
    return (
        f"{provisional} {one.chosen.part}: in every stated case it reads between {mm(low, '+.1f')} and "
        f"{mm(high, '+.1f')} mm of the level, {_counted(one)}."
    )


def _counted(one: Offered) -> str:
    """What the span of readings holds, and what it does not."""
    if abs(one.vapour_shift) < VAPOUR_MATTERS:
        return "everything that is known counted"
    if math.isnan(one.vapour_shift):
        return "with the vapour above it, not stated, taken as 0; the float does not bear the most it can be"
    return (
        "with the vapour above it, which is not stated, taken as 0: it may shift the reading by up to"
        f" {mm(one.vapour_shift, '+.1f')} mm more"
    )


def facts(found: Offer, one: Offered, shown: Sequence[str]) -> list[tuple[str, str]]:
    """Name and value of what is stated of a gauge and its float."""
    rows: list[tuple[str, str]] = []
    if one.body is not None and one.chosen is not None:
        rows += _of_float(one.body, one.chosen, one)
    asked, duty = one.asked, one.asked.duty
    rows += list(_in_operation(one))
    if duty is not None:
        rows += [
            ("Design pressure", _barg(duty.design_pressure)),
            ("Design temperature", celsius(duty.design_temperature)),
            ("Chamber bore", f"{mm(duty.chamber_bore)} mm" if duty.chamber_bore > 0 else "not stated"),
        ]
    rows += [("Flanges", flange(one)), ("Heat tracing", tracing(one, found.settings.freezing_margin_k))]
    if not math.isnan(asked.lrv + asked.urv):
        action = ", reverse" if asked.reverse else ""
        rows.append(
            ("Transmitter", f"{mm(asked.lrv, '.0f')} to {mm(asked.urv, '.0f')} mm = 4 to 20 mA{action}")
        )
    rows += [(heading, words.number(one.own[heading])) for heading in shown if heading in one.own]
    if asked.item:
        rows.insert(0, ("Item of the inquiry", asked.item))
    if asked.remarks:
        rows.append(("Remark of the inquiry", words.one_line(asked.remarks)))
    return rows


def _in_operation(one: Offered) -> Iterator[tuple[str, str]]:
    """What the float was chosen for; the densities stand in the table of cases where one is named."""
    asked = one.asked
    kelvin = dict.fromkeys(celsius(t) for t in asked.operating_temperature if math.isfinite(t))
    pascal = dict.fromkeys(_barg(p) for p in asked.operating_pressure if math.isfinite(p))
    if kelvin or pascal:
        yield "In operation", ", ".join(" to ".join(ends) for ends in (kelvin, pascal) if ends)
    if one.cases or asked.duty is None:
        return
    conditions = asked.duty.conditions
    for name, values in (
        ("Density", [c.lower_density for c in conditions]),
        ("Density above", [c.upper_density for c in conditions]),
    ):
        if any(values):
            yield name, ", ".join(dict.fromkeys(f"{rho:.4g}" for rho in values)) + " kg/m3"


def _stated(rows: Iterable[tuple[str, str]]) -> str:
    cells = "".join(f"<tr><th>{_t(name)}</th><td>{_t(value)}</td></tr>" for name, value in rows)
    return f'<table class="facts">{cells}</table>'


def _of_float(body: Body, chosen: Candidate, one: Offered) -> Iterator[tuple[str, str]]:
    low, high = chosen.window
    bears = _barg(chosen.pressure_limit)
    if not math.isnan(body.max_pressure) and chosen.pressure_limit < body.max_pressure:
        bears += " (computed)"
    yield "Float", f"{1e3 * body.mass:.0f} g, {mm(body.diameter)} x {mm(body.length)} mm, {body.ends} ends"
    yield "Material", body.material or "not stated"
    yield "Magnet plane", f"{mm(body.magnet_height)} mm above the float's bottom"
    yield "Limits of the float", f"{bears}, {celsius(chosen.temperature_limit)}"
    window = f"{low:.0f} to {high:.0f} kg/m3" if math.isfinite(high) else f"from {low:.0f} kg/m3"
    yield "Within tolerance", f"{window}, by the float balance alone"
    yield "Density 1 % higher", f"reads {mm(one.per_percent, '+.1f')} mm"


def _barg(pascal: float) -> str:
    return f"{pascal / 1e5:.4g} barg" if math.isfinite(pascal) else "not stated"


def _drawings(found: Offer, one: Offered) -> str:
    entry = drawn(found, one)
    made = [figure for figure in (drawing.overview(entry), drawing.detail(entry)) if figure is not None]
    shown = "".join(f"<figure>{f.svg}<figcaption>{_t(f.caption)}</figcaption></figure>" for f in made)
    return f'<div class="figures">{shown}</div>' if shown else ""


def drawn(found: Offer, one: Offered) -> dict[str, Any]:
    """What `drawing` needs to know of a gauge with its float."""
    asked, body = one.asked, one.body
    lengths = {
        "connection_distance_mm": asked.connection_distance,
        "visible_range_mm": asked.visible_range,
        "visible_low_mm": asked.visible_low,
        "lrv_mm": asked.lrv,
        "urv_mm": asked.urv,
        "chamber_bore_mm": asked.duty.chamber_bore if asked.duty is not None else math.nan,
    }
    entry: dict[str, Any] = {"tag": asked.tag, "interface": asked.interface}
    if body is not None and one.cases:
        lengths |= {
            "float_diameter_mm": body.diameter,
            "float_length_mm": body.length,
            "magnet_height_mm": body.magnet_height,
        }
        worst = max(one.cases, key=lambda case: abs(case.offset))
        lengths |= {"immersion_mm": worst.immersion, "reading_offset_mm": worst.offset}
        entry |= {
            "float_ends": body.ends,
            "float_mass_kg": body.mass,
            "lower_density": worst.lower_density,
            "tolerance_mm": found.settings.offset_tolerance_mm,
        }
    entry |= {name: 1e3 * value for name, value in lengths.items() if math.isfinite(value)}
    entry["switches"] = {name: 1e3 * at for name, at in asked.switches.items()}
    return entry


def _cases(one: Offered) -> str:
    table = _table(*case_table(one))
    return f"<h3>Expected readings: indicated less true level, and currents</h3>{table}" if table else ""


def case_table(one: Offered) -> tuple[list[str], list[list[str]]]:
    """Headings and rows of what is to be read at each case."""
    above = any(case.upper_density for case in one.cases)
    levels = list(one.currents())[::2]
    heads = ["Case", "Density, kg/m3", *["Above it, kg/m3"] * above, "Immersed, mm", "Reads off by, mm"]
    heads += [
        "At least, mm",
        "At most, mm",
        "Above surface, %",
        *(f"mA at {mm(x, '.0f')} mm" for x, _ in levels),
    ]
    rows = []
    for i, case in enumerate(one.cases):
        row = [case.name, f"{case.lower_density:.1f}", *[f"{case.upper_density:.1f}"] * above]
        row += [mm(case.immersion), *(mm(x, "+.1f") for x in (case.offset, case.lowest, case.highest))]
        rows.append([*row, f"{100 * case.share:.0f}", *(f"{shown[i]:.2f}" for _, shown in levels)])
    return heads, rows


def switch_rows(one: Offered) -> list[list[str]]:
    """Switch, set point, true levels at which it acts."""
    out = []
    for name, at, low, high in one.switch_levels():
        ends = list(dict.fromkeys((mm(low, ".0f"), mm(high, ".0f"))))
        out.append([name, mm(at, ".0f"), " to ".join(ends)])
    return out


SWITCH_HEADS = ("Switch", "Set point, mm", "Acts at a true level of, mm")


def _switches(one: Offered) -> str:
    table = _table(SWITCH_HEADS, switch_rows(one))
    return f"<h3>Switches</h3>{table}" if table else ""


def _others(one: Offered) -> str:
    return _listed("Other floats", other_lines(one))


def other_lines(one: Offered) -> list[str]:
    """Alternatives; what does not fit is no business of the customer's."""
    return [
        f"{item.part}: fits too, reads {mm(item.reading[0], '+.1f')} to {mm(item.reading[1], '+.1f')} mm"
        for item in one.alternatives[:_SHOWN]
    ]


def assumptions(found: Offer, one: Offered) -> Iterator[str]:
    yield from one.asked.assumptions
    if one.chosen is None or one.asked.duty is None:
        return
    duty = one.asked.duty
    if not one.asked.interface and all(case.upper_density == 0 for case in one.cases):
        yield "density of the gas or vapour above the liquid: 0"
    yield (
        f"level moving at up to {1e3 * duty.level_rate:g} mm/s; at least "
        f"{100 * duty.minimum_reserve:g} % of the float above the surface; collapse over permitted "
        f"pressure {duty.safety_factor:g}"
    )


def remarks(one: Offered) -> Iterator[str]:
    """Reservations on the float that is named."""
    if one.chosen is not None:
        yield from (
            f"{one.chosen.part}: {remark.replace('the list', 'our list')}" for remark in one.chosen.remarks
        )
