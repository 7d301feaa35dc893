"""A journey: its days, the number and the clock there, what to pack, keep, and may leave out.

What may be left out is common practice for a home programme on the road, no source (C): no licensed
clinician has signed it.
"""

from collections.abc import Sequence
from datetime import date

from companion.care.journeys import MOST_DAYS_AWAY
from companion.care.records import Journey, Plan
from companion.presentation.home.numbers import phone_lines, plan_here
from companion.presentation.language.phrases import long_day, phrase
from companion.presentation.language.words import journey_words
from companion.presentation.view.page import (
    Block,
    Bulleted,
    Button,
    Callout,
    Choose,
    Heading,
    Number,
    Option,
    PageView,
    Phones,
    Text,
    Write,
    next_page,
)

MOST_DAYS_BEFORE = 365
MOST_HOURS = 26
"""Between two clocks of the world, of UTC-12 and of UTC+14."""


def journey_days_view(today: date) -> PageView:
    """When it begins and how long it is. Given: `leave_in`, `days`."""
    return next_page(
        "journey_days",
        phrase("Going away"),
        Text(phrase("Cards then show the emergency number there, beside the one at home.")),
        Number(
            "leave_in",
            phrase("In how many days do you leave? Today, {day}, is 0.", day=long_day(today)),
            phrase("days"),
            0,
            MOST_DAYS_BEFORE,
            needed=True,
        ),
        Number(
            "days",
            phrase("How many days are you away?"),
            phrase("days"),
            1,
            MOST_DAYS_AWAY,
            needed=True,
        ),
    )


def journey_there_view(first: date, last: date, *, faulty: str = "") -> PageView:
    """Where, the number and the clock there. Given: `where`, `emergency`, `clock` same | ahead |
    behind | None, `hours`. `faulty`: what is wrong with what was given."""
    return next_page(
        "journey_there",
        phrase("Where you are then"),
        *((Callout(faulty),) if faulty else ()),
        Text(
            phrase("From {first} to {last}.", first=long_day(first), last=long_day(last)),
            "strong",
        ),
        Write("where", phrase("Where do you go? You may leave it out."), 60, "one"),
        Write(
            "emergency",
            phrase("What is the emergency number there? Ask someone who knows."),
            40,
            "one",
        ),
        Text(phrase("Leave it empty until you know. Nobody guesses it for you."), "quiet"),
        Choose(
            "clock",
            phrase("The clock there, against the one at home:"),
            (
                Option("same", phrase("The same")),
                Option("ahead", phrase("Ahead"), phrase("It is later there")),
                Option("behind", phrase("Behind"), phrase("It is earlier there")),
                Option("", phrase("I do not know")),
            ),
        ),
        Number(
            "hours",
            phrase("By how many hours, if not the same?"),
            phrase("hours"),
            0,
            MOST_HOURS,
            decimals=2,
        ),
        main=phrase("Write it down"),
    )


def clock_given(journey: Journey) -> dict[str, object]:
    """What was given of the clock of a journey, as its page asks for it."""
    ahead = journey.clock_ahead
    if ahead is None:
        return {"clock": ""}
    if ahead == 0:
        return {"clock": "same"}
    return {"clock": "ahead" if ahead > 0 else "behind", "hours": abs(ahead)}


def journey_view(
    journey: Journey, plan: Plan, today: date, *, tapes: bool, tape_on: str
) -> PageView:
    """One journey that is to come or under way. Given: `do` tape | change | end. `tape_on` is how
    the tape that is on stands, "" where none is."""
    days = (journey.last_day - journey.first_day).days + 1
    begun = journey.first_day <= today
    numbers = [one for one in plan_here(plan, journey, today).contacts if one.role == "emergency"]
    blocks: list[Block] = [
        Text(phrase("{words}.", words=journey_words(journey)), "strong"),
        Phones(phrase("In an emergency"), phone_lines(numbers)),
    ]
    if journey.emergency is None:
        blocks.append(
            Callout(
                phrase("Ask for the emergency number there, and type it in. Nobody guesses it."),
                phrase("A number is missing"),
            )
        )
    if tape_on:
        blocks.append(Callout(tape_on, phrase("Your tape")))
    blocks += [
        Heading(phrase("What stays")),
        Bulleted(tuple(_stays(plan))),
        Heading(phrase("What may be left out")),
        Bulleted(tuple(_left_out(plan, days))),
        Heading(phrase("Pack")),
        Bulleted(tuple(_pack(tapes=tapes))),
    ]
    tape = Button(phrase("Tape to cut and pack"), (("do", "tape"),))
    change = Button(phrase("Change it"), (("do", "change"),))
    end = phrase("I am home again") if begun else phrase("I do not go")
    return PageView(
        key="journey",
        heading=phrase("Away until {day}", day=long_day(journey.last_day))
        if begun
        else phrase("Your journey on {day}", day=long_day(journey.first_day)),
        blocks=tuple(blocks),
        main=tape if tapes and not begun else change,
        others=(
            *((change,) if tapes and not begun else ()),
            *((tape,) if tapes and begun else ()),
            Button(end, (("do", "end"),), asks=False),
        ),
    )


def _stays(plan: Plan) -> Sequence[str]:
    words = [
        phrase("The warning signs. Look through them as at home."),
        phrase("The short check before anything is done."),
    ]
    if plan.tape.highest:
        words.append(phrase("Tape comes off by its hours, by whatever clock."))
    words.append(
        phrase("Your day page. Without this computer on paper: type it in when you are home.")
    )
    return words


def _left_out(plan: Plan, days: int) -> Sequence[str]:
    words = []
    asked = max(plan.hands_days_a_week, plan.exercise_days_a_week)
    if 0 < asked < 7:
        words.append(
            phrase(
                "Days on which you travel. Your plan asks for {n} day a week, not for each.",
                "Days on which you travel. Your plan asks for {n} days a week, not for each.",
                n=asked,
            )
        )
    words.append(phrase("An exercise for which there is no firm chair or rail. Do the others."))
    if plan.chair_stand is not None:
        words.append(phrase("Counting how often you rise: another chair does not compare."))
    if plan.tape.highest and plan.trial is None:
        words.append(phrase("New tape, where it cannot be put on with clean, dry skin."))
    words.append(phrase("Nothing is made up for later. Go on as your plan says."))
    return words


def _pack(*, tapes: bool) -> Sequence[str]:
    words = [
        phrase("The pages for the fridge and the cards: your clinic’s numbers are on them"),
        phrase("Blank day pages and a pen, where this computer stays at home"),
        phrase("A list of your medicines"),
    ]
    if tapes:
        words += [
            phrase("Tape of the make you know, cut at home, and blunt scissors"),
            phrase("Oil or wipes to take it off. A new make needs a test of two looks first"),
        ]
    return words
