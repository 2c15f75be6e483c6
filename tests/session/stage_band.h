/* What the tests of the conductor share: a view with timed presses that keeps what was said, a
 * setup from options or from a passage file, and the rows of the CSV that a climb wrote. Everything
 * else is the real thing: ladder, timelines, player, simulated output, conductor, CSV. */
#ifndef PASSO_TESTS_STAGE_BAND_H
#define PASSO_TESTS_STAGE_BAND_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>
#include <cmocka.h>
#include "session/climb.h"

enum { BAND_PRESSES = 400, BAND_LINES = 4000, BAND_ROWS = 400 };

struct band_press {
    double at_s; /* from the start of the simulated clock */
    enum passo_command command;
    int key;
};

struct band_row {
    int pass;
    char part[16];
    char loop[64];
    char variant[64];
    char bars[32];
    char unit[64]; /* of the tempo */
    double tempo;
    char mark[16];
    char marked_by[16];
    char miss_bar[16];
    int cleans;
    char move[16];
    double next;
    double play_s;
    double rest_s;
    double elapsed_s;
};

struct band {
    struct passo_view view;
    struct band_press press[BAND_PRESSES];
    size_t presses;
    size_t taken;
    char *line[BAND_LINES];
    enum passo_say kind[BAND_LINES];
    size_t lines;
    struct passo_snapshot last;
    struct band_row row[BAND_ROWS];
    size_t rows;
    struct passo_climb_result result;
    const struct passo_output_ops *output; /* NULL: simulated, no sound */
    const struct passo_view_ops *ops;      /* NULL: the band's own */
    char csv[32];                          /* the file of the rows, until band_free(); "" none */
    struct passo_log *log;                 /* and what else of a climb's setup concerns it */
    const struct passo_log_cut *cut;
    const char *setup_text;
    const char *const *rescue;
    enum passo_extra extra;
};

static void band_draw(struct passo_view *view, const struct passo_snapshot *snapshot)
{
    ((struct band *)view)->last = *snapshot;
}

static void band_say(struct passo_view *view, enum passo_say kind, const char *line)
{
    struct band *band = (struct band *)view;
    assert_true(band->lines < BAND_LINES);
    band->kind[band->lines] = kind;
    band->line[band->lines++] = strdup(line);
}

static int64_t band_due(struct passo_view *view)
{
    struct band *band = (struct band *)view;
    if (band->taken == band->presses)
        return INT64_MAX;
    return (int64_t)(band->press[band->taken].at_s * 1e9);
}

static bool band_press(struct passo_view *view, int64_t now_ns, struct passo_press *out_press)
{
    struct band *band = (struct band *)view;
    if (band_due(view) > now_ns)
        return false;
    const struct band_press *press = &band->press[band->taken++];
    *out_press = (struct passo_press){
        .command = press->command, .key = press->key, .at_ns = (int64_t)(press->at_s * 1e9)};
    return true;
}

static const struct passo_view_ops band_ops = {
    .name = "band", .draw = band_draw, .say = band_say, .press = band_press, .due_ns = band_due};

static inline void band_add(struct band *band, double at_s, enum passo_command command, int key)
{
    assert_true(band->presses < BAND_PRESSES);
    band->press[band->presses++] = (struct band_press){at_s, command, key};
}

/* The fields of an RFC 4180 line without quotes inside a field; empty ones included. */
static inline void band_fields(char *line, char *field[32])
{
    int count = 0;
    bool quoted = false;
    field[count++] = line;
    for (char *at = line; *at; at++) {
        bool comma = *at == ',' && !quoted;
        if (*at == '"') {
            quoted = !quoted;
            memmove(at, at + 1, strlen(at));
            at--;
        } else if (comma || *at == '\r' || *at == '\n') {
            *at = '\0';
            if (comma && count < 32)
                field[count++] = at + 1;
        }
    }
    assert_int_equal(count, 22);
}

static inline void band_read_rows(struct band *band, const char *path)
{
    char line[1024];
    char *f[32];
    FILE *csv = fopen(path, "r");
    assert_non_null(csv);
    assert_non_null(fgets(line, sizeof line, csv));
    while (fgets(line, sizeof line, csv)) {
        assert_true(band->rows < BAND_ROWS);
        struct band_row *row = &band->row[band->rows++];
        band_fields(line, f);
        row->pass = atoi(f[5]);
        snprintf(row->part, sizeof row->part, "%s", f[6]);
        snprintf(row->loop, sizeof row->loop, "%s", f[7]);
        snprintf(row->bars, sizeof row->bars, "%s", f[8]);
        snprintf(row->variant, sizeof row->variant, "%s", f[9]);
        char *octave = strstr(row->variant, " (an octave away)");
        if (octave) /* what a CSV adds to a name that does not tell it */
            *octave = '\0';
        snprintf(row->unit, sizeof row->unit, "%s", f[10]);
        row->tempo = atof(f[11]);
        snprintf(row->mark, sizeof row->mark, "%s", f[13]);
        snprintf(row->marked_by, sizeof row->marked_by, "%s", f[14]);
        snprintf(row->miss_bar, sizeof row->miss_bar, "%s", f[15]);
        row->cleans = atoi(f[16]);
        snprintf(row->move, sizeof row->move, "%s", f[17]);
        row->next = atof(f[18]);
        row->play_s = atof(f[19]);
        row->rest_s = atof(f[20]);
        row->elapsed_s = atof(f[21]);
    }
    fclose(csv);
}

