"""Backups as a shop sets them up: two places, a passphrase, and a look into the newest."""

from __future__ import annotations

from datetime import timedelta

import pytest

from app.actions.day.closing import close_day, make_up_backup
from app.actions.desk.desk import Desk
from app.actions.people.customers import add_customer
from app.actions.shop import backups
from app.actions.shop.shop_settings import change_settings, set_typed
from app.errors import Mendable
from app.records.book import Book
from app.records.storage import backup
from tests.shop import TODAY, new_desk

PASSPHRASE = "three wet towels"


@pytest.fixture
def ring(monkeypatch):
    kept = {}
    monkeypatch.setattr("keyring.set_password", lambda _, who, word: kept.update({who: word}))
    monkeypatch.setattr("keyring.get_password", lambda _, who: kept.get(who))
    return kept


@pytest.fixture
def stick(desk, tmp_path):
    folder = tmp_path / "stick"
    folder.mkdir()
    set_typed(desk, "backup_folder", str(folder))
    return folder


def test_each_copy_stands_for_itself(desk, stick, monkeypatch):
    (desk.book.path.parent / "backups").write_text("a file where the folder should be")
    made = backups.back_up(desk)
    assert made.path is None
    assert made.second.parent == stick
    assert len(made.trouble) == 1
    assert "there is no backup" in made.trouble[0]
    assert "backups is a file, where the folder with the backups belongs" in made.trouble[0]
    with Book.open(made.second, write=False) as copy:
        assert copy.check() == []


@pytest.mark.parametrize("typed", ["stick", "/no/such/folder"])
def test_a_second_place_is_a_whole_name_of_a_folder_that_is_there(desk, typed):
    with pytest.raises(Mendable, match="There is no folder"):
        set_typed(desk, "backup_folder", typed)


def test_the_second_place_is_not_the_first(desk):
    backups.back_up(desk)
    for folder in (desk.book.path.parent, desk.book.path.parent / "backups"):
        with pytest.raises(Mendable, match="on another disk"):
            set_typed(desk, "backup_folder", str(folder))


def test_a_passphrase_is_typed_twice_alike_and_is_long_enough(desk, ring):
    with pytest.raises(Mendable, match="differ"):
        backups.set_passphrase(desk, PASSPHRASE, PASSPHRASE.title())
    with pytest.raises(Mendable, match="12 letters at least"):
        backups.set_passphrase(desk, "towels", "towels")
    assert (ring, desk.settings.backup_salt) == ({}, "")


def test_without_its_key_nothing_goes_out_unsealed(desk, stick, ring):
    backups.set_passphrase(desk, PASSPHRASE, PASSPHRASE)
    ring.clear()
    made = backups.back_up(desk)
    assert made.path is not None
    assert "type the passphrase again" in made.trouble[0]
    assert list(stick.iterdir()) == []


def test_sealing_no_more_makes_plain_copies_and_leaves_the_sealed_ones(desk, stick, ring):
    backups.set_passphrase(desk, PASSPHRASE, PASSPHRASE)
    sealed = backups.back_up(desk).second
    backups.seal_no_more(desk)
    plain = backups.back_up(desk).second
    assert (sealed.suffix, plain.suffix) == (".sealed", ".bayledger")
    assert backups.newest_second(desk) == plain
    assert sealed.exists()
    assert backups.key_of(desk, sealed, PASSPHRASE) is not None
    with pytest.raises(Mendable, match="type the passphrase"):
        backups.key_of(desk, sealed)


def test_the_passphrase_stands_nowhere(desk, stick, ring):
    backups.set_passphrase(desk, PASSPHRASE, PASSPHRASE)
    backups.back_up(desk)
    desk.book.close()
    written = [path for path in desk.book.path.parent.rglob("*") if path.is_file()]
    assert len(written) >= 3
    for path in written:
        assert PASSPHRASE.encode() not in path.read_bytes()
    assert PASSPHRASE not in str(ring)


def test_another_book_of_the_same_name_is_kept_out_of_the_second_place(desk, stick, tmp_path):
    add_customer(desk, name="Bram")
    ours = backups.back_up(desk).second
    folder = tmp_path / "other shop"
    folder.mkdir()
    other = new_desk(folder / desk.book.path.name)
    other.clock = lambda: desk.clock() + timedelta(minutes=1)
    add_customer(other, name="Cosmo")
    set_typed(other, "backup_folder", str(stick))
    made = backups.back_up(other)
    assert made.path is not None
    assert "holds backups of another book that is named" in made.trouble[0]
    assert list(stick.iterdir()) == [ours]
    other.book.close()
    assert backups.back_up(desk).second is not None


