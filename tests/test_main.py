"""The command line: every command, its exit codes, and the documents that describe it."""

from __future__ import annotations

import gc
import io
import json
import os
import re
import shlex
import shutil
import stat
import subprocess
import sys
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

import pytest
from sqlalchemy import text

from app.__main__ import BUG, main, ready_python
from app.actions.desk.desk import Desk
from app.actions.letters.reminder_files import ASIDE, CALENDAR, CALLS, CALLS_TEXT, LETTERS
from app.actions.orders.order_writing import set_packs
from app.actions.shop.backups import set_passphrase
from app.actions.shop.shop_settings import change_settings
from app.commands import day_commands, file_commands
from app.commands.saying import DONE, MENDABLE
from app.commands.usage import COMMANDS, USAGE, command_parser, top_parser
from app.records.book import Book
from app.records.models import Customer, Job
from app.records.queries import everything, settings
from tests import ROOT, WAIT
from tests.shop import TODAY, small_desk
from tests.waxed import waxed

DAY = TODAY.isoformat()


@pytest.fixture(scope="module")
def template(tmp_path_factory):
    """The small shop's book, closed, with an order chosen by hand."""
    path = tmp_path_factory.mktemp("template") / "shop.bayledger"
    desk, shop = small_desk(path)
    set_packs(desk, TODAY, shop.supplies["wax"], shop.packs["wax"], 2)
    desk.book.close()
    return path


@pytest.fixture
def book(template, tmp_path):
    """A copy of it to work in."""
    path = tmp_path / "shop.bayledger"
    shutil.copyfile(template, path)
    return path


def run(*arguments, env=None):
    """The command line in a process of its own."""
    return subprocess.run(
        [sys.executable, "-m", "app", *map(str, arguments)],
        capture_output=True,
        text=True,
        cwd=ROOT,
        env={**os.environ, **(env or {})},
        timeout=WAIT,
        check=False,
    )


def as_json(capsys, *arguments):
    assert main([str(one) for one in arguments]) == DONE
    return json.loads(capsys.readouterr().out)


def test_a_new_book_is_begun_once(tmp_path, capsys):
    path = tmp_path / "new.bayledger"
    assert main(["new", str(path)]) == DONE
    assert main(["check", str(path)]) == DONE
    assert main(["new", str(path)]) == MENDABLE
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    assert "Traceback" not in said


def test_the_day_is_shown_as_text_and_changes_nothing(book, capsys):
    before = book.read_bytes()
    assert main(["day", str(book), "--date", DAY]) == DONE
    said = capsys.readouterr().out
    assert "Thursday 14 August 2025, page 1, open" in said
    assert "0411  Jonas Quell, blue sedan: Upkeep wash; 1 h 30 min (expected)" in said
    assert "Friday parcel" in said
    assert book.read_bytes() == before


def test_the_day_as_text_says_its_currency_once_a_part_and_counts_whole_pieces(tmp_path, capsys):
    path = tmp_path / "demo.bayledger"
    assert main(["demo", str(path), "--years", "0.2"]) == DONE
    capsys.readouterr()
    assert main(["day", str(path)]) == DONE
    said = capsys.readouterr().out
    assert "Money taken, in USD: " in said
    assert "What to order, in USD:" in said
    used = said.partition("Supplies used:\n")[2].partition("\n\n")[0]
    counted = re.findall(r"(\S+) (?:pieces?|pairs?|loads?)\b", used)
    assert counted
    assert all(one.replace(",", "").isdecimal() for one in counted), counted
    assert " pc" not in used


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="only there is a disk always full")
@pytest.mark.parametrize("words", [("day", "--json"), ("check",)])
def test_output_that_finds_no_room_is_told(book, words):
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "app", words[0], str(book), *words[1:]],
            stdout=full, stderr=subprocess.PIPE, text=True, cwd=ROOT, timeout=WAIT, check=False,
        )  # fmt: skip
    assert done.returncode == MENDABLE
    assert done.stderr.splitlines() == ["the disk is full; check the name and the disk."]


