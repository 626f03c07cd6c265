"""The seal on a month's paper."""

from shopbook.documents.month.seal import seal_section
from shopbook.trade.sealing import KeptSeal


def test_a_closings_paper_names_the_newest_link_with_its_whole_digest() -> None:
    (row,) = seal_section(KeptSeal(812, "ab" * 32)).rows
    assert (row.code, row.figures, row.below) == ("seal", ("812",), "ab" * 32)


def test_a_book_without_a_link_has_no_row_and_nothing_to_keep() -> None:
    section = seal_section(None)
    assert (section.rows, section.note) == ((), "")
