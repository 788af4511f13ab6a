"""A virtual tablet: a machine of 1280 by 800 with a pointer, a keyboard and a disk, driven from outside like a real one.

Its screen is seen through QMP's `screendump`, its pointer and keys are moved by QMP's input events, and its disk lies
behind a write cache of its own that is lost with the power. What a technician would do at a console is done by the
guest agent."""
import atexit, base64, json, os, signal, socket, subprocess, tempfile, time
from pathlib import Path

HERE = Path(__file__).resolve().parent
WIDTH, HEIGHT = 1280, 800
# How long a finger stays on the glass.
TAP = 0.5
# Between two keys.
KEY = 0.3
SHIFTED = {" ": ("spc",), "-": ("minus",), ".": ("dot",), ",": ("comma",), "/": ("slash",)}


class Line:
    """A socket on which each side says one JSON object a line."""

    def __init__(self, path, seconds=60, alive=None):
        end = time.monotonic() + seconds
        while True:
            self.socket = socket.socket(socket.AF_UNIX)
            try:
                self.socket.connect(str(path))
                break
            except OSError:
                if time.monotonic() > end or (alive and alive.poll() is not None):
                    raise SystemExit(f"nobody listens at {path}") from None
                time.sleep(0.05)
        self.rest = b""

    def say(self, **words):
        self.socket.settimeout(30)
        self.socket.sendall(json.dumps(words).encode() + b"\n")

    def hear(self, seconds):
        """The next object; nothing where none comes in time."""
        end = time.monotonic() + seconds
        while b"\n" not in self.rest:
            self.socket.settimeout(max(0.01, end - time.monotonic()))
            try:
                came = self.socket.recv(1 << 16)
            except (TimeoutError, ConnectionError):
                return None
            if not came:
                return None
            self.rest += came
        line, self.rest = self.rest.split(b"\n", 1)
        return json.loads(line.lstrip(b"\xff"))

    def ask(self, seconds=30, **words):
        self.say(**words)
        while (answer := self.hear(seconds)) is not None:
            if "return" in answer:
                return answer["return"]
            if "error" in answer:
                raise RuntimeError(f"{words}: {answer['error']['desc']}")
        raise ConnectionError(f"no answer to {words}")


