"""Undo and redo over every kind of edit, across restarts."""

from __future__ import annotations

import sqlite3
import tempfile
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings, strategies
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule

from tracer.circuit.elements import Bank, BankStyle, Setting
from tracer.circuit.results import Meter
from tracer.errors import BadConfirmation, UnknownPoint
from tracer.job.banks import banks, put_bank, put_rail, rails, remove_bank, remove_rail
from tracer.job.choices import (
    cautions_shown,
    current_meter,
    current_setting,
    record_cautions_shown,
    set_meter,
    set_setting,
)
from tracer.job.edits import can_redo, can_undo, history, redo, undo
from tracer.job.file import Job, create_job, open_job
from tracer.job.marks import add_mark, marks, remove_mark
from tracer.job.mends import add_mend, mends, remove_mend
from tracer.job.readings import add_reading, network_text, reading, readings, withdraw_reading
from tracer.job.records import Mark, MarkKind, Rail, Tag, TagTerminal
from tracer.job.sheets import add_sheet, remove_sheet, sheets
from tracer.job.tags import add_tag, change_tag, remove_tag, tags
from tracer.trace.mend import Mend, MendKind

R12 = Tag(
    1,
    (10, 20, 30, 28),
    "resistor",
    "R12",
    "4k7",
    (TagTerminal("1", 10.0, 24.5), TagTerminal("2", 30.0, 24.5)),
    (("tol", "10%"),),
)


def take(job: Job, shown: str = "4k7") -> int:
    """Store a plain reading."""
    record = add_reading(job, "R12.1", "R12.2", shown, 4700.0, False, Setting(), Meter(), "wires", "pass")
    return record.number


def seen(job: Job) -> tuple[object, ...]:
    """Return everything that undo and redo may change, readings by what they say."""
    return (
        sheets(job),
        tags(job),
        marks(job),
        mends(job),
        banks(job),
        rails(job),
        current_setting(job),
        current_meter(job),
        tuple((r.start, r.end, r.shown, r.when) for r in readings(job)),
    )


def test_a_tag_comes_back_as_it_was(tmp_path: Path) -> None:
    with create_job(tmp_path / "a.tracer") as job:
        stored = add_tag(job, R12)
        assert tags(job) == (replace(R12, id=stored.id),)
        assert can_undo(job) == "tag R12"
        change_tag(job, replace(stored, value="47k"))
        remove_tag(job, stored.id or 0)
        assert can_undo(job) == "remove the tag R12"
        assert undo(job) == "remove the tag R12"
        assert tags(job)[0].value == "47k"
        assert undo(job) == "change R12"
        assert tags(job) == (stored,)
        assert can_redo(job) == "change R12"


def test_an_id_is_never_given_twice(tmp_path: Path) -> None:
    with create_job(tmp_path / "a.tracer") as job:
        first = add_tag(job, R12)
        undo(job)
        second = add_tag(job, R12)
        assert first.id != second.id


def test_a_new_edit_drops_what_was_undone_but_keeps_it_in_the_history(tmp_path: Path) -> None:
    with create_job(tmp_path / "a.tracer") as job:
        add_tag(job, R12)
        undo(job)
        put_rail(job, Rail("HT1"))
        assert can_redo(job) is None
        assert redo(job) is None
        assert [(edit.words, edit.state) for edit in history(job)] == [
            ("tag R12", "dropped"),
            ("add the rail HT1", "done"),
        ]


def test_undoing_a_reading_withdraws_it_and_redo_cites_it(tmp_path: Path) -> None:
    with create_job(tmp_path / "a.tracer") as job:
        first = take(job)
        assert undo(job) == "reading R12.1 to R12.2: 4k7"
        assert readings(job) == ()
        assert readings(job, withdrawn=True)[0].withdrawn
        redo(job)
        (again,) = readings(job)
        assert again.number != first
        assert again.cites == first
        assert again == replace(reading(job, first), number=again.number, cites=first, withdrawn=False)
        undo(job)
        assert [(r.number, r.withdrawn) for r in readings(job, withdrawn=True)] == [
            (first, True),
            (again.number, True),
        ]


def test_withdrawing_can_be_undone_and_done_again(tmp_path: Path) -> None:
    with create_job(tmp_path / "a.tracer") as job:
        first = take(job)
        withdraw_reading(job, first)
        withdraw_reading(job, first)  # twice is once
        assert readings(job) == ()
        undo(job)
        assert [r.cites for r in readings(job)] == [first]
        redo(job)
        assert readings(job) == ()
        undo(job)
        undo(job)
        assert can_undo(job) is None


def test_a_reading_is_a_fact(tmp_path: Path) -> None:
    with create_job(tmp_path / "a.tracer") as job:
        number = take(job)
        with pytest.raises(sqlite3.IntegrityError):
            job.connection.execute("UPDATE readings SET ohms = 1")
        with pytest.raises(sqlite3.IntegrityError):
            job.connection.execute("DELETE FROM readings")
        assert network_text(job, reading(job, number).network) == "wires"
        with pytest.raises(UnknownPoint):
            reading(job, number + 1)


def test_open_and_infinite_readings_survive(tmp_path: Path) -> None:
    setting = Setting({"INPUT": "Tape"}, frozenset({"V1"}), frozenset({"R7.1"}), {"P1": 0.25})
    with create_job(tmp_path / "a.tracer") as job:
        add_reading(job, "a", "b", "OL", float("inf"), True, setting, Meter(leads=0.1), "w", "cannot tell")
    with open_job(tmp_path / "a.tracer") as job:
        (record,) = readings(job)
        assert record.ohms == float("inf")
        assert (record.rising, record.setting, record.meter) == (True, setting, Meter(leads=0.1))


