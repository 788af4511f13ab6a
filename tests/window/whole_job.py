"""Does the demonstration's job at the real window, from the founding of the shop to its certificate, and has the record
verified three times over. Started by `run.sh`, within a session bus of its own.

    whole_job.py PROGRAM FOLDER [PROCEDURES]

After so many procedures it stops, and the record of the open job is verified."""
import sys, time
from pathlib import Path
from desk import founded
from hand import Hand
from proof import prove
from walk import Walk


def main(binary, folder, procedures):
    begun = time.monotonic()
    pictures = folder / "pictures"
    pictures.mkdir(parents=True, exist_ok=True)
    for old in pictures.glob("*.png"):
        old.unlink()
    with founded(binary, folder) as program:
        program.start()
        with open(folder / "acts.log", "w", encoding="utf-8") as kept:
            log = lambda *words: print(f"{time.monotonic() - begun:7.1f}", *words, file=kept, flush=True)
            hand = Hand(program.desk.screen, program.desk.pointer, pictures, log)
            walk = Walk(hand, program, log)
            walk.whole_job(procedures)
        walked = time.monotonic() - begun
        prove(program, walk)
    screen = hand.screen
    took = time.monotonic() - begun
    print(f"{sum(walk.done.values())} acts, {hand.touches} touches and {hand.keys} keys in {walked:.0f} s, "
          f"{hand.again} of them once more; {screen.reads} looks at the screen, {screen.renewals} times built anew; "
          f"with the proof {took:.0f} s")
    print(f"pictures: {pictures}, {len(list(pictures.glob('*.png')))} of them")
    if hand.faults:
        sys.exit("\n".join(["These hang over the edge of the window or of their panel:", *dict.fromkeys(hand.faults)]))


main(Path(sys.argv[1]).resolve(), Path(sys.argv[2]).resolve(), int(sys.argv[3]) if len(sys.argv) > 3 else None)
