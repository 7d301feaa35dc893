"""The visit: what is handed over, as values; who calls writes them where they belong."""

from collections.abc import Callable
from dataclasses import replace

from companion.care.catalogue import Catalogue
from companion.care.records import Diary, Question
from companion.evidence.figures import Findings
from companion.evidence.findings import findings, sides
from companion.exchange.files import diary_bytes
from companion.services.context import QUESTION, Context
from companion.services.trouble import known_troubles

Render = Callable[[Diary, tuple[Findings, ...], Catalogue], bytes]
"""Makes a page or a picture of a diary and its findings; handed in, since it needs the toolkit."""


def diary_file(context: Context) -> bytes:
    """The whole diary as a file. Private notes are not in it: entries never hold them. Raises
    Trouble for a diary that is too large for one."""
    with known_troubles():
        return diary_bytes(context.journal.diary())


def summary_file(context: Context, render: Render) -> bytes:
    """The printed summary of the diary. Raises what the findings or `render` raise: whoever hands
    both over has written the diary by then."""
    diary = context.journal.diary()
    today = context.clock.today()
    found = tuple(
        findings(diary, side, policy=context.policy, read_on=today) for side in sides(diary)
    )
    return render(diary, found, context.catalogue)


def ask_clinic(context: Context, text: str) -> Question:
    """Write down a question for the clinic. Raises LookupError without a plan."""
    question = Question(**context.stamp(), text=text)
    return context.journal.write(question, drop_draft=QUESTION)[0]


def put_question(
    context: Context,
    question_id: str,
    *,
    text: str | None = None,
    answered: bool | None = None,
    taken_back: bool = False,
) -> None:
    """Put a question right: other words, that it was answered, or that it is not asked any more.
    Nothing where it is gone already."""
    entry = context.entries.counting(question_id)
    if not isinstance(entry, Question):
        return
    context.correct(
        replace(
            entry,
            text=text or entry.text,
            answered=answered if answered is not None else entry.answered,
            withdrawn="taken_back" if taken_back else None,
        )
    )


def words_begun(context: Context) -> str | None:
    """The words of a question that was begun and not written down."""
    draft = context.journal.draft(QUESTION)
    return None if draft is None else str(draft["text"])


def keep_words(context: Context, text: str | None) -> None:
    """Keep the words of a question that was left before it was written down."""
    if text:
        context.journal.save_draft(QUESTION, {"text": text})
    else:
        context.journal.drop_draft(QUESTION)
