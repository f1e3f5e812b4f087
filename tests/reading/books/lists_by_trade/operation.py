"""Lists in English of those who run, calibrate, test and trace."""

from __future__ import annotations

from typing import Any

from tests.reading.books.lists_by_trade.common import (
    SWITCHES,
    finish,
    heading_rows,
    heat_loss,
    plant_duplicate_tag,
    plant_other_serial,
    plant_reused_serial,
    plant_weak_flange,
    shown_tag,
    simple_sheet,
    words_or,
    write_lines,
    write_rows,
)
from tests.reading.faults import (
    plant_above_design,
    plant_current,
    plant_design_density,
    plant_float_pressure,
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
from tests.reading.units import Converter, kgf_cm2, kpag
from tests.reading.writing import Book, Gauge


@book
def j05_maintenance_export(b: Book) -> None:
    """Maintenance planner, export with a unit beside each value."""
    P_ = make_float("900-3381", 50, 300, 760, pmax=30, tmax=220)
    Q = make_float("900-3382", 50, 280, 850, pmax=30, tmax=250)
    R = make_float("900-3390", 50, 250, 950, pmax=20, tmax=180)
    gs = [
        gauge("11-LG-1104", "LVL GAUGE MAG, CRUDE FLASH DRUM", "CRUDE FLASH LIQ", Q, 0.99, 2.4, 160, 6, 200, 1200, pu="barg", du="kg/m3"),
        gauge("11-LG-1105", "LVL GAUGE MAG, NAPHTHA SPLITTER REFLUX", "LT NAPHTHA", P_, 1.01, 5.1, 55, 10, 150, 1000, pu="barg", du="SG"),
        gauge("11-LG-1106A", "LVL GAUGE MAG, KERO DRYER", "KEROSENE", P_, 0.985, 3, 90, 7.5, 150, 1500, pu="psig", du="SG"),
        gauge("11-LG-1106B", "LVL GAUGE MAG, KERO DRYER", "KEROSENE", P_, 0.985, 3, 90, 7.5, 150, 900, pu="psig", du="SG"),
        gauge("12-LG-1201", "LVL GAUGE MAG, HVGO PUMP P-1207 SEAL POT", "BARRIER OIL", Q, 1.01, 4, 70, 10, 150, 300, pu="barg", du="kg/m3"),
        gauge(
            "12-LG-1202",
            "LVL GAUGE MAG, SOUR WTR STRIPPER BTMS",
            "STRIPPED WTR",
            R,
            round(liquid_density("Water", 118, 2.5)) / 950,
            2.5,
            118,
            6,
            150,
            1400,
            pu="barg",
            du="kg/m3",
        ),
        gauge("12-LG-1203", "LVL GAUGE MAG, LVGO PUMPAROUND", "LVGO", Q, 0.98, 1.2, 190, 6.5, 230, 800, pu="barg", du="SG"),
        gauge("14-LG-1409", "LVL GAUGE MAG, FLARE KO", "SLOPS", P_, 1.0, 0.3, 40, 5, 150, 1800, pu="psig", du="SG"),
    ]
    mats = ["SS 316L", "TP316L", "SS316/L", "SS316/L", "304L SS", "TP316L", "SS 316L", "316 SS"]
    for i, g in enumerate(gs):
        g.update(
            x_equip=10048200 + 17 * i,
            x_floc=f"RF2-{g['tag'][:2]}-{['CDU', 'CDU', 'CDU', 'CDU', 'VDU', 'SWS', 'VDU', 'FLR'][i]}-{1 + i:04d}",
            old=f"LG-{31 + i}",
            cmat=mats[i],
            fclass=[300, 150, 150, 150, 300, 150, 300, 150][i],
            x_abc="B" if i % 3 else "A",
            x_year=1998 + 2 * i,
            x_int=24,
            x_acq=2100 + 35 * i,
            gsn=f"K{77120 + i}",
            x_stat="INST",
            lu="mm" if i % 2 else "in",
        )
    x = by_tag(gs)
    x["14-LG-1409"]["x_stat"] = "INST MOTH"
    x["12-LG-1203"]["rem"] = "WORK PERMIT CLASS 1"
    if b.faulty:
        plant_duplicate_tag(b, x["11-LG-1106B"], x["11-LG-1106A"])
        plant_magnetic_chamber(b, x["12-LG-1202"], "CS A106-B")
        plant_above_design(b, x["14-LG-1409"], "op", 6.2)
        plant_design_density(b, x["11-LG-1105"], k=0.87)
        plant_float_pressure(b, x["12-LG-1203"], v=31.5, ok=["flange-rating-exceeded"])
        plant_long_range(b, x["12-LG-1201"], 101.6)
    ws = b.sheet("EXPORT")

    def pr(k: str) -> Converter:
        return lambda g: None if g[k] is None else round(g[k] * 14.503774) if g["pu"] == "psig" else g[k]

    def de(k: str) -> Converter:
        return lambda g: round(g[k] / 1000, 3) if g["du"] == "SG" else round(g[k])

    def le(k: str) -> Converter:
        return lambda g: round(g[k] / 25.4, 2) if g["lu"] == "in" else g[k]

    cols = [
        ("Functional loc.", "x_floc", None),
        ("Equipment", "x_equip", None),
        ("Sort field (tag)", "*tag", shown_tag),
        ("Prev. tag", "old", None),
        ("Description of technical object", "svc", None),
        ("ABC", "x_abc", None),
        ("User status", "x_stat", None),
        ("ManufSerialNo", "gsn", None),
        ("ConstYear", "x_year", None),
        ("AcquisValue", "x_acq", None),
        ("LG_FLUID", "fluid", None),
        ("LG_OPER_DENS", "*rho", de("rho")),
        ("UoM", "*x_u1", lambda g: g["du"]),
        ("LG_OPER_PRES", "*op", pr("op")),
        ("UoM", "*x_u2", lambda g: g["pu"]),
        ("LG_OPER_TEMP", "ot", None),
        ("UoM", "*x_u3", lambda g: "DEG C"),
        ("LG_DSGN_PRES", "*dp", pr("dp")),
        ("UoM", "*x_u4", lambda g: g["pu"]),
        ("LG_DSGN_TEMP", "dt", None),
        ("UoM", "*x_u5", lambda g: "DEG C"),
        ("LG_CONN_CTRS", "*cc", le("cc")),
        ("UoM", "*x_u6", lambda g: g["lu"]),
        ("LG_VIS_LENGTH", "*vis", le("vis")),
        ("UoM", "*x_u7", lambda g: g["lu"]),
        ("LG_CHAMBER_MATL", "cmat", None),
        ("LG_FLANGE_RTG", "fclass", lambda v: f"ASME {v}"),
        ("LG_FLOAT_PART_NO", "part", None),
        ("LG_FLOAT_DSGN_DENS", "drho", None),
        ("UoM", "*x_u8", lambda g: "kg/m3"),
        ("LG_FLOAT_MAX_PRES", "*pmax", pr("pmax")),
        ("UoM", "*x_u9", lambda g: g["pu"]),
        ("LG_FLOAT_MAX_TEMP", "tmax", None),
        ("UoM", "*x_u10", lambda g: "DEG C"),
        ("PM interval (mo)", "x_int", None),
        ("Last PM", "*x_last", lambda g: "03-2023"),
        ("Long text", "rem", None),
    ]
    r = heading_rows(b, ws, 0, 0, cols, bold=True)
    r = write_rows(b, ws, r, 0, cols, gs)
    for k, t in enumerate(("PRESS GAUGE, FLARE KO", "TEMP ELEMENT, HVGO")):
        ws.write(r + k, 0, f"RF2-14-FLR-{90 + k:04d}")
        ws.write(r + k, 1, 10048900 + k)
        ws.write(r + k, 2, ("14-PG-1410", "12-TE-1211")[k])
        ws.write(r + k, 4, t)
        ws.write(r + k, 5, "C")
        ws.write(r + k, 6, "INST")
        ws.write(r + k, 8, 1998)
    ws.autofilter(0, 0, r + 1, len(cols) - 1)
    ws.freeze_panes(1, 3)
    simple_sheet(b, "STATUS CODES", ["Code", "Meaning"], [("INST", "installed"), ("MOTH", "mothballed"), ("DLFL", "deletion flag")])
    finish(b, gs)


@book
def j06_calibration_register(b: Book) -> None:
    """Calibration technician, transmitters on the gauges."""
    f = make_float("-", 50, 290, 830)
    gs = []
    for i, (n, s, v, pct, fd) in enumerate(
        [
            ("301", "Feed vessel", 1200, 50, 0.05),
            ("302", "Day tank", 800, 25, -0.11),
            ("303", "Recycle drum", 1000, 62.5, 0.22),
            ("304", "Wash column base", 1500, 50, -0.04),
            ("305A", "Effluent sump", 2000, 40, 0.31),
            ("305B", "Effluent sump", 2000, 40, 0.18),
            ("306", "Seal oil tank", 600, 75, -0.16),
            ("307", "Caustic measure", 900, 50, 0.02),
        ]
    ):
        g = gauge("LG" + n, s, None, f, 1, None, None, None, None, v)
        g.update(
            ltag="LT" + n,
            gsn=f"{4410 + i}/{2 if i < 4 else 3}",
            tsn=f"T-{60231 + 7 * i}",
            tgsn=f"{4410 + i}/{2 if i < 4 else 3}",
            slev=round(v * pct / 100),
            x_pct=pct,
            action="D",
            x_damp=2,
            x_cert=f"C{8810 + i}",
            x_loc="PR-2" if i % 2 else "Field",
            _tx=1,
        )
        if n == "306":
            g["lrv"], g["urv"], g["action"] = v, 0, "R"
        g["scur"] = loop_current(g)
        g["x_found"] = round(g["scur"] + fd, 2)
        g["x_left"] = round(g["scur"] + 0.01 * (1 if i % 2 else -1), 2)
        g["x_err"] = round(fd / 16 * 100, 2)
        gs.append(g)
    x = by_tag(gs)
    x["LG305B"]["rem"] = "Adjusted, was 0.2 mA high"
    x["LG306"]["rem"] = "Reverse acting per loop dwg"
    x["LG307"]["x_left"] = "not req'd"
    if b.faulty:
        plant_current(b, x["LG302"], 1.2)
        x["LG302"]["x_found"] = x["LG302"]["x_left"] = x["LG302"]["scur"]
        plant_reversed_range(b, x["LG303"])
        x["LG303"]["scur"] = loop_current(x["LG303"])
        x["LG303"]["x_found"] = x["LG303"]["x_left"] = x["LG303"]["scur"]
        for t, fn in (("LG304", plant_urv_outside), ("LG305A", plant_urv_short)):
            fn(b, x[t], 90)
            x[t]["scur"] = loop_current(x[t])
            x[t]["x_found"] = round(x[t]["scur"] + 0.03, 2)
            x[t]["x_left"] = x[t]["scur"]
        plant_other_serial(b, x["LG301"], x["LG305B"]["gsn"], "tgsn")
    for g in gs:
        g["x_err"] = round((g["x_found"] - g["scur"]) / 16 * 100, 2)
    ws = b.sheet("Level TX on mag gauges")
    ws.write(0, 1, "CALIBRATION REGISTER - Transmitters clamped to magnetic level gauges", b.fmt(bold=True))
    ws.write(1, 1, "Sheet 3 of 7 - Level")
    ws.write(1, 9, "Accept. limits +/- 0.25 % span as left, 1 % as found")
    A = "Gauge"
    T = "Transmitter"
    R = "Calibrated range"
    C = "One-point check"
    D = "Status"
    cols = [
        ("#", "*x_n", lambda g: gs.index(g) + 1),
        ((A, "Tag", ""), "tag", None),
        ((A, "Serves", ""), "svc", None),
        ((A, "Ser. no.", ""), "gsn", None),
        ((A, "Window length", "mm"), "vis", None),
        ((T, "Tag", ""), "ltag", None),
        ((T, "Ser. no.", ""), "tsn", None),
        ((T, "Label: fitted to gauge ser. no.", ""), "tgsn", None),
        ((T, "Location", ""), "x_loc", None),
        ((T, "Damping", "s"), "x_damp", None),
        ((R, "at 4 mA", "mm"), "lrv", None),
        ((R, "at 20 mA", "mm"), "urv", None),
        ((R, "Action", "D / R"), "action", None),
        ((C, "Point", "% span"), "x_pct", None),
        ((C, "Level", "mm"), "slev", None),
        ((C, "Calculated", "mA"), "scur", None),
        ((C, "As found", "mA"), "x_found", None),
        ((C, "As left", "mA"), "x_left", None),
        ((C, "Error found", "% span"), "x_err", None),
        ((D, "Cert.", ""), "x_cert", None),
        ((D, "Next due", ""), "*x_due", lambda g: "Q2"),
        ((D, "Initials", ""), "*x_ini", lambda g: "WB"),
        ("Comment", "rem", None),
    ]
    r = heading_rows(b, ws, 3, 0, cols, merge=True)
    r = write_rows(b, ws, r, 0, cols, gs)
    write_lines(b, ws, r + 1, 1, ["D = direct, R = reverse", "Std used: loop calibrator LC-4, cert 22/1187"])
    simple_sheet(
        b,
        "Std equipment",
        ["Item", "Range", "Min", "Max", "Unit", "Cert"],
        [("Loop calibrator LC-4", "0-24", 0, 24, "mA", "22/1187"), ("Steel tape", "0-3000", 0, 3000, "mm", "22/0901")],
    )
    finish(b, gs)


@book
def j07_hydrotest_register(b: Book) -> None:
    """Quality inspector, register of hydrostatic tests."""
    A = make_float("FLT/50/76", 50, 300, 760, pmax=58, tmax=200)
    B_ = make_float("FLT/50/88", 50, 270, 880, pmax=40, tmax=200)
    C = make_float("FLT/50/102", 50, 240, 1020, pmax=24, tmax=180)
    mk = [
        ("LG-1301", A, 29, 150, 300, "2.3", "SS 316L (A312 TP316L)", 1000),
        ("LG-1302", A, 29, 150, 300, "2.3", "SS 316L (A312 TP316L)", 1000),
        ("LG-1303", B_, 10.5, 150, 150, "2.3", "SS 316L (A312 TP316L)", 1250),
        ("LG-1304", B_, 10, 180, 150, "2.3", "SS 304L (A312 TP304L)", 800),
        ("LG-1305", C, 7, 120, 150, "2.3", "SS 316L (A312 TP316L)", 1600),
        ("LG-1306", C, 5, 120, 150, "2.3", "SS 316L (A312 TP316L)", 500),
        ("LG-1307", A, 36, 100, 600, "2.3", "SS 316L (A312 TP316L)", 900),
        ("LG-1308", B_, 20, 150, 300, "2.3", "SS 304L (A312 TP304L)", 1100),
    ]
    gs = [gauge(t, None, None, f, 1, None, None, dp, dt, cc, fclass=cl, grp=gr, cmat=m) for t, f, dp, dt, cl, gr, m, cc in mk]
    for i, g in enumerate(gs):
        g.update(
            tp=round(g["dp"] * 1.5, 1),
            x_rep=f"HT/{2207 + i}",
            x_heat=f"{['K', 'L', 'M'][i % 3]}{40921 + 11 * i}",
            x_time=30,
            x_wt=27 + i % 3,
            x_cl="< 50",
            x_pg=f"PG-{31 + i % 2}",
            x_pgr="0-100 kg/cm²",
            x_out="No",
            fmat="Ti Gr.2",
        )
        g["x_held"] = round(g["tp"] / 0.980665 + 0.3, 1)
    add_serials(gs, "MG/0", 771)
    x = by_tag(gs)
    gs[6]["x_out"] = "Yes"
    gs[5]["x_rt"] = "Not applicable"
    gs[4]["_pmax"] = "By vendor"
    if b.faulty:
        plant_test_pressure(b, x["LG-1308"], v=45)
        plant_other_serial(b, x["LG-1303"], x["LG-1304"]["gsn"])
        plant_reused_serial(b, x["LG-1302"], x["LG-1301"])
        plant_magnetic_chamber(b, x["LG-1306"], "A 106 Gr.B seamless")
        plant_weak_flange(b, x["LG-1304"], 17.2)
        x["LG-1304"]["tp"] = 25.8
        plant_float_pressure(b, x["LG-1307"], v=62)
        for t in ("LG-1308", "LG-1304", "LG-1307"):
            x[t]["x_held"] = round(x[t]["tp"] / 0.980665 + 0.3, 1)
        x["LG-1307"]["fclass"] = 900
    ws = b.sheet("Hydro register")
    write_lines(
        b,
        ws,
        0,
        0,
        ["HYDROSTATIC TEST REGISTER - MAGNETIC LEVEL GAUGES", "ITP 4, stage 12   Project: Merupur Delta Fertiliser Unit 2", "Witness: W   Review: R   Hold: H"],
    )
    cols = [
        ("Sl.\nNo.", "*x_n", lambda g: gs.index(g) + 1),
        ("Test report no.", "x_rep", None),
        ("Tag no.", "tag", None),
        ("Gauge sl. no.", "gsn", None),
        ("Heat no.\nof tube", "x_heat", None),
        ("MOC of tube", "cmat", None),
        ("Rating", "fclass", lambda v: f"{v} lb"),
        ("C/C (mm)", "cc", None),
        ("Design pr.\nkg/cm² (g)", "dp", kgf_cm2(1)),
        ("Design temp.\n°C", "dt", None),
        ("Hydro test pr. reqd.\nkg/cm² (g)", "tp", kgf_cm2(1)),
        ("Test pr. applied\nkg/cm² (g)", "x_held", None),
        ("Holding time\nmin.", "x_time", None),
        ("Water temp.\n°C", "x_wt", None),
        ("Chloride\nppm", "x_cl", None),
        ("Test gauge no.", "x_pg", None),
        ("Test gauge range", "x_pgr", None),
        ("Float removed before test", "x_out", None),
        ("Float code", "part", None),
        ("Float MOC", "fmat", None),
        ("Float sl. no.", "fsn", None),
        ("Sl. no. of gauge punched on float", "fgsn", None),
        ("Float allowable pr. (max.)\nkg/cm² (g)", "*pmax", words_or("pmax", kgf_cm2(1))),
        ("Float allowable temp. (max.)\n°C", "tmax", None),
        ("RT / DPT", "*x_rt", lambda g: g.get("x_rt", "DPT 100 %")),
        ("Result", "*x_res", lambda g: "Accepted"),
        ("Inspector", "*x_ins", lambda g: "R.S."),
    ]
    r = heading_rows(b, ws, 4, 0, cols)
    r = write_rows(b, ws, r, 0, cols, gs)
    ws.write(r + 1, 2, "Contractor QC")
    ws.write(r + 1, 8, "TPI")
    ws.write(r + 1, 18, "Client")
    finish(b, gs)


@book
def j08_tracing_schedule(b: Book) -> None:
    """Tracing contractor."""
    f = make_float("-", 50, 290, 830, tmax=200)
    mk: list[tuple[Any, ...]] = [
        ("62-LG-011", "Caustic storage, suction pot", "Caustic soda 50 %", 12, 38, 20, "EHT", 30, 33, 95, "T3", 50),
        ("62-LG-012", "Benzene day drum", "Benzene", 5.5, 25, 20, "EHT", 20, 60, 110, "T3", 50),
        ("62-LG-013", "Methanol tote", "Methanol", -98, 15, 5, "None", None, None, None, "T3", None),
        ("62-LG-014", "Firewater head tank", "Water", 0, 8, 1, "EHT", 8, 30, 80, "T4", 50),
        ("62-LG-015", "Slop oil drum", "Slop oil", 21, 60, 60, "ST", 60, None, None, "T3", 75),
        ("62-LG-016", "Glycol expansion", "Glycol/water 60/40", -52, 30, 80, "None", None, None, None, "T3", None),
        ("62-LG-017", "Wax receiver", "Slack wax", 54, 85, 110, "EHT", 80, 66, 150, "T3", 75),
        ("62-LG-018", "Condensate pot", "Steam condensate", 0, 95, 150, "EHT", 10, 35, 90, "T4", 50),
        ("62-LG-019", "Resid drain drum", "Atm. residue", 38, 120, 120, "EHT", 110, 98, 165, "T3", 100),
    ]
    gs = []
    for i, (t, s, fl, frz, ot, op, tr, tm, tw, ts, tc, ins) in enumerate(mk):
        g = gauge(t, s, fl, f, 1, op / 100, ot, None, None, 900 + 100 * i)
        g.update(
            frz=frz,
            amb=-36,
            trace=tr,
            tmain=tm,
            tw=tw,
            tsheath=ts,
            tcls=tc,
            ins=ins,
            insk=0.04 if ins else None,
            chod=60.3 if i % 2 else 73.0,
            x_circ=f"HT-62-{10 + i}",
            x_len=round(2.2 + 0.3 * i, 1),
            x_ratio=(1.0 if i % 3 else 1.3) if tw else None,
            x_cb=16 if tw else None,
            x_ttrip=(ts + 25) if ts else None,
            tmax=200,
            x_cable="SR-33 / parallel" if tr == "EHT" else None,
        )
        g["x_req"] = round(heat_loss(tm, -36, g["chod"], ins, 0.04), 1) if tw else None
        if tw:
            assert tw > 1.3 * g["x_req"], (t, tw, g["x_req"])
            assert ts < 200 and ts < {"T3": 200, "T4": 135}[tc]
        gs.append(g)
    x = by_tag(gs)
    x["62-LG-015"]["rem"] = '1/2" steam tracer by piping'
    x["62-LG-013"]["_frz"] = "-98"
    x["62-LG-016"]["rem"] = "insul. for personnel protection only"
    if b.faulty:
        g = x["62-LG-014"]
        g.update(trace="None", tmain=None, tw=None, tsheath=None, x_req=None, x_cable=None, x_ttrip=None, x_ratio=None, x_cb=None)
        b.fault("tracing-missing", g["tag"], ["frz", "trace", "amb", "fluid"], "water, 0 degC, at -36 degC without tracing")
        g = x["62-LG-017"]
        g["tw"] = 12
        assert 0.6 * g["x_req"] > 12
        b.fault("tracing-underpowered", g["tag"], ["tw", "tmain", "ins", "amb", "chod"], f"12 W/m < {g['x_req']} W/m")
        g = x["62-LG-012"]
        g["tmain"] = 100
        g["x_req"] = round(heat_loss(100, -36, g["chod"], 50, 0.04), 1)
        ts = saturation_temperature("Benzene", 0.2)
        assert ts < 90 and g["tw"] > 1.25 * g["x_req"], g["x_req"]
        b.fault("tracing-boils-fluid", g["tag"], ["tmain", "op", "fluid"], f"benzene boils at {ts:.0f} degC")
        g = x["62-LG-018"]
        g["tsheath"] = 158
        g["x_ttrip"] = 165
        b.fault("tracing-too-hot", g["tag"], ["tsheath", "tcls"], "158 > T4 135 degC")
        g = x["62-LG-019"]
        g["tsheath"] = 245
        g["x_ttrip"] = 250
        g["tcls"] = "T2"
        b.fault("tracing-too-hot", g["tag"], ["tsheath", "tmax"], "245 > float 200 degC")
    ws = b.sheet("HT SCHED")
    write_lines(b, ws, 0, 0, ["HEAT TRACING SCHEDULE - LEVEL GAUGES AND BRIDLES", "Contract 62-E-7   Rev. 1   Wind 10 m/s"])
    T = "Temperatures (°C)"
    H_ = "Heat tracing"
    In = "Insulation"
    cols = [
        ("Circuit", "x_circ", None),
        ("Instrument", "tag", None),
        ("Location / duty", "svc", None),
        ("Contents", "fluid", None),
        (("Process", "Norm. press.\nkPag"), "op", kpag()),
        ((T, "Normal"), "ot", None),
        ((T, "Freeze / pour"), "*frz", words_or("frz", None)),
        ((T, "Min. ambient"), "amb", None),
        ((T, "Maintain"), "tmain", None),
        ((T, "Max. sheath"), "tsheath", None),
        ((T, "High trip"), "x_ttrip", None),
        ((T, "Float limit"), "tmax", None),
        ("Tube OD\nmm", "chod", None),
        ("Trace length\nm", "x_len", None),
        ((H_, "Type"), "trace", None),
        ((H_, "Cable"), "x_cable", None),
        ((H_, "Calc. loss\nW/m"), "x_req", None),
        ((H_, "Installed\nW/m"), "tw", None),
        ((H_, "Spiral\nratio"), "x_ratio", None),
        ((H_, "CB\nA"), "x_cb", None),
        ((H_, "T-class"), "tcls", None),
        ((In, "Thk.\nmm"), "ins", None),
        ((In, "λ\nW/mK"), "insk", None),
        ("Rem.", "rem", None),
    ]
    r = heading_rows(b, ws, 3, 0, cols, merge=True, down=True)
    r = write_rows(b, ws, r, 0, cols, gs)
    write_lines(b, ws, r + 1, 1, ["EHT = electric, ST = steam, None = not traced", "Installed output already includes the spiral ratio."])
    b.allow("number-as-text")
    finish(b, gs)


@book
def j09_dcs_points(b: Book) -> None:
    """Control system engineer, point list with the tag in parts."""
    f = make_float("-", 50, 290, 830)
    gs = []
    mk = [
        ("1101", "A", "Feed drum level", 1200, "mm", "DIR"),
        ("1101", "B", "Feed drum level", 1200, "mm", "DIR"),
        ("1102", None, "Reflux drum level", 900, "cm", "DIR"),
        ("1103", None, "Bottoms level", 1600, "mm", "DIR"),
        ("1104", None, "Quench tower level", 1000, "%", "DIR"),
        ("1105", None, "K.O. drum level", 1500, "mm", "DIR"),
        ("1106", None, "Buffer level (inverted)", 800, "mm", "REV"),
        ("1107", None, "Offspec pot level", 700, "cm", "DIR"),
        ("1108", None, "Acid egg level", 1000, "%", "DIR"),
    ]
    for i, (n, s, d, v, eu, act) in enumerate(mk):
        g = gauge(f"42-LIT-{n}{s or ''}", d, None, f, 1, None, None, None, None, v)
        g.update(
            tag_area="42",
            tag_letters="LIT",
            tag_number=n,
            tag_suffix=s,
            eu=eu,
            action=act,
            lsll=0.06 * v,
            lsl=0.15 * v,
            lsh=0.85 * v,
            lshh=0.93 * v,
            x_card=f"AI{3 + i // 4:02d}",
            x_ch=1 + i % 4,
            x_node="C07",
            x_scan=500,
            x_db=0.5,
            x_pri="H" if i % 3 == 0 else "M",
            _tx=1,
            sig="4-20 mA HART",
        )
        if act == "REV":
            g["lrv"], g["urv"] = v, 0
        for k in SWITCHES:
            g[k] = round(g[k] / 10) * 10
        gs.append(g)
    x = by_tag(gs)
    x["42-LIT-1103"]["lsll"] = None
    x["42-LIT-1103"]["lshh"] = None
    x["42-LIT-1108"]["rem"] = "HH to SIS, hardwired"
    x["42-LIT-1107"]["_lsll"] = "n/u"
    if b.faulty:
        plant_reversed_range(b, x["42-LIT-1101B"])
        plant_urv_outside(b, x["42-LIT-1103"], 150)
        g = x["42-LIT-1102"]
        g["lsl"], g["lsh"] = 760, 140
        b.fault("switch-order", g["tag"], ["lsl", "lsh"], "L 76 cm above H 14 cm")
        g = x["42-LIT-1105"]
        g["lshh"] = g["lsh"] + 12
        b.fault("switch-spacing-small", g["tag"], ["lsh", "lshh"], "12 mm apart")
        g = x["42-LIT-1101A"]
        g["lshh"] = 1260
        b.fault("switch-outside-range", g["tag"], ["lshh"], "1260 > 1200 mm")
        g = x["42-LIT-1108"]
        g["lsll"], g["lsl"] = 150, 60
        b.fault("switch-order", g["tag"], ["lsll", "lsl"], "LL 15 % above L 6 %")

    def ev(k: str) -> Converter:
        def w(g: Gauge) -> Any:
            if "_" + k in g:
                return g["_" + k]
            v = g.get(k)
            if v is None or "eu" not in g:
                return v
            return round(v / 10, 1) if g["eu"] == "cm" else round(100 * v / g["vis"], 1) if g["eu"] == "%" else v

        return w

    oth = [
        {
            "tag": "42-PT-1102",
            "tag_area": "42",
            "tag_letters": "PT",
            "tag_number": "1102",
            "svc": "Reflux drum pressure",
            "sig": "4-20 mA",
            "lrv": 0,
            "urv": 16,
            "eu": "barg",
            "lsh": 11,
            "lshh": 12.5,
            "x_card": "AI06",
            "x_ch": 1,
            "x_node": "C07",
            "x_scan": 250,
            "x_db": 0.5,
            "x_pri": "H",
            "action": "DIR",
        },
        {
            "tag": "42-TT-1104",
            "tag_area": "42",
            "tag_letters": "TT",
            "tag_number": "1104",
            "svc": "Quench overhead",
            "sig": "4-20 mA",
            "lrv": 0,
            "urv": 300,
            "eu": "degC",
            "lsl": 60,
            "lsh": 180,
            "x_card": "AI06",
            "x_ch": 2,
            "x_node": "C07",
            "x_scan": 1000,
            "x_db": 1,
            "x_pri": "L",
            "action": "DIR",
        },
        {
            "tag": "42-FT-1105",
            "tag_area": "42",
            "tag_letters": "FT",
            "tag_number": "1105",
            "svc": "K.O. drum pump-out",
            "sig": "4-20 mA",
            "lrv": 0,
            "urv": 12,
            "eu": "m3/h",
            "lsl": 1,
            "x_card": "AI06",
            "x_ch": 3,
            "x_node": "C07",
            "x_scan": 250,
            "x_db": 0.5,
            "x_pri": "L",
            "action": "DIR",
        },
    ]
    ws = b.sheet("AI")
    ws.write(0, 0, "ANALOG INPUTS - NODE C07 - RELEASE FOR CONFIGURATION")
    T = "TAG"
    R = "SCALE"
    A = "ALARM LIMITS (EU)"
    D = "I/O"
    cols = [
        ((T, "AREA"), "tag_area", None),
        ((T, "FUNC"), "tag_letters", None),
        ((T, "LOOP"), "tag_number", None),
        ((T, "SFX"), "tag_suffix", None),
        ("DESCRIPTOR (24)", "svc", None),
        ((D, "NODE"), "x_node", None),
        ((D, "CARD"), "x_card", None),
        ((D, "CH"), "x_ch", None),
        ((D, "SIGNAL"), "sig", None),
        ((D, "ACTION"), "action", None),
        ((R, "LO"), "*lrv", ev("lrv")),
        ((R, "HI"), "*urv", ev("urv")),
        ((R, "EU"), "eu", None),
        ((A, "HH"), "*lshh", ev("lshh")),
        ((A, "H"), "*lsh", ev("lsh")),
        ((A, "L"), "*lsl", ev("lsl")),
        ((A, "LL"), "*lsll", ev("lsll")),
        ((A, "DEADBAND %"), "x_db", None),
        ((A, "PRIO"), "x_pri", None),
        ("SCAN ms", "x_scan", None),
        ("LG VISIBLE LENGTH (mm)", "vis", None),
        ("COMMENT", "rem", None),
    ]
    r = heading_rows(b, ws, 2, 0, cols, merge=False, at="bottom")
    for g in oth + gs:
        g["x_eu"], g["x_sig"] = g.get("eu"), g.get("sig")
    cols = [(h, {"sig": "x_sig", "eu": "x_eu"}.get(k, k), fn) for h, k, fn in cols]
    r = write_rows(b, ws, r, 0, cols, gs[:4])
    r = write_rows(b, ws, r, 0, cols, oth[:1])
    r = write_rows(b, ws, r, 0, cols, gs[4:])
    write_rows(b, ws, r, 0, cols, oth[1:])
    finish(b, gs)
