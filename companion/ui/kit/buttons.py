"""Everything that is pressed: painted by us, behaving and reported as the toolkit's own buttons."""

from __future__ import annotations

import math
from collections.abc import Hashable, Iterable, Sequence
from typing import TYPE_CHECKING

from PySide6.QtCore import QPoint, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import (
    QAbstractButton,
    QCheckBox,
    QPushButton,
    QRadioButton,
    QSizePolicy,
    QWidget,
)

from companion.presentation.language.phrases import phrase
from companion.ui.kit.keys import is_enter
from companion.ui.kit.placed import changed
from companion.ui.kit.presses import presses
from companion.ui.kit.text import one_line_width, set_text, widest_word
from companion.ui.kit.theme import (
    GRID,
    REACH,
    RING_WIDTH,
    TARGET_HEIGHT,
    Palette,
    Room,
    Theme,
    Type,
    current,
)

CORNER = 6.0
CLOSE_HEIGHT = 46
"""The least height in pixels of what is pressed on a page that would else be too high: still above
the 44 that a target for a finger has (WCAG 2.2, success criterion 2.5.5)."""
_ARROWS = (Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_Left, Qt.Key.Key_Right)


def body_of(widget: QWidget) -> QRectF:
    """The part of a widget inside the room kept for the focus ring."""
    return QRectF(widget.rect()).adjusted(REACH, REACH, -REACH, -REACH)


def draw_ring(painter: QPainter, body: QRectF) -> None:
    """The focus ring round a body: 3 px wide, 2 px away."""
    away = REACH - RING_WIDTH / 2
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(QColor(current().palette.ring), RING_WIDTH))
    painter.drawRoundedRect(body.adjusted(-away, -away, away, away), CORNER + away, CORNER + away)


def draw_frame(widget: QWidget) -> None:
    """The frame round the question that figures answer, where there are several."""
    painter = brush(widget)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(QColor(current().palette.ink), 2, Qt.PenStyle.DashLine))
    painter.drawRoundedRect(QRectF(widget.rect()).adjusted(1, 1, -1, -1), CORNER, CORNER)
    painter.end()


def draw_body(painter: QPainter, body: QRectF, fill: str, edge: str = "", wide: float = 0) -> None:
    """A filled box with an edge drawn inside it."""
    painter.setBrush(QColor(fill))
    painter.setPen(QPen(QColor(edge), wide) if edge else QPen(Qt.PenStyle.NoPen))
    half = wide / 2 if edge else 0
    painter.drawRoundedRect(body.adjusted(half, half, -half, -half), CORNER, CORNER)


def brush(widget: QWidget) -> QPainter:
    """A painter on the widget with smooth edges."""
    painter = QPainter(widget)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    return painter


if TYPE_CHECKING:
    _Mixed = QAbstractButton
else:
    # At run time a class may have one toolkit base only, and each button brings its own.
    _Mixed = object


