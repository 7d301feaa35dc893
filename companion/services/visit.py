"""The visit: what is handed over, as values; who calls writes them where they belong."""

from collections.abc import Callable
from dataclasses import dataclass

from companion.care.catalogue import Catalogue
from companion.care.records import Diary, Question
from companion.evidence.figures import Findings
from companion.evidence.findings import findings, sides
from companion.exchange.files import diary_bytes
from companion.services.context import Context
from companion.system.ids import new_id

Render = Callable[[Diary, tuple[Findings, ...], Catalogue], bytes]
"""Makes a page or a picture of a diary and its findings; handed in, since it needs the toolkit."""


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitPack:
    """The diary file and the printed summary."""

    diary: bytes
    summary: bytes


def visit_pack(context: Context, render_summary: Render) -> VisitPack:
    """The whole diary and its summary. Private notes are not in it: entries never hold them."""
    diary = context.journal.diary()
    found = tuple(findings(diary, side) for side in sides(diary))
    return VisitPack(
        diary=diary_bytes(diary), summary=render_summary(diary, found, context.catalogue)
    )


def ask_clinic(context: Context, text: str) -> Question:
    """Write down a question for the clinic. Raises LookupError without a plan."""
    plan = context.plan()
    if plan is None:
        raise LookupError("a question needs a plan")
    stamp = context.stamp(entry_id=new_id(), for_day=context.clock.today(), plan=plan)
    question = Question(**stamp, text=text)
    context.journal.append(question)
    return question
