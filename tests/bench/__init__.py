"""Measures of speed and memory, as ratios within one run; no tests, since machines differ."""
