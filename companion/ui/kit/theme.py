"""Colours, sizes and the one generated style sheet.

Sizes of text are in points and follow one percentage; lengths of boxes are in pixels on a grid of
eight. Each palette stands on its own: text reaches 7:1 and the edges of controls 3:1 against what
they lie on (tests measure it).
"""

from __future__ import annotations

import os
from dataclasses import dataclass, field
from enum import Enum
from functools import lru_cache
from typing import Literal

from PySide6.QtGui import QColor, QFont, QFontInfo, QPalette
from PySide6.QtWidgets import QApplication

from companion.canvas.fonts import load_fonts
from companion.services.settings import SkinTone
from companion.system.font_files import FAMILY

GRID = 8
COLUMN_WIDTH = 720
FRAME_WIDTH = 1400
"""The most that heads, columns and bars take, in pixels at 100 % text."""
TARGET_HEIGHT = 64
RING_WIDTH = 3
RING_GAP = 2
# Every kit widget keeps this much free on all sides, so that its ring never moves anything.
REACH = RING_WIDTH + RING_GAP
LEAST_TEXT_PERCENT = 100
MOST_TEXT_PERCENT = 400
LARGE_TEXT_PERCENT = 200
"""Up to here everything grows alike, and a large screen makes text grow by itself."""
_MOST_POINTS = 72.0
"""Beyond that size of text only what is smaller than this grows: a heading of 100 points leaves no
room for what it is over (our choice, no source)."""
_STAGE_GROWS_TO = 125


GROWS_FROM = 1920
"""From windows of this width in pixels on the type grows with the window."""
_GROWN_BY = (1500, 800)
"""Pixels of width and height that take text at its chosen size (our choice, no source)."""


@dataclass(frozen=True, slots=True)
class Palette:
    """Colours by what they are for, as "#RRGGBB". `on_x` is the colour of words on `x`."""

    name: str
    paper: str
    ink: str
    quiet: str
    line: str
    surface: str
    chosen: str
    action: str
    action_pressed: str
    on_action: str
    ring: str
    ring_gap: str
    disabled_ink: str
    emergency: str
    on_emergency: str
    today: str
    on_today: str
    call: str
    on_call: str
    care: str
    on_care: str
    card_edge: str


LIGHT = Palette(
    name="light",
    paper="#FBF8F2",
    ink="#1A1A1A",
    quiet="#4A4A46",
    line="#8A867C",
    surface="#FFFFFF",
    chosen="#E4EDF5",
    action="#004B87",
    action_pressed="#00365F",
    on_action="#FFFFFF",
    ring="#1A1A1A",
    ring_gap="#FBF8F2",
    disabled_ink="#55554F",
    emergency="#A4003A",
    on_emergency="#FFFFFF",
    today="#F2AE3A",
    on_today="#000000",
    call="#004B87",
    on_call="#FFFFFF",
    care="#FFFFFF",
    on_care="#1A1A1A",
    card_edge="#1A1A1A",
)

DARK = Palette(
    name="dark",
    paper="#171613",
    ink="#F3F0E9",
    quiet="#C9C5BC",
    line="#918D84",
    surface="#23211D",
    chosen="#1D3347",
    action="#9CCBF3",
    action_pressed="#C4E0F8",
    on_action="#0A1B2B",
    ring="#F3F0E9",
    ring_gap="#171613",
    disabled_ink="#BDB9B0",
    emergency="#A4003A",
    on_emergency="#FFFFFF",
    today="#F2AE3A",
    on_today="#000000",
    call="#004B87",
    on_call="#FFFFFF",
    care="#23211D",
    on_care="#F3F0E9",
    card_edge="#F3F0E9",
)

HIGH_CONTRAST = Palette(
    name="high_contrast",
    paper="#000000",
    ink="#FFFFFF",
    quiet="#FFFFFF",
    line="#FFFFFF",
    surface="#000000",
    chosen="#003366",
    action="#FFE600",
    action_pressed="#FFFFFF",
    on_action="#000000",
    ring="#FFFFFF",
    ring_gap="#000000",
    disabled_ink="#D6D6D6",
    emergency="#A4003A",
    on_emergency="#FFFFFF",
    today="#F2AE3A",
    on_today="#000000",
    call="#00407A",
    on_call="#FFFFFF",
    care="#000000",
    on_care="#FFFFFF",
    card_edge="#FFFFFF",
)

PALETTES = {palette.name: palette for palette in (LIGHT, DARK, HIGH_CONTRAST)}


Room = Literal["closest", "tight", "close", "usual", "roomy", "roomiest"]
"""How the words of a page are set: closer where they would be too high for the screen, larger where
they are few."""


