"""Words and arrows hide no hand, no pad, no tape and none of each other, on every body."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations, product
from typing import get_args

import pytest

from companion.care.coded import coded
from companion.care.records import Build, Side
from companion.picture.clear import PageCells, words_clear
from companion.picture.curves import Path, Point, inside, straight
from companion.picture.drawing import LINE_SHARE, Drawing, DrawnWords, Frame, Shape
from companion.picture.stored import figure_of
from companion.picture.views import Viewpoint
from companion.presentation.language.said import said_words
from companion.presentation.view.drawn_people import draw_person
from companion.presentation.view.figures import (
    patch_picture,
    tape_panels,
    tape_picture,
    technique_panels,
    technique_still,
)
from companion.services.settings import DrawnPerson
from companion.system.figures import stored_figures, stored_ground
from tests.builders import DRAWN_PEOPLE
from tests.care.content import CATALOGUE
from tests.picture.made import plan

VIEWPOINTS: tuple[Viewpoint, ...] = ("own", "helper")
SIDES: tuple[Side, ...] = ("left", "right")
ENDS = ("hip", "foot", "inner", "outer")
LETTER = 0.52
"""How wide a letter of these words is against its size (measured in the font we ship)."""
Ring = tuple[Point, ...]


@pytest.fixture(params=DRAWN_PEOPLE)
def person(request: pytest.FixtureRequest) -> Iterator[DrawnPerson]:
    """Each of the people who may be drawn; a woman again when the test is over."""
    draw_person(request.param)
    yield request.param
    draw_person("woman")


def rings(picture: Drawing, *names: str) -> list[Ring]:
    """The areas of a picture with such a name, or of a hand that tapes."""
    return [
        one.path.points[::3]
        for one in picture.shapes
        if one.fill not in ("none", "ink")
        and one.weight == "none"
        and ((one.name or "").startswith(names) or (one.role == "hand" and "hand" in names))
    ]


def under(at: Point, found: list[Ring]) -> bool:
    """Whether a place is in one of these areas."""
    return any(
        min(p.real for p in ring) <= at.real <= max(p.real for p in ring) and inside(at, ring)
        for ring in found
    )


def placed(words: DrawnWords) -> list[Point]:
    """Places all over some words."""
    lines = said_words(words.what).split("\n")
    wide, high = LETTER * max(map(len, lines)) * words.size_mm, 0.7 * words.size_mm
    left = words.at.real - {"left": 0, "centre": wide / 2, "right": wide}[words.align]
    low = high + (len(lines) - 1) * LINE_SHARE * words.size_mm
    return [
        complex(left + wide * x / 8, words.at.imag - high + low * y / 2)
        for x, y in product(range(9), range(3))
    ]


def ends(picture: Drawing) -> list[tuple[str, list[Point]]]:
    """The words that name an end or a side, and places all over each."""
    named = [(said_words(words.what), words) for words in picture.words]
    return [(text, placed(words)) for text, words in named if text in ENDS]


def pictures(seen: Viewpoint, build: Build, person: DrawnPerson) -> Iterator[Drawing]:
    """Every technique on a body, now on the one and now on the other knee; on the first body each
    of its stills too, as panels of a row."""
    for number, sheet in enumerate(CATALOGUE.techniques):
        side = SIDES[number % 2]
        yield technique_still(sheet, side, seen, 2, build)
        if (person, build) == ("woman", "usual"):
            yield from technique_panels(sheet, side, seen, 2, build)


@pytest.mark.parametrize("build", get_args(Build))
@pytest.mark.parametrize("seen", VIEWPOINTS)
def test_words_and_arrows_hide_no_hand_on_any_body(
    seen: Viewpoint, build: Build, person: DrawnPerson
) -> None:
    """An arrow may lie over the back of a hand where it would be too far from what it tells."""
    for picture in pictures(seen, build, person):
        said = said_words(picture.description)
        hands = rings(picture, "hand", "sleeve", "arm", "fold")
        told = ends(picture)
        assert {text for text, _ in told} == set(ENDS)
        for text, places in told:
            # Small panels of two hands leave no place that is free all over.
            most = 4 if picture.frame.height > 277 else 9
            assert sum(under(at, hands) for at in places) <= most, (text, said)
        apart(told, said)
        pads = rings(picture, "pads")
        for line in arrows(picture):
            places = [line.share(k / 20) for k in range(21)]
            assert sum(under(at, pads) for at in places) <= 1, said
            assert sum(under(at, hands) for at in places) <= 15, said


def arrows(picture: Drawing) -> list[Path]:
    """The lines of its arrows."""
    return [one.path for one in picture.shapes if one.role == "arrow" and one.weight == "heavy"]


def apart(told: list[tuple[str, list[Point]]], said: str) -> None:
    """No word lies over another one."""
    for (_, one), (_, other) in combinations(told, 2):
        ring = (one[0], one[24], one[26], one[2])
        assert not any(inside(at, ring) for at in other), said


@pytest.mark.parametrize("seen", VIEWPOINTS)
def test_words_hide_no_hand_and_no_tape_on_a_taped_knee(seen: Viewpoint) -> None:
    made = plan("left")
    steps = CATALOGUE.tape_steps
    laying = [*steps.stages[0].steps, *steps.removal]
    panels = [
        one
        for one in tape_panels(made, "left", seen, 1, laying)
        if len(ends(one)) == len(ENDS)  # a knee that bends is seen from its side
    ]
    assert len(panels) > 8
    whole = (tape_picture(made, "left", 2, seen), patch_picture(made, "left", seen))
    for picture in (*panels, *whole):
        said, told = said_words(picture.description), ends(picture)
        taken = rings(picture, "hand", "strip", "piece")
        told += [(said_words(one.what), placed(one)) for one in picture.words if one.room[1] > 1]
        for text, places in told:
            assert sum(under(at, taken) for at in places) <= 4, (text, said)
        apart(told, said)


@pytest.mark.parametrize("seen", VIEWPOINTS)
def test_an_arrow_stays_near_and_goes_the_way_it_is_stored(seen: Viewpoint) -> None:
    """It is moved as it is, by less than the width of a knee, and mirrored with it."""
    for sheet in CATALOGUE.techniques:
        stored = figure_of(stored_figures(f"{seen}_{sheet.id}_woman_usual")[0])
        ground = figure_of(
            stored_ground(stored_figures(f"{seen}_{sheet.id}_woman_usual")[0]["ground"])
        )
        right, left = (arrows(technique_still(sheet, side, seen)) for side in ("right", "left"))
        assert len(right) == len(left) == len(stored.arrows)
        for mine, other, (_, was) in zip(right, left, stored.arrows, strict=True):
            assert [-p.conjugate() for p in mine.points] == list(other.points)
            off = mine.at(mine.length_mm / 2) - (was.at(was.length_mm / 2) - ground.origin)
            assert abs(off) < 45
            turned = (mine.end - mine.start) / (was.end - was.start)
            assert abs(turned.imag) < 0.25 * abs(turned)


def test_what_is_covered_is_counted_by_weight() -> None:
    covered = PageCells(Frame(0, 0, 100, 100))
    square = [complex(x, y) for x, y in ((20, 20), (60, 20), (60, 60), (20, 60))]
    covered.area(square)
    assert covered.share([40 + 40j]) == 1
    assert covered.share([40 + 40j, 80 + 80j]) == 0.5
    covered.area(square, 9)
    assert covered.share([40 + 40j]) == 9
    assert covered.share([-1 + 40j]) > 0  # beside the page nothing is free


def test_a_word_goes_along_its_side_of_the_page_and_no_further_than_it_must() -> None:
    area = Frame(-100, -100, 200, 200)
    word = DrawnWords(coded("drawn_hip"), 93j, 13.0, way=1j)
    hand = Shape(
        "hand", straight([-30 + 70j, 30 + 70j, 30 + 130j, -30 + 130j], closed=True), "none", "skin"
    )
    assert words_clear([word], area) == [word]
    _, moved = words_clear([hand, word], area)
    assert isinstance(moved, DrawnWords)
    assert moved.at.imag == word.at.imag
    assert 30 < abs(moved.at.real) < 60
    fixed = replace(word, way=None)
    assert words_clear([hand, fixed], area)[1] == fixed


def test_the_edge_of_a_hand_is_not_read_as_a_letter_before_a_word() -> None:
    """It is 2 mm off the first letter, which has 3 mm of paper."""
    area = Frame(-100, -100, 200, 200)
    word = DrawnWords(coded("drawn_hip"), 93j, 13.0, way=1j)
    corners = [-60 + 70j, -20.2 + 70j, -20.2 + 130j, -60 + 130j]
    _, moved = words_clear(
        [Shape("hand", straight(corners, closed=True), "none", "skin"), word], area
    )
    assert isinstance(moved, DrawnWords)
    assert moved.at.real > word.at.real