def test_closing_books_the_day_once_with_its_papers(book, tmp_path, capsys):
    out = tmp_path / "evening"
    first = as_json(capsys, "close", book, "--date", DAY, "--out", out, "--json")
    soap = next(one for one in first["supplies"] if one["name"] == "Wash soap")
    assert (soap["used"], soap["left"], soap["unit"]) == (79_000, 1_921_000, "uL")
    files = [path for one in first["orders"] for path in one["files"]]
    assert sorted(Path(path).suffix for path in files) == [".pdf", ".txt", ".xlsx"]
    assert all(Path(path).is_file() for path in files)
    assert list(out.glob("*.bayledger"))
    again = ["close", str(book), "--date", DAY, "--out", str(out)]
    assert main(again) == DONE
    assert "closed already; there is nothing to do" in capsys.readouterr().out
    assert main([*again, "--json"]) == DONE
    second = capsys.readouterr()
    assert "closed already; there is nothing to do" in second.err
    assert json.loads(second.out)["supplies"] == first["supplies"]
    assert main(["check", str(book)]) == DONE


def test_every_file_that_a_close_writes_is_named_in_the_docs(tmp_path, capsys):
    page = (ROOT / "docs/commands.md").read_text(encoding="utf-8")
    rows = re.findall(r"^\| `([^`]+)` \|", page.partition("| file of a close |")[2], re.MULTILINE)
    words = {"NNNN": r"\d{4,}", "SUPPLIER": ".+", "NAME": ".+", "BOOK": ".+"}
    words |= {"YYYY-MM-DD": r"\d{4}-\d\d-\d\d", "HHMMSS": r"\d{6}"}
    patterns = []
    for row in rows:
        shape = re.escape(row).replace("\\-", "-").replace("\\ ", " ")
        for word, found in words.items():
            shape = shape.replace(word, found)
        patterns.append(re.compile(shape))
    path = tmp_path / "demo.bayledger"
    assert main(["demo", str(path), "--years", "2"]) == DONE
    capsys.readouterr()
    data = as_json(capsys, "close", path, "--out", tmp_path / "out", "--json")
    written = [Path(one).name for one in data["files"]]
    assert len(written) > 10
    assert [name for name in written if not any(one.fullmatch(name) for one in patterns)] == []
    together = {LETTERS, CALLS, CALLS_TEXT, CALENDAR}
    assert together <= set(rows)
    assert f"`{ASIDE}`" in page


def test_a_close_killed_before_its_papers_is_completed_by_the_next(book, tmp_path, capsys):
    out = tmp_path / "evening"
    code = (
        "import os; from app.__main__ import main; from app.actions.day import closing; "
        "closing._files = lambda *given: os._exit(9); "
        f"main(['close', {str(book)!r}, '--date', {DAY!r}, '--out', {str(out)!r}])"
    )
    killed = subprocess.run([sys.executable, "-c", code], cwd=ROOT, check=False)
    assert killed.returncode == 9
    assert not list(out.iterdir())
    assert main(["close", str(book), "--date", DAY, "--out", str(out)]) == DONE
    said = capsys.readouterr().out
    assert "closed already; what was missing is written: 4 files." in said
    assert all(str(path) in said for path in out.iterdir())
    assert {path.suffix for path in out.iterdir()} == {".xlsx", ".pdf", ".txt", ".bayledger"}
    assert main(["close", str(book), "--date", DAY, "--out", str(out)]) == DONE
    assert "there is nothing to do" in capsys.readouterr().out
    assert main(["check", str(book)]) == DONE


def test_a_close_without_its_backup_says_so_and_fails(book, capsys):
    (book.parent / "backups").write_text("not a folder")
    close = ["close", str(book), "--date", DAY]
    assert main([*close, "--json"]) == MENDABLE
    told = capsys.readouterr()
    data = json.loads(told.out)
    assert data["backup"] is None
    assert len(data["trouble"]) == 1
    assert told.err.count("\n") == 1
    assert told.err.startswith("The day is closed, but there is no backup: ")
    assert main(close) == MENDABLE
    told = capsys.readouterr()
    assert "no backup" in told.err
    assert "no backup" not in told.out
    (book.parent / "backups").unlink()
    data = as_json(capsys, *close, "--json")
    assert Path(data["backup"]).is_file()
    assert data["files"] == [data["backup"]]
    assert data["trouble"] == []


