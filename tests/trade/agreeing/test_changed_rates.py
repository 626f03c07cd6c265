"""A rate of tax that changed between approval and invoice, and a signature as long as it may be."""

import pytest

from shopbook.trade.agreeing.changed_rates import changed_taxes
from shopbook.trade.agreeing.signatures import read_strokes
from shopbook.trade.billing import BillLine, LineKind, TaxRate, make_bill
from shopbook.trade.errors import RuleBroken

THEN, NOW = TaxRate("vat", "VAT", 20_000), TaxRate("vat", "VAT", 22_000)


def test_what_was_approved_at_20_percent_and_is_supplied_at_22_names_the_difference() -> None:
    """1,000.00 approved at 20 % and 500.00 at 22 %: tax 330.00 instead of 200.00 and 110.00, 20.00 more."""
    figures = (("left side", 100_000, 1), ("right side", 50_000, 2))
    lines = [BillLine(LineKind.LABOUR, words, net, "vat", key=key) for words, net, key in figures]
    (changed,) = changed_taxes(make_bill(lines, [NOW]), {1: {"vat": THEN}, 2: {"vat": NOW}})
    assert (changed.rate, changed.added_minor) == (NOW, 2_000)
    assert changed_taxes(make_bill(lines, [NOW]), {1: {"vat": NOW}}) == []


def test_a_signature_may_have_twenty_thousand_characters_and_none_more() -> None:
    longest = "M10 10" + "L11 11" * 3330 + "L111 11" * 2
    beyond = "M10 10" + "L11 11" * 3329 + "L111 11" * 3
    assert (len(longest), len(beyond)) == (20_000, 20_001)
    assert len(read_strokes(longest)[0]) == 3333
    with pytest.raises(RuleBroken):
        read_strokes(beyond)
