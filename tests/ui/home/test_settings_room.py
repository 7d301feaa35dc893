"""Settings: reminders, reading aloud and the calendar file, through the window."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication

from companion.presentation.home.settings_pages import (
    about_view,
    aloud_view,
    calendar_view,
    reminders_view,
    settings_view,
)
from companion.presentation.view.page import ActionList, Heading
from companion.services.settings import Settings
from companion.ui.kit.theme import LIGHT, Theme, apply
from companion.ui.kit.window import PageWindow
from tests.care.walking import CATALOGUE, taught_plan
from tests.presentation.wording import faults, lines
from tests.tour_visit import settle
from tests.ui.home.bad_days import begun
from tests.ui.kit import accessibility, clipping


def test_reminders_and_reading_aloud_are_set_and_said(window: PageWindow, tmp_path: Path) -> None:
    visit = begun(tmp_path / "diary", window)
    visit.has_voice = True
    visit.through("settings")
    visit.answer(press="Reminders")
    assert "Now: on." in visit.words
    visit.answer({"reminders": "off", "when_closed": "off"})
    assert visit.settings == Settings(reminders=False)
    visit.answer(press="Reading aloud")
    visit.answer({"aloud": "on"})
    assert visit.settings == Settings(reminders=False, reading_aloud=True)
    assert visit.key == "settings"
    visit.leave()


@pytest.mark.parametrize("highest", [0, 1])
@pytest.mark.parametrize("hands", [True, False])
def test_what_is_known_is_told_to_whom_it_is_for(highest: int, hands: bool) -> None:
    plan = taught_plan({"highest": highest}, **({} if hands else {"techniques": ()}))
    view = about_view(CATALOGUE, plan)
    assert faults(lines(view)) == []
    said = " ".join(lines(view))
    assert "exercise that fits you" in said
    assert ("Guidelines on hands and massage differ." in said) is hands
    assert ("Moving about was no better with tape." in said) is (highest > 0)
    assert "It promises nothing." in said


def test_without_a_plan_nothing_is_said_of_what_it_holds() -> None:
    said = " ".join(lines(about_view(CATALOGUE, None)))
    assert "What this is for" in said
    assert "Guidelines" not in said


def test_without_a_voice_settings_say_why(window: PageWindow, tmp_path: Path) -> None:
    visit = begun(tmp_path / "diary", window)
    visit.through("settings")
    visit.answer(press="Reading aloud")
    assert "This computer has no voice installed." in visit.words
    visit.answer()
    assert visit.settings == Settings()
    visit.leave()


def test_the_calendar_file_is_saved_and_its_place_said(window: PageWindow, tmp_path: Path) -> None:
    visit = begun(tmp_path / "diary", window)
    visit.through("settings")
    visit.answer(press="Calendar file")
    assert "Open the saved file with your calendar." in visit.words
    visit.answer()
    assert "knee.ics" in visit.words
    visit.leave()


VIEWS = [
    reminders_view(Settings(), may_remind_closed=True),
    reminders_view(Settings(), may_remind_closed=False),
    aloud_view(Settings(), has_voice=True),
    aloud_view(Settings(), has_voice=False),
    calendar_view(),
]


@pytest.mark.parametrize("view", VIEWS, ids=lambda view: view.heading)
def test_these_pages_keep_to_the_wording_rules(view: object) -> None:
    assert faults(lines(view)) == []  # type: ignore[arg-type]


@pytest.mark.parametrize("percent", [100, 200])
def test_nothing_is_clipped(
    percent: int, window: PageWindow, tmp_path: Path, qapp: QApplication
) -> None:
    apply(qapp, Theme(LIGHT, percent))
    visit = begun(tmp_path / "diary", window)
    for has_voice in (True, False):
        visit.has_voice = has_voice
        for room in ("Reminders", "Reading aloud", "Calendar file", ""):
            visit.front_again()
            visit.through("settings")
            if room:
                visit.answer(press=room)
            settle()
            page = visit.page
            found = clipping.faults(page) + clipping.overlaps(page) + accessibility.faults(page)
            assert found == [], room
    visit.leave()


def test_reminders_live_without_the_window_where_the_desktop_has_a_way(
    window: PageWindow, tmp_path: Path
) -> None:
    visit = begun(tmp_path / "diary", window)
    visit.through("settings")
    visit.answer(press="Reminders")
    visit.answer({"reminders": "on", "when_closed": "on"})
    assert visit.settings.when_closed
    visit.may_remind_closed = False
    visit.answer(press="Reminders")
    assert "only your calendar can ring" in visit.page.reading_text()
    visit.leave()


def test_rooms_stand_in_groups_and_what_deletes_is_far_from_what_reads_aloud() -> None:
    """Twelve doors alike, more than on the front page."""
    view = settings_view(Settings(), has_plan=True, may_go_back=True)
    groups = [
        [option.value for option in block.options]
        for block in view.blocks
        if isinstance(block, ActionList)
    ]
    assert all(len(group) <= 5 for group in groups)
    assert next(group for group in groups if "data" in group) != next(
        group for group in groups if "aloud" in group
    )
    headings = [block for block in view.blocks if isinstance(block, Heading)]
    assert len(headings) == len(groups)