class Pressable(_Mixed):
    """Common to all buttons: size from the words, Enter, arrows left to whoever holds them.

    Mixed into a toolkit button and placed before it. `word` is the main line, `line` an optional
    explaining one below it.
    """

    word_type = Type.BUTTON
    line_type = Type.LABEL
    least_height = TARGET_HEIGHT
    pad_across = 3 * GRID
    pad_down = GRID + 4
    alignment = Qt.AlignmentFlag.AlignLeft
    presses_on_enter = True
    acts_at_once = False
    """True for what nothing may hold up, such as Stop."""

    def __init__(self, word: str, line: str = "") -> None:
        super().__init__()
        self.set_words(word, line)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAttribute(Qt.WidgetAttribute.WA_Hover)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)

    def updateGeometry(self) -> None:
        changed()
        super().updateGeometry()

    def set_words(self, word: str, line: str = "") -> None:
        """Show other words; the accessible name follows."""
        self._word = word
        self._line = line
        self.setText(word.replace("&", "&&"))
        self.setAccessibleName(word)
        self.setAccessibleDescription(line)
        self.updateGeometry()
        self.update()

    room: Room = "usual"

    def take_room(self, room: Room) -> None:
        """Be lower, or larger, as the whole page is."""
        if room != self.room:
            self.room = room
            self.updateGeometry()
            self.update()

    @property
    def word_kind(self) -> Type:
        """In what the main line is set now."""
        return self.word_type.at(self.room)

    @property
    def line_kind(self) -> Type:
        """In what the explaining line is set now."""
        return self.line_type.at(self.room)

    def _heights(self) -> tuple[int, int]:
        """The least height of the body, and the room over and under the words, in pixels."""
        if self.room not in ("close", "closest"):
            return self.least_height, self.pad_down
        return min(self.least_height, CLOSE_HEIGHT), min(self.pad_down, GRID // 2)

    @property
    def word(self) -> str:
        """The main line."""
        return self._word

    @property
    def line(self) -> str:
        """The explaining line, or an empty text."""
        return self._line

    mark_size = 0
    """Of a mark drawn before the words, in pixels at 100 %; none for 0."""
    mark_gap = 2 * GRID

    def left_mark(self) -> int:
        """Room for a drawn mark before the words, in pixels."""
        return current().scaled(self.mark_size + self.mark_gap) if self.mark_size else 0

    def mark_box(self) -> QRectF:
        """Where the mark is drawn."""
        size = current().scaled(self.mark_size)
        return QRectF(REACH + self.pad_across, (self.height() - size) / 2, size, size)

    def right_mark(self) -> int:
        """Room for a drawn mark after the words, in pixels."""
        return 0

    def words_left(self) -> int:
        """Where the words begin, from the widget's left edge."""
        return REACH + self.pad_across + self.left_mark()

    def words_width(self, width: int) -> int:
        """Room for the words in a widget of this width."""
        return max(width - self.words_left() - self.right_mark() - self.pad_across - REACH, 1)

    def words_height(self, width: int) -> float:
        """Height of both lines in a widget of this width."""
        room = self.words_width(width)
        high = set_text(self._word, self.word_kind, current(), room, self.alignment).height
        if self._line:
            high += set_text(self._line, self.line_kind, current(), room, self.alignment).height
        return high

    def heightForWidth(self, width: int) -> int:
        least, pad = self._heights()
        return max(math.ceil(self.words_height(width)) + 2 * pad, least) + 2 * REACH

    def one_line(self) -> int:
        """The width at which nothing wraps."""
        theme = current()
        words = max(
            one_line_width(self._word, self.word_kind, theme),
            one_line_width(self._line, self.line_kind, theme),
        )
        return words + self.words_left() + self.right_mark() + self.pad_across + REACH

    def comfortable_width(self) -> int:
        """The width at which the main line does not wrap."""
        word = one_line_width(self._word, self.word_kind, current())
        return word + self.words_left() + self.right_mark() + self.pad_across + REACH

    def sizeHint(self) -> QSize:
        wide = min(self.one_line(), 720)
        return QSize(wide, self.heightForWidth(wide))

    def minimumSizeHint(self) -> QSize:
        theme = current()
        word = max(
            widest_word(self._word, self.word_kind, theme),
            widest_word(self._line, self.line_kind, theme),
        )
        frame = self.words_left() + self.right_mark() + self.pad_across + REACH
        return QSize(min(word, 320) + frame, self._heights()[0] + 2 * REACH)

    def hitButton(self, pos: QPoint) -> bool:
        return self.rect().contains(pos)

    def _counts(self, what: Hashable, key: int | None = None) -> bool:
        return presses().counts((what, id(self)), key=key, rests=not self.acts_at_once)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if self._counts("mouse"):
            super().mousePressEvent(event)
        else:
            event.accept()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if is_enter(event):
            if self.presses_on_enter:
                if not event.isAutoRepeat() and self._counts("key", event.key()):
                    self.click()
                event.accept()
            else:
                event.ignore()
        elif event.key() in (Qt.Key.Key_Space, Qt.Key.Key_Select):
            if event.isAutoRepeat() or not self._counts("key", event.key()):
                event.accept()
            else:
                super().keyPressEvent(event)
        elif event.key() in _ARROWS:
            # The toolkit would move the focus, or even tick; the group or the page decides.
            event.ignore()
        else:
            super().keyPressEvent(event)

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        if not event.isAutoRepeat():
            presses().key_is_up(event.key())
        super().keyReleaseEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = brush(self)
        body = body_of(self)
        self.draw(painter, body, current().palette)
        if self.hasFocus():
            draw_ring(painter, body)
        painter.end()

    def draw(self, painter: QPainter, body: QRectF, palette: Palette) -> None:
        """Draw all of it but the focus ring."""
        raise AssertionError("every button draws itself")

    def is_held(self) -> bool:
        """Whether it is pressed, or the pointer lies on it."""
        return self.isEnabled() and (self.isDown() or self.underMouse())

    def draw_words(self, painter: QPainter, word_colour: str, line_colour: str) -> None:
        """Both lines, centred in height."""
        room = self.words_width(self.width())
        left = self.words_left()
        top = (self.height() - self.words_height(self.width())) / 2
        word = set_text(self._word, self.word_kind, current(), room, self.alignment)
        word.draw(painter, left, top, word_colour)
        if self._line:
            line = set_text(self._line, self.line_kind, current(), room, self.alignment)
            line.draw(painter, left, top + word.height, line_colour)


class MainButton(Pressable, QPushButton):
    """The one thing a page asks for: the full column, filled."""

    alignment = Qt.AlignmentFlag.AlignHCenter

    def take_room(self, room: Room) -> None:
        """It is as large on every page."""

    def draw(self, painter: QPainter, body: QRectF, palette: Palette) -> None:
        if self.isEnabled():
            draw_body(painter, body, palette.action_pressed if self.is_held() else palette.action)
            self.draw_words(painter, palette.on_action, palette.on_action)
        else:
            draw_body(painter, body, palette.paper, palette.line, 2)
            self.draw_words(painter, palette.disabled_ink, palette.disabled_ink)


class QuietButton(Pressable, QPushButton):
    """A second choice: the same shape, only an edge. `snug` makes it as wide as its words; `close`
    leaves less room beside them, for several in a row."""

    alignment = Qt.AlignmentFlag.AlignHCenter

    def __init__(self, word: str, *, snug: bool = False, close: bool = False) -> None:
        if close:
            self.pad_across = GRID
        super().__init__(word)
        if snug:
            policy = self.sizePolicy()
            policy.setHorizontalPolicy(QSizePolicy.Policy.Preferred)
            self.setSizePolicy(policy)

    def draw(self, painter: QPainter, body: QRectF, palette: Palette) -> None:
        edge = palette.action if self.isEnabled() else palette.line
        draw_body(painter, body, palette.surface, edge, 4 if self.is_held() else 2)
        words = palette.ink if self.isEnabled() else palette.disabled_ink
        self.draw_words(painter, words, words)


STOP_KEY, STOP_KEY_NAME = Qt.Key.Key_F9, "F9"
"""Far from every key that answers or moves, and the same on every keyboard."""


class StopButton(QuietButton):
    """Stop, in the lower right corner of every page: a heavy edge, not only a colour. Its key
    stands beside its word."""

    acts_at_once = True
    alignment = Qt.AlignmentFlag.AlignLeft

    def __init__(self, word: str) -> None:
        super().__init__(word, snug=True)
        self.setAccessibleDescription(phrase("Key {key}", key=STOP_KEY_NAME))

    def right_mark(self) -> int:
        return one_line_width(STOP_KEY_NAME, Type.LABEL, current()) + GRID

    def draw(self, painter: QPainter, body: QRectF, palette: Palette) -> None:
        held = self.is_held()
        draw_body(painter, body, palette.ink if held else palette.surface, palette.ink, 3)
        words = palette.paper if held else palette.ink
        self.draw_words(painter, words, words)
        room = self.right_mark()
        key = set_text(STOP_KEY_NAME, Type.LABEL, current(), room)
        left = self.width() - REACH - self.pad_across - room + GRID
        key.draw(painter, left, (self.height() - key.height) / 2, words)


class ActionRow(Pressable, QPushButton):
    """A large row that leads somewhere when pressed."""

    word_type = Type.STRONG

    def right_mark(self) -> int:
        return current().scaled(10) + 2 * GRID

    def draw(self, painter: QPainter, body: QRectF, palette: Palette) -> None:
        active = self.isEnabled()
        # The pointer over it draws its edge alone: a pale fill means that it was chosen.
        edge = palette.action if self.is_held() else palette.line
        draw_body(painter, body, palette.surface, edge, 2)
        ink = palette.ink if active else palette.disabled_ink
        self.draw_words(painter, ink, palette.quiet if active else ink)
        draw_chevron(painter, body, self.pad_across, palette.action if active else palette.line)


class LookOverRow(ActionRow):
    """A name and what was answered, in a line that leads back to where it was answered.

    The value stands beside its name where there is room for both in every line of its `list`, else
    below it in all of them: names and values stand under each other.
    """

    word_type = Type.BODY
    line_type = Type.STRONG
    pad_across = 2 * GRID
    pad_down = GRID // 2
    least_height = 44

    def __init__(self, name: str, value: str) -> None:
        super().__init__(name, value)
        self.setAccessibleName(phrase("{name}: {value}", name=name, value=value))
        self.setAccessibleDescription("")
        self._leads = True
        self._list: Sequence[tuple[str, str]] = ((name, value),)

    def stand_in(self, lines: Sequence[tuple[str, str]]) -> None:
        """The names and values it stands among."""
        self._list = lines

    def lead_nowhere(self) -> None:
        """Only say it: there is no way back to where it was answered."""
        self._leads = False
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.unsetCursor()

    def _name_width(self, room: int) -> int | None:
        """The width of the name where its value stands beside it, None where it stands below."""
        theme = current()
        wanted = max(one_line_width(name, self.word_kind, theme) for name, _ in self._list)
        least = max(widest_word(name, self.word_kind, theme) for name, _ in self._list)
        name = min(max(round(room * _NAME_SHARE), wanted), round(room * _MOST_NAME_SHARE))
        value = max(widest_word(value, self.line_kind, theme) for _, value in self._list)
        return name if least <= name and value <= room - name - GRID else None

    def words_height(self, width: int) -> float:
        room = self.words_width(width)
        name = self._name_width(room)
        if name is None:
            return super().words_height(width)
        word = set_text(self._word, self.word_kind, current(), name)
        line = set_text(self._line, self.line_kind, current(), room - name - GRID)
        return max(word.height, line.height)

    def draw(self, painter: QPainter, body: QRectF, palette: Palette) -> None:
        if self._leads:
            edge = palette.action if self.is_held() else palette.line
            draw_body(painter, body, palette.surface, edge, 2)
            draw_chevron(painter, body, self.pad_across, palette.action)
        room = self.words_width(self.width())
        name = self._name_width(room)
        if name is None:
            self.draw_words(painter, palette.quiet, palette.ink)
            return
        word = set_text(self._word, self.word_kind, current(), name)
        line = set_text(self._line, self.line_kind, current(), room - name - GRID)
        top = (self.height() - max(word.height, line.height)) / 2
        word.draw(painter, self.words_left(), top, palette.quiet)
        line.draw(painter, self.words_left() + name + GRID, top, palette.ink)


_NAME_SHARE = 0.42
"""Of the room of such a line, for its name."""
_MOST_NAME_SHARE = 0.55
"""The same where a name of the list is long."""


class UrgentRow(ActionRow):
    """A row that leads to help at once: filled and edged as a card that says to call now, with its
    sign before the words."""

    word_type = Type.SUBHEADING
    mark_size = 28

    def left_mark(self) -> int:
        return current().scaled(28) + 2 * GRID

    def draw(self, painter: QPainter, body: QRectF, palette: Palette) -> None:
        edge = 5 if self.is_held() else 3
        draw_body(painter, body, palette.emergency, palette.card_edge, edge)
        self.draw_words(painter, palette.on_emergency, palette.on_emergency)
        sign, words = self.mark_box(), palette.on_emergency
        draw_level_sign(painter, sign, "emergency", words, palette.emergency)
        draw_chevron(painter, body, self.pad_across, palette.on_emergency)


def draw_level_sign(painter: QPainter, box: QRectF, level: str, fill: str, on_fill: str) -> None:
    """The sign of a level, each of its own shape: an eight-sided plate, a triangle, a ring, a
    square; the first two with a mark of exclamation."""
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QColor(fill))
    middle, half = box.center(), box.width() / 2
    match level:
        case "emergency":
            corners = [
                QPointF(middle.x() + half * math.cos(turn), middle.y() + half * math.sin(turn))
                for turn in (math.pi / 8 + step * math.pi / 4 for step in range(8))
            ]
            painter.drawPolygon(QPolygonF(corners))
        case "today":
            painter.drawPolygon(
                QPolygonF([QPointF(middle.x(), box.top()), box.bottomRight(), box.bottomLeft()])
            )
        case "call":
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(QColor(fill), box.width() * 0.2))
            inner = box.width() * 0.12
            painter.drawEllipse(box.adjusted(inner, inner, -inner, -inner))
        case _:
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(QColor(fill), box.width() * 0.1))
            inner = box.width() * 0.12
            painter.drawRect(box.adjusted(inner, inner, -inner, -inner))
    if level in ("emergency", "today"):
        wide, top = box.width() * 0.13, 0.2 if level == "emergency" else 0.36
        high = box.height() * (0.62 if level == "emergency" else 0.72) - box.height() * top
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(on_fill))
        line = QRectF(middle.x() - wide / 2, box.top() + box.height() * top, wide, high)
        painter.drawRect(line)
        painter.drawRect(QRectF(line.left(), line.bottom() + wide * 0.7, wide, wide))


