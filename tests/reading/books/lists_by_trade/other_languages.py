"""Lists in Spanish, Italian and Portuguese."""

from __future__ import annotations

from typing import Any

from tests.reading.books.lists_by_trade.common import (
    finish,
    heading_rows,
    plant_clear_offset,
    plant_duplicate_tag,
    plant_other_serial,
    plant_reversed_densities,
    plant_weak_flange,
    shown_tag,
    simple_sheet,
    words_or,
    write_lines,
    write_rows,
)
from tests.reading.faults import plant_float_pressure, plant_float_temperature, plant_long_range, plant_magnetic_chamber
from tests.reading.gauges import add_serials, by_tag, check_gauge, gauge, make_float
from tests.reading.physics import collapse_pressure
from tests.reading.registry import book
from tests.reading.units import decimal_comma, degF, degF_by_5, g_cm3, inch, kgf_cm2, lb_ft3, psig, psig_by_5, sg60, unchanged
from tests.reading.writing import Book, Gauge, count_float_cells, float_sheet


@book
def j18_lista_proceso(b: Book) -> None:
    """Spanish: process engineer in Latin America, mixed units, three heading rows."""
    A = make_float("FLT-074", 50.8, 320, 745, 3, pmax=31, tmax=204)
    B_ = make_float("FLT-084", 50.8, 290, 840, 3, pmax=31, tmax=204)
    D = make_float("FLT-099", 50.8, 260, 985, 2, pmax=20.7, tmax=177)
    E_ = make_float("FLT-052", 50.8, 330, 525, 24, pmax=41.4, tmax=121)
    mk = [
        ("20-LG-201", "Separador de prueba D-201", "Crudo mediano", B_, 1.0, 8.0, 50, 17, 93, 1371.6, 150, 5.0, 33.5),
        ("20-LG-202", "Tratador D-202", "Crudo mediano", B_, 0.985, 3.4, 80, 6.9, 121, 1524, 150, 3.0, 36.0),
        ("20-LG-203", "Depurador de gas combustible D-203", "Condensado de gas", A, 0.99, 5.5, 40, 10, 93, 914.4, 150, 6.0, 55.8),
        ("20-LG-204", "Tambor de reflujo D-204", "Gasolina natural", A, 0.988, 4.8, 45, 12, 121, 1066.8, 150, 9.5, 58.0),
        ("20-LG-205", "Tambor de agua producida D-205", "Agua producida", D, 1.01, 2.5, 60, 6.9, 121, 1828.8, 150, 2.0, None),
        ("21-LG-206", "Acumulador de GLP D-206", "Mezcla C3/C4", E_, 1.0, 12, 38, 20.7, 93, 1371.6, 300, 26, None),
        ("21-LG-207", "Tambor de tea D-207", "Slop", A, 1.02, 0.15, 35, 3.4, 93, 1219.2, 150, 2.0, 52.0),
        ("21-LG-208", "Regenerador de glicol D-208", "Agua aceitosa", D, 0.99, 0.3, 70, 3.4, 121, 609.6, 150, 1.0, None),
    ]
    gs = []
    for i, (t, s, flu, f, k, op, ot, dp, dt, cc, cl, ru, ap) in enumerate(mk):
        if t == "20-LG-201":
            cl = 300
        g = gauge(t, s, flu, f, k, op, ot, dp, dt, cc, rho_u=ru, fclass=cl, grp="2.3")
        g.update(
            rho_min=round(g["rho"] * 0.988, 1),
            rho_max=round(g["rho"] * 1.01, 1),
            op_max=round(op * 1.12, 2),
            ot_max=ot + 10,
            cmat="A-312 TP316L",
            tp=round(dp * 1.3, 1),
            x_api=ap,
            x_elb=2500 + 200 * i,
            x_psv=dp,
            x_rev="B",
            x_pid=f"P-20-{110 + i // 3}",
        )
        gs.append(g)
        check_gauge(g)
    x = by_tag(gs)
    x["21-LG-207"]["_rho_u"] = "desp."
    x["20-LG-202"]["rem"] = "Espuma en arranque"
    x["21-LG-208"]["rem"] = "Por confirmar con paquete"
    x["20-LG-203"]["x_pid"] = "P-20-110"
    oth = [
        {
            "tag": "20-LT-202",
            "type": "Desplazador",
            "svc": "Tratador D-202",
            "fluid": "Crudo mediano",
            "rho": 827,
            "op": 3.4,
            "ot": 80,
            "dp": 6.9,
            "dt": 121,
            "x_rev": "B",
            "rem": "Ver hoja 20-HD-031",
        },
        {
            "tag": "20-LG-209",
            "type": "Visor de vidrio",
            "svc": "Bota de agua D-201",
            "fluid": "Agua producida",
            "rho": 990,
            "op": 8,
            "ot": 50,
            "dp": 17,
            "dt": 93,
            "cc": 508,
            "x_rev": "B",
            "cmat": "A-105",
        },
    ]
    for g in gs:
        g["type"] = "Magnético"
    if b.faulty:
        plant_clear_offset(b, x["20-LG-202"], ends=False)
        plant_reversed_densities(b, x["20-LG-204"])
        plant_float_pressure(b, x["20-LG-205"], v=24.1, ok=["flange-rating-exceeded"])
        plant_weak_flange(b, x["20-LG-203"], 17.9)
        x["20-LG-203"]["x_psv"] = 17.9
        x["20-LG-203"]["tp"] = 23.3
        plant_long_range(b, x["21-LG-207"], 152.4)
        g = x["21-LG-206"]
        g["op_max"] = 23.1
        b.fault("operating-exceeds-design", g["tag"], ["op_max", "dp"], "max. 335 > 300 psig")
        x["20-LG-205"]["fclass"] = 300
        x["20-LG-202"]["x_api"] = 15.5
    ws = b.sheet("NIVELES")
    write_lines(
        b, ws, 0, 0, ["ESTACION CENTRAL LOS ZARAPITOS", "LISTA DE INSTRUMENTOS DE NIVEL - DATOS DE PROCESO", "Rev. B  Emitido para comentarios"], bold=True
    )
    Pr = "Condiciones de proceso"
    Di = "Diseño"
    Me = "Instalación"
    Fo = "Flotador"

    def vapour(g: Gauge) -> Any:
        return g["_rho_u"] if "_rho_u" in g else lb_ft3(3)(g.get("rho_u"))

    cols = [
        ("Rev.", "x_rev", None),
        ("P&ID", "x_pid", None),
        ("TAG", "tag", None),
        ("Tipo", "type", None),
        ("Servicio", "svc", None),
        ((Pr, "Fluido", ""), "fluid", None),
        ((Pr, "°API", "a 60 °F"), "x_api", None),
        ((Pr, "Gravedad esp. a T oper.", "mín."), "rho_min", sg60(3)),
        ((Pr, "Gravedad esp. a T oper.", "nor."), "rho", sg60(3)),
        ((Pr, "Gravedad esp. a T oper.", "máx."), "rho_max", sg60(3)),
        ((Pr, "Dens. del gas", "lb/pie³"), "*rho_u", vapour),
        ((Pr, "Presión (psig)", "nor."), "op", psig()),
        ((Pr, "Presión (psig)", "máx."), "op_max", psig()),
        ((Pr, "Temperatura (°F)", "nor."), "ot", degF()),
        ((Pr, "Temperatura (°F)", "máx."), "ot_max", degF()),
        ((Di, "Presión", "psig"), "dp", psig_by_5),
        ((Di, "Temp.", "°F"), "dt", degF_by_5),
        ((Di, "PSV", "psig"), "x_psv", psig_by_5),
        ((Di, "Prueba hidrost.", "psig"), "tp", psig_by_5),
        ((Me, "Distancia C-C", "pulg."), "cc", inch(1)),
        ((Me, "Long. visible", "pulg."), "vis", inch(1)),
        ((Me, "Elev. boquilla inf.", "mm"), "x_elb", None),
        ((Me, "Cámara", ""), "cmat", None),
        ((Me, "Brida", "ANSI"), "fclass", lambda v: v and f"{v}#"),
        ((Fo, "Código", ""), "part", None),
        ((Fo, "Peso", "g"), "mass", None),
        ((Fo, "Diám.", "pulg."), "od", inch(2)),
        ((Fo, "Largo", "mm"), "L", None),
        ((Fo, "Imán desde fondo", "mm"), "mag", None),
        ((Fo, "P máx.", "psig"), "pmax", psig_by_5),
        ((Fo, "T máx.", "°F"), "tmax", degF_by_5),
        ("Notas", "rem", None),
    ]
    r = heading_rows(b, ws, 4, 0, cols, merge=True)
    r = write_rows(b, ws, r, 0, cols, gs[:2])
    r = write_rows(b, ws, r, 0, cols, oth[:1])
    r = write_rows(b, ws, r, 0, cols, gs[2:5])
    r = write_rows(b, ws, r, 0, cols, oth[1:])
    r = write_rows(b, ws, r, 0, cols, gs[5:], {"21-LG-206": ("AREA 21 - GLP Y TEA",)})
    ws.write(r + 1, 2, "desp. = despreciable")
    b.allow("number-as-text")
    finish(b, gs)


