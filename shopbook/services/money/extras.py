"""Work found later, with an approval of its own; what the floor reports waits, priced or not, for the desk."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date

from sqlalchemy.orm import Session

from shopbook.models.money import Quote
from shopbook.queries.jobs.plans import get_stage
from shopbook.queries.money.approvals import list_approvals
from shopbook.queries.money.planned import EXTRA_KEY
from shopbook.queries.money.quotes import get_quote
from shopbook.queries.shop.rates import settings_on
from shopbook.services.act import Act
from shopbook.services.money.quote_groups import write_extra_group
from shopbook.services.money.quotes import log_quote, new_quote, open_job_of
from shopbook.trade.agreeing.words import Party, QuoteKind
from shopbook.trade.errors import Conflict, RuleBroken
from shopbook.trade.purposes import StagePurpose
from shopbook.trade.settings import SettingName


@dataclass(frozen=True, slots=True)
class ExtraDays:
    """What an extra does to the job's days: working days that it adds (tenths), and the new day for collection."""

    working_days_tenths: int | None = None
    promise_on: date | None = None


NO_DAYS = ExtraDays()


def draft_extra(
    act: Act,
    job_id: int,
    *,
    title: str,
    below: str = "",
    price_minor: int | None = None,
    minutes: Mapping[str, int] | None = None,
    stage_ids: Collection[int] = (),
    days: ExtraDays = NO_DAYS,
    is_only_told: bool = False,
) -> Quote:
    """Work found later, with an approval of its own: at a price, or by hours of a skill, or by stages of the plan.

    The stages become extras of this group. RuleBroken without a title, without anything to price, or while the quote
    itself is not approved (then it belongs on the quote), and for a day of collection that has passed.

    What the floor tells the desk `is_only_told`: it may come without a price and before that approval, since what
    someone sees while stripping is not held back for it. It is not given to the customer before it has a price.
    """
    job = open_job_of(act.session, job_id)
    if not title.strip():
        raise RuleBroken("Enter what was found.", "title")
    if job.agreed_at is None and not is_only_told:
        raise RuleBroken("The {estimate} is not approved yet. Add this to the {estimate} instead.", "title")
    if days.promise_on is not None and days.promise_on < act.day:
        raise RuleBroken("Choose today or a later day.", "promise_on")
    held = settings_on(act.session, act.day)
    quote = new_quote(act, job, QuoteKind.EXTRA, has_tax_inside=held[SettingName.PRICES_HOLD_TAX])
    quote.promise_on = days.promise_on
    key = f"{EXTRA_KEY}{quote.version}"
    _claim_stages(act.session, job_id, stage_ids, key)
    group = write_extra_group(
        act.session, job, quote, key, title.strip(), below, price_minor, minutes or {}, may_wait=is_only_told
    )
    group.working_days_tenths = days.working_days_tenths or None
    log_quote(act, "draft_extra", quote, f"Extra work found: {title.strip()}")
    return get_quote(act.session, quote.id)


def decline_by_payer(act: Act, quote_id: int, why: str) -> Quote:
    """The payer will not pay for an extra: nobody waits for it any more, and it stays at the shop's risk while work on
    it is approved. The customer may then agree to pay for it, or it is withdrawn.

    Conflict for a version that was replaced; RuleBroken without a reason, for anything but an extra that was given,
    and once the payer approved it.
    """
    quote = get_quote(act.session, quote_id)
    if quote.replaced_at is not None:
        raise Conflict("This version was replaced or withdrawn. Use the newest one.")
    if quote.kind != QuoteKind.EXTRA or quote.given_at is None:
        raise RuleBroken("Only extra work that was issued can be declined by its payer.")
    if not why.strip():
        raise RuleBroken("Enter who declined it and why, for example “claims desk, not from this accident”.", "why")
    approvals = list_approvals(act.session, quote.job_id)
    if any(row.quote_id == quote_id and row.party == Party.PAYER for row in approvals):
        raise RuleBroken("The payer has approved this extra work already.")
    quote.payer_declined_at, quote.payer_declined_why = act.moment, why.strip()[:200]
    log_quote(act, "decline_by_payer", quote, f"The payer declined version {quote.version}")
    return quote


def _claim_stages(session: Session, job_id: int, stage_ids: Collection[int], key: str) -> None:
    """The stages become the extra's."""
    for stage_id in stage_ids:
        stage = get_stage(session, stage_id)
        if stage.job_id != job_id or stage.agreed_at is not None:
            raise RuleBroken("Choose stages of this job that are not approved yet.", "stages")
        stage.purpose, stage.quote_group_key = StagePurpose.EXTRA, key
    session.flush()
