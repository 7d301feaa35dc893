"""A drawing of a knee on a page: in the colours of the theme, still unless motion is asked for."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from PySide6.QtCore import (
    QElapsedTimer,
    QEvent,
    QObject,
    QPointF,
    QRectF,
    QSize,
    Qt,
    QTimer,
    Signal,
)
from PySide6.QtGui import (
    QAccessible,
    QColor,
    QHideEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QShowEvent,
)
from PySide6.QtWidgets import QAbstractScrollArea, QSizePolicy, QWidget

from companion.canvas.drawing import Colours, paint, qt_path, to_frame
from companion.care.records import Side, Zone
from companion.picture.drawing import Drawing, Tint
from companion.picture.hands_on import FRAMES_A_SECOND
from companion.picture.knee import Knee
from companion.picture.places import ZONES
from companion.picture.views import Viewpoint
from companion.presentation.language.phrases import phrase
from companion.presentation.language.said import said_words
from companion.presentation.view.figures import zones_of, zones_picture
from companion.services.settings import SkinTone
from companion.ui.kit.accessible import announce, give_role
from companion.ui.kit.presses import presses
from companion.ui.kit.theme import Palette, current

PIXELS_PER_MM = 1.45
"""At text of 100 %: the words of a picture are then as large as a label."""
LEAST_SHARE = 0.72
"""A picture may shrink to this share of its size before the page scrolls."""
SMALL_SHARE = 0.68
"""The same for one of several small ones beside each other."""
FRAME_MS = round(1000 / FRAMES_A_SECOND)
"""How long one frame of a loop is shown."""
TAPE = {"light": "#BFD0DF", "dark": "#45637F", "high_contrast": "#00407A"}
"""Tape in each palette: quieter than ink on it, and more than paper under it."""
TINTS: dict[str, dict[Tint, str]] = {
    "light": {
        "cloth": "#D3DFE6", "piece": "#E4EDF4",
        "hair": "#D9D5CF", "wood": "#EFE4CF", "shade": "#EFE9DE", "ghost": "#EEE8DB",
    },
    "dark": {
        "cloth": "#2C3B46", "piece": "#2B3F52",
        "hair": "#4F4B44", "wood": "#3B3424", "shade": "#24221E", "ghost": "#2C2A25",
    },
    "high_contrast": {
        "cloth": "#1E3B4F", "piece": "#00203D",
        "hair": "#4A4A4A", "wood": "#352B12", "shade": "#1C1C1C", "ghost": "#262626",
    },
}  # fmt: skip
"""Quiet areas in each palette, but skin: ink on each reaches 7:1, and none is the ground."""
SKINS: dict[str, dict[SkinTone, tuple[str, str, str]]] = {
    "light": {
        "light": ("#F6E6D6", "#EFC6A6", "#F3B9AE"),
        "medium": ("#E3BE9B", "#CF9C72", "#D69884"),
        "dark": ("#D0A37F", "#B98A68", "#B07F7C"),
        "lines": ("#FBF8F2", "#E7E2D8", "#E7E2D8"),
    },
    "dark": {
        "light": ("#5A4A3D", "#4A2E18", "#8F4C44"),
        "medium": ("#4A3A2E", "#6E4526", "#7A3E36"),
        "dark": ("#35271D", "#6E4526", "#5A3039"),
        "lines": ("#171613", "#3A3732", "#3A3732"),
    },
    "high_contrast": {
        "light": ("#5C4636", "#7A4A22", "#8F4A42"),
        "medium": ("#4A3628", "#7A4A22", "#7A3C34"),
        "dark": ("#38281C", "#6B3F1D", "#5E313B"),
        "lines": ("#000000", "#3A3A3A", "#3A3A3A"),
    },
}
"""In each palette skin, what presses or is held, and skin that tape has marked: pink on light
skin, on brown skin purple and less plain, as the row sign_cellulitis of the facts says. Ink on the
first reaches 7:1, on these small areas 4.5:1."""


def picture_colours(palette: Palette, skin_tone: SkinTone = "light") -> Colours:
    """What a picture is painted with under a palette, with the skin that is set."""
    tints = {tint: QColor(colour) for tint, colour in TINTS[palette.name].items()}
    skin, press, flush = map(QColor, SKINS[palette.name][skin_tone])
    tints |= {"skin": skin, "press": press, "flush": flush}
    return Colours(QColor(palette.ink), QColor(palette.paper), QColor(TAPE[palette.name]), tints)


class KneePicture(QWidget):
    """Shows one drawing, as large as it fits; its accessible name says what it shows.

    With `loop`, drawings of one size, it can move: never by itself, only after `play`.
    """

    fills_room = True
    """In a column of its own it is as high as what the heading leaves."""

    def __init__(
        self, drawing: Drawing, *, loop: Sequence[Drawing] = (), least_share: float = LEAST_SHARE
    ) -> None:
        super().__init__()
        self._least_share = least_share
        self._drawing = drawing
        self._loop = loop
        self._at = 0
        self._timer = QTimer(self)
        self._timer.setInterval(FRAME_MS)
        self._timer.setTimerType(Qt.TimerType.PreciseTimer)
        self._run = QElapsedTimer()
        self._timer.timeout.connect(self._next)
        self._playing = False
        self._seen_through: QWidget | None = None
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        give_role(self, QAccessible.Role.Graphic, said_words(drawing.description))

    def spoken(self) -> str:
        return self.accessibleName()

    def drawing(self) -> Drawing:
        """What is shown when nothing moves."""
        return self._drawing

    def set_drawing(self, drawing: Drawing, *, loop: Sequence[Drawing] = ()) -> None:
        """Show another drawing; motion stops."""
        self.stop()
        self._drawing, self._loop = drawing, loop
        self.setAccessibleName(said_words(drawing.description))
        self.updateGeometry()
        self.update()

    def play(self) -> None:
        """Move through the loop until `stop`; nothing happens without a loop, or where less motion
        is asked for."""
        if not self._loop or not current().moves:
            return
        self._playing = True
        self._run.start()
        if self.isVisible():
            self._timer.start()

    def stop(self) -> None:
        """Show the still drawing again."""
        self._playing = False
        self._timer.stop()
        self._at = 0
        self.update()

    def is_moving(self) -> bool:
        return self._timer.isActive()

    def shown(self) -> Drawing:
        """The drawing that is painted now."""
        return self._loop[self._at] if self._playing and self._loop else self._drawing

    def sizeHint(self) -> QSize:
        frame, scale = self._drawing.frame, self._scale()
        return QSize(round(frame.width * scale), round(frame.height * scale))

    def minimumSizeHint(self) -> QSize:
        return self.sizeHint() * self._least_share

    def hasHeightForWidth(self) -> bool:
        return True

    def heightForWidth(self, width: int) -> int:
        frame = self._drawing.frame
        wide = min(float(width), frame.width * self._scale())
        return round(wide * frame.height / frame.width)

    def full_height(self, width: int) -> int:
        """How high it is where only the width holds it back."""
        frame = self._drawing.frame
        return round(width * frame.height / frame.width)

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        paint(
            painter,
            self.shown(),
            QRectF(self.rect()),
            picture_colours(current().palette, current().skin_tone),
        )
        painter.end()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._look_through()
        if self._playing:
            self._timer.start()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if watched is self._seen_through and event.type() == QEvent.Type.Resize:
            self.updateGeometry()
        return super().eventFilter(watched, event)

    def _look_through(self) -> None:
        """Find the view that this scrolls in, and follow its height."""
        around = self.parentWidget()
        while around is not None and not isinstance(around, QAbstractScrollArea):
            around = around.parentWidget()
        view = None if around is None else around.viewport()
        if view is self._seen_through:
            return
        self._seen_through = view
        if view is not None:
            view.installEventFilter(self)
        self.updateGeometry()

    def hideEvent(self, event: QHideEvent) -> None:
        self._timer.stop()
        super().hideEvent(event)

    def _next(self) -> None:
        """On to the frame that is due: where painting is slow frames are left out, not time."""
        self._at = round(self._run.elapsed() / FRAME_MS) % len(self._loop)
        self.update()

    def _scale(self) -> float:
        """Pixels a millimetre: half as fast as the text, and no higher than what is seen at once.

        A knee of which only a part is in sight does not say where. With large text its words stay
        as large as they are at text of 100 %.
        """
        wanted = PIXELS_PER_MM * (100 + current().text_percent) / 200
        if self._seen_through is None:
            return wanted
        fits = self._seen_through.height() / self._drawing.frame.height
        return max(min(PIXELS_PER_MM, wanted * self._least_share), min(wanted, fits))


class ZonePicture(KneePicture):
    """The sore zones of a knee, to be tapped, or reached with the arrow keys and Space.

    It only says which zone was meant (`zone_pressed`); whoever shows it keeps what is marked and
    hands it back with `set_marked`. The same zones stand beside it as words.
    """

    zone_pressed = Signal(str)

    def __init__(self, side: Side, viewpoint: Viewpoint, *, knee: Knee | None = None) -> None:
        self._side, self._seen, self._knee = side, viewpoint, knee or Knee()
        self._zones = zones_of(side, viewpoint, self._knee)
        self._marked: tuple[Zone, ...] = ()
        self._at_zone: Zone = "behind_kneecap"
        self._pressed: Zone | None = None
        super().__init__(zones_picture(side, viewpoint, knee=self._knee))
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleDescription(phrase("Arrow keys go from place to place, Space ticks one"))

    def set_marked(self, zones: Collection[Zone]) -> None:
        self._marked = tuple(zones)
        self.set_drawing(zones_picture(self._side, self._seen, self._marked, knee=self._knee))

    def marked(self) -> tuple[Zone, ...]:
        return self._marked

    def zone_in_reach(self) -> Zone:
        """The zone the arrow keys stand on."""
        return self._at_zone

    def zone_of(self, x: float, y: float) -> Zone | None:
        """The zone at a place of the widget, in pixels; None beside all zones."""
        page = _page_point(self.drawing(), QRectF(self.rect()), x, y)
        return self._zones.at(page)

    def place_of(self, zone: Zone) -> QPointF:
        """The middle of a zone, in pixels of the widget."""
        at = self._zones.middle(zone)
        frame, into = self.drawing().frame, QRectF(self.rect())
        scale = min(into.width() / frame.width, into.height() / frame.height)
        middle = complex(frame.left + frame.width / 2, frame.top + frame.height / 2)
        return into.center() + QPointF((at - middle).real, (at - middle).imag) * scale

    def mousePressEvent(self, event: QMouseEvent) -> None:
        zone = self.zone_of(event.position().x(), event.position().y())
        if zone is None:
            super().mousePressEvent(event)
            return
        if presses().counts(("mouse", zone)):
            self._pressed = zone
            self._at_zone = zone
            self.update()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        # It counts when it is let go there: a slip is taken back by moving away (WCAG 2.5.2).
        pressed, self._pressed = self._pressed, None
        at = event.position()
        if pressed is not None and self.zone_of(at.x(), at.y()) == pressed:
            self.zone_pressed.emit(pressed)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Space:
            what = ("key", self._at_zone)
            if not event.isAutoRepeat() and presses().counts(what, key=event.key()):
                self.zone_pressed.emit(self._at_zone)
                self._say_zone()
            return
        way = _ARROWS.get(Qt.Key(event.key()))
        if way is None:
            super().keyPressEvent(event)
            return
        self._at_zone = self._next_zone(way)
        self.update()
        self._say_zone()

    def _say_zone(self) -> None:
        """The zone that is in reach, and whether it is ticked."""
        zone = said_words(ZONES[self._at_zone])
        if self._at_zone in self._marked:
            announce(self, phrase("{zone}, ticked", zone=zone))
        else:
            announce(self, phrase("{zone}, not ticked", zone=zone))

    def _next_zone(self, way: complex) -> Zone:
        """The nearest zone in a direction of the page; the same one when there is none."""
        here = self._zones.middle(self._at_zone)
        best, least = self._at_zone, float("inf")
        for zone in self._zones.areas:
            step = self._zones.middle(zone) - here
            ahead = step.real * way.real + step.imag * way.imag
            aside = abs(step.real * way.imag - step.imag * way.real)
            if ahead > 1 and aside < 2 * ahead and ahead + 2 * aside < least:
                best, least = zone, ahead + 2 * aside
        return best

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        if not self.hasFocus():
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        palette = current().palette
        to_frame(painter, self.drawing().frame, QRectF(self.rect()))
        ring = qt_path(self._zones.areas[self._at_zone])
        for colour, width in ((palette.ring_gap, 7.0), (palette.ring, 3.6)):
            painter.strokePath(ring, QPen(QColor(colour), width))
        painter.end()


_ARROWS = {
    Qt.Key.Key_Left: complex(-1, 0),
    Qt.Key.Key_Right: complex(1, 0),
    Qt.Key.Key_Up: complex(0, -1),
    Qt.Key.Key_Down: complex(0, 1),
}


def _page_point(drawing: Drawing, into: QRectF, x: float, y: float) -> complex:
    frame = drawing.frame
    scale = min(into.width() / frame.width, into.height() / frame.height)
    middle = complex(frame.left + frame.width / 2, frame.top + frame.height / 2)
    return middle + complex(x - into.center().x(), y - into.center().y()) / scale
