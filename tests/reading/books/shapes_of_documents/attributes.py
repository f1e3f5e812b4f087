"""A row for each characteristic of a gauge, values with their units beside them, points of a control system."""

from __future__ import annotations

from typing import Any

from tests.reading.books.shapes.common import (
    always,
    bold,
    finish,
    plant_close_switches,
    plant_lag,
    plant_narrow_bore,
    plant_reversed_densities,
    plant_switch_order,
    plant_switch_outside,
    water,
    write_cell,
    write_list,
    write_rows,
)
from tests.reading.faults import (
    plant_above_design,
    plant_current,
    plant_float_pressure,
    plant_float_temperature,
    plant_long_range,
    plant_magnetic_chamber,
    plant_offset,
    plant_sinking,
    plant_test_pressure,
    plant_unlisted_float,
    plant_urv_outside,
    plant_urv_short,
)
from tests.reading.gauges import by_tag, check_gauge, gauge, loop_current, make_float
from tests.reading.physics import liquid_density
from tests.reading.registry import book
from tests.reading.units import decimal_comma, degF, g_cm3, inch, kg_m3, kpag, mpag, ounce, psig, rounded, sg60
from tests.reading.writing import Book, count_float_cells, float_sheet


@book
def d01_handover_attributes(b: Book) -> None:
    """A row for each attribute, named and measured by two contractors in their own way; the tag on its first row only."""
    fl = [
        make_float("QF-7712", 51, 300, 806, pmax=35, tmax=180),
        make_float("QF-7719", 51, 255, 1003, pmax=35, tmax=160),
        make_float("QF-7725", 60, 280, 868, pmax=20, tmax=200, ends="hemispherical"),
    ]
    gs = [
        gauge("LG-40103", "Test separator, oil side", "Stabilised crude", fl[0], 1.0, 9.0, 48, 19, 110, 1200),
        gauge("LG-40107", "Closed drain drum", "Oily water", fl[1], 0.997, 0.2, 35, 5, 95, 900),
        gauge("LG-40111", "Flare KO drum", "Wet condensate", fl[0], 0.99, 0.4, 30, 7, 120, 1600, vis=1500),
        gauge("LG-41002", "Seal oil header tank", "Seal oil", fl[2], 1.0, 3.8, 55, 11, 110, 600),
        gauge("LG-41005", "Lube oil reservoir GT-2", "Lube oil ISO 46", fl[2], 0.99, 0.1, 60, 2, 100, 800),
        gauge("LG-41009", "Wash water break tank", "Wash water", fl[1], water(42, 0.3) / 1003, 0.3, 42, 4, 90, 1000),
    ]
    for i, g in enumerate(gs):
        g.update(cmat="SS 316L", slev=g["vis"] * [0.5, 0.25, 0.5, 0.75, 0.5, 0.4][i])
        g["scur"] = loop_current(g)
    x = by_tag(gs)
    if b.faulty:
        plant_offset(b, x["LG-41005"])
        plant_magnetic_chamber(b, x["LG-40107"], "A106-B")
        plant_current(b, x["LG-40111"], -0.65)
        plant_long_range(b, x["LG-41009"], 140)
        x["LG-41009"]["scur"] = loop_current(x["LG-41009"])
        plant_unlisted_float(b, x["LG-40103"], "QF-7721")
    first: list[tuple[str, str, str, Any]] = [
        ("Duty", "svc", "", None),
        ("Fluid handled", "fluid", "", None),
        ("Sp. density at op. temp.", "rho", "kg/m3", kg_m3()),
        ("Press., operating", "op", "barg", None),
        ("Temp., operating", "ot", "deg C", None),
        ("Press., design", "dp", "barg", None),
        ("Temp., design", "dt", "deg C", None),
        ("Chamber MOC", "cmat", "", None),
        ("Nozzle CL to CL", "cc", "mm", None),
        ("Window, visible", "vis", "mm", None),
        ("Float fitted (part no.)", "part", "", None),
        ("Txr 4 mA at", "lrv", "mm", None),
        ("Txr 20 mA at", "urv", "mm", None),
        ("FAT check point", "slev", "mm", rounded(lambda v: v, 0)),
        ("FAT check point output", "scur", "mA", None),
    ]
    second: list[tuple[str, str, str, Any]] = [
        ("Float part number", "part", "n/a", None),
        ("Service", "svc", "n/a", None),
        ("Medium", "fluid", "n/a", None),
        ("Operating Density", "rho", "g/cc", g_cm3(4)),
        ("Design Pressure", "dp", "kPa(g)", kpag()),
        ("Design Temperature", "dt", "°C", None),
        ("Normal Operating Pressure", "op", "kPa(g)", kpag()),
        ("Normal Operating Temperature", "ot", "°C", None),
        ("Material - chamber", "cmat", "n/a", None),
        ("Centre-to-Centre", "cc", "mm", None),
        ("Visible Length", "vis", "mm", None),
        ("LRV", "lrv", "mm", None),
        ("URV", "urv", "mm", None),
        ("Level simulated at FAT", "slev", "mm", rounded(lambda v: v, 0)),
        ("Loop current read at FAT", "scur", "mA", None),
    ]
    others = {
        "LG-40107": ("PG-40120", "PRESSURE GAUGE", [("Duty", "Closed drain pump disch.", ""), ("Dial size", 100, "mm"), ("Range, upper", 10, "barg")]),
        "LG-41005": ("TW-41011", "THERMOWELL", [("Service", "GT-2 lube oil", "n/a"), ("Insertion Length", 230, "mm"), ("Design Temperature", 120, "°C")]),
    }
    ws = b.sheet("Attributes")
    ws.set_column(0, 1, 16)
    ws.set_column(2, 3, 28)
    ws.write(0, 0, "Handover attributes, package 4 (merged returns of both contractors, not yet harmonised)", bold(b))
    for c, t in enumerate(["Tag", "Instrument", "Attribute", "Value as returned", "UoM", "Ret."]):
        ws.write(2, c, t, b.fmt(bold=True, bottom=2))
    r = 3
    for i, g in enumerate(gs):
        for j, (label, name, unit, fn) in enumerate(first if i < 3 else second):
            if j == 0:
                write_cell(b, ws, r, 0, g["tag"], g, "tag", bold=True)
                ws.write(r, 1, "MAG. LEVEL GAUGE")
            ws.write(r, 2, label)
            write_cell(b, ws, r, 3, fn(g[name]) if fn else g[name], g, name)
            ws.write(r, 4, unit)
            ws.write(r, 5, "A" if i < 3 else "B")
            r += 1
        if g["tag"] in others:
            tag, kind, rows = others[g["tag"]]
            for j, row in enumerate(rows):
                if j == 0:
                    ws.write(r, 0, tag, bold(b))
                    ws.write(r, 1, kind)
                for c, v in enumerate(row):
                    ws.write(r, 2 + c, v)
                r += 1
    cols = [
        ("Float part no.", "part", None),
        ("Body OD, mm", "od", None),
        ("Length o/a, mm", "L", None),
        ("End form", "ends", None),
        ("Dry weight, g", "mass", None),
        ("Magnet centre from lower end, mm", "mag", None),
        ("Rated to barg", "pmax", None),
        ("Rated to °C", "tmax", None),
    ]
    float_sheet(b, "Floats", fl, cols, title="Floats, package 4")
    for g in gs:
        count_float_cells(b, g, "mass", "od", "L", "mag", "pmax", "tmax")
    finish(b, gs)


