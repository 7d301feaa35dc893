"""Whether the content of `resources/` holds together.

Every file is read strictly, by pydantic, and every reference is followed from one file to another:
each fault comes with its file, its place and a plain sentence.
"""

import functools
from collections import Counter
from collections.abc import Hashable, Iterable, Iterator
from pathlib import Path
from typing import Any, TypeVar, cast, get_args

from pydantic import TypeAdapter, ValidationError

from companion.care.catalogue import (
    Cautions,
    ExerciseSheet,
    HandsReady,
    IntendedUse,
    PlanTemplate,
    PressureWords,
    ShortGate,
    Sign,
    SoreZones,
    StopCard,
    StopCards,
    StopList,
    TapeSteps,
    TechniqueSheet,
    WhatIsKnown,
    WholeRange,
)
from companion.care.form import PlanForm
from companion.care.levels import PARTS
from companion.care.policy import CautionPolicy, Policy, SignPolicy, State, unknown_id
from companion.care.records import Level, Part
from companion.care.records import Zone as ZoneCode
from companion.wire.catalogue_reading import (
    CARDS_FILE,
    CAUTIONS_FILE,
    HANDS_READY_FILE,
    INTENDED_USE_FILE,
    KNOWN_FILE,
    PLAN_FORM_FILE,
    PRESSURE_FILE,
    SHORT_GATE_FILE,
    STOP_LIST_FILE,
    TAPE_STEPS_FILE,
    TECHNIQUES_FOLDER,
    TEMPLATES_FOLDER,
    ZONES_FILE,
)
from companion.wire.resource_reading import (
    EXERCISES_FOLDER,
    POLICY_FILE,
    CatalogueError,
    ResourceFault,
    json_of,
    names_in,
)

T = TypeVar("T")

IN_SESSION = 5


def check_all(folder: Path) -> tuple[ResourceFault, ...]:
    """Every fault of every resource file; empty when all is well.

    Files are read strictly first; references are followed only between files that read well.
    """
    faults: list[ResourceFault] = []

    def one(name: str, cls: type[T]) -> T | None:
        try:
            return read_strictly(folder, name, cls)
        except CatalogueError as error:
            faults.extend(error.faults)
            return None

    def each(part: str, cls: type[T]) -> dict[str, T]:
        names = names_in(folder, part)
        if not names:
            faults.append(ResourceFault(file=part, place="", fault="the folder holds no file"))
        read = {name: one(name, cls) for name in names}
        return {name: record for name, record in read.items() if record is not None}

    techniques = each(TECHNIQUES_FOLDER, TechniqueSheet)
    exercises = each(EXERCISES_FOLDER, ExerciseSheet)
    templates = each(TEMPLATES_FOLDER, PlanTemplate)
    pressures = one(PRESSURE_FILE, PressureWords)
    stop_list = one(STOP_LIST_FILE, StopList)
    policy = one(POLICY_FILE, Policy)
    cards = one(CARDS_FILE, StopCards)
    gate = one(SHORT_GATE_FILE, ShortGate)
    cautions = one(CAUTIONS_FILE, Cautions)
    policy = one(POLICY_FILE, Policy)
    zones = one(ZONES_FILE, SoreZones)
    tape = one(TAPE_STEPS_FILE, TapeSteps)
    one(HANDS_READY_FILE, HandsReady)
    one(KNOWN_FILE, WhatIsKnown)
    one(INTENDED_USE_FILE, IntendedUse)
    one(PLAN_FORM_FILE, PlanForm)

    for name, technique in techniques.items():
        faults += _technique_faults(name, technique, pressures, cautions)
    for name, exercise in exercises.items():
        faults += _exercise_faults(name, exercise, cautions)
    if pressures is not None:
        faults += _pressure_faults(pressures)
    if stop_list is not None:
        faults += _stop_list_faults(stop_list, cards)
    if policy is not None:
        faults += _policy_faults(policy, stop_list, cautions)
    if gate is not None:
        faults += _gate_faults(gate, stop_list)
    if cautions is not None:
        faults += _caution_faults(cautions, policy)
    if zones is not None:
        faults += _zone_faults(zones)
    if tape is not None:
        faults += _tape_faults(tape)
    for name, template in templates.items():
        faults += _template_faults(name, template, techniques, exercises)
    return tuple(faults)


