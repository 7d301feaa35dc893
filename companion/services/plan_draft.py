"""Writing a plan: answers by field, what speaks against each, and the plan they make.

A draft is a flat list of answers, each under the name of its field: `tape.start`,
`techniques.stroke_thigh.seconds`, `cautions.clot`, `knees.left.side_strip_mm`,
`contacts.clinic.number`, `amounts.0.goal`. Setting one gives a new draft. What is wrong stands
beside its field; a draft with a fault can be kept as a practice plan, but not signed.
"""

from __future__ import annotations

import typing
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields, replace
from datetime import date, datetime, timedelta
from types import MappingProxyType
from typing import Annotated, Any, Literal

from companion.care import plan_faults
from companion.care.catalogue import Catalogue, PlanTemplate
from companion.care.caution_rules import answer_to
from companion.care.plan_faults import running_trial
from companion.care.ranges import Note, Range, Score, Words
from companion.care.records import (
    AmountPlan,
    CautionAnswer,
    CheckMove,
    Contact,
    CutLengths,
    Depth,
    Exercise,
    KneeMeasures,
    KnownSign,
    Plan,
    Side,
    SignOff,
    Skin,
    Stage,
    TapePlan,
    TapeTrial,
    Technique,
)
from companion.care.strips import ratio_verdict
from companion.care.trial_days import fixed_schedule
from companion.care.trial_schedule import schedule
from companion.care.trial_skin import trial_skin
from companion.exchange.files import plan_bytes
from companion.services.at_hand import AtHand
from companion.wire.plain import PlainFault, decode
from companion.wire.sign_off import signed

Answer = str | int | float | bool | date | None
DraftCode = (
    plan_faults.FaultCode
    | Literal[
        "missing",
        "not_allowed",
        "review_passed",
        "day_ahead",
        "ratio_unusual",
        "few_activities",
        "trial_skin_unknown",
        "trial_skin_too_few",
        "trial_skin_not_clear",
    ]
)
"""missing: nobody answered. not_allowed: outside what the field may hold."""

REVIEW_AFTER_DAYS = 56
"""Eight weeks: common practice, no source."""
STEP_PERCENT = 10
"""Of the baseline a week; 10 to 20 is usual: therapeutic guideline text (S)."""
FEWEST_ACTIVITIES = 3
"""Below this the mean of the chosen activities says little: care facts, section 2 (F)."""
MOST_ROWS = 5
"""Rows of activities and of paced amounts."""
TRIAL_PAIRS = {3: 8, 2: 10}
"""The usual pairs of a tape trial by its scored days: statistics.md."""
CONTACT_ROLES: tuple[str, ...] = ("emergency", "clinic", "doctor", "out_of_hours", "surgical_team")
CONTACT_LABELS = {
    "emergency": "Emergency",
    "clinic": "Your clinic",
    "doctor": "Your doctor",
    "out_of_hours": "Out of hours",
    "surgical_team": "Your surgical team",
}
"""What a number is called on the person's pages unless the clinic writes something else."""

_SIMPLE = tuple(
    field.name
    for field in fields(Plan)
    if field.name
    not in {
        *("version", "written_on", "check_move", "techniques", "exercises", "tape", "knees"),
        *("cautions", "activities", "amounts", "contacts", "known_signs", "trial", "sign_off"),
    }
)
"""Fields of a plan that hold one answer."""
_ROWS = tuple(str(row) for row in range(MOST_ROWS))
_SIDES: tuple[Side, ...] = ("left", "right")
_KNEE = ("bump_to_upper_edge_mm", "kneecap_width_mm", "kneecap_height_mm", "build")
_CUT = ("side_strip_mm", "short_piece_mm")
_AMOUNT = ("label", "unit", "baseline", "goal", "step_percent")
_TRIAL = ("side", "first_day", "pairs", "scored_days")
_LAST_TRIAL_DAY = date.max - timedelta(days=366)
_SESSION: dict[str, Any] = {
    "held": bool | None,
    "side": Side | None,
    "rest_pain": Score | None,
    "stands": Annotated[int, Range(0, 99)] | None,
    "stand_arms": bool | None,
    "before": Score | None,
    "after_hands": Score | None,
    "after_tape": Score | None,
    "zones_before": Note | None,
    "zones_after_hands": Note | None,
    "stage": Stage | None,
    "skin_before": Skin | None,
    "skin_after": Skin | None,
    "stays_on": bool | None,
    "scoring": Note | None,
}
_STAND_INS: dict[str, Answer] = {"person": "new", "side": "right", "main_side": "right"}
"""What a preview shows for what nobody answered yet. Such a draft is never written."""


