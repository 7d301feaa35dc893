"""Pictures of whole people: exercises, check moves and the chair stand, from what is stored."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import lru_cache, partial

from companion.care.catalogue import (
    Catalogue,
    ExerciseSheet,
    PressureWord,
    Step,
    TapeMoment,
    TechniqueSheet,
)
from companion.care.coded import Coded, CodeOf, ContentWords, coded
from companion.care.records import MoveName, Plan, Side
from companion.picture.board import STRIPS_OF_STAGE, BareKnee, Hands, TapeHand, tape_hand_of
from companion.picture.drawing import Drawing, described
from companion.picture.flat import flat_picture
from companion.picture.hands_on import Frames, hands_on_picture, moments
from companion.picture.panels import beside_each_other, row_picture, small_panel
from companion.picture.scenes import knee_of, knee_panel, measures_of
from companion.picture.scenes import tape_picture as tape_scene
from companion.picture.skin import skin_of
from companion.picture.stored import Figure, Stored, figure_of
from companion.picture.tape import side_strip_length
from companion.picture.views import Viewpoint
from companion.system.figures import stored_figures, stored_ground

_HALF = 0.56
CHAIR_STAND = "chair_stand"


@lru_cache(maxsize=32)
def exercise_pictures(
    sheet: ExerciseSheet, side: Side, *, of_both: bool = False
) -> tuple[Drawing, ...]:
    """A panel for each step of an exercise, its number and verb over it, all in one picture; one
    that is `of_both` knees names neither.

    Where somebody lies two panels stand beside each other, smaller. There is none where nothing
    is stored.
    """
    found = _figures(sheet.id)
    words = [
        coded("drawn_step", number=n, verb=ContentWords(sheet.steps[n - 1].verb))
        for figure in found
        for n in figure.steps
    ]
    title = coded("drawn_title", title=ContentWords(sheet.title))
    leg = () if of_both else (coded("drawn_leg_tinted", knee=_KNEES[side]),)
    named = None if of_both else _KNEES[side]
    if not found:
        return ()
    if beside_each_other(found):
        return (row_picture(found, words, side, described((title, *leg, *words)), named),)
    shown, small = described((title, *leg, *words)), [one.smaller(_HALF) for one in found]
    return (row_picture(small, words, side, shown, named, columns=2),)


def exercise_small(sheet: ExerciseSheet, side: Side, number: int) -> Drawing | None:
    """An exercise as it is held, in one small picture under its number on the page, for whoever
    knows it; None where nothing is stored."""
    found = _figures(sheet.id)
    if not found:
        return None
    timed = next((n for n, step in enumerate(sheet.steps, 1) if step.timed), 1)
    still = next((one for one in found if timed in one.steps), found[0])
    words = coded("drawn_number", number=number)
    title = coded("drawn_title", title=ContentWords(sheet.title))
    return small_panel(still, words, side, described((words, _KNEES[side], title)))


def move_picture(move: MoveName, side: Side, *, of_both: bool = False) -> Drawing | None:
    """A check move, drawn under its name; None for the person's own. One that is `of_both` knees
    names neither."""
    name = "sit_to_stand" if move == "rise_from_chair" else move
    named = None if of_both else _KNEES[side]
    told = coded("drawn_move", move=CodeOf("moves", move))
    shown = described((told,) if named is None else (named, told))
    return _wordless(name, side, shown, named)


def chair_stand_picture(side: Side = "right") -> Drawing | None:
    """Up from a chair with the arms crossed."""
    return _wordless(CHAIR_STAND, side, described((coded("drawn_chair_stand"),)), None)


@lru_cache(maxsize=32)
def technique_still(sheet: TechniqueSheet, side: Side, seen: Viewpoint, wedges: int = 0) -> Drawing:
    """The one picture of a technique: its hands as they begin, which way they go, and by `wedges`
    how hard they press."""
    return _hands(sheet, side, seen)(0, 0.0, wedges, True)


@lru_cache(maxsize=32)
def technique_small(
    sheet: TechniqueSheet, side: Side, seen: Viewpoint, wedges: int, number: int
) -> Drawing:
    """The one picture of a technique, small, under its number on the page: for whoever knows it."""
    still = technique_still(sheet, side, seen, wedges)
    across = still.frame.width > still.frame.height
    cut = _OWN_CUT if seen == "own" else _ACROSS_CUT if across else _BENT_CUT
    return knee_panel(still, coded("drawn_number", number=number), cut)


_OWN_CUT = (16.0, 16.0, 40.0)
_ACROSS_CUT = (0.0, 8.0, 8.0)
_BENT_CUT = (8.0, 46.0, 6.0)
"""What a small picture leaves out of each side, the top and the bottom, in millimetres: the end
at the hip, and nothing that hands or arrows reach."""


@lru_cache(maxsize=32)
def technique_stills(
    sheet: TechniqueSheet, side: Side, seen: Viewpoint, wedges: int = 0
) -> tuple[Drawing, ...]:
    """The hands of a technique as they lie there and press, and as they move: a still for each
    step of `shown_steps`."""
    made = _hands(sheet, side, seen)
    pressed = [i for i, one in enumerate(_stored(sheet, seen)) if one.get("touch")]
    on = 0.25 if len(pressed) == 1 else 0.0
    return made(0, 0.0, wedges, False), made(pressed[-1], on, 0, True)


def shown_steps(sheet: TechniqueSheet) -> tuple[int, int]:
    """The numbers of the steps that `technique_stills` shows: hands laid on, and moving."""
    move = next(n for n, step in enumerate(sheet.steps, 1) if step.timed)
    return max(move - 1, 1), move


def technique_motion(sheet: TechniqueSheet, side: Side, seen: Viewpoint) -> Frames:
    """A technique as it moves, at the speed its words say; nothing but the hands is shown."""
    made = _hands(sheet, side, seen)
    seconds = [one.get("seconds", 1.0) for one in _stored(sheet, seen)]
    return Frames(moments(seconds), lambda still, on: made(still, on, 0, False))


def in_motion(sheet: TechniqueSheet, seen: Viewpoint) -> bool:
    """Whether what is stored of a technique says how it moves."""
    stills = _stored(sheet, seen)
    return len(stills) > 1 or "sway" in stills[0]


def wedges(pressure: PressureWord) -> int:
    """How many wedges say how hard: one for the lightest word, three at most."""
    return min(pressure.rank + 1, 3)


def _stored(sheet: TechniqueSheet, seen: Viewpoint) -> tuple[Stored, ...]:
    return stored_figures(f"{seen}_{sheet.id}")


@lru_cache(maxsize=32)
def _hands(
    sheet: TechniqueSheet, side: Side, seen: Viewpoint
) -> Callable[[int, float, int, bool], Drawing]:
    """What draws one still of a technique, and how far on it is to the next."""
    stills = _stored(sheet, seen)
    what = coded("drawn_title", title=ContentWords(sheet.title))
    arrows, ways = figure_of(stills[0]).arrows, _ways(stills[0])

    def made(still: int, on: float, wedges: int, which_way: bool) -> Drawing:
        one = stills[still]
        ground = stored_ground(one["ground"])
        figure = replace(figure_of(one, ground, on), arrows=arrows if which_way else ())
        told = [*_touched(one, side), *(ways if which_way else ())]
        if wedges:
            told.append(coded("drawn_wedges", count=wedges))
        near = wedges > 0 or which_way
        return hands_on_picture(side, seen, figure, what, told, wedges=wedges, near=near)

    return made


def tape_picture(
    plan: Plan,
    side: Side,
    stage: int,
    seen: Viewpoint,
    step: int | None = None,
    moment: TapeMoment | None = None,
) -> Drawing:
    """The tape of a stage on this knee, or one strip of it at a moment.

    Raises ValueError for a stage without tape or a strip it does not have.
    """
    return tape_scene(
        plan, side, seen, stage, bare_knee(seen, plan, side), hands(seen), step, moment
    )


def tape_panels(
    plan: Plan, side: Side, seen: Viewpoint, stage: int, steps: Sequence[Step]
) -> tuple[Drawing, ...]:
    """A panel for each of these steps that is a moment of cutting or laying tape, numbered as they
    are."""
    made = []
    for number, step in enumerate(steps, 1):
        words = coded("drawn_step", number=number, verb=ContentWords(step.verb))
        if step.flat is not None:
            knee, measures = knee_of(plan, side), measures_of(plan, side)
            length = side_strip_length(plan.tape, measures, knee).paper_mm
            made.append(flat_picture(step.flat, length, float(plan.tape.width_mm), words))
        elif step.moment is not None:
            piece = step.piece or STRIPS_OF_STAGE[stage][-1]
            made.append(
                knee_panel(tape_picture(plan, side, stage, seen, piece, step.moment), words)
            )
    return tuple(made)


def bare_knee(seen: Viewpoint, plan: Plan, side: Side) -> BareKnee:
    """The drawn leg of this person's build."""
    measures = measures_of(plan, side)
    build = (measures.build if measures else None) or "usual"
    return stored_knee(seen, "woman", build)


