"""Cases and bids side by side, headings in two languages over a tag in four cells."""

from __future__ import annotations

from typing import Any

from tests.reading.books.shapes.common import always, finish, plant_narrow_bore, plant_switch_order, plant_switch_outside, water
from tests.reading.faults import plant_current, plant_float_pressure, plant_long_range, plant_offset, plant_test_pressure
from tests.reading.gauges import by_tag, check_gauge, gauge, loop_current, make_float
from tests.reading.physics import displaced_volume, immersion, reading_offset, saturation_temperature
from tests.reading.registry import book
from tests.reading.units import barg, kg_m3, mpag
from tests.reading.writing import HEADING, Book, Gauge, count_float_cells

TITLE = {"bold": True, "font_size": 14}
OFFERED = ("part", "mass", "od", "L", "ends", "mag", "pmax", "tmax")


@book
def p06_cas_a_cas_b_francais(b: Book) -> None:
    """French: two cases, value and unit columns alternating."""
    fl = [
        make_float("FT-52-079", 52, 300, 790, pmax=25, tmax=180),
        make_float("FT-52-088", 52, 280, 880, pmax=16, tmax=180),
        make_float("FT-52-099", 52, 255, 990, pmax=16, tmax=150),
    ]
    gs = [
        gauge("LG-4401", "B-440 Ballon de reflux", "Coupe C8", fl[0], 1.0, 2.5, 60, 9, 130, 900),
        gauge("LG-4402", "C-441 Fond de colonne", "Coupe C8", fl[0], 0.99, 3.5, 110, 9, 150, 1400),
        gauge("LG-4403", "B-442 Charge", "Huile thermique usée", fl[1], 1.0, 0.8, 90, 5, 160, 1100),
        gauge("LG-4404", "B-443 Décanteur", "Eau de procédé", fl[2], 0.995, 1.2, 45, 5, 100, 700),
        gauge("LG-4405", "R-444 Bac tampon", "Solution aqueuse", fl[2], 1.01, 0.1, 40, 3, 90, 1500, vis=1450),
        gauge("LG-4406", "B-445 Ballon de purge", "Huile lourde", fl[1], 1.02, 0.6, 70, 6, 160, 800),
    ]
    for i, g in enumerate(gs):
        g["rho@B"] = round(g["rho"] * [1.015, 1.01, 1.012, 1.004, 0.99, 0.99][i])
        g["op@B"] = round(g["op"] * 1.2 + 0.1, 2)
        g["ot@B"] = g["ot"] - [15, 12, 20, 10, 10, -15][i]
        g.update(cmat="316L", bore=62, tp=round(g["dp"] * 1.43, 1))
        check_gauge(g)
        check_gauge(dict(g, rho=g["rho@B"], op=g["op@B"], ot=g["ot@B"]))
    x = by_tag(gs)
    if b.faulty:
        g = x["LG-4401"]
        g["rho@B"] = 880
        offset = reading_offset(g["f"], 880)
        assert offset is not None and abs(offset) > 14
        why = f"case B: 880 kg/m3, {offset:+.1f} mm"
        b.fault("offset-exceeds-tolerance", g["tag"], ["rho@B", "mass", "mag", "part"], why, alt=["design-density-mismatch"])
        x["LG-4403"]["ot@B"] = 172
        b.fault("operating-exceeds-design", "LG-4403", ["ot@B", "dt"], "case B 172 > design 160 degC")
        plant_narrow_bore(b, x["LG-4405"], 50)
        plant_long_range(b, x["LG-4404"], 100)
        plant_test_pressure(b, x["LG-4406"], 18.0)

    def unit(u: str) -> Any:
        return lambda g: u

    ws = b.sheet("Indicateurs magnétiques")
    ws.write(0, 0, "LISTE DES INDICATEURS DE NIVEAU MAGNÉTIQUES  -  UNITÉ 44", b.fmt(**TITLE))
    ws.write(1, 0, "Cas A : marche normale / Cas B : campagne hiver")
    case_a, case_b, design, flo = "Cas A", "Cas B", "Conditions de calcul", "Flotteur"
    cols: list[Any] = [("Repère", "tag", None), ("Équipement", "svc", None), ("Fluide", "fluid", None)]
    for case, at in ((case_a, ""), (case_b, "@B")):
        cols += [
            ((case, "Masse vol."), f"rho{at}", kg_m3()),
            ((case, "Unité"), "*x_u1", unit("kg/m³")),
            ((case, "Pression de service"), f"op{at}", barg(2)),
            ((case, "Unité"), "*x_u2", unit("bar eff.")),
            ((case, "Temp. de service"), f"ot{at}", None),
            ((case, "Unité"), "*x_u3", unit("°C")),
        ]
    cols += [
        ((design, "Pression"), "dp", None),
        ((design, "Unité"), "*x_u4", unit("bar eff.")),
        ((design, "Temp."), "dt", None),
        ((design, "Unité"), "*x_u4", unit("°C")),
        ((design, "Pression d'épreuve"), "tp", None),
        ((design, "Unité"), "*x_u4", unit("bar eff.")),
        ("Matière chambre", "cmat", None),
        ("Ø int. chambre", "bore", None),
        ("Unité", "*x_u5", unit("mm")),
        ("Entraxe", "cc", None),
        ("Unité", "*x_u5", unit("mm")),
        ("Longueur visible", "vis", None),
        ("Unité", "*x_u5", unit("mm")),
        ((flo, "Réf."), "part", None),
        ((flo, "Masse"), "mass", None),
        ((flo, "Unité"), "*x_u6", unit("g")),
        ((flo, "Diamètre"), "od", None),
        ((flo, "Unité"), "*x_u6", unit("mm")),
        ((flo, "Longueur totale"), "L", None),
        ((flo, "Unité"), "*x_u6", unit("mm")),
        ((flo, "Fonds"), "ends", always("plats")),
        ((flo, "Aimant au-dessus du fond"), "mag", None),
        ((flo, "Unité"), "*x_u6", unit("mm")),
        ((flo, "Pression max."), "pmax", None),
        ((flo, "Unité"), "*x_u6", unit("bar eff.")),
        ((flo, "Temp. max."), "tmax", None),
        ((flo, "Unité"), "*x_u6", unit("°C")),
    ]
    b.table(ws, 3, 0, cols, gs)
    finish(b, gs)


