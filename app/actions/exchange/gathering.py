"""From the lines of people's files to drafts: customers, vehicles, suppliers and supplies.

A line either finds its row (in the book, or told of by an earlier line) or makes a new one. What
the files say fills and corrects the book; where two lines of the files disagree the first counts,
and what cannot be kept apart goes to the notes, so that nothing is lost and bringing the same
files in again changes nothing.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable
from typing import Any

from app.actions.exchange.alike import (
    called,
    descriptions_alike,
    firms_near,
    names_alike,
    persons,
    plain_name,
    plain_plate,
    ranks_differ,
    same_name,
    shortened,
    spelling_keys,
    vehicle_words,
)
from app.actions.exchange.drafts import Draft, Drafts, row_of
from app.actions.exchange.near_names import NearNames
from app.actions.exchange.outcomes import LineOutcome, add_notes, take
from app.documents.reading.lines import CustomerLine, VehicleLine, Who
from app.documents.reading.people import is_firm_name

# How a name that is not the customer's own, but means them, is kept in the notes.
_ALIAS = "Also called: "
# The same for telephone numbers and addresses for which the book has no room.
_PHONE, _MAIL = "Other phone: ", "Other email: "
_KEPT = {
    # A name, not a remark on a call: "Also called: on Monday about the wax".
    _ALIAS: re.compile(
        r"(?!(?:on|about|for|to|at|by|when|re|back|again|in|from|after|before|because)\b)"
        r"(?:[^\W\d_][^\W\d_.’'-]*[.’'-]*)+(?:[ ,&/]+(?:[^\W\d_]+[.’'-]*)+){0,5}",
        re.IGNORECASE,
    ),
    _PHONE: re.compile(r"\+?[\d ()./;=-]{5,40}(?:(?:ext|x)[ .=]*\d+)?", re.IGNORECASE),
    _MAIL: re.compile(r"\S+@\S+"),
}
# Customers that have one telephone number or mail address: of more it is a switchboard's, or was
# typed for want of one. Judgement, no source.
SHARED = 20
# A description that says no more than what a vehicle is known by.
_MERE = ("plate ", "VIN ", "unit ")


class People:
    """Finds and drafts customers and vehicles."""

    def __init__(self, drafts: Drafts, near: NearNames) -> None:
        self._drafts = drafts
        self._near = near
        self._by_phone: dict[str, dict[Draft, None]] = defaultdict(dict)
        self._by_mail: dict[str, dict[Draft, None]] = defaultdict(dict)
        self._by_person: dict[tuple[str, str], dict[Draft, None]] = defaultdict(dict)
        self._by_name: dict[frozenset[frozenset[str]], dict[Draft, None]] = defaultdict(dict)
        self._by_vin: dict[str, list[Draft]] = defaultdict(list)
        self._by_plate: dict[str, list[Draft]] = defaultdict(list)
        self._held: dict[Any, list[Draft]] = defaultdict(list)
        self._order: dict[Draft, int] = {}
        self._referred: list[tuple[LineOutcome, Draft, str]] = []
        for customer in drafts.all("customers"):
            self._index(customer)
        for vehicle in drafts.all("vehicles"):
            self._index_vehicle(vehicle)
        self._holder: dict[Draft, Draft] = {}
        for link in drafts.all("owner_links"):
            held = drafts.standing("vehicles", link.get("vehicle_id"))
            holder = drafts.standing("customers", link.get("customer_id"))
            if link.get("to_day") is None and held is not None and holder is not None:
                self._held[row_of(holder)].append(held)
                self._holder[held] = holder
        self._ownerless = {d: None for d in drafts.all("vehicles") if d not in self._holder}

    def _index(self, customer: Draft) -> None:
        self._order.setdefault(customer, len(self._order))
        numbers = [customer.get("phone"), customer.get("second_phone"), *_noted(customer, _PHONE)]
        for number in numbers:
            if number:
                self._by_phone[number][customer] = None
        for mail in (str(customer.get("email") or ""), *_noted(customer, _MAIL)):
            if mail:
                self._by_mail[mail.casefold()][customer] = None
        for name in _names(customer):
            self._by_name[called(name)][customer] = None
            for person in persons(name):
                for key in spelling_keys(person, known=True):
                    self._by_person[key][customer] = None

    def _index_vehicle(self, vehicle: Draft) -> None:
        vin, plate = str(vehicle.get("vin") or ""), plain_plate(str(vehicle.get("plate") or ""))
        if vin and vehicle not in self._by_vin[vin]:
            self._by_vin[vin].append(vehicle)
        if plate and vehicle not in self._by_plate[plate]:
            self._by_plate[plate].append(vehicle)

    def customer(self, line: CustomerLine) -> LineOutcome:
        """The customer of a line, found or drafted, with what the line adds."""
        outcome = LineOutcome(line)
        found = self.find(line.who, line, outcome)
        if found is None:
            outcome.made = True
            found = self._drafts.new(
                "customers", line.source.whole(), name=line.name, is_firm=line.is_firm
            )
        elif line.is_firm and not found.get("is_firm"):
            take(outcome, found, "is_firm", True)
        if not any(same_name(line.name, name) for name in _names(found)):
            # Told, so that the next bringing-in knows this spelling whoever comes in between.
            add_notes(outcome, found, f"{_ALIAS}{line.name}")
        outcome.draft = found
        self._take_phones(outcome, found, line)
        self._take_mails(outcome, found, line.emails)
        for name in ("street", "city", "region", "postal_code", "country", "household", "asks_by",
                     "tax_exempt_no", "since", "stopped_on"):  # fmt: skip
            take(outcome, found, name, getattr(line, name))
        if line.deceased:
            take(outcome, found, "deceased", True)
        if line.do_not_write is not None:
            self._take_permission(outcome, found, not line.do_not_write)
        if line.referred_by:
            self._referred.append((outcome, found, line.referred_by))
        add_notes(outcome, found, line.notes)
        self._index(found)
        return outcome

    def _take_permission(self, outcome: LineOutcome, found: Draft, may: bool) -> None:
        """A "no" counts over any "yes", whichever line says it; a "yes" never lifts a stop."""
        now = found.get("may_remind")
        if not may and now is not False:
            found.values["may_remind"] = False
            if not outcome.made:
                outcome.changes.append("may remind: no")
        elif may and now is False:
            outcome.remarks.append(
                "the book says not to write to them; a file does not lift that, their own page does"
            )
        elif may and now is None:
            found.values["may_remind"] = True

    def settle_referrers(self) -> None:
        """Link customers to those who referred them, once all customers are known."""
        for outcome, found, name in self._referred:
            referrer = self.find(Who(name))
            if referrer is None or referrer is found:
                add_notes(outcome, found, f"Referred by: {name}")
            elif found.get("referred_by_id") is None:
                found.values["referred_by_id"] = referrer
                if not outcome.made:
                    outcome.changes.append(f"referred by: {referrer.get('name')}")
        self._referred.clear()

    def _take_phones(self, outcome: LineOutcome, found: Draft, line: CustomerLine) -> None:
        as_typed = dict(zip(line.phones, line.phones_as_typed, strict=False))
        for number in (told[:40] for told in line.phones):
            known = {found.get("phone"), found.get("second_phone")}
            if number in known:
                continue
            if not found.get("phone"):
                found.values["phone"] = number
                found.values["phone_as_typed"] = as_typed.get(number, number)[:80]
            elif not found.get("second_phone"):
                found.values["second_phone"] = number
            else:
                add_notes(outcome, found, f"{_PHONE}{number}")
                continue
            if not outcome.made:
                outcome.changes.append(f"phone: {number}")

    def _take_mails(self, outcome: LineOutcome, found: Draft, mails: Iterable[str]) -> None:
        for mail in mails:
            now = str(found.get("email") or "")
            if now.casefold() == mail.casefold():
                found.told.add("email")
            elif not now:
                take(outcome, found, "email", mail)
            else:
                add_notes(outcome, found, f"{_MAIL}{mail}")

    def find(
        self,
        who: Who,
        line: CustomerLine | None = None,
        outcome: LineOutcome | None = None,
    ) -> Draft | None:
        """The customer that is meant, or None.

        The same name is the same customer unless telephone, mail and address all speak against
        it. A near name is asked about; until it is answered, a spelling that has the telephone
        number or mail address too, and one that only says less, are taken for the same. A number
        or address of more than `SHARED` customers is nobody's own: it tells nothing of near names.
        """
        name, phones = who.name, who.phones
        mails = tuple(mail.casefold() for mail in who.emails)
        having = [self._by_phone[number] for number in phones if number in self._by_phone]
        having += [self._by_mail[mail] for mail in mails if mail in self._by_mail]
        named_so = self._by_name.get(called(name), ())
        same = self._called(name, (d for d in named_so if any(d in group for group in having)))
        if same:
            # Whoever shares most: a telephone number and an address before one of them.
            return max(same, key=lambda draft: sum(draft in group for group in having))
        own = (draft for group in having if len(group) <= SHARED for draft in group)
        for draft in self._in_order(own):
            if _near(name, draft) and self._is_same(
                name, draft, outcome, "They share a telephone number or mail address",
                usual=not _others(name, draft),
            ):  # fmt: skip
                return draft
        exact = self._called(name, named_so)
        fitting = [draft for draft in exact if not _contradicts(draft, phones, mails, line)]
        if len(fitting) > 1 and outcome is not None:
            outcome.remarks.append(
                f"several customers are called {name}; the first of them was taken"
            )
        if fitting:
            return fitting[0]
        if exact and outcome is not None:
            outcome.remarks.append(
                f"another {name} with another telephone number or address is there already"
            )
        if exact:
            return None
        named = self._sounding_like(name)
        alike = [d for d in named if _near(name, d) and not _contradicts(d, phones, mails, line)]
        if not alike:
            return None
        # A log that says "Hill" or "Ann Miller" means "Ann & Bob Hill", "A. Miller" when they are
        # the only ones; with a telephone number or address of its own it may be anybody.
        reached = bool(phones or mails or (line is not None and line.street))
        only = len(alike) == 1
        said_less = shortened(name, str(alike[0].get("name"))) and not _others(name, alike[0])
        usual = only and not reached and said_less
        why = "The only one so called" if only else f"{len(alike)} are called nearly so"
        return alike[0] if self._is_same(name, alike[0], outcome, why, usual=usual) else None

    def _is_same(
        self, name: str, draft: Draft, outcome: LineOutcome | None, why: str, *, usual: bool
    ) -> bool:
        """Whether a near name means this customer, as answered or usual; it is asked either way."""
        known = str(draft.get("name"))
        asked = self._near.ask(name, known, why, usual=usual)
        if outcome is not None:
            outcome.asks = asked
            if asked.same:
                outcome.remarks.append(f"taken for {known}: {why[:1].lower()}{why[1:]}")
            else:
                outcome.remarks.append(f"kept apart from {known}")
        return asked.same

    def _in_order(self, customers: Iterable[Draft]) -> list[Draft]:
        """Each once, in the order in which the book came to know them."""
        return sorted(dict.fromkeys(customers), key=lambda draft: self._order[draft])

    def _called(self, name: str, customers: Iterable[Draft]) -> list[Draft]:
        """Those of that name, before those who are only also called so."""
        own, also = [], []
        for draft in self._in_order(customers):
            if same_name(name, str(draft.get("name"))):
                own.append(draft)
            elif any(same_name(name, known) for known in _names(draft)):
                also.append(draft)
        return own + also

    def _sounding_like(self, name: str) -> list[Draft]:
        """Customers who share a first or last name with one of these persons, and a beginning."""
        found: dict[Draft, None] = {}
        for person in persons(name):
            for key in spelling_keys(person, known=False):
                found.update(self._by_person.get(key, {}))
        return self._in_order(found)

    def holder_of(self, vehicle: Draft) -> Draft | None:
        """Who holds a vehicle now."""
        return self._holder.get(vehicle)

    def held_by(self, customer: Draft) -> list[Draft]:
        """The vehicles of a customer."""
        return self._held[row_of(customer)]

    def named(self, who: Who, outcome: LineOutcome) -> Draft | None:
        """The customer that another line names; one that is not known is added."""
        if not who.name:
            return None
        found = self.find(who)
        if found is None:
            firm = is_firm_name(who.name)
            origin = outcome.line.source.whole()
            found = self._drafts.new("customers", origin, name=who.name, is_firm=firm)
            outcome.remarks.append(f"{who.name} was not known and is added as a customer")
            self._index(found)
        return found

    def vehicle(self, line: VehicleLine) -> LineOutcome:
        """The vehicle of a line, found or drafted, with what the line adds."""
        outcome = LineOutcome(line)
        owner = self.named(line.owner, outcome)
        found = self.find_vehicle(line, owner)
        if found is None:
            outcome.made = True
            found = self._drafts.new(
                "vehicles", line.source.whole(), description=line.description, exposure={}
            )
        outcome.draft = found
        self._take_vehicle(outcome, found, line)
        self._index_vehicle(found)
        if owner is not None:
            self._take_owner(outcome, found, owner)
        elif outcome.made:
            self._ownerless[found] = None
        return outcome

    def _take_vehicle(self, outcome: LineOutcome, found: Draft, line: VehicleLine) -> None:
        for name in ("year", "make", "model", "plate_region", "vin", "fleet_unit", "lease_ends"):
            take(outcome, found, name, getattr(line, name))
        take(outcome, found, "color", line.color, weak=not outcome.made)
        if plain_plate(line.plate) != plain_plate(str(found.get("plate") or "")):
            take(outcome, found, "plate", line.plate)
        take(outcome, found, "size_outside", line.size, weak=not line.size_sure)
        inside = line.size_inside or (line.size if outcome.made else "")
        take(outcome, found, "size_inside", inside, weak=not line.size_inside)
        if line.stands:
            exposure = dict(found.get("exposure") or {})
            if not exposure.get("stands"):
                found.values["exposure"] = {**exposure, "stands": line.stands}
                if not outcome.made:
                    outcome.changes.append(f"stands: {line.stands}")
        more = vehicle_words(line.description) - vehicle_words(_said(found))
        if line.description.startswith(_MERE):
            pass
        elif str(found.get("description")).startswith(_MERE) and vehicle_words(line.description):
            take(outcome, found, "description", line.description)
        elif more:
            add_notes(outcome, found, f"{_ALIAS}{line.description}")
        add_notes(outcome, found, line.notes)

    def _take_owner(self, outcome: LineOutcome, found: Draft, owner: Draft) -> None:
        """Link a vehicle to its owner; one that is held by another is not taken away."""
        if found in self._held[row_of(owner)]:
            return
        holder = self.holder_of(found)
        if holder is not None:
            name = holder.get("name")
            outcome.remarks.append(
                f"this vehicle is held by {name}; it stays there, mark it sold to change that"
            )
            return
        self._drafts.new(
            "owner_links", outcome.line.source.whole(), vehicle_id=found, customer_id=owner
        )
        self._held[row_of(owner)].append(found)
        self._holder[found] = owner
        self._ownerless.pop(found, None)
        if not outcome.made:
            outcome.changes.append(f"owner: {owner.get('name')}")

    def find_vehicle(self, line: VehicleLine, owner: Draft | None) -> Draft | None:
        """The vehicle that is meant: by VIN, by plate, else among those of its owner."""
        if line.vin:
            for draft in self._by_vin.get(line.vin, ()):
                return draft
        plate = plain_plate(line.plate)
        for draft in self._by_plate.get(plate, ()) if plate else ():
            if _fits(draft, line):
                return draft
        known = list(self._ownerless) if owner is None else self._held[row_of(owner)]
        candidates = [d for d in known if _fits(d, line)]
        if line.fleet_unit:
            same_unit = [d for d in candidates if d.get("fleet_unit") == line.fleet_unit]
            if same_unit:
                return same_unit[0]
        words = vehicle_words(" ".join((line.description, line.color, line.make, line.model)))
        told = words - vehicle_words(f"{line.plate} {line.vin} {line.fleet_unit}")
        alike = [d for d in candidates if descriptions_alike(told, vehicle_words(_said(d)))]
        return alike[0] if alike else None


def _near(name: str, customer: Draft) -> bool:
    """True when a name may mean this customer in another spelling."""
    known = str(customer.get("name"))
    return names_alike(name, known) or firms_near(name, known)


def _others(name: str, customer: Draft) -> bool:
    """True when near names are two, as a rule: a firm and its owner, a father and his son."""
    known = str(customer.get("name"))
    return firms_near(name, known) or ranks_differ(name, known)


def _names(customer: Draft) -> list[str]:
    """A customer's name and the other spellings that were told."""
    return [str(customer.get("name")), *_noted(customer, _ALIAS)]


