"""Lists from Italy."""

from __future__ import annotations

from tests.reading.books.lists_european.common import (
    always,
    density_at,
    end_shape_in,
    finish,
    in_unit_of_row,
    other_instrument,
    plant_clear_offset,
    plant_conflict_with_float_list,
    plant_hot_tracing,
    plant_no_tracing,
    plant_over_design,
    plant_reversed_densities,
    plant_shifted_zero,
    plant_thin_shell,
    plant_viscous_untraced,
    plant_weak_tracer,
    prepare,
    show,
    stated,
    titanium_in,
    write_float_list,
    write_list,
)
from tests.reading.faults import (
    plant_flange_rating,
    plant_float_pressure,
    plant_float_temperature,
    plant_long_range,
    plant_magnetic_chamber,
    plant_sinking,
    plant_test_pressure,
    plant_unlisted_float,
    plant_urv_short,
)
from tests.reading.gauges import by_tag, gauge, make_float
from tests.reading.registry import book
from tests.reading.units import Converter, barg, decimal_comma, g_cm3, gram, mbarg, mm
from tests.reading.writing import Book


@book
def u18_elenco_strumenti(b: Book) -> None:
    """Elenco strumenti, refinery: groups not merged, 'c.s.' for as above, other instruments between."""
    fl = [
        make_float("G-075", 50, 320, 750, pmax=40, tmax=220),
        make_float("G-085", 50, 280, 850, pmax=40, tmax=220),
        make_float("G-099", 50, 250, 992, pmax=40, tmax=180),
        make_float("G-066", 50, 350, 660, pmax=40, tmax=180),
    ]
    gs = [
        gauge("12-LG-1001", "Accumulatore di carica", "Virgin nafta", fl[0], 0.99, 3.0, 45, 7, 120, 1400, fclass=150),
        gauge("12-LG-1002A", "Accumulatore di riflusso", "GPL / nafta leggera", fl[3], 0.99, 7.0, 45, 11, 120, 1000, fclass=300),
        gauge("12-LG-1002B", "Accumulatore di riflusso", "GPL / nafta leggera", fl[3], 0.99, 7.0, 45, 11, 120, 1000, fclass=300),
        gauge("12-LG-1003", "Fondo colonna", "Gasolio", fl[1], 0.99, 4.0, 130, 8, 180, 900, fclass=150),
        gauge("12-LG-1004", "Separatore acque acide", "Acque acide", fl[2], 0.99, 1.5, 50, 5, 120, 800, fclass=150),
        gauge("12-LG-1005", "Serbatoio slop", "Slop", fl[1], 1.005, 0.2, 40, 3.5, 120, 1500, fclass=150),
        gauge("12-LG-1006", "K.O. drum torcia", "Condense idrocarburi", fl[0], 1.01, 0.1, 40, 5, 120, 1200, fclass=150),
        gauge("12-LG-1007", "Accumulatore gasolio", "Gasolio", fl[1], 1.0, 2.0, 60, 6, 120, 1100, fclass=150),
    ]
    prepare(gs, 1.5, mm=0.008, cmat="ASTM A312 TP316L", grp="2.3", inst="Livello magnetico")
    for i, g in enumerate(gs):
        g.update(x_pid=f"12-PI-{20 + i // 2}", x_vessel_id=f"V-{g['tag'][6:10]}", x_line="PN 50", x_rev=0)
    x = by_tag(gs)
    for n in ("svc", "fluid", "op", "ot", "dp", "dt"):
        show(x["12-LG-1002B"], **{n: "c.s."})
    show(x["12-LG-1005"], dt="da definire")
    if b.faulty:
        plant_clear_offset(b, x["12-LG-1001"], 1.14)
        plant_sinking(b, x["12-LG-1006"])
        plant_flange_rating(b, x["12-LG-1004"], 17.5)
        x["12-LG-1004"]["tp"] = 26.3
        plant_float_temperature(b, x["12-LG-1003"], v=235)
        plant_magnetic_chamber(b, x["12-LG-1005"], "P265GH (ex Fe 410)")
        plant_long_range(b, x["12-LG-1002A"], 120)
        plant_unlisted_float(b, x["12-LG-1007"], "G-0850")
        plant_reversed_densities(b, x["12-LG-1002B"])
    ws = b.sheet("Elenco")
    ws.write(0, 0, "ELENCO STRUMENTI", b.fmt(bold=True, font_size=14))
    ws.write(1, 0, "Impianto: Topping 2 - Raffineria di Porto Cardo")
    ws.write(1, 6, "Doc. n. 12-ES-001 rev. 0")
    cols = [
        ("Pos.", "x_item", None),
        ("Sigla", "tag", None),
        ("Tipo", "inst", None),
        ("N° P&I", "x_pid", None),
        ("Apparecchio", "x_vessel_id", None),
        ("Servizio", "svc", None),
        ("Fluido", "fluid", None),
        (("Peso specifico [kg/m³]", "a 15 °C"), "*r15", density_at()),
        (("Peso specifico [kg/m³]", "min. es."), "rho_min", None),
        (("Peso specifico [kg/m³]", "norm. es."), "rho", None),
        (("Peso specifico [kg/m³]", "max. es."), "rho_max", None),
        (("Condizioni d'esercizio", "P [bar g]"), "op", barg(1)),
        (("Condizioni d'esercizio", "T [°C]"), "ot", None),
        (("Condizioni di progetto", "P [bar g]"), "dp", barg(1)),
        (("Condizioni di progetto", "T [°C]"), "dt", None),
        (("P. prova idr.", "[bar g]"), "tp", barg(1)),
        (("Interasse", "[mm]"), "cc", None),
        (("Campo visivo", "[mm]"), "vis", None),
        (("Materiale", "camera"), "cmat", None),
        (("Attacchi", "DN"), "*x_dn", always('1"')),
        (("Attacchi", "Classe ASME"), "fclass", None),
        (("Linea", "PN"), "x_line", None),
        (("Galleggiante", "tipo"), "part", None),
        (("Rev.", ""), "x_rev", None),
        ("Note", "rem", None),
    ]
    rows = [
        *gs[:3],
        other_instrument(
            x_item=20, tag="12-PI-1002", inst="Manometro", svc="Accumulatore di riflusso", fluid="GPL / nafta leggera", op=7, ot=45, dp=11, dt=120
        ),
        *gs[3:4],
        other_instrument(x_item=21, tag="12-TI-1003", inst="Termometro", svc="Fondo colonna", fluid="Gasolio", op=4, ot=130, dp=8, dt=180),
        other_instrument(x_item=22, tag="12-FV-1003", inst="Valvola di regolazione", svc="Fondo colonna", fluid="Gasolio", op=5, ot=130, dp=8, dt=180),
        None,
        *gs[4:],
        other_instrument(x_item=23, tag="12-LT-1010", inst="Radar", svc="Serbatoio slop", fluid="Slop", op=0.0, ot=40, dp=0.1, dt=80),
    ]
    r = write_list(b, ws, 3, cols, rows, merge="")
    ws.write(r + 1, 1, "Totale strumenti: 12")
    write_float_list(
        b,
        "Galleggianti",
        fl,
        [
            ("Tipo", "part", None),
            ("Peso [g]", "mass", None),
            ("Ø esterno [mm]", "od", None),
            ("Lunghezza [mm]", "L", None),
            ("Altezza magnete dal fondo [mm]", "mag", None),
            ("Fondi", "ends", end_shape_in("it")),
            ("Peso spec. di progetto [kg/m³]", "drho", None),
            ("P max [bar g]", "pmax", None),
            ("T max [°C]", "tmax", None),
            ("Materiale", "fmat", titanium_in("it")),
        ],
        gs,
    )
    finish(b, gs)


