"""A day of a demo person, walked through without a window: every page answered plainly."""

from typing import Any

from companion.care import day_questions, evening, routine, stopping, taping
from companion.care.flow import Given, WalkPage
from companion.care.open_things import tape_things
from companion.care.records import Record, Side
from companion.services.context import Context
from companion.services.day_page import DayWalk
from companion.services.open_now import open_now
from companion.services.plan_preview import plain_answer
from companion.services.routine import RoutineWalk
from companion.services.tape import TapeOffWalk, TapeOnWalk
from companion.services.walks import WalkKind, WalkResult, begin, give

_MOST_PAGES = 500


def steady(page: WalkPage) -> Given:  # noqa: PLR0911, PLR0912 - one answer a page
    """A steady person's answer on any page of such a day: nothing new, and a plain score."""
    match page:
        case stopping.KnownPage():
            return dict.fromkeys(page.signs, "as_before")
        case stopping.TopicsPage():
            return {"topics": []}
        case routine.QuickStepPage():
            return {"outcome": "done"}
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
        case evening.BothRestPage():
            return dict.fromkeys(page.sides, 2)
        case evening.BothMovePage():
            score = 6 - (page.moves[0].number - 1)
            return dict.fromkeys(page.sides, score) | {"same_depth": True, "depth": "as_plan"}
        case evening.BothExercisePage() | evening.BothExercisesPage():
            return {"outcome": "done"}
        case day_questions.DayPainsPage():
            scores = {"average": 3, "worst": 5, "now": 3}
            return {measure: scores[measure] for measure in page.measures} | {"skin": "clear"}
        case day_questions.DayRestPage():
            return {"medicine": "no", "stairs": "with_rail" if page.stairs else None}
        case day_questions.DayActivitiesPage():
            return {f"activity:{n}": 6 for n in range(len(page.labels))}
        case day_questions.LastFortnightPage():
            return {"last_fortnight": "not_worse"}
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
) -> WalkResult[Record, object]:
    """Walk one walk to its end. Raises RuntimeError when it does not end."""
    outcome = begin(context, conduct, side)
    for _ in range(_MOST_PAGES):
        if isinstance(outcome, WalkResult):
            return outcome
        outcome = give(context, conduct, outcome, steady(outcome.page))
    raise RuntimeError(f"the walk {conduct.name} did not end in {_MOST_PAGES} pages")


def play_day(context: Context) -> tuple[WalkResult[Record, object], ...]:
    """One day of every knee of the plan: tape off or on when it is due, the routine, the page."""
    plan = context.plan()
    if plan is None:
        raise LookupError("a day needs a plan")
    done: list[WalkResult[Record, object]] = []
    for side in plan.sides:
        things = tape_things(open_now(context, plan), side)
        if any(one.code in ("tape_due", "tape_over_cap") for one in things):
            done.append(_walk_through(context, TapeOffWalk(), side))
        if any(one.code == "trial_tape" and one.side == side for one in open_now(context, plan)):
            done.append(_walk_through(context, TapeOnWalk(), side))
        done.append(_walk_through(context, RoutineWalk(), side))
        done.append(_walk_through(context, DayWalk(), side))
    return tuple(done)
