"""Lists in English of those who design, buy and sell."""

from __future__ import annotations

from typing import Any

from tests.reading.books.lists_by_trade.common import (
    finish,
    heading_rows,
    plant_clear_offset,
    plant_duplicate_tag,
    plant_other_serial,
    plant_reused_serial,
    plant_reversed_densities,
    plant_weak_flange,
    shown_tag,
    simple_sheet,
    write_lines,
    write_rows,
)
from tests.reading.faults import (
    plant_design_density,
    plant_float_pressure,
    plant_float_temperature,
    plant_long_range,
    plant_magnetic_chamber,
    plant_test_pressure,
    plant_unlisted_float,
)
from tests.reading.gauges import add_serials, by_tag, gauge, make_float
from tests.reading.physics import collapse_pressure, mean_density
from tests.reading.registry import book
from tests.reading.units import barg, degF, degF_by_5, feet_and_inches, inch, inch_fraction, lb_ft3, ounce, pound, psig, psig_by_5, psig_up_by_5, sg4, sg60
from tests.reading.writing import Book, count_float_cells, float_sheet


@book
def j01_gas_plant_process(b: Book) -> None:
    """Process engineer, gas plant, US units, min/normal/max."""
    A = make_float("MF-052", 50.8, 330.2, 520, 25, pmax=45, tmax=121)
    B_ = make_float("MF-069", 50.8, 304.8, 690, 28, pmax=45, tmax=121)
    C = make_float("MF-111", 50.8, 228.6, 1110, 8, pmax=45, tmax=149)
    D = make_float("MF-102", 50.8, 241.3, 1025, 4, pmax=31, tmax=149)
    E_ = make_float("MF-080", 50.8, 279.4, 800, 6, pmax=31, tmax=177)
    fl = [A, B_, C, D, E_]
    gs = [
        gauge("LG-301", "Inlet separator", "HC condensate", B_, 0.99, 30, 32, 38, 93, 1524, rho_u=28, mu=0.35, x_api60=72.1),
        gauge("LG-302", "Stabilizer feed drum", "Unstab. condensate", B_, 1.01, 22, 38, 30, 93, 1219.2, rho_u=20, mu=0.3, x_api60=64.8),
        gauge("LG-303", "Glycol contactor bottoms", "Rich TEG", C, 0.995, 31, 38, 40, 93, 914.4, rho_u=26, mu=21),
        gauge("LG-304", "Glycol flash drum", "Rich TEG", C, 0.98, 4.5, 66, 10, 121, 762, rho_u=4, mu=9),
        gauge("LG-305", "Amine flash drum", "Rich MDEA 45 wt%", D, 1.0, 5.2, 65, 10.3, 121, 1066.8, rho_u=4.5, mu=2.4),
        gauge("LG-306", "Amine surge tank pot", "Lean MDEA 45 wt%", D, 0.985, 0.07, 54, 3.4, 121, 1524, rho_u=1.1, mu=3),
        gauge("LG-307", "Lean oil still reflux accum.", "Lean oil", E_, 1.01, 3.1, 60, 8.6, 149, 1219.2, rho_u=8, mu=0.9, x_api60=41.0),
        gauge("LG-308", "Deethanizer reboiler", "Y-grade NGL", A, 1.0, 26, 43, 33, 99, 1066.8, rho_u=25, mu=0.12),
    ]
    others = [
        {
            "tag": "LT-301",
            "type": "DP transmitter",
            "svc": "Inlet separator",
            "fluid": "HC condensate",
            "rho": 683,
            "op": 30,
            "ot": 32,
            "dp": 38,
            "dt": 93,
            "rem": "Wet leg, SG 1.05 fill",
        },
        {
            "tag": "LG-309",
            "type": "Reflex glass, 3 sect.",
            "svc": "Flare scrubber",
            "fluid": "Slop condensate",
            "rho": 700,
            "op": 0.3,
            "ot": 30,
            "dp": 3.4,
            "dt": 93,
            "cc": 1016,
            "vis": 940,
            "rem": "Carbon steel body. By others",
        },
        {
            "tag": "LT-305",
            "type": "Displacer, 32 in.",
            "svc": "Amine flash drum",
            "fluid": "Rich MDEA 45 wt%",
            "rho": 1025,
            "op": 5.2,
            "ot": 65,
            "dp": 10.3,
            "dt": 121,
            "cc": 812.8,
        },
    ]
    for g in gs:
        g.update(
            type="Magnetic LG",
            rho_min=round(g["rho"] * 0.988, 1),
            rho_max=round(g["rho"] * 1.009, 1),
            op_min=round(g["op"] * 0.75, 2),
            op_max=round(g["op"] * 1.1, 2),
            ot_min=g["ot"] - 14,
            ot_max=g["ot"] + 11,
            dt_min=-29,
            x_psv=g["dp"],
            x_lll=round(g["cc"] * 0.2),
            x_nll=round(g["cc"] * 0.5),
            x_hll=round(g["cc"] * 0.8),
        )
    x = by_tag(gs)
    x["LG-306"]["rem"] = "Note 3"
    x["LG-301"]["rem"] = "Heavy slug SG 0.74 at start-up of wells"
    if b.faulty:
        plant_clear_offset(b, x["LG-307"])
        x["LG-307"]["x_api60"] = 28.4
        plant_reversed_densities(b, x["LG-302"])
        plant_float_pressure(b, x["LG-303"], v=49.5)
        plant_unlisted_float(b, x["LG-306"], "MF-120")
        g = x["LG-305"]
        g["ot_max"] = 129
        b.fault("operating-exceeds-design", g["tag"], ["ot_max", "dt"], "max. 264 F > design 250 F")
        plant_float_temperature(b, x["LG-308"], v=149)
        g = x["LG-301"]
        g["part"] = "MF-111"
        assert mean_density(C) > 1.05 * g["rho_max"]
        b.fault(
            "float-sinks",
            g["tag"],
            ["part", "rho", "mass", "rho_min", "rho_max"],
            f"mean density of MF-111 {mean_density(C):.0f}, fluid {g['rho']}",
            ok=["offset-exceeds-tolerance", "float-barely-floats", "design-density-mismatch"],
        )
    for i, g in enumerate(gs):
        g["x_line"] = i + 1
        g["x_pid"] = f"D-30{1 + i // 3}"
    ws = b.sheet("LEVEL")
    write_lines(b, ws, 0, 0, ["OCHRE MESA GAS PLANT - EXPANSION", "LEVEL INSTRUMENT PROCESS DATA", "REV C  FOR QUOTATION"], bold=True)
    ws.write(1, 14, "ATM. PRESS. 12.8 PSIA")
    D_ = "LIQUID SP. GR. AT FLOWING TEMP."
    P = "PRESSURE"
    T = "TEMPERATURE"
    L = "LEVELS ABOVE BTM. TAP"
    cols = [
        ("LN", "x_line", None),
        ("P&ID", "x_pid", None),
        ("TAG", "tag", None),
        ("DEVICE", "type", None),
        ("SERVICE", "svc", None),
        ("LIQUID", "fluid", None),
        ((D_, "MIN.", ""), "rho_min", sg60()),
        ((D_, "NOR.", ""), "rho", sg60()),
        ((D_, "MAX.", ""), "rho_max", sg60()),
        (("GRAVITY", "AT 60 °F", "°API"), "x_api60", None),
        (("VAPOR", "DENS.", "LB/CF"), "rho_u", lb_ft3(3)),
        (("VISC.", "NOR.", "CP"), "mu", None),
        ((P, "MIN.", "PSIG"), "op_min", psig()),
        ((P, "NOR.", "PSIG"), "op", psig()),
        ((P, "MAX.", "PSIG"), "op_max", psig()),
        ((P, "DES.", "PSIG"), "dp", psig_by_5),
        ((P, "PSV SET", "PSIG"), "x_psv", psig_by_5),
        ((T, "MIN.", "°F"), "ot_min", degF()),
        ((T, "NOR.", "°F"), "ot", degF()),
        ((T, "MAX.", "°F"), "ot_max", degF()),
        ((T, "DES.", "°F"), "dt", degF_by_5),
        ((T, "MDMT", "°F"), "dt_min", degF()),
        ((L, "LLL", "IN."), "x_lll", inch(1)),
        ((L, "NLL", "IN."), "x_nll", inch(1)),
        ((L, "HLL", "IN."), "x_hll", inch(1)),
        (("TAPS", "C-C", "IN."), "cc", inch(1)),
        (("GAUGE", "VISIBLE", "IN."), "vis", inch(1)),
        (("FLOAT", "CODE", ""), "part", None),
        ("REMARKS", "rem", None),
    ]
    r = heading_rows(b, ws, 4, 0, cols, merge=False)
    r = write_rows(b, ws, r, 0, cols, gs[:2])
    r = write_rows(b, ws, r, 0, cols, [others[0]])
    r = write_rows(b, ws, r, 0, cols, gs[2:5])
    r = write_rows(b, ws, r, 0, cols, others[1:])
    r = write_rows(b, ws, r, 0, cols, gs[5:])
    write_lines(b, ws, r + 1, 2, ["NOTES", "1. SP. GR. REFERRED TO WATER AT 60 °F.", "2. DESIGN PRESSURE = VESSEL MAWP.", "3. NITROGEN BLANKETED, 1 PSIG."])
    float_sheet(
        b,
        "FLOATS",
        fl,
        [
            ("CODE", "part", None),
            ("DIA., IN.", "od", inch(2)),
            ("LENGTH, IN.", "L", inch(2)),
            ("ENDS", "ends", lambda v: "FLAT"),
            ("WEIGHT, LB", "mass", pound(4)),
            ("MAGNET C.L. ABOVE BOTTOM, IN.", "mag", inch(3)),
            ("SP. GR. BASIS", "drho", sg60(3)),
            ("MAX. PSIG", "pmax", psig_by_5),
            ("MAX. °F", "tmax", degF_by_5),
        ],
        title="FLOAT SELECTION TABLE",
    )
    for g in gs:
        count_float_cells(b, g, "mass", "mag", "pmax", "tmax", "drho", "part")
    finish(b, gs)


