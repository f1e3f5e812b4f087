"""Index, process data, quotation, order, spares, skid, alarms and loops: lists of projects."""

from __future__ import annotations

from typing import Any

from tests.reading.books.lists_english.common import (
    FLOAT_COLUMNS,
    add_test_pressures,
    allow_boiling,
    check_sound,
    finish,
    heading_rows,
    note_lines,
    other_instrument,
    plant_barely_floating,
    plant_clear_offset,
    plant_close_switches,
    plant_duplicate_tag,
    plant_exchanged_float,
    plant_exchanged_float_that_sinks,
    plant_highest_above_design,
    plant_magnet_above_top,
    plant_malformed_tag,
    plant_other_serial,
    plant_reused_serial,
    plant_reversed_densities,
    plant_sinking_at_lowest_density,
    plant_switch_order,
    plant_switch_outside,
    plant_thin_shell,
    same_cell,
    section_row,
    set_values,
    shown_tag,
    title_lines,
)
from tests.reading.faults import (
    plant_above_design,
    plant_current,
    plant_design_density,
    plant_float_pressure,
    plant_float_temperature,
    plant_long_range,
    plant_magnetic_chamber,
    plant_reversed_range,
    plant_sinking,
    plant_test_pressure,
    plant_unlisted_float,
    plant_urv_outside,
    plant_urv_short,
)
from tests.reading.gauges import add_serials, by_tag, check_gauge, gauge, loop_current, make_float, set_float
from tests.reading.physics import flange_rating, liquid_density, mean_density, reading_offset, saturation_pressure, vapour_density
from tests.reading.registry import book
from tests.reading.units import barg, degF, g_cm3, inch, inch_fraction, kg_m3, kgf_cm2, lb_ft3, ounce, pound, psig, sg60
from tests.reading.writing import Book, Gauge, count_float_cells, float_sheet


@book
def e01_epc_index_all_instruments(b: Book) -> None:
    """EPC instrument index, all instruments of a unit in loop order, group words not merged, unit row."""
    fl = [
        make_float("KR2-0640", 50, 340, 640, pmax=40, tmax=200),
        make_float("KR2-0725", 50, 320, 725, pmax=40, tmax=200),
        make_float("KR2-0810", 50, 290, 810, pmax=40, tmax=250),
        make_float("KR2-0885", 50, 270, 885, pmax=25, tmax=300),
        make_float("KR2-0990", 50, 250, 990, pmax=25, tmax=200),
    ]
    gs = [
        gauge("21-LG-1002", "Feed surge drum", "Wild naphtha", fl[1], 0.99, 4.5, 48, 9, 120, 1300, mu=0.45, x_equip="21-V-101", op_max=5.2, ot_max=60),
        gauge(
            "21-LG-1005A",
            "Cold separator, lower",
            "Hydrotreated gas oil",
            fl[2],
            1.005,
            14,
            50,
            19,
            110,
            1200,
            mu=2.1,
            x_equip="21-V-102",
            op_max=15.5,
            ot_max=55,
        ),
        gauge(
            "21-LG-1005B",
            "Cold separator, upper",
            "Hydrotreated gas oil",
            fl[2],
            1.005,
            14,
            50,
            19,
            110,
            1200,
            mu=2.1,
            x_equip="21-V-102",
            op_max=15.5,
            ot_max=55,
        ),
        gauge("21-LG-1009", "Stripper reflux drum", "Light naphtha", fl[0], 1.01, 7.2, 45, 10.5, 100, 1000, mu=0.3, x_equip="21-V-103", op_max=8.4, ot_max=55),
        gauge("21-LG-1012", "Stripper bottoms reboiler", "Kerosene", fl[2], 0.985, 7.6, 180, 11, 215, 900, mu=0.4, x_equip="21-E-107", op_max=8.8, ot_max=195),
        gauge("21-LG-1015", "Wash oil pot", "Heavy gas oil", fl[3], 1.0, 3.1, 150, 8, 230, 700, mu=2.6, x_equip="21-V-105", op_max=3.6, ot_max=165),
        gauge("21-LG-1018", "Sour water flash drum", "Sour water", fl[4], 0.99, 1.1, 60, 3.5, 120, 1100, mu=0.5, x_equip="21-V-106", op_max=1.4, ot_max=70),
    ]
    set_values(
        gs,
        ityp="LEVEL GAUGE, MAGNETIC",
        cmat="316L",
        x_pid=lambda i: f"D-2100-25-{110 + i // 2}",
        x_mr="MR-J-014",
        x_rev=[1, 1, 2, 0],
        grp="2.3",
        rem=["", "Note 2", "Note 2", "", "", "", ""],
    )
    for g in gs:
        g["fclass"] = 300 if g["dp"] > 10 else 150
    check_sound(gs)
    x = by_tag(gs)
    if b.faulty:
        plant_clear_offset(b, x["21-LG-1002"])
        plant_unlisted_float(b, x["21-LG-1005B"], "KR2-0840")
        plant_float_pressure(b, x["21-LG-1009"], v=44.0, ok=["flange-rating-exceeded"])
        plant_highest_above_design(b, x["21-LG-1012"], "ot_max", 228)
        plant_long_range(b, x["21-LG-1015"], 80)
        plant_magnetic_chamber(b, x["21-LG-1018"], "A106 Gr.B")
        plant_highest_above_design(b, x["21-LG-1005A"], "op_max", 20.5)
    ws = b.sheet("Index")
    r = title_lines(
        b,
        ws,
        "INSTRUMENT INDEX - UNIT 21 GAS OIL HYDROTREATER REVAMP",
        "Project 30417 Fellbeck Refinery",
        "Document 30417-21-J-LST-001   Rev 2   Approved for Design",
    )
    cols = [
        (("", "Item", ""), "x_item", None),
        (("", "Tag No.", ""), "tag", None),
        (("", "Instrument type", ""), "ityp", None),
        (("", "Service", ""), "svc", None),
        (("", "P&ID No.", ""), "x_pid", None),
        (("", "Equip. / line", ""), "x_equip", None),
        (("Process", "Fluid", ""), "fluid", None),
        (("Process", "Op. press. nor.", "barg"), "op", barg(1)),
        (("Process", "Op. press. max.", "barg"), "op_max", barg(1)),
        (("Process", "Op. temp. nor.", "°C"), "ot", None),
        (("Process", "Op. temp. max.", "°C"), "ot_max", None),
        (("Process", "Liquid density at op. temp.", "kg/m³"), "rho", None),
        (("Process", "Viscosity", "cP"), "mu", None),
        (("Design", "Pressure", "barg"), "dp", barg(1)),
        (("Design", "Temp.", "°C"), "dt", None),
        (("", "Calibrated range / set", ""), "x_rng", None),
        (("Magnetic level gauge", "C to C", "mm"), "cc", None),
        (("Magnetic level gauge", "Visible", "mm"), "vis", None),
        (("Magnetic level gauge", "Chamber mat'l", ""), "cmat", None),
        (("Magnetic level gauge", "Flange rating", "lb"), "fclass", None),
        (("Magnetic level gauge", "Float P/N", ""), "part", None),
        (("", "MR No.", ""), "x_mr", None),
        (("", "Rev", ""), "x_rev", None),
        (("", "Remarks", ""), "rem", None),
    ]
    r = heading_rows(b, ws, r, cols, "first")
    oth = [
        {
            "tag": "21-FT-1001",
            "ityp": "FLOW TRANSMITTER, DP",
            "svc": "Feed to unit",
            "x_equip": '6"-P-21001',
            "fluid": "Wild naphtha",
            "op": 11,
            "op_max": 13,
            "ot": 45,
            "ot_max": 60,
            "rho": 728,
            "mu": 0.45,
            "dp": 18,
            "dt": 120,
            "x_rng": "0-250 mbar",
            "x_mr": "MR-J-002",
            "x_rev": 1,
        },
        {
            "tag": "21-PT-1003",
            "ityp": "PRESSURE TRANSMITTER",
            "svc": "Feed surge drum",
            "x_equip": "21-V-101",
            "fluid": "Fuel gas",
            "op": 4.5,
            "op_max": 5.2,
            "ot": 48,
            "ot_max": 60,
            "rho": 4.1,
            "mu": 0.01,
            "dp": 9,
            "dt": 120,
            "x_rng": "0-10 barg",
            "x_mr": "MR-J-003",
            "x_rev": 1,
        },
        {
            "tag": "21-LT-1004",
            "ityp": "LEVEL TRANSMITTER, RADAR",
            "svc": "Feed surge drum",
            "x_equip": "21-V-101",
            "fluid": "Wild naphtha",
            "op": 4.5,
            "op_max": 5.2,
            "ot": 48,
            "ot_max": 60,
            "rho": 718,
            "mu": 0.45,
            "dp": 9,
            "dt": 120,
            "x_rng": "0-1300 mm",
            "x_mr": "MR-J-006",
            "x_rev": 1,
        },
        {
            "tag": "21-LG-1006",
            "ityp": "LEVEL GLASS, REFLEX",
            "svc": "Cold separator boot",
            "x_equip": "21-V-102",
            "fluid": "Sour water",
            "op": 14,
            "op_max": 15.5,
            "ot": 50,
            "ot_max": 55,
            "rho": 990,
            "mu": 0.6,
            "dp": 19,
            "dt": 110,
            "cc": 500,
            "vis": 430,
            "cmat": "A105",
            "fclass": 300,
            "x_mr": "MR-J-011",
            "x_rev": 1,
        },
        {
            "tag": "21-TIT-1007",
            "ityp": "TEMP. TRANSMITTER",
            "svc": "Stripper overhead",
            "x_equip": '8"-P-21030',
            "fluid": "Light naphtha",
            "op": 7.4,
            "op_max": 8.6,
            "ot": 110,
            "ot_max": 125,
            "dp": 10.5,
            "dt": 160,
            "x_rng": "0-200 °C",
            "x_mr": "MR-J-004",
            "x_rev": 0,
        },
        {
            "tag": "21-PSV-1010",
            "ityp": "RELIEF VALVE",
            "svc": "Stripper reflux drum",
            "x_equip": "21-V-103",
            "fluid": "Light naphtha",
            "op": 7.2,
            "op_max": 8.4,
            "ot": 45,
            "ot_max": 55,
            "rho": 646,
            "dp": 10.5,
            "dt": 100,
            "x_rng": "Set 10.5 barg",
            "x_mr": "MR-J-020",
            "x_rev": 0,
        },
        {
            "tag": "21-FV-1014",
            "ityp": "CONTROL VALVE",
            "svc": "Reflux",
            "x_equip": '4"-P-21044',
            "fluid": "Light naphtha",
            "op": 12,
            "op_max": 14,
            "ot": 45,
            "ot_max": 55,
            "rho": 648,
            "mu": 0.3,
            "dp": 22,
            "dt": 100,
            "x_mr": "MR-J-008",
            "x_rev": 2,
        },
    ]
    for i, g in enumerate(sorted(gs + oth, key=lambda d: d["tag"].split("-")[2])):
        g["x_item"] = i + 1
        if "f" in g:
            b.row(ws, r, 0, cols, g)
        else:
            other_instrument(b, ws, r, cols, g)
        r += 1
    note_lines(
        b, ws, r + 1, ["Notes", "1. Operating data from Process data sheets Rev C.", "2. Stacked pair, overlap 100 mm.", "3. Level glasses: see MR-J-011."]
    )
    ws.freeze_panes(8, 2)
    float_sheet(b, "Floats", fl, FLOAT_COLUMNS, title="Float list (vendor)")
    for g in gs:
        count_float_cells(b, g, "mass", "mag", "pmax", "tmax", "drho")
    finish(b, gs)


