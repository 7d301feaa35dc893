"""A question for the clinic is kept when the page is left, changed, answered, and taken back; and a
half page of yesterday asks which one now."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from companion.care.records import DayPage, Question
from companion.services.walk_kinds import WALK_KINDS
from companion.services.walks import load
from companion.ui.kit.window import PageWindow
from tests.builders import at, page
from tests.services.context_for_tests import counting
from tests.ui.home.bad_days import BadDay, begun

WINDOW_IS_SHOWN = False
KNEEL = "May I kneel in the garden?"


@pytest.fixture
def visit(window: PageWindow, tmp_path: Path) -> Iterator[BadDay]:
    made = begun(tmp_path / "diary", window, page(-1, pain_average=4))
    yield made
    made.leave()


def questions(visit: BadDay) -> list[Question]:
    return counting(visit.home.context, Question)


def ask(visit: BadDay) -> None:
    visit.front_again()
    visit.through("visit")
    visit.answer(press="Write a question for the clinic")


def test_words_that_were_typed_are_kept_when_the_page_is_left(visit: BadDay) -> None:
    """They were gone without a word."""
    ask(visit)
    visit.fill_in({"text": KNEEL})
    visit.back()
    assert questions(visit) == []
    ask(visit)
    visit.answer(press="Write it down")
    assert [one.text for one in questions(visit)] == [KNEEL]
    ask(visit)
    visit.answer(press="Write it down")
    assert len(questions(visit)) == 1, "what was written down is begun no more"


def test_a_question_is_changed_answered_and_taken_back(visit: BadDay) -> None:
    for text in (KNEEL, "May I cycle?", "May I swim?"):
        ask(visit)
        visit.answer({"text": text})
    kneel, cycle, swim = questions(visit)
    visit.answer({"question": kneel.id})
    visit.answer({"text": "May I kneel on a cushion?"}, press="Write it down like this")
    assert "May I kneel on a cushion?" in visit.words
    visit.answer({"question": cycle.id})
    visit.answer(press="It was answered")
    now = {one.text: one for one in questions(visit)}
    assert now["May I cycle?"].answered
    assert "May I cycle?" not in visit.words
    visit.answer({"question": swim.id})
    visit.answer(press="I do not ask it any more")
    assert "May I swim?" not in visit.words
    assert {one.text for one in questions(visit)} == {"May I kneel on a cushion?", "May I cycle?"}
    written = [one for one in visit.written(Question) if one.withdrawn]
    assert [one.withdrawn for one in written] == ["taken_back"]


def test_after_three_in_the_morning_a_half_page_asks_which_day(visit: BadDay) -> None:
    """The door opened the page of yesterday, and only a grey line said so."""
    visit.through("day")
    visit.walk(until=("worst",))
    visit.put_clock(hours=10)  # 04:00
    visit.front_again()
    assert "Your day page of Monday 2 March is half written." in visit.words
    visit.through("day")
    assert visit.key == "half_page"
    visit.answer({"day": at(1).date().isoformat()})
    under_way = load(visit.home.context, WALK_KINDS["day"], "right")
    assert under_way is not None
    assert under_way.for_day == at(1).date()
    kept = [one for one in visit.written(DayPage) if one.for_day == at(0).date()]
    assert len(kept) == 1, "what was written of the other page is kept"


def test_the_half_page_of_the_day_before_may_be_finished_instead(visit: BadDay) -> None:
    visit.through("day")
    visit.walk(until=("worst",))
    visit.put_clock(hours=10)  # 04:00
    visit.front_again()
    visit.through("day")
    visit.answer({"day": at(0).date().isoformat()})
    assert visit.key == "worst", "where it was left"
    visit.walk()
    assert [one.for_day for one in visit.written(DayPage)][-1] == at(0).date()
