"""Strips on the knee: their length, their place, what they never cover."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.care.catalogue import CutMoment, TapeMoment
from companion.care.coded import coded
from companion.care.records import Build, CutLengths, LengthFrom, Side, TapePlan
from companion.picture.board import mirrored, strips_shapes, taped
from companion.picture.curves import Path, inside
from companion.picture.drawing import Drawing
from companion.picture.flat import flat_picture
from companion.picture.knee import Knee, knee_from
from companion.picture.skin import Skin
from companion.picture.tape import (
    Strip,
    band,
    laid_mm,
    lay,
    pull_arrow,
    pull_place,
    short_piece_length,
    short_pieces,
    side_strip_length,
    side_strips,
)
from companion.picture.tape_moments import MOMENTS
from companion.picture.views import View, Viewpoint
from companion.presentation.language.said import said_words
from companion.presentation.language.words import step_words
from companion.presentation.view.figures import hands, stored_knee, tape_picture
from tests.care.content import CATALOGUE
from tests.picture.made import knees, measures, plan, tapes


def all_strips(knee: Knee, tape: TapePlan) -> list[Strip]:
    """Both side strips and both short pieces."""
    return [*side_strips(knee, tape), *short_pieces(knee, tape)]


SKINS: list[tuple[Viewpoint, str, str]] = [
    (seen, sex, build)
    for seen in get_args(Viewpoint)
    for sex in ("woman", "man")
    for build in get_args(Build)
]


def skin_for(one: tuple[Viewpoint, str, str]) -> Skin:
    """One of the stored maps."""
    return stored_knee(*one).skin


@settings(max_examples=6, deadline=None)
@given(knee=knees(), tape=tapes(), one=st.sampled_from(SKINS))
def test_a_strip_is_as_long_and_as_wide_on_the_skin_as_it_is(
    knee: Knee, tape: TapePlan, one: tuple[Viewpoint, str, str]
) -> None:
    """Within 3 %, measured along the net in space, on every body and from both views."""
    skin = skin_for(one)
    for strip in all_strips(knee, tape):
        for long_mm in (strip.path_mm, strip.path_mm * 1.2):
            laid = lay(skin, strip, long_mm)
            assert skin.length_mm(laid.middle) == pytest.approx(long_mm, rel=0.03)
        for stop in (0.3, 0.5, 0.7):
            at = laid.place(laid.long_mm * stop)
            way = laid.place(laid.long_mm * stop + 1) - at
            half = strip.width_mm / 2
            across = [skin.beside(at, way, half * k / 8) for k in range(-8, 9)]
            assert skin.length_mm(across) == pytest.approx(strip.width_mm, rel=0.03)


@pytest.mark.parametrize("one", SKINS)
def test_a_strip_turns_round_the_side_in_true_foreshortening(
    one: tuple[Viewpoint, str, str],
) -> None:
    """Seen from so far off, what is turned away by an angle is drawn between its cosine and its
    whole width (by geometry; 0.1 for perspective), never wider than it is."""
    skin, drawn = skin_for(one), []
    for strip in side_strips(Knee(), TapePlan(when="always", highest=2, width_mm=50)):
        laid = lay(skin, strip, strip.path_mm * 1.2)
        for along, across in product(range(1, 10), (-0.8, -0.4, 0.0, 0.4, 0.8)):
            stop = laid.long_mm * along / 10
            at, facing = laid.on_page(stop, across)
            beside, _ = laid.on_page(stop, across + 0.1)
            drawn.append((facing, abs(beside - at) / (0.1 * strip.width_mm / 2)))
    assert all(facing - 0.1 <= share <= 1.1 for facing, share in drawn)
    turned = [share for facing, share in drawn if facing < 0.5]
    assert turned
    assert min(turned) < 0.5


@settings(max_examples=8, deadline=None)
@given(knee=knees(), tape=tapes(), one=st.sampled_from(SKINS))
def test_no_strip_covers_the_kneecap(
    knee: Knee, tape: TapePlan, one: tuple[Viewpoint, str, str]
) -> None:
    """Beside, never on, the kneecap (fact: tape_placing): no point of it lies under a strip."""
    skin = skin_for(one)
    for strip in all_strips(knee, tape):
        ring = band(lay(skin, strip, strip.path_mm)).chords
        for share in (0.0, 0.5, 0.97):
            for angle in range(0, 360, 15):
                place = knee.kneecap_rim(angle) * share
                if skin.shown(place):
                    assert not inside(skin.on_page(place), ring), (strip.number, angle)


@pytest.mark.parametrize("length_from", ["as_cut", "as_measured", "path"])
def test_words_picture_and_length_agree(length_from: LengthFrom) -> None:
    """A strip lies in its cut length, stretched as planned; only one whose ends lie beyond the
    measured way begins on the foot side of the bump, and its words say so."""
    cut = CutLengths(side_strip_mm=95.0, short_piece_mm=50.0)
    knee, tape = knee_from(measures()), TapePlan(
        when="always", highest=2, width_mm=25, anchor_mm=20.0, length_from=length_from
    )  # fmt: skip
    length = side_strip_length(tape, measures(cut=cut), knee)
    strip = side_strips(knee, tape)[0]
    long_mm = laid_mm(strip, tape, length)
    assert length.slack_mm is not None
    between = length.slack_mm - 2 * strip.anchor_mm
    assert long_mm == pytest.approx(length.slack_mm + 0.1 * between, abs=0.1)
    begins = strip.middle.start.imag
    step = next(s for s in CATALOGUE.tape_steps.stages[0].steps if s.moment == "anchor")
    words = step_words(step, plan("right", tape=tape), lambda step: step.person)
    if length_from == "path":
        assert begins < knee.bump - 15
        assert "foot side of the bony bump" in words
    else:
        assert begins == pytest.approx(knee.bump, abs=8)
        assert "on the bony bump" in words


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
    assert low.imag <= knee.bump + 1.5
    if knee.bottom - knee.bump < tape.width_mm / 2 + 5:
        return  # half a broad strip has no room between bump and kneecap: it begins lower
    assert low.imag == pytest.approx(knee.bump, abs=1.5)
    assert high.imag == pytest.approx(knee.top, abs=1.5)
    # Beside the kneecap is longer than straight up, and not by half.
    assert knee.measure_mm < strip.middle.length_mm
    if tape.length_from != "path":
        assert strip.path_mm < 1.5 * knee.measure_mm


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
    usual = all_strips(replace(knee, build="usual"), tape)
    for build in get_args(Build):
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
        way = pull_arrow(strip, tape, knee)
        step = way.end - way.start
        assert step.imag > 8
        if tape.pull_towards in {"inner", "outer"}:
            side = 1 if tape.pull_towards == "inner" else -1
            assert step.real * side > 8
        assert min(abs(point - at) for point in way.chords) < 5


@given(knees(), PULLS)
@settings(max_examples=15, deadline=None)
def test_the_pull_of_the_plan_changes_no_strip_and_no_piece(knee: Knee, tape: TapePlan) -> None:
    plain = replace(tape, pull_at=None, pull_towards=None)
    for named, usual in zip(all_strips(knee, tape), all_strips(knee, plain), strict=True):
        assert named == usual


def test_a_plan_that_names_no_pull_draws_up_at_the_middle() -> None:
    knee, named = Knee(), TapePlan(when="always", highest=1, pull_at="middle", pull_towards="up")
    plain = replace(named, pull_at=None, pull_towards=None)
    for strip in side_strips(knee, plain):
        assert pull_arrow(strip, plain, knee) == pull_arrow(strip, named, knee)


def arrow_line(drawing: Drawing) -> Path:
    """The line of the one arrow of a drawing."""
    (line,) = (s.path for s in drawing.shapes if s.role == "arrow" and s.weight == "heavy")
    return line


@pytest.mark.parametrize("moment", ["draw"])
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
    assert f"towards the hip and the {towards} side at the upper edge" in said_words(
        drawing.description
    )


@pytest.mark.parametrize(("seen", "own"), [("own", "handL"), ("helper", "handR")])
def test_each_moment_of_a_strip_shows_what_is_done_then(seen: Viewpoint, own: str) -> None:
    """First end, skin drawn, laid, last end; what is to come is a broken line, and the hand on the
    strip's own side holds its free end."""
    for moment in MOMENTS:
        drawing = tape_picture(plan(), "right", 1, seen, 1, moment)
        tape = [s for s in drawing.shapes if s.role == "tape"]
        assert any(s.dashed for s in tape) == (moment != "end")
        free = any(s.name == "strip-1-free" for s in tape)
        assert free == (moment in {"anchor", "draw"})
        hands = {s.name for s in drawing.shapes if s.role == "hand" and s.fill != "none"}
        wanted = {own} if moment in {"lay", "end"} else {"handL", "handR"}
        assert {name for name in hands if name and name.startswith("hand")} == wanted
        assert any(s.role == "arrow" for s in drawing.shapes) == (moment in {"draw", "lay"})


