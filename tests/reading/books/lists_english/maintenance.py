"""Lists of plants that run: exports, registers, calibration, hydrotest, heat tracing, punch list."""

from __future__ import annotations

import math
from typing import Any

from tests.reading.books.lists_english.common import (
    add_test_pressures,
    check_sound,
    finish,
    heading_rows,
    heat_loss,
    machine_text,
    note_lines,
    other_instrument,
    plant_clear_offset,
    plant_close_switches,
    plant_duplicate_tag,
    plant_exchanged_float,
    plant_hot_tracing,
    plant_magnet_above_top,
    plant_missing_tag,
    plant_no_tracing,
    plant_other_serial,
    plant_reused_serial,
    plant_switch_order,
    plant_switch_outside,
    set_values,
    shown_tag,
    title_lines,
)
from tests.reading.faults import (
    plant_above_design,
    plant_current,
    plant_flange_rating,
    plant_float_pressure,
    plant_float_temperature,
    plant_long_range,
    plant_magnetic_chamber,
    plant_reversed_range,
    plant_test_pressure,
    plant_urv_outside,
    plant_urv_short,
)
from tests.reading.gauges import add_serials, by_tag, gauge, loop_current, make_float
from tests.reading.physics import liquid_density, saturation_temperature
from tests.reading.registry import book
from tests.reading.units import barg, g_cm3, gram, kg_m3, kilogram, kpag, metre, mm, psig
from tests.reading.writing import Book, Gauge


