"""Sentences said in more than one room: knees, moves, depth, the pull of the plan."""

from collections.abc import Callable
from typing import TYPE_CHECKING, get_args

from companion.care.contacts import typed_label
from companion.care.dose import DoseWhy, dose_rule, expected_until
from companion.care.records import (
    CheckMove,
    Cleared,
    Contact,
    DayAnswer,
    Depth,
    Journey,
    Plan,
    Question,
    Side,
    Swelling,
    TapePlan,
    Told,
    ToldBy,
)
from companion.presentation.language import codes
from companion.presentation.language.code_table import capital
from companion.presentation.language.phrases import dated, phrase

if TYPE_CHECKING:
    from companion.care.catalogue import ExerciseSheet, Step
    from companion.care.policy import Policy


def contact_words(contact: Contact) -> str:
    """What a number to call goes by: as the clinic typed it, else by its role."""
    return typed_label(contact) or capital(codes.ROLES[contact.role].home)


def became_words(
    cleared: Cleared | None, told: Told | None, told_by: ToldBy | None
) -> tuple[str, ...]:
    """What became of a sign, for the clinic: how it ended, what was said of the routine, by whom.

    Nothing for one of which nothing was written.
    """
    words = []
    if cleared is not None and not (cleared == "checked_by_professional" and told):
        words.append(codes.CLEARED[cleared].clinic)
    if told is not None:
        words.append(codes.TOLD[told].clinic)
    if told_by is not None:
        words.append(phrase("by {whom}", whom=codes.TOLD_BY[told_by].clinic))
    return tuple(words)


def question_words(question: Question) -> str:
    """What the clinic is asked, or told of a score of 10, in the person's words."""
    ten = question.ten_said
    told = None if ten is None else codes.TEN_SAID[ten].told
    said = " ".join(part for part in (told, question.text) if part) or phrase("nothing written")
    return phrase("{asked} (answered)", asked=said) if question.answered else said


def journey_words(journey: Journey) -> str:
    """Where and from when until when."""
    first, last = dated(journey.first_day), dated(journey.last_day)
    if not journey.where:
        return phrase("{first} to {last}", first=first, last=last)
    return phrase("{where}, {first} to {last}", where=journey.where, first=first, last=last)


def daily_look_today() -> str:
    """The same in one line, for a day on which tape is on."""
    return phrase("Have your helper look at the skin round the tape today.")


def rest_between(sheet: "ExerciseSheet") -> str:
    """The rest between two rounds of an exercise. It is common practice, so it is said as about."""
    return phrase("rest about {n} seconds", n=sheet.rest_seconds.default)


def daily_look(*, helping: bool = False) -> str:
    """That a helper looks at the skin round the tape, and what to do then; headed "Every day"."""
    if helping:
        return phrase(
            "Look at the skin round the tape. Is it sore, red, darker or broken? Take the tape off."
        )
    return phrase(
        "Have your helper look at the skin round the tape. "
        "Is it sore, red, darker or broken? Take the tape off."
    )


def knee(side: Side) -> str:
    """`Left knee`, for the line above a heading."""
    return capital(codes.SIDES[side].knee)


def this_knee(side: Side) -> str:
    """`left knee`, inside a sentence."""
    return codes.SIDES[side].knee


def stage(number: int) -> str:
    """A tape stage in words."""
    return codes.STAGES[number]


def move_sentence(move: CheckMove) -> str:
    """What to do for one check move."""
    own = move.own_words if move.name == "own" else None
    return own or codes.MOVES[move.name].sentence


def move_name(move: CheckMove) -> str:
    """The check move as a name."""
    own = move.own_words if move.name == "own" else None
    return own or codes.MOVES[move.name].home


