"""Registers with much in one cell, cases side by side, subtotals, tags in parts, several plants on one sheet."""

from __future__ import annotations

from typing import Any

from tests.reading.books.shapes.common import (
    CONSEQUENCES,
    always,
    bold,
    finish,
    plant_boiling,
    plant_close_switches,
    plant_duplicate_tag,
    plant_implausible_density,
    plant_missing_tag,
    plant_other_serial,
    plant_reversed_densities,
    plant_switch_order,
    water,
    write_cell,
    write_list,
    write_rows,
)
from tests.reading.faults import (
    plant_above_design,
    plant_current,
    plant_design_density,
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
from tests.reading.gauges import add_serials, by_tag, check_gauge, gauge, loop_current, make_float
from tests.reading.registry import book
from tests.reading.units import decimal_comma, g_cm3, kg_m3, kgf_cm2, mpag, rounded
from tests.reading.writing import Book, count_float_cells, float_sheet

FLOAT_CELLS = ("mass", "od", "L", "mag", "pmax", "tmax", "drho")


@book
def d07_remarks_with_keys(b: Book) -> None:
    """A register of few columns; the rest stands in the remarks as 'key: value', in no fixed order."""
    fl = [
        make_float("HK4", 51, 300, 822, pmax=22, tmax=190),
        make_float("HK7", 51, 255, 985, pmax=22, tmax=190),
        make_float("HK9", 51, 230, 1205, pmax=14, tmax=120),
    ]
    gs = [
        gauge("LG-9001", "Bunker day tank", "Diesel oil", fl[0], 1.005, 0.1, 28, 1.5, 70, 1300),
        gauge("LG-9002", "Dosing tank, hall 2", "Caustic 20 %", fl[2], 1.0, 0.1, 38, 2, 80, 900),
        gauge("LG-9003", "Boiler house condensate", "Condensate", fl[1], water(82, 0.9) / 985, 0.9, 82, 5, 150, 700),
        gauge("LG-9004", "Press hydraulics", "Hydraulic oil", fl[0], 1.015, 0.2, 50, 3, 100, 500),
        gauge("LG-9006", "Cooling loop expansion", "Treated cooling water", fl[1], 1.009, 1.2, 35, 4, 90, 800),
        gauge("LG-9007", "Sour water pot", "Sour water", fl[1], 1.005, 2.4, 45, 9, 120, 600),
        gauge("LG-9010", "Kerosene wash", "Kerosene", fl[0], 0.985, 1.1, 40, 6, 120, 1000),
    ]
    for g in gs:
        g.update(cmat="316L", tp=round(g["dp"] * 1.5, 2))
        check_gauge(g)
    x = by_tag(gs)
    if b.faulty:
        plant_test_pressure(b, x["LG-9002"], 16)
        plant_magnetic_chamber(b, x["LG-9004"], "carbon steel")
        plant_long_range(b, x["LG-9006"], 120)
        plant_above_design(b, x["LG-9007"], "ot", 128, ok=["density-not-at-operating-conditions"])
        plant_offset(b, x["LG-9010"])
    keys: dict[str, tuple[str, Any]] = {
        "op": ("op. press", lambda g: f"{g['op']:g} barg"),
        "ot": ("op. temp", lambda g: f"{g['ot']} °C"),
        "dp": ("design press", lambda g: f"{g['dp']:g} barg"),
        "dt": ("design temp", lambda g: f"{g['dt']} °C"),
        "tp": ("hydrotest", lambda g: f"{g['tp']:g} barg"),
        "cmat": ("chamber", lambda g: g["cmat"]),
        "cc": ("c/c", lambda g: f"{g['cc']} mm"),
        "vis": ("visible", lambda g: f"{g['vis']} mm"),
    }
    orders = ["op ot dp dt tp cmat cc vis", "cc vis cmat dp dt op ot tp", "dp dt tp op ot cc vis cmat", "cmat cc vis op ot dp dt tp"]
    extra = ["", "glass replaced 2019", "see NCR 14", "", "scaffold needed", "", "painted yellow"]
    ws = b.sheet("Register")
    ws.set_column(4, 4, 12)
    ws.set_column(5, 5, 120)
    ws.write(0, 0, "Level gauge register - keep up to date!", bold(b))
    for c, t in enumerate(["Tag", "Where", "Contents", "Density hot, kg/m3", "Float", "Remarks"]):
        ws.write(2, c, t, b.fmt(bold=True, bottom=1))
    for i, g in enumerate(gs):
        r = 3 + i
        for c, name in enumerate(["tag", "svc", "fluid", "rho", "part"]):
            write_cell(b, ws, r, c, g[name], g, name)
        order = orders[i % 4].split()
        text = "; ".join([f"{keys[k][0]}: {keys[k][1](g)}" for k in order] + ([extra[i]] if extra[i] else []))
        write_cell(b, ws, r, 5, text, g, " ".join(order))
    ws.write(len(gs) + 4, 0, "Floats are on the next sheet, copied off the name plates.")
    cols = [
        ("Float", "part", None),
        ("grams", "mass", None),
        ("dia mm", "od", None),
        ("length mm", "L", None),
        ("ends", "ends", None),
        ("magnet above bottom mm", "mag", None),
        ("max barg", "pmax", None),
        ("max °C", "tmax", None),
    ]
    float_sheet(b, "Floats", fl, cols)
    for g in gs:
        count_float_cells(b, g, *FLOAT_CELLS)
    finish(b, gs)


@book
def d09_min_normal_max(b: Book) -> None:
    """Swedish: lowest, normal and highest values side by side."""
    fl = [
        make_float("FK-22-81", 50, 300, 815, pmax=25, tmax=180),
        make_float("FK-22-97", 50, 265, 968, pmax=25, tmax=180),
        make_float("FK-22-112", 50, 240, 1118, pmax=16, tmax=130),
    ]
    gs = [
        gauge("LG-1840", "Terpentindekanter", "Råterpentin", make_float("FK-22-85", 50, 290, 852, pmax=16, tmax=130), 1.0, 0.2, 45, 3, 100, 900),
        gauge("LG-1841", "Svagluttank", "Svaglut", fl[2], 0.995, 0.3, 70, 4, 110, 1400),
        gauge("LG-1842", "Kondensatkärl förvärmare", "Kondensat", fl[1], water(88, 1.6) / 968, 1.6, 88, 6, 165, 700),
        gauge("LG-1843", "Tallolja, dagtank", "Tallolja", fl[1], 0.99, 0.1, 75, 2, 110, 1500),
        gauge("LG-1844", "Smörjolja torkparti", "Smörjolja", fl[0], 1.01, 0.2, 55, 3, 100, 600),
        gauge("LG-1846", "Eldningsolja 1", "Eldningsolja", fl[0], 1.01, 0.1, 20, 2, 60, 1200),
    ]
    fl.append(gs[0]["f"])
    for g in gs:
        g.update(cmat="1.4404", rho_min=round(g["rho"] * 0.99), rho_max=round(g["rho"] * 1.008), op_min=round(g["op"] * 0.7, 2), op_max=round(g["op"] * 1.2, 2))
        g.update(ot_min=g["ot"] - 10, ot_max=g["ot"] + 8)
        check_gauge(g)
    x = by_tag(gs)
    if b.faulty:
        plant_reversed_densities(b, x["LG-1841"])
        plant_float_pressure(b, x["LG-1844"], 27.5)
        g = x["LG-1846"]
        g["ot_max"] = 72
        b.fault("operating-exceeds-design", g["tag"], ["ot_max", "dt"], "highest operating 72 > design 60 degC")
        plant_sinking(b, x["LG-1843"])
        plant_magnetic_chamber(b, x["LG-1840"], "1.4462")
    rho, op, ot = "Densitet kg/m³", "Drifttryck bar(ö)", "Drifttemp °C"
    cols = [
        (("Nr", ""), "no", None),
        (("Littera", ""), "tag", None),
        (("Läge", ""), "svc", None),
        (("Medium", ""), "fluid", None),
        ((rho, "lägst"), "rho_min", None),
        ((rho, "normal"), "rho", kg_m3()),
        ((rho, "högst"), "rho_max", None),
        ((op, "lägst"), "op_min", decimal_comma(lambda v: v)),
        ((op, "normalt"), "op", decimal_comma(lambda v: v)),
        ((op, "högst"), "op_max", decimal_comma(lambda v: v)),
        ((ot, "lägst"), "ot_min", None),
        ((ot, "normal"), "ot", None),
        ((ot, "högst"), "ot_max", None),
        (("Konstruktion", "tryck bar(ö)"), "dp", None),
        (("Konstruktion", "temp °C"), "dt", None),
        (("Kammare", "material"), "cmat", None),
        (("Kammare", "c/c stutsar mm"), "cc", None),
        (("Kammare", "synlig längd mm"), "vis", None),
        (("Flottör", ""), "part", None),
    ]
    for i, g in enumerate(gs):
        g["no"] = i + 1
    ws = b.sheet("Nivåvisare")
    ws.write(0, 0, "Magnetiska nivåvisare, lutsidan", b.fmt(bold=True, font_size=13))
    ws.write(1, 0, "(ö) = övertryck")
    write_list(b, ws, 3, 0, cols, gs, border=1)
    fcols = [
        ("Flottör", "part", None),
        ("Vikt g", "mass", decimal_comma(lambda v: v)),
        ("Diameter mm", "od", None),
        ("Längd mm", "L", None),
        ("Gavlar", "ends", always("plana")),
        ("Magnet över botten mm", "mag", decimal_comma(lambda v: v)),
        ("Högsta tryck bar(ö)", "pmax", None),
        ("Högsta temp °C", "tmax", None),
    ]
    float_sheet(b, "Flottörer", fl, fcols)
    b.allow("number-as-text")
    for g in gs:
        count_float_cells(b, g, *FLOAT_CELLS)
    finish(b, gs)


@book
def d17_subtotales(b: Book) -> None:
    """Spanish: sections for each area, a subtotal below each, remarks in between."""
    fl = [
        make_float("BL-70", 50, 320, 712, pmax=30, tmax=180),
        make_float("BL-83", 50, 300, 834, pmax=30, tmax=200),
        make_float("BL-99", 50, 255, 991, pmax=20, tmax=160),
    ]
    gs = [
        gauge("LG-101", "V-101 Carga", "Nafta virgen", fl[0], 0.99, 2.5, 38, 7, 110, 1200, area="10"),
        gauge("LG-102", "V-102 Reflujo", "Nafta estabilizada", fl[0], 0.985, 6.5, 42, 12, 120, 900, area="10"),
        gauge("LG-104", "V-104 Bota", "Agua de proceso", fl[2], 1.0, 6.3, 42, 12, 120, 500, area="10"),
        gauge("LG-201", "E-201 Fondo", "Gasóleo", fl[1], 0.985, 1.5, 60, 6, 180, 1500, area="20", vis=1400),
        gauge("LG-202", "TK-202 Diario", "Diesel", fl[1], 0.99, 0.1, 25, 1.5, 70, 1800, area="20"),
        gauge("LG-301", "V-301 Condensado", "Condensado", fl[2], water(65, 1.2) / 991, 1.2, 65, 6, 150, 700, area="30"),
        gauge("LG-302", "V-302 Agua tratada", "Agua blanda", fl[2], water(30, 2.2) / 991, 2.2, 30, 7, 90, 1000, area="30"),
        gauge("LG-305", "TK-305 Aceite lubricante", "Aceite lubricante", fl[1], 1.02, 0.1, 50, 2, 100, 800, area="30"),
    ]
    for g in gs:
        g.update(cmat="AISI 316L", x_kg=round(18 + g["cc"] * 0.012))
    x = by_tag(gs)
    if b.faulty:
        plant_offset(b, x["LG-102"])
        plant_float_temperature(b, x["LG-104"], 172)
        plant_urv_short(b, x["LG-201"], 250)
        plant_magnetic_chamber(b, x["LG-202"], "ASTM A53 Gr.B")
        plant_above_design(b, x["LG-302"], "op", 7.8)
        plant_unlisted_float(b, x["LG-305"], "BL-38")
    cols = [
        ("TAG", "tag", None),
        ("UBICACIÓN", "svc", None),
        ("PRODUCTO", "fluid", None),
        ("DENSIDAD @ T OP (kg/m³)", "rho", kg_m3()),
        ("P OP (kg/cm² man.)", "op", kgf_cm2(2)),
        ("T OP (°C)", "ot", None),
        ("P DIS (kg/cm² man.)", "dp", kgf_cm2(2)),
        ("T DIS (°C)", "dt", None),
        ("CÁMARA", "cmat", None),
        ("C-C (mm)", "cc", None),
        ("VISIBLE (mm)", "vis", None),
        ("4 mA (mm)", "lrv", None),
        ("20 mA (mm)", "urv", None),
        ("FLOTADOR", "part", None),
        ("PESO APROX. (kg)", "x_kg", None),
    ]
    ws = b.sheet("Listado")
    ws.set_column(1, 2, 24)
    ws.write(0, 0, "LISTADO DE NIVELES MAGNÉTICOS CON PESOS PARA TRANSPORTE", b.fmt(bold=True, font_size=12))
    r = b.head(ws, 2, 0, cols)
    names = {"10": "ÁREA 10 - FRACCIONAMIENTO", "20": "ÁREA 20 - GASÓLEOS", "30": "ÁREA 30 - SERVICIOS"}
    whole = 0
    for area, title in names.items():
        mine = [g for g in gs if g["area"] == area]
        ws.merge_range(r, 0, r, len(cols) - 1, title, b.fmt(bold=True, bg_color="#FFF2CC", border=1))
        r = write_rows(b, ws, r + 1, 0, cols, mine, border=1)
        if area == "20":
            ws.write(r, 1, "LG-203 eliminado en rev. 2", b.fmt(italic=True))
            r += 1
        kg = sum(g["x_kg"] for g in mine)
        whole += kg
        ws.write(r, 0, f"SUBTOTAL ÁREA {area}", bold(b))
        ws.write(r, 1, f"{len(mine)} piezas", bold(b))
        ws.write_formula(r, len(cols) - 1, f"=SUM(O{r - len(mine) + 1 - (area == '20')}:O{r})", bold(b), kg)
        r += 2
    ws.write(r, 0, "TOTAL GENERAL", bold(b))
    ws.write(r, 1, f"{len(gs)} piezas", bold(b))
    ws.write(r, len(cols) - 1, whole, bold(b))
    fcols = [
        ("FLOTADOR", "part", None),
        ("MASA (g)", "mass", None),
        ("DIÁM. (mm)", "od", None),
        ("LARGO (mm)", "L", None),
        ("TAPAS", "ends", always("PLANAS")),
        ("IMÁN DESDE EL FONDO (mm)", "mag", None),
        ("P MÁX (kg/cm² man.)", "pmax", kgf_cm2(1)),
        ("T MÁX (°C)", "tmax", None),
    ]
    float_sheet(b, "Flotadores", fl, fcols)
    for g in gs:
        count_float_cells(b, g, *FLOAT_CELLS)
    finish(b, gs)


@book
def d18_kks_in_vier_zellen(b: Book) -> None:
    """German: KKS codes split over four cells."""
    fl = [
        make_float("S 60.092", 60, 280, 921, pmax=60, tmax=260, ends="hemispherical"),
        make_float("S 60.099", 60, 265, 988, pmax=25, tmax=180, ends="hemispherical"),
        make_float("S 50.086", 50, 300, 861, pmax=16, tmax=160, ends="hemispherical"),
    ]
    rows: list[tuple[str, str, str, str, str, int, float, float, float, float, float, float]] = [
        ("10", "LCP20", "CL001", "Kondensatsammelbehälter", "Kondensat", 1, water(72, 1.2) / 988, 1.2, 72, 5, 150, 900),
        ("10", "LCH10", "CL001", "HD-Vorwärmer 1 Kondensat", "Kondensat", 0, water(145, 9.0) / 921, 9.0, 145, 18, 210, 1000),
        ("10", "LCH10", "CL002", "HD-Vorwärmer 2 Kondensat", "Kondensat", 0, water(150, 10.0) / 921, 10.0, 150, 18, 210, 1000),
        ("10", "PGB11", "CL001", "Zwischenkühlkreis Ausgleich", "Deionat", 1, water(35, 2.5) / 988, 2.5, 35, 8, 95, 700),
        ("10", "MAV10", "CL001", "Schmieröltank Turbine", "Turbinenöl VG 46", 2, 0.99, 0.05, 55, 1, 90, 1100),
        ("20", "MAV10", "CL001", "Schmieröltank Turbine", "Turbinenöl VG 46", 2, 0.985, 0.05, 58, 1, 90, 1100),
        ("00", "EGD10", "CL003", "Heizöl EL Tagestank", "Heizöl EL", 2, 0.985, 0.1, 20, 1.5, 60, 1500),
    ]
    gs = []
    for block, system, unit, svc, fluid, n, k, op, ot, dp, dt, cc in rows:
        g = gauge(block + system + unit, svc, fluid, fl[n], k, op, ot, dp, dt, cc, block=block, sys=system, x_typ="MKA", cmat="1.4571")
        g |= {"agg": unit[:2], "zhl": unit[2:], "tp": round(dp * 1.5, 2)}
        check_gauge(g)
        gs.append(g)
    x = by_tag(gs)
    if b.faulty:
        plant_boiling(b, x["10LCH10CL002"], "Water")
        plant_test_pressure(b, x["20MAV10CL001"], 18)
        plant_float_temperature(b, x["10LCP20CL001"], 195)
        plant_magnetic_chamber(b, x["10PGB11CL001"], "P235GH")
        g = x["00EGD10CL003"]
        g["rho"] = round(g["rho"] * 1000)
        plant_implausible_density(b, g, f"{g['rho']} kg/m3")
        for rule in CONSEQUENCES:
            b.allow(rule, g["tag"])
        plant_offset(b, x["10MAV10CL001"])
    n1 = decimal_comma(rounded(lambda v: v, 2))
    kks = "KKS-Kennzeichen"
    cols: list[Any] = [
        ((kks, "Block"), "tag_area", None),
        ((kks, "System"), "tag_area@system", None),
        ((kks, "Aggr."), "tag_letters", None),
        ((kks, "Zähl-Nr."), "tag_number", None),
        (("Benennung", ""), "svc", None),
        (("Medium", ""), "fluid", None),
        (("Dichte bei Betriebstemperatur", "kg/m³"), "rho", n1),
        (("Betrieb", "bar Ü"), "op", n1),
        (("Betrieb", "°C"), "ot", None),
        (("Auslegung", "bar Ü"), "dp", n1),
        (("Auslegung", "°C"), "dt", None),
        (("Prüfdruck", "bar Ü"), "tp", n1),
        (("Rohrwerkstoff", ""), "cmat", None),
        (("Stutzenabstand", "mm"), "cc", None),
        (("Anzeigelänge", "mm"), "vis", None),
        (("Schwimmer", ""), "part", None),
    ]
    for g in gs:
        g |= {"tag_area": g["block"], "tag_area@system": g["sys"], "tag_letters": g["agg"], "tag_number": g["zhl"]}
    ws = b.sheet("Niveauanzeiger")
    ws.write(0, 0, "Messstellenliste Niveau örtlich (Magnetklappenanzeiger)", b.fmt(bold=True, font_size=12))
    ws.write(1, 0, "Bar Ü = Überdruck")
    write_list(b, ws, 3, 0, cols, gs, border=1)
    fcols = [
        ("Schwimmer", "part", None),
        ("Gewicht g", "mass", n1),
        ("Ø mm", "od", None),
        ("Länge über alles mm", "L", None),
        ("Böden", "ends", always("Halbkugel")),
        ("Magnetmitte von Unterkante mm", "mag", n1),
        ("zul. Druck bar Ü", "pmax", None),
        ("zul. Temp. °C", "tmax", None),
    ]
    float_sheet(b, "Schwimmer", fl, fcols)
    b.allow("number-as-text")
    for g in gs:
        count_float_cells(b, g, *FLOAT_CELLS)
    finish(b, gs)


@book
def d19_provozy_na_jednom_listu(b: Book) -> None:
    """Czech: three plants below each other on one sheet, each with its own order of columns and its own units."""
    fl = [
        make_float("PL-52/0.81", 52, 300, 811, pmax=25, tmax=180),
        make_float("PL-52/0.99", 52, 260, 989, pmax=25, tmax=180),
        make_float("PL-52/1.11", 52, 240, 1109, pmax=16, tmax=130),
    ]
    gs = [
        gauge("LG 121", "Zásobník nafty", "Nafta motorová", fl[0], 1.02, 0.1, 20, 1.5, 60, 1200, pl=0),
        gauge("LG 122", "Sběrač kondenzátu", "Kondenzát", fl[1], water(75, 1.5) / 989, 1.5, 75, 6, 160, 800, pl=0),
        gauge("LG 123", "Olejová nádrž", "Olej turbínový", fl[0], 1.015, 0.1, 45, 2, 90, 700, pl=0),
        gauge("LG 210A", "Louh zásobní", "NaOH 10 %", fl[2], 0.99, 0.2, 25, 3, 70, 1400, pl=1),
        gauge("LG 210B", "Louh provozní", "NaOH 10 %", fl[2], 0.985, 0.2, 35, 3, 70, 900, pl=1),
        gauge("LG 215", "Mycí voda", "Voda procesní", fl[1], 1.0, 3.0, 45, 8, 110, 1000, pl=1),
        gauge("LG 331", "Zásobník petroleje", "Petrolej", fl[0], 0.985, 1.0, 40, 5, 120, 1100, pl=2),
        gauge("LG 332", "Nástřik kolony", "Lehký plynový olej", fl[0], 1.0, 3.5, 65, 9, 170, 1500, pl=2, vis=1450),
        gauge("LG 335", "Odkalovací nádoba", "Odpadní voda", fl[1], 1.005, 0.5, 40, 4, 100, 600, pl=2),
    ]
    for g in gs:
        g.update(cmat="1.4541", slev=g["vis"] // 2)
        g["scur"] = loop_current(g)
    x = by_tag(gs)
    if b.faulty:
        plant_missing_tag(b, x["LG 123"])
        plant_duplicate_tag(b, x["LG 210B"], x["LG 210A"])
        plant_current(b, x["LG 215"], -0.9)
        plant_sinking(b, x["LG 335"])
        plant_float_pressure(b, x["LG 332"], 26.5)
        plant_magnetic_chamber(b, x["LG 122"], "ocel 11 353")
    n2 = decimal_comma(rounded(lambda v: v, 2))
    plants: list[tuple[str, list[Any]]] = [
        (
            "PROVOZ 1 - ENERGETIKA",
            [
                ("Označení", "tag", None),
                ("Název", "svc", None),
                ("Médium", "fluid", None),
                ("Hustota za provozu kg/m3", "rho", n2),
                ("Prov. přetlak MPa", "op", decimal_comma(mpag(3))),
                ("Prov. tepl. °C", "ot", None),
                ("Výp. přetlak MPa", "dp", decimal_comma(mpag(2))),
                ("Výp. tepl. °C", "dt", None),
                ("Materiál komory", "cmat", None),
                ("Rozteč hrdel mm", "cc", None),
                ("Viditelný rozsah mm", "vis", None),
                ("Plovák", "part", None),
            ],
        ),
        (
            "PROVOZ 2 - LOUHOVNA",
            [
                ("Plovák č.", "part", None),
                ("Stavoznak", "tag", None),
                ("Rozteč (mm)", "cc", None),
                ("Vidět (mm)", "vis", None),
                ("Náplň", "fluid", None),
                ("Umístění", "svc", None),
                ("Tep. max výpočtová (°C)", "dt", None),
                ("Tlak výpočtový (bar přetl.)", "dp", n2),
                ("Tep. provozní (°C)", "ot", None),
                ("Tlak provozní (bar přetl.)", "op", n2),
                ("Hustota (g/cm3 při prov. tepl.)", "rho", decimal_comma(g_cm3(4))),
                ("Nádoba stavoznaku", "cmat", None),
                ("Zkouška při (mm)", "slev", None),
                ("Změřeno (mA)", "scur", n2),
                ("4 mA (mm)", "lrv", None),
                ("20 mA (mm)", "urv", None),
            ],
        ),
        (
            "PROVOZ 3 - DESTILACE (opsáno z projektu)",
            [
                ("Poz.", "no", None),
                ("Tag", "tag", None),
                ("Aparát", "svc", None),
                ("Design p bar(g)", "dp", None),
                ("Design T °C", "dt", None),
                ("Oper. p bar(g)", "op", None),
                ("Oper. T °C", "ot", None),
                ("Kapalina", "fluid", None),
                ("Hustota kg/m3 při oper. T", "rho", kg_m3()),
                ("C-C mm", "cc", None),
                ("Visible mm", "vis", None),
                ("Komora", "cmat", None),
                ("Plovák typ", "part", None),
            ],
        ),
    ]
    for i, g in enumerate(gs):
        g["no"] = i - 5
    ws = b.sheet("Stavoznaky")
    ws.set_column(0, 16, 13)
    ws.write(0, 0, "MAGNETICKÉ STAVOZNAKY - všechny provozy", b.fmt(bold=True, font_size=13))
    r = 2
    for i, (title, cols) in enumerate(plants):
        ws.write(r, 0, title, b.fmt(bold=True, underline=1))
        r = write_list(b, ws, r + 1, 0, cols, [g for g in gs if g["pl"] == i]) + 2
    fcols = [
        ("Plovák", "part", None),
        ("Hmotnost g", "mass", n2),
        ("Průměr mm", "od", None),
        ("Délka mm", "L", None),
        ("Dna", "ends", always("rovná")),
        ("Magnet od spodku mm", "mag", n2),
        ("Max. přetlak bar", "pmax", None),
        ("Max. teplota °C", "tmax", None),
    ]
    float_sheet(b, "Plováky", fl, fcols)
    b.allow("number-as-text")
    for g in gs:
        count_float_cells(b, g, *FLOAT_CELLS)
    finish(b, gs)


@book
def d22_pairs_of_tags_and_labels(b: Book) -> None:
    """Two tags in one cell, and label with value in one cell, under headings that say little."""
    fl = [
        make_float("KX-20", 51, 300, 803, pmax=30, tmax=180),
        make_float("KX-24", 51, 255, 1005, pmax=30, tmax=160),
        make_float("KX-27", 51, 285, 880, pmax=16, tmax=200),
    ]
    gs = [
        gauge("LG-811", "Stripper reflux drum", "Heavy naphtha", make_float("KX-18", 51, 320, 735, pmax=30, tmax=180), 1.0, 2.8, 45, 8, 120, 1100),
        gauge("LG-812", "Stripper bottoms", "Kerosene", fl[0], 0.985, 3.4, 110, 9, 165, 1400),
        gauge("LG-815", "Water boot", "Process water", fl[1], 0.99, 2.8, 44, 8, 120, 500),
        gauge("LG-820", "Flushing oil drum", "Flushing oil", fl[2], 0.99, 0.6, 70, 5, 150, 900),
        gauge("LG-821", "Buffer fluid pot", "White oil", fl[2], 0.985, 4.0, 50, 10, 120, 400),
        gauge("LG-826", "Neutralised effluent", "Neutralised effluent", fl[1], 1.0, 0.2, 30, 3, 80, 1300),
    ]
    for g in gs:
        g.update(cmat="316L", ltag=g["tag"].replace("LG", "LT"), aka=[g["tag"], g["tag"].replace("LG", "LT")], slev=g["vis"] // 4)
        g["scur"] = loop_current(g)
    x = by_tag(gs)
    if b.faulty:
        plant_float_pressure(b, x["LG-820"], 18)
        plant_urv_outside(b, x["LG-812"], 120)
        x["LG-812"]["scur"] = loop_current(x["LG-812"])
        plant_current(b, x["LG-826"], 1.1)
        plant_magnetic_chamber(b, x["LG-815"], "A106 B")
        plant_design_density(b, x["LG-821"], 1.11)
    ws = b.sheet("Loops 81-82")
    ws.set_column(0, 0, 18)
    ws.set_column(1, 6, 30)
    ws.write(0, 0, "Level loops, local gauge and transmitter on one chamber", bold(b))
    ws.write(1, 0, "all levels mm above lower connection, all pressures gauge")
    for c, t in enumerate(["Tags", "Duty", "Process", "", "Limits", "Gauge", "", "Float", "", "Signal", "Check"]):
        ws.write(3, c, t, b.fmt(bold=True, border=1))

    def n(v: float) -> str:
        return f"{v:g}"

    cells: list[tuple[str, Any]] = [
        ("tag ltag", lambda g: f"{g['tag']} / {g['ltag']}"),
        ("svc", lambda g: g["svc"]),
        ("fluid rho", lambda g: f"{g['fluid']}, density: {n(g['rho'])} kg/m3"),
        ("op ot", lambda g: f"Operating: {n(g['op'])} barg, {n(g['ot'])} °C"),
        ("dp dt", lambda g: f"Design: {n(g['dp'])} barg, {n(g['dt'])} °C"),
        ("cmat", lambda g: f"Chamber: {g['cmat']}"),
        ("cc vis", lambda g: f"C-C: {n(g['cc'])} mm; visible: {n(g['vis'])} mm"),
        ("part drho", lambda g: f"Float: {g['part']} for {n(g['drho'])} kg/m3"),
        ("pmax tmax", lambda g: f"max. {n(g['pmax'])} barg, {n(g['tmax'])} °C"),
        ("range lrv urv", lambda g: f"4-20 mA = {n(g['lrv'])} to {n(g['urv'])} mm"),
        ("slev scur", lambda g: f"{n(g['slev'])} mm: {g['scur']:.2f} mA"),
    ]
    for i, g in enumerate(gs):
        for c, (names, fn) in enumerate(cells):
            write_cell(b, ws, 4 + i, c, fn(g), g, names, border=1)
    b.allow("number-as-text")
    finish(b, gs)


@book
def d24_referencebetegnelser(b: Book) -> None:
    """Danish: reference designations of ISO/IEC 81346 in place of tags."""
    fl = [
        make_float("SV-51-088", 51, 285, 880, pmax=16, tmax=150),
        make_float("SV-51-098", 51, 260, 982, pmax=25, tmax=180),
        make_float("SV-51-107", 51, 245, 1072, pmax=16, tmax=140),
    ]
    gs = [
        gauge("=A1.KH2-BL1", "Kondensattank kedel 2", "Kondensat", fl[1], water(80, 1.1) / 982, 1.1, 80, 5, 150, 800),
        gauge("=A1.KH3-BL1", "Kondensattank kedel 3", "Kondensat", fl[1], water(76, 1.0) / 982, 1.0, 76, 5, 150, 800),
        gauge("=A2.HB1-BL2", "Olieudskiller, køleanlæg", "Køleolie", fl[0], 1.01, 0.5, 40, 6, 100, 500),
        gauge("=A2.JE4-BL1", "Brinetank", "Propylenglykol 40 %", fl[2], 0.985, 1.5, 10, 4, 60, 900),
        gauge("=A3.QN1-BL3", "Smøreolie valseværk", "Smøreolie", fl[0], 0.99, 0.1, 45, 2, 90, 700),
        gauge("=A3.GP5-BL1", "Rågødning, buffer", "Gødningsopløsning", fl[2], 1.015, 0.2, 25, 2, 70, 1500, vis=1400),
    ]
    add_serials(gs, "NV", 3071, 2)
    for g in gs:
        v = g["vis"]
        g.update(cmat="1.4404", lsl=round(v * 0.15), lsh=round(v * 0.8), lshh=round(v * 0.92))
        check_gauge(g)
    x = by_tag(gs)
    if b.faulty:
        plant_other_serial(b, x["=A1.KH3-BL1"], x["=A3.QN1-BL3"]["gsn"])
        plant_switch_order(b, x["=A3.GP5-BL1"], "lsh", "lshh")
        plant_close_switches(b, x["=A1.KH2-BL1"], "lsh", "lshh", 15)
        plant_long_range(b, x["=A2.JE4-BL1"], 80)
        plant_float_pressure(b, x["=A2.HB1-BL2"], 19)
    cols = [
        ("Betegnelse", "tag", None),
        ("Placering", "svc", None),
        ("Visers serienr.", "gsn", None),
        ("Væske", "fluid", None),
        ("Densitet v. driftstemp. kg/m³", "rho", kg_m3(1)),
        ("Drift bar(o)", "op", None),
        ("Drift °C", "ot", None),
        ("Max tilladt bar(o)", "dp", None),
        ("Max tilladt °C", "dt", None),
        ("Rør", "cmat", None),
        ("Studsafstand mm", "cc", None),
        ("Synligt mm", "vis", None),
        ("Kontakt lav mm", "lsl", None),
        ("Kontakt høj mm", "lsh", None),
        ("Kontakt høj-høj mm", "lshh", None),
        ("Svømmer", "part", None),
        ("Svømmer serienr.", "fsn", None),
        ("Svømmer hører til viser nr.", "fgsn", None),
    ]
    ws = b.sheet("Niveauvisere")
    ws.write(0, 0, "Magnetiske niveauvisere. Referencebetegnelser iht. anlægsstruktur. (o) = overtryk", bold(b))
    write_list(b, ws, 2, 0, cols, gs, border=1)
    fcols = [
        ("Svømmer", "part", None),
        ("Vægt g", "mass", None),
        ("Diameter mm", "od", None),
        ("Længde mm", "L", None),
        ("Ender", "ends", always("plane")),
        ("Magnet over underkant mm", "mag", None),
        ("Max bar(o)", "pmax", None),
        ("Max °C", "tmax", None),
    ]
    float_sheet(b, "Svømmere", fl, fcols)
    for g in gs:
        count_float_cells(b, g, *FLOAT_CELLS)
    finish(b, gs)