@book
def e05_maintenance_export(b: Book) -> None:
    """Maintenance system export: machine names, everything text, other equipment classes between."""
    fl = [
        make_float("10044711", 51, 300, 775, pmax=25, tmax=200),
        make_float("10044718", 51, 280, 850, pmax=25, tmax=200),
        make_float("10044725", 51, 250, 985, pmax=25, tmax=200),
        make_float("10044730", 51, 345, 655, pmax=40, tmax=200, ends="hemispherical"),
    ]
    gs = [
        gauge("33-LG-2011", "LG STABILISER FEED", "STABILISER FEED", fl[0], 0.99, 3.2, 55, 8, 130, 1100),
        gauge("33-LG-2014", "LG RUNDOWN COOLER", "GAS OIL CUT", fl[1], 1.0, 1.0, 48, 6, 130, 800),
        gauge("33-LG-2015", "LG WATER BOOT", "PROCESS WATER", fl[2], 0.995, 3.2, 55, 8, 130, 500),
        gauge("33-LG-2020A", "LG REFLUX DRUM", "C5 CUT", fl[3], 0.99, 7.5, 40, 12, 100, 1300),
        gauge("33-LG-2020B", "LG REFLUX DRUM", "C5 CUT", fl[3], 0.99, 7.5, 40, 12, 100, 1300),
        gauge("33-LG-2031", "LG FLUSHING OIL", "GAS OIL CUT", fl[1], 1.01, 4.0, 60, 10, 150, 900),
        gauge("33-LG-2040", "LG SLOP TANK", "SLOP", fl[1], 0.98, 0.1, 35, 3.5, 90, 1500),
        gauge("33-LG-2044", "LG CLOSED DRAIN", "DRAIN HC", fl[0], 1.005, 0.1, 40, 3.5, 90, 1200),
    ]
    set_values(
        gs,
        x_floc=lambda i: f"FB1-33-{2010 + i}",
        x_eq=lambda i: 20088100 + 7 * i,
        x_class="LVL_GAUGE_MAG",
        x_plant="FB01",
        x_cc="41033",
        x_date=lambda i: f"2019-0{1 + i}-14",
        x_pm=lambda i: f"2027-0{1 + i}-01",
        x_val=[2210.5, 1985, 2410],
        x_crit=["B", "C", "A"],
        x_disch=None,
        cmat="316L",
        grp="2.3",
        fclass=150,
        ltag=lambda i: f"33-LIT-{2011 + i}",
    )
    for g in gs:
        g["old"] = "LG" + g["tag"][6:]
    add_serials(gs, "K19-", 700)
    add_test_pressures(gs)
    check_sound(gs)
    x = by_tag(gs)
    if b.faulty:
        plant_clear_offset(b, x["33-LG-2011"])
        plant_magnetic_chamber(b, x["33-LG-2014"], "CS A106B")
        plant_reversed_range(b, x["33-LG-2015"])
        plant_urv_outside(b, x["33-LG-2031"])
        plant_float_pressure(b, x["33-LG-2044"], v=28, ok=["flange-rating-exceeded"])
        plant_reused_serial(b, x["33-LG-2020B"], x["33-LG-2020A"])
        plant_above_design(b, x["33-LG-2040"], "ot", 97)
        plant_magnet_above_top(b, x["33-LG-2020A"])
    ws = b.sheet("EXPORT")
    cols = [
        ("FUNC_LOC", "x_floc", None),
        ("EQUIP_NO", "x_eq", None),
        ("EQUIP_CLASS", "x_class", None),
        ("TAG_NO", "tag", None),
        ("LEGACY_TAG", "old", None),
        ("EQUIP_DESCR", "svc", None),
        ("PLANT", "x_plant", None),
        ("COST_CENTRE", "x_cc", None),
        ("ABC_IND", "x_crit", None),
        ("MFR_SERIAL", "gsn", None),
        ("PROC_MEDIUM", "fluid", None),
        ("PROC_DENS_KGM3", "rho", None),
        ("OPER_PRESS_BARG", "op", None),
        ("OPER_TEMP_C", "ot", None),
        ("DES_PRESS_BARG", "dp", None),
        ("DES_TEMP_C", "dt", None),
        ("TEST_PRESS_BARG", "tp", None),
        ("DISCH_PRESS_BARG", "x_disch", None),
        ("CHMB_MATL", "cmat", None),
        ("FLG_CLASS", "fclass", None),
        ("CONN_CC_MM", "cc", None),
        ("VIS_LEN_MM", "vis", None),
        ("XMTR_TAG", "ltag", None),
        ("XMTR_LRV_MM", "lrv", None),
        ("XMTR_URV_MM", "urv", None),
        ("FLT_PART_NO", "part", None),
        ("FLT_SERIAL", "fsn", None),
        ("FLT_MASS_G", "mass", None),
        ("FLT_OD_MM", "od", None),
        ("FLT_LEN_MM", "L", None),
        ("FLT_ENDS", "ends", lambda v: v.upper()),
        ("MAGNET_HT_MM", "mag", None),
        ("FLT_MAX_PRESS_BARG", "pmax", None),
        ("FLT_MAX_TEMP_C", "tmax", None),
        ("ACQ_VALUE", "x_val", None),
        ("START_UP_DATE", "x_date", None),
        ("NEXT_PM_DATE", "x_pm", None),
    ]
    text = [(h, f, machine_text(fn)) for h, f, fn in cols]
    for j, (h, *_) in enumerate(text):
        ws.write(0, j, h)
    pumps = [
        {
            "x_floc": "FB1-33-3001",
            "x_eq": 20077001,
            "x_class": "PUMP_CENTRIF",
            "tag": "33-P-301A",
            "svc": "PUMP STABILISER FEED",
            "x_plant": "FB01",
            "x_cc": "41033",
            "x_crit": "A",
            "gsn": "P-55120",
            "fluid": "STABILISER FEED",
            "rho": 770,
            "op": 3.0,
            "ot": 55,
            "dp": 22,
            "dt": 130,
            "x_disch": 14.5,
            "x_val": 18400,
            "x_date": "2018-05-01",
            "x_pm": "2026-11-01",
        },
        {
            "x_floc": "FB1-33-4007",
            "x_eq": 20079002,
            "x_class": "VALVE_RELIEF",
            "tag": "33-PSV-2020",
            "svc": "PSV REFLUX DRUM",
            "x_plant": "FB01",
            "x_cc": "41033",
            "x_crit": "A",
            "gsn": "RV-9917",
            "fluid": "C5 CUT",
            "op": 7.5,
            "ot": 40,
            "dp": 12,
            "dt": 100,
            "x_val": 3100,
            "x_date": "2018-05-01",
            "x_pm": "2026-10-01",
        },
    ]
    r = 1
    for g in [pumps[0], *gs[:4], pumps[1], *gs[4:]]:
        if "f" in g:
            b.row(ws, r, 0, text, g)
        else:
            other_instrument(b, ws, r, text, g)
        r += 1
    b.allow("number-as-text")
    finish(b, gs)


