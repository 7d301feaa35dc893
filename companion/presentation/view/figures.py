"""Pictures of whole people: exercises, check moves and the chair stand, from what is stored."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache, partial

from companion.care.catalogue import (
    Catalogue,
    CutMoment,
    ExerciseSheet,
    Landmark,
    Posture,
    PressureWord,
    Step,
    TapeMoment,
    TechniqueSheet,
)
from companion.care.coded import Coded, CodeOf, ContentWords, coded
from companion.care.records import (
    Build,
    KneeMeasures,
    MoveName,
    Plan,
    Side,
    Skin,
    TapePlan,
    Zone,
)
from companion.picture.board import (
    STRIPS_OF_STAGE,
    BareKnee,
    Hands,
    TapeHand,
    tape_hand_of,
    taped,
)
from companion.picture.drawing import Drawing, described
from companion.picture.flat import flat_picture
from companion.picture.hands_on import Frames, WordPlaces, hands_on_picture, moments, settled
from companion.picture.knee import Knee, knee_from
from companion.picture.leg import KNEES
from companion.picture.panels import beside_each_other, row_picture, seat_picture, small_panel
from companion.picture.places import MEASURED_FROM, DrawnZones, zone_map
from companion.picture.places import landmark_picture as landmark_scene
from companion.picture.places import measuring_picture as measuring_scene
from companion.picture.places import zones_picture as zones_scene
from companion.picture.scenes import bent_picture, knee_of, knee_panel, measures_of
from companion.picture.scenes import tape_picture as tape_scene
from companion.picture.skin import skin_of
from companion.picture.skin_marks import (
    FINDINGS,
    PIECE_LONG_MM,
    PIECE_WIDE_MM,
    finding_picture,
    test_piece,
)
from companion.picture.skin_marks import patch_picture as patch_scene
from companion.picture.stored import Figure, Stored, figure_of
from companion.picture.tape import side_strip_length
from companion.picture.tape_moments import MOMENTS, REMOVAL
from companion.picture.told import DIGITS, PLACES, hand_words
from companion.picture.views import View, Viewpoint
from companion.presentation.view.drawn_people import drawn_person
from companion.services.settings import DrawnPerson
from companion.system.figures import stored_figures, stored_ground

_HALF = 0.56
CHAIR_STAND = "chair_stand"


def exercise_pictures(
    sheet: ExerciseSheet, side: Side, *, of_both: bool = False
) -> tuple[Drawing, ...]:
    """A panel for each step of an exercise, its number and verb over it, all in one picture; one
    that is `of_both` knees names neither.

    Where somebody lies two panels stand beside each other, smaller. There is none where nothing
    is stored.
    """
    return _exercise(sheet, side, drawn_person(), of_both=of_both)


@lru_cache(maxsize=32)
def _exercise(
    sheet: ExerciseSheet, side: Side, person: DrawnPerson, *, of_both: bool
) -> tuple[Drawing, ...]:
    found = _figures(f"{sheet.id}_{person}")
    words = [
        coded("drawn_step", number=n, verb=ContentWords(sheet.steps[n - 1].verb))
        for figure in found
        for n in figure.steps
    ]
    title = coded("drawn_title", title=ContentWords(sheet.title))
    one = KNEES[side] if sheet.both_legs else coded("drawn_leg_meant", knee=KNEES[side])
    leg = () if of_both else (one,)
    named = None if of_both else KNEES[side]
    if not found:
        return ()
    if beside_each_other(found):
        return (row_picture(found, words, side, described((title, *leg, *words)), named),)
    shown, small = described((title, *leg, *words)), [one.smaller(_HALF) for one in found]
    return (row_picture(small, words, side, shown, named, columns=2),)


def exercise_small(sheet: ExerciseSheet, side: Side, number: int) -> Drawing | None:
    """An exercise as it is held, in one small picture under its number on the page, for whoever
    knows it; None where nothing is stored."""
    found = _figures(f"{sheet.id}_{drawn_person()}")
    if not found:
        return None
    timed = next((n for n, step in enumerate(sheet.steps, 1) if step.timed), 1)
    still = next((one for one in found if timed in one.steps), found[0])
    words = coded("drawn_number", number=number)
    title = coded("drawn_title", title=ContentWords(sheet.title))
    return small_panel(still, words, side, described((words, KNEES[side], title)))


def move_picture(move: MoveName, side: Side, *, of_both: bool = False) -> Drawing | None:
    """A check move, drawn under its name; None for the person's own. One that is `of_both` knees
    names neither."""
    name = "sit_to_stand" if move == "rise_from_chair" else move
    named = None if of_both else KNEES[side]
    told = coded("drawn_move", move=CodeOf("moves", move))
    shown = described((told,) if named is None else (named, told))
    return _wordless(name, side, shown, named)


def chair_stand_picture(side: Side = "right") -> Drawing | None:
    """Up from a chair with the arms crossed."""
    return _wordless(CHAIR_STAND, side, described((coded("drawn_chair_stand"),)), None)


def technique_still(
    sheet: TechniqueSheet, side: Side, seen: Viewpoint, wedges: int = 0, build: Build = "usual"
) -> Drawing:
    """The one picture of a technique on a knee of this build: its hands as they begin, which way
    they go, and by `wedges` how hard they press."""
    return _still(sheet, side, seen, wedges, f"{drawn_person()}_{build}")


@lru_cache(maxsize=32)
def _still(sheet: TechniqueSheet, side: Side, seen: Viewpoint, wedges: int, body: str) -> Drawing:
    return _hands(sheet, side, seen, body)(0, 0.0, wedges, True)


def technique_small(
    sheet: TechniqueSheet,
    side: Side,
    seen: Viewpoint,
    wedges: int,
    number: int,
    build: Build = "usual",
) -> Drawing:
    """The one picture of a technique, small, under its number on the page: for whoever knows it."""
    still = technique_still(sheet, side, seen, wedges, build)
    return knee_panel(still, coded("drawn_number", number=number), _cut(still, seen))


_OWN_CUT = (16.0, 16.0, 40.0)
_ACROSS_CUT = (0.0, 8.0, 8.0)
_BENT_CUT = (8.0, 46.0, 6.0)
"""What a small picture leaves out of each side, the top and the bottom, in millimetres: the end
at the hip, and nothing that hands or arrows reach."""


def technique_stills(
    sheet: TechniqueSheet, side: Side, seen: Viewpoint, wedges: int = 0, build: Build = "usual"
) -> tuple[Drawing, ...]:
    """How a place is found, where one is; the hands of a technique as they lie there and press,
    and as they move: a still for each step of `shown_steps`."""
    return _stills(sheet, side, seen, wedges, f"{drawn_person()}_{build}")


@lru_cache(maxsize=64)
def _stills(
    sheet: TechniqueSheet, side: Side, seen: Viewpoint, wedges: int, body: str
) -> tuple[Drawing, ...]:
    made = _hands(sheet, side, seen, body)
    pressed = [i for i, one in enumerate(_stored(sheet, seen, body)) if one.get("touch")]
    on = 0.25 if len(pressed) == 1 else 0.0
    laid, moving = made(0, 0.0, wedges, False), made(pressed[-1], on, 0, True)
    found = _find(sheet, side, seen, body)
    return (laid, moving) if found is None else (found, laid, moving)


def technique_find(
    sheet: TechniqueSheet, side: Side, seen: Viewpoint, build: Build = "usual"
) -> Drawing | None:
    """How the place of a technique is felt for, as its first step says; None where none is."""
    return _find(sheet, side, seen, f"{drawn_person()}_{build}")


@lru_cache(maxsize=32)
def _find(sheet: TechniqueSheet, side: Side, seen: Viewpoint, body: str) -> Drawing | None:
    if not _stored(sheet, seen, body, _FIND):
        return None
    return _hands(sheet, side, seen, body, _FIND)(0, 0.0, 0, True)


_FIND = "{seen}_{sheet}_find"
_HANDS_ON = "{seen}_{sheet}"


def technique_panels(
    sheet: TechniqueSheet, side: Side, seen: Viewpoint, wedges: int = 0, build: Build = "usual"
) -> tuple[Drawing, ...]:
    """The same stills, each under the number of its step, for whoever wants nothing to move."""
    stills = technique_stills(sheet, side, seen, wedges, build)
    return tuple(
        knee_panel(still, coded("drawn_number", number=number), _cut(still, seen))
        for number, still in zip(shown_steps(sheet)[-len(stills) :], stills, strict=True)
    )


def _cut(still: Drawing, seen: Viewpoint) -> tuple[float, float, float]:
    across = still.frame.width > still.frame.height
    return _OWN_CUT if seen == "own" else _ACROSS_CUT if across else _BENT_CUT


def shown_steps(sheet: TechniqueSheet) -> tuple[int, ...]:
    """The numbers of the steps that `technique_stills` shows: a place found, hands laid on it, and
    moving."""
    move = next(n for n, step in enumerate(sheet.steps, 1) if step.timed)
    found = (1,) if technique_find(sheet, "right", "own") else ()
    return *found, max(move - 1, 1), move


def technique_motion(sheet: TechniqueSheet, side: Side, seen: Viewpoint) -> Frames:
    """A technique as it moves, at the speed its words say; nothing but the hands is shown. It is
    drawn in motion on a knee of the usual build alone."""
    body = f"{drawn_person()}_usual"
    made = _hands(sheet, side, seen, body)
    seconds = [one.get("seconds", 1.0) for one in _stored(sheet, seen, body)]
    return Frames(moments(seconds), lambda still, on: made(still, on, 0, False))


def in_motion(sheet: TechniqueSheet, seen: Viewpoint) -> bool:
    """Whether what is stored of a technique says how it moves."""
    stills = _stored(sheet, seen, f"{drawn_person()}_usual")
    return len(stills) > 1 or "sway" in stills[0]


def wedges(pressure: PressureWord) -> int:
    """How many wedges say how hard: one for the lightest word, three at most."""
    return min(pressure.rank + 1, 3)


def _stored(
    sheet: TechniqueSheet, seen: Viewpoint, body: str, of: str = _HANDS_ON
) -> tuple[Stored, ...]:
    return stored_figures(f"{of.format(seen=seen, sheet=sheet.id)}_{body}")


@lru_cache(maxsize=64)
def _hands(
    sheet: TechniqueSheet, side: Side, seen: Viewpoint, body: str, of: str = _HANDS_ON
) -> Callable[[int, float, int, bool], Drawing]:
    """What draws one still of a technique, and how far on it is to the next."""
    stills = _stored(sheet, seen, body, of)
    what = coded("drawn_title", title=ContentWords(sheet.title))
    arrows, ways = figure_of(stills[0]).arrows, _ways(stills[0])
    words = _settled(sheet.id, seen, body)

    def made(still: int, on: float, wedges: int, which_way: bool) -> Drawing:
        one = stills[still]
        ground = stored_ground(one["ground"])
        figure = replace(figure_of(one, ground, on), arrows=arrows if which_way else ())
        told = [*_touched(one, side), *(ways if which_way else ())]
        if wedges:
            told.append(coded("drawn_wedges", count=wedges))
        near = wedges > 0 or which_way
        return hands_on_picture(side, seen, figure, what, words, told, wedges=wedges, near=near)

    return made


@lru_cache(maxsize=64)
def _settled(sheet: str, seen: Viewpoint, body: str) -> WordPlaces:
    """Where the words of a technique stand, clear of the hands of all its stills."""
    named = (of.format(seen=seen, sheet=sheet) for of in (_HANDS_ON, _FIND))
    stills = [one for name in named for one in stored_figures(f"{name}_{body}")]
    ground = stored_ground(stills[0]["ground"])
    first, *others = stills
    return settled(seen, [figure_of(first, ground), *map(figure_of, others)])


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
    measures = measures_of(plan, side)
    return _tape(drawn_person(), plan.tape, measures, side, stage, seen, step, moment)


@lru_cache(maxsize=64)
def _tape(
    person: DrawnPerson,
    tape: TapePlan,
    measures: KneeMeasures | None,
    side: Side,
    stage: int,
    seen: Viewpoint,
    step: int | None,
    moment: TapeMoment | None,
) -> Drawing:
    """Drawn once for a booklet, which shows a moment on several pages, and a page that is gone back
    to."""
    build = knee_from(measures).build
    bare = stored_knee(seen, person, build)
    if moment == "bend":
        bent = stored_knee("side", person, build, "bend")
        return bent_picture(tape, measures, side, seen, stage, bare, bent)
    return tape_scene(tape, measures, side, seen, stage, bare, hands(seen), step, moment)


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
            made.append(_flat(step.flat, length, float(plan.tape.width_mm), words))
        elif step.moment is not None:
            piece = step.piece or STRIPS_OF_STAGE[stage][-1]
            made.append(
                knee_panel(tape_picture(plan, side, stage, seen, piece, step.moment), words)
            )
    return tuple(made)


@lru_cache(maxsize=16)
def _flat(moment: CutMoment, length_mm: float | None, wide_mm: float, words: Coded) -> Drawing:
    return flat_picture(moment, length_mm, wide_mm, words, hands("own"))


def finding_panels(
    plan: Plan, side: Side, seen: Viewpoint, findings: Collection[Skin], *, patch: bool = False
) -> tuple[Drawing, ...]:
    """A panel for each of these answers to how the skin is, where the tape was, or a test piece."""
    measures = measures_of(plan, side)
    return tuple(
        _finding(drawn_person(), plan.tape, measures, side, seen, one, patch)
        for one in FINDINGS
        if one in findings
    )


@lru_cache(maxsize=32)
def _finding(
    person: DrawnPerson,
    tape: TapePlan,
    measures: KneeMeasures | None,
    side: Side,
    seen: Viewpoint,
    skin: Skin,
    patch: bool,
) -> Drawing:
    knee = knee_from(measures)
    bare = stored_knee(seen, person, knee.build, "thigh" if patch else "skin")
    laid = test_piece(knee, bare) if patch else taped(knee, tape, measures, bare, 1).strip(1)
    return finding_picture(knee, bare, laid, side, skin)


def patch_cut_picture(number: int, step: Step) -> Drawing:
    """A test piece being cut, at its step of a number; about as large as a stamp, as its words
    say."""
    words = coded("drawn_step", number=number, verb=ContentWords(step.verb))
    size = (PIECE_LONG_MM, PIECE_WIDE_MM)
    return flat_picture("cut", *size, words, hands("own"), measured=False)


def patch_picture(plan: Plan, side: Side, seen: Viewpoint) -> Drawing:
    """Where a test piece goes."""
    knee, what = knee_of(plan, side), coded("drawn_patch")
    thigh = stored_knee(seen, drawn_person(), knee.build, "thigh")
    return patch_scene(knee, thigh, View(side, seen), hands(seen), what)


def build_of(plan: Plan, side: Side) -> Build:
    """The build a knee is drawn in: as its measures say, or the usual one."""
    return knee_of(plan, side).build


def bare_knee(seen: Viewpoint, knee: Knee) -> BareKnee:
    """The drawn leg of this person's build."""
    return stored_knee(seen, drawn_person(), knee.build)


