"""What of jobs may be billed: groups that the owner took, hours of estimates as they came out, parts nobody quoted."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.floor import ClockShare
from shopbook.models.jobs import JobPart, Stage
from shopbook.models.money import Agreement, Quote, QuoteGroup, QuoteLine
from shopbook.queries.money.agreements import agreements_of, taken_groups
from shopbook.queries.money.pricing import bill_rates, tax_codes
from shopbook.queries.money.quotes import is_main, priced_groups, quotes_of, sum_of_quote
from shopbook.queries.shop.rates import setting_on, tax_rates_on
from shopbook.trade.agreeing import Party
from shopbook.trade.amounts import divide_half_away, share_out
from shopbook.trade.billable import Billable, Piece, bill_within, judged, with_tax_inside
from shopbook.trade.billing import NOT_SET, BillLine, LineKind, TaxRate, make_bill
from shopbook.trade.errors import RuleBroken
from shopbook.trade.further import Asked
from shopbook.trade.planning.groups import WHOLE_CAR_GROUP
from shopbook.trade.pricing import Allowance, PricedGroup, QuoteSum
from shopbook.trade.purposes import StagePurpose
from shopbook.trade.settings import SettingName


@dataclass(frozen=True, slots=True)
class TakenQuote:
    """A quote as its owner's newest yes has it: its groups taken and left, and every yes given to it, oldest first."""

    quote: Quote
    taken: tuple[QuoteGroup, ...]
    left: tuple[QuoteGroup, ...]
    yeses: tuple[Agreement, ...]


@dataclass(frozen=True, slots=True)
class AgreedWork:
    """All of one job that bears on its bill. `not_agreed` names work that was done without a yes."""

    job_id: int
    quotes: tuple[TakenQuote, ...] = ()
    loose_parts: tuple[JobPart, ...] = ()
    done_minutes: dict[str, int] = field(default_factory=dict)
    """Clocked minutes of the plan by skill, where every agreed stage of that skill is finished."""
    not_agreed: tuple[tuple[str, int], ...] = ()


@dataclass(frozen=True, slots=True)
class BillingDay:
    """The kinds of tax and the shop's allowance as they hold on the day of supply."""

    rates: tuple[TaxRate, ...]
    code_of_kind: dict[str, str]
    allowance: Allowance
    unconfirmed: tuple[str, ...]
    """The kinds of tax that are still our guess; the one without a code while the shop has set none."""


def billing_day(session: Session, day: date) -> BillingDay:
    """What a bill needs to know of its day; a fixed number of statements."""
    permille = setting_on(session, SettingName.ALLOWANCE_PERMILLE, day)
    taxes = tax_rates_on(session, day)
    return BillingDay(
        rates=tuple(bill_rates(taxes)),
        code_of_kind={kind.value: code for kind, code in tax_codes(taxes).items()},
        allowance=Allowance(permille=permille),
        unconfirmed=tuple(tax.code for tax in taxes if not tax.is_confirmed) if taxes else (NOT_SET.code,),
    )


def agreed_work(session: Session, job_ids: Iterable[int]) -> dict[int, AgreedWork]:
    """What was agreed and done on several jobs, by job id; six statements however many."""
    ids = sorted(set(job_ids))
    quotes = _taken_quotes(session, ids)
    parts = _parts(session, ids)
    stages = _stages(session, ids)
    return {
        job_id: AgreedWork(
            job_id=job_id,
            quotes=tuple(quotes[job_id]),
            loose_parts=tuple(_loose(parts[job_id], quotes[job_id])),
            done_minutes=_done_minutes(stages[job_id]),
            not_agreed=tuple(_not_agreed(stages[job_id])),
        )
        for job_id in ids
    }


def _taken_quotes(session: Session, ids: list[int]) -> dict[int, list[TakenQuote]]:
    quotes, yeses = quotes_of(session, ids), agreements_of(session, ids)
    newest = {row.quote_id: row.id for rows in yeses.values() for row in rows if row.party == Party.OWNER}
    marks = taken_groups(session, list(newest.values()))
    found: dict[int, list[TakenQuote]] = defaultdict(list)
    for job_id, own in quotes.items():
        for quote in _standing([quote for quote in own if quote.id in newest], newest):
            is_taken = marks[newest[quote.id]]
            found[job_id].append(
                TakenQuote(
                    quote,
                    tuple(group for group in quote.groups if is_taken.get(group.id)),
                    tuple(group for group in quote.groups if not is_taken.get(group.id)),
                    tuple(yes for yes in yeses[job_id] if yes.quote_id == quote.id),
                )
            )
    return found


