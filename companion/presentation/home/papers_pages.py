"""Papers of the plan: the booklet, the sheet to cut tape by, and tape for days away."""

from companion.presentation.home.stay import MOST_DAYS
from companion.presentation.language.phrases import phrase
from companion.presentation.view.page import ActionList, Button, Number, Option, PageView, Text


def papers_view(*, tapes: bool) -> PageView:
    """What can be printed. Without tape in the plan there is the booklet alone."""
    papers = [
        Option("booklet", phrase("The booklet"), phrase("The routine with its pictures, to print"))
    ]
    if tapes:
        papers += [
            Option("cutting", phrase("The cutting sheet"), phrase("Your tape at true size")),
            Option("away", phrase("Days away"), phrase("How much tape to cut and pack")),
            Option("measure", phrase("Measure the knee"), phrase("When your clinic asks you to")),
        ]
    return PageView(
        key="papers",
        heading=phrase("Papers and tape"),
        blocks=(ActionList("paper", tuple(papers)),),
    )


def days_away_view() -> PageView:
    """How many days the stay has."""
    return PageView(
        key="days_away",
        heading=phrase("Days away"),
        blocks=(
            Text(phrase("The page then says how much tape to cut before you go.")),
            Number(
                "days",
                phrase("How many days are you away?"),
                phrase("days"),
                1,
                MOST_DAYS,
                needed=True,
            ),
        ),
        main=Button(phrase("Next")),
    )