@book
def j02_piping_nozzles(b: Book) -> None:
    """Piping designer, feet and inches."""
    f = make_float("-", 50.8, 300, 800, pmax=99, tmax=400)
    INCH = 25.4
    data = [
        ("LG-4101", "V-410", "Crude preheat flash drum", 36, 9.0, 150, 300, "2.3", 0, "6'-0\"", "14'-6\""),
        ("LG-4102", "V-411", "Desalter water drum", 48, 10.3, 121, 150, "2.3", 3.175, "5'-6\"", "12'-0\""),
        ("LG-4103", "E-412", "Kettle reboiler", 30, 12.0, 204, 300, "2.3", 0, "4'-8\"", "18'-0\""),
        ("LG-4104", "V-413", "Overhead accumulator", 60, 6.9, 121, 150, "2.3", 0, "8'-0\"", "22'-0\""),
        ("LG-4105", "V-414", "Fuel gas KO drum", 42, 6.0, 66, 150, "2.3", 0, "4'-0\"", "10'-0\""),
        ("LG-4106", "V-415", "Sour water surge", 72, 5.2, 121, 150, "2.3", 1.5875, "9'-0\"", "20'-6\""),
        ("LG-4107", "V-416", "Chemical inj. pot", 24, 20.7, 66, 300, "2.3", 0, "2'-0\"", "4'-0\""),
        ("LG-4108", "V-417", "Stripper sump", 54, 8.6, 177, 300, "2.3", 0, "5'-0\"", "36'-0\""),
    ]
    gs = []
    for i, (t, v, s, cc, dp, dt, cl, grp, z, vid, tt) in enumerate(data):
        g = gauge(t, s, None, f, 1, None, None, dp, dt, cc * INCH, fclass=cl, grp=grp, szero=z)
        g.update(
            x_vessel=v,
            x_vid=vid,
            x_tt=tt,
            cmat="A312 TP316L",
            flgmat="A182 F316L",
            x_iso=f"41-{120 + i}",
            x_lclass="A1S" if cl == 150 else "B1S",
            x_up=f"N{3 + i % 4}A",
            x_dn=f"N{3 + i % 4}B",
            x_ell=(100 + 1.5 * i) * 304.8 + 152.4,
            x_orient=(45 * i) % 360,
            x_wt=68 + 6 * i,
            tp=round(dp * 1.5, 1),
            ins=[None, 38.1, 38.1, None, None, 38.1, None, 50.8][i],
            x_nps='2"',
        )
        g["x_elu"] = g["x_ell"] + g["cc"]
        gs.append(g)
    x = by_tag(gs)
    x["LG-4107"]["rem"] = "Vendor skid, TBC"
    x["LG-4103"]["rem"] = "Std. dwg L-14, rotate 15°"
    if b.faulty:
        plant_long_range(b, x["LG-4102"], 4 * INCH)
        g = x["LG-4104"]
        g["szero"] = 63.5
        b.fault("scale-zero-shifted", g["tag"], "szero", "zero 2 1/2 in. above the lower nozzle")
        plant_magnetic_chamber(b, x["LG-4108"], "A106 GR. B")
        plant_weak_flange(b, x["LG-4106"], 16.5)
        x["LG-4106"]["tp"] = 24.8
        plant_duplicate_tag(b, x["LG-4107"], x["LG-4105"])
    ws = b.sheet("BRIDLES & LG")
    ws.merge_range(0, 0, 0, 26, "LEVEL GAUGE AND BRIDLE NOZZLE SCHEDULE - AREA 41", b.fmt(bold=True, align="center", font_size=14))
    ws.write(1, 0, "HPFS EL. 100'-0\" = DATUM. DIMENSIONS IN FEET AND INCHES UNLESS NOTED.")
    V = "VESSEL"
    N = "NOZZLES"
    M = "MAGNETIC LEVEL GAUGE"
    C = "CONDITIONS"

    def el(v: float) -> str:
        return "EL. " + feet_and_inches(v)

    cols = [
        ("ITEM", "*x_item", lambda g: gs.index(g) + 1),
        ("ISO / SK", "x_iso", None),
        ((V, "NO."), "x_vessel", None),
        ((V, "I.D."), "x_vid", None),
        ((V, "T/T"), "x_tt", None),
        ("TAG", "*tag", shown_tag),
        ("DESCRIPTION", "svc", None),
        ("PIPE SPEC", "x_lclass", None),
        ((N, "UPPER"), "x_up", None),
        ((N, "LOWER"), "x_dn", None),
        ((N, "SIZE"), "x_nps", None),
        ((N, "C.L. UPPER"), "x_elu", el),
        ((N, "C.L. LOWER"), "x_ell", el),
        ((N, "ORIENT."), "x_orient", lambda v: f"{v}°"),
        ((N, "C/C"), "cc", feet_and_inches),
        ((M, "RTG & FACING"), "fclass", lambda v: f"{v}# RF"),
        ((M, "VIS. LENGTH"), "vis", feet_and_inches),
        ((M, "0 OF SCALE ABOVE LOWER NOZZLE"), "szero", inch_fraction),
        ((M, "CHAMBER PIPE"), "cmat", None),
        ((M, "FLANGES"), "flgmat", None),
        ((M, "WT. (LB)"), "x_wt", None),
        ((M, "DRAIN / VENT"), "*x_drain", lambda g: '3/4" NPT'),
        ((C, "DES. PSIG"), "dp", psig_by_5),
        ((C, "DES. °F"), "dt", degF_by_5),
        ((C, "HYDRO PSIG"), "tp", psig_by_5),
        ("INSUL. THK (IN.)", "ins", inch(1)),
        ("REMARKS", "rem", None),
    ]
    r = heading_rows(b, ws, 3, 0, cols, merge=True, down=True)
    r = write_rows(b, ws, r, 0, cols, gs, {"LG-4101": ("PLOT AREA 41-A (GRID B3 TO B7)",), "LG-4106": ("PLOT AREA 41-B (GRID C1 TO C4)",)})
    write_lines(b, ws, r + 1, 1, ["DRN: T. ABELL", "CHK: ______", "HOLD 1: NOZZLE ORIENTATION OF V-416"])
    b.allow("number-as-text")
    finish(b, gs)