def zones_picture(
    side: Side,
    seen: Viewpoint,
    marked: Collection[Zone] = (),
    *,
    knee: Knee | None = None,
    counts: Mapping[Zone, int] | None = None,
    told: Coded | None = None,
) -> Drawing:
    """The sore zones of a knee, of the typical one where none is handed in."""
    knee = knee or Knee()
    bare = bare_knee(seen, knee)
    return zones_scene(knee, bare, View(side, seen), marked, counts=counts, told=told)


def zones_of(side: Side, seen: Viewpoint, knee: Knee) -> DrawnZones:
    """Where the zones lie on that picture."""
    return zone_map(knee, bare_knee(seen, knee), side)


def landmark_picture(
    landmark: Landmark, side: Side, seen: Viewpoint, *, knee: Knee | None = None
) -> Drawing:
    """How to find a landmark: a finger on it, and its name."""
    knee, view = knee or Knee(), View(side, seen)
    finger = coded(
        "drawn_digit", hand=hand_words("R" if seen == "own" else "L", side), digit=DIGITS["index"]
    )
    bare = bare_knee(seen, knee)
    return landmark_scene(landmark, knee, bare, view, hands(seen), finger)


def measuring_picture(side: Side, seen: Viewpoint, *, knee: Knee | None = None) -> Drawing:
    """What is measured: along the skin from the bony bump to the kneecap's upper edge."""
    knee = knee or Knee()
    return measuring_scene(knee, bare_knee(seen, knee), View(side, seen))


