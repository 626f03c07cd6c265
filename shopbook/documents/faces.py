"""The type of every paper: which face holds a letter, its static fonts made at first use, and which letters none has.

Latin, Greek, Cyrillic and Vietnamese are always there. Hebrew, Arabic, Devanagari, Thai, Chinese, Japanese and Korean
come with the extra `shopbook[scripts]`. Fonts come from packages under the SIL Open Font License; none is in our own.
"""

import tempfile
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass
from functools import cache
from importlib.metadata import PackageNotFoundError, distribution
from importlib.resources import as_file, files
from importlib.util import find_spec
from io import BytesIO
from pathlib import Path
from threading import Lock
from unicodedata import normalize

from reportlab.pdfbase.pdfmetrics import registerFont, registerFontFamily
from reportlab.pdfbase.ttfonts import TTFont

from shopbook.trade.errors import RuleBroken

REGULAR, BOLD = 400, 700
_FORM = 2
"""Counts up when made fonts are cut in another way, so that those of before are made anew."""
MOST_NAMED = 12
"""How many letters that cannot be printed are named."""
_SHAPERS = ("uharfbuzz", "bidi")


@dataclass(frozen=True, slots=True)
class Face:
    """One face: its package and files by weight, the code points it is used for, and whether HarfBuzz shapes it.

    A single file is a variable font, from which one font is made for each weight.
    """

    name: str
    package: str
    from_package: str
    regular: str
    bold: str
    spans: tuple[tuple[int, int], ...]
    is_shaped: bool = False

    @property
    def is_variable(self) -> bool:
        return self.regular == self.bold

    def covers(self, letter: str) -> bool:
        """Whether a letter is one that this face is for."""
        return any(first <= ord(letter) <= last for first, last in self.spans)

    def font(self, is_bold: bool) -> str:
        """What the face is registered as."""
        return f"{self.name}-Bold" if is_bold else self.name


def _noto(script: str, *spans: tuple[int, int]) -> Face:
    package, file = f"fontpkg_noto_sans_{script.lower()}", f"files/NotoSans{script}[wdth,wght].ttf"
    return Face(f"Paper-{script}", package, package.replace("_", "-"), file, file, spans, is_shaped=True)


def _han(name: str) -> Face:
    folder = f"static/weblate_fonts/kurinto/ttf/KurintoSans{name}"
    spans = (
        (0x1100, 0x11FF),
        (0x2E80, 0x9FFF),
        (0xAC00, 0xD7AF),
        (0xF900, 0xFAFF),
        (0xFF00, 0xFFEF),
        (0x20000, 0x2FA1F),
    )
    return Face(f"Paper-{name}", "weblate_fonts", "weblate-fonts", f"{folder}-Rg.ttf", f"{folder}-Bd.ttf", spans)


_LATIN = "files/NotoSans[wdth,wght].ttf"
PAPER = Face(
    "Paper", "fontpkg_noto_sans", "fontpkg-noto-sans", _LATIN, _LATIN,
    ((0x20, 0x58F), (0x1AB0, 0x1AFF), (0x1C80, 0x1C8F), (0x1D00, 0x2BFF), (0xA640, 0xA7FF), (0xFB00, 0xFB06)),
)  # fmt: skip
HEBREW = Face(
    "Paper-Hebrew", "pylopdf_fonts_he", "pylopdf-fonts-he", "NotoSansHebrew-Variable.ttf",
    "NotoSansHebrew-Variable.ttf", ((0x590, 0x5FF), (0xFB1D, 0xFB4F)), is_shaped=True,
)  # fmt: skip
ARABIC = _noto("Arabic", (0x600, 0x6FF), (0x750, 0x77F), (0x8A0, 0x8FF), (0xFB50, 0xFDFF), (0xFE70, 0xFEFF))
DEVANAGARI = _noto("Devanagari", (0x900, 0x97F), (0xA8E0, 0xA8FF))
THAI = _noto("Thai", (0xE00, 0xE7F))
CHINESE, TRADITIONAL, JAPANESE, KOREAN = _han("SC"), _han("TC"), _han("JP"), _han("KR")
SCRIPTS = (HEBREW, ARABIC, DEVANAGARI, THAI)
"""Each is for a writing of its own; the four faces for Han are chosen by the text they stand in."""

# Two papers at once must not write one font file, nor register it half made.
_lock = Lock()
_made_in: list[Path] = []


def keep_made_fonts_in(folder: Path) -> None:
    """Where fonts made at first use are kept for the next start; without it each process makes its own."""
    _made_in[:] = [folder]


def faces_for(text: str, *, with_scripts: bool | None = None) -> tuple[Face, ...]:
    """The faces that are there for a text, in the order in which they are asked for a letter.

    `with_scripts` stands in for whether the extra is installed.
    """
    has_scripts = is_installed() if with_scripts is None else with_scripts
    if not has_scripts or all(PAPER.covers(letter) for letter in text):
        return (PAPER,)
    first = _han_for(text)
    return (PAPER, *SCRIPTS, first, *(face for face in (TRADITIONAL, JAPANESE, KOREAN) if face is not first))


def _han_for(text: str) -> Face:
    """Han is drawn as the text's other letters say: with hangul Korean, with kana Japanese, else Chinese."""
    if any("\uac00" <= letter <= "\ud7af" for letter in text):
        return KOREAN
    return JAPANESE if any("\u3040" <= letter <= "\u30ff" for letter in text) else CHINESE


