"""Data sheets: one for each gauge, boxes below each other, tags across, questionnaires."""

from __future__ import annotations

from typing import Any

from xlsxwriter.worksheet import Worksheet

from tests.reading.books.shapes.common import (
    CONSEQUENCES,
    always,
    finish,
    heat_loss,
    plant_heavy_upper_liquid,
    plant_hot_tracing,
    plant_implausible_density,
    plant_magnet_above_top,
    plant_no_tracing,
    plant_other_float_service,
    plant_other_serial,
    plant_swapped_densities,
    plant_weak_tracer,
    water,
    write_cell,
)
from tests.reading.faults import (
    plant_above_design,
    plant_flange_rating,
    plant_float_pressure,
    plant_float_temperature,
    plant_long_range,
    plant_magnetic_chamber,
    plant_offset,
    plant_sinking,
    plant_test_pressure,
)
from tests.reading.gauges import add_serials, by_tag, check_gauge, gauge, make_float
from tests.reading.registry import book
from tests.reading.units import degF, g_cm3, inch, kg_m3, lb_ft3, mpag, pound, psig
from tests.reading.writing import HEADING, Book, Gauge

TITLE = {"bold": True, "font_size": 14}
BOX = {"border": 1}
SECTION = {"bold": True, "bg_color": "#BDD7EE", "border": 1}


def shown(g: Gauge, name: str, fn: Any) -> Any:
    return fn(g.get(name)) if fn else g.get(name)


@book
def p01_datasheet_per_gauge(b: Book) -> None:
    """A data sheet for each gauge, a sheet each, with unit, minimum, normal and maximum."""
    fl = [
        make_float("NR-812", 51, 295, 812, pmax=30, tmax=180),
        make_float("NR-745", 51, 315, 745, pmax=40, tmax=150),
        make_float("NR-960", 51, 262, 960, pmax=25, tmax=200, ends="hemispherical"),
    ]
    gs = [
        gauge("410-LG-0101", "D-4101 Feed surge drum", "Heavy naphtha", fl[1], 1.0, 4.2, 45, 12, 120, 1200),
        gauge("410-LG-0102", "D-4102 Stripper overhead", "Unstabilised naphtha", fl[1], 0.99, 9.5, 50, 16, 120, 900),
        gauge("410-LG-0104", "C-4101 Stripper bottom", "Hydrotreated kerosene", fl[0], 1.0, 6.0, 140, 14, 170, 1500, vis=1400),
        gauge("410-LG-0105", "D-4104 Wash water drum", "Wash water, sour", fl[2], 1.0, 3.0, 60, 10, 120, 800),
        gauge("410-LG-0107", "D-4105 Flush oil drum", "Flushing oil", fl[0], 1.01, 0.5, 60, 5, 140, 1000, vis=950),
    ]
    for i, g in enumerate(gs):
        g.update(cmat="ASTM A312 TP316L", grp="2.3", fclass=300 if g["dp"] > 10 else 150, x_pid=f"410-PID-{2100 + i}", tp=round(g["dp"] * 1.5, 1))
        g.update(op_min=round(g["op"] * 0.7, 1), op_max=round(g["op"] * 1.15, 1), ot_min=g["ot"] - 15, ot_max=g["ot"] + 15)
        g.update(rho_min=round(g["rho"] * 0.99), rho_max=round(g["rho"] * 1.01))
        check_gauge(g)
    x = by_tag(gs)
    if b.faulty:
        plant_offset(b, x["410-LG-0102"])
        x["410-LG-0101"]["op_max"] = 13.4
        b.fault("operating-exceeds-design", "410-LG-0101", ["op_max", "dp"], "max. operating 13.4 > design 12 barg")
        plant_long_range(b, x["410-LG-0107"], 150)
        plant_magnetic_chamber(b, x["410-LG-0105"], "ASTM A106 Gr. B")
        plant_float_temperature(b, x["410-LG-0104"], 210)
    ws = b.sheet("Cover")
    ws.write(2, 1, "INSTRUMENT DATA SHEETS", b.fmt(**TITLE))
    ws.write(3, 1, "MAGNETIC LEVEL GAUGES - UNIT 410 KEROSENE HYDROTREATER")
    ws.write(5, 1, "Doc. No. 410-IDS-LG-001")
    ws.write(5, 4, "Rev. 2")
    for c, h in enumerate(["Sheet", "Tag No.", "P&ID", "Rev."]):
        ws.write(8, 1 + c, h, b.fmt(**HEADING))
    for i, g in enumerate(gs):
        for c, v in enumerate([i + 2, g["tag"], g["x_pid"], "2" if i != 3 else "1"]):
            ws.write(9 + i, 1 + c, v, b.fmt(**BOX))
    lines: list[str | tuple[str, str, tuple[str, ...]]] = [
        "GENERAL",
        ("Tag number", "", ("tag",)),
        ("Service", "", ("svc",)),
        ("P&ID", "", ("x_pid",)),
        "PROCESS CONDITIONS",
        ("Fluid", "-", ("", "fluid")),
        ("Density at operating temperature", "kg/m³", ("rho_min", "rho", "rho_max")),
        ("Operating pressure", "barg", ("op_min", "op", "op_max")),
        ("Operating temperature", "°C", ("ot_min", "ot", "ot_max")),
        ("Design pressure", "barg", ("", "", "dp")),
        ("Design temperature", "°C", ("", "", "dt")),
        "CHAMBER",
        ("Chamber material", "", ("cmat",)),
        ("Centre to centre", "mm", ("cc",)),
        ("Visible length", "mm", ("vis",)),
        ("Process flange rating", "ASME class", ("fclass",)),
        ("Hydrotest pressure", "barg", ("tp",)),
        "FLOAT",
        ("Float type", "", ("part",)),
        ("Float mass", "g", ("mass",)),
        ("Outside diameter", "mm", ("od",)),
        ("Overall length", "mm", ("L",)),
        ("End caps", "", ("ends",)),
        ("Magnet position above float bottom", "mm", ("mag",)),
        ("Maximum pressure", "barg", ("pmax",)),
        ("Maximum temperature", "°C", ("tmax",)),
        "NOTES",
    ]
    for i, g in enumerate(gs):
        _data_sheet(b, b.sheet(f"Sh{i + 2}"), i, g, lines)
    finish(b, gs)


