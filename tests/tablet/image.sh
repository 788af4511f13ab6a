#!/bin/sh
# Makes the disk of a blank tablet: Debian 12 without a desktop and without fonts, and beside it the packages that the kiosk will ask for,
# so that it can be installed there without a network. Takes some minutes and 3 GB; what is there is left alone.
#
#   image.sh PACKAGE FOLDER
#
# FOLDER/blank.img is the disk, FOLDER/vmlinuz and FOLDER/initrd.img start it. WITNESSMARK_MIRROR names another mirror.
set -eu
package=$(realpath "$1") folder=$2
base=$folder/base
mkdir -p "$folder"
if [ ! -e "$folder/base.done" ]; then
    rm -rf "$base"
    # The agent stands for the technician at the console; nothing else is there for the test.
    debootstrap --include=linux-image-amd64,sudo,dbus,libpam-systemd,qemu-guest-agent bookworm "$base" ${WITNESSMARK_MIRROR:+"$WITNESSMARK_MIRROR"}
    echo tablet >"$base/etc/hostname"
    echo "127.0.0.1 localhost tablet" >"$base/etc/hosts"
    echo "/dev/vda / ext4 errors=remount-ro 0 1" >"$base/etc/fstab"
    # Housekeeping would take its time from an emulated processor.
    for unit in cron e2scrub_reap networking apt-daily.timer apt-daily-upgrade.timer e2scrub_all.timer logrotate.timer; do
        chroot "$base" systemctl -q disable "$unit" || true
    done
    # A small first file system starts sooner.
    echo MODULES=list >"$base/etc/initramfs-tools/conf.d/tablet"
    printf '%s\n' virtio_pci virtio_blk ext4 >>"$base/etc/initramfs-tools/modules"
    chroot "$base" update-initramfs -u
    umount "$base/proc" 2>/dev/null || true
    touch "$folder/base.done"
fi
cp "$package" "$base/var/tmp/"
chroot "$base" sh -ec "apt-get update -qq; apt-get install -y -qq --download-only /var/tmp/$(basename "$package") cage seatd xwayland"
rm "$base/var/tmp/$(basename "$package")"
cp "$base"/boot/vmlinuz-* "$folder/vmlinuz"
cp "$base"/boot/initrd.img-* "$folder/initrd.img"
rm -f "$folder/blank.img"
mke2fs -q -t ext4 -L tablet -d "$base" "$folder/blank.img" 4G
