/* The real-time trap: preloaded into the real passo, it watches what the audio callback calls.
 *
 * It stands before Pa_OpenStream and gives PortAudio its own callback, which raises a flag of this
 * thread, calls passo's and lowers it. While the flag is up, memory calls, locks, waits and file
 * calls print one line and end the process with status 99. At exit it tells how many callbacks it
 * saw, so that a climb that never reached it cannot pass for a clean one.
 *
 *   PASSO_TRAP_REPORT=FILE   where the lines go (stderr is diverted while PortAudio is in use)
 *   PASSO_TRAP_PLANT=malloc|free|lock|write|open|sleep   plants that fault in callback 50, as proof
 *
 * Threads: any; the flag is initial-exec thread-local, so that reading it calls nothing. */
#include <dlfcn.h>
#include <fcntl.h>
#include <malloc.h>
#include <portaudio.h>
#include <pthread.h>
#include <semaphore.h>
#include <stdarg.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/syscall.h>
#include <time.h>
#include <unistd.h>

#define STREAMS_MAX    64
#define PLANT_CALLBACK 50

/* glibc's own names of what is covered here: calling them needs no look-up, which would itself
 * allocate. */
void *__libc_malloc(size_t bytes);
void *__libc_calloc(size_t count, size_t bytes);
void *__libc_realloc(void *old, size_t bytes);
void *__libc_memalign(size_t alignment, size_t bytes);
void __libc_free(void *old);

struct stream_wrap {
    PaStreamCallback *callback;
    void *data;
};

static __thread bool inside __attribute__((tls_model("initial-exec")));
static struct stream_wrap wraps[STREAMS_MAX];
static atomic_uint wraps_used;
static atomic_ulong callbacks;
static int report_fd = 2;
static const char *plant = "";
static int (*real_lock)(pthread_mutex_t *);

static void report(const char *text, size_t bytes)
{
    if (syscall(SYS_write, report_fd, text, bytes) < 0)
        _exit(98);
}

static void caught(const char *call)
{
    inside = false;
    char line[128];
    int bytes = snprintf(line, sizeof line, "trap: %s called inside the audio callback\n", call);
    report(line, (size_t)bytes);
    _exit(99);
}

static void check(const char *call)
{
    if (inside)
        caught(call);
}

static void plant_fault(void)
{
    static pthread_mutex_t mutex = PTHREAD_MUTEX_INITIALIZER;
    static void *volatile kept;
    if (strcmp(plant, "malloc") == 0)
        kept = malloc(16);
    else if (strcmp(plant, "free") == 0)
        free(kept);
    else if (strcmp(plant, "lock") == 0)
        pthread_mutex_lock(&mutex);
    else if (strcmp(plant, "write") == 0 && write(report_fd, "", 0) < 0)
        _exit(98);
    else if (strcmp(plant, "open") == 0)
        close(open("/dev/null", O_RDONLY));
    else if (strcmp(plant, "sleep") == 0)
        nanosleep(&(struct timespec){0, 1}, NULL);
}

static int watched(const void *in, void *out, unsigned long frames,
                   const PaStreamCallbackTimeInfo *time_info, PaStreamCallbackFlags flags,
                   void *data)
{
    const struct stream_wrap *wrap = data;
    unsigned long number = atomic_fetch_add(&callbacks, 1);
    inside = true;
    if (number == PLANT_CALLBACK)
        plant_fault();
    int result = wrap->callback(in, out, frames, time_info, flags, wrap->data);
    inside = false;
    return result;
}

__attribute__((constructor)) static void begin(void)
{
    const char *path = getenv("PASSO_TRAP_REPORT");
    const char *fault = getenv("PASSO_TRAP_PLANT");
    if (path != NULL)
        report_fd = (int)syscall(SYS_openat, AT_FDCWD, path,
                                 O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, 0600);
    if (fault != NULL)
        plant = fault;
}

