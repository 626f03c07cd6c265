"""The countries' files, each whole and each naming every panel."""

from dataclasses import replace
from zoneinfo import ZoneInfo

import pytest

from shopbook.trade.car.sides import WAY_WORDS, SideWay
from shopbook.trade.countries import Country, TaxAsks, in_currency, in_sides, known_countries, known_country
from shopbook.trade.errors import NotFound


@pytest.mark.parametrize("country", known_countries(), ids=lambda country: country.code)
def test_every_country_is_whole(country: Country) -> None:
    assert all(ZoneInfo(zone) for zone in country.zones)
    assert country.paper_size in {"letter", "a4"}
    assert set(country.panels) == set(known_country("us").panels)
    assert set(country.units) == {"length", "area", "volume", "mass", "temperature", "distance", "film", "pressure"}
    shipped = [list(country.usual_taxes)] if country.usual_taxes else [[each.tax] for each in country.provinces]
    for taxes in shipped:
        kinds = [kind for tax in taxes for kind in tax.line_kinds]
        assert sorted(kinds) == sorted(["labour", "materials", "part", "colour", "sublet", "fee"])
    assert bool(country.usual_taxes) == (country.tax_asks is TaxAsks.NOTHING)
    assert bool(country.provinces) == (country.tax_asks is TaxAsks.PROVINCE)


def test_the_same_panel_is_a_hood_in_one_country_and_a_bonnet_in_another() -> None:
    assert (known_country("us").panel("bonnet"), known_country("gb").panel("bonnet")) == ("hood", "bonnet")


@pytest.mark.parametrize("country", known_countries(), ids=lambda country: country.code)
def test_a_panel_of_a_side_is_named_with_it_and_every_way_is_offered_in_words(country: Country) -> None:
    sided = [code for code in country.panels if code.startswith(("left_", "right_"))]
    assert len(sided) == 12
    for way, sides in country.side_ways.items():
        here = in_sides(country, way)
        assert WAY_WORDS[way]
        for code in sided:
            side = sides.left if code.startswith("left_") else sides.right
            assert here.panel(code).startswith(f"{side.listed} "), code
            assert here.floor_panel(code).startswith(f"{side.floor} "), code
        assert len(set(here.panels.values())) == len(here.panels)
        assert here.panel("roof") == here.floor_panel("roof") == "roof"


@pytest.mark.parametrize(
    ("code", "way", "listed", "floor"),
    [
        ("us", None, "left front door", "LH front door"),
        ("ca", None, "left front door", "LH front door"),
        ("us", SideWay.NEARSIDE_LEFT, "left front door", "LH front door"),
        ("gb", None, "nearside front door", "nearside front door"),
        ("ie", None, "nearside front door", "nearside front door"),
        ("au", None, "nearside front door", "nearside front door"),
        ("gb", SideWay.LEFT_RIGHT, "left front door", "left front door"),
        ("other", None, "left front door", "left front door"),
        ("other", SideWay.NEARSIDE_LEFT, "nearside front door", "nearside front door"),
        ("other", SideWay.NEARSIDE_RIGHT, "offside front door", "offside front door"),
    ],
)
def test_the_left_front_door_is_said_as_the_country_says_it_or_as_the_shop_chose(
    code: str, way: SideWay | None, listed: str, floor: str
) -> None:
    """The nearside is the side at the kerb: the left where one drives on the left, as in the United Kingdom (The
    Highway Code, rule 160, keeps traffic to the left; from memory), the right where one drives on the right."""
    here = in_sides(known_country(code), way)
    assert (here.panel("left_front_door"), here.floor_panel("left_front_door")) == (listed, floor)


def test_a_country_in_its_own_currency_is_itself_and_in_another_only_its_money_differs() -> None:
    here = known_country("other")
    assert in_currency(here, "EUR") is here
    there = in_currency(here, "CHF")
    assert (there.currency, there.currency_symbol, there.currency_places) == ("CHF", "CHF ", 2)
    assert replace(there, currency="EUR") == here


def test_a_country_without_a_file_is_not_found() -> None:
    with pytest.raises(NotFound):
        known_country("xx")


@pytest.mark.parametrize(
    ("code", "said"),
    [
        ("us", "Color and labor: the deductible by check, on the lot"),
        ("gb", "Colour and labour: the excess by cheque, on the yard"),
        ("ie", "Colour and labour: the excess by cheque, on the yard"),
        ("ca", "Colour and labour: the deductible by cheque, on the lot"),
    ],
)
def test_a_sentence_is_said_in_the_words_of_its_country(code: str, said: str) -> None:
    assert known_country(code).say("{Colour} and {labour}: the {excess} by {cheque}, on the {yard}") == said


def test_braces_that_are_no_key_stay_as_they_were_typed() -> None:
    assert known_country("us").say("Enter {this} or {}") == "Enter {this} or {}"


def test_every_country_names_the_same_keys() -> None:
    assert {frozenset(country.words) for country in known_countries()} == {frozenset(known_country("gb").words)}


