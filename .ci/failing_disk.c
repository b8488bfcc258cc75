/* A disk that fails: preloaded, it lets calls on files whose path contains FAIL_PATH fail with errno FAIL_ERRNO, once FAIL_AFTER
   bytes went through them. FAIL_CALL is read, write or fsync. */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/types.h>
#include <sys/uio.h>
#include <unistd.h>

static long through;

static int fails(const char *call, int file, long bytes) {
    const char *which = getenv("FAIL_CALL"), *part = getenv("FAIL_PATH"), *after = getenv("FAIL_AFTER");
    char link[64], path[PATH_MAX];
    if (!which || !part || strcmp(which, call) != 0) return 0;
    snprintf(link, sizeof link, "/proc/self/fd/%d", file);
    ssize_t length = readlink(link, path, sizeof path - 1);
    if (length < 0) return 0;
    path[length] = 0;
    if (!strstr(path, part)) return 0;
    if (__atomic_add_fetch(&through, bytes, __ATOMIC_RELAXED) <= (after ? atol(after) : 0)) return 0;
    errno = atoi(getenv("FAIL_ERRNO"));
    return 1;
}

#define REAL(name) ((typeof(&name))dlsym(RTLD_NEXT, #name))

ssize_t read(int file, void *to, size_t bytes) {
    return fails("read", file, (long)bytes) ? -1 : REAL(read)(file, to, bytes);
}

ssize_t pread64(int file, void *to, size_t bytes, off64_t at) {
    return fails("read", file, (long)bytes) ? -1 : REAL(pread64)(file, to, bytes, at);
}

ssize_t write(int file, const void *from, size_t bytes) {
    return fails("write", file, (long)bytes) ? -1 : REAL(write)(file, from, bytes);
}

ssize_t writev(int file, const struct iovec *from, int count) {
    return fails("write", file, count) ? -1 : REAL(writev)(file, from, count);
}

ssize_t pwrite64(int file, const void *from, size_t bytes, off64_t at) {
    return fails("write", file, (long)bytes) ? -1 : REAL(pwrite64)(file, from, bytes, at);
}

int fsync(int file) {
    return fails("fsync", file, 1) ? -1 : REAL(fsync)(file);
}

int fdatasync(int file) {
    return fails("fsync", file, 1) ? -1 : REAL(fdatasync)(file);
}