@book
def p08_bid_tabulation(b: Book) -> None:
    """Three bidders side by side beside what was asked for."""
    asked = [
        ("LG-8001", "HP condensate", round(water(140, 9)), 9, 140, 16, 190, 1200),
        ("LG-8002", "Amine 40 %", 1020, 5, 60, 12, 130, 900),
        ("LG-8003", "Diesel", 810, 2, 50, 9, 120, 1500),
        ("LG-8004", "Naphtha", 700, 4, 45, 12, 120, 800),
        ("LG-8005", "Glycol rich", 1095, 1, 75, 7, 150, 600),
    ]
    assert saturation_temperature("Water", 9) > 148
    bidders = {
        "A": (50.8, 1.0, "P", 0, 200, "flat", 0, 14),
        "B": (48, 0.96, "7-", 0, 220, "hemispherical", -260, 18),
        "C": (57, 1.05, "KS ", 5, 230, "flat", 415, 10),
    }
    gs: list[Gauge] = []
    for i, (tag, fluid, rho, op, ot, dp, dt, cc) in enumerate(asked):
        for n, (where, (od, stretch, prefix, margin, tmax, ends, price, weeks)) in enumerate(bidders.items()):
            pmax = [30, 25, 16, 25, 16][i] + margin
            f = make_float(f"{prefix}{301 + 10 * i + n}", od, round(270 * (1000 / rho) ** 0.5 * stretch), rho, pmax=pmax, tmax=tmax, ends=ends)
            if where == "A":
                gs.append(gauge(tag, None, fluid, f, 1.0, op, ot, dp, dt, cc))
            g = gs[-1]
            check_gauge(dict(g, f=f))
            g[f"f@{where}"] = f
            g |= {f"{name}@{where}": f[name] for name in OFFERED}
            g |= {f"cmat@{where}": "316L", f"x_price@{where}": [2140, 1985, 2310, 2050, 1890][i] + price, f"x_wk@{where}": weeks}
    x = by_tag(gs)
    if b.faulty:
        _offer(x["LG-8002"], "B", pmax=10)
        b.fault("float-pressure-exceeded", "LG-8002", ["pmax@B", "dp", "part@B"], "bidder B: 10 < 12 barg")
        _offer(x["LG-8001"], "A", tmax=180)
        b.fault("float-temperature-exceeded", "LG-8001", ["tmax@A", "dt", "part@A"], "bidder A: 180 < 190 degC")
        g, f = x["LG-8003"], x["LG-8003"]["f@B"]
        _offer(g, "B", mass=round(1.06 * 810 * displaced_volume(f["L"], f["od"], f["L"], f["ends"]) * 1e-6, 1))
        assert immersion(g["f@B"], 810) is None
        why = "bidder B's float is heavier than the fluid"
        b.fault("float-sinks", g["tag"], ["mass@B", "rho", "part@B"], why, ok=["offset-exceeds-tolerance", "float-barely-floats"])
        g = x["LG-8004"]
        _offer(g, "C", mag=g["mag@C"] + 24)
        offset = reading_offset(g["f@C"], 700)
        assert offset is not None and offset > 20
        b.fault("offset-exceeds-tolerance", g["tag"], ["mag@C", "rho", "part@C", "mass@C"], f"bidder C: {offset:+.1f} mm")
        x["LG-8005"]["cmat@C"] = "ASTM A106-B"
        b.fault("chamber-magnetic", "LG-8005", ["cmat@C"], "bidder C: carbon steel")
    ws = b.sheet("Tech bid tab")
    ws.write(0, 0, "TECHNICAL BID TABULATION  -  RFQ 8000-J-031 MAGNETIC LEVEL GAUGES", b.fmt(**TITLE))
    ws.write(1, 0, "Bidder names withheld for technical review")
    req = "PROJECT REQUIREMENT"
    cols: list[Any] = [
        ((req, "Tag"), "tag", None),
        ((req, "Fluid"), "fluid", None),
        ((req, "Density kg/m³"), "rho", None),
        ((req, "Oper. press. barg"), "op", None),
        ((req, "Oper. temp. °C"), "ot", None),
        ((req, "Design press. barg"), "dp", None),
        ((req, "Design temp. °C"), "dt", None),
        ((req, "C-C mm"), "cc", None),
        ((req, "Visible mm"), "vis", None),
    ]
    for where in bidders:
        n_ = f"BIDDER {where}"
        cols += [
            ((n_, "Chamber material"), f"cmat@{where}", None),
            ((n_, "Float model"), f"part@{where}", None),
            ((n_, "Float mass g"), f"mass@{where}", None),
            ((n_, "Float OD mm"), f"od@{where}", None),
            ((n_, "Float length mm"), f"L@{where}", None),
            ((n_, "Float ends"), f"ends@{where}", None),
            ((n_, "Magnet from float bottom mm"), f"mag@{where}", None),
            ((n_, "Float max. press. barg"), f"pmax@{where}", None),
            ((n_, "Float max. temp. °C"), f"tmax@{where}", None),
            ((n_, "Delivery wks"), f"x_wk@{where}", None),
            ((n_, "Unit price EUR"), f"x_price@{where}", None),
            ((n_, "Technically acceptable?"), "*x_ok", lambda g: "TBC"),
        ]
    r = b.table(ws, 3, 0, cols, gs)
    ws.write(r + 1, 0, "TBC = to be clarified in bid clarification meeting")
    finish(b, gs)


