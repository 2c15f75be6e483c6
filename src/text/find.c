/* Where presets, click sets, passages and routines lie: the player's own first (the XDG folders),
 * then what shipped, beside the running program before the place that it was to be installed, so
 * that a copy that was moved still finds its own. */
#include "text/setup.h"

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define FOLDERS_MAX 6
#define SUFFIX      ".passo"

struct folders {
    char path[FOLDERS_MAX][PASSO_PATH_BYTES];
    size_t count;
};

/* Adds base/middle/kind unless it is too long for a path. */
static void add_folder(struct folders *folders, const char *base, const char *middle,
                       const char *kind)
{
    char *path = folders->path[folders->count];
    int length = snprintf(path, PASSO_PATH_BYTES, "%s%s%s", base, middle, kind);
    if (length > 0 && length < PASSO_PATH_BYTES)
        folders->count++;
}

/* A folder of the XDG base directory specification; one that is not absolute is to be ignored. */
static void add_xdg(struct folders *folders, const char *variable, const char *usual,
                    const char *kind)
{
    char middle[64];
    const char *base = getenv(variable);
    const char *home = getenv("HOME");
    if (base && *base == '/') {
        add_folder(folders, base, "/passo/", kind);
    } else if (home && *home == '/') {
        snprintf(middle, sizeof middle, "/%s/passo/", usual);
        add_folder(folders, home, middle, kind);
    }
}

static void find_own(struct folders *folders, const char *kind)
{
    folders->count = 0;
    add_xdg(folders, "XDG_CONFIG_HOME", ".config", kind);
    add_xdg(folders, "XDG_DATA_HOME", ".local/share", kind);
}

static void find_folders(struct folders *folders, const char *kind)
{
    char program[PASSO_PATH_BYTES];
    find_own(folders, kind);
    ssize_t length = readlink("/proc/self/exe", program, sizeof program - 1);
    if (length > 0) {
        program[length] = '\0';
        *strrchr(program, '/') = '\0';
        add_folder(folders, program, "/data/", kind);
        add_folder(folders, program, "/../share/passo/", kind);
        add_folder(folders, program, "/../data/", kind); /* the tests of a build folder */
    }
    add_folder(folders, PASSO_DATA_INSTALL, "/", kind);
}

static bool join(char out[PASSO_PATH_BYTES], const char *folder, const char *name,
                 const char *suffix)
{
    struct stat about;
    int length = snprintf(out, PASSO_PATH_BYTES, "%s/%s%s", folder, name, suffix);
    return length > 0 && length < PASSO_PATH_BYTES && !stat(out, &about);
}

bool passo_find(const char *kind, const char *name, char out[PASSO_PATH_BYTES])
{
    struct folders folders;
    if (!*name || *name == '.' || strchr(name, '/'))
        return false;
    find_folders(&folders, kind);
    for (size_t i = 0; i < folders.count; i++)
        if (join(out, folders.path[i], name, "") || join(out, folders.path[i], name, SUFFIX))
            return true;
    return false;
}

bool passo_find_is_own(const char *kind, const char *path)
{
    struct folders folders;
    find_own(&folders, kind);
    for (size_t i = 0; i < folders.count; i++) {
        size_t length = strlen(folders.path[i]);
        if (!strncmp(path, folders.path[i], length) && path[length] == '/')
            return true;
    }
    return false;
}

bool passo_find_own_folder(const char *kind, char out[PASSO_PATH_BYTES])
{
    struct folders folders = {0};
    add_xdg(&folders, "XDG_DATA_HOME", ".local/share", kind);
    if (folders.count)
        strcpy(out, folders.path[0]);
    return folders.count > 0;
}

static int by_name(const void *a, const void *b)
{
    return strcmp(*(char *const *)a, *(char *const *)b);
}

struct names {
    char **name;
    size_t count;
};

/* Of all but click sets only files that are named so; a click set is a folder of any name. */
static void add_names(struct names *names, const char *folder, bool files)
{
    DIR *entries = opendir(folder);
    if (!entries)
        return;
    for (struct dirent *entry; (entry = readdir(entries));) {
        size_t length = strlen(entry->d_name);
        size_t suffix = sizeof SUFFIX - 1;
        bool named = length > suffix && !strcmp(entry->d_name + length - suffix, SUFFIX);
        if (*entry->d_name == '.' || (files && !named))
            continue;
        char *name = passo_xcalloc(length + 1, 1);
        memcpy(name, entry->d_name, named ? length - suffix : length);
        names->name = passo_xrealloc(names->name, (names->count + 1) * sizeof *names->name);
        names->name[names->count++] = name;
    }
    closedir(entries);
}

size_t passo_find_all(const char *kind, char ***out_names)
{
    struct folders folders;
    struct names names = {0};
    size_t kept = 0;
    find_folders(&folders, kind);
    for (size_t i = 0; i < folders.count; i++)
        add_names(&names, folders.path[i], strcmp(kind, "sounds"));
    if (names.count)
        qsort(names.name, names.count, sizeof *names.name, by_name);
    for (size_t i = 0; i < names.count; i++) {
        if (kept && !strcmp(names.name[kept - 1], names.name[i]))
            free(names.name[i]);
        else
            names.name[kept++] = names.name[i];
    }
    *out_names = names.name;
    return kept;
}

const char *passo_preset_summary(const char *name, char *out, size_t bytes)
{
    char path[PASSO_PATH_BYTES];
    if (bytes)
        *out = '\0';
    return passo_find("presets", name, path) ? passo_file_summary(path, out, bytes) : out;
}
