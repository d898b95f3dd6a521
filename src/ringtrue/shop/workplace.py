"""Where this shop keeps its settings and its record book."""

from __future__ import annotations

import contextlib
import getpass
import os
import platform
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

import platformdirs

from ringtrue.compression import Gauge
from ringtrue.errors import CannotWrite, Fault, SettingsRefused
from ringtrue.intake import (
    Settings,
    parse_settings,
    practice_of,
    read_bytes,
    read_settings,
    usual_practice,
    with_setting,
)
from ringtrue.intake.fields import LARGEST_FILE
from ringtrue.intake.files import decode
from ringtrue.shop.gauge_on_day import GaugeOverTime, over_time

if TYPE_CHECKING:
    from ringtrue.diagnosis.causes import Practice
    from ringtrue.records import Book

BOOK_VARIABLE = "RINGTRUE_BOOK"
SETTINGS_VARIABLE = "RINGTRUE_SETTINGS"


@dataclass(frozen=True, slots=True)
class Workplace:
    """
    A shop on this machine.

    Parameters
    ----------
    settings : Settings
        What it has settled.
    settings_path : Path
        Where that stands.
    book : str
        File or address of its record book.
    """

    settings: Settings
    settings_path: Path
    book: str

    def open_book(self, *, create: bool = True) -> Book:
        """
        Open the record book.

        Parameters
        ----------
        create : bool
            Make it where there is none.

        Returns
        -------
        Book
            A context manager.

        Raises
        ------
        BookUnusable
            It cannot be used.
        """
        from ringtrue.records import Book

        return Book.open(self.book, create=create)

    def gauge(self, name: str) -> Gauge | None:
        """
        Find a gauge in the register.

        Parameters
        ----------
        name : str
            What the shop calls it; empty for none.

        Returns
        -------
        Gauge or None
            None for an empty name.

        Raises
        ------
        NotInBook
            There is no such gauge.
        BookUnusable
            The book cannot be used.
        """
        found = self.gauge_over_time(name)
        return None if found is None else found.now

    def gauge_over_time(self, name: str) -> GaugeOverTime | None:
        """
        Find a gauge in the register, with all that was said of it.

        Parameters
        ----------
        name : str
            What the shop calls it; empty for none.

        Returns
        -------
        GaugeOverTime or None
            None for an empty name.

        Raises
        ------
        NotInBook
            There is no such gauge.
        BookUnusable
            The book cannot be used.
        """
        if not name:
            return None
        with self.open_book() as book:
            return over_time(book, name)

    def rule_limits(self) -> tuple[tuple[str, float, str, bool], ...]:
        """
        List the thresholds of the general rules.

        Returns
        -------
        tuple of (str, float, str, bool)
            Rule, limit, its unit, and whether the shop has changed it.
        """
        from ringtrue.measure.limits import GENERAL, LEAKDOWN_SUSPECT, thresholds

        units = {"percent": "%", "fraction": "", "pressure": "Pa"}
        limits = thresholds(self.settings.limits)
        return tuple(
            (rule.key, limits[rule.key], units[rule.dimension], rule.key in self.settings.limits)
            for rule in (*GENERAL, LEAKDOWN_SUSPECT)
        )

    def practice(self) -> Practice:
        """
        Return what this shop takes for granted of causes and checks.

        Returns
        -------
        Practice
            Its own figures over the usual ones.
        """
        return practice_of(self.settings.practice)

    def practice_figures(self) -> tuple[tuple[str, str, float, bool], ...]:
        """
        List how often each cause is met and how long each check takes.

        Returns
        -------
        tuple of (str, str, float, bool)
            Table of the settings, key, share [-] or minutes [min], and whether the shop has changed it.
        """
        own = self.settings.practice
        return tuple(
            (table, key, own.get(table, {}).get(key, usual), key in own.get(table, {}))
            for table, figures in usual_practice().items()
            for key, usual in figures.items()
        )

    def set(self, key: str, value: str) -> None:
        """
        Change one setting.

        Parameters
        ----------
        key : str
            Table and field, for example ``shop.name``.
        value : str
            What it becomes; empty removes it.

        Raises
        ------
        SettingsRefused
            There is no such setting, or the value cannot be used.
        CannotWrite
            The file cannot be written.
        """
        self.set_all({key: value})

    def set_all(self, changes: Mapping[str, str]) -> Settings:
        """
        Change several settings, all or none.

        Parameters
        ----------
        changes : mapping of str to str
            What each becomes, by table and field; empty removes it.

        Returns
        -------
        Settings
            As they are from here on.

        Raises
        ------
        SettingsRefused
            One of them cannot be; all such are told at once, each in the place of its key.
        CannotWrite
            The file cannot be written.
        """
        path = self.settings_path
        raw = read_bytes(path, SettingsRefused, largest=LARGEST_FILE) if path.exists() else b""
        made, refused = decode(raw, SettingsRefused), list[Fault]()
        for key, value in changes.items():
            try:
                made = with_setting(made, key, value)
            except SettingsRefused as error:
                refused += [replace(fault, where=key) if len(changes) > 1 else fault for fault in error.faults]
        if refused:
            raise SettingsRefused(*refused)
        with contextlib.suppress(OSError):  # writing into it says why it cannot be
            path.parent.mkdir(parents=True, exist_ok=True)
        write_file(path, made.encode())
        return parse_settings(made)


