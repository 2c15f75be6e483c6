/* The bytes of an input as a file, a home without a player's own files, and the watch on memory:
 * AddressSanitizer's hooks count what an input holds. */
#include "fuzz.h"

#include <sys/mman.h>
#include <unistd.h>

#define HELD_MAX (50u << 20)

void fuzz_fail(const char *file, int line, const char *condition)
{
    fprintf(stderr, "%s:%d: not so: %s\n", file, line, condition);
    abort();
}

/* --- memory --- */

static bool watching;
static size_t held;

#if defined(__has_feature)
#if __has_feature(address_sanitizer)
#include <sanitizer/allocator_interface.h>

/* Inputs allocate in one thread. */
static void on_malloc(const volatile void *at, size_t bytes)
{
    (void)at;
    if (!watching)
        return;
    held += bytes;
    if (held > HELD_MAX) {
        watching = false;
        fuzz_fail(__FILE__, __LINE__, "less than 50 MiB are held");
    }
}

static void on_free(const volatile void *at)
{
    if (!watching || !at)
        return;
    const size_t bytes = __sanitizer_get_allocated_size(at);
    held -= bytes < held ? bytes : held;
}

static void watch_memory(void)
{
    FUZZ_CHECK(__sanitizer_install_malloc_and_free_hooks(on_malloc, on_free));
}
#else
static void watch_memory(void)
{
}
#endif
#endif

void fuzz_memory_begin(void)
{
    held = 0;
    watching = true;
}

void fuzz_memory_end(void)
{
    watching = false;
}

/* --- the surroundings --- */

int LLVMFuzzerInitialize(int *argc, char ***argv)
{
    (void)argc;
    (void)argv;
    setenv("XDG_DATA_HOME", PASSO_FUZZ_HOME, 1);
    setenv("XDG_CONFIG_HOME", PASSO_FUZZ_HOME "/none", 1);
    watch_memory();
    return 0;
}

int fuzz_file(const void *data, size_t bytes, char out[FUZZ_PATH_BYTES])
{
    int fd = memfd_create("fuzz", 0);
    FUZZ_CHECK(fd >= 0);
    FUZZ_CHECK(write(fd, data, bytes) == (ssize_t)bytes);
    snprintf(out, FUZZ_PATH_BYTES, "/proc/self/fd/%d", fd);
    return fd;
}

/* --- draws --- */

void fuzz_seed(struct passo_random *out_random, const uint8_t *data, size_t bytes)
{
    uint64_t hash = UINT64_C(0xcbf29ce484222325); /* FNV-1a */
    for (size_t i = 0; i < bytes; i++)
        hash = (hash ^ data[i]) * UINT64_C(0x100000001b3);
    passo_random_seed(out_random, hash);
}

bool fuzz_one_in(struct passo_random *random, uint32_t count)
{
    return passo_random_below(random, count) == 0;
}

/* --- trials --- */

void fuzz_trial_file(struct fuzz_trial *trial, const void *data, size_t bytes, bool need_target)
{
    char path[FUZZ_PATH_BYTES];
    int fd = fuzz_file(data, bytes, path);
    trial->lines = (struct passo_lines){.today_yyyymmdd = FUZZ_TODAY};
    trial->faults = (struct passo_faults){0};
    passo_lines_add_file(&trial->lines, path, &trial->faults);
    passo_setup_resolve(&trial->lines, need_target, &trial->setup, &trial->faults);
    close(fd);
}

void fuzz_trial_end(struct fuzz_trial *trial)
{
    passo_lines_deinit(&trial->lines);
    passo_faults_deinit(&trial->faults);
}
