"""Files made to do harm, each under a good digest: refused with one sentence, place and reason."""

import json
import random
import re
import tracemalloc
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from companion.exchange import files
from companion.exchange.files import Reading, diary_bytes, plan_bytes, read_bytes
from tests.exchange.made import an_id, full_diary, full_plan
from tests.exchange.test_files import body_of, one_line, with_header
from tests.said import sentence
from tests.wire.test_plain import PAGE

FROZEN = Path(__file__).with_name("frozen")
DIARY = json.loads(body_of(diary_bytes(full_diary())))


def laid_out(value: dict[str, Any]) -> bytes:
    """A diary body of any content, in the lines of FORMAT.md."""
    plans = ",\n".join(json.dumps(plan) for plan in value["plans"])
    entries = ",\n".join(json.dumps(entry) for entry in value["entries"])
    middle = f"{plans}\n" if plans else ""
    end = f"{entries}\n" if entries else ""
    person = json.dumps(value["person"])
    return f'{{"person":{person},"plans":[\n{middle}],"entries":[\n{end}]}}\n'.encode()


def changed(change: Callable[[dict[str, Any]], object]) -> Reading:
    """How a diary reads in which something was changed before the digest was made."""
    value = json.loads(json.dumps(DIARY))
    change(value)
    reading = read_bytes(with_header(laid_out(value)))
    assert one_line(reading)
    return reading


def _entry(value: dict[str, Any], kind: str) -> dict[str, Any]:
    found: dict[str, Any] = next(e for e in value["entries"] if e["kind"] == kind)
    return found


def test_the_layout_used_here_is_the_right_one() -> None:
    assert changed(lambda value: None).state == "whole"


def _set(kind: str, /, **fields: Any) -> Callable[[dict[str, Any]], None]:
    def change(value: dict[str, Any]) -> None:
        _entry(value, kind).update(fields)

    return change


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (_set("day_page", pain_worst=11), "pain_worst: 11 is not between 0 and 10"),
        (_set("day_page", pain_worst="7"), "pain_worst: '7' is not a whole number"),
        (_set("tape_on", stage=3), "stage: 3 is not between 1 and 2"),
        (_set("session", side="both"), "'both' is not one of left, right"),
        (_set("event", kind="weather"), "'weather' is not a kind of entry"),
        (_set("event", kind=["event"]), "is not a kind of entry"),
        (_set("outing", what_for="line\x00"), "control characters"),
        (_set("outing", amount={"label": "Walk", "unit": "min", "amount": -1}), "amount"),
        (_set("measure", count=10**40), "count: 1000000"),
        # The first and the last year of the calendar cannot be moved into another zone.
        (_set("day_page", written_at="0001-01-01T05:00:00+14:00"), "1 is not between 1900 and"),
        (_set("day_page", written_at="9999-12-31T23:00:00-12:00"), "9999 is not between 1900"),
        (_set("day_page", for_day="0001-01-01"), "for_day: the year 1 is not between 1900 and"),
        (lambda v: v["plans"][0]["tape"].update(anchor_mm=10**400), "anchor_mm: 1000000"),
        (lambda v: v["plans"].clear(), "plans: there is no plan"),
        (lambda v: v["plans"].append(v["plans"][0]), "version 1 is there twice"),
        (lambda v: v["plans"][0].update(person="K-31"), "K-31, but this diary is of K-07"),
        (lambda v: v.update(person="K-31"), "K-07, but this diary is of K-31"),
        (lambda v: v["plans"][0].update(main_side="left"), "left, but the plan is for right"),
        (lambda v: v["plans"][0].update(review_on="2026-01-01"), "before the day the plan"),
        (lambda v: v["plans"][1].update(goal="Run."), "signed for another content"),
        (lambda v: v["plans"][1]["knees"].append(v["plans"][1]["knees"][0]), "right knee twice"),
        (lambda v: v["entries"].append(None), "is not a kind of entry"),
        (lambda v: v["entries"].append({}), "kind"),
    ],
)
def test_what_cannot_be_right_is_told(
    change: Callable[[dict[str, Any]], object], told: str
) -> None:
    reading = changed(change)
    assert reading.state == "faulty"
    assert reading.value is None
    assert any(told in sentence(fault) for fault in reading.faults), reading.faults


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (_set("day_page", side="left"), "side: left, but plan version 1 is for right"),
        (_set("tape_on", side="left"), "left, but plan version 1 is for right"),
        (_set("day_page", plan_version=7), "plan version 7 is not there"),
        (_set("day_page", for_day="2027-01-01"), "1 January 2027, but it was written on"),
        (_set("session", happened_at="2026-03-09T10:00:00+01:00"), "a day after it was written"),
        (_set("day_page", replaces=an_id(999)), "replaces: the entry it names is not there"),
        (_set("day_page", replaces=an_id(3)), "a day page cannot replace a session"),
        (_set("question", replaces=an_id(12)), "in a circle"),
        (_set("tape_off", tape_on=an_id(999)), "tape_on: the tape it names is not there"),
        (_set("tape_off", tape_on=an_id(1)), "tape_on: the tape it names is not there"),
        (lambda v: v["plans"].pop(0), "plan version 1 is not there"),
    ],
)
def test_what_does_not_fit_the_rest_costs_itself_alone(
    change: Callable[[dict[str, Any]], object], told: str
) -> None:
    reading = changed(change)
    assert reading.diary is not None
    assert any(told in sentence(fault) for fault in reading.faults), reading.faults
    lost = len(full_diary().entries) - len(reading.diary.entries)
    assert lost == len(reading.faults) == reading.diary.left_out > 0
    assert f"do not fit the rest: {lost}." in sentence(reading)
    again = read_bytes(diary_bytes(reading.diary))
    assert again.faults == (), "what is left belongs together"


