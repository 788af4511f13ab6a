/* A camera that is not there. Loaded before the C library, it answers the calls that a program makes to a
 * Video4Linux device, for one made-up path, as the kernel's documentation says (Userspace API, part I). The folder
 * in WITNESSMARK_SIMULATED tells what it is like, and is read again at each call:
 *
 *   device   the made-up path
 *   state    absent, denied, busy, deaf, other, good, silent, damaged or gone
 *   formats  a line for each size: four letters, width, height
 *   frame    the bytes of each frame
 *   log      written: what was called
 *
 * A program that waits for a frame waits at the end of a real pipe, so that it can wait by any call. */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <linux/videodev2.h>
#include <pthread.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/types.h>
#include <unistd.h>

#define BUFFERS 4
#define MOST (8 * 1024 * 1024)

static pthread_mutex_t lock = PTHREAD_MUTEX_INITIALIZER;
static int eye = -1, light = -1, filming = 0, count = 0, queued[BUFFERS], queue_length = 0;
static unsigned sequence = 0;
static void *buffers[BUFFERS];
static struct v4l2_pix_format given;

/* Calls below the C library's names, so that they do not come back here. */
static int (*real_open)(const char *, int, ...);
static int (*real_close)(int);
static int (*real_ioctl)(int, unsigned long, ...);
static void *(*real_mmap)(void *, size_t, int, int, int, off_t);

__attribute__((constructor)) static void find(void) {
    real_open = dlsym(RTLD_NEXT, "open");
    real_close = dlsym(RTLD_NEXT, "close");
    real_ioctl = dlsym(RTLD_NEXT, "ioctl");
    real_mmap = dlsym(RTLD_NEXT, "mmap");
}

static int at(const char *name, int flags) {
    char path[4096];
    snprintf(path, sizeof path, "%s/%s", getenv("WITNESSMARK_SIMULATED") ?: "", name);
    return real_open(path, flags | O_CLOEXEC, 0600);
}

static ssize_t text(const char *name, char *into, size_t most) {
    int file = at(name, O_RDONLY);
    ssize_t length = file < 0 ? 0 : read(file, into, most - 1);
    if (file >= 0) real_close(file);
    into[length < 0 ? 0 : length] = 0;
    while (length > 0 && into[length - 1] == '\n') into[--length] = 0;
    return length;
}

static int is(const char *state) {
    char found[64];
    text("state", found, sizeof found);
    return !strcmp(found, state);
}

static void note(const char *what) {
    int file = at("log", O_WRONLY | O_CREAT | O_APPEND);
    if (file < 0) return;
    if (dprintf(file, "%s\n", what) < 0) perror("log");
    real_close(file);
}

static int no(int error) {
    errno = error;
    return -1;
}

/* Thirty times a second something can be seen. */
static void *shine(void *unused) {
    (void)unused;
    for (;;) {
        usleep(33000);
        pthread_mutex_lock(&lock);
        int open = eye >= 0;
        if (open && is("gone") && light >= 0) {
            real_close(light);
            light = -1;
        }
        /* Never more than there are buffers: a camera with no buffer left drops the frame. */
        if (open && light >= 0 && filming && count < queue_length && (is("good") || is("damaged")))
            count += write(light, "", 1) == 1;
        pthread_mutex_unlock(&lock);
        if (!open) return NULL;
    }
}

static int open_eye(void) {
    int ends[2];
    pthread_t thread;
    if (is("absent") || is("gone")) return no(ENOENT);
    if (is("denied")) return no(EACCES);
    if (eye >= 0) return no(EBUSY);
    if (pipe2(ends, O_CLOEXEC)) return -1;
    eye = ends[0], light = ends[1], filming = count = queue_length = 0;
    if (pthread_create(&thread, NULL, shine, NULL)) return no(ENOMEM);
    pthread_detach(thread);
    note("open");
    return eye;
}

static int opened(const char *path, int flags, unsigned mode) {
    char device[512];
    if (text("device", device, sizeof device) > 0 && !strcmp(path, device)) {
        pthread_mutex_lock(&lock);
        int found = open_eye();
        pthread_mutex_unlock(&lock);
        return found;
    }
    return real_open(path, flags, mode);
}

int open(const char *path, int flags, ...) {
    va_list more;
    va_start(more, flags);
    unsigned mode = (flags & (O_CREAT | O_TMPFILE)) ? va_arg(more, unsigned) : 0;
    va_end(more);
    return opened(path, flags, mode);
}

int open64(const char *path, int flags, ...) {
    va_list more;
    va_start(more, flags);
    unsigned mode = (flags & (O_CREAT | O_TMPFILE)) ? va_arg(more, unsigned) : 0;
    va_end(more);
    return opened(path, flags | O_LARGEFILE, mode);
}

int close(int file) {
    pthread_mutex_lock(&lock);
    if (file >= 0 && file == eye) {
        note("close");
        eye = -1;
        if (light >= 0) real_close(light);
        light = -1;
    }
    pthread_mutex_unlock(&lock);
    return real_close(file);
}

/* The line of `formats` with this number among those with these letters, or among the first ones of each. */
static int line(int wanted, unsigned letters, char *found, unsigned *width, unsigned *height) {
    char all[1024], seen[1024] = "", *rest = all, *one;
    text("formats", all, sizeof all);
    while ((one = strsep(&rest, "\n"))) {
        if (sscanf(one, "%4s %u %u", found, width, height) != 3) continue;
        int first = !strstr(seen, found);
        strcat(seen, found);
        if (letters ? v4l2_fourcc(found[0], found[1], found[2], found[3]) == letters : first)
            if (!wanted--) return 1;
    }
    return 0;
}

