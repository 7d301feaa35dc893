"""What the clinician's answers to the cautions close, and what they ask for in what stays open.

What each caution does is a row of the policy. An unanswered caution closes what it guards; one that
came to the list after the plan was written is only not asked yet: it closes nothing, and is asked
about at the next visit (fact: caution_not_asked). Cautions that are written as they happen, such as
an injection, need no answer beforehand: their date decides.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal, get_args

from companion.care.finding import Entries, find
from companion.care.policy import Ask, CautionPolicy, Policy
from companion.care.records import CautionAnswer, Event, Part, Plan, Record, Side, Weekday, record

CAUTION_LIST = 2
"""The version of the list of cautions that a plan written now is asked by."""
DAILY_LOOK_CAUTIONS = ("numb_feet",)
"""Those that ask for a daily look; the front page says it and does without the catalogue."""
REST_DAYS_AFTER_INJECTION = 7
"""Rest of a knee; the day of the injection is the first (fact: injection_rest)."""
INJECTION_CAUTION = "recent_injection"
ALONE_CAUTION = "lives_alone"
WEEKDAYS: tuple[Weekday, ...] = get_args(Weekday)

CautionReason = Literal[
    "unanswered", "never", "not_ticked", "closed", "flare", "resting", "no_helper"
]
"""not_ticked: a yes that the clinician did not lift. closed: the clinician closed it. flare,
resting, and no_helper (on a day on which the helper does not come) pass by themselves."""
PASSING: tuple[CautionReason, ...] = ("flare", "resting", "no_helper")


@dataclass(frozen=True, slots=True)
class Blocked:
    """One caution that closes a part, and why."""

    caution: str
    reason: CautionReason


@record
class Judgement(Record):
    """What all cautions together say about one part of the routine."""

    blocked: tuple[Blocked, ...] = ()
    asks: tuple[Ask, ...] = ()

    @property
    def by_the_plan(self) -> bool:
        """Whether it is closed on other days too than those on which the helper does not come."""
        return any(one.reason != "no_helper" for one in self.blocked)


def caution_judgement(
    plan: Plan,
    part: Part,
    policy: Policy,
    *,
    entries: Entries = (),
    side: Side | None = None,
    today: date | None = None,
    in_flare: bool = False,
    counting: Mapping[str, CautionAnswer] | None = None,
) -> Judgement:
    """What the cautions do to `part`.

    `entries` are those that count; of them only dated events matter. Without `today` nothing
    dated is looked at: the plan is judged as it stands. Without `side` an injection into either
    knee counts. Whoever asks about many parts hands in `counting_answers` of the plan.
    """
    blocked, asks = [], dict[Ask, None]()
    answers = counting_answers(plan) if counting is None else counting
    for row in policy.cautions:
        answer = answers.get(row.caution)
        if answer is not None and not answer.answer and part not in row.rest:
            continue  # a no does nothing, and most answers are one
        wanted = _asks(row, part) if answer is not None and answer.answer else ()
        reason: CautionReason | None = None
        if part in row.rest and _resting(row, answer, entries, side, today):
            reason = "resting"
        elif answer is None:
            reason = "unanswered" if part in row.guards and _was_asked(row, plan) else None
        elif answer.answer:
            reason = _closed(row, part, answer, in_flare=in_flare)
        if reason is None and "helper_there" in wanted and not helper_may_come(plan, today):
            reason = "no_helper"
        if reason is not None:
            blocked.append(Blocked(row.caution, reason))
        asks |= dict.fromkeys(wanted)
    return Judgement(blocked=tuple(blocked), asks=tuple(asks))


def _asks(row: CautionPolicy, part: Part) -> tuple[Ask, ...]:
    return tuple(one.ask for one in row.asks if part in one.parts)


def _closed(
    row: CautionPolicy, part: Part, answer: CautionAnswer, *, in_flare: bool
) -> CautionReason | None:
    if part in row.never:
        return "never"
    if part in row.closes and not answer.allowed:
        return "not_ticked"
    if part in answer.closed:
        return "closed"
    return "flare" if part in row.flare and in_flare else None


def _was_asked(row: CautionPolicy, plan: Plan) -> bool:
    """Whether the plan's list of cautions held it; what is written as it happens is never asked."""
    return not row.rest and row.asked_since <= (plan.caution_list or 1)


def not_asked_yet(plan: Plan, policy: Policy) -> tuple[str, ...]:
    """The cautions that came to the list after the plan was written, and have no answer."""
    answers = counting_answers(plan)
    return tuple(
        row.caution
        for row in policy.cautions
        if not row.rest and not _was_asked(row, plan) and row.caution not in answers
    )


def helper_may_come(plan: Plan, today: date | None) -> bool:
    """Whether the helper may be there: on the plan's days for it, and any day where none is set."""
    return today is None or not plan.helper_days or WEEKDAYS[today.weekday()] in plan.helper_days


def lives_alone(plan: Plan) -> bool:
    """Whether the clinician said so. It closes nothing; it changes what is asked for and said."""
    answer = answer_to(plan, ALONE_CAUTION)
    return answer is not None and answer.answer


def tape_looked_at_daily(plan: Plan, policy: Policy) -> bool:
    """Whether a helper looks at the skin under tape every day."""
    return "daily_look" in caution_judgement(plan, "tape_on", policy).asks


def front_page_daily_look(plan: Plan) -> bool:
    """`tape_looked_at_daily` as far as it is known without the catalogue."""
    answers = (answer_to(plan, caution) for caution in DAILY_LOOK_CAUTIONS)
    return any(answer is not None and answer.answer for answer in answers)


def answer_to(plan: Plan, caution_id: str) -> CautionAnswer | None:
    """The answer that counts: the latest; of several of one day the most cautious."""
    return counting_answers(plan).get(caution_id)


def counting_answers(plan: Plan) -> dict[str, CautionAnswer]:
    """The answer that counts to each caution, by its id, in the order of the plan."""
    counting: dict[str, CautionAnswer] = {}
    for answer in plan.cautions:
        before = counting.get(answer.caution)
        if before is None or _weight(before) < _weight(answer):
            counting[answer.caution] = answer
    return counting


def _weight(answer: CautionAnswer) -> tuple[date, bool, bool]:
    return answer.on, answer.answer, not answer.allowed


def _resting(
    row: CautionPolicy,
    answer: CautionAnswer | None,
    entries: Entries,
    side: Side | None,
    today: date | None,
) -> bool:
    """Whether `today` is within the rest days of what the caution is about."""
    if today is None:
        return False
    rest = timedelta(days=row.rest_days or REST_DAYS_AFTER_INJECTION)
    days = [answer.on] if answer is not None and answer.answer else []
    if row.caution == INJECTION_CAUTION:
        days += [
            event.for_day
            for event in find(entries, Event, first_day=today - rest, last_day=today)
            if event.what == "injection" and (side is None or event.side in (None, side))
        ]
    return any(day <= today < day + rest for day in days)
