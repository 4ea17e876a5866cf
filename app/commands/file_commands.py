"""The commands that bring in and take out: `import`, `template`, `export`, `person`, `erase`."""

from __future__ import annotations

import argparse

from app.commands.saying import DONE, must_be_meant, open_book, progress, say_aside
from app.errors import Mendable


def bring_in(wanted: argparse.Namespace) -> int:
    """Bring in files."""
    from app.actions.exchange import bringing_in
    from app.actions.exchange.preview_lines import Choices

    with open_book(wanted.book, write=not wanted.dry_run) as desk:
        if not wanted.dry_run:
            must_be_meant(desk, desk.today, yes=wanted.yes, undone="brought in")
        read = progress("read")
        readings = [bringing_in.read(desk, path, read) for path in wanted.files]
        choices = Choices(accepts=wanted.accept_proposals)
        plan = bringing_in.preview(desk, readings, choices=choices)
        for sentence in (*plan.sentences(), *plan.notes):
            print(sentence)
        for line in plan.lines:
            if wanted.dry_run or line.problems:
                print(f"  {line.sentence()}")
            for problem in line.problems:
                print(f"    {problem}")
        for proposal in plan.proposals:
            print(f"  {proposal.sentence()}")
        if any(one.state == "proposed" for one in plan.proposals):
            print("--accept-proposals takes what is proposed.")
        if wanted.dry_run:
            print("Nothing was written: this was a dry run.")
            return DONE
        changed = bringing_in.bring_in(desk, plan, progress("written"))
        print(changed.sentence or changed.name)
    return DONE


def write_template(wanted: argparse.Namespace) -> int:
    """Write an empty workbook to be filled in."""
    from app.actions.exchange.exporting import template

    print(f"{template(wanted.file, say_aside)} is ready to be filled in.")
    return DONE


def write_all(wanted: argparse.Namespace) -> int:
    """Write everything into one workbook."""
    from app.actions.exchange.exporting import export

    with open_book(wanted.book, write=False) as desk:
        path = export(desk, wanted.file, progress("written"), say_aside)
        print(f"Everything stands in {path}.")
    return DONE


def write_accounts(wanted: argparse.Namespace) -> int:
    """Write what an accountant asks for of a span of days."""
    from app.actions.exchange.accounts import write_span
    from app.actions.figures.slips import span_of

    with open_book(wanted.book, write=False) as desk:
        year, _ = span_of("year", desk.today)
        first, last = wanted.first or year, wanted.last or desk.today
        path = write_span(desk, first, last, wanted.file, say_aside)
        print(f"Invoices, taxes and receipts of {first} to {last} stand in {path}.")
    return DONE


def write_calendar(wanted: argparse.Namespace) -> int:
    """Write the open jobs as a calendar file."""
    from app.actions.bay.plan_papers import write_jobs_calendar

    with open_book(wanted.book, write=False) as desk:
        holds = False if wanted.without_holds else None
        print(f"The open jobs stand in {write_jobs_calendar(desk, wanted.file, holds=holds)}.")
    return DONE


def write_week(wanted: argparse.Namespace) -> int:
    """Write a week's plan for the wall."""
    from app.actions.bay import plan_papers

    with open_book(wanted.book, write=False) as desk:
        print(f"The week stands in {plan_papers.write_week(desk, wanted.date, wanted.file)}.")
    return DONE


def write_person(wanted: argparse.Namespace) -> int:
    """Write out what is kept of one customer."""
    from app.actions.exchange.person_export import export_person, find_person

    with open_book(wanted.book, write=False) as desk:
        number = find_person(desk, wanted.who)
        path, text = export_person(desk, number, wanted.file, say_aside)
        print(f"What the book holds of customer {number} stands in {path} and {text}.")
    return DONE


def erase(wanted: argparse.Namespace) -> int:
    """Erase a customer for good, or say what that would take away."""
    from app.actions.exchange.person_export import find_person
    from app.actions.people import erasing

    with open_book(wanted.book, write=wanted.yes) as desk:
        number = find_person(desk, wanted.who)
        if not wanted.yes:
            print(f"This goes for good: {erasing.GOES}")
            print(f"This stays: {erasing.STAYS}")
            print(erasing.still_held(desk))
            raise Mendable(f"Add --yes to erase customer {number}; nothing was changed.")
        must_be_meant(desk, desk.today, yes=False, undone="erased")
        print(erasing.erase_person(desk, number, erasing.WORD).sentence)
    return DONE
