"""Lists from Germany, Austria and Switzerland."""

from __future__ import annotations

import datetime
from typing import Any

from tests.reading.books.lists_european.common import (
    always,
    check_sound,
    density_at,
    end_shape_in,
    finish,
    in_unit_of_row,
    other_instrument,
    plant_clear_offset,
    plant_close_switches,
    plant_duplicate_tag,
    plant_missing_tag,
    plant_other_serial,
    plant_other_temperature_density,
    plant_over_design,
    plant_reused_serial,
    plant_reversed_densities,
    plant_shown_value,
    plant_swapped_densities,
    plant_switch_order,
    plant_switch_outside,
    prepare,
    show,
    stated,
    thousands_apostrophe,
    thousands_dot,
    titanium_in,
    write_float_list,
    write_list,
)
from tests.reading.faults import (
    plant_above_design,
    plant_current,
    plant_design_density,
    plant_flange_rating,
    plant_float_pressure,
    plant_float_temperature,
    plant_long_range,
    plant_magnetic_chamber,
    plant_reversed_range,
    plant_sinking,
    plant_test_pressure,
    plant_unlisted_float,
    plant_urv_outside,
    plant_urv_short,
)
from tests.reading.gauges import by_tag, gauge, loop_current, make_float
from tests.reading.physics import liquid_density, saturation_pressure, vapour_density
from tests.reading.registry import book
from tests.reading.units import bara, barg, cm, decimal_comma, degC, g_cm3, gram, kg_m3, mbarg, metre, mm
from tests.reading.writing import Book


@book
def u01_plt_stellenliste(b: Book) -> None:
    """PLT-Stellenliste: three heading rows, groups not merged, min / norm / max, other instruments between."""
    fl = [
        make_float("SK-0785", 52, 310, 785, pmax=25, tmax=180),
        make_float("SK-0870", 52, 290, 870, pmax=25, tmax=180),
        make_float("SK-0995", 52, 250, 995, pmax=16, tmax=150),
        make_float("SK-0710", 52, 330, 710, pmax=40, tmax=180),
    ]
    gs = [
        gauge("2100-LG-01", "Vorlage Rohlösemittel", "Rohlösemittel L-12", fl[0], 0.99, 0.5, 40, 6, 120, 1000, x_vessel_id="B2101", x_pn_line=16),
        gauge("2100-LG-02", "Kolonnensumpf", "Sumpfprodukt", fl[1], 1.005, 1.2, 118, 6, 160, 1200, x_vessel_id="K2102", x_pn_line=40),
        gauge("2100-LG-03", "Rücklaufbehälter", "Kopfprodukt L-10", fl[3], 0.995, 2.4, 55, 10, 120, 800, x_vessel_id="B2103", x_pn_line=40),
        gauge("2100-LG-04", "Abwasservorlage", "Prozessabwasser", fl[2], 0.99, 0.2, 45, 4, 100, 1500, x_vessel_id="B2104", x_pn_line=16),
        gauge("2100-LG-05", "Zwischenlager Reinprodukt", "Reinprodukt L-12", fl[0], 1.01, 0.1, 30, 4, 100, 1400, x_vessel_id="B2105", x_pn_line=16),
        gauge("2100-LG-06", "Leichtsiedervorlage", "Leichtsieder", fl[3], 1.0, 3.0, 48, 12, 120, 900, x_vessel_id="B2106", x_pn_line=40),
        gauge("2100-LG-07", "Schwersiedervorlage", "Schwersieder", fl[1], 0.99, 0.4, 95, 4, 150, 1100, x_vessel_id="B2107", x_pn_line=16),
    ]
    prepare(gs, mm=0.008)
    for g in gs:
        n = g["tag"][-2:]
        g.update(
            op_max=round(g["op"] * 1.3, 1),
            ot_max=g["ot"] + 10,
            x_pid=f"21-RI-{3 + int(n) // 3:03d}",
            inst="Bypass-Magnetklappenanzeiger",
            cmat="1.4571",
            x_pn_line=f"PN {g['x_pn_line']}",
        )
    check_sound(gs)
    x = by_tag(gs)
    show(x["2100-LG-05"], dt="folgt")
    show(x["2100-LG-07"], ot="ca. 95")
    if b.faulty:
        plant_clear_offset(b, x["2100-LG-01"], 1.13)
        plant_reversed_densities(b, x["2100-LG-02"])
        plant_over_design(b, x["2100-LG-03"], "op_max", 11.5)
        plant_float_pressure(b, x["2100-LG-04"], v=18.0)
        plant_long_range(b, x["2100-LG-05"], 120)
        plant_magnetic_chamber(b, x["2100-LG-06"], "P265GH")
        plant_unlisted_float(b, x["2100-LG-07"], "SK-0860")
    ws = b.sheet("PLT-Stellen")
    ws.write(0, 0, "PLT-Stellenliste", b.fmt(bold=True, font_size=14))
    ws.write(1, 0, "Anlage 21, Lösemittelrückgewinnung")
    ws.write(1, 7, "Dok.-Nr. 21-PLT-0004  Rev. 3  Stand 17.02.")
    cols = [
        (("Lfd.", "Nr."), "x_item", None),
        (("PLT-", "Stelle"), "tag", None),
        (("R+I-", "Fließbild"), "x_pid", None),
        (("Behälter-", "Nr."), "x_vessel_id", None),
        ("Messaufgabe", "svc", None),
        ("Geräteart", "inst", None),
        ("Messstoff", "fluid", None),
        (("Betriebsdichte", "min", "kg/m³"), "rho_min", None),
        (("Betriebsdichte", "norm", "kg/m³"), "rho", None),
        (("Betriebsdichte", "max", "kg/m³"), "rho_max", None),
        (("Betr.-Druck", "norm", "bar Ü"), "op", barg(1)),
        (("Betr.-Druck", "max", "bar Ü"), "op_max", barg(1)),
        (("Betr.-Temp.", "norm", "°C"), "ot", None),
        (("Betr.-Temp.", "max", "°C"), "ot_max", None),
        (("Auslegung", "Druck", "bar Ü"), "dp", barg(1)),
        (("Auslegung", "Temp.", "°C"), "dt", None),
        (("Rohrleitung", "Nenndruck"), "x_pn_line", None),
        (("Mitten-", "abst.", "mm"), "cc", None),
        (("Messbereich", "Anf.", "mm"), "lrv", None),
        (("Messbereich", "Ende", "mm"), "urv", None),
        (("Werkstoff", "Standrohr"), "cmat", None),
        (("Schwimmer-", "Typ"), "part", None),
        ("Bemerkung", "rem", None),
    ]
    rows = [
        *gs[:2],
        other_instrument(
            tag="2100-PI-01", svc="Druck Kolonnenkopf", inst="Manometer", fluid="Brüden", op=0.8, op_max=1.2, ot=80, dp=6, dt=160, lrv=0, urv=10, x_item=8
        ),
        other_instrument(
            tag="2100-TI-03", svc="Sumpftemperatur", inst="Widerstandsthermometer", fluid="Sumpfprodukt", op=1.2, ot=118, dp=6, dt=160, lrv=0, urv=200, x_item=9
        ),
        *gs[2:4],
        None,
        other_instrument(
            tag="2100-FV-02", svc="Rücklaufmenge", inst="Regelventil", fluid="Kopfprodukt L-10", op=4.5, ot=50, dp=10, dt=120, x_item=10, x_pn_line="PN 40"
        ),
        other_instrument(
            tag="2100-LI-11",
            svc="Tank Rohlösemittel",
            inst="Radar",
            fluid="Rohlösemittel L-12",
            rho=778,
            op=0.0,
            ot=20,
            dp=0.1,
            dt=60,
            lrv=0,
            urv=8000,
            x_item=11,
        ),
        *gs[4:],
    ]
    r = write_list(b, ws, 3, cols, rows, merge="")
    ws.write(r + 1, 1, "Summe: 11 PLT-Stellen")
    ws.write(r + 2, 1, "1) Werkstoff der Schwimmer nach Wahl des Lieferanten.")
    ws.freeze_panes(6, 2)
    write_float_list(
        b,
        "Schwimmerliste",
        fl,
        [
            (("Schwimmer-Typ", ""), "part", None),
            (("Masse", "g"), "mass", decimal_comma(gram(1))),
            (("Außendurchmesser", "mm"), "od", None),
            (("Gesamtlänge", "mm"), "L", None),
            (("Magnetebene ab Unterkante", "mm"), "mag", decimal_comma(mm(1))),
            (("Böden", ""), "ends", end_shape_in("de")),
            (("p max", "bar Ü"), "pmax", None),
            (("T max", "°C"), "tmax", None),
            (("Werkstoff", ""), "fmat", titanium_in("de")),
        ],
        gs,
    )
    finish(b, gs, "number-as-text")


