"""The day page, one question a page. Nothing is filled in beforehand; all may be left out."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from companion.care.catalogue import Catalogue
from companion.care.day_answers import RowOffer, graded
from companion.care.flow import Given, Walk
from companion.care.pacing import PacedWeek
from companion.care.records import (
    ActivityScore,
    Amount,
    AmountPlan,
    DayAnswer,
    Measure,
    PageForm,
    Record,
    Side,
    Skin,
    StairsWay,
    Swelling,
)
from companion.care.stopping import Ended, NoneTickedPage, SignTicked, cards_walk
from companion.care.taping import skin_card


@dataclass(frozen=True, slots=True, kw_only=True)
class DayStart(Record):
    """What is asked. `person` is whether this knee's page also holds what is the person's.

    `past`: the page is for a day that is over, so nobody can say how the pain is now. `offers`:
    answers that lead to signs of the stop list today.
    """

    side: Side
    form: PageForm
    taped: bool = False
    person: bool = True
    past: bool = False
    measure: Measure = "average"
    activities: tuple[str, ...] = ()
    amounts: tuple[AmountPlan, ...] = ()
    aims: tuple[PacedWeek, ...] = ()
    offers: tuple[RowOffer, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PainPage:
    """One pain score: since this time yesterday, or now. Given: `score` or None."""

    key: Measure


@dataclass(frozen=True, slots=True, kw_only=True)
class WorstBelowAveragePage:
    """The worst was given lower than the average. Given nothing; Back changes it."""

    average: int
    worst: int
    key: str = "worst_below_average"


@dataclass(frozen=True, slots=True, kw_only=True)
class DaySkinPage:
    """Skin where tape is. Given: `skin` or None."""

    key: str = "skin"


@dataclass(frozen=True, slots=True, kw_only=True)
class MedicinePage:
    """Extra pain medicine. Given: `medicine` yes | no | None."""

    key: str = "medicine"


@dataclass(frozen=True, slots=True, kw_only=True)
class MorningPage:
    """Full form: morning stiffness in minutes, night pain, swelling. Given: each or None."""

    key: str = "morning"


@dataclass(frozen=True, slots=True, kw_only=True)
class SignOfAnswerPage:
    """The signs that an answer may mean. Given: `sign`, one of them, `not_sure`, `as_before`, or
    None where it is none of these.

    `value` is the answer as a number, `usual` what is usual of it, None where that is not known.
    """

    key: str
    answer: DayAnswer
    value: int
    usual: int | None
    signs: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ActivityPage:
    """Full form: one activity. Given: `score` or None."""

    key: str
    label: str
    index: int
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class AmountsPage:
    """How much was done, asked every day. Given: `amount:<n>` or None.

    `aims` are those of this week, for the amounts that are paced.
    """

    amounts: tuple[AmountPlan, ...]
    aims: tuple[PacedWeek, ...] = ()
    key: str = "amounts"


@dataclass(frozen=True, slots=True, kw_only=True)
class StairsPage:
    """Full form: how stairs went. Given: `stairs` or None."""

    key: str = "stairs"


@dataclass(frozen=True, slots=True, kw_only=True)
class NotePage:
    """A note. Given: `note` and `private`."""

    key: str = "note"


@dataclass(frozen=True, slots=True, kw_only=True)
class DayLookOverPage:
    """The whole page, to look over and write down."""

    end: "DayEnd"
    key: str = "look_over"


@dataclass(frozen=True, slots=True, kw_only=True)
class DayEnd(Record):
    """What a day page will hold."""

    pain_now: int | None = None
    pain_average: int | None = None
    pain_worst: int | None = None
    medicine: bool | None = None
    skin: Skin | None = None
    stiffness_minutes: int | None = None
    swelling: Swelling | None = None
    night_pain: bool | None = None
    as_before: tuple[DayAnswer, ...] = ()
    activities: tuple[ActivityScore, ...] = ()
    amounts: tuple[Amount, ...] = ()
    stairs: StairsWay | None = None
    note: str | None = None
    note_private: bool = False

    @property
    def empty(self) -> bool:
        """True when nothing at all was answered."""
        return self == DayEnd(note_private=self.note_private)


def day_walk(start: DayStart, catalogue: Catalogue) -> Walk[DayEnd]:
    """The questions of one day page; short ones first, so that two minutes are enough.

    An answer that may mean a sign of the stop list leads to it. After a card to act on today the
    rest is not asked: what was answered is written down.
    """
    full = start.form == "full"
    average = (yield PainPage(key="average")).get("score")
    worst = (yield PainPage(key="worst")).get("score")
    if average is not None and worst is not None and worst < average:
        yield WorstBelowAveragePage(average=average, worst=worst)
    now = None
    if (full or start.measure == "now") and not start.past:
        now = (yield PainPage(key="now")).get("score")
    skin = None
    if start.taped:
        skin = (yield DaySkinPage()).get("skin")
        if skin is not None:
            yield from skin_card(skin)
    morning: Given = (yield MorningPage()) if full else {}
    answered = DayEnd(
        pain_now=now,
        pain_average=average,
        pain_worst=worst,
        skin=skin,
        stiffness_minutes=morning.get("stiffness_minutes"),
        swelling=morning.get("swelling"),
        night_pain=_yes_no(morning.get("night_pain")),
    )
    ticked: list[SignTicked] = []
    try:
        as_before = yield from _signs_of_answers(start.offers, answered, catalogue, ticked)
        end = yield from _the_rest(start, replace(answered, as_before=as_before))
    except Ended:
        end = answered
    yield DayLookOverPage(end=end)
    return end


def _signs_of_answers(
    offers: tuple[RowOffer, ...], answered: DayEnd, catalogue: Catalogue, ticked: list[SignTicked]
) -> Walk[tuple[DayAnswer, ...]]:
    """Each answer that reached what is offered from it; which of them are as before.

    Raises Ended after a card that ends what is under way.
    """
    values: Mapping[DayAnswer, int | None] = {
        "swelling": graded(answered.swelling),
        "woken": None if answered.night_pain is None else int(answered.night_pain),
        "stiff": answered.stiffness_minutes,
        "worst": answered.pain_worst,
    }
    reached = [
        (offer, value)
        for offer in offers
        for value in (values[offer.answer],)
        if value is not None and value >= offer.at_least
    ]
    turn = ""
    while True:
        as_before, cards = yield from _asked_about(reached, f"sign_of{turn}", catalogue, ticked)
        if not any(card.another for card in cards):
            return as_before
        turn += ":again"


def _asked_about(
    reached: Sequence[tuple[RowOffer, int]],
    prefix: str,
    catalogue: Catalogue,
    ticked: list[SignTicked],
) -> Walk[tuple[tuple[DayAnswer, ...], tuple[SignTicked, ...]]]:
    """Ask about each answer once: which are as before, and what the cards came to."""
    as_before: list[DayAnswer] = []
    signs: list[str] = []
    unsure: list[str] = []
    none_fits = False
    for offer, value in reached:
        given = yield SignOfAnswerPage(
            key=f"{prefix}:{offer.answer}",
            answer=offer.answer,
            value=value,
            usual=offer.usual,
            signs=offer.signs,
        )
        said = given.get("sign")
        if said == "as_before":
            as_before.append(offer.answer)
        elif said in offer.signs:
            signs.append(said)
        elif said == "not_sure":
            unsure.append(_not_sure(catalogue, offer.signs))
        else:
            none_fits = True
    cards = yield from cards_walk(catalogue, dict.fromkeys(signs), prefix, ticked, certain=unsure)
    meant = [card.sign for card in cards if not card.mistake]
    if any(catalogue.policy.sign(sign).ends == "session" for sign in meant):
        raise Ended("stopped", "card")
    if not cards and (none_fits or signs):
        yield NoneTickedPage(key=f"{prefix}:none", unsure=True)
    return tuple(as_before), cards


def _not_sure(catalogue: Catalogue, signs: tuple[str, ...]) -> str:
    """The sign that holds for whoever is not sure of these: that of their question at the gate."""
    numbers = (catalogue.sign(sign).question for sign in signs)
    number = next(number for number in numbers if number is not None)
    return catalogue.short_gate.question(number).not_sure


def _the_rest(start: DayStart, answered: DayEnd) -> Walk[DayEnd]:
    """What is the person's, and the note."""
    full = start.form == "full"
    medicine = None
    activities: list[ActivityScore] = []
    amounts: list[Amount] = []
    stairs = None
    if start.person:
        medicine = _yes_no((yield MedicinePage()).get("medicine"))
        if full:
            for index, label in enumerate(start.activities, 1):
                given = yield ActivityPage(
                    key=f"activity:{index}",
                    label=label,
                    index=index,
                    count=len(start.activities),
                )
                if given.get("score") is not None:
                    activities.append(ActivityScore(label=label, score=given["score"]))
        if start.amounts:
            given = yield AmountsPage(amounts=start.amounts, aims=start.aims)
            for index, planned in enumerate(start.amounts):
                amount = given.get(f"amount:{index}")
                if amount is not None:
                    amounts.append(
                        Amount(label=planned.label, unit=planned.unit, amount=float(amount))
                    )
        if full:
            stairs = (yield StairsPage()).get("stairs")
    written = yield NotePage()
    return replace(
        answered,
        medicine=medicine,
        activities=tuple(activities),
        amounts=tuple(amounts),
        stairs=stairs,
        note=written.get("note") or None,
        note_private=written.get("private") == "yes",
    )


def _yes_no(answer: str | None) -> bool | None:
    return None if answer is None else answer == "yes"