@lru_cache(maxsize=16)
def stored_knee(seen: str, sex: str, build: str, which: str = "skin") -> BareKnee:
    """The drawn leg of one body and its map: straight, its thigh (`which` "thigh"), or bent
    ("bend", `seen` from the "side"). Raises ValueError where there is none."""
    (stored,) = stored_figures(f"{which}_{seen}_{sex}_{build}")
    return BareKnee(figure_of(stored), skin_of(stored))


def hands(seen: Viewpoint) -> Hands:
    """The hands that lay tape, as these eyes see them."""
    return partial(_tape_hand, seen)


@lru_cache(maxsize=32)
def _tape_hand(seen: Viewpoint, name: str) -> TapeHand | None:
    found = stored_figures(f"tape_{seen}_{name}")
    return tape_hand_of(found[0]) if found else None


POSTURES: dict[Posture, Coded] = {
    "sitting_leg_straight": coded("drawn_sitting_straight"),
    "sitting_knee_bent": coded("drawn_sitting_bent"),
}
"""The ways one sits for hands and tape."""
CHAIR_DEGREES = 78
"""How far the knee of somebody is bent who sits on a chair (C)."""
_SEATS = {"seat_bed": (0, 20, 40, 60), "seat_chair": (78, 110)}
"""How far the knee is bent in each panel: along a bed, and on a chair."""


