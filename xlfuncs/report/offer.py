"""An offer for a terminal, as JSON, and which pages are written where."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any, TextIO

from rich.console import RenderableType
from rich.table import Table
from rich.text import Text

from xlfuncs.data.constants import ZERO_CELSIUS
from xlfuncs.errors import XlfuncsError
from xlfuncs.report import _words as words
from xlfuncs.report.choice import CAUTIONS, number_of
from xlfuncs.report.text import Item, banner, terminal
from xlfuncs.spreadsheet.files import whole_file
from xlfuncs.work.duties import Asked, Question
from xlfuncs.work.offer import Offer, Offered

SCHEMA = 1
ENDINGS = (".xlsx", ".pdf", ".html")


def targets(outputs: Sequence[Path], inquiries: Sequence[Path]) -> dict[Path, list[Path]]:
    """Inquiry -> the files to write for it; XlfuncsError where a name cannot be used."""
    found: dict[Path, list[Path]] = {path: [] for path in inquiries}
    for output in outputs:
        if output.is_dir():
            for path in found:
                found[path] += [output / f"{path.stem}.offer{ending}" for ending in ENDINGS]
            continue
        if output.suffix.lower() not in ENDINGS:
            raise XlfuncsError(f"-o {output}: name a file ending in {', '.join(ENDINGS)}, or a folder")
        if len(found) > 1:
            raise XlfuncsError(f"-o {output}: one file cannot hold several inquiries; name a folder")
        for path in found:
            found[path].append(output)
    return found


def write(found: Offer, target: Path, sources: Iterable[Path], shown: Sequence[str] = ()) -> None:
    """Write the pages in the form that the file's ending names."""
    from xlfuncs.report import offer_book, offer_pages, pdf

    ending = target.suffix.lower()
    if ending == ".xlsx":
        with whole_file(target, sources) as draft:
            offer_book.build(found, shown).save(draft)
        return
    page = offer_pages.text(found, shown)
    if ending == ".pdf":
        pdf.print_page(page, target, sources)
        return
    with whole_file(target, sources) as draft:
        draft.write_text(page, encoding="utf-8")


# --- what several forms say in the same words ------------------------------------------------------------


def general(found: Offer) -> dict[Question, list[str]]:
    """Questions that at least three gauges and every other one share -> their gauges."""
    asked: dict[Question, list[str]] = {}
    for one in found.gauges:
        for question in one.questions:
            asked.setdefault(question, []).append(one.asked.tag)
    least = max(3, len(found.gauges) / 2)
    return {q: tags for q, tags in asked.items() if len(tags) >= least}


def tracing(one: Offered, margin: float) -> str:
    """What is said of heat tracing."""
    asked = one.asked
    solid = f"pour or freezing point {celsius(asked.pour_point)}"
    cold = f"lowest ambient temperature {celsius(asked.minimum_ambient)}"
    return {
        "stated": "stated in the inquiry; its output is not part of this offer",
        "needed": f"needed: {solid}, {cold} (margin {margin:g} K)",
        "not needed": f"not needed: {solid}, {cold} (margin {margin:g} K)",
        "open": f"not decided: {_unknown_heat(asked)} needed",
    }[one.tracing]


def _unknown_heat(asked: Asked) -> str:
    lacking = {
        "pour or freezing point": asked.pour_point,
        "lowest ambient temperature": asked.minimum_ambient,
    }
    names = [name for name, kelvin in lacking.items() if math.isnan(kelvin)]
    return " and ".join(names) + (" is" if len(names) == 1 else " are")


def flange(one: Offered) -> str:
    """What is said of the flanges."""
    asked = one.asked
    if not asked.flange_class:
        return "not stated"
    if math.isnan(asked.flange_rating):
        return f"{asked.flange_class}; rating not checked: the material is not stated"
    return f"{asked.flange_class}; rated {asked.flange_rating / 1e5:.4g} barg at design temperature"