def read_strictly(folder: Path, name: str, cls: type[T]) -> T:
    """One resource file through pydantic. Raises CatalogueError with every fault of the file."""
    json_of(folder, name)
    try:
        return cast(T, _adapter(cast(Hashable, cls)).validate_json((folder / name).read_bytes()))
    except ValidationError as error:
        raise CatalogueError(
            *(
                ResourceFault(file=name, place=_place(item["loc"]), fault=_fault_words(item))
                for item in error.errors(include_url=False)
            )
        ) from None


@functools.cache
def _adapter(cls: Any) -> Any:
    return TypeAdapter(cls)


def _place(location: tuple[int | str, ...]) -> str:
    place = ""
    for part in location:
        if isinstance(part, int):
            place += f"[{part}]"
        else:
            place += f".{part}" if place else part
    return place


_FAULT_WORDS = {
    "missing": "is missing",
    "unexpected_keyword_argument": "is not a field of this file",
    "literal_error": "{value!r} is not one of {expected}",
    "string_pattern_mismatch": "{value!r} is not an id of small letters, digits and underscores",
    "greater_than_equal": "{value!r} is below {ge}",
    "less_than_equal": "{value!r} is above {le}",
    "string_too_short": "the text is empty or too short",
    "string_too_long": "the text is longer than {max_length} characters",
    "string_type": "{value!r} is not text",
    "int_type": "{value!r} is not a whole number",
    "int_from_float": "{value!r} is not a whole number",
    "bool_type": "{value!r} is not true or false",
    "tuple_type": "a list is expected",
    "dataclass_type": "an object is expected",
}


def _fault_words(item: Any) -> str:
    words = _FAULT_WORDS.get(item["type"])
    if words is None:
        return str(item["msg"])
    return words.format(value=item["input"], **item.get("ctx", {}))


# ---------------------------------------------------------------- references


def _doubled(file: str, place: str, ids: Iterable[str]) -> Iterator[ResourceFault]:
    for name, count in Counter(ids).items():
        if count > 1:
            yield ResourceFault(file=file, place=place, fault=f"{name!r} stands {count} times")


def _range_faults(file: str, place: str, asked: WholeRange) -> Iterator[ResourceFault]:
    if not asked.lowest <= asked.default <= asked.highest:
        yield ResourceFault(
            file=file,
            place=f"{place}.default",
            fault=f"{asked.default} is not between {asked.lowest} and {asked.highest}",
        )


def _unknown_cautions(
    file: str, place: str, named: Iterable[str], cautions: Cautions | None
) -> Iterator[ResourceFault]:
    if cautions is None:
        return
    known = {caution.id for caution in cautions.cautions}
    for index, caution_id in enumerate(named):
        if caution_id not in known:
            yield ResourceFault(
                file=file,
                place=f"{place}[{index}]",
                fault=f"{caution_id!r} is not a caution of {CAUTIONS_FILE}",
            )


def _name_fault(file: str, record_id: str) -> Iterator[ResourceFault]:
    if Path(file).stem != record_id:
        yield ResourceFault(
            file=file, place="id", fault=f"{record_id!r} differs from the name of the file"
        )


