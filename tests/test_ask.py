"""`xlfuncs diagnose --ask`: a search by questions in a terminal, and what comes of it."""

from __future__ import annotations

import os
import pty
import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tests.test_diagnosis import FLOAT, GAUGE, LEVELS, currents, notes, readings
from xlfuncs.cli import main
from xlfuncs.gauge.causes import CAUSES
from xlfuncs.gauge.diagnosis import diagnose
from xlfuncs.gauge.guide import next_step
from xlfuncs.gauge.leaning import leaning
from xlfuncs.gauge.questions import questions
from xlfuncs.report.repair import after, conclusion, lines, mends, page

LOW: list[list[Any]] = [
    ["Dip (mm)", "We read", "Panel (mA)"],
    [200, 185, 6.96],
    [500, 485, 11.76],
    [800, 785, 16.56],
]
TRANSMITTER: list[list[Any]] = [["LRV", 0], ["URV", 1000], ["Visible range", 1000]]


def said(monkeypatch: pytest.MonkeyPatch, answers: dict[str, str], otherwise: str = "") -> list[str]:
    """Answer the questions whose text holds a key; what was asked is gathered."""
    asked: list[str] = []

    def reply(prompt: str) -> str:
        import xlfuncs.cli.ask as module

        text = LAST[-1] if LAST else ""
        asked.append(text)
        assert module
        return next((a for key, a in answers.items() if key in text), otherwise)

    LAST: list[str] = []
    real = print

    def note(*parts: object, **more: object) -> None:
        LAST.append(" ".join(map(str, parts)))
        real(*parts, **more)  # type: ignore[call-overload]

    monkeypatch.setattr("builtins.input", reply)
    monkeypatch.setattr("builtins.print", note)
    return asked


def test_every_sign_belongs_to_a_cause_and_every_cause_has_a_sign() -> None:
    names = {cause.name for cause in CAUSES}
    shown = {name for q in questions().values() for name in q.shows}
    assert shown <= names
    assert names - shown == {"as designed"}


def test_what_opens_something_has_a_caution() -> None:
    assert all(q.caution for q in questions().values() if q.opens)
    chamber = next(q for q in questions().values() if q.opens == "chamber")
    assert "Isolate" in chamber.caution and "zero pressure" in chamber.caution


def test_the_cheapest_telling_question_comes_first() -> None:
    """A float that stays: a look at the valves before anything is opened."""
    found = diagnose(GAUGE, readings([0.45, 0.45, 0.451], current=currents([0.45, 0.449, 0.45])), guided=True)
    step = next_step(found)
    assert step is not None and step.question is not None and not step.question.opens
    assert step.question.shows.get("lower valve shut or leg plugged", 0) >= 0.7


def test_what_was_not_looked_at_is_not_asked_again() -> None:
    found = diagnose(GAUGE, readings(LEVELS - 0.015), guided=True)
    skipped = set[str]()
    while (step := next_step(found, (), skipped)) is not None:
        name = step.question.name if step.question else "readings"
        assert name not in skipped
        skipped.add(name)
    assert len(skipped) > 5


def test_a_search_ends_with_what_to_mend_and_what_it_will_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    book = notes(tmp_path / "case.xlsx", [*FLOAT, *TRANSMITTER], LOW)
    made = tmp_path / "page.html"
    answers = {
        "second means": "y",
        "weigh": "305 g",
        "density of a sample": "y",
        "vented": "n",
        "serial": "y",
    }
    asked = said(monkeypatch, answers, "")
    assert main(["diagnose", str(book), "--ask", "--page", str(made)]) == 0
    out = capsys.readouterr().out
    assert "float heavier" in out and "Mend: float heavier" in out and "level 500 mm: shows 500 mm" in out
    opened = [i for i, line in enumerate(out.splitlines()) if line.startswith("CAUTION")]
    weigh = next(i for i, line in enumerate(out.splitlines()) if "weigh" in line)
    assert opened and any(i < weigh for i in opened)
    assert len(asked) <= 14
    html = made.read_text(encoding="utf-8")
    assert "float heavier" in html and "305 g" in html and "Mended by" in html and "http" not in html


def test_it_runs_in_a_terminal(tmp_path: Path) -> None:
    """Through a pseudo-terminal, as a person has it; stopped by q."""
    book = notes(tmp_path / "case.xlsx", [*FLOAT, *TRANSMITTER], LOW)
    leader, follower = pty.openpty()
    command = [sys.executable, "-m", "xlfuncs", "diagnose", str(book), "--ask"]
    with subprocess.Popen(command, stdin=follower, stdout=follower, stderr=follower) as running:
        os.close(follower)
        seen = b""
        while b"Enter > " not in seen:
            seen += os.read(leader, 4096)
        os.write(leader, b"maybe\nq\n")
        while True:
            try:
                chunk = os.read(leader, 4096)
            except OSError:
                break
            if not chunk:
                break
            seen += chunk
        assert running.wait(60) == 1
    os.close(leader)
    text = seen.decode()
    assert "not looked" in text and "Not settled" in text and "Traceback" not in text


