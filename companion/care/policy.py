"""The policy: what a sign, a caution or the state of a day closes, until when, and who opens it.

Its rows are ``resources/policy.json``. Every walk, door, page, paper and the clinic ask
`care.closures`, which reads them; no other table says what is closed. Nothing here reads a file.
"""

from collections.abc import Iterable
from typing import Annotated, Literal

from companion.care.levels import PARTS
from companion.care.lookup import row_by
from companion.care.ranges import Key, Length, Letter, Range, Words
from companion.care.records import Cleared, DayAnswer, Level, Part, Record, record

Until = Literal[
    "seen_told",
    "seen",
    "told",
    "well",
    "skin_clear",
    "as_before",
    "has_gone",
    "not_again",
    "ticked",
    "days",
    "session",
    "usual",
]
"""Until when. seen_told: seen by a professional and told to go on. seen: seen by one. told: told by
one to go on. well, skin_clear, as_before, has_gone: the person says so when asked. not_again: the
person says that it was called about or is over; it closed nothing. ticked: the clinician ticks it
in the plan. days: on another day it is open by itself. session: it ends with the session. usual:
by itself once scores, or mornings, are as usual again."""

Opener = Cleared
"""Who opens, as it is written: `checked_by_professional`, or what the person says. A tick by
mistake may always be taken back and stands in no row."""

KneeOf = Literal["person", "knee", "leg"]
"""Whose a sign is. person: all parts of both knees. knee: of one knee, of both while nobody said
which. leg: of the leg whose walk is under way, where hands and tape go."""

Ends = Literal["nothing", "step", "session"]
"""What a sign ends at once when it is ticked."""

State = Literal[
    "rest_pain_above_limit",
    "bad_day",
    "third_bad_day",
    "flare_days_used_up",
    "flare_worsens",
    "more_next_morning_1",
    "more_next_morning_2_of_3",
    "more_goes_on",
    "two_above_usual",
    "step_stopped",
    "skin_seen",
    "patch_red",
]
"""rest_pain_above_limit: pain at rest above the limit of this session. bad_day: a before score at
or above the bad-day mark. third_bad_day: a bad spell, by the third bad session running or the
person's press; flare_days_used_up, flare_worsens: it has not settled, or rises each time.
more_next_morning_1, more_next_morning_2_of_3: more pain on the morning after the last routine, or
after two of three; more_goes_on: still so on the lower dose. two_above_usual: the pain of the day
has been up for a week. step_stopped: a step stopped for pain. skin_seen: the last look at the skin
found a blister or broken skin, signed for or not. patch_red: the skin under a test piece was not
clear, of whatever make, and nobody said yet what the clinic says of it."""

Ask = Literal[
    "lightest_hands",
    "not_over_veins",
    "not_over_patches",
    "helper_there",
    "daily_look",
    "both_hands",
    "somebody_there",
    "chair_behind",
    "rise_slowly",
    "firm_grip",
    "shoes_and_feet",
    "firm_shoes",
    "light_on",
    "phone_on_you",
    "own_pace",
    "breathe_out",
    "watch_calf",
    "heat_counts",
    "mind_hip",
    "no_deep_bend",
    "short_of_end",
    "not_flat",
]
"""What a caution, or a known sign, asks for where it leaves a part open. lightest_hands: hands only
with the lightest pressure word. daily_look: a helper looks at the taped skin every day.
helper_there: a helper must be there. firm_grip: hands that hold a rail. What the others ask for is
in their words."""


BEFOREHAND: tuple[Ask, ...] = (
    "helper_there",
    "both_hands",
    "somebody_there",
    "chair_behind",
    "rise_slowly",
    "firm_grip",
    "shoes_and_feet",
    "firm_shoes",
    "light_on",
    "phone_on_you",
)
"""What is made ready before; the rest is minded all the while."""

PERSON_OPENS: tuple[Opener, ...] = (
    "skin_read_clear",
    "well_again",
    "as_before",
    "has_gone",
    "asked_again",
)
"""What a person may say at the gate; the rest is a professional's."""

Sentence = Annotated[str, Words(400)]


@record
class PolicyRule(Record):
    """One rule as a licensed clinician reads and signs it: `in_short` on the page to sign, whole in
    its annex.

    `confirmed_by` names who did; None: nobody yet. `letter` is the least sure of its facts.
    """

    id: Key
    title: Annotated[str, Words(60)]
    in_short: Annotated[str, Words(200)]
    clinician_words: Annotated[str, Words(1200)]
    letter: Letter
    facts: Annotated[tuple[Key, ...], Length(20)] = ()
    confirmed_by: Annotated[str, Words(80)] | None = None


