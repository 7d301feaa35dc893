"""Somebody in front of Home's window who answers each page by its own controls.

Everything goes through what is shown: doors are pressed, answers chosen, the main button clicked.
So a picture or a test made this way holds for what a person meets.
"""

from __future__ import annotations

import shutil
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

from PySide6.QtCore import QEvent
from PySide6.QtWidgets import QAbstractButton, QApplication, QWidget

from companion.app.demo import fill
from companion.care.catalogue import Catalogue
from companion.care.coded import coded
from companion.care.records import Diary, Plan
from companion.journal.faults import JournalFull
from companion.journal.store import Journal
from companion.presentation.view import page as view
from companion.services.context import Context
from companion.services.settings import Settings
from companion.system.clock import PinnedClock
from companion.system.resources import resource
from companion.ui.home.desk import Doorways
from companion.ui.home.front_page import FrontPage
from companion.ui.home.home import Home
from companion.ui.kit.asking import AskingPage
from companion.ui.kit.buttons import Pressable
from companion.ui.kit.controls import (
    ChoiceList,
    HoldTimer,
    NoteField,
    NumberField,
    PainScale,
    TextField,
    TickList,
)
from companion.ui.kit.page import Page
from companion.ui.kit.window import PageWindow
from companion.wire.catalogue_reading import read_catalogue
from tests.tour_people import diary_of

Answers = Mapping[str, Any]
"""Values by the name of the question; `press` is the word of a button other than the main one."""
Look = Callable[[str, Page], None]

MOST_PAGES = 200

STEADY: Answers = {
    **dict.fromkeys(("q1", "q2", "q3", "q4", "q5"), "no"),
    "after_last": "same",
    "rest": "none",
    "over": "yes",
    "told": "not_called",
    "mistake": "yes",
    "signs": (),
    "zones": ("inner_edge",),
    "pain": 2,
    "score": 3,
    "reach": "helper",
    "by": "helper",
    "stiffness_minutes": 10,
    "night_pain": "no",
    "swelling": "none",
    "stairs": "with_rail",
}
"""What is answered where a scene says nothing; a choice that is not here takes its first row."""


class StoreWithoutRoom(Journal):
    """A store whose disk is full while `full` is set: nothing more can be written."""

    full = False

    def append(self, *entries: Any, **named: Any) -> int:
        """As the store's, or JournalFull."""
        if self.full:
            raise JournalFull(coded("no_room"))
        return super().append(*entries, **named)


class LaterClock(PinnedClock):
    """A pinned clock that can be put forward."""

    def __init__(self, day: date) -> None:
        super().__init__(day)
        self.ahead = timedelta(0)

    def now(self) -> datetime:
        """The pinned instant, and as much later as it was put forward."""
        return super().now() + self.ahead


class DemoPerson:
    """A person's record, and stores filled from it. Filling once and copying is quicker."""

    def __init__(self, name: str, folder: Path) -> None:
        self.name = name
        self.record: Diary = diary_of(name)
        self.last_day = max(entry.for_day for entry in self.record.entries)
        self.catalogue: Catalogue = read_catalogue(resource())
        self._folder = folder
        self._copies = 0
        self._filled = folder / "filled"
        fill(self._filled, self.record, PinnedClock(self.last_day + timedelta(days=1)))

    @property
    def plan(self) -> Plan:
        """The plan in force."""
        return self.record.plan

    def store(self) -> Path:
        """A folder with a store of its own."""
        self._copies += 1
        copy = self._folder / f"copy-{self._copies}"
        shutil.copytree(self._filled, copy)
        return copy

    def empty(self) -> Path:
        """A folder with nothing in it."""
        self._copies += 1
        folder = self._folder / f"copy-{self._copies}"
        folder.mkdir()
        return folder


