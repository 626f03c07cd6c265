"""The quote on paper, read back as a reader would."""

from dataclasses import replace
from io import BytesIO

import pytest
from PIL import Image
from pypdf import PdfReader

from shopbook.documents.head import Head
from shopbook.documents.quote import ApprovalBox, QuotedPart, QuotePaper, make_quote_file
from shopbook.trade.countries import known_country
from shopbook.trade.pricing.given import SeenCoats


def picture() -> bytes:
    body = BytesIO()
    Image.new("RGB", (320, 240), "#2f5f9b").save(body, "JPEG")
    return body.getvalue()


PAPER = QuotePaper(
    head=Head(
        kind="Quote",
        number="1042",
        shop="Quarry Lane Dent and Paint",
        shop_lines=("14 Quarry Lane, Millbrook", "Tax number 00-0000000"),
        facts=(("Version", "1"), ("Holds until", "Wednesday 2 December 2026")),
        to="Ines Okafor",
        to_lines=("7 Harbour Row, Millbrook",),
        car="2017 hatchback, harbour blue",
        car_lines=("plate KTR 204",),
        hex="#2f5f9b",
    ),
    wrong="Post in a car park",
    intro="Each part can be taken or left on its own.",
    sign="$",
    parts=(
        QuotedPart(
            1,
            "Right quarter panel",
            "Crease across the lip. Pull, fill, prime, base and clear.",
            "623.00",
            "taken",
            coats=(SeenCoats("right quarter panel", ("metal",), ("filler", "primer", "base", "clear"), "#2f5f9b"),),
            pictures=(picture(),),
        ),
        QuotedPart(2, "Rear bumper corner", "Scuff to the plastic.", "310.00", "left"),
    ),
    sides=known_country("us").sides,
    savings=(("Left front door and left rear door at once", "−140.40"),),
    sum_title="Sum of what was taken",
    tax_word="Sales tax",
    tax_rows=(("Materials, parts, 8 %", "275.50", "22.04"), ("Not taxed", "347.50", "0.00")),
    tax_last=("Total", "623.00", "22.04"),
    gross="645.04",
    gross_word="With tax",
    payers=(("Insurer, claim 77-20418", "395.04"), ("Ines Okafor, the first $250.00", "250.00")),
    terms=("Deposit asked: $100.00; it comes off what is to pay.", "Drop-off Monday 2 November 2026."),
    not_included=("Alloy wheel",),
    seen=("There before: stone chips on the roof",),
    cautions=("Cameras or radars near this work may want calibrating afterwards.",),
    closing=("Storage is charged only as printed here.",),
    approval=(
        ApprovalBox(
            "From the car’s owner", "do part 1.", "Ines Okafor, 2 November, 9:12", "M60 72L68 38L86 32", "Ines Okafor"
        ),
        ApprovalBox("From the payer", "up to $645.04."),
    ),
    is_draft=False,
)


def text_of(paper: QuotePaper) -> str:
    pages = PdfReader(BytesIO(make_quote_file(paper))).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


@pytest.mark.parametrize("size", ["letter", "a4"])
def test_all_that_a_customer_must_know_is_on_the_paper(size: str) -> None:
    text = text_of(replace(PAPER, head=replace(PAPER.head, paper_size=size)))
    for said in (
        "Quote 1042",
        "Post in a car park",
        "1 · Right quarter panel",
        "Pull, fill, prime, base and clear.",
        "[x] taken",
        "[–] left",
        "310.00",
        "clear, to come",
        "With tax: $645.04",
        "Insurer, claim 77-20418",
        "Deposit asked",
        "Drop-off Monday",
        "Not included",
        "Alloy wheel",
        "stone chips on the roof",
        "calibrating",
        "From the payer: up to $645.04.",
        "Storage is charged only",
    ):
        assert said in text, said
    assert "DRAFT" not in text


def test_a_draft_says_so_on_its_face() -> None:
    assert "DRAFT" in text_of(replace(PAPER, is_draft=True))


