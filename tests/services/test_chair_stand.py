"""The chair stand in the real store: one measure, the gate's answer, and nothing half done."""

from dataclasses import replace
from typing import Any

import pytest

from companion.care.chair_questions import ChairClosedPage, ChairPage, CountPage, NotNowPage
from companion.care.closures import open_warnings
from companion.care.records import GateAnswer, Measurement, WarningSign
from companion.care.stopping import CardPage, GatePage
from companion.services.chair_stand import ChairWalk, chair_stand_today, stands_counted
from companion.services.tape import gate_asked_today
from companion.services.walk_kinds import expire_all
from companion.services.walks import WalkStep, begin, load
from tests.builders import DAY, SOMETHING_NEW, at, session, warning
from tests.care.content import POLICY, closed_for
from tests.care.walking import taught_plan
from tests.services.conftest import Keep
from tests.services.context_for_tests import answer_by, of, shown, walk_on

PLAN = taught_plan(chair_stand="alone", birth_year=1943, sex="female")


def test_a_count_is_one_measure_and_the_gate_is_kept(keep: Keep) -> None:
    context = keep(plan=PLAN).context
    walk_on(context, ChairWalk(), answer=answer_by({"chair": {"seat_cm": 45}}))
    (measured,) = of(context, Measurement)
    assert (measured.count, measured.arms_used, measured.seat_cm) == (9, False, 45)
    assert measured.for_day == context.clock.today()
    (gate,) = of(context, GateAnswer)
    assert (gate.gate, gate.full_list) == ("none", True)  # the first use shows the full list
    assert gate_asked_today(context.entries, context.clock.today())
    again = begin(context, ChairWalk(), "right")
    assert isinstance(shown(again), ChairPage), "the gate is asked once a day"


def test_arms_score_0_against_the_table_and_the_first(keep: Keep) -> None:
    kept = keep(plan=PLAN)
    context = kept.context
    walk_on(context, ChairWalk())
    kept.clock.pass_by(minutes=5)
    walk_on(context, ChairWalk(), answer=answer_by({"how_many": {"count": 12, "arms": "yes"}}))
    first, second = stands_counted(context, PLAN)
    assert (first.score, second.score) == (9, 0)
    assert second.below_average is True


@pytest.mark.parametrize("until", ["chair", "count:1", "how_many"])
def test_left_half_way_nothing_is_written(until: str, keep: Keep) -> None:
    kept = keep(plan=PLAN)
    walk_on(kept.context, ChairWalk(), until=until)
    context = kept.kill()
    resumed = begin(context, ChairWalk(), "right")
    assert shown(resumed).key == until
    kept.clock.pass_by(days=1)
    expire_all(context)
    assert load(context, ChairWalk(), "right") is None
    assert not of(context, Measurement)


def test_an_open_card_comes_first_and_last(keep: Keep) -> None:
    context = keep(warning(9), plan=PLAN).context
    begun = begin(context, ChairWalk(), "right")
    assert isinstance(shown(begun), ChairClosedPage)
    walk_on(context, ChairWalk())
    assert not of(context, Measurement)


def test_a_sign_ticked_at_its_gate_is_on_disk_before_its_card(keep: Keep) -> None:
    context = keep(plan=PLAN).context
    answers: dict[str, Any] = {"gate": SOMETHING_NEW}
    begun = walk_on(context, ChairWalk(), answer=answer_by(answers), until="list:1")
    sign = next(
        s
        for s in context.catalogue.stop_list.signs
        if context.policy.sign(s.id).ends == "session" and not s.questions
    )
    answers["list:1"] = {"signs": [sign.id]}
    begun = walk_on(context, ChairWalk(), answer=answer_by(answers), until=f"list:1:{sign.id}:card")
    assert isinstance(shown(begun), CardPage)
    assert [entry.sign for entry in of(context, WarningSign)] == [sign.id]
    walk_on(context, ChairWalk())
    assert not of(context, Measurement)


def test_a_sign_ticked_elsewhere_begins_it_anew(keep: Keep) -> None:
    kept = keep(plan=PLAN)
    context = kept.context
    begun = walk_on(context, ChairWalk(), until="count:1")
    assert isinstance(shown(begun), CountPage)
    kept.clock.pass_by(minutes=1)
    context.journal.append(warning(10, written_at=kept.clock.now(), for_day=at(10).date()))
    assert isinstance(shown(begin(context, ChairWalk(), "right")), ChairClosedPage)


