"""The rows of the plan form's lists: what each is called, what it rests on, what holds of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, fields
from datetime import date
from typing import get_args

from companion.care.answered_signs import answers_for
from companion.care.catalogue import (
    Catalogue,
    Caution,
    CautionGroup,
    ExerciseSheet,
    TechniqueSheet,
    WholeRange,
)
from companion.care.closures import still_closes
from companion.care.contacts import BY_DAY
from companion.care.form import FormRows
from companion.care.levels import PARTS
from companion.care.records import OpenSignSaid, WarningSign
from companion.presentation.language import codes
from companion.presentation.language.code_table import capital, inside
from companion.presentation.language.fact_words import source_sentence
from companion.presentation.language.field_words import key_words
from companion.presentation.language.phrases import dated, listed, phrase
from companion.presentation.language.plan_changes import side_of
from companion.presentation.language.words import knee, this_knee
from companion.services.plan_answers import rows_of
from companion.services.plan_draft import (
    PlanDraft,
    amount_rows,
    group_answer,
    open_signs,
    plan_of,
    ticked,
)

_FEWEST_ROWS = 3
"""Rows for activities in sight from the start."""


@dataclass(frozen=True, slots=True)
class PlanRow:
    """A row of a list, or what stands in none. `words` fill the names in its sentences, `states`
    are what holds of it, `usual` what is usual of its numbers. `elsewhere` is what the row is
    called in another list, by that list; `not_offered` are options it does not have."""

    name: str = ""
    words: Mapping[str, str] = field(default_factory=dict)
    states: Mapping[str, bool] = field(default_factory=dict)
    usual: Mapping[str, WholeRange] = field(default_factory=dict)
    elsewhere: Mapping[str, str] = field(default_factory=dict)
    not_offered: frozenset[str] = frozenset()

    def key(self, pattern: str) -> str:
        """The key of a field in this row."""
        name = self.elsewhere.get(pattern.partition(".")[0], self.name)
        return pattern.replace("*", name)


def rows(
    each: FormRows | None, draft: PlanDraft, catalogue: Catalogue, group: str = ""
) -> list[PlanRow]:
    """The rows of a list, in the order of the page; one without a name for no list. Of cautions
    those of a `group`, where one is named."""
    match each:
        case None:
            return [PlanRow()]
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
                PlanRow(
                    sign.id,
                    {
                        "sign": phrase(sign.known_words or sign.words),
                        "sources": source_sentence(catalogue.facts, sign.facts),
                    },
                    _states_of_known(sign.id, catalogue),
                    not_offered=_open_anyway(sign.id, catalogue),
                )
                for sign in catalogue.stop_list.signs
                if catalogue.policy.sign(sign.id).known_since
            ]
        case "open_signs":
            signs = open_signs(draft, catalogue.policy)
            firsts = {sign.sign: sign.id for sign in reversed(signs)}
            return [
                _open_sign(sign, catalogue, first=firsts[sign.sign] == sign.id) for sign in signs
            ]
        case "knees":
            sides = plan_of(draft).sides if codes.SIDES.find(draft.answers.get("side")) else ()
            return [
                PlanRow(side, {"knee": knee(side), "this_knee": this_knee(side)}) for side in sides
            ]
        case "contacts":
            return [
                PlanRow(role, {"role": capital(row.clinic)}, {"timed": role in BY_DAY})
                for role, row in codes.ROLES.items()
            ]
        case "activities" | "amounts":
            names = rows_of(each).names or ()
            open_rows = _open_rows(each, draft, names)
            return [
                PlanRow(name, {"number": str(place + 1)}, {"open": place < open_rows})
                for place, name in enumerate(names)
            ]


def _sheets(
    sheets: Sequence[TechniqueSheet | ExerciseSheet],
    order: tuple[str, ...],
    catalogue: Catalogue,
) -> list[PlanRow]:
    """Those of the plan first, in the order they are done at home."""
    found = sorted(
        sheets, key=lambda sheet: order.index(sheet.id) if sheet.id in order else len(order)
    )
    return [
        PlanRow(
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


def _open_sign(sign: WarningSign, catalogue: Catalogue, *, first: bool) -> PlanRow:
    policy = catalogue.policy
    offered = answers_for(sign.sign, policy)
    closes = still_closes(sign, policy)
    return PlanRow(
        sign.id,
        {
            "sign": key_words("sign", sign.sign, catalogue).rstrip("."),
            "day": dated(sign.for_day),
            "knee": side_of(sign.sides[0] if len(sign.sides) == 1 else None),
            "closes": phrase("everything")
            if set(closes) == {*PARTS}
            else listed(codes.PARTS[part].clinic for part in closes) or phrase("nothing"),
        },
        {"first_of_sign": first, **_states_of_known(sign.sign, catalogue)},
        # Since when a sign is known is asked once, whatever of it is open.
        elsewhere={"known_signs": sign.sign} if first else {},
        not_offered=(frozenset(get_args(OpenSignSaid)) - {*offered})
        | _open_anyway(sign.sign, catalogue),
    )


def _states_of_known(sign_id: str, catalogue: Catalogue) -> dict[str, bool]:
    """What holds of a sign where it is marked as known; nothing of one the list does not have."""
    row = catalogue.policy.of_sign(sign_id)
    known = row is not None and row.known_since
    return {
        "of_a_knee": row is not None and row.known_knee,
        "closes_as_before": known and bool(catalogue.closes_as_before(sign_id)),
    }


def _open_anyway(sign_id: str, catalogue: Catalogue) -> frozenset[str]:
    """The parts a known sign leaves open as before: nobody is asked about them."""
    row = catalogue.policy.of_sign(sign_id)
    if row is None or not row.known_since:
        return frozenset()
    return frozenset(PARTS) - {*catalogue.closes_as_before(sign_id)}


def _caution_group(group: CautionGroup, draft: PlanDraft, catalogue: Catalogue) -> PlanRow:
    asked = catalogue.cautions.asked(group.id)
    days = {draft.answers.get(f"cautions.{caution.id}.on") for caution in asked}
    together = days.pop() if len(days) == 1 else None
    return PlanRow(
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


def _caution(caution: Caution, draft: PlanDraft, catalogue: Catalogue) -> PlanRow:
    key = f"cautions.{caution.id}"
    answer, on = draft.answers.get(key), draft.answers.get(f"{key}.on")
    effect = phrase(caution.clinic_effect)
    return PlanRow(
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
