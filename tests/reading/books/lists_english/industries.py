"""Lists as trades write them: building services, boilers, tanks, desalination, mining, pulp, food, ships, sulphur."""

from __future__ import annotations

from tests.reading.books.lists_english.common import (
    FLOAT_COLUMNS,
    add_test_pressures,
    allow_boiling,
    check_sound,
    finish,
    heading_rows,
    note_lines,
    plant_clear_offset,
    plant_close_switches,
    plant_exchanged_float,
    plant_exchanged_float_that_sinks,
    plant_hot_tracing,
    plant_lag,
    plant_malformed_tag,
    plant_narrow_bore,
    plant_no_tracing,
    plant_reversed_densities,
    plant_switch_order,
    plant_switch_outside,
    possible_offsets,
    same_cell,
    section_row,
    set_values,
    shown_tag,
    title_lines,
)
from tests.reading.faults import (
    plant_above_design,
    plant_float_pressure,
    plant_float_temperature,
    plant_long_range,
    plant_magnetic_chamber,
    plant_unlisted_float,
)
from tests.reading.gauges import by_tag, gauge, make_float
from tests.reading.physics import flange_rating, liquid_density, reading_offset, saturation_temperature, vapour_density
from tests.reading.registry import book
from tests.reading.units import Converter, barg, degC, degF, g_cm3, inch, kg_m3, kpag, mbarg, mm, psig
from tests.reading.writing import Book, count_float_cells, float_sheet


@book
def e10_hvac_plant_room_schedule(b: Book) -> None:
    """Building services, UK: plant-room schedule, PS and TS, m head beside, water at several temperatures."""
    fl = [
        make_float(p, 48, ln, rho, pmax=pm, tmax=tm, mat="316L")
        for p, ln, rho, pm, tm in (
            ("HV-100", 240, 1000, 16, 110),
            ("HV-097", 250, 972, 16, 140),
            ("HV-094", 255, 940, 25, 180),
            ("HV-103", 235, 1033, 16, 110),
            ("HV-084", 285, 842, 10, 90),
        )
    ]

    def w(t: float, p: float) -> float:
        return liquid_density("Water", t, p)

    gs = [
        gauge("LG-B1-01", "CHW buffer vessel", "Water", fl[0], w(6, 2.5) / 1000, 2.5, 6, 6, 50, 1200, pure="Water"),
        gauge("LG-B1-02", "LTHW buffer vessel", "Water", fl[1], w(80, 3) / 972, 3, 80, 6, 110, 1200, pure="Water"),
        gauge("LG-B1-03", "MTHW expansion vessel", "Water", fl[2], w(125, 6) / 940, 6, 125, 10, 170, 1000, pure="Water"),
        gauge("LG-B1-04", "Condensate receiver", "Water", fl[1], w(75, 0.05) / 972, 0.05, 75, 1, 120, 700, pure="Water"),
        gauge("LG-R1-01", "Glycol make-up tank", "Propylene glycol 30 %", fl[3], 0.995, 0.02, 20, 1, 60, 800),
        gauge("LG-R1-02", "Glycol expansion vessel", "Propylene glycol 30 %", fl[3], 1.0, 2, 12, 6, 60, 900),
        gauge("LG-G1-01", "Gas oil day tank", "Gas oil", fl[4], 1.0, 0.02, 15, 0.5, 60, 1000),
        gauge("LG-G1-02", "Softened water tank", "Water", fl[0], w(15, 0.05) / 1000, 0.05, 15, 1, 60, 1500, pure="Water"),
    ]
    set_values(
        gs,
        x_room=["Basement B1", "Basement B1", "Basement B1", "Basement B1", "Roof plant", "Roof plant", "Generator room", "Generator room"],
        x_flow=[22, 18, 12, 1.4, None, 0.6, None, 2],
        x_dn=[150, 125, 100, 50, 25, 50, 25, 50],
        x_head=[25, 25, 40, 3, 8, 12, 2, 4],
        cmat="304 st. st.",
        x_clause="Clause 4.7.2",
    )
    add_test_pressures(gs)
    check_sound(gs)
    x = by_tag(gs)
    if b.faulty:
        g = x["LG-B1-03"]
        g["rho"] = 1000
        o = possible_offsets(g["f"], 1000, g, False, False)
        assert abs(o[0]) > 10 and 1000 / w(125, 6) > 1.04
        b.fault(
            "density-not-at-operating-conditions",
            g["tag"],
            ["rho", "ot"],
            f"water at 125 degC: {w(125, 6):.0f}",
            ok=["offset-exceeds-tolerance", "design-density-mismatch"],
        )
        plant_above_design(b, x["LG-B1-02"], "op", 6.8)
        plant_float_pressure(b, x["LG-R1-02"], v=17.5)
        plant_exchanged_float_that_sinks(b, x["LG-G1-01"], make_float("HV-130", 48, 200, 1300, pmax=16, tmax=110, mat="316L"))
        fl.append(x["LG-G1-01"]["f"])
        plant_long_range(b, x["LG-G1-02"], 250)
        plant_magnetic_chamber(b, x["LG-R1-01"], "Mild steel")
        g = x["LG-B1-04"]
        g.update(ot=99, rho=round(w(99, 0.05), 1))
        assert saturation_temperature("Water", 0.05) - 99 < 3.5
        b.fault("fluid-boils-in-chamber", g["tag"], ["ot", "op", "fluid"], f"water at 0.05 barg boils at {saturation_temperature('Water', 0.05):.0f} degC")
    ws = b.sheet("Level gauges")
    r = title_lines(b, ws, "SCHEDULE OF MAGNETIC LEVEL GAUGES", "Mechanical services - plant rooms B1, G1, R1", "Drawing ref. M-5701 Rev T3")
    cols = [
        (("Ref.", ""), "tag", None),
        (("Plant room", ""), "x_room", None),
        (("Plant item", ""), "svc", None),
        (("Spec. clause", ""), "x_clause", None),
        (("Medium", ""), "fluid", None),
        (("System flow", "l/s"), "x_flow", None),
        (("Pipe size", "DN"), "x_dn", None),
        (("Static head", "m"), "x_head", None),
        (("Density at working temp.", "kg/m³"), "rho", kg_m3(1)),
        (("Working pressure", "bar(g)"), "op", barg(2)),
        (("Working temp.", "°C"), "ot", None),
        (("Design pressure PS", "bar(g)"), "dp", None),
        (("Design temp. TS", "°C"), "dt", None),
        (("Hydraulic test", "bar(g)"), "tp", None),
        (("Centres", "mm"), "cc", None),
        (("Visible length", "mm"), "vis", None),
        (("Chamber", ""), "cmat", None),
        (("Float", ""), "part", None),
    ]
    r = heading_rows(b, ws, r, cols, "across")
    for g in gs:
        b.row(ws, r, 0, cols, g)
        r += 1
    note_lines(b, ws, r + 1, ["Fix gauges plumb, isolating valves by the mechanical contractor.", "Static head is that of the system, not of the vessel."])
    float_sheet(b, "Floats", fl, FLOAT_COLUMNS)
    for g in gs:
        count_float_cells(b, g, "mass", "mag", "pmax", "tmax", "drho")
    finish(b, gs)


