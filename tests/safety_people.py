"""Do people with an old, stable complaint keep their exercise? `python -m tests.safety_people`

Invented people, each with a seeded course of 90 days, walk through the real front page, gate,
routine and cards and answer truthfully. Whoever is told to call calls, and two days later somebody
has looked and says: go on. Printed are the share of days with exercise and with hands, the calls in
a quarter, and what closed anything, by its rule. A policy that closes too much teaches people to
say no at the gate; about 90 % and few calls are hoped for, and no rule is bent to reach it.
"""

import argparse
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from random import Random
from typing import Any

from companion.care.bad_days import bad_days
from companion.care.clearing import (
    CheckedPage,
    OpenCardPage,
    OpenSignPage,
    TalkedPage,
    ToldPartsPage,
)
from companion.care.flow import Given, WalkPage
from companion.care.levels import level_rank
from companion.care.records import CautionAnswer, KnownSign, Plan, WarningSign
from companion.care.routine import (
    EachStepPage,
    ExercisePage,
    KnownStepsPage,
    MovePage,
    RestPainPage,
    StepHurtPage,
    StepPage,
)
from companion.care.stopping import (
    GatePage,
    KnownPage,
    SignQuestionsPage,
    StopListPage,
)
from companion.services.front import front
from companion.services.routine import RoutineWalk
from companion.services.signs import ClearWalk
from tests.builders import DAY, at
from tests.care.asking import opens_all
from tests.care.walking import CATALOGUE, NO_CAUTIONS, taught_plan
from tests.found import POLICY, findings
from tests.services.context_for_tests import HandClock
from tests.services.offered import in_memory, out_and_home, pages_of_walk, parts_offered

DAYS = 90
SEEN_AFTER = 2
"""Days from a card until somebody has looked (C: our choice)."""


@dataclass(frozen=True, kw_only=True)
class Person:
    """One invented person. `before` and `rest` are the usual scores, each day about one point off.

    What the plan marks as known is as before on every day. `on_days`: what is new, by the number
    of the day.
    """

    name: str
    plan: Plan
    before: int = 5
    rest: int = 2
    on_days: Mapping[int, str] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True)
class Course:
    """How it went. `did`: days of `days` with each part. `calls`: cards that say call or more, and
    bad spells that do.
    `closed_by`: days by what closed something."""

    name: str
    days: int
    did: Counter[str]
    calls: int
    closed_by: Counter[str]


def _plan(**fields: Any) -> Plan:
    tape = {"when": "never", "highest": 0}
    return taught_plan(tape, exercise_days_a_week=7, hands_days_a_week=7, **fields)


def _with(*cautions: str) -> Plan:
    yes = tuple(CautionAnswer(caution=c, answer=True, allowed=True, on=DAY) for c in cautions)
    return _plan(cautions=(*(one for one in NO_CAUTIONS if one.caution not in cautions), *yes))


def _knowing(sign: str, **fields: Any) -> Plan:
    return _plan(known_signs=(KnownSign(sign=sign, since=DAY, **fields),))


UNSET = Person(name="rest pain 6, no limit set", plan=_plan(), before=7, rest=6)
"""Falls short, and is to: who usually rests at 4 or more is to have a limit of their own (rule
r03). Without it standing exercise is closed on two days of three, and such a spell is a call."""
PEOPLE = (
    Person(name="nothing besides", plan=_plan()),
    Person(
        name="night pain for years",
        plan=_knowing("rest_or_night_pain"),
        rest=3,
    ),
    Person(name="swollen, known", plan=_knowing("swollen_days")),
    Person(name="swollen, new to the clinic", plan=_plan(), on_days={5: "swollen_days"}),
    Person(name="giving way, closed as before", plan=_knowing("gives_way_new", stays_closed=True)),
    Person(
        name="giving way, at support",
        plan=_knowing("gives_way_new", stays_open=("standing", "check_move"), support="both_hands"),
    ),
    Person(name="usual score 8", plan=_plan(), before=8, rest=3),
    Person(name="rest pain 6, its own limit", plan=_plan(rest_pain_limit=8), before=7, rest=6),
    UNSET,
    Person(name="diabetes", plan=_with("diabetes", "numb_feet")),
    Person(name="blood thinner", plan=_with("blood_thinner")),
    Person(name="breathless as usual", plan=_with("stable_heart_lung")),
    Person(
        name="two falls", plan=_with("falls_two"), on_days={10: "fall_unhurt", 55: "fall_unhurt"}
    ),
)


