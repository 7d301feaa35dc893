"""The words of going out: plain enough, nothing promised, and every page has a view."""

import re
from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC
from typing import Any, get_args

import pytest

from companion.care import outing_questions as going
from companion.care import records
from companion.care.flow import WalkPage
from companion.care.pacing import PacedWeek
from companion.care.records import Amount
from companion.care.stopping import CardPage, GatePage, SignTicked
from companion.care.tape_applications import TapeApplication, wear_clock
from companion.care.taping import NoTapePage, TapeCheckPage, TapeOffEnd, TapeOnPage, TapeReadyPage
from companion.presentation.home import outing_pages
from companion.presentation.home.home_pages import finished_view
from companion.presentation.home.looking_over import plain
from companion.presentation.home.outing_pages import (
    outing_lines,
    outing_next,
    outing_written,
)
from companion.presentation.home.walk_pages import ViewContext, page_view
from companion.presentation.view import page as view
from tests.builders import DAY, at
from tests.care.content import CATALOGUE, whole_plan
from tests.care.test_outing_questions import AFTER, START, WALK, going_out, told, walked
from tests.oracles.readability import grade, longest_sentence, mean_sentence, sentences

PLAN = whole_plan(amounts=(WALK,), activities=("Shopping",))
SETTING = ViewContext(plan=PLAN, side="right", catalogue=CATALOGUE)
TWENTY = Amount(label="Walk", unit="min", amount=20.0)
END = going.OutingEnd(
    going=True, what_for="Walk", amount=TWENTY, tape=(going.KneeTape(side="right", tape="put_on"),)
)
RIGHT = going.KneeAfterEnd(side="right")


def taped(how: Any) -> tuple[going.KneeTape, ...]:
    return (going.KneeTape(side="right", tape=how),)


AFTER_END = going.OutingAfterEnd(
    what_for="Walk", because="pain", amount=TWENTY, knees=(replace(RIGHT, pain_worst=6),)
)


def after(**fields: Any) -> going.OutingAfterEnd:
    """How it was, with this of its knee."""
    return replace(AFTER_END, knees=(replace(AFTER_END.knees[0], **fields),))


def morning(said: Any, **fields: Any) -> going.OutingMorningEnd:
    knees = (going.KneeMorning(side="right", said=said),)
    return going.OutingMorningEnd(what_for="Walk", knees=knees, **fields)


AFTER_ENDS: tuple[going.OutingAfterEnd, ...] = (
    AFTER_END,
    after(next_with_tape="take_off"),
    after(next_with_tape="leave"),
    after(removed=TapeOffEnd(off="earlier", off_day="today", hour=11, skin="pink")),
    after(removed=TapeOffEnd(off="by_itself", off_day="yesterday")),
    going.OutingAfterEnd(
        what_for="Walk",
        knees=(replace(RIGHT, removed=TapeOffEnd(off="by_itself", off_day="unknown")),),
    ),
)


def lines(shown: view.PageView) -> list[str]:
    """Every line of a page that is ours; cards have a test of their own."""
    found = [shown.heading]
    for block in shown.blocks:
        found += _lines_of(block)
    buttons = [shown.main, *shown.others]
    return found + [button.text for button in buttons if button is not None]


def _lines_of(block: view.Block) -> Iterable[str]:
    match block:
        case view.Text(text=text):
            return [text]
        case view.Callout(text=text, heading=heading):
            return [heading, text]
        case view.Bulleted(items=items) | view.Numbered(items=items):
            return items
        case view.DefinitionList(rows=rows):
            return [name for name, _ in rows]
        case view.Choose(question=question, options=options):
            return [question, *(option.word for option in options)]
        case view.Scale(question=question) | view.Number(question=question):
            return [question]
        case view.Write(question=question):
            return [question]
        case _:
            return []


PAGES: tuple[WalkPage, ...] = (
    going.CardFirstPage(sign="knee_stuck"),
    going.TapeByTrialPage(),
    going.WhatForPage(key="what_for:1", labels=("Walk", "Shopping")),
    going.WhatForPage(key="what_for:2", labels=("Walk", "Shopping"), again=True),
    going.WhatForPage(key="what_for:3", labels=()),
    going.AmountMeantPage(planned=WALK),
    going.TapeForOutingPage(what_for="Walk", amount=TWENTY),
    going.OutingLookOverPage(
        what_for="Walk", amount=TWENTY, tape=(going.KneeTape(side="right", tape="none"),)
    ),
    going.OutingLookOverPage(
        what_for="Walk", amount=None, tape=(going.KneeTape(side="right", tape="was_on"),)
    ),
    going.WhyEndedPage(what_for="Walk", taped=True),
    going.AmountDonePage(label="Walk", unit="min", meant=TWENTY),
    going.OutingPainPage(what_for="Walk"),
    going.TapeStillOnPage(),
    *(going.OutingAfterLookOverPage(end=end) for end in AFTER_ENDS),
    going.MorningAfterPage(key="next_morning:1", what_for="Walk"),
)
ENDS = (
    END,
    replace(END, going=False, card=True),
    *AFTER_ENDS,
    *(morning(one) for one in (None, *get_args(records.NextMorning))),
    morning("more_pain", signs=(SignTicked(sign="more_pain_after", mistake=False),)),
)
FORBIDDEN = re.compile(
    r"well done|great|good job|proud|congrat|don.t worry|you are fine|safe to|will help"
    r"|will get better|should have|you must not|nothing is wrong|diagnos",
    re.IGNORECASE,
)


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.key)
def test_a_page_reads_easily(page: WalkPage) -> None:
    """Grade 6 at most, mean sentence 12 words, none over 20: what we hold Home to."""
    texts = lines(page_view(page, SETTING))
    assert grade(texts) <= 6
    assert mean_sentence(texts) <= 12
    assert longest_sentence(texts) <= 20
    assert not FORBIDDEN.search(" ".join(texts))