def _technique_faults(
    file: str,
    technique: TechniqueSheet,
    pressures: PressureWords | None,
    cautions: Cautions | None,
) -> Iterator[ResourceFault]:
    yield from _name_fault(file, technique.id)
    yield from _unknown_cautions(file, "not_with", technique.not_with, cautions)
    yield from _range_faults(file, "seconds", technique.seconds)
    yield from _range_faults(file, "repeats", technique.repeats)
    if pressures is not None and technique.pressure not in {word.id for word in pressures.words}:
        yield ResourceFault(
            file=file,
            place="pressure",
            fault=f"{technique.pressure!r} is not a pressure word of {PRESSURE_FILE}",
        )
    timed = sum(step.timed for step in technique.steps)
    if timed != 1:
        yield ResourceFault(
            file=file, place="steps", fault=f"{timed} steps are timed; exactly one must be"
        )
    if technique.standing or technique.posture == "standing":
        yield ResourceFault(
            file=file, place="posture", fault="hands-on techniques are done sitting or lying"
        )
    if "back_of_knee" in technique.zones:
        yield ResourceFault(file=file, place="zones", fault="no hands go to the back of the knee")
    for index, step in enumerate(technique.steps):
        if not step.anchors:
            yield ResourceFault(
                file=file, place=f"steps[{index}].anchors", fault="names no landmark"
            )


def _exercise_faults(
    file: str, exercise: ExerciseSheet, cautions: Cautions | None
) -> Iterator[ResourceFault]:
    yield from _name_fault(file, exercise.id)
    yield from _unknown_cautions(file, "not_with", exercise.not_with, cautions)
    for place in ("repeats", "sets", "hold_seconds", "rest_seconds"):
        yield from _range_faults(file, place, getattr(exercise, place))
    timed = sum(step.timed for step in exercise.steps)
    if timed != (1 if exercise.hold_seconds.highest else 0):
        yield ResourceFault(
            file=file,
            place="steps",
            fault=f"{timed} steps are timed; one must be when there is a hold, else none",
        )
    if exercise.standing != (exercise.posture == "standing"):
        yield ResourceFault(file=file, place="standing", fault="does not fit the posture")


def _pressure_faults(pressures: PressureWords) -> Iterator[ResourceFault]:
    yield from _doubled(PRESSURE_FILE, "words", (word.id for word in pressures.words))
    yield from _doubled(PRESSURE_FILE, "words", (f"rank {word.rank}" for word in pressures.words))
    if not pressures.words:
        yield ResourceFault(file=PRESSURE_FILE, place="words", fault="holds no word")


def _stop_list_faults(stop_list: StopList, cards: StopCards | None) -> Iterator[ResourceFault]:
    signs = {sign.id: sign for sign in stop_list.signs}
    yield from _doubled(STOP_LIST_FILE, "signs", (sign.id for sign in stop_list.signs))
    by_id: dict[str, StopCard] = {}
    if cards is not None:
        by_id = {card.id: card for card in cards.cards}
        yield from _doubled(CARDS_FILE, "cards", (card.id for card in cards.cards))
        used = {sign.card for sign in (*stop_list.signs, *stop_list.unknown)}
        for index, card in enumerate(cards.cards):
            if card.id not in used:
                yield ResourceFault(
                    file=CARDS_FILE, place=f"cards[{index}].id", fault="no sign leads to this card"
                )
            yield from _card_faults(f"cards[{index}]", card)
    for index, sign in enumerate(stop_list.signs):
        yield from _sign_faults(f"signs[{index}]", sign, signs)
    standing_in = [(sign.id, sign.level, sign.asked_when) for sign in stop_list.unknown]
    levels: tuple[Level, ...] = ("emergency", "today", "call")
    if standing_in != [(unknown_id(level), level, "unknown") for level in levels]:
        words = "has no row for each level from call on"
        yield ResourceFault(file=STOP_LIST_FILE, place="unknown", fault=words)
    places = [f"signs[{index}]" for index in range(len(stop_list.signs))]
    places += [f"unknown[{index}]" for index in range(len(stop_list.unknown))]
    for place, sign in zip(places, (*stop_list.signs, *stop_list.unknown), strict=True):
        if cards is None:
            continue
        behind = by_id.get(sign.card)
        if behind is None:
            yield ResourceFault(
                file=STOP_LIST_FILE,
                place=f"{place}.card",
                fault=f"{sign.card!r} is not a card of {CARDS_FILE}",
            )
        elif behind.level != sign.level:
            yield ResourceFault(
                file=STOP_LIST_FILE,
                place=f"{place}.level",
                fault=f"is {sign.level!r}, but its card is {behind.level!r}",
            )


