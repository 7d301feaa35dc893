"""A plan half written, kept through whatever happens to the window, and taken up again.

What is kept are the answers and where they came from. The day, the version it follows and the
diary at hand are those of the moment it is taken up again.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from types import MappingProxyType
from typing import Any

from companion.care.json_values import JsonObject, JsonValue
from companion.care.records import Contact, Plan
from companion.journal.drafts import DraftFolder, draft_name
from companion.services.plan_answers import Answer, hint_of
from companion.services.plan_draft import PlanDraft
from companion.services.trouble import known_troubles
from companion.system.clock import Clock
from companion.system.ids import new_id
from companion.wire.plain import PlainFault, decode, encode


@dataclass(frozen=True, slots=True)
class Unfinished:
    """A draft that was kept: its file, what it holds, when it was changed last, and where."""

    name: str
    draft: PlanDraft
    changed_at: datetime
    section: str


@dataclass(frozen=True, slots=True)
class FoundDrafts:
    """What is there of one person. `damaged` are the names of files that cannot be read."""

    unfinished: tuple[Unfinished, ...]
    damaged: tuple[str, ...]


class DraftKeeper:
    """Keeps one draft on the disk, under a name of its own, while it is written.

    `person` is the code of whose plan it is, None while nobody in the list has it.
    """

    def __init__(self, drafts: DraftFolder, clock: Clock, person: str | None) -> None:
        self._drafts = drafts
        self._clock = clock
        self._person = person
        self.name = ""
        """The name of its file; "" until something of it is kept."""

    def found(self, last: Plan | None) -> FoundDrafts:
        """What was left unfinished of this person. Raises Trouble."""
        with known_troubles():
            return found_drafts(self._drafts, self._person, today=self._clock.today(), last=last)

    def go_on_at(self, name: str = "") -> None:
        """From here on it is kept where one that was left is; or under a new name."""
        self.name = name

    def keep(self, draft: PlanDraft, section: str) -> None:
        """Put it on the disk as it stands, open at a section. Raises Trouble."""
        if not self.name:
            self.name = draft_name(self._person, new_id())
        with known_troubles():
            self._drafts.keep(self.name, draft_body(draft, self._clock.now(), section))

    def drop(self) -> None:
        """Take it off the disk. Raises Trouble."""
        with known_troubles():
            self._drafts.drop(self.name)


def draft_body(draft: PlanDraft, at: datetime, section: str) -> JsonObject:
    """What is written of a draft that stands open at a section."""
    return {
        "at": at.isoformat(),
        "section": section,
        "template": draft.template,
        "seed": draft.seed,
        "answers": {key: _plain(answer) for key, answer in draft.answers.items()},
        "more_contacts": [encode(contact) for contact in draft.more_contacts],
    }


def found_drafts(
    drafts: DraftFolder, person: str | None, *, today: date, last: Plan | None
) -> FoundDrafts:
    """The drafts kept for a person, or for nobody in the list yet: changed last, first.

    Raises OSError when the folder cannot be read.
    """
    whole, damaged = [], []
    for kept in drafts.kept(person):
        try:
            whole.append(_unfinished(kept.name, kept.body or {}, today, last))
        except (KeyError, TypeError, ValueError, AttributeError, PlainFault):
            damaged.append(kept.name)
    whole.sort(key=lambda each: each.changed_at, reverse=True)
    return FoundDrafts(tuple(whole), tuple(damaged))


def _unfinished(name: str, body: Mapping[str, Any], today: date, last: Plan | None) -> Unfinished:
    at = datetime.fromisoformat(body["at"])
    if at.tzinfo is None:
        raise ValueError("an instant without its offset")
    answers = {key: _answer(key, value) for key, value in body["answers"].items()}
    draft = PlanDraft(
        today=today,
        answers=MappingProxyType(answers),
        last=last,
        template=body["template"],
        more_contacts=tuple(decode(Contact, contact) for contact in body["more_contacts"]),
        seed=str(body["seed"]),
    )
    return Unfinished(name, draft, at, str(body["section"]))


def _plain(answer: Answer) -> JsonValue:
    return {"day": answer.isoformat()} if isinstance(answer, date) else answer


def _answer(key: str, value: object) -> Answer:
    """An answer as it was given, allowed or not. Raises KeyError for a field no plan has."""
    hint_of(key)
    if isinstance(value, dict):
        return date.fromisoformat(value["day"])
    if value is None or isinstance(value, str | int | float):
        return value
    raise ValueError("no answer")
