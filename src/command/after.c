/* Joins the log's past with the course of a setup, and puts what came of it into words. Everything
 * that depends on the day is given; the clock is asked in one place. */
#include "command/after.h"

#include <stdio.h>
#include <stdlib.h>
#include "command/dates.h"
#include "command/options.h"
#include "session/words.h"
#include "text/notation.h"

/* What the climb begins with, be it a tempo or a length. */
static void opening_words(const struct passo_setup *setup, char *out, size_t bytes)
{
    const struct passo_stage *stage = &setup->course.stage[0];
    struct passo_course_state *state = passo_xcalloc(1, sizeof *state);
    char what[PASSO_WORDS_BYTES];
    passo_course_begin(&setup->course, state);
    struct passo_plan next = passo_course_next(&setup->course, state);
    const struct passo_ladder *ladder = &state->ladder;
    bool length = stage->rule.climbs == PASSO_CLIMBS_LENGTH;
    /* A cold pass goes before the climb and says nothing about it. */
    if (next.part == PASSO_PART_COLD) {
        next.part = PASSO_PART_CLIMB;
        next.mbpm = ladder->rung_mbpm[ladder->opening];
        next.loop = length ? stage->length[ladder->opening] : stage->turn[0].loop;
        next.variant = stage->turn[0].variant;
    }
    if (length)
        snprintf(out, bytes, "begins with %s",
                 passo_words_what(&setup->passage, &next, what, sizeof what));
    else
        snprintf(out, bytes, "begins at %s",
                 passo_tempo_write(next.mbpm, setup->passage.beat, what, sizeof what));
    free(state);
}

/* What the first stage opens by; where it opens by nothing, the best of the day. */
static int32_t best_mbpm(const struct passo_setup *setup, const struct passo_past_log *log)
{
    int32_t best = setup->course.stage[0].rule.past_mbpm;
    if (best)
        return best;
    for (size_t i = 0; i < log->pasts; i++) {
        if (log->past[i].best_clean_mbpm > best)
            best = log->past[i].best_clean_mbpm;
    }
    return best;
}

static void say(const struct passo_after *after, const struct passo_setup *setup,
                const struct passo_past_log *log, char *out_words, size_t bytes)
{
    char day[40];
    char tempo[PASSO_NAME_MAX + 24];
    char opening[PASSO_WORDS_BYTES];
    char best[PASSO_NAME_MAX + 64] = "no pass was clean";
    int32_t mbpm = best_mbpm(setup, log);
    if (mbpm)
        snprintf(best, sizeof best, "clean up to %s",
                 passo_tempo_write(mbpm, setup->passage.beat, tempo, sizeof tempo));
    opening_words(setup, opening, sizeof opening);
    if (!log->last_day)
        snprintf(out_words, bytes, "The log has no pass of this passage up to today; today %s.",
                 opening);
    else if (log->last_day == after->today)
        snprintf(out_words, bytes, "Practised today already: %s; this climb %s.", best, opening);
    else
        snprintf(out_words, bytes, "Last practised on %s: %s; today %s.",
                 passo_date_words(log->last_day, after->today, day, sizeof day), best, opening);
}

static void tell_row(void *user, const char *sentence)
{
    (void)user;
    passo_tell(sentence);
}

static enum passo_error read_past(const struct passo_after *after,
                                  const struct passo_past_wish *wish,
                                  struct passo_past_log *out_log, char *out_fault, size_t bytes)
{
    const struct passo_csv_taker teller = {.fault = tell_row};
    if (after->log)
        return passo_past_read(after->log, wish, &teller, out_log, out_fault, bytes);
    return passo_past_read_log(after->record, wish, out_log, out_fault, bytes);
}

/* The rung above the one where the rule would open; its own tempo at the top. */
static int32_t rung_above(const struct passo_stage *stage)
{
    struct passo_ladder *ladder = passo_xcalloc(1, sizeof *ladder);
    int32_t mbpm = stage->rule.past_mbpm;
    if (passo_ladder_init(ladder, &stage->rule, stage->turns, NULL, 0) == PASSO_OK &&
        ladder->opening < ladder->highest)
        mbpm = ladder->rung_mbpm[ladder->opening + 1];
    free(ladder);
    return mbpm;
}

static void open_visit(const struct passo_after *after, const struct passo_past_log *log,
                       struct passo_setup *setup)
{
    enum { FEW_PASSES = 3, BAD_DAY_PERMILLE = 850 };
    struct passo_stage *stage = &setup->course.stage[0];
    struct passo_rule *rule = &stage->rule;
    const bool few = after->visit_passes < FEW_PASSES;
    if (rule->climbs == PASSO_CLIMBS_LENGTH)
        return;
    if (!rule->past_mbpm)
        rule->past_mbpm =
            few ? log->best_won_mbpm : passo_tempo_share(log->best_won_mbpm, BAD_DAY_PERMILLE);
    else if (few)
        rule->past_mbpm = rung_above(stage);
}

void passo_after_read(const struct passo_after *after, struct passo_setup *setup, char *out_words,
                      size_t bytes, struct passo_past_log *out_log, struct passo_faults *faults)
{
    char fault[PASSO_PATH_BYTES + 256];
    struct passo_past_log log = {0};
    snprintf(out_words, bytes, "%s", "");
    const struct passo_past_wish wish = {.passage = setup->passage.title,
                                         .piece = setup->passage.piece,
                                         .player = after->player,
                                         .beat = setup->passage.beat,
                                         .target_mbpm = setup->rule.target_mbpm,
                                         .today = after->today,
                                         .read_beat = passo_note_value_read};
    if (read_past(after, &wish, &log, fault, sizeof fault)) {
        passo_fault(faults, "%s", fault);
    } else {
        passo_course_resume(&setup->course, &setup->passage, log.past, log.pasts, log.missed);
        if (after->visit_passes)
            open_visit(after, &log, setup);
        if (passo_course_check(&setup->course, fault, sizeof fault))
            passo_fault(faults, "%s", fault);
        else if (after->log || log.last_day)
            say(after, setup, &log, out_words, bytes);
    }
    if (out_log)
        *out_log = log;
    else
        passo_past_deinit(&log);
}
