"""What the view of every walk's page has in common; `walk_pages` has them all."""

from dataclasses import dataclass, replace
from datetime import date, datetime
from functools import singledispatch
from typing import Literal

from companion.care.catalogue import Catalogue, Step, ToldToEach
from companion.care.flow import WalkPage, knee_of
from companion.care.records import Plan, Side
from companion.presentation.home.second_voice import for_helper, may_help
from companion.presentation.language.code_table import inside
from companion.presentation.language.phrases import long_day, phrase
from companion.presentation.language.words import knee, pain_ends
from companion.presentation.view.page import PageView, Scale


@dataclass(frozen=True, slots=True, kw_only=True)
class ViewContext:
    """What the words of a page depend on besides the page: plan, knee, content, who reads."""

    plan: Plan
    side: Side
    catalogue: Catalogue
    helping: bool = False
    day: date | None = None
    """The day that is told of, where it is over; None: the page is about today."""
    now: datetime | None = None
    """The person's clock: which number answers at this hour. None where no hour is known."""
    about: str | None = None
    """What stands above the headings of a walk that is about more or less than one knee."""
    passed: tuple[WalkPage, ...] = ()
    """The pages that were answered so far, in order."""
    fixed: tuple[str, ...] = ()
    """Those of them, by key, that are on disk for good."""

    def asked(self, today: str, then: str) -> str:
        """A question with the day it is about: as it is asked `today`, or of a day that is over,
        when nobody can say any more how it is now."""
        if self.day is None:
            return today
        return phrase("{when}: {question}", when=self.when(), question=inside(then))

    def when(self) -> str:
        """The day that is told of, as a sentence begins: `On Sunday 27 September`."""
        assert self.day is not None
        return phrase("On {day}", day=long_day(self.day))

    @property
    def seen_by(self) -> Literal["own", "helper"]:
        """Whose eyes the pictures are drawn for."""
        return "helper" if self.helping else "own"

    def door(self, kind: type[object], nth: int = -1, *, key: str = "") -> str:
        """The key of the `nth` page of a kind that was answered, for a line that leads back to it;
        "" where there is none, or where it cannot be changed. Of pages of one kind that differ by
        their key, that with `key`."""
        found = [page.key for page in self.passed if isinstance(page, kind)]
        found = [one for one in found if key in ("", one)]
        if not -len(found) <= nth < len(found) or found[nth] in self.fixed:
            return ""
        return found[nth]

    def told(self, step: Step | ToldToEach) -> str:
        """A step in the words for whoever reads it."""
        return step.helper if self.helping else step.person


@singledispatch
def view_of(page: object, setting: ViewContext) -> PageView:
    """The view of one kind of page, registered by its class."""
    raise TypeError(f"no view for {page!r}")


def page_view(page: WalkPage, setting: ViewContext) -> PageView:
    """What a page of a walk shows. A page that says its own place in the walk keeps that; one of a
    walk of both knees says of which it is."""
    side = knee_of(page)
    if side is not None:
        own, told = knee(side), setting.about
        about = own if told is None else phrase("{knee} · {about}", knee=own, about=told)
        setting = replace(setting, side=side, about=about)
    elif page.key.startswith("both:"):
        setting = replace(setting, about=phrase("Both knees"))
    return in_walk(view_of(page, setting), setting)


def in_walk(view: PageView, setting: ViewContext) -> PageView:
    """A page under what stands above every page of its walk."""
    mark = phrase("Practice plan: not for a real knee") if setting.plan.practice else ""
    view = replace(view, above=view.above or setting.about or knee(setting.side), mark=mark)
    if setting.helping:
        return for_helper(view)
    return may_help(view) if setting.plan.helper_days else view


def of_both(setting: ViewContext) -> str:
    """What stands above a page about a warning sign inside the walk of one of two knees: that
    knee's name would answer for the person which one it is. "" where the walk says it itself."""
    both = setting.about is None and len(setting.plan.sides) > 1
    return phrase("Both knees") if both else ""


def pain_scale(name: str, question: str, *, cannot_say: str = "") -> Scale:
    """A scale of pain, with the end words that every one has."""
    low, high = pain_ends()
    return Scale(name, question, low, high, cannot_say=cannot_say)
