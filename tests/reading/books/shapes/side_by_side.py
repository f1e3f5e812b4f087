"""Gauges, cases, bidders or documents beside each other."""

from __future__ import annotations

from typing import Any

from tests.reading.books.shapes.common import (
    CONSEQUENCES,
    always,
    blame_also_in,
    bold,
    finish,
    plant_disagreement,
    plant_magnet_above_top,
    write_cell,
    write_list,
)
from tests.reading.faults import (
    plant_above_design,
    plant_current,
    plant_float_pressure,
    plant_long_range,
    plant_magnetic_chamber,
    plant_offset,
    plant_sinking,
    plant_urv_short,
)
from tests.reading.gauges import by_tag, check_gauge, gauge, loop_current, make_float
from tests.reading.physics import float_lag, immersion, mean_density, reading_offset
from tests.reading.registry import book
from tests.reading.units import degC, kg_m3, kgf_cm2, rounded
from tests.reading.writing import Book


@book
def s08_bid_tabulation(b: Book) -> None:
    """Bidders side by side in column groups."""
    gs, offers = [], {}
    for i, (s, fluid, rho, op, ot, dp, dt, cc) in enumerate(
        [
            ("Feed flash drum", "Gas oil", 840, 3, 90, 9, 160, 1000),
            ("Reflux accumulator", "Naphtha", 705, 4, 45, 11, 120, 1400),
            ("Lean solvent surge", "Lean solvent", 1040, 1, 50, 6, 110, 800),
            ("Drain vessel", "Slop oil", 870, 0.2, 60, 3.5, 120, 1200),
        ]
    ):
        of = {
            w: make_float(f"{p}{round(rho / 10)}", od, L + 7 * i, rho, pmax=pm, tmax=tm, frac=fr)
            for w, p, od, L, pm, tm, fr in (("A", "AX-", 51, 290, 25, 200, 0.68), ("B", "40/", 54, 270, 20, 180, 0.7), ("C", "TI", 48, 310, 28, 220, 0.66))
        }
        g = gauge(f"LG-60{i + 1}", s, fluid, of["A"], 1.0, op, ot, dp, dt, cc)
        for w, f in of.items():
            check_gauge(dict(g, f=f))
            g.update({f"{k}@{w}": f[k] for k in ("part", "mass", "od", "L", "mag", "pmax", "tmax", "ends")})
            g[f"cmat@{w}"] = "316L"
            g[f"vis@{w}"] = cc
        gs.append(g)
        offers[g["tag"]] = of
    x = by_tag(gs)
    if b.faulty:
        g = x["LG-602"]
        g["mass@B"] = round(g["mass@B"] * 1.6, 1)
        f = dict(offers["LG-602"]["B"], mass=g["mass@B"])
        assert immersion(f, g["rho"]) is None
        b.fault("float-sinks", "LG-602", ["mass@B", "rho", "part@B"], f"bidder B: mean density {mean_density(f):.0f}, fluid {g['rho']}", ok=CONSEQUENCES)
        x["LG-601"]["pmax@C"] = 8.0
        b.fault("float-pressure-exceeded", "LG-601", ["pmax@C", "dp"], "bidder C: float 8 barg, design 9 barg")
        x["LG-603"]["cmat@C"] = "A333 Gr.6"
        b.fault("chamber-magnetic", "LG-603", ["cmat@C"], "bidder C: low-temperature carbon steel")
        x["LG-604"]["mag@A"] = round(x["LG-604"]["mag@A"] + 24, 1)
        b.fault("offset-exceeds-tolerance", "LG-604", ["mag@A", "rho", "mass@A", "part@A"], "bidder A: magnet 24 mm too high")
        x["LG-602"]["vis@A"] = 1500
        b.fault("range-exceeds-connections", "LG-602", ["vis@A", "cc"], "bidder A: 1500 visible on 1400 mm")
    ws = b.sheet("Technical bid tab")
    ws.write(0, 0, "TECHNICAL BID EVALUATION - MAGNETIC LEVEL GAUGES", b.fmt(bold=True, font_size=13))
    ws.write(1, 0, "Requisition 6012-L-004. Only one bidder will be ordered.")
    cols: list[tuple[Any, ...]] = [
        (("REQUIREMENT", "Tag"), "tag", None),
        (("REQUIREMENT", "Service"), "svc", None),
        (("REQUIREMENT", "Fluid"), "fluid", None),
        (("REQUIREMENT", "Density at OT\nkg/m³"), "rho", None),
        (("REQUIREMENT", "Op. press.\nbarg"), "op", None),
        (("REQUIREMENT", "Op. temp.\n°C"), "ot", None),
        (("REQUIREMENT", "Design press.\nbarg"), "dp", None),
        (("REQUIREMENT", "Design temp.\n°C"), "dt", None),
        (("REQUIREMENT", "C-C\nmm"), "cc", None),
    ]
    for w in "ABC":
        cols += [
            ((f"BIDDER {w}", t), f"{n}@{w}", None)
            for t, n in (
                ("Float model", "part"),
                ("Float weight\ng", "mass"),
                ("Float OD\nmm", "od"),
                ("Float length\nmm", "L"),
                ("Float ends", "ends"),
                ("Magnet above bottom\nmm", "mag"),
                ("Float max.\nbarg", "pmax"),
                ("Float max.\n°C", "tmax"),
                ("Chamber", "cmat"),
                ("Visible\nmm", "vis"),
            )
        ]
        cols += [
            ((f"BIDDER {w}", "Price"), "*", lambda g, w=w: 2100 + 150 * "ABC".index(w) + gs.index(g) * 85),
            ((f"BIDDER {w}", "Acceptable?"), "*", always("yes")),
        ]
    write_list(b, ws, 3, 0, cols, gs)
    ws.freeze_panes(5, 2)
    finish(b, gs)


