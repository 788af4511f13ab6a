"""A hand at the real window: it touches what it finds by name, drags and types, with events of the X server."""
import re, time
from screen import SENSITIVE, Element, Sight, Stuck

# A page refuses for 0.6 s what may be a second tap of the same finger; a person takes longer to read it.
READING = 0.64
# A hazard's page is drawn later than it is told of on a busy machine, and a person takes longer still.
HAZARD = 1.0
# How long a finger stays on the glass.
TAP = 0.05
# Between two places of a finger that draws.
STEP = 0.016
# A page is at rest when nothing has been told of it for so long.
REST = 0.05
# A picture of a page is taken so long before it is left.
PICTURE = 0.15
# These count only while the program has nothing to do: on a busy machine its answer takes as long as it takes.
# After this time without an answer a person tries once more; sooner, where the page itself keeps off a second tap.
ANSWER, ANSWER_ON_GUARD = 6, 2.5
# After this time without a word the tree is asked for anew.
LAG = 2
# What is waited for longer than so many times its time does not come, however busy the program is.
MOST = 6
# So long after each full minute the clock on the screen may go on. Slint 1.18 ends the program where something changes
# in the very moment in which a reader of the screen comes.
TICK = 1.2
# The screen is looked at this often even where nothing is told.
GLANCE = 0.25
MORE = "Show more below"
# What the head of a step's page tells.
PLACE = re.compile(r"Step \d+ of \d+")
WRITING = "One moment: being written"


