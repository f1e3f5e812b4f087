"""Forms and checklists that somebody has filled in, a sheet for each vessel, several gauges in one form."""

from __future__ import annotations

from typing import Any

from xlsxwriter.worksheet import Worksheet

from tests.reading.books.shapes.common import (
    always,
    bold,
    finish,
    plant_barely_floating,
    plant_close_switches,
    plant_heavy_upper_liquid,
    plant_other_float_service,
    plant_other_serial,
    plant_reused_serial,
    plant_switch_outside,
    water,
    write_cell,
    write_list,
)
from tests.reading.faults import (
    plant_above_design,
    plant_current,
    plant_flange_rating,
    plant_float_pressure,
    plant_long_range,
    plant_magnetic_chamber,
    plant_offset,
    plant_reversed_range,
    plant_sinking,
    plant_test_pressure,
    plant_urv_short,
)
from tests.reading.gauges import add_serials, by_tag, check_gauge, gauge, loop_current, make_float
from tests.reading.physics import Float
from tests.reading.registry import book
from tests.reading.units import decimal_comma, g_cm3, kg_m3, mpag, rounded
from tests.reading.writing import Book, Gauge, count_float_cells, float_sheet

Line = tuple[str, str, str, Any]
"""Label, unit, short name, converter."""


@book
def d06_kontrol_listeleri(b: Book) -> None:
    """Turkish: checklists of the commissioning, a sheet for each gauge, some units written into the answer."""
    fl = [
        make_float("SM-82", 50, 300, 825, pmax=24, tmax=180),
        make_float("SM-99", 50, 260, 992, pmax=24, tmax=180),
        make_float("SM-105", 50, 245, 1052, pmax=16, tmax=140),
    ]
    gs = [
        gauge("LG-5001", "TK-501 Motorin günlük tankı", "Motorin", fl[0], 1.005, 0.1, 25, 2, 60, 1200),
        gauge("LG-5002", "V-502 Kondens tankı", "Kondens", fl[1], water(58, 1.0) / 992, 1.0, 58, 6, 160, 800),
        gauge("LG-5003", "V-503 Glikol genleşme tankı", "Etilen glikol %40", fl[2], 0.99, 1.5, 45, 5, 110, 700),
        gauge("LG-5004", "V-504 Yağlama yağı tankı", "Türbin yağı", fl[0], 1.015, 0.2, 40, 3, 90, 900),
        gauge("LG-5006", "V-506 Proses suyu kabı", "Proses suyu", fl[1], 1.0, 3.2, 35, 10, 90, 1000),
    ]
    add_serials(gs, "26-", 1140, 3)
    for i, g in enumerate(gs):
        g.update(cmat="AISI 316L", tp=round(g["dp"] * 1.5, 2), slev=g["vis"] * [0.25, 0.5, 0.75, 0.5, 0.6][i])
        g["scur"] = loop_current(g)
        check_gauge(g)
    x = by_tag(gs)
    if b.faulty:
        plant_other_serial(b, x["LG-5002"], x["LG-5006"]["gsn"])
        plant_current(b, x["LG-5003"], 0.7)
        plant_magnetic_chamber(b, x["LG-5001"], "St 37-2")
        plant_test_pressure(b, x["LG-5006"], 27.0)
        plant_offset(b, x["LG-5004"])
        plant_reused_serial(b, x["LG-5003"], x["LG-5001"])
    n2 = decimal_comma(rounded(lambda v: v, 2))

    def with_unit(unit: str) -> Any:
        return lambda v: f"{n2(v) if isinstance(v, float) else v} {unit}"

    parts: list[tuple[str, list[Line]]] = [
        (
            "1. EVRAK VE ETİKET KONTROLÜ",
            [
                ("Gösterge seri numarası (plakadan)", "", "gsn", None),
                ("Tasarım basıncı (plakadan)", "bar(g)", "dp", n2),
                ("Tasarım sıcaklığı (plakadan)", "°C", "dt", None),
                ("Hidrostatik test basıncı (sertifikadan)", "", "tp", with_unit("bar(g)")),
                ("Gövde malzemesi (PMI)", "", "cmat", None),
            ],
        ),
        (
            "2. ŞAMANDIRA",
            [
                ("Şamandıra tipi", "", "part", None),
                ("Şamandıra seri no", "", "fsn", None),
                ("Şamandıra üzerinde yazan gösterge seri no", "", "fgsn", None),
                ("Tartılan ağırlık", "", "mass", with_unit("g")),
                ("Dış çap", "mm", "od", None),
                ("Toplam boy", "mm", "L", None),
                ("Uçlar", "", "ends", always("düz")),
                ("Mıknatıs ekseninin alt uçtan yüksekliği", "mm", "mag", n2),
                ("Şamandıra azami basıncı", "bar(g)", "pmax", None),
                ("Şamandıra azami sıcaklığı", "°C", "tmax", None),
            ],
        ),
        (
            "3. PROSES (işletmeden alınan değerler)",
            [
                ("Akışkan", "", "fluid", None),
                ("Akışkan yoğunluğu, işletme sıcaklığında", "kg/m³", "rho", n2),
                ("İşletme basıncı", "bar(g)", "op", n2),
                ("İşletme sıcaklığı", "°C", "ot", None),
            ],
        ),
        (
            "4. MONTAJ VE SİNYAL",
            [
                ("Bağlantı eksenleri arası", "", "cc", with_unit("mm")),
                ("Görünür boy", "mm", "vis", None),
                ("4 mA seviyesi (alt eksenden)", "mm", "lrv", None),
                ("20 mA seviyesi (alt eksenden)", "mm", "urv", None),
                ("Şamandıranın tutulduğu seviye", "mm", "slev", rounded(lambda v: v, 0)),
                ("Bu seviyede okunan akım", "mA", "scur", n2),
            ],
        ),
    ]
    for g in gs:
        ws = b.sheet(g["tag"])
        ws.set_column(1, 1, 46)
        ws.set_column(2, 2, 18)
        ws.merge_range(0, 0, 0, 5, "MANYETİK SEVİYE GÖSTERGESİ - DEVREYE ALMA KONTROL LİSTESİ", b.fmt(bold=True, border=1, align="center"))
        ws.write(1, 0, "Etiket:")
        write_cell(b, ws, 1, 1, g["tag"], g, "tag", bold=True)
        ws.write(2, 0, "Yer:")
        write_cell(b, ws, 2, 1, g["svc"], g, "svc")
        ws.write(1, 3, "Form: KL-07 / rev 4")
        r = 4
        for title, lines in parts:
            ws.merge_range(r, 0, r, 5, title, b.fmt(bold=True, bg_color="#D9D9D9"))
            r += 1
            for c, t in enumerate(["", "Kontrol maddesi", "Bulunan", "Birim", "Uygun", "Açıklama"]):
                ws.write(r, c, t, b.fmt(italic=True, bottom=1))
            r += 1
            for j, (label, unit, name, fn) in enumerate(lines):
                ws.write(r, 0, f"{title[0]}.{j + 1}")
                ws.write(r, 1, label)
                write_cell(b, ws, r, 2, fn(g[name]) if fn else g[name], g, name)
                ws.write(r, 3, unit)
                ws.write(r, 4, "☑")
                r += 1
            ws.write(r, 0, f"{title[0]}.{len(lines) + 1}")
            ws.write(r, 1, "Gözle muayene, hasar yok")
            ws.write(r, 2, "Evet")
            ws.write(r, 4, "☑")
            r += 2
        ws.write(r, 1, "Kontrol eden: E. Saruhanlı          İmza: ..........")
    b.allow("number-as-text")
    finish(b, gs)


