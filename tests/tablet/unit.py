"""Has one of the two units work on the virtual tablet, and a person at it: founded by `install.py`, started by systemd.

    unit.py FOLDER witnessmark-kms|witnessmark-kiosk

The program plays the test's own content, a job of a hundred and twenty bolts, so that a run may go on for long. A step
is marked with the pointer, the stripe is drawn, and a touch screen does one more. Then the process is stopped and killed,
and systemd has to start it anew; and what the unit may write is tried from inside it. FOLDER/UNIT.img keeps the tablet
with its open practice run, for `cuts.py`."""
import re, subprocess, sys, tempfile, time
from pathlib import Path
from machine import HERE, Machine
from sight import Person

PLACES = ("/ /etc /usr /var /var/lib /var/tmp /tmp /home /root /run /run/user /dev/shm /run/witnessmark "
          "/var/lib/witnessmark /proc/sys/kernel /sys/kernel /boot /media")
# What ends with the unit, and the shop's own folder.
MAY = {"/tmp", "/var/tmp", "/dev/shm", "/run/witnessmark", "/var/lib/witnessmark"}
STRIPE, MARK = (45, 720, 650), (791, 720)


def prepared(folder, unit):
    """The tablet's disk with the content and the unit switched on for the next start."""
    disk = folder / f"{unit}.img"
    subprocess.run(["cp", "--sparse=always", folder / "ready.img", disk], check=True)
    machine = Machine(folder, disk)
    machine.up()
    with tempfile.NamedTemporaryFile(suffix=".tar") as packed:
        subprocess.run(["tar", "-C", HERE, "-cf", packed.name, "content"], check=True)
        machine.put("/usr/local/share/content.tar", Path(packed.name).read_bytes())
    finger = Path(tempfile.mkdtemp()) / "finger"
    subprocess.run(["cc", "-O2", "-static", "-o", finger, HERE / "finger.c"], check=True)
    machine.put("/usr/local/bin/finger", finger.read_bytes())
    machine.shell(f"""set -e
tar -C /usr/local/share -xf /usr/local/share/content.tar; chmod -R a+rX /usr/local/share/content; chmod +x /usr/local/bin/finger
mkdir -p /etc/systemd/system/{unit}.service.d
run=$(sed -n 's/^ExecStart=//p' /lib/systemd/system/{unit}.service)
printf '[Service]\\nExecStart=\\nExecStart=%s --content /usr/local/share/content\\n' "$run" >/etc/systemd/system/{unit}.service.d/content.conf
systemctl enable -q {unit}; sync""")
    machine.off()
    return disk


def practice(machine, person):
    """Signs on and opens a practice run, up to its first step."""
    person.touch("Ines Varga")
    person.sees("Sign on")
    time.sleep(1)
    machine.type("copper washer teal")
    for plate in ("Sign on", "Start a new job", "A practice run", "Tighten bolts", "Next question", "Yes", "Next",
                  "Accept the card", "All of this is so. Begin"):
        person.touch(plate)
    person.sees("Mark done")


def step(person):
    return int(re.search(r"Step (\d+) of", person.look().text).group(1))


def steps(machine, person):
    """Marks steps in each way there is, and says which are done after each."""
    done = [step(person)]
    machine.shell("modprobe uinput; rm -f /run/finger; mkfifo /run/finger; systemd-run -q --unit=finger sh -c "
                  "'/usr/local/bin/finger <>/run/finger'; sleep 3")
    for way in (lambda: machine.touch(*MARK), lambda: machine.drag(*STRIPE),
                lambda: machine.shell(f"echo tap {MARK[0]} {MARK[1]} >/run/finger"),
                lambda: machine.shell("echo drag %d %d %d >/run/finger" % STRIPE)):
        time.sleep(2)
        way()
        time.sleep(2)
        done.append(step(person))
    print(f"steps by the pointer's plate and stripe, and by the touch screen's: {done}", flush=True)
    return done == list(range(done[0], done[0] + 5))


def writes(machine):
    """Where the kiosk's user may write, seen from inside its unit."""
    said = machine.shell(f"""nsenter -t $(pidof witnessmark) -m setpriv --reuid witnessmark --regid witnessmark \
--init-groups --no-new-privs sh -c 'for d in {PLACES}; do touch $d/.w 2>/dev/null && {{ echo $d; rm $d/.w; }}; done; true'""")
    print(f"it may write: {' '.join(said.split())}", flush=True)
    return set(said.split()) <= MAY


def anew(machine, unit, signal):
    """How long systemd takes until a kiosk that was sent this answers again, in seconds."""
    said = machine.shell(f"""was=$(systemctl show -p NRestarts --value {unit}); a=$(date +%s); kill -{signal} $(pidof witnessmark)
until [ "$(systemctl show -p NRestarts --value {unit})" != "$was" ] && systemctl is-active -q {unit}; do sleep 0.5; done
echo $(($(date +%s) - a))""", seconds=200)
    print(f"after SIG{signal} it was ready again in {said.strip()} s", flush=True)


def main(folder, unit):
    disk = prepared(folder, unit)
    machine = Machine(folder, disk)
    person = Person(machine, folder / unit)
    person.sees("Who works here now?", seconds=300)
    print(f"{unit}: first page {time.monotonic() - machine.began:.0f} s after power on")
    person.keep("first")
    machine.up()
    print(machine.shell("systemd-analyze; grep -E 'VmRSS|VmHWM' /proc/$(pidof witnessmark)/status"), flush=True)
    practice(machine, person)
    person.keep("step")
    good = [steps(machine, person), writes(machine)]
    print(machine.shell("grep -E 'VmRSS|VmHWM' /proc/$(pidof witnessmark)/status"), flush=True)
    for signal in ("STOP", "KILL"):
        anew(machine, unit, signal)
    person.sees("Who works here now?", "Put right after an interruption")
    person.keep("anew")
    machine.off()
    sys.exit(0 if all(good) else 1)


main(Path(sys.argv[1]), sys.argv[2])
