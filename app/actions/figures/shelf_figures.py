"""Prices paid against prices charged, what lies on the shelf, unrecorded use, and deliveries."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from app.actions.desk.amounts import all_supplies
from app.actions.desk.desk import Desk, kept
from app.actions.figures.charging import worked_by_kind
from app.actions.figures.kinds import KindBar, KindFigure
from app.actions.figures.row_figure import FEW, Column, Row, RowFigure, cut, fitting, share_of
from app.actions.shelf.stock_worth import dead_stock
from app.calculations.figures import charging as pure
from app.calculations.figures import figures as spans
from app.calculations.figures.charging import Took, Worked, YearAgo
from app.calculations.numbers.money import shown_money, shown_whole
from app.calculations.numbers.wording import capital, count_of, counted, listed, words_of
from app.records.queries import figures as job_queries
from app.records.queries import stock_figures, work_figures
from app.records.queries.figures import DoneJob
from app.records.queries.work_figures import Delivery
from app.records.stock import balances

FIT_WEEKS, IDLE_WEEKS = 10, 16  # of use that a shelf holds (common practice, no source)
YEAR = 365
TOO_MUCH = 15  # percent of use without a record (common practice, no source)
MOST_OF = 0.8  # of the rise that the supplies named make
MOST_NAMED = 3


@dataclass(frozen=True)
class ShelfFigures:
    """The fourth page; deliveries are drawn as the kinds of job are."""

    prices: RowFigure
    stock: RowFigure
    unrecorded: RowFigure
    deliveries: DeliveryFigure


@dataclass(frozen=True)
class DeliveryFigure:
    """Lead times by supplier; the ids behind a bar are the supplier's."""

    spans: KindFigure
    promised: Mapping[str, int | None]
    days: Mapping[str, tuple[int, ...]]
    voice: tuple[str, ...] = ()
    facts: tuple[tuple[str, str], ...] = ()


def shelf_figures(
    desk: Desk, jobs: Sequence[DoneJob], first: date, last: date, then: tuple[date, date]
) -> ShelfFigures:
    """Of the time from `first` to `last` against `then`, a year before; stock as it is today."""
    with desk.book.reading() as session:
        came = work_figures.deliveries(session, first, last)
        came_then = work_figures.deliveries(session, *then)
    return ShelfFigures(
        prices_figure(desk, jobs, first, last, then),
        stock_figure(desk, desk.today),
        unrecorded_figure(desk, first, last, then),
        deliveries_figure(came, came_then),
    )


# prices ----------------------------------------------------------------------------------------
def prices_figure(
    desk: Desk, jobs: Sequence[DoneJob], first: date, last: date, then: tuple[date, date]
) -> RowFigure:
    """What a job of each kind leaves more or less than a year before, and why."""
    with desk.book.reading() as session:
        before = worked_by_kind(job_queries.done_jobs(session, *then))
        took = work_figures.taken_by_kind(session, first, last)
        took_then = work_figures.taken_by_kind(session, *then)
    now = worked_by_kind(jobs)
    by_kind, by_kind_then = _taken(took, now), _taken(took_then, before)
    currency, names = desk.settings.currency, {k: s.name for k, s in all_supplies(desk).items()}
    columns = (
        Column("Jobs"), Column("Left, a job", "money", "left"), Column("Charged", "money"),
        Column("Dearer supplies", "money", "supplies"), Column("More used", "money"),
    )  # fmt: skip
    found: list[tuple[YearAgo, str, Row]] = []
    alone = 0
    for name, some in now.items():
        old = before.get(name, ())
        change = pure.year_ago(some, old, by_kind.get(name, {}), by_kind_then.get(name, {}))
        if change is None:
            alone += 1
            continue
        cells = len(some), change.left, change.charged, change.prices, change.use
        ids = tuple(job.job_id for job in some)
        look = change.left < 0 and shown_whole(-change.left, currency) != "0"
        found.append((change, name, Row(name, cells, ids, change.left, look=look)))
    if not found:
        none = "No kind was done five times in both years."
        return RowFigure(finding=none, columns=columns)
    found.sort(key=lambda one: (one[0].left, one[1]))
    change, name, _ = found[0]
    finding, because = "Each kind leaves as much as a year before.", ""
    if change.left < 0:
        less = shown_whole(-change.left, currency)
        than = f"leaves {less} less than a year ago."
        finding = fitting(f"{name} {than}", f"One kind {than}")
        because = because_of(change, names, currency)
    up = sum(1 for one, _, _ in found if one.left > 0)
    rows, rest = cut([row for *_, row in found])
    others = ""
    if alone:
        others = f"{count_of(alone, 'kind')} done fewer than five times in one year left out."
    voice = [f"{name} leaves {shown_money(-change.left, currency)} less a job than a year before"
             f"{'; ' + because if because else ''}."] if change.left < 0 else []  # fmt: skip
    return RowFigure(
        finding=finding, columns=columns, rows=rows, rest=rest, first_head="Kind of job",
        beside=(1, 3), others=others,
        subtitle=capital(because) if because else "A job of each kind, against a year before",
        voice=(*voice, others) if others else tuple(voice),
        facts=(("Kinds compared", str(len(found))), ("Leave more", str(up)),
               ("Leave less", str(sum(1 for one, _, _ in found if one.left < 0)))),
    )  # fmt: skip


