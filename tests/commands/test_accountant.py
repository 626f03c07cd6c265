"""`shopbook report accountant`: files and zip of chosen days; what it refuses is a sentence."""

from pathlib import Path
from zipfile import ZipFile

import pytest

from tests.commands.test_commands import Shell, begun, shell

__all__ = ["begun", "shell"]

NOVEMBER = ("report", "accountant", "2026-11-01", "2026-11-30")


def test_folder_and_zip_hold_the_same_files(begun: Shell, tmp_path: Path) -> None:
    folder, packed = tmp_path / "files", tmp_path / "all.zip"
    folder.mkdir()
    result = begun.run(*NOVEMBER, "--folder", str(folder), "--zip", str(packed))
    assert result.exit_code == 0, result.output
    with ZipFile(packed) as zipped:
        assert {name: zipped.read(name) for name in zipped.namelist()} == {
            path.name: path.read_bytes() for path in folder.iterdir()
        }
        assert zipped.read("person_costs.csv").splitlines()[1:] == [b"1,Noor,2026-01-01,31.00"]
    assert f"Written: {packed}" in result.output


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (NOVEMBER, "Choose where they go: --folder FOLDER for one CSV a table, or --zip FILE for all in one."),
        (("report", "accountant", "2026-11-30", "2026-11-01", "--zip", "x.zip"), "The last day is before the first."),
        (("report", "accountant", "soon", "2026-11-01", "--zip", "x.zip"), "Enter a day, for example 2026-11-05."),
        ((*NOVEMBER, "--folder", "no-such-folder"), "Create it first, or choose another one."),
        ((*NOVEMBER, "--zip", "no-such-folder/x.zip"), "Create it first, or choose another one."),
    ],
)
def test_what_cannot_be_done_is_said(
    begun: Shell, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...], said: str
) -> None:
    monkeypatch.chdir(tmp_path)
    assert said in begun.refused(*words)
    assert not (tmp_path / "x.zip").exists()