# The words of the trade in each country, one line a thing; usage from memory. A blank cell is as in the United Kingdom.
TABLE = """
key            | us                     | gb, ie              | au            | ca
quick_estimate | quick estimate         | quick quote         |               | quick estimate
fixed_estimate | estimate, price fixed  | quotation           | quote         | estimate, price fixed
estimate       | estimate               | estimate            |               |
extra          | supplement             | additional work     |               | supplement
colour         | color                  | colour              |               |
labour         | labor                  | labour              |               |
grey           | gray                   | grey                |               |
centre         | center                 | centre              |               |
metre          | meter                  | metre               |               |
litre          | liter                  | litre               |               |
cancelled      | canceled               | cancelled           |               |
cheque         | check                  | cheque              |               |
excess         | deductible             | excess              |               | deductible
assessor       | adjuster               | engineer, assessor  | assessor      | adjuster
total_loss     | total loss             | write-off           |               | total loss
tow            | tow                    | recovery            | tow           | tow
loaner         | loaner                 | courtesy car        |               |
registration   | license plate          | registration        | rego          | licence plate
plate          | license plate          | number plate        |               | licence plate
licence        | license                | licence             |               |
mileage        | odometer reading       | mileage             | odometer reading | odometer reading
markup         | markup                 | mark-up             |               | markup
postcode       | ZIP                    | postcode, Eircode   |               | postal code
post           | mail                   | post                |               | mail
yard           | lot                    | yard                |               | lot
windscreen     | windshield             | windscreen          |               | windshield
headlight      | headlight              | headlight           |               |
rear_light     | tail light             | rear light          |               | tail light
indicator      | turn signal            | indicator           |               | turn signal
arch_liner     | fender liner           | arch liner          | guard liner   | fender liner
fuel_flap      | gas cap                | fuel flap           |               | gas cap
moulding       | molding                | moulding            |               |
clear          | clear coat             | lacquer             | clear         | clear coat
clear_coats    | clear coats            | lacquer coats       | clear coats   | clear coats
primer         | primer surfacer        | high-build primer   |               | primer surfacer
flat           | block                  | flat                |               | block
buff           | buff                   | machine polish      |               | buff
reducer        | reducer                | thinners            |               | reducer
supplies       | shop supplies          | consumables         |               | shop supplies
sedan          | sedan                  | saloon              | sedan         | sedan
wagon          | wagon                  | estate              | wagon         | wagon
pickup         | pickup truck           | pick-up             | ute           | pickup truck
minivan        | minivan                | people carrier      | people mover  | minivan
tyre           | tire                   | tyre                |               | tire
aluminium      | aluminum               | aluminium           |               | aluminum
bank_transfer  | transfer               | bank transfer       |               | transfer
card_terminal  | card terminal          | card machine        |               | card terminal
takings        | day’s receipts         | takings             |               | day’s receipts
pickup_of_car  | pickup                 | collection          |               | pickup
comeback       | comeback               | warranty return     |               | comeback
ageing         | A/R aging              | aged debtors        |               | A/R aging
"""
PANELS = """
panel          | us                       | gb, ie, other            | au                      | ca
bonnet         | hood                     | bonnet                   |                         | hood
left_front_wing | left front fender       | left front wing          | left front guard        | left front fender
boot_lid       | trunk lid                | boot lid                 |                         | trunk lid
left_quarter   | left quarter panel       | left rear quarter panel  |                         | left quarter panel
right_sill     | right rocker panel       | right sill               | right sill panel        | right rocker panel
front_bumper   | front bumper             | front bumper             | front bumper bar        |
rear_bumper    | rear bumper              | rear bumper              | rear bumper bar         |
"""


def cells(table: str) -> list[tuple[str, str, str]]:
    """Country, key and word of each cell; where two countries share a column, two words are theirs in turn."""
    head, *rows = ([cell.strip() for cell in line.split("|")] for line in table.strip().splitlines())
    found = []
    for key, *said in rows:
        for column, word in zip(head[1:], said, strict=True):
            codes = column.split(", ")
            many = (word or said[1]).split(", ") if column.startswith("gb") else [word or said[1].split(", ")[0]]
            found += [(code, key, many[min(place, len(many) - 1)]) for place, code in enumerate(codes)]
    return found


@pytest.mark.parametrize(("code", "key", "word"), cells(TABLE))
def test_each_country_says_the_word_of_its_own_trade(code: str, key: str, word: str) -> None:
    assert known_country(code).word(key) == word


def test_no_word_of_a_country_is_left_out_of_the_table() -> None:
    """Nine more: a supplier's paper, a disc size, a putty, a gloss, a verb, an estimate's other name, a fee's law, what
    hangs under a roof and under a bonnet."""
    beside = {
        "fee_law",
        "delivery_note",
        "disc_size",
        "stopper",
        "matt",
        "refit",
        "quotation",
        "headlining",
        "bonnet_liner",
    }
    assert {key for _, key, _ in cells(TABLE)} | beside == set(known_country("gb").words)


@pytest.mark.parametrize(("code", "panel", "word"), cells(PANELS))
def test_each_country_names_the_panels_as_its_trade_does(code: str, panel: str, word: str) -> None:
    assert in_sides(known_country(code), SideWay.LEFT_RIGHT).panel(panel) == word
