"""A walk over what a screen reader would be told, in this process.

The toolkit keeps what a widget was first taken for, so a test switches accessibility on before the
first widget is made (`switched_on`), as a running reader does.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

import pytest
from PySide6.QtGui import QAccessible, QAccessibleAnnouncementEvent, QAccessibleInterface
from PySide6.QtWidgets import QWidget

from companion.ui.kit import accessible
from companion.ui.kit.page import Page

Role = QAccessible.Role

INTERACTIVE = {
    Role.Button,
    Role.RadioButton,
    Role.CheckBox,
    Role.EditableText,
    Role.ComboBox,
    Role.SpinBox,
    Role.Slider,
    Role.Link,
    Role.PageTab,
    Role.MenuItem,
}
WORDS = {Role.StaticText, Role.ListItem, Role.Heading, Role.AlertMessage}
NAMED_GROUPS = {Role.Grouping, Role.Heading, Role.Graphic, Role.Chart, Role.Table, Role.Pane}


@dataclass(frozen=True)
class Seen:
    """One thing in the tree, as told to a screen reader."""

    role: QAccessible.Role
    name: str
    description: str
    focusable: bool
    focused: bool
    checked: bool
    depth: int


def walk(widget: QWidget) -> list[Seen]:
    """Everything in sight under the widget, in the order of the tree."""
    interface = QAccessible.queryAccessibleInterface(widget)
    assert interface is not None
    return list(_walk(interface, 0))


def interfaces(widget: QWidget) -> Iterator[QAccessibleInterface]:
    """Everything that can be asked of under the widget."""
    interface = QAccessible.queryAccessibleInterface(widget)
    assert interface is not None
    yield interface
    for child in widget.children():
        if isinstance(child, QWidget):
            yield from interfaces(child)


def _walk(interface: QAccessibleInterface, depth: int) -> Iterator[Seen]:
    state = interface.state()
    if state.invisible:
        return
    yield Seen(
        interface.role(),
        interface.text(QAccessible.Text.Name),
        interface.text(QAccessible.Text.Description),
        bool(state.focusable),
        bool(state.focused),
        bool(state.checked),
        depth,
    )
    for place in range(interface.childCount()):
        child = interface.child(place)
        if child.isValid():
            yield from _walk(child, depth + 1)


@dataclass
class Said:
    """One announcement."""

    words: str
    at_once: bool = False


def listening(monkeypatch: pytest.MonkeyPatch) -> list[Said]:
    """What is announced from now on, in a list that grows."""
    heard: list[Said] = []

    class Heard(QAccessibleAnnouncementEvent):
        def __init__(self, thing: QWidget, words: str) -> None:
            super().__init__(thing, words)
            heard.append(Said(words))

        def setPoliteness(self, how: QAccessible.AnnouncementPoliteness) -> None:
            heard[-1].at_once = how is QAccessible.AnnouncementPoliteness.Assertive
            super().setPoliteness(how)

    monkeypatch.setattr(accessible, "QAccessibleAnnouncementEvent", Heard)
    return heard


@contextmanager
def switched_on() -> Iterator[None]:
    """As it is while a screen reader runs."""
    was = QAccessible.isActive()
    QAccessible.setActive(True)
    yield
    QAccessible.setActive(was)


def page_faults(page: Page) -> list[str]:
    """What is wrong with how a page is told: its headings and their levels, words that are empty or
    said twice, items outside a list, answers outside a named group."""
    told = walk(page)
    found = faults(page)
    headings = [seen for seen in told if seen.role is Role.Heading]
    if not headings or headings[0].name != page.heading_text():
        found.append(f"the first heading is {headings[:1]}, not {page.heading_text()!r}")
    levels = [seen.description for seen in headings]
    if levels[:1] != ["level 1"] or set(levels[1:]) - {"level 2"}:
        found.append(f"headings are of {levels}")
    above: list[Seen] = []
    before = None
    for seen in told:
        above[seen.depth :] = [seen]
        parent = next((one for one in reversed(above[:-1]) if one.role is not Role.Client), None)
        if seen.role in WORDS and not seen.name.strip():
            found.append(f"an empty {seen.role.name}")
        if seen.role is Role.ListItem and (parent is None or parent.role is not Role.List):
            found.append(f'"{seen.name}" is an item of no list')
        if parent is not None and parent.role is Role.List and seen.role is not Role.ListItem:
            found.append(f'"{seen.name}" in a list is a {seen.role.name}')
        if seen.role is Role.RadioButton and not (
            parent is not None and parent.role is Role.Grouping and parent.name
        ):
            found.append(f'the answer "{seen.name}" belongs to no question')
        if before is not None and {seen.role, before.role} <= WORDS:
            again = seen.name == before.name or seen.name.startswith(f"{before.name}: ")
            found += [f'"{before.name}" is said twice'] if again else []
        if seen.role is not Role.Client:
            before = seen
    return found


def faults(widget: QWidget) -> list[str]:
    """What is wrong: controls without a name, focusable things without a role."""
    found = []
    above: list[QAccessible.Role] = []
    for seen in walk(widget):
        above[seen.depth :] = [seen.role]
        # The toolkit's tables have a corner between their headers that holds nothing.
        if seen.role is Role.Pane and Role.Table in above:
            continue
        if seen.role in INTERACTIVE | NAMED_GROUPS and not seen.name.strip():
            found.append(f"{seen.role.name} without a name")
        if seen.focusable and seen.role in (Role.Client, Role.Window, Role.NoRole):
            found.append(f'focusable "{seen.name}" is only a {seen.role.name}')
    return found
