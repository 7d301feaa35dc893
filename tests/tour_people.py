"""Whose diaries the tours show: the demo people, and one that holds everything.

The last is no demo person: `homeknee demo` does not list it, and a newcomer never meets it.
"""

from companion.app.demo import people, read_diary
from companion.care.records import Diary
from companion.system.resources import demo_profiles
from tests.whole_diary import NAME, whole_diary


def tour_people() -> tuple[str, ...]:
    """Everybody a tour shows, by name."""
    return (*people(), NAME)


def diary_of(name: str) -> Diary:
    """The diary of one of them."""
    if name == NAME:
        return whole_diary()
    return read_diary(demo_profiles() / name / "diary.homeknee")
