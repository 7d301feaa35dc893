"""The clock of a step: it counts every hold, repeat, round and rest by itself, in numbers that are
read from the bed, and says each change without a look at the screen."""

from __future__ import annotations

import math
import time
from collections.abc import Callable

from PySide6.QtCore import QEvent, QRectF, QTimer, Signal
from PySide6.QtGui import QHideEvent, QPaintEvent
from PySide6.QtWidgets import QApplication

from companion.care.counting import Beat, CountedSoFar, counted, length, moment
from companion.presentation.language.phrases import phrase
from companion.presentation.view.count_words import (
    beat_round,
    beat_words,
    count_words,
    together_words,
)
from companion.ui.kit.accessible import announce
from companion.ui.kit.buttons import brush, draw_body
from companion.ui.kit.count_bar import CountBar
from companion.ui.kit.placed import Placed
from companion.ui.kit.text import WrappedText, one_line_width, set_text, show_when, widest_word
from companion.ui.kit.theme import GRID, REACH, Type, current

FLASH_MS = 450
"""How long the clock stands out when a hold begins, is half over or ends: well below three times a
second, above which light may do harm (common practice, no source)."""
LOOK_MS = 100
_KINDS = (Type.CLOSE_STAGE, Type.HEADING, Type.SUBHEADING, Type.CLOCK)