@book
def e02_process_data_list_us(b: Book) -> None:
    """US process data list, min / norm / max / design side by side, floats in the row."""
    fl = [
        make_float("QD-62-65", 57.15, 304.8, 645, pmax=34.5, tmax=204.4),
        make_float("QD-62-72", 57.15, 292.1, 720, pmax=34.5, tmax=204.4),
        make_float("QD-62-80", 57.15, 279.4, 795, pmax=34.5, tmax=260),
        make_float("QD-62-98", 57.15, 254, 975, pmax=20.7, tmax=204.4),
    ]
    gs = [
        gauge("LG-4101", "DEPROPANIZER FEED DRUM", "C4+ GASOLINE", fl[0], 1.0, 9.3, 48.9, 13.8, 121.1, 1219.2, mu=0.2),
        gauge("LG-4102", "DEBUT OVHD ACCUM", "C5 / C6 MIX", fl[0], 1.012, 6.2, 43.3, 10.3, 121.1, 914.4, mu=0.22),
        gauge("LG-4103", "SPLITTER FEED", "UNSTAB. NAPHTHA", fl[1], 0.995, 3.8, 54.4, 8.6, 148.9, 1524, mu=0.4),
        gauge("LG-4104", "SPLITTER BTMS", "HEAVY NAPHTHA", fl[1], 1.004, 2.6, 104.4, 8.6, 176.7, 1219.2, mu=0.35),
        gauge("LG-4106", "DISTILLATE RUNDOWN", "NO. 2 DISTILLATE", fl[2], 1.008, 1.4, 60, 5.2, 148.9, 1066.8, mu=1.8),
        gauge("LG-4107", "SOUR WATER POT", "SOUR WATER", fl[3], 1.003, 0.9, 40.6, 5.2, 121.1, 609.6, mu=0.7),
        gauge("LG-4109", "SLOP OIL DRUM", "SLOP OIL", fl[2], 0.992, 0.3, 37.8, 3.4, 121.1, 1371.6, mu=4),
    ]
    for i, g in enumerate(gs):
        g.update(
            rho_min=round(g["rho"] * 0.985),
            rho_max=round(g["rho"] * 1.012),
            op_min=round(g["op"] * 0.7, 1),
            op_max=round(g["op"] * 1.12, 2),
            ot_min=round(g["ot"] - 14, 1),
            ot_max=round(g["ot"] + 9, 1),
        )
        g.update(x_vessel=f"V-41{i + 1:02d}", x_pid=f"41-{1001 + i}", x_noz="K1/K2")
    add_test_pressures(gs)
    check_sound(gs)
    x = by_tag(gs)
    if b.faulty:
        plant_reversed_densities(b, x["LG-4102"])
        plant_sinking_at_lowest_density(b, x["LG-4104"])
        plant_highest_above_design(b, x["LG-4101"], "ot_max", 135)
        plant_test_pressure(b, x["LG-4107"], v=22.4)
        plant_long_range(b, x["LG-4106"], 101.6)
        plant_float_temperature(b, x["LG-4103"], v=232.2)
        plant_magnet_above_top(b, x["LG-4109"])
    ws = b.sheet("LG PROCESS DATA")
    r = title_lines(b, ws, "PROCESS DATA FOR MAGNETIC LEVEL GAUGES", "UNIT 41 GAS PLANT     DWG 41-J-2207     REV B     BY: TLC   CHK: WRM")
    P, T, S, M, F_ = "PRESSURE, PSIG", "TEMPERATURE, DEG F", "SP GR @ OPER TEMP", "GAUGE", "FLOAT"
    cols = [
        ("TAG NO", "tag", None),
        ("SERVICE", "svc", None),
        ("VESSEL", "x_vessel", None),
        ("P&ID", "x_pid", None),
        ("NOZZLES", "x_noz", None),
        ("FLUID", "fluid", None),
        ((P, "MIN"), "op_min", psig()),
        ((P, "NORM"), "op", psig()),
        ((P, "MAX"), "op_max", psig()),
        ((P, "DESIGN"), "dp", psig()),
        ((P, "HYDRO"), "tp", psig()),
        ((T, "MIN"), "ot_min", degF()),
        ((T, "NORM"), "ot", degF()),
        ((T, "MAX"), "ot_max", degF()),
        ((T, "DESIGN"), "dt", degF()),
        ((S, "MIN"), "rho_min", sg60(3)),
        ((S, "NORM"), "rho", sg60(3)),
        ((S, "MAX"), "rho_max", sg60(3)),
        ("VISC CP", "mu", None),
        ((M, "C-C IN"), "cc", inch(2)),
        ((M, "VIS L IN"), "vis", inch(2)),
        ((F_, "P/N"), "part", None),
        ((F_, "FLT OD IN"), "od", inch(3)),
        ((F_, "LGTH IN"), "L", inch(2)),
        ((F_, "WT LB"), "mass", pound(4)),
        ((F_, "ENDS"), "ends", lambda v: v.upper()),
        ((F_, "MAG HT IN"), "mag", inch(3)),
        ((F_, "MAX PSIG"), "pmax", psig()),
        ((F_, "MAX DEG F"), "tmax", degF()),
    ]
    r = heading_rows(b, ws, r, cols, "across")
    for i, g in enumerate(gs):
        b.row(ws, r, 0, cols, g)
        r += 2 if i == 3 else 1
    note_lines(
        b,
        ws,
        r + 1,
        [
            "NOTE 1: SP GR REFERRED TO WATER AT 60 F.",
            "NOTE 2: LG-4105 AND LG-4108 ARE GLASS GAUGES, SEE DWG 41-J-2209.",
            "NOTE 3: MAG HT IS FROM FLOAT BOTTOM.",
        ],
    )
    finish(b, gs)


