"""The visit: what is handed over, as values; who calls writes them where they belong."""

from collections.abc import Callable

from companion.care.catalogue import Catalogue
from companion.care.records import Diary, Question
from companion.evidence.figures import Findings
from companion.evidence.findings import findings, sides
from companion.exchange.files import diary_bytes
from companion.services.context import Context
from companion.system.ids import new_id

Render = Callable[[Diary, tuple[Findings, ...], Catalogue], bytes]
"""Makes a page or a picture of a diary and its findings; handed in, since it needs the toolkit."""


def diary_file(context: Context) -> bytes:
    """The whole diary as a file. Private notes are not in it: entries never hold them."""
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
    plan = context.plan()
    if plan is None:
        raise LookupError("a question needs a plan")
    question = Question(
        id=new_id(),
        for_day=context.clock.today(),
        written_at=context.clock.now(),
        written_by="person",
        plan_version=plan.version,
        text=text,
    )
    context.journal.append(question)
    return question
