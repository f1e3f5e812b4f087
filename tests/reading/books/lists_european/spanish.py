"""Lists from Spain and Latin America."""

from __future__ import annotations

import datetime

from tests.reading.books.lists_european.common import (
    always,
    check_sound,
    density_at,
    end_shape_in,
    finish,
    number_with_unit,
    other_instrument,
    plant_clear_offset,
    plant_duplicate_tag,
    plant_heavy_upper_liquid,
    plant_lag,
    plant_missing_tag,
    plant_narrow_bore,
    plant_no_tracing,
    plant_other_serial,
    plant_over_design,
    plant_reused_serial,
    plant_small_density_gap,
    plant_switch_order,
    prepare,
    show,
    thousands_dot,
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
    plant_sinking,
    plant_test_pressure,
    plant_urv_outside,
    plant_urv_short,
)
from tests.reading.gauges import by_tag, gauge, loop_current, make_float
from tests.reading.registry import book
from tests.reading.units import barg, decimal_comma, degC, degF, g_cm3, gram, inch, kgf_cm2, kilogram, kpag, lb_ft3, metre, mm, pound, psig
from tests.reading.writing import Book


@book
def u13_lista_instrumentos_es(b: Book) -> None:
    """Lista de instrumentos (ES), EPC: kg/cm2, mín / nor / máx, relative density without unit, other instruments between."""
    fl = [
        make_float("FL-0740", 50, 320, 740, pmax=40, tmax=220),
        make_float("FL-0830", 50, 290, 830, pmax=40, tmax=220),
        make_float("FL-1000", 50, 250, 1000, pmax=40, tmax=180),
        make_float("FL-0660", 50, 350, 660, pmax=40, tmax=180),
    ]
    gs = [
        gauge("33-LG-001", "Depósito de alimentación", "Nafta pesada", fl[0], 0.99, 3.5, 50, 8, 130, 1300, fclass=150, x_vessel_id="33-V-01"),
        gauge("33-LG-002", "Acumulador de reflujo", "Nafta ligera", fl[3], 1.0, 6.0, 45, 10, 120, 1000, fclass=150, x_vessel_id="33-V-02"),
        gauge("33-LG-003", "Fondo de estabilizadora", "Nafta pesada", fl[0], 0.985, 7.5, 60, 11, 150, 1100, fclass=150, x_vessel_id="33-T-01"),
        gauge("33-LG-004", "Separador de alta", "Gasóleo hidrotratado", fl[1], 0.99, 22, 50, 28, 120, 1400, fclass=300, x_vessel_id="33-V-04"),
        gauge("33-LG-005", "Depósito de aguas ácidas", "Aguas ácidas", fl[2], 0.985, 1.5, 50, 5, 120, 900, fclass=150, x_vessel_id="33-V-05"),
        gauge("33-LG-006A", "Depósito de slop", "Slop", fl[1], 1.01, 0.2, 45, 3.5, 120, 1500, fclass=150, x_vessel_id="33-V-06"),
        gauge("33-LG-006B", "Depósito de slop", "Slop", fl[1], 1.01, 0.2, 45, 3.5, 120, 1500, fclass=150, x_vessel_id="33-V-06"),
        gauge("33-LG-007", "Purga de antorcha", "Condensado de HC", fl[3], 0.99, 0.1, 40, 5, 120, 1200, fclass=150, x_vessel_id="33-V-07"),
    ]
    prepare(gs, 1.5, cmat="ASTM A-312 TP 316L", grp="2.3", inst="Nivel magnético")
    for i, g in enumerate(gs):
        g.update(op_min=round(g["op"] * 0.7, 2), op_max=round(g["op"] * 1.15, 2), x_pid=f"33-DTI-{11 + i // 2}", x_rev=1 if i != 4 else 2)
    check_sound(gs)
    x = by_tag(gs)
    show(x["33-LG-006A"], dt="por definir")
    if b.faulty:
        plant_clear_offset(b, x["33-LG-001"], 1.15)
        plant_over_design(b, x["33-LG-002"], "op_max", 11.2)
        plant_flange_rating(b, x["33-LG-003"], 19.0)
        x["33-LG-003"]["tp"] = 28.5
        plant_float_pressure(b, x["33-LG-004"], v=44.0, ok=["flange-rating-exceeded"])
        plant_long_range(b, x["33-LG-005"], 150)
        plant_urv_outside(b, x["33-LG-006A"], 100)
        plant_magnetic_chamber(b, x["33-LG-006B"], "ASTM A-106 Gr. B")
        plant_sinking(b, x["33-LG-007"])
    ws = b.sheet("Lista de instrumentos")
    ws.write(0, 1, "LISTA DE INSTRUMENTOS", b.fmt(bold=True, font_size=14))
    ws.write(1, 1, "Proyecto: Estabilizadora de naftas Puerto Alarcos")
    ws.write(2, 1, "Doc. 33-LI-0002")
    ws.write(2, 6, "Rev. 2")
    cols = [
        ("Ítem", "x_item", None),
        ("TAG", "tag", None),
        ("Tipo de instrumento", "inst", None),
        ("DTI Nº", "x_pid", None),
        ("Equipo", "x_vessel_id", None),
        ("Servicio", "svc", None),
        ("Fluido", "fluid", None),
        (("Peso esp.", "15 °C"), "*r15", density_at(3, 1000)),
        (("Peso esp.", "a T. op."), "rho", g_cm3(3)),
        (("P. operación (kg/cm² g)", "mín."), "op_min", kgf_cm2(2)),
        (("P. operación (kg/cm² g)", "nor."), "op", kgf_cm2(2)),
        (("P. operación (kg/cm² g)", "máx."), "op_max", kgf_cm2(2)),
        ("T. op.\n(°C)", "ot", None),
        ("P. dis.\n(kg/cm² g)", "dp", kgf_cm2(2)),
        ("T. dis.\n(°C)", "dt", None),
        ("P. prueba\n(kg/cm² g)", "tp", kgf_cm2(1)),
        ("Dist. e/centros\n(mm)", "cc", None),
        ("Campo visible\n(mm)", "vis", None),
        (("Rango transmisor (mm)", "inf."), "lrv", None),
        (("Rango transmisor (mm)", "sup."), "urv", None),
        ("Mat. cámara", "cmat", None),
        (("Bridas", "DN"), "*x_dn", always('3/4"')),
        (("Bridas", "Rating"), "*fclass", lambda g: f"{g['fclass']}# RF"),
        ("Flotador", "part", None),
        ("Rev.", "x_rev", None),
        ("Notas", "rem", None),
    ]
    rows = [
        *gs[:2],
        other_instrument(x_item=9, tag="33-PI-002", inst="Manómetro", svc="Acumulador de reflujo", fluid="Nafta ligera", op=6.1, ot=45, dp=10.2, dt=120),
        other_instrument(
            x_item=10, tag="33-TI-003", inst="Termómetro bimetálico", svc="Fondo de estabilizadora", fluid="Nafta pesada", op=7.6, ot=60, dp=11.2, dt=150
        ),
        *gs[2:5],
        other_instrument(
            x_item=11, tag="33-FV-004", inst="Válvula de control", svc="Salida separador", fluid="Gasóleo hidrotratado", op=22.4, ot=50, dp=28.6, dt=120
        ),
        None,
        *gs[5:],
        other_instrument(
            x_item=12, tag="33-LIT-008", inst="Radar de onda guiada", svc="Tanque de slop", fluid="Slop", op=0.0, ot=40, dp=0.2, dt=90, lrv=0, urv=6500
        ),
    ]
    r = write_list(b, ws, 4, cols, rows, c=1)
    ws.write(r + 1, 2, "NOTAS: 1. Presiones manométricas. 2. El suministrador confirmará el flotador.")
    write_float_list(
        b,
        "Flotadores",
        fl,
        [
            ("Flotador", "part", None),
            ("Peso (g)", "mass", None),
            ("Ø ext. (mm)", "od", None),
            ("Long. total (mm)", "L", None),
            ("Alt. imán s/fondo (mm)", "mag", None),
            ("Fondos", "ends", end_shape_in("es")),
            ("P. máx. (kg/cm² g)", "pmax", kgf_cm2(1)),
            ("T. máx. (°C)", "tmax", None),
            ("Material", "fmat", titanium_in("es")),
        ],
        gs,
    )
    finish(b, gs)


