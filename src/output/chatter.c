/* Owns file descriptor 2 while a sound library is in use. ALSA, JACK and PulseAudio print their
 * probing there, which would tear the screen; it goes into a memory file instead and is kept, the
 * last 64 KiB of it, for `passo devices --verbose`. Users are counted, so that several may overlap
 * (a device open while the list is asked for). A lock guards all: any control thread may call. */
#include "output/chatter.h"

#include "output/output.h"

#include <fcntl.h>
#include <pthread.h>
#include <stdatomic.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

#define KEPT_BYTES 65536

static pthread_mutex_t lock = PTHREAD_MUTEX_INITIALIZER;
/* While diverted: a copy of the real fd 2, else -1. Atomic, for a crash handler may not lock. */
static atomic_int true_stderr = -1;
static int users;                 /* guarded by lock, as is all below */
static int caught = -1;           /* while diverted: the memory file */
static char kept[KEPT_BYTES + 1]; /* what was caught before, ends with 0 */
static char shown[KEPT_BYTES + 1];

/* Appends to `kept`; the oldest bytes make room. */
static void keep(const char *text, size_t bytes)
{
    if (bytes > KEPT_BYTES) {
        text += bytes - KEPT_BYTES;
        bytes = KEPT_BYTES;
    }
    size_t old = strlen(kept);
    size_t over = old + bytes > KEPT_BYTES ? old + bytes - KEPT_BYTES : 0;
    memmove(kept, kept + over, old - over);
    memcpy(kept + old - over, text, bytes);
    kept[old - over + bytes] = '\0';
}

/* Moves what the memory file holds to `kept`. The file is written in append mode, so that writing
 * goes on at its new end 0. */
static void collect(void)
{
    char part[4096];
    ssize_t got;
    for (off_t at = 0; (got = pread(caught, part, sizeof part, at)) > 0; at += got) {
        for (ssize_t i = 0; i < got; i++) {
            if (part[i] == '\0')
                part[i] = ' ';
        }
        keep(part, (size_t)got);
    }
    PASSO_BUG_ON(ftruncate(caught, 0) != 0); /* cannot fail on a file in memory */
}

/* Leaves fd 2 as it is when there is none, or no memory file: chatter is then merely not caught. */
static void divert(void)
{
    int copy = fcntl(STDERR_FILENO, F_DUPFD_CLOEXEC, 3);
    int file = memfd_create("passo-chatter", MFD_CLOEXEC);
    if (copy >= 0 && file >= 0 && fcntl(file, F_SETFL, O_APPEND) == 0) {
        caught = file;
        atomic_store(&true_stderr, copy);
        dup2(file, STDERR_FILENO);
        return;
    }
    if (copy >= 0)
        close(copy);
    if (file >= 0)
        close(file);
}

static void lead_back(void)
{
    if (caught < 0)
        return;
    int copy = atomic_load(&true_stderr);
    dup2(copy, STDERR_FILENO);
    atomic_store(&true_stderr, -1);
    close(copy);
    collect();
    close(caught);
    caught = -1;
}

void passo_chatter_begin(void)
{
    pthread_mutex_lock(&lock);
    if (users++ == 0)
        divert();
    pthread_mutex_unlock(&lock);
}

void passo_chatter_end(void)
{
    pthread_mutex_lock(&lock);
    PASSO_BUG_ON(users == 0);
    if (--users == 0)
        lead_back();
    pthread_mutex_unlock(&lock);
}

void passo_chatter_note(const char *line)
{
    pthread_mutex_lock(&lock);
    keep(line, strlen(line));
    keep("\n", 1);
    pthread_mutex_unlock(&lock);
}

const char *passo_devices_chatter(void)
{
    pthread_mutex_lock(&lock);
    if (caught >= 0)
        collect();
    memcpy(shown, kept, sizeof shown);
    pthread_mutex_unlock(&lock);
    return shown;
}

int passo_devices_stderr(void)
{
    int copy = atomic_load(&true_stderr);
    return copy >= 0 ? copy : STDERR_FILENO;
}