def simulated(person: Person, days: int = DAYS, seed: int = 1) -> Course:
    """The course of one person."""
    chance = Random(f"{seed} {person.name}")
    clock = HandClock(at(0, 18))
    context = in_memory(clock, (), person.plan)
    did: Counter[str] = Counter()
    spells: set[tuple[date, str]] = set()
    for day in range(days):
        clock.set(at(day, 18))
        scores = (_about(person.before, chance), _about(person.rest, chance))
        happened = person.on_days.get(day)

        def answer(
            page: WalkPage, said: tuple[int, int] = scores, new: str | None = happened
        ) -> Given:
            return _truthful(page, person, *said, new)

        pressing = front(context).locked
        if pressing is not None and pressing.for_day <= clock.today() - timedelta(days=SEEN_AFTER):
            pages_of_walk(context, ClearWalk(), "right", answer)
        pages = pages_of_walk(context, RoutineWalk(), "right", answer)
        parts = {part for page in pages for part in parts_offered(page, "routine")}
        did.update(parts)
        did["exercise"] += not parts.isdisjoint({"seated", "standing"})
        bad = bad_days(POLICY, {1: person.plan}, context.entries, "right", clock.today())
        if bad.spell is not None and bad.spell.call is not None:
            spells.add((bad.spell.since, bad.spell.call))
    diary = context.journal.diary()
    ticked = [one for one in diary.entries if isinstance(one, WarningSign) and not one.replaces]
    closed_by = Counter(
        {
            f"{one.sign or one.caution or one.state} ({one.rule})": one.days
            for one in findings(diary, "right").closed.by
        }
    )
    return Course(
        name=person.name,
        days=days,
        did=did,
        calls=len(spells) + sum(level_rank(one.level) >= level_rank("call") for one in ticked),
        closed_by=+closed_by,
    )


def _about(usual: int, chance: Random) -> int:
    """A score of a day: usual, most days a point off at most."""
    return min(10, max(0, round(chance.gauss(usual, 1))))


def _of_a_step(
    page: StepPage | ExercisePage | KnownStepsPage | EachStepPage | StepHurtPage, hurts: int
) -> Given:
    """How it went: a step hurts a point more than the knee at rest (C: our choice), and whom it
    hurts more than it may stops. Of several that were not all done each was stopped."""
    match page:
        case EachStepPage():
            return dict.fromkeys(page.names, "stopped")
        case StepHurtPage():
            return {"pain": hurts}
        case KnownStepsPage():
            return {"outcome": "some" if hurts > page.most_pain else "done"}
    return {"outcome": "stopped" if hurts > page.most_pain else "done", "seconds": None}


def _truthful(
    page: WalkPage, person: Person, before: int, rest: int, happened: str | None
) -> Given:
    match page:
        case GatePage():
            about = None if happened is None else CATALOGUE.sign(happened).question
            said = {f"q{n}": "yes" if n == about else "no" for n in page.questions}
            return said | ({"after_last": "same"} if page.after_last else {})
        case StopListPage():
            ticked = [sign for sign in page.signs if sign == happened]
            return {"signs": ticked} | ({} if ticked else {"rest": "none"})
        case SignQuestionsPage():
            return {question.id: "no" for question in CATALOGUE.sign(page.sign).questions}
        case KnownPage():
            return dict.fromkeys(page.signs, "as_before")
        case OpenCardPage():
            return {"how": "asked"}
        case OpenSignPage() | TalkedPage() | ToldPartsPage() | CheckedPage():
            return opens_all(page)
        case RestPainPage():
            return {"score": rest}
        case MovePage():
            set_up: dict[str, object] = {"depth": "as_plan"} if page.depth else {}
            score = max(0, before - (page.number > 1))
            return {"score": score, "same_depth": True} | set_up
        case StepPage() | ExercisePage() | KnownStepsPage() | EachStepPage() | StepHurtPage():
            return _of_a_step(page, min(10, rest + 1))
    return out_and_home(page)


def table(people: list[list[Course]]) -> str:
    """One line a person, with the courses of each seed one after the other; what closed is of all
    of them together."""
    columns = ("exercise", "standing", "hands")
    wide = max(12, 4 * max(len(courses) for courses in people) + 3)
    lines = [
        "".join([f"{'':28}", *(f"{name:>{wide}}" for name in columns), f"{'calls':>10}  closed by"])
    ]
    for courses in people:
        closed_by = sum((one.closed_by for one in courses), Counter[str]())
        by = "; ".join(f"{why} {n}" for why, n in closed_by.most_common(4)) or "-"
        shares = "".join(
            f"{' '.join(f'{100 * one.did[name] / one.days:.0f}' for one in courses) + ' %':>{wide}}"
            for name in columns
        )
        calls = " ".join(str(one.calls) for one in courses)
        lines.append(f"{courses[0].name:28}{shares}{calls:>10}  {by}")
    return "\n".join(lines)


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--days", type=int, default=DAYS)
    parser.add_argument("--seeds", type=int, nargs="+", default=(1, 2, 3))
    options = parser.parse_args()
    print(
        table(
            [[simulated(person, options.days, seed) for seed in options.seeds] for person in PEOPLE]
        )
    )


if __name__ == "__main__":
    main()