def test_two_corrections_in_a_circle() -> None:
    def circle(value: dict[str, Any]) -> None:
        first, second = (e for e in value["entries"] if e["kind"] == "warning")
        first["replaces"], second["replaces"] = second["id"], first["id"]

    reading = changed(circle)
    assert reading.state == "whole"
    assert len(reading.faults) == 2


def test_the_same_entry_twice_counts_once_and_a_rival_is_damage() -> None:
    once = changed(lambda value: value["entries"].append(dict(value["entries"][0])))
    assert once.diary is not None
    assert len(once.diary.entries) == len(full_diary().entries)
    rival = changed(
        lambda value: value["entries"].append(
            _entry(value, "question") | {"text": "Another question"}
        )
    )
    assert rival.state == "damaged"
    assert rival.value is None


def test_the_same_instant_under_another_offset_is_a_rival_too() -> None:
    rival = changed(
        lambda value: value["entries"].append(
            _entry(value, "question") | {"written_at": "2026-03-10T08:00:00+00:00"}
        )
    )
    assert _entry(DIARY, "question")["written_at"] == "2026-03-10T09:00:00+01:00"
    assert rival.state == "damaged"


@pytest.mark.parametrize(
    "body",
    [
        b"\n",
        b"{}\n",
        b"null\n",
        b"[[[[\n",
        b'{"person":"K-07"}\n',
        b'{"person":"K-07","plans":[],"entries":[]}\n',
        json.dumps(DIARY).encode() + b"\n",
        json.dumps(DIARY, indent=1).encode() + b"\n",
        laid_out(DIARY)[:-1] + b" \n",
        laid_out(DIARY) + b"\n",
        laid_out(DIARY).replace(b"\n", b"\r\n"),
        b"\xef\xbb\xbf" + laid_out(DIARY),
        laid_out(DIARY).replace(b"},\n", b"}\n", 1),
        laid_out(DIARY).replace(b"\n]}", b",\n]}"),
        laid_out(DIARY).replace(b'"K-07"', b'"K-07","person":"K-31"', 1),
        laid_out(DIARY).replace(b'"K-07"', b'"K-07","sealed":true', 1),
        laid_out(DIARY | {"person": ""}),
        laid_out(DIARY | {"person": "K 07"}),
        laid_out(DIARY).replace(b"},\n{", b"},\n\n{", 1),
        laid_out(DIARY).replace(b"harbour wall", b"harbour \xff wall"),
        laid_out(DIARY).replace(b'"side"', b'"side":"left","side"', 1),
        laid_out(DIARY).replace(b'"pain_worst": 7', b'"pain_worst": NaN'),
        laid_out(DIARY).replace(b'"pain_worst": 7', b'"pain_worst": 7e0'),
        laid_out(DIARY).replace(b'"pain_worst": 7', b'"pain_worst": ' + b"7" * 9000),
    ],
)
def test_bodies_that_are_not_of_this_form(body: bytes) -> None:
    assert body != laid_out(DIARY)
    reading = read_bytes(with_header(body))
    assert reading.state == "faulty"
    assert reading.faults
    assert one_line(reading)


def _frame(line: bytes) -> bytes:
    return b'{"person":"K-07","plans":[\n' + line + b'\n],"entries":[\n]}\n'


