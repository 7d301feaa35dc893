"""Writing a plan: answers by field, what speaks against each, and the plan they make.

A draft is a flat list of answers, each under the name of its field (see `plan_answers`). Setting
one gives a new draft. What is wrong stands beside its field; a draft with a fault can be kept as a
practice plan, but not signed.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields, replace
from datetime import date, datetime, timedelta
from types import MappingProxyType
from typing import Any, Literal, cast

from companion.care import plan_faults
from companion.care.bad_days import bad_days, by_version, usual_rest_pain
from companion.care.catalogue import Catalogue, PlanTemplate, WholeRange
from companion.care.caution_rules import CAUTION_LIST
from companion.care.closures import open_warnings
from companion.care.contacts import typed_label
from companion.care.hints import hint_in
from companion.care.plan_faults import running_trial
from companion.care.policy import Policy
from companion.care.records import (
    AnsweredSign,
    Contact,
    GroupAnswer,
    OpenSignSaid,
    Plan,
    Side,
    SignOff,
    TapeTrial,
    WarningSign,
)
from companion.care.strips import ratio_verdict
from companion.care.trial_days import fixed_schedule
from companion.care.trial_schedule import schedule
from companion.care.trial_skin import trial_skin
from companion.exchange.files import plan_bytes
from companion.services.at_hand import AtHand
from companion.services.plan_answers import (
    CAUTION_GROUPS,
    Answer,
    PlanMaker,
    answers_of,
    fields_asked,
    hint_of,
    key_of,
    limits,
    refused,
    rows_of,
)
from companion.wire.sign_off import signed

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
        "rest_pain_limit_open",
        "open_sign_unanswered",
    ]
)
"""missing: nobody answered. not_allowed: outside what the field may hold."""

REVIEW_AFTER_DAYS = 56
"""Eight weeks (fact: review_after)."""
STEP_PERCENT = 10
"""Of the baseline a week (fact: pacing_step)."""
OWN_REST_LIMIT_FROM = 4
"""Usual pain at rest from which a plan states its own limit (fact: rest_pain_own_limit)."""
FEWEST_ACTIVITIES = 3
"""Below this the mean of the chosen activities says little (fact: activities_few)."""
TRIAL_PAIRS = {3: 8, 2: 10}
"""The usual pairs of a tape trial by its scored days: what `trial_power` shows can be noticed."""

LIMITS = ("stop_amount", "pain_ceiling")
"""What no template and no default fills: the clinician types it for this person."""
_SIDES: tuple[Side, ...] = ("left", "right")
_LAST_TRIAL_DAY = date.max - timedelta(days=366)
_STAND_INS: dict[str, Answer] = {
    "person": "new",
    "side": "right",
    "main_side": "right",
    "seconds": 30,
    "repeats": 1,
    "label": "-",
    "unit": "-",
    "baseline": 0.0,
    "goal": 0.0,
}
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


# ---------------------------------------------------------------- beginning


def from_template(template: PlanTemplate, today: date, last: Plan | None = None) -> PlanDraft:
    """A draft from a template, without a tape trial. Cautions, limits, what is safe and what was
    taught are left to answer; with `last` it is the next version for that person and knee, else
    these are left too.
    """
    plan = Plan(
        person="new",
        version=1,
        written_on=today,
        review_on=_working_day(today + timedelta(days=REVIEW_AFTER_DAYS)),
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
    answers |= dict.fromkeys(LIMITS)
    return PlanDraft(today=today, answers=_frozen(answers), last=last, template=template.id)


def from_last(last: Plan, today: date) -> PlanDraft:
    """The next version of a plan: all of it again, reviewed after as long as last time, and on no
    weekend.

    A tape trial goes on unchanged; one that is over, or not as it was fixed, is left out. Signs
    that are open are asked about anew.
    """
    again = max((last.review_on - last.written_on).days, 1)
    trial = last.trial
    ahead = trial is not None and trial.first_day > today and fixed_schedule(trial) is not None
    if not ahead and running_trial(last, today) is None:
        trial = None
    contacts = tuple(replace(contact, label=typed_label(contact)) for contact in last.contacts)
    answers = answers_of(replace(last, trial=trial, contacts=contacts, open_signs=()))
    answers["review_on"] = _working_day(today + timedelta(days=again))
    main = {contact.role: contact for contact in reversed(contacts)}.values()
    return PlanDraft(
        today=today,
        answers=_frozen(answers),
        last=last,
        more_contacts=tuple(contact for contact in contacts if contact not in main),
        seed="" if trial is None else trial.seed,
    )


def _working_day(day: date) -> date:
    """That day, or the Monday after the weekend it falls on: a review that is offered is one that
    can be held. Bank holidays are not known here."""
    return day if day.weekday() < _SATURDAY else day + timedelta(days=7 - day.weekday())


_SATURDAY = 5


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
    if group == CAUTION_GROUPS:
        if answer == "none":
            for caution in catalogue.cautions.asked(rest):
                draft = set_field(draft, f"cautions.{caution.id}", False, catalogue)
    elif group == "cautions":
        changes |= _cautioned(draft, rest, answer)
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


def _cautioned(draft: PlanDraft, rest: str, answer: Answer) -> dict[str, Answer]:
    """What goes with an answer to a caution, or to what is asked about a yes."""
    name, _, part = rest.partition(".")
    place = f"cautions.{name}"
    if part:
        ends: dict[str, Answer] = {f"{place}.on": draft.today}
        if part == "allowed" and not answer:
            ends |= {f"{place}.reason": None, f"{place}.reason_words": None}
        return ends
    ends = {f"{place}.on": None if answer is None else draft.today}
    if answer is not True:
        rows = rows_of("cautions").fields
        ends |= dict.fromkeys(f"{place}{end}" for end in rows if end not in ("", ".on"))
    return ends


def group_answer(draft: PlanDraft, group: str, catalogue: Catalogue) -> GroupAnswer | None:
    """How a group of cautions stands: `none` where every one is a no and nobody opened it."""
    answers = [draft.answers.get(f"cautions.{one.id}") for one in catalogue.cautions.asked(group)]
    if draft.answers.get(f"{CAUTION_GROUPS}.{group}") == "some":
        return "some"
    if all(answer is False for answer in answers):
        return "none"
    return "some" if any(answer is not None for answer in answers) else None


def drawn(draft: PlanDraft, seed: str) -> PlanDraft:
    """The draft with the seed of its trial; one that was drawn before stays."""
    return draft if draft.seed else replace(draft, seed=seed)


@dataclass(frozen=True, slots=True)
class UsualPain:
    """Usual scores, 0-10, of the worse knee: before and at rest; None where none is known."""

    before: float | None
    rest: float | None


def usual_pain(draft: PlanDraft, catalogue: Catalogue) -> UsualPain:
    """What the diary at hand says is usual; without scores in it, what was scored here today."""
    policy = catalogue.policy
    befores: list[float] = []
    rests: list[float] = []
    plan, hand = plan_of(draft), draft.at_hand
    if hand is not None:
        # The draft is the newest version: what was scored by another move does not count.
        earlier = (one for one in hand.plans if one.version < plan.version)
        versions = by_version((*earlier, plan))
        for side in plan.sides:
            befores += _known(bad_days(policy, versions, hand.sessions, side, draft.today).usual)
            rests += _known(usual_rest_pain(policy, hand.sessions, side))
    here = is_held(draft)
    return UsualPain(
        before=max(befores, default=_score(draft, "session.before") if here else None),
        rest=max(rests, default=_score(draft, "session.rest_pain") if here else None),
    )


def _known(usual: float | None) -> list[float]:
    return [] if usual is None else [usual]


def _score(draft: PlanDraft, key: str) -> float | None:
    answer = draft.answers.get(key)
    return float(answer) if isinstance(answer, int) and not isinstance(answer, bool) else None


def open_signs(draft: PlanDraft, policy: Policy) -> tuple[WarningSign, ...]:
    """The signs that are open in the diary at hand, the gravest first: each is to be answered."""
    return () if draft.at_hand is None else open_warnings(draft.at_hand.signs, policy)


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


# ---------------------------------------------------------------- the plan


def plan_of(draft: PlanDraft) -> Plan:
    """The plan as it stands, for a preview: what is missing or not allowed is stood in for."""
    make = _maker(draft)
    plan = make.plan(
        version=draft.version,
        written_on=draft.today,
        caution_list=CAUTION_LIST,
        trial=_trial(draft, make.get),
        open_signs=_answered_signs(draft, make.get),
        sign_off=None,
    )
    return replace(
        plan,
        main_side=plan.main_side if plan.side == "both" else plan.side,
        contacts=(*plan.contacts, *draft.more_contacts),
    )


def _maker(draft: PlanDraft) -> PlanMaker:
    unusable = {fault.key for fault in _own_faults(draft)}
    days = {"review_on": draft.today + timedelta(days=REVIEW_AFTER_DAYS), "on": draft.today}
    return PlanMaker(
        draft.answers,
        lambda key: None if key in unusable else draft.answers.get(key),
        _STAND_INS | days,
    )


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
        known = key.startswith("known_signs.") and not key.endswith(".review_by")
        if key.endswith(".taught_on") or known:
            found.append(DraftFault(key, "day_ahead"))
    found += _trial_skin(draft, plan)
    answered = {one.warning for one in plan.open_signs}
    found += [
        DraftFault(f"open_signs.{sign.id}", "open_sign_unanswered")
        for sign in open_signs(draft, catalogue.policy)
        if sign.id not in answered and f"open_signs.{sign.id}" not in named
    ]
    rest = usual_pain(draft, catalogue).rest
    if plan.rest_pain_limit is None and rest is not None and rest >= OWN_REST_LIMIT_FROM:
        found.append(DraftFault("rest_pain_limit", "rest_pain_limit_open", f"{rest:g}"))
    for fault in plan_faults.faults(plan, catalogue, draft.last):
        key = _key_of(fault, plan, draft, catalogue)
        what = None if key.startswith(f"{CAUTION_GROUPS}.") else fault.what
        # A field that is empty or out of its range says that alone; and which knee is measured
        # follows from the side.
        if key not in named and not ("side" in named and key.startswith("knees.")):
            found.append(DraftFault(key, fault.code, what, fault.advice))
    for knee in plan.knees:
        if knee.bump_to_upper_edge_mm is not None and knee.kneecap_height_mm is not None:
            verdict = ratio_verdict(knee.bump_to_upper_edge_mm, knee.kneecap_height_mm)
            if verdict == "measure_again":
                place = f"knees.{knee.side}.kneecap_height_mm"
                found.append(DraftFault(place, "ratio_unusual", knee.side, advice=True))
    if 0 < len(plan.activities) < FEWEST_ACTIVITIES:
        place = f"activities.{len(plan.activities)}"
        found.append(DraftFault(place, "few_activities", advice=True))
    return tuple(sorted(dict.fromkeys(found), key=lambda fault: fault.advice))


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
        elif refused(hint_in(SignOff, field), text):
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
    technique = group == "techniques"
    sheet = catalogue.technique(name) if technique else catalogue.exercise(name)
    for end in rows_of(group).fields:
        usual: WholeRange | None = getattr(sheet, end.removeprefix("."), None)
        answers.setdefault(f"{place}{end}", None if usual is None else usual.default)
    return replace(draft, answers=_frozen(answers))


def _with_trial(draft: PlanDraft) -> PlanDraft:
    """A trial begun from the usual sizes, or as it was; one that is running as it is."""
    fixed = fixed_trial(draft)
    if fixed is not None and draft.last is not None:
        held = answers_of(draft.last)
        as_it_is = {key: held[key] for key in held if key.startswith("trial.")}
        return replace(_with(draft, as_it_is), seed=fixed.seed)
    begun: dict[str, Answer] = {
        "trial.side": draft.answers.get("main_side"),
        "trial.first_day": draft.today + timedelta(days=1),
        "trial.pairs": TRIAL_PAIRS[3],
        "trial.scored_days": 3,
    }
    kept = {key: draft.answers[key] for key in begun if draft.answers.get(key) is not None}
    return _with(draft, begun | kept | {"trial.on": True})


def _trial(draft: PlanDraft, get: Callable[[str], Answer]) -> TapeTrial | None:
    """The trial with the hash of its schedule, once all of it is answered."""
    if not has_trial(draft) or not draft.seed:
        return None
    asked = [key for key in fields_asked() if key.startswith("trial.") and key != "trial.on"]
    held: dict[str, Any] = {key.removeprefix("trial."): get(key) for key in asked}
    if any(answer is None for answer in held.values()):
        return None
    planned = schedule(draft.seed, held["first_day"], held["pairs"], held["scored_days"])
    return TapeTrial(seed=draft.seed, schedule_sha256=planned.sha256, **held)


def _answered_signs(draft: PlanDraft, get: Callable[[str], Answer]) -> tuple[AnsweredSign, ...]:
    """What was said of signs of the diary at hand; an answer to an entry that was corrected since
    is none."""
    signs = () if draft.at_hand is None else draft.at_hand.signs
    said = ((sign, get(f"open_signs.{sign.id}")) for sign in signs)
    return tuple(
        AnsweredSign(
            warning=sign.id,
            sign=sign.sign,
            since=sign.for_day,
            sides=sign.sides,
            answer=cast(OpenSignSaid, answer),
        )
        for sign, answer in said
        if answer is not None
    )


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
            if _needed(key):
                found.append(DraftFault(key, "missing"))
        elif refused(hint_of(key), answer) or _past_all_days(key, answer):
            found.append(DraftFault(key, "not_allowed"))
    for row in amount_rows(draft):
        found += [
            DraftFault(f"amounts.{row}{end}", "missing")
            for end, field in rows_of("amounts").fields.items()
            if field.needed and draft.answers.get(f"amounts.{row}{end}") is None
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


def _needed(key: str) -> bool:
    # Who and when are asked for above, once.
    return key not in ("person", "side", "main_side", "review_on") and not limits(key).may_be_empty


def amount_rows(draft: PlanDraft) -> tuple[str, ...]:
    """The rows of paced amounts in which anything but the step was written."""
    return PlanMaker(draft.answers, draft.answers.get, _STAND_INS).rows_there("amounts")


def _key_of(
    fault: plan_faults.PlanFault, plan: Plan, draft: PlanDraft, catalogue: Catalogue
) -> str:
    """The field of the draft that a fault of the plan is about."""
    match fault.field.split("."):
        case ["cautions"] if fault.what is not None:
            group = catalogue.caution(fault.what).group
            if group_answer(draft, group, catalogue) is None:
                return f"{CAUTION_GROUPS}.{group}"
            return f"cautions.{fault.what}"
        case ["contacts"]:
            return f"contacts.{fault.what}.number"
        case ["trial"]:
            return "trial.on"
        case ["knees"]:
            name = {
                "cut_lengths_missing": "side_strip_mm",
                "short_piece_missing": "short_piece_mm",
            }.get(fault.code, "bump_to_upper_edge_mm")
            return f"knees.{fault.what}.{name}"
        case ["amounts", number, name]:  # rows may be empty in a draft
            return f"amounts.{_maker(draft).rows_there('amounts')[int(number)]}.{name}"
    return key_of(fault.field, plan)