@dataclass(frozen=True, slots=True)
class DraftFault:
    """What speaks against one field. `what` names what is meant; `advice` blocks nothing."""

    key: str
    code: DraftCode
    what: str | None = None
    advice: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanDraft:
    """A plan being written on `today`. `last` is the version it follows.

    `answers` holds a value for each field, None for what was not answered; the order of ticked
    techniques and exercises is the order in which they are done. `seed` is drawn by chance once
    for a tape trial and never changed, so that nobody draws until an order pleases. `at_hand` is
    what the person's diary says, where there is one.
    """

    today: date
    answers: Mapping[str, Answer]
    last: Plan | None = None
    template: str | None = None
    more_contacts: tuple[Contact, ...] = ()
    seed: str = ""
    at_hand: AtHand | None = None

    @property
    def version(self) -> int:
        """The version this draft becomes."""
        return 1 if self.last is None else self.last.version + 1


@dataclass(frozen=True, slots=True)
class Limits:
    """What a field may hold: a number from `least` to `most`, a text of `most` letters, a day."""

    least: float | None = None
    most: float | None = None
    whole: bool = False
    may_be_empty: bool = False
    day: bool = False


# ---------------------------------------------------------------- beginning


def from_template(template: PlanTemplate, today: date, last: Plan | None = None) -> PlanDraft:
    """A draft from a template, without a tape trial. Cautions and what was taught are left to
    answer; with `last` it is the next version for that person and knee, else these are left too.
    """
    plan = Plan(
        person="new",
        version=1,
        written_on=today,
        review_on=today + timedelta(days=REVIEW_AFTER_DAYS),
        side="right",
        main_side="right",
        **{
            field.name: getattr(template, field.name)
            for field in fields(PlanTemplate)
            if field.name not in _ABOUT_THE_TEMPLATE
        },
    )
    who = ("person", "birth_year", "side", "main_side")
    answers = answers_of(plan) | {name: getattr(last, name, None) for name in who}
    return PlanDraft(today=today, answers=_frozen(answers), last=last, template=template.id)


def from_last(last: Plan, today: date) -> PlanDraft:
    """The next version of a plan: all of it again, reviewed after as long as last time.

    A tape trial goes on unchanged; one that is over, or not as it was fixed, is left out.
    """
    again = max((last.review_on - last.written_on).days, 1)
    trial = last.trial
    ahead = trial is not None and trial.first_day > today and fixed_schedule(trial) is not None
    if not ahead and running_trial(last, today) is None:
        trial = None
    answers = answers_of(replace(last, trial=trial))
    answers["review_on"] = today + timedelta(days=again)
    main = _first_contacts(last.contacts)
    return PlanDraft(
        today=today,
        answers=_frozen(answers),
        last=last,
        more_contacts=tuple(contact for contact in last.contacts if contact not in main),
        seed="" if trial is None else trial.seed,
    )


def from_practice(plan: Plan, last: Plan | None, today: date) -> PlanDraft:
    """Go on with a practice plan that was kept as a file; it keeps its review date.

    Raises ValueError for a signed plan: that one is followed by a new version.
    """
    if plan.sign_off is not None:
        raise ValueError("a signed plan is followed by a new version")
    draft = replace(from_last(plan, today), last=last)
    return _with(draft, {"review_on": plan.review_on})


_ABOUT_THE_TEMPLATE = ("id", "version", "title", "clinic_words", "facts")


# ---------------------------------------------------------------- one field


def value(draft: PlanDraft, key: str) -> Answer:
    """The answer to a field; None when there is none."""
    return draft.answers.get(key)


