"""A job is given to another customer: what goes along is said first."""

from flask import request
from wtforms import StringField

from shopbook.queries.jobs.jobs import get_job
from shopbook.queries.money.invoices import find_live_invoice
from shopbook.queries.money.moving import read_what_goes_along
from shopbook.queries.money.payments import list_job_payments
from shopbook.services.money.changed_customer import change_customer_of_job
from shopbook.trade.billing.pay_means import KIND_WORDS
from shopbook.web.money.blueprint import blueprint, job_url
from shopbook.web.money.drawing import drawn_first
from shopbook.web.money.paper_files import refuse_unkept, with_papers
from shopbook.web.money.payments import refuse_receipt
from shopbook.web.parts import Act, Answer, Done, act_by_form, needs, reader
from shopbook.web.parts.act import Doing
from shopbook.web.parts.forms import LINE, RevisedForm
from shopbook.web.parts.people import SomebodyForm, people_offered, person_chosen
from shopbook.web.parts.rows import Job


class ChangedCustomerForm(SomebodyForm, RevisedForm):
    """Whose job it is instead."""

    printed_name = StringField("Name on this paper and later ones", [LINE])


@blueprint.route("/jobs/<int:number>/customer", methods=["GET", "POST"])
@needs("money", "change")
def change_customer(number: int) -> Answer:
    job = get_job(reader(), number)
    is_asking = request.method == "GET" and "who" in request.args
    form = ChangedCustomerForm(request.args) if is_asking else ChangedCustomerForm(obj=job)
    offers = people_offered(form.who.data or "", besides=job.customer_id)

    shown = {
        "kinds": KIND_WORDS,
        "job": job,
        "along": read_what_goes_along(reader(), job),
        "invoice": find_live_invoice(reader(), job.id),
    }
    return with_papers(
        act_by_form(form, "money/change_customer.html", drawn_first(_change(form, job, offers)), known=offers, **shown),
        job.id,
    )


def _change(form: ChangedCustomerForm, job: Job, offers: dict[str, str]) -> Doing:
    def change(act: Act) -> Done:
        change_customer_of_job(
            act,
            job.id,
            revision=form.revision.data or 0,
            who=form.who.data or "",
            customer_id=person_chosen(form, offers),
            printed_name=form.printed_name.data or "",
        )
        refuse_unkept(act.session, job.id)
        for payment in list_job_payments(act.session, job.id)[-1:]:
            refuse_receipt(act.session, payment)
        return Done(job_url(job.number), "Customer changed.")

    return change