def _data_sheet(b: Book, ws: Worksheet, i: int, g: Gauge, lines: list[Any]) -> None:
    ws.set_column(0, 0, 5)
    ws.set_column(1, 1, 34)
    ws.set_column(2, 5, 13)
    ws.merge_range(0, 0, 0, 5, "MAGNETIC LEVEL GAUGE DATA SHEET", b.fmt(align="center", **TITLE))
    ws.write(1, 0, f"Doc. No. 410-IDS-LG-001   Sheet {i + 2} of 6")
    r, n = 3, 0
    for line in lines:
        if isinstance(line, str):
            ws.merge_range(r, 0, r, 5, line, b.fmt(**SECTION))
            r += 1
            if line == "PROCESS CONDITIONS":
                for c, h in enumerate(["", "", "Unit", "Minimum", "Normal", "Maximum"]):
                    ws.write(r, c, h, b.fmt(**HEADING))
                r += 1
            continue
        label, unit, names = line
        n += 1
        for c, v in enumerate((n, label, unit)):
            ws.write(r, c, v, b.fmt(**BOX))
        for c, name in enumerate(names):
            if name:
                write_cell(b, ws, r, 3 + c, g[name], g, name, **BOX)
        r += 1
    ws.write(r, 0, "1. Isolation valves by piping.")
    ws.write(r + 1, 0, "2. Vendor to confirm float at final density.")
    for c, h in enumerate(["2", "Issued for purchase", "14-Mar-26", "KMO", "TRV"]):
        ws.write(r + 3, c, h, b.fmt(**BOX))
    for c, h in enumerate(["Rev.", "Description", "Date", "By", "Chk"]):
        ws.write(r + 4, c, h, b.fmt(**HEADING))


