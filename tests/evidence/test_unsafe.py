"""What may be unsafe: one list for every page, in one order.

The order, the windows and the thresholds are common practice, no source; each is a number of the
policy.
"""

from dataclasses import replace
from datetime import date, timedelta
from typing import Any, get_args

import pytest
from hypothesis import given, settings

from companion.care.records import AnyEntry, Diary, HandsRound, Outcome, StepDone
from companion.evidence.figures import Unsafe, UnsafeCode
from companion.evidence.findings import sides
from companion.evidence.unsafe import silence
from tests.builders import DAY, at, diary, event, page, pages, plan, session, tape_off, warning
from tests.care.content import CATALOGUE
from tests.evidence.diaries import diaries
from tests.found import findings

POLICY = CATALOGUE.policy
WATCH = POLICY.watch


def unsafe(*entries: Any, read_on: date | None = None, **fields: Any) -> tuple[Unsafe, ...]:
    made = diary(*entries, plans=(plan(**fields),))
    return findings(made, read_on=read_on).unsafe


def told(*entries: Any, read_on: date | None = None, **fields: Any) -> list[str]:
    return [each.code for each in unsafe(*entries, read_on=read_on, **fields)]


def only(code: UnsafeCode, found: tuple[Unsafe, ...]) -> Unsafe:
    (one,) = [each for each in found if each.code == code]
    return one


def stopped(day: int, pain: int | None, outcome: Outcome = "stopped") -> AnyEntry:
    step = StepDone(step="glide_inner_edge", outcome=outcome, pain=pain)
    return session(day, 6, 4, rounds=(HandsRound(steps=(step,)),))


def test_a_quiet_diary_has_nothing_unsafe() -> None:
    assert told(pages([4, 5] * 20), stopped(3, None, "done")) == []


def test_the_order_is_that_of_the_policy() -> None:
    first = page(0, form="full", swelling="none", night_pain=False, stiffness_minutes=0)
    rows = [
        page(
            day,
            form="full",
            pain_average=4,
            swelling="much",
            night_pain=True,
            stiffness_minutes=90,
        )
        for day in range(30, 40)
    ]
    entries = [
        first,
        rows,
        warning(39, "leg_swollen", "today"),
        event(35, "fall"),
        warning(
            36,
            "head_knock",
            "emergency",
            cleared="checked_by_professional",
            cleared_on=DAY + timedelta(days=37),
        ),
        tape_off(at(34), skin_at_once="red"),
        warning(33, "stiff_mornings", "call"),
        [stopped(day, 6) for day in (36, 37, 38)],
    ]
    assert told(*entries) == [
        *("open_card", "fall", "head_knock", "skin", "open_sign", "step_stopped"),
        *("woken", "swelling", "stiff"),
    ]
    # A card came, and then nothing: that is told before everything.
    assert told(*entries, read_on=DAY + timedelta(days=42))[0] == "silent_after_card"


@settings(max_examples=40)
@given(diaries())
def test_any_diary_is_told_in_that_order_and_without_today(made: Diary) -> None:
    for side in sides(made):
        found = findings(made, side).unsafe
        places = [get_args(UnsafeCode).index(each.code) for each in found]
        assert places == sorted(places)
        later = findings(made, side, read_on=date(2030, 1, 1)).unsafe
        quiet = ("silent", "silent_after_card")
        assert [each for each in later if each.code not in quiet] == [
            each for each in found if each.code not in quiet
        ]
        assert later[0].code == "silent_after_card" or later[-1].code == "silent"


def test_a_card_is_open_until_what_opens_it_is_written() -> None:
    ticked = warning(1, "leg_swollen", "today")
    found = unsafe(pages([4] * 9), ticked)
    card = only("open_card", found)
    assert (card.sign, card.level) == ("leg_swollen", "today")
    wrong = replace(ticked, cleared="asked_again", cleared_on=DAY + timedelta(days=2))
    assert told(pages([4] * 9), wrong) == ["open_card"]
    seen = replace(ticked, cleared="checked_by_professional", cleared_on=DAY + timedelta(days=2))
    assert told(pages([4] * 9), seen) == []


def test_falls_are_counted_over_a_year_and_told_while_they_are_late() -> None:
    found = unsafe(event(0, "fall"), event(300, "fall"), page(301, pain_average=3))
    assert (only("fall", found).day, only("fall", found).count) == (DAY + timedelta(days=300), 2)
    assert told(event(0, "fall"), page(WATCH.recent_days, pain_average=3)) == []
    assert told(event(0, "fall"), page(WATCH.recent_days - 1, pain_average=3)) == ["fall"]


def test_a_sign_that_tells_of_a_fall_is_a_fall() -> None:
    ticked = warning(5, "fall_unhurt", "call", cleared="checked_by_professional")
    ticked = replace(ticked, cleared_on=DAY + timedelta(days=6))
    both = unsafe(ticked, event(1, "fall"), page(9, pain_average=3))
    assert [(each.code, each.sign, each.count) for each in both] == [
        ("fall", None, 1),
        ("fall", "fall_unhurt", 2),
    ]
    # Written as an event of the same day too, it is one fall.
    twice = unsafe(ticked, event(5, "fall", note="On the slipway"), page(9, pain_average=3))
    assert [(each.code, each.note, each.count) for each in twice] == [("fall", "On the slipway", 1)]
    assert told(replace(ticked, cleared="ticked_by_mistake"), page(9, pain_average=3)) == []