@book
def d02_kenmerken_export(b: Book) -> None:
    """Dutch: the characteristics of a maintenance system under codes, which another sheet explains."""
    fl = [
        make_float("VL-085-T", 54, 295, 850, pmax=16, tmax=160),
        make_float("VL-099-T", 54, 260, 990, pmax=16, tmax=160),
        make_float("VL-121-T", 54, 225, 1210, pmax=10, tmax=120),
    ]
    gs = [
        gauge("12-LG-0301", "Smeerolietank compressor K-3", "Smeerolie", fl[0], 1.0, 0.1, 50, 2, 100, 700),
        gauge("12-LG-0302", "Dieseltank noodaggregaat", "Diesel", fl[0], 0.985, 0.1, 20, 1.5, 60, 1500, vis=1400),
        gauge("12-LG-0305", "Loogdoseervat", "Natronloog 20 %", fl[2], 1.0, 0.2, 35, 4, 80, 900),
        gauge("12-LG-0306", "Condensaatvat", "Condensaat", fl[1], water(62, 1.5) / 990, 1.5, 62, 6, 150, 800),
        gauge("12-LG-0309", "Proceswaterbuffer", "Proceswater", fl[1], 1.005, 0.8, 30, 5, 90, 1200),
        gauge("12-LG-0310", "Spuitank", "Afvalwater", fl[1], 1.01, 0.1, 35, 2.5, 80, 1000),
    ]
    for i, g in enumerate(gs):
        g.update(cmat="1.4404", x_obj=10044020 + 37 * i)
    x = by_tag(gs)
    if b.faulty:
        plant_sinking(b, x["12-LG-0302"])
        plant_above_design(b, x["12-LG-0305"], "op", 4.6)
        plant_float_temperature(b, x["12-LG-0306"], 175)
        plant_urv_outside(b, x["12-LG-0309"], 90)
        plant_magnetic_chamber(b, x["12-LG-0310"], "P265GH")
    codes: list[tuple[str, str, str, Any, str]] = [
        ("LGM_OMSCHR", "svc", "", None, "Omschrijving van de plaats"),
        ("LGM_MEDIUM", "fluid", "", None, "Medium"),
        ("LGM_RHO_B", "rho", "kg/m3", kg_m3(1), "Dichtheid van het medium bij bedrijfstemperatuur"),
        ("LGM_P_B", "op", "barg", None, "Bedrijfsdruk (overdruk)"),
        ("LGM_T_B", "ot", "°C", None, "Bedrijfstemperatuur"),
        ("LGM_P_O", "dp", "barg", None, "Ontwerpdruk (overdruk)"),
        ("LGM_T_O", "dt", "°C", None, "Ontwerptemperatuur"),
        ("LGM_MAT_K", "cmat", "", None, "Materiaal van de meetkamer"),
        ("LGM_HOH", "cc", "mm", None, "Hart-op-hart afstand van de aansluitingen"),
        ("LGM_ZICHT", "vis", "mm", None, "Zichtbare lengte van de aanwijzer"),
        ("LGM_I04", "lrv", "mm", None, "Niveau bij 4 mA, boven hart onderste aansluiting"),
        ("LGM_I20", "urv", "mm", None, "Niveau bij 20 mA, boven hart onderste aansluiting"),
        ("LGM_VL_TYPE", "part", "", None, "Type vlotter"),
        ("LGM_VL_M", "mass", "g", None, "Massa van de vlotter"),
        ("LGM_VL_D", "od", "mm", None, "Buitendiameter van de vlotter"),
        ("LGM_VL_L", "L", "mm", None, "Totale lengte van de vlotter"),
        ("LGM_VL_E", "ends", "", always("VLAK"), "Vorm van de uiteinden van de vlotter (VLAK, BOL, ELLIPS)"),
        ("LGM_VL_H", "mag", "mm", None, "Hoogte van de magneet boven onderkant vlotter"),
        ("LGM_VL_PMX", "pmax", "barg", None, "Maximale druk van de vlotter (overdruk)"),
        ("LGM_VL_TMX", "tmax", "°C", None, "Maximale temperatuur van de vlotter"),
    ]
    ws = b.sheet("KENM_2025W48")
    ws.set_column(1, 3, 15)
    for c, t in enumerate(["OBJ", "PLAATS", "KLASSE", "KENMERK", "WAARDE", "EENH", "GEW_OP", "GEW_DOOR"]):
        ws.write(0, c, t, bold(b))
    r = 1
    for i, g in enumerate(gs):
        for code, name, unit, fn, _ in codes:
            ws.write(r, 0, g["x_obj"])
            write_cell(b, ws, r, 1, g["tag"], g, "tag")
            ws.write(r, 2, "LG_MAGN")
            ws.write(r, 3, code)
            v = decimal_comma(fn)(g[name]) if fn else g[name]
            write_cell(b, ws, r, 4, decimal_comma(lambda w: w)(v) if isinstance(v, float) else v, g, name)
            ws.write(r, 5, unit)
            ws.write(r, 6, f"{3 + i:02d}-11-2025")
            ws.write(r, 7, "mvdh" if i % 2 else "pkl")
            r += 1
    ws.autofilter(0, 0, r - 1, 7)
    ws = b.sheet("Uitleg")
    ws.set_column(1, 1, 60)
    ws.write(0, 0, "Klasse LG_MAGN - magnetische niveaustandaanwijzer", bold(b))
    for c, t in enumerate(["Kenmerk", "Betekenis", "Eenheid", "Soort"]):
        ws.write(2, c, t, bold(b))
    for i, (code, _, unit, _, meaning) in enumerate(codes):
        for c, v in enumerate([code, meaning, unit, "NUM" if unit else "TXT"]):
            ws.write(3 + i, c, v)
    b.allow("number-as-text")
    finish(b, gs)


