"""Use by week, and what it says of the level at which the shop orders."""

from datetime import date, timedelta

from sqlalchemy.orm import Session

from shopbook.queries.shelf.needs import use_by_week
from shopbook.queries.shelf.sheet import list_shelf, say_use
from shopbook.services.act import Act
from shopbook.services.postings import Source
from shopbook.services.shelf.stock import draw_stock, waste_stock
from tests.makers.shelf import make_delivery, make_material

TODAY = date(2026, 11, 5)


def test_use_is_counted_by_whole_weeks_from_the_first_use_and_today_is_left_out(session: Session, act: Act) -> None:
    clear, other = make_material(session), make_material(session, name="Primer", role="primer")
    make_delivery(session, clear, 9)
    make_delivery(session, other, 1)
    assert use_by_week(session, TODAY, [clear.id, other.id]) == {}
    for days, amount in ((29, 400_000), (8, 100_000), (1, 50_000), (0, 70_000)):
        draw_stock(act, clear, amount, Source(), on=TODAY - timedelta(days=days))
    waste_stock(act, clear, 25_000, cause="spilt", on=TODAY - timedelta(days=2))
    assert use_by_week(session, TODAY, [clear.id, other.id]) == {clear.id: [400_000, 0, 0, 100_000, 75_000]}
    said = say_use(session, TODAY, list_shelf(session, TODAY))
    assert set(said) == {clear.id, other.id}
    assert "3 of 5 weeks" in said[clear.id]
    assert "0 of 0 weeks" in said[other.id]
