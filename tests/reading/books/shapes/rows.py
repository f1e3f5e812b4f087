"""A row for each gauge or for each of its values, with headings where one would not look for them."""

from __future__ import annotations

from typing import Any

from tests.reading.books.shapes.common import (
    always,
    bold,
    finish,
    plant_boiling,
    plant_duplicate_tag,
    plant_error_value,
    plant_heavy_upper_liquid,
    plant_implausible_density,
    plant_malformed_tag,
    plant_missing_tag,
    plant_no_tracing,
    plant_other_float_service,
    plant_other_serial,
    plant_other_temperature_density,
    plant_reused_serial,
    plant_reversed_densities,
    plant_swapped_densities,
    plant_switch_order,
    plant_switch_outside,
    plant_thin_shell,
    shown_value,
    water,
    write_cell,
    write_list,
    write_rows,
)
from tests.reading.faults import (
    plant_above_design,
    plant_flange_rating,
    plant_float_pressure,
    plant_float_temperature,
    plant_long_range,
    plant_magnetic_chamber,
    plant_offset,
    plant_reversed_range,
    plant_sinking,
    plant_test_pressure,
    plant_unlisted_float,
    plant_urv_outside,
    plant_urv_short,
)
from tests.reading.gauges import add_serials, by_tag, check_gauge, gauge, loop_current, make_float
from tests.reading.physics import liquid_density
from tests.reading.registry import book
from tests.reading.units import (
    Converter,
    barg,
    cm,
    decimal_comma,
    degC,
    degF,
    g_cm3,
    gram,
    inch,
    inch_fraction,
    kg_m3,
    kilogram,
    kpag,
    lb_ft3,
    metre,
    mm,
    mpag,
    ounce,
    pound,
    psig,
    rounded,
    sg60,
)
from tests.reading.writing import Book, Gauge, count_float_cells, float_sheet


@book
def s01_long_format(b: Book) -> None:
    """Long format: a row for each characteristic."""
    fl = [
        make_float("HF-850", 51, 290, 850),
        make_float("HF-720", 51, 320, 715, ends="hemispherical"),
        make_float("HF-980", 51, 250, 980, pmax=16, tmax=150),
        make_float("HF-905", 51, 275, 905),
    ]
    gs = [
        gauge("21-LG-1001", "Wash water surge drum", "Wash water", fl[2], water(60) / 980, 1.8, 60, 6, 110, 900, cmat="ASTM A312 TP316L", fclass="150"),
        gauge("21-LG-1002", "Splitter overhead receiver", "Light naphtha", fl[1], 0.99, 3.4, 48, 9, 140, 1200, cmat="ASTM A312 TP316L", fclass="300"),
        gauge("21-LG-1003", "Gas oil stripper sump", "Light gas oil", fl[0], 0.995, 2.2, 130, 7, 180, 1000, cmat="ASTM A312 TP321", fclass="300"),
        gauge("21-LG-1004", "Slop collection drum", "Slop oil", fl[3], 1.01, 0.4, 55, 3.5, 120, 1400, cmat="ASTM A312 TP316L", fclass="150"),
        gauge("21-LG-1005", "Flushing oil drum", "Flushing oil", fl[0], 1.01, 1.5, 50, 6, 120, 800, cmat="ASTM A312 TP316L", fclass="150"),
    ]
    x = by_tag(gs)
    if b.faulty:
        plant_offset(b, x["21-LG-1004"])
        plant_float_pressure(b, x["21-LG-1003"], v=27.5)
        plant_magnetic_chamber(b, x["21-LG-1005"], "ASTM A106 Gr.B")
        plant_above_design(b, x["21-LG-1002"], "ot", 152)
        x["21-LG-1001"]["op@unit"] = "bar"
        b.fault("unit-ambiguous", "21-LG-1001", ["op", "op@unit"], "operating pressure in 'bar' among 'bar(g)'")
    attrs = [
        ("Service description", "svc", None),
        ("Process fluid", "fluid", None),
        ("Density at operating temperature", "rho", "kg/m3"),
        ("Operating pressure", "op", "bar(g)"),
        ("Operating temperature", "ot", "deg C"),
        ("Design pressure", "dp", "bar(g)"),
        ("Design temperature", "dt", "deg C"),
        ("Centre-to-centre distance of connections", "cc", "mm"),
        ("Visible length", "vis", "mm"),
        ("Chamber material", "cmat", None),
        ("Flange class (ASME B16.5)", "fclass", None),
        ("Float part number", "part", None),
        ("Float weight", "mass", "g"),
        ("Float outside diameter", "od", "mm"),
        ("Float overall length", "L", "mm"),
        ("Float end shape", "ends", None),
        ("Magnet height above float bottom", "mag", "mm"),
        ("Float maximum pressure", "pmax", "bar(g)"),
        ("Float maximum temperature", "tmax", "deg C"),
    ]
    ws = b.sheet("Characteristics")
    for c, (t, w) in enumerate([("Functional location", 18), ("Class", 12), ("Seq", 5), ("Characteristic", 38), ("Value", 22), ("UoM", 9), ("Source", 14)]):
        ws.write(0, c, t, bold(b))
        ws.set_column(c, c, w)
    r = 1
    for g in gs:
        for i, (label, name, unit) in enumerate(attrs):
            for c, cell in enumerate([None, "LG_MAGFLOAT", (i + 1) * 10, label]):
                b.put(ws, r, c, cell)
            write_cell(b, ws, r, 0, g["tag"], g, "tag")
            write_cell(b, ws, r, 4, g[name], g, name)
            write_cell(b, ws, r, 5, g.get(name + "@unit", unit), g, name + "@unit")
            ws.write(r, 6, "Data sheet C" if i < 8 else "Vendor data")
            r += 1
    ws.autofilter(0, 0, r - 1, 6)
    ws.freeze_panes(1, 0)
    finish(b, gs)


@book
def s02_machine_names_legend(b: Book) -> None:
    """Machine names, explained on a legend sheet."""
    fl = [
        make_float("TN-0840", 54, 300, 840, pmax=25, tmax=180),
        make_float("TN-0700", 54, 330, 700, pmax=40, tmax=220),
        make_float("TN-1090", 54, 240, 1090, pmax=16, tmax=140),
        make_float("TN-0930", 54, 270, 925, pmax=25, tmax=180),
    ]
    gs = [
        gauge("LG-4101", "Quench drum", "Quench oil light", fl[3], 0.99, 1.1, 90, 5, 150, 1000),
        gauge("LG-4102", "Raffinate receiver", "Raffinate", fl[1], 1.01, 4.4, 55, 12, 160, 1300),
        gauge("LG-4103", "Extract pot", "Extract 2", fl[0], 1.0, 1.9, 75, 6, 150, 700),
        gauge("LG-4104", "Caustic head tank", "Caustic soda 9 %", fl[2], 0.995, 0.2, 35, 2, 80, 1100),
        gauge("LG-4105", "Raffinate day tank", "Raffinate", fl[1], 1.0, 0.3, 40, 3, 90, 1500),
        gauge("LG-4106", "Extract feed drum", "Extract 1", fl[0], 0.99, 2.0, 60, 6, 150, 900),
    ]
    for g in gs:
        g.update(lsll=round(g["vis"] * 0.06), lsl=round(g["vis"] * 0.15), lsh=round(g["vis"] * 0.84), lshh=round(g["vis"] * 0.93), cmat="1.4404")
    add_serials(gs, "K-77", 310)
    x = by_tag(gs)
    if b.faulty:
        plant_sinking(b, x["LG-4102"])
        plant_float_temperature(b, x["LG-4104"], v=155)
        plant_urv_outside(b, x["LG-4103"])
        plant_switch_outside(b, x["LG-4105"], "lshh")
        plant_reused_serial(b, x["LG-4106"], x["LG-4103"])
        plant_error_value(b, x["LG-4101"], "rho")
    fields = [
        ("EQ_ID", "tag", None, "Gauge tag number", "-"),
        ("EQ_TXT", "svc", None, "Service text", "-"),
        ("PR_MED", "fluid", None, "Medium (liquid)", "-"),
        ("PR_D1", "rho", None, "Density of the liquid at operating temperature", "kg/m3"),
        ("PR_P1", "op", kpag(), "Pressure, operating", "kPa gauge"),
        ("PR_P2", "dp", kpag(), "Pressure, design", "kPa gauge"),
        ("PR_T1", "ot", None, "Temperature, operating", "degC"),
        ("PR_T2", "dt", None, "Temperature, design", "degC"),
        ("CH_MAT", "cmat", None, "Chamber material (EN number)", "-"),
        ("CH_L1", "cc", metre(), "Distance between process connections, centre to centre", "m"),
        ("CH_L2", "vis", metre(), "Visible length of the indicator", "m"),
        ("FL_NR", "part", None, "Float model number", "-"),
        ("FL_SN", "fsn", None, "Float serial number", "-"),
        ("FL_W", "mass", None, "Weight of the float", "g"),
        ("FL_D", "od", None, "Outside diameter of the float", "mm"),
        ("FL_L", "L", None, "Total length of the float", "mm"),
        ("FL_E", "ends", always("F"), "End caps of the float: F = flat, H = hemispherical", "-"),
        ("FL_M", "mag", None, "Magnet position, from the bottom of the float", "mm"),
        ("FL_P", "pmax", kpag(), "Maximum pressure of the float", "kPa gauge"),
        ("FL_T", "tmax", None, "Maximum temperature of the float", "degC"),
        ("TX_R0", "lrv", None, "Transmitter, level at 4 mA", "mm"),
        ("TX_R1", "urv", None, "Transmitter, level at 20 mA", "mm"),
        ("SW_1", "lsll", None, "Set point switch low-low, above lower connection", "mm"),
        ("SW_2", "lsl", None, "Set point switch low", "mm"),
        ("SW_3", "lsh", None, "Set point switch high", "mm"),
        ("SW_4", "lshh", None, "Set point switch high-high", "mm"),
        ("CHG_BY", "*", always("hro"), "Changed by (user)", "-"),
    ]
    ws = b.sheet("EXPORT")
    write_list(b, ws, 0, 0, [("REC_NO", "*", lambda g: gs.index(g) + 1)] + [(f[0], f[1], f[2]) for f in fields], gs)
    lg = b.sheet("Legend")
    lg.write(0, 0, "Field names of the export", bold(b))
    for c, t in enumerate(["Field", "Meaning", "Unit"]):
        lg.write(2, c, t, bold(b))
    for i, (n, _, _, meaning, unit) in enumerate([("REC_NO", 0, 0, "Record number", "-"), *fields]):
        for c, t in enumerate([n, meaning, unit]):
            lg.write(3 + i, c, t)
    lg.set_column(1, 1, 52)
    finish(b, gs)


