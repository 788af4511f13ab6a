"""A whole job at the real window: the acts of the demonstration, each done by hand on the page that asks for it."""
import shutil
from collections import Counter
from desk import INES, OLENA, TOMASZ
from hand import ANSWER_ON_GUARD, HAZARD, READING
from proof import KINDS
from screen import SENSITIVE
from script import HOUSE, TAKEN_OVER, Words, acts, figure, pattern

# Who comes to the tablet to work, with what stands behind the name there.
WORKERS = {who[0]: (who, role) for who, role in ((INES, "Apprentice"), (OLENA, "Supervisor"))}
# What somebody signs who is called, while another is at the tablet.
CALLED = ("witness", "concede", "release", "release-job")
JOB = "Start: Fit a wet nitrous-oxide system"
REST, NEXT_HAZARD, LAST_HAZARD = "Show the rest", "I have read it. Next hazard", "I have read it and will work so"
SO, SO_HAZARDS = "All of this is so. Begin", "All of this is so. Show the hazards"
TAKE, JOINTS = "Take this one", HOUSE / "src/cli/demo/joints.jpg"
SIGNAL_WORDS = tuple(f"{word}. " for word in ("DANGER", "WARNING", "CAUTION", "NOTICE"))
STRIPE = "Draw the stripe across: done"


