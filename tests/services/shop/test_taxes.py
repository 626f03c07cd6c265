"""The tax of a new shop: said "plus sales tax" until it is set, asked before the first total, then for all there is."""

from datetime import date, datetime

import pytest
from sqlalchemy.orm import Session

from shopbook.queries.money.invoices import get_invoice
from shopbook.queries.money.kerb import kerb_tax
from shopbook.queries.money.quotes import bill_of_quote, get_quote
from shopbook.queries.shop.book import get_book
from shopbook.queries.shop.rates import tax_rates_on
from shopbook.queries.shop.shop_on import shop_at
from shopbook.services.act import Act
from shopbook.services.money.deposits import take_deposit
from shopbook.services.money.extras import draft_extra
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.money.quick import quick_job
from shopbook.services.money.quote_groups import SaidPrice
from shopbook.services.money.quotes import give_quote, keep_kerb_price
from shopbook.services.shop.rates import confirm_taxes, set_tax_rate
from shopbook.services.shop.taxes import TAX_FIRST, answer_province, answer_sales_tax
from shopbook.trade.billing.sales_tax import GoodsTaxed, LabourTaxed, SalesTaxAnswers
from shopbook.trade.errors import Conflict, RuleBroken
from shopbook.trade.permissions import Actor
from tests.makers.billing import make_job, prove
from tests.makers.quotes import make_kerb, make_quote, make_yes
from tests.makers.shop import forget_taxes

TEXAS = SalesTaxAnswers(8250, "Austin, Texas", LabourTaxed.NO, GoodsTaxed.TO_CUSTOMER, is_priced_apart=True)
FLORIDA = SalesTaxAnswers(7000, "Tampa", LabourTaxed.WITH_GOODS, GoodsTaxed.TO_CUSTOMER, is_priced_apart=True)


@pytest.fixture
def untaxed(session: Session) -> Session:
    """A book whose shop has not set its tax yet."""
    forget_taxes(session)
    return session


def test_a_price_said_before_the_tax_is_set_is_before_tax_and_gets_it_once_it_is(
    untaxed: Session, owner: Actor, now: datetime
) -> None:
    """600.00 by habit 70 % labor and 30 % paint: at 8.25 % on the paint 14.85."""
    quote = make_kerb(untaxed, make_job(untaxed, now), right_rear_door=60000)
    assert bill_of_quote(untaxed, get_quote(untaxed, quote.id)).is_before_tax
    assert kerb_tax(shop_at(untaxed, now), 60000).is_before_tax
    answer_sales_tax(Act(untaxed, owner, now), TEXAS)
    bill = bill_of_quote(untaxed, get_quote(untaxed, quote.id))
    assert (bill.is_before_tax, bill.net_minor, bill.tax_minor) == (False, 60000, 1485)


def test_what_needs_a_total_is_refused_until_the_tax_is_set(untaxed: Session, owner: Actor, now: datetime) -> None:
    draft = make_quote(untaxed)
    kerb = make_kerb(untaxed, make_job(untaxed, now), right_rear_door=60000)
    for act in (
        lambda: give_quote(Act(untaxed, owner, now), draft.id, revision=draft.revision),
        lambda: make_yes(untaxed, kerb),
        lambda: take_deposit(Act(untaxed, owner, now), kerb.job_id, amount_minor=5000, means="cash"),
        lambda: quick_job(Act(untaxed, owner, now), who="Ines", what="dent", price_minor=8000, means="cash"),
    ):
        with pytest.raises(RuleBroken) as broken:
            act()
        assert (broken.value.sentence, broken.value.field) == (TAX_FIRST, "tax_rate")


def test_a_labor_invoice_without_paint_carries_no_tax_and_one_with_paint_carries_all_of_it(
    untaxed: Session, owner: Actor, now: datetime
) -> None:
    answer_sales_tax(Act(untaxed, owner, now), FLORIDA)
    alone = quick_job(Act(untaxed, owner, now), who="Ines", what="dents", price_minor=63880, means="cash")
    assert (alone.net_minor, alone.tax_minor) == (63880, 0)
    job = make_job(untaxed, now)
    make_yes(untaxed, make_kerb(untaxed, job, right_rear_door=60000), at=now, still_holds=True)
    painted = get_invoice(untaxed, issue_invoice(Act(untaxed, owner, now), job.id).id)
    assert [(row.code, row.basis_minor, row.tax_minor) for row in painted.taxes] == [("sales", 60000, 4200)]
    prove(untaxed)