@pytest.mark.parametrize("end", ENDS, ids=str)
def test_the_end_reads_easily(end: Any) -> None:
    texts = [
        *outing_next(end),
        *(f"{name}: {value}" for name, value in plain(outing_lines(end, SETTING)).rows),
    ]
    for sentence in sentences(texts):
        assert longest_sentence([sentence]) <= 20
    if outing_next(end):
        assert grade(outing_next(end)) <= 6
    assert not FORBIDDEN.search(" ".join(texts))


def test_every_page_of_the_three_walks_has_a_view() -> None:
    """And one main button, and a name for each answer the walk reads."""
    start = replace(START, gate_asked=False)
    pages = [
        *walked(going.outing_walk(CATALOGUE, start), going_out)[0],
        *walked(going.outing_after_walk(AFTER), told)[0],
    ]
    for page in pages:
        shown = page_view(page, SETTING)
        assert shown.key == page.key
        assert shown.main is not None


@pytest.mark.parametrize(
    "page",
    [
        GatePage(),
        CardPage(key="next_morning:1:card", sign="more_pain_after"),
        NoTapePage(reasons=("rest",)),
        TapeReadyPage(stage=1, helper_needed=False),
        TapeOnPage(key="tape_on:1", stage=1),
        TapeCheckPage(),
    ],
    ids=lambda page: page.key,
)
def test_a_page_shared_with_the_routine_looks_as_there(page: WalkPage) -> None:
    assert page_view(page, SETTING) == page_view(page, SETTING)


def _answers(shown: view.PageView) -> set[str]:
    """The values a page can give, by the name of the answer."""
    found = set()
    for block in shown.blocks:
        if isinstance(block, view.Choose):
            found |= {f"{block.name}={option.value}" for option in block.options}
        elif isinstance(block, view.Scale | view.Number | view.Write):
            found.add(block.name)
    for button in (shown.main, *shown.others):
        if button is not None:
            found |= {f"{name}={value}" for name, value in button.submitted}
    return found


@pytest.mark.parametrize(
    ("page", "gives"),
    [
        (
            going.WhatForPage(key="what_for:1", labels=("Walk", "Shopping")),
            ("what=1", "what=2", "what=own", "own"),
        ),
        (going.WhatForPage(key="what_for:1", labels=()), ("own",)),
        (going.AmountMeantPage(planned=WALK), ("amount",)),
        (going.TapeForOutingPage(what_for="Walk", amount=None), ("tape=yes", "tape=no")),
        (
            going.OutingLookOverPage(
                what_for="Walk", amount=None, tape=(going.KneeTape(side="right", tape="none"),)
            ),
            ("going=yes", "going=no"),
        ),
        (
            going.WhyEndedPage(what_for="Walk", taped=True),
            tuple(f"because={one}" for one in (*get_args(records.OutingEnded), "not_gone")),
        ),
        (going.OutingPainPage(what_for="Walk"), ("score",)),
        (going.TapeStillOnPage(), ("tape=on", "tape=off", "tape=by_itself")),
        (
            going.MorningAfterPage(key="next_morning:1", what_for="Walk"),
            tuple(f"next_morning={one}" for one in (*get_args(records.NextMorning), "")),
        ),
    ],
    ids=str,
)
def test_what_a_page_gives_is_what_the_walk_reads(page: WalkPage, gives: tuple[str, ...]) -> None:
    assert _answers(page_view(page, SETTING)) == set(gives)


def test_nothing_is_chosen_beforehand_and_pain_may_be_left_out() -> None:
    shown = page_view(going.OutingPainPage(what_for="Walk"), SETTING)
    (scale,) = [block for block in shown.blocks if isinstance(block, view.Scale)]
    assert scale.cannot_say


def test_tape_is_no_reason_where_there_was_none() -> None:
    shown = page_view(going.WhyEndedPage(what_for="Walk", taped=False), SETTING)
    assert "because=tape" not in _answers(shown)


