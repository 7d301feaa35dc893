"""A diary as an HL7 FHIR R4 (4.0.1) collection Bundle, for systems that keep records of care.

In it are: the person under the clinic's code and nothing else; what the plan is for; each plan
version; one Observation for every pain value, for activities, amounts and the other answers of a
day, and for chair stands; skin that tape did not leave clear, as adverse events; and what was
corrected. Notes, questions, goals and warning signs stay in the diary file: free text about a
person is no coded value, and a warning without its card says too little.

The same diary gives the same bytes. Ids come from the ids of the entries, so that a diary handed
over again brings the same resources, changed ones as `amended`. What nobody was asked is not
there; what was asked and left out says so and has no value.

Codes: LOINC 72514-3, 66247-8 and 93125-3; and where asked for, because not every country is
licensed to use it, SNOMED CT 239873007, 430725003, 6757004 and 82169009. Notices:
resources/notices.txt.
"""

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from uuid import UUID, uuid5

from companion.care.clocks import newest_written, that_count
from companion.care.coded import KNEES, Coded, CodeOf, ContentWords, Say, coded
from companion.care.course import made_again
from companion.care.days import diary_day, is_late
from companion.care.history import trees
from companion.care.json_values import JsonObject, JsonValue
from companion.care.records import (
    AnyEntry,
    DayPage,
    Diary,
    Exercise,
    Measurement,
    MoveScore,
    Outing,
    PatchTest,
    Plan,
    Session,
    Side,
    Skin,
    StepDone,
    TapeOff,
    TapeOn,
)
from companion.evidence.taping import WATCHED_SKIN

LOINC = "http://loinc.org"
SNOMED = "http://snomed.info/sct"
UCUM = "http://unitsofmeasure.org"
_HL7 = "http://terminology.hl7.org/CodeSystem/"

PAIN = "72514-3"  # (fact: loinc_pain)
CHAIR_STAND = "66247-8"  # (fact: loinc_chair_stand)
CHAIR_STAND_WITH_ARMS = "93125-3"  # (fact: loinc_chair_stand_arms)
"""66247-8 counts stands without arms alone; its own definition sends stands with arms here."""
SIDES: dict[Side, str] = {"right": "6757004", "left": "82169009"}  # (fact: snomed_sides)
REASONS = {
    "osteoarthritis": ("239873007", coded("fhir_osteoarthritis")),
    "kneecap_pain": ("430725003", coded("fhir_kneecap_pain")),
}  # (fact: snomed_reasons)
_LOINC_NAMES = {
    PAIN: "Pain severity - 0-10 verbal numeric rating [Score] - Reported",
    CHAIR_STAND: "Sit to stand frequency in 30 seconds",
    CHAIR_STAND_WITH_ARMS: "Modified 30 seconds Sit to stand --with use of upper extremities",
}
_UNITS = {unit: unit for unit in ("mm", "cm", "m", "km", "s", "min", "h", "kg")} | {
    unit: f"{{{unit}}}" for unit in ("steps", "stairs", "floors", "times", "laps")
}
"""Units of a table with their UCUM codes; counted things are annotations, of unit one."""
_SCORE = {"unit": "{score}", "system": UCUM, "code": "{score}"}

_OURS = UUID("6f1c2a0e-8d0b-5a44-9b57-0c5f2b6d7e31")
"""The name space of our ids, drawn once. Changing it gives every resource another id."""

MOST_OFFSET = timedelta(hours=14)

Content = bool | int | float | str | Coded | Sequence["Content"] | Mapping[str, "Content"] | None
"""JSON before its words are said; a tuple holds the parts of one text."""
Resource = dict[str, Content]


def write_bundle(diary: Diary, say: Say, titles: Mapping[str, str], *, snomed: bool = False) -> str:
    """The Bundle of a diary as JSON text; `say` has the words of what is read, `titles` those of
    techniques and exercises by key."""
    made = bundle(diary, say, titles, snomed=snomed)
    return json.dumps(made, ensure_ascii=False, allow_nan=False, indent=1) + "\n"


