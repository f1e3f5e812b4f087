"""A form for each gauge, a sheet for each vessel."""

from __future__ import annotations

from tests.reading.books.shapes.common import (
    blame_also_in,
    bold,
    finish,
    heat_loss,
    plant_barely_floating,
    plant_close_switches,
    plant_disagreement,
    plant_hot_tracing,
    plant_other_serial,
    plant_reversed_densities,
    plant_shifted_zero,
    plant_weak_tracer,
    write_cell,
    write_list,
)
from tests.reading.faults import (
    plant_above_design,
    plant_current,
    plant_float_pressure,
    plant_long_range,
    plant_magnetic_chamber,
    plant_offset,
    plant_test_pressure,
    plant_unlisted_float,
)
from tests.reading.gauges import add_serials, by_tag, check_gauge, gauge, loop_current, make_float
from tests.reading.physics import liquid_density, saturation_temperature
from tests.reading.registry import book
from tests.reading.units import decimal_comma, rounded
from tests.reading.writing import Book, count_float_cells, float_sheet


@book
def s06_checklists(b: Book) -> None:
    """A checklist filled in for each gauge, a sheet each."""
    fl = [make_float("M-840", 52, 300, 840, pmax=20, tmax=180), make_float("M-1010", 52, 250, 1010, pmax=20, tmax=180)]
    gs = [
        gauge("LG-1201", "Condenser hotwell", "Glycol 30 %", fl[1], 1.015, 0.2, 45, 5, 120, 600),
        gauge("LG-1202", "Lube oil rundown tank", "Lube oil ISO 32", fl[0], 1.0, 0.1, 55, 3, 100, 800),
        gauge("LG-1203", "Seal oil drain pot", "Seal oil", fl[0], 1.01, 2.1, 60, 8, 120, 450),
        gauge("LG-1204", "Seal oil overhead tank", "Seal oil", fl[0], 1.01, 6.0, 55, 12, 120, 1000),
        gauge("LG-1205", "Closed cooling expansion tank", "Glycol 30 %", fl[1], 1.02, 0.1, 35, 3, 90, 900),
    ]
    add_serials(gs, "24/07-", 61)
    for g in gs:
        g.update(cmat="316L", tp=round(g["dp"] * 1.5, 1), sz=0, slev=g["vis"] / 2, scur=12.0)
        check_gauge(g)
    x = by_tag(gs)
    if b.faulty:
        plant_other_serial(b, x["LG-1201"], x["LG-1205"]["gsn"])
        plant_shifted_zero(b, x["LG-1202"], 38)
        plant_current(b, x["LG-1203"], 0.74)
        plant_test_pressure(b, x["LG-1204"], v=24.0)
        plant_magnetic_chamber(b, x["LG-1205"], "A106 Gr.B")
    checks: list[tuple[str, str, list[tuple[str, str | None, str]]]] = [
        (
            "A",
            "DOCUMENTS AND MARKING",
            [
                ("Gauge serial no. on name plate", "gsn", ""),
                ("Float part no. stamped on float", "part", ""),
                ("Float serial no. stamped on float", "fsn", ""),
                ("Gauge serial no. stamped on float", "fgsn", ""),
                ("Max. pressure stamped on float", "pmax", "barg"),
                ("Max. temperature stamped on float", "tmax", "°C"),
            ],
        ),
        (
            "B",
            "MECHANICAL",
            [
                ("Chamber material (PMI reading)", "cmat", ""),
                ("Design pressure on name plate", "dp", "barg"),
                ("Centre to centre of process connections, measured", "cc", "mm"),
                ("Visible length, measured", "vis", "mm"),
                ("Scale zero above centre line of lower connection", "sz", "mm"),
                ("Hydrostatic test pressure applied", "tp", "barg"),
            ],
        ),
        (
            "C",
            "TRANSMITTER",
            [
                ("Lower range value set", "lrv", "mm"),
                ("Upper range value set", "urv", "mm"),
                ("Float held at level", "slev", "mm"),
                ("Current measured at this level", "scur", "mA"),
                ("Damping set", None, "s"),
                ("Indicator flags turn over full travel", None, ""),
            ],
        ),
    ]
    for g in gs:
        ws = b.sheet(g["tag"])
        ws.set_column(1, 1, 50)
        ws.set_column(2, 2, 18)
        ws.merge_range(0, 0, 0, 5, "MAGNETIC LEVEL GAUGE - PRE-COMMISSIONING CHECK SHEET ITR-L07A", b.fmt(bold=True, border=1))
        ws.write(1, 0, "Tag:")
        write_cell(b, ws, 1, 1, g["tag"], g, "tag")
        ws.write(1, 2, "System:")
        ws.write(1, 3, "12-03")
        ws.write(2, 0, "Service:")
        write_cell(b, ws, 2, 1, g["svc"], g, "svc")
        ws.write(2, 2, "P&ID:")
        ws.write(2, 3, "D-1203-" + g["tag"][-1])
        for c, t in enumerate(["No.", "CHECK", "FOUND", "UNIT", "OK / NOK", "INITIALS"]):
            ws.write(4, c, t, b.fmt(bold=True, border=1))
        r = 5
        for a, title, items in checks:
            ws.write(r, 0, a, bold(b))
            ws.write(r, 1, title, bold(b))
            r += 1
            for i, (label, name, unit) in enumerate(items):
                ws.write(r, 0, f"{a}{i + 1}")
                ws.write(r, 1, label)
                write_cell(b, ws, r, 2, g[name] if name else "2" if unit else "yes", g, name or "")
                ws.write(r, 3, unit)
                ws.write(r, 4, "OK")
                ws.write(r, 5, "jv")
                r += 1
        ws.write(r + 1, 0, "Punch items: none")
        ws.write(r + 2, 0, "Completed by: J. Verrall        Accepted by: N. Osei")
    finish(b, gs)


