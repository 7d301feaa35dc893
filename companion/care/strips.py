"""Strip lengths in millimetres, three ways, and how much tape a stay away from home takes.

A strip is as long as it is when slack, from end to end. On its roll it sits on paper already
stretched a little, so it is longer there (fact: tape_paper_stretch). Anchors lie without stretch.
Stretch as a share is of the rest length, unless a field says "available": then it needs the limit
of the make (fact: tape_make_limit).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil
from typing import Literal

from companion.care.records import KneeMeasures, LengthFrom, TapePlan

MeasureFault = Literal["unusual", "refused"]
RatioVerdict = Literal["usual", "unusual", "measure_again"]
StripFault = Literal[
    "cut_missing",
    "measure_missing",
    "measure_refused",
    "measure_unusual",
    "limit_missing",
    "anchors_fill_strip",
    "path_missing",
    "stretch_below_plan",
    "stretch_above_plan",
]
"""The last five are warnings: the length is given beside them."""

UNUSUAL_MM = (60.0, 160.0)  # (fact: measure_unusual)
REFUSED_MM = (40.0, 250.0)  # (fact: measure_refused)
USUAL_RATIO = (0.8, 1.2)  # (fact: kneecap_ratio)
POSSIBLE_RATIO = (0.6, 1.6)  # (fact: kneecap_ratio_again)
ROLL_WIDTH_MM = 50  # (fact: tape_width)
_NO_LENGTH_MM = 1e-6
"""What many subtractions may leave of a roll that is cut up to its end."""


@dataclass(frozen=True, slots=True)
class StripLength:
    """One length: slack, and on the paper; None when it cannot be given.

    `stretch_percent`, of the rest length, is what the strip needs to cover the path: the plan's
    when the length comes from the path, computed when it was measured, None when not known.
    """

    way: LengthFrom
    slack_mm: float | None
    paper_mm: float | None
    stretch_percent: float | None
    faults: tuple[StripFault, ...] = ()


@dataclass(frozen=True, slots=True)
class RollCut:
    """One roll: the lengths cut from it in order, and what is left of it."""

    lengths_mm: tuple[float, ...]
    rest_mm: float


def measure_fault(path_mm: float) -> MeasureFault | None:
    """What speaks against a measure from the bony bump to the kneecap's upper edge.

    What people measure lies within 63 to 102 mm straight (fact: bump_to_upper_edge); along the
    skin it is longer.
    """
    if not REFUSED_MM[0] <= path_mm <= REFUSED_MM[1]:
        return "refused"
    return None if UNUSUAL_MM[0] <= path_mm <= UNUSUAL_MM[1] else "unusual"


def ratio_verdict(bump_to_upper_edge_mm: float, kneecap_height_mm: float) -> RatioVerdict:
    """Tendon against kneecap height: usual, unusual, or so far off that it is measured again.

    The tendon is taken as what the measure has beyond the kneecap's height.
    """
    ratio = (bump_to_upper_edge_mm - kneecap_height_mm) / kneecap_height_mm
    if not POSSIBLE_RATIO[0] <= ratio <= POSSIBLE_RATIO[1]:
        return "measure_again"
    return "usual" if USUAL_RATIO[0] <= ratio <= USUAL_RATIO[1] else "unusual"


def stretch_share(
    percent: float,
    of: Literal["rest_length", "available"],
    limit_percent: float | None = None,
) -> float:
    """Stretch as a share of the rest length.

    Of the stretch available it needs the make's limit in per cent of the rest length: 50 % of
    what is available with a limit of 140 % is 0.20. Raises ValueError without the limit.
    """
    if of == "rest_length":
        return percent / 100
    if limit_percent is None:
        raise ValueError("stretch of what is available needs the limit of the make")
    return percent / 100 * (limit_percent - 100) / 100


def slack_mm(path_mm: float, share: float, anchor_mm: float, other_anchor_mm: float) -> float:
    """Length of a slack piece: both anchors, and the skin path between them over 1 + share (fact:
    strip_from_path)."""
    return anchor_mm + other_anchor_mm + path_mm / (1 + share)


def on_paper_mm(slack: float, paper_stretch_percent: float) -> float:
    """Length on the paper of a piece that is `slack` long off it."""
    return slack * (1 + paper_stretch_percent / 100)


def stretch_needed(cut_mm: float, path_mm: float, anchor_mm: float) -> float | None:
    """Share of stretch with which a strip of `cut_mm` covers a path of `path_mm`, end to end.

    Below 0 the strip is longer than the path. None when its two anchors leave nothing between.
    """
    between = cut_mm - 2 * anchor_mm
    return (path_mm - 2 * anchor_mm) / between - 1 if between > 0 else None


def side_strip(
    tape: TapePlan, knee: KneeMeasures | None, path_mm: float | None = None
) -> StripLength:
    """Length of one side strip, the way the plan says.

    `path_mm` is the drawn path along the skin: end to end for a measured strip, between the
    anchors for one from the path, where without a drawing the measured length takes its place.
    """
    if tape.length_from == "as_cut":
        cut = None if knee is None or knee.cut is None else knee.cut.side_strip_mm
        return _strip(tape, cut, None, () if cut is not None else ("cut_missing",))
    measured = None if knee is None else knee.bump_to_upper_edge_mm
    if measured is None:
        return _strip(tape, None, None, ("measure_missing",))
    fault = measure_fault(measured)
    if fault == "refused":
        return _strip(tape, None, None, ("measure_refused",))
    faults: list[StripFault] = ["measure_unusual"] if fault == "unusual" else []
    share = plan_share(tape)
    if tape.length_from == "as_measured":
        return _as_measured(tape, measured, path_mm, share, faults)
    if share is None:
        return _strip(tape, None, None, (*faults, "limit_missing"))
    between = measured if path_mm is None else path_mm
    length = slack_mm(between, share, tape.anchor_mm, tape.anchor_mm)
    return _strip(tape, length, 100 * share, tuple(faults))


def short_piece(
    tape: TapePlan, knee: KneeMeasures | None, path_mm: float | None = None
) -> StripLength:
    """Length of one short piece: as cut in the clinic, else from its path between the anchors.

    Only two landmarks are measured and neither is the short piece's, so without a cut length and
    without a drawn path there is none.
    """
    cut = None if knee is None or knee.cut is None else knee.cut.short_piece_mm
    if tape.length_from == "as_cut" or path_mm is None:
        return _strip(tape, cut, None, () if cut is not None else ("cut_missing",))
    share = plan_share(tape)
    if share is None:
        return _strip(tape, None, None, ("limit_missing",))
    length = slack_mm(path_mm, share, tape.anchor_mm, tape.anchor_mm)
    return _strip(tape, length, 100 * share, ())


def applications_away(days: int, wear_hours: int, rest_hours: int) -> int:
    """How many times tape goes on in a stay of `days`: each wear is followed by its rest."""
    return ceil(days * 24 / (wear_hours + rest_hours))


def cut_in_order(lengths_mm: Sequence[float], roll_mm: float) -> tuple[RollCut, ...]:
    """Cut lengths from rolls one after the other, never going back to an earlier rest."""
    rolls: list[list[float]] = []
    rests: list[float] = []
    for length in lengths_mm:
        if length > roll_mm:
            raise ValueError(f"{length:g} mm is longer than a roll of {roll_mm:g} mm")
        if not rolls or length > rests[-1] + _NO_LENGTH_MM:
            rolls.append([])
            rests.append(roll_mm)
        rolls[-1].append(length)
        rests[-1] = max(rests[-1] - length, 0.0)
    return tuple(RollCut(tuple(roll), rest) for roll, rest in zip(rolls, rests, strict=True))


def _as_measured(
    tape: TapePlan,
    measured: float,
    path_mm: float | None,
    share: float | None,
    faults: list[StripFault],
) -> StripLength:
    if path_mm is None:
        return _strip(tape, measured, None, (*faults, "path_missing"))
    needed = stretch_needed(measured, path_mm, tape.anchor_mm)
    if needed is None:
        return _strip(tape, measured, None, (*faults, "anchors_fill_strip"))
    if share is None:
        faults.append("limit_missing")
    elif needed > share + 1e-9:
        faults.append("stretch_above_plan")
    if needed < -1e-9:
        faults.append("stretch_below_plan")
    return _strip(tape, measured, 100 * needed, tuple(faults))


def plan_share(tape: TapePlan) -> float | None:
    """The plan's stretch as a share of the rest length; None where the make's limit is missing."""
    if tape.stretch_of == "available" and tape.stretch_limit_percent is None:
        return None
    return stretch_share(tape.stretch_percent, tape.stretch_of, tape.stretch_limit_percent)


def _strip(
    tape: TapePlan,
    length_mm: float | None,
    stretch_percent: float | None,
    faults: tuple[StripFault, ...],
) -> StripLength:
    paper = None if length_mm is None else on_paper_mm(length_mm, tape.paper_stretch_percent)
    return StripLength(tape.length_from, length_mm, paper, stretch_percent, faults)
