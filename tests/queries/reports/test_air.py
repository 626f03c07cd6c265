"""The air record and the solvent waste of a month, from mixes, shelf and data sheets."""

from datetime import date, timedelta

import pytest
from sqlalchemy.orm import Session

from shopbook.models.shelf import Material
from shopbook.queries.reports.air import get_air_month
from shopbook.queries.reports.waste import get_waste_month
from shopbook.queries.shop.dated_papers import list_dated_papers, list_papers_due
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.services.act import Act
from shopbook.services.floor.mixes import Left, Poured, make_mix
from shopbook.services.shelf.stock import open_pack
from shopbook.services.shop.dated_papers import add_dated_paper, end_dated_paper, renew_dated_paper
from shopbook.services.shop.rates import set_settings
from shopbook.trade.air.categories import Category
from shopbook.trade.air.waste import GeneratorClass
from shopbook.trade.errors import RuleBroken
from shopbook.trade.permissions import THE_PROGRAM
from shopbook.trade.settings import SettingName
from tests.makers.floor import THURSDAY, at, make_work
from tests.makers.shelf import make_material

NOON = at("12:00")
MONTH = "2026-11"


def with_sheet(session: Session, name: str, role: str, **sheet: object) -> Material:
    material = make_material(session, name, role=role)
    material.sheet = sheet
    session.flush()
    return material


def mixed(session: Session, *parts: tuple[Material | str, int], left: Left | None = None, name: str = "Mix") -> None:
    stage = make_work(session)
    poured = [
        Poured(each, ml * 1000) if isinstance(each, str) else Poured(each.role, ml * 1000, each.id)
        for each, ml in parts
    ]
    rest = left or Left()
    gone = sum(part.amount_thousandths for part in poured) - rest.amount_thousandths
    make_mix(Act(session, THE_PROGRAM, NOON), name, poured, [(stage.id, gone)], rest)


def test_a_mix_without_water_has_one_figure_for_both_ways(session: Session) -> None:
    # 200 ml at 500 g/L and 100 ml at 380 g/L hold 100 + 38 = 138 g in 0.3 L: 460 g/L, worked by hand
    clear = with_sheet(session, "Clear A", "clear", voc_g_l=500)
    activator = with_sheet(session, "Activator A", "clear_activator", voc_g_l=380)
    mixed(session, (clear, 200), (activator, 100))
    (mix,) = get_air_month(session, MONTH).mixes
    assert mix.category is Category.CLEAR
    assert mix.voc is not None
    assert mix.voc.voc_g == pytest.approx(138)
    assert mix.voc.as_applied_g_per_l == pytest.approx(460)
    assert mix.voc.less_water_g_per_l == pytest.approx(460)


def test_water_is_left_out_of_the_second_figure(session: Session) -> None:
    # 300 ml of a base with 70 % water and 84 g/L of it all: 25.2 g in 0.09 L that is not water, 280 g/L, by hand
    base = with_sheet(session, "Base W", "colour", voc_g_l=84, water_percent=70)
    mixed(session, (base, 300))
    (mix,) = get_air_month(session, MONTH).mixes
    assert mix.voc is not None
    assert mix.voc.as_applied_g_per_l == pytest.approx(84)
    assert mix.voc.less_water_g_per_l == pytest.approx(280)


def test_a_figure_that_nobody_typed_is_said_and_never_guessed(session: Session) -> None:
    clear = with_sheet(session, "Clear A", "clear", voc_g_l=500)
    mixed(session, (clear, 200), ("clear_activator", 100))
    record = get_air_month(session, MONTH)
    assert record.mixes[0].voc is None
    assert record.missing == ("VOC of Clear activator, normal",)
    assert record.total_thousandths_g == 0


