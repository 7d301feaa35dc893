"""Clearing a card: by a check with its day, by a mistake, or not yet."""

from typing import Any

import pytest

from companion.care.clearing import CheckedPage, ClearEnd, ClearStart, OpenCardPage, clear_walk
from tests.care.walking import pages_of, walked

START = ClearStart(
    warning="a" * 32,
    sign="knee_stuck",
    ways=("checked_by_professional", "ticked_by_mistake"),
    days_open=2,
)


def cleared(**answers: Any) -> tuple[list[Any], ClearEnd]:
    pages, _, end = walked(lambda: clear_walk(START), lambda _page: answers)
    return pages, end


def test_the_card_comes_first_with_its_ways() -> None:
    pages, end = cleared(how="not_yet")
    assert pages == [OpenCardPage(sign="knee_stuck", ways=START.ways)]
    assert end == ClearEnd(how=None)


def test_a_mistake_needs_no_more() -> None:
    pages, end = cleared(how="ticked_by_mistake")
    assert len(pages) == 1
    assert end == ClearEnd(how="ticked_by_mistake")


@pytest.mark.parametrize("days_ago", [0, "2"])
def test_a_check_has_its_day_and_who_it_was(days_ago: Any) -> None:
    pages, end = cleared(how="checked_by_professional", days_ago=days_ago, who="nurse")
    assert pages_of(pages, CheckedPage)[0].most_days_ago == 2, "no day before the sign"
    assert end == ClearEnd(how="checked_by_professional", days_ago=int(days_ago), who="nurse")


def test_who_checked_may_be_left_out() -> None:
    _, end = cleared(how="checked_by_professional", days_ago=0, who=None)
    assert end.who is None
