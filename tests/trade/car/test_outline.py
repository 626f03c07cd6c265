"""The drawn car: every panel lies in the box with its number inside, a path reads back as it is written."""

from itertools import pairwise

import pytest

from shopbook.trade.car.outline import HEIGHT, LEFT, PANEL_SHAPES, TOP, WIDTH, drawn_panels, path_steps, said_around
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
    assert all(LEFT <= x <= LEFT + WIDTH and TOP <= y <= TOP + HEIGHT for x, y in around)
    crossings = 0
    for (ax, ay), (bx, by) in pairwise([*around, around[0]]):
        if (ay > shape.y) != (by > shape.y) and shape.x < ax + (shape.y - ay) * (bx - ax) / (by - ay):
            crossings += 1
    assert crossings % 2 == 1, "a ray from a point inside leaves the outline an odd number of times"


@pytest.mark.parametrize(("code", "middle"), [("right_front_wing", (92, 14)), ("left_quarter", (281, 270))])
def test_a_wheel_arch_is_half_a_circle(code: str, middle: Point) -> None:
    x, y = middle
    # Four cubics round a circle with handles of 0.5523 radii stray by 0.03 % of it: a known property of them.
    arch = [point for point in corners(PANEL_SHAPES[code].path) if abs(point[0] - x) < 22 and abs(point[1] - y) < 23]
    assert len(arch) > 20
    assert all(abs(((px - x) ** 2 + (py - y) ** 2) ** 0.5 - 22) < 0.05 for px, py in arch)


def test_the_left_side_of_a_car_whose_front_points_left_lies_at_the_bottom() -> None:
    """Seen from above, whoever sits in the car looks along −x. A quarter turn to their left goes from (−1, 0) to (0, 1)
    in a picture whose y runs down: left is towards the larger y. The front is left: its bumper has the smallest x.
    """
    middle = PANEL_SHAPES["roof"].y
    assert min(PANEL_SHAPES, key=lambda code: PANEL_SHAPES[code].x) == "front_bumper"
    assert max(PANEL_SHAPES, key=lambda code: PANEL_SHAPES[code].x) == "rear_bumper"
    for code, shape in PANEL_SHAPES.items():
        ys = [y for _, y in corners(shape.path)]
        if code.startswith("left_"):
            assert min(ys) > middle, code
        if code.startswith("right_"):
            assert max(ys) < middle, code


def test_each_panel_of_the_left_has_its_twin_across_the_middle_of_the_car() -> None:
    middle = PANEL_SHAPES["roof"].y
    lefts = [code for code in PANEL_SHAPES if code.startswith("left_")]
    assert len(lefts) == 5
    for code in lefts:
        here, there = PANEL_SHAPES[code], PANEL_SHAPES[code.replace("left", "right", 1)]
        assert (here.x, here.y - middle) == (there.x, middle - there.y)


@pytest.mark.parametrize(
    ("country", "head", "foot"),
    [
        ("us", "passenger side · right", "driver side · left"),
        ("ca", "passenger side · right", "driver side · left"),
        ("gb", "offside · right", "nearside · left"),
        ("other", "right", "left"),
    ],
)
def test_the_names_stand_on_their_side_within_the_box(country: str, head: str, foot: str) -> None:
    said = {each.words: each for each in said_around(known_country(country).sides)}
    assert set(said) == {head, foot, "front", "rear"}
    assert said[head].y < min(y for shape in PANEL_SHAPES.values() for _, y in corners(shape.path))
    assert said[foot].y > max(y for shape in PANEL_SHAPES.values() for _, y in corners(shape.path))
    assert said["front"].x < 0 < WIDTH + LEFT - 20 < said["rear"].x
    assert all(LEFT <= each.x <= LEFT + WIDTH and TOP <= each.y <= TOP + HEIGHT for each in said.values())


def test_a_path_reads_back_as_it_is_written() -> None:
    for shape in PANEL_SHAPES.values():
        said = "".join(letter + " ".join(f"{n:g}" for n in numbers) for letter, numbers in path_steps(shape.path))
        assert said == shape.path


def test_every_panel_that_is_drawn_has_a_word_and_lid_and_tailgate_share_one_place() -> None:
    assert set(PANEL_SHAPES) <= set(known_country("us").panels)
    assert set(PANEL_SHAPES) - set(drawn_panels(())) == {"tailgate"}
    assert set(PANEL_SHAPES) - set(drawn_panels(["tailgate"])) == {"boot_lid"}
    assert set(PANEL_SHAPES) - set(drawn_panels(["boot_lid", "tailgate"])) == {"tailgate"}
