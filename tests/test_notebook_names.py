"""Names of engines that are nearly one are pointed out; those of two engines are not. Every engine is invented."""

from __future__ import annotations

import pytest

from ringtrue.shop.notebook_names import Name, likeness, nearly_one


# If this failed, a slip of one letter would be a second engine, or two boats of one yard would be asked about.
@pytest.mark.parametrize(
    ("one", "other", "alike"),
    [
        ("Ferry sx", "Ferry six", True), ("Ferry 6", "Ferry six", True), ("ferry-six", "Ferry Six", True),
        ("Harbour fery two", "Harbour ferry 2", True), ("Launch seven", "launch 7", True),
        ("Ferry six", "Ferry seven", False), ("Harbour ferry five", "Harbour ferry nine", False),
        ("Harbour fery five", "Harbour ferry nine", False), ("Harbour ferry", "Harbour ferry 6", False),
        ("Launch of the harbour", "Launch of the harbour two", False), ("Quarry pump", "Saw mill", False),
        ("0417", "0418", False),
    ],
)  # fmt: skip
def test_likeness(one: str, other: str, *, alike: bool) -> None:
    assert bool(likeness(one, other)) == alike
    assert bool(likeness(other, one)) == alike


# If this failed, the right name would be pointed at the slip, or one slip would be told twice.
def test_a_slip_is_pointed_at_the_name_it_should_be() -> None:
    slips = [Name("Fery sx", new=True, tests=1), Name("Ferry sx", new=True, tests=1)]
    used = Name("Ferry six", new=True, tests=9)
    assert set(nearly_one([*slips, used])) == {("Fery sx", "Ferry six"), ("Ferry sx", "Ferry six")}
    assert set(nearly_one([Name("Ferri six", new=False), *slips, used])) == {
        ("Ferry six", "Ferri six"),
        ("Ferry sx", "Ferri six"),
        ("Fery sx", "Ferri six"),
    }
    sheet = Name("Ferry six", new=True, sheet=True, tests=1)
    assert list(nearly_one([Name("Ferry sx", new=True, tests=5), sheet])) == [("Ferry sx", "Ferry six")]
    assert list(nearly_one([Name("Ferry six", new=False), Name("Ferry sx", new=False)])) == []
