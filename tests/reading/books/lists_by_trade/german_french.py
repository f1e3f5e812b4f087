"""Lists in German and French."""

from __future__ import annotations

from typing import Any

from tests.reading.books.lists_by_trade.common import (
    finish,
    heading_rows,
    heat_loss,
    plant_clear_offset,
    plant_other_serial,
    plant_reused_serial,
    plant_weak_flange,
    words_or,
    write_lines,
    write_rows,
)
from tests.reading.faults import (
    plant_above_design,
    plant_current,
    plant_float_pressure,
    plant_float_temperature,
    plant_long_range,
    plant_magnetic_chamber,
    plant_reversed_range,
    plant_test_pressure,
)
from tests.reading.gauges import add_serials, by_tag, check_gauge, gauge, loop_current, make_float
from tests.reading.physics import saturation_temperature, water_density
from tests.reading.registry import book
from tests.reading.units import Converter, decimal_comma, g_cm3, unchanged
from tests.reading.writing import Book


@book
def j14_schwimmertausch(b: Book) -> None:
    """German: shutdown planner, floats taken out and put in."""
    A = make_float("S 51-082", 51, 300, 820, pmax=25, tmax=180)
    B_ = make_float("S 51-100", 51, 255, 1000, pmax=25, tmax=180)
    D = make_float("S 51-072", 51, 330, 715, pmax=40, tmax=220)
    E_ = make_float("S 51-119", 51, 230, 1190, pmax=16, tmax=140)
    mk = [
        ("LG 4101", "B 410", "Lösemittelvorlage", "Lösemittel L 40", A, 0.99, 1.2, 45, 6, -10, 120, 1000, 0.835, 0.7),
        ("LG 4102", "B 411", "Waschwasserbehälter", "Waschwasser", B_, 0.985, 0.3, 60, 3, -10, 110, 1200, 1.0, 0.6),
        ("LG 4103", "K 412", "Kolonnensumpf", "Leichtsieder C6", D, 1.0, 4.5, 95, 12, -10, 180, 800, 0.778, 0.3),
        ("LG 4104", "B 413", "Rücklaufbehälter", "Leichtsieder C6", D, 1.01, 3.8, 60, 10, -10, 150, 1500, 0.778, 0.3),
        ("LG 4105", "B 414", "Säurevorlage", "Schwefelsäure 30 %", E_, 1.01, 0.1, 30, 2, -10, 80, 900, 1.218, 2.1),
        ("LG 4106", "B 415", "Restölbehälter", "Restöl", A, 1.015, 0.5, 80, 4, -10, 150, 1100, 0.872, 5),
        ("LG 4107", "B 416", "Kondensatsammler", "Kondensat", B_, water_density(75, 2) / 1000, 2, 75, 6, -10, 150, 600, 1.0, 0.4),
    ]
    gs = []
    for i, (t, v, s, flu, f, k, op, ot, dp, dmin, dt, cc, r20, mu) in enumerate(mk):
        g = gauge(t, s, flu, f, k, op, ot, dp, dt, cc, mu=mu)
        g.update(
            x_vessel=v,
            dt_min=dmin,
            x_rho20=r20,
            cmat="1.4571" if i % 2 else "1.4404",
            fclass="PN 40" if dp > 8 else "PN 16",
            x_dn="DN 25" if i % 2 else "DN 20",
            tp=round(dp * 1.43, 1),
            old=f"N {31 + i}",
            x_part_old=["S 51-080", "S 51-100", "S 51-072", "S 51-070", "S 51-119", "S 51-082", "S 51-100"][i],
            x_fsn_old=f"{2210 + i}",
            x_equi=71400 + i,
            x_tag=f"{3 + i}. KW-Tag",
            x_kg=14 + i,
        )
        check_gauge(g)
        gs.append(g)
    for i, g in enumerate(gs):
        g["fsn"] = f"{6120 + 4 * i}"
    x = by_tag(gs)
    x["LG 4105"]["rem"] = "Schwimmer erst nach Reinigung prüfen"
    x["LG 4102"]["_mu"] = "-"
    x["LG 4106"]["_tp"] = "entf."
    if b.faulty:
        plant_clear_offset(b, x["LG 4106"], ends=False, vap=False)
        x["LG 4106"]["x_rho20"] = round((x["LG 4106"]["rho"] + 42) / 1000, 3)
        plant_magnetic_chamber(b, x["LG 4103"], "St 35.8 I")
        plant_float_temperature(b, x["LG 4105"], v=160)
        plant_float_pressure(b, x["LG 4107"], v=28)
        x["LG 4107"]["fclass"] = "PN 40"
        plant_reused_serial(b, x["LG 4104"], x["LG 4103"])
        plant_long_range(b, x["LG 4101"], 100)
        g = x["LG 4102"]
        g["rho"] = 985000
        b.fault("value-implausible", g["tag"], "rho", "985 kg/l")
    ws = b.sheet("Schwimmertausch")
    write_lines(b, ws, 0, 0, ["Stillstand Bau 41 - Magnetstandanzeiger: Schwimmertausch", "Drücke als Überdruck, Stand: Auftrag 88120"])
    Be = "Betrieb"
    Zu = "Zulässig"
    Ge = "Gerät"
    Al = "Schwimmer ausgebaut"
    Ne = "Schwimmer eingebaut"

    def c(k: str, fn: Converter = unchanged) -> Converter:
        return lambda g: g["_" + k] if "_" + k in g else decimal_comma(fn)(g[k])

    cols = [
        ("Nr.", "*x_n", lambda g: gs.index(g) + 1),
        ("Equi-Nr.", "x_equi", None),
        ("Messstelle", "tag", None),
        ("alte Bez.", "old", None),
        ("Behälter", "x_vessel", None),
        ("Benennung", "svc", None),
        ("Medium", "fluid", None),
        (("Dichte kg/l", "bei 20 °C"), "x_rho20", decimal_comma(unchanged)),
        (("Dichte kg/l", "bei Betriebstemp."), "rho", decimal_comma(g_cm3(3))),
        ("Viskosität mPa s", "*mu", c("mu")),
        ((Be, "Druck bar(ü)"), "op", decimal_comma(unchanged)),
        ((Be, "Temp. °C"), "ot", None),
        ((Zu, "PS bar(ü)"), "dp", decimal_comma(unchanged)),
        ((Zu, "TS min °C"), "dt_min", None),
        ((Zu, "TS max °C"), "dt", None),
        ((Zu, "PT bar(ü)"), "*tp", c("tp")),
        ((Ge, "Bypassrohr"), "cmat", None),
        ((Ge, "Stichmaß mm"), "cc", None),
        ((Ge, "Ablesestrecke mm"), "vis", None),
        ((Ge, "DN"), "x_dn", None),
        ((Ge, "PN"), "fclass", None),
        ((Ge, "Gewicht kg"), "x_kg", None),
        ((Al, "Typ"), "x_part_old", None),
        ((Al, "Fabr.-Nr."), "x_fsn_old", None),
        ((Ne, "Typ"), "part", None),
        ((Ne, "Fabr.-Nr."), "fsn", None),
        ((Ne, "Masse g"), "mass", decimal_comma(unchanged)),
        ((Ne, "Ø mm"), "od", None),
        ((Ne, "Länge mm"), "L", None),
        ((Ne, "Magnetmitte über UK mm"), "mag", decimal_comma(unchanged)),
        ((Ne, "p max bar(ü)"), "pmax", None),
        ((Ne, "T max °C"), "tmax", None),
        ("Termin", "x_tag", None),
        ("Bemerkung", "rem", None),
    ]
    r = heading_rows(b, ws, 3, 0, cols, merge=True, down=True)
    r = write_rows(b, ws, r, 0, cols, gs)
    ws.write(r + 1, 2, "Summe Geräte")
    ws.write(r + 1, 3, len(gs))
    b.allow("number-as-text")
    finish(b, gs)


