"""The fourteen usual mistakes of a shop: where each is noticed, and the presses from there to the form that mends it.

The same table stands in DEVELOPERS.md under "Way back"; a house test holds both equal.
"""

import re
from dataclasses import dataclass
from datetime import timedelta

from shopbook.models.customers import Customer
from shopbook.models.money import Payment
from shopbook.services.act import Act
from shopbook.services.money.hand_over import hand_over, let_go
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.money.payments import take_payment
from shopbook.trade.permissions import THE_PROGRAM
from tests.journeys.hands import Hand, Shop
from tests.makers.billing import add_quote, make_job, name_payer, say_pays
from tests.makers.customers import make_customer

FOLD = "▸ "
"""What stands before the words of a fold that is opened; everything else is a link or a button."""
MOST = 3
DOOR = ("left_front_door", "Left front door", [("labour", "Work", 20900), ("materials", "Paint and materials", 6140)])


@dataclass(frozen=True, slots=True)
class Mistake:
    """`presses` lead from the page where it is noticed to the form (`form` is its path); `told` is the browser test."""

    what: str
    noticed: str
    presses: tuple[str, ...]
    form: str
    told: str

    @property
    def row(self) -> str:
        """Its row in the documentation."""
        pressed = " · ".join(re.sub(r":? ?\{\w*\}|[:,] $", "", words) or "its receipt" for words in self.presses)
        return f"| {self.what} | {self.noticed} | {pressed} | `{self.told.partition(':')[0]}` |"


MISTAKES = {
    "price": Mistake(
        "a price on an invoice",
        "job",
        (FOLD + "Money", "Invoice {invoice}", "Correct invoice"),
        r"/money/invoices/\d+/correct$",
        "test_mend: test_a_price_is_corrected_and_twenty_go_back",
    ),
    "words": Mistake(
        "only its words, name or order number",
        "job",
        (FOLD + "Money", "Invoice {invoice}", "Correct invoice"),
        r"/money/invoices/\d+/correct$",
        "test_mistakes: test_the_name_on_a_paid_invoice_is_put_right_with_equal_sums",
    ),
    "rest": Mistake(
        "a rest that another payer owes",
        "Money",
        ("Open: Invoice {invoice}", "Charge the customer"),
        r"/money/invoices/\d+/charge/\d+$",
        "test_mistakes: test_what_the_insurer_is_short_by_is_charged_to_the_customer",
    ),
    "debt": Mistake(
        "debt that will not come, and does",
        "Money",
        ("Open: Invoice {invoice}", "Write off debt"),
        r"/money/invoices/\d+/write-off",
        "test_mistakes: test_debt_is_written_off_and_money_comes_after_all",
    ),
    "customer": Mistake(
        "the wrong customer on a job",
        "job",
        (FOLD + "More about this job", "Change customer"),
        r"/money/jobs/\d+/customer$",
        "test_way_back: test_a_job_is_given_to_the_customer_whose_it_is",
    ),
    "twice": Mistake(
        "one customer twice, or two as one",
        "customer",
        ("Merge with another customer",),
        r"/customers/\d+/merge$",
        "test_way_back: test_two_customers_are_merged_and_parted",
    ),
    "approval": Mistake(
        "an approval that was not given",
        "job",
        (FOLD + "Withdraw an approval", "Withdraw: {approval}"),
        r"/money/approvals/\d+/withdraw$",
        "test_way_back: test_an_approval_is_withdrawn_with_its_reason",
    ),
    "typed": Mistake(
        "a payment entered wrong",
        "Money",
        ("Receipt {receipt}", "Reverse payment"),
        r"/money/payments/\d+/reverse$",
        "test_mistakes_of_money: test_a_payment_entered_wrong_is_entered_again",
    ),
    "other_job": Mistake(
        "a payment of another job",
        "job",
        (FOLD + "Money", "Payment, ", "Reverse payment"),
        r"/money/payments/\d+/reverse$",
        "test_mistakes_of_money: test_a_payment_goes_to_the_job_that_it_belongs_to",
    ),
    "cheque": Mistake(
        "a check that comes back",
        "Money",
        ("Receipt {receipt}", "Reverse payment"),
        r"/money/payments/\d+/reverse$",
        "test_payment_reversed: test_a_check_comes_back_and_the_invoice_is_open_again",
    ),
    "chargeback": Mistake(
        "a chargeback",
        "Money",
        ("All payments", "{receipt}", "Reverse payment"),
        r"/money/payments/\d+/reverse$",
        "test_mistakes_of_money: test_a_chargeback_opens_the_invoice_with_its_old_due_day",
    ),
    "removal": Mistake(
        "work that is not to be done, though approved",
        "job",
        ("Remove: damage 2",),
        r"/jobs/\d+/damage/2/strike$",
        "test_mistakes_of_work: test_removing_approved_work_says_hours_and_sum_first",
    ),
    "press": Mistake(
        "a wrong press",
        "the page that follows",
        ("Undo",),
        "",
        "test_undo: test_a_damage_removed_by_mistake_is_back_by_one_press",
    ),
    "month": Mistake(
        "a closed month that lacks something",
        "month end",
        ("Reopen the month",),
        r"/months/\d+-\d+/reopen$",
        "test_month: test_it_is_reopened_closed_again_and_its_return_filed",
    ),
}


