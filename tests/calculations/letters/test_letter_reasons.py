"""The sentence for the owner to read before anything is sent."""

from __future__ import annotations

from datetime import date

from app.calculations.layers.layers import Verdict
from app.calculations.layers.protection import ProtectionClass, SurfaceGroup
from app.calculations.letters.letter_reasons import reason_for
from app.calculations.letters.renewals import Due, WearingLayer


def layer(number, kind, group=SurfaceGroup.UPPER_SIDES, **more):
    one = WearingLayer(
        household="Quell",
        customer=1,
        vehicle=more.pop("vehicle", 1),
        layer=number,
        supply=number,
        protection_class=kind,
        group=group,
        applied=date(2026, 1, 24),
        exposure=0.684,
        vehicle_title=more.pop("title", "blue hatchback"),
        **more,
    )
    return Due(one, date(2026, 7, 1), date(2026, 8, 17), date(2026, 8, 12), 0.55)


def test_a_layer_never_seen_again_is_told_by_the_day_it_went_on():
    assert reason_for([layer(1, ProtectionClass.CARNAUBA_WAX)]) == (
        "Carnauba wax on upper sides of the blue hatchback, put on 24 January 2026 and not seen "
        "since, best seen again by 17 August 2026."
    )


def test_a_layer_seen_gone_is_told_as_that():
    gone = layer(1, ProtectionClass.CARNAUBA_WAX, judged=date(2026, 8, 3), verdict=Verdict.GONE)
    assert reason_for([gone]) == (
        "Carnauba wax on upper sides of the blue hatchback, judged gone on 3 August 2026."
    )


def test_three_groups_of_a_layer_are_told_in_one_breath():
    seen = {"judged": date(2026, 5, 3), "verdict": Verdict.HOLDING}
    items = [
        layer(number, ProtectionClass.CERAMIC_2_YEAR, group, **seen)
        for number, group in enumerate(list(SurfaceGroup)[:3])
    ]
    assert reason_for(items).startswith(
        "Ceramic 2 year on upper horizontals, upper sides and lowers of the blue hatchback, "
        "judged holding on 3 May 2026"
    )


def test_of_many_layers_three_are_told_and_the_rest_counted():
    items = [
        layer(number, ProtectionClass.CARNAUBA_WAX, vehicle=number, title=f"van {number}")
        for number in range(5)
    ]
    said = reason_for(items)
    assert said.count("carnauba wax") == 2
    assert said.endswith("; and 2 more of their layers.")
    assert reason_for(items[:4]).endswith("; and 1 more of their layers.")
    assert "more of their layers" not in reason_for(items[:3])


def test_a_promise_comes_first():
    said = reason_for([layer(1, ProtectionClass.CARNAUBA_WAX)], date(2026, 3, 1))
    assert said.startswith("Asked to be written to from 1 March 2026; carnauba wax")
    assert reason_for([], date(2026, 3, 1)) == "Asked to be written to from 1 March 2026."
