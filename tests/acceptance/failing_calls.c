/* Preloaded into the daemon by a test: the Nth system call that touches the shop folder fails.
 *
 * FAIL_UNDER  the folder; only paths in it, and files opened in it, are counted
 * FAIL_NTH    which call fails (0: none, only count)
 * FAIL_ERRNO  with what
 * FAIL_LASTS  1: every later call fails, too (a full disk); 0: only this one
 * FAIL_COUNT  a file into which the number of calls is written at the end
 *
 * SQLite's calls are wrapped as the interpreter's are: both go through the C library (sqlite.org/testing.html, 3.3).
 */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdarg.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/types.h>
#include <unistd.h>

#define MOST_FILES 65536

static char under[PATH_MAX];
static char count_file[PATH_MAX];
static long nth;
static int with_errno, lasts;
static atomic_long calls;
static atomic_char mine[MOST_FILES];

__attribute__((constructor)) static void read_orders(void) {
    const char *text = getenv("FAIL_UNDER");
    if (!text) return;
    snprintf(under, sizeof under, "%s", text);
    nth = atol(getenv("FAIL_NTH") ? getenv("FAIL_NTH") : "0");
    with_errno = atoi(getenv("FAIL_ERRNO") ? getenv("FAIL_ERRNO") : "5");
    lasts = atoi(getenv("FAIL_LASTS") ? getenv("FAIL_LASTS") : "0");
    snprintf(count_file, sizeof count_file, "%s", getenv("FAIL_COUNT") ? getenv("FAIL_COUNT") : "");
    unsetenv("LD_PRELOAD"); /* the daemon's own calls are meant, not those of its children */
}

__attribute__((destructor)) static void write_count(void) {
    if (!under[0] || !count_file[0]) return;
    FILE *file = fopen(count_file, "w");
    if (file) {
        fprintf(file, "%ld\n", atomic_load(&calls));
        fclose(file);
    }
}

/* Whether this call, which is one of ours, is to fail. */
static int is_to_fail(void) {
    long call = atomic_fetch_add(&calls, 1) + 1;
    if (!nth || call < nth || (call > nth && !lasts)) return 0;
    errno = with_errno;
    return 1;
}

static int is_under(int folder, const char *path) {
    char place[PATH_MAX], link[64];
    if (!under[0] || !path) return 0;
    if (path[0] == '/' || folder == AT_FDCWD) return strncmp(path, under, strlen(under)) == 0;
    snprintf(link, sizeof link, "/proc/self/fd/%d", folder);
    ssize_t length = readlink(link, place, sizeof place - 1);
    if (length < 0) return 0;
    place[length] = 0;
    return strncmp(place, under, strlen(under)) == 0;
}

static int noted(int fd, int is_ours) {
    if (fd >= 0 && fd < MOST_FILES) atomic_store(&mine[fd], is_ours);
    return fd;
}

static int is_mine(int fd) { return fd >= 0 && fd < MOST_FILES && atomic_load(&mine[fd]); }

#define NEXT(name) ((__typeof__(&name))dlsym(RTLD_NEXT, #name))

#define WRAP_OPEN(name)                                            \
    int name(const char *path, int flags, ...) {                   \
        va_list rest;                                              \
        va_start(rest, flags);                                     \
        mode_t mode = va_arg(rest, mode_t);                        \
        va_end(rest);                                              \
        int ours = is_under(AT_FDCWD, path);                       \
        if (ours && is_to_fail()) return -1;                       \
        return noted(NEXT(name)(path, flags, mode), ours);         \
    }
#define WRAP_OPENAT(name)                                          \
    int name(int folder, const char *path, int flags, ...) {       \
        va_list rest;                                              \
        va_start(rest, flags);                                     \
        mode_t mode = va_arg(rest, mode_t);                        \
        va_end(rest);                                              \
        int ours = is_under(folder, path);                         \
        if (ours && is_to_fail()) return -1;                       \
        return noted(NEXT(name)(folder, path, flags, mode), ours); \
    }
WRAP_OPEN(open)
WRAP_OPEN(open64)
WRAP_OPENAT(openat)
WRAP_OPENAT(openat64)

ssize_t write(int fd, const void *bytes, size_t count) {
    if (is_mine(fd) && is_to_fail()) return -1;
    return NEXT(write)(fd, bytes, count);
}
ssize_t pwrite(int fd, const void *bytes, size_t count, off_t at) {
    if (is_mine(fd) && is_to_fail()) return -1;
    return NEXT(pwrite)(fd, bytes, count, at);
}
ssize_t pwrite64(int fd, const void *bytes, size_t count, off64_t at) {
    if (is_mine(fd) && is_to_fail()) return -1;
    return NEXT(pwrite64)(fd, bytes, count, at);
}
int fsync(int fd) {
    if (is_mine(fd) && is_to_fail()) return -1;
    return NEXT(fsync)(fd);
}
int fdatasync(int fd) {
    if (is_mine(fd) && is_to_fail()) return -1;
    return NEXT(fdatasync)(fd);
}
int ftruncate(int fd, off_t length) {
    if (is_mine(fd) && is_to_fail()) return -1;
    return NEXT(ftruncate)(fd, length);
}
int ftruncate64(int fd, off64_t length) {
    if (is_mine(fd) && is_to_fail()) return -1;
    return NEXT(ftruncate64)(fd, length);
}
int close(int fd) {
    noted(fd, 0);
    return NEXT(close)(fd);
}
int rename(const char *from, const char *to) {
    if ((is_under(AT_FDCWD, from) || is_under(AT_FDCWD, to)) && is_to_fail()) return -1;
    return NEXT(rename)(from, to);
}
int renameat(int from_folder, const char *from, int to_folder, const char *to) {
    if ((is_under(from_folder, from) || is_under(to_folder, to)) && is_to_fail()) return -1;
    return NEXT(renameat)(from_folder, from, to_folder, to);
}
int link(const char *from, const char *to) {
    if (is_under(AT_FDCWD, to) && is_to_fail()) return -1;
    return NEXT(link)(from, to);
}
int unlink(const char *path) {
    if (is_under(AT_FDCWD, path) && is_to_fail()) return -1;
    return NEXT(unlink)(path);
}
int unlinkat(int folder, const char *path, int flags) {
    if (is_under(folder, path) && is_to_fail()) return -1;
    return NEXT(unlinkat)(folder, path, flags);
}
int mkdir(const char *path, mode_t mode) {
    if (is_under(AT_FDCWD, path) && is_to_fail()) return -1;
    return NEXT(mkdir)(path, mode);
}
