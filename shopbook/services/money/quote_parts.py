"""A draft quote is worked over before it is given: its words and terms, its groups, their prices and lines."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from sqlalchemy import delete
from sqlalchemy.orm import Session

from shopbook.models.money import Quote, QuoteGroup, QuoteLine
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.money.pricing import extra_tax_codes, tax_codes_on
from shopbook.queries.money.quotes import get_quote, sum_of_quote
from shopbook.services.act import Act
from shopbook.services.jobs.line_keys import draw_keys
from shopbook.services.money.quote_groups import check_amount
from shopbook.services.money.quotes import CHANGED_MEANWHILE, log_quote
from shopbook.trade.agreeing.words import QuoteKind
from shopbook.trade.billing import LineKind
from shopbook.trade.errors import Conflict, NotFound, RuleBroken
from shopbook.trade.pricing.keys import ITEM_KEYS

GIVEN_ALREADY = "This version has been issued and cannot be changed. Draft a new version."
KINDS = frozenset({LineKind.LABOUR, LineKind.MATERIALS, LineKind.PART, LineKind.COLOUR, LineKind.SUBLET, LineKind.FEE})


@dataclass(frozen=True, slots=True)
class LineEdit:
    """One line as it shall be; without an id it is new, with `is_out` it goes."""

    id: int | None
    kind: str
    words: str
    amount_minor: int
    is_out: bool = False


@dataclass(frozen=True, slots=True)
class GroupEdit:
    """One group as it shall be; `price_minor` None lets its lines make up the price; with `is_out` it goes."""

    id: int
    title: str
    below: str
    price_minor: int | None
    lines: tuple[LineEdit, ...] = ()
    is_out: bool = False


@dataclass(frozen=True, slots=True)
class Terms:
    """What holds for the whole quote; amounts in the mode of its prices, `up_to_minor` and `deposit_minor` with tax."""

    is_estimate: bool = False
    up_to_minor: int | None = None
    discount_minor: int = 0
    discount_why: str = ""
    deposit_minor: int = 0
    valid_until_on: date | None = None
    not_included: str = ""
    words: str = ""


def change_quote(
    act: Act,
    quote_id: int,
    *,
    revision: int,
    terms: Terms,
    groups: Sequence[GroupEdit] = (),
) -> Quote:
    """Change a draft in one press: its terms, and each group that is named with its lines.

    Conflict when somebody else changed it; RuleBroken once it is given, for a discount over the sum, an upper sum
    below the price, a deposit over the price, a day that has passed.
    """
    quote = _draft(act.session, quote_id, revision)
    _check_terms(terms, quote)
    for name in Terms.__slots__:
        setattr(quote, name, getattr(terms, name))
    quote.up_to_minor = terms.up_to_minor if terms.is_estimate else None
    for edit in groups:
        _change_group(act.session, quote, edit)
    _price_by_kind(quote)
    _tidy_choices(act.session, quote)
    quote = get_quote(act.session, quote.id)
    if not quote.groups:
        raise RuleBroken("Keep at least one item.", "groups")
    whole = sum_of_quote(act.session, quote).taken
    if quote.deposit_minor > whole.gross_minor:
        raise RuleBroken("The deposit is more than the total. Enter a smaller amount.", "deposit")
    log_quote(act, "change_quote", quote, f"Changed version {quote.version} of the estimate")
    return quote


def _price_by_kind(quote: Quote) -> None:
    """An estimate goes by hours and not by the list; a fixed price that nobody typed goes by the list again."""
    for group in quote.groups:
        if quote.is_estimate and group.price_minor == group.list_minor:
            group.price_minor = None
        elif not quote.is_estimate and group.price_minor is None:
            group.price_minor = group.list_minor


def _check_terms(terms: Terms, quote: Quote) -> None:
    check_amount(terms.discount_minor, "discount")
    check_amount(terms.deposit_minor, "deposit")
    if terms.is_estimate:
        if terms.up_to_minor is None:
            raise RuleBroken("Enter the limit with tax, for example 1200 or 1200.50.", "up_to")
        check_amount(terms.up_to_minor, "up_to")
    if terms.valid_until_on is not None and terms.valid_until_on < quote.made_on:
        raise RuleBroken("Choose today or a later day.", "valid_until")


def _change_group(session: Session, quote: Quote, edit: GroupEdit) -> None:
    group = _group_of(quote, edit.id)
    if edit.is_out:
        _delete_group(session, group)
        return
    if not edit.title.strip():
        raise RuleBroken("Enter a name for each item.", "groups")
    if edit.price_minor is not None:
        check_amount(edit.price_minor, "groups")
    group.title, group.below, group.price_minor = edit.title.strip()[:200], edit.below.strip(), edit.price_minor
    for line in edit.lines:
        if line.id is None:
            _new_line(session, quote, group, line)
        else:
            _change_line(session, quote, group, line)
    session.flush()


def _other_way(beside: QuoteGroup) -> QuoteGroup:
    """A second way of doing what a group does: from now on the two exclude one another."""
    beside.choice = beside.choice or f"way-{beside.id}"
    kept = ("position", "key", "choice", "below", "working_days_tenths")
    group = QuoteGroup(**{name: getattr(beside, name) for name in kept})
    group.title = f"{beside.title}, alternative"
    return group


def add_group(
    act: Act,
    quote_id: int,
    *,
    revision: int,
    beside_id: int | None = None,
    title: str = "",
    key: str = "car",
) -> QuoteGroup:
    """One more group: beside another it is a second way of doing the same thing, and they exclude one another.

    The lines of the first way come along as a start. Without `beside_id` it stands alone, for `key`.
    """
    quote = _draft(act.session, quote_id, revision)
    beside = _group_of(quote, beside_id) if beside_id is not None else None
    last = quote.groups[-1].position
    group = _other_way(beside) if beside else QuoteGroup(key=key, position=last, title="Additional item")
    group.quote_id = quote.id
    group.title = (title.strip() or group.title)[:200]
    act.session.add(group)
    act.session.flush()
    job = get_job_by_id(act.session, quote.job_id)
    group.first_key = draw_keys(job, ITEM_KEYS)
    for line in beside.lines if beside else ():
        act.session.add(_copy(line, group.id, draw_keys(job)))
    _number_groups(act.session, quote.id)
    log_quote(act, "add_group", quote, f"Added an item to version {quote.version} of the estimate")
    return group


def _copy(line: QuoteLine, group_id: int, key: int) -> QuoteLine:
    """Another way of doing it is other work: its lines have keys of their own."""
    kept = ("kind", "skill", "words", "minutes", "rate_minor", "amount_minor", "tax_code", "job_part_id", "is_touched")
    return QuoteLine(group_id=group_id, line_key=key, **{name: getattr(line, name) for name in kept})


def _draft(session: Session, quote_id: int, revision: int) -> Quote:
    quote = get_quote(session, quote_id)
    if quote.given_at is not None:
        raise RuleBroken(GIVEN_ALREADY)
    if quote.revision != revision or quote.replaced_at is not None:
        raise Conflict(CHANGED_MEANWHILE)
    quote.revision += 1
    return quote


def _group_of(quote: Quote, group_id: int) -> QuoteGroup:
    group = next((group for group in quote.groups if group.id == group_id), None)
    if group is None:
        raise NotFound("That item is not on this {estimate}.")
    return group


def _delete_group(session: Session, group: QuoteGroup) -> None:
    session.execute(delete(QuoteLine).where(QuoteLine.group_id == group.id))
    session.execute(delete(QuoteGroup).where(QuoteGroup.id == group.id))
    session.flush()


def _tidy_choices(session: Session, quote: Quote) -> None:
    """A way that has lost its other way stands alone."""
    # What was taken off or changed is written before the ways that are left are counted.
    session.flush()
    groups = get_quote(session, quote.id).groups
    words = [group.choice for group in groups]
    for group in groups:
        if group.choice and words.count(group.choice) == 1:
            group.choice = ""
    _number_groups(session, quote.id)


def _number_groups(session: Session, quote_id: int) -> None:
    # New groups get the keys by which those of one position are told apart.
    session.flush()
    groups = get_quote(session, quote_id).groups
    for position, group in enumerate(sorted(groups, key=lambda group: (group.position, group.id)), 1):
        group.position = position
    session.flush()


def _check_line(edit: LineEdit) -> None:
    if edit.kind not in KINDS:
        raise RuleBroken("Choose what the line is for.", "groups")
    if not edit.words.strip():
        raise RuleBroken("Enter a description of the line.", "groups")
    check_amount(edit.amount_minor, "groups")


def _tax_code(session: Session, quote: Quote, kind: str) -> str:
    is_extra = quote.kind == QuoteKind.EXTRA
    codes = extra_tax_codes(session, quote.job_id, quote.made_on) if is_extra else tax_codes_on(session, quote.made_on)
    if LineKind(kind) not in codes:
        raise RuleBroken("Choose a tax rate for this kind of line in Settings.", "groups")
    return codes[LineKind(kind)]


def _new_line(session: Session, quote: Quote, group: QuoteGroup, edit: LineEdit) -> QuoteLine:
    _check_line(edit)
    line = QuoteLine(
        group_id=group.id,
        kind=edit.kind,
        words=edit.words.strip()[:200],
        amount_minor=edit.amount_minor,
        tax_code=_tax_code(session, quote, edit.kind),
        line_key=draw_keys(get_job_by_id(session, quote.job_id)),
        is_touched=True,
    )
    session.add(line)
    session.flush()
    return line


def _change_line(session: Session, quote: Quote, group: QuoteGroup, edit: LineEdit) -> None:
    line = next((line for line in group.lines if line.id == edit.id), None)
    if line is None:
        raise NotFound("That line is not on this {estimate}.")
    if edit.is_out:
        session.execute(delete(QuoteLine).where(QuoteLine.id == line.id))
        return
    _check_line(edit)
    if (line.words, line.amount_minor, line.kind) == (edit.words.strip(), edit.amount_minor, edit.kind):
        return
    if line.kind != edit.kind:
        line.kind, line.tax_code = edit.kind, _tax_code(session, quote, edit.kind)
    line.words, line.amount_minor, line.is_touched = edit.words.strip()[:200], edit.amount_minor, True