@book
def j03_buyer_offer(b: Book) -> None:
    """Buyer, comparison of an offer."""
    K = make_float("T50-083", 50, 290, 830, pmax=32, tmax=200)
    L_ = make_float("T50-072", 50, 320, 720, pmax=25, tmax=200)
    M = make_float("T50-100", 50, 250, 1000, pmax=32, tmax=180)
    N = make_float("S45-128", 45, 230, 1280, pmax=16, tmax=150)
    gs = [
        gauge("82-LG-0101", "Solvent day tank", "Aromatic solvent mix", K, 1.01, 0.4, 35, 3.5, 100, 1000),
        gauge("82-LG-0102", "Wash column sump", "Wash liquor", M, 1.02, 2, 55, 7, 140, 800),
        gauge("82-LG-0103", "Light ends receiver", "C5/C6 cut", L_, 0.985, 3.6, 40, 10, 120, 1250),
        gauge("82-LG-0201", "Brine head tank", "Calcium chloride brine 30%", N, 1.005, 0.6, 5, 4, 60, 1400),
        gauge("82-LG-0202", "Slop drum", "Slop oil", K, 0.98, 0.2, 60, 3.5, 120, 1600),
        gauge("82-LG-0203", "Hot oil expansion vessel", "Heat transfer oil", K, 0.99, 1.0, 130, 6, 180, 900),
        gauge("82-LG-0204", "Reflux drum", "C5/C6 cut", L_, 1.01, 4.4, 45, 12, 120, 1100),
    ]
    price = [2480, 2310, 2655, 2990, 2540, 2375, 2610]
    for i, g in enumerate(gs):
        g.update(
            x_item=f"{10 * (i + 1):05d}",
            x_qty=1,
            x_uom="EA",
            x_vesselmat="CS + 3 mm CA" if i % 2 else "SS 304L",
            cmat="SS 316L",
            fclass='1 1/2" CL150 RF' if g["dp"] < 7.5 else '2" CL300 RF',
            x_model="MLG-7 / TX",
            x_net=18 + i * 1.5,
            x_gross=27 + i * 1.5,
            x_price=price[i],
            x_tot=price[i],
            x_hs="9026 10 29",
            x_wks=14,
            fmat="Titanium",
        )
    x = by_tag(gs)
    x["82-LG-0101"]["rem"] = "Bidder asks for max. SG 0.87 - answered"
    x["82-LG-0203"]["rem"] = "Price excl. third party inspection"
    x["82-LG-0202"]["x_vesselmat"] = "CS A516 Gr.70"
    if b.faulty:
        plant_design_density(b, x["82-LG-0102"], k=1.13)
        plant_float_pressure(b, x["82-LG-0204"], v=28)
        plant_float_temperature(b, x["82-LG-0203"], v=230)
        plant_magnetic_chamber(b, x["82-LG-0101"], "CS (A106 Gr B)")
        plant_long_range(b, x["82-LG-0202"], 150)
    ws0 = b.sheet("Summary")
    write_lines(b, ws0, 0, 0, ["MR 82-1107  Magnetic level gauges", "Offers received: 3", "This workbook: bidder B"])
    for i, (k, v) in enumerate([("Total ex works", sum(price)), ("Packing", 640), ("Max. discount %", 4), ("Delivery weeks", 14), ("Min. order value", 1500)]):
        ws0.write(5 + i, 0, k)
        ws0.write(5 + i, 1, v)
    ws = b.sheet("Line items")
    write_lines(b, ws, 0, 0, ["Material requisition 82-1107 rev 2 - technical / commercial line items", "Bidder B   Offer 31877-b   All prices EUR"])
    cols = [
        ("Item", "x_item", None),
        ("Qty", "x_qty", None),
        ("UoM", "x_uom", None),
        ("Tag number", "tag", None),
        ("Short text", "svc", None),
        ("Medium", "fluid", None),
        ("SG at op. temp.", "rho", sg4(3)),
        ("Press. norm.\nbarg", "op", barg(2)),
        ("Press. design\nbarg", "dp", barg(1)),
        ("Temp. norm.\ndeg C", "ot", None),
        ("Temp. design\ndeg C", "dt", None),
        ("Vessel\nmaterial", "x_vesselmat", None),
        ("MOC gauge\nbody", "cmat", None),
        ("End conn.", "fclass", None),
        ("Ctr/ctr\nmm", "cc", None),
        ("Indication\nlength mm", "vis", None),
        ("Bidder's\nmodel", "x_model", None),
        ("Float type\noffered", "part", None),
        ("Float MOC", "fmat", None),
        ("Float suitable\nfor SG", "drho", sg4(3)),
        ("Float max.\nbarg", "pmax", None),
        ("Float max.\ndeg C", "tmax", None),
        ("Net wt.\nkg", "x_net", None),
        ("Gross wt.\nkg", "x_gross", None),
        ("Unit price", "x_price", None),
        ("Line total", "*x_tot", lambda g: (f"=B{gs.index(g) + 6}*Y{gs.index(g) + 6}", g["x_tot"])),
        ("HS code", "x_hs", None),
        ("Lead time\nwks", "x_wks", None),
        ("Deviations / comments", "rem", None),
    ]
    r = heading_rows(b, ws, 4, 0, cols)
    assert r == 5
    r = write_rows(b, ws, r, 0, cols, gs)
    for it, t, q, p in (("00080", "Spare float T50-083", 2, 410), ("00090", "Set of gaskets", 7, 22), ("00100", "Documentation, certificates 3.1", 1, 350)):
        ws.write(r, 0, it)
        ws.write(r, 1, q)
        ws.write(r, 2, "EA" if q > 1 else "LOT")
        ws.write(r, 4, t)
        ws.write(r, 24, p)
        ws.write(r, 25, p * q)
        r += 1
    ws.write(r, 24, "Total")
    ws.write_formula(r, 25, f"=SUM(Z6:Z{r})", None, sum(price) + 820 + 154 + 350)
    finish(b, gs)


