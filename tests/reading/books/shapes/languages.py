"""Plain lists in further languages and scripts."""

from __future__ import annotations

from tests.reading.books.shapes.common import (
    always,
    plain_list,
    plant_lag,
    plant_narrow_bore,
    plant_no_tracing,
    plant_other_serial,
    plant_reused_serial,
    plant_reversed_densities,
    plant_small_density_gap,
    plant_swapped_densities,
    plant_switch_order,
    plant_viscous_untraced,
    translated,
    water,
)
from tests.reading.faults import (
    plant_above_design,
    plant_float_pressure,
    plant_float_temperature,
    plant_long_range,
    plant_magnetic_chamber,
    plant_offset,
    plant_sinking,
    plant_test_pressure,
    plant_unlisted_float,
    plant_urv_outside,
    plant_urv_short,
)
from tests.reading.gauges import add_serials, by_tag, check_gauge, gauge, make_float
from tests.reading.registry import book
from tests.reading.units import barg, decimal_comma, gram, kg_m3, kgf_cm2, mpag
from tests.reading.writing import Book


@book
def s25_nederlands_tankterminal(b: Book) -> None:
    fl = [
        make_float("VT-890", 50, 280, 890, pmax=16, tmax=150),
        make_float("VT-835", 50, 295, 835, pmax=16, tmax=150),
        make_float("VT-920", 50, 275, 915, pmax=16, tmax=150),
        make_float("VT-1330", 50, 205, 1330, pmax=10, tmax=120),
    ]
    gs = [
        gauge("LG-2501", "Palmolietank T-251", "Palmolie", fl[0], 0.995, 0.05, 60, 1, 90, 2000, mu=25, pour=33, trace="stoom"),
        gauge("LG-2502", "Palmolietank T-252", "Palmolie", fl[0], 0.995, 0.05, 60, 1, 90, 2000, mu=25, pour=33, trace="stoom"),
        gauge("LG-2503", "Sojaolietank T-253", "Sojaolie", fl[2], 0.995, 0.05, 30, 1, 80, 1500, mu=40, pour=-14, trace="warm water"),
        gauge("LG-2504", "Gasolie-dagtank", "Gasolie", fl[1], 1.0, 0.05, 20, 1, 60, 1000, mu=5, pour=-21, trace="geen"),
        gauge("LG-2505", "Melassebuffer", "Melasse, verdund", fl[3], 1.0, 0.3, 40, 2, 80, 800, mu=60, pour=-20, trace="geen"),
        gauge("LG-2506", "Restolievat", "Gasolie", fl[1], 1.01, 0.2, 25, 3, 80, 1200, mu=4, pour=-21, trace="geen"),
    ]
    for g in gs:
        g.update(amb=-10, cmat="RVS 316L", tp=round(max(g["dp"] * 1.5, 1.5), 1))
        if g["pour"] + 10 > g["amb"]:
            assert g["trace"] != "geen"
    add_serials(gs, "NL-", 7101)
    x = by_tag(gs)
    if b.faulty:
        plant_no_tracing(b, x["LG-2502"], "geen")
        plant_offset(b, x["LG-2506"])
        plant_test_pressure(b, x["LG-2505"], v=12.0)
        plant_magnetic_chamber(b, x["LG-2504"], "P265GH")
        plant_reused_serial(b, x["LG-2503"], x["LG-2501"])
    plain_list(
        b,
        "Niveaulijst",
        "LIJST MAGNETISCHE NIVEAUAANWIJZERS - OPSLAGTERMINAL (drukken zijn overdrukken)",
        [
            ("Nr.", "no", None),
            ("Tagnummer", "tag", None),
            ("Omschrijving", "svc", None),
            ("Product", "fluid", None),
            ("Dichtheid bij bedrijfstemperatuur\n[kg/m³]", "rho", None),
            ("Viscositeit\n[mPa·s]", "mu", None),
            ("Bedrijfsdruk\n[barg]", "op", decimal_comma(barg(2))),
            ("Bedrijfstemp.\n[°C]", "ot", None),
            ("Ontwerpdruk\n[barg]", "dp", None),
            ("Ontwerptemp.\n[°C]", "dt", None),
            ("Persdruk (beproeving)\n[barg]", "tp", decimal_comma(barg(1))),
            ("Stolpunt\n[°C]", "pour", None),
            ("Laagste omgevingstemp.\n[°C]", "amb", None),
            ("Verwarming (tracing)", "trace", None),
            ("Hart-op-hartafstand aansluitingen\n[mm]", "cc", None),
            ("Zichtbare lengte\n[mm]", "vis", None),
            ("Materiaal kamer", "cmat", None),
            ("Type vlotter", "part", None),
            ("Serienr. aanwijzer", "gsn", None),
            ("Serienr. vlotter", "fsn", None),
            ("Opmerkingen", "remarks", None),
        ],
        gs,
        "Vlotters",
        [
            ("Type", "part", None),
            ("Gewicht [g]", "mass", decimal_comma(gram())),
            ("Uitwendige diameter [mm]", "od", None),
            ("Totale lengte [mm]", "L", None),
            ("Vorm uiteinden", "ends", always("vlak")),
            ("Hoogte magneet vanaf onderkant [mm]", "mag", decimal_comma(gram())),
            ("Max. druk [barg]", "pmax", None),
            ("Max. temperatuur [°C]", "tmax", None),
            ("Materiaal", "fmat", None),
        ],
        fl,
    )


