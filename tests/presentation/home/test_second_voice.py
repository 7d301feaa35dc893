"""A helper at the screen is told whose turn it is, and asks the person's questions as theirs."""

from companion.care import routine, stopping, taping
from companion.care.day_questions import MedicinePage, PainPage
from companion.presentation.home.second_voice import (
    ASKED,
    TURNS,
    alone_view,
    turn_of,
    whose_no_view,
)
from companion.presentation.home.walk_pages import ViewContext, page_view
from companion.presentation.view.page import Choose, PageView, Scale
from tests.care.walking import CATALOGUE, taught_plan
from tests.presentation.wording import faults, lines

PLAN = taught_plan()


def seen(page: object, *, helping: bool = True) -> PageView:
    setting = ViewContext(plan=PLAN, side="right", catalogue=CATALOGUE, helping=helping)
    return page_view(page, setting)  # type: ignore[arg-type]


def questions(view: PageView) -> list[str]:
    return [block.question for block in view.blocks if isinstance(block, Choose | Scale)]


def test_what_the_person_feels_is_asked_of_the_person() -> None:
    """A helper read "How much does your right knee hurt now?", and guessed."""
    for page in (routine.RestPainPage(limit=5), PainPage(key="average"), MedicinePage()):
        own, helped = seen(page, helping=False), seen(page)
        assert questions(helped) == [ASKED.format(question=one) for one in questions(own)]
        assert TURNS["answers"] in lines(helped)
        assert TURNS["answers"] not in lines(own)


def test_what_a_helper_sees_is_asked_of_the_helper() -> None:
    page = taping.SkinPage(when="at_once")
    assert questions(seen(page)) == questions(seen(page, helping=False))


def test_warning_signs_are_for_the_persons_own_eyes() -> None:
    gate = stopping.GatePage(questions=(1, 2, 3, 4), signs=())
    own, helped = seen(gate, helping=False), seen(gate)
    assert turn_of(own) == "screen"
    assert questions(helped) == questions(own)
    assert TURNS["screen"] in lines(helped)
    given = [dict(button.submitted) for button in helped.others]
    assert {"helper": "alone"} in given
    assert {"helper": "swap"} in given
    assert not any("helper" in dict(button.submitted) for button in own.others)


def test_the_pages_of_the_second_voice_read_easily() -> None:
    for view in (alone_view(), whose_no_view(), seen(routine.RestPainPage(limit=5))):
        assert faults(lines(view)) == []
