"""A quote put into finished words, once for the screen and the printed paper."""

from collections.abc import Sequence
from datetime import date

from shopbook.documents.quote import ApprovalBox, QuotedPart, QuotePaper
from shopbook.outside.pictures import picture_path
from shopbook.queries.money.payers import NamedShare
from shopbook.trade.agreeing.words import MEANS_WORDS, ApprovalMeans
from shopbook.trade.billing import TaxTotal, rate_words
from shopbook.trade.errors import NotFound
from shopbook.trade.letters import lower_first, upper_first
from shopbook.trade.measures.amounts import format_minor
from shopbook.trade.measures.locales import ENGLISH
from shopbook.trade.pricing import PricedGroup
from shopbook.trade.pricing.given import SeenItem
from shopbook.web.money.blueprint import shop_config
from shopbook.web.money.paper_head import head_of, plain_of
from shopbook.web.money.quote_known import Known
from shopbook.web.parts.act import shop_now
from shopbook.web.parts.frame import country, day_text, whole_moment_text
from shopbook.web.parts.rows import Approval

KINDS = {"kerb": "Quote", "quote": "Quote", "extra": "Extra to job"}
"""What a quote was called that was given before its name was kept with its words."""


def quote_paper(known: Known, *, for_print: bool = False) -> QuotePaper:
    """Everything on a quote; `for_print` adds the pictures."""
    words, total = known.words, known.sum.taken
    is_open, tax = total.is_before_tax, plain(known, total.tax_minor)
    kind = f"Draft {lower_first(called(known))}" if known.is_draft else called(known)
    tax_word = str(words.head["tax_word"])
    return QuotePaper(
        head=head_of(words.head, kind, str(words.head["job"]), words.facts),
        wrong=words.wrong,
        intro=words.intro.replace("{most}", said_money(known, known.sum.most_minor)),
        sign=words.head["sign"],
        parts=_parts(known, for_print=for_print),
        sides=words.sides or country().sides,
        clear=str(words.head.get("clear") or "clear"),
        savings=tuple((line.words, plain(known, line.amount_minor)) for line in total.savings),
        sum_title="Accepted items" if known.taken is not None else "All items",
        tax_word=upper_first(tax_word),
        tax_rows=() if is_open else tuple(_tax_row(known, row) for row in total.taxes),
        tax_last=("Total", plain(known, total.net_minor), "to be added" if is_open else tax),
        gross=plain(known, total.gross_minor),
        gross_word=_gross_word(known),
        payers=tuple((who, plain(known, minor)) for who, minor in known.payers),
        terms=_terms(known),
        not_included=words.not_included,
        seen=words.seen,
        cautions=words.cautions,
        closing=words.closing,
        approval=(_customer_box(known), *_payer_boxes(known)),
        is_draft=known.is_draft,
        panel_names=words.panel_names,
    )


def called(known: Known) -> str:
    """What a quote calls itself: as it was given, whatever its country says since."""
    return str(known.words.head.get("called") or KINDS[known.quote.kind])


def plain(known: Known, minor: int) -> str:
    """An amount as the quote writes it, without the currency's sign."""
    return plain_of(known.words.head)(minor)


def said_money(known: Known, minor: int) -> str:
    """An amount as the quote writes it, with the currency's sign."""
    head = known.words.head
    return format_minor(minor, head["places"], head["sign"], head.get("locale", ENGLISH))


def long_day(day: date) -> str:
    """A day in full: "Monday 2 November 2026" as the country writes it."""
    return day_text(day, is_long=True, with_weekday=True)


def _gross_word(known: Known) -> str:
    if known.sum.taken.is_before_tax:
        return f"Before {known.words.head['tax_word']}"
    return "Estimated total with tax" if known.quote.is_estimate else "Total with tax"


def _parts(known: Known, *, for_print: bool) -> tuple[QuotedPart, ...]:
    pairs = zip(known.given.priced.groups, known.words.items, strict=True)
    return tuple(_part(known, place, group, seen, for_print) for place, (group, seen) in enumerate(pairs, 1))