def bundle(
    diary: Diary, say: Say, titles: Mapping[str, str], *, snomed: bool = False
) -> JsonObject:
    """The Bundle of a diary as JSON values; knees and reasons in words, with `snomed` coded too."""
    plans = sorted(diary.plans, key=lambda plan: plan.version)
    made = _Made(
        patient=_id("patient", plans[0].person, plans[0].written_on.isoformat()),
        plans={plan.version: _id("plan", plan.person, str(plan.version)) for plan in plans},
        titles=titles,
        snomed=snomed,
    )
    code: Resource = {"type": {"text": coded("fhir_clinic_code")}, "value": plans[0].person}
    made.add("Patient", made.patient, {"identifier": [code]})
    conditions = _add_conditions(made, plans)
    for number, plan in enumerate(plans):
        after = plans[number + 1] if number + 1 < len(plans) else None
        before = plans[number - 1] if number else None
        content = _care_plan(made, plan, before, after)
        if plan.reason in REASONS:
            content["addresses"] = [_to(conditions[plan.reason, side]) for side in plan.sides]
        made.add("CarePlan", made.plans[plan.version], content)
    tree_of = {entry.id: tree for tree in trees(diary.entries) for entry in tree}
    counting = that_count(diary)
    rivals = _rivals(diary.entries, {entry.id for entry in counting}, tree_of)
    for entry in counting:
        _add_entry(made, entry, tree_of[entry.id], rivals.get(entry.id, ()))
    made.entry += made.provenance
    whole: Resource = {"resourceType": "Bundle", "type": "collection"}
    newest = newest_written(diary)
    if newest is not None:
        whole["timestamp"] = newest.astimezone(UTC).isoformat()
    whole["entry"] = made.entry
    return {key: _said(content, say) for key, content in whole.items()}


def _said(content: Content, say: Say) -> JsonValue:
    """The same with every `Coded` in words."""
    if isinstance(content, Coded):
        return say(content)
    if isinstance(content, tuple):
        return "; ".join(say(part) for part in content)
    if isinstance(content, Mapping):
        return {key: _said(item, say) for key, item in content.items()}
    if isinstance(content, Sequence) and not isinstance(content, str):
        return [_said(item, say) for item in content]
    return content


@dataclass(slots=True)
class _Made:
    """The resources so far, and the ids that others refer to."""

    patient: str
    plans: dict[int, str]
    titles: Mapping[str, str]
    snomed: bool
    entry: list[Resource] = field(default_factory=list)
    provenance: list[Resource] = field(default_factory=list)

    def add(self, kind: str, its_id: str, content: Resource) -> None:
        self.entry.append(_entry(kind, its_id, content))

    def title(self, step: str) -> ContentWords:
        """What a technique or exercise is called; its key where it has gone from the content."""
        return ContentWords(self.titles.get(step, step.replace("_", " ")))


def _entry(kind: str, its_id: str, content: Resource) -> Resource:
    resource = {"resourceType": kind, "id": its_id} | content
    return {"fullUrl": f"urn:uuid:{its_id}", "resource": resource}


def _id(*names: str) -> str:
    return str(uuid5(_OURS, json.dumps(names)))


def _to(its_id: str) -> Resource:
    return {"reference": f"urn:uuid:{its_id}"}


def _concept(
    system: str, code: str, text: Coded | None = None, name: str | None = None
) -> Resource:
    coding = {"system": system, "code": code} | ({"display": name} if name else {})
    return {"coding": [coding]} | ({"text": text} if text else {})


def _when(when: date | datetime) -> str:
    """A day, or an instant with its offset. FHIR knows offsets up to 14 hours, no others."""
    if isinstance(when, datetime) and abs(when.utcoffset() or timedelta()) > MOST_OFFSET:
        when = when.astimezone(UTC)
    return when.isoformat()


def _text(words: str) -> str | Coded:
    """Text as FHIR allows it: no white space but the plain one, and never empty."""
    return " ".join(words.split()) or coded("fhir_unnamed")


def _code_words(table: str, code: str) -> Coded:
    """The words of a code, alone."""
    return coded("fhir_code", code=CodeOf(table, code))


