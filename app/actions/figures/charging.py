"""What to charge: what each kind of job asks for, and what would have come of other prices."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import partial

from app.actions.desk.desk import Desk
from app.actions.figures.kinds import kind_name
from app.actions.orders.rule_facts import offers, supplier_names
from app.calculations.figures import charging as pure
from app.calculations.figures.charging import Price, Took, Worked
from app.calculations.numbers.dates import day_year
from app.calculations.numbers.durations import read_duration, shown_duration
from app.calculations.numbers.money import read_money, shown_money, shown_whole
from app.calculations.numbers.rounding import half_away
from app.calculations.numbers.wording import MINUS, capital, count_of, counted, listed, noun
from app.errors import Mendable
from app.records.queries import figures as figure_queries
from app.records.queries import worth as queries
from app.records.queries.figures import DoneJob
from app.records.queries.worth import Bought, TookOf

DAYS = 365  # the last year, with today
MARKET = "What the work asks for is no price: your market decides."
MOST_PERCENT = 90
OF_LIFE = 0.75  # of its shelf life, in which a pack has to be used up, as in orders


@dataclass(frozen=True)
class OtherPack:
    """A pack that is cheaper by its size than the one bought last, and used up in time."""

    supply_id: int
    supply: str
    label: str
    supplier: str
    price: int
    size: int
    last: Bought


@dataclass(frozen=True)
class Kind:
    """The jobs of one kind, by name, with what they are charged and ask for."""

    name: str
    jobs: tuple[Worked, ...]
    price: Price


@dataclass(frozen=True, kw_only=True)
class Charging:
    """All kinds of the last year, those asking for most above their price first, few jobs last."""

    first: date
    last: date
    rate: int  # wished for each hour of all work, minor units
    currency: str
    kinds: tuple[Kind, ...]
    on_jobs: int  # minutes, as the next
    on_shop: int
    left_out: int  # done jobs without hours or supplies
    took: tuple[TookOf, ...]
    packs: Mapping[int, OtherPack]
    before: Mapping[str, tuple[Worked, ...]]  # the jobs of the year before, by kind
    took_before: tuple[TookOf, ...]
    names: Mapping[int, str]  # of the supplies used in the year

    @property
    def finding(self) -> str:
        """What it comes to, in a sentence."""
        told = [one for one in self.kinds if one.price.short is not None]
        short = [one for one in told if (one.price.short or 0) > 0]
        if not told:
            times = f"{counted(pure.ENOUGH)} times in this year"
            return f"No kind of job was done {times}, with hours and supplies."
        if not short:
            return "Every kind of job is charged what it asks for, or more."
        by = shown_whole(max(one.price.short or 0 for one in short), self.currency)
        many, kinds = counted(len(short)), noun(len(told), "kind")
        some = f"{capital(many)} of {counted(len(told))} {kinds}"
        if len(short) == len(told):
            some = f"All {many} {kinds}" if len(told) > 1 else "The one kind"
        asks, most = ("asks", "") if len(short) == 1 else ("ask", "up to ")
        return f"{some} {asks} for more than charged, {most}{by} a job."

    @property
    def carried(self) -> str:
        """How much each hour on a job carries of those that nobody pays."""
        if not self.on_jobs or not self.on_shop:
            return "No hours but those on jobs are in the book: prices carry no others."
        carries = round(60 * self.on_shop / self.on_jobs)
        return (
            f"{shown_duration(self.on_shop)} were worked on no job: each hour on a job carries "
            f"{count_of(carries, 'minute')} of them."
        )

    @property
    def without(self) -> str:
        """Which jobs are missing, in a sentence; none where all are counted."""
        if not self.left_out:
            return ""
        have = count_of(self.left_out, "job has", "jobs have")
        out = noun(self.left_out, "is", "are")
        return f"{have} no hours or no supplies recorded and {out} left out."


@dataclass(frozen=True)
class WhatIf:
    """What the last year's own jobs would have left: their sum, and by the hour of all work."""

    words: str
    left: int
    an_hour: int | None  # None where no time would be left


