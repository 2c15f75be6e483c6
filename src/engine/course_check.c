/* Makes a course ready: one stage over a whole passage, the checks, and where each stage opens
 * after an earlier day. Runs on the control side, once a climb. */
#include <passo/course.h>

#include "engine/ladder_priv.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define LOOK_MAX_PERMILLE 2000

void passo_course_single(struct passo_course *out_course, const struct passo_passage *passage,
                         const struct passo_rule *rule)
{
    memset(out_course, 0, sizeof *out_course);
    struct passo_stage *stage = &out_course->stage[0];
    out_course->stages = 1;
    stage->rule = *rule;
    stage->turns = (uint8_t)passo_passage_turns(passage, stage->turn);
}

/* --- checks --- */

static bool looks(struct passo_look_back back)
{
    return back.look != PASSO_LOOK_NONE;
}

static const char *look_fault(const struct passo_course *course, size_t index,
                              const char **out_part)
{
    const struct passo_stage *stage = &course->stage[index];
    bool result = false;
    for (size_t i = 0; i < index; i++)
        result = result || !looks(course->stage[i].target);
    *out_part = looks(stage->target) ? "target" : "start";
    if (!looks(stage->start) && !looks(stage->target))
        return NULL;
    if (!result)
        return "looks back, but no stage before it gives a result; a tempo or a share would do";
    if (stage->rule.steps == PASSO_STEPS_LIST)
        return "looks back, but its list of steps has its own ends; 4 bpm would do";
    const struct passo_look_back *back[] = {&stage->start, &stage->target};
    for (size_t i = 0; i < 2; i++)
        if (looks(*back[i]) && (back[i]->permille < 1 || back[i]->permille > LOOK_MAX_PERMILLE))
            return "looks back for a share outside 0.1 to 200 %; 80 % would do";
    return NULL;
}

/* The stage's own rule; where it looks back, from the slowest tempo that it may be given, which
 * makes the most rungs. */
static enum passo_error check_rule(const struct passo_stage *stage, struct passo_ladder *ladder,
                                   char *text, size_t bytes)
{
    struct passo_rule rule = stage->rule;
    if (looks(stage->start))
        rule.start_mbpm = PASSO_TEMPO_MIN_MBPM;
    return passo_ladder_init(ladder, &rule, stage->turns, text, bytes);
}

static enum passo_error check_stage(struct passo_course *course, size_t index,
                                    struct ladder_fault *fault)
{
    const struct passo_stage *stage = &course->stage[index];
    const char *part = NULL;
    if (course->stages > 1 && passo_rule_is_once(&stage->rule))
        return ladder_fault(fault, "a check or a block is no stage of a climb; it would do alone");
    const char *wrong = look_fault(course, index, &part);
    if (wrong)
        return ladder_fault(fault, "`%s` %s", part, wrong);
    struct passo_ladder *ladder = passo_xcalloc(1, sizeof *ladder);
    enum passo_error error = check_rule(stage, ladder, fault->text, fault->bytes);
    free(ladder);
    return error;
}

/* "stage `seam`: " before a sentence. */
static void name_stage(const char *name, struct ladder_fault *fault)
{
    char sentence[256];
    if (!name[0] || !fault->text || !fault->bytes)
        return;
    snprintf(sentence, sizeof sentence, "%s", fault->text);
    snprintf(fault->text, fault->bytes, "stage `%s`: %s", name, sentence);
}

enum passo_error passo_course_check(struct passo_course *course, char *out_fault,
                                    size_t fault_bytes)
{
    struct ladder_fault fault = {out_fault, fault_bytes};
    if (out_fault && fault_bytes)
        out_fault[0] = '\0';
    if (course->stages < 1 || course->stages > PASSO_STAGES_MAX)
        return ladder_fault(&fault, "%zu stages; 1 to %d would do", course->stages,
                            PASSO_STAGES_MAX);
    const struct passo_rule *last = &course->stage[course->stages - 1].rule;
    for (size_t i = 0; i < course->stages; i++) {
        struct passo_rule *rule = &course->stage[i].rule;
        rule->leads_on = i + 1 < course->stages;
        /* However the climb ends, it ends with the same finish. */
        rule->finish_passes = last->finish_passes;
        rule->put_away_passes = last->put_away_passes;
        rule->put_away_permille = last->put_away_permille;
        enum passo_error error = check_stage(course, i, &fault);
        if (!error)
            continue;
        name_stage(course->stage[i].name, &fault);
        return error;
    }
    return PASSO_OK;
}

/* --- after an earlier day --- */

static int32_t best_of(const struct passo_past *past, size_t pasts, const char *loop,
                       const char *variant)
{
    int32_t best = 0;
    for (size_t i = 0; i < pasts; i++)
        if (past[i].best_clean_mbpm > best && !strcmp(past[i].loop, loop) &&
            (!variant || !strcmp(past[i].variant, variant)))
            best = past[i].best_clean_mbpm;
    return best;
}

/* Who has played the whole as written can play each part of it, in every way. */
static int32_t best_of_stage(const struct passo_stage *stage, const struct passo_passage *passage,
                             const struct passo_past *past, size_t pasts)
{
    const int32_t whole = best_of(past, pasts, passage->loop[0].name, passage->variant[0].name);
    const bool each = stage->rule.turn == PASSO_TURN_WHOLE_CLIMB;
    int32_t best = 0;
    for (size_t i = 0; i < stage->turns; i++) {
        int32_t turn = best_of(past, pasts, passage->loop[stage->turn[i].loop].name,
                               passage->variant[stage->turn[i].variant].name);
        if (turn < whole)
            turn = whole;
        if (i == 0 || (each ? turn < best : turn > best))
            best = turn;
    }
    return best;
}

static uint16_t best_length(const struct passo_stage *stage, const struct passo_passage *passage,
                            const struct passo_past *past, size_t pasts)
{
    for (uint16_t length = stage->rule.lengths; length; length--) {
        const char *loop = passage->loop[stage->length[length - 1]].name;
        if (best_of(past, pasts, loop, NULL) >= stage->rule.target_mbpm)
            return length;
    }
    return 0;
}

void passo_course_resume(struct passo_course *course, const struct passo_passage *passage,
                         const struct passo_past *past, size_t pasts, uint16_t missed)
{
    for (size_t i = 0; i < course->stages; i++) {
        struct passo_stage *stage = &course->stage[i];
        struct passo_rule *rule = &stage->rule;
        rule->past_missed = missed;
        if (passo_rule_is_once(rule))
            continue;
        if (rule->climbs == PASSO_CLIMBS_LENGTH)
            rule->past_length = best_length(stage, passage, past, pasts);
        else if (!looks(stage->start))
            rule->past_mbpm = best_of_stage(stage, passage, past, pasts);
    }
}