def _card_faults(place: str, card: StopCard) -> Iterator[ResourceFault]:
    if not card.actions:
        yield ResourceFault(file=CARDS_FILE, place=f"{place}.actions", fault="holds no action")
    if card.level == "care":
        return
    for field in ("contacts", "by_when", "say"):
        if not getattr(card, field):
            yield ResourceFault(
                file=CARDS_FILE,
                place=f"{place}.{field}",
                fault=f"is missing on a card of level {card.level!r}",
            )
    if card.level == "emergency" and card.contacts[:1] != ("emergency",):
        yield ResourceFault(
            file=CARDS_FILE, place=f"{place}.contacts", fault="must begin with 'emergency'"
        )


def _policy_fault(place: str, words: str) -> ResourceFault:
    return ResourceFault(file=POLICY_FILE, place=place, fault=words)


def _policy_faults(
    policy: Policy, stop_list: StopList | None, cautions: Cautions | None
) -> Iterator[ResourceFault]:
    """That every sign and state has one row, and each row its rule and what must go with it."""
    rows = [row.sign for row in policy.signs]
    states = [row.state for row in policy.states]
    yield from _doubled(POLICY_FILE, "signs", rows)
    yield from _doubled(POLICY_FILE, "rules", [rule.id for rule in policy.rules])
    yield from _doubled(POLICY_FILE, "states", states)
    signs = {sign.id: sign for sign in stop_list.signs} if stop_list else {}
    if signs:
        for lost in signs.keys() - {*rows}:
            yield _policy_fault("signs", f"the sign {lost!r} has no row")
        for unknown in {*rows} - signs.keys():
            yield _policy_fault("signs", f"the stop list has no sign {unknown!r}")
    for state in {*get_args(State)} - {*states}:
        yield _policy_fault("states", f"the state {state!r} has no row")
    known = {rule.id for rule in policy.rules}
    ruled: list[tuple[str, str, tuple[Part, ...]]] = [
        *((f"signs[{n}]", row.rule, row.parts) for n, row in enumerate(policy.signs)),
        *((f"unknown[{n}]", row.rule, row.parts) for n, row in enumerate(policy.unknown)),
        *((f"cautions[{n}]", row.rule, row.closes) for n, row in enumerate(policy.cautions)),
        *((f"states[{n}]", row.rule, row.closes) for n, row in enumerate(policy.states)),
    ]
    for place, rule, closes in ruled:
        if rule not in known:
            yield _policy_fault(f"{place}.rule", f"no rule has the id {rule!r}")
        if "tape_on" in closes and "outing_tape" not in closes:
            words = "where no tape goes on, none goes on for an outing"
            yield _policy_fault(f"{place}.closes", words)
    there = {one.id for one in cautions.cautions} if cautions else set()
    for n, caution in enumerate(policy.cautions):
        if there and caution.caution not in there:
            words = f"no caution has the id {caution.caution!r}"
            yield _policy_fault(f"cautions[{n}].caution", words)
    for n, row in enumerate(policy.signs):
        if row.sign in signs:
            yield from _row_faults(f"signs[{n}]", row, signs[row.sign])
    standing_in = stop_list.unknown if stop_list else ()
    if stop_list and [row.sign for row in policy.unknown] != [sign.id for sign in standing_in]:
        yield _policy_fault("unknown", "has not the rows of the stop list")
    for n, (row, sign) in enumerate(zip(policy.unknown, standing_in, strict=False)):
        yield from _row_faults(f"unknown[{n}]", row, sign)
        if not row.parts:
            yield _policy_fault(f"unknown[{n}]", "what nobody knows closes something")


