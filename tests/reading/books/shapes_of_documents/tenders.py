"""Bids beside each other, bills of material and take-offs."""

from __future__ import annotations

from typing import Any

from tests.reading.books.shapes.common import always, bold, finish, plant_narrow_bore, plant_switch_outside, water, write_cell, write_list
from tests.reading.faults import (
    plant_above_design,
    plant_float_pressure,
    plant_float_temperature,
    plant_long_range,
    plant_magnetic_chamber,
    plant_offset,
    plant_test_pressure,
    plant_unlisted_float,
    plant_urv_outside,
)
from tests.reading.gauges import by_tag, check_gauge, gauge, make_float
from tests.reading.physics import immersion, reading_offset, whole_volume
from tests.reading.registry import book
from tests.reading.units import kg_m3, sg60
from tests.reading.writing import Book, Gauge, count_float_cells, float_sheet

OFFERED = ("part", "mass", "od", "L", "ends", "mag", "pmax", "tmax")


@book
def d08_mapa_de_propostas(b: Book) -> None:
    """Portuguese: what was asked for and what three bidders offer, in groups of columns."""
    asked = [
        ("LG-1501", "Querosene", 786, 3.5, 55, 10, 140, 1200),
        ("LG-1502", "Água de processo", 990, 2.0, 45, 7, 110, 800),
        ("LG-1503", "Óleo térmico", 905, 1.0, 140, 5, 190, 900),
        ("LG-1504", "Soda 12 %", 1125, 0.2, 35, 3, 80, 1500),
        ("LG-1506", "Nafta leve", 672, 4.0, 35, 11, 110, 1000),
        ("LG-1507", "Solução de MEA 20 %", 996, 1.4, 50, 6, 120, 600),
    ]
    makers = {
        "A": ("AX-", 51, 1.0, 8, "flat", "planos"),
        "B": ("7/", 46, 1.06, 4, "flat", "planos"),
        "C": ("MC ", 60, 0.97, 12, "hemispherical", "semiesféricos"),
    }
    gs: list[Gauge] = []
    for i, (tag, fluid, rho, op, ot, dp, dt, cc) in enumerate(asked):
        for where, (prefix, od, stretch, margin, ends, _) in makers.items():
            f = make_float(
                f"{prefix}{200 + 11 * i + ord(where)}",
                od,
                round(265 * (1000 / rho) ** 0.5 * stretch),
                rho,
                pmax=round(dp * 1.5 + margin),
                tmax=max(200, dt + 15),
                ends=ends,
            )
            if where == "A":
                gs.append(gauge(tag, None, fluid, f, 1.0, op, ot, dp, dt, cc, tp=round(dp * 1.5, 1)))
            g = gs[-1]
            check_gauge(dict(g, **{n: f[n] for n in OFFERED}, f=f))
            g[f"f@{where}"] = f
            g |= {f"{n}@{where}": f[n] for n in OFFERED}
            g |= {f"cmat@{where}": "AISI 316L", f"x_p@{where}": 9800 + 415 * i + 370 * margin, f"x_w@{where}": 8 + margin}
    x = by_tag(gs)
    if b.faulty:
        _offer(x["LG-1501"], "B", pmax=8)
        b.fault("float-pressure-exceeded", "LG-1501", ["pmax@B", "part@B", "dp"], "bidder B: float 8 < design 10 barg", ok=["float-test-pressure-exceeded"])
        _offer(x["LG-1503"], "A", tmax=150)
        b.fault("float-temperature-exceeded", "LG-1503", ["tmax@A", "part@A", "dt"], "bidder A: float 150 < design 190 degC")
        g = x["LG-1506"]
        _offer(g, "C", mass=round(1.07 * g["rho"] * whole_volume(g["f@C"]) * 1e-6, 1))
        assert immersion(g["f@C"], g["rho"]) is None
        b.fault(
            "float-sinks",
            g["tag"],
            ["mass@C", "rho", "part@C"],
            "bidder C's float is denser than the naphtha",
            ok=["offset-exceeds-tolerance", "float-barely-floats"],
        )
        g = x["LG-1502"]
        _offer(g, "A", mag=round(g["f@A"]["mag"] - 26, 1))
        offset = reading_offset(g["f@A"], g["rho"])
        assert offset is not None and offset < -20
        b.fault("offset-exceeds-tolerance", g["tag"], ["mag@A", "mass@A", "rho", "part@A"], "bidder A: the magnet stands 26 mm too low")
        x["LG-1504"]["cmat@C"] = "ASTM A106 Gr. B"
        b.fault("chamber-magnetic", "LG-1504", ["cmat@C"], "bidder C: carbon steel")
    req = "REQUISITADO"
    cols: list[Any] = [
        ((req, "Item"), "no", None),
        ((req, "Tag"), "tag", None),
        ((req, "Fluido"), "fluid", None),
        ((req, "Massa esp. na op. (kg/m³)"), "rho", kg_m3()),
        ((req, "Pressão op. (barg)"), "op", None),
        ((req, "Temp. op. (°C)"), "ot", None),
        ((req, "Pressão proj. (barg)"), "dp", None),
        ((req, "Temp. proj. (°C)"), "dt", None),
        ((req, "Teste hidrost. (barg)"), "tp", None),
        ((req, "C-C (mm)"), "cc", None),
        ((req, "Visível (mm)"), "vis", None),
    ]
    for where, maker in makers.items():
        n = f"PROPONENTE {where}"
        cols += [
            ((n, "Câmara"), f"cmat@{where}", None),
            ((n, "Boia"), f"part@{where}", None),
            ((n, "Peso da boia (g)"), f"mass@{where}", None),
            ((n, "Ø boia (mm)"), f"od@{where}", None),
            ((n, "Compr. boia (mm)"), f"L@{where}", None),
            ((n, "Extremos"), f"ends@{where}", always(maker[5])),
            ((n, "Ímã a partir da base (mm)"), f"mag@{where}", None),
            ((n, "P máx. boia (barg)"), f"pmax@{where}", None),
            ((n, "T máx. boia (°C)"), f"tmax@{where}", None),
            ((n, "Prazo (sem.)"), f"x_w@{where}", None),
            ((n, "Preço unit."), f"x_p@{where}", None),
            ((n, "Desvios"), f"*x_d@{where}", always("ver carta" if where == "B" else "não há")),
        ]
    for i, g in enumerate(gs):
        g["no"] = i + 1
    ws = b.sheet("Mapa técnico")
    ws.write(0, 0, "MAPA COMPARATIVO TÉCNICO - RM 15-J-004 INDICADORES DE NÍVEL MAGNÉTICOS", b.fmt(bold=True, font_size=13))
    ws.write(1, 0, "Nomes dos proponentes omitidos. Valores conforme propostas, sem correção.")
    r = write_list(b, ws, 3, 0, cols, gs, border=1)
    ws.write(r + 1, 1, "Parecer técnico:")
    for c, t in ((11, "em análise"), (23, "em análise"), (35, "em análise")):
        ws.write(r + 1, c, t)
    finish(b, gs)


