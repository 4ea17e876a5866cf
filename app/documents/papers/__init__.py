"""Papers that go out: letters, labels, order sheets, calendars, mail."""
