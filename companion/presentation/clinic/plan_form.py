"""The plan writer's pages as frozen data: the form of `resources/forms` with a draft's answers.

A section always holds the same fields in the same order; `shown` says which of them matter for
the draft as it stands. So a screen draws a section once and then only follows it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal, get_args

from companion.care.catalogue import Catalogue
from companion.care.form import (
    Condition,
    FormField,
    FormGroup,
    FormPart,
    FormSection,
    FormState,
    Said,
    is_of,
)
from companion.care.records import Plan
from companion.presentation.clinic.plan_rows import PlanRow, rows
from companion.presentation.clinic.plan_tellings import Facts, told
from companion.presentation.clinic.plan_words import (
    Remark,
    not_allowed,
    range_words,
    remarks,
    usual_words,
)
from companion.presentation.language import codes
from companion.presentation.language.code_table import capital, inside
from companion.presentation.language.fact_words import known_in_short, source_sentence
from companion.presentation.language.phrases import dated, listed, phrase
from companion.presentation.language.unsigned_words import unsigned_for_clinic
from companion.presentation.view.page import Option
from companion.services.plan_answers import Answer, FieldLimits, hint_of, limits, refused
from companion.services.plan_draft import (
    DraftFault,
    PlanDraft,
    draft_faults,
    fixed_trial,
    group_answer,
    has_trial,
    open_signs,
    plan_of,
    tapes,
)

FieldKind = Literal[
    "number", "text", "note", "day", "choose", "several", "tick", "yes_no", "none_of"
]
PreviewPart = Literal["start", "move", "hands", "exercise", "tape", "trial"]
_STATES = get_args(FormState)
_LINE = 60
"""A text of more letters is a note."""
_CODE = 32
"""Letters of a code, which has a form and no length of its own."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One field: what it is called, what it may hold, where its default is from, what is said.

    `line` explains a choice or says what a yes does. `remarks` are faults and advice, `half_typed`
    the one a number brings up while it is typed. `alone` is what the field is called away from its
    page.
    """

    key: str
    kind: FieldKind
    label: str
    value: Answer
    unit: str = ""
    range_words: str = ""
    least: float = 0
    most: float = 0
    decimals: int = 0
    options: tuple[Option, ...] = ()
    line: str = ""
    about: str = ""
    shown: bool = True
    alone: str = ""
    remarks: tuple[Remark, ...] = ()
    half_typed: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Fields that belong together. `in_row` ones stand side by side while they fit.

    `said` is what follows from the fields, such as the amounts of each week; `facts` the same as
    names and values, None where a group never has any.
    """

    heading: str = ""
    fields: tuple[Field, ...] = ()
    in_row: bool = False
    said: tuple[str, ...] = ()
    facts: Facts | None = None
    shown: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """One page of the plan writer. `taught` offers to date everything of it as shown today; `note`
    says at its end who signed the wording it goes by."""

    key: str
    heading: str
    lead: str
    groups: tuple[Group, ...]
    preview: PreviewPart | None = None
    taught: Literal["techniques", "exercises"] | None = None
    note: str = ""

    @property
    def fields(self) -> tuple[Field, ...]:
        """All fields of the page, in order."""
        return tuple(field for group in self.groups for field in group.fields)


@dataclass(frozen=True, slots=True)
class ContentsLine:
    """A line of the contents: the section, what it is called, what still stands in it."""

    key: str
    word: str
    line: str
    faults: int


def section_heading(key: str, catalogue: Catalogue) -> str:
    """What a section is called."""
    return phrase(catalogue.plan_form.section(key).heading)


def section(key: str, draft: PlanDraft, catalogue: Catalogue) -> Section:
    """One page for the draft as it stands. The last page, signing, is `signing` instead."""
    form = catalogue.plan_form
    made = FormMaker(draft, catalogue).section(form.section(key))
    said = remarks(draft_faults(draft, catalogue), catalogue)
    known = {field.key for field in made.fields}
    # What is about the whole page, such as "no exercise", is said above its first field.
    loose = tuple(
        remark.text
        for name, found in said.items()
        if name not in known and form.section_of(name).id == key
        for remark in found
    )
    groups = tuple(
        replace(
            group,
            fields=tuple(replace(field, remarks=said.get(field.key, ())) for field in group.fields),
            said=group.said if place else (*loose, *group.said),
        )
        for place, group in enumerate(made.groups)
    )
    return replace(made, groups=groups)


def contents(draft: PlanDraft, catalogue: Catalogue) -> tuple[ContentsLine, ...]:
    """The contents list, each section with what still stands in it."""
    form = catalogue.plan_form
    faults = [(form.section_of(fault.key).id, fault) for fault in draft_faults(draft, catalogue)]
    entries = []
    for key in sections_of(draft, catalogue):
        here = [fault for place, fault in faults if place == key and not fault.advice]
        advice = sum(fault.advice and place == key for place, fault in faults)
        line = _standing(here, advice)
        if key == form.sections[-1].id:
            whole = sum(not fault.advice for _, fault in faults)
            line = (
                phrase("{n} thing to settle first", "{n} things to settle first", n=whole)
                if whole
                else phrase("ready to sign")
            )
        entries.append(ContentsLine(key, section_heading(key, catalogue), line, len(here)))
    return tuple(entries)