def _taken(
    took: Iterable[tuple[int, int, int, int]], kinds: Mapping[str, Sequence[Worked]]
) -> dict[str, dict[int, Took]]:
    """What the jobs of each kind took of each supply, of (one of its jobs, supply, …)."""
    kind_of = {job.job_id: name for name, some in kinds.items() for job in some}
    sums: dict[str, dict[int, tuple[int, int]]] = {}
    for job, supply, quantity, cost in took:
        name = kind_of.get(job)
        if name is not None:
            own = sums.setdefault(name, {})
            was = own.get(supply, (0, 0))
            own[supply] = was[0] + quantity, was[1] + cost
    return {name: {one: Took(*both) for one, both in own.items()} for name, own in sums.items()}


def because_of(change: YearAgo, names: Mapping[int, str], currency: str) -> str:
    """Which supplies make most of what is left less: “6 of it is two supplies: X 4 and Y 2”.

    Where they make less than a tenth of it, what was charged less; “two supplies cost 9 more”
    where they cost more than it.
    """
    if change.left >= 0:
        return ""
    if 10 * change.prices < -change.left:
        less = -change.charged
        return (
            f"{shown_whole(less, currency)} less was charged a job"
            if less * 2 > -change.left
            else ""
        )
    named: list[tuple[int, int]] = []
    for supply, more in change.supplies:
        if more <= 0 or len(named) == MOST_NAMED:
            break
        named.append((supply, more))
        if sum(one for _, one in named) >= MOST_OF * change.prices:
            break
    rise = sum(one for _, one in named)
    if not named:
        return ""
    some = words_of(len(named), "supply")
    each = listed([f"{names.get(one, 'one')} {shown_whole(more, currency)}" for one, more in named])
    if rise > -change.left:
        return f"{some} cost{'s' * (len(named) == 1)} {shown_whole(rise, currency)} more: {each}"
    return f"{shown_whole(rise, currency)} of it is {some}: {each}"


# stock -----------------------------------------------------------------------------------------
_AGES = (
    f"up to {FIT_WEEKS} weeks of use", f"{FIT_WEEKS} to {IDLE_WEEKS} weeks",
    f"{IDLE_WEEKS} weeks to a year", "more than a year", "not used yet", "used again and again",
    "dead: idle, or past its life",
)  # fmt: skip


