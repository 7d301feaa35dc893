"""A day of a demo person, walked through without a window: every page answered plainly."""

from collections.abc import Callable
from typing import Any

from companion.care import day_questions, stopping, taping
from companion.care.flow import Given, Page
from companion.care.records import Record, Side
from companion.care.wear import current_wear, wear_clock
from companion.services.context import Context
from companion.services.day_page import DayWalk
from companion.services.front import front
from companion.services.plan_preview import plain_answer
from companion.services.routine import RoutineWalk
from companion.services.tape import TapeOffWalk, TapeOnWalk
from companion.services.walks import WalkKind, WalkResult, begin, give

Answerer = Callable[[Page], Given]


def steady(page: Page) -> Given:  # noqa: PLR0911, PLR0912 - one answer a page
    """A steady person's answer on any page of such a day: nothing new, and a plain score."""
    match page:
        case stopping.KnownPage():
            return dict.fromkeys(page.signs, "as_before")
        case stopping.TopicsPage():
            return {"topics": []}
        case stopping.StopListPage():
            return {"signs": [], "rest": "none"}
        case stopping.CardPage():
            return {"card": "read"}
        case stopping.StopPage():
            return {"about": "none"}
        case stopping.GoOnPage():
            return {"go_on": "yes"}
        case taping.TapeTakenOffPage():
            return {"tape": "off"}
        case taping.RemovalPage():
            return {"off": "now"}
        case taping.SkinPage() | day_questions.DaySkinPage():
            return {"skin": "clear"}
        case day_questions.PainPage():
            return {"score": {"average": 3, "worst": 5, "now": 3}[page.key]}
        case day_questions.MedicinePage():
            return {"medicine": "no"}
        case day_questions.MorningPage():
            return {"stiffness_minutes": 10, "night_pain": "no", "swelling": "none"}
        case day_questions.SignOfAnswerPage():
            return {"sign": "as_before"}
        case day_questions.ActivityPage():
            return {"score": 6}
        case day_questions.StairsPage():
            return {"stairs": "with_rail"}
        case _:
            return plain_answer(page)


def _walk_through(
    context: Context,
    conduct: WalkKind[Any, Any],
    side: Side,
    answer: Answerer = steady,
    most_pages: int = 500,
) -> WalkResult[Record, object]:
    """Walk one walk to its end. Raises RuntimeError when it does not end."""
    outcome = begin(context, conduct, side)
    for _ in range(most_pages):
        if isinstance(outcome, WalkResult):
            return outcome
        outcome = give(context, conduct, outcome, answer(outcome.page))
    raise RuntimeError(f"the walk {conduct.name} did not end in {most_pages} pages")


def play_day(context: Context, answer: Answerer = steady) -> tuple[WalkResult[Record, object], ...]:
    """One day of every knee of the plan: tape off or on when it is due, the routine, the page."""
    plan = context.plan()
    if plan is None:
        raise LookupError("a day needs a plan")
    done: list[WalkResult[Record, object]] = []
    for side in plan.sides:
        now = context.clock.now()
        wear = current_wear(context.entries, side)
        if (
            wear is not None
            and now.tzinfo is not None
            and wear_clock(wear, plan, now, now.tzinfo).state != "on"
        ):
            done.append(_walk_through(context, TapeOffWalk(), side, answer))
        if any(due.what == "tape_on" and due.side == side for due in front(context).due):
            done.append(_walk_through(context, TapeOnWalk(), side, answer))
        done.append(_walk_through(context, RoutineWalk(), side, answer))
        done.append(_walk_through(context, DayWalk(), side, answer))
    return tuple(done)