@book
def u19_foglio_dati_farma(b: Book) -> None:
    """Foglio dati riepilogativo, pharma: unit column after every value, wall of the float, round ends, transmitter."""
    fl = [
        make_float("GF-079", 45, 280, 790, ends="hemispherical", pmax=16, tmax=150, wall=0.8),
        make_float("GF-100", 45, 230, 985, ends="hemispherical", pmax=16, tmax=150, wall=0.8),
        make_float("GF-088", 45, 260, 880, ends="elliptical", pmax=16, tmax=150, wall=0.8),
        make_float("GF-115", 45, 220, 1150, ends="hemispherical", pmax=16, tmax=120, wall=0.8),
    ]
    gs = [
        gauge("LG-R101", "Dosatore solvente", "Miscela solventi M3", fl[0], 1.0, 0.2, 25, 3, 90, 800, u_p="mbar rel."),
        gauge("LG-R102", "Serbatoio acque madri", "Acque madri", fl[1], 1.0, 0.5, 40, 3, 90, 1000, u_p="bar rel."),
        gauge("LG-R103", "Decantatore organico", "Fase organica T", fl[2], 0.99, 1.0, 60, 4, 120, 700, u_p="bar rel."),
        gauge("LG-R104", "Soda di lavaggio CIP", "Soda caustica 14 %", fl[3], 0.995, 0.1, 50, 3, 95, 600, u_p="mbar rel."),
        gauge("LG-R105", "Ricevitore distillato", "Miscela solventi M3", fl[0], 0.99, -0.5, 35, 4, 120, 900, u_p="mbar rel."),
        gauge("LG-R106", "Accumulo acque di lavaggio", "Acque di lavaggio", fl[1], 1.005, 0.3, 30, 3, 90, 1200, u_p="bar rel."),
        gauge("LG-R107", "Accumulo fase organica", "Fase organica T", fl[2], 1.0, 0.5, 40, 4, 120, 1100, u_p="bar rel."),
    ]
    prepare(gs, cmat="X2CrNiMo17-12-2")
    x = by_tag(gs)
    if b.faulty:
        plant_thin_shell(b, x["LG-R103"], 0.25)
        g = x["LG-R102"]
        g["mag"] = 262.0
        b.fault("float-data-impossible", g["tag"], ["mag", "L"], f"magnet at 262 mm of a float of {g['L']} mm", ok=["offset-exceeds-tolerance"])
        plant_clear_offset(b, x["LG-R101"], 1.18)
        plant_float_pressure(b, x["LG-R104"], v=18.0, ok=["float-collapses"])
        plant_over_design(b, x["LG-R105"], "ot", 130)
        plant_urv_short(b, x["LG-R106"], 150)
        plant_long_range(b, x["LG-R107"], 90)
    pres = {"bar rel.": decimal_comma(barg(2)), "mbar rel.": decimal_comma(mbarg(0))}

    def unit(text: str) -> tuple[str, str, Converter]:
        return ("Unità", f"*x_unit_{text}", always(text))

    ws = b.sheet("Riepilogo")
    ws.write(0, 0, "FOGLIO DATI - RIEPILOGO LIVELLI MAGNETICI (reparto sintesi)", b.fmt(bold=True))
    cols = [
        ("Sigla", "tag", None),
        ("Descrizione", "svc", None),
        ("Fluido", "fluid", None),
        ("Densità d'esercizio", "rho", decimal_comma(g_cm3(3))),
        unit("kg/dm³"),
        ("Press. esercizio", "*op", in_unit_of_row("op", "u_p", pres)),
        ("Unità", "*x_unit_op", stated("u_p")),
        ("Temp. esercizio", "ot", None),
        unit("°C"),
        ("Press. prog. (PS)", "dp", decimal_comma(barg(1))),
        unit("bar rel."),
        ("Temp. prog. (TS)", "dt", None),
        unit("°C"),
        ("Interasse attacchi", "cc", None),
        unit("mm"),
        ("Campo visivo", "vis", None),
        unit("mm"),
        ("Inizio scala trasmettitore", "lrv", None),
        unit("mm"),
        ("Fondo scala trasmettitore", "urv", None),
        unit("mm"),
        ("Materiale camera", "cmat", None),
        ("Galleggiante", "part", None),
        ("Peso gall.", "mass", decimal_comma(gram(1))),
        unit("g"),
        ("Ø est. gall.", "od", None),
        unit("mm"),
        ("Lungh. gall.", "L", None),
        unit("mm"),
        ("Quota magnete dal basso", "mag", decimal_comma(mm(1))),
        unit("mm"),
        ("Spessore gall.", "wall", decimal_comma(mm(2))),
        unit("mm"),
        ("Fondi gall.", "ends", end_shape_in("it")),
        ("Mater. gall.", "ffmat", titanium_in("it")),
        ("P max gall.", "pmax", None),
        unit("bar rel."),
        ("T max gall.", "tmax", None),
        unit("°C"),
        ("Prezzo", "*x_price", lambda g: 2100 + 35 * g["x_item"]),
        ("Unità", "*x_currency", always("EUR")),
    ]
    write_list(b, ws, 2, cols, gs, width=10)
    finish(b, gs, "number-as-text")


