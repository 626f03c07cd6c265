"""What holds for every plan, over random cars: sums are exact, drafting repeats, merging and growing behave."""

from dataclasses import replace
from datetime import date
from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st

from shopbook.trade.catalogue.entries import Catalogue
from shopbook.trade.catalogue.reading import EditedRow, entry_body, overlay, own_catalogue
from shopbook.trade.floor.coat_waits import CoatWait
from shopbook.trade.planning.building import Load, stage_minutes
from shopbook.trade.planning.drafting import draft_plan
from shopbook.trade.planning.shapes import (
    Access,
    Car,
    Conditions,
    Crossing,
    DamageKind,
    DepthStep,
    DraftDamage,
    DraftPlan,
    Finish,
    PaintChoice,
    SizeStep,
    Substrate,
)

CATALOGUE = own_catalogue()


def edited(kind: str, code: str, **changed: object) -> Catalogue:
    """The catalogue with some figures of one entry changed."""
    table = {"number": CATALOGUE.numbers, "panel": CATALOGUE.panels}[kind]
    day = date(2026, 1, 1)
    return overlay(CATALOGUE, [EditedRow(kind, code, day, entry_body(table[code]) | changed)], day)


SHOPS = st.sampled_from([CATALOGUE, edited("number", "base_is_water", value=1)])
"""One that sprays solvent base, one that sprays water."""

DAMAGE = st.builds(
    DraftDamage,
    number=st.just(1),
    panel=st.sampled_from(sorted(set(CATALOGUE.panels) - {"left_mirror", "right_mirror"})),
    kind=st.sampled_from(DamageKind),
    size=st.sampled_from(SizeStep),
    depth=st.sampled_from(DepthStep),
    dent_count=st.integers(1, 80),
    dent_class_mm=st.sampled_from([10, 25, 50]),
    crosses=st.frozensets(st.sampled_from(Crossing)),
    access=st.sampled_from([None, *Access]),
    is_paint_sound=st.booleans(),
    paint=st.sampled_from(PaintChoice),
)
CAR = st.builds(
    Car,
    finish=st.sampled_from(Finish),
    hue=st.sampled_from(["", "weak red"]),
    is_silicone_suspected=st.booleans(),
    is_high_voltage=st.booleans(),
    has_driver_aids=st.booleans(),
)
DAY = st.builds(
    Conditions,
    temperature_c=st.floats(5, 40),
    humidity=st.floats(20, 95),
    has_lamp=st.booleans(),
    has_booth=st.booleans(),
)
METAL = [Substrate.STEEL, Substrate.ALUMINIUM, Substrate.UNKNOWN]
DAMAGES = st.tuples(st.lists(DAMAGE, min_size=1, max_size=6), st.sampled_from(METAL)).map(
    lambda found: [replace(each, number=place, substrate=found[1]) for place, each in enumerate(found[0], start=1)]
)
"""A car of one metal: what one damage says of a panel holds for the others on it."""


@settings(max_examples=100, deadline=None)
@given(CAR, DAMAGES, DAY)
def test_drafting_twice_gives_the_same_plan_whatever_the_order_of_damages(car, damages, day):
    first = draft_plan(CATALOGUE, car, damages, day)
    assert draft_plan(CATALOGUE, car, damages, day) == first
    assert draft_plan(CATALOGUE, car, damages[::-1], day) == first


@settings(max_examples=100, deadline=None)
@given(CAR, DAMAGES, DAY)
def test_minutes_shares_and_mixes_sum_exactly_and_stages_follow_earlier_ones(car, damages, day):
    plan = draft_plan(CATALOGUE, car, damages, day)
    assert sum(plan.minutes_by_panel.values()) == plan.minutes == sum(plan.minutes_by_skill.values())
    for place, stage in enumerate(plan.stages):
        assert sum(minutes for _, minutes in stage.minutes_by_panel) == stage.minutes
        assert all(earlier < place for earlier in stage.after)
        assert place == 0 or stage.after
        for use in stage.uses:
            assert sum(share for _, share in use.shares) == use.amount_thousandths > 0
        for mix in stage.mixes:
            assert sum(part for _, part in mix.parts_thousandths) == mix.total_ml * 1000
            drawn = {use.role: use.amount_thousandths for use in stage.uses if use.mix == mix.code}
            assert drawn == dict(mix.parts_thousandths)
    assert plan.stages[0].code == "check_in"
    assert plan.stages[-1].code == "hand_over"
    followed = {earlier for stage in plan.stages for earlier in stage.after}
    assert followed == set(range(len(plan.stages) - 1))


@settings(max_examples=100, deadline=None)
@given(st.integers(0, 600), st.lists(st.integers(0, 300), min_size=1, max_size=7))
def test_what_a_stage_takes_once_is_spread_over_its_panels_to_the_minute(fixed, own):
    plain = replace(CATALOGUE.stages["unmask"], fixed_minutes=fixed, panel_minutes=0, next_panel_permille=1000)
    loads = [Load(f"panel {place}", own_minutes=minutes) for place, minutes in enumerate(own)]
    assert sum(minutes for _, minutes in stage_minutes(CATALOGUE, plain, loads)) == fixed + sum(own)


