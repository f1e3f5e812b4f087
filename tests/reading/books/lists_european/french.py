"""Lists from France and Belgium."""

from __future__ import annotations

from tests.reading.books.lists_european.common import (
    always,
    blame_also,
    check_sound,
    density_at,
    end_shape_in,
    finish,
    in_unit_of_row,
    number_with_unit,
    other_instrument,
    plant_clear_offset,
    plant_close_switches,
    plant_heavy_upper_liquid,
    plant_hot_tracing,
    plant_lag,
    plant_no_tracing,
    plant_other_float_service,
    plant_other_serial,
    plant_other_temperature_density,
    plant_over_design,
    plant_reused_serial,
    plant_shown_value,
    plant_small_density_gap,
    plant_swapped_densities,
    plant_switch_order,
    plant_switch_outside,
    plant_typed_over_formula,
    prepare,
    show,
    stated,
    thousands_space,
    titanium_in,
    write_float_list,
    write_list,
)
from tests.reading.faults import (
    plant_current,
    plant_flange_rating,
    plant_float_pressure,
    plant_float_temperature,
    plant_long_range,
    plant_magnetic_chamber,
    plant_reversed_range,
    plant_test_pressure,
    plant_unlisted_float,
)
from tests.reading.gauges import by_tag, gauge, loop_current, make_float
from tests.reading.physics import liquid_density
from tests.reading.registry import book
from tests.reading.units import Converter, barg, degC, g_cm3, gram, kpag, mbarg, mm
from tests.reading.writing import Book, Gauge


