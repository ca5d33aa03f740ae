"""Which stored readings still count."""

from __future__ import annotations

from pathlib import Path

from tracer.bench.records import Bench
from tracer.bench.standing import usable_readings
from tracer.circuit.elements import Setting
from tracer.circuit.results import Meter
from tracer.circuit.wiring import parse_wiring, print_wiring
from tracer.job.file import create_job
from tracer.job.readings import add_reading

THEN = parse_wiring("rail HT1\nresistor R1: 1=HT1 2=N1.3; 1k\nresistor R2: 1=N1.3 2=chassis; 1k")
NOW = parse_wiring("rail HT1\nresistor R1: 1=HT1 2=N1.4; 1k\nresistor R2: 1=N1.4 2=N1.3; 1k")


def test_a_reading_at_a_node_of_an_earlier_tracing_is_not_judged_at_another_place(tmp_path: Path) -> None:
    """Node N1.3 lay between the resistors; after a new tracing another place bears that name."""
    with create_job(tmp_path / "a.tracer") as job:
        for end in ("N1.3", "R1.2"):
            wiring = print_wiring(THEN)
            add_reading(job, "HT1", end, "1k", 1000.0, False, Setting(), Meter(), wiring, "pass")
        assert [len(each) for each in usable_readings(job, Bench(THEN, {}, {}, {}, {}))] == [2, 0]
        usable, skipped = usable_readings(job, Bench(NOW, {}, {}, {}, {}))
        assert [reading.end for reading in usable] == ["R1.2"]
        ((number, why),) = skipped
        assert number == 1
        assert "N1.3" in why
