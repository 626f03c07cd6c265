"""The chart of six months: bars to one scale from a zero line, figures on both, the same drawing on paper."""

import re
from io import BytesIO
from itertools import pairwise
from xml.etree import ElementTree

import pytest
from pypdf import PdfReader

from shopbook.documents.month.chart import NARROW, WIDE, ChartMoney, chart_flowable, chart_svg, chart_words
from shopbook.documents.page import make_file
from shopbook.trade.results.profit_chart import MonthProfit

USD = ChartMoney()
SIX = [
    MonthProfit("Jun", 1_120_000, -190_000),
    MonthProfit("Jul", 1_430_000, 140_000),
    MonthProfit("Aug", 1_500_000, 210_000),
    MonthProfit("Sep", 1_320_000, -40_000),
    MonthProfit("Oct", 1_730_000, 650_000),
    MonthProfit("Nov", 1_533_989, 502_634),
]
SVG = "{http://www.w3.org/2000/svg}"
Bar = tuple[float, float]


def bars(svg: str) -> list[Bar]:
    """(bottom, height) of each bar, left to right; the frame of the picture and the squares of the legend left out."""
    found = [
        (float(each.get("x", 0)), float(each.get("y", 0)), float(each.get("height", 0)))
        for each in ElementTree.fromstring(svg).iter(f"{SVG}rect")
        if each.get("width") != each.get("height") and float(each.get("width", 0)) < 40
    ]
    return [(y, height) for _, y, height in sorted(found) if y < 230]


def zero_line(svg: str) -> float:
    """The height of the line of zero: the one in ink, drawn from end to end."""
    paths = [each for each in ElementTree.fromstring(svg).iter(f"{SVG}path") if "rgb(10%" in each.get("style", "")]
    heights = [float(each.get("d", "").split()[1].split(",")[1]) for each in paths]
    assert len(heights) == 1
    return heights[0]


def written(svg: str) -> list[str]:
    return ["".join(each.itertext()) for each in ElementTree.fromstring(svg).iter(f"{SVG}text")]


@pytest.mark.parametrize("width", [WIDE, NARROW])
def test_bars_stand_on_zero_to_one_scale_and_a_loss_hangs_below_it(width: int) -> None:
    svg = chart_svg(SIX, USD, width)
    zero, drawn = zero_line(svg), bars(svg)
    amounts = [amount for row in SIX for amount in row.amounts]
    assert len(drawn) == len(amounts) == 12
    unit = drawn[0][1] / amounts[0]
    for (bottom, height), amount in zip(drawn, amounts, strict=True):
        assert height == pytest.approx(abs(amount) * unit, abs=0.01)
        assert (bottom if amount > 0 else bottom + height) == pytest.approx(zero, abs=0.01)


def test_both_bars_have_their_figure_and_the_axis_its_steps() -> None:
    said = written(chart_svg(SIX, USD))
    for figure in ("11.2", "−1.9", "14.3", "1.4", "13.2", "−0.4", "15.3", "5.0"):
        assert figure in said
    assert [word for word in said if word in {"−5", "0", "5", "10", "15", "20"}] == ["−5", "0", "5", "10", "15", "20"]
    assert {"gross profit", "net profit before tax", "thousands of $"} <= set(said)


def test_two_figures_that_would_touch_stand_one_above_the_other() -> None:
    close = [MonthProfit(row.name, row.gross_minor, row.gross_minor - 1_000) for row in SIX]
    root = ElementTree.fromstring(chart_svg(close, USD, NARROW))
    bold = [each for each in root.iter(f"{SVG}text") if "bold" in each.get("style", "")]
    heights = [float(each.get("y", 0)) for each in bold]
    assert len(heights) == 12
    assert all(abs(one - two) >= 10 for one, two in list(pairwise(heights))[::2])


def test_all_negative_hangs_from_zero_at_the_top() -> None:
    svg = chart_svg([MonthProfit("Oct", -20_000, -153_000), MonthProfit("Nov", -120_000, -123_000)], USD)
    zero, drawn = zero_line(svg), bars(svg)
    assert all(bottom + height == pytest.approx(zero, abs=0.01) for bottom, height in drawn)
    assert [round(height / drawn[0][1], 2) for _, height in drawn] == [1, 7.65, 6, 6.15]
    assert {"−0.2", "−1.5", "−1.2", "0"} <= set(written(svg))


def test_all_zero_is_a_line_with_noughts_on_it_and_no_bar() -> None:
    svg = chart_svg([MonthProfit("Nov", 0, 0)], USD)
    assert [height for _, height in bars(svg)] == [0, 0]
    assert written(svg).count("0") == 3
    zero_line(svg)


def test_without_a_net_profit_one_bar_is_drawn_and_no_word_promises_another() -> None:
    svg = chart_svg([MonthProfit("Nov", 123_400)], USD)
    assert len(bars(svg)) == 1
    assert "net profit before tax" not in written(svg)
    assert "Nov 1,234 and not known" in svg


def test_the_chart_in_words_has_every_figure_to_the_unit() -> None:
    assert chart_words(SIX[-2:], USD) == (
        "Gross profit and net profit before tax by month, in $: Oct 17,300 and 6,500; Nov 15,340 and 5,026."
    )
    assert "<title>Gross profit" in chart_svg(SIX, USD)
    assert "&lt;b&gt;" in chart_svg([MonthProfit("<b>", 1, 1)], USD)


@pytest.mark.parametrize(
    ("money", "rows", "words"),
    [
        (ChartMoney("€", 2, "de_DE"), [MonthProfit("Nov", 1_533_989, 50_000)], {"15,3", "0,5"}),
        (ChartMoney("Ft", 0, "hu_HU"), [MonthProfit("Nov", 2_400_000, -300_000)], {"millions of Ft", "2,4", "−0,3"}),
        (ChartMoney("$", 2), [MonthProfit("Nov", 83_000, 2_000)], {"$", "830", "20"}),
    ],
)
def test_figures_are_written_as_the_book_writes_them(
    money: ChartMoney, rows: list[MonthProfit], words: set[str]
) -> None:
    assert words <= set(written(chart_svg(rows, money)))


@pytest.mark.parametrize("size", ["letter", "a4"])
def test_the_same_drawing_stands_on_paper(size: str) -> None:
    body = make_file([chart_flowable(SIX, USD, 480)], title="Month", shop="Shop", paper_size=size)
    text = PdfReader(BytesIO(body)).pages[0].extract_text()
    found = re.findall(r"−?\d+\.\d", text)
    assert sorted(found) == sorted(word for word in written(chart_svg(SIX, USD)) if "." in word)