@book
def u02_lieferantenruecklauf(b: Book) -> None:
    """Vendor's return, German / English in one cell, price columns, points in thousands."""
    fl = [
        make_float("ZS 84", 50, 290, 840, pmax=40, tmax=200),
        make_float("ZS 99", 50, 250, 990, pmax=40, tmax=200),
        make_float("ZS 73", 50, 320, 730, pmax=25, tmax=160),
        make_float("ZS 112", 50, 230, 1120, pmax=25, tmax=200),
    ]
    gs = [
        gauge("LG-30101", "Absetzbehälter / settler", "Waschöl / wash oil", fl[0], 0.99, 1.5, 60, 6, 120, 1250, fclass="PN 40"),
        gauge("LG-30102", "Blasenkolonne / bubble column", "Prozesswasser / process water", fl[1], 0.992, 2.0, 60, 10, 120, 1600, fclass="PN 40"),
        gauge("LG-30103", "Kopfbehälter / overhead drum", "Leichtfraktion / light cut", fl[2], 1.01, 4.0, 55, 12, 120, 900, fclass=150, grp="2.3"),
        gauge("LG-30104", "Solevorlage / brine drum", "Sole 16 % / brine 16 %", fl[3], 0.99, 0.5, 30, 6, 80, 1100, fclass="PN 16"),
        gauge("LG-30105", "Waschölvorlage / wash oil drum", "Waschöl / wash oil", fl[0], 1.0, 1.0, 40, 6, 120, 1000, fclass="PN 40"),
        gauge("LG-30106", "Ölabscheider / oil separator", "Waschöl / wash oil", fl[0], 1.005, 3.0, 50, 10, 120, 1350, fclass=150, grp="2.3"),
    ]
    prepare(gs, cmat="1.4404 / 316L")
    for g, price in zip(gs, (3180, 3420, 2890, 3975, 3020, 3260), strict=False):
        g.update(x_price=price, x_dn="DN 25" if g["fclass"] != 150 else 'NPS 1"')
    x = by_tag(gs)
    if b.faulty:
        plant_sinking(b, x["LG-30103"])
        g = x["LG-30102"]
        g["mag"] = round(g["L"] + 24.5, 1)
        b.fault(
            "float-data-impossible",
            g["tag"],
            ["mag", "L"],
            f"magnet {g['mag']} above a float of {g['L']} mm",
            ok=["offset-exceeds-tolerance", "float-data-conflict"],
        )
        plant_test_pressure(b, x["LG-30104"], v=27.5)
        plant_long_range(b, x["LG-30105"], 200)
        plant_flange_rating(b, x["LG-30106"], 21.5)
        x["LG-30106"]["tp"] = 30.7
        plant_float_temperature(b, x["LG-30101"], v=220)
    for g in gs:
        g["fcl"] = f"Class {g['fclass']}" if g["fclass"] == 150 else g["fclass"]
    ws = b.sheet("Angebot 23-1188")
    ws.write(0, 1, "TECHNISCHES DATENBLATT / TECHNICAL DATA LIST", b.fmt(bold=True))
    ws.write(1, 1, "Rücklauf des Lieferanten / vendor's return, Anfrage / RFQ 4711-88")
    ws.write(2, 1, "Gültig bis / valid until: 30.06.")
    cols = [
        ("Pos.", "x_item", None),
        ("Mess-\nstelle /\nTag No.", "tag", None),
        ("Einsatz / Service", "svc", None),
        ("Medium / Fluid", "fluid", None),
        ("Betr.-Dichte /\nOper. density\n[kg/dm³]", "rho", decimal_comma(g_cm3(3))),
        ("Betr.-Druck /\nOper. pressure\n[bar(g)]", "op", decimal_comma(barg(1))),
        ("Betr.-Temp. /\nOper. temp.\n[°C]", "ot", None),
        ("Ausl.-Druck /\nDesign press.\n[bar(g)]", "dp", decimal_comma(barg(1))),
        ("Ausl.-Temp. /\nDesign temp.\n[°C]", "dt", None),
        ("Prüfdruck /\nTest pressure\n[bar(g)]", "tp", decimal_comma(barg(1))),
        ("Mittenabst. /\nC-C distance\n[mm]", "cc", thousands_dot),
        ("Anzeigelänge /\nVisible length\n[mm]", "vis", thousands_dot),
        ("Nennweite /\nNominal size", "x_dn", None),
        ("Flanschnorm /\nFlange rating", "*fclass", stated("fcl")),
        ("Werkst. Kammer /\nChamber mat.", "cmat", None),
        ("Schwimmer-Nr. /\nFloat No.", "part", None),
        ("Gewicht /\nWeight\n[g]", "mass", decimal_comma(gram(1))),
        ("Außen-Ø /\nO.D.\n[mm]", "od", None),
        ("Länge ges. /\nLength\n[mm]", "L", None),
        ("Magnetlage v. unten /\nMagnet above bottom\n[mm]", "mag", decimal_comma(mm(1))),
        ("Ausl.-Dichte Schw. /\nFloat design density\n[kg/dm³]", "drho", decimal_comma(g_cm3(3))),
        ("Endform /\nEnd shape", "*ends", always("eben / flat")),
        ("Schwimmer p max /\nFloat max. press.\n[bar(g)]", "pmax", None),
        ("Schwimmer T max /\nFloat max. temp.\n[°C]", "tmax", None),
        ("Einzelpreis /\nUnit price\n[EUR]", "x_price", None, "#,##0.00"),
        ("Lieferzeit /\nDelivery\n[Wo./wk]", "*x_delivery", always(14)),
        ("Kommentar Lieferant /\nVendor's comment", "rem", None),
    ]
    x["LG-30103"]["rem"] = "Titan-Schwimmer erforderlich"
    r = write_list(b, ws, 4, cols, gs, c=1)
    ws.write(r, 3, "Summe / Total")
    ws.write_formula(r, 25, f"=SUM(Z6:Z{r})", b.fmt(num_format="#,##0.00", bold=True), sum(g["x_price"] for g in gs))
    ws.write(r + 2, 1, "Preise ohne MwSt. / prices without VAT. Verpackung nach Aufwand / packing at cost.")
    finish(b, gs, "number-as-text")


