"""Takes the power away again and again while somebody works, and looks each time whether what the screen had shown as
done is on the disk.

    cuts.py FOLDER TIMES

The tablet of FOLDER/cuts.img, a copy of what `unit.py` left, has an open practice run of the test's own content, in which every step is only marked
done. One step after the other is marked; when the screen shows the next one, what stands in the record is noted as
acknowledged. Then the plate is touched once more and the power goes at a moment drawn by lot. After the next start the
record has to begin with every acknowledged byte, and the program has to find it whole."""
import random, sys, time
from pathlib import Path
from machine import Machine
from sight import Person

INES = ("Ines Varga", "copper washer teal")
# The newest run; a shell of the guest finds it.
JOB = "$(ls -d /var/lib/witnessmark/shop/jobs/P* | tail -n 1)"
MARK = (791, 720)


def sign_on(machine, person):
    """Signs on and goes on with the open run; says what the first page told of the interruption."""
    _, first = person.sees("Who works here now?", "Put right after an interruption", seconds=300)
    if first != "Who works here now?":
        person.keep("recovery")
        person.touch("Go on")
    person.touch(INES[0])
    person.sees("Sign on")
    time.sleep(1)
    machine.type(INES[1])
    person.touch("Sign on")
    person.sees("Start a new job")
    person.touch("Practice")
    person.touch("Tighten bolts")
    person.touch("Go on with this job")
    person.sees("Mark done")
    return first


def record(machine):
    return machine.shell(f"cat {JOB}/record.jsonl").encode()


def verified(machine):
    """What the program says of the record; a job that is open is whole as far as it goes."""
    said, code = machine.shell(f"sudo -u witnessmark witnessmark verify {JOB}", may_fail=True, seconds=300)
    return code, said.strip().splitlines()[0]


def one(folder, number, lot, before):
    machine = Machine(folder, folder / "cuts.img")
    boot = machine.up()
    person = Person(machine, folder / f"pictures-{number}")
    first = sign_on(machine, person)
    shown = time.monotonic() - machine.began
    found = record(machine)
    lost = not found.startswith(before)
    code, said = verified(machine)
    lines = len(found.splitlines())
    print(f"start {number}: answered after {boot:.0f} s, at the step after {shown:.0f} s; first page: {first}; "
          f"{len(before.splitlines())} entries were acknowledged, {lines} are there"
          f"{', AND WHAT WAS ACKNOWLEDGED IS NOT AMONG THEM' if lost else ''}; verify {code}: {said}", flush=True)
    steps = lot.randint(1, 3)
    for _ in range(steps):
        person.touch_at(*MARK)
        person.rested()
    acknowledged = record(machine)
    time.sleep(1)
    machine.touch(*MARK)
    wait = lot.uniform(0, 1.2)
    time.sleep(wait)
    machine.cut()
    print(f"cut {number}: {steps} steps marked, one more touched, power off {wait:.2f} s after", flush=True)
    return acknowledged, lost or code != 0


def main(folder, times):
    lot, acknowledged, faults = random.Random(1), b"", 0
    for number in range(1, times + 1):
        acknowledged, fault = one(folder, number, lot, acknowledged)
        faults += fault
    machine = Machine(folder, folder / "cuts.img")
    machine.up()
    found = record(machine)
    code, said = verified(machine)
    faults += not found.startswith(acknowledged) or code != 0
    print(f"after {times} cuts: {len(acknowledged.splitlines())} entries acknowledged, {len(found.splitlines())} there, "
          f"verify {code}: {said}; starts with something lost: {faults}")
    machine.off()
    sys.exit(1 if faults else 0)


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]))