@book
def u08_nomenclature_raffinerie(b: Book) -> None:
    """Nomenclature des instruments, refinery: mini / norm. / maxi, density at 15 degC beside, glass gauges and other instruments between."""
    fl = [
        make_float("NM-745", 51, 320, 745, pmax=40, tmax=220),
        make_float("NM-845", 51, 290, 845, pmax=40, tmax=220),
        make_float("NM-680", 51, 340, 680, pmax=40, tmax=200),
        make_float("NM-995", 51, 250, 995, pmax=40, tmax=180),
    ]
    gs = [
        gauge("20-LG-101", "Ballon de charge", "Naphta", fl[0], 0.99, 3.0, 45, 7, 120, 1400, fclass=150, x_vessel_id="20-B-101"),
        gauge("20-LG-102", "Ballon de reflux", "Coupe C5-C6", fl[2], 1.0, 6.5, 50, 10, 120, 1000, fclass=150, x_vessel_id="20-B-102"),
        gauge("20-LG-103", "Fond de stripper", "Gazole lourd", fl[1], 0.985, 4.0, 140, 9, 180, 900, fclass=150, x_vessel_id="20-C-101"),
        gauge("20-LG-104A", "Séparateur HP, bas", "Gazole hydrotraité", fl[1], 0.99, 24, 50, 29, 110, 1500, fclass=300, x_vessel_id="20-B-104"),
        gauge("20-LG-104B", "Séparateur HP, haut", "Gazole hydrotraité", fl[1], 0.99, 24, 50, 29, 110, 1500, fclass=300, x_vessel_id="20-B-104"),
        gauge("20-LG-105", "Pot d'eaux acides", "Eaux acides", fl[3], 0.985, 2.0, 55, 7, 120, 700, fclass=150, x_vessel_id="20-B-105"),
        gauge("21-LG-201", "Ballon de slops", "Slops", fl[1], 1.01, 0.3, 40, 3.5, 120, 1200, fclass=150, x_vessel_id="21-B-201"),
        gauge("21-LG-202", "Ballon de purge", "Condensats d'hydrocarbures", fl[0], 1.005, 0.2, 40, 5, 120, 1300, fclass=150, x_vessel_id="21-B-202"),
    ]
    prepare(gs, 1.43, cmat="A312 TP316L", grp="2.3", x_rev="B", inst="Niveau magnétique", x_pipe="PN 50")
    for i, g in enumerate(gs):
        g.update(op_min=round(g["op"] * 0.8, 1), op_max=round(g["op"] * 1.1, 1), ot_max=g["ot"] + 12, x_pid=f"20-PI-{1040 + i}")
    check_sound(gs)
    x = by_tag(gs)
    show(x["21-LG-201"], dt="à définir")
    show(x["21-LG-202"], ot="env. 40")
    if b.faulty:
        plant_clear_offset(b, x["20-LG-101"], 1.14)
        plant_over_design(b, x["20-LG-102"], "ot_max", 135)
        plant_flange_rating(b, x["20-LG-103"], 20.5)
        x["20-LG-103"]["tp"] = 29.3
        plant_float_temperature(b, x["20-LG-104A"], v=240, ok=["flange-rating-exceeded"])
        plant_unlisted_float(b, x["20-LG-104B"], "NM-854")
        plant_long_range(b, x["20-LG-105"], 80)
        plant_test_pressure(b, x["21-LG-201"], v=42.0)
        plant_magnetic_chamber(b, x["21-LG-202"], "P265GH (A 48 CP)")
    ws = b.sheet("Nomenclature")
    ws.write(0, 0, "NOMENCLATURE DES INSTRUMENTS", b.fmt(bold=True, font_size=14))
    ws.write(1, 0, "Unité 20/21 - Hydrotraitement de Valmarais")
    ws.write(1, 8, "Document 20-INS-NOM-003  Ind. B")
    cols = [
        ("Ind.", "x_rev", None),
        ("Repère", "tag", None),
        ("N° PID", "x_pid", None),
        ("N° équipement", "x_vessel_id", None),
        ("Service", "svc", None),
        ("Type d'appareil", "inst", None),
        ("Fluide", "fluid", None),
        (("Masse vol. (kg/m³)", "à 15 °C"), "*r15", density_at()),
        (("Masse vol. (kg/m³)", "à T° serv."), "rho", None),
        (("P. serv. (bar eff.)", "mini"), "op_min", barg(1)),
        (("P. serv. (bar eff.)", "norm."), "op", barg(1)),
        (("P. serv. (bar eff.)", "maxi"), "op_max", barg(1)),
        (("T° serv. (°C)", "norm."), "ot", None),
        (("T° serv. (°C)", "maxi"), "ot_max", None),
        ("P. calc.\n(bar eff.)", "dp", barg(1)),
        ("T° calc.\n(°C)", "dt", None),
        ("P. épreuve\n(bar eff.)", "tp", barg(1)),
        ("Entraxe\n(mm)", "cc", None),
        ("Lg. visible\n(mm)", "vis", None),
        (("Raccordement", "DN"), "*x_dn", always('1"')),
        (("Raccordement", "Classe"), "fclass", None),
        ("Série tuyauterie", "x_pipe", None),
        ("Matière chambre", "cmat", None),
        ("Réf. flotteur", "part", None),
        ("Observations", "rem", None),
    ]
    rows = [
        "SECTION REACTION",
        gs[0],
        other_instrument(tag="20-PI-101", svc="Ballon de charge", inst="Manomètre", fluid="Naphta", op=3, op_max=3.3, ot=45, dp=7, dt=120),
        *gs[1:3],
        other_instrument(tag="20-TT-103", svc="Fond de stripper", inst="Thermocouple", fluid="Gazole lourd", op=4, ot=140, dp=9, dt=180),
        *gs[3:6],
        other_instrument(
            tag="20-LG-110",
            svc="Pot de flushing",
            inst="Niveau à glace (réflexion)",
            fluid="Gazole lourd",
            rho=840,
            op=2,
            ot=40,
            dp=6,
            dt=100,
            cc=500,
            vis=380,
            fclass=150,
            cmat="A105",
        ),
        other_instrument(
            tag="20-LV-102", svc="Soutirage reflux", inst="Vanne de régulation", fluid="Coupe C5-C6", op=6.5, op_max=7.2, ot=50, dp=10, dt=120, fclass=300
        ),
        None,
        "SECTION SLOPS ET PURGES",
        *gs[6:],
        other_instrument(tag="21-LT-203", svc="Bac de slops", inst="Radar sans contact", fluid="Slops", op=0.0, ot=30, dp=0.1, dt=80),
    ]
    r = write_list(b, ws, 3, cols, rows)
    ws.write(r + 1, 1, "Nota 1 : pressions effectives. Nota 2 : les niveaux à glace sont fournis par le lot chaudronnerie.")
    ws.freeze_panes(5, 2)
    write_float_list(
        b,
        "Flotteurs",
        fl,
        [
            ("Réf. flotteur", "part", None),
            ("Masse (g)", "mass", None),
            ("Ø extérieur (mm)", "od", None),
            ("Longueur totale (mm)", "L", None),
            ("Hauteur de l'aimant / bas (mm)", "mag", None),
            ("Fonds", "ends", end_shape_in("fr")),
            ("Masse vol. de calcul (kg/m³)", "drho", None),
            ("P. maxi (bar eff.)", "pmax", None),
            ("T° maxi (°C)", "tmax", None),
            ("Matière", "fmat", titanium_in("fr")),
        ],
        gs,
        title="Liste des flotteurs",
    )
    finish(b, gs)


