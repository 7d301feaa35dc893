"""How much of a window a page takes: measured from what is laid out, with nothing painted."""

from __future__ import annotations

from PySide6.QtWidgets import QWidget

from companion.ui.kit import theme as theme_module
from companion.ui.kit.buttons import Pressable
from companion.ui.kit.columns import Columns
from companion.ui.kit.controls import AskedBeside, HoldTimer, PainScale
from companion.ui.kit.page import Page
from companion.ui.kit.theme import Theme, current
from companion.ui.kit.tiles import Tiles

ANSWERED = Tiles, PainScale, AskedBeside, HoldTimer, Pressable
"""What is answered or pressed, but a field to type in: the keys that type bring it into sight."""


def screens(page: Page, width: int, height: int, percent: int = 100) -> float:
    """How many screens high a page that is not shown would be: 1 where all is seen at once."""
    before = current()
    # A style sheet would cost more than all that is measured; fields alone take anything from it.
    theme_module._Applied.theme = Theme(before.palette, percent)
    try:
        return _screens(page, width, height)
    finally:
        theme_module._Applied.theme = before


def out_of_sight(page: Page, width: int, height: int) -> list[str]:
    """What of a page that is not shown is answered and would have to be scrolled to, at text of
    100 %, and the main button where it does not stand below the words."""
    before = current()
    theme_module._Applied.theme = Theme(before.palette, 100)
    try:
        seen, covered = _look(page, width, height)
        column = page._column.content
        column.place(width, move=True)
        found = [
            type(item.widget).__name__
            for item in column._shown()
            if isinstance(item.widget, ANSWERED)
            and item.widget.geometry().bottom() >= seen - _covers(column, item.widget, covered)
        ]
        main = page.main
        return found + (["main"] if main is not None and covered == 0 else [])
    finally:
        theme_module._Applied.theme = before


def _covers(column: Columns, widget: QWidget, covered: int) -> int:
    return covered if widget.x() >= column.frame(column._area).words_left else 0


def _screens(page: Page, width: int, height: int) -> float:
    seen, _ = _look(page, width, height)
    return max(page._column.content.bare_height(width) / seen, 1.0)


def _look(page: Page, width: int, height: int) -> tuple[int, int]:
    """Let the columns of a page know a window: how much is seen of them, and what of the right one
    of two the main button covers."""
    column = page._column.content
    heads = [part for part in (page._strip, page.bar) if not part.isHidden()]
    room = height - sum(part.heightForWidth(width) for part in heads)
    column.see(area=width, room=room, covered=0)
    frame = column.frame(width)
    foot = 0
    main = page.main
    if main is not None and not page._main_last:
        assert page._stand is not None
        foot = page._foot.high_of(page._stand, frame.words_span)
        more = page._more.heightForWidth(frame.words_span)
        if room - foot - more < height * (0.5 if page._stand is main else 0.35):
            foot = 0  # it stands at the end of the words
            column.keep_last(page._stand)
    seen = room if frame.is_two else room - foot
    column.see(area=width, room=seen, covered=foot if frame.is_two else 0)
    side = page._side
    if side is not None and foot and frame.is_two:
        over = not column.would_fit(side, foot)
        if over == column.isAncestorOf(side):
            page._put_side(side, over_main=over)
        foot += side.heightForWidth(frame.words_span) if over else 0
        column.see(area=width, room=seen, covered=foot)
    return seen, foot