static int capability(struct v4l2_capability *say) {
    if (is("deaf")) return no(ENOTTY);
    memset(say, 0, sizeof *say);
    strcpy((char *)say->driver, "simulated");
    strcpy((char *)say->card, "Simulated camera");
    say->capabilities = V4L2_CAP_DEVICE_CAPS;
    say->device_caps = is("other") ? V4L2_CAP_VIDEO_OUTPUT : V4L2_CAP_VIDEO_CAPTURE | V4L2_CAP_STREAMING;
    return 0;
}

static int format(struct v4l2_fmtdesc *say) {
    char letters[5];
    unsigned width, height;
    if (!line(say->index, 0, letters, &width, &height)) return no(EINVAL);
    say->pixelformat = v4l2_fourcc(letters[0], letters[1], letters[2], letters[3]);
    return 0;
}

static int size(struct v4l2_frmsizeenum *say) {
    char letters[5];
    say->type = V4L2_FRMSIZE_TYPE_DISCRETE;
    int found = line(say->index, say->pixel_format, letters, &say->discrete.width, &say->discrete.height);
    return found ? 0 : no(EINVAL);
}

static int set(struct v4l2_format *wanted) {
    if (is("busy")) return no(EBUSY);
    struct v4l2_pix_format *pix = &wanted->fmt.pix;
    pix->bytesperline = pix->pixelformat == V4L2_PIX_FMT_YUYV ? 2 * pix->width : 0;
    pix->sizeimage = pix->bytesperline ? pix->bytesperline * pix->height : MOST;
    pix->field = V4L2_FIELD_NONE;
    given = *pix;
    char said[64];
    snprintf(said, sizeof said, "format %.4s %u %u", (char *)&pix->pixelformat, pix->width, pix->height);
    note(said);
    return 0;
}

static int take(struct v4l2_buffer *buffer) {
    char one;
    /* Waits as the kernel does, without keeping others from closing. */
    pthread_mutex_unlock(&lock);
    ssize_t came = is("gone") ? 0 : read(eye, &one, 1);
    pthread_mutex_lock(&lock);
    if (came < 1) return no(ENODEV);
    if (!queue_length) return no(EINVAL);
    count--;
    int index = queued[0];
    memmove(queued, queued + 1, sizeof *queued * --queue_length);
    int file = at("frame", O_RDONLY);
    ssize_t length = file < 0 ? 0 : read(file, buffers[index], MOST);
    if (file >= 0) real_close(file);
    buffer->index = index;
    buffer->bytesused = length < 0 ? 0 : length;
    buffer->flags = V4L2_BUF_FLAG_MAPPED | (is("damaged") ? V4L2_BUF_FLAG_ERROR : 0);
    buffer->sequence = sequence++;
    return 0;
}

static int stop(void) {
    char one;
    while (count > 0 && read(eye, &one, 1) == 1) count--;
    filming = queue_length = count = 0;
    note("off");
    return 0;
}

static int asked(unsigned long request, void *with) {
    struct v4l2_buffer *buffer = with;
    if (is("gone")) return no(ENODEV);
    switch (request) {
    case VIDIOC_QUERYCAP: return capability(with);
    case VIDIOC_ENUM_FMT: return format(with);
    case VIDIOC_ENUM_FRAMESIZES: return size(with);
    case VIDIOC_S_FMT: return set(with);
    case VIDIOC_REQBUFS: {
        struct v4l2_requestbuffers *wanted = with;
        if (wanted->count > BUFFERS) wanted->count = BUFFERS;
        return 0;
    }
    case VIDIOC_QUERYBUF:
        if (buffer->index >= BUFFERS) return no(EINVAL);
        buffer->length = MOST;
        buffer->m.offset = buffer->index * MOST;
        return 0;
    case VIDIOC_QBUF:
        if (buffer->index >= BUFFERS || queue_length >= BUFFERS) return no(EINVAL);
        queued[queue_length++] = buffer->index;
        return 0;
    case VIDIOC_STREAMON:
        filming = 1;
        note("on");
        return 0;
    case VIDIOC_STREAMOFF: return stop();
    case VIDIOC_DQBUF: return filming ? take(buffer) : no(EINVAL);
    default: return no(ENOTTY);
    }
}

int ioctl(int file, unsigned long request, ...) {
    va_list more;
    va_start(more, request);
    void *with = va_arg(more, void *);
    va_end(more);
    pthread_mutex_lock(&lock);
    int ours = file >= 0 && file == eye;
    int answer = ours ? asked((unsigned)request, with) : 0;
    pthread_mutex_unlock(&lock);
    return ours ? answer : real_ioctl(file, request, with);
}

static void *mapped(void *where, size_t length, int may, int how, int file, off_t offset) {
    if (file < 0 || file != eye) return real_mmap(where, length, may, how, file, offset);
    void *found = real_mmap(where, length, may, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0);
    if (found != MAP_FAILED && offset / MOST < BUFFERS) buffers[offset / MOST] = found;
    return found;
}

void *mmap(void *where, size_t length, int may, int how, int file, off_t offset) {
    return mapped(where, length, may, how, file, offset);
}

void *mmap64(void *where, size_t length, int may, int how, int file, off_t offset) {
    return mapped(where, length, may, how, file, offset);
}
