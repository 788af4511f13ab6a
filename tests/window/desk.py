"""What stands around the window: an X server, a window manager, the accessibility bus, and the program itself."""
import atexit, glob, os, shutil, signal, subprocess, sys, time
from collections import Counter
from contextlib import contextmanager
from pathlib import Path
from pointer import Pointer
from screen import Screen, Stuck

SIZE = (1280, 800)
# The people of the shop with their passphrases: who founds it, who works, and who works and may sign for others.
TOMASZ = ("tomasz.okafor", "Tomasz Okafor", "quiet harbour crane")
INES = ("ines.varga", "Ines Varga", "copper washer teal")
OLENA = ("olena.marsh", "Olena Marsh", "amber ladder pine")
BUS_LAUNCHERS = ("/usr/libexec/at-spi-bus-launcher", "/usr/lib/at-spi2-core/at-spi-bus-launcher")


class Desk:
    """The processes around the program; all of them end with it."""

    def __init__(self, folder):
        self.folder, self.running = folder, []
        # The processor's seconds of a program that was killed.
        self.used = Counter()
        # What is still to be kept where the test is ended from without.
        self.last_words = lambda why: None
        atexit.register(self.stop)
        number = self.display()
        os.environ.update(DISPLAY=number, XDG_SESSION_TYPE="x11", LC_ALL="C.UTF-8")
        os.environ.pop("WAYLAND_DISPLAY", None)
        self.started("openbox")
        # Whether somebody reads the screen is told anew at every page; nothing of it needs to reach the disk.
        os.environ["GSETTINGS_BACKEND"] = "memory"
        # Whether somebody reads the screen is told anew at every page, and none of it has to be on the disk.
        os.environ["GSETTINGS_BACKEND"] = "memory"
        self.started(next(path for path in BUS_LAUNCHERS if os.path.exists(path)), "--launch-immediately")
        self.pointer, self.screen = Pointer(), Screen()
        self.screen.listen()

    def display(self):
        """Starts a server on the first free number; it says itself which one that is."""
        here, there = os.pipe()
        size = "x".join(map(str, (*SIZE, 24)))
        self.started("Xvfb", "-displayfd", there, "-screen", 0, size, "-nolisten", "tcp", pass_fds=(there,))
        os.close(there)
        with os.fdopen(here) as said:
            return ":" + said.readline().strip()

    def started(self, program, *arguments, **given):
        log = open(self.folder / f"{Path(program).name}.log", "ab")
        process = subprocess.Popen([program, *map(str, arguments)], stdout=log, stderr=log, **given)
        self.running.append(process)
        return process

    def seconds_used(self):
        """The processor's seconds of the test itself and of everything around it, so far."""
        used = self.used + Counter({"this test": time.process_time()})
        for process in self.running:
            used[Path(process.args[0]).name] += seconds_of(process)
        return ", ".join(f"{name} {seconds:.0f} s" for name, seconds in used.most_common())

    def end(self):
        """Waits for the pictures, and ends all processes, whatever became of the pictures."""
        try:
            self.pointer.end()
        finally:
            self.stop()

    def ended_from_without(self, why, code):
        # No exception: it would be lost in what the bus calls.
        try:
            self.last_words(why)
            self.end()
        finally:
            self.stop()
            print(why, file=sys.stderr, flush=True)
            os._exit(code)

    def stop(self):
        while self.running:
            process = self.running.pop()
            process.terminate()
            process.wait(timeout=10)


def seconds_of(process):
    """What it used of the processor; nothing, where it has ended."""
    try:
        with open(f"/proc/{process.pid}/stat", encoding="utf-8") as stat:
            user, system = stat.read().rpartition(")")[2].split()[11:13]
    except OSError:
        return 0.0
    return (int(user) + int(system)) / os.sysconf("SC_CLK_TCK")


class Program:
    """The kiosk on a shop of its own."""

    def __init__(self, binary, folder, desk):
        self.binary, self.shop, self.desk, self.process = binary, folder / "shop", desk, None
        self.starts = []

    def found(self):
        """Founds the shop as its owner would, with passphrases that are typed nowhere else."""
        shutil.rmtree(self.shop, ignore_errors=True)
        here, there = os.pipe()
        os.write(there, "".join(f"{who[2]}\n" for who in (TOMASZ, INES, OLENA)).encode())
        os.close(there)
        people = ["--root", "=".join(TOMASZ[:2]), "--person", "apprentice:" + "=".join(INES[:2]),
                  "--person", "supervisor:" + "=".join(OLENA[:2])]
        self.run("people", "found", "--name", "Alder Quay Motor Works", *people, "--passphrase-fd", here, pass_fds=(here,))
        (self.shop / "instruments.yaml").write_text(instruments(), encoding="utf-8")

    def run(self, *arguments, **given):
        command = [self.binary, "--shop", self.shop, *map(str, arguments)]
        return subprocess.run(command, check=True, stdout=subprocess.PIPE, text=True, **given).stdout

    def root(self):
        said = self.run("people", "fingerprint")
        return next(word for word in said.split() if word.startswith("SHA256:"))

    def start(self, before=()):
        """Starts it, after a command that sets its surroundings where one is given, and waits for its window."""
        begin = time.monotonic()
        self.process = self.desk.started(*before, self.binary, "--shop", self.shop)
        self.desk.screen.must_live = self.must_live
        self.desk.screen.find_program(self.binary.name, 180)
        self.starts.append(time.monotonic() - begin)

    def kill(self):
        self.desk.used[self.binary.name] += seconds_of(self.process)
        self.desk.running.remove(self.process)
        self.process.kill()
        self.process.wait()

    def must_live(self):
        if self.process.poll() is not None:
            raise Stuck(f"the program ended by itself with {self.process.returncode}; its words are in its log")

    def at_work(self):
        """Whether one of its threads works, or waits for the processor or the disk."""
        for stat in glob.glob(f"/proc/{self.process.pid}/task/*/stat"):
            try:
                with open(stat, encoding="utf-8") as stat:
                    state = stat.read().rpartition(")")[2].split()[0]
            except OSError:
                continue  # It has just ended.
            if state in "RD":
                return True
        return False

    def job(self):
        return next((self.shop / "jobs").iterdir())


@contextmanager
def founded(binary, folder):
    """A program with a shop that was just founded, on a desk of its own; all ends together, also when the test is ended
    from without."""
    folder.mkdir(parents=True, exist_ok=True)
    try:
        desk = Desk(folder)
    except Exception as error:  # Whatever keeps a screen from starting is no fault of the program.
        print(f"no X server or no accessibility bus starts here: {error!r}", file=sys.stderr, flush=True)
        sys.exit(4)
    signal.signal(signal.SIGTERM, lambda *_: desk.ended_from_without("ended from without", 1))
    seconds = int(os.environ.get("WINDOW_SECONDS", 0))
    signal.signal(signal.SIGALRM, lambda *_: desk.ended_from_without(f"not done within {seconds} s", 124))
    signal.alarm(seconds)
    try:
        program = Program(binary, folder, desk)
        program.found()
        yield program
    finally:
        desk.end()


def instruments():
    """The demonstration's register, calibrated two months ago for a year."""
    from datetime import date, timedelta
    text = (Path(__file__).resolve().parents[2] / "src/cli/demo/instruments.yaml").read_text(encoding="utf-8")
    day = lambda offset: str(date.today() + timedelta(days=offset))
    return text.replace("CALIBRATED", day(-60)).replace("DUE", day(305))
