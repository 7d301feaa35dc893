"""A tape trial lived in the window itself, from a tape day to the bare day after its period."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from companion.care.records import AnyEntry, DayPage, Outing, Session, TapeOff, TapeOn
from companion.ui.home.front_page import FrontPage
from companion.ui.kit.window import PageWindow
from tests.builders import at, tape_off, tape_on
from tests.care.test_trial_days import first, trial_of
from tests.care.walking import taught_plan
from tests.ui.home.bad_days import BadDay, begun

WINDOW_IS_SHOWN = False

PLAN = taught_plan({"when": "always"}, trial=trial_of(scored_days=2))
TAPE_DAY = first("tape", 1, PLAN)


@pytest.fixture
def visit(window: PageWindow, tmp_path: Path) -> Iterator[BadDay]:
    """At 18:00 of the first tape day of a period of two; two wears before it ended well."""
    worn: list[AnyEntry] = []
    for ago in (9, 6):
        on = at(TAPE_DAY - timedelta(days=ago), 8)
        worn += [tape_on(on), tape_off(on + timedelta(hours=12), skin_at_once="clear")]
    made = begun(tmp_path / "diary", window, *worn, day=TAPE_DAY, plan=PLAN)
    made.put_clock(hours=-9)
    made.front_again()
    yield made
    made.leave()


def test_from_a_tape_day_to_the_bare_day_after_it(visit: BadDay) -> None:
    assert "Today is tape day 1 of 2. Open Tape to put it on." in visit.words
    visit.through("tape")
    visit.walk()
    (on,) = [one for one in visit.written(TapeOn) if one.happened_at > at(TAPE_DAY, 6)]
    assert "Today is tape day 1 of 2. The tape stays on." in visit.words
    visit.through("routine")
    visit.walk()
    (session,) = visit.written(Session)
    assert session.exercises
    assert session.rounds == ()
    visit.through("outing")
    visit.walk(submitted={"what_for": {"what": "own", "own": "The fish market"}})
    (outing,) = visit.written(Outing)
    assert outing.knees[0].tape_on == on.id
    visit.through("day")
    visit.walk()
    (page,) = visit.written(DayPage)
    assert page.pain_average is not None

    visit.put_clock(hours=24 + 11)  # 20:00 of the last tape day
    visit.front_again()
    assert "Today is tape day 2 of 2. The tape stays on until this evening." in visit.words
    assert "Your tape comes off this evening at 21:00." in visit.words
    visit.put_clock(hours=1)
    visit.front_again()
    assert "Your tape is due off now." in visit.words
    visit.through("tape")
    assert "It is due off now" in visit.words
    visit.walk(submitted={"tape_room": {"press": "Take the tape off"}})
    assert visit.written(TapeOff)[-1].tape_on == on.id

    visit.put_clock(hours=13)  # 10:00 of the bare day
    visit.front_again()
    assert "Today is a bare day in your tape trial: no tape." in visit.words
    assert "Your knee routine. About" in visit.words
    visit.through("tape")
    if visit.key != "no_tape":
        visit.walk(until=("FrontPage",))
        visit.through("tape")
    assert "Your tape trial says: a bare day. The skin rests." in visit.words
    visit.walk()
    assert isinstance(visit.page, FrontPage)
    visit.through("routine")
    visit.walk()
    assert visit.written(Session)[-1].rounds
    assert [one for one in visit.written(TapeOn) if one.happened_at > on.happened_at] == []
