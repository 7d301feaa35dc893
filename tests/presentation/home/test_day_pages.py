"""The day page in words: one question a page, nothing filled in, everything may be left out."""

import inspect
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date, timedelta
from functools import cache, partial
from typing import Any, get_args

import pytest

from companion.care import day_questions
from companion.care.clearing import MistakePage
from companion.care.day_answers import RowOffer
from companion.care.day_questions import DayEnd, DayLookOverPage, DayStart, PainPage, day_walk
from companion.care.flow import Given, WalkPage
from companion.care.records import ActivityScore, Amount, AmountPlan, Measure
from companion.care.stopping import CardPage, NoneTickedPage
from companion.presentation.home.day_pages import day_lines
from companion.presentation.home.looking_over import plain
from companion.presentation.home.walk_pages import ViewContext, about, page_view
from companion.presentation.language.phrases import long_day
from companion.presentation.view.page import Choose, Number, Scale, Write
from tests.care.walking import CATALOGUE, any_answer, chooser, taught_plan, walked
from tests.presentation.wording import faults, lines

Chooser = Callable[[Sequence[Any]], Any]
DAY = date(2026, 3, 10)
LABELS = ("Harbour steps", "Walk to the quay")
START = DayStart(
    side="right",
    form="full",
    taped=True,
    fortnight=True,
    measure="now",
    activities=LABELS,
    amounts=(AmountPlan(label=LABELS[1], unit="m", baseline=200, goal=300),),
    offers=tuple(
        RowOffer(answer=rule.answer, at_least=rule.lowest, usual=0, signs=rule.offers)
        for rule in CATALOGUE.policy.answers
    ),
)


def setting() -> ViewContext:
    return ViewContext(plan=taught_plan(), side="right", catalogue=CATALOGUE)


def view_of(page: WalkPage, **fields: Any) -> Any:
    today = fields.get("today", DAY)
    where = about("day", "right", DAY, today)
    return page_view(page, replace(setting(), day=DAY if today > DAY else None, about=where))


def _any_answer(choose: Chooser, page: WalkPage) -> Given:
    return any_answer(page, choose)


@cache
def met() -> dict[type, list[WalkPage]]:
    found: dict[type, list[WalkPage]] = {}
    for seed in range(90):
        choose = chooser(seed)
        start = replace(START, together=seed >= 60)
        pages, _, _ = walked(partial(day_walk, start, CATALOGUE), partial(_any_answer, choose))
        for page in pages:
            found.setdefault(type(page), []).append(page)
    return found


CLASSES = sorted(
    (
        cls
        for name, cls in inspect.getmembers(day_questions, inspect.isclass)
        if name.endswith("Page") and cls.__module__ == day_questions.__name__
    ),
    key=lambda cls: cls.__name__,
)
OF_SIGNS = (CardPage, MistakePage, NoneTickedPage)


def test_walks_meet_every_page_there_is() -> None:
    assert set(met()) == {*CLASSES, *OF_SIGNS}


@pytest.mark.parametrize("cls", [*CLASSES, *OF_SIGNS], ids=lambda cls: cls.__name__)
def test_every_page_has_a_view_in_words_that_can_be_read(cls: type) -> None:
    found: list[str] = []
    for page in met()[cls]:
        view = view_of(page)
        assert (view.key, view.above) == (page.key, "Right knee · Tuesday 10 March")
        assert "not for a real knee" in view.mark
        assert view.main is not None
        found += faults(lines(view), own_words=LABELS)
    assert sorted(set(found)) == []


@pytest.mark.parametrize("cls", CLASSES, ids=lambda cls: cls.__name__)
def test_every_question_can_be_left_out(cls: type) -> None:
    for page in met()[cls][:3]:
        for block in view_of(page).blocks:
            match block:
                case Scale():
                    assert block.cannot_say or not block.needed
                case Choose(_, _, options, needed):
                    assert not needed or "" in [option.value for option in options]
                case Number():
                    assert not block.needed
                case Write():
                    pass


def test_a_card_on_a_day_page_is_the_card_of_the_stop_list() -> None:
    page = CardPage(key="skin:card", sign="skin_broken")
    shown, card = view_of(page), page_view(page, setting())
    assert shown.blocks == card.blocks
    assert (shown.back, shown.stop, shown.main) == (card.back, card.stop, card.main)


def test_late_stands_above_every_page() -> None:
    late = view_of(PainPage(key="average"), today=DAY + timedelta(days=2))
    assert late.above.endswith("written late")
    assert "late" not in view_of(PainPage(key="average"), today=DAY + timedelta(days=1)).above


@pytest.mark.parametrize("days", [0, 1, 2])
def test_pain_is_asked_since_this_time_yesterday_or_on_the_day_of_the_page(days: int) -> None:
    asked = {
        key: " ".join(lines(view_of(PainPage(key=key), today=DAY + timedelta(days=days))))
        for key in get_args(Measure)
    }
    when = "Since this time yesterday: " if days == 0 else f"On {long_day(DAY)}: "
    assert f"{when}how much did your right knee hurt on average?" in asked["average"]
    assert f"{when}how bad was the worst pain?" in asked["worst"]
    assert all("no pain" in said and "worst possible pain" in said for said in asked.values())


def test_activities_say_that_higher_is_better() -> None:
    """The patient-specific scale: 0 unable, 10 as before (Stratford 1995, F)."""
    (page, *_) = met()[day_questions.ActivityPage]
    (scale,) = [block for block in view_of(page).blocks if isinstance(block, Scale)]
    assert (scale.low, scale.high) == ("unable", "as before")
    assert "higher number is better" in scale.question


def test_looked_over_is_only_what_was_answered() -> None:
    end = DayEnd(
        pain_average=0,
        night_pain=False,
        stiffness_minutes=1,
        activities=(ActivityScore(label="Market", score=6),),
        amounts=(Amount(label="Walk", unit="m", amount=180.0),),
        note="Rain.",
        note_private=True,
    )
    assert plain(day_lines(end, setting())).rows == (
        ("Average pain", "0"),
        ("Night pain", "no"),
        ("Stiff in the morning", "1 minute"),
        ("Market", "6 of 10"),
        ("Walk", "180 m"),
        ("Note", "Rain."),
        ("Who may read it", "only you"),
    )
    assert plain(day_lines(DayEnd(), setting())).rows == ()


def test_nothing_answered_blames_nobody() -> None:
    view = view_of(DayLookOverPage(end=DayEnd()))
    assert lines(view)[0] == "Nothing was answered"
    assert faults(lines(view)) == []


def test_a_page_nobody_described_is_a_bug() -> None:
    class Strange:
        key = "strange"

    with pytest.raises(TypeError, match="no view"):
        view_of(Strange())
