"""What every use case is given: the journal, the clock and the content."""

from collections.abc import Callable
from typing import TYPE_CHECKING

from companion.care.finding import EntryIndex
from companion.care.history import corrected
from companion.care.open_things import went_back
from companion.care.records import AnyEntry, Diary, Plan, Stamp, WrittenBy
from companion.journal.store import Journal
from companion.system.clock import Clock
from companion.system.ids import new_id

if TYPE_CHECKING:
    from companion.care.catalogue import Catalogue
    from companion.care.policy import Policy

PRIVATE_NOTES = "private_note:"
"""What the names of drafts begin with that hold a private note."""
QUESTION = "question_begun"
"""The draft that holds the words of a question that was begun and not written down."""
PLAN_WAITS = "plan_waits"
"""The draft that holds a plan that came and was neither taken in nor left, as its file."""
PAPER_WEEKS = "paper_weeks"
"""The draft that holds weeks on paper that are half typed."""
CLOCK = "clock"
"""The draft that holds what was said of the clock, and of which entry."""


class Context:
    """One person's diary, open. Reads what a page needs and derives the rest.

    `catalogue` may be what reads it: the front page does without, so it is read on first use. Of
    all content that page needs the policy alone, so `policy` may read that by itself. `long_way`
    tells whether the person wants every evening page by page; they do not unless they said so.
    """

    def __init__(
        self,
        *,
        journal: Journal,
        clock: Clock,
        catalogue: "Catalogue | Callable[[], Catalogue]",
        policy: "Callable[[], Policy] | None" = None,
        long_way: Callable[[], bool] = bool,
    ) -> None:
        self.journal = journal
        self.clock = clock
        self._catalogue = catalogue
        self._read_policy = policy
        self._policy: Policy | None = None
        self.long_way = long_way

    @property
    def catalogue(self) -> "Catalogue":
        """The content of the trade. Two threads may ask for it at once."""
        held = self._catalogue
        if callable(held):
            held = self._catalogue = held()
        return held

    @property
    def policy(self) -> "Policy":
        """What closes what, until when, and who opens it."""
        if self._policy is None:
            read = self._read_policy
            self._policy = self.catalogue.policy if read is None else read()
        return self._policy

    def plan(self) -> Plan | None:
        """The plan in force; on a day on which the person went back to the one before, of both the
        stricter."""
        plan = self.journal.plan_in_force()
        if plan is None or went_back(self.entries, self.clock.today()) is None:
            return plan
        # Few days go by two plans; what compares them is not loaded on the others.
        from companion.care.plan_before import plan_to_go_back_to, stricter

        before = plan_to_go_back_to(plan, self.journal.versions)
        return plan if before is None else stricter(plan, before)

    def stamp(self, written_by: WrittenBy = "person") -> Stamp:
        """The fields of a new entry of today. Raises LookupError without a plan: every entry is
        written under one."""
        plan = self.plan()
        if plan is None:
            raise LookupError("an entry needs a plan")
        return Stamp(
            id=new_id(),
            for_day=self.clock.today(),
            written_at=self.clock.now(),
            written_by=written_by,
            plan_version=plan.version,
        )

    def correct(self, entry: AnyEntry, written_by: WrittenBy = "person") -> None:
        """Write an entry down as a correction of itself."""
        self.journal.write(corrected(entry, new_id(), self.clock.now(), written_by))

    def plan_of(self, version: int) -> Plan | None:
        """The plan of one version."""
        return self.journal.versions.get(version)

    def diary(self) -> Diary | None:
        """The whole diary, None before there is a plan."""
        return self.journal.diary() if self.journal.plans() else None

    @property
    def entries(self) -> EntryIndex:
        """All entries that count; each is read when first touched."""
        return self.journal.index


def derived_id(*parts: str) -> str:
    """An entry id that follows from what it stands for, so that writing twice is writing once."""
    import hashlib  # not on the way to the front page

    return hashlib.sha256("\x00".join(parts).encode()).hexdigest()[:32]