@pytest.mark.parametrize("length_from", ["as_cut", "as_measured", "path"])
@pytest.mark.parametrize("viewpoint", ["own", "helper"])
@pytest.mark.parametrize("side", ["left", "right"])
def test_each_way_of_measuring_is_drawn_as_long_as_it_is_said(
    side: Side, viewpoint: Viewpoint, length_from: LengthFrom
) -> None:
    """The millimetres beside a strip are its length off its paper, the strip beside them covers
    that and its stretch, and it begins and ends where its words say."""
    cut = CutLengths(side_strip_mm=95.0, short_piece_mm=50.0)
    own, tape = measures(side, cut=cut), TapePlan(
        when="always", highest=2, width_mm=25, anchor_mm=20.0, length_from=length_from
    )  # fmt: skip
    made, knee = plan(side, (own,), tape), knee_from(own)
    length = side_strip_length(tape, own, knee)
    assert length.slack_mm is not None
    picture = tape_picture(made, side, 1, viewpoint, 1, "end")
    words = {said_words(w.what) for w in picture.words}
    assert f"{round(length.slack_mm)} mm\noff paper" in words
    on = taped(knee, tape, own, stored_knee(viewpoint, "woman", "usual"), 1).strip(1)
    assert on.slack_mm == length.slack_mm
    between = length.slack_mm - 2 * on.strip.anchor_mm
    assert on.long_mm == pytest.approx(length.slack_mm + 0.1 * between, abs=0.6)
    begins, ends = on.place(0.0).imag, on.place(on.long_mm).imag
    beyond = 20.0 if length_from == "path" else 0.0
    piece = tape_picture(made, side, 2, viewpoint, 3, "end")
    short = short_piece_length(tape, own, knee).slack_mm
    assert short is not None
    assert f"{round(short)} mm\noff paper" in {said_words(w.what) for w in piece.words}
    assert begins == pytest.approx(knee.bump - beyond, abs=8)
    if length_from == "path":
        assert ends == pytest.approx(knee.top + beyond, abs=8)
    else:  # as long as it was cut: it ends about the upper edge, or short of it
        assert abs(ends - knee.top) < 25


