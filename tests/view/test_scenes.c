/* What is seen. tmux, a terminal emulator that is not ours, shows each scene in a window of fixed
 * size; the captured text must equal tests/view/golden/NAME.txt. With PASSO_GOLDEN=write the files
 * are written anew: look at each of them before committing. Without tmux the tests are skipped. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include <time.h>
#include "show.h"

#define SCREEN_BYTES 65536
#define LOOKS_MAX    200
#define LOOK_NS      50000000L

static char own_path[4096];
static char seen[SCREEN_BYTES];
static char wanted[SCREEN_BYTES];

/* Runs a tmux command on our own server; its output, 0-ended, goes to out. */
static void tmux(char *out, size_t bytes, const char *format, ...)
{
    char command[8192];
    va_list arguments;
    int used =
        snprintf(command, sizeof command, "tmux -u -L passo-view-%d -f /dev/null ", (int)getpid());
    va_start(arguments, format);
    vsnprintf(command + used, sizeof command - (size_t)used, format, arguments);
    va_end(arguments);
    FILE *pipe = popen(command, "r");
    assert_non_null(pipe);
    size_t got = fread(out, 1, bytes - 1, pipe);
    out[got] = '\0';
    assert_int_equal(pclose(pipe), 0);
}

static bool has_tmux(void)
{
    return system("tmux -V >/dev/null 2>&1") == 0;
}

static void look(void)
{
    struct timespec pause = {0, LOOK_NS};
    nanosleep(&pause, NULL);
    tmux(seen, sizeof seen, "capture-pane -p -t scene");
}

static void golden_path(char *out, size_t bytes, const char *name)
{
    snprintf(out, bytes, "%s/tests/view/golden/%s.txt", PASSO_SOURCE_DIR, name);
}

/* Looks until two looks are alike and show something; writes what was seen. */
static void write_golden(const char *name)
{
    char path[4096];
    do {
        memcpy(wanted, seen, sizeof wanted);
        look();
        look();
    } while (strcmp(wanted, seen) != 0 || strspn(seen, "\n ") == strlen(seen));
    golden_path(path, sizeof path, name);
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    fputs(seen, file);
    assert_int_equal(fclose(file), 0);
}

/* The window comes to look like the golden text. */
static void assert_seen(const char *name)
{
    char path[4096];
    if (getenv("PASSO_GOLDEN") != NULL) {
        write_golden(name);
        return;
    }
    golden_path(path, sizeof path, name);
    FILE *file = fopen(path, "r");
    if (file == NULL)
        fail_msg("no golden file %s", path);
    size_t got = fread(wanted, 1, sizeof wanted - 1, file);
    wanted[got] = '\0';
    fclose(file);
    for (int i = 0; i < LOOKS_MAX; i++) {
        look();
        if (strcmp(seen, wanted) == 0)
            return;
    }
    fprintf(stderr, "--- wanted (%s)\n%s--- seen\n%s", path, wanted, seen);
    fail();
}

static void begin(const char *scene, int cols, int rows, const char *environment)
{
    char none[64];
    tmux(none, sizeof none, "new-session -d -s scene -x %d -y %d \"env %s '%s' --show %s\"", cols,
         rows, environment, own_path, scene);
}

static void end(void)
{
    char none[64];
    tmux(none, sizeof none, "kill-session -t scene");
}

#define UTF8 "LC_ALL=C.UTF-8 TERM=xterm-256color"

