"""Every text the window shows, in one place for translation."""

from __future__ import annotations

import math

from tracer.circuit.elements import BankStyle
from tracer.circuit.results import Verdict
from tracer.circuit.values import format_value
from tracer.job.records import ValueSource
from tracer.trace.mend import MendKind
from tracer.trace.sheet import JoinKind

__all__ = [
    "dial_in_words",
    "figures",
    "ohms",
    "path_in_words",
    "seconds",
]

PROGRAM = "Tracer"

# -- the first sight ---------------------------------------------------------------------------------
WELCOME = "Prove the wiring of an old set with a meter, while it is unplugged."
PURPOSE = (
    "Lay a scanned circuit diagram on the bench, name the parts on it, and Tracer tells what an ohmmeter "
    "should show between any two points, within honest limits. Each reading you enter shows what it proves, "
    "what could explain a wrong one, and what to measure next."
)
BEGIN_SCAN = "Open a scan"
BEGIN_SCAN_HINT = "A photocopy, photograph or PDF page of the diagram. A job file is made beside it."
BEGIN_JOB = "Go on with a job"
BEGIN_JOB_HINT = "Everything is there as you left it; nothing ever needs saving."
BEGIN_DEMO = "Look at the demo"
BEGIN_DEMO_HINT = "An invented hall amplifier, its parts named and measured, with a fault to find."
DROP_HINT = "… or drop a file anywhere on this window."

FILTER_SCANS = "Scans (*.png *.jpg *.jpeg *.tif *.tiff *.pdf *.bmp *.webp);;All files (*)"
FILTER_JOBS = "Jobs (*.tracer);;All files (*)"
CHOOSE_SCAN = "Choose a scan"
CHOOSE_JOB = "Choose a job"
ADD_SHEET = "Choose another sheet of the same set"

# -- the sheet ---------------------------------------------------------------------------------------
SHEET_NAME = "Sheet"
SHEET_DESCRIPTION = (
    "The scanned diagram. Arrows move it, plus and minus zoom, Space presses the place under the crosshair."
)
LEAF = "Sheet {number}: {name}"
SHEET_OF = "Sheet {number} of {count}: {name}"
NO_CONDUCTOR = "No conductor there. Zoom in, or draw one in with a join."
CONDUCTOR = "Conductor {number}: {terminals}"
CONDUCTOR_JOINS = "joins: {count}"
CONDUCTOR_DOUBTS = "joins: {count}, in doubt: {doubted} (D)"
CONDUCTOR_BARE = "Conductor {number}. No confirmed part ends on it yet."
ON_NET = "on the same net: {points}"
UNREAD = "The sheet has not been read yet: boxes can be drawn by hand, conductors cannot be lit."

# -- reading a sheet ---------------------------------------------------------------------------------
READING_SHEET = "Reading the sheet"
STAGE = "{stage} — {share} %"
CANCEL = "Stop"
READ_DONE = "{conductors} conductors found, {proposals} parts proposed. P goes to the next proposal."
READ_STOPPED = "Reading stopped; the sheet stays as it was. Read it again from the Sheet menu."

# -- a photographed sheet -----------------------------------------------------------------------------
CORNERS_OFFERED = "A photograph, it seems: the sheet was laid flat by the corners found on it. L shows them."
CORNERS_KEYS = (
    "Drag the corners, or press where the lit one belongs. Tab or 1 to 4 chooses, arrows move it, Shift "
    "farther · Enter lays flat · N takes the page as it lies · Esc leaves"
)
CORNERS_FLAT = "Laid flat by your corners; the sheet is read anew. Ctrl+Z takes it back."
CORNERS_NONE = "Taken as it lies; the sheet is read anew. Ctrl+Z takes it back."
CORNERS_SHOW = "Corners of the sheet…  (L)"
CORNERS_STAND = {
    "given": "Laid flat by the corners you gave.",
    "none": "Taken as it lies, as you said.",
    "found": "Laid flat by the corners found on the photograph; nobody has confirmed them.",
    "": "It seems to lie flat.",
}