@book
def s03_value_uom_alternating(b: Book) -> None:
    """Value and unit of measure side by side, unit chosen in each row."""
    U = {
        "psig": psig(),
        "kPag": kpag(),
        "barg": barg(2),
        "degF": degF(),
        "degC": degC(),
        "in": inch(2),
        "mm": mm(1),
        "ft": rounded(lambda v: v / 304.8, 3),
        "lb": pound(4),
        "g": gram(),
        "oz": ounce(),
        "SG": sg60(),
        "kg/m3": kg_m3(1),
        "lb/ft3": lb_ft3(),
    }
    fl = [
        make_float("P2-076", 50.8, 304.8, 760, pmax=34.5, tmax=204),
        make_float("P2-088", 50.8, 279.4, 880, pmax=34.5, tmax=204),
        make_float("P2-064", 63.5, 330.2, 640, pmax=27.6, tmax=177),
        make_float("P2-101", 50.8, 254, 1010, pmax=20.7, tmax=149),
    ]
    us = {
        "rho": "SG",
        "op": "psig",
        "ot": "degF",
        "dp": "psig",
        "dt": "degF",
        "cc": "in",
        "vis": "in",
        "mass": "lb",
        "od": "in",
        "L": "in",
        "mag": "in",
        "pmax": "psig",
        "tmax": "degF",
    }
    si = {
        "rho": "kg/m3",
        "op": "kPag",
        "ot": "degC",
        "dp": "kPag",
        "dt": "degC",
        "cc": "mm",
        "vis": "mm",
        "mass": "g",
        "od": "mm",
        "L": "mm",
        "mag": "mm",
        "pmax": "kPag",
        "tmax": "degC",
    }
    gs = [
        gauge("LG-2001", "TEST SEPARATOR OIL SIDE", "CRUDE OIL", fl[1], 0.99, 10.3, 43, 17.2, 93, 914.4, u=us),
        gauge("LG-2002", "LACT SURGE DRUM", "STABILIZED CRUDE", fl[1], 0.975, 0.7, 38, 3.4, 93, 1219.2, u=us),
        gauge("LG-2003", "CONDENSATE STABILIZER", "CONDENSATE C6+", fl[2], 1.01, 8, 85, 13, 120, 800, u=si),
        gauge(
            "LG-2004",
            "PRODUCED WATER FLASH DRUM",
            "PRODUCED BRINE",
            fl[3],
            1.015,
            1.4,
            46,
            5.2,
            93,
            762,
            u=dict(us, rho="lb/ft3", cc="ft", vis="ft", mass="oz"),
        ),
        gauge("LG-2005", "FUEL GAS SCRUBBER", "NGL", fl[2], 0.99, 6.5, 25, 12, 90, 600, u=dict(si, op="barg", dp="barg")),
        gauge("LG-2006", "REFINED OIL TANK POT", "DIESEL", fl[0], 1.02, 0.1, 30, 1.7, 65, 1066.8, u=us),
    ]
    for g in gs:
        g["u"] = dict(g["u"])
    x = by_tag(gs)
    if b.faulty:
        plant_offset(b, x["LG-2005"])
        plant_float_pressure(b, x["LG-2001"], v=37.9)
        plant_long_range(b, x["LG-2004"], 76.2)
        plant_float_temperature(b, x["LG-2003"], v=190)
        x["LG-2002"]["u"]["dp"] = "psi"
        b.fault("unit-ambiguous", "LG-2002", ["dp", "dp@unit"], "design pressure in 'psi'")
        x["LG-2006"]["rho@shown"] = 775.2
        plant_implausible_density(b, x["LG-2006"], "775.2 SG")
    U["psi"] = U["psig"]
    heads = [
        ("TAG", "tag"),
        ("SERVICE", "svc"),
        ("FLUID", "fluid"),
        ("LIQUID DENSITY", "rho"),
        ("OPER. PRESSURE", "op"),
        ("OPER. TEMP.", "ot"),
        ("DESIGN PRESSURE", "dp"),
        ("DESIGN TEMP.", "dt"),
        ("CTR-CTR", "cc"),
        ("VISIBLE LENGTH", "vis"),
        ("FLOAT P/N", "part"),
        ("FLOAT ENDS", "ends"),
        ("FLOAT WEIGHT", "mass"),
        ("FLOAT O.D.", "od"),
        ("FLOAT LENGTH", "L"),
        ("MAGNET ABOVE FLOAT BOTTOM", "mag"),
        ("FLOAT MAX. PRESS.", "pmax"),
        ("FLOAT MAX. TEMP.", "tmax"),
    ]
    ws = b.sheet("LG DATA")
    ws.write(0, 0, "LEVEL GAUGES - MAGNETIC. GATHERING STATION 20", bold(b))
    c = 0
    for label, name in heads:
        ws.write(2, c, label, bold(b))
        if name in us:
            ws.write(2, c + 1, "UOM", bold(b))
        for i, g in enumerate(gs):
            v, u = g[name], g["u"].get(name)
            write_cell(b, ws, 3 + i, c, g.get(name + "@shown", U[u](v) if u else v), g, name)
            if u:
                write_cell(b, ws, 3 + i, c + 1, u, g, name + "@unit")
        c += 2 if name in us else 1
    finish(b, gs)


