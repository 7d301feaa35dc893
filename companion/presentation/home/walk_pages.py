"""What every page of every walk shows, and what stands above its heading."""

from datetime import date

from companion.care.records import Side
from companion.presentation.home import (  # noqa: F401 - each registers the views of its pages
    card_pages,
    chair_pages,
    day_pages,
    gate_pages,
    outing_pages,
    patch_pages,
    routine_pages,
)
from companion.presentation.home.chair_pages import chair_name
from companion.presentation.home.walk_view import Setting, page_view
from companion.presentation.language.phrases import long_day, phrase
from companion.presentation.language.words import knee
from companion.services.walks import WalkName

__all__ = ["Setting", "about", "page_view"]

DAYS_LATE = 2
"""A page for a day so many days ago is written late."""


def about(walk: WalkName, side: Side, for_day: date, today: date) -> str | None:
    """What a walk is about, above its headings; None for its knee alone."""
    match walk:
        case "day":
            return day_page_about(side, for_day, late=(today - for_day).days >= DAYS_LATE)
        case "patch" | "patch_reading":
            return phrase("Patch test")
        case "chair":
            return chair_name()
        case "stop" | "clear":
            # Which knee a sign is about is asked after its card, so nothing says so before.
            return phrase("Stop") if walk == "stop" else phrase("Your card")
    return None


def day_page_about(side: Side, day: date, *, late: bool) -> str:
    """The knee and the day a page is about."""
    words = phrase("{knee} · {day}", knee=knee(side), day=long_day(day))
    return phrase("{above} · written late", above=words) if late else words