@book
def u03_instandhaltungsexport(b: Book) -> None:
    """Maintenance export: machine names, unit beside every value, units differ by row, all cells text."""
    fl = [
        make_float("90-4411-A", 50, 300, 800, pmax=25, tmax=150),
        make_float("90-4411-C", 50, 250, 1005, pmax=25, tmax=150),
        make_float("90-4412-A", 50, 270, 905, pmax=16, tmax=180),
        make_float("90-4413-B", 50, 210, 1260, pmax=10, tmax=90),
    ]
    gs = [
        gauge("31-LG-001", "NIVEAU VORLAGE HARZ", "TESTBENZIN", fl[0], 0.985, 0.05, 25, 3, 80, 1000, u_rho="g/cm3", u_p="mbar Ü"),
        gauge("31-LG-002", "NIVEAU WASCHER SUMPF", "WASCHWASSER", fl[1], 0.985, 0.3, 40, 6, 100, 800, u_rho="kg/m3", u_p="bar Ü"),
        gauge("31-LG-003", "NIVEAU HEISSOELVORLAGE", "WAERMETRAEGEROEL", fl[2], 0.98, 1.5, 150, 6, 170, 600, u_rho="kg/m3", u_p="bar Ü"),
        gauge("31-LG-004", "NIVEAU LAUGENTANK", "NATRONLAUGE 24 %", fl[3], 0.99, 0.02, 35, 1, 70, 1500, u_rho="g/cm3", u_p="mbar Ü"),
        gauge("31-LG-005", "NIVEAU LOESEMITTELTANK", "TESTBENZIN", fl[0], 0.985, 0.02, 20, 1, 60, 2000, u_rho="kg/m3", u_p="mbar Ü"),
        gauge("31-LG-006", "NIVEAU ABSCHEIDER", "WASCHWASSER", fl[1], 0.99, 0.4, 35, 6, 100, 700, u_rho="g/cm3", u_p="bar Ü"),
        gauge("31-LG-007", "NIVEAU EXPANSIONSGEF.", "WAERMETRAEGEROEL", fl[2], 1.0, 0.8, 130, 6, 170, 900, u_rho="g/cm3", u_p="bar Ü"),
        gauge("31-LG-008", "NIVEAU RESERVETANK", "TESTBENZIN", fl[0], 0.99, 0.02, 20, 1, 60, 1800, u_rho="kg/m3", u_p="mbar Ü"),
    ]
    prepare(gs)
    for i, g in enumerate(gs):
        g.update(
            cmat="1.4541" if i % 2 else "1.4571",
            gsn=f"B{77120 + 7 * i}",
            fsn=f"{5510 + 3 * i}",
            x_funct_loc=f"W2-T31-{310 + i}",
            x_equi=f"100{23411 + i}",
            x_year=2009 + i,
            u_l="m" if i in (3, 4, 7) else "mm",
            x_value=1850 + 75 * i,
        )
        g["fgsn"] = g["gsn"]
    check_sound(gs)
    x = by_tag(gs)
    if b.faulty:
        plant_other_serial(b, x["31-LG-002"], x["31-LG-006"]["gsn"])
        plant_reused_serial(b, x["31-LG-005"], x["31-LG-006"])
        plant_clear_offset(b, x["31-LG-003"], 0.89)
        plant_float_pressure(b, x["31-LG-004"], v=12.0)
        plant_long_range(b, x["31-LG-006"], 150)
        plant_shown_value(b, x["31-LG-007"], "rho", "905", "905 g/cm3: no liquid has it", alt=["unit-ambiguous"])
        plant_duplicate_tag(b, x["31-LG-008"], x["31-LG-001"])
    dens = {"g/cm3": decimal_comma(g_cm3(3)), "kg/m3": decimal_comma(kg_m3(0))}
    pres = {"bar Ü": decimal_comma(barg(2)), "mbar Ü": decimal_comma(mbarg(0))}
    leng = {"mm": decimal_comma(mm(0)), "m": decimal_comma(metre(3))}
    cols = [
        ("TPLNR", "x_funct_loc", None),
        ("EQUNR", "x_equi", None),
        ("MESSSTELLE", "tag", None),
        ("BEZEICHNUNG", "svc", None),
        ("MEDIUM", "fluid", None),
        ("BETR_DICHTE", "*rho", in_unit_of_row("rho", "u_rho", dens)),
        ("BETR_DICHTE_EINH", "*x_unit_rho", stated("u_rho")),
        ("BETR_DRUCK", "*op", in_unit_of_row("op", "u_p", pres)),
        ("BETR_DRUCK_EINH", "*x_unit_op", stated("u_p")),
        ("BETR_TEMP", "ot", decimal_comma(degC())),
        ("BETR_TEMP_EINH", "*x_unit_ot", always("°C")),
        ("AUSL_DRUCK", "dp", decimal_comma(barg(1))),
        ("AUSL_DRUCK_EINH", "*x_unit_dp", always("bar Ü")),
        ("AUSL_TEMP", "dt", decimal_comma(degC())),
        ("AUSL_TEMP_EINH", "*x_unit_dt", always("°C")),
        ("MITTENABSTAND", "*cc", in_unit_of_row("cc", "u_l", leng)),
        ("MITTENABSTAND_EINH", "*x_unit_cc", stated("u_l")),
        ("ANZEIGEBEREICH", "*vis", in_unit_of_row("vis", "u_l", leng)),
        ("ANZEIGEBEREICH_EINH", "*x_unit_vis", stated("u_l")),
        ("WERKST_STANDROHR", "cmat", None),
        ("SCHWIMMER_TYP", "part", None),
        ("SERIENNR_GERAET", "gsn", None),
        ("SERIENNR_SCHWIMMER", "fsn", None),
        ("GERAETENR_LT_SCHW_SCHILD", "fgsn", None),
        ("BAUJAHR", "x_year", decimal_comma(degC())),
        ("ANSCHAFFUNGSWERT", "x_value", decimal_comma(degC())),
        ("WAEHRUNG", "*x_currency", always("EUR")),
    ]
    ws = b.sheet("EXPORT")
    write_list(b, ws, 0, cols, gs, hk={"bold": False}, width=16)
    ws.autofilter(0, 0, len(gs), len(cols) - 1)
    write_float_list(
        b,
        "EXPORT_SCHWIMMER",
        fl,
        [
            ("SCHWIMMER_TYP", "part", None),
            ("MASSE", "mass", decimal_comma(gram(1))),
            ("MASSE_EINH", "*x_unit_mass", always("g")),
            ("AUSSEN_DM", "od", decimal_comma(mm())),
            ("AUSSEN_DM_EINH", "*x_unit_od", always("mm")),
            ("LAENGE_GES", "L", decimal_comma(mm())),
            ("LAENGE_GES_EINH", "*x_unit_L", always("mm")),
            ("MAGNETHOEHE_UK", "mag", decimal_comma(mm(1))),
            ("MAGNETHOEHE_UK_EINH", "*x_unit_mag", always("mm")),
            ("BODENFORM", "ends", end_shape_in("de")),
            ("DRUCK_MAX", "pmax", decimal_comma(barg())),
            ("DRUCK_MAX_EINH", "*x_unit_pmax", always("bar Ü")),
            ("TEMP_MAX", "tmax", decimal_comma(degC())),
            ("TEMP_MAX_EINH", "*x_unit_tmax", always("°C")),
        ],
        gs,
        hk={"bold": False},
    )
    finish(b, gs, "number-as-text")


