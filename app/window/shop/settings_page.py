"""The shop's settings, in the same numbered entries as everything else."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any, ClassVar
from zoneinfo import available_timezones

from PySide6.QtWidgets import QLineEdit, QWidget

from app.actions.desk.amounts import money
from app.actions.desk.desk import Changed
from app.actions.desk.settings import Settings
from app.actions.letters import letter_wording, sending
from app.actions.people.consents import USUAL_WORDING
from app.actions.shop import factors, mail_account, shop_settings
from app.actions.shop.shop_settings import RULE_WORDS
from app.calculations.numbers.dates import weekday_day
from app.errors import Mendable
from app.window.house.acting import in_background, on_book
from app.window.house.entriespage import EntriesPage
from app.window.house.office import Office
from app.window.house.savedform import SavedForm
from app.window.paper.action import ActionRow
from app.window.paper.fields import LineField, Options
from app.window.paper.finder import FoundLine
from app.window.paper.notes import Block, Facts, Note, Rule, Voice, Writable
from app.window.paper.partsbody import PartsBody
from app.window.shop import cover_form, tax_body
from app.window.shop.backup_fields import SEAL_NO_MORE, PassphraseFields
from app.window.shop.factor_tables import PlaceFactors, WorkFactors
from app.window.shop.mark_choice import (
    CHOOSE,
    TAKE_AWAY,
    choose_mark,
    mark_drawing,
    mark_row,
    take_away,
)

KEYS = (
    ("Tab", "next field"),
    ("Alt 1–0", "another entry"),
    ("F5", "choose the shop’s mark"),
    ("Ctrl ↵", "try the mail account"),
    ("Esc", "back"),
)
_VOICE = {
    "shop": ("The name and address stand at the head of order sheets and letters, and the mail "
             "address is what your letters come from.",
             "The mark is a picture of yours, at the head of estimates, invoices, credit notes and "
             "statements. It is kept small in the book."),
    "money": ("What was charged already stays as it is; a new hourly rate holds from now on.",
              "An estimate’s ceiling asks for a call before it is passed by more than this."),
    "tax": tax_body.VOICE,
    "units": ("Quantities are kept exactly and only shown in these units.",
              "A bare 10:1 can mean ten parts water to one of product, or the reverse. It is never "
              "guessed: until you choose, each such number is asked about."),
    "time": ("A day of the book is the date in this time zone.",
             "The plan of the jobs is made of the open hours; without them the hours of a working "
             "day count on each day that you usually work. Nothing is planned on a closed day."),
    "work": ("What a service is expected to take is for a medium vehicle in average condition; "
             "these numbers carry it to the others, until your own jobs have taught better.",
             "They are judgement. What was booked already stays as it is."),
    "places": ("One is a garaged vehicle washed by hand. The answers of a vehicle are multiplied; "
               "the product shortens the time that each layer is expected to last.",
               "A practitioner’s scale, not a measured one; what you judge on the vehicles "
               "teaches how far it holds."),
    "reminders": ("One message for a household, about everything of theirs that is due. Somebody "
                  "who said stop, or has died, is never written to, whatever stands here.",
                  "In the wording, {name}, {work}, {reason}, {vehicle} and {shop} are filled in."),
    "backups": ("Each close makes a backup beside the book, and one in this folder too: a stick, "
                "a network disk. Books that share a folder need names of their own.",
                "With a passphrase the copies in the folder are sealed. The system’s keyring "
                "keeps the key. A lost passphrase cannot be found again: write it down."),
    "mail": ("Without an account, letters are written as drafts that your own mail program sends.",
             "The test sends one message to the shop’s own address."),
    "cover": cover_form.VOICE,
}  # fmt: skip
_TABLES: dict[str, type[WorkFactors] | type[PlaceFactors]] = {
    "work": WorkFactors,
    "places": PlaceFactors,
}
# the lines of each entry's form: key, label, hint, how many columns it spans
_LINES: dict[str, tuple[tuple[str, str, str, int], ...]] = {
    "shop": (
        ("shop_name", "Name", "", 2),
        ("shop_phone", "Telephone", "", 1),
        ("shop_address", "Address", "street, town and postal code", 2),
        ("shop_email", "Mail address", "", 1),
    ),
    "money": (
        ("currency", "Currency", "three letters", 1),
        ("hourly_rate", "An hour costs", "", 1),
        ("hours_from", "Likely hours after five jobs of a kind", "", 1),
        ("call_above", "Call when above what was approved by", "", 1),
        ("terms_days", "Invoices are due after, days", "14", 1),
        ("how_to_pay", "How to pay, several parted by ;", "check: to the address above", 2),
    ),
    "units": (
        ("system", "Quantities are shown in", "", 1),
        ("dilution_reading", "A bare 10:1 means", "", 1),
        ("date_order", "Dates in files, where unclear", "", 1),
        ("region", "Country of telephone numbers", "two letters", 1),
    ),
    "time": (
        ("zone", "Time zone", "America/Chicago", 1),
        ("hours_a_day", "Hours of a working day", "", 1),
        ("open_week", "Open hours", "Mon-Fri 8:00-16:30, Sat 8-12", 2),
        ("opens_at", "Else it opens at", "8:00", 1),
        ("closed_days", "Closed days", "24 Dec to 2 Jan, 4 Jul", 2),
        ("bays", "Vehicles inside at a time", "1", 1),
        ("people", "People who work", "1", 1),
        ("calendar_file", "Calendar file, written at each close", "none", 2),
        ("calendar_holds", "Cures and drying in it", "", 1),
        ("service_quantile", "Enough on the shelf, times in 100", "", 1),
        ("freight_days", "Days early that cost as much again", "125", 1),
    ),
    "reminders": (
        *((f"rule {name}", words, "", 1) for name, words in RULE_WORDS.items()),
        ("letter_subject", "Subject of letters", "the usual one", 2),
        ("consent_wording", "Words of a consent", USUAL_WORDING, 3),
    ),
    "backups": (("backup_folder", "Folder of the second backup", "none", 3),),
    "mail": (
        ("mail_host", "Server for sending", "smtp.example.org", 1),
        ("mail_port", "Port", "587", 1),
        ("mail_security", "Connection", "", 1),
        ("mail_user", "User", "", 1),
    ),
}
_CHOICES: dict[str, Options] = {
    "hours_from": [("the shop’s own", "own"), ("the list’s", "list")],
    "system": [("US", "us"), ("metric", "metric")],
    "dilution_reading": [
        ("ask each time", "ask"),
        ("10 water to 1 product", "water_first"),
        ("10 product to 1 water", "product_first"),
    ],
    "date_order": [("month first", "mdy"), ("day first", "dmy")],
    "calendar_holds": [("left in", "in"), ("left out", "out")],
    "mail_security": [
        ("STARTTLS", "starttls"),
        ("TLS from the start", "tls"),
        ("not protected", "none"),
    ],
}


def found_settings() -> list[tuple[str, str, tuple[str, str]]]:
    """Every setting for Find anything: its label, the title of its entry, and where it stands."""
    lines = [
        (label, key, name) for key, fields in _LINES.items() for name, label, _hint, _span in fields
    ]
    lines += [(label, "tax", name) for name, label in tax_body.FIELDS]
    lines += [(title, key, "") for key, (title, _) in SettingsPage.entries.items()]
    return [
        (label, SettingsPage.entries[key][0] if name else "", (key, name))
        for label, key, name in lines
    ]


def _changed(count: int) -> str:
    return "as usual" if not count else f"{count} your own"


def _places_of_backups(settings: Settings) -> str:
    if not settings.backup_folder:
        return "beside the book only"
    return "second ones sealed" if settings.backup_salt else "second ones not sealed"


class SettingsPage(EntriesPage):
    """Entries of fields or factors; each field is one named action when it is left."""

    entries: ClassVar = {
        "shop": ("The shop", "Stands on order sheets and letters."),
        "money": ("Money", "What an hour costs, and when invoices are due."),
        "tax": ("Tax", "As your tax office wants it."),
        "units": ("Units and files", "What you type stays as you typed it."),
        "time": ("Time, hours and bays", "The plan of the jobs is made of these."),
        "work": ("Sizes and conditions", "Type another number; nothing takes the usual one."),
        "places": ("Where vehicles live", "Type another number; nothing takes the usual one."),
        "reminders": ("Reminders", "When to ask, and the wording of letters."),
        "mail": ("Mail account", "The password goes to the system’s keyring, never into the book."),
        "backups": ("Backups", "A second place for them, and a passphrase."),
        "cover": ("Cover when idle", "Of this window at this computer, not of the book."),
    }
    shows = frozenset({"settings"})
    keys = (("Settings", (*KEYS[:2], *tax_body.KEYS, *KEYS[2:])),)

    def __init__(self, office: Office) -> None:
        super().__init__(office)
        self.forms: dict[str, SavedForm] = {}
        self.tables: dict[str, WorkFactors | PlaceFactors] = {}
        self.tax: tax_body.TaxBody | None = None
        self.password = LineField(office.theme, "", "kept in the keyring")
        self.password.setEchoMode(QLineEdit.EchoMode.Password)
        self.password.editingFinished.connect(self._keep_password)
        self.passphrases = PassphraseFields(office)
        self.set_head("Settings", "every field is saved when you leave it")
        self._show_results()
        self.begin("shop", self.office.go_back)
        self.on_key("F4", self._choose_zone)
        self.on_key("Ctrl+Del", self._remove_rate)
        self.on_key(SEAL_NO_MORE, self._seal_no_more)
        self.on_key(CHOOSE, self._choose_mark)
        self.on_key(TAKE_AWAY, self._take_away)

    def open_item(self, item: object) -> None:
        """Open an entry at one of its fields."""
        if isinstance(item, tuple) and item and item[0] in self.entries:
            key, name = item
            self.strip.open(key, still=True)
            if name and key == "tax" and self.tax is not None:
                self.tax.form.focus(name)
            elif name:
                self.forms[key].focus(name)
            else:
                self.entered()

    # building ------------------------------------------------------------------------------
    def make_body(self, key: str) -> QWidget:
        theme = self.office.theme
        if key == "cover":
            return cover_form.CoverForm(self.office, self._show_results)
        if key == "tax":
            self.tax = tax_body.TaxBody(self.office)
            return self.tax
        if key in _TABLES:
            table = self.tables[key] = _TABLES[key](self.office)
            table.show_factors()
            return PartsBody(theme, table)
        form = self.forms[key] = SavedForm(self.office, self._save, columns=3)
        for name, label, hint, span in _LINES[key]:
            if name in _CHOICES:
                form.choice(name, label, _CHOICES[name])
            else:
                form.line(name, label, hint, span)
        self._fill(key)
        parts: list[QWidget] = [form]
        if key == "shop":
            parts.append(mark_row(self.office, self))
        if key == "mail":
            form.add("Password", self.password)
            row = ActionRow(theme, "Send a test to the shop")
            row.button.clicked.connect(self.primary)
            parts.append(row)
        if key == "backups":
            parts.append(self.passphrases.put_into(form))
        if key == "time":
            row = ActionRow(theme, "Choose the time zone", "F4")
            row.button.clicked.connect(self._choose_zone)
            parts.append(row)
        return PartsBody(theme, *parts, focus=form.first_field, gap=2)

    def _save(self, key: str, value: Any) -> Callable[[], Changed]:
        desk = self.office.desk
        if key.startswith("rule "):
            return partial(shop_settings.set_rule, desk, key.removeprefix("rule "), str(value))
        return partial(shop_settings.set_typed, desk, key, value)

    # showing -------------------------------------------------------------------------------
    def refresh(self, kinds: frozenset[str]) -> None:
        """Show the settings as they stand."""
        for key in self.forms:
            self._fill(key)
        for table in self.tables.values():
            table.show_factors()
        if self.tax is not None:
            self.tax.show_all()
        if "backups" in self.forms:
            self.passphrases.say_ready()
        self._show_results()
        self.explain()

    def _fill(self, key: str) -> None:
        settings = self.office.desk.settings
        values: dict[str, Any] = dict(vars(settings))
        values["system"] = settings.system.value
        values["hourly_rate"] = money(self.office.desk, settings.hourly_rate)
        values["call_above"] = money(self.office.desk, settings.call_above)
        values["service_quantile"] = f"{100 * settings.service_quantile:g}"
        values["freight_days"] = f"{settings.freight_days:g}"
        for name in ("open_week", "closed_days", "opens_at"):
            values[name] = shop_settings.shown_setting(self.office.desk, name)
        for name, number in shop_settings.rules(self.office.desk).items():
            values[f"rule {name}"] = number
        self.forms[key].show_values(values)

    def _show_results(self) -> None:
        settings = self.office.desk.settings
        results = {
            "shop": settings.shop_name or "no name yet",
            "money": settings.currency,
            "tax": tax_body.standing(self.office.desk),
            "units": "US" if settings.system.value == "us" else "metric",
            "time": settings.zone,
            "work": _changed(factors.changed_work_factors(self.office.desk)),
            "places": _changed(factors.changed_place_factors(self.office.desk)),
            "reminders": "your own rules" if settings.reminder_rules else "the usual rules",
            "mail": settings.mail_host or "none, drafts only",
            "cover": cover_form.standing(self),
            "backups": _places_of_backups(settings),
        }
        done = {"shop": bool(settings.shop_name), "mail": bool(settings.mail_host)}
        self.show_entries(results, lambda key: done.get(key, True))

    def explain(self) -> None:
        key = self.strip.open_key or "shop"
        blocks: list[Block] = [Voice(text) for text in _VOICE[key]]
        if key == "time":
            now = self.office.clock_time()
            today = weekday_day(self.office.desk.today)
            blocks += [Rule(), Facts((("It is now", now), ("The day", today)))]
            blocks += [Rule(), Voice(shop_settings.shelf_money_text(self.office.desk))]
        if key == "shop" and self.office.desk.settings.shop_mark:
            blocks += [Rule(), mark_drawing(self.office.desk.settings.shop_mark)]
        if key == "reminders":
            words = self.office.desk.settings.letter_text or letter_wording.DEFAULT_TEXT
            blocks += [
                Rule(),
                Writable("words", "The wording, yours to change", words, self._words),
            ]
        where = {"Ctrl ↵": "mail", "F5": "shop"}
        keys = tuple(one for one in KEYS if where.get(one[0], key) == key)
        if key == "tax":
            keys = (*tax_body.KEYS, *keys)
        self.margin.say(Note(self.entries[key][0], tuple(blocks), keys))

    def _words(self, text: str) -> None:
        usual = text.strip() == letter_wording.DEFAULT_TEXT.strip()
        wanted = "" if usual else text.strip()
        on_book(self.office, shop_settings.change_settings, letter_text=wanted)

    # doing ---------------------------------------------------------------------------------
    def _choose_zone(self) -> None:
        zones = sorted(z for z in available_timezones() if "/" in z and not z.startswith("Etc"))

        def put(zone: str) -> None:
            on_book(self.office, shop_settings.change_settings, zone=zone)

        def look_up(text: str) -> list[FoundLine]:
            low = text.lower().replace(" ", "_")
            found = [zone for zone in zones if low in zone.lower()]
            return [
                FoundLine("Time zones", zone.replace("_", " "), "", partial(put, zone))
                for zone in found[:200]
            ]

        self.strip.open("time", still=True)
        self.pick("a town of your time zone", look_up)

    def _remove_rate(self) -> None:
        if self.strip.open_key == "tax" and self.tax is not None:
            self.tax.remove()

    def _choose_mark(self) -> None:
        if self.strip.open_key == "shop":
            choose_mark(self.office, self)

    def _take_away(self) -> None:
        if self.strip.open_key == "shop":
            take_away(self.office)
        form = self.strip.made("cover")
        if self.strip.open_key == "cover" and isinstance(form, cover_form.CoverForm):
            form.take_away()

    def _seal_no_more(self) -> None:
        if self.strip.open_key == "backups":
            self.passphrases.seal_no_more()

    def _keep_password(self) -> None:
        typed = self.password.text()
        if not typed:
            return
        desk = self.office.desk
        try:
            mail_account.keep_password(mail_account.mail_server(desk.settings), typed)
        except Mendable as trouble:
            self.password.set_trouble(trouble.sentence)
            self.office.say_trouble(trouble.sentence)
            return
        self.password.clear()
        self.office.say("The password is in the keyring")

    def primary(self) -> None:
        """Send a message to the shop itself, in the background."""
        if self.strip.open_key != "mail":
            self.strip.open("mail")
            return
        desk = self.office.desk

        def done(delivery: Any) -> None:
            if delivery.outcome.value == "taken":
                self.office.say(f"The test went out to {desk.settings.shop_email}")
            else:
                self.office.say_trouble(delivery.sentence)

        in_background(self.office, self, "Sending a test", lambda: sending.send_test(desk), done)
