"""On which days what was closed, and by which rule."""

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from companion.care.closed_days import closed_spans, days_closed_for
from companion.care.closures import cleared, closures
from companion.care.history import corrected, current
from companion.care.levels import PARTS
from companion.care.records import CautionAnswer, Part, Side, WarningSign
from tests.builders import DAY, at, new_id, plan, session, warning
from tests.care.content import POLICY, no_to_all
from tests.care.walking import taught_plan

SIGNS = tuple(row.sign for row in POLICY.signs if not row.for_session)


def day(number: int) -> date:
    return DAY + timedelta(days=number)


def over(sign: WarningSign, on: int) -> WarningSign:
    row = POLICY.sign(sign.sign)
    right = cleared(sign, row.closes[0].opens[0], on=day(on), policy=POLICY)
    return corrected(right, new_id(), at(on, 20), "person")


signs = st.lists(
    st.tuples(
        st.sampled_from(SIGNS),
        st.integers(0, 9),
        st.one_of(st.none(), st.integers(0, 9)),
        st.sampled_from([(), ("right",), ("left",)]),
    ),
    max_size=4,
)


@given(signs, st.sampled_from(["left", "right"]))
def test_the_days_counted_are_those_on_which_it_was_closed(made: Any, side: Side) -> None:
    """Counting by spans is asking the one question day by day."""
    entries: list[WarningSign] = []
    for sign, on, lasts, sides in made:
        one = warning(on, sign=sign, level="call", sides=sides)
        entries += [one] if lasts is None else [one, over(one, on + lasts)]
    counting = current(entries)
    spans = closed_spans(
        POLICY, (plan(side="both", cautions=no_to_all()),), counting, side, day(0), day(12)
    )
    for number in range(13):
        asked = closures(
            POLICY,
            plan(side="both", cautions=no_to_all()),
            counting,
            side,
            today=DAY,
            on=day(number),
        )
        counted = {part for part in PARTS if day(number) in days_closed_for(spans, part)}
        assert counted == asked.parts, number
        rules = {span.rule for span in spans if day(number) in span.days}
        assert rules == {one.rule for one in asked.by}


def test_a_caution_closes_while_the_plan_that_holds_it_is_in_force() -> None:
    fracture = CautionAnswer(caution="recent_fracture", answer=True, on=DAY)
    first = plan(cautions=(fracture,))
    second = replace(first, version=2, written_on=day(5), cautions=())
    spans = closed_spans(POLICY, (second, first), [], "right", day(-3), day(9))
    assert {(span.caution, span.rule, span.sign) for span in spans} == {
        ("recent_fracture", "r12", None)
    }
    assert days_closed_for(spans, "standing") == {day(number) for number in range(5)}


def test_a_caution_closes_no_day_of_what_the_plan_never_held() -> None:
    thin = CautionAnswer(caution="thin_skin", answer=True, on=DAY)
    for highest in (0, 1):
        one = taught_plan({"when": "always", "highest": highest}, cautions=(thin,))
        spans = closed_spans(POLICY, (one,), (), "right", day(0), day(6))
        assert {span.part for span in spans} == (
            {"tape_on", "outing_tape"} if highest else set()
        ), highest


def test_a_session_cut_short_and_a_day_without_the_helper_close_their_day_by_their_rule() -> None:
    """Nobody is behind for what a bad day, pain at rest or an empty chair kept closed."""
    blind = CautionAnswer(caution="cannot_tell_pain", answer=True, on=DAY)
    one = taught_plan(
        None,
        side="both",
        cautions=(*(c for c in no_to_all() if c.caution != "cannot_tell_pain"), blind),
        helper_days=("monday", "thursday"),
    )
    entries = [
        replace(session(2), rest_pain=9),
        replace(session(3, 9), reason="bad_day"),
        replace(session(4, side="left"), rest_pain=9),
    ]
    spans = closed_spans(POLICY, (one,), entries, "right", day(0), day(13))
    found = {(span.part, span.rule, span.state): span.days for span in spans}
    both: tuple[Part, ...] = ("standing", "check_move")
    for part in ("hands", *both):
        asked = {day(2)} if part == "hands" else {day(2), day(4)}
        assert found[part, "r03", "rest_pain_above_limit"] == asked
    for part in both:
        assert found[part, "r02", "bad_day"] == {day(3)}
    assert ("hands", "r02", "bad_day") not in found
    assert ("seated", "r03", "rest_pain_above_limit") not in found
    alone = found["seated", "r12", "no_helper"]
    assert {one.weekday() for one in alone} == {1, 2, 4, 5, 6}, "all but Monday and Thursday"
    assert len(alone) == 10
