"""What the view of every walk's page has in common; `walk_pages` has them all."""

from dataclasses import dataclass, replace
from datetime import datetime
from functools import singledispatch
from typing import Literal

from companion.care.catalogue import Catalogue, EasierForm, Step
from companion.care.flow import Page
from companion.care.records import Plan, Side
from companion.presentation.language.phrases import phrase
from companion.presentation.language.words import knee
from companion.presentation.view.page import Block, Button, PageView


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """What the words of a page depend on besides the page: plan, knee, content, who reads."""

    plan: Plan
    side: Side
    catalogue: Catalogue
    helping: bool = False
    past: bool = False
    """Whether the page is for a day that is over."""
    now: datetime | None = None
    """The person's clock: which number answers at this hour. None where no hour is known."""
    about: str | None = None
    """What stands above the headings of a walk that is about more or less than one knee."""

    @property
    def seen_by(self) -> Literal["own", "helper"]:
        """Whose eyes the pictures are drawn for."""
        return "helper" if self.helping else "own"

    def told(self, step: Step | EasierForm) -> str:
        """A step in the words for whoever reads it."""
        return step.helper if self.helping else step.person


@singledispatch
def view_of(page: object, setting: Setting) -> PageView:
    """The view of one kind of page, registered by its class."""
    raise TypeError(f"no view for {page!r}")


def page_view(page: Page, setting: Setting) -> PageView:
    """What a page of a walk shows. A page that says its own place in the walk keeps that."""
    view = view_of(page, setting)
    mark = phrase("Practice plan: not for a real knee") if setting.plan.practice else ""
    return replace(view, above=view.above or setting.about or knee(setting.side), mark=mark)


def next_page(key: str, heading: str, *blocks: Block, main: str = "Next") -> PageView:
    """A page whose main button goes on."""
    return PageView(key=key, heading=heading, blocks=blocks, main=Button(phrase(main)))
