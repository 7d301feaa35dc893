"""Home in a window on a copy of a demo person's diary, and somebody who goes through its pages."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from companion.ui.kit.page import Page
from companion.ui.kit.theme import Theme, apply
from companion.ui.kit.window import PageWindow
from tests.tour_visit import DemoPerson, Visit

Visiting = Callable[..., Visit]


@pytest.fixture(scope="session")
def demo_person(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], DemoPerson]:
    """A demo person by name; each is filled once."""
    known: dict[str, DemoPerson] = {}

    def named(name: str) -> DemoPerson:
        if name not in known:
            known[name] = DemoPerson(name, tmp_path_factory.mktemp(name))
        return known[name]

    return named


@pytest.fixture(autouse=True)
def _english_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nobody is asked for a language, whichever are whole by now."""
    monkeypatch.setattr("companion.app.looks.whole_languages", dict)


@pytest.fixture
def window(
    request: pytest.FixtureRequest, qtbot: QtBot, qapp: QApplication
) -> Iterator[PageWindow]:
    """An active window of 1024x600 in the light theme at 100 %.

    Laying out its pages takes half the time of a walk. A module that only presses buttons and reads
    what is written says `WINDOW_IS_SHOWN = False`.
    """
    apply(qapp, Theme())
    made = PageWindow("Home")
    qtbot.addWidget(made)
    made.resize(1024, 600)
    if getattr(request.module, "WINDOW_IS_SHOWN", True):
        with qtbot.waitActive(made):
            made.show()
            made.activateWindow()
    yield made
    apply(qapp, Theme())


@pytest.fixture
def visiting(window: PageWindow, demo_person: Callable[[str], DemoPerson]) -> Iterator[Visiting]:
    """Begin a visit at Home: `visiting("edda")` shows the front page the day after the record."""
    begun: list[Visit] = []

    def begin(name: str = "edda", **named: object) -> Visit:
        begun.append(Visit(demo_person(name), window, _nobody_looks, **named))  # type: ignore[arg-type]
        begun[-1].start()
        return begun[-1]

    yield begin
    for visit in begun:
        visit.leave()


def _nobody_looks(_name: str, _page: Page) -> None:
    pass
