"""The pages on which an entry is put right, and the ways to it: which day, which entry of it."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from itertools import pairwise

from companion.care import correcting as walk
from companion.care.correcting import AnswerAt, RowName, answer_at, answers_of, is_out
from companion.care.finding import side_of
from companion.care.hints import codes_of, plain, several
from companion.care.ranges import Score
from companion.care.records import ActivityScore, AnyEntry, Question, WarningSign
from companion.presentation.home.card_pages import card_block, unsigned
from companion.presentation.home.walk_view import ViewContext, view_of
from companion.presentation.language import codes
from companion.presentation.language.answer_words import answer_name, row_words, said_words
from companion.presentation.language.code_table import CodeTable, WordAndLine, capital, inside
from companion.presentation.language.field_words import FieldWords, field_words, value_words
from companion.presentation.language.phrases import (
    clock_time,
    joined,
    listed,
    long_day,
    parted,
    phrase,
    short_day,
)
from companion.presentation.language.words import knee, pain_ends, this_knee, yes_or_no
from companion.presentation.view.page import (
    ActionList,
    Block,
    Button,
    Choose,
    DefinitionList,
    Heading,
    Number,
    Option,
    PageView,
    Scale,
    Text,
    Tick,
    Write,
    make_page,
    next_page,
)
from companion.services.correcting import EntryHistory, may_be_put_right
from companion.services.plan_answers import limits_of

_NO_TEXT = 2000
_FEW = 3
"""Answers told of an entry where it stands in a list."""
DAYS_SHOWN = 8
"""Days offered on one page."""
_NOT_POSSIBLE: CodeTable[walk.NotPossible, str] = CodeTable(
    walk.NotPossible,
    {
        "later": "That is later than it was written down. So it cannot be.",
        "too_early": "Other tape was on, or came off, after that. So it cannot be.",
        "too_late": "Other tape went on, or this came off, before that. So it cannot be.",
    },
)


_WHOLE: Mapping[str, WordAndLine] = {
    "withdraw": WordAndLine("It should not be here", "It never happened, or is here twice"),
    "count_again": WordAndLine("It did happen", "Count it again"),
    "other_day": WordAndLine("It belongs to another day", ""),
    "other_knee": WordAndLine("It was the other knee", ""),
    "mistake": WordAndLine("I ticked it by mistake", "It is read once more first"),
    "not_over": WordAndLine("It is not over", "What it closed is closed again"),
}


# ---------------------------------------------------------------- words of an answer


def was_words(versions: Sequence[AnyEntry], path: str, setting: ViewContext) -> str:
    """What stood there before: `was: 4, put right on 12 Oct`. Empty where it never changed."""
    said = []
    for old, new in pairwise(versions):
        before, after = answer_at(old, path), answer_at(new, path)
        if before is not None and (after is None or before.value != after.value):
            on = short_day(new.written_at.date())
            was = said_words(before, setting.catalogue)
            said.append(phrase("was: {was}, put right on {day}", was=was, day=on))
    return parted(said)


def moved_words(versions: Sequence[AnyEntry]) -> tuple[str, ...]:
    """Where the whole entry stood before, and that it was withdrawn."""
    said = []
    for old, new in pairwise(versions):
        on = short_day(new.written_at.date())
        if old.for_day != new.for_day:
            was = short_day(old.for_day)
            said.append(phrase("Day: was {was}, put right on {day}", was=was, day=on))
        if side_of(old) != side_of(new):
            was = this_knee(side_of(old) or "left")
            said.append(phrase("Knee: was {was}, put right on {day}", was=was, day=on))
        if is_out(new) != is_out(old):
            why = getattr(new, "withdrawn", None)
            said.append(
                phrase("Counts again since {day}", day=on)
                if why is None
                else phrase("Taken out on {day}: {why}", day=on, why=codes.WITHDRAWN[why].home)
            )
    return tuple(said)


def entry_heading(entry: AnyEntry) -> str:
    """`Routine of Tuesday 24 November`."""
    kind = capital(codes.KINDS[entry.kind].home)
    return phrase("{kind} of {day}", kind=kind, day=long_day(entry.for_day))


def _line(told: EntryHistory, setting: ViewContext) -> str:
    """An entry in one line, scores first."""
    entry = told.entry
    if is_out(entry):
        return parted(moved_words(told.versions)[-1:])
    answers = sorted(answers_of(entry), key=lambda one: not _is_score(one))
    few = [
        phrase(
            "{what} {value}",
            what=inside(answer_name(one, setting.catalogue)),
            value=said_words(one, setting.catalogue),
        )
        for one in answers[:_FEW]
    ]
    if isinstance(entry, WarningSign):
        few = [value_words(field_words(WarningSign, "sign"), entry.sign, setting.catalogue)]
    line = parted(few)
    if len(told.versions) > 1:
        line = phrase("{line} · put right", line=line) if line else phrase("put right")
    return line


def _is_score(answer: AnswerAt) -> bool:
    return limits_of(answer.hint).most == _TEN and limits_of(answer.hint).whole


_TEN = limits_of(Score).most


# ---------------------------------------------------------------- the way to an entry


def days_view(
    days: Sequence[tuple[date, Sequence[EntryHistory]]], *, more: bool, above: str
) -> PageView:
    """Which day is to be put right, the newest first. Given: `day`, or `older` true."""
    return make_page(
        "correct_day",
        phrase("Which day is wrong?"),
        ActionList(
            "day",
            tuple(Option(day.isoformat(), long_day(day), _kinds(told)) for day, told in days),
        ),
        others=(Button(phrase("Older days"), (("older", True),), asks=False),) if more else (),
        above=above,
    )


def _kinds(told: Sequence[EntryHistory]) -> str:
    kinds = dict.fromkeys(codes.KINDS[one.entry.kind].home for one in told)
    return capital(joined(kinds))


def entries_view(day: date, told: Sequence[EntryHistory], setting: ViewContext) -> PageView:
    """What is written down for a day. Given: `entry`, the place of one that may be put right."""
    mine = [(place, one) for place, one in enumerate(told) if may_be_put_right(one.entry)]
    theirs = [one for one in told if not may_be_put_right(one.entry)]
    blocks: list[Block] = []
    if not told:
        blocks.append(Text(phrase("Nothing of this knee is written down for that day.")))
    blocks.append(
        ActionList(
            "entry",
            tuple(
                Option(str(place), _titled(one.entry), _line(one, setting)) for place, one in mine
            ),
        )
    )
    if theirs:
        blocks.append(
            Text(
                phrase(
                    "Your clinic wrote down: {what}. Only your clinic can put that right.",
                    what=inside(_kinds(theirs)),
                )
            )
        )
    return PageView(
        key="correct_entry",
        heading=phrase("What was it on {day}?", day=long_day(day)),
        blocks=tuple(blocks),
        above=knee(setting.side),
    )


def _titled(entry: AnyEntry) -> str:
    kind = capital(codes.KINDS[entry.kind].home)
    at = getattr(entry, "happened_at", None)
    return kind if at is None else phrase("{kind}, {time}", kind=kind, time=clock_time(at))


# ---------------------------------------------------------------- the entry and its questions


@view_of.register
def _(page: walk.EntryPage, setting: ViewContext) -> PageView:
    entry, now = page.versions[-1], page.now
    blocks: list[Block] = []
    if now == entry:
        blocks.append(Text(phrase("Press what is wrong, and answer it again.")))
    else:
        blocks.append(Text(phrase("Look it over. Then put it right."), "strong"))
        blocks.append(DefinitionList(_changes(entry, now, setting)))
    blocks += [Text(words, "quiet") for words in moved_words(page.versions)]
    if not is_out(entry):
        blocks += _doors(page, setting)
    whole = [Option(do, _WHOLE[do].word, _WHOLE[do].line) for do in page.whole]
    blocks.append(Heading(phrase("Is all of it wrong?")))
    blocks.append(ActionList("do", tuple(whole)))
    blocks += _of_signs(entry, setting)
    changed = now != entry
    leave = phrase("Leave it as it was") if changed else phrase("Leave it as it is")
    return PageView(
        key=page.key,
        heading=entry_heading(entry),
        blocks=tuple(blocks),
        main=Button(phrase("Put it right"), (("do", "put_right"),)) if changed else None,
        others=(Button(leave, (("do", "leave"),), asks=False),),
        enter_answers=False,
    )


def _of_signs(entry: AnyEntry, setting: ViewContext) -> tuple[Block, ...]:
    """What is said with the questions of the gate, where an entry holds their answers."""
    held = getattr(entry, "gate_replies", None)
    return unsigned(setting.catalogue) if held else ()


def _doors(page: walk.EntryPage, setting: ViewContext) -> list[Block]:
    """Every answer as a door; those of one row stand under its name."""
    blocks: list[Block] = []
    group: list[Option] = []
    under: tuple[RowName, ...] = ()
    answers = answers_of(page.now)
    for number, answer in enumerate(answers):
        if answer.rows != under and answer.rows:
            blocks.append(Heading(listed(row_words(row, setting.catalogue) for row in answer.rows)))
        under = answer.rows
        words = phrase(field_words(answer.record, answer.name).name)
        line = said_words(answer, setting.catalogue)
        was = was_words(page.versions, answer.path, setting)
        written = answer_at(page.versions[-1], answer.path)
        if written is not None and written.value != answer.value:
            was = phrase("was: {was}", was=said_words(written, setting.catalogue))
        group.append(
            Option(
                answer.path,
                words,
                phrase("{now} ({was})", now=line, was=was) if was else line,
            )
        )
        last = number == len(answers) - 1
        if last or answers[number + 1].rows != under:
            blocks.append(ActionList("do", tuple(group)))
            group = []
    return blocks


def _changes(entry: AnyEntry, now: AnyEntry, setting: ViewContext) -> tuple[tuple[str, str], ...]:
    """What is different now: the name, and from what to what."""
    rows: list[tuple[str, str]] = []
    if entry.for_day != now.for_day:
        rows.append((phrase("Day"), _from_to(long_day(entry.for_day), long_day(now.for_day))))
    was, is_now = side_of(entry), side_of(now)
    if was is not None and is_now is not None and was != is_now:
        rows.append((phrase("Knee"), _from_to(this_knee(was), this_knee(is_now))))
    for answer in answers_of(now):
        before = answer_at(entry, answer.path)
        if before is not None and before.value != answer.value:
            told = _from_to(
                said_words(before, setting.catalogue), said_words(answer, setting.catalogue)
            )
            rows.append((answer_name(answer, setting.catalogue), told))
    for before in answers_of(entry):
        if answer_at(now, before.path) is None:
            told = _from_to(said_words(before, setting.catalogue), phrase("I can’t say"))
            rows.append((answer_name(before, setting.catalogue), told))
    return tuple(rows)


def _from_to(was: str, now: str) -> str:
    return phrase("{now}, not {was}", now=now, was=was)


@view_of.register
def _(page: walk.AnswerPage, setting: ViewContext) -> PageView:
    answer = answer_at(page.now, page.path)
    if answer is None:
        raise LookupError(f"no answer at {page.path}")
    words = field_words(answer.record, answer.name)
    return next_page(
        page.key,
        answer_name(answer, setting.catalogue),
        Text(phrase("About {day}.", day=long_day(page.now.for_day))),
        Text(phrase("You wrote: {said}", said=said_words(answer, setting.catalogue)), "quiet"),
        *_asked(answer, words, setting),
        *_of_signs(page.now, setting),
        main=phrase("That is right"),
    )


def _asked(answer: AnswerAt, words: FieldWords, setting: ViewContext) -> tuple[Block, ...]:
    """The control its type asks for."""
    question, hint = phrase(words.question), answer.hint
    limits, held = limits_of(hint), plain(hint)
    cannot_say = (Option("", phrase("I can’t say")),) if walk.may_be_left_out(answer) else ()
    if held is datetime:
        return (
            Text(question, "strong"),
            Number("hour", phrase("Hour"), phrase("o’clock"), 0, 23, needed=True),
            Number("minute", phrase("Minute"), phrase("minutes"), 0, 59),
        )
    if _is_score(answer):
        low, high = pain_ends()
        if answer.record is ActivityScore:
            low, high = phrase("unable"), phrase("as before")
        said = phrase("I can’t say") if cannot_say else ""
        return (Scale("value", question, low, high, cannot_say=said),)
    options = _options(answer, words, setting)
    if several(hint):
        return (Tick("value", question, options),)
    if options:
        return (Choose("value", question, (*options, *cannot_say)),)
    if limits.most is not None and held in (int, float):
        decimals = 0 if limits.whole else 1
        return (
            Number(
                "value",
                question,
                phrase(words.unit),
                limits.least or 0,
                limits.most,
                decimals=decimals,
                needed=not cannot_say,
            ),
        )
    most = int(limits.most or _NO_TEXT)
    return (Write("value", question, most, "one" if most <= _ONE_LINE else "many"),)


_ONE_LINE = 60


def _options(answer: AnswerAt, words: FieldWords, setting: ViewContext) -> tuple[Option, ...]:
    hint = answer.hint
    if plain(hint) is bool:
        return tuple(Option(value, capital(yes_or_no(value == "yes"))) for value in ("no", "yes"))
    values: tuple[str | int, ...] = codes_of(hint)
    if not values and words.codes is not None:
        limits = limits_of(hint)
        values = tuple(
            code for code in words.codes if (limits.least or 0) <= code <= (limits.most or 0)
        )
    return tuple(
        Option(value, capital(value_words(words, value, setting.catalogue))) for value in values
    )


@view_of.register
def _(page: walk.NotPossiblePage, setting: ViewContext) -> PageView:
    return next_page(
        page.key,
        phrase("That cannot be"),
        Text(_NOT_POSSIBLE[page.why]),
        main=phrase("Go back to it"),
    )


@view_of.register
def _(page: walk.WithdrawPage, setting: ViewContext) -> PageView:
    asked = isinstance(page.entry, Question)
    reasons = tuple(
        Option(why, row.answer)
        for why, row in codes.WITHDRAWN.items()
        if asked or why != "taken_back"
    )
    return next_page(
        page.key,
        phrase("Should it count no more?"),
        Text(entry_heading(page.entry), "strong"),
        Text(phrase("It stays to be read, with your reason. You can count it again later.")),
        Choose("why", phrase("Why?"), (*reasons, Option("keep", phrase("No, keep it")))),
        main=phrase("Put it right"),
    )


@view_of.register
def _(page: walk.OtherDayPage, setting: ViewContext) -> PageView:
    return next_page(
        page.key,
        phrase("To which day does it belong?"),
        Text(entry_heading(page.entry), "strong"),
        Choose(
            "day",
            phrase("It belongs to:"),
            tuple(Option(day.isoformat(), long_day(day)) for day in page.days),
        ),
    )


@view_of.register
def _(page: walk.ReadAgainPage, setting: ViewContext) -> PageView:
    what = phrase("The skin under a test piece was not clear.")
    if page.sign is not None:
        what = phrase(setting.catalogue.sign(page.sign).words)
    return make_page(
        page.key,
        phrase("Read it once more"),
        Text(what, "strong"),
        Text(phrase("This keeps a part of your routine closed. Put right, it is open.")),
        Choose(
            "mistake",
            phrase("Was that so on {day}, or since?", day=long_day(page.day)),
            (
                Option("no", phrase("Yes, it was so, or I am not sure")),
                Option("yes", phrase("No, it was pressed by mistake")),
            ),
        ),
        *unsigned(setting.catalogue),
        main=Button(phrase("Next")),
        enter_answers=False,
    )


def put_right_blocks(end: walk.CorrectEnd, setting: ViewContext) -> tuple[Block, ...]:
    """What stands at the end of a correction."""
    if end.entry is None:
        return ()
    blocks: list[Block] = [Text(words) for words in moved_words((end.was, end.entry))[:1]]
    rows = _changes(end.was, end.entry, setting)
    if rows and not is_out(end.entry):
        blocks.append(DefinitionList(rows))
    if end.reopened is not None:
        sign = setting.catalogue.sign(end.reopened)
        blocks.append(card_block(sign, setting.plan, setting.catalogue, setting.now))
    blocks.append(Text(phrase("What you wrote first is kept, and your clinic sees both.")))
    return (*blocks, *(_of_signs(end.entry, setting) if end.reopened is None else ()))