class DoorButton(ActionRow):
    """A door of the front page: a word and one short line."""

    word_type = Type.DOOR
    least_height = 80
    pad_down = GRID


def draw_chevron(
    painter: QPainter, body: QRectF, pad: float, colour: str, size: float = 1.0
) -> None:
    """An open angle at the right end of a row: it leads on."""
    half = current().scaled(8 * size)
    right, middle = body.right() - pad, body.center().y()
    corners = ((right - half, middle - half), (right, middle), (right - half, middle + half))
    draw_stroke(painter, corners, colour, 2.5 * size)


def draw_stroke(
    painter: QPainter, corners: Iterable[tuple[float, float]], colour: str, wide: float
) -> None:
    """A line through corners with round ends, `wide` pixels at 100 % text."""
    pen = QPen(QColor(colour), current().scaled(wide))
    pen.setCapStyle(Qt.PenCapStyle.RoundCap)
    pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    painter.setPen(pen)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawPolyline(QPolygonF([QPointF(x, y) for x, y in corners]))


def uncheck(button: QRadioButton) -> None:
    """Take an answer away. The toolkit lets no exclusive button go back to nothing chosen.

    The button stays exclusive besides, for that is what makes a reader call it a radio button.
    """
    button.setAutoExclusive(False)
    button.setChecked(False)
    button.setAutoExclusive(True)


