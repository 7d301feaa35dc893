"""Whole pictures: a technique, a tape stage, the sore zones, a landmark, on this person's knee."""

from __future__ import annotations

from collections.abc import Sequence

from companion.care.catalogue import TechniqueSheet
from companion.care.records import KneeMeasures, Plan, Side
from companion.picture.drawing import Drawing, Shape, Words
from companion.picture.hands import hand_shapes
from companion.picture.knee import Knee, knee_from
from companion.picture.leg import (
    AROUND_THE_KNEE,
    DRAWN_WORDS,
    KNEE_WORDS,
    VIEW_WORDS,
    WITH_THE_THIGH,
    Stretch,
    arrow,
    cloth_shapes,
    frame_of,
    header,
    leg_shapes,
    side_words,
)
from companion.picture.motions import main_step, movement
from companion.picture.tape import Strip, number_shapes, short_pieces, side_strips, strip_shapes
from companion.picture.views import View, Viewpoint


def measures_of(plan: Plan, side: Side) -> KneeMeasures | None:
    """The plan's measures of this knee; never those of the other one."""
    return next((knee for knee in plan.knees if knee.side == side), None)


def knee_of(plan: Plan, side: Side) -> Knee:
    """This knee as it is drawn."""
    return knee_from(measures_of(plan, side))


def technique_picture(
    sheet: TechniqueSheet, plan: Plan, side: Side, viewpoint: Viewpoint, frame: float = 0.0
) -> Drawing:
    """The hands of one technique at a moment: `frame` 0 at the start, 1 at the end.

    Raises ValueError for a technique whose steps touch no landmark.
    """
    knee, view = knee_of(plan, side), View(side, viewpoint)
    stretch = WITH_THE_THIGH if sheet.motion == "stroke" else AROUND_THE_KNEE
    moves = movement(knee, view, sheet.contact, sheet.motion, main_step(sheet).anchors)
    shift = moves.kneecap_shift(frame)
    items: list[Shape | Words] = [*leg_shapes(knee, view, kneecap_shift=shift)]
    items += cloth_shapes(knee, view, stretch)
    for path in moves.rings:
        items += arrow(path)
    items += moves.skin_fold(frame)
    for hand in moves.hands(frame):
        items += hand_shapes(hand)
    for path in moves.arrows:
        items += arrow(path, both=moves.both_ways)
    return _framed(knee, view, stretch, items, sheet.title)


def _framed(
    knee: Knee,
    view: View,
    stretch: Stretch,
    items: list[Shape | Words],
    what: str,
    extra: str = "",
) -> Drawing:
    frame = frame_of(knee, view, stretch)
    note = DRAWN_WORDS[knee.drawn_as]
    parts = [
        *items,
        *side_words(knee, view, frame),
        *header(view, frame, note, extra),
    ]
    told = [f"{KNEE_WORDS[view.side]}, {VIEW_WORDS[view.viewpoint]}", what, extra, note]
    return Drawing(frame, tuple(parts), ". ".join(text for text in told if text) + ".")


def tape_picture(
    plan: Plan, side: Side, stage: int, viewpoint: Viewpoint, step: int | None = None
) -> Drawing:
    """The tape of a stage on this knee; with `step` (1 to 4) only what is on so far, the strip of
    that number on top. Raises ValueError for a stage without tape or a number it does not have."""
    knee, view = knee_of(plan, side), View(side, viewpoint)
    if stage not in (1, 2):
        raise ValueError(f"stage {stage} has no tape")
    strips: list[Strip] = [*side_strips(knee, plan.tape)]
    if stage == 2:
        strips += short_pieces(knee, plan.tape)
    if step is not None and not 1 <= step <= len(strips):
        raise ValueError(f"stage {stage} has no strip {step}")
    shown = strips if step is None else strips[:step]
    items: list[Shape | Words] = [*leg_shapes(knee, view)]
    for strip in shown:
        new = strip.number > 2 or stage == 1 if step is None else strip.number == step
        items += strip_shapes(knee, view, strip, pull=new)
    stretch = stretch_for(knee, strips)
    items += cloth_shapes(knee, view, stretch)
    for strip in shown:
        items += number_shapes(view, strip, number_place(strip))
    what = "Side strips" if stage == 1 else "Side strips and short pieces"
    if step is not None:
        what = f"Strip {step}" if step <= 2 else f"Short piece {step}"
    return _framed(knee, view, stretch, items, what, bend_words(plan.tape.knee_bend_degrees))


def stretch_for(knee: Knee, strips: Sequence[Strip]) -> Stretch:
    """As much of the leg as these strips need."""
    points = [point for strip in strips for point in strip.middle.chords]
    above = max(point.imag for point in points) - knee.top + 20
    below = knee.bump - min(point.imag for point in points) + 20
    return Stretch(max(above, AROUND_THE_KNEE.above_mm), max(below, AROUND_THE_KNEE.below_mm))


def number_place(strip: Strip) -> float:
    """Where along a strip its number stands: a side strip's on the far anchor, a piece's on the
    near one, so that no number lies under another strip."""
    if strip.number > 2:
        return min(max(strip.anchor_mm / 2, 9.0), 12.0)
    return strip.path_mm - min(max(strip.anchor_mm / 2, 10.0), 14.0)


def bend_words(degrees: int) -> str:
    """How far the knee is bent while the tape goes on."""
    return "Leg straight" if degrees == 0 else f"Knee bent {degrees} degrees"
