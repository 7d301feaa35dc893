"""A draft brought as far as it can be signed, to start tests from."""

from datetime import UTC, date, datetime

from companion.services.plan_draft import Answer, PlanDraft, from_template, set_field, taught_today
from tests.care.content import CATALOGUE

TODAY = date(2026, 3, 2)
AT = datetime(2026, 3, 2, 11, 30, tzinfo=UTC)


def put(draft: PlanDraft, **answers: Answer) -> PlanDraft:
    """Answers by field, dots written as double underscores."""
    for name, answer in answers.items():
        draft = set_field(draft, name.replace("__", "."), answer, CATALOGUE)
    return draft


def started(template: str = "up_to_short_pieces") -> PlanDraft:
    return from_template(CATALOGUE.template(template), TODAY)


def ready(template: str = "up_to_short_pieces") -> PlanDraft:
    """All a clinician still has to do after choosing a template, done."""
    draft = put(
        started(template),
        person="K-07",
        side="right",
        contacts__clinic__number="0100 555",
        contacts__doctor__number="0100 556",
        contacts__emergency__number="0100",
    )
    if draft.answers["tape.highest"]:
        draft = put(draft, tape__make="Slate 50", knees__right__bump_to_upper_edge_mm=120.0)
    if draft.answers["replacement"] == "listed":
        draft = put(draft, replacement_on=date(2026, 9, 1))
    draft = taught_today(taught_today(draft, "techniques"), "exercises")
    for caution in CATALOGUE.cautions.cautions:
        if not caution.dated:
            draft = set_field(draft, f"cautions.{caution.id}", False, CATALOGUE)
    return draft