@book
def s26_svenska_massabruk(b: Book) -> None:
    fl = [
        make_float("FT 935", 54, 285, 930, pmax=16, tmax=160),
        make_float("FT 1130", 54, 250, 1130, pmax=16, tmax=160),
        make_float("FT 850", 54, 300, 850, pmax=16, tmax=120),
        make_float("FT 975", 54, 275, 975, pmax=16, tmax=160),
        make_float("FT 1150", 54, 245, 1150, pmax=16, tmax=160),
    ]
    gs = [
        gauge("31-LG-2201", "Tallolja lagringstank", "Råtallolja", fl[0], 1.0, 0.1, 70, 2, 110, 1500, mu=60, trace="ja, ånga"),
        gauge("31-LG-2202", "Tallolja mellantank", "Råtallolja", fl[0], 1.0, 0.1, 70, 2, 110, 1200, mu=60, trace="nej"),
        gauge("31-LG-2203", "Tunnlutscistern", "Tunnlut 16 %", fl[1], 0.97, 0.2, 80, 3, 120, 1800, mu=2, trace="nej"),
        gauge("31-LG-2204", "Terpentindekanter", "Terpentin", fl[2], 0.995, 0.1, 40, 2, 90, 900, mu=1, trace="nej"),
        gauge("31-LG-2205", "Sekundärkondensat", "Sekundärkondensat", fl[3], water(75) / 975, 0.8, 75, 4, 130, 1000, mu=0.4, trace="nej"),
        gauge("31-LG-2206", "Vitlutstank", "Vitlut", fl[4], 1.0, 0.2, 85, 3, 120, 2000, mu=3, trace="nej"),
    ]
    for g in gs:
        g.update(cmat="EN 1.4404", flg="DN 50 PN 16", tp=round(g["dp"] * 1.43, 1))
    x = by_tag(gs)
    if b.faulty:
        plant_viscous_untraced(b, x["31-LG-2202"], 480)
        plant_sinking(b, x["31-LG-2204"])
        plant_magnetic_chamber(b, x["31-LG-2206"], "EN 1.4462 (duplex)")
        plant_above_design(b, x["31-LG-2201"], "op", 2.4)
        plant_long_range(b, x["31-LG-2205"], 80)
        plant_offset(b, x["31-LG-2203"])
    plain_list(
        b,
        "Nivåvisare",
        "FÖRTECKNING ÖVER MAGNETISKA NIVÅVISARE (bar(ö) = bar övertryck)",
        [
            ("Pos.", "no", None),
            ("Positionsnr", "tag", None),
            ("Benämning", "svc", None),
            ("Medium", "fluid", None),
            ("Densitet vid drifttemperatur\nkg/m³", "rho", None),
            ("Viskositet\nmPas", "mu", None),
            ("Drifttryck\nbar(ö)", "op", None),
            ("Drifttemperatur\n°C", "ot", None),
            ("Beräkningstryck\nbar(ö)", "dp", None),
            ("Beräkningstemperatur\n°C", "dt", None),
            ("Provtryck\nbar(ö)", "tp", None),
            ("Uppvärmning", "trace", None),
            ("C-C anslutningar\nmm", "cc", None),
            ("Synlig längd\nmm", "vis", None),
            ("Material kammare", "cmat", None),
            ("Fläns", "flg", None),
            ("Flottör typ", "part", None),
            ("Anmärkning", "remarks", None),
        ],
        gs,
        "Flottörer",
        [
            ("Flottör typ", "part", None),
            ("Vikt g", "mass", None),
            ("Ytterdiameter mm", "od", None),
            ("Längd mm", "L", None),
            ("Gavlar", "ends", always("plana")),
            ("Magnetens höjd över flottörens botten mm", "mag", None),
            ("Max. tryck bar(ö)", "pmax", None),
            ("Max. temperatur °C", "tmax", None),
        ],
        fl,
    )