def test_tape_goes_on_an_hour_before() -> None:
    """60 minutes before walking far or water (C)."""
    shown = page_view(going.TapeForOutingPage(what_for="Walk", amount=TWENTY), SETTING)
    assert "Put it on 60 minutes before you walk far or go in water." in lines(shown)
    assert next(block.rows for block in shown.blocks if isinstance(block, view.DefinitionList)) == (
        ("For", "Walk"),
        ("How much", "20 min"),
    )


def test_an_open_card_is_shown_whole() -> None:
    shown = page_view(going.CardFirstPage(sign="knee_stuck"), SETTING)
    (card,) = [block for block in shown.blocks if isinstance(block, view.CardBlock)]
    assert card.level == "today"
    assert card.phones


def test_a_practice_plan_is_marked_and_the_knee_named() -> None:
    shown = page_view(going.TapeStillOnPage(), SETTING)
    assert PLAN.practice
    assert shown.mark
    assert shown.above == "Right knee"


def test_facts_of_an_outing() -> None:
    assert plain(outing_lines(END, SETTING)).rows == (
        ("For", "Walk"),
        ("How much", "20 min"),
        ("Tape", "put on for this"),
    )
    assert plain(outing_lines(AFTER_END, SETTING)).rows == (
        ("For", "Walk"),
        ("How much", "20 min"),
        ("Why it ended", "It hurt too much"),
        ("Worst pain", "6"),
    )
    assert plain(outing_lines(morning("less_pain"), SETTING)).rows == (
        ("For", "Walk"),
        ("The morning after", "Less pain than usual"),
    )


def test_what_was_not_said_is_no_fact() -> None:
    bare = going.OutingAfterEnd(what_for="Walk", because="tired", knees=(RIGHT,))
    assert plain(outing_lines(bare, SETTING)).rows == (
        ("For", "Walk"),
        ("Why it ended", "I was tired"),
    )
    nobody = going.OutingAfterEnd(
        what_for="Walk",
        gone=False,
        because="other",
        amount=replace(TWENTY, amount=0.0),
        knees=(RIGHT,),
    )
    assert plain(outing_lines(nobody, SETTING)).rows == (("For", "Walk"), ("Did you go", "no"))


@pytest.mark.parametrize(
    "end",
    [
        replace(END, going=False),
        going.OutingAfterEnd(what_for="Walk", knees=(RIGHT,)),
        morning(None),
    ],
    ids=str,
)
def test_nothing_written_is_said_to_be_nothing(end: Any) -> None:
    assert not outing_written(end)
    assert plain(outing_lines(end, SETTING)).rows == ()


def test_the_tape_is_named_where_it_must_come_off() -> None:
    off = " ".join(outing_next(after(next_with_tape="take_off")))
    assert "Take the tape off now" in off


def test_more_pain_the_next_morning_speaks_of_that_walk_and_its_aim() -> None:
    """It was told as of a routine: fewer repeats, leave out the step that hurt most."""
    aim = PacedWeek(label="Walk", unit="min", first_day=DAY, aim=12.0, step=2.0)
    ticked = (SignTicked(sign=going.MORE_PAIN, mistake=False),)
    end = morning("more_pain", signs=ticked, aim=aim)
    assert outing_next(end) == (
        "Do a little less of it next time: Walk.",
        "Your plan says 12\u00a0min a day this week. Do no more than that.",
    )
    assert outing_next(replace(end, signs=(replace(ticked[0], mistake=True),))) == ()
    card = CATALOGUE.card("more_pain_after")
    assert any("walk" in action for action in card.actions)


def test_tape_that_is_off_is_looked_over_with_when_and_how_the_skin_is() -> None:
    rows = [(one.name, one.value) for one in outing_lines(AFTER_ENDS[3], SETTING)]
    assert rows[-2] == ("Tape", "off, today about 11 o’clock")
    assert rows[-1][0] == "Skin"
    assert outing_written(AFTER_ENDS[5])


def test_whoever_goes_out_with_tape_is_told_when_it_comes_off() -> None:
    wear = wear_clock(
        TapeApplication(
            side="right",
            on_ids=("a" * 32,),
            on_at=at(1, 9),
            stage=1,
            make=None,
            for_outing=True,
            number=1,
        ),
        PLAN,
        at(1, 9),
        UTC,
    )
    shown = finished_view(END, at(1, 9), SETTING, wears={"right": wear}, now=at(1, 9))
    said = [block.text for block in shown.blocks if isinstance(block, view.Callout)]
    assert said == ["It comes off tomorrow at 09:00. Write that day on the tape."]


def test_words_of_the_person_are_shown_as_written() -> None:
    """A brace in what someone typed is a brace."""
    page = going.MorningAfterPage(key="next_morning:1", what_for="{tea} at 5")
    assert "Yesterday: {tea} at 5" in lines(page_view(page, SETTING))
    assert outing_pages.how_much(replace(TWENTY, amount=2.5)) == "2.5 min"
