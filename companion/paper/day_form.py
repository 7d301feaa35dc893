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
from companion.paper.pdf import POINTS_PER_MM, pdf_bytes
from companion.presentation.language.phrases import phrase
from companion.presentation.papers.day_form import Boxes, DayForm, DayForms, Gap, Part, Ring, Row

_EDGE = 10 * POINTS_PER_MM
_CORNER = 6 * POINTS_PER_MM
"""How far the marks stand from the corners, by which a scan is set straight."""
_HEADING = TextStyle(16, bold=True, leading=1.25)
_HEAD = _HEADING.line_height + 5
"""Points that the head of a form takes."""
_WORDS = TextStyle(14, leading=1.2)
_NUMBER = TextStyle(14, bold=True, leading=1.2)
_RUNNING = TextStyle(10, leading=1.3)
_LEAD = TextStyle(10, leading=1.2)
_WARNED = TextStyle(10, bold=True, leading=1.3)
_CODE = TextStyle(9, leading=1.2)
_LEAST_LINE, _MOST_LINE = 16.3, 26.0
"""Points that a line of a form takes: room to ring a number, more where the paper has it."""
_LABEL_SHARE, _HALF_LABEL_SHARE, _SHORT_LABEL_SHARE = 0.52, 0.6, 0.22
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
    head = [
        line for words in (content.lead, *content.limits) for line in wrapped(words, _LEAD, width)
    ]
    top = _EDGE + 6 + len(head) * _LEAD.line_height
    bottom = sheet.height - _EDGE - 8
    sides = _sides(content.forms, width, bottom - top)
    for number, forms in enumerate(sides, 1):
        if number > 1:
            next_page()
        _running(painter, content, head, sheet, number, len(sides))
        room = (bottom - top) / max(len(forms), 1)
        for place, form in enumerate(forms):
            _form(painter, form, Place(_EDGE, top + place * room, width, room), first=place == 0)


def _sides(forms: Sequence[DayForm], width: float, room: float) -> list[list[DayForm]]:
    """The forms of each side of paper: two where both have room, else one."""
    sides: list[list[DayForm]] = []
    for form in forms:
        height = _height(form, width)
        last = sides[-1] if sides else []
        if len(last) == 1 and max(height, _height(last[0], width)) <= room / 2:
            last.append(form)
        else:
            sides.append([form])
    return sides


def _height(form: DayForm, width: float) -> float:
    return _HEAD + _line_count(form, width) * _LEAST_LINE


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
        solid(painter, INK, 1.2)
        painter.drawLine(QLineF(place.left, place.top - 3, place.right, place.top - 3))
    base = place.top + first_baseline(_HEADING) + 2
    with tagged(painter, Tag("H1")):
        draw_line(painter, form.heading, _HEADING, QPointF(place.left, base))
    draw_line(painter, form.code, _CODE, QPointF(place.right, base), Align.RIGHT)
    top = place.top + _HEAD
    line = min((place.height - _HEAD - 4) / _line_count(form, place.width), _MOST_LINE)
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
    left, right = place.left + label, place.right - 4
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
            solid(painter, INK, 0.8)
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
    head: Sequence[str],
    sheet: Place,
    number: int,
    count: int,
) -> None:
    left, right = _EDGE, sheet.width - _EDGE
    page = phrase("Page {number} of {count}", number=number, count=count)
    with for_the_eye():
        draw_line(painter, content.running_head, _RUNNING, QPointF(left, _EDGE))
        draw_line(painter, page, _RUNNING, QPointF(right, _EDGE), Align.RIGHT)
        draw_line(painter, content.foot, _RUNNING, QPointF(left, sheet.height - _EDGE + 6))
    if content.warned:
        after = left + text_width(content.running_head, _RUNNING) + 14
        draw_line(painter, content.warned, _WARNED, QPointF(after, _EDGE))
    for line, words in enumerate(head):
        base = _EDGE + 13 + line * _LEAD.line_height
        draw_line(painter, words, _LEAD, QPointF(left, base))
    solid(painter, INK, 1.6)
    for x, inwards in ((_CORNER, 1), (sheet.width - _CORNER, -1)):
        for y, down in ((_CORNER, 1), (sheet.height - _CORNER, -1)):
            painter.drawLine(QLineF(x, y, x + inwards * 12, y))
            painter.drawLine(QLineF(x, y, x, y + down * 12))