@book
def e06_asset_register_uom_columns(b: Book) -> None:
    """Asset register, Australian water utility: a UoM column next to each value, units mixed from row to row."""
    fl = [
        make_float("CD-105", 60, 240, 1050, pmax=6, tmax=60, mat="PVC-U"),
        make_float("CD-122", 60, 220, 1215, pmax=6, tmax=60, mat="PVC-U"),
        make_float("CD-133", 60, 210, 1330, pmax=6, tmax=60, mat="PVC-U"),
        make_float("CD-145", 60, 200, 1440, pmax=6, tmax=60, mat="PVC-U"),
        make_float("CD-100", 60, 250, 998, pmax=10, tmax=90, mat="316L"),
    ]
    gs = [
        gauge("CD-LI-1101", "Sodium hypochlorite storage 1", "Sodium hypochlorite 12.5 %", fl[1], 1.0, 0.02, 25, 1.0, 50, 2400),
        gauge("CD-LI-1102", "Sodium hypochlorite storage 2", "Sodium hypochlorite 12.5 %", fl[1], 1.0, 0.02, 25, 1.0, 50, 2400),
        gauge("CD-LI-1201", "Alum storage", "Aluminium sulphate 47 %", fl[2], 0.995, 0.02, 25, 1.0, 50, 3000),
        gauge("CD-LI-1301", "Ferric chloride storage", "Ferric chloride 42 %", fl[3], 1.0, 0.02, 25, 1.0, 50, 3000),
        gauge("CD-LI-1401", "Polymer make-up", "Polymer 0.2 %", fl[4], 1.005, 0.01, 22, 0.5, 45, 1500),
        gauge("CD-LI-1501", "Ammonium sulphate day tank", "Ammonium sulphate 10 %", fl[0], 1.01, 0.01, 25, 1.0, 50, 900),
        gauge("CD-LI-1601", "Service water pot", "Service water", fl[4], 1.0, 3.5, 20, 8, 60, 600),
    ]
    set_values(
        gs,
        x_asset=lambda i: 770120 + 3 * i,
        x_loc=["Chem Bldg Bund A", "Chem Bldg Bund B"],
        x_cap=[35, 35, 50, 50, 5, 2, 0.2],
        x_cond=[2, 3, 2, 1],
        x_repl=[6400, 6400, 7100, 7100, 5200],
        x_inst=["2011-06", "2015-02"],
        cmat=["PVC-U", "PVC-U", "PVC-U", "PVC-U", "316 SS", "PVC-U", "316 SS"],
        up=["kPag", "kPag", "barg", "kPag", "kPag", "barg", "kPag"],
        ul=["mm", "m", "mm", "m", "mm", "mm", "mm"],
        um=["g", "kg", "g", "g", "kg", "g", "g"],
        ud=["SG", "SG", "kg/m3", "SG", "kg/m3", "SG", "kg/m3"],
    )
    check_sound(gs)
    x = by_tag(gs)
    if b.faulty:
        plant_exchanged_float(b, x["CD-LI-1501"], fl[2])
        plant_long_range(b, x["CD-LI-1102"], 200)
        plant_float_pressure(b, x["CD-LI-1301"], v=7.0)
        plant_float_temperature(b, x["CD-LI-1401"], v=110)
        plant_above_design(b, x["CD-LI-1601"], "op", 8.9)
        g = x["CD-LI-1101"]
        g["ud_shown"] = "SG"
        g["rho_shown"] = 1215
        b.fault("value-implausible", g["tag"], ["rho", "x_uom_rho"], "1215 with the unit SG")
    P = {"kPag": kpag(), "barg": barg(2)}
    L = {"mm": mm(), "m": metre(2)}
    D = {"SG": g_cm3(3), "kg/m3": kg_m3()}
    M = {"g": gram(), "kg": kilogram(4)}
    ws = b.sheet("Asset register")
    r = title_lines(b, ws, "ASSET REGISTER EXTRACT - CHEMICAL DOSING - LOCAL LEVEL INDICATORS (MAGNETIC)", "Myrrdale Water Treatment Plant")
    cols = [
        ("Asset ID", "x_asset", None),
        ("Tag", "tag", None),
        ("Asset description", "svc", None),
        ("Location", "x_loc", None),
        ("Tank capacity", "x_cap", None),
        ("UoM", "*x_uom_cap", lambda g: "kL"),
        ("Medium", "fluid", None),
        ("Density", "*rho", lambda g: g.get("rho_shown", D[g["ud"]](g["rho"]))),
        ("UoM", "*x_uom_rho", lambda g: g["ud"]),
        ("Operating pressure", "*op", lambda g: P[g["up"]](g["op"])),
        ("UoM", "*x_uom_op", lambda g: g["up"]),
        ("Operating temperature", "ot", None),
        ("UoM", "*x_uom_ot", lambda g: "degC"),
        ("Design pressure", "*dp", lambda g: P[g["up"]](g["dp"])),
        ("UoM", "*x_uom_dp", lambda g: g["up"]),
        ("Design temperature", "dt", None),
        ("UoM", "*x_uom_dt", lambda g: "degC"),
        ("Connection centres", "*cc", lambda g: L[g["ul"]](g["cc"])),
        ("UoM", "*x_uom_cc", lambda g: g["ul"]),
        ("Visible length", "*vis", lambda g: L[g["ul"]](g["vis"])),
        ("UoM", "*x_uom_vis", lambda g: g["ul"]),
        ("Chamber material", "cmat", None),
        ("Float model", "part", None),
        ("Float mass", "*mass", lambda g: M[g["um"]](g["mass"])),
        ("UoM", "*x_uom_mass", lambda g: g["um"]),
        ("Float diameter", "od", None),
        ("UoM", "*x_uom_od", lambda g: "mm"),
        ("Float length", "L", None),
        ("UoM", "*x_uom_L", lambda g: "mm"),
        ("Float ends", "ends", None),
        ("Magnet height from float base", "mag", None),
        ("UoM", "*x_uom_mag", lambda g: "mm"),
        ("Float max. pressure", "*pmax", lambda g: P[g["up"]](g["pmax"])),
        ("UoM", "*x_uom_pmax", lambda g: g["up"]),
        ("Float max. temperature", "tmax", None),
        ("UoM", "*x_uom_tmax", lambda g: "degC"),
        ("Condition (1-5)", "x_cond", None),
        ("Replacement cost", "x_repl", None),
        ("UoM", "*x_uom_cost", lambda g: "AUD"),
        ("Installed", "x_inst", None),
    ]
    b.table(ws, r, 0, cols, gs)
    ws.set_column(37, 38, None, None, {"hidden": True})
    finish(b, gs)