@kept("stock figure")
def stock_figure(desk: Desk, today: date) -> RowFigure:
    """What stands on the shelf today, by how long it lasts as it was used in a year."""
    currency = desk.settings.currency
    with desk.book.reading() as session:
        worth = balances(session)
        worth_then = balances(session, today - timedelta(days=YEAR))
        took = stock_figures.went(session, today - timedelta(days=YEAR - 1), today)
    dead = {one.supply_id: one.value for one in dead_stock(desk, today)}
    groups: dict[str, list[tuple[int, int]]] = {name: [] for name in _AGES}
    for supply in all_supplies(desk).values():
        one = supply.supply_id
        quantity, value = worth.get(one, (0, 0))
        if quantity <= 0:
            continue
        idle = min(dead.get(one, 0), value)
        if one in dead:
            groups[_AGES[6]].append((one, idle))
        if one not in dead or idle < value:
            used = took.get(one, {}).get("used", (0, 0))[0]
            groups[_age(quantity, used, pool=bool(supply.pool))].append((one, value - idle))
    columns = (Column("Supplies"), Column("Worth", "money"), Column("Share", "percent"))
    whole = sum(value for some in groups.values() for _, value in some)
    if not any(groups.values()):
        return RowFigure(finding="Nothing stands on the shelf.", columns=columns, of="supplies")
    rows = tuple(
        Row(name, (len(some), (value := sum(one for _, one in some)), share_of(value, whole)),
            tuple(one for one, _ in sorted(some, key=lambda pair: -pair[1])), value,
            look=name == _AGES[6], open=name == _AGES[4])
        for name, some in groups.items() if some
    )  # fmt: skip
    lying = sum(value for _, value in groups[_AGES[6]])
    used_up = sum(some.get("used", (0, 0))[1] for some in took.values())
    long = sum(value for name in _AGES[2:4] for _, value in groups[name])
    facts = [("On the shelf", shown_money(whole, currency))]
    then = sum(value for quantity, value in worth_then.values() if quantity > 0)
    if then:
        facts.append(("A year before", shown_money(then, currency)))
    facts.append(("Used in a year", shown_money(used_up, currency)))
    if used_up > 0:
        facts.append(("That lasts", f"{whole * 52 / used_up:.0f} weeks"))
    facts += [(f"Over {IDLE_WEEKS} weeks", shown_money(long, currency)),
              ("Dead", shown_money(lying, currency))]  # fmt: skip
    finding = f"{shown_whole(whole, currency)} stands on the shelf, none of it dead."
    if lying:
        dead_of = (shown_whole(one, currency) for one in (lying, whole))
        finding = f"{' of '.join(dead_of)} on the shelf is dead."
    return RowFigure(
        finding=finding, columns=columns, rows=rows, first_head="How long it lasts",
        beside=(1, 0), of="supplies", facts=tuple(facts),
        subtitle="Worth by how long it lasts as it is used, and number of supplies",
    )  # fmt: skip


def _age(quantity: int, used: int, *, pool: bool) -> str:
    """How long a supply lasts, in words; `used` in a year."""
    if pool:
        return _AGES[5]
    if used <= 0:
        return _AGES[4]
    weeks = quantity * YEAR / 7 / used
    return _AGES[(weeks > FIT_WEEKS) + (weeks > IDLE_WEEKS) + (weeks * 7 > YEAR)]


# unrecorded use --------------------------------------------------------------------------------
def unrecorded_figure(desk: Desk, first: date, last: date, then: tuple[date, date]) -> RowFigure:
    """What counts found gone without a record, by supply, the dearest first."""
    columns = (
        Column("Worth", "money"), Column("Of its use", "percent", "of use"),
        Column("Recorded", "money"),
    )  # fmt: skip
    with desk.book.reading() as session:
        went = stock_figures.went(session, first, last)
        went_then = stock_figures.went(session, *then)
    supplies, currency = all_supplies(desk), desk.settings.currency
    pools = {one for one, row in supplies.items() if row.pool}
    counted_here = {
        one: took for one, took in went.items() if "counted" in took and one not in pools
    }
    if not counted_here:
        return RowFigure(finding="Nothing was counted in this time.", columns=columns,
                         of="supplies")  # fmt: skip
    found = []
    for one, took in counted_here.items():
        (used, used_worth), (gone, gone_worth) = took.get("used", (0, 0)), took["counted"]
        if gone > 0:
            share = share_of(gone, used + gone)
            found.append(Row(supplies[one].name, (gone_worth, share, used_worth), (one,),
                             gone_worth, look=(share or 0) > TOO_MUCH))  # fmt: skip
    found.sort(key=lambda row: (-row.size, row.name))
    rows, rest = cut(found)
    share, gone_worth = _gone_share(went, pools)
    share_then, _ = _gone_share(went_then, pools)
    finding = "Counts found nothing gone without a record."
    if found:
        finding = f"{shown_whole(gone_worth, currency)} went without a record."
        if share is not None:
            finding = f"{finding[:-1]}, {share:.0f} % of what went."
    if gone_worth < 0:
        finding = f"Counts found {shown_whole(-gone_worth, currency)} more than was written."
    much = sum(1 for row in found if row.look)
    facts = [("Supplies counted", str(len(counted_here))), (f"Over {TOO_MUCH} %", str(much)),
             ("Gone, unrecorded", shown_money(gone_worth, currency))]  # fmt: skip
    if share is not None and gone_worth >= 0:
        facts.append(("Of what went", f"{share:.0f} %"))
    if share_then is not None:
        facts.append(("A year before", f"{share_then:.0f} %"))
    return RowFigure(
        finding=finding, columns=columns, rows=rows, rest=rest, first_head="Supply",
        beside=(0, 1), of="supplies", facts=tuple(facts),
        voice=(f"{capital(counted(much))} went unrecorded by more than {TOO_MUCH} %: recipes or "
               "counts are wrong, or things walk.",) if much else (),
        subtitle="At cost, and percent of what went of each; found more is taken off",
    )  # fmt: skip


