"""The kinds of shop that are drawn: the one described, and others that stray from it."""

from __future__ import annotations

from dataclasses import replace

from tests.simulated_shop.world import GOODS, WORKS, Good, Plan, Work

BASE = Plan("the shop as described")
COLD = (230, 90)  # around the quietest day of the season
FROSTY = (
    "rinseless wash", "pre-wash", "shampoo", "iron remover", "wheel cleaner", "tire cleaner",
    "all-purpose cleaner", "tire dressing", "interior cleaner", "fabric shampoo", "leather cleaner",
    "glass cleaner",
)  # fmt: skip


def _sold_by(many: int) -> tuple[Good, ...]:
    return tuple(replace(good, supplier=i % many) for i, good in enumerate(GOODS))


# Washes and interiors are done as people drive up; the rest is booked three weeks ahead.
WALK_INS = (("wash", 0, 0), ("full interior", 0, 3))
# A coating of the whole film: seldom sold, and dear.
_DEAR = (
    *GOODS,
    Good("film coating", 2, 24000, 2),
    Good("film primer", 8, 9500, 2),
    Good("leather coating", 4, 14000, 0),
)
_SELDOM = (
    *WORKS,
    Work("film coating", 0.02, {"film primer": 1.5}, {"film coating": 1, "gloves": 4}),
    Work("leather coating", 0.015, {"leather coating": 0.8, "leather cleaner": 4}, {"gloves": 4}),
)

PLANS = (
    BASE,
    replace(BASE, name="one supplier", goods=_sold_by(1)),
    replace(BASE, name="six suppliers", goods=_sold_by(6)),
    replace(BASE, name="short notice", notice_mean=3.0),
    replace(BASE, name="no season", season=0.0),
    replace(BASE, name="uneven uses", use_sigma=0.6),
    replace(BASE, name="slow suppliers", lead_mean=9.0, lead_sd=4.0),
    replace(BASE, name="quick suppliers", lead_mean=3.0, lead_sd=1.0),
    replace(BASE, name="some parcels very late", late_share=0.04),
    replace(BASE, name="busy", jobs_per_week=14.0),
    replace(BASE, name="quiet", jobs_per_week=4.0),
    replace(BASE, name="growing", growth=0.2),
    replace(BASE, name="no history", history=0),
    replace(BASE, name="a service stops", stops=(("two-step and coating", 2.5),)),
    replace(BASE, name="a service begins", starts=(("two-step and coating", 2.5),)),
    replace(BASE, name="a cold stop", cold=COLD, frosty=FROSTY),
    replace(BASE, name="a cold stop, a store", cold=COLD, frosty=FROSTY, store=True),
    replace(BASE, name="price breaks", break_at=4, break_share=0.88),
    replace(
        BASE,
        name="short notice, slow suppliers, a store",
        notice_mean=3.0,
        lead_mean=9.0,
        lead_sd=4.0,
        store=True,
    ),
    replace(
        BASE,
        name="short notice, slow suppliers",
        notice_mean=3.0,
        lead_mean=9.0,
        lead_sd=4.0,
    ),
    # What a shop of this trade meets sooner or later.
    replace(BASE, name="season 0.8", season=0.8),
    replace(
        BASE,
        name="new services",
        starts=(("one-step", 1.0), ("two-step and coating", 2.5), ("full interior", 3.5)),
    ),
    replace(
        BASE, name="recipes wrong by two, one use in four confirmed", wrong=2.0, confirmed=0.25
    ),
    replace(BASE, name="lead time doubled midway", doubles=2.5),
    replace(BASE, name="walk-ins beside long bookings", notices=WALK_INS, notice_mean=21.0),
    replace(BASE, name="booked one day ahead", notices=tuple((w.name, 1, 1) for w in WORKS)),
    replace(BASE, name="dear slow movers", goods=_DEAR, works=_SELDOM),
    replace(BASE, name="shelf life of six months", shelf_life=182),
)