def _standing(agreed: Sequence[Quote], newest: Mapping[int, int]) -> list[Quote]:
    """The main quote that the latest yes was given to, then each extra with a yes, in their order."""
    main = [quote for quote in sorted(agreed, key=lambda quote: newest[quote.id]) if is_main(quote)]
    return main[-1:] + sorted((quote for quote in agreed if not is_main(quote)), key=lambda quote: quote.version)


def _parts(session: Session, ids: list[int]) -> dict[int, list[JobPart]]:
    found: dict[int, list[JobPart]] = defaultdict(list)
    asked = select(JobPart).where(JobPart.job_id.in_(ids), JobPart.struck_at.is_(None), JobPart.price_minor > 0)
    for part in session.scalars(asked.order_by(JobPart.id)):
        found[part.job_id].append(part)
    return found


def _loose(parts: Sequence[JobPart], quotes: Sequence[TakenQuote]) -> list[JobPart]:
    """Parts that no agreed line stands for and no price set by hand covers."""
    if not quotes:
        return []
    groups = [group for row in quotes for group in (*row.taken, *row.left)]
    lines = [line for group in groups for line in group.lines]
    quoted = {line.job_part_id for line in lines} | {(line.kind, line.words) for line in lines}
    covered = {group.key for group in groups if group.price_minor is not None}
    has_one_price = any(group.price_minor is not None and group.key == WHOLE_CAR_GROUP for group in groups)
    return [
        part
        for part in parts
        if part.id not in quoted
        and (part.kind, part.name) not in quoted
        and part.quote_group_key not in covered
        and not has_one_price
    ]


def _stages(session: Session, ids: list[int]) -> dict[int, list[tuple[Any, int]]]:
    sums = session.execute(
        select(ClockShare.stage_id, func.sum(ClockShare.minutes))
        .where(ClockShare.job_id.in_(ids))
        .group_by(ClockShare.stage_id)
    )
    used = {stage_id: int(minutes) for stage_id, minutes in sums}
    found: dict[int, list[tuple[Any, int]]] = defaultdict(list)
    asked = select(
        Stage.id, Stage.job_id, Stage.name, Stage.skill, Stage.purpose, Stage.quote_group_key, Stage.agreed_at
    ).add_columns(Stage.finished_at, Stage.struck_at)
    for stage in session.execute(asked.where(Stage.job_id.in_(ids)).order_by(Stage.position)):
        found[stage.job_id].append((stage, used.get(stage.id, 0)))
    return found


def _done_minutes(stages: Sequence[tuple[Any, int]]) -> dict[str, int]:
    sums: dict[str, int] = defaultdict(int)
    unfinished = set()
    for stage, minutes in stages:
        if stage.purpose == StagePurpose.PLAN and stage.agreed_at is not None:
            sums[stage.skill] += minutes
            if stage.finished_at is None and stage.struck_at is None:
                unfinished.add(stage.skill)
    return {skill: minutes for skill, minutes in sums.items() if skill not in unfinished and minutes > 0}


def _not_agreed(stages: Sequence[tuple[Any, int]]) -> list[tuple[str, int]]:
    return [
        (stage.name, minutes)
        for stage, minutes in stages
        if stage.purpose in {StagePurpose.PLAN, StagePurpose.EXTRA} and stage.agreed_at is None and minutes > 0
    ]


def bill_agreed(session: Session, work: AgreedWork, day: BillingDay) -> Billable:
    """The bill over one job's agreed work as it would be issued on that day, and what is held; no statement of its own.

    RuleBroken where a quoted kind of tax is not known any more or a discount passes the sum.
    """
    asked = asked_of(session, work, day)
    return bill_within(
        asked.pieces, asked.agreed_minor, day.rates, includes_tax=asked.includes_tax, allowance=day.allowance
    )


def asked_of(session: Session, work: AgreedWork, day: BillingDay) -> Asked:
    """All that one job asks for as it would be billed on that day, and what was agreed; no statement of its own.

    A discount comes off the quote that it was given on, under that quote's kinds of tax, so that each yes holds.
    """
    includes_tax = any(row.quote.has_tax_inside for row in work.quotes)
    quoted: list[BillLine] = []
    pieces: list[Piece] = []
    discounts: list[BillLine] = []
    room = 0
    for row in work.quotes:
        own, asked = _pieces(row, work, day)
        agreed = _sum_agreed(session, row, day)
        room += max(0, agreed.most_minor - agreed.taken.gross_minor)
        off = [each.line for each in agreed.taken.lines if each.line.is_whole_bill]
        if includes_tax and not row.quote.has_tax_inside:
            own, off = with_tax_inside(own, day.rates), with_tax_inside(off, day.rates)
            asked = _with_tax(asked, day)
        quoted += [*own, *off]
        pieces += asked
        discounts += off
    pieces += [*_loose_pieces(work, day, includes_tax), *(Piece("", "", line) for line in discounts)]
    most = make_bill(quoted, day.rates, includes_tax=includes_tax).gross_minor + room
    return Asked(tuple(judged(pieces, day.rates)), most, includes_tax)