# ---------------------------------------------------------------- the plan


def _add_conditions(made: _Made, plans: Sequence[Plan]) -> dict[tuple[str, Side], str]:
    """What the plans are for: a condition for each reason and knee. `other` has no code."""
    found: dict[tuple[str, Side], list[Plan]] = {}
    for plan in plans:
        for side in plan.sides:
            if plan.reason in REASONS:
                found.setdefault((plan.reason, side), []).append(plan)
    ids = {}
    for (reason, side), named_in in found.items():
        code, text = REASONS[reason]
        ids[reason, side] = _id("condition", made.patient, reason, side)
        status = "active" if plans[-1] in named_in else "inactive"
        content: Resource = {
            "clinicalStatus": _concept(f"{_HL7}condition-clinical", status),
            "code": _of_snomed(made, code, text),
            "bodySite": [_site(made, side)],
            "subject": _to(made.patient),
            "recordedDate": named_in[0].written_on.isoformat(),
        }
        if all(plan.practice for plan in named_in):
            # Nobody answers for a practice plan, nor for what it is for.
            content["verificationStatus"] = _concept(f"{_HL7}condition-ver-status", "unconfirmed")
        made.add("Condition", ids[reason, side], content)
    return ids


def _care_plan(made: _Made, plan: Plan, before: Plan | None, after: Plan | None) -> Resource:
    """One version: draft while nobody signed it, completed once a later one is there."""
    status = "draft" if plan.practice else "active" if after is None else "completed"
    period = {"start": plan.written_on.isoformat()}
    if after is not None and after.written_on >= plan.written_on:
        period["end"] = after.written_on.isoformat()
    content: Resource = {
        "identifier": [{"type": {"text": coded("fhir_plan_version")}, "value": str(plan.version)}],
        "status": status,
        "intent": "plan",
        "title": coded("fhir_plan", version=plan.version),
        "subject": _to(made.patient),
        "period": period,
        "created": plan.written_on.isoformat(),
        "activity": [{"detail": detail} for detail in _details(made, plan, status)],
    }
    if before is not None:
        content["replaces"] = [_to(made.plans[before.version])]
    if plan.sign_off is not None:
        signed = f"{plan.sign_off.name}, {plan.sign_off.registration}"
        content["author"] = {"display": _text(signed)}
    return content


def _details(made: _Made, plan: Plan, status: str) -> Iterator[Resource]:
    """The parts of a plan: hands, exercise, tape, review."""
    state = {"draft": "not-started", "active": "in-progress"}.get(status, "completed")
    hands = tuple(
        coded(
            "fhir_technique",
            technique=made.title(one.technique),
            repeats=one.repeats,
            seconds=one.seconds,
        )
        for one in plan.techniques
    )
    exercises = tuple(_exercise(made, one) for one in plan.exercises)
    for name, parts, days in (
        (coded("fhir_hands"), hands, plan.hands_days_a_week),
        (coded("fhir_exercises"), exercises, plan.exercise_days_a_week),
    ):
        if parts and days:
            yield {
                "code": {"text": name},
                "status": state,
                "scheduledTiming": {"repeat": {"frequency": days, "period": 1, "periodUnit": "wk"}},
                "description": parts,
            }
    tape = plan.tape
    if tape.when != "never" and tape.highest:
        hours = (tape.first_wear_hours, tape.second_wear_hours, tape.wear_hours)
        first, second, later = (min(length, tape.cap_hours) for length in hours)
        yield {
            "code": {"text": coded("fhir_tape")},
            "status": state,
            "description": coded(
                "fhir_tape_wear",
                when=CodeOf("when_tape", tape.when),
                start=tape.start,
                highest=tape.highest,
                first=first,
                second=second,
                later=later,
                cap=tape.cap_hours,
            ),
        }
    yield {
        "code": {"text": coded("fhir_review")},
        "status": "scheduled" if status == "active" else state,
        "scheduledPeriod": {"start": plan.review_on.isoformat()},
    }


