"""A mix changed as a whole: the parts follow, and six mixes summed by hand."""

from dataclasses import asdict
from typing import Any

import pytest

from shopbook.trade.catalogue.reading import own_catalogue
from shopbook.trade.coating.pouring import Pouring
from shopbook.trade.errors import RuleBroken
from shopbook.trade.planning.mixes import Spot, spray
from shopbook.trade.planning.remixing import MixChange, remix, steps_of
from shopbook.trade.planning.shapes import Car, Choices, Conditions, Finish
from shopbook.trade.planning.work import DraftBasis

BASIS = DraftBasis(own_catalogue(), Car(Finish.SOLID), Conditions(), Choices(), ())


def planned(code: str = "clear_medium", area_m2: float = 1.0) -> tuple[dict[str, Any], Pouring]:
    made = spray(BASIS, code, [Spot("left_front_door", area_m2, 0.5)])
    names = tuple(name for name, _ in made.mix.parts_thousandths)
    parts = tuple(part for _, part in made.mix.parts_thousandths)
    return asdict(made.mix), Pouring(made.mix.ratio, names, parts, (None,) * len(parts))


@pytest.mark.parametrize(
    ("ratio", "total_ml", "parts_ml"),
    [
        # by hand: 310 ÷ 3 = 103.3; twice that 206.7
        ("2:1", 310, (207, 103)),
        # 530 ÷ 6 = 88.3; four times 353.3
        ("4:1:1", 530, (354, 88, 88)),
        # 220 ÷ 5.5 = 40; the half part 20
        ("4:1:½", 220, (160, 40, 20)),
        # 300 ÷ 6 = 50
        ("5:1", 300, (250, 50)),
        # 2 + 1 = 3, a tenth of it more 0.3: 330 ÷ 3.3 = 100
        ("2:1 + 10 %", 330, (200, 100, 30)),
        # 600 ÷ 3 = 200
        ("2:1", 600, (400, 200)),
    ],
)
def test_six_mixes_summed_by_hand(ratio: str, total_ml: int, parts_ml: tuple[int, ...]) -> None:
    names = ("paint", "hardener", "reducer")[: len(parts_ml)]
    was = Pouring(ratio, names, tuple(ml * 1000 for ml in parts_ml), (None,) * len(parts_ml))
    told = {"code": "clear_medium", "ratio": ratio, "total_ml": total_ml}
    done = remix(BASIS, told, was, MixChange(total_thousandths=total_ml * 1000, ratio=ratio))
    assert done.parts_thousandths == tuple(ml * 1000 for ml in parts_ml)
    assert sum(done.parts_thousandths) == total_ml * 1000
    assert was.is_as_asked
    assert was.warnings == ()


def test_filler_changed_as_a_whole_takes_its_hardener_along_to_a_tenth_of_a_gram() -> None:
    filler = Pouring("", ("Filler", "Hardener"), (120_000, 2_400), (None, None), is_by_weight=True)
    assert filler.true_ratio == "100 : 2 by weight"
    assert remix(BASIS, {"code": "filler"}, filler, MixChange(total_thousandths=183_600)).parts_thousandths == (
        180_000,
        3_600,
    )
    stronger = remix(BASIS, {"code": "filler"}, filler, MixChange(ratio="100:2.5"))
    assert stronger.parts_thousandths == (119_400, 3_000)
    assert sum(stronger.parts_thousandths) == 122_400


def test_coats_and_area_change_the_need_and_leave_the_loss_as_it_is() -> None:
    """270.1 ml and 40 of loss, in steps 320; three coats 405.2 + 40, 450; half the area 135.1 + 40, 180."""
    told, was = planned()
    assert was.total_thousandths == 320_000
    third = remix(BASIS, told, was, MixChange(coats=3))
    assert (sum(third.parts_thousandths), third.told["coats"]) == (450_000, 3)
    half = remix(BASIS, told, was, MixChange(area_cm2=5_000))
    assert (sum(half.parts_thousandths), half.told["area_cm2"]) == (180_000, 5_000)
    again = remix(
        BASIS, third.told, Pouring("2 : 1", was.names, third.parts_thousandths, was.densities), MixChange(coats=2)
    )
    assert sum(again.parts_thousandths) == was.total_thousandths


def test_a_typed_total_wins_over_coats_and_area() -> None:
    told, was = planned()
    done = remix(BASIS, told, was, MixChange(total_thousandths=600_000, coats=3))
    assert (done.parts_thousandths, done.told["coats"], done.told["total_ml"]) == ((400_000, 200_000), 3, 600)
    assert done.told["reason"].startswith("600 ml as typed, 450 ml computed.")


def test_another_ratio_keeps_the_total() -> None:
    told, was = planned("surfacer", 0.2)
    done = remix(BASIS, told, was, MixChange(ratio="4:1:1/2"))
    assert sum(done.parts_thousandths) == was.total_thousandths
    assert done.told["ratio"] == "4 : 1 : ½"


@pytest.mark.parametrize(
    ("change", "field"),
    [
        (MixChange(total_thousandths=0), "total"),
        (MixChange(coats=7), "coats"),
        (MixChange(area_cm2=0), "area"),
        (MixChange(ratio="4:1:1"), "ratio"),
        (MixChange(ratio="4:x"), "ratio"),
    ],
)
def test_what_cannot_be_has_a_sentence_beside_its_field(change: MixChange, field: str) -> None:
    told, was = planned()
    with pytest.raises(RuleBroken) as broken:
        remix(BASIS, told, was, change)
    assert broken.value.field == field


def test_a_plan_from_before_asks_for_the_area_with_other_coats() -> None:
    told, was = planned()
    old = {key: value for key, value in told.items() if key not in {"area_cm2", "need_thousandths"}}
    with pytest.raises(RuleBroken) as broken:
        remix(BASIS, old, was, MixChange(coats=3))
    assert broken.value.field == "area"
    assert sum(remix(BASIS, old, was, MixChange(coats=3, area_cm2=10_000)).parts_thousandths) == 450_000


def test_steps_name_the_coats_of_now() -> None:
    steps = ["base, 2 coats", "clear, 2 coats, 5 to 10 min between", "clean the gun"]
    assert steps_of(steps, "Clear", 2, 3) == ["base, 2 coats", "clear, 3 coats, 5 to 10 min between", "clean the gun"]
    assert steps_of(steps, "Base", 2, 1)[0] == "base, 1 coat"
