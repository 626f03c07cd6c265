"""Paint and materials on a quote: the payer's rule on its day, colour inside it or beside it, no price ever missing."""

from datetime import datetime

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.money import Quote, QuoteLine
from shopbook.models.shelf import Material
from shopbook.queries.jobs.damage import list_damages
from shopbook.queries.jobs.listed import list_prices
from shopbook.queries.jobs.planning import draft_damage
from shopbook.queries.jobs.plans import list_stages
from shopbook.queries.money.billable import agreed_work
from shopbook.queries.money.planned import planned_groups
from shopbook.services.act import Act
from shopbook.services.jobs.parts import add_part, part_came
from shopbook.services.shop.rates import set_settings
from shopbook.trade.errors import RuleBroken
from shopbook.trade.pricing.materials import REFINISH_STAGES
from shopbook.trade.settings import SettingName
from tests.makers import FIRST_DAY
from tests.makers.jobs import make_damage, make_job, make_planned_job
from tests.makers.quotes import make_given_quote, make_quote, make_yes

SHELF = {SettingName.MATERIALS_RULE: "shelf"}


def lines_of(quote: Quote, kind: str) -> list[QuoteLine]:
    return [line for group in quote.groups for line in group.lines if line.kind == kind]


def quoted(session: Session, job: Job, kind: str) -> list[int]:
    return [line.amount_minor for line in lines_of(make_quote(session, job), kind)]


@pytest.fixture
def door(session: Session) -> Job:
    """A job with a palm-sized dent in a door, its plan drafted."""
    return make_planned_job(session, "left_front_door")


def test_by_the_refinish_hour_colour_is_inside_and_no_line_for_the_customer(
    session: Session, act: Act, door: Job
) -> None:
    part = add_part(act, door.id, name="Paint mixed for this car", kind="colour", cost_minor=6000)
    minutes = sum(stage.planned_minutes for stage in list_stages(session, door.id) if stage.code in REFINISH_STAGES)
    quote = make_given_quote(session, door)
    (materials,) = lines_of(quote, "materials")
    assert abs(materials.amount_minor * 60 - minutes * 4200) <= 30
    assert lines_of(quote, "colour") == []
    assert part.price_minor == 0
    make_yes(session, quote)
    part_came(act, part.id, cost_minor=6400)
    assert agreed_work(session, [door.id])[door.id].loose_parts == ()


def test_at_shelf_cost_colour_is_a_line_of_its_own(session: Session, act: Act, door: Job) -> None:
    set_settings(act, SHELF, FIRST_DAY)
    add_part(act, door.id, name="Paint mixed for this car", kind="colour", cost_minor=6000)
    assert quoted(session, door, "colour") == [7500]


def test_at_shelf_cost_colour_that_nobody_has_bought_yet_stands_at_our_guess(
    session: Session, act: Act, door: Job
) -> None:
    set_settings(act, SHELF, FIRST_DAY)
    (colour,) = lines_of(make_quote(session, door), "colour")
    assert colour.words == "Paint mixed for this car"
    assert colour.amount_minor > 0
    assert colour.job_part_id is None


def test_a_price_that_goes_missing_changes_no_rule(session: Session, now: datetime, act: Act, door: Job) -> None:
    """An empty shelf is priced by our guess and says so; each price that is known takes its own guess's place."""
    set_settings(act, SHELF, FIRST_DAY)
    (group,) = planned_groups(session, door, now.date())
    assert group.guessed == group.costs
    (guessed,) = quoted(session, door, "materials")
    assert guessed == round(sum(group.costs.values()) * 1.4)
    clear = session.scalar(select(Material).where(Material.role == "clear"))
    known = clear or Material(
        name="Clear", role="clear", unit="ml", way="measured", pack_thousandths=5_000_000, pack_name="5 l can",
        order_at_quarters=1,
    )  # fmt: skip
    known.pack_price_minor = 40_000
    session.add(known)
    session.flush()
    (after,) = planned_groups(session, door, now.date())
    assert set(after.costs) - set(after.guessed) == {"clear"}
    assert {role: cost for role, cost in after.costs.items() if role != "clear"} == after.guessed
    assert quoted(session, door, "materials")[0] > guessed


def test_an_insurer_goes_by_the_refinish_hour_where_everybody_else_goes_by_the_shelf(
    session: Session, act: Act
) -> None:
    set_settings(act, SHELF, FIRST_DAY)
    job = make_planned_job(session, "left_front_door", payer_kind="insurer")
    add_part(act, job.id, name="Paint mixed for this car", kind="colour", cost_minor=6000)
    assert quoted(session, job, "colour") == []


def test_colour_that_was_written_down_at_a_price_asks_for_nothing_once_the_materials_hold_it(
    session: Session, act: Act, door: Job
) -> None:
    set_settings(act, SHELF, FIRST_DAY)
    part = add_part(act, door.id, name="Paint mixed for this car", kind="colour", cost_minor=6000)
    assert part.price_minor == 7500
    set_settings(act, {SettingName.MATERIALS_RULE: "refinish_hour"}, FIRST_DAY)
    quote = make_given_quote(session, door)
    make_yes(session, quote)
    assert lines_of(quote, "colour") == []
    assert agreed_work(session, [door.id])[door.id].loose_parts == ()


def test_a_price_typed_for_colour_is_the_shops_wish_and_stands(session: Session, act: Act, door: Job) -> None:
    add_part(act, door.id, name="Three-stage color", kind="colour", cost_minor=6000, price_minor=9000)
    assert quoted(session, door, "colour") == [9000]


def test_the_rule_holds_from_a_day(session: Session, now: datetime, act: Act, door: Job) -> None:
    by_hour = quoted(session, door, "materials")
    set_settings(act, SHELF, now.date().replace(year=2030))
    assert quoted(session, door, "materials") == by_hour


def test_an_old_books_rule_goes_by_all_paint_hours_with_colour_beside(session: Session, act: Act, door: Job) -> None:
    rule = {SettingName.MATERIALS_RULE: "paint_hour", SettingName.MATERIALS_PER_PAINT_HOUR_MINOR: 4200}
    set_settings(act, rule, FIRST_DAY)
    quote = make_quote(session, door)
    paint = sum(line.minutes for line in lines_of(quote, "labour") if line.skill == "paint")
    assert abs(lines_of(quote, "materials")[0].amount_minor * 60 - paint * 4200) <= 30
    assert lines_of(quote, "colour") == []


def test_without_the_rules_figure_drafting_says_what_to_set(session: Session, act: Act, door: Job) -> None:
    set_settings(act, {SettingName.MATERIALS_REFINISH_HOUR_MINOR: 0}, FIRST_DAY)
    with pytest.raises(RuleBroken, match="for a refinish hour in Settings"):
        make_quote(session, door)


def test_the_list_answers_for_each_hurt_panel_of_a_job(session: Session, now: datetime) -> None:
    """At 65.00 an hour a door of 10.3 h is 669.50; two damages on the quarter are the plan's."""
    job = make_job(session)
    for panel in ("left_front_door", "left_quarter", "left_quarter"):
        make_damage(session, job, panel, depth="shallow")
    damages = [draft_damage(row) for row in list_damages(session, job.id)]
    assert list_prices(session, now.date(), damages, "private") == {"left_front_door": 66950}
