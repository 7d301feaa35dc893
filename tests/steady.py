"""A steady person, whose answers lead whole walks to their end."""

from companion.app import demo_day
from companion.care import chair_questions, clearing
from companion.care.flow import Given, Page


def steady(page: Page) -> Given:
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
        case _:
            return demo_day.steady(page)
