"""The clinic's side: people, their diaries, and what each of them says."""
