"""How one sits for hands and tape, from the outer side."""

from __future__ import annotations

import pytest

from companion.care.records import Side
from companion.presentation.language.said import said_words
from companion.presentation.view.figures import POSTURES, plan_pictures, posture_picture
from tests.care.content import CATALOGUE
from tests.picture.made import plan

SIDES: tuple[Side, ...] = ("left", "right")


@pytest.mark.parametrize("side", SIDES)
def test_each_posture_says_which_knee(side: Side) -> None:
    for posture, code in POSTURES.items():
        words = said_words(code)
        drawing = posture_picture(posture, side)
        lead = f"{side.capitalize()} knee, from its outer side"
        assert {lead, words} <= {said_words(word.what) for word in drawing.words}
        assert said_words(drawing.description) == f"{lead}. {words}."


def test_left_is_the_mirror_of_right_and_words_are_not() -> None:
    right, left = (posture_picture("sitting_knee_bent", side) for side in SIDES)
    for a, b in zip(right.shapes, left.shapes, strict=True):
        wide = right.frame.width
        assert [wide - p.conjugate() for p in a.path.points] == pytest.approx(list(b.path.points))
    assert [word.at for word in right.words] == [word.at for word in left.words]


@pytest.mark.parametrize("bend", [0, 15, 30, 60, 90, 120])
def test_the_bend_of_the_plan_is_told(bend: int) -> None:
    texts = {
        said_words(w.what) for w in posture_picture("sitting_leg_straight", "left", bend).words
    }
    assert (f"Knee bent {bend} degrees" in texts) == (bend > 0)


def test_a_bend_no_knee_is_taped_at_is_refused() -> None:
    with pytest.raises(ValueError, match="bend"):
        posture_picture("sitting_leg_straight", "left", 130)


def test_each_posture_of_the_plans_techniques_has_its_picture() -> None:
    names = {name for name, _ in plan_pictures(plan("right"), CATALOGUE)}
    for sheet in CATALOGUE.techniques:
        assert f"right-{sheet.posture}" in names
    assert "right-for-tape" in names
