"""Any byte changed, added or removed is damage: never whole."""

import random
from collections.abc import Iterator

import pytest

from companion.care.records import Diary
from companion.exchange.files import diary_bytes, plan_bytes, read_bytes
from tests.builders import small_plan
from tests.exchange.made import full_diary
from tests.exchange.test_files import body_of, with_header

PLAN = plan_bytes(small_plan())
DIARY = diary_bytes(Diary(plans=(small_plan(),), entries=full_diary().entries[:1]))
HURT = {"damaged", "not_ours"}


@pytest.mark.parametrize("data", [PLAN, DIARY], ids=["plan", "diary"])
def test_every_bit_turned(data: bytes) -> None:
    for place in range(len(data)):
        for bit in range(8):
            hurt = bytearray(data)
            hurt[place] ^= 1 << bit
            state = read_bytes(bytes(hurt)).state
            assert state in HURT, (place, bit, state)
            # Past its first word a file of ours is known for what it is.
            assert place < 9 or state == "damaged", (place, bit)


@pytest.mark.parametrize("data", [PLAN, DIARY], ids=["plan", "diary"])
def test_cut_short_at_every_length(data: bytes) -> None:
    for length in range(len(data)):
        state = read_bytes(data[:length]).state
        assert state == ("not_ours" if length == 0 else "damaged"), length


@pytest.mark.parametrize("data", [PLAN, DIARY], ids=["plan", "diary"])
def test_a_byte_put_in_or_taken_out_anywhere(data: bytes) -> None:
    for place in range(len(data) + 1):
        for byte in (b"\n", b"\r", b" ", b"0", b"\x00", data[place : place + 1] or b"}"):
            hurt = data[:place] + byte + data[place:]
            assert read_bytes(hurt).state in HURT, (place, byte)
        if place < len(data):
            hurt = data[:place] + data[place + 1 :]
            assert read_bytes(hurt).state in HURT, place


def _as_mail_and_editors_do() -> Iterator[tuple[str, bytes]]:
    yield "line ends of Windows", DIARY.replace(b"\n", b"\r\n")
    yield "line ends of old Macs", DIARY.replace(b"\n", b"\r")
    yield "byte order mark", b"\xef\xbb\xbf" + DIARY
    yield "last newline gone", DIARY[:-1]
    yield "one newline more", DIARY + b"\n"
    yield "space at the end", DIARY[:-1] + b" \n"
    yield "digest in capitals", DIARY[:17] + DIARY[17:81].upper() + DIARY[81:]
    yield "version with a zero", DIARY.replace(b"diary 7", b"diary 07", 1)
    yield "two spaces", DIARY.replace(b"diary 7", b"diary  7", 1)
    yield "other version", DIARY.replace(b"diary 7", b"diary 4", 1)
    yield "other kind", DIARY.replace(b"diary 7", b"plan 7", 1)
    yield (
        "digest of the body alone",
        with_header(body_of(DIARY), b"homeknee plan 4").replace(b"plan", b"diary", 1),
    )
    yield "two files in one", DIARY + DIARY
    yield "two halves turned", body_of(DIARY) + DIARY[: DIARY.index(b"\n") + 1]
    yield "a block of zeros", DIARY[:200] + bytes(100) + DIARY[300:]
    yield "a block lost", DIARY[:200] + DIARY[300:]
    yield "a block twice", DIARY[:200] + DIARY[100:200] + DIARY[200:]


@pytest.mark.parametrize(("how", "hurt"), [*_as_mail_and_editors_do()], ids=lambda v: str(v)[:25])
def test_what_happens_on_the_way(how: str, hurt: bytes) -> None:
    assert hurt != DIARY, how
    assert read_bytes(hurt).state in HURT


def test_many_small_hurts_at_once() -> None:
    """A larger file, hurt in a few places at random; the seed is fixed."""
    data = diary_bytes(full_diary())
    chance = random.Random(20260309)
    for _ in range(400):
        hurt = bytearray(data)
        for _ in range(chance.randint(1, 4)):
            place = chance.randrange(len(hurt))
            match chance.randrange(3):
                case 0:
                    hurt[place] ^= chance.randint(1, 255)
                case 1:
                    del hurt[place]
                case _:
                    hurt.insert(place, chance.randrange(256))
        if bytes(hurt) != data:
            assert read_bytes(bytes(hurt)).state in HURT
