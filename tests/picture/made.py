"""Knees, tapes and plans for tests, and an SVG reader of our own to measure what was written."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import get_args
from xml.etree import ElementTree as ET

from hypothesis import strategies as st

from companion.care.records import (
    Build,
    CutLengths,
    KneeMeasures,
    Plan,
    PlanSide,
    Side,
    TapePlan,
    Technique,
)
from companion.picture.knee import Knee, knee_from
from tests.builders import small_plan
from tests.care.content import CATALOGUE

SVG = "{http://www.w3.org/2000/svg}"
DAY = date(2026, 11, 25)


def measures(
    side: Side = "right",
    length: float | None = 86.0,
    width: float | None = 42.0,
    height: float | None = 42.0,
    cut: CutLengths | None = None,
) -> KneeMeasures:
    """Measures of one knee."""
    return KneeMeasures(
        side=side,
        bump_to_upper_edge_mm=length,
        kneecap_width_mm=width,
        kneecap_height_mm=height,
        cut=cut,
    )


def plan(
    side: PlanSide = "right",
    knees: tuple[KneeMeasures, ...] | None = None,
    tape: TapePlan | None = None,
    techniques: tuple[str, ...] | None = None,
) -> Plan:
    """A plan with every technique of the catalogue and tape up to stage 2."""
    names = techniques
    if names is None:
        names = tuple(sheet.id for sheet in CATALOGUE.techniques)
    main: Side = "left" if side == "left" else "right"
    if knees is None:
        knees = (measures(main),)
    return small_plan(
        written_on=DAY,
        review_on=date(2027, 1, 20),
        side=side,
        main_side=main,
        techniques=tuple(Technique(technique=name, seconds=30) for name in names),
        tape=tape or TapePlan(when="if_missed", highest=2, width_mm=25, anchor_mm=20.0),
        knees=knees,
    )


def mirrored_plan(plan: Plan) -> Plan:
    """The same plan for the other knee."""
    other: dict[str, Side] = {"left": "right", "right": "left"}
    return replace(
        plan,
        side=other[plan.main_side],
        main_side=other[plan.main_side],
        knees=tuple(replace(knee, side=other[knee.side]) for knee in plan.knees),
    )


@st.composite
def knees(draw: st.DrawFn) -> Knee:
    """Knees that can be: tendon over kneecap within 0.65-1.55 (Insall and Salvati; F)."""
    height = draw(st.floats(30, 52))
    ratio = draw(st.floats(0.65, 1.55))
    width = draw(st.floats(32, 54))
    build = draw(st.sampled_from((None, *get_args(Build))))
    made = measures("right", height * (1 + ratio), width, height)
    knee = knee_from(replace(made, build=build))
    assert knee.drawn_as == "measured"
    return knee


@st.composite
def tapes(draw: st.DrawFn) -> TapePlan:
    """Tapes of usual widths, in all three ways to a length."""
    return TapePlan(
        when="always",
        highest=2,
        width_mm=draw(st.integers(15, 50)),
        anchor_mm=draw(st.floats(15, 60)),
        length_from=draw(st.sampled_from(("as_cut", "as_measured", "path"))),
    )


def path_of(svg: str, name: str) -> list[complex]:
    """The points of the path with this id, read from an SVG text."""
    for element in ET.fromstring(svg).iter(f"{SVG}path"):
        if element.get("id") == name:
            numbers = [float(n) for n in re.findall(r"-?\d+\.?\d*", element.attrib["d"])]
            return [complex(x, y) for x, y in zip(numbers[::2], numbers[1::2], strict=True)]
    raise AssertionError(f"no path {name}")


def measured_length(points: list[complex], steps: int = 400) -> float:
    """Length of a chain of cubic Bezier curves by many short chords."""
    total = 0.0
    for i in range(0, len(points) - 3, 3):
        a, b, c, d = points[i : i + 4]
        last = a
        for step in range(1, steps + 1):
            t = step / steps
            s = 1 - t
            here = s**3 * a + 3 * s**2 * t * b + 3 * s * t**2 * c + t**3 * d
            total += abs(here - last)
            last = here
    return total


def written(folder: Path) -> set[str]:
    """Names of the files in a folder."""
    return {path.name for path in folder.iterdir()}