@settings(max_examples=100, deadline=None)
@given(st.integers(0, 1000), st.lists(st.integers(0, 300), min_size=1, max_size=7))
def test_the_dearest_panel_counts_whole_whatever_further_ones_count(permille, own):
    plain = replace(CATALOGUE.stages["unmask"], fixed_minutes=0, panel_minutes=0, next_panel_permille=permille)
    loads = [Load(f"panel {place}", own_minutes=minutes) for place, minutes in enumerate(own)]
    assert max(own) <= sum(minutes for _, minutes in stage_minutes(CATALOGUE, plain, loads)) <= sum(own)


@settings(max_examples=100, deadline=None)
@given(CAR, DAMAGES, DAY)
def test_merging_never_costs_more_hours_than_apart_nor_fewer_than_the_largest(car, damages, day):
    together = draft_plan(CATALOGUE, car, damages, day).minutes
    apart = [draft_plan(CATALOGUE, car, [damage], day).minutes for damage in damages]
    assert max(apart) <= together <= sum(apart)


@settings(max_examples=100, deadline=None)
@given(CAR, DAMAGE, DAY)
def test_a_larger_damage_never_takes_fewer_hours_or_less_material(car, damage, day):
    small, middle, large = (draft_plan(CATALOGUE, car, [replace(damage, size=size)], day) for size in SizeStep)
    assert small.minutes <= middle.minutes <= large.minutes
    assert total_ml(small) <= total_ml(middle) <= total_ml(large)


@settings(max_examples=100, deadline=None)
@given(SHOPS, CAR, DAMAGES, DAY, st.floats(0, 20))
def test_a_colder_day_never_waits_less_within_a_stage_nor_after_it(shop, car, damages, day, colder_by):
    warm = draft_plan(shop, car, damages, day)
    cold = draft_plan(shop, car, damages, replace(day, temperature_c=day.temperature_c - colder_by))
    for before, after in zip(warm.stages, cold.stages, strict=True):
        for wait, longer in zip(waits_of(before), waits_of(after), strict=True):
            assert longer.not_before_minutes >= wait.not_before_minutes


@settings(max_examples=50, deadline=None)
@given(CAR, DAMAGES, DAY, st.floats(0, 30))
def test_damper_air_never_dries_a_water_borne_coat_sooner(car, damages, day, damper_by):
    shop = edited("number", "base_is_water", value=1)
    dry = draft_plan(shop, car, damages, day)
    damp = draft_plan(shop, car, damages, replace(day, humidity=min(100.0, day.humidity + damper_by)))
    for before, after in zip(dry.stages, damp.stages, strict=True):
        for wait, longer in zip(waits_of(before), waits_of(after), strict=True):
            assert longer.not_before_minutes >= wait.not_before_minutes


@settings(max_examples=100, deadline=None)
@given(SHOPS, CAR, DAMAGES, DAY)
def test_no_wait_ends_in_a_closed_window_and_what_closes_names_the_stage_it_adds(shop, car, damages, day):
    for stage in draft_plan(shop, car, damages, day).stages:
        for wait in waits_of(stage):
            assert wait.not_after_minutes is None or wait.not_after_minutes >= wait.not_before_minutes
            assert not wait.adds or wait.adds in shop.stages


@settings(max_examples=100, deadline=None)
@given(CAR, DAMAGE, DAY, st.floats(1, 3))
def test_a_larger_panel_never_needs_less_paint_nor_fewer_hours(car, damage, day, times):
    area = CATALOGUE.panels[damage.panel].area_m2
    larger = edited("panel", damage.panel, area_m2=area * times)
    small, large = (draft_plan(shop, car, [damage], day) for shop in (CATALOGUE, larger))
    assert small.minutes <= large.minutes
    for before, after in zip(small.stages, large.stages, strict=True):
        assert all(mix.total_ml <= more.total_ml for mix, more in zip(before.mixes, after.mixes, strict=True))


@settings(max_examples=100, deadline=None)
@given(CAR, DAMAGES, DAY)
def test_the_papers_of_a_stage_never_coarsen(car, damages, day):
    for stage in draft_plan(CATALOGUE, car, damages, day).stages:
        grades = [int(use.role.removeprefix("disc_p")) for use in stage.uses if use.role.startswith("disc_p")]
        assert all(coarser < finer for coarser, finer in pairwise(grades))


@settings(max_examples=100, deadline=None)
@given(CAR, DAMAGES, DAY)
def test_every_stage_comes_after_those_that_the_trade_does_before_it(car, damages, day):
    plan = draft_plan(CATALOGUE, car, damages, day)
    order = {code: kind.order for code, kind in CATALOGUE.stages.items()}
    for stage in plan.stages:
        for earlier in stage.after:
            assert order[plan.stages[earlier].code] < order[stage.code]
    sessions = [stage for stage in plan.stages if stage.code == "base_clear"]
    assert len(sessions) <= 1


def total_ml(plan: DraftPlan) -> int:
    """Surfacer alone: a size step may change the method, and a pushed dent takes no paint at all."""
    return sum(mix.total_ml for stage in plan.stages for mix in stage.mixes if mix.code == "surfacer")


def waits_of(stage) -> tuple[CoatWait, ...]:
    """All waits of its coats, those within it too."""
    return stage.waits
