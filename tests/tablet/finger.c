/* A touch screen that is not there, made by the kernel's own uinput in the guest: QEMU 7.2 has none to give. Reads one
 * act a line, `tap X Y` or `drag X Y TO_X`, in pixels of a screen of 1280 by 800, and ends with its input. */
#include <fcntl.h>
#include <linux/uinput.h>
#include <stdio.h>
#include <string.h>
#include <sys/ioctl.h>
#include <unistd.h>

static int device;

static void say(int type, int code, int value) {
    struct input_event event = { .type = type, .code = code, .value = value };
    if (write(device, &event, sizeof event) != sizeof event) perror("uinput");
}

static void at(int x, int y) {
    say(EV_ABS, ABS_MT_POSITION_X, x);
    say(EV_ABS, ABS_MT_POSITION_Y, y);
    say(EV_ABS, ABS_X, x);
    say(EV_ABS, ABS_Y, y);
    say(EV_SYN, SYN_REPORT, 0);
}

static void down(int x, int y, int number) {
    say(EV_ABS, ABS_MT_SLOT, 0);
    say(EV_ABS, ABS_MT_TRACKING_ID, number);
    say(EV_KEY, BTN_TOUCH, 1);
    at(x, y);
}

static void up(void) {
    say(EV_ABS, ABS_MT_TRACKING_ID, -1);
    say(EV_KEY, BTN_TOUCH, 0);
    say(EV_SYN, SYN_REPORT, 0);
}

static void axis(int code, int most) {
    struct uinput_abs_setup setup = { .code = code, .absinfo = { .maximum = most, .resolution = most > 100 ? 6 : 0 } };
    ioctl(device, UI_SET_ABSBIT, code);
    ioctl(device, UI_ABS_SETUP, &setup);
}

int main(void) {
    struct uinput_setup setup = { .id = { .bustype = BUS_USB, .vendor = 1, .product = 1 } };
    strcpy(setup.name, "Touch screen in a test");
    device = open("/dev/uinput", O_WRONLY);
    if (device < 0) return perror("/dev/uinput"), 1;
    ioctl(device, UI_SET_EVBIT, EV_ABS);
    ioctl(device, UI_SET_EVBIT, EV_KEY);
    ioctl(device, UI_SET_KEYBIT, BTN_TOUCH);
    ioctl(device, UI_SET_PROPBIT, INPUT_PROP_DIRECT);
    axis(ABS_X, 1279);
    axis(ABS_Y, 799);
    axis(ABS_MT_SLOT, 4);
    axis(ABS_MT_TRACKING_ID, 65535);
    axis(ABS_MT_POSITION_X, 1279);
    axis(ABS_MT_POSITION_Y, 799);
    if (ioctl(device, UI_DEV_SETUP, &setup) < 0 || ioctl(device, UI_DEV_CREATE) < 0) return perror("uinput"), 1;
    char line[80];
    int x, y, to, number = 1;
    while (fgets(line, sizeof line, stdin)) {
        if (sscanf(line, "drag %d %d %d", &x, &y, &to) == 3) {
            down(x, y, number++);
            for (int step = 1; step <= 40; step++) {
                usleep(16000);
                at(x + (to - x) * step / 40, y);
            }
            up();
        } else if (sscanf(line, "tap %d %d", &x, &y) == 2) {
            down(x, y, number++);
            usleep(80000);
            up();
        } else {
            fprintf(stderr, "neither a tap nor a drag: %s", line);
        }
    }
    return 0;
}
