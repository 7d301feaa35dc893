"""Every name of a walk has its kind, and no other."""

from typing import get_args

from companion.services.walk_kinds import WALK_KINDS
from companion.services.walks import WalkName


def test_each_name_has_one_kind_that_bears_it() -> None:
    assert set(WALK_KINDS) == set(get_args(WalkName))
    assert all(kind.name == name for name, kind in WALK_KINDS.items())