def nearest(one: Offered, named: bool = True) -> str:
    """Why no float is named; `named`: with the part that comes nearest, which is none of the customer's."""
    if one.asked.duty is None:
        return "No float is named before the questions are answered."
    item = one.nearest
    if item is None:
        return "No float of our range is made for this service."
    which = f"Nearest: {item.part}" if named else "The nearest"
    return f"No float of our range fits. {which}: {'; '.join(item.reasons)}."


def celsius(kelvin: float) -> str:
    return f"{kelvin - ZERO_CELSIUS:.4g} °C" if math.isfinite(kelvin) else "not stated"


def mm(metres: float, form: str = ".1f") -> str:
    """Without its unit; '-' where it is not known."""
    return f"{1e3 * metres:{form}}" if math.isfinite(metres) else "-"


# --- JSON ---------------------------------------------------------------------------------------------------


def to_json(offers: Sequence[Offer]) -> str:
    """One JSON object; units are part of the names, null is what is not known."""
    return json.dumps(
        {"schema": SCHEMA, "inquiries": [_offer(one) for one in offers]},
        ensure_ascii=False,
        indent=1,
        default=str,
    )


def _offer(found: Offer) -> dict[str, Any]:
    return {
        "inquiry": found.name,
        "fewest_types": list(found.cover.types),
        "served_by": dict(found.cover.serves),
        "without_float": list(found.cover.without),
        "interchangeable": [list(pair) for pair in found.interchangeable()],
        "doubts": list(found.doubts),
        "settings": found.settings.to_dict(),
        "gauges": [_gauge(one) for one in found.gauges],
    }


def _gauge(one: Offered) -> dict[str, Any]:
    asked = one.asked
    chosen: Mapping[str, Any] = {}
    if one.chosen is not None:
        chosen = {
            "density_window_kg_m3": [number_of(end) for end in one.chosen.window],
            "worst_reading_mm": [number_of(end, 1e3) for end in one.chosen.reading],
            "pressure_margin_bar": number_of(one.chosen.pressure_margin, 1e-5),
            "temperature_margin_k": number_of(one.chosen.temperature_margin),
            "shift_per_percent_density_mm": number_of(one.per_percent, 1e3),
            "remarks": list(one.chosen.remarks),
            "own_columns": dict(one.own),
        }
    return {
        "tag": asked.tag,
        "service": "interface" if asked.interface else "level",
        "float": one.chosen.part if one.chosen else None,
        **chosen,
        "alternatives": [item.part for item in one.alternatives],
        "rejected": {item.part: list(item.reasons) for item in one.candidates if item.status != "fits"},
        "cases": [
            {
                "name": case.name,
                "lower_density_kg_m3": number_of(case.lower_density),
                "upper_density_kg_m3": number_of(case.upper_density),
                "immersion_mm": number_of(case.immersion, 1e3),
                "reading_offset_mm": number_of(case.offset, 1e3),
                "worst_reading_mm": [number_of(case.lowest, 1e3), number_of(case.highest, 1e3)],
                "share_above_surface": number_of(case.share),
            }
            for case in one.cases
        ],
        "currents": [
            {"level_mm": number_of(level, 1e3), "current_ma": [number_of(x) for x in shown]}
            for level, shown in one.currents()
        ],
        "switches": [
            {
                "switch": name,
                "set_point_mm": number_of(at, 1e3),
                "acts_at_mm": [number_of(a, 1e3), number_of(b, 1e3)],
            }
            for name, at, a, b in one.switch_levels()
        ],
        "tracing": one.tracing,
        "flange_class": asked.flange_class,
        "flange_rating_barg": number_of(asked.flange_rating, 1e-5),
        "questions": [{"text": q.text, "why": q.why, "blocking": q.blocking} for q in one.questions],
        "subject_to": one.unchecked,
        "item": asked.item,
        "inquiry_remarks": asked.remarks,
        "assumptions": list(asked.assumptions),
        "cautions": list(one.cautions),
    }


