"""The chair stand at home: what its walk starts from, and the measure it writes."""

from datetime import date

from companion.care.bad_days import was_bad_on
from companion.care.chair_questions import ChairEnd, ChairStart, chair_stand_due, chair_walk
from companion.care.closures import closures
from companion.care.finding import find
from companion.care.flow import Walk
from companion.care.ready import asks_of
from companion.care.records import AnyEntry, Measurement, Plan, Side
from companion.evidence.chair_stand import chair_stands
from companion.evidence.figures import ChairStand
from companion.services.context import Context, derived_id
from companion.services.signs import (
    GateWalk,
    closed_at_start,
    closed_since,
    closing_sign,
    gate_part,
    last_part,
    open_signs,
    signs_to_ask,
)
from companion.services.tape import gate_asked_today
from companion.services.walks import WalkState


class ChairWalk(GateWalk[ChairStart, ChairEnd]):
    """The 30-second chair stand. It is the person's; what closes it for one knee closes it."""

    name = "chair"
    start_type = ChairStart

    def start(self, context: Context, plan: Plan, side: Side, for_day: date) -> ChairStart:
        """What it stands on. Raises LookupError where the plan does not offer it."""
        if plan.chair_stand is None:
            raise LookupError("the plan does not offer the chair stand")
        entries = context.entries
        closing = [closing_sign(context, entries, knee) for knee in plan.sides]
        # Signs of one knee, which are those of its skin, are asked about where that knee is named.
        to_ask = [sign for sign in open_signs(context, entries, side) if not sign.sides]
        return ChairStart(
            safe=plan.chair_stand,
            ceiling=plan.pain_ceiling,
            closed_by=next((sign for sign in closing if sign is not None), None),
            gate_asked=gate_asked_today(entries, for_day),
            **gate_part(context, plan, for_day, in_session=True),
            **last_part(context, side, for_day),
            open_signs=signs_to_ask(context, to_ask, skin=False),
            closed=closed_at_start(context, plan, entries, side, to_ask),
            asks=asks_of(plan, context.policy),
            bad_day=any(
                was_bad_on(context.policy, context.journal.versions, entries, knee, for_day)
                for knee in plan.sides
            ),
        )

    def walk(self, context: Context, state: WalkState[ChairStart]) -> Walk[ChairEnd]:
        """The gate, the rules, one try, the count."""
        return chair_walk(context.catalogue, state.start)

    def finish(
        self, context: Context, state: WalkState[ChairStart], end: ChairEnd
    ) -> tuple[AnyEntry, ...]:
        """The measure, when something was counted."""
        if end.count is None:
            return ()
        stamp = state.stamp(
            derived_id(state.id, "measure"),
            at=context.clock.now(),
        )
        return (
            Measurement(
                **stamp,
                test="chair_stand_30_s",
                count=end.count,
                arms_used=end.arms_used,
                seat_cm=end.seat_cm,
            ),
        )

    def tells(self, state: WalkState[ChairStart], end: ChairEnd) -> bool:
        """Not where nothing was counted."""
        return end.count is not None

    def has_changed(self, context: Context, state: WalkState[ChairStart]) -> bool:
        """A sign ticked elsewhere closes something."""
        return closed_since(context, context.entries, state)


def stands_counted(context: Context, plan: Plan) -> tuple[ChairStand, ...]:
    """Every chair stand of the diary, each against the table and the first."""
    return chair_stands(find(context.entries, Measurement), plan.birth_year, plan.sex)


def chair_stand_today(context: Context, plan: Plan) -> bool | None:
    """Whether a count is due today, which it is not while closed; None where no plan offers it."""
    if plan.chair_stand is None:
        return None
    today = context.clock.today()
    found = closures(context.policy, plan, context.entries, plan.sides[0], today=today)
    return not found.closed("check_move") and chair_stand_due(plan, context.entries, today)
