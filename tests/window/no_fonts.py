"""The kiosk on a machine on which no fonts are installed: every folder of fonts is covered by an empty one, in a mount
namespace of its own, and the sign-on page must look, pixel by pixel, as it does where fonts are installed.

    no_fonts.py PROGRAM FOLDER"""
import os, sys, time
from pathlib import Path
from PIL import ImageChops
from desk import founded

# An empty folder over each of these; the fonts that the program brings along are compiled in.
COVER = """set -e
for folder in /usr/share/fonts /usr/local/share/fonts "$HOME/.fonts" "$HOME/.local/share/fonts"; do
    [ ! -d "$folder" ] || mount -t tmpfs none "$folder"
done
[ -z "$(find /usr/share/fonts /usr/local/share/fonts -type f 2>/dev/null)" ]
exec "$@"
"""


def alone():
    """The command before the program: in a mount namespace of its own, as whoever runs the test."""
    names = ["--mount"] if os.geteuid() == 0 else ["--user", "--map-root-user", "--mount"]
    return ["unshare", *names, "sh", "-c", COVER, "sh"]


def picture(program, file, before):
    """The sign-on page once it has come to rest, without the clock."""
    program.start(before)
    screen, pointer = program.desk.screen, program.desk.pointer
    sight, end = screen.read(), time.monotonic() + 180
    while not sight.has("Who works here now?") and time.monotonic() < end:
        screen.signal(0.2)
        sight = screen.read()
    image = pointer.still(60, looks=10)
    pointer.keep(image, file)
    x, y, width, height = next(one for one in sight.elements if one.name.startswith("Clock ")).box
    program.kill()
    shown = image.copy()
    shown.paste((0, 0, 0), (x, y, x + width, y + height))
    return shown


def main(binary, folder):
    with founded(binary, folder) as program:
        with_fonts = picture(program, folder / "with-fonts.png", [])
        without = picture(program, folder / "no-fonts.png", alone())
    apart = ImageChops.difference(with_fonts, without).getbbox()
    if apart:
        sys.exit(f"without fonts the page differs within {apart}; look at {folder}/no-fonts.png")
    inks = len(without.getcolors(1 << 24))
    if inks < 20:
        sys.exit(f"there are {inks} colours on the page, so no letters: look at {folder}/no-fonts.png")
    print(f"without fonts the page is the same; {folder}/no-fonts.png")


main(Path(sys.argv[1]).resolve(), Path(sys.argv[2]).resolve())