def paths(value, at=""):
    """The key of every leaf, with [] for a list."""
    if isinstance(value, dict):
        for key, part in value.items():
            yield from paths(part, f"{at}.{key}" if at else key)
    elif isinstance(value, list):
        for part in value:
            yield from paths(part, f"{at}[]")
    else:
        yield at


def test_the_data_has_exactly_the_keys_that_are_documented(book, tmp_path, capsys):
    with Book.open(book) as opened, opened.load() as session:
        waxed(session, 90, TODAY)
        settings.write(session, {"shop_email": "shop@lindmoor.example"})
    day = as_json(capsys, "day", book, "--date", DAY, "--json")
    closed = as_json(capsys, "close", book, "--date", DAY, "--out", tmp_path, "--json")
    keys = ["date", "jobs", "supplies", "money", "orders", "reminders"]
    assert list(day) == keys
    assert list(closed) == [*keys, "files", "backup", "backup_jobs", "second_backup", "trouble"]
    documented = set(
        re.findall(r"^\| `([a-z_.\[\]]+)` \|", (ROOT / "docs/day-json.md").read_text(), re.M)
    )
    assert set(paths(day)) | set(paths(closed)) | {"trouble[]"} == documented


def test_a_backup_is_restored_and_what_stood_there_is_kept(book, tmp_path, capsys):
    saved = tmp_path / "saved.bayledger"
    assert main(["backup", str(book), str(saved)]) == DONE
    assert main(["close", str(book), "--date", DAY]) == DONE
    assert main(["restore", str(saved), str(book)]) == DONE
    assert "What stood there before is" in capsys.readouterr().out
    assert as_json(capsys, "day", book, "--date", DAY, "--json")["jobs"][0]["hours"] == "expected"


PASSPHRASE = "three wet towels"


@pytest.fixture
def ring(monkeypatch):
    """A keyring that lives as long as the test."""
    kept = {}
    monkeypatch.setattr("keyring.set_password", lambda where, who, word: kept.update({who: word}))
    monkeypatch.setattr("keyring.get_password", lambda where, who: kept.get(who))
    return kept


def set_up(book, folder, passphrase=""):
    """A second place of backups, sealed where there is a passphrase."""
    folder.mkdir(exist_ok=True)
    with Book.open(book) as opened:
        desk = Desk(opened)
        change_settings(desk, backup_folder=str(folder))
        if passphrase:
            set_passphrase(desk, passphrase, passphrase)


def test_a_close_goes_to_the_second_place_too_and_says_how_many_jobs_it_holds(
    book, tmp_path, capsys
):
    set_up(book, tmp_path / "stick")
    closed = as_json(capsys, "close", book, "--date", DAY, "--json")
    with Book.open(book, write=False) as opened, opened.reading() as session:
        assert closed["backup_jobs"] == session.query(Job).count() > 0
    assert Path(closed["second_backup"]).parent == tmp_path / "stick"
    assert closed["second_backup"] in closed["files"]
    assert Path(closed["second_backup"]).read_bytes() == Path(closed["backup"]).read_bytes()


def test_where_the_second_place_is_not_there_the_close_says_so_goes_on_and_makes_it_up_later(
    book, tmp_path, capsys
):
    stick = tmp_path / "stick"
    set_up(book, stick)
    stick.rename(tmp_path / "pulled out")
    assert main(["close", str(book), "--date", DAY]) == MENDABLE
    said = capsys.readouterr()
    assert "there is no second backup: The folder" in said.err
    assert "put the stick in or connect the disk" in said.err
    assert len(list((tmp_path / "backups").iterdir())) == 1
    assert main(["close", str(book), "--date", DAY]) == MENDABLE
    (tmp_path / "pulled out").rename(stick)
    assert main(["close", str(book), "--date", DAY]) == DONE
    assert len(list(stick.iterdir())) == 1
    assert len(list((tmp_path / "backups").iterdir())) == 1
    capsys.readouterr()
    assert main(["close", str(book), "--date", DAY]) == DONE
    assert "there is nothing to do" in capsys.readouterr().out


