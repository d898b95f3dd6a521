"""
A program that writes readings and says on its standard output which were acknowledged, to be run under strace.

    python -m tests.records.under_strace BOOK TEST READINGS SYNCHRONOUS
"""

from __future__ import annotations

import sys
from pathlib import Path

from tests.records.making import WHO, pull

from ringtrue.errors import BookUnusable
from ringtrue.records import Book, _sqlite

_TRIES = 3


def main(where: str, test_id: str, readings: int, synchronous: int) -> None:
    """Write the readings, each tried three times under the same key."""
    _sqlite.WANTED["synchronous"] = synchronous
    with Book.open(Path(where), create=False) as book:
        for number in range(1, readings + 1):
            for _ in range(_TRIES):
                try:
                    book.add(test_id, pull("1", 100 + number), key=f"reading {number}", **WHO)
                except BookUnusable as error:
                    sys.stdout.write(f"refused {number} {type(error).__name__}\n")
                else:
                    sys.stdout.write(f"saved {number}\n")
                    sys.stdout.flush()
                    break


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2], int(sys.argv[3]), int(sys.argv[4]))
