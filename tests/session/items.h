/* For the tests of a day's items: climbs one after the other on one stream in simulated time, with
 * a view that keeps what was said and what was shown, and presses keys. The stream's clock is the
 * simulated one, moved by the view's wait(), so that the conductor draws as it does in real time.
 */
#ifndef PASSO_TESTS_SESSION_ITEMS_H
#define PASSO_TESTS_SESSION_ITEMS_H

#include "stage_band.h"

#include "session/sounding.h"
#include "sound/player.h"

enum { ITEM_SHOWN = 64 };

/* A stage is a band that also looks at the screen. */
struct stage {
    struct band band; /* its view is the first member */
    struct passo_sounding sounding;
    struct passo_climb_setup run;                 /* of the next item */
    char next[ITEM_SHOWN][2 * PASSO_WORDS_BYTES]; /* what was shown as coming next, each once */
    size_t nexts;
    char count[PASSO_WORDS_BYTES]; /* the longest that was shown */
};

static enum passo_error stage_open(const struct passo_output_ask *ask,
                                   struct passo_output **out_output, char *out_fault, size_t bytes);

static struct passo_output_ops stage_output;

static enum passo_error stage_open(const struct passo_output_ask *ask,
                                   struct passo_output **out_output, char *out_fault, size_t bytes)
{
    enum passo_error error = passo_output_simulated.open(ask, out_output, out_fault, bytes);
    (*out_output)->ops = &stage_output;
    return error;
}

/* The output's own start looks at nothing but the player. */
static inline void stage_ops(void)
{
    stage_output = passo_output_simulated;
    stage_output.open = stage_open;
    stage_output.advance = NULL;
}

static inline int64_t stage_now_ns(const struct stage *stage)
{
    return stage_output.now_ns(stage->sounding.output);
}

static inline void stage_advance(struct stage *stage, int64_t ns)
{
    passo_output_simulated.advance(stage->sounding.output, stage_now_ns(stage) + ns);
}

static void stage_wait(struct passo_view *view, int64_t timeout_ns)
{
    struct stage *stage = (struct stage *)view;
    int64_t press_ns = band_due(view);
    int64_t now_ns = stage_now_ns(stage);
    if (press_ns > now_ns && press_ns - now_ns < timeout_ns)
        timeout_ns = press_ns - now_ns;
    stage_advance(stage, timeout_ns);
}

static void stage_draw(struct passo_view *view, const struct passo_snapshot *snapshot)
{
    struct stage *stage = (struct stage *)view;
    band_draw(view, snapshot);
    if (strlen(snapshot->count) > strlen(stage->count))
        snprintf(stage->count, sizeof stage->count, "%s", snapshot->count);
    if (stage->nexts && !strcmp(stage->next[stage->nexts - 1], snapshot->next))
        return;
    assert_true(stage->nexts < ITEM_SHOWN);
    snprintf(stage->next[stage->nexts++], sizeof stage->next[0], "%s", snapshot->next);
}

static const struct passo_view_ops stage_view = {.name = "stage",
                                                 .draw = stage_draw,
                                                 .say = band_say,
                                                 .press = band_press,
                                                 .wait = stage_wait,
                                                 .due_ns = band_due};

static inline struct stage *stage_new(void)
{
    struct stage *stage = calloc(1, sizeof *stage);
    char fault[256];
    stage_ops();
    stage->band.view.ops = &stage_view;
    assert_int_equal(
        passo_sounding_open(&stage->sounding, &stage_output, NULL, "", fault, sizeof fault),
        PASSO_OK);
    stage->run = (struct passo_climb_setup){
        .sounding = &stage->sounding, .view = &stage->band.view, .player = "", .in_day = true};
    return stage;
}

static inline void stage_free(struct stage *stage)
{
    passo_sounding_close(&stage->sounding);
    band_free(&stage->band); /* the first member: all of it */
}

/* A passage of the Marrowby band's music; options: key, value, ... NULL. Free it. */
static inline struct passo_setup *stage_setup(const char *const *options)
{
    struct passo_lines lines = {0};
    struct passo_faults faults = {0};
    for (size_t i = 0; options[i]; i += 2)
        passo_lines_add_option(&lines, options[i], options[i + 1], &faults);
    return band_resolve(&lines, &faults);
}

/* Makes a climb of it that does not climb: the passage once, whole and as written. */
static inline void stage_once(struct passo_setup *setup, enum passo_climbs climbs,
                              int32_t start_permille)
{
    struct passo_rule rule = passo_rule_default();
    rule.climbs = climbs;
    rule.target_mbpm = setup->rule.target_mbpm;
    rule.start_permille = start_permille;
    rule.stop_ms = 0;
    setup->rule = rule;
    passo_course_single(&setup->course, &setup->passage, &setup->rule);
    setup->course.stage[0].turns = 1;
    assert_int_equal(passo_course_check(&setup->course, NULL, 0), PASSO_OK);
}

/* Presses `s` seconds after now, in the order of time; keys of their own, so that none is a repeat.
 */
static inline void stage_press(struct stage *stage, double s, enum passo_command command)
{
    band_add(&stage->band, (double)stage_now_ns(stage) / 1e9 + s, command,
             1000 + (int)stage->band.presses);
}

/* Plays the item; from here on only what belongs to it is kept. */
static inline void stage_play(struct stage *stage, const struct passo_setup *setup)
{
    char fault[256] = "";
    for (size_t i = 0; i < stage->band.lines; i++)
        free(stage->band.line[i]);
    stage->band.lines = 0;
    stage->nexts = 0;
    stage->count[0] = '\0';
    stage->run.setup = setup;
    assert_int_equal(passo_climb_run(&stage->run, &stage->band.result, fault, sizeof fault),
                     PASSO_OK);
}

static inline bool stage_said(const struct stage *stage, enum passo_say kind, const char *line)
{
    for (size_t i = 0; i < stage->band.lines; i++) {
        if (stage->band.kind[i] == kind && !strcmp(stage->band.line[i], line))
            return true;
    }
    return false;
}

static inline size_t stage_said_of(const struct stage *stage, enum passo_say kind)
{
    size_t lines = 0;
    for (size_t i = 0; i < stage->band.lines; i++)
        lines += stage->band.kind[i] == kind;
    return lines;
}

static inline bool stage_showed(const struct stage *stage, const char *next)
{
    for (size_t i = 0; i < stage->nexts; i++) {
        if (!strcmp(stage->next[i], next))
            return true;
    }
    return false;
}

/* Everything that was said and shown, when a test looks for what is not there. */
static inline void stage_print(const struct stage *stage)
{
    for (size_t i = 0; i < stage->band.lines; i++)
        print_message("said %d: %s\n", (int)stage->band.kind[i], stage->band.line[i]);
    for (size_t i = 0; i < stage->nexts; i++)
        print_message("shown: %s\n", stage->next[i]);
}

#define STAGE_SAID(stage, kind, words)                                                             \
    do {                                                                                           \
        if (!stage_said(stage, kind, words))                                                       \
            stage_print(stage);                                                                    \
        assert_true(stage_said(stage, kind, words));                                               \
    } while (0)

#define STAGE_SHOWED(stage, words)                                                                 \
    do {                                                                                           \
        if (!stage_showed(stage, words))                                                           \
            stage_print(stage);                                                                    \
        assert_true(stage_showed(stage, words));                                                   \
    } while (0)

#endif