def test_the_same_quote_gives_the_same_bytes_and_one_picture() -> None:
    assert make_quote_file(PAPER) == make_quote_file(PAPER)
    assert len(PdfReader(BytesIO(make_quote_file(PAPER))).pages[0].images) == 1


@pytest.mark.parametrize("name", ["<b>Bold</b> & Sons </para>", "A & B <Garage>", "Zoë Müller", "株式会社"])
def test_names_in_any_script_and_with_markup_are_printed(name: str) -> None:
    text = text_of(replace(PAPER, head=replace(PAPER.head, to=name)))
    assert name in text


def test_many_parts_run_over_several_pages_with_the_yes_whole() -> None:
    parts = tuple(replace(PAPER.parts[0], number=place, title=f"Panel {place}") for place in range(1, 16))
    pages = PdfReader(BytesIO(make_quote_file(replace(PAPER, parts=parts)))).pages
    assert len(pages) > 2
    assert "From the payer" in pages[-1].extract_text()
    assert "From the car" in pages[-1].extract_text()


@pytest.mark.parametrize("size", ["letter", "a4"])
def test_what_is_signed_never_stands_alone_on_a_page(size: str) -> None:
    head, last = replace(PAPER.head, paper_size=size), PAPER.cautions[-1] if PAPER.cautions else PAPER.not_included[-1]
    for count in range(1, 60):
        paper = replace(PAPER, head=head, not_included=tuple(f"not the part {n}" for n in range(count)))
        pages = [page.extract_text() for page in PdfReader(BytesIO(make_quote_file(paper))).pages]
        (signed,) = [
            " ".join(text.split()) for text in pages if PAPER.approval[0].sentence[:20] in " ".join(text.split())
        ]
        assert last[:20] in signed or f"not the part {count - 1}" in signed, count


def test_the_car_is_drawn_with_the_number_of_the_part_on_each_panel() -> None:
    first, second = PAPER.parts
    parts = (
        replace(first, panels=("right_quarter", "right_rear_door")),
        replace(second, panels=("rear_bumper", "right_rear_door")),
    )
    paper = replace(PAPER, parts=parts)
    assert paper.marks == {"right_quarter": 1, "right_rear_door": 1, "rear_bumper": 2}
    drawn, plain = (PdfReader(BytesIO(make_quote_file(each))).pages[0] for each in (paper, PAPER))
    amber = b".92549 .858824 .643137 rg"
    assert [page.get_contents().get_data().count(amber) for page in (drawn, plain)] == [3, 0]
    said = ["PASSENGER", "SIDE", "·", "RIGHT", "DRIVER", "SIDE", "·", "LEFT", "FRONT", "REAR"]
    assert sorted(text_of(paper).split()) == sorted([*text_of(PAPER).split(), *said, "1", "1", "2"])


def test_on_paper_too_the_left_side_lies_under_the_right_one_and_each_under_its_name() -> None:
    left, right = (
        replace(PAPER.parts[0], number=n, panels=(f"{side}_front_door",)) for n, side in ((71, "left"), (72, "right"))
    )
    found: dict[str, float] = {}

    def note(text: str, matrix: list[float], at: list[float], *_: object) -> None:
        if (said := text.strip()) in {"71", "72", "DRIVER SIDE · LEFT", "PASSENGER SIDE · RIGHT"}:
            found[said] = matrix[1] * at[4] + matrix[3] * at[5] + matrix[5]

    page = PdfReader(BytesIO(make_quote_file(replace(PAPER, parts=(left, right))))).pages[0]
    page.extract_text(visitor_text=note)
    downwards = sorted(found, key=lambda said: -found[said])
    assert downwards == ["PASSENGER SIDE · RIGHT", "72", "71", "DRIVER SIDE · LEFT"]


def test_a_panel_that_is_not_drawn_brings_no_picture() -> None:
    paper = replace(PAPER, parts=(replace(PAPER.parts[0], panels=("left_mirror",)),))
    assert (
        b".92549 .858824 .643137 rg"
        not in PdfReader(BytesIO(make_quote_file(paper))).pages[0].get_contents().get_data()
    )