@book
def s27_cesky_chemie(b: Book) -> None:
    fl = [
        make_float("PL 52-860", 52, 285, 860, pmax=25, tmax=200),
        make_float("PL 52-730", 52, 315, 730, pmax=25, tmax=200),
        make_float("PL 52-1000", 52, 250, 1000, pmax=25, tmax=150),
        make_float("PL 52-1140", 52, 230, 1140, pmax=10, tmax=110),
    ]
    gs = [
        gauge("LG 1401", "Zásobník pracího oleje", "Prací olej", fl[0], 1.0, 1.5, 60, 6, 140, 1000),
        gauge("LG 1402", "Refluxní nádrž", "Lehký benzin", fl[1], 0.985, 3, 45, 9, 120, 1200),
        gauge("LG 1403", "Sběrač glykolu", "Glykol 15 %", fl[2], 1.01, 0.8, 60, 5, 120, 800),
        gauge("LG 1404", "Zásobník louhu", "Louh sodný 13 %", fl[3], 0.995, 0.2, 30, 2, 80, 900),
        gauge("LG 1405", "Havarijní jímka", "Odpadní olej", fl[0], 1.01, 0.1, 40, 3, 100, 1500),
        gauge("LG 1406", "Vyrovnávací nádrž", "Prací olej", fl[0], 0.99, 0.5, 50, 4, 120, 700),
    ]
    for g in gs:
        g.update(cmat="1.4571", lsl=round(g["vis"] * 0.15), lsh=round(g["vis"] * 0.85), tp=round(g["dp"] * 1.43, 1))
    x = by_tag(gs)
    if b.faulty:
        plant_offset(b, x["LG 1401"])
        plant_urv_short(b, x["LG 1402"], 80)
        plant_switch_order(b, x["LG 1403"], "lsl", "lsh")
        plant_float_temperature(b, x["LG 1404"], v=130)
        plant_magnetic_chamber(b, x["LG 1405"], "ocel 11 353")
        plant_long_range(b, x["LG 1406"], 90)
    plain_list(
        b,
        "Stavoznaky",
        "SEZNAM MAGNETICKÝCH STAVOZNAKŮ",
        [
            ("Poř. č.", "no", None),
            ("Označení", "tag", None),
            ("Popis", "svc", None),
            ("Médium", "fluid", None),
            ("Hustota při provozní teplotě [kg/m³]", "rho", None),
            ("Provozní přetlak [MPa]", "op", decimal_comma(mpag(2))),
            ("Provozní teplota [°C]", "ot", None),
            ("Výpočtový přetlak [MPa]", "dp", decimal_comma(mpag(2))),
            ("Výpočtová teplota [°C]", "dt", None),
            ("Zkušební přetlak [MPa]", "tp", decimal_comma(mpag(2))),
            ("Rozteč připojení [mm]", "cc", None),
            ("Viditelný rozsah [mm]", "vis", None),
            ("Materiál komory", "cmat", None),
            ("Převodník: dolní mez 4 mA [mm]", "lrv", None),
            ("Převodník: horní mez 20 mA [mm]", "urv", None),
            ("Spínač LSL [mm]", "lsl", None),
            ("Spínač LSH [mm]", "lsh", None),
            ("Typ plováku", "part", None),
            ("Poznámka", "remarks", None),
        ],
        gs,
        "Plováky",
        [
            ("Typ plováku", "part", None),
            ("Hmotnost [g]", "mass", decimal_comma(gram())),
            ("Vnější průměr [mm]", "od", None),
            ("Celková délka [mm]", "L", None),
            ("Tvar den", "ends", always("plochá")),
            ("Výška magnetu od spodního okraje [mm]", "mag", decimal_comma(gram())),
            ("Max. přetlak [MPa]", "pmax", decimal_comma(mpag(1))),
            ("Max. teplota [°C]", "tmax", None),
            ("Materiál", "fmat", None),
        ],
        fl,
    )


