"""Am I better? In two sentences for My record, the visit and, every four weeks, the front page; and
how a week went, on Sundays, in numbers alone."""

from collections.abc import Iterator, Sequence
from datetime import date

from companion.care.finding import Entries
from companion.care.pacing import PacedWeek
from companion.care.records import Diary, Plan, Side
from companion.presentation.home.front import WEEK_IS_TOLD_ON
from companion.presentation.language.code_table import capital
from companion.presentation.language.pacing_words import with_unit
from companion.presentation.language.phrases import listed, phrase
from companion.presentation.language.verdict_words import better_own, goal_own
from companion.presentation.language.words import this_knee
from companion.presentation.view.page import Text
from companion.services.how_it_goes import WeekTold, goal_now, pain_change, week_told

VERDICT_EVERY_WEEKS = 4
"""So often the front page says whether it goes better: said each week it would be read off chance
(C)."""


def better_lines(
    diary: Diary, entries: Entries, sides: Sequence[Side], today: date
) -> tuple[str, ...]:
    """Whether the pain is lower, a sentence a knee, and how far it is to the goal of the plan.
    `entries` are those of the diary that count."""
    return (*_pain_lines(diary.plan, entries, sides), *_goal_lines(diary, today))


def better_blocks(lines: Sequence[str]) -> tuple[Text, ...]:
    """These sentences, before anything else of a page."""
    return tuple(Text(one, "plain" if number else "strong") for number, one in enumerate(lines))


def _pain_lines(plan: Plan, entries: Entries, sides: Sequence[Side]) -> Iterator[str]:
    for side in sides:
        told = pain_change(entries, side, plan.measure)
        if told is None:
            continue
        said = better_own(*told)
        if len(sides) > 1:
            yield phrase("Pain, {knee}. {told}", knee=this_knee(side), told=said)
        else:
            yield phrase("Pain. {told}", told=said)


def _goal_lines(diary: Diary, today: date) -> Iterator[str]:
    goal = goal_now(diary, today)
    if goal is not None:
        yield goal_own(goal.change, goal.most)
    elif diary.plan.goal:
        yield phrase("Your goal. {goal}", goal=diary.plan.goal)


def week_lines(diary: Diary, entries: Entries, today: date) -> tuple[str, ...]:
    """What the front page says of the week on a Sunday, and on every fourth whether it goes better;
    nothing on other days. `entries` are those that count."""
    if today.weekday() != WEEK_IS_TOLD_ON:
        return ()
    plan = diary.plan
    lines = [*_numbers(week_told(plan, diary.plans, entries, today))]
    weeks = (today - min(one.written_on for one in diary.plans)).days // 7
    if weeks and weeks % VERDICT_EVERY_WEEKS == 0:
        lines += better_lines(diary, entries, plan.sides, today)
    return tuple(lines)


def _numbers(week: WeekTold) -> Iterator[str]:
    done = [n for n in (week.exercise, week.hands, week.pages) if n]
    if not done:
        return  # of a week away the front page says so already
    parts = [
        phrase("{what} {n} (plan: {asked})", what=what, n=n, asked=asked)
        for what, n, asked in (
            (phrase("exercises"), week.exercise, week.exercise_asked),
            (phrase("hands-on part"), week.hands, week.hands_asked),
        )
        if n is not None
    ]
    parts.append(phrase("day page {n}", n=week.pages))
    yield phrase("Days of these seven: {parts}.", parts=listed(parts))
    yield from map(_amount, week.amounts)


def _amount(week: PacedWeek) -> str:
    what, aim = capital(week.label), with_unit(week.aim, week.unit)
    if week.most is None:
        return phrase("{what}: nothing written, planned {aim}.", what=what, aim=aim)
    most = with_unit(week.most, week.unit)
    if not week.days_reached:
        return phrase("{what}: at most {most}, planned {aim}.", what=what, most=most, aim=aim)
    return phrase(
        "{what}: planned {aim}, reached on {n} day.",
        "{what}: planned {aim}, reached on {n} days.",
        n=week.days_reached,
        what=what,
        aim=aim,
    )