def posture_picture(posture: Posture, side: Side, bend_degrees: int | None = None) -> Drawing:
    """How one sits, from the outer side; `bend_degrees` (0 to 120) where the plan says how far: of
    those that are drawn the nearest is shown.

    Raises ValueError for a bend outside that range, KeyError for another posture.
    """
    if bend_degrees is not None and not 0 <= bend_degrees <= 120:
        raise ValueError(f"a knee does not bend {bend_degrees} degrees here")
    words, bend = POSTURES[posture], bend_degrees
    if bend_degrees:
        words = coded("drawn_bent", degrees=bend_degrees)
    if bend is None:
        bend = CHAIR_DEGREES if posture == "sitting_knee_bent" else 0
    drawn = [(name, i, at) for name, bends in _SEATS.items() for i, at in enumerate(bends)]
    name, number, _ = min(drawn, key=lambda one: abs(one[2] - bend))
    return seat_picture(_figures(f"{name}_{drawn_person()}")[number], side, words)


def plan_pictures(plan: Plan, catalogue: Catalogue) -> Iterator[tuple[str, Drawing]]:
    """Every picture of a knee a plan asks for, each with its name:
    `right-own-glide_inner_edge-1`.

    For each knee how one sits, and how it bends with tape on; then for each viewpoint the plan's
    techniques laid on (1) and moving (2), each tape stage up to the highest and each strip of it,
    and where there is tape the measuring guide, the test piece and taking off.
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
        for stage in range(1, plan.tape.highest + 1):
            last = STRIPS_OF_STAGE[stage][-1]
            bent = tape_picture(plan, side, stage, "own", last, "bend")
            yield f"{side}-tape-{stage}-bend", bent
        for viewpoint in viewpoints:
            lead = f"{side}-{viewpoint}"
            for sheet in sheets:
                stills = technique_stills(sheet, side, viewpoint, build=build_of(plan, side))
                for number, picture in enumerate(stills, 1):
                    yield f"{lead}-{sheet.id}-{number}", picture
            if plan.tape.highest:
                knee = knee_of(plan, side)
                for landmark in MEASURED_FROM:
                    found = landmark_picture(landmark, side, viewpoint, knee=knee)
                    yield f"{lead}-find-{landmark}", found
                yield f"{lead}-measure", measuring_picture(side, viewpoint, knee=knee)
                yield f"{lead}-test-piece", patch_picture(plan, side, viewpoint)
                for off in REMOVAL:
                    picture = tape_picture(plan, side, 1, viewpoint, 1, off)
                    yield f"{lead}-tape-off-{off}", picture
            for stage in range(1, plan.tape.highest + 1):
                yield f"{lead}-tape-{stage}", tape_picture(plan, side, stage, viewpoint)
                for step in STRIPS_OF_STAGE[stage]:
                    for moment in MOMENTS:
                        picture = tape_picture(plan, side, stage, viewpoint, step, moment)
                        yield f"{lead}-tape-{stage}-strip-{step}-{moment}", picture


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
    return _row(f"{name}_{drawn_person()}", side, shown, knee)


@lru_cache(maxsize=16)
def _row(name: str, side: Side, shown: Coded, knee: Coded | None) -> Drawing | None:
    found = _figures(name)
    return row_picture(found, [None] * len(found), side, shown, knee) if found else None


def _touched(still: Stored, side: Side) -> list[Coded]:
    """Which digit of which hand is where. What is stored is a right knee; on a left one the hands
    change sides."""
    return [
        coded("drawn_touch", hand=hand_words(hand, side), digit=DIGITS[digit], place=PLACES[place])
        for hand, digit, place in still.get("touch", [])
    ]  # fmt: skip


def _ways(still: Stored) -> list[Coded]:
    """Which way the arrows of a still go."""
    said = (
        coded("drawn_goes", place=PLACES[place]) if is_ == "go" else _WAYS[is_]
        for is_, place in still.get("ways", [])
    )
    return list(dict.fromkeys(said))


_WAYS: dict[str, Coded] = {
    "both": coded("drawn_to_and_fro"),
    "round": coded("drawn_in_circles"),
}


@lru_cache(maxsize=32)
def _figures(name: str) -> tuple[Figure, ...]:
    return tuple(figure_of(one) for one in stored_figures(name))
