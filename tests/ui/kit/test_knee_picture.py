"""The picture of a knee on a page."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, QRect, Qt
from PySide6.QtGui import QAccessible
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QScrollArea
from pytestqt.qtbot import QtBot

from companion.care.records import Side
from companion.picture.drawing import Drawing
from companion.picture.knee import Knee
from companion.picture.views import Viewpoint
from companion.presentation.view.figures import (
    tape_picture,
    technique_motion,
    technique_still,
)
from companion.ui.kit.knee_picture import (
    LEAST_SHARE,
    PIXELS_PER_MM,
    TAPE,
    KneePicture,
    ZonePicture,
)
from companion.ui.kit.page import Page
from companion.ui.kit.text import Paragraph
from companion.ui.kit.theme import PALETTES, Palette, Theme, apply
from tests.care.content import CATALOGUE
from tests.picture.made import plan
from tests.ui.kit.accessibility import faults
from tests.ui.kit.conftest import Shown
from tests.ui.kit.contrast import contrast_ratio

SHEET = CATALOGUE.technique("glide_inner_edge")


def loop_of(frames: int = 3) -> list[Drawing]:
    """A few drawings of one technique."""
    moving = technique_motion(SHEET, "right", "own")
    return [moving[20 + 10 * i] for i in range(frames)]


def test_its_name_tells_what_it_shows(shown: Shown) -> None:
    def build() -> Page:
        page = Page("Glide")
        page.add(KneePicture(technique_still(SHEET, "right", "own")))
        return page

    page = shown(build)
    picture = page.findChildren(KneePicture)[0]
    interface = QAccessible.queryAccessibleInterface(picture)
    assert interface.role() == QAccessible.Role.Graphic
    told = interface.text(QAccessible.Text.Name)
    assert told.startswith("Right knee, as you see it. ")
    assert faults(page) == []


@pytest.mark.parametrize("palette", PALETTES.values(), ids=lambda palette: palette.name)
def test_it_takes_the_colours_of_the_theme(
    qtbot: QtBot, qapp: QApplication, palette: Palette
) -> None:
    apply(qapp, Theme(palette))
    picture = KneePicture(tape_picture(plan(), "right", 1, "own"))
    qtbot.addWidget(picture)
    picture.resize(360, 540)
    image = picture.grab().toImage()
    seen = {
        image.pixelColor(x, y).name().upper() for x in range(0, 360, 2) for y in range(0, 540, 2)
    }
    assert {palette.ink.upper(), palette.paper.upper(), TAPE[palette.name].upper()} <= seen
    # Lines and numbers on tape are read by ink against tape: 3:1 for graphics (WCAG 2.2, 1.4.11).
    assert contrast_ratio(palette.ink, TAPE[palette.name]) >= 4.5
    apply(qapp, Theme())


def test_it_grows_half_as_fast_as_the_text(qtbot: QtBot, qapp: QApplication) -> None:
    picture = KneePicture(tape_picture(plan(), "right", 1, "own"))
    qtbot.addWidget(picture)
    small = picture.sizeHint()
    apply(qapp, Theme(text_percent=200))
    big = picture.sizeHint()
    assert big.width() == pytest.approx(1.5 * small.width(), abs=1)
    assert big.height() == pytest.approx(1.5 * small.height(), abs=1)
    apply(qapp, Theme())
    frame = picture.drawing().frame
    assert picture.heightForWidth(240) == pytest.approx(240 * frame.height / frame.width, abs=1)


def test_it_is_still_unless_asked(qtbot: QtBot, qapp: QApplication) -> None:
    still = technique_still(SHEET, "right", "own")
    picture = KneePicture(still, loop=loop_of())
    qtbot.addWidget(picture)
    picture.show()
    assert not picture.is_moving()
    apply(qapp, Theme(moves=False))
    picture.play()
    assert not picture.is_moving(), "less motion is asked for"
    apply(qapp, Theme())
    picture.play()
    assert picture.is_moving()
    moved = loop_of()[1:]
    qtbot.waitUntil(lambda: picture.shown() in moved, timeout=30_000)
    picture.hide()
    assert not picture.is_moving()
    picture.show()
    assert picture.is_moving()
    picture.stop()
    assert not picture.is_moving()
    assert picture.shown() == still


def test_another_drawing_stops_the_motion_and_changes_the_name(qtbot: QtBot) -> None:
    picture = KneePicture(loop_of()[0], loop=loop_of())
    qtbot.addWidget(picture)
    picture.show()
    picture.play()
    picture.set_drawing(tape_picture(plan(), "right", 1, "helper"))
    assert not picture.is_moving()
    assert picture.accessibleName().startswith("Right knee, helper’s view. Side strips")


@pytest.mark.parametrize("viewpoint", ["own", "helper"])
@pytest.mark.parametrize("side", ["left", "right"])
def test_a_tap_says_which_zone(qtbot: QtBot, side: Side, viewpoint: Viewpoint) -> None:
    picture = ZonePicture(side, viewpoint)
    qtbot.addWidget(picture)
    picture.resize(500, 520)  # wider than the drawing: it stands in the middle
    picture.show()
    said: list[str] = []
    picture.zone_pressed.connect(said.append)
    for zone in Knee().zones:
        at = picture.place_of(zone).toPoint()
        QTest.mouseClick(picture, Qt.MouseButton.LeftButton, pos=at)
    assert said == list(Knee().zones)
    QTest.mouseClick(picture, Qt.MouseButton.LeftButton, pos=QPoint(3, 3))
    assert len(said) == len(Knee().zones)
    inner = picture.place_of("inner_edge").x()
    assert (inner > picture.width() / 2) == ((side == "right") == (viewpoint == "helper"))


def test_a_press_is_taken_back_by_moving_away(qtbot: QtBot) -> None:
    picture = ZonePicture("right", "own")
    qtbot.addWidget(picture)
    picture.resize(picture.sizeHint())
    meant: list[str] = []
    picture.zone_pressed.connect(meant.append)
    inner = picture.place_of("inner_edge").toPoint()
    outer = picture.place_of("outer_edge").toPoint()
    left = Qt.MouseButton.LeftButton
    QTest.mousePress(picture, left, pos=inner)
    QTest.mouseRelease(picture, left, pos=outer)
    assert meant == []
    QTest.mousePress(picture, left, pos=inner)
    assert meant == []
    QTest.mouseRelease(picture, left, pos=inner)
    assert meant == ["inner_edge"]


def test_arrow_keys_reach_every_zone(qtbot: QtBot) -> None:
    picture = ZonePicture("right", "own")
    qtbot.addWidget(picture)
    picture.show()
    keys = (Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_Left, Qt.Key.Key_Right)
    reached = {picture.zone_in_reach()}
    ways: list[list[Qt.Key]] = [[]]
    while ways:
        way = ways.pop()
        for key in keys:
            fresh = ZonePicture("right", "own")
            qtbot.addWidget(fresh)
            for step in (*way, key):
                QTest.keyClick(fresh, step)
            if fresh.zone_in_reach() not in reached:
                reached.add(fresh.zone_in_reach())
                ways.append([*way, key])
    assert reached == set(Knee().zones)
    said: list[str] = []
    picture.zone_pressed.connect(said.append)
    QTest.keyClick(picture, Qt.Key.Key_Left)
    QTest.keyClick(picture, Qt.Key.Key_Space)
    assert said == ["inner_edge"]


def test_what_is_marked_is_shown_and_told(qtbot: QtBot) -> None:
    picture = ZonePicture("left", "own")
    qtbot.addWidget(picture)
    picture.set_marked(("above", "back_of_knee"))
    assert picture.marked() == ("above", "back_of_knee")
    told = picture.accessibleName()
    assert "hip side of the kneecap" in told
    assert "back of the knee" in told


def test_the_zone_in_reach_has_a_ring(qtbot: QtBot, qapp: QApplication) -> None:
    apply(qapp, Theme())
    picture = ZonePicture("right", "own")
    qtbot.addWidget(picture)
    picture.resize(360, 520)
    picture.show()
    before = picture.grab().toImage()
    with qtbot.waitActive(picture):
        picture.activateWindow()
    picture.setFocus()
    qtbot.waitUntil(picture.hasFocus)
    assert picture.grab().toImage() != before


@pytest.mark.parametrize("percent", [100, 150, 200])
def test_it_is_no_higher_than_what_is_seen_at_once(shown: Shown, percent: int) -> None:
    """Nor so small that with large text its words would be smaller than at 100 %."""

    def build() -> Page:
        page = Page("Tape")
        page.add(KneePicture(tape_picture(plan(), "right", 1, "own")))
        page.main_button("Done")
        return page

    def high(size: tuple[int, int]) -> tuple[int, int]:
        page = shown(build, percent, size)
        area = page.findChildren(QScrollArea)[0]
        return page.findChildren(KneePicture)[0].height(), area.viewport().height()

    at_100 = tape_picture(plan(), "right", 1, "own").frame.height * PIXELS_PER_MM
    low, _ = high((890, 600))
    tall, view = high((890, 1400))
    assert tall == pytest.approx(at_100 * (100 + percent) / 200, abs=2) or tall <= view
    assert low < tall
    assert low >= min(at_100, tall * LEAST_SHARE) - 2


def test_it_leads_at_full_height_where_there_is_room_for_two_columns(shown: Shown) -> None:
    def build() -> Page:
        page = Page("Tape")
        page.add(KneePicture(tape_picture(plan(), "right", 1, "own")), part="lead")
        page.add(Paragraph("Stick one end on the bony bump. " * 40))
        return page

    def places(size: tuple[int, int], percent: int) -> tuple[QRect, QRect, Page]:
        page = shown(build, percent, size)
        picture, told = page.findChildren(KneePicture)[0], page.findChildren(Paragraph)[0]
        return picture.geometry(), told.geometry(), page

    for size, percent in (((1024, 600), 100), ((1366, 768), 200), ((1920, 1080), 150)):
        picture, told, page = places(size, percent)
        assert picture.right() < told.left()
        room = page.column.parentWidget()
        assert room is not None
        assert page.heading.geometry().bottom() < picture.top()
        assert picture.bottom() <= room.height()
        # It stays in sight while the words beside it are read on.
        before = picture.top()
        page.scroll_bar().setValue(60)
        after = page.findChildren(KneePicture)[0].geometry().top()
        assert after - before == page.scroll_bar().value()
    picture, told, _ = places((1024, 600), 200)
    assert picture.bottom() <= told.top()
