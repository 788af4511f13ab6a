"""Events of a pointer and a keyboard, as the X server makes them (XTEST), and pictures of its screen; one connection for
the whole job."""
import time
from concurrent.futures import ThreadPoolExecutor
from PIL import Image, ImageChops
from Xlib import X, XK, display
from Xlib.ext import xtest

# Between two letters; a scanner would be quicker.
LETTER = 0.004
NAMES = {" ": "space", "-": "minus", ".": "period", ",": "comma", "'": "apostrophe", "/": "slash", "(": "parenleft",
         ")": "parenright", ":": "colon", ";": "semicolon", "%": "percent", "+": "plus", "=": "equal", "_": "underscore"}


class Pointer:
    def __init__(self):
        self.display = display.Display()
        self.root = self.display.screen().root
        self.managed(30)
        # Pictures are packed while the job goes on.
        self.packing = ThreadPoolExecutor(1)
        self.packed = []

    def managed(self, seconds):
        """Waits until a window manager says that it is there."""
        said, end = self.display.intern_atom("_NET_SUPPORTING_WM_CHECK"), time.monotonic() + seconds
        while not self.root.get_full_property(said, X.AnyPropertyType):
            if time.monotonic() > end:
                raise SystemExit(f"the window manager did not come within {seconds} s")
            time.sleep(0.05)

    def event(self, kind, detail=0, **given):
        xtest.fake_input(self.display, kind, detail, **given)
        self.display.sync()

    def move(self, x, y):
        self.event(X.MotionNotify, x=x, y=y)

    def down(self):
        self.event(X.ButtonPress, 1)

    def up(self):
        self.event(X.ButtonRelease, 1)

    def type(self, text):
        for letter in text:
            self.key(NAMES.get(letter, letter))
            time.sleep(LETTER)

    def key(self, name):
        symbol = XK.string_to_keysym(name) or 0x1000000 + ord(name)
        places = sorted(self.display.keysym_to_keycodes(symbol), key=lambda place: place[1])
        if not places or places[0][1] > 1:
            raise SystemExit(f"no key of this keyboard types “{name}”")
        code, shifted = places[0]
        held = [self.display.keysym_to_keycode(XK.XK_Shift_L)] * shifted
        for key in (*held, code):
            xtest.fake_input(self.display, X.KeyPress, key)
        for key in (code, *held):
            xtest.fake_input(self.display, X.KeyRelease, key)
        self.display.sync()

    def grab(self):
        """What is drawn on the whole screen."""
        size = self.root.get_geometry()
        drawn = self.root.get_image(0, 0, size.width, size.height, X.ZPixmap, 0xFFFFFFFF)
        return Image.frombytes("RGB", (size.width, size.height), drawn.data, "raw", "BGRX")

    def still(self, seconds=5, looks=1):
        """The same, once nothing on it moves any more, seen with so many looks; what goes on moving is taken as it is after
        this time."""
        image, same, end = self.grab(), 0, time.monotonic() + seconds
        while same < looks and time.monotonic() < end:
            time.sleep(0.1)
            before, image = image, self.grab()
            same = 0 if ImageChops.difference(before, image).getbbox() else same + 1
        return image

    def keep(self, image, file):
        """Packs it with as many colours as its letters and flat grounds need."""
        self.packed.append(self.packing.submit(lambda: image.quantize(128, Image.Quantize.FASTOCTREE).save(file)))

    def end(self):
        """Waits for the pictures that are still being packed, and tells of one that could not be."""
        self.packing.shutdown()
        for one in self.packed:
            one.result()