@book
def u09_points_de_mesure_be(b: Book) -> None:
    """Liste de points de mesure (BE): French row, English row, pressure unit beside, level and interface."""
    fl = [
        make_float("BX-I1", 60, 280, 1000, 820, frac=0.5, pmax=16, tmax=140, svc="interface"),
        make_float("BX-I2", 60, 280, 1150, 880, frac=0.5, pmax=16, tmax=140, svc="interface"),
        make_float("BX-L1", 60, 280, 860, pmax=16, tmax=140),
        make_float("BX-L2", 60, 250, 1000, pmax=16, tmax=140),
    ]
    i = {"typ": "interface", "fsvc": "interface"}
    n = {"typ": "niveau", "fsvc": "niveau"}
    gs = [
        gauge("41-LG-01", "Décanteur D-410", "Eau de procédé", fl[0], 1.0, 0.5, 45, 4, 110, 1200, upf="Huile légère", rho_u=820, u_p="bar eff.", **i),
        gauge("41-LG-02", "Décanteur D-420", "Saumure 18 %", fl[1], 1.0, 0.3, 40, 4, 110, 1000, upf="Solvant S-30", rho_u=880, u_p="mbar eff.", **i),
        gauge("41-LG-03", "Laveur D-430", "Eau de lavage", fl[0], 1.0, 1.0, 45, 4, 110, 1000, upf="Huile légère", rho_u=820, u_p="bar eff.", **i),
        gauge("41-LG-04", "Décanteur D-440", "Saumure 18 %", fl[1], 1.0, 0.3, 40, 4, 110, 900, upf="Solvant S-30", rho_u=880, u_p="kPa eff.", **i),
        gauge("41-LG-05", "Réservoir huile R-450", "Huile légère", fl[2], 0.99, 0.02, 35, 1, 80, 1600, u_p="mbar eff.", **n),
        gauge("41-LG-06", "Réservoir d'eau R-460", "Eau de lavage", fl[3], 0.992, 0.5, 45, 4, 110, 1400, u_p="bar eff.", **n),
        gauge("41-LG-07", "Pot de garde R-470", "Huile légère", fl[2], 0.985, 0.5, 40, 4, 110, 800, u_p="kPa eff.", **n),
    ]
    prepare(gs, cmat="1.4404", fclass="PN 16")
    x = by_tag(gs)
    if b.faulty:
        plant_other_float_service(b, x["41-LG-01"], "niveau")
        plant_small_density_gap(b, x["41-LG-02"], 38)
        plant_swapped_densities(b, x["41-LG-03"], ("density-not-at-operating-conditions",))
        plant_heavy_upper_liquid(b, x["41-LG-04"], 1060)
        plant_clear_offset(b, x["41-LG-05"], 1.15)
        plant_over_design(b, x["41-LG-06"], "op", 5.2)
        plant_long_range(b, x["41-LG-07"], 100)
    pres = {"bar eff.": barg(2), "mbar eff.": mbarg(0), "kPa eff.": kpag(0)}
    ws = b.sheet("Points de mesure")
    ws.write(0, 0, "Liste de points de mesure - niveaux / List of measuring points - level", b.fmt(bold=True))
    ws.write(1, 0, "Usine de Haverloo, atelier 41")
    cols = [
        (("Repère", "Tag"), "tag", None),
        (("Désignation", "Description"), "svc", None),
        (("Fonction", "Service type"), "typ", None),
        (("Fluide", "Fluid"), "fluid", None),
        (("Masse vol. [kg/dm³]", "Density [kg/dm³]"), "rho", g_cm3(3)),
        (("Fluide supérieur", "Upper fluid"), "upf", None),
        (("Masse vol. fl. sup. [kg/dm³]", "Upper fluid density [kg/dm³]"), "rho_u", g_cm3(3)),
        (("Pression de service", "Operating pressure"), "*op", in_unit_of_row("op", "u_p", pres)),
        (("Unité", "Unit"), "*x_unit_op", stated("u_p")),
        (("Pression de calcul", "Design pressure"), "*dp", in_unit_of_row("dp", "u_p", pres)),
        (("Unité", "Unit"), "*x_unit_dp", stated("u_p")),
        (("T° serv. [°C]", "Op. temp. [°C]"), "ot", None),
        (("T° calc. [°C]", "Design temp. [°C]"), "dt", None),
        (("Entraxe [mm]", "C/C [mm]"), "cc", None),
        (("Plage visible [mm]", "Visible range [mm]"), "vis", None),
        (("Matière chambre", "Chamber material"), "cmat", None),
        (("Bride", "Flange"), "fclass", None),
        (("Flotteur", "Float"), "part", None),
        (("Flotteur prévu pour", "Float made for"), "fsvc", None),
        (("Masse flotteur [g]", "Float mass [g]"), "mass", None),
        (("Ø flotteur [mm]", "Float dia. [mm]"), "od", None),
        (("Long. flotteur [mm]", "Float length [mm]"), "L", None),
        (("Aimant / bas [mm]", "Magnet above bottom [mm]"), "mag", None),
        (("Extrémités", "Ends"), "*ends", always("plates")),
        (("P max flotteur [bar eff.]", "Float max. press. [bar g]"), "pmax", None),
        (("T max flotteur [°C]", "Float max. temp. [°C]"), "tmax", None),
        (("Date de commande", "Order date"), "*x_date", always("12/03")),
    ]
    write_list(b, ws, 3, cols, [*gs[:4], None, *gs[4:]])
    finish(b, gs)