@book
def e03_quotation_return_india(b: Book) -> None:
    """Quotation return, India: as specified / as offered, column numbers under the headings, prices."""
    fl = [
        make_float("ZLF-A1", 48.3, 320, 700, pmax=39.2, tmax=200),
        make_float("ZLF-A3", 48.3, 290, 815, pmax=39.2, tmax=200),
        make_float("ZLF-B2", 48.3, 270, 905, pmax=24.5, tmax=250),
        make_float("ZLF-B5", 48.3, 250, 1010, pmax=24.5, tmax=180),
        make_float("ZLF-C1", 48.3, 220, 1190, pmax=14.7, tmax=150),
    ]
    gs = [
        gauge("301-LG-0101", "Naphtha day vessel", "Naphtha", fl[0], 1.0, 1.5, 38, 4.9, 85, 1500),
        gauge("301-LG-0102", "Reformed gas KO drum", "Hydrocarbon condensate", fl[0], 0.985, 14, 42, 18.6, 85, 1000),
        gauge("301-LG-0105", "HSD tank", "HSD", fl[1], 1.005, 0.1, 40, 2.0, 85, 2000),
        gauge("302-LG-0201", "MDEA make-up tank", "MDEA solution 45 %", fl[3], 1.01, 0.05, 45, 2.0, 85, 1200),
        gauge("302-LG-0202", "Flash vessel", "Rich MDEA", fl[3], 1.015, 5.4, 70, 8.8, 130, 900),
        gauge("302-LG-0204", "Caustic tank", "Caustic lye 20 %", fl[4], 1.0, 0.05, 40, 2.0, 85, 1400),
        gauge("303-LG-0301", "LDO drum", "LDO", fl[2], 0.985, 1.0, 60, 5.9, 120, 1100),
        gauge("303-LG-0302", "Flushing oil drum", "Flushing oil", fl[2], 0.98, 2.0, 65, 7.8, 150, 800),
    ]
    set_values(
        gs,
        cmat="SS 316",
        x_equip=lambda i: f"V-{101 + i}",
        x_price=[86500, 79400, 98200, 74100, 81250],
        x_wt=[24.5, 21, 31, 22.5],
        x_dev=["No deviation", "No deviation", "Refer Sr. 4 of deviation list"],
        x_hsn="90261020",
        ffmat="Titanium",
        x_qty=1,
    )
    for g in gs:
        g.update(cc_spec=g["cc"], vis_spec=g["vis"], cmat_spec=g["cmat"], x_total=g["x_price"])
    add_test_pressures(gs)
    check_sound(gs)
    x = by_tag(gs)
    if b.faulty:
        plant_exchanged_float(b, x["301-LG-0105"], fl[0])
        g = x["302-LG-0201"]
        g["vis"] = 1350
        b.fault("range-exceeds-connections", g["tag"], ["vis", "cc", "cc_spec"], "offered visible 1350 > c/c 1200")
        plant_magnetic_chamber(b, x["303-LG-0301"], "ASTM A 106 Gr. B")
        plant_above_design(b, x["302-LG-0202"], "op", 9.6)
        plant_float_pressure(b, x["303-LG-0302"], v=26.5)
        plant_sinking(b, x["301-LG-0102"])
    ws = b.sheet("Price & Tech Comparison")
    r = title_lines(
        b, ws, "OFFER FOR MAGNETIC LEVEL GAUGES", "Enquiry Ref: VNP/30/J/2214 dtd 04.02    Our Offer Ref: Q-7718 Rev.1", "Purchaser: Velanpur Nitrogen Project"
    )
    cols = [
        ("Sr. No.", "x_item", None),
        ("Tag No.", "*tag", shown_tag),
        ("Qty.", "x_qty", None),
        ("Service", "svc", None),
        ("Vessel No.", "x_equip", None),
        ("Process fluid", "fluid", None),
        ("Sp. gr. at op. temp.", "rho", g_cm3(3)),
        (("Pressure, kg/cm²(g)", "Operating"), "op", kgf_cm2(2)),
        (("Pressure, kg/cm²(g)", "Design"), "dp", kgf_cm2(1)),
        (("Pressure, kg/cm²(g)", "Hydro test"), "tp", kgf_cm2(1)),
        (("Temperature, °C", "Operating"), "ot", None),
        (("Temperature, °C", "Design"), "dt", None),
        (("As specified", "C/C, mm"), "cc_spec", None),
        (("As specified", "Visible length, mm"), "vis_spec", None),
        (("As specified", "Chamber MOC"), "cmat_spec", None),
        (("As offered", "C/C, mm"), "cc", None),
        (("As offered", "Visible length, mm"), "vis", None),
        (("As offered", "Chamber MOC"), "cmat", None),
        (("Float offered", "Model"), "part", None),
        (("Float offered", "MOC"), "ffmat", None),
        (("Float offered", "Dia., mm"), "od", None),
        (("Float offered", "Ht., mm"), "L", None),
        (("Float offered", "Ends"), "ends", None),
        (("Float offered", "Wt., gms"), "mass", None),
        (("Float offered", "Magnet position from float bottom, mm"), "mag", None),
        (("Float offered", "Max. pr., kg/cm²(g)"), "pmax", kgf_cm2(1)),
        (("Float offered", "Max. temp., °C"), "tmax", None),
        ("Deviation", "x_dev", None),
        ("HSN code", "x_hsn", None),
        ("Wt. of gauge, kg", "x_wt", None),
        ("Unit price, INR", "x_price", None),
        ("Total price, INR", "x_total", None),
    ]
    r = heading_rows(b, ws, r, cols, "down")
    for j in range(len(cols)):
        ws.write(r, j, f"({j + 1})", b.fmt(align="center", font_size=8))
    r += 1
    set_values(gs, x_item=lambda i: i + 1)
    for g in gs:
        b.row(ws, r, 0, cols, g)
        r += 1
    ws.write(r, 1, "TOTAL", b.fmt(bold=True))
    ws.write(r, 2, len(gs))
    ws.write(r, len(cols) - 1, sum(g["x_total"] for g in gs), b.fmt(bold=True))
    note_lines(b, ws, r + 2, ["1. Prices ex-works, GST extra.", "2. Delivery 14-16 weeks from approval of drawings.", "3. Validity 60 days."], 1)
    finish(b, gs)