def reach(hand: Hand, code: str, **named: object) -> None:
    """Press from the page where the mistake is noticed to its form; no more than three presses."""
    mistake = MISTAKES[code]
    hand.begin_count()
    for words in mistake.presses:
        said = words.format(**named)
        if said.startswith(FOLD):
            hand.unfold(said.removeprefix(FOLD))
            continue
        name = re.compile(rf"^{re.escape(said)}(?!\d)")
        hand.tap(hand.page.get_by_role("link", name=name).or_(hand.page.get_by_role("button", name=name)).first)
    hand.arrives(mistake.form)
    hand.took_at_most(MOST)


@dataclass(frozen=True, slots=True)
class Billed:
    """A job of 275.31 with its invoice, and the payment where it was paid."""

    job: int
    job_id: int
    invoice_id: int
    invoice: int
    payment_id: int = 0
    receipt: int = 0


def billed(shop: Shop, *, paid_by: str = "", paid_minor: int = 27531, customer: Customer | None = None) -> Billed:
    """A left front door, done and invoiced; paid by these means and handed over, or released unpaid."""
    at = shop.clock()
    with shop.writing() as book:
        job = make_job(book, at, customer, agreed_at=at - timedelta(days=3), ready_at=at)
        add_quote(book, job, job.opened_at, [DOOR])
        act, payment = Act(book, THE_PROGRAM, at), Payment(id=0, number=0)
        invoice = issue_invoice(act, job.id)
        if paid_by:
            payment = take_payment(act, job_id=job.id, amount_minor=paid_minor, means=paid_by)
            hand_over(act, job.id)
        else:
            let_go(act, job.id, "pays later")
        return Billed(job.number, job.id, invoice.id, invoice.number, payment.id, payment.number)


def short_paid(shop: Shop, short_minor: int) -> Billed:
    """The same with an insurer: the excess of 100.00 is paid, and of 175.31 all but so much."""
    at = shop.clock()
    with shop.writing() as book:
        insurer = make_customer(book, "Northfield Mutual", "", kind="insurer", pays_within_days=30)
        job = make_job(book, at, agreed_at=at - timedelta(days=3), ready_at=at)
        add_quote(book, job, job.opened_at, [DOOR])
        name_payer(book, job, job.customer, "excess", 10000)
        name_payer(book, job, insurer, "rest")
        say_pays(book, job, insurer, 17531, job.opened_at)
        act = Act(book, THE_PROGRAM, at)
        invoice = issue_invoice(act, job.id)
        for payer, amount in ((job.customer, 10000), (insurer, 17531 - short_minor)):
            take_payment(act, job_id=job.id, amount_minor=amount, means="transfer", customer_id=payer.id)
        hand_over(act, job.id)
        return Billed(job.number, job.id, invoice.id, invoice.number)