def _standing(here: list[DraftFault], advice: int) -> str:
    untaught = sum(f.code in ("technique_untaught", "exercise_untaught") for f in here)
    unanswered = sum(f.code == "caution_unanswered" for f in here)
    other = len(here) - untaught - unanswered
    parts = []
    if unanswered:
        parts.append(phrase("{n} to answer", n=unanswered))
    if untaught:
        parts.append(phrase("{n} to teach", n=untaught))
    if other:
        parts.append(phrase("{n} to settle", n=other))
    if advice:
        parts.append(phrase("{n} to note", n=advice))
    return listed(parts) or phrase("settled")


def sections_of(draft: PlanDraft, catalogue: Catalogue) -> tuple[str, ...]:
    """The sections of this draft: the first session only where one is written, the tape trial
    only where there is tape."""
    make = FormMaker(draft, catalogue)
    return tuple(each.id for each in catalogue.plan_form.sections if make.holds(each.shown))


def neighbour(key: str, draft: PlanDraft, step: Literal[-1, 1], catalogue: Catalogue) -> str | None:
    """The section after or before this one; None at either end."""
    order = sections_of(draft, catalogue)
    place = order.index(key) + step
    return order[place] if 0 <= place < len(order) else None


# ---------------------------------------------------------------- making fields


