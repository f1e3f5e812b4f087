"""Names of fluids by language, as fluid columns of instrument indexes hold them; mixtures name no fluid."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from xlfuncs.data import load
from xlfuncs.gauge import fluids
from xlfuncs.worksheet import call

TABLE = load("fluids")
LANGUAGES = [
    "nl",
    "pl",
    "tr",
    "sv",
    "no",
    "da",
    "fi",
    "cs",
    "hu",
    "ro",
    "ru",
    "uk",
    "el",
    "ar",
    "he",
    "zh",
    "ja",
    "ko",
]
LANGUAGES += ["id", "vi", "th"]
MIXTURES = [name for block in TABLE["unknown"] for name in block["names"]]
ONE_IN_EACH = {language: TABLE["fluid"]["Ammonia"]["names"][language][0] for language in LANGUAGES}

CELLS: dict[str, dict[str | None, list[str]]] = {
    "nl": {
        "Ammonia": ["vloeibare ammoniak", "Ammonia (vloeibaar)"],
        "Water": ["Ketelvoedingswater", "demiwater (koud)", "verzadigde stoom"],
        None: ["Stookolie", "natronloog 20%", "Gedemi. water", "Propaan/butaan", "Ethyleenglycol"],
        "n-Butane": ["n-Butaan"],
    },
    "pl": {
        "Water": ["Woda zdemineralizowana", "kondensat parowy", "Woda kotłowa / para", "WODA LODOWA"],
        "Ammonia": ["Amoniak ciekły"],
        None: [
            "woda amoniakalna",
            "Benzyna",
            "n-butan i i-butan",
            "woda + olej",
            "propan techniczny",
            "roztwór NaOH",
        ],
        "Benzene": ["Benzen"],
        "Ethylene": ["Etylen (ciekły)"],
    },
    "tr": {
        "Water": ["KAZAN BESLEME SUYU", "DEMİNERALİZE SU"],
        "Ammonia": ["sıvı amonyak"],
        None: ["Ham petrol", "Propan + Bütan karışımı", "su + glikol", "Klorlu su"],
        "n-Propane": ["SIVI PROPAN"],
    },
    "ru": {
        "Water": ["вода питательная", "Конденсат пара", "Вода / Water", "Пар насыщенный"],
        "Ammonia": ["Аммиак жидкий (безводный)"],
        None: [
            "Бензин",
            "аммиачная вода 25%",
            "ВОДА ПИТАТЕЛЬНАЯ, 158°С",
            "Пропан-бутан",
            "Вода и нефть",
            "Стабильный бензин",
            "Бензол сырой",
            "хлорная вода",
        ],
        "Propylene": ["пропилен"],
        "Chlorine": ["Жидкий хлор"],
        "IsoButane": ["Изобутан (жидкий)"],
    },
    "zh": {
        "Water": ["锅炉给水", "脱盐水 DM Water", "鍋爐給水"],
        "Ammonia": ["液氨", "液氨/气氨"],
        None: [
            "氨水（25％）",
            "粗苯",
            "液化石油气",
            "饱和水和蒸汽",
            "甲醇水溶液",
            "甲醇、水",
            "冷甲基叔丁基醚",
            "乙二醇",
            "液化氣",
            "苯酚",
            "苯乙烯",
            "液硫",
            "32%NaOH",
        ],
        "Propylene": ["液态丙烯"],
        "Nitrogen": ["高纯液氮"],
    },
    "ja": {
        "Water": ["ボイラ給水", "ボイラー給水 (BFW)"],
        "Ammonia": ["無水アンモニア"],
        None: [
            "アンモニア水",
            "苛性ソーダ",
            "液化プロパンガス",
            "エチレングリコール",
            "塩酸",
            "ベンジン",
            "飽和アンモニア水",
        ],
        "Propylene": ["ﾌﾟﾛﾋﾟﾚﾝ"],
        "n-Propane": ["液化プロパン"],
        "Benzene": ["ﾍﾞﾝｾﾞﾝ"],
    },
    "ko": {
        "Water": ["탈염수", "보일러급수"],
        "Nitrogen": ["액체 질소"],
        None: ["가성소다 32%", "암모니아액", "에틸렌 글리콜", "벤젠/톨루엔"],
        "Toluene": ["톨루엔"],
        "Ammonia": ["무수 암모니아"],
        "Propylene": ["액화프로필렌"],
    },
    "ar": {
        "Water": ["مياه تغذية الغلايات", "ماء منزوع الأملاح / Demin water"],
        "n-Propane": ["البروبان المسال"],
        None: ["نفط خام", "بنزين", "ماء البحر"],
        "Ammonia": ["الأمونيا السائلة"],
    },
    "he": {
        "Water": ["מי הזנה לדוד"],
        "Ammonia": ["אמוניה נוזלית"],
        None: ["בנזין"],
        "Nitrogen": ["חנקן נוזלי"],
    },
    "sv": {
        "Water": ["Matarvatten"],
        "CarbonDioxide": ["Flytande koldioxid"],
        None: ["Lut", "syre", "Ammoniak 25 %"],
    },
    "no": {
        "Water": ["kjølevann, varmt"],
        None: ["Syre", "MEG / vann"],
        "Ammonia": ["flytende ammoniakk"],
    },
    "da": {
        "Oxygen": ["Flydende ilt"],
        "Water": ["Kedelfødevand", "Kølevand"],
    },
    "fi": {
        "Water": ["syöttövesi", "höyry / lauhdevesi"],
        None: ["Raakaöljy", "Nestekaasu", "Lauhde"],
    },
    "cs": {
        "Ammonia": ["kapalný čpavek"],
        "Water": ["Napájecí voda", "voda, demi", "nasycená pára"],
        None: ["Benzín"],
    },
    "hu": {
        "n-Propane": ["cseppfolyós propán"],
        "Water": ["Sótalanvíz", "tápvíz, kazán"],
        None: ["PB gáz"],
        "Ammonia": ["Ammónia (cseppfolyós)"],
    },
    "ro": {
        "Water": ["Apă demineralizată", "apă de răcire"],
        None: ["benzină", "apă cu glicol"],
    },
    "el": {
        "Ammonia": ["Υγρή αμμωνία"],
        "Water": ["ΝΕΡΟ ΨΥΞΗΣ"],
        None: ["θαλασσινό νερό"],
    },
    "uk": {
        "Water": ["Вода живильна котлова"],
        None: ["нафта"],
        "Ammonia": ["Аміак рідкий"],
    },
    "id": {
        "Water": ["Air umpan boiler"],
        None: ["air", "Air", "instrument air", "air laut", "Air + minyak"],
        "Ammonia": ["Amonia cair"],
    },
    "vi": {
        "Water": ["Nước khử khoáng", "NƯỚC CẤP LÒ HƠI"],
        None: ["Dầu thô"],
        "Ammonia": ["amoniac lỏng"],
    },
    "th": {
        None: ["เบนซิน", "ก๊าซปิโตรเลียมเหลว", "น้ำทะเล"],
        "Benzene": ["เบนซีน"],
        "Ammonia": ["แอมโมเนียเหลว"],
    },
}


@pytest.mark.parametrize("language", CELLS)
def test_cells_of_a_fluid_column(language: str) -> None:
    found = {cell: fluids.resolve(cell) for cells in CELLS[language].values() for cell in cells}
    assert found == {cell: fluid for fluid, cells in CELLS[language].items() for cell in cells}


@pytest.mark.parametrize(
    ("first", "fluid", "second", "other"),
    [
        ("Benzol", "Benzene", "Benzin", None),
        ("benzen", "Benzene", "benzyna", None),
        ("бензол", "Benzene", "бензин", None),
        ("βενζόλιο", "Benzene", "βενζίνη", None),
        ("בנזן", "Benzene", "בנזין", None),
        ("بنزول", "Benzene", "بنزين", None),
        ("bentseeni", "Benzene", "bensiini", None),
        ("bensen", "Benzene", "bensin", None),
        ("เบนซีน", "Benzene", "เบนซิน", None),  # differ by one vowel mark
        ("ベンゼン", "Benzene", "ベンジン", None),
        ("苯", "Benzene", "粗苯", None),
        ("etan", "Ethane", "eten", "Ethylene"),
        ("etaani", "Ethane", "eteeni", "Ethylene"),
        ("אתאן", "Ethane", "אתן", None),  # ethene as well, where vowels are not written
        ("ethaan", "Ethane", "etheen", "Ethylene"),
        ("propan", "n-Propane", "propen", "Propylene"),
        ("пропан", "n-Propane", "пропилен", "Propylene"),
        ("丙烷", "n-Propane", "丙烯", "Propylene"),
        ("프로판", "n-Propane", "프로판가스", None),  # what is sold under that name is LPG
        ("metan", "Methane", "gaz metan", None),  # natural gas in Romanian
        ("metan", "Methane", "metanol", "Methanol"),
        ("air demin", "Water", "air", None),
        ("uap air", "Water", "hot air", None),
        ("happi", "Oxygen", "happo", None),
        ("syrgas", "Oxygen", "syre", None),  # oxygen in Swedish, acid in Norwegian and Danish
        ("amoniak", "Ammonia", "woda amoniakalna", None),
        ("液氨", "Ammonia", "氨水", None),
        ("アンモニア", "Ammonia", "アンモニア水", None),
        ("암모니아", "Ammonia", "암모니아수", None),
        ("氯乙烯", "VinylChloride", "氯、乙烯", None),
        ("蒸汽凝结水", "Water", "凝液", None),
        ("конденсат пара", "Water", "конденсат", None),
        ("stoom", "Water", "damp", None),  # any vapour in Dutch, steam in Norwegian
        ("p-ksylen", "p-Xylene", "ksylen", None),
        ("对二甲苯", "p-Xylene", "二甲苯", None),
        ("1,2-дихлорэтан", "Dichloroethane", "дихлорэтан", None),
    ],
)
def test_names_that_are_easily_taken_for_each_other(
    first: str, fluid: str, second: str, other: str | None
) -> None:
    assert fluids.resolve(first) == fluid
    assert fluids.resolve(second) == other


@pytest.mark.parametrize(
    ("written", "fluid"),
    [
        ("ﾌﾟﾛﾊﾟﾝ", "n-Propane"),  # kana of half width
        ("ＮＨ３", "Ammonia"),
        ("鍋爐給水", "Water"),  # traditional characters
        ("液態氮", "Nitrogen"),
        ("DEMİNERALİZE SU", "Water"),
        ("KIZGIN SU", "Water"),
        ("SICAK SU", "Water"),
        ("Woda pitna (zimna)", "Water"),
        ("Siarkowodor", "HydrogenSulfide"),
        ("skroplony dwutlenek wegla", "CarbonDioxide"),
        ("Koelevand", "Water"),
        ("Ångkondensat", "Water"),
        ("умягченная вода", "Water"),
        ("مياه منزوعه الاملاح", "Water"),
        ("nuoc khu khoang", "Water"),
        ("Nước đã khử khoáng", None),
        ("锅炉给水 BFW", "Water"),
        ("Вода питательная\nBoiler feed water", "Water"),
        ("アンモニア NH3", "Ammonia"),
        ("벤젠 Toluene", None),
        ("NH3 水", None),
        ("NaOH 水", None),
        ("25％アンモニア", None),
        ("أمونيا ٢٥٪", None),
        ("propan og butan", None),
        ("woda oraz para", "Water"),
        ("VE-Wasser", "Water"),
        ("liquid gaz metan", None),
        ("gaz metan lichid", None),
    ],
)
def test_spelling_of_a_language(written: str, fluid: str | None) -> None:
    assert fluids.resolve(written) == fluid


def test_every_language_names_what_stands_in_most_indexes() -> None:
    for fluid in [
        "Water",
        "Ammonia",
        "Chlorine",
        "Nitrogen",
        "n-Propane",
        "Propylene",
        "n-Butane",
        "Benzene",
    ]:
        assert set(LANGUAGES) - set(TABLE["fluid"][fluid]["names"]) == set(), fluid


def test_no_name_is_both_a_fluid_and_a_mixture() -> None:
    known, unknown, qualifiers = fluids._tables()
    assert known.keys() & unknown.keys() == set()
    assert unknown.keys() & qualifiers == set()


@given(
    st.sampled_from(MIXTURES),
    st.sampled_from(["liquid", "ciekły", "жидкий", "sıvı", "液化", "무수", "السائل"]),
)
def test_a_qualifier_makes_no_fluid_of_a_mixture(mixture: str, qualifier: str) -> None:
    assert fluids.resolve(f"{qualifier} {mixture}") is None
    assert fluids.resolve(f"{mixture} {qualifier}") is None


@given(st.sampled_from(LANGUAGES), st.sampled_from(LANGUAGES), st.integers(1, 99))
def test_two_languages_name_one_fluid_and_a_strength_none(first: str, second: str, percent: int) -> None:
    both = f"{ONE_IN_EACH[first]} / {ONE_IN_EACH[second]}"
    assert fluids.resolve(both) == "Ammonia"
    assert fluids.resolve(f"{both} {percent} %") is None


@pytest.mark.parametrize(
    "name", ["вода питательная", "锅炉给水", "Besleme suyu", "مياه التبريد", "air umpan boiler"]
)
def test_the_functions_of_a_sheet_know_them(name: str) -> None:
    assert call("LG_DENSITY", name, 20.0) == call("LG_DENSITY", "water", 20.0)