def set_field(draft: PlanDraft, key: str, answer: Answer, catalogue: Catalogue) -> PlanDraft:
    """The draft with one field answered. What it must not hold is kept and named as a fault.

    Ticking a technique or exercise gives it the dose of its sheet; answering a caution is dated
    today; one knee alone is the main knee. Raises KeyError for a field no plan has.
    """
    hint_of(key)
    if isinstance(answer, str):
        answer = answer.strip() or None
    changes: dict[str, Answer] = {key: answer}
    group, _, rest = key.partition(".")
    if group in ("techniques", "exercises") and "." not in rest:
        return _ticked(draft, group, rest, bool(answer), catalogue)
    if group == "cautions" and not rest.endswith(".allowed"):
        changes[f"{key}.on"] = None if answer is None else draft.today
        if answer is not True:
            changes[f"{key}.allowed"] = False
    elif group == "cautions":
        changes[f"{key.removesuffix('.allowed')}.on"] = draft.today
    elif key == "session.stage" and answer:
        # The plan starts where the first session ended, as far as it goes.
        changes["tape.start"] = answer
    elif group == "amounts" and draft.answers.get(f"{key.rpartition('.')[0]}.step_percent") is None:
        changes = {f"{key.rpartition('.')[0]}.step_percent": STEP_PERCENT} | changes
    elif key == "side":
        changes["main_side"] = answer if answer in _SIDES else None
        if answer in _SIDES and "trial.side" in draft.answers and fixed_trial(draft) is None:
            changes["trial.side"] = answer
    elif key == "trial.on" and answer:
        return _with_trial(draft)
    elif key == "trial.scored_days" and draft.answers.get("trial.pairs") in TRIAL_PAIRS.values():
        usual = TRIAL_PAIRS.get(answer) if isinstance(answer, int) else None
        if usual is not None:
            changes["trial.pairs"] = usual
    elif key == "tape.when" and answer == "never":
        changes["tape.highest"] = 0
    elif key == "tape.when" and draft.answers.get("tape.highest") == 0:
        changes["tape.highest"] = 1
    return _with(draft, changes)


def drawn(draft: PlanDraft, seed: str) -> PlanDraft:
    """The draft with the seed of its trial; one that was drawn before stays."""
    return draft if draft.seed else replace(draft, seed=seed)


def fixed_trial(draft: PlanDraft) -> TapeTrial | None:
    """The trial of the last version that has begun and is not over: it can only be ended."""
    return running_trial(draft.last, draft.today)


def tapes(draft: PlanDraft) -> bool:
    """Whether tape is in the draft: only then can there be a trial of it."""
    return draft.answers.get("tape.when") != "never" and bool(draft.answers.get("tape.highest"))


def has_trial(draft: PlanDraft) -> bool:
    """Whether a tape trial is in the draft."""
    return draft.answers.get("trial.on") is True


def is_held(draft: PlanDraft) -> bool:
    """Whether a first session is written beside the plan."""
    return draft.answers.get("session.held") is True


def taught_today(draft: PlanDraft, group: Literal["techniques", "exercises"]) -> PlanDraft:
    """Everything of the group that has no date yet was taught and shown back today."""
    return _with(
        draft,
        {
            f"{group}.{name}.taught_on": draft.today
            for name in ticked(draft, group)
            if draft.answers.get(f"{group}.{name}.taught_on") is None
        },
    )


def ticked(draft: PlanDraft, group: str) -> tuple[str, ...]:
    """The techniques or exercises of the draft, in the order they are done."""
    return tuple(
        key.split(".")[1]
        for key, answer in draft.answers.items()
        if answer is True and key.startswith(f"{group}.") and key.count(".") == 1
    )


def limits(key: str) -> Limits:
    """What the field may hold, as its record says. Raises KeyError for a field no plan has."""
    hint = hint_of(key)
    kinds = _alternatives(hint)
    whole = int in kinds and float not in kinds
    markers = list(_markers(hint))
    bounds = next((m for m in markers if isinstance(m, Range)), None)
    words = next((m for m in markers if isinstance(m, Words)), None)
    if bounds is not None:
        return Limits(bounds.least, bounds.most, whole, type(None) in kinds)
    return Limits(None, words.most if words else None, False, type(None) in kinds, date in kinds)


