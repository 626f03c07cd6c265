"""A quick job out of the open quick estimate: how it was paid is all that is asked, but for a first invoice."""

from flask import g, request, url_for

from shopbook.documents.head import refuse_paper
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.money.invoices import get_invoice
from shopbook.services.money.complete_papers import refuse_incomplete
from shopbook.services.money.quick import do_at_once
from shopbook.trade.errors import RuleBroken
from shopbook.web.money.drawing import drawn_first
from shopbook.web.money.first import FirstNotice, answer_first, first_notice, keep_asked
from shopbook.web.money.invoice_forms import PaidNowForm
from shopbook.web.money.invoice_view import paper_of
from shopbook.web.money.quick_job import with_issued
from shopbook.web.parts import Act, Answer, Done, country, money
from shopbook.web.parts.act import Doing, Prepared
from shopbook.web.parts.paid_now import hang_paid_now, is_paid_now
from shopbook.web.parts.rows import Invoice, Quote

FIRST = "This is your first invoice. Answer the questions below, then press again."


@hang_paid_now
class QuickEstimatePaid:
    """The press on the quick estimate's page. What is asked before a first invoice is looked up once it is pressed."""

    template = "money/_paid_now.html"

    def __init__(self) -> None:
        self.form = PaidNowForm()
        self.is_pressed = is_paid_now(g.actor)
        self.notice: FirstNotice | None = first_notice(self.form) if self.is_pressed else None
        self._issued: list[int] = []

    @property
    def address_hint(self) -> str:
        """From which sum on the invoice must name an address, which is then asked for at once; empty where none is."""
        rule = country().own_small_papers
        if rule is None or self.form.customer_address.errors or self.form.customer_address.data:
            return ""
        return f"needed {'from' if rule.is_below else 'over'} {money(rule.up_to * 10 ** country().currency_places)}"

    def drawn(self, doing: Doing) -> Doing | Prepared:
        return drawn_first(doing) if self.is_pressed else doing

    def finish(self, act: Act, quote: Quote) -> Done:
        try:
            made = self._issue(act, quote)
        except RuleBroken as broken:
            self.form.refuse(broken)
            raise
        self._issued.append(made.id)
        return Done(url_for("money.invoice", invoice_id=made.id), f"Done. Invoice {made.number} issued.")

    def _issue(self, act: Act, quote: Quote) -> Invoice:
        self._refuse_unread()
        answer_first(act, self.form, self.notice)
        keep_asked(act, self.form, get_job_by_id(act.session, quote.job_id))
        made = do_at_once(act, quote, means=self.form.paid_by.data or "")
        refuse_paper(paper_of(get_invoice(act.session, made.id)))
        refuse_incomplete(act.session, made)
        return made

    def _refuse_unread(self) -> None:
        if self.notice is not None and "first_asked" not in request.form:
            raise RuleBroken(FIRST)
        if not self.form.validate():
            raise RuleBroken(" ".join(self.form.sentences()))

    def kept(self, answer: Answer) -> Answer:
        return with_issued(answer, self._issued)
