"""Names in any script on paper: shaped, in the order they are read in, found again by a reader, never a box."""

import re
import subprocess
from dataclasses import replace
from pathlib import Path

import pytest
from reportlab.platypus import Paragraph

from shopbook.documents import faces
from shopbook.documents.faces import keep_made_fonts_in, list_missing, refuse_unprintable
from shopbook.documents.invoice import make_invoice_file
from shopbook.documents.page import MARGIN, ScriptLines, make_file, words
from shopbook.documents.quote import make_quote_file
from shopbook.documents.scripts import as_printed, runs_of, width_of, wrap
from shopbook.trade.errors import RuleBroken
from tests.documents.test_invoice import PAPER as INVOICE
from tests.documents.test_quote import PAPER as QUOTE

FROM_LEFT = (
    "Nguyễn Thị Hồng Đào",
    "प्रिया शर्मा क्षत्रिय",
    "สมชาย ใจดี",
    "田中 太郎",
    "サクラ自動車",
    "王小明 汽车",
    "김철수",
)
FROM_RIGHT = ("שרה לוי", "محمد الأمين")
pytestmark = pytest.mark.processes
ONLY_WITH_SCRIPTS = (*FROM_LEFT[1:], *FROM_RIGHT)


def read(body: bytes, folder: Path, *options: str) -> str:
    """The text of a PDF as poppler reads it, without the marks of direction that it puts around a run."""
    (folder / "paper.pdf").write_bytes(body)
    command = ["pdftotext", *options, str(folder / "paper.pdf"), "-"]
    said = subprocess.run(command, capture_output=True, encoding="utf-8", check=True).stdout
    return said.translate(dict.fromkeys((0x200E, 0x200F, 0x202A, 0x202B, 0x202C)))


def paper(*names: str) -> bytes:
    return make_file([words(name) for name in names], title="Quote 1", shop="Shop", paper_size="a4")


@pytest.mark.parametrize("name", ONLY_WITH_SCRIPTS)
def test_a_name_in_another_script_prints_with_the_extra_and_is_asked_about_without(name: str) -> None:
    assert list_missing(name) == []
    assert list_missing(name, with_scripts=False) == list(dict.fromkeys(name.replace(" ", "")))


@pytest.mark.parametrize("name", FROM_LEFT)
def test_a_name_that_is_read_from_the_left_is_read_back_as_it_was_typed(name: str, tmp_path: Path) -> None:
    assert name in read(paper(name), tmp_path)


def places(body: bytes, folder: Path) -> dict[str, tuple[float, float]]:
    """Where each word stands, from and to in points from the left."""
    rows = re.findall(r'xMin="([\d.]+)".*xMax="([\d.]+)".*>(.*)</word>', read(body, folder, "-bbox"))
    return {word: (float(left), float(right)) for left, right, word in rows}


@pytest.mark.parametrize("name", FROM_RIGHT)
def test_a_name_that_is_read_from_the_right_has_its_first_word_at_its_right_and_stands_where_names_stand(
    name: str, tmp_path: Path
) -> None:
    found, (first, last) = places(paper(name), tmp_path), name.split()
    assert found[last][1] < found[first][0]
    assert found[last][0] == pytest.approx(MARGIN, abs=4)  # a joined letter begins a little within its own width


def test_several_lines_that_read_from_the_right_stand_at_the_right_of_their_column(tmp_path: Path) -> None:
    found = places(paper("שרה לוי " * 30 + "סוף"), tmp_path)
    assert max(right for _, right in found.values()) == pytest.approx(595.28 - MARGIN, abs=0.1)
    assert found["סוף"][0] > MARGIN + 20


def test_arabic_letters_are_joined_and_not_set_one_by_one() -> None:
    """Two meems are one that joins on and one that ends, and neither is the one that stands alone."""
    (two,), (alone,) = runs_of("مم"), runs_of("م")
    last, first = two.drawn(14, False)
    assert len({first, last, alone.drawn(14, False)}) == 3


def test_a_devanagari_cluster_is_one_glyph_and_a_reordered_vowel_stands_before_its_consonant() -> None:
    """KA, virama, SSA make one KSSA; the vowel sign I is written before the consonant that it follows in speech."""
    (cluster,) = runs_of("क्ष")
    assert len(cluster.drawn(14, False)) == 1
    (syllable,) = runs_of("प्रि")
    placed = syllable.drawn(14, False)
    assert placed[0] == "ि" or len(placed) < len("प्रि")


