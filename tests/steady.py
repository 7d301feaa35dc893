"""A steady person, whose answers lead whole walks to their end."""

from companion.app import demo_day
from companion.care import chair_questions, clearing, stopping
from companion.care.flow import Given, WalkPage


def steady(page: WalkPage) -> Given:
    """Nothing new, 6 before, one point less after each part; the chair stand is done."""
    match page:
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
        case clearing.OpenSignPage():
            # All that the questions of any card ask.
            return dict.fromkeys(("over", "no_fever", "no_tablets", "knee_as_usual"), "yes")
        case clearing.TalkedPage():
            return {"told": "not_called"}
        case clearing.CheckedPage():
            return {"by": "clinic", "who": None, "days_ago": 0}
        case clearing.MistakePage():
            return {"mistake": "yes"}
        case stopping.WhichKneePage():
            return {"knee": "right"}
        case _:
            return demo_day.steady(page)
