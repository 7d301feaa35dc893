"""Write the frozen file of the newest version: `python -m tests.exchange.write_frozen`.

To be run once, when a version is handed out for the first time; never again for that version.
"""

from pathlib import Path

from companion.exchange.files import VERSIONS, plan_bytes, write_diary
from tests.exchange.made import fifth_full_plan, seventh_full_diary

if __name__ == "__main__":
    folder = Path(__file__).parent / "frozen"
    plan = folder / f"plan-{VERSIONS['plan']}.homeknee"
    if not plan.exists():
        plan.write_bytes(plan_bytes(fifth_full_plan()))
    diary = folder / f"diary-{VERSIONS['diary']}.homeknee"
    if not diary.exists():
        write_diary(diary, seventh_full_diary())
