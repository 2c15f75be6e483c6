/* The floors of the house (design.md section 2): who may include whom. The checker reads the real
 * tree, and then small trees with one planted fault each, to show that it can find them.
 *
 * A quoted include names a room's header from src ("sound/ring.h") or, without a slash, one of its
 * own folder; <passo/...> is the engine's public side and open to all. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <dirent.h>
#include <limits.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define TEXT_BYTES 512

static const struct {
    const char *name;
    int floor;
} rooms[] = {
    {"engine", 1}, {"sound", 2},   {"score", 2}, {"output", 3}, {"store", 3},
    {"text", 3},   {"session", 4}, {"view", 5},  {"report", 5}, {"command", 6},
};

/* 0 if there is no such room. */
static int floor_of(const char *room, size_t length)
{
    for (size_t i = 0; i < sizeof rooms / sizeof rooms[0]; i++) {
        if (strlen(rooms[i].name) == length && strncmp(rooms[i].name, room, length) == 0)
            return rooms[i].floor;
    }
    return 0;
}

static bool begins(const char *text, const char *with)
{
    return strncmp(text, with, strlen(with)) == 0;
}

static bool is_one_of(const char *header, const char *const *list)
{
    for (; *list; list++) {
        if (strcmp(header, *list) == 0)
            return true;
    }
    return false;
}

static bool is_ncurses(const char *header)
{
    static const char *const names[] = {"curses.h", "panel.h", "menu.h", "form.h",
                                        "term.h",   "eti.h",   NULL};
    return begins(header, "ncurses") || is_one_of(header, names);
}

static bool is_portaudio(const char *header)
{
    return strcmp(header, "portaudio.h") == 0 || begins(header, "pa_");
}

/* C17's headers without those that print, lock, wait or read a clock. */
static bool is_fit_for_sound(const char *header)
{
    static const char *const names[] = {
        "assert.h",    "complex.h", "ctype.h",  "errno.h",  "fenv.h",     "float.h",
        "inttypes.h",  "iso646.h",  "limits.h", "math.h",   "stdalign.h", "stdarg.h",
        "stdatomic.h", "stdbool.h", "stddef.h", "stdint.h", "stdlib.h",   "stdnoreturn.h",
        "string.h",    "tgmath.h",  NULL};
    return begins(header, "passo/") || is_one_of(header, names);
}

/* Why `room` may not include <header>; NULL if it may. */
static const char *angle_fault(const char *room, const char *header)
{
    if (is_ncurses(header) && strcmp(room, "view") != 0)
        return "only view knows the terminal";
    if (is_portaudio(header) && strcmp(room, "output") != 0)
        return "only output knows the sound device";
    if (strcmp(room, "sound") == 0 && !is_fit_for_sound(header))
        return "the audio thread's room includes the engine's types and plain C alone";
    return NULL;
}

/* Why `room` may not include "header"; NULL if it may. */
static const char *quote_fault(const char *room, const char *header)
{
    if (strstr(header, ".."))
        return "a path that climbs out of the room";
    const char *slash = strchr(header, '/');
    if (!slash)
        return is_ncurses(header) || is_portaudio(header) ? angle_fault(room, header) : NULL;
    size_t length = (size_t)(slash - header);
    int theirs = floor_of(header, length);
    if (!theirs)
        return "no such room";
    bool own = strlen(room) == length && strncmp(room, header, length) == 0;
    int ours = floor_of(room, strlen(room));
    if (strcmp(room, "sound") == 0 && !own)
        return "the audio thread's room knows the engine by <passo/...> alone";
    return own || theirs < ours ? NULL : "a room includes only itself and the floors below";
}

/* The header that a line includes, in header; the opening sign, or 0 if it is no include. */
static char include_of(const char *line, char header[TEXT_BYTES])
{
    line += strspn(line, " \t");
    if (*line++ != '#')
        return 0;
    line += strspn(line, " \t");
    if (!begins(line, "include"))
        return 0;
    line += strlen("include");
    line += strspn(line, " \t");
    char open = *line;
    if (open != '<' && open != '"')
        return 0;
    size_t length = strcspn(line + 1, open == '<' ? ">" : "\"");
    if (length >= TEXT_BYTES)
        return 0;
    memcpy(header, line + 1, length);
    header[length] = 0;
    return open;
}

/* What was found so far. */
struct findings {
    int files;
    int faults;
    bool tell;
};

static void find(struct findings *findings, const char *where, const char *header, const char *why)
{
    findings->faults++;
    if (findings->tell)
        print_error("%s: %s: %s\n", where, header, why);
}

static void check_file(const char *path, const char *room, struct findings *findings)
{
    FILE *file = fopen(path, "r");
    assert_non_null(file);
    findings->files++;
    char line[TEXT_BYTES];
    while (fgets(line, sizeof line, file)) {
        char header[TEXT_BYTES];
        char open = include_of(line, header);
        const char *why = NULL;
        if (open == '<')
            why = angle_fault(room, header);
        else if (open == '"')
            why = quote_fault(room, header);
        if (why)
            find(findings, path, header, why);
    }
    fclose(file);
}

static bool is_source(const char *name)
{
    size_t length = strlen(name);
    return length > 2 && name[length - 2] == '.' &&
           (name[length - 1] == 'c' || name[length - 1] == 'h');
}

static void join(char out[PATH_MAX], const char *folder, const char *name)
{
    int length = snprintf(out, PATH_MAX, "%s/%s", folder, name);
    assert_true(length > 0 && length < PATH_MAX);
}

