"""What every page of every walk shows, and what stands above its heading."""

from datetime import date

from companion.care.records import Side
from companion.presentation.home import (  # noqa: F401 - each registers the views of its pages
    card_pages,
    chair_pages,
    correcting_pages,
    day_pages,
    evening_pages,
    gate_pages,
    outing_pages,
    patch_pages,
    routine_pages,
)
from companion.presentation.home.chair_pages import chair_name
from companion.presentation.home.walk_view import ViewContext, page_view
from companion.presentation.language.phrases import long_day, phrase
from companion.presentation.language.words import knee
from companion.services.walks import WalkName

__all__ = ["ViewContext", "about", "page_view"]

DAYS_LATE = 2
"""A page for a day so many days ago is written late."""


def about(
    walk: WalkName, side: Side, for_day: date, today: date, *, both: bool = False
) -> str | None:
    """What a walk is about, above its headings; None for its knee alone. `both`: it is of both
    knees, and each page says which."""
    match walk:
        case "day":
            late = (today - for_day).days >= DAYS_LATE
            return day_page_about(None if both else side, for_day, late=late)
        case "outing" | "outing_after" | "outing_morning" if both:
            return phrase("Going out")
        case "patch" | "patch_reading":
            return phrase("Test piece")
        case "chair":
            return chair_name()
        case "correct":
            return phrase("My record")
        case "stop" | "clear":
            # Which knee a sign is about is asked after its card, so nothing says so before.
            return phrase("Stop") if walk == "stop" else phrase("Your card")
    return None


def day_page_about(side: Side | None, day: date, *, late: bool) -> str:
    """The knee, where it is of one, and the day a page is about."""
    words = long_day(day)
    if side is not None:
        words = phrase("{knee} · {day}", knee=knee(side), day=words)
    return phrase("{above} · written late", above=words) if late else words