@book
def u20_deposito_bitumi(b: Book) -> None:
    """Oil and bitumen store (IT): tracing, insulation, temperature class, scale zero."""
    fl = [
        make_float("DB-955", 60, 290, 955, pmax=10, tmax=250),
        make_float("DB-900", 60, 300, 905, pmax=10, tmax=200),
        make_float("DB-790", 60, 340, 790, pmax=10, tmax=180),
        make_float("DB-835", 60, 320, 835, pmax=10, tmax=120),
    ]
    warm = {"cod": 76.1, "insth": 60}
    gs = [
        gauge(
            "LG-801",
            "Serbatoio bitume 1",
            "Bitume 50/70",
            fl[0],
            1.0,
            0.0,
            165,
            0.5,
            200,
            2200,
            mu=180,
            pour=55,
            trace="elettrica",
            tmaint=160,
            wpm=90,
            tcls="T2",
            tsheath=220,
            **warm,
        ),
        gauge(
            "LG-802",
            "Serbatoio bitume 2",
            "Bitume 70/100",
            fl[0],
            1.005,
            0.0,
            160,
            0.5,
            200,
            2200,
            mu=150,
            pour=50,
            trace="elettrica",
            tmaint=155,
            wpm=90,
            tcls="T2",
            tsheath=220,
            **warm,
        ),
        gauge(
            "LG-803",
            "Olio combustibile denso",
            "O.C.D.",
            fl[1],
            1.0,
            0.0,
            80,
            0.5,
            130,
            1800,
            mu=90,
            pour=25,
            trace="elettrica",
            tmaint=70,
            wpm=45,
            tcls="T3",
            tsheath=150,
            **warm,
        ),
        gauge(
            "LG-804",
            "Serbatoio paraffina",
            "Paraffina fusa",
            fl[2],
            0.985,
            0.0,
            85,
            0.5,
            120,
            1500,
            mu=8,
            pour=58,
            trace="elettrica",
            tmaint=80,
            wpm=45,
            tcls="T3",
            tsheath=140,
            **warm,
        ),
        gauge("LG-805", "Gasolio invernale", "Gasolio", fl[3], 0.99, 0.0, 15, 0.5, 60, 1600, mu=4, pour=-24, trace="no"),
        gauge("LG-806", "Olio flussante", "Olio flussante", fl[1], 0.99, 0.0, 30, 0.5, 80, 1200, mu=60, pour=-21, trace="no"),
        gauge("LG-807", "Olio diatermico", "Olio diatermico", fl[1], 0.985, 1.0, 60, 4, 100, 900, mu=25, pour=-30, trace="no"),
        gauge(
            "LG-808",
            "Bitume, serbatoio di giornata",
            "Bitume 50/70",
            fl[0],
            1.0,
            0.0,
            165,
            0.5,
            200,
            1400,
            mu=180,
            pour=55,
            trace="elettrica",
            tmaint=160,
            wpm=90,
            tcls="T2",
            tsheath=220,
            **warm,
        ),
    ]
    prepare(gs, cmat="AISI 316L", tamb=-10, zero=0)
    x = by_tag(gs)
    for g in gs[4:7]:
        show(g, tmaint="-", wpm="-", tcls="-", tsheath="-", cod=76.1, insth="-")
    if b.faulty:
        plant_weak_tracer(b, x["LG-801"], 25)
        plant_hot_tracing(b, x["LG-803"], "tcls", "T4", "tsheath")
        plant_no_tracing(b, x["LG-804"], "no")
        show(x["LG-804"], tmaint="-", wpm="-", tcls="-", tsheath="-")
        plant_shifted_zero(b, x["LG-805"], 45)
        plant_viscous_untraced(b, x["LG-806"], 650)
        plant_long_range(b, x["LG-807"], 110)
        plant_float_temperature(b, x["LG-808"], v=270)
    ws = b.sheet("Livelli")
    ws.write(0, 0, "Deposito costiero - lista livelli a galleggiante con tracciatura", b.fmt(bold=True))
    ws.write(1, 0, "Temperatura ambiente minima di progetto: vedi colonna")
    cols = [
        (("Sigla", ""), "tag", None),
        (("Serbatoio", ""), "svc", None),
        (("Prodotto", ""), "fluid", None),
        (("Peso spec. a T eserc.", "kg/m³"), "rho", None),
        (("Peso spec. a 15 °C", "kg/m³"), "*r15", density_at(a=0.63)),
        (("Viscosita a T eserc.", "cP"), "mu", None),
        (("Punto di scorrimento", "°C"), "pour", None),
        (("P. eserc.", "bar g"), "op", None),
        (("T eserc.", "°C"), "ot", None),
        (("P. prog.", "bar g"), "dp", None),
        (("T prog.", "°C"), "dt", None),
        (("T ambiente min.", "°C"), "tamb", None),
        (("Tracciatura", ""), "trace", None),
        (("T di mantenimento", "°C"), "tmaint", None),
        (("Potenza installata", "W/m"), "wpm", None),
        (("Temperatura guaina", "°C"), "tsheath", None),
        (("Classe di temp.", ""), "tcls", None),
        (("Ø est. camera", "mm"), "cod", None),
        (("Spessore coibentazone", "mm"), "insth", None),
        (("Interasse", "mm"), "cc", None),
        (("Lunghezza visibile", "mm"), "vis", None),
        (("Zero scala sopra attacco inf.", "mm"), "zero", None),
        (("Altezza serbatoio", "m"), "*x_vessel_h", lambda g: g["cc"] / 1000 + 2),
        (("Mat. camera", ""), "cmat", None),
        (("Galleggiante", ""), "part", None),
        (("Ordine n°", ""), "*x_order", always("da definire")),
    ]
    r = write_list(b, ws, 3, cols, ["Prodotti caldi", *gs[:4], "Prodotti freddi", *gs[4:7], "Nuovo", gs[7]], secmerge=False)
    ws.write(r + 1, 1, "Isolamento: lana minerale, 0,04 W/mK")
    write_float_list(
        b,
        "Galleggianti",
        fl,
        [
            (("Sigla", ""), "part", None),
            (("Peso", "g"), "mass", None),
            (("Diametro", "mm"), "od", None),
            (("Lunghezza totale", "mm"), "L", None),
            (("Magnete dal basso", "mm"), "mag", None),
            (("Fondi", ""), "ends", end_shape_in("it")),
            (("P max", "bar g"), "pmax", None),
            (("T max", "°C"), "tmax", None),
        ],
        gs,
    )
    finish(b, gs)


