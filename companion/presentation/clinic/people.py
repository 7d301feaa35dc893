"""The clinic's case list and its imports, in words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import get_args

from companion.care.policy import WatchPolicy
from companion.evidence.figures import UnsafeCode
from companion.evidence.unsafe import silence
from companion.exchange.taking_in import Refusal
from companion.journal.people import Case
from companion.presentation.clinic.unsafe_words import unsafe_listed
from companion.presentation.language import codes
from companion.presentation.language.code_table import CodeTable, Wording
from companion.presentation.language.phrases import dated, listed, phrase, short_day
from companion.presentation.language.said import said_words
from companion.presentation.language.troubles import REFUSED
from companion.presentation.view.page import Button, PageView, Text, make_page
from companion.services.clinic_import import FileLook, Reason, Taken, Undone, WhyLeft
from companion.services.practice import People

MOST_NAMED = 5
MOST_UNSAFE = 3
"""So many things that may be unsafe are named in a row; the review has them all."""
MOST_SHOWN = 60
"""More rows than these are narrowed by typing, not by scrolling."""


@dataclass(frozen=True, slots=True)
class PeopleView:
    """The rows that match, in order; `codes` beside them, `counted` says how many there are."""

    headers: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    codes: tuple[str, ...]
    counted: str


def people_view(cases: Sequence[Case], typed: str, today: date, watch: WatchPolicy) -> PeopleView:
    """The people whose code holds what was typed; nothing typed matches all."""
    wanted = typed.casefold().strip()
    found = [case for case in cases if wanted in case.code.casefold()]
    # Whoever's code begins with what was typed comes first.
    found.sort(key=lambda case: (not case.code.casefold().startswith(wanted), case.code))
    shown = found[:MOST_SHOWN]
    return PeopleView(
        headers=(
            phrase("Code"),
            phrase("Knee"),
            phrase("Last entry"),
            phrase("Next review"),
            phrase("Anything unsafe?"),
            phrase("Closed on"),
            phrase("Plan"),
        ),
        rows=tuple(_row(case, today, watch) for case in shown),
        codes=tuple(case.code for case in shown),
        counted=_counted(len(shown), len(found), len(cases)),
    )


def _row(case: Case, today: date, watch: WatchPolicy) -> tuple[str, ...]:
    review = dated(case.review_on)
    if case.review_on < today:
        review = phrase("{day}, past", day=review)
    return (
        case.code,
        codes.SIDES[case.side].clinic,
        phrase("no entry yet") if case.last_day is None else dated(case.last_day),
        review,
        _unsafe(case, today, watch),
        phrase("{n} of {of} days", n=case.closed_days, of=case.of_days)
        if case.closed_days
        else phrase("no day"),
        str(case.plan_version),
    )


def _unsafe(case: Case, today: date, watch: WatchPolicy) -> str:
    """What may be unsafe in a line, in the order of the review; silence as of today."""
    found = dict(case.unsafe)
    silent = silence(watch, case.heard_of, today, after_card=case.card_before)
    if silent is not None:
        found[silent] = (today - case.heard_of).days
    told = [*_answered(case)]
    told += [unsafe_listed(code, found[code]) for code in get_args(UnsafeCode) if code in found]
    more = len(told) - MOST_UNSAFE
    if more > 0:
        told = [*told[:MOST_UNSAFE], phrase("and {n} more", n=more)]
    return listed(told) or phrase("none written down")


def _answered(case: Case) -> Iterator[str]:
    """Open signs that a plan answers. The diary says so once it comes back."""
    for version, day, n in case.answered:
        yield phrase(
            "{n} sign answered in plan {version} of {day}, not yet written at home",
            "{n} signs answered in plan {version} of {day}, not yet written at home",
            n=n,
            version=version,
            day=short_day(date.fromisoformat(day)),
        )


def _counted(shown: int, found: int, everyone: int) -> str:
    if not everyone:
        return phrase("No diary has been taken in yet.")
    if not found:
        return phrase("No code holds that. {n} in the list.", n=everyone)
    if shown < found:
        return phrase("The first {shown} of {n}. Type more of the code.", shown=shown, n=found)
    if found < everyone:
        return phrase("{found} of {n}.", found=found, n=everyone)
    return phrase("{n} person.", "{n} people.", n=everyone)


def unusable_lines(people: People) -> tuple[str, ...]:
    """What is said of files in the clinic's own folder that cannot be used."""
    return tuple(file.sentence or file.name for file in people.unusable)


