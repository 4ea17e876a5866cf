"""The Renewals place: every layer out there as a bar that loses height and ink with certainty."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from datetime import date, timedelta
from functools import partial
from pathlib import Path

from app.actions.desk.desk import Changed, Desk
from app.actions.letters import reminder_files, reminders, renewing, sending
from app.actions.letters.came_of_it import CameOfIt, came_of_it
from app.actions.letters.letter_views import LetterView
from app.actions.letters.reminders import WhomToRemind
from app.actions.letters.renewal_groups import grouped
from app.actions.letters.renewing import RenewalRow, Renewals
from app.actions.letters.unsure_mail import UnsureView
from app.calculations.numbers.dates import near
from app.calculations.numbers.wording import count_of
from app.window.house.acting import in_background, on_day, on_each
from app.window.house.filechoice import FileChoice
from app.window.house.office import Office
from app.window.house.place import STILL, Place
from app.window.house.runner import Task
from app.window.paper.action import ActionRow
from app.window.paper.cells import EmptyText, GroupRow, TableRow
from app.window.paper.notes import (
    Alert,
    Block,
    Facts,
    Note,
    NoteHeading,
    Offer,
    Rule,
    Voice,
)
from app.window.paper.partsbody import PartsBody
from app.window.paper.runs import Run
from app.window.renewals.came_note import behind, came_note
from app.window.renewals.drafts_words import drafts_words
from app.window.renewals.renewal_rows import ANSWER_KEYS, FOLDS, PAGE_KEYS, drawing_key
from app.window.renewals.renewal_table import RenewalTable
from app.window.renewals.unsure_rows import (
    DID_NOT,
    UNSURE_GROUP,
    UNSURE_KEYS,
    WENT,
    unsure_blocks,
    unsure_key,
    unsure_line,
)


class RenewalsPlace(Place):
    """Layers soonest due first; the margin explains one and holds the reminder about it."""

    shows = frozenset({"layers", "reminders", "customers", "vehicles", "supplies", "days", "day"})
    keys = (
        (
            "Renewals",
            (
                *PAGE_KEYS,
                ("W", "show who is not to be asked now"),
                ("L", "show what is due later"),
                ("Space", "show all that may be asked"),
                ("G", "checked, still good"),
                ("H", "what came of the reminders"),
                ("F5", "judge again"),
            ),
        ),
        ("An answer came", tuple((key, words) for key, _, words in ANSWER_KEYS)),
        ("May or may not have gone", UNSURE_KEYS),
        (
            "Reminders",
            (("D", "write the drafts to a folder"), ("M", "send by mail what is written")),
        ),
    )

    def __init__(self, office: Office) -> None:
        super().__init__(office)
        self._view: Renewals | None = None
        self._rows: dict[Hashable, RenewalRow] = {}
        self._whom: WhomToRemind | None = None
        self._came: CameOfIt | None = None  # shown in the margin instead of a layer
        self._wanted: object = None
        self.table = RenewalTable(
            office.theme,
            office.day,
            EmptyText(
                "No layer is wearing out",
                "When a job puts a layer on, it appears here with its likely last day. "
                "The first usually come due after four months.",
                "Ctrl 3",
                "See all vehicles",
                lambda: office.go("customers"),
            ),
        )
        self.table.row_entered.connect(self._explain)
        self.table.order_changed.connect(self._name_rows)
        self.table.choice_changed.connect(self._name_action)
        open_customer = self._of_row(
            lambda row: office.go("customers", row.layer.holder.customer_id)
        )
        self.table.row_opened.connect(
            lambda key: self.table.unfold(key) or self._read_letter() or open_customer()
        )
        self.row = ActionRow(office.theme, "Read the letters")
        self.row.button.clicked.connect(self.primary)
        self.set_body(PartsBody(office.theme, self.table, self.row, gap=0, fill=True))
        does: dict[str, Callable[[], object]] = {
            "G": self._still_good,
            "N": self._not_now,
            "J": self._of_row(self._judge),
            "H": self._what_came,
            "F5": partial(self.refresh, frozenset()),
            **{key: partial(self.table.turn, group) for group, key in FOLDS.items()},
            "O": open_customer,
            "D": self._drafts,
            "M": self._send,
            WENT: partial(self._say, True),
            DID_NOT: partial(self._say, False),
            **{str(number): partial(self._open_figure, number) for number in range(1, 9)},
        }
        for key, do in does.items():
            self.on_key(key, do)
        for key, word, _ in ANSWER_KEYS:
            self.on_key(key, partial(self._answer, word))

    # reading -------------------------------------------------------------------------------
    def refresh(self, kinds: frozenset[str]) -> None:
        """Read in the background: a fit over ten years takes longer than a frame."""
        day, desk = self.office.day, self.office.desk

        def work() -> tuple[Renewals, WhomToRemind]:
            return renewing.renewals(desk, day), reminders.whom_to_remind(desk, day)

        in_background(self.office, self, "Reading the layers", work, self._show)

    def _show(self, found: tuple[Renewals, WhomToRemind]) -> None:
        self._view, self._whom = found
        self._came = None
        view, unsure = self._view, self._whom.unsure
        self._rows = {row.key: row for row in view.rows}
        before: list[TableRow | GroupRow] = [UNSURE_GROUP] if unsure else []
        before += [unsure_line(one) for one in unsure]
        groups = grouped(view, self._whom)
        self.table.show_groups(groups, before, view.day)
        self.set_head("Renewals", "soonest due first", [Run(groups.head)])
        self.say_remaining(view.learnt)
        self.row.show_hints(drawing_key() if view.rows else [])
        self._name_action()
        if self._wanted is not None:
            self.open_item(self._wanted)
        self._explain(self.table.current_key(), "")

    def _name_action(self) -> None:
        """The letters to be read: those of the chosen rows, else all."""
        several, keys = self.table.chooses, self._chosen_letters()
        count = len(keys) if several else len(self._whom.letters) if self._whom else 0
        self.row.button.set_label(f"Read the {count_of(count, 'letter')}" if count else "No letter")
        none = "None of the chosen is to be asked now." if several else ""
        self.row.set_ready("" if count else none or "Nobody needs to be asked today.")

    def _chosen_letters(self) -> tuple[str, ...]:
        """The households of the chosen layers to whom a letter may go."""
        letters = {one.key for one in self._whom.letters} if self._whom else set()
        households = [row.layer.holder.household for row in self._chosen()]
        return tuple(dict.fromkeys(one for one in households if one in letters))

    def _name_rows(self) -> None:
        """In another order, each row says whose it is."""
        if self._view is not None and self._whom is not None:
            self._show((self._view, self._whom))

    def entered(self) -> None:
        self.table.setFocus()

    def open_item(self, item: object) -> None:
        """Show the first layer of a vehicle, once the rows are there."""
        self._wanted = item
        for row in self._view.rows if self._view else ():
            if item in (row.layer.vehicle_id, row.key):
                self.table.reveal(row.key)
                self._wanted = None
                return

    def keep(self) -> object:
        return self.table.current_key()

    def resume(self, kept: object) -> None:
        self._wanted = kept

    # the margin ----------------------------------------------------------------------------
    def _current(self) -> RenewalRow | None:
        return self._rows.get(self.table.current_key())

    def _letter(self) -> LetterView | None:
        """The reminder about the layer with the focus."""
        row = self._current()
        if row is None or self._whom is None:
            return None
        household = row.layer.holder.household
        return next((one for one in self._whom.letters if one.key == household), None)

    def _unsure(self) -> UnsureView | None:
        """The message with the focus that may or may not have gone, or that about this layer."""
        found = self._whom.unsure if self._whom else ()
        row, key = self._current(), self.table.current_key()
        if row is None:
            return next((one for one in found if unsure_key(one) == key), None)
        layers = set(row.layer_ids)
        return next((one for one in found if layers & set(one.layer_ids)), None)

    def _explain(self, _key: Hashable, _column: str) -> None:
        self._came = None
        row, unsure = self._current(), self._unsure()
        if row is None and unsure is not None:
            self.margin.say(Note(unsure.name, tuple(unsure_blocks(unsure, self._say)), UNSURE_KEYS))
            return
        if row is None:
            offers = (Offer("H", "What came of the reminders", self._what_came),)
            self.margin.say(Note("", offers, PAGE_KEYS))
            return
        blocks: list[Block] = [Voice(text) for text in row.voice]
        blocks += [Rule(), Facts(row.facts)]
        judge = partial(self._judge, row)
        blocks += [Offer("J", "Judge it, surface by surface", judge), Rule()]
        letter = self._letter()
        blocks += self._letter_blocks(letter) if letter else self._silence_blocks(row)
        one = row.layer
        title = f"{one.holder.customer}’s {one.holder.description}, {one.supply_name.lower()}"
        self.margin.say(Note(title, tuple(blocks), PAGE_KEYS))

    def _letter_blocks(self, letter: LetterView) -> list[Block]:
        blocks: list[Block] = [
            Facts((("Goes by", letter.channel),)),
            *([Voice(letter.bad_mail)] if letter.bad_mail else []),
            Voice(letter.reason),
            Offer("↵", "Read this letter", self._read_letter),
        ]
        if letter.prepared_id is not None:
            blocks.append(Offer("D", "Write the drafts to a folder", self._drafts))
            if letter.channel == "mail" and self.office.desk.settings.mail_host:
                blocks.append(Offer("M", "Send it by mail", self._send))
        return blocks

    def _silence_blocks(self, row: RenewalRow) -> list[Block]:
        """Why no letter stands here: answered to come, not contacted, or simply not due."""
        if row.state == "reminded":
            offers = [
                Offer(key, words, partial(self._answer, word)) for key, word, words in ANSWER_KEYS
            ]
            return [NoteHeading("An answer came?"), *offers]
        unsure = self._unsure()
        if unsure is not None:
            return unsure_blocks(unsure, self._say)
        held = self._whom.suppressed if self._whom else ()
        layers = set(row.layer_ids)
        why = next((one.why for one in held if layers & set(one.layer_ids)), "")
        if why:
            return [Alert("Not to be asked now", "look"), Voice(why)]
        best = f"A letter is best written about {near(row.due.write_on, self.office.day)}."
        return [Voice("Worn out long ago; no letter now." if row.state == "worn" else best)]

    # doing ---------------------------------------------------------------------------------
    def primary(self) -> None:
        """Read the letters, from the first on; where rows are chosen, theirs."""
        if self._view is None or self._view.day != self.office.day:
            self.office.say_trouble(STILL)
            return
        if self.row.reason:
            self.office.say_trouble(self.row.reason)
        else:
            self.office.go("letters", self._chosen_letters() if self.table.chooses else ())

    def _read_letter(self) -> bool:
        """Read the letter about the layer with the focus; False where none is to be written."""
        letter = self._letter()
        if letter is not None:
            self.office.go("letters", letter.key)
        return letter is not None

    def _of_row(self, do: Callable[[RenewalRow], object]) -> Callable[[], object]:
        """What is done with the layer that has the focus."""
        return lambda: None if (row := self._current()) is None else do(row)

    def _chosen(self) -> list[RenewalRow]:
        """The chosen layers, else that with the focus."""
        return [self._rows[key] for key in self.table.chosen_keys if key in self._rows]

    def _still_good(self) -> None:
        office, said = self.office, "layers checked, still good"
        on_each(office, self._chosen(), lambda row: on_day(office, renewing.still_good, row), said)

    def _not_now(self) -> None:
        ids = list(dict.fromkeys(row.layer.holder.customer_id for row in self._chosen()))
        office, said = self.office, "customers are asked again in four weeks"
        on_each(office, ids, lambda one: on_day(office, reminders.not_now, one), said)

    def _judge(self, row: RenewalRow) -> None:
        """Judge what is left on this vehicle, surface by surface."""
        held = row.layer.holder.customer_id, row.layer.vehicle_id
        self.office.go("customers", ("judge", *held))

    def _what_came(self) -> None:
        """What came of the reminders, or back to the layer with the focus."""
        if self._came is not None:
            self._explain(self.table.current_key(), "")
            return
        desk, day = self.office.desk, self.office.day

        def show(found: CameOfIt) -> None:
            self._came = found
            self.margin.say(came_note(found, self._open_figure))

        in_background(
            self.office,
            self,
            "Counting what came of the reminders",
            lambda: came_of_it(desk, day),
            show,
            quiet=True,
        )

    def _open_figure(self, number: int) -> None:
        """The reminders or jobs behind a figure, to choose one and open it."""
        came = self._came
        if came is None or number > len(came.figures):
            return
        figure = came.figures[number - 1]
        if not figure.items:
            self.office.say("Nothing stands behind this figure")
            return
        self.pick(figure.label, lambda text: behind(figure, self.office.go, text))

    def _answer(self, word: str) -> None:
        row = self._current()
        if row is None or row.state != "reminded":
            return

        def do(desk: Desk, day: date) -> Changed:
            number = reminders.sent_about(desk, row.layer_ids)
            later = day + timedelta(days=91) if word == "later" else None
            return reminders.answer(desk, day, number, word, later_until=later)

        on_day(self.office, do)

    def _say(self, gone: bool) -> None:
        one = self._unsure()
        if one is not None and one.to_be_said:
            on_day(self.office, sending.settle, one.reminder_id, gone=gone)

    def _prepared(self, channel: str = "") -> list[int]:
        letters = self._whom.letters if self._whom else ()
        wanted = [one for one in letters if channel in ("", one.channel)]
        return [one.prepared_id for one in wanted if one.prepared_id is not None]

    def _drafts(self) -> None:
        ids = self._prepared()
        if not ids:
            self.office.say_trouble("No letter is kept as a draft yet; ↵ reads one, F4 keeps it.")
            return
        choice = FileChoice(self.theme, self, "drafts")
        folder = choice.choose_folder("Where to write the drafts")
        if folder is not None:
            self._write_drafts(ids, str(folder))

    def _write_drafts(self, ids: list[int], folder: str) -> None:
        desk, day = self.office.desk, self.office.day

        def tell(drafts: reminder_files.Drafts) -> None:
            self.office.note(drafts.changed)
            self.office.say(drafts_words(drafts, folder))

        self.office.write_long(
            "writing the drafts",
            lambda _task: reminder_files.draft_files(desk, day, ids, Path(folder)),
            tell,
            owner=self,
        )

    def _send(self) -> None:
        ids = self._prepared("mail")
        if not ids:
            self.office.say_trouble("No letter by mail is kept yet; ↵ reads one, F4 keeps it.")
            return
        desk, day = self.office.desk, self.office.day

        def work(task: Task) -> sending.Sending:
            def progress(done: int, whole: int) -> bool:
                if task.stopping:
                    return False
                task.say(done / whole, f"Sending {done} of {whole}")
                return True

            return sending.send(desk, day, ids, progress)

        self.office.runner.run(
            "Sending reminders",
            work,
            done=lambda result: self.office.note(result.changed),
            failed=self._sending_failed,
            owner=self,
        )

    def _sending_failed(self, sentence: str) -> None:
        """Whatever was on its way when the sending broke off is uncertain now, and is shown so."""
        on_day(self.office, sending.interrupted)
        self.office.say_trouble(sentence)
