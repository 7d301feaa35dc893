"""One page of the leaflet: a heading, one decision, the main button, and Back, Help and Stop.

The words scroll in a column, or in the right one of two; the main button and the bar stand below
and never over them, all in one frame. When there is more than fits, a wide scroll bar and a line
in words say so.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from PySide6.QtCore import QEvent, QPoint, QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QAccessible,
    QColor,
    QHideEvent,
    QKeyEvent,
    QPainter,
    QPaintEvent,
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
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from companion.presentation.language.phrases import phrase
from companion.ui.kit.accessible import LEFT_OUT, in_sentences, is_left_out
from companion.ui.kit.buttons import (
    STOP_KEY,
    MainButton,
    Pressable,
    QuietButton,
    StopButton,
    brush,
    draw_frame,
    draw_stroke,
)
from companion.ui.kit.columns import (
    MARGIN,
    SIDE,
    WORDS_SHARE,
    Columns,
    PageFrame,
    Part,
    WidgetT,
    give_room,
    one_column,
    stage_columns,
    two_columns,
)
from companion.ui.kit.keys import TakesKeys, is_enter, is_plain, single_keys, taking_keys
from companion.ui.kit.placed import Placed, height_of, stack
from companion.ui.kit.presses import presses
from companion.ui.kit.text import HeadingWords, WrappedText, one_line_width, show_when
from companion.ui.kit.theme import GRID, LARGE_TEXT_PERCENT, REACH, Palette, Type, closest, current
from companion.ui.kit.tiles import Tiles

_SHORT = 400
"""Pixels of height below which the bar keeps to one row, for text of up to 200 %."""
_LARGE = 150
"""Percent of text from which the quieter buttons of a stage are scrolled to."""
_SCROLL_KEYS = (
    Qt.Key.Key_Up,
    Qt.Key.Key_Down,
    Qt.Key.Key_PageUp,
    Qt.Key.Key_PageDown,
    Qt.Key.Key_Home,
    Qt.Key.Key_End,
)


@dataclass(frozen=True, slots=True)
class Readable:
    """One thing of a page and what a voice says of it."""

    widget: QWidget
    words: str


@dataclass(frozen=True, slots=True)
class Opening:
    """What is said when a page comes up; `at_once` cuts off whatever is being said."""

    words: str
    at_once: bool = False

    def and_then(self, words: str) -> Opening:
        """With more behind."""
        return replace(self, words=in_sentences(self.words, words))


class Page(QWidget):
    """A page. Build it by adding to the reading column, then naming the main button.

    `above` is a line over everything that stays in sight, such as which knee; `plan_mark` the
    mark of a practice plan, which also stays. `enter_presses_main=False` is for the stop list:
    there Enter ends the page only where its main button has the focus. `beside`
    stands at the left of all of it, as high as the page, and does not scroll.
    """

    most_width: int | None = None
    """For a page of one wide column, such as a table: the most it takes, in pixels at 100 % text;
    see `Theme.column`. Other pages open into two columns where there is room."""
    _is_stage = False
    """Whether picture, heading and main button are in sight whatever else is scrolled for."""
    reads_itself = False
    """True for a page that is done with both hands: a voice that is wanted begins by itself."""
    asks_nothing = False
    """True for a page that is only read: a reminder may lie over it at any time."""

    back_wanted = Signal()
    stop_wanted = Signal()
    help_wanted = Signal()
    leave_wanted = Signal()
    read_aloud_wanted = Signal()
    say_wanted = Signal(str)
    """Words to be spoken now, where anything is spoken at all."""

    def __init__(
        self,
        heading: str,
        *,
        above: str = "",
        plan_mark: str = "",
        back: bool = True,
        stop: bool = True,
        help_offered: bool = True,
        enter_presses_main: bool = True,
        beside: QWidget | None = None,
    ) -> None:
        super().__init__()
        self.main: MainButton | None = None
        self._stand: QWidget | None = None
        self._side: Tiles | None = None
        self._spare: Tiles | None = None
        self.first_focus: QWidget | None = None
        self.urgent = ""
        """What a card on the page says before all else, where somebody must be called at once."""
        self._enter_presses_main = enter_presses_main
        self._main_last = False
        self._kept: list[object] = []
        self._seen_since: float | None = None
        self._read_frame: ReadFrame | None = None
        self._follows_focus = False  # a page may be hidden again before it was ever shown

        self._beside = beside
        self._strip = _Strip(above, plan_mark, self.frame)
        self.heading = HeadingWords(heading, Type.HEADING, level=1)
        self.heading.setFocusPolicy(Qt.FocusPolicy.ClickFocus)
        self._column = _Column(self.frame, opens=self.most_width is None)
        self.column: Columns = self._column.content
        """What is scrolled: all there is to read."""
        self.column.add(self.heading, 0, "lead", follows=False)
        self._more = _More()
        self._more.clicked.connect(self._column.one_screen_down)
        self._foot = _Foot()
        self.bar = _Bar(
            back=back,
            stop=stop,
            help_offered=help_offered,
            frame=self.frame,
        )
        for button, signal in (
            (self.bar.back, self.go_back),
            (self.bar.stop, self.stop_wanted),
            (self.bar.help, self.help_wanted),
        ):
            if button is not None:
                button.clicked.connect(signal)

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
        self._reading = _Reading(self._column, self._foot)
        whole.addWidget(self._reading, 1)
        self._more_line = QHBoxLayout()
        self._more_line.setContentsMargins(SIDE, 0, SIDE, 0)
        whole.addLayout(self._more_line)
        self._more_line.addWidget(self._more)
        whole.addWidget(self.bar)
        self._column.verticalScrollBar().rangeChanged.connect(self._scrolled)
        self._column.verticalScrollBar().valueChanged.connect(self._scrolled)

    # Building

    def frame(self, width: int) -> PageFrame:
        """What heads, columns and bars share where the page is `width` pixels wide."""
        if self._is_stage:
            return stage_columns(width)
        if self.most_width is None:
            return two_columns(width, self.words_share(width))
        return one_column(width, current().column(self.most_width))

    def words_share(self, _width: int) -> float:
        """What the right one of two columns has of the room for both."""
        return WORDS_SHARE

    def add(
        self,
        widget: WidgetT,
        before: int = 2 * GRID,
        *,
        part: Part = "words",
        follows: bool = False,
    ) -> WidgetT:
        """Put a widget at the end of what there is to read, `before` pixels below the last. What
        leads stands left where there are two columns; what `follows` is never parted from the
        widget above it."""
        self.column.add(widget, before, part, follows=follows)
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
            and self.column.isAncestorOf(focused)
            and not self._column.is_in_sight(focused)
        ):
            bar.setValue(was)

    def show_box(self, widget: QWidget, box: QRect) -> None:
        """Scroll as little as shows a box of a widget of the reading column."""
        self._column.bring_into_sight(widget, box)

    def main_button(
        self, word: str, *, last: bool = False, beside: QWidget | None = None
    ) -> MainButton:
        """The page's one main button, below the column; `last` puts it at the end of the column,
        whatever room there is. What stands `beside` it goes along. May be called once."""
        if self.main is not None:
            raise ValueError("a page has one main button")
        self.main = MainButton(word)
        self._stand = self.main if beside is None else _StandWith(beside, self.main)
        self._main_last = last
        self._settle_main()
        self._order_tabs()
        return self.main

    def side_buttons(self, columns: tuple[int, ...], before: int) -> Tiles:
        """Where the quieter buttons of the page stand, at the end of the words; over the main
        button where they would be out of sight there. May be called once."""
        self._side = self.add(Tiles(columns), before)
        return self._side

    def offer_reading_aloud(self) -> None:
        """Put Read aloud into the bar, where it is not there yet."""
        button = self.bar.offer_reading_aloud()
        if button is not None:
            button.clicked.connect(self.read_aloud_wanted)
            self._order_tabs()

    def offer_leaving(self) -> None:
        """Put Leave for now into the bar, beside Back."""
        self.bar.offer_leaving().clicked.connect(self.leave_wanted)
        self._order_tabs()

    def read_from_afar(self, *, stage: bool) -> None:
        """Set the heading, the line over it that counts the steps, and Stop for two metres away. On
        a `stage` a picture has the left column alone, and the heading stands over the words."""
        self._is_stage = stage
        if stage:
            self.column.put_in(self.heading, "words")
            self.column.stays_close = True
        self.heading.set_kind(Type.STAGE if stage else Type.FAR_HEADING)
        self._strip.set_kind(Type.FAR_STRIP)
        self.bar.enlarge_stop()

    def put_beside_stop(self, button: Pressable, *, large: bool) -> None:
        """Let a button stand in the bar, before Stop; `large` as Stop is for two metres away."""
        self.bar.put_beside_stop(button, large=large)

    def keep(self, thing: object) -> None:
        """Hold an object, such as the one that drives the page, for as long as the page lives."""
        self._kept.append(thing)

    # Reading

    def opening(self) -> Opening:
        """What a screen reader says after the heading: all that stands over it, and what is asked
        first, before it names the first answer. What is urgent comes before all of it, at once."""
        heading = "" if self.first_focus is None else self.heading_text()
        words = in_sentences(self.urgent, heading, self._strip.said())
        return Opening(words, at_once=bool(self.urgent))

    def heading_text(self) -> str:
        return self.heading.text()

    def reading_text(self) -> str:
        """Everything in sight in reading order, one item a line."""
        return "\n".join(line.words for line in self.reading_lines())

    def reading_lines(self) -> list[Readable]:
        """What Read aloud speaks: what a screen reader is told, in the order in which the page was
        made, wherever its parts stand; the main button last."""
        return [line for line in self._readable(self) if line.words]

    def _readable(self, parent: QWidget) -> Iterator[Readable]:
        for child in _in_order(parent):
            apart = child in (self.bar, self._more, self._beside)
            if apart or child.isHidden() or is_left_out(child):
                continue
            whole = getattr(child, "spoken", None)
            if callable(whole):
                yield Readable(child, whole())
            elif isinstance(child, Pressable):
                yield Readable(child, in_sentences(child.word, child.line))
            elif isinstance(child, WrappedText):
                yield Readable(child, child.accessibleName())
            else:
                yield Readable(child, getattr(child, "spoken_first", ""))
                yield from self._readable(child)

    def name_reading_aloud(self, word: str) -> None:
        """What pressing Read aloud does now."""
        if self.bar.read_aloud is not None and self.bar.read_aloud.word != word:
            self.bar.read_aloud.set_words(word)

    def frame_what_is_read(self, widget: QWidget | None) -> None:
        """Frame what is being read, and bring it into sight; None: nothing is."""
        if self._read_frame is None:
            self._read_frame = ReadFrame(self.column)
        self._read_frame.put_round(widget)
        if widget is not None and self.column.isAncestorOf(widget):
            self._column.bring_into_sight(widget)

    def scroll_bar(self) -> QScrollBar:
        return self._column.verticalScrollBar()

    # Focus and keys

    def go_back(self) -> None:
        """What Back does."""
        self.back_wanted.emit()

    def take_focus(self) -> None:
        """Put the focus where the page begins: its heading, unless the page named something."""
        target = self.first_focus if self.first_focus is not None else self.heading
        target.setFocus(Qt.FocusReason.OtherFocusReason)
        if target is self.heading:
            # In a left column that stays it would be in sight wherever the page is scrolled to.
            self.scroll_bar().setValue(0)
        elif self.column.isAncestorOf(target):
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
                and presses().counts(key, key=key, rests=not main.acts_at_once)
            ):
                main.click()
        elif key in (Qt.Key.Key_Escape, Qt.Key.Key_Back) and self.bar.back is not None:
            if not event.isAutoRepeat() and presses().counts(key, key=key):
                self.go_back()
        elif key in (Qt.Key.Key_F1, Qt.Key.Key_Help) and self.bar.help is not None:
            self.help_wanted.emit()
        elif key == STOP_KEY and self.bar.stop is not None:
            if is_plain(event) and not event.isAutoRepeat():
                self.stop_wanted.emit()
        elif key in _SCROLL_KEYS:
            self._column.scroll_by_key(Qt.Key(key))
            self._let_go_out_of_sight()
        elif not self._answer(event):
            super().keyPressEvent(event)

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        if not event.isAutoRepeat():
            presses().key_is_up(event.key())
        super().keyReleaseEvent(event)

    def _answer(self, event: QKeyEvent) -> bool:
        taker = self._takes_figures()
        return taker is not None and taker.take_key(event)

    def _takers(self) -> list[TakesKeys]:
        # Where the end must have been seen, no figure answers what is still below.
        return [
            child
            for child in taking_keys(self.column.findChildren(QWidget))
            if isinstance(child, QWidget)
            and child.isVisible()
            and child.isEnabled()
            and (not self._main_last or self._column.is_in_sight(child))
        ]

    def _takes_figures(self) -> TakesKeys | None:
        """The one question that figures answer: where the focus is, else the first that is open.

        It changes with the focus alone, so no figure ever moves on to the next question by itself.
        """
        return self._one_of(self._takers())

    def _one_of(self, takers: list[TakesKeys]) -> TakesKeys | None:
        focused = QApplication.focusWidget()
        for taker in takers:
            if isinstance(taker, QWidget) and focused and taker.isAncestorOf(focused):
                return taker
            if focused is not None and focused is getattr(taker, "asked_by", None):
                return taker
        if not single_keys():
            return None
        return next((taker for taker in takers if not taker.is_answered()), None) or (
            takers[0] if len(takers) == 1 else None
        )

    def _show_figures(self) -> None:
        takers = self._takers()
        here = self._one_of(takers)
        for taker in takers:
            # With one question alone there is nothing to tell apart.
            taker.take_figures(here=taker is here, framed=taker is here and len(takers) > 1)

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        presses().page_is_seen()
        if self._seen_since is None:
            self._seen_since = presses().reads()

    def seen_for(self) -> int | None:
        """For how many whole seconds the page was seen, with what was laid over it meanwhile; None
        where nothing is timed."""
        now = presses().reads()
        return None if now is None or self._seen_since is None else int(now - self._seen_since)

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        presses().page_comes(rests=not self.asks_nothing)
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
        heading_gone = self.heading.hasFocus() and self._is_read_past(self.heading)
        stop = self._first_stop_in_sight() if next and heading_gone else None
        if stop is None:
            return super().focusNextPrevChild(next)
        stop.setFocus(Qt.FocusReason.TabFocusReason)
        return True

    def _is_read_past(self, widget: QWidget) -> bool:
        # In a left column that stays, what one reads on past is the words beside it.
        if self._column.frame().is_two:
            return self.scroll_bar().value() > 0
        return not self._column.is_in_sight(widget)

    def _first_stop_in_sight(self) -> QWidget | None:
        """The first stop of the Tab key that the column shows whole, or the first one below it."""
        step = self.heading.nextInFocusChain()
        while step is not None and step is not self.heading:
            if (
                step.focusPolicy() & Qt.FocusPolicy.TabFocus
                and step.isVisibleTo(self)
                and step.isEnabled()
                and self.column.isAncestorOf(step)
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
            and self.column.isAncestorOf(focused)
            and not self._column.is_in_sight(focused)
        ):
            self.heading.setFocus(Qt.FocusReason.OtherFocusReason)

    def _focus_moved(self, _old: QWidget | None, new: QWidget | None) -> None:
        self._show_figures()
        # The heading waits for the next Tab wherever the page is read: it pulls nobody back.
        if new is not self.heading and new is not None and self.column.isAncestorOf(new):
            self._column.bring_into_sight(new)

    def _order_tabs(self) -> None:
        """Column first, then the main button, then the bar: the order they are read in."""
        if not self.isVisible():
            return  # it is done when the page is shown
        window = self.window()
        inside = [
            widget
            for widget in self.column.findChildren(QWidget)
            if widget is not self.main
            and widget.window() is window
            # The toolkit puts nothing behind what takes no focus, and does not say so.
            and widget.focusPolicy() != Qt.FocusPolicy.NoFocus
        ]
        last = inside[-1]  # the heading at least
        beside = [] if self._beside is None else self._beside.findChildren(QWidget)
        side = self._foot.findChildren(QPushButton)
        side = [button for button in side if button is not self.main]
        for part in self.bar.buttons():
            part.raise_()  # a reader goes by the order in which parts lie over each other
        for button in (*side, self.main, *beside, *self.bar.buttons()):
            if button is not None:
                QWidget.setTabOrder(last, button)
                last = button

    def _is_short(self) -> bool:
        """Whether the page is too low for all its buttons; very large text makes most so."""
        percent = current().text_percent
        if self._is_stage and self.bar.is_crowded():
            return True
        if percent <= LARGE_TEXT_PERCENT:
            return self.height() < _SHORT
        lower = self.height() < _SHORT * percent / LARGE_TEXT_PERCENT
        return lower or self.bar.is_crowded()

    def _settle_bar(self) -> None:
        """On a very small screen only Back and Stop stay: the others stand at the end of the words,
        or there would be none of these in sight."""
        short = self._is_short()
        if short and self._spare is None and (spare := self.bar.lend()):
            self._spare = Tiles((2, 1))
            for button in spare:
                self._spare.add(button)
            self.column.end_with(self._spare)
            show_when(self._spare, True)
        elif not short and self._spare is not None:
            gone, self._spare = self._spare, None
            gone.take_out(*self.bar.lent)
            self.bar.take_back()
            self.column.end_with(None)
            gone.hide()
            gone.deleteLater()
        else:
            return
        self._order_tabs()

    def _settle_main(self) -> None:
        """Below the column where that leaves the words half of the page, else at their end.

        With large text on a small screen a fixed button would leave a slit to read through.
        """
        main, stand = self.main, self._stand
        if main is None or stand is None:
            return
        width = self._column.width()
        words = self._column.frame().words_span
        taken = self.bar.heightForWidth(width) + stand.heightForWidth(words)
        if not self._strip.isHidden():
            taken += self._strip.heightForWidth(width)
        taken += self._more.heightForWidth(words)
        # A clock is looked at with both hands busy: it stays in sight where the words get less.
        share = 0.5 if stand is main else 0.35
        below = not self._main_last and self.height() - taken >= self.height() * share
        below = below or (self._is_stage and self._column.frame().is_two)
        if below == self._foot.isAncestorOf(stand) and stand.parentWidget() is not None:
            return
        focused = main.hasFocus()
        if below:
            self.column.keep_last(None)
            self._foot.take(stand)
        else:
            self.column.keep_last(stand)
        show_when(self._foot, below)
        show_when(stand, True)
        self._reading.settle()
        if focused:
            main.setFocus(Qt.FocusReason.OtherFocusReason)
        self._order_tabs()

    def _settle_side(self) -> None:
        """The quieter buttons over the main one, where they would be scrolled to at the end of the
        words: what is pressed is in sight, and reading goes on above it."""
        side, stand, content = self._side, self._stand, self.column
        if side is None or stand is None:
            return
        frame, away = self._column.frame(), not content.isAncestorOf(side)
        below = self._foot.isAncestorOf(stand) and frame.is_two
        # In large text they would leave no line of a stage's heading.
        below = below and not (self._is_stage and current().text_percent >= _LARGE)
        out = below and not content.would_fit(side, self._foot.high_of(stand, frame.words_span))
        if out != away:
            self._put_side(side, over_main=out)

    def _put_side(self, side: Tiles, *, over_main: bool) -> None:
        content = self.column
        focused = QApplication.focusWidget()
        focused = focused if focused is not None and side.isAncestorOf(focused) else None
        if over_main:
            content.send_away(side)
            self._foot.take_over(side)
        else:
            side.may_wrap = False
            content.have_back(side)
        show_when(side, True)
        self._reading.settle()
        if focused is not None:
            focused.setFocus(Qt.FocusReason.OtherFocusReason)
        self._order_tabs()

    def _settle_frame(self) -> None:
        """What stands below the words begins and ends where they do."""
        frame = self._column.frame()
        left = frame.words_left
        right = max(self._column.width() - left - frame.words_span, 0)
        margins = self._more_line.contentsMargins()
        if (margins.left(), margins.right()) != (left, right):
            self._more_line.setContentsMargins(left, 0, right, margins.bottom())
        self._reading.settle()

    def _settle_more(self) -> None:
        """In the bar where it fits: every line of reading counts."""
        in_bar = self.bar.has_room_for(self._more)
        if in_bar == self.bar.isAncestorOf(self._more):
            return
        if in_bar:
            self.bar.take_in(self._more)
        else:
            self.bar.let_out()
            self._more_line.addWidget(self._more)

    def _scrolled(self) -> None:
        bar = self._column.verticalScrollBar()
        self.column.scrolled_to(bar.value())
        self._settle_frame()
        self._settle_more()
        # Measured as if the line of words were not there, else it could come and go for ever.
        room = self._column.view.height()
        if not self._more.isHidden() and not self.bar.isAncestorOf(self._more):
            room += self._more.height()
        # The empty margin at the end is nothing to read on for.
        # On a very small screen the scroll bar says it: a line more would leave nothing to read.
        told = not self._is_short() or self.bar.isAncestorOf(self._more)
        show_when(self._more, told and self._column.content_height() > room)
        self._more.show_place(at_end=bar.value() >= bar.maximum() - MARGIN)

    def event(self, event: QEvent) -> bool:
        done = super().event(event)
        if event.type() in (QEvent.Type.LayoutRequest, QEvent.Type.Resize):
            self._settle_bar()
            self._reading.settle()
            self._settle_main()
            self._settle_side()
            self._scrolled()
        return done


def _in_order(parent: QWidget) -> list[QWidget]:
    """The parts of a widget as they were put into it: some are made, or moved, later."""
    if isinstance(parent, Columns):
        return parent.in_order()
    if isinstance(parent, Placed):
        return parent.parts()
    return [child for child in parent.children() if isinstance(child, QWidget)]


class ReadFrame(QWidget):
    """The frame round what is being read; nothing can be pressed on it."""

    told_as = LEFT_OUT

    def __init__(self, column: QWidget) -> None:
        super().__init__(column)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.hide()

    def put_round(self, widget: QWidget | None) -> None:
        """Stand round a widget of the column; None or another one: nowhere."""
        column = self.parentWidget()
        if widget is None or column is None or not column.isAncestorOf(widget):
            self.hide()
            return
        self.setGeometry(QRect(widget.mapTo(column, QPoint(0, 0)), widget.size()))
        self.raise_()
        self.show()

    def paintEvent(self, event: QPaintEvent) -> None:
        draw_frame(self)


class _Column(QScrollArea):
    """What there is to read: it scrolls up and down only."""

    told_as = QAccessible.Role.Client
    """The toolkit would take it for a pane of its own."""

    def __init__(self, frame: Callable[[int], PageFrame], *, opens: bool) -> None:
        super().__init__()
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        # Keys reach the column from wherever the focus is on the page.
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        # Its own view, for the one the toolkit makes would be new to Python each time, and finding
        # out what it is costs the start thirty milliseconds.
        self.view = QWidget()
        self.setViewport(self.view)
        self._covered = 0
        self.content = Columns(frame, opens=opens)
        self.setWidget(self.content)
        bar = self.verticalScrollBar()
        bar.setSingleStep(5 * GRID)
        bar.setAccessibleName(phrase("Scroll"))

    def frame(self) -> PageFrame:
        return self.content.frame(self.width())

    def content_height(self) -> int:
        """How high everything is at the present width, without the margin at its end."""
        return self.content.bare_height(self.content.width())

    def cover(self, pixels: int) -> None:
        """So much of the right column's height the main button takes for itself."""
        if pixels != self._covered:
            self._covered = pixels
            self._see()

    def _see(self) -> None:
        self.content.see(area=self.width(), room=self.view.height(), covered=self._covered)

    def _one_screen(self) -> int:
        return max(self.view.height() - self._covered - 8 * GRID, 8 * GRID)

    def one_screen_down(self) -> None:
        """As the Page Down key, with a line or two of overlap."""
        bar = self.verticalScrollBar()
        bar.setValue(bar.value() + self._one_screen())

    def scroll_by_key(self, key: Qt.Key) -> None:
        bar = self.verticalScrollBar()
        screen = self._one_screen()
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
        top, room = self.top_of(widget), self.content.room_for(widget)
        seen = min(top + widget.height(), room) - max(top, 0)
        return seen >= min(widget.height(), room)

    def bring_into_sight(self, widget: QWidget, box: QRect | None = None) -> None:
        """Scroll as little as shows the widget, or a box of it, with some room round it.

        The toolkit would show no more of an editor than its cursor.
        """
        bar, room = self.verticalScrollBar(), 3 * GRID
        box = widget.rect() if box is None else box
        top = self.top_of(widget) + box.top() + bar.value() - room
        bottom = top + box.height() + 2 * room
        bar.setValue(min(max(bar.value(), bottom - self.content.room_for(widget)), top))

    def focusNextPrevChild(self, next: bool) -> bool:  # noqa: A002 - the toolkit's own name
        # The page scrolls to what has the focus; the toolkit would scroll here once more.
        page = self.parentWidget()
        return page is not None and page.focusNextPrevChild(next)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        # The page decides on every key; the toolkit would keep the arrows for itself here.
        event.ignore()

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._see()
        super().resizeEvent(event)

    def minimumSizeHint(self) -> QSize:
        return QSize(320, 8 * GRID)