class FormMaker:
    """Makes the form's pages of one draft."""

    def __init__(self, draft: PlanDraft, catalogue: Catalogue) -> None:
        self._draft = draft
        self._catalogue = catalogue

    @cached_property
    def _plan(self) -> Plan:
        return plan_of(self._draft)

    @cached_property
    def _words(self) -> dict[str, str]:
        """What every sentence may name."""
        return {
            "version": str(self._draft.version),
            "today": dated(self._draft.today),
            **{
                f"known_{name}": known_in_short(about, self._catalogue.facts)
                for name, about in (
                    ("core", self._catalogue.known.core),
                    ("hands", self._catalogue.known.hands),
                    ("tape", self._catalogue.known.tape),
                )
            },
        }

    def section(self, asked: FormSection) -> Section:
        """A page, without what speaks against its fields."""
        preview = asked.preview
        if preview == "trial" and not has_trial(self._draft):
            preview = "tape"
        words = {"section": phrase(asked.heading)}
        return Section(
            key=asked.id,
            heading=words["section"],
            lead=self._say(asked.lead, PlanRow()),
            groups=tuple(group for part in asked.parts for group in self._part(part, words)),
            preview=preview,
            taught=asked.taught,
            note=unsigned_for_clinic(self._catalogue),
        )

    def every_field(self) -> Iterator[Field]:
        """The fields of all pages, each once."""
        for asked in self._catalogue.plan_form.sections:
            again = {field.key for _, field in asked.fields if field.again}
            yield from (
                each
                for each in self.section(asked).fields
                if not any(is_of(pattern, each.key) for pattern in again)
            )

    def holds(self, conditions: Iterable[Condition], row: PlanRow | None = None) -> bool:
        """Whether every condition holds."""
        row = row or PlanRow()
        return all(
            each.holds(
                self._state(each.of, row)
                if each.of in _STATES
                else self._draft.answers.get(row.key(each.of))
            )
            for each in conditions
        )

    def _state(self, name: str, row: PlanRow) -> bool:
        draft = self._draft
        match name:
            case "signs_open":
                return bool(open_signs(draft, self._catalogue.policy))
            case "first_version":
                return draft.last is None
            case "tape_or_trial":
                return tapes(draft) or has_trial(draft)
            case "trial_fixed":
                return fixed_trial(draft) is not None
            case "trial_runs":
                return self._plan.trial is not None and self._plan.trial == fixed_trial(draft)
            case "trial_planned":
                return self._plan.trial is not None
            case "trial_knee_asked":
                side = draft.answers.get("side")
                tried = draft.answers.get("trial.side")
                return side == "both" or tried is None or tried != side
        return row.states[name]

    def _say(self, words: str, row: PlanRow) -> str:
        return phrase(words, **self._words, **row.words)

    def _said(self, sentences: Iterable[Said], row: PlanRow) -> tuple[str, ...]:
        return tuple(
            self._say(each.words, row) for each in sentences if self.holds(each.shown, row)
        )

    def _part(self, part: FormPart, words: dict[str, str]) -> Iterator[Group]:
        for row in rows(part.each, self._draft, self._catalogue):
            shown = self.holds(part.shown, row)
            for group in part.groups:
                made = self._group(group, replace(row, words={**words, **row.words}))
                yield replace(made, shown=made.shown and shown)

    def _group(self, group: FormGroup, row: PlanRow) -> Group:
        heading = self._say(group.heading, row) if group.heading else ""
        if group.instead is not None and self.holds(group.instead.shown, row):
            heading = self._say(group.instead.words, row)
        row = replace(row, words={**row.words, "heading": heading})
        inside_rows = [row]
        if group.each is not None:
            inside_rows = rows(group.each, self._draft, self._catalogue, row.name)
        found = [
            told(each, self._draft, self._plan, self._catalogue, row.name) for each in group.tells
        ]
        return Group(
            heading=heading,
            fields=tuple(
                self._field(field, group, each) for each in inside_rows for field in group.fields
            ),
            in_row=group.in_row,
            said=(*self._said(group.said, row), *(line for each in found for line in each.said)),
            facts=next((each.facts for each in found if each.facts is not None), None),
            shown=self.holds(group.shown, row),
        )

    def _field(self, asked: FormField, group: FormGroup, row: PlanRow) -> Field:
        key = row.key(asked.key)
        held, value = limits(key), self._draft.answers.get(key)
        if asked.control == "none_of":
            value = group_answer(self._draft, row.name, self._catalogue)
        kind = _kind(asked, held)
        label, beside = self._say(asked.label, row), asked.unit or asked.after
        alone = label
        if asked.alone:
            alone = self._say(asked.alone, row)
        elif group.of:
            alone = phrase("{whole}: {part}", whole=self._say(group.of, row), part=inside(label))
        return Field(
            key=key,
            kind=kind,
            label=label,
            value=bool(value) if kind == "tick" else value,
            unit=phrase(beside) if beside else "",
            range_words=self._hint(asked, kind, held, row),
            least=(held.least or 0) if kind == "number" else 0,
            most=(held.most or _CODE) if kind in ("number", "text", "note") else 0,
            decimals=1 if kind == "number" and not held.whole else 0,
            options=tuple(
                option
                for option in self._options(asked, key, kind)
                if option.value not in row.not_offered
            ),
            line=" ".join(self._said(asked.line, row)),
            about=self._about(asked, kind, row),
            shown=self.holds(asked.shown, row),
            alone=alone,
            half_typed=self._half_typed(asked, key, held),
        )

    def _hint(self, asked: FormField, kind: FieldKind, held: FieldLimits, row: PlanRow) -> str:
        if asked.hint:
            return self._say(asked.hint, row)
        if kind == "day":
            return phrase("day month year")
        if kind != "number":
            return ""
        usual = asked.usual or row.usual.get(asked.key.rpartition(".")[2])
        if usual is None:
            return range_words(held)
        return usual_words(usual.lowest, usual.highest)

    def _about(self, asked: FormField, kind: FieldKind, row: PlanRow) -> str:
        """What a default rests on."""
        parts = [self._say(asked.about, row)] if asked.about else []
        if asked.facts:
            parts.append(source_sentence(self._catalogue.facts, asked.facts))
        if not parts and kind in ("number", "choose"):
            defaults = self._catalogue.plan_form.facts
            parts.append(source_sentence(self._catalogue.facts, defaults))
        elif not parts and kind != "tick":
            parts.append(phrase("Written by the clinic."))
        return " ".join(parts)

    def _half_typed(self, asked: FormField, key: str, held: FieldLimits) -> str:
        """What is said of an answer until it is typed to its end; "" where nothing is."""
        if asked.half_typed is not None:
            return phrase(self._catalogue.plan_form.fault_words(asked.half_typed))
        # The first figure of a number that may be may itself be none.
        figures = (held.least or 0) > 1 and (held.most or 0) >= _TWO_FIGURES
        return not_allowed(key) if figures and not held.day and not asked.options else ""

    def _options(self, asked: FormField, key: str, kind: FieldKind) -> tuple[Option, ...]:
        """What can be chosen: zones, the codes the field may hold in the words of their table, or
        yes and no."""
        if asked.options is None:
            answers = ((True, phrase("Yes")), (False, phrase("No"))) if kind == "choose" else ()
            return tuple(Option(answer, words) for answer, words in answers)
        if asked.options == "zones":
            zones = self._catalogue.zones.zones
            return tuple(Option(zone.id, phrase(zone.clinic_words)) for zone in zones)
        name, _, column = asked.options.partition(".")
        table = codes.named(name)
        return tuple(
            Option(code, capital(row if isinstance(row, str) else getattr(row, column or "clinic")))
            for code, row in table.items()
            if not refused(hint_of(key), code)
        )


_TWO_FIGURES = 10


def _kind(asked: FormField, held: FieldLimits) -> FieldKind:
    if asked.control is not None:
        return asked.control
    if asked.options is not None or held.yes_no:
        return "choose"
    if held.day:
        return "day"
    if held.least is not None:
        return "number"
    return "note" if (held.most or 0) > _LINE else "text"