def _exercise(made: _Made, one: Exercise) -> Coded:
    name = made.title(one.exercise)
    if not one.hold_seconds:
        return coded("fhir_exercise", exercise=name, sets=one.sets, repeats=one.repeats)
    return coded(
        "fhir_exercise_held",
        exercise=name,
        sets=one.sets,
        repeats=one.repeats,
        seconds=one.hold_seconds,
    )


def _site(made: _Made, side: Side) -> Resource:
    return _of_snomed(made, SIDES[side], KNEES[side])


def _of_snomed(made: _Made, code: str, text: Coded) -> Resource:
    """What SNOMED CT has a code for: the words alone unless its codes are asked for."""
    return _concept(SNOMED, code, text) if made.snomed else {"text": text}


# ---------------------------------------------------------------- entries


@dataclass(frozen=True, slots=True)
class _Seen:
    """One value of an entry. `part` names it within the entry; `value` None: asked, left out."""

    part: str
    code: Mapping[str, Content]
    when: date | datetime
    value: Mapping[str, Content] | None
    method: Coded | None = None
    side: Side | None = None
    remark: Coded | None = None


@dataclass(frozen=True, slots=True)
class _Harm:
    """Skin that was not clear, or what was felt from tape; `words` is what, and where."""

    part: str
    words: Coded
    when: date | datetime
    tape: Coded | None


def _rivals(
    entries: Iterable[AnyEntry],
    counting: set[str],
    tree_of: dict[str, tuple[AnyEntry, ...]],
) -> dict[str, tuple[AnyEntry, ...]]:
    """For a day page that counts, the pages of the same day and knee it was chosen over."""
    pages = [entry for entry in entries if isinstance(entry, DayPage)]
    chosen = {(page.for_day, page.side): page for page in pages if page.id in counting}
    found: dict[str, dict[str, AnyEntry]] = {}
    for page in pages:
        tree = tree_of[page.id]
        over = chosen.get((page.for_day, page.side))
        if over is not None and over not in tree and not any(one.id in counting for one in tree):
            found.setdefault(over.id, {})[page.id] = page
    return {its_id: tuple(others.values()) for its_id, others in found.items()}


def _add_entry(
    made: _Made, entry: AnyEntry, tree: Sequence[AnyEntry], rivals: Sequence[AnyEntry]
) -> None:
    """Every resource of one entry that counts, and where it comes from if it was corrected."""
    root = tree[0].id
    earlier = [one for one in tree if one.id != entry.id]
    corrected = bool(earlier or rivals or entry.replaces)
    targets = []
    now: dict[str, _Seen] = {}
    for seen in _seen(made, entry, tree):
        now.setdefault(seen.part, seen)
    told = [(seen, "amended" if corrected else "final") for seen in now.values()]
    # It was handed over under its id: whoever kept it must learn that it no longer holds.
    told += [(seen, "entered-in-error") for seen in _taken_back(made, now, earlier)]
    for seen, status in told:
        its_id = _id("observation", root, seen.part)
        made.add("Observation", its_id, _observation(made, entry, seen, status))
        targets.append(_to(its_id))
    for harm in (*_skin(entry), *_felt(entry)):
        its_id = _id("skin", root, harm.part)
        made.add("AdverseEvent", its_id, _adverse_event(made, entry, harm))
        targets.append(_to(its_id))
    if corrected and targets:
        its_id = _id("provenance", entry.id)
        content = _provenance(made, entry, [*earlier, *rivals], targets)
        made.provenance.append(_entry("Provenance", its_id, content))


def _taken_back(made: _Made, now: dict[str, _Seen], earlier: Iterable[AnyEntry]) -> Iterator[_Seen]:
    """The values of earlier versions for which the one that counts has none."""
    gone: dict[str, _Seen] = {}
    for one in earlier:
        for seen in _seen(made, one, (one,)):
            if seen.part not in now:
                gone[seen.part] = seen
    for seen in gone.values():
        yield _Seen(seen.part, seen.code, seen.when, None, seen.method, seen.side)