@book
def s28_turkce_yag_rafinerisi(b: Book) -> None:
    fl = [
        make_float("SM-915", 51, 275, 910, pmax=20, tmax=180),
        make_float("SM-655", 60, 330, 650, pmax=20, tmax=150),
        make_float("SM-835", 51, 295, 835, pmax=20, tmax=180),
        make_float("SM-1000", 51, 250, 1005, pmax=16, tmax=140),
    ]
    gs = [
        gauge("LG-401", "Ham yağ tankı", "Ham ayçiçek yağı", fl[0], 0.995, 0.1, 40, 2, 100, 1800),
        gauge("LG-402", "Çözücü ayırıcı", "Çözücü karışımı", fl[1], 0.995, 0.2, 40, 3, 90, 900),
        gauge("LG-403", "Yakıt günlük tankı", "Motorin", fl[2], 1.0, 0.1, 25, 2, 80, 1000),
        gauge("LG-404", "Glikol kolonu dip", "Glikol %20", fl[3], 1.01, 0.5, 60, 4, 120, 800),
        gauge("LG-405", "Rafine yağ tankı", "Rafine ayçiçek yağı", fl[0], 1.0, 0.1, 45, 2, 100, 1500),
        gauge("LG-406", "Slop tankı", "Motorin", fl[2], 1.01, 0.3, 35, 3, 90, 1200),
    ]
    for g in gs:
        g.update(rho_min=round(g["rho"] * 0.99), rho=round(g["rho"]), rho_max=round(g["rho"] * 1.01), cmat="AISI 316L", tp=round(g["dp"] * 1.5, 1))
        check_gauge(g)
    x = by_tag(gs)
    if b.faulty:
        plant_reversed_densities(b, x["LG-401"])
        plant_float_pressure(b, x["LG-404"], v=18)
        plant_long_range(b, x["LG-403"], 150)
        plant_unlisted_float(b, x["LG-406"], "SM-860")
        plant_magnetic_chamber(b, x["LG-405"], "Karbon çelik (St 37)")
        plant_above_design(b, x["LG-402"], "ot", 98)
    plain_list(
        b,
        "Seviye Listesi",
        "MANYETİK SEVİYE GÖSTERGELERİ LİSTESİ",
        [
            ("Sıra No", "no", None),
            ("Etiket No", "tag", None),
            ("Servis", "svc", None),
            ("Akışkan", "fluid", None),
            ("İşletme sıcaklığında yoğunluk\n(kg/m³)", "rho", None),
            ("En düşük yoğunluk\n(kg/m³)", "rho_min", None),
            ("En yüksek yoğunluk\n(kg/m³)", "rho_max", None),
            ("İşletme basıncı\n(barg)", "op", None),
            ("İşletme sıcaklığı\n(°C)", "ot", None),
            ("Tasarım basıncı\n(barg)", "dp", None),
            ("Tasarım sıcaklığı\n(°C)", "dt", None),
            ("Hidrostatik test basıncı\n(barg)", "tp", None),
            ("Eksenler arası mesafe\n(mm)", "cc", None),
            ("Görünür boy\n(mm)", "vis", None),
            ("Gövde malzemesi", "cmat", None),
            ("Şamandıra tipi", "part", None),
            ("Açıklama", "remarks", None),
        ],
        gs,
        "Şamandıralar",
        [
            ("Şamandıra tipi", "part", None),
            ("Ağırlık (g)", "mass", None),
            ("Dış çap (mm)", "od", None),
            ("Boy (mm)", "L", None),
            ("Uç şekli", "ends", always("düz")),
            ("Mıknatıs yüksekliği, alttan (mm)", "mag", None),
            ("Azami basınç (barg)", "pmax", None),
            ("Azami sıcaklık (°C)", "tmax", None),
            ("Malzeme", "fmat", None),
        ],
        fl,
    )