# -- parts -------------------------------------------------------------------------------------------
PART_NEW = "What is this part?"
PART_PROPOSED = "Is this a {kind}? {share} % sure"
PART_EDIT = "Change {reference}"
PART_KIND = "Kind"
PART_REFERENCE = "Reference"
PART_VALUE = "Value as printed"
PART_TOLERANCE = "Tolerance"
PART_FITTED = "Value as fitted"
PART_FITTED_HINT = "512k 2%"
PART_SOURCE = "How the fitted value is known"
VALUE_SOURCES = {
    ValueSource.PRINT: "print",
    ValueSource.SERVICE_NOTE: "service note",
    ValueSource.MEASURED: "measured",
}
FITTED_ROW = "{printed} → {fitted} {source} {when}"
SAID_FITTED = "{reference} fitted as {value}"
SAID_PRINTED = "{reference} as printed again"
PART_OPTIONS = "More"
PART_OPTIONS_HINT = "ohms=250 rated=450V out"
PART_TERMINALS = "Terminals"
PART_TERMINALS_HINT = "Name each end. While an end is being named, a press on the sheet moves it there."
PART_PINS_HINT = (
    "Write electrode/pin: a/6, g1/2, k/3. Pins count clockwise from the key or the wide gap, seen from the "
    "wiring side. Once typed, the pins of a type are known: a alone becomes a/6."
)
PART_PINS_KNOWN = "Known of {type}: {pins}. Pins as seen from the wiring side, clockwise from the key."
PINS_KEPT = "The pins of {type} are kept for the next one."
PART_NO_CONDUCTOR = "no wire"
PART_ON = "wire {number}"
PART_CONFIRM = "Confirm"
PART_DELETE = "Remove"
PART_LEAVE = "Leave"
PART_ADD_TERMINAL = "Add an end"
PART_READ = "Read from the sheet, not confirmed: {what}."
PART_READ_SURE = "{text}, {share} % sure"
PART_READ_DOUBTED = "{text}, only {share} % sure: look twice"
WALK_KEYS = "Y yes · X not a part · T turns it · A yes to all {count} as sure · P next · E change"
TURN_KEYS = "Y yes · T turns it again · P next · E change"
PART_NO_VALUE = "No value was read beside it. Write it and press Enter, or Enter alone to leave it open."
WALK_FIRST = "P shows the next proposal first."
DISMISSED = "Not a {kind}; it is offered no more. Ctrl+Z brings it back."
ALL_CONFIRMED = (
    "{count} confirmed as {kind}, each at least {share} % sure; {left} left that need your word. "
    "Ctrl+Z takes them all back."
)
SAID_ALL = "confirm {count} parts as {kind}, from {share} % on"
PART_KEYS = "Tab next · Enter confirms · Esc leaves"
BOX_HINT = "Drag a box round the part, or press two opposite corners. Esc leaves."
BOX_CORNER = "Now the opposite corner."
JOIN_HINT = "Press the place to join it to. Esc leaves."
PART_CONFIRMED = "{reference} confirmed."
NO_MORE_PROPOSALS = "No proposals are left on this sheet."

# -- mends -------------------------------------------------------------------------------------------
MEND_NEEDS_SPOT = "Press the place on the sheet first, then the key."
MENDED = "Mended: {kind}."

NO_DOUBTS = "The tracing is sure of every join on this sheet."
DOUBT = "{kind}? {share} % sure.  Y yes · X no, {otherwise} · A yes to all {like} as sure · D next of {count}"
OTHERWISE = {MendKind.CUT: "cut it", MendKind.JUNCTION: "join them"}
SAID_SEEN = "{kind} seen by eye"
SAID_ALL_SEEN = "{count} × {kind} taken as seen, from {share} % on"
JOINS = {
    JoinKind.JUNCTION: "A junction",
    JoinKind.CROSSING: "A crossing without a join",
    JoinKind.GAP: "Wire across a break in the ink",
}