def charging(desk: Desk, rate: int | None = None) -> Charging:
    """The last year's jobs by kind, at a wished hourly rate or that of the settings."""
    last = desk.today
    first = last - timedelta(days=DAYS - 1)
    wished = desk.settings.hourly_rate if rate is None else rate
    with desk.book.reading() as session:
        done = figure_queries.done_jobs(session, first, last)
        on_jobs, on_shop = figure_queries.minutes_worked(session, first, last)
        took = tuple(queries.took(session, first, last))
        then = first - timedelta(days=DAYS), first - timedelta(days=1)
        done_then = figure_queries.done_jobs(session, *then)
        took_then = tuple(queries.took(session, *then))
        bought = queries.bought_last(session, last)
        by_pack = queries.bought_by_pack(session)
        names = {
            one: name for one, name, _, _ in figure_queries.cost_by_supply(session, first, last)
        }
    groups = worked_by_kind(done, on_jobs, on_shop)
    kinds = [Kind(name, tuple(some), pure.price(some, wished)) for name, some in groups.items()]
    return Charging(
        first=first, last=last, rate=wished, currency=desk.settings.currency,
        kinds=tuple(sorted(kinds, key=_order)), on_jobs=on_jobs, on_shop=on_shop,
        left_out=len(done) - sum(map(len, groups.values())), took=took,
        packs=_other_packs(desk, took, bought, by_pack, names),
        before={name: tuple(some) for name, some in worked_by_kind(done_then).items()},
        took_before=took_then, names=names,
    )  # fmt: skip


def at_rate(found: Charging, rate: int) -> Charging:
    """The same jobs at another wished rate."""
    kinds = [replace(one, price=pure.price(one.jobs, rate)) for one in found.kinds]
    return replace(found, rate=rate, kinds=tuple(sorted(kinds, key=_order)))


def what_if(found: Charging, kind: Kind, percent: int, minutes: int) -> tuple[WhatIf, ...]:
    """As it was; at other prices; with less time; with the pack that saves these jobs most."""
    jobs = kind.jobs
    cases: list[tuple[str, Sequence[Worked]]] = [("As it was", jobs)]
    if percent:
        more = "dearer" if percent > 0 else "cheaper"
        cases.append((f"{abs(percent)} % {more}", pure.dearer(jobs, percent)))
    if minutes:
        cases.append((f"{shown_duration(minutes)} less a job", pure.quicker(jobs, minutes)))
    rows = [_row(words, some) for words, some in cases]
    pack, saving = _best_pack(found, kind)
    if pack is not None:
        rows.append(_row("The cheaper pack", jobs, saving))
    return tuple(rows)


def pack_words(found: Charging, kind: Kind) -> str:
    """Which pack would have saved these jobs most, and how much; none where there is no cheaper."""
    pack, saving = _best_pack(found, kind)
    if pack is None:
        return "No pack on sale would have made them cheaper."
    money = partial(shown_money, currency=found.currency)
    of = f" of {pack.supplier}" if pack.supplier else ""
    return (
        f"{pack.supply} as {pack.label}{of} at {money(pack.price)} instead of {pack.last.label} at "
        f"{money(pack.last.price)} had saved these jobs {money(saving)}."
    )


def year_ago(found: Charging, kind: Kind) -> str:
    """What a job leaves against the year before, and which supplies' prices are in it."""
    before = found.before.get(kind.name, ())
    change = pure.year_ago(
        kind.jobs, before, _taken(found.took, kind.jobs), _taken(found.took_before, before)
    )
    if change is None:
        return f"Fewer than {counted(pure.ENOUGH)} of them a year before: nothing to compare with."
    money = partial(shown_money, currency=found.currency)
    told = f"A job of it leaves {_moved(change.left, money)} than a year before"
    parts = [f"charged {_moved(change.charged, money)}"] if change.charged else []
    if change.prices:
        than = "dearer" if change.prices > 0 else "cheaper"
        parts.append(f"supplies {than} by {money(abs(change.prices))}")
    if change.use:
        parts.append(
            f"{'more' if change.use > 0 else 'less'} of them used, {money(abs(change.use))}"
        )
    grown = [one for one in change.supplies if one[1] > 0][:2] if change.prices > 0 else []
    most = listed([f"{found.names.get(one, '')} {money(more)}" for one, more in grown])
    if not change.left:
        told = "A job of it leaves as much as a year before"
    said = f"{told}: {', '.join(parts)}." if parts else f"{told}."
    return f"{said} Dearer most: {most}." if most else said