def test_an_extra_of_labor_alone_is_said_with_the_tax_that_the_bill_will_carry_on_it(
    untaxed: Session, owner: Actor, now: datetime
) -> None:
    """Beside a painted door 100.00 more labor is 107.00; beside dents taken out without paint it is 100.00."""
    answer_sales_tax(Act(untaxed, owner, now), FLORIDA)
    said = []
    for is_painted in (True, False):
        job = make_job(untaxed, now)
        price = SaidPrice("right_rear_door", "Door", "", 60000, is_painted=is_painted)
        quote = keep_kerb_price(
            Act(untaxed, owner, now), job, [price], working_days_tenths=10, has_tax_inside=False, is_said=True
        )
        make_yes(untaxed, quote, at=now)
        extra = draft_extra(Act(untaxed, owner, now), job.id, title="Wheel arch", price_minor=10000)
        given = give_quote(Act(untaxed, owner, now), extra.id, revision=extra.revision)
        approval = make_yes(untaxed, get_quote(untaxed, given.id), at=now)
        said.append((approval.amount_minor, issue_invoice(Act(untaxed, owner, now), job.id).gross_minor))
    assert said == [(10700, 74900), (10000, 70000)]


def test_the_first_answers_hold_from_the_first_day_and_are_confirmed(
    untaxed: Session, owner: Actor, now: datetime
) -> None:
    answer_sales_tax(Act(untaxed, owner, now), TEXAS)
    sales = next(tax for tax in tax_rates_on(untaxed, date(2026, 1, 1)) if tax.code == "sales")
    assert (sales.name, sales.rate_thousandths, sales.is_confirmed) == ("Sales tax, Austin, Texas", 8250, True)
    assert (sales.source, sales.read_on) == ("as you answered", date(2026, 11, 5))


def test_two_who_set_the_tax_at_once_are_told(untaxed: Session, owner: Actor, now: datetime) -> None:
    answer_sales_tax(Act(untaxed, owner, now), TEXAS)
    with pytest.raises(Conflict):
        answer_sales_tax(Act(untaxed, owner, now), FLORIDA)


def test_a_province_brings_its_rate_with_source_and_day(untaxed: Session, owner: Actor, now: datetime) -> None:
    get_book(untaxed).country = "ca"
    untaxed.flush()
    with pytest.raises(RuleBroken) as broken:
        answer_province(Act(untaxed, owner, now), "tx")
    assert broken.value.field == "tax_province"
    answer_province(Act(untaxed, owner, now), "bc")
    (tax,) = tax_rates_on(untaxed, date(2026, 11, 5))
    assert (tax.name, tax.rate_thousandths, tax.read_on) == ("GST 5 % and PST 7 %", 12000, date(2026, 11, 30))


def test_confirming_keeps_the_source_and_typing_another_rate_makes_the_shop_the_source(
    untaxed: Session, owner: Actor, now: datetime
) -> None:
    get_book(untaxed).country = "ca"
    answer_province(Act(untaxed, owner, now), "on")
    confirm_taxes(Act(untaxed, owner, now), date(2026, 11, 5))
    assert tax_rates_on(untaxed, date(2026, 11, 5))[0].source.startswith("table of")
    set_tax_rate(Act(untaxed, owner, now), code="hst", name="HST", rate_thousandths=14000, from_on=date(2026, 11, 5))
    (tax,) = tax_rates_on(untaxed, date(2026, 11, 5))
    assert (tax.rate_thousandths, tax.source, tax.read_on) == (14000, "", None)


def test_an_old_book_keeps_its_rates_and_its_sums(session: Session, now: datetime) -> None:
    """Made before sources were kept: 8 % on paint, nothing on labor, no kinds taxed beside a part."""
    quote = make_kerb(session, make_job(session, now), right_rear_door=60000)
    assert bill_of_quote(session, get_quote(session, quote.id)).tax_minor == 1440
    assert {tuple(tax.kinds_with_goods) for tax in tax_rates_on(session, date(2026, 11, 5))} == {()}