@book
def u10_niveaux_sucrerie(b: Book) -> None:
    """Sugar works (FR): one heading row, units in the cells, P and T in one cell, placeholders, viscosity and tracing."""
    fl = [
        make_float("FS-130", 50, 220, 1300, pmax=10, tmax=120),
        make_float("FS-105", 50, 250, 1050, pmax=10, tmax=120),
        make_float("FS-090", 50, 280, 895, pmax=10, tmax=120),
        make_float("FS-115", 50, 230, 1150, pmax=10, tmax=110),
    ]
    gs = [
        gauge("LG 701", "Bac à sirop", "Sirop 65 °Bx", fl[0], 0.99, 0.1, 75, 2, 100, 1450, mu=28, pour=5, trace="oui (vapeur)", tmaint=70),
        gauge("LG 702", "Bac à jus clair", "Jus clair", fl[1], 0.99, 0.0, 85, 1, 100, 1800, mu=1.2, pour=-1, trace="oui (vapeur)", tmaint=60),
        gauge("LG 703", "Bac lait de chaux", "Lait de chaux 18 °Bé", fl[3], 1.0, 0.0, 40, 1, 80, 1200, mu=12, pour=0, trace="oui (électrique)", tmaint=20),
        gauge("LG 704", "Bac anti-mousse", "Huile anti-mousse", fl[2], 1.0, 0.0, 40, 1, 80, 900, mu=35, pour=-25, trace="non"),
        gauge("LG 705", "Fondoir à graisse", "Graisse alimentaire", fl[2], 0.985, 0.5, 65, 2, 95, 1000, mu=25, pour=42, trace="oui (électrique)", tmaint=60),
        gauge("LG 706", "Bac égout riche", "Égout riche", fl[0], 1.01, 0.0, 70, 1, 100, 1350, mu=40, pour=8, trace="oui (vapeur)", tmaint=65),
        gauge("LG 707", "Bac égout pauvre", "Égout pauvre", fl[0], 1.015, 0.0, 70, 1, 100, 1350, mu=45, pour=8, trace="oui (vapeur)", tmaint=65),
    ]
    prepare(gs, cmat="Inox 316L", bore=66.9, tamb=-12)
    x = by_tag(gs)
    show(x["LG 707"], opot="idem", dpdt="idem", tamb="idem")
    show(x["LG 704"], tmaint="sans objet", x_order="à définir")
    show(x["LG 703"], x_order="à confirmer")
    show(x["LG 701"], rho="1 280 à 1 300 kg/m³")
    if b.faulty:
        plant_lag(b, x["LG 704"], 900)
        plant_no_tracing(b, x["LG 705"], "non")
        show(x["LG 705"], tmaint="-")
        plant_clear_offset(b, x["LG 702"], 1.13)
        plant_long_range(b, x["LG 701"], 150)
        plant_float_pressure(b, x["LG 703"], v=12.0)
        blame_also(b, "dpdt")
        plant_hot_tracing(b, x["LG 706"], "tmaint", 140, "tmax")
        plant_over_design(b, x["LG 707"], "ot", 112)
        del x["LG 707"]["_show"]["opot"], x["LG 707"]["_show"]["dpdt"]
        x["LG 707"]["_show"]["opot"] = "0 bar rel. / 112 °C"
        x["LG 707"]["_show"]["dpdt"] = "1 bar rel. / 100 °C"
    ws = b.sheet("Niveaux")
    ws.write(0, 0, "Sucrerie de Villers-Amont - liste des niveaux à flotteur", b.fmt(bold=True))
    ws.write(1, 0, "Campagne prochaine, version provisoire")

    def pt(p: str, t: str) -> Converter:
        def say(g: Gauge) -> str:
            return f"{str(g[p]).replace('.', ',')} bar rel. / {g[t]} °C"

        return say

    cols = [
        ("Repère", "tag", None),
        ("Poste", "svc", None),
        ("Produit", "fluid", None),
        ("Densité (masse volumique)", "rho", number_with_unit(thousands_space, "kg/m³")),
        ("P / T de service", "*opot", pt("op", "ot")),
        ("PS / TS", "*dpdt", pt("dp", "dt")),
        ("Viscosité", "mu", number_with_unit(degC(1), "mPa.s")),
        ("Point de figeage", "pour", number_with_unit(degC(), "°C")),
        ("T° amb. mini", "tamb", number_with_unit(degC(), "°C")),
        ("Traçage", "trace", None),
        ("T° de maintien", "tmaint", number_with_unit(degC(), "°C")),
        ("Entraxe piquages", "cc", number_with_unit(thousands_space, "mm")),
        ("Zone visible", "vis", number_with_unit(thousands_space, "mm")),
        ("Chambre : matière", "cmat", None),
        ("Chambre : Ø int.", "bore", number_with_unit(mm(1), "mm")),
        ("Hauteur cuve", "*x_vessel_h", lambda g: f"{(g['cc'] + 900) / 1000:.1f} m".replace(".", ",")),
        ("Flotteur", "part", None),
        ("N° de commande", "*x_order", lambda g: f"C-{4400 + g['x_item']}"),
    ]
    write_list(b, ws, 3, cols, gs, width=15)
    write_float_list(
        b,
        "Flotteurs",
        fl,
        [
            ("Flotteur", "part", None),
            ("Masse", "mass", number_with_unit(gram(1), "g")),
            ("Ø ext.", "od", number_with_unit(mm(), "mm")),
            ("Longueur hors tout", "L", number_with_unit(mm(), "mm")),
            ("Aimant au-dessus du bas", "mag", number_with_unit(mm(1), "mm")),
            ("Extrémités", "*ends", always("plates")),
            ("P max", "pmax", number_with_unit(barg(), "bar rel.")),
            ("T max", "tmax", number_with_unit(degC(), "°C")),
        ],
        gs,
    )
    finish(b, gs, "number-as-text")