@book
def j15_grenzwertliste(b: Book) -> None:
    """German: control technician, limit values in per cent."""
    f = make_float("-", 50, 290, 830)
    gs = []
    for i, (n, s, v, pct) in enumerate(
        [
            ("2101", "Ansatzbehälter", 1200, 50),
            ("2102", "Dosierbehälter Lauge", 700, 25),
            ("2103", "Zwischenlager 1", 2000, 75),
            ("2104", "Zwischenlager 2", 2000, 75),
            ("2105", "Abwassergrube", 1600, 50),
            ("2106", "Kühlwasservorlage", 1000, 25),
            ("2107", "Sperrflüssigkeit", 500, 50),
            ("2108", "Hochbehälter", 1500, 50),
        ]
    ):
        g = gauge(f"LIA-{n}", s, None, f, 1, None, None, None, None, v)
        g.update(
            gsn=f"44{n}",
            tsn=f"MU{n[2:]}7",
            tgsn=f"44{n}",
            slev=v * pct / 100,
            action="direkt",
            lsll=0.06 * v,
            lsl=0.15 * v,
            lsh=0.85 * v,
            lshh=0.94 * v,
            x_hys=5,
            x_tz=2,
            x_sil="SIL 1" if i in (1, 4) else "-",
            x_loop=f"24V/{3 + i}",
            x_pi="12 Mon.",
            ltag=f"LT-{n}",
            _tx=1,
        )
        if n == "2108":
            g["lrv"], g["urv"], g["action"] = v, 0, "invers"
        g["scur"] = loop_current(g)
        gs.append(g)
    x = by_tag(gs)
    x["LIA-2107"].update(_lsll="entfällt", lsll=None, _lshh="entfällt", lshh=None)
    x["LIA-2105"]["rem"] = "HH schaltet Pumpe P 21 ab"
    if b.faulty:
        plant_current(b, x["LIA-2106"], 1.6)
        g = x["LIA-2103"]
        g["lsl"], g["lsh"] = g["lsh"], g["lsl"]
        b.fault("switch-order", g["tag"], ["lsl", "lsh"], "L 85 %, H 15 %")
        g = x["LIA-2102"]
        g["lshh"] = 1.07 * 700
        b.fault("switch-outside-range", g["tag"], ["lshh"], "107 % of 700 mm = 749 mm")
        g = x["LIA-2101"]
        g["lshh"] = 0.865 * 1200
        b.fault("switch-spacing-small", g["tag"], ["lsh", "lshh"], "1.5 % of 1200 mm = 18 mm")
        plant_other_serial(b, x["LIA-2104"], x["LIA-2103"]["gsn"], "tgsn")
        plant_reversed_range(b, x["LIA-2105"])
        x["LIA-2105"]["scur"] = loop_current(x["LIA-2105"])
    ws = b.sheet("Grenzwerte")
    write_lines(
        b,
        ws,
        0,
        0,
        [
            "GRENZWERTLISTE FÜLLSTAND - Magnetstandanzeiger mit Messumformer",
            "Grenzwerte in % der Messspanne, bezogen auf die Füllhöhe (0 % = untere Stutzenmitte)",
        ],
    )
    M = "Messbereich [mm]"
    P = "Prüfpunkt"
    Gw = "Grenzwerte [%]"
    Z = "Messumformer"

    def pc(k: str) -> Converter:
        return lambda g: (
            g["_" + k]
            if "_" + k in g
            else None
            if g[k] is None
            else decimal_comma(unchanged)(round(100 * g[k] / g["vis"], 1))
            if round(100 * g[k] / g["vis"], 1) % 1
            else round(100 * g[k] / g["vis"])
        )

    cols = [
        ("PLT-Stelle", "tag", None),
        ("Aufgabe", "svc", None),
        ("F.-Nr. Anzeiger", "gsn", None),
        ("Anzeigelänge [mm]", "vis", None),
        ((Z, "Stelle"), "ltag", None),
        ((Z, "F.-Nr."), "tsn", None),
        ((Z, "montiert an Anzeiger F.-Nr."), "tgsn", None),
        ((Z, "Dämpfung [s]"), "x_tz", None),
        ((M, "Anfang"), "lrv", None),
        ((M, "Ende"), "urv", None),
        ("Wirkrichtung", "action", None),
        ((P, "Füllhöhe [%]"), "*slev", pc("slev")),
        ((P, "Sollstrom [mA]"), "scur", decimal_comma(unchanged)),
        ((Gw, "LL"), "*lsll", pc("lsll")),
        ((Gw, "L"), "*lsl", pc("lsl")),
        ((Gw, "H"), "*lsh", pc("lsh")),
        ((Gw, "HH"), "*lshh", pc("lshh")),
        ((Gw, "Hyst. [mm]"), "x_hys", None),
        ("SIL", "x_sil", None),
        ("Prüfintervall", "x_pi", None),
        ("Klemme", "x_loop", None),
        ("Bemerkung", "rem", None),
    ]
    r = heading_rows(b, ws, 3, 0, cols, merge=True, at="bottom")
    r = write_rows(b, ws, r, 0, cols, gs)
    write_lines(b, ws, r + 1, 0, ["invers: 4 mA bei vollem Behälter", "erstellt: Hö", "geprüft:"])
    b.allow("number-as-text")
    finish(b, gs)