def _observation(made: _Made, entry: AnyEntry, seen: _Seen, status: str) -> Resource:
    category = "exam" if isinstance(entry, Measurement) else "survey"
    content: Resource = {"status": status}
    if entry.plan_version in made.plans:
        content["basedOn"] = [_to(made.plans[entry.plan_version])]
    content |= {
        "category": [_concept(f"{_HL7}observation-category", category)],
        "code": seen.code,
        "subject": _to(made.patient),
        "effectiveDateTime": _when(seen.when),
        "issued": _when(entry.written_at),
        "performer": [_writer(made, entry)],
    }
    if seen.value is None:
        content["dataAbsentReason"] = _concept(f"{_HL7}data-absent-reason", "unknown")
    else:
        content |= seen.value
    remarks = [seen.remark] if seen.remark else []
    if entry.written_by == "paper":
        remarks.append(coded("fhir_from_paper"))
    elif is_late(entry.for_day, entry.written_at):
        remarks.append(coded("fhir_late"))
    if remarks:
        content["note"] = [{"text": remark} for remark in remarks]
    if seen.side is not None:
        content["bodySite"] = _site(made, seen.side)
    if seen.method is not None:
        content["method"] = {"text": seen.method}
    return content


def _writer(made: _Made, entry: AnyEntry) -> Resource:
    if entry.written_by in ("helper", "clinic"):
        return {"display": _code_words("writers", entry.written_by)}
    return _to(made.patient)


def _provenance(
    made: _Made, entry: AnyEntry, replaced: Sequence[AnyEntry], targets: list[Resource]
) -> Resource:
    """Who corrected what, when. The entries replaced are named by their ids in the diary file."""
    known = {
        one.id: coded("fhir_entry_of", kind=CodeOf("kinds", one.kind), day=one.for_day)
        for one in replaced
    }
    if entry.replaces is not None:
        known.setdefault(entry.replaces, coded("fhir_entry", kind=CodeOf("kinds", entry.kind)))
    return {
        "target": targets,
        "occurredDateTime": _when(entry.written_at),
        "recorded": _when(entry.written_at),
        "activity": _concept(f"{_HL7}v3-DataOperation", "UPDATE"),
        "agent": [{"who": _writer(made, entry)}],
        "entity": [
            {"role": "revision", "what": {"identifier": {"value": its_id}, "display": what}}
            for its_id, what in known.items()
        ],
    }


# ---------------------------------------------------------------- values


def _seen(made: _Made, entry: AnyEntry, tree: Sequence[AnyEntry]) -> Iterator[_Seen]:
    """The values of one entry. `tree` are all its versions, oldest first."""
    match entry:
        case DayPage():
            yield from _page(entry, tree)
        case Session():
            yield from _session(made, entry)
        case Outing():
            when = entry.happened_at or entry.for_day
            for knee in entry.knees:
                if knee.pain_worst is not None:
                    part = "pain-worst" if len(entry.knees) == 1 else f"pain-worst-{knee.side}"
                    words = coded("fhir_worst_outing")
                    yield _pain(part, knee.pain_worst, when, words, knee.side)
        case Measurement():
            yield _measured(entry)


def _pain(
    part: str,
    score: int | None,
    when: date | datetime,
    method: Coded,
    side: Side,
    remark: Coded | None = None,
) -> _Seen:
    code = _concept(LOINC, PAIN, coded("fhir_pain"), _LOINC_NAMES[PAIN])
    value = None if score is None else {"valueQuantity": {"value": score} | _SCORE}
    return _Seen(part, code, when, value, method, side, remark)