def test_the_signs_of_falls_and_of_the_head_are_signs_of_the_list() -> None:
    listed = {sign.id for sign in CATALOGUE.stop_list.signs}
    assert listed.issuperset((*WATCH.falls, *WATCH.heads))


@pytest.mark.parametrize(
    ("pains", "unsafe_step"),
    [
        ((5, 5, None, None, None), False),
        ((5, None, 5, None, 5), True),
        ((None, None, None, None, 8), True),  # above 7 once
        ((None, None, None, None, 7), False),
        ((5, 5, 5, None, None, None, None, None), False),  # not in the last five
    ],
)
def test_a_step_stopped_again_and_again_or_by_high_pain_is_unsafe(
    pains: tuple[int | None, ...], *, unsafe_step: bool
) -> None:
    entries = [
        stopped(day, pain, "done" if pain is None else "stopped") for day, pain in enumerate(pains)
    ]
    found = unsafe(entries)
    assert [each.code for each in found] == (["step_stopped"] if unsafe_step else [])
    if unsafe_step:
        step = only("step_stopped", found)
        assert (step.step, step.of) == ("glide_inner_edge", 5)
        assert step.count == sum(pain is not None for pain in pains)


@pytest.mark.parametrize(
    ("field", "quiet", "alarming", "code"),
    [
        ("swelling", "none", "much", "swelling"),
        ("stiffness_minutes", 0, 120, "stiff"),
    ],
)
def test_new_answers_are_unsafe_and_usual_ones_are_not(
    field: str, quiet: Any, alarming: Any, code: UnsafeCode
) -> None:
    first = page(0, form="full", **{field: quiet})
    new = page(10, form="full", **{field: alarming})
    found = only(code, unsafe(first, new))
    assert (found.count, found.of, found.day) == (1, 2, DAY + timedelta(days=10))
    assert found.usual == 0
    assert told(replace(first, **{field: alarming}), new) == []
    usual = {"swelling": "usual_swelling", "stiff": "usual_stiffness_minutes"}[code]
    assert told(first, new, **{usual: alarming}) == []
    # Two weeks later it is no news.
    assert told(first, new, page(24, form="full", **{field: quiet})) == []


def test_nights_are_new_from_the_third_of_seven_on() -> None:
    first = page(0, form="full", night_pain=False)
    nights = [page(day, form="full", night_pain=True) for day in (10, 12)]
    assert told(first, nights) == []
    third = page(14, form="full", night_pain=True)
    assert only("woken", unsafe(first, nights, third)).count == 1
    assert told(first, nights, third, usual_night=True) == []


def test_pain_going_up_and_the_persons_own_limit_are_told() -> None:
    rising = [week for week in (2, 3, 4, 5, 6, 7) for _ in range(7)]
    found = unsafe(pages(rising))
    up = only("rising", found)
    assert up.highest is not None
    assert up.highest > 0
    over = unsafe(pages([3, 4] * 16 + [9, 9, 9]))
    assert only("signal", over).day == DAY + timedelta(days=34)


def test_silence_is_told_sooner_after_a_card() -> None:
    last = DAY + timedelta(days=8)
    quiet = [pages([4] * 9)]
    for days, code in ((WATCH.silent_days - 1, None), (WATCH.silent_days, "silent")):
        found = told(*quiet, read_on=last + timedelta(days=days))
        assert found == ([] if code is None else [code])
    carded = [*quiet, warning(8, "leg_swollen", "today")]
    assert told(*carded, read_on=last + timedelta(days=WATCH.silent_days_after_card)) == [
        "silent_after_card",
        "open_card",
    ]
    mistaken = [*quiet, warning(8, "leg_swollen", "today", cleared="ticked_by_mistake")]
    assert told(*mistaken, read_on=last + timedelta(days=WATCH.silent_days_after_card)) == []


def test_a_plan_nobody_wrote_under_is_silent_too() -> None:
    found = unsafe(read_on=DAY + timedelta(days=WATCH.silent_days))
    assert [each.code for each in found] == ["silent"]
    assert silence(WATCH, DAY, DAY, after_card=True) is None


def test_silence_stands_beside_how_often_chance_makes_it() -> None:
    # Every fourth day left out of 20: (5 + 1) / (20 + 2) to the power of the days of silence.
    written = [4 if n % 4 else None for n in range(1, 20)]
    book = [*pages([4]), *pages(written, first=1)]
    last = max(each.for_day for each in book)
    of = (last - DAY).days + 1
    (found,) = unsafe(book, read_on=last + timedelta(days=WATCH.silent_days))
    assert (found.count, found.of) == (of - len(book), of)
    share = (of - len(book) + 1) / (of + 2)
    assert found.by_chance == pytest.approx(share**WATCH.silent_days)
    # (fact: silence_by_chance) of fewer than 14 days nothing is told.
    (early,) = unsafe(pages([4] * 13), read_on=DAY + timedelta(days=12 + WATCH.silent_days))
    assert early.by_chance is None
