#!/bin/sh
# Proves the package on a virtual tablet: a blank Debian 12, the README's page "From a blank tablet to the first practice
# run", both units with a person at the screen, and power cuts (Debian and Ubuntu, as root).
#
#   run.sh PACKAGE [FOLDER [CUTS]]
#
# PACKAGE is made with `cargo deb --features linuxkms,camera`; FOLDER takes disks, pictures and logs (target/tablet where
# it is not given, 10 GB); CUTS is how often the power goes (10). Takes half an hour with KVM, hours without; where KVM is
# offered but runs no kernel, WITNESSMARK_ACCEL=tcg does without. Exit code 0: all is as it should be. 1: not. 2: called
# the wrong way. 3: the tools are missing and cannot be installed; it says which.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
[ $# -ge 1 ] && [ -f "$1" ] || { echo "usage: $0 PACKAGE [FOLDER [CUTS]]" >&2; exit 2; }
[ "$(id -u)" -eq 0 ] || { echo "root is needed, to make the tablet's disk" >&2; exit 3; }
package=$(realpath "$1") folder=${2:-$here/../../target/tablet}
sh "$here/setup.sh" || exit 3
export PYTHONDONTWRITEBYTECODE=1
[ -e "$folder/blank.img" ] || sh "$here/image.sh" "$package" "$folder"
folder=$(realpath "$folder")
/usr/bin/python3 -u "$here/install.py" "$package" "$folder"
for unit in witnessmark-kms witnessmark-kiosk; do /usr/bin/python3 -u "$here/unit.py" "$folder" "$unit"; done
cp --sparse=always "$folder/witnessmark-kms.img" "$folder/cuts.img"
/usr/bin/python3 -u "$here/cuts.py" "$folder" "${3:-10}"
# The package's own program looks at what the disk keeps.
program=$(mktemp -d)
dpkg-deb -x "$package" "$program"
/usr/bin/python3 -u "$here/moments.py" "$program/usr/bin/witnessmark" "$folder" 30
rm -r "$program"