static void test_scenes_look_as_they_should(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        const char *scene;
        int cols, rows;
        const char *environment;
    } table[] = {
        {"lead-80x24", "lead", 80, 24, UTF8},
        {"count-in-80x24", "count-in", 80, 24, UTF8},
        {"playing-80x24", "playing", 80, 24, UTF8},
        {"landing-80x24", "landing", 80, 24, UTF8},
        {"rest-80x24", "rest", 80, 24, UTF8},
        {"breathe-80x24", "breathe", 80, 24, UTF8},
        {"open-rest-80x24", "open-rest", 80, 24, UTF8},
        {"paused-80x24", "paused", 80, 24, UTF8},
        {"won-80x24", "won", 80, 24, UTF8},
        {"over-80x24", "over", 80, 24, UTF8},
        {"notice-80x24", "notice", 80, 24, UTF8},
        {"hostile-80x24", "hostile", 80, 24, UTF8},
        {"compound-80x24", "compound", 80, 24, UTF8},
        {"one-80x24", "one", 80, 24, UTF8},
        {"steady-80x24", "steady", 80, 24, UTF8},
        {"playing-60x20", "playing", 60, 20, UTF8},
        {"landing-60x20", "landing", 60, 20, UTF8},
        {"rest-60x20", "rest", 60, 20, UTF8},
        {"compound-60x20", "compound", 60, 20, UTF8},
        {"hostile-60x20", "hostile", 60, 20, UTF8},
        {"lengths-80x24", "lengths", 80, 24, UTF8},
        {"lengths-60x20", "lengths", 60, 20, UTF8},
        {"stages-80x24", "stages", 80, 24, UTF8},
        {"stages-60x20", "stages", 60, 20, UTF8},
        {"stages-40x10", "stages", 40, 10, UTF8},
        {"mixed-80x24", "mixed", 80, 24, UTF8},
        {"mixed-60x20", "mixed", 60, 20, UTF8},
        {"steady-60x20", "steady", 60, 20, UTF8},
        {"listing-60x20", "listing", 60, 20, UTF8},
        {"listing-later-60x20", "listing-later", 60, 20, UTF8},
        {"listing-60x40", "listing", 60, 40, UTF8},
        {"listing-200x50", "listing", 200, 50, UTF8},
        {"listing-40x10", "listing", 40, 10, UTF8},
        {"listing-hostile-80x24", "listing-hostile", 80, 24, UTF8},
        {"block-60x20", "block", 60, 20, UTF8},
        {"block-200x50", "block", 200, 50, UTF8},
        {"block-40x10", "block", 40, 10, UTF8},
        {"block-45x40", "block", 45, 40, UTF8},
        {"visit-60x20", "visit", 60, 20, UTF8},
        {"visit-40x10", "visit", 40, 10, UTF8},
        {"spot-60x20", "spot", 60, 20, UTF8},
        {"spot-40x10", "spot", 40, 10, UTF8},
        {"between-60x20", "between", 60, 20, UTF8},
        {"between-40x10", "between", 40, 10, UTF8},
        {"offer-200x50", "offer", 200, 50, UTF8},
        {"free-60x20", "free", 60, 20, UTF8},
        {"free-40x10", "free", 40, 10, UTF8},
        {"first-200x50", "first", 200, 50, UTF8},
        {"day-hostile-80x24", "day-hostile", 80, 24, UTF8},
        {"day-hostile-60x20", "day-hostile", 60, 20, UTF8},
        {"day-hostile-40x10", "day-hostile", 40, 10, UTF8},
        {"playing-200x50", "playing", 200, 50, UTF8},
        {"rest-200x50", "rest", 200, 50, UTF8},
        {"compound-200x50", "compound", 200, 50, UTF8},
        {"steady-200x50", "steady", 200, 50, UTF8},
        {"playing-40x10", "playing", 40, 10, UTF8},
        {"rest-40x10", "rest", 40, 10, UTF8},
        {"notice-40x10", "notice", 40, 10, UTF8},
        {"steady-40x10", "steady", 40, 10, UTF8},
        {"playing-45x40", "playing", 45, 40, UTF8},
        {"notes-80x24", "notes", 80, 24, UTF8},
        {"hearing-80x24", "hearing", 80, 24, UTF8},
        {"hearing-wide-80x24", "hearing-wide", 80, 24, UTF8},
        {"notes-60x20", "notes", 60, 20, UTF8},
        {"notes-200x50", "notes", 200, 50, UTF8},
        {"notes-45x40", "notes", 45, 40, UTF8},
        {"hearing-60x20", "hearing", 60, 20, UTF8},
        {"hearing-200x50", "hearing", 200, 50, UTF8},
        {"hearing-40x10", "hearing", 40, 10, UTF8},
        {"hear-80x24", "hear", 80, 24, UTF8},
        {"hear-60x20", "hear", 60, 20, UTF8},
        {"hear-40x10", "hear", 40, 10, UTF8},
        {"hear-your-turn-80x24", "hear-your-turn", 80, 24, UTF8},
        {"hear-your-turn-60x20", "hear-your-turn", 60, 20, UTF8},
        {"hear-rest-80x24", "hear-rest", 80, 24, UTF8},
        {"playing-39x10", "playing", 39, 10, UTF8},
        /* the same letters without colours, and on a terminal that has none */
        {"playing-80x24", "playing", 80, 24, UTF8 " NO_COLOR=1"},
        {"playing-80x24", "playing", 80, 24, "LC_ALL=C.UTF-8 TERM=vt100"},
        {"rest-80x24", "rest", 80, 24, "LC_ALL=C.UTF-8 TERM=linux"},
        {"block-80x24", "block", 80, 24, UTF8 " NO_COLOR=1"},
        {"listing-80x24", "listing", 80, 24, "LC_ALL=C.UTF-8 TERM=vt100"},
        /* ASCII */
        {"listing-ascii-80x24", "listing", 80, 24, "LC_ALL=C TERM=vt100"},
        {"block-ascii-80x24", "block", 80, 24, "LC_ALL=C TERM=vt100"},
        {"between-ascii-80x24", "between", 80, 24, "LC_ALL=C TERM=xterm-256color"},
        {"day-hostile-ascii-80x24", "day-hostile", 80, 24, "LC_ALL=C TERM=vt100"},
        {"playing-ascii-80x24", "playing", 80, 24, "LC_ALL=C TERM=xterm-256color"},
        {"playing-ascii-80x24", "playing", 80, 24, "LC_ALL=C TERM=vt100"},
        {"count-in-ascii-80x24", "count-in", 80, 24, "LC_ALL=C TERM=vt100"},
        {"rest-ascii-80x24", "rest", 80, 24, "LC_ALL=C TERM=vt100"},
        {"compound-ascii-80x24", "compound", 80, 24, "LC_ALL=C TERM=vt100"},
        {"hearing-ascii-80x24", "hearing", 80, 24, "LC_ALL=C TERM=vt100"},
        {"hostile-ascii-80x24", "hostile", 80, 24, "LC_ALL=C TERM=vt100"},
    };
    if (!has_tmux())
        skip();
    for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
        begin(table[i].scene, table[i].cols, table[i].rows, table[i].environment);
        assert_seen(table[i].name);
        for (const char *at = seen; strstr(table[i].name, "ascii") != NULL && *at != '\0'; at++)
            assert_in_range((unsigned char)*at, 1, 126);
        end();
    }
}

