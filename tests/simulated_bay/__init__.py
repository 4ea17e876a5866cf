"""A made-up shop that books by the plan for a year: are its promises kept as often as it said?"""