def _page(page: DayPage, tree: Sequence[AnyEntry]) -> Iterator[_Seen]:
    """A day page. A score of the day has a day; pain now has the moment it was written."""
    day = page.for_day
    asked = page.written_by != "paper"
    now_asked = asked and page.form == "full" and diary_day(tree[0].written_at) == day
    for part, score, when, method, on_form in (
        ("pain-average", page.pain_average, day, coded("fhir_average"), asked),
        ("pain-worst", page.pain_worst, day, coded("fhir_worst"), asked),
        ("pain-now", page.pain_now, _felt_now(page, tree), coded("fhir_now"), now_asked),
    ):
        if score is not None or on_form:
            yield _pain(part, score, when, method, page.side)
    minutes, side = page.stiffness_minutes, page.side
    stiff = None if minutes is None else _quantity(minutes, "min")
    swelling, night = _one_of("swelling", page.swelling), _yes_no(page.night_pain)
    medicine, stairs = _yes_no(page.medicine), _one_of("stairs", page.stairs)
    for answer in (
        _Seen("stiffness", {"text": coded("fhir_stiffness")}, day, stiff, side=side),
        _Seen("swelling", {"text": coded("fhir_swelling")}, day, swelling, side=side),
        _Seen("night-pain", {"text": coded("fhir_night_pain")}, day, night, side=side),
        _Seen("medicine", {"text": coded("fhir_medicine")}, day, medicine),
        _Seen("stairs", {"text": coded("fhir_stairs")}, day, stairs),
    ):
        if answer.value is not None:
            yield answer
    yield from _last_fortnight(page)
    for activity in page.activities:
        code = {"text": coded("fhir_activity", label=_text(activity.label))}
        score_10 = {"valueQuantity": {"value": activity.score} | _SCORE}
        yield _Seen(f"activity {activity.label}", code, day, score_10)
    for amount in page.amounts:
        code = {"text": coded("fhir_amount", label=_text(amount.label))}
        part = f"amount {amount.label} {amount.unit}"
        yield _Seen(part, code, day, _quantity(amount.amount, amount.unit))


def _one_of(table: str, code: str | None) -> Resource | None:
    """An answer that is one of several words."""
    return None if code is None else {"valueCodeableConcept": {"text": _code_words(table, code)}}


def _yes_no(answer: bool | None) -> Resource | None:
    return None if answer is None else {"valueBoolean": answer}


def _last_fortnight(entry: DayPage | Session) -> Iterator[_Seen]:
    """The two weeks before the start, where they were asked about."""
    said = _one_of("last_fortnight", entry.last_fortnight)
    if said is not None:
        code = {"text": coded("fhir_last_fortnight")}
        yield _Seen("last-fortnight", code, entry.for_day, said, side=entry.side)


def _felt_now(page: DayPage, tree: Sequence[AnyEntry]) -> date | datetime:
    """When "now" was: when this score was first written, if that was on its day."""
    first: AnyEntry = page
    older = [one for one in tree if one.written_at <= page.written_at and one.id != page.id]
    for one in reversed(older):
        if not isinstance(one, DayPage) or one.pain_now != page.pain_now:
            break
        first = one
    on_its_day = diary_day(first.written_at) == page.for_day
    return first.written_at if on_its_day and first.written_by != "paper" else page.for_day


def _session(made: _Made, session: Session) -> Iterator[_Seen]:
    """The scores of one session, with the moment it began, or ended for what came after."""
    began: date | datetime = session.happened_at or session.for_day
    ended = session.ended_at or began
    if session.rest_pain is not None:
        yield _pain("rest", session.rest_pain, began, coded("fhir_at_rest"), session.side)
    yield from _last_fortnight(session)
    for number, (move, again) in enumerate(
        zip(session.moves, made_again(session.moves), strict=True)
    ):
        when = began if move.role == "before" else ended
        same = session.comparable and move.same_depth is not False
        remark = None if same else coded("fhir_not_comparable")
        part = f"move {number}"
        words = coded("fhir_again", move=_move_words(move)) if again else _move_words(move)
        yield _pain(part, move.score, when, words, session.side, remark)
    steps: list[tuple[str, StepDone]] = [
        (f"step {number} {place}", step)
        for number, held in enumerate(session.rounds)
        for place, step in enumerate(held.steps)
    ]
    steps += [(f"exercise {place}", step) for place, step in enumerate(session.exercises)]
    for part, step in steps:
        if step.pain is not None:
            method = coded("fhir_worst_step", step=made.title(step.step))
            yield _pain(part, step.pain, began, method, session.side)


def _move_words(move: MoveScore) -> Coded:
    if move.role == "after_tape" and move.stage is not None:
        return coded("fhir_move_tape", stage=move.stage)
    return coded("fhir_move", role=CodeOf("move_roles", move.role))


