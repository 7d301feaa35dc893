"""One page of the leaflet: a heading, one decision, the main button, and Back, Help and Stop.

The words scroll in a column; the main button and the bar stand below it and never over it. When
there is more than fits, a wide scroll bar and a line in words say so.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TypeVar

from PySide6.QtCore import QEvent, QPoint, QPointF, QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QAccessible,
    QColor,
    QHideEvent,
    QKeyEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QPolygonF,
    QResizeEvent,
    QShowEvent,
)
from PySide6.QtWidgets import (
    QApplication,
    QFrame,
    QHBoxLayout,
    QPushButton,
    QScrollArea,
    QScrollBar,
    QVBoxLayout,
    QWidget,
)

from companion.presentation.language.phrases import phrase
from companion.ui.kit.accessible import give_role
from companion.ui.kit.buttons import STOP_KEY, MainButton, Pressable, QuietButton, StopButton, brush
from companion.ui.kit.keys import TakesKeys, is_enter, is_plain
from companion.ui.kit.placed import Placed
from companion.ui.kit.presses import presses
from companion.ui.kit.text import Words, one_line_width, show_when
from companion.ui.kit.theme import COLUMN_WIDTH, GRID, REACH, Type, current

WidgetT = TypeVar("WidgetT", bound=QWidget)

SIDE = 3 * GRID
_MARGIN = 2 * GRID
"""Over and under what stands in the reading column."""
_SCROLL_KEYS = (
    Qt.Key.Key_Up,
    Qt.Key.Key_Down,
    Qt.Key.Key_PageUp,
    Qt.Key.Key_PageDown,
    Qt.Key.Key_Home,
    Qt.Key.Key_End,
)


class Page(QWidget):
    """A page. Build it by adding to the reading column, then naming the main button.

    `above` is a line over everything that stays in sight, such as which knee; `plan_mark` the
    mark of a practice plan, which also stays. `enter_presses_main=False` is for the stop list:
    there Enter ends the page only where its main button has the focus. `beside`
    stands at the left of all of it, as high as the page, and does not scroll.
    """

    most_width = COLUMN_WIDTH
    """The most the column takes, in pixels at 100 % text; see `Theme.column`."""
    asks_nothing = False
    """True for a page that is only read: a reminder may lie over it at any time."""

    back_wanted = Signal()
    stop_wanted = Signal()
    help_wanted = Signal()
    leave_wanted = Signal()
    read_aloud_wanted = Signal()

    def __init__(
        self,
        heading: str,
        *,
        above: str = "",
        plan_mark: str = "",
        back: bool = True,
        stop: bool = True,
        help_offered: bool = True,
        read_aloud: bool = False,
        enter_presses_main: bool = True,
        beside: QWidget | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        width = self.column_width
        self.main: MainButton | None = None
        self.first_focus: QWidget | None = None
        self._enter_presses_main = enter_presses_main
        self._main_last = False
        self._kept: list[object] = []
        self._follows_focus = False  # a page may be hidden again before it was ever shown

        self._beside = beside
        self._strip = _Strip(above, plan_mark, width)
        self.heading = Words(heading, Type.HEADING)
        self.heading.setFocusPolicy(Qt.FocusPolicy.ClickFocus)
        give_role(self.heading, QAccessible.Role.Heading)
        self._column = _Column(heading, width())
        self._column.add(self.heading, 0)
        self._more = _More()
        self._more.clicked.connect(self._column.one_screen_down)
        self._foot = _Foot()
        self._bar = _Bar(
            back=back, stop=stop, help_offered=help_offered, read_aloud=read_aloud, width=width
        )
        for button, signal in (
            (self._bar.back, self.back_wanted),
            (self._bar.stop, self.stop_wanted),
            (self._bar.help, self.help_wanted),
            (self._bar.read_aloud, self.read_aloud_wanted),
        ):
            if button is not None:
                button.clicked.connect(signal)

        # One frame for the column and what stands over and under it: they share its middle.
        whole = QVBoxLayout()
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(0)
        if beside is None:
            self.setLayout(whole)
        else:
            line = QHBoxLayout(self)
            line.setContentsMargins(0, 0, 0, 0)
            line.setSpacing(0)
            line.addWidget(beside)
            line.addLayout(whole, 1)
        whole.addWidget(self._strip)
        whole.addWidget(self._column, 1)
        self._more_line = _centred(self._more, width())
        whole.addLayout(self._more_line)
        whole.addWidget(self._foot)
        whole.addWidget(self._bar)
        self._column.verticalScrollBar().rangeChanged.connect(self._scrolled)
        self._column.verticalScrollBar().valueChanged.connect(self._scrolled)

    # Building

    def column_width(self) -> int:
        """The most the column takes at the present text size, in pixels."""
        return current().column(self.most_width)

    def add(self, widget: WidgetT, before: int = 2 * GRID) -> WidgetT:
        """Put a widget at the end of the reading column, `before` pixels below the last."""
        self._column.add(widget, before)
        if self.isVisible():
            self._order_tabs()
        return widget

    def begin_at_heading(self) -> None:
        """Show the page from its heading on, unless what has the focus would be out of sight."""
        bar = self.scroll_bar()
        was = bar.value()
        bar.setValue(0)
        focused = QApplication.focusWidget()
        if (
            focused is not None
            and self._column.content.isAncestorOf(focused)
            and not self._column.is_in_sight(focused)
        ):
            bar.setValue(was)

    def add_space(self, pixels: int = 2 * GRID) -> None:
        """More room before the next widget."""
        self._column.add_space(pixels)

    def main_button(self, word: str, *, last: bool = False) -> MainButton:
        """The page's one main button, below the column; `last` puts it at the end of the column,
        whatever room there is. May be called once."""
        if self.main is not None:
            raise ValueError("a page has one main button")
        self.main = MainButton(word)
        self._main_last = last
        self.main.setMaximumWidth(self.column_width())
        self._settle_main()
        if self.isVisible():
            self._order_tabs()
        return self.main

    def offer_reading_aloud(self) -> None:
        """Put Read aloud into the bar, where it is not there yet."""
        button = self._bar.offer_reading_aloud()
        if button is not None:
            button.clicked.connect(self.read_aloud_wanted)
            if self.isVisible():
                self._order_tabs()

    def offer_leaving(self) -> None:
        """Put Leave for now into the bar, beside Back."""
        self._bar.offer_leaving().clicked.connect(self.leave_wanted)
        if self.isVisible():
            self._order_tabs()

    def read_from_afar(self) -> None:
        """Set the heading, and the line over it that counts the steps, for two metres away."""
        self.heading.set_kind(Type.FAR_HEADING)
        self._strip.set_kind(Type.SUBHEADING)

    def keep(self, thing: object) -> None:
        """Hold an object, such as the one that drives the page, for as long as the page lives."""
        self._kept.append(thing)

    # Reading

    def heading_text(self) -> str:
        """The words of the heading."""
        return self.heading.text()

    def reading_text(self) -> str:
        """Everything in sight in reading order, one item a line: what Read aloud speaks."""
        found: list[tuple[int, int, str]] = []
        for thing in self._readable(self):
            place = thing.mapTo(self, thing.rect().topLeft())
            words = thing.text()
            if isinstance(thing, Pressable):
                words = f"{thing.word}. {thing.line}" if thing.line else thing.word
            found.append((place.y(), place.x(), words))
        return "\n".join(words for _, _, words in sorted(found) if words)

    def _readable(self, parent: QWidget) -> Iterator[Words | Pressable]:
        for child in parent.children():
            if not isinstance(child, QWidget) or child.isHidden():
                continue
            if child in (self._bar, self._more):
                continue
            if isinstance(child, Words | Pressable):
                yield child
            else:
                yield from self._readable(child)

    @property
    def bar(self) -> _Bar:
        """The bar with Back, Help, Read aloud and Stop."""
        return self._bar

    @property
    def column(self) -> QWidget:
        """The widget the reading column scrolls over."""
        return self._column.content

    def scroll_bar(self) -> QScrollBar:
        """The scroll bar of the reading column."""
        return self._column.verticalScrollBar()

    # Focus and keys

    def take_focus(self) -> None:
        """Put the focus where the page begins: its heading, unless the page named something."""
        target = self.first_focus if self.first_focus is not None else self.heading
        target.setFocus(Qt.FocusReason.OtherFocusReason)
        if self._column.content.isAncestorOf(target):
            self._column.bring_into_sight(target)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key = event.key()
        if is_enter(event):
            main = self.main
            if (
                self._enter_presses_main
                and main is not None
                and main.isVisible()
                and main.isEnabled()
                and not event.isAutoRepeat()
                and presses().counts(key)
            ):
                main.click()
        elif key in (Qt.Key.Key_Escape, Qt.Key.Key_Back) and self._bar.back is not None:
            if not event.isAutoRepeat() and presses().counts(key):
                self.back_wanted.emit()
        elif key in (Qt.Key.Key_F1, Qt.Key.Key_Help) and self._bar.help is not None:
            self.help_wanted.emit()
        elif key == STOP_KEY and self._bar.stop is not None:
            if is_plain(event) and not event.isAutoRepeat():
                self.stop_wanted.emit()
        elif key in _SCROLL_KEYS:
            self._column.scroll_by_key(Qt.Key(key))
            self._let_go_out_of_sight()
        elif not self._answer(event):
            super().keyPressEvent(event)

    def _answer(self, event: QKeyEvent) -> bool:
        taker = self._takes_figures()
        return taker is not None and taker.take_key(event)

    def _takers(self) -> list[TakesKeys]:
        # Where the end must have been seen, no figure answers what is still below.
        return [
            child
            for child in self._column.content.findChildren(QWidget)
            if isinstance(child, TakesKeys)
            and child.isVisible()
            and child.isEnabled()
            and (not self._main_last or self._column.is_in_sight(child))
        ]

    def _takes_figures(self) -> TakesKeys | None:
        """The one question that figures answer: where the focus is, else the first that is open.

        It changes with the focus alone, so no figure ever moves on to the next question by itself.
        """
        takers = self._takers()
        focused = QApplication.focusWidget()
        for taker in takers:
            if isinstance(taker, QWidget) and focused and taker.isAncestorOf(focused):
                return taker
        return next((taker for taker in takers if not taker.is_answered()), None) or (
            takers[0] if len(takers) == 1 else None
        )

    def _show_figures(self) -> None:
        here = self._takes_figures()
        for taker in self._takers():
            taker.take_figures(here=taker is here)

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        presses().page_is_seen()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        presses().page_comes()
        self._order_tabs()
        self._scrolled()
        self._show_figures()
        application = QApplication.instance()
        if isinstance(application, QApplication):
            application.focusChanged.connect(self._focus_moved, Qt.ConnectionType.UniqueConnection)
            self._follows_focus = True

    def hideEvent(self, event: QHideEvent) -> None:
        application = QApplication.instance()
        if self._follows_focus and isinstance(application, QApplication):
            application.focusChanged.disconnect(self._focus_moved)
            self._follows_focus = False
        super().hideEvent(event)

    def focusNextPrevChild(self, next: bool) -> bool:  # noqa: A002 - the toolkit's own name
        # Whoever has read on past the heading goes on from what is in sight, not from the top.
        heading_gone = self.heading.hasFocus() and not self._column.is_in_sight(self.heading)
        stop = self._first_stop_in_sight() if next and heading_gone else None
        if stop is None:
            return super().focusNextPrevChild(next)
        stop.setFocus(Qt.FocusReason.TabFocusReason)
        return True

    def _first_stop_in_sight(self) -> QWidget | None:
        """The first stop of the Tab key that the column shows whole, or the first one below it."""
        step = self.heading.nextInFocusChain()
        while step is not None and step is not self.heading:
            if (
                step.focusPolicy() & Qt.FocusPolicy.TabFocus
                and step.isVisibleTo(self)
                and step.isEnabled()
                and self._column.content.isAncestorOf(step)
                and self._column.top_of(step) >= 0
            ):
                return step
            step = step.nextInFocusChain()
        return self.main

    def _let_go_out_of_sight(self) -> None:
        """No key may press or tick what was scrolled away: the heading takes the focus."""
        focused = QApplication.focusWidget()
        if (
            focused is not None
            and self._column.content.isAncestorOf(focused)
            and not self._column.is_in_sight(focused)
        ):
            self.heading.setFocus(Qt.FocusReason.OtherFocusReason)

    def _focus_moved(self, _old: QWidget | None, new: QWidget | None) -> None:
        self._show_figures()
        # The heading waits for the next Tab wherever the page is read: it pulls nobody back.
        if new is not self.heading and new is not None and self._column.content.isAncestorOf(new):
            self._column.bring_into_sight(new)

    def _order_tabs(self) -> None:
        """Column first, then the main button, then the bar: the order they are read in."""
        window = self.window()
        inside = [
            widget
            for widget in self._column.content.findChildren(QWidget)
            if widget is not self.main
            and widget.window() is window
            # The toolkit puts nothing behind what takes no focus, and does not say so.
            and widget.focusPolicy() != Qt.FocusPolicy.NoFocus
        ]
        last = inside[-1]  # the heading at least
        beside = [] if self._beside is None else self._beside.findChildren(QWidget)
        for button in (self.main, *beside, *self._bar.buttons()):
            if button is not None:
                QWidget.setTabOrder(last, button)
                last = button

    def _settle_main(self) -> None:
        """Below the column where that leaves the words half of the page, else at their end.

        With large text on a small screen a fixed button would leave a slit to read through.
        """
        main = self.main
        if main is None:
            return
        width = self._column.width()
        column = self.column_width()
        taken = self._bar.heightForWidth(width) + main.heightForWidth(column)
        if not self._strip.isHidden():
            taken += self._strip.heightForWidth(width)
        taken += self._more.heightForWidth(column)
        below = not self._main_last and self.height() - taken >= self.height() * 0.5
        if below == self._foot.isAncestorOf(main) and main.parentWidget() is not None:
            return
        focused = main.hasFocus()
        if below:
            self._column.let_go()
            self._foot.take(main)
        else:
            self._column.add_last(main)
        show_when(self._foot, below)
        show_when(main, True)
        if focused:
            main.setFocus(Qt.FocusReason.OtherFocusReason)
        if self.isVisible():
            self._order_tabs()

    def _settle_frame(self) -> None:
        """What stands below the column begins and ends where its words do."""
        left, right = self._column.sides()
        for line in (self._more_line, self._foot.line):
            margins = line.contentsMargins()
            if (margins.left(), margins.right()) != (left, right):
                line.setContentsMargins(left, 0, right, margins.bottom())

    def _settle_more(self) -> None:
        """In the bar where nothing stands between and it fits: every line of reading counts."""
        in_bar = self._foot.isHidden() and self._bar.has_room_for(self._more)
        if in_bar == self._bar.isAncestorOf(self._more):
            return
        if in_bar:
            self._bar.take_in(self._more)
        else:
            self._bar.let_out()
            self._more_line.insertWidget(1, self._more, 1000)

    def _scrolled(self) -> None:
        bar = self._column.verticalScrollBar()
        self._settle_frame()
        self._settle_more()
        # Measured as if the line of words were not there, else it could come and go for ever.
        room = self._column.view.height()
        if not self._more.isHidden() and not self._bar.isAncestorOf(self._more):
            room += self._more.height()
        # The empty margin at the end is nothing to read on for.
        show_when(self._more, self._column.content_height() - _MARGIN > room)
        self._more.show_place(at_end=bar.value() >= bar.maximum() - _MARGIN)

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.StyleChange:
            width = self.column_width()
            self._column.limit(width)
            self._more.setMaximumWidth(width)
            if self.main is not None:
                self.main.setMaximumWidth(width)

    def event(self, event: QEvent) -> bool:
        done = super().event(event)
        if event.type() in (QEvent.Type.LayoutRequest, QEvent.Type.Resize):
            self._settle_main()
            self._scrolled()
        return done


def _centred(widget: QWidget, width: int) -> QHBoxLayout:
    """A line that holds a widget to the reading column's width and place."""
    widget.setMaximumWidth(width)
    line = _centred_in(QHBoxLayout(), 0)
    line.insertWidget(1, widget, 1000)
    return line