@book
def u04_kesselhaus_at(b: Book) -> None:
    """Boiler house (AT), power-plant codes, headings merged down, four set points, density at 20 degC beside the operating one."""
    w105, w75, w140 = (round(liquid_density("Water", t, p)) for t, p in ((105, 0.9), (75, 0.1), (140, 5.0)))
    fl = [
        make_float("KA-955", 54, 290, w105, pmax=25, tmax=200),
        make_float("KA-975", 54, 280, w75, pmax=16, tmax=160),
        make_float("KA-998", 54, 270, 998, pmax=10, tmax=90),
        make_float("KA-926", 54, 300, w140, pmax=40, tmax=250),
        make_float("KA-845", 54, 320, 845, pmax=10, tmax=90),
    ]
    gs = [
        gauge(
            "10LAA10CL501",
            "Speisewasserbehälter",
            "Kesselspeisewasser",
            fl[0],
            1.0,
            0.9,
            105,
            4,
            160,
            2000,
            pure="Water",
            x_psv=3.5,
            x_height=3200,
            x_dn="DN 25",
        ),
        gauge("10LCA20CL501", "Kondensatsammelbehälter", "Kondensat", fl[1], 1.0, 0.1, 75, 1, 110, 1200, pure="Water", x_psv=0.8, x_height=1900, x_dn="DN 20"),
        gauge("10GCF10CL501", "Deionattank", "Deionat", fl[2], 1.0, 0.0, 20, 0.5, 60, 2500, pure="Water", x_psv=None, x_height=4100, x_dn="DN 20"),
        gauge("10LCQ10CL501", "Abschlämmentspanner", "Kesselwasser", fl[3], 1.0, 5.0, 140, 10, 200, 900, pure="Water", x_psv=9.5, x_height=2200, x_dn="DN 25"),
        gauge("10EGB10CL501", "Tagestank Heizöl", "Heizöl EL", fl[4], 0.99, 0.0, 20, 0.5, 50, 1500, x_psv=None, x_height=2400, x_dn="DN 25"),
        gauge(
            "20LAA10CL501",
            "Speisewasserbehälter Kessel 2",
            "Kesselspeisewasser",
            fl[0],
            1.0,
            0.9,
            105,
            4,
            160,
            2000,
            pure="Water",
            x_psv=3.5,
            x_height=3200,
            x_dn="DN 25",
        ),
        gauge(
            "20LCQ10CL501",
            "Abschlämmentspanner Kessel 2",
            "Kesselwasser",
            fl[3],
            1.0,
            5.0,
            140,
            10,
            200,
            900,
            pure="Water",
            x_psv=9.5,
            x_height=2200,
            x_dn="DN 25",
        ),
    ]
    for g in gs:
        v = g["vis"]
        g.update(
            lsll=round(v * 0.1),
            lsl=round(v * 0.2),
            lsh=round(v * 0.8),
            lshh=round(v * 0.9),
            cmat="1.4404",
            x_rho20=998 if g.get("pure") else 842,
            fclass="PN 40" if g["dp"] > 2 else "PN 16",
        )
    prepare(gs)
    x = by_tag(gs)
    if b.faulty:
        plant_other_temperature_density(b, x["20LCQ10CL501"], 998)
        plant_switch_order(b, x["10LAA10CL501"], "lsll", "lsl")
        plant_switch_outside(b, x["10LCA20CL501"], "lshh", 1240)
        plant_above_design(b, x["10GCF10CL501"], "ot", 68)
        plant_magnetic_chamber(b, x["20LAA10CL501"], "16Mo3 (1.5415)")
        plant_test_pressure(b, x["10EGB10CL501"], v=11.5)
        plant_long_range(b, x["10LCQ10CL501"], 60)
    ws = b.sheet("Niveaustände Kesselhaus")
    ws.write(0, 0, "Heizwerk Mitterlohau, Kesselhaus: Niveaustandanzeiger mit Magnetschwimmer", b.fmt(bold=True))
    ws.write(1, 0, "KKS = Kraftwerkskennzeichen; Grenzwerte in mm über Mitte unterer Stutzen")
    cols = [
        ("KKS", "tag", None),
        ("Anlagenteil", "svc", None),
        ("Medium", "fluid", None),
        (("Dichte [kg/m³]", "bei 20 °C"), "x_rho20", None),
        (("Dichte [kg/m³]", "im Betrieb"), "rho", None),
        ("Betriebsüberdruck [bar]", "op", barg(1), "0.0"),
        ("Betriebs-temp. [°C]", "ot", None),
        ("zul. Überdruck PS [bar]", "dp", barg(1), "0.0"),
        ("zul. Temp. TS [°C]", "dt", None),
        ("Prüfüberdruck PT [bar]", "tp", barg(1), "0.0"),
        ("Ansprechdruck Sicherheitsventil [bar]", "x_psv", None),
        ("Behälterhöhe [mm]", "x_height", None),
        ("Stuzenabstand Mitte-Mitte [mm]", "cc", None),
        ("Skalenlänge [mm]", "vis", None),
        (("Grenzwerte [mm]", "Min 2"), "lsll", None),
        (("Grenzwerte [mm]", "Min 1"), "lsl", None),
        (("Grenzwerte [mm]", "Max 1"), "lsh", None),
        (("Grenzwerte [mm]", "Max 2"), "lshh", None),
        ("Werkstoff Standrohr", "cmat", None),
        ("Nennweite", "x_dn", None),
        ("Nenndruck", "fclass", None),
        ("Schwimmertype", "part", None),
    ]
    rows = ["Kessel 1 und Nebenanlagen", *gs[:5], None, "Kessel 2", *gs[5:]]
    write_list(b, ws, 3, cols, rows, merge="hv", border=1)
    write_float_list(
        b,
        "Schwimmer",
        fl,
        [
            ("Type", "part", None),
            ("Masse [g]", "mass", None),
            ("Durchmesser außen [mm]", "od", None),
            ("Länge über alles [mm]", "L", None),
            ("Abstand Magnet von Unterkante [mm]", "mag", None),
            ("Bodenform", "ends", end_shape_in("de")),
            ("ausgelegt für Dichte [kg/m³]", "drho", None),
            ("zul. Überdruck [bar]", "pmax", None),
            ("zul. Temperatur [°C]", "tmax", None),
        ],
        gs,
    )
    finish(b, gs, *[("tag-malformed", g["tag"], "power-plant code, no ISA tag") for g in gs])