static void check_room(const char *path, const char *room, struct findings *findings)
{
    DIR *folder = opendir(path);
    assert_non_null(folder);
    for (struct dirent *entry; (entry = readdir(folder));) {
        char file[PATH_MAX];
        join(file, path, entry->d_name);
        if (is_source(entry->d_name))
            check_file(file, room, findings);
    }
    closedir(folder);
}

/* Every room under root/src; a folder that is no room is a fault too. */
static struct findings check_house(const char *root, bool tell)
{
    struct findings findings = {.tell = tell};
    char src[PATH_MAX];
    join(src, root, "src");
    DIR *folder = opendir(src);
    assert_non_null(folder);
    for (struct dirent *entry; (entry = readdir(folder));) {
        char path[PATH_MAX];
        struct stat status;
        join(path, src, entry->d_name);
        if (entry->d_name[0] == '.' || stat(path, &status) != 0 || !S_ISDIR(status.st_mode))
            continue;
        if (floor_of(entry->d_name, strlen(entry->d_name)))
            check_room(path, entry->d_name, &findings);
        else
            find(&findings, path, entry->d_name, "no room of the house");
    }
    closedir(folder);
    return findings;
}

static void test_the_house_stands(void **state)
{
    (void)state;
    struct findings findings = check_house(PASSO_SOURCE_DIR, true);
    assert_true(findings.files >= 20);
    assert_int_equal(findings.faults, 0);
    /* the public headers stand on themselves and on plain C */
    char public[PATH_MAX];
    join(public, PASSO_SOURCE_DIR, "include/passo");
    struct findings headers = {.tell = true};
    check_room(public, "sound", &headers);
    assert_true(headers.files >= 7);
    assert_int_equal(headers.faults, 0);
}

/* A house of one file, src/ROOM/probe.c, with one line in it. */
static int faults_of(const char *room, const char *line)
{
    char root[] = "/tmp/passo-floors-XXXXXX";
    assert_non_null(mkdtemp(root));
    char src[PATH_MAX], folder[PATH_MAX], path[PATH_MAX];
    join(src, root, "src");
    join(folder, src, room);
    join(path, folder, "probe.c");
    assert_int_equal(mkdir(src, 0700), 0);
    assert_int_equal(mkdir(folder, 0700), 0);
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    fprintf(file, "/* a probe */\n%s\nint probe;\n", line);
    assert_int_equal(fclose(file), 0);
    int faults = check_house(root, false).faults;
    assert_int_equal(unlink(path), 0);
    assert_int_equal(rmdir(folder), 0);
    assert_int_equal(rmdir(src), 0);
    assert_int_equal(rmdir(root), 0);
    return faults;
}

static void test_planted_faults_are_found(void **state)
{
    (void)state;
    static const char *const planted[][2] = {
        {"engine", "#include \"sound/ring.h\""},    {"sound", "#include \"output/output.h\""},
        {"sound", "#include \"engine/tempo.h\""},   {"output", "#include \"store/csv.h\""},
        {"text", "#include \"output/output.h\""},   {"store", "  #  include \"text/setup.h\""},
        {"session", "#include \"view/views.h\""},   {"view", "#include \"report/chart.h\""},
        {"report", "#include \"view/views.h\""},    {"view", "#include \"command/climb.h\""},
        {"session", "#include \"kitchen/sink.h\""}, {"session", "#include \"../view/views.h\""},
        {"session", "#include <ncurses.h>"},        {"report", "#include <ncursesw/curses.h>"},
        {"command", "#include <curses.h>"},         {"session", "#include <portaudio.h>"},
        {"sound", "#\tinclude <portaudio.h>"},      {"view", "#include <pa_jack.h>"},
        {"session", "#include \"portaudio.h\""},    {"sound", "#include <stdio.h>"},
        {"sound", "#include <threads.h>"},          {"sound", "#include <time.h>"},
        {"sound", "#include <pthread.h>"},          {"sound", "#include <sndfile.h>"},
        {"kitchen", "#include <stdio.h>"},
    };
    for (size_t i = 0; i < sizeof planted / sizeof planted[0]; i++) {
        if (faults_of(planted[i][0], planted[i][1]) != 1)
            fail_msg("not found in %s: %s", planted[i][0], planted[i][1]);
    }
}

static void test_what_is_allowed_is_no_fault(void **state)
{
    (void)state;
    static const char *const fine[][2] = {
        {"engine", "#include <passo/tempo.h>"},
        {"engine", "#include <stdio.h>"},
        {"sound", "#include <passo/timeline.h>"},
        {"sound", "#include \"sound/ring.h\""},
        {"sound", "#include <stdatomic.h>"},
        {"output", "#include <portaudio.h>"},
        {"output", "#include \"sound/player.h\""},
        {"view", "#include <ncurses.h>"},
        {"session", "#include \"store/csv.h\""},
        {"command", "#include \"view/views.h\""},
        {"command", "#include \"report/page.h\""},
        {"view", "#include \"session/view.h\""},
        {"text", "#include <ini.h>"},
        {"text", "#include \"notation.h\""},
        {"session", "/* view/ includes ncurses */"},
    };
    for (size_t i = 0; i < sizeof fine / sizeof fine[0]; i++) {
        if (faults_of(fine[i][0], fine[i][1]) != 0)
            fail_msg("taken for a fault in %s: %s", fine[i][0], fine[i][1]);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_the_house_stands),
        cmocka_unit_test(test_planted_faults_are_found),
        cmocka_unit_test(test_what_is_allowed_is_no_fault),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
