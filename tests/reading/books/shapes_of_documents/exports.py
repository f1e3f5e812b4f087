"""Exports of data bases: long, coded, and lists joined by the tag."""

from __future__ import annotations

from typing import Any

from tests.reading.books.shapes.common import (
    finish,
    plant_other_serial,
    plant_reused_serial,
    plant_reversed_densities,
    plant_switch_order,
    plant_switch_outside,
    water,
    write_cell,
)
from tests.reading.faults import (
    plant_current,
    plant_float_pressure,
    plant_float_temperature,
    plant_magnetic_chamber,
    plant_offset,
    plant_reversed_range,
    plant_unlisted_float,
    plant_urv_outside,
)
from tests.reading.gauges import add_serials, by_tag, check_gauge, gauge, loop_current, make_float
from tests.reading.registry import book
from tests.reading.units import barg, kg_m3, kpag
from tests.reading.writing import HEADING, Book, count_float_cells, float_sheet


@book
def p04_long_attribute_load(b: Book) -> None:
    """Tag, attribute, value and unit; other instruments in between."""
    fl = [
        make_float("MGF-0550", 50, 330, 552, pmax=40, tmax=120),
        make_float("MGF-0870", 50, 280, 872, pmax=25, tmax=180),
        make_float("MGF-1020", 50, 250, 1018, pmax=25, tmax=150),
    ]
    gs = [
        gauge("LG-7001", "V-701 LPG flash drum", "LPG mix", fl[0], 1.0, 11, 30, 18, 80, 1000),
        gauge("LG-7002", "V-702 LPG surge", "LPG mix", fl[0], 0.995, 14, 35, 22, 80, 1400),
        gauge("LG-7003", "T-705 Lube base oil day tank", "Base oil SN150", fl[1], 0.98, 0.2, 35, 2, 90, 1600, vis=1500),
        gauge("LG-7004", "V-706 Lube oil rundown", "Lube oil VG46", fl[1], 0.99, 2, 50, 10, 100, 700),
        gauge("LG-7005", "V-708 Spent caustic", "Spent caustic", fl[2], 1.02, 1, 40, 7, 90, 900),
        gauge("LG-7006", "V-709 Drain pot", "Slop oil", fl[1], 1.01, 0.4, 40, 5, 120, 600),
        gauge("LG-7007", "V-710 Caustic wash", "Caustic 4 %", fl[2], 1.01, 6, 40, 14, 90, 1100),
    ]
    for g in gs:
        g.update(cmat="316L", slev=g["vis"] // 2, rho_min=round(g["rho"] * 0.99), rho_max=round(g["rho"] * 1.01))
        g["scur"] = loop_current(g)
        check_gauge(g)
    x = by_tag(gs)
    if b.faulty:
        plant_unlisted_float(b, x["LG-7004"], "MGF-0807")
        plant_urv_outside(b, x["LG-7003"], 100)
        x["LG-7003"]["scur"] = loop_current(x["LG-7003"])
        plant_current(b, x["LG-7006"], 0.9)
        plant_offset(b, x["LG-7007"])
        plant_magnetic_chamber(b, x["LG-7005"], "ASTM A516 Gr.70")
        plant_reversed_densities(b, x["LG-7001"])
    attributes: list[tuple[str, str, Any, str]] = [
        ("Service description", "svc", None, ""),
        ("Fluid", "fluid", None, ""),
        ("Operating density", "rho", kg_m3(1), "kg/m3"),
        ("Minimum density", "rho_min", None, "kg/m3"),
        ("Maximum density", "rho_max", None, "kg/m3"),
        ("Operating pressure", "op", kpag(), "kPag"),
        ("Operating temperature", "ot", None, "degC"),
        ("Design pressure", "dp", kpag(), "kPag"),
        ("Design temperature", "dt", None, "degC"),
        ("Chamber material", "cmat", None, ""),
        ("Centre-to-centre distance", "cc", None, "mm"),
        ("Visible range", "vis", None, "mm"),
        ("Transmitter LRV", "lrv", None, "mm"),
        ("Transmitter URV", "urv", None, "mm"),
        ("Calibration check level", "slev", None, "mm"),
        ("Calibration check current", "scur", None, "mA"),
        ("Float part number", "part", None, ""),
    ]
    others: dict[str, tuple[str, str, list[tuple[str, Any, str]]]] = {
        "LG-7002": (
            "PT-7001",
            "TRANSMITTER, PRESSURE",
            [
                ("Service description", "V-701 overhead", ""),
                ("Design pressure", 1800, "kPag"),
                ("Calibrated range low", 0, "kPag"),
                ("Calibrated range high", 2500, "kPag"),
            ],
        ),
        "LG-7004": (
            "TT-7010",
            "TRANSMITTER, TEMPERATURE",
            [("Service description", "V-706 inlet", ""), ("Design temperature", 100, "degC"), ("Calibrated range high", 150, "degC")],
        ),
    }
    ws = b.sheet("Attribute load")
    ws.set_column(1, 2, 30)
    for c, h in enumerate(["Seq", "Tag", "Class", "Attribute", "Value", "UoM", "Source doc", "Loaded"]):
        ws.write(0, c, h, b.fmt(bold=True, bg_color="#FFE699"))
    r = 1
    for i, g in enumerate(gs):
        for label, name, fn, unit in attributes:
            ws.write(r, 0, r)
            write_cell(b, ws, r, 1, g["tag"], g, "tag")
            ws.write(r, 2, "LEVEL GAUGE, MAGNETIC")
            ws.write(r, 3, label)
            write_cell(b, ws, r, 4, fn(g[name]) if fn else g[name], g, name)
            ws.write(r, 5, unit)
            ws.write(r, 6, f"DS-70-LG-{i + 1:02d}")
            ws.write(r, 7, "Y")
            r += 1
        if g["tag"] in others:
            tag, kind, rows = others[g["tag"]]
            for label, v, unit in rows:
                for c, w in enumerate([r, tag, kind, label, v, unit, "IDX-70-001", "Y"]):
                    ws.write(r, c, w)
                r += 1
    ws.autofilter(0, 0, r - 1, 7)
    float_sheet(
        b,
        "Float materials",
        fl,
        [
            ("Part number", "part", None),
            ("Mass (g)", "mass", None),
            ("OD (mm)", "od", None),
            ("Length (mm)", "L", None),
            ("Ends", "ends", None),
            ("Magnet height (mm)", "mag", None),
            ("Max pressure (kPag)", "pmax", kpag()),
            ("Max temp (degC)", "tmax", None),
        ],
    )
    for g in gs:
        count_float_cells(b, g, "mass", "mag")
    finish(b, gs)


@book
def p05_coded_export_legend(b: Book) -> None:
    """Headings are codes, which another sheet explains."""
    fl = [
        make_float("A-30417", 54, 285, 905, pmax=16, tmax=160, ends="elliptical"),
        make_float("A-30422", 54, 265, 975, pmax=25, tmax=180, ends="elliptical"),
        make_float("A-30431", 54, 225, 1190, pmax=16, tmax=120, ends="elliptical"),
    ]
    gs = [
        gauge("17-LG-201A", "Quench oil tank east", "Quench oil", fl[0], 1.0, 0.2, 60, 3, 120, 1300),
        gauge("17-LG-201B", "Quench oil tank west", "Quench oil", fl[0], 1.0, 0.2, 60, 3, 120, 1300),
        gauge("17-LG-204", "Condensate receiver", "Steam condensate", fl[1], round(water(75, 2.0)) / 975, 2.0, 75, 9, 160, 800),
        gauge("17-LG-207", "Brine head tank", "CaCl2 brine", fl[2], 1.0, 0.1, 20, 2, 60, 1000),
        gauge("17-LG-208", "Brine return", "CaCl2 brine", fl[2], 1.015, 0.3, 25, 4, 60, 700),
        gauge("17-LG-211", "Seal oil pot", "Seal oil", fl[0], 0.985, 4, 55, 12, 120, 500),
        gauge("17-LG-215", "Process water drum", "Process water", fl[1], 0.99, 1.5, 70, 8, 150, 900),
    ]
    add_serials(gs, "ZK", 88310, 7)
    for i, g in enumerate(gs):
        g.update(cmat="1.4404", ltag=g["tag"].replace("LG", "LT"), x_id=4711000 + 13 * i, x_st="ACT", tp=round(g["dp"] * 1.3, 2))
        check_gauge(g)
    x = by_tag(gs)
    if b.faulty:
        plant_reversed_range(b, x["17-LG-204"])
        plant_reused_serial(b, x["17-LG-201B"], x["17-LG-201A"])
        plant_other_serial(b, x["17-LG-208"], x["17-LG-215"]["gsn"])
        plant_float_pressure(b, x["17-LG-211"], 18)
        plant_float_temperature(b, x["17-LG-207"], 130)
        plant_offset(b, x["17-LG-215"])
        b.allow("density-not-at-operating-conditions", "17-LG-215")
    fields: list[tuple[str, str, Any, str, str]] = [
        ("OBJ_ID", "x_id", None, "Object key", ""),
        ("OBJ_ST", "x_st", None, "Record status", ""),
        ("OBJ_POS", "tag", None, "Tag number", ""),
        ("OBJ_TXT", "svc", None, "Service", ""),
        ("MK_0012", "gsn", None, "Serial number of gauge", ""),
        ("MK_0101", "fluid", None, "Fluid name", ""),
        ("MK_0102", "rho", kg_m3(1), "Density at operating temperature", "kg/m3"),
        ("MK_0110", "op", barg(2), "Operating pressure", "barg"),
        ("MK_0111", "ot", None, "Operating temperature", "degC"),
        ("MK_0120", "dp", None, "Design pressure", "barg"),
        ("MK_0121", "dt", None, "Design temperature", "degC"),
        ("MK_0122", "tp", None, "Hydrostatic test pressure", "barg"),
        ("MK_0201", "cmat", None, "Material of chamber", ""),
        ("MK_0203", "cc", None, "Distance of process connections, centre to centre", "mm"),
        ("MK_0204", "vis", None, "Visible range", "mm"),
        ("MK_0301", "part", None, "Float part number", ""),
        ("MK_0302", "fsn", None, "Float serial number", ""),
        ("MK_0303", "fgsn", None, "Float belongs to gauge serial number", ""),
        ("MK_0311", "mass", None, "Float mass", "g"),
        ("MK_0312", "od", None, "Float outside diameter", "mm"),
        ("MK_0313", "L", None, "Float overall length", "mm"),
        ("MK_0314", "ends", str.upper, "Shape of float ends", ""),
        ("MK_0315", "mag", None, "Magnet plane above float bottom", "mm"),
        ("MK_0316", "pmax", None, "Float maximum pressure", "barg"),
        ("MK_0317", "tmax", None, "Float maximum temperature", "degC"),
        ("MK_0401", "ltag", None, "Transmitter tag", ""),
        ("MK_0402", "lrv", None, "Lower range value (4 mA)", "mm"),
        ("MK_0403", "urv", None, "Upper range value (20 mA)", "mm"),
    ]
    ws = b.sheet("EXP_0226")
    b.table(ws, 0, 0, [(code, name, fn) for code, name, fn, _, _ in fields], gs)
    ws = b.sheet("Field legend")
    ws.set_column(1, 1, 46)
    ws.write(0, 0, "Characteristics of class LG_MAG", b.fmt(bold=True))
    for c, h in enumerate(["Field", "Meaning", "Unit", "Type"]):
        ws.write(2, c, h, b.fmt(**HEADING))
    for i, (code, _, _, meaning, unit) in enumerate(fields):
        for c, v in enumerate([code, meaning, unit, "NUM" if unit else "CHAR"]):
            ws.write(3 + i, c, v)
    finish(b, gs)


@book
def p12_index_dcs_calibration(b: Book) -> None:
    """Index, control system's points and calibration register in one workbook, joined by the tag."""
    fl = [
        make_float("RB-4102", 52, 265, 985, pmax=25, tmax=200),
        make_float("RB-4080", 52, 300, 805, pmax=25, tmax=200),
        make_float("RB-4112", 52, 240, 1120, pmax=10, tmax=150),
    ]
    gs = [
        gauge("LG-2101", "Feed water tank", "Softened water", fl[0], round(water(55, 0.3)) / 985, 0.3, 55, 4, 120, 1600, vis=1500),
        gauge("LG-2102", "Distillate pot", "Gas oil", fl[1], 1.0, 2, 70, 9, 160, 800),
        gauge("LG-2103", "Distillate drum", "Gas oil", fl[1], 0.99, 3, 60, 12, 160, 1000),
        gauge("LG-2104", "Brine make-up", "NaCl brine", fl[2], 1.01, 0.1, 30, 2, 80, 1200),
        gauge("LG-2105", "Brine storage", "NaCl brine", fl[2], 0.995, 0.1, 30, 2, 80, 1800),
        gauge("LG-2106", "Flush oil drum", "Gas oil", fl[1], 1.02, 0.6, 45, 6, 130, 900),
    ]
    add_serials(gs, "B-", 77120, 4)
    for i, g in enumerate(gs):
        v = g["vis"]
        g.update(cmat="1.4404", ltag=g["tag"].replace("LG", "LT"), lsll=round(v * 0.08), lsl=round(v * 0.2), lsh=round(v * 0.8), lshh=round(v * 0.92))
        g["slev"] = round(v * [0.5, 0.25, 0.75, 0.5, 0.4, 0.6][i])
        g["scur"] = loop_current(g)
        check_gauge(g)
    x = by_tag(gs)
    if b.faulty:
        plant_switch_outside(b, x["LG-2103"], "lshh", 30)
        plant_switch_order(b, x["LG-2102"], "lsll", "lsl")
        plant_current(b, x["LG-2104"], 0.9)
        plant_other_serial(b, x["LG-2106"], x["LG-2103"]["gsn"])
        plant_urv_outside(b, x["LG-2101"], 90)
        x["LG-2101"]["scur"] = loop_current(x["LG-2101"])
        plant_float_pressure(b, x["LG-2105"], 11)
    title = {"bold": True, "font_size": 14}
    ws = b.sheet("Index")
    ws.write(0, 0, "Instrument index - level gauges, area 21", b.fmt(**title))
    cols: list[Any] = [
        ("Tag", "tag", None),
        ("Service", "svc", None),
        ("Fluid", "fluid", None),
        ("Density at oper. temp. kg/m³", "rho", kg_m3()),
        ("Oper. pressure barg", "op", None),
        ("Oper. temp. °C", "ot", None),
        ("Design pressure barg", "dp", None),
        ("Design temp. °C", "dt", None),
        ("C-C mm", "cc", None),
        ("Visible range mm", "vis", None),
        ("Chamber", "cmat", None),
        ("Gauge serial no.", "gsn", None),
        ("Transmitter tag", "ltag", None),
        ("Float part no.", "part", None),
    ]
    b.table(ws, 2, 0, cols, gs)
    ws = b.sheet("DCS points")
    ws.write(0, 0, "Control system database extract  AI points", b.fmt(**title))
    cols = [
        ("Point", "*x_p", lambda g: g["tag"].replace("LG", "LI")),
        ("Descriptor", "svc", None),
        ("Field device", "ltag", None),
        ("Gauge", "tag", None),
        ("Signal", "*x_s", lambda g: "4-20 mA"),
        ("EU", "*x_e", lambda g: "mm"),
        ("EULO", "lrv", None),
        ("EUHI", "urv", None),
        ("LL alarm", "lsll", None),
        ("L alarm", "lsl", None),
        ("H alarm", "lsh", None),
        ("HH alarm", "lshh", None),
        ("Priority", "*x_pr", lambda g: "HIGH"),
    ]
    b.table(ws, 2, 0, cols, list(reversed(gs)))
    ws = b.sheet("Calibration register")
    ws.write(0, 0, "Loop calibration register 2026", b.fmt(**title))
    cols = [
        ("Cert. no.", "*x_c", lambda g: "CR26-" + g["tag"][-3:]),
        ("Gauge tag", "tag", None),
        ("Transmitter", "ltag", None),
        ("Float serial no.", "fsn", None),
        ("Float stamped for gauge serial no.", "fgsn", None),
        ("LRV mm", "lrv", None),
        ("URV mm", "urv", None),
        ("Simulated level mm", "slev", None),
        ("Loop current mA", "scur", None),
        ("Technician", "*x_t", lambda g: "H. Oduya"),
        ("Next due", "*x_d", lambda g: "03/2027"),
    ]
    b.table(ws, 2, 0, cols, [gs[i] for i in (2, 0, 5, 1, 4, 3)])
    float_sheet(
        b,
        "Floats",
        fl,
        [
            ("Part no.", "part", None),
            ("Mass g", "mass", None),
            ("OD mm", "od", None),
            ("Length mm", "L", None),
            ("Ends", "ends", None),
            ("Magnet above bottom mm", "mag", None),
            ("Max. pressure barg", "pmax", None),
            ("Max. temp. °C", "tmax", None),
        ],
    )
    for g in gs:
        count_float_cells(b, g, "mass", "mag", "pmax")
    finish(b, gs)