class _MarkedRow(Pressable):
    """A row with a drawn mark before its words that shows whether it holds."""

    word_type = Type.BODY
    mark_size = 28
    presses_on_enter = False

    def __init__(self, word: str, line: str = "", *, value: object = None) -> None:
        super().__init__(word, line)
        self.value = value

    def draw_mark(self, painter: QPainter, box: QRectF, theme: Theme) -> None:
        """Draw the mark, empty or filled."""
        raise AssertionError("every marked row draws its own mark")

    def draw(self, painter: QPainter, body: QRectF, palette: Palette) -> None:
        active, checked = self.isEnabled(), self.isChecked()
        # The pointer over a row only draws its edge: that must never look like an answer.
        fill = palette.chosen if checked else palette.surface
        edge = palette.action if checked or self.is_held() else palette.line
        draw_body(painter, body, fill, edge, 3 if checked else 2)
        ink = palette.ink if active else palette.disabled_ink
        self.draw_words(painter, ink, palette.quiet if active else ink)
        self.draw_mark(painter, self.mark_box(), current())


class ChoiceRow(_MarkedRow, QRadioButton):
    """One answer of several: a ring before the words, filled when this is the answer. In the open
    ring stands `figure`, the key that chooses the row.

    Nothing but the person's own press, Space or digit ever fills it; Enter goes on and answers
    nothing.
    """

    figure = ""

    def draw_mark(self, painter: QPainter, box: QRectF, theme: Theme) -> None:
        palette = theme.palette
        checked = self.isChecked()
        painter.setBrush(QColor(palette.surface))
        painter.setPen(QPen(QColor(palette.action if checked else palette.line), theme.scaled(2.5)))
        painter.drawEllipse(box.adjusted(2, 2, -2, -2))
        if checked:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(QColor(palette.action))
            away = box.width() * 0.27
            painter.drawEllipse(box.adjusted(away, away, -away, -away))
        elif self.figure:
            figure = set_text(self.figure, Type.LABEL, theme, math.ceil(box.width()))
            left = box.center().x() - one_line_width(self.figure, Type.LABEL, theme) / 2
            figure.draw(painter, left, box.center().y() - figure.height / 2, palette.quiet)


