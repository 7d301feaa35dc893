"""Every widget of the kit, painted to PNG files to be looked at.

`python -m tests.ui.kit.gallery DIR [PART]` writes one picture per page, size, text size and
palette; PART keeps to pages whose name holds it.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator
from datetime import date, timedelta
from pathlib import Path

from PySide6.QtCore import QEvent
from PySide6.QtWidgets import QApplication

from companion.presentation.language.phrases import short_day
from companion.presentation.view.chart import Chart, DaySpan, PlanLine
from companion.presentation.view.charts import SessionPair, pain_chart
from companion.presentation.view.charts import session_chart as drawn_sessions
from companion.presentation.view.page import PhoneLine
from companion.ui.kit.buttons import ActionRow, DoorButton, QuietButton
from companion.ui.kit.chart import ChartView
from companion.ui.kit.controls import (
    Bullets,
    Card,
    Choice,
    ChoiceList,
    HoldTimer,
    NoteField,
    Notice,
    NumberField,
    PainScale,
    Problem,
    Steps,
    SubHeading,
    TextField,
    TickList,
)
from companion.ui.kit.fault_page import FaultPage
from companion.ui.kit.page import Page
from companion.ui.kit.table import DataTable
from companion.ui.kit.text import Paragraph
from companion.ui.kit.theme import PALETTES, Theme, apply
from companion.ui.kit.tiles import Tiles
from companion.ui.kit.window import PageWindow

SIZES = ((1024, 600), (1366, 768))
PRACTICE = "Practice plan: not for a real knee"
CLINIC = PhoneLine("Harbour Street clinic", "0555 014 22", "weekdays 8 to 17")


FIRST = date(2026, 9, 14)


def day_chart(days: int = 70) -> Chart:
    """An invented record with gaps, taped days, a flare and a change of plan."""
    average: dict[date, float] = {}
    worst: dict[date, float] = {}
    now: dict[date, float] = {}
    for n in range(days):
        if n % 19 in (7, 8) or 30 <= n < 34:
            continue
        day = FIRST + timedelta(days=n)
        score = max(1, 6 - n // 18 + (n * 7 % 3) - 1 + (3 if 44 <= n < 48 else 0))
        average[day] = min(score, 10)
        worst[day] = min(score + 1 + n % 3, 10)
        if n % 5 == 0:
            now[day] = max(score - 1, 0)
    return pain_chart(
        "Right knee, 14 September to 22 November",
        DaySpan(FIRST, FIRST + timedelta(days=days - 1)),
        average=average,
        worst=worst,
        now=now,
        taped=[FIRST + timedelta(days=n) for n in range(16, days) if n % 9 < 3],
        medicine=[FIRST + timedelta(days=n) for n in (3, 4, 21, 45, 46)],
        plan_lines=(PlanLine(FIRST, "Plan 1"), PlanLine(FIRST + timedelta(days=28), "Plan 2")),
        flares=(DaySpan(FIRST + timedelta(days=44), FIRST + timedelta(days=47)),),
        description="Average pain went from 6 to 3 in ten weeks. 11 days are empty.",
    )


def empty_chart() -> Chart:
    """A week without a day page."""
    week = DaySpan(FIRST, FIRST + timedelta(days=6))
    return pain_chart("Right knee", week, average={}, worst={}, now={})


def session_chart() -> Chart:
    """An invented record of sessions."""
    pairs = [
        SessionPair(
            FIRST + timedelta(days=n),
            float(7 - n // 20),
            None if n == 12 else float(max(7 - n // 20 - n % 4, 0)),
            n // 2 % 3,
        )
        for n in range(0, 70, 2)
        if n % 11
    ]
    return drawn_sessions(
        "Before and after each session",
        DaySpan(FIRST, FIRST + timedelta(days=69)),
        pairs,
        plan_lines=(PlanLine(FIRST + timedelta(days=28), "Plan 2"),),
        description="31 sessions.",
    )


def chart_page() -> Page:
    page = Page("My record", above="Right knee")
    page.first_focus = page.add(ChartView(day_chart()), 8)
    page.add(ChartView(session_chart()), 16)
    return page


def empty_chart_page() -> Page:
    page = Page("My record", above="Right knee")
    page.add(ChartView(empty_chart()), 8)
    return page


def long_chart_page() -> Page:
    page = Page("My record", above="Right knee")
    page.add(ChartView(day_chart(420)), 8)
    return page


def table_page() -> Page:
    page = Page("The same as a table", above="Right knee")
    rows: list[list[str | None]] = []
    for n in range(12):
        day = FIRST + timedelta(days=n)
        kept = n not in (4, 5)
        rows.append(
            [
                short_day(day),
                str(5 - n % 3) if kept else None,
                str(7 - n % 2) if kept else None,
                "yes" if n == 3 else None,
                "side strips" if n > 8 else None,
            ]
        )
    headers = ["Day", "Average", "Worst", "Extra medicine", "Tape"]
    table = page.add(DataTable("Pain by day", headers, rows), 8)
    page.first_focus = table.view
    return page


def fault_page() -> Page:
    return FaultPage()


def doors_page() -> Page:
    page = Page("Good morning", back=False, stop=True)
    page.add(Paragraph("Today: your knee routine, about 12 minutes."), 8)
    page.add(Paragraph("Your tape comes off this evening."), 0)
    doors = page.add(Tiles((2, 1)), 24)
    for word, line in (
        ("Today's routine", "Due today. About 12 minutes."),
        ("Going out", "Tape before something that matters."),
        ("Day page", "Two minutes, best in the evening."),
        ("Tape", "On since Tuesday 9:10. Off by 20:00."),
        ("My record", "Your pain and your days, as a picture."),
        ("Visit", "Next visit in 12 days."),
        ("Settings and help", "Text size, colours, numbers to call."),
    ):
        doors.add(DoorButton(word, line))
    return page


def scale_page() -> Page:
    page = Page("Score the move", above="Right knee", plan_mark=PRACTICE)
    page.add(Paragraph("Rise from the chair once, as you were shown. How much did it hurt?"), 8)
    page.add(Paragraph("0 is no pain. 10 is the worst possible pain."), 0)
    scale = page.add(
        PainScale(
            "How much did it hurt?",
            low="no pain",
            high="worst possible pain",
            cant_say="I cannot say",
        ),
        24,
    )
    scale.set_value(4)
    page.main_button("Next")
    page.first_focus = scale.boxes[6]
    return page


def empty_scale_page() -> Page:
    page = Page("Climbing the harbour steps")
    page.add(Paragraph("How well could you do this today?"), 8)
    page.add(PainScale("How well could you do this?", low="unable", high="as before"), 24)
    page.main_button("Next").setEnabled(False)
    return page


def choice_page() -> Page:
    page = Page("How is the skin under the tape?", above="Left knee")
    page.add(Paragraph("Look 30 minutes after the tape came off."), 8)
    choices = page.add(
        ChoiceList(
            "How is the skin?",
            [
                Choice("clear", "Clear", "Looks and feels like the skin beside it."),
                Choice("pink", "Pink, darker or warm", "It fades within 30 minutes."),
                Choice("red", "Still there after 30 minutes"),
                Choice("itchy", "Itchy"),
                Choice("blister", "A blister"),
                Choice("broken", "Torn or bruised"),
            ],
        ),
        16,
    )
    choices.set_value("pink")
    page.main_button("Write it down")
    page.first_focus = choices.rows[2]
    return page


def two_column_page() -> Page:
    page = Page("Where does it hurt?")
    page.add(Paragraph("Tick every place. None is an answer too."), 8)
    zones = page.add(
        TickList(
            "Where does it hurt?",
            [
                Choice(word, word)
                for word in (
                    "Hip side of the kneecap",
                    "Foot side of the kneecap",
                    "Inner edge",
                    "Outer edge",
                    "Behind the kneecap",
                    "Inner joint line",
                    "Outer joint line",
                    "Back of the knee",
                    "Elsewhere",
                )
            ],
            columns=2,
        ),
        16,
    )
    zones.set_values(["Inner edge"])
    page.main_button("Next")
    return page


def stop_page() -> Page:
    page = Page("Stop and check", stop=False, enter_presses_main=False)
    page.add(Paragraph("Tick everything that is so now, or new since last time."), 8)
    ticks = page.add(
        TickList(
            "Warning signs",
            [
                Choice(1, "Chest pain, or suddenly out of breath"),
                Choice(2, "One leg newly swollen, warm or throbbing", "On dark skin, feel for it."),
                Choice(3, "The knee is hot, swollen and hard to move"),
                Choice(4, "A fall or a twist in the last 7 days"),
                Choice(5, "A cut, blister or rash where hands or tape go"),
            ],
        ),
        16,
    )
    ticks.set_values([2])
    page.main_button("I have ticked all that is so")
    page.first_focus = ticks.rows[3]
    return page


def cards_page() -> Page:
    page = Page("What to do now", stop=False)
    page.add(
        Card(
            "emergency",
            "Call for an ambulance",
            ["Sit down. Do not drive yourself.", "Call now.", "Say: chest pain, knee treatment."],
            [PhoneLine("Emergency", "0555 000", "any time")],
        )
    )
    page.add(
        Card(
            "today",
            "Be seen by a doctor today",
            ["Rest the leg.", "Call the clinic and say what you ticked."],
            [CLINIC],
        ),
        6,
    )
    page.add(Card("call", "Call before your next session", ["No tape until then."], [CLINIC]), 6)
    page.add(Card("care", "Do seated steps only", ["Less next time.", "Stop if it grows."]), 6)
    page.main_button("I have read this")
    return page


def words_page() -> Page:
    page = Page("Before you begin", above="Right knee")
    page.offer_reading_aloud()
    page.add(Paragraph("Before 7, now 5. Your plan says: one more round.", strong=True), 8)
    page.add(Paragraph("Start at the inner edge, where it still hurts."), 0)
    page.add(SubHeading("What you need"), 24)
    page.add(Bullets(["A chair that does not roll.", "A towel.", "Ten minutes."]), 8)
    page.add(SubHeading("How to do it"), 24)
    page.add(
        Steps(
            [
                "Sit with the leg straight and the thigh slack, a rolled towel under the knee.",
                "Put both thumbs on the inner edge of the kneecap.",
                "Push slowly towards the other side. Hold. Let it come back.",
            ]
        ),
        8,
    )
    page.add(Notice("Stop this step if the pain rises above 5.", heading="Your plan says"), 16)
    page.add(Paragraph("Written down, Tuesday 19:42.", quiet=True), 16)
    page.add(ActionRow("Leave out this step", "It stays written as left out."), 16)
    page.main_button("Ready")
    return page


def hold_page() -> Page:
    now = [0.0]
    page = Page("Hold the stretch", above="Left knee")
    page.offer_reading_aloud()
    page.add(Paragraph("Hold gently. Breathe. Stop if it hurts more than 5."), 8)
    hold = page.add(HoldTimer(30, clock=lambda: now[0]), 16)
    hold.start()
    now[0] = 12.3
    hold.tick()
    hold.pause()
    page.add(QuietButton("It hurts too much"), 8)
    page.main_button("Next step")
    return page


def fields_page() -> Page:
    page = Page("Amounts")
    walk = page.add(NumberField("How far did you walk?", unit="metres", high=20000), 8)
    walk.set_value(450)
    stiff = page.add(
        NumberField(
            "How long was the knee stiff this morning?",
            unit="minutes",
            high=600,
            hint="0 if it was not stiff. Leave it empty if you do not know.",
        ),
        16,
    )
    stiff.show_problem("Write a number from 0 to 600.")
    name = page.add(TextField("What do you call this?", hint="One or two words."), 16)
    name.set_text("Harbour steps")
    page.add(NoteField("A note for yourself", hint="Kept private if you wish."), 16)
    page.add(Problem("This file is damaged. Nothing was taken in."), 16)
    page.main_button("Write it down")
    page.first_focus = walk
    return page


PAGES: dict[str, Callable[[], Page]] = {
    "doors": doors_page,
    "scale": scale_page,
    "scale_empty": empty_scale_page,
    "choice": choice_page,
    "zones": two_column_page,
    "stop": stop_page,
    "cards": cards_page,
    "words": words_page,
    "hold": hold_page,
    "fields": fields_page,
    "table": table_page,
    "fault": fault_page,
    "chart": chart_page,
    "chart_empty": empty_chart_page,
    "chart_long": long_chart_page,
}


def settle() -> None:
    """Let layouts, paints and deletions that are waiting happen."""
    for _ in range(4):
        QApplication.sendPostedEvents()
        QApplication.processEvents()
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)


def pictures(window: PageWindow, app: QApplication, part: str = "") -> Iterator[tuple[str, Page]]:
    """Show every page in every size, text size and palette; yields a name for each."""
    for name, build in PAGES.items():
        if part not in name:
            continue
        for size in SIZES:
            for percent in (100, 200):
                for palette in PALETTES.values():
                    if palette.name != "light" and (size != SIZES[0] or percent != 100):
                        continue
                    apply(app, Theme(palette, percent))
                    window.resize(*size)
                    page = build()
                    window.show_page(page)
                    settle()
                    label = f"{name}-{size[0]}x{size[1]}-{percent}-{palette.name}"
                    yield label, page


def main(folder: Path, part: str = "") -> None:
    """Write the pictures."""
    app = QApplication.instance()
    if not isinstance(app, QApplication):
        app = QApplication([])
    apply(app, Theme())
    folder.mkdir(parents=True, exist_ok=True)
    window = PageWindow("Kit")
    window.show()
    window.activateWindow()
    for label, _page in pictures(window, app, part):
        window.grab().save(str(folder / f"{label}.png"))
    window.close()


if __name__ == "__main__":
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    main(Path(sys.argv[1]), sys.argv[2] if len(sys.argv) > 2 else "")
