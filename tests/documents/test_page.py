"""What every paper shares: nothing typed is read as markup, nothing is boxed, equal data gives equal bytes."""

from io import BytesIO

import pytest
from pypdf import PdfReader

from shopbook.documents.faces import list_missing
from shopbook.documents.page import make_file, table, titled, words
from shopbook.trade.errors import RuleBroken


def read(pdf: bytes) -> str:
    return "\n".join(page.extract_text() for page in PdfReader(BytesIO(pdf)).pages)


@pytest.mark.parametrize("name", ["A & B <Garage>", "<b>x", "</para>", "x\x00y", "100 % <font size=99>"])
def test_what_was_typed_stands_on_the_paper_as_typed(name: str) -> None:
    pdf = make_file([words(name), titled(name, name)], title=name, shop=name, paper_size="letter")
    assert name.replace("\x00", "") in read(pdf)


def test_greek_and_cyrillic_names_are_shown() -> None:
    assert list_missing("Ελένη Παπαδοπούλου", "Жанна Łuczak Đorđe", with_scripts=False) == []


def test_vietnamese_names_are_shown() -> None:
    assert list_missing("Nguyễn Thị Hồng Đào", "Trần Quốc Bửu, Đặng Ngọc Ẩn", with_scripts=False) == []


def test_letters_that_the_type_lacks_are_named_and_neither_dotted_nor_boxed() -> None:
    assert list_missing("田中 Tanaka", with_scripts=False) == ["田", "中"]
    with pytest.raises(RuleBroken) as refused:
        make_file([words("ᚠᚢ Tanaka")], title="t", shop="s", paper_size="a4")
    assert refused.value.sentence.startswith("Enter this in other letters: this paper cannot print ᚠᚢ.")


def test_equal_data_gives_equal_bytes() -> None:
    def make() -> bytes:
        rows = [["Work", "12.00"], ["Total", "12.00"]]
        story = [words("One"), table(["What", "$"], rows, ["70%", "30%"], figures=[1], has_total=True)]
        return make_file(story, title="Quote 1", shop="Shop", paper_size="letter")

    assert make() == make()


def test_a_long_table_goes_on_over_pages_with_its_heads() -> None:
    rows = [[f"line {number}", "1.00"] for number in range(200)]
    pdf = make_file([table(["What", "$"], rows, ["70%", "30%"], figures=[1])], title="t", shop="s", paper_size="a4")
    pages = [page.extract_text() for page in PdfReader(BytesIO(pdf)).pages]
    assert len(pages) > 2
    assert all("What" in page for page in pages)
