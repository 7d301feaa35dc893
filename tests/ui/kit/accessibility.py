"""A walk over what a screen reader would be told, in this process."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from PySide6.QtGui import QAccessible, QAccessibleInterface
from PySide6.QtWidgets import QWidget

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
