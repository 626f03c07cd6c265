"""The pages about jobs, pressed as the desk presses them."""

import io
import re

import pytest
from PIL import Image

from shopbook.models.session import transaction
from shopbook.outside.pictures import NO_IMAGE
from shopbook.web.parts.act import db
from tests.clients import ShopClient, photo, refused_fields, sentences
from tests.makers.shelf import make_material

BOOKED = {"wrong": "A dent", "payer_kind": "private", "purpose": "paid", "drop_off_half": ""}
DAMAGE = {
    "panel": "bonnet",
    "kind": "dent",
    "size": "M",
    "depth": "finger",
    "access": "",
    "substrate": "steel",
    "paint": "paint",
}


def book_in(client: ShopClient, who: str = "Ines Okafor") -> str:
    return client.press_on("/jobs/book-in", who=who, **BOOKED)


def test_a_car_is_booked_in_checked_in_and_its_facts_stand_on_one_strip(client: ShopClient) -> None:
    assert "Ines Okafor" in book_in(client)
    facts = {"key_number": "7", "place_id": "1", "fuel": "half", "was_there": "chips on the bonnet"}
    page = client.press_on("/jobs/1/check-in", revision="1", **facts)
    for word in ("bay 1", "half", "chips on the bonnet", ">7<"):
        assert word in page
    stale = client.press("/jobs/1/check-in", revision="1", **(facts | {"key_number": "9"}))
    assert stale.status_code == 409
    assert 'value="9"' in stale.text


def test_a_booked_car_needs_a_name_a_phone_or_a_plate(client: ShopClient) -> None:
    answer = client.press("/jobs/book-in", who="", **BOOKED)
    assert answer.status_code == 422
    assert refused_fields(answer.text) == ["who"]


def test_a_date_before_the_job_is_refused_beside_its_field(client: ShopClient) -> None:
    book_in(client)
    answer = client.press("/jobs/1/days", promise_on="2026-01-01", promise_half="", drop_off_on="", drop_off_half="")
    assert answer.status_code == 422
    assert "on or after the drop-off day" in answer.text


def test_damage_makes_the_plan_and_a_change_moves_it(client: ShopClient) -> None:
    book_in(client)
    page = client.press_on("/jobs/1/damage/new", **DAMAGE)
    assert " h planned</b>" in page
    assert "Base and clear" in page
    page = client.press_on("/jobs/1/damage/1", **(DAMAGE | {"paint": "no_paint", "is_paint_sound": "y"}))
    assert "Base and clear" not in page
    page = client.press_on("/jobs/1/damage/1/strike")
    assert "No damage yet" in page


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        ({"length_mm": "-3"}, "Enter zero or more"),
        ({"length_mm": "long"}, "long"),
        ({"length_mm": "9000"}, "longer than a car"),
        ({"length_mm": "70", "width_mm": "70"}, "larger than its panel"),
        ({"panel": "moon"}, "Choose one from the list"),
        ({"kind": "small_dents", "dent_count": "0"}, "from 1 to 2000"),
        ({"note": "x" * 4001}, "at most 4000 characters"),
    ],
)
def test_damage_that_cannot_be_is_refused_beside_its_field(
    client: ShopClient, given: dict[str, str], sentence: str
) -> None:
    book_in(client)
    answer = client.press("/jobs/1/damage/new", **(DAMAGE | given))
    assert answer.status_code == 422
    assert sentence in answer.text, sentences(answer.text)


def test_the_plan_is_changed_struck_restored_and_added_to(client: ShopClient) -> None:
    book_in(client)
    client.press_on("/jobs/1/damage/new", **DAMAGE)
    plan = client.text("/jobs/1/plan")
    stage = plan.split("/jobs/1/plan/")[2].split('"')[0].split("/")[0]
    page = client.press_on(
        f"/jobs/1/plan/{stage}",
        name="Pull slowly",
        skill="body",
        planned_minutes="1.5",
        not_before_minutes="0",
        part_id="0",
        version="1",
    )
    assert "Pull slowly" in page
    assert "changed by hand" in page
    stale = client.press(
        f"/jobs/1/plan/{stage}",
        name="Pull fast",
        skill="body",
        planned_minutes="1",
        not_before_minutes="0",
        part_id="0",
        version="1",
    )
    assert stale.status_code == 409
    assert "Removed" in client.press_on(f"/jobs/1/plan/{stage}/strike")
    assert "Restored" in client.press_on(f"/jobs/1/plan/{stage}/restore")
    added = {"name": "Wax", "skill": "body", "minutes": "0.3", "after_stage_id": "0", "purpose": "", "panel": ""}
    assert "Wax" in client.press_on("/jobs/1/plan/new", **added)
    assert "Version 5" in client.text("/jobs/1/versions")