def test_a_backup_says_how_many_jobs_it_holds_and_one_that_fails_fails(book, tmp_path, capsys):
    set_up(book, tmp_path / "stick")
    assert main(["backup", str(book)]) == DONE
    assert re.search(r"Backup in .*, with \d+ jobs, and in .*stick\.", capsys.readouterr().out)
    assert main(["backup", str(book), str(tmp_path / "one")]) == DONE
    assert len(list((tmp_path / "stick").iterdir())) == 1
    shutil.rmtree(tmp_path / "stick")
    assert main(["backup", str(book)]) == MENDABLE
    said = capsys.readouterr()
    assert "There is no second backup" in said.err
    assert "Backup in" in said.out


def test_a_sealed_backup_is_restored_by_its_passphrase_from_the_environment_or_the_input(
    book, tmp_path, capsys, monkeypatch, ring
):
    set_up(book, tmp_path / "stick", PASSPHRASE)
    assert main(["backup", str(book)]) == DONE
    (sealed,) = (tmp_path / "stick").iterdir()
    assert sealed.suffix == ".sealed"
    assert PASSPHRASE not in "".join(ring.values())
    assert PASSPHRASE.encode() not in book.read_bytes()
    other = tmp_path / "other.bayledger"
    monkeypatch.setattr("sys.stdin", io.StringIO("three dry towels\n"))
    assert main(["restore", str(sealed), str(other)]) == MENDABLE
    assert "The passphrase does not open" in capsys.readouterr().err
    monkeypatch.setattr("sys.stdin", io.StringIO(""))
    assert main(["restore", str(sealed), str(other)]) == MENDABLE
    assert "BAYLEDGER_PASSPHRASE" in capsys.readouterr().err
    assert not other.exists()
    monkeypatch.setattr("sys.stdin", io.StringIO(f"{PASSPHRASE}\n"))
    assert main(["restore", str(sealed), str(other)]) == DONE
    monkeypatch.setenv("BAYLEDGER_PASSPHRASE", PASSPHRASE)
    assert main(["restore", str(sealed), str(other)]) == DONE
    assert main(["check", str(other)]) == DONE
    assert "What stood there before is" in capsys.readouterr().out


@pytest.mark.parametrize("passphrase", ["", PASSPHRASE])
def test_the_book_is_got_back_on_another_pc_from_the_lines_on_paper(
    passphrase, book, tmp_path, capsys, monkeypatch, ring
):
    from app.records.contents import contents

    set_up(book, tmp_path / "stick", passphrase)
    assert main(["backup", str(book), "--paper"]) == DONE
    paper = capsys.readouterr().out.splitlines()
    assert len(paper) <= 8
    assert str(tmp_path / "stick") in " ".join(paper)
    assert ("your passphrase" in " ".join(paper)) == bool(passphrase)
    assert main(["close", str(book), "--date", DAY]) == DONE
    with Book.open(book, write=False) as opened:
        before = contents(opened)
    # Another PC: nothing of the old one but the stick, an empty keyring, a folder of one's own.
    folder = tmp_path / "another"
    folder.mkdir()
    newest = max((tmp_path / "stick").iterdir())
    shutil.copy(newest, folder)
    book.unlink()
    shutil.rmtree(tmp_path / "backups")
    ring.clear()
    (typed,) = (shlex.split(line) for line in paper if line.strip().startswith("bayledger restore"))
    monkeypatch.chdir(folder)
    monkeypatch.setattr("sys.stdin", io.StringIO(f"{passphrase}\n"))
    assert main(["restore", newest.name, typed[3]]) == DONE
    with Book.open(folder / typed[3], write=False) as opened:
        assert contents(opened) == before
    assert main(["check", typed[3]]) == DONE


def test_everything_is_exported_and_brought_into_a_new_book(book, tmp_path, capsys):
    from app.records.contents import contents

    export, copy = tmp_path / "all.xlsx", tmp_path / "copy.bayledger"
    assert main(["export", str(book), str(export)]) == DONE
    assert main(["new", str(copy)]) == DONE
    assert main(["import", str(copy), str(export), "--dry-run"]) == DONE
    assert "Nothing was written" in capsys.readouterr().out
    assert main(["import", str(copy), str(export)]) == DONE
    with Book.open(book, write=False) as one, Book.open(copy, write=False) as other:
        assert contents(one) == contents(other)