@book
def d11_ark_per_beholder(b: Book) -> None:
    """Norwegian: a sheet for each vessel with its design conditions and nozzles, the gauges below them."""
    fl = [
        make_float("FL-101-A", 51, 300, 812, pmax=40, tmax=180),
        make_float("FL-101-B", 51, 255, 1008, pmax=40, tmax=180),
        make_float("FL-101-G", 76, 280, 1012, 815, frac=0.5, pmax=40, tmax=150, svc="interface"),
    ]
    vessels = [
        ("20-VA-001", "Innløpsutskiller", 20.0, 130, 14.0, 62),
        ("20-VA-002", "Testutskiller", 16.0, 130, 9.0, 55),
        ("43-VD-001", "Fakkelutskiller", 7.0, 120, 0.2, 30),
        ("57-TB-003", "Åpen dreneringstank", 1.0, 80, 0.1, 25),
    ]
    rows: list[tuple[str, str, str, Float, float, float, float, dict[str, Any]]] = [
        ("20-LG-1001", "20-VA-001", "Produsert vann", fl[2], 1.0, 400, 900, {"typ": "interface", "upf": "Råolje", "rho_u": 815}),
        ("20-LG-1002", "20-VA-001", "Råolje", fl[0], 815 / 812, 1150, 1000, {"typ": "level"}),
        ("20-LG-1011", "20-VA-002", "Produsert vann", fl[2], 1.004, 300, 700, {"typ": "interface", "upf": "Råolje", "rho_u": 808}),
        ("20-LG-1012", "20-VA-002", "Råolje", fl[0], 808 / 812, 900, 1100, {"typ": "level"}),
        ("43-LG-2001", "43-VD-001", "Kondensat, olje", fl[0], 0.985, 250, 1500, {"typ": "level"}),
        ("57-LG-3001", "57-TB-003", "Drensvann", fl[1], 0.992, 150, 1200, {"typ": "level", "vis": 1150}),
    ]
    of = {v[0]: v for v in vessels}
    gs = [
        gauge(
            tag,
            of[v][1],
            fluid,
            f,
            k,
            of[v][4],
            of[v][5],
            of[v][2],
            of[v][3],
            cc,
            ves=v,
            e0=e0,
            cmat="316L",
            grp="2.3",
            fclass=300 if of[v][2] > 10 else 150,
            **more,
        )
        for tag, v, fluid, f, k, e0, cc, more in rows
    ]
    for g in gs:
        g.setdefault("upf", None)
        g.setdefault("rho_u", None)
        g["x_noz"] = f"K{gs.index(g) * 2 + 5}A/B"
        g["fsvc"] = {"level": "nivå", "interface": "grenseskikt"}[g["f"]["svc"]]
    x = by_tag(gs)
    if b.faulty:
        plant_heavy_upper_liquid(b, x["20-LG-1001"], 940)
        plant_long_range(b, x["20-LG-1012"], 120)
        plant_other_float_service(b, x["20-LG-1011"], "nivå")
        plant_above_design(b, x["57-LG-3001"], "op", 1.4)
        plant_magnetic_chamber(b, x["43-LG-2001"], "A333 Gr.6")
    for v, name, dp, dt, _, _ in vessels:
        ws = b.sheet(v)
        ws.set_column(0, 14, 14)
        mine = [g for g in gs if g["ves"] == v]
        ws.write(0, 0, f"{v}  {name}", b.fmt(bold=True, font_size=14))
        ws.write(1, 0, "Beholderark instrument, utgave 3")
        ws.write(2, 0, "Designtrykk")
        write_cell(b, ws, 2, 1, dp)
        ws.write(2, 2, "barg")
        ws.write(3, 0, "Designtemperatur")
        write_cell(b, ws, 3, 1, dt)
        ws.write(3, 2, "°C")
        for g in mine:
            b.mark(ws, 2, 1, g["tag"], "dp")
            b.mark(ws, 3, 1, g["tag"], "dt")
        ws.write(5, 0, "STUSSER", bold(b))
        for c, t in enumerate(["Merke", "Bruk", "DN", "Klasse", "Høyde over bunn TL, mm"]):
            ws.write(6, c, t, b.fmt(bold=True, border=1))
        r = 7
        fixed = [("K1", "Innløp", 200, 2400), ("K2", "Væskeutløp", 100, -120), ("M1", "Mannhull", 600, 1300)]
        for g in mine:
            k = g["x_noz"][:-3]
            fixed += [(k + "A", g["tag"], 50, g["e0"]), (k + "B", g["tag"], 50, g["e0"] + g["cc"])]
        for mark, use, dn, high in fixed:
            for c, w in enumerate([mark, use, dn, 300 if dp > 10 else 150, high]):
                ws.write(r, c, w)
            r += 1
        ws.write(r + 1, 0, "NIVÅGLASS, MAGNETISKE", bold(b))
        cols = [
            ("Tag", "tag", None),
            ("Stusser", "x_noz", None),
            ("Type måling", "typ", lambda t: {"level": "nivå", "interface": "grenseskikt"}[t]),
            ("Nedre væske", "fluid", None),
            ("Tetthet nedre, ved drift (kg/m³)", "rho", kg_m3()),
            ("Øvre væske", "upf", None),
            ("Tetthet øvre (kg/m³)", "rho_u", kg_m3()),
            ("Driftstrykk (barg)", "op", None),
            ("Driftstemp. (°C)", "ot", None),
            ("S/S stusser (mm)", "cc", None),
            ("Synlig lengde (mm)", "vis", None),
            ("Kammer", "cmat", None),
            ("Flottør", "part", None),
            ("Flottør laget for", "fsvc", None),
        ]
        r = write_list(b, ws, r + 2, 0, cols, mine, border=1)
        ws.write(r + 1, 0, "TL = tangentlinje. S/S = senter til senter.")
    float_sheet(
        b,
        "Flottører",
        fl,
        [
            ("Flottør", "part", None),
            ("Vekt g", "mass", None),
            ("Ø utv. mm", "od", None),
            ("Lengde mm", "L", None),
            ("Ender", "ends", always("flate")),
            ("Magnet over flottørbunn mm", "mag", None),
            ("Maks trykk barg", "pmax", None),
            ("Maks temp °C", "tmax", None),
        ],
    )
    for g in gs:
        count_float_cells(b, g, "mass", "od", "L", "mag", "pmax", "tmax")
    finish(b, gs)