@pytest.mark.parametrize("hours", ["-1", "many", "200", "1e9"])
def test_hours_that_cannot_be_are_a_sentence(client: ShopClient, hours: str) -> None:
    book_in(client)
    added = {"name": "Wax", "skill": "body", "minutes": hours, "after_stage_id": "0", "purpose": "", "panel": ""}
    answer = client.press("/jobs/1/plan/new", **added)
    assert answer.status_code == 422
    assert hours in answer.text


def test_a_warning_is_accepted_with_one_press(client: ShopClient) -> None:
    book_in(client)
    page = client.press_on("/jobs/1/damage/new", **DAMAGE)
    sentence = page.split('name="sentence" value="')[1].split('"')[0]
    code = page.split('name="code" value="')[1].split('"')[0]
    page = client.press_on("/jobs/1/accept", code=code, sentence=sentence)
    assert f'name="code" value="{code}"' not in page
    assert "1 accepted warning" in page


def test_what_if_shows_both_sides_and_keeps_the_one_chosen(client: ShopClient) -> None:
    book_in(client)
    client.press_on("/jobs/1/damage/new", **DAMAGE)
    assert re.search(r">Clear coat<.*?>[\d,]+ ml<", client.text("/jobs/1/what-if?clear_coats=3"), re.DOTALL)
    assert "mixed 4 : 1 : ½ instead of 4 : 1 : 1" in client.text("/jobs/1/what-if?is_surfacer_for_build=yes")
    assert "not" in client.text("/jobs/1/what-if?temperature=-400&has_lamp=&is_blended=")
    page = client.press_on("/jobs/1/what-if", temperature="59", has_lamp="", is_blended="", clear_coats="")
    assert "The plan is drafted for these conditions" in page
    assert re.search(r"As now: 59\s?°F", client.text("/jobs/1/what-if"))


def test_an_older_version_of_a_plan_is_read_as_it_stood(client: ShopClient) -> None:
    book_in(client)
    client.press_on("/jobs/1/damage/new", **DAMAGE)
    before = client.text("/jobs/1/versions/1")
    client.press_on("/jobs/1/what-if", temperature="59", has_lamp="", is_blended="", clear_coats="3")
    assert "/jobs/1/versions/1" in client.text("/jobs/1/versions")
    after = client.text("/jobs/1/versions/1")
    for page in (before, after):
        assert "Base and clear" in page
        assert "Clear coat: " in page
    assert before.split("<main")[1] == after.split("<main")[1]
    assert client.get("/jobs/1/versions/99").status_code == 404


def test_a_part_goes_from_wanted_to_here(client: ShopClient) -> None:
    book_in(client)
    part = {"name": "left lamp", "kind": "part", "source": "used", "supplier_id": "0", "quote_group_key": "car"}
    page = client.press_on("/jobs/1/parts/new", cost_minor="100", **part)
    assert "$125.00" in page
    assert "ordered" in client.press_on("/jobs/1/parts/1/order")
    assert ">here<" in client.press_on("/jobs/1/parts/1/came")
    assert "Send it back" in client.press_on("/jobs/1/parts/1/strike")


def test_a_picture_is_served_as_a_picture_to_those_who_may_see_the_job(client: ShopClient) -> None:
    book_in(client)
    page = client.press_on("/jobs/1/pictures", photo=photo("PNG"), caption="<b>door</b>", purpose="was_there")
    assert "&lt;b&gt;door&lt;/b&gt;" in page
    answer = client.get("/jobs/pictures/1")
    assert (answer.status_code, answer.mimetype) == (200, "image/jpeg")
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert answer.headers["Cache-Control"].startswith("private")
    with Image.open(io.BytesIO(client.get("/jobs/pictures/1/small").data)) as small:
        assert small.format == "JPEG"
    answer.close()
    assert client.app.test_client().get("/jobs/pictures/1").status_code == 302
    client.press_on("/jobs/1/pictures/1/strike")
    assert client.get("/jobs/pictures/1").status_code == 404


