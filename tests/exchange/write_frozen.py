"""Write the frozen file of the newest version: `python -m tests.exchange.write_frozen`.

To be run once, when a version is handed out for the first time; never again for that version.
"""

from pathlib import Path

from companion.exchange.files import VERSIONS, write_diary, write_plan
from tests.exchange.made import full_diary, full_plan

if __name__ == "__main__":
    folder = Path(__file__).parent / "frozen"
    write_plan(folder / f"plan-{VERSIONS['plan']}.homeknee", full_plan())
    write_diary(folder / f"diary-{VERSIONS['diary']}.homeknee", full_diary())
