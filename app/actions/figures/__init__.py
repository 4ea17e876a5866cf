"""Charts and their tables. Uses the day and everything below it."""