class Hand:
    """`program` says whether it lives and works; `doing` is the act that is due, for whoever reads of a fault."""

    def __init__(self, program, pictures, log):
        self.screen, self.pointer = program.desk.screen, program.desk.pointer
        self.program, self.pictures, self.log, self.doing = program, pictures, log, "the first page"
        self.sight, self.since, self.again, self.touches, self.keys = None, 0.0, 0, 0, 0
        # How much had been told when the sight was taken, and when that was; and when it was at rest.
        self.seen, self.at, self.rested = -1, 0.0, -1
        # The page that the tree was made anew for, by its time.
        self.fresh = None
        # The names of the pictures, the one that is taken before this page is left, and what a finger could not reach.
        self.kept, self.due, self.faults = set(), None, []
        # What the head of the last step's page told, and how that was drawn.
        self.head = None
        self.width, self.height = 1280, 800

    def look(self):
        """What stands on the screen now; asked for only where something may have changed."""
        if self.seen != self.screen.signals or time.monotonic() > self.at + GLANCE:
            self.seen, self.at = self.screen.signals, time.monotonic()
            before, self.sight = self.sight, self.screen.read()
            if self.sight != before:
                self.since = max(self.since, self.screen.heard)
        return self.sight

    def settled(self):
        """What stands on the screen when it has come to rest, and what was done has been written."""
        for _ in self.time(60):
            if not self.screen.signal(REST) and not self.look().has(WRITING):
                break
        self.rested = self.screen.signals
        return self.look()

    def time(self, seconds):
        """Turns, for so many seconds in which the program lives and has nothing to do; each says how many of them have
        passed."""
        begun = last = time.monotonic()
        idle = 0.0
        while idle < seconds and last < begun + MOST * seconds:
            yield idle
            self.program.must_live()
            now = time.monotonic()
            if not self.program.at_work():
                idle += now - last
            last = now

    def wait(self, seen, seconds=60, what="what was waited for"):
        """Looks until `seen` says yes of what is there."""
        for now in self.looks(seconds):
            if seen(now):
                return now
        self.stuck(f"{what} did not come within {seconds} s")

    def looks(self, seconds):
        """One look after the other, each when something was told; where nothing comes for long, the tree is asked for
        anew."""
        anew = wait = LAG
        yield self.look()
        for passed in self.time(seconds):
            self.screen.signal(GLANCE)
            now = self.look()
            if not now.has(WRITING):
                yield now
            if passed > anew:
                self.log("nothing is told for long: the tree is asked for anew")
                self.renew()
                wait *= 2
                anew = passed + wait

    def rests(self, seconds):
        """What stands on the screen each time it has come to rest after something was told."""
        for _ in self.time(seconds):
            self.screen.signal(GLANCE)
            yield self.settled()

    def renew(self):
        """Has the tree of this page made anew, so that everything is where it is told to be."""
        self.screen.anew()
        self.seen = -1
        self.look()
        self.fresh, self.rested = self.since, self.screen.signals

    def stuck(self, why):
        raise Stuck(why)

    def keep_what_stands(self, why, name, asked=True):
        """Keeps the picture of the screen and the tree of the page on which this went wrong, with the act. Where the
        program may not answer any more, what is known of the tree must do."""
        self.pointer.keep(self.pointer.grab(), self.pictures / f"{name}.png")
        lines = [f"At: {self.doing}", f"Why: {why}", "On the screen:"]
        for one in self.sight.elements if self.sight else ():
            lines.append(f"  {one.told(asked)}")
        (self.pictures / f"{name}.txt").write_text("\n".join(lines) + "\n", encoding="utf-8")

    def picture(self, name):
        """Keeps the first picture of this name, of the whole screen."""
        if self.is_new(name):
            self.keep(self.pointer.still(), name)

    def picture_before_leaving(self, name):
        """The same of a page that wants to be looked at, while that time passes."""
        if self.is_new(name):
            self.due = name

    def is_new(self, name):
        new = name not in self.kept
        self.kept.add(name)
        return new

    def keep(self, image, name):
        self.pointer.keep(image, self.pictures / f"{len(self.kept):03}-{name}.png")

    def read_on(self, seconds=READING, ahead=0.0):
        """Lets the time pass that a page wants to be looked at, but for what the hand itself needs to act; what is told
        meanwhile makes it another page."""
        while (left := self.since + seconds - ahead - time.monotonic()) > 0:
            if self.due and left <= PICTURE:
                self.take_what_is_due()
            else:
                self.screen.pause(left - PICTURE if self.due else left)
                self.look()
        if self.due:
            self.take_what_is_due()

    def take_what_is_due(self):
        name, self.due = self.due, None
        image = self.pointer.grab()
        self.keep(image, name)
        self.see_that_it_is_drawn(image)

    def see_that_it_is_drawn(self, image):
        """Sees that the head of a step's page is drawn anew where it tells of another step."""
        place = next((one for one in self.sight.elements if PLACE.fullmatch(one.name)), None)
        if place and place.box[2]:
            x, y, width, height = place.box
            told, drawn = place.name, image.crop((x, y, x + width, y + height)).tobytes()
            if self.head and told != self.head[0] and drawn == self.head[1]:
                self.faults.append(f"the head tells of “{told}” and still shows “{self.head[0]}”: {self.doing}")
                told = self.head[0]
            self.head = told, drawn

    def until_changed(self, name, act, answer=ANSWER, of=lambda sight: sight):
        """Does to what is called this what changes the screen, or what of it is told by `of`; once more where that came
        too early, which is counted."""
        for attempt in range(3):
            found = self.at_rest(name)
            before = of(self.sight)
            act(found)
            if any(of(now) != before for now in self.rests(answer)):
                self.again += attempt
                return
            # It may have been told of just now.
            self.renew()
            if of(self.settled()) != before:
                return
            self.log(f"no answer to what was done to “{name}”")
        self.stuck(f"the screen stays the same after what was done to “{name}”")

    def at_rest(self, name):
        """What is called this, once it stays in its place: nobody touches a page quicker than it is laid out."""
        if self.rested != self.screen.signals:
            self.settled()
        if self.fresh != self.since and not 0.0 <= time.time() % 60 < TICK:
            self.renew()
        found = self.find(name)
        for _ in self.time(20):
            if self.rested == self.screen.signals:
                break
            before, moved = found.box, self.screen.signal(REST)
            found = self.find(name)
            if found.box == before and not moved:
                break
        return found

    def find(self, name):
        """What is called this, brought into sight; a page may take its time to come."""
        for now in self.looks(60):
            found, more = now.find(name), now.plate(MORE) if name != MORE else None
            if found and self.in_sight(found, more):
                return found
            if more:
                self.scroll(MORE)
        return self.stuck(f"nothing in sight is called “{name}”")

    def in_sight(self, found, more):
        """Whether a finger reaches it: what is still to be scrolled lies below the plate that scrolls, under what stands
        at the foot of the page, which comes later in the tree."""
        x, y = found.centre()
        if not (found.box[2] > 0 and 0 <= x < self.width and 0 <= y < self.height):
            return False
        if not more or y < more.box[1] + more.box[3]:
            return True
        later = self.sight.elements[self.sight.elements.index(found) + 1:]
        return not any(one.button() and one.covers(x, y) for one in later)

    def see_that_all_lies_in(self, panel):
        """Sees that no words hang over the foot of the panel that they begin in."""
        sheet = next(filter(panel, self.settled().elements))
        x, y, width, height = sheet.box
        for one in self.sight.elements:
            left, top, _, high = one.box
            if x < left < x + width and y < top < y + height < top + high:
                self.faults.append(f"“{one.name}” ends at {top + high}, hangs over its panel, which ends at {y + height}: {sheet.name}")

    def see_that_all_fits(self):
        """Sees that no plate hangs over the right edge of the window."""
        for one in filter(Element.button, self.settled().elements):
            if one.box[0] + one.box[2] > self.width:
                self.faults.append(f"“{one.name}” ends at {one.box[0] + one.box[2]} of {self.width}")

    def scroll(self, name, read=0.0):
        """Touches the plate that moves what is long; that may change nothing but where things stand."""
        self.touch(name, read, Sight.layout)

    def press(self, x, y):
        self.touches += 1
        self.pointer.move(x, y)
        self.pointer.down()
        self.screen.pause(TAP)
        self.pointer.up()

    def touch(self, name, read=0.0, of=lambda sight: sight):
        """Touches the middle of what is called this, and sees that the screen answers; `read` is how long a page first
        wants to be looked at."""
        if not self.at_rest(name).has(SENSITIVE):
            self.stuck(f"“{name}” cannot be touched now")
        if read:
            self.read_on(read, TAP)
        self.until_changed(name, lambda found: self.press(*found.centre()), ANSWER_ON_GUARD if read else ANSWER, of)

    def leave(self, name, read=0.0):
        """Touches what is called this and sees that it goes: a page may change before it is done with."""
        self.touch(name, read, lambda now: now.plate(name) is None)

    def touch_what_shows(self, name):
        """Touches what is called this; where it hangs over the foot of the window that is a fault, and a finger takes what
        is still to be seen of it, so that one run finds all such pages."""
        self.wait(lambda now: now.plate(name), what=f"the plate {name}")
        self.settled()
        x, y, width, height = self.wait(lambda now: now.plate(name), what=f"the plate {name}").plate(name).box
        if y + height <= self.height:
            return self.leave(name)
        self.faults.append(f"“{name}” ends at {y + height} of {self.height}, at: {self.sight.names()[11:13]}")
        self.picture(f"over-the-edge-{len(self.faults)}")
        middle = x + width // 2, (y + self.height) // 2
        self.until_changed(name, lambda _: self.press(*middle))

    def touch_started(self, start):
        found = self.wait(lambda now: now.starting(start), what=f"a plate that begins with “{start}”").starting(start)
        self.touch(found.name)

    def drag(self, name, of):
        """Presses at the left end of what is called this and draws across most of it."""
        self.at_rest(name)
        self.read_on(ahead=STEP * 16)
        self.until_changed(name, lambda found: self.draw(*found.box), ANSWER_ON_GUARD, of)

    def draw(self, x, y, width, height):
        self.touches += 1
        places = [(x + width * share // 20, y + height // 2) for share in range(1, 17)]
        self.pointer.move(*places[0])
        self.pointer.down()
        for place in places[1:]:
            self.screen.pause(STEP)
            self.pointer.move(*place)
        self.screen.pause(STEP)
        self.pointer.up()

    def type(self, text, seen=None):
        """Types; `seen` says of the screen whether all of it has arrived."""
        self.keys += len(text)
        self.pointer.type(text)
        if seen:
            self.wait(seen, what=f"what was typed, {text},")

    def type_into(self, name, text):
        self.wait(lambda now: now.field(name), what=f"the field {name}")
        self.type(text, lambda now: now.field(name) and now.field(name).value == text)

    def key(self, name):
        self.keys += 1
        self.pointer.key(name)
