"""Mix sheets as they are poured: by the ratio's lines, or by level where somebody changed a part."""

from shopbook.trade.coating.pouring import Pouring, pour_lines, weigh_lines


def test_two_to_one_is_poured_to_the_lines_of_the_cup_and_weighed() -> None:
    """480 ml at 2 : 1 with 0.99 and 1.03 g/ml: 320 ml weigh 316.8 g, 160 ml more make 481.6 g; by hand."""
    clear, activator = pour_lines("2 : 1", ["Clear", "Activator"], [320_000, 160_000], [0.99, 1.03])
    assert (clear.cup_line, activator.cup_line) == ("to 2", "to 3")
    assert (clear.scale_shows_thousandths_g, activator.scale_shows_thousandths_g) == (316_800, 481_600)


def test_a_changed_part_is_poured_to_a_level_in_ml() -> None:
    clear, activator = pour_lines("2 : 1", ["Clear", "Activator"], [300_000, 160_000], [0.99, 1.03])
    assert (clear.cup_line, activator.cup_line) == ("to 300 ml", "to 460 ml")
    assert activator.scale_shows_thousandths_g == 461_800


def test_an_unknown_density_ends_the_scale_and_not_the_cup() -> None:
    lines = pour_lines("", ["Base", "Reducer"], [200_000, 100_000], [None, 0.87])
    assert [line.scale_shows_thousandths_g for line in lines] == [None, None]
    assert [line.cup_line for line in lines] == ["to 200 ml", "to 300 ml"]


def test_filler_is_weighed_one_part_on_top_of_the_other() -> None:
    filler, hardener = weigh_lines(["Filler", "Hardener"], [60_000, 1_200])
    assert (filler.scale_shows_thousandths_g, hardener.scale_shows_thousandths_g) == (60_000, 61_200)


def test_a_mix_scaled_to_a_cup_keeps_its_lines_and_sums_to_the_cup() -> None:
    """385 ml at 2 : 1 is 256.667 and 128.333 ml: 257 and 128 as a cup shows them; by hand."""
    clear = Pouring("2 : 1", ("Clear", "Activator"), (320_000, 160_000), (0.99, 1.03))
    assert clear.lines() == pour_lines("2 : 1", clear.names, clear.parts_thousandths, clear.densities)
    scaled = clear.lines(385_000)
    assert [line.part_thousandths_ml for line in scaled] == [257_000, 128_000]
    assert [line.cup_line for line in scaled] == ["to 2", "to 3"]
    changed = Pouring("2 : 1", ("Clear", "Activator"), (300_000, 160_000), (0.99, None))
    assert [line.cup_line for line in changed.lines(230_000)] == ["to 150 ml", "to 230 ml"]


def test_filler_scaled_keeps_its_share_of_hardener() -> None:
    filler = Pouring("", ("Filler", "Hardener"), (60_000, 1_200), (None, None), is_by_weight=True)
    assert [line.part_thousandths_ml for line in filler.lines(30_600)] == [30_000, 600]
    assert filler.lines(0) == ()


def clear_of(*parts: int, ratio: str = "2 : 1") -> Pouring:
    return Pouring(ratio, ("Clear", "Activator", "Reducer")[: len(parts)], parts, (None,) * len(parts))


def test_a_part_changed_alone_states_the_true_ratio() -> None:
    assert clear_of(400_000, 200_000).true_ratio == "2 : 1"
    assert clear_of(400_000, 177_000).true_ratio == "2 : 0.885"
    assert clear_of(353_333, 176_667).true_ratio == clear_of(353_000, 177_000).true_ratio == "2 : 1"
    assert clear_of(200_000, 50_000, 60_000, ratio="4 : 1 : 1").true_ratio == "4 : 1 : 1.2"
    assert clear_of(400_000, 200_000, 20_000).true_ratio == "2 : 1 : 0.1"
    assert clear_of(400_000, ratio="1").true_ratio == "1"


def test_a_part_may_be_five_percent_off_its_own_amount_and_no_more() -> None:
    """400 ml at 2 : 1 ask for 200 ml beside them: 190 to 210."""
    assert clear_of(400_000, 190_000).warnings == clear_of(400_000, 210_000).warnings == ()
    for ml in (189_000, 211_000, 177_000):
        (said,) = clear_of(400_000, ml).warnings
        assert said.startswith(f"Activator: {ml // 1000} ml, but 2 : 1 asks for 200 ml (190 to 210 ml).")


def test_too_little_or_too_much_hardener_in_filler_is_warned_of() -> None:
    def filler(hardener: int) -> Pouring:
        return Pouring("", ("Filler", "Hardener"), (100_000, hardener), (None, None), is_by_weight=True)

    assert filler(2_000).warnings == ()
    assert [len(filler(each).warnings) for each in (900, 3_100)] == [1, 1]