@book
def u11_export_gmao(b: Book) -> None:
    """Maintenance system export (FR): row of machine names, row of labels, row of units; set points, test current, serials."""
    fl = [
        make_float("FLO-0830", 50, 290, 830, pmax=16, tmax=150),
        make_float("FLO-0995", 50, 250, 995, pmax=16, tmax=150),
        make_float("FLO-0910", 50, 270, 910, pmax=16, tmax=150),
    ]
    data = [
        ("LG5101", "BAC HUILE DE TREMPE", "HUILE DE TREMPE", 2, 0.99, 45, 800),
        ("LG5102", "BAC EMULSION", "EMULSION 5 %", 1, 1.0, 30, 1000),
        ("LG5103", "BAC GASOIL SECOURS", "GASOIL", 0, 1.005, 20, 1200),
        ("LG5104", "BAC HUILE NEUVE", "HUILE DE LAMINAGE", 2, 0.985, 40, 1500),
        ("LG5105", "BAC HUILE USEE", "HUILE DE LAMINAGE", 2, 1.0, 40, 1500),
        ("LG5106", "FOSSE EMULSION", "EMULSION 5 %", 1, 1.005, 30, 900),
        ("LG5107", "BAC DEGRAISSAGE", "BAIN DE DEGRAISSAGE", 1, 1.01, 55, 1100),
    ]
    gs = []
    for i, (tag, svc, fluid, n, k, ot, cc) in enumerate(data):
        g = gauge(tag, svc, fluid, fl[n], k, 0.1, ot, 1.5, 90, cc, gsn=f"NF{60118 + i}", fsn=f"FL{2207 + 5 * i}", fgsn=f"NF{60118 + i}")
        g.update(slev=round(cc * 0.4), lsll=round(cc * 0.1), lsl=round(cc * 0.2), lsh=round(cc * 0.8), lshh=round(cc * 0.9), cmat="Z2 CND 17-12")
        g["scur"] = loop_current(g)
        gs.append(g)
    prepare(gs)
    x = by_tag(gs)
    if b.faulty:
        plant_current(b, x["LG5101"], -0.7)
        plant_reversed_range(b, x["LG5102"])
        x["LG5102"]["scur"] = loop_current(x["LG5102"])
        plant_switch_outside(b, x["LG5103"], "lshh", 1235)
        plant_reused_serial(b, x["LG5104"], x["LG5106"])
        plant_other_serial(b, x["LG5105"], x["LG5104"]["gsn"])
        plant_close_switches(b, x["LG5106"], "lsh", "lshh", 15)
        plant_float_pressure(b, x["LG5107"], v=18.5)
    cols = [
        (("CODE_EQPT", "Code équipement", ""), "*x_code", lambda g: f"EQ-{90210 + g['x_item']}"),
        (("REPERE", "Repère fonctionnel", ""), "tag", None),
        (("LIB_EQPT", "Libellé", ""), "svc", None),
        (("FLUIDE", "Fluide", ""), "fluid", None),
        (("MV_SERV", "Masse volumique en service", "kg/m3"), "rho", None),
        (("P_SERV", "Pression de service", "bar eff."), "op", None),
        (("T_SERV", "Température de service", "°C"), "ot", None),
        (("P_CALC", "Pression de calcul", "bar eff."), "dp", None),
        (("T_CALC", "Temperature de calcul", "°C"), "dt", None),
        (("ENTRAXE", "Distance entre piquages", "mm"), "cc", None),
        (("LG_VISIBLE", "Longueur visible", "mm"), "vis", None),
        (("EM_DEB", "Début d'échelle transmetteur", "mm"), "lrv", None),
        (("EM_FIN", "Fin d'échelle transmetteur", "mm"), "urv", None),
        (("PT_CTRL_NIV", "Niveau du point de contrôle", "mm"), "slev", None),
        (("PT_CTRL_I", "Courant théorique", "mA"), "scur", None),
        (("SEUIL_TB", "Seuil très bas (LSLL)", "mm"), "lsll", None),
        (("SEUIL_B", "Seuil bas (LSL)", "mm"), "lsl", None),
        (("SEUIL_H", "Seuil haut (LSH)", "mm"), "lsh", None),
        (("SEUIL_TH", "Seuil très haut (LSHH)", "mm"), "lshh", None),
        (("MAT_CHAMBRE", "Matière de la chambre", ""), "cmat", None),
        (("REF_FLOT", "Référence flotteur", ""), "part", None),
        (("NS_APP", "N° de série appareil", ""), "gsn", None),
        (("NS_FLOT", "N° de série flotteur", ""), "fsn", None),
        (("NS_PLAQUE_FLOT", "N° appareil gravé sur flotteur", ""), "fgsn", None),
        (("DATE_MES", "Date de mise en service", ""), "*x_date", always("2016-05-02")),
        (("CRITICITE", "Criticité", ""), "*x_crit", always("B")),
        (("COUT_ACHAT", "Coût d'achat", "EUR"), "*x_price", lambda g: 1980 + 15 * g["x_item"]),
    ]
    write_list(b, b.sheet("GMAO_EXPORT"), 0, cols, gs, hk={"font_size": 9}, width=14)
    write_float_list(
        b,
        "GMAO_FLOTTEURS",
        fl,
        [
            (("REF_FLOT", "Référence flotteur", ""), "part", None),
            (("MASSE", "Masse", "g"), "mass", None),
            (("DIAM_EXT", "Diamètre extérieur", "mm"), "od", None),
            (("LG_TOT", "Longueur totale", "mm"), "L", None),
            (("H_AIMANT", "Hauteur aimant depuis le bas", "mm"), "mag", None),
            (("FORME_FONDS", "Forme des fonds", ""), "ends", end_shape_in("fr")),
            (("P_MAX", "Pression maximale", "bar eff."), "pmax", None),
            (("T_MAX", "Température maximale", "°C"), "tmax", None),
        ],
        gs,
        hk={"font_size": 9},
    )
    finish(b, gs)