/* One program, three sizes: the window is resized under it. */
static void test_a_resize_redraws(void **state)
{
    (void)state;
    char none[64];
    if (!has_tmux())
        skip();
    begin("playing", 80, 24, UTF8);
    assert_seen("playing-80x24");
    tmux(none, sizeof none, "resize-window -t scene -x 60 -y 20");
    assert_seen("playing-60x20");
    tmux(none, sizeof none, "resize-window -t scene -x 200 -y 50");
    assert_seen("playing-200x50");
    tmux(none, sizeof none, "resize-window -t scene -x 39 -y 10");
    assert_seen("playing-39x10");
    tmux(none, sizeof none, "resize-window -t scene -x 80 -y 24");
    assert_seen("playing-80x24");
    end();
}

/* A climb in one program: each scene is drawn over the one before, region by region, and nothing of
 * that one may be left. */
static void test_scenes_follow_each_other(void **state)
{
    (void)state;
    char none[64];
    char name[64];
    if (!has_tmux())
        skip();
    begin(scenes[0].name, 80, 24, UTF8);
    for (size_t i = 0; i < SCENES && strcmp(scenes[i].name, "hostile") != 0; i++) {
        if (i > 0)
            tmux(none, sizeof none, "send-keys -t scene +");
        snprintf(name, sizeof name, "%s-80x24", scenes[i].name);
        assert_seen(name);
    }
    end();
}

static void test_the_help_overlay(void **state)
{
    (void)state;
    static const struct {
        const char *name, *scene;
        int cols, rows;
    } table[] = {
        {"help-80x24", "playing", 80, 24},
        {"help-60x20", "playing", 60, 20},
        {"help-40x10", "playing", 40, 10},
        {"help-steady-80x24", "steady", 80, 24},
        {"help-visit-80x24", "visit", 80, 24},
        {"help-visit-60x20", "visit", 60, 20},
        {"help-visit-40x10", "visit", 40, 10},
        {"help-block-80x24", "block", 80, 24},
        {"help-between-80x24", "between", 80, 24},
        {"help-listing-80x24", "listing", 80, 24},
        {"help-hear-80x24", "hear", 80, 24},
        {"help-hear-60x20", "hear", 60, 20},
        {"help-hear-your-turn-80x24", "hear-your-turn", 80, 24},
    };
    char none[64];
    char closed[64];
    if (!has_tmux())
        skip();
    for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
        begin(table[i].scene, table[i].cols, table[i].rows, UTF8);
        snprintf(closed, sizeof closed, "%s-%dx%d", table[i].scene, table[i].cols, table[i].rows);
        assert_seen(closed);
        tmux(none, sizeof none, "send-keys -t scene '?'");
        assert_seen(table[i].name);
        tmux(none, sizeof none, "send-keys -t scene Escape");
        assert_seen(closed);
        end();
    }
}

/* A session of its own keeps the server alive between scenes. */
static int start_server(void **state)
{
    char none[64];
    (void)state;
    if (has_tmux())
        tmux(none, sizeof none, "new-session -d -s keeper -x 80 -y 24 cat");
    return 0;
}

static int stop_server(void **state)
{
    char none[64];
    (void)state;
    if (has_tmux())
        tmux(none, sizeof none, "kill-server");
    return 0;
}

/* A failed test leaves its scene open. */
static int close_scene(void **state)
{
    char command[128];
    (void)state;
    snprintf(command, sizeof command,
             "tmux -L passo-view-%d kill-session -t scene 2>/dev/null || true", (int)getpid());
    return has_tmux() ? system(command) : 0;
}

int main(int argc, char **argv)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_teardown(test_scenes_look_as_they_should, close_scene),
        cmocka_unit_test_teardown(test_a_resize_redraws, close_scene),
        cmocka_unit_test_teardown(test_scenes_follow_each_other, close_scene),
        cmocka_unit_test_teardown(test_the_help_overlay, close_scene),
    };
    if (argc == 3 && strcmp(argv[1], "--show") == 0)
        return show(argv[2]);
    if (argc == 3 && strcmp(argv[1], "--job") == 0)
        return show_job(argv[2]);
    if (readlink("/proc/self/exe", own_path, sizeof own_path - 1) < 0)
        return 1;
    return cmocka_run_group_tests_name("view/scenes", tests, start_server, stop_server);
}
