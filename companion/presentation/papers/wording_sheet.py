"""The wording to sign: every rule of the policy with its rows and cards, as one paper.

It is printed from the content itself, for a licensed clinician to read and sign rule by rule.
"""

from __future__ import annotations

from companion.care.catalogue import Catalogue
from companion.care.levels import PARTS
from companion.care.policy import (
    AnswerPolicy,
    CautionPolicy,
    Closing,
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
from companion.presentation.language.phrases import phrase
from companion.presentation.language.words import joined
from companion.presentation.view.page import (
    Block,
    Bulleted,
    Button,
    DefinitionList,
    Heading,
    Numbered,
    PageView,
    Text,
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
        "routines: one hands round fewer, {keep} of {keep_of} repeats, never below {floor_rounds} "
        "round and {floor_percent}\u00a0% of the repeats; judged again after {sessions} routines, "
        "and after {sessions} usual ones a step comes back",
        "more_goes_on": "still so on the lower dose: call",
        "two_above_usual": "average pain {above_usual} above usual on every page of {days} days, "
        "{days_needed} pages at least; usual is the median of the {usual_days} days before with "
        "{usual_needed} pages at least: call",
        "step_stopped": "a step stopped for its pain: it stays out of the session",
        "skin_seen": "a blister or broken skin at the last look",
    },
)

_LINE = "_" * 34


def wording_view(catalogue: Catalogue) -> PageView:
    """The whole wording as blocks, with a line to sign under each rule and the whole at the end."""
    policy = catalogue.policy
    blocks: list[Block] = [
        Text(phrase(policy.status_note), "strong"),
        Text(
            phrase(
                "Read each rule with its rows and cards. Tick a row that is right, write beside "
                "it what to change, and put your initials to the rule. Everything is hands, tape "
                "on, seated or lying exercise, standing exercise, the check move with the chair "
                "stand, and tape for an outing. Local services and pathways come first."
            )
        ),
    ]
    for rule in policy.rules:
        blocks += _rule(rule, catalogue)
    blocks += [
        Heading(phrase("The questions asked every day")),
        Numbered(tuple(phrase(question.words) for question in catalogue.short_gate.questions)),
        *_to_sign(),
        Heading(phrase("Read and signed")),
        DefinitionList(
            tuple(
                (phrase(name), _LINE)
                for name in ("Name", "Profession", "Registration", "Day", "Signature")
            )
        ),
    ]
    return PageView(
        key="wording",
        heading=phrase("The wording, to read and sign"),
        blocks=tuple(blocks),
        main=Button(phrase("Back")),
    )


def _rule(rule: PolicyRule, catalogue: Catalogue) -> list[Block]:
    policy = catalogue.policy
    blocks: list[Block] = [
        Heading(phrase("{id}: {title}", id=rule.id, title=phrase(rule.title))),
        Text(phrase(rule.clinician_words)),
        Text(_rests_on(rule, catalogue), "quiet"),
    ]
    for row in policy.signs:
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
    return [*blocks, *_to_sign(rule.confirmed_by)]


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
                "usual yet, from {unknown} on on {days} of {of_days} days. As before, it is asked "
                "again after {again} days. Offered: {offers}",
                above=row.steps_above * row.step,
                lowest=row.lowest,
                unknown=row.lowest_unknown,
                days=row.days,
                of_days=row.of_days,
                again=row.again_after_days,
                offers=offers,
            )
        ),
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
    lines = [*card.actions, card.by_when, card.say, card.say_also]
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
    )


def _closes(closing: Closing) -> str:
    """One sentence: what closes together, until when, and what opens it."""
    parts = (
        phrase("everything")
        if closing.parts == PARTS
        else joined(codes.PARTS[part].clinic for part in closing.parts)
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


def _to_sign(by: str | None = None) -> list[Block]:
    if by is not None:
        return [Text(phrase("Confirmed by {name}.", name=by), "strong")]
    return [
        DefinitionList(((phrase("Agreed, or to change:"), phrase("{line} Initials", line=_LINE)),))
    ]