class Type(Enum):
    """The sizes of type: points at 100 %, bold or not, line height as a multiple of the size."""

    __hash__ = object.__hash__  # that of an enum is asked for with every word, and is slow

    BODY = (16.0, False, 1.45)
    STRONG = (16.0, True, 1.45)
    LABEL = (14.0, False, 1.45)
    LABEL_STRONG = (14.0, True, 1.45)
    STRIP = (14.0, False, 1.4)
    STRIP_STRONG = (14.0, True, 1.4)
    """What never scrolls away: it grows to 200 %, else nothing would be left to read below it."""
    HEADING = (26.0, True, 1.25)
    SUBHEADING = (20.0, True, 1.3)
    BUTTON = (16.0, True, 1.25)
    DOOR = (18.0, True, 1.3)
    SCORE = (18.0, True, 1.2)
    PHONE = (22.0, True, 1.3)
    COUNT = (64.0, True, 1.1)
    FAR = (22.0, False, 1.4)
    FAR_HEADING = (44.0, True, 1.15)
    """Its capitals are 10 mm high, which is read at two metres (height = distance / 200, common
    practice, no source), and two lines of it still leave room for a step at 200 %."""
    STAGE = (60.0, True, 1.1)
    """Its capitals are 12 mm high on a screen of 15.6 inches, 1366 or 1920 pixels wide."""
    FAR_STRIP = (20.0, True, 1.29)
    FAR_BUTTON = (26.0, True, 1.24)
    CLOCK = (16.0, True, 1.44)
    """What never scrolls away there: the line over the page, its buttons, the words of a clock."""
    CLOSE_BODY = (16.0, False, 1.22)
    CLOSE_STRONG = (16.0, True, 1.22)
    CLOSE_LABEL = (14.0, False, 1.22)
    CLOSE_LABEL_STRONG = (14.0, True, 1.22)
    CLOSE_BUTTON = (16.0, True, 1.2)
    """As those of the same name, on a page that would else be too high: only the lines are
    closer, no letter is smaller."""
    CLOSEST_BUTTON = (14.0, True, 1.2)
    CLOSE_STAGE = (44.0, True, 1.1)
    """In large text as large as it is on a stage that has room: the verb must be seen whole."""
    TIGHT_STAGE = (38.0, True, 1.1)
    """In large text in a window of few pixels, where less of the verb would be seen."""
    CLOSEST_FAR_HEADING = (34.0, True, 1.15)
    CLOSEST_SUBHEADING = (17.0, True, 1.2)
    CLOSEST_PHONE = (19.0, True, 1.2)
    """The same in the least size there is, where closer lines are not enough and nobody asked for
    larger text."""
    ROOMY_BODY = (20.0, False, 1.45)
    ROOMY_STRONG = (20.0, True, 1.4)
    ROOMY_LABEL = (17.0, False, 1.45)
    ROOMY_LABEL_STRONG = (17.0, True, 1.45)
    ROOMY_SUBHEADING = (24.0, True, 1.3)
    ROOMY_HEADING = (30.0, True, 1.2)
    ROOMY_SCORE = (24.0, True, 1.2)
    ROOMIEST_BODY = (28.0, False, 1.4)
    ROOMIEST_STRONG = (28.0, True, 1.35)
    ROOMIEST_SUBHEADING = (32.0, True, 1.25)
    ROOMIEST_HEADING = (36.0, True, 1.2)
    """As those of the same name, on a page of few words, and on one of a sentence or two."""

    def at(self, room: Room) -> Type:
        """The type in which this is set where a page is close or roomy."""
        return _AT[room].get(self, self)

    @property
    def points(self) -> float:
        """Size in points at 100 % text."""
        return self.value[0]

    @property
    def grows_to(self) -> int:
        """Up to which size of text it grows, in percent: what is large already, little."""
        if self in (Type.STAGE, Type.COUNT):
            return _STAGE_GROWS_TO
        if self is Type.TIGHT_STAGE:
            return LEAST_TEXT_PERCENT
        if self is Type.CLOSE_STAGE:
            return int(100 * Type.STAGE.points / self.points)
        if self in (Type.FAR_STRIP, Type.FAR_BUTTON):
            return int(LARGE_TEXT_PERCENT * Type.STRIP.points / Type.FAR_STRIP.points)
        if self in (Type.STRIP, Type.STRIP_STRONG, Type.CLOCK):
            return LARGE_TEXT_PERCENT
        readable = int(100 * _MOST_POINTS / self.points)
        return max(LARGE_TEXT_PERCENT, min(readable, MOST_TEXT_PERCENT))

    @property
    def bold(self) -> bool:
        return self.value[1]

    @property
    def line_spacing(self) -> float:
        """Line height as a multiple of the type size."""
        return self.value[2]