# -- points as they are said -------------------------------------------------------------------------
POINT_PIN = "{reference} pin {pin}"
PIN = "pin"
SIDES = ("left", "right", "top", "bottom")
TYPED_IN, TYPED_OUT, TYPED_LIFT = "in", "out", "lift"

# -- the strip ---------------------------------------------------------------------------------------
LEAD_PLUS = "Red lead"
LEAD_MINUS = "Black lead"
LEAD_HINT = "Press a terminal on the sheet, or type R7.1, V2.6, HT1, chassis"
LEAD_PLACES = ("+ red lead", "− black lead")
SWAP = "Swap"
DIAL_NAME = "Expected ohms"
OVER_RANGE = "OL"
NO_PAIR = "Put both leads on the sheet to see what to expect."
NO_POINT = "{point} is no terminal, rail or chassis. Press it on the sheet, or type R7.1, V2 pin 6, HT1."
NOT_UNDERSTOOD = (
    "{text} is no reading (3k1, OL, 0.3), no two points (HT2 V3.6) and no setting (INPUT Disc, V4 out)."
)
ENTRY = "Meter shows"
ENTRY_HINT = "meter shows"
ENTRY_DESCRIPTION = (
    "Type what the meter shows: 3k1, 3100, OL, 0.3; a last r while it still rises. Two points place the "
    "leads, INPUT Disc turns a switch, V4 out takes a valve out; Enter alone goes on to the next reading."
)
EXPECT_OPEN = "OL"
EXPECT_OPEN_LONG = "open: above the meter's range"
SETTLES = "settles in about {seconds}"
SETTLE_FIRST = "settles in {seconds}"
SETTLES_AT_ONCE = "settles at once"
THROUGH = "through {parts}"
NEXT = "↵ Next:"
NEXT_HOW = "Enter in the empty field takes it, or G. "
NEXT_READING = "{start} → {end}, expect {figure}"
NEXT_CARRIES = "would prove {count} more"
NEXT_NONE = "Nothing further would prove more in this setting."
ALL_CARRIED = "Everything that can be reached is carried."
WORKING = "Working out what follows…"
TURNED_IN, TURNED_BACK = "{reference} back in", "{end} put back"
SETTING_CHANGE = "with {setting}"
VERDICTS = {
    Verdict.PASS: "good",
    Verdict.HIGH: "high",
    Verdict.LOW: "low",
    Verdict.WAIT: "wait",
    Verdict.CANNOT_TELL: "cannot tell",
}
WHY = "What could explain it"
WHY_SHARE = "{share} %"
WHY_HARDLY = "under 1 %"
THEN_MEASURE = "then {start} → {end}"
WHY_GO_ON = "Leave it for now and go on"
WHY_KEYS = "↓ ↑ choose · ↵ goes there"

# -- the drawer --------------------------------------------------------------------------------------
DRAWER = "Drawer"
SECTION_RAILS = "Rails"
SECTION_SETTING = "Setting"
SECTION_LISTS = "Lists"
SECTION_LEGEND = "What the tint means"
RAIL_PROGRESS = "{carried} of {whole} proved"
RAIL_ADD = "Name a rail"
RAIL_NAME = "Name: HT1"
RAIL_AT = "From: C12.+"

