"""The rows of the plan form's lists: what each is called, what it rests on, what holds of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, fields
from datetime import date

from companion.care.catalogue import (
    Catalogue,
    Caution,
    CautionGroup,
    ExerciseSheet,
    TechniqueSheet,
    WholeRange,
)
from companion.care.contacts import BY_DAY
from companion.care.form import FormRows
from companion.presentation.language import codes
from companion.presentation.language.code_table import capital, inside
from companion.presentation.language.fact_words import source_sentence
from companion.presentation.language.phrases import dated, phrase
from companion.presentation.language.words import knee, this_knee
from companion.services.plan_answers import rows_of
from companion.services.plan_draft import PlanDraft, amount_rows, group_answer, plan_of, ticked

_FEWEST_ROWS = 3
"""Rows for activities in sight from the start."""


@dataclass(frozen=True, slots=True)
class Row:
    """A row of a list, or what stands in none. `words` fill the names in its sentences, `states`
    are what holds of it, `usual` what is usual of its numbers."""

    name: str = ""
    words: Mapping[str, str] = field(default_factory=dict)
    states: Mapping[str, bool] = field(default_factory=dict)
    usual: Mapping[str, WholeRange] = field(default_factory=dict)

    def key(self, pattern: str) -> str:
        """The key of a field in this row."""
        return pattern.replace("*", self.name)


def rows(
    each: FormRows | None, draft: PlanDraft, catalogue: Catalogue, group: str = ""
) -> list[Row]:
    """The rows of a list, in the order of the page; one without a name for no list. Of cautions
    those of a `group`, where one is named."""
    match each:
        case None:
            return [Row()]
        case "caution_groups":
            return [_caution_group(one, draft, catalogue) for one in catalogue.cautions.groups]
        case "techniques":
            return _sheets(catalogue.techniques, ticked(draft, each), catalogue)
        case "exercises":
            return _sheets(catalogue.exercises, ticked(draft, each), catalogue)
        case "cautions":
            asked = catalogue.cautions.asked(group)
            return [_caution(caution, draft, catalogue) for caution in asked]
        case "known_signs":
            return [
                Row(
                    sign.id,
                    {
                        "sign": phrase(sign.known_words or sign.words),
                        "sources": source_sentence(catalogue.facts, sign.facts),
                    },
                )
                for sign in catalogue.stop_list.signs
                if catalogue.policy.sign(sign.id).known_since
            ]
        case "knees":
            sides = plan_of(draft).sides if codes.SIDES.find(draft.answers.get("side")) else ()
            return [Row(side, {"knee": knee(side), "this_knee": this_knee(side)}) for side in sides]
        case "contacts":
            return [
                Row(role, {"role": capital(row.clinic)}, {"timed": role in BY_DAY})
                for role, row in codes.ROLES.items()
            ]
        case "activities" | "amounts":
            names = rows_of(each).names or ()
            open_rows = _open_rows(each, draft, names)
            return [
                Row(name, {"number": str(place + 1)}, {"open": place < open_rows})
                for place, name in enumerate(names)
            ]


def _sheets(
    sheets: Sequence[TechniqueSheet | ExerciseSheet],
    order: tuple[str, ...],
    catalogue: Catalogue,
) -> list[Row]:
    """Those of the plan first, in the order they are done at home."""
    found = sorted(
        sheets, key=lambda sheet: order.index(sheet.id) if sheet.id in order else len(order)
    )
    return [
        Row(
            sheet.id,
            {
                "title": phrase(sheet.title),
                "name": phrase(sheet.clinic_name),
                "sources": source_sentence(catalogue.facts, sheet.facts),
            },
            {"standing": sheet.standing},
            _ranges(sheet),
        )
        for sheet in found
    ]


def _ranges(sheet: TechniqueSheet | ExerciseSheet) -> dict[str, WholeRange]:
    held = {each.name: getattr(sheet, each.name) for each in fields(sheet)}
    return {name: value for name, value in held.items() if isinstance(value, WholeRange)}


def _caution_group(group: CautionGroup, draft: PlanDraft, catalogue: Catalogue) -> Row:
    asked = catalogue.cautions.asked(group.id)
    days = {draft.answers.get(f"cautions.{caution.id}.on") for caution in asked}
    together = days.pop() if len(days) == 1 else None
    return Row(
        group.id,
        {
            "group": phrase(group.heading),
            "rows": "\n".join(
                phrase("• {caution}", caution=phrase(each.clinic_words)) for each in asked
            ),
            "answered_on": dated(together) if isinstance(together, date) else "",
        },
        {
            "group_open": group_answer(draft, group.id, catalogue) == "some",
            "answered_before_together": isinstance(together, date) and together != draft.today,
        },
    )


def _caution(caution: Caution, draft: PlanDraft, catalogue: Catalogue) -> Row:
    key = f"cautions.{caution.id}"
    answer, on = draft.answers.get(key), draft.answers.get(f"{key}.on")
    effect = phrase(caution.clinic_effect)
    return Row(
        caution.id,
        {
            "caution": phrase(caution.clinic_words),
            "effect": effect,
            "effect_inside": inside(effect),
            "answered_on": dated(on) if isinstance(on, date) else "",
            "sources": source_sentence(catalogue.facts, caution.facts),
        },
        {
            "closing": bool(catalogue.policy.caution(caution.id).closes),
            "answered_before": answer is not None and on is not None and on != draft.today,
        },
    )


def _open_rows(group: str, draft: PlanDraft, names: tuple[str, ...]) -> int:
    """How many rows are in sight: those with an answer, and one to write on in."""
    if group == "activities":
        filled = sum(draft.answers.get(f"{group}.{name}") is not None for name in names)
        return max(filled + 1, _FEWEST_ROWS)
    return max((names.index(name) for name in amount_rows(draft)), default=-1) + 2
