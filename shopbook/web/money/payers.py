"""Who pays for a job."""

from collections.abc import Mapping

from shopbook.queries.customers import list_payers
from shopbook.queries.jobs.jobs import get_job
from shopbook.queries.money.payers import list_job_payers
from shopbook.queries.money.quotes import find_current_quote
from shopbook.services.money.payers import PayerRule, set_payers
from shopbook.trade.billing.payers import PayRule
from shopbook.web.money.blueprint import blueprint, job_url
from shopbook.web.money.forms import PayersForm
from shopbook.web.parts import Answer, act_by_form, choices, country, does, key_or_none, needs, reader, shop_now
from shopbook.web.parts.rows import Job


@blueprint.route("/jobs/<int:number>/payers", methods=["GET", "POST"])
@needs("money", "change")
def payers(number: int) -> Answer:
    job = get_job(reader(), number)
    form = PayersForm(data={"payers": _as_typed(job)})
    _offer(form, job)
    keep = does(lambda act: set_payers(act, job.id, _rules(form)), job_url(number), "Saved.")
    return act_by_form(form, "money/payers.html", keep, job=job, job_url=job_url(number))


def _as_typed(job: Job) -> list[Mapping[str, object]]:
    rows: list[Mapping[str, object]] = [
        {
            "customer": str(job.customer_id if job.customer and row.whose_id == job.customer.id else row.whose_id),
            "rule": row.rule,
            "amount": row.amount_minor or None,
            "betterment": row.betterment_minor or None,
            "betterment_code": row.betterment_code,
            "parts": [key for key in row.group_keys.split(",") if key],
            "reference": row.reference,
        }
        for row in list_job_payers(reader(), job.id)
    ]
    return rows or ([{"customer": str(job.customer_id), "rule": _usual_rule(job)}] if job.customer_id else [])


def _usual_rule(job: Job) -> str:
    """A registered customer pays the tax besides the excess, where the country has it so; else all of it."""
    is_theirs = country().registered_owner_pays_tax and job.customer is not None and job.customer.is_tax_registered
    return PayRule.EXCESS_AND_TAX if is_theirs else PayRule.REST


def _offer(form: PayersForm, job: Job) -> None:
    """The people and items that each row may name."""
    people = {"": "no one"}
    if job.customer is not None:
        people[str(job.customer_id)] = f"{job.customer.called} (customer)"
    people |= {str(one.id): one.called for one in list_payers(reader()) if one != job.customer}
    named = find_current_quote(reader(), job.id)
    parts = {group.key: group.title for group in named.groups} if named else {}
    codes = {row.code: row.name for row in shop_now().taxes}
    for entry in form.payers:
        entry.form.betterment_code.choices = choices(codes)
        entry.form.customer.choices = choices(people)
        entry.form.parts.choices = choices(parts)


def _rules(form: PayersForm) -> list[PayerRule]:
    return [
        PayerRule(
            customer_id=customer_id,
            rule=row.rule.data or "",
            amount_minor=row.amount.data or 0,
            betterment_minor=row.betterment.data or 0,
            betterment_code=row.betterment_code.data or "",
            group_keys=tuple(row.parts.data or ()),
            reference=row.reference.data or "",
        )
        for row in (entry.form for entry in form.payers)
        if (customer_id := key_or_none(row.customer.data)) is not None
    ]