@book
def j16_registre_epreuves(b: Book) -> None:
    """French: inspection service, register of test pressures."""
    A = make_float("FM 50-76", 50, 310, 760, pmax=50, tmax=250)
    B_ = make_float("FM 50-84", 50, 290, 840, pmax=40, tmax=250)
    D = make_float("FM 50-99", 50, 255, 990, pmax=25, tmax=180)
    mk = [
        ("LG-6101", "Ballon de charge D61", "Naphta lourd", A, 0.99, 3.0, 60, 8, 150, 150, 1400, 2),
        ("LG-6102", "Ballon HP D62", "Gazole désulfuré", B_, 1.0, 22, 90, 26, 180, 300, 1000, 1),
        ("LG-6103", "Ballon HP D62 (secours)", "Gazole désulfuré", B_, 1.0, 22, 90, 26, 180, 300, 1000, 1),
        ("LG-6104", "Stripper C63", "Gazole désulfuré", B_, 0.985, 4, 170, 9, 220, 300, 900, 1),
        ("LG-6105", "Ballon eaux acides D64", "Eaux acides", D, 1.0, 1.5, 50, 5, 120, 150, 1200, 2),
        ("LG-6106", "Ballon de torche D65", "Condensats HC", A, 1.01, 0.1, 40, 3.5, 120, 150, 1600, 1),
        ("LG-6107", "Pot d'amine D66", "Amine pauvre", D, 1.015, 4, 50, 8, 120, 150, 700, 2),
        ("LG-6108", "Ballon de reflux D67", "Naphta léger", A, 0.98, 5, 45, 10, 120, 150, 1100, 1),
    ]
    gs = []
    for i, (t, s, flu, f, k, op, ot, dp, dt, cl, cc, grf) in enumerate(mk):
        g = gauge(t, s, flu, f, k, op, ot, dp, dt, cc, fclass=cl, grp="2.3")
        g.update(
            tp=round(dp * 1.43, 1),
            dt_min=-10,
            cmat="316L (1.4404)",
            x_matves="P265GH",
            x_an=2001 + i,
            x_cat="IV" if dp > 20 else "II",
            x_gr=grf,
            x_tar=dp,
            r15=g["rho"] + 22,
            x_last="03/2019",
            x_next="03/2029",
            x_vol=round(0.0021 * cc / 1000 * 10, 1),
            x_kg=22 + i,
        )
        gs.append(g)
        check_gauge(g)
    add_serials(gs, "IN", 5501, 3)
    x = by_tag(gs)
    x["LG-6106"]["x_tar"] = "sans"
    x["LG-6107"]["rem"] = "Flotteur déposé pendant l'épreuve"
    x["LG-6105"]["_r15"] = "n.c."
    if b.faulty:
        plant_test_pressure(b, x["LG-6105"], v=28)
        plant_weak_flange(b, x["LG-6108"], 16.5)
        x["LG-6108"]["tp"] = 23.6
        x["LG-6108"]["x_tar"] = 16.5
        plant_other_serial(b, x["LG-6103"], x["LG-6102"]["gsn"])
        plant_magnetic_chamber(b, x["LG-6104"], "Acier P265GH")
        plant_clear_offset(b, x["LG-6106"], ends=False, vap=False)
        x["LG-6106"]["r15"] = x["LG-6106"]["rho"] + 22
        plant_above_design(b, x["LG-6101"], "ot", 165)
    ws = b.sheet("Registre")
    write_lines(b, ws, 0, 0, ["SERVICE INSPECTION - REGISTRE DES NIVEAUX MAGNÉTIQUES (accessoires sous pression)", "Unité 61   Édition 4"], bold=True)
    Se = "Service"
    Ca = "Calcul"
    Ep = "Épreuve hydraulique"
    Ni = "Niveau"
    Fo = "Flotteur"
    cols = [
        ("Repère", "tag", None),
        ("Équipement protégé", "svc", None),
        ("Année", "x_an", None),
        ("Cat. DESP", "x_cat", None),
        ("Groupe de fluide", "x_gr", None),
        ("Produit", "fluid", None),
        (("Masse volumique (kg/dm³)", "à 15 °C"), "*r15", lambda g: g.get("_r15") or decimal_comma(g_cm3(3))(g["r15"])),
        (("Masse volumique (kg/dm³)", "en service"), "rho", decimal_comma(g_cm3(3))),
        ((Se, "P (bar rel.)"), "op", decimal_comma(unchanged)),
        ((Se, "T (°C)"), "ot", None),
        ((Ca, "PS (bar rel.)"), "dp", decimal_comma(unchanged)),
        ((Ca, "TS mini (°C)"), "dt_min", None),
        ((Ca, "TS maxi (°C)"), "dt", None),
        ("Tarage soupape (bar rel.)", "x_tar", decimal_comma(unchanged)),
        ((Ep, "Pression (bar rel.)"), "tp", decimal_comma(unchanged)),
        ((Ep, "Dernière"), "x_last", None),
        ((Ep, "Prochaine"), "x_next", None),
        ("Matière équipement", "x_matves", None),
        ((Ni, "N° de fabrication"), "gsn", None),
        ((Ni, "Matière du tube"), "cmat", None),
        ((Ni, "Brides (classe)"), "fclass", lambda v: f"Cl. {v}"),
        ((Ni, "Entraxe (mm)"), "cc", None),
        ((Ni, "Hauteur lue (mm)"), "vis", None),
        ((Ni, "Masse à vide (kg)"), "x_kg", None),
        ((Fo, "Référence"), "part", None),
        ((Fo, "N°"), "fsn", None),
        ((Fo, "Gravé pour le niveau n°"), "fgsn", None),
        ((Fo, "Masse (g)"), "mass", decimal_comma(unchanged)),
        ((Fo, "Diamètre (mm)"), "od", None),
        ((Fo, "Hauteur totale (mm)"), "L", None),
        ((Fo, "Aimant / bas (mm)"), "mag", decimal_comma(unchanged)),
        ((Fo, "P maxi (bar rel.)"), "pmax", None),
        ((Fo, "T maxi (°C)"), "tmax", None),
        ("Observations", "rem", None),
    ]
    r = heading_rows(b, ws, 3, 0, cols, merge=False)
    write_rows(b, ws, r, 0, cols, gs, {"LG-6101": "SECTION RÉACTION", "LG-6105": "UTILITÉS"})
    b.allow("number-as-text")
    finish(b, gs)