def _offer(g: Gauge, where: str, **changed: Any) -> None:
    g[f"f@{where}"] = dict(g[f"f@{where}"], **changed)
    g |= {f"{n}@{where}": v for n, v in changed.items()}


@book
def d10_indented_bill(b: Book) -> None:
    """A bill of material: below each gauge its float, transmitter and switches; each column serves them all."""
    fl = [
        make_float("88-1140", 52, 300, 818, pmax=30, tmax=180),
        make_float("88-1152", 52, 260, 984, pmax=30, tmax=180),
        make_float("88-1163", 52, 235, 1150, pmax=16, tmax=120),
    ]
    gs = [
        gauge("LG-6601", None, "Diesel", fl[0], 1.0, 0.1, 30, 2, 80, 1400),
        gauge("LG-6602", None, "Process water", fl[1], 1.006, 2.5, 42, 8, 110, 900),
        gauge("LG-6605", None, "Potassium carbonate 18 %", fl[2], 0.99, 1.1, 60, 5, 100, 1100),
        gauge("LG-6606", None, "Hydraulic oil", fl[0], 1.01, 0.3, 45, 3, 90, 500),
        gauge("LG-6611", None, "Condensate", fl[1], water(72, 1.4) / 984, 1.4, 72, 6, 160, 700),
    ]
    for i, g in enumerate(gs):
        g.update(
            cmat="316L",
            bore=60,
            ltag=g["tag"].replace("LG", "LT") if i != 3 else None,
            lsh=round(g["vis"] * 0.85),
            lsl=round(g["vis"] * 0.15) if i % 2 == 0 else None,
        )
        check_gauge(g)
    x = by_tag(gs)
    if b.faulty:
        plant_magnetic_chamber(b, x["LG-6606"], "A106 Gr B")
        plant_narrow_bore(b, x["LG-6602"], 51)
        plant_float_temperature(b, x["LG-6605"], 135)
        plant_switch_outside(b, x["LG-6601"], "lsh", 55)
        plant_urv_outside(b, x["LG-6611"], 110)
        plant_float_pressure(b, x["LG-6601"], 34)
    ws = b.sheet("BOM")
    ws.set_column(3, 3, 16)
    ws.set_column(4, 4, 46)
    ws.write(0, 0, "BILL OF MATERIAL  LEVEL GAUGES SKID 66", b.fmt(bold=True, font_size=13))
    ws.write(1, 0, "Dimensions in mm. Length of a gauge = centre to centre of its connections = visible length. Diameter of a gauge = bore.")
    heads = [
        "Lvl",
        "Pos",
        "Qty",
        "Tag / part no.",
        "Description",
        "Mat'l",
        "Press. barg",
        "Temp. °C",
        "Length",
        "Dia.",
        "Wt. g",
        "Density kg/m³",
        "Set / span above lower conn.",
    ]
    for c, t in enumerate(heads):
        ws.write(3, c, t, b.fmt(bold=True, border=1, text_wrap=True))
    r = 4
    for i, g in enumerate(gs):
        top = 10 * (i + 1)
        text = f"Magnetic level gauge, {g['fluid']}, operating {g['op']:g} barg / {g['ot']} °C"
        rows: list[tuple[str, str, int, str, list[tuple[Any, str]]]] = [
            (
                "1",
                f"{top}",
                1,
                "tag",
                [
                    (text, "fluid op ot"),
                    (g["cmat"], "cmat"),
                    (g["dp"], "dp"),
                    (g["dt"], "dt"),
                    (g["cc"], "cc vis"),
                    (g["bore"], "bore"),
                    (None, ""),
                    (g["rho"], "rho"),
                    (None, ""),
                ],
            ),
            (
                ".2",
                f"{top}.1",
                1,
                "part",
                [
                    (f"Float, flat ends, magnet {g['mag']:.1f} above its bottom, made for", "mag"),
                    (g["ffmat"], "ffmat"),
                    (g["pmax"], "pmax"),
                    (g["tmax"], "tmax"),
                    (g["L"], "L"),
                    (g["od"], "od"),
                    (g["mass"], "mass"),
                    (g["drho"], "drho"),
                    (None, ""),
                ],
            ),
        ]
        if g["ltag"]:
            rows.append(
                (".2", f"{top}.2", 1, "ltag", [("Transmitter 4-20 mA, reed chain", ""), *[(None, "")] * 7, (f"{g['lrv']} to {g['urv']}", "range lrv urv")])
            )
        for k, (name, way) in enumerate((("lsl", "low"), ("lsh", "high"))):
            if g[name] is not None:
                g[f"x_{name}"] = g["tag"].replace("LG", name.upper())
                rows.append((".2", f"{top}.{3 + k}", 1, f"x_{name}", [(f"Bistable switch, {way}", ""), *[(None, "")] * 7, (g[name], name)]))
        rows.append(("..3", f"{top}.9", 8, "", [("Stud bolt with nuts M12 x 60", ""), ("B7", ""), *[(None, "")] * 7]))
        for level, pos, qty, name, cells in rows:
            ws.write(r, 0, level)
            ws.write(r, 1, pos)
            ws.write(r, 2, qty)
            if name:
                write_cell(b, ws, r, 3, g[name], g, name, bold=name == "tag")
            else:
                ws.write(r, 3, "88-0007")
            for c, (v, names) in enumerate(cells):
                if c == 0:
                    v = "   " * (len(level.replace("1", "")) or 0) + v
                write_cell(b, ws, r, 4 + c, v, g, names)
            r += 1
    ws.write(r + 1, 0, "Spares: see separate list")
    finish(b, gs)


