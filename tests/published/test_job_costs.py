"""Job order costing, labour burden and utilisation as printed in exercises and guides."""

import pytest

from shopbook.trade.floor.hours import labour_cost
from shopbook.trade.pricing import marked_up
from shopbook.trade.results.margin import Costs, Margin, cost_of_an_hour, share_permille, spread_supplies
from shopbook.trade.results.month import Hours


@pytest.mark.parametrize(
    ("hours", "materials", "opening", "printed"),
    [(120, 950, 8_750, 12_820), (300, 4_500, 7_300, 19_600), (145, 3_300, 0, 7_070), (50, 1_300, 0, 2_600)],
    ids=["job 93", "job 94", "job 95", "job 96"],
)
def test_a_job_costs_its_hours_materials_and_what_was_spent_before(
    hours: int, materials: int, opening: int, printed: int
) -> None:
    """Job order exercise with answer (uonbi.ac.ke copy, 16840567): labour at 18 an hour, overhead 8 an hour."""
    spent = Costs(labour_cost(hours * 60, (18 + 8) * 100), materials * 100) + Costs(materials_minor=opening * 100)
    assert spent.total_minor == printed * 100


def test_a_job_priced_at_cost_and_forty_percent_earns_the_printed_margin() -> None:
    """Job order exercise with answer (uonbi.ac.ke copy, 16840567): job 93 of 12,820 is sold at 17,948, margin 5,128."""
    price = marked_up(1_282_000, 400)
    assert price == 1_794_800
    assert Margin(price, Costs(materials_minor=1_282_000)).margin_minor == 512_800


@pytest.mark.parametrize(
    ("materials", "labour", "printed"), [(5_000, 9_000, 17_000), (7_000, 4_000, 15_200), (1_500, 3_000, 5_400)]
)
def test_overhead_as_a_share_of_materials_makes_the_printed_job_costs(
    materials: int, labour: int, printed: int
) -> None:
    """Job order costing exercise (bartleby copy): overhead 60 percent of materials, carried on the materials here."""
    assert Costs(labour_minor=labour, materials_minor=marked_up(materials, 600)).total_minor == printed


@pytest.mark.parametrize(
    ("overhead", "hours", "of_the_job", "printed"),
    [(63_750, 4_250, 25, 375), (450_000, 150_000, 300, 900)],
    ids=["planeaciondidactica.cucea.udg.mx, 14848934", "smartsolve.ai, overhead by direct labor hours"],
)
def test_what_is_opened_for_all_is_carried_by_the_hours_of_a_job_as_printed(
    overhead: int, hours: int, of_the_job: int, printed: int
) -> None:
    """Exercises with answers, each named in its row's id: overhead over all direct labor hours, times one job's."""
    spread = spread_supplies(overhead * 100, {1: of_the_job * 60, 2: (hours - of_the_job) * 60})
    assert spread[1] == printed * 100
    assert sum(spread.values()) == overhead * 100


def test_the_burden_of_a_wage_makes_the_printed_cost_of_an_hour() -> None:
    """employercosts.com labor burden, 2026, Texas: 75,000 over 2,080 h, 6,079 on top, 38.98 an hour, 8.1 percent."""
    on_top = [465_000, 108_800, 4_200, 24_300, 5_600]
    assert sum(on_top) == 607_900
    assert cost_of_an_hour(7_500_000, on_top, 2_080 * 60) == 3_898
    assert share_permille(sum(on_top), 7_500_000) == 81


def test_hours_on_jobs_over_hours_attended_is_the_printed_utilisation() -> None:
    """360 Growth glossary, labour efficiency: 957 of 1,040 hours, 92 percent."""
    assert Hours(1_040 * 60, 957 * 60, 0, 0).use_permille == 920
