"""Does the demonstration's job at the real window, from the founding of the shop to its certificate, and has the record
verified three times over. Started by `run.sh`, within a session bus of its own.

    whole_job.py PROGRAM FOLDER [PROCEDURES]

After so many procedures it stops, and the record of the open job is verified."""
import shutil, sys, time
from pathlib import Path
from desk import founded
from hand import Hand
from proof import prove, told_acts
from screen import Stuck
from walk import Walk


def main(binary, folder, procedures):
    begun = time.monotonic()
    pictures = folder / "pictures"
    shutil.rmtree(pictures, ignore_errors=True)
    pictures.mkdir(parents=True)
    with founded(binary, folder) as program:
        with open(folder / "acts.log", "w", encoding="utf-8") as kept:
            log = lambda *words: print(f"{time.monotonic() - begun:7.1f}", *words, file=kept, flush=True)
            hand = Hand(program, pictures, log)
            walk = Walk(hand, program, log)
            program.desk.last_words = lambda why: hand.keep_what_stands(why, "ended", asked=False)
            stuck = walked_through(walk, procedures)
        walked = time.monotonic() - begun
        prove(program, walk)
        screen, done = hand.screen, walk.done()
        took = time.monotonic() - begun
        print(f"{sum(done.values())} acts, {hand.touches} touches and {hand.keys} keys in {walked:.0f} s, {hand.again} of "
              f"them once more; {screen.reads} looks at the screen, {screen.renewals} times built anew; with the proof "
              f"{took:.0f} s. Of the processor: {program.desk.seconds_used()}")
    size = sum(one.stat().st_size for one in pictures.glob("*.png"))
    print(f"pictures: {pictures}, {len(list(pictures.glob('*.png')))} of them, {size / 1e6:.1f} MB")
    print(f"STUCK ONCE and gone on with: {stuck}" if stuck else "nothing had to be tried again")
    if hand.faults:
        sys.exit("\n".join(["These are drawn wrong:", *dict.fromkeys(hand.faults)]))


def alive(program):
    return program.process.poll() is None


def walked_through(walk, procedures):
    """Does the job. Where it is stuck, what stands on the screen is kept, the program is ended and started again, and the
    job is gone on with once where its record stands; returns what was the matter."""
    try:
        walk.program.start()
        walk.come_back()
        walk.whole_job(procedures)
        return None
    except Stuck as error:
        stuck = f"{walk.hand.doing}: {error}"
        walk.log("STUCK", stuck)
        walk.hand.keep_what_stands(error, "stuck-once", alive(walk.program))
    try:
        walk.go_on(told_acts(walk.program))
        walk.whole_job(procedures)
        return stuck
    except Stuck as error:
        walk.hand.keep_what_stands(error, "stuck", alive(walk.program))
        print(f"STUCK TWICE, first at {stuck}; then at {walk.hand.doing}: {error}. Pictures and trees are kept: "
              f"{walk.hand.pictures}/stuck*", file=sys.stderr, flush=True)
        sys.exit(5)


main(Path(sys.argv[1]).resolve(), Path(sys.argv[2]).resolve(), int(sys.argv[3]) if len(sys.argv) > 3 else None)
