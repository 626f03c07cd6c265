"""Who pays for a job is settled: each payer with a rule, and one who pays the rest."""

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import delete

from shopbook.models.money import JobPayer
from shopbook.queries.customers import get_customer
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.money.approvals import agreed_quotes
from shopbook.queries.money.payers import list_job_payers
from shopbook.queries.money.quotes import find_current_quote
from shopbook.queries.money.whose import shares_of_quote
from shopbook.services.act import Act
from shopbook.services.jobs.history import log_job
from shopbook.services.money.quote_groups import check_amount
from shopbook.trade.billing.payers import PayRule
from shopbook.trade.errors import RuleBroken


@dataclass(frozen=True, slots=True)
class PayerRule:
    """One payer as typed: an amount for an excess or a fixed sum, group keys (panels) for items of its own.

    `betterment_minor` is without tax, under the kind of tax `betterment_code`.
    """

    customer_id: int
    rule: str
    amount_minor: int = 0
    group_keys: tuple[str, ...] = ()
    reference: str = ""
    betterment_minor: int = 0
    betterment_code: str = ""


def set_payers(act: Act, job_id: int, rules: Sequence[PayerRule]) -> list[JobPayer]:
    """Settle who pays for a job; no rule at all lets the owner pay everything.

    RuleBroken for a payer named twice, not exactly one who pays the rest, an amount below zero, or shares that come
    to more than what was agreed (or quoted, before a yes).
    """
    job = get_job_by_id(act.session, job_id)
    _check(rules)
    for rule in rules:
        get_customer(act.session, rule.customer_id)
    act.session.execute(delete(JobPayer).where(JobPayer.job_id == job.id))
    act.session.add_all(
        JobPayer(
            job_id=job.id,
            customer_id=rule.customer_id,
            rule=PayRule(rule.rule),
            amount_minor=rule.amount_minor,
            betterment_minor=rule.betterment_minor,
            betterment_code=rule.betterment_code if rule.betterment_minor else "",
            group_keys=",".join(rule.group_keys)[:200],
            reference=rule.reference.strip()[:200],
        )
        for rule in rules
    )
    # The rules first: the shares worked out below are read from them, and refuse rules that cannot be met.
    act.session.flush()
    agreed = agreed_quotes(act.session, job.id)
    if agreed:
        shares_of_quote(act.session, job, agreed[0].quote, [group.id for group in agreed[0].taken])
    elif (quote := find_current_quote(act.session, job.id)) is not None:
        shares_of_quote(act.session, job, quote)
    log_job(act, "set_payers", job, f"Settled who pays: {len(rules) or 1} in all")
    return list_job_payers(act.session, job.id)


def _check(rules: Sequence[PayerRule]) -> None:
    if len({rule.customer_id for rule in rules}) != len(rules):
        raise RuleBroken("Name each payer once.", "payers")
    if rules and sum(rule.rule == PayRule.REST for rule in rules) != 1:
        raise RuleBroken("Exactly one payer pays the rest.", "payers")
    for rule in rules:
        _check_rule(rule)


def _check_rule(rule: PayerRule) -> None:
    check_amount(rule.amount_minor, "payers")
    check_amount(rule.betterment_minor, "payers")
    if rule.rule == PayRule.REST and rule.betterment_minor:
        raise RuleBroken("Whoever pays the rest bears no betterment: put it on the customer’s row.", "payers")
    if rule.rule == PayRule.LINES and not rule.group_keys:
        raise RuleBroken("Choose the parts of the quote that this payer pays.", "payers")
