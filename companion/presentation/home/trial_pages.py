"""What a tape trial came to, in words for the person who did it."""

from companion.evidence.figures import StatedVerdict, TapeWorth, TrialResult
from companion.presentation.language.phrases import phrase
from companion.presentation.language.trial_words import own_words_of
from companion.presentation.view.page import Button, PageView, Text, make_page


def trial_view(trial: TrialResult, told: StatedVerdict[TapeWorth], above: str) -> PageView:
    """The answer, how many pairs it rests on, and what it is not."""
    found = trial.estimate
    return make_page(
        "trial_answer",
        phrase("What your tape trial says"),
        Text(own_words_of(trial, told), "strong"),
        Text(
            phrase(
                "{n} of {all} pairs counted. In {lower} the pain was lower with tape.",
                n=found.pairs,
                all=trial.design.pairs,
                lower=found.favouring,
            )
        ),
        Text(phrase("You knew when you wore tape. What you hoped may have gone in.")),
        Text(phrase("Ask your clinic what it means for your plan. The numbers go to them.")),
        main=Button(phrase("To the front page")),
        above=above,
    )