def test_numbers_and_brackets_keep_their_order_within_a_line_from_the_right() -> None:
    """UAX 9: the name from the right, 123 from the left at the end of it, the brackets mirrored around their words."""
    drawn = [run.drawn(14, False) if not run.face.is_shaped else run.text for run in runs_of("שרה לוי (בעמ) 123")]
    assert drawn == ["123", " (", "בעמ", ") ", "לוי", " ", "שרה"]


def test_a_line_from_the_left_keeps_its_words_around_a_name_from_the_right() -> None:
    assert [run.text for run in runs_of("To: محمد and 50 %")] == ["To: ", "محمد", " and 50 %"]


def test_bold_is_wider_than_regular_in_each_script_that_is_made_from_a_variable_font() -> None:
    for name in ("Okafor", *FROM_RIGHT, "สมชาย", "प्रिया"):
        assert width_of(name, 14, is_bold=True) > width_of(name, 14), name


def test_a_name_too_wide_for_its_line_is_broken_and_none_of_it_is_lost() -> None:
    for name in ("สมชายใจดีมากที่สุดในโลก" * 8, "自動車修理工場" * 12, "محمد الأمين " * 20):
        lines = wrap(name, 150, 9.5)
        assert len(lines) > 2
        assert all(width_of(line, 9.5) <= 150 for line in lines)
        assert "".join("".join(lines).split()) == "".join(name.split())


def test_a_narrow_space_that_groups_figures_is_printed_as_a_space_and_never_lost(tmp_path: Path) -> None:
    assert "1 234,50" in read(paper("1\u202f234,50"), tmp_path).replace("\u00a0", " ")
    assert "سم 1 234" in as_printed("سم 1\u202f234").replace("\u00a0", " ")


def test_plain_names_stay_the_paragraphs_they_were() -> None:
    assert isinstance(words("Ελένη Đorđe"), Paragraph)
    assert isinstance(words("שרה"), ScriptLines)


def test_quote_and_invoice_print_a_shop_and_a_customer_in_other_scripts(tmp_path: Path) -> None:
    head = {"shop": "サクラ自動車", "to": "王小明", "to_lines": ("สมชาย 12/3",)}
    for body in (
        make_quote_file(replace(QUOTE, head=replace(QUOTE.head, **head))),
        make_invoice_file(replace(INVOICE, head=replace(INVOICE.head, **head))),
    ):
        said = read(body, tmp_path)
        assert said.count("サクラ自動車") >= 2
        assert "王小明" in said
        assert "สมชาย 12/3" in said
        assert "·" not in said.split("王小明")[1].split("12/3")[0]


def test_the_same_names_give_the_same_bytes() -> None:
    assert paper(*FROM_LEFT, *FROM_RIGHT) == paper(*FROM_LEFT, *FROM_RIGHT)


def test_what_cannot_be_printed_is_named_with_what_to_do() -> None:
    with pytest.raises(RuleBroken) as refused:
        refuse_unprintable("Ines", "ᚠᚢᚦ", field="printed_name", what="the name")
    assert refused.value.field == "printed_name"
    assert refused.value.sentence.startswith("Enter the name in other letters: this paper cannot print ᚠᚢᚦ.")


def test_a_made_font_is_kept_whole_with_its_licence_and_is_the_same_each_time(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(faces, "_made_in", [])
    keep_made_fonts_in(tmp_path / "fonts")
    path = Path(str(faces._font_file(faces.THAI, faces.REGULAR)))
    assert path.parent == tmp_path / "fonts"
    assert "SIL OPEN FONT LICENSE" in (path.parent / "Paper-Thai-licence.txt").read_text(encoding="utf-8")
    first, second = path.read_bytes(), faces._make(faces.THAI, faces.REGULAR)
    assert first == second
    assert [each.name for each in path.parent.iterdir() if each.suffix not in {".ttf", ".txt"}] == []


def test_a_folder_that_takes_no_file_costs_nobody_a_paper(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "fonts").write_text("a file where the folder should be", encoding="utf-8")
    monkeypatch.setattr(faces, "_made_in", [tmp_path / "fonts"])
    assert not isinstance(faces._font_file(faces.THAI, faces.BOLD), str)
