"""What is kept is the same in every language: entries hold codes and what was typed."""

from __future__ import annotations

from dataclasses import replace
from itertools import count
from pathlib import Path

import pytest

from companion.care.records import Diary
from companion.exchange.files import diary_bytes
from companion.exchange.table import write_table
from companion.presentation.language.phrases import phrase, speak
from tests.builders import DAY
from tests.languages.invented import as_before
from tests.languages.recorded import forms_by, marked
from tests.whole_walks import Person, plan_for_all


def _evening(folder: Path, monkeypatch: pytest.MonkeyPatch) -> Diary:
    numbers = count(1)
    monkeypatch.setattr(
        "companion.services.walks.new_id", lambda: f"{next(numbers):016x}{'e' * 16}"
    )
    somebody = Person(folder, Diary(plans=(plan_for_all("P-1", DAY, 1),)), DAY)
    somebody.go("routine")
    somebody.go("day")
    written = somebody.end()
    # Each store draws the name of its computer by lot.
    return replace(written, entries=tuple(replace(one, machine=None) for one in written.entries))


def test_an_evening_writes_the_same_bytes_in_another_language(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    english = _evening(tmp_path / "english", monkeypatch)
    with as_before():
        speak("xx", marked, forms_by(lambda word: f"<{word}>"))
        assert phrase("Language") == "<Language>"
        other = _evening(tmp_path / "other", monkeypatch)
        written = diary_bytes(other), write_table(other)
    assert len(english.entries) > 1
    assert written == (diary_bytes(english), write_table(english))
