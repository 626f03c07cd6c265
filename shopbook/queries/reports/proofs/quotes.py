"""Quotes as given and what was approved of them, plans and their versions, and the keys of priced lines."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from sqlalchemy import Text, func, select, type_coerce, union_all
from sqlalchemy.orm import Session, joinedload, selectinload

from shopbook.models.jobs import Job, JobPart, PlanVersion, Stage, StagePanel, StageUse
from shopbook.models.money import Approval, ApprovalGroup, GivenQuote, Quote, QuoteGroup, QuoteLine
from shopbook.queries.money.quotes import is_plus_tax, priced_from_rows
from shopbook.queries.reports.proofs.faults import Claim, Fault, fault_of, read_json, sums_by_first
from shopbook.trade.agreeing.words import Party
from shopbook.trade.errors import RuleBroken
from shopbook.trade.pricing.given import Given, given_of
from shopbook.trade.pricing.priced import PricedQuote

_AT_ONCE = 200


def _given_are_their_rows(session: Session) -> Iterator[Fault | None]:
    """A quote that was given stands in its rows as it was said: items, lines, prices, discount, savings, sums."""
    lines = selectinload(Quote.groups).joinedload(QuoteGroup.lines)
    asked = select(Quote).where(Quote.given_at.is_not(None)).options(lines, joinedload(Quote.given_row))
    rows = session.scalars(asked.order_by(Quote.id), execution_options={"yield_per": _AT_ONCE})
    for quote in rows:
        said = _unlike(quote)
        yield None if said is None else Fault("quote", str(quote.id), f"Quote {quote.id} {said}")
        session.expunge(quote)


def _unlike(quote: Quote) -> str | None:
    if quote.given_row is None:
        return "was given, and the book has no row of what was said"
    kept = read_json(quote.given_row.content)
    given = read_given(kept)
    if given is None:
        return "was given in words that do not read"
    if priced_from_rows(quote, given.priced.rates) != given.priced:
        return "stands in its rows otherwise than it was given"
    if not quote.given_row.is_reconstructed and quote.deposit_minor != given.deposit_minor:
        return f"asks for a deposit of {quote.deposit_minor}, it was given with {given.deposit_minor}"
    return None if _sums_agree(given.priced, kept.get("sums")) else "was given with sums that its lines do not make"


def read_given(kept: Any) -> Given | None:
    """What a row of a given quote says that is read as JSON; None where it is none of ours."""
    try:
        return given_of(kept)
    except (KeyError, TypeError, ValueError):
        return None


def _sums_agree(priced: PricedQuote, kept: Mapping[str, int] | None) -> bool:
    if kept is None:
        return True
    whole = priced.sum()
    found = (whole.taken.net_minor, whole.taken.tax_minor, whole.taken.gross_minor, whole.most_minor)
    return found == tuple(kept[name] for name in ("net_minor", "tax_minor", "gross_minor", "most_minor"))


def _approvals_are_of_given(session: Session) -> Iterator[Fault | None]:
    """An approval is of a quote of its job that was given; it answers each item once; the customer's is for what those
    come to, a payer's pays no more than the repair total that it names."""
    answered: dict[int, list[int]] = {}
    taken: dict[int, set[int]] = {}
    asked = select(ApprovalGroup.approval_id, ApprovalGroup.group_id, ApprovalGroup.is_taken)
    for approval_id, group_id, is_taken in session.execute(asked.order_by(ApprovalGroup.group_id)):
        answered.setdefault(approval_id, []).append(group_id)
        if is_taken:
            taken.setdefault(approval_id, set()).add(group_id)
    rows = session.execute(_APPROVALS, execution_options={"yield_per": _AT_ONCE})
    for row in rows:
        said = _wrong_approval(row, answered.get(row.id, []), taken.get(row.id, set()))
        yield None if said is None else Fault("approval", str(row.id), f"Approval {row.id} {said}")


_APPROVALS = (
    select(
        Approval.id,
        Approval.party,
        Approval.amount_minor,
        Approval.pays_minor,
        Approval.repair_total_minor,
        Approval.job_id,
        Quote.job_id.label("quote_job_id"),
        type_coerce(GivenQuote.content, Text).label("content"),
        GivenQuote.is_reconstructed,
    )
    .join(Quote, Quote.id == Approval.quote_id)
    .outerjoin(GivenQuote, GivenQuote.quote_id == Approval.quote_id)
    .order_by(Approval.id)
)


def _wrong_approval(row: Any, answered: Sequence[int], taken: set[int]) -> str | None:
    if row.job_id != row.quote_job_id:
        return "is of a quote of another job"
    if row.party == Party.PAYER:
        return _wrong_payer(row.amount_minor or 0, row.repair_total_minor)
    if row.content is None or row.is_reconstructed:
        # What the quote said is not known: approved before quotes were kept as given.
        return None
    given = read_given(read_json(row.content))
    if given is None or sorted(group.key for group in given.priced.groups) != sorted(map(str, answered)):
        return "fits no quote: each item of it has one answer"
    return _wrong_amount(row.amount_minor, row.pays_minor, given.priced, {str(key) for key in taken})


