"""Two phones at one engine: what they enter, in whatever order, against a model of what should then stand."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import TYPE_CHECKING

import pytest
from hypothesis import Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule, run_state_machine_as_test
from tests.served import Served, key

if TYPE_CHECKING:
    from typing import Any

    from hypothesis.strategies import DataObject

CYLINDERS = ("1", "2", "3", "4", "5", "6")
PHONES = ("left", "right")
TWO_READINGS = "not judged (two readings)"
LOOKS = {"in line", "low", "high", "cannot tell", "not read"}
INTERLEAVINGS, SOAK_INTERLEAVINGS = 12, 1_000

names = st.sampled_from(CYLINDERS[:3])
phones = st.sampled_from(PHONES)
finals = st.integers(140, 160)


@dataclass(slots=True)
class Stands:
    """A reading that should stand."""

    entry: int
    cylinder: str
    final: str
    repeat: int = 1


class TwoPhones(RuleBasedStateMachine):
    """Two phones and a model of the test."""

    served: Served

    def __init__(self) -> None:
        super().__init__()
        self.test = self.served.test()
        self.phones = {name: self.served.phone("a builder", f"{name} phone") for name in PHONES}
        self.standing: list[Stands] = []
        self.sent: list[tuple[str, dict[str, Any], int]] = []

    def of(self, cylinder: str) -> list[Stands]:
        return [each for each in self.standing if each.cylinder == cylinder]

    def conflict(self, cylinder: str) -> bool:
        numbers = [each.repeat for each in self.of(cylinder)]
        return len(set(numbers)) < len(numbers)

    def conflicts(self) -> list[str]:
        return [name for name in CYLINDERS if self.conflict(name)]

    def heard(self, answer: Any, said: dict[str, Any], repeat: int = 1) -> None:  # noqa: ANN401 - an Answer
        assert answer.status == 201, answer.body
        saved = answer.json
        if all(each.entry != saved["entry"] for each in self.standing):
            self.standing.append(Stands(saved["entry"], said["cylinder"], str(said["final"]), repeat))

    def compare(self, saved: dict[str, Any], cylinder: str) -> None:
        shown = [(each["entry"], each["final"]) for each in saved["readings"]]
        assert shown == [(each.entry, each.final) for each in self.of(cylinder)]
        assert saved["conflict"] is self.conflict(cylinder)

    def send(self, phone: str, cylinder: str, final: int, *, repeat: bool = False) -> None:
        said = {"key": key(), "cylinder": cylinder, "unit": "psi", "final": str(final), "repeat": repeat}
        number = max((each.repeat for each in self.of(cylinder)), default=0) + 1 if repeat else 1
        answer = self.phones[phone].post(f"/api/tests/{self.test}/readings", said)
        self.heard(answer, said, number)
        self.compare(answer.json, cylinder)
        self.sent.append((phone, said, answer.json["entry"]))

    @rule(phone=phones, cylinder=names, final=finals)
    def enter(self, phone: str, cylinder: str, final: int) -> None:
        self.send(phone, cylinder, final)

    @rule(phone=phones, cylinder=names, final=finals)
    def enter_again_on_purpose(self, phone: str, cylinder: str, final: int) -> None:
        self.send(phone, cylinder, final, repeat=True)

    @rule(cylinder=names, left=finals, right=finals)
    def enter_at_the_same_moment(self, cylinder: str, left: int, right: int) -> None:
        both = [{"key": key(), "cylinder": cylinder, "unit": "psi", "final": str(final)} for final in (left, right)]
        with ThreadPoolExecutor(2) as hands:
            answers = list(
                hands.map(
                    lambda phone, said: self.phones[phone].post(f"/api/tests/{self.test}/readings", said), PHONES, both
                )
            )
        assert sorted(answer.status for answer in answers) == [201, 201]
        for answer, said in sorted(zip(answers, both, strict=True), key=lambda pair: int(pair[0].json["entry"])):
            self.heard(answer, said)
        # Whoever came later is told of the other.
        assert any(answer.json["conflict"] for answer in answers)

    @precondition(lambda self: self.sent)
    @rule(data=st.data(), phone=phones)
    def send_again(self, data: DataObject, phone: str) -> None:
        _, said, entry = data.draw(st.sampled_from(self.sent))
        answer = self.phones[phone].post(f"/api/tests/{self.test}/readings", said)
        assert (answer.status, answer.json["entry"]) == (201, entry)

    @precondition(lambda self: self.sent)
    @rule(data=st.data())
    def send_other_words_with_the_same_key(self, data: DataObject) -> None:
        phone, said, _ = data.draw(st.sampled_from(self.sent))
        other = {**said, "final": str(int(said["final"]) + 1)}
        answer = self.phones[phone].post(f"/api/tests/{self.test}/readings", other)
        assert (answer.status, answer.json["faults"][0]["where"]) == (422, "key")

    @precondition(lambda self: self.conflicts())
    @rule(data=st.data(), phone=phones)
    def choose_one(self, data: DataObject, phone: str) -> None:
        cylinder = data.draw(st.sampled_from(self.conflicts()))
        keep = data.draw(st.sampled_from(self.of(cylinder)))
        said = {"key": key(), "cylinder": cylinder, "keep": keep.entry}
        answer = self.phones[phone].post(f"/api/tests/{self.test}/choose", said)
        assert answer.status == 200, answer.body
        self.standing = [each for each in self.standing if each.cylinder != cylinder or each is keep]

    @precondition(lambda self: self.conflicts())
    @rule(data=st.data(), phone=phones)
    def keep_both(self, data: DataObject, phone: str) -> None:
        cylinder = data.draw(st.sampled_from(self.conflicts()))
        answer = self.phones[phone].post(
            f"/api/tests/{self.test}/choose", {"key": key(), "cylinder": cylinder, "keep": None}
        )
        assert answer.status == 200, answer.body
        shown = next(each for each in answer.json["cylinders"] if each["name"] == cylinder)["readings"]
        for number, (each, row) in enumerate(zip(self.of(cylinder), shown, strict=True), 1):
            each.repeat, each.entry = number, row["entry"]

    @precondition(lambda self: self.standing)
    @rule(data=st.data(), phone=phones, final=finals, cylinder=names)
    def correct(self, data: DataObject, phone: str, final: int, cylinder: str) -> None:
        target = data.draw(st.sampled_from(self.standing))
        said = {"key": key(), "why": "misread", "final": str(final), "unit": "psi", "cylinder": cylinder}
        answer = self.phones[phone].post(f"/api/tests/{self.test}/readings/{target.entry}/correct", said)
        if (target.final, target.cylinder) == (str(final), cylinder):
            assert answer.status == 422  # nothing is put right by saying the same
            return
        assert answer.status == 201, answer.body
        target.entry, target.final, target.cylinder = answer.json["entry"], str(final), cylinder
        self.compare(answer.json, cylinder)

    @precondition(lambda self: self.standing)
    @rule(data=st.data(), phone=phones)
    def take_back(self, data: DataObject, phone: str) -> None:
        target = data.draw(st.sampled_from(self.standing))
        answer = self.phones[phone].post(
            f"/api/tests/{self.test}/readings/{target.entry}/take-back", {"key": key(), "why": "wrong plug hole"}
        )
        assert answer.status == 200, answer.body
        self.standing.remove(target)

    @invariant()
    def the_screen_shows_what_stands(self) -> None:
        state = self.phones["left"].state(self.test)
        for shown in state["cylinders"]:
            name = shown["name"]
            assert [(row["entry"], row["final"]) for row in shown["readings"]] == [
                (each.entry, each.final) for each in self.of(name)
            ]
            assert shown["conflict"] is self.conflict(name)
            if self.conflict(name):
                assert (shown["place"], shown["says"], shown["off"]) == (TWO_READINGS, "", "")
            else:
                assert shown["place"] in LOOKS
                assert (shown["place"] == "not read") is (not self.of(name))

    def teardown(self) -> None:
        for phone in self.phones.values():
            phone.hang_up()


# If this failed, two people at one engine would overwrite each other, or a cylinder of which two figures are known
# would be judged by one of them before anybody chose it.
def test_two_phones_against_a_model(busy: Served, soaking: bool) -> None:
    machine = type("Machine", (TwoPhones,), {"served": busy})
    run_state_machine_as_test(
        machine,
        settings=settings(
            max_examples=SOAK_INTERLEAVINGS if soaking else INTERLEAVINGS, stateful_step_count=12, deadline=None
        ),
    )


# If this failed, the test above would find nothing: a model in which the last one wins has to be told apart from it.
def test_the_model_has_teeth(busy: Served) -> None:
    class LastWins(TwoPhones):
        served = busy

        def of(self, cylinder: str) -> list[Stands]:
            return super().of(cylinder)[-1:]

    quick = settings(
        max_examples=20,
        stateful_step_count=8,
        deadline=None,
        database=None,
        phases=(Phase.generate,),
        report_multiple_bugs=False,
    )
    with pytest.raises(AssertionError):
        run_state_machine_as_test(LastWins, settings=quick)
