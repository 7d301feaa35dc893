"""Strip lengths worked out by hand, and what a stay away takes."""

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.care.records import CutLengths, KneeMeasures, TapePlan
from companion.care.strips import (
    applications_away,
    cut_in_order,
    measure_fault,
    on_paper_mm,
    ratio_verdict,
    short_piece,
    side_strip,
    slack_mm,
    stretch_needed,
    stretch_share,
)

TAPE = TapePlan(when="always", highest=2)


def knee(measure: float | None = 90, **fields: Any) -> KneeMeasures:
    return KneeMeasures(side="right", bump_to_upper_edge_mm=measure, **fields)


@pytest.mark.parametrize(("stretch", "length"), [(0, 190.0), (10, 181.8), (25, 172.0), (50, 160.0)])
def test_length_from_the_path(stretch: float, length: float) -> None:
    """a 50+50 mm, D 90 mm (fact: strip_from_path)."""
    assert round(slack_mm(90, stretch / 100, 50, 50), 1) == length
    found = side_strip(replace(TAPE, length_from="path", stretch_percent=stretch), knee(), 90)
    assert found.slack_mm is not None
    assert round(found.slack_mm, 1) == length
    assert (found.stretch_percent, found.faults) == (stretch, ())
    # Without a drawing the measured length is the path.
    assert side_strip(replace(TAPE, length_from="path", stretch_percent=stretch), knee()) == found


def test_on_the_paper() -> None:
    """200 mm on paper is 181.8 mm slack at 10 %, 173.9 at 15 % (S, D)."""
    assert round(on_paper_mm(181.8, 10)) == 200
    assert round(on_paper_mm(173.9, 15)) == 200


def test_both_meanings_of_stretch() -> None:
    """50 % of available with limit 140 % is x1.20, with 160 % x1.30 (D)."""
    assert 1 + stretch_share(50, "available", 140) == pytest.approx(1.20, abs=1e-12)
    assert 1 + stretch_share(50, "available", 160) == pytest.approx(1.30, abs=1e-12)
    assert stretch_share(50, "rest_length", 140) == 0.5
    with pytest.raises(ValueError, match="limit"):
        stretch_share(50, "available")
    available = replace(TAPE, length_from="path", stretch_of="available", stretch_percent=50)
    assert side_strip(available, knee()).faults == ("limit_missing",)
    assert side_strip(available, knee()).slack_mm is None
    made = side_strip(replace(available, stretch_limit_percent=140), knee())
    assert made.slack_mm == pytest.approx(100 + 90 / 1.2)


def test_warn_and_refuse() -> None:
    """Warn outside 60-160 mm, refuse outside 40-250 mm (D)."""
    assert [measure_fault(mm) for mm in (39.9, 40, 59.9, 60, 160, 160.1, 250, 250.1)] == [
        "refused",
        "unusual",
        "unusual",
        None,
        None,
        "unusual",
        "unusual",
        "refused",
    ]
    refused = side_strip(TAPE, knee(251))
    assert (refused.slack_mm, refused.paper_mm, refused.faults) == (
        None,
        None,
        ("measure_refused",),
    )
    assert "measure_unusual" in side_strip(TAPE, knee(170)).faults
    assert side_strip(TAPE, knee(170)).slack_mm == 170


def test_tendon_against_kneecap() -> None:
    """Usual 0.8 to 1.2, outside 0.6 to 1.6 measure again (facts: kneecap_ratio,
    kneecap_ratio_again)."""
    height = 40
    found = [ratio_verdict(height * (1 + ratio), height) for ratio in (0.5, 0.7, 1.0, 1.4, 1.7)]
    assert found == ["measure_again", "unusual", "usual", "unusual", "measure_again"]
    assert ratio_verdict(100, 50) == "usual"


def test_as_cut_in_the_clinic_wins() -> None:
    as_cut = replace(TAPE, length_from="as_cut")
    found = side_strip(as_cut, knee(cut=CutLengths(side_strip_mm=183, short_piece_mm=70)), 500)
    assert (found.slack_mm, found.stretch_percent, found.faults) == (183, None, ())
    assert found.paper_mm == pytest.approx(201.3)
    assert side_strip(as_cut, knee()).faults == ("cut_missing",)
    assert side_strip(as_cut, None).faults == ("cut_missing",)


def test_as_measured_says_the_stretch_it_takes() -> None:
    """cut = bump to upper edge (C); the stretch follows from the drawn path."""
    tape = replace(TAPE, anchor_mm=25, stretch_percent=10)
    exact = side_strip(tape, knee(100), 105)
    assert exact.slack_mm == 100
    assert exact.stretch_percent == pytest.approx(10)
    assert exact.faults == ()
    assert side_strip(tape, knee(100), 106).faults == ("stretch_above_plan",)
    assert side_strip(tape, knee(100), 99).faults == ("stretch_below_plan",)
    assert side_strip(tape, knee(100)).faults == ("path_missing",)
    full = side_strip(replace(tape, anchor_mm=50), knee(100), 105)
    assert (full.slack_mm, full.stretch_percent) == (100, None)
    assert full.faults == ("anchors_fill_strip",)
    assert side_strip(tape, None).faults == ("measure_missing",)


@given(st.floats(40, 250), st.floats(0, 1), st.floats(10, 100))
def test_the_two_ways_agree(path: float, share: float, anchor: float) -> None:
    """A strip cut for a stretch covers its path with that stretch."""
    cut = slack_mm(path, share, anchor, anchor)
    assert stretch_needed(cut, path + 2 * anchor, anchor) == pytest.approx(share, abs=1e-9)


def test_short_pieces() -> None:
    cut = knee(cut=CutLengths(side_strip_mm=183, short_piece_mm=70))
    assert short_piece(replace(TAPE, length_from="as_cut"), cut).slack_mm == 70
    assert short_piece(TAPE, cut).slack_mm == 70
    assert short_piece(TAPE, knee()).faults == ("cut_missing",)
    path = short_piece(replace(TAPE, length_from="path", anchor_mm=20), knee(), 33)
    assert path.slack_mm == pytest.approx(40 + 33 / 1.1)


def test_how_often_tape_goes_on_away_from_home() -> None:
    assert applications_away(0, 72, 24) == 0
    assert applications_away(1, 72, 24) == 1
    assert applications_away(4, 72, 24) == 1
    assert applications_away(5, 72, 24) == 2
    assert applications_away(14, 72, 24) == 4


def test_rolls_are_cut_in_order() -> None:
    rolls = cut_in_order([300, 300, 100, 450, 50], 500)
    assert [roll.lengths_mm for roll in rolls] == [(300,), (300, 100), (450, 50)]
    assert [roll.rest_mm for roll in rolls] == [200, 100, 0]
    assert cut_in_order([], 500) == ()
    assert len(cut_in_order([0.1] * 10, 1)) == 1
    with pytest.raises(ValueError, match="longer than a roll"):
        cut_in_order([501], 500)


@given(st.lists(st.floats(20, 500), max_size=40))
def test_nothing_is_lost_in_cutting(lengths: list[float]) -> None:
    rolls = cut_in_order(lengths, 500)
    assert [length for roll in rolls for length in roll.lengths_mm] == lengths
    for roll in rolls:
        assert roll.rest_mm == pytest.approx(500 - sum(roll.lengths_mm), abs=1e-6)
        assert roll.rest_mm >= 0