@book
def u05_klaeranlage_ch(b: Book) -> None:
    """Sewage works (CH): Swiss spelling, apostrophes in thousands, unit row, section rows, placeholders, plastics."""
    fl = [
        make_float("SKP-1000", 60, 260, 1000, pmax=6, tmax=60, mat="PP"),
        make_float("SKP-1420", 60, 200, 1420, pmax=6, tmax=60, mat="PVDF"),
        make_float("SKP-1330", 60, 210, 1330, pmax=6, tmax=60, mat="PP"),
        make_float("SKS-990", 60, 260, 990, pmax=10, tmax=120, mat="1.4404"),
    ]
    gs = [
        gauge("LI 401", "Fällmittelstation 1", "Eisen(III)-chlorid 40 %", fl[1], 1.0, 0.01, 20, 0.5, 40, 1800, cmat="PVC-U", x_ka="D 40"),
        gauge("LI 402", "Fällmittelstation 2", "Eisen(III)-chlorid 40 %", fl[1], 1.0, 0.01, 20, 0.5, 40, 1800, cmat="PVC-U", x_ka="D 40"),
        gauge("LI 411", "Laugenlager", "Natronlauge 30 %", fl[2], 0.995, 0.01, 25, 0.5, 40, 1500, cmat="PP", x_ka="D 40"),
        gauge("LI 421", "Polymeransetzstation", "Polymerlösung 0.3 %", fl[0], 1.0, 0.0, 20, 0.3, 40, 900, cmat="PVC-U", x_ka="D 32"),
        gauge("LI 431", "Zentratstapel", "Zentrat", fl[0], 1.005, 0.02, 30, 0.5, 45, 1200, cmat="1.4404", x_ka="D 50"),
        gauge("LI 432", "Wärmerückgewinnung", "Heizwasser (Glykol 5 %)", fl[3], 0.99, 1.0, 70, 4, 95, 700, cmat="1.4404", x_ka="D 50"),
        gauge("LI 433", "Presswasserbehälter", "Presswasser", fl[0], 1.0, 0.02, 25, 0.5, 45, 1350, cmat="1.4404", x_ka="D 50"),
    ]
    prepare(gs)
    x = by_tag(gs)
    show(x["LI 402"], rho="dito", op="dito", ot="dito", dp="dito", dt="dito")
    show(x["LI 411"], x_ord="folgt", x_date="offen")
    show(x["LI 421"], x_ord="n. bek.", op="-")
    if b.faulty:
        plant_clear_offset(b, x["LI 401"], 0.84)
        show(x["LI 402"], rho=1.42)
        plant_sinking(b, x["LI 431"])
        plant_float_temperature(b, x["LI 411"], v=80)
        plant_long_range(b, x["LI 432"], 150)
        plant_missing_tag(b, x["LI 433"])
        plant_urv_outside(b, x["LI 421"], 90)
        plant_above_design(b, x["LI 402"], "ot", 55)
        show(x["LI 402"], ot=55)
    ws = b.sheet("Messstellenliste")
    ws.write(1, 1, "ARA Unterglimm - Messstellenliste EMSR, Teil Niveauanzeiger (Magnetklappen)", b.fmt(bold=True, font_size=12))
    ws.write(2, 1, "Stand: 3. Ausgabe, Änderungen gelb")
    cols = [
        (("Mst.-Nr.", ""), "tag", None),
        (("Bezeichnung", ""), "svc", None),
        (("Flüssigkeit", ""), "fluid", None),
        (("Betr.dichte", "[kg/dm³]"), "rho", g_cm3(3)),
        (("Betr.druck", "[mbar ü]"), "op", mbarg(0)),
        (("Betr.temp.", "[°C]"), "ot", None),
        (("Ausl.druck", "[bar ü]"), "dp", None),
        (("Ausl.temp.", "[°C]"), "dt", None),
        (("Abstand Anschlüsse M-M", "[mm]"), "cc", thousands_apostrophe),
        (("Sichtbare Länge", "[mm]"), "vis", thousands_apostrophe),
        (("Messbereich Umformer", "[mm]"), "*range", lambda g: f"{g['lrv']} bis {thousands_apostrophe(g['urv'])}"),
        (("Material Bypassrohr", ""), "cmat", None),
        (("Anschluss", ""), "x_ka", None),
        (("Schwimmer", "Typ"), "part", None),
        (("Bestell-Nr.", ""), "x_ord", None),
        (("Liefertermin", ""), "*x_date", always("KW 34")),
    ]
    rows = [
        "Chemikalien",
        *gs[:4],
        None,
        other_instrument(tag="PI 415", svc="Dosierpumpe Druckseite", fluid="Natronlauge 30 %", op=3500, ot=20, dp=10, dt=40),
        None,
        "Schlammbehandlung",
        *gs[4:],
        other_instrument(tag="LI 440", svc="Faulturm, Radar", fluid="Faulschlamm", op=30, ot=37, dp=0.1, dt=60),
    ]
    r = write_list(b, ws, 4, cols, rows, c=1, secmerge=False)
    ws.write(r + 1, 1, "Alle Dichten nach Angabe des Betriebs; folgt = wird nachgereicht.")
    write_float_list(
        b,
        "Schwimmkörper",
        fl,
        [
            (("Typ", ""), "part", None),
            (("Masse", "[g]"), "mass", None),
            (("Ø aussen", "[mm]"), "od", None),
            (("Länge", "[mm]"), "L", None),
            (("Magnet ab unten", "[mm]"), "mag", None),
            (("Enden", ""), "ends", always("flach")),
            (("Druck max.", "[bar ü]"), "pmax", None),
            (("Temp. max.", "[°C]"), "tmax", None),
            (("Material", ""), "fmat", titanium_in("de")),
        ],
        gs,
    )
    finish(b, gs, "number-as-text")