def _row_faults(place: str, row: SignPolicy, sign: Sign) -> Iterator[ResourceFault]:
    """What the level of a sign asks of its row."""
    if sign.level in ("emergency", "today"):
        if row.parts != PARTS:
            words = f"level {sign.level!r} must close every part"
            yield _policy_fault(f"{place}.closes", words)
        if row.ends != "session":
            yield _policy_fault(f"{place}.ends", f"level {sign.level!r} must end the session")
    if sign.level == "emergency":
        if any(one.opens != ("checked_by_professional",) for one in row.closes):
            yield _policy_fault(f"{place}.closes", "only a professional opens an emergency")
        if row.known_since:
            yield _policy_fault(f"{place}.known_since", "an emergency is never known")
    if row.known_knee and not row.known_since:
        yield _policy_fault(f"{place}.known_knee", "is said of what may be known")
    if row.known_since != (sign.known_words is not None):
        yield _policy_fault(f"{place}.known_since", "goes with known_words of the stop list")


def _sign_faults(place: str, sign: Sign, signs: dict[str, Sign]) -> Iterator[ResourceFault]:
    def fault(field: str, words: str) -> ResourceFault:
        return ResourceFault(file=STOP_LIST_FILE, place=f"{place}.{field}", fault=words)

    if sign.known_as is not None:
        stand_in = signs.get(sign.known_as)
        if stand_in is None or stand_in.level != "care" or stand_in.asked_when != "known":
            yield fault("known_as", f"{sign.known_as!r} is not a care sign asked when known")
    if (sign.question == IN_SESSION) != (sign.asked_when in ("in_session", "tape_worn")):
        yield fault("question", "is 5 for signs of the session and the tape")
    if sign.question is None and sign.asked_when not in ("stop", "follows", "state"):
        yield fault("question", "is missing for a sign with a row of its own")
    yield from _lead_faults(place, sign, signs)


def _lead_faults(place: str, sign: Sign, signs: dict[str, Sign]) -> Iterator[ResourceFault]:
    """The questions behind a row, and the signs it leads to."""

    def fault(field: str, words: str) -> ResourceFault:
        return ResourceFault(file=STOP_LIST_FILE, place=f"{place}.{field}", fault=words)

    asked = [question.id for question in sign.questions]
    yield from _doubled(STOP_LIST_FILE, f"{place}.questions", asked)
    used = [name for lead in sign.leads for group in lead.met_when for name in group]
    for question_id in used:
        if question_id not in asked:
            yield fault("leads", f"{question_id!r} is not a question of this sign")
    for index, question_id in enumerate(asked):
        if question_id not in used:
            yield fault(f"questions[{index}].id", "is asked, but no lead uses it")
    for index, lead in enumerate(sign.leads):
        if lead.sign not in signs:
            yield fault(f"leads[{index}].sign", f"{lead.sign!r} is not a sign of this list")
        if () in lead.met_when:
            yield fault(f"leads[{index}].met_when", "holds an empty group")
    if sign.leads and sign.leads[-1].met_when:
        yield fault("leads", "must end with one that always holds: no tick stays without a card")
    if bool(sign.leads) != bool(sign.questions):
        yield fault("leads", "goes with questions")
    worse = signs.get(sign.worse_as) if sign.worse_as is not None else sign
    if worse is None:
        yield fault("worse_as", f"{sign.worse_as!r} is not a sign of this list")
    for name in sign.two_of.signs if sign.two_of else ():
        if name not in signs:
            yield fault("two_of", f"{name!r} is not a sign of this list")


