"""Whole pictures: a technique, a tape stage, the sore zones, a landmark, on this person's knee."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import replace
from functools import reduce
from typing import assert_never

from companion.care.catalogue import Catalogue, Landmark, TapeMoment, TechniqueSheet
from companion.care.coded import Coded, coded
from companion.care.records import KneeMeasures, Plan, PullAt, PullTowards, Side, TapePlan, Zone
from companion.picture.board import (
    MOMENTS,
    STRIPS_OF_STAGE,
    BareKnee,
    Hands,
    length_words,
    mirrored,
    moment_shapes,
    number_words,
    strips_shapes,
    taped,
)
from companion.picture.curves import Path, Point, ellipse, inside, straight
from companion.picture.drawing import Closeup, Drawing, DrawnWords, Frame, Shape, described
from companion.picture.hands import hand_shapes, pointing_hand
from companion.picture.knee import Knee, knee_from
from companion.picture.leg import (
    AROUND_THE_KNEE,
    HEADER_MM,
    KNEES,
    NOTES,
    SEEN,
    SMALL_WORDS_MM,
    Stretch,
    cloth_shapes,
    end_words,
    frame_of,
    header,
    leg_shapes,
    side_words,
)
from companion.picture.profile import posture_picture
from companion.picture.tape import pulled_along
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
PANEL_WORDS_MM = 20.0
PANEL_NEARER_MM = 16.0
"""A panel leaves out so much of a picture on each side."""
SMALL_HEADER_MM = 26.0
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


def _framed(
    knee: Knee,
    view: View,
    stretch: Stretch,
    items: list[Shape | DrawnWords],
    what: Coded,
    *extra: Coded,
    seen: Coded | None = None,
    note: Coded | None = None,
) -> Drawing:
    frame = frame_of(knee, view, stretch)
    note = note or NOTES[knee.drawn_as]
    said = extra if note is None else (*extra, note)
    parts = [
        *items,
        *end_words(knee, view, stretch),
        *side_words(knee, view, frame),
        *header(view, frame, *said, seen=seen),
    ]
    return Drawing(frame, tuple(parts), described((*_lead(view, seen), what, *said)))


def _lead(view: View, seen: Coded | None = None) -> tuple[Coded]:
    return (coded("drawn_seen", knee=KNEES[view.side], seen=seen or SEEN[view.viewpoint]),)


def tape_picture(
    plan: Plan,
    side: Side,
    viewpoint: Viewpoint,
    stage: int,
    bare: BareKnee,
    hands: Hands,
    step: int | None = None,
    moment: TapeMoment | None = None,
) -> Drawing:
    """The tape of a stage on this knee; with `step` (1 to 4) and `moment` what is on by then, and
    how the strip of that number is laid.

    Raises ValueError for a stage without tape or a number it does not have.
    """
    knee, view = knee_of(plan, side), View(side, viewpoint)
    on = taped(knee, plan.tape, measures_of(plan, side), bare, stage)
    if step is not None and step not in [one.strip.number for one in on.laid]:
        raise ValueError(f"stage {stage} has no strip {step}")
    if step is None or moment is None:
        numbers = [one.strip.number for one in on.laid if step is None or one.strip.number <= step]
        shapes = strips_shapes(on, numbers)
    else:
        numbers = [one for one in range(1, step) if moment != "rub"]
        shapes = moment_shapes(on, step, moment, hands, viewpoint)
    shapes = mirrored(shapes, side)
    items = [*shapes, *number_words(on, side, numbers, shapes)]
    for number in numbers if step is None else [step] if moment == "end" else []:
        items += length_words(on, side, number)
    told = _at_moment(_strips(stage, step), moment)
    if moment == "draw" and step is not None and not pulled_along(on.strip(step).strip, plan.tape):
        told = coded("drawn_then", first=told, then=_pull(plan.tape))
    return _framed(
        Knee(), view, AROUND_THE_KNEE, items, told, _bend(plan.tape.knee_bend_degrees),
        note=NOTES[knee.drawn_as],
    )  # fmt: skip


def knee_panel(
    picture: Drawing, words: Coded, cut: tuple[float, float, float] | None = None
) -> Drawing:
    """A picture of a knee as one panel among others: nearer to it, its words in place of the
    header; inner, outer, hip and foot stand where they are then seen. With `cut` (millimetres
    left out of each side, the top and the bottom) it is a small one: its words are larger, and
    nothing is shown twice."""
    whole = picture.frame
    over = PANEL_WORDS_MM if cut is None else SMALL_HEADER_MM
    side, above, below = cut or (PANEL_NEARER_MM,) * 3
    top = whole.top + HEADER_MM + above
    bottom = whole.bottom - below
    half = whole.width / 2 - side
    made = Frame(-half, top - over, 2 * half, bottom - top + over)

    def nearer(item: Shape | DrawnWords | Closeup) -> Shape | DrawnWords | Closeup:
        if not isinstance(item, DrawnWords):
            return item
        at = item.at
        across = min(max(at.real, -half + 4), half - 4)
        down = min(max(at.imag, top + 14), bottom - 6)
        return replace(item, at=complex(across, down))

    corners = (
        (-half - 5, made.top - 5),
        (half + 5, made.top - 5),
        (half + 5, top),
        (-half - 5, top),
    )
    ground = straight([complex(x, y) for x, y in corners], closed=True)
    lead = DrawnWords(words, complex(-half + 3, top - 0.3 * over), 0.75 * over, "left", bold=True)
    kept = (one for one in picture.items if cut is None or not isinstance(one, Closeup))
    items = [nearer(one) for one in kept if not _in_header(one, whole)]
    told = described((words, picture.description))
    return Drawing(made, (*items, Shape("figure", ground, "light", "paper"), lead), told)


def _in_header(item: Shape | DrawnWords | Closeup, frame: Frame) -> bool:
    if isinstance(item, Closeup):
        return item.at.imag < frame.top + HEADER_MM
    if isinstance(item, DrawnWords):
        return item.at.imag < frame.top + HEADER_MM
    return item.role == "figure"


def _strips(stage: int, step: int | None) -> Coded:
    if step is None:
        return coded("drawn_side_strips") if stage == 1 else coded("drawn_side_strips_and_pieces")
    return coded("drawn_strip", number=step) if step <= 2 else coded("drawn_piece", number=step)


def _at_moment(strips: Coded, moment: TapeMoment | None) -> Coded:
    match moment:
        case "anchor":
            return coded("drawn_anchor", strips=strips)
        case "draw":
            return coded("drawn_draw", strips=strips)
        case "lay":
            return coded("drawn_lay", strips=strips)
        case "end":
            return coded("drawn_end", strips=strips)
        case "rub":
            return coded("drawn_rub", strips=strips)
        case "off":
            return coded("drawn_off", strips=strips)
        case None:
            return strips
        case _:
            assert_never(moment)


def _pull(tape: TapePlan) -> Coded:
    """Where the skin is drawn and which way, as the plan says."""
    towards, at = tape.pull_towards or "up", tape.pull_at or "middle"
    return coded("drawn_pull", way=PULL_WAYS[towards], place=PULL_PLACES[at])


def _bend(degrees: int) -> Coded:
    """How far the knee is bent while the tape goes on."""
    return coded("drawn_straight") if degrees == 0 else coded("drawn_bent", degrees=degrees)


Tapes = Callable[[Plan, Side, int, Viewpoint, int | None, TapeMoment | None], Drawing]
"""A picture of tape: of whose knee, its stage, from where, and a strip of it at a moment."""
Stills = Callable[[TechniqueSheet, Side, Viewpoint], tuple[Drawing, ...]]
"""The stills of a technique: its hands laid on, and moving."""


def plan_pictures(
    plan: Plan, catalogue: Catalogue, tapes: Tapes, stills: Stills
) -> Iterator[tuple[str, Drawing]]:
    """Every picture a plan asks for, each with its name: `right-own-glide_inner_edge-1`.

    For each knee how one sits; then for each viewpoint the plan's techniques laid on (1)
    and moving (2), each tape stage up to the highest and each strip of it, and the measuring guide
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
                for number, picture in enumerate(stills(sheet, side, viewpoint), 1):
                    yield f"{lead}-{sheet.id}-{number}", picture
            if plan.tape.highest:
                knee = knee_of(plan, side)
                for landmark in MEASURED_FROM:
                    found = landmark_picture(landmark, side, viewpoint, knee=knee)
                    yield f"{lead}-find-{landmark}", found
                yield f"{lead}-measure", measuring_picture(side, viewpoint, knee=knee)
            for stage in range(1, plan.tape.highest + 1):
                yield f"{lead}-tape-{stage}", tapes(plan, side, stage, viewpoint, None, None)
                for step in STRIPS_OF_STAGE[stage]:
                    for moment in MOMENTS:
                        picture = tapes(plan, side, stage, viewpoint, step, moment)
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
    items: list[Shape | DrawnWords] = [
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
                DrawnWords(
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
    items: list[Shape | DrawnWords] = [
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
    items: list[Shape | DrawnWords] = [
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
        items.append(DrawnWords(beside, words_at + 1j, SMALL_WORDS_MM, "left", halo=True))
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
