"""A customer with a certificate is charged no tax: the whole bill under one kind of tax of its own, while it holds."""

from datetime import date

import pytest

from shopbook.trade.billing import NOT_SET, BillLine, LineKind, TaxRate, make_bill
from shopbook.trade.billing.exempt import (
    Exemption,
    check_exemption,
    exempt_on,
    exemption_from_json,
    exemption_to_json,
    rates_for,
)
from shopbook.trade.countries import known_countries, known_country
from shopbook.trade.errors import RuleBroken

GOODS = TaxRate("goods", "Sales tax", 8000, line_kinds=frozenset({LineKind.MATERIALS, LineKind.PART}))
LABOUR = TaxRate("labour", "Sales tax on labor", 8000, line_kinds=frozenset({LineKind.LABOUR}))
REPAIR = BillLine(LineKind.LABOUR, "Repair", 638_80, "")
PAINT = BillLine(LineKind.MATERIALS, "Paint", 325_15, "")
CERTIFICATE = Exemption("resale", "Resale certificate", "32-0001", "Texas", date(2026, 11, 2), date(2027, 11, 1))
KEPT = exemption_to_json(CERTIFICATE)
NOVEMBER = date(2026, 11, 5)


def test_repair_and_paint_of_963_95_carry_26_01_and_with_a_certificate_nothing() -> None:
    untaxed = TaxRate("none", "No tax", 0, kind=NOT_SET.kind, line_kinds=frozenset({LineKind.LABOUR}))
    rates = [GOODS, untaxed]
    assert make_bill([REPAIR, PAINT], rates).tax_minor == 26_01
    bill = make_bill([REPAIR, PAINT], rates_for(rates, KEPT, NOVEMBER))
    assert [(row.rate.name, row.basis_minor, row.tax_minor) for row in bill.taxes] == [
        ("Exempt, resale certificate", 963_95, 0)
    ]


def test_lines_that_were_priced_with_tax_fall_under_the_exemption_and_back_when_it_has_run_out() -> None:
    rates = [GOODS, LABOUR]
    priced = make_bill([REPAIR, PAINT], rates)
    exempt = make_bill(priced.lines, rates_for(rates, KEPT, NOVEMBER))
    assert (exempt.net_minor, exempt.tax_minor) == (963_95, 0)
    again = make_bill(exempt.lines, rates_for(rates, KEPT, date(2027, 11, 2)))
    assert again.taxes == priced.taxes


def test_a_price_said_with_its_tax_stays_as_it_was_said() -> None:
    """ "Call it 950.00" is 950.00 of a customer with a certificate too."""
    bill = make_bill(
        [BillLine(LineKind.LABOUR, "Repair", 950_00, "labour")], rates_for([LABOUR], KEPT, NOVEMBER), includes_tax=True
    )
    assert (bill.net_minor, bill.tax_minor) == (950_00, 0)


@pytest.mark.parametrize(
    ("day", "holds"),
    [
        (date(2026, 11, 1), False),
        (date(2026, 11, 2), True),
        (date(2027, 11, 1), True),
        (date(2027, 11, 2), False),
    ],
)
def test_it_holds_from_its_day_to_its_last_day_both_included(day: date, holds: bool) -> None:
    assert (exempt_on(KEPT, day) is not None) is holds


def test_one_that_does_not_expire_holds_for_good_and_comes_back_as_it_was_kept() -> None:
    for_good = Exemption("resale", "Resale certificate", "32-0001", "Texas", date(2026, 11, 2))
    assert for_good.holds_on(date(2066, 1, 1))
    assert exemption_from_json(exemption_to_json(for_good)) == for_good
    assert exemption_from_json(KEPT) == CERTIFICATE
    assert exemption_from_json({}) is None


def test_before_the_shop_has_set_its_tax_nothing_is_exempt() -> None:
    assert rates_for([NOT_SET], KEPT, NOVEMBER) == [NOT_SET]


@pytest.mark.parametrize(
    ("number", "state", "from_on", "until_on", "field"),
    [
        (" ", "Texas", NOVEMBER, None, "exempt_number"),
        ("32-0001", "", NOVEMBER, None, "exempt_state"),
        ("32-0001", "Texas", None, None, "exempt_from"),
        ("32-0001", "Texas", NOVEMBER, date(2026, 11, 4), "exempt_until"),
    ],
)
def test_a_certificate_that_the_invoice_could_not_name_is_asked_for_beside_its_field(
    number: str, state: str, from_on: date | None, until_on: date | None, field: str
) -> None:
    (resale, *_) = known_country("us").exemptions
    with pytest.raises(RuleBroken) as broken:
        check_exemption(resale, number, state, from_on, until_on)
    assert broken.value.field == field
    assert check_exemption(None, "", "", None, None) is None


def test_each_kind_of_certificate_names_its_source_and_day() -> None:
    assert {each.code for each in known_countries() if each.exemptions} == {"us", "ca"}
    for country in known_countries():
        for kind in country.exemptions:
            assert kind.name
            assert kind.source
            assert kind.read_on.year == 2026