@book
def s04_lower_upper_limit(b: Book) -> None:
    """Attributes with lower limit and upper limit."""
    fl = [
        make_float("QL-810", 50, 300, 810, pmax=25, tmax=160),
        make_float("QL-940", 50, 265, 940, pmax=25, tmax=160),
        make_float("QL-1120", 50, 235, 1120, pmax=10, tmax=110),
        make_float("QL-690", 50, 330, 690, pmax=40, tmax=160),
    ]
    gs = [
        gauge("LI-5501", "Alcohol receiver", "Fusel fraction", fl[0], 1.0, 0.6, 45, 4, 120, 800),
        gauge("LI-5502", "Ester wash drum", "Ester phase", fl[1], 0.99, 1.2, 60, 6, 130, 1000),
        gauge("LI-5503", "Brine head tank", "Brine 14 %", fl[2], 0.99, 0.1, 25, 1.5, 60, 1200),
        gauge("LI-5504", "Light ends accumulator", "Light ends C5", fl[3], 0.985, 5, 42, 11, 120, 900),
        gauge("LI-5505", "Ester buffer", "Ester phase", fl[1], 1.0, 0.8, 50, 6, 130, 1400),
        gauge("LI-5506", "Fusel day tank", "Fusel fraction", fl[0], 1.01, 0.1, 30, 2, 90, 1100),
    ]
    for g in gs:
        g.update(
            rho_min=round(g["rho"] * 0.988),
            rho_max=round(g["rho"] * 1.012),
            op_min=round(g["op"] * 0.5, 2),
            op_max=round(g["op"] * 1.2, 2),
            ot_min=g["ot"] - 20,
            ot_max=g["ot"] + 10,
            dt_min=-10,
            vlo=0,
            cmat="316L",
        )
        check_gauge(g)
    x = by_tag(gs)
    if b.faulty:
        plant_reversed_densities(b, x["LI-5502"])
        plant_offset(b, x["LI-5506"])
        x["LI-5501"]["ot_max"] = 134
        b.fault("operating-exceeds-design", "LI-5501", ["ot_max", "dt"], "134 above 120 degC")
        plant_reversed_range(b, x["LI-5504"])
        plant_float_pressure(b, x["LI-5503"], v=11.5)
        plant_urv_outside(b, x["LI-5505"], 60)
    cols = [
        ("tag name", "tag", None),
        ("plant item description", "svc", None),
        ("process medium", "fluid", None),
        ("density of medium, lower limit [kg/m3]", "rho_min", None),
        ("density of medium, upper limit [kg/m3]", "rho_max", None),
        ("operating pressure (gauge), lower limit [bar]", "op_min", None),
        ("operating pressure (gauge), upper limit [bar]", "op_max", None),
        ("operating temperature, lower limit [degC]", "ot_min", None),
        ("operating temperature, upper limit [degC]", "ot_max", None),
        ("design pressure (gauge), upper limit [bar]", "dp", None),
        ("design temperature, lower limit [degC]", "dt_min", None),
        ("design temperature, upper limit [degC]", "dt", None),
        ("distance of process connections [mm]", "cc", None),
        ("visible range, lower limit [mm]", "vlo", None),
        ("visible range, upper limit [mm]", "vis", None),
        ("measuring range of transmitter, lower limit [mm]", "lrv", None),
        ("measuring range of transmitter, upper limit [mm]", "urv", None),
        ("material of chamber", "cmat", None),
        ("float article number", "part", None),
        ("float mass [g]", "mass", None),
        ("float diameter [mm]", "od", None),
        ("float length [mm]", "L", None),
        ("float end form", "ends", None),
        ("height of magnet above lower end of float [mm]", "mag", None),
        ("float pressure (gauge), upper limit [bar]", "pmax", None),
        ("float temperature, upper limit [degC]", "tmax", None),
    ]
    ws = b.sheet("attributes")
    write_list(b, ws, 0, 0, cols, gs)
    ws.set_row(0, 75)
    finish(b, gs)


@book
def s05_control_system_points(b: Book) -> None:
    """Points of the control system."""
    f = make_float("N4", 50, 280, 850)
    gs = []
    for i, (cc, s, eu) in enumerate(
        [
            (1000, "Feed drum", "MM"),
            (1200, "Reflux drum", "MM"),
            (900, "Slop drum", "MM"),
            (1500, "Surge vessel", "CM"),
            (800, "Flush pot", "%"),
            (1100, "Knock-out pot", "MM"),
            (1300, "Wash oil tank", "MM"),
        ]
    ):
        g = gauge(f"31-LG-{501 + i}", s, "Wash oil", f, 1, 1, 40, 6, 100, cc, eu=eu, ltag=f"31LT{501 + i}")
        g.update(lsll=round(cc * 0.07), lsl=round(cc * 0.16), lsh=round(cc * 0.82), lshh=round(cc * 0.92), aka=[g["ltag"], g["ltag"] + ".PV"])
        gs.append(g)
    x = by_tag(gs)
    if b.faulty:
        plant_switch_order(b, x["31-LG-501"], "lsll", "lsl")
        plant_switch_outside(b, x["31-LG-502"], "lshh", 90, alt=["alarm-outside-range"])
        plant_reversed_range(b, x["31-LG-503"])
        plant_urv_outside(b, x["31-LG-506"], 100)
        plant_urv_short(b, x["31-LG-507"], 100)
    ws = b.sheet("POINTS")
    scale = {"MM": mm(), "CM": cm(1)}

    def eng(name: str) -> Converter:
        def show(g: Gauge) -> Any:
            if g["eu"] == "%":
                return round(100 * g[name] / g["vis"], 1)
            return scale[g["eu"]](g[name])

        return show

    cols = [
        ("POINT", "*ltag", lambda g: g["ltag"] + ".PV"),
        ("TYPE", "*", always("AI")),
        ("PTDESC", "*svc", lambda g: g["svc"].upper() + " LEVEL"),
        ("EUDESC", "*", lambda g: g["eu"]),
        ("PVEULO", "*lrv", eng("lrv")),
        ("PVEUHI", "*urv", eng("urv")),
        ("PVFORMAT", "*", always("D1")),
        ("PVLLTP", "*lsll", eng("lsll")),
        ("PVLOTP", "*lsl", eng("lsl")),
        ("PVHITP", "*lsh", eng("lsh")),
        ("PVHHTP", "*lshh", eng("lshh")),
        ("PVLLPR", "*", always("EMERGNCY")),
        ("PVHIPR", "*", always("HIGH")),
        ("NODE", "*", lambda g: f"HPM0{1 + gs.index(g) % 3}"),
    ]
    write_list(b, ws, 0, 0, cols, gs)
    w2 = b.sheet("FIELD DEVICES")
    w2.write(0, 0, "Magnetic level gauges and their transmitters (field)", bold(b))
    write_list(
        b,
        w2,
        2,
        0,
        [
            ("Gauge", "tag", None),
            ("Transmitter", "ltag", None),
            ("Vessel", "svc", None),
            ("Visible length mm", "vis", None),
            ("Distance of tappings mm", "cc", None),
            ("Zero", "*", always("centre line of lower tapping")),
        ],
        gs,
    )
    finish(b, gs)


@book
def s07_remarques_cle_valeur(b: Book) -> None:
    """Register with 'key: value; key: value' in the remarks, French."""
    fl = [make_float("FX-84", 50, 290, 840), make_float("FX-70", 50, 330, 700), make_float("FX-108", 50, 240, 1080, pmax=16, tmax=120)]
    gs = [
        gauge("LG-3301", "Ballon de charge", "gazole", fl[0], 0.995, 2, 60, 7, 150, 1000),
        gauge("LG-3302", "Ballon de reflux", "essence légère", fl[1], 0.985, 3.5, 50, 9, 140, 1200),
        gauge("LG-3303", "Bac de soude", "soude 8 %", fl[2], 1.0, 0.2, 30, 2, 90, 800),
        gauge("LG-3304", "Ballon de purge", "gazole", fl[0], 1.01, 0.5, 70, 5, 150, 900),
        gauge("LG-3305", "Bac tampon", "gazole", fl[0], 1.0, 0.3, 40, 4, 120, 1500),
    ]
    for g in gs:
        g["cmat"] = "316L"
    x = by_tag(gs)
    if b.faulty:
        plant_offset(b, x["LG-3301"])
        plant_above_design(b, x["LG-3302"], "op", 10.4)
        plant_float_temperature(b, x["LG-3303"], v=135)
        plant_magnetic_chamber(b, x["LG-3304"], "acier A106 Gr. B")
        plant_long_range(b, x["LG-3305"], 120)
    c = decimal_comma
    keys = [
        ("Fluide", "fluid", None, ""),
        ("Densité à T° de service", "rho", c(g_cm3(3)), ""),
        ("P service", "op", c(barg(1)), " bar rel."),
        ("T service", "ot", None, " °C"),
        ("P calcul", "dp", c(barg(1)), " bar rel."),
        ("T calcul", "dt", None, " °C"),
        ("Entraxe", "cc", None, " mm"),
        ("Plage visible", "vis", None, " mm"),
        ("Chambre", "cmat", None, ""),
        ("Flotteur", "part", None, ""),
        ("Masse flotteur", "mass", c(gram()), " g"),
        ("Ø flotteur", "od", None, " mm"),
        ("Longueur flotteur", "L", None, " mm"),
        ("Extrémités flotteur", "ends", always("plates"), ""),
        ("Aimant / bas du flotteur", "mag", c(gram()), " mm"),
        ("P max flotteur", "pmax", c(barg(0)), " bar rel."),
        ("T max flotteur", "tmax", None, " °C"),
    ]
    ws = b.sheet("Registre")
    ws.write(0, 0, "Registre des indicateurs de niveau magnétiques - unité 33", bold(b))
    for i, t in enumerate(["Repère", "Désignation", "Localisation", "État", "Dernière visite", "Remarques"]):
        ws.write(2, i, t, b.fmt(bold=True, border=1))
    ws.set_column(1, 1, 22)
    ws.set_column(5, 5, 110)
    for i, g in enumerate(gs):
        r = 3 + i
        write_cell(b, ws, r, 0, g["tag"], g, "tag")
        write_cell(b, ws, r, 1, g["svc"], g, "svc")
        ws.write(r, 2, f"Bloc {2 + i % 2}, niveau +{4 * (i % 3)} m")
        ws.write(r, 3, "en service")
        ws.write(r, 4, f"0{i + 1}/2025")
        write_cell(b, ws, r, 5, "; ".join(f"{k}: {shown_value(g, n, fn)}{u}" for k, n, fn, u in keys), g, " ".join(n for _, n, _, _ in keys), text_wrap=True)
    b.allow("number-as-text")
    finish(b, gs)


