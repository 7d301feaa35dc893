"""Strips on the knee: their length, their place, what they never cover."""

from __future__ import annotations

from dataclasses import replace
from math import pi

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.care.records import CutLengths, TapePlan
from companion.picture.curves import Path, inside
from companion.picture.drawing import Shape
from companion.picture.knee import BUILDS, Knee, knee_from
from companion.picture.scenes import tape_picture
from companion.picture.svg import svg_text
from companion.picture.tape import (
    BARE_KNEECAP,
    CORNER_MM,
    Strip,
    band,
    short_piece_length,
    short_pieces,
    side_strip_length,
    side_strips,
    strip_shapes,
)
from companion.picture.views import View
from tests.picture.made import knees, measured_length, measures, path_of, plan, tapes


def all_strips(knee: Knee, tape: TapePlan) -> list[Strip]:
    """Both side strips and both short pieces."""
    return [*side_strips(knee, tape), *short_pieces(knee, tape)]


@settings(max_examples=25, deadline=None)
@given(tape=tapes(), side=st.sampled_from(("left", "right")), own=st.booleans())
def test_the_written_path_is_as_long_as_the_computed_one(
    tape: TapePlan, side: str, own: bool
) -> None:
    """Within 0.5 mm, measured anew in the SVG, whose user unit is a millimetre."""
    made = plan("left" if side == "left" else "right", tape=tape)
    knee = knee_from(made.knees[0])
    picture = tape_picture(made, made.main_side, 2, "own" if own else "helper")
    text = svg_text(picture)
    assert f'width="{picture.frame.width:g}mm"' in text
    for strip in all_strips(knee, tape):
        drawn = measured_length(path_of(text, f"strip-{strip.number}-path"))
        assert drawn == pytest.approx(strip.path_mm, abs=0.5)
        assert strip.between_mm + 2 * strip.anchor_mm == pytest.approx(drawn, abs=0.5)


@given(knees(), tapes())
@settings(max_examples=40, deadline=None)
def test_two_equal_side_strips_and_two_equal_pieces(knee: Knee, tape: TapePlan) -> None:
    one, two, three, four = all_strips(knee, tape)
    assert one.path_mm == pytest.approx(two.path_mm)
    assert three.path_mm == pytest.approx(four.path_mm)
    assert [strip.number for strip in (one, two, three, four)] == [1, 2, 3, 4]
    for a, b in zip(one.middle.points, two.middle.points, strict=True):
        assert b == -a.conjugate()


@given(knees(), tapes())
@settings(max_examples=40, deadline=None)
def test_side_strips_run_from_the_bump_to_about_the_upper_edge(knee: Knee, tape: TapePlan) -> None:
    strip = side_strips(knee, tape)[0]
    low = strip.middle.at(strip.anchor_mm if tape.length_from == "path" else 0.0)
    high = strip.middle.at(strip.path_mm - (strip.anchor_mm if tape.length_from == "path" else 0))
    assert low.imag == pytest.approx(knee.bump, abs=1.5)
    assert high.imag == pytest.approx(knee.top, abs=1.5)
    # Beside the kneecap is longer than straight up, and not by half.
    assert knee.measure_mm < strip.middle.length_mm
    if tape.length_from != "path":
        assert strip.path_mm < 1.5 * knee.measure_mm


@given(knees(), tapes())
@settings(max_examples=12, deadline=None)
def test_tape_stays_on_the_skin_and_off_the_kneecaps_middle(knee: Knee, tape: TapePlan) -> None:
    """Beside, never on, the kneecap (care_facts 4; C)."""
    for strip in all_strips(knee, tape):
        area = band(knee, strip)
        assert all(knee.on_skin(point) for point in area.chords), strip.number
        ring = area.chords
        for share in (0.0, 0.3, 0.6):
            for angle in range(0, 360, 30):
                point = knee.kneecap_rim(angle) * share * BARE_KNEECAP
                assert not inside(point, ring), strip.number


def shoelace(path: Path) -> float:
    """Area within a closed path."""
    ring = path.points[::3]
    total = sum(
        a.real * b.imag - b.real * a.imag for a, b in zip(ring, (*ring[1:], ring[0]), strict=True)
    )
    return abs(total) / 2


def test_a_band_covers_its_length_times_its_width() -> None:
    """A narrow strip lies free: length x width less its round corners, (4 - pi) r^2 (D)."""
    tape = TapePlan(when="always", highest=1, width_mm=18)
    strip = side_strips(Knee(), tape)[0]
    radius = min(CORNER_MM, 18 / 2 * 0.8)
    expected = strip.path_mm * 18 - (4 - pi) * radius**2
    assert shoelace(band(Knee(), strip)) == pytest.approx(expected, rel=0.01)


