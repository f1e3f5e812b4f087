"""The form for phone and tablet, in a real Chromium: the same model, kept in the browser, saved as a file."""

from __future__ import annotations

import base64
import json
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tests.test_diagnosis import GAUGE
from tests.test_report.test_html import Browser
from xlfuncs.cli import main
from xlfuncs.gauge.diagnosis import diagnose
from xlfuncs.gauge.leaning import leaning
from xlfuncs.gauge.readings import Readings
from xlfuncs.report.field_form import form
from xlfuncs.report.history import read_history
from xlfuncs.worksheet.diagnosis import Stated

PHONE = {"width": 390, "height": 844, "deviceScaleFactor": 2, "mobile": True}
LOW = [(200, 180, 6.9), (500, 481, 11.7), (800, 780, 16.4)]


@pytest.fixture(scope="module")
def phone(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:
    browser = Browser(tmp_path_factory.mktemp("profile"))
    browser.call("Emulation.setDeviceMetricsOverride", **PHONE)
    browser.call(
        "Network.emulateNetworkConditions", offline=True, latency=0, downloadThroughput=0, uploadThroughput=0
    )
    yield browser
    browser.process.terminate()
    browser.process.wait(20)


@pytest.fixture
def page(tmp_path: Path, phone: Any) -> Any:
    path = tmp_path / "form.html"
    path.write_text(form(Stated(GAUGE, 850.0), "LG-1"), encoding="utf-8")
    phone.open(path)
    return phone


def typed(page: Any, rows: list[tuple[Any, Any, Any]], answers: dict[str, Any] | None = None) -> None:
    found = [{"level": str(a), "indicated": str(b), "current": str(c)} for a, b, c in rows]
    new = {"found": found, "answers": answers or {}, "skipped": [], "opened": []}
    page.js(f"(Object.assign(S, {json.dumps(new)}), keep(), table('found'), show(), 1)")


def pressed(page: Any, text: str) -> None:
    page.js(
        f"([...document.querySelectorAll('#next button')].find(b => b.textContent === '{text}').click(), 1)"
    )


def all_but(page: Any) -> None:
    """Nothing more was looked at."""
    while page.js("!!document.querySelector('#next .question')"):
        pressed(page, "Not looked")


@pytest.mark.parametrize(
    ("rows", "answers"),
    [
        (LOW, {}),
        (LOW, {"reference": True, "float_mass": 0.31, "serial": True}),
        ([(500, 480, 11.7)], {"valves": True}),
        (LOW, {"reference": True, "sample": 770.0, "float_mass": 0.3}),
        (LOW, {"sample": 930.0, "vented": False}),
        ([(200, 203, 7.2), (500, 508, 12.1), (800, 813, 17.0)], {"plumb": False}),
        ([(200, 450, 11.2), (500, 451, 11.2), (800, 450, 11.2)], {}),
        ([(200, 200, 16.8), (500, 501, 12.0), (800, 800, 7.2)], {}),
        ([(600, "empty", 3.8)], {}),
        ([(200, 200, 7.2), (500, 500, 12.0)], {}),
    ],
)
def test_it_weighs_as_the_command_does(page: Any, rows: list[Any], answers: dict[str, Any]) -> None:
    typed(page, rows, answers)
    shown = {name: log for name, _, log in page.js("window.weights") if log is not None}
    level, seen, current = (
        np.array([0.0 if x == "empty" else x for x in c], dtype=float) for c in zip(*rows, strict=True)
    )
    read = Readings(
        np.full(len(level), 850.0),
        level=level / 1e3,
        indicated=seen / 1e3,
        current=current / 1e3,
        limit=np.array([-1.0 if r[1] == "empty" else 0.0 for r in rows]),
    )
    found = diagnose(GAUGE, read, answers=answers, guided=True)
    ours = {f.cause.name: f.log_evidence for f in found.findings if not f.cause.both}
    best = max(ours.values())
    compared = [name for name, log in ours.items() if log > best - 12 and name in shown]
    assert compared and found.findings[0].cause.name in compared
    for name in compared:
        assert shown[name] - max(shown.values()) == pytest.approx(ours[name] - best, abs=0.35), name


def test_nothing_is_fetched_and_nothing_runs_over_the_edge(page: Any) -> None:
    assert page.complaints() == []
    assert page.js("document.documentElement.scrollWidth") <= 390
    sizes = page.js(
        "[...document.querySelectorAll('button:not(.undo),input,select')]"
        ".map(e => e.getBoundingClientRect().height)"
    )
    assert min(sizes) >= 44
    assert "Opening a chamber" in page.js("document.body.innerText")


def test_what_was_typed_is_kept_in_the_browser(page: Any, tmp_path: Path) -> None:
    typed(page, LOW)
    page.js("($('head-Date').value = '2026-03-04', $('head-Date').oninput(), 1)")
    pressed(page, "Yes")
    asked = page.js("Object.keys(S.answers)")
    page.open(tmp_path / "form.html")
    assert page.js("document.querySelector('#found input').value") == "200"
    assert page.js("Object.keys(S.answers)") == asked and len(asked) == 1
    assert page.js("document.getElementById('head-Date').value") == "2026-03-04"


def test_a_caution_stands_before_what_opens_something(page: Any) -> None:
    typed(page, LOW, {"reference": True})
    for _ in range(30):
        shown = page.js("document.getElementById('next').innerText")
        if "weigh" in shown:
            break
        page.js(
            "([...document.querySelectorAll('#next button')]"
            ".find(b => b.textContent === 'Not looked').click(), 1)"
        )
    assert "zero pressure" in shown and shown.index("Caution") < shown.index("weigh")


def test_the_saved_file_goes_to_diagnose_and_into_the_history(
    page: Any, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    typed(
        page, LOW, {"reference": True, "float_mass": 0.3125, "serial": True, "vented": False, "sample": True}
    )
    page.js("(S.head.Date = '2026-03-04', S.left = [{level: '300', indicated: '300', current: '8.8'}], 1)")
    text = page.js("btoa(unescape(encodeURIComponent(file())))")
    path = tmp_path / "LG-1.field.csv"
    path.write_bytes(base64.b64decode(text))
    history = tmp_path / "history.xlsx"
    assert main(["diagnose", str(path), "--tag", "LG-1", "--history", str(history)]) == 0
    assert "most likely: float heavier" in " ".join(capsys.readouterr().out.split())
    assert history.exists()
    assert "Most likely: float heavier" in page.js("document.getElementById('next').innerText")


def test_the_command_writes_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    index = Path(__file__).parents[1] / "workbooks" / "instrument_index.xlsx"
    out = tmp_path / "form.html"
    assert main(["diagnose", "--form", str(out), "--index", str(index), "--tag", "LG-1005"]) == 0
    assert "Field form LG-1005" in out.read_text(encoding="utf-8")
    assert (
        main(["diagnose", "--form", str(tmp_path / "form.txt"), "--index", str(index), "--tag", "LG-1005"])
        == 2
    )
    assert "ending .html" in capsys.readouterr().err


def tapped(page: Any, element: str) -> None:
    """A finger on an element: it is brought into view and touched in its middle."""
    page.js(f"({element}.scrollIntoView({{block: 'center'}}), 1)")
    box = page.js(f"(r => [r.x + r.width / 2, r.y + r.height / 2])({element}.getBoundingClientRect())")
    for kind in ("mousePressed", "mouseReleased"):
        page.call("Input.dispatchMouseEvent", type=kind, x=box[0], y=box[1], button="left", clickCount=1)


def written(page: Any, element: str, text: str) -> None:
    tapped(page, element)
    page.call("Input.insertText", text=text)


def test_a_form_filled_in_on_a_phone_is_saved_and_read_by_diagnose_and_the_next_audit(
    phone: Any, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Each field is touched and typed into, each question answered by its button, the file saved by its."""
    index = Path(__file__).parents[1] / "workbooks" / "instrument_index.xlsx"
    form_ = tmp_path / "form.html"
    assert main(["diagnose", "--form", str(form_), "--index", str(index), "--tag", "LG-1005"]) == 0
    phone.open(form_)
    phone.js("(localStorage.clear(), 1)")
    phone.open(form_)
    for key, text in (("Date", "27.11.2026"), ("Calibrator", "M. K.")):
        written(phone, f"document.getElementById('head-{key}')", text)
    # the scale stands 30 mm too low on the gauge, and the chamber was drained at last
    rows = [
        ("300", "270", "6,4"),
        ("900", "870", "11,2"),
        ("1500", "1470", "16"),
        ("leer", "unter Skala", "3,8"),
    ]
    tapped(phone, "document.getElementById('more-found')")
    for row, cells in enumerate(rows):
        for column, text in enumerate(cells):
            written(
                phone,
                f"document.querySelectorAll('#found .row')[{row}].querySelectorAll('input')[{column}]",
                text,
            )
    phone.js("(show(), 1)")
    for _ in range(12):
        shown = phone.js("document.getElementById('next').innerText")
        if "Most likely" in shown or "Not settled" in shown:
            break
        word = "No" if "scale's zero" in shown else "Not looked"
        button = f"[...document.querySelectorAll('#next button')].find(b => b.textContent === '{word}')"
        tapped(phone, button)
    assert "Most likely: scale shifted" in shown
    assert phone.js("document.documentElement.scrollWidth") <= 390
    for column, text in enumerate(("600", "600", "8,8")):
        written(
            phone, f"document.querySelectorAll('#left .row')[0].querySelectorAll('input')[{column}]", text
        )
    phone.call("Page.setDownloadBehavior", behavior="allow", downloadPath=str(tmp_path))
    tapped(phone, "document.getElementById('save')")
    saved = tmp_path / "LG-1005.field.csv"
    for _ in range(100):
        if saved.exists() and saved.stat().st_size:
            break
        time.sleep(0.1)
    history = tmp_path / "history.xlsx"
    assert main(["diagnose", str(saved), "--tag", "LG-1005", "--history", str(history)]) == 0
    assert "most likely: scale shifted" in " ".join(capsys.readouterr().out.split())
    (made,) = read_history(history)
    assert made.date == "2026-11-27" and made.left == pytest.approx(0, abs=1)
    assert made.found == pytest.approx(-30, abs=1)
    main(["audit", str(index), "--with", str(saved), "--format", "json", "-o", str(tmp_path / "audit.json")])
    audited = json.loads((tmp_path / "audit.json").read_text(encoding="utf-8"))
    assert audited["rows_audited"] > 40
    assert not [f for f in audited["findings"] if f["rule"] == "documents-disagree"]


def test_it_says_what_rests_on_one_answer(page: Any) -> None:
    """As the command does: the same answer, the same causes with the same weights."""
    answers: dict[str, Any] = {"reference": True, "float_mass": 0.28, "sample": True, "vented": True}
    level = np.array([0.2, 0.5, 0.8])
    rows = [(1e3 * x, 1e3 * (x - 0.03), 4 + 16 * (x - 0.03)) for x in level]
    read = Readings(
        np.full(3, 850.0), level=level, indicated=level - 0.03, current=0.004 + 0.016 * (level - 0.03)
    )
    typed(page, rows, answers)
    all_but(page)
    shown = page.js("document.getElementById('next').innerText")
    lean = leaning(diagnose(GAUGE, read, answers=answers, guided=True))
    assert lean is not None and lean.question.text in shown and "rests on one answer" in shown
    assert all(f.cause.name in shown for f in lean.instead)


def test_none_of_these_names_two_at_once(page: Any) -> None:
    typed(page, [(200, 260, 4.6), (500, 470, 13.9), (800, 700, 8.0)], {"reference": True})
    all_but(page)
    assert "two causes at once" in page.js("document.getElementById('next').innerText")


def test_a_sound_gauge_needs_nothing_looked_at(page: Any) -> None:
    typed(page, [(200, 201, 7.21), (500, 499, 11.98), (800, 801, 16.82)])
    shown = page.js("document.getElementById('next').innerText")
    assert "Nothing wrong shows" in shown and "range" not in shown
    assert not page.js("!!document.querySelector('#next .question')")
    typed(page, [(500, 501, 12.0)])
    assert "Only part of the range" in page.js("document.getElementById('next').innerText")


def test_readings_come_first_and_the_gauges_data_stand_on_the_page(page: Any) -> None:
    typed(page, [])
    shown = page.js("document.getElementById('next').innerText")
    assert "Type readings first" in shown and page.js("!!document.querySelector('#next .question')")
    assert page.js("document.getElementById('bars').children.length") == 0
    typed(page, LOW)
    assert "Type readings first" not in page.js("document.getElementById('next').innerText")
    data = page.js("document.querySelector('table.stated').innerText")
    assert "850" in data and "kg/m3" in data and "mass" in data


def test_a_sample_may_be_typed_as_a_density(page: Any) -> None:
    typed(page, LOW, {"reference": True, "vented": False})
    for _ in range(30):
        if "density of a sample" in page.js("document.getElementById('next').innerText"):
            break
        pressed(page, "Not looked")
    page.js("(document.querySelector('#next input').value = '0.77', 1)")
    pressed(page, "Enter")
    assert page.js("S.answers.sample === undefined")
    page.js("(document.querySelector('#next input').value = '770', 1)")
    pressed(page, "Enter")
    assert page.js("S.answers.sample") == 770
    assert "770 kg/m3" in page.js("document.getElementById('seen').innerText")
    assert "770 kg/m3" in page.js("file()")


def test_which_valve_is_asked_only_where_one_was_shut(page: Any) -> None:
    stays = [(200, 450, 11.2), (500, 451, 11.2), (800, 450, 11.2)]
    asked = {}
    for valves in (True, False):
        typed(page, stays, {"valves": valves})
        seen = []
        while page.js("!!document.querySelector('#next .question')"):
            seen.append(page.js("document.querySelector('#next .question').innerText"))
            pressed(page, "Not looked")
        asked[valves] = any("was the lower one" in text for text in seen)
    assert asked == {True: False, False: True}