def _gone_share(
    went: Mapping[int, Mapping[str, tuple[int, int]]], pools: set[int]
) -> tuple[float | None, int]:
    """(percent by worth, worth) of what counts found gone, of the supplies that were counted."""
    some = [took for one, took in went.items() if "counted" in took and one not in pools]
    gone = sum(took["counted"][1] for took in some)
    used = sum(took.get("used", (0, 0))[1] for took in some)
    return share_of(gone, used + gone), gone


# deliveries ------------------------------------------------------------------------------------
def deliveries_figure(came: Sequence[Delivery], before: Sequence[Delivery]) -> DeliveryFigure:
    """Days from order to shelf by supplier, the slowest first; few deliveries last."""
    groups: dict[tuple[int, str], list[Delivery]] = {}
    for one in came:
        groups.setdefault((one.supplier_id, one.supplier), []).append(one)
    bars = []
    for (supplier, name), some in groups.items():
        seen = spans.span([one.days for one in some])
        assert seen is not None
        bars.append(KindBar(name, seen.n, seen.middle, seen.low, seen.high, (supplier,)))
    bars.sort(key=lambda bar: (bar.few, -bar.middle, bar.name))
    promised = {one.supplier: one.promised for one in came}
    whole = spans.span([one.days for one in came])
    told = [one for one in came if one.in_time is not None]
    in_time = sum(bool(one.in_time) for one in told)
    facts = [("Deliveries", str(len(came)))]
    if whole is not None:
        facts.append(("Middle", _days(whole.middle)))
    if len(came) >= 10:
        facts.append(("Nine in ten within", _days(whole.high if whole else 0)))
    if len(told) >= FEW:
        facts.append(("By the day expected", f"{100 * in_time / len(told):.0f} %"))
    if len(before) >= FEW and (then := spans.span([one.days for one in before])):
        facts.append(("Middle, year before", _days(then.middle)))
    figure = KindFigure(_late(bars, promised), tuple(bars), (), whole.middle if whole else None)
    voice = [
        f"{bar.name}: {_days(bar.middle)}, {_days(said)} promised."
        for bar in bars
        if (said := promised.get(bar.name)) is not None and bar.middle > said and not bar.few
    ]
    days = {name: tuple(one.days for one in some) for (_, name), some in groups.items()}
    return DeliveryFigure(figure, promised, days, tuple(voice[:3]), tuple(facts))


def _late(bars: Sequence[KindBar], promised: Mapping[str, int | None]) -> str:
    if not bars:
        return "No order came in this time."
    late = [
        (bar.middle - days, bar)
        for bar in bars
        if (days := promised.get(bar.name)) is not None and bar.middle > days and not bar.few
    ]
    if late:
        by, bar = max(late, key=lambda one: one[0])
        than = f"takes {_days(by)} more than promised."
        return fitting(f"{bar.name} {than}", f"One supplier {than}")
    sure = [bar for bar in bars if not bar.few]
    if not sure:
        return (
            f"{capital(count_of(sum(bar.jobs for bar in bars), 'delivery'))}: too few for a middle."
        )
    if all(promised.get(bar.name) is not None for bar in sure):
        return "The middle delivery keeps what was promised."
    middle = f"takes {_days(sure[0].middle)} in the middle."
    return fitting(f"{sure[0].name} {middle}", f"The slowest {middle}")


def _days(days: float) -> str:
    """`4 days`, `4.5 days`, `1 day`."""
    number = f"{days:.1f}".removesuffix(".0")
    return f"{number} day{'' if number == '1' else 's'}"
