"""Lists from Portugal and Brazil."""

from __future__ import annotations

from tests.reading.books.lists_european.common import (
    always,
    check_sound,
    density_at,
    end_shape_in,
    finish,
    in_unit_of_row,
    other_instrument,
    plant_clear_offset,
    plant_missing_tag,
    plant_other_serial,
    plant_other_temperature_density,
    plant_over_design,
    plant_reused_serial,
    plant_reversed_densities,
    plant_shown_value,
    plant_small_density_gap,
    plant_swapped_densities,
    plant_switch_order,
    plant_switch_outside,
    plant_typed_over_formula,
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
    plant_urv_outside,
    plant_urv_short,
)
from tests.reading.gauges import by_tag, gauge, make_float
from tests.reading.physics import liquid_density
from tests.reading.registry import book
from tests.reading.units import barg, decimal_comma, degC, g_cm3, gram, kg_m3, kgf_cm2, kpag, mbarg, metre, mm, mm_water
from tests.reading.writing import Book


@book
def u22_lista_instrumentos_br(b: Book) -> None:
    """Lista de instrumentos (BR), refinery: kgf/cm2, abbreviated headings in capitals, other instruments between, test pressure by formula."""
    fl = [
        make_float("BO-073", 50, 320, 735, pmax=40, tmax=220),
        make_float("BO-084", 50, 285, 840, pmax=40, tmax=220),
        make_float("BO-099", 50, 250, 990, pmax=40, tmax=180),
        make_float("BO-065", 50, 350, 655, pmax=40, tmax=180),
    ]
    gs = [
        gauge("LG-2501", "VASO DE CARGA", "NAFTA", fl[0], 0.99, 3.0, 45, 7, 120, 1300, fclass=150),
        gauge("LG-2502", "VASO DE TOPO", "NAFTA LEVE", fl[3], 1.0, 6.5, 45, 10, 120, 1000, fclass=150),
        gauge("LG-2503", "FUNDO DA RETIFICADORA", "DIESEL PESADO", fl[1], 0.985, 5.0, 140, 9, 180, 1100, fclass=150),
        gauge("LG-2504A", "SEPARADOR DE ALTA", "DIESEL HIDROTRATADO", fl[1], 0.99, 20, 50, 25, 120, 1400, fclass=300),
        gauge("LG-2504B", "SEPARADOR DE ALTA", "DIESEL HIDROTRATADO", fl[1], 0.99, 20, 50, 25, 120, 1400, fclass=300),
        gauge("LG-2505", "VASO DE ÁGUA ÁCIDA", "ÁGUA ÁCIDA", fl[2], 0.99, 1.5, 50, 5, 120, 700, fclass=150),
        gauge("LG-2506", "VASO DE SLOP", "SLOP", fl[1], 1.01, 0.2, 40, 3.5, 120, 1500, fclass=150),
        gauge("LG-2507", "VASO DE TOCHA", "CONDENSADO DE HC", fl[3], 0.99, 0.1, 40, 5, 120, 1200, fclass=150),
    ]
    prepare(gs, 1.5, cmat="ASTM A-312 TP316L", grp="2.3", inst="VISOR DE NÍVEL MAGNÉTICO")
    for i, g in enumerate(gs):
        g.update(
            op_max=round(g["op"] * 1.12, 2), ot_max=g["ot"] + 15, x_pid=f"DE-2500-{31 + i // 3}", x_vessel_id=f"V-{g['tag'][3:7]}", x_rev="A", x_line="PN 50"
        )
    check_sound(gs)
    x = by_tag(gs)
    show(x["LG-2505"], dt="a definir")
    if b.faulty:
        plant_clear_offset(b, x["LG-2501"], 1.15)
        plant_over_design(b, x["LG-2502"], "ot_max", 132)
        plant_flange_rating(b, x["LG-2503"], 19.0)
        plant_float_pressure(b, x["LG-2504A"], v=43.0, ok=["flange-rating-exceeded", "float-test-pressure-exceeded"])
        plant_magnetic_chamber(b, x["LG-2504B"], "ASTM A-106 GR. B")
        plant_long_range(b, x["LG-2505"], 110)
        plant_typed_over_formula(b, x["LG-2506"], "tp", 6.0)
        plant_sinking(b, x["LG-2507"])
        b.allow("float-test-pressure-exceeded", "LG-2504A")
    ws = b.sheet("LI-2500")
    ws.write(0, 0, "LISTA DE INSTRUMENTOS", b.fmt(bold=True, font_size=14))
    ws.write(1, 0, "UNIDADE 2500 - HDT DE DIESEL")
    ws.write(1, 8, "LI-2500-94-001 REV. A")
    cols = [
        ("ITEM", "x_item", None),
        ("TAG", "tag", None),
        ("TIPO", "inst", None),
        ("FLUXOGRAMA", "x_pid", None),
        ("EQUIP.", "x_vessel_id", None),
        ("SERVIÇO", "svc", None),
        ("FLUIDO", "fluid", None),
        (("DENS. REL.", "20/4 °C"), "*x_rho20", density_at(4, 1000, t=20)),
        (("DENS. REL.", "@ T. OPER."), "rho", g_cm3(3)),
        (("PRESS. OPER. (kgf/cm² man.)", "NORM."), "op", kgf_cm2(2)),
        (("PRESS. OPER. (kgf/cm² man.)", "MÁX."), "op_max", kgf_cm2(2)),
        (("TEMP. OPER. (°C)", "NORM."), "ot", None),
        (("TEMP. OPER. (°C)", "MÁX."), "ot_max", None),
        ("PRESS. PROJ. (kgf/cm² man.)", "dp", kgf_cm2(2)),
        ("TEMP. PROJ. (°C)", "dt", None),
        ("PRESS. TESTE HIDR. (kgf/cm² man.)", "*tp", lambda g: ("=ROUND(1.5*{dp}{r},1)", round(1.5 * kgf_cm2(2)(g["dp"]), 1))),
        ("DIST. ENTRE CENTROS (mm)", "cc", None),
        ("FAIXA VISÍVEL (mm)", "vis", None),
        ("MAT. CÂMARA", "cmat", None),
        (("CONEXÕES", "DIÂM."), "*x_dn", always('2"')),
        (("CONEXÕES", "CLASSE"), "fclass", None),
        ("CLASSE DA LINHA", "x_line", None),
        ("FLUTUADOR", "part", None),
        ("REV.", "x_rev", None),
        ("OBS.", "rem", None),
    ]
    rows = [
        *gs[:3],
        other_instrument(x_item=21, tag="PI-2502", inst="MANÔMETRO", svc="VASO DE TOPO", fluid="NAFTA LEVE", op=6.6, ot=45, dp=10.2, dt=120),
        other_instrument(x_item=22, tag="TI-2503", inst="TERMÔMETRO", svc="FUNDO DA RETIFICADORA", fluid="DIESEL PESADO", op=5.1, ot=140, dp=9.2, dt=180),
        *gs[3:5],
        other_instrument(
            x_item=23, tag="LV-2504", inst="VÁLVULA DE CONTROLE", svc="SAÍDA DO SEPARADOR", fluid="DIESEL HIDROTRATADO", op=20.4, ot=50, dp=25.5, dt=120
        ),
        *gs[5:],
        None,
        other_instrument(x_item=24, tag="LIT-2510", inst="RADAR", svc="TANQUE DE SLOP", fluid="SLOP", op=0.0, ot=40, dp=0.1, dt=80),
    ]
    r = write_list(b, ws, 3, cols, rows)
    ws.write(r + 1, 1, "NOTAS:")
    ws.write(r + 2, 1, "1. PRESSÕES MANOMÉTRICAS.")
    write_float_list(
        b,
        "FLUTUADORES",
        fl,
        [
            ("FLUTUADOR", "part", None),
            ("MASSA (g)", "mass", None),
            ("DIÂM. EXT. (mm)", "od", None),
            ("COMPRIM. TOTAL (mm)", "L", None),
            ("ALTURA DO ÍMÃ A PARTIR DO FUNDO (mm)", "mag", None),
            ("TAMPOS", "ends", end_shape_in("pt")),
            ("PRESS. MÁX. (kgf/cm² man.)", "pmax", kgf_cm2(1)),
            ("TEMP. MÁX. (°C)", "tmax", None),
            ("MATERIAL", "fmat", titanium_in("pt")),
        ],
        gs,
    )
    finish(b, gs)


