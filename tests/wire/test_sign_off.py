"""The sign-off is over the content of the plan and nothing else."""

import dataclasses
import hashlib
from datetime import UTC, date, datetime, timedelta, timezone

import pytest

from companion.care.records import CutLengths, KneeMeasures, Plan
from companion.wire.plain import decode_plan, encode
from companion.wire.sign_off import content_bytes, content_sha256, sign_off_holds, signed

PLAN = Plan(
    person="K-07",
    version=1,
    written_on=date(2026, 9, 14),
    review_on=date(2026, 11, 24),
    side="right",
    main_side="right",
    goal="Walk to the fish quay, café and back",
    knees=(KneeMeasures(side="right", cut=CutLengths(side_strip_mm=90.0)),),
)
AT = datetime(2026, 9, 14, 11, 40, tzinfo=timezone(timedelta(hours=1)))


def test_the_content_is_the_bytes_of_the_plan_without_its_sign_off() -> None:
    plan = signed(PLAN, "A. Clinician", "PH-0001", AT)
    assert content_bytes(plan) == content_bytes(PLAN)
    assert b"sign_off" not in content_bytes(plan)
    assert "café".encode() in content_bytes(plan)
    assert content_sha256(PLAN) == hashlib.sha256(content_bytes(PLAN)).hexdigest()


def test_sha256_is_the_published_one() -> None:
    # FIPS 180-4, example for the message "abc" (NIST, status F).
    assert hashlib.sha256(b"abc").hexdigest() == (
        "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    )


def test_a_signed_plan_holds_after_its_way_through_json() -> None:
    plan = signed(PLAN, "A. Clinician", "PH-0001", AT)
    assert sign_off_holds(decode_plan(encode(plan)))


@pytest.mark.parametrize(
    "change",
    [
        {"rounds": 3},
        {"goal": None},
        {"ease_target_percent": 51},
        {"knees": (KneeMeasures(side="right", cut=CutLengths(side_strip_mm=90.5)),)},
        {"main_side": "left"},
    ],
    ids=lambda change: next(iter(change)),
)
def test_any_change_after_signing_breaks_the_sign_off(change: dict[str, object]) -> None:
    plan = signed(PLAN, "A. Clinician", "PH-0001", AT)
    assert not sign_off_holds(dataclasses.replace(plan, **change))  # type: ignore[arg-type]


def test_a_whole_number_where_the_plan_keeps_a_measure_is_the_same_content() -> None:
    typed = dataclasses.replace(
        PLAN, knees=(KneeMeasures(side="right", cut=CutLengths(side_strip_mm=90)),)
    )
    assert content_bytes(typed) == content_bytes(PLAN)
    assert sign_off_holds(decode_plan(encode(signed(typed, "A. Clinician", "PH-0001", AT))))


def test_an_unsigned_plan_does_not_hold() -> None:
    assert PLAN.practice
    assert not sign_off_holds(PLAN)


def test_signing_needs_an_instant_with_its_offset() -> None:
    with pytest.raises(ValueError, match="offset from UTC"):
        signed(PLAN, "A. Clinician", "PH-0001", AT.replace(tzinfo=None))
    assert sign_off_holds(signed(PLAN, "A. Clinician", "PH-0001", AT.astimezone(UTC)))
