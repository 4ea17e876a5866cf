"""What was said to be none is kept as a setting, so that it is not asked about again."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from app.actions.exchange.drafts import Drafts
from app.actions.exchange.title_proposals import Answer, Proposal

REFUSED = "refused_proposals"  # the setting: the keys of titles and pools


def with_refused(said: Mapping[str, Answer], refused: Iterable[str]) -> dict[str, Answer]:
    """The answers given now, and those of earlier."""
    return dict.fromkeys(refused, Answer(takes=False)) | dict(said)


def remember_refused(
    drafts: Drafts,
    before: Iterable[str],
    answers: Mapping[str, Answer],
    proposals: Iterable[Proposal],
) -> None:
    """Draft the setting where these proposals' answers change it; `before` is what it says now."""
    refused = dict.fromkeys(before)
    known = list(refused)
    for one in proposals:
        answer = answers.get(one.key)
        if answer is not None and not answer.takes:
            refused[one.key] = None
        elif answer is not None:
            refused.pop(one.key, None)
    if list(refused) == known:
        return
    stands = drafts.standing("settings", REFUSED)
    if stands is not None:
        stands.values["value"] = list(refused)
    else:
        drafts.new("settings", "", name=REFUSED, value=list(refused))