def test_a_wide_strip_is_cut_off_at_the_skin() -> None:
    tape = TapePlan(when="always", highest=1, width_mm=50)
    strip = side_strips(Knee(), tape)[0]
    assert shoelace(band(Knee(), strip)) < strip.path_mm * 50 * 0.97


def test_length_from_the_path_follows_the_formula() -> None:
    """L = a1 + a2 + D / (1 + s): anchors unstretched, s over rest length (care_facts 4; D)."""
    tape = TapePlan(
        when="always", highest=1, width_mm=25, anchor_mm=50.0, length_from="path",
        stretch_percent=25.0,
    )  # fmt: skip
    knee = knee_from(measures())
    way = side_strips(knee, tape)[0].between_mm
    found = side_strip_length(tape, measures(), knee)
    assert found.slack_mm == pytest.approx(100 + way / 1.25)
    assert found.faults == ()


def test_measured_strips_say_the_stretch_they_need() -> None:
    """Cut = bump to upper edge; the stretch that covers the drawn path is computed (C)."""
    tape = TapePlan(when="always", highest=1, width_mm=25, anchor_mm=20.0)
    knee = knee_from(measures())
    strip = side_strips(knee, tape)[0]
    found = side_strip_length(tape, measures(), knee)
    assert found.slack_mm == 86.0
    assert found.stretch_percent == pytest.approx(100 * ((strip.path_mm - 40) / (86.0 - 40) - 1))


def test_a_length_typed_in_the_clinic_wins() -> None:
    cut = CutLengths(side_strip_mm=91.0, short_piece_mm=55.0)
    tape = TapePlan(when="always", highest=2, length_from="as_cut")
    with_cut = measures(cut=cut)
    assert side_strip_length(tape, with_cut, knee_from(with_cut)).slack_mm == 91.0
    assert short_piece_length(tape, with_cut, knee_from(with_cut)).slack_mm == 55.0


def test_the_typical_knee_lends_no_path() -> None:
    """A picture for want of measures must not turn into a length to cut."""
    tape = TapePlan(when="always", highest=2, length_from="path")
    assert side_strip_length(tape, None, knee_from(None)).slack_mm is None
    assert short_piece_length(tape, None, knee_from(None)).slack_mm is None


@given(knees(), tapes())
@settings(max_examples=15, deadline=None)
def test_the_build_changes_no_strip(knee: Knee, tape: TapePlan) -> None:
    """It is a word for the outline: a length that is cut must not hang on it."""
    usual = all_strips(replace(knee, build=1.0), tape)
    for build in BUILDS.values():
        assert all_strips(replace(knee, build=build), tape) == usual


def test_a_strip_shorter_than_its_anchors_still_shows_a_stretched_part() -> None:
    tape = TapePlan(when="always", highest=1, anchor_mm=100.0)
    strip = side_strips(Knee(), tape)[0]
    assert 0 < strip.anchor_mm < strip.path_mm / 2


@pytest.mark.parametrize(("stage", "step"), [(0, None), (3, None), (1, 3), (2, 5), (1, 0)])
def test_a_strip_that_is_not_there_is_refused(stage: int, step: int | None) -> None:
    with pytest.raises(ValueError, match="stage"):
        tape_picture(plan(), "right", stage, "own", step)


def test_strips_come_on_one_after_the_other() -> None:
    def named(step: int | None, stage: int = 2) -> set[str]:
        picture = tape_picture(plan(), "right", stage, "own", step)
        return {s.name for s in picture.shapes if s.role == "tape" and s.name}

    assert named(1, 1) == {"strip-1"}
    assert named(None, 1) == {"strip-1", "strip-2"}
    assert named(3) == {"strip-1", "strip-2", "strip-3"}
    assert named(None) == {"strip-1", "strip-2", "strip-3", "strip-4"}


def test_the_angle_of_the_plan_stands_on_the_picture() -> None:
    made = plan()
    bent = replace(made, tape=replace(made.tape, knee_bend_degrees=30))
    words = {w.text for w in tape_picture(made, "right", 1, "own").words}
    assert "Leg straight" in words
    assert "Knee bent 30 degrees" in {w.text for w in tape_picture(bent, "right", 1, "own").words}


@given(knees(), tapes())
@settings(max_examples=15, deadline=None)
def test_every_strip_shows_which_way_it_is_drawn(knee: Knee, tape: TapePlan) -> None:
    """The arrow points from the anchor laid first, along the strip, on the strip."""
    view = View("right", "own")
    for strip in all_strips(knee, tape):
        lines = [
            shape.path
            for shape in strip_shapes(knee, view, strip)
            if isinstance(shape, Shape) and shape.role == "arrow" and shape.weight == "heavy"
        ]
        assert len(lines) == 1
        start, end = view.to_knee(lines[0].start), view.to_knee(lines[0].end)
        first = strip.middle.start
        assert abs(start - first) < abs(end - first)
        assert inside(end, band(knee, strip).chords)
