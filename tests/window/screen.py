"""The screen as a screen reader gets it: what stands where, over the accessibility bus (AT-SPI), and nothing else.

The program is asked for its tree as any other would be; no test hook of its own is used. One call brings the whole tree
(the cache that AT-SPI has for this), and the signals of the program say when it is worth asking again."""
import time
from functools import cached_property
from gi.repository import Gio, GLib

ROOT, CACHE = "/org/a11y/atspi/accessible/root", "/org/a11y/atspi/cache"
ACCESSIBLE, COMPONENT, TEXT = (f"org.a11y.atspi.{name}" for name in ("Accessible", "Component", "Text"))
# Bits of the state set, from the enumeration AtspiStateType of at-spi2-core 2.46.
CHECKED, FOCUSED, PRESSED, SELECTED, SENSITIVE = 4, 12, 20, 23, 24
# Roles, from its enumeration AtspiRole.
# What is touched: buttons and toggles, one of several, a box to tick, a tab; an item of a list that can be chosen.
BUTTONS, ITEM, FIELDS = (43, 62, 44, 7, 37), 32, (40, 61, 79)
SELECTABLE = 22
# How long an answer may take on a busy machine, in milliseconds.
PATIENCE = 60_000


class Stuck(Exception):
    """What a person at the screen would call somebody for."""


class Element:
    """One thing on the screen, as it was at the moment of the look."""

    def __init__(self, item, screen):
        # A figure and its unit are kept in one line with a space of their own.
        self.place, self.name, self.role, self.screen = tuple(item[0]), item[6].replace("\u00a0", " "), item[7], screen
        self.states = item[9][0] | item[9][1] << 32
        # What stands in a field; a passphrase is not told.
        self.value = screen.ask(self.place, TEXT, "GetText", "(ii)", (0, -1)) or "" if self.role in FIELDS else ""

    @cached_property
    def box(self):
        """Where it stands, in pixels of the screen; nowhere, where it is gone since."""
        return self.screen.ask(self.place, COMPONENT, "GetExtents", "(u)", (0,)) or (0, 0, 0, 0)

    def told(self, asked):
        """One line for whoever reads of a fault; where it stands is `asked` for, or told as far as it is known."""
        on, off = " on" if self.on() else "", "" if self.has(SENSITIVE) else " off"
        box = self.box if asked else self.__dict__.get("box", "?")
        return f"role {self.role}{on}{off} at {box}: {self.name!r}" + (f" holds {self.value!r}" if self.value else "")

    def has(self, state):
        return bool(self.states >> state & 1)

    def centre(self):
        x, y, width, height = self.box
        return x + width // 2, y + height // 2

    def covers(self, x, y):
        left, top, width, height = self.box
        return left <= x < left + width and top <= y < top + height

    def button(self):
        return self.role in BUTTONS or self.role == ITEM and self.has(SELECTABLE)

    def on(self):
        """Whether it is chosen, whichever kind of control it is."""
        return any(self.has(state) for state in (CHECKED, PRESSED, SELECTED))

    def key(self):
        return self.name, self.role, self.value, self.on(), self.has(SENSITIVE)


class Sight:
    """All that was on the screen at one moment."""

    def __init__(self, elements):
        self.elements = elements
        # The clock goes on by itself.
        self.keys = [one.key() for one in elements if not one.name.startswith("Clock ")]

    def __eq__(self, other):
        return isinstance(other, Sight) and self.keys == other.keys

    def layout(self):
        """Where everything stands."""
        return [one.box for one in self.elements]

    def names(self):
        return [one.name for one in self.elements if one.name]

    def begins(self, start):
        """All names that begin so."""
        return [one.name for one in self.elements if one.name.startswith(start)]

    def has(self, name):
        return any(one.name == name for one in self.elements)

    def find(self, name):
        """The control with this name, or else whatever bears it."""
        found = [one for one in self.elements if one.name == name]
        return next((one for one in found if one.button()), found[0] if found else None)

    def plate(self, name):
        return next((one for one in self.elements if one.name == name and one.button()), None)

    def starting(self, start):
        return next((one for one in self.elements if one.name.startswith(start) and one.button()), None)

    def fields(self):
        return [one for one in self.elements if one.role in FIELDS]

    def field(self, name):
        return next((one for one in self.fields() if one.name == name), None)