@book
def e11_boiler_house_gauge_list(b: Book) -> None:
    """Boiler house, UK: drums and deaerator at saturation, water density, steam density, safety valve set."""
    td, tda = saturation_temperature("Water", 41), saturation_temperature("Water", 0.35)
    rd, sd, rda = liquid_density("Water", td), vapour_density("Water", td), liquid_density("Water", tda)
    fl = [
        make_float("BH-DRUM", 60, 330, 795, 21, pmax=75, tmax=320, ends="hemispherical", mat="Titanium Gr.2"),
        make_float("BH-FEED", 54, 260, 952, 0, pmax=16, tmax=180, mat="316L"),
        make_float("BH-COLD", 54, 250, 985, 0, pmax=16, tmax=120, mat="316L"),
        make_float("BH-OIL", 54, 290, 935, 0, pmax=16, tmax=140, mat="316L"),
    ]
    gs = [
        gauge(
            "LG-01A",
            "Boiler 1 steam drum, left",
            "Boiler water",
            fl[0],
            rd / 795,
            41,
            round(td),
            50,
            270,
            700,
            rho_u=round(sd, 1),
            pure="Water",
            sat=1,
            fclass=600,
            x_sv=48,
        ),
        gauge(
            "LG-01B",
            "Boiler 1 steam drum, right",
            "Boiler water",
            fl[0],
            rd / 795,
            41,
            round(td),
            50,
            270,
            700,
            rho_u=round(sd, 1),
            pure="Water",
            sat=1,
            fclass=600,
            x_sv=48,
        ),
        gauge(
            "LG-02",
            "Deaerator storage",
            "Boiler feed water",
            fl[1],
            rda / 952,
            0.35,
            round(tda),
            3.5,
            150,
            1500,
            rho_u=0.8,
            pure="Water",
            sat=1,
            fclass=150,
            x_sv=3,
        ),
        gauge(
            "LG-03",
            "Hotwell",
            "Condensate",
            fl[2],
            liquid_density("Water", 65, 0.02) / 985,
            0.02,
            65,
            1,
            110,
            1200,
            rho_u=0.1,
            pure="Water",
            fclass=150,
            x_sv=0.8,
        ),
        gauge(
            "LG-04", "Softened water tank", "Water", fl[2], liquid_density("Water", 18, 0.02) / 985, 0.02, 18, 1, 60, 1800, rho_u=0, pure="Water", fclass=150
        ),
        gauge(
            "LG-05",
            "Flash vessel",
            "Condensate",
            fl[1],
            liquid_density("Water", saturation_temperature("Water", 0.7)) / 952,
            0.7,
            round(saturation_temperature("Water", 0.7)),
            4,
            160,
            600,
            rho_u=1.0,
            pure="Water",
            sat=1,
            fclass=150,
            x_sv=3.5,
        ),
        gauge("LG-06", "Heavy fuel oil day tank", "Heavy fuel oil", fl[3], 1.0, 0.02, 70, 1, 120, 1500, rho_u=0, fclass=150),
        gauge(
            "LG-07",
            "Feed tank make-up",
            "Boiler feed water",
            fl[2],
            liquid_density("Water", 85, 0.05) / 985,
            0.05,
            85,
            1,
            110,
            1300,
            rho_u=0.3,
            pure="Water",
            fclass=150,
        ),
    ]
    set_values(gs, cmat="316L", grp="2.3", x_evap=[25000, 25000, None, None, None, None, None, None], x_dn=["DN25", "DN25", "DN40"])
    check_sound(gs)
    allow_boiling(b, gs)
    x = by_tag(gs)
    if b.faulty:
        g = x["LG-02"]
        g["rho"] = 1000
        b.fault(
            "density-not-at-operating-conditions",
            g["tag"],
            ["rho", "ot"],
            f"water at {g['ot']} degC: {rda:.0f}",
            ok=["offset-exceeds-tolerance", "design-density-mismatch"],
        )
        g = x["LG-01B"]
        g["fclass"] = 300
        assert flange_rating("2.3", 300, 270) < 49 and flange_rating("2.2", 300, 270) < 49
        b.fault("flange-rating-exceeded", g["tag"], ["fclass", "dp", "cmat"], f"class 300 at 270 degC: {flange_rating('2.3', 300, 270):.1f} barg < 50")
        plant_float_temperature(b, x["LG-03"], v=135)
        plant_clear_offset(b, x["LG-06"])
        plant_above_design(b, x["LG-05"], "op", 4.6, ok=["density-not-at-operating-conditions"])
        plant_long_range(b, x["LG-04"], 120)
        plant_magnetic_chamber(b, x["LG-07"], "P235GH")
        plant_unlisted_float(b, x["LG-01A"], "BH-DRUM-S")
    ws = b.sheet("Water level gauges")
    r = title_lines(b, ws, "BOILER HOUSE No. 2 - MAGNETIC WATER LEVEL GAUGES", "Insurance inspection file 2/14")
    cols = [
        ("Item", "tag", None),
        ("Position", "svc", None),
        ("Fluid", "fluid", None),
        ("Evaporation F&A 100 °C kg/h", "x_evap", None),
        ("Working pressure bar g", "op", barg(2)),
        ("Working temperature °C", "ot", None),
        ("Liquid density kg/m³", "rho", kg_m3(0)),
        ("Steam density kg/m³", "rho_u", kg_m3(1)),
        ("Design pressure bar g", "dp", None),
        ("Design temperature °C", "dt", None),
        ("Safety valve set bar g", "x_sv", None),
        ("Pipework", "x_dn", None),
        ("Flange class (ASME)", "fclass", None),
        ("Chamber material", "cmat", None),
        ("Centres mm", "cc", None),
        ("Visible range mm", "vis", None),
        ("Float type", "part", None),
    ]
    b.table(ws, r, 0, cols, gs)
    float_sheet(
        b,
        "Float data",
        fl,
        [
            ("Float type", "part", None),
            ("Material", "fmat", None),
            ("Mass g", "mass", None),
            ("Diameter mm", "od", None),
            ("Length mm", "L", None),
            ("Ends", "ends", None),
            ("Magnet above bottom mm", "mag", None),
            ("For density kg/m³", "drho", None),
            ("Max. bar g", "pmax", None),
            ("Max. °C", "tmax", None),
        ],
    )
    for g in gs:
        count_float_cells(b, g, "mass", "mag", "pmax", "tmax", "drho")
    finish(b, gs)