@lru_cache(maxsize=16)
def stored_knee(seen: Viewpoint, sex: str, build: str) -> BareKnee:
    """The drawn leg of one body. Raises ValueError where there is none."""
    (stored,) = stored_figures(f"skin_{seen}_{sex}_{build}")
    return BareKnee(figure_of(stored), skin_of(stored))


def hands(seen: Viewpoint) -> Hands:
    """The hands that lay tape, as these eyes see them."""
    return partial(_tape_hand, seen)


@lru_cache(maxsize=32)
def _tape_hand(seen: Viewpoint, name: str) -> TapeHand | None:
    found = stored_figures(f"tape_{seen}_{name}")
    return tape_hand_of(found[0]) if found else None


def people_pictures(plan: Plan, catalogue: Catalogue) -> Iterator[tuple[str, Drawing]]:
    """Every picture of a whole person that a plan asks for, each with its name.

    For each knee its exercises and its check move. Raises KeyError for an exercise unknown.
    """
    for side in plan.sides:
        move = move_picture(plan.check_move.name, side)
        if move is not None:
            yield f"{side}-check-move", move
        for one in plan.exercises:
            drawings = exercise_pictures(catalogue.exercise(one.exercise), side)
            for number, drawing in enumerate(drawings, 1):
                yield f"{side}-{one.exercise}-{number}", drawing