@book
def s10_stueckliste_eingerueckt(b: Book) -> None:
    """Indented bill of materials, German."""
    fl = [
        make_float("SK 52/850", 52, 290, 850, pmax=25, tmax=200),
        make_float("SK 52/990", 52, 250, 990, pmax=25, tmax=200),
        make_float("SK 60/690", 60, 320, 690, pmax=16, tmax=150),
    ]
    gs = [
        gauge("LG 5101", "Ölvorlage", "Thermoöl", fl[0], 0.99, 1.0, 90, 6, 160, 1000),
        gauge("LG 5102", "Kondensatgefäß", "Kondensat", fl[1], water(70) / 990, 1.2, 70, 6, 140, 800),
        gauge("LG 5103", "Rücklaufgefäß", "Leichtbenzin", fl[2], 1.01, 2.2, 45, 8, 110, 1200),
        gauge("LG 5104", "Ölsammler", "Thermoöl", fl[0], 1.0, 0.4, 60, 4, 150, 600),
    ]
    add_serials(gs, "M 88", 410)
    for g in gs:
        n = g["tag"][3:]
        g.update(cmat="1.4404", lsl=round(g["vis"] * 0.15), lsh=round(g["vis"] * 0.85), ltag=f"LT {n}", aka=[f"LT {n}", f"LSL {n}", f"LSH {n}"])
    x = by_tag(gs)
    if b.faulty:
        plant_offset(b, x["LG 5101"])
        plant_other_serial(b, x["LG 5102"], x["LG 5103"]["gsn"])
        plant_float_pressure(b, x["LG 5103"], v=17.5)
        plant_urv_outside(b, x["LG 5104"], 90)
        plant_switch_order(b, x["LG 5102"], "lsl", "lsh")
    heads = [
        "Ebene",
        "Kennzeichen",
        "Benennung",
        "Menge",
        "Werkstoff",
        "Medium",
        "Betriebsdichte [kg/m³]",
        "Auslegungsdruck [bar(Ü)]",
        "Auslegungstemp. [°C]",
        "Mittenabstand [mm]",
        "Anzeigelänge [mm]",
        "Messanfang 4 mA [mm]",
        "Messende 20 mA [mm]",
        "Schaltpunkt [mm]",
        "Typ / Sachnummer",
        "Masse [g]",
        "Ø außen [mm]",
        "Länge [mm]",
        "Böden",
        "Magnetlage über Unterkante [mm]",
        "max. Druck [bar(Ü)]",
        "max. Temp. [°C]",
        "Fabr.-Nr.",
        "bestimmt für Gerät Fabr.-Nr.",
    ]
    ws = b.sheet("Stückliste")
    ws.write(0, 0, "STÜCKLISTE 5100-MS-11   Magnetische Niveaustandanzeiger mit Zubehör", bold(b))
    for c, t in enumerate(heads):
        ws.write(2, c, t, b.fmt(bold=True, text_wrap=True, border=1))
    ws.set_column(2, 2, 34)
    r = 3
    for g in gs:
        n = g["tag"][3:]
        parts = [
            (0, g["tag"], "tag", "Niveaustandanzeiger " + g["svc"], {4: "cmat", 5: "fluid", 6: "rho", 7: "dp", 8: "dt", 9: "cc", 10: "vis", 22: "gsn"}),
            (
                1,
                None,
                "",
                "Schwimmer",
                {4: "ffmat", 14: "part", 15: "mass", 16: "od", 17: "L", 18: "ends", 19: "mag", 20: "pmax", 21: "tmax", 22: "fsn", 23: "fgsn"},
            ),
            (1, g["ltag"], "ltag", "Messumformer 4-20 mA", {11: "lrv", 12: "urv"}),
            (1, f"LSL {n}", "", "Grenzschalter, bistabil", {13: "lsl"}),
            (1, f"LSH {n}", "", "Grenzschalter, bistabil", {13: "lsh"}),
            (1, None, "", "Dichtung DN 25", {}),
            (2, None, "", "Schraubensatz M12", {}),
        ]
        for level, tag, name, text, cells in parts:
            ws.write(r, 0, "." * level + str(level + 1))
            write_cell(b, ws, r, 1, tag, g, name, indent=level)
            ws.write(r, 2, text, b.fmt(indent=2 * level, bold=level == 0))
            ws.write(r, 3, 8 if text.startswith("Schrauben") else 1)
            for c, k in cells.items():
                write_cell(b, ws, r, c, "eben" if k == "ends" else g[k], g, k)
            ws.set_row(r, None, None, {"level": level})
            r += 1
    finish(b, gs)


@book
def s12_takeoff_typical(b: Book) -> None:
    """Take-off with 'typical of 4'."""
    fl = [
        make_float("T52-79", 50.8, 304.8, 790, pmax=27.6, tmax=204),
        make_float("T52-99", 50.8, 254, 1000, pmax=27.6, tmax=149),
        make_float("T52-68", 63.5, 317.5, 680, pmax=20.7, tmax=149),
        make_float("I52-92", 50.8, 304.8, 1030, 810, frac=0.6, svc="interface", pmax=27.6, tmax=149),
    ]
    gs = [
        gauge("LG-701A/B/C/D", "TREATER OIL CHAMBER", "Treated oil", fl[0], 1.01, 3.4, 60, 8.6, 110, 1219.2, qty=4),
        gauge("LG-705A/B", "SUMP", "Slop water", fl[1], 1.0, 0.1, 30, 3.4, 93, 762, qty=2),
        gauge("LG-707", "VAPOR RECOVERY DRUM", "Condensate C6+", fl[2], 0.99, 2.1, 40, 6.9, 93, 914.4, qty=1),
        gauge("LG-708A-C", "TREATER WATER BOOT", "Salt water", fl[3], 1.0, 3.4, 60, 8.6, 110, 609.6, rho_u=810, typ="interface", qty=3),
    ]
    for g, n in zip(gs, ("ABCD", "AB", "", "ABC"), strict=False):
        g.setdefault("typ", "level")
        g.update(cmat="316L SS", aka=[g["tag"].split("A")[0] + c for c in n] + [g["tag"].split("/")[0]])
    x = by_tag(gs)
    if b.faulty:
        plant_offset(b, x["LG-701A/B/C/D"])
        plant_magnetic_chamber(b, x["LG-705A/B"], "CS A106-B")
        plant_float_pressure(b, x["LG-707"], v=22.4)
        plant_other_float_service(b, x["LG-708A-C"], "level")
        plant_long_range(b, x["LG-705A/B"], 152.4)
    ws = b.sheet("MTO")
    ws.write(0, 0, "INSTRUMENT TAKE-OFF  REV B  FOR BUDGET QUOTATION", bold(b))
    cols = [
        ("ITEM", "*", lambda g: gs.index(g) + 1),
        ("QTY", "*", lambda g: g["qty"]),
        ("REMARK", "*", lambda g: f"TYPICAL OF {g['qty']}" if g["qty"] > 1 else None),
        ("TAGS", "tag", None),
        ("SERVICE", "svc", None),
        ("LEVEL / INTERFACE", "typ", None),
        ("LIQUID", "fluid", None),
        ("SG @ OP TEMP", "rho", sg60()),
        ("UPPER LIQUID SG", "rho_u", sg60()),
        ("OPER PSIG", "op", psig()),
        ("OPER °F", "ot", degF()),
        ("DESIGN PSIG", "dp", psig()),
        ("DESIGN °F", "dt", degF()),
        ("CTR TO CTR", "cc", inch_fraction),
        ("VISIBLE", "vis", inch_fraction),
        ("CHAMBER", "cmat", None),
        ("FLOAT P/N", "part", None),
        ("FLOAT FOR", "fsvc", None),
        ("FLOAT WT, OZ", "mass", ounce(3)),
        ("FLOAT OD, IN", "od", inch()),
        ("FLOAT LG, IN", "L", inch()),
        ("FLOAT ENDS", "ends", None),
        ("MAGNET FROM FLOAT BOTTOM, IN", "mag", inch(3)),
        ("FLOAT PSIG MAX", "pmax", psig()),
        ("FLOAT °F MAX", "tmax", degF()),
    ]
    r = write_list(b, ws, 2, 0, cols, gs)
    ws.write(r, 0, "TOTAL")
    ws.write_formula(r, 1, "=SUM(B4:B7)", bold(b), 10)
    finish(b, gs)


