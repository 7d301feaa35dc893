"""Whole pictures of tape on this person's knee, and what frames every picture of a bare knee."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from companion.care.catalogue import TapeMoment
from companion.care.coded import Coded, coded
from companion.care.records import KneeMeasures, Plan, PullAt, PullTowards, Side, TapePlan
from companion.picture.board import (
    BareKnee,
    Hands,
    length_words,
    mirrored,
    number_words,
    strips_shapes,
    taped,
)
from companion.picture.clear import words_clear
from companion.picture.curves import straight
from companion.picture.drawing import Closeup, Drawing, DrawnWords, Frame, Shape, described
from companion.picture.knee import Knee, knee_from
from companion.picture.leg import (
    HEADER_MM,
    KNEE_FRAME,
    KNEES,
    NOTES,
    SEEN,
    WORDS_MM,
    end_words,
    header,
    side_words,
)
from companion.picture.tape_moments import bent_shapes, moment_shapes
from companion.picture.told import doing_words
from companion.picture.views import View, Viewpoint

PANEL_WORDS_MM = 20.0
PANEL_NEARER_MM = 16.0
"""A panel leaves out so much of a picture on each side."""
SMALL_HEADER_MM, SMALL_HEADER_SHARE = 26.0, 0.2
LETTERS, SMALL_LETTERS = 0.055, 0.072
"""Words of a panel are at least this share of its width; small ones stand three in a row (C)."""
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


def measures_of(plan: Plan, side: Side) -> KneeMeasures | None:
    """The plan's measures of this knee; never those of the other one."""
    return next((knee for knee in plan.knees if knee.side == side), None)


def knee_of(plan: Plan, side: Side) -> Knee:
    """This knee as it is drawn."""
    return knee_from(measures_of(plan, side))


def framed(
    view: View,
    items: Sequence[Shape | DrawnWords],
    what: Coded,
    *extra: Coded,
    frame: Frame = KNEE_FRAME,
    seen: Coded | None = None,
    note: Knee | None = None,
    unseen: Sequence[Coded] = (),
) -> Drawing:
    """A picture of a bare knee under its header, with its ends and sides named; `note` is the knee
    whose measures it hangs on: a typical one drawn in its place is told. `unseen` is only said."""
    typical = None if note is None else NOTES[note.drawn_as]
    said = extra if typical is None else (*extra, typical)
    below = Frame(frame.left, frame.top + HEADER_MM, frame.width, frame.height - HEADER_MM)
    named = words_clear([*items, *end_words(view, frame), *side_words(view, frame)], below)
    parts = [*named, *header(view, frame, *said, seen=seen)]
    lead = coded("drawn_seen", knee=KNEES[view.side], seen=seen or SEEN[view.viewpoint])
    return Drawing(frame, tuple(parts), described((lead, what, *unseen, *said)))


def tape_picture(
    tape: TapePlan,
    measures: KneeMeasures | None,
    side: Side,
    viewpoint: Viewpoint,
    stage: int,
    bare: BareKnee,
    hands: Hands,
    step: int | None = None,
    moment: TapeMoment | None = None,
) -> Drawing:
    """The tape of a stage on this knee; with `step` (1 to 4) and `moment` what is on by then, and
    what is done with the strip of that number.

    Raises ValueError for a stage without tape or a number it does not have.
    """
    knee, view = knee_from(measures), View(side, viewpoint)
    on = taped(knee, tape, measures, bare, stage)
    if step is not None and step not in [one.strip.number for one in on.laid]:
        raise ValueError(f"stage {stage} has no strip {step}")
    told = [_strips(stage, step)]
    if step is None or moment is None:
        numbers = [one.strip.number for one in on.laid if step is None or one.strip.number <= step]
        shapes = strips_shapes(on, numbers)
    else:
        numbers = [one for one in range(1, step) if moment not in ("rub", "wipe")]
        shapes, doings = moment_shapes(on, step, moment, hands, viewpoint)
        told += [doing_words(one, side) for one in doings]
    if moment == "draw" and step is not None and step <= 2:
        told.append(_pull(tape))
    shapes = mirrored(shapes, side)
    items = [*shapes, *number_words(on, side, numbers, shapes)]
    if step is None:
        for number in numbers[:2]:
            items += length_words(on, side, number)
    elif moment == "end":
        items += length_words(on, side, step)
    what, *extra = told
    bend = _bend(tape.knee_bend_degrees)
    return framed(view, items, what, bend, note=knee, unseen=extra)


