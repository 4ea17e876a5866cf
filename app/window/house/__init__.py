"""The window around the places: office, runner, shell, leaf, opening."""