@book
def d03_wartosci_i_jednostki(b: Book) -> None:
    """Polish: each value with its unit in the next column, and the units not the same in every row."""
    fl = [
        make_float("PM52-080", 52, 300, 802, pmax=25, tmax=180),
        make_float("PM52-098", 52, 260, 980, pmax=25, tmax=180),
        make_float("PM52-104", 52, 250, 1042, pmax=16, tmax=150),
    ]
    gs = [
        gauge("LG-611", "Zbiornik oleju napędowego B-61", "Olej napędowy", fl[0], 1.015, 0.1, 25, 2, 60, 1600, mu=4.5, pu=0, lu=1),
        gauge("LG-612", "Separator B-62", "Frakcja naftowa", fl[0], 0.99, 6.2, 60, 14, 120, 900, mu=0.7, pu=1, lu=0),
        gauge("LG-613", "Zbiornik kondensatu B-63", "Kondensat", fl[1], water(70, 2.1) / 980, 2.1, 70, 8, 160, 700, mu=0.4, pu=1, lu=0),
        gauge("LG-614", "Zbiornik roztworu aminy B-64", "MDEA 45 %", fl[2], 0.985, 1.8, 55, 9, 120, 1000, mu=4.8, pu=0, lu=0),
        gauge("LG-615", "Zbiornik glikolu B-65", "Glikol 40 %", fl[2], 1.0, 0.3, 40, 3, 90, 1200, mu=2.6, pu=0, lu=1),
        gauge("LG-616", "Zbiornik wód procesowych B-66", "Woda procesowa", fl[1], 1.005, 0.5, 45, 5, 100, 800, mu=0.6, pu=1, lu=0),
    ]
    for g in gs:
        g.update(cmat="1.4571", bore=62, tp=round(g["dp"] * 1.5, 2))
        check_gauge(g)
    x = by_tag(gs)
    if b.faulty:
        plant_offset(b, x["LG-612"])
        plant_narrow_bore(b, x["LG-614"], 49)
        plant_lag(b, x["LG-611"], 900)
        plant_test_pressure(b, x["LG-615"], 17.5)
        plant_float_pressure(b, x["LG-616"], 28)
    bars = decimal_comma(rounded(lambda v: v, 2))
    megas = decimal_comma(mpag(3))
    tens = decimal_comma(rounded(lambda v: v / 1000, 2))

    def press(name: str) -> Any:
        return lambda g: (megas if g["pu"] else bars)(g[name])

    def long(name: str) -> Any:
        return lambda g: tens(g[name]) if g["lu"] else g[name]

    def pu(g: Any) -> str:
        return "MPa(g)" if g["pu"] else "bar(g)"

    def lu(g: Any) -> str:
        return "m" if g["lu"] else "mm"

    cols = [
        (("Poziomowskaz", ""), "tag", None),
        (("Aparat", ""), "svc", None),
        (("Medium", ""), "fluid", None),
        (("Gęstość w temp. ruchowej", "wart."), "rho", decimal_comma(kg_m3(1))),
        (("Gęstość w temp. ruchowej", "j.m."), "*x_u1", lambda g: "kg/m³"),
        (("Lepkość dyn.", "wart."), "mu", decimal_comma(lambda v: v)),
        (("Lepkość dyn.", "j.m."), "*x_u2", lambda g: "mPa·s"),
        (("Ciśn. ruchowe", "wart."), "*op", press("op")),
        (("Ciśn. ruchowe", "j.m."), "*x_u3", pu),
        (("Temp. ruchowa", "wart."), "ot", None),
        (("Temp. ruchowa", "j.m."), "*x_u4", lambda g: "°C"),
        (("Ciśn. obliczeniowe", "wart."), "*dp", press("dp")),
        (("Ciśn. obliczeniowe", "j.m."), "*x_u5", pu),
        (("Temp. obliczeniowa", "wart."), "dt", None),
        (("Temp. obliczeniowa", "j.m."), "*x_u6", lambda g: "°C"),
        (("Ciśn. próby wodnej", "wart."), "*tp", press("tp")),
        (("Ciśn. próby wodnej", "j.m."), "*x_u7", pu),
        (("Komora - materiał", ""), "cmat", None),
        (("Komora - śr. wewn.", "wart."), "bore", None),
        (("Komora - śr. wewn.", "j.m."), "*x_u8", lambda g: "mm"),
        (("Rozstaw króćców", "wart."), "*cc", long("cc")),
        (("Rozstaw króćców", "j.m."), "*x_u9", lu),
        (("Zakres widoczny", "wart."), "*vis", long("vis")),
        (("Zakres widoczny", "j.m."), "*x_u10", lu),
        (("Pływak", ""), "part", None),
    ]
    ws = b.sheet("Poziomowskazy")
    ws.write(0, 0, "Wykaz poziomowskazów magnetycznych - instalacja 6", bold(b))
    ws.write(1, 0, "rew. B, uwagi działu mechanicznego naniesiono")
    write_list(b, ws, 3, 0, cols, gs, border=1)
    ws = float_sheet(
        b,
        "Pływaki",
        fl,
        [
            ("Pływak", "part", None),
            ("Masa", "mass", decimal_comma(lambda v: v)),
            ("j.m.", "x_u1", always("g")),
            ("Średnica", "od", None),
            ("j.m.", "x_u2", always("mm")),
            ("Długość całk.", "L", None),
            ("j.m.", "x_u3", always("mm")),
            ("Dna", "ends", always("płaskie")),
            ("Magnes od spodu", "mag", decimal_comma(lambda v: v)),
            ("j.m.", "x_u4", always("mm")),
            ("Ciśn. dop.", "pmax", None),
            ("j.m.", "x_u5", always("bar(g)")),
            ("Temp. dop.", "tmax", None),
            ("j.m.", "x_u6", always("°C")),
        ],
    )
    b.allow("number-as-text")
    for g in gs:
        count_float_cells(b, g, "mass", "od", "L", "mag", "pmax", "tmax")
    finish(b, gs)


