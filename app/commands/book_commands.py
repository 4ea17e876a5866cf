"""The commands about a book as a whole: `new`, `check`, `salvage`, `demo`."""

from __future__ import annotations

import argparse

from app.commands.saying import DONE, open_book, progress
from app.errors import Mendable


def begin(wanted: argparse.Namespace) -> int:
    """Begin a new book."""
    from app.actions.opening import found_zone
    from app.records.book import Book

    with Book.create(wanted.book) as book:
        found_zone(book)
        print(f"{book.path} is a new, empty book.")
    return DONE


def check(wanted: argparse.Namespace) -> int:
    """Say whether a book is whole."""
    with open_book(wanted.book, write=False) as desk:
        found = desk.book.check()
    for complaint in found:
        print(complaint)
    if found:
        many = "one thing is" if len(found) == 1 else f"{len(found)} things are"
        raise Mendable(f"{wanted.book} is not whole: {many} wrong; restore a backup.")
    print(f"{wanted.book} is whole.")
    return DONE


def get_out(wanted: argparse.Namespace) -> int:
    """Make a whole book of what a damaged one still holds."""
    from app.records.salvage.salvaging import salvage

    told = salvage(wanted.book, wanted.new, wanted.log)
    print(f"{told.path} is a new, whole book; {wanted.book} is as it was.")
    for sentence in told.sentences():
        print(sentence)
    return DONE


def make_up(wanted: argparse.Namespace) -> int:
    """Write a made-up shop."""
    from app.demo.story import build_demo

    def told(done: int, total: int) -> None:
        progress("days told")(done, total)

    built = build_demo(
        wanted.book,
        years=wanted.years,
        jobs_per_week=wanted.jobs_per_week,
        seed=wanted.seed,
        progress=told,
    )
    print(
        f"{built.path}: a made-up shop with {built.days:,} days, {built.customers:,} customers and "
        f"{built.jobs:,} jobs."
    )
    return DONE