@book
def s14_five_heading_rows(b: Book) -> None:
    """Five heading rows, the units in the middle one."""
    fl = [
        make_float("KB-810", 51, 300, 810, pmax=40, tmax=220),
        make_float("KB-700", 51, 330, 700, pmax=40, tmax=220),
        make_float("KB-860", 50, 300, 860, ends="hemispherical", wall=1.0, pmax=10, tmax=200),
        make_float("KB-960", 51, 260, 960, pmax=40, tmax=200),
        make_float("KB-855", 50, 305, 855, ends="hemispherical", wall=1.0, pmax=10, tmax=200),
    ]
    gs = [
        gauge("41-LG-110", "HP separator", "Crude", fl[0], 1.0, 18, 60, 25, 120, 1200, fclass=300),
        gauge("41-LG-111", "Stabiliser reflux drum", "C5 distillate", fl[1], 0.985, 7, 50, 11, 150, 1000, fclass=150),
        gauge("41-LG-112", "Crude heater pot", "Crude", fl[2], 0.98, 2, 80, 6.5, 160, 900, fclass=150),
        gauge("41-LG-113", "Closed drain drum", "Slop", fl[4], 1.0, 0.1, 40, 3.5, 120, 1500, fclass=150),
        gauge("41-LG-114", "Hot oil expansion drum", "Hot oil", fl[0], 0.98, 0.5, 170, 6, 210, 1100, fclass=300),
        gauge("41-LG-115", "Water flash drum", "Produced water", fl[3], 1.02, 4, 70, 9, 140, 800, fclass=150),
        gauge("41-LG-116", "Condensate flash drum", "C5 distillate", fl[1], 1.01, 12, 45, 20, 120, 700, fclass=300),
    ]
    for g in gs:
        g.update(cmat="A312 TP316L", grp="2.3", tp=round(g["dp"] * 1.3, 1) if g["dp"] * 1.3 < g["f"]["pmax"] else None)
        check_gauge(g)
    x = by_tag(gs)
    if b.faulty:
        plant_flange_rating(b, x["41-LG-116"], 36.0)
        x["41-LG-116"]["tp"] = None
        plant_thin_shell(b, x["41-LG-112"], 0.45)
        plant_offset(b, x["41-LG-114"])
        plant_sinking(b, x["41-LG-111"])
        plant_above_design(b, x["41-LG-115"], "ot", 150)
        plant_test_pressure(b, x["41-LG-110"], v=44.0)
        plant_malformed_tag(b, x["41-LG-113"], "41-FG-113")
    H = [
        ("IDENTIFICATION", "Tag number", "-", "", "1", "tag"),
        ("IDENTIFICATION", "Service", "-", "", "2", "svc"),
        ("PROCESS", "Fluid", "-", "", "3", "fluid"),
        ("PROCESS", "Density", "kg/m³", "at operating temperature", "4", "rho"),
        ("PROCESS", "Pressure", "barg", "operating", "5", "op"),
        ("PROCESS", "Temperature", "°C", "operating", "6", "ot"),
        ("DESIGN", "Pressure", "barg", "maximum", "7", "dp"),
        ("DESIGN", "Temperature", "°C", "maximum", "8", "dt"),
        ("DESIGN", "Test pressure", "barg", "hydrostatic", "9", "tp"),
        ("GAUGE", "Connections", "mm", "centre to centre", "10", "cc"),
        ("GAUGE", "Visible range", "mm", "", "11", "vis"),
        ("GAUGE", "Material", "-", "chamber", "12", "cmat"),
        ("GAUGE", "Flanges", "class", "ASME B16.5", "13", "fclass"),
        ("FLOAT", "Part number", "-", "", "14", "part"),
        ("FLOAT", "Mass", "g", "", "15", "mass"),
        ("FLOAT", "Diameter", "mm", "outside", "16", "od"),
        ("FLOAT", "Length", "mm", "overall", "17", "L"),
        ("FLOAT", "Ends", "-", "shape", "18", "ends"),
        ("FLOAT", "Wall", "mm", "shell", "19", "wall"),
        ("FLOAT", "Material", "-", "shell", "20", "ffmat"),
        ("FLOAT", "Magnet", "mm", "above float bottom", "21", "mag"),
        ("FLOAT", "Pressure", "barg", "maximum", "22", "pmax"),
        ("FLOAT", "Temperature", "°C", "maximum", "23", "tmax"),
    ]
    ws = b.sheet("LG schedule")
    ws.write(0, 0, "SCHEDULE OF MAGNETIC LEVEL GAUGES, UNIT 41", b.fmt(bold=True, font_size=13))
    write_list(b, ws, 2, 0, [(h[:5], h[5], None) for h in H], gs)
    ws.freeze_panes(7, 1)
    finish(b, gs)


@book
def s15_bilingue_tweetalig(b: Book) -> None:
    """Headings in two languages, French above Dutch."""
    fl = [
        make_float("VL-795", 50, 300, 795, pmax=25, tmax=180),
        make_float("VL-955", 50, 260, 955, pmax=25, tmax=180),
        make_float("VL-880", 50, 280, 880, pmax=25, tmax=180),
        make_float("VL-1180", 50, 225, 1180, pmax=16, tmax=110),
    ]
    gs = [
        gauge("LG-2601", "Recette toluène", "Toluène", fl[0], liquid_density("Toluene", 95, 0.6) / 795, 0.6, 95, 5, 150, 1000),
        gauge("LG-2602", "Bâche alimentaire", "Eau d'alimentation", fl[1], liquid_density("Water", 105, 1.5) / 955, 1.5, 105, 5, 150, 1200),
        gauge("LG-2603", "Tampon huile", "Huile d'absorption", fl[2], 1.0, 0.3, 45, 3, 110, 900),
        gauge("LG-2604", "Pot de purge", "Huile d'absorption", fl[2], 0.99, 1, 60, 6, 120, 600),
        gauge("LG-2605", "Bac acide", "Acide phosphorique 30 %", fl[3], 1.0, 0.1, 30, 1.5, 70, 800),
        gauge("LG-2606", "Réserve huile", "Huile d'absorption", fl[2], 1.01, 0.2, 35, 3, 110, 1400),
    ]
    for g in gs:
        g.update(cmat="Inox 316L", rho=round(g["rho"]))
        check_gauge(g)
    x = by_tag(gs)
    if b.faulty:
        plant_other_temperature_density(b, x["LG-2601"], "Toluene", 20)
        plant_boiling(b, x["LG-2602"], "Water")
        plant_long_range(b, x["LG-2603"])
        plant_magnetic_chamber(b, x["LG-2604"], "P265GH")
        x["LG-2606"]["pmax"] = 40
        b.fault("float-data-conflict", "LG-2606", ["pmax"], "40 barg in the index, 25 barg in the float list for VL-880")
        plant_float_temperature(b, x["LG-2605"], v=125)
    H = [
        ("Repère", "Merkteken", "tag"),
        ("Service", "Dienst", "svc"),
        ("Fluide", "Medium", "fluid"),
        ("Masse volumique à T service [kg/m³]", "Dichtheid bij bedrijfstemp. [kg/m³]", "rho"),
        ("Pression de service [barg]", "Bedrijfsdruk [barg]", "op"),
        ("Température de service [°C]", "Bedrijfstemperatuur [°C]", "ot"),
        ("Pression de calcul [barg]", "Ontwerpdruk [barg]", "dp"),
        ("Température de calcul [°C]", "Ontwerptemperatuur [°C]", "dt"),
        ("Entraxe [mm]", "Hartafstand [mm]", "cc"),
        ("Longueur visible [mm]", "Zichtbare lengte [mm]", "vis"),
        ("Matière chambre", "Materiaal kamer", "cmat"),
        ("Flotteur, référence", "Vlotter, type", "part"),
        ("Flotteur, pression max. [barg]", "Vlotter, max. druk [barg]", "pmax"),
    ]
    ws = b.sheet("Niveaux - Niveaus")
    ws.write(0, 0, "LISTE DES NIVEAUX MAGNÉTIQUES / LIJST MAGNETISCHE NIVEAUAANWIJZERS", bold(b))
    write_list(b, ws, 2, 0, [((f, n), name, None) for f, n, name in H], gs)
    float_sheet(
        b,
        "Flotteurs - Vlotters",
        fl,
        [
            (("Référence", "Type"), "part", None),
            (("Masse [g]", "Massa [g]"), "mass", None),
            (("Diamètre ext. [mm]", "Buitendiameter [mm]"), "od", None),
            (("Longueur [mm]", "Lengte [mm]"), "L", None),
            (("Fonds", "Bodems"), "ends", always("plats / vlak")),
            (("Hauteur aimant depuis le bas [mm]", "Magneethoogte vanaf onderkant [mm]"), "mag", None),
            (("Pression max. [barg]", "Max. druk [barg]"), "pmax", None),
            (("Température max. [°C]", "Max. temperatuur [°C]"), "tmax", None),
        ],
    )
    for g in gs:
        count_float_cells(b, g, "mass", "od", "L", "mag", "pmax", "tmax")
    finish(b, gs)


