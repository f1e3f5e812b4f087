"""Vessel sketches with their nozzles, the item list of a drawing."""

from __future__ import annotations

from typing import Any

from tests.reading.books.shapes.common import always, finish
from tests.reading.faults import (
    plant_above_design,
    plant_long_range,
    plant_magnetic_chamber,
    plant_offset,
    plant_test_pressure,
    plant_unlisted_float,
    plant_urv_short,
)
from tests.reading.gauges import by_tag, check_gauge, gauge, make_float
from tests.reading.registry import book
from tests.reading.units import g_cm3, kg_m3
from tests.reading.writing import HEADING, Book, count_float_cells, float_sheet

BOX = {"border": 1}


@book
def p07_hoja_por_recipiente(b: Book) -> None:
    """Spanish: a sheet for each vessel, its design conditions and nozzles above the gauges, which overlap on the tower."""
    fl = [
        make_float("FM-082", 50, 290, 820, pmax=30, tmax=200),
        make_float("FM-099", 50, 250, 990, pmax=25, tmax=160),
        make_float("FM-074", 50, 310, 742, pmax=30, tmax=200),
    ]
    vessels = {"V-501": ("Separador de alta", 14, 120, 300), "T-502": ("Torre lavadora", 9, 150, 150), "V-503": ("Acumulador de reflujo", 6, 110, 150)}
    rows: list[tuple[Any, ...]] = [
        ("LG-5011", "V-501", "Gasóleo ligero", fl[0], 1.0, 8, 60, 400, 1000, "N7A/N7B", 1000),
        ("LG-5012", "V-501", "Agua aceitosa", fl[1], 0.995, 8, 58, -900, 700, "N8A/N8B", 700),
        ("LG-5021", "T-502", "Solución de lavado", fl[1], 1.01, 4, 70, 300, 1400, "N9A/N9B", 1400),
        ("LG-5022", "T-502", "Solución de lavado", fl[1], 1.01, 4, 70, 1600, 1400, "N9C/N9D", 1400),
        ("LG-5023", "T-502", "Solución de lavado", fl[1], 1.01, 4, 70, 2900, 1400, "N9E/N9F", 1400),
        ("LG-5031", "V-503", "Nafta", fl[2], 1.0, 2, 45, 150, 900, "N6A/N6B", 900),
        ("LG-5032", "V-503", "Agua de bota", fl[1], 1.0, 2, 45, -700, 600, "N6C/N6D", 550),
    ]
    gs = []
    for tag, v, fluid, f, k, op, ot, z, cc, nozzles, vis in rows:
        name, dp, dt, fclass = vessels[v]
        g = gauge(
            tag, name, fluid, f, k, op, ot, dp, dt, cc, vis=vis, ves=v, z=z, x_n=nozzles, fclass=fclass, grp="2.3", cmat="AISI 316L", tp=round(dp * 1.5, 1)
        )
        check_gauge(g)
        gs.append(g)
    x = by_tag(gs)
    if b.faulty:
        plant_long_range(b, x["LG-5012"], 150)
        b.faults[-1]["fields"].append("cc@nozzles")
        plant_urv_short(b, x["LG-5022"], 200)
        plant_offset(b, x["LG-5031"])
        plant_above_design(b, x["LG-5032"], "op", 7.2)
        plant_test_pressure(b, x["LG-5021"], 28)
        plant_magnetic_chamber(b, x["LG-5011"], "ASTM A333 Gr.6")
    for v, (name, dp, dt, fclass) in vessels.items():
        ws = b.sheet(v)
        ws.set_column(0, 12, 15)
        mine = [g for g in gs if g["ves"] == v]
        ws.write(0, 0, f"{v}   {name.upper()}", b.fmt(bold=True, font_size=14))
        ws.write(1, 0, "Croquis de recipiente - instrumentos de nivel")
        for r, (label, what, w, unit) in enumerate((("Presión de diseño", "dp", dp, "barg"), ("Temperatura de diseño", "dt", dt, "°C")), 3):
            for c, t in enumerate((label, w, unit)):
                ws.write(r, c, t, b.fmt(**BOX))
            for g in mine:
                b.mark(ws, r, 1, g["tag"], what)
        ws.write(5, 0, "Material cuerpo", b.fmt(**BOX))
        ws.write(5, 1, "SA-516 Gr. 70 + 3 mm", b.fmt(**BOX))
        ws.write(7, 0, "TABLA DE BOQUILLAS", b.fmt(bold=True))
        for c, h in enumerate(["Marca", "Servicio", "DN", "Clase", "Cara", "Elevación s/ L.T. inf. (mm)"]):
            ws.write(8, c, h, b.fmt(**HEADING))
        nozzles = [
            ("N1", "Entrada", 200, 3600),
            ("N2", "Salida de gas", 150, 4800),
            ("N3", "Salida de líquido", 100, -150),
            ("M1", "Boca de hombre", 600, 1200),
        ]
        for g in mine:
            low, high = g["x_n"].split("/")
            nozzles += [(low, g["tag"], 50, g["z"]), (high, g["tag"], 50, g["z"] + g["cc"])]
        r = 9
        for mark, use, dn, z in nozzles:
            for c, w in enumerate([mark, use, dn, fclass, "RF", z]):
                ws.write(r, c, w, b.fmt(**BOX))
            if use in x:
                b.mark(ws, r, 5, use, "cc@nozzles")
            r += 1
        ws.write(r + 1, 0, "NIVELES MAGNÉTICOS", b.fmt(bold=True))
        cols = [
            ("TAG", "tag", None),
            ("Tomas", "x_n", None),
            ("Fluido", "fluid", None),
            ("Densidad a T de op. (kg/m³)", "rho", kg_m3()),
            ("P op. (barg)", "op", None),
            ("T op. (°C)", "ot", None),
            ("Entre ejes de tomas (mm)", "cc", None),
            ("Rango visible (mm)", "vis", None),
            ("LRV (mm s/ toma inf.)", "lrv", None),
            ("URV (mm s/ toma inf.)", "urv", None),
            ("Clase bridas", "fclass", None),
            ("Material cámara", "cmat", None),
            ("Flotador", "part", None),
            ("Observaciones", "*tp", lambda g: f"Presión de prueba: {g['tp']:g} barg; Cert.: 3.1"),
        ]
        r = b.table(ws, r + 2, 0, cols, mine)
        ws.write(r + 1, 0, "L.T. = línea de tangencia" + ("; los tres niveles se solapan 100 mm" if v == "T-502" else ""))
    float_sheet(
        b,
        "Flotadores",
        fl,
        [
            ("Flotador", "part", None),
            ("Masa (g)", "mass", None),
            ("Ø ext. (mm)", "od", None),
            ("Longitud (mm)", "L", None),
            ("Fondos", "ends", always("planos")),
            ("Imán desde el fondo (mm)", "mag", None),
            ("P máx (barg)", "pmax", None),
            ("T máx (°C)", "tmax", None),
        ],
    )
    for g in gs:
        count_float_cells(b, g, "mass", "mag", "pmax")
    finish(b, gs)


