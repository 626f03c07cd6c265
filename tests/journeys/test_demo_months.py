"""The demo's months in both its countries: a shop that lives, and a month that falls short says why."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import pairwise
from statistics import fmean

import pytest
from sqlalchemy import Engine
from sqlalchemy.orm import Session

import seed_demo
from shopbook.commands.demo.folder import ready_demo
from shopbook.commands.proving import prove_book
from shopbook.documents.month.sentences import sentence_text
from shopbook.models.session import make_engine
from shopbook.queries.money.closings import find_standing_closing
from shopbook.queries.reports.whole_month import WholeMonth, read_month
from shopbook.queries.shop.shop_on import shop_at
from shopbook.trade.measures.days import month_of, month_shifted
from shopbook.web.reports.month_paper import paper_of
from tests.journeys.demos import NOW, Built

pytestmark = pytest.mark.demo
MONTHS = [month_shifted(month_of(NOW.date()), -back) for back in range(5, -1, -1)]
"""June to November; the last one still runs."""
LEFT_IN_AT_LEAST = 4
GROSS_PROFIT_PERMILLE = (350, 650)
"""What a small body shop can have of its sales before its overheads: common practice."""
SOLD_OF_PAID_PERCENT = 130
"""More hours sold than this of each hundred paid on the floor is rarely seen: common practice."""


@dataclass(frozen=True)
class Told:
    """A month as the book has it, what a closing keeps or would keep of it, and the sentences on top of its page."""

    read: WholeMonth
    numbers: Mapping[str, int]
    sentences: Sequence[str]
    is_closed: bool

    @property
    def left_minor(self) -> int:
        return self.numbers["net_profit_minor"]


def tell(engine: Engine) -> list[Told]:
    found = []
    with Session(engine) as session:
        shop = shop_at(session, NOW)
        for month in MONTHS:
            read, closing = read_month(shop, month), find_standing_closing(session, month)
            said = [sentence_text(each) for each in paper_of(shop, read).sentences]
            found.append(Told(read, closing.numbers if closing else read.numbers, said, closing is not None))
    return found


@pytest.fixture(scope="module")
def british_demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Built]:
    config = ready_demo(tmp_path_factory.mktemp("gb") / "demo", NOW, partial(seed_demo.build, country="gb"))
    engine = make_engine(config.database_url)
    yield config, engine
    engine.dispose()


@pytest.fixture(scope="module", params=["us", "gb"])
def built(request: pytest.FixtureRequest) -> Built:
    found: Built = request.getfixturevalue("demo" if request.param == "us" else "british_demo")
    return found


@pytest.fixture(scope="module")
def months(built: Built) -> list[Told]:
    return tell(built[1])


def test_the_book_proves(built: Built) -> None:
    assert [fault for proof in prove_book(*built) for fault in proof.faults] == []


def test_something_is_left_of_four_months_in_six(months: list[Told]) -> None:
    assert len([one for one in months if one.left_minor > 0]) >= LEFT_IN_AT_LEAST


def test_a_month_that_falls_short_says_so_and_why(months: list[Told]) -> None:
    """Fewer hours were sold than in the others on average; the second sentence says of how few jobs."""
    short = [one for one in months if one.left_minor <= 0]
    mean = fmean(one.numbers["hours_sold_minutes"] for one in months if one.left_minor > 0)
    assert short
    for one in short:
        assert "short after all wages and fixed costs" in one.sentences[0]
        assert f"The {one.read.left.profit.jobs} jobs invoiced" in one.sentences[1]
        assert one.numbers["hours_sold_minutes"] < mean or one.numbers["rework_minor"] > 0


def test_the_owners_pay_is_said_in_every_month(months: list[Told]) -> None:
    for one in months:
        assert one.numbers["own_pay_minor"] > 0
        assert one.numbers["after_pay_minor"] == one.left_minor - one.numbers["own_pay_minor"]
        assert "Noor’s own pay" in one.sentences[0]


def test_every_part_of_what_a_shop_pays_is_there(months: list[Told]) -> None:
    for one in months:
        for name in ("wages_no_job_minor", "fixed_costs_minor", "card_fees_minor"):
            assert one.numbers[name] > 0, (one.read.month, name)
        assert one.read.left.even.house.wages.paid.on_costs_minor > 0


def test_the_work_in_progress_goes_from_month_to_month(months: list[Told]) -> None:
    for one in months:
        work = one.read.left.work
        coming = work.opening_minor + work.changed_minor + work.added_minor
        assert coming - work.invoiced_minor - work.cancelled_minor == work.closing_minor > 0
    for before, after in pairwise(months):
        assert before.numbers["work_closing_minor"] == after.numbers["work_opening_minor"]


def test_a_closing_keeps_the_figures_that_the_book_has(months: list[Told]) -> None:
    closed = [one for one in months if one.is_closed]
    assert len(closed) == 4
    for one in closed:
        for name in ("net_minor", "gross_profit_minor", "net_profit_minor", "hours_sold_minutes"):
            assert one.numbers[name] == one.read.numbers[name], (one.read.month, name)


def test_no_month_has_a_figure_that_such_a_shop_could_not_have(months: list[Told]) -> None:
    for one in months:
        gross, (least, most) = one.read.left.profit.gross, GROSS_PROFIT_PERMILLE
        assert least <= (gross.share_permille or 0) <= most, one.read.month
        here = one.numbers["hours_here_minutes"]
        assert 0 < one.numbers["hours_sold_minutes"] * 100 <= here * SOLD_OF_PAID_PERCENT, one.read.month
