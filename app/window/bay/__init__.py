"""The plan: bays, days and jobs as bars, moved by hand; and the days that fit a new job."""
