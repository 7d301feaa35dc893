"""The lines of a list that is looked over: names under names, answers under answers."""

from __future__ import annotations

import pytest
from PySide6.QtWidgets import QApplication

from companion.ui.kit.buttons import LookOverRow
from companion.ui.kit.theme import Theme, apply

LINES = (
    ("Right knee: average pain", "3"),
    ("Right knee: worst pain", "5"),
    ("Extra pain medicine", "no"),
)


@pytest.mark.parametrize("percent", [100, 200])
@pytest.mark.parametrize("width", [300, 440, 620])
def test_answers_stand_beside_their_names_in_every_line_or_in_none(
    qapp: QApplication, width: int, percent: int
) -> None:
    """The long name of one had its answer below, the short name of the next beside."""
    apply(qapp, Theme(text_percent=percent))
    rows = [LookOverRow(*line) for line in LINES]
    for row in rows:
        row.stand_in(LINES)
    assert len({row._name_width(row.words_width(width)) for row in rows}) == 1
    apply(qapp, Theme())
    for row in rows:
        row.deleteLater()
