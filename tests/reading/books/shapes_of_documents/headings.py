"""Headings of many rows, in two languages, at the right of the data; tags across."""

from __future__ import annotations

from typing import Any

from tests.reading.books.shapes.common import (
    CONSEQUENCES,
    always,
    bold,
    finish,
    heat_loss,
    plant_barely_floating,
    plant_hot_tracing,
    plant_lag,
    plant_magnet_above_top,
    plant_narrow_bore,
    plant_no_tracing,
    plant_small_density_gap,
    plant_swapped_densities,
    plant_weak_tracer,
    water,
    write_cell,
    write_list,
)
from tests.reading.faults import (
    plant_above_design,
    plant_float_pressure,
    plant_float_temperature,
    plant_long_range,
    plant_magnetic_chamber,
    plant_offset,
    plant_reversed_range,
    plant_sinking,
    plant_urv_outside,
    plant_urv_short,
)
from tests.reading.gauges import by_tag, check_gauge, gauge, make_float
from tests.reading.physics import liquid_density
from tests.reading.registry import book
from tests.reading.units import g_cm3, kg_m3, mpag
from tests.reading.writing import Book, count_float_cells, float_sheet

FLOAT_CELLS = ("mass", "od", "L", "mag", "pmax", "tmax", "fsvc")


@book
def d14_five_heading_rows(b: Book) -> None:
    """Korean: five rows of headings, the units in the middle one."""
    fl = [
        make_float("부자-79", 50, 305, 788, pmax=30, tmax=180),
        make_float("부자-86", 50, 290, 857, pmax=30, tmax=200),
        make_float("부자-99", 50, 255, 990, pmax=20, tmax=170),
    ]
    gs = [
        gauge("LG-5101", "D-5101 원료 드럼", "중질 나프타 혼합유", make_float("부자-74", 50, 315, 742, pmax=30, tmax=180), 1.0, 3.2, 45, 9, 120, 1200, mu=0.5),
        gauge("LG-5102", "D-5102 톨루엔 드럼", "톨루엔", fl[1], liquid_density("Toluene", 35, 0.5) / 857, 0.5, 35, 5, 110, 900, mu=0.5),
        gauge("LG-5103", "D-5103 등유 탱크", "등유", fl[0], 0.995, 0.2, 40, 3, 90, 1500, mu=1.2, vis=1450),
        gauge("LG-5105", "D-5105 응축수 드럼", "응축수", fl[2], water(68, 1.5) / 990, 1.5, 68, 6, 160, 700, mu=0.42),
        gauge("LG-5106", "D-5106 윤활유 탱크", "윤활유", fl[1], 0.99, 0.1, 55, 2, 100, 800, mu=25),
        gauge("LG-5107", "D-5107 공정수 드럼", "공정수", fl[2], 1.003, 2.0, 35, 7, 100, 600, mu=0.72),
    ]
    fl.append(gs[0]["f"])
    for i, g in enumerate(gs):
        g.update(cmat="STS316L", bore=61, no=i + 1)
        check_gauge(g)
    x = by_tag(gs)
    if b.faulty:
        plant_offset(b, x["LG-5103"])
        plant_narrow_bore(b, x["LG-5107"], 48)
        plant_lag(b, x["LG-5106"], 1400)
        plant_float_pressure(b, x["LG-5105"], 23)
        plant_reversed_range(b, x["LG-5101"])
        plant_magnetic_chamber(b, x["LG-5102"], "SPPS 38")
    p, d, c, f, t = "운전 조건", "설계 조건", "챔버", "부자 (FLOAT)", "전송기"
    heads: list[tuple[str, str, str, str, str, Any]] = [
        ("", "번호", "", "No.", "no", None),
        ("", "계기 번호", "", "Tag", "tag", None),
        ("", "용도", "", "Service", "svc", None),
        ("", "유체", "", "Fluid", "fluid", None),
        (p, "밀도", "kg/m³", "Density", "rho", kg_m3()),
        (p, "점도", "mPa·s", "Visc.", "mu", None),
        (p, "압력", "MPaG", "Press.", "op", mpag(3)),
        (p, "온도", "℃", "Temp.", "ot", None),
        (d, "압력", "MPaG", "Press.", "dp", mpag(2)),
        (d, "온도", "℃", "Temp.", "dt", None),
        (c, "재질", "", "Mat'l", "cmat", None),
        (c, "내경", "mm", "I.D.", "bore", None),
        (c, "중심 간 거리", "mm", "C-C", "cc", None),
        (c, "가시 길이", "mm", "Visible", "vis", None),
        (f, "번호", "", "No.", "part", None),
        (f, "중량", "g", "Wt.", "mass", None),
        (f, "외경", "mm", "O.D.", "od", None),
        (f, "전장", "mm", "Length", "L", None),
        (f, "끝단", "", "Ends", "ends", always("평판")),
        (f, "자석 높이 (하단 기준)", "mm", "Magnet from bottom", "mag", None),
        (f, "최대 압력", "MPaG", "Max. P", "pmax", mpag(2)),
        (f, "최고 온도", "℃", "Max. T", "tmax", None),
        (t, "하한", "mm", "4 mA", "lrv", None),
        (t, "상한", "mm", "20 mA", "urv", None),
    ]
    cols = [((group, ko, unit, en, f"({i + 1})"), name, fn) for i, (group, ko, unit, en, name, fn) in enumerate(heads)]
    ws = b.sheet("액위계 목록")
    ws.write(0, 0, "자석식 액위계 목록  (51 공정)", b.fmt(bold=True, font_size=13))
    ws.write(1, 0, "개정 2")
    r = write_list(b, ws, 3, 0, cols, gs, border=1)
    ws.write(r + 1, 0, "비고: (10) 설계 온도는 용기 기준")
    finish(b, gs)