@book
def s11_vessel_sheets_nozzles(b: Book) -> None:
    """A sheet for each vessel, its gauges below the nozzle table."""
    fl = [
        make_float("EW-850", 51, 290, 850, pmax=25, tmax=200),
        make_float("EW-720", 51, 320, 720, pmax=25, tmax=200),
        make_float("EW-930", 51, 270, 930, pmax=16, tmax=180),
    ]
    vs = [
        ("V-701", "Feed surge drum", "Kerosene", 2.0, 60, 7, 150, [("LG-7011", fl[0], 1000, 400, 0.975), ("LG-7012", fl[0], 1000, 1300, 0.975)]),
        ("V-702", "Overhead receiver", "Naphtha", 3.5, 45, 9, 120, [("LG-7021", fl[1], 1200, 300, 0.99)]),
        ("V-703", "Hot flush drum", "Flushing oil", 1.0, 110, 5, 170, [("LG-7031", fl[2], 900, 350, 1.0), ("LG-7032", fl[2], 600, 350, 1.0)]),
    ]
    gs = [gauge(t, s, fluid, f, k, op, ot, dp, dt, cc, ves=v, e0=e0, cmat="316L") for v, s, fluid, op, ot, dp, dt, lg in vs for t, f, cc, e0, k in lg]
    x = by_tag(gs)
    if b.faulty:
        plant_disagreement(b, x["LG-7011"], "cc", "index", 1150)
        plant_long_range(b, x["LG-7012"], 130)
        plant_magnetic_chamber(b, x["LG-7021"], "SA-106 B")
        plant_float_pressure(b, x["LG-7031"], v=18.0, ok=["flange-rating-exceeded"])
        x["LG-7032"]["dp"] = 18.0  # the vessel's, the float of this one is unknown
        b.allow("flange-rating-exceeded", "LG-7032", "by the class of the nozzles")
        plant_unlisted_float(b, x["LG-7032"], "EW-1030")
        blame_also_in(b, "index")
    ix = b.sheet("Index")
    ix.write(0, 0, "LEVEL GAUGES BY VESSEL", bold(b))
    write_list(
        b,
        ix,
        2,
        0,
        [
            ("Tag", "tag", None),
            ("Vessel", "*", lambda g: g["ves"]),
            ("Service", "svc", None),
            ("C-C, mm", "*cc@index", lambda g: g.get("cc@index", g["cc"])),
            ("Float part no.", "part", None),
        ],
        gs,
    )
    for v, s, _fluid, _op, _ot, _dp, _dt, _lg in vs:
        mine = [g for g in gs if g["ves"] == v]
        ws = b.sheet(v)
        ws.merge_range(0, 0, 0, 8, f"VESSEL DATA SHEET  {v}  {s.upper()}", b.fmt(bold=True, border=1))
        head = [
            ("Contents", "fluid", None),
            ("Liquid density at operating temperature", "rho", "kg/m³"),
            ("Operating pressure", "op", "barg"),
            ("Operating temperature", "ot", "°C"),
            ("Design pressure", "dp", "barg"),
            ("Design temperature", "dt", "°C"),
        ]
        for i, (label, name, unit) in enumerate(head):
            ws.write(2 + i, 0, label)
            b.put(ws, 2 + i, 3, mine[0][name])
            ws.write(2 + i, 4, unit)
            for g in mine:
                b.mark(ws, 2 + i, 3, g["tag"], name)
        r = 9
        ws.write(r, 0, "NOZZLE SCHEDULE", bold(b))
        for c, t in enumerate(["Mark", "Service", "Size", "Class", "Facing", "Elevation, mm", "Projection, mm"]):
            ws.write(r + 1, c, t, b.fmt(bold=True, border=1))
        r += 2
        noz = [("N1", "Inlet", '6"', 0), ("N2", "Outlet", '8"', 150), ("N3", "Vent", '2"', 2900)]
        for i, g in enumerate(mine):
            g["noz"] = f"K{2 * i + 1} / K{2 * i + 2}"
            noz += [(f"K{2 * i + 1}", "Level gauge, lower", '2"', g["e0"]), (f"K{2 * i + 2}", "Level gauge, upper", '2"', g["e0"] + g["cc"])]
        for m, sv, size, el in noz:
            for c, cell in enumerate([m, sv, size, 150, "RF", el, 200]):
                ws.write(r, c, cell)
            r += 1
        r += 1
        ws.write(r, 0, "LEVEL GAUGES ON THIS VESSEL", bold(b))
        write_list(
            b,
            ws,
            r + 1,
            0,
            [
                ("Tag No.", "tag", None),
                ("Nozzles", "*", lambda g: g["noz"]),
                ("C-C\nmm", "cc", None),
                ("Visible length\nmm", "vis", None),
                ("Chamber", "cmat", None),
                ("Float part no.", "part", None),
            ],
            mine,
        )
        ws.set_column(0, 0, 16)
    float_sheet(
        b,
        "Float data",
        fl,
        [
            ("Float part no.", "part", None),
            ("Weight g", "mass", None),
            ("OD mm", "od", None),
            ("Length mm", "L", None),
            ("Ends", "ends", None),
            ("Magnet above bottom mm", "mag", None),
            ("Design density kg/m³", "drho", None),
            ("Max. press. barg", "pmax", None),
            ("Max. temp. °C", "tmax", None),
        ],
    )
    for g in gs:
        count_float_cells(b, g, "mass", "od", "L", "mag", "pmax", "tmax", "drho")
    finish(b, gs)