# ---------------------------------------------------------------- an import


class _Left(Wording):
    clinic: str


_LEFT: CodeTable[WhyLeft, _Left] = CodeTable(
    WhyLeft,
    {
        "is_plan": _Left("It is a plan, not a diary."),
        "here_already": _Left("It is here already."),
        "not_copied": _Left("It could not be copied: {because}."),
        "told": _Left("{said}"),
        "alike_code": _Left(
            "The code {theirs} is much like {ours} in the list. Is it a person of its own?"
        ),
        "nothing_in_common": _Left(
            "It has no plan and no entry in common with the diary here. Is it the same person?"
        ),
        "plans_backwards": _Left(
            "Plan {second} would be from {after}, before plan {first} of {before}. "
            "Is it the same person?"
        ),
        "pain_differs": _Left("{n} days have other pain scores than here. Is it the same person?"),
    },
)


def reason_words(reason: Reason | Refusal | None) -> str:
    """Why a file is left or waits, in one or two sentences that do not name it."""
    match reason:
        case None:
            return ""
        case Refusal():
            return REFUSED[reason.why].filled(**reason.values).clinic
        case _:
            values = {name: _value(value) for name, value in reason.values.items()}
            told = said_words(reason.said) if reason.said else ""
            return _LEFT[reason.why].filled(said=told, **values).clinic


def _value(value: object) -> str:
    if isinstance(value, date):
        return dated(value)
    return str(value) or phrase("unknown trouble")


def look_words(look: FileLook) -> str:
    """What is said of one file, by its name."""
    if isinstance(look.reason, Reason) and look.reason.said:
        return said_words(look.reason.said)  # it names the file itself
    return phrase("{name}: {why}", name=look.name, why=reason_words(look.reason))


@dataclass(frozen=True, slots=True)
class ImportPreview:
    """What taking in would bring, before anything is taken in.

    `doubts` are files with the question to be answered for each; `left` are sentences about files
    that stay where they are.
    """

    heading: str
    lead: tuple[str, ...]
    main: str | None
    brings: tuple[tuple[str, ...], ...]
    brings_headers: tuple[str, ...]
    doubts_heading: str
    doubts: tuple[FileLook, ...]
    left_heading: str
    left: tuple[str, ...]


def import_preview(looks: Sequence[FileLook]) -> ImportPreview:
    """The preview of what was looked at."""
    ready = [look for look in looks if look.ready]
    doubts = tuple(look for look in looks if look.outcome == "doubt")
    known = [look for look in looks if look.outcome == "known"]
    refused = [look for look in looks if look.outcome == "refused"]
    people = {look.person for look in ready if look.outcome == "new_person"}
    more = {look.person for look in ready if look.outcome == "more"} - people
    lead = []
    if ready:
        words = phrase("{n} file can be taken in", "{n} files can be taken in", n=len(ready))
        parts = []
        if people:
            parts.append(phrase("{n} new person", "{n} new people", n=len(people)))
        if more:
            parts.append(phrase("more of {n} in the list", n=len(more)))
        lead.append(phrase("{words}: {parts}.", words=words, parts=listed(parts)))
    elif not doubts:
        lead.append(phrase("There is nothing to take in."))
    if known:
        lead.append(
            phrase(
                "{n} file holds nothing that is not here: {names}.",
                "{n} files hold nothing that is not here: {names}.",
                n=len(known),
                names=_names(known),
            )
        )
    lead += _unsettled([*ready, *doubts])
    return ImportPreview(
        heading=phrase("Before anything is taken in"),
        lead=tuple(lead),
        main=None
        if not ready and not doubts
        else phrase("Take in {n} file", "Take in {n} files", n=len(ready))
        if ready
        else phrase("Take in what is ticked"),
        brings_headers=(
            phrase("File"),
            phrase("Code"),
            phrase("New entries"),
            phrase("In the list"),
        ),
        brings=tuple(_brings(look) for look in ready[:MOST_SHOWN]),
        doubts_heading=phrase("Perhaps another person: tick only who you are sure of"),
        doubts=doubts,
        left_heading=phrase("Left alone"),
        left=tuple(look_words(look) for look in refused[:MOST_SHOWN]),
    )


