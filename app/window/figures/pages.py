"""The four pages of figures: which figure stands where, and what each says, draws and explains."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from app.actions.desk.desk import Desk
from app.actions.figures import figures, more_pages
from app.actions.figures.figures import Figures, FigureTable
from app.actions.figures.kinds import FEW_JOBS, KindFigure
from app.actions.figures.row_figure import RowFigure
from app.window.figures.chartplots import money_legend, money_plot, supplies_plot
from app.window.figures.kindplots import deliveries_plot, hours_plot, services_plot
from app.window.figures.letterplots import ahead_plot, letters_plot
from app.window.figures.referralplot import referrals_plot
from app.window.figures.rowplot import rows_plot
from app.window.paper.charts import Plot

PAGES = ((1, 2, 3, 4), (5, 6, 7), (8, 9, 10, 11), (12, 13, 14, 15))
FIGURES = PAGES[-1][-1]
# What stands on each page, as the hint that leads there says it.
LEADS_TO = ("Money and jobs", "Letters, who sends, hours ahead", "Estimates, bookings, lives",
            "Prices, stock, deliveries")  # fmt: skip
READING = ("the figures", "the second page", "the third page", "the fourth page")
_KINDS = "A kind of job is the services sold together; those of few jobs stand last."
HOW = {
    1: "Earned: done jobs before tax, on the day they were done; no deposits, no tips.",
    2: f"What a job earned, less its supplies, by the hours worked on it. {_KINDS} Jobs without "
    "hours or supplies recorded are left out.",
    3: f"The hours worked on a job, divided by those filled in for it. {_KINDS} A triangle runs "
    "more than 15 % over.",
    4: "The booked uses of each supply at the cost they were closed with.",
    5: "A booking counts for the last letter to the household, when it came within 45 days. "
    "Earned: the jobs of these bookings that are done, before tax.",
    6: "Done jobs before tax, by who is noted as having sent the customer. New: the first done job "
    "in this book came in this time, and they are not noted as a customer since earlier. Here "
    "before: a done job more than 30 days earlier.",
    7: "Booked: what the jobs of a day are expected to take on it. Open: the hours a day of the "
    "settings, on the weekdays that you work. From today on, whatever time is shown.",
    8: "Jobs by the day their first estimate was given. Yes: as noted, or the work was begun. "
    "Decided: a yes, called off, or older than 21 days.",
    9: "Bookings by their first day, up to today. Did not come: called off with that reason. Kept: "
    "what they paid, less what went back.",
    10: "A job that earned nothing, on a vehicle on which paid work was done within 30 days before "
    "it. Of hours: by all hours on the jobs of this time.",
    11: "From all layers seen again: a layer wore out between two visits, and one not seen again "
    "is no failure. Whatever time is shown.",
    12: "What the mean job leaves after its supplies, against the same days a year before; five "
    "jobs in each. Dearer: this year’s quantities at the unit costs of then.",
    13: "As the book stands today: what it cost, by how long it lasts at the last year’s use. "
    "Dead: not used in 180 days and no job needs it, or past its life.",
    14: "What counts took off, at cost, of the supplies that were counted in this time; by that "
    "and the recorded use.",
    15: "Days from an order to its last pack, of orders that came in this time; four in five.",
}


@dataclass(frozen=True)
class Said:
    """A figure as the place shows it: in its frame, and in the margin."""

    finding: str
    plot: Plot
    table: FigureTable
    title: str
    subtitle: str = ""
    voice: tuple[str, ...] = ()
    facts: tuple[tuple[str, str], ...] = ()
    legend: tuple[tuple[str, str], ...] = ()


def first_page(desk: Desk, shown: Figures) -> list[Said]:
    """Money, what an hour leaves, hours against the expected, and supply cost."""
    currency = shown.currency
    tables = [figures.table(desk, shown, number) for number in PAGES[0]]
    title, facts = "Money and supplies", shown.facts

    def of_kinds(figure: KindFigure) -> tuple[str, ...]:
        return (*shown.voice, figure.others)

    return [
        Said(shown.money.finding, money_plot(shown.money, currency), tables[0], title,
             voice=shown.voice, facts=facts, legend=money_legend(shown.money)),
        Said(shown.services.finding, services_plot(shown.services, currency), tables[1], title,
             f"A bar holds four jobs in five; dashed: under {FEW_JOBS} jobs",
             of_kinds(shown.services), facts),
        Said(shown.hours.finding, hours_plot(shown.hours), tables[2], title,
             "Hours worked for each hour expected; four jobs in five", of_kinds(shown.hours),
             facts),
        Said(shown.supplies.finding, supplies_plot(shown.supplies, currency), tables[3], title,
             "Supply cost; at the right the running share", shown.voice, facts),
    ]  # fmt: skip


def _second_page(desk: Desk, shown: Figures) -> list[Said]:
    more, currency = figures.more_figures(desk, shown), shown.currency
    tables = [figures.more_table(shown, more, number) for number in PAGES[1]]
    letters, referrals, ahead = more.letters, more.referrals, more.ahead
    return [
        Said(letters.finding, letters_plot(letters, currency), tables[0], "What letters brought",
             "Height is the number of letters; booked within 45 days", (letters.voice,),
             letters.facts),
        Said(referrals.finding, referrals_plot(referrals, currency), tables[1],
             "Who sends customers", "Earned from those whom each one sent; most new ones first",
             (referrals.voice,), referrals.facts),
        Said(ahead.finding, ahead_plot(ahead), tables[2], "The next four weeks",
             "A day each; outline open, solid booked, hatched beyond the day’s hours",
             (ahead.said,), ahead.facts),
    ]  # fmt: skip


def _of_rows(figure: RowFigure, title: str, currency: str) -> Said:
    table = more_pages.row_table(figure, currency)
    return Said(figure.finding, rows_plot(figure, currency), table, title, figure.subtitle,
                figure.voice, figure.facts)  # fmt: skip


def _third_page(desk: Desk, shown: Figures) -> list[Said]:
    titles = "Estimates", "Bookings that came", "Work done again", "How long it held"
    work = more_pages.work_page(desk, shown)
    return [
        _of_rows(figure, title, shown.currency)
        for figure, title in zip(work.all, titles, strict=True)
    ]


def _fourth_page(desk: Desk, shown: Figures) -> list[Said]:
    shelf, currency = more_pages.shelf_page(desk, shown), shown.currency
    came = shelf.deliveries
    return [
        _of_rows(shelf.prices, "Prices paid and charged", currency),
        _of_rows(shelf.stock, "On the shelf today", currency),
        _of_rows(shelf.unrecorded, "Use without a record", currency),
        Said(came.spans.finding, deliveries_plot(came.spans), more_pages.delivery_table(came),
             "Deliveries", "Days from order to shelf; four deliveries in five", came.voice,
             came.facts),
    ]  # fmt: skip


READ: tuple[Callable[[Desk, Figures], Sequence[Said]], ...] = (
    first_page, _second_page, _third_page, _fourth_page,
)  # fmt: skip


def page_of(number: int) -> int:
    """The index of the page on which a figure stands."""
    return next(at for at, page in enumerate(PAGES) if number in page)
