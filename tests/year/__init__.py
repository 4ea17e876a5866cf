"""A year of days lived twice, by the keys of the window and by commands: it is the same book."""
