"""From a blank tablet to a shop: the README's page of that name, as it is written, on the virtual tablet.

    install.py PACKAGE FOLDER

FOLDER holds what `image.sh` made; FOLDER/ready.img is the tablet with the package, its shop founded and no kiosk yet."""
import shutil, subprocess, sys, tempfile
from pathlib import Path
from machine import Machine

FOUND = ("witnessmark --shop /var/lib/witnessmark/shop people found --name \"Alder Quay Motor Works\" "
         "--root tomasz.okafor=\"Tomasz Okafor\" --person apprentice:ines.varga=\"Ines Varga\"")
PASSPHRASES = "quiet harbour crane\ncopper washer teal\n"


def stick(package):
    """The stick that the package is carried over on."""
    with tempfile.TemporaryDirectory() as files:
        shutil.copy(package, files)
        image = Path(tempfile.mkdtemp(prefix="stick-")) / "stick.img"
        subprocess.run(["mke2fs", "-q", "-t", "ext4", "-d", files, image, "128M"], check=True)
    return image


def main(package, folder):
    disk = folder / "ready.img"
    subprocess.run(["cp", "--sparse=always", folder / "blank.img", disk], check=True)
    machine = Machine(folder, disk, stick(package))
    print(f"the blank tablet answered after {machine.up():.0f} s")
    machine.shell("systemctl is-system-running --wait >/dev/null || true; until [ -b /dev/sda ]; do sleep 1; done; mkdir -p /media/stick; mount -o ro /dev/sda /media/stick", seconds=300)
    print(machine.shell("cd /media/stick && apt-get install -y ./witnessmark_*.deb cage seatd xwayland", seconds=3600)[-1500:])
    print(machine.shell("getent passwd witnessmark; id witnessmark; systemctl is-enabled witnessmark-kiosk witnessmark-kms || true"))
    # Nobody sits at a terminal here, so the passphrases come by a descriptor, each once.
    founding = f"sudo -u witnessmark sh -c 'cat | {FOUND} --passphrase-fd 0'"
    print(machine.shell(founding, PASSPHRASES, seconds=300))
    machine.off()


main(Path(sys.argv[1]), Path(sys.argv[2]))