_AT: dict[Room, dict[Type, Type]] = {
    "closest": {
        Type.STAGE: Type.CLOSE_STAGE,
        Type.FAR_HEADING: Type.CLOSEST_FAR_HEADING,
        Type.BODY: Type.CLOSE_LABEL,
        Type.STRONG: Type.CLOSE_LABEL_STRONG,
        Type.LABEL: Type.CLOSE_LABEL,
        Type.LABEL_STRONG: Type.CLOSE_LABEL_STRONG,
        Type.BUTTON: Type.CLOSEST_BUTTON,
        Type.DOOR: Type.CLOSE_LABEL_STRONG,
        Type.SUBHEADING: Type.CLOSEST_SUBHEADING,
        Type.PHONE: Type.CLOSEST_PHONE,
    },
    "close": {
        Type.STAGE: Type.CLOSE_STAGE,
        Type.BODY: Type.CLOSE_BODY,
        Type.STRONG: Type.CLOSE_STRONG,
        Type.LABEL: Type.CLOSE_LABEL,
        Type.LABEL_STRONG: Type.CLOSE_LABEL_STRONG,
        Type.BUTTON: Type.CLOSE_BUTTON,
    },
    "tight": {
        Type.STAGE: Type.TIGHT_STAGE,
        Type.BODY: Type.CLOSE_BODY,
        Type.STRONG: Type.CLOSE_STRONG,
        Type.LABEL: Type.CLOSE_LABEL,
        Type.LABEL_STRONG: Type.CLOSE_LABEL_STRONG,
        Type.BUTTON: Type.CLOSE_BUTTON,
    },
    "usual": {},
    "roomy": {
        Type.BODY: Type.ROOMY_BODY,
        Type.STRONG: Type.ROOMY_STRONG,
        Type.LABEL: Type.ROOMY_LABEL,
        Type.LABEL_STRONG: Type.ROOMY_LABEL_STRONG,
        Type.BUTTON: Type.ROOMY_STRONG,
        Type.DOOR: Type.ROOMY_STRONG,
        Type.SCORE: Type.ROOMY_SCORE,
        Type.SUBHEADING: Type.ROOMY_SUBHEADING,
        Type.HEADING: Type.ROOMY_HEADING,
    },
    "roomiest": {
        Type.BODY: Type.ROOMIEST_BODY,
        Type.STRONG: Type.ROOMIEST_STRONG,
        Type.LABEL: Type.ROOMY_BODY,
        Type.LABEL_STRONG: Type.ROOMY_STRONG,
        Type.SUBHEADING: Type.ROOMIEST_SUBHEADING,
        Type.HEADING: Type.ROOMIEST_HEADING,
    },
}


@dataclass(frozen=True, slots=True)
class Theme:
    """A palette, a text size, 100 to 400 percent, the skin of the people in pictures, and whether
    these move.

    Raises ValueError for a size outside that range.
    """

    palette: Palette = field(default=LIGHT)
    text_percent: int = 100
    skin_tone: SkinTone = "light"
    moves: bool = True

    def __post_init__(self) -> None:
        if not LEAST_TEXT_PERCENT <= self.text_percent <= MOST_TEXT_PERCENT:
            raise ValueError(f"text size {self.text_percent} % is not between 100 and 400")

    def __hash__(self) -> int:
        # Asked for with every word that is laid out, so not over all the colours.
        return self.text_percent

    def font(self, kind: Type) -> QFont:
        return _font(kind, min(self.text_percent, kind.grows_to))

    def points(self, kind: Type) -> float:
        """The size of one kind of text in points, scaled."""
        return kind.points * min(self.text_percent, kind.grows_to) / 100

    def line_height(self, kind: Type) -> float:
        """The distance between base lines, in pixels."""
        return _line_height(kind, min(self.text_percent, kind.grows_to))

    def column(self, pixels: int) -> int:
        """How wide a column may be that takes `pixels` at 100 %: it grows half as fast as the text,
        so that a line of large text still holds enough words to be read as one."""
        return round(pixels * (100 + self.text_percent) / 200)

    def scaled(self, pixels: float) -> int:
        """A length that should grow with the text, in pixels; used for marks beside words."""
        return round(pixels * self.text_percent / 100)


def grown(percent: int, width: int, height: int) -> int:
    """The size of text in percent in a window of so many pixels, where `percent` was chosen: on a
    large screen it grows by itself, up to `LARGE_TEXT_PERCENT`."""
    if width < GROWS_FROM:
        return percent
    by = min(width / _GROWN_BY[0], height / _GROWN_BY[1])
    return max(percent, min(LARGE_TEXT_PERCENT, 5 * int(percent * by / 5)))


@lru_cache(maxsize=64)
def _font(kind: Type, text_percent: int) -> QFont:
    font = QFont(FAMILY)
    font.setPointSizeF(kind.points * text_percent / 100)
    font.setBold(kind.bold)
    return font


