/* A disk that fails on purpose: loaded before the C library (LD_PRELOAD), asleep until armed.

   Counts calls that change a file under one folder; the n-th is made to fail, or the process is
   killed before it or in the middle of it. How SQLite tests itself: sqlite.org/testing.html, 3. */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/types.h>
#include <unistd.h>

enum { ASLEEP, KILL, TORN, WRITE_FAILS, SYNC_FAILS, READ_FAILS, NAMES_FAIL, FULL_ONCE, FULL };
static int kind, fired;
static long left;
static char folder[4096];

void arm_fault(int how, long at, const char *under) {
    fired = 0;
    left = at;
    snprintf(folder, sizeof folder, "%s", under);
    kind = how;
}
int fault_fired(void) { return fired; }

static int is_ours(int fd) {
    char link[64], path[4096];
    snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
    ssize_t n = readlink(link, path, sizeof path - 1);
    if (n <= 0) return 0;
    path[n] = 0;
    return strncmp(path, folder, strlen(folder)) == 0;
}
static int now(void) { return left-- <= 0 && (!fired || kind == FULL); }
static void die(void) { kill(getpid(), SIGKILL); for (;;) pause(); }

#define REAL(type, name, ...) \
    static type (*real)(__VA_ARGS__); \
    if (!real) real = (type (*)(__VA_ARGS__))dlsym(RTLD_NEXT, name)

static int fails(int error) { fired = 1; errno = error; return -1; }
static int change_fails(void) { /* of names and sizes; 0: go on */
    if (kind == KILL || kind == TORN) die();
    if (kind == NAMES_FAIL) return fails(EIO);
    return 0;
}

static ssize_t put(int fd, const void *data, size_t size, off64_t at,
                   ssize_t (*real)(int, const void *, size_t, off64_t)) {
    int counts = kind == KILL || kind == TORN || kind == WRITE_FAILS || kind >= FULL_ONCE;
    if (counts && is_ours(fd) && now()) {
        if (kind == TORN && size > 1) real(fd, data, size / 2, at);
        if (kind == KILL || kind == TORN) die();
        return fails(kind == WRITE_FAILS ? EIO : ENOSPC);
    }
    return real(fd, data, size, at);
}
ssize_t pwrite64(int fd, const void *data, size_t size, off64_t at) {
    REAL(ssize_t, "pwrite64", int, const void *, size_t, off64_t);
    return put(fd, data, size, at, real);
}
ssize_t pwrite(int fd, const void *data, size_t size, off_t at) { return pwrite64(fd, data, size, at); }

static ssize_t (*plain_write)(int, const void *, size_t);
static ssize_t write_there(int fd, const void *data, size_t size, off64_t at) {
    (void)at;
    return plain_write(fd, data, size);
}
ssize_t write(int fd, const void *data, size_t size) {
    if (!plain_write) plain_write = (ssize_t (*)(int, const void *, size_t))dlsym(RTLD_NEXT, "write");
    return kind ? put(fd, data, size, 0, write_there) : plain_write(fd, data, size);
}
ssize_t pread64(int fd, void *data, size_t size, off64_t at) {
    REAL(ssize_t, "pread64", int, void *, size_t, off64_t);
    if (kind == READ_FAILS && is_ours(fd) && now()) return fails(EIO);
    return real(fd, data, size, at);
}
ssize_t pread(int fd, void *data, size_t size, off_t at) { return pread64(fd, data, size, at); }

static int sync_fails(int fd) {
    int counts = kind == KILL || kind == TORN || kind == SYNC_FAILS;
    if (!counts || !is_ours(fd) || !now()) return 0;
    if (kind != SYNC_FAILS) die();
    return fails(EIO);
}
int fsync(int fd) {
    REAL(int, "fsync", int);
    return sync_fails(fd) ? -1 : real(fd);
}
int fdatasync(int fd) {
    REAL(int, "fdatasync", int);
    return sync_fails(fd) ? -1 : real(fd);
}
int ftruncate64(int fd, off64_t size) {
    REAL(int, "ftruncate64", int, off64_t);
    return kind && is_ours(fd) && now() && change_fails() ? -1 : real(fd, size);
}
int ftruncate(int fd, off_t size) { return ftruncate64(fd, size); }

static int name_fails(const char *path) {
    return kind && strncmp(path, folder, strlen(folder)) == 0 && now() && change_fails();
}
int unlink(const char *path) {
    REAL(int, "unlink", const char *);
    return name_fails(path) ? -1 : real(path);
}
int rename(const char *from, const char *to) {
    REAL(int, "rename", const char *, const char *);
    return name_fails(from) ? -1 : real(from, to);
}
