"""Whole pictures: a technique, a tape stage, the sore zones, a landmark, on this person's knee."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from functools import reduce
from typing import assert_never

from companion.care.catalogue import Catalogue, Landmark, TapeMoment, TechniqueSheet
from companion.care.coded import Coded, ContentWords, coded
from companion.care.records import KneeMeasures, Plan, PullAt, PullTowards, Side, TapePlan, Zone
from companion.picture.curves import Path, Point, ellipse, inside, straight
from companion.picture.drawing import Drawing, Shape, Words, described
from companion.picture.hands import Hand, hand_shapes
from companion.picture.knee import Knee, knee_from
from companion.picture.leg import (
    AROUND_THE_KNEE,
    KNEES,
    NOTES,
    SEEN,
    SMALL_WORDS_MM,
    WITH_THE_THIGH,
    Stretch,
    arrow,
    cloth_shapes,
    end_words,
    frame_of,
    header,
    leg_shapes,
    side_words,
)
from companion.picture.motions import hands_at, main_step, movement, pointing_hand
from companion.picture.profile import posture_picture
from companion.picture.tape import (
    Strip,
    draw_arrow,
    number_shapes,
    pull_arrow,
    pull_hand,
    pull_place,
    pulled_along,
    short_pieces,
    side_strips,
    strip_shapes,
)
from companion.picture.views import View, Viewpoint

ZONES_LEG = Stretch(above_mm=86.0, below_mm=44.0)
COUNTED_LEG = Stretch(above_mm=56.0, below_mm=14.0)
"""Less of it, for a map that stands small beside others."""
COUNT_MM = 15.0
FROM_THE_FRONT = coded("drawn_front")
"""For a clinic's eyes, which are no helper's."""
DOTS_MM = 6.5
MEASURED_FROM: tuple[Landmark, Landmark] = ("bony_bump", "upper_edge")
"""The two ends of what is measured."""
STRIPS_OF_STAGE: dict[int, tuple[int, ...]] = {1: (1, 2), 2: (3, 4)}
"""The numbers of the strips each stage adds."""
MOMENTS_OF_STAGE: dict[int, tuple[TapeMoment, ...]] = {
    1: ("anchor", "guide", "draw"),
    2: ("anchor",),
}
"""What is done with each of its strips before it lies whole."""
PULL_WAYS: dict[PullTowards, Coded] = {
    "up": coded("pull_up"),
    "inner": coded("pull_up_inner"),
    "outer": coded("pull_up_outer"),
}
PULL_PLACES: dict[PullAt, Coded] = {
    "lower_edge": coded("pull_at_lower_edge"),
    "middle": coded("pull_at_middle"),
    "upper_edge": coded("pull_at_upper_edge"),
}
LEAST_LAID_MM = 16.0
CLEAR_OF_FINGERS_MM = 14.0
ZONES: dict[Zone, Coded] = {
    "above": coded("zone_above"),
    "below": coded("zone_below"),
    "inner_edge": coded("zone_inner_edge"),
    "outer_edge": coded("zone_outer_edge"),
    "behind_kneecap": coded("zone_behind_kneecap"),
    "inner_joint_line": coded("zone_inner_joint_line"),
    "outer_joint_line": coded("zone_outer_joint_line"),
    "back_of_knee": coded("zone_back_of_knee"),
    "elsewhere": coded("zone_elsewhere"),
}
LANDMARKS: dict[Landmark, Coded] = {
    "inner_edge": coded("landmark_inner_edge"),
    "outer_edge": coded("landmark_outer_edge"),
    "upper_edge": coded("landmark_upper_edge"),
    "lower_edge": coded("landmark_lower_edge"),
    "tendon": coded("landmark_tendon"),
    "bony_bump": coded("landmark_bony_bump"),
    "inner_hollow": coded("landmark_inner_hollow"),
    "outer_hollow": coded("landmark_outer_hollow"),
    "thigh_inner": coded("landmark_thigh_inner"),
    "thigh_outer": coded("landmark_thigh_outer"),
}


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
    return _framed(
        knee, view, stretch, items, coded("drawn_title", title=ContentWords(sheet.title))
    )


def _framed(
    knee: Knee,
    view: View,
    stretch: Stretch,
    items: list[Shape | Words],
    what: Coded,
    *extra: Coded,
    seen: Coded | None = None,
) -> Drawing:
    frame = frame_of(knee, view, stretch)
    note = NOTES[knee.drawn_as]
    said = extra if note is None else (*extra, note)
    parts = [
        *items,
        *end_words(knee, view, stretch),
        *side_words(knee, view, frame),
        *header(view, frame, *said, seen=seen),
    ]
    lead = coded("drawn_seen", knee=KNEES[view.side], seen=seen or SEEN[view.viewpoint])
    return Drawing(frame, tuple(parts), described((lead, what, *said)))


def tape_picture(
    plan: Plan,
    side: Side,
    stage: int,
    viewpoint: Viewpoint,
    step: int | None = None,
    moment: TapeMoment = "lay",
    time: float = 1.0,
) -> Drawing:
    """The tape of a stage on this knee; with `step` (1 to 4) only what is on so far, the strip of
    that number on top, at one moment of it. `time` is how far the skin is drawn, 0 to 1.

    Raises ValueError for a stage without tape or a number it does not have.
    """
    knee, view = knee_of(plan, side), View(side, viewpoint)
    if stage not in STRIPS_OF_STAGE:
        raise ValueError(f"stage {stage} has no tape")
    strips: list[Strip] = [*side_strips(knee, plan.tape)]
    if stage == 2:
        strips += short_pieces(knee, plan.tape)
    if step is not None and not 1 <= step <= len(strips):
        raise ValueError(f"stage {stage} has no strip {step}")
    shown = strips if step is None else strips[:step]
    items: list[Shape | Words] = [*leg_shapes(knee, view)]
    arrows: list[Path] = []
    hands: list[Hand] = []
    places: list[tuple[Strip, float]] = []
    for strip in shown:
        new = strip.number > 2 or stage == 1 if step is None else strip.number == step
        laid_mm = _laid_mm(knee, strip, plan.tape, moment) if strip.number == step else None
        items += strip_shapes(knee, view, strip, laid_mm=laid_mm)
        if new and moment == "guide":
            arrows.append(strip.middle.between(strip.anchor_mm, strip.path_mm - 4.0, 5.0))
        elif new and moment == "draw":
            arrows.append(draw_arrow(knee, strip, plan.tape))
            hands.append(pull_hand(knee, view, strip, plan.tape, time))
        elif new and moment == "lay":
            arrows.append(pull_arrow(knee, strip, plan.tape))
        places.append((strip, number_place(strip, plan.tape, pulled=new, laid_mm=laid_mm)))
    stretch = stretch_for(knee, strips)
    items += cloth_shapes(knee, view, stretch)
    numbers = [shape for strip, at in places for shape in number_shapes(view, strip, at)]
    if moment == "rub":
        # The flat hand lies on everything that is on, its numbers too.
        items, numbers = [*items, *numbers], []
        rubbed = strips[1].middle
        hands += hands_at(view, "flat_hand", view.to_page(rubbed.share(0.45)), rubbed)
        arrows.append(rubbed.between(rubbed.length_mm * 0.2, rubbed.length_mm * 0.8, 5.0))
    for hand in hands:
        items += hand_shapes(hand)
    for path in arrows:
        head_mm = 8.5 if moment == "lay" else 10.5
        items += arrow(view.path(path), head_mm=head_mm, both=moment == "rub")
    items += numbers
    told = _at_moment(_strips(stage, step), moment)
    if not pulled_along(shown[-1], plan.tape) and moment in {"draw", "lay"}:
        told = coded("drawn_then", first=told, then=_pull(plan.tape))
    return _framed(knee, view, stretch, items, told, _bend(plan.tape.knee_bend_degrees))


def _strips(stage: int, step: int | None) -> Coded:
    if step is None:
        return coded("drawn_side_strips") if stage == 1 else coded("drawn_side_strips_and_pieces")
    return coded("drawn_strip", number=step) if step <= 2 else coded("drawn_piece", number=step)


def _at_moment(strips: Coded, moment: TapeMoment) -> Coded:
    match moment:
        case "anchor":
            return coded("drawn_anchor", strips=strips)
        case "guide":
            return coded("drawn_guide", strips=strips)
        case "draw":
            return coded("drawn_draw", strips=strips)
        case "rub":
            return coded("drawn_rub", strips=strips)
        case "lay":
            return strips
        case _:
            assert_never(moment)


def _laid_mm(knee: Knee, strip: Strip, tape: TapePlan, moment: TapeMoment) -> float | None:
    """How much of a strip is on the skin at a moment; None when all of it is."""
    if moment == "anchor":
        return max(strip.anchor_mm, LEAST_LAID_MM)
    if moment == "guide":
        return max(strip.anchor_mm, strip.path_mm * 0.5)
    if moment == "draw":
        at = strip.middle.distance_to(pull_place(knee, strip, tape))
        return max(strip.anchor_mm, LEAST_LAID_MM, at - CLEAR_OF_FINGERS_MM)
    return None


def _pull(tape: TapePlan) -> Coded:
    """Where the skin is drawn and which way, as the plan says."""
    towards, at = tape.pull_towards or "up", tape.pull_at or "middle"
    return coded("drawn_pull", way=PULL_WAYS[towards], place=PULL_PLACES[at])


def stretch_for(knee: Knee, strips: Sequence[Strip]) -> Stretch:
    """As much of the leg as these strips need."""
    points = [point for strip in strips for point in strip.middle.chords]
    above = max(point.imag for point in points) - knee.top + 20
    below = knee.bump - min(point.imag for point in points) + 20
    return Stretch(max(above, AROUND_THE_KNEE.above_mm), max(below, AROUND_THE_KNEE.below_mm))


def number_place(
    strip: Strip, tape: TapePlan, *, pulled: bool = True, laid_mm: float | None = None
) -> float:
    """Where along a strip its number stands: a side strip's on the far anchor, a piece's on the
    near one, so that no number lies under another strip or under the arrow of the pull."""
    if strip.number > 2 or laid_mm is not None:
        return min(max(strip.anchor_mm / 2, 9.0), 12.0)
    if pulled and not pulled_along(strip, tape) and tape.pull_at != "lower_edge":
        return min(strip.anchor_mm + 12.0, strip.path_mm * 0.42)
    return strip.path_mm - min(max(strip.anchor_mm / 2, 10.0), 14.0)


def _bend(degrees: int) -> Coded:
    """How far the knee is bent while the tape goes on."""
    return coded("drawn_straight") if degrees == 0 else coded("drawn_bent", degrees=degrees)


def plan_pictures(plan: Plan, catalogue: Catalogue) -> Iterator[tuple[str, Drawing]]:
    """Every picture a plan asks for, each with its name: `right-own-glide_inner_edge-1`.

    For each knee how one sits; then for each viewpoint the plan's techniques at their start (1)
    and end (2), each tape stage up to the highest and each strip of it, and the measuring guide
    when there is tape.
    Raises KeyError for a technique the catalogue does not hold.
    """
    viewpoints: tuple[Viewpoint, ...] = ("own", "helper")
    for side in plan.sides:
        sheets = [catalogue.technique(one.technique) for one in plan.techniques]
        for posture in dict.fromkeys(sheet.posture for sheet in sheets):
            yield f"{side}-{posture}", posture_picture(posture, side)
        if plan.tape.highest:
            bend = plan.tape.knee_bend_degrees
            yield f"{side}-for-tape", posture_picture("sitting_leg_straight", side, bend)
        for viewpoint in viewpoints:
            lead = f"{side}-{viewpoint}"
            for sheet in sheets:
                for number, frame in ((1, 0.0), (2, 1.0)):
                    picture = technique_picture(sheet, plan, side, viewpoint, frame)
                    yield f"{lead}-{sheet.id}-{number}", picture
            if plan.tape.highest:
                knee = knee_of(plan, side)
                for landmark in MEASURED_FROM:
                    found = landmark_picture(landmark, side, viewpoint, knee=knee)
                    yield f"{lead}-find-{landmark}", found
                yield f"{lead}-measure", measuring_picture(side, viewpoint, knee=knee)
            for stage in range(1, plan.tape.highest + 1):
                yield f"{lead}-tape-{stage}", tape_picture(plan, side, stage, viewpoint)
                for step in STRIPS_OF_STAGE[stage]:
                    picture = tape_picture(plan, side, stage, viewpoint, step)
                    yield f"{lead}-tape-{stage}-strip-{step}", picture
                    for moment in MOMENTS_OF_STAGE[stage]:
                        picture = tape_picture(plan, side, stage, viewpoint, step, moment)
                        yield f"{lead}-tape-{stage}-strip-{step}-{moment}", picture


def zones_picture(
    side: Side,
    viewpoint: Viewpoint,
    marked: Collection[Zone] = (),
    *,
    knee: Knee | None = None,
    counts: Mapping[Zone, int] | None = None,
    told: Coded | None = None,
) -> Drawing:
    """The sore zones of a knee, the marked ones dotted; with `counts`, how often each was named.

    `told` stands on the picture, such as what was counted. The back of the knee and "elsewhere"
    are told in words, since the front does not show them.
    Without `knee` the typical one is drawn, and nothing is said of that: zones need no measure.
    """
    drawn, view = knee or Knee(), View(side, viewpoint)
    stretch = ZONES_LEG if counts is None else COUNTED_LEG
    items: list[Shape | Words] = [
        *leg_shapes(drawn, view, details=False),
        *cloth_shapes(drawn, view, stretch),
    ]
    for zone, area in drawn.zones.items():
        path = view.path(area)
        if zone in marked:
            items.append(Shape("zone", path, "heavy", name=f"zone-{zone}"))
            items += [Shape("zone", ellipse(at, 1.7, 1.7), "none", "ink") for at in _dots(path)]
        elif (counts or {}).get(zone):
            items.append(Shape("zone", path, "heavy", name=f"zone-{zone}"))
        else:
            items.append(Shape("zone", path, "light", dashed=True, name=f"zone-{zone}"))
    for zone, count in (counts or {}).items():
        if zone in drawn.zones:
            at = zone_middle(drawn, view, zone)
            if zone in {"inner_edge", "outer_edge"}:  # beside the kneecap's line, not on it
                at = complex((drawn.half_width + 6) * (1 if at.real > 0 else -1), at.imag)
            items.append(
                Words(
                    coded("drawn_number", number=count),
                    at + COUNT_MM * 0.36j,
                    COUNT_MM,
                    bold=True,
                    halo=True,
                )
            )
    often = {
        zone: coded("drawn_zone_count", zone=ZONES[zone], count=n)
        for zone, n in (counts or {}).items()
        if n
    }
    said = {zone: often.get(zone, ZONES[zone]) for zone in ZONES if zone in marked or zone in often}
    named = [said[zone] for zone in drawn.zones if zone in said]
    beside = [words for zone, words in said.items() if zone not in drawn.zones]
    what = coded("drawn_zones")
    if named:
        what = coded("drawn_zones_named", zones=reduce(_listed, named))
    extra = [] if told is None else [told]
    if beside:
        extra.append(reduce(_listed_apart, beside))
    seen = FROM_THE_FRONT if counts is not None and viewpoint == "helper" else None
    return _framed(drawn, view, stretch, items, what, *extra, seen=seen)


def _listed(first: Coded, then: Coded) -> Coded:
    return coded("drawn_listed", first=first, then=then)


def _listed_apart(first: Coded, then: Coded) -> Coded:
    return coded("drawn_listed_apart", first=first, then=then)


def zone_middle(knee: Knee, view: View, zone: Zone) -> Point:
    """The middle of a zone on the page. Raises KeyError for one the front does not show."""
    chords = knee.zones[zone].chords
    return view.to_page(sum(chords) / len(chords))


def _dots(path: Path) -> list[Point]:
    """Points of an even grid inside a closed path, clear of its line."""
    ring = path.chords
    left, right = min(p.real for p in ring), max(p.real for p in ring)
    top, bottom = min(p.imag for p in ring), max(p.imag for p in ring)
    middle = complex((left + right) / 2, (top + bottom) / 2)
    across, down = int((right - left) / 2 / DOTS_MM) + 1, int((bottom - top) / 2 / DOTS_MM) + 1
    grid = [
        middle + complex(x * DOTS_MM + (DOTS_MM / 2 if y % 2 else 0), y * DOTS_MM)
        for y in range(-down, down + 1)
        for x in range(-across, across + 1)
    ]
    clear = (0j, 2.6 + 0j, -2.6 + 0j, 2.6j, -2.6j)
    return [dot for dot in grid if all(inside(dot + off, ring) for off in clear)]


def landmark_picture(
    landmark: Landmark, side: Side, viewpoint: Viewpoint, *, knee: Knee | None = None
) -> Drawing:
    """How to find a landmark: a finger on it, and its name."""
    drawn, view = knee or Knee(), View(side, viewpoint)
    items: list[Shape | Words] = [
        *leg_shapes(drawn, view),
        *cloth_shapes(drawn, view, AROUND_THE_KNEE),
    ]
    at = view.to_page(drawn.landmark(landmark))
    items += [
        *_target(at),
        *hand_shapes(pointing_hand(view, at)),
        Shape("mark", _dot(at), "none", "ink"),
    ]
    return _framed(drawn, view, AROUND_THE_KNEE, items, LANDMARKS[landmark])


def measuring_picture(side: Side, viewpoint: Viewpoint, *, knee: Knee | None = None) -> Drawing:
    """What is measured: along the skin from the bony bump to the kneecap's upper edge."""
    drawn, view = knee or Knee(), View(side, viewpoint)
    items: list[Shape | Words] = [
        *leg_shapes(drawn, view),
        *cloth_shapes(drawn, view, AROUND_THE_KNEE),
    ]
    low, high = (view.to_page(drawn.landmark(name)) for name in MEASURED_FROM)
    line = straight([low, high])
    items += [Shape("mark", line, "halo"), Shape("mark", line, "heavy")]
    names = (coded("drawn_bony_bump"), coded("drawn_upper_edge"))
    for beside, at in zip(names, (low, high), strict=True):
        bar = straight([at - 9, at + 9])
        items += [Shape("mark", bar, "halo"), Shape("mark", bar, "heavy")]
        words_at = _beside_the_leg(drawn, view, at)
        items.append(Shape("mark", straight([at + 12, words_at - 4]), "light"))
        items.append(Words(beside, words_at + 1j, SMALL_WORDS_MM, "left", halo=True))
    what, note = coded("drawn_measuring"), coded("drawn_measuring_note")
    return _framed(drawn, view, AROUND_THE_KNEE, items, what, note)


def _beside_the_leg(knee: Knee, view: View, at: Point) -> Point:
    """A place of the page at the height of another one, to the right of the outline there."""
    levels = (view.to_knee(at + complex(0, down)).imag for down in (-12, 0, 12, 24))
    edges = (complex(edge, level) for level in levels for edge in knee.skin_at(level))
    return complex(max(view.to_page(edge).real for edge in edges) + 8, at.imag)


def _target(at: Point) -> list[Shape]:
    return [Shape("mark", ellipse(at, 15, 15), "heavy")]


def _dot(at: Point) -> Path:
    return ellipse(at, 2.4, 2.4)
