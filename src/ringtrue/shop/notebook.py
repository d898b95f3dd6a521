"""Bringing in the past: a notebook's tests, laid beside the book, and all of them brought in or none."""

from __future__ import annotations

import datetime as dt
import hashlib
import shlex
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from ringtrue.compression import Pull
from ringtrue.engine import BuildSheet
from ringtrue.errors import Fault, InputRefused, ReadingsRefused
from ringtrue.intake import parse_sheet, read_bytes
from ringtrue.intake.fields import LARGEST_FILE
from ringtrue.intake.files import decode, named
from ringtrue.intake.notebook import read_notebook
from ringtrue.intake.notebook_facts import NotebookTest
from ringtrue.intake.notebook_map import NotebookMap, for_the_next, pattern_of, read_map, write_map
from ringtrue.intake.notebook_proposal import header_of, propose
from ringtrue.intake.worksheets import LARGEST_NOTEBOOK, Worksheet, worksheets_in
from ringtrue.records import BroughtIn, Whole
from ringtrue.shop.in_order import today as this_day
from ringtrue.shop.notebook_beside import Beside, EngineMet
from ringtrue.shop.workplace import Workplace, write_file

if TYPE_CHECKING:
    from ringtrue.records import Book


@dataclass(frozen=True, slots=True)
class Looked:
    """
    A notebook, looked at. Nothing is written.

    Parameters
    ----------
    file : str
        The file's name.
    sha256 : str
        Of its bytes.
    map : NotebookMap
        How it was read.
    whence : str
        Where the mapping comes from: "proposed", "remembered", or what `NotebookWords` says.
    told : tuple of str
        What speaks for a proposal, and what it leaves open.
    pattern : str
        Under which the mapping is remembered.
    tests : tuple of NotebookTest
        Every test of the file, in its order.
    coming : tuple of Whole
        Those that would come in, earliest first.
    engines : tuple of EngineMet
        The engines they are of.
    left_out : tuple of str
        Tests that are in the book, or in the file, already.
    faults : tuple of Fault
        What has to be put right before anything is brought in.
    warnings : tuple of str
        What the person should know.
    """

    file: str
    sha256: str
    map: NotebookMap
    whence: str
    told: tuple[str, ...]
    pattern: str
    tests: tuple[NotebookTest, ...]
    coming: tuple[Whole, ...]
    engines: tuple[EngineMet, ...]
    left_out: tuple[str, ...]
    faults: tuple[Fault, ...]
    warnings: tuple[str, ...]

    @property
    def readings(self) -> int:
        """How many readings would come in: those with a figure."""
        return sum(map(_figures, self.coming))

    def proposal(self) -> str:
        """Return the mapping as the text of a file."""
        return write_map(self.map, self.told)


@dataclass(frozen=True, slots=True)
class NotebookWords:
    """
    A notebook, and what the person says with it.

    Parameters
    ----------
    file : str
        The file's name, which ends as CSV or XLSX do.
    raw : bytes
        What stands in it.
    map : str
        The mapping, as the text of its file.
    map_from : str
        Where that mapping stands; empty for the remembered one, else a proposal.
    sheets : Path or None
        A folder of build sheets, for engines that the book has no sheet of.
    encoding : str
        Text encoding of a CSV file; empty for UTF-8.
    look_first : str
        What to do where nobody has seen yet how the columns are understood.
    """

    file: str
    raw: bytes
    map: str = ""
    map_from: str = ""
    sheets: Path | None = None
    encoding: str = ""
    look_first: str = ""


def notebook_words(
    file: Path,
    map_file: Path | None = None,
    sheets: Path | None = None,
    encoding: str = "",
) -> NotebookWords:
    """
    Read a notebook's file, and that of its mapping.

    Parameters
    ----------
    file : Path
        CSV or XLSX.
    map_file, sheets : Path or None
        The file of the mapping, and the folder of build sheets.
    encoding : str
        Text encoding of a CSV file; empty for UTF-8.

    Returns
    -------
    NotebookWords
        For `look` and `bring_in`.

    Raises
    ------
    ReadingsRefused
        One of the files cannot be read, or is too large.
    """
    raw = read_bytes(file, ReadingsRefused, largest=LARGEST_NOTEBOOK)
    text = ""
    if map_file is not None:
        written = read_bytes(map_file, ReadingsRefused, largest=LARGEST_FILE)
        with named(map_file.name, ReadingsRefused):
            text = decode(written, ReadingsRefused)
    look_at = f"ringtrue notebook look {shlex.quote(str(file))} -o map.toml"
    first = f"look first: {look_at}; then bring it in with --map map.toml"
    return NotebookWords(file.name, raw, text, str(map_file or ""), sheets, encoding, first)