def hint_of(key: str) -> Any:  # noqa: PLR0911, PLR0912 - one line a group of fields
    """The type of a field, with its range. Raises KeyError for a field no plan has."""
    parts = key.split(".")
    match parts:
        case [name] if name in _SIMPLE:
            return _hints(Plan)[name]
        case ["session", name]:
            return _SESSION[name]
        case ["check_move", "depth", name]:
            return _hints(Depth)[name]
        case ["check_move", name]:
            return _hints(CheckMove)[name]
        case ["tape", name]:
            return _hints(TapePlan)[name]
        case ["trial", "on"]:
            return bool | None
        case ["trial", name] if name in _TRIAL:
            return _hints(TapeTrial)[name]
        case ["techniques" | "exercises" | "cautions", _]:
            return bool | None
        case ["techniques", _, name]:
            return _hints(Technique)[name]
        case ["exercises", _, name]:
            return _hints(Exercise)[name]
        case ["cautions", _, "allowed" | "on" as name]:
            return _hints(CautionAnswer)[name] | None
        case ["knees", "left" | "right", name] if name in _KNEE:
            return _hints(KneeMeasures)[name]
        case ["knees", "left" | "right", name] if name in _CUT:
            return _hints(CutLengths)[name] | None
        case ["contacts", role, "label" | "number" | "when" as name] if role in CONTACT_LABELS:
            return _hints(Contact)[name] | None
        case ["known_signs", _]:
            return date | None
        case ["activities", row] if row in _ROWS:
            return _hints(AmountPlan)["label"] | None
        case ["amounts", row, name] if row in _ROWS and name in _AMOUNT:
            return _hints(AmountPlan)[name] | None
    raise KeyError(key)


# ---------------------------------------------------------------- the plan


def plan_of(draft: PlanDraft) -> Plan:
    """The plan as it stands, for a preview: what is missing or not allowed is stood in for."""
    refused = {fault.key for fault in _own_faults(draft)}

    def get(key: str) -> Any:
        return None if key in refused else draft.answers.get(key)

    def given(cls: type, prefix: str, names: Iterable[str]) -> dict[str, Any]:
        """What was answered; the rest stays as the record has it by default."""
        found = {name: get(f"{prefix}{name}") for name in names}
        defaults = {f.name: f.default for f in fields(cls)}
        return {
            name: answer
            for name, answer in found.items()
            if answer is not None or defaults[name] is None
        }

    stand_ins = _STAND_INS | {"review_on": draft.today + timedelta(days=REVIEW_AFTER_DAYS)}
    simple = {k: v for k, v in stand_ins.items() if k in _SIMPLE} | given(Plan, "", _SIMPLE)
    if simple["side"] in _SIDES:
        simple["main_side"] = simple["side"]
    depth_names = [f.name for f in fields(Depth)]
    move_names = [f.name for f in fields(CheckMove) if f.name != "depth"]
    return Plan(
        version=draft.version,
        written_on=draft.today,
        check_move=CheckMove(
            depth=Depth(**given(Depth, "check_move.depth.", depth_names)),
            **given(CheckMove, "check_move.", move_names),
        ),
        techniques=tuple(
            Technique(
                technique=name,
                seconds=get(f"techniques.{name}.seconds") or 30,
                repeats=get(f"techniques.{name}.repeats") or 1,
                taught_on=get(f"techniques.{name}.taught_on"),
            )
            for name in ticked(draft, "techniques")
        ),
        exercises=tuple(
            Exercise(
                exercise=name,
                repeats=get(f"exercises.{name}.repeats") or 1,
                sets=get(f"exercises.{name}.sets") or 1,
                hold_seconds=get(f"exercises.{name}.hold_seconds") or 0,
                taught_on=get(f"exercises.{name}.taught_on"),
            )
            for name in ticked(draft, "exercises")
        ),
        tape=TapePlan(**given(TapePlan, "tape.", [f.name for f in fields(TapePlan)])),
        trial=_trial(draft, get),
        knees=tuple(knee for side in _SIDES if (knee := _knee(side, get)) is not None),
        cautions=tuple(
            CautionAnswer(
                caution=name,
                answer=bool(draft.answers[f"cautions.{name}"]),
                allowed=bool(get(f"cautions.{name}.allowed")),
                on=get(f"cautions.{name}.on") or draft.today,
            )
            for name in _named(draft, "cautions")
            if isinstance(draft.answers[f"cautions.{name}"], bool)
        ),
        activities=tuple(
            answer for n in range(MOST_ROWS) if (answer := get(f"activities.{n}")) is not None
        ),
        amounts=tuple(_amount(get, n) for n in _amount_rows(draft)),
        contacts=(
            *(
                Contact(
                    role=role,  # type: ignore[arg-type]  # the roles of the record
                    label=get(f"contacts.{role}.label") or CONTACT_LABELS[role],
                    number=number,
                    when=get(f"contacts.{role}.when"),
                )
                for role in CONTACT_ROLES
                if (number := get(f"contacts.{role}.number")) is not None
            ),
            *draft.more_contacts,
        ),
        known_signs=tuple(
            KnownSign(sign=name, since=since)
            for name in _named(draft, "known_signs")
            if (since := get(f"known_signs.{name}")) is not None
        ),
        **simple,
    )


