"""A hand at the real window: it touches what it finds by name, drags and types, with events of the X server (xdotool)."""
import subprocess, time
from screen import SENSITIVE

# A page refuses for 0.6 s what may be a second tap of the same finger; a person takes longer to read it.
READING = 0.65
# Nobody's hand is quicker than this.
REACTION = 0.2
# After this time without an answer a person tries once more.
ANSWER = 15
# What is drawn is told to a reader of the screen within this time, or not at all.
LAG = 3
MORE = "Show more below"
WRITING = "One moment: being written"


class Hand:
    def __init__(self, screen, pictures):
        self.screen, self.pictures = screen, pictures
        self.sight, self.since, self.again, self.touches, self.keys = None, 0.0, 0, 0, 0
        # What a finger could not reach.
        self.faults = []
        self.width, self.height = 1280, 800

    def tool(self, *arguments):
        subprocess.run(["xdotool", *map(str, arguments)], check=True)

    def look(self):
        """What stands on the screen when it has come to rest."""
        before, now = None, self.screen.read()
        end = time.monotonic() + 30
        while (now != before or now.has(WRITING)) and time.monotonic() < end:
            before, now = now, self.screen.read()
        if self.sight is None or now != self.sight:
            self.sight, self.since = now, time.monotonic()
        return now

    def wait(self, seen, seconds=20, what="what was waited for"):
        """Looks until `seen` says yes of what is there."""
        for now in self.looks(seconds):
            if seen(now):
                return now
        self.stuck(f"{what} did not come within {seconds} s")

    def looks(self, seconds):
        """One look after the other; where nothing comes for long, the tree is asked for anew."""
        end, anew = time.monotonic() + seconds, time.monotonic() + LAG
        while time.monotonic() < end:
            yield self.look()
            time.sleep(0.02)
            if time.monotonic() > anew:
                self.screen.anew()
                anew = time.monotonic() + 2 * LAG

    def stuck(self, why):
        (self.pictures / "stuck.png").unlink(missing_ok=True)
        self.picture("stuck")
        raise SystemExit(f"{why}; a picture of it is kept. On the screen: {self.sight.names()}")

    def picture(self, name):
        """Keeps the first picture of this name, of the whole screen."""
        file = self.pictures / f"{name}.png"
        if not file.exists():
            subprocess.run(["import", "-silent", "-window", "root", str(file)], check=True)

    def read_on(self):
        """Lets the time pass that a page wants to be looked at."""
        time.sleep(max(0.0, self.since + READING - time.monotonic()))

    def changed(self, seconds):
        """Whether the screen is another than before, within this time."""
        before = self.sight
        return any(now != before for now in self.looks(seconds))

    def until_changed(self, act, what):
        """Does what changes the screen; once more where the first time came too early, which is counted."""
        for attempt in range(2):
            act()
            if self.changed(ANSWER):
                self.again += attempt
                return
        self.stuck(f"the screen stays the same after {what}")

    def at_rest(self, name):
        """What is called this, once it stays in its place: nobody touches a page quicker than it is laid out."""
        found, since = self.find(name), time.monotonic()
        while time.monotonic() < since + REACTION:
            time.sleep(0.05)
            again = self.find(name)
            if again.box != found.box:
                since = time.monotonic()
            found = again
        return found

    def find(self, name):
        """What is called this, brought into sight; a page may take its time to come."""
        for now in self.looks(20):
            found, more = now.find(name), now.find(MORE)
            if found and self.in_sight(found, more):
                return found
            if more:
                self.press(*more.centre())
                self.changed(0.5)
        self.stuck(f"nothing in sight is called “{name}”")

    def in_sight(self, found, more):
        x, y = found.centre()
        below = more and found.box[0] < more.box[0] + more.box[2] and y > more.box[1] + more.box[3]
        return 0 <= x < self.width and 0 <= y < self.height and not below

    def press(self, x, y):
        self.touches += 1
        self.tool("mousemove", x, y, "mousedown", 1, "sleep", 0.12, "mouseup", 1)

    def touch(self, name, read=False):
        """Touches the middle of what is called this, and sees that the screen answers; `read` where a page first wants
        to be looked at."""
        found = self.at_rest(name)
        if not found.has(SENSITIVE):
            self.stuck(f"“{name}” cannot be touched now")
        if read:
            self.read_on()
        self.until_changed(lambda: self.press(*found.centre()), f"a touch on “{name}”")

    def touch_what_shows(self, name):
        """Touches what is called this; where it hangs over the foot of the window that is a fault, and a finger takes what
        is still to be seen of it, so that one run finds all such pages."""
        found = self.wait(lambda now: now.plate(name), what=f"the plate {name}").plate(name)
        x, y, width, height = found.box
        if y + height <= self.height:
            return self.touch(name)
        self.faults.append(f"“{name}” ends at {y + height} of {self.height}, at: {self.sight.names()[11:13]}")
        self.picture(f"over-the-edge-{len(self.faults)}")
        middle = x + width // 2, (y + self.height) // 2
        self.until_changed(lambda: self.press(*middle), f"a touch on what shows of “{name}”")

    def touch_started(self, start):
        found = self.look().starting(start)
        if not found:
            self.stuck(f"no plate begins with “{start}”")
        self.touch(found.name)

    def drag(self, name):
        """Presses at the left end of what is called this and draws across most of it."""
        x, y, width, height = self.at_rest(name).box
        y += height // 2
        steps = [part for share in range(1, 9) for part in ("mousemove", x + width * share // 10, y, "sleep", 0.016)]
        go = ["mousemove", x + width // 20, y, "mousedown", 1, *steps, "mouseup", 1]
        self.touches += 1
        self.read_on()
        self.until_changed(lambda: self.tool(*go), f"a drag across “{name}”")

    def type(self, text, seen=None):
        """Types; `seen` says of the screen whether all of it has arrived."""
        self.keys += len(text)
        self.tool("type", "--delay", 8, "--", text)
        if seen:
            self.wait(seen, what=f"what was typed, {text},")

    def type_into(self, name, text):
        self.wait(lambda now: now.field(name), what=f"the field {name}")
        self.type(text, lambda now: now.field(name) and now.field(name).value == text)

    def key(self, name):
        self.keys += 1
        self.tool("key", name)