class Walk:
    def __init__(self, hand, program, log):
        self.hand, self.program, self.words, self.log = hand, program, Words(), log
        # How many acts are done, how many steps were marked, and who is at the tablet.
        self.at, self.marked, self.present = 0, 0, INES[0]
        self.script = list(acts())

    def done(self):
        """How often each act was done."""
        return Counter(act for _, act, _ in self.script[:self.at])

    def begin_job(self):
        self.hand.picture("jobs-none")
        self.hand.leave("Start a new job")
        self.hand.picture("jobs-new")
        self.hand.leave(JOB)

    def whole_job(self, procedures=None):
        """The job from where it stands to its end, or the end of its first procedures."""
        while self.at < len(self.script):
            if procedures and self.done()["close-out"] >= procedures:
                return
            self.act(*self.script[self.at])
            self.at += 1
        self.its_record()

    def go_on(self, told):
        """After the program was stuck: it is ended and started again, and the acts that the record tells of are done."""
        self.program.kill()
        self.at, self.hand.due = 0, None
        while told > 0:
            told -= self.script[self.at][1] in KINDS
            self.at += 1
        self.present = next((who for who, act, _ in reversed(self.script[:self.at]) if act not in CALLED and who), INES[0])
        self.program.start()
        self.come_back()

    def act(self, who, name, given):
        told = name if name == "card" else " ".join(map(str, (name, *given.values())))
        self.hand.doing = f"act {self.at}, {told}"
        if name not in CALLED and who and who != self.present:
            self.hand_over(who)
        names = {"done": "done_step"}
        getattr(self, names.get(name, name.replace("-", "_")))(**given)
        self.log(told)

    def sees(self, name):
        return self.hand.sight.has(name)

    # People at the tablet.

    def sign_on(self):
        who, role = WORKERS[self.present]
        self.hand.wait(lambda now: now.has("Who works here now?"), what="the sign-on page")
        self.hand.picture("sign-on")
        self.hand.touch(f"{who[1]}. {role}")
        self.secret(who)
        self.hand.picture("passphrase")
        self.hand.leave("Sign on")
        self.hand.wait(lambda now: now.has("Start a new job"), what="the list of jobs")

    def hand_over(self, who):
        """Another person comes to the tablet in the midst of the work, and is told whose work that is."""
        before, self.present = WORKERS[self.present][0], who
        self.hand.leave("Leave the tablet")
        self.sign_on()
        self.hand.picture(f"jobs-one-{who}")
        self.hand.leave("Go on with this job")
        said = f"You take over from {before[1]}"
        self.hand.wait(lambda now: any(said in name for name in now.names()), what=f"“{said}”")
        self.hand.picture(f"taken-over-{who}")
        self.hand.leave("Understood")
        self.log(f"{who} takes over from {before[0]}")

    def secret(self, who):
        self.hand.wait(lambda now: now.field("Passphrase"), what="the field of the passphrase")
        self.hand.type(who[2])

    # The card.

    def card(self, answers):
        self.hand.wait(lambda now: now.has("Next question") or now.has("Accept the card"), what="the card")
        self.hand.picture("card-open")
        while not self.sees("Accept the card") or self.sees("Next question"):
            if self.sees("Next question"):
                self.hand.touch("Next question")
            else:
                self.answer(answers)
        self.hand.picture("card")
        self.hand.leave("Accept the card")

    def answer(self, answers):
        """Answers the question that is asked; which one it is, its label says."""
        asked = self.asked()
        if not asked:
            self.hand.stuck("no question of the card is asked")
        key, field = self.words.fields[asked[0]]
        answer = answers[key]
        if "text" in field:
            now = self.hand.wait(lambda now: now.fields(), what=f"the field of {key}")
            self.hand.picture("card-text")
            self.hand.type_into(now.fields()[0].name, answer)
        elif "quantity" in field:
            self.quantity(answer)
            self.hand.picture("card-quantity")
        else:
            said = field["choice"][answer] if "choice" in field else answer.capitalize()
            self.choose(said)
            self.hand.picture("card-choice")
        self.hand.touch("Next")

    def asked(self):
        return [name for name in self.hand.sight.names() if name in self.words.fields]

    def choose(self, said):
        """Touches the plate that says this, with or without a note, unless it is chosen."""
        plate = lambda now: now.plate(said) or now.starting(f"{said}. ")
        chosen = plate(self.hand.wait(plate, what=f"a plate that says {said}"))
        if not chosen.on():
            self.hand.touch(chosen.name)

    def quantity(self, answer):
        number, unit = figure(answer)
        if unit:
            now = self.hand.wait(lambda now: now.find(f"Unit {unit}"), what=f"a plate for the unit of {answer}")
            if not now.find(f"Unit {unit}").on():
                self.hand.touch(f"Unit {unit}")
        # The sign has a plate of its own on the glass; a keyboard has it too.
        # A figure without a unit stands beside the unit one.
        shown = [f"Typed: {number} {unit or symbol}".strip() for symbol in ("", "1")]
        self.hand.type(number, lambda now: any(name.strip() in shown for name in now.names()))

    # Before a procedure, and hazards.

    def begin(self, procedure):
        self.hand.wait(lambda now: now.has(self.words.titles[procedure]), what=f"the start of {procedure}")
        self.hand.picture(f"before-{procedure}")
        plate = self.to_the_end((SO, SO_HAZARDS))
        self.hand.leave(plate)
        if plate == SO_HAZARDS:
            self.hazards()

    def to_the_end(self, plates, read=0.0):
        """Goes on until one of these plates can be touched: nothing is affirmed while a part of it is out of sight."""
        while True:
            now = self.hand.wait(lambda now: any(map(now.plate, (REST, *plates))), what=f"one of {plates}")
            plate = next(name for name in (REST, *plates) if now.plate(name))
            if plate != REST:
                return plate
            self.hand.scroll(REST, read)

    def hazards(self):
        sheet = lambda one: one.name.startswith(SIGNAL_WORDS) and not one.button()
        plate = None
        while plate != LAST_HAZARD:
            plate = self.to_the_end((LAST_HAZARD, NEXT_HAZARD), HAZARD)
            self.hand.picture_before_leaving(self.hazard_shown(sheet))
            self.hand.see_that_all_lies_in(sheet)
            self.hand.touch(plate, HAZARD, lambda now: [one.name for one in now.elements if sheet(one)])

    def hazard_shown(self, sheet):
        """A name for this hazard, from its first words."""
        shown = next(filter(sheet, self.hand.settled().elements))
        return "hazard-" + "-".join("".join(filter(str.isalpha, word)) for word in shown.name.lower().split()[:6])

    def acknowledge(self, step):
        self.hazards()

    # The step.

    def come_to(self, step):
        """Sees that the screen orders the very thing that is due."""
        self.called(self.words.steps[step]["do"])
        self.hand.picture_before_leaving(f"step-{step}")

    def called(self, text):
        """The very words on the screen for a text of the content, once they stand there."""
        form = pattern(text)
        now = self.hand.wait(lambda now: any(map(form.fullmatch, now.names())), what=f"“{text}”")
        return next(filter(form.fullmatch, now.names()))

    def read(self, step, reading, typed, **given):
        self.come_to(step)
        content = self.words.readings[f"{step}.{reading}"]
        if (step, reading) in TAKEN_OVER:
            # What the other one read stands there with the name.
            read_by = f"Read by {INES[1]}"
            self.hand.wait(lambda now: any(read_by in name for name in now.names()), what=f"“{read_by}”")
        if "yes_no" in content:
            asked = self.called(content["label"])
            self.hand.wait(lambda now: now.plate("Yes"), what="the answers")
            # The row of this very reading tells that it was taken, for others may be told of late; where it is scrolled
            # out of sight, the question that goes.
            of = lambda now: (now.begins(f"{asked}: not yet read"), now.has(asked), now.plate("Yes") is None)
            return self.hand.touch(typed.capitalize(), READING, of)
        if "photo" in content:
            return self.photograph(f"Add the photo: {content['label']}")
        entry = self.called(f"Enter: {content['label']}")
        self.hand.leave(entry, READING)
        self.typed(content, typed, given.get("with"))

    def photograph(self, plate):
        """The picture comes as from a camera, while the tablet waits for it, and is taken when it shows itself."""
        inbox = self.program.shop / "inbox"
        inbox.mkdir(exist_ok=True)
        self.hand.leave(plate, READING)
        empty = f"{inbox} holds no photo yet. One that comes shows itself."
        self.hand.wait(lambda now: now.has(empty), what="the folder of the photos")
        self.hand.picture("photos")
        shutil.copyfile(JOINTS, inbox / "coming")
        (inbox / "coming").rename(inbox / JOINTS.name)
        self.hand.wait(lambda now: (take := now.plate(TAKE)) and take.has(SENSITIVE), what="the photo")
        self.hand.picture("photo")
        self.hand.leave(TAKE)

    def typed(self, content, typed, instrument):
        """The page on which one reading is entered."""
        if instrument:
            self.choose(self.words.instruments[instrument])
        if "text" in content:
            self.hand.type_into(self.called(content["label"]), typed)
            self.hand.picture("keypad-text")
            return self.hand.leave("Enter")
        if "choice" in content:
            self.choose(content["choice"][typed])
        else:
            self.quantity(typed)
        self.hand.picture("keypad-choice" if "choice" in content else "keypad-number")
        self.hand.touch_what_shows("Enter the reading")

    def done_step(self, step):
        self.come_to(step)
        self.hand.wait(lambda now: now.has("Mark done"), what=f"the stripe of {step}")
        self.hand.see_that_all_fits()
        # The head says which step it is and how many are done.
        head = lambda now: now.begins("Step ")
        ways = [lambda: self.hand.drag(STRIPE, head), lambda: self.hand.touch("Mark done", READING, head),
                lambda: self.by_key(head)]
        ways[self.marked % 3]()
        self.marked += 1

    def by_key(self, head):
        self.hand.read_on()
        self.hand.until_changed(STRIPE, lambda _: self.hand.key("space"), ANSWER_ON_GUARD, head)

    # Deviations, witness and hold points, signatures.

    def measure_again(self, reason):
        self.hand.picture("deviation")
        self.hand.touch("Measure again. The first value stays on the record.")
        self.words_for("Reason", reason)

    def rework(self, what):
        self.hand.touch_started("Do the work again")
        self.words_for("What you will do again", what)

    def words_for(self, field, words):
        self.hand.type_into(field, words)
        self.hand.picture("reason")
        self.hand.leave("Write it down")

    def concede(self, reason):
        self.hand.touch_started("Ask the supervisor")
        self.hand.touch(f"{TOMASZ[1]}. Supervisor")
        self.hand.type_into("Reason", reason)
        self.hand.key("Tab")
        self.secret(TOMASZ)
        self.hand.leave("Sign")

    def supervisor(self):
        self.hand.picture("who-signs")
        self.hand.touch(f"{TOMASZ[1]}. Supervisor")
        self.sign(TOMASZ)

    def sign(self, who):
        self.secret(who)
        self.hand.picture("sign")
        self.hand.leave("Sign")

    def witness(self, step, attended):
        self.hand.picture(f"witness-{step}")
        if not attended:
            return self.hand.touch("Called, nobody could come. The work may go on; the record says so")
        self.hand.touch("The supervisor has seen it. Supervisor: sign with your passphrase")
        self.supervisor()

    def release(self, step):
        self.hand.picture(f"hold-{step}")
        first = not self.done()["release"]
        if first:
            self.called(f"Work done by {INES[1]} and {OLENA[1]}. Somebody else must release it.")
        self.hand.leave("Release it. Supervisor: sign with your passphrase")
        if first:
            self.refused(OLENA)
        self.supervisor()

    def refused(self, who):
        """Who did part of the work is told why somebody else must sign, and a touch on the name changes nothing."""
        said = f"{who[1]}. Did part of the work; somebody else must sign"
        self.hand.wait(lambda now: now.plate(said), what=f"“{said}”")
        before = self.hand.settled()
        self.hand.press(*self.hand.at_rest(said).centre())
        if self.hand.settled() != before or self.hand.sight.field("Passphrase"):
            self.hand.stuck(f"a touch on “{said}” changed the page")

    def close_out(self, procedure):
        self.hand.picture(f"close-out-{procedure}")
        self.hand.leave("All of this is so. Close the procedure")

    def power_cut(self):
        """The program is killed as it stands, started again, and goes on where it was."""
        self.program.kill()
        self.program.start()
        self.come_back()

    def come_back(self):
        """From the program's start to where the job stands."""
        self.hand.wait(lambda now: now.has("Understood") or now.has("Who works here now?"), what="the first page")
        self.understood()
        self.sign_on()
        if self.sees("Go on with this job"):
            self.hand.picture(f"jobs-one-{self.present}")
            self.hand.leave("Go on with this job")
            self.understood()
        elif self.at == len(self.script):
            self.to_the_closed_job()
        else:
            self.begin_job()

    def understood(self):
        """Puts away what the program tells of an interruption, where it tells something."""
        self.hand.settled()
        if self.sees("Understood"):
            self.hand.leave("Understood")

    # The end.

    def sign_off(self):
        self.hand.picture("closing")
        self.hand.leave("Sign the work off")
        self.sign(INES)

    def release_job(self):
        self.hand.leave("Release the job")
        self.supervisor()

    def to_the_closed_job(self):
        self.hand.leave("Closed 1")
        self.hand.leave("Look at this job")

    def its_record(self):
        self.hand.wait(lambda now: now.has("Everything is accounted for"), what="the end of the job")
        self.hand.picture("closed")
        self.hand.leave("Its record")
        # What is whole already looks the same after it was verified again.
        self.hand.press(*self.hand.at_rest("Verify it now").centre())
        self.hand.settled()
        self.hand.wait(lambda now: now.has("Whole stripe: the record verifies"), what="a whole stripe")
        self.hand.picture("record")
