"""Taking diary files into the clinic's case list: looked at first, shown, then copied in whole.

A file that is not a whole diary, is here already or is another person's is left alone, with the
reason. A file that may be another person's waits for an explicit yes. Nothing is merged
silently, and every import can be undone.

Looking and taking are iterators, one step a file, so that whoever runs them may stop between two.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from functools import partial
from itertools import pairwise
from typing import TYPE_CHECKING, Literal

from companion.care.clocks import that_count, under_wrong_clock
from companion.care.coded import Coded, coded
from companion.care.records import DayPage, Diary, Side
from companion.exchange.case_files import (
    CaseFolder,
    ChangedFile,
    Looked,
    look_at,
    looked_at,
    taken_of,
)
from companion.exchange.files import Beat, idle, shown_name
from companion.exchange.taking_in import Refusal, preview
from companion.journal.people import Case, KeptFile
from companion.wire.resource_reading import shipped_policy

if TYPE_CHECKING:
    from companion.evidence.figures import Unsafe

Outcome = Literal["new_person", "more", "doubt", "known", "refused"]
Doubt = Literal["alike_code", "nothing_in_common", "plans_backwards", "pain_differs"]
"""Why a diary may be another person's: a question for whoever takes it in."""
WhyLeft = Literal["is_plan", "here_already", "not_copied", "told", Doubt]
"""Why one file is left, or waits; "told" is said by the floor it comes from."""
MOST_DIFFERENT_DAYS = 2
"""So many days two copies may tell differently before somebody has to say it is one person."""

Kept = Mapping[str, Sequence[tuple[str, str]]]
"""By code, the files of a person that are kept: pairs of name and content."""


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a file is left or waits, and what the sentence about it names. `said` is what
    the floor says that it comes from."""

    why: WhyLeft
    values: Mapping[str, object] = field(default_factory=dict)
    said: Coded | None = None


@dataclass(frozen=True, slots=True)
class FileLook:
    """What one file is. `new` counts the entries it would add; of them `wrong_clock` were written
    under a wrong clock, and `differ` tell otherwise what is here already. `left_out` says why an
    entry of it does not fit the rest, for each that was left out."""

    path: str
    name: str
    outcome: Outcome
    reason: Reason | Refusal | None = None
    content: str = ""
    person: str | None = None
    new: int = 0
    wrong_clock: int = 0
    differ: int = 0
    left_out: tuple[Coded, ...] = ()

    @property
    def ready(self) -> bool:
        """It may be taken in without being asked about."""
        return self.outcome in ("new_person", "more")


@dataclass(frozen=True, slots=True)
class Taken:
    """One file was copied in, with its person's row as it is now; or it was left, and why."""

    look: FileLook
    file: KeptFile | None
    case: Case | None
    reason: Reason | Refusal | None = None


def case_of(diary: Diary) -> Case:
    """The row of a person."""
    plan = diary.plan
    from companion.evidence.findings import findings, sides
    from companion.evidence.unsafe import SILENT, card_before, heard_of

    entries, policy = that_count(diary), shipped_policy()
    days = [entry.for_day for entry in entries]
    found = [findings(diary, side, policy=policy) for side in sides(diary)]
    told = dict.fromkeys(each for knee in found for each in knee.unsafe if each.code not in SILENT)
    answered = Counter(answering for each in told if (answering := _answering(each)) is not None)
    most_closed = max((knee.closed for knee in found), key=lambda closed: closed.days)
    return Case(
        code=plan.person,
        birth_year=plan.birth_year,
        side=plan.side,
        plan_version=plan.version,
        review_on=plan.review_on,
        first_day=min(days, default=None),
        last_day=max(days, default=None),
        heard_of=heard_of(entries, diary.plans),
        entries=len(entries),
        closed_days=most_closed.days,
        of_days=most_closed.of_days,
        card_before=card_before(entries, policy),
        unsafe=tuple(Counter(each.code for each in told if _answering(each) is None).items()),
        answered=tuple((*answering, n) for answering, n in answered.items()),
    )