def _part(known: Known, place: int, group: PricedGroup, seen: SeenItem, for_print: bool) -> QuotedPart:
    others = [each.choice for each in known.given.priced.groups if each.key != group.key]
    state = "open" if known.taken is None else "taken" if int(group.key) in known.taken else "left"
    return QuotedPart(
        number=place,
        title=group.title,
        below=seen.below,
        price=plain(known, group.sum_minor),
        state=state,
        aside="One of two ways of doing it. Please choose one." if group.choice and group.choice in others else "",
        panels=seen.panels,
        coats=seen.coats,
        pictures=tuple(body for each in seen.pictures[:2] if (body := _read(each))) if for_print else (),
        picture_count=len(seen.pictures),
    )


def _read(sha256: str) -> bytes:
    """A picture's small form; nothing when its file is gone, for the price must still be printed."""
    try:
        return picture_path(shop_config().pictures_folder, sha256).read_bytes()
    except NotFound:
        return b""


def _tax_row(known: Known, row: TaxTotal) -> tuple[str, str, str]:
    name = f"{row.rate.name}, {rate_words(row.rate.rate_thousandths)}" if row.rate.rate_thousandths else row.rate.name
    return name, plain(known, row.basis_minor), plain(known, row.tax_minor)


def _terms(known: Known) -> tuple[str, ...]:
    given = known.given
    discount = f": {given.discount_why}" if given.discount_why else ""
    taken_off = known.sum.taken.allowances_minor
    deposit = said_money(known, given.deposit_minor)
    rows = [
        f"Discount{discount}: {said_money(known, taken_off)}, already taken off the prices above." if taken_off else "",
        f"Deposit{_of_whom(known)}: {deposit}. It comes off the total." if given.deposit_minor else "",
        known.words.days,
    ]
    return tuple(row for row in rows if row)


def _numbers(places: Sequence[int]) -> str:
    said = [str(place) for place in places]
    if len(said) == 1:
        return f"item {said[0]}"
    return f"items {', '.join(said[:-1])} and {said[-1]}"


def _customer_box(known: Known) -> ApprovalBox:
    row = known.customer_approval
    if row is None:
        return ApprovalBox("Customer", "Please do the items ticked above.")
    groups = known.given.priced.groups
    places = [place for place, group in enumerate(groups, 1) if int(group.key) in (known.taken or ())]
    sentence = "Please do the work." if len(groups) == 1 else f"Please do {_numbers(places)}."
    return ApprovalBox("Customer", sentence, _given_by(row), row.signature, row.said_by)


def _given_by(row: Approval) -> str:
    """Who gave an approval, when and how; of one by phone the number too, and who of the shop took the call."""
    taker = next((person.name for person in shop_now().everybody if person.id == row.taken_by_id), "")
    call = f", {row.number_called}" * bool(row.number_called) + f", call taken by {taker}" * bool(taker)
    return f"{row.said_by}, {whole_moment_text(row.said_at)}, {MEANS_WORDS[ApprovalMeans(row.means)]}{call}"


def _of_whom(known: Known) -> str:
    """Where more than one pays, the customer's name."""
    names = [row.payer.name for row in known.shares if row.payer.is_customer]
    return f" from {names[0]}" if names and len(known.shares) > 1 else ""


def _payer_boxes(known: Known) -> list[ApprovalBox]:
    """One box for each payer besides the customer, with what it pays; one without a name where nobody is named."""
    if not (known.has_other_payer or known.payer_approvals):
        return []
    others = [row for row in known.shares if not row.payer.is_customer]
    if not others:
        last = known.payer_approvals[-1] if known.payer_approvals else None
        asked = f"approves up to {said_money(known, known.sum.taken.gross_minor)}, tax included."
        return [_payer_box(known, "Payer", asked, last)]
    return [_box_of(known, row, is_alone=len(others) == 1) for row in others]


def _box_of(known: Known, row: NamedShare, *, is_alone: bool) -> ApprovalBox:
    given = [approval for approval in known.payer_approvals if is_alone or approval.whose_id == row.payer.customer_id]
    asked = f"pays {said_money(known, row.gross_minor)}, tax included."
    return _payer_box(known, row.payer.name, asked, given[-1] if given else None)


def _payer_box(known: Known, name: str, asked: str, row: Approval | None) -> ApprovalBox:
    if row is None:
        return ApprovalBox(name, asked)
    words = f", {row.words}" if row.words else ""
    by = f"{_given_by(row)}{words}"
    return ApprovalBox(
        name, f"approved up to {said_money(known, row.amount_minor or 0)}.", by, row.signature, row.said_by
    )
