"""From each version of a plan and of an entry to the next, as JSON values.

Files and the store pass what an older version wrote through the same steps. A step takes its own
copy and says in one line what changed; a version that only added fields needs none.
"""

import re
from collections.abc import Callable, Iterator, Mapping
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


def _an_outing_is_the_persons(entry: JsonObject) -> JsonObject:
    """Version 6 wrote an outing for one knee. Two of one day stay two: nothing tells that they were
    one walk."""
    if entry.get("kind") != "outing" or "knees" in entry:
        return entry
    of_knee = {name: entry[name] for name in _OF_KNEE if name in entry}
    kept = {name: value for name, value in entry.items() if name not in _OF_KNEE}
    return kept | {"knees": [of_knee]}


_OF_KNEE = ("side", "tape_on", "pain_worst", "next_morning")
_EASY, _BAD = "easy_day_mark", "bad_day_mark"
PLAN_UPGRADES: dict[int, Upgrade] = {3: _an_easy_day_is_a_bad_day}
ENTRY_UPGRADES: dict[int, Upgrade] = {2: _from_2, 6: _an_outing_is_the_persons}
"""By the version they start from."""


ADDED: Mapping[int, frozenset[str]] = {
    2: frozenset(
        {
            *("plan.sex", "plan.chair_stand", "plan.trial", "plan.tape.pull_at"),
            *("plan.tape.pull_towards", "plan.knees.build", "tape_off.felt", "measure.seat_cm"),
            "gate",
        }
    ),
    3: frozenset({"scoring_taught", "question.ten_said"}),
    4: frozenset(
        {
            *("plan.bad_day_mark", "plan.usual_worst", "plan.usual_night", "plan.usual_swelling"),
            *("plan.usual_stiffness_minutes", "plan.caution_list", "plan.helper_days"),
            *("plan.cautions.reason", "plan.cautions.reason_words", "plan.cautions.closed"),
            *("plan.known_signs.found", "plan.known_signs.stays_open"),
            *("plan.known_signs.support", "plan.known_signs.review_by"),
            *("day_page.as_before", "warning.opened", "warning.opened_on"),
            *("session.gate_replies", "session.known_replies", "session.after_last"),
            *("gate.gate_replies", "gate.known_replies", "gate.side", "gate.after_last"),
        }
    ),
    5: frozenset(
        {
            *("entry.withdrawn", "plan.open_signs", "plan.mornings_down"),
            *("plan.expected_weeks", "plan.known_signs.side", "plan.known_signs.stays_closed"),
        }
    ),
    6: frozenset(
        {
            *("entry.machine", "entry.turn", "entry.over", "entry.beside"),
            *("day_page.last_fortnight", "session.last_fortnight", "question.answered"),
        }
    ),
    7: frozenset({"outing.knees"}),
}
"""What each version added: kinds of entry, and fields by their kind (`entry` for all kinds)."""


def too_new_for(value: JsonObject, version: int) -> str | None:
    """The first field of a plan or an entry that `version` did not have yet, or its kind; None when
    it can be of that version. Its header names a version: what holds more is another one's."""
    later = frozenset().union(*(names for since, names in ADDED.items() if since > version))
    kind = value.get("kind")
    if isinstance(kind, str) and kind in later:
        return kind
    prefixes = ("plan",) if kind is None else (str(kind), "entry")
    return next((path for path in _paths(value) for p in prefixes if f"{p}.{path}" in later), None)


def _paths(value: JsonObject) -> Iterator[str]:
    """The names of all fields, `tape.pull_at` for one inside another."""
    for name, inside in value.items():
        yield name
        for part in inside if isinstance(inside, list) else [inside]:
            if isinstance(part, dict):
                yield from (f"{name}.{path}" for path in part)


def upgraded(
    value: JsonObject, version: int, newest: int, steps: Mapping[int, Upgrade]
) -> JsonObject:
    """A plan or an entry of `version` as version `newest` has it."""
    for step in range(version, newest):
        if step in steps:  # a version may change plans alone, or entries alone
            value = steps[step](value)
    return value
