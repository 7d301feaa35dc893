"""The wording to sign: one page with every rule in short, and its annex with all of the wording.

It is printed from the content itself, for a licensed clinician to read and sign rule by rule.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from companion.care.catalogue import Catalogue
from companion.care.levels import PARTS
from companion.care.policy import (
    AnswerPolicy,
    CautionPolicy,
    Closing,
    Policy,
    PolicyRule,
    SignPolicy,
    State,
    StatePolicy,
    WatchPolicy,
)
from companion.presentation.language import codes
from companion.presentation.language.caution_words import asked_for
from companion.presentation.language.code_table import CodeTable, capital
from companion.presentation.language.fact_words import LETTERS, source_sentence
from companion.presentation.language.phrases import dated, joined, phrase
from companion.presentation.view.page import (
    Block,
    Bulleted,
    DefinitionList,
    Heading,
    Numbered,
    PageView,
    Text,
    next_page,
)

_STATES: CodeTable[State, str] = CodeTable(
    State,
    {
        "rest_pain_above_limit": "pain at rest above the limit of the session",
        "bad_day": "a before score at or above the bad-day mark, once it is scored; offered "
        "{above_usual} above usual, {above_ceiling} above the ceiling at least, "
        "{mark_without_usual} where no score is known, none from a usual of {no_mark_from}; usual "
        "is the median of the last {scores} scores, with fewer than {scores_needed} the first",
        "third_bad_day": "a bad spell: {running} bad sessions running, or the person’s press; not "
        "counted any longer after {let_go_days} days",
        "flare_days_used_up": "a bad spell of {days} days, unless the plan sets others: call",
        "flare_worsens": "a bad spell of which the last {rising} scores rose each time: call",
        "more_next_morning_1": "more pain on the morning after the last routine: no change",
        "more_next_morning_2_of_3": "more pain on the morning after {more_of} of the last {last} "
        "routines, unless the plan sets others: one hands round fewer, {keep} of {keep_of} "
        "repeats, never below {floor_rounds} round and {floor_percent}\u00a0% of the repeats; "
        "judged again after {sessions} routines, and after {sessions} usual ones a step comes back",
        "more_goes_on": "still so on the lower dose: call, but not in the weeks for which the plan "
        "expects it",
        "two_above_usual": "average pain {above_usual} above usual on every page of {days} days, "
        "{days_needed} pages at least; usual is the median of the {usual_days} days before with "
        "{usual_needed} pages at least: call",
        "step_stopped": "a step stopped for its pain: it stays out of the session",
        "skin_seen": "a blister or broken skin at the last look",
        "patch_red": "skin that was not clear under a test piece of any make, until somebody says "
        "what the clinic says of it",
    },
)

_LINE = "_" * 34
_INITIALS = "_" * 10


@dataclass(frozen=True, slots=True)
class RuleToSign:
    """A rule to agree to: its mark, what it is called, its words, and a line for initials or who
    signed it already."""

    mark: str
    title: str
    words: str
    initials: str


@dataclass(frozen=True, slots=True)
class WordingSheet:
    """The page to sign, what stands on it `before` and `after` the rules, and the annex."""

    heading: str
    running_head: str
    foot: str
    before: tuple[Block, ...]
    rules: tuple[RuleToSign, ...]
    after: tuple[Block, ...]
    annex: PageView


def wording_sheet(catalogue: Catalogue, today: date) -> WordingSheet:
    """The wording on paper: one page to read and to sign, and the annex with all of it."""
    policy = catalogue.policy
    return WordingSheet(
        heading=phrase("The wording, to read and sign"),
        running_head=phrase("Wording of {day}", day=dated(today)),
        foot=phrase(policy.status_note),
        before=(
            Text(phrase(policy.status_note), "strong"),
            Text(
                phrase(
                    "Initials: agreed. Write what to change beside it. Each rule stands whole in "
                    "the annex under its number, with its rows of signs, cards, cautions and "
                    "states."
                )
            ),
        ),
        rules=(*(_to_sign(rule, catalogue) for rule in policy.rules), _daily(catalogue)),
        after=(
            Heading(phrase("Read and signed")),
            DefinitionList(
                (
                    (phrase("Name and profession"), _LINE),
                    (phrase("Registration"), _LINE),
                    (phrase("Day and signature"), _LINE),
                )
            ),
        ),
        annex=wording_view(catalogue),
    )


def _to_sign(rule: PolicyRule, catalogue: Catalogue) -> RuleToSign:
    """A rule in short words, with how many rows of the annex go with it."""
    words, rows = phrase(rule.in_short), _rows_under(rule, catalogue)
    if rows:
        words = phrase("{short} ({n} row)", "{short} ({n} rows)", short=words, n=rows)
    return RuleToSign(
        mark=rule.id,
        title=phrase("{title}.", title=phrase(rule.title)),
        words=words,
        initials=_INITIALS if rule.confirmed_by is None else phrase(rule.confirmed_by),
    )


def _daily(catalogue: Catalogue) -> RuleToSign:
    questions = (phrase(question.words) for question in catalogue.short_gate.questions)
    title = phrase("The questions asked every day.")
    return RuleToSign(phrase("daily"), title, " ".join(questions), _INITIALS)


def _rows_under(rule: PolicyRule, catalogue: Catalogue) -> int:
    """How many rows of the annex go with a rule."""
    policy = catalogue.policy
    named = [row.rule for row in _signs(policy)] + [row.rule for row in policy.cautions]
    named += [row.rule for row in policy.states] + [row.rule for row in policy.answers]
    named.append(policy.watch.rule)
    return named.count(rule.id)


def _signs(policy: Policy) -> tuple[SignPolicy, ...]:
    return (*policy.signs, *policy.unknown)


def wording_view(catalogue: Catalogue) -> PageView:
    """The annex: the whole wording as blocks, rule by rule with its rows and cards."""
    policy = catalogue.policy
    blocks: list[Block] = [
        Text(phrase(policy.status_note), "strong"),
        Text(
            phrase(
                "Tick a row that is right, write beside it what to change. Everything is hands, "
                "tape on, seated or lying exercise, standing exercise, the check move with the "
                "chair stand, and tape for an outing. Local services and pathways come first."
            )
        ),
    ]
    for rule in policy.rules:
        blocks += _rule(rule, catalogue)
    blocks += [
        Heading(phrase("The questions asked every day")),
        Numbered(tuple(phrase(question.words) for question in catalogue.short_gate.questions)),
    ]
    return next_page("wording", phrase("Annex: the whole wording"), *blocks, main=phrase("Back"))


def _rule(rule: PolicyRule, catalogue: Catalogue) -> list[Block]:
    policy = catalogue.policy
    blocks: list[Block] = [
        Heading(phrase("{id}: {title}", id=rule.id, title=phrase(rule.title))),
        Text(phrase(rule.clinician_words)),
        Text(_rests_on(rule, catalogue), "quiet"),
    ]
    for row in _signs(policy):
        if row.rule == rule.id:
            blocks += _sign(row, catalogue)
    for caution in policy.cautions:
        if caution.rule == rule.id:
            blocks += _caution(caution, catalogue)
    for state in policy.states:
        if state.rule == rule.id:
            blocks += _row(phrase("State: {words}", words=_state_words(state)))
            closing = Closing(parts=state.closes, until=state.until, opens=state.opens)
            blocks.append(Text(_closes(closing)))
    for answer in policy.answers:
        if answer.rule == rule.id:
            blocks += _answer(answer, catalogue)
    if policy.watch.rule == rule.id:
        blocks += _watch(policy.watch)
    if rule.confirmed_by is not None:
        blocks.append(Text(phrase("Confirmed by {name}.", name=rule.confirmed_by), "strong"))
    return blocks


def _state_words(row: StatePolicy) -> str:
    """What a state is, with the numbers it goes by."""
    return _STATES.said(row.state, **{one.name: one.value for one in row.numbers})


def _answer(row: AnswerPolicy, catalogue: Catalogue) -> tuple[Block, ...]:
    """An answer of the day page: when it is new, and what it is offered."""
    offers = " ".join(
        phrase("“{words}”", words=phrase(catalogue.sign(sign).words)) for sign in row.offers
    )
    return (
        *_row(
            phrase("Answer of the day page: {words}", words=codes.DAY_ANSWERS[row.answer].clinic)
        ),
        Text(
            phrase(
                "New from {above} above the usual on and never below {lowest}; where nothing is "
                "usual yet, from {unknown} on on {days} of {of_days} days. Usual is what the plan "
                "says, else {usual}. As before, it is asked again after {again} days. Offered: "
                "{offers}",
                above=row.steps_above * row.step,
                lowest=row.lowest,
                unknown=row.lowest_unknown,
                days=row.days,
                of_days=row.of_days,
                again=row.again_after_days,
                usual=_usual_of_pages(row),
                offers=offers,
            )
        ),
    )


def _usual_of_pages(row: AnswerPolicy) -> str:
    if row.usual_pages == 1:
        return phrase("the first full page")
    return phrase(
        "the middle of the first {n} pages with an answer, and above the highest of them; with "
        "fewer than {needed} the first full page",
        n=row.usual_pages,
        needed=row.usual_pages_needed,
    )


def _watch(row: WatchPolicy) -> tuple[Block, ...]:
    return (
        *_row(phrase("What the clinic is told under “Anything unsafe?”")),
        Text(
            phrase(
                "Falls, the head and the skin of {recent} days; answers of {answers} days; a step "
                "stopped in {stopped} of {sessions} sessions or above {above}; nothing written "
                "for {silent} days, after a card for {card}.",
                recent=row.recent_days,
                answers=row.answer_days,
                stopped=row.step_stopped,
                sessions=row.step_sessions,
                above=row.step_above,
                silent=row.silent_days,
                card=row.silent_days_after_card,
            )
        ),
    )


def _rests_on(rule: PolicyRule, catalogue: Catalogue) -> str:
    if rule.facts:
        return source_sentence(catalogue.facts, rule.facts)
    return phrase("{letter}.", letter=capital(LETTERS[rule.letter]))


def _row(words: str) -> tuple[Block, ...]:
    """A row with room for a tick before it."""
    return (Text(phrase("[   ]  {words}", words=words), "strong"),)


def _sign(row: SignPolicy, catalogue: Catalogue) -> tuple[Block, ...]:
    """A row of the stop list: its words and questions, what it closes, and its whole card."""
    sign = catalogue.sign(row.sign)
    card = catalogue.card(sign.card)
    asked = [phrase(question.words) for question in sign.questions]
    closes = [_closes(closing) for closing in row.closes]
    known = [phrase("May be known since a day.")] if row.known_since else []
    if row.known_knee:
        known = [phrase("May be known since a day, of a knee that is named.")]
    lines = [card.actions[0], card.by_when, *card.actions[1:], card.say, card.say_also]
    away = [phrase(line) for line in (card.say_away,) if line is not None]
    goes_on = [phrase(line) for line in (card.heading_open, *card.actions_open) if line is not None]
    opens = [phrase(question.words) for question in card.opens_when]
    return (
        *_row(
            phrase(
                "{level}: “{words}”",
                level=capital(codes.LEVELS[sign.level].clinic),
                words=phrase(sign.words),
            )
        ),
        *((Text(phrase("Asked then: {words}", words=" ".join(asked))),) if asked else ()),
        Text(" ".join((*closes, *known))),
        *((Text(phrase("Asked to open it: {words}", words=" ".join(opens))),) if opens else ()),
        Text(
            phrase(
                "Card “{heading}”: {words}",
                heading=phrase(card.heading),
                words=" ".join(phrase(line) for line in lines if line is not None),
            )
        ),
        *((Text(phrase("Away from home: {words}", words=" ".join(away))),) if away else ()),
        *(
            (Text(phrase("Where the plan leaves it open: {words}", words=" ".join(goes_on))),)
            if goes_on
            else ()
        ),
    )


def _closes(closing: Closing) -> str:
    """One sentence: what closes together, until when, and what opens it."""
    parts = (
        phrase("everything")
        if closing.parts == PARTS
        else joined(codes.PARTS[part].clinic for part in closing.parts)
    )
    if closing.but_at_support:
        parts = phrase(
            "{parts} (what is done holding on stays open, both hands on support)", parts=parts
        )
    until = codes.UNTIL[closing.until].clinic
    told = (
        phrase("Closes {parts} until {until}", parts=parts, until=until)
        if closing.parts
        else phrase("Closes nothing")
    )
    if closing.opens and not closing.parts:
        over = phrase(" or ").join(codes.CLEARED[how].clinic for how in closing.opens)
        told = phrase("{told}; over once {over}", told=told, over=over)
    elif closing.opens:
        opens = phrase(" or ").join(codes.CLEARED[how].clinic for how in closing.opens)
        told = phrase("{told}; opens once {opens}", told=told, opens=opens)
    if closing.after_days:
        told = phrase(
            "{told}, after {n} day", "{told}, after {n} days", told=told, n=closing.after_days
        )
    return phrase("{told}.", told=told)


def _caution(row: CautionPolicy, catalogue: Catalogue) -> list[Block]:
    """One caution, what a yes to it does, and the sentences Home says for it."""
    words = catalogue.caution(row.caution)
    blocks = [*_row(phrase("Caution: {words}", words=phrase(words.clinic_words)))]
    blocks.append(Text(phrase(words.clinic_effect)))
    if row.closes:
        blocks.append(Text(_closes(Closing(parts=row.closes, until="ticked"))))
    said = asked_for(ask.ask for ask in row.asks)
    return [*blocks, Bulleted(said)] if said else blocks
