"""The drawn car: every panel lies in the box with its number inside, a path reads back as it is written."""

from itertools import pairwise

import pytest

from shopbook.trade.car_outline import HEIGHT, PANEL_SHAPES, TOP, WIDTH, drawn_panels, path_steps
from shopbook.trade.countries import known_country

Point = tuple[float, float]


def corners(path: str) -> list[Point]:
    """Where the steps of a path end, twenty points along each curve among them (De Casteljau's construction)."""
    found: list[Point] = []
    for letter, numbers in path_steps(path):
        points = list(zip(numbers[::2], numbers[1::2], strict=True))
        if letter == "C":
            found += [on_curve([found[-1], *points], step / 20) for step in range(1, 20)]
        found += points[-1:]
    return found


def on_curve(points: list[Point], share: float) -> Point:
    while len(points) > 1:
        points = [(a + (c - a) * share, b + (d - b) * share) for (a, b), (c, d) in pairwise(points)]
    return points[0]


@pytest.mark.parametrize("code", PANEL_SHAPES)
def test_a_panel_lies_in_the_box_and_its_number_in_the_panel(code: str) -> None:
    shape = PANEL_SHAPES[code]
    around = corners(shape.path)
    assert all(0 <= x <= WIDTH and TOP <= y <= TOP + HEIGHT for x, y in around)
    crossings = 0
    for (ax, ay), (bx, by) in pairwise([*around, around[0]]):
        if (ay > shape.y) != (by > shape.y) and shape.x < ax + (shape.y - ay) * (bx - ax) / (by - ay):
            crossings += 1
    assert crossings % 2 == 1, "a ray from a point inside leaves the outline an odd number of times"


@pytest.mark.parametrize(("code", "middle"), [("left_front_wing", (92, 14)), ("right_quarter", (281, 270))])
def test_a_wheel_arch_is_half_a_circle(code: str, middle: Point) -> None:
    x, y = middle
    # Four cubics round a circle with handles of 0.5523 radii stray by 0.03 % of it: a known property of them.
    arch = [point for point in corners(PANEL_SHAPES[code].path) if abs(point[0] - x) < 22 and abs(point[1] - y) < 23]
    assert len(arch) > 20
    assert all(abs(((px - x) ** 2 + (py - y) ** 2) ** 0.5 - 22) < 0.05 for px, py in arch)


def test_a_path_reads_back_as_it_is_written() -> None:
    for shape in PANEL_SHAPES.values():
        said = "".join(letter + " ".join(f"{n:g}" for n in numbers) for letter, numbers in path_steps(shape.path))
        assert said == shape.path


def test_every_panel_that_is_drawn_has_a_word_and_lid_and_tailgate_share_one_place() -> None:
    assert set(PANEL_SHAPES) <= set(known_country("us").panels)
    assert set(PANEL_SHAPES) - set(drawn_panels(())) == {"tailgate"}
    assert set(PANEL_SHAPES) - set(drawn_panels(["tailgate"])) == {"boot_lid"}
    assert set(PANEL_SHAPES) - set(drawn_panels(["boot_lid", "tailgate"])) == {"tailgate"}