@book
def e07_calibration_register(b: Book) -> None:
    """Calibration register: ranges, test point, as found / as left, certificates and dates."""
    f = make_float("N4-870", 50, 280, 870)
    gs = []
    for i, (n, s, cc) in enumerate(
        [
            (2101, "Wash column sump", 1200),
            (2102, "Solvent hold tank", 1500),
            (2105, "Raffinate drum", 900),
            (2107, "Extract drum", 1000),
            (2110, "Stripper sump", 800),
            (2113, "Reflux accumulator", 1100),
            (2118, "Blowdown drum", 1400),
            (2121, "Seal pot", 500),
            (2124, "Additive tank", 700),
        ]
    ):
        g = gauge(f"LG-{n}", s, "Extraction solvent", f, 1, 1, 40, 6, 100, cc, ltag=f"LT-{n}", slev=round(cc * [0.25, 0.5, 0.75][i % 3], 1))
        g["scur"] = loop_current(g)
        g.update(
            x_found=round(g["scur"] + [0.01, -0.02, 0.02, 0][i % 4], 2),
            x_cert=f"C{26000 + 17 * i}",
            x_date=f"{4 + 2 * i}-May",
            x_due=f"{4 + 2 * i}-May next year",
            x_tech=["J. Ord", "P. Lyle"][i % 2],
            x_err=round([0.01, -0.02, 0.02, 0][i % 4] / 16 * 100, 2),
            x_ref="CAL-0331",
        )
        gs.append(g)
    add_serials(gs, "MG-", 88201, 3)
    for i, g in enumerate(gs):
        g.update(lsn=f"T{51020 + i}", lgsn=g["gsn"])
    check_sound(gs)
    x = by_tag(gs)
    if b.faulty:
        plant_current(b, x["LG-2102"], 0.64)
        x["LG-2102"]["x_found"] = x["LG-2102"]["scur"]
        plant_reversed_range(b, x["LG-2105"])
        plant_urv_outside(b, x["LG-2110"], 60)
        x["LG-2110"]["scur"] = x["LG-2110"]["x_found"] = loop_current(x["LG-2110"])
        plant_urv_short(b, x["LG-2113"], 70)
        x["LG-2113"]["scur"] = x["LG-2113"]["x_found"] = loop_current(x["LG-2113"])
        plant_other_serial(b, x["LG-2118"], x["LG-2121"]["gsn"], "lgsn")
        plant_duplicate_tag(b, x["LG-2124"], x["LG-2121"])
        plant_other_serial(b, x["LG-2107"], "MG-88991")
    ws = b.sheet("Register")
    r = title_lines(
        b, ws, "CALIBRATION REGISTER - LEVEL TRANSMITTERS ON MAGNETIC GAUGES", "Workshop copy. Reference standards: mA calibrator CAL-0331, due Nov."
    )
    cols = [
        ("Gauge\ntag", "*tag", shown_tag),
        ("Transmitter\ntag", "ltag", None),
        ("Location / service", "svc", None),
        ("Gauge\nS/N", "gsn", None),
        ("Transmitter\nS/N", "lsn", None),
        ("Transmitter supplied\nwith gauge S/N", "lgsn", None),
        ("Float plate:\ngauge S/N", "fgsn", None),
        ("Visible\nlength mm", "vis", None),
        (("Calibrated range, mm", "4 mA at"), "lrv", None),
        (("Calibrated range, mm", "20 mA at"), "urv", None),
        (("Check point", "Level mm"), "slev", None),
        (("Check point", "Required mA"), "scur", None),
        (("Check point", "As found mA"), "x_found", None),
        (("Check point", "Error % span"), "x_err", None),
        ("Cert. no.", "x_cert", None),
        ("Ref. std.", "x_ref", None),
        ("Date", "x_date", None),
        ("Next due", "x_due", None),
        ("Technician", "x_tech", None),
    ]
    r = heading_rows(b, ws, r, cols, "down")
    for g in gs:
        b.row(ws, r, 0, cols, g)
        r += 1
    finish(b, gs)


