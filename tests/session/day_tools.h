/* What the tests of a day share: items of one kind or another, what was told of them and when, and
 * what was drawn. Conductor, player and simulated output are the real ones. Everything is at 60 or
 * 120 beats a minute in 4/4 with rests of 6 s, so that times can be told in the head: one pass of
 * one bar at 60 takes 15 s (4 count-in, 4 body, 1 landing, 6 rest). The band is Marrowby's. */
#ifndef PASSO_TESTS_SESSION_DAY_TOOLS_H
#define PASSO_TESTS_SESSION_DAY_TOOLS_H

#include "stage_band.h"

#include <time.h>
#include "session/day.h"

enum { TROUPE_ITEMS = 16, TROUPE_DEEDS = 64, TROUPE_DRAWN = 4000 };

static const int64_t troupe_wall_ns = INT64_C(1796022000) * 1000000000;
static const double lead_s = 0.030; /* from an item's beginning to its first count-in */

struct deed {
    size_t item;
    enum passo_day_doing doing;
    bool played; /* there was a result */
    double at_s; /* since the day's wall clock began */
    int64_t played_ms;
    char words[PASSO_WORDS_BYTES];
};

struct drawn {
    enum passo_phase phase;
    int64_t rest_left_ms;
    size_t now;
    enum passo_day_state state[TROUPE_ITEMS];
    int64_t done_ms;
    int32_t level_permille;
    bool block;
    bool listing;
    uint32_t serial;
    char notice[32]; /* how it begins */
    char next[2 * PASSO_WORDS_BYTES];
    char move[PASSO_WORDS_BYTES];
};

struct troupe {
    struct band band; /* first: its view is the day's */
    struct passo_day_item item[TROUPE_ITEMS];
    struct passo_setup *setup[TROUPE_ITEMS];
    enum passo_extra extra[TROUPE_ITEMS];
    bool refuses[TROUPE_ITEMS];
    size_t items;
    struct deed deed[TROUPE_DEEDS];
    size_t deeds;
    struct drawn *drawn;
    size_t draws;
    struct passo_day_setup day;
    struct passo_csv *csv;
    double row_at_s[BAND_ROWS]; /* the first column, since the first row's */
    struct passo_day_result result;
};

static void troupe_draw(struct passo_view *view, const struct passo_snapshot *snapshot)
{
    struct troupe *troupe = (struct troupe *)view;
    band_draw(view, snapshot);
    assert_non_null(snapshot->day);
    assert_true(troupe->draws < TROUPE_DRAWN);
    struct drawn *drawn = &troupe->drawn[troupe->draws++];
    *drawn = (struct drawn){.phase = snapshot->phase,
                            .rest_left_ms = snapshot->rest_left_ms,
                            .now = snapshot->day->now,
                            .done_ms = snapshot->day->done_ms,
                            .level_permille = snapshot->level_permille,
                            .block = snapshot->day->block,
                            .listing = snapshot->day->listing,
                            .serial = snapshot->day->serial};
    for (size_t i = 0; i < troupe->items; i++)
        drawn->state[i] = snapshot->day->line[i].state;
    memcpy(drawn->next, snapshot->next, sizeof drawn->next);
    memcpy(drawn->move, snapshot->move, sizeof drawn->move);
    memcpy(drawn->notice, snapshot->notice, sizeof drawn->notice - 1);
}

static const struct passo_view_ops troupe_ops = {.name = "troupe",
                                                 .draw = troupe_draw,
                                                 .say = band_say,
                                                 .press = band_press,
                                                 .due_ns = band_due};

static bool troupe_ready(void *user, size_t item, struct passo_climb_setup *run, char *out_why,
                         size_t bytes)
{
    struct troupe *troupe = user;
    if (troupe->refuses[item]) {
        snprintf(out_why, bytes, "its file is gone");
        return false;
    }
    run->setup = troupe->setup[item];
    run->extra = troupe->extra[item];
    run->unrecorded = troupe->item[item].block;
    run->csv = troupe->item[item].block ? NULL : troupe->csv;
    return true;
}