class Visit:
    """Home on a store, and somebody who goes through its pages.

    `look` is called with a name and the page whenever something is to be looked at. `plan_file` is
    what the person picks when Home asks for a plan, or the sentence why not.
    """

    def __init__(
        self, person: DemoPerson, window: PageWindow, look: Look, *, day: date | None = None
    ) -> None:
        self.person = person
        self.window = window
        self.plan_file: Plan | Diary | str | None = None
        self._look = look
        self._day = day or person.last_day + timedelta(days=1)
        self._journal: StoreWithoutRoom | None = None
        self._home: Home | None = None
        self._clock = LaterClock(self._day)
        self._settings = Settings()
        self.diary_file: Diary | str | None = None
        self.has_voice = False
        self.scores: Iterator[int] = iter(())

    def start(self, folder: Path | None = None) -> Page:
        """Open Home on a store, a fresh copy of the record when none is named."""
        self.leave()
        self._clock = LaterClock(self._day)
        self._journal = StoreWithoutRoom.open(folder or self.person.store(), self._clock)
        context = Context(journal=self._journal, clock=self._clock, catalogue=self.person.catalogue)
        self._home = Home(self.window, context, self._doorways(context))
        self._home.show_front()
        return self.page

    def _doorways(self, _context: Context) -> Doorways:
        """What lies outside the window; here nothing is picked from a machine or saved on it."""
        saved = "Saved in stick: diary-{0}-{1}.homeknee and visit-summary-{0}-{1}.pdf.".format(
            self.person.plan.person, self._day.isoformat()
        )
        return Doorways(
            read_plan=lambda: self.plan_file,
            read_diary=lambda: self.diary_file,
            save_visit=lambda: saved,
            save_copy=lambda: "Saved in stick: diary-copy.homeknee.",
            save_stop_list=lambda: "Saved in stick: stop-list.pdf.",
            save_record=lambda side, _span: f"Saved as record-{side}.pdf.",
            save_calendar=lambda: "Saved as knee.ics.",
            save_booklet=lambda: "Saved as booklet.pdf.",
            save_cutting_sheet=lambda: "Saved as cutting-sheet.pdf.",
            has_voice=lambda: self.has_voice,
            settings=lambda: self._settings,
            use_settings=self._use,
            data_folder=lambda: "homeknee",
            take_everything_away=lambda: None,
            look_round=lambda: None,
            mend=lambda: None,
        )

    def leave(self) -> None:
        """Close the store and let go of Home."""
        if self._journal is not None:
            self._journal.close()
            self._journal = None
        if self._home is not None:
            self._home.setParent(None)
            self._home.deleteLater()
            self._home = None

    def _use(self, settings: Settings) -> None:
        self._settings = settings

    @property
    def settings(self) -> Settings:
        """What is set on this machine."""
        return self._settings

    @property
    def day(self) -> date:
        """The day it begins on."""
        return self._day

    def later(self, minutes: int) -> None:
        """Let time pass."""
        self._clock.ahead += timedelta(minutes=minutes)

    def disk_full(self, full: bool) -> None:
        """Let the disk fill up, or make room again."""
        assert self._journal is not None
        self._journal.full = full

    @property
    def page(self) -> Page:
        """The page that is shown, or the sheet over it."""
        page = self.window.sheet() or self.window.page()
        assert page is not None
        return page

    @property
    def key(self) -> str:
        """What the page calls itself; `front` for the front page."""
        page = self.page
        return page.view.key if isinstance(page, AskingPage) else type(page).__name__

    def look(self, name: str = "") -> None:
        """Look at the page that is shown."""
        self._look(name or spoken(self.key), self.page)

    def wait_out(self, seconds: float) -> None:
        """Press Ready at the timer of the page, and let so many seconds pass."""
        timer = self.page.findChild(HoldTimer)
        assert isinstance(timer, HoldTimer)
        now = [0.0]
        timer._clock = lambda: now[0]
        timer.start()
        now[0] = seconds
        timer.tick()

    # ------------------------------------------------------------ going about

    def through(self, door: str) -> Page:
        """Go through a door of the front page, the first knee first when it asks."""
        front = self.page
        assert isinstance(front, FrontPage), f"{self.key} is not the front page"
        _press(front.doors[door])
        return self.page

    def doors(self) -> tuple[str, ...]:
        """The doors of the front page."""
        front = self.page
        assert isinstance(front, FrontPage), f"{self.key} is not the front page"
        return tuple(front.doors)

    def stop(self) -> Page:
        """Press Stop."""
        button = self.page.bar.stop
        assert button is not None, f"{self.key} has no Stop"
        button.click()
        return self.page

    def back(self) -> Page:
        """Press Back."""
        button = self.page.bar.back
        assert button is not None, f"{self.key} has no Back"
        button.click()
        return self.page

    def answer(self, given: Answers | None = None, press: str = "") -> Page:
        """Answer the page and press its main button, or the one whose words are `press`."""
        page = self.page
        assert isinstance(page, AskingPage), f"{self.key} asks nothing"
        self.fill_in(given or {})
        press = press or way_on(page.view, given or {})
        if press:
            _press(_button(page, press))
        else:
            assert page.main is not None, f"{self.key} has no main button"
            page.main.click()
        # No event loop runs here to do it, and a heap of old pages makes everything slow.
        QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
        return self.page

    def fill_in(self, given: Answers) -> None:
        """Give every answer of the page, and press nothing yet."""
        page = self.page
        assert isinstance(page, AskingPage), f"{self.key} asks nothing"
        column = page.column
        choices = iter(column.findChildren(ChoiceList))
        ticks = iter(column.findChildren(TickList))
        scales = iter(column.findChildren(PainScale))
        numbers = iter(column.findChildren(NumberField))
        lines = iter(column.findChildren(TextField))
        notes = iter(column.findChildren(NoteField))
        for block in blocks_of(page.view):
            match block:
                case view.LevelTick(name):
                    next(ticks).set_values(given.get(name, STEADY.get(name, ())))
                case view.Choose(name, _, options):
                    rows = next(choices)
                    offered = [option.value for option in options]
                    chosen = given.get(name, STEADY.get(name, offered[0]))
                    if chosen is not None and (name in (*given, *STEADY) or block.needed):
                        rows.set_value(chosen if chosen in offered else offered[0])
                case view.Tick(name) | view.KneeTick(name):
                    next(ticks).set_values(given.get(name, STEADY.get(name, ())))
                case view.Scale(name):
                    self._score(next(scales), block, given)
                case view.Number(name):
                    number = next(numbers)
                    value = given.get(name, STEADY.get(name))
                    if value is not None:
                        number.set_value(value)
                case view.Write(name, _, _, kind):
                    field = next(lines) if kind == "one" else next(notes)
                    if name in given:
                        field.set_text(given[name])
                case _:
                    pass

    def _score(self, scale: PainScale, asked: view.Scale, given: Answers) -> None:
        score = given.get(asked.name, STEADY.get(asked.name))
        if self.key.startswith("move:"):
            score = next(self.scores, score)
        if score is not None:
            scale.set_value(score)
        elif asked.cannot_say:
            _press(_button(scale, asked.cannot_say))

    def walk(
        self,
        until: Collection[str] = (),
        *,
        look_at: Collection[str] | None = (),
        given: Mapping[str, Answers] | None = None,
        scores: Sequence[int] = (),
    ) -> Page:
        """Answer page after page until the front page, or a page of `until` is shown.

        `look_at` names the pages to look at, None is all of them. `given` holds answers by the
        beginning of a page's key; `scores` are those of the check moves, in order. Names may be
        the beginning of a key, the longest counts.
        """
        if scores:
            self.scores = iter(scores)
        for _ in range(MOST_PAGES):
            if not isinstance(self.page, AskingPage):
                return self.page
            key = self.key
            if look_at is None or _named(key, look_at) is not None:
                self.look()
            if _named(key, until) is not None:
                return self.page
            answers = given or {}
            called = _named(key, answers)
            chosen = dict(answers[called]) if called is not None else {}
            press = str(chosen.pop("press", ""))
            self.answer(chosen, press)
        raise AssertionError(f"the walk did not end; it stands at {self.key}")