def _sum_agreed(session: Session, row: TakenQuote, day: BillingDay) -> QuoteSum:
    """What was taken at the kinds of tax of the day; at those of its own where a higher tax passes an estimate."""
    taken = [group.id for group in row.taken]
    try:
        return sum_of_quote(session, row.quote, taken, day.rates)
    except RuleBroken:
        return sum_of_quote(session, row.quote, taken)


def _with_tax(asked: Sequence[Piece], day: BillingDay) -> list[Piece]:
    lines = with_tax_inside([piece.line for piece in asked], day.rates)
    return [replace(piece, line=line) for piece, line in zip(asked, lines, strict=True)]


def _pieces(row: TakenQuote, work: AgreedWork, day: BillingDay) -> tuple[list[BillLine], list[Piece]]:
    """The lines as quoted, and as they are asked for now: an estimate by the hours that it took in the end."""
    quoted: list[BillLine] = []
    asked: list[Piece] = []
    is_by_hours = row.quote.is_estimate and is_main(row.quote)
    priced = {group.key: group for group in priced_groups(row.quote)}
    for group in row.taken:
        title = group.title if is_main(row.quote) else f"Extra · {group.title}"
        lines = _lines_of(priced[str(group.id)], day)
        quoted += lines
        asked += [Piece(group.key, title, line) for line in lines]
    return quoted, _by_hours(row.taken, asked, work.done_minutes) if is_by_hours else asked


def _lines_of(group: PricedGroup, day: BillingDay) -> list[BillLine]:
    """The lines of a group as billed; a price set by hand without a line is labour."""
    if group.lines or not group.price_minor:
        return group.bill_lines()
    return [BillLine(LineKind.LABOUR, group.title, group.price_minor, day.code_of_kind.get("labour", ""))]


def _by_hours(groups: Sequence[QuoteGroup], asked: Sequence[Piece], done: dict[str, int]) -> list[Piece]:
    """Fewer hours make the lines smaller; more stand beyond what was agreed, as a line of their own for each skill."""
    pieces = list(asked)
    timed = [line for group in groups if group.price_minor is None for line in group.lines if _is_timed(line)]
    for skill in dict.fromkeys(line.skill for line in timed if line.skill in done):
        lines = [line for line in timed if line.skill == skill]
        planned = sum(line.minutes for line in lines)
        if done[skill] < planned:
            minutes = share_out(done[skill], [line.minutes for line in lines])
            for line, left in zip(lines, minutes, strict=True):
                _shorten(pieces, line, divide_half_away(left * line.rate_minor, 60))
        elif done[skill] > planned:
            more = divide_half_away((done[skill] - planned) * lines[0].rate_minor, 60)
            over = BillLine(LineKind.LABOUR, f"Hours beyond the estimate, {skill}", more, lines[0].tax_code)
            pieces.append(Piece("", "Beyond the estimate", over, is_beyond=True, can_be_cut=True))
    return pieces


def _is_timed(line: QuoteLine) -> bool:
    return line.kind == LineKind.LABOUR and line.minutes > 0 and line.rate_minor > 0


def _shorten(pieces: list[Piece], line: QuoteLine, amount: int) -> None:
    for at, piece in enumerate(pieces):
        was = piece.line
        if (was.kind, was.words, was.amount_minor) == (LineKind.LABOUR, line.words, line.amount_minor):
            pieces[at] = replace(piece, line=replace(was, amount_minor=amount))
            return


def _loose_pieces(work: AgreedWork, day: BillingDay, includes_tax: bool) -> list[Piece]:
    lines = [
        BillLine(LineKind(part.kind), part.name, part.price_minor, day.code_of_kind.get(part.kind, ""))
        for part in work.loose_parts
    ]
    told = with_tax_inside(lines, day.rates) if includes_tax else lines
    return [
        Piece(part.quote_group_key, "Not on the quote", line, is_beyond=True)
        for part, line in zip(work.loose_parts, told, strict=True)
    ]
