"""Looks at the disk as a power cut would leave it, at many moments of one run, without a start after each.

    moments.py PROGRAM FOLDER TIMES

As `cuts.py`, but instead of taking the power away it halts machine and disk for a moment and copies what the disk keeps,
without the write cache that a cut would lose. The copy's file system is put right as at a start (`e2fsck`), and PROGRAM
verifies the record in it, which has to begin with every byte that was acknowledged."""
import random, signal, subprocess, sys, tempfile, time
from pathlib import Path
from cuts import MARK, record, sign_on
from machine import Machine
from sight import Person

SHOP = "/var/lib/witnessmark/shop"


def halted(machine, disk, copy):
    """Copies what the disk keeps at this moment."""
    for process in (machine.qemu, machine.disk):
        process.send_signal(signal.SIGSTOP)
    subprocess.run(["cp", "--sparse=always", disk, copy], check=True)
    for process in (machine.disk, machine.qemu):
        process.send_signal(signal.SIGCONT)


def looked_at(program, copy, acknowledged):
    """What a start would find: how many entries, and whether something is lost or not whole."""
    fixed = subprocess.run(["e2fsck", "-fy", copy], capture_output=True)
    with tempfile.TemporaryDirectory() as files:
        subprocess.run(["debugfs", "-R", f"rdump {SHOP} {files}", copy], capture_output=True, check=True)
        job = sorted((Path(files) / "shop/jobs").iterdir())[-1]
        found = (job / "record.jsonl").read_bytes()
        # Bytes of a line that was being written are put aside by the next start; the lines before them are whole.
        whole, rest = found[:found.rfind(b"\n") + 1], found[found.rfind(b"\n") + 1:]
        (job / "record.jsonl").write_bytes(whole)
        said = subprocess.run([program, "verify", job], capture_output=True, text=True)
    kept = found.startswith(acknowledged)
    return len(whole.splitlines()), len(rest), kept, said.returncode, fixed.returncode


def main(program, folder, times):
    lot, faults, disk = random.Random(2), 0, folder / "moments.img"
    subprocess.run(["cp", "--sparse=always", folder / "cuts.img", disk], check=True)
    machine = Machine(folder, disk)
    machine.up()
    person = Person(machine, folder / "moments")
    sign_on(machine, person)
    for number in range(1, times + 1):
        acknowledged = record(machine)
        time.sleep(1)
        machine.touch(*MARK)
        wait = lot.uniform(0, 1.5)
        time.sleep(wait)
        copy = folder / "moment.img"
        halted(machine, disk, copy)
        person.rested()
        lines, torn, kept, verified, fixed = looked_at(program, copy, acknowledged)
        copy.unlink()
        faults += not kept or verified != 0 or fixed > 1
        print(f"moment {number}, {wait:.2f} s after the touch: {len(acknowledged.splitlines())} entries acknowledged, "
              f"{lines} on the disk and {torn} bytes of another, verify {verified}, e2fsck {fixed}"
              f"{'' if kept else '; WHAT WAS ACKNOWLEDGED IS NOT THERE'}", flush=True)
    print(f"{times} moments, {faults} of them with something lost or not whole", flush=True)
    machine.off()
    sys.exit(1 if faults else 0)


main(sys.argv[1], Path(sys.argv[2]), int(sys.argv[3]))
