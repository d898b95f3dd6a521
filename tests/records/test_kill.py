"""Killed at any moment: nothing acknowledged is lost, nothing is there twice."""

from __future__ import annotations

import logging
import random
import time

from tests.records.appender import append_for_ever, heard, start
from tests.records.making import WHO, header, key

from ringtrue.records import Book

LOG = logging.getLogger(__name__)
ROUNDS_A_TEST = 25


# If this failed, a builder whose machine goes off in mid-test would have to pull cylinders again that he was told are
# saved, or would find a cylinder in the book twice.
def test_kill_in_mid_write(book: Book, where: str, soaking: bool) -> None:
    chance = random.Random(11)
    acknowledged = unheard = 0
    for _ in range(40 if soaking else 1):
        test_id = book.start(header(), sheet_text=None, key=key(), **WHO)
        last = 0
        for _ in range(ROUNDS_A_TEST):
            process, listen = start(append_for_ever, where, test_id, last + 1)
            last = listen.recv()
            time.sleep(chance.uniform(0, 0.02))
            process.kill()
            process.join()
            last = max([last, *heard(listen)])
            listen.close()
            with Book.open(where, create=False) as after:
                keys = [entry.key for entry in after.test(test_id).entries[1:]]
            assert keys == [f"{test_id} reading {number}" for number in range(1, len(keys) + 1)]
            assert len(keys) - last in {0, 1}  # the last may be in the book without anybody having heard of it
            unheard += len(keys) - last
        acknowledged += last
    assert book.verify() == ()
    LOG.info("%d acknowledged, %d in the book and unheard of, 0 lost, 0 doubled", acknowledged, unheard)
