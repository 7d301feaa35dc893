"""Every open thing has one line on the front page, which is a door to its own knee; nothing closed
has one."""

from collections import Counter
from dataclasses import replace
from datetime import UTC, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from companion.care.history import current
from companion.care.open_things import _ROOMS, UnderWay, open_things
from companion.care.records import AnyEntry, Outing, Plan, Side, WarningSign
from companion.presentation.home.front import front_view
from companion.presentation.home.open_lines import BEGUN_LINES
from companion.presentation.language.words import this_knee
from companion.services.front import Front, KneeToday
from tests.builders import DAY, at
from tests.care.test_trial_days import trial_of
from tests.care.walking import CATALOGUE, taught_plan
from tests.presentation.wording import faults
from tests.strategies import close_together

ONE, TWO = taught_plan(side="left", main_side="left"), taught_plan(side="both", main_side="right")
PLANS = (ONE, TWO, taught_plan(trial=trial_of(DAY + timedelta(days=40))))
SIDES: tuple[Side, ...] = ("left", "right")
NO_THING = ("Your knee routine", "Day page")
"""The rows of every day."""
BEGUN = tuple(UnderWay(walk, side, DAY + timedelta(days=49)) for walk in _ROOMS for side in SIDES)


def test_every_walk_that_is_begun_has_a_line() -> None:
    assert set(BEGUN_LINES) == set(_ROOMS)


@settings(max_examples=15)
@given(
    close_together(PLANS, DAY + timedelta(days=50)),
    st.sampled_from(PLANS),
    st.integers(0, 72),
    st.sets(st.sampled_from(BEGUN), max_size=3),
    st.sampled_from([(), ("dose_call",)]),
    st.booleans(),
)
def test_each_open_thing_is_one_line_that_is_a_door_to_its_knee(
    made: tuple[AnyEntry, ...],
    plan: Plan,
    hour: int,
    begun: set[UnderWay],
    calls: tuple[str, ...],
    waits: bool,
) -> None:
    now = at(49, 0) + timedelta(hours=hour)
    made = tuple(
        replace(one, sign="knee_stuck") if isinstance(one, WarningSign) else one for one in made
    )
    # What somebody typed may hold anything; no two alike, so that their lines can be told apart.
    made = tuple(
        replace(one, what_for=f"errand {n}") if isinstance(one, Outing) else one
        for n, one in enumerate(made)
    )
    things = open_things(
        plan,
        current(made),
        today=(now - timedelta(hours=3)).date(),
        now=now,
        zone=UTC,
        policy=CATALOGUE.policy,
        under_way=sorted(begun, key=str),
        calls=calls,  # type: ignore[arg-type]
        plan_waits=waits,
    )
    knees = tuple(
        KneeToday(side=side, hands="due", exercise="due", minutes=9, shortened=False, days=())
        for side in plan.sides
    )
    today = (now - timedelta(hours=3)).date()
    front = Front(
        today=today,
        now=now,
        plan=plan,
        knees=knees,
        due=(),
        last_written_at=None,
        open=things,
        recorded=plan.sides,
    )
    view = front_view(front, lambda: CATALOGUE)
    doors = [
        row.door for row in view.today if row.door.name != "visit" and row.door.word not in NO_THING
    ]
    assert Counter((one.name, one.side) for one in doors) == Counter(
        (one.door, one.side) for one in things
    )
    assert len({one.word for one in doors}) == len(doors), "two lines can be told apart"
    # A mean and a grade of one short line are no measure of it.
    said = faults([one.word for one in doors]) if doors else []
    assert [fault for fault in said if not fault.startswith(("mean", "grade"))] == []
    named = len({*plan.sides, *(one.side for one in things if one.side)}) > 1
    for door in doors:
        if door.walk == "evening":
            assert "both knees" in door.word
        elif door.side is not None and named and door.name not in ("patch", "chair", "outing"):
            assert this_knee(door.side) in door.word
            assert all(this_knee(side) not in door.word for side in SIDES if side != door.side)