@book
def p02_messstellenblaetter_kaesten(b: Book) -> None:
    """German: boxed forms below each other, the label above the value."""
    fl = [
        make_float("SK-1102", 46, 225, 1102, pmax=16, tmax=150),
        make_float("SK-0987", 46, 245, 983, pmax=16, tmax=180),
        make_float("SK-0867", 46, 270, 860, pmax=10, tmax=150),
        make_float("SK-1310", 46, 205, 1310, pmax=10, tmax=120),
    ]
    gs = [
        gauge("LG 2201", "Ansetzbehälter B 220", "Harnstofflösung 40 %", fl[0], 1.0, 0.5, 40, 4, 100, 900),
        gauge("LG 2202", "Kondensatsammler B 221", "Kondensat", fl[1], round(water(62)) / 983, 1.0, 62, 6, 150, 700),
        gauge("LG 2203", "Toluolvorlage B 223", "Lösemittelgemisch", fl[2], 1.0, 0.3, 30, 6, 120, 1200),
        gauge("LG 2204", "Natronlauge B 224", "NaOH 28 %", fl[3], 0.995, 0.1, 35, 3, 90, 1100, vis=1050),
        gauge("LG 2205", "Prozesswasser B 225", "Prozesswasser", fl[1], 1.005, 0.8, 55, 6, 150, 800),
        gauge("LG 2206", "Rücklösemittel B 226", "Lösemittelgemisch", fl[2], 0.99, 0.3, 45, 6, 120, 1000),
    ]
    for g in gs:
        g.update(cmat="1.4571", tp=round(g["dp"] * 1.43, 2), rem=None)
        check_gauge(g)
    add_serials(gs, "", 260411, 3)
    gs[3]["rem"], gs[0]["rem"] = "Heizung prüfen", "-"
    x = by_tag(gs)
    if b.faulty:
        plant_sinking(b, x["LG 2206"])
        plant_float_pressure(b, x["LG 2204"], 12)
        plant_test_pressure(b, x["LG 2203"], 11.4)
        plant_other_serial(b, x["LG 2202"], x["LG 2205"]["gsn"])
        x["LG 2201"]["rho"] = 1102 * 1000
        plant_implausible_density(b, x["LG 2201"], "1102 kg/dm³")
        for rule in CONSEQUENCES:
            b.allow(rule, "LG 2201")
        plant_above_design(b, x["LG 2205"], "ot", 158, ok=["fluid-boils-in-chamber", "density-not-at-operating-conditions"])
    ws = b.sheet("Messstellenblätter")
    ws.set_column(0, 6, 19)
    ws.write(0, 0, "Magnetklappen-Füllstandanzeiger  –  Messstellenblätter Bau 22", b.fmt(**TITLE))
    ws.write(1, 0, "Alle Drücke als Überdruck")
    bands: list[list[tuple[str, str, Any]]] = [
        [
            ("Messstelle", "tag", None),
            ("Einbauort", "svc", None),
            ("Medium", "fluid", None),
            ("Dichte bei Betrieb [kg/dm³]", "rho", g_cm3(3)),
            ("Fabrik-Nr. Anzeiger", "gsn", None),
            ("Werkstoff Bezugsgefäß", "cmat", None),
        ],
        [
            ("Betriebsdruck [barü]", "op", None),
            ("Betriebstemp. [°C]", "ot", None),
            ("Auslegungsdruck PS [barü]", "dp", None),
            ("Auslegungstemp. TS [°C]", "dt", None),
            ("Prüfdruck PT [barü]", "tp", None),
            ("Mittenabstand [mm]", "cc", None),
        ],
        [
            ("Sichtbare Länge [mm]", "vis", None),
            ("Schwimmer Typ", "part", None),
            ("Schwimmer Masse [g]", "mass", None),
            ("Schwimmer-Ø [mm]", "od", None),
            ("Schwimmerlänge gesamt [mm]", "L", None),
            ("Böden", "ends", always("flach")),
        ],
        [
            ("Magnet über Schwimmerunterkante [mm]", "mag", None),
            ("Schwimmer max. Druck [barü]", "pmax", None),
            ("Schwimmer max. Temp. [°C]", "tmax", None),
            ("Schwimmer-Nr.", "fsn", None),
            ("gehört zu Anzeiger-Nr.", "fgsn", None),
            ("Bemerkung", "rem", None),
        ],
    ]
    r = 3
    for g in gs:
        for band in bands:
            for c, (label, name, fn) in enumerate(band):
                ws.write(r, c, label, b.fmt(font_size=8, italic=True, border=1))
                write_cell(b, ws, r + 1, c, shown(g, name, fn), g, name, bold=name == "tag", border=1)
            r += 2
        r += 2
    ws.write(r, 0, "erstellt: PLT-Werkstatt, 02/2026")
    finish(b, gs)


