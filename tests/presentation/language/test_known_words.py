"""What is known is said with its knee."""

from dataclasses import replace

import pytest

from companion.care.records import KnownSign, Plan, PlanSide
from companion.care.stopping import KnownPage
from companion.presentation.home.card_pages import card_block, closed_by_card
from companion.presentation.home.walk_pages import ViewContext, page_view
from companion.presentation.language.known_words import known_for_file, known_sign
from companion.presentation.papers.home_sheets import card_sheets
from companion.presentation.papers.plan_report import plan_rows
from companion.presentation.view.page import Choose
from tests.builders import DAY
from tests.care.content import CATALOGUE, whole_plan
from tests.presentation.wording import lines_of

GIVES_WAY = KnownSign(sign="gives_way_new", since=DAY)


def knowing(*known: KnownSign, side: PlanSide = "both") -> Plan:
    return replace(whole_plan(), side=side, known_signs=known)


@pytest.mark.parametrize(
    ("of", "side", "said"),
    [
        ("left", "both", "Left knee: gives way, without a fall"),
        ("both", "both", "Both knees: gives way, without a fall"),
        (None, "right", "Right knee: gives way, without a fall"),
        # An older plan for both knees did not say which, and reads as it did.
        (None, "both", "The knee: gives way, without a fall"),
    ],
)
def test_the_gate_says_of_which_knee_a_sign_is_known(
    of: PlanSide | None, side: PlanSide, said: str
) -> None:
    plan = knowing(replace(GIVES_WAY, side=of), side=side)
    page = KnownPage(signs=("gives_way_new",))
    view = page_view(page, ViewContext(plan=plan, side="right", catalogue=CATALOGUE))
    (asked,) = (block for block in view.blocks if isinstance(block, Choose))
    assert asked.question == said


def test_a_sign_of_no_knee_names_none() -> None:
    plan = knowing(KnownSign(sign="weight_loss", since=DAY), side="right")
    assert known_sign(plan, "weight_loss", CATALOGUE) == "You lose weight"


def test_the_report_says_what_goes_on_and_what_does_not() -> None:
    opened = replace(GIVES_WAY, side="left", stays_open=("standing",), support="both_hands")
    told = known_for_file(knowing(opened), opened, CATALOGUE)
    assert told.startswith("Left knee: gives way, without a fall, since 2 March 2026")
    assert told.endswith("2026, open as before: standing exercise, both hands on support")
    closed = replace(GIVES_WAY, stays_closed=True)
    rows = {row.label: row.cells[0].words for row in plan_rows(knowing(closed), CATALOGUE)}
    assert rows["Known signs"].endswith(
        "closed as before: standing exercise and check move, chair stand"
    )
    assert "Known signs" not in {row.label for row in plan_rows(whole_plan(), CATALOGUE)}


def test_the_card_of_a_known_sign_says_what_the_plan_leaves_open() -> None:
    """It said "seated steps only" where the plan had ticked standing with both hands on support."""
    sign = CATALOGUE.sign("gives_way_known")
    opened = replace(GIVES_WAY, stays_open=("standing", "check_move"), support="both_hands")
    for known, heading, rows in (
        (opened, "Go on with care", {"Closed": "nothing of your routine"}),
        (replace(GIVES_WAY, stays_closed=True), "Seated steps only", {}),
    ):
        plan = knowing(known, side="right")
        assert card_block(sign, plan, CATALOGUE).heading == heading
        told = dict(closed_by_card(sign, plan, CATALOGUE))
        assert rows.items() <= told.items()
        (care,) = (page for page in card_sheets(plan, CATALOGUE).pages if "care" in page.heading)
        said = " ".join(lines_of(care.blocks))  # type: ignore[arg-type]
        standing = "Standing: both hands on support." in said
        assert standing == ("Standing" in told) == bool(known.stays_open)
        assert ("Do seated steps only today." in said) != standing