def test_the_template_can_be_brought_in_as_it_is(tmp_path, capsys):
    sheet, path = tmp_path / "lists.xlsx", tmp_path / "new.bayledger"
    assert main(["template", str(sheet)]) == DONE
    assert main(["new", str(path)]) == DONE
    assert main(["import", str(path), str(sheet)]) == DONE


def test_the_demo_is_a_whole_book_with_a_day_to_close(tmp_path, capsys):
    path = tmp_path / "demo.bayledger"
    assert main(["demo", str(path), "--years", "0.1", "--jobs-per-week", "5", "--seed", "3"]) == 0
    assert main(["check", str(path)]) == DONE
    capsys.readouterr()
    assert as_json(capsys, "day", path, "--json")["jobs"]


@pytest.mark.parametrize(
    "arguments",
    [
        ["day"],
        ["day", "B", "--date", "14.8.25"],
        ["close", "B", "--shut"],
        ["demo", "B", "--years", "two"],
        ["restore", "B"],
        ["--demo", "B"],
        ["B", "C"],
    ],
)
def test_wrong_usage_is_one_line_and_exit_code_two(arguments, capsys):
    assert main(arguments) == USAGE
    assert capsys.readouterr().err.count("\n") == 1


@pytest.mark.parametrize("command", ["day", "close", "check", "backup", "export", "import"])
def test_a_book_that_is_not_there_can_be_mended(command, tmp_path, capsys):
    arguments = [command, str(tmp_path / "none.bayledger")]
    if command in ("export", "import"):
        arguments.append(str(tmp_path / "file.xlsx"))
    assert main(arguments) == MENDABLE
    assert capsys.readouterr().err.count("\n") == 1


def test_a_file_that_is_no_book_can_be_mended(tmp_path, capsys):
    path = tmp_path / "letter.txt"
    path.write_text("Dear Mara")
    assert main(["day", str(path)]) == MENDABLE
    assert path.read_text() == "Dear Mara"


def test_a_book_that_is_open_elsewhere_is_read_but_not_written(book, capsys):
    with Book.open(book):
        assert main(["day", str(book), "--date", DAY]) == DONE
        assert main(["backup", str(book)]) == DONE
        assert main(["close", str(book), "--date", DAY]) == MENDABLE
    assert capsys.readouterr().err.count("\n") == 1


def test_our_mistake_is_one_line_that_names_a_file_with_the_details(
    book, capsys, monkeypatch, tmp_path
):
    import platformdirs

    typed = "Mara Tolk owes $ 90"

    def break_down(*_):
        raise ValueError(typed)

    monkeypatch.setattr(platformdirs, "user_log_path", lambda *_, **__: tmp_path / "log")
    monkeypatch.setattr(day_commands, "show_day", break_down)
    assert main(["day", str(book)]) == BUG
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    details = Path(said.rsplit("Details: ", 1)[1].strip())
    written = details.read_text()
    assert "ValueError" in written
    assert "tests/test_main.py" in written
    assert "in break_down" in written
    assert "Tolk" not in written


def test_a_damaged_book_is_reported_and_refused(book, capsys):
    raw = bytearray(book.read_bytes())
    raw[5000:9000] = b"\x55" * 4000
    book.write_bytes(bytes(raw))
    assert main(["check", str(book)]) == MENDABLE
    assert capsys.readouterr().err.count("\n") == 1


def test_text_that_is_no_utf_8_is_damage_and_not_our_mistake(book, capsys):
    with Book.open(book) as opened, opened.load() as session:
        session.execute(text("UPDATE customers SET name = CAST(x'4e6fc3' AS TEXT)"))
    for command in ("day", "check", "export"):
        more = [str(book.with_name("all.xlsx"))] if command == "export" else []
        assert main([command, str(book), *more]) == MENDABLE
    said = capsys.readouterr()
    assert said.err.count("\n") == 3
    assert said.err.count("bayledger salvage BOOK NEW") == 2
    assert "is not whole" in said.err


