"""The knee's geometry: where its places are, and which knee is drawn for which measures."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.care.catalogue import Landmark
from companion.picture.curves import ellipse, inside, straight, through
from companion.picture.knee import Knee, knee_from
from tests.picture.made import knees, measures

LANDMARKS: tuple[Landmark, ...] = (
    "inner_edge", "outer_edge", "upper_edge", "lower_edge", "tendon", "bony_bump",
    "inner_hollow", "outer_hollow", "thigh_inner", "thigh_outer",
)  # fmt: skip


def test_the_length_of_a_circle_is_what_it_should_be() -> None:
    """Circumference 2 pi r; the four-curve circle is true to 0.03 % (D)."""
    assert ellipse(3 + 4j, 10, 10).length_mm == pytest.approx(62.8318, rel=1e-3)


def test_a_straight_path_is_measured_and_walked_along() -> None:
    path = straight([0j, 30 + 40j])
    assert path.length_mm == pytest.approx(50)
    assert path.at(25) == pytest.approx(15 + 20j)
    assert path.direction(10) == pytest.approx(0.6 + 0.8j)
    assert path.between(10, 30).length_mm == pytest.approx(20)


def test_a_path_through_points_goes_through_them() -> None:
    points = [0j, 10 + 5j, 20 - 3j, 35 + 1j]
    assert list(through(points).points[::3]) == points


@given(knees())
def test_the_measure_is_as_long_in_the_drawing(knee: Knee) -> None:
    """Bump to upper edge, beyond the extremes of people (fact: bump_to_upper_edge)."""
    bump, upper = knee.landmark("bony_bump"), knee.landmark("upper_edge")
    assert abs(upper - bump) == pytest.approx(knee.measure_mm)
    rim = [point.real for point in knee.kneecap.chords]
    assert max(rim) - min(rim) == pytest.approx(knee.width_mm, rel=0.02)
    ends = [point.imag for point in knee.kneecap.chords]
    assert max(ends) - min(ends) == pytest.approx(knee.height_mm, rel=0.04)


@given(knees())
def test_places_lie_where_the_trade_has_them(knee: Knee) -> None:
    """Down the leg: upper edge, lower edge, tendon, bump (anatomy; C)."""
    order: tuple[Landmark, ...] = ("upper_edge", "lower_edge", "tendon", "bony_bump")
    levels = [knee.landmark(name).imag for name in order]
    assert levels == sorted(levels, reverse=True)
    for name in LANDMARKS:
        place = knee.landmark(name)
        if "inner" in name:
            assert place.real > 0
        if "outer" in name:
            assert place.real < 0


@given(knees(), st.floats(0, 360), st.floats(0, 12))
def test_the_rim_lies_round_the_kneecap(knee: Knee, degrees: float, off: float) -> None:
    assert not inside(knee.kneecap_rim(degrees, off + 0.5), knee.kneecap.chords)
    assert inside(knee.kneecap_rim(degrees, -0.5), knee.kneecap.chords)


@pytest.mark.parametrize(
    ("length", "width", "height", "drawn_as"),
    [
        (86.0, 42.0, 42.0, "measured"),
        (86.0, None, None, "measured"),
        (None, 42.0, 42.0, "missing"),
        (40.0, None, None, "impossible"),
        (86.0, 20.0, 42.0, "impossible"),
        (86.0, 42.0, 80.0, "impossible"),
        (160.0, 42.0, 40.0, "impossible"),  # tendon 3.0 times the kneecap; at most 1.6 (F)
        (60.0, 42.0, 40.0, "impossible"),  # tendon 0.5 times the kneecap; at least 0.6 (F)
        (250.0, None, None, "impossible"),
    ],
)
def test_which_knee_is_drawn(
    length: float | None, width: float | None, height: float | None, drawn_as: str
) -> None:
    knee = knee_from(measures("right", length, width, height))
    assert knee.drawn_as == drawn_as
    if drawn_as != "measured":
        assert (knee.width_mm, knee.height_mm, knee.measure_mm) == (43, 43, 89)


def test_no_measures_at_all_draw_the_typical_knee() -> None:
    assert knee_from(None).drawn_as == "missing"


def test_the_build_is_drawn_with_and_without_measures() -> None:
    """Slim, usual, broad: the same kneecap in a wider leg; and the typical knee still says so."""
    for length, drawn_as in ((86.0, "measured"), (None, "missing"), (40.0, "impossible")):
        usual = knee_from(measures("right", length))
        slim, same, broad = (
            knee_from(replace(measures("right", length), build=build))
            for build in ("slim", "usual", "broad")
        )
        assert {knee.drawn_as for knee in (usual, slim, same, broad)} == {drawn_as}
        assert same == usual
        assert slim.kneecap == usual.kneecap == broad.kneecap
        assert [one.build for one in (slim, same, broad)] == ["slim", "usual", "broad"]


@pytest.mark.parametrize("width", [32.0, 43.0, 54.0])
@pytest.mark.parametrize(("height", "ratio"), [(30, 0.65), (30, 1.55), (52, 0.65), (52, 1.55)])
def test_zones_do_not_overlap(width: float, height: float, ratio: float) -> None:
    knee = Knee(width, height, height * (1 + ratio))
    assert set(knee.zones) == {
        "above", "below", "inner_edge", "outer_edge", "behind_kneecap", "inner_joint_line",
        "outer_joint_line",
    }  # fmt: skip
    for name, area in knee.zones.items():
        for other, ring in knee.zones.items():
            if other != name:
                assert not any(inside(point, ring.chords) for point in area.chords), (name, other)
