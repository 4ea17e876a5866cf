"""What every action is given: the open book, settings, the open day, what was typed, papers.

Uses no other room.
"""