def _answering(item: Unsafe) -> tuple[int, str] | None:
    """Version and day of the plan by which an open sign is over once home has it."""
    if item.answer in (None, "still_open"):
        return None
    if item.plan_version is None or item.plan_written_on is None:
        return None
    return item.plan_version, item.plan_written_on.isoformat()


def kept_by_person(files: Iterable[KeptFile]) -> dict[str, list[tuple[str, str]]]:
    """The files that are used, by the code of their person."""
    kept: dict[str, list[tuple[str, str]]] = {}
    for file in files:
        if file.person is not None:
            kept.setdefault(file.person, []).append((file.name, file.content))
    return kept


# ---------------------------------------------------------------- looking


def looks(
    paths: Sequence[str],
    folder: CaseFolder,
    files: Sequence[KeptFile],
    today: date,
    beat: Beat = idle,
) -> Iterator[FileLook]:
    """What each file would bring, in their order. Files before it in this run count as here.

    `beat` may raise what is no Exception, to leave off inside a file.
    """
    here = _Here(
        folder,
        kept_by_person(files),
        {file.content for file in files},
        lambda path: look_at(path, today, beat),
    )
    for path in paths:
        try:
            look = here.judge(path, look_at(path, today, beat))
        except Exception:  # noqa: BLE001 - one bad file never stops the rest
            look = _at_fault(FileLook(path, shown_name(path), "refused"))
        yield look


def _at_fault(look: FileLook) -> FileLook:
    """A file the program itself failed on."""
    said = coded("program_at_fault", name=look.name)
    return replace(look, outcome="refused", reason=Reason("told", said=said))


class _Here:
    """What is here while files are looked at: the kept ones, and those of this run.

    Diaries are not held on to: a thousand of them would fill the memory. Who comes a second time
    in one run is read again, with `look_again`.
    """

    def __init__(
        self,
        folder: CaseFolder,
        kept: Kept,
        contents: set[str],
        look_again: Callable[[str], Looked],
    ) -> None:
        self._folder = folder
        self._kept = kept
        self._contents = contents
        self._look_again = look_again
        self._of_this_run: dict[str, list[str]] = {}

    def judge(self, path: str, looked: Looked, *, confirmed: bool = False) -> FileLook:
        """What one file is; `confirmed` says that a doubt was answered before."""
        found = self._judge(path, looked, confirmed=confirmed)
        if found.outcome in ("new_person", "more"):
            self._contents.add(found.content)
        return found

    def _judge(self, path: str, looked: Looked, *, confirmed: bool) -> FileLook:
        diary = looked.reading.diary
        look = FileLook(path, looked.name, "refused", content=looked.content)
        if diary is None:
            if looked.reading.plan is not None:
                return replace(look, reason=Reason("is_plan"))
            return replace(look, reason=Reason("told", said=looked.reading.said))
        code = diary.plan.person
        look = replace(look, person=code)
        if looked.content in self._contents:
            return replace(look, outcome="known", reason=Reason("here_already"))
        try:
            own = self._own(code)
        except ChangedFile as changed:
            return replace(look, reason=Reason("told", said=changed.said))
        found = preview(own, diary)
        if found.refused is not None:
            outcome: Outcome = "known" if found.refused.why == "nothing_new" else "refused"
            return replace(look, outcome=outcome, reason=found.refused)
        wrong = under_wrong_clock(diary)
        look = replace(
            look,
            new=len(found.new),
            wrong_clock=sum(entry.id in wrong for entry in found.new),
            differ=len(found.conflicts),
            left_out=tuple(fault.said for fault in looked.reading.faults),
        )
        doubt = self._doubt(own, diary)
        if doubt is not None and not confirmed:
            return replace(look, outcome="doubt", reason=doubt)
        self._of_this_run.setdefault(code, []).append(path)
        return replace(look, outcome="new_person" if own is None else "more")

    def _own(self, code: str) -> Diary | None:
        """What is here of a person, files of this run included."""
        kept = self._kept.get(code)
        own = self._folder.diary(kept) if kept else None
        for path in self._of_this_run.get(code, ()):
            more = self._look_again(path).reading.diary
            if more is not None:  # else it went meanwhile, and is told when it is to be taken
                own = more if own is None else _joined(own, more)
        return own

    def _doubt(self, own: Diary | None, diary: Diary) -> Reason | None:
        if own is not None:
            return doubt(own, diary)
        code = diary.plan.person
        alike = sorted(
            other
            for other in {*self._kept, *self._of_this_run}
            if other != code and _plain(other) == _plain(code)
        )
        if not alike:
            return None
        return Reason("alike_code", {"theirs": code, "ours": alike[0]})