def answers_of(plan: Plan) -> dict[str, Answer]:  # noqa: PLR0912 - one loop a group
    """The answers that make this plan."""
    answers: dict[str, Answer] = {name: getattr(plan, name) for name in _SIMPLE}
    for field in fields(CheckMove):
        if field.name != "depth":
            answers[f"check_move.{field.name}"] = getattr(plan.check_move, field.name)
    for field in fields(Depth):
        answers[f"check_move.depth.{field.name}"] = getattr(plan.check_move.depth, field.name)
    for field in fields(TapePlan):
        answers[f"tape.{field.name}"] = getattr(plan.tape, field.name)
    if plan.trial is not None:
        answers["trial.on"] = True
        for name in _TRIAL:
            answers[f"trial.{name}"] = getattr(plan.trial, name)
    for technique in plan.techniques:
        place = f"techniques.{technique.technique}"
        answers[place] = True
        for name in ("seconds", "repeats", "taught_on"):
            answers[f"{place}.{name}"] = getattr(technique, name)
    for exercise in plan.exercises:
        place = f"exercises.{exercise.exercise}"
        answers[place] = True
        for name in ("repeats", "sets", "hold_seconds", "taught_on"):
            answers[f"{place}.{name}"] = getattr(exercise, name)
    for knee in plan.knees:
        for name in _KNEE:
            answers[f"knees.{knee.side}.{name}"] = getattr(knee, name)
        for name in _CUT:
            answers[f"knees.{knee.side}.{name}"] = (
                None if knee.cut is None else getattr(knee.cut, name)
            )
    for name in dict.fromkeys(each.caution for each in plan.cautions):
        caution = answer_to(plan, name)
        if caution is not None:
            answers[f"cautions.{name}"] = caution.answer
            answers[f"cautions.{name}.allowed"] = caution.allowed
            answers[f"cautions.{name}.on"] = caution.on
    for number, activity in enumerate(plan.activities):
        answers[f"activities.{number}"] = activity
    for number, amount in enumerate(plan.amounts):
        for name in _AMOUNT:
            answers[f"amounts.{number}.{name}"] = getattr(amount, name)
    for contact in _first_contacts(plan.contacts):
        for name in ("label", "number", "when"):
            answers[f"contacts.{contact.role}.{name}"] = getattr(contact, name)
    for known in plan.known_signs:
        answers[f"known_signs.{known.sign}"] = known.since
    return answers


# ---------------------------------------------------------------- faults and signing