RAILS_END = "CARRIED"
RAILS_END_MORE = (
    "Every wire and part that an ohmmeter can reach, in any setting, has passed a reading. What blocks a "
    "steady current is not proved by it, and none of this is leave to switch on."
)
RAIL_WAIT = "How far the rails are proved shows once the sheet is read."
RAIL_NONE = "No rail is named yet. Tag the labels on the sheet, or name one here."
SETTING_NONE = "No switch banks, valves or wipers yet. They appear as parts are confirmed."
BANK_ADD = "Add a bank"
BANK_STYLE = "How its positions exclude each other"
BANK_STYLES = {
    BankStyle.ROTARY: "one at a time",
    BankStyle.KEYS: "keys, one or none",
    BankStyle.INDEPENDENT: "each by itself",
}
BANK_CHANGE = "Change this bank: its line stands below"
BANK_CHANGE_NAMED = "Change {bank}"
BANK_WRITTEN = "{bank}: {positions}"
BANK_CONTACTS = "Contacts…"
BANK_LINE = "New bank: Mic, Gram, Tape"
BANK_LINE_HINT = (
    "Write INPUT: Mic, Gram, Tape and press Enter: a bank's name and its positions, the default first."
)
CONTACTS = "Contacts closed at each position"
CONTACTS_BANK = "Switch bank"
CONTACTS_HINT = (
    "A dot where the contact is closed, as service sheets print it; Space or a press sets it. "
    "A row without a dot is not worked by this bank. Typing a contact's name goes to its row. Enter keeps "
    "the table, Esc leaves it."
)
CONTACTS_NO_KEY = "None of them pressed in"
CONTACTS_READ = "Read from a CSV file…"
CONTACTS_WRITE = "Write as CSV…"
CONTACTS_WRITTEN = "The table is in {path}"
CONTACTS_UNWRITTEN = "{path} cannot be written ({error}). Choose another place."
CONTACTS_KEEP = "Keep"
CONTACTS_KEPT = "{bank}: {count} contacts changed."
CONTACTS_NONE = "A table needs a switch bank (drawer, Setting) and confirmed contacts on a sheet."
CONTACTS_UNREAD = "{path} cannot be read ({error}). Nothing was taken from it."
CONTACT_CLOSED = "{contact} closed at {position}"
CONTACT_OPEN = "{contact} open at {position}"
SAID_CONTACTS = "contacts of {bank}"
FILTER_TABLES = "Tables (*.csv *.txt *.tsv);;All files (*)"
VALVES = "In their sockets"
LIFTED = "Lifted ends"
LIFTED_HINT = "R7.1, C3.+"
WIPERS = "Wipers"
WIPER_UNKNOWN = "anywhere"
SAID_TURN = "turn {bank} to {position}"
SAID_NONE = "none"
SAID_IN = "put {reference} in"
SAID_OUT = "take {reference} out"
SAID_WIPER = "wiper of {reference} to {at:g}"
SAID_ANYWHERE = "wiper of {reference} anywhere"
SAID_LIFT = "lift {ends}"
SAID_PUT_BACK = "put every lifted end back"
LIST_KIND = "What is listed"
LIST_NAMES = (
    "Parts",
    "Conductors",
    "Readings",
    "Marks",
    "Mends",
    "Switch banks and rails",
    "Pins of valve types",
)
LIST_NONE = "Nothing yet."
LIST_COUNT = "{shown} of {whole} · ↵ shows the place · Delete removes"
LIST_FIND = "Find in this list"
HEADS_PARTS = ("Part", "Value", "Stands")
HEADS_CONDUCTORS = ("Wire", "Joins", "Ends")
HEADS_READINGS = ("No.", "Leads", "Shown")
HEADS_MARKS = ("On", "Mark", "When")
HEADS_MENDS = ("Mend", "At", "Sheet")
HEADS_BANKS = ("Name", "Positions, or start", "Kind")
HEADS_PINS = ("Type", "Pins from the wiring side", "Pins")
CONDUCTOR_ROW = "wire {number}"
PAIR = "{start} → {end}"
PLACE = "{x}, {y}"
ON_SHEET = "sheet {number}"
RAIL_BY_LABEL = "by its label"
RAIL = "rail"
NOTHING_PRINTED = "nothing"
PINS_FORGOTTEN = "The pins of {type} are forgotten. Valves confirmed with them keep theirs."
NOT_REMOVED = "That cannot be removed: it is a fact of the record."
WITHDRAWN = "withdrawn"
READING_CITES = "{verdict}; {number} again"
LEGEND_ROUTE = (
    "The tint follows the route as drawn between terminals proved joined; "
    "the wires in the set may run otherwise."
)
LEGEND_PROPOSAL = "Proposed by the reader, not yet confirmed"
LEGEND_TAG = "Confirmed part"
LEGEND_DOUBT = "Join that the tracing is not sure of"
LEGEND_MARK = "Marked: {kind}; never counted as carried"
LEGEND_FLOOD = "Conductor lit by a press"