@book
def e21_hazardous_area_register(b: Book) -> None:
    """Hazardous area register: zones, temperature class, certificates, sheath temperatures, ambient range."""
    fl = [
        make_float("EXF-80", 50, 290, 800, pmax=25, tmax=200),
        make_float("EXF-90", 50, 270, 905, pmax=25, tmax=200),
        make_float("EXF-100", 50, 250, 1000, pmax=25, tmax=160),
    ]
    gs = [
        gauge("LG-7101", "Wax feed drum", "Slack wax", fl[0], 1.0, 1, 85, 6, 150, 1000, pour=55, trace="Electric", tmaint=80, tsheath=120, tclass="T4"),
        gauge("LG-7102", "Wax rundown", "Slack wax", fl[0], 0.99, 0.5, 80, 6, 150, 900, pour=55, trace="Electric", tmaint=80, tsheath=120, tclass="T4"),
        gauge("LG-7105", "Extract drum", "Aromatic extract", fl[1], 1.005, 2, 90, 8, 160, 1200, pour=20, trace="Electric", tmaint=60, tsheath=150, tclass="T3"),
        gauge("LG-7106", "Raffinate drum", "Raffinate", fl[1], 0.985, 2, 75, 8, 160, 1200, pour=25, trace="Steam", tmaint=70, tsheath=150, tclass="T3"),
        gauge("LG-7110", "Effluent pot", "Oily effluent", fl[2], 0.995, 0.5, 50, 5, 120, 700, pour=0, trace="Electric", tmaint=20, tsheath=80, tclass="T4"),
        gauge("LG-7112", "Solvent drum", "Dry solvent", fl[0], 1.005, 1.2, 45, 6, 120, 1100, pour=-60, trace="None", tclass="T3"),
        gauge("LG-7115", "Flush oil pot", "Flush oil", fl[1], 0.97, 3, 60, 8, 150, 600, pour=-12, trace="None", tclass="T3"),
    ]
    add_serials(gs, "E", 30551)
    set_values(
        gs,
        ltag=lambda i: gs[i]["tag"].replace("LG", "LIT"),
        ltmax=85,
        amb=0,
        x_zone=[1, 1, 2, 2],
        x_gg="IIB",
        x_prot=["Ex db", "Ex ia", "Ex ia"],
        x_cert=lambda i: f"NB 26 ATEX {1044 + 3 * i} X",
        x_ip="IP66",
        x_insp=["Detailed 04/25", "Close 10/25"],
        x_res=["OK", "OK", "Fault 3: gland loose"],
        cmat="316L",
    )
    for g in gs:
        if (g.get("tsheath") or 0) > 85:
            g["ltmax"] = None
    check_sound(gs)
    x = by_tag(gs)
    if b.faulty:
        plant_hot_tracing(b, x["LG-7101"], "tsheath", 175, 135, ["tclass"])
        plant_hot_tracing(b, x["LG-7110"], "tsheath", 110, 85, ["ltmax"])
        plant_no_tracing(b, x["LG-7106"], "None")
        plant_float_temperature(b, x["LG-7105"], v=225)
        plant_other_serial(b, x["LG-7112"], "E30615")
        plant_long_range(b, x["LG-7115"], 90)
        plant_urv_outside(b, x["LG-7102"])
    ws = b.sheet("Ex register")
    r = title_lines(b, ws, "HAZARDOUS AREA EQUIPMENT REGISTER - MAGNETIC LEVEL GAUGES WITH TRANSMITTERS", "Area classification drawing 71-HA-002 Rev 5")
    cols = [
        ("Tag", "tag", None),
        ("Transmitter", "ltag", None),
        ("Location / duty", "svc", None),
        ("Fluid", "fluid", None),
        ("Zone", "x_zone", None),
        ("Gas\ngroup", "x_gg", None),
        ("T-class", "tclass", None),
        ("Protection", "x_prot", None),
        ("Certificate", "x_cert", None),
        ("IP", "x_ip", None),
        ("Min. ambient\n°C", "amb", None),
        ("Design temp.\n°C", "dt", None),
        ("Design press.\nbarg", "dp", None),
        ("Pour point\n°C", "pour", None),
        ("Heat tracing", "trace", None),
        ("Maintain temp.\n°C", "tmaint", None),
        ("Max. sheath temp.\n°C", "tsheath", None),
        ("Transmitter max. temp.\n°C", "ltmax", None),
        ("Transmitter range", "*range", lambda g: f"{g['lrv']} - {g['urv']} mm"),
        ("C-C\nmm", "cc", None),
        ("Visible range\nmm", "vis", None),
        ("Gauge S/N", "gsn", None),
        ("Float S/N", "fsn", None),
        ("Float tag plate (gauge S/N)", "fgsn", None),
        ("Float type", "part", None),
        ("Float max. temp.\n°C", "tmax", None),
        ("Float max. press.\nbarg", "pmax", None),
        ("Last inspection", "x_insp", None),
        ("Result", "x_res", None),
    ]
    b.table(ws, r, 0, cols, gs)
    b.allow("number-as-text")
    finish(b, gs)