@book
def s16_headings_below(b: Book) -> None:
    """Headings below the data, numbered upwards."""
    fl = [
        make_float("DJ-83", 51, 295, 830, pmax=25, tmax=150),
        make_float("DJ-I1", 51, 290, 1020, 800, frac=0.6, svc="interface", pmax=25, tmax=150),
        make_float("DJ-102", 51, 245, 1020, pmax=16, tmax=120),
    ]
    gs = [
        gauge("LG-3001", "Production separator, oil", "Oil", fl[0], 1.01, 6, 45, 12, 90, 1200),
        gauge("LG-3002", "Production separator, interface", "Produced water", fl[1], 1.0, 6, 45, 12, 90, 900, typ="interface", rho_u=805, ufl="Oil"),
        gauge("LG-3003", "Test separator, interface", "Produced water", fl[1], 1.0, 5, 42, 12, 90, 800, typ="interface", rho_u=800, ufl="Oil"),
        gauge("LG-3004", "Degasser", "Produced water", fl[2], 1.0, 0.8, 40, 4, 90, 1000),
        gauge("LG-3005", "Coalescer, interface", "Produced water", fl[1], 0.995, 4, 50, 10, 90, 700, typ="interface", rho_u=795, ufl="Oil"),
        gauge("LG-3006", "Oil pump-around drum", "Oil", fl[0], 0.99, 2, 60, 6, 110, 1100),
    ]
    for g in gs:
        g["cmat"] = "UNS S31603"
        g.setdefault("typ", "level")
    x = by_tag(gs)
    if b.faulty:
        plant_swapped_densities(b, x["LG-3003"])
        plant_heavy_upper_liquid(b, x["LG-3002"], 945)
        plant_other_float_service(b, x["LG-3005"], "level")
        plant_offset(b, x["LG-3001"])
        plant_float_pressure(b, x["LG-3004"], v=18)
        plant_missing_tag(b, x["LG-3006"])
    cols = [
        ("NO.", "*", lambda g: gs.index(g) + 1),
        ("TAG", "tag", None),
        ("SERVICE", "svc", None),
        ("LEVEL / INTERFACE", "typ", None),
        ("FLUID (LOWER)", "fluid", None),
        ("DENSITY (LOWER)\nkg/m³", "rho", None),
        ("UPPER FLUID", "ufl", None),
        ("DENSITY (UPPER)\nkg/m³", "rho_u", None),
        ("OPER. PRESS.\nbarg", "op", None),
        ("OPER. TEMP.\n°C", "ot", None),
        ("DESIGN PRESS.\nbarg", "dp", None),
        ("DESIGN TEMP.\n°C", "dt", None),
        ("CENTRES\nmm", "cc", None),
        ("VISIBLE\nmm", "vis", None),
        ("CHAMBER", "cmat", None),
        ("FLOAT NO.", "part", None),
        ("FLOAT FOR", "fsvc", None),
        ("FLOAT MASS\ng", "mass", None),
        ("FLOAT DIA.\nmm", "od", None),
        ("FLOAT LENGTH\nmm", "L", None),
        ("FLOAT ENDS", "ends", None),
        ("MAGNET HEIGHT\nmm", "mag", None),
        ("FLOAT MAX.\nbarg", "pmax", None),
        ("FLOAT MAX.\n°C", "tmax", None),
    ]
    ws = b.sheet("Parts on drawing")
    r = write_rows(b, ws, 2, 0, cols, gs[::-1])
    r = b.head(ws, r, 0, cols)
    ws.merge_range(r + 1, 0, r + 1, 6, "LEVEL GAUGE LIST TO DRAWING D-3000-17 SHEET 2", b.fmt(bold=True, border=1))
    ws.write(r + 2, 0, "Densities at operating conditions. Magnet height above bottom of float.")
    finish(b, gs)


@book
def s18_subtotals_formulas(b: Book) -> None:
    """Groups with subtotals, currents by formula."""
    fl = [
        make_float("SB-845", 51, 290, 845, pmax=25, tmax=180),
        make_float("SB-715", 51, 325, 715, pmax=25, tmax=180),
        make_float("SB-965", 51, 260, 965, pmax=25, tmax=180),
    ]
    data: list[tuple[str, list[tuple[Any, ...]]]] = [
        (
            "11",
            [
                ("11-LG-010", "Charge drum", "Diesel", fl[0], 0.985, 2, 55, 7, 130, 1000),
                ("11-LG-011", "Reflux drum", "Naphtha", fl[1], 1.0, 4, 45, 9, 120, 1200),
                ("11-LG-012", "Sour drum", "Amine 20 %", fl[2], 1.025, 1, 45, 6, 110, 800),
            ],
        ),
        (
            "12",
            [
                ("12-LG-020", "Rundown drum", "Diesel", fl[0], 0.98, 0.5, 40, 4, 100, 1500),
                ("12-LG-021", "Slop drum", "Slop oil", fl[0], 1.02, 0.1, 50, 3.5, 110, 900),
            ],
        ),
        (
            "13",
            [
                ("13-LG-030", "Wash oil drum", "Wash oil", fl[0], 1.01, 1.5, 60, 6, 140, 1100),
                ("13-LG-031", "Light ends drum", "Naphtha", fl[1], 0.99, 5, 40, 10, 110, 700),
                ("13-LG-032", "Flush oil drum", "Flushing oil", fl[0], 1.0, 1, 50, 6, 120, 1300),
            ],
        ),
    ]
    gs = [gauge(*d, area=a, cmat="316L") for a, ds in data for d in ds]
    for g in gs:
        g["slev"] = round(g["vis"] * 0.8)
    x = by_tag(gs)
    if b.faulty:
        plant_offset(b, x["13-LG-032"])
        plant_float_pressure(b, x["11-LG-012"], v=27)
        x["12-LG-020"]["ot"] = -300
        b.fault("value-implausible", "12-LG-020", ["ot"], "-300 degC is below absolute zero")
        x["13-LG-030"]["typed"] = True
        b.fault("formula-overwritten", "13-LG-030", ["scur"], "a typed value where the other rows have a formula")
        plant_duplicate_tag(b, x["12-LG-021"], x["11-LG-010"])
    cols = [
        ("Item", "*", None),
        ("Tag", "tag", None),
        ("Service", "svc", None),
        ("Fluid", "fluid", None),
        ("Density kg/m³", "rho", None),
        ("Oper. press. barg", "op", None),
        ("Oper. temp. °C", "ot", None),
        ("Design press. barg", "dp", None),
        ("Design temp. °C", "dt", None),
        ("C-C mm", "cc", None),
        ("Visible mm", "vis", None),
        ("Chamber", "cmat", None),
        ("Float", "part", None),
        ("Float mass g", "mass", None),
        ("Float OD mm", "od", None),
        ("Float length mm", "L", None),
        ("Float ends", "ends", None),
        ("Magnet height mm", "mag", None),
        ("Float max. barg", "pmax", None),
        ("Float max. °C", "tmax", None),
        ("4 mA at mm", "lrv", None),
        ("20 mA at mm", "urv", None),
        ("High alarm level mm", "slev", None),
        ("Current at high alarm mA", "scur", None),
        ("Price EUR", "*", None),
    ]
    ws = b.sheet("List with totals")
    ws.write(0, 0, "MAGNETIC LEVEL GAUGES BY AREA", bold(b))
    r = b.head(ws, 2, 0, cols)
    total, no = [], 0
    for a, _ in data:
        ws.write(r, 0, f"AREA {a}", bold(b))
        r += 1
        r0 = r
        mine = [g for g in gs if g["area"] == a]
        for g in mine:
            no += 1
            v = round(loop_current(g), 2)
            g["scur"] = v if g.get("typed") else (f"=4+16*(W{r + 1}-U{r + 1})/(V{r + 1}-U{r + 1})", v)
            price = 1900 + g["cc"]
            for c, (_, names, _) in enumerate(cols):
                if names == "*":
                    ws.write(r, c, no if c == 0 else price)
                else:
                    write_cell(b, ws, r, c, g[names], g, names)
            r += 1
        ws.write(r, 1, f"Subtotal area {a}", bold(b))
        ws.write(r, 2, f"{len(mine)} gauges", bold(b))
        sums = (sum(g["vis"] for g in mine), sum(1900 + g["cc"] for g in mine))
        ws.write_formula(r, 10, f"=SUM(K{r0 + 1}:K{r})", bold(b), sums[0])
        ws.write_formula(r, 24, f"=SUM(Y{r0 + 1}:Y{r})", bold(b), sums[1])
        total.append(sums)
        r += 1
    ws.write(r, 1, "GRAND TOTAL", bold(b))
    ws.write(r, 2, f"{len(gs)} gauges", bold(b))
    ws.write(r, 10, sum(t[0] for t in total), bold(b))
    ws.write(r, 24, sum(t[1] for t in total), bold(b))
    finish(b, gs)


