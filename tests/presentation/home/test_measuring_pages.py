"""The measuring guide and the papers page say it in words that can be read."""

import pytest

from companion.care.measuring import measured
from companion.presentation.home.measuring_pages import (
    bump_view,
    edge_view,
    measured_view,
    readings_view,
)
from companion.presentation.home.papers_pages import days_away_view, papers_view
from tests.care.walking import taught_plan
from tests.presentation.wording import faults, lines

PLAN = taught_plan()
SIDE = PLAN.sides[0]
VIEWS = [
    bump_view(PLAN, SIDE),
    edge_view(PLAN, SIDE),
    readings_view(PLAN, SIDE),
    *(measured_view(measured(a, b, "cm"), SIDE) for a, b in ((8, 8), (8, 9), (5, 5), (3, 3))),
    papers_view(tapes=True, helper_view=False, letter=False),
    papers_view(tapes=False, helper_view=False, letter=False),
    days_away_view(),
]


@pytest.mark.parametrize("number", range(len(VIEWS)))
def test_it_reads_easily(number: int) -> None:
    assert faults(lines(VIEWS[number])) == []
