"""The record as a picture: its width, its ink, and whose it is."""

from __future__ import annotations

from datetime import timedelta

import pytest
from PySide6.QtGui import QColor, QImage

from companion.paper.record_picture import record_png
from companion.presentation.home.record_view import RecordView, Span, record_view
from tests.builders import START
from tests.paper.diaries import both_knees, eight_weeks, plan

LAST = START + timedelta(days=55)


def views() -> list[RecordView]:
    own, entries = eight_weeks()
    return [record_view(entries, [own], "right", Span.LAST_8_WEEKS, LAST)]


def read(data: bytes) -> QImage:
    image = QImage()
    assert image.loadFromData(data, "PNG")
    return image


def ink(image: QImage, left: int, top: int, right: int, bottom: int) -> float:
    """The share of dark pixels, every second one looked at."""
    seen = [
        QColor(image.pixel(x, y)).lightness() < 140
        for x in range(left, right, 2)
        for y in range(top, bottom, 2)
    ]
    return sum(seen) / len(seen)


def test_it_is_1600_wide_with_ink_at_head_chart_and_table() -> None:
    image = read(record_png("K-90", views()))
    assert image.width() == 1600
    assert image.height() > 1600
    margin = 80
    assert ink(image, margin, margin, 800, 140) > 0.02
    assert ink(image, margin, 300, 1200, 700) > 0.005
    assert ink(image, margin, image.height() - 500, 1500, image.height() - 100) > 0.01
    # The margins stay white.
    assert ink(image, 0, 0, margin - 4, image.height()) == 0
    assert ink(image, 1600 - margin + 8, 0, 1600, image.height()) == 0


def test_it_is_grey_from_end_to_end() -> None:
    image = read(record_png("K-90", views()))
    colours = {image.pixel(x, y) for x in range(0, 1600, 7) for y in range(0, image.height(), 11)}
    # Inks are near grey, so a copy in black and white says the same.
    assert all(QColor(each).hsvSaturation() < 40 for each in colours)


def test_two_knees_stand_under_each_other_and_the_mark_shows() -> None:
    own, entries = both_knees()
    both = [
        record_view(entries, [own], side, Span.ALL, START + timedelta(days=34))
        for side in own.sides
    ]
    one = read(record_png("K-91", both[:1]))
    two = read(record_png("K-91", both))
    marked = read(record_png("K-91", both[:1], plan_mark="Practice plan"))
    assert two.height() > 1.7 * one.height()
    assert marked.height() > one.height()


def test_an_empty_record_is_a_picture_too() -> None:
    empty = record_view([], [plan()], "right", Span.LAST_14_DAYS, LAST)
    image = read(record_png("K-90", [empty]))
    assert ink(image, 80, 80, 1500, image.height() - 80) > 0.001


def test_the_same_record_gives_the_same_picture() -> None:
    assert record_png("K-90", views()) == record_png("K-90", views())


def test_no_knee_is_refused() -> None:
    with pytest.raises(ValueError, match="at least one knee"):
        record_png("K-90", [])