def test_a_passphrase_that_is_set_says_which_copies_lie_there_unsealed(desk, stick, ring):
    assert "older" not in backups.set_passphrase(desk, PASSPHRASE, PASSPHRASE).sentence
    backups.back_up(desk)
    backups.seal_no_more(desk)
    backups.back_up(desk)
    told = backups.set_passphrase(desk, PASSPHRASE, PASSPHRASE).sentence
    assert "2 older copies in the second place are not sealed with it; take away" in told


def test_a_book_that_is_only_read_makes_no_copy_in_the_second_place_either(desk, stick):
    desk.book.close()
    with Book.look(desk.book.path) as book:
        made = backups.back_up(Desk(book, desk.clock))
    assert (made.paths, list(stick.iterdir())) == ((), [])
    assert "its backup is made elsewhere" in made.trouble[0]


def test_of_two_books_of_one_name_each_knows_its_own_copies(desk, stick, ring, tmp_path):
    add_customer(desk, name="Bram")
    backups.set_passphrase(desk, PASSPHRASE, PASSPHRASE)
    ours = backups.back_up(desk)
    folder = tmp_path / "other shop"
    folder.mkdir()
    other = new_desk(folder / desk.book.path.name)
    other.clock = lambda: desk.clock() + timedelta(minutes=1)
    add_customer(other, name="Cosmo")
    set_typed(other, "backup_folder", str(stick))
    backups.set_passphrase(other, PASSPHRASE, PASSPHRASE)
    theirs = backups.back_up(other)  # later by its name, and sealed with the same words
    plain = other.book.backup(desk.book.path.parent / "backups")
    other.book.close()
    assert theirs.second.name > ours.second.name
    assert backups.newest_second(desk) == ours.second
    assert desk.book.newest_backup() == ours.path < plain
    assert "holds 2 jobs, the one of " in backups.look_at_newest(desk)
    told = {one.path: one.anothers for one in backups.kept_backups(desk)}
    assert told == {ours.path: False, ours.second: False, theirs.second: True, plain: True}


def test_a_copied_book_without_its_backups_is_not_said_to_have_broken_off(desk, tmp_path):
    assert not close_day(desk, TODAY).trouble
    for one in (desk.book.path.parent / "backups").iterdir():
        one.unlink()
    said = make_up_backup(desk)
    assert "No backup here held the close of Thursday 14 August; its backup is made now" in said
    assert "broken" not in said


@pytest.mark.parametrize("passphrase", ["", PASSPHRASE])
def test_a_second_backup_that_was_missed_is_made_up_once(desk, stick, ring, passphrase):
    if passphrase:
        backups.set_passphrase(desk, passphrase, passphrase)
    away = stick.rename(stick.with_name("away"))
    assert "there is no second backup" in close_day(desk, TODAY).trouble[0]
    assert make_up_backup(desk) == ""
    away.rename(stick)
    assert "The second backup of Thursday 14 August was missing" in make_up_backup(desk)
    assert make_up_backup(desk) == ""
    assert len(list(stick.iterdir())) == 1


def test_a_look_into_the_newest_says_its_day_and_its_jobs(desk, stick, ring):
    assert backups.look_at_newest(desk) == ""  # no day was closed: nothing is missed
    backups.set_passphrase(desk, PASSPHRASE, PASSPHRASE)
    for path in close_day(desk, TODAY).made.paths:
        path.unlink()
    with pytest.raises(Mendable, match="There is no backup of this book yet"):
        backups.look_at_newest(desk)
    made = backups.back_up(desk)
    jobs = f"{backup.jobs_in(made.path)} jobs"
    friday = "shop 2025-08-08 175400.bayledger"  # six days before, a Friday by the calendar
    made.path.rename(made.path.with_name(friday))
    made.second.rename(stick / "shop 2025-08-01 175400.bayledger.sealed")
    assert backups.look_at_newest(desk) == (
        f"Your backup of Friday opens and holds {jobs}, the one of 1 August 2025 in {stick} {jobs}"
    )


def test_a_newest_that_is_damaged_is_said_to_be(desk, stick, ring):
    backups.set_passphrase(desk, PASSPHRASE, PASSPHRASE)
    made = backups.back_up(desk)
    for path in (made.second, made.path):
        whole = path.read_bytes()
        path.write_bytes(whole[: len(whole) // 2])
        with pytest.raises(Mendable, match="is damaged; make another one now"):
            backups.look_at_newest(desk)
    change_settings(desk, backup_folder="")