def test_base_and_clear_of_one_car_are_weighed_as_one_topcoat(session: Session) -> None:
    # 40 CFR 59.104(a)(2): (base + 2 × clear) ÷ 3 = (720 + 2 × 420) ÷ 3 = 520
    base = with_sheet(session, "Base S", "colour", voc_g_l=720)
    clear = with_sheet(session, "Clear A", "clear", voc_g_l=420)
    stage = make_work(session)
    for name, material in (("Base", base), ("Clear", clear)):
        make_mix(
            Act(session, THE_PROGRAM, NOON), name, [Poured(material.role, 100_000, material.id)], [(stage.id, 100_000)]
        )
    (topcoat,) = get_air_month(session, MONTH).topcoats
    assert topcoat.less_water_g_per_l == pytest.approx(520)
    assert topcoat.limit.code == "us_topcoat"


def test_another_month_holds_nothing_of_it(session: Session) -> None:
    mixed(session, (with_sheet(session, "Clear A", "clear", voc_g_l=500), 200))
    assert get_air_month(session, "2026-10").mixes == ()


def test_cleaners_count_when_their_can_is_opened(session: Session) -> None:
    thinner = make_material(session, "Gun thinner", role="gun_thinner", way="shop_supplies", pack_thousandths=5_000_000)
    thinner.sheet = {"voc_g_l": 860, "density_mg_ml": 860}
    open_pack(Act(session, THE_PROGRAM, NOON), thinner)
    record, waste = get_air_month(session, MONTH), get_waste_month(session, MONTH)
    assert record.grams == {Category.CLEANING: 4_300_000}  # 5 L × 860 g/L
    assert waste.figure.grams == 4300
    assert waste.figure.solvent_alone is GeneratorClass.VERY_SMALL


def test_what_is_poured_away_becomes_waste_by_its_density_and_what_is_kept_does_not(session: Session) -> None:
    clear = with_sheet(session, "Clear A", "clear", density_mg_ml=1000)
    mixed(session, (clear, 200), left=Left(50_000))
    mixed(session, (clear, 200), left=Left(70_000, is_kept=True))
    assert get_waste_month(session, MONTH).figure.grams == 50


def test_colour_that_never_stood_on_the_shelf_is_weighed_by_a_guess_that_is_marked(session: Session) -> None:
    mixed(session, ("colour", 200), left=Left(100_000))
    (line,) = get_waste_month(session, MONTH).lines
    assert (line.volume_thousandths, line.grams, line.is_guess) == (100_000, 95, True)


def test_a_paper_stands_on_today_only_where_the_record_is_kept_and_it_runs_out_soon(session: Session) -> None:
    add_dated_paper(Act(session, THE_PROGRAM, NOON), kind="mask_fit", whose="Dana", last_on=date(2025, 11, 20))
    add_dated_paper(Act(session, THE_PROGRAM, NOON), kind="extinguisher", whose="bay 1", last_on=THURSDAY)
    assert list_papers_due(ShopOn(session, THURSDAY)) == []
    set_settings(Act(session, THE_PROGRAM, NOON), {SettingName.SHOWS_AIR: True}, THURSDAY)
    (due,) = list_papers_due(ShopOn(session, THURSDAY))
    assert (due.paper.of, due.due_on, due.days_left) == ("Dana", date(2026, 11, 20), 15)


def test_a_renewed_paper_holds_its_months_again_and_one_let_go_is_gone(session: Session) -> None:
    paper = add_dated_paper(
        Act(session, THE_PROGRAM, NOON), kind="booth_filters", whose="", last_on=date(2026, 6, 1), months=6
    )
    renew_dated_paper(Act(session, THE_PROGRAM, NOON), paper.id)
    assert [due.due_on for due in list_dated_papers(session, THURSDAY)] == [date(2027, 5, 5)]
    end_dated_paper(Act(session, THE_PROGRAM, NOON), paper.id)
    assert list_dated_papers(session, THURSDAY) == []


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        ({"kind": "licence"}, "what kind"),
        ({"last_on": THURSDAY + timedelta(days=1)}, "a day to come"),
        ({"months": 0}, "1 to 240"),
    ],
)
def test_a_paper_that_cannot_be_is_refused_with_a_sentence(session: Session, given: dict, sentence: str) -> None:
    with pytest.raises(RuleBroken, match=sentence):
        add_dated_paper(
            Act(session, THE_PROGRAM, NOON), **({"kind": "mask_fit", "whose": "", "last_on": THURSDAY} | given)
        )
