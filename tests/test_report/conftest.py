"""An invented index with some of everything a spreadsheet can hold, and an audit result about it."""

from __future__ import annotations

import hashlib
import struct
import zlib
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from xlfuncs.audit.model import Accepted, AuditResult, Finding, Measure, NotChecked, Severity

HEADINGS = ("Tag", "Area", "Fluid", "Density\nSG", "Design pressure\nbarg", "Float", "Reading offset\nmm")
ROWS = 24


def _picture() -> bytes:
    """A 8 x 8 PNG of one colour."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    rows = b"".join(b"\0" + b"\x20\x60\xa0" * 8 for _ in range(8))
    head = struct.pack(">IIBBBBB", 8, 8, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", zlib.compress(rows))
        + chunk(b"IEND", b"")
    )


@pytest.fixture(scope="session")
def index(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A workbook with styles, kept values, a filter, a validation, a comment, a chart and a picture."""
    import io

    import xlsxwriter

    path = tmp_path_factory.mktemp("index") / "Harrow Fen index.xlsx"
    book = xlsxwriter.Workbook(path)
    head = book.add_format(
        {"bold": True, "bg_color": "#DDE6EE", "text_wrap": True, "border": 1, "valign": "top"}
    )
    odd = book.add_format({"italic": True, "font_color": "#884400", "num_format": "0.000"})
    sheet = book.add_worksheet("Level gauges")
    sheet.set_column("A:A", 12)
    sheet.set_column("B:G", 15)
    sheet.write(
        "A1", "Harrow Fen Works, level gauges, revision C", book.add_format({"bold": True, "font_size": 14})
    )
    for column, heading in enumerate(HEADINGS):
        sheet.write(2, column, heading, head)
    for k in range(ROWS):
        row = 3 + k
        sheet.write_row(
            row, 0, [f"LG-12{k + 1:02d}", f"Area {1 + k % 3}", ["Bittle oil", "Water", "Ammarine"][k % 3]]
        )
        sheet.write(row, 3, 0.71 + 0.01 * (k % 5), odd)
        sheet.write(row, 4, 16 + k % 4)
        sheet.write(row, 5, f"QF-{7 + k % 2}")
        sheet.write_formula(
            row, 6, f"=ROUND((0.8-D{row + 1})*200,1)", odd, round((0.8 - 0.71 - 0.01 * (k % 5)) * 200, 1)
        )
    last = 3 + ROWS
    sheet.autofilter(2, 0, last - 1, 6)
    sheet.freeze_panes(3, 1)
    sheet.data_validation(3, 5, last - 1, 5, {"validate": "list", "source": "=Lists!$A$1:$A$2"})
    sheet.conditional_format(3, 4, last - 1, 4, {"type": "data_bar", "data_bar_2010": True})
    sheet.write_comment("D4", "Density confirmed by letter", {"author": "K. Planner", "x_scale": 2})
    chart = book.add_chart({"type": "line"})
    chart.add_series({"values": f"='Level gauges'!$D$4:$D${last}"})
    sheet.insert_chart("I3", chart)
    sheet.insert_image("I20", "dot.png", {"image_data": io.BytesIO(_picture())})
    lists = book.add_worksheet("Lists")
    lists.write_column("A1", ["QF-7", "QF-8"])
    lists.hide()
    book.define_name("Floats", "=Lists!$A$1:$A$2")
    book.close()
    return path


