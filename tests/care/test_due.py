"""What is due today."""

from datetime import timedelta
from typing import Any

from companion.care.due import Due, PartToday, day_form, due_today, part_today
from companion.care.records import AnyEntry, HandsRound, Plan, Session, StepDone
from tests.builders import DAY, at, event, page, session, tape_on, warning
from tests.care.content import CATALOGUE, whole_plan

STOP_LIST = CATALOGUE.policy


def due(*entries: AnyEntry, day: int = 3, **plan_fields: Any) -> list[Due]:
    today = DAY + timedelta(days=day)
    return list(due_today(whole_plan(**plan_fields), entries, today=today, policy=STOP_LIST))


def whats(*entries: AnyEntry, **more: Any) -> list[str]:
    return [one.what for one in due(*entries, **more)]


def hands_done(day: int, **fields: Any) -> Session:
    steps = (StepDone(step="glide_inner_edge", outcome="done"),)
    return session(day, 5, 3, rounds=(HandsRound(steps=steps),), exercises=steps, **fields)


def test_an_ordinary_day() -> None:
    assert whats() == ["hands", "day_page"]
    assert whats(hands_done(3)) == ["day_page"]
    assert due(hands_done(3), page(3)) == [Due("nothing")]
    only_hands = session(3, 5, 3, rounds=hands_done(3).rounds)
    assert whats(only_hands, page(3)) == ["exercise"]


def test_open_signs() -> None:
    found = due(warning(2))
    assert found[0] == Due("locked")
    assert "hands" not in [one.what for one in found]
    assert whats(warning(2, sign="lump", level="call"))[0] == "call_clinic"


def test_review_passed() -> None:
    assert "review" not in whats(day=56)
    assert whats(day=57)[-1] == "review"


def part(entries: list[AnyEntry], day: int, which: str = "hands", **fields: Any) -> PartToday:
    return part_today(
        whole_plan(**fields),
        "right",
        entries,
        which,  # type: ignore[arg-type]
        DAY + timedelta(days=day),
        STOP_LIST,
    )


def test_one_part_of_the_routine() -> None:
    assert part([], 0) == "due"
    assert part([], 0, techniques=()) == "not_in_plan"
    assert part([], 0, hands_days_a_week=0) == "not_in_plan"
    assert part([hands_done(0)], 0) == "done"
    assert part([hands_done(0, side="left")], 0) == "due"
    assert part([warning(0)], 1) == "locked"
    assert part([event(0)], 6) == "resting"
    assert part([event(0)], 7) == "due"
    assert part([tape_on(at(0))], 1) == "taped"
    assert part([tape_on(at(0))], 1, "exercise") == "due"
    skin = warning(0, sign="skin_broken", level="call", sides=("right",))
    assert part([skin], 1) == "locked"
    assert part([skin], 1, "exercise") == "due"


def test_a_week_is_seven_days_from_the_plan() -> None:
    kept: list[AnyEntry] = [hands_done(day) for day in range(5)]
    assert part(kept[:4], 5) == "due"
    assert part(kept, 5) == "week_done"
    assert part(kept, 6) == "week_done"
    assert part(kept, 7) == "due"


def form(day: int, last_full: int | None = None, review: int = 56) -> str:
    care_plan: Plan = whole_plan(review_on=DAY + timedelta(days=review))
    last = None if last_full is None else DAY + timedelta(days=last_full)
    return day_form(care_plan, DAY, DAY + timedelta(days=day), last)


def test_full_pages_at_first_weekly_and_before_review() -> None:
    assert [form(day) for day in (0, 13)] == ["full", "full"]
    assert [day for day in range(14, 42) if form(day) == "full"] == [14, 21, 28, 35]
    assert all(form(day) == "full" for day in range(42, 60))
    assert (form(42, review=57), form(43, review=57), form(44, review=59)) == (
        "full",
        "full",
        "short",
    )
    assert day_form(whole_plan(), None, DAY + timedelta(days=30)) == "full"


def test_a_missed_full_day_is_made_up() -> None:
    assert form(15, last_full=13) == "short"
    assert form(20, last_full=13) == "full"
    assert form(23, last_full=13) == "full"
    assert form(23, last_full=23) == "full", "the page of today keeps its form when opened again"
    assert form(24, last_full=23) == "short"


def test_both_knees() -> None:
    care: dict[str, Any] = {"side": "both", "main_side": "left"}
    found = due(page(3), hands_done(3), **care)
    assert [(one.what, one.side) for one in found] == [("hands", "left"), ("day_page", "left")]