def test_either_knee_of_the_plan_closes_it(keep: Keep) -> None:
    both = taught_plan(chair_stand="alone", side="both", main_side="right")
    context = keep(warning(9, "giving_way_new", "today", sides=("left",)), plan=both).context
    assert isinstance(shown(begin(context, ChairWalk(), "right")), ChairClosedPage)


def test_broken_skin_of_a_knee_is_neither_asked_about_nor_cleared(keep: Keep) -> None:
    """It closes no standing, and nobody could say which knee is meant."""
    both = taught_plan(chair_stand="alone", side="both", main_side="right")
    for sides in (("left",), ("right",)):
        context = keep(warning(9, "skin_broken", "call", sides=sides), plan=both).context
        walk_on(context, ChairWalk())
        assert len(of(context, Measurement)) == 1
        assert [one.cleared for one in of(context, WarningSign)] == [None]
        for knee in both.sides:
            assert ("tape_on" in closed_for(context.entries, knee)) == (knee in sides)


def test_broken_skin_ticked_at_its_gate_locks_every_knee_of_the_plan(keep: Keep) -> None:
    both = taught_plan(chair_stand="alone", side="both", main_side="right")
    context = keep(plan=both).context
    answers: dict[str, Any] = {
        "gate": SOMETHING_NEW,
        "list:1": {"signs": ["skin_broken"]},
        "list:1:skin_broken:card:knee": {"knee": "both"},
    }
    walk_on(context, ChairWalk(), answer=answer_by(answers))
    still = open_warnings(context.entries, POLICY)
    assert {one.sides for one in still} == {("left",), ("right",)}
    for knee in both.sides:
        assert "hands" in closed_for(context.entries, knee)


def test_an_open_sign_of_the_person_is_asked_about_and_closes_standing(keep: Keep) -> None:
    """Feeling ill closes everything until it was asked about again. Broken skin beside it, which
    is not asked about here, holds no chair stand closed."""
    sign = "unwell"
    for over, counted in (("no", 0), ("yes", 1)):
        skin = warning(9, "skin_broken", "call", sides=("right",))
        context = keep(warning(9, sign, "care"), skin, plan=PLAN).context
        walk_on(context, ChairWalk(), answer=answer_by({f"open:{sign}": {"over": over}}))
        assert len(of(context, Measurement)) == counted


@pytest.mark.parametrize("sides", [(), ("left",), ("right",)])
def test_a_count_is_not_asked_for_while_a_sign_of_either_knee_closes_it(
    sides: Any, keep: Keep
) -> None:
    both = taught_plan(chair_stand="alone", side="both", review_on=at(12).date())
    assert chair_stand_today(keep(plan=both).context, both) is True
    sign = warning(9, "gives_way_worse", "call", sides=sides)
    assert chair_stand_today(keep(sign, plan=both).context, both) is False


def test_it_is_offered_by_the_plan_alone(keep: Keep) -> None:
    context = keep(plan=taught_plan()).context
    assert chair_stand_today(context, taught_plan()) is None
    with pytest.raises(LookupError):
        begin(context, ChairWalk(), "right")
    offered = keep(plan=PLAN).context
    assert chair_stand_today(offered, PLAN) in (True, False)
    begun = begin(offered, ChairWalk(), "right")
    assert isinstance(begun, WalkStep)
    assert isinstance(begun.page, GatePage | NotNowPage)


def test_no_standing_against_the_clock_on_a_bad_day(keep: Keep) -> None:
    """By the other knee's session too: it is done on both legs."""
    today = (at(10).date() - DAY).days
    for side in ("left", "right"):
        both = replace(PLAN, side="both", main_side="right", bad_day_mark=8)
        context = keep(session(today, 9, side=side), plan=both).context
        outcome = walk_on(context, ChairWalk(), until="not_now")
        assert isinstance(shown(outcome), NotNowPage)
        assert shown(outcome).reason == "bad_day"  # type: ignore[attr-defined]