def _unsettled(looks: Sequence[FileLook]) -> list[str]:
    """What is taken in and does not count, what is told differently, and what is left out."""
    lines = []
    wrong, differ = [each for each in looks if each.wrong_clock], [e for e in looks if e.differ]
    if wrong:
        lines.append(
            phrase(
                "{n} entry was written under a wrong clock and will not be counted: {names}.",
                "{n} entries were written under a wrong clock and will not be counted: {names}.",
                n=sum(each.wrong_clock for each in wrong),
                names=_names(wrong),
            )
        )
    if differ:
        lines.append(
            phrase(
                "{n} entry tells otherwise what is here already; both are kept: {names}.",
                "{n} entries tell otherwise what is here already; both are kept: {names}.",
                n=sum(each.differ for each in differ),
                names=_names(differ),
            )
        )
    lines += [
        phrase(
            "{n} entry of {name} does not fit the rest and is left out: {fault}.",
            "{n} entries of {name} do not fit the rest and are left out. The first: {fault}.",
            n=len(each.left_out),
            name=each.name,
            fault=said_words(each.left_out[0]),
        )
        for each in looks
        if each.left_out
    ]
    return lines[: MOST_SHOWN + 2]


def _names(looks: Sequence[FileLook]) -> str:
    """The first few by name."""
    names = listed(look.name for look in looks[:MOST_NAMED])
    more = len(looks) - MOST_NAMED
    return phrase("{names} and {n} more", names=names, n=more) if more > 0 else names


def _brings(look: FileLook) -> tuple[str, ...]:
    here = phrase("new person") if look.outcome == "new_person" else phrase("already there")
    return (look.name, look.person or "", str(look.new), here)


def taken_words(taken: Sequence[Taken], chosen: int) -> str:
    """What an import did, in one line or two."""
    done = sum(each.file is not None for each in taken)
    words = phrase("{n} file was taken in.", "{n} files were taken in.", n=done)
    if len(taken) < chosen:
        words = phrase(
            "{words} Stopped there: {left} of {chosen} were left.",
            words=words,
            left=chosen - done,
            chosen=chosen,
        )
    elif done < len(taken):
        left = " ".join(
            look_words(replace(each.look, reason=each.reason))
            for each in taken
            if each.file is None
        )
        words = phrase("{words} Left: {left}", words=words, left=left)
    return words


def undo_view(undone: Undone) -> PageView:
    """The question before the last import is undone."""
    return make_page(
        "undo",
        phrase("Undo the last import"),
        Text(undo_words(undone)),
        main=Button(phrase("Undo it"), (("undo", True),)),
        stop=False,
    )


def undo_words(undone: Undone) -> str:
    """What undoing the last import would do."""
    parts = []
    if undone.gone:
        parts.append(
            phrase(
                "{n} person is no longer in the list",
                "{n} people are no longer in the list",
                n=len(undone.gone),
            )
        )
    if undone.changed:
        parts.append(
            phrase(
                "{n} person keeps what came before",
                "{n} people keep what came before",
                n=len(undone.changed),
            )
        )
    return phrase(
        "The last import brought {n} file. Without it {parts}. The files are kept beside the list.",
        "The last import brought {n} files. Without them {parts}. "
        "The files are kept beside the list.",
        n=len(undone.names),
        parts=listed(parts),
    )


# ---------------------------------------------------------------- made anew


def anew_words(files: int | None) -> str:
    """How making the list anew went; None: it was broken off."""
    if files is None:
        return phrase("Cancelled. The list is as it was.")
    return phrase(
        "The list was made anew from {n} file.",
        "The list was made anew from {n} files.",
        n=files,
    )