def _centred_in(line: QHBoxLayout, below: int) -> QHBoxLayout:
    line.setContentsMargins(SIDE, 0, SIDE, below)
    line.setSpacing(0)
    line.addStretch(1)
    line.addStretch(1)
    return line


class _Column(QScrollArea):
    """The reading column: scrolls up and down only."""

    def __init__(self, name: str, width: int) -> None:
        super().__init__()
        self._most_width = 0
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        # Keys reach the column from wherever the focus is on the page.
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        give_role(self, QAccessible.Role.Pane, name)
        # Its own view, for the one the toolkit makes would be new to Python each time, and finding
        # out what it is costs the start thirty milliseconds.
        self.view = QWidget()
        self.setViewport(self.view)
        self.content = QWidget()
        self._holds_main = False
        self._column = QWidget()
        self._items = QVBoxLayout(self._column)
        self._items.setContentsMargins(0, _MARGIN, 0, _MARGIN)
        self._items.setSpacing(0)
        self._items.addStretch(1)
        self._line = QHBoxLayout(self.content)
        self._line.setContentsMargins(SIDE, 0, SIDE, 0)
        self._line.setSpacing(0)
        self._line.addStretch(1)
        self._line.addWidget(self._column, 1000)
        self._line.addStretch(1)
        self.limit(width)
        self.setWidget(self.content)
        bar = self.verticalScrollBar()
        bar.setSingleStep(5 * GRID)
        bar.setAccessibleName(phrase("Scroll"))
        bar.rangeChanged.connect(self._balance)

    def limit(self, width: int) -> None:
        """Let the column take `width` pixels at most."""
        self._most_width = width
        self._column.setMaximumWidth(width)

    def add(self, widget: QWidget, before: int) -> None:
        """Put a widget at the end, above the stretch that keeps short pages at the top."""
        self.add_space(before)
        self._items.insertWidget(self._end(), widget)

    def _end(self) -> int:
        """The place of the stretch that keeps short pages at the top."""
        return self._items.count() - (2 if self._holds_main else 1)

    def add_last(self, main: MainButton) -> None:
        """Put the main button after everything, whatever is added later."""
        self._holds_main = True
        self._items.insertWidget(self._items.count(), main)

    def let_go(self) -> None:
        """The main button stands elsewhere from now on."""
        self._holds_main = False

    def add_space(self, pixels: int) -> None:
        """Room at the end."""
        if pixels:
            self._items.insertSpacing(self._end(), pixels)

    def sides(self) -> tuple[int, int]:
        """What is left free at the left and the right of where the words may stand, in pixels."""
        margins, bar = self._line.contentsMargins(), self.verticalScrollBar()
        beyond = bar.sizeHint().width() if bar.maximum() > 0 else 0
        return margins.left(), margins.right() + beyond

    def content_height(self) -> int:
        """How high everything is at the present width."""
        return max(
            self.content.heightForWidth(self.content.width())
            if self.content.hasHeightForWidth()
            else self.content.sizeHint().height(),
            self.content.minimumSizeHint().height(),
        )

    def one_screen_down(self) -> None:
        """As the Page Down key, with a line or two of overlap."""
        bar = self.verticalScrollBar()
        bar.setValue(bar.value() + max(self.view.height() - 8 * GRID, 8 * GRID))

    def scroll_by_key(self, key: Qt.Key) -> None:
        """Move as the key says."""
        bar = self.verticalScrollBar()
        screen = max(self.view.height() - 8 * GRID, 8 * GRID)
        by = {
            Qt.Key.Key_Up: -bar.singleStep(),
            Qt.Key.Key_Down: bar.singleStep(),
            Qt.Key.Key_PageUp: -screen,
            Qt.Key.Key_PageDown: screen,
            Qt.Key.Key_Home: -bar.maximum(),
            Qt.Key.Key_End: bar.maximum(),
        }
        bar.setValue(bar.value() + by[key])

    def top_of(self, widget: QWidget) -> int:
        """Where a widget begins, from the top of what is seen."""
        return widget.mapTo(self.content, QPoint(0, 0)).y() - self.verticalScrollBar().value()

    def is_in_sight(self, widget: QWidget) -> bool:
        """Whether it is seen whole, or as much of it as there is room for."""
        top, room = self.top_of(widget), self.view.height()
        seen = min(top + widget.height(), room) - max(top, 0)
        return seen >= min(widget.height(), room)

    def bring_into_sight(self, widget: QWidget) -> None:
        """Scroll as little as shows the widget with some room round it.

        The toolkit would show no more of an editor than its cursor.
        """
        bar, room = self.verticalScrollBar(), 3 * GRID
        top = self.top_of(widget) + bar.value() - room
        bottom = top + widget.height() + 2 * room
        bar.setValue(min(max(bar.value(), bottom - self.view.height()), top))

    def focusNextPrevChild(self, next: bool) -> bool:  # noqa: A002 - the toolkit's own name
        # The page scrolls to what has the focus; the toolkit would scroll here once more.
        page = self.parentWidget()
        return page is not None and page.focusNextPrevChild(next)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        # The page decides on every key; the toolkit would keep the arrows for itself here.
        event.ignore()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._balance()

    def _balance(self) -> None:
        # The scroll bar takes room on the right; as much on the left keeps the column centred,
        # unless the words need that room.
        bar = self.verticalScrollBar()
        extra = bar.sizeHint().width() if bar.maximum() > 0 else 0
        if self.width() < self._most_width + 2 * (SIDE + extra):
            extra = 0
        if self._line.contentsMargins().left() != SIDE + extra:
            self._line.setContentsMargins(SIDE + extra, 0, SIDE, 0)

    def minimumSizeHint(self) -> QSize:
        return QSize(320, 12 * GRID)


