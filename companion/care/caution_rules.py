"""What the clinician's answers to the cautions do to hands, tape and exercise.

An unanswered caution blocks what it guards. Cautions that are written as they happen, such as an
injection, need no answer beforehand: their date decides.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING, Literal

from companion.care.adherence import INJECTION_CAUTION, REST_DAYS_AFTER_INJECTION
from companion.care.finding import Entries, find
from companion.care.records import CautionAnswer, Event, Plan, Side

if TYPE_CHECKING:
    from companion.care.catalogue import Catalogue, Caution, Cautions

DAILY_LOOK_CAUTIONS = ("numb_feet",)
"""Those with the effect daily_look; the front page says it and does without the catalogue."""

CautionPart = Literal["hands", "tape", "exercise"]
CautionReason = Literal["unknown", "unanswered", "blocked", "not_ticked", "flare", "resting"]
"""unknown: the caution is not in the catalogue. not_ticked: a yes that the clinician did not lift.
flare and resting pass by themselves."""


@dataclass(frozen=True, slots=True)
class Blocked:
    """One caution that blocks, and why."""

    caution: str
    reason: CautionReason


@dataclass(frozen=True, slots=True)
class Judgement:
    """What all cautions together say about one part of the routine."""

    blocked: tuple[Blocked, ...] = ()
    lightest_hands: bool = False
    helper_needed: bool = False
    daily_look: bool = False
    not_over: tuple[str, ...] = ()


def caution_judgement(
    plan: Plan,
    guarded_by: Sequence[str],
    part: CautionPart,
    cautions: "Cautions",
    *,
    entries: Entries = (),
    side: Side | None = None,
    today: date | None = None,
    in_flare: bool = False,
) -> Judgement:
    """What the cautions in `guarded_by` do to `part`.

    `entries` are those that count; of them only dated events matter. Without `today` nothing
    dated is looked at: the plan is judged as it stands. Without `side` an injection into either
    knee counts.
    """
    known = {caution.id: caution for caution in cautions.cautions}
    blocked = []
    flags: set[str] = set()
    not_over = []
    for caution_id in dict.fromkeys(guarded_by):
        caution = known.get(caution_id)
        if caution is None:
            blocked.append(Blocked(caution_id, "unknown"))
            continue
        answer = answer_to(plan, caution_id)
        effects = getattr(caution, part)
        if "rest_days" in effects and _resting(caution, answer, entries, side, today):
            blocked.append(Blocked(caution_id, "resting"))
        elif answer is None:
            if not caution.dated:
                blocked.append(Blocked(caution_id, "unanswered"))
        elif answer.answer:
            if "blocked" in effects:
                blocked.append(Blocked(caution_id, "blocked"))
            elif ("unless_ticked" in effects or "ask_first" in effects) and not answer.allowed:
                blocked.append(Blocked(caution_id, "not_ticked"))
            elif "none_in_flare" in effects and in_flare:
                blocked.append(Blocked(caution_id, "flare"))
            flags.update(effects)
            if "not_over" in effects:
                not_over.append(caution_id)
    return Judgement(
        blocked=tuple(blocked),
        lightest_hands="lightest_hands" in flags,
        helper_needed="helper_needed" in flags,
        daily_look="daily_look" in flags,
        not_over=tuple(not_over),
    )


def tape_looked_at_daily(plan: Plan, catalogue: "Catalogue") -> bool:
    """Whether a helper looks at the skin under tape every day."""
    guards = catalogue.tape_steps.guarded_by
    return caution_judgement(plan, guards, "tape", catalogue.cautions).daily_look


def front_page_daily_look(plan: Plan) -> bool:
    """`tape_looked_at_daily` as far as it is known without the catalogue."""
    answers = (answer_to(plan, caution) for caution in DAILY_LOOK_CAUTIONS)
    return any(answer is not None and answer.answer for answer in answers)


def answer_to(plan: Plan, caution_id: str) -> CautionAnswer | None:
    """The answer that counts: the latest; of several of one day the most cautious."""
    answers = [answer for answer in plan.cautions if answer.caution == caution_id]
    return max(
        answers, key=lambda answer: (answer.on, answer.answer, not answer.allowed), default=None
    )


def _resting(
    caution: "Caution",
    answer: CautionAnswer | None,
    entries: Entries,
    side: Side | None,
    today: date | None,
) -> bool:
    """Whether `today` is within the rest days of what the caution is about."""
    if today is None:
        return False
    rest = timedelta(days=caution.rest_days or REST_DAYS_AFTER_INJECTION)
    days = [answer.on] if answer is not None and answer.answer else []
    if caution.id == INJECTION_CAUTION:
        days += [
            event.for_day
            for event in find(entries, Event, first_day=today - rest, last_day=today)
            if event.what == "injection" and (side is None or event.side in (None, side))
        ]
    return any(day <= today < day + rest for day in days)
