/* Prints a forecast for musicians: a table of one or two columns, and what it teaches. */
#include <stdio.h>
#include <string.h>
#include "command/plan_forecast.h"
#include "command/plan_say.h"
#include "session/words.h"
#include "text/notation.h"

enum { LABEL_COLUMNS = 42, VALUE_COLUMNS = 17, CELL_BYTES = 64 };

struct row {
    char cell[2][CELL_BYTES];
};

static void row_print(const struct plan_view *view, const char *label, const struct row *row)
{
    plan_say("  %-*s%*s", LABEL_COLUMNS, label, VALUE_COLUMNS, row->cell[0]);
    if (view->other && row->cell[1][0])
        plan_say("  %*s", VALUE_COLUMNS, row->cell[1]);
    plan_say("\n");
}

static const struct plan_outlook *column(const struct plan_view *view, int index)
{
    return index ? view->other : view->outlook;
}

static int columns(const struct plan_view *view)
{
    return view->other ? 2 : 1;
}

/* --- how long it takes --- */

static void passes_words(uint32_t passes, char cell[CELL_BYTES])
{
    if (passes == 0)
        snprintf(cell, CELL_BYTES, "over %d passes", PLAN_PASSES_MAX);
    else
        snprintf(cell, CELL_BYTES, "%u pass%s", passes, passes == 1 ? "" : "es");
}

/* Up to the next minute: it is an "at most". */
static void time_words(int64_t ms, char cell[CELL_BYTES])
{
    const int minutes = (int)((ms + 59999) / 60000);
    if (minutes >= 120)
        snprintf(cell, CELL_BYTES, "%d h %02d min", minutes / 60, minutes % 60);
    else
        snprintf(cell, CELL_BYTES, "%d min", minutes);
}

static void print_quantile(const struct plan_view *view, const char *label, bool ninth)
{
    struct row passes = {0};
    struct row time = {0};
    bool any = false;
    for (int i = 0; i < columns(view); i++) {
        const struct passo_forecast *forecast = &column(view, i)->target;
        const uint32_t needed = ninth ? forecast->ninth_passes : forecast->median_passes;
        passes_words(needed, passes.cell[i]);
        if (needed > 0) {
            time_words(ninth ? forecast->ninth_ms : forecast->median_ms, time.cell[i]);
            any = true;
        }
    }
    row_print(view, label, &passes);
    if (any)
        row_print(view, "", &time);
}

/* --- how it ends --- */

static void print_ended(const struct plan_view *view, enum passo_outcome outcome, const char *label)
{
    struct row row = {0};
    bool any = outcome == PASSO_OUTCOME_WON;
    for (int i = 0; i < columns(view); i++) {
        const struct passo_forecast *forecast = &column(view, i)->within;
        any = any || forecast->ended[outcome] > 0;
        plan_percent(forecast->ended[outcome], forecast->climbs, row.cell[i]);
    }
    if (any)
        row_print(view, label, &row);
}

/* True if it is a tempo whose unit had no room. */
static bool stuck_words(const struct passo_setup *setup, const struct passo_forecast *forecast,
                        char cell[CELL_BYTES])
{
    const struct passo_stage *stage = &setup->course.stage[forecast->stuck_stage];
    if (forecast->stuck == 0) {
        snprintf(cell, CELL_BYTES, "nowhere");
        return false;
    }
    if (stage->rule.climbs == PASSO_CLIMBS_LENGTH) {
        const struct passo_loop *loop = &setup->passage.loop[stage->length[forecast->stuck_rung]];
        passo_words_bars(&setup->passage, loop, cell, CELL_BYTES);
        return false;
    }
    passo_tempo_write(forecast->stuck_mbpm, setup->passage.beat, cell, CELL_BYTES);
    if (strlen(cell) <= VALUE_COLUMNS)
        return false;
    passo_bpm_write(forecast->stuck_mbpm, cell, CELL_BYTES);
    return true;
}

