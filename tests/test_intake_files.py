"""Files from the disk: named in every message, refused when they are no such file, too large, or no text."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from ringtrue.errors import GaugeRefused, InputRefused, ReadingsRefused, SettingsRefused, SheetRefused
from ringtrue.intake import read_day, read_readings, read_settings, read_sheet
from ringtrue.intake.files import read_bytes

SMALL = '[engine]\nname = "x"\nlayout = "inline"\ncylinders = ["1", "2"]\n'
READERS: list[tuple[Callable[[Path], object], type[InputRefused]]] = [
    (read_sheet, SheetRefused),
    (read_day, GaugeRefused),
    (read_settings, SettingsRefused),
    (read_readings, ReadingsRefused),
]


# If this failed, the message would not say which of several files it is about.
@pytest.mark.parametrize(
    ("raw", "told"),
    [
        (b"[engine", "sheet.toml, at its end: It is not written as TOML"),
        (SMALL.encode() + b"cycle = 3", "sheet.toml, [engine] cycle: 3: An engine here has 2 or 4 strokes a cycle."),
        (b'name = "\xe9"', "sheet.toml: It is not text in UTF-8. Save it as text in UTF-8."),
        (b"\x00\x01", "sheet.toml: It holds bytes that no text has. Check that it is the right file."),
        (b"#" * 1_000_001, "sheet.toml” with 1.0 MB: Such a file has 1 MB at most. Check that it is the right file."),
    ],
)
def test_the_file_is_named(raw: bytes, told: str, tmp_path: Path) -> None:
    path = tmp_path / "sheet.toml"
    path.write_bytes(raw)
    with pytest.raises(SheetRefused) as refusal:
        read_sheet(path)
    assert told in str(refusal.value)
    assert str(refusal.value).count("sheet.toml") == 1


# If this failed, a slip in a file's name would be a traceback.
@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("no such.toml", "no such.toml”: There is no such file. Check the name and the folder."),
        ("", "That is a folder. Name a file in it."),
        ("a\0b.toml", "That is no file name. Check the name."),
        ("x" * 300, "It cannot be read (File name too long). Check its name and who may read it."),
    ],
)
def test_files_that_are_not_there(name: str, told: str, tmp_path: Path) -> None:
    with pytest.raises(SheetRefused) as refusal:
        read_sheet(tmp_path / name)
    assert str(refusal.value).endswith(told)


# If this failed, one of the four kinds of file would end in a traceback where the others say what is wrong.
@pytest.mark.parametrize(("reader", "refused"), READERS, ids=lambda value: getattr(value, "__name__", ""))
@pytest.mark.parametrize("name", ["folder", "x" * 300, "a\0b"])
def test_every_reader_refuses_in_its_own_name(
    reader: Callable[[Path], object], refused: type[InputRefused], name: str, tmp_path: Path
) -> None:
    (tmp_path / "folder").mkdir()
    with pytest.raises(refused, match=r"folder|file name|File name too long"):
        reader(tmp_path / name)


# If this failed, settings that were never made would be an error.
def test_settings_that_are_not_there_settle_nothing(tmp_path: Path) -> None:
    assert read_settings(tmp_path / "none.toml") == read_settings(tmp_path / "no such folder" / "none.toml")
    assert read_settings(tmp_path / "none.toml").shop == ""


# If this failed, a file that is no file at its end, or grows while it is read, would fill the memory.
def test_no_more_is_read_than_allowed(tmp_path: Path) -> None:
    path = tmp_path / "some.toml"
    path.write_bytes(b"x" * 100)
    assert len(read_bytes(path, SheetRefused, largest=100)) == 100
    with pytest.raises(SheetRefused, match="Such a file has"):
        read_bytes(path, SheetRefused, largest=99)
    endless = Path("/dev/zero")
    if endless.exists():
        with pytest.raises(SheetRefused, match=r"Such a file has 0\.001 MB at most"):
            read_bytes(endless, SheetRefused, largest=1000)


# If this failed, 100 MB of noise or a file of a gigabyte would be read before it is refused. The file has a hole in it,
# so it takes no room.
def test_a_giant_is_refused_by_its_size(tmp_path: Path) -> None:
    path = tmp_path / "giant.csv"
    with path.open("wb") as stream:
        stream.truncate(1_000_000_000)
    with pytest.raises(ReadingsRefused, match=r"giant\.csv” with 1000\.0 MB: Such a file has 10 MB at most"):
        read_readings(path)