GAUGES: list[dict[str, Any]] = [
    {
        "tag": "LG-1201", "sheet": "Level gauges", "row": 4, "area": "Area 1", "service": "Slop drum",
        "fluid": "Bittle oil", "float_part": "QF-7", "float_mass_kg": 0.330, "float_diameter_mm": 50.0,
        "float_length_mm": 280.0, "float_ends": "hemispherical", "magnet_height_mm": 222.6,
        "lower_density": 709.3, "lower_density_min": 690.0, "lower_density_max": 830.0, "upper_density": 3.2,
        "immersion_mm": 245.2, "reading_offset_mm": -22.6, "tolerance_mm": 10.0,
        "density_window": [748.9, 821.9], "chamber_bore_mm": 57.0, "connection_distance_mm": 1400.0,
        "visible_range_mm": 1300.0, "visible_low_mm": 50.0, "scale_zero_mm": 50.0, "lrv_mm": 0.0,
        "urv_mm": 1300.0, "switches": {"LSLL": 80.0, "LSL": 100.0, "LSH": 1180.0, "LSHH": 1250.0},
        "pressures": {"operating": 9.0, "design": 16.0, "test": 24.0, "float_max": 25.0, "collapse": 41.2,
                      "permitted": 13.73, "flange": 44.5},
        "viscosity": {"curve": [[0, 900], [20, 310], [40, 120], [60, 55], [80, 29], [100, 17]],
                      "operating": [25.0, 240.0], "limit": 200.0, "pour_point": -9.0},
    },
    {
        "tag": "LG-1206", "sheet": "Level gauges", "row": 9, "area": "Area 3", "interface": True,
        "float_diameter_mm": 48.0, "float_length_mm": 220.0, "float_ends": "flat", "magnet_height_mm": 88.9,
        "immersion_mm": 100.1, "reading_offset_mm": -11.2, "tolerance_mm": 10.0, "float_mass_kg": 0.35,
        "lower_density": 998.0, "upper_density": 780.0, "visible_range_mm": 900.0,
        "connection_distance_mm": 800.0,
    },
    {
        "tag": "LG-1208", "sheet": "Level gauges", "row": 11, "area": "Area 2", "float_diameter_mm": 48.0,
        "float_length_mm": 220.0, "float_mass_kg": 0.3233, "magnet_height_mm": 150.0, "lower_density": 730.0,
        "immersion_mm": None, "reading_offset_mm": float("nan"), "tolerance_mm": 10.0,
    },
    {"tag": "LG-1204", "sheet": "Level gauges", "row": 7, "area": "Area 1",
     "pressures": {"design": 19.0, "collapse": 41.2, "permitted": 13.73, "flange": None}},
]  # fmt: skip
"""What an audit tells of the gauges: one with everything, one without a bore, one that sinks, one bare."""


@pytest.fixture(scope="session")
def sample(index: Path) -> AuditResult:
    """A result as an audit of `index` could give it."""
    sheet = "Level gauges"
    findings = [
        Finding(
            "offset-exceeds-tolerance",
            Severity.ERROR,
            sheet,
            "D4",
            "LG-1201",
            "Float QF-7 reads 22.6 mm low in fluid of 0.71 SG under vapour of 3.2 kg/m3; allowed are 10 mm.",
            "Fit a float made for 0.71 SG, or state the reading correction on the gauge's plate.",
            Measure(0.71, "SG"),
            Measure(0.8, "SG"),
            {
                "reading_offset_mm": -22.6,
                "immersion_mm": 245.2,
                "magnet_height_mm": 222.6,
                "float_mass_kg": 0.33,
            },
            ("design-density-mismatch",),
        ),
        Finding(
            "offset-exceeds-tolerance",
            Severity.ERROR,
            sheet,
            "D9",
            "LG-1206",
            "Float QF-8 reads 11.2 mm low in a fluid of 0.71 SG; 10 mm are allowed.",
            "Fit a float made for 0.71 SG, or state the reading correction on the gauge's plate.",
            Measure(0.71, "SG"),
            Measure(0.765, "SG"),
            {"reading_offset_mm": -11.2},
        ),
        Finding(
            "float-sinks",
            Severity.ERROR,
            sheet,
            "F11",
            "LG-1208",
            "Float QF-8 has a mean density of 812 kg/m3 and the fluid has 730 kg/m3: it sinks.",
            "Choose a float of less than 657 kg/m3 mean density.",
            Measure("QF-8"),
            None,
            {"float_density_kg_m3": 812.0, "fluid_density_kg_m3": 730.0},
        ),
        Finding(
            "float-collapses",
            Severity.ERROR,
            sheet,
            "E7",
            "LG-1204",
            "The shell collapses at 41.2 bar; divided by 3 that is 13.7 bar, less than the design of 19 bar.",
            "Choose a float of thicker wall or smaller diameter.",
            Measure(19.0, "bar gauge"),
            Measure(13.73, "bar gauge"),
            {"collapse_bar": 41.2, "design_bar": 19.0},
        ),
        Finding(
            "tag-duplicate",
            Severity.ERROR,
            sheet,
            "A13",
            "LG-1210",
            "Tag LG-1210 stands on rows 13 and 14.",
            "Give each gauge a tag of its own.",
        ),
        Finding(
            "unit-ambiguous",
            Severity.WARNING,
            sheet,
            "E3",
            "",
            "The pressures are in bar without gauge or absolute; taken as bar gauge.",
            "Write barg or bara in the heading.",
        ),
        *(
            Finding(
                "number-as-text",
                Severity.NOTE,
                sheet,
                f"D{4 + k}",
                f"LG-12{k + 1:02d}",
                f"'0,7{1 + k % 5}' is a text; it was read as 0.7{1 + k % 5} SG.",
                "Type the value as a number.",
            )
            for k in range(20)
        ),
    ]
    tags = [f"LG-12{k + 1:02d}" for k in range(ROWS)]
    for f in findings:
        f.gauge = (sheet, f"A{f.cell[1:]}") if f.tag else None
    return AuditResult(
        workbook=index.name,
        sha256=hashlib.sha256(index.read_bytes()).hexdigest(),
        rows_audited=ROWS,
        columns={sheet: {"tag": "A", "fluid_density": "D", "design_pressure": "E", "float_part": "F"}},
        settings={
            "offset_tolerance_mm": 10.0,
            "safety_factor": 3.0,
            "strict": False,
            "density": {"gap_kg_m3": 50.0},
        },
        findings=findings,
        not_checked=[
            *(
                NotChecked("float-lags", t, ("operating viscosity", "bore of the chamber"), sheet, 4 + k)
                for k, t in enumerate(tags)
            ),
            *(
                NotChecked("float-collapses", t, ("wall thickness of the float",), sheet, 4 + k)
                for k, t in enumerate(tags[4:])
            ),
            NotChecked("flange-rating-exceeded", "LG-1203", ("flange class", "design temperature"), sheet, 6),
            NotChecked("viscosity-too-high", "LG-1203", ("operating viscosity",), sheet, 6),
        ],
        doubts=[
            {
                "kind": "unit",
                "sheet": sheet,
                "cell": "E3",
                "text": "'bar' is taken as bar gauge; say so with --map",
            }
        ],
        skipped={"struck through": 2, "another instrument": 1},
        gauges=GAUGES,
        version="0.1.0",
    )


