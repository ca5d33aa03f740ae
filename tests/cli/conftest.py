"""Running a command inside the test's own process, and the small files the commands are given."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from ending import Ended, Run

from tracer.cli.app import main
from tracer.resources import shared

SUPPLY = """\
# A supply side: two droppers in a row, a valve's anode load, and a bank.
rail HT1, HT2
bank BAND: LONG, MEDIUM
resistor R1: 1=HT1 2=HT2; 1k; tol=10%
capacitor C1: +=HT2 -=chassis; 16u; rated=450V
resistor R2: 1=HT2 2=N2; 220k; tol=20%
resistor R3: 1=N1 2=chassis; 2k2; tol=10%
valve V1: a/6=N2 k/7=N1 h/4=H1 h/5=chassis; out
contact S1: common=HT1 make=N9; closed=BAND:MEDIUM
resistor R4: 1=N9 2=chassis; 47k; tol=5%
"""


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    """Run ``tracer`` with the given words."""

    def run_words(*words: object) -> Ended:
        capsys.readouterr()
        code = main([str(word) for word in words])
        out, err = capsys.readouterr()
        return Ended(code, out, err)

    return run_words


@pytest.fixture
def wiring(tmp_path: Path) -> Path:
    """A wiring list on disk."""
    path = tmp_path / "supply.txt"
    path.write_text(SUPPLY, "utf-8")
    return path


@pytest.fixture
def fits() -> Callable[[Any, str], None]:
    """Hold a document against a schema of ``shared/schemas``."""

    def check(document: Any, name: str) -> None:
        jsonschema.validate(document, json.loads(shared(f"schemas/{name}").read_text("utf-8")))

    return check