@book
def s13_forms_on_pages(b: Book) -> None:
    """Forms on pages below each other on one sheet."""
    fl = [make_float("WX-935", 51, 270, 935, pmax=25, tmax=200), make_float("WX-890", 51, 285, 890, pmax=25, tmax=200)]
    gs = [
        gauge("LG-831", "Heavy fuel oil day tank", "Heavy fuel oil", fl[0], 1.0, 0.1, 70, 3.5, 120, 1500, pour=24, tmain=65),
        gauge("LG-832", "Slack wax drum", "Slack wax blend", fl[1], 0.99, 0.8, 85, 5, 140, 1000, pour=52, tmain=80),
        gauge("LG-833", "Fuel oil drain drum", "Heavy fuel oil", fl[0], 1.005, 0.1, 60, 3.5, 120, 800, pour=24, tmain=55),
    ]
    for g in gs:
        g.update(
            amb=-15,
            trace="electric",
            ins=50,
            cod=60.3,
            tout=45,
            tsh=115,
            tcl="T4",
            sz=0,
            cmat="316L",
            fclass=150,
            grp="2.3",
            tp=round(g["dp"] * 1.5, 2),
            lsll=round(g["vis"] * 0.08),
            lsl=round(g["vis"] * 0.16),
            lsh=round(g["vis"] * 0.8),
            lshh=round(g["vis"] * 0.92),
        )
        assert heat_loss(g) * 1.25 < g["tout"]
    x = by_tag(gs)
    if b.faulty:
        plant_offset(b, x["LG-833"])
        plant_weak_tracer(b, x["LG-832"], 12)
        plant_hot_tracing(b, x["LG-831"], 165, 135)
        plant_shifted_zero(b, x["LG-832"], -45)
        plant_close_switches(b, x["LG-831"], "lsh", "lshh")
        plant_test_pressure(b, x["LG-833"], v=27.0)
    left = [
        ("Service", "svc", None),
        ("Liquid", "fluid", None),
        ("Density at oper. temp.", "rho", "kg/m³"),
        ("Oper. pressure", "op", "barg"),
        ("Oper. temperature", "ot", "°C"),
        ("Design pressure", "dp", "barg"),
        ("Design temperature", "dt", "°C"),
        ("Hydrotest pressure", "tp", "barg"),
        ("Pour point", "pour", "°C"),
        ("Min. ambient temp.", "amb", "°C"),
        ("Heat tracing", "trace", None),
        ("Maintain temperature", "tmain", "°C"),
        ("Tracer output installed", "tout", "W/m"),
        ("Tracer sheath temp.", "tsh", "°C"),
        ("Temperature class", "tcl", None),
    ]
    right = [
        ("Connections c-c", "cc", "mm"),
        ("Visible range", "vis", "mm"),
        ("Scale zero above lower conn.", "sz", "mm"),
        ("Chamber material", "cmat", None),
        ("Chamber O.D.", "cod", "mm"),
        ("Insulation thickness", "ins", "mm"),
        ("Flange rating", "fclass", "lb RF"),
        ("Float part no.", "part", None),
        ("Float mass", "mass", "g"),
        ("Float O.D. x length", "od L", "mm"),
        ("Float ends", "ends", None),
        ("Magnet above float bottom", "mag", "mm"),
        ("Float max. P / T", "pmax tmax", None),
        ("Switches LL / L", "lsll lsl", "mm"),
        ("Switches H / HH", "lsh lshh", "mm"),
    ]
    two = {"od L": "{} x {}", "pmax tmax": "{:g} barg / {:g} °C", "lsll lsl": "{} / {}", "lsh lshh": "{} / {}"}
    ws = b.sheet("LG data sheets")
    ws.set_column(0, 0, 3)
    ws.set_column(1, 1, 26)
    ws.set_column(6, 6, 28)
    for i, g in enumerate(gs):
        r = i * 24
        ws.merge_range(r, 1, r, 7, "DATA SHEET - MAGNETIC LEVEL GAUGE", b.fmt(bold=True, border=1, align="center"))
        ws.write(r, 8, f"Page {i + 1} of 3", b.fmt(border=1))
        ws.write(r + 1, 1, "Doc. 8300-IN-DS-014  Rev. 1")
        ws.write(r + 1, 6, "Tag No.", bold(b))
        write_cell(b, ws, r + 1, 7, g["tag"], g, "tag", bold=True)
        for j, side in enumerate((left, right)):
            for k, (label, names, unit) in enumerate(side):
                ws.write(r + 3 + k, 1 + 5 * j, label)
                v = two[names].format(*[g[n] for n in names.split()]) if names in two else g[names]
                write_cell(b, ws, r + 3 + k, 2 + 5 * j, v, g, names)
                if unit:
                    ws.write(r + 3 + k, 3 + 5 * j, unit)
        ws.write(r + 20, 1, "Rev.")
        ws.write(r + 20, 2, "Date")
        ws.write(r + 20, 3, "Description")
        ws.write(r + 21, 1, 1)
        ws.write(r + 21, 2, "14-Feb")
        ws.write(r + 21, 3, "Issued for design")
    ws.set_h_pagebreaks([24, 48])
    finish(b, gs)