/* The setup that lines resolve to; they may have no fault. Frees the lines. */
static inline struct passo_setup *band_resolve(struct passo_lines *lines,
                                               struct passo_faults *faults)
{
    struct passo_setup *setup = calloc(1, sizeof *setup);
    passo_setup_resolve(lines, true, setup, faults);
    for (size_t i = 0; i < faults->faults; i++)
        print_error("%s\n", faults->fault[i]);
    assert_int_equal(faults->faults, 0);
    passo_lines_deinit(lines);
    passo_faults_deinit(faults);
    return setup;
}

/* What a passage file says, as a player would climb it. Free with free(). */
static inline struct passo_setup *band_setup_of_file(const char *path)
{
    struct passo_lines lines = {0};
    struct passo_faults faults = {0};
    passo_lines_add_file(&lines, path, &faults);
    return band_resolve(&lines, &faults);
}

/* Plays a climb in simulated time; marks may be NULL. */
static inline void band_play_setup(struct band *band, const struct passo_setup *setup,
                                   const char *marks)
{
    struct passo_marker marker = {0};
    char fault[512] = "";
    snprintf(band->csv, sizeof band->csv, "/tmp/passo-band-XXXXXX");
    int fd = mkstemp(band->csv);
    if (marks) {
        assert_int_equal(write(fd, marks, strlen(marks)), strlen(marks));
        assert_int_equal(passo_marker_script(&marker, band->csv, fault, sizeof fault), PASSO_OK);
    }
    close(fd);
    band->view.ops = band->ops ? band->ops : &band_ops;
    struct passo_climb_setup run = {.setup = setup,
                                    .output = band->output ? band->output : &passo_output_simulated,
                                    .view = &band->view,
                                    .marker = marks ? &marker : NULL,
                                    .log = band->log,
                                    .cut = band->cut,
                                    .setup_text = band->setup_text,
                                    .rescue = band->rescue,
                                    .extra = band->extra,
                                    .player = ""};
    assert_int_equal(passo_csv_open(band->csv, true, &run.csv, fault, sizeof fault), PASSO_OK);
    assert_int_equal(passo_climb_run(&run, &band->result, fault, sizeof fault), PASSO_OK);
    assert_int_equal(passo_csv_close(run.csv), PASSO_OK);
    band_read_rows(band, band->csv);
    passo_marker_deinit(&marker);
}

/* Likewise. options: key, value, ... NULL. */
static inline void band_play(struct band *band, const char *const *options, const char *marks)
{
    struct passo_lines lines = {0};
    struct passo_faults faults = {0};
    for (size_t i = 0; options[i]; i += 2)
        passo_lines_add_option(&lines, options[i], options[i + 1], &faults);
    struct passo_setup *setup = band_resolve(&lines, &faults);
    band_play_setup(band, setup, marks);
    free(setup);
}

static inline struct band *band_new(void)
{
    return calloc(1, sizeof(struct band));
}

static inline void band_free(struct band *band)
{
    for (size_t i = 0; i < band->lines; i++)
        free(band->line[i]);
    if (band->csv[0])
        unlink(band->csv);
    free(band);
}

/* The tempi of the rows of the climbing, in order, as "84 84 92". */
static inline void band_expect_tempi(const struct band *band, size_t count, const double *tempo)
{
    assert_true(band->rows >= count);
    for (size_t i = 0; i < count; i++) {
        if (band->row[i].tempo != tempo[i])
            print_error("pass %zu: %g, not %g\n", i + 1, band->row[i].tempo, tempo[i]);
        assert_true(band->row[i].tempo == tempo[i]);
    }
}

#define BAND_EXPECT(band, ...)                                                                     \
    do {                                                                                           \
        const double tempi_[] = {__VA_ARGS__};                                                     \
        band_expect_tempi(band, sizeof tempi_ / sizeof tempi_[0], tempi_);                         \
    } while (0)

/* To the tenth of a second. */
#define BAND_CLOCK(actual, expected)                                                               \
    assert_true((actual) - (expected) < 0.05 && (expected) - (actual) < 0.05)

#endif