@book
def d04_lower_and_upper_limits(b: Book) -> None:
    """Characteristics with a lower limit, a usual value and an upper limit."""
    fl = [
        make_float("T-0447", 50, 310, 757, pmax=28, tmax=190),
        make_float("T-0451", 50, 265, 968, pmax=28, tmax=190),
        make_float("T-0458", 50, 240, 1105, pmax=20, tmax=130),
    ]
    gs = [
        gauge("LG-0720", "Preflash drum boot", "Sour water", fl[1], 1.01, 4.0, 70, 9, 150, 700),
        gauge("LG-0721", "Preflash drum", "Light gas oil", fl[0], 1.005, 4.0, 75, 9, 150, 1300),
        gauge("LG-0733", "Chemical tote", "Caustic 10 %", fl[2], 0.99, 0.1, 30, 2, 80, 900),
        gauge("LG-0735", "Quench pot", "Quench liquor", fl[1], 1.0, 1.2, 80, 6, 160, 500),
        gauge("LG-0736", "Tempered oil expansion", "Gas oil, treated", fl[0], 1.0, 2.5, 90, 7, 170, 1100),
    ]
    for g in gs:
        v = g["vis"]
        g.update(cmat="TP316L", rho_min=round(g["rho"] * 0.988), rho_max=round(g["rho"] * 1.011), dt_min=-5, vlo=0)
        g.update(
            op_min=round(g["op"] * 0.8, 2),
            op_max=round(g["op"] * 1.15 + 0.05, 2),
            ot_min=g["ot"] - 12,
            ot_max=g["ot"] + 10,
            lsl=round(v * 0.12),
            lsh=round(v * 0.88),
        )
        check_gauge(g)
    x = by_tag(gs)
    if b.faulty:
        plant_reversed_densities(b, x["LG-0721"])
        g = x["LG-0733"]
        g["op_max"] = 2.4
        b.fault("operating-exceeds-design", g["tag"], ["op_max", "dp"], "upper limit of operating 2.4 > design 2 barg")
        plant_urv_short(b, x["LG-0736"], 150)
        plant_float_temperature(b, x["LG-0735"], 205)
        plant_switch_order(b, x["LG-0720"], "lsl", "lsh")
    rows: list[tuple[str, str, str, str, str]] = [
        ("Liquid density", "rho_min", "rho", "rho_max", "kg/m3"),
        ("Pressure, operating", "op_min", "op", "op_max", "barg"),
        ("Temperature, operating", "ot_min", "ot", "ot_max", "°C"),
        ("Pressure, design", "", "", "dp", "barg"),
        ("Temperature, design", "dt_min", "", "dt", "°C"),
        ("Connections c/c", "", "cc", "", "mm"),
        ("Indication, above lower conn.", "vlo", "", "vis", "mm"),
        ("Transmitter span, above lower conn.", "lrv", "", "urv", "mm"),
        ("Level alarms, above lower conn.", "lsl", "", "lsh", "mm"),
    ]
    ws = b.sheet("Limits")
    ws.set_column(0, 1, 18)
    ws.set_column(2, 2, 34)
    ws.write(0, 0, "Level gauges: limits of use", b.fmt(bold=True, font_size=13))
    ws.write(1, 0, "Blank = no limit on that side. Alarm limits: lower = LOW, upper = HIGH")
    for c, t in enumerate(["Tag", "Text", "Characteristic", "Lower limit", "Usual", "Upper limit", "Unit", "Checked"]):
        ws.write(3, c, t, b.fmt(bold=True, border=1, bg_color="#FCE4D6"))
    r = 4
    for g in gs:
        for name, label in (("svc", "Service"), ("fluid", "Contents"), ("cmat", "Chamber material"), ("part", "Float")):
            write_cell(b, ws, r, 0, g["tag"], g, "tag")
            ws.write(r, 2, label)
            write_cell(b, ws, r, 1 if name == "svc" else 4, g[name], g, name)
            ws.write(r, 7, "x")
            r += 1
        for label, low, usual, high, unit in rows:
            write_cell(b, ws, r, 0, g["tag"], g, "tag")
            ws.write(r, 2, label)
            for c, name in enumerate((low, usual, high)):
                if name:
                    write_cell(b, ws, r, 3 + c, g[name], g, name)
            ws.write(r, 6, unit)
            ws.write(r, 7, "x" if label[0] != "L" else "")
            r += 1
    float_sheet(
        b,
        "Float types",
        fl,
        [
            ("Float", "part", None),
            ("Weight [g]", "mass", None),
            ("Diameter [mm]", "od", None),
            ("Length over all [mm]", "L", None),
            ("Ends", "ends", None),
            ("Magnet from bottom of float [mm]", "mag", None),
            ("Upper limit pressure [barg]", "pmax", None),
            ("Upper limit temperature [°C]", "tmax", None),
        ],
    )
    for g in gs:
        count_float_cells(b, g, "mass", "od", "L", "mag", "pmax", "tmax")
    finish(b, gs)


