"""What the cutting sheet says, and when there is none."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from companion.care.records import CutLengths, KneeMeasures, Plan, TapePlan
from companion.picture.scenes import knee_of
from companion.picture.tape import short_pieces
from companion.presentation.home.cutting import NoCuttingSheet, cutting_sheet
from tests.picture.made import measures, plan


def taped(knees: tuple[KneeMeasures, ...], **tape: Any) -> Plan:
    """A plan with this tape."""
    values: dict[str, Any] = {"when": "always", "highest": 2, "width_mm": 25, "anchor_mm": 20.0}
    return plan("right", knees, TapePlan(**(values | tape)))


def test_lengths_are_those_on_the_paper() -> None:
    """Tape sits on its paper stretched by 10 %: 88 mm slack is 96.8 mm there (fact:
    tape_paper_stretch)."""
    made = taped((measures(cut=CutLengths(side_strip_mm=88.0, short_piece_mm=50.0)),),
                 length_from="as_cut")  # fmt: skip
    knee = cutting_sheet(made).knees[0]
    assert [piece.length_mm for piece in knee.pieces] == pytest.approx([96.8, 96.8, 55.0, 55.0])
    assert [piece.number for piece in knee.pieces] == [1, 2, 3, 4]
    assert "Side strips: 2, each 97 mm on the paper, 88 mm off it, 25 mm wide." in knee.lines
    assert knee.lines[0] == "Length as cut in the clinic."


def test_measured_strips_are_as_long_as_the_measure() -> None:
    knee = cutting_sheet(taped((measures(length=80.0),))).knees[0]
    assert knee.pieces[0].length_mm == pytest.approx(80.0 * 1.1)


def test_short_pieces_without_a_cut_length_fit_their_drawing() -> None:
    made = taped((measures(),), anchor_mm=50.0, stretch_percent=0.0, paper_stretch_percent=0.0)
    piece = cutting_sheet(made).knees[0].pieces[2]
    drawn = short_pieces(knee_of(made, "right"), made.tape)[0]
    assert piece.length_mm == pytest.approx(drawn.path_mm)


def test_stage_one_has_no_short_pieces() -> None:
    assert len(cutting_sheet(taped((measures(),), highest=1)).knees[0].pieces) == 2


@pytest.mark.parametrize(
    ("knees", "tape", "why"),
    [
        ((), {}, "was not measured"),
        ((measures(length=40.0),), {}, "do not fit"),
        ((measures(length=30.0),), {}, "do not fit"),
        ((measures(length=160.0),), {}, "do not fit"),
        ((measures(),), {"length_from": "as_cut"}, "cut in the clinic is missing"),
        ((), {"length_from": "path"}, "was not measured"),
        ((measures(),), {"length_from": "path", "stretch_of": "available"}, "how far this make"),
        ((measures(),), {"highest": 0}, "no tape"),
    ],
)
def test_no_sheet_without_a_length_to_trust(
    knees: tuple[KneeMeasures, ...], tape: dict[str, Any], why: str
) -> None:
    """Impossible or missing measures draw the typical knee, and nobody cuts to that."""
    with pytest.raises(NoCuttingSheet, match=why):
        cutting_sheet(taped(knees, **tape))


def test_one_knee_without_measures_stops_the_sheet_of_both() -> None:
    both = replace(taped((measures("right"),)), side="both")
    with pytest.raises(NoCuttingSheet, match="left knee"):
        cutting_sheet(both)


def test_each_knee_has_its_own_part() -> None:
    both = replace(taped((measures("right", 90.0), measures("left", 76.0))), side="both")
    right, left = cutting_sheet(both).knees
    assert (right.heading, left.heading) == ("Right knee", "Left knee")
    assert right.pieces[0].length_mm == pytest.approx(99.0)
    assert left.pieces[0].length_mm == pytest.approx(83.6)


def test_too_much_stretch_is_said() -> None:
    lines = cutting_sheet(taped((measures(),), width_mm=50, stretch_percent=5.0)).knees[0].lines
    assert "The strip needs more stretch than the plan says. Ask your clinic." in lines


def test_a_practice_plan_says_so() -> None:
    assert cutting_sheet(taped((measures(),))).plan_mark == (
        "Practice plan: nobody signed it. Not for a real knee."
    )


@pytest.mark.parametrize("typed", ["gently.", "gently. "])
def test_what_the_clinic_typed_as_a_sentence_has_one_full_stop(typed: str) -> None:
    lines = cutting_sheet(taped((measures(),), pull=typed)).knees[0].lines
    assert "Your clinic adds: gently." in lines


def test_the_sheet_says_how_the_skin_is_drawn() -> None:
    named = taped((measures(),), pull_at="middle", pull_towards="inner", pull="gently")
    said = (
        "Draw the skin beside the middle of the kneecap. "
        "Draw it towards the hip and the inner side. Your clinic adds: gently."
    )
    assert said in cutting_sheet(named).knees[0].lines
    assert not any(
        "Draw the skin" in line for line in cutting_sheet(taped((measures(),))).knees[0].lines
    )
