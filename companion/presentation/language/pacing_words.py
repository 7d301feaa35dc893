"""The paced amounts in words: this week's amount and why it is that, and the weeks as a table."""

from collections.abc import Sequence
from datetime import date

from companion.care.pacing import PacedWeek, WeekOutcome
from companion.presentation.language.code_table import CodeTable
from companion.presentation.language.phrases import in_figures, phrase, short_day


def with_unit(amount: float, unit: str) -> str:
    """`200 m`, never parted at the end of a line."""
    return f"{in_figures(amount)}\u00a0{unit}"


def aim_words(week: PacedWeek) -> str:
    """This week's amount."""
    return phrase("Planned this week: {amount} in a day.", amount=with_unit(week.aim, week.unit))


def reason_words(week: PacedWeek) -> tuple[str, ...]:
    """Why this week's amount is what it is, for the person."""
    aim, step = with_unit(week.aim, week.unit), with_unit(week.step, week.unit)
    if week.whole:
        step = phrase("about {step:g}", step=week.step)
    finest = phrase(_FINEST[week.whole])
    before = week.before
    if before is None:
        if week.ends == "goal":
            return (phrase("That is the goal in your plan."),)
        return (
            phrase("Your plan starts a little below your usual."),
            phrase("Then it goes up by {step} a week.", step=step)
            if week.step
            else phrase("Then it goes up a very little each week."),
        )
    last = with_unit(before.aim, week.unit)
    match before.outcome:
        case "flare":
            return (
                phrase("Last week your pain was higher for some days, so the same again."),
                phrase("Such days come by chance too, so nothing is taken back."),
            )
        case "not_kept":
            if before.most is None:
                return (phrase("Nothing is written down for last week, so the same again."),)
            return (
                phrase(
                    "Last week: at most {most}. {last} was not reached, so the same again.",
                    most=with_unit(before.most, week.unit),
                    last=last,
                ),
            )
    if before.aim >= week.aim and week.ends != "goal":
        return (
            phrase(
                "Last week: {last} on {n} day.",
                "Last week: {last} on {n} days.",
                n=before.days_reached,
                last=last,
            ),
            phrase("The next step is less than {finest}, so the same again.", finest=finest),
        )
    if before.aim >= week.aim:
        return (
            phrase(
                "Last week: {last} on {n} day. That is your goal, so it stays.",
                "Last week: {last} on {n} days. That is your goal, so it stays.",
                n=before.days_reached,
                last=last,
            ),
        )
    says = (
        phrase("That is the goal in your plan.")
        if week.ends == "goal"
        else phrase("Your plan says a step of {step} each week.", step=step)
        if week.step
        else phrase("Your plan goes up a very little each week.")
    )
    return (
        phrase(
            "Last week: {last} on {n} day, so this week {aim}.",
            "Last week: {last} on {n} days, so this week {aim}.",
            n=before.days_reached,
            last=last,
            aim=aim,
        ),
        says,
    )


_FOLLOWED: CodeTable[WeekOutcome, str] = CodeTable(
    WeekOutcome,
    {
        "kept": "one step up",
        "not_kept": "the same again",
        "flare": "a flare: the same again",
    },
)


_HELD = {"goal": "at the goal: it stays", None: "a step under {finest}: it stays"}
"""What followed a kept week where the amount stayed, by what holds it."""
_FINEST = {False: "a tenth", True: "one"}
"""The finest an amount is: in parts, and where it counts whole ones."""


def _most(most: float, days_reached: int) -> str:
    if not days_reached:
        return phrase("{most:g}, not reached", most=most)
    return phrase(
        "{most:g}, reached on {n} day", "{most:g}, reached on {n} days", n=days_reached, most=most
    )


def week_rows(
    weeks: Sequence[PacedWeek], first_day: date, last_day: date
) -> tuple[tuple[str | None, ...], ...]:
    """The weeks that touch the days, newest first: aim, the most on one day, and what followed.

    A week that is not over yet has no outcome.
    """
    rows: list[tuple[str | None, ...]] = []
    for week, after in zip(weeks, (*weeks[1:], None), strict=True):
        if week.first_day > last_day or (after is not None and after.first_day <= first_day):
            continue
        day, aim = short_day(week.first_day), in_figures(week.aim)
        most = None if week.most is None else _most(week.most, week.days_reached)
        before = None if after is None else after.before
        if after is None or before is None:
            rows.append((day, aim, most, phrase("not over yet")))
            continue
        held = after.aim == week.aim
        followed = (
            phrase(_HELD[after.ends], finest=phrase(_FINEST[week.whole]))
            if held and before.outcome == "kept"
            else _FOLLOWED[before.outcome]
        )
        rows.append((day, aim, most, followed))
    return tuple(reversed(rows))


def week_headers(unit: str) -> tuple[str, ...]:
    """The headers of `week_rows`."""
    return (
        phrase("Week from"),
        phrase("Planned, {unit}", unit=unit),
        phrase("Most on one day"),
        phrase("What followed"),
    )