@book
def u14_planilla_mineria_cl(b: Book) -> None:
    """Planilla (CL), solvent extraction: level and interface, kPa, t/m3, m, unit row, use of the float in the float list."""
    fl = [
        make_float("B-101", 70, 300, 1060, 820, frac=0.5, pmax=6, tmax=80, svc="interface", mat="PVDF"),
        make_float("B-102", 70, 260, 1060, pmax=6, tmax=80, mat="PVDF"),
        make_float("B-103", 70, 330, 820, pmax=6, tmax=80, mat="PVDF"),
        make_float("B-104", 70, 200, 1830, pmax=6, tmax=60, mat="PTFE"),
    ]
    i, n = {"typ": "interface"}, {"typ": "level"}
    gs = [
        gauge("320-LG-101", "Decantador E1", "Refino", fl[0], 1.0, 0.02, 22, 0.5, 60, 1200, upf="Orgánico", rho_u=820, **i),
        gauge("320-LG-102", "Decantador E2", "Refino", fl[0], 0.998, 0.02, 22, 0.5, 60, 1200, upf="Orgánico", rho_u=821, **i),
        gauge("320-LG-103", "Decantador S1", "Electrolito", fl[0], 1.004, 0.02, 25, 0.5, 60, 1200, upf="Orgánico cargado", rho_u=822, **i),
        gauge("320-LG-104", "Estanque de refino", "Refino", fl[1], 0.995, 0.0, 22, 0.5, 60, 2500, **n),
        gauge("320-LG-105", "Estanque de orgánico", "Orgánico", fl[2], 1.0, 0.0, 22, 0.5, 60, 1800, **n),
        gauge("320-LG-106", "Estanque de ácido", "Ácido sulfúrico 98 %", fl[3], 0.997, 0.0, 25, 0.5, 50, 1500, **n),
        gauge("320-LG-107", "Estanque de borras", "Borras", fl[1], 1.0, 0.0, 25, 0.5, 60, 1400, **n),
        gauge("320-LG-108", "Estanque de electrolito", "Electrolito", fl[1], 1.012, 0.02, 40, 0.5, 65, 1600, **n),
    ]
    prepare(gs, cmat="PVC")
    for g in gs[5:6]:
        g["cmat"] = "PVDF"
    say = {"level": "Nivel", "interface": "Interfase"}
    x = by_tag(gs)
    if b.faulty:
        g = x["320-LG-101"]
        g["part"] = "B-102"
        b.fault(
            "float-service-mismatch",
            g["tag"],
            ["part", "typ", "fsvc"],
            "level float on an interface gauge",
            ok=["interface-float-outside-fluids", "offset-exceeds-tolerance", "float-sinks", "float-barely-floats", "design-density-mismatch"],
        )
        plant_small_density_gap(b, x["320-LG-102"], 35)
        plant_heavy_upper_liquid(b, x["320-LG-103"], 970)
        plant_sinking(b, x["320-LG-105"])
        plant_float_temperature(b, x["320-LG-106"], v=75)
        plant_long_range(b, x["320-LG-104"], 200)
        plant_missing_tag(b, x["320-LG-107"])
        plant_over_design(b, x["320-LG-108"], "ot", 70)
    ws = b.sheet("Planilla nivel")
    ws.write(0, 0, "PLANILLA DE INSTRUMENTOS DE NIVEL - ÁREA 320 SX", b.fmt(bold=True))
    cols = [
        (("N°", ""), "x_item", None),
        (("TAG", ""), "tag", None),
        (("Descripción", ""), "svc", None),
        (("Tipo de servicio", ""), "*typ", lambda g: say[g["typ"]]),
        (("Fluido (inferior)", ""), "fluid", None),
        (("Densidad oper.", "t/m³"), "rho", g_cm3(3)),
        (("Fluido superior", ""), "upf", None),
        (("Densidad superior", "t/m³"), "rho_u", g_cm3(3)),
        (("Presion oper.", "kPa(g)"), "op", kpag(1)),
        (("Temp. oper.", "°C"), "ot", None),
        (("Presión diseño", "kPa(g)"), "dp", kpag(0)),
        (("Temp. diseño", "°C"), "dt", None),
        (("Altura estanque", "m"), "*x_vessel_h", lambda g: round(g["cc"] / 1000 + 1.1, 1)),
        (("Distancia entre conexiones", "m"), "cc", metre(3)),
        (("Largo visible", "m"), "vis", metre(3)),
        (("Material cámara", ""), "cmat", None),
        (("Diám. conexión", "mm"), "*x_dn", always(50)),
        (("Boya N°", ""), "part", None),
        (("Plano P&ID", ""), "*x_pid", lambda g: f"320-J-{200 + g['x_item']}"),
        (("Precio unit.", "USD"), "*x_price", lambda g: 1450 + 20 * g["x_item"]),
        (("Observaciones", ""), "rem", None),
    ]
    r = write_list(b, ws, 2, cols, ["Extracción", *gs[:3], "Estanques", *gs[3:]], secmerge=False, border=1)
    ws.write(r, 2, "Total ítems: 8")
    ws.write(r + 1, 2, "Valores de densidad según balance de masa Rev. C")
    write_float_list(
        b,
        "Boyas",
        fl,
        [
            (("Boya N°", ""), "part", None),
            (("Uso", ""), "fsvc", lambda v: say[v]),
            (("Masa", "kg"), "mass", kilogram(4)),
            (("Diámetro exterior", "mm"), "od", None),
            (("Largo total", "mm"), "L", None),
            (("Posición del imán desde abajo", "mm"), "mag", None),
            (("Extremos", ""), "ends", end_shape_in("es")),
            (("Presión máx.", "kPa(g)"), "pmax", kpag(0)),
            (("Temp. máx.", "°C"), "tmax", None),
            (("Material", ""), "fmat", titanium_in("es")),
        ],
        gs,
    )
    finish(b, gs)


