"""Somebody in front of Home's window who answers each page by its own controls.

Everything goes through what is shown: doors are pressed, answers chosen, the main button clicked.
So a picture or a test made this way holds for what a person meets.
"""

from __future__ import annotations

import shutil
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

from PySide6.QtCore import QCoreApplication, QEvent, QEventLoop, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QApplication, QWidget

from companion.app.demo import fill
from companion.app.doctor import looked_over
from companion.care.catalogue import Catalogue
from companion.care.coded import coded
from companion.care.records import Diary, Plan
from companion.journal.faults import JournalFull
from companion.journal.store import Journal
from companion.presentation.home.second_place_pages import moved_view
from companion.presentation.language.phrases import phrase
from companion.presentation.papers.home_sheets import FILE_NAMES
from companion.presentation.view import page as view
from companion.services.context import Context
from companion.services.doctor import Machine
from companion.services.second_place import PlaceState, SecondPlace, chosen_place
from companion.services.settings import Language, Settings
from companion.system.clock import PinnedClock
from companion.system.resources import resource
from companion.ui.home.desk import HomeDoorways
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
from companion.ui.kit.reading_sheet import ReadingSheet
from companion.ui.kit.step_clock import StepClock
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

    def write(self, *entries: Any, **named: Any) -> tuple[Any, ...]:
        """As the store's, or JournalFull."""
        if self.full:
            raise JournalFull(coded("no_room"))
        return super().write(*entries, **named)


class LaterClock(PinnedClock):
    """A pinned clock that can be put forward.

    It runs by how often it is asked, not by the machine's time: what is read on a page is the same
    on a slow machine.
    """

    def __init__(self, day: date) -> None:
        super().__init__(day)
        self.ahead = timedelta(0)
        self._began = super().now().replace(microsecond=0)
        self._asked = 0

    def now(self) -> datetime:
        """The pinned instant, and as much later as it was put forward."""
        self._asked += 1
        ran = self._began.astimezone(UTC) + timedelta(milliseconds=self._asked)
        return (ran + self.ahead).astimezone()


A_COMPUTER = Machine(
    program="0.1.0",
    python="3.11.2",
    toolkit="6.10.1",
    fonts=True,
    display=True,
    printers=0,
    voice=False,
)


