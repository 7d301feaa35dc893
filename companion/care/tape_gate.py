"""Whether tape may go on this knee today, with every reason against it at once."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

from companion.care.catalogue import Catalogue
from companion.care.caution_rules import Judgement, caution_judgement
from companion.care.closures import closures
from companion.care.finding import Entries, find
from companion.care.history import instant
from companion.care.patch_looks import LookHours, Moment, moment
from companion.care.records import Part, PatchTest, Plan, Side, Skin
from companion.care.tape_applications import current_application, rest_until, same_make
from companion.care.trial_days import tape_refused

PatchState = Literal[
    "clear",
    "missing",
    "waiting",
    "first_reading_due",
    "second_reading_due",
    "not_clear",
    "read_too_late",
]
"""waiting: placed, and the next look is not due yet. read_too_late: the time for the second look
passed, so a new piece is needed."""
TapeReason = Literal[
    "not_in_plan",
    "stay_bare",
    "locked",
    "caution",
    "trial_bare",
    "trial_no_tape",
    "trial_evening",
    "trial_clock",
    "patch_test_missing",
    "patch_test_not_clear",
    "patch_red",
    "bad_day",
    "tape_on",
    "rest",
    "skin",
    "not_clean",
    "reach",
    "helper_needed",
]
"""patch_test_missing: not read clear twice yet; `patch_test_state` says how far it is. patch_red: a
test piece of whatever make was not clear, and the clinic was not talked to since. bad_day: a score
of today made it one."""


@dataclass(frozen=True, slots=True)
class TapeGate:
    """The reasons against tape as far as they need no answer, none when it may go on.

    `helper_needed`: somebody has to be there, who may come today. `rest_until` is the end of the
    rest after the last tape, when that is a reason.
    """

    reasons: tuple[TapeReason, ...]
    cautions: Judgement
    helper_needed: bool = False
    rest_until: datetime | None = None

    @property
    def allowed(self) -> bool:
        """True when nothing speaks against it."""
        return not self.reasons


def check(
    plan: Plan,
    side: Side,
    entries: Entries,
    catalogue: Catalogue,
    *,
    now: datetime,
    today: date,
    make: str | None = None,
    in_flare: bool = False,
    part: Part = "tape_on",
    bad_day: bool = False,
) -> TapeGate:
    """Judge the tape gate. `entries` are those that count. `part`: tape on, or for an outing;
    `bad_day`: today is one for this knee, so none goes on (rule r02). `make` is the plan's unless
    another is at hand. What only the person can see is judged by `against_today`.
    """
    make = plan.tape.make if make is None else make
    cautions = caution_judgement(
        plan,
        part,
        catalogue.policy,
        entries=entries,
        side=side,
        today=today,
        in_flare=in_flare,
    )
    helper_away = any(one.reason == "no_helper" for one in cautions.blocked)
    found = closures(catalogue.policy, plan, entries, side, today=today)
    until = rest_until(entries, side, plan.tape)
    resting = until is not None and instant(now) < until
    patch = patch_test_state(plan, entries, make, now, catalogue.tape_steps.patch_test.readings)
    bare_from = plan.tape.stay_bare_from
    trial = tape_refused(plan, side, entries, today=today, now=now)
    against: tuple[tuple[bool, TapeReason], ...] = (
        (plan.tape.when == "never" or plan.tape.highest == 0, "not_in_plan"),
        (bare_from is not None and today >= bare_from, "stay_bare"),
        (found.by_other_sign(part), "locked"),
        (found.by_patch_test(part), "patch_red"),
        (cautions.by_the_plan, "caution"),
        (bad_day and part in catalogue.policy.state("bad_day").closes, "bad_day"),
        *(((True, trial),) if trial is not None else ()),
        (patch == "not_clear", "patch_test_not_clear"),
        (patch not in ("clear", "not_clear"), "patch_test_missing"),
        (current_application(entries, side) is not None, "tape_on"),
        (resting, "rest"),
        (helper_away, "helper_needed"),
    )
    return TapeGate(
        reasons=tuple(reason for holds, reason in against if holds),
        cautions=cautions,
        helper_needed="helper_there" in cautions.asks and not helper_away,
        rest_until=until if resting else None,
    )


def against_today(
    *,
    skin: Skin | None,
    clean: bool | None,
    reach: bool | None,
    helper_there: bool,
    helper_needed: bool,
) -> tuple[TapeReason, ...]:
    """What speaks against tape by what only the person can see today.

    `skin`: only clear will do. `clean`: no cream or gel on it. `reach`: "can you reach below your
    knee with both hands?"; else a helper. What was not answered counts against.
    """
    against: tuple[tuple[bool, TapeReason], ...] = (
        (skin != "clear", "skin"),
        (clean is not True, "not_clean"),
        (reach is not True and not helper_there, "reach"),
        (helper_needed and not helper_there, "helper_needed"),
    )
    return tuple(reason for holds, reason in against if holds)


_STATES: dict[Moment, PatchState] = {
    "too_early": "waiting",
    "first": "first_reading_due",
    "second": "second_reading_due",
    "too_late": "read_too_late",
    "clear": "clear",
    "not_clear": "not_clear",
}


def patch_test_state(
    plan: Plan,
    entries: Entries,
    make: str | None,
    now: datetime,
    readings: Sequence[LookHours],
) -> PatchState:
    """How the patch test of one make stands: clear when it was read clear twice.

    Tolerance of the same make recorded by the clinic, in the plan or as an entry, is as good; a
    later test that was not clear undoes either. The newest test of the make counts. A new make
    starts again. `readings` are the two windows; when a look counts is in `patch_looks`.
    """
    tests = [
        test for test in find(entries, PatchTest) if make is not None and same_make(test.make, make)
    ]
    test = max(tests, key=lambda one: (instant(one.happened_at), one.id), default=None)
    by_plan = plan.tape.patch_test == "tolerated_in_clinic" and same_make(make, plan.tape.make)
    if test is None:
        return "clear" if by_plan else "missing"
    if any(skin not in (None, "clear") for skin in (test.first_skin, test.second_skin)):
        return "not_clear"
    if test.tolerated_in_clinic or by_plan:
        return "clear"
    return _STATES[moment(test, now, readings)]