@book
def u15_planta_gas_mx(b: Book) -> None:
    """Gas plant (MX): Spanish row, English row, unit row; US units."""
    fl = [
        make_float("MXF-55", 50.8, 350, 640, 5, pmax=50, tmax=180),
        make_float("MXF-71", 50.8, 254, 1045, pmax=50, tmax=220),
        make_float("MXF-65", 50.8, 254, 1020, pmax=50, tmax=180),
        make_float("MXF-52", 50.8, 305, 820, pmax=20, tmax=150),
    ]
    gs = [
        gauge("LG-1101", "Separador de entrada", "Condensado amargo", fl[0], 0.995, 14, 38, 18, 100, 1219.2, fclass=300, rho_u=12),
        gauge("LG-1102", "Tanque flash de amina", "Amina rica", fl[2], 1.0, 5, 65, 9, 120, 914.4, fclass=150, rho_u=3),
        gauge("LG-1103", "Rehervidor de glicol", "Trietilenglicol", fl[1], 1.0, 0.2, 120, 5, 200, 762, fclass=150, rho_u=0.5),
        gauge("LG-1104", "Tanque de lastre aceitoso", "Aceite recuperado", fl[3], 1.0, 0.3, 40, 3.5, 120, 1524, fclass=150, rho_u=1),
        gauge("LG-1105", "Separador de media", "Condensado dulce", fl[0], 1.01, 10, 40, 16, 100, 1066.8, fclass=300, rho_u=9),
        gauge("LG-1106", "Tanque de balance de amina", "Amina pobre", fl[2], 0.99, 0.2, 50, 3.5, 120, 1371.6, fclass=150, rho_u=0),
    ]
    prepare(gs, 1.5, cmat="316L", grp="2.3")
    x = by_tag(gs)
    if b.faulty:
        plant_clear_offset(b, x["LG-1101"], 1.17)
        plant_float_pressure(b, x["LG-1104"], v=23.0, ok=["flange-rating-exceeded"])
        plant_flange_rating(b, x["LG-1102"], 18.0)
        x["LG-1102"]["tp"] = 27.0
        plant_test_pressure(b, x["LG-1105"], v=53.0)
        plant_long_range(b, x["LG-1106"], 152.4)
        plant_over_design(b, x["LG-1103"], "op", 6.5)
    ws = b.sheet("Niveles - Level")
    ws.write(0, 0, "LISTADO DE INDICADORES DE NIVEL / LEVEL GAUGE LIST", b.fmt(bold=True))
    ws.write(1, 0, "Planta de gas El Mezquital")
    cols = [
        (("Etiqueta", "Tag", ""), "tag", None),
        (("Servicio", "Service", ""), "svc", None),
        (("Producto", "Fluid", ""), "fluid", None),
        (("Densidad líquido", "Liquid density", "lb/ft³"), "rho", lb_ft3(2)),
        (("Densidad vapor", "Vapor density", "lb/ft³"), "rho_u", lb_ft3(3)),
        (("P. oper.", "Oper. press.", "psig"), "op", psig(1)),
        (("T. oper.", "Oper. temp.", "°F"), "ot", degF()),
        (("P. diseño", "Design press.", "psig"), "dp", psig()),
        (("T. diseño", "Design temp.", "°F"), "dt", degF()),
        (("P. hidrostática", "Hydrotest press.", "psig"), "tp", psig()),
        (("Centro a centro", "C-C", "in"), "cc", inch(2)),
        (("Long. visible", "Visible length", "in"), "vis", inch(2)),
        (("Longitud del recipiente", "Vessel length", "ft"), "*x_vessel_h", lambda g: 10 + g["x_item"]),
        (("Clase", "Class", "#"), "fclass", None),
        (("Material de cámara", "Chamber material", ""), "cmat", None),
        (("Flotador", "Float", ""), "part", None),
        (("Requisición", "Requisition", ""), "*x_req", always("R-0331")),
        (("Comentarios", "Remarks", ""), "rem", None),
    ]
    groups = ["General"] * 3 + ["Proceso / Process"] * 4 + ["Diseño / Design"] * 3 + ["Indicador / Gauge"] * 6 + ["Compra / Purchase"] * 2
    grouped = [((grp, *h), name, to) for grp, (h, name, to) in zip(groups, cols, strict=True)]
    show(x["LG-1104"], x_req="por definir")
    x["LG-1101"]["rem"] = "Servicio amargo / sour"
    write_list(b, ws, 3, grouped, [*gs[:4], None, *gs[4:]], hk={"bold": True, "text_wrap": True, "bg_color": "#F4B084"})
    write_float_list(
        b,
        "Flotadores - Floats",
        fl,
        [
            (("Flotador", "Float", ""), "part", None),
            (("Peso", "Weight", "lb"), "mass", pound(4)),
            (("Diám. ext.", "O.D.", "in"), "od", inch(3)),
            (("Longitud", "Length", "in"), "L", inch(2)),
            (("Altura del imán", "Magnet above bottom", "in"), "mag", inch(3)),
            (("Tapas", "End caps", ""), "*ends", always("planas / flat")),
            (("P. máx.", "Max. press.", "psig"), "pmax", psig()),
            (("T. máx.", "Max. temp.", "°F"), "tmax", degF()),
        ],
        gs,
    )
    finish(b, gs)


