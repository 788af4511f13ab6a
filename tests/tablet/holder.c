/* Another program that films: takes the buffers of a camera, so that nobody else can, and holds them for a while. */
#include <fcntl.h>
#include <linux/videodev2.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/ioctl.h>
#include <unistd.h>

int main(int count, char **words) {
    if (count != 3) return fprintf(stderr, "usage: holder DEVICE SECONDS\n"), 2;
    struct v4l2_requestbuffers wanted = { .count = 4, .type = V4L2_BUF_TYPE_VIDEO_CAPTURE, .memory = V4L2_MEMORY_MMAP };
    int device = open(words[1], O_RDWR);
    if (device < 0 || ioctl(device, VIDIOC_REQBUFS, &wanted) < 0) return perror(words[1]), 1;
    puts("held");
    fflush(stdout);
    sleep(atoi(words[2]));
    return 0;
}
