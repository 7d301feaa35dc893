"""A day walked through without a window: every page answered as a plain, steady person would.

The demo without a display uses it, and so do tests that drive whole walks through the real store.
"""

from collections.abc import Callable

from companion.care import chair_questions, clearing, day_questions, routine, stopping, taping
from companion.care.flow import Given, Page
from companion.care.records import Side
from companion.care.wear import current_wear, wear_clock
from companion.services.context import Context
from companion.services.day_page import DayConduct
from companion.services.front import front
from companion.services.routine import RoutineConduct
from companion.services.tape import TapeOffConduct, TapeOnConduct
from companion.services.walks import Conduct, Finished, begin, give

Answerer = Callable[[Page], Given]


def steady(page: Page) -> Given:  # noqa: PLR0911, PLR0912 - one answer a page
    """A steady person's answer: nothing new, 6 before, one point less after each part."""
    match page:
        case stopping.GatePage():
            return {"gate": "none"}
        case stopping.OpenSignPage():
            return {"over": "yes"}
        case stopping.StopListPage():
            return {"signs": []}
        case stopping.CardPage():
            return {"card": "read"}
        case stopping.SignQuestionsPage():
            return {}
        case stopping.GoOnPage():
            return {"go_on": "yes"}
        case routine.HelperPage():
            return {"helper": "yes"}
        case routine.TenPage():
            return {"ten": "yes"}
        case taping.TapeCheckPage():
            return {"feelings": []}
        case routine.RestPainPage():
            return {"score": 2}
        case routine.DepthPage():
            return {"depth": "as_plan"}
        case routine.MovePage():
            return {"score": 6 - (page.number - 1), "same_depth": True}
        case routine.ZonesPage():
            return {"zones": ["inner_edge"]}
        case routine.StepPage():
            return {"outcome": "done", "seconds": page.technique.seconds, "pain": 2}
        case routine.ExercisePage():
            return {"outcome": "done", "pain": 2}
        case taping.TapeReadyPage():
            return {"skin": "clear", "clean": "yes", "reach": "helper"}
        case taping.TapeOnPage():
            return {"tape": "on", "by": "helper"}
        case taping.TapeTakenOffPage():
            return {"tape": "off"}
        case taping.RemovalPage():
            return {"off": "now"}
        case taping.SkinPage():
            return {"skin": "clear"}
        case day_questions.PainPage():
            return {"score": {"average": 3, "worst": 5, "now": 3}[page.key]}
        case day_questions.DaySkinPage():
            return {"skin": "clear"}
        case day_questions.MedicinePage():
            return {"medicine": "no"}
        case day_questions.MorningPage():
            return {"stiffness_minutes": 10, "night_pain": "no", "swelling": "none"}
        case day_questions.ActivityPage():
            return {"score": 6}
        case day_questions.StairsPage():
            return {"stairs": "with_rail"}
        case chair_questions.SomeonePage():
            return {"there": "yes"}
        case chair_questions.TryPage():
            return {"stood": "yes", "pain": 2}
        case chair_questions.CountPage():
            return {"seconds": chair_questions.SECONDS, "outcome": "done"}
        case chair_questions.ShortPage():
            return {"again": "yes"}
        case chair_questions.HowManyPage():
            return {"count": 9, "arms": "no"}
        case clearing.OpenCardPage():
            return {"how": "not_yet"}
        case _:
            return {}


def walk_through(
    context: Context, conduct: Conduct, side: Side, answer: Answerer = steady, most_pages: int = 500
) -> Finished:
    """Walk one walk to its end. Raises RuntimeError when it does not end."""
    outcome = begin(context, conduct, side)
    for _ in range(most_pages):
        if isinstance(outcome, Finished):
            return outcome
        outcome = give(context, conduct, outcome, answer(outcome.page))
    raise RuntimeError(f"the walk {conduct.name} did not end in {most_pages} pages")


def play_day(context: Context, answer: Answerer = steady) -> tuple[Finished, ...]:
    """One day of every knee of the plan: tape off or on when it is due, the routine, the page."""
    plan = context.plan()
    if plan is None:
        raise LookupError("a day needs a plan")
    done: list[Finished] = []
    for side in plan.sides:
        now = context.clock.now()
        wear = current_wear(context.entries, side)
        if (
            wear is not None
            and now.tzinfo is not None
            and wear_clock(wear, plan, now, now.tzinfo).state != "on"
        ):
            done.append(walk_through(context, TapeOffConduct(), side, answer))
        if any(due.what == "tape_on" and due.side == side for due in front(context).due):
            done.append(walk_through(context, TapeOnConduct(), side, answer))
        done.append(walk_through(context, RoutineConduct(), side, answer))
        done.append(walk_through(context, DayConduct(), side, answer))
    return tuple(done)