@book
def e13_tank_farm_singapore(b: Book) -> None:
    """Tank farm, Singapore: density at 15 C beside that at storage temperature, mbarg, ranges x to y, ATM, bund sections."""
    fl = [
        make_float("TFM-07", 60, 340, 728, pmax=6, tmax=100),
        make_float("TFM-08", 60, 310, 828, pmax=6, tmax=100),
        make_float("TFM-09", 60, 290, 925, pmax=6, tmax=120),
        make_float("TFM-10", 60, 270, 1000, pmax=6, tmax=100),
    ]
    data = [
        ("TK-101", "Mogas 92", 0, 0.99, 2800),
        ("TK-102", "Mogas 95", 0, 1.0, 2800),
        ("TK-103", "Mogas 97", 0, 1.005, 2800),
        ("TK-104", "Full range naphtha", 0, 0.98, 2800),
        ("TK-201", "Jet A-1", 1, 0.975, 3000),
        ("TK-202", "Gas oil 10 ppm", 1, 0.995, 3000),
        ("TK-203", "Gas oil 500 ppm", 1, 1.01, 3000),
        ("TK-301", "Marine fuel oil 180", 2, 1.01, 2500),
        ("TK-302", "Marine fuel oil 380", 2, 1.02, 2500),
        ("TK-303", "Slop oil", 2, 0.985, 1500),
        ("TK-401", "Fire water make-up", 3, 0.995, 2000),
        ("TK-402", "Oily water", 3, 0.99, 1800),
    ]
    gs = [
        gauge(f"LG-{t[3:]}", f"{t} local level", fd, fl[k], m, 0, 60 if "Marine" in fd else 30, 0.02 if k < 2 else 0.1, 90 if k == 2 else 60, cc, x_tank=t)
        for i, (t, fd, k, m, cc) in enumerate(data)
    ]
    for i, g in enumerate(gs):
        t = g["ot"]
        g.update(
            r15=round(g["rho"] + (4 if "water" in g["fluid"] else (t - 15) * 0.7)),
            rho_min=round(g["rho"] * 0.993),
            rho_max=round(g["rho"] * 1.006),
            x_dia=[18, 18, 18, 12, 24][i % 5],
            x_ht=[14.6, 14.6, 14.6, 11.2, 16.4][i % 5],
            x_cap=[3500, 3500, 3500, 1200, 7000][i % 5],
            cmat="SS316",
            x_fill=[350, 350, 350, 200, 600][i % 5],
        )
        g.update(lsh=round(g["vis"] * 0.86), lshh=round(g["vis"] * 0.93), lsl=round(g["vis"] * 0.08))
    x = {g["x_tank"]: g for g in gs}
    check_sound(gs)
    for g in gs:
        g.update(op="ATM", ot=f"{g['ot'] - 4} to {g['ot'] + 3}")
    if b.faulty:
        plant_clear_offset(b, x["TK-102"])
        x["TK-102"]["r15"] = x["TK-102"]["rho"] + 10
        plant_exchanged_float(b, x["TK-302"], fl[1])
        plant_long_range(b, x["TK-203"], 180)
        g = x["TK-104"]
        plant_switch_order(b, g, "lsh", "lshh")
        plant_switch_outside(b, x["TK-401"], "lshh", 2060)
        plant_close_switches(b, x["TK-303"], "lsh", "lshh", 16)
        plant_reversed_densities(b, x["TK-201"])
        plant_float_temperature(b, x["TK-301"], v=135)
    ws = b.sheet("Tank gauges")
    r = title_lines(b, ws, "PULAU LINTAR SELATAN TERMINAL - LOCAL MAGNETIC LEVEL GAUGES", "Sheet 3 of 5. HH acts on the receipt valve. ATM = atmospheric.")
    cols = [
        ("S/N", "x_item", None),
        ("Tank No.", "x_tank", None),
        ("LG Tag No.", "tag", None),
        ("Product", "fluid", None),
        (("Tank", "Dia.\n(m)"), "x_dia", None),
        (("Tank", "Height\n(m)"), "x_ht", None),
        (("Tank", "Nominal cap.\n(m³)"), "x_cap", None),
        (("Tank", "Max. filling rate\n(m³/h)"), "x_fill", None),
        (("Density (kg/m³)", "at 15 °C"), "r15", None),
        (("Density (kg/m³)", "at storage temp., normal"), "rho", kg_m3()),
        (("Density (kg/m³)", "at storage temp., min."), "rho_min", None),
        (("Density (kg/m³)", "at storage temp., max."), "rho_max", None),
        (("Temperature (°C)", "Storage"), "ot", None),
        (("Temperature (°C)", "Design"), "dt", None),
        (("Pressure", "Operating"), "op", None),
        (("Pressure", "Design\n(mbarg)"), "dp", mbarg()),
        ("C-C\n(mm)", "cc", None),
        ("Visible range\n(mm)", "vis", None),
        ("Chamber", "cmat", None),
        (("Switches on gauge (mm above bottom conn.)", "L"), "lsl", None),
        (("Switches on gauge (mm above bottom conn.)", "H"), "lsh", None),
        (("Switches on gauge (mm above bottom conn.)", "HH"), "lshh", None),
        ("Float", "part", None),
    ]
    r = heading_rows(b, ws, r, cols, "down")
    set_values(gs, x_item=lambda i: i + 1)
    bund = {0: "BUND A - LIGHT PRODUCTS", 4: "BUND B - MIDDLE DISTILLATES", 7: "BUND C - FUEL OIL AND SLOPS", 10: "UTILITIES"}
    for i, g in enumerate(gs):
        if i in bund:
            r = section_row(b, ws, r, len(cols), bund[i], merged=False)
        b.row(ws, r, 0, cols, g)
        r += 1
    ws.write(r, 1, "Total capacity")
    ws.write(r, 6, sum(g["x_cap"] for g in gs))
    float_sheet(
        b,
        "Floats",
        fl,
        [
            ("Float", "part", None),
            ("Mass (g)", "mass", None),
            ("Ø (mm)", "od", None),
            ("Length (mm)", "L", None),
            ("Ends", "ends", None),
            ("Magnet above bottom (mm)", "mag", None),
            ("Design density (kg/m³)", "drho", None),
            ("Max. press. (mbarg)", "pmax", mbarg()),
            ("Max. temp. (°C)", "tmax", None),
        ],
    )
    for g in gs:
        count_float_cells(b, g, "mass", "mag", "pmax", "tmax", "drho")
    b.allow("number-as-text")
    finish(b, gs)