def draft_faults(draft: PlanDraft, catalogue: Catalogue) -> tuple[DraftFault, ...]:
    """All that speaks against the draft, faults before advice, each under its field."""
    own = _own_faults(draft)
    named = {fault.key for fault in own}
    plan = plan_of(draft)
    found = [*own]
    if "review_on" not in named and plan.review_on <= draft.today:
        found.append(DraftFault("review_on", "review_passed"))
        named.add("review_on")
    for key, answer in draft.answers.items():
        if not isinstance(answer, date) or answer <= draft.today or _left_out(draft, key):
            continue
        if key.endswith(".taught_on") or key.startswith("known_signs."):
            found.append(DraftFault(key, "day_ahead"))
    found += _trial_skin(draft, plan)
    for fault in plan_faults.faults(plan, catalogue, draft.last):
        key = _key_of(fault, plan, draft)
        # A field that is empty or out of its range says that alone; and which knee is measured
        # follows from the side.
        if key not in named and not ("side" in named and key.startswith("knees.")):
            found.append(DraftFault(key, fault.code, fault.what, fault.advice))
    for knee in plan.knees:
        if knee.bump_to_upper_edge_mm is not None and knee.kneecap_height_mm is not None:
            verdict = ratio_verdict(knee.bump_to_upper_edge_mm, knee.kneecap_height_mm)
            if verdict == "measure_again":
                place = f"knees.{knee.side}.kneecap_height_mm"
                found.append(DraftFault(place, "ratio_unusual", knee.side, advice=True))
    if 0 < len(plan.activities) < FEWEST_ACTIVITIES:
        place = f"activities.{len(plan.activities)}"
        found.append(DraftFault(place, "few_activities", advice=True))
    return tuple(sorted(found, key=lambda fault: fault.advice))


def sign(
    draft: PlanDraft, catalogue: Catalogue, *, name: str, registration: str, at: datetime
) -> Plan | tuple[DraftFault, ...]:
    """The signed plan, or every fault that stands in the way; advice does not.

    The signature is over the hash of the content. Raises ValueError when `at` has no offset.
    """
    typed = {"name": name.strip(), "registration": registration.strip()}
    stand = [fault for fault in draft_faults(draft, catalogue) if not fault.advice]
    for field, text in typed.items():
        if not text:
            stand.append(DraftFault(f"sign_off.{field}", "missing"))
        elif _refused(_hints(SignOff)[field], text):
            stand.append(DraftFault(f"sign_off.{field}", "not_allowed"))
    if stand:
        return tuple(stand)
    return signed(plan_of(draft), typed["name"], typed["registration"], at)


def practice_plan(draft: PlanDraft) -> Plan | tuple[DraftFault, ...]:
    """The plan as it stands, unsigned, for looking round; or what keeps it from being a file.

    It may contradict itself in what it prescribes: nobody answers for it.
    """
    stand = _own_faults(draft)
    if stand:
        return tuple(stand)
    plan = plan_of(draft)
    if plan.review_on < plan.written_on:
        return (DraftFault("review_on", "review_passed"),)
    return plan


def plan_file(plan: Plan) -> bytes:
    """The plan file that goes home."""
    return plan_bytes(plan)


# ---------------------------------------------------------------- inside


def _with(draft: PlanDraft, changes: Mapping[str, Answer]) -> PlanDraft:
    return replace(draft, answers=_frozen({**draft.answers, **changes}))


def _frozen(answers: dict[str, Answer]) -> Mapping[str, Answer]:
    return MappingProxyType(answers)


def _ticked(
    draft: PlanDraft, group: str, name: str, wanted: bool, catalogue: Catalogue
) -> PlanDraft:
    place = f"{group}.{name}"
    answers = {key: answer for key, answer in draft.answers.items() if key != place}
    answers[place] = wanted
    if group == "techniques":
        sheet = catalogue.technique(name)
        doses = {"seconds": sheet.seconds, "repeats": sheet.repeats}
    else:
        moves = catalogue.exercise(name)
        doses = {
            "repeats": moves.repeats,
            "sets": moves.sets,
            "hold_seconds": moves.hold_seconds,
        }
    for dose, usual in doses.items():
        answers.setdefault(f"{place}.{dose}", usual.default)
    answers.setdefault(f"{place}.taught_on", None)
    return replace(draft, answers=_frozen(answers))


def _with_trial(draft: PlanDraft) -> PlanDraft:
    """A trial begun from the usual sizes, or as it was; one that is running as it is."""
    fixed = fixed_trial(draft)
    if fixed is not None:
        held = {f"trial.{name}": getattr(fixed, name) for name in _TRIAL}
        return replace(_with(draft, held | {"trial.on": True}), seed=fixed.seed)
    begun: dict[str, Answer] = {
        "trial.side": draft.answers.get("main_side"),
        "trial.first_day": draft.today + timedelta(days=1),
        "trial.pairs": TRIAL_PAIRS[3],
        "trial.scored_days": 3,
    }
    kept = {key: draft.answers[key] for key in begun if draft.answers.get(key) is not None}
    return _with(draft, begun | kept | {"trial.on": True})


