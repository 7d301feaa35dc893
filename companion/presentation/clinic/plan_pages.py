"""The small pages round the plan writer: where to begin, preview, leaving, what is saved."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from companion.care.catalogue import Catalogue
from companion.care.flow import WalkPage
from companion.care.records import Plan, Side
from companion.presentation.clinic.people import reason_words
from companion.presentation.clinic.plan_form import PreviewPart, Section
from companion.presentation.clinic.plan_words import whose_plan
from companion.presentation.home.walk_pages import ViewContext, page_view
from companion.presentation.language.phrases import clock_time, dated, listed, phrase
from companion.presentation.language.plan_changes import whose_knee
from companion.presentation.language.said import said_words
from companion.presentation.language.troubles import saved_words, why_words
from companion.presentation.view.page import (
    ActionList,
    Button,
    Callout,
    Option,
    PageView,
    Text,
    make_page,
)
from companion.services.plan_draft import PlanDraft
from companion.services.plan_draft_kept import FoundDrafts, Unfinished
from companion.services.plan_writing import PickedPlan, PlanFile, SavedPlan
from companion.services.trouble import Trouble


def start_view(
    catalogue: Catalogue, last: Plan | None, found: FoundDrafts | None = None
) -> PageView:
    """Where a plan begins: one left unfinished, the last version, a template, a kept file."""
    found = found or FoundDrafts((), ())
    options = [_go_on(each) for each in found.unfinished]
    if last is not None:
        options.append(
            Option(
                "last",
                phrase("Next version of plan {version}", version=last.version),
                phrase(
                    "{person}, {knees}, written {day}: all of it again, to change.",
                    person=last.person,
                    knees=whose_knee(last.side),
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
    return make_page(
        "plan_start",
        phrase("Write a plan"),
        *_found_words(found),
        Text(
            phrase(
                "Unless a field names a source, template values are common practice, no "
                "source. You confirm every value."
            ),
            "quiet",
        ),
        ActionList("begin", tuple(options)),
        stop=False,
    )


def _go_on(kept: Unfinished) -> Option:
    return Option(
        f"draft:{kept.name}",
        phrase("Go on with the unfinished plan {version}", version=kept.draft.version),
        phrase(
            "{person}, last changed on {day} at {time}: as it was left.",
            person=whose_plan(kept.draft),
            day=dated(kept.changed_at.date()),
            time=clock_time(kept.changed_at),
        ),
    )


def _found_words(found: FoundDrafts) -> tuple[Text, ...]:
    """That something unfinished is here, and what of it cannot be read."""
    said = []
    if found.unfinished:
        said.append(
            Text(
                phrase(
                    "A plan was left unfinished here. Every answer of it is kept.",
                    "{n} plans were left unfinished here. Every answer of them is kept.",
                    n=len(found.unfinished),
                ),
                "strong",
            )
        )
    if found.damaged:
        said.append(
            Text(
                phrase(
                    "The file of an unfinished plan cannot be read: {names}. It is damaged or "
                    "from a newer version, and was left alone.",
                    "The files of {n} unfinished plans cannot be read: {names}. They are damaged "
                    "or from a newer version, and were left alone.",
                    n=len(found.damaged),
                    names=listed(found.damaged),
                ),
            )
        )
    return tuple(said)


def unseen_faults(section: Section) -> tuple[str, ...]:
    """What stands in the way on a page under a field that the page does not show."""
    return tuple(
        phrase("{field}: {fault}", field=field.label, fault=remark.text)
        for group in section.groups
        for field in group.fields
        if not (field.shown and group.shown)
        for remark in field.remarks
        if not remark.advice
    )


_FIRST: dict[PreviewPart, tuple[str, ...]] = {
    "start": (),
    "move": ("depth", "move"),
    "hands": ("step",),
    "exercise": ("exercise",),
    "tape": ("tape_ready", "tape"),
    "trial": ("no_hands",),
}


def preview_begins(pages: Sequence[WalkPage], part: PreviewPart) -> int:
    """The place of the first page of a part; 0 when the plan has nothing of it."""
    for place, page in enumerate(pages):
        if page.key.split(":")[0] in _FIRST[part]:
            return place
    return 0


def preview_view(
    pages: Sequence[WalkPage], place: int, plan: Plan, side: Side, catalogue: Catalogue
) -> PageView:
    """One page exactly as the person will see it; every button of it only goes on."""
    view = page_view(pages[place], ViewContext(plan=plan, side=side, catalogue=catalogue))
    last = place + 1 == len(pages)
    main = view.main or Button(phrase("Next"))
    return replace(
        view,
        mark=phrase(
            "Preview {number} of {count}: nothing is written down",
            number=place + 1,
            count=len(pages),
        ),
        main=replace(main, asks=False, submitted=(("end", last),)),
        others=(
            *(replace(other, asks=False, submitted=(("end", last),)) for other in view.others),
            Button(phrase("End the preview"), (("end", True),), asks=False),
        ),
        back=True,
        stop=True,
    )


def leave_view(draft: PlanDraft) -> PageView:
    """What becomes of a plan that is left."""
    return make_page(
        "plan_leave",
        phrase("Leave this plan?"),
        ActionList(
            "do",
            (
                Option("stay", phrase("Go on writing")),
                Option(
                    "later",
                    phrase("Leave it unfinished"),
                    phrase("It is kept here as it stands, and offered the next time."),
                ),
                Option(
                    "practice",
                    phrase("Keep it as a practice plan"),
                    phrase("A file without a signature. It can be opened here again."),
                ),
                Option(
                    "drop",
                    _drop_words(draft),
                    phrase("What was written here is gone. No earlier plan changes."),
                ),
            ),
        ),
        stop=False,
    )


def _drop_words(draft: PlanDraft) -> str:
    person = draft.answers.get("person")
    if not person:
        return phrase("Drop this new plan")
    return phrase("Drop plan {version} of {person}", version=draft.version, person=person)


def not_kept_view(trouble: Trouble) -> PageView:
    """The disk does not take what is written."""
    return make_page(
        "plan_not_kept",
        phrase("The disk refuses this plan"),
        Text(
            phrase(
                "What you wrote last is not on the disk: {why}. It stays in this window. Make "
                "room or mend it; every further answer tries again. Or sign, or keep a "
                "practice plan in another place.",
                why=why_words(trouble),
            )
        ),
        main=Button(phrase("Go on writing")),
        back=False,
        stop=False,
    )


def saved_view(made: PlanFile, saved: SavedPlan, told: str = "") -> PageView:
    """The plan is saved; what to do with the file, and its pages for home. `told` is what became of
    those."""
    plan, sentence = made.plan, saved_words(saved.name, saved.place)
    if plan.sign_off is None:
        return make_page(
            "plan_saved",
            phrase("Kept as a practice plan"),
            Text(sentence),
            Text(phrase("It is not for a real knee until somebody signs it.")),
            main=Button(phrase("Done")),
            stop=False,
        )
    if saved.in_list:
        listed = phrase("It is in the list here too.")
    elif saved.trouble is not None:
        why = why_words(saved.trouble)
        listed = phrase("It could not be kept in the list here: {why}.", why=why.rstrip("."))
    else:
        listed = phrase("It is not in the list here. {why}", why=reason_words(saved.left))
    return make_page(
        "plan_saved",
        phrase("Plan {version} is signed", version=plan.version),
        Text(f"{sentence} {listed}"),
        Text(
            phrase(
                "Signed by {name}, {registration}, on {day}.",
                name=plan.sign_off.name,
                registration=plan.sign_off.registration,
                day=dated(plan.sign_off.signed_at.date()),
            )
        ),
        Callout(
            " ".join(
                (
                    phrase("Give the file to {person}.", person=plan.person),
                    *((phrase("The session of today is in it."),) if made.entries else ()),
                    phrase(
                        "At home: open it as the plan file, from the front page or from "
                        "Settings and help."
                    ),
                )
            ),
            phrase("What comes next"),
        ),
        *((Text(told, "strong"),) if told else ()),
        main=Button(phrase("Done")),
        others=papers_buttons(),
        stop=False,
    )


def home_papers_view(told: str = "", *, letter: bool) -> PageView:
    """All of a plan that can be printed for a family, on which paper; `told`: what became of it."""
    return make_page(
        "home_papers",
        phrase("Pages for home"),
        Text(
            phrase(
                "Booklet, sheet for the fridge, cards, blank days to the review and, where the "
                "plan tapes, the sheet to cut tape by: a new folder, to print from."
            )
        ),
        *((Text(told, "strong"),) if told else ()),
        main=Button(phrase("Back to the review")),
        others=(
            *papers_buttons(),
            Button(
                phrase("Paper: Letter. Take A4") if letter else phrase("Paper: A4. Take Letter"),
                (("paper", "a4" if letter else "letter"),),
                asks=False,
            ),
        ),
        stop=False,
    )


def papers_buttons() -> tuple[Button, ...]:
    """The ways to the pages for home."""
    ways = (
        ("print_out", "person", phrase("Print the pages for the person")),
        ("print_out", "helper", phrase("Print the pages for a helper")),
        ("papers", "person", phrase("Save the pages for the person")),
        ("papers", "helper", phrase("Save the pages for a helper")),
    )
    return tuple(Button(words, ((how, reader),), asks=False) for how, reader, words in ways)


def not_gone_on_words(picked: PickedPlan, last: Plan | None) -> str:
    """Why a file that was picked is not gone on with."""
    match picked.refused:
        case "diary":
            return phrase("{name} is a diary, not a plan.", name=picked.name)
        case "signed":
            return phrase(
                "This plan is signed. Open the person and write the next version of it instead."
            )
        case "another_person" if picked.plan is not None and last is not None:
            return phrase(
                "This file is from another person (code {theirs}, here {ours}).",
                theirs=picked.plan.person,
                ours=last.person,
            )
        case _:
            return said_words(picked.said) if picked.said else picked.name


def code_taken_words(code: str) -> str:
    """A first plan stands under the code of somebody in the list."""
    return phrase(
        "The code {code} is in the list already. Choose another code, or open {code} "
        "there and write its next version.",
        code=code,
    )


def still_there_words(name: str, trouble: Trouble) -> str:
    """A draft that was dropped or signed is still on the disk."""
    return phrase(
        "{name} could not be removed: {why}. It will be offered again.",
        name=name,
        why=why_words(trouble),
    )


def refused_view(heading: str, sentence: str) -> PageView:
    """What was not done, and why."""
    return make_page(
        "plan_refused", heading, Text(sentence), main=Button(phrase("Back")), stop=False
    )


def paper_notice_view(which: str, sentence: str) -> PageView:
    """Where the report, or the person's summary, is, or why it is nowhere."""
    report = which == "report"
    return make_page(
        "paper_told",
        phrase("Report for the file") if report else phrase("Summary for the person"),
        Text(sentence),
        main=Button(phrase("Back to the review")),
        stop=False,
    )
