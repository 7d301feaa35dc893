"""A draft comes back as it was, whatever was typed into it."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.care.records import Contact
from companion.journal.drafts import DraftFolder, draft_name
from companion.services.plan_answers import Answer
from companion.services.plan_draft import PlanDraft, plan_of, set_field
from companion.services.plan_draft_kept import draft_body, found_drafts
from tests.care.content import CATALOGUE
from tests.services.plan_writing import AT, TODAY, put, ready, tried

NAME = draft_name(None, "c" * 32)
KEYS = sorted(ready().answers)


def through_the_disk(folder: Path, draft: PlanDraft, today: date = TODAY) -> PlanDraft:
    drafts = DraftFolder(folder)
    drafts.keep(NAME, draft_body(draft, AT, "tape"))
    found = found_drafts(drafts, None, today=today, last=draft.last)
    assert found.damaged == ()
    (kept,) = found.unfinished
    assert (kept.changed_at, kept.section) == (AT, "tape")
    return kept.draft


def test_a_draft_comes_back_with_its_trial(tmp_path: Path) -> None:
    numbers = (Contact(role="clinic", label="Evenings", number="0100 2"),)
    draft = put(
        replace(tried(), more_contacts=numbers),
        session__held=True,
        session__zones_before="below inner_edge",
        review_on="the day after",  # what a field must not hold is kept as it was typed
    )
    back = through_the_disk(tmp_path, draft)
    assert dict(back.answers) == dict(draft.answers)
    assert list(back.answers) == list(draft.answers), "the order is that of the routine"
    assert replace(back, at_hand=draft.at_hand) == draft
    assert plan_of(back).trial == plan_of(draft).trial


def test_it_is_written_on_the_day_it_is_taken_up(tmp_path: Path) -> None:
    back = through_the_disk(tmp_path, ready(), TODAY + timedelta(days=3))
    assert plan_of(back).written_on == TODAY + timedelta(days=3)
    assert back.answers["cautions.clot.on"] == TODAY


@given(
    st.sampled_from(KEYS),
    st.one_of(
        st.none(),
        st.booleans(),
        st.integers(-(10**6), 10**6),
        st.floats(allow_nan=False, allow_infinity=False),
        st.text(max_size=40),
        st.dates(),
    ),
)
def test_any_answer_comes_back(key: str, answer: Answer) -> None:
    import tempfile

    draft = replace(ready(), answers={**ready().answers, key: answer})
    with tempfile.TemporaryDirectory() as folder:
        assert through_the_disk(Path(folder), draft) == draft


@pytest.mark.parametrize(
    "change",
    [
        {"answers": {"tape.colour": "blue"}},
        {"answers": {"goal": ["a", "list"]}},
        {"answers": {"review_on": {"day": "soon"}}},
        {"answers": []},
        {"at": "yesterday"},
        {"at": "2026-03-02T10:00:00"},
        {"more_contacts": [{"role": "nobody"}]},
        {"more_contacts": 3},
    ],
)
def test_a_file_of_another_making_is_damaged(tmp_path: Path, change: dict[str, Any]) -> None:
    drafts = DraftFolder(tmp_path)
    drafts.keep(NAME, draft_body(ready(), AT, "tape") | change)
    found = found_drafts(drafts, None, today=TODAY, last=None)
    assert (found.unfinished, found.damaged) == ((), (NAME,))
    assert (drafts.place / NAME).exists()


def test_the_one_changed_last_comes_first(tmp_path: Path) -> None:
    drafts = DraftFolder(tmp_path)
    for number, hour in enumerate((9, 15, 11)):
        at = datetime(2026, 3, 2, hour, tzinfo=UTC)
        draft = set_field(ready(), "person", f"K-{hour}", CATALOGUE)
        drafts.keep(draft_name(None, f"{number:012x}"), draft_body(draft, at, "person"))
    found = found_drafts(drafts, None, today=TODAY, last=None)
    assert [k.draft.answers["person"] for k in found.unfinished] == ["K-15", "K-11", "K-9"]