SECTION_SHEET = "This sheet"
HABITS = {
    "dots": "A dot where wires join",
    "wide_crossings": "A hop or gap where they pass",
    "broken": "Ink broken in many places",
}
HABIT_SEEMS = "as it seems: {seems}"
HABIT_ANSWERS = {None: "unclear", True: "yes", False: "no"}
HABIT_SAID = ("yes", "no")
PRINTS = {
    "m_is_thousand": "M on a resistor is a thousand",
    "bare_is_micro": "Bare numbers on capacitors are µF",
}
NOTE_SAYS = "“{text}” ({share} % sure): {means}."
NOTE_STANDS = {
    "ALWAYS": "Values are read so anyway.",
    "OPEN": "Not obeyed until you take it.",
    "TAKEN": "Taken.",
    "LEFT": "You left it.",
}
NOTE_TAKE, NOTE_LEAVE, NOTE_SHOW = "Take it", "Leave it", "Where"

TINT_STRENGTH = "Strength of the tint"
SECTION_METER = "Meter"
METER_ERROR = "Error of the reading"
METER_COUNTS = "Last-digit counts"
METER_LEADS = "Leads at most, ohms"
METER_TOP = "Top of range, ohms"
METER_BENCH = "Meter that sends its readings"
METER_BENCH_HINT = "name, or look for one"
METER_LOOK = "Look for meters"
METER_LINK = "Link"
METER_LET_GO = "Let go"
METER_FOUND = "{count} found."
METER_LINKED = "Linked to {who}. A steady reading is offered; any key takes it."
METER_STEADY = "Steady. Any key takes it; Esc leaves it."
SECTION_DOUBTS = "To see to"
SEE_PROPOSALS = "{count} proposals to answer  (P)"
SEE_CORNERS = "Corners of the photograph  (L)"
SEE_NOTES = "A note on values to take or leave"
SEE_JOINS = "{count} doubtful joins  (D)"
DOUBTS_NONE = "Nothing to see to."
DOUBTS_MORE = "… and {count} more"
MARKED = "Marked: {kind}."

# -- cautions ----------------------------------------------------------------------------------------
CAUTIONS = "Before the leads touch the set"
CAUTIONS_WHEN = "Asked once a day before the first reading, and again after power was applied."
CAUTIONS_LARGE = "Large capacitors of this set, to be bled and seen empty: {listed}."
CAUTIONS_POWER = "Power was applied since these were last agreed to: a charge may be left again."
CAUTIONS_UNBLED = "No part bleeds {listed} as the switches stand: the charge stays until you bleed it."
CAUTIONS_UNRATED = "{reference} {value}"
CAUTIONS_RATED = "{reference} {value} {rated}"
POWER_KEPT = "Power applied: kept in the record. The cautions are asked again before the next reading."
POWER_ROW = "Power applied"
CAUTIONS_DONE = "All of this is done (Space ticks)"
CAUTIONS_GO_ON = "Go on"
CAUTIONS_LEAVE = "Not yet"