@book
def j17_tracage_sucrerie(b: Book) -> None:
    """French: tracing of a sugar and alcohol works."""
    f = make_float("-", 50, 290, 830, tmax=180)
    mk: list[tuple[Any, ...]] = [
        ("LG-301", "Bac mélasse", "Mélasse", 25, 45, 0.02, "Électrique", 45, 45, 95, 2600, 50, "T4"),
        ("LG-302", "Bac sirop", "Sirop 68 Bx", 5, 60, 0.02, "Électrique", 55, 50, 95, 90, 50, "T4"),
        ("LG-303", "Bac soude", "Soude 50 %", 12, 35, 0.02, "Électrique", 30, 35, 90, 35, 50, "T4"),
        ("LG-304", "Ballon eau de process", "Eau", 0, 15, 0.4, "Électrique", 10, 26, 70, 1.1, 40, "T4"),
        ("LG-305", "Bac alcool brut", "Alcool brut 92 %", -90, 20, 0.02, "Non", None, None, None, 1.5, None, "T4"),
        ("LG-306", "Retour huile thermique", "Huile thermique", -42, 120, 3, "Non", None, None, None, 6, None, "T3"),
        ("LG-307", "Bac acides gras", "Acides gras", 42, 70, 0.02, "Vapeur", 65, None, None, 12, 60, "T3"),
        ("LG-308", "Ballon condensats", "Condensats", 0, 80, 0.5, "Électrique", 10, 28, 70, 0.4, 40, "T4"),
        ("LG-309", "Bac antimousse", "Antimousse", -30, 20, 0.02, "Non", None, None, None, 120, None, "T4"),
    ]
    gs = []
    for i, (t, s, flu, frz, ot, op, tr, tm, tw, ts, mu, ins, tc) in enumerate(mk):
        g = gauge(t, s, flu, f, 1, op, ot, None, None, 800 + 150 * i)
        g.update(
            frz=frz,
            amb=-18,
            trace=tr,
            tmain=tm,
            tw=tw,
            tsheath=ts,
            mu=mu,
            ins=ins,
            tcls=tc,
            chod=60.3,
            x_circ=f"C{40 + i}" if tw else None,
            x_len=round(2.4 + 0.3 * i, 1) if tw else None,
            x_amax=38,
            x_cons=round(tw * (2.4 + 0.3 * i)) if tw else None,
            tmax=180,
        )
        if tw:
            assert tw > 1.3 * heat_loss(tm, -18, 60.3, ins, 0.04), (t, heat_loss(tm, -18, 60.3, ins, 0.04))
        gs.append(g)
    x = by_tag(gs)
    x["LG-307"]["rem"] = "Traceur vapeur 2,5 bar"
    x["LG-305"]["_tmain"] = "s.o."
    x["LG-306"]["_tmain"] = "s.o."
    if b.faulty:
        g = x["LG-308"]
        g.update(trace="Non", tmain=None, tw=None, tsheath=None, x_circ=None, x_len=None, x_cons=None, ins=None)
        b.fault("tracing-missing", g["tag"], ["trace", "frz", "amb", "fluid"], "0 degC at -18 degC")
        g = x["LG-301"]
        g["tw"] = 8
        assert 0.6 * heat_loss(45, -18, 60.3, 50, 0.04) > 8
        b.fault("tracing-underpowered", g["tag"], ["tw", "tmain", "ins", "amb"], f"8 W/m < {heat_loss(45, -18, 60.3, 50, 0.04):.0f}")
        g = x["LG-303"]
        g["tsheath"] = 148
        b.fault("tracing-too-hot", g["tag"], ["tsheath", "tcls"], "148 > T4 135 degC")
        g = x["LG-309"]
        g["mu"] = 850
        b.fault("viscosity-too-high", g["tag"], ["mu", "trace"], "850 mPa.s untraced")
        g = x["LG-304"]
        g["tmain"] = 115
        g["tw"] = 70
        g["tsheath"] = 125
        assert saturation_temperature("Water", 0.4) < 111 and 1.25 * heat_loss(115, -18, 60.3, 40, 0.04) < 70
        b.fault("tracing-boils-fluid", g["tag"], ["tmain", "op", "fluid"], f"{saturation_temperature('Water', 0.4):.0f} degC at 0.4 barg")
    ws = b.sheet("Traçage")
    write_lines(b, ws, 0, 0, ["LISTE DES NIVEAUX À TRACER", "Lot 7 - Traçage et calorifuge", "Vent 10 m/s"])
    P = "Produit"
    T = "Traçage"
    K = "Calorifuge"
    A = "Ambiance (°C)"
    cols = [
        ("N°", "*x_n", lambda g: gs.index(g) + 1),
        ("Repère niveau", "tag", None),
        ("Service", "svc", None),
        ((P, "Nature", ""), "fluid", None),
        ((P, "Point de figeage", "°C"), "frz", None),
        ((P, "T° service", "°C"), "ot", None),
        ((P, "P service", "bar rel."), "op", decimal_comma(unchanged)),
        ((P, "Viscosité", "mPa.s"), "mu", decimal_comma(unchanged)),
        ((A, "mini", ""), "amb", None),
        ((A, "maxi", ""), "x_amax", None),
        ((T, "Mode", ""), "trace", None),
        ((T, "Circuit", ""), "x_circ", None),
        ((T, "T° de maintien", "°C"), "*tmain", words_or("tmain", None)),
        ((T, "Puissance installée", "W/m"), "tw", None),
        ((T, "Longueur", "m"), "x_len", None),
        ((T, "Puissance totale", "W"), "x_cons", None),
        ((T, "T° gaine maxi", "°C"), "tsheath", None),
        ((T, "Classe T", ""), "tcls", None),
        ((K, "Épaisseur", "mm"), "ins", None),
        ("Ø ext. tube mm", "chod", decimal_comma(unchanged)),
        ("T° maxi flotteur °C", "tmax", None),
        ("Remarques", "rem", None),
    ]
    r = heading_rows(b, ws, 4, 0, cols, merge=True)
    write_rows(b, ws, r, 0, cols, gs)
    b.allow("number-as-text")
    finish(b, gs)