@book
def s29_russkij_npz(b: Book) -> None:
    fl = [
        make_float("ПП-840", 52, 290, 840, pmax=25, tmax=200),
        make_float("ПП-700", 52, 325, 700, pmax=25, tmax=200),
        make_float("ПП-1000", 52, 250, 1000, pmax=16, tmax=150),
        make_float("ПП-910", 52, 275, 910, pmax=25, tmax=220),
    ]
    gs = [
        gauge("LG-2901", "Ёмкость орошения", "Бензин лёгкий", fl[1], 0.985, 3, 45, 9, 120, 1200),
        gauge("LG-2902", "Ёмкость дизтоплива", "Дизельное топливо", fl[0], 0.99, 0.5, 40, 4, 100, 1500),
        gauge("LG-2903", "Сборник гликоля", "Водный гликоль 15 %", fl[2], 1.01, 0.8, 60, 5, 120, 800),
        gauge("LG-2904", "Ёмкость газойля", "Вакуумный газойль", fl[3], 0.99, 1.2, 120, 6, 190, 900),
        gauge("LG-2905", "Дренажная ёмкость", "Нефтепродукт некондиционный", fl[0], 1.015, 0.1, 40, 3, 100, 1000),
        gauge("LG-2906", "Ёмкость топливная", "Дизельное топливо", fl[0], 1.0, 0.3, 35, 4, 90, 1100),
    ]
    for g in gs:
        g.update(cmat="12Х18Н10Т", tp=round(g["dp"] * 1.5, 1))
    add_serials(gs, "№ ", 4410)
    x = by_tag(gs)
    if b.faulty:
        plant_sinking(b, x["LG-2901"])
        plant_test_pressure(b, x["LG-2903"], v=18.0)
        plant_magnetic_chamber(b, x["LG-2905"], "Сталь 20")
        plant_other_serial(b, x["LG-2902"], x["LG-2906"]["gsn"])
        plant_above_design(b, x["LG-2906"], "op", 4.7)
        plant_float_pressure(b, x["LG-2904"], v=27.0)
    c = decimal_comma
    plain_list(
        b,
        "Ведомость",
        "ВЕДОМОСТЬ МАГНИТНЫХ УКАЗАТЕЛЕЙ УРОВНЯ. Давления избыточные",
        [
            ("№ п/п", "no", None),
            ("Позиция", "tag", None),
            ("Назначение", "svc", None),
            ("Среда", "fluid", None),
            ("Плотность при рабочей температуре, кг/м³", "rho", c(kg_m3(1))),
            ("Давление рабочее (изб.), МПа", "op", c(mpag(2))),
            ("Температура рабочая, °С", "ot", None),
            ("Давление расчётное (изб.), МПа", "dp", c(mpag(2))),
            ("Температура расчётная, °С", "dt", None),
            ("Давление пробное (изб.), МПа", "tp", c(mpag(2))),
            ("Межцентровое расстояние, мм", "cc", None),
            ("Видимая длина шкалы, мм", "vis", None),
            ("Материал камеры", "cmat", None),
            ("Поплавок, обозначение", "part", None),
            ("Заводской № указателя", "gsn", None),
            ("Заводской № поплавка", "fsn", None),
            ("№ указателя, указанный на поплавке", "fgsn", None),
            ("Примечание", "remarks", None),
        ],
        gs,
        "Поплавки",
        [
            ("Обозначение", "part", None),
            ("Масса, г", "mass", c(gram())),
            ("Диаметр наружный, мм", "od", None),
            ("Длина, мм", "L", None),
            ("Форма днищ", "ends", always("плоские")),
            ("Высота магнита от нижнего торца, мм", "mag", c(gram())),
            ("Давление макс. (изб.), МПа", "pmax", c(mpag(2))),
            ("Температура макс., °С", "tmax", None),
            ("Материал", "fmat", always("титан ВТ1-0")),
        ],
        fl,
    )