def _wrong_payer(amount: int, repair_total: int | None) -> str | None:
    is_within = repair_total is None or amount <= repair_total
    return None if is_within else f"pays {amount} of a repair total of {repair_total}"


def _wrong_amount(amount: int | None, pays: int | None, priced: PricedQuote, taken: set[str]) -> str | None:
    try:
        wanted = priced.sum(taken).most_minor
    except RuleBroken as broken:
        return f"cannot be added up: {broken.sentence}"
    # Of the first releases a customer's approval kept no sum; where tax was not set yet, it has that of later.
    if is_plus_tax(priced) or (amount in (None, wanted) and pays in (None, amount)):
        return None
    return f"is for {amount}, what was approved of its quote comes to {wanted}"


def _plans_are_their_versions(session: Session) -> Iterator[Fault | None]:
    """The versions of a plan count up from 1, and the plan as it stands is the newest one."""
    counted = select(PlanVersion.job_id, func.count(), func.min(PlanVersion.version), func.max(PlanVersion.version))
    newest: dict[int, int] = {}
    for job_id, count, first, last in session.execute(counted.group_by(PlanVersion.job_id)):
        newest[job_id] = last
        said = f"The plan of job {job_id} has {count} versions from {first} to {last}"
        yield fault_of("plan_version", f"{job_id}/{last}", said, holds=(count, first) == (last, 1))
    yield from _plans_stand(session)


def _plans_stand(session: Session) -> Iterator[Fault | None]:
    """What every stage plans, against its job's newest version; one statement a table, however many jobs."""
    panels = sums_by_first(session, select(StagePanel.stage_id, func.sum(StagePanel.minutes)))
    uses = sums_by_first(session, select(StageUse.stage_id, func.sum(StageUse.amount_thousandths)))
    stages = {row.id: row for row in session.execute(_STAGES)}
    last = select(PlanVersion.job_id, func.max(PlanVersion.version).label("version")).group_by(PlanVersion.job_id)
    newest = last.subquery()
    asked = (
        select(PlanVersion.job_id, PlanVersion.version, type_coerce(PlanVersion.body, Text))
        .join(newest, (newest.c.job_id == PlanVersion.job_id) & (newest.c.version == PlanVersion.version))
        .order_by(PlanVersion.job_id)
    )
    for job_id, version, text in session.execute(asked, execution_options={"yield_per": _AT_ONCE}):
        body = read_json(text)
        for kept in (body or {}).get("stages", ()) if isinstance(body, dict) else ():
            row = stages.get(kept["id"])
            found = (
                (row.standard_minutes, row.planned_minutes, panels.get(row.id, 0), uses.get(row.id, 0)) if row else None
            )
            plan = _kept_plan(kept)
            said = f"Stage {kept['id']} plans {found}, version {version} of job {job_id} says {plan}"
            yield fault_of("stage", kept["id"], said, holds=found is None or found == plan)


_STAGES = select(Stage.id, Stage.standard_minutes, Stage.planned_minutes)


def _kept_plan(kept: dict[str, Any]) -> tuple[int, int, int, int]:
    """Standard minutes, planned minutes, those of its panels, and all that it uses, as a version has them."""
    panels = sum(minutes for minutes, _ in kept["panels"].values())
    return kept["standard_minutes"], kept["minutes"], panels, sum(use[1] for use in kept["uses"])


def _keys_were_drawn(session: Session) -> Iterator[Fault | None]:
    """No priced line of a job has a key beyond the job's counter: the next line would get it a second time."""
    highest = {job_id: key for job_id, key in session.execute(_HIGHEST_KEYS)}
    for job_id, number, last in session.execute(select(Job.id, Job.number, Job.last_line_key).order_by(Job.id)):
        used = highest.get(job_id) or 0
        said = f"Job {number}: a line has the key {used}, the counter says {last}"
        yield fault_of("job", job_id, said, holds=used <= last)


_KEYS = union_all(
    select(Quote.job_id, func.max(QuoteLine.line_key).label("key"))
    .join(QuoteGroup, QuoteGroup.quote_id == Quote.id)
    .join(QuoteLine, QuoteLine.group_id == QuoteGroup.id)
    .group_by(Quote.job_id),
    select(Quote.job_id, func.max(QuoteGroup.first_key))
    .join(QuoteGroup, QuoteGroup.quote_id == Quote.id)
    .group_by(Quote.job_id),
    select(Quote.job_id, func.max(Quote.first_key)).group_by(Quote.job_id),
    select(JobPart.job_id, func.max(JobPart.line_key)).group_by(JobPart.job_id),
).subquery()
_HIGHEST_KEYS = select(_KEYS.c.job_id, func.max(_KEYS.c.key)).group_by(_KEYS.c.job_id)


CLAIMS = (
    Claim("given_quotes", "a quote stands in its rows as it was given", _given_are_their_rows),
    Claim("approvals", "an approval is for what its quote said when it was given", _approvals_are_of_given),
    Claim("plans", "a plan stands as its newest version says", _plans_are_their_versions),
    Claim("line_keys", "no line's key is beyond its job's counter", _keys_were_drawn),
)
