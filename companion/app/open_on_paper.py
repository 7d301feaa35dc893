"""The warnings open in a diary that is at hand as a file, for the head of each paper for home."""

from __future__ import annotations

from datetime import date

from companion.care.catalogue import Catalogue
from companion.care.records import Diary, Plan
from companion.presentation.papers.still_open import StillOpen, open_to_print
from companion.services.open_on_paper import open_in


def still_open_in(diary: Diary | None, plan: Plan, catalogue: Catalogue, today: date) -> StillOpen:
    """None without a diary: a plan alone knows of no warning."""
    if diary is None:
        return ()
    entries, calls = open_in(diary, plan, catalogue.policy, today)
    return open_to_print(plan, catalogue, entries, calls)