@book
def e14_desalination_tag_in_parts(b: Book) -> None:
    """Desalination, Middle East: the tag in four columns, dosing chemicals, level rate and bore."""
    fl = [
        make_float("DW-F18", 50, 200, 1830, pmax=6, tmax=90, mat="PTFE"),
        make_float("DW-F12", 50, 225, 1200, pmax=6, tmax=90, mat="PP"),
        make_float("DW-F15", 50, 210, 1525, pmax=6, tmax=90, mat="PTFE"),
        make_float("DW-F10", 50, 250, 1030, pmax=16, tmax=120, mat="Titanium Gr.2"),
        make_float("DW-F11", 50, 235, 1115, pmax=6, tmax=90, mat="PP"),
    ]
    gs = [
        gauge("61-LG-101A", "Acid storage tank A", "Sulphuric acid 98 %", fl[0], 1.0, 0.01, 35, 0.5, 75, 2000, mu=18),
        gauge("61-LG-101B", "Acid storage tank B", "Sulphuric acid 98 %", fl[0], 1.0, 0.01, 35, 0.5, 75, 2000, mu=18),
        gauge("61-LG-110", "Antiscalant day tank", "Antiscalant solution", fl[4], 1.0, 0.01, 35, 0.5, 75, 900, mu=12),
        gauge("61-LG-121", "Caustic storage", "Sodium hydroxide 50 %", fl[2], 0.99, 0.01, 40, 0.5, 75, 1800, mu=30),
        gauge("61-LG-130", "Sodium bisulphite", "Sodium bisulphite 20 %", fl[1], 0.985, 0.01, 35, 0.5, 75, 1200, mu=3),
        gauge("62-LG-201", "Brine flash vessel", "Brine", fl[3], 1.01, 1.2, 40, 6, 90, 1500, mu=0.8),
        gauge("62-LG-202", "Product water pot", "Low-salt water", fl[3], 0.97, 4, 38, 10, 90, 600, mu=0.7),
    ]
    for g in gs:
        a, ll, n = g["tag"].split("-")
        g.update(tarea=a, tlet=ll, tnum=int(n[:3]), tsuf=n[3:] or None, bore=60.0, rate=5, cmat="PVDF" if g["dp"] < 1 else "316L", x_equip="T-" + n)
    set_values(gs, x_vol=[60, 60, 2, 40, 5, 12, 0.3])
    check_sound(gs)
    x = by_tag(gs)
    if b.faulty:
        plant_exchanged_float(b, x["61-LG-130"], fl[2])
        plant_lag(b, x["61-LG-110"], 700)
        plant_narrow_bore(b, x["61-LG-121"], 49.5)
        plant_long_range(b, x["62-LG-201"], 130)
        plant_float_pressure(b, x["62-LG-202"], v=18)
        plant_float_temperature(b, x["61-LG-101B"], v=105)
    ws = b.sheet("LG")
    r = title_lines(
        b, ws, "MAGNETIC LEVEL GAUGES - CHEMICAL DOSING AND FLASH VESSELS", "Ras Majnah Desalination Plant Phase II", "Doc. RM2-IC-SCH-0022 Rev. 01 IFR"
    )
    cols = [
        ("SL. NO.", "x_item", None),
        (("TAG NUMBER", "AREA"), "tarea", None),
        (("TAG NUMBER", "FUNCTION"), "tlet", None),
        (("TAG NUMBER", "LOOP"), "tnum", None),
        (("TAG NUMBER", "SUFFIX"), "tsuf", None),
        ("SERVICE DESCRIPTION", "svc", None),
        ("EQUIPMENT", "x_equip", None),
        ("TANK VOLUME (m3)", "x_vol", None),
        ("FLUID", "fluid", None),
        ("FLUID DENSITY @ OT (kg/m3)", "rho", kg_m3(0)),
        ("VISCOSITY @ OT (cP)", "mu", None),
        ("LEVEL RATE OF CHANGE (mm/s)", "rate", None),
        (("OPERATING", "PRESS. (barg)"), "op", None),
        (("OPERATING", "TEMP. (°C)"), "ot", None),
        (("DESIGN", "PRESS. (barg)"), "dp", None),
        (("DESIGN", "TEMP. (°C)"), "dt", None),
        (("CHAMBER", "MATERIAL"), "cmat", None),
        (("CHAMBER", "BORE (mm)"), "bore", None),
        (("CHAMBER", "C-C (mm)"), "cc", None),
        (("CHAMBER", "VISIBLE LENGTH (mm)"), "vis", None),
        (("FLOAT", "TYPE"), "part", None),
        (("FLOAT", "MATERIAL"), "ffmat", None),
        (("FLOAT", "O.D. (mm)"), "od", None),
        (("FLOAT", "LENGTH (mm)"), "L", None),
        (("FLOAT", "END CAPS"), "ends", None),
        (("FLOAT", "WEIGHT (g)"), "mass", None),
        (("FLOAT", "MAGNET CENTRE FROM BOTTOM (mm)"), "mag", None),
        (("FLOAT", "PRESS. LIMIT (barg)"), "pmax", None),
        (("FLOAT", "TEMP. LIMIT (°C)"), "tmax", None),
    ]
    r = heading_rows(b, ws, r, cols, "down")
    set_values(gs, x_item=lambda i: i + 1)
    for g in gs:
        b.row(ws, r, 0, cols, g)
        same_cell(b, g, "tnum", "tag")
        r += 1
    note_lines(b, ws, r + 1, ["LEGEND: OT = OPERATING TEMPERATURE", "WEIGHT OF FLOAT TO BE CONFIRMED ON TEST CERTIFICATE"])
    finish(b, gs)


