"""The clinic's desk: its case list, what comes in, what is undone, the diary that is opened.

Whatever is asked here gives a result, and says whose diaries it changed, or raises Trouble. Long
work is a `Task`: its steps may run beside the window.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from typing import Generic, TypeVar

from companion.care.catalogue import Catalogue
from companion.care.policy import WatchPolicy
from companion.care.records import Diary, Side
from companion.evidence.figures import Findings
from companion.exchange.case_files import (
    CaseFolder,
    HeldDiary,
    diary_paths,
    import_stamp,
)
from companion.journal.drafts import DraftFolder
from companion.journal.people import Case, KeptFile, PeopleStore
from companion.services import clinic_import
from companion.services.clinic_import import FileLook, Rebuilt, Taken, Undone, last_import
from companion.services.trouble import Trouble, known_troubles
from companion.system.clock import Clock
from companion.system.settings import SettingsFile
from companion.wire.resource_reading import shipped_policy

Step = TypeVar("Step")
Result = TypeVar("Result")


@dataclass(slots=True, kw_only=True)
class Practice:
    """The clinic's own things: the list, the folder it is made from, the plans that are half
    written, who signed last, the clock, the trade."""

    people: PeopleStore
    folder: CaseFolder
    drafts: DraftFolder
    signer: SettingsFile
    clock: Clock
    catalogue: Callable[[], Catalogue]
    opened: SettingsFile | None = None
    """Whose diaries were opened last; None: it is not remembered."""

    def stamp(self) -> str:
        """The stamp of an import that begins now. Raises Trouble."""
        with known_troubles():
            return import_stamp(self.clock.now(), [file.taken for file in self.people.files()])


# ---------------------------------------------------------------- the list


@dataclass(frozen=True, slots=True)
class People:
    """The case list: everybody by code, files that cannot be used, and what can be done. `lately`
    are the codes opened last, the newest first, where the list is longer than they are."""

    cases: tuple[Case, ...]
    unusable: tuple[KeptFile, ...]
    files: int
    can_undo: bool
    watch: WatchPolicy
    lately: tuple[str, ...] = ()


def people(practice: Practice) -> People:
    """The list as it stands. Raises Trouble."""
    with known_troubles():
        files = practice.people.files()
        cases = practice.people.cases()
        return People(
            cases=cases,
            unusable=tuple(file for file in files if file.person is None),
            files=len(files),
            can_undo=bool(last_import(files)),
            watch=shipped_policy().watch,
            lately=opened_lately(practice, {case.code for case in cases}),
        )


MOST_LATELY = 5


def opened_lately(practice: Practice, codes: Collection[str]) -> tuple[str, ...]:
    """Whose diaries were opened last, of all `codes`; nothing where so few are in sight anyway."""
    kept = None if practice.opened is None else practice.opened.read().get("codes")
    if not isinstance(kept, list) or len(codes) <= MOST_LATELY:
        return ()
    return tuple(code for code in kept if isinstance(code, str) and code in codes)[:MOST_LATELY]


def remember_opened(practice: Practice, code: str) -> None:
    """Remember that a person's diary was opened. What cannot be remembered is no trouble."""
    if practice.opened is None:
        return
    kept = practice.opened.read().get("codes")
    before = [one for one in kept if one != code] if isinstance(kept, list) else []
    with suppress(Trouble), known_troubles():
        practice.opened.write({"codes": [code, *before][:MOST_LATELY]})


def is_in_list(practice: Practice, code: str) -> bool:
    """Whether somebody in the list has this code. Raises Trouble."""
    with known_troubles():
        return practice.people.case(code) is not None


def differs(practice: Practice) -> bool:
    """Whether the folder holds other files than the list knows of. Raises Trouble."""
    with known_troubles():
        return clinic_import.differs(practice.folder, practice.people.files())


def files_in(folder: str) -> tuple[str, ...]:
    """The paths of the files in a folder from outside, by name. Raises Trouble."""
    with known_troubles():
        return diary_paths(folder)


# ---------------------------------------------------------------- one person's diary


class OpenDiary:
    """One person's diary as it is read here: its last weeks at once, the whole of it and the
    findings of a knee when they are first asked for."""

    def __init__(self, held: HeldDiary, today: date) -> None:
        """Use `open_diary`."""
        self._held, self._today = held, today
        self._whole: Diary | None = None
        self._found: dict[Side, Findings] = {}

    def lately(self, days: int) -> Diary:
        """Enough of it for a chart of the last `days` days. Raises Trouble."""
        with known_troubles():
            return self._held.lately(days)

    def whole(self) -> Diary:
        """All of it. Raises Trouble."""
        if self._whole is None:
            with known_troubles():
                self._whole = self._held.whole()
        return self._whole

    def found(self, side: Side) -> Findings:
        """The findings of one knee. Raises Trouble."""
        if side not in self._found:
            self._found[side] = self._findings(side)
        return self._found[side]

    def found_with_mornings(self, side: Side) -> Findings:
        """The same with what goes with the next morning's pain. Raises Trouble."""
        return self._findings(side, with_mornings=True)

    def _findings(self, side: Side, *, with_mornings: bool = False) -> Findings:
        from companion.evidence.findings import findings

        return findings(
            self.whole(),
            side,
            policy=shipped_policy(),
            read_on=self._today,
            with_next_morning=with_mornings,
        )


