"""Reads what stands on the screen of the virtual tablet, as far as letters can be read off a picture of it, and touches
what it reads."""
import hashlib, os, subprocess, tempfile, time
from pathlib import Path
from PIL import Image, ImageChops

# A page refuses for 0.6 s what may be a second tap of the same finger; a person takes longer to read it.
READING = 0.8
# How sure the reader has to be of a word, in percent.
SURE = 30


def plates(image):
    """The edges of each plate that is darker than letters of its own: the left, the top, the right and the bottom."""
    grid, dark = 8, 100
    cells = {(x, y) for x in range(0, image.width, grid) for y in range(grid * 12, image.height, grid)
             if image.getpixel((x, y)) < dark}
    while cells:
        plate, edge = set(), [cells.pop()]
        while edge:
            x, y = edge.pop()
            plate.add((x, y))
            near = {(x + grid, y), (x - grid, y), (x, y + grid), (x, y - grid)} & cells
            cells -= near
            edge += near
        left, top, right, bottom = (way(place[axis] for place in plate) for way, axis in
                                    ((min, 0), (min, 1), (max, 0), (max, 1)))
        if right - left > 90 and bottom - top > 30:
            yield left, top, right, bottom


class Words:
    """The words in a picture, each with its place, in the order in which they are read."""

    def __init__(self, picture):
        self.words = [*self.read(Image.open(picture).convert("L"))]
        self.text = " ".join(word for word, _ in self.words)

    def read(self, image):
        """Dark letters on light ground, and light ones on each dark plate."""
        yield from self.letters(image, "11")
        for left, top, right, bottom in plates(image):
            plate = ImageChops.invert(image.crop((left + 4, top + 4, right - 4, bottom - 4)))
            for word, (x, y) in self.letters(plate, "6"):
                yield word, (x + left + 4, y + top + 4)

    @staticmethod
    def letters(image, mode):
        with tempfile.NamedTemporaryFile(suffix=".png") as file:
            image.save(file.name)
            said = subprocess.run(["tesseract", file.name, "-", "--psm", mode, "tsv"], capture_output=True, text=True,
                                  check=True, env={**os.environ, "OMP_THREAD_LIMIT": "1"}).stdout
        for line in said.splitlines()[1:]:
            row = line.split("\t")
            if float(row[10]) > SURE and row[11].strip():
                left, top, width, height = map(int, row[6:10])
                yield row[11], (left + width / 2, top + height / 2)

    def find(self, phrase, which=-1):
        """The middle of the words of a phrase that stand one after the other, where they can be read; of several such
        places the last, as plates stand below what is said of them."""
        wanted = phrase.split()
        found = []
        for at in range(len(self.words) - len(wanted) + 1):
            row = self.words[at:at + len(wanted)]
            if [word for word, _ in row] == wanted and max(y for _, (_, y) in row) - min(y for _, (_, y) in row) < 60:
                found.append(tuple(sum(place[axis] for _, place in row) / len(row) for axis in (0, 1)))
        return found[which] if found else None


class Person:
    """Somebody who looks at the screen, reads, and touches."""

    def __init__(self, machine, pictures):
        self.machine, self.pictures, self.number = machine, Path(pictures), 0
        self.pictures.mkdir(parents=True, exist_ok=True)

    def print(self):
        """What tells one look of the screen from another: its picture without the head, where the clock goes on."""
        picture = self.machine.screen(self.pictures / "now.png")
        image = Image.open(picture).convert("RGB")
        return hashlib.sha256(image.crop((0, 90, image.width, image.height)).tobytes()).digest()

    def rested(self, seconds=30):
        """Waits until the screen stays as it is."""
        end, last = time.monotonic() + seconds, None
        while time.monotonic() < end:
            now = self.print()
            if now == last:
                return now
            last = now
            time.sleep(0.25)
        return last

    def look(self):
        self.rested()
        return Words(self.pictures / "now.png")

    def keep(self, name):
        self.rested()
        return (self.pictures / "now.png").replace(self.pictures / f"{name}.png")

    def sees(self, *phrases, seconds=60):
        """Waits until one of these phrases stands there, and says where and which."""
        end = time.monotonic() + seconds
        while True:
            words = self.look()
            for phrase in phrases:
                if place := words.find(phrase):
                    return place, phrase
            if time.monotonic() > end:
                self.keep("stuck")
                raise SystemExit(f"none of {phrases} came within {seconds} s; on the screen: {words.text}")

    def touch(self, phrase, seconds=60):
        place, _ = self.sees(phrase, seconds=seconds)
        self.touch_at(*place)

    def touch_at(self, x, y, tries=3):
        """Touches a place, once more where nothing changes."""
        before = self.rested()
        for _ in range(tries):
            time.sleep(READING)
            self.machine.touch(x, y)
            end = time.monotonic() + 5
            while time.monotonic() < end:
                if self.print() != before:
                    return
                time.sleep(0.1)
        self.keep("stuck")
        raise SystemExit(f"nothing changes where {x:.0f}, {y:.0f} is touched; {self.pictures / 'stuck.png'}")
