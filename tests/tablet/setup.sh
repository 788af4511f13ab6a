#!/bin/sh
# Installs what the test on a virtual tablet needs, where it is missing (Debian and Ubuntu).
set -eu
missing=
need() { command -v "$1" >/dev/null 2>&1 || missing="$missing $2"; }
need qemu-system-x86_64 qemu-system-x86
need debootstrap debootstrap
need nbdkit nbdkit
need mke2fs e2fsprogs
need cc gcc
need tesseract tesseract-ocr
/usr/bin/python3 -c "import PIL" 2>/dev/null || missing="$missing python3-pil"
[ -z "$missing" ] && exit 0
as_root() { if [ "$(id -u)" -eq 0 ]; then "$@"; else sudo "$@"; fi; }
export DEBIAN_FRONTEND=noninteractive
as_root apt-get update -qq || { echo "missing:$missing; install them as root" >&2; exit 1; }
# One at a time, as one that cannot be had should not keep the others away; what is still missing is told.
for one in $missing; do as_root apt-get install -y -qq --no-install-recommends "$one" >/dev/null || echo "missing: $one" >&2; done