@book
def d13_schede_su_pagine(b: Book) -> None:
    """Italian: a form for each gauge, page below page on one sheet, labels and values in two pairs of columns."""
    fl = [
        make_float("GMT/50-083", 50, 300, 832, pmax=20, tmax=200, ends="elliptical"),
        make_float("GMT/50-097", 50, 265, 968, pmax=20, tmax=200, ends="elliptical"),
        make_float("GMT/50-118", 50, 235, 1180, pmax=12, tmax=120, ends="elliptical"),
    ]
    gs = [
        gauge("LG 310", "S-31 Serbatoio olio diatermico", "Olio diatermico", fl[0], 1.0, 0.8, 150, 4, 190, 1100, fclass=150),
        gauge("LG 311", "S-32 Raccolta condense", "Condensa", fl[1], water(88, 1.1) / 968, 1.1, 88, 5, 165, 700, fclass=150),
        gauge("LG 315", "S-35 Soda diluita", "Soda caustica 17 %", fl[2], 0.995, 0.1, 35, 2.5, 80, 1500, vis=1400, fclass=150),
        gauge("LG 316", "S-36 Gasolio", "Gasolio", fl[0], 1.003, 0.1, 20, 1.5, 60, 1200, fclass=150),
        gauge("LG 319", "S-39 Acque oleose", "Acque oleose", fl[1], 1.02, 0.3, 45, 3, 100, 900, fclass=150),
    ]
    for i, g in enumerate(gs):
        v = g["vis"]
        g.update(cmat="AISI 316L", grp="2.3", tp=round(g["dp"] * 1.5, 2), lsl=round(v * 0.15), lsh=round(v * 0.85), x_pag=i + 1)
        check_gauge(g)
    x = by_tag(gs)
    if b.faulty:
        plant_barely_floating(b, x["LG 319"])
        b.allow("float-data-conflict", "LG 319", "heavier than the other of its part")
        plant_flange_rating(b, x["LG 310"], 13.0)
        x["LG 310"]["tp"] = 19.5
        plant_switch_outside(b, x["LG 315"], "lsh", 70)
        plant_urv_short(b, x["LG 316"], 150)
        plant_magnetic_chamber(b, x["LG 311"], "Fe 360")
        plant_sinking(b, x["LG 316"])
    left: list[Line] = [
        ("Sigla", "", "tag", None),
        ("Servizio", "", "svc", None),
        ("Fluido", "", "fluid", None),
        ("Densità alla temp. di esercizio", "kg/dm³", "rho", decimal_comma(g_cm3(4))),
        ("Pressione di esercizio", "bar rel.", "op", None),
        ("Temperatura di esercizio", "°C", "ot", None),
        ("Pressione di progetto", "bar rel.", "dp", None),
        ("Temperatura di progetto", "°C", "dt", None),
        ("Pressione di prova idraulica", "bar rel.", "tp", None),
        ("Materiale camera", "", "cmat", None),
        ("Flange, classe ASME", "", "fclass", None),
    ]
    right: list[Line] = [
        ("Interasse attacchi", "mm", "cc", None),
        ("Lunghezza visiva", "mm", "vis", None),
        ("Inizio scala trasmettitore", "mm", "lrv", None),
        ("Fondo scala trasmettitore", "mm", "urv", None),
        ("Contatto di minima", "mm", "lsl", None),
        ("Contatto di massima", "mm", "lsh", None),
        ("Galleggiante", "", "part", None),
        ("Peso / diametro / lunghezza gallegg.", "g / mm / mm", "mass od L", lambda g: f"{g['mass']:.1f} / {g['od']} / {g['L']}"),
        ("Fondi galleggiante", "", "ends", always("ellittici")),
        ("Magnete dal fondo del gallegg.", "mm", "mag", None),
        ("Galleggiante: max bar rel. / max °C", "", "pmax tmax", lambda g: f"{g['pmax']} / {g['tmax']}"),
    ]
    ws = b.sheet("Schede")
    ws.set_column(0, 0, 32)
    ws.set_column(4, 4, 36)
    r = 0
    for g in gs:
        ws.merge_range(r, 0, r, 6, "SCHEDA TECNICA INDICATORE DI LIVELLO MAGNETICO", b.fmt(bold=True, border=2, align="center"))
        ws.write(r + 1, 0, "Commessa 31/26")
        ws.write(r + 1, 5, f"Pag. {g['x_pag']} di {len(gs)}")
        r += 3
        for (la, lu, ln, lf), (ra, ru, rn, rf) in zip(left, right, strict=True):
            for c, label, unit, names, fn in ((0, la, lu, ln, lf), (4, ra, ru, rn, rf)):
                ws.write(r, c, label, b.fmt(border=1))
                v = fn(g) if " " in names else fn(g[names]) if fn else g[names]
                write_cell(b, ws, r, c + 1, v, g, names, border=1)
                ws.write(r, c + 2, unit, b.fmt(border=1, font_size=8))
            r += 1
        ws.write(r, 0, 'Note: flangia di sfiato e scarico 1/2" con tappo')
        ws.write(r + 1, 0, "Emesso: uff. strumentazione")
        ws.write(r + 1, 4, "Visto:")
        r += 4
    b.allow("number-as-text")
    finish(b, gs)


