"""Stored figures as drawings: what they hold, mirrored, set as panels."""

from __future__ import annotations

import pytest

from companion.care.coded import coded
from companion.picture.drawing import DrawnWords
from companion.picture.panels import WIDEST_MM, beside_each_other, row_picture
from companion.picture.stored import Figure, Stored, figure_of

STORED: Stored = {
    "size": [200, 100],
    "unit_mm": 0.5,
    "steps": [2],
    "items": [
        ["f", "limb", "leg", "??SSST", "EE??S"],
        ["s", "outline", "leg", "??SSST"],
        ["d", "inner", "ghost", "??SS"],
        ["a", "back", "arrow", "??_ibE_ibE"],
    ],
}  # fmt: skip
SAID = coded("drawn_title", title="x")


def figure(wide: float = 100.0) -> Figure:
    return figure_of({**STORED, "size": [round(wide / 0.5), 100]})


def test_a_figure_has_the_size_and_the_steps_that_are_stored() -> None:
    made = figure_of(STORED)
    assert (made.width_mm, made.height_mm, made.steps) == (100.0, 50.0, (2,))
    assert [shape.fill for shape in made.shapes][:3] == ["skin", "none", "none"]
    assert [shape.weight for shape in made.shapes][:3] == ["none", "heavy", "light"]
    assert made.shapes[2].dashed


def test_an_arrow_back_is_broken_and_its_head_is_not() -> None:
    arrow = [shape for shape in figure_of(STORED).moved(0j) if shape.role == "arrow"]
    assert [shape.dashed for shape in arrow if shape.fill == "ink"] == [False]
    assert all(shape.dashed for shape in arrow if shape.fill == "none")


@pytest.mark.parametrize("item", [["x", "limb", "leg", "??"], ["f", "plaid", "leg", "??"]])
def test_what_is_unknown_is_refused(item: list[str]) -> None:
    with pytest.raises(ValueError, match="no item of a figure"):
        figure_of({**STORED, "items": [item]})


def test_mirrored_twice_is_as_it_was() -> None:
    made = figure()
    back = made.mirrored().mirrored()
    for one, other in zip(made.shapes, back.shapes, strict=True):
        assert (
            max(abs(a - b) for a, b in zip(one.path.points, other.path.points, strict=True)) < 1e-9
        )
    start = made.shapes[0].path.start
    assert made.mirrored().shapes[0].path.start == complex(100.0 - start.real, start.imag)


def test_narrow_panels_stand_beside_each_other_and_wide_ones_do_not() -> None:
    assert beside_each_other([figure(), figure()])
    assert not beside_each_other([figure(WIDEST_MM / 2)] * 2)
    frame = row_picture([figure(), figure()], [None, None], "right", SAID).frame
    assert (frame.width, frame.height) == (206.0, 50.0)


def test_a_left_leg_is_mirrored_and_its_words_are_not() -> None:
    words = coded("drawn_number", number=1)
    left = row_picture([figure()], [words], "left", SAID)
    right = row_picture([figure()], [words], "right", SAID)
    assert left.words == right.words
    assert isinstance(left.words[0], DrawnWords)
    assert left.shapes != right.shapes


def test_nothing_to_show_is_refused() -> None:
    with pytest.raises(ValueError, match="no figure"):
        row_picture([], [], "right", SAID)
