"""The day page, one question a page. Nothing is filled in beforehand; all may be left out."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, fields, replace

from companion.care.catalogue import Catalogue
from companion.care.day_answers import RowOffer, graded
from companion.care.flow import Given, Walk
from companion.care.pacing import PacedWeek
from companion.care.records import (
    ActivityScore,
    Amount,
    AmountPlan,
    DayAnswer,
    LastFortnight,
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

    `past`: the page is for a day that is over, so nobody can say how the pain is now. `fortnight`:
    the two weeks before are asked about. `offers`: answers that lead to signs of the stop list
    today. `together`: questions that belong together share a page. `other` is the other knee, whose
    page is written with this one; only where they do.
    """

    side: Side
    form: PageForm
    taped: bool = False
    person: bool = True
    past: bool = False
    fortnight: bool = False
    measure: Measure = "average"
    activities: tuple[str, ...] = ()
    amounts: tuple[AmountPlan, ...] = ()
    aims: tuple[PacedWeek, ...] = ()
    offers: tuple[RowOffer, ...] = ()
    together: bool = False
    other: "OtherKnee | None" = None


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherKnee(Record):
    """What is asked of the other knee on the same evening: as in `DayStart`."""

    side: Side
    form: PageForm
    taped: bool = False
    fortnight: bool = False
    offers: tuple[RowOffer, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class DayPainsPage:
    """Every pain score of a knee, and its skin where tape is. Given by measure: a score or None;
    `skin` or None."""

    key: str
    measures: tuple[Measure, ...]
    skin: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class DayRestPage:
    """What is the person's, and the note. Given as on the pages that ask each by itself; `person`:
    medicine, amounts and with `stairs` these are asked."""

    person: bool
    amounts: tuple[AmountPlan, ...] = ()
    aims: tuple[PacedWeek, ...] = ()
    stairs: bool = False
    key: str = "rest"


@dataclass(frozen=True, slots=True, kw_only=True)
class DayActivitiesPage:
    """Every activity. Given: `activity:<n>`, a score or None."""

    labels: tuple[str, ...]
    key: str = "activities"


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
class LastFortnightPage:
    """Whether the two weeks before the start were worse than usual. Given: `last_fortnight` or
    None."""

    key: str = "last_fortnight"


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
    last_fortnight: LastFortnight | None = None

    @property
    def empty(self) -> bool:
        """True when nothing at all was answered."""
        return self == DayEnd(note_private=self.note_private)


@dataclass(frozen=True, slots=True, kw_only=True)
class DayEnds(DayEnd):
    """What the day pages of both knees will hold: this is of the first, which holds what is the
    person's as well."""

    other: DayEnd


def day_walk(start: DayStart, catalogue: Catalogue) -> Walk[DayEnd]:
    """The questions of one day page; short ones first, so that two minutes are enough.

    An answer that may mean a sign of the stop list leads to it. After a card to act on today the
    rest is not asked: what was answered is written down.
    """
    if start.together:
        return (yield from _together_walk(start, catalogue))
    full = start.form == "full"
    average = (yield PainPage(key="average")).get("score")
    worst = (yield PainPage(key="worst")).get("score")
    if average is not None and worst is not None and worst < average:
        yield WorstBelowAveragePage(average=average, worst=worst)
    now = None
    if (full or start.measure == "now") and not start.past:
        now = (yield PainPage(key="now")).get("score")
    fortnight = None
    if start.fortnight:
        fortnight = (yield LastFortnightPage()).get("last_fortnight")
    skin = None
    if start.taped:
        skin = (yield DaySkinPage()).get("skin")
        if skin is not None:
            yield from skin_card(skin)
    answered = DayEnd(
        pain_now=now, pain_average=average, pain_worst=worst, skin=skin, last_fortnight=fortnight
    )
    if full:
        answered = _with_morning(answered, (yield MorningPage()))
    ticked: list[SignTicked] = []
    try:
        as_before = yield from _signs_of_answers(start.offers, answered, catalogue, ticked)
        end = yield from _the_rest(start, replace(answered, as_before=as_before))
    except Ended:
        end = answered
    yield DayLookOverPage(end=end)
    return end


def _together_walk(start: DayStart, catalogue: Catalogue) -> Walk[DayEnd]:
    """The same questions, those that belong together on one page."""
    own = OtherKnee(**{field.name: getattr(start, field.name) for field in fields(OtherKnee)})
    knees = (own,) if start.other is None else (own, start.other)
    ends: list[DayEnd] = []
    ticked: list[SignTicked] = []
    try:
        for knee in knees:
            prefix = "" if start.other is None else f"{knee.side}:"
            yield from _knee_together(start, knee, prefix, catalogue, ends, ticked)
        ends[0] = yield from _the_rest(start, ends[0])
    except Ended:
        pass  # after a card to act on today the rest is not asked
    first, *others = ends
    end = first
    if start.other is not None:
        other = others[0] if others else DayEnd()
        held = {field.name: getattr(first, field.name) for field in fields(DayEnd)}
        end = DayEnds(**held, other=other)
    yield DayLookOverPage(end=end)
    return end


def _knee_together(
    start: DayStart,
    knee: OtherKnee,
    prefix: str,
    catalogue: Catalogue,
    ends: list[DayEnd],
    ticked: list[SignTicked],
) -> Walk[None]:
    """What is asked of one knee; what was answered is put to `ends` before a card may come."""
    measures: tuple[Measure, ...] = ("average", "worst")
    if (knee.form == "full" or start.measure == "now") and not start.past:
        measures = (*measures, "now")
    pains = yield DayPainsPage(key=f"{prefix}pains", measures=measures, skin=knee.taped)
    average, worst, skin = pains.get("average"), pains.get("worst"), pains.get("skin")
    if average is not None and worst is not None and worst < average:
        key = f"{prefix}worst_below_average"
        yield WorstBelowAveragePage(average=average, worst=worst, key=key)
    answered = DayEnd(pain_now=pains.get("now"), pain_average=average, pain_worst=worst, skin=skin)
    ends.append(answered)
    yield from skin_card(skin, prefix)
    if knee.fortnight:
        asked = yield LastFortnightPage(key=f"{prefix}last_fortnight")
        answered = replace(answered, last_fortnight=asked.get("last_fortnight"))
    if knee.form == "full":
        answered = _with_morning(answered, (yield MorningPage(key=f"{prefix}morning")))
    ends[-1] = answered
    said = yield from _signs_of_answers(knee.offers, answered, catalogue, ticked, prefix)
    ends[-1] = replace(answered, as_before=said)


def _with_morning(answered: DayEnd, said: Given) -> DayEnd:
    return replace(
        answered,
        stiffness_minutes=said.get("stiffness_minutes"),
        swelling=said.get("swelling"),
        night_pain=_yes_no(said.get("night_pain")),
    )


def _amounts(planned: Iterable[AmountPlan], submitted: Given) -> tuple[Amount, ...]:
    """What was done of each amount that is known."""
    found = ((one, submitted.get(f"amount:{n}")) for n, one in enumerate(planned))
    return tuple(
        Amount(label=one.label, unit=one.unit, amount=float(amount))
        for one, amount in found
        if amount is not None
    )


def _signs_of_answers(
    offers: tuple[RowOffer, ...],
    answered: DayEnd,
    catalogue: Catalogue,
    ticked: list[SignTicked],
    knee: str = "",
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
    reached = reached_of(offers, values)
    turn = ""
    while True:
        prefix = f"{knee}sign_of{turn}"
        said = yield from ask_about(reached, prefix, catalogue)
        cards = yield from cards_about(said, prefix, catalogue, ticked)
        if not any(card.another for card in cards):
            return said.as_before
        turn += ":again"


Reached = Sequence[tuple[RowOffer, int]]
"""Answers that may mean a sign, each with what it is as a number."""


def reached_of(
    offers: Iterable[RowOffer], values: Mapping[DayAnswer, int | None]
) -> tuple[tuple[RowOffer, int], ...]:
    """The answers that reached what is offered from them."""
    found = ((offer, values.get(offer.answer)) for offer in offers)
    return tuple(
        (offer, value) for offer, value in found if value is not None and value >= offer.at_least
    )


@dataclass(frozen=True, slots=True)
class AboutAnswers:
    """What was said of answers that may mean a sign: which are as before, the signs that hold and
    those for whoever is not sure; `none_fits`: of one of them nothing was right."""

    as_before: tuple[DayAnswer, ...]
    signs: tuple[str, ...]
    unsure: tuple[str, ...]
    none_fits: bool


def ask_about(reached: Reached, prefix: str, catalogue: Catalogue) -> Walk[AboutAnswers]:
    """Ask about each answer once."""
    as_before: list[DayAnswer] = []
    signs: list[str] = []
    unsure: list[str] = []
    none_fits = False
    for offer, value in reached:
        submitted = yield SignOfAnswerPage(
            key=f"{prefix}:{offer.answer}",
            answer=offer.answer,
            value=value,
            usual=offer.usual,
            signs=offer.signs,
        )
        said = submitted.get("sign")
        if said == "as_before":
            as_before.append(offer.answer)
        elif said in offer.signs:
            signs.append(said)
        elif said == "not_sure":
            unsure.append(_not_sure(catalogue, offer.signs))
        else:
            none_fits = True
    return AboutAnswers(tuple(as_before), tuple(signs), tuple(unsure), none_fits)


def cards_about(
    said: AboutAnswers, prefix: str, catalogue: Catalogue, ticked: list[SignTicked]
) -> Walk[tuple[SignTicked, ...]]:
    """What was said comes to its cards. Raises Ended after one that ends what is under way."""
    signs = dict.fromkeys(said.signs)
    cards = yield from cards_walk(catalogue, signs, prefix, ticked, certain=said.unsure)
    meant = [card.sign for card in cards if not card.mistake]
    if any(catalogue.policy.sign(sign).ends == "session" for sign in meant):
        raise Ended("stopped", "card")
    if not cards and (said.none_fits or signs):
        yield NoneTickedPage(key=f"{prefix}:none", unsure=True)
    return cards


def _not_sure(catalogue: Catalogue, signs: tuple[str, ...]) -> str:
    """The sign that holds for whoever is not sure of these: that of their question at the gate."""
    numbers = (catalogue.sign(sign).question for sign in signs)
    number = next(number for number in numbers if number is not None)
    return catalogue.short_gate.question(number).not_sure


def _the_rest(start: DayStart, answered: DayEnd) -> Walk[DayEnd]:
    """What is the person's, and the note; on one page where the questions share pages."""
    full = start.form == "full" and start.person
    said: Given = {}
    if start.together:
        if full and start.activities:
            said = {**said, **(yield DayActivitiesPage(labels=start.activities))}
        page = DayRestPage(
            person=start.person,
            amounts=start.amounts if start.person else (),
            aims=start.aims if start.person else (),
            stairs=full,
        )
        said = {**said, **(yield page)}
    else:
        if start.person:
            said = {**said, **(yield MedicinePage())}
        for index, label in enumerate(start.activities if full else ()):
            one = ActivityPage(
                key=f"activity:{index + 1}",
                label=label,
                index=index + 1,
                count=len(start.activities),
            )
            said = {**said, f"activity:{index}": (yield one).get("score")}
        if start.person and start.amounts:
            said = {**said, **(yield AmountsPage(amounts=start.amounts, aims=start.aims))}
        if full:
            said = {**said, **(yield StairsPage())}
        said = {**said, **(yield NotePage())}
    scores = ((label, said.get(f"activity:{n}")) for n, label in enumerate(start.activities))
    return replace(
        answered,
        medicine=_yes_no(said.get("medicine")),
        activities=tuple(
            ActivityScore(label=label, score=score) for label, score in scores if score is not None
        ),
        amounts=_amounts(start.amounts, said),
        stairs=said.get("stairs"),
        note=said.get("note") or None,
        note_private=said.get("private") == "yes",
    )


def _yes_no(answer: str | None) -> bool | None:
    return None if answer is None else answer == "yes"