@book
def u16_verificacion_ar(b: Book) -> None:
    """Planilla de verificación (AR): currents, serials, hidden column, set points."""
    data = [
        ("Tanque de metanol crudo", "Corriente M-1", 1200),
        ("Tanque de lavado", "Agua de lavado", 900),
        ("Pulmón de reflujo", "Corriente M-2", 1000),
        ("Tanque de purga", "Agua de lavado", 800),
        ("Tanque de solvente", "Corriente M-1", 1500),
        ("Tanque intermedio", "Corriente M-1", 1400),
        ("Pulmón de destilado", "Corriente M-2", 1100),
        ("Tanque de reserva", "Corriente M-1", 1300),
    ]
    fl = {
        "Corriente M-1": make_float("AR-810", 50, 300, 810),
        "Agua de lavado": make_float("AR-990", 50, 250, 990),
        "Corriente M-2": make_float("AR-770", 50, 310, 770),
    }
    gs = []
    for i, (svc, fluid, cc) in enumerate(data):
        g = gauge(f"LT-{6201 + i}", svc, fluid, fl[fluid], 1.0, 0.5, 40, 6, 100, cc, gsn=f"AG-{8805 + 2 * i}", fsn=f"{41200 + 13 * i}")
        g.update(tgsn=g["gsn"], fgsn=g["gsn"], slev=round(cc * 0.55), lsll=round(cc * 0.08), lsl=round(cc * 0.18), lsh=round(cc * 0.82), lshh=round(cc * 0.92))
        g["scur"] = loop_current(g)
        gs.append(g)
    prepare(gs)
    for g in gs:
        g["x_meas"] = round(g["scur"] - 0.02, 2)
    x = by_tag(gs)
    if b.faulty:
        plant_current(b, x["LT-6201"], 1.1)
        plant_other_serial(b, x["LT-6202"], "AG-8809")
        plant_reused_serial(b, x["LT-6203"], x["LT-6207"])
        plant_urv_short(b, x["LT-6204"], 120)
        x["LT-6204"]["scur"] = loop_current(x["LT-6204"])
        x["LT-6204"]["x_meas"] = x["LT-6204"]["scur"]
        plant_switch_order(b, x["LT-6205"], "lsh", "lshh")
        plant_duplicate_tag(b, x["LT-6208"], x["LT-6206"])
    ws = b.sheet("Verificación anual")
    ws.write(0, 0, "PLANILLA DE VERIFICACIÓN - NIVELES MAGNÉTICOS CON TRANSMISOR", b.fmt(bold=True))
    ws.write(1, 0, "Responsable: taller de instrumentos")
    cols = [
        ("Nº", "x_item", None),
        ("Identificación", "tag", None),
        ("Ubicación", "svc", None),
        ("Producto", "fluid", None),
        ("Densidad de trabajo [g/cm³]", "rho", decimal_comma(g_cm3(3))),
        ("Longitud visible [mm]", "vis", None),
        (("Rango [mm]", "4 mA"), "lrv", None),
        (("Rango [mm]", "20 mA"), "urv", None),
        (("Punto de control", "Nivel [mm]"), "slev", None),
        (("Punto de control", "Corriente teórica [mA]"), "scur", decimal_comma(degC(2))),
        (("Punto de control", "Corriente medida [mA]"), "x_meas", decimal_comma(degC(2))),
        (("Consginas [mm]", "LSLL"), "lsll", None),
        (("Consginas [mm]", "LSL"), "lsl", None),
        (("Consginas [mm]", "LSH"), "lsh", None),
        (("Consginas [mm]", "LSHH"), "lshh", None),
        ("N° serie indicador", "gsn", None),
        ("N° serie flotador", "fsn", None),
        ("N° de indicador grabado en flotador", "fgsn", None),
        ("N° de indicador en chapa del transmisor", "tgsn", None),
        ("Flotador para densidad [g/cm³]", "drho", decimal_comma(g_cm3(2))),
        ("Fecha", "*x_date", always(datetime.date(2025, 9, 16)), "dd/mm/yyyy"),
        ("Firma", "x_sign", None),
    ]
    write_list(b, ws, 3, cols, gs, width=11, border=1)
    ws.set_column(19, 19, None, None, {"hidden": True})
    ws.freeze_panes(5, 3)
    finish(b, gs, "number-as-text", "row-hidden")


