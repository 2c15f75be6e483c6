/* A climb's state is a pure function of its course and its events. The events are in the log; of
 * the course everything stands in the passage file but what was drawn by chance (seeds) and what
 * earlier days gave (where it opened, before today's marks were there). These go before the file as
 * comment lines, one a stage. Runs on the main thread. */
#include "session/restore.h"

#include <inttypes.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#define STAGE_LINE                                                                                 \
    "# stage %zu: drawn by %" PRIu64 ", of earlier days %" PRId32 " mbpm, length %" PRIu16         \
    ", %" PRIu16 " days missed\n"
#define STAGE_READ                                                                                 \
    "# stage %zu: drawn by %" SCNu64 ", of earlier days %" SCNd32 " mbpm, length %" SCNu16         \
    ", %" SCNu16 " days missed\n%n"

static char *passage_file(const struct passo_lines *lines, const struct passo_setup *setup)
{
    char *text = NULL;
    size_t bytes = 0;
    FILE *to = open_memstream(&text, &bytes);
    if (!to)
        return NULL;
    passo_setup_write(lines, setup, true, to);
    return fclose(to) == 0 ? text : NULL;
}

char *passo_restore_text(const struct passo_lines *lines, const struct passo_setup *setup)
{
    char *text = NULL;
    size_t bytes = 0;
    char *file = passage_file(lines, setup);
    FILE *to = file ? open_memstream(&text, &bytes) : NULL;
    if (!to) {
        free(file);
        return NULL;
    }
    for (size_t i = 0; i < setup->course.stages; i++) {
        const struct passo_rule *rule = &setup->course.stage[i].rule;
        fprintf(to, STAGE_LINE, i + 1, rule->seed, rule->past_mbpm, rule->past_length,
                rule->past_missed);
    }
    fputs(file, to);
    free(file);
    return fclose(to) == 0 ? text : NULL;
}

/* Reads the lines before the file into the course; NULL if they are not this course's. */
static const char *read_stages(const char *text, struct passo_course *course)
{
    for (size_t i = 0; i < course->stages; i++) {
        struct passo_rule *rule = &course->stage[i].rule;
        size_t number = 0;
        int length = 0;
        int read = sscanf(text, STAGE_READ, &number, &rule->seed, &rule->past_mbpm,
                          &rule->past_length, &rule->past_missed, &length);
        if (read != 5 || number != i + 1 || length == 0)
            return NULL;
        text += length;
    }
    return text;
}

/* Of the climb's clock. */
static bool is_time(int64_t ms)
{
    const int64_t most_ms = INT64_C(1000) * 86400 * 365;
    return ms >= 0 && ms <= most_ms;
}

/* A log may be damaged or changed by hand: every step must be one of this course. */
static bool is_sound(const struct passo_course *course, const struct passo_log_step *step)
{
    const struct passo_ladder_event *event = &step->event;
    if ((unsigned)event->type >= PASSO_LADDER_EVENT_COUNT ||
        (unsigned)event->mark >= PASSO_MARK_COUNT || event->stage >= course->stages ||
        !is_time(event->elapsed_ms) || !is_time(event->played_ms))
        return false;
    if (event->type != PASSO_LADDER_PASS)
        return true;
    const struct passo_stage *stage = &course->stage[event->stage];
    uint16_t rungs =
        stage->rule.climbs == PASSO_CLIMBS_LENGTH ? stage->rule.lengths : PASSO_RUNGS_MAX;
    return (unsigned)event->part < PASSO_PART_DONE && event->turn < stage->turns &&
           event->rung < rungs && step->row.tempo_mbpm >= PASSO_TEMPO_MIN_MBPM &&
           step->row.tempo_mbpm <= PASSO_TEMPO_MAX_MBPM;
}

static bool are_sound(const struct passo_course *course, const struct passo_log_cut *cut)
{
    uint32_t passes = 0;
    for (size_t i = 0; i < cut->steps; i++) {
        const struct passo_log_step *step = &cut->step[i];
        if (!is_sound(course, step) ||
            (step->event.type == PASSO_LADDER_PASS && step->row.pass != ++passes))
            return false;
    }
    return passes > 0;
}

static bool is_left(const struct passo_course *course, const struct passo_log_cut *cut)
{
    struct passo_course_state *state = passo_xcalloc(1, sizeof *state);
    passo_course_begin(course, state);
    for (size_t i = 0; i < cut->steps; i++)
        passo_course_apply(course, state, &cut->step[i].event);
    bool left = passo_course_next(course, state).part != PASSO_PART_DONE;
    free(state);
    return left;
}

/* Rows as the ladder took them: one has an assumed mark as what it was taken for, and the ladder
 * takes it for that once more; one of a visit or a check was a pass of its climbing. */
static void ready_steps(struct passo_log_cut *cut)
{
    for (size_t i = 0; i < cut->steps; i++) {
        struct passo_log_step *step = &cut->step[i];
        if (step->event.type != PASSO_LADDER_PASS)
            continue;
        if (!strcmp(step->row.marked_by, "assumed"))
            step->event.mark = PASSO_MARK_NONE;
        if (step->row.extra != PASSO_EXTRA_NONE)
            step->event.part = PASSO_PART_CLIMB;
    }
}

bool passo_restore_goes_on(struct passo_log_cut *cut, const struct passo_lines *lines,
                           struct passo_setup *setup, int32_t today)
{
    if (!cut->climb || !cut->setup || cut->day != today)
        return false;
    ready_steps(cut);
    struct passo_course *course = passo_xcalloc(1, sizeof *course);
    char *file = passage_file(lines, setup);
    *course = setup->course;
    const char *rest = read_stages(cut->setup, course);
    bool same = file && rest && !strcmp(rest, file) &&
                passo_course_check(course, NULL, 0) == PASSO_OK && are_sound(course, cut) &&
                is_left(course, cut);
    if (same)
        setup->course = *course;
    free(file);
    free(course);
    return same;
}

const char *passo_restore_words(const struct passo_log_cut *cut, char *out, size_t bytes)
{
    time_t began = (time_t)(cut->began_ns / 1000000000);
    struct tm local;
    char clock[8];
    size_t passes = 0;
    localtime_r(&began, &local);
    strftime(clock, sizeof clock, "%H:%M", &local);
    for (size_t i = 0; i < cut->steps; i++)
        passes += cut->step[i].event.type == PASSO_LADDER_PASS;
    snprintf(out, bytes, "Going on where the climb of %s broke off: %zu pass%s.", clock, passes,
             passes == 1 ? "" : "es");
    return out;
}
