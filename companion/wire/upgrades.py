"""From each version of a plan and of an entry to the next, as JSON values.

Files and the store pass what an older version wrote through the same steps. A step takes its own
copy and says in one line what changed; a version that only added fields needs none.
"""

import re
from collections.abc import Callable, Mapping
from hashlib import sha256

from companion.care.json_values import JsonObject
from companion.wire.plain import PlainFault, decode_plan, encode
from companion.wire.sign_off import canonical

Upgrade = Callable[[JsonObject], JsonObject]


def _scoring_taught_is_no_care(entry: JsonObject) -> JsonObject:
    """Version 2 wrote how scoring was taught as other care; the clinic wrote no other."""
    if entry.get("kind") != "event" or entry.get("what") != "other_care":
        return entry
    if entry.get("written_by") != "clinic" or entry.get("note") is None:
        return entry
    kept = {key: value for key, value in entry.items() if key not in ("what", "side", "note")}
    return kept | {"kind": "scoring_taught", "words": entry["note"]}


def _ten_is_an_answer(entry: JsonObject) -> JsonObject:
    """Version 2 wrote what was said of a score of 10 as a sentence among the questions."""
    text = entry.get("text")
    if entry.get("kind") != "question" or not isinstance(text, str):
        return entry
    found = re.fullmatch(_ABOUT_TEN, text, re.DOTALL)
    if found is None:
        return entry
    kept = {key: value for key, value in entry.items() if key != "text"}
    more = found["more"].strip()
    return kept | {"ten_said": _SAID_OF_TEN[found["said"]]} | ({"text": more} if more else {})


_ABOUT_TEN = (
    r"I was asked if a score of 10 is the worst[^.]*\. I said (?P<said>yes|no|I am not sure)\."
    r"(?: Five of my sessions in a row began at 10\.)?(?P<more>.*)"
)
_SAID_OF_TEN = {"yes": "worst", "no": "can_be_worse", "I am not sure": "not_sure"}


def _from_2(entry: JsonObject) -> JsonObject:
    return _ten_is_an_answer(_scoring_taught_is_no_care(entry))


def _an_easy_day_is_a_bad_day(plan: JsonObject) -> JsonObject:
    """Version 3 called the bad-day mark the easy-day mark. A sign-off over the old name answers for
    the same content, so it is carried over where it held."""
    if _EASY not in plan:
        return plan
    renamed: JsonObject = {_BAD if key == _EASY else key: value for key, value in plan.items()}
    sign_off = renamed.pop("sign_off", None)
    if not isinstance(sign_off, dict):
        return renamed if sign_off is None else renamed | {"sign_off": sign_off}
    try:
        content = encode(decode_plan(renamed))
    except PlainFault:  # the reader of the newest version says what is wrong with it
        return renamed | {"sign_off": sign_off}
    signed = {_EASY if key == _BAD else key: value for key, value in content.items()}
    if sha256(canonical(signed)).hexdigest() == sign_off.get("content_sha256"):
        sign_off = sign_off | {"content_sha256": sha256(canonical(content)).hexdigest()}
    return renamed | {"sign_off": sign_off}


_EASY, _BAD = "easy_day_mark", "bad_day_mark"
PLAN_UPGRADES: dict[int, Upgrade] = {3: _an_easy_day_is_a_bad_day}
ENTRY_UPGRADES: dict[int, Upgrade] = {2: _from_2}
"""By the version they start from."""


def upgraded(
    value: JsonObject, version: int, newest: int, steps: Mapping[int, Upgrade]
) -> JsonObject:
    """A plan or an entry of `version` as version `newest` has it."""
    for step in range(version, newest):
        if step in steps:  # a version may change plans alone, or entries alone
            value = steps[step](value)
    return value