@book
def e22_commissioning_punch_list(b: Book) -> None:
    """Commissioning check and punch list: scale zero, serials, currents, switches, long remarks."""
    f = make_float("PX-810", 50, 290, 810)
    gs = []
    for i, (n, s, cc) in enumerate(
        [
            (101, "Feed drum", 1000),
            (102, "Overhead drum", 1200),
            (103, "Column sump", 1500),
            (104, "Rundown drum", 800),
            (105, "Solvent tank", 1400),
            (106, "Residue drum", 900),
            (107, "Vent pot", 600),
            (108, "Flush drum", 1100),
            (109, "Export drum", 1300),
        ]
    ):
        g = gauge(
            f"55-LG-{n}",
            s,
            "Recycle solvent",
            f,
            1,
            1,
            40,
            6,
            100,
            cc,
            slev=round(cc / 2),
            zero=[0, 2, -1, 0][i % 4],
            lsl=round(cc * 0.12),
            lsh=round(cc * 0.85),
            lshh=round(cc * 0.93),
        )
        g["scur"] = loop_current(g)
        gs.append(g)
    add_serials(gs, "YB-2600", 11)
    set_values(
        gs,
        x_cat=["A", "B", "C"],
        x_stat=["Open", "Closed"],
        x_sys="55-02",
        x_by=["MC", "Precom"],
        x_date=lambda i: f"{3 + i}-Sep",
        rem=[
            "Indicator flags 3 off not flipped, reset with hand magnet",
            "Drain plug missing",
            "",
            "Vent valve handle to be turned",
            "Tracing not terminated, see E-punch 0441",
            "",
            "Paint touch-up",
            "",
            "Isolation valve tag missing",
        ],
        x_punch=lambda i: f"P-{2201 + i}",
    )
    check_sound(gs)
    x = by_tag(gs)
    if b.faulty:
        x["55-LG-102"]["zero"] = 38
        b.fault("scale-zero-shifted", "55-LG-102", ["zero"], "zero 38 mm above the lower connection")
        plant_other_serial(b, x["55-LG-103"], x["55-LG-104"]["gsn"])
        plant_current(b, x["55-LG-105"], -0.7)
        plant_switch_order(b, x["55-LG-106"], "lsl", "lsh")
        plant_close_switches(b, x["55-LG-107"], "lsh", "lshh", 12)
        plant_switch_outside(b, x["55-LG-108"], "lshh", 1140)
        plant_reused_serial(b, x["55-LG-109"], x["55-LG-101"])
        plant_urv_short(b, x["55-LG-104"], 80)
        x["55-LG-104"]["scur"] = loop_current(x["55-LG-104"])
    ws = b.sheet("Punch")
    r = title_lines(b, ws, "SYSTEM 55-02 - MAGNETIC LEVEL GAUGES: FIELD CHECKS AND PUNCH ITEMS", "Levels in mm above centre line of lower nozzle")
    cols = [
        ("Punch No.", "x_punch", None),
        ("Cat.", "x_cat", None),
        ("System", "x_sys", None),
        ("Tag", "tag", None),
        ("Description", "svc", None),
        (("Name plates", "Gauge S/N"), "gsn", None),
        (("Name plates", "Float S/N"), "fsn", None),
        (("Name plates", "Gauge S/N on float"), "fgsn", None),
        (("Scale", "Visible length"), "vis", None),
        (("Scale", "Zero at (mm)"), "zero", None),
        (("Nozzle", "centres (mm)"), "cc", None),
        (("Transmitter", "LRV"), "lrv", None),
        (("Transmitter", "URV"), "urv", None),
        (("Loop check", "Level (mm)"), "slev", None),
        (("Loop check", "Current (mA)"), "scur", None),
        (("Switch set points (mm)", "LSL"), "lsl", None),
        (("Switch set points (mm)", "LSH"), "lsh", None),
        (("Switch set points (mm)", "LSHH"), "lshh", None),
        ("Punch item / remarks", "rem", None),
        ("Raised by", "x_by", None),
        ("Date", "x_date", None),
        ("Status", "x_stat", None),
    ]
    r = heading_rows(b, ws, r, cols, "each")
    for g in gs:
        b.row(ws, r, 0, cols, g)
        r += 1
    note_lines(b, ws, r + 1, ["Cat. A: before start-up, B: before handover, C: by agreement."])
    finish(b, gs)