@book
def u21_riscontro_fornitore(b: Book) -> None:
    """Vendor's return (IT/EN in two rows): float data repeated beside the float list, prices, alternatives."""
    fl = [
        make_float("VR/82", 52, 290, 820, pmax=25, tmax=180),
        make_float("VR/98", 52, 250, 985, pmax=25, tmax=180),
        make_float("VR/70", 52, 330, 705, pmax=40, tmax=180),
        make_float("VR/116", 52, 220, 1160, pmax=16, tmax=90, mat="PVDF"),
    ]
    gs = [
        gauge("LG/501", "Serbatoio olio di lavaggio", "Olio di lavaggio", fl[0], 1.0, 1.0, 50, 6, 120, 1200, fclass="PN 40"),
        gauge("LG/502", "Acque di processo", "Acqua di processo", fl[1], 0.997, 0.5, 60, 4, 120, 1000, fclass="PN 16"),
        gauge("LG/503", "Testa colonna", "Frazione leggera", fl[2], 1.01, 5.0, 50, 12, 120, 900, fclass="PN 40"),
        gauge("LG/504", "Serbatoio acido", "Acido cloridrico 33 %", fl[3], 1.0, 0.0, 25, 1, 60, 1500, fclass="PN 16", cmat="PVDF"),
        gauge("LG/505", "Serbatoio olio esausto", "Olio di lavaggio", fl[0], 1.01, 0.2, 40, 4, 120, 1400, fclass="PN 40"),
        gauge("LG/506", "Polmone frazione leggera", "Frazione leggera", fl[2], 1.0, 4.0, 45, 12, 120, 800, fclass="PN 40"),
    ]
    prepare(gs, cmat="1.4404 (316L)")
    for g, p in zip(gs, (2980, 2760, 3350, 3890, 3010, 3240), strict=False):
        g["x_price"] = p
    x = by_tag(gs)
    if b.faulty:
        plant_conflict_with_float_list(b, x["LG/501"], "pmax", 40)
        plant_test_pressure(b, x["LG/502"], v=27.0)
        plant_sinking(b, x["LG/503"])
        plant_float_temperature(b, x["LG/504"], v=110)
        plant_unlisted_float(b, x["LG/505"], "VR/28")
        plant_long_range(b, x["LG/506"], 125)
        for n in ("mass", "od", "L", "mag", "pmax", "tmax"):
            x["LG/505"][n] = None
    ws = b.sheet("Offerta 0917")
    ws.write(0, 0, "Riscontro tecnico del fornitore / Vendor technical return", b.fmt(bold=True))
    ws.write(1, 0, "Vs. richiesta / your enquiry 0917 - offerta valida 60 gg")
    cols = [
        (("Pos.", "Item"), "x_item", None),
        (("Sigla", "Tag"), "tag", None),
        (("Servizio", "Service"), "svc", None),
        (("Fluido", "Fluid"), "fluid", None),
        (("Densità eserc. [g/cm³]", "Oper. density [g/cm³]"), "rho", g_cm3(3)),
        (("P eserc. [bar g]", "Oper. pressure [bar g]"), "op", None),
        (("T eserc. [°C]", "Oper. temp. [°C]"), "ot", None),
        (("P progetto [bar g]", "Design pressure [bar g]"), "dp", None),
        (("T progetto [°C]", "Design temp. [°C]"), "dt", None),
        (("Pressione di collaudo [bar g]", "Test pressure [bar g]"), "tp", None),
        (("Interasse [mm]", "C-C [mm]"), "cc", None),
        (("Campo visivo [mm]", "Visible range [mm]"), "vis", None),
        (("Mat. camera", "Chamber mat."), "cmat", None),
        (("Flangia", "Flange rating"), "fclass", None),
        (("Galleggiante", "Float"), "part", None),
        (("Peso [g]", "Mass [g]"), "mass", None),
        (("Ø [mm]", "Dia. [mm]"), "od", None),
        (("Lungh. [mm]", "Length [mm]"), "L", None),
        (("Magnete da sotto [mm]", "Magnet from bottom [mm]"), "mag", None),
        (("P max gall. [bar g]", "Float max. press. [bar g]"), "pmax", None),
        (("T max gall. [°C]", "Float max. temp. [°C]"), "tmax", None),
        (("Prezzo unit. [EUR]", "Unit price [EUR]"), "x_price", None),
        (("Consegna [sett.]", "Delivery [wk]"), "*x_delivery", always(10)),
        (("Note fornitore", "Vendor's notes"), "rem", None),
    ]
    show(x["LG/501"], ot="circa 50")
    x["LG/504"]["rem"] = "camera in PVDF, non AISI"
    r = write_list(b, ws, 3, cols, gs, border=1)
    ws.write(r, 2, "TOTALE / TOTAL")
    ws.write_formula(r, 21, f"=SUM(V6:V{r})", b.fmt(bold=True), sum(g["x_price"] for g in gs))
    ws.write(r + 2, 1, "Esclusi: montaggio, collaudo in campo / site works not included")
    write_float_list(
        b,
        "Galleggianti",
        fl,
        [
            (("Tipo", "Type"), "part", None),
            (("Peso [g]", "Mass [g]"), "mass", None),
            (("Ø est. [mm]", "O.D. [mm]"), "od", None),
            (("Lunghezza [mm]", "Length [mm]"), "L", None),
            (("Magnete da sotto [mm]", "Magnet from bottom [mm]"), "mag", None),
            (("Fondi", "Ends"), "*ends", always("piani / flat")),
            (("Densità di progetto [g/cm³]", "Design density [g/cm³]"), "drho", g_cm3(3)),
            (("P max [bar g]", "Max. press. [bar g]"), "pmax", None),
            (("T max [°C]", "Max. temp. [°C]"), "tmax", None),
        ],
        gs,
    )
    finish(b, gs)
