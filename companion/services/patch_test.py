"""The patch test: what its two walks start from, and the test they write and correct.

A test belongs to the person. Its walks are state with the first knee of the plan; the knee only
names their drafts.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from companion.care.catalogue import Catalogue
from companion.care.clearing import MistakePage
from companion.care.closures import closures
from companion.care.days import diary_day
from companion.care.finding import Entries, newest_first
from companion.care.flow import Given, Walk, WalkPage
from companion.care.history import instant
from companion.care.patch_looks import Look, look_from, look_until
from companion.care.patch_questions import (
    MakeTested,
    PatchEnd,
    PatchLookOverPage,
    PatchLookPage,
    PatchNotClearPage,
    PatchReadingEnd,
    PatchReadingStart,
    PatchStart,
    patch_reading_walk,
    patch_walk,
)
from companion.care.records import AnyEntry, PatchTest, Plan, Side, Skin
from companion.care.tape_applications import same_make
from companion.care.tape_gate import PatchState, TapeReason, patch_test_state
from companion.services.context import Context, derived_id
from companion.services.signs import SignWalk
from companion.services.tape import tape_outlook
from companion.services.walks import WalkState

_AGAINST_A_PIECE: tuple[TapeReason, ...] = (
    "not_in_plan",
    "stay_bare",
    "caution",
    "patch_red",
    "bad_day",
    "locked",
)
"""What speaks against tape on the knee and against a test piece alike."""
_UNDER_WAY = ("waiting", "first_reading_due", "second_reading_due")


@dataclass(frozen=True, slots=True, kw_only=True)
class PatchWaiting:
    """How the patch test stands. `test` None: none of this make.

    `look_from` and `look_until`: when the next look counts, while the test is under way.
    """

    state: PatchState
    make: str
    test: PatchTest | None = None
    look_from: datetime | None = None
    look_until: datetime | None = None

    @property
    def read_on(self) -> date | None:
        """The day of the look at which the skin was not clear."""
        test = self.test
        if test is None:
            return None
        looks = ((test.first_skin, test.first_read_at), (test.second_skin, test.second_read_at))
        return next((at.date() for skin, at in looks if skin not in (None, "clear") and at), None)


def late_rash_asked(
    patch: PatchWaiting, entries: Entries, now: datetime, catalogue: Catalogue
) -> bool:
    """Whether the place of the newest test piece, which was clear, may still be looked at: for
    twice the days after which it is looked at last (C)."""
    placed = [test for test in _tests(entries) if not test.tolerated_in_clinic]
    if patch.state != "clear" or not placed or patch.test != placed[-1]:
        return False
    return instant(now) - instant(placed[-1].happened_at) < _late_rash(catalogue)


def _late_rash(catalogue: Catalogue) -> timedelta:
    return timedelta(days=2 * catalogue.tape_steps.patch_test.week_days)


def patch_waiting(
    plan: Plan, entries: Entries, now: datetime, catalogue: Catalogue
) -> PatchWaiting | None:
    """The test that is under way, of whatever make; else how the plan's make stands.

    None when the plan has no tape, or names no make and nothing was tested. `entries` are those
    that count.
    """
    tests = _tests(entries)
    if tests:
        newest = _standing(plan, tests, tests[-1].make, now, catalogue)
        if newest.state in _UNDER_WAY or plan.tape.make is None:
            return newest
    if plan.tape.make is None or plan.tape.when == "never" or plan.tape.highest == 0:
        return None
    return _standing(plan, tests, plan.tape.make, now, catalogue)


def _standing(
    plan: Plan, tests: Sequence[PatchTest], make: str, now: datetime, catalogue: Catalogue
) -> PatchWaiting:
    """How one make stands."""
    readings = catalogue.tape_steps.patch_test.readings
    state = patch_test_state(plan, tests, make, now, readings)
    test = next((one for one in reversed(tests) if same_make(one.make, make)), None)
    if test is None or state not in _UNDER_WAY:
        return PatchWaiting(state=state, make=make, test=test)
    return PatchWaiting(
        state=state,
        make=make,
        test=test,
        look_from=look_from(test, readings).astimezone(now.tzinfo),
        look_until=look_until(test, readings).astimezone(now.tzinfo),
    )


def _tests(entries: Entries) -> tuple[PatchTest, ...]:
    """Every patch test, the one placed last at the end."""
    return tuple(newest_first(entries, PatchTest, by="time"))[::-1]


class PatchWalk(SignWalk[PatchStart, PatchEnd]):
    """A test piece of one make goes on."""

    name = "patch"
    start_type = PatchStart

    def start(self, context: Context, plan: Plan, side: Side, for_day: date) -> PatchStart:
        """What it stands on."""
        entries = context.entries
        now = context.clock.now()
        outlook = tape_outlook(context, plan, side, entries)
        refused = {reason for reason in outlook.refused if reason in _AGAINST_A_PIECE}
        # Here is no gate that would ask about an open sign, so each of them counts.
        held = closures(context.policy, plan, entries, side, today=for_day)
        if held.by_other_sign("tape_on"):
            refused.add("locked")
        if held.by_patch_test("tape_on"):
            refused.add("patch_red")
        tests = _tests(entries)
        makes: list[str] = [] if plan.tape.make is None else [plan.tape.make]
        for test in reversed(tests):
            if not any(same_make(test.make, make) for make in makes):
                makes.append(test.make)
        found = [_standing(plan, tests, make, now, context.catalogue) for make in makes]
        return PatchStart(
            makes=tuple(
                MakeTested(make=one.make, state=one.state, look_from=one.look_from) for one in found
            ),
            refused=tuple(reason for reason in _AGAINST_A_PIECE if reason in refused),
        )

    def walk(self, context: Context, state: WalkState[PatchStart]) -> Walk[PatchEnd]:
        """Make, skin, steps."""
        return patch_walk(context.catalogue, state.start)

    def finish(
        self, context: Context, state: WalkState[PatchStart], end: PatchEnd
    ) -> tuple[AnyEntry, ...]:
        """The test, placed now."""
        if not end.placed or end.make is None:
            return ()
        now = context.clock.now()
        return (
            PatchTest(
                **state.stamp(derived_id(state.id, "patch_test"), for_day=diary_day(now), at=now),
                make=end.make,
                happened_at=now,
            ),
        )

    def has_changed(self, context: Context, state: WalkState[PatchStart]) -> bool:
        """What speaks for or against a piece is no longer as it was."""
        now = self.start(context, state.plan, state.side, state.for_day)

        def told(start: PatchStart) -> list[tuple[str, str]]:
            return [(one.make, one.state) for one in start.makes]

        return state.start.refused != now.refused or told(state.start) != told(now)


class PatchReadingWalk(SignWalk[PatchReadingStart, PatchReadingEnd]):
    """A look at the skin under the newest test piece. Nothing closes it."""

    name = "patch_reading"
    start_type = PatchReadingStart

    def start(self, context: Context, plan: Plan, side: Side, for_day: date) -> PatchReadingStart:
        """What it stands on. Raises LookupError when no piece was placed."""
        tests = [test for test in _tests(context.entries) if not test.tolerated_in_clinic]
        if not tests:
            raise LookupError("no patch test is under way")
        return PatchReadingStart(test=tests[-1])

    def walk(self, context: Context, state: WalkState[PatchReadingStart]) -> Walk[PatchReadingEnd]:
        """One look, at the time of its first answer: until then it may still be too early."""
        at = state.answers[0].at if state.answers else context.clock.now()
        readings = context.catalogue.tape_steps.patch_test.readings
        return patch_reading_walk(readings, state.start, at)

    def on_answer(
        self,
        context: Context,
        state: WalkState[PatchReadingStart],
        page: WalkPage,
        submitted: Given,
    ) -> tuple[AnyEntry, ...]:
        """The look, and a mistake taken back: both at once."""
        signs = super().on_answer(context, state, page, submitted)
        entry: PatchTest | None = None
        if isinstance(page, PatchLookPage) and submitted["skin"] not in ("clear", "gone"):
            now = context.clock.now()
            entry = self._looked(context, state, page, submitted["skin"], now)
        elif isinstance(page, PatchLookOverPage):
            # It is of when it was made, not of when it was looked over.
            entry = self._looked(context, state, page, "clear", state.answers[-1].at)
        elif (isinstance(page, PatchNotClearPage) and submitted.get("skin") == "mistake") or (
            isinstance(page, MistakePage) and submitted["mistake"] == "yes"
        ):
            entry = self._as_before(context, state, page.key)
        return signs if entry is None else (*signs, entry)

    def has_changed(self, context: Context, state: WalkState[PatchReadingStart]) -> bool:
        """Another piece was placed, or it was read elsewhere."""
        newest = self.start(context, state.plan, state.side, state.for_day).test
        return newest.id not in (*state.entry_ids, state.start.test.id)

    def _looked(
        self,
        context: Context,
        state: WalkState[PatchReadingStart],
        page: PatchLookPage | PatchLookOverPage,
        skin: Skin,
        at: datetime,
    ) -> PatchTest | None:
        """The correction with this look."""
        test = _counting(context, state)
        if test is None:
            return None
        read = _read(test, page.look, at, skin)
        return state.corrected(read, derived_id(state.id, page.key), context.clock.now())

    def _as_before(
        self, context: Context, state: WalkState[PatchReadingStart], key: str
    ) -> PatchTest | None:
        """The correction that takes a look back which was a mistake."""
        test, before = _counting(context, state), state.start.test
        if test is None:
            return None
        undone = replace(
            test,
            first_read_at=before.first_read_at,
            first_skin=before.first_skin,
            second_read_at=before.second_read_at,
            second_skin=before.second_skin,
        )
        return state.corrected(undone, derived_id(state.id, f"{key}:mistake"), context.clock.now())


def _read(test: PatchTest, look: Look, at: datetime, skin: Skin) -> PatchTest:
    if look == "first":
        return replace(test, first_read_at=at, first_skin=skin)
    return replace(test, second_read_at=at, second_skin=skin)


def _counting(context: Context, state: WalkState[PatchReadingStart]) -> PatchTest | None:
    """The version of the test that counts now."""
    entry = context.entries.counting(state.start.test.id)
    return entry if isinstance(entry, PatchTest) else None
