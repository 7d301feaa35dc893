"""Files that go from hand to hand: plan and diary, described in FORMAT.md."""
