"""About how long a routine takes."""

from companion.care.records import Exercise, Plan, Technique

_SECONDS_A_PAGE = 20
_SECONDS_A_REPEAT = 4


def routine_minutes(
    plan: Plan, techniques: tuple[Technique, ...], exercises: tuple[Exercise, ...]
) -> int:
    """About how long the routine takes when every round is needed, in whole minutes.

    Holds and repeats as prescribed, 4 s for moving in each repeat and 20 s for each page
    (C).
    """
    seconds = 6 * _SECONDS_A_PAGE
    for technique in techniques:
        seconds += plan.rounds * (technique.seconds * technique.repeats + _SECONDS_A_PAGE)
    for exercise in exercises:
        repeat = exercise.hold_seconds + _SECONDS_A_REPEAT
        seconds += exercise.sets * exercise.repeats * repeat + _SECONDS_A_PAGE
    return max(1, round(seconds / 60))
