"""F5 on a job: what is in the book is found before a second vehicle is made of it."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QWidget

from app.actions.desk.desk import Desk
from app.actions.jobs.job_card import job_card
from app.actions.people.vehicles import add_vehicle, edit_vehicle
from app.window.house.office import Office
from app.window.house.place import PlaceEntry
from app.window.house.shell import Shell
from app.window.jobs.place import JobsPlace
from app.window.paper.finder import Finder
from tests.shop import SmallShop
from tests.window.keys import press, type_words


def test_a_plate_in_the_book_is_found_however_it_is_typed(
    office: Office, shop: SmallShop, desk: Desk, shown: Callable[[QWidget, int, int], QWidget]
) -> None:
    number = next(iter(shop.jobs))
    job = shop.jobs[number]
    own = job_card(desk, job).job
    assert own.vehicle_id is not None
    edit_vehicle(desk, own.vehicle_id, plate="LHM 5365")
    other = next(one for one in shop.customers.values() if one != own.customer_id)
    _, theirs = add_vehicle(desk, other, description="old pickup", plate="SLF 8821")
    shell = Shell(office, [PlaceEntry("jobs", "Jobs", "jobs", JobsPlace)])
    shown(shell, 1366, 768)
    shell.open_item("jobs", job)

    def lines(words: str) -> list[str]:
        press(Qt.Key.Key_F5)
        type_words(words)
        finder = QApplication.focusWidget().parent()
        assert isinstance(finder, Finder)
        finder.search()
        return [line.kind for line in finder.lines]

    assert lines("lhm5365") == ["This vehicle", "A new vehicle"]
    press(Qt.Key.Key_Return)
    assert job_card(desk, job).job.vehicle_id == own.vehicle_id
    assert lines("slf-8821") == ["In the book already", "A new vehicle"]
    press(Qt.Key.Key_Return)
    assert job_card(desk, job).job.vehicle_id == theirs
