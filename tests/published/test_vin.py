"""VIN check digits and model years as published; the source stands beside each."""

import pytest

from shopbook.trade.car.vin import VinDoubt, VinKind, check_digit, examine_vin, is_check_digit_right, model_years


@pytest.mark.parametrize(
    ("vin", "digit"),
    [
        ("1G4AH59H?5G118341", "4"),  # 49 CFR 565.15, sample calculation of table V (sum 411)
        ("1M8GDM9A?KP042788", "X"),  # Wikibooks, Vehicle Identification Numbers (sum 351)
        ("LJCPCBLC?11000237", "X"),  # Scientific Gems, Mathematics in action: VINs, 2018-04-27 (sum 186)
        ("11111111?11111111", "1"),  # Wikipedia, Vehicle identification number (sum 89)
        ("1HGBH41J?MN109186", "X"),  # unit test of a public C decoder, 2018-2019 (sum 340)
        ("5N1NJ01C?ST000001", "X"),  # DoumanAsh/vin-info, tests/basic.rs (sum 186)
        ("1FTDX186?WKA10140", "8"),  # dctid/vin-validator, VinChecksumTest (sum 294)
        ("2NKWL00X?6M149834", "1"),  # MattPorto/vin_decoder test (sum 386)
    ],
)
def test_the_check_digit_is_the_published_one(vin: str, digit: str) -> None:
    """49 CFR 565.15 and the seven sources that stand beside the other rows."""
    assert check_digit(vin) == digit
    report = examine_vin(vin.replace("?", digit))
    assert (report.kind, report.warnings) == (VinKind.VIN, ())


def test_a_published_right_number_is_right_in_lower_case_too() -> None:
    """dctid/vin-validator, VinChecksumTest."""
    assert examine_vin("1ftdx1868wka10140").warnings == ()


def test_a_published_wrong_number_is_doubted() -> None:
    """dctid/vin-validator, VinChecksumTest: computes 8, carries X."""
    assert not is_check_digit_right("1FTDX186XWKA10140")
    assert examine_vin("1FTDX186XWKA10140").warnings[0].code is VinDoubt.CHECK_DIGIT


@pytest.mark.parametrize("vin", ["1FTDX1868WKA1014", "1FTDX1868WKA101400"])
def test_sixteen_or_eighteen_characters_are_no_vin(vin: str) -> None:
    """dctid/vin-validator test; the length also in 49 CFR 565.13."""
    assert examine_vin(vin).warnings[0].code is VinDoubt.LENGTH


@pytest.mark.parametrize("letter", ["i", "o", "q", "I", "O", "Q"])
def test_i_o_and_q_are_never_used(letter: str) -> None:
    """49 CFR 565.15; dctid/vin-validator test."""
    assert examine_vin(f"1FTDX1868WKA1014{letter}").warnings[0].code is VinDoubt.LETTERS


def test_a_european_number_need_not_carry_a_check_digit() -> None:
    """brentgroves/vin1, vin_test.go lists it as valid; by the rule position 9 would be 5."""
    assert check_digit("W0L000051T2123456") == "5"
    assert examine_vin("W0L000051T2123456").warnings[0].code is VinDoubt.CHECK_DIGIT_ABROAD


@pytest.mark.parametrize(
    ("code", "years"),
    [
        ("A", (1980, 2010)),
        ("L", (1990, 2020)),
        ("M", (1991, 2021)),
        ("Y", (2000, 2030)),
        ("1", (2001, 2031)),
        ("9", (2009, 2039)),
        ("U", ()),
        ("Z", ()),
        ("0", ()),
    ],
)
def test_position_ten_names_the_model_year(code: str, years: tuple[int, ...]) -> None:
    """49 CFR 565.15, table VII; Wikipedia, Vehicle identification number."""
    assert model_years(f"1M8GDM9AX{code}P042788") == years


def test_position_seven_tells_which_thirty_years_for_cars_and_light_trucks() -> None:
    """NHTSA final rule, 73 FR 23367 (2008-04-30): a figure 1980 to 2009, a letter 2010 to 2039."""
    assert model_years("1M8GDM9AXKP042788")[0] == 1989
    assert model_years("1M8GDMAAXKP042788")[0] == 2019
