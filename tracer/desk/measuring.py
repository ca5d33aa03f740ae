"""Two leads, what to expect between them, the reading, and what follows from it."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from functools import partial

from PyQt6.QtCore import QObject, pyqtSignal

from tracer.bench.readings import take_reading
from tracer.bench.records import Outcome, PointPlace
from tracer.circuit.blocked import blocked_words
from tracer.circuit.elements import Circuit, Setting
from tracer.circuit.evidence import Weighing
from tracer.circuit.expect import expect
from tracer.circuit.judge import judge
from tracer.circuit.plan import plan
from tracer.circuit.points import named_points
from tracer.circuit.results import Cause, Expectation, Meter, NextReading, Tint, Verdict
from tracer.circuit.values import parse_reading
from tracer.desk import words
from tracer.desk.cautions_due import asked_today
from tracer.desk.desk import LAY_OUT, Desk
from tracer.desk.lead_places import lead_places
from tracer.desk.route import route
from tracer.desk.spoken_points import leads_in_text, point_in_words, point_of_words
from tracer.desk.state import State, clear_leads, place_lead, reach, swap_leads
from tracer.desk.strip import ReadingStrip
from tracer.desk.turned import pieces_of_setting, to_be_turned
from tracer.desk.typed_setting import typed_setting
from tracer.errors import TracerError, UnknownPoint
from tracer.job.choices import (
    cautions_shown,
    current_meter,
    power_applied,
    record_cautions_shown,
    record_power_applied,
    set_setting,
)
from tracer.job.file import open_job
from tracer.job.readings import as_reading, readings
from tracer.job.tags import tags
from tracer.progress import Progress

__all__ = ["Measuring", "without_wiper"]

EXPECT, READ, PLAN = "expect", "reading", "plan"

MOST_TOLD = 6
"""Of how many parts at most it is told why they do not conduct."""


class Measuring(QObject):
    """Runs the strip. `cautions_wanted` asks for the cautions before the first reading of a day."""

    cautions_wanted = pyqtSignal()
    causes_found = pyqtSignal(object)
    carried = pyqtSignal(object)
    judged = pyqtSignal(object)
    finished = pyqtSignal(bool)
    changed = pyqtSignal()

    def __init__(self, desk: Desk, strip: ReadingStrip, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._desk, self._strip = desk, strip
        self.expectation: Expectation | None = None
        self.causes: tuple[Cause, ...] = ()
        self.next: NextReading | None = None
        self.way: tuple[str, ...] = ()
        self._keep_verdict = False
        self._turned: tuple[str, ...] = ()
        self._waiting = ""
        self._settling: NextReading | None = None
        self._none_left = ""
        self._look_further = False
        self._known: Weighing | None = None
        strip.lead_typed.connect(self._typed)
        strip.lead_wanted.connect(lambda lead: desk.pick(awaiting=lead))
        strip.swapped.connect(self.swap)
        strip.entered.connect(self.enter)
        strip.next_taken.connect(self.take_next)
        desk.state_changed.connect(self._follow)
        desk.laid_out.connect(self._laid_out)
        desk.opened.connect(self._opened)

    # -- the leads -----------------------------------------------------------------------------------

    def put_lead(self, point: str) -> None:
        """Put the awaited lead on `point`; with both in place the meter's figure is asked for."""
        state = place_lead(self._desk.state, point)
        self._desk.set_state(state)
        if all(state.leads) and self._strip.isVisible():
            self._strip.entry.setFocus()

    def swap(self) -> None:
        """Turn the leads round."""
        self._desk.set_state(swap_leads(self._desk.state))

    def lift(self) -> None:
        """Take both leads off."""
        self._desk.set_state(clear_leads(self._desk.state))

    def lead_places(self) -> tuple[PointPlace | None, PointPlace | None]:
        """Return where the leads lie on paper."""
        laid = self._desk.laid
        if laid is None:
            return None, None
        return lead_places(laid.bench, self._desk.state.leads, self._desk.tags_in_view(), self.way)

    def say(self, point: str) -> str:
        """Return a point as it is said at the bench."""
        job = self._desk.job
        return point_in_words(point, tags(job)) if job is not None else point

    def _typed(self, lead: int, text: str) -> None:
        laid, job = self._desk.laid, self._desk.job
        if not text and not any(self._desk.state.leads) and self.next is not None:
            self.take_next()
            return
        point = text
        if text and laid is not None and job is not None:
            if text == self.say(self._desk.state.leads[lead]):
                point = self._desk.state.leads[lead]
            else:
                point = point_of_words(text, laid.bench.circuit, tags(job)) or ""
            if not point:
                self._desk.fail(UnknownPoint(words.NO_POINT.format(point=text)))
                return
        self._desk.set_state(place_lead(self._desk.state, point, lead))
        if all(self._desk.state.leads):
            self._strip.entry.setFocus()
        else:
            self._strip.leads[1 - lead].setFocus()
        self._show_leads()

    def _follow(self, old: State, new: State) -> None:
        self._show_leads()
        if (old.leads, old.setting) != (new.leads, new.setting):
            self._expect()
        if old.setting != new.setting:
            self._plan()

    def _show_leads(self) -> None:
        state, laid = self._desk.state, self._desk.laid
        first, second = (self.say(point) for point in state.leads)
        self._strip.show_leads((first, second), state.awaiting)
        circuit = laid.bench.circuit if laid is not None else Circuit(())
        stands = pieces_of_setting(circuit, state.setting)
        back = [piece for piece in self._turned if piece not in stands]
        self._strip.show_setting([(piece, piece in self._turned) for piece in (*stands, *back)])

    def _opened(self) -> None:
        self.next, self.causes = None, ()
        self._show_leads()
        self._strip.show_next(None)
        self._show_expectation(None, words.NO_PAIR)

    def _laid_out(self) -> None:
        laid = self._desk.laid
        if laid is not None:
            self._strip.show_points([self.say(name) for name, _ in named_points(laid.bench.circuit)])
            self._show_leads()
        # What a reading brought stays in sight while the tint that it changed is laid out.
        keep = self._keep_verdict
        self._keep_verdict = keep and self._desk.work.is_busy(LAY_OUT)
        if not keep and not self._desk.work.is_busy(READ):
            self._expect()
            self._plan()
        elif self._look_further and not self._desk.work.busy:
            self._plan()

    # -- what to expect ------------------------------------------------------------------------------

    def _expect(self) -> None:
        laid, job = self._desk.laid, self._desk.job
        start, end = self._desk.state.leads
        self.causes, self._settling = (), None
        self.causes_found.emit(())
        if laid is None or job is None or not start or not end:
            self._desk.work.stop(EXPECT)
            self._show_expectation(None, words.NO_PAIR)
            return
        circuit, setting, meter = laid.bench.circuit, self._desk.state.setting, current_meter(job)

        def ask(_: Progress) -> tuple[Expectation, tuple[str, ...]]:
            expected = expect(circuit, start, end, setting, meter)
            return expected, route(circuit, expected, setting, meter)

        self._desk.work.run(EXPECT, ask, self._expected, self._refused)

    def _expected(self, answer: tuple[Expectation, tuple[str, ...]]) -> None:
        expectation, self.way = answer
        self._show_expectation(expectation, "")

    def _refused(self, error: Exception) -> None:
        self._show_expectation(None, str(error))

    def _show_expectation(self, expectation: Expectation | None, text: str) -> None:
        self.expectation = expectation
        if expectation is None:
            self.way = ()
        laid = self._desk.laid
        blocked = ""
        if expectation is not None and laid is not None:
            told = expectation.blocked_by[:MOST_TOLD]
            blocked = blocked_words(laid.bench.circuit, self._desk.state.setting, told)
        self._strip.show_expectation(expectation, text, blocked)
        self.changed.emit()

    # -- the reading ---------------------------------------------------------------------------------

    def enter(self, text: str) -> None:
        """Take a reading as typed; an empty one takes the next pair that was offered."""
        job = self._desk.job
        if not text:
            self.take_next()
            return
        try:
            parse_reading(text)
        except TracerError:
            self._take_words(text)
            return
        if not all(self._desk.state.leads):
            self._strip.say(words.NO_PAIR)
            return
        if job is None or self._desk.laid is None or self.expectation is None:
            return
        if not asked_today(cautions_shown(job), datetime.now(), power_applied(job)):
            self._waiting = text
            self.cautions_wanted.emit()
            return
        self._read(text)

    def _take_words(self, text: str) -> None:
        """Place both leads, or turn a switch, as one line in the reading's field says."""
        laid, job = self._desk.laid, self._desk.job
        if laid is None or job is None:
            return
        circuit = laid.bench.circuit
        leads = leads_in_text(text, circuit, tags(job))
        turned = typed_setting(text, circuit, self._desk.state.setting)
        if leads is not None:
            self._desk.set_state(reach(self._desk.state, *leads))
        elif turned is not None:
            self.set_setting(*turned)
        else:
            self._strip.say(words.NOT_UNDERSTOOD.format(text=text))
            return
        self._strip.entry.setText("")

    def cautions_accepted(self) -> None:
        """Keep in the job that the cautions were seen, and go on with the reading that waited."""
        text, self._waiting = self._waiting, ""
        self._desk.edit(record_cautions_shown, lay_out=False)
        if text:
            self._read(text)

    def cautions_left(self) -> None:
        """Forget the reading that waited for the cautions; its text stays in the strip."""
        self._waiting = ""

    def power_was_applied(self) -> None:
        """Keep in the record that power was applied; the cautions are asked again before the next reading."""
        if self._desk.edit(record_power_applied, lay_out=False) is not None:
            self.lift()
            self._desk.told.emit(words.POWER_KEPT)

    def _read(self, text: str) -> None:
        laid, job = self._desk.laid, self._desk.job
        if laid is None or job is None:
            return
        start, end = self._desk.state.leads
        setting, meter, bench = self._desk.state.setting, current_meter(job), laid.bench

        if self.expectation is not None:
            # The word comes at once; what it proves and explains may take a moment.
            ohms, rising = parse_reading(text)
            verdict = judge(self.expectation, ohms, rising, meter)
            self._strip.show_verdict(verdict, ohms, text)
            self.judged.emit(verdict)
            self._strip.show_next(None, text=words.WORKING)

        path, proof = job.path, laid.standing.proof
        before = None if self._desk.work.is_busy(LAY_OUT) else proof
        known = self._weighing(bench.circuit, meter)

        def take(_: Progress) -> Outcome:
            # A handle of its own: the window may be closed while what follows is worked out.
            with open_job(path) as own:
                return take_reading(own, bench, start, end, text, setting, meter, before=before, known=known)

        self._desk.work.run(READ, take, self._taken, self._desk.fail, writes=True)

    def _taken(self, outcome: Outcome) -> None:
        self._strip.show_verdict(outcome.verdict, outcome.record.ohms, outcome.record.shown)
        self.expectation = outcome.expectation
        self.causes = () if outcome.verdict is Verdict.PASS else outcome.causes
        self._offer(outcome.next_reading)
        self._look_further = outcome.next_reading is None
        self.causes_found.emit(self.causes)
        self.carried.emit(outcome.newly_carried)
        self._keep_verdict, self._turned = True, ()
        self._show_leads()
        self._desk.after_edit()
        self._strip.entry.setFocus()

    # -- what to measure next ------------------------------------------------------------------------

    def take_next(self) -> None:
        """Put the leads, and the switches, where the chosen cause or the offered reading wants them."""
        offered = self._settling or self.next
        if offered is not None and self._desk.job is not None:
            self.take(offered)

    def take(self, reading: NextReading) -> None:
        """Put the leads and the switches where `reading` wants them."""
        before, laid = self._desk.state, self._desk.laid
        if laid is not None:
            self._turned = to_be_turned(laid.bench.circuit, before.setting, reading.setting)
        if reading.setting != before.setting:
            self._desk.edit(lambda job: set_setting(job, reading.setting), lay_out=False)
        self._desk.set_state(reach(self._desk.state, reading.start, reading.end))
        if self._desk.state == before:
            self._expect()  # the same pair once more: the field is cleared for it
        self._strip.entry.setFocus()
        self._plan()

    def settle(self, reading: NextReading | None) -> None:
        """Let Enter go where a cause's own reading is taken; None goes on with what is offered."""
        self._settling = reading
        self._show_next(reading or self.next, self._none_left)

    def set_setting(self, setting: Setting, said: str) -> None:
        """Change the setting, as an edit that undo takes back."""
        self._desk.edit(lambda job: set_setting(job, setting, said), lay_out=False)

    def _plan(self) -> None:
        laid, job = self._desk.laid, self._desk.job
        if laid is None or job is None or not laid.bench.circuit.elements:
            self._offer(None)
            return
        circuit, setting, meter = laid.bench.circuit, self._desk.state.setting, current_meter(job)
        taken = tuple(as_reading(record) for record in readings(job))
        skipped = {number for number, _ in laid.standing.skipped}
        counted = tuple(reading for reading in taken if reading.number not in skipped)
        leads, self._look_further = self._desk.state.leads, False
        doubted = any(laid.standing.counts.get(tint, 0) for tint in (Tint.SUSPECT, Tint.BAD))

        known = self._weighing(circuit, meter)
        ways = partial(plan, circuit, counted, meter=meter, most=2, known=known)

        def ask(progress: Progress) -> tuple[NextReading | None, bool]:
            offered = ways(setting=setting, progress=progress)
            # With nothing left here the switches are turned in thought.
            offered = offered or ways(progress=progress)
            best = next((r for r in offered if {r.start, r.end} != set(leads)), None)
            return best, not offered and bool(counted) and not doubted

        self._desk.work.run(PLAN, ask, lambda found: self._offer(*found), lambda _: self._offer(None))

    def _weighing(self, circuit: Circuit, meter: Meter) -> Weighing:
        """Return what was worked out so far; two threads that ask at once may work twice, and no worse."""
        self._known = Weighing.of(circuit, meter, self._known)
        return self._known

    def _offer(self, reading: NextReading | None, is_end: bool = False) -> None:
        self.next = reading
        laid = self._desk.laid
        text = "" if laid is None or not laid.bench.circuit.elements else words.NEXT_NONE
        self.finished.emit(is_end)
        self._none_left = words.ALL_CARRIED if is_end else text
        self._show_next(self._settling or reading, self._none_left)

    def _show_next(self, reading: NextReading | None, text: str = "") -> None:
        laid, change = self._desk.laid, ""
        if reading is None:
            self._strip.show_next(None, text=text)
            return
        if laid is not None and reading.setting != self._desk.state.setting:
            turned = to_be_turned(laid.bench.circuit, self._desk.state.setting, reading.setting)
            change = words.SETTING_CHANGE.format(setting=", ".join(turned)) if turned else ""
        self._strip.show_next(reading, (self.say(reading.start), self.say(reading.end)), change)


def without_wiper(setting: Setting, reference: str) -> Setting:
    """Return the setting with that wiper standing anywhere."""
    return replace(setting, wipers={name: at for name, at in setting.wipers.items() if name != reference})
