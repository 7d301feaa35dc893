"""The chair stand in words: the rules said before, nothing filled in, and its result in full."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date, timedelta
from functools import cache
from typing import Any

import pytest

from companion.care import chair_questions as chair
from companion.care.flow import WalkPage
from companion.care.records import Measurement
from companion.evidence.chair_stand import chair_stands
from companion.evidence.figures import ChairStand
from companion.presentation.home.chair_pages import (
    chair_line,
    chair_name,
    chair_result_view,
    change_lines,
    table_lines,
    with_chair_stand,
)
from companion.presentation.home.walk_pages import ViewContext, page_view
from companion.presentation.view.page import Number, PageView, Scale, Timer
from tests.builders import at, new_id
from tests.care.content import CATALOGUE
from tests.care.test_outing_questions import walked
from tests.care.walking import any_answer, chooser, taught_plan
from tests.presentation.wording import faults, lines

PLAN = taught_plan(chair_stand="with_someone", birth_year=1943, sex="female")
SETTING = ViewContext(plan=PLAN, side="right", catalogue=CATALOGUE, about=chair_name())
FIRST = date(2026, 10, 5)


def view_of(page: WalkPage) -> PageView:
    return page_view(page, SETTING)


@cache
def met() -> dict[str, PageView]:
    """Every page of the walk that its own module shows, by class and reason."""
    found: dict[str, PageView] = {}
    for seed in range(150):
        choose = chooser(seed)
        start = chair.ChairStart(
            safe=choose(["alone", "with_someone"]),
            ceiling=5,
            gate_asked=choose([True, True, False]),
            closed=choose([(), (), (), ("check_move",)]),
            closed_by=choose([None, None, None, "knee_stuck"]),
            asked_signs=tuple(sign.id for sign in CATALOGUE.stop_list.signs),
        )

        def answer(page: WalkPage, choose: Any = choose) -> Mapping[str, Any]:
            return any_answer(page, choose)

        pages, _ = walked(chair.chair_walk(CATALOGUE, start), answer)
        for page in pages:
            name = f"{type(page).__name__} {getattr(page, 'reason', '')}".strip()
            found[name] = view_of(page)
    return found


def test_every_page_was_met_and_is_worded_by_the_rules() -> None:
    reasons = {name.partition(" ")[2] for name in met() if name.startswith("NotNowPage")}
    assert reasons == {"locked", "nobody_there", "pain", "no_stand", "stopped"}
    own = {name for name in dir(chair) if name.endswith("Page")} - {"GatePage", "OpenSignPage"}
    assert own <= {name.partition(" ")[0] for name in met()}
    for name, view in met().items():
        # What is shared with the routine and the words of a card are held by their own tests.
        if name.partition(" ")[0] in own - {"ChairClosedPage"}:
            assert not faults(lines(view)), name
            assert view.stop
        assert view.above == "Up from a chair, 30 seconds"


def test_the_rules_are_said_before_the_count() -> None:
    """CDC 2017 (F): 43 cm, wall, arms crossed, feet flat, full stand, half-way counts, arms 0."""
    told = " ".join(lines(met()["ChairPage"]) + lines(met()["HowPage"]))
    for words in (
        "43 cm",
        "against a wall",
        "Cross your arms",
        "feet are flat",
        "Stand up fully",
        "More than half-way up",
        "arms, it counts as 0",
        "pain goes above 5",
        "press Stop",
    ):
        assert words in told, words
    page = chair.ChairPage(safe="with_someone")
    assert "Somebody stands beside you. Your plan says so." in lines(view_of(page))
    alone = lines(view_of(chair.ChairPage(safe="alone")))
    assert "Have somebody near if you can." in alone


def test_nothing_is_filled_in_and_the_count_cannot_be_paused() -> None:
    (timer,) = [b for b in met()["CountPage"].blocks if isinstance(b, Timer)]
    assert (timer.seconds, timer.get_ready_seconds, timer.pausable) == (30, 5, False)
    assert not met()["CountPage"].enter_answers
    (count,) = [b for b in met()["HowManyPage"].blocks if isinstance(b, Number)]
    assert (count.needed, count.least) == (True, 0)
    assert [b for b in met()["TryPage"].blocks if isinstance(b, Scale)]


# ---------------------------------------------------------------- the result


def stands(*counts: int, arms: tuple[int, ...] = (), **of_plan: Any) -> tuple[ChairStand, ...]:
    plan = replace(PLAN, **of_plan)
    measured = [
        Measurement(
            id=new_id(),
            for_day=FIRST + timedelta(days=7 * place),
            written_at=at(FIRST),
            written_by="person",
            plan_version=1,
            count=count,
            arms_used=place in arms,
        )
        for place, count in enumerate(counts)
    ]
    return chair_stands(measured, plan.birth_year, plan.sex)


def told(*counts: int, **of_plan: Any) -> str:
    found = stands(*counts, **of_plan)
    return " ".join(table_lines(found[-1], replace(PLAN, **of_plan)))


@pytest.mark.parametrize(
    ("count", "of_plan", "says"),
    [
        # CDC 2017 (F): 80 to 84, men 10, women 9; strictly fewer.
        (8, {}, "Yours counts as 8: below average."),
        (9, {}, "Yours counts as 9: not below average."),
        (9, {"sex": "male"}, "Yours counts as 9: below average."),
        (9, {"sex": None}, "Your plan does not say which holds for you."),
        (8, {"sex": None}, "Yours counts as 8: below average."),
        # 79 or 80: women 10 or 9.
        (9, {"birth_year": 1946}, "Which one holds depends on your birthday."),
        (10, {"birth_year": 1946}, "Yours counts as 10: not below average."),
        (9, {"birth_year": None}, "It needs your year of birth, and your plan does not hold it."),
        (9, {"birth_year": 1970}, "The table goes from 60 to 94."),
        (9, {"birth_year": 1920}, "The table goes from 60 to 94."),
    ],
)
def test_beside_the_published_table(count: int, of_plan: dict[str, Any], says: str) -> None:
    assert says in told(count, **of_plan)


def test_a_flag_for_falls_and_no_grade_of_the_knee() -> None:
    assert "Then a fall is more likely. Tell your clinic." in told(8)
    assert "a fall is more likely" not in told(9)
    assert all("It is no mark for your knee." in told(count) for count in (8, 9))


@pytest.mark.parametrize(
    ("counts", "arms", "says"),
    [
        ((9,), (), "This is the first one without arms. A second try is often a little higher"),
        ((9, 11), (), "Now 11. 2 more. 1 or 2 may be chance. Between two months"),
        (
            (9, 12),
            (),
            "Now 12. 3 more. At one sitting, 3 or more is beyond what chance gives. Between",
        ),
        ((9, 6), (), "Now 6. 3 fewer. At one sitting, 3 or more is beyond what chance gives."),
        ((9, 9), (), "First 9, on Monday 5 October. Now 9."),
        ((9, 12), (1,), "With arms it is not compared."),
    ],
)
def test_beside_the_first_one(counts: tuple[int, ...], arms: tuple[int, ...], says: str) -> None:
    """Gill 2022 (F): about 2.5 stands, so 2 more is noise and 3 more is not."""
    assert says in " ".join(change_lines(stands(*counts, arms=arms)))


@pytest.mark.parametrize("counts", [(9,), (8,), (9, 12), (12, 9), (9, 9)])
@pytest.mark.parametrize(
    "of_plan", [{}, {"sex": None}, {"birth_year": None}, {"birth_year": 1946}, {"birth_year": 1970}]
)
def test_the_result_is_worded_by_the_rules(
    counts: tuple[int, ...], of_plan: dict[str, Any]
) -> None:
    view = chair_result_view(at(10), stands(*counts, **of_plan), replace(PLAN, **of_plan))
    said = [line for line in lines(view) if not line.startswith("Source:")]
    assert not faults(said)
    assert view.heading.startswith("Written down")
    assert not view.back


def test_it_is_said_as_due_only_while_it_is() -> None:
    visit = PageView(key="visit", heading="Your visit")
    assert with_chair_stand(visit, None) == visit
    assert [button.text for button in with_chair_stand(visit, False).others] == [
        "Up from a chair, 30 seconds"
    ]
    assert not with_chair_stand(visit, False).blocks
    due = with_chair_stand(visit, True)
    assert "Your clinic asks how often you can get up in 30 seconds." in lines(due)
    assert not faults(lines(due))
    assert [chair_line(None), chair_line(False), chair_line(True)] == [
        "",
        "How often you can get up",
        "Good to do now, for your clinic",
    ]