@book
def j04_order_desk(b: Book) -> None:
    """Order desk of a gauge shop, inch and ounce."""
    W: dict[str, Any] = {"ends": "hemispherical", "wall": 1.245, "mat": "Titanium Gr 2"}
    P_ = make_float("TH-20-11-83", 50.8, 279.4 + 50.8, 830, pmax=24.1, tmax=204, **W)
    Q = make_float("TH-20-12-70", 50.8, 304.8 + 50.8, 700, pmax=24.1, tmax=204, **W)
    R = make_float("TH-20-09-99", 50.8, 228.6 + 50.8, 990, pmax=24.1, tmax=177, **W)
    gs = [
        gauge("LG-1810", None, "LVL", P_, 1.0, None, None, 8.6, 121, 914.4),
        gauge("LG-1811", None, "LVL", P_, 0.99, None, None, 8.6, 121, 1219.2),
        gauge("LI-2202A", None, "LVL", Q, 1.01, None, None, 10.3, 149, 762),
        gauge("LI-2202B", None, "LVL", Q, 1.01, None, None, 10.3, 149, 762),
        gauge("LG-77", None, "LVL", R, 1.0, None, None, 6.9, 121, 1524),
        gauge("LG-78", None, "LVL", R, 0.985, None, None, 6.9, 121, 609.6),
        gauge("11-LG-105", None, "LVL", P_, 1.01, None, None, 10.3, 177, 1066.8),
        gauge("11-LG-106", None, "LVL", Q, 0.99, None, None, 9.0, 121, 1270),
        gauge("LG-5", None, "LVL", R, 1.01, None, None, 5.2, 93, 457.2),
    ]
    so = ["48811", "48811", "48830", "48830", "48836", "48836", "48902", "48902", "48915"]
    for i, g in enumerate(gs):
        g.update(
            x_so=so[i],
            x_pos=1 + (i > 0 and so[i] == so[i - 1]),
            rho_min=round(g["rho"] * 0.985),
            rho_max=round(g["rho"] * 1.01),
            tp=round(g["dp"] * 1.5, 1),
            cmat="316/316L",
            styp="LVL",
            L_str=g["L"] - 50.8,
            mag_top=round(g["L"] - g["mag"], 1),
            x_std="B31.3",
            x_ship="wk 31",
            x_cut=g["cc"] + 560,
        )
    add_serials(gs, "M31", 60, 1)
    x = by_tag(gs)
    for i, g in enumerate(gs):
        g["fsn"] = f"TF{7740 + 3 * i}"
    if b.faulty:
        plant_clear_offset(b, x["LG-77"], vap=False)
        plant_reused_serial(b, x["LI-2202B"], x["LI-2202A"])
        plant_other_serial(b, x["LG-78"], x["LG-77"]["gsn"])
        g = x["11-LG-105"]
        g["wall"] = 0.559
        c = collapse_pressure(dict(g["f"], wall=0.559)) / 3
        assert c < 0.4 * g["dp"], c
        b.fault("float-collapses", g["tag"], ["wall", "dp", "od", "part"], f"collapse/3 {c:.1f} bar < {g['dp']} barg", ok=["float-data-conflict"])
        plant_test_pressure(b, x["11-LG-106"], v=27.6)
    ws = b.sheet("OPEN ORDERS")
    ws.write(0, 0, "OPEN ORDERS - LEVEL GAUGES, SHOP COPY", b.fmt(bold=True, font_size=14))
    ws.write(0, 20, "printed Mon")
    Bd = "BODY"
    Sg = "PROCESS SG"
    Ra = "RATING"
    Ft = "FLOAT"
    cols = [
        ("S.O.", "x_so", None),
        ("POS", "x_pos", None),
        ("CUST. TAG", "tag", None),
        ("LVL / INTF", "styp", None),
        ("SER. NO.", "gsn", None),
        ((Bd, "MATL"), "cmat", None),
        ((Bd, "C TO C\nIN"), "cc", inch(2)),
        ((Bd, "INDIC.\nIN"), "vis", inch(2)),
        ((Bd, "TUBE CUT\nIN"), "x_cut", inch(1)),
        ((Bd, "CODE"), "x_std", None),
        ((Ra, "MAWP\nPSIG"), "dp", psig_by_5),
        ((Ra, "AT °F"), "dt", degF_by_5),
        ((Ra, "SHELL TEST\nPSIG"), "tp", psig_up_by_5),
        ((Sg, "LO"), "rho_min", sg60(3)),
        ((Sg, "NOM"), "rho", sg60(3)),
        ((Sg, "HI"), "rho_max", sg60(3)),
        ((Ft, "P/N"), "part", None),
        ((Ft, "SER. NO."), "fsn", None),
        ((Ft, "FOR GAUGE SER. NO."), "fgsn", None),
        ((Ft, "O.D.\nIN"), "od", inch(3)),
        ((Ft, "STRAIGHT LG.\nIN"), "L_str", inch(2)),
        ((Ft, "HEADS"), "ends", lambda v: "HEMI"),
        ((Ft, "WALL\nIN"), "wall", inch(3)),
        ((Ft, "MATL"), "ffmat", None),
        ((Ft, "WEIGHT\nOZ"), "mass", ounce(2)),
        ((Ft, "MAGNET BELOW TOP\nIN"), "mag_top", inch(3)),
        ((Ft, "MAX\nPSIG"), "pmax", psig_by_5),
        ((Ft, "MAX\n°F"), "tmax", degF_by_5),
        ("SHIP", "x_ship", None),
        ("NOTES", "rem", None),
    ]
    x["LG-5"]["rem"] = "cust. pickup"
    x["LG-1810"]["rem"] = "paint spec N/A"
    r = heading_rows(b, ws, 2, 0, cols, merge=True)
    write_rows(b, ws, r, 0, cols, gs)
    simple_sheet(
        b,
        "STOCK",
        ["P/N", "BIN", "ON HAND", "MIN", "MAX", "COST"],
        [(f["part"], f"C-{i + 1}", 6 + i, 4, 20, 118.5) for i, f in enumerate((P_, Q, R))],
        title="FLOAT STOCK",
    )
    finish(b, gs)
