"""Days to be kept with a pen, as a PDF: two days a side, large enough to write in."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from functools import partial

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QPainter

from companion.canvas.box import Box as Place
from companion.canvas.marks import Tag, for_the_eye, tagged
from companion.canvas.typesetting import (
    INK,
    Align,
    TextStyle,
    draw_line,
    first_baseline,
    solid,
    text_width,
    wrapped,
)
from companion.paper.leaflet import WRITING_LINE
from companion.paper.pdf import POINTS_PER_MM, pdf_bytes
from companion.presentation.language.phrases import phrase
from companion.presentation.papers.day_form import Boxes, DayForm, DayForms, Gap, Part, Ring, Row

_EDGE = 9 * POINTS_PER_MM
_CORNER = 5 * POINTS_PER_MM
"""How far the marks stand from the corners, by which a scan is set straight."""
_HEADING = TextStyle(16, bold=True, leading=1.2)
_HEAD = _HEADING.line_height + 5
"""Points that the head of a form takes."""
_WORDS = TextStyle(14, leading=1.2)
_NUMBER = TextStyle(14, bold=True, leading=1.2)
_RUNNING = TextStyle(10, leading=1.3)
_LEADS = tuple(TextStyle(size, leading=1.15) for size in (12.0, 11.0, 10.0))
"""How large the head of a side is set: the largest with which the days take the fewest sides."""
_CODE = TextStyle(10, leading=1.2)
_LEAST_LINE, _MOST_LINE = 15.8, 26.0
"""Points that a line of a form takes: room to ring a number, more where the paper has it."""
_LABEL_SHARE, _HALF_LABEL_SHARE, _SHORT_LABEL_SHARE = 0.52, 0.6, 0.22
_UNDER = 5.0
"""Points below the last line of a form."""
_PARTING = 2.0
"""Points of the line between two days: no line to write on is taken for it."""
_BOX = 11.0
_GAP = 8.0


def day_forms_pdf(content: DayForms, *, on: date, letter: bool = False) -> bytes:
    """The PDF as bytes, A4 or Letter, dated `on`."""
    title = phrase("{title}: {head}", title=content.title, head=content.running_head)
    return pdf_bytes(title, content, on, partial(_paint_all, content), letter=letter)


def _paint_all(
    content: DayForms, painter: QPainter, next_page: Callable[[], object], sheet: Place
) -> None:
    width = sheet.width - 2 * _EDGE
    bottom = sheet.height - _EDGE - 4
    heads = [_head(content, style, width) for style in _LEADS]
    found = [_sides(content.forms, width, bottom - _under(head)) for head in heads]
    fewest = min(map(len, found))
    sides, head = next(pair for pair in zip(found, heads, strict=True) if len(pair[0]) == fewest)
    for number, forms in enumerate(sides, 1):
        if number > 1:
            next_page()
        _running(painter, content, head, sheet, number, len(sides))
        at = _under(head)
        # Each has room by what it asks: two knees are not asked the same.
        spare = (bottom - at - sum(_height(form, width) for form in forms)) / sum(
            _line_count(form, width) for form in forms
        )
        for place, form in enumerate(forms):
            room = _height(form, width) + spare * _line_count(form, width)
            _form(painter, form, Place(_EDGE, at, width, room), first=place == 0)
            at += room


def _head(content: DayForms, style: TextStyle, width: float) -> list[tuple[str, TextStyle]]:
    """The lines over the days of a side: what is open first, how it is filled in, what stops it."""
    strong = [
        (line, style.with_bold()) for line in wrapped(content.warned, style.with_bold(), width)
    ]
    words = (content.lead, *content.limits)
    told = [(line, style) for each in words for line in wrapped(each, style, width)]
    return [*(strong if content.warned else ()), *told]


def _under(head: Sequence[tuple[str, TextStyle]]) -> float:
    """Where the days begin below it."""
    return _EDGE - 8 + sum(style.line_height for _, style in head)


def _sides(forms: Sequence[DayForm], width: float, room: float) -> list[list[DayForm]]:
    """The forms of each side of paper: two where both have room, else one."""
    sides: list[list[DayForm]] = []
    for form in forms:
        height = _height(form, width)
        last = sides[-1] if sides else []
        if len(last) == 1 and height + _height(last[0], width) <= room:
            last.append(form)
        else:
            sides.append([form])
    return sides


def _height(form: DayForm, width: float) -> float:
    return _HEAD + _line_count(form, width) * _LEAST_LINE + _UNDER


def _line_count(form: DayForm, width: float) -> int:
    return sum(_lines_of(row, width) for row in form.rows)


def _lines_of(row: Row, width: float) -> int:
    label = width / len(row) * _share(row) - 6
    return max(len(wrapped(part.words, _WORDS, label)) for part in row)


def _share(row: Row) -> float:
    """How much of its place the words of a question take: little where there is much to tick."""
    if len(row) > 1:
        return _HALF_LABEL_SHARE
    many = isinstance(row[0], Boxes) and len(row[0].options) > 2
    return _SHORT_LABEL_SHARE if many else _LABEL_SHARE


def _form(painter: QPainter, form: DayForm, place: Place, *, first: bool) -> None:
    if not first:
        solid(painter, INK, _PARTING)
        painter.drawLine(QLineF(place.left, place.top, place.right, place.top))
    base = place.top + first_baseline(_HEADING) + 2
    with tagged(painter, Tag("H1")):
        draw_line(painter, form.heading, _HEADING, QPointF(place.left, base))
    draw_line(painter, form.code, _CODE, QPointF(place.right, base), Align.RIGHT)
    top = place.top + _HEAD
    line = min((place.height - _HEAD - _UNDER) / _line_count(form, place.width), _MOST_LINE)
    for row in form.rows:
        lines = _lines_of(row, place.width)
        each = place.width / len(row)
        for number, part in enumerate(row):
            box = Place(place.left + number * each, top, each, lines * line)
            with tagged(painter, Tag("P")):
                _part(painter, part, box, _share(row), line)
        top += lines * line


def _part(painter: QPainter, part: Part, place: Place, share: float, high: float) -> None:
    """A question in lines of so many points, and what answers it."""
    label = place.width * share
    lines = wrapped(part.words, _WORDS, label - 6)
    middle = place.top + (place.height - len(lines) * high) / 2
    for number, line in enumerate(lines):
        base = middle + number * high + high / 2 + _WORDS.cap_height / 2
        draw_line(painter, line, _WORDS, QPointF(place.left, base))
    left, right = place.left + label, place.right - _GAP
    base = place.top + place.height / 2 + _WORDS.cap_height / 2
    match part:
        case Ring():
            step = (right - left) / 11
            for score in range(11):
                at = QPointF(left + (score + 0.5) * step, base)
                draw_line(painter, str(score), _NUMBER, at, Align.CENTRE)
        case Boxes():
            _boxes(painter, part.options, left, right, base)
        case Gap():
            end = right - (text_width(part.unit, _WORDS) + 6 if part.unit else 0)
            solid(painter, INK, WRITING_LINE)
            painter.drawLine(QLineF(left, base + 3, end, base + 3))
            if part.unit:
                draw_line(painter, part.unit, _WORDS, QPointF(end + 6, base))


def _boxes(
    painter: QPainter, options: Sequence[str], left: float, right: float, base: float
) -> None:
    """Boxes with their words in a row, set smaller where the row is too short for them."""
    style = _WORDS
    while style.size > 9 and _row_width(options, style) > right - left:
        style = TextStyle(style.size - 0.5, leading=1.2)
    x = left
    for option in options:
        solid(painter, INK, 1.0)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(QRectF(x, base - _BOX + 1, _BOX, _BOX))
        draw_line(painter, option, style, QPointF(x + _BOX + 4, base))
        x += _BOX + 4 + text_width(option, style) + _GAP


def _row_width(options: Sequence[str], style: TextStyle) -> float:
    return sum(_BOX + 4 + text_width(option, style) + _GAP for option in options) - _GAP


def _running(
    painter: QPainter,
    content: DayForms,
    head: Sequence[tuple[str, TextStyle]],
    sheet: Place,
    number: int,
    count: int,
) -> None:
    left, right = _EDGE, sheet.width - _EDGE
    page = phrase("Page {number} of {count}", number=number, count=count)
    whose = phrase("{head}. {page}", head=content.running_head, page=page)
    with for_the_eye():
        low = sheet.height - _EDGE + 8
        draw_line(painter, content.foot, _RUNNING.with_bold(), QPointF(left, low))
        draw_line(painter, whose, _RUNNING, QPointF(right, low), Align.RIGHT)
    base = _EDGE
    with tagged(painter, Tag("P")):
        for words, style in head:
            draw_line(painter, words, style, QPointF(left, base))
            base += style.line_height
    solid(painter, INK, 1.6)
    for x, inwards in ((_CORNER, 1), (sheet.width - _CORNER, -1)):
        for y, down in ((_CORNER, 1), (sheet.height - _CORNER, -1)):
            painter.drawLine(QLineF(x, y, x + inwards * 10, y))
            painter.drawLine(QLineF(x, y, x, y + down * 10))
