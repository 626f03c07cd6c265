"""A book keeps its figures under a later file, and takes ours by a press: one, or all that the shop left alone."""

from collections.abc import Iterator
from datetime import date, datetime

import pytest
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.money import MonthClose
from shopbook.models.shop import CatalogueEntry
from shopbook.queries.shop.book import get_book
from shopbook.queries.shop.guesses import ChangedGuess, list_changed_guesses
from shopbook.queries.shop.rates import FROM_THE_FIRST, catalogue_on
from shopbook.services.act import Act
from shopbook.services.shop.guesses import keep_figures, take_guess, take_untouched_guesses
from shopbook.services.shop.rates import set_standard
from shopbook.trade.catalogue.entries import OWN_SOURCE
from shopbook.trade.catalogue.reading import entry_body, own_catalogue
from shopbook.trade.catalogue.releases import own_release
from shopbook.trade.errors import Conflict, RuleBroken
from shopbook.trade.permissions import THE_PROGRAM, Actor
from tests.shipped import shipping, with_figure, with_row

TODAY, LAST_MONTH, NEXT_YEAR = date(2026, 11, 5), date(2026, 10, 5), date(2027, 1, 1)
WAX = own_catalogue().stages["wax"].panel_minutes
PRIME = own_catalogue().stages["prime"].fixed_minutes
DENTS = "[small_dent.up_to_400]\nup_to_mm = 400\nbands = [[1, 90]]"
LATER = (
    with_figure("stage.prime", "fixed_minutes", PRIME + 1),
    with_figure("stage.wax", "panel_minutes", WAX + 1),
    with_row(DENTS),
)


