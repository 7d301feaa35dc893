"""What the person would walk through with this plan: today's routine, page by page."""

from datetime import date

from companion.care import ready, stopping, taping
from companion.care import routine as pages_of
from companion.care.catalogue import Catalogue
from companion.care.caution_rules import caution_judgement
from companion.care.closures import closed_by_plan
from companion.care.flow import Given, WalkPage
from companion.care.levels import PARTS
from companion.care.plan_faults import playable_exercises, playable_techniques
from companion.care.ready import routine_asks
from companion.care.records import Plan, Side
from companion.care.routine import HandsOff, RoutineStart, routine
from companion.care.starting_stage import starting_stage

MOST_PAGES = 400


def plain_answer(page: WalkPage) -> Given:  # noqa: PLR0911 - one answer a page
    """An answer with which the routine goes on: nothing new, 6 before, a point less after each
    part."""
    match page:
        case stopping.GatePage():
            return {f"q{number}": "no" for number in page.questions}
        case ready.ReadyPage():
            return {"ready": "yes"}
        case pages_of.TenPage():
            return {"ten": "worst"}
        case taping.TapeCheckPage():
            return {"feelings": []}
        case pages_of.RestPainPage():
            return {"score": 2}
        case pages_of.DepthPage():
            return {"depth": "as_plan"}
        case pages_of.MovePage():
            return {"score": 6 - (page.number - 1), "same_depth": True, "depth": "as_plan"}
        case pages_of.ZonesPage():
            return {"zones": ["inner_edge"]}
        case pages_of.StepPage():
            return {"outcome": "done", "seconds": page.technique.seconds, "pain": 2}
        case pages_of.KnownStepsPage():
            return {"outcome": "done"}
        case pages_of.EachStepPage():
            return dict.fromkeys(page.names, "done")
        case pages_of.ExercisePage():
            return {"outcome": "done", "pain": 2}
        case taping.TapeReadyPage():
            return {"skin": "clear", "clean": "yes", "reach": "helper"}
        case taping.TapeOnPage():
            return {"tape": "on", "by": "helper"}
        case _:
            return {}


def routine_pages(
    plan: Plan, side: Side, catalogue: Catalogue, today: date, *, in_trial: bool = False
) -> tuple[WalkPage, ...]:
    """Every page of the routine of one knee on a plain day, answered plainly.

    `in_trial` shows a scored day of a tape trial: hands rest, and the routine puts no tape on.

    The knee hurts 6 and a point less after each part, so the plan's rounds and tape come into
    it. What was not taught, or is blocked by a caution, is not there; nor is it at home.
    """
    tape = caution_judgement(plan, "tape_on", catalogue.policy)
    techniques = playable_techniques(plan, side, catalogue, (), today)
    rests: HandsOff | None = "trial" if in_trial else None
    closed = closed_by_plan(catalogue.policy, plan)
    start = RoutineStart(
        side=side,
        closed=tuple(part for part in PARTS if part in closed),
        hands_off=rests if techniques else "not_in_plan",
        tape_by_trial=in_trial,
        asks=routine_asks(plan, catalogue.policy),
        starting_stage=starting_stage(plan, side, ()),
        tape_off=("caution",) if tape.blocked else (),
        helper_needed="helper_there" in tape.asks,
        techniques=techniques,
        exercises=playable_exercises(plan, side, catalogue, (), today),
    )
    walk = routine(plan, catalogue, start)()
    pages: list[WalkPage] = []
    try:
        page = next(walk)
        while len(pages) < MOST_PAGES:
            pages.append(page)
            page = walk.send(plain_answer(page))
    except StopIteration:
        return tuple(pages)
    raise RuntimeError(f"the routine does not end in {MOST_PAGES} pages")