class Machine:
    """One run of the tablet, from power on to power off."""

    def __init__(self, folder, disk, stick=None, memory=1024, append=""):
        self.folder, self.run = Path(folder), Path(tempfile.mkdtemp(prefix="tablet-"))
        self.began = time.monotonic()
        # Writes that the guest has not flushed lie in the cache of the disk alone, and end with it.
        self.disk = subprocess.Popen(
            ["nbdkit", "--foreground", "--unix", self.run / "disk", "--filter=cache", "file", Path(disk).resolve(),
             "cache=writeback"], cwd=self.run, stderr=open(self.run / "disk.log", "w", encoding="utf-8"))
        # A machine under which KVM is offered and does not run says WITNESSMARK_ACCEL=tcg.
        accel = os.environ.get("WITNESSMARK_ACCEL") or ("kvm" if os.access("/dev/kvm", os.R_OK | os.W_OK) else "tcg")
        while not (self.run / "disk").exists() and self.disk.poll() is None:
            time.sleep(0.05)
        command = ["qemu-system-x86_64", "-machine", "q35", "-m", str(memory), "-smp", "2", "-nodefaults",
                   "-display", "none", "-accel", accel, "-cpu", "host" if accel == "kvm" else "max",
                   "-kernel", str(self.folder / "vmlinuz"), "-initrd", str(self.folder / "initrd.img"),
                   "-append", f"root=/dev/vda rw quiet console=tty0 console=ttyS0 {append}",
                   "-device", f"virtio-vga,xres={WIDTH},yres={HEIGHT}", "-device", "qemu-xhci",
                   "-device", "usb-tablet", "-device", "usb-kbd", "-nic", "none",
                   "-drive", f"file=nbd:unix:{self.run / 'disk'},format=raw,if=virtio,cache=none",
                   "-device", "virtio-serial", "-chardev", f"socket,path={self.run / 'agent'},server=on,wait=off,id=agent",
                   "-device", "virtserialport,chardev=agent,name=org.qemu.guest_agent.0",
                   "-serial", f"file:{self.run / 'console'}", "-qmp", f"unix:{self.run / 'qmp'},server=on,wait=off"]
        if stick:
            command += ["-drive", f"file={stick},format=raw,if=none,id=stick", "-device", "usb-storage,drive=stick"]
        self.qemu = subprocess.Popen(command)
        # Whatever ends this ends the machine too.
        atexit.register(self.cut)
        self.qmp = Line(self.run / "qmp", alive=self.qemu)
        self.qmp.hear(10)
        self.qmp.ask(execute="qmp_capabilities")
        self.agent = None

    # At the console.

    def up(self, seconds=300):
        """Waits until the guest answers, and says how long that took from power on."""
        self.agent = Line(self.run / "agent")
        try:
            # It lies in the line until somebody there reads it.
            self.agent.ask(seconds, execute="guest-ping")
        except ConnectionError:
            raise SystemExit(f"the guest did not answer within {seconds} s; its console: {self.run / 'console'}") from None
        return time.monotonic() - self.began

    def shell(self, script, given="", seconds=120, may_fail=False):
        """What a shell of root's in the guest says to this, with its exit code where that may be another than 0."""
        run = {"path": "/bin/sh", "arg": ["-c", script], "capture-output": True,
               "input-data": base64.b64encode(given.encode()).decode()}
        pid = self.agent.ask(execute="guest-exec", arguments=run)["pid"]
        end, wait = time.monotonic() + seconds, 0.1
        while time.monotonic() < end:
            # The agent writes a line of its log for each question.
            time.sleep(wait)
            wait = min(1, wait * 1.6)
            state = self.agent.ask(execute="guest-exec-status", arguments={"pid": pid})
            if state["exited"]:
                said = "".join(base64.b64decode(state.get(way, "")).decode(errors="replace")
                               for way in ("out-data", "err-data"))
                code = state.get("exitcode", -state.get("signal", 0))
                if code and not may_fail:
                    raise SystemExit(f"in the guest, with {code}: {script}\n{said}")
                return (said, code) if may_fail else said
        raise SystemExit(f"in the guest, not done after {seconds} s: {script}")

    def put(self, path, data):
        """Lays a file into the guest."""
        handle = self.agent.ask(execute="guest-file-open", arguments={"path": path, "mode": "w"})
        for at in range(0, len(data), 1 << 20):
            part = base64.b64encode(data[at:at + (1 << 20)]).decode()
            self.agent.ask(120, execute="guest-file-write", arguments={"handle": handle, "buf-b64": part})
        self.agent.ask(execute="guest-file-close", arguments={"handle": handle})

    # The screen, the pointer and the keys.

    def screen(self, picture):
        """Keeps what is on the screen as a PNG."""
        self.qmp.ask(execute="screendump", arguments={"filename": str(Path(picture).resolve()), "format": "png"})
        return picture

    def events(self, *events):
        self.qmp.ask(execute="input-send-event", arguments={"events": list(events)})

    def point(self, x, y):
        place = lambda axis, value, most: {"type": "abs", "data": {"axis": axis, "value": round(value * 32767 / (most - 1))}}
        self.events(place("x", x, WIDTH), place("y", y, HEIGHT))

    def button(self, down):
        self.events({"type": "btn", "data": {"button": "left", "down": down}})

    def touch(self, x, y):
        self.point(x, y)
        time.sleep(0.03)
        self.button(True)
        time.sleep(TAP)
        self.button(False)

    def drag(self, x, y, to_x, steps=40):
        self.point(x, y)
        self.button(True)
        for step in range(steps + 1):
            self.point(x + (to_x - x) * step / steps, y)
            time.sleep(0.016)
        self.button(False)

    def key(self, *codes):
        for down in (True, False):
            for code in codes if down else reversed(codes):
                self.events({"type": "key", "data": {"down": down, "key": {"type": "qcode", "data": code}}})
        time.sleep(0.02)

    def type(self, text):
        for letter in text:
            codes = SHIFTED.get(letter) or (letter.lower(),)
            self.key(*(["shift"] if letter.isupper() else []), *codes)
            # A keyboard of QEMU's keeps eight keys that nobody has taken yet, and drops the others.
            time.sleep(KEY)

    # The power.

    def cut(self):
        """Takes the power away: machine and disk end at once, and what the disk had not been told to keep is lost."""
        running = [process for process in (self.disk, self.qemu) if process.poll() is None]
        for process in running:
            process.send_signal(signal.SIGKILL)
        for process in running:
            process.wait()

    def off(self):
        """Shuts the guest down as one should."""
        self.agent.say(execute="guest-shutdown")
        try:
            self.qemu.wait(90)
        except subprocess.TimeoutExpired:
            self.cut()
            raise SystemExit("the guest did not shut down within 90 s") from None
        self.disk.send_signal(signal.SIGTERM)
        self.disk.wait()