def _measured(measured: Measurement) -> _Seen:
    if measured.test == "chair_stand_30_s":
        loinc = CHAIR_STAND_WITH_ARMS if measured.arms_used else CHAIR_STAND
        words = coded("fhir_stands_arms") if measured.arms_used else coded("fhir_stands")
        code = _concept(LOINC, loinc, words, _LOINC_NAMES[loinc])
        unit = "{#}/(30.s)"
        value = {"valueQuantity": _of_ucum(measured.count, unit, unit)}
        return _Seen("count", code, measured.for_day, value)
    label = _text(measured.label) if measured.label else None
    words = coded("fhir_trial") if label is None else coded("fhir_trial_of", label=label)
    code = {"text": words}
    return _Seen("count", code, measured.for_day, {"valueInteger": measured.count})


def _quantity(amount: float, unit: str) -> Resource:
    """An amount with its unit; one that a person made up has no code."""
    unit = unit.strip()
    if unit in _UNITS:
        return {"valueQuantity": _of_ucum(amount, unit, _UNITS[unit])}
    return {"valueQuantity": {"value": amount} | ({"unit": _text(unit)} if unit else {})}


def _of_ucum(amount: float, unit: str, code: str) -> Resource:
    return {"value": amount, "unit": unit, "system": UCUM, "code": code}


# ---------------------------------------------------------------- skin


def _skin(entry: AnyEntry) -> Iterator[_Harm]:
    """Skin that was red, itchy, blistered or broken: each word of one entry once.

    The same readings as the findings count (`evidence.taping`).
    """
    seen: tuple[tuple[date | datetime, Skin | None], ...]
    where: Coded
    tape = None
    match entry:
        case DayPage():
            where = coded("fhir_on_knee", knee=KNEES[entry.side])
            seen = ((entry.for_day, entry.skin),)
        case TapeOn():
            where = coded("fhir_before_tape", knee=KNEES[entry.side])
            seen = ((entry.happened_at, entry.skin_before),)
        case TapeOff():
            where = coded("fhir_under_tape", knee=KNEES[entry.side])
            tape = coded("fhir_tape")
            seen = (
                (entry.happened_at or entry.for_day, entry.skin_at_once),
                (entry.for_day, entry.skin_after_30_min),
            )
        case PatchTest():
            where = coded("fhir_under_patch")
            tape = coded("fhir_tape_of", make=_text(entry.make))
            seen = (
                (entry.first_read_at or entry.for_day, entry.first_skin),
                (entry.second_read_at or entry.for_day, entry.second_skin),
            )
        case _:
            return
    found: dict[tuple[Skin, date], _Harm] = {}
    for when, skin in seen:
        if skin in WATCHED_SKIN:
            day = diary_day(when) if isinstance(when, datetime) else when
            key = (skin, day if isinstance(entry, PatchTest) else entry.for_day)
            words = coded("fhir_skin", skin=CodeOf("skin", skin), where=where)
            found.setdefault(key, _Harm(f"{skin} {key[1]}", words, when, tape))
    yield from found.values()


def _felt(entry: AnyEntry) -> Iterator[_Harm]:
    """What was felt from tape, why it came off."""
    if isinstance(entry, TapeOff):
        when = entry.happened_at or entry.for_day
        for feeling in dict.fromkeys(entry.felt):
            words = coded("fhir_felt", feeling=CodeOf("feelings", feeling), knee=KNEES[entry.side])
            yield _Harm(f"felt {feeling}", words, when, coded("fhir_tape"))


def _adverse_event(made: _Made, entry: AnyEntry, harm: _Harm) -> Resource:
    """R4 has no place for a body site here: the words of the event name the knee."""
    content: Resource = {
        "actuality": "actual",
        "event": {"text": harm.words},
        "subject": _to(made.patient),
        "date": _when(harm.when),
        "recordedDate": _when(entry.written_at),
        "recorder": _writer(made, entry),
    }
    if harm.tape is not None:
        content["suspectEntity"] = [{"instance": {"display": harm.tape}}]
    return content
