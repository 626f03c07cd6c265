"""The job card on paper, read back."""

from dataclasses import replace
from io import BytesIO

import pytest
from pypdf import PdfReader

from shopbook.documents.head import Head
from shopbook.documents.job_card import CardCaution, CardCoats, CardMix, CardPour, CardStage, JobCard, make_job_card
from shopbook.trade.errors import RuleBroken

CARD = JobCard(
    head=Head(
        kind="Job card",
        hex="#2f5f9b",
        shop="Quarry Lane",
        number="1042",
        car="2017 harbour blue hatchback",
        car_lines=("plate KTR 204",),
        facts=(("Key", "2"), ("Place", "bay 2")),
        paper_size="letter",
    ),
    wrong="Right quarter pushed in <b>& creased</b>",
    stages=[
        CardStage(1, "Strip to metal, feather", "right quarter", "body", "0.6", state="yesterday", took="0.7"),
        CardStage(
            2, "Base and clear", "right quarter", "paint", "1.0", uses="480 ml clear 2:1", wait="wait 45 min",
            is_not_approved=True, mark="Rework: Run or sag", inside="flashes off 15 min",
            steps=("base, 2 coats", "leave it until it is matt"),
        ),
    ],
    mixes=[
        CardMix(
            "Mix 480 ml, 2 : 1", "base and clear", [CardPour("Clear", "320 ml", "to 2", "317 g")], "One cup.",
            coats=["First, closed, 8 min"], life="Spray it within 50 min.", gun=["Gun: tip 1.3 mm"],
        ),
    ],
    coats=[CardCoats("right quarter", ["metal", "filler", "primer"], ["base", "clear"])],
    cautions=[
        CardCaution("Airbags and belts", "Stop: they may fire.", is_stop=True),
        CardCaution("Dust", "Wear a mask."),
    ],
    first_sentence="The product's safety data sheet comes first.",
)  # fmt: skip


def read(card: JobCard) -> str:
    pages = PdfReader(BytesIO(make_job_card(card))).pages
    return " ".join(" ".join(page.extract_text().split()) for page in pages)


def test_the_card_says_what_to_do_with_what_and_what_to_mind() -> None:
    text = read(CARD)
    for said in (
        "Job 1042", "plate KTR 204", "bay 2", "Strip to metal, feather", "yesterday", "480 ml clear 2:1", "wait 45 min",
        "to 2", "317 g", "Airbags and belts", "Wear a mask.", "safety data sheet comes first", "base, to come",
        "Coats in order", "First, closed, 8 min", "Laid at", "Spray it within 50 min.", "Gun: tip 1.3 mm",
        "Left in the cup", "Rework: Run or sag", "In between: flashes off 15 min", "What to mind",
    ):  # fmt: skip
        assert said in text, said


def test_a_stage_without_a_yes_says_so() -> None:
    assert "No yes: not billed until there is one." in read(CARD)


def test_that_nobody_said_yes_to_any_of_it_is_said_once() -> None:
    open_ones = [replace(stage, is_not_approved=True) for stage in CARD.stages]
    assert read(replace(CARD, stages=open_ones)).count("No yes: not billed until there is one.") == 1


def test_markup_is_printed_as_it_was_typed() -> None:
    assert "pushed in <b>& creased</b>" in read(CARD)


def test_equal_cards_are_equal_bytes() -> None:
    assert make_job_card(CARD) == make_job_card(replace(CARD))


@pytest.mark.parametrize(("paper", "width"), [("letter", 612), ("a4", 595)])
def test_the_page_is_the_countrys(paper: str, width: int) -> None:
    page = PdfReader(BytesIO(make_job_card(replace(CARD, head=replace(CARD.head, paper_size=paper))))).pages[0]
    assert round(float(page.mediabox.width)) == width


def test_letters_that_the_type_lacks_are_asked_for_in_others() -> None:
    with pytest.raises(RuleBroken) as refused:
        read(replace(CARD, wrong="ᚠᚢ scratched"))
    assert "letters this paper can print: it cannot print ᚠᚢ" in refused.value.sentence


def test_an_empty_plan_is_still_a_card() -> None:
    assert "Job 1042" in read(replace(CARD, stages=[], mixes=[], coats=[], cautions=[]))


def test_a_long_plan_runs_over_pages_with_its_head_repeated() -> None:
    long = replace(CARD, stages=[replace(CARD.stages[1], number=n) for n in range(1, 40)])
    pages = PdfReader(BytesIO(make_job_card(long))).pages
    assert len(pages) > 2
    assert "Hours" in pages[1].extract_text()
