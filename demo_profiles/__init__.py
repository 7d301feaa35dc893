"""Four invented people of Pellan Harbour, and the seeded generator that writes their files.

A person is a folder with `plan.homeknee`, `diary.homeknee` and `story.txt` (one line). Nobody here
lives, and nothing was taken from anybody's record.
"""