@book
def s09_casos_lado_a_lado(b: Book) -> None:
    """Cases side by side, a block for each gauge, Portuguese."""
    fl = [
        make_float("BR-86", 51, 290, 855, pmax=28, tmax=200),
        make_float("BR-71", 51, 325, 705, pmax=28, tmax=200),
        make_float("BR-93", 51, 270, 930, pmax=28, tmax=220),
    ]
    cases = ["normal", "startup", "summer", "winter"]
    gs = [
        gauge("LG-901", "Vaso de carga", "Óleo de lavagem", fl[0], 1.0, 2.0, 70, 8, 150, 1000, mu=3, bore=59),
        gauge("LG-902", "Acumulador de topo", "Nafta leve", fl[1], 0.99, 4.0, 45, 10, 130, 1200, mu=0.4, bore=59),
        gauge("LG-903", "Poço de resíduo", "Óleo residual", fl[2], 1.0, 1.2, 120, 6, 190, 800, mu=5, bore=59),
        gauge("LG-904", "Tambor de óleo", "Óleo de lavagem", fl[0], 0.995, 0.5, 60, 5, 140, 900, mu=3.5, bore=59),
    ]
    for g in gs:
        g["cmat"] = "AISI 316L"
        for c, kr, kp, dt, km in (("normal", 1, 1, 0, 1), ("startup", 1.012, 0.5, -25, 1.5), ("summer", 0.995, 1.1, 8, 0.9), ("winter", 1.006, 0.9, -12, 1.2)):
            g.update({f"rho@{c}": round(g["rho"] * kr), f"op@{c}": round(g["op"] * kp, 2), f"ot@{c}": g["ot"] + dt, f"mu@{c}": round(g["mu"] * km, 2)})
            check_gauge(dict(g, rho=g[f"rho@{c}"], ot=g[f"ot@{c}"], mu=g[f"mu@{c}"]))
    x = by_tag(gs)
    if b.faulty:
        x["LG-901"]["rho@startup"] = 955
        o = reading_offset(fl[0], 955)
        assert o is not None and o > 16
        b.fault("offset-exceeds-tolerance", "LG-901", ["rho@startup", "mass", "mag", "part"], f"partida 955 kg/m3: {o:+.1f} mm")
        x["LG-902"]["ot@summer"] = 138
        b.fault("operating-exceeds-design", "LG-902", ["ot@summer", "dt"], "verão 138 above 130 degC")
        x["LG-903"]["mu@winter"] = 420
        assert float_lag(fl[2], 420, x["LG-903"]["rho@winter"], 59) > 20
        b.fault("float-lags", "LG-903", ["mu@winter", "bore", "od"], f"inverno 420 cP: {float_lag(fl[2], 420, 930, 59):.0f} mm", alt=["viscosity-too-high"])
        plant_long_range(b, x["LG-904"], 110)
    ws = b.sheet("Casos de operação")
    ws.write(0, 0, "DADOS DE PROCESSO PARA INDICADORES DE NÍVEL MAGNÉTICOS", b.fmt(bold=True, font_size=13))
    ws.write(1, 0, "Cliente: Usina Serra Mansa (fictícia)   Rev. 1")
    ws.set_column(0, 0, 30)
    r = 3
    for g in gs:
        ws.write(r, 0, "TAG", bold(b))
        write_cell(b, ws, r, 1, g["tag"], g, "tag")
        ws.write(r, 2, "Serviço", bold(b))
        write_cell(b, ws, r, 3, g["svc"], g, "svc")
        ws.write(r, 5, "Fluido", bold(b))
        write_cell(b, ws, r, 6, g["fluid"], g, "fluid")
        for at, t in enumerate(["Propriedade", "Unidade", "Normal", "Partida", "Verão", "Inverno", "Projeto"]):
            ws.write(r + 1, at, t, b.fmt(bold=True, border=1, bg_color="#E2EFDA"))
        for i, (label, unit, name, design, fn) in enumerate(
            [
                ("Massa específica do líquido", "kg/m³", "rho", None, kg_m3()),
                ("Pressão manométrica", "kgf/cm²", "op", "dp", kgf_cm2(2)),
                ("Temperatura", "°C", "ot", "dt", degC()),
                ("Viscosidade", "cP", "mu", None, rounded(float, 1)),
            ]
        ):
            ws.write(r + 2 + i, 0, label, b.fmt(border=1))
            ws.write(r + 2 + i, 1, unit, b.fmt(border=1))
            for j, c in enumerate(cases):
                write_cell(b, ws, r + 2 + i, 2 + j, fn(g[f"{name}@{c}"]), g, f"{name}@{c}", border=1)
            if design:
                write_cell(b, ws, r + 2 + i, 6, fn(g[design]), g, design, border=1)
        r += 8
    w2 = b.sheet("Instrumentos")
    write_list(
        b,
        w2,
        0,
        0,
        [
            ("TAG", "tag", None),
            ("Distância entre centros (mm)", "cc", None),
            ("Faixa visível (mm)", "vis", None),
            ("Material da câmara", "cmat", None),
            ("Diâmetro interno da câmara (mm)", "bore", None),
            ("Código da boia", "part", None),
            ("Massa da boia (g)", "mass", None),
            ("Diâmetro externo da boia (mm)", "od", None),
            ("Comprimento da boia (mm)", "L", None),
            ("Extremidades da boia", "ends", always("planas")),
            ("Altura do ímã a partir do fundo da boia (mm)", "mag", None),
            ("Pressão máx. da boia (kgf/cm² man.)", "pmax", kgf_cm2(1)),
            ("Temperatura máx. da boia (°C)", "tmax", None),
        ],
        gs,
    )
    finish(b, gs)


