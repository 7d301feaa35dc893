"""The clock of a step: one Start, and it counts by itself; its button says what it does."""

from __future__ import annotations

from PySide6.QtCore import Qt

from companion.care.counting import exercise_beats, length, technique_beats
from companion.care.records import Exercise, Technique
from companion.presentation.view.page import Button, Counting, PageView
from companion.ui.kit.asking import AskingPage
from companion.ui.kit.count_bar import CountBar
from companion.ui.kit.step_clock import StepClock
from companion.ui.kit.text import WrappedText
from companion.ui.kit.window import PageWindow
from tests.ui.kit.gallery import settle
from tests.ui.kit.test_controls import press

BEATS = technique_beats(Technique(technique="glide_inner", seconds=30, repeats=2))


def _page(window: PageWindow) -> tuple[AskingPage, StepClock, list[float], list[object]]:
    view = PageView(
        key="step",
        heading="Stroke the thigh",
        blocks=(Counting(BEATS, "Start"),),
        main=Button("Step done", (("outcome", "done"),)),
        others=(Button("Already done", (("outcome", "done"),), asks=False),),
    )
    page = AskingPage(view)
    window.show_page(page)
    settle()
    clock = page.findChild(StepClock)
    assert isinstance(clock, StepClock)
    now = [100.0]
    given: list[object] = []
    clock._clock = lambda: now[0]
    page.submitted.connect(given.append)
    return page, clock, now, given


def _words(clock: StepClock) -> str:
    words = (one.text() for one in clock.findChildren(WrappedText))
    count = clock.findChildren(CountBar)[0].text()
    return " | ".join(filter(None, (count, *words)))


def test_it_counts_holds_and_rests_and_only_then_is_the_step_done(window: PageWindow) -> None:
    page, clock, now, given = _page(window)
    told: list[str] = []
    clock.told.connect(told.append)
    main = page.main
    assert main is not None
    assert (main.word, _words(clock)) == ("Start", "30 | 30 seconds, 2 times")
    main.click()
    assert (main.word, _words(clock), given) == ("Pause", "5 | Get ready", [])
    for passed, words in (
        (5, "30 | 1 of 2"),
        (16, "19 | 1 of 2"),
        (20, "15 | 1 of 2"),
        (26, "9 | 1 of 2"),
        (35, "5 | Rest, then 2 of 2"),
        (41, "29 | 2 of 2"),
    ):
        now[0] = 100 + passed
        clock.tick()
        assert _words(clock) == words
    now[0] = 171.0
    clock.tick()
    assert (main.word, given) == ("Step done", [])
    counted = ["Get ready", "1 of 2", "10", "Half", "20", "Rest, then 2 of 2", "2 of 2", "Done"]
    assert told == counted
    main.click()
    assert given == [{"seconds": 60, "counted": 2, "outcome": "done"}]


def test_a_pause_stops_it_and_what_was_held_is_told_with_any_way_on(window: PageWindow) -> None:
    page, clock, now, given = _page(window)
    main = page.main
    assert main is not None
    main.click()
    now[0] = 117.0
    main.click()
    assert (main.word, clock.is_running()) == ("Go on", False)
    now[0] = 500.0
    clock.tick()
    assert clock.so_far()[0].seconds == 12
    main.click()
    now[0] = 503.0
    clock.tick()
    assert clock.so_far()[0].seconds == 15
    page.answer_now(page.view.others[0])
    assert given == [{"seconds": 15, "counted": 0, "outcome": "done"}]


def test_the_largest_key_begins_pauses_and_goes_on_from_anywhere(window: PageWindow) -> None:
    """Both hands are oiled and on the knee: an elbow finds Space."""
    page, clock, now, given = _page(window)
    assert page.reads_itself
    assert page.heading.hasFocus()
    press(Qt.Key.Key_Space)
    assert clock.is_running()
    now[0] = 171.0
    clock.tick()
    assert given == [], "the end of the count moves nothing on"
    press(Qt.Key.Key_Space)
    assert given == [{"seconds": 60, "counted": 2, "outcome": "done"}]


def test_nobody_counts_for_a_page_that_is_away(window: PageWindow) -> None:
    page, clock, now, _ = _page(window)
    clock.turn()
    now[0] = 110.0
    page.hide()
    now[0] = 400.0
    assert clock.so_far()[0].seconds == 5
    assert not clock.is_running()


def test_it_lights_up_no_more_than_three_times_in_any_second(window: PageWindow) -> None:
    """WCAG 2.2, 2.3.1, with the shortest holds and rests that can be written."""
    _, clock, now, _ = _page(window)
    lit: list[float] = []
    clock.told.connect(lambda _: lit.append(now[0]))
    shortest = exercise_beats(Exercise(exercise="heel_slide", sets=2, repeats=5, hold_seconds=1), 0)
    clock._beats = shortest
    clock.turn()
    while clock.is_running():
        now[0] += 0.05
        clock.tick()
    assert now[0] >= 100 + length(shortest)
    assert len(lit) > 10
    assert max(sum(1 for one in lit if at <= one < at + 1) for at in lit) <= 3
