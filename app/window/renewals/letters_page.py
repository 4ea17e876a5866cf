"""The letters to send, one under the other: each is read, changed, and sent, printed or kept."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path

from PySide6.QtCore import QElapsedTimer, QTimer
from PySide6.QtGui import QHideEvent
from PySide6.QtWidgets import QFileDialog, QWidget

from app.actions.letters import reminder_files, reminders, sending
from app.actions.letters.letter_page import letter_page, why_not_so
from app.actions.letters.letter_views import LetterView
from app.actions.letters.reminders import WhomToRemind
from app.calculations.numbers.wording import count_of
from app.documents.papers.post import MailOutcome
from app.window.house.acting import in_background, on_day
from app.window.house.office import Office
from app.window.house.outside import open_outside
from app.window.house.place import STILL, Place
from app.window.house.runner import Task
from app.window.paper.cells import EmptyText
from app.window.paper.emptypage import EmptyPage
from app.window.paper.notes import Facts, Keys, Note, Rule, Voice
from app.window.paper.runs import Run
from app.window.paper.strip import OPEN_HEAD, Strip, StripEntry
from app.window.renewals.drafts_words import drafts_words
from app.window.renewals.letter_body import FILE_WORDS, FoldedBody, LetterBody, LetterFrame

TWICE = 800  # ms in which a key that is pressed again was meant for the letter before
WENT, MORE = "went", "more"  # entries that count what has no line of its own
OPEN_HIGH = 430  # what an open letter wants, at scale 1
KEYS = (
    ("Ctrl ↵", "send it, open the next"),
    ("F4", "keep as a draft"),
    ("F6", "print it, or open it as a draft"),
    ("F9", "note it as sent"),
    ("Alt ↓", "next, leave this one"),
)
_BY = {"mail": "by e-mail", "letter": "by posted letter", "phone": "by phone", "text": "by text"}
_DO = {"mail": "Send it now", "letter": "Print it", "phone": "Note the call",
       "text": "Note it as sent"}  # fmt: skip
_FIRST = {"letter": "print it", "phone": "note the call", "text": "note it as sent"}
NO_ACCOUNT = "No mail account is set up; F6 opens it in your mail program."


class LettersPage(Place):
    """Each letter is an entry: those that went, the open one, and those to come."""

    goes_on = True
    shows = frozenset({"reminders", "customers", "layers", "vehicles", "settings", "day", "days"})
    keys = (
        (
            "A letter",
            (*KEYS, ("Esc", "words as filled in; then back"), ("Tab", "to the way it goes by")),
        ),
    )

    def __init__(self, office: Office) -> None:
        super().__init__(office)
        self._letters: dict[str, LetterView] = {}  # household -> its letter, also when it went
        self._order: list[str] = []
        self._went: dict[str, str] = {}  # household -> what is said of the letter that went
        self._wanted: str = ""
        self._only: frozenset[str] = frozenset()  # the households chosen to be read, else all
        self._beside = 0  # letters that may be sent and are not among the chosen
        self._read = False
        self._sent = QElapsedTimer()
        self.strip = Strip(office.theme, self._make_body)
        self.strip.opened.connect(self._turned)
        self._empty = EmptyPage(
            office.theme,
            EmptyText(
                "No letter to write",
                "When a layer is due and its owner may be asked, the letter stands here. "
                "Renewals shows what is due next.",
                "Ctrl 5",
                "See all renewals",
                lambda: office.go("renewals"),
            ),
            self,
        )
        self._empty.hide()
        self.set_body(self.strip, bleeds=True)
        does: dict[str, Callable[[], object]] = {
            "F4": self.keep_draft,
            "F6": self.write_file,
            "F9": self.note_sent,
        }
        for key, do in does.items():
            self.on_key(key, do)

    # reading -------------------------------------------------------------------------------
    def refresh(self, kinds: frozenset[str]) -> None:
        """Choose again in the background: the world moves between reading and sending."""
        desk, day = self.office.desk, self.office.day
        in_background(
            self.office,
            self,
            "Reading the letters",
            lambda: reminders.whom_to_remind(desk, day),
            self._show,
        )

    def _show(self, whom: WhomToRemind) -> None:
        chosen = [one for one in whom.letters if not self._only or one.key in self._only]
        self._beside = len(whom.letters) - len(chosen)
        now = {one.key: one for one in chosen}
        self._letters = {key: one for key, one in self._letters.items() if key in self._went} | now
        for key in now:
            self._went.pop(key, None)  # undone, or a second one
        self._order = [key for key in self._order if key in self._letters]
        self._order += [key for key in now if key not in self._order]
        self._order.sort(key=lambda key: key not in self._went)
        self._read = True
        opened = self.strip.open_key
        if self._wanted in self._letters:
            opened, self._wanted = self._wanted, ""
        elif opened not in now:
            opened = next(iter(key for key in self._order if key in now), "")
        self._lay_entries(opened)
        if opened:
            self.strip.open(opened, still=True)
        self._show_here()

    def _lay_entries(self, opened: str) -> None:
        """As many entries as have room: those that went in one line where there are many."""
        px, body = self.theme.px, self.strip.made(opened)
        need = px(OPEN_HEAD + 4)
        need += body.natural_height(0) if isinstance(body, LetterFrame) else px(OPEN_HIGH)
        fits = max(1, (self.strip.height() - need) // px(self.strip.folded_from))
        went = [key for key in self._order if key in self._went]
        to_come = [key for key in self._order if key not in self._went]
        entries: list[StripEntry] = []
        if len(self._order) - 1 > fits and len(went) > 1 and opened not in went:
            entries.append(StripEntry(WENT, f"{count_of(len(went), 'letter')} went", state="done"))
        else:
            entries += [self._entry(key) for key in went]
        room = max(1, fits - len(entries) + 1)
        at = to_come.index(opened) if opened in to_come else 0
        first = max(0, min(at, len(to_come) - room)) if len(to_come) > room else 0
        shown = to_come[first : first + room]
        entries += [self._entry(key) for key in shown]
        rest = len(to_come) - len(shown)
        if rest:
            entries.append(StripEntry(MORE, f"{rest} more to read", result="opens the next"))
        self.strip.set_entries(entries)

    def _entry(self, key: str) -> StripEntry:
        one = self._letters[key]
        title = ", ".join((one.name, *one.vehicles[:2]))
        went = self._went.get(key, "")
        said = went or ("written, " if one.prepared_id is not None else "") + _BY[one.channel]
        state = "done" if went else "to come"
        return StripEntry(key, title, "Read it, change any word.", said, state=state)

    def _show_here(self) -> None:
        """The open letter, the head, and what the margin says."""
        left = [key for key in self._order if key not in self._went]
        whole = len(self._order)
        fact = f"{len(self._went)} of {whole} sent" if whole else ""
        fact += f", {self._beside} others not chosen" if self._beside else ""
        self.set_head("Letters to send", "sent ones first, then soonest due", [Run(fact)])
        self.say_remaining(f"{count_of(len(left), 'letter')} to read" if left else "")
        if self._order:
            self.set_body(self.strip, bleeds=True)
        else:
            self.set_body(self._empty)
        letter, body = self._letters.get(self.strip.open_key), self._open_body()
        if letter is None or body is None:
            self.margin.say(Note("", (), KEYS))
            return
        desk, day = self.office.desk, self.office.day
        page = self.office.read(lambda: letter_page(desk, day, letter))
        if page is None:
            return
        body.show_letter(letter, page)
        self._tell_action(letter, body)
        self._lay_entries(letter.key)
        went = self._went.get(letter.key, "")
        voice = (
            (Voice(f"It went: {went}."),)
            if went
            else (
                Voice("Judged just now: yes. It is judged again in the moment it goes."),
                Voice("If they were here, answered or asked to stop since then, it stays here."),
            )
        )
        bad = (Voice(letter.bad_mail),) if letter.bad_mail else ()
        self.margin.say(Note("May they be asked?", (*voice, *bad, Rule(), Facts(page.facts)),
                             _keys_of(letter.channel)))  # fmt: skip

    def _tell_action(self, letter: LetterView, body: LetterBody) -> None:
        went = letter.key in self._went
        body.row.button.set_label(_DO[letter.channel])
        reason = "It went already." if went else why_not_so(letter, body.words.text)
        if letter.channel == "mail" and not self.office.desk.settings.mail_host:
            reason = reason or NO_ACCOUNT
        body.row.set_ready(reason)
        body.row.show_second(not went)

    def _make_body(self, key: str) -> QWidget:
        if key in (WENT, MORE):
            return FoldedBody()
        body = LetterBody(self.theme, self._set_way, self._rested)
        body.row.button.clicked.connect(self.primary)
        body.keep.clicked.connect(self.keep_draft)
        body.words.typed.connect(self._retell)
        return LetterFrame(body)

    def _open_body(self) -> LetterBody | None:
        frame = self.strip.made(self.strip.open_key)
        return frame.body if isinstance(frame, LetterFrame) else None

    def _retell(self) -> None:
        letter, body = self._here()
        if letter is not None and body is not None:
            self._tell_action(letter, body)

    def _here(self) -> tuple[LetterView | None, LetterBody | None]:
        return self._letters.get(self.strip.open_key), self._open_body()

    def _turned(self, key: str) -> None:
        if key == MORE:
            shown = {entry.key for entry in self.strip.entries}
            left = [one for one in self._order if one not in self._went]
            last = max((at for at, one in enumerate(left) if one in shown), default=-1)
            key = left[(last + 1) % len(left)]
        elif key == WENT:
            key = next(one for one in reversed(self._order) if one in self._went)
        if key != self.strip.open_key:
            QTimer.singleShot(0, self, partial(self._open, key))
            return
        self._lay_entries(key)
        self._show_here()

    def _open(self, key: str) -> None:
        if key in self._letters:
            self._lay_entries(key)
            self.strip.open(key, still=True)

    def entered(self) -> None:
        body = self._open_body()
        if body is not None:
            body.words.setFocus()

    def open_item(self, item: object) -> None:
        """Open the letter to a household, once they are there; of several only these are read."""
        if isinstance(item, tuple):
            self._only = frozenset(map(str, item))
            self._letters = {key: self._letters[key] for key in self._went}
            self._wanted = str(item[0]) if item else ""
            if self._read:
                self.refresh(frozenset())
            return
        self._wanted = str(item)
        if self._read and self._wanted in self._letters:
            self._open(self._wanted)
            self._wanted = ""

    def keep(self) -> object:
        return self.strip.open_key or None

    def resume(self, kept: object) -> None:
        self._wanted = str(kept)

    # doing ---------------------------------------------------------------------------------
    def _set_way(self, channel: str) -> None:
        """Another way for the open letter: it is written into the book with it."""
        letter, body = self._here()
        if letter is None or body is None or letter.key in self._went:
            return
        words = body.typed[1] if body.changed else ""
        if letter.prepared_id is None:
            on_day(self.office, reminders.prepare, letter, channel=channel, text=words)
        else:
            on_day(self.office, reminders.change_text, letter.prepared_id, channel=channel,
                   text=words or None)  # fmt: skip

    def _rested(self) -> None:
        """Typing rests: what was typed is in the book before anything else can happen to it."""
        letter, body = self._here()
        if letter is not None and body is not None and body.changed and body.words.text.strip():
            self._write(letter, body)

    def _write(self, letter: LetterView, body: LetterBody) -> int | None:
        """The letter in the book, in the words that stand there; its number."""
        subject, text = body.typed
        if letter.prepared_id is None:
            typed = {"subject": subject, "text": text} if body.changed else {}
            done = on_day(self.office, reminders.prepare, letter, **typed)
            return done[1] if done else None
        if body.changed:
            changed = on_day(
                self.office, reminders.change_text, letter.prepared_id, subject=subject, text=text
            )
            if changed is None:
                return None
        return letter.prepared_id

    def keep_draft(self) -> None:
        """Write the letter into the book, to be sent another time."""
        self._with_letter(lambda _letter, _number: self.office.say("Kept as a draft"))

    def note_sent(self) -> None:
        """Note that a person sent the letter, or made the call."""
        self._with_letter(self._note_sent)

    def _note_sent(self, letter: LetterView, number: int) -> None:
        changed = on_day(self.office, reminders.mark_sent, [number])
        if changed is not None and changed.name:
            self._gone(letter, f"sent {_BY[letter.channel]}, {self.office.clock_time()}")

    def primary(self) -> None:
        """Send the open letter by its way."""
        letter, body = self._here()
        if letter is None or body is None:
            self.office.say_trouble(STILL if not self._read else "No letter waits to be sent.")
        elif body.row.reason:
            self.office.say_trouble(body.row.reason)
        elif self._sent.isValid() and not self._sent.hasExpired(TWICE):
            self.office.say("That one went. The same key again sends this one.")
        elif letter.channel == "mail":
            self._with_letter(self._send)
        elif letter.channel == "letter":
            self.write_file()
        else:
            self.note_sent()

    def _with_letter(self, do: Callable[[LetterView, int], object]) -> None:
        letter, body = self._here()
        if letter is None or body is None or letter.key in self._went:
            self.office.say_trouble("No letter that waits is open.")
            return
        reason = why_not_so(letter, body.words.text)
        if reason:
            self.office.say_trouble(reason)
            return
        number = self._write(letter, body)
        if number is not None:
            do(letter, number)

    def _send(self, letter: LetterView, number: int) -> None:
        desk, day = self.office.desk, self.office.day

        def work(task: Task) -> sending.Sending:
            task.say(0.1, f"Sending to {letter.name}")
            return sending.send(desk, day, [number])

        def done(result: sending.Sending) -> None:
            self.office.note(result.changed)
            if any(one.outcome is MailOutcome.TAKEN for one in result.results):
                self._gone(letter, f"sent by e-mail, {self.office.clock_time()}")

        self.office.runner.run(
            "Sending the letter", work, done=done, failed=self._sending_failed, owner=self
        )

    def _sending_failed(self, sentence: str) -> None:
        """Whatever was on its way when the sending broke off is uncertain now, and is shown so."""
        on_day(self.office, sending.interrupted)
        self.office.say_trouble(sentence)

    def _gone(self, letter: LetterView, words: str) -> None:
        """The letter went: its line says so, and the next one opens."""
        self._went[letter.key] = words
        self._letters.setdefault(letter.key, letter)
        if letter.key not in self._order:
            self._order.append(letter.key)
        self._sent.start()
        self.refresh(frozenset())

    def write_file(self) -> None:
        """Write the letter's files into a folder, and open the one that is printed or mailed."""
        letter, _body = self._here()
        if letter is None or letter.key in self._went:
            self.office.say_trouble("No letter that waits is open.")
            return
        folder = QFileDialog.getExistingDirectory(self, f"Where to {FILE_WORDS[letter.channel]}")
        if folder:
            self._with_letter(lambda _letter, number: self._write_files(number, Path(folder)))

    def _write_files(self, number: int, folder: Path) -> None:
        desk, day = self.office.desk, self.office.day

        def tell(drafts: reminder_files.Drafts) -> None:
            self.office.note(drafts.changed)
            self.office.say(drafts_words(drafts, folder))
            paper = [one for one in drafts.files if one.suffix in (".pdf", ".eml")]
            if paper:
                self.office.act_now(partial(open_outside, paper[0]))

        self.office.write_long(
            "writing the letter",
            lambda _task: reminder_files.draft_files(desk, day, [number], folder),
            tell,
            owner=self,
        )

    def hideEvent(self, event: QHideEvent) -> None:
        """Another page is opened: whoever comes back reads all of them again."""
        if not event.spontaneous():
            self._only, self.stale = frozenset(), self.stale or bool(self._only)
        super().hideEvent(event)

    def back(self) -> bool:
        """The words as filled in; False where none was changed."""
        body = self._open_body()
        if body is None or not body.changed:
            return super().back()
        body.put_back()
        self._retell()
        return True


def _keys_of(channel: str) -> Keys:
    """The keys for a letter by this way; what the first does is not named twice."""
    first = _FIRST.get(channel)
    if first is None:
        return KEYS
    twice = {"letter": ("F6",), "phone": ("F6", "F9"), "text": ("F6", "F9")}[channel]
    rest = (one for one in KEYS[1:] if one[0] not in twice)
    return ((KEYS[0][0], f"{first}, open the next"), *rest)
