"""An old book under a later program: each price, standard, plan and past air record is as it was; ours is offered."""

from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Engine, select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job, PlanVersion
from shopbook.models.schema import upgrade_schema
from shopbook.models.session import make_engine, transaction
from shopbook.models.shop import CatalogueEntry
from shopbook.queries.jobs.planning import planning_of
from shopbook.queries.reports.air import get_air_month
from shopbook.queries.shop.guesses import find_other_release, list_changed_guesses
from shopbook.queries.shop.rates import FROM_THE_FIRST, catalogue_on
from shopbook.services.act import Act
from shopbook.services.shop.guesses import keep_figures
from shopbook.trade.catalogue.entries import Catalogue, EntryKind
from shopbook.trade.catalogue.figures import kept_of
from shopbook.trade.catalogue.first_words import FIRST
from shopbook.trade.catalogue.reading import TABLES, entry_body
from shopbook.trade.catalogue.releases import ONLY_OFFERED, find_release
from shopbook.trade.permissions import THE_PROGRAM
from tests.migrations.old_books import old_book, put_old_book
from tests.shipped import retiring, shipping, with_figure, with_row, without

NOW = datetime(2026, 11, 30, 17, 0, tzinfo=UTC)
TODAY = date(2026, 11, 30)
LATER = (
    with_figure("stage.prime", "fixed_minutes", 240),
    with_figure("price.bonnet", "medium", [1, 2, 3]),
    with_figure("material.colour", "unit", "piece"),
    with_figure("number.gun_clean_ml", "value", 900),
    without("small_dent.up_to_300"),
    retiring("stage.wax"),
    with_row('[small_dent.up_to_400]\nup_to_mm = 400\nbands = [[1, 90]]\nsure = 50\nsource = "a guess"'),
    with_row('[number.new_ml]\nvalue = 5\nunit = "ml"\nmeaning = "new"\nsure = 50\nsource = "a guess"'),
)
"""A later version's file: figures changed, a row gone, one retired, rows new."""

NEW_NAME = with_figure("stage.prime", "name", "Primer, sprayed")
"""A later version's word."""
WORDS_OF_THE_FIRST = {
    "name": "Clean, mask, prime, clean the gun",
    "steps": ["blow off, degrease", "mask for primer, edges rolled back"],
}
"""How the first release said the same stage."""

OFFERED = [
    ("stage", "prime"),
    ("stage", "wax"),
    ("material", "colour"),
    ("price", "bonnet"),
    ("small_dent", "up_to_400"),
    ("small_dent", "up_to_300"),
    ("number", "gun_clean_ml"),
]


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgresql)])
def old(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Engine]:
    """The book of the version before at this program's schema, its figures not yet brought up."""
    if request.param == "sqlite":
        url = old_book(tmp_path)
    else:
        url = str(request.getfixturevalue("empty_postgres_url"))
        put_old_book(url, tmp_path)
    upgrade_schema(url)
    engine = make_engine(url)
    yield engine
    engine.dispose()


def bring_up(engine: Engine) -> int:
    with Session(engine) as session, transaction(session):
        return keep_figures(Act(session, THE_PROGRAM, NOW))


def figures(catalogue: Catalogue, kind: EntryKind) -> dict[str, dict[str, Any]]:
    return {code: kept_of(entry) for code, entry in getattr(catalogue, TABLES[kind]).items()}


def what_it_says(engine: Engine) -> dict[str, Any]:
    """What people see of the book's figures: a draft of each job's damages, plans as agreed, each month of air."""
    with Session(engine) as session:
        jobs = session.scalars(select(Job).order_by(Job.id)).all()
        drafts = {job.id: repr(planning_of(session, job, NOW).draft()) for job in jobs}
        plans = session.execute(select(PlanVersion.id, PlanVersion.body).order_by(PlanVersion.id)).all()
        air = [get_air_month(session, f"2026-{month:02}") for month in range(6, 12)]
        return {"drafts": drafts, "plans": [tuple(row) for row in plans], "air": air}


def test_every_figure_of_the_version_before_is_still_the_books(old: Engine, monkeypatch: pytest.MonkeyPatch) -> None:
    with shipping(monkeypatch, *LATER, NEW_NAME):
        bring_up(old)
        before = find_release(FIRST)
        assert before is not None
        with Session(old) as session:
            for day in (FROM_THE_FIRST, TODAY):
                catalogue = catalogue_on(session, day)
                for kind in set(EntryKind) - {EntryKind.CAUTION}:
                    held = figures(catalogue, kind)
                    assert {code: held[code] for code in before[kind]} == before[kind]
                    assert kind not in ONLY_OFFERED or set(held) == set(before[kind])
            assert "new_ml" in catalogue.numbers
            assert catalogue.stages["prime"].name == "Primer, sprayed"


def test_plans_and_past_records_are_what_they_were(
    old: Engine, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    (tmp_path / "twin").mkdir()
    twin_url = old_book(tmp_path / "twin")
    upgrade_schema(twin_url)
    twin = make_engine(twin_url)
    bring_up(twin)
    before = what_it_says(twin)
    twin.dispose()
    assert sum("prime" in draft for draft in before["drafts"].values()) > 10
    assert sum(len(month.mixes) for month in before["air"]) > 100
    with shipping(monkeypatch, *LATER):
        unlike = what_it_says(old)
        assert {what for what in before if unlike[what] != before[what]} == {"drafts", "air"}
        bring_up(old)
        assert what_it_says(old) == before
        assert bring_up(old) == 0


def test_what_changed_is_offered_beside_it(old: Engine, monkeypatch: pytest.MonkeyPatch) -> None:
    bring_up(old)
    with Session(old) as session:
        untouched = [(each.kind.value, each.code) for each in list_changed_guesses(session)]
    with shipping(monkeypatch, *LATER), Session(old) as session:
        assert find_other_release(session) is not None
        bring_up(old)
        session.rollback()
        found = [(each.kind.value, each.code) for each in list_changed_guesses(session)]
        assert set(found) >= set(OFFERED)
        assert set(found) <= set(OFFERED) | set(untouched)
        assert find_other_release(session) is None


def test_the_words_of_an_old_standard_are_the_programs_unless_the_shop_typed_them(
    old: Engine, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Version before stored a standard whole: name and steps as they were then, beside the shop's 77 minutes."""
    with Session(old) as session:
        first = find_release(FIRST)
        assert first is not None
        shipped = catalogue_on(session, TODAY).stages["prime"]
    body = entry_body(shipped) | WORDS_OF_THE_FIRST
    body |= {"fixed_minutes": 77, "why": "our reason", "source": "the shop's own"}
    with Session(old) as session, transaction(session):
        row = CatalogueEntry(kind="stage", code="prime", body=body, from_on=date(2026, 9, 1), at=NOW)
        row.person_id = 1
        session.add(row)
    with shipping(monkeypatch, *LATER, NEW_NAME):
        bring_up(old)
        with Session(old) as session:
            held = catalogue_on(session, TODAY).stages["prime"]
            earlier = catalogue_on(session, date(2026, 8, 31)).stages["prime"]
            offered = {each.code: each for each in list_changed_guesses(session)}
    assert (held.fixed_minutes, held.name, held.why) == (77, "Primer, sprayed", "our reason")
    assert earlier.fixed_minutes == first["stage"]["prime"]["fixed_minutes"]
    assert offered["prime"].is_set