@record
class Closing(Record):
    """Parts that close together. `opens` may be written to open them, from `after_days` days after
    the sign on where the person says so. Empty `opens`: it ends by itself. `but_at_support`: what
    of them is done holding on stays open, with both hands on support.
    """

    parts: tuple[Part, ...]
    until: Until
    opens: tuple[Opener, ...] = ()
    after_days: Annotated[int, Range(0, 60)] = 0
    but_at_support: bool = False

    @property
    def asked(self) -> Opener | None:
        """What the person may say at a gate to open it; None: not theirs to open."""
        return next((how for how in self.opens if how in PERSON_OPENS), None)

    @property
    def person_says(self) -> Until | None:
        """What is so once the person opens it; None: not theirs to open."""
        match self.asked:
            case "skin_read_clear":
                return "skin_clear"
            case "well_again":
                return "well"
            case "asked_again":
                return "not_again"
            case "as_before" | "has_gone" as so:
                return so
        return None


@record
class SignPolicy(Record):
    """What one sign of the stop list closes. A sign that closes nothing has one closing without
    parts, which says how it ends. `known_since`: the clinician may mark it as known; with
    `known_knee` the knee is asked."""

    sign: Key
    rule: Key
    knee: KneeOf = "person"
    closes: tuple[Closing, ...]
    known_since: bool = False
    known_knee: bool = False
    ends: Ends = "nothing"

    @property
    def parts(self) -> tuple[Part, ...]:
        """Everything it closes, in the order of `PARTS`."""
        return self._closed(self.closes)

    @property
    def parts_at_support(self) -> tuple[Part, ...]:
        """What it closes of what is done holding on."""
        return self._closed(one for one in self.closes if not one.but_at_support)

    @staticmethod
    def _closed(closes: Iterable[Closing]) -> tuple[Part, ...]:
        closed = {part for closing in closes for part in closing.parts}
        return tuple(part for part in PARTS if part in closed)

    @property
    def for_session(self) -> bool:
        """It holds for its own session alone."""
        return all(closing.until == "session" for closing in self.closes)


@record
class CautionAsk(Record):
    """One thing a caution asks for in the parts it leaves open."""

    ask: Ask
    parts: tuple[Part, ...]


@record
class PartAsks(Record):
    """Everything that is asked for in one part."""

    part: Part
    asks: tuple[Ask, ...]


@record
class CautionPolicy(Record):
    """What a yes to one caution does to each part; an unanswered one closes all it names.

    `closes`: until the clinician ticks it open; `never`: no tick opens it; `flare`: while a flare
    lasts; `rest`: for `rest_days` after its date, itself the first; a caution that rests is written
    as it happens and needs no answer beforehand. `asked_since` is the version of the list of
    cautions that asked it first.
    """

    caution: Key
    rule: Key
    letter: Letter
    asked_since: Annotated[int, Range(1, 9999)] = 1
    closes: tuple[Part, ...] = ()
    never: tuple[Part, ...] = ()
    flare: tuple[Part, ...] = ()
    rest: tuple[Part, ...] = ()
    rest_days: Annotated[int, Range(1, 60)] | None = None
    asks: tuple[CautionAsk, ...] = ()
    facts: Annotated[tuple[Key, ...], Length(20)]

    @property
    def guards(self) -> frozenset[Part]:
        """Every part it says something of."""
        asked = (part for one in self.asks for part in one.parts)
        return frozenset((*self.closes, *self.never, *self.flare, *self.rest, *asked))


@record
class PolicyNumber(Record):
    """A number by which a state is told or acted on, with its facts."""

    name: Key
    value: Annotated[int, Range(0, 1000)]
    facts: Annotated[tuple[Key, ...], Length(20)]


@record
class StatePolicy(Record):
    """What a state of the day closes, until when, and the numbers it goes by."""

    state: State
    rule: Key
    closes: tuple[Part, ...]
    until: Until
    opens: tuple[Opener, ...] = ()
    numbers: tuple[PolicyNumber, ...] = ()

    def number(self, name: str) -> int:
        """The number of that name. Raises KeyError."""
        return row_by(self.numbers, "name", name).value


@record
class AnswerPolicy(Record):
    """When an answer of a day page is offered the signs it may mean, in the units of the answer.

    Usual is the middle of the first `usual_pages` pages that answer it, from the first full one on;
    of that one alone while fewer than `usual_pages_needed` do. It is new from `steps_above` times
    `step` above that on, and `step` above the highest of them; where nothing is known of that,
    or the scale ends below, when it was above the usual on `days` of the last `of_days`. It is
    never new below `lowest`, and where nothing is known not below `lowest_unknown`. Answered as
    before, it is asked about again after `again_after_days`.
    """

    answer: DayAnswer
    rule: Key
    offers: tuple[Key, ...]
    step: Annotated[int, Range(1, 60)]
    steps_above: Annotated[int, Range(1, 5)]
    usual_pages: Annotated[int, Range(1, 28)]
    usual_pages_needed: Annotated[int, Range(1, 28)]
    lowest: Annotated[int, Range(1, 720)]
    lowest_unknown: Annotated[int, Range(1, 720)]
    days: Annotated[int, Range(1, 7)]
    of_days: Annotated[int, Range(1, 14)]
    again_after_days: Annotated[int, Range(1, 28)]
    facts: tuple[Key, ...]