def test_a_search_may_start_from_the_index_alone(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    index = Path(__file__).parents[1] / "workbooks" / "instrument_index.xlsx"
    said(monkeypatch, {}, "q")
    assert main(["diagnose", "--ask", "--index", str(index), "--tag", "LG-1001"]) == 1
    assert "So far" in capsys.readouterr().out
    assert main(["diagnose", "--ask"]) == 2
    assert "--index and --tag" in capsys.readouterr().err


def test_answers_in_a_workbook_count(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    told = {"serial": "yes", "reference": "yes", "vented": "no", "sample": "yes", "float_mass": "305 g"}
    answers = [[questions()[name].text, answer] for name, answer in told.items()]
    rows = [*LOW, [], ["Question", "Answer"], *answers]
    book = notes(tmp_path / "case.xlsx", [*FLOAT, *TRANSMITTER], rows)
    assert main(["diagnose", str(book)]) == 0
    assert "most likely: float heavier" in " ".join(capsys.readouterr().out.split())
    rows[6][1] = "perhaps"
    book = notes(tmp_path / "wrong.xlsx", [*FLOAT, *TRANSMITTER], rows)
    assert main(["diagnose", str(book)]) == 2
    assert "none of yes, no, not looked" in capsys.readouterr().err


def test_a_wrong_density_is_not_mended_in_the_gauge() -> None:
    deeper = np.array(GAUGE.magnet_height) * (850 / 770 - 1)
    found = diagnose(
        GAUGE,
        readings(
            LEVELS - deeper,
            current=currents(LEVELS - deeper),
            sample_density=np.array([770.0, np.nan, np.nan]),
        ),
        answers={"float_mass": 0.280, "reference": True, "serial": True},
    )
    assert "density not as stated" in conclusion(found)
    assert mends(found)[0].startswith("density not as stated")
    middle = after(found)[2]
    assert middle.indicated == pytest.approx(1e3 * (0.5 - deeper), abs=1.0)
    assert "goes on to read" in page(found, "LG-1", [])


def test_what_rests_on_one_answer_says_so() -> None:
    """Readings that are low by the same amount everywhere: only what was looked at parts the causes."""
    read = readings(LEVELS - 0.03, current=currents(LEVELS - 0.03))
    rest: dict[str, bool | float] = {"reference": True, "float_mass": 0.28, "sample": True}
    found = diagnose(GAUGE, read, answers={**rest, "vented": True})
    assert found.findings[0].cause.name == "gas pocket in a leg or the chamber"
    lean = leaning(found)
    assert lean is not None and lean.question.name == "vented" and lean.answer is True
    alone = {f.cause: f.weight for f in diagnose(GAUGE, read, answers=rest).findings}
    del alone[found.findings[0].cause]
    likely = {c.name: weight for c, weight in alone.items() if weight >= max(alone.values()) / 2}
    assert {f.cause.name: f.weight for f in lean.instead} == pytest.approx(likely, abs=0.02)
    said_so = " ".join(lines(found))
    assert "rests on one answer" in said_so and "Look again" in said_so
    assert "rests on one answer" in page(found, "LG-1", [])


def test_what_the_readings_prove_rests_on_no_answer() -> None:
    read = readings(LEVELS, current=currents(1.0 - LEVELS))
    found = diagnose(GAUGE, read, answers={"sensor_magnet": False})
    assert found.findings[0].cause.name == "transmitter reversed"
    assert leaning(found) is None
    assert "rests on" not in " ".join(lines(found))


def test_an_answer_is_taken_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    book = notes(tmp_path / "case.xlsx", [*FLOAT, *TRANSMITTER], LOW)
    replies = iter(["u", "y", "u", "n", "q"])
    monkeypatch.setattr("builtins.input", lambda prompt: next(replies))
    made = tmp_path / "page.html"
    assert main(["diagnose", str(book), "--ask", "--page", str(made)]) in (0, 1)
    asked = [part.strip() for part in capsys.readouterr().out.split("So far")[1:]]
    assert asked[0] == asked[1] == asked[3] != asked[2]
    html = made.read_text(encoding="utf-8")
    assert "<td>no</td>" in html and "<td>yes</td>" not in html