def doubt(own: Diary, incoming: Diary) -> Reason | None:
    """Why a diary of the same code may still be another person's.

    The code and the birth year were compared before. Here it is what they have in common, and
    whether their days can be those of one person.
    """
    here = {entry.id for entry in own.entries}
    versions = {plan.version for plan in own.plans}
    meets = any(plan.version in versions for plan in incoming.plans)
    if not meets and not any(entry.id in here for entry in incoming.entries):
        return Reason("nothing_in_common")
    plans = {plan.version: plan.written_on for plan in (*own.plans, *incoming.plans)}
    for (first, before), (second, after) in pairwise(sorted(plans.items())):
        if after < before:
            values: dict[str, int | date] = {
                "second": second,
                "after": after,
                "first": first,
                "before": before,
            }
            return Reason("plans_backwards", values)
    days = _told_differently(own, incoming)
    return Reason("pain_differs", {"n": days}) if days > MOST_DIFFERENT_DAYS else None


def _told_differently(own: Diary, incoming: Diary) -> int:
    """Days and knees for which both hold a page of their own with other pain."""
    mine, theirs = _scores(own), _scores(incoming)
    corrected = {e.replaces for d in (own, incoming) for e in d.entries if e.replaces is not None}
    return sum(
        key in mine
        and mine[key][0] != entry_id
        and mine[key][1] != scores
        and entry_id not in corrected
        and mine[key][0] not in corrected
        for key, (entry_id, scores) in theirs.items()
    )


_Scores = tuple[int | None, int | None, int | None]


def _scores(diary: Diary) -> dict[tuple[date, Side], tuple[str, _Scores]]:
    return {
        (page.for_day, page.side): (page.id, (page.pain_average, page.pain_worst, page.pain_now))
        for page in diary.entries
        if isinstance(page, DayPage) and page.replaces is None
    }


def _plain(code: str) -> str:
    return "".join(letter for letter in code.casefold() if letter.isalnum()).lstrip("0")


def _joined(own: Diary, more: Diary) -> Diary:
    plans = {plan.version: plan for plan in (*own.plans, *more.plans)}
    entries = {entry.id: entry for entry in (*own.entries, *more.entries)}
    return Diary(plans=tuple(plans.values()), entries=tuple(entries.values()))


# ---------------------------------------------------------------- taking in


def takings(
    chosen: Sequence[FileLook], folder: CaseFolder, files: Sequence[KeptFile], taken: str
) -> Iterator[Taken]:
    """Copy the chosen files in, one a step; each step leaves the folder whole.

    `taken` is the stamp of this import. A file whose bytes changed since it was looked at is left.
    """
    kept = kept_by_person(files)
    for look in chosen:
        assert look.person is not None  # only whole diaries can be chosen
        mine = kept.setdefault(look.person, [])
        copy = partial(folder.keep, look.path, look.person, look.content, taken)
        done = _taken(look, look.person, folder, mine, copy)
        if done.file is not None:
            mine.append((done.file.name, look.content))
        yield done


def taking_made(
    data: bytes, folder: CaseFolder, files: Sequence[KeptFile], today: date, taken: str
) -> Taken:
    """Keep a diary file that was made here, by the rules that hold for one from outside."""
    kept = kept_by_person(files)
    looked = looked_at(data, "This plan", today)
    known = {file.content for file in files}
    look = _Here(folder, kept, known, lambda _path: looked).judge("", looked)
    if not look.ready or look.person is None:
        return Taken(look, None, None, look.reason)
    keep = partial(folder.put, data, look.person, taken)
    return _taken(look, look.person, folder, kept.get(look.person, ()), keep)