@book
def d21_trois_appareils_par_fiche(b: Book) -> None:
    """French: a form with room for three gauges side by side, several of them, the last one not full."""
    fl = [
        make_float("NF 20-078", 50, 305, 782, pmax=40, tmax=220),
        make_float("NF 20-089", 50, 280, 893, pmax=25, tmax=220),
        make_float("NF 20-101", 50, 250, 1014, pmax=25, tmax=160),
    ]
    gs = [
        gauge("NI-701", "Ballon tampon charge R-70", "Gazole léger", fl[0], 1.0, 6.5, 85, 13, 180, 1200, fclass=300),
        gauge("NI-702", "Ballon froid R-71", "Essence lourde", fl[0], 0.985, 12.0, 45, 18, 120, 900, fclass=300),
        gauge("NI-704", "Bac de purges", "Slops", fl[1], 1.0, 0.1, 50, 2, 110, 1500, fclass=150, vis=1450),
        gauge("NI-705", "Pot de garde barrage K-70", "Huile barrage", fl[1], 0.99, 5.5, 60, 11, 120, 400, fclass=150),
        gauge("NI-708", "Ballon eau de lavage", "Eau déminéralisée", fl[2], water(25, 2.0) / 1014, 2.0, 25, 8, 90, 800, fclass=150),
        gauge("NI-709", "Ballon soude épuisée", "Soude épuisée", fl[2], 1.01, 0.6, 40, 5, 90, 1000, fclass=150),
        gauge("NI-711", "Ballon de reflux C-72", "Coupe C9", fl[0], 1.012, 1.8, 95, 7, 170, 700, fclass=150),
    ]
    for g in gs:
        v = g["vis"]
        g.update(cmat="Z2 CND 17-12 (316L)", grp="2.3", lsl=round(v * 0.1), lsh=round(v * 0.9))
        check_gauge(g)
    x = by_tag(gs)
    if b.faulty:
        plant_offset(b, x["NI-702"])
        plant_reversed_range(b, x["NI-708"])
        plant_float_pressure(b, x["NI-709"], 29, ok=["flange-rating-exceeded"])
        plant_above_design(b, x["NI-711"], "ot", 182)
        plant_close_switches(b, x["NI-705"], "lsl", "lsh", 15)
        plant_magnetic_chamber(b, x["NI-704"], "A 42 CP")
    lines: list[Line | str] = [
        "Généralités",
        ("Repère", "", "tag", None),
        ("Implantation", "", "svc", None),
        "Service",
        ("Produit", "", "fluid", None),
        ("Masse volumique à T de marche", "kg/m³", "rho", kg_m3()),
        ("Pression de marche", "MPa rel.", "op", mpag(3)),
        ("Température de marche", "°C", "ot", None),
        ("Pression de calcul", "MPa rel.", "dp", mpag(2)),
        ("Température de calcul", "°C", "dt", None),
        "Corps",
        ("Nuance du tube", "", "cmat", None),
        ("Brides ASME, classe", "", "fclass", None),
        ("Entraxe des piquages", "mm", "cc", None),
        ("Plage visible", "mm", "vis", None),
        "Flotteur",
        ("Modèle", "", "part", None),
        ("Masse", "g", "mass", None),
        ("Diamètre", "mm", "od", None),
        ("Longueur hors tout", "mm", "L", None),
        ("Extrémités", "", "ends", always("plates")),
        ("Aimant / bas du flotteur", "mm", "mag", None),
        ("Tenue en pression", "MPa rel.", "pmax", mpag(2)),
        ("Tenue en température", "°C", "tmax", None),
        "Accessoires",
        ("Transmetteur 4 mA", "mm", "lrv", None),
        ("Transmetteur 20 mA", "mm", "urv", None),
        ("Contact bas", "mm", "lsl", None),
        ("Contact haut", "mm", "lsh", None),
    ]
    for page in range(0, len(gs), 3):
        _three_in_a_form(b, b.sheet(f"Fiche {page // 3 + 1}"), gs[page : page + 3], lines)
    finish(b, gs)


