"""What the book says of estimates: of many jobs at once, by job and by version."""

from __future__ import annotations

from pathlib import Path

from app.records.models import Estimate, HoldPoint, Hours
from app.records.queries.estimates import holds_of, running, versions_of
from tests.shop import TODAY, Clock, small_desk


def test_versions_are_told_by_job_the_newest_last(tmp_path: Path) -> None:
    desk, shop = small_desk(tmp_path / "shop.bayledger", Clock())
    one, other = list(shop.jobs.values())[:2]
    with desk.book.load() as session:
        for key, (job, version) in enumerate(((one, 2), (one, 1), (other, 1)), 1):
            session.add(
                Estimate(id=key, job_id=job, version=version, made_on=TODAY, at=Clock().now)
            )
        session.add(HoldPoint(estimate_id=1, position=2, text="then"))
        session.add(HoldPoint(estimate_id=1, position=1, text="first"))
        for state in ("confirmed", "expected"):
            session.add(Hours(day=TODAY, job_id=one, minutes=50, state=state))
    with desk.book, desk.book.reading() as session:
        found = versions_of(session, [one, other])
        assert [row.version for row in found[one]] == [1, 2]
        assert [row.estimate_id for row in found[other]] == [3]
        assert [row.text for row in holds_of(session, [1])[1]] == ["first", "then"]
        assert [row.worked_minutes for row in running(session, [one])] == [50]