@book
def u12_chaufferie(b: Book) -> None:
    """Boiler house (FR): timbre, NTB / NB / NH / NTH, test pressure by formula."""
    w = {t: round(liquid_density("Water", t, p)) for t, p in ((20, 0.2), (60, 2.0), (80, 1.0), (104, 1.0), (130, 4.0))}
    fl = [make_float(f"CH{w[t]}", 54, 280, w[t], pmax=25, tmax=200) for t in (60, 80, 104, 130)] + [make_float("CH860", 54, 310, 845, pmax=16, tmax=100)]
    gs = [
        gauge("LG 01", "Bâche alimentaire", "Eau alimentaire", fl[2], 1.0, 1.0, 104, 4, 150, 1600, pure="Water", x_psv=3.8),
        gauge("LG 02", "Ballon de détente des purges", "Eau de purge", fl[3], 1.0, 4.0, 130, 10, 190, 800, pure="Water", x_psv=9.6),
        gauge("LG 03", "Bâche à condensats", "Condensats", fl[1], 1.0, 1.0, 80, 4, 120, 1200, pure="Water", x_psv=3.8),
        gauge("LG 04", "Vase d'expansion réseau", "Eau de chauffage", fl[0], 1.0, 2.0, 60, 6, 110, 1000, pure="Water", x_psv=5.8),
        gauge("LG 05", "Cuve fioul journalière", "Fioul domestique", fl[4], 0.99, 0.0, 20, 1, 60, 900),
        gauge("LG 06", "Ballon tampon retour", "Eau de chauffage", fl[0], 1.0, 2.0, 60, 6, 110, 2000, pure="Water", x_psv=5.8),
        gauge("LG 07", "Ballon de détente n° 2", "Eau de purge", fl[3], 1.0, 4.0, 130, 10, 190, 800, pure="Water", x_psv=9.6),
    ]
    for g in gs:
        v = g["vis"]
        g.update(lsll=round(v * 0.12), lsl=round(v * 0.25), lsh=round(v * 0.75), lshh=round(v * 0.88), cmat="304L", fclass="PN 40")
    prepare(gs, 1.5)
    x = by_tag(gs)
    if b.faulty:
        plant_switch_order(b, x["LG 01"], "lsll", "lsl")
        plant_other_temperature_density(b, x["LG 07"], 1000)
        plant_long_range(b, x["LG 03"], 100)
        plant_typed_over_formula(b, x["LG 04"], "tp", 9.5)
        plant_shown_value(b, x["LG 05"], "rho", ("=#REF!/1000", "#REF!"), "lost reference in the density", rule="cell-error")
        plant_over_design(b, x["LG 06"], "op", 7.0)
        plant_switch_outside(b, x["LG 02"], "lshh", 830)
    ws = b.sheet("Relevé niveaux")
    ws.write(0, 0, "Chaufferie centrale - relevé des indicateurs de niveau à volets magnétiques", b.fmt(bold=True))
    cols = [
        ("Repère", "tag", None),
        ("Équipement", "svc", None),
        ("Fluide", "fluid", None),
        ("Masse volumique à la T° de service (kg/m³)", "rho", None),
        (("Pression effective (bar)", "service"), "op", barg(1)),
        (("Pression effective (bar)", "timbre"), "dp", barg(1)),
        (("Pression effective (bar)", "épreuve hydr."), "*tp", lambda g: ("=ROUND(1.5*{dp}{r},1)", round(1.5 * g["dp"], 1))),
        (("Pression effective (bar)", "tarage soupape"), "x_psv", None),
        (("Température (°C)", "service"), "ot", None),
        (("Température (°C)", "maxi admissible"), "dt", None),
        ("Entraxe (mm)", "cc", None),
        ("Hauteur visble (mm)", "vis", None),
        (("Niveaux d'alarme (mm)", "NTB"), "lsll", None),
        (("Niveaux d'alarme (mm)", "NB"), "lsl", None),
        (("Niveaux d'alarme (mm)", "NH"), "lsh", None),
        (("Niveaux d'alarme (mm)", "NTH"), "lshh", None),
        ("Nuance chambre", "cmat", None),
        (("Brides", "DN"), "*x_dn", always(25)),
        (("Brides", "PN"), "fclass", None),
        ("Flotteur n°", "part", None),
        ("Dernière visite", "*x_date", always("mai")),
    ]
    r = write_list(b, ws, 2, cols, gs, merge="hv")
    ws.write(r + 1, 0, "NTB/NTH : niveaux très bas / très haut (sécurité) ; NB/NH : alarmes.")
    write_float_list(
        b,
        "Flotteurs",
        fl,
        [
            ("Flotteur n°", "part", None),
            ("Masse g", "mass", None),
            ("Diamètre mm", "od", None),
            ("Longueur mm", "L", None),
            ("Aimant à partir du bas mm", "mag", None),
            ("Fonds", "ends", end_shape_in("fr")),
            ("Pression effective maxi bar", "pmax", None),
            ("Température maxi °C", "tmax", None),
        ],
        gs,
    )
    finish(b, gs)
