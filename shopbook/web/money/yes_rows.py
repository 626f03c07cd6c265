"""The rows of the two kinds of yes on a job's page: what was asked of whom, and how it stands."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from shopbook.trade.agreeing import Party
from shopbook.web.parts.frame import day_text

MEANS_SHORT = {
    "signed": "signed",
    "typed": "name typed",
    "in_person": "in person",
    "phone": "by phone",
    "text": "text",
    "mail": "by mail",
}


@dataclass(frozen=True, slots=True)
class YesRow:
    """One line: whose yes to which quote, to what amount, drawn as a tag of that kind."""

    what: str
    whose: str
    amount_minor: int | None
    quote_id: int
    tag: str
    tag_words: str


def yes_rows(quotes: Sequence[Any], agreements: Sequence[Any], *, wants_payer: bool) -> list[YesRow]:
    """For each quote that stands and was given, the owner's row, and the payer's where somebody else pays."""
    found = []
    for quote in sorted(quotes, key=lambda each: each.version):
        own = [row for row in agreements if row.quote_id == quote.id]
        if quote.given_at is None or (quote.replaced_at is not None and not own):
            continue
        found.append(_row(quote, Party.OWNER, own, quote.asked_owner_at))
        if wants_payer or any(row.party == Party.PAYER for row in own):
            found.append(_row(quote, Party.PAYER, own, quote.asked_payer_at))
    return found


def _row(quote: Any, party: Party, agreements: Sequence[Any], asked_at: datetime | None) -> YesRow:
    title = quote.groups[0].title if quote.groups else ""
    what = (f"Extra: {title}" if title else "Extra") if quote.kind == "extra" else "The work"
    whose = "Owner" if party is Party.OWNER else "Payer"
    said = [row for row in agreements if row.party == party]
    amount = said[-1].amount_minor if said and party is Party.PAYER else None
    if said:
        how = MEANS_SHORT.get(said[-1].means, said[-1].means)
        return YesRow(what, whose, amount, quote.id, "good", f"{day_text(said[-1].on)}, {how}")
    if asked_at is None:
        return YesRow(what, whose, amount, quote.id, "warn", "not asked yet")
    return YesRow(what, whose, amount, quote.id, "late", f"asked {day_text(asked_at.date())}")