@book
def d05_points_beside_gauges(b: Book) -> None:
    """US units: the gauges at the left of the sheet, the control system's points at the right of it."""
    fl = [
        make_float("22-F-1", 50.8, 304.8, 765, pmax=34, tmax=176.7),
        make_float("22-F-2", 50.8, 254, 985, pmax=34, tmax=176.7),
        make_float("22-F-3", 57.15, 228.6, 1078, pmax=20, tmax=148.9),
    ]
    fl.append(make_float("22-F-4", 50.8, 292.1, 838, pmax=20, tmax=176.7))
    gs = [
        gauge("LG-2210", "Solvent day tank", "Toluene", fl[3], liquid_density("Toluene", 48.9, 1.4) / 838, 1.4, 48.9, 6.9, 121.1, 914.4),
        gauge("LG-2214", "Reactor feed surge", "Mixed naphtha", fl[0], 1.0, 5.5, 54.4, 13.8, 121.1, 1219.2),
        gauge("LG-2215", "Reactor effluent sep.", "Mixed naphtha", fl[0], 0.985, 8.3, 43.3, 17.2, 121.1, 1016),
        gauge("LG-2221", "Wash drum", "Wash water", fl[1], 1.0, 2.8, 48.9, 10.3, 121.1, 762),
        gauge("LG-2230", "Amine surge", "Lean amine", fl[2], 0.99, 0.7, 48.9, 5.2, 121.1, 1219.2),
        gauge("LG-2231", "Amine sump pot", "Rich amine", fl[2], 1.0, 0.3, 51.7, 3.4, 121.1, 609.6),
    ]
    for g in gs:
        v = g["vis"]
        g.update(
            ltag=g["tag"].replace("G", "T"),
            cmat="316L",
            lsll=round(v * 0.1 / 25.4) * 25.4,
            lsl=round(v * 0.2 / 25.4) * 25.4,
            lsh=round(v * 0.8 / 25.4) * 25.4,
            lshh=round(v * 0.9 / 25.4) * 25.4,
        )
        check_gauge(g)
    x = by_tag(gs)
    if b.faulty:
        plant_switch_outside(b, x["LG-2215"], "lshh", 76.2)
        plant_switch_order(b, x["LG-2221"], "lsll", "lsl")
        plant_urv_outside(b, x["LG-2214"], 127)
        plant_close_switches(b, x["LG-2230"], "lsh", "lshh", 12.7)
        plant_magnetic_chamber(b, x["LG-2231"], "CS A106B")
        plant_float_pressure(b, x["LG-2210"], 24.13)
    cols = [
        ("TAG", "tag", None),
        ("WHERE", "svc", None),
        ("LIQUID", "fluid", None),
        ("SP GR AT OPER TEMP (60F WATER = 1)", "rho", sg60()),
        ("OPER PSIG", "op", psig()),
        ("OPER DEG F", "ot", degF()),
        ("DESIGN PSIG", "dp", psig()),
        ("DESIGN DEG F", "dt", degF()),
        ("CHMBR", "cmat", None),
        ("CTR-CTR IN", "cc", inch(1)),
        ("VISIBLE IN", "vis", inch(1)),
        ("FLOAT", "part", None),
        ("XMTR", "ltag", None),
    ]
    points = [
        ("POINT", "*x_point", lambda g: g["tag"].replace("LG", "LI")),
        ("DESCRIPTOR", "*x_desc", lambda g: g["svc"].upper() + " LVL"),
        ("FIELD DEVICE", "ltag", None),
        ("EU", "*x_u1", lambda g: "IN"),
        ("EU @ 0%", "lrv", inch(1)),
        ("EU @ 100%", "urv", inch(1)),
        ("LL", "lsll", inch(1)),
        ("LO", "lsl", inch(1)),
        ("HI", "lsh", inch(1)),
        ("HH", "lshh", inch(1)),
        ("PRI", "*x_pri", lambda g: "U"),
    ]
    ws = b.sheet("AREA 22")
    ws.set_column(0, 30, 11)
    ws.write(0, 0, "MAGNETIC GAUGES  AREA 22", bold(b))
    ws.write(0, 15, "ANALOG POINTS, NODE 7, AS BUILT", bold(b))
    write_list(b, ws, 2, 0, cols, gs)
    b.head(ws, 2, 15, points)
    order = [gs[i] for i in (3, 4, 5, 0, 1, 2)]
    r = write_rows(b, ws, 3, 15, points, order[:3])
    for c, v in enumerate(["PI-2216", "REACTOR EFFLUENT SEP. PRESS", "PT-2216", "PSIG", 0, 300, None, None, 210, 240, "H"]):
        ws.write(r, 15 + c, v)
    r = write_rows(b, ws, r + 1, 15, points, order[3:])
    for c, v in enumerate(["TI-2217", "REACTOR FEED TEMP", "TT-2217", "DEGF", 0, 400, None, 90, 180, None, "L"]):
        ws.write(r, 15 + c, v)
    float_sheet(
        b,
        "FLOATS",
        fl,
        [
            ("FLOAT", "part", None),
            ("WT OZ", "mass", ounce(2)),
            ("OD IN", "od", inch(2)),
            ("LGTH IN", "L", inch(2)),
            ("ENDS", "ends", always("FLAT")),
            ("MAGNET UP FROM BTM IN", "mag", inch(2)),
            ("MAX PSIG", "pmax", psig()),
            ("MAX DEG F", "tmax", degF()),
        ],
    )
    for g in gs:
        count_float_cells(b, g, "mass", "od", "L", "mag", "pmax", "tmax")
    finish(b, gs)
