"""What a tape trial came to, for Home: the result and the clinic's verdict on it."""

from companion.care.records import Side
from companion.evidence.figures import StatedVerdict, TapeWorth, TrialResult
from companion.evidence.findings import findings
from companion.services.context import Context
from companion.services.trouble import known_troubles


def trial_answer(
    context: Context, side: Side
) -> tuple[TrialResult, StatedVerdict[TapeWorth]] | None:
    """The trial of a knee and what it lets be said; None where the plan holds none. Raises
    Trouble."""
    with known_troubles():
        diary = context.journal.diary()
    found = findings(diary, side, policy=context.policy, read_on=context.clock.today())
    return None if found.trial is None else (found.trial, found.verdicts.tape)
