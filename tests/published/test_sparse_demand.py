"""Forecasts of sparse demand against statsforecast 2.1.1, safety stocks against SciPy and a printed exercise."""

import pytest

from shopbook.trade.stock.sparse_demand import fading_use, safety_stock, smooth

_SERIES = {
    "twelve": [0, 0, 3, 0, 0, 0, 2, 0, 1, 0, 0, 4],
    "ten": [5, 0, 0, 0, 0, 7, 0, 0, 6, 0],
    "eight": [1, 0, 2, 0, 3, 0, 4, 0],
}


@pytest.mark.parametrize(
    ("name", "fading", "fading_faster"),
    [
        ("twelve", 0.76849189, 1.28085533),
        ("ten", 2.86720098, 1.77955751),
        ("eight", 1.09308385, 0.91274301),
    ],
)
def test_the_forecast_is_the_one_that_the_library_printed(name: str, fading: float, fading_faster: float) -> None:
    """statsforecast 2.1.1: its one-step forecasts by the method of Teunter, Syntetos and Babai."""
    assert fading_use(_SERIES[name]) == pytest.approx(fading, abs=5e-8)
    assert fading_use(_SERIES[name], 0.2, 0.3) == pytest.approx(fading_faster, abs=5e-8)


@pytest.mark.parametrize(
    ("name", "smoothing", "level"), [("twelve", 0.1, 0.70722415), ("ten", 0.3, 1.96597803), ("eight", 0.1, 1.17509490)]
)
def test_simple_smoothing_follows_the_published_series(name: str, smoothing: float, level: float) -> None:
    """statsforecast 2.1.1, simple exponential smoothing of the same three series."""
    assert smooth(_SERIES[name], smoothing) == pytest.approx(level, abs=5e-8)


def test_the_safety_stock_of_a_printed_exercise_is_met() -> None:
    """questionai exercise: daily deviation 5, lead time 4 days, 90 % (z 1.28): 12.8, its choice 13."""
    assert safety_stock(0.90, 5, 4) == pytest.approx(12.8, abs=0.05)


@pytest.mark.parametrize(("level", "quantile"), [(0.90, 1.281552), (0.95, 1.644854), (0.99, 2.326348)])
def test_the_normal_quantiles_are_those_of_scipy(level: float, quantile: float) -> None:
    """SciPy 1.17.1, the quantiles of the normal distribution, to six places."""
    assert safety_stock(level, 1, 1) == pytest.approx(quantile, abs=5e-7)