def bent_picture(
    tape: TapePlan,
    measures: KneeMeasures | None,
    side: Side,
    viewpoint: Viewpoint,
    stage: int,
    bare: BareKnee,
    bent: BareKnee,
) -> Drawing:
    """The knee bent with the tape of a stage on it, from its outer side."""
    on = taped(knee_from(measures), tape, measures, bare, stage)
    frame = KNEE_FRAME
    whole = bent.figure.origin + complex(frame.left, frame.top + HEADER_MM)
    seen_so = [
        replace(one, path=one.path.moved(lambda p: p + whole)) for one in bent_shapes(on, bent)
    ]
    shapes = mirrored(seen_so, side)
    ways = bent.figure.places if side == "right" else bent.figure.mirrored().places
    words = [
        DrawnWords(
            word,
            complex((-1 if ways[name].real < 0 else 1) * (frame.right - 6), frame.bottom - 10),
            WORDS_MM,
            "left" if ways[name].real < 0 else "right",
            halo=True,
        )
        for name, word in (("hip", coded("drawn_hip")), ("foot", coded("drawn_foot")))
    ]
    seen = coded("drawn_outer_side")
    top = header(View(side, viewpoint), frame, seen=seen)
    lead = coded("drawn_seen", knee=KNEES[side], seen=seen)
    told = described((lead, _strips(stage, None), coded("drawn_bends")))
    return Drawing(frame, (*shapes, *words, *top), told)


def knee_panel(
    picture: Drawing, words: Coded, cut: tuple[float, float, float] | None = None
) -> Drawing:
    """A picture of a knee as one panel among others: nearer to it, its words in place of the
    header; inner, outer, hip and foot stand where they are then seen. With `cut` (millimetres
    left out of each side, the top and the bottom) it is a small one: its words are larger, and
    nothing is shown twice."""
    whole = picture.frame
    side, above, below = cut or (PANEL_NEARER_MM,) * 3
    top = whole.top + HEADER_MM + above
    bottom = whole.bottom - below
    half = whole.width / 2 - side
    over = PANEL_WORDS_MM if cut is None else max(SMALL_HEADER_MM, half * SMALL_HEADER_SHARE)
    made = Frame(-half, top - over, 2 * half, bottom - top + over)
    least = 2 * half * (SMALL_LETTERS if cut else LETTERS)

    def nearer(item: Shape | DrawnWords | Closeup) -> Shape | DrawnWords | Closeup:
        if not isinstance(item, DrawnWords):
            return item
        size = item.size_mm if item.bold else max(item.size_mm, least)
        across = min(max(item.at.real, -half + 4), half - 4)
        down = min(max(item.at.imag, top + 1.1 * size), bottom - 0.5 * size)
        return replace(item, at=complex(across, down), size_mm=size)

    corners = (
        (-half - 5, made.top - 5),
        (half + 5, made.top - 5),
        (half + 5, top),
        (-half - 5, top),
    )
    ground = straight([complex(x, y) for x, y in corners], closed=True)
    lead = DrawnWords(words, complex(-half + 3, top - 0.3 * over), 0.75 * over, "left", bold=True)
    kept = (one for one in picture.items if cut is None or not isinstance(one, Closeup))
    shown = [nearer(one) for one in kept if not _in_header(one, whole)]
    items = words_clear(shown, Frame(-half, top, 2 * half, bottom - top))
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


def _pull(tape: TapePlan) -> Coded:
    """Where the skin is drawn and which way, as the plan says."""
    towards, at = tape.pull_towards or "up", tape.pull_at or "middle"
    return coded("drawn_pull", way=PULL_WAYS[towards], place=PULL_PLACES[at])


def _bend(degrees: int) -> Coded:
    """How far the knee is bent while the tape goes on."""
    return coded("drawn_straight") if degrees == 0 else coded("drawn_bent", degrees=degrees)