@lru_cache(maxsize=64)
def _line_height(kind: Type, text_percent: int) -> float:
    return QFontInfo(_font(kind, text_percent)).pixelSize() * kind.line_spacing


# Asking the application for its style, or setting one, hands a QStyle to Python, and with it come
# some hundred enumerations: a tenth of the whole start. Named here, before there is an
# application, the style is made without ever being looked at.
_STYLE = "fusion"
_style_is_named = QApplication.instance() is None
if _style_is_named:
    os.environ["QT_STYLE_OVERRIDE"] = _STYLE


class _Applied:
    """What widgets paint in: as global as the application's style sheet, and set with it."""

    theme = Theme()


def current() -> Theme:
    """The theme last applied; the light one at 100 % before that."""
    return _Applied.theme


def closest() -> Room:
    """The least room there is: where larger text was asked for no letter is made smaller."""
    return "closest" if current().text_percent == LEAST_TEXT_PERCENT else "close"


def apply(app: QApplication, theme: Theme) -> None:
    """Make every window of the application follow the theme, now and when it changes later."""
    load_fonts()
    _Applied.theme = theme
    if not _style_is_named and app.style().objectName().lower() != _STYLE:
        app.setStyle(_STYLE)
    app.setPalette(qt_palette(theme.palette))
    app.setStyleSheet(style_sheet(theme))


def qt_palette(palette: Palette) -> QPalette:
    """Qt's own palette from ours: Fusion's placeholder and disabled greys are too faint."""
    made = QPalette()
    role = QPalette.ColorRole
    for target, colour in (
        (role.Window, palette.paper),
        (role.WindowText, palette.ink),
        (role.Base, palette.surface),
        (role.AlternateBase, palette.paper),
        (role.Text, palette.ink),
        (role.Button, palette.surface),
        (role.ButtonText, palette.ink),
        (role.BrightText, palette.ink),
        (role.Highlight, palette.action),
        (role.HighlightedText, palette.on_action),
        (role.PlaceholderText, palette.quiet),
        (role.ToolTipBase, palette.surface),
        (role.ToolTipText, palette.ink),
        (role.Link, palette.action),
        (role.LinkVisited, palette.action),
    ):
        made.setColor(target, QColor(colour))
    for target in (role.WindowText, role.Text, role.ButtonText):
        made.setColor(QPalette.ColorGroup.Disabled, target, QColor(palette.disabled_ink))
    return made


def faint_line(palette: Palette) -> QColor:
    """For lines that only lead the eye along a row or a score: weaker than the edge of a control,
    and still seen in every palette."""
    made = QColor(palette.line)
    made.setAlphaF(0.45)
    return made


def style_sheet(theme: Theme) -> str:
    """The one style sheet: only what Qt draws itself; kit widgets paint themselves."""
    p = theme.palette
    body = theme.points(Type.BODY)
    label = theme.points(Type.LABEL)
    row = faint_line(p).name(QColor.NameFormat.HexArgb)
    return f"""
* {{ font-family: "{FAMILY}"; font-size: {body:g}pt; }}
QScrollArea {{ background: transparent; border: none; }}
QScrollBar:vertical {{ background: {p.paper}; width: 20px; margin: 0; border: none; }}
QScrollBar::handle:vertical {{ background: {p.line}; min-height: 48px; border-radius: 6px;
    margin: 4px; }}
QScrollBar::handle:vertical:hover {{ background: {p.quiet}; }}
QScrollBar:horizontal {{ background: {p.paper}; height: 20px; margin: 0; border: none; }}
QScrollBar::handle:horizontal {{ background: {p.line}; min-width: 48px; border-radius: 6px;
    margin: 4px; }}
QScrollBar::add-line, QScrollBar::sub-line {{ width: 0; height: 0; }}
QScrollBar::add-page, QScrollBar::sub-page {{ background: transparent; }}
QLineEdit, QPlainTextEdit {{ background: transparent; border: none; padding: 0;
    color: {p.ink}; selection-background-color: {p.action}; selection-color: {p.on_action}; }}
QTableView {{ background: {p.surface}; color: {p.ink}; gridline-color: {p.line};
    border: none; selection-background-color: {p.chosen}; selection-color: {p.ink}; }}
QTableView {{ outline: none; }}
QTableView::item {{ padding: 0 8px; border-bottom: 1px solid {row}; }}
QTableView::item:selected {{ background: {p.chosen}; color: {p.ink};
    border-bottom: 2px solid {p.action}; }}
QHeaderView {{ background: {p.paper}; }}
QHeaderView::section {{ background: {p.paper}; color: {p.ink}; font-size: {label:g}pt;
    font-weight: bold; border: none; border-bottom: 2px solid {p.ink}; padding: 8px; }}
QToolTip {{ background: {p.surface}; color: {p.ink}; border: 1px solid {p.ink};
    font-size: {label:g}pt; padding: 4px; }}
"""
