"""What every action is given: the open book, its settings, the open day, what was typed, where papers go. Uses no other room."""