@book
def u23_folha_dados_pasta_pt(b: Book) -> None:
    """Folha de dados (PT), pulp mill: unit columns, mixed units by row, lowest and highest density, decimal commas."""
    fl = [
        make_float("PP-1090", 60, 260, 1090, pmax=16, tmax=160),
        make_float("PP-1240", 60, 240, 1240, pmax=16, tmax=160),
        make_float("PP-1000", 60, 270, 990, pmax=16, tmax=160),
        make_float("PP-860", 60, 300, 860, pmax=10, tmax=120),
    ]
    gs = [
        gauge("LI-3101", "Tanque de lixívia negra fraca", "Lixívia negra fraca", fl[0], 0.985, 0.1, 80, 2, 120, 1800, u_p="kPa man.", u_rho="kg/dm³", u_l="m"),
        gauge("LI-3102", "Tanque de lixívia branca", "Lixívia branca", fl[0], 1.01, 0.0, 85, 1, 110, 1600, u_p="mbar man.", u_rho="kg/m³", u_l="mm"),
        gauge("LI-3103", "Tanque de lixívia concentrada", "Lixívia negra 50 %", fl[1], 1.0, 1.0, 95, 4, 140, 1200, u_p="bar man.", u_rho="kg/dm³", u_l="mm"),
        gauge("LI-3104", "Condensados contaminados", "Condensado contaminado", fl[2], 0.985, 0.2, 70, 2, 120, 1000, u_p="kPa man.", u_rho="kg/m³", u_l="mm"),
        gauge("LI-3105", "Terebintina", "Terebintina", fl[3], 0.99, 0.0, 30, 1, 80, 800, u_p="mbar man.", u_rho="kg/dm³", u_l="mm"),
        gauge("LI-3106", "Tall oil", "Tall oil", fl[2], 0.985, 0.2, 60, 2, 110, 900, u_p="bar man.", u_rho="kg/m³", u_l="mm"),
        gauge("LI-3107", "Tanque de lixívia verde", "Lixívia verde", fl[1], 0.985, 0.0, 90, 1, 115, 2000, u_p="kPa man.", u_rho="kg/dm³", u_l="m"),
    ]
    prepare(gs, mm=0.008, cmat="1.4404")
    x = by_tag(gs)
    if b.faulty:
        plant_clear_offset(b, x["LI-3101"], 0.88)
        plant_reversed_densities(b, x["LI-3102"])
        plant_float_temperature(b, x["LI-3103"], v=180)
        plant_sinking(b, x["LI-3104"])
        b.allow("density-not-at-operating-conditions", "LI-3104", "condensate")
        plant_magnetic_chamber(b, x["LI-3105"], "P265GH")
        plant_float_pressure(b, x["LI-3106"], v=19.0)
        plant_long_range(b, x["LI-3107"], 150)
    dens = {"kg/dm³": decimal_comma(g_cm3(3)), "kg/m³": decimal_comma(kg_m3(0))}
    pres = {"bar man.": decimal_comma(barg(2)), "mbar man.": decimal_comma(mbarg(0)), "kPa man.": decimal_comma(kpag(0))}
    leng = {"m": decimal_comma(metre(2)), "mm": decimal_comma(mm(0))}
    ws = b.sheet("Folha de dados")
    ws.write(0, 0, "Folha de dados - indicadores de nível magnéticos", b.fmt(bold=True))
    ws.write(1, 0, "Fábrica de pasta da Ribeira Funda, linha de recuperação")
    cols = [
        ("Referência", "tag", None),
        ("Designação", "svc", None),
        ("Fluido", "fluid", None),
        ("Massa vol. mín.", "*rho_min", in_unit_of_row("rho_min", "u_rho", dens)),
        ("Massa vol. de serviço", "*rho", in_unit_of_row("rho", "u_rho", dens)),
        ("Massa vol. máx.", "*rho_max", in_unit_of_row("rho_max", "u_rho", dens)),
        ("Unid.", "*x_unit_rho", stated("u_rho")),
        ("Pressão de serviço", "*op", in_unit_of_row("op", "u_p", pres)),
        ("Unid.", "*x_unit_op", stated("u_p")),
        ("Pressão de cálculo", "*dp", in_unit_of_row("dp", "u_p", pres)),
        ("Unid.", "*x_unit_dp", stated("u_p")),
        ("Temp. de serviço", "ot", None),
        ("Unid.", "*x_unit_ot", always("°C")),
        ("Temp. de cálculo", "dt", None),
        ("Unid.", "*x_unit_dt", always("°C")),
        ("Distância entre eixos", "*cc", in_unit_of_row("cc", "u_l", leng)),
        ("Unid.", "*x_unit_cc", stated("u_l")),
        ("Comprimento visível", "*vis", in_unit_of_row("vis", "u_l", leng)),
        ("Unid.", "*x_unit_vis", stated("u_l")),
        ("Material da câmara", "cmat", None),
        ("Nº do tanque", "*x_vessel_id", lambda g: f"TQ-{g['x_item']:02d}"),
        ("PN da tubagem", "*x_pn_line", always("PN 25")),
        ("Flutuador", "part", None),
        ("Observações", "rem", None),
    ]
    x["LI-3105"]["rem"] = "zona ATEX"
    write_list(b, ws, 3, cols, gs, width=11)
    write_float_list(
        b,
        "Flutuadores",
        fl,
        [
            ("Flutuador", "part", None),
            ("Massa", "mass", decimal_comma(gram(1))),
            ("Unid.", "*x_unit_mass", always("g")),
            ("Diâmetro exterior", "od", None),
            ("Unid.", "*x_unit_od", always("mm")),
            ("Comprimento total", "L", None),
            ("Unid.", "*x_unit_L", always("mm")),
            ("Altura do íman acima do fundo", "mag", decimal_comma(mm(1))),
            ("Unid.", "*x_unit_mag", always("mm")),
            ("Topos", "ends", end_shape_in("pt")),
            ("Pressão máx.", "pmax", None),
            ("Unid.", "*x_unit_pmax", always("bar man.")),
            ("Temp. máx.", "tmax", None),
            ("Unid.", "*x_unit_tmax", always("°C")),
        ],
        gs,
    )
    finish(b, gs, "number-as-text")


