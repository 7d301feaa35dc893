"""Parts placed by one function: asked for its height, and followed when the parts change."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from companion.ui.kit.placed import Placed, stack
from companion.ui.kit.side_by_side import SideBySide
from companion.ui.kit.text import WrappedText, one_line_width, set_text, show_when
from companion.ui.kit.theme import Theme, Type, apply
from companion.ui.kit.tiles import Tiles
from tests.ui.kit.gallery import settle

LONG = "Rise from the chair once, as you were shown, and say how much it hurt."


class Below(Placed):
    """Parts one below the other."""

    def place(self, width: int, *, move: bool) -> int:
        return stack(self.parts(), 0, width, 10, move=move)


@pytest.fixture
def words() -> list[WrappedText]:
    return [WrappedText("One"), WrappedText(LONG), WrappedText("Three")]


@pytest.fixture
def shown(qtbot: QtBot, qapp: QApplication, words: list[WrappedText]) -> Iterator[Below]:
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


def tops(words: list[WrappedText]) -> list[int]:
    return [each.y() for each in words if not each.isHidden()]


def test_it_is_as_high_as_its_parts_at_its_width(shown: Below, words: list[WrappedText]) -> None:
    high = [each.heightForWidth(300) for each in words]
    assert high[1] > 2 * high[0]
    assert shown.height() == sum(high) + 20
    assert tops(words) == [0, high[0] + 10, high[0] + high[1] + 20]
    assert all(each.width() == 300 for each in words)


def test_other_words_a_hidden_part_and_larger_text_are_followed(
    shown: Below, words: list[WrappedText], qapp: QApplication
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


def test_a_part_taken_out_leaves_no_room(shown: Below, words: list[WrappedText]) -> None:
    shown.take_out(words[0])
    words[0].hide()
    settle()
    assert shown.parts() == words[1:]
    assert tops(words) == [0, words[1].heightForWidth(300) + 10]


def test_tiles_run_from_right_to_left_where_the_words_do(qtbot: QtBot) -> None:
    tiles = Tiles((2,), gap=8)
    one, other = tiles.add(WrappedText("One")), tiles.add(WrappedText("Two"))
    qtbot.addWidget(tiles)
    tiles.resize(408, 60)
    tiles.show()
    settle()
    assert (one.x(), other.x()) == (0, 208)
    tiles.setLayoutDirection(Qt.LayoutDirection.RightToLeft)
    settle()
    assert (one.x(), other.x()) == (208, 0)


def test_a_part_put_in_later_is_shown_unless_it_was_put_away(shown: Below) -> None:
    seen, away = WrappedText("Four"), WrappedText("Five")
    show_when(away, False)
    shown.add_part(seen)
    shown.add_part(away)
    settle()
    assert seen.isVisible()
    assert seen.y() > 0
    assert not away.isVisible()
    assert away not in shown.parts()


def test_tellings_stand_row_beside_row_where_there_is_room_else_one_after_the_other(
    qtbot: QtBot, qapp: QApplication
) -> None:
    """They stood one below the other at every width, so that nobody saw what differed."""
    rows = (("Average pain", ("4", "7")), ("Note", ("none", "She could not sleep at all.")))
    apply(qapp, Theme())
    shown = SideBySide(("1. You", "2. A helper"), rows)
    qtbot.addWidget(shown)
    first, second = (shown.parts()[:5], shown.parts()[5:])
    for width, beside in ((640, True), (300, False)):
        shown.resize(width, shown.heightForWidth(width))
        shown.place(width, move=True)
        assert shown.stand_beside(width) is beside
        assert [one.y() == other.y() for one, other in zip(first, second, strict=True)] == [
            beside
        ] * 5
        assert (second[0].y() > first[-1].y()) is not beside
        assert all(part.geometry().right() <= width for part in (*first, *second))
        assert max(p.geometry().bottom() for p in (*first, *second)) <= shown.heightForWidth(width)


@pytest.mark.parametrize("words", ["Stop above 5.", "That was quick for all of it."])
def test_a_short_last_word_has_no_line_to_itself(qapp: QApplication, words: str) -> None:
    theme = Theme()
    apply(qapp, theme)
    before, *last = words.rsplit(" ", 2)
    alone = one_line_width(words.rpartition(" ")[0], Type.BODY, theme)
    laid = set_text(words, Type.BODY, theme, alone + 1)
    assert laid.lines == 2
    widest = max(one_line_width(line, Type.BODY, theme) for line in (before, " ".join(last)))
    assert laid.natural_width <= widest < alone


def test_a_short_last_word_stays_alone_where_two_have_no_room(qapp: QApplication) -> None:
    theme = Theme()
    apply(qapp, theme)
    narrow = one_line_width("kneecap", Type.BODY, theme) + 1
    laid = set_text("kneecap 5.", Type.BODY, theme, narrow)
    assert laid.lines == 2
    assert laid.natural_width <= narrow


def test_what_was_measured_is_kept_until_something_changes(
    shown: Below, words: list[WrappedText], qapp: QApplication, monkeypatch: pytest.MonkeyPatch
) -> None:
    measured: list[int] = []

    def counted(self: Below, width: int, *, move: bool) -> int:
        measured.append(width)
        return stack(self.parts(), 0, width, 10, move=move)

    monkeypatch.setattr(Below, "place", counted)
    high = [shown.heightForWidth(300) for _ in range(5)]
    assert len(measured) <= 1, "the same question is answered from what is known"
    words[0].set_text(LONG)
    higher = shown.heightForWidth(300)
    assert higher > high[0], "before any event was handled"
    show_when(words[0], False)
    assert shown.heightForWidth(300) < high[0]
    words[0].setVisible(True)  # as the toolkit does it, which tells by an event
    settle()
    assert shown.heightForWidth(300) == higher
    apply(qapp, Theme(text_percent=200))
    assert shown.heightForWidth(300) > higher