def test_a_damaged_book_is_salvaged_and_what_is_lost_is_listed(book, tmp_path, capsys):
    raw = bytearray(book.read_bytes())
    raw[60 * 4096 : 64 * 4096] = bytes(4 * 4096)
    book.write_bytes(bytes(raw))
    new = tmp_path / "new.bayledger"
    assert main(["salvage", str(book), str(new)]) == DONE
    said = capsys.readouterr().out
    assert f"{new} is a new, whole book; {book} is as it was." in said
    assert " lines were got out; " in said
    assert main(["check", str(new)]) == DONE
    assert main(["salvage", str(book), str(new)]) == MENDABLE
    assert "exists already" in capsys.readouterr().err
    assert book.read_bytes() == bytes(raw)


@pytest.mark.skipif(sys.platform == "win32", reason="no limit on the size of files")
@pytest.mark.parametrize("room", [0, 2_000, 9_000])
def test_a_disk_that_fails_in_an_export_is_one_line_and_leaves_nothing(book, tmp_path, room):
    limited = (
        "import resource, sys; from app.__main__ import main; "
        f"resource.setrlimit(resource.RLIMIT_FSIZE, ({room}, {room})); "
        f"sys.exit(main(['export', {str(book)!r}, {str(tmp_path / 'all.xlsx')!r}]))"
    )
    done = subprocess.run(
        [sys.executable, "-c", limited],
        capture_output=True,
        text=True,
        cwd=ROOT,
        check=False,
        env={**os.environ, "TMPDIR": str(tmp_path)},
    )
    assert done.returncode == MENDABLE
    assert done.stderr.count("\n") == 1
    assert "Traceback" not in done.stderr
    assert not list(tmp_path.glob("*.xlsx")) + list(tmp_path.glob(".*.part"))


def test_every_command_in_the_help_is_documented_and_the_other_way_round():
    helped = top_parser().format_help()
    documented = dict(
        line.removeprefix("## ").split(" ", 1)
        for line in (ROOT / "docs/commands.md").read_text().splitlines()
        if line.startswith("## ")
    )
    assert documented == {name: usage for name, (usage, _) in COMMANDS.items()}
    for name, (usage, does) in COMMANDS.items():
        assert f"{name} {usage}" in helped
        assert does in helped
        assert f"bayledger {name} {usage}" in command_parser(name).format_usage()
    text = (ROOT / "docs/commands.md").read_text()
    assert set(re.findall(r"(?<![\w-])--[a-z-]+", helped)) - {"--help"} <= set(
        re.findall(r"--[a-z-]+", text)
    )


@pytest.mark.parametrize("name", [*COMMANDS, ""])
def test_the_help_explains_every_argument_and_names_no_page_that_is_not_installed(name):
    parser = command_parser(name) if name else top_parser()
    assert parser._actions
    assert [one.dest for one in parser._actions if not (one.help or "").strip()] == []
    assert "docs/" not in parser.format_help()
    for one in parser._actions:
        assert one.metavar is None or one.metavar in parser.format_usage()


def test_without_a_display_one_sentence_names_the_commands():
    bare = {"DISPLAY": "", "WAYLAND_DISPLAY": "", "QT_QPA_PLATFORM": ""}
    done = run(env=bare)
    if not sys.platform.startswith("linux"):
        pytest.skip("only asked before Qt on Linux")
    assert done.returncode == MENDABLE
    assert done.stderr.count("\n") == 1
    assert "There is no display" in done.stderr
    assert all(command in done.stderr for command in ("day", "close", "import"))


def test_commands_load_nothing_that_they_do_not_need(book):
    heavy = ("pandas", "matplotlib", "openpyxl", "PySide6", "vobject", "phonenumbers")
    code = (
        "import sys; from app.__main__ import main; "
        f"assert main(['day', {str(book)!r}, '--date', {DAY!r}]) == 0; "
        f"assert main(['close', {str(book)!r}, '--date', {DAY!r}]) == 0; "
        f"print(*[name for name in {heavy!r} if name in sys.modules], file=sys.stderr)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, check=False
    )
    assert (done.returncode, done.stderr.strip()) == (0, "")


def test_the_real_program_says_its_version_and_helps():
    assert run("--version").stdout.startswith("bayledger ")
    done = run("close", "--help")
    assert done.returncode == DONE
    assert "--out" in done.stdout