static void troupe_over(void *user, size_t item, enum passo_day_doing doing,
                        const struct passo_climb_result *result, int64_t wall_ns)
{
    struct troupe *troupe = user;
    assert_true(troupe->deeds < TROUPE_DEEDS);
    struct deed *deed = &troupe->deed[troupe->deeds++];
    *deed = (struct deed){.item = item,
                          .doing = doing,
                          .played = result != NULL,
                          .at_s = (double)(wall_ns - troupe_wall_ns) / 1e9,
                          .played_ms = result ? result->played_ns / 1000000 : 0};
    if (result)
        snprintf(deed->words, sizeof deed->words, "%s", result->words);
}

static inline struct troupe *troupe_new(void)
{
    struct troupe *troupe = calloc(1, sizeof *troupe);
    troupe->drawn = calloc(TROUPE_DRAWN, sizeof *troupe->drawn);
    troupe->band.ops = &troupe_ops;
    troupe->day = (struct passo_day_setup){.title = "Marrowby mornings",
                                           .sounds = "",
                                           .goodbye = "",
                                           .goes_on = true,
                                           .user = troupe,
                                           .ready = troupe_ready,
                                           .over = troupe_over,
                                           .base.player = ""};
    return troupe;
}

static inline void troupe_free(struct troupe *troupe)
{
    for (size_t i = 0; i < troupe->items; i++)
        free(troupe->setup[i]);
    for (size_t i = 0; i < troupe->band.lines; i++)
        free(troupe->band.line[i]);
    free(troupe->drawn);
    free(troupe);
}

/* One bar in 4/4 at one tempo, in `climbs`'s way; so many passes at most. */
static inline struct passo_setup *one_bar(const char *title, const char *tempo,
                                          enum passo_climbs climbs, uint16_t passes)
{
    struct passo_lines lines = {0};
    struct passo_faults faults = {0};
    const char *const options[] = {
        "title",    title,   "bars",   "1",        "meter", "4/4",
        "target",   tempo,   "start",  tempo,      "raise", "2 clean in a row",
        "rest",     "6 s",   "finish", "none",     "tired", "none",
        "count-in", "1 bar", "stop",   "9 passes", NULL};
    for (size_t i = 0; options[i]; i += 2)
        passo_lines_add_option(&lines, options[i], options[i + 1], &faults);
    struct passo_setup *setup = band_resolve(&lines, &faults);
    setup->rule.climbs = climbs;
    setup->rule.stop_passes = passes;
    setup->rule.stop_ms = 0;
    passo_course_single(&setup->course, &setup->passage, &setup->rule);
    assert_int_equal(passo_course_check(&setup->course, NULL, 0), PASSO_OK);
    return setup;
}

static inline size_t add_item(struct troupe *troupe, const char *line, const char *prompt,
                              int32_t prepare_ms, int64_t ms, struct passo_setup *setup)
{
    assert_true(troupe->items < TROUPE_ITEMS);
    troupe->setup[troupe->items] = setup;
    troupe->item[troupe->items] = (struct passo_day_item){.line = line,
                                                          .why = "",
                                                          .prompt = prompt,
                                                          .ms = ms,
                                                          .prepare_ms = prepare_ms,
                                                          .strain_permille = PASSO_STRAIN_USUAL};
    return troupe->items++;
}

/* A key of a block: `passes` passes of a bar at 60. */
static inline size_t add_block(struct troupe *troupe, const char *line, const char *prompt,
                               int32_t prepare_ms, uint16_t passes)
{
    size_t item = add_item(troupe, line, prompt, prepare_ms, passes * INT64_C(15000),
                           one_bar("Fundamentals", "60", PASSO_CLIMBS_BLOCK, passes));
    troupe->item[item].block = true;
    return item;
}

/* A visit: won with two clean passes, over after `passes`. */
static inline size_t add_visit(struct troupe *troupe, const char *line, const char *prompt,
                               int32_t prepare_ms, uint16_t passes)
{
    size_t item = add_item(troupe, line, prompt, prepare_ms, passes * INT64_C(15000),
                           one_bar("The run up to the trio", "60", PASSO_CLIMBS_TEMPO, passes));
    troupe->item[item].visit = true;
    troupe->extra[item] = PASSO_EXTRA_VISIT;
    return item;
}

/* Three blocks of one pass each, 20 s to read what comes. */
static inline struct troupe *three_blocks(void)
{
    struct troupe *troupe = troupe_new();
    add_block(troupe, "long tones", "Long tones.", 20000, 1);
    add_block(troupe, "slurs", "Slurs.", 20000, 1);
    add_block(troupe, "scales", "Scales.", 20000, 1);
    return troupe;
}