__attribute__((destructor)) static void end(void)
{
    char line[128];
    int bytes = snprintf(line, sizeof line, "trap: watched %lu callbacks of %u streams\n",
                         atomic_load(&callbacks), atomic_load(&wraps_used));
    report(line, (size_t)bytes);
}

PaError Pa_OpenStream(PaStream **stream, const PaStreamParameters *in,
                      const PaStreamParameters *out, double rate, unsigned long frames,
                      PaStreamFlags flags, PaStreamCallback *callback, void *data)
{
    PaError (*real)(PaStream **, const PaStreamParameters *, const PaStreamParameters *, double,
                    unsigned long, PaStreamFlags, PaStreamCallback *, void *);
    *(void **)&real = dlsym(RTLD_NEXT, "Pa_OpenStream");
    unsigned slot = atomic_fetch_add(&wraps_used, 1);
    if (callback == NULL || slot >= STREAMS_MAX)
        return real(stream, in, out, rate, frames, flags, callback, data);
    wraps[slot] = (struct stream_wrap){callback, data};
    return real(stream, in, out, rate, frames, flags, watched, &wraps[slot]);
}

void *malloc(size_t bytes)
{
    check("malloc");
    return __libc_malloc(bytes);
}

void *calloc(size_t count, size_t bytes)
{
    check("calloc");
    return __libc_calloc(count, bytes);
}

void *realloc(void *old, size_t bytes)
{
    check("realloc");
    return __libc_realloc(old, bytes);
}

void *memalign(size_t alignment, size_t bytes)
{
    check("memalign");
    return __libc_memalign(alignment, bytes);
}

void *aligned_alloc(size_t alignment, size_t bytes)
{
    check("aligned_alloc");
    return __libc_memalign(alignment, bytes);
}

int posix_memalign(void **out, size_t alignment, size_t bytes)
{
    check("posix_memalign");
    *out = __libc_memalign(alignment, bytes);
    return *out != NULL ? 0 : 12; /* ENOMEM */
}

void free(void *old)
{
    check("free");
    __libc_free(old);
}

int pthread_mutex_lock(pthread_mutex_t *mutex)
{
    check("pthread_mutex_lock");
    if (real_lock == NULL)
        *(void **)&real_lock = dlsym(RTLD_NEXT, "pthread_mutex_lock");
    return real_lock(mutex);
}

int sem_post(sem_t *semaphore)
{
    int (*real)(sem_t *);
    check("sem_post");
    *(void **)&real = dlsym(RTLD_NEXT, "sem_post");
    return real(semaphore);
}

int sem_wait(sem_t *semaphore)
{
    int (*real)(sem_t *);
    check("sem_wait");
    *(void **)&real = dlsym(RTLD_NEXT, "sem_wait");
    return real(semaphore);
}

int nanosleep(const struct timespec *time, struct timespec *out_left)
{
    check("nanosleep");
    return (int)syscall(SYS_nanosleep, time, out_left);
}

ssize_t read(int fd, void *out, size_t bytes)
{
    check("read");
    return syscall(SYS_read, fd, out, bytes);
}

ssize_t write(int fd, const void *from, size_t bytes)
{
    check("write");
    return syscall(SYS_write, fd, from, bytes);
}

static int open_at(int folder, const char *path, int flags, va_list more)
{
    int mode = (flags & (O_CREAT | O_TMPFILE)) != 0 ? va_arg(more, int) : 0;
    return (int)syscall(SYS_openat, folder, path, flags, mode);
}

int open(const char *path, int flags, ...)
{
    va_list more;
    check("open");
    va_start(more, flags);
    int fd = open_at(AT_FDCWD, path, flags, more);
    va_end(more);
    return fd;
}

int open64(const char *path, int flags, ...) __attribute__((alias("open")));

int openat(int folder, const char *path, int flags, ...)
{
    va_list more;
    check("openat");
    va_start(more, flags);
    int fd = open_at(folder, path, flags, more);
    va_end(more);
    return fd;
}
