"""Every page of the tour: told to a screen reader, nothing clipped, walked through with Tab."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from companion.ui.kit.buttons import Pressable
from companion.ui.kit.controls import Card
from companion.ui.kit.page import Page
from companion.ui.kit.text import WrappedText
from companion.ui.kit.theme import LIGHT, Theme, apply, current
from companion.ui.kit.window import PageWindow
from tests.tour_scenes import SCENES, Stage
from tests.tour_visit import DemoPerson, settle
from tests.ui.kit import accessibility, clipping

SIZE = (1024, 600)
PERCENTS = (100, 200)
PLAYED = [
    *(("edda", scene) for scene in SCENES),
    *(("wilma", scene) for scene in ("routine", "day", "rooms")),
]
"""One knee with tape meets nearly every screen; a plan for both knees has a few of its own."""


@pytest.fixture(scope="module")
def people(tmp_path_factory: pytest.TempPathFactory) -> dict[str, DemoPerson]:
    return {
        name: DemoPerson(name, tmp_path_factory.mktemp(name))
        for name in sorted({name for name, _ in PLAYED})
    }


@pytest.fixture
def window(qtbot: QtBot, qapp: QApplication) -> Iterator[PageWindow]:
    apply(qapp, Theme())
    with accessibility.switched_on():
        made = PageWindow("Home")
        made.resize(*SIZE)
        yield made
        made.close()
        made.deleteLater()
    apply(qapp, Theme())


def more_that_is_none(page: Page) -> list[str]:
    """What is said to be more below is there, and what is there is said."""
    words = [b for b in page.findChildren(Pressable) if b.word == "More below" and b.isVisible()]
    there = page.scroll_bar().maximum() > 0
    return [] if bool(words) == there else [f"more below is said {bool(words)}, and is {there}"]


def order_of_tab(page: Page) -> list[QWidget]:
    """What Tab stops at, from the heading on."""
    found = []
    step = page.heading.nextInFocusChain()
    while step is not None and step is not page.heading:
        if (
            step.focusPolicy() & Qt.FocusPolicy.TabFocus
            and step.isVisible()
            and page.isAncestorOf(step)
        ):
            found.append(step)
        step = step.nextInFocusChain()
    return found


def out_of_order(page: Page) -> list[str]:
    """Stops of Tab that come before one that is read earlier: questions, main button, bar."""
    parts = []
    for stop in order_of_tab(page):
        if page.bar.isAncestorOf(stop):
            parts.append(2)
        elif stop is page.main:
            parts.append(1)
        else:
            parts.append(0)
    if parts == sorted(parts):
        return []
    return [f"Tab goes {parts}: 0 a question, 1 the main button, 2 the bar"]


def wrong_with_stop(page: Page) -> list[str]:
    """Stop stands low on the right and is large, wherever there is one."""
    stop = page.bar.stop
    if stop is None:
        return []
    corner = stop.mapTo(page, stop.rect().bottomRight())
    if stop.width() < 64 or stop.height() < 64:
        return [f"Stop is {stop.width()} by {stop.height()}"]
    if page.height() - corner.y() > 9 or corner.x() < page.width() / 2:
        return [f"Stop ends at {corner.toTuple()} of {page.size().toTuple()}"]
    return []


def bar_out_of_order(page: Page) -> list[str]:
    """Back, Help and Stop stand in one order on every page, in one row or in two."""
    bar = page.bar
    for row in ((bar.help, bar.read_aloud, bar.beside_stop), (bar.back, bar.stop)):
        there = [button for button in row if button is not None and button in bar.buttons()]
        if [button.x() for button in there] != sorted(button.x() for button in there):
            return [f"the bar stands as {[button.word for button in there]}"]
    if bar.back is not None and bar.help is not None and {bar.back, bar.help} <= {*bar.buttons()}:
        back, help_ = bar.back.geometry(), bar.help.geometry()
        if not (back.x() < help_.x() if back.y() == help_.y() else back.y() > help_.y()):
            return [f"Back stands at {back.topLeft()}, Help at {help_.topLeft()}"]
    return []


def number_out_of_sight(page: Page) -> list[str]:
    """Whom to call first stands in sight as a card comes, in the largest text too."""
    cards = [card for card in page.findChildren(Card) if card.level != "care"]
    numbers = [text for card in cards[:1] for text in card.findChildren(WrappedText)]
    number = next((one for one in numbers if re.fullmatch(r"[\d ]{3,}", one.text())), None)
    if number is None or number.visibleRegion().boundingRect().height() == number.height():
        return []
    return [f"{number.text()} is out of sight"]


@pytest.mark.parametrize(("name", "scene"), PLAYED, ids=["-".join(played) for played in PLAYED])
def test_pages_are_told_and_whole(
    name: str,
    scene: str,
    people: dict[str, DemoPerson],
    window: PageWindow,
    qapp: QApplication,
) -> None:
    found: list[str] = []
    looked = 0

    def look(what: str, page: Page) -> None:
        nonlocal looked
        looked += 1
        window.show()
        window.activateWindow()
        page.take_focus()
        # The size it comes in first: a new style sheet takes longer than all that is looked for.
        here = current().text_percent
        for percent in (here, *(each for each in PERCENTS if each != here)):
            if percent != here:
                apply(qapp, Theme(LIGHT, percent))
            settle()
            faults = [
                *accessibility.page_faults(page),
                *clipping.faults(page),
                *clipping.overlaps(page),
                *wrong_with_stop(page),
                *bar_out_of_order(page),
                *out_of_order(page),
                *more_that_is_none(page),
                *number_out_of_sight(page),
            ]
            found.extend(f"{what} at {percent} %: {fault}" for fault in faults)
        window.hide()

    SCENES[scene](Stage(people[name], window, look))
    assert found == []
    assert looked > 0
