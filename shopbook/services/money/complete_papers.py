"""What a paper must carry before it is issued: customer and shop, as the country's rule for small papers asks."""

from collections.abc import Mapping

from sqlalchemy.orm import Session

from shopbook.models.customers import Customer
from shopbook.models.jobs import Job
from shopbook.models.money import Invoice
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.money.heads import NO_NAME
from shopbook.queries.money.invoices import list_job_invoices
from shopbook.queries.money.words import Wording, get_wording
from shopbook.services.act import Act
from shopbook.services.customers import add_customer, change_customer
from shopbook.services.jobs.whose import set_customer
from shopbook.services.money.deposits import find_priced
from shopbook.services.postings import write_log
from shopbook.trade.billing.small_papers import SmallPapers
from shopbook.trade.errors import RuleBroken


def keep_asked_customer(act: Act, job: Job, *, name: str, address: str) -> None:
    """What was typed of the customer when a paper was issued; what the book knows of the name stays as it is."""
    known = job.customer
    if known is None and name.strip():
        set_customer(act, job, add_customer(act, name=name.strip(), address=address.strip()))
    elif known is not None and (name.strip() or address.strip()):
        words = {"name": known.name.strip() or name.strip(), "address": address.strip() or known.address}
        change_customer(act, known.id, revision=known.revision, **words)


def keep_asked_shop(act: Act, *, tax_number: str, address: str) -> None:
    """The shop's own number and address, typed when a paper was issued, for this and all later ones."""
    book = get_wording(act.session).book
    typed = {"tax_number": tax_number.strip()[:200], "address": address.strip()}
    changed = {name: said for name, said in typed.items() if said and said != getattr(book, name)}
    for name, said in changed.items():
        setattr(book, name, said)
    if changed:
        book.revision += 1
        write_log(act, "change_book", "book", book.id, "Changed the shop's details")


def refuse_incomplete(
    session: Session, paper: Invoice, *, name_field: str = "customer_name", address_field: str = "customer_address"
) -> None:
    """RuleBroken (`name_field`, `address_field`, tax_number, address), before the commit, for a paper that lacks what
    the country asks for.

    Counted is the whole job: 100.00 on account of 1,500.00 asks in Britain for name and address, 100.00 alone does not.
    A correction counts in place of the first: its credit note takes that off. A fee for a returned cheque is no supply
    of work; a credit note says what its invoice says. Neither is asked, and the fee counts for no other paper.
    """
    said = get_wording(session)
    rule = said.country.own_small_papers
    if rule is None or paper.kind in {"credit", "fee"}:
        return
    job = get_job_by_id(session, paper.job_id)
    gross, places = _gross_of_job(session, job, paper), said.country.currency_places
    known = _known(job.customer) if paper.corrects_id is None else _printed(paper, job.customer, said)
    fields = {"name": name_field, "address": address_field}
    _refuse_customer(rule, rule.missing(gross, places, known), said, fields)
    if paper.tax_minor and rule.wants_number(gross, places):
        _refuse_shop(said)


def _gross_of_job(session: Session, job: Job, paper: Invoice) -> int:
    """What the job is supplied for, with tax: all papers that stand, of a deposit at least the price of its work."""
    papers = sum(each.gross_minor for each in list_job_invoices(session, job.id) if each.kind != "fee")
    if paper.kind != "deposit":
        return papers
    return max(papers, find_priced(session, job, paper.supply_on).gross_minor)


def _known(customer: Customer | None) -> dict[str, str]:
    """What the paper knows of its customer; of an erased one nothing is asked anew."""
    if customer is None:
        return {}
    if customer.erased_at is not None:
        return {"name": customer.name, "address": customer.name}
    return {"name": customer.name, "address": customer.address}


def _printed(paper: Invoice, customer: Customer | None, said: Wording) -> dict[str, str]:
    """What a corrected paper says of its customer, as typed for it; a phone or a tax number is no address."""
    phone, number = (customer.phone, said.country.tax_number_word) if customer else ("", said.country.tax_number_word)
    lines = [line for line in paper.frozen["to_lines"] if line != phone and not line.startswith(f"{number} ")]
    name = paper.frozen["to"]
    return {"name": "" if name == NO_NAME else name, "address": "\n".join(lines)}


def _refuse_customer(rule: SmallPapers, missing: tuple[str, ...], said: Wording, fields: Mapping[str, str]) -> None:
    if not missing:
        return
    limit = said.money(rule.up_to * 10**said.country.currency_places)
    words = f"of {limit} or more" if rule.is_below else f"over {limit}"
    what, it = " and ".join(missing), "both" if len(missing) > 1 else "it"
    raise RuleBroken(f"Enter the customer’s {what}. An invoice {words} must have {it}.", fields[missing[0]])


def _refuse_shop(said: Wording) -> None:
    word = said.country.tax_number_word
    if not said.book.tax_number.strip():
        raise RuleBroken(f"Enter your {word}. An invoice with {said.country.tax_word} must have it.", "tax_number")
    if not said.book.address.strip():
        raise RuleBroken("Enter your shop’s address. An invoice must have it.", "address")