class Screen:
    """A connection to the accessibility bus of this session."""

    def __init__(self):
        session = Gio.bus_get_sync(Gio.BusType.SESSION)
        said = session.call_sync("org.a11y.Bus", "/org/a11y/bus", "org.a11y.Bus", "GetAddress", None, None, 0, PATIENCE)
        flags = Gio.DBusConnectionFlags.AUTHENTICATION_CLIENT | Gio.DBusConnectionFlags.MESSAGE_BUS_CONNECTION
        self.bus = Gio.DBusConnection.new_for_address_sync(said.unpack()[0], flags)
        self.context = GLib.MainContext.default()
        self.app = self.name = None
        # Asked while the program is waited for: raises where it is gone.
        self.must_live = lambda: None
        self.reads = self.renewals = self.signals = 0
        self.heard = 0.0
        self.bus.signal_subscribe(None, None, None, None, None, Gio.DBusSignalFlags.NONE, self.told)

    def told(self, bus, sender, *_):
        if self.app and sender == self.app[0]:
            self.signals += 1
            self.heard = time.monotonic()

    def listen(self, reading=True):
        """Tells the session whether somebody reads the screen, as a screen reader does; programs then show their tree."""
        session = Gio.bus_get_sync(Gio.BusType.SESSION)
        for name in ("IsEnabled", "ScreenReaderEnabled"):
            given = GLib.Variant("(ssv)", ("org.a11y.Status", name, GLib.Variant("b", reading)))
            to = ("org.a11y.Bus", "/org/a11y/bus", "org.freedesktop.DBus.Properties", "Set")
            try:
                session.call_sync(*to, given, None, 0, PATIENCE)
            except GLib.Error as error:
                raise Stuck(f"the accessibility bus does not answer: {error.message}") from error

    def anew(self):
        """Has the program build its whole tree again, as for a reader that comes only now; it leaves the bus for that
        and comes back under another name. Slint 1.18 stops telling of a part of the page that took the place of one
        that went while the tree was being made."""
        self.renewals += 1
        for _ in range(12):
            self.listen(False)
            self.listen()
            if self.is_there(15, self.app):
                break
        else:
            raise Stuck(f"{self.name} did not come back to the accessibility bus")
        # What it says as it comes is no change.
        while self.context.pending():
            self.context.iteration(False)

    def find_program(self, name, seconds):
        """Waits until the program of this name has come to the bus with a window."""
        self.name = name
        if not self.is_there(seconds):
            raise Stuck(f"{name} did not come to the accessibility bus within {seconds} s")

    def is_there(self, seconds, gone=None):
        """Whether it comes to the bus within this time, in another place than where it was."""
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            self.must_live()
            for place in self.children(("org.a11y.atspi.Registry", ROOT)):
                if place != gone and self.name_of(place) == self.name and self.children(place):
                    self.app = place
                    return True
            self.pause(0.01)
        return False

    def ask(self, place, interface, method, form="()", given=()):
        """One answer of one thing; None where it is gone."""
        try:
            return self.bus.call_sync(*place, interface, method, GLib.Variant(form, given), None, 0, PATIENCE).unpack()[0]
        except GLib.Error:
            return None

    def children(self, place):
        return self.ask(place, ACCESSIBLE, "GetChildren") or []

    def name_of(self, place):
        return self.ask(place, "org.freedesktop.DBus.Properties", "Get", "(ss)", (ACCESSIBLE, "Name"))

    def pause(self, seconds):
        """Lets the time pass, and hears what is told meanwhile."""
        self.wait_for(lambda: False, seconds)

    def signal(self, seconds):
        """Waits for a word of the program that something is other than before; whether one came within this time."""
        before = self.signals
        return self.wait_for(lambda: self.signals != before, seconds)

    def wait_for(self, seen, seconds):
        rung = []
        bell = GLib.timeout_add(max(0, round(seconds * 1000)), lambda: rung.append(True))
        while not seen() and not rung:
            self.context.iteration(True)
        if not rung:
            GLib.source_remove(bell)
        return not rung

    def read(self):
        """Everything that has a name or takes text, in the order of the tree."""
        self.reads += 1
        items = self.ask((self.app[0], CACHE), "org.a11y.atspi.Cache", "GetItems") or []
        found = [Element(item, self) for item in items[1:] if item[6] or item[7] in FIELDS]
        return Sight(found)