static void print_stuck(const struct plan_view *view)
{
    struct row place = {0};
    struct row stage = {0};
    struct row share = {0};
    bool numbers = false;
    char label[LABEL_COLUMNS + 1];
    char beat[PASSO_NAME_MAX];
    for (int i = 0; i < columns(view); i++) {
        const struct passo_setup *setup = i ? view->other_setup : view->setup;
        const struct passo_forecast *forecast = &column(view, i)->within;
        numbers = stuck_words(setup, forecast, place.cell[i]) || numbers;
        if (forecast->stuck > 0) {
            plan_percent(forecast->stuck, forecast->climbs, share.cell[i]);
            snprintf(stage.cell[i], VALUE_COLUMNS + 1, "%s",
                     setup->course.stage[forecast->stuck_stage].name);
        }
    }
    if (!share.cell[0][0] && !share.cell[1][0])
        return;
    passo_note_value_write(view->setup->passage.beat, beat, sizeof beat);
    snprintf(label, sizeof label, "stand most often before%s%.16s%s", numbers ? " (" : "",
             numbers ? beat : "", numbers ? ")" : "");
    if (stage.cell[0][0] || stage.cell[1][0])
        row_print(view, "stand most often in the stage", &stage);
    row_print(view, label, &place);
    row_print(view, "that is, of all", &share);
}

const char *plan_goal(const struct passo_setup *setup)
{
    const struct passo_rule *last = &setup->course.stage[setup->course.stages - 1].rule;
    return last->ceiling_mbpm > 0 && last->ceiling_mbpm < last->target_mbpm ? "ceiling" : "target";
}

static void print_ends(const struct plan_view *view)
{
    char given_up[48];
    char reach[32];
    snprintf(reach, sizeof reach, "reach the %s", plan_goal(view->setup));
    print_ended(view, PASSO_OUTCOME_WON, reach);
    print_ended(view, PASSO_OUTCOME_EDGE, "find the edge");
    print_ended(view, PASSO_OUTCOME_PLATEAU, "stop at a plateau, so many drops");
    print_ended(view, PASSO_OUTCOME_TIRED, "end tired, by the count of misses");
    print_ended(view, PASSO_OUTCOME_TIME, "run out of time");
    print_ended(view, PASSO_OUTCOME_PASSES, "run out of passes");
    print_ended(view, PASSO_OUTCOME_MISSES, "end after misses in a row");
    snprintf(given_up, sizeof given_up, "are given up after %d passes", PLAN_PASSES_MAX);
    print_ended(view, PASSO_OUTCOME_OPEN, given_up);
    print_stuck(view);
}

/* --- what it teaches --- */

static void print_drop_lesson(const struct plan_view *view)
{
    const bool here = view->outlook->drops_at_once;
    const struct plan_outlook *outlook = here ? view->outlook : view->other;
    if (!outlook || !outlook->drops_at_once)
        return;
    const uint32_t dear = outlook->target.median_passes; /* 0: over the most */
    const uint32_t cheap = outlook->patient.median_passes;
    if (cheap == 0 || (dear > 0 && dear <= cheap))
        return;
    plan_say("\n");
    if (dear == 0)
        plan_tell(
            "A drop after every miss is dear: %s%s half of such climbs or more are not at the "
            "target after %d passes. With a drop after two misses in a row half of them "
            "would need at most %u.",
            here ? "here" : "under ", here ? "" : view->other_name, PLAN_PASSES_MAX, cheap);
    else
        plan_tell("A drop after every miss is dear: %s%s half of such climbs need at most %u "
                  "passes. With a drop after two misses in a row it would be %u.",
                  here ? "here" : "under ", here ? "" : view->other_name, dear, cheap);
}

/* Where nine in ten never arrive, a word on what could be asked instead. */
static void print_too_much(const struct plan_view *view)
{
    const struct passo_forecast *within = &view->outlook->within;
    if (within->won * 10 >= within->climbs)
        return;
    plan_say("\n");
    plan_tell(
        "That asks much as things stand. A lower start, smaller steps or a lower target would "
        "do; --preset find-the-edge shows where to begin.");
}

void plan_outlook_print(const struct plan_view *view)
{
    const char *goal = plan_goal(view->setup);
    const struct passo_course *course = &view->setup->course;
    const bool edge = course->stage[course->stages - 1].rule.climbs == PASSO_CLIMBS_EDGE;
    struct row head = {.cell = {"as planned"}};
    if (view->other) {
        snprintf(head.cell[1], VALUE_COLUMNS + 1, "%s", view->other_name);
        row_print(view, "", &head);
    }
    if (!edge) {
        plan_say("To the %s, however long it takes (without what follows it):\n", goal);
        print_quantile(view, "half of such climbs need at most", false);
        print_quantile(view, "nine in ten at most", true);
        if (view->setup->notes.notes && view->setup->intonation.hear != PASSO_HEAR_OFF)
            plan_say("  (These minutes are without what you hear before you play.)\n");
    }
    plan_say("Within the limits of the rule, of such climbs:\n");
    print_ends(view);
    print_too_much(view);
    print_drop_lesson(view);
}
