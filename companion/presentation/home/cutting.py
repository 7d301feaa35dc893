"""The cutting sheet as data: which pieces of tape to cut, how long, and why a sheet is not given.

A sheet shows tape as it lies on its paper, which is longer than it is slack (fact:
tape_paper_stretch).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from companion.care.catalogue import Step
from companion.care.records import KneeMeasures, Plan, Side
from companion.care.strips import StripFault, StripLength, measure_fault
from companion.picture.knee import Knee
from companion.picture.scenes import knee_of, measures_of
from companion.picture.tape import MOST_ANCHOR_SHARE, short_piece_length, side_strip_length
from companion.presentation.language import codes
from companion.presentation.language.code_table import CodeTable, capital
from companion.presentation.language.phrases import phrase
from companion.presentation.language.words import pull_sentences, this_knee

CORNER_MM = 8.0
"""Radius of the round corners that keep an end from coming loose (C)."""


@dataclass(frozen=True, slots=True)
class CutPiece:
    """One piece to cut: `length_mm` is on the paper, anchors too; `number` is its turn."""

    number: int
    title: str
    length_mm: float
    width_mm: float
    anchor_mm: float


@dataclass(frozen=True, slots=True)
class KneeCuts:
    """The pieces of one knee and what is said about them."""

    side: Side
    heading: str
    lines: tuple[str, ...]
    pieces: tuple[CutPiece, ...]


@dataclass(frozen=True, slots=True)
class CuttingSheet:
    """Everything the sheet says; one part for each knee, never mixed. `warned`: which warnings were
    open when it was printed."""

    title: str
    who: str
    plan_mark: str | None
    print_words: str
    check_words: str
    knees: tuple[KneeCuts, ...]
    warned: str = ""


class NoCuttingSheet(ValueError):
    """Why there is no sheet: one plain sentence."""


def cutting_sheet(plan: Plan) -> CuttingSheet:
    """The sheet of a plan. Raises NoCuttingSheet when it does not tape or a length is missing.

    A measure that is missing where the length needs it, or that no knee has, gives no sheet: a
    strip is never cut to the typical knee.
    """
    if plan.tape.highest == 0:
        raise NoCuttingSheet(phrase("This plan uses no tape, so there is nothing to cut."))
    return CuttingSheet(
        title=phrase("Tape to cut"),
        who=phrase("{code}, care plan {version}", code=plan.person, version=plan.version),
        plan_mark=phrase("Practice plan: nobody signed it. Not for a real knee.")
        if plan.practice
        else None,
        print_words=phrase(
            "Print at 100 %, not fitted to the page. "
            "Then measure both black lines: each must be 100 mm long."
        ),
        check_words=phrase("100 mm"),
        knees=tuple(_knee(plan, side) for side in plan.sides),
    )


def _knee(plan: Plan, side: Side) -> KneeCuts:
    measures, knee = measures_of(plan, side), knee_of(plan, side)
    strip = side_strip_length(plan.tape, measures, knee)
    _refuse(side, strip, measures, knee)
    length = strip.paper_mm
    if length is None:
        raise NoCuttingSheet(_sentence(side, "measure_missing"))
    paper = 1 + plan.tape.paper_stretch_percent / 100
    anchor = min(plan.tape.anchor_mm * paper, length * MOST_ANCHOR_SHARE)
    width = float(plan.tape.width_mm)
    titles = (phrase("Side strip, inner side"), phrase("Side strip, outer side"))
    pieces = [CutPiece(n, title, length, width, anchor) for n, title in enumerate(titles, 1)]
    lines = [_way_words(strip), _length_words(phrase("Side strips"), strip, width)]
    if strip.stretch_percent is not None:
        lines.append(_stretch_words(strip.stretch_percent))
    lines += [_sentence(side, fault) for fault in strip.faults if fault in _NOTES]
    if plan.tape.highest == 2:
        piece = short_piece_length(plan.tape, measures, knee)
        if piece.paper_mm is None:
            lines.append(
                phrase("The length of the short pieces is missing. Ask your clinic for it.")
            )
        else:
            anchor = min(anchor, piece.paper_mm * MOST_ANCHOR_SHARE)
            titles = (phrase("Short piece, inner side"), phrase("Short piece, outer side"))
            pieces += [
                CutPiece(n, title, piece.paper_mm, width, anchor)
                for n, title in enumerate(titles, 3)
            ]
            lines.append(_length_words(phrase("Short pieces"), piece, width))
    pulled = pull_sentences(plan.tape)
    if pulled:
        lines.append(" ".join(pulled))
    lines += [
        phrase("Lay the tape on the sheet while it is on its paper. Cut along the line."),
        phrase("The ends beyond the broken lines are laid without stretch."),
    ]
    return KneeCuts(side, capital(this_knee(side)), tuple(lines), tuple(pieces))


def lengths_to_cut(plan: Plan, side: Side, stage: int) -> tuple[str, ...]:
    """How long to cut the pieces of a stage, measured on their paper; whom to ask where a length
    is missing."""
    measures, knee = measures_of(plan, side), knee_of(plan, side)
    found = [
        (phrase("each side strip"), side_strip_length(plan.tape, measures, knee)),
        *(
            [(phrase("each short piece"), short_piece_length(plan.tape, measures, knee))]
            if stage == 2
            else []
        ),
    ]
    return tuple(
        phrase("Ask your clinic how long to cut {piece}.", piece=name)
        if length.paper_mm is None
        else phrase(
            "Cut {piece} {mm} mm long, measured on its paper.",
            piece=name,
            mm=_whole(length.paper_mm),
        )
        for name, length in found
    )


def _refuse(side: Side, strip: StripLength, measures: KneeMeasures | None, knee: Knee) -> None:
    for fault in strip.faults:
        if fault in _STOPS:
            raise NoCuttingSheet(_sentence(side, fault))
    measured = None if measures is None else measures.bump_to_upper_edge_mm
    impossible = knee.drawn_as == "impossible" or (
        measured is not None and measure_fault(measured) == "refused"
    )
    if impossible:
        raise NoCuttingSheet(_sentence(side, "measure_refused"))


_STOPS: frozenset[StripFault] = frozenset(
    {"cut_missing", "measure_missing", "measure_refused", "limit_missing"}
)
_NOTES: frozenset[StripFault] = frozenset(
    {"measure_unusual", "anchors_fill_strip", "stretch_below_plan", "stretch_above_plan"}
)


_FAULTS: CodeTable[StripFault, str] = CodeTable(
    StripFault,
    {
        "cut_missing": (
            "The length cut in the clinic is missing for the {knee}. Ask your clinic for it."
        ),
        "measure_missing": "The {knee} was not measured. Measure it, or ask your clinic.",
        "measure_refused": "The measures of the {knee} do not fit a knee. Measure it again.",
        "measure_unusual": (
            "The measure of the {knee} is unusual. Measure it again before you cut."
        ),
        "limit_missing": (
            "The plan does not say how far this make of tape stretches. Ask your clinic."
        ),
        "anchors_fill_strip": (
            "The two ends without stretch are as long as the whole strip. Ask your clinic."
        ),
        "path_missing": "The way over the skin is not known.",
        "stretch_below_plan": ("The strip is longer than its way over the skin. Ask your clinic."),
        "stretch_above_plan": ("The strip needs more stretch than the plan says. Ask your clinic."),
    },
)


def _sentence(side: Side, fault: StripFault) -> str:
    return _FAULTS.said(fault, knee=this_knee(side))


def _way_words(strip: StripLength) -> str:
    return phrase("Length {way}.", way=codes.LENGTH_FROM[strip.way].home)


def _length_words(name: str, strip: StripLength, width_mm: float) -> str:
    return phrase(
        "{name}: 2, each {paper} mm on the paper, {slack} mm off it, {width} mm wide.",
        name=name,
        paper=_whole(strip.paper_mm),
        slack=_whole(strip.slack_mm),
        width=_whole(width_mm),
    )


_SIDE_STRIPS = (1, 2)
"""Their numbers on the tape."""


def stretch_of_strips(plan: Plan, side: Side, steps: Iterable[Step]) -> Iterator[str]:
    """How far the side strips are stretched, where they are laid and the plan says it."""
    if not any(step.moment == "lay" and step.piece in _SIDE_STRIPS for step in steps):
        return
    percent = side_strip_length(
        plan.tape, measures_of(plan, side), knee_of(plan, side)
    ).stretch_percent
    if percent is not None:
        yield _stretch_words(percent)


def _stretch_words(percent: float) -> str:
    if percent <= 0:
        return phrase("Laid without stretch.")
    return phrase(
        "Between the ends, stretch it by about {n} %: 100 mm become {mm} mm.",
        n=round(percent),
        mm=100 + round(percent),
    )


def _whole(length_mm: float | None) -> str:
    return "" if length_mm is None else str(round(length_mm))
