"""The room of the screen is used: no page of an evening is scrolled where the window is common."""

from __future__ import annotations

from statistics import mean

import pytest
from PySide6.QtWidgets import QApplication

from companion.ui.home.front_page import FrontPage
from companion.ui.kit.asking import AskingPage
from companion.ui.kit.page import Page
from companion.ui.kit.theme import Theme, apply
from companion.ui.kit.window import PageWindow
from tests.tour_scenes import SCENES, Stage
from tests.tour_visit import DemoPerson
from tests.ui.kit.room import out_of_sight, screens

Measured = dict[tuple[str, int], list[tuple[str, float]]]

LISTS = (
    *("look-over", "look_over", "every-sign", "rows-of", "record", "put-right-", "settings-signs"),
    *("settings-about", "mending"),
)
"""What is a list, and may be scrolled."""
SLOW = ("decisions", "rooms", "outing")
"""Scenes of few words and of lists alone, which take longer to play than all others."""
EVENING = ("routine", "cards", "hard-days", "tape", "day", "bad_spell", "less_today")
"""The scenes in which nothing else is scrolled."""
READ_TO_ITS_END = ("every-sign", "rows-of", "list-again", "stop-rows", "settings", "put-right")
"""Warning signs, which nobody leaves who had not their end in sight, and lists of rooms, days and
entries."""
hidden: dict[str, list[str]] = {}
beside_a_card: dict[str, list[str]] = {}


@pytest.fixture(scope="module")
def measured(tmp_path_factory: pytest.TempPathFactory, qapp: QApplication) -> Measured:
    """Every page of the scenes, by the size of text: its name and its height in screens."""
    found: Measured = {
        ("1366x768", 100): [],
        ("1366x768", 200): [],
        ("1024x600", 100): [],
    }
    apply(qapp, Theme())
    window = PageWindow("Home")
    scenes: list[str] = []
    hidden.clear()
    beside_a_card.clear()

    def look(what: str, page: Page) -> None:
        if isinstance(page, AskingPage) and not any(
            one in what for one in (*LISTS, *READ_TO_ITS_END)
        ):
            hidden[f"{scenes[-1]} {what}"] = out_of_sight(page, 1024, 600)
        if isinstance(page, FrontPage) and page.view.card is not None:
            beside_a_card[f"{scenes[-1]} {what}"] = out_of_sight(page, 1024, 600)
        for (size, percent), pages in found.items():
            width, height = map(int, size.split("x"))
            pages.append((f"{scenes[-1]} {what}", screens(page, width, height, percent)))

    person = DemoPerson("edda", tmp_path_factory.mktemp("edda"))
    for scene, play in SCENES.items():
        if scene not in SLOW:
            scenes.append(scene)
            play(Stage(person, window, look))
    # With tape on, a day asks about the skin below it: seven answers.
    scenes.append("osric-day")
    SCENES["day"](Stage(DemoPerson("osric", tmp_path_factory.mktemp("osric")), window, look))
    window.deleteLater()
    return found


def _lists_apart(pages: list[tuple[str, float]]) -> list[tuple[str, float]]:
    return [(name, high) for name, high in pages if not any(one in name for one in LISTS)]


def test_no_page_of_an_evening_is_scrolled_in_a_common_window(measured: Measured) -> None:
    scrolled = [
        (name, round(high, 2))
        for name, high in _lists_apart(measured["1366x768", 100])
        if high > 1.0 and name.split()[0] in EVENING
    ]
    assert scrolled == []


@pytest.mark.parametrize(
    ("size", "percent", "most"),
    [("1366x768", 100, 1.1), ("1366x768", 200, 2.0), ("1024x600", 100, 1.4)],
)
def test_pages_are_as_high_as_a_screen(
    measured: Measured, size: str, percent: int, most: float
) -> None:
    """Lists apart; with them the mean was 2.0 screens at 100 % and 3.4 at 200 % before."""
    assert mean(high for _, high in _lists_apart(measured[size, percent])) <= most


def test_nothing_answered_or_pressed_is_out_of_sight_in_a_small_window(measured: Measured) -> None:
    """Of every page that asks, at 1024 by 600 pixels and text of 100 %, lists apart."""
    assert measured
    assert len(hidden) > 100
    assert {name: what for name, what in hidden.items() if what} == {}


def test_what_a_card_asks_is_pressed_in_the_first_small_screen(measured: Measured) -> None:
    """Beside a card today's lines are in sight, at 1024 by 600 pixels and text of 100 %: of all
    that is pressed the doors alone may be lower."""
    assert measured
    assert len(beside_a_card) > 6
    assert {name: what for name, what in beside_a_card.items() if what not in ([], ["Tiles"])} == {}