@book
def d12_take_off(b: Book) -> None:
    """A take-off with quantities, ranges of tags and 'typical of'."""
    fl = [
        make_float("RF 31", 51, 290, 848, pmax=12, tmax=170),
        make_float("RF 35", 51, 260, 986, pmax=25, tmax=170),
        make_float("RF 38", 51, 235, 1165, pmax=12, tmax=110),
        make_float("RF 29", 51, 320, 735, pmax=25, tmax=170),
    ]
    gs = [
        gauge(
            "LG-3101 THRU 3104",
            "BLENDING TANKS T-31/34 (TYP. OF 4)",
            "BASE OIL",
            fl[0],
            1.0,
            0.05,
            50,
            1,
            90,
            1800,
            qty=4,
            aka=[f"LG-310{k}" for k in range(1, 5)],
            vis=1700,
        ),
        gauge("LG-3110 A-C", "ADDITIVE POTS (TYP. OF 3)", "ADDITIVE IN OIL", fl[0], 1.015, 0.3, 60, 3, 110, 600, qty=3, aka=[f"LG-3110{k}" for k in "ABC"]),
        gauge("LG-3115/3116", "BRINE HEAD TANKS", "BRINE 20 %", fl[2], 0.985, 0.1, 15, 1.5, 60, 1000, qty=2, aka=["LG-3115", "LG-3116"]),
        gauge("LG-3120", "NAPHTHA KNOCK-OUT", "NAPHTHA", fl[3], 0.985, 3.0, 40, 9, 120, 800, qty=1, aka=["LG-3120"]),
        gauge("LG-3121, 3123, 3125", "WASH WATER DRUMS", "WASH WATER", fl[1], 1.004, 2.0, 50, 7, 110, 900, qty=3, aka=["LG-3121", "LG-3123", "LG-3125"]),
        gauge("LG-3130 A/B", "COND. POTS", "CONDENSATE", fl[1], water(78, 1.8) / 986, 1.8, 78, 7, 165, 500, qty=2, aka=["LG-3130A", "LG-3130B"]),
        gauge("LG-3134", "DRIP TANK", "SLOP OIL", fl[0], 1.01, 0.05, 40, 1, 80, 1200, qty=1, aka=["LG-3134"]),
    ]
    for i, g in enumerate(gs):
        g.update(cmat="316L SS", no=i + 1, tp=round(g["dp"] * 1.5, 2))
        check_gauge(g)
    x = by_tag(gs)
    if b.faulty:
        plant_offset(b, x["LG-3120"])
        plant_long_range(b, x["LG-3115/3116"], 150)
        plant_test_pressure(b, x["LG-3110 A-C"], 14)
        plant_unlisted_float(b, x["LG-3130 A/B"], "RF 53")
        plant_above_design(b, x["LG-3101 THRU 3104"], "ot", 96)
        g = x["LG-3134"]
        g["tag"], g["aka"] = "LG-3103", ["LG-3103"]
        b.fault("tag-duplicate", ["LG-3103", "LG-3101 THRU 3104"], "tag", "LG-3103 is among LG-3101 THRU 3104 already", ok=["documents-disagree"])
    cols = [
        ("ITEM", "no", None),
        ("QTY", "qty", None),
        ("TAG NOS.", "tag", None),
        ("LOCATION", "svc", None),
        ("FLUID", "fluid", None),
        ("S.G. @ OPER. TEMP. (WATER 60F = 1)", "rho", sg60()),
        ("OPER. PRESS. BARG", "op", None),
        ("OPER. TEMP. C", "ot", None),
        ("DES. PRESS. BARG", "dp", None),
        ("DES. TEMP. C", "dt", None),
        ("HYDRO TEST BARG", "tp", None),
        ("C TO C MM", "cc", None),
        ("VIEW MM", "vis", None),
        ("CHAMBER", "cmat", None),
        ("FLOAT", "part", None),
        ("TAKEN FROM", "*x_dwg", lambda g: f"31-P-{100 + g['no']}"),
    ]
    ws = b.sheet("MTO 31")
    ws.set_column(2, 3, 26)
    ws.write(0, 0, "MATERIAL TAKE-OFF  INSTRUMENTS  AREA 31", b.fmt(bold=True, font_size=13))
    ws.write(1, 0, "SHEET 7 OF 12  MAGNETIC LEVEL GAUGES.  QTY INCLUDES NO SPARES.")
    r = write_list(b, ws, 3, 0, cols, gs, border=1)
    ws.write(r, 0, "TOTAL", bold(b))
    ws.write_formula(r, 1, f"=SUM(B5:B{r})", bold(b), sum(g["qty"] for g in gs))
    float_sheet(
        b,
        "FLOATS",
        fl,
        [
            ("FLOAT", "part", None),
            ("MASS G", "mass", None),
            ("DIA MM", "od", None),
            ("LENGTH MM", "L", None),
            ("ENDS", "ends", str.upper),
            ("MAGNET ABOVE BOTTOM MM", "mag", None),
            ("PMAX BARG", "pmax", None),
            ("TMAX C", "tmax", None),
        ],
    )
    for g in gs:
        count_float_cells(b, g, "mass", "od", "L", "mag", "pmax", "tmax")
    finish(b, gs)