class _Foot(QWidget):
    """Where the main button stands below the column."""

    def __init__(self) -> None:
        super().__init__()
        self.line = _centred_in(QHBoxLayout(self), GRID // 2)
        show_when(self, False)

    def take(self, main: MainButton) -> None:
        """Put the button here."""
        self.line.insertWidget(1, main, 1000)


class _Strip(Placed):
    """The line over the page that never scrolls away: one line while both texts fit on it."""

    def __init__(self, above: str, plan_mark: str, most_width: Callable[[], int]) -> None:
        self._above = Words(above, Type.LABEL, colour="quiet")
        self._mark = Words(plan_mark, Type.LABEL_STRONG)
        super().__init__(self._above, self._mark)
        self._most_width = most_width
        show_when(self._above, bool(above))
        show_when(self._mark, bool(plan_mark))
        show_when(self, bool(above or plan_mark))

    def set_kind(self, kind: Type) -> None:
        """Another size for the words that are no mark."""
        self._above.set_kind(kind)
        self.updateGeometry()

    def wanted_width(self) -> int:
        return self._most_width() + 2 * SIDE

    def least_width(self) -> int:
        return 320

    def least_height(self) -> int:
        return self._above.minimumSizeHint().height() + 2 * GRID

    def place(self, width: int, *, move: bool) -> int:
        both = self._above, self._mark
        wide = [words.one_line() if words.text() else 0 for words in both]
        need = sum(wide) + 3 * GRID
        span = min(width - 2 * SIDE, max(self._most_width(), need))
        left = (width - span) // 2
        top = GRID
        if need <= span:
            high = max(words.heightForWidth(span) for words in both)
            if move:
                self._above.setGeometry(left, top, wide[0], high)
                mark_left = left + span - wide[1] if wide[0] else left
                self._mark.setGeometry(mark_left, top, wide[1], high)
            top += high
        else:
            for words in both:
                high = words.heightForWidth(span)
                if move:
                    words.setGeometry(left, top, span, high)
                top += high
        return top + GRID

    def paintEvent(self, event: QPaintEvent) -> None:
        _rule(self, self.height() - 1)


_MORE_MARK = 14 + GRID
"""Room for the arrow before the words, at 100 %."""


def _more_words() -> tuple[str, str]:
    """What is said while the column goes on, and at its end."""
    return phrase("More below"), phrase("End of this page")


class _More(Pressable, QPushButton):
    """Says that the column goes on below, and scrolls there when pressed with the mouse.

    Not a stop of the Tab key: Page Down does the same from anywhere.
    """

    word_type = Type.LABEL_STRONG
    least_height = 0
    pad_across = 0
    pad_down = GRID // 2

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.prepare(_more_words()[0])
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        show_when(self, False)
        self._at_end = False

    def show_place(self, *, at_end: bool) -> None:
        """Say whether there is more, or that this was all."""
        if at_end != self._at_end:
            self._at_end = at_end
            self.set_words(_more_words()[at_end])
            self.setEnabled(not at_end)

    def widest(self) -> int:
        """How wide the longer of its two texts is, so that its place does not change with them."""
        theme = current()
        words = max(one_line_width(text, self.word_type, theme) for text in _more_words())
        return words + current().scaled(_MORE_MARK) + 2 * (REACH + self.pad_across)

    def left_mark(self) -> int:
        return 0 if self._at_end else current().scaled(_MORE_MARK)

    def heightForWidth(self, width: int) -> int:
        return super().heightForWidth(width) - 2 * REACH

    def paintEvent(self, event: QPaintEvent) -> None:
        palette = current().palette
        if not isinstance(self.parentWidget(), _Bar):
            _rule(self, 0)
        painter = brush(self)
        colour = palette.quiet if self._at_end else palette.action
        self.draw_words(painter, colour, colour)
        if not self._at_end:
            half = current().scaled(7)
            _arrow_down(
                painter, QRectF(REACH, self.height() / 2 - half / 2, 2 * half, half), colour
            )
        painter.end()


class _Bar(Placed):
    """Back on the left, Help beside it, Stop alone in the lower right corner."""

    def __init__(
        self,
        *,
        back: bool,
        stop: bool,
        help_offered: bool,
        read_aloud: bool,
        width: Callable[[], int],
    ) -> None:
        super().__init__()
        self._most_width = width
        self.back = self._button(phrase("Back")) if back else None
        self.leave: QuietButton | None = None
        self.help = self._button(phrase("Help")) if help_offered else None
        self.read_aloud = self._button(phrase("Read aloud")) if read_aloud else None
        self.stop = self.add_part(StopButton(phrase("Stop"), snug=True)) if stop else None
        self._more: _More | None = None
        show_when(self, bool(self.buttons()))

    def _button(self, word: str) -> QuietButton:
        return self.add_part(QuietButton(word, snug=True))

    def offer_reading_aloud(self) -> QuietButton | None:
        """Put Read aloud beside the others; the button, None where it was there."""
        if self.read_aloud is not None:
            return None
        self.read_aloud = self._button(phrase("Read aloud"))
        show_when(self, True)
        self._settle()
        return self.read_aloud

    def offer_leaving(self) -> QuietButton:
        """Put Leave for now beside Back; the button."""
        self.leave = self._button(phrase("Leave for now"))
        self._settle()
        return self.leave

    def has_room_for(self, more: _More) -> bool:
        """Whether the line that says more follows fits between the buttons, or beside them."""
        buttons, span = self.buttons(), self._span(self.width())[1]
        if not buttons or len(self._rows(span)) > 1:
            return False
        need = sum(b.one_line() for b in buttons) + more.widest() + (len(buttons) + 1) * GRID
        return need <= span

    def take_in(self, more: _More) -> None:
        """Let the line stand between the buttons."""
        hidden = more.isHidden()
        self._more = more
        self.add_part(more)
        show_when(more, not hidden)
        self._settle()

    def let_out(self) -> None:
        """The line stands elsewhere from now on."""
        more, self._more = self._more, None
        if more is not None:
            self.take_out(more)

    def buttons(self) -> list[Pressable]:
        """The buttons there are, in the order of the Tab key."""
        every = (self.back, self.leave, self.help, self.read_aloud, self.stop)
        return [button for button in every if button is not None]

    def _rows(self, width: int) -> list[tuple[list[Pressable], Pressable | None]]:
        """Rows of left-hand buttons and the right-hand one; Stop is always in the last."""
        left: list[Pressable] = [
            b for b in (self.back, self.leave, self.help, self.read_aloud) if b is not None
        ]
        need = sum(b.one_line() for b in self.buttons()) + len(left) * GRID
        if need <= width or len(left) < 2:
            return [(left, self.stop)]
        first = left[1:] if self.back is not None else left
        second = left[:1] if self.back is not None else []
        return [(first, None), (second, self.stop)]

    def _span(self, width: int) -> tuple[int, int]:
        """Left edge and width of the bar's buttons: the column, or more where they need it."""
        need = sum(b.one_line() for b in self.buttons()) + 4 * GRID
        room = width - 2 * SIDE
        span = min(room, max(self._most_width(), need))
        return (width - span) // 2, span

    def wanted_width(self) -> int:
        return self._most_width() + 2 * SIDE

    def least_width(self) -> int:
        return 320

    def least_height(self) -> int:
        return self.place(self.wanted_width(), move=False)

    def place(self, width: int, *, move: bool) -> int:
        start, span = self._span(width)
        high = max((b.heightForWidth(b.one_line()) for b in self.buttons()), default=0)
        top = GRID // 2 + 1
        for left_buttons, right_button in self._rows(span):
            if move:
                self._place_row(left_buttons, right_button, QRect(start, top, span, high))
            top += high
        return top + GRID // 2

    def _place_row(
        self, left_buttons: list[Pressable], right_button: Pressable | None, row: QRect
    ) -> None:
        left, right = row.left(), row.left() + row.width()
        for button in left_buttons:
            wide = min(button.one_line(), row.width())
            button.setGeometry(left, row.top(), wide, row.height())
            left += wide + GRID
        if right_button is not None:
            wide = min(right_button.one_line(), row.width())
            right -= wide + GRID
            right_button.setGeometry(right + GRID, row.top(), wide, row.height())
        if self._more is not None:
            wide = min(self._more.widest(), right - left)
            own = self._more.heightForWidth(wide)
            place = left + (right - left - wide) // 2, row.top() + (row.height() - own) // 2
            self._more.setGeometry(*place, wide, own)

    def paintEvent(self, event: QPaintEvent) -> None:
        _rule(self, 0)


def _rule(widget: QWidget, top: int) -> None:
    """A thin line across a widget."""
    painter = brush(widget)
    # Not fillRect: choosing among its many forms costs the start ten milliseconds.
    painter.setPen(QColor(current().palette.line))
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
    painter.drawLine(0, top, widget.width(), top)
    painter.end()


def _arrow_down(painter: QPainter, box: QRectF, colour: str) -> None:
    """An open angle pointing down."""
    pen = QPen(QColor(colour), current().scaled(2.5))
    pen.setCapStyle(Qt.PenCapStyle.RoundCap)
    pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    painter.setPen(pen)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    middle = QPointF(box.center().x(), box.bottom())
    painter.drawPolyline(QPolygonF([box.topLeft(), middle, box.topRight()]))