class ReplyRow(ChoiceRow):
    """A short answer beside its question, in little room."""

    pad_across = GRID
    mark_gap = GRID


class TickRow(_MarkedRow, QCheckBox):
    """One thing of many that may be so: a box before the words. Enter never ticks it."""

    def draw_mark(self, painter: QPainter, box: QRectF, theme: Theme) -> None:
        palette = theme.palette
        checked = self.isChecked()
        painter.setBrush(QColor(palette.action if checked else palette.surface))
        painter.setPen(QPen(QColor(palette.action if checked else palette.line), theme.scaled(2.5)))
        painter.drawRoundedRect(box.adjusted(2, 2, -2, -2), 3, 3)
        if checked:
            draw_tick(painter, box, palette.on_action)


def draw_tick(painter: QPainter, box: QRectF, colour: str) -> None:
    """A tick that fills a box."""
    size = box.width()
    shares = ((0.25, 0.53), (0.43, 0.70), (0.75, 0.32))
    corners = [(box.left() + size * x, box.top() + size * y) for x, y in shares]
    draw_stroke(painter, corners, colour, 3.5)


class ScoreBox(Pressable, QRadioButton):
    """One number of a scale. Filled, and its number inverted, when it is the answer."""

    word_type = Type.SCORE
    pad_across = GRID // 4
    alignment = Qt.AlignmentFlag.AlignHCenter
    presses_on_enter = False

    def __init__(self, score: int) -> None:
        super().__init__(str(score))
        self.score = score

    @property
    def word_kind(self) -> Type:
        """Larger where the box is wide enough for the widest of the eleven."""
        kind = self.word_type.at(self.room)
        need = one_line_width("10", kind, current()) + 2 * (GRID + REACH)
        return kind if self.width() >= need else self.word_type

    def minimumSizeHint(self) -> QSize:
        # Closer rather than in two rows: the five of one is not to stand over the ten of the other.
        need = one_line_width(self._word, self.word_type, current())
        return QSize(need + 2 * (self.pad_across + REACH), self._heights()[0] + 2 * REACH)

    def draw(self, painter: QPainter, body: QRectF, palette: Palette) -> None:
        if self.isChecked():
            draw_body(painter, body, palette.action, palette.action, 2)
            self.draw_words(painter, palette.on_action, palette.on_action)
        else:
            edge = palette.action if self.is_held() else palette.line
            draw_body(painter, body, palette.surface, edge, 2)
            self.draw_words(painter, palette.ink, palette.ink)
