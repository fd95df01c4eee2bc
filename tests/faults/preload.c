/* Makes the n-th change of the file system under one folder fail.
 *
 *   FAULT_UNDER=/folder FAULT_AT=7 FAULT_ERRNO=28 LD_PRELOAD=./preload.so tool
 *
 * Counts every call that makes, fills, flushes, locks, renames or removes a file
 * under the folder. FAULT_AT=0 fails none and writes the count to FAULT_COUNT.
 */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static int calls;

static int under(const char *path) {
    const char *folder = getenv("FAULT_UNDER");
    return folder && path && strncmp(path, folder, strlen(folder)) == 0;
}

static int under_fd(int fd) {
    char link[64], path[PATH_MAX];
    snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
    ssize_t length = readlink(link, path, sizeof path - 1);
    if (length < 0) return 0;
    path[length] = 0;
    return under(path);
}

/* Whether this call is the one that fails. */
static int fails(const char *what) {
    const char *at = getenv("FAULT_AT"), *with = getenv("FAULT_ERRNO"), *count = getenv("FAULT_COUNT");
    calls++;
    if (count) {
        FILE *file = fopen(count, "a");
        if (file) {
            fprintf(file, "%d %s\n", calls, what);
            fclose(file);
        }
    }
    if (!at || atoi(at) != calls) return 0;
    errno = with ? atoi(with) : EIO;
    return 1;
}

#define REAL(name) __typeof__(name) *real = (__typeof__(name) *)dlsym(RTLD_NEXT, #name)

int open64(const char *path, int flags, ...) {
    va_list rest;
    va_start(rest, flags);
    mode_t mode = va_arg(rest, mode_t);
    va_end(rest);
    REAL(open64);
    if ((flags & (O_CREAT | O_WRONLY | O_RDWR)) && under(path) && fails("open")) return -1;
    return real(path, flags, mode);
}

int openat64(int at, const char *path, int flags, ...) {
    va_list rest;
    va_start(rest, flags);
    mode_t mode = va_arg(rest, mode_t);
    va_end(rest);
    REAL(openat64);
    if ((flags & (O_CREAT | O_WRONLY | O_RDWR)) && under(path) && fails("openat")) return -1;
    return real(at, path, flags, mode);
}

int openat(int at, const char *path, int flags, ...) {
    va_list rest;
    va_start(rest, flags);
    mode_t mode = va_arg(rest, mode_t);
    va_end(rest);
    REAL(openat);
    if ((flags & (O_CREAT | O_WRONLY | O_RDWR)) && under(path) && fails("openat")) return -1;
    return real(at, path, flags, mode);
}

ssize_t write(int fd, const void *bytes, size_t length) {
    REAL(write);
    if (under_fd(fd) && fails("write")) {
        /* Half of it lands, as on a disk that fills up. */
        int error = errno;
        if (length > 1) real(fd, bytes, length / 2);
        errno = error;
        return -1;
    }
    return real(fd, bytes, length);
}

int fsync(int fd) {
    REAL(fsync);
    if (under_fd(fd) && fails("fsync")) return -1;
    return real(fd);
}

int ftruncate64(int fd, off64_t length) {
    REAL(ftruncate64);
    if (under_fd(fd) && fails("ftruncate")) return -1;
    return real(fd, length);
}

int flock(int fd, int how) {
    REAL(flock);
    if (under_fd(fd) && fails("flock")) return -1;
    return real(fd, how);
}

int rename(const char *from, const char *to) {
    REAL(rename);
    if (under(to) && fails("rename")) return -1;
    return real(from, to);
}

int mkdir(const char *path, mode_t mode) {
    REAL(mkdir);
    if (under(path) && fails("mkdir")) return -1;
    return real(path, mode);
}

int chmod(const char *path, mode_t mode) {
    REAL(chmod);
    if (under(path) && fails("chmod")) return -1;
    return real(path, mode);
}

int unlink(const char *path) {
    REAL(unlink);
    if (under(path) && fails("unlink")) return -1;
    return real(path);
}