# -- undo, errors, menus -----------------------------------------------------------------------------
UNDONE = "Undone: {what}"
REDONE = "Redone: {what}"
NOTHING_TO_UNDO = "Nothing to undo."
NOTHING_TO_REDO = "Nothing to redo."
CLOSE_NOTE = "Close this note"
NOTE_NAME = "Message"
KEPT_IN = "Everything is kept in {path}"
UNEXPECTED = (
    "Something went wrong inside the program ({error}). The job file is whole: each change is kept at once. "
    "If it happens again, tell the maintainers what was done just before."
)
NO_JOB = "Open a scan or a job first."
PAGE_QUESTION = "Which page?"
PAGE_LABEL = "Pages of {name}, of {count}; several become sheets of one set (1-3, 5):"
PAGE_UNKNOWN = "{text} names no page of {name}, which has {count}. Write 1, or 1-3, 5."

MENU_JOB = "&Job"
MENU_SHEET = "&Sheet"
MENU_PARTS = "&Parts"
MENU_READING = "&Readings"
MENU_VIEW = "&View"
MENU_HELP = "&Help"

DO_OPEN_SCAN = "Open a scan…"
DO_OPEN_JOB = "Go on with a job…"
DO_OPEN_DEMO = "Look at the demo"
DO_ADD_SHEET = "Add another sheet of the set…"
DO_REPORT = "Write the report…"
DO_UNDO = "Undo"
DO_REDO = "Redo"
DO_UNDO_WHAT = "Undo: {what}"
DO_REDO_WHAT = "Redo: {what}"
DO_LEAVE = "Leave"
DO_PRESS = "Press at the crosshair"
DO_NEXT_SHEET = "Next sheet"
DO_PREVIOUS_SHEET = "Previous sheet"
DO_READ_AGAIN = "Read the sheet again"
DO_NEXT_DOUBT = "Next doubtful join"
DO_PREVIOUS_DOUBT = "Previous doubtful join"
DO_CORNERS = "Corners of a photographed sheet"
DO_CUT = "Cut the conductor here"
DO_JOIN = "Join here to another place"
DO_JUNCTION = "The crossing here is a junction"
DO_NOT_WIRE = "What is here is not wire"
DO_NEXT_PROPOSAL = "Next proposal"
DO_PREVIOUS_PROPOSAL = "Previous proposal"
DO_YES = "Yes to the part or join asked about"
DO_NO = "No: it is not a part; the join is mended"
DO_TURN_ENDS = "Turn the ends of the part asked about round"
DO_ALL_LIKE_IT = "Yes to all of its kind that are at least as sure"
DO_NEW_BANK = "A new switch bank"
DO_CONTACTS = "Contacts of a switch bank…"
DO_BOX = "Draw a box round a part"
DO_EDIT_PART = "Change the picked part"
DO_REMOVE_PART = "Remove the picked part"
DO_MARK_REPLACED = "Mark: replaced"
DO_MARK_CHECKED_OUT = "Mark: checked out of circuit"
DO_MARK_SEEN = "Mark: seen by eye"
DO_MARK_TRUSTED = "Mark: taken on trust"
DO_MARK_LATER = "Mark: left for later"
DO_PLUS_LEAD = "Type where the red lead goes"
DO_MINUS_LEAD = "Type where the black lead goes"
DO_METER = "Type what the meter shows"
DO_TAKE_NEXT = "Go to the next reading offered"
DO_SWAP = "Swap the leads"
DO_LIFT = "Take both leads off"
DO_CAUTIONS = "Cautions"
DO_POWER = "Power has been applied"
DO_TONE = "Tone with each verdict"
DO_LEGEND = "Legend on the sheet"
DO_FIT = "Whole sheet"
DO_FIT_WIDTH = "Whole width of the sheet"
DO_TO_PICKED = "Near to what is picked"
DO_LIST_PARTS = "Find a part"
DO_LIST_CONDUCTORS = "Find a conductor"
DO_LIST_READINGS = "Look through the readings"
DO_TRUE_SIZE = "One page pixel on one screen pixel"
DO_NEARER = "Nearer"
DO_FARTHER = "Farther"
DO_LARGER = "Larger type in the strip"
DO_SMALLER = "Smaller type in the strip"
DO_DRAWER = "Drawer in or out"
DO_WHOLE_SCREEN = "Whole screen"
DO_ESCAPE = "Leave what was begun"
DO_KEYS = "Keys"
DO_ABOUT = "About Tracer"
REPORT_PLACE = "Which folder should the report go into?"
REPORT_WRITTEN = "The report is in {path}"

