/* Makes the click sets that ship: for each timbre a folder of six 16-bit WAV files at 48 kHz, from
 * the recipes that are built in. Run at build time: passo_make_sounds DIR. */
#include "output/samples.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

#define RATE_HZ 48000

/* Makes the folder and those above it; one that is there is fine. */
static bool make_path(const char *path)
{
    char part[4096];
    if (snprintf(part, sizeof part, "%s/", path) >= (int)sizeof part) {
        errno = ENAMETOOLONG;
        return false;
    }
    for (char *slash = strchr(part + 1, '/'); slash; slash = strchr(slash + 1, '/')) {
        *slash = '\0';
        if (mkdir(part, 0777) != 0 && errno != EEXIST)
            return false;
        *slash = '/';
    }
    return true;
}

static bool make_set(const char *folder, enum passo_timbre timbre)
{
    char path[4096];
    snprintf(path, sizeof path, "%s/%s", folder, passo_timbre_name(timbre));
    if (!make_path(path)) {
        fprintf(stderr, "passo_make_sounds: %s: %s\n", path, strerror(errno));
        return false;
    }
    struct passo_kit kit;
    char fault[512];
    passo_kit_init(&kit, timbre, RATE_HZ);
    enum passo_error error = passo_samples_save(&kit, path, fault, sizeof fault);
    passo_kit_deinit(&kit);
    if (error)
        fprintf(stderr, "passo_make_sounds: %s\n", fault);
    return error == PASSO_OK;
}

int main(int argc, char **argv)
{
    if (argc != 2) {
        fputs("usage: passo_make_sounds DIR\n", stderr);
        return 2;
    }
    for (int i = 0; i < PASSO_TIMBRE_COUNT; i++) {
        if (!make_set(argv[1], (enum passo_timbre)i))
            return 3;
    }
    return 0;
}