def _noted(customer: Draft, head: str) -> list[str]:
    """What the notes keep in lines that begin so; a person's own remark is no number or address."""
    notes = str(customer.get("notes") or "")
    if head not in notes:
        return []
    told = [line.removeprefix(head) for line in notes.splitlines() if line.startswith(head)]
    return [one for one in told if head not in _KEPT or _KEPT[head].fullmatch(one)]


def _said(vehicle: Draft) -> str:
    """All words that a vehicle is known by."""
    return " ".join(
        str(vehicle.get(name) or "") for name in ("description", "color", "make", "model")
    )


def _fits(vehicle: Draft, line: VehicleLine) -> bool:
    """False when year, plate, VIN or unit speak against it."""
    for name, value in (
        ("year", line.year),
        ("vin", line.vin),
        ("fleet_unit", line.fleet_unit),
    ):
        if value and vehicle.get(name) and vehicle.get(name) != value:
            return False
    stood = plain_plate(str(vehicle.get("plate") or ""))
    return not (stood and line.plate and stood != plain_plate(line.plate))


def _contradicts(
    draft: Draft, phones: tuple[str, ...], mails: tuple[str, ...], line: CustomerLine | None
) -> bool:
    """True when contact and address both say that it is another person of the same name."""
    known = {draft.get("phone"), draft.get("second_phone"), *_noted(draft, _PHONE)} - {"", None}
    theirs = {m.casefold() for m in (str(draft.get("email") or ""), *_noted(draft, _MAIL)) if m}
    other_phone = bool(phones and known and not known & set(phones))
    other_mail = bool(mails and theirs and not theirs & set(mails))
    if line is not None and line.street and draft.get("street"):
        if plain_name(line.street) == plain_name(str(draft.get("street"))):
            return False
        return other_phone or other_mail
    return other_phone and (other_mail or not (mails and theirs))