@book
def e04_order_acknowledgement_uk(b: Book) -> None:
    """Order acknowledgement, UK: serials, despatch batches, prices; float schedule beside."""
    fl = [
        make_float("TF/680", 45, 330, 680, pmax=30, tmax=180),
        make_float("TF/790", 45, 300, 790, pmax=30, tmax=180),
        make_float("TF/860", 45, 280, 860, pmax=30, tmax=220),
        make_float("TF/1000", 45, 250, 1000, pmax=20, tmax=160),
    ]
    gs = [
        gauge("LG-601", "Solvent storage", "Solvent blend 7", fl[1], 1.0, 0.5, 25, 4, 90, 1600),
        gauge("LG-602", "Solvent day tank", "Solvent blend 7", fl[1], 1.0, 0.5, 25, 4, 90, 900),
        gauge("LG-603", "Recovered ester", "Ester, recovered", fl[2], 1.01, 1.2, 40, 6, 120, 1100),
        gauge("LG-604", "Aqueous layer receiver", "Aqueous effluent", fl[3], 1.0, 0.8, 35, 5, 110, 750),
        gauge("LG-605", "Light ends receiver", "Light ends", fl[0], 0.99, 6, 35, 12, 90, 1000),
        gauge("LG-606", "Quench vessel", "Quench oil", fl[2], 0.985, 2.2, 140, 8, 200, 1250),
        gauge("LG-607", "Aqueous layer receiver", "Aqueous effluent", fl[3], 1.005, 0.8, 35, 5, 110, 750),
        gauge("LG-608", "Vent scrubber sump", "Scrubber liquor", fl[3], 1.02, 0.1, 30, 3.5, 80, 800),
        gauge("LG-609", "Light ends receiver", "Light ends", fl[0], 0.99, 6, 35, 12, 90, 1000),
    ]
    add_serials(gs, "W/26-", 4410)
    add_test_pressures(gs)
    set_values(
        gs,
        x_pos=lambda i: 10 * (i + 1),
        x_qty=1,
        x_model=["SG2-S-316-TX", "SG2-S-316"],
        x_price=[1875, 1420, 1510, 1395, 1640],
        x_wk=lambda i: 31 + 2 * (i // 5),
        x_wo=lambda i: f"WO{88120 + i}",
    )
    check_sound(gs)
    x = by_tag(gs)
    if b.faulty:
        plant_other_serial(b, x["LG-603"], x["LG-604"]["gsn"])
        plant_reused_serial(b, x["LG-602"], x["LG-601"])
        plant_duplicate_tag(b, x["LG-607"], x["LG-604"])
        plant_exchanged_float(b, x["LG-608"], fl[2])
        plant_long_range(b, x["LG-606"], 150)
        plant_float_pressure(b, x["LG-605"], v=32)
        plant_test_pressure(b, x["LG-609"], v=33)
    ws = b.sheet("Order ack")
    r = title_lines(
        b,
        ws,
        "ACKNOWLEDGEMENT OF ORDER",
        "Your order: PO/7741/B dated 11 March        Our ref: 26/1180",
        "Please check all details and advise within 5 working days.",
    )
    cols = [
        ("Pos.", "x_pos", None),
        ("Qty", "x_qty", None),
        ("Your tag", "*tag", shown_tag),
        ("Duty", "svc", None),
        ("Our model", "x_model", None),
        ("Works order", "x_wo", None),
        ("Gauge serial no.", "gsn", None),
        ("Fluid", "fluid", None),
        ("S.G.", "rho", g_cm3(3)),
        ("Design\nbar g / °C", "*dpdt", lambda g: f"{g['dp']:g} / {g['dt']:g}"),
        ("Test\nbar g", "tp", None),
        ("Centres\nmm", "cc", None),
        ("Indicated\nmm", "vis", None),
        ("Float type", "part", None),
        ("Float serial", "fsn", None),
        ("Float etched for gauge", "fgsn", None),
        ("Despatch week", "x_wk", None),
        ("Unit price GBP", "x_price", None),
    ]
    r = heading_rows(b, ws, r, cols)
    for i, g in enumerate(gs):
        if i in (0, 5):
            r = section_row(b, ws, r, len(cols), f"Batch {1 + i // 5} - ex works week {31 + 2 * (i // 5)}")
        b.row(ws, r, 0, cols, g)
        same_cell(b, g, "dpdt", "dp", "dt")
        r += 1
    ws.write(r + 1, 16, "Goods total")
    ws.write_formula(r + 1, 17, f"=SUM(R6:R{r})", None, sum(g["x_price"] for g in gs))
    ws.write(r + 2, 16, "Carriage")
    ws.write(r + 2, 17, 260)
    note_lines(
        b, ws, r + 4, ["Floats are packed separately and marked with the serial number of the gauge.", "S.G. at working temperature as advised by customer."]
    )
    float_sheet(
        b,
        "Float schedule",
        fl,
        [
            ("Type", "part", None),
            ("Mass g", "mass", None),
            ("O/D mm", "od", None),
            ("O/L mm", "L", None),
            ("Ends", "ends", None),
            ("Magnet datum from base mm", "mag", None),
            ("For S.G.", "drho", g_cm3(3)),
            ("Max. bar g", "pmax", None),
            ("Max. °C", "tmax", None),
        ],
        title="Float schedule to order 26/1180",
    )
    for g in gs:
        count_float_cells(b, g, "mass", "mag", "pmax", "tmax", "drho")
    b.allow("number-as-text")
    finish(b, gs)


@book
def e08_float_spares_us(b: Book) -> None:
    """Spares list, US: floats in the row, inches with fractions, stock columns, a float without weight."""
    fl = [
        make_float("SPF-1107", 50.8, 292.1, 760, pmax=27.6, tmax=204.4),
        make_float("SPF-1112", 50.8, 266.7, 865, pmax=27.6, tmax=204.4),
        make_float("SPF-1120", 50.8, 241.3, 1000, pmax=20.7, tmax=176.7),
        make_float("SPF-1131", 63.5, 355.6, 590, pmax=31, tmax=148.9, ends="hemispherical"),
        make_float("SPF-1133", 50.8, 311.15, 690, pmax=27.6, tmax=204.4),
    ]
    gs = [
        gauge("LG-110", "Feed tank", "Mineral spirits", fl[0], 1.0, 0.3, 26.7, 3.4, 93.3, 1219.2),
        gauge("LG-112", "Aromatics drum", "Mixed aromatics", fl[1], 0.99, 1.4, 37.8, 5.2, 121.1, 914.4),
        gauge("LG-115", "Wash tank", "Wash liquor", fl[2], 1.0, 0.3, 37.8, 3.4, 93.3, 762),
        gauge("LG-121", "C4 bullet", "Mixed C4", fl[3], 0.985, 4.1, 32.2, 10.3, 65.6, 1524),
        gauge("LG-124", "Naphtha rundown", "Light naphtha", fl[4], 1.0, 1.0, 37.8, 5.2, 121.1, 1066.8),
        gauge("LG-127", "Aromatics rundown", "Mixed aromatics", fl[1], 1.0, 0.7, 37.8, 5.2, 121.1, 609.6),
        gauge("LG-130", "Spirits day tank", "Mineral spirits", fl[0], 1.005, 0.2, 26.7, 3.4, 93.3, 914.4),
    ]
    set_values(
        gs,
        x_stock=lambda i: f"71-{40021 + i}",
        x_bin=["A14-2", "A14-3", "C02-1"],
        x_min=1,
        x_hand=[1, 0, 2],
        x_price=[1180, 1240, 1195],
        x_lead=["10 wk", "12 wk"],
    )
    check_sound(gs)
    gs[5]["mass"] = None  # float not weighed: only its design gravity is known
    x = by_tag(gs)
    if b.faulty:
        plant_clear_offset(b, x["LG-110"])
        plant_exchanged_float_that_sinks(b, x["LG-124"], make_float("SPF-1140", 50.8, 228.6, 1150, pmax=27.6, tmax=204.4))
        plant_design_density(b, x["LG-127"], k=1.11)
        plant_magnet_above_top(b, x["LG-121"])
        plant_float_pressure(b, x["LG-115"], v=22.4)
        plant_float_temperature(b, x["LG-112"], v=218.3)
    ws = b.sheet("Floats - spares")
    r = title_lines(b, ws, "SPARE FLOATS FOR MAGNETIC GAUGES", "Storeroom list, one line for each gauge in service")
    cols = [
        ("Stock No.", "x_stock", None),
        ("Used on", "tag", None),
        ("Service", "svc", None),
        ("Fluid", "fluid", None),
        ("SG @ op", "rho", sg60(3)),
        ("Dsgn P psig", "dp", psig()),
        ("Dsgn T °F", "dt", degF()),
        ("Float P/N", "part", None),
        ("Flt OD", "od", inch_fraction),
        ("Flt length", "L", inch_fraction),
        ("Ends", "ends", None),
        ("Flt wt lb", "mass", pound(4)),
        ("Mag ht in.", "mag", inch(3)),
        ("Flt design SG", "drho", sg60(3)),
        ("Flt max psig", "pmax", psig()),
        ("Flt max °F", "tmax", degF()),
        ("Bin", "x_bin", None),
        ("Min stk", "x_min", None),
        ("On hand", "x_hand", None),
        ("Unit cost USD", "x_price", None),
        ("Lead time", "x_lead", None),
    ]
    r = b.table(ws, r, 0, cols, gs)
    ws.write(r, 17, "Total on hand")
    ws.write(r, 18, sum(g["x_hand"] for g in gs))
    note_lines(b, ws, r + 2, ["LG-127 float not weighed yet, order by design SG.", "Do not mix floats between gauges."])
    b.allow("number-as-text")
    finish(b, gs)


@book
def e09_skid_vendor_instrument_list(b: Book) -> None:
    """Skid vendor, US: two-line headings, MAWP, MDMT, whole skid in one list."""
    fl = [
        make_float("V-F-55", 63.5, 355.6, 560, 8, pmax=34.5, tmax=148.9, ends="hemispherical", wall=1.5),
        make_float("V-F-70", 63.5, 330.2, 700, pmax=34.5, tmax=148.9, ends="hemispherical", wall=1.5),
        make_float("V-F-87", 63.5, 279.4, 875, pmax=41.4, tmax=176.7, ends="hemispherical", wall=1.2),
        make_float("V-F-110", 63.5, 254, 1105, pmax=41.4, tmax=176.7, ends="hemispherical", wall=1.2),
    ]
    gs = [
        gauge("LG-1010", "1ST STAGE SCRUBBER", "GAS CONDENSATE", fl[1], 0.985, 5.5, 37.8, 10.3, 93.3, 609.6),
        gauge("LG-1020", "2ND STAGE SCRUBBER", "GAS CONDENSATE", fl[1], 0.98, 8.3, 43.3, 12.4, 93.3, 609.6),
        gauge("LG-1030", "FUEL GAS SCRUBBER", "GAS CONDENSATE", fl[1], 1.0, 6.9, 37.8, 13.8, 93.3, 508),
        gauge("LG-1040", "LUBE OIL RESERVOIR", "ISO VG 46 OIL", fl[2], 0.985, 0.07, 60, 1.0, 93.3, 609.6),
        gauge("LG-1050", "GLYCOL SURGE", "TEG", fl[3], 1.0, 0.3, 48.9, 3.4, 121.1, 762),
        gauge("LG-1060", "COOLANT EXPANSION", "50 % GLYCOL COOLANT", fl[3], 0.965, 0.5, 82.2, 2.1, 121.1, 406.4),
    ]
    set_values(
        gs,
        ityp="Mag level gauge",
        dt_min=-28.9,
        cmat="316L SS",
        x_line='2"',
        x_loc="Skid",
        x_psv=lambda i: None,
        x_sup="By skid vendor",
        x_cable=[12, 18, 25],
        rho_u=[6, 12, 7, None, None, None],
    )
    for g in gs:
        g["x_psv"] = g["dp"]
        check_gauge(g)
    check_sound(gs)
    x = by_tag(gs)
    if b.faulty:
        plant_clear_offset(b, x["LG-1010"])
        plant_barely_floating(b, x["LG-1020"])
        plant_thin_shell(b, x["LG-1030"], 0.6)
        plant_sinking(b, x["LG-1060"])
        plant_long_range(b, x["LG-1040"], 50.8)
        plant_magnetic_chamber(b, x["LG-1050"], "SA-106-B")
    ws = b.sheet("Instr List")
    r = title_lines(b, ws, "INSTRUMENT LIST - BOOSTER COMPRESSOR PACKAGE BC-3", "JOB 5517   Rev 3   ALL ITEMS FURNISHED WITH SKID EXCEPT AS NOTED")
    cols = [
        (("Tag", "No."), "tag", None),
        (("Instr.", "Type"), "ityp", None),
        (("", "Service"), "svc", None),
        (("Line", "Size"), "x_line", None),
        (("", "Fluid"), "fluid", None),
        (("SG", "@ op"), "rho", g_cm3(3)),
        (("Vap dens", "lb/ft3"), "rho_u", lb_ft3(3)),
        (("Op P", "psig"), "op", psig(1)),
        (("Op T", "°F"), "ot", degF()),
        (("MAWP", "psig"), "dp", psig()),
        (("Dsgn T", "°F"), "dt", degF()),
        (("MDMT", "°F"), "dt_min", degF()),
        (("PSV set", "psig"), "x_psv", psig()),
        (("Range /", "Setting"), "x_rng", None),
        (("C-C", "in."), "cc", inch(2)),
        (("Vis L", "in."), "vis", inch(2)),
        (("Chmbr", "mat'l"), "cmat", None),
        (("Flt", "P/N"), "part", None),
        (("Flt OD", "in."), "od", inch(2)),
        (("Flt L", "in."), "L", inch(2)),
        (("Flt", "ends"), "ends", lambda v: {"hemispherical": "Hemi", "flat": "Flat"}.get(v)),
        (("Flt wall", "in."), "wall", inch(4)),
        (("Flt", "mat'l"), "ffmat", None),
        (("Flt wt", "oz"), "mass", ounce(2)),
        (("Mag ht", "in."), "mag", inch(2)),
        (("Flt max", "psig"), "pmax", psig()),
        (("Flt max", "°F"), "tmax", degF()),
        (("Cable", "ft"), "x_cable", None),
        (("Furnished", "by"), "x_sup", None),
    ]
    r = heading_rows(b, ws, r, cols, "first")
    oth = [
        {
            "tag": "PT-1011",
            "ityp": "Press xmtr",
            "svc": "SUCTION",
            "x_line": '8"',
            "fluid": "GAS",
            "op": 5.5,
            "ot": 37.8,
            "dp": 10.3,
            "dt": 93.3,
            "dt_min": -28.9,
            "x_rng": "0-150 psig",
            "x_cable": 14,
            "x_sup": "By skid vendor",
        },
        {
            "tag": "TIT-1022",
            "ityp": "RTD w/ xmtr",
            "svc": "2ND STG DISCHARGE",
            "x_line": '4"',
            "fluid": "GAS",
            "op": 19,
            "ot": 140,
            "dp": 25,
            "dt": 176.7,
            "dt_min": -28.9,
            "x_rng": "0-400 °F",
            "x_cable": 30,
            "x_sup": "By skid vendor",
        },
        {
            "tag": "PSV-1031",
            "ityp": "Relief valve",
            "svc": "FUEL GAS SCRUBBER",
            "x_line": '1"',
            "fluid": "GAS",
            "op": 6.9,
            "ot": 37.8,
            "dp": 13.8,
            "dt": 93.3,
            "dt_min": -28.9,
            "x_psv": 13.8,
            "x_rng": "Set 200 psig",
            "x_sup": "By skid vendor",
        },
        {
            "tag": "LSHH-1021",
            "ityp": "Displacer switch",
            "svc": "2ND STAGE SCRUBBER",
            "x_line": '2"',
            "fluid": "GAS CONDENSATE",
            "rho": 690,
            "op": 8.3,
            "ot": 43.3,
            "dp": 12.4,
            "dt": 93.3,
            "dt_min": -28.9,
            "x_rng": "18 in.",
            "x_cable": 20,
            "x_sup": "By skid vendor",
        },
        {
            "tag": "FT-1001",
            "ityp": "DP flow",
            "svc": "SUCTION",
            "x_line": '8"',
            "fluid": "GAS",
            "op": 5.5,
            "ot": 37.8,
            "dp": 10.3,
            "dt": 93.3,
            "x_rng": "0-100 in WC",
            "x_cable": 44,
            "x_sup": "By others",
        },
    ]
    for g in [oth[4], gs[0], oth[0], gs[1], oth[3], oth[1], gs[2], oth[2], *gs[3:]]:
        if "f" in g:
            b.row(ws, r, 0, cols, g)
        else:
            other_instrument(b, ws, r, cols, g)
        r += 1
    finish(b, gs)


@book
def e12_offshore_interface_gauges(b: Book) -> None:
    """Offshore separation package: level and interface gauges, lower and upper liquid."""
    I_: dict[str, Any] = {"frac": 0.5, "svc": "interface", "pmax": 60, "tmax": 150}
    fl = [
        make_float("OS-I-1020/860", 52, 260, 1020, 860, **I_),
        make_float("OS-I-995/690", 52, 260, 995, 690, **I_),
        make_float("OS-L-850", 52, 290, 850, pmax=60, tmax=150),
        make_float("OS-L-1010", 52, 250, 1010, pmax=60, tmax=150),
        make_float("OS-L-700", 52, 330, 700, pmax=60, tmax=150),
    ]
    gs = [
        gauge("20-LG-1001", "HP separator oil", "Crude oil", fl[2], 1.0, 18, 65, 28, 120, 1500, styp="Level", uflu="HC gas", rho_u=16),
        gauge(
            "20-LG-1002",
            "HP separator interface",
            "Produced water",
            fl[0],
            1.005,
            18,
            65,
            28,
            120,
            1200,
            styp="Interface",
            typ="interface",
            uflu="Crude oil",
            rho_u=850,
        ),
        gauge("20-LG-1011", "LP separator oil", "Crude oil", fl[2], 858 / 850, 3, 70, 10, 120, 1500, styp="Level", uflu="HC gas", rho_u=3),
        gauge(
            "20-LG-1012",
            "LP separator interface",
            "Produced water",
            fl[0],
            1.0,
            3,
            70,
            10,
            120,
            1200,
            styp="Interface",
            typ="interface",
            uflu="Crude oil",
            rho_u=858,
        ),
        gauge("20-LG-1021", "Test separator oil", "Crude oil", fl[2], 857 / 850, 15, 60, 28, 120, 1000, styp="Level", uflu="HC gas", rho_u=13),
        gauge(
            "20-LG-1022",
            "Test separator interface",
            "Produced water",
            fl[0],
            0.998,
            15,
            60,
            28,
            120,
            1000,
            styp="Interface",
            typ="interface",
            uflu="Crude oil",
            rho_u=857,
        ),
        gauge(
            "20-LG-1031",
            "Coalescer interface",
            "Produced water",
            fl[0],
            1.0,
            2,
            75,
            10,
            120,
            900,
            styp="Interface",
            typ="interface",
            uflu="Crude oil",
            rho_u=860,
        ),
        gauge("23-LG-2001", "Scrubber condensate", "Condensate HC", fl[4], 0.985, 30, 40, 42, 100, 800, styp="Level", uflu="HC gas", rho_u=26),
        gauge(
            "23-LG-2002",
            "Condensate / water boot",
            "Water",
            fl[1],
            liquid_density("Water", 40, 30) / 995,
            30,
            40,
            42,
            100,
            700,
            styp="Interface",
            typ="interface",
            uflu="Condensate HC",
            rho_u=690,
            pure="Water",
        ),
        gauge("44-LG-3001", "Degasser", "Produced water", fl[3], 1.0, 1, 70, 6, 120, 1100, styp="Level", uflu="HC gas", rho_u=1.2),
    ]
    set_values(
        gs,
        cmat="UNS S31254",
        fclass=lambda i: 600 if gs[i]["dp"] > 20 else 300,
        x_vessel=lambda i: ["20-VA-001", "20-VA-002", "20-VA-003", "20-VX-004", "23-VG-001", "44-VD-001"][[0, 0, 1, 1, 2, 2, 3, 4, 4, 5][i]],
        x_pid=lambda i: f"PB-20-{3001 + i // 2}",
    )
    check_sound(gs)
    x = by_tag(gs)
    if b.faulty:
        g = x["20-LG-1002"]
        g["rho"], g["rho_u"] = g["rho_u"], g["rho"]
        b.fault(
            "densities-swapped",
            g["tag"],
            ["rho", "rho_u"],
            f"lower {g['rho']}, upper {g['rho_u']}",
            ok=["interface-density-gap-small", "interface-float-outside-fluids", "offset-exceeds-tolerance", "float-sinks"],
        )
        g = x["20-LG-1012"]
        set_float(g, fl[2])
        b.fault(
            "float-service-mismatch",
            g["tag"],
            ["part", "styp", "fsvc"],
            "level float on an interface gauge",
            ok=["interface-float-outside-fluids", "offset-exceeds-tolerance"],
        )
        g = x["20-LG-1022"]
        g["rho"], g["rho_u"] = 958, 922
        offset, mean = reading_offset(g["f"], 958, 922), mean_density(g["f"])
        assert 922 < mean < 958 and offset is not None and abs(offset) < 5, (offset, mean)
        b.fault("interface-density-gap-small", g["tag"], ["rho", "rho_u"], "36 kg/m3 between the liquids")
        g = x["20-LG-1031"]
        set_float(g, fl[1])
        g["rho"], g["rho_u"] = 1020, 925
        assert mean_density(fl[1]) < 915
        b.fault(
            "interface-float-outside-fluids",
            g["tag"],
            ["part", "rho_u", "rho", "mass"],
            f"mean density {mean_density(fl[1]):.0f} below the upper liquid 925",
            ok=["offset-exceeds-tolerance", "design-density-mismatch"],
        )
        plant_magnetic_chamber(b, x["44-LG-3001"], "22Cr duplex S31803")
        plant_float_pressure(b, x["23-LG-2001"], v=66)
        plant_long_range(b, x["20-LG-1021"], 100)
        plant_clear_offset(b, x["20-LG-1011"], vap=True)
    ws = b.sheet("MLG list")
    r = title_lines(b, ws, "MAGNETIC LEVEL GAUGE LIST - SEPARATION PACKAGE", "Tarnoy field, package 20-XX-001", "Vendor document V-20-J-0031 rev 04")
    cols = [
        ("Tag no.", "tag", None),
        ("Vessel", "x_vessel", None),
        ("Service", "svc", None),
        ("P&ID", "x_pid", None),
        ("Level / interface", "styp", None),
        (("Lower fluid", "Name"), "fluid", None),
        (("Lower fluid", "Density\nkg/m³"), "rho", None),
        (("Upper fluid", "Name"), "uflu", None),
        (("Upper fluid", "Density\nkg/m³"), "rho_u", None),
        (("Operating", "barg"), "op", None),
        (("Operating", "°C"), "ot", None),
        (("Design", "barg"), "dp", None),
        (("Design", "°C"), "dt", None),
        (("Gauge", "C/C\nmm"), "cc", None),
        (("Gauge", "Visible\nmm"), "vis", None),
        (("Gauge", "Chamber"), "cmat", None),
        (("Gauge", "Class"), "fclass", None),
        (("Float", "Part no."), "part", None),
    ]
    r = heading_rows(b, ws, r, cols, "down")
    for g in gs:
        b.row(ws, r, 0, cols, g)
        r += 1
    float_sheet(
        b,
        "Floats",
        fl,
        [
            ("Part no.", "part", None),
            ("Made for", "svc", None),
            ("Mass g", "mass", None),
            ("OD mm", "od", None),
            ("Length mm", "L", None),
            ("Ends", "ends", None),
            ("Magnet height mm", "mag", None),
            ("Max. barg", "pmax", None),
            ("Max. °C", "tmax", None),
        ],
    )
    for g in gs:
        count_float_cells(b, g, "mass", "mag", "pmax", "tmax")
        b.pos[(g["tag"], "fsvc")] = list(b.pos[(("float", g["part"]), "svc")])
    finish(b, gs)


@book
def e19_lng_train_holds(b: Book) -> None:
    """LNG plant, US Gulf: refrigerants, design temperature high / low, HOLD, TBC, by vendor, hidden columns."""
    pe, re_, ve = saturation_pressure("Ethylene", -60), liquid_density("Ethylene", -60), vapour_density("Ethylene", -60)
    pp, rp, vp = saturation_pressure("Propane", -20), liquid_density("Propane", -20), vapour_density("Propane", -20)
    fl = [
        make_float("LT-C2", 60, 360, 500, 14, pmax=42, tmax=120),
        make_float("LT-C3", 60, 350, 555, 5.5, pmax=42, tmax=120),
        make_float("LT-HC", 60, 320, 650, 20, pmax=42, tmax=150),
        make_float("LT-AM", 60, 250, 1035, 30, pmax=100, tmax=150, ends="hemispherical"),
        make_float("LT-HO", 60, 290, 835, 1, pmax=42, tmax=300),
        make_float("LT-LX", 60, 255, 1005, 2, pmax=42, tmax=150),
    ]
    gs = [
        gauge("16LG1601", "Ethylene accumulator", "Ethylene", fl[0], re_ / 500, round(pe, 1), -60, 20, 65, 1200, rho_u=round(ve, 1), pure="Ethylene", sat=1),
        gauge("15LG1502", "Propane LP suction drum", "Propane", fl[1], rp / 555, round(pp, 2), -20, 18, 65, 1000, rho_u=round(vp, 2), pure="Propane", sat=1),
        gauge("15LG1505", "Propane economizer", "Propane", fl[1], rp / 555, round(pp, 2), -20, 18, 65, 1000, rho_u=round(vp, 2), pure="Propane", sat=1),
        gauge("14LG1403", "Heavies removal reflux", "Heavy hydrocarbons", fl[2], 0.99, 20, 45, 30, 100, 1400, rho_u=22),
        gauge("13LG1301", "Amine contactor sump", "aMDEA 50 %", fl[3], 1.0, 62, 55, 75, 110, 1100, rho_u=45),
        gauge("13LG1304", "Amine flash drum", "aMDEA rich", fl[5], 1.02, 6, 70, 12, 130, 1500, rho_u=5),
        gauge("51LG5101", "Hot oil expansion", "Hot oil", fl[4], 0.985, 3, 200, 8, 260, 1200, rho_u=2),
        gauge("51LG5104", "Hot oil drain drum", "Hot oil", fl[4], 1.0, 0.2, 180, 5, 260, 900, rho_u=1),
    ]
    set_values(
        gs,
        cmat="316/316L",
        flmat="A182 F316/316L",
        grp="2.3",
        dt_min=[-104, -46, -46, -29, -29, -29, -10, -10],
        fclass=[300, 300, 300, 600, 900, 300, 300, 300],
        x_vessel=lambda i: f"{13 + i // 3}D{1301 + i}",
        x_noz="L1/L2",
        x_line=['2"', '2"', '3"'],
        x_hld=["", "", "HOLD 2", ""],
        x_ext=["Yes", "Yes", "Yes", "No", "No"],
        x_rev="C1",
    )
    check_sound(gs)
    allow_boiling(b, gs)
    x = by_tag(gs)
    if b.faulty:
        g = x["15LG1502"]
        g["rho"] = 500
        b.fault(
            "density-not-at-operating-conditions",
            g["tag"],
            ["rho", "ot"],
            f"propane at -20 degC: {rp:.0f}",
            ok=["offset-exceeds-tolerance", "design-density-mismatch"],
        )
        g = x["13LG1301"]
        g["fclass"] = 300
        assert flange_rating("2.2", 300, g["dt"]) < g["dp"]
        b.fault(
            "flange-rating-exceeded",
            g["tag"],
            ["fclass", "dp", "flmat", "cmat"],
            f"class 300 at {g['dt']} degC: {flange_rating('2.3', 300, g['dt']):.1f} barg < {g['dp']}",
        )
        plant_clear_offset(b, x["14LG1403"], vap=True)
        plant_long_range(b, x["16LG1601"], 150)
        plant_float_temperature(b, x["51LG5101"], v=325)
        plant_above_design(b, x["13LG1304"], "op", 13.5)
    hold = gs[7]
    ws = b.sheet("MLG")
    r = title_lines(
        b,
        ws,
        "MAGNETIC LEVEL GAUGE LIST - TRAIN 1",
        "LNG-T1-J-LST-0406  Rev C1  ISSUED WITH HOLDS",
        "HOLD 1: data by licensor. HOLD 2: nozzle elevations. TBC by vendor after float calculation.",
    )
    cols = [
        ("TAG", "tag", None),
        ("SERVICE", "svc", None),
        ("VESSEL ID", "x_vessel", None),
        ("NOZZLES", "x_noz", None),
        ("CONN. SIZE", "x_line", None),
        ("FLUID", "fluid", None),
        (("OPERATING", "PRESS", "barg"), "op", None),
        (("OPERATING", "TEMP", "°C"), "ot", None),
        (("OPERATING", "LIQ. DENSITY", "kg/m3"), "rho", kg_m3(1)),
        (("OPERATING", "VAP. DENSITY", "kg/m3"), "rho_u", None),
        (("DESIGN", "PRESS", "barg"), "dp", None),
        (("DESIGN", "TEMP HIGH", "°C"), "dt", None),
        (("DESIGN", "TEMP LOW", "°C"), "dt_min", None),
        (("CHAMBER", "MATERIAL", ""), "cmat", None),
        (("CHAMBER", "FLANGE CLASS", "ASME"), "fclass", None),
        (("CHAMBER", "FLANGE MATERIAL", ""), "flmat", None),
        (("CHAMBER", "C-C", "mm"), "cc", None),
        (("CHAMBER", "VISIBLE", "mm"), "vis", None),
        (("CHAMBER", "FROST EXT.", ""), "x_ext", None),
        (("FLOAT", "TYPE", ""), "part", None),
        ("HOLDS", "x_hld", None),
        ("REV", "x_rev", None),
    ]
    r = heading_rows(b, ws, r, cols, "down")
    for g in gs:
        row = dict(g)
        if g is hold:
            row.update(rho="HOLD 1", rho_u="HOLD 1", op="TBC", part="by vendor", x_hld="HOLD 1")
        b.row(ws, r, 0, cols, row)
        r += 1
    ws.set_column(12, 12, None, None, {"hidden": True})
    ws.set_column(20, 21, None, None, {"hidden": True})
    b.allow("row-hidden")
    float_sheet(
        b,
        "FLOATS",
        fl,
        [
            ("TYPE", "part", None),
            ("WEIGHT g", "mass", None),
            ("OD mm", "od", None),
            ("LENGTH mm", "L", None),
            ("ENDS", "ends", None),
            ("MAGNET HT mm", "mag", None),
            ("DESIGN DENSITY kg/m3", "drho", None),
            ("MAX barg", "pmax", None),
            ("MAX °C", "tmax", None),
        ],
    )
    for g in gs:
        count_float_cells(b, g, "mass", "mag", "pmax", "tmax", "drho")
    finish(b, gs)


@book
def e25_alarm_and_trip_schedule(b: Book) -> None:
    """Alarm and trip schedule: four switches on the gauge, voting, SIL, set points in mm, a formula column."""
    f = make_float("AT-860", 50, 280, 860)
    gs = []
    for _i, (n, s, cc) in enumerate(
        [
            (3101, "Reactor feed drum", 1500),
            (3102, "Hot separator", 1200),
            (3103, "Cold separator", 1400),
            (3105, "KO drum", 900),
            (3107, "Flare drum", 1800),
            (3109, "Amine sump", 1000),
            (3112, "Lube drain tank", 700),
        ]
    ):
        gs.append(
            gauge(
                f"31-LG-{n}",
                s,
                "Process liquid",
                f,
                1,
                1,
                40,
                6,
                100,
                cc,
                lsll=round(cc * 0.07),
                lsl=round(cc * 0.16),
                lsh=round(cc * 0.8),
                lshh=round(cc * 0.9),
                x_nor=round(cc * 0.5),
            )
        )
    set_values(
        gs,
        x_sil=["SIL 1", "SIL 2", "-"],
        x_vote=["1oo1", "1oo2"],
        x_act=["Close feed XV", "Stop export pump", "Start spare pump", "Alarm only"],
        x_pr=["High", "Medium"],
        x_pid=lambda i: f"31-{4410 + i}",
        x_vessel=lambda i: f"31-V-{101 + i}",
        x_vh=[4200, 3800, 5200],
        x_hyst=8,
    )
    check_sound(gs)
    x = by_tag(gs)
    if b.faulty:
        plant_switch_order(b, x["31-LG-3102"], "lsll", "lsl")
        plant_switch_order(b, x["31-LG-3103"], "lsh", "lshh")
        plant_switch_outside(b, x["31-LG-3105"], "lshh", 935)
        plant_close_switches(b, x["31-LG-3112"], "lsh", "lshh", 18)
        g = x["31-LG-3107"]
        g["lsll"] = -40
        b.fault("switch-outside-range", g["tag"], ["lsll"], "-40 mm, below the visible range", alt=["value-implausible"])
        plant_long_range(b, x["31-LG-3109"], 120)
    ws = b.sheet("Alarm & trip")
    r = title_lines(
        b,
        ws,
        "ALARM AND TRIP SCHEDULE - SWITCHES ON MAGNETIC LEVEL GAUGES",
        "Set points in mm above bottom process connection (BPC)",
        "Cause and effect: 31-CE-001 Rev 6",
    )
    S = "SET POINTS (mm above BPC)"
    cols = [
        ("GAUGE TAG", "tag", None),
        ("SERVICE", "svc", None),
        ("VESSEL", "x_vessel", None),
        ("VESSEL HEIGHT T/T (mm)", "x_vh", None),
        ("P&ID", "x_pid", None),
        ("C/C (mm)", "cc", None),
        ("VISIBLE LENGTH (mm)", "vis", None),
        ((S, "LOW-LOW TRIP LSLL"), "lsll", None),
        ((S, "LOW ALARM LSL"), "lsl", None),
        ((S, "NORMAL LEVEL"), "x_nor", None),
        ((S, "HIGH ALARM LSH"), "lsh", None),
        ((S, "HIGH-HIGH TRIP LSHH"), "lshh", None),
        ("HYSTERESIS (mm)", "x_hyst", None),
        ("PRIORITY", "x_pr", None),
        ("VOTING", "x_vote", None),
        ("SIL", "x_sil", None),
        ("ACTION ON TRIP", "x_act", None),
    ]
    r = heading_rows(b, ws, r, cols, "down")
    for g in gs:
        b.row(ws, r, 0, cols, g)
        r += 1
    note_lines(b, ws, r + 1, ["Normal level for information only.", "Switches are clamped to the chamber, bistable."])
    finish(b, gs)


@book
def e26_loop_list_percent_or_mm(b: Book) -> None:
    """Loop / I/O list: Rng Min, Rng Max with EU in mm or %, other loops between, reverse action."""
    f = make_float("N9-840", 50, 285, 840)
    gs = []
    for _i, (n, s, cc, eu) in enumerate(
        [
            (201, "Feed drum", 1200, "mm"),
            (204, "Reflux drum", 1000, "%"),
            (207, "Reboiler sump", 800, "mm"),
            (211, "Product drum", 1500, "%"),
            (215, "Slop drum", 1400, "mm"),
            (218, "Flush drum", 900, "mm"),
            (222, "Seal oil pot", 600, "mm"),
            (226, "Chiller sump", 1100, "mm"),
            (230, "Additive pot", 500, "%"),
        ]
    ):
        g = gauge(f"09-LT-{n}", s, "Process oil", f, 1, 1, 40, 6, 100, cc, eu=eu, act="Direct", slev=cc / 2)
        g["scur"] = loop_current(g)
        gs.append(g)
    gs[8]["act"] = "Direct"
    gs[7].update(lrv=1100, urv=0, act="Reverse")
    gs[7]["scur"] = 12.0
    set_values(
        gs,
        ityp="Magnetic gauge with reed chain",
        x_sys="DCS",
        x_io="AI",
        x_card=lambda i: f"C0{1 + i // 4}-S{1 + i % 4}",
        x_ch=lambda i: 1 + i % 8,
        x_mc=["MC-03", "MC-04"],
        x_cab=[140, 155, 90],
        x_jb=lambda i: f"JB-09-{11 + i // 3}",
        x_pid=lambda i: f"09-{1101 + i}",
        x_cable=lambda i: f"09-C-{2001 + i}",
    )
    for g in gs:
        check_gauge(g)
    x = by_tag(gs)
    if b.faulty:
        plant_reversed_range(b, x["09-LT-207"])
        plant_urv_outside(b, x["09-LT-215"], 100)
        x["09-LT-215"]["scur"] = loop_current(x["09-LT-215"])
        plant_urv_short(b, x["09-LT-218"], 90)
        x["09-LT-218"]["scur"] = loop_current(x["09-LT-218"])
        plant_current(b, x["09-LT-222"], 0.8)
        plant_current(b, x["09-LT-211"], -1.1)
        plant_long_range(b, x["09-LT-201"], 60)
        x["09-LT-201"]["slev"] = x["09-LT-201"]["vis"] / 2
        plant_malformed_tag(b, x["09-LT-226"], "09-TT-226")
    ws = b.sheet("IO")
    r = title_lines(b, ws, "LOOP AND I/O LIST UNIT 09", "Level EU % = % of visible length")

    def pc(g: Gauge, k: str) -> Any:
        return g[k] if g["eu"] == "mm" else round(100 * g[k] / g["vis"], 1)

    cols = [
        ("Tag", "*tag", shown_tag),
        ("Description", "svc", None),
        ("Device", "ityp", None),
        ("P&ID", "x_pid", None),
        ("System", "x_sys", None),
        ("I/O", "x_io", None),
        ("Card", "x_card", None),
        ("Ch", "x_ch", None),
        ("Cabinet", "x_mc", None),
        ("JB", "x_jb", None),
        ("Cable No.", "x_cable", None),
        ("Cable m", "x_cab", None),
        ("C-C mm", "cc", None),
        ("Vis length mm", "vis", None),
        ("Rng Min", "*lrv", lambda g: pc(g, "lrv")),
        ("Rng Max", "*urv", lambda g: pc(g, "urv")),
        ("EU", "*x_eu", lambda g: g["eu"]),
        ("Action", "act", None),
        ("Check level mm", "slev", None),
        ("mA at check level", "scur", None),
    ]
    r = heading_rows(b, ws, r, cols)
    oth = [
        {
            "tag": "09-PT-203",
            "svc": "Feed drum pressure",
            "ityp": "Pressure transmitter",
            "x_sys": "DCS",
            "x_io": "AI",
            "x_card": "C01-S1",
            "x_ch": 7,
            "x_mc": "MC-03",
            "x_cab": 141,
            "lrv": 0,
            "urv": 10,
            "x_eu": "barg",
            "act": "Direct",
        },
        {
            "tag": "09-TT-209",
            "svc": "Reboiler temperature",
            "ityp": "Temp. transmitter",
            "x_sys": "DCS",
            "x_io": "AI",
            "x_card": "C01-S1",
            "x_ch": 8,
            "x_mc": "MC-03",
            "x_cab": 90,
            "lrv": 0,
            "urv": 250,
            "x_eu": "°C",
            "act": "Direct",
        },
        {
            "tag": "09-LV-207",
            "svc": "Reboiler level",
            "ityp": "Control valve",
            "x_sys": "DCS",
            "x_io": "AO",
            "x_card": "C02-S1",
            "x_ch": 1,
            "x_mc": "MC-03",
            "x_cab": 95,
            "lrv": 0,
            "urv": 100,
            "x_eu": "%",
            "act": "Direct",
        },
        {
            "tag": "09-LT-209",
            "svc": "Reboiler level",
            "ityp": "Radar",
            "x_sys": "SIS",
            "x_io": "AI",
            "x_card": "S01-S1",
            "x_ch": 1,
            "x_mc": "MC-09",
            "x_cab": 95,
            "lrv": 0,
            "urv": 800,
            "x_eu": "mm",
            "act": "Direct",
        },
    ]
    for g in [gs[0], oth[0], gs[1], gs[2], oth[3], oth[1], oth[2], *gs[3:]]:
        if "f" in g:
            b.row(ws, r, 0, cols, g)
        else:
            row = {("*" + k if k in ("lrv", "urv", "tag") else k): v for k, v in g.items()}
            row.update({k: g[k] for k in ("lrv", "urv", "tag")})
            other_instrument(b, ws, r, cols, row)
        r += 1
    finish(b, gs)