class OnAStick:
    """A stick that is plugged in; what would be written there is said to be written."""

    def __init__(self) -> None:
        self.said = SecondPlace(wanted="never")
        self.state: PlaceState = "there"
        self.same_disk = False
        self.refused = ""

    def use(self, said: SecondPlace) -> None:
        """Keep what was said."""
        self.said = said

    def standing(self) -> tuple[PlaceState, bool]:
        """As it was set."""
        return self.state, self.same_disk

    def pick(self) -> str | None:
        """The stick."""
        return "/media/stick"

    def copy_now(self, chosen: str | None, told: Callable[[str], None]) -> None:
        """Say that a copy was written, or why not."""
        if chosen is not None and not self.refused:
            self.said = chosen_place(self.said, chosen)
        told(self.refused)

    def move_away(self, chosen: str, told: Callable[[str, str], None]) -> None:
        """Say that all was written, or why not."""
        told("" if self.refused else "knee-diary-K-07-2026-11-30", self.refused)


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
    what the person picks when Home asks for a plan, or the sentence why not. Evenings go page by
    page, so that each is met, unless they are to be `short`.
    """

    def __init__(
        self,
        person: DemoPerson,
        window: PageWindow,
        look: Look,
        *,
        day: date | None = None,
        short: bool = False,
    ) -> None:
        self.person = person
        self.window = window
        self.plan_file: Plan | Diary | str | None = None
        self.may_remind_closed = True
        self.looked_round: list[Plan | Diary | None] = []
        self._look = look
        self._day = day or person.last_day + timedelta(days=1)
        self._journal: StoreWithoutRoom | None = None
        self._home: Home | None = None
        self._clock = LaterClock(self._day)
        self._settings = Settings()
        self._page_by_page = not short
        self.diary_file: Diary | str | None = None
        self.has_voice = False
        self.languages: tuple[Language, ...] = ()
        self.elsewhere = OnAStick()
        self.scores: Iterator[int] = iter(())

    def start(self, folder: Path | None = None) -> Page:
        """Open Home on a store, a fresh copy of the record when none is named."""
        self.leave()
        self._clock = LaterClock(self._day)
        self._journal = StoreWithoutRoom.open(folder or self.person.store(), self._clock)
        # What a power cut takes is the store's own test: no walk here waits for the disc.
        self._journal._db.execute("PRAGMA synchronous = OFF")
        context = Context(
            journal=self._journal,
            clock=self._clock,
            catalogue=self.person.catalogue,
            long_way=lambda: self._page_by_page or self._settings.long_way,
        )
        self._home = Home(self.window, context, self._doorways(context))
        self._home.show_front()
        return self.page

    def _doorways(self, _context: Context) -> HomeDoorways:
        """What lies outside the window; here nothing is picked from a machine or saved on it."""
        saved = "Saved in stick: diary-{0}-{1}.homeknee and visit-summary-{0}-{1}.pdf.".format(
            self.person.plan.person, self._day.isoformat()
        )
        return HomeDoorways(
            read_plan=lambda done: None if self.plan_file is None else done(self.plan_file),
            read_diary=lambda done: None if self.diary_file is None else done(self.diary_file),
            open_file=lambda _file, *_told: None,
            save_visit=lambda: saved,
            save_copy=lambda: "Saved in stick: diary-copy.homeknee.",
            save_stop_list=lambda: "Saved in stick: stop-list.pdf.",
            save_record=lambda side, _span: f"Saved as record-{side}.pdf.",
            save_calendar=lambda: "Saved as knee.ics.",
            save_paper=lambda which: f"Saved as {FILE_NAMES[which]}.",
            save_papers=lambda _for_helper: "Saved in stick: all papers.",
            save_stay=lambda _days: "Saved as days-away.pdf.",
            on_letter_paper=lambda: False,
            may_remind_closed=lambda: self.may_remind_closed,
            remind_closed=lambda _wanted: self.may_remind_closed,
            has_voice=lambda: self.has_voice,
            look_over_all=lambda told: told(
                looked_over(self.person.store(), A_COMPUTER, self._clock)
            ),
            settings=lambda: self._settings,
            use_settings=self._use,
            languages=lambda: self.languages,
            data_folder=lambda: "homeknee",
            take_everything_away=lambda: None,
            look_round=self.looked_round.append,
            mend=lambda: None,
            used_before=lambda: None,
            moved_away=lambda folder: self.window.show_page(AskingPage(moved_view(folder))),
            elsewhere=self.elsewhere,
        )

    def show(self) -> None:
        """Come back to the front page."""
        assert self._home is not None
        self._home.show_front()

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
        """The page that is shown, or the sheet over it; a file that is being read is waited for."""
        while isinstance(self.window.sheet(), ReadingSheet):
            QCoreApplication.processEvents(QEventLoop.ProcessEventsFlag.WaitForMoreEvents)
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

    def count_out(self) -> None:
        """Let the clock of a step run to its end; begin it where nobody has."""
        clock = self.page.findChild(StepClock)
        assert isinstance(clock, StepClock)
        # The computer's own clock tells since when it is on: a step begun by it goes on from there.
        now = [clock._clock()]
        clock._clock = lambda: now[0]
        if not clock.is_running():
            clock.turn()
        now[0] += 10_000.0
        clock.tick()
        assert clock.is_finished()

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

    def answer(self, submitted: Answers | None = None, press: str = "") -> Page:
        """Answer the page and press its main button, or the one whose words are `press`."""
        page = self.page
        assert isinstance(page, AskingPage), f"{self.key} asks nothing"
        self.fill_in(submitted or {})
        press = press or way_on(page.view, submitted or {})
        counts = page.findChild(StepClock) is not None
        if counts and not press and (submitted or {}).get("pain") is not None:
            _press(_button(page, "It hurts"))
            return self.answer(submitted)
        if counts and not press:
            self.count_out()
        if press:
            _press(_button(page, press))
        else:
            assert page.main is not None, f"{self.key} has no main button"
            while page.shows_next_moment():
                _press(page.main)
            page.main.click()
        # No event loop runs here to do it, and a heap of old pages makes everything slow.
        QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
        return self.page

    def fill_in(self, submitted: Answers) -> None:
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
                    next(ticks).set_values(submitted.get(name, STEADY.get(name, ())))
                case view.Choose(name, _, options):
                    rows = next(choices)
                    offered = [option.value for option in options]
                    chosen = submitted.get(name, STEADY.get(name, offered[0]))
                    if chosen is not None and (name in (*submitted, *STEADY) or block.needed):
                        rows.set_value(chosen if chosen in offered else offered[0])
                case view.Tick(name) | view.KneeTick(name):
                    next(ticks).set_values(submitted.get(name, STEADY.get(name, ())))
                case view.Scale(name):
                    self._score(next(scales), block, submitted)
                case view.Number(name):
                    number = next(numbers)
                    value = submitted.get(name, STEADY.get(name))
                    if value is not None:
                        number.set_value(value)
                case view.Write(name, _, _, kind):
                    field = next(lines) if kind == "one" else next(notes)
                    if name in submitted:
                        field.set_text(submitted[name])
                case _:
                    pass

    def _score(self, scale: PainScale, asked: view.Scale, submitted: Answers) -> None:
        score = submitted.get(asked.name, STEADY.get(asked.name))
        if self.key.startswith("move:"):
            score = next(self.scores, score)
        if score is not None:
            scale.set_value(score)
        elif asked.cannot_say:
            _press(_button(scale, asked.cannot_say))

    def _pass_unseen(self) -> None:
        """Lay the next pages out for nobody: their place in the window costs as much as they do."""
        if self.window.isHidden():
            self.window._bring = lambda page: None  # type: ignore[method-assign]

    def _bring(self) -> None:
        """Put the page that was come to into the window, as its own way of showing it does."""
        if vars(self.window).pop("_bring", None) is not None:
            page = self.window.page()
            assert page is not None
            self.window._bring(page)

    def walk(
        self,
        until: Collection[str] = (),
        *,
        look_at: Collection[str] | None = (),
        submitted: Mapping[str, Answers] | None = None,
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
            key = self.key
            ends = not isinstance(self.page, AskingPage) or _named(key, until) is not None
            seen = isinstance(self.page, AskingPage) and (
                look_at is None or _named(key, look_at) is not None
            )
            if seen or ends:
                self._bring()
            if seen:
                self.look()
            if ends:
                return self.page
            self._pass_unseen()
            answers = submitted or {}
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


def way_on(shown: view.PageView, submitted: Answers) -> str:
    """The words of the way on that is given, else of the last list's first; "" where there is
    none."""
    ways = [block for block in shown.blocks if isinstance(block, view.ActionList)]
    if not ways:
        return ""
    wanted = submitted.get(ways[-1].name, ways[-1].options[0].value)
    return next(o.word for block in ways for o in block.options if o.value == wanted)


def spoken(key: str) -> str:
    """A page's key as part of a file name."""
    return key.replace(":", "-").replace("_", "-")


def _named(key: str, names: Collection[str]) -> str | None:
    return max((name for name in names if key.startswith(name)), key=len, default=None)


def _button(shown: QWidget, words: str) -> QAbstractButton:
    """The button that says this, or what is said for it in the language that is spoken."""
    for button in shown.findChildren(QAbstractButton):
        if isinstance(button, Pressable) and button.word in (words, phrase(words)):
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


def press(*keys: Qt.Key | str) -> None:
    """Press keys, or type words, where the focus is."""
    for key in keys:
        focus = QApplication.focusWidget()
        assert focus is not None
        if isinstance(key, str):
            QTest.keyClicks(focus, key)
        else:
            QTest.keyClick(focus, key)
        settle()