@book
def s30_nihongo_kagaku(b: Book) -> None:
    fl = [
        make_float("FM-84", 50, 295, 840, pmax=25, tmax=180),
        make_float("FM-71", 50, 325, 710, pmax=25, tmax=180),
        make_float("FM-100", 50, 250, 1000, pmax=16, tmax=140),
        make_float("FM-K1", 50, 290, 1010, 800, frac=0.6, svc="interface", pmax=25, tmax=140),
    ]
    gs = [
        gauge("LG-1301", "還流槽", "軽質ナフサ", fl[1], 0.985, 3, 45, 9, 120, 1200, typ="level"),
        gauge("LG-1302", "洗浄油槽", "洗浄油", fl[0], 1.0, 1.5, 60, 6, 140, 1000, typ="level"),
        gauge("LG-1303", "グリコール槽", "グリコール水溶液 15 %", fl[2], 1.01, 0.8, 60, 5, 120, 800, typ="level"),
        gauge("LG-1304", "デカンター界面", "塩水", fl[3], 1.0, 0.5, 40, 5, 110, 700, typ="interface", rho_u=800),
        gauge("LG-1305", "油水分離槽界面", "塩水", fl[3], 1.0, 0.3, 40, 5, 110, 900, typ="interface", rho_u=805),
        gauge("LG-1306", "スロップ槽", "スロップ油", fl[0], 1.01, 0.1, 40, 3, 100, 1500, typ="level"),
    ]
    for g in gs:
        g.update(cmat="SUS316L", flg="JIS 20K RF", tp=round(g["dp"] * 1.5, 1))
    x = by_tag(gs)
    if b.faulty:
        plant_offset(b, x["LG-1302"])
        plant_float_pressure(b, x["LG-1303"], v=17.5)
        x["LG-1303"]["flg"] = "JIS 30K RF"
        plant_swapped_densities(b, x["LG-1304"])
        plant_small_density_gap(b, x["LG-1305"])
        plant_magnetic_chamber(b, x["LG-1306"], "STPG370")
        plant_long_range(b, x["LG-1301"], 100)
    ja = translated(level="液面", interface="界面")
    plain_list(
        b,
        "液面計一覧",
        "マグネットフロート式液面計一覧表",
        [
            ("番号", "no", None),
            ("タグ番号", "tag", None),
            ("用途", "svc", None),
            ("測定対象", "typ", ja),
            ("流体名", "fluid", None),
            ("運転温度における密度(下層液)\nkg/m³", "rho", None),
            ("上層液密度\nkg/m³", "rho_u", None),
            ("運転圧力\nMPaG", "op", mpag(3)),
            ("運転温度\n℃", "ot", None),
            ("設計圧力\nMPaG", "dp", mpag(2)),
            ("設計温度\n℃", "dt", None),
            ("耐圧試験圧力\nMPaG", "tp", mpag(2)),
            ("接続芯間距離\nmm", "cc", None),
            ("可視範囲\nmm", "vis", None),
            ("チャンバー材質", "cmat", None),
            ("フランジ", "flg", None),
            ("フロート型式", "part", None),
            ("備考", "remarks", None),
        ],
        gs,
        "フロート",
        [
            ("フロート型式", "part", None),
            ("用途", "fsvc", translated(level="液面用", interface="界面用")),
            ("質量 g", "mass", None),
            ("外径 mm", "od", None),
            ("全長 mm", "L", None),
            ("端部形状", "ends", always("平形")),
            ("磁石位置(下端から) mm", "mag", None),
            ("最高使用圧力 MPaG", "pmax", mpag(2)),
            ("最高使用温度 ℃", "tmax", None),
            ("材質", "fmat", always("チタン")),
        ],
        fl,
    )


