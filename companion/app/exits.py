"""How a command ends: its exit code, or one plain sentence why it could not."""

DONE, REFUSED, USAGE, MACHINE = 0, 1, 2, 3


class Refused(Exception):
    """What was asked cannot be done with what was given; one plain sentence."""


class MachineFails(Exception):
    """The machine cannot do it; one plain sentence."""