@book
def e15_mining_reagents_misspelt(b: Book) -> None:
    """Mining reagents, Western Australia: misspelled headings, kPag, ditto marks, blank rows between areas."""
    fl = [
        make_float("RG 85", 48, 290, 845, pmax=10, tmax=120),
        make_float("RG 110", 48, 240, 1095, pmax=10, tmax=100),
        make_float("RG 105", 48, 245, 1045, pmax=10, tmax=100),
        make_float("RG 135", 48, 215, 1350, pmax=10, tmax=100),
        make_float("RG 78", 48, 300, 785, pmax=10, tmax=120),
        make_float("RG 105H", 48, 245, 1015, pmax=10, tmax=150),
    ]
    gs = [
        gauge("310-LG-001", "Collector storage", "Xanthate 20 %", fl[2], 1.0, 0.01, 28, 1.0, 60, 1500, area="310 Flotation reagents"),
        gauge("310-LG-002", "Collector day tank", "Xanthate 20 %", fl[2], 1.0, 0.01, 28, 1.0, 60, 800, area="310 Flotation reagents"),
        gauge("310-LG-005", "Frother tank", "Frother F-5", fl[0], 1.01, 0.01, 28, 1.0, 60, 1200, area="310 Flotation reagents"),
        gauge("320-LG-001", "Cyanide storage A", "Sodium cyanide 30 %", fl[1], 1.02, 0.02, 30, 1.0, 60, 1800, area="320 Cyanide"),
        gauge("320-LG-002", "Cyanide storage B", "Sodium cyanide 30 %", fl[1], 1.02, 0.02, 30, 1.0, 60, 1800, area="320 Cyanide"),
        gauge("330-LG-001", "Caustic tank", "Caustic soda 33 %", fl[3], 1.0, 0.02, 35, 1.0, 70, 1400, area="330 Elution"),
        gauge("330-LG-004", "Eluate drum", "Eluate", fl[5], 1.0, 3.0, 95, 6.5, 115, 900, area="330 Elution"),
        gauge("340-LG-001", "Diesel day tank", "Diesel", fl[0], 0.985, 0.01, 35, 0.5, 70, 1300, area="340 Fuels"),
        gauge("340-LG-003", "SX diluent tank", "SX diluent", fl[4], 1.005, 0.01, 30, 0.5, 70, 1600, area="340 Fuels"),
    ]
    set_values(
        gs,
        cmat=["316", "316", "316", "316", "316", "316", "316L", "316", "316"],
        x_wbs=lambda i: gs[i]["tag"][:3] + ".50",
        x_dwg=lambda i: f"3-{7010 + i}",
        x_rev="B",
        x_dist=[85, 90, 40],
        x_plen=[2, 2.5],
    )
    check_sound(gs)
    x = by_tag(gs)
    if b.faulty:
        plant_clear_offset(b, x["310-LG-005"])
        plant_long_range(b, x["320-LG-001"], 100)
        plant_exchanged_float_that_sinks(b, x["340-LG-003"], fl[3])
        plant_above_design(b, x["330-LG-004"], "ot", 128)
        plant_float_pressure(b, x["330-LG-001"], v=11.5)
        plant_malformed_tag(b, x["340-LG-001"], "340-MG-001")
    ws = b.sheet("Level Gages")
    r = title_lines(b, ws, "REAGENTS AREA  LEVEL GUAGES (MAGNETIC)", "Bindarra Ridge Gold Project - Contract 11")
    cols = [
        ("Area", "area", None),
        ("Tag", "*tag", shown_tag),
        ("Service", "svc", None),
        ("WBS", "x_wbs", None),
        ("P&ID dwg", "x_dwg", None),
        ("Fluid", "fluid", None),
        ("Desity kg/m3", "rho", kg_m3()),
        ("Operating presure kPag", "op", kpag()),
        ("Operating temprature C", "ot", None),
        ("Desing press kPag", "dp", kpag()),
        ("Desing temprature C", "dt", None),
        ("Centre to center mm", "cc", None),
        ("Visable lenght mm", "vis", None),
        ("Chambr mat'l", "cmat", None),
        ("Float p/no", "part", None),
        ("Float wieght g", "mass", None),
        ("Float dia mm", "od", None),
        ("Float lenght mm", "L", None),
        ("Float end's", "ends", None),
        ("Magnet hieght mm", "mag", None),
        ("Float max presure kPag", "pmax", kpag()),
        ("Float max temp C", "tmax", None),
        ("Cable dist to JB m", "x_dist", None),
        ("Rev", "x_rev", None),
    ]
    r = heading_rows(b, ws, r, cols)
    last = None
    for g in gs:
        if last and last["area"] != g["area"]:
            r += 1
        shownrow = dict(g)
        if last and last["area"] == g["area"]:
            shownrow["area"] = '"'
            if last["fluid"] == g["fluid"]:
                shownrow["fluid"] = "ditto"
        b.row(ws, r, 0, cols, shownrow)
        last = g
        r += 1
    b.allow("number-as-text")
    finish(b, gs)