def _trial(draft: PlanDraft, get: Any) -> TapeTrial | None:
    """The trial with the hash of its schedule, once all of it is answered."""
    if not has_trial(draft) or not draft.seed:
        return None
    held: dict[str, Any] = {name: get(f"trial.{name}") for name in _TRIAL}
    if any(answer is None for answer in held.values()):
        return None
    planned = schedule(draft.seed, held["first_day"], held["pairs"], held["scored_days"])
    return TapeTrial(seed=draft.seed, schedule_sha256=planned.sha256, **held)


def _trial_skin(draft: PlanDraft, plan: Plan) -> list[DraftFault]:
    """What the diary at hand does not show of the skin; a trial that has begun is not asked."""
    if plan.trial is None or plan.trial == fixed_trial(draft):
        return []
    if draft.at_hand is None:
        return [DraftFault("trial.on", "trial_skin_unknown")]
    shown = trial_skin(draft.at_hand.tape, plan.trial.side, plan.tape.make)
    if shown == "clear":
        return []
    code: DraftCode = "trial_skin_too_few" if shown == "too_few" else "trial_skin_not_clear"
    return [DraftFault("trial.on", code)]


def _own_faults(draft: PlanDraft) -> list[DraftFault]:
    """What is missing, and what a field must not hold."""
    found = [
        DraftFault(key, "missing")
        for key in ("person", "side", "main_side", "review_on")
        if draft.answers.get(key) is None and not (key == "main_side" and _no_side(draft))
    ]
    if has_trial(draft) and not draft.seed:
        found.append(DraftFault("trial.on", "missing"))
    if is_held(draft):
        needed = ["before", "scoring", *(["side"] if not _no_side(draft) else [])]
        if draft.answers.get("session.after_tape") is not None:
            needed.append("stage")
        if draft.answers.get("session.stands") is not None:
            needed.append("stand_arms")
        found += [
            DraftFault(f"session.{name}", "missing")
            for name in needed
            if not draft.answers.get(f"session.{name}")
            and draft.answers.get(f"session.{name}") != 0
        ]
    for key, answer in draft.answers.items():
        if _left_out(draft, key):
            continue
        if answer is None:
            if _needed(draft, key):
                found.append(DraftFault(key, "missing"))
        elif _refused(hint_of(key), answer) or _past_all_days(key, answer):
            found.append(DraftFault(key, "not_allowed"))
    for number in _amount_rows(draft):
        found += [
            DraftFault(f"amounts.{number}.{name}", "missing")
            for name in ("label", "unit", "baseline", "goal")
            if draft.answers.get(f"amounts.{number}.{name}") is None
        ]
    for side in _SIDES:
        piece = draft.answers.get(f"knees.{side}.short_piece_mm")
        if piece is not None and draft.answers.get(f"knees.{side}.side_strip_mm") is None:
            found.append(DraftFault(f"knees.{side}.side_strip_mm", "missing"))
    return list(dict.fromkeys(found))


def _past_all_days(key: str, answer: Answer) -> bool:
    """Whether a tape trial would begin so late that no calendar holds its days."""
    return key == "trial.first_day" and isinstance(answer, date) and answer > _LAST_TRIAL_DAY


def _no_side(draft: PlanDraft) -> bool:
    return draft.answers.get("side") != "both"


def _left_out(draft: PlanDraft, key: str) -> bool:
    """True for the dose of what is not ticked, and for a first session that is not written."""
    parts = key.split(".")
    if parts[0] == "session":
        return not is_held(draft)
    if parts[0] == "trial":
        return not has_trial(draft)
    return (
        len(parts) == 3
        and parts[0] in ("techniques", "exercises")
        and draft.answers.get(".".join(parts[:2])) is not True
    )


def _needed(draft: PlanDraft, key: str) -> bool:
    if key in ("person", "side", "main_side", "review_on"):
        return False  # asked for above, once
    return type(None) not in _alternatives(hint_of(key))