/* When the passes of the rows were played. */
static inline void read_times(struct troupe *troupe, const char *path)
{
    char line[1024];
    time_t first = 0;
    FILE *csv = fopen(path, "r");
    assert_non_null(csv);
    assert_non_null(fgets(line, sizeof line, csv));
    for (size_t i = 0; fgets(line, sizeof line, csv); i++) {
        struct tm local = {.tm_isdst = -1};
        assert_non_null(strptime(line, "%Y-%m-%dT%H:%M:%S", &local));
        time_t at = mktime(&local);
        if (i == 0)
            first = at;
        troupe->row_at_s[i] = difftime(at, first);
    }
    fclose(csv);
}

/* Runs the day; marks may be NULL. */
static inline void troupe_run(struct troupe *troupe, const char *marks)
{
    struct band *band = &troupe->band;
    struct passo_marker marker = {0};
    char fault[512] = "";
    snprintf(band->csv, sizeof band->csv, "/tmp/passo-day-XXXXXX");
    int fd = mkstemp(band->csv);
    if (marks) {
        assert_int_equal(write(fd, marks, strlen(marks)), strlen(marks));
        assert_int_equal(passo_marker_script(&marker, band->csv, fault, sizeof fault), PASSO_OK);
    }
    close(fd);
    band->view.ops = band->ops;
    struct passo_climb_setup *base = &troupe->day.base;
    base->output = band->output ? band->output : &passo_output_simulated;
    base->view = &band->view;
    base->marker = marks ? &marker : NULL;
    base->wall_ns = troupe_wall_ns;
    troupe->day.item = troupe->item;
    troupe->day.items = troupe->items;
    assert_int_equal(passo_csv_open(band->csv, true, &troupe->csv, fault, sizeof fault), PASSO_OK);
    assert_int_equal(passo_day_run(&troupe->day, &troupe->result, fault, sizeof fault), PASSO_OK);
    assert_int_equal(passo_csv_close(troupe->csv), PASSO_OK);
    band_read_rows(band, band->csv);
    read_times(troupe, band->csv);
    unlink(band->csv);
    passo_marker_deinit(&marker);
}

/* --- what came of it --- */

/* What changes of the list raises its serial: a view goes by that. */
static inline void expect_serials(const struct troupe *troupe)
{
    for (size_t i = 1; i < troupe->draws; i++) {
        const struct drawn *a = &troupe->drawn[i - 1];
        const struct drawn *b = &troupe->drawn[i];
        bool same = a->now == b->now && a->done_ms == b->done_ms && a->block == b->block &&
                    a->listing == b->listing && !memcmp(a->state, b->state, sizeof a->state);
        assert_true(same || b->serial > a->serial);
    }
}

/* The next deed that was told, from `*at` on. */
static inline const struct deed *expect_deed(const struct troupe *troupe, size_t *at, size_t item,
                                             enum passo_day_doing doing, double at_s)
{
    assert_true(*at < troupe->deeds);
    const struct deed *deed = &troupe->deed[(*at)++];
    if (deed->item != item || deed->doing != doing || deed->at_s - at_s > 0.005 ||
        at_s - deed->at_s > 0.005)
        print_error("deed %zu: item %zu, doing %d, at %.4f s, not item %zu, doing %d, at %.4f s\n",
                    *at, deed->item, deed->doing, deed->at_s, item, doing, at_s);
    assert_int_equal(deed->item, item);
    assert_int_equal(deed->doing, doing);
    assert_true(deed->at_s - at_s <= 0.005 && at_s - deed->at_s <= 0.005);
    return deed;
}

/* Where a line that begins so was said, from `from` on; fails if it was not. */
static inline size_t expect_said(const struct troupe *troupe, size_t from, const char *line)
{
    for (size_t i = from; i < troupe->band.lines; i++) {
        if (!strncmp(troupe->band.line[i], line, strlen(line)))
            return i;
    }
    for (size_t i = from; i < troupe->band.lines; i++)
        print_error("said: %s\n", troupe->band.line[i]);
    print_error("not said: %s\n", line);
    fail();
    return 0;
}

static inline size_t times_said(const struct troupe *troupe, const char *words)
{
    size_t times = 0;
    for (size_t i = 0; i < troupe->band.lines; i++)
        times += strstr(troupe->band.line[i], words) != NULL;
    return times;
}

#endif