@book
def e16_pulp_mill_dual_units(b: Book) -> None:
    """Pulp mill, Canada: two units in one cell, viscous liquors, bore and tracing."""
    fl = [
        make_float("PM-F130", 54, 230, 1285, pmax=14, tmax=150),
        make_float("PM-F115", 54, 240, 1150, pmax=14, tmax=150),
        make_float("PM-F86", 54, 290, 855, pmax=14, tmax=150),
        make_float("PM-F95", 54, 265, 965, pmax=14, tmax=180),
        make_float("PM-F108", 54, 250, 1075, pmax=14, tmax=150),
    ]
    gs = [
        gauge("341-LI-0510", "Heavy black liquor tank pot", "Black liquor 48 %", fl[0], 1.0, 0.2, 105, 3.5, 140, 1500, mu=28, trace="Steam"),
        gauge("341-LI-0512", "Weak black liquor tank", "Weak black liquor 16 %", fl[4], 1.0, 0.02, 85, 3.5, 120, 2000, mu=1.4, trace="None"),
        gauge("342-LI-0601", "Green liquor surge", "Green liquor", fl[1], 1.005, 0.02, 90, 3.5, 120, 1800, mu=2, trace="None"),
        gauge("342-LI-0605", "White liquor storage", "White liquor", fl[1], 0.985, 0.02, 85, 3.5, 120, 1800, mu=1.9, trace="None"),
        gauge("343-LI-0702", "Turpentine storage", "Crude turpentine", fl[2], 1.0, 0.02, 40, 3.5, 120, 800, mu=1.3, trace="None"),
        gauge("343-LI-0704", "Soap skimming tank", "Tall oil soap", fl[3], 0.99, 0.02, 75, 3.5, 120, 1300, mu=30, trace="Electric"),
        gauge("343-LI-0710", "Contaminated condensate", "Foul condensate", fl[3], 1.0, 0.5, 80, 6, 150, 1000, mu=0.4, trace="None"),
    ]
    set_values(
        gs,
        bore=73.7,
        cmat=["316L", "304L"],
        x_dwg=lambda i: f"A-34-{2201 + i}",
        x_vessel=["Tk 14", "Tk 9", "Tk 22", "Tk 24", "Tk 27", "Tk 31", "Tk 33"],
        x_solids=[48, 16, None, None, None, None, None],
        rem=["Steam jacket by others", "", "Scale deposits", "", "", "Foam", ""],
    )
    check_sound(gs)
    x = by_tag(gs)
    if b.faulty:
        plant_lag(b, x["343-LI-0704"], 1400)
        plant_clear_offset(b, x["343-LI-0702"])
        plant_long_range(b, x["342-LI-0605"], 152)
        plant_magnetic_chamber(b, x["341-LI-0512"], "430 SS")
        plant_above_design(b, x["341-LI-0510"], "op", 3.9)
        plant_float_pressure(b, x["343-LI-0710"], v=15.5)
    ws = b.sheet("Magnetic gauges")
    r = title_lines(b, ws, "RECOVERY AND BY-PRODUCTS - MAGNETIC LEVEL INDICATORS", "Metric (imperial in brackets)")

    def two(f1: Converter, f2: Converter) -> Converter:
        return lambda v: f"{f1(v)} ({f2(v)})"

    cols = [
        ("Tag", "tag", None),
        ("Vessel", "x_vessel", None),
        ("Service", "svc", None),
        ("Liquor / fluid", "fluid", None),
        ("Dry solids %", "x_solids", None),
        ("SG at operating temp.", "rho", g_cm3(3)),
        ("Viscosity cP", "mu", None),
        ("Op. press. kPag (psig)", "op", two(kpag(), psig(1))),
        ("Op. temp. °C (°F)", "ot", two(degC(), degF())),
        ("Design press. kPag (psig)", "dp", two(kpag(), psig())),
        ("Design temp. °C (°F)", "dt", two(degC(), degF())),
        ("C/C mm (in)", "cc", two(mm(), inch(1))),
        ("Visible mm (in)", "vis", two(mm(), inch(1))),
        ("Chamber mat'l", "cmat", None),
        ("Chamber ID mm (in)", "bore", two(mm(1), inch(2))),
        ("Tracing", "trace", None),
        ("Float model", "part", None),
        ("Drawing", "x_dwg", None),
        ("Comments", "rem", None),
    ]
    b.table(ws, r, 0, cols, gs)
    float_sheet(
        b,
        "Float models",
        fl,
        [
            ("Float model", "part", None),
            ("Mass g", "mass", None),
            ("OD mm", "od", None),
            ("Length mm", "L", None),
            ("Ends", "ends", None),
            ("Magnet height mm", "mag", None),
            ("Design SG", "drho", g_cm3(3)),
            ("Max kPag", "pmax", kpag()),
            ("Max °C", "tmax", None),
        ],
    )
    for g in gs:
        count_float_cells(b, g, "mass", "mag", "od", "pmax", "tmax", "drho")
    b.allow("number-as-text")
    finish(b, gs)


@book
def e17_food_plant_prefixed_headings(b: Book) -> None:
    """Food plant: the same words before all headings, estimates in the cells, hygienic."""
    fl = [
        make_float("HYG-135", 60, 220, 1345, pmax=10, tmax=140, mat="316L"),
        make_float("HYG-091", 60, 280, 908, pmax=10, tmax=140, mat="316L"),
        make_float("HYG-105", 60, 250, 1040, pmax=10, tmax=140, mat="316L"),
        make_float("HYG-081", 60, 300, 805, pmax=10, tmax=120, mat="316L"),
        make_float("HYG-117", 60, 235, 1170, pmax=10, tmax=120, mat="316L"),
    ]
    gs = [
        gauge("LG-5001", "Glucose syrup tank", "Glucose syrup", fl[0], 1.0, 0.1, 55, 3, 110, 1400, rhot="1345 (est.)"),
        gauge("LG-5004", "Palm olein tank", "Palm olein", fl[1], 0.985, 0.1, 50, 3, 110, 1600),
        gauge("LG-5005", "Sunflower oil tank", "Sunflower oil", fl[1], 1.002, 0.1, 30, 3, 110, 1600, rhot="910 approx."),
        gauge("LG-5010", "CIP caustic", "CIP caustic 2 %", fl[2], 0.985, 0.2, 75, 3, 120, 900),
        gauge("LG-5011", "CIP acid", "CIP acid 1.5 %", fl[2], 0.97, 0.2, 65, 3, 120, 900),
        gauge("LG-5020", "Ethanol day tank", "Rectified spirit 95 %", fl[3], 1.0, 0.02, 25, 1, 60, 1000, rhot="805 (tbc)"),
        gauge("LG-5030", "Skim concentrate", "Skim milk concentrate", fl[4], 1.0, 0.5, 12, 3, 110, 800),
    ]
    for g in gs:
        g.setdefault("rhot", g["rho"])
    set_values(gs, cmat="316L polished", x_tank=lambda i: f"T{50 + i}", x_ra="0.8", x_wt=[19, 21, 21, 16], x_gasket="EPDM", x_cert=["3.1", "3.1", "2.2"])
    check_sound(gs)
    x = by_tag(gs)
    if b.faulty:
        g = x["LG-5005"]
        plant_clear_offset(b, g)
        g["rhot"] = f"{g['rho']} approx."
        plant_exchanged_float(b, x["LG-5020"], fl[1])
        plant_long_range(b, x["LG-5030"], 60)
        plant_float_temperature(b, x["LG-5004"], v=155)
        plant_above_design(b, x["LG-5011"], "op", 3.4)
        g = x["LG-5010"]
        g["dp"] = ("=#REF!/100", "#REF!")
        b.fault("cell-error", g["tag"], ["dp"], "#REF! in the design pressure")
    ws = b.sheet("LG register")
    n = "Magnetic Level Gauge - "
    cols = [
        (n + "Tag", "tag", None),
        (n + "Service", "svc", None),
        (n + "Tank", "x_tank", None),
        (n + "Product", "fluid", None),
        (n + "Product Density (kg/m³)", "*rho", lambda g: g["rhot"] if isinstance(g["rhot"], str) else g["rho"]),
        (n + "Operating Pressure (bar g)", "op", None),
        (n + "Operating Temperature (°C)", "ot", None),
        (n + "Design Pressure (bar g)", "dp", None),
        (n + "Design Temperature (°C)", "dt", None),
        (n + "Centre Distance (mm)", "cc", None),
        (n + "Visible Length (mm)", "vis", None),
        (n + "Chamber Material", "cmat", None),
        (n + "Surface Ra (µm)", "x_ra", None),
        (n + "Gasket", "x_gasket", None),
        (n + "Weight Empty (kg)", "x_wt", None),
        (n + "Float Type", "part", None),
        (n + "Float Weight (g)", "mass", None),
        (n + "Float Diameter (mm)", "od", None),
        (n + "Float Length (mm)", "L", None),
        (n + "Float Ends", "ends", None),
        (n + "Float Magnet Height (mm)", "mag", None),
        (n + "Float Max. Pressure (bar g)", "pmax", None),
        (n + "Float Max. Temperature (°C)", "tmax", None),
        (n + "Certificate EN 10204", "x_cert", None),
    ]
    b.table(ws, 0, 0, cols, gs)
    b.allow("number-as-text")
    finish(b, gs)


