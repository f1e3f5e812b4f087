"""Lists in English of those who inspect: boilers, a ship, a pharmaceutical plant, effluent."""

from __future__ import annotations

from tests.reading.books.lists_by_trade.common import (
    finish,
    heading_rows,
    plant_clear_offset,
    plant_missing_tag,
    plant_reused_serial,
    shown_tag,
    simple_sheet,
    words_or,
    write_lines,
    write_rows,
)
from tests.reading.faults import plant_above_design, plant_float_temperature, plant_long_range, plant_magnetic_chamber, plant_urv_short
from tests.reading.gauges import add_serials, by_tag, check_gauge, gauge, make_float
from tests.reading.physics import flange_rating, liquid_density, mean_density, reading_offset, saturation_temperature, vapour_density, water_density
from tests.reading.registry import book
from tests.reading.units import g_cm3, kpag, mbarg
from tests.reading.writing import Book, count_float_cells, float_sheet


@book
def j10_boiler_inspection(b: Book) -> None:
    """Boiler inspector."""
    A = make_float("GC 52/88", 52, 300, 880, 5.5, ends="elliptical", pmax=32, tmax=230)
    B_ = make_float("GC 52/96", 52, 270, 963, 0.5, ends="elliptical", pmax=32, tmax=160)
    C = make_float("GC 52/104", 52, 250, 1040, 0, ends="elliptical", pmax=16, tmax=120)
    D = make_float("GC 52/92", 52, 285, 917, 2.5, ends="elliptical", pmax=40, tmax=230)
    ts = round(saturation_temperature("Water", 10))
    td = round(saturation_temperature("Water", 0.2))
    mk = [
        ("LG 01", "Boiler 1", "Steam drum, L.H.", "Boiler water", A, water_density(ts), 10, ts, 14, 200, 600, 300, round(vapour_density("Water", ts), 2)),
        ("LG 02", "Boiler 1", "Steam drum, R.H.", "Boiler water", A, water_density(ts), 10, ts, 14, 200, 600, 300, round(vapour_density("Water", ts), 2)),
        ("LG 03", "Boiler 2", "Steam drum", "Boiler water", A, water_density(ts), 10, ts, 14, 200, 650, 300, round(vapour_density("Water", ts), 2)),
        ("LG 04", "Feed tank", "North end", "Feed water", B_, water_density(85, 0.05), 0.05, 85, 1.0, 110, 1500, 150, 0.35),
        ("LG 05", "Deaerator", "Storage section", "Feed water", B_, water_density(td), 0.2, td, 3.5, 150, 1800, 150, 0.7),
        ("LG 06", "Condensate receiver", "Basement", "Condensate", B_, water_density(88, 0.3), 0.3, 88, 3.5, 120, 900, 150, 0.5),
        ("LG 07", "Blowdown vessel", "Yard", "Blowdown water", B_, water_density(80, 0.1), 0.1, 80, 5.0, 150, 700, 150, 0.3),
        ("LG 08", "Phosphate tank", "Dosing room", "Phosphate solution 5 %", C, 1042, 0.01, 20, 0.5, 60, 500, 150, 0),
        ("LG 09", "Hot water accumulator", "Boiler house", "Water", D, water_density(150, 14), 14, 150, 18, 200, 2000, 300, 2.5),
    ]
    gs = []
    for i, (t, pl, pos, flu, f, rho, op, ot, dp, dt, cc, cl, ru) in enumerate(mk):
        g = gauge(t, pl, flu, f, rho / f["drho"], op, ot, dp, dt, cc, vis=cc - 50, rho_u=ru, fclass=cl, grp="2.3")
        g.update(
            rho=rho,
            cmat="316L seamless tube",
            flgmat="A182 F316L",
            tp=round(dp * 1.5, 1),
            x_pos=pos,
            x_plant=f"B{220 + i}",
            x_year=1994 + i,
            x_sv=dp,
            x_due="June",
            x_nwl=round(cc * 0.5),
            x_out=24,
            x_cock="Satisfactory",
            x_evap=12000 if "Boiler" in pl else None,
        )
        check_gauge(g)
        gs.append(g)
    for t in ("LG 01", "LG 02", "LG 03", "LG 05"):
        b.allow("fluid-boils-in-chamber", t, "saturated by nature")
    x = by_tag(gs)
    x["LG 07"]["x_cock"] = "Drain cock passing"
    x["LG 08"]["x_sv"] = "N/A"
    x["LG 04"]["rem"] = "Vented"
    x["LG 08"]["_rho_u"] = "N/A"
    if b.faulty:
        g = x["LG 09"]
        g["rho"] = 998
        b.fault(
            "density-not-at-operating-conditions",
            g["tag"],
            ["rho", "fluid"],
            f"water at 150 degC: {water_density(150, 14)}",
            ok=["offset-exceeds-tolerance", "design-density-mismatch"],
        )
        g = x["LG 02"]
        g["fclass"] = 150
        r = flange_rating("2.3", 150, 200)
        assert r < 11.5
        b.fault("flange-rating-exceeded", g["tag"], ["fclass", "dp", "flgmat", "cmat"], f"class 150 at 200 degC: {r} < 14 barg")
        plant_float_temperature(b, x["LG 05"], v=180)
        plant_above_design(b, x["LG 07"], "op", 5.6)
        g = x["LG 06"]
        g["ot"] = 106
        g["rho"] = water_density(106)
        b.fault("fluid-boils-in-chamber", g["tag"], ["ot", "op", "fluid"], f"saturation at 0.3 barg: {saturation_temperature('Water', 0.3):.1f} degC")
        offset = reading_offset(g["f"], g["rho"], 0.5)
        assert offset is not None and abs(offset) < 8
        plant_magnetic_chamber(b, x["LG 04"], "Carbon steel tube BS 3602 Gr 360")
    ws = b.sheet("Register")
    write_lines(
        b, ws, 0, 0, ["REGISTER OF WATER LEVEL GAUGES (MAGNETIC TYPE) - STEAM PLANT", "Hallowmere Works        Next statutory examination: June"], bold=True
    )
    P = "Pressure, bar g"
    T = "Temperature, °C"
    R = "Density"
    F_ = "Float"
    K = "Column"
    cols = [
        ("Plant No.", "x_plant", None),
        ("Gauge", "tag", None),
        ("Fitted to", "svc", None),
        ("Position", "x_pos", None),
        ("Contents", "fluid", None),
        ((P, "W.P."), "op", lambda v: round(v, 2)),
        ((P, "S.W.P. (design)"), "dp", None),
        ((P, "Hyd. test"), "tp", None),
        ((P, "Safety valve set"), "x_sv", None),
        ((T, "Working"), "ot", None),
        ((T, "Design"), "dt", None),
        ((R, "Liquid at W.T. kg/l"), "rho", g_cm3(3)),
        ((R, "Steam kg/m³"), "*rho_u", words_or("rho_u", None)),
        ((K, "Tube"), "cmat", None),
        ((K, "Flange material"), "flgmat", None),
        ((K, "Flange class"), "fclass", None),
        ((K, "Tapping centres mm"), "cc", None),
        ((K, "Scale length mm"), "vis", None),
        ((K, "N.W.L. above lower tapping mm"), "x_nwl", None),
        ((F_, "Type"), "part", None),
        ((F_, "Weight g"), "mass", None),
        ((F_, "Dia. mm"), "od", None),
        ((F_, "Length mm"), "L", None),
        ((F_, "Ends"), "ends", lambda v: "2:1 ellip."),
        ((F_, "Magnet from bottom mm"), "mag", None),
        ((F_, "Max. bar g"), "pmax", None),
        ((F_, "Max. °C"), "tmax", None),
        ("Evaporation kg/h", "x_evap", None),
        ("Year made", "x_year", None),
        ("Condition of cocks", "x_cock", None),
        ("Remarks", "rem", None),
    ]
    r = heading_rows(b, ws, 3, 0, cols, merge=False)
    r = write_rows(b, ws, r, 0, cols, gs, {"LG 01": "BOILERS", "LG 04": "ANCILLARY VESSELS"})
    write_lines(b, ws, r + 1, 1, ["S.W.P. = safe working pressure. W.T. = working temperature.", "Surveyor: ____________"])
    finish(b, gs)