@book
def p03_tags_across_us(b: Book) -> None:
    """US units: tags across, properties down, level and interface gauges."""
    fl = [
        make_float("IX-30", 76.2, 254, 1040, 800, frac=0.5, pmax=42, tmax=150, svc="interface"),
        make_float("LX-80", 50.8, 304.8, 800, 10, pmax=42, tmax=150),
        make_float("LX-104", 50.8, 254, 1040, 2, pmax=28, tmax=150),
        make_float("IX-31", 76.2, 254, 1010, 850, frac=0.5, pmax=28, tmax=150, svc="interface"),
    ]
    gs = [
        gauge("LG-3110", "V-311 Inlet separator", "Produced water", fl[0], 1.0, 17, 38, 28, 93, 1016, typ="interface", rho_u=800, upf="Condensate"),
        gauge("LG-3111", "V-311 Inlet separator", "Condensate", fl[1], 1.0, 17, 38, 28, 93, 1219.2, typ="level", rho_u=14, upf="Gas"),
        gauge("LG-3120", "V-312 Flash drum", "Produced water", fl[3], 1.0, 4, 45, 10, 93, 914.4, typ="interface", rho_u=850, upf="Crude oil"),
        gauge("LG-3121", "V-312 Water boot", "Produced water", fl[2], 0.99, 4, 45, 10, 93, 609.6, typ="level", rho_u=4, upf="Gas"),
        gauge("LG-3130", "V-313 Fuel gas scrubber", "Condensate", fl[1], 0.985, 12, 30, 20, 93, 762, typ="level", rho_u=10, upf="Gas"),
        gauge("LG-3140", "V-314 Desalter", "Brine", fl[3], 1.0, 9, 80, 15, 120, 914.4, typ="interface", rho_u=850, upf="Crude oil"),
        gauge("LG-3150", "V-315 Drain drum", "Oily brine", fl[2], 1.0, 0.2, 35, 3.5, 93, 1016, typ="level", rho_u=1.5, upf="Vapor"),
    ]
    for i, g in enumerate(gs):
        g.update(grp="2.3", fclass=300 if g["dp"] > 11 else 150, cmat="316L SS", x_pid=f"D-31-{101 + i // 2}")
        check_gauge(g)
    x = by_tag(gs)
    b.allow("wetted-material-unfit", "LG-3140", "316L in brine at 80 degC")
    if b.faulty:
        plant_swapped_densities(b, x["LG-3110"])
        plant_heavy_upper_liquid(b, x["LG-3140"], 945)
        plant_other_float_service(b, x["LG-3120"], "level")
        plant_flange_rating(b, x["LG-3121"], 16.5)
        b.allow("float-test-pressure-exceeded", "LG-3121")
        plant_magnet_above_top(b, x["LG-3130"], 25.4)
        for tag in ("LG-3120", "LG-3130"):
            b.allow("float-data-conflict", tag)
        plant_above_design(b, x["LG-3150"], "op", 4.2)
    ws = b.sheet("LG-31xx")
    ws.set_column(0, 0, 36)
    ws.set_column(2, 10, 16)
    ws.write(0, 0, "MAGNETIC LEVEL GAUGE SPECIFICATION", b.fmt(**TITLE))
    ws.write(1, 0, "Central battery 31 - Job 6617   Rev 1   pressures are gage")
    lines: list[str | tuple[str, str, str, Any]] = [
        ("Tag no.", "", "tag", None),
        ("P&ID", "", "x_pid", None),
        ("Equipment", "", "svc", None),
        ("Duty (level / interface)", "", "typ", None),
        "PROCESS",
        ("Lower fluid", "", "fluid", None),
        ("Lower fluid density @ oper. temp.", "lb/ft³", "rho", lb_ft3()),
        ("Upper fluid", "", "upf", None),
        ("Upper fluid density @ oper. temp.", "lb/ft³", "rho_u", lb_ft3()),
        ("Operating pressure", "psig", "op", psig()),
        ("Operating temperature", "°F", "ot", degF()),
        ("Design pressure", "psig", "dp", psig()),
        ("Design temperature", "°F", "dt", degF()),
        "CHAMBER",
        ("Chamber material", "", "cmat", None),
        ("Center to center", "in", "cc", inch(1)),
        ("Visible length", "in", "vis", inch(1)),
        ("Flange class", "lb", "fclass", None),
        "FLOAT",
        ("Float no.", "", "part", None),
        ("Float made for", "", "fsvc", None),
        ("Weight", "lb", "mass", pound(3)),
        ("Diameter", "in", "od", inch(2)),
        ("Length overall", "in", "L", inch(2)),
        ("Ends", "", "ends", None),
        ("Magnet above float bottom", "in", "mag", inch(2)),
        ("Max. pressure", "psig", "pmax", psig()),
        ("Max. temperature", "°F", "tmax", degF()),
        "NOTES",
    ]
    r = 3
    for line in lines:
        if isinstance(line, str):
            ws.write(r, 0, line, b.fmt(**SECTION))
        else:
            label, unit, name, fn = line
            ws.write(r, 0, label, b.fmt(**BOX))
            ws.write(r, 1, unit, b.fmt(**BOX))
            for c, g in enumerate(gs):
                write_cell(b, ws, r, 2 + c, shown(g, name, fn), g, name, border=1, bold=name == "tag")
        r += 1
    ws.write(r, 0, "1. Provide vent and drain valves, 1/2 in NPT.")
    ws.write(r + 1, 0, "2. Flags yellow/black.")
    finish(b, gs)