# --- terminal -----------------------------------------------------------------------------------------------


def print_offer(found: Offer, stream: TextIO) -> None:
    """A line for each gauge, what is to be asked, and the floats of the whole inquiry."""
    console = terminal(stream)
    for part in _report(found):
        console.print(part)


def _report(found: Offer) -> Iterable[RenderableType]:
    done = sum(one.chosen is not None for one in found.gauges)
    count = words.plural(len(found.gauges), "gauge")
    yield Item(Text(words.one_line(found.name), style="bold"), 0)
    yield Item(Text(f"{done} of {count} have a float of the list", style="bold"), 0)
    yield Text()
    yield _table(found)
    subject: dict[str, list[str]] = {}
    for one in found.gauges:
        if one.unchecked:
            subject.setdefault(" and ".join(one.unchecked), []).append(one.asked.tag)
    for what, where in subject.items():
        yield Item(f"* subject to {what}, not stated: {', '.join(where)}")
    missing = [one for one in found.gauges if one.chosen is None]
    if missing:
        yield from banner("No float")
        for one in missing:
            yield Item(Text.assemble((one.asked.tag, "bold"), f"  {words.one_line(nearest(one))}"))
    shared = general(found)
    yield from banner("Questions")
    for question, tags in shared.items():
        yield Item(f"{len(tags)} gauges: {question.text} {_why(question)}")
    for one in found.gauges:
        for question in one.questions:
            if question not in shared:
                yield Item(Text.assemble((one.asked.tag, "bold"), f"  {question.text} {_why(question)}"))
    for doubt in found.doubts:
        yield Item(words.one_line(doubt))
    yield from _whole(found)
    yield from banner("Cautions")
    yield from (Item(text) for text in CAUTIONS)


def _why(question: Question) -> str:
    return f"({question.why})" if question.why else ""


def _whole(found: Offer) -> Iterable[RenderableType]:
    types = found.cover.types
    if not types:
        return
    yield from banner("The whole inquiry")
    served = len(found.cover.serves)
    yield Item(
        f"The fewest types: {words.plural(len(types), 'type')} for {words.plural(served, 'gauge')}: "
        + ", ".join(types)
    )
    named = len(found.used())
    if named > len(types):
        yield Item(f"named above: {named} types; --fewest names those of the smallest set")
    own = {one.chosen.part: one.own for one in found.gauges if one.chosen}
    for part, tags in found.used().items():
        kept = "; ".join(f"{h} {words.number(v)}" for h, v in own[part].items())
        yield Item(Text.assemble((part, "bold"), f"  {', '.join(tags)}{f' ({kept})' if kept else ''}"))
    for one, other in found.interchangeable():
        yield Item(f"{one} and {other} fit each other's gauges: one is enough as a spare")


def _table(found: Offer) -> Table:
    table = Table(box=None, padding=(0, 1, 0, 0), pad_edge=False, header_style="bold")
    for heading, side in (
        ("tag", "left"),
        ("float", "left"),
        ("worst reading\nmm", "right"),
        ("density, within\ntolerance kg/m3", "left"),
        ("per 1 %\nmm", "right"),
        ("also fit", "left"),
    ):
        table.add_column(heading, justify="right" if side == "right" else "left", overflow="fold")
    for one in found.gauges:
        if one.chosen is None:
            table.add_row(one.asked.tag, "-")
            continue
        low, high = one.chosen.window
        provisional = " (provisional)" if any("density" in text for text in one.asked.assumptions) else ""
        table.add_row(
            one.asked.tag,
            one.chosen.part + provisional + (" *" if one.unchecked else ""),
            f"{mm(one.chosen.reading[0], '+.1f')} {mm(one.chosen.reading[1], '+.1f')}",
            f"{low:.0f} to {high:.0f}" if math.isfinite(high) else f"{low:.0f} and more",
            mm(one.per_percent, "+.1f"),
            ", ".join(item.part for item in one.alternatives[:3]) or "-",
        )
    return table