@book
def j11_ship_tank_gauges(b: Book) -> None:
    """Second engineer of a ship."""
    A = make_float("MG-95", 60, 280, 948, pmax=10, tmax=120)
    B_ = make_float("MG-87", 60, 300, 868, pmax=10, tmax=120)
    C = make_float("MG-100", 60, 270, 1000, pmax=10, tmax=100)
    D = make_float("MG-83", 60, 310, 830, pmax=10, tmax=100)
    mk = [
        ("LG-201", "HFO settling tk (P)", "Fr. 30-34 P", "HFO 380", A, 0.9985, 75, 100, 2400, 0.991, 380, 82),
        ("LG-202", "HFO service tk (S)", "Fr. 30-34 S", "HFO 380", A, 0.99, 88, 100, 2000, 0.991, 380, 60),
        ("LG-203", "MDO service tk", "Fr. 28-30 P", "MDO", D, 1.01, 35, 60, 1800, 0.852, 4, 32),
        ("LG-204", "M/E LO sump drain tk", "Dbl. bottom", "LO SAE 30", B_, 0.995, 50, 90, 900, 0.892, 68, 18),
        ("LG-205", "Cyl. oil day tk", "Casing", "Cyl. oil BN 70", C, 0.93, 40, 80, 1000, 0.935, 140, 2.5),
        ("LG-206", "FW expansion tk (HT)", "E/R 2nd deck", "Fresh water", C, 0.972, 80, 95, 800, 0.999, None, 1.2),
        ("LG-207", "Sludge tk", "Fr. 24-26 S", "Sludge", A, 1.01, 60, 90, 1500, 0.985, 500, 14),
        ("LG-208", "Bilge holding tk", "Fr. 22-24 C", "Bilge water", C, 1.003, 30, 60, 1600, 1.005, None, 30),
    ]
    E_ = make_float("MG-92", 60, 290, 920, pmax=10, tmax=100)
    gs = []
    for i, (t, s, loc, flu, f, k, ot, dt, cc, r15, cst, volm) in enumerate(mk):
        if t == "LG-205":
            f, k = E_, 1.0
        g = gauge(t, s, flu, f, k, 0.05 if i != 3 else 0.1, ot, 0.4, dt, cc, fclass="JIS 5K-50A")
        g["rho"] = round(f["drho"] * k)
        g.update(
            r15=r15 * 1000,
            x_cst50=cst,
            x_vol=volm,
            x_loc=loc,
            x_full=round(cc / 1000 + 0.35, 2),
            cmat="SUS316L",
            tp=0.8,
            lsll=100,
            lsl=round(cc * 0.2),
            lsh=round(cc * 0.85),
            lshh=round(cc * 0.94),
            x_sp=1,
            x_cl="Mar" if i % 2 else "Aug",
        )
        check_gauge(g)
        gs.append(g)
    x = by_tag(gs)
    x["LG-206"].update(lsh=None, lshh=None, lsll=None, rem="L alarm to AMS only")
    x["LG-208"]["_rho"] = "abt 1.00"
    x["LG-207"]["rem"] = "Float sticky, cleaned 08/22. Steam coil leaking?"
    x["LG-203"]["x_sp"] = "none"
    if b.faulty:
        plant_clear_offset(b, x["LG-207"], ends=False, vap=False)
        x["LG-207"]["r15"] = x["LG-207"]["rho"] + 25
        g = x["LG-201"]
        g["lsl"], g["lsll"] = 120, 480
        b.fault("switch-order", g["tag"], ["lsl", "lsll"], "LL 480 above L 120")
        plant_magnetic_chamber(b, x["LG-203"], "STPG370")
        plant_float_temperature(b, x["LG-205"], v=130)
        plant_long_range(b, x["LG-204"], 120)
        g = x["LG-204"]
        g["lsh"], g["lshh"] = 765, 846
        plant_above_design(b, x["LG-202"], "ot", 108)
    ws = b.sheet("Mag. level gauges")
    write_lines(b, ws, 0, 0, ["M/T TARN SKUA    ENGINE DEPT.", "MAGNETIC LEVEL GAUGES - TANKS IN E/R", "Corrected to dry docking"])
    AL = "ALARMS (MM ABV. LOWER FLANGE)"
    cols = [
        ("NO.", "*x_n", lambda g: gs.index(g) + 1),
        ("TANK", "svc", None),
        ("LOCATION", "x_loc", None),
        ("GAUGE", "tag", None),
        ("LIQUID", "fluid", None),
        (("S.G.", "AT 15 C"), "r15", g_cm3(3)),
        (("S.G.", "AT TANK TEMP"), "*rho", words_or("rho", g_cm3(3))),
        ("CST AT 50 C", "x_cst50", None),
        (("TEMP C", "NORMAL"), "ot", None),
        (("TEMP C", "DESIGN"), "dt", None),
        (("PRESS BAR (G)", "NORMAL"), "op", None),
        (("PRESS BAR (G)", "DESIGN"), "dp", None),
        (("PRESS BAR (G)", "TEST"), "tp", None),
        ("TANK CAP. M3 100%", "x_vol", None),
        ("MAX SOUNDING M", "x_full", None),
        (("GAUGE PIPE", "MATERIAL"), "cmat", None),
        (("GAUGE PIPE", "FLANGES"), "fclass", None),
        (("GAUGE PIPE", "FLANGE CTRS MM"), "cc", None),
        (("GAUGE PIPE", "INDICATOR LENGTH MM"), "vis", None),
        ((AL, "LL"), "lsll", None),
        ((AL, "L"), "lsl", None),
        ((AL, "H"), "lsh", None),
        ((AL, "HH"), "lshh", None),
        (("FLOAT", "TYPE"), "part", None),
        (("FLOAT", "DIA MM"), "od", None),
        (("FLOAT", "LENGTH MM"), "L", None),
        (("FLOAT", "WT GRAMS"), "mass", None),
        (("FLOAT", "MAGNET ABV. BOTTOM MM"), "mag", None),
        (("FLOAT", "MAX BAR (G)"), "pmax", None),
        (("FLOAT", "MAX C"), "tmax", None),
        ("SPARE FLOATS ON BOARD", "x_sp", None),
        ("LAST CLEANED", "x_cl", None),
        ("REMARKS", "rem", None),
    ]
    r = heading_rows(b, ws, 4, 0, cols, merge=True, at="bottom")
    r = write_rows(b, ws, r, 0, cols, gs)
    ws.write(r + 1, 1, "SIGNED: 2/E ____________   C/E ____________")
    simple_sheet(b, "Spares", ["FLOAT TYPE", "ON BOARD", "MIN", "MAX", "LOCKER"], [(f["part"], 1, 1, 2, "E/R store 4") for f in (A, B_, C, D, E_)])
    b.allow("number-as-text")
    finish(b, gs)


