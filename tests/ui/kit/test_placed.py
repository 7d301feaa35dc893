"""Parts placed by one function: asked for its height, and followed when the parts change."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from companion.ui.kit.placed import Placed, stack
from companion.ui.kit.text import Words, show_when
from companion.ui.kit.theme import Theme, apply
from companion.ui.kit.tiles import Tiles
from tests.ui.kit.gallery import settle

LONG = "Rise from the chair once, as you were shown, and say how much it hurt."


class Below(Placed):
    """Parts one below the other."""

    def place(self, width: int, *, move: bool) -> int:
        return stack(self.parts(), 0, width, 10, move=move)


@pytest.fixture
def words() -> list[Words]:
    return [Words("One"), Words(LONG), Words("Three")]


@pytest.fixture
def shown(qtbot: QtBot, qapp: QApplication, words: list[Words]) -> Iterator[Below]:
    """The words below each other, over something that takes the rest of the height."""
    apply(qapp, Theme())
    whole, part = QWidget(), Below(*words)
    column = QVBoxLayout(whole)
    column.setContentsMargins(0, 0, 0, 0)
    column.addWidget(part)
    column.addStretch(1)
    qtbot.addWidget(whole)
    whole.resize(300, 600)
    whole.show()
    settle()
    yield part
    apply(qapp, Theme())


def tops(words: list[Words]) -> list[int]:
    return [each.y() for each in words if not each.isHidden()]


def test_it_is_as_high_as_its_parts_at_its_width(shown: Below, words: list[Words]) -> None:
    high = [each.heightForWidth(300) for each in words]
    assert high[1] > 2 * high[0]
    assert shown.height() == sum(high) + 20
    assert tops(words) == [0, high[0] + 10, high[0] + high[1] + 20]
    assert all(each.width() == 300 for each in words)


def test_other_words_a_hidden_part_and_larger_text_are_followed(
    shown: Below, words: list[Words], qapp: QApplication
) -> None:
    before = shown.height()
    words[0].set_text(LONG)
    settle()
    assert shown.height() == before + words[0].heightForWidth(300) - words[2].heightForWidth(300)
    words[0].hide()
    settle()
    assert tops(words) == [0, words[1].heightForWidth(300) + 10]
    small = shown.height()
    apply(qapp, Theme(text_percent=200))
    settle()
    assert shown.height() == sum(each.heightForWidth(300) for each in words[1:]) + 10
    assert shown.height() > 1.8 * small


def test_a_part_taken_out_leaves_no_room(shown: Below, words: list[Words]) -> None:
    shown.take_out(words[0])
    words[0].hide()
    settle()
    assert shown.parts() == words[1:]
    assert tops(words) == [0, words[1].heightForWidth(300) + 10]


def test_tiles_run_from_right_to_left_where_the_words_do(qtbot: QtBot) -> None:
    tiles = Tiles((2,), gap=8)
    one, other = tiles.add(Words("One")), tiles.add(Words("Two"))
    qtbot.addWidget(tiles)
    tiles.resize(408, 60)
    tiles.show()
    settle()
    assert (one.x(), other.x()) == (0, 208)
    tiles.setLayoutDirection(Qt.LayoutDirection.RightToLeft)
    settle()
    assert (one.x(), other.x()) == (208, 0)


def test_a_part_put_in_later_is_shown_unless_it_was_put_away(shown: Below) -> None:
    seen, away = Words("Four"), Words("Five")
    show_when(away, False)
    shown.add_part(seen)
    shown.add_part(away)
    settle()
    assert seen.isVisible()
    assert seen.y() > 0
    assert not away.isVisible()
    assert away not in shown.parts()