@book
def s17_headings_at_right(b: Book) -> None:
    """Tags across, properties down, their names at the right of the values."""
    fl = [
        make_float("ZR-780", 52, 300, 780, pmax=30, tmax=200),
        make_float("ZR-690", 52, 335, 690, pmax=30, tmax=200),
        make_float("ZR-1000", 52, 250, 1000, pmax=20, tmax=160),
        make_float("ZR-860", 52, 285, 860, pmax=30, tmax=200),
        make_float("ZR-1180", 52, 225, 1180, pmax=12, tmax=110),
    ]
    gs = [
        gauge("LG-171", "Solvent receiver", "Solvent blend 4", fl[0], 1.0, 0.6, 40, 4, 100, 900),
        gauge("LG-172", "Hexanes drum", "C6 cut", fl[1], 0.985, 2.0, 50, 7, 120, 1100),
        gauge("LG-173", "Hotwell", "Glycol 20 %", fl[2], 1.01, 0.3, 45, 4, 100, 700),
        gauge("LG-174", "Heavy ends pot", "Heavy ends", fl[3], 0.99, 1.1, 110, 6, 170, 600),
        gauge("LG-175", "Acid egg", "Phosphoric acid 30 %", fl[4], 0.995, 0.9, 35, 4, 80, 500),
        gauge("LG-176", "Solvent day tank", "Solvent blend 2", fl[0], 1.015, 0.1, 30, 2, 90, 1300),
    ]
    for g in gs:
        g.update(slev=g["vis"] * 0.4, cmat="316L")
        g["scur"] = loop_current(g)
    x = by_tag(gs)
    if b.faulty:
        plant_magnet_above_top(b, x["LG-174"])
        plant_sinking(b, x["LG-172"])
        plant_above_design(b, x["LG-171"], "op", 4.6)
        plant_magnetic_chamber(b, x["LG-173"], "AISI 430")
        plant_current(b, x["LG-176"], -0.64)
        plant_urv_short(b, x["LG-175"], 60)
        x["LG-175"]["slev"] = 176.0
        x["LG-175"]["scur"] = loop_current(x["LG-175"])
    props = [
        ("TAG NUMBER", "", "tag"),
        ("SERVICE", "", "svc"),
        ("LIQUID", "", "fluid"),
        ("DENSITY AT OPERATING TEMPERATURE", "kg/m³", "rho"),
        ("OPERATING PRESSURE", "barg", "op"),
        ("OPERATING TEMPERATURE", "°C", "ot"),
        ("DESIGN PRESSURE", "barg", "dp"),
        ("DESIGN TEMPERATURE", "°C", "dt"),
        ("CENTRE TO CENTRE", "mm", "cc"),
        ("VISIBLE LENGTH", "mm", "vis"),
        ("CHAMBER MATERIAL", "", "cmat"),
        ("FLOAT PART NUMBER", "", "part"),
        ("FLOAT MASS", "g", "mass"),
        ("FLOAT DIAMETER", "mm", "od"),
        ("FLOAT LENGTH", "mm", "L"),
        ("FLOAT ENDS", "", "ends"),
        ("MAGNET ABOVE FLOAT BOTTOM", "mm", "mag"),
        ("FLOAT MAX. PRESSURE", "barg", "pmax"),
        ("FLOAT MAX. TEMPERATURE", "°C", "tmax"),
        ("TRANSMITTER LEVEL AT 4 mA", "mm", "lrv"),
        ("TRANSMITTER LEVEL AT 20 mA", "mm", "urv"),
        ("TEST LEVEL", "mm", "slev"),
        ("CURRENT AT TEST LEVEL", "mA", "scur"),
    ]
    ws = b.sheet("Data")
    ws.write(0, 0, "LEVEL GAUGES OF THE SOLVENT PLANT", b.fmt(bold=True, font_size=13))
    n = len(gs)
    ws.set_column(0, n - 1, 16)
    ws.set_column(n, n, 36)
    for i, (label, unit, name) in enumerate(props):
        for j, g in enumerate(gs):
            write_cell(b, ws, 2 + i, j, g[name], g, name, border=1)
        ws.write(2 + i, n, label, bold(b))
        ws.write(2 + i, n + 1, unit)
    finish(b, gs)


