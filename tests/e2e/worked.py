"""A page that another process answers over the accessibility bus: `python -m tests.e2e.worked`.

Prints "there" once it is shown, and what was answered once it is done.
"""

from __future__ import annotations

import json
import sys

from PySide6.QtWidgets import QApplication

from companion.presentation.view.page import Button, Choose, Number, Option, PageView, Tick
from companion.presentation.view.page import Text as Words
from companion.ui.kit.asking import AskingPage
from companion.ui.kit.presses import Presses, use_presses
from companion.ui.kit.theme import Theme, apply
from companion.ui.kit.window import PageWindow

PAGE = PageView(
    "asked",
    "How was today?",
    (
        Words("Today, from getting up."),
        Choose("stairs", "Stairs?", (Option("easy", "Easy"), Option("hard", "Hard"))),
        Tick("done", "What did you do?", (Option("walk", "A walk"), Option("shop", "Shopping"))),
        Number("minutes", "Minutes on your feet", "min", 0, 900),
    ),
    Button("Next"),
)


def main() -> int:
    """Show the page until it is answered."""
    application = QApplication(["worked"])
    apply(application, Theme())
    use_presses(Presses(0))
    window = PageWindow("Home knee companion")
    page = AskingPage(PAGE)

    def answered(answers: object) -> None:
        print(json.dumps(answers), flush=True)
        application.quit()

    page.submitted.connect(answered)
    window.show_page(page)
    window.show()
    window.activateWindow()
    print("there", flush=True)
    return application.exec()


if __name__ == "__main__":
    sys.exit(main())
