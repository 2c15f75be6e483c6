/* The trap of the real-time tests: takes the place of allocator, mutexes, file and clock calls in
 * this executable and ends the program when one is called between trap_begin() and trap_end() on
 * that thread. Include it in one file of an executable only. Sanitizers interpose the same calls,
 * so with them there is no trap (TRAP_SET is 0). */
#ifndef PASSO_TEST_TRAP_H
#define PASSO_TEST_TRAP_H

#include <stdbool.h>

#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
#define TRAP_SET 0
#elif defined(__has_feature)
#if __has_feature(address_sanitizer) || __has_feature(thread_sanitizer)
#define TRAP_SET 0
#endif
#endif
#ifndef TRAP_SET
#define TRAP_SET 1
#endif

#define TRAP_STATUS 99 /* exit status of a program that was caught */

#if TRAP_SET

#include <dlfcn.h>
#include <fcntl.h>
#include <pthread.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>
#include <sys/syscall.h>
#include <time.h>
#include <unistd.h>

static _Thread_local bool trap_inside;

static void trap(const char *name)
{
    if (!trap_inside)
        return;
    trap_inside = false;
    syscall(SYS_write, 2, "called on the audio thread: ", 28);
    syscall(SYS_write, 2, name, strlen(name));
    syscall(SYS_write, 2, "\n", 1);
    syscall(SYS_exit_group, TRAP_STATUS);
}

static inline void trap_begin(void)
{
    trap_inside = true;
}

static inline void trap_end(void)
{
    trap_inside = false;
}

/* The library's own function; copied through memory, for ISO C knows no cast from void *. */
#define TRAP_NEXT(function, name)                                                                  \
    do {                                                                                           \
        void *symbol = dlsym(RTLD_NEXT, name);                                                     \
        memcpy(&(function), &symbol, sizeof symbol);                                               \
    } while (0)

extern void *__libc_malloc(size_t bytes);
extern void *__libc_calloc(size_t count, size_t bytes);
extern void *__libc_realloc(void *old, size_t bytes);
extern void *__libc_memalign(size_t alignment, size_t bytes);
extern void __libc_free(void *old);

void *malloc(size_t bytes)
{
    trap("malloc");
    return __libc_malloc(bytes);
}

void *calloc(size_t count, size_t bytes)
{
    trap("calloc");
    return __libc_calloc(count, bytes);
}

void *realloc(void *old, size_t bytes)
{
    trap("realloc");
    return __libc_realloc(old, bytes);
}

void *aligned_alloc(size_t alignment, size_t bytes)
{
    trap("aligned_alloc");
    return __libc_memalign(alignment, bytes);
}

void free(void *old)
{
    trap("free");
    __libc_free(old);
}

int pthread_mutex_lock(pthread_mutex_t *mutex)
{
    static int (*next)(pthread_mutex_t *);
    trap("pthread_mutex_lock");
    if (!next)
        TRAP_NEXT(next, "pthread_mutex_lock");
    return next(mutex);
}

ssize_t read(int fd, void *bytes, size_t count)
{
    trap("read");
    return syscall(SYS_read, fd, bytes, count);
}

ssize_t write(int fd, const void *bytes, size_t count)
{
    trap("write");
    return syscall(SYS_write, fd, bytes, count);
}

int open(const char *path, int flags, ...)
{
    va_list rest;
    va_start(rest, flags);
    unsigned mode = flags & (O_CREAT | O_TMPFILE) ? va_arg(rest, unsigned) : 0;
    va_end(rest);
    trap("open");
    return (int)syscall(SYS_openat, AT_FDCWD, path, flags, mode);
}

int openat(int folder, const char *path, int flags, ...)
{
    va_list rest;
    va_start(rest, flags);
    unsigned mode = flags & (O_CREAT | O_TMPFILE) ? va_arg(rest, unsigned) : 0;
    va_end(rest);
    trap("openat");
    return (int)syscall(SYS_openat, folder, path, flags, mode);
}

int nanosleep(const struct timespec *span, struct timespec *left)
{
    trap("nanosleep");
    return (int)syscall(SYS_nanosleep, span, left);
}

int clock_gettime(clockid_t clock, struct timespec *now)
{
    trap("clock_gettime");
    return (int)syscall(SYS_clock_gettime, clock, now);
}

#else

static inline void trap_begin(void)
{
}

static inline void trap_end(void)
{
}

#endif

#endif