def _gate_faults(gate: ShortGate, stop_list: StopList | None) -> Iterator[ResourceFault]:
    numbers = tuple(question.number for question in gate.questions)
    if numbers != (1, 2, 3, 4, 5):
        yield ResourceFault(
            file=SHORT_GATE_FILE, place="questions", fault="must be numbered 1, 2, 3, 4, 5"
        )
    if stop_list is None:
        return
    signs = {sign.id: sign for sign in stop_list.signs}
    for index, question in enumerate(gate.questions):
        place = f"questions[{index}]"
        rows = [sign for sign in stop_list.signs if sign.question == question.number]
        if not rows:
            yield ResourceFault(
                file=SHORT_GATE_FILE, place=place, fault="no sign of the stop list belongs to it"
            )
        unsure = signs.get(question.not_sure)
        if unsure is None or unsure.asked_when != "follows":
            yield ResourceFault(
                file=SHORT_GATE_FILE,
                place=f"{place}.not_sure",
                fault=f"{question.not_sure!r} is not a sign that follows",
            )
        topics = {topic.id for topic in question.topics}
        for sign in rows:
            if sign.asked_when == "follows":
                continue
            if (sign.topic is None) == bool(topics) or (sign.topic and sign.topic not in topics):
                yield ResourceFault(
                    file=STOP_LIST_FILE,
                    place=f"signs[{stop_list.signs.index(sign)}].topic",
                    fault=f"{sign.topic!r} is not a topic of question {question.number}",
                )
        for topic in sorted(topics - {sign.topic for sign in rows}):
            yield ResourceFault(
                file=SHORT_GATE_FILE, place=f"{place}.topics", fault=f"no sign is about {topic!r}"
            )


ASKED_ONLY_IN = {"lightest_hands": {"hands"}, "daily_look": {"tape_on", "outing_tape"}}
"""What would ask for nothing in other parts."""


def _caution_faults(cautions: Cautions, policy: Policy | None) -> Iterator[ResourceFault]:
    yield from _doubled(CAUTIONS_FILE, "cautions", (caution.id for caution in cautions.cautions))
    yield from _doubled(CAUTIONS_FILE, "groups", (group.id for group in cautions.groups))
    groups = {group.id for group in cautions.groups}
    for index, caution in enumerate(cautions.cautions):
        if caution.group not in groups:
            yield ResourceFault(
                file=CAUTIONS_FILE,
                place=f"cautions[{index}].group",
                fault=f"{caution.group!r} is not a group",
            )
    if policy is None:
        return
    named = [row.caution for row in policy.cautions]
    yield from _unknown_cautions(POLICY_FILE, "cautions", named, cautions)
    yield from _doubled(POLICY_FILE, "cautions", named)
    for index, row in enumerate(policy.cautions):
        yield from _caution_row_faults(f"cautions[{index}]", row, cautions)
    for missing in [caution.id for caution in cautions.cautions if caution.id not in named]:
        yield ResourceFault(file=POLICY_FILE, place="cautions", fault=f"{missing!r} is missing")


def _caution_row_faults(
    place: str, row: CautionPolicy, cautions: Cautions
) -> Iterator[ResourceFault]:
    dated = {caution.id for caution in cautions.cautions if caution.dated}
    wrong = (
        (not row.guards, "", "does nothing"),
        (bool(row.rest) != (row.caution in dated), ".rest", "goes with a caution that is dated"),
        (bool(row.rest) != (row.rest_days is not None), ".rest_days", "goes with what rests"),
        *(
            (
                not set(ask.parts) <= ASKED_ONLY_IN[ask.ask],
                ".asks",
                f"{ask.ask!r} asks nothing there",
            )
            for ask in row.asks
            if ask.ask in ASKED_ONLY_IN
        ),
    )
    for holds, end, fault in wrong:
        if holds:
            yield ResourceFault(file=POLICY_FILE, place=f"{place}{end}", fault=fault)


def _zone_faults(zones: SoreZones) -> Iterator[ResourceFault]:
    yield from _doubled(ZONES_FILE, "zones", (zone.id for zone in zones.zones))
    for missing in sorted(set(get_args(ZoneCode)) - {zone.id for zone in zones.zones}):
        yield ResourceFault(file=ZONES_FILE, place="zones", fault=f"{missing!r} is missing")