@book
def s24_index_process_vendor(b: Book) -> None:
    """Index, process sheet and vendor's return speak of the same tags."""
    fl = [
        make_float("OV-835", 51, 295, 835, pmax=25, tmax=180),
        make_float("OV-705", 51, 325, 705, pmax=25, tmax=180),
        make_float("OV-970", 51, 255, 970, pmax=20, tmax=150),
    ]
    gs = [
        gauge("LG-821", "Lean oil drum", "Lean oil", fl[0], 1.0, 2, 55, 7, 130, 1100),
        gauge("LG-822", "Reflux drum", "Naphtha", fl[1], 0.99, 4, 45, 10, 120, 1000),
        gauge("LG-823", "Glycol drum", "Glycol 15 %", fl[2], 1.03, 0.5, 60, 5, 110, 800),
        gauge("LG-824", "Rich oil drum", "Rich oil", fl[0], 0.99, 3, 60, 8, 130, 1400),
        gauge("LG-825", "Closed drain", "Slop oil", fl[0], 1.02, 0.1, 35, 3.5, 100, 900),
        gauge("LG-826", "Light oil drum", "Naphtha", fl[1], 1.01, 1.5, 40, 6, 110, 1300),
    ]
    for i, g in enumerate(gs):
        g.update(cmat="316L", ves=f"V-8{21 + i}", aka=[g["tag"].replace("-", " ")])
    x = by_tag(gs)
    if b.faulty:
        plant_disagreement(b, x["LG-821"], "dp", "vendor", 10)
        plant_disagreement(b, x["LG-823"], "cc", "vendor", 850)
        plant_offset(b, x["LG-824"])
        plant_float_pressure(b, x["LG-822"], v=28)
        plant_magnetic_chamber(b, x["LG-825"], "A106 Gr. B")
        plant_above_design(b, x["LG-826"], "ot", 118)
        blame_also_in(b, "vendor")
    ws = b.sheet("Instrument index")
    ws.write(0, 0, "INSTRUMENT INDEX (extract: level gauges)", bold(b))
    write_list(
        b,
        ws,
        2,
        0,
        [
            ("Tag", "tag", None),
            ("Service", "svc", None),
            ("P&ID", "*", always("D-8200-03")),
            ("Vessel", "*", lambda g: g["ves"]),
            ("C-C mm", "cc", None),
            ("Visible range mm", "vis", None),
            ("Chamber material", "cmat", None),
            ("Rev", "*", always(1)),
        ],
        gs,
    )
    w2 = b.sheet("Process data")
    w2.write(0, 0, "PROCESS DATA FOR INSTRUMENTS - LEVEL", bold(b))
    write_list(
        b,
        w2,
        3,
        1,
        [
            ("Instrument", "tag", None),
            ("Fluid", "fluid", None),
            (("Operating", "Pressure barg"), "op", None),
            (("Operating", "Temp. °C"), "ot", None),
            (("Operating", "Density kg/m³"), "rho", None),
            (("Mechanical design", "Pressure barg"), "dp", None),
            (("Mechanical design", "Temp. °C"), "dt", None),
        ],
        gs[::-1],
    )
    w3 = b.sheet("Vendor return")
    w3.write(0, 0, "VENDOR DATA, TO BE RETURNED WITH DRAWINGS. Columns filled in by supplier.", bold(b))
    props = [
        ("Purchaser's tag", "", "tag"),
        ("Design pressure taken", "barg", "dp"),
        ("Connection centres", "mm", "cc"),
        ("Float part number", "", "part"),
        ("Float mass", "g", "mass"),
        ("Float outside diameter", "mm", "od"),
        ("Float length over all", "mm", "L"),
        ("Float ends", "", "ends"),
        ("Magnet plane above float bottom", "mm", "mag"),
        ("Float maximum pressure", "barg", "pmax"),
        ("Float maximum temperature", "°C", "tmax"),
    ]
    w3.set_column(0, 0, 32)
    for i, (label, unit, n) in enumerate(props):
        w3.write(2 + i, 0, label)
        w3.write(2 + i, 1, unit)
        for j, g in enumerate(gs):
            v = g["aka"][0] if n == "tag" else g.get(n + "@vendor", g[n])
            write_cell(b, w3, 2 + i, 2 + j, v, g, n + "@vendor" if n in ("dp", "cc") else n)
    finish(b, gs)
