/* A climb that nobody marks: every pass is clean, and a tempo is won after so many. What the file
 * says of rungs, turns, anchor, over, close, cold, finish and rests holds; what waits for a player
 * (drops, plateau, tired, stops) does not. Runs on the main thread. */
#include "command/render_parts.h"

#include <stdlib.h>
#include <string.h>
#include "command/turn.h"

enum { USUAL_PASSES = 2, PASSES_MOST = 5000 };

static void play_through(struct passo_rule *rule, uint8_t passes)
{
    rule->raise_clean = passes;
    rule->raise_of = 0;
    rule->raise_coins = false;
    rule->drop = PASSO_DROP_HOLD;
    rule->plateau_drops = 0;
    rule->tired_misses = 0;
    rule->tired_played_ms = 0;
    rule->stop_ms = 0;
    rule->stop_passes = 0;
    rule->stop_misses = 0;
    rule->stage_ms = 0;
    rule->stage_passes = 0;
    rule->stage_misses = 0;
    rule->unmarked = PASSO_UNMARKED_HOLD;
}

/* A turn or a tempo by itself is not the climb: nothing comes before or behind it. */
static void by_itself(struct passo_rule *rule)
{
    rule->anchor_permille = 0;
    rule->over_passes = 0;
    rule->close_clean = 0;
    rule->close_thins = false;
    rule->finish_passes = 0;
    rule->put_away_passes = 0;
    rule->put_away_permille = 0;
    rule->cold = false;
}

static void at_one_tempo(struct passo_rule *rule, int32_t mbpm)
{
    if (rule->climbs != PASSO_CLIMBS_LENGTH)
        rule->climbs = PASSO_CLIMBS_TEMPO;
    rule->full_mbpm = rule->full_mbpm ? rule->full_mbpm : rule->target_mbpm;
    rule->target_mbpm = mbpm;
    rule->start_mbpm = mbpm;
    rule->steps = PASSO_STEPS_BPM;
    rule->step_mbpm = 1000;
    rule->ceiling_mbpm = 0;
}

/* The common rule over the turns that were named; where one of the two is not, all that there are
 * of it. */
static void keep_turns(struct passo_setup *setup, struct turn_named named)
{
    struct passo_turn all[PASSO_TURNS_MAX];
    struct passo_rule rule = setup->rule;
    const size_t turns = passo_passage_turns(&setup->passage, all);
    if (rule.climbs == PASSO_CLIMBS_LENGTH)
        rule.climbs = PASSO_CLIMBS_TEMPO;
    passo_course_single(&setup->course, &setup->passage, &rule);
    struct passo_stage *stage = &setup->course.stage[0];
    stage->turns = 0;
    for (size_t i = 0; i < turns; i++) {
        struct passo_turn turn = all[i];
        turn.loop = named.loop >= 0 ? (uint8_t)named.loop : turn.loop;
        turn.variant = named.variant >= 0 ? (uint8_t)named.variant : turn.variant;
        bool known = false;
        for (size_t k = 0; k < stage->turns; k++)
            known |= stage->turn[k].loop == turn.loop && stage->turn[k].variant == turn.variant;
        if (!known)
            stage->turn[stage->turns++] = turn;
    }
}

static bool choose(struct render *render, uint8_t passes)
{
    struct passo_faults *faults = &render->options->faults;
    struct passo_setup *setup = render->setup;
    const struct turn_named named = turn_find(&setup->passage, render->options->only, faults);
    const char *tempo = render->options->tempo;
    const int32_t mbpm = tempo ? turn_tempo(tempo, setup, faults) : 0;
    if (faults->faults)
        return false;
    const bool turn = named.loop >= 0 || named.variant >= 0;
    if (turn || (mbpm && setup->course.stages > 1))
        keep_turns(setup, named);
    for (size_t i = 0; i < setup->course.stages; i++) {
        struct passo_rule *rule = &setup->course.stage[i].rule;
        play_through(rule, passes);
        if (turn || mbpm)
            by_itself(rule);
        if (mbpm)
            at_one_tempo(rule, mbpm);
    }
    return true;
}

uint32_t render_track_passes(const struct passo_course *course)
{
    struct passo_course_state *state = passo_xcalloc(1, sizeof *state);
    uint32_t ends = 0;
    passo_course_begin(course, state);
    for (uint32_t i = 0; i < PASSES_MOST && !ends; i++) {
        const struct passo_plan plan = passo_course_next(course, state);
        const struct passo_ladder_event event = {.type = PASSO_LADDER_PASS,
                                                 .mark = PASSO_MARK_CLEAN,
                                                 .part = plan.part,
                                                 .rung = plan.rung,
                                                 .turn = plan.turn,
                                                 .stage = plan.stage};
        if (plan.part != PASSO_PART_DONE)
            passo_course_apply(course, state, &event);
        if (plan.part == PASSO_PART_DONE || passo_course_ceiling_won(course, state))
            ends = state->now.passes ? state->now.passes : 1;
    }
    free(state);
    return ends;
}

/* A ceiling would have it go round for ever: it ends when that is won. */
static bool end_it(struct render *render)
{
    struct passo_course *course = &render->setup->course;
    const uint32_t passes = render_track_passes(course);
    if (passes == 0 || passes > UINT16_MAX) {
        passo_fault(&render->options->faults,
                    "that would be more than %d passes; fewer --passes, larger steps or --only one "
                    "turn would do",
                    PASSES_MOST);
        return false;
    }
    for (size_t i = 0; i < course->stages; i++)
        if (course->stage[i].rule.ceiling_mbpm)
            course->stage[i].rule.stop_passes = (uint16_t)passes;
    return true;
}

static char *all_clean(void)
{
    enum { MARKS = 2 * PASSES_MOST };
    char *marks = passo_xcalloc(MARKS + 1, 1);
    memset(marks, 'c', MARKS);
    return marks;
}

bool render_track_ready(struct render *render)
{
    struct passo_options *options = render->options;
    struct passo_setup *setup = render->setup;
    struct passo_faults *faults = &options->faults;
    char fault[512];
    /* What a file that cannot be read may have said is not asked for. */
    passo_setup_resolve(&options->lines, faults->faults == 0, setup, faults);
    passo_operand_title(options, setup);
    passo_staging_sounds(setup, faults);
    if (faults->faults)
        return false;
    if (!choose(render, (uint8_t)(options->passes ? options->passes : USUAL_PASSES)))
        return false;
    options->seeded = true; /* the same file again */
    passo_staging_seed(setup, options);
    if (passo_course_check(&setup->course, fault, sizeof fault) != PASSO_OK) {
        passo_fault(faults, "%s", fault);
        return false;
    }
    render->marks = all_clean();
    return end_it(render);
}
