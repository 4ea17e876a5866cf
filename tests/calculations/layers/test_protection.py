"""Facts of the classes of protection. Every one of them: common practice, no source.

Months and weeks are made into days by dateutil's calendar.
"""

from __future__ import annotations

from datetime import date

import pytest
from dateutil.relativedelta import relativedelta

from app.calculations.layers.protection import (
    CERAMICS,
    CLASSES,
    PAINT,
    ProtectionClass,
    Reminding,
    SurfaceGroup,
    wear,
)


def test_every_class_has_its_facts():
    assert set(CLASSES) == set(ProtectionClass)


@pytest.mark.parametrize("kind", ProtectionClass)
def test_ranges_and_waits_run_from_the_shorter_to_the_longer(kind):
    facts = CLASSES[kind]
    assert 0 < facts.low_days < facts.high_days
    assert facts.next_layer_hours[0] <= facts.next_layer_hours[1]
    assert facts.first_water_hours[0] <= facts.first_water_hours[1]
    assert facts.groups


def test_a_carnauba_topper_lasts_one_to_three_months():
    facts = CLASSES[ProtectionClass.CARNAUBA_WAX]
    assert facts.low_days <= 30
    assert 90 <= facts.high_days <= 125


def test_a_sealant_on_a_vehicle_that_is_not_driven_daily_lasts_about_a_year():
    assert CLASSES[ProtectionClass.SYNTHETIC_SEALANT].high_days == pytest.approx(365, abs=15)


def test_a_sealant_waits_twelve_hours_or_more_before_wax():
    assert CLASSES[ProtectionClass.SYNTHETIC_SEALANT].next_layer_hours[0] >= 12


def test_ceramics_last_the_longer_the_more_years_they_carry_and_cure_a_week_or_two():
    ceramics = [kind for kind in ProtectionClass if kind in CERAMICS]
    lives = [CLASSES[kind].middle_days for kind in ceramics]
    assert lives == sorted(lives)
    assert [CLASSES[kind].cure_days for kind in ceramics] == [7, 7, 7, 14]
    assert all(CLASSES[kind].groups >= PAINT for kind in ceramics)


@pytest.mark.parametrize("kind", sorted(CERAMICS))
def test_the_days_without_a_wash_said_at_the_hand_over_are_those_of_the_cure(kind):
    facts = CLASSES[kind]
    assert facts.hand_over.endswith(f"no wash for {facts.cure_days} days")


P = ProtectionClass


@pytest.mark.parametrize(
    ("kind", "low", "high"),
    [
        (P.CARNAUBA_WAX, {"weeks": 3}, {"months": 4}),
        (P.SYNTHETIC_SEALANT, {"months": 3}, {"months": 12}),
        (P.SPRAY_SEALANT, {"months": 1}, {"months": 6}),
        (P.CERAMIC_1_YEAR, {"months": 6}, {"months": 18}),
        (P.CERAMIC_2_YEAR, {"months": 12}, {"months": 30}),
        (P.CERAMIC_3_YEAR, {"months": 20}, {"months": 42}),
        (P.CERAMIC_5_YEAR, {"months": 30}, {"months": 60}),
        (P.GLASS_COATING, {"months": 6}, {"months": 18}),
        (P.WHEEL_COATING, {"months": 6}, {"months": 24}),
        (P.TRIM_COATING, {"months": 6}, {"months": 24}),
        (P.LEATHER_PROTECTANT, {"months": 1}, {"months": 6}),
        (P.FABRIC_PROTECTOR, {"months": 4}, {"months": 12}),
        (P.TIRE_DRESSING, {"weeks": 1}, {"weeks": 5}),
    ],
)
def test_lives_in_days_are_those_in_months_of_the_trade(kind, low, high):
    """A month is 28 to 31 days, so two days to either side and a day a year."""
    start = date(2026, 1, 1)
    for days, span in ((CLASSES[kind].low_days, low), (CLASSES[kind].high_days, high)):
        calendar = (start + relativedelta(**span) - start).days
        assert days == pytest.approx(calendar, abs=3)


def test_the_middle_of_a_range_lies_in_its_middle():
    assert CLASSES[P.SYNTHETIC_SEALANT].middle_days == (90 + 365) / 2


def test_a_tire_dressing_is_never_a_reason_to_write_and_glass_never_alone():
    assert CLASSES[ProtectionClass.TIRE_DRESSING].reminding is Reminding.NEVER
    assert CLASSES[ProtectionClass.TRIM_COATING].reminding is Reminding.NEVER
    assert CLASSES[ProtectionClass.GLASS_COATING].reminding is Reminding.ALONGSIDE


def test_the_glass_under_the_wipers_wears_first():
    # 2 to 8 months on the front glass against 6 to 18 on the other.
    assert wear(SurfaceGroup.FRONT_GLASS) == pytest.approx((2 + 8) / (6 + 18), abs=0.01)
    assert wear(SurfaceGroup.UPPER_SIDES) == 1.0
    assert wear(SurfaceGroup.LOWERS) < wear(SurfaceGroup.UPPER_HORIZONTALS) < 1.0