def _tape_faults(tape: TapeSteps) -> Iterator[ResourceFault]:
    if tuple((stage.stage, stage.adds_to) for stage in tape.stages) != ((1, 0), (2, 1)):
        yield ResourceFault(
            file=TAPE_STEPS_FILE,
            place="stages",
            fault="must be stage 1 on bare skin, then stage 2 on stage 1",
        )
    numbered = 0
    for index, stage in enumerate(tape.stages):
        pieces = {step.piece for step in stage.steps if step.piece is not None}
        if pieces != set(range(numbered + 1, numbered + stage.pieces + 1)):
            yield ResourceFault(
                file=TAPE_STEPS_FILE,
                place=f"stages[{index}].steps",
                fault=f"must number its {stage.pieces} pieces on from {numbered + 1}",
            )
        numbered += stage.pieces
        for place, step in enumerate(stage.steps):
            # Without its moment a strip would be shown as laid while it is not.
            if (step.piece is not None) != (step.moment not in {None, "rub", "bend"}):
                yield ResourceFault(
                    file=TAPE_STEPS_FILE,
                    place=f"stages[{index}].steps[{place}]",
                    fault="must name the moment of its piece; other steps only 'rub' or 'bend'",
                )
    yield from _doubled(
        TAPE_STEPS_FILE, "skin_findings", (finding.id for finding in tape.skin_findings)
    )
    for index, reading in enumerate(tape.patch_test.readings):
        if reading.earliest_hours > reading.latest_hours:
            yield ResourceFault(
                file=TAPE_STEPS_FILE,
                place=f"patch_test.readings[{index}]",
                fault="ends before it begins",
            )


def _template_faults(
    file: str,
    template: PlanTemplate,
    techniques: dict[str, TechniqueSheet],
    exercises: dict[str, ExerciseSheet],
) -> Iterator[ResourceFault]:
    yield from _name_fault(file, template.id)
    for index, technique in enumerate(template.techniques):
        sheet = techniques.get(f"{TECHNIQUES_FOLDER}/{technique.technique}.json")
        place = f"techniques[{index}]"
        if sheet is None:
            yield ResourceFault(
                file=file,
                place=f"{place}.technique",
                fault=f"{technique.technique!r} is not a technique of {TECHNIQUES_FOLDER}",
            )
            continue
        if technique.taught_on is not None:
            yield ResourceFault(
                file=file, place=f"{place}.taught_on", fault="nothing in a template is taught"
            )
        yield from _outside(file, f"{place}.seconds", technique.seconds, sheet.seconds)
        yield from _outside(file, f"{place}.repeats", technique.repeats, sheet.repeats)
    for index, exercise in enumerate(template.exercises):
        exercise_sheet = exercises.get(f"{EXERCISES_FOLDER}/{exercise.exercise}.json")
        place = f"exercises[{index}]"
        if exercise_sheet is None:
            yield ResourceFault(
                file=file,
                place=f"{place}.exercise",
                fault=f"{exercise.exercise!r} is not an exercise of {EXERCISES_FOLDER}",
            )
            continue
        if exercise.taught_on is not None:
            yield ResourceFault(
                file=file, place=f"{place}.taught_on", fault="nothing in a template is taught"
            )
        for field in ("repeats", "sets", "hold_seconds"):
            yield from _outside(
                file, f"{place}.{field}", getattr(exercise, field), getattr(exercise_sheet, field)
            )
    tape = template.tape
    if tape.highest and tape.start > tape.highest:
        yield ResourceFault(
            file=file, place="tape.start", fault=f"is above the highest stage {tape.highest}"
        )
    if (tape.when == "never") != (tape.highest == 0):
        yield ResourceFault(
            file=file, place="tape.highest", fault="is 0 when the plan never tapes, else 1 or 2"
        )
    if tape.cap_hours < tape.wear_hours:
        yield ResourceFault(
            file=file, place="tape.cap_hours", fault=f"is below the due time {tape.wear_hours}"
        )


def _outside(file: str, place: str, value: int, allowed: WholeRange) -> Iterator[ResourceFault]:
    if not allowed.lowest <= value <= allowed.highest:
        yield ResourceFault(
            file=file,
            place=place,
            fault=f"{value} is not between {allowed.lowest} and {allowed.highest}",
        )