@book
def s31_hangugeo_seogyu(b: Book) -> None:
    fl = [
        make_float("KF-850", 51, 290, 850, pmax=25, tmax=180),
        make_float("KF-700", 51, 330, 700, pmax=25, tmax=180),
        make_float("KF-985", 51, 255, 985, pmax=20, tmax=150),
        make_float("KF-930", 51, 270, 930, pmax=25, tmax=200),
    ]
    gs = [
        gauge("LG-1501", "환류 드럼", "경질 나프타", fl[1], 0.985, 3, 45, 9, 120, 1200, mu=0.4, bore=59),
        gauge("LG-1502", "세정유 드럼", "세정유", fl[0], 1.0, 1.5, 60, 6, 140, 1000, mu=3, bore=59),
        gauge("LG-1503", "글리콜 섬프", "글리콜 10 %", fl[2], 1.02, 0.8, 60, 5, 120, 800, mu=1, bore=59),
        gauge("LG-1504", "중질유 드럼", "중질유", fl[3], 1.0, 1, 110, 5, 160, 900, mu=5, bore=59),
        gauge("LG-1505", "슬롭 탱크", "슬롭유", fl[0], 1.015, 0.1, 40, 3, 100, 1500, mu=4, bore=59),
        gauge("LG-1506", "세정유 탱크", "세정유", fl[0], 0.99, 0.3, 50, 4, 120, 1100, mu=4, bore=59),
    ]
    for g in gs:
        g.update(cmat="SUS 316L", tp=round(g["dp"] * 1.5, 1))
    add_serials(gs, "K", 26101)
    x = by_tag(gs)
    if b.faulty:
        plant_float_temperature(b, x["LG-1503"], v=165)
        plant_narrow_bore(b, x["LG-1505"], 49.3)
        plant_lag(b, x["LG-1504"], 380)
        plant_above_design(b, x["LG-1501"], "op", 10.1)
        plant_reused_serial(b, x["LG-1506"], x["LG-1502"])
        plant_urv_outside(b, x["LG-1502"], 100)
        plant_magnetic_chamber(b, x["LG-1506"], "STS 410")
    plain_list(
        b,
        "액면계 목록",
        "자석식 액면계 목록표",
        [
            ("번호", "no", None),
            ("태그 번호", "tag", None),
            ("용도", "svc", None),
            ("유체", "fluid", None),
            ("운전온도 밀도\n(kg/m³)", "rho", None),
            ("점도\n(cP)", "mu", None),
            ("운전압력\n(kg/cm²G)", "op", kgf_cm2(2)),
            ("운전온도\n(℃)", "ot", None),
            ("설계압력\n(kg/cm²G)", "dp", kgf_cm2(2)),
            ("설계온도\n(℃)", "dt", None),
            ("수압시험 압력\n(kg/cm²G)", "tp", kgf_cm2(1)),
            ("중심간 거리\n(mm)", "cc", None),
            ("가시 범위\n(mm)", "vis", None),
            ("챔버 재질", "cmat", None),
            ("챔버 내경\n(mm)", "bore", None),
            ("전송기 하한 4 mA\n(mm)", "lrv", None),
            ("전송기 상한 20 mA\n(mm)", "urv", None),
            ("플로트 형식", "part", None),
            ("액면계 제조번호", "gsn", None),
            ("플로트 제조번호", "fsn", None),
            ("비고", "remarks", None),
        ],
        gs,
        "플로트",
        [
            ("플로트 형식", "part", None),
            ("무게 (g)", "mass", None),
            ("외경 (mm)", "od", None),
            ("전체 길이 (mm)", "L", None),
            ("끝단 형상", "ends", always("평면")),
            ("자석 높이, 하단 기준 (mm)", "mag", None),
            ("최대 압력 (kg/cm²G)", "pmax", kgf_cm2(2)),
            ("최대 온도 (℃)", "tmax", None),
            ("재질", "fmat", always("티타늄")),
        ],
        fl,
    )


