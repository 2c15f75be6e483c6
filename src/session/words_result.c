/* The result of a climb as one sentence: how it ended, in which stage, the best that was won, after
 * how many passes. Owns nothing. Thread: the main thread. */
#include "session/words_priv.h"

#include <stdio.h>
#include "text/notation.h"

struct result {
    const struct passo_course *course;
    const struct passo_passage *passage;
    const struct passo_course_state *state;
    enum passo_climbs climbs;
    const char *end;                 /* "The time is up" */
    char where[PASSO_NAME_MAX + 34]; /* ", in stage 2 of 4, second half" */
    char best[PASSO_NAME_MAX + 24];  /* "quarter = 92", "the last 3 beats" */
    char after[32];                  /* "after 20 passes" */
};

/* The best that was won: a tempo, or how much of the passage. */
static void best_words(struct result *result)
{
    const struct passo_course_state *state = result->state;
    const struct passo_stage *stage = &result->course->stage[state->stage];
    if (result->climbs == PASSO_CLIMBS_LENGTH && state->now.best_rung >= 0)
        passo_words_length(&result->passage->loop[stage->length[state->now.best_rung]],
                           result->best, sizeof result->best);
    else
        passo_tempo_write(passo_ladder_best_mbpm(&state->ladder, &state->now),
                          result->passage->beat, result->best, sizeof result->best);
}

static void won_words(const struct result *result, char *out, size_t bytes)
{
    const struct passo_ladder *ladder = &result->state->ladder;
    char target[PASSO_NAME_MAX + 24];
    passo_tempo_write(ladder->rule.target_mbpm, result->passage->beat, target, sizeof target);
    if (result->course->stages == 2)
        snprintf(out, bytes, "Won: both stages, %s %s.", target, result->after);
    else if (result->course->stages > 2)
        snprintf(out, bytes, "Won: all %zu stages, %s %s.", result->course->stages, target,
                 result->after);
    else if (result->climbs == PASSO_CLIMBS_MIXED && ladder->rungs > 1)
        snprintf(out, bytes, "Won: all %u tempi, up to %s, %s.", ladder->rungs, target,
                 result->after);
    else if (result->climbs == PASSO_CLIMBS_LENGTH)
        snprintf(out, bytes, "Won: %s at %s %s.", result->best, target, result->after);
    else
        snprintf(out, bytes, "Won: %s %s.", result->best, result->after);
}

/* Some of it is won. */
static void part_words(const struct result *result, char *out, size_t bytes)
{
    const struct passo_course_state *state = result->state;
    if (state->now.outcome == PASSO_OUTCOME_EDGE)
        snprintf(out, bytes, "%s%s: %s, %s.", result->end, result->where, result->best,
                 result->after);
    else if (result->climbs == PASSO_CLIMBS_MIXED)
        snprintf(out, bytes, "%s%s. %d of %u tempi put away, the highest %s, %s.", result->end,
                 result->where, words_put_away(&state->now), state->ladder.rungs, result->best,
                 result->after);
    else if (result->climbs == PASSO_CLIMBS_EDGE)
        snprintf(out, bytes, "%s%s. The highest clean tempo: %s, %s.", result->end, result->where,
                 result->best, result->after);
    else
        snprintf(out, bytes, "%s%s. Best %s won: %s, %s.", result->end, result->where,
                 result->climbs == PASSO_CLIMBS_LENGTH ? "length" : "tempo", result->best,
                 result->after);
}

static void nothing_words(const struct result *result, uint32_t passes, char *out, size_t bytes)
{
    static const char *const nothing[PASSO_CLIMBS_COUNT] = {
        [PASSO_CLIMBS_TEMPO] = "No rung is won",
        [PASSO_CLIMBS_LENGTH] = "No length is won",
        [PASSO_CLIMBS_MIXED] = "No tempo is put away",
        [PASSO_CLIMBS_EDGE] = "No tempo is clean",
    };
    snprintf(out, bytes, "%s%s. %s yet; %u %s played.", result->end, result->where,
             nothing[result->climbs], passes, passes == 1 ? "pass was" : "passes were");
}

/* A check and a block give no result to speak of; how far it came is told where it was left. */
static void once_words(const struct result *result, uint32_t passes, char *out, size_t bytes)
{
    const enum passo_outcome outcome = result->state->now.outcome;
    if (outcome == PASSO_OUTCOME_OPEN || outcome == PASSO_OUTCOME_QUIT ||
        outcome == PASSO_OUTCOME_TIME)
        snprintf(out, bytes, "%s; %u %s played.", result->end, passes,
                 passes == 1 ? "pass was" : "passes were");
    else
        snprintf(out, bytes, "%s.",
                 result->climbs == PASSO_CLIMBS_CHECK ? "Touched once more" : "Played");
}

const char *passo_words_result(const struct passo_course *course,
                               const struct passo_passage *passage,
                               const struct passo_course_state *state, uint32_t passes,
                               bool marks_ran_out, char *out, size_t bytes)
{
    static const char *const ends[PASSO_OUTCOME_COUNT] = {
        [PASSO_OUTCOME_OPEN] = "Ended",
        [PASSO_OUTCOME_WON] = "Won",
        [PASSO_OUTCOME_PLATEAU] = "The ceiling for today is reached",
        [PASSO_OUTCOME_EDGE] = "The edge is found",
        [PASSO_OUTCOME_TIRED] = "Tired: enough for today",
        [PASSO_OUTCOME_TIME] = "The time is up",
        [PASSO_OUTCOME_PASSES] = "All the passes that count are played",
        [PASSO_OUTCOME_MISSES] = "Enough for now",
        [PASSO_OUTCOME_QUIT] = "Finished by the player",
        [PASSO_OUTCOME_DONE] = "Played",
    };
    char stage[PASSO_NAME_MAX + 28];
    struct result result = {.course = course, .passage = passage, .state = state};
    result.climbs = course->stage[state->stage].rule.climbs;
    result.end = marks_ran_out && state->now.outcome == PASSO_OUTCOME_QUIT
                     ? "The marks ran out"
                     : ends[state->now.outcome];
    passo_words_stage(course, state->stage, stage, sizeof stage);
    if (stage[0])
        snprintf(result.where, sizeof result.where, ", in %s", stage);
    snprintf(result.after, sizeof result.after, "after %u %s", passes,
             passes == 1 ? "pass" : "passes");
    best_words(&result);
    if (passo_rule_is_once(&state->ladder.rule))
        once_words(&result, passes, out, bytes);
    else if (state->now.outcome == PASSO_OUTCOME_WON)
        won_words(&result, out, bytes);
    else if (state->now.best_rung >= 0)
        part_words(&result, out, bytes);
    else
        nothing_words(&result, passes, out, bytes);
    return out;
}
