#!/bin/sh
# Does a whole job at the real window as a person would, under a virtual X server, and looks at it where no fonts are
# installed (Debian and Ubuntu).
#
#   run.sh PROGRAM [FOLDER [PROCEDURES]]
#
# PROGRAM is the kiosk's own binary, FOLDER takes the shop, pictures of the pages and logs (target/window where it is
# not given). With PROCEDURES it stops after so many of them and verifies the open job. Exit code 0: done and whole.
# 1: not. 5: not, it was stuck twice. 124: not within WINDOW_SECONDS, where that is set. 3: the tools are missing and
# cannot be installed; it says which. 4: no X server or no accessibility bus starts.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
[ $# -ge 1 ] && [ -x "$1" ] || { echo "usage: $0 PROGRAM [FOLDER]" >&2; exit 2; }
folder=${2:-$here/../../target/window}
sh "$here/setup.sh" || exit 3
mkdir -p "$folder"
export PYTHONDONTWRITEBYTECODE=1
# A session bus of its own, so that nobody's screen reader is told anything.
dbus-run-session -- /usr/bin/python3 "$here/whole_job.py" "$1" "$folder" ${3:+"$3"}
if unshare --user --map-root-user --mount true 2>/dev/null || [ "$(id -u)" -eq 0 ] && unshare --mount true 2>/dev/null; then
    dbus-run-session -- /usr/bin/python3 "$here/no_fonts.py" "$1" "$folder/no-fonts"
else
    echo "without fonts it was not tried: no mount namespace may be made here" >&2
fi
