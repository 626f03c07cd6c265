"""The job card on paper, read back."""

from dataclasses import replace
from io import BytesIO

import pypdfium2
import pytest
import zxingcpp
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
        CardCaution("Airbags and belts", "Stop: they may fire.", is_stop=True, stages="2"),
        CardCaution("Dust", "Wear a mask.", stages="1–2"),
    ],
    first_sentence="The product's safety data sheet comes first.",
    parts=["Left mirror, due Mon 9 Nov"],
    address="http://192.0.2.14:8210/jobs/1042",
)  # fmt: skip


def read(card: JobCard) -> str:
    pages = PdfReader(BytesIO(make_job_card(card))).pages
    return " ".join(" ".join(page.extract_text().split()) for page in pages)


def test_the_card_says_what_to_do_with_what_and_what_to_mind() -> None:
    text = read(CARD)
    for said in (
        "Job 1042", "plate KTR 204", "bay 2", "Strip to metal, feather", "yesterday", "480 ml clear 2:1", "wait 45 min",
        "to 2", "317 g", "Airbags and belts", "Wear a mask.", "safety data sheet comes first", "to come base, clear",
        "Coats: First, closed, 8 min", "Waits for: Left mirror, due Mon 9 Nov", "Spray it within 50 min.",
        "Gun: tip 1.3 mm",
        "Rework: Run or sag", "In between: flashes off 15 min", "Dust (1–2).", "192.0.2.14:8210/jobs/1042",
    ):  # fmt: skip
        assert said in text, said


def test_a_stage_without_a_yes_says_so() -> None:
    assert "Not approved. It is not billed until it is." in read(CARD)


def test_that_nobody_said_yes_to_any_of_it_is_said_once() -> None:
    open_ones = [replace(stage, is_not_approved=True) for stage in CARD.stages]
    assert read(replace(CARD, stages=open_ones)).count("Not approved. It is not billed until it is.") == 1


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
    assert "in other letters: this paper cannot print ᚠᚢ" in refused.value.sentence


def test_an_empty_plan_is_still_a_card() -> None:
    assert "Job 1042" in read(replace(CARD, stages=[], mixes=[], coats=[], cautions=[]))


def test_a_long_plan_runs_over_pages_with_its_head_repeated() -> None:
    long = replace(CARD, stages=[replace(CARD.stages[1], number=n) for n in range(1, 41)])
    pages = PdfReader(BytesIO(make_job_card(long))).pages
    assert len(pages) >= 2
    assert "Hours" in pages[1].extract_text()


def test_steps_give_way_first_then_the_words_of_cautions_and_a_stop_never() -> None:
    said = "leave it until it is matt"
    assert said in read(CARD)
    many = replace(CARD, stages=[replace(CARD.stages[1], number=n) for n in range(1, 19)])
    assert said not in read(many)
    told = [replace(CARD.cautions[1], text="Wear a mask. " * 300)]
    brief = read(replace(CARD, stages=many.stages, cautions=[CARD.cautions[0], *told]))
    assert "Wear a mask" not in brief
    assert "Dust (1–2)" in brief
    assert "Stop: they may fire." in brief


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_a_phone_reads_the_address_from_the_drawn_code(paper: str) -> None:
    body = make_job_card(replace(CARD, head=replace(CARD.head, paper_size=paper)))
    document = pypdfium2.PdfDocument(body)
    # 100 dots an inch: what a cheap office printer and a phone's camera surely do better than
    found = zxingcpp.read_barcodes(document[0].render(scale=100 / 72).to_pil())
    document.close()
    assert [each.text for each in found] == [CARD.address]


def test_without_an_address_that_a_phone_reaches_there_is_no_code() -> None:
    assert "192.0.2.14" not in read(replace(CARD, address=""))