@book
def s19_sigla_in_quattro_celle(b: Book) -> None:
    """Tags split over four cells, Italian."""
    fl = [
        make_float("GA 880", 50, 285, 880, pmax=25, tmax=180),
        make_float("GA 935", 50, 270, 935, pmax=25, tmax=180),
        make_float("GA 720", 50, 325, 720, pmax=25, tmax=180),
        make_float("GA 1090", 50, 240, 1090, pmax=16, tmax=120),
    ]
    gs = [
        gauge("21-LG-004A", "Serbatoio olio combustibile", "Olio combustibile denso", fl[1], 1.0, 0.1, 70, 3, 120, 1500, pour=21, trace="elettrica"),
        gauge("21-LG-004B", "Serbatoio olio combustibile", "Olio combustibile denso", fl[1], 1.0, 0.1, 70, 3, 120, 1500, pour=21, trace="elettrica"),
        gauge("21-LG-011", "Accumulatore di testa", "Nafta leggera", fl[2], 0.985, 3, 45, 8, 120, 1000, pour=-60, trace="no"),
        gauge("22-LG-002", "Polmone olio lavaggio", "Olio di lavaggio", fl[0], 0.99, 1, 50, 6, 120, 900, pour=-30, trace="no"),
        gauge("22-LG-007A", "Vaschetta soda", "Soda caustica 9 %", fl[3], 1.0, 0.2, 30, 3, 80, 700, pour=-6, trace="a vapore"),
        gauge("22-LG-007B", "Polmone olio esausto", "Olio di lavaggio", fl[0], 1.01, 0.4, 45, 5, 110, 800, pour=-30, trace="no"),
    ]
    for g in gs:
        a, le, n = g["tag"].split("-")
        s = n[-1] if n[-1].isalpha() else ""
        n = n.rstrip("AB")
        g.update(
            t_area=int(a),
            t_let=le,
            t_num=n,
            t_suf=s or None,
            amb=-5,
            cmat="AISI 316L",
            lsl=round(g["vis"] * 0.15),
            lsh=round(g["vis"] * 0.85),
            aka=[f"{a}{le}{n}{s}", f"{a}-{le}-{n}-{s}".strip("-"), f"{a} {le} {n} {s}".strip(), f"{a}-{le}-{n} {s}".strip(), f"{a}{le}-{n}{s}"],
        )
    x = by_tag(gs)
    if b.faulty:
        plant_no_tracing(b, x["21-LG-004B"], "no")
        plant_switch_order(b, x["21-LG-011"], "lsl", "lsh")
        plant_offset(b, x["22-LG-002"])
        plant_float_temperature(b, x["22-LG-007A"], v=130)
        plant_magnetic_chamber(b, x["22-LG-007B"], "acciaio al carbonio A106 Gr. B")
        plant_above_design(b, x["21-LG-004A"], "op", 3.6)
    cols = [
        ("N.", "*", lambda g: gs.index(g) + 1),
        (("Sigla", "Impianto"), "t_area", None),
        (("Sigla", "Lettere"), "t_let", None),
        (("Sigla", "Numero"), "t_num", None),
        (("Sigla", "Suff."), "t_suf", None),
        ("Servizio", "svc", None),
        ("Fluido", "fluid", None),
        ("Densità alla temp.\ndi esercizio [kg/m³]", "rho", None),
        (("Esercizio", "Pressione [barg]"), "op", None),
        (("Esercizio", "Temperatura [°C]"), "ot", None),
        (("Progetto", "Pressione [barg]"), "dp", None),
        (("Progetto", "Temperatura [°C]"), "dt", None),
        ("Punto di scorrimento [°C]", "pour", None),
        ("Temp. ambiente minima [°C]", "amb", None),
        ("Tracciatura", "trace", None),
        ("Interasse attacchi [mm]", "cc", None),
        ("Campo visibile [mm]", "vis", None),
        ("Materiale camera", "cmat", None),
        (("Soglie [mm]", "LSL"), "lsl", None),
        (("Soglie [mm]", "LSH"), "lsh", None),
        (("Galleggiante", "Codice"), "part", None),
        (("Galleggiante", "Massa [g]"), "mass", None),
        (("Galleggiante", "Diametro [mm]"), "od", None),
        (("Galleggiante", "Lunghezza [mm]"), "L", None),
        (("Galleggiante", "Fondi"), "ends", always("piani")),
        (("Galleggiante", "Altezza magnete dal fondo [mm]"), "mag", None),
        (("Galleggiante", "P max [barg]"), "pmax", None),
        (("Galleggiante", "T max [°C]"), "tmax", None),
    ]
    ws = b.sheet("Elenco livelli")
    ws.write(0, 0, "ELENCO INDICATORI DI LIVELLO MAGNETICI", bold(b))
    write_list(b, ws, 2, 0, cols, gs)
    finish(b, gs)


