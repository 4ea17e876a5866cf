"""Worlds that the renewal rule was not made in, for its bars against the ideal Bayesian.

Their labels run as those of the book's classes do and are meant for a middling exposure; vehicles
stand and are washed as the book's own scale has it; half of the worlds see vehicles in spring and
autumn only. Supplies stray from their labels and shapes range otherwise than in `WORLDS`.
"""

from __future__ import annotations

from dataclasses import replace

from tests.simulated_world.world import Plan

# Products of the book's factors for where a vehicle stands, how it is washed and what is around.
STANDINGS = (1.1, 1.0, 0.9, 0.8, 0.75, 0.72, 0.68, 0.64, 0.6, 0.56, 0.51, 0.48, 0.42)
CLASSES = (
    ("carnauba", 28.0, 95.0),
    ("spray wax", 45.0, 130.0),
    ("sealant", 150.0, 330.0),
    ("sealant, long", 200.0, 420.0),
    ("coating", 330.0, 800.0),
)
OURS = Plan(
    "other shops, 150 vehicles",
    classes=CLASSES,
    vehicles_a_supply=150,
    days_between_visits=95.0,
    days=1000.0,
    deviation=0.35,
    shapes=(2.0, 6.0),
    standings=STANDINGS,
    at_factor=0.75,
)
SMALL = replace(OURS, name="other shops, 40 vehicles", vehicles_a_supply=40)
BETTER = {"reformulated_days_ago": 365.0, "days": 1460.0}
OTHER_WORLDS = (
    OURS,
    SMALL,
    replace(OURS, name="in spring and autumn, 150 vehicles", seasons=True),
    replace(SMALL, name="in spring and autumn, 40 vehicles", seasons=True),
    replace(OURS, name="one judgement in ten wrong, 150 vehicles", wrong=0.1),
    replace(SMALL, name="one judgement in ten wrong, 40 vehicles", wrong=0.1),
    replace(
        OURS,
        name="reformulated a year ago, 150 vehicles",
        supplies_a_class=2,
        reformulated_days_ago=365.0,
    ),
    replace(OURS, name="three in ten vehicles sold, 150 vehicles", sold=0.3),
    replace(SMALL, name="three in ten vehicles sold, 40 vehicles", sold=0.3),
    replace(OURS, name="standing matters half as much, 150 vehicles", strength=0.5),
    replace(OURS, name="one supply lasts twice as long since a year", **BETTER, became=2.0),
    replace(OURS, name="one supply lasts a third longer since a year", **BETTER, became=1.35),
    replace(
        OURS,
        name="most visits because it failed, 150 vehicles",
        prompted_days=20.0,
        days_between_visits=400.0,
    ),
    replace(
        SMALL,
        name="most visits because it failed, 40 vehicles",
        prompted_days=20.0,
        days_between_visits=400.0,
    ),
    replace(OURS, name="gone always written, holding one in five", holding_written=0.2),
)
