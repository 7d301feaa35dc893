"""What a plan that arrives changes, in a few lines: what is new, gone and changed, and what becomes
of what is open."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime

from companion.care.catalogue import Catalogue
from companion.care.open_things import OpenThing
from companion.care.records import Exercise, Plan, Technique
from companion.care.tape_applications import same_make, wear_clock
from companion.presentation.home.open_lines import when_words
from companion.presentation.language.field_words import key_words
from companion.presentation.language.phrases import joined, phrase
from companion.presentation.language.words import this_knee

MOST_LINES = 5
_MOST_NAMES = 3


def news_lines(old: Plan, new: Plan, catalogue: Catalogue) -> tuple[str, ...]:
    """What the new plan changes for the person, at most five lines; the last says where there is
    more. Empty where nothing of what they do is another."""
    before, after = _steps(old), _steps(new)
    lines = [
        *_named("New: {names}.", (key for key in after if key not in before), catalogue),
        *_named("Not any more: {names}.", (key for key in before if key not in after), catalogue),
        *_tape(old, new),
        *_days(old, new),
        *(
            phrase(
                "{name}: now {after}, before {before}.",
                name=key_words("step", key, catalogue),
                after=_dose(step),
                before=_dose(before[key]),
            )
            for key, step in after.items()
            if key in before and _dose(step) != _dose(before[key])
        ),
    ]
    if len(lines) > MOST_LINES:
        lines[MOST_LINES - 1 :] = [phrase("There is more. Your clinic can show you all of it.")]
    return tuple(lines)


def _steps(plan: Plan) -> dict[str, Technique | Exercise]:
    return {
        **{one.technique: one for one in plan.techniques},
        **{one.exercise: one for one in plan.exercises},
    }


def _named(words: str, keys: Iterable[str], catalogue: Catalogue) -> Iterator[str]:
    names = [key_words("step", key, catalogue) for key in keys]
    if len(names) > _MOST_NAMES:
        more = len(names) - _MOST_NAMES + 1
        names[_MOST_NAMES - 1 :] = [phrase("{n} more", n=more)]
    if names:
        yield phrase(words, names=joined(names))


def _dose(step: Technique | Exercise) -> str:
    if isinstance(step, Technique):
        return phrase("{n} × {seconds} seconds", n=step.repeats, seconds=step.seconds)
    return phrase("{n} × {times} times", n=step.sets, times=step.repeats)


def _taped(plan: Plan) -> bool:
    return plan.tape.when != "never" and plan.tape.highest > 0


def _tape(old: Plan, new: Plan) -> Iterator[str]:
    if _taped(old) and not _taped(new):
        yield phrase("No new tape any more.")
    elif _taped(new) and not _taped(old):
        yield phrase("Tape is new in your plan.")
    elif _taped(new) and new.tape.make and not same_make(old.tape.make, new.tape.make):
        yield phrase("Another tape: {make}. It needs a test of its own.", make=new.tape.make)
    elif _taped(new) and old.tape.when != new.tape.when:
        yield phrase("Tape goes on at other times. The routine says when.")


def _days(old: Plan, new: Plan) -> Iterator[str]:
    pairs = (
        ("The hands-on part: now {n} days a week, before {old}.", "hands_days_a_week"),
        ("Exercises: now {n} days a week, before {old}.", "exercise_days_a_week"),
    )
    for words, field in pairs:
        before, after = getattr(old, field), getattr(new, field)
        if before != after:
            yield phrase(words, n=after, old=before)


def becomes_lines(new: Plan, things: Sequence[OpenThing], now: datetime) -> tuple[str, ...]:
    """What becomes of the tape that is on, and of a walk that is half done, under the new plan."""
    assert now.tzinfo is not None
    lines = []
    for thing in things:
        if thing.wear is not None and thing.side is not None:
            clock = wear_clock(thing.wear.wear, new, now, now.tzinfo)
            knee = this_knee(thing.side)
            if clock.state != "on":
                words = "The tape on your {knee} is due off now. Take it off first."
            elif not _taped(new) or thing.side not in new.sides:
                words = "The tape on your {knee} may stay on until {when}. Then no new one."
            else:
                words = "The tape on your {knee} stays on. It comes off {when}."
            lines.append(phrase(words, knee=knee, when=when_words(clock.due_at, now)))
        elif thing.code == "begun" and thing.door == "routine":
            lines.append(phrase("The routine you began is finished by the plan so far."))
        elif thing.code == "begun" and thing.door == "day":
            lines.append(phrase("The day page you began stays as it is."))
    return tuple(lines)