def blocks_of(shown: view.PageView) -> Iterator[view.Block]:
    """The blocks of a page in order, those beside a picture among them."""
    for block in shown.blocks:
        if isinstance(block, view.TwoColumns):
            yield from block.blocks
        else:
            yield block


def way_on(shown: view.PageView, given: Answers) -> str:
    """The words of the way on that is given, else of the last list's first; "" where there is
    none."""
    ways = [block for block in shown.blocks if isinstance(block, view.ActionList)]
    if not ways:
        return ""
    wanted = given.get(ways[-1].name, ways[-1].options[0].value)
    return next(o.word for block in ways for o in block.options if o.value == wanted)


def spoken(key: str) -> str:
    """A page's key as part of a file name."""
    return key.replace(":", "-").replace("_", "-")


def _named(key: str, names: Collection[str]) -> str | None:
    return max((name for name in names if key.startswith(name)), key=len, default=None)


def _button(shown: QWidget, words: str) -> QAbstractButton:
    for button in shown.findChildren(QAbstractButton):
        if isinstance(button, Pressable) and button.word == words:
            return button
    raise AssertionError(f"there is no button {words!r}")


def _press(button: object) -> None:
    assert isinstance(button, QAbstractButton)
    assert button.isEnabled()
    button.click()


def settle() -> None:
    """Let layouts, paints and deletions that are waiting happen."""
    for _ in range(3):
        QApplication.sendPostedEvents()
        QApplication.processEvents()
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
