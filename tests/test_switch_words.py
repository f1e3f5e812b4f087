"""States of a switch in the words of several languages."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.test_data_sheet import TWO, book
from xlfuncs.cli import main
from xlfuncs.worksheet.diagnosis import read_gauge, read_observations

ACTED = [
    *("geschaltet", "angesprochen", "déclenché", "Actuado", "intervenuto", "atuado", "geschakeld", "utlöst"),
    *("utløst", "udløst", "lauennut", "zadziałał", "sepnul", "tetiklendi", "сработал", "in alarm", "ja"),
    *("hat geschaltet", "a déclenché", "ha actuado"),
]
NOT_ACTED = [
    *("nicht geschaltet", "Nicht angesprochen", "non déclenché", "no actuado", "non intervenuto"),
    *("não atuado", "niet geschakeld", "ej utlöst", "ikke utløst", "ikke udløst", "ei lauennut"),
    *("nie zadziałał", "nesepnul", "tetiklenmedi", "не сработал", "no alarm", "kein Alarm", "nein"),
    *("hat noch nicht geschaltet", "n'a pas déclenché", "no ha actuado", "not yet tripped", "has not acted"),
]


@pytest.mark.parametrize(
    ("word", "state"), [*((word, 1.0) for word in ACTED), *((word, 0.0) for word in NOT_ACTED)]
)
def test_a_switch_has_acted_or_not(word: str, state: float) -> None:
    rows: list[list[Any]] = [["True level mm", "Indicated mm", "Switch"], [400, 401, word]]
    assert read_observations(rows, read_gauge(TWO)).switch[0] == state


def test_another_word_is_refused_by_its_cell(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = book(tmp_path / "a.xlsx", *TWO, ["Stand wahr mm", "Anzeige", "Schalter"], [400, 401, "grün"])
    assert main(["diagnose", str(path)]) == 2
    assert "Visit row 7, switch: 'grün' is none of acted, not acted" in capsys.readouterr().err
