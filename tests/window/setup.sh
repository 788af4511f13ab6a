#!/bin/sh
# Installs what the test at the real window needs, where it is missing: a virtual X server, a window manager, the
# accessibility bus, and Python with bindings to both. Debian and Ubuntu.
set -eu
missing=
need() { command -v "$1" >/dev/null 2>&1 || missing="$missing $2"; }
need Xvfb xvfb
need openbox openbox
need dbus-run-session dbus
need jq jq
need ssh-keygen openssh-client
[ -e /usr/libexec/at-spi-bus-launcher ] || [ -e /usr/lib/at-spi2-core/at-spi-bus-launcher ] || missing="$missing at-spi2-core"
/usr/bin/python3 -c "import gi" 2>/dev/null || missing="$missing python3-gi"
/usr/bin/python3 -c "import Xlib" 2>/dev/null || missing="$missing python3-xlib"
/usr/bin/python3 -c "import PIL" 2>/dev/null || missing="$missing python3-pil"
/usr/bin/python3 -c "import yaml" 2>/dev/null || missing="$missing python3-yaml"
[ -z "$missing" ] && exit 0
as_root() { if [ "$(id -u)" -eq 0 ]; then "$@"; else sudo "$@"; fi; }
export DEBIAN_FRONTEND=noninteractive
as_root apt-get update -qq || { echo "missing:$missing; install them as root" >&2; exit 1; }
# shellcheck disable=SC2086 # The list is meant to be split.
as_root apt-get install -y -qq --no-install-recommends $missing >/dev/null