KEYS_TITLE = "Keys"
KEYS_CLOSE = "The arrows move this; any other key closes it."
KEYS_HAND = "On the sheet"
KEYS_FIELD = "In the reading's field"
KEYS_TYPED = (
    ("3k1  OL  0.3", "What the meter shows; a last r while it still rises"),
    ("HT2 V3.6", "Where the leads go, red first"),
    ("INPUT Disc", "How a switch stands; V4 out, V4 in for a valve"),
    ("↵", "In the empty field: go where the next reading, or the likeliest cause, wants the leads"),
    ("↓  ↑", "Choose among the causes of a wrong reading"),
)
KEYS_MOUSE = (
    ("Wheel", "Zoom at the pointer"),
    ("Drag", "Move the sheet"),
    ("Press", "Light a conductor, open a part, or put the waiting lead on a terminal"),
    ("Arrows", "Move the sheet; Shift moves by a screen"),
)
ABOUT = (
    "Tracer proves the wiring of old electronics from its circuit diagram, with an ohmmeter and the set "
    "unplugged. It does not replace local rules or licensed practice: they come first."
)


def ohms(value: float | None) -> str:
    """Return `value` in three figures as a restorer writes it.

    Examples
    --------
    >>> ohms(3_104.0), ohms(0.30000001), ohms(470.0)
    ('3k1', '0R3', '470')
    """
    if value is None:
        return "?"
    if value < 0.05:
        return "0"
    return format_value(value, "ohm", 3 if value >= 1 else 2)


def seconds(value: float) -> str:
    """Return a time in words a person uses.

    Examples
    --------
    >>> seconds(0.2), seconds(14.0), seconds(200.0)
    ('1 s', '14 s', '3 min')
    """
    if not math.isfinite(value):
        return "many minutes"
    if value < 99:
        return f"{max(1, round(value))} s"
    return f"{round(value / 60)} min"


def figures(
    low: float | None, expected: float | None, high: float | None, is_open: bool
) -> tuple[str, str, str]:
    """Return the three figures over the dial: low, expected, high; the limits alone if no one is expected."""
    if is_open or low is None:
        return "", EXPECT_OPEN, ""
    if expected is None:
        return "", f"{ohms(low)} … {OVER_RANGE if high is None or math.isinf(high) else ohms(high)}", ""
    top = OVER_RANGE if high is None or math.isinf(high) else ohms(high)
    return ohms(low), ohms(expected), top


def dial_in_words(
    low: float | None, expected: float | None, high: float | None, is_open: bool, shown: float | None
) -> str:
    """Return what the dial shows, for those who hear it."""
    if is_open:
        text = EXPECT_OPEN_LONG
    elif low is None:
        text = NO_PAIR
    else:
        bottom, middle, top = figures(low, expected, high, is_open)
        text = f"expected {middle}, from {bottom} to {top}"
    if shown is None:
        return text
    return f"{text}; the meter shows {ohms(shown)}"


def path_in_words(shares: tuple[tuple[str, float], ...], most: int = 4) -> str:
    """Return the parts that make up the ohms, largest share first.

    Examples
    --------
    >>> path_in_words((("R7", 0.62), ("R9", 0.38)))
    'through R7 62 %, R9 38 %'
    """
    telling = sorted((s for s in shares if s[1] >= 0.005), key=lambda s: -s[1])
    if not telling:
        return ""
    named = [f"{part} {round(share * 100)} %" for part, share in telling[:most]]
    if len(telling) > most:
        named.append(f"{len(telling) - most} more")
    return THROUGH.format(parts=", ".join(named))