@pytest.mark.parametrize(
    ("body", "told"),
    [
        (_frame(b"[" * 900_000), "nested too deep"),
        (_frame(b'{"a":' * 200_000), "nested too deep"),
        (_frame(b"9" * 1_000_000), "is not JSON"),
        (_frame(b"[" + b"[]," * 300_000 + b"[]]"), "an object"),
        (_frame(b'{"a":1,' * 140_000 + b"}"), "is not JSON"),
        (_frame(b'"' + b"x" * 2_000_000 + b'"'), "the line is too long"),
        (_frame(b",\n".join([b"{}"] * 150_000)), "missing"),
        (b"\n" * 2_000_000, "too many lines"),
    ],
)
def test_a_bomb_is_refused_within_bounds(body: bytes, told: str) -> None:
    """Memory stays in proportion: below a hundred megabytes for bombs of a megabyte or two."""
    data = with_header(body)
    tracemalloc.start()
    try:
        reading = read_bytes(data)
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert reading.state == "faulty"
    assert told in sentence(reading.faults[0])
    assert one_line(reading)
    assert peak < 100 * 1024 * 1024


@pytest.mark.parametrize("version", range(1, files.VERSIONS["diary"] + 1))
@pytest.mark.parametrize(
    ("harm", "told"),
    [
        (b'"\\ud800"', "is not JSON"),
        (b"1e999", "1e999 is not a number"),
        (b"-1e999", "-1e999 is not a number"),
        (b"1" * 400 + b".0", "is not a number"),
        (b"[" * 190 + b"1e999" + b"]" * 190, "is not a number"),
        (b"[" * 300 + b"]" * 300, "nested too deep"),
        (b'{"a":' * 300 + b"1" + b"}" * 300, "nested too deep"),
        (b'{"a":' * 900 + b"1" + b"}" * 900, "nested too deep"),
    ],
    ids=["half", "too large", "too small", "long", "inside", "lists", "objects", "deeper"],
)
def test_what_cannot_be_written_again_is_told_in_a_file_of_any_version(
    version: int, harm: bytes, told: str
) -> None:
    """An older line is brought up and written again, which ended in a fault of the program."""
    plan = {"person": "K-07", "version": 1, "side": "right", "main_side": "right"}
    plan |= {"written_on": "2026-03-02", "review_on": "2026-04-27"}
    lines = {"person": "K-07", "plans": [plan], "entries": [PAGE]}
    opening = b"homeknee diary %d" % version
    assert read_bytes(with_header(laid_out(lines), opening)).state == "whole"
    for part in ("plans", "entries"):
        harmed = {**lines, part: [*lines[part], {"note": "harm"}]}
        body = laid_out(harmed).replace(b'"harm"', harm)
        reading = read_bytes(with_header(body, opening))
        assert one_line(reading)
        assert told in sentence(reading)


ODD_BYTES = (b'"', b"}", b"[", b"null", b"1e999", b"NaN", b"-0", b"1.0", b"\\ud800", b"\xff", b"")


@pytest.mark.parametrize("path", sorted(FROZEN.glob("diary-*")), ids=lambda path: path.stem)
def test_a_line_hurt_anywhere_under_a_good_digest_ends_in_a_named_state(path: Path) -> None:
    """Bytes of a record changed at random, each version of the format; the seed is fixed."""
    opening, body = path.read_bytes().split(b"\n", 1)
    lines = body.split(b"\n")
    chance = random.Random(f"lines of {path.stem}")
    states: Counter[str] = Counter()
    for _ in range(40):
        hurt = [*lines]
        number = chance.choice([n for n, line in enumerate(lines) if len(line) > 60])
        place = chance.choice([m.start() for m in re.finditer(rb"[0-9\"]", lines[number])])
        end = place + chance.choice((0, 1, 1, 4))
        hurt[number] = lines[number][:place] + chance.choice(ODD_BYTES) + lines[number][end:]
        reading = read_bytes(with_header(b"\n".join(hurt), opening.rpartition(b" ")[0]))
        assert one_line(reading)
        states[reading.state] += 1
    assert states["faulty"] > 20, states


def test_a_plan_is_read_as_strictly_as_a_diary() -> None:
    good = json.loads(body_of(plan_bytes(full_plan())))
    for change, told in (
        ({"goal": "Run."}, "sign_off"),
        ({"side": "up"}, "side"),
        ({"version": 0}, "version"),
        ({"extra": 1}, "extra"),
        ({"rounds": 9}, "rounds"),
    ):
        body = json.dumps(good | change).encode() + b"\n"
        reading = read_bytes(with_header(body, b"homeknee plan 4"))
        assert reading.state == "faulty"
        assert told in sentence(reading)
    whole = read_bytes(with_header(json.dumps(good).encode() + b"\n", b"homeknee plan 4"))
    assert whole.plan == full_plan()


def test_a_file_full_of_faults_tells_the_first_and_how_many() -> None:
    reading = changed(lambda v: [entry.update(plan_version=0) for entry in v["entries"]])
    assert "entries[0].plan_version" in sentence(reading)
    assert f"{len(reading.faults)} faults" in sentence(reading)