@book
def d15_two_languages(b: Book) -> None:
    """Japanese headings with English ones below; level and interface gauges, heat tracing."""
    fl = [
        make_float("FLT-J3", 60, 270, 1004, 830, frac=0.5, pmax=20, tmax=150, svc="interface"),
        make_float("FLT-J5", 51, 280, 912, pmax=20, tmax=180),
        make_float("FLT-J6", 51, 255, 1001, pmax=20, tmax=180),
        make_float("FLT-J8", 51, 295, 838, pmax=20, tmax=180),
    ]
    heat = {"trace": "有", "cod": 73, "ins": 50, "tcl": "T4"}
    none = {"trace": "無", "cod": 73, "ins": None, "tcl": None, "tmain": None, "tout": None, "tsh": None}
    gs = [
        gauge(
            "LG-2011",
            "V-201 油水分離槽",
            "排水",
            fl[0],
            1.0,
            0.6,
            40,
            4,
            90,
            700,
            typ="interface",
            upf="軽油",
            rho_u=830,
            pour=0,
            tmain=15,
            tout=40,
            tsh=95,
            **heat,
        ),
        gauge("LG-2012", "V-201 油水分離槽", "軽油", fl[3], 830 / 838, 0.6, 40, 4, 90, 600, typ="level", pour=-5, tmain=10, tout=40, tsh=95, **heat),
        gauge("LG-2015", "T-203 重油サービスタンク", "C重油", fl[1], 1.0, 0.1, 75, 2, 120, 1400, typ="level", pour=20, tmain=60, tout=60, tsh=110, **heat),
        gauge("LG-2016", "T-204 重油受入タンク", "C重油", fl[1], 1.005, 0.1, 70, 2, 120, 1600, typ="level", pour=20, tmain=60, tout=60, tsh=110, **heat),
        gauge(
            "LG-2020", "V-206 温水タンク", "温水", fl[2], water(55, 0.8) / 1001, 0.8, 55, 5, 120, 900, typ="level", pour=0, tmain=20, tout=40, tsh=95, **heat
        ),
        gauge("LG-2022", "V-208 潤滑油タンク", "潤滑油", fl[3], 1.02, 0.1, 50, 3, 100, 500, typ="level", pour=-30, **none),
        gauge(
            "LG-2024",
            "D-210 混合槽",
            "工程水",
            fl[0],
            1.0,
            1.0,
            45,
            5,
            100,
            800,
            typ="interface",
            upf="白灯油留分",
            rho_u=828,
            pour=0,
            tmain=15,
            tout=40,
            tsh=95,
            **heat,
        ),
    ]
    for g in gs:
        g.setdefault("rho_u", None)
        g.setdefault("upf", None)
        g.update(amb=-15, cmat="SUS316L")
        assert g["tout"] is None or g["tout"] > 1.3 * heat_loss(g)
    x = by_tag(gs)
    if b.faulty:
        plant_swapped_densities(b, x["LG-2011"])
        plant_small_density_gap(b, x["LG-2024"], 35)
        plant_hot_tracing(b, x["LG-2015"], 150, 135)
        plant_weak_tracer(b, x["LG-2016"], 12)
        plant_no_tracing(b, x["LG-2012"], "無")
        x["LG-2012"] |= {"tsh": None, "tcl": None, "ins": None}
        plant_float_temperature(b, x["LG-2022"], 190)
    cols = [
        (("計器番号", "Tag No."), "tag", None),
        (("設置場所", "Location"), "svc", None),
        (("用途", "Level or interface"), "typ", lambda v: {"level": "液面", "interface": "界面"}[v]),
        (("下層液", "Lower liquid"), "fluid", None),
        (("下層液密度(運転温度)", "Lower density at op. temp.\nkg/m3"), "rho", kg_m3(1)),
        (("上層液", "Upper liquid"), "upf", None),
        (("上層液密度(運転温度)", "Upper density at op. temp.\nkg/m3"), "rho_u", kg_m3()),
        (("運転圧力", "Op. press.\nMPaG"), "op", mpag(3)),
        (("運転温度", "Op. temp.\n°C"), "ot", None),
        (("設計圧力", "Des. press.\nMPaG"), "dp", mpag(2)),
        (("設計温度", "Des. temp.\n°C"), "dt", None),
        (("流動点・凝固点", "Pour / freezing pt\n°C"), "pour", None),
        (("最低気温", "Min. ambient\n°C"), "amb", None),
        (("チャンバー材質", "Chamber"), "cmat", None),
        (("チャンバー外径", "Chamber OD\nmm"), "cod", None),
        (("芯々距離", "C-C\nmm"), "cc", None),
        (("可視範囲", "Visible\nmm"), "vis", None),
        (("フロート形式", "Float"), "part", None),
        (("加熱トレース", "Tracing"), "trace", None),
        (("保持温度", "Maintain\n°C"), "tmain", None),
        (("ヒーター容量", "Tracer output\nW/m"), "tout", None),
        (("シース温度", "Sheath temp.\n°C"), "tsh", None),
        (("温度等級", "T class"), "tcl", None),
        (("保温厚さ", "Insulation\nmm"), "ins", None),
    ]
    ws = b.sheet("液面計一覧")
    ws.write(0, 0, "マグネットゲージ一覧表  /  MAGNETIC LEVEL GAUGE LIST", b.fmt(bold=True, font_size=12))
    write_list(b, ws, 2, 0, cols, gs, border=1)
    fcols = [
        (("フロート形式", "Float"), "part", None),
        (("質量", "Mass g"), "mass", None),
        (("外径", "OD mm"), "od", None),
        (("全長", "Length mm"), "L", None),
        (("端部", "Ends"), "ends", always("平板 flat")),
        (("磁石高さ(下端から)", "Magnet from bottom mm"), "mag", None),
        (("最高圧力", "Max. press. MPaG"), "pmax", mpag(2)),
        (("最高温度", "Max. temp. °C"), "tmax", None),
        (("用途", "For"), "svc", lambda v: {"level": "液面", "interface": "界面"}[v]),
    ]
    float_sheet(b, "フロート", fl, fcols)
    for g in gs:
        count_float_cells(b, g, *FLOAT_CELLS)
    finish(b, gs)