def look(book: Book, place: Workplace, words: NotebookWords, *, today: dt.date | None = None) -> Looked:
    """
    Look at a notebook: read it by its mapping, lay it beside the book, write nothing.

    Parameters
    ----------
    book : Book
        The record book.
    place : Workplace
        The shop, which remembers mappings.
    words : NotebookWords
        The file and what is said with it.
    today : date or None
        The day; None for the clock's.

    Returns
    -------
    Looked
        What would come in, and every fault.

    Raises
    ------
    ReadingsRefused
        The file or the mapping cannot be read at all.
    InputRefused
        A build sheet of the folder cannot be used.
    BookUnusable
        The book cannot be used.
    """
    worksheets = worksheets_in(words.file, words.raw, words.encoding)
    pattern = pattern_of(_headings(worksheets))
    how, whence, told = _mapping(place, words, worksheets, pattern)
    found = read_notebook(worksheets, how, today=today)
    sha256 = hashlib.sha256(words.raw).hexdigest()
    beside = Beside(book, how, _sheets_in(words.sheets), today or this_day())
    beside.lay(found.tests, BroughtIn(words.file, sha256, ""))
    return Looked(
        words.file,
        sha256,
        how,
        whence,
        told,
        pattern,
        found.tests,
        tuple(sorted(beside.coming, key=lambda each: each.header.date)),
        tuple(beside.engines()),
        tuple(beside.left_out),
        (*found.faults, *beside.faults),
        (*found.warnings, *beside.warnings),
    )


def _headings(worksheets: Sequence[Worksheet]) -> list[str]:
    headers = [header_of(sheet) for sheet in worksheets]
    return [each.key for header in headers if header is not None for each in header.headings]


def _mapping(
    place: Workplace, words: NotebookWords, worksheets: Sequence[Worksheet], pattern: str
) -> tuple[NotebookMap, str, tuple[str, ...]]:
    if words.map_from:
        try:
            return read_map(words.map), words.map_from, ()
        except ReadingsRefused as error:
            raise error.at(Path(words.map_from).name) from None
    remembered = _remembered(place, pattern)
    if remembered.exists():
        raw = read_bytes(remembered, ReadingsRefused, largest=LARGEST_FILE)
        try:
            return read_map(decode(raw, ReadingsRefused)), "remembered", ()
        except ReadingsRefused as error:
            raise error.at(str(remembered)) from None
    made = propose(worksheets)
    return made.map, "proposed", made.told


def _remembered(place: Workplace, pattern: str) -> Path:
    return place.settings_path.parent / "notebooks" / f"{pattern}.toml"


def _sheets_in(folder: Path | None) -> dict[str, tuple[str, BuildSheet]]:
    if folder is None:
        return {}
    if not folder.is_dir():
        raise InputRefused.of(f"--sheets {folder}", "there is no such folder", "name the folder with the build sheets")
    found: dict[str, tuple[str, BuildSheet]] = {}
    for path in sorted(folder.glob("*.toml")):
        text = decode(read_bytes(path, InputRefused, largest=LARGEST_FILE), InputRefused)
        try:
            sheet = parse_sheet(text)
        except InputRefused as error:
            raise error.at(path.name) from None
        for name in {sheet.key.casefold(), sheet.name.casefold()}:
            if name in found and found[name][0] != text:
                raise InputRefused.of(
                    path.name, f"two build sheets in the folder are of {sheet.name}", "keep one there"
                )
            found[name] = text, sheet
    return found


@dataclass(frozen=True, slots=True)
class Brought:
    """
    What came in.

    Parameters
    ----------
    tests, readings, engines : int
        How many tests and readings with a figure, and how many engines are new to the book.
    looked : Looked
        What it was made of.
    """

    tests: int
    readings: int
    engines: int
    looked: Looked


def bring_in(book: Book, place: Workplace, words: NotebookWords, *, who: str, device: str) -> Brought:
    """
    Bring a notebook into the book: all of it that is not there yet, in one transaction, or nothing.

    Parameters
    ----------
    book : Book
        The record book.
    place : Workplace
        The shop; it remembers the mapping for the next file with these headings.
    words : NotebookWords
        The file and what is said with it.
    who, device : str
        Who brings it in, and on which machine.

    Returns
    -------
    Brought
        What came in. The same file a second time brings nothing.

    Raises
    ------
    ReadingsRefused
        There is a fault, told with all others; or nobody has seen the mapping yet. Nothing was written.
    InputRefused
        A build sheet of the folder cannot be used. Nothing was written.
    BookUnusable
        The book cannot be used; nothing was written.
    """
    found = look(book, place, words)
    if found.faults:
        faults = list(found.faults)
        if found.whence == "remembered":
            faults.append(Fault("", "it was read as the last file with these headings", words.look_first))
        raise ReadingsRefused(*(fault.at(words.file) for fault in faults))
    if found.whence == "proposed":
        raise ReadingsRefused.of(
            "",
            "nobody has seen yet how its columns are understood",
            words.look_first,
            words.file,
        )
    made = book.enter_all(found.coming, who=who, device=device)
    remember(place, found)
    fresh = [whole for whole, (_, new) in zip(found.coming, made, strict=True) if new]
    engines = {whole.header.engine for whole in fresh} & {each.key for each in found.engines if each.new}
    return Brought(len(fresh), sum(map(_figures, fresh)), len(engines), found)


def _figures(whole: Whole) -> int:
    """Count the readings of a test that have a figure."""
    return sum(
        (row.first or row.final) is not None if isinstance(row, Pull) else row.held is not None for row in whole.rows
    )


def remember(place: Workplace, found: Looked) -> None:
    """
    Keep a mapping for the next file with these headings, without what holds for this one alone.

    Parameters
    ----------
    place : Workplace
        The shop.
    found : Looked
        A notebook that was read by it.
    """
    path = _remembered(place, found.pattern)
    path.parent.mkdir(parents=True, exist_ok=True)
    write_file(path, write_map(for_the_next(found.map), (f"remembered when {found.file} was brought in",)).encode())