@book
def u06_pruefliste_tanklager(b: Book) -> None:
    """Tank farm, recurring inspection: serials, test level and current, lengths in cm, density at 15 degC first."""
    fl = [
        make_float("TL-730", 48, 300, 730, pmax=10, tmax=80),
        make_float("TL-835", 48, 280, 835, pmax=10, tmax=80),
        make_float("TL-900", 48, 260, 900, pmax=10, tmax=100),
    ]
    data = [
        ("T-11", "Ottokraftstoff", 0, 0.995, 18, 1600),
        ("T-12", "Ottokraftstoff", 0, 0.99, 18, 1600),
        ("T-21", "Dieselkraftstoff", 1, 0.99, 20, 2000),
        ("T-22", "Dieselkraftstoff", 1, 0.995, 20, 2000),
        ("T-31", "Heizöl EL", 1, 1.01, 20, 1800),
        ("T-41", "Heizöl M", 2, 1.0, 45, 1400),
        ("T-42", "Sloptank", 2, 0.985, 30, 1200),
        ("T-51", "FAME", 2, 0.98, 25, 1500),
    ]
    gs = []
    for i, (tank, fluid, n, k, ot, cc) in enumerate(data):
        g = gauge(f"LIT {1101 + 10 * i}", f"Tank {tank[2:]}", fluid, fl[n], k, 0.0, ot, 0.2, 60, cc, x_tank=tank)
        g.update(gsn=f"24/{3301 + i}", fsn=f"S{880 + 4 * i}", fgsn=f"24/{3301 + i}", slev=round(cc * (0.35 + 0.05 * (i % 3)) / 10) * 10, lsl=150, lsh=cc - 200)
        g["scur"] = loop_current(g)
        gs.append(g)
    prepare(gs)
    for g in gs:
        g["x_found"] = round(g["scur"] + 0.02, 2)
    x = by_tag(gs)
    if b.faulty:
        plant_current(b, x["LIT 1101"], 0.6)
        g = x["LIT 1111"]
        plant_reversed_range(b, g)
        g["scur"] = loop_current(g)
        g["x_found"] = g["scur"]
        g = x["LIT 1121"]
        plant_urv_short(b, g, 300)
        g["scur"] = loop_current(g)
        g["x_found"] = g["scur"]
        plant_close_switches(b, x["LIT 1131"], "lsl", "lsh", 20)
        plant_other_serial(b, x["LIT 1141"], x["LIT 1151"]["gsn"])
        plant_reused_serial(b, x["LIT 1161"], x["LIT 1171"])
        plant_design_density(b, x["LIT 1151"], k=1.09)
    ws = b.sheet("Prüfung 2. Hj.")
    ws.write(0, 0, "Wiederkehrende Prüfung der Füllstandmessungen (Magnetschwimmer mit Messumformer)", b.fmt(bold=True))
    ws.write(1, 0, "Tanklager Hafen Ost")
    ws.write(1, 9, "Prüfanweisung PA-17")
    cols: list[tuple[Any, ...]] = [
        (("Nr.",), "x_item", None),
        (("Messstelle",), "tag", None),
        (("Tank-Nr.",), "x_tank", None),
        (("Verwendung",), "svc", None),
        (("Produkt",), "fluid", None),
        (("Dichte [g/ml]", "bei 15 °C"), "*r15", density_at(4, 1000)),
        (("Dichte [g/ml]", "bei Lagertemp."), "rho", g_cm3(3)),
        (("Schwimmer", "Typ"), "part", None),
        (("Schwimmer", "für Dichte [g/ml]"), "drho", g_cm3(3)),
        (("Anzeige-länge [cm]",), "vis", cm(1)),
        (("Messumformer [cm]", "MBA"), "lrv", cm(1)),
        (("Messumformer [cm]", "MBE"), "urv", cm(1)),
        (("Kontrollpunkt", "Füllhöhe [cm]"), "slev", cm(1)),
        (("Kontrollpunkt", "Sollstrom [mA]"), "scur", None, "0.00"),
        (("Kontrollpunkt", "Iststrom [mA]"), "x_found", None, "0.00"),
        (("Schaltpunkte [cm]", "LSL"), "lsl", cm(1)),
        (("Schaltpunkte [cm]", "LSH"), "lsh", cm(1)),
        (("Herst.-Nr. Gerät",), "gsn", None),
        (("Herst.-Nr. Schwimmer",), "fsn", None),
        (("Geräte-Nr. lt. Schwimmerschild",), "fgsn", None),
        (("Letzte Prüfung",), "*x_date", always(datetime.date(2025, 4, 8)), "dd.mm.yyyy"),
        (("Prüfer",), "*x_by", always("Kl")),
        (("Ergebnis",), "*x_result", always("i.O.")),
    ]
    cols = [((*(*h, "")[:2], f"({i})"), *rest) for i, (h, *rest) in enumerate(cols, 1)]
    r = write_list(b, ws, 3, cols, gs, border=1)
    ws.write(r + 1, 1, "Anzahl")
    ws.write(r + 1, 2, len(gs))
    finish(b, gs)


