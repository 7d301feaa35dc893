"""What every use case is given: the journal, the clock, the content, and who is writing."""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any, Literal

from companion.care.catalogue import Catalogue
from companion.care.history import current
from companion.care.records import AnyEntry, Plan, WrittenBy
from companion.journal.store import Journal
from companion.system.clock import Clock

Change = Literal["entries", "plan", "draft"]
"""The kinds of thing a use case may change; screens that show one of them rebuild their view."""


@dataclass(slots=True)
class House:
    """One person's diary, open. Reads what a page needs and derives the rest."""

    journal: Journal
    clock: Clock
    catalogue: Catalogue
    written_by: WrittenBy = "person"
    _plans: dict[int, Plan] = field(default_factory=dict)

    def plan(self) -> Plan | None:
        """The plan in force."""
        return self.journal.plan_in_force()

    def plan_of(self, version: int) -> Plan | None:
        """The plan of one version."""
        if version not in self._plans:
            self._plans = {plan.version: plan for plan in self.journal.plans()}
        return self._plans.get(version)

    def lately(self) -> tuple[AnyEntry, ...]:
        """Effective entries that today's pages rest on: the newest, and whatever is still open."""
        return current(self.journal.front_entries())

    def everything(self) -> tuple[AnyEntry, ...]:
        """All effective entries."""
        return current(self.journal.entries())

    def stamp(
        self, *, entry_id: str, for_day: date, plan: Plan, at: datetime | None = None
    ) -> dict[str, Any]:
        """The fields every new entry has."""
        return {
            "id": entry_id,
            "for_day": for_day,
            "written_at": at or self.clock.now(),
            "written_by": self.written_by,
            "plan_version": plan.version,
        }


def derived_id(*parts: str) -> str:
    """An entry id that follows from what it stands for, so that writing twice is writing once."""
    return hashlib.sha256("\x00".join(parts).encode()).hexdigest()[:32]


def newest(entries: Sequence[AnyEntry]) -> AnyEntry | None:
    """The entry written last."""
    return max(entries, key=lambda entry: (entry.written_at, entry.id), default=None)