@book
def s32_arabi_right_to_left(b: Book) -> None:
    fl = [
        make_float("AW-840", 51, 290, 840, pmax=25, tmax=180),
        make_float("AW-700", 51, 330, 700, pmax=25, tmax=180),
        make_float("AW-1000", 51, 250, 1000, pmax=16, tmax=140),
        make_float("AW-890", 51, 280, 890, pmax=25, tmax=200),
    ]
    gs = [
        gauge("LG-6101", "وعاء الراجع", "نافثا خفيفة", fl[1], 0.985, 3, 45, 9, 120, 1200),
        gauge("LG-6102", "خزان زيت الغسيل", "زيت الغسيل", fl[0], 1.0, 1.5, 60, 6, 140, 1000),
        gauge("LG-6103", "وعاء الجليكول", "محلول جليكول 15 %", fl[2], 1.01, 0.8, 60, 5, 120, 800),
        gauge("LG-6104", "وعاء النفط الخام", "نفط خام", fl[3], 0.99, 2, 70, 7, 150, 1400),
        gauge("LG-6105", "خزان الديزل اليومي", "ديزل", fl[0], 0.99, 0.1, 40, 2, 90, 1500),
    ]
    for g in gs:
        g.update(cmat="316L", tp=round(g["dp"] * 1.5, 1))
    x = by_tag(gs)
    if b.faulty:
        plant_offset(b, x["LG-6104"])
        plant_float_pressure(b, x["LG-6103"], v=17.5)
        plant_long_range(b, x["LG-6102"], 100)
        plant_magnetic_chamber(b, x["LG-6105"], "فولاذ كربوني A106 Gr.B")
        plant_above_design(b, x["LG-6101"], "ot", 131)
    plain_list(
        b,
        "مبينات المستوى",
        "قائمة مبينات المستوى المغناطيسية",
        [
            ("م", "no", None),
            ("رقم الجهاز", "tag", None),
            ("الخدمة", "svc", None),
            ("المائع", "fluid", None),
            ("الكثافة عند درجة حرارة التشغيل\n(كجم/م³)", "rho", None),
            ("ضغط التشغيل\n(barg)", "op", None),
            ("درجة حرارة التشغيل\n(°م)", "ot", None),
            ("ضغط التصميم\n(barg)", "dp", None),
            ("درجة حرارة التصميم\n(°م)", "dt", None),
            ("ضغط الاختبار الهيدروستاتيكي\n(barg)", "tp", None),
            ("المسافة بين مركزي التوصيلتين\n(مم)", "cc", None),
            ("المدى المرئي\n(مم)", "vis", None),
            ("مادة الغرفة", "cmat", None),
            ("طراز العوامة", "part", None),
            ("ملاحظات", "remarks", None),
        ],
        gs,
        "العوامات",
        [
            ("طراز العوامة", "part", None),
            ("الكتلة (جم)", "mass", None),
            ("القطر الخارجي (مم)", "od", None),
            ("الطول الكلي (مم)", "L", None),
            ("شكل الأطراف", "ends", always("مسطحة")),
            ("ارتفاع المغناطيس من أسفل العوامة (مم)", "mag", None),
            ("أقصى ضغط (barg)", "pmax", None),
            ("أقصى درجة حرارة (°م)", "tmax", None),
            ("المادة", "fmat", always("تيتانيوم")),
        ],
        fl,
        rtl=True,
    )
