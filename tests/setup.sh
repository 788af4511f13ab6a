#!/bin/sh
# Installs the stock tools that the tests check records and certificates with, where they are missing:
# ssh-keygen, jq, sha256sum, python3, strace, qpdf, pdftotext, dbus-daemon, and a C linker for Rust. Debian and Ubuntu.
set -eu
missing=
need() { command -v "$1" >/dev/null 2>&1 || missing="$missing $2"; }
need ssh-keygen openssh-client
need jq jq
need sha256sum coreutils
need python3 python3-minimal
need qpdf qpdf
need pdftotext poppler-utils
need cc gcc
need git git
need strace strace
need dbus-daemon dbus-daemon
[ -z "$missing" ] && exit 0
as_root() { if [ "$(id -u)" -eq 0 ]; then "$@"; else sudo "$@"; fi; }
export DEBIAN_FRONTEND=noninteractive
as_root apt-get update -qq
# shellcheck disable=SC2086 # The list is meant to be split.
as_root apt-get install -y -qq --no-install-recommends $missing