@book
def d16_headings_at_the_right(b: Book) -> None:
    """Arabic: a column for each gauge, and what the lines mean stands at their right end."""
    fl = [
        make_float("F-520", 51, 300, 814, pmax=28, tmax=180),
        make_float("F-525", 51, 255, 997, pmax=28, tmax=160),
        make_float("F-528", 51, 240, 1095, pmax=16, tmax=130),
    ]
    gs = [
        gauge("LG-7301", "فاصل الإنتاج", "نفط خام مثبت", fl[0], 1.0, 7.5, 52, 16, 120, 1200),
        gauge("LG-7302", "خزان الديزل اليومي", "ديزل", fl[0], 1.015, 0.1, 35, 1.5, 75, 1500),
        gauge("LG-7304", "وعاء المكثفات", "مكثفات بخار", fl[1], water(75, 1.3) / 997, 1.3, 75, 6, 155, 700),
        gauge("LG-7306", "خزان الصودا", "صودا كاوية 10٪", fl[2], 0.99, 0.2, 40, 3, 80, 900),
        gauge("LG-7309", "وعاء المياه الزيتية", "مياه زيتية", fl[1], 1.0, 0.4, 45, 4, 95, 1000),
        gauge("LG-7310", "خزان مياه الغسيل", "مياه غسيل", fl[1], 0.998, 2.2, 40, 8, 95, 800),
    ]
    for g in gs:
        g.update(cmat="316L")
    x = by_tag(gs)
    if b.faulty:
        plant_barely_floating(b, x["LG-7309"])
        b.allow("float-data-conflict", "LG-7309", "heavier than the others of its part")
        plant_above_design(b, x["LG-7304"], "op", 6.7)
        plant_long_range(b, x["LG-7306"], 110)
        plant_sinking(b, x["LG-7301"])
        plant_magnetic_chamber(b, x["LG-7302"], "A106 Gr.B")
        plant_urv_short(b, x["LG-7310"], 200)
    lines: list[tuple[str, str, str, Any]] = [
        ("رقم الجهاز", "", "tag", None),
        ("الموقع", "", "svc", None),
        ("السائل", "", "fluid", None),
        ("الكثافة عند حرارة التشغيل", "kg/m³", "rho", kg_m3()),
        ("ضغط التشغيل", "barg", "op", None),
        ("حرارة التشغيل", "°C", "ot", None),
        ("ضغط التصميم", "barg", "dp", None),
        ("حرارة التصميم", "°C", "dt", None),
        ("مادة الأنبوب", "", "cmat", None),
        ("المسافة بين مركزي الوصلتين", "mm", "cc", None),
        ("الطول المرئي", "mm", "vis", None),
        ("المستوى عند 4 mA", "mm", "lrv", None),
        ("المستوى عند 20 mA", "mm", "urv", None),
        ("رقم العوامة", "", "part", None),
        ("وزن العوامة", "g", "mass", None),
        ("قطر العوامة", "mm", "od", None),
        ("طول العوامة الكلي", "mm", "L", None),
        ("شكل الأطراف", "", "ends", always("مسطح")),
        ("ارتفاع المغناطيس عن أسفل العوامة", "mm", "mag", None),
        ("أقصى ضغط للعوامة", "barg", "pmax", None),
        ("أقصى حرارة للعوامة", "°C", "tmax", None),
    ]
    ws = b.sheet("LG 73")
    ws.set_column(0, 5, 18)
    ws.set_column(7, 7, 36)
    ws.write(0, 7, "قائمة مبينات المستوى المغناطيسية - وحدة 73", b.fmt(bold=True, font_size=13))
    r = 2
    for label, unit, name, fn in lines:
        for c, g in enumerate(gs):
            write_cell(b, ws, r, c, fn(g[name]) if fn else g[name], g, name, border=1, bold=name == "tag")
        ws.write(r, 6, unit, b.fmt(border=1))
        ws.write(r, 7, label, b.fmt(border=1, bold=True, bg_color="#F2F2F2"))
        r += 1
        if name in ("fluid", "dt", "urv"):
            r += 1
    ws.write(r + 1, 7, "ملاحظة: يراجع المورد رقم العوامة")
    finish(b, gs)