@book
def u07_kaelteanlage(b: Book) -> None:
    """Refrigeration plant: heading rows German, English, unit; absolute operating pressure, vapour densities, hidden column."""

    def sat(fluid: str, t: float) -> tuple[float, float, float]:
        return liquid_density(fluid, t), vapour_density(fluid, t), round(saturation_pressure(fluid, t) + 0.02, 2)

    n10, n35, n30, p20, c10 = sat("Ammonia", -10), sat("Ammonia", -35), sat("Ammonia", 30), sat("Propane", -20), sat("R744", -10)
    fl = [
        make_float("KM-652", 63, 330, round(n10[0]), n10[1], pmax=40, tmax=80),
        make_float("KM-684", 63, 330, round(n35[0]), n35[1], pmax=40, tmax=80),
        make_float("KM-595", 63, 360, round(n30[0]), n30[1], pmax=50, tmax=80),
        make_float("KM-555", 63, 370, round(p20[0]), p20[1], pmax=40, tmax=80),
        make_float("KM-983", 63, 260, round(c10[0]), c10[1], pmax=80, tmax=80),
        make_float("KM-1045", 63, 250, 1045, pmax=16, tmax=80),
    ]
    gs = [
        gauge("LG 110", "ND-Abscheider -35", "R717", fl[1], 1.0, n35[2], -35, 16, 50, 1000, rho_u=round(n35[1], 2), pure="Ammonia", boil=True),
        gauge("LG 120", "MD-Abscheider -10", "R717", fl[0], 1.0, n10[2], -10, 16, 50, 1200, rho_u=round(n10[1], 2), pure="Ammonia", boil=True),
        gauge("LG 130", "HD-Sammler", "R717", fl[2], 1.0, n30[2], 30, 25, 55, 800, rho_u=round(n30[1], 2), pure="Ammonia", boil=True),
        gauge("LG 210", "Propanabscheider", "R290", fl[3], 1.0, p20[2], -20, 18, 50, 900, rho_u=round(p20[1], 2), pure="Propane", boil=True),
        gauge("LG 310", "CO2-Abscheider", "R744", fl[4], 1.0, c10[2], -10, 40, 50, 700, rho_u=round(c10[1], 1), pure="R744", boil=True),
        gauge("LG 410", "Solebehälter", "Glykolsole 35 %", fl[5], 1.005, 0.2, -8, 3, 40, 1500, rho_u=0),
        gauge("LG 420", "Sole-Ausgleichsgefäß", "Glykolsole 35 %", fl[5], 1.0, 0.5, 10, 3, 40, 600, rho_u=0),
    ]
    prepare(gs)
    for g in gs:
        g.update(dt_min=-50 if g["ot"] < -30 else -40 if g["ot"] < -15 else -20, cmat="1.4404", insth=100 if g["ot"] < 0 else 0)
    x = by_tag(gs)
    if b.faulty:
        plant_swapped_densities(b, x["LG 310"], ("density-not-at-operating-conditions", "value-implausible", "unit-ambiguous"))
        plant_other_temperature_density(b, x["LG 210"], 500)
        plant_float_pressure(b, x["LG 130"], v=54.0)
        x["LG 130"]["tp"] = None
        plant_long_range(b, x["LG 410"], 130)
        plant_unlisted_float(b, x["LG 120"], "KM-625")
        plant_magnetic_chamber(b, x["LG 420"], "P355NL1")
    ws = b.sheet("Füllstände")
    ws.write(0, 0, "KÄLTEANLAGE FLEISCHWERK - MSR-STELLEN FÜLLSTAND / LEVEL GAUGES", b.fmt(bold=True))
    cols = [
        (("MSR-Stelle", "Tag", ""), "tag", None),
        (("Apparat", "Vessel", ""), "svc", None),
        (("Kältemittel", "Refrigerant", ""), "fluid", None),
        (("Flüssigkeitsdichte", "Liquid density", "kg/m³"), "rho", kg_m3(0)),
        (("Dampfdichte", "Vapour density", "kg/m³"), "rho_u", None),
        (("Verdampfungs- bzw. Betriebsdruck", "Operating pressure", "bar abs."), "op", bara(2)),
        (("Betriebstemp.", "Operating temp.", "°C"), "ot", None),
        (("zul. Druck PS", "Allowable pressure", "bar ü"), "dp", None),
        (("TS max", "Max. allowable temp.", "°C"), "dt", None),
        (("TS min", "Min. allowable temp.", "°C"), "dt_min", None),
        (("Prüfdruck", "Test pressure", "bar ü"), "tp", None),
        (("Mittenabstand", "Centre distance", "mm"), "cc", None),
        (("Sichtlänge", "Visible length", "mm"), "vis", None),
        (("Dämmdicke", "Insulation", "mm"), "insth", None),
        (("Werkst. Standrohr", "Chamber material", ""), "cmat", None),
        (("Schwimmer", "Float", ""), "part", None),
        (("Anschlussnennweite", "Connection", ""), "*x_dn", always("DN 25")),
    ]
    write_list(
        b,
        ws,
        2,
        cols,
        [*gs[:3], other_instrument(tag="PI 131", svc="HD-Sammler", fluid="R717", op=11.67, ot=30, dp=25, dt=55), *gs[3:5], "Soleseite / brine", *gs[5:]],
    )
    ws.set_column(9, 9, None, None, {"hidden": True})
    write_float_list(
        b,
        "Schwimmer_Floats",
        fl,
        [
            (("Typ", "Type", ""), "part", None),
            (("Masse", "Mass", "g"), "mass", None),
            (("Durchmesser", "Diameter", "mm"), "od", None),
            (("Länge", "Length", "mm"), "L", None),
            (("Magnethöhe v. unten", "Magnet above bottom", "mm"), "mag", None),
            (("Böden", "Ends", ""), "*ends", always("eben / flat")),
            (("max. Druck", "Max. pressure", "bar ü"), "pmax", None),
            (("max. Temp.", "Max. temp.", "°C"), "tmax", None),
        ],
        gs,
    )
    finish(b, gs, "row-hidden", *[("fluid-boils-in-chamber", g["tag"], "saturated refrigerant") for g in gs[:5]])