@book
def s22_form_min_normal_max(b: Book) -> None:
    """Forms in blocks below each other: Unit, Minimum, Normal, Maximum; two tags in one cell."""
    fl = [
        make_float("AH-960", 51, 260, 965, pmax=25, tmax=180),
        make_float("AH-850", 51, 290, 850, pmax=25, tmax=180),
        make_float("AH-700", 51, 330, 700, pmax=25, tmax=180),
    ]
    gs = [
        gauge(
            "LG-811",
            "Condensate flash drum",
            "Water",
            fl[0],
            liquid_density("Water", 85, 0.6) / 965,
            0.6,
            85,
            4,
            150,
            900,
            tmain=60,
            trace="electric, self-limiting",
        ),
        gauge("LG-812", "Wash oil drum", "Wash oil", fl[1], 1.0, 2, 60, 7, 140, 1200, trace="none"),
        gauge("LG-813", "Reflux drum", "Naphtha", fl[2], 0.995, 4, 45, 9, 120, 1000, trace="none"),
        gauge("LG-814", "Rundown drum", "Wash oil", fl[1], 0.99, 0.8, 50, 5, 120, 1500, trace="none"),
    ]
    for g in gs:
        g.update(
            rho_min=round(g["rho"] * 0.99),
            rho=round(g["rho"]),
            rho_max=round(g["rho"] * 1.01),
            op_min=round(g["op"] * 0.8, 2),
            op_max=round(g["op"] * 1.25, 2),
            ot_min=g["ot"] - 10,
            ot_max=g["ot"] + 5,
            cmat="316L",
            slev=g["vis"] * 0.75,
        )
        g.update(scur=loop_current(g), ltag=g["tag"].replace("LG", "LT"), aka=[g["tag"].replace("LG", "LT"), f"{g['tag']} / {g['tag'].replace('LG', 'LT')}"])
        check_gauge(g)
    x = by_tag(gs)
    if b.faulty:
        g = x["LG-811"]
        g["tmain"] = 122
        assert g["tmain"] > saturation_temperature("Water", g["op_max"]) + 2
        b.fault(
            "tracing-boils-fluid",
            "LG-811",
            ["tmain", "op", "op_min", "op_max", "fluid"],
            f"maintained at 122, boils at {saturation_temperature('Water', g['op']):.0f} degC",
        )
        plant_reversed_densities(b, x["LG-812"])
        x["LG-813"]["op_max"] = 9.8
        b.fault("operating-exceeds-design", "LG-813", ["op_max", "dp"], "maximum 9.8 above design 9 barg")
        plant_current(b, x["LG-814"], 0.45)
        plant_magnetic_chamber(b, x["LG-812"], "A333 Gr. 6")
        plant_float_pressure(b, x["LG-814"], v=28)
    ws = b.sheet("LG forms")
    ws.set_column(0, 0, 34)
    r = 0
    for g in gs:
        ws.merge_range(r, 0, r, 6, "MAGNETIC LEVEL GAUGE WITH TRANSMITTER", b.fmt(bold=True, border=1, align="center"))
        ws.write(r + 1, 0, "Tag number")
        write_cell(b, ws, r + 1, 2, f"{g['tag']} / {g['ltag']}", g, "tag ltag")
        ws.write(r + 2, 0, "Service")
        write_cell(b, ws, r + 2, 2, g["svc"], g, "svc")
        ws.write(r + 3, 0, "Process fluid")
        write_cell(b, ws, r + 3, 2, g["fluid"], g, "fluid")
        for c, t in ((1, "Unit"), (2, "Minimum"), (3, "Normal"), (4, "Maximum"), (5, "Design")):
            ws.write(r + 4, c, t, b.fmt(bold=True, border=1))
        for i, (label, unit, names) in enumerate(
            [("Pressure", "barg", "op_min op op_max dp"), ("Temperature", "°C", "ot_min ot ot_max dt"), ("Liquid density", "kg/m³", "rho_min rho rho_max")]
        ):
            ws.write(r + 5 + i, 0, label, b.fmt(border=1))
            ws.write(r + 5 + i, 1, unit, b.fmt(border=1))
            for j, n in enumerate(names.split()):
                write_cell(b, ws, r + 5 + i, 2 + j, g[n], g, n, border=1)
        rest = [
            ("Distance between connections", "mm", "cc"),
            ("Visible length", "mm", "vis"),
            ("Chamber material", "", "cmat"),
            ("Heat tracing", "", "trace"),
            ("Maintain temperature", "°C", "tmain"),
            ("Float part number", "", "part"),
            ("Float weight", "g", "mass"),
            ("Float outside diameter", "mm", "od"),
            ("Float overall length", "mm", "L"),
            ("Float end caps", "", "ends"),
            ("Magnet above bottom of float", "mm", "mag"),
            ("Float maximum pressure", "barg", "pmax"),
            ("Float maximum temperature", "°C", "tmax"),
            ("Level at 4 mA", "mm", "lrv"),
            ("Level at 20 mA", "mm", "urv"),
            ("Check level", "mm", "slev"),
            ("Current at check level", "mA", "scur"),
        ]
        for i, (label, unit, n) in enumerate(rest):
            ws.write(r + 8 + i, 0, label)
            ws.write(r + 8 + i, 1, unit)
            write_cell(b, ws, r + 8 + i, 2, g.get(n), g, n)
        r += 8 + len(rest) + 2
    finish(b, gs)