@book
def u24_usina_etanol_br(b: Book) -> None:
    """Sugar and ethanol mill (BR): export with machine names, unit in the name, alarm set points, serials, text numbers."""
    e = {t: round(liquid_density("Ethanol", t, 0.05)) for t in (25, 30, 45)}
    fl = [
        make_float("USI-780", 50, 300, e[30], pmax=10, tmax=100),
        make_float("USI-1010", 50, 250, 1010, pmax=10, tmax=120),
        make_float("USI-1330", 50, 210, 1340, pmax=10, tmax=100),
    ]
    gs = [
        gauge("LT-4001", "TANQUE MEDIDOR DE ETANOL 1", "ETANOL ANIDRO", fl[0], 1.0, 0.05, 30, 0.5, 60, 2000, pure="Ethanol"),
        gauge("LT-4002", "TANQUE MEDIDOR DE ETANOL 2", "ETANOL ANIDRO", fl[0], 1.0, 0.05, 30, 0.5, 60, 2000, pure="Ethanol"),
        gauge("LT-4003", "DORNA VOLANTE", "VINHO DELEVEDURADO", fl[1], 0.985, 0.1, 34, 1, 80, 1500),
        gauge("LT-4004", "TANQUE DE VINHACA", "VINHACA", fl[1], 1.0, 0.0, 85, 1, 110, 1400),
        gauge("LT-4005", "TANQUE DE MEL FINAL", "MEL FINAL", fl[2], 1.0, 0.0, 50, 1, 80, 1200),
        gauge("LT-4006", "CONDENSADOR E1, POTE", "ETANOL ANIDRO", fl[0], e[45] / e[30], 0.05, 45, 1, 90, 800, pure="Ethanol"),
        gauge("LT-4007", "CAIXA DE CALDO MISTO", "CALDO MISTO", fl[1], 1.015, 0.0, 40, 1, 80, 1000),
    ]
    for i, g in enumerate(gs):
        v = g["vis"]
        g.update(
            lsll=round(v * 0.1),
            lsl=round(v * 0.2),
            lsh=round(v * 0.8),
            lshh=round(v * 0.92),
            gsn=f"NS{30411 + 3 * i}",
            fsn=f"FB{712 + 4 * i}",
            cmat="AISI 304L",
        )
        g["fgsn"] = g["gsn"]
    prepare(gs)
    x = by_tag(gs)
    if b.faulty:
        plant_other_temperature_density(b, x["LT-4002"], 838)
        plant_switch_outside(b, x["LT-4001"], "lshh", 2060)
        plant_reused_serial(b, x["LT-4003"], x["LT-4007"])
        plant_other_serial(b, x["LT-4004"], x["LT-4005"]["gsn"])
        plant_switch_order(b, x["LT-4005"], "lsl", "lsh")
        plant_long_range(b, x["LT-4006"], 60)
        plant_urv_outside(b, x["LT-4007"], 120)
    ws = b.sheet("EXPORTACAO")
    cols = [
        ("COD_ATIVO", "*x_asset", lambda g: f"{500100 + g['x_item']}"),
        ("TAG", "tag", None),
        ("DESCRICAO", "svc", None),
        ("PRODUTO", "fluid", None),
        ("MASSA_ESP_20C_KG_M3", "*x_rho20", lambda g: str(round(g["rho"] + 0.8 * (g["ot"] - 20)))),
        ("MASSA_ESP_OPER_KG_M3", "rho", decimal_comma(kg_m3(0))),
        ("PRESSAO_OPER_KGF_CM2_MAN", "op", decimal_comma(kgf_cm2(2))),
        ("TEMP_OPER_C", "ot", decimal_comma(degC())),
        ("PRESSAO_PROJ_KGF_CM2_MAN", "dp", decimal_comma(kgf_cm2(2))),
        ("TEMP_PROJ_C", "dt", decimal_comma(degC())),
        ("DIST_CENTROS_MM", "cc", decimal_comma(mm())),
        ("COMPR_VISIVEL_MM", "vis", decimal_comma(mm())),
        ("FAIXA_INI_MM", "lrv", decimal_comma(mm())),
        ("FAIXA_FIM_MM", "urv", decimal_comma(mm())),
        ("SP_LSLL_MM", "lsll", decimal_comma(mm())),
        ("SP_LSL_MM", "lsl", decimal_comma(mm())),
        ("SP_LSH_MM", "lsh", decimal_comma(mm())),
        ("SP_LSHH_MM", "lshh", decimal_comma(mm())),
        ("MATERIAL_CAMARA", "cmat", None),
        ("MODELO_FLUTUADOR", "part", None),
        ("NUM_SERIE_VISOR", "gsn", None),
        ("NUM_SERIE_FLUTUADOR", "fsn", None),
        ("NUM_VISOR_NO_FLUTUADOR", "fgsn", None),
        ("DATA_INSTAL", "*x_date", always("14/03/2012")),
        ("VALOR_AQUISICAO", "*x_price", always("7.850,00")),
        ("STATUS", "*x_status", always("ATIVO")),
    ]
    write_list(b, ws, 0, cols, gs, hk={"italic": False}, width=15)
    ws.autofilter(0, 0, len(gs), len(cols) - 1)
    write_float_list(
        b,
        "EXP_FLUTUADORES",
        fl,
        [
            ("MODELO_FLUTUADOR", "part", None),
            ("MASSA_G", "mass", decimal_comma(gram(1))),
            ("DIAM_EXT_MM", "od", decimal_comma(mm())),
            ("COMPR_TOTAL_MM", "L", decimal_comma(mm())),
            ("ALT_IMA_DO_FUNDO_MM", "mag", decimal_comma(mm(1))),
            ("FORMA_TAMPOS", "ends", end_shape_in("pt")),
            ("PRESSAO_MAX_KGF_CM2_MAN", "pmax", decimal_comma(kgf_cm2(1))),
            ("TEMP_MAX_C", "tmax", decimal_comma(degC())),
        ],
        gs,
        hk={"italic": False},
    )
    finish(b, gs, "number-as-text")