def workplace(book: str | None = None) -> Workplace:
    """
    Find the shop's settings and its book.

    Parameters
    ----------
    book : str or None
        The book asked for; else the environment's, else the settings', else the usual place in the user's data folder.

    Returns
    -------
    Workplace
        Where things are.

    Raises
    ------
    SettingsRefused
        The settings cannot be used.
    """
    named = os.environ.get(SETTINGS_VARIABLE)
    path = Path(named) if named else platformdirs.user_config_path("ringtrue", appauthor=False) / "settings.toml"
    settings = read_settings(path)
    usual = platformdirs.user_data_path("ringtrue", appauthor=False) / "book.db"
    return Workplace(settings, path, book or os.environ.get(BOOK_VARIABLE, "") or settings.book or str(usual))


def this_device() -> str:
    """
    Name the machine that takes a reading.

    Returns
    -------
    str
        Its name on the network.
    """
    return platform.node() or "this machine"


def this_person(settings: Settings, said: str = "") -> str:
    """
    Name the person who takes a reading.

    Parameters
    ----------
    settings : Settings
        The shop's settings.
    said : str
        What he said; wins.

    Returns
    -------
    str
        A name, never empty.
    """
    if said or settings.builder:
        return said or settings.builder
    try:
        return getpass.getuser()
    except (OSError, KeyError, ImportError):
        return "unnamed"


def folder_is_there(path: Path) -> None:
    """
    Refuse a file whose folder is not there: most often its name is mistyped.

    Parameters
    ----------
    path : Path
        The file that is to be written.

    Raises
    ------
    CannotWrite
        There is no such folder.
    """
    try:
        there = path.parent.exists()
    except (OSError, ValueError):
        return  # writing into it says why it cannot be
    if not there:
        raise CannotWrite.of(f"“{path}”", f"there is no folder “{path.parent}”", "make it first, or name another")


def write_new_file(path: Path, data: bytes) -> None:
    """
    Write a file that somebody fills in or puts right, never in place of another.

    Parameters
    ----------
    path : Path
        Where, in a folder that is there.
    data : bytes
        What. A file that holds just that stays as it is.

    Raises
    ------
    CannotWrite
        Another file of that name is there, or it cannot be written there.
    """
    try:
        taken = path.is_dir() or (path.exists() and path.read_bytes() != data)
    except (OSError, ValueError):
        taken = False  # whatever is wrong with the name, writing tells it
    if taken:
        why = "there is one of that name already, and what was written into it would be gone"
        raise CannotWrite.of(f"“{path}”", why, "name another file with -o, or move that one away")
    write_file(path, data)


def write_file(path: Path, data: bytes) -> None:
    """
    Write a file whole, or leave the old one as it was.

    Parameters
    ----------
    path : Path
        Where, in a folder that is there.
    data : bytes
        What.

    Raises
    ------
    CannotWrite
        It cannot be written there.
    """
    folder_is_there(path)
    try:
        part = path.with_name(path.name + ".part")
        part.write_bytes(data)
        part.replace(path)
    except (OSError, ValueError) as error:
        why = f"it cannot be written ({getattr(error, 'strerror', None) or 'this names no file'})"
        raise CannotWrite.of(f"“{path}”", why, "name another file or folder, or make room") from None