@book
def j12_validation_matrix(b: Book) -> None:
    """Validation engineer, pharmaceutical plant."""
    A = make_float("FL-08", 45, 240, 972, pmax=10, tmax=160)
    B_ = make_float("FL-09", 45, 270, 789, pmax=10, tmax=160)
    C = make_float("FL-11", 45, 235, 1012, pmax=10, tmax=160)
    D = make_float("FL-12", 45, 260, 862, pmax=6, tmax=140)
    eth = round(liquid_density("Ethanol", 20, 0.03), 1)
    ace = round(liquid_density("Acetone", 20, 0.03), 1)
    mk = [
        ("LG-1201", "WFI storage vessel", "Water for injection", A, water_density(80, 0.2), 0.2, 80, 3, 150, 1600),
        ("LG-1202", "PW storage vessel", "Purified water", C, water_density(22, 0.05), 0.05, 22, 3, 150, 1400),
        ("LG-1203", "Ethanol dispensing vessel", "Ethanol", B_, eth, 0.03, 20, 2, 80, 900),
        ("LG-1204", "IPA 70 % vessel", "Isopropanol 70 % v/v", D, 866, 0.03, 20, 2, 80, 900),
        ("LG-1205", "Acetone receiver", "Acetone", B_, ace, 0.03, 20, 2, 80, 800),
        ("LG-1206", "Buffer hold 1", "Phosphate buffer", C, 1018, 0.3, 25, 3, 150, 1000),
        ("LG-1207", "Buffer hold 2", "Phosphate buffer", C, 1018, 0.3, 25, 3, 150, 1000),
        ("LG-1208", "CIP caustic tank", "CIP solution 2 % NaOH", C, 1003, 0.1, 70, 2, 110, 700),
        ("LG-1209", "Mother liquor tank", "Mother liquor", D, 872, 0.05, 30, 3, 120, 1200),
    ]
    gs = []
    for i, (t, s, flu, f, rho, op, ot, dp, dt, cc) in enumerate(mk):
        g = gauge(t, s, flu, f, rho / f["drho"], op, ot, dp, dt, cc)
        g.update(
            rho=rho,
            cmat="1.4435 (316L)",
            x_ra=0.4 if i % 2 else 0.5,
            x_tc='TC 2"',
            x_urs=f"URS-4.{i + 1}",
            x_sip=121 if dt == 150 else "n/a",
            x_sipp=1.2 if dt == 150 else "n/a",
            x_acc=5,
            x_gmp="Yes" if i not in (7, 8) else "No",
            x_iq="Pass",
            x_oq=f"OQ-LG-{i + 1:02d}",
            x_dev=None,
            x_due="11/2025",
            x_vac="Yes" if dp == 3 else "No",
            x_hold=round(dp * 1.1, 1),
            _tx=1,
        )
        check_gauge(g)
        gs.append(g)
    add_serials(gs, "P-", 3301)
    x = by_tag(gs)
    x["LG-1206"].update(x_iq="Open", x_dev="DEV-118")
    x["LG-1209"]["_rho"] = "TBD by process dev."
    x["LG-1204"]["rem"] = "Ex zone 1"
    if b.faulty:
        g = x["LG-1203"]
        g["ot"] = 65
        b.fault(
            "density-not-at-operating-conditions",
            g["tag"],
            ["rho", "ot", "fluid"],
            f"ethanol at 65 degC: {liquid_density('Ethanol', 65, 0.03):.0f} kg/m3, stated {g['rho']}",
        )
        assert liquid_density("Ethanol", 65, 0.03) * 1.04 < g["rho"]
        plant_urv_short(b, x["LG-1206"], 80)
        plant_float_temperature(b, x["LG-1202"], v=175)
        plant_reused_serial(b, x["LG-1207"], x["LG-1206"])
        plant_above_design(b, x["LG-1208"], "ot", 118)
        g = x["LG-1205"]
        g["shown"] = "FG-1205"
        b.fault("tag-malformed", [g["tag"], "FG-1205"], "tag", "F is flow, not level")
        plant_clear_offset(b, x["LG-1209"], ends=False, vap=False)
        x["LG-1209"].pop("_rho")
    ws = b.sheet("IQ-OQ matrix")
    ws.write(0, 0, "Qualification matrix - magnetic level indicators, Building 12")
    ws.write(1, 0, "Protocol VP-12-031, version 02, effective")
    ws.write(1, 8, "GxP document")
    cols = [
        ("URS ref.", "x_urs", None),
        ("Instrument tag", "*tag", shown_tag),
        ("Installed on", "svc", None),
        ("GMP critical", "x_gmp", None),
        ("Product contact fluid", "fluid", None),
        ("Fluid density at process temperature (kg/m³)", "*rho", words_or("rho", None)),
        ("Process pressure (mbar(g))", "op", mbarg()),
        ("Process temperature (°C)", "ot", None),
        ("SIP temperature (°C)", "x_sip", None),
        ("SIP steam pressure (bar(g))", "x_sipp", None),
        ("Design pressure PS (bar(g))", "dp", None),
        ("Full vacuum rated", "x_vac", None),
        ("Design temperature TS (°C)", "dt", None),
        ("Leak test pressure held in IQ (bar(g))", "x_hold", None),
        ("Body material", "cmat", None),
        ("Surface finish Ra max. (µm)", "x_ra", None),
        ("Process connection", "x_tc", None),
        ("Centre distance (mm)", "cc", None),
        ("Indicating length (mm)", "vis", None),
        ("4 mA (mm)", "lrv", None),
        ("20 mA (mm)", "urv", None),
        ("Acceptance limit (± mm)", "x_acc", None),
        ("Instrument serial no.", "gsn", None),
        ("Float ID", "part", None),
        ("Float serial no.", "fsn", None),
        ("IQ result", "x_iq", None),
        ("OQ test script", "x_oq", None),
        ("Deviation", "x_dev", None),
        ("Calibration due", "x_due", None),
        ("Comment", "rem", None),
    ]
    r = heading_rows(b, ws, 3, 0, cols)
    write_rows(b, ws, r, 0, cols, gs)
    float_sheet(
        b,
        "Float dossier",
        [A, B_, C, D],
        [
            ("Float ID", "part", None),
            ("Outer diameter (mm)", "od", None),
            ("Total length (mm)", "L", None),
            ("Weight (g)", "mass", None),
            ("Magnet position from lower end (mm)", "mag", None),
            ("Made for density (kg/m³)", "drho", None),
            ("Max. working pressure (bar(g))", "pmax", None),
            ("Max. working temperature (°C)", "tmax", None),
            ("Electropolished", "*x_ep", lambda f: "Yes"),
        ],
        title="Float dossier",
    )
    for g in gs:
        count_float_cells(b, g, "mass", "mag", "pmax", "tmax", "drho")
    simple_sheet(
        b,
        "Revision history",
        ["Version", "Author", "Change", "Max. level of approval"],
        [("01", "M. Orlov", "First issue", 2), ("02", "M. Orlov", "LG-1209 added", 2)],
    )
    finish(b, gs)