class StepClock(Placed):
    """Counts the beats once it was started, and never moves the page on.

    `clock` returns seconds from any fixed start and must not run backwards; tests hand in their
    own and call `tick()`. `changed` tells that it began, was paused or ended; `told` gives words at
    each beat, at half of a long hold and at each ten seconds of it, for whoever speaks; the
    desktop's own tone sounds with the first two. `steps` are what the steps are called, where
    several are counted one after the other.
    """

    changed = Signal()
    finished = Signal()
    told = Signal(str)

    def __init__(
        self,
        beats: tuple[Beat, ...],
        *,
        steps: tuple[str, ...] = (),
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self._beats = beats
        self._steps = steps
        self._clock = clock
        self._passed = 0.0
        self._since: float | None = None
        self._whole = count_words(beats) if not steps else together_words(beats, len(steps))
        self._words = {self._whole, phrase("Done"), *map(beat_words, beats)}
        self._said: tuple[int, bool] | None = None
        self._tens = 0
        self._count = CountBar(phrase("Seconds"))
        self._which = WrappedText("", Type.HEADING)
        self._round = WrappedText("", Type.BODY, colour="quiet")
        super().__init__(self._count, self._which, self._round)
        self._timer = QTimer(self)
        self._timer.setInterval(LOOK_MS)
        self._timer.timeout.connect(self.tick)
        self._flash = QTimer(self)
        self._flash.setSingleShot(True)
        self._flash.setInterval(FLASH_MS)
        self._flash.timeout.connect(self._flash_over)
        self._show()

    # Asked

    def so_far(self) -> tuple[CountedSoFar, ...]:
        """What was counted so far, of each step."""
        return counted(self._beats, self._passed_now())

    def is_running(self) -> bool:
        return self._since is not None

    def is_begun(self) -> bool:
        """Whether it was started, however short."""
        return self._since is not None or self._passed > 0

    def is_finished(self) -> bool:
        return self._passed >= length(self._beats)

    # Done

    def turn(self) -> None:
        """Start, pause, or go on."""
        if self.is_running():
            self.pause()
        elif not self.is_finished():
            self._since = self._clock()
            self._timer.start()
            self.tick()
            self.changed.emit()

    def pause(self) -> None:
        if self._since is not None:
            self._passed, self._since = self._passed_now(), None
            self._timer.stop()
            self._show()
            self.changed.emit()

    def tick(self) -> None:
        """Look at the clock; called by the timer, and by tests after moving theirs."""
        if self._since is None:
            return
        if self._passed_now() >= length(self._beats):
            self._passed, self._since = float(length(self._beats)), None
            self._timer.stop()
            self._show()
            self._tell(phrase("Done"))
            QApplication.beep()
            self.changed.emit()
            self.finished.emit()
            return
        self._show()
        now = moment(self._beats, self._passed_now())
        place = self._beats.index(now.beat)
        long = now.beat.kind == "hold" and now.beat.seconds >= _LONG
        half = long and now.passed * 2 >= now.beat.seconds
        tens = int(now.passed) // 10 if long else 0
        if self._said != (place, half):
            self._said = (place, half)
            self._tell(phrase("Half") if half else self._spoken(now.beat))
            if now.beat.kind != "release":
                QApplication.beep()
        elif tens > self._tens:
            # A voice counts on; a screen reader has the value, and says it as often as it is set.
            self.told.emit(str(10 * tens))
        self._tens = tens

    def _spoken(self, beat: Beat) -> str:
        """What is said aloud: where another step begins, also which."""
        if self._steps and beat.kind == "ready":
            return phrase("{step}. {words}", step=self._steps[beat.step], words=beat_words(beat))
        return beat_words(beat)

    def hideEvent(self, event: QHideEvent) -> None:
        # Nobody holds for a page that is not on the screen.
        self.pause()
        super().hideEvent(event)

    def _passed_now(self) -> float:
        running = 0.0 if self._since is None else max(self._clock() - self._since, 0.0)
        return self._passed + running

    def _tell(self, words: str) -> None:
        announce(self, words)
        self.told.emit(words)
        self._flash.start()
        self._colour()

    def _flash_over(self) -> None:
        self._colour()

    def _colour(self) -> None:
        lit = self._flash.isActive()
        self._count.set_colour("on_action" if lit else "ink")
        self._which.set_colour("on_action" if lit else "ink")
        self._round.set_colour("on_action" if lit else "quiet")
        self.update()

    def _show(self) -> None:
        now = moment(self._beats, self._passed_now())
        # Before the start it stands at what the first hold takes.
        beat = now.beat if self.is_begun() else self._beats[1]
        to_come = now.to_come if self.is_begun() else beat.seconds
        told = phrase("Done") if self.is_finished() else beat_words(beat)
        if not self.is_begun():
            told = self._whole
        self._count.show_count(to_come, passed=beat.seconds - to_come, of=beat.seconds)
        for words, text in (
            (self._which, told),
            (self._round, "" if self.is_finished() else beat_round(beat, self._steps)),
        ):
            if words.text() != text:
                words.set_text(text)
            show_when(words, bool(text))

    # Laid out

    def wanted_width(self) -> int:
        return 480

    def least_width(self) -> int:
        """Narrower, a word beside the number would be broken."""
        word = max(widest_word(words, _KINDS[-1], current()) for words in self._words)
        return self._left() + word + 2 * REACH + GRID

    def _count_width(self) -> int:
        # No digit of the typeface is wider than its 0; nothing jumps as the numbers change.
        digits = len(str(max(beat.seconds for beat in self._beats)))
        return one_line_width("0" * digits, Type.COUNT, current()) + 2 * REACH

    def _left(self) -> int:
        """Where the words begin, behind the number."""
        return 2 * GRID + self._count_width() + 2 * GRID

    def place(self, width: int, *, move: bool) -> int:
        wide, left = self._count_width(), self._left()
        high = self._count.heightForWidth(wide) + 2 * REACH
        room = max(width - left - GRID, 1)
        below = self._below(room)
        self._which.set_kind(self._kind(self._which.text(), room))
        tallest = max(self._high(words, room) for words in self._words)
        whole = max(high, tallest + below + 4 * REACH)
        if move:
            self._count.setGeometry(2 * GRID, (whole - high) // 2 + REACH, wide, high - 2 * REACH)
            which = self._which.heightForWidth(room)
            under = below if self._round.text() else 0
            top = (whole - which - under) // 2
            self._which.setGeometry(left, top, room, which)
            self._round.setGeometry(left, top + which, room, under)
        return whole

    @staticmethod
    def _kind(words: str, width: int) -> Type:
        """The largest type in which the words stand in one line; the smallest where none does."""
        room = width - 2 * REACH
        fits = (kind for kind in _KINDS if one_line_width(words, kind, current()) <= room)
        return next(fits, _KINDS[-1])

    def _below(self, width: int) -> int:
        """How high the words under the count are at most."""
        if self._beats[0].turns == 1 and not self._steps:
            return 0
        words = {beat_round(beat, self._steps) for beat in self._beats}
        heights = (set_text(one, Type.BODY, current(), width - 2 * REACH).height for one in words)
        return math.ceil(max(heights))

    def _high(self, words: str, width: int) -> int:
        kind = self._kind(words, width)
        return math.ceil(set_text(words, kind, current(), width - 2 * REACH).height)

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.StyleChange:
            self._colour()

    def paintEvent(self, event: QPaintEvent) -> None:
        palette = current().palette
        painter = brush(self)
        body = QRectF(self.rect()).adjusted(REACH, REACH, -REACH, -REACH)
        lit = self._flash.isActive()
        draw_body(painter, body, palette.action if lit else palette.surface, palette.line, 1)
        painter.end()


_LONG = 10
"""A hold of fewer seconds is not told to be half over."""