@pytest.mark.parametrize("command", ["template", "export"])
def test_a_workbook_that_stands_there_is_moved_aside_and_named(command, book, tmp_path, capsys):
    sheet = tmp_path / "filled in.xlsx"
    sheet.write_text("what somebody typed")
    given = [command, str(sheet)] if command == "template" else [command, str(book), str(sheet)]
    assert main(given) == DONE
    said = capsys.readouterr().out
    (old,) = [one for one in tmp_path.glob("filled in until *.xlsx")]
    assert old.read_text() == "what somebody typed"
    assert f"What stood there before is {old}." in said
    assert main(given) == DONE  # and once more: nothing is written over
    assert len(list(tmp_path.glob("filled in until *.xlsx"))) == 2


def test_what_is_kept_of_one_person_is_written_as_workbook_and_text(book, tmp_path, capsys):
    before = book.read_bytes()
    assert main(["person", str(book), "quell", str(tmp_path / "jonas.xlsx")]) == DONE
    said = capsys.readouterr().out
    assert said.endswith(f"stands in {tmp_path / 'jonas.xlsx'} and {tmp_path / 'jonas.txt'}.\n")
    assert "Jonas Quell" in (tmp_path / "jonas.txt").read_text()
    assert book.read_bytes() == before
    assert main(["person", str(book), "nobody", str(tmp_path / "n.xlsx")]) == MENDABLE
    assert "There is no customer “nobody” in the book" in capsys.readouterr().err


def test_a_day_far_from_the_book_is_closed_only_when_it_is_meant(book, capsys):
    assert main(["close", str(book), "--date", "1990-01-01"]) == MENDABLE
    said = capsys.readouterr().err
    assert "1990-01-01 lies far from all days of this book; the nearest is" in said
    assert "--yes" in said
    assert main(["close", str(book), "--date", "1990-01-01", "--yes"]) == DONE
    assert main(["close", str(book), "--date", DAY]) == DONE


def test_with_a_wrong_clock_nothing_is_written_without_a_yes(book, tmp_path, capsys, monkeypatch):
    assert main(["close", str(book), "--date", DAY]) == DONE
    people = tmp_path / "people.csv"
    people.write_text("Name,Phone\nAnn Marlow,212 555 0142\n")

    @contextmanager
    def long_ago(path, *, write):
        with Book.open(path, write=write) as opened:
            yield Desk(opened, clock=lambda: datetime(2019, 3, 5, 18, tzinfo=UTC))

    for module in (day_commands, file_commands):
        monkeypatch.setattr(module, "open_book", long_ago)
    for given in (["close", str(book)], ["import", str(book), str(people)]):
        capsys.readouterr()
        assert main(given) == MENDABLE
        said = capsys.readouterr().err
        assert "2019" in said
        assert "2025" in said
        assert "add --yes if this day is meant" in said
        assert said.count("\n") == 1
    assert main(["day", str(book)]) == DONE
    said = capsys.readouterr().err
    assert "1 closed day, 14 August 2025, lies later than 5 March 2019." in said
    assert main(["import", str(book), str(people), "--yes"]) == DONE
    assert main(["close", str(book), "--yes"]) == DONE


@pytest.mark.parametrize(
    "given",
    [
        ["import", "{book}", "{gone}/list.csv"],
        ["import", "{book}", "{folder}"],
        ["check", "{gone}/shop.bayledger"],
        ["export", "{book}", "{gone}/all.xlsx"],
        ["template", "{gone}/all.xlsx"],
        ["template", "{folder}/" + "x" * 300 + ".xlsx"],
        ["backup", "{book}", "{gone}/copy.bayledger"],
        ["restore", "{gone}/copy.bayledger", "{book}"],
        ["close", "{book}", "--date", DAY, "--out", "{book}/papers"],
    ],
)
def test_no_words_of_the_system_stand_in_a_sentence(given, book, tmp_path, capsys):
    places = {"book": book, "gone": tmp_path / "gone", "folder": tmp_path}
    assert main([part.format(**places) for part in given]) == MENDABLE
    said = capsys.readouterr().err
    for words in ("No such file", "Is a directory", "Not a directory", "Errno", "too long)"):
        assert words not in said