def test_a_file_that_is_no_picture_is_said_and_nothing_is_kept(client: ShopClient) -> None:
    book_in(client)
    page = client.press_on("/jobs/1/pictures", photo=(io.BytesIO(b"<svg onload=alert(1)>"), "x.png"))
    assert NO_IMAGE in page
    assert client.get("/jobs/pictures/1").status_code == 404


def test_the_floor_sees_a_job_and_adds_photos_but_changes_nothing(client: ShopClient) -> None:
    book_in(client)
    floor = ShopClient(client.app).signed_in_as("Dana")
    page = floor.text("/jobs/1")
    assert "Cancel job" not in page
    assert floor.press("/jobs/1/pictures", photo=photo()).status_code == 303
    for url in ("/jobs/1/damage/new", "/jobs/1/call-off", "/jobs/1/draft", "/jobs/kerb"):
        assert floor.press(url, why="price").status_code == 403


def test_a_job_is_called_off_found_under_all_and_taken_up_again(client: ShopClient) -> None:
    book_in(client)
    client.press_on("/jobs/1/call-off", why="no_answer")
    assert ": no answer." in client.text("/jobs/1")
    assert "/jobs/1" not in client.text("/jobs/")
    assert "canceled" in client.text("/jobs/?which=all")
    assert "The job is open again" in client.press_on("/jobs/1/take-up-again")


@pytest.mark.parametrize("url", ["/jobs/99", "/jobs/99/plan", "/jobs/1/damage/7", "/jobs/1/plan/7", "/jobs/pictures/3"])
def test_what_is_not_in_the_book_is_a_page(client: ShopClient, url: str) -> None:
    book_in(client)
    assert client.get(url).status_code == 404


def test_names_in_any_script_and_markup_stand_as_typed(client: ShopClient) -> None:
    page = client.press_on("/jobs/book-in", who="Łukasz <i>Żak</i> 李", **(BOOKED | {"wrong": "=1+1 <script>"}))
    assert "Łukasz &lt;i&gt;Żak&lt;/i&gt; 李" in page
    assert "=1+1 &lt;script&gt;" in page


def test_an_unknown_tab_or_mark_shows_the_open_jobs(client: ShopClient) -> None:
    book_in(client)
    assert "/jobs/1" in client.text("/jobs/?which=nonsense&after=x")


def test_a_car_that_left_comes_back_as_a_job_of_its_own(client: ShopClient) -> None:
    book_in(client)
    assert "has not left yet" in client.press("/jobs/1/comeback", wrong="Edge shows", drop_off_half="").text
    client.press_on("/jobs/1/ready")
    client.press_on("/money/jobs/1/hand-over")
    assert ">Came back</a>" in client.text("/jobs/1")
    page = client.press_on("/jobs/1/comeback", wrong="Edge shows", why="", drop_off_half="")
    assert "Comeback of</dt>" in page
    assert "Comebacks</dt>" in client.text("/jobs/1")


def test_a_whole_mix_is_changed_a_material_added_and_removed(client: ShopClient) -> None:
    book_in(client)
    client.press_on("/jobs/1/damage/new", **DAMAGE)
    page = client.text("/jobs/1/plan")
    keys = dict.fromkeys(re.findall(r"/jobs/1/plan/(\d+)", page))
    stage = next(key for key in keys if "clear_medium" in client.text(f"/jobs/1/plan/{key}"))
    url = f"/jobs/1/plan/{stage}"
    form = client.text(f"{url}/mixes/clear_medium")
    shown = {name: re.search(rf'name="{name}"[^>]*value="([^"]*)"', form)[1] for name in ("coats", "area")}
    version = re.search(r'name="version"[^>]*value="(\d+)"', form)[1]
    typed = shown | {"ratio": "2 : 1", "why": ""}
    page = client.press_on(f"{url}/mixes/clear_medium", **typed, version=version, total="600")
    assert "600 ml, 2 : 1" in page
    assert client.press(f"{url}/mixes/clear_medium", **typed, version=version, total="500").status_code == 409
    empty = client.press(f"{url}/mixes/clear_medium", **typed, version=str(int(version) + 1), total="0")
    assert refused_fields(empty.text) == ["total"]
    with client.app.app_context(), transaction(db.session()) as session:
        choice = str(make_material(session, "Glass cleaner", role="").id)
    page = client.press_on(f"{url}/materials/new", material_id=choice, mix="", amount="2", why="")
    use = re.findall(rf"{url}/materials/(\d+)/remove", page)[-1]
    page = client.press_on(f"{url}/materials/{use}/remove")
    assert f"{url}/materials/{use}/remove" not in page
