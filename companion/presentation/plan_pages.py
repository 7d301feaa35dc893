"""The small pages round the plan writer: where to begin, preview, leaving, what is saved."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from companion.care.catalogue import Catalogue
from companion.care.flow import Page
from companion.care.records import Plan, Side
from companion.presentation.page_view import Button, Framed, Option, PageView, Text, Ways
from companion.presentation.phrases import dated, phrase
from companion.presentation.plan_changes import whose_knee
from companion.presentation.plan_form import PreviewPart
from companion.presentation.routine_pages import Setting, page_view


def start_view(catalogue: Catalogue, last: Plan | None) -> PageView:
    """Where a plan begins: the last version, the first session, a template, a kept file."""
    options = []
    if last is not None:
        options.append(
            Option(
                "last",
                phrase("Next version of plan {version}", version=last.version),
                phrase(
                    "{person}, {knee}, written {day}: all of it again, to change.",
                    person=last.person,
                    knee=whose_knee(last.side),
                    day=dated(last.written_on),
                ),
            )
        )
    options += [
        Option(f"template:{template.id}", phrase(template.title), phrase(template.clinic_words))
        for template in catalogue.templates
    ]
    options.append(
        Option(
            "practice",
            phrase("Go on with a practice plan"),
            phrase("Open a plan file that was kept unsigned."),
        )
    )
    return PageView(
        key="plan_start",
        heading=phrase("Write a plan"),
        blocks=(
            Text(
                phrase(
                    "Everything a template holds is common practice, no source, unless a field "
                    "names one. You confirm every value."
                ),
                "quiet",
            ),
            Ways("begin", tuple(options)),
        ),
        stop=False,
    )


_FIRST: dict[PreviewPart, tuple[str, ...]] = {
    "start": (),
    "move": ("depth", "move"),
    "hands": ("step",),
    "exercise": ("exercise",),
    "tape": ("tape_ready", "tape"),
}


def preview_begins(pages: Sequence[Page], part: PreviewPart) -> int:
    """The place of the first page of a part; 0 when the plan has nothing of it."""
    for place, page in enumerate(pages):
        if page.key.split(":")[0] in _FIRST[part]:
            return place
    return 0


def preview_view(
    pages: Sequence[Page], place: int, plan: Plan, side: Side, catalogue: Catalogue
) -> PageView:
    """One page exactly as the person will see it; every button of it only goes on."""
    view = page_view(pages[place], Setting(plan=plan, side=side, catalogue=catalogue))
    last = place + 1 == len(pages)
    main = view.main or Button(phrase("Next"))
    return replace(
        view,
        mark=phrase(
            "Preview {number} of {count}: nothing is written down",
            number=place + 1,
            count=len(pages),
        ),
        main=replace(main, asks=False, given=(("end", last),)),
        others=(
            *(replace(other, asks=False, given=(("end", last),)) for other in view.others),
            Button(phrase("End the preview"), (("end", True),), asks=False),
        ),
        back=True,
        stop=True,
    )


def leave_view() -> PageView:
    """What becomes of a plan that is left."""
    return PageView(
        key="plan_leave",
        heading=phrase("Leave this plan?"),
        blocks=(
            Ways(
                "do",
                (
                    Option("stay", phrase("Go on writing")),
                    Option(
                        "practice",
                        phrase("Keep it as a practice plan"),
                        phrase("A file without a signature. It can be opened here again."),
                    ),
                    Option(
                        "drop",
                        phrase("Drop it"),
                        phrase("What was written here is gone. No earlier plan changes."),
                    ),
                ),
            ),
        ),
        stop=False,
    )


def saved_view(plan: Plan, sentence: str, *, with_session: bool = False) -> PageView:
    """The plan is saved; what to do with the file."""
    if plan.sign_off is None:
        return PageView(
            key="plan_saved",
            heading=phrase("Kept as a practice plan"),
            blocks=(
                Text(sentence),
                Text(phrase("It is not for a real knee until somebody signs it.")),
            ),
            main=Button(phrase("Done")),
            stop=False,
        )
    return PageView(
        key="plan_saved",
        heading=phrase("Plan {version} is signed", version=plan.version),
        blocks=(
            Text(sentence),
            Text(
                phrase(
                    "Signed by {name}, {registration}, on {day}.",
                    name=plan.sign_off.name,
                    registration=plan.sign_off.registration,
                    day=dated(plan.written_on),
                )
            ),
            Framed(
                " ".join(
                    (
                        phrase("Give the file to {person}.", person=plan.person),
                        *((phrase("The first session is in it."),) if with_session else ()),
                        phrase(
                            "At home: open it as the plan file, from the front page or from "
                            "Settings and help."
                        ),
                    )
                ),
                phrase("What comes next"),
            ),
        ),
        main=Button(phrase("Done")),
        stop=False,
    )


def refused_view(sentence: str) -> PageView:
    """A file that is not gone on with, and why."""
    return PageView(
        key="plan_refused",
        heading=phrase("This file was not opened"),
        blocks=(Text(sentence),),
        main=Button(phrase("Back")),
        stop=False,
    )


def report_told_view(sentence: str) -> PageView:
    """Where the report is, or why it is nowhere."""
    return PageView(
        key="report_told",
        heading=phrase("Report for the file"),
        blocks=(Text(sentence),),
        main=Button(phrase("Back to the review")),
        stop=False,
    )