def _taken(
    look: FileLook,
    person: str,
    folder: CaseFolder,
    mine: Iterable[tuple[str, str]],
    keep: Callable[[], str],
) -> Taken:
    """Put one file into the folder with `keep`, beside those of the same person in `mine`."""
    try:
        name = keep()
        stamp = folder.stamp(name)
        case = case_of(folder.diary([*mine, (name, look.content)]))
    except ChangedFile as changed:
        return Taken(look, None, None, Reason("told", said=changed.said))
    except OSError as fault:
        return Taken(
            look, None, None, Reason("not_copied", {"because": (fault.strerror or "").lower()})
        )
    except Exception:  # noqa: BLE001 - one bad file never stops the rest
        return Taken(look, None, None, _at_fault(look).reason)
    file = KeptFile(name, look.content, stamp.size, stamp.changed_ns, person, taken_of(name))
    return Taken(look, file, case)


@dataclass(frozen=True, slots=True)
class Undone:
    """What undoing an import takes out: its files, people without any left, rows without them."""

    names: tuple[str, ...]
    gone: tuple[str, ...]
    changed: tuple[Case, ...]


def last_import(files: Iterable[KeptFile]) -> tuple[KeptFile, ...]:
    """The files that came with the last import; empty when none is known."""
    files = tuple(file for file in files if file.taken)
    last = max((file.taken for file in files), default="")
    return tuple(file for file in files if file.taken == last)


def undoing(files: Sequence[KeptFile], folder: CaseFolder) -> Undone:
    """What undoing the last import would take out. Raises ChangedFile."""
    names = {file.name for file in last_import(files)}
    people = {file.person for file in files if file.name in names and file.person is not None}
    left = kept_by_person(file for file in files if file.name not in names)
    return Undone(
        names=tuple(sorted(names)),
        gone=tuple(sorted(code for code in people if code not in left)),
        changed=tuple(case_of(folder.diary(left[code])) for code in sorted(people & left.keys())),
    )


# ---------------------------------------------------------------- made again from the folder


def differs(folder: CaseFolder, files: Sequence[KeptFile]) -> bool:
    """Whether the folder holds other files than the list knows of. Raises OSError."""
    known = {file.name: (file.size, file.changed_ns) for file in files}
    there = {name: (stamp.size, stamp.changed_ns) for name, stamp in folder.listed().items()}
    return known != there


@dataclass(frozen=True, slots=True)
class Rebuilt:
    """One file of the folder, read again. `case` is its person's row so far."""

    file: KeptFile
    case: Case | None


def rebuild(
    folder: CaseFolder, words: Callable[[FileLook], str], beat: Beat = idle
) -> Iterator[Rebuilt]:
    """Every file of the folder, oldest import first, as the list is made from them.

    What was taken in once was answered for then: doubts are not asked again. A file that cannot
    be used is told in the `words` for what it is, and stays where it is. `beat` is that of `looks`.
    """
    listed = folder.listed()
    here = _Here(folder, {}, set(), partial(folder.look, beat=beat))
    kept: dict[str, list[tuple[str, str]]] = {}
    for name in sorted(listed, key=lambda each: (taken_of(each), each)):
        looked = folder.look(name, beat)
        case = None
        try:
            look = here.judge(name, looked, confirmed=True)
            if look.person is not None and (look.ready or look.outcome == "known"):
                mine = [*kept.get(look.person, ()), (name, looked.content)]
                diary = folder.diary(mine)
                beat(100)
                case = case_of(diary)
                kept[look.person] = mine
        except Exception:  # noqa: BLE001 - one bad file never keeps the desk shut
            look = _at_fault(FileLook(name, looked.name, "refused"))
        file = KeptFile(
            name,
            looked.content,
            listed[name].size,
            listed[name].changed_ns,
            None if case is None else look.person,
            taken_of(name),
            "" if case is not None else words(look),
        )
        yield Rebuilt(file, case)
