"""Forecasts of sparse demand against statsforecast 2.1.1; the figures are the one-step forecasts that it printed."""

import pytest

from shopbook.trade.sparse_demand import croston, croston_corrected, fading_use, smooth

_SERIES = {
    "twelve": [0, 0, 3, 0, 0, 0, 2, 0, 1, 0, 0, 4],
    "ten": [5, 0, 0, 0, 0, 7, 0, 0, 6, 0],
    "eight": [1, 0, 2, 0, 3, 0, 4, 0],
}


@pytest.mark.parametrize(
    ("name", "plain", "corrected", "fading", "fading_faster"),
    [
        ("twelve", 0.94918088, 0.90172183, 0.76849189, 1.28085533),
        ("ten", 3.38461538, 3.21538462, 2.86720098, 1.77955751),
        ("eight", 1.22816680, 1.16675846, 1.09308385, 0.91274301),
    ],
)
def test_the_three_methods_forecast_as_the_library_does(
    name: str, plain: float, corrected: float, fading: float, fading_faster: float
) -> None:
    use = _SERIES[name]
    assert croston(use) == pytest.approx(plain, abs=5e-8)
    assert croston_corrected(use) == pytest.approx(corrected, abs=5e-8)
    assert fading_use(use) == pytest.approx(fading, abs=5e-8)
    assert fading_use(use, 0.2, 0.3) == pytest.approx(fading_faster, abs=5e-8)


@pytest.mark.parametrize(
    ("name", "smoothing", "level"), [("twelve", 0.1, 0.70722415), ("ten", 0.3, 1.96597803), ("eight", 0.1, 1.17509490)]
)
def test_simple_smoothing_follows_the_published_series(name: str, smoothing: float, level: float) -> None:
    assert smooth(_SERIES[name], smoothing) == pytest.approx(level, abs=5e-8)
