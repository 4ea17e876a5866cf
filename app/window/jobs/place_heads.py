"""What stands in the head and the foot of the Jobs place: of a list, the plan, a card, a form."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.actions.jobs.job_card import JobCard
from app.actions.jobs.jobs import JobList
from app.window.jobs.margins import card_fact
from app.window.paper.runs import Run

if TYPE_CHECKING:
    from app.window.jobs.place import JobsPlace

_LISTED = "Jobs", "by what remains of them"


class PlaceHeads:
    """Says it, and lets the margin speak beside it."""

    def __init__(self, place: JobsPlace) -> None:
        self._place = place

    def list_shown(self, found: JobList) -> None:
        """Of a part of the list, where that is in view."""
        place = self._place
        if place.lists:
            money = found.which != "enquiries"
            place.set_head(*_LISTED, [Run(found.sentence)], money=money)
            place.say_remaining("")
            place.notes.explain()

    def plan_shown(self) -> None:
        """Of the plan, where that is in view."""
        place = self._place
        if place.lists and place.listing.planning:
            plan = place.listing.plan
            place.set_head(*_LISTED, plan.fact(), money=False)
            place.say_remaining(plan.plan.said if plan.plan is not None else "")
            place.notes.explain()

    def card_shown(self, card: JobCard) -> None:
        """Of a job's card."""
        place, job = self._place, card.job
        who = ", ".join(part for part in (job.customer, job.vehicle, card.plate) if part)
        place.set_head(f"Job {job.number_text}", who, [Run(card_fact(card))])
        left = sum(step.state == "to do" for step in card.steps)
        steps = "One step" if left == 1 else f"{left} steps"
        place.say_remaining(f"{steps} to go." if left and job.state != "done" else "")
        place.notes.explain()

    def booking(self) -> None:
        """Of a new job, or of an enquiry that becomes one."""
        place = self._place
        asked = place.new.draft.of_enquiry
        title = f"Enquiry {asked.job.number_text}" if asked is not None else "A new job"
        place.set_head(title, "five entries, of which one is needed", "")
        place.say_remaining("The job is in the book once you book it.")
        place.notes.explain()

    def enquiry(self) -> None:
        """Of an enquiry that is being noted."""
        place = self._place
        place.set_head("An enquiry", "three entries, of which one is needed", money=False)
        place.say_remaining("Nothing is in the book until you note it.")
