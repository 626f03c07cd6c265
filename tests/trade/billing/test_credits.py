"""Credits: however a bill is taken back, the parts make up the bill to the last unit."""

import random

import pytest

from shopbook.trade.billing import (
    Bill,
    BillLine,
    Credit,
    LineKind,
    TaxPart,
    TaxRate,
    credit_amount,
    credit_lines,
    credit_rest,
    issued_bill,
    issued_credit,
    make_bill,
)
from shopbook.trade.errors import RuleBroken

RATES = [
    TaxRate("S", "VAT", 20_000),
    TaxRate("L", "sales tax", 8_875),
    TaxRate("B", "GST and PST", 12_000, parts=(TaxPart("GST", 5_000), TaxPart("PST", 7_000))),
]


def a_bill(*, includes_tax: bool = False, discount: int = 0) -> Bill:
    lines = [
        BillLine(LineKind.LABOUR, "labour", 33_333, "S"),
        BillLine(LineKind.PART, "bumper", 10_001, "S"),
        BillLine(LineKind.MATERIALS, "materials", 7_777, "L"),
    ]
    return make_bill(lines, RATES, includes_tax=includes_tax, discount_minor=discount)


def together(credits: list[Credit], bill: Bill) -> tuple[dict[str, tuple[int, int]], list[int]]:
    sums: dict[str, tuple[int, int]] = {}
    for credit in credits:
        for row in credit.taxes:
            basis, tax = sums.get(row.rate.code, (0, 0))
            sums[row.rate.code] = (basis + row.basis_minor, tax + row.tax_minor)
    return sums, [sum(credit.line_nets[place] for credit in credits) for place in range(len(bill.lines))]


def assert_mirrors(credits: list[Credit], bill: Bill) -> None:
    sums, nets = together(credits, bill)
    assert sums == {row.rate.code: (row.basis_minor, row.tax_minor) for row in bill.taxes}
    assert nets == [row.net_minor for row in bill.lines]


@pytest.mark.parametrize("includes_tax", [False, True])
def test_a_full_credit_mirrors_the_bill(includes_tax: bool) -> None:
    bill = a_bill(includes_tax=includes_tax, discount=999)
    assert_mirrors([credit_rest(bill)], bill)


def test_three_notes_by_line_mirror_the_bill_with_its_discount() -> None:
    bill = a_bill(discount=5_555)
    notes: list[Credit] = []
    for place in (1, 0, 2):
        notes.append(credit_lines(bill, [place], notes))
    assert_mirrors(notes, bill)
    assert notes[0].net_minor < 10_001
    assert notes[0].net_by_kind(bill)[LineKind.PART] == 10_001


def test_seven_notes_by_sum_mirror_the_bill() -> None:
    bill = a_bill(includes_tax=True, discount=101)
    notes: list[Credit] = []
    for _ in range(6):
        notes.append(credit_amount(bill, 7_001, notes))
        assert notes[-1].gross_minor == 7_001
        assert sum(notes[-1].line_nets) == notes[-1].net_minor
    notes.append(credit_rest(bill, notes))
    assert_mirrors(notes, bill)


def test_a_sum_as_large_as_the_bill_takes_all_of_it_back() -> None:
    bill = a_bill(discount=999)
    assert credit_amount(bill, bill.gross_minor) == credit_rest(bill)


def test_a_discount_read_back_from_its_row_stays_one_on_the_whole_bill() -> None:
    made = a_bill(discount=999)
    bill = issued_bill(kept(made, tuple(row.net_minor for row in made.lines)), made.taxes)
    assert bill.allowances_minor == made.allowances_minor == 999
    assert bill.lines_minor == made.lines_minor


def test_a_line_is_not_credited_twice_nor_a_sum_beyond_the_rest() -> None:
    bill = a_bill()
    first = credit_lines(bill, [1])
    with pytest.raises(RuleBroken, match="is already credited"):
        credit_lines(bill, [1], [first])
    with pytest.raises(RuleBroken, match="more than is left"):
        credit_amount(bill, bill.gross_minor, [first])
    with pytest.raises(RuleBroken, match="already credited in full"):
        credit_rest(bill, [credit_rest(bill)])


@pytest.mark.parametrize("places", [[], [9], [-1]])
def test_a_credit_of_no_line_or_an_unknown_one_is_refused(places: list[int]) -> None:
    with pytest.raises(RuleBroken, match="Choose the lines"):
        credit_lines(a_bill(), places)


@pytest.mark.parametrize("amount", [0, -5])
def test_a_sum_that_is_not_above_zero_is_refused(amount: int) -> None:
    with pytest.raises(RuleBroken, match="above zero"):
        credit_amount(a_bill(), amount)


def test_a_thousand_random_histories_of_credits_mirror_their_bills() -> None:
    dice = random.Random(2)
    for _ in range(1_000):
        lines = [
            BillLine(LineKind.PART, "part", dice.randrange(1, 50_000), dice.choice("SLB"))
            for _ in range(dice.randrange(1, 6))
        ]
        room = sum(row.amount_minor for row in lines)
        bill = make_bill(lines, RATES, includes_tax=dice.random() < 0.5, discount_minor=dice.randrange(room // 2 + 1))
        notes: list[Credit] = []
        for _ in range(dice.randrange(4)):
            left = bill.gross_minor - sum(note.gross_minor for note in notes)
            try:
                if dice.random() < 0.5:
                    notes.append(credit_lines(bill, [dice.randrange(len(lines))], notes))
                elif left > 1:
                    notes.append(credit_amount(bill, dice.randrange(1, left), notes))
            except RuleBroken:
                continue
        if sum(note.gross_minor for note in notes) < bill.gross_minor:
            notes.append(credit_rest(bill, notes))
        assert_mirrors(notes, bill)
        for note in notes:
            for row in note.taxes:
                assert sum(row.part_taxes_minor) == (row.tax_minor if row.rate.parts else 0)


def kept(bill: Bill, nets: tuple[int, ...]) -> list[BillLine]:
    """The lines as a table keeps them: net, no zero lines, no mark for the whole bill."""
    pairs = zip(bill.lines, nets, strict=True)
    return [BillLine(row.kind, row.words, net, row.tax_code) for row, net in pairs if net]


def test_a_bill_and_its_credits_read_back_from_their_rows_go_on_to_mirror() -> None:
    made = a_bill(includes_tax=True, discount=777)
    bill = issued_bill(kept(made, tuple(row.net_minor for row in made.lines)), made.taxes)
    assert (bill.net_minor, bill.tax_minor) == (made.net_minor, made.tax_minor)
    first = credit_lines(bill, [0])
    back = issued_credit(bill, kept(bill, first.line_nets), first.taxes)
    assert back == first
    assert_mirrors([back, credit_rest(bill, [back])], bill)


def test_rows_that_do_not_belong_together_are_a_bug_and_not_a_bill() -> None:
    made = a_bill()
    with pytest.raises(ValueError, match="do not sum"):
        issued_bill([], made.taxes)
    with pytest.raises(ValueError, match="no line"):
        issued_credit(made, [BillLine(LineKind.FEE, "storage", 5, "S")], [])
