"""What a paper freezes: names, addresses and words as printed, so that nothing changes with the rows behind it."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.money import Agreement
from shopbook.queries.money.billable import AgreedWork, TakenQuote
from shopbook.queries.money.heads import get_head
from shopbook.queries.money.quotes import is_main
from shopbook.queries.money.words import Wording
from shopbook.queries.shop.rates import setting_on
from shopbook.services.money.issuing import PaperLine
from shopbook.trade.agreeing import MEANS_WORDS, Means, Party
from shopbook.trade.billing import LineKind
from shopbook.trade.settings import SettingName


def freeze_head(session: Session, job: Job) -> dict[str, Any]:
    """The head as it is now, and nothing yet of what a paper says below it."""
    below = {"facts": [], "groups": [], "not_done": [], "payers": [], "notes": [], "care": "", "storage": ""}
    return get_head(session, job) | below


def freeze_groups(lines: Sequence[PaperLine], work: AgreedWork, said: Wording) -> list[dict[str, Any]]:
    """The work by group in the order of its lines: labour, everything else, and the words below the title.

    A discount or a deposit comes off all of it (`whole`) and stands in neither column.
    """
    below = {title: words for row in work.quotes for title, words in _below(row, said)}
    groups: dict[str, dict[str, Any]] = {}
    for line in lines:
        title = line.title or line.words
        row = groups.setdefault(
            title, {"title": title, "below": below.get(title, ""), "labour": 0, "other": 0, "whole": 0}
        )
        row[_column(line.kind)] += line.net_minor
        if not line.title or title not in below:
            row["below"] = "; ".join(part for part in (row["below"], line.words) if part and part != title)
    return list(groups.values())


def _column(kind: str) -> str:
    if kind in {LineKind.DISCOUNT, LineKind.DEPOSIT}:
        return "whole"
    return "labour" if kind == LineKind.LABOUR else "other"


def _below(row: TakenQuote, said: Wording) -> list[tuple[str, str]]:
    if is_main(row.quote):
        return [(group.title, group.below) for group in row.taken]
    yeses = "; ".join(_yes_words(yes, said) for yes in row.yeses)
    return [(f"Extra · {group.title}", "; ".join(part for part in (group.below, yeses) if part)) for group in row.taken]


def _yes_words(yes: Agreement, said: Wording) -> str:
    whose = "yes" if yes.party == Party.OWNER else "payer’s yes"
    return f"{whose} {MEANS_WORDS.get(Means(yes.means), yes.means)} {said.moment(yes.at)}"


def freeze_left(work: AgreedWork) -> list[str]:
    """What was seen and left at the owner’s wish and not taken later; of two ways only where none was taken."""
    left = []
    later = {group.title for row in work.quotes for group in row.taken}
    for row in work.quotes:
        choices = {group.choice for group in row.taken if group.choice}
        left += [group.title for group in row.left if group.choice not in choices or not group.choice]
    return [title for title in left if title not in later]


def freeze_words(session: Session, day: date, *, is_painted: bool) -> dict[str, str]:
    """The shop's own words at the foot: care of fresh paint, storage."""
    care = str(setting_on(session, SettingName.CARE_WORDS, day)) if is_painted else ""
    return {"care": care, "storage": str(setting_on(session, SettingName.STORAGE_WORDS, day))}
