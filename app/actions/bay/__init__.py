"""Bay time: the plan of the open jobs, what keeps a promise, the earliest day."""
