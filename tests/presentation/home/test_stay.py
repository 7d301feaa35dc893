"""Tape for a stay away: counted by hand."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from companion.care.records import CutLengths, Plan, TapePlan
from companion.presentation.home.cutting import NoCuttingSheet, cutting_sheet
from companion.presentation.home.journey_pages import journey_view
from companion.presentation.home.stay import stay_rolls, stay_view
from companion.presentation.view.page import Bulleted, DefinitionList, PageView
from tests.builders import DAY
from tests.care.test_journeys import journey
from tests.care.walking import taught_plan
from tests.picture.made import measures, plan
from tests.presentation.wording import faults, lines


def taped(**tape: Any) -> Plan:
    """Strips of 200 mm and pieces of 60 mm on the paper."""
    values: dict[str, Any] = {
        "when": "always", "highest": 2, "length_from": "as_cut", "paper_stretch_percent": 0.0,
        "width_mm": 50, "wear_hours": 72, "rest_hours": 24, "roll_mm": 5000,
    }  # fmt: skip
    cut = CutLengths(side_strip_mm=200.0, short_piece_mm=60.0)
    return plan("right", (measures(cut=cut),), TapePlan(**(values | tape)))


def facts(view: PageView) -> dict[str, str]:
    """The rows of the page."""
    return dict(next(block for block in view.blocks if isinstance(block, DefinitionList)).rows)


def test_two_weeks_away_by_hand() -> None:
    """14 days are 336 h; 72 on and 24 off is 96: 3.5, so 4 times, and 1 to spare: 5 sets of 2 + 2.
    One set is 2 x 200 + 2 x 60 = 520 mm; 5 sets are 2.6 m of a roll of 5 m: 240 cm left (D)."""
    view = stay_view(taped(), 14)
    assert view.heading == "Tape for 14 days away"
    rows = facts(view)
    assert rows["Tape goes on"] == "4 times, and one more to spare"
    assert rows["Side strips to cut"] == "10"
    assert rows["Short pieces to cut"] == "10"
    assert rows["Rolls of 5 m"] == "1"
    rolls = next(block for block in view.blocks if isinstance(block, Bulleted)).items
    assert rolls == ("Roll 1: 10 lengths of 200 mm, 10 lengths of 60 mm; 240 cm left.",)


def test_a_roll_split_along_its_middle_gives_twice_as_much() -> None:
    made = taped(width_mm=25)
    rolls = stay_rolls(cutting_sheet(made), made, 5)
    assert sum(sum(roll.lengths_mm) for roll in rolls) == pytest.approx(5 * 260)


def test_more_rolls_are_cut_in_order_with_the_rest_of_each() -> None:
    """A roll of 1 m takes one set of 520 mm and the 2 strips of the next: 80 mm left, then the
    two pieces of 60 mm: only one fits, 20 mm left (D)."""
    made = taped(roll_mm=1000)
    rolls = stay_rolls(cutting_sheet(made), made, 2)
    assert list(rolls[0].lengths_mm) == [200, 200, 60, 60, 200, 200, 60]
    assert rolls[0].rest_mm == pytest.approx(20)
    assert list(rolls[1].lengths_mm) == [60]


def test_each_knee_takes_its_own_lengths() -> None:
    both = replace(
        taped(),
        side="both",
        knees=(
            measures("right", cut=CutLengths(side_strip_mm=200.0, short_piece_mm=60.0)),
            measures("left", cut=CutLengths(side_strip_mm=150.0, short_piece_mm=50.0)),
        ),
    )
    rolls = stay_rolls(cutting_sheet(both), both, 1)
    assert list(rolls[0].lengths_mm) == [200, 200, 60, 60, 150, 150, 50, 50]
    assert facts(stay_view(both, 3))["Side strips to cut"] == "8"


def test_a_wear_is_never_longer_than_its_cap() -> None:
    assert facts(stay_view(taped(wear_hours=160, cap_hours=120), 10))["Worn each time"] == (
        "120 hours at most"
    )


def test_no_plan_without_lengths_or_for_no_days() -> None:
    with pytest.raises(NoCuttingSheet):
        stay_view(replace(taped(), knees=()), 7)
    with pytest.raises(ValueError, match="from 1 to 120"):
        stay_view(taped(), 0)


@pytest.mark.parametrize("tapes", [True, False])
def test_a_journey_says_what_to_pack_and_what_may_be_left_out(tapes: bool) -> None:
    """Days away were tape alone."""
    plan = taught_plan(
        {} if tapes else {"when": "never", "highest": 0},
        hands_days_a_week=4,
        exercise_days_a_week=5,
    )
    away = journey(2, 9, emergency="911")
    view = journey_view(away, plan, DAY, tapes=tapes, tape_on="")
    words = "\n".join(lines(view))
    assert "Your plan asks for 5 days a week, not for each." in words
    assert "Nothing is made up for later." in words
    assert ("New tape, where it cannot be put on with clean, dry skin." in words) == tapes
    assert ("Tape of the make you know, cut at home, and blunt scissors" in words) == tapes
    assert view.main is not None
    assert dict(view.main.submitted) == {"do": "tape" if tapes else "change"}
    assert faults(lines(view)) == []