@book
def j19_distinta_skid(b: Book) -> None:
    """Italian: skid builder, list of gauges with their floats."""
    w: dict[str, Any] = {"ends": "hemispherical", "wall": 1.2, "mat": "Titanio Gr. 2"}
    A = make_float("G50/83", 50, 310, 830, pmax=20, tmax=200, **w)
    B_ = make_float("G50/100", 50, 270, 1000, pmax=25, tmax=180, **w)
    D = make_float("G50/74", 50, 330, 740, pmax=20, tmax=200, **w)
    mk = [
        ("LG-701", "Serbatoio olio di lubrificazione", "Olio lubrificante ISO VG 32", A, 1.01, 0.05, 55, 2, 100, 900, 11),
        ("LG-702", "Serbatoio olio di tenuta", "Olio di tenuta", A, 1.0, 0.05, 60, 2, 100, 600, 9),
        ("LG-703", "Separatore gas/condensato", "Condensato di gas", D, 0.99, 6, 40, 8, 100, 1200, 0.5),
        ("LG-704", "Polmone glicole", "Acqua/glicole 30 %", B_, 1.015, 1.0, 70, 5, 120, 1000, 1.1),
        ("LG-705", "Serbatoio drenaggi", "Drenaggi oleosi", A, 0.985, 0.1, 40, 3.5, 100, 800, 4),
        ("LG-706", "Scrubber combustibile", "Condensato di gas", D, 1.01, 5.2, 35, 8, 100, 700, 0.5),
        ("LG-707", "Acqua demi caldaia pilota", "Acqua demineralizzata", B_, 0.983, 0.6, 60, 4, 120, 500, 0.5),
    ]
    gs = []
    for i, (t, s, flu, f, k, op, ot, dp, dt, cc, mu) in enumerate(mk):
        g = gauge(t, s, flu, f, k, op, ot, dp, dt, cc, vis=cc - 20, mu=mu, bore=62.7)
        g.update(
            cmat="AISI 316L",
            tp=round(dp * 1.5, 1),
            x_qt=1,
            x_kg=19 + i,
            x_box=f"{1 + i // 3}",
            x_price=1890 + 40 * i,
            fclass='1" 300 RF',
            x_part_no=f"10-{700 + i}",
            szero=0,
        )
        gs.append(g)
        check_gauge(g)
    add_serials(gs, "A24/", 131)
    x = by_tag(gs)
    x["LG-702"]["rem"] = "Scala inox incisa"
    x["LG-707"]["_dp"] = "4 / VP"
    x["LG-705"]["_pmax"] = "da confermare"
    if b.faulty:
        plant_clear_offset(b, x["LG-705"], vap=False)
        plant_float_temperature(b, x["LG-706"], v=220)
        g = x["LG-703"]
        g["wall"] = 0.5
        c = collapse_pressure(dict(g["f"], wall=0.5)) / 3
        assert c < 0.4 * g["dp"]
        b.fault("float-collapses", g["tag"], ["wall", "dp", "od", "part"], f"collapse/3 {c:.1f} bar < {g['dp']} barg", ok=["float-data-conflict"])
        g = x["LG-702"]
        g["bore"] = 49.3
        b.fault("float-wider-than-chamber", g["tag"], ["bore", "od"], "float 50 mm, bore 49.3 mm", ok=["float-lags"])
        g = x["LG-704"]
        g["mag"] = 296
        b.fault(
            "float-data-impossible", g["tag"], ["mag", "L"], "magnet at 296 mm in a float of 270 mm", ok=["float-data-conflict", "offset-exceeds-tolerance"]
        )
        plant_magnetic_chamber(b, x["LG-701"], "ASTM A106 Gr. B")
        plant_other_serial(b, x["LG-707"], x["LG-706"]["gsn"])
    ws = b.sheet("Distinta")
    write_lines(b, ws, 0, 0, ["DISTINTA INDICATORI DI LIVELLO MAGNETICI", "Commessa 24-0881 / Skid ausiliari turbina"], bold=True)
    Es = "Esercizio"
    Pg = "Progetto"
    Co = "Colonna"
    Ga = "Galleggiante"
    cols = [
        ("Pos.", "*x_n", lambda g: 10 * (gs.index(g) + 1)),
        ("Codice interno", "x_part_no", None),
        ("Sigla", "tag", None),
        ("Q.tà", "x_qt", None),
        ("Servizio", "svc", None),
        ("Fluido", "fluid", None),
        ((Es, "Peso spec. kg/dm³"), "rho", decimal_comma(g_cm3(3))),
        ((Es, "Visc. cP"), "mu", decimal_comma(unchanged)),
        ((Es, "Press. bar(g)"), "op", decimal_comma(unchanged)),
        ((Es, "Temp. °C"), "ot", None),
        ((Pg, "Press. bar(g)"), "*dp", lambda g: g.get("_dp") or decimal_comma(unchanged)(g["dp"])),
        ((Pg, "Temp. °C"), "dt", None),
        ("Press. collaudo bar(g)", "tp", decimal_comma(unchanged)),
        ((Co, "Matricola"), "gsn", None),
        ((Co, "Materiale"), "cmat", None),
        ((Co, "Ø interno mm"), "bore", decimal_comma(unchanged)),
        ((Co, "Attacchi"), "fclass", None),
        ((Co, "Interasse mm"), "cc", None),
        ((Co, "Lettura mm"), "vis", None),
        ((Co, "Zero scala sopra attacco inf. mm"), "szero", None),
        ((Ga, "Tipo"), "part", None),
        ((Ga, "Matricola"), "fsn", None),
        ((Ga, "Per colonna matr."), "fgsn", None),
        ((Ga, "Massa g"), "mass", decimal_comma(unchanged)),
        ((Ga, "Ø mm"), "od", None),
        ((Ga, "Spess. mm"), "wall", decimal_comma(unchanged)),
        ((Ga, "Lungh. totale mm"), "L", None),
        ((Ga, "Fondi"), "ends", lambda v: "emisferici"),
        ((Ga, "Materiale"), "ffmat", None),
        ((Ga, "Magnete dal fondo mm"), "mag", decimal_comma(unchanged)),
        ((Ga, "P max bar(g)"), "*pmax", words_or("pmax", None)),
        ((Ga, "T max °C"), "tmax", None),
        ("Peso netto kg", "x_kg", None),
        ("Cassa n.", "x_box", None),
        ("Prezzo €", "x_price", None),
        ("Note", "rem", None),
    ]
    r = heading_rows(b, ws, 3, 0, cols, merge=True, down=True)
    r = write_rows(b, ws, r, 0, cols, gs)
    ws.write(r, 2, "TOTALE")
    ws.write(r, 3, len(gs))
    ws.write_formula(r, 32, f"=SUM(AG6:AG{r})", None, sum(g["x_kg"] for g in gs))
    ws.write_formula(r, 34, f"=SUM(AI6:AI{r})", None, sum(g["x_price"] for g in gs))
    simple_sheet(
        b, "Ricambi", ["Codice", "Descrizione", "Q.tà", "Prezzo €"], [("G50/83", "Galleggiante di ricambio", 1, 310), ("GUA-01", "Serie guarnizioni", 7, 18)]
    )
    b.allow("number-as-text")
    finish(b, gs)