def _refused(hint: Any, answer: Answer) -> bool:
    """Whether the records would not hold this: asked of the reader of our own store."""
    plain = answer.isoformat() if isinstance(answer, date) else answer
    try:
        decode(hint, plain, "field")
    except PlainFault:
        return True
    return False


def _named(draft: PlanDraft, group: str) -> tuple[str, ...]:
    return tuple(
        key.split(".")[1]
        for key in draft.answers
        if key.startswith(f"{group}.") and key.count(".") == 1
    )


def _amount_rows(draft: PlanDraft) -> tuple[int, ...]:
    """The rows of paced amounts in which anything but the step was written."""
    return tuple(
        number
        for number in range(MOST_ROWS)
        if any(
            draft.answers.get(f"amounts.{number}.{name}") is not None
            for name in ("label", "unit", "baseline", "goal")
        )
    )


def _amount(get: Any, number: int) -> AmountPlan:
    place = f"amounts.{number}"
    return AmountPlan(
        label=get(f"{place}.label") or "-",
        unit=get(f"{place}.unit") or "-",
        baseline=get(f"{place}.baseline") or 0.0,
        goal=get(f"{place}.goal") or 0.0,
        step_percent=get(f"{place}.step_percent") or 10,
    )


def _knee(side: Side, get: Any) -> KneeMeasures | None:
    strip, piece = (get(f"knees.{side}.{name}") for name in _CUT)
    measures = {name: get(f"knees.{side}.{name}") for name in _KNEE}
    cut = None if strip is None else CutLengths(side_strip_mm=strip, short_piece_mm=piece)
    if cut is None and all(measure is None for measure in measures.values()):
        return None
    return KneeMeasures(side=side, cut=cut, **measures)


def _first_contacts(contacts: Iterable[Contact]) -> tuple[Contact, ...]:
    """The first number of each role: those a draft asks for."""
    first: dict[str, Contact] = {}
    for contact in contacts:
        first.setdefault(contact.role, contact)
    return tuple(first.values())


def _key_of(fault: plan_faults.PlanFault, plan: Plan, draft: PlanDraft) -> str:
    """The field of the draft that a fault of the plan is about."""
    parts = fault.field.split(".")
    match parts:
        case ["techniques", number, *rest]:
            return ".".join(("techniques", plan.techniques[int(number)].technique, *rest))
        case ["exercises", number, *rest]:
            return ".".join(("exercises", plan.exercises[int(number)].exercise, *rest))
        case ["cautions", number]:
            return f"cautions.{plan.cautions[int(number)].caution}"
        case ["cautions"]:
            return f"cautions.{fault.what}"
        case ["known_signs", number]:
            return f"known_signs.{plan.known_signs[int(number)].sign}"
        case ["amounts", number, name]:
            return f"amounts.{_amount_rows(draft)[int(number)]}.{name}"
        case ["knees", number, name]:
            return f"knees.{plan.knees[int(number)].side}.{name}"
        case ["knees"]:
            name = {
                "cut_lengths_missing": "side_strip_mm",
                "short_piece_missing": "short_piece_mm",
            }.get(fault.code, "bump_to_upper_edge_mm")
            return f"knees.{fault.what}.{name}"
        case ["contacts"]:
            return f"contacts.{fault.what}.number"
        case ["trial"]:
            return "trial.on"
    return fault.field


_known_hints: dict[type, dict[str, Any]] = {}


def _hints(cls: type) -> dict[str, Any]:
    if cls not in _known_hints:
        _known_hints[cls] = typing.get_type_hints(cls, include_extras=True)
    return _known_hints[cls]


def _alternatives(hint: Any) -> tuple[Any, ...]:
    """The plain types a hint allows, markers taken off."""
    if typing.get_origin(hint) is typing.Annotated:
        return _alternatives(typing.get_args(hint)[0])
    if typing.get_origin(hint) is Literal:
        return tuple({type(word) for word in typing.get_args(hint)})
    several = typing.get_args(hint)
    return tuple(kind for one in several for kind in _alternatives(one)) if several else (hint,)


def _markers(hint: Any) -> Iterable[Any]:
    if typing.get_origin(hint) is typing.Annotated:
        yield from typing.get_args(hint)[1:]
    for part in typing.get_args(hint):
        if typing.get_origin(part) is not None:
            yield from _markers(part)