@pytest.mark.parametrize("side", ["left", "right"])
@pytest.mark.parametrize("one", SKINS)
def test_inner_is_inner_on_every_body(side: Side, one: tuple[Viewpoint, str, str]) -> None:
    """The strip of the inner side lies where the picture says that the inner side is."""
    bare = stored_knee(*one)
    on = taped(Knee(), TapePlan(when="always", highest=1, width_mm=25), None, bare, 1)
    inner = View(side, one[0]).inner
    middles = []
    for number in (1, 2):
        shapes = mirrored(strips_shapes(on, (number,)), side)
        (area,) = (s.path for s in shapes if s.name == f"strip-{number}")
        middles.append(sum(area.chords) / len(area.chords))
    assert (middles[0] - middles[1]).real * inner > 20


@pytest.mark.parametrize("moment", get_args(CutMoment))
def test_a_piece_on_its_paper_has_its_proportions_and_its_length(moment: CutMoment) -> None:
    drawing = flat_picture(moment, 200.0, 50.0, coded("drawn_number", number=4), hands("own"))
    (strip,) = (s.path for s in drawing.shapes if s.role == "tape" and s.fill == "tape")
    wide = max(p.real for p in strip.chords) - min(p.real for p in strip.chords)
    high = max(p.imag for p in strip.chords) - min(p.imag for p in strip.chords)
    assert wide / high == pytest.approx(4.0, rel=0.01)
    assert ("200 mm" in {said_words(w.what) for w in drawing.words}) == (moment == "cut")
    unknown = flat_picture(moment, None, 50.0, coded("drawn_mm", mm=1), hands("own"))
    assert len(unknown.words) == 1
