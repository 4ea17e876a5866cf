"""What the margin says of a job's estimate: the call that is due, the yes, and the versions."""

from __future__ import annotations

from app.actions.desk.amounts import money
from app.actions.desk.desk import Desk
from app.actions.jobs.estimate_versions import Version, approved
from app.actions.jobs.job_card import JobCard
from app.calculations.numbers.dates import near
from app.window.paper.notes import Alert, Block, NoteHeading, Rule, Voice, known


def estimate_blocks(desk: Desk, card: JobCard) -> list[Block]:
    """Blocks for the margin, the newest version first."""
    blocks: list[Block] = []
    if card.call is not None:
        blocks += [Alert("A call is due"), Voice(card.call.sentence), Rule()]
    yes = approved(card.versions)
    if yes is not None:
        blocks += [*_yes(desk, yes), Rule()]
    blocks.append(Voice(card.estimate.voice))
    for version in reversed(card.versions):
        row = version.row
        blocks += [Rule(), NoteHeading(f"Version {row.version}, {row.state}")]
        if version.given and row.given_on is not None:
            blocks.append(
                Voice(f"Given {near(row.given_on, desk.today)}. It stays as it is; a change makes "
                      "the next version.")
            )  # fmt: skip
        blocks += [Voice(one) for one in version.differs]
    return blocks


def _yes(desk: Desk, version: Version) -> list[Block]:
    row = version.row
    when = near(row.approved_on, desk.today) if row.approved_on else ""
    when += f", {desk.clock_of(row.approved_at)}" if row.approved_at else ""
    ceiling = version.ceiling
    blocks: list[Block] = [
        known(
            ("Yes from", row.approved_by),
            ("When", when),
            ("How", row.approved_how),
            ("Up to", money(desk, ceiling) if ceiling is not None else ""),
        )
    ]
    for call in version.calls:
        who = f"{call.who}: " if call.who else ""
        blocks.append(Voice(f"Called {near(call.day, desk.today)}. {who}{call.said}."))
    return blocks