@pytest.fixture
def later(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """The program of a later version: two stages take a minute longer, and one price is new."""
    with shipping(monkeypatch, *LATER):
        yield


def set_prime(session: Session, owner: Actor, now: datetime, minutes: int, from_on: date) -> None:
    """The shop sets its own minutes of priming, as the page of standards does."""
    body = entry_body(catalogue_on(session, from_on).stages["prime"])
    own = {"fixed_minutes": minutes, "sure": 100, "source": OWN_SOURCE}
    set_standard(Act(session, owner, now), "stage", "prime", body | own, from_on)


def prime(session: Session, day: date) -> int:
    return catalogue_on(session, day).stages["prime"].fixed_minutes


def changed(session: Session) -> dict[str, ChangedGuess]:
    return {guess.code: guess for guess in list_changed_guesses(session)}


@pytest.fixture
def kept(session: Session, now: datetime, request: pytest.FixtureRequest) -> Session:
    """A book of the release before, brought up to the later version."""
    request.getfixturevalue("later")
    assert keep_figures(Act(session, THE_PROGRAM, now)) == 3
    return session


def test_a_new_book_sees_no_offer_and_has_nothing_to_keep(session: Session, now: datetime) -> None:
    assert get_book(session).catalogue_version == own_release()
    assert keep_figures(Act(session, THE_PROGRAM, now)) == 0
    assert list_changed_guesses(session) == []


@pytest.mark.usefixtures("owner")
def test_the_book_goes_on_with_its_own_and_is_offered_ours(kept: Session, now: datetime) -> None:
    for day in (FROM_THE_FIRST, LAST_MONTH, NEXT_YEAR):
        assert prime(kept, day) == PRIME
        assert "up_to_400" not in catalogue_on(kept, day).small_dents
    assert set(changed(kept)) == {"prime", "wax", "up_to_400"}
    assert all(guess.is_untouched for guess in changed(kept).values())
    assert keep_figures(Act(kept, THE_PROGRAM, now)) == 0


def test_what_the_shop_set_later_holds_from_its_day_and_ours_of_before_up_to_it(
    session: Session, owner: Actor, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    set_prime(session, owner, now, 77, TODAY)
    with shipping(monkeypatch, *LATER):
        keep_figures(Act(session, THE_PROGRAM, now))
        assert (prime(session, LAST_MONTH), prime(session, TODAY)) == (PRIME, 77)
        assert changed(session)["prime"].is_set


def test_what_the_shop_had_set_from_the_first_day_is_not_written_over(
    session: Session, owner: Actor, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    set_prime(session, owner, now, 77, FROM_THE_FIRST)
    with shipping(monkeypatch, *LATER):
        assert keep_figures(Act(session, THE_PROGRAM, now)) == 2
        assert prime(session, TODAY) == 77


def test_one_press_takes_one_from_its_day(kept: Session, owner: Actor, now: datetime) -> None:
    take_guess(Act(kept, owner, now), "stage", "prime", TODAY)
    assert (prime(kept, LAST_MONTH), prime(kept, TODAY)) == (PRIME, PRIME + 1)
    assert set(changed(kept)) == {"wax", "up_to_400"}
    with pytest.raises(Conflict):
        take_guess(Act(kept, owner, now), "stage", "prime", TODAY)
    with pytest.raises(Conflict):
        take_guess(Act(kept, owner, now), "stage", "nowhere", TODAY)


def test_one_press_takes_all_but_what_the_shop_set(kept: Session, owner: Actor, now: datetime) -> None:
    set_prime(kept, owner, now, 77, TODAY)
    assert take_untouched_guesses(Act(kept, owner, now), NEXT_YEAR) == 2
    after = catalogue_on(kept, NEXT_YEAR)
    assert (after.stages["prime"].fixed_minutes, after.stages["wax"].panel_minutes) == (77, WAX + 1)
    assert "up_to_400" in after.small_dents
    assert "up_to_400" not in catalogue_on(kept, TODAY).small_dents
    assert set(changed(kept)) == {"prime"}
    with pytest.raises(Conflict):
        take_untouched_guesses(Act(kept, owner, now), NEXT_YEAR)
    take_guess(Act(kept, owner, now), "stage", "prime", NEXT_YEAR)
    assert (prime(kept, TODAY), prime(kept, NEXT_YEAR)) == (77, PRIME + 1)


def test_a_day_before_the_shops_own_is_refused_for_it_would_change_nothing(
    kept: Session, owner: Actor, now: datetime
) -> None:
    set_prime(kept, owner, now, 77, NEXT_YEAR)
    with pytest.raises(RuleBroken, match="2027-01-01") as refused:
        take_guess(Act(kept, owner, now), "stage", "prime", TODAY)
    assert refused.value.field == "from_on"


def test_nothing_is_taken_into_a_closed_month(kept: Session, owner: Actor, now: datetime) -> None:
    kept.add(MonthClose(month="2026-10", through_on=date(2026, 10, 31), at=now))
    kept.flush()
    lines = kept.scalar(select(func.count()).select_from(CatalogueEntry))
    with pytest.raises(RuleBroken) as refused:
        take_untouched_guesses(Act(kept, owner, now), LAST_MONTH)
    assert refused.value.field == "from_on"
    assert kept.scalar(select(func.count()).select_from(CatalogueEntry)) == lines


def test_a_third_version_changes_nothing_either_and_offers_its_own(
    kept: Session, owner: Actor, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Prime: kept at the first file's, taken at the second's today, offered at the third's."""
    take_guess(Act(kept, owner, now), "stage", "prime", TODAY)
    get_book(kept).catalogue_version = "2026.3"
    with shipping(monkeypatch, with_figure("stage.prime", "fixed_minutes", PRIME + 9)):
        keep_figures(Act(kept, THE_PROGRAM, now))
        assert (prime(kept, LAST_MONTH), prime(kept, TODAY)) == (PRIME, PRIME + 1)
        assert changed(kept)["prime"].is_untouched


def test_a_book_that_a_newer_program_brought_further_is_refused(session: Session, now: datetime) -> None:
    for foreign in ("0123456789abcdef", "../../secret", ""):
        get_book(session).catalogue_version = foreign
        with pytest.raises(Conflict, match="newer"):
            keep_figures(Act(session, THE_PROGRAM, now))


def test_a_standard_keeps_only_the_words_that_the_shop_typed(
    session: Session, act: Act, monkeypatch: pytest.MonkeyPatch
) -> None:
    body = entry_body(catalogue_on(session, TODAY).stages["prime"])
    set_standard(act, "stage", "prime", body | {"why": "our reason"}, TODAY)
    with shipping(monkeypatch, with_figure("stage.prime", "name", "Primer, sprayed")):
        held = catalogue_on(session, TODAY).stages["prime"]
    assert (held.name, held.why) == ("Primer, sprayed", "our reason")


def test_a_caution_that_the_program_learns_of_stands_on_the_shops_own_stage_too(
    session: Session, act: Act, monkeypatch: pytest.MonkeyPatch
) -> None:
    wax = catalogue_on(session, TODAY).stages["wax"]
    set_standard(act, "stage", "wax", entry_body(wax) | {"cautions": [*wax.cautions, "dust"]}, TODAY)
    more = next(code for code in own_catalogue().cautions if code not in {*wax.cautions, "dust"})
    with shipping(monkeypatch, with_figure("stage.wax", "cautions", [*wax.cautions, more])):
        assert set(catalogue_on(session, TODAY).stages["wax"].cautions) == {*wax.cautions, "dust", more}
