"""The screen as a screen reader gets it: what stands where, over the accessibility bus (AT-SPI), and nothing else.

The program is asked for its tree as any other would be; no test hook of its own is used."""
import time
from gi.repository import Gio, GLib

ROOT = "/org/a11y/atspi/accessible/root"
ACCESSIBLE, COMPONENT, TEXT = (f"org.a11y.atspi.{name}" for name in ("Accessible", "Component", "Text"))
# Bits of the state set, from the enumeration AtspiStateType of at-spi2-core 2.46.
FOCUSED, PRESSED, SENSITIVE = 12, 20, 24
# Roles, from its enumeration AtspiRole.
BUTTONS, FIELDS = (43, 62), (40, 61, 79)
# How long an answer may take on a busy machine, in milliseconds.
PATIENCE = 60_000
WHOLE = {"name", "role", "states", "box"}


class Element:
    """One thing on the screen, in pixels of the screen."""

    def __init__(self, told):
        self.name, self.role, self.states, self.box = (told[key] for key in ("name", "role", "states", "box"))
        # What stands in a field; a passphrase is not told.
        self.value = told.get("value", "")

    def has(self, state):
        return bool(self.states >> state & 1)

    def centre(self):
        x, y, width, height = self.box
        return x + width // 2, y + height // 2

    def button(self):
        return self.role in BUTTONS

    def key(self):
        return self.name, self.role, self.value, self.box, self.has(PRESSED), self.has(SENSITIVE)


class Sight:
    """All that was on the screen at one moment."""

    def __init__(self, elements):
        self.elements = elements

    def __eq__(self, other):
        return isinstance(other, Sight) and self.keys() == other.keys()

    def keys(self):
        # The clock goes on by itself.
        return [one.key() for one in self.elements if not one.name.startswith("Clock ")]

    def names(self):
        return [one.name for one in self.elements if one.name]

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
        said = session.call_sync("org.a11y.Bus", "/org/a11y/bus", "org.a11y.Bus", "GetAddress", None, None, 0, -1)
        flags = Gio.DBusConnectionFlags.AUTHENTICATION_CLIENT | Gio.DBusConnectionFlags.MESSAGE_BUS_CONNECTION
        self.bus = Gio.DBusConnection.new_for_address_sync(said.unpack()[0], flags)
        self.app = self.name = None
        self.reads = self.renewals = 0

    def listen(self, reading=True):
        """Tells the session whether somebody reads the screen, as a screen reader does; programs then show their tree."""
        session = Gio.bus_get_sync(Gio.BusType.SESSION)
        for name in ("IsEnabled", "ScreenReaderEnabled"):
            given = GLib.Variant("(ssv)", ("org.a11y.Status", name, GLib.Variant("b", reading)))
            session.call_sync("org.a11y.Bus", "/org/a11y/bus", "org.freedesktop.DBus.Properties", "Set", given, None, 0, -1)

    def anew(self):
        """Has the program build its whole tree again, as for a reader that comes only now: what Slint tells of changes
        may lag behind what it draws."""
        self.renewals += 1
        self.listen(False)
        time.sleep(0.1)
        self.listen()
        self.find_program(self.name, 60)

    def find_program(self, name, seconds):
        """Waits until the program of this name has come to the bus with a window."""
        self.name = name
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            for place in self.children("org.a11y.atspi.Registry", ROOT):
                self.app = place
                if self.said(place, "Name") == name and self.children(*place):
                    return
            time.sleep(0.05)
        raise SystemExit(f"{name} did not come to the accessibility bus within {seconds} s")

    def children(self, owner, path):
        try:
            got = self.bus.call_sync(owner, path, ACCESSIBLE, "GetChildren", None, None, 0, PATIENCE)
        except GLib.Error:
            return []
        return got.unpack()[0]

    def said(self, place, name):
        given = GLib.Variant("(ss)", (ACCESSIBLE, name))
        try:
            return self.bus.call_sync(*place, "org.freedesktop.DBus.Properties", "Get", given, None, 0, PATIENCE).unpack()[0]
        except GLib.Error:
            return None

    def read(self):
        """Everything with a place on the screen, in the order of the tree."""
        self.reads += 1
        order, told, waiting = [], {}, [0]
        self.visit(self.app, (), order, told, waiting)
        while waiting[0]:
            GLib.MainContext.default().iteration(True)
        whole = [told[place] for _, place in sorted(order) if told[place].keys() >= WHOLE]
        return Sight([Element(one) for one in whole if one["box"][2] > 0])

    def visit(self, place, at, order, told, waiting):
        """Asks for all about one element at once; its children are visited when they are known."""
        order.append((at, place))
        told[place] = {}

        def ask(interface, method, given, keep):
            def answered(bus, result):
                waiting[0] -= 1
                try:
                    keep(bus.call_finish(result).unpack()[0])
                except GLib.Error:
                    pass  # It is gone since; the next look will not find it.
            waiting[0] += 1
            self.bus.call(*place, interface, method, given, None, 0, PATIENCE, None, answered)

        def children(places):
            for number, child in enumerate(places):
                self.visit(tuple(child), at + (number,), order, told, waiting)

        def role(it):
            keep("role", it)
            if it in FIELDS:
                ask(TEXT, "GetText", GLib.Variant("(ii)", (0, -1)), lambda it: keep("value", it))

        keep = told[place].__setitem__
        ask(ACCESSIBLE, "GetChildren", None, children)
        ask("org.freedesktop.DBus.Properties", "Get", GLib.Variant("(ss)", (ACCESSIBLE, "Name")), lambda it: keep("name", it))
        ask(ACCESSIBLE, "GetRole", None, role)
        ask(ACCESSIBLE, "GetState", None, lambda it: keep("states", it[0] | it[1] << 32))
        ask(COMPONENT, "GetExtents", GLib.Variant("(u)", (0,)), lambda it: keep("box", it))
