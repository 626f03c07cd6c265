"""The shipped figures are recorded as a release, each release can be read still, and no code is ever taken out."""

import dataclasses
from typing import get_args, get_origin, get_type_hints

import pytest

from shopbook.trade.catalogue.entries import EntryKind
from shopbook.trade.catalogue.figures import BESIDE, WORDS
from shopbook.trade.catalogue.reading import SHAPES, TABLES, own_catalogue, read_stored
from shopbook.trade.catalogue.releases import find_release, own_release, rows_of, rows_to_keep
from tests.house.record_figures import FOLDER
from tests.shipped import retiring, shipping, with_figure, with_row

RELEASES = sorted(path.stem for path in FOLDER.glob("*.json"))
CODES = {"neighbours", "carries", "factors", "wait", "waits_inside", "adds", "unit"}
"""Fields of text that are figures all the same: they name other entries, or say what a figure counts."""


def test_the_shipped_figures_are_recorded() -> None:
    """When this fails: run `python -m tests.house.record_figures` and commit the file that it writes."""
    assert own_release() in RELEASES, "run  python -m tests.house.record_figures  and commit the file that it writes"
    assert find_release(own_release()) == rows_of(own_catalogue())


@pytest.mark.parametrize("name", RELEASES)
def test_every_recorded_row_can_be_read_and_no_code_was_taken_out(name: str) -> None:
    release, shipped = find_release(name), own_catalogue()
    assert release is not None
    for kind, table in TABLES.items():
        for code, body in release.get(kind.value, {}).items():
            assert body is not None
            assert read_stored(shipped, kind, code, body).code == code
            is_there = code in getattr(shipped, table) or (kind, code) in shipped.retired
            assert is_there, f"{kind} {code}: never take a row out, write  is_retired = true  in it"


def test_every_text_of_an_entry_is_known_as_a_word_or_as_a_figure() -> None:
    """When this fails: name the new field in WORDS, in BESIDE or, where it is no word, in CODES above."""
    for shape in SHAPES.values():
        hints = get_type_hints(shape)
        texts = {name for name, hint in hints.items() if str in {hint, *(get_args(hint) if _is_list(hint) else ())}}
        assert texts - WORDS - BESIDE - CODES == {"code"}, shape.__name__
    named = {each.name for shape in SHAPES.values() for each in dataclasses.fields(shape)}
    assert (WORDS | BESIDE | CODES) - named == set()


def _is_list(hint: object) -> bool:
    return get_origin(hint) is tuple


def test_a_figure_makes_another_release_and_a_word_does_not(monkeypatch: pytest.MonkeyPatch) -> None:
    ours = own_release()
    with shipping(monkeypatch, with_figure("stage.prime", "name", "Primer, sprayed")):
        assert own_release() == ours
    with shipping(monkeypatch, with_figure("stage.prime", "fixed_minutes", 240)):
        assert own_release() != ours
        assert find_release(own_release()) is None


def test_how_sure_we_are_and_where_it_comes_from_is_no_change_by_itself(monkeypatch: pytest.MonkeyPatch) -> None:
    before = rows_of(own_catalogue())
    with shipping(monkeypatch, with_figure("stage.prime", "sure", 99), with_figure("stage.prime", "source", "a guess")):
        assert list(rows_to_keep(before, own_catalogue())) == []
    with shipping(
        monkeypatch, with_figure("stage.prime", "sure", 99), with_figure("stage.prime", "fixed_minutes", 240)
    ):
        (kept,) = rows_to_keep(before, own_catalogue())
        assert (kept.kind, kept.code, kept.body) == (EntryKind.STAGE, "prime", before["stage"]["prime"])


def test_a_retired_row_is_in_no_new_book_and_stays_in_an_old_one(monkeypatch: pytest.MonkeyPatch) -> None:
    before = rows_of(own_catalogue())
    with shipping(monkeypatch, retiring("stage.wax")):
        assert "wax" not in own_catalogue().stages
        (kept,) = rows_to_keep(before, own_catalogue())
        assert kept.body is not None
        wax = read_stored(own_catalogue(), kept.kind, kept.code, kept.body)
    assert wax == own_catalogue().stages["wax"]


def test_a_new_price_waits_to_be_taken_and_another_new_row_comes_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    before = rows_of(own_catalogue())
    dents = "[small_dent.up_to_400]\nup_to_mm = 400\nbands = [[1, 90]]"
    number = '[number.new_ml]\nvalue = 5\nunit = "ml"\nmeaning = "new"'
    with shipping(monkeypatch, with_row(dents), with_row(number)):
        assert [tuple(row) for row in rows_to_keep(before, own_catalogue())] == [
            (EntryKind.SMALL_DENT, "up_to_400", None)
        ]