@book
def e18_marine_tank_indicators(b: Book) -> None:
    """Marine, bunkering vessel: t/m3, JIS flanges, SUS, frame numbers, level indicators."""
    fl = [
        make_float("MF-S100", 55, 250, 1000, pmax=10, tmax=120),
        make_float("MF-S093", 55, 275, 930, pmax=10, tmax=150),
        make_float("MF-S084", 55, 300, 840, pmax=10, tmax=120),
        make_float("MF-S089", 55, 285, 890, pmax=10, tmax=120),
    ]
    gs = [
        gauge("LI-101P", "HFO SETTLING TANK (P)", "HFO 380", fl[1], 1.0, 0.1, 75, 2, 110, 1800),
        gauge("LI-101S", "HFO SETTLING TANK (S)", "HFO 380", fl[1], 1.0, 0.1, 75, 2, 110, 1800),
        gauge("LI-102", "HFO SERVICE TANK", "HFO 380", fl[1], 0.985, 0.1, 90, 2, 120, 1800),
        gauge("LI-110", "MGO SERVICE TANK", "MGO", fl[2], 1.0, 0.1, 35, 2, 80, 1600),
        gauge("LI-121", "M/E SYSTEM LO TANK", "SYSTEM OIL", fl[3], 0.985, 0.1, 45, 2, 90, 1100),
        gauge("LI-122", "G/E LO STORAGE TANK", "SYSTEM OIL", fl[3], 0.99, 0.1, 40, 2, 90, 1100),
        gauge("LI-130", "DISTILLED WATER TANK", "FRESH WATER", fl[0], 0.995, 0.1, 30, 2, 80, 1300),
        gauge("LI-131", "CASCADE TANK", "BOILER WATER", fl[0], liquid_density("Water", 80, 0.1) / 1000, 0.1, 80, 2, 110, 700, pure="Water"),
    ]
    set_values(
        gs,
        cmat="SUS316L",
        x_fr=["FR 22-26 P", "FR 22-26 S", "FR 26-29", "FR 29-31"],
        fclass="JIS 5K-25A",
        x_fp=[64, 64, 64, 62, 210, 210, None, None],
        x_cap=[88, 88, 60, 72, 24, 30, 40, 3],
        x_cls="Type approved",
        x_cst=[380, 380, 380, 4, 110, 110, None, None],
        x_maker=["A", "A", "B"],
    )
    check_sound(gs)
    x = by_tag(gs)
    if b.faulty:
        plant_exchanged_float_that_sinks(b, x["LI-110"], make_float("MF-S140", 55, 200, 1400, pmax=10, tmax=120))
        fl.append(x["LI-110"]["f"])
        plant_magnetic_chamber(b, x["LI-122"], "STPG370")
        plant_long_range(b, x["LI-101S"], 75)
        plant_above_design(b, x["LI-102"], "ot", 132)
        plant_exchanged_float(b, x["LI-121"], fl[0])
        plant_unlisted_float(b, x["LI-130"], "MF-S099")
        g = x["LI-101P"]
        g["mass"] = round(g["mass"] * 1.03, 1)
        offset = reading_offset(dict(g["f"], mass=g["mass"]), g["rho"])
        assert offset is not None and abs(offset) < 7
        b.fault("float-data-conflict", g["tag"], ["mass", "part"], f"mass {g['mass']} g here, {g['f']['mass']} g in the float list")
    ws = b.sheet("MAG LEVEL IND")
    r = title_lines(b, ws, "HULL NO. 2291  LIST OF MAGNETIC FLOAT LEVEL INDICATORS", "6,500 m3 bunkering vessel")
    cols = [
        ("NO.", "x_item", None),
        ("TAG", "tag", None),
        ("TANK", "svc", None),
        ("FRAME", "x_fr", None),
        ("CAP. m³", "x_cap", None),
        ("LIQUID", "fluid", None),
        ("DENSITY t/m³\nAT WORKING TEMP.", "rho", g_cm3(3)),
        ("VISC. cSt\nAT 50°C", "x_cst", None),
        ("FLASH PT.\n°C", "x_fp", None),
        ("WORKING\nPRESS. barg", "op", None),
        ("WORKING\nTEMP. °C", "ot", None),
        ("DESIGN\nPRESS. barg", "dp", None),
        ("DESIGN\nTEMP. °C", "dt", None),
        ("C-C mm", "cc", None),
        ("INDICATING\nRANGE mm", "vis", None),
        ("FLANGE", "fclass", None),
        ("CHAMBER\nMAT'L", "cmat", None),
        ("FLOAT NO.", "part", None),
        ("FLOAT\nMASS g", "mass", None),
        ("CLASS", "x_cls", None),
        ("MAKER\nITEM", "x_maker", None),
    ]
    r = heading_rows(b, ws, r, cols)
    set_values(gs, x_item=lambda i: i + 1)
    for g in gs:
        b.row(ws, r, 0, cols, g)
        r += 1
    float_sheet(
        b,
        "FLOATS",
        fl,
        [
            ("FLOAT NO.", "part", None),
            ("MASS g", "mass", None),
            ("OUT. DIA. mm", "od", None),
            ("LENGTH mm", "L", None),
            ("ENDS", "ends", None),
            ("MAGNET HT. mm", "mag", None),
            ("FOR DENSITY t/m³", "drho", g_cm3(3)),
            ("MAX. PRESS. barg", "pmax", None),
            ("MAX. TEMP. °C", "tmax", None),
        ],
    )
    for g in gs:
        count_float_cells(b, g, "mass", "mag", "pmax", "tmax", "drho")
    finish(b, gs)


