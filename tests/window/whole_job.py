"""Does the demonstration's job at the real window, from the founding of the shop to its certificate, and has the record
verified three times over. Started by `run.sh`, within a session bus of its own.

    whole_job.py PROGRAM FOLDER [PROCEDURES]

After so many procedures it stops, and the record of the open job is verified."""
import signal, sys, time
from pathlib import Path
from desk import Desk, Program
from hand import Hand
from proof import prove
from screen import Screen
from walk import Walk


def main(binary, folder, procedures):
    begun = time.monotonic()
    # Whoever ends the test ends all that it started.
    signal.signal(signal.SIGTERM, lambda *_: sys.exit("ended from without"))
    pictures = folder / "pictures"
    pictures.mkdir(parents=True, exist_ok=True)
    for old in pictures.glob("*.png"):
        old.unlink()
    desk = Desk(folder)
    try:
        screen = Screen()
        screen.listen()
        program = Program(binary, folder, desk)
        program.found()
        program.start(screen)
        hand = Hand(screen, pictures)
        walk = Walk(hand, program, open(folder / "acts.log", "w", encoding="utf-8"))
        walk.whole_job(procedures)
        prove(program, walk)
    finally:
        desk.end()
    took = time.monotonic() - begun
    print(f"{sum(walk.done.values())} acts, {hand.touches} touches and {hand.keys} keys in {took:.0f} s, "
          f"{hand.again} of them once more; {screen.reads} looks at the screen, {screen.renewals} times built anew")
    print(f"pictures: {pictures}, {len(list(pictures.glob('*.png')))} of them")
    if hand.faults:
        sys.exit("\n".join(["These hang over the foot of the window:", *hand.faults]))


main(Path(sys.argv[1]).resolve(), Path(sys.argv[2]).resolve(), int(sys.argv[3]) if len(sys.argv) > 3 else None)
