"""Money goes back by the means it came, unless another is chosen."""

import re

import pytest
from sqlalchemy import select

from shopbook.models.money import Payment
from shopbook.web.parts.act import db
from tests.clients import ShopClient


@pytest.mark.parametrize(("means", "said"), [("cheque", "check"), ("cash", "cash"), ("transfer", "transfer")])
def test_the_means_by_which_the_money_came_is_chosen(
    client: ShopClient, job_number: int, means: str, said: str
) -> None:
    client.press_on(f"/money/jobs/{job_number}/invoice", supply_on="2026-11-04", last_number="", tax_number="")
    client.press_on(f"/money/jobs/{job_number}/pay", payer="1", amount="900", means=means, invoice_id="")
    page = client.text("/money/payments/1/refund")
    assert re.search(rf'<input checked[^>]*value="{means}"', page)
    assert len(re.findall(r"<input checked", page)) == 1
    assert re.search(rf"The payment came by [a-z ]*{said}\.", page)
    client.press_on("/money/payments/1/refund", amount="73.84", means="cash", reason="paid too much")
    with client.app.app_context():
        rows = db.session.execute(select(Payment.means, Payment.amount_minor).order_by(Payment.id))
        assert [tuple(row) for row in rows] == [(means, 90000), ("cash", -7384)]