@book
def s23_hoja_de_datos_cajas(b: Book) -> None:
    """Forms, two side by side: label above, label and value in one cell, two values in one cell; Spanish."""
    fl = [
        make_float("NM-84", 50, 290, 840, pmax=25, tmax=180),
        make_float("NM-70", 50, 330, 700, pmax=25, tmax=180),
        make_float("NM-99", 50, 250, 990, pmax=16, tmax=140),
        make_float("NM-83", 50, 292, 835, pmax=25, tmax=180),
    ]
    gs = [
        gauge("LG-231", "Acumulador de reflujo", "Nafta ligera", fl[1], 0.985, 3.5, 45, 9, 120, 1000),
        gauge("LG-232", "Tanque diario", "Gasóleo", fl[3], 0.995, 0.1, 35, 2, 90, 1500),
        gauge("LG-233", "Fosa de glicol", "Glicol 20 %", fl[2], 1.02, 0.8, 60, 5, 110, 600),
        gauge("LG-234", "Tambor de lavado", "Aceite de lavado", fl[0], 1.01, 1.6, 55, 7, 130, 1200),
    ]
    for g in gs:
        g["cmat"] = "AISI 316L"
    x = by_tag(gs)
    if b.faulty:
        plant_offset(b, x["LG-234"])
        plant_float_pressure(b, x["LG-233"], v=18)
        plant_long_range(b, x["LG-232"], 120)
        plant_barely_floating(b, x["LG-232"])
        plant_above_design(b, x["LG-231"], "op", 9.9)
        plant_magnetic_chamber(b, x["LG-231"], "A-106 Gr. B")
    c = decimal_comma
    boxes = [
        ("above", "IDENTIFICACIÓN (TAG)", "tag", "{tag}"),
        ("above", "SERVICIO", "svc", "{svc}"),
        ("one", "FLUIDO", "fluid", "{fluid}"),
        ("one", "DENSIDAD A T. DE OPERACIÓN", "rho", "{rho_} kg/m³"),
        ("above", "PRESIÓN / TEMPERATURA DE OPERACIÓN", "op ot", "{op_} barg / {ot} °C"),
        ("above", "PRESIÓN / TEMPERATURA DE DISEÑO", "dp dt", "{dp_} barg / {dt} °C"),
        ("one", "DISTANCIA ENTRE CENTROS", "cc", "{cc} mm"),
        ("one", "LONGITUD VISIBLE", "vis", "{vis} mm"),
        ("above", "MATERIAL DE LA CÁMARA", "cmat", "{cmat}"),
        ("above", "FLOTADOR, REFERENCIA", "part", "{part}"),
        ("one", "MASA DEL FLOTADOR", "mass", "{mass_} g"),
        ("above", "FLOTADOR, DIÁMETRO x LONGITUD (mm)", "od L", "{od} x {L}"),
        ("one", "EXTREMOS DEL FLOTADOR", "ends", "planos"),
        ("above", "ALTURA DEL IMÁN DESDE EL FONDO DEL FLOTADOR (mm)", "mag", "{mag_}"),
        ("above", "FLOTADOR, PRESIÓN / TEMPERATURA MÁX.", "pmax tmax", "{pmax_} barg / {tmax:g} °C"),
    ]
    for s in range(2):
        ws = b.sheet(f"Hoja {s + 1}")
        ws.merge_range(0, 0, 0, 6, "HOJA DE DATOS - INDICADORES DE NIVEL MAGNÉTICOS", b.fmt(bold=True, align="center", border=1))
        ws.set_column(0, 6, 24)
        for side in range(2):
            g = gs[2 * s + side]
            d = dict(g, **{k + "_": c(rounded(float, 2))(g[k]).removesuffix(",0") for k in ("rho", "op", "dp", "mass", "mag", "pmax")})
            r, k = 2, 0
            for kind, label, names, text in boxes:
                col = 4 * side + k
                v = text.format(**d)
                if kind == "one":
                    write_cell(b, ws, r, col, f"{label}: {v}", g, names, border=1, text_wrap=True)
                else:
                    ws.write(r, col, label, b.fmt(font_size=8, italic=True, top=1, left=1, right=1))
                    write_cell(b, ws, r + 1, col, g[names] if text == "{" + names + "}" else v, g, names, bottom=1, left=1, right=1)
                k = (k + 1) % 2
                if k == 0:
                    r += 3
    b.allow("number-as-text")
    finish(b, gs)