@book
def d20_tags_across_pairs(b: Book) -> None:
    """Chinese: tags across, properties down, two values in one cell."""
    fl = [
        make_float("浮-0802", 50, 300, 805, pmax=25, tmax=180),
        make_float("浮-0985", 50, 260, 984, pmax=25, tmax=180),
        make_float("浮-1130", 50, 235, 1132, pmax=16, tmax=130),
        make_float("浮-1040", 50, 250, 1042, pmax=16, tmax=150),
    ]
    gs = [
        gauge("LG-1301", "V-131 柴油缓冲罐", "柴油", fl[0], 1.01, 0.8, 45, 5, 120, 1200),
        gauge("LG-1302", "V-132 航煤罐", "航煤", fl[0], 0.985, 1.2, 40, 6, 120, 1400),
        gauge("LG-1303", "V-133 凝液罐", "蒸汽凝液", fl[1], water(66, 1.8) / 984, 1.8, 66, 8, 165, 800),
        gauge("LG-1305", "T-135 碱液罐", "碱液 13%", fl[2], 0.995, 0.1, 35, 2, 80, 1000),
        gauge("LG-1306", "V-136 工艺水罐", "工艺水", fl[1], 1.005, 2.5, 40, 9, 110, 600),
        gauge("LG-1308", "V-138 洗油罐", "洗油", fl[3], 1.0, 0.3, 60, 4, 110, 900),
    ]
    for g in gs:
        g.update(cmat="022Cr17Ni12Mo2")
    x = by_tag(gs)
    if b.faulty:
        plant_urv_outside(b, x["LG-1303"], 100)
        plant_float_temperature(b, x["LG-1305"], 145)
        plant_magnetic_chamber(b, x["LG-1306"], "20#")
        plant_above_design(b, x["LG-1302"], "op", 6.6)
        plant_offset(b, x["LG-1301"])
        plant_magnet_above_top(b, x["LG-1308"], 22)
        for rule in CONSEQUENCES:
            b.allow(rule, "LG-1308")

    def n(v: float) -> str:
        return f"{v:g}"

    lines: list[tuple[str, str, str, Any]] = [
        ("位号", "", "tag", None),
        ("设备", "", "svc", None),
        ("介质", "", "fluid", None),
        ("操作温度下密度", "g/cm³", "rho", g_cm3(4)),
        ("操作压力 / 温度", "MPa(表) / ℃", "opot op ot", lambda g: f"{n(round(g['op'] / 10, 3))} / {g['ot']}"),
        ("设计压力 / 温度", "MPa(表) / ℃", "dpdt dp dt", lambda g: f"{n(round(g['dp'] / 10, 3))} / {g['dt']}"),
        ("筒体材质", "", "cmat", None),
        ("法兰中心距", "mm", "cc", None),
        ("可视高度", "mm", "vis", None),
        ("变送器量程", "mm", "range lrv urv", lambda g: f"{n(g['lrv'])}~{n(g['urv'])}"),
        ("浮子编号", "", "part", None),
        ("浮子质量", "g", "mass", None),
        ("浮子外径×总长", "mm", "od L", lambda g: f"{n(g['od'])}×{n(g['L'])}"),
        ("浮子端部", "", "ends", always("平端")),
        ("磁钢中心距浮子底", "mm", "mag", None),
        ("浮子最大压力 / 温度", "MPa(表) / ℃", "pmax tmax", lambda g: f"{n(round(g['pmax'] / 10, 3))} / {g['tmax']}"),
    ]
    ws = b.sheet("磁浮子液位计")
    ws.set_column(0, 0, 24)
    ws.set_column(2, 9, 18)
    ws.write(0, 0, "磁浮子液位计规格表", b.fmt(bold=True, font_size=13))
    ws.write(0, 6, "第 1 页 共 1 页")
    ws.write(2, 0, "项目", bold(b))
    ws.write(2, 1, "单位", bold(b))
    for r, (label, unit, names, fn) in enumerate(lines, 3):
        ws.write(r, 0, label, b.fmt(border=1))
        ws.write(r, 1, unit, b.fmt(border=1))
        for c, g in enumerate(gs):
            v = fn(g) if " " in names else fn(g[names]) if fn else g[names]
            write_cell(b, ws, r, 2 + c, v, g, names, border=1)
    ws.write(len(lines) + 4, 0, "编制:        校核:        审核:")
    b.allow("number-as-text")
    finish(b, gs)