@book
def s20_kks_81346(b: Book) -> None:
    """Power station, KKS and ISO/IEC 81346 codes, German."""
    fl = [
        make_float("KW 955", 54, 280, 955, pmax=40, tmax=220),
        make_float("KW 985", 54, 260, 985, pmax=25, tmax=150),
        make_float("KW 870", 54, 290, 870, pmax=25, tmax=150),
        make_float("KW 840", 54, 300, 840, pmax=16, tmax=120),
    ]
    gs = [
        gauge("10LAA10CL501", "Speisewasserbehälter", "Speisewasser", fl[0], liquid_density("Water", 105, 1.5) / 955, 1.5, 105, 4, 160, 2000),
        gauge("10LCA20CL501", "Hauptkondensatsammler", "Kondensat", fl[1], liquid_density("Water", 40, 0.1) / 985, 0.1, 40, 6, 100, 1200),
        gauge("10MAX10CL501", "Steuerölbehälter", "Steueröl", fl[2], 1.0, 0.05, 50, 1, 90, 600),
        gauge("10EGB10CL501", "Heizöltagesbehälter", "Heizöl EL", fl[3], 0.99, 0.05, 30, 1, 60, 1000),
    ]
    g2 = [
        gauge("=20.LCN10-BL001", "Heizkondensatbehälter", "Kondensat", fl[1], liquid_density("Water", 80, 1.0) / 985, 1.0, 80, 6, 130, 1500),
        gauge("=20.MAV10-BL001", "Schmieröltank", "Schmieröl", fl[2], 0.99, 0.02, 55, 0.5, 90, 800),
        gauge("=20.EGD10-BL001", "Zündölbehälter", "Heizöl EL", fl[3], 1.0, 0.3, 30, 3, 60, 900),
    ]
    for g in gs + g2:
        g.update(cmat="1.4571", fclass="DN 25 PN 40", tp=round(g["dp"] * 1.43, 2))
        b.allow("tag-malformed", g["tag"], "power-plant code, not ISA")
    x = by_tag(gs + g2)
    if b.faulty:
        plant_offset(b, x["10MAX10CL501"])
        plant_float_pressure(b, x["10EGB10CL501"], v=17.5)
        plant_magnetic_chamber(b, x["10LCA20CL501"], "1.0345 (P235GH)")
        plant_long_range(b, x["=20.LCN10-BL001"], 150)
        plant_unlisted_float(b, x["=20.MAV10-BL001"], "KW 780")
        plant_test_pressure(b, x["=20.EGD10-BL001"], v=18.0)
        plant_above_design(b, x["10LAA10CL501"], "op", 4.5)
    ws = b.sheet("Block 10")
    ws.write(0, 0, "Niveaustandanzeiger Block 10 (Kennzeichnung nach KKS)", bold(b))
    cols = [
        ("KKS", "tag", None),
        ("Benennung", "svc", None),
        ("Medium", "fluid", None),
        ("Dichte bei Betriebstemperatur\n[kg/m³]", "rho", kg_m3(1)),
        ("Betriebsüberdruck\n[bar]", "op", None),
        ("Betriebstemperatur\n[°C]", "ot", None),
        ("Auslegungsüberdruck\n[bar]", "dp", None),
        ("Auslegungstemperatur\n[°C]", "dt", None),
        ("Prüfüberdruck\n[bar]", "tp", None),
        ("Mittenabstand\n[mm]", "cc", None),
        ("Anzeigebereich\n[mm]", "vis", None),
        ("Werkstoff Standrohr", "cmat", None),
        ("Flansche", "fclass", None),
        ("Schwimmer", "part", None),
    ]
    write_list(b, ws, 2, 0, cols, gs)
    w2 = b.sheet("Block 20")
    w2.write(0, 0, "Niveaustandanzeiger Block 20 (Referenzkennzeichen nach DIN EN IEC 81346)", bold(b))
    order = [1, 0, 2, 3, 13, 9, 10, 11, 12, 4, 6, 8, 5, 7]
    write_list(b, w2, 2, 1, [("Referenzkennzeichen" if cols[i][1] == "tag" else cols[i][0], *cols[i][1:]) for i in order], g2)
    float_sheet(
        b,
        "Schwimmerliste",
        fl,
        [
            ("Schwimmer", "part", None),
            ("Masse [g]", "mass", None),
            ("Außendurchmesser [mm]", "od", None),
            ("Länge [mm]", "L", None),
            ("Böden", "ends", always("eben")),
            ("Magnetlage von unten [mm]", "mag", None),
            ("max. Überdruck [bar]", "pmax", None),
            ("max. Temperatur [°C]", "tmax", None),
        ],
    )
    for g in gs + g2:
        count_float_cells(b, g, "mass", "od", "L", "mag", "pmax", "tmax")
    finish(b, gs + g2)


@book
def s21_plants_different_columns(b: Book) -> None:
    """Several plants on one sheet, columns in another order and unit in each."""
    fl = [
        make_float("PM-830", 51, 295, 830, pmax=35, tmax=200),
        make_float("PM-990", 51, 250, 990, pmax=35, tmax=160),
        make_float("PM-700", 54, 330, 700, pmax=28, tmax=200),
    ]
    north = [
        gauge("N-LG-01", "Feed drum", "Diesel", fl[0], 1.0, 3, 60, 8, 140, 1000),
        gauge("N-LG-02", "Sump", "Glycol 10 %", fl[1], 1.015, 0.3, 40, 4, 100, 800),
        gauge("N-LG-03", "Reflux drum", "Naphtha", fl[2], 0.99, 5, 45, 11, 120, 1200),
    ]
    south = [
        gauge("S-LG-21", "Reboiler", "Naphtha", fl[2], 0.985, 6.9, 110, 10.3, 150, 914.4),
        gauge("S-LG-22", "Flush pot", "Diesel", fl[0], 1.01, 1.4, 40, 5.2, 93, 609.6),
        gauge("S-LG-23", "Rundown drum", "Diesel", fl[0], 0.99, 0.7, 35, 3.4, 93, 1219.2),
    ]
    east = [
        gauge("E-LG-51", "Stripper sump", "Glycol 10 %", fl[1], 1.01, 0.8, 90, 6, 140, 700),
        gauge("E-LG-52", "Diesel day tank", "Diesel", fl[0], 1.0, 0.05, 30, 2, 80, 1500),
        gauge("E-LG-53", "Light ends drum", "Naphtha", fl[2], 1.01, 4, 40, 9, 110, 900),
    ]
    gs = north + south + east
    for g in gs:
        g.update(cmat="A312 TP304L", grp="2.3", fclass=150)
    for g in north:
        g["fclass"] = 300
    x = by_tag(gs)
    if b.faulty:
        plant_offset(b, x["N-LG-01"])
        plant_flange_rating(b, x["S-LG-21"], 16.5)
        plant_long_range(b, x["S-LG-22"], 101.6)
        plant_float_temperature(b, x["E-LG-51"], v=175)
        plant_float_pressure(b, x["E-LG-53"], v=31, ok=["flange-rating-exceeded"])
        plant_above_design(b, x["S-LG-23"], "ot", 101)
        plant_magnetic_chamber(b, x["E-LG-52"], "Carbon steel")
    C = {
        "tag": ("Tag", "tag", None),
        "svc": ("Service", "svc", None),
        "fluid": ("Fluid", "fluid", None),
        "cmat": ("Chamber", "cmat", None),
        "part": ("Float no.", "part", None),
        "fclass": ("Class", "fclass", None),
        "ends": ("Float ends", "ends", None),
    }
    si = {
        "rho": ("Density kg/m³", "rho", None),
        "op": ("Op. press. barg", "op", None),
        "ot": ("Op. temp. °C", "ot", None),
        "dp": ("Design press. barg", "dp", None),
        "dt": ("Design temp. °C", "dt", None),
        "cc": ("C-C mm", "cc", None),
        "vis": ("Visible mm", "vis", None),
        "mass": ("Float mass g", "mass", None),
        "od": ("Float OD mm", "od", None),
        "L": ("Float length mm", "L", None),
        "mag": ("Magnet height mm", "mag", None),
        "pmax": ("Float max. barg", "pmax", None),
        "tmax": ("Float max. °C", "tmax", None),
    }
    us = {
        "rho": ("S.G. at oper. temp.", "rho", sg60()),
        "op": ("Oper. press. psig", "op", psig()),
        "ot": ("Oper. temp. °F", "ot", degF()),
        "dp": ("Design press. psig", "dp", psig()),
        "dt": ("Design temp. °F", "dt", degF()),
        "cc": ("Center to center in.", "cc", inch()),
        "vis": ("Visible in.", "vis", inch()),
        "mass": ("Float weight lb", "mass", pound(4)),
        "od": ("Float O.D. in.", "od", inch(3)),
        "L": ("Float length in.", "L", inch(3)),
        "mag": ("Magnet above float bottom in.", "mag", inch(3)),
        "pmax": ("Float rating psig", "pmax", psig()),
        "tmax": ("Float rating °F", "tmax", degF()),
    }
    mp = {
        "rho": ("Density g/cm³", "rho", g_cm3(4)),
        "op": ("Working pressure MPa(g)", "op", mpag(3)),
        "ot": ("Working temperature °C", "ot", None),
        "dp": ("Design pressure MPa(g)", "dp", mpag(2)),
        "dt": ("Design temperature °C", "dt", None),
        "cc": ("Distance of tappings cm", "cc", cm()),
        "vis": ("Indicating length cm", "vis", cm()),
        "mass": ("Float mass kg", "mass", kilogram()),
        "od": ("Float diameter cm", "od", cm(2)),
        "L": ("Float length cm", "L", cm(2)),
        "mag": ("Height of magnet in float cm", "mag", cm(2)),
        "pmax": ("Float permitted MPa(g)", "pmax", mpag(2)),
        "tmax": ("Float permitted °C", "tmax", None),
    }
    ws = b.sheet("All plants")
    ws.write(0, 0, "SURVEY OF MAGNETIC LEVEL GAUGES - ALL SITES", b.fmt(bold=True, font_size=13))
    r = 2
    for name, part, units, order in (
        ("NORTH PLANT", north, si, "tag svc fluid rho op ot dp dt fclass cc vis cmat part mass od L ends mag pmax tmax"),
        ("SOUTH PLANT", south, us, "svc tag fclass cmat cc vis dp dt op ot fluid rho part pmax tmax mass L od mag ends"),
        ("EAST PLANT", east, mp, "part mass od L mag ends pmax tmax tag fluid rho vis cc svc ot op dt dp cmat fclass"),
    ):
        ws.write(r, 0, name, b.fmt(bold=True, bg_color="#FFE699"))
        r = write_list(b, ws, r + 1, 0, [{**C, **units}[k] for k in order.split()], part) + 2
    finish(b, gs)
