"""Sheets of a plan that stand by themselves: for the fridge, the cards, days to fill in by pen."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Literal

from companion.care.catalogue import Catalogue
from companion.care.policy import Policy
from companion.care.records import Level, Plan
from companion.presentation.home.card_pages import card_block, closed_by_card, unsigned
from companion.presentation.language import codes
from companion.presentation.language.phrases import phrase
from companion.presentation.papers.booklet import (
    Booklet,
    BookletPage,
    bound,
    fridge_pages,
    whom_to_call,
)
from companion.presentation.papers.day_form import DayForms, day_forms
from companion.presentation.view.page import Block, CardBlock, Text

HomePaper = Literal["booklet", "helper_booklet", "fridge", "cards", "blank_days", "cutting"]
FILE_NAMES: dict[HomePaper, str] = {
    "booklet": "booklet.pdf",
    "helper_booklet": "booklet.pdf",
    "fridge": "fridge.pdf",
    "cards": "cards.pdf",
    "blank_days": "blank-days.pdf",
    "cutting": "cutting-sheet.pdf",
}
"""What each is called; scripts rely on it."""

MOST_WEEKS = 26
_LEVELS: tuple[Level, ...] = ("emergency", "today", "call", "care")


def fridge_sheet(plan: Plan, catalogue: Catalogue) -> Booklet:
    """Whom to call, and the signs to call about, to be read from where one stands."""
    return bound(plan, catalogue, phrase("For the fridge"), fridge_pages(plan, catalogue))


def card_sheets(plan: Plan, catalogue: Catalogue) -> Booklet:
    """What to do about each warning sign that somebody at home may notice, the fastest first."""
    return bound(
        plan,
        catalogue,
        phrase("What to do about a warning sign"),
        tuple(_level(plan, catalogue, level) for level in _LEVELS),
    )


def _level(plan: Plan, catalogue: Catalogue, level: Level) -> BookletPage:
    """The numbers once, then each card under the signs it is for: some are for more than one."""
    cards: dict[tuple[tuple[str, ...], str], list[str]] = {}
    for sign in catalogue.stop_list.signs:
        if sign.level == level and sign.asked_when not in ("stop", "state"):
            closed = closed_by_card(sign, plan, catalogue)
            told = card_block(sign, plan, catalogue).actions, _in_a_row(closed)
            cards.setdefault(told, []).append(phrase(sign.told or sign.words))
    blocks: list[Block] = [
        whom_to_call(plan),
        Text(phrase("Nobody answers? Call the next number."), "strong"),
        *(
            CardBlock(level, " ".join(signs), actions, note=closed)
            for (actions, closed), signs in cards.items()
        ),
    ]
    blocks.append(Text(phrase("Not sure? Then act as if it is true."), "strong"))
    return BookletPage(codes.LEVELS[level].heading, (*blocks, *unsigned(catalogue)))


def _in_a_row(rows: Sequence[tuple[str, str]]) -> str:
    """What is closed until when, as one line."""
    return " ".join(phrase("{name}: {what}.", name=name, what=what) for name, what in rows)


def weeks_until(plan: Plan, today: date) -> int:
    """How many whole weeks of blank days reach the review: at least one, and no more than paper
    should."""
    days = (plan.review_on - today).days + 1
    return min(max(-(-days // 7), 1), MOST_WEEKS)


def blank_days(plan: Plan, policy: Policy, first_day: date, weeks: int) -> DayForms:
    """Forms of so many weeks. Raises ValueError for less than one or more than `MOST_WEEKS`."""
    if not 1 <= weeks <= MOST_WEEKS:
        raise ValueError(phrase("Give a number of weeks from 1 to {most}.", most=MOST_WEEKS))
    return day_forms(plan, policy, first_day, 7 * weeks)
