"""Papers of the plan: the booklet, the sheet to cut tape by, and tape for days away."""

from collections.abc import Sequence

from companion.care.records import Plan
from companion.presentation.home.stay import MOST_DAYS
from companion.presentation.language.phrases import joined, phrase
from companion.presentation.view.page import (
    ActionList,
    Number,
    Option,
    PageView,
    Text,
    make_page,
    next_page,
)


def papers_view(*, tapes: bool, helper_view: bool, letter: bool) -> PageView:
    """What can be printed; all of it at once first. Without tape in the plan there is none of what
    tape takes. `letter`: on which paper."""
    papers = [
        Option("all", phrase("All of them"), phrase("In one new folder, to take to a printer")),
        Option("booklet", phrase("The booklet"), phrase("The routine with its pictures")),
        Option(
            "helper_booklet", phrase("The helper’s booklet"), phrase("The same from their side")
        ),
        Option("fridge", phrase("For the fridge"), phrase("Whom to call, and when, in large")),
        Option("cards", phrase("The cards"), phrase("What to do about each warning sign")),
        Option(
            "blank_days", phrase("Days on paper"), phrase("To fill in with a pen, to your review")
        ),
        Option("weeks", phrase("Weeks on paper"), phrase("Type in what was filled in with a pen")),
    ]
    if helper_view:
        papers[1], papers[2] = papers[2], papers[1]
    if tapes:
        papers += [
            Option("cutting", phrase("The cutting sheet"), phrase("Your tape at true size")),
            Option("away", phrase("Days away"), phrase("How much tape to cut and pack")),
            Option("measure", phrase("Measure the knee"), phrase("When your clinic asks you to")),
        ]
    papers.append(paper_option(letter=letter))
    return make_page("papers", phrase("Papers and tape"), ActionList("paper", tuple(papers)))


def paper_option(*, letter: bool) -> Option:
    """The door to the other size of paper."""
    if letter:
        return Option("paper", phrase("Paper: Letter"), phrase("Press for A4"))
    return Option("paper", phrase("Paper: A4"), phrase("Press for Letter"))


def papers_folder(plan: Plan) -> str:
    """What the folder of all papers of a plan is called."""
    return f"home-pages-{plan.person}-plan-{plan.version}"


def papers_saved_words(folder: str, names: Sequence[str]) -> str:
    """Where all papers are now."""
    return phrase(
        "{n} file saved in the new folder {folder}.",
        "{n} files saved in the new folder {folder}: {names}.",
        n=len(names),
        folder=folder,
        names=joined(names),
    )


def days_away_view() -> PageView:
    """How many days the stay has."""
    return next_page(
        "days_away",
        phrase("Days away"),
        Text(phrase("The page then says how much tape to cut before you go.")),
        Number(
            "days",
            phrase("How many days are you away?"),
            phrase("days"),
            1,
            MOST_DAYS,
            needed=True,
        ),
    )