def _three_in_a_form(b: Book, ws: Worksheet, gs: list[Gauge], lines: list[Line | str]) -> None:
    ws.set_column(1, 1, 32)
    ws.set_column(3, 5, 22)
    ws.merge_range(0, 0, 0, 5, "FICHE DE SPÉCIFICATION - INDICATEURS DE NIVEAU À FLOTTEUR MAGNÉTIQUE", b.fmt(bold=True, border=1, align="center"))
    ws.write(1, 0, "Unité 70")
    ws.write(1, 5, "Rév. 1")
    for c in range(3):
        ws.write(2, 3 + c, f"Appareil {c + 1}", b.fmt(italic=True, align="center"))
    r, n = 3, 0
    for line in lines:
        if isinstance(line, str):
            ws.merge_range(r, 0, r, 5, line, b.fmt(bold=True, bg_color="#E2EFDA", border=1))
        else:
            label, unit, name, fn = line
            n += 1
            ws.write(r, 0, n, b.fmt(border=1))
            ws.write(r, 1, label, b.fmt(border=1))
            ws.write(r, 2, unit, b.fmt(border=1))
            for c in range(3):
                if c < len(gs):
                    v = gs[c][name]
                    write_cell(b, ws, r, 3 + c, fn(v) if fn else v, gs[c], name, border=1)
                else:
                    ws.write(r, 3 + c, "-" if n == 1 else "", b.fmt(border=1))
        r += 1
    ws.write(r + 1, 0, "Rév. 1 : mise à jour après réunion du 6 mars")
