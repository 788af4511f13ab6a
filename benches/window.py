#!/usr/bin/python3
"""What the real window costs while nobody touches it: processor time and wake-ups in a minute, and memory; on the sign-on
page, at the field of a passphrase, and on a step. Under a virtual X server, with somebody reading the screen.

    dbus-run-session -- /usr/bin/python3 benches/window.py PROGRAM [SECONDS]

It needs what `tests/window/setup.sh` installs. Nothing here is a test."""
import os, sys, tempfile, time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests/window"))
from desk import Desk
from hand import Hand
from screen import Screen
from walk import INES, Walk

TICKS = os.sysconf("SC_CLK_TCK")


class Prepared:
    """The demonstration's own shop: a job is open and its card filled, so that a step is a few touches away."""

    def __init__(self, binary, desk):
        self.binary, self.desk, self.process = binary, desk, None

    def start(self, screen):
        self.process = self.desk.started(self.binary, "demo")
        screen.find_program(self.binary.name, 120)


def spent(pid):
    """Seconds of the processor, and how often it was woken."""
    fields = Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()
    woken = 0
    for thread in Path(f"/proc/{pid}/task").iterdir():
        status = (thread / "status").read_text().splitlines()
        woken += sum(int(line.split()[1]) for line in status if line.startswith("voluntary"))
    return (int(fields[11]) + int(fields[12])) / TICKS, woken


def memory(pid):
    status = Path(f"/proc/{pid}/status").read_text().splitlines()
    return {line.split(":")[0]: int(line.split()[1]) // 1024 for line in status if line.startswith(("VmRSS", "VmHWM"))}


def idle(name, pid, seconds):
    time.sleep(3)
    used, woken = spent(pid)
    time.sleep(seconds)
    after, later = spent(pid)
    print(f"{name}: {100 * (after - used) / seconds:.2f} % of a core, {(later - woken) / seconds:.1f} wake-ups a second, "
          f"{memory(pid)['VmRSS']} MiB resident (at most {memory(pid)['VmHWM']})", flush=True)


def to_a_step(hand, walk):
    walk.secret(INES)
    hand.touch("Sign on")
    hand.wait(lambda now: now.has("Go on with this job"), what="the list of jobs")
    hand.touch("Go on with this job")
    hand.touch("Accept the card")
    walk.begin("make-safe")
    hand.wait(lambda now: now.has("Yes"), what="the first step")


def main(binary, seconds):
    folder = Path(tempfile.mkdtemp(prefix="witnessmark-window-"))
    desk = Desk(folder)
    try:
        screen = Screen()
        screen.listen()
        program = Prepared(binary, desk)
        program.start(screen)
        hand = Hand(screen, folder)
        walk = Walk(hand, program, sys.stderr)
        hand.wait(lambda now: now.has("Who works here now?"), what="the sign-on page")
        idle("sign-on page", program.process.pid, seconds)
        hand.touch(f"{INES[0]}. Apprentice")
        idle("at the passphrase", program.process.pid, seconds)
        to_a_step(hand, walk)
        idle("on a step", program.process.pid, seconds)
    finally:
        desk.end()


main(Path(sys.argv[1]).resolve(), int(sys.argv[2]) if len(sys.argv) > 2 else 60)