def test_a_bank_needs_positions_of_different_names(tmp_path: Path) -> None:
    with create_job(tmp_path / "a.tracer") as job:
        for positions in ((), ("Disc", "Disc")):
            with pytest.raises(BadConfirmation):
                put_bank(job, Bank("INPUT", positions))


def test_cautions_shown_are_a_fact(tmp_path: Path) -> None:
    with create_job(tmp_path / "a.tracer") as job:
        assert cautions_shown(job) is None
        when = record_cautions_shown(job)
        assert cautions_shown(job) == when
        assert can_undo(job) is None


def test_what_is_gone_cannot_be_changed(tmp_path: Path) -> None:
    with create_job(tmp_path / "a.tracer") as job:
        with pytest.raises(BadConfirmation):
            remove_tag(job, 7)
        with pytest.raises(BadConfirmation):
            change_tag(job, replace(R12, id=7))


class EveryEdit(RuleBasedStateMachine):
    """Any sequence of edits, undos, redos and restarts, held against a plain list of what was seen."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = tempfile.TemporaryDirectory()
        self.scan = Path(self.folder.name) / "scan.png"
        self.scan.write_bytes(b"scan")
        self.job = create_job(Path(self.folder.name) / "a.tracer")
        self.job.connection.execute("PRAGMA synchronous = OFF")
        self.states: list[tuple[object, ...]] = [seen(self.job)]
        self.at = 0

    def teardown(self) -> None:
        self.job.close()
        self.folder.cleanup()

    def edited(self) -> None:
        """Note the state after an edit; an edit that changed nothing is none."""
        state = seen(self.job)
        if state != self.states[self.at]:
            self.states = [*self.states[: self.at + 1], state]
            self.at += 1

    @rule(x=strategies.integers(0, 99), value=strategies.sampled_from([None, "4k7", "µµF ½"]))
    def tag(self, x: int, value: str | None) -> None:
        add_tag(self.job, replace(R12, value=value, box=(x, 0, x + 9, 9)))
        self.edited()

    @rule(data=strategies.data())
    def change_or_remove_tag(self, data: Any) -> None:
        stored = tags(self.job)
        if stored:
            tag = data.draw(strategies.sampled_from(stored))
            if data.draw(strategies.booleans()):
                remove_tag(self.job, tag.id)
            else:
                change_tag(self.job, replace(tag, kind=data.draw(strategies.sampled_from([tag.kind, "pot"]))))
            self.edited()

    @rule(kind=strategies.sampled_from(MarkKind))
    def mark(self, kind: MarkKind) -> None:
        add_mark(self.job, Mark(1, 2.5, 3.5, kind, "2020-01-01T00:00:00+00:00", "note"))
        self.edited()

    @rule(kind=strategies.sampled_from(MendKind), x2=strategies.sampled_from([None, 7.25]))
    def mend(self, kind: MendKind, x2: float | None) -> None:
        add_mend(self.job, Mend(kind, 1.5, 2.5, x2, x2))
        self.edited()

    @rule()
    def remove_mark_and_mend(self) -> None:
        for mark in marks(self.job)[:1]:
            remove_mark(self.job, mark.id or 0)
            self.edited()
        for mend in mends(self.job)[:1]:
            remove_mend(self.job, mend.id or 0)
            self.edited()

    @rule(name=strategies.sampled_from("AB"), count=strategies.integers(1, 3))
    def bank(self, name: str, count: int) -> None:
        put_bank(self.job, Bank(name, tuple("xyz"[:count]), BankStyle.KEYS))
        self.edited()

    @rule(name=strategies.sampled_from(["HT1", "HT2"]), at=strategies.sampled_from([None, "C1.+"]))
    def rail(self, name: str, at: str | None) -> None:
        put_rail(self.job, Rail(name, at))
        self.edited()

    @rule()
    def remove_bank_and_rail(self) -> None:
        for bank in banks(self.job)[:1]:
            remove_bank(self.job, bank.name)
            self.edited()
        for rail in rails(self.job)[:1]:
            remove_rail(self.job, rail.name)
            self.edited()

    @rule(out=strategies.frozensets(strategies.sampled_from(["V1", "V2"])), leads=strategies.floats(0, 1))
    def choose(self, out: frozenset[str], leads: float) -> None:
        set_setting(self.job, Setting(out=out))
        self.edited()
        set_meter(self.job, Meter(leads=leads))
        self.edited()

    @rule(shown=strategies.sampled_from(["4k7", "OL", "1k rising"]))
    def read(self, shown: str) -> None:
        take(self.job, shown)
        self.edited()

    @rule()
    def add_or_remove_sheet(self) -> None:
        stored = sheets(self.job)
        if len(stored) > 1:
            remove_sheet(self.job, stored[-1].number)
        else:
            add_sheet(self.job, self.scan)
        self.edited()

    @rule()
    def undo(self) -> None:
        said = can_undo(self.job)
        assert (said is None) == (self.at == 0)
        assert undo(self.job) == said
        self.at = max(self.at - 1, 0)

    @rule()
    def redo(self) -> None:
        said = can_redo(self.job)
        assert (said is None) == (self.at == len(self.states) - 1)
        assert redo(self.job) == said
        self.at = min(self.at + 1, len(self.states) - 1)

    @rule()
    def restart(self) -> None:
        self.job.close()
        self.job = open_job(self.job.path)
        self.job.connection.execute("PRAGMA synchronous = OFF")

    @invariant()
    def the_job_is_as_the_list_says(self) -> None:
        assert seen(self.job) == self.states[self.at]


TestEveryEdit = EveryEdit.TestCase
TestEveryEdit.settings = settings(max_examples=40, stateful_step_count=30, deadline=None)