@book
def e23_hydrotest_packages(b: Book) -> None:
    """Hydrotest package register: one unit column for the row, psig and barg mixed, a row without tag."""
    fl = [
        make_float("WF-30", 50, 300, 780, pmax=30, tmax=200),
        make_float("WF-60", 50, 290, 820, pmax=62, tmax=200),
        make_float("WF-20", 50, 250, 1000, pmax=20, tmax=160),
    ]
    gs = [
        gauge("40-LG-011", "Feed drum", "Solvent", fl[0], 1, 2, 40, 8, 120, 1000, fclass=150),
        gauge("40-LG-012", "Flash drum", "Solvent", fl[0], 1, 6, 60, 12, 120, 900, fclass=150),
        gauge("40-LG-015", "HP separator", "Oil", fl[1], 1, 25, 55, 34, 120, 1200, fclass=600),
        gauge("40-LG-016", "HP separator", "Oil", fl[1], 1, 25, 55, 34, 120, 1200, fclass=600),
        gauge("40-LG-021", "Water drum", "Process water", fl[2], 1, 2, 60, 8, 120, 700, fclass=150),
        gauge("40-LG-022", "Water drum", "Process water", fl[2], 1, 2, 60, 8, 120, 700, fclass=150),
        gauge("40-LG-030", "Export drum", "Oil", fl[1], 1.0, 10, 45, 24, 120, 1400, fclass=300),
        gauge("40-LG-033", "Closed drain", "Oil", fl[1], 1.0, 0.2, 45, 5, 120, 1300, fclass=150),
    ]
    set_values(
        gs,
        cmat="A312 TP316L",
        grp="2.3",
        u=["barg", "barg", "psig", "psig", "barg", "barg", "psig", "barg"],
        x_tp=lambda i: f"TP-40-{101 + i // 2}",
        x_med="Potable water",
        x_dur="60 min",
        x_lim=lambda i: "40-V-" + ["011", "012", "015", "015", "021", "021", "030", "033"][i] + " nozzles",
        x_wit="QC / TPI",
        x_dt=lambda i: f"{12 + i}-Feb",
        x_gauge=lambda i: 1500 if gs[i]["u"] == "psig" else 60,
        x_cl="< 50 ppm",
    )
    add_test_pressures(gs)
    check_sound(gs)
    x = by_tag(gs)
    if b.faulty:
        plant_test_pressure(b, x["40-LG-012"], v=36)
        x["40-LG-012"]["typed"] = 36
        b.fault("formula-overwritten", "40-LG-012", ["tp"], "36 typed where the other rows have =1.5*design")
        plant_flange_rating(b, x["40-LG-030"], 38.0)
        plant_float_pressure(b, x["40-LG-022"], v=22.5, ok=["flange-rating-exceeded"])
        plant_above_design(b, x["40-LG-011"], "op", 9.0)
        plant_missing_tag(b, x["40-LG-016"])
        plant_magnetic_chamber(b, x["40-LG-033"], "A106-B")
        x["40-LG-021"]["u"] = "bar"
        b.fault("unit-ambiguous", "40-LG-021", ["x_unit", "op", "dp", "tp", "pmax"], "bar, neither gauge nor absolute")
    U = {"barg": barg(1), "bar": barg(1), "psig": psig()}

    def test(g: Gauge) -> Any:
        v = U[g["u"]](g["dp"])
        return g.get("typed") or (f"=1.5*I{g['x_row']}", 1.5 * v)

    ws = b.sheet("Test packs")
    r = title_lines(b, ws, "HYDROSTATIC TEST PACKAGES - LEVEL GAUGES", "Floats to be removed before test where marked")
    cols = [
        ("Test pack", "x_tp", None),
        ("Tag No.", "*tag", shown_tag),
        ("Service", "svc", None),
        ("Test limits", "x_lim", None),
        ("Chamber material", "cmat", None),
        ("Flange class", "fclass", lambda v: f"{v}#"),
        ("Press. unit", "*x_unit", lambda g: g["u"]),
        ("Operating press.", "*op", lambda g: U[g["u"]](g["op"])),
        ("Design press.", "*dp", lambda g: U[g["u"]](g["dp"])),
        ("Test press.", "*tp", test),
        ("Design temp. °C", "dt", None),
        ("Float", "part", None),
        ("Float rated to", "*pmax", lambda g: U[g["u"]](g["pmax"])),
        ("Test gauge range", "x_gauge", None),
        ("Medium", "x_med", None),
        ("Chlorides", "x_cl", None),
        ("Hold time", "x_dur", None),
        ("Witness", "x_wit", None),
        ("Planned", "x_dt", None),
    ]
    set_values(gs, x_row=lambda i: r + 2 + i)
    b.table(ws, r, 0, cols, gs)
    finish(b, gs)


