"""The content of a given quote: what is written is read back the same, and its sums are those of its lines."""

import json
from dataclasses import replace

import pytest

from shopbook.trade.billing import BillLine, LineKind, TaxPart, rate_of
from shopbook.trade.pricing import PaintedItem, PricedGroup, PricedQuote, SavingTerms
from shopbook.trade.pricing.given import Given, SeenCoats, SeenItem, SeenWords, given_from_json

VAT = rate_of("vat", "VAT", 20000)
BOTH = replace(rate_of("both", "GST and PST", 12000), parts=(TaxPart("GST", 5000), TaxPart("PST", 7000)))


def item(key: str, amount: int, minutes: int, code: str = "vat", choice: str = "") -> PricedGroup:
    line = BillLine(LineKind.LABOUR, "Paint work", amount, code, key=int(key) * 10, item=int(key), skill="paint")
    touches = frozenset({"right_quarter", "right_front_door"})
    painted = PaintedItem(f"panel_{key}", minutes, touches, may_save=True, place=int(key))
    return PricedGroup(
        key, f"Item {key}", (line,), choice, painted=painted, first_key=int(key), group_key=f"panel_{key}"
    )


PRICED = PricedQuote(
    groups=(
        item("1", 96900, 300),
        item("2", 93100, 270),
        item("3", 5000, 0, "both"),
        item("4", 4000, 0, "both", "way"),
    ),
    rates=(VAT, BOTH),
    discount_minor=1000,
    up_to_minor=300000,
    savings=SavingTerms(7800),
    discount_key=7,
)
WORDS = SeenWords(
    head={"shop": "Quarry Lane", "places": 2, "sign": "£", "tax_word": "VAT", "job": 12},
    plate="BKN 7115",
    facts=(("Version", "1"),),
    wrong="crease",
    intro="not above {most}",
    days="About 3 working days in the shop.",
    valid_until="Friday, 4 December 2026",
    not_included=("Alloy wheel",),
    seen=(),
    cautions=("Airbags",),
    closing=("Zoë & <b>日本</b>",),
    items=(SeenItem("Pull, fill.", ("panel_1",), (SeenCoats("door", ("metal",), ("base",), "#fff"),), ("ab12",)),) * 4,
    panel_names={"panel_1": "door"},
    payers=(("Thea, the first £250.00", 25000),),
)


@pytest.mark.parametrize("words", [WORDS, None], ids=["with words", "reconstructed"])
def test_what_is_written_is_read_back_the_same(words: SeenWords | None) -> None:
    given = Given(PRICED, "a regular", 5000, "2026-12-04", words)
    assert given_from_json(given.to_json()) == given
    assert given_from_json(given.to_json()).to_json() == given.to_json()


def test_the_sums_written_beside_the_lines_are_what_the_lines_come_to() -> None:
    kept = json.loads(Given(PRICED).to_json())["sums"]
    whole = PRICED.sum().taken
    assert (kept["net_minor"], kept["tax_minor"], kept["gross_minor"]) == (
        whole.net_minor,
        whole.tax_minor,
        whole.gross_minor,
    )
    assert sum(row["tax_minor"] for row in kept["taxes"]) == kept["tax_minor"]
    assert sum(line["net_minor"] for line in kept["lines"]) == kept["net_minor"]


def test_a_form_of_a_newer_program_is_refused_rather_than_guessed() -> None:
    kept = json.loads(Given(PRICED).to_json()) | {"form": 99}
    with pytest.raises(ValueError, match="newer program"):
        given_from_json(json.dumps(kept))
