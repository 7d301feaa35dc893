"""A draft brought as far as it can be signed, to start tests from."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

from companion.care.records import AnyEntry, Diary
from companion.services.at_hand import at_hand
from companion.services.plan_answers import Answer
from companion.services.plan_draft import (
    PlanDraft,
    drawn,
    from_template,
    plan_of,
    set_field,
    taught_today,
)
from tests.builders import page, tape_off, tape_on
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
        contacts__out_of_hours__number="0100 557",
        check_move__safe="alone",
        stop_amount=2,
        pain_ceiling=5,
        bad_day_mark=8,
    )
    if draft.answers["tape.highest"]:
        draft = put(draft, tape__make="Slate 50", knees__right__bump_to_upper_edge_mm=120.0)
    if draft.answers["replacement"] == "listed":
        draft = put(draft, replacement_on=date(2026, 9, 1))
    draft = taught_today(taught_today(draft, "techniques"), "exercises")
    groups = (group.id for group in CATALOGUE.cautions.groups)
    return put(draft, **{f"caution_groups__{group}": "none" for group in groups})


SEED = "0123456789abcdef0123456789abcdef"


def worn(first: date = TODAY - timedelta(days=40)) -> tuple[AnyEntry, ...]:
    """Twenty-eight days of pain about 5, in which tape was worn twice and the skin stayed clear."""
    days = [first + timedelta(days=back) for back in range(28)]
    entries: list[AnyEntry] = [
        page(day, pain_average=4 + (number % 3)) for number, day in enumerate(days)
    ]
    for number in (3, 9):
        on = tape_on(datetime(*days[number].timetuple()[:3], 9, tzinfo=UTC))
        off = tape_off(
            datetime(*days[number + 2].timetuple()[:3], 9, tzinfo=UTC),
            tape_on=on.id,
            skin_at_once="clear",
        )
        entries += [on, off]
    return tuple(entries)


def tried() -> PlanDraft:
    """A draft with a tape trial of the usual size that can be signed: 3 March to 5 May."""
    draft = drawn(put(ready(), review_on=TODAY + timedelta(days=84)), SEED)
    diary = Diary(plans=(plan_of(ready()),), entries=worn())
    return put(replace(draft, at_hand=at_hand(diary)), trial__on=True)