@pytest.fixture
def finding() -> Callable[..., Finding]:
    """A finding with some fields of one's own."""

    def make(**changes: Any) -> Finding:
        fields: dict[str, Any] = {
            "rule": "float-sinks",
            "severity": Severity.ERROR,
            "sheet": "Level gauges",
            "cell": "D4",
            "tag": "LG-1201",
            "message": "It sinks.",
            "mend": "Choose another float.",
        }
        fields |= changes
        return Finding(**({"gauge": (fields["sheet"], f"A{fields['cell'][1:]}")} | fields))

    return make


@pytest.fixture
def result_of() -> Callable[..., AuditResult]:
    """A result with the given findings and nothing else."""

    def make(*findings: Finding, workbook: str = "index.xlsx", **changes: Any) -> AuditResult:
        fields: dict[str, Any] = {
            "workbook": workbook,
            "sha256": "0" * 64,
            "rows_audited": 1,
            "columns": {},
            "settings": {},
            "findings": list(findings),
            "not_checked": [],
            "version": "0.1.0",
        }
        return AuditResult(**(fields | changes))

    return make


@pytest.fixture
def revised(sample: AuditResult, finding: Callable[..., Finding]) -> AuditResult:
    """A second revision: a new and an open finding, one mended; acceptances used, expired and unused."""
    first, second = (replace(f, status=s) for f, s in zip(sample.findings, ("new", "open"), strict=False))

    def entry(tag: str, state: str, *found: Finding, **changes: Any) -> Accepted:
        fields: dict[str, Any] = {
            "rule": "float-sinks", "who": "B. Reviewer", "when": date(2026, 3, 2),
            "why": "float weighed on site", "until": date(2999, 1, 1),
        }  # fmt: skip
        return Accepted(tag=tag, state=state, findings=list(found), **(fields | changes))

    accepted = [
        entry("LG-1202", "used", finding(tag="LG-1202", cell="D5", status="open")),
        entry("LG-1203", "expired", second, until=date(2025, 12, 31)),
        entry("LG-1299", "unused"),
    ]
    return replace(
        sample, findings=[first, second], since="index B.xlsx", since_sha256="b" * 64, accepted=accepted,
        mended=[finding(tag="LG-1299", cell="D30", message="It sank.", severity=Severity.ERROR)],
    )  # fmt: skip
