"""A table of paper, typed by hand, read back as findings worked by hand."""

import io

from companion.care.records import Diary
from companion.exchange.table import read_table
from tests.builders import at, plan
from tests.found import findings

HEADER = (
    "day,pain_average,before,after_hands,after_tape,tape_stage,tape_worn,steps_done,"
    "exercise_done,skin,activity:rowing"
)


def paper() -> bytes:
    """Four weeks: pain 6 then 4 each day but day 10, and a fortnight of sessions.

    Days 1 to 7 (2 to 8 March): 8 to 4, hands alone. Days 8 to 10: 8, 6, with side strips 5, worn,
    itchy on the last. Days 15 to 18: steps without scores. Exercise on days 1 to 14.
    """
    out = io.StringIO()
    out.write(HEADER + "\r\n")
    for number in range(1, 29):
        pain = "" if number == 10 else "6" if number <= 14 else "4"
        moves = "8,4,,," if number <= 7 else "8,6,5,1,1" if number <= 10 else ",,,,"
        steps = "1" if 15 <= number <= 18 else ""
        exercise = "1" if number <= 14 else ""
        skin = "itchy" if number == 10 else ""
        rowing = "3" if number <= 14 else "6"
        cells = [f"2026-03-{number + 1:02d}", pain, moves, steps, exercise, skin, rowing]
        out.write(",".join(cells) + "\r\n")
    return out.getvalue().encode()


def test_a_month_of_paper() -> None:
    prescribed = plan(hands_days_a_week=7, exercise_days_a_week=3, activities=("rowing",))
    reading = read_table(paper(), prescribed, at(60))
    assert reading.faults == ()
    found = findings(Diary(plans=(prescribed,), entries=reading.entries))
    assert (found.period.days, found.diary.days_kept, found.diary.late_entries) == (28, 27, 0)
    assert found.diary.longest_gap_days == 1
    # 28 days less three taped, seven a week; ten days with scores after hands, four with steps.
    assert (found.routine.sessions_prescribed, found.routine.sessions_done) == (25, 14)
    assert found.routine.done_percent == 56
    assert found.exercise.sessions_done == 14
    assert (found.pain.baseline.days, found.pain.baseline.mean) == (13, 6)
    assert (found.pain.latest.days, found.pain.latest.mean) == (14, 4)
    assert (found.pain.change_points, found.pain.band) == (-2, "clear_better")
    # Seven at half exactly; three at 37.5 %.
    assert (found.ease.sessions, found.ease.sessions_scored, found.ease.met) == (10, 10, 7)
    assert (found.ease.met_percent, found.ease.median_percent) == (70, 50)
    assert found.ease.by_stage == {"0": 7, "1": 3, "2": 0}
    assert (found.tape.applications, found.tape.days_worn) == (1, 3)
    assert [(item.skin, item.source) for item in found.tape.skin_events] == [("itchy", "day_page")]
    (rowing,) = found.activities
    assert (rowing.baseline, rowing.latest, rowing.change) == (3, 6, 3)
    assert rowing.beyond_measurement_error is True