def _wordless(name: str, side: Side, shown: Coded, knee: Coded | None) -> Drawing | None:
    found = _figures(name)
    return row_picture(found, [None] * len(found), side, shown, knee) if found else None


def _touched(still: Stored, side: Side) -> list[Coded]:
    """Which digit of which hand is where. What is stored is a right knee; on a left one the hands
    change sides."""
    return [
        coded("drawn_touch", hand=_HANDS[(hand == "R") == (side == "right")],
              digit=_DIGITS[digit], place=PLACES[place])
        for hand, digit, place in still.get("touch", [])
    ]  # fmt: skip


def _ways(still: Stored) -> list[Coded]:
    """Which way the arrows of a still go."""
    said = (
        coded("drawn_goes", place=PLACES[place]) if is_ == "go" else _WAYS[is_]
        for is_, place in still.get("ways", [])
    )
    return list(dict.fromkeys(said))


_HANDS = {True: coded("hand_right"), False: coded("hand_left")}
_DIGITS: dict[str, Coded] = {
    "thumb": coded("digit_thumb"),
    "index": coded("digit_index"),
    "middle": coded("digit_middle"),
    "palm": coded("digit_palm"),
}
PLACES: dict[str, Coded] = {
    "upper": coded("place_upper"),
    "upper_outer": coded("place_upper_outer"),
    "outer": coded("place_outer"),
    "lower_outer": coded("place_lower_outer"),
    "lower": coded("place_lower"),
    "lower_inner": coded("place_lower_inner"),
    "inner": coded("place_inner"),
    "upper_inner": coded("place_upper_inner"),
    "band": coded("place_band"),
    "outer_hollow": coded("place_outer_hollow"),
    "inner_hollow": coded("place_inner_hollow"),
    "above": coded("place_above"),
    "thigh_inner": coded("place_thigh_inner"),
    "thigh_outer": coded("place_thigh_outer"),
}
"""Places of a knee as the tool names them from where a pad lies."""
_WAYS: dict[str, Coded] = {
    "both": coded("drawn_to_and_fro"),
    "round": coded("drawn_in_circles"),
}


@lru_cache(maxsize=32)
def _figures(name: str) -> tuple[Figure, ...]:
    return tuple(figure_of(one) for one in stored_figures(name))


_KNEES: dict[Side, Coded] = {"left": coded("drawn_left"), "right": coded("drawn_right")}