@book
def j20_terminal_tanques(b: Book) -> None:
    """Portuguese: operator of a fuel and ethanol terminal."""
    A = make_float("BM-074", 50, 320, 740, pmax=10, tmax=110)
    B_ = make_float("BM-080", 50, 300, 800, pmax=10, tmax=110)
    D = make_float("BM-085", 50, 290, 850, pmax=10, tmax=110)
    E_ = make_float("BM-054", 60, 360, 540, 12, pmax=25, tmax=90)
    F_ = make_float("BM-099", 50, 255, 990, pmax=10, tmax=110)
    mk = [
        ("LG-1001", "TQ-01", "Gasolina A", A, 0.99, 28, 741, 2600, 0.02),
        ("LG-1002", "TQ-02", "Gasolina A", A, 0.99, 28, 741, 2600, 0.02),
        ("LG-1003", "TQ-03", "Diesel S10", D, 0.975, 30, 838, 2600, 0.02),
        ("LG-1004", "TQ-04", "Biodiesel B100", D, 1.025, 32, 880, 1800, 0.02),
        ("LG-1005", "TQ-05", "Etanol hidratado", B_, 1.0, 30, 808.5, 2400, 0.02),
        ("LG-1006", "TQ-06", "Água de incêndio", F_, 1.006, 25, 998.2, 3000, 0.0),
        ("LG-1007", "ES-07", "GLP", E_, 1.0, 30, 552, 2000, 8.5),
        ("LG-1008", "CX-08", "Resíduo oleoso", D, 1.0, 35, 862, 1200, 0.01),
    ]
    gs = []
    for i, (t, v, flu, f, k, ot, r20, cc, op) in enumerate(mk):
        g = gauge(t, v, flu, f, k, op, ot, 17.2 if op > 1 else 0.3, 60 if op > 1 else 80, cc, rho_u=16 if op > 1 else None)
        g.update(
            ot_min=10,
            ot_max=ot + 12,
            x_rho20=r20,
            cmat="Inox 316L",
            fclass="300 lbs FR" if op > 1 else "150 lbs FR",
            tp=22.4 if op > 1 else 0.6,
            lsll=round(cc * 0.05),
            lsl=round(cc * 0.12),
            lsh=round(cc * 0.88),
            lshh=round(cc * 0.95),
            x_cap=[5000, 5000, 10000, 2000, 5000, 3000, 1000, 40][i],
            x_h=[12.2, 12.2, 14.6, 9.7, 12.2, 11.0, 9.0, 2.4][i],
            x_nmax=[11.4, 11.4, 13.9, 9.1, 11.5, 10.4, 7.6, 2.1][i],
            x_vaz=[300, 300, 400, 120, 200, 250, 60, 5][i],
            x_bacia="B1" if i < 4 else "B2",
            x_calib="out",
        )
        check_gauge(g)
        gs.append(g)
    add_serials(gs, "MN", 204)
    x = by_tag(gs)
    x["LG-1008"].update(lsll=None, lshh=None, _lsll="não há", _lshh="não há")
    x["LG-1006"]["rem"] = "Sem alarme no supervisório"
    x["LG-1004"]["_ot_min"] = "amb."
    if b.faulty:
        plant_clear_offset(b, x["LG-1008"], ends=False, vap=False)
        x["LG-1008"]["x_rho20"] = x["LG-1008"]["rho"] + 11
        g = x["LG-1005"]
        g["lshh"] = 2490
        b.fault("switch-outside-range", g["tag"], ["lshh"], "2490 > 2400 mm")
        g = x["LG-1004"]
        g["lsl"], g["lsh"] = g["lsh"], g["lsl"]
        b.fault("switch-order", g["tag"], ["lsl", "lsh"], "low above high")
        g = x["LG-1003"]
        g["ot_max"] = 88
        b.fault("operating-exceeds-design", g["tag"], ["ot_max", "dt"], "max. 88 > design 80 degC")
        plant_magnetic_chamber(b, x["LG-1001"], "Aço carbono ASTM A-53 Gr. B")
        plant_duplicate_tag(b, x["LG-1002"], x["LG-1001"])
        plant_long_range(b, x["LG-1006"], 200)
        x["LG-1006"]["lsh"], x["LG-1006"]["lshh"] = 2640, 2850
    ws = b.sheet("Visores magnéticos")
    write_lines(b, ws, 0, 0, ["TERMINAL PONTA DAS GARÇAS", "CADASTRO DE INDICADORES DE NÍVEL MAGNÉTICOS (câmara lateral)", "Pressões manométricas"], bold=True)
    T = "Tanque"
    P = "Produto"
    Op = "Operação"
    J = "Projeto"
    V = "Visor"
    S = "Chaves (mm acima da conexão inferior)"
    B2 = "Boia"
    cols = [
        ("Item", "*x_n", lambda g: gs.index(g) + 1),
        ("TAG", "*tag", shown_tag),
        ((T, "Nº"), "*x_tank", lambda g: g["svc"]),
        ((T, "Bacia"), "x_bacia", None),
        ((T, "Capac. m³"), "x_cap", None),
        ((T, "Altura m"), "x_h", None),
        ((T, "Nível máx. operacional m"), "x_nmax", None),
        ((T, "Vazão máx. m³/h"), "x_vaz", None),
        ((P, "Nome"), "fluid", None),
        ((P, "Massa esp. a 20 °C kg/m³"), "x_rho20", decimal_comma(unchanged)),
        ((P, "Massa esp. na temp. de operação kg/m³"), "rho", decimal_comma(unchanged)),
        ((P, "Massa esp. do vapor kg/m³"), "rho_u", None),
        ((Op, "Pressão kgf/cm² man."), "op", decimal_comma(kgf_cm2(2))),
        ((Op, "Temp. mín. °C"), "*ot_min", words_or("ot_min", None)),
        ((Op, "Temp. normal °C"), "ot", None),
        ((Op, "Temp. máx. °C"), "ot_max", None),
        ((J, "Pressão kgf/cm² man."), "dp", decimal_comma(kgf_cm2(2))),
        ((J, "Temp. °C"), "dt", None),
        ((J, "Teste hidrost. kgf/cm² man."), "tp", decimal_comma(kgf_cm2(2))),
        ((V, "Nº de série"), "gsn", None),
        ((V, "Dist. entre centros mm"), "cc", None),
        ((V, "Faixa visível mm"), "vis", None),
        ((V, "Mat. câmara"), "cmat", None),
        ((V, "Flanges"), "fclass", None),
        ((S, "Muito alto"), "*lshh", words_or("lshh", None)),
        ((S, "Alto"), "lsh", None),
        ((S, "Baixo"), "lsl", None),
        ((S, "Muito baixo"), "*lsll", words_or("lsll", None)),
        ((B2, "Modelo"), "part", None),
        ((B2, "Nº de série"), "fsn", None),
        ("Última calibração", "x_calib", None),
        ("Obs.", "rem", None),
    ]
    r = heading_rows(b, ws, 4, 0, cols, merge=True, at="bottom")
    write_rows(b, ws, r, 0, cols, gs)
    float_sheet(
        b,
        "Boias",
        [A, B_, D, E_, F_],
        [
            ("Modelo", "part", None),
            ("Massa (g)", "mass", decimal_comma(unchanged)),
            ("Diâmetro (mm)", "od", None),
            ("Comprimento (mm)", "L", None),
            ("Altura do ímã (mm)", "mag", decimal_comma(unchanged)),
            ("Massa esp. de projeto (kg/m³)", "drho", None),
            ("Pressão máx. (kgf/cm² man.)", "pmax", decimal_comma(kgf_cm2(1))),
            ("Temp. máx. (°C)", "tmax", None),
            ("Estoque mín.", "*x_min", lambda f: 1),
            ("Estoque máx.", "*x_max", lambda f: 3),
        ],
        title="BOIAS - dados do fabricante",
    )
    for g in gs:
        count_float_cells(b, g, "mass", "mag", "pmax", "tmax", "drho")
    b.allow("number-as-text")
    finish(b, gs)
