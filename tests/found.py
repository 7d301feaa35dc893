"""Findings by the policy the program is shipped with."""

from datetime import date

from companion.care.records import Diary, Side
from companion.evidence import findings as evidence
from companion.evidence.figures import Findings
from companion.wire.resource_reading import shipped_policy

POLICY = shipped_policy()


def findings(
    diary: Diary,
    side: Side | None = None,
    *,
    read_on: date | None = None,
    with_next_morning: bool = False,
) -> Findings:
    """All findings of one knee."""
    return evidence.findings(
        diary, side, policy=POLICY, read_on=read_on, with_next_morning=with_next_morning
    )