@book
def u17_almazara_es(b: Book) -> None:
    """Oil mill (ES): units in the cells, points in thousands, ditto, placeholders, bore of the chamber, tracing."""
    fl = [
        make_float("A-915", 48, 280, 912, pmax=10, tmax=110),
        make_float("A-1000", 48, 250, 995, pmax=10, tmax=110),
        make_float("A-880", 48, 290, 880, pmax=10, tmax=110),
        make_float("A-1220", 48, 220, 1220, pmax=10, tmax=110),
    ]
    gs = [
        gauge("LI-21", "Depósito de aceite virgen 1", "Aceite de oliva", fl[0], 1.0, 0.0, 20, 0.5, 60, 1800, mu=70, pour=-6, trace="no", tamb=5),
        gauge("LI-22", "Depósito de aceite virgen 2", "Aceite de oliva", fl[0], 1.0, 0.0, 20, 0.5, 60, 1800, mu=70, pour=-6, trace="no", tamb=5),
        gauge("LI-23", "Balsa de alpechín", "Alpechín", fl[1], 1.01, 0.0, 25, 0.5, 60, 1350, mu=3, pour=-1, trace="no", tamb=10),
        gauge("LI-24", "Fundidor de manteca", "Manteca vegetal", fl[2], 1.0, 0.5, 60, 2, 90, 1000, mu=20, pour=36, trace="sí", tamb=5),
        gauge("LI-25", "Agua caliente de batidoras", "Agua caliente", fl[1], 0.988, 1.0, 60, 4, 95, 900, mu=0.5, pour=0, trace="sí", tamb=5, pure="Water"),
        gauge("LI-26", "Depósito de jarabe", "Jarabe de glucosa 50 %", fl[3], 1.0, 0.0, 40, 0.5, 70, 1200, mu=25, pour=-8, trace="no", tamb=5),
    ]
    prepare(gs, cmat="AISI 316L", bore=66)
    x = by_tag(gs)
    for n in ("rho", "op", "ot", "dp", "dt", "mu", "pour", "tamb"):
        show(x["LI-22"], **{n: "ídem"})
    show(x["LI-26"], x_date="por definir")
    show(x["LI-23"], x_date="S/D")
    show(x["LI-26"], rho="1.210 - 1.225 kg/m³")
    if b.faulty:
        plant_narrow_bore(b, x["LI-21"], 46)
        plant_clear_offset(b, x["LI-23"], 1.15)
        plant_long_range(b, x["LI-22"], 150)
        plant_no_tracing(b, x["LI-24"], "no")
        plant_over_design(b, x["LI-25"], "op", 4.8)
        plant_lag(b, x["LI-26"], 1200)
    ws = b.sheet("Hoja de datos (listado)")
    ws.write(1, 1, "Cooperativa Sierra Baja - hoja de datos de indicadores de nivel", b.fmt(bold=True))
    cols = [
        ("Instrumento", "tag", None),
        ("Depósito", "svc", None),
        ("Producto", "fluid", None),
        ("Densidad", "rho", number_with_unit(thousands_dot, "kg/m³")),
        ("Viscosidad", "mu", number_with_unit(degC(1), "cP")),
        ("Presión de trabajo", "op", number_with_unit(barg(1), "bar man.")),
        ("Tª de trabajo", "ot", number_with_unit(degC(), "ºC")),
        ("Presión de diseño", "dp", number_with_unit(barg(1), "bar man.")),
        ("Tª de diseño", "dt", number_with_unit(degC(), "ºC")),
        ("Pto. de congelación / fluidez", "pour", number_with_unit(degC(), "ºC")),
        ("Tª ambiente mín.", "tamb", number_with_unit(degC(), "ºC")),
        ("Traceado", "trace", None),
        ("Dist. entre centros", "cc", number_with_unit(thousands_dot, "mm")),
        ("Long. visible", "vis", number_with_unit(thousands_dot, "mm")),
        ("Cámara: material", "cmat", None),
        ("Cámara: Ø interior", "bore", number_with_unit(mm(), "mm")),
        ("Capacidad", "*x_capacity", lambda g: f"{25 + 5 * g['x_item']}.000 l"),
        ("Flotador", "part", None),
        ("Entrega", "*x_date", always("sem. 12")),
    ]
    write_list(b, ws, 3, cols, gs, c=1, width=14)
    write_float_list(
        b,
        "Flotadores",
        fl,
        [
            ("Flotador", "part", None),
            ("Peso", "mass", number_with_unit(gram(1), "g")),
            ("Ø exterior", "od", number_with_unit(mm(), "mm")),
            ("Longitud", "L", number_with_unit(mm(), "mm")),
            ("Imán sobre el fondo", "mag", number_with_unit(mm(1), "mm")),
            ("Fondos", "ends", end_shape_in("es")),
            ("Presión máx.", "pmax", number_with_unit(barg(0), "bar man.")),
            ("Tª máx.", "tmax", number_with_unit(degC(), "ºC")),
        ],
        gs,
    )
    finish(b, gs, "number-as-text")
