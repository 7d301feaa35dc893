"""What walks offer a person, by the parts of the policy, and a diary in memory to walk in."""

import sqlite3
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

from companion.care.chair_questions import ChairPage, CountPage, HowPage, TryPage
from companion.care.flow import Given, WalkPage, knee_of, unnamed
from companion.care.policy import SignPolicy
from companion.care.records import AnyEntry, Part, Plan, Side
from companion.care.routine import ExercisePage, KnownStepsPage, MovePage, StepPage
from companion.care.taping import TapeOnPage, TapeStepPage
from companion.journal import schema
from companion.journal.store import Journal
from companion.services.chair_stand import ChairWalk
from companion.services.context import Context
from companion.services.outing import OutingWalk
from companion.services.routine import RoutineWalk
from companion.services.tape import TapeOnWalk
from companion.services.walks import WalkKind, WalkStep, begin, give
from tests.care.walking import CATALOGUE
from tests.services.context_for_tests import HandClock
from tests.steady import steady

WALKS: tuple[WalkKind[Any, Any], ...] = (RoutineWalk(), TapeOnWalk(), OutingWalk(), ChairWalk())
"""The walks that offer anything a sign may close."""


def parts_offered(page: WalkPage, walk: str) -> set[Part]:
    """The parts a page asks somebody to do."""
    if isinstance(page, KnownStepsPage) and page.part == "exercise":
        return {CATALOGUE.policy.exercise_part(name) for name in page.about}
    part = _part_offered(page, walk)
    return set() if part is None else {part}


def _part_offered(page: WalkPage, walk: str) -> Part | None:
    match page:
        case StepPage() | KnownStepsPage():
            return "hands"
        case MovePage() | ChairPage() | HowPage() | TryPage() | CountPage():
            return "check_move"
        case ExercisePage():
            return CATALOGUE.policy.exercise_part(page.exercise.exercise)
        case TapeStepPage() | TapeOnPage():
            return "outing_tape" if walk == "outing" else "tape_on"
    return None


def shut_by(row: SignPolicy) -> set[Part]:
    """What a sign keeps from the person of a plan with every exercise, and with a check move that
    is made without holding on: of standing exercise only what is not done holding on."""
    held = {"standing"} - {*row.parts_at_support}
    return {part for part in row.parts if part not in held}


def in_memory(clock: HandClock, entries: Iterable[AnyEntry], *plans: Plan) -> Context:
    """A diary that is on no disc."""
    db = sqlite3.connect(":memory:", isolation_level=None)
    schema.create(db)
    journal = Journal(Path("nowhere"), clock, db, None)
    journal.append(*entries, plans=plans)
    return Context(journal=journal, clock=clock, catalogue=CATALOGUE)


def out_and_home(page: WalkPage) -> Given:
    """A steady person, who goes to the quay and asks for tape, and who is over nothing yet."""
    key = unnamed(page).key.partition(":")[0]
    match key:
        case "open":
            return {"over": "no"}
        case "what_for":
            return {"what": "own", "own": "To the quay"}
        case "tape_for_outing":
            return {"tape": "yes"}
        case "look_over" if not hasattr(page, "end"):
            return {"going": "no"}
    return steady(page)


def pages_of_walk(
    context: Context,
    conduct: WalkKind[Any, Any],
    side: Side,
    answer: Callable[[WalkPage], Given] = out_and_home,
) -> list[WalkPage]:
    """Every page shown, to the end of the walk."""
    pages: list[WalkPage] = []
    outcome = begin(context, conduct, side)
    while isinstance(outcome, WalkStep):
        pages.append(outcome.page)
        assert len(pages) < 200, [page.key for page in pages]
        outcome = give(context, conduct, outcome, answer(outcome.page))
    return pages


def of_knee(side: Side, pages: Iterable[WalkPage]) -> list[WalkPage]:
    """The pages that are not of the other knee: an outing is of both."""
    return [page for page in pages if knee_of(page) in (None, side)]


def offered(
    make: Callable[[], Context],
    side: Side,
    answer: Callable[[WalkPage], Given] = out_and_home,
) -> dict[str, set[Part]]:
    """What each walk offers a knee, each begun in a diary of its own."""
    found: dict[str, set[Part]] = {}
    for conduct in WALKS:
        pages = of_knee(side, pages_of_walk(make(), conduct, side, answer))
        found[conduct.name] = {part for page in pages for part in parts_offered(page, conduct.name)}
    return found