def _offer(g: Gauge, where: str, **changed: Any) -> None:
    g[f"f@{where}"] = dict(g[f"f@{where}"], **changed)
    g |= {f"{n}@{where}": v for n, v in changed.items()}


@book
def p10_zh_en_tag_in_four_cells(b: Book) -> None:
    """Chinese headings with English ones below, the tag in four cells."""
    fl = [
        make_float("FZ-079", 50, 300, 790, pmax=25, tmax=180),
        make_float("FZ-098", 50, 255, 978, pmax=25, tmax=180),
        make_float("FZ-121", 50, 220, 1210, pmax=10, tmax=120),
        make_float("FZ-087", 50, 280, 866, pmax=16, tmax=150),
    ]
    rows: list[tuple[Any, ...]] = [
        (1001, "A", "V-3001 分离罐", "轻油", fl[0], 1.0, 6, 45, 14, 120, 1200, 1200),
        (1001, "B", "V-3001 分离罐", "轻油", fl[0], 1.0, 6, 45, 14, 120, 1200, 1200),
        (1002, "", "V-3002 凝结水罐", "凝结水", fl[1], round(water(68, 3)) / 978, 3, 68, 10, 160, 800, 800),
        (1003, "", "T-3003 碱液罐", "氢氧化钠溶液", fl[2], 1.0, 0.1, 40, 2, 90, 1500, 1450),
        (1004, "A", "V-3004 贫油罐", "贫油", fl[3], 0.99, 1.5, 55, 9, 130, 900, 900),
        (1004, "B", "V-3004 贫油罐", "贫油", fl[3], 0.99, 1.5, 55, 9, 130, 900, 900),
        (1005, "", "D-3005 污油罐", "污油", fl[3], 1.01, 0.3, 40, 4, 110, 1000, 1000),
    ]
    gs = []
    for number, suffix, svc, fluid, f, k, op, ot, dp, dt, cc, vis in rows:
        g = gauge(
            f"30-LG-{number}{suffix}", svc, fluid, f, k, op, ot, dp, dt, cc, vis=vis, tag_area="30", tag_letters="LG", tag_number=number, tag_suffix=suffix
        )
        g.update(cmat="S31603", lsll=round(vis * 0.06), lsl=round(vis * 0.15), lsh=round(vis * 0.85), lshh=round(vis * 0.94), slev=round(vis * 0.75))
        g["scur"] = loop_current(g)
        check_gauge(g)
        gs.append(g)
    x = by_tag(gs)
    if b.faulty:
        plant_switch_order(b, x["30-LG-1003"], "lsl", "lsh")
        x["30-LG-1001B"] |= {"tag": "30-LG-1001A", "tag_suffix": "A"}
        b.fault("tag-duplicate", "30-LG-1001A", ["tag_area", "tag_letters", "tag_number", "tag_suffix"], "30-LG-1001A twice")
        plant_offset(b, x["30-LG-1005"])
        plant_float_pressure(b, x["30-LG-1004B"], 18.5)
        plant_current(b, x["30-LG-1002"], -0.7)
        plant_switch_outside(b, x["30-LG-1004A"], "lshh", 40)
    for i, g in enumerate(gs):
        g["no"] = i + 1
    ws = b.sheet("液位计一览表")
    ws.set_column(0, 40, 11)
    ws.write(0, 0, "磁翻板液位计一览表   MAGNETIC LEVEL GAUGE LIST", b.fmt(**TITLE))
    ws.write(1, 0, "30 单元 UNIT 30")
    ws.write(1, 6, "版次 Rev. 1")
    cols: list[Any] = [
        (("序号", "Item"), "no", None),
        (("单元", "Unit"), "tag_area", None),
        (("功能", "Letters"), "tag_letters", None),
        (("回路号", "Loop No."), "tag_number", None),
        (("后缀", "Suffix"), "tag_suffix", None),
        (("用途", "Service"), "svc", None),
        (("介质", "Fluid"), "fluid", None),
        (("操作密度", "Oper. density\nkg/m³"), "rho", kg_m3()),
        (("操作压力", "Oper. press.\nMPa(G)"), "op", mpag(3)),
        (("操作温度", "Oper. temp.\n°C"), "ot", None),
        (("设计压力", "Design press.\nMPa(G)"), "dp", mpag(2)),
        (("设计温度", "Design temp.\n°C"), "dt", None),
        (("筒体材质", "Chamber matl."), "cmat", None),
        (("中心距", "C-C\nmm"), "cc", None),
        (("可视范围", "Visible range\nmm"), "vis", None),
        (("浮子型号", "Float No."), "part", None),
        (("量程下限", "LRV\nmm"), "lrv", None),
        (("量程上限", "URV\nmm"), "urv", None),
        (("校验液位", "Check level\nmm"), "slev", None),
        (("校验电流", "Check current\nmA"), "scur", None),
        (("低低", "LSLL\nmm"), "lsll", None),
        (("低", "LSL\nmm"), "lsl", None),
        (("高", "LSH\nmm"), "lsh", None),
        (("高高", "LSHH\nmm"), "lshh", None),
    ]
    _two_rows_of_headings(b, ws, 3, cols)
    for i, g in enumerate(gs):
        b.row(ws, 5 + i, 0, cols, g)
    ws = b.sheet("浮子数据 Floats")
    cols = [
        (("浮子型号", "Float No."), "part", None),
        (("质量", "Mass g"), "mass", None),
        (("外径", "OD mm"), "od", None),
        (("全长", "Length mm"), "L", None),
        (("端部形状", "Ends"), "ends", None),
        (("磁体距底部", "Magnet above bottom mm"), "mag", None),
        (("最大压力", "Max. press. MPa(G)"), "pmax", mpag(2)),
        (("最高温度", "Max. temp. °C"), "tmax", None),
    ]
    _two_rows_of_headings(b, ws, 0, cols)
    for i, f in enumerate(fl):
        b.row(ws, 2 + i, 0, cols, dict(f, tag=("float", f["part"])))
    for g in gs:
        count_float_cells(b, g, "mass", "mag", "pmax")
    finish(b, gs)


def _two_rows_of_headings(b: Book, ws: Any, row: int, cols: list[Any]) -> None:
    for c, (names, _, _) in enumerate(cols):
        for i, text in enumerate(names):
            ws.write(row + i, c, text, b.fmt(**HEADING))
