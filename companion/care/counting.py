"""How a step or an exercise is counted: every hold, repeat, round and rest in order, in seconds.

What is counted follows from the plan alone. Who counts is given the time that passed and asks where
in it that is; nothing here knows a clock.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

from companion.care.records import Exercise, Technique

BeatKind = Literal["ready", "hold", "release", "rest"]
"""Getting the hands there, the hold or movement itself, letting go before the next, and the rest
between two holds of a step or two rounds of an exercise."""

READY_SECONDS = 5
"""To put the mouse down and lay the hands on (common practice, no source)."""
REST_BETWEEN_HOLDS = 5
"""Between two holds of a hands-on step (common practice, no source)."""
RELEASE_SECONDS = 3
"""To let go after each held repeat of an exercise (common practice, no source)."""
CHANGE_SECONDS = 10
"""To come from one step to the next, where several are counted (common practice, no source)."""
REPEAT_SECONDS = 5
"""One calm repeat of an exercise without a hold, there and back (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Beat:
    """One stretch of the count: `number` of `of` repeats, in round `turn` of `turns`. `step` is the
    place of its step where several are counted one after the other."""

    kind: BeatKind
    seconds: int
    number: int
    of: int
    turn: int = 1
    turns: int = 1
    step: int = 0


@dataclass(frozen=True, slots=True)
class CountedMoment:
    """Where in the count a time is: the beat, how many seconds of it passed, and how many are to
    come. At the end it is the last beat with nothing to come."""

    beat: Beat
    passed: int
    to_come: int


def technique_beats(technique: Technique) -> tuple[Beat, ...]:
    """The count of a hands-on step, after its lead-in."""
    count = technique.repeats
    beats = [Beat("ready", READY_SECONDS, 1, count)]
    for number in range(1, count + 1):
        if number > 1:
            beats.append(Beat("rest", REST_BETWEEN_HOLDS, number, count))
        beats.append(Beat("hold", technique.seconds, number, count))
    return tuple(beats)


def exercise_beats(exercise: Exercise, rest_seconds: int) -> tuple[Beat, ...]:
    """The count of an exercise, after its lead-in; `rest_seconds` between its rounds."""
    count, turns, hold = exercise.repeats, exercise.sets, exercise.hold_seconds
    beats = [Beat("ready", READY_SECONDS, 1, count, 1, turns)]
    for turn in range(1, turns + 1):
        if turn > 1:
            beats.append(Beat("rest", rest_seconds, 1, count, turn, turns))
        for number in range(1, count + 1):
            beats.append(Beat("hold", hold or REPEAT_SECONDS, number, count, turn, turns))
            if hold and number < count:
                beats.append(Beat("release", RELEASE_SECONDS, number + 1, count, turn, turns))
    return tuple(beats)


def beats_of_all(counts: Iterable[tuple[Beat, ...]]) -> tuple[Beat, ...]:
    """One count for several steps, with time to come to each."""
    beats: list[Beat] = []
    for step, count in enumerate(counts):
        lead, *others = (replace(beat, step=step) for beat in count)
        beats += [replace(lead, seconds=CHANGE_SECONDS) if step else lead, *others]
    return tuple(beats)


def moment(beats: tuple[Beat, ...], elapsed: float) -> CountedMoment:
    """Where `elapsed` seconds after the start are. Raises ValueError where nothing is counted."""
    if not beats:
        raise ValueError("nothing to count")
    left = max(elapsed, 0.0)
    for beat in beats:
        if left < beat.seconds:
            passed = int(left)
            return CountedMoment(beat, passed, beat.seconds - passed)
        left -= beat.seconds
    return CountedMoment(beats[-1], beats[-1].seconds, 0)


def length(beats: Iterable[Beat]) -> int:
    """How long the whole count takes, in seconds."""
    return sum(beat.seconds for beat in beats)


@dataclass(frozen=True, slots=True)
class CountedSoFar:
    """What was counted of one step: whole seconds of holds and repeats, and how many of these came
    to their end, over all its rounds."""

    seconds: int
    times: int


def counted(beats: tuple[Beat, ...], elapsed: float) -> tuple[CountedSoFar, ...]:
    """What was counted by then, of each step in order."""
    seconds, times = [0.0] * (beats[-1].step + 1), [0] * (beats[-1].step + 1)
    left = max(elapsed, 0.0)
    for beat in beats:
        if beat.kind == "hold":
            seconds[beat.step] += min(left, beat.seconds)
            times[beat.step] += left >= beat.seconds
        left = max(left - beat.seconds, 0.0)
    return tuple(map(CountedSoFar, map(int, seconds), times))
