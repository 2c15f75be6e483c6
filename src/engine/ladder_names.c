/* Names of the ladder's words, as the CSV and the screens write them, and the defaults of the
 * rule: the first value of each line of the design's table. */
#include "engine/ladder_priv.h"

static const char *const marks[PASSO_MARK_COUNT] = {
    [PASSO_MARK_NONE] = "unmarked",
    [PASSO_MARK_CLEAN] = "clean",
    [PASSO_MARK_MISS] = "miss",
    [PASSO_MARK_VOID] = "void",
};

static const char *const parts[PASSO_PART_COUNT] = {
    [PASSO_PART_COLD] = "cold", [PASSO_PART_CLIMB] = "climb", [PASSO_PART_ANCHOR] = "anchor",
    [PASSO_PART_OVER] = "over", [PASSO_PART_CLOSE] = "close", [PASSO_PART_CONTEXT] = "context",
    [PASSO_PART_EASY] = "easy", [PASSO_PART_DONE] = "done",
};

static const char *const moves[PASSO_MOVE_COUNT] = {
    [PASSO_MOVE_NONE] = "",           [PASSO_MOVE_RAISED] = "raised",
    [PASSO_MOVE_DROPPED] = "dropped", [PASSO_MOVE_HELD] = "held",
    [PASSO_MOVE_WON] = "won",         [PASSO_MOVE_PLATEAU] = "plateau",
    [PASSO_MOVE_TIRED] = "tired",     [PASSO_MOVE_STOPPED] = "stopped",
    [PASSO_MOVE_EASIER] = "easier",   [PASSO_MOVE_HARDER] = "harder",
};

static const char *const outcomes[PASSO_OUTCOME_COUNT] = {
    [PASSO_OUTCOME_OPEN] = "open",       [PASSO_OUTCOME_WON] = "won",
    [PASSO_OUTCOME_PLATEAU] = "plateau", [PASSO_OUTCOME_EDGE] = "edge",
    [PASSO_OUTCOME_TIRED] = "tired",     [PASSO_OUTCOME_TIME] = "time",
    [PASSO_OUTCOME_PASSES] = "passes",   [PASSO_OUTCOME_MISSES] = "misses",
    [PASSO_OUTCOME_QUIT] = "quit",       [PASSO_OUTCOME_DONE] = "done",
};

const char *passo_mark_name(enum passo_mark mark)
{
    return (unsigned)mark < PASSO_MARK_COUNT ? marks[mark] : "";
}

const char *passo_part_name(enum passo_part part)
{
    return (unsigned)part < PASSO_PART_COUNT ? parts[part] : "";
}

const char *passo_move_name(enum passo_move move)
{
    return (unsigned)move < PASSO_MOVE_COUNT ? moves[move] : "";
}

const char *passo_outcome_name(enum passo_outcome outcome)
{
    return (unsigned)outcome < PASSO_OUTCOME_COUNT ? outcomes[outcome] : "";
}

struct passo_rule passo_rule_default(void)
{
    return (struct passo_rule){
        .start_permille = 600,
        .climbs = PASSO_CLIMBS_TEMPO,
        .edge_within_mbpm = 4000,
        .steps = PASSO_STEPS_BPM,
        .step_mbpm = 4000,
        .raise_clean = 2,
        .drop = PASSO_DROP_RUNGS,
        .drop_rungs = 1,
        .drop_misses = 2,
        .drop_counts = PASSO_DROP_COUNTS_IN_A_ROW,
        .miss = PASSO_MISS_AGAIN,
        .lift = {1},
        .lifts = 1,
        .turn = PASSO_TURN_EVERY_RUNG,
        .over_permille = 1050,
        .finish_passes = 1,
        .plateau_drops = 2,
        .tired_misses = 3,
        .tired_of = 5,
        .stop_ms = INT64_C(20) * 60 * 1000,
        .unmarked = PASSO_UNMARKED_HOLD,
        .rest_permille = 1000,
        .rest_least_ms = 6000,
        .rest_most_ms = 60000,
        .resume_permille = 850,
    };
}