class _Foot(QWidget):
    """Where the main button stands below the words."""

    def __init__(self) -> None:
        super().__init__()
        self._rows = QVBoxLayout(self)
        self._rows.setContentsMargins(0, 0, 0, GRID // 2)
        self._rows.setSpacing(0)
        self.setAutoFillBackground(True)
        show_when(self, False)

    def take(self, stand: QWidget) -> None:
        """Put the button here, with what stands beside it."""
        give_room(stand, "usual")
        self._rows.addWidget(stand)

    def take_over(self, side: Tiles) -> None:
        """Put quieter buttons over it, as low as they may be."""
        side.may_wrap = True
        for button in side.parts():
            if isinstance(button, Pressable):
                button.take_room(closest())
        self._rows.insertWidget(0, side)

    @staticmethod
    def high_of(stand: QWidget, width: int) -> int:
        """How high this is with the button alone, in pixels."""
        return stand.heightForWidth(width) + GRID // 2


class _StandWith(Placed):
    """The main button and what belongs to it: beside each other while both have room."""

    def __init__(self, other: QWidget, main: MainButton) -> None:
        super().__init__(other, main)
        self._other, self._main = other, main

    def place(self, width: int, *, move: bool) -> int:
        wide = min(round(width * _CLOCK_SHARE), width - self._main.one_line())
        if self._other.minimumSizeHint().width() > wide:
            return stack((self._other, self._main), 0, width, move=move)
        high = max(height_of(self._other, wide), self._main.heightForWidth(width - wide))
        if move:
            self._other.setGeometry(0, 0, wide, high)
            self._main.setGeometry(wide, 0, width - wide, high)
        return high


_CLOCK_SHARE = 0.66
"""What a clock has at most of the room for it and the main button."""


class _Reading(QWidget):
    """What there is to read, and the main button below it: under the right one of two columns
    alone, so that the left one goes down to the bar."""

    def __init__(self, column: _Column, foot: _Foot) -> None:
        super().__init__()
        # Without a word of its own it would share what is left over with the contents beside it.
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self._column, self._foot = column, foot
        column.setParent(self)
        foot.setParent(self)

    def settle(self) -> None:
        frame = self._column.content.frame(self.width())
        high = 0
        if not self._foot.isHidden():
            high = self._foot.heightForWidth(frame.words_span)
        top = self.height() - high
        self._foot.setGeometry(frame.words_left, top, frame.words_span, high)
        self._column.cover(high if frame.is_two else 0)
        self._column.setGeometry(0, 0, self.width(), self.height() if frame.is_two else top)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.settle()

    def minimumSizeHint(self) -> QSize:
        return self._column.minimumSizeHint()


class _Strip(Placed):
    """The line over the page that never scrolls away: one line while both texts fit on it."""

    def __init__(self, above: str, plan_mark: str, frame: Callable[[int], PageFrame]) -> None:
        self._above = WrappedText(above, Type.STRIP, colour="quiet")
        self._mark = WrappedText(plan_mark, Type.STRIP_STRONG)
        super().__init__(self._above, self._mark)
        self._frame = frame
        show_when(self._above, bool(above))
        show_when(self._mark, bool(plan_mark))
        show_when(self, bool(above or plan_mark))

    def said(self) -> str:
        """Both, as a reader says them."""
        return in_sentences(self._above.text(), self._mark.text())

    def set_kind(self, kind: Type) -> None:
        """Another size for the words that are no mark."""
        self._above.set_kind(kind)
        self.updateGeometry()

    def least_width(self) -> int:
        return 320

    def least_height(self) -> int:
        return self._above.minimumSizeHint().height() + 2 * GRID

    def place(self, width: int, *, move: bool) -> int:
        both = self._above, self._mark
        wide = [words.one_line() if words.text() else 0 for words in both]
        need = sum(wide) + 3 * GRID
        left, span = _held(self._frame(width), width, need)
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

    Not a stop of the Tab key: Page Down does the same from anywhere. Whoever is read to has the
    whole page anyway.
    """

    told_as = LEFT_OUT
    word_type = Type.LABEL_STRONG
    least_height = 0
    pad_across = 0
    pad_down = GRID // 2

    def __init__(self) -> None:
        super().__init__(_more_words()[0])
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        show_when(self, False)
        self._at_end = False

    def show_place(self, *, at_end: bool) -> None:
        """Say whether there is more, or that this was all."""
        if at_end != self._at_end:
            self._at_end = at_end
            self.set_words(_more_words()[at_end])
            self.setEnabled(not at_end)

    def widest(self, *, in_two: bool = False) -> int:
        """How wide the longer of its two texts is, so that its place does not change with them;
        where it may stand `in_two` lines, the shorter."""
        theme = current()
        wide = [one_line_width(text, self.word_type, theme) for text in _more_words()]
        words = min(wide) if in_two else max(wide)
        return words + current().scaled(_MORE_MARK) + 2 * (REACH + self.pad_across)

    def left_mark(self) -> int:
        return 0 if self._at_end else current().scaled(_MORE_MARK)

    def heightForWidth(self, width: int) -> int:
        return super().heightForWidth(width) - 2 * REACH

    def paintEvent(self, event: QPaintEvent) -> None:
        if not isinstance(self.parentWidget(), _Bar):
            _rule(self, 0)
        super().paintEvent(event)

    def draw(self, painter: QPainter, body: QRectF, palette: Palette) -> None:
        colour = palette.quiet if self._at_end else palette.action
        self.draw_words(painter, colour, colour)
        if not self._at_end:
            half = current().scaled(7)
            top = (self.height() - half) / 2
            corners = ((REACH, top), (REACH + half, top + half), (REACH + 2 * half, top))
            draw_stroke(painter, corners, colour, 2.5)


class _Bar(Placed):
    """Back on the left, Help beside it, Stop alone in the lower right corner."""

    def __init__(
        self,
        *,
        back: bool,
        stop: bool,
        help_offered: bool,
        frame: Callable[[int], PageFrame],
    ) -> None:
        super().__init__()
        self._frame = frame
        self.back = self._button(phrase("Back")) if back else None
        self.leave: QuietButton | None = None
        self.help = self._button(phrase("Help")) if help_offered else None
        self.read_aloud: QuietButton | None = None
        self.stop = self.add_part(StopButton(phrase("Stop"))) if stop else None
        self.beside_stop: Pressable | None = None
        self._more: _More | None = None
        self._is_large = False
        self.lent: list[Pressable] = []
        """What stands at the end of the words for now."""
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

    def enlarge_stop(self) -> None:
        """Set Stop in type that is read at two metres."""
        self._is_large = True
        if self.stop is not None:
            self._enlarge(self.stop)
        if self.back is not None:
            self.back.word_type = Type.CLOCK

    def put_beside_stop(self, button: Pressable, *, large: bool) -> None:
        """A button of the page, before Stop; `large` as Stop is for two metres away."""
        self.beside_stop = self.add_part(button)
        if large:
            self._enlarge(button)
        else:
            self._settle()

    def _enlarge(self, button: Pressable) -> None:
        button.word_type = Type.FAR_BUTTON
        button.least_height = 9 * GRID
        button.updateGeometry()
        self._settle()

    def lend(self) -> list[Pressable]:
        """Give away all but Back and Stop, until they are taken back; none where they are away."""
        kept = (self.back, self.beside_stop, self.stop)
        lent = [b for b in self.buttons() if b not in kept]
        self.lent += lent
        self.take_out(*lent)
        return lent

    def take_back(self) -> None:
        """Have again what was lent."""
        lent, self.lent = self.lent, []
        for button in lent:
            self.add_part(button).take_room("usual")
            show_when(button, True)
        self._settle()

    def is_crowded(self) -> bool:
        """Whether its buttons, with those lent, take more than one row."""
        every = [*self.buttons(), *self.lent]
        need = sum(b.one_line() for b in every) + (len(every) - 1) * GRID
        return need > self._span(self.width())[1]

    def has_room_for(self, more: _More) -> bool:
        """Whether the line that says more follows fits between the buttons, or beside them."""
        buttons, span = self.buttons(), self._span(self.width())[1]
        if not buttons or len(self._rows(span)) > 1:
            return False
        # Where Stop is large every line of words counts, and it may take two.
        wide = more.widest(in_two=self._is_large)
        need = sum(b.one_line() for b in buttons) + wide + (len(buttons) + 1) * GRID
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
        every = (self.back, self.leave, self.help, self.read_aloud, self.beside_stop, self.stop)
        return [button for button in every if button is not None and button not in self.lent]

    def _rows(self, width: int) -> list[tuple[list[Pressable], Pressable | None]]:
        """Rows of left-hand buttons and the right-hand one; Stop is always in the last."""
        left: list[Pressable] = [
            b
            for b in (self.back, self.leave, self.help, self.read_aloud, self.beside_stop)
            if b is not None and b not in self.lent
        ]
        need = sum(b.one_line() for b in self.buttons()) + len(left) * GRID
        if need <= width or len(left) < 2:
            return [(left, self.stop)]
        first = left[1:] if self.back is not None else left
        second = left[:1] if self.back is not None else []
        return [(first, None), (second, self.stop)]

    def _span(self, width: int) -> tuple[int, int]:
        """Left edge and width of the bar's buttons: the frame, or more where they need it."""
        need = sum(b.one_line() for b in self.buttons()) + 4 * GRID
        return _held(self._frame(width), width, need)

    def least_width(self) -> int:
        return 320

    def least_height(self) -> int:
        return self.high(max(self.wanted_width(), self.width()))

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


def _held(frame: PageFrame, width: int, need: int) -> tuple[int, int]:
    """Left edge and width of what holds to the frame, and goes past it only where it needs to."""
    if need <= frame.span:
        return frame.left, frame.span
    span = min(width - 2 * SIDE, need)
    return (width - span) // 2, span


def _rule(widget: QWidget, top: int) -> None:
    """A thin line across a widget."""
    painter = brush(widget)
    # Not fillRect: choosing among its many forms costs the start ten milliseconds.
    painter.setPen(QColor(current().palette.line))
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
    painter.drawLine(0, top, widget.width(), top)
    painter.end()
