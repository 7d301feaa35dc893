"""The rest of the diary is read after the first paint, while nobody waits for it."""

from pytestqt.qtbot import QtBot

from companion.app.home_window import PIECE, read_ahead
from companion.ui.kit.window import PageWindow
from tests.journal.made import in_memory, page

WINDOW_IS_SHOWN = False


def test_every_entry_is_read_in_pieces(qtbot: QtBot) -> None:
    journal = in_memory(*(page(number) for number in range(3 * PIECE)))
    window = PageWindow("Home")
    qtbot.addWidget(window)
    done: list[bool] = []
    read_ahead(window, journal, lambda: done.append(True))
    assert not journal.index._entries
    qtbot.waitUntil(lambda: len(journal.index._entries) == 3 * PIECE)
    qtbot.waitUntil(lambda: done == [True])
    journal.close()