def read_wishes(desk: Desk, rate: str, percent: str, less: str) -> tuple[int, int, int]:
    """(minor units an hour, percent, minutes) as they were typed; `Mendable` where one is not."""
    wished = read_money(rate, desk.settings.currency)
    if wished <= 0:
        raise Mendable("The wished hour is not above zero; type an amount such as 90.")
    minus = percent.strip().startswith(("-", MINUS))
    typed = percent.strip().lstrip(f"+-{MINUS}").rstrip("% ").strip()
    if not typed.isdecimal() or int(typed) > MOST_PERCENT:
        raise Mendable(
            f"“{percent.strip()}” is no percentage; type a whole one up to {MOST_PERCENT}, such as "
            "5 or -5."
        )
    return wished, -int(typed) if minus else int(typed), read_duration(less)


def span_of(found: Charging) -> str:
    """From when to when the jobs were done."""
    return f"{day_year(found.first)} to today"


def worked_by_kind(
    jobs: Sequence[DoneJob], on_jobs: int = 0, on_shop: int = 0
) -> dict[str, list[Worked]]:
    """The jobs with hours and supplies, by kind, each with what it carries."""
    some = [job for job in jobs if job.minutes > 0 and job.recorded]
    worked = pure.carrying(
        [Worked(job.job_id, job.stands, job.supplies, job.minutes) for job in some],
        on_jobs, on_shop,
    )  # fmt: skip
    groups: dict[str, list[Worked]] = {}
    for job, one in zip(some, worked, strict=True):
        groups.setdefault(kind_name(job.services, job.title), []).append(one)
    return groups


def _taken(took: Sequence[TookOf], jobs: Sequence[Worked]) -> dict[int, Took]:
    """What these jobs took, by supply."""
    ids = {job.job_id for job in jobs}
    found: dict[int, Took] = {}
    for one in took:
        if one.job_id in ids:
            was = found.get(one.supply_id, Took(0, 0))
            found[one.supply_id] = Took(was.quantity + one.quantity, was.cost + one.cost)
    return found


def _moved(change: int, money: Callable[[int], str]) -> str:
    return f"{money(abs(change))} {'more' if change > 0 else 'less'}"


def _order(kind: Kind) -> tuple[bool, int, str]:
    short = kind.price.short
    return short is None, -(short or 0), kind.name


def _row(words: str, jobs: Sequence[Worked], saving: int = 0) -> WhatIf:
    left = sum(job.earned - job.supplies for job in jobs) + saving
    an_hour = pure.left_an_hour(jobs, saving)
    return WhatIf(words, left, None if an_hour is None else half_away(an_hour))


def _best_pack(found: Charging, kind: Kind) -> tuple[OtherPack | None, int]:
    """The one other pack that had saved these jobs most, and how much."""
    best, most = None, 0
    for supply, took in sorted(_taken(found.took, kind.jobs).items()):
        pack = found.packs.get(supply)
        if pack is None:
            continue
        saving = pure.saved(took.cost, pack.price, pack.size, pack.last.price, pack.last.size)
        if saving > most:
            best, most = pack, saving
    return best, most


def _other_packs(
    desk: Desk,
    took: Sequence[TookOf],
    bought: Mapping[int, Bought],
    by_pack: Mapping[int, int | None],
    names: Mapping[int, str],
) -> dict[int, OtherPack]:
    """By supply, the pack on sale that is cheapest by its size among those used up in time."""
    year: dict[int, int] = {}
    for one in took:
        year[one.supply_id] = year.get(one.supply_id, 0) + one.quantity
    sellers = supplier_names(desk)
    found: dict[int, OtherPack] = {}
    for pack in offers(desk).packs.values():
        supply = pack.supply_id
        last = bought.get(supply)
        if last is None or supply not in by_pack or pack.size <= 0 or pack.price <= 0:
            continue
        life = by_pack[supply]
        days = DAYS if life is None else min(DAYS, OF_LIFE * life)
        if pack.size > year.get(supply, 0) * days / DAYS:
            continue
        best = found.get(supply)
        than = last if best is None else best
        if pack.price * than.size < than.price * pack.size:
            seller = sellers.get(pack.supplier_id or 0, "")
            found[supply] = OtherPack(
                supply, names.get(supply, ""), pack.label, seller, pack.price, pack.size, last
            )
    return found