@book
def p09_oprosnye_listy(b: Book) -> None:
    """Russian: questionnaires, a sheet for each gauge, filled in line by line, with heat tracing."""
    fl = [
        make_float("ПМ-890", 50, 280, 890, pmax=16, tmax=200),
        make_float("ПМ-975", 50, 260, 972, pmax=25, tmax=180),
        make_float("ПМ-1020", 50, 250, 1020, pmax=10, tmax=150),
    ]
    hot = {"pour": 22, "tmain": 60, "tout": 60, "tsh": 110}
    mild = {"tmain": 20, "tout": 45, "tsh": 85}
    gs = [
        gauge("LG-610", "Ёмкость Е-61 мазутная", "Мазут М-40", fl[0], 1.0, 0.2, 80, 3, 130, 1200, **hot),
        gauge("LG-611", "Ёмкость Е-62 мазутная", "Мазут М-40", fl[0], 1.0, 0.2, 80, 3, 130, 1000, **hot),
        gauge("LG-612", "Сборник конденсата Е-63", "Конденсат водяной", fl[1], 1.0, 1.2, 80, 6, 160, 800, pour=0, tmain=30, tout=50, tsh=90),
        gauge("LG-613", "Ёмкость Е-64", "Масло турбинное", fl[0], 0.985, 0.5, 45, 5, 120, 700, pour=-10, **mild),
        gauge("LG-614", "Дренажная ёмкость Е-65", "Вода дренажная с солями", fl[2], 1.005, 0.1, 40, 1.5, 90, 1500, vis=1400, pour=-3, **mild),
    ]
    assert round(water(80, 1.2)) == gs[2]["rho"]
    for i, g in enumerate(gs):
        g.update(
            amb=-40, trace="да", tcl="T4", cod=70, ins=50, kins=0.04, cmat="12Х18Н10Т", tp=round(g["dp"] * 1.5, 2), x_ex="не требуется" if i == 4 else "Ex"
        )
        assert g["tout"] > 1.35 * heat_loss(g)
        check_gauge(g)
    x = by_tag(gs)
    if b.faulty:
        plant_weak_tracer(b, x["LG-610"], 20)
        plant_hot_tracing(b, x["LG-611"], 160, 135)
        plant_no_tracing(b, x["LG-613"], "нет")
        x["LG-613"] |= {"tmain": "-", "tout": "-", "tsh": "-", "tcl": "-"}
        plant_magnetic_chamber(b, x["LG-612"], "сталь 20")
        plant_float_pressure(b, x["LG-614"], 12)
    ws = b.sheet("Титул")
    ws.write(1, 1, "ОПРОСНЫЕ ЛИСТЫ", b.fmt(**TITLE))
    ws.write(2, 1, "на указатели уровня магнитные поплавковые")
    ws.write(4, 1, "Объект: мазутное хозяйство, площадка 6")
    ws.write(5, 1, "Стадия Р")
    lines: list[str | tuple[str, str, str, Any]] = [
        "Общие сведения",
        ("Позиция по схеме", "", "tag", None),
        ("Место установки", "", "svc", None),
        ("Исполнение взрывозащиты", "", "x_ex", None),
        "Измеряемая среда",
        ("Наименование среды", "", "fluid", None),
        ("Плотность при рабочей температуре", "кг/м³", "rho", kg_m3()),
        ("Температура застывания (замерзания)", "°C", "pour", None),
        ("Рабочее давление", "МПа изб.", "op", mpag(3)),
        ("Рабочая температура", "°C", "ot", None),
        ("Расчётное давление", "МПа изб.", "dp", mpag(2)),
        ("Расчётная температура", "°C", "dt", None),
        ("Пробное давление гидроиспытания", "МПа изб.", "tp", mpag(3)),
        ("Минимальная температура окружающей среды", "°C", "amb", None),
        "Конструкция",
        ("Материал выносной камеры", "", "cmat", None),
        ("Наружный диаметр камеры", "мм", "cod", None),
        ("Межцентровое расстояние", "мм", "cc", None),
        ("Видимый диапазон", "мм", "vis", None),
        "Поплавок",
        ("Обозначение поплавка", "", "part", None),
        ("Масса поплавка", "г", "mass", None),
        ("Диаметр поплавка", "мм", "od", None),
        ("Длина поплавка полная", "мм", "L", None),
        ("Форма донышек", "", "ends", always("плоские")),
        ("Магнит над нижней точкой поплавка", "мм", "mag", None),
        ("Макс. давление поплавка", "МПа изб.", "pmax", mpag(2)),
        ("Макс. температура поплавка", "°C", "tmax", None),
        "Обогрев и изоляция",
        ("Обогрев (да / нет)", "", "trace", None),
        ("Поддерживаемая температура", "°C", "tmain", None),
        ("Установленная мощность обогрева", "Вт/м", "tout", None),
        ("Температура оболочки кабеля", "°C", "tsh", None),
        ("Температурный класс", "", "tcl", None),
        ("Толщина изоляции", "мм", "ins", None),
        ("Теплопроводность изоляции", "Вт/(м·К)", "kins", None),
    ]
    for i, g in enumerate(gs):
        ws = b.sheet(f"ОЛ-{i + 1}")
        ws.set_column(1, 1, 46)
        ws.set_column(2, 3, 22)
        ws.merge_range(0, 0, 0, 3, f"Опросный лист № {i + 1}", b.fmt(align="center", **TITLE))
        for c, h in enumerate(["№", "Параметр", "Ед. изм.", "Значение"]):
            ws.write(2, c, h, b.fmt(**HEADING))
        r, n = 3, 0
        for line in lines:
            if isinstance(line, str):
                ws.merge_range(r, 0, r, 3, line, b.fmt(**SECTION))
            else:
                label, unit, name, fn = line
                n += 1
                for c, v in enumerate((n, label, unit or "-")):
                    ws.write(r, c, v, b.fmt(**BOX))
                write_cell(b, ws, r, 3, shown(g, name, fn), g, name, **BOX)
            r += 1
        ws.write(r + 1, 1, "Заполнил: ____________")
        ws.write(r + 1, 3, "Дата: 11.02.2026")
    finish(b, gs)