def test_the_dry_run_names_doubtful_columns_near_names_and_totals(book, tmp_path, capsys):
    shelf, people = tmp_path / "shelf.csv", tmp_path / "people.csv"
    shelf.write_text("Product,Pack size,Unit\nSoap,1 gal,$24\nWax,1 gal,$9\nTar,1 gal,$3\n")
    people.write_text("Name,City\nRobert Hill,Tarn\nBob Hill,Tarn\nTotal: 2 customers,\n")
    assert main(["import", str(book), str(shelf), str(people), "--dry-run"]) == DONE
    said = capsys.readouterr().out
    assert "shelf.csv: Column C (Unit) was taken for Price by its values alone" in said
    assert "Is Bob Hill the same as Robert Hill?" in said
    assert "people.csv: row 4 was left out as a total." in said


def test_import_names_what_titles_lead_to_and_takes_it_only_where_it_is_told_to(
    book, tmp_path, capsys
):
    jobs = tmp_path / "jobs.csv"
    jobs.write_text(
        "Date,Customer,Vehicle,Services\n3/5/2025,Ann Marlow,red van,Ceramic 2yr\n"
        "3/6/2025,Ann Marlow,red van,Ceramic coating\n"
    )
    assert main(["import", str(book), str(jobs)]) == DONE
    said = capsys.readouterr().out
    assert "“Ceramic 2yr” (1 job): proposed: Ceramic 2 year; leaves " in said
    assert "“Ceramic coating” (1 job): which layer?" in said
    assert "--accept-proposals takes what is proposed." in said
    with Book.open(book) as before, before.reading() as session:
        services = everything.count(session, "services")
        events = everything.count(session, "layer_events")
    assert main(["import", str(book), str(jobs), "--accept-proposals"]) == DONE
    assert "“Ceramic 2yr” (1 job): taken" in capsys.readouterr().out
    with Book.open(book) as after, after.reading() as session:
        assert everything.count(session, "services") == services + 1
        assert everything.count(session, "layer_events") == events + 3


@pytest.mark.skipif(os.name == "nt", reason="Windows keeps rights by folders")
def test_nobody_else_may_read_what_is_written(tmp_path, monkeypatch, capsys):
    before = os.umask(0o022)  # as most systems have it
    try:
        path, out = tmp_path / "shop.bayledger", tmp_path / "evening"
        saved, sheet = tmp_path / "saved.bayledger", tmp_path / "all.xlsx"
        assert main(["demo", str(path), "--years", "0.1"]) == DONE
        assert main(["close", str(path), "--out", str(out)]) == DONE
        assert main(["backup", str(path)]) == DONE
        assert main(["backup", str(path), str(saved)]) == DONE
        assert main(["restore", str(saved), str(path)]) == DONE
        assert main(["export", str(path), str(sheet)]) == DONE
        assert main(["template", str(tmp_path / "empty.xlsx")]) == DONE
        monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
        monkeypatch.setattr("app.commands.book_commands.check", lambda _wanted: 1 / 0)
        assert main(["check", str(path)]) == BUG
        with Book.open(path) as book, book.change("A log beside it") as session:
            session.add(Customer(name="Ada Quillfeather"))
            rights = {
                one.relative_to(tmp_path).as_posix(): stat.S_IMODE(one.stat().st_mode)
                for one in tmp_path.rglob("*")
                if not one.name.endswith(".writing")  # empty
            }
    finally:
        os.umask(before)
    assert len(rights) > 12
    assert any(name.endswith("-wal") for name in rights)
    assert any(name.endswith(".log") for name in rights)
    wrong = {
        name: oct(mode)
        for name, mode in rights.items()
        if mode != (0o700 if (tmp_path / name).is_dir() else 0o600)
    }
    assert wrong == {}


def test_a_hundred_thousand_rows_are_kept_without_being_looked_through_again_and_again() -> None:
    usual, threads = gc.get_threshold(), os.environ.get("OPENBLAS_NUM_THREADS")
    try:
        ready_python()
        gc.collect()  # what earlier tests left to be looked at is not counted
        before = [one["collections"] for one in gc.get_stats()]
        rows = [[number] for number in range(100_000)]
        after = [one["collections"] for one in gc.get_stats()]
    finally:
        gc.set_threshold(*usual)
        if threads is None:
            del os.environ["OPENBLAS_NUM_THREADS"]
    assert len(rows) == 100_000
    assert after[2] == before[2]
    assert sum(after) - sum(before) <= 6