def depth_lines(depth: Depth) -> tuple[str, ...]:
    """How the move is set up, a line for each thing that is known."""
    lines: list[str] = []
    if depth.seat_cm is not None:
        lines.append(phrase("The seat is {cm} cm high.", cm=depth.seat_cm))
    if depth.how_low:
        lines.append(phrase("How low: {how_low}.", how_low=depth.how_low))
    if depth.arms_used is not None:
        lines.append(phrase("With your arms.") if depth.arms_used else phrase("Without your arms."))
    if depth.support:
        lines.append(phrase("Hold on to: {support}.", support=depth.support))
    if depth.shoes is not None:
        lines.append(phrase("With shoes on.") if depth.shoes else phrase("Without shoes."))
    if depth.stick is not None:
        lines.append(phrase("With your stick.") if depth.stick else phrase("Without a stick."))
    return tuple(lines)


def closed(words: str) -> str:
    """What somebody typed, ended as a sentence is."""
    words = words.rstrip()
    return words if words.endswith((".", "!", "?", "\u2026")) else phrase("{words}.", words=words)


def step_words(step: "Step", plan: Plan, told: "Callable[[Step], str]") -> str:
    """A tape step in the words of whoever reads it; where the plan's strips have their ends beyond
    the measured way, in the words for that."""
    if step.beyond is not None and plan.tape.length_from == "path":
        return phrase(step.beyond)
    return phrase(told(step), **by_plan(plan))


def worn_at_most(tape: TapePlan) -> str:
    """How long one application stays on by the plan, and the hard end."""
    return phrase(
        "It stays on {first} hours the first time, {second} the second, then {then}. "
        "Never more than {cap}.",
        first=min(tape.first_wear_hours, tape.cap_hours),
        second=min(tape.second_wear_hours, tape.cap_hours),
        then=min(tape.wear_hours, tape.cap_hours),
        cap=tape.cap_hours,
    )


def pull_sentences(tape: TapePlan) -> tuple[str, ...]:
    """How the plan wants the skin drawn: where and which way, and in the clinic's own words.

    In directions of the leg, which are the same for both who see it: towards the hip, not up.
    """
    said = []
    if tape.pull_at is not None:
        said.append(
            phrase(
                "Draw the skin beside the {place} of the kneecap.",
                place=codes.PULL_AT[tape.pull_at],
            )
        )
    if tape.pull_towards is not None:
        said.append(phrase("Draw it {way}.", way=codes.PULL_TOWARDS[tape.pull_towards]))
    if tape.pull is not None:
        said.append(phrase("Your clinic adds: {words}", words=closed(tape.pull)))
    return tuple(said)


def by_plan(plan: Plan) -> dict[str, str]:
    """What the steps of a sheet leave to the plan: how the leg lies for tape, and whether hands
    help in standing up, as they do in the check move."""
    bend = plan.tape.knee_bend_degrees
    arms = {
        True: phrase("Push up with your hands."),
        False: phrase("Do not use your hands."),
        None: phrase("Use your hands if you need them."),
    }
    straight = phrase("straight")
    return {
        "bend": phrase("bent by about {n} degrees", n=bend) if bend else straight,
        "hands": arms[plan.check_move.depth.arms_used],
    }


def pain_ends() -> tuple[str, str]:
    """The end words of the pain scale."""
    return phrase("no pain"), phrase("worst possible pain")


def pain_scale_words() -> str:
    """The same in a sentence."""
    return phrase("0 is no pain. 10 is the worst possible pain.")


def yes_or_no(answer: bool) -> str:
    """`yes` or `no`."""
    return phrase("yes") if answer else phrase("no")


def answer_words(answer: DayAnswer, value: int) -> str:
    """An answer of a day page that was given as a number."""
    match answer:
        case "swelling":
            return codes.SWELLING[get_args(Swelling)[value]].home
        case "woken":
            return phrase("woken at night") if value else phrase("not woken")
        case "stiff":
            return phrase("{n} minute", "{n} minutes", n=value)
        case "worst":
            return str(value)


def dose_why(why: DoseWhy, plan: Plan, policy: "Policy") -> codes.Both:
    """Why the dose is what it is, with the numbers of the plan, else of the policy."""
    rule, until = dose_rule(policy, plan), expected_until(plan)
    day = "" if until is None else dated(until)
    return codes.DOSES[why].filled(n=rule.more_of, of=rule.last, day=day)
