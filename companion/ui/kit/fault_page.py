"""The page a person sees when the program itself is at fault."""

from __future__ import annotations

from companion.presentation.language.phrases import phrase
from companion.ui.kit.controls import Notice
from companion.ui.kit.page import Page
from companion.ui.kit.text import Paragraph


class FaultPage(Page):
    """Says plainly that something went wrong, what was kept, and what to do now."""

    def __init__(self) -> None:
        super().__init__(phrase("Something went wrong"), back=False, stop=False)
        self.add(Paragraph(phrase("This is a fault in the program, not something you did.")), 8)
        self.add(Notice(phrase("Everything you had written down is kept.")))
        self.add(
            Paragraph(
                phrase(
                    "Go back to the front page. If it happens again, close the program and open "
                    "it again."
                )
            )
        )
        self.main_button(phrase("Go to the front page"))
