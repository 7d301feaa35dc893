"""Diaries of every kind by hypothesis: empty, constant, full of gaps, doubled, replanned."""

from dataclasses import replace
from datetime import timedelta
from typing import Any

from hypothesis import strategies as st

from companion.care.records import (
    ActivityScore,
    AnyEntry,
    Diary,
    Measurement,
    Plan,
    Skin,
)
from tests.builders import (
    DAY,
    at,
    event,
    new_id,
    page,
    patch_test,
    plan,
    session,
    tape_off,
    tape_on,
    warning,
)

SCORE = st.integers(0, 10)
MAYBE_SCORE = st.none() | SCORE
SKIN: st.SearchStrategy[Skin | None] = st.sampled_from(
    [None, "clear", "pink", "red", "itchy", "blister", "broken"]
)
LABELS = ("stairs to the quay", "kneeling in the boat", "market and back")
KINDS = (*["page"] * 4, "session", "on", "off", "patch", "warning", "event", "stand")
SIDES = st.sampled_from(["left", "right"])
# Within two months of the first day, before the plan's date included.
DAYS = st.integers(-5, 60)


@st.composite
def plans(draw: st.DrawFn, version: int = 1) -> Plan:
    """One version; version 2 begins on day 20."""
    treated = draw(st.sampled_from(["left", "right", "both"]))
    made = plan(
        version=version,
        written_on=DAY + timedelta(days=20 * (version - 1)),
        side=treated,
        main_side=draw(SIDES) if treated == "both" else treated,
        measure=draw(st.sampled_from(["average", "worst", "now"])),
        birth_year=draw(st.none() | st.integers(1920, 2000)),
        hands_days_a_week=draw(st.integers(0, 7)),
        exercise_days_a_week=draw(st.integers(0, 7)),
        ease_target_percent=draw(st.integers(10, 100)),
        activities=LABELS[: draw(st.integers(0, 3))],
    )
    cap = draw(st.integers(24, 120))
    return replace(made, tape=replace(made.tape, cap_hours=cap))


@st.composite
def entries(draw: st.DrawFn) -> AnyEntry:
    day = draw(DAYS)
    side = draw(SIDES)
    common: dict[str, Any] = {
        "written_by": draw(st.sampled_from(["person", "paper", "clinic"])),
        "written_at": at(day + draw(st.integers(0, 9)), draw(st.integers(0, 23))),
        "plan_version": draw(st.integers(1, 2)),
    }
    kind = draw(st.sampled_from(KINDS))
    if kind == "page":
        answered = draw(st.lists(st.tuples(st.sampled_from(LABELS), SCORE), max_size=3))
        return page(
            day,
            side=side,
            pain_average=draw(MAYBE_SCORE),
            pain_worst=draw(MAYBE_SCORE),
            pain_now=draw(MAYBE_SCORE),
            activities=tuple(ActivityScore(label=label, score=score) for label, score in answered),
            hands_done=draw(st.none() | st.booleans()),
            exercise_done=draw(st.none() | st.booleans()),
            tape_worn=draw(st.none() | st.booleans()),
            skin=draw(SKIN),
            **common,
        )
    if kind == "session":
        after = draw(st.lists(SCORE | st.tuples(st.integers(1, 2), SCORE), max_size=4))
        return session(
            day,
            draw(MAYBE_SCORE),
            *after,
            side=side,
            ended=draw(st.sampled_from(["finished", "stopped", "left"])),
            place=draw(st.sampled_from(["home", "clinic"])),
            comparable=draw(st.booleans()),
            stage=draw(st.none() | st.integers(0, 2)),
            **common,
        )
    instant = at(day, draw(st.integers(0, 23)))
    if kind == "on":
        return tape_on(instant, side=side, stage=draw(st.integers(1, 2)), **common)
    if kind == "off":
        known = draw(st.booleans())
        return tape_off(instant if known else None, side=side, skin_at_once=draw(SKIN), **common)
    if kind == "patch":
        return patch_test(instant, first_read_at=instant, first_skin=draw(SKIN), **common)
    if kind == "warning":
        level = draw(st.sampled_from(["emergency", "today", "call", "care"]))
        return warning(day, level=level, sides=draw(st.sampled_from([(), ("left",)])), **common)
    if kind == "event":
        return event(day, draw(st.sampled_from(["injection", "fall"])), side=side, **common)
    count = draw(st.integers(0, 30))
    made = Measurement(id=new_id(), for_day=at(day).date(), count=count, **common)
    return replace(made, arms_used=draw(st.booleans()))


@st.composite
def diaries(draw: st.DrawFn) -> Diary:
    """One or two plan versions and up to sixty entries; some pages in long constant runs."""
    versions = tuple(draw(plans(version)) for version in range(1, draw(st.integers(1, 2)) + 1))
    made: list[AnyEntry] = draw(st.lists(entries(), max_size=60))
    if draw(st.booleans()):
        score = draw(SCORE)
        side = draw(SIDES)
        made += [
            page(day, side=side, pain_average=score, pain_worst=score, pain_now=score)
            for day in range(draw(st.integers(1, 60)))
        ]
    if draw(st.booleans()) and made:
        old = draw(st.sampled_from(made))
        made.append(replace(old, id=new_id(), replaces=old.id))
    return Diary(plans=versions, entries=tuple(made))
