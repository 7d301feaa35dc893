"""Strips on the knee: their length, their place, what they never cover."""

from __future__ import annotations

from dataclasses import replace
from math import pi

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.care.catalogue import TapeMoment
from companion.care.records import CutLengths, Side, TapePlan
from companion.picture.curves import Path, inside
from companion.picture.drawing import Drawing
from companion.picture.knee import BUILDS, Knee, knee_from
from companion.picture.scenes import tape_picture
from companion.picture.svg import svg_text
from companion.picture.tape import (
    BARE_KNEECAP,
    CORNER_MM,
    DRAWN_MM,
    Strip,
    band,
    draw_arrow,
    pull_arrow,
    pull_place,
    pulled_along,
    short_piece_length,
    short_pieces,
    side_strip_length,
    side_strips,
)
from companion.picture.views import Viewpoint
from companion.presentation.language.said import said_words
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
    text = svg_text(picture, said_words)
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
    """Beside, never on, the kneecap (fact: tape_placing)."""
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
    """L = a1 + a2 + D / (1 + s): anchors unstretched, s over rest length (fact:
    strip_from_path)."""
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
    words = {said_words(w.what) for w in tape_picture(made, "right", 1, "own").words}
    assert "Leg straight" in words
    assert "Knee bent 30 degrees" in {
        said_words(w.what) for w in tape_picture(bent, "right", 1, "own").words
    }


@given(knees(), tapes())
@settings(max_examples=15, deadline=None)
def test_every_strip_shows_which_way_it_is_drawn(knee: Knee, tape: TapePlan) -> None:
    """The arrow points from the anchor laid first, along the strip, on the strip."""
    for strip in all_strips(knee, tape):
        way, first = pull_arrow(knee, strip, tape), strip.middle.start
        assert abs(way.start - first) < abs(way.end - first)
        assert inside(way.end, band(knee, strip).chords)


PULLS = st.builds(
    replace,
    tapes(),
    pull_at=st.sampled_from((None, "lower_edge", "middle", "upper_edge")),
    pull_towards=st.sampled_from((None, "up", "inner", "outer")),
)


@given(knees(), PULLS)
@settings(max_examples=40, deadline=None)
def test_the_skin_is_drawn_where_and_as_the_plan_says(knee: Knee, tape: TapePlan) -> None:
    """At the level named, beside the kneecap, up, and to the side named on either strip."""
    levels = {"lower_edge": knee.bottom, "middle": 0.0, "upper_edge": knee.top}
    for strip in side_strips(knee, tape):
        at = pull_place(knee, strip, tape)
        assert at.imag == pytest.approx(levels[tape.pull_at or "middle"], abs=1.5)
        assert (at.real > 0) == strip.inner
        assert not inside(at, knee.kneecap.chords)
        for way in (pull_arrow(knee, strip, tape), draw_arrow(knee, strip, tape)):
            step = way.end - way.start
            assert step.imag > 8
            assert knee.on_skin(way.end)
            if tape.pull_towards in {"inner", "outer"}:
                side = 1 if tape.pull_towards == "inner" else -1
                assert step.real * side > 8
            near = min(abs(point - at) for point in way.chords)
            if not pulled_along(strip, tape) or way == draw_arrow(knee, strip, tape):
                assert near < 21


@given(knees(), PULLS)
@settings(max_examples=15, deadline=None)
def test_the_pull_of_the_plan_changes_no_strip_and_no_piece(knee: Knee, tape: TapePlan) -> None:
    plain = replace(tape, pull_at=None, pull_towards=None)
    for named, usual in zip(all_strips(knee, tape), all_strips(knee, plain), strict=True):
        assert named == usual
        if named.number > 2:
            assert pull_arrow(knee, named, tape) == pull_arrow(knee, usual, plain)


def test_a_plan_that_names_no_pull_draws_up_at_the_middle() -> None:
    knee, named = Knee(), TapePlan(when="always", highest=1, pull_at="middle", pull_towards="up")
    plain = replace(named, pull_at=None, pull_towards=None)
    for strip in side_strips(knee, plain):
        assert pull_arrow(knee, strip, plain) == pull_arrow(knee, strip, named)
        assert draw_arrow(knee, strip, plain) == draw_arrow(knee, strip, named)


def arrow_line(drawing: Drawing) -> Path:
    """The line of the one arrow of a drawing."""
    (line,) = (s.path for s in drawing.shapes if s.role == "arrow" and s.weight == "heavy")
    return line


@pytest.mark.parametrize("moment", ["draw", "lay"])
@pytest.mark.parametrize("towards", ["inner", "outer"])
@pytest.mark.parametrize("step", [1, 2])
@pytest.mark.parametrize("viewpoint", ["own", "helper"])
@pytest.mark.parametrize("side", ["left", "right"])
def test_inner_stays_inner_on_both_knees_from_both_sides(
    side: Side, viewpoint: Viewpoint, step: int, towards: str, moment: TapeMoment
) -> None:
    tape = TapePlan(
        when="always", highest=1, width_mm=25, anchor_mm=20.0, pull_at="upper_edge",
        pull_towards="inner" if towards == "inner" else "outer",
    )  # fmt: skip
    drawing = tape_picture(plan(side, tape=tape), side, 1, viewpoint, step, moment)
    line, words = arrow_line(drawing), {said_words(w.what): w.at for w in drawing.words}
    step_on_page = line.end - line.start
    assert (step_on_page.real > 0) == (words[towards].real > 0)
    assert (step_on_page.imag > 0) == (words["hip"].imag > words["foot"].imag)
    assert f"up and to the {towards} side at the upper edge" in said_words(drawing.description)


def test_each_moment_of_a_strip_shows_what_is_done_then() -> None:
    """First end, guided, skin drawn by finger pads, laid down; what is to come is broken."""
    found = {
        moment: tape_picture(plan(), "right", 1, "own", 1, moment)
        for moment in ("anchor", "guide", "draw", "lay", "rub")
    }
    laid = {
        moment: measured_length(path_of(svg_text(drawing, said_words), "strip-1-path"))
        for moment, drawing in found.items()
    }
    assert laid["anchor"] < laid["guide"] < laid["draw"] < laid["lay"] == laid["rub"]
    for moment, drawing in found.items():
        to_come = any(s.role == "tape" and s.dashed for s in drawing.shapes)
        assert to_come == (moment in {"anchor", "guide", "draw"})
        assert any(s.role == "hand" for s in drawing.shapes) == (moment in {"draw", "rub"})
        assert any(s.role == "arrow" for s in drawing.shapes) == (moment != "anchor")


def test_the_skin_is_drawn_a_little_way_and_no_strip_moves() -> None:
    start, end = (tape_picture(plan(), "right", 1, "helper", 1, "draw", t) for t in (0.0, 1.0))
    hands = [[s.path.start for s in d.shapes if s.role == "hand"] for d in (start, end)]
    moved = {round(abs(b - a), 3) for a, b in zip(*hands, strict=True)}
    assert moved == {DRAWN_MM}
    assert end == tape_picture(plan(), "right", 1, "helper", 1, "draw")
    rest = [[s for s in d.items if s.role != "hand"] for d in (start, end)]
    assert rest[0] == rest[1]
