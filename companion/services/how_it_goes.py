"""Whether it goes better, for Home: the clinic's verdict on the pain of a knee, and how far the
person has come toward the goal in their plan; and what was done in a week."""

from collections.abc import Sequence
from datetime import date, timedelta

from companion.care.adherence import RoutinePart, days_a_week, days_done
from companion.care.finding import Entries, find
from companion.care.pacing import PacedWeek
from companion.care.records import DayPage, Diary, Measure, Plan, Record, Side, record
from companion.evidence.change_model import fits
from companion.evidence.figures import AmountChange, Better, Model, StatedVerdict
from companion.evidence.paced_amounts import amounts_done, paced_this_week
from companion.evidence.planned_amounts import amount_changes, lacking
from companion.evidence.readings import pain_of, readings
from companion.evidence.verdicts import better_by

_WEEK = timedelta(days=6)
_FORTNIGHT = timedelta(days=13)


def pain_change(
    entries: Entries, side: Side, measure: Measure
) -> tuple[StatedVerdict[Better], Model] | None:
    """The verdict and the model behind it; None before the first score. `entries` are those that
    count."""
    scores = {
        page.for_day: score
        for page in find(entries, DayPage, side=side)
        if (score := pain_of(page, measure)) is not None
    }
    return better_by(scores, entries, side) if scores else None


@record
class GoalNow(Record):
    """The first amount with a goal in the plan, and its largest of the last fortnight: None where
    nothing was written."""

    change: AmountChange
    most: float | None


def goal_now(diary: Diary, today: date) -> GoalNow | None:
    """How far the person has come toward the goal in their plan; None where it paces nothing."""
    read = readings(diary)
    series = lacking(read)
    if not series:
        return None
    first, *_ = amount_changes(read, tuple(zip(series, fits(series), strict=True)))
    done = amounts_done(read.entries, today - _FORTNIGHT, today)
    most = max(done.get((first.label, first.unit), {}).values(), default=None)
    return GoalNow(change=first, most=most)


@record
class WeekTold(Record):
    """What was done in the seven days that end today, in days; None where the plan asks for none.
    `amounts` are the weeks of what it paces."""

    exercise: int | None
    exercise_asked: int
    hands: int | None
    hands_asked: int
    pages: int
    amounts: tuple[PacedWeek, ...] = ()


def week_told(plan: Plan, plans: Sequence[Plan], entries: Entries, today: date) -> WeekTold:
    """What was done in the seven days up to `today`, on either knee. `entries` are those that
    count."""
    first = today - _WEEK

    def done(part: RoutinePart) -> int | None:
        if not days_a_week(plan, part):
            return None
        days = (
            days_done(entries, side, part, first_day=first, last_day=today) for side in plan.sides
        )
        return len(frozenset[date]().union(*days))

    pages = find(entries, DayPage, first_day=first, last_day=today)
    return WeekTold(
        exercise=done("exercise"),
        exercise_asked=days_a_week(plan, "exercise"),
        hands=done("hands"),
        hands_asked=days_a_week(plan, "hands"),
        pages=len({page.for_day for page in pages}),
        amounts=paced_this_week(entries, plans, today),
    )
