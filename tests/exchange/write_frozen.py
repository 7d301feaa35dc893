"""Write the frozen file of the newest version: `python -m tests.exchange.write_frozen`.

To be run once, when a version is handed out for the first time; never again for that version.
"""

from pathlib import Path

from companion.exchange.files import VERSIONS, plan_bytes, write_diary
from tests.exchange.made import full_diary, full_plan

if __name__ == "__main__":
    folder = Path(__file__).parent / "frozen"
    (folder / f"plan-{VERSIONS['plan']}.homeknee").write_bytes(plan_bytes(full_plan()))
    write_diary(folder / f"diary-{VERSIONS['diary']}.homeknee", full_diary())