@record
class WatchPolicy(Record):
    """What is looked at under "anything unsafe", in days before the last entry unless said.

    Falls, the head and the skin for `recent_days`, answers for `answer_days`; `falls` and `heads`
    are the signs that tell of a fall, and of a knock to the head. A step counts that
    was stopped in `step_stopped` of its last `step_sessions` sessions, or by pain above
    `step_above`. Nothing written for `silent_days`, after a card for `silent_days_after_card`, is
    told.
    """

    rule: Key
    falls: tuple[Key, ...]
    heads: tuple[Key, ...]
    recent_days: Annotated[int, Range(7, 365)]
    answer_days: Annotated[int, Range(7, 56)]
    step_stopped: Annotated[int, Range(1, 20)]
    step_sessions: Annotated[int, Range(1, 20)]
    step_above: Annotated[int, Range(1, 9)]
    silent_days: Annotated[int, Range(2, 60)]
    silent_days_after_card: Annotated[int, Range(1, 60)]
    facts: Annotated[tuple[Key, ...], Length(20)]


def unknown_id(level: Level) -> str:
    """The id of the row that stands for a sign of this level that nobody here knows: what it is
    about is not known either, so care is no less than call."""
    return f"unknown_{'call' if level == 'care' else level}"


@record
class TakenUp(Record):
    """What becomes of a walk that was left lying, by how long ago its last answer is."""

    rule: Key
    gate_again_minutes: Annotated[int, Range(1, 600)]
    anew_hours: Annotated[int, Range(1, 24)]


@record
class ClearingPolicy(Record):
    """Days that clearing goes by: after `ask_again_days` what a professional said is asked again;
    after `whom_else_days` without an answer whoever else may be called is named."""

    rule: Key
    ask_again_days: Annotated[int, Range(1, 60)]
    whom_else_days: Annotated[int, Range(1, 60)]
    facts: Annotated[tuple[Key, ...], Length(20)] = ()


@record
class Policy(Record):
    """The whole policy. `status_note` says who has signed it. Lookups raise KeyError for an unknown
    id, but those of signs: a diary may hold one that this version does not know. Then `unknown`
    has the row for its level.

    `on_the_feet` are the exercises done standing, `at_support` those of them that can be done
    holding on, as their sheets say; who reads the policy puts them in.
    """

    version: Annotated[int, Range(1, 9999)]
    status_note: Sentence
    rules: tuple[PolicyRule, ...]
    signs: tuple[SignPolicy, ...]
    unknown: tuple[SignPolicy, ...]
    cautions: tuple[CautionPolicy, ...]
    states: tuple[StatePolicy, ...]
    taken_up: TakenUp
    answers: tuple[AnswerPolicy, ...]
    watch: WatchPolicy
    clearing: ClearingPolicy
    on_the_feet: tuple[Key, ...] = ()
    at_support: tuple[Key, ...] = ()

    def exercise_part(self, exercise_id: str) -> Part:
        """Which part an exercise belongs to. One that is not known here is not done standing."""
        return "standing" if exercise_id in self.on_the_feet else "seated"

    def of_sign(self, sign_id: str) -> SignPolicy | None:
        """The row of a sign; None for one that is not known here."""
        return next((row for row in self.signs if row.sign == sign_id), None)

    def sign(self, sign_id: str, level: Level = "call") -> SignPolicy:
        """The row of a sign; of one that is not known here the row of its `level`."""
        found = self.of_sign(sign_id)
        return self.unknown_sign(sign_id, level) if found is None else found

    def unknown_sign(self, sign_id: str, level: Level) -> SignPolicy:
        """The row of a sign as if it was not known: of its own name, else of its level. No level
        below `call` closes less than that one."""
        rows = {row.sign: row for row in self.unknown}
        return rows.get(sign_id) or rows[unknown_id(level)]

    def numbers(self, *states: State) -> dict[str, int]:
        """The numbers of some states, by their names."""
        return {one.name: one.value for state in states for one in self.state(state).numbers}

    def caution(self, caution_id: str) -> CautionPolicy:
        """The row of a caution."""
        return row_by(self.cautions, "caution", caution_id)

    def state(self, state: State) -> StatePolicy:
        """The row of a state."""
        return row_by(self.states, "state", state)

    def rule(self, rule_id: str) -> PolicyRule:
        """The rule with this id."""
        return row_by(self.rules, "id", rule_id)