@book
def e24_heat_tracing_circuits(b: Book) -> None:
    """Heat tracing list, Canada: circuits, heat loss, chamber diameter, insulation, maintain temperatures."""
    fl = [
        make_float("HT-F88", 50, 280, 880, pmax=25, tmax=180),
        make_float("HT-F100", 50, 250, 995, pmax=25, tmax=180),
        make_float("HT-F93", 50, 270, 930, pmax=25, tmax=180),
    ]
    gs = [
        gauge("LG-8001", "Bitumen diluent pot", "Diluted bitumen", fl[2], 1.0, 1, 70, 6, 130, 1200, pour=20, tmaint=60, ins=50),
        gauge("LG-8002", "Slop oil drum", "Slop oil", fl[0], 1.0, 0.5, 45, 6, 130, 1000, pour=5, tmaint=30, ins=40),
        gauge("LG-8003", "Boiler blowdown pot", "Blowdown water", fl[1], 0.965, 0.5, 80, 6, 130, 700, pour=0, tmaint=10, ins=40),
        gauge("LG-8004", "Water boot", "Process water", fl[1], 0.99, 3, 50, 8, 130, 500, pour=0, tmaint=10, ins=40),
        gauge("LG-8005", "Heavy oil rundown", "Heavy gas oil", fl[0], 0.99, 1, 85, 6, 130, 1100, pour=32, tmaint=65, ins=50),
        gauge(
            "LG-8006", "Wash water tank", "Water", fl[1], liquid_density("Water", 40, 0.5) / 995, 0.5, 40, 5, 110, 900, pour=0, tmaint=15, ins=40, pure="Water"
        ),
        gauge(
            "LG-8007", "Glycol drum", "TEG water mix", make_float("HT-F108", 50, 240, 1080, pmax=25, tmax=180), 1.0, 0.5, 30, 5, 110, 800, pour=-60, ins=None
        ),
        gauge("LG-8008", "Gear oil drain pot", "Synthetic gear oil", fl[0], 1.0, 0.1, 60, 3.5, 110, 600, pour=-55, ins=None),
    ]
    set_values(gs, mu=[8, 10, 0.4, 0.6, 15, 0.7, 25, 90])
    for i, g in enumerate(gs):
        g.update(
            amb=-43,
            cdia=60.3,
            kins=0.04,
            trace="EHT" if g.get("tmaint") else "None",
            tclass="T3",
            x_cct=f"HT-80-{11 + i}" if g.get("tmaint") else None,
            x_bkr=f"PNL-8A/{2 * i + 1}" if g.get("tmaint") else None,
            x_volt=120 if g.get("tmaint") else None,
            x_len=round(g["cc"] / 1000 * 1.6 + 1.2, 1),
            x_lag="Al 0.5 mm",
            cmat="316L",
            x_iso=f"8001-{i + 3}",
        )
        if g.get("tmaint"):
            g.update(tout=5 * math.ceil(heat_loss(g) * 1.6 / 5), tsheath=round(g["tmaint"] + 65))
    check_sound(gs)
    x = by_tag(gs)
    if b.faulty:
        g = x["LG-8001"]
        g["tout"] = int(heat_loss(g, 20) * 0.6)
        b.fault("tracing-underpowered", g["tag"], ["tout", "tmaint", "ins", "cdia", "amb"], f"{g['tout']} W/m against a loss of about {heat_loss(g):.0f} W/m")
        plant_no_tracing(b, x["LG-8004"])
        g = x["LG-8006"]
        g.update(tmaint=118, tsheath=150, tout=120)
        assert saturation_temperature("Water", 0.5) < 113
        b.fault("tracing-boils-fluid", g["tag"], ["tmaint", "op", "fluid"], f"water boils at {saturation_temperature('Water', 0.5):.0f} degC at 0.5 barg")
        plant_hot_tracing(b, x["LG-8005"], "tsheath", 215, 200, ["tclass", "tmax"])
        plant_long_range(b, x["LG-8002"], 60)
        g = x["LG-8003"]
        g["ins"] = 5
        g["tout"] = 20
        assert heat_loss(g, 20) > 30
        x["LG-8008"]["mu"] = 620
        b.fault("viscosity-too-high", "LG-8008", ["mu", "trace"], "620 cP and no tracing")
        b.fault(
            "tracing-underpowered", g["tag"], ["tout", "ins", "tmaint", "cdia", "amb"], f"5 mm insulation: loss about {heat_loss(g):.0f} W/m, tracer 20 W/m"
        )
    ws = b.sheet("EHT - LG chambers")
    r = title_lines(b, ws, "ELECTRIC HEAT TRACING LIST - LEVEL GAUGE CHAMBERS", "Peat Creek Battery - winterization")
    T = "Tracing"
    cols = [
        ("Instrument tag", "tag", None),
        ("Service", "svc", None),
        ("Fluid", "fluid", None),
        ("Op. press. barg", "op", None),
        ("Op. temp. °C", "ot", None),
        ("Visc. @ op. temp. cP", "mu", None),
        ("Pour / freeze pt. °C", "pour", None),
        ("Min. amb. °C", "amb", None),
        (("Chamber", "OD mm"), "cdia", None),
        (("Chamber", "C-C mm"), "cc", None),
        (("Chamber", "Visible mm"), "vis", None),
        (("Insulation", "thk mm"), "ins", None),
        (("Insulation", "k W/m·K"), "kins", None),
        (("Insulation", "Jacket"), "x_lag", None),
        ((T, "Type"), "trace", None),
        ((T, "Maintain °C"), "tmaint", None),
        ((T, "Output W/m"), "tout", None),
        ((T, "Max. sheath °C"), "tsheath", None),
        ((T, "T-rating"), "tclass", None),
        ((T, "Circuit"), "x_cct", None),
        ((T, "Breaker"), "x_bkr", None),
        ((T, "V"), "x_volt", None),
        ((T, "Cable length m"), "x_len", None),
        ("Float max. temp. °C", "tmax", None),
        ("ISO dwg", "x_iso", None),
    ]
    r = heading_rows(b, ws, r, cols, "across")
    for g in gs:
        b.row(ws, r, 0, cols, g)
        r += 1
    ws.write(r, 21, "Total")
    ws.write(r, 22, round(sum(g["x_len"] for g in gs), 1))
    finish(b, gs)