@book
def p11_drawing_takeoff_heading_below(b: Book) -> None:
    """The item list of a drawing: read upwards, headings below it, 'typical of 4', remarks with 'key: value'."""
    fl = [
        make_float("ML-092", 51, 270, 925, pmax=10, tmax=180),
        make_float("ML-086", 51, 285, 855, pmax=16, tmax=180),
        make_float("ML-101", 51, 250, 1015, pmax=25, tmax=150),
        make_float("ML-125", 51, 215, 1250, pmax=10, tmax=120),
    ]
    gs = [
        gauge(
            "LG-6101A/B/C/D", "Hot oil day tanks TK-61A thru D", "Thermal oil", fl[1], 1.0, 0.3, 120, 3, 170, 1500, qty=4, aka=[f"LG-6101{k}" for k in "ABCD"]
        ),
        gauge("LG-6105", "Expansion vessel", "Thermal oil", fl[1], 0.99, 0.5, 130, 5, 170, 800),
        gauge("LG-6106", "Drain tank", "Thermal oil", fl[0], 0.985, 0.1, 60, 2, 140, 1000),
        gauge("LG-6110A/B", "Caustic bulk tanks", "NaOH 22 %", fl[3], 0.99, 0.1, 40, 2.5, 90, 1800, vis=1700, qty=2, aka=["LG-6110A", "LG-6110B"]),
        gauge("LG-6112", "Scrubber sump", "Scrubber liquor", fl[2], 1.0, 0.2, 45, 3, 90, 700),
        gauge("LG-6113", "Blowdown pot", "Condensed wash oil", fl[0], 930 / 925, 1.0, 90, 6, 170, 500),
        gauge("LG-6114", "Effluent pit pot", "Effluent", fl[2], 1.0, 0.1, 30, 2, 80, 900),
    ]
    for i, g in enumerate(gs):
        g.setdefault("qty", 1)
        g.update(cmat="316L SS", tp=round(g["dp"] * 1.43, 1), no=i + 1, fclass=150, grp="2.3")
        check_gauge(g)
    x = by_tag(gs)
    if b.faulty:
        plant_unlisted_float(b, x["LG-6112"], "ML-110")
        plant_long_range(b, x["LG-6110A/B"], 120)
        plant_magnetic_chamber(b, x["LG-6106"], "A53 Gr.B")
        plant_above_design(b, x["LG-6105"], "ot", 182)
        plant_test_pressure(b, x["LG-6113"], 12.5)
        plant_offset(b, x["LG-6101A/B/C/D"])
    ws = b.sheet("Dwg 61-I-4407")
    ws.set_column(0, 20, 12)
    ws.write(0, 0, "LEVEL GAUGE INSTALLATION  -  UTILITY AREA 61")
    ws.write(1, 0, "Drawing 61-I-4407  sheet 1  (sketch omitted in this extract)")
    ws.write(2, 0, "Dimensions in mm.  Item list reads upwards.")
    cols: list[Any] = [
        ("ITEM", "no", None),
        ("QTY", "qty", None),
        ("TAG NO.", "tag", None),
        ("SERVICE", "svc", None),
        ("FLUID", "fluid", None),
        ("SG AT OPER. TEMP.", "rho", g_cm3(3)),
        ("OPER. PRESS. barg", "op", None),
        ("OPER. TEMP. °C", "ot", None),
        ("DES. PRESS. barg", "dp", None),
        ("DES. TEMP. °C", "dt", None),
        ("C-C mm", "cc", None),
        ("VISIBLE LENGTH mm", "vis", None),
        ("CHAMBER MAT'L", "cmat", None),
        ("FLANGE CLASS", "fclass", None),
        ("FLOAT NO.", "part", None),
        ("REMARKS", "*tp", lambda g: ("TYPICAL OF 4; " if g["qty"] == 4 else "") + f"Test pressure: {g['tp']:g} barg; Paint: none"),
    ]
    r = 6
    for g in reversed(gs):
        b.row(ws, r, 0, cols, g, **BOX)
        r += 1
    for c, (h, _, _) in enumerate(cols):
        ws.write(r, c, h, b.fmt(**HEADING))
    ws.write(r + 1, 0, "BILL OF MATERIAL")
    ws.write(r + 2, 0, "Rev 0  issued for construction")
    float_sheet(
        b,
        "Floats",
        fl,
        [
            ("FLOAT NO.", "part", None),
            ("MASS g", "mass", None),
            ("DIA mm", "od", None),
            ("LENGTH mm", "L", None),
            ("ENDS", "ends", str.upper),
            ("MAGNET ABOVE BOTTOM mm", "mag", None),
            ("MAX. PRESS. barg", "pmax", None),
            ("MAX. TEMP. °C", "tmax", None),
        ],
    )
    for g in gs:
        count_float_cells(b, g, "mass", "mag", "pmax")
    finish(b, gs)