@book
def j13_effluent_interface(b: Book) -> None:
    """Effluent plant with oil/water interfaces, four heading rows."""
    I1 = make_float("IF-092", 54, 260, 1000, 840, 0.5, pmax=16, tmax=110, svc="interface")
    I2 = make_float("IF-094", 54, 260, 1000, 880, 0.5, pmax=16, tmax=110, svc="interface")
    I3 = make_float("IF-090", 54, 260, 1080, 730, 0.5, pmax=16, tmax=110, svc="interface")
    L1 = make_float("LV-087", 50, 280, 870, pmax=16, tmax=110)
    L2 = make_float("LV-140", 50, 220, 1415, pmax=10, tmax=80)
    L3 = make_float("LV-101", 50, 250, 1010, pmax=16, tmax=110)
    L4 = make_float("LV-127", 50, 230, 1275, pmax=10, tmax=80)
    fl = [I1, I2, I3, L1, L2, L3, L4]
    mk = [
        ("LG-5101", "CPI separator, cell 1", "Oily water", "Slop oil", I1, 1000, 840, 8, 35, 200, 80, 1200, "316L"),
        ("LG-5102", "CPI separator, cell 2", "Oily water", "Slop oil", I1, 1002, 841, 8, 35, 200, 80, 1200, "316L"),
        ("LG-5103", "Skimmed oil sump", "Skimmed oil", None, L1, 865, None, 2, 30, 100, 80, 1500, "316L"),
        ("LG-5104", "Ferric chloride tank", "Ferric chloride 40 %", None, L2, 1420, None, 1, 20, 60, 45, 1800, "PVC-U"),
        ("LG-5105", "Wet slops decanter", "Oily water", "Heavy slop", I2, 1000, 880, 15, 45, 350, 90, 900, "316L"),
        ("LG-5106", "Spent caustic decanter", "Spent caustic 8 %", "Naphtha", I3, 1080, 730, 150, 40, 600, 90, 1000, "316L"),
        ("LG-5107", "Caustic dosing tank", "Caustic 25 %", None, L4, 1272, None, 1, 25, 60, 60, 1000, "PP-H"),
        ("LG-5108", "Leachate balance tank", "Leachate", None, L3, 1012, None, 3, 20, 100, 60, 2200, "316L"),
    ]
    gs = []
    for i, (t, s, lo, up, f, rho, ru, op, ot, dp, dt, cc, m) in enumerate(mk):
        g = gauge(t, s, lo, f, rho / f["drho"], op / 100, ot, dp / 100, dt, cc, typ="interface" if up else "level", rho_u=ru, fluid_u=up)
        g.update(
            rho=rho,
            cmat=m,
            styp="Interface" if up else "Level",
            x_ph=[7.5, 7.5, None, 1, 7, 13.5, 14, 8][i],
            x_tss=[180, 180, 50, None, 900, None, None, 1400][i],
            x_flow=[40, 40, 2, 0.2, 6, 3, 0.1, 25][i],
            x_thick=150 if up else None,
        )
        check_gauge(g)
        gs.append(g)
    x = by_tag(gs)
    x["LG-5104"]["rem"] = "PVDF coated float"
    x["LG-5105"]["rem"] = "Rag layer up to 100 mm"
    if b.faulty:
        g = x["LG-5106"]
        g["rho"], g["rho_u"] = g["rho_u"], g["rho"]
        b.fault(
            "densities-swapped",
            g["tag"],
            ["rho", "rho_u"],
            "upper 1080 above lower 730",
            ok=["interface-density-gap-small", "interface-float-outside-fluids", "offset-exceeds-tolerance", "float-sinks", "design-density-mismatch"],
        )
        g = x["LG-5103"]
        g["part"] = "IF-092"
        b.fault(
            "float-service-mismatch",
            g["tag"],
            ["part", "styp", "fsvc"],
            "interface float on a level gauge",
            ok=["float-sinks", "offset-exceeds-tolerance", "float-barely-floats", "design-density-mismatch"],
        )
        g = x["LG-5101"]
        g["rho_u"] = 940
        md = mean_density(I1)
        assert md < 935
        b.fault(
            "interface-float-outside-fluids",
            g["tag"],
            ["rho_u", "rho", "part", "mass"],
            f"mean density {md:.0f} below the upper liquid's 940",
            ok=["offset-exceeds-tolerance", "float-sinks", "float-barely-floats"],
        )
        g = x["LG-5105"]
        g["rho"], g["rho_u"] = 970, 932
        assert 932 < mean_density(I2) < 970
        b.fault("interface-density-gap-small", g["tag"], ["rho", "rho_u"], "gap 38 kg/m3", ok=["offset-exceeds-tolerance"])
        plant_float_temperature(b, x["LG-5107"], v=95)
        plant_clear_offset(b, x["LG-5108"], vap=False)
        plant_missing_tag(b, x["LG-5102"], ["svc", "styp", "fluid"])
    ws = b.sheet("Instrument list")
    write_lines(b, ws, 0, 0, ["EFFLUENT TREATMENT PLANT", "LEVEL AND INTERFACE GAUGES, MAGNETIC"], bold=True)
    Pr = "Process"
    De = "Design"
    Ga = "Gauge"
    cols = [
        ("Tag", "*tag", shown_tag),
        ("Service", "svc", None),
        ("Duty", "styp", None),
        ((Pr, "Lower liquid", "Name", ""), "fluid", None),
        ((Pr, "Lower liquid", "Density", "kg/m³"), "rho", None),
        ((Pr, "Upper liquid", "Name", ""), "fluid_u", None),
        ((Pr, "Upper liquid", "Density", "kg/m³"), "rho_u", None),
        ((Pr, "Upper liquid", "Layer", "mm"), "x_thick", None),
        ((Pr, "Operating", "Pressure", "kPa(g)"), "op", kpag()),
        ((Pr, "Operating", "Temperature", "°C"), "ot", None),
        ((Pr, "Water quality", "pH", "-"), "x_ph", None),
        ((Pr, "Water quality", "TSS", "mg/l"), "x_tss", None),
        ((Pr, "Water quality", "Flow", "m³/h"), "x_flow", None),
        ((De, "", "Pressure", "kPa(g)"), "dp", kpag()),
        ((De, "", "Temperature", "°C"), "dt", None),
        ((Ga, "", "Body", "material"), "cmat", None),
        ((Ga, "", "C-C", "mm"), "cc", None),
        ((Ga, "", "Visible", "mm"), "vis", None),
        ((Ga, "", "Float", "no."), "part", None),
        ("Remarks", "rem", None),
    ]
    r = heading_rows(b, ws, 3, 0, cols, merge=False)
    write_rows(b, ws, r, 0, cols, gs)
    float_sheet(
        b,
        "Floats",
        fl,
        [
            ("Float no.", "part", None),
            ("For", "svc", lambda v: v.capitalize()),
            ("Mass (g)", "mass", None),
            ("Diameter (mm)", "od", None),
            ("Length (mm)", "L", None),
            ("Ends", "ends", None),
            ("Magnet above bottom (mm)", "mag", None),
            ("Max. kPa(g)", "pmax", kpag()),
            ("Max. °C", "tmax", None),
            ("Stock", "*x_stock", lambda f: 1),
        ],
    )
    for g in gs:
        count_float_cells(b, g, "mass", "mag", "pmax", "tmax")
        for c in b.pos.get((("float", g["part"]), "svc"), []):
            b.pos.setdefault((g["tag"], "fsvc"), []).append(c)
    finish(b, gs)