def open_diary(practice: Practice, code: str) -> OpenDiary | None:
    """The diary of one person; None when nobody in the list has this code. Raises Trouble."""
    with known_troubles():
        kept = [(file.name, file.content) for file in practice.people.files(code)]
        today = practice.clock.today()
        return OpenDiary(practice.folder.held(kept), today) if kept else None


# ---------------------------------------------------------------- long work


class Task(Generic[Step, Result]):
    """Long work in `count` steps, which may be broken off between two of them, and where a step
    reads a file, inside it.

    `steps` may run in a thread of its own. `keep` is called with each step, and `end` once after
    the last, in the thread that opened the practice: the list is written there alone. All three
    may raise Trouble.
    """

    count: int
    beat: Callable[[int], object] = staticmethod(lambda _percent: None)
    """Told inside a long step how many percent of it are done; raises to leave off there."""

    def steps(self) -> Iterator[Step]:
        """Do it, a step at a time."""
        raise AssertionError("every task has its steps")

    def keep(self, step: Step) -> None:
        """Take over what one step gave."""
        raise AssertionError("every task takes its steps over")

    def end(self, *, stopped: bool) -> Result:
        """What came of it; `stopped` when it was broken off."""
        raise AssertionError("every task has an end")

    def changed(self) -> frozenset[str]:
        """The codes whose diaries are others since."""
        return frozenset()


class Looking(Task[FileLook, tuple[FileLook, ...] | None]):
    """Read files from outside, to say what they would bring. None when it was broken off."""

    def __init__(self, practice: Practice, paths: Sequence[str]) -> None:
        self.count = len(paths)
        with known_troubles():
            self._files = practice.people.files()
        self._practice, self._paths, self._today = practice, paths, practice.clock.today()
        self._found: list[FileLook] = []

    def steps(self) -> Iterator[FileLook]:
        with known_troubles():
            yield from clinic_import.looks(
                self._paths, self._practice.folder, self._files, self._today, self.beat
            )

    def keep(self, step: FileLook) -> None:
        self._found.append(step)

    def end(self, *, stopped: bool) -> tuple[FileLook, ...] | None:
        return None if stopped else tuple(self._found)


class TakingIn(Task[Taken, tuple[Taken, ...]]):
    """Copy chosen files in. What was copied before it was broken off stays, each file whole."""

    def __init__(self, practice: Practice, chosen: Sequence[FileLook]) -> None:
        self.count = len(chosen)
        with known_troubles():
            self._files = practice.people.files()
        self._practice, self._chosen, self._stamp = practice, chosen, practice.stamp()
        self._done: list[Taken] = []

    def steps(self) -> Iterator[Taken]:
        with known_troubles():
            yield from clinic_import.takings(
                self._chosen, self._practice.folder, self._files, self._stamp
            )

    def keep(self, step: Taken) -> None:
        self._done.append(step)
        _enter(self._practice, step)

    def end(self, *, stopped: bool) -> tuple[Taken, ...]:
        return tuple(self._done)

    def changed(self) -> frozenset[str]:
        return frozenset(done.case.code for done in self._done if done.case is not None)


class MakingAnew(Task[Rebuilt, int | None]):
    """Read every file of the clinic's folder again and put the list made from them in place of the
    old one; how many files. None when it was broken off: then nothing changes."""

    def __init__(self, practice: Practice, words: Callable[[FileLook], str]) -> None:
        """`words` say of a file that cannot be used what it is."""
        with known_troubles():
            self.count = len(practice.folder.listed())
        self._practice, self._words = practice, words
        self._read: list[Rebuilt] = []
        self._changed: frozenset[str] = frozenset()

    def steps(self) -> Iterator[Rebuilt]:
        with known_troubles():
            yield from clinic_import.rebuild(self._practice.folder, self._words, self.beat)

    def keep(self, step: Rebuilt) -> None:
        self._read.append(step)

    def end(self, *, stopped: bool) -> int | None:
        if stopped:
            return None
        store = self._practice.people
        cases = {each.case.code: each.case for each in self._read if each.case is not None}
        with known_troubles():
            before = [case.code for case in store.cases()]
            store.put_all([each.file for each in self._read], list(cases.values()))
        self._changed = frozenset((*before, *cases))
        return len(self._read)

    def changed(self) -> frozenset[str]:
        return self._changed


# ---------------------------------------------------------------- undo, and what is made here


def undoing(practice: Practice) -> Undone:
    """What undoing the last import would take out. Raises Trouble."""
    with known_troubles():
        return clinic_import.undoing(practice.people.files(), practice.folder)


def undo(practice: Practice, undone: Undone) -> frozenset[str]:
    """Undo the last import: its files are kept aside. The codes that changed. Raises Trouble."""
    with known_troubles():
        practice.folder.set_aside(undone.names)
        practice.people.drop(undone.names, undone.gone, undone.changed)
    return frozenset((*undone.gone, *(case.code for case in undone.changed)))


def take_made(practice: Practice, data: bytes) -> Taken:
    """Take a diary file that was made at this desk into the list. Raises Trouble."""
    stamp = practice.stamp()
    with known_troubles():
        files = practice.people.files()
        taken = clinic_import.taking_made(
            data, practice.folder, files, practice.clock.today(), stamp
        )
        _enter(practice, taken)
    return taken


def _enter(practice: Practice, taken: Taken) -> None:
    if taken.file is not None:
        with known_troubles():
            practice.people.put(taken.file, taken.case)