@book
def u25_terminal_br(b: Book) -> None:
    """Terminal (BR): level and interface, mm of water, unit row, section rows, placeholders, estimated values."""
    fl = [
        make_float("T25-I", 63, 280, 1005, 850, frac=0.5, pmax=10, tmax=80, svc="interface"),
        make_float("T25-D", 63, 290, 840, pmax=10, tmax=80),
        make_float("T25-G", 63, 330, 735, pmax=10, tmax=80),
        make_float("T25-A", 63, 250, 1000, pmax=10, tmax=80),
    ]
    i, n = {"typ": "interface"}, {"typ": "level"}
    gs = [
        gauge("LG-901", "Separador água e óleo SAO-1", "Água oleosa", fl[0], 1.0, 0.0, 28, 0.3, 60, 1000, upf="Óleo recuperado", rho_u=850, **i),
        gauge("LG-902", "Separador água e óleo SAO-2", "Água oleosa", fl[0], 0.998, 0.0, 28, 0.3, 60, 1000, upf="Óleo recuperado", rho_u=848, **i),
        gauge("LG-903", "Tanque de drenagem TQ-11", "Óleo diesel", fl[1], 1.0, 0.02, 28, 0.3, 60, 1600, **n),
        gauge("LG-904", "Tanque de drenagem TQ-12", "Gasolina", fl[2], 0.99, 0.02, 28, 0.3, 60, 1600, **n),
        gauge("LG-905", "Tanque de água de incêndio", "Água bruta", fl[3], 0.996, 0.0, 28, 0.3, 60, 2400, **n),
        gauge("LG-906", "Vaso de sucção", "Óleo diesel", fl[1], 0.985, 0.1, 30, 1.0, 60, 900, **n),
        gauge("LG-907", "Vaso de alívio", "Óleo diesel", fl[1], 0.99, 0.05, 30, 1.0, 60, 800, **n),
    ]
    prepare(gs, cmat="AISI 316")
    say = {"level": "Nível", "interface": "Interface"}
    x = by_tag(gs)
    show(x["LG-905"], x_order="a definir", rho="~ 0,996")
    show(x["LG-907"], fluid="idem", dp="idem", dt="idem", x_order="idem")
    if b.faulty:
        plant_swapped_densities(b, x["LG-901"], ("density-not-at-operating-conditions",))
        plant_small_density_gap(b, x["LG-902"], 30)
        plant_clear_offset(b, x["LG-904"], 1.18)
        plant_urv_short(b, x["LG-903"], 400)
        plant_shown_value(b, x["LG-906"], "rho", 827, "827 in a column of t/m³", alt=["unit-ambiguous"], ok=["offset-exceeds-tolerance"])
        plant_missing_tag(b, x["LG-907"])
        plant_long_range(b, x["LG-905"], 180)
    ws = b.sheet("Pontos de medição")
    ws.write(0, 0, "LISTA DE PONTOS DE MEDIÇÃO - NÍVEL", b.fmt(bold=True))
    ws.write(1, 0, "Terminal aquaviário - utilidades e drenagem")
    cols = [
        (("Item", ""), "x_item", None),
        (("Tag", ""), "tag", None),
        (("Local", ""), "svc", None),
        (("Tipo de medição", ""), "*typ", lambda g: say[g["typ"]]),
        (("Produto", ""), "fluid", None),
        (("Massa esp. a T oper.", "t/m³"), "rho", g_cm3(3)),
        (("Produto superior", ""), "upf", None),
        (("Massa esp. superior", "t/m³"), "rho_u", g_cm3(3)),
        (("Pressão oper.", "mmca man."), "op", mm_water(0)),
        (("Temp. oper.", "°C"), "ot", None),
        (("Pressão proj.", "kgf/cm² man."), "dp", kgf_cm2(2)),
        (("Temp. proj.", "°C"), "dt", None),
        (("Dist. entre centros", "mm"), "cc", None),
        (("Faixa visível", "mm"), "vis", None),
        (("Transmissor 4 mA", "mm"), "lrv", None),
        (("Transmissor 20 mA", "mm"), "urv", None),
        (("Material da câmara", ""), "cmat", None),
        (("Boia", ""), "part", None),
        (("Altura do tanque", "m"), "*x_vessel_h", lambda g: round(g["cc"] / 1000 * 1.6, 1)),
        (("Pedido", ""), "*x_order", always("RC-1180")),
        (("Obs.", ""), "rem", None),
    ]
    r = write_list(b, ws, 3, cols, ["SEPARADORES", *gs[:2], "TANQUES", *gs[2:5], None, "VASOS", *gs[5:]], secmerge=False)
    ws.write(r, 2, "Total: 7 pontos")
    ws.write(r + 2, 2, "~ valor estimado")
    write_float_list(
        b,
        "Boias",
        fl,
        [
            (("Boia", ""), "part", None),
            (("Aplicação", ""), "fsvc", lambda v: say[v]),
            (("Massa", "g"), "mass", None),
            (("Diâmetro", "mm"), "od", None),
            (("Comprimento", "mm"), "L", None),
            (("Ímã acima da base", "mm"), "mag", None),
            (("Tampos", ""), "ends", end_shape_in("pt")),
            (("Pressão máx.", "kgf/cm² man."), "pmax", kgf_cm2(1)),
            (("Temp. máx.", "°C"), "tmax", None),
        ],
        gs,
    )
    finish(b, gs, "number-as-text")