@book
def e20_sulphur_unit_four_heading_rows(b: Book) -> None:
    """Sulphur recovery: jackets, freezing points, minimum ambient, magnets, four heading rows."""
    fl = [
        make_float("SU-179", 60, 210, 1785, pmax=16, tmax=220, mat="316L"),
        make_float("SU-098", 60, 260, 985, pmax=16, tmax=180),
        make_float("SU-104", 60, 250, 1040, pmax=25, tmax=180),
        make_float("SU-100", 60, 250, 998, pmax=16, tmax=180),
    ]
    gs = [
        gauge("71-LG-011", "Condenser 1 rundown", "Liquid sulphur", fl[0], 1.0, 0.4, 145, 5, 190, 700, frz=119, trace="Steam jacket", tmaint=140),
        gauge("71-LG-012", "Condenser 2 rundown", "Liquid sulphur", fl[0], 1.0, 0.35, 145, 5, 190, 700, frz=119, trace="Steam jacket", tmaint=140),
        gauge("71-LG-020", "Sulphur pit pump pot", "Liquid sulphur", fl[0], 1.003, 0.05, 138, 3.5, 190, 1200, frz=119, trace="Steam jacket", tmaint=140),
        gauge("72-LG-101", "Acid gas KO drum", "Sour water", fl[1], 0.995, 0.6, 50, 5, 110, 900, frz=0, trace="Electric", tmaint=30),
        gauge("72-LG-105", "Quench tower sump", "Quench water", fl[1], 1.005, 0.05, 45, 3.5, 110, 1100, frz=0, trace="Electric", tmaint=30),
        gauge("73-LG-201", "Rich amine flash", "Rich amine", fl[2], 1.0, 5, 65, 9, 130, 1300, frz=-25, trace="None"),
        gauge("73-LG-204", "Lean amine tank", "Lean amine", fl[2], 0.99, 0.02, 50, 2, 110, 1500, frz=-25, trace="None"),
        gauge("74-LG-301", "Tail gas condensate pot", "Acidic condensate", fl[3], 0.995, 0.1, 60, 3.5, 120, 600, frz=0, trace="Electric", tmaint=40),
    ]
    set_values(
        gs,
        amb=3,
        mmat="AlNiCo",
        cmat="316L",
        mtmax=400,
        x_vessel=lambda i: f"V-7{1 + i // 3}{i:02d}",
        x_steam=lambda i: "LP 3.5 barg" if i < 3 else None,
        x_h2s=[300, 300, 20, 8000],
        x_pid=lambda i: f"71-PFD-{i + 10}",
    )
    check_sound(gs)
    x = by_tag(gs)
    if b.faulty:
        plant_no_tracing(b, x["71-LG-012"])
        plant_no_tracing(b, x["74-LG-301"])
        plant_hot_tracing(b, x["72-LG-101"], "tmaint", 195, 180, ["tmax", "part"], ["tracing-boils-fluid"])
        plant_exchanged_float(b, x["73-LG-204"], make_float("SU-118", 60, 235, 1180, pmax=16, tmax=180))
        fl.append(x["73-LG-204"]["f"])
        plant_long_range(b, x["71-LG-020"], 100)
        plant_above_design(b, x["73-LG-201"], "ot", 138)
        plant_float_pressure(b, x["72-LG-105"], v=18)
    ws = b.sheet("SRU LG")
    r = title_lines(b, ws, "SULPHUR RECOVERY UNIT - LEVEL GAUGES, MAGNETIC", "Umm Tarif Gas Processing")
    A, B_, C, D = "PROCESS CONDITIONS", "HEAT CONSERVATION", "GAUGE", "FLOAT"
    cols = [
        (("IDENTIFICATION", "", "Tag", "No."), "tag", None),
        (("IDENTIFICATION", "", "Service", ""), "svc", None),
        (("IDENTIFICATION", "", "Vessel", "No."), "x_vessel", None),
        ((A, "Fluid", "Name", ""), "fluid", None),
        ((A, "Fluid", "H2S", "ppm"), "x_h2s", None),
        ((A, "Fluid", "Density", "kg/m3"), "rho", kg_m3()),
        ((A, "Operating", "Press.", "barg"), "op", None),
        ((A, "Operating", "Temp.", "°C"), "ot", None),
        ((A, "Design", "Press.", "barg"), "dp", None),
        ((A, "Design", "Temp.", "°C"), "dt", None),
        ((B_, "Fluid", "Freezing pt.", "°C"), "frz", None),
        ((B_, "Site", "Min. ambient", "°C"), "amb", None),
        ((B_, "Tracing", "Type", ""), "trace", None),
        ((B_, "Tracing", "Maintain", "°C"), "tmaint", None),
        ((B_, "Steam", "Supply", ""), "x_steam", None),
        ((C, "Chamber", "Material", ""), "cmat", None),
        ((C, "Length", "C-C", "mm"), "cc", None),
        ((C, "Length", "Visible", "mm"), "vis", None),
        ((D, "Type", "", ""), "part", None),
        ((D, "Magnet", "Material", ""), "mmat", None),
        ((D, "Magnet", "Max. temp.", "°C"), "mtmax", None),
    ]
    r = heading_rows(b, ws, r, cols, "across")
    for g in gs:
        b.row(ws, r, 0, cols, g)
        r += 1
    float_sheet(b, "Float data", fl, FLOAT_COLUMNS)
    for g in gs:
        count_float_cells(b, g, "mass", "mag", "pmax", "tmax", "drho")
    finish(b, gs)