@cache
def is_installed() -> bool:
    """Whether the extra for other scripts is there, whole."""
    wanted = {*_SHAPERS, *(face.package for face in (*SCRIPTS, CHINESE))}
    return all(find_spec(package) is not None for package in wanted)


def face_of(letter: str, faces: Iterable[Face]) -> Face | None:
    """The first of some faces that is for a letter and holds it; None where none does."""
    return next((face for face in faces if face.covers(letter) and ord(letter) in held_by(face)), None)


def list_missing(*texts: str, with_scripts: bool | None = None) -> list[str]:
    """The letters of these texts that no face holds, each once, in order; what shows nothing is not missed."""
    held, found = held_by(PAPER), dict.fromkeys("")
    for text in (normalize("NFC", each) for each in texts):
        odd = [letter for letter in dict.fromkeys(text) if ord(letter) not in held and shows(letter)]
        faces = faces_for(text, with_scripts=with_scripts) if odd else ()
        found |= dict.fromkeys(letter for letter in odd if face_of(letter, faces) is None)
    return list(found)


def refuse_unprintable(*texts: str, field: str | None = None, what: str = "this") -> None:
    """RuleBroken (field) where no face of this program holds a letter of these texts, with the letters named.

    `what` is what is to be typed anew: "the name".
    """
    missing = "".join(list_missing(*texts))[:MOST_NAMED]
    if missing:
        raise RuleBroken(
            f"Enter {what} in other letters: this paper cannot print {missing}. "
            "Installing the extra “scripts” adds them.",
            field,
        )


def shows(letter: str) -> bool:
    """Whether a letter is seen at all: a space, a joiner or a mark of direction is not."""
    return letter.isprintable() and not letter.isspace()


def held_by(face: Face) -> dict[int, int]:
    """The code points that a face holds; it is registered for papers, regular and bold, when first asked for."""
    with _lock:
        return _register(face)


@cache
def _register(face: Face) -> dict[int, int]:
    regular = TTFont(face.font(False), _font_file(face, REGULAR), shapable=face.is_shaped)
    registerFont(regular)
    registerFont(TTFont(face.font(True), _font_file(face, BOLD), shapable=face.is_shaped))
    normal, bold = face.font(False), face.font(True)
    registerFontFamily(normal, normal=normal, bold=bold, italic=normal, boldItalic=bold)
    held: dict[int, int] = regular.face.charToGlyph
    return held


def _font_file(face: Face, weight: int) -> str | BytesIO:
    if not face.is_variable:
        with as_file(files(face.package) / (face.bold if weight == BOLD else face.regular)) as path:
            return str(path)
    name = f"{face.name}-{weight}-{distribution(face.from_package).version}-{_FORM}.ttf"
    kept = _made_in[0] / name if _made_in else None
    if kept is not None and kept.is_file():
        return str(kept)
    body = _make(face, weight)
    if kept is not None:
        # A full or read-only disk costs the next start a second, and nobody a paper.
        with suppress(OSError):
            _keep(kept, body, face)
            return str(kept)
    return BytesIO(body)


def _make(face: Face, weight: int) -> bytes:
    """One weight of a variable font, cut down to the letters it is for; the same package gives the same bytes."""
    # Half a second to import, and needed once in the life of a data folder.
    from fontTools.subset import Options, Subsetter  # type: ignore[import-untyped]
    from fontTools.ttLib import TTFont as Tables  # type: ignore[import-untyped]
    from fontTools.varLib.instancer import instantiateVariableFont  # type: ignore[import-untyped]

    options = Options(hinting=False, notdef_outline=True, layout_features=["*"] if face.is_shaped else [])
    with as_file(files(face.package) / face.regular) as path, Tables(path, recalcTimestamp=False) as font:
        if not face.is_shaped:
            for tag in {"GSUB", "GPOS", "GDEF"} & set(font.keys()):
                del font[tag]
        subsetter = Subsetter(options)
        subsetter.populate(unicodes=[code for code in font.getBestCmap() if face.covers(chr(code))])
        subsetter.subset(font)
        axes = {"wght": weight, "wdth": 100}
        instantiateVariableFont(font, {each.axisTag: axes[each.axisTag] for each in font["fvar"].axes}, inplace=True)
        # Two fonts of one name in a file would be taken for one, and nothing would be bold.
        for record in [each for each in font["name"].names if each.nameID in {1, 4, 6}]:
            font["name"].setName(f"{face.name}-{weight}", record.nameID, 3, 1, 0x409)
        out = BytesIO()
        font.save(out)
    return out.getvalue()


def _keep(path: Path, body: bytes, face: Face) -> None:
    """The font and its licence beside it; a file of the final name is always whole."""
    path.parent.mkdir(parents=True, exist_ok=True)
    licence = path.with_name(f"{face.name}-licence.txt")
    with suppress(PackageNotFoundError):
        text = distribution(face.from_package).read_text("licenses/LICENSE") or "SIL Open Font License 1.1"
        licence.write_text(text, encoding="utf-8")
    with tempfile.NamedTemporaryFile(dir=path.parent, delete=False) as part:
        whole = Path(part.name)
    try:
        whole.write_bytes(body)
        whole.replace(path)
    finally:
        whole.unlink(missing_ok=True)
