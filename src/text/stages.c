/* Stages: the course of a climb, made of the common lines of [ladder] and of each stage's own.
 *
 * Of one key the line of the higher rank counts, a stage's over a common one of its rank. A stage's
 * target, its limits and where it looks back are its own and have no common line to yield to.
 * Shares and points are of the passage's target, whatever the stage's own is, unless that looks
 * back. What stands before the first pass is the first stage's, what follows the top is the last
 * one's, unless a stage says it itself. */
#include "text/lines.h"
#include "text/notation.h"
#include "text/reading.h"
#include "text/scan.h"
#include "text/settings.h"

#include <stdio.h>
#include <string.h>
#include <strings.h>

/* What a stage is made of while it is read. */
struct making {
    struct draft *draft;
    struct passo_stage *stage;
    struct stage_lines *own; /* NULL: the climb has no stages of its own */
    bool first;
    bool last;
};

/* An option's line is taken apart when it is added; no line is left with this key. */
const char *read_stage(const char *value, struct draft *draft)
{
    (void)value;
    (void)draft;
    return NULL;
}

static struct stage_lines *stage_of(struct draft *draft, const char *name)
{
    size_t i = 0;
    while (i < draft->stages && strcasecmp(draft->stage_lines[i].name, name))
        i++;
    if (i == PASSO_STAGES_MAX)
        return NULL;
    if (i == draft->stages)
        draft->stage_lines[draft->stages++].name = name;
    return &draft->stage_lines[i];
}

void stages_collect(struct draft *draft, const struct passo_lines *lines)
{
    for (size_t i = 0; i < lines->lines; i++) {
        const struct passo_line *line = &lines->line[i];
        const char *name = setting_stage_name(line->section);
        struct stage_lines *stage = name ? stage_of(draft, name) : NULL;
        if (!name)
            continue;
        if (!stage) {
            lines_fault(draft->faults, line, "this is one stage too many; 32 would do");
            return;
        }
        stage->line[setting_id_of(line->key)] = line;
    }
}

void rule_settle_list(struct passo_rule *rule, bool start_said, bool target_said)
{
    if (rule->steps != PASSO_STEPS_LIST)
        return;
    if (!start_said)
        rule->start_mbpm = rule->list_mbpm[0];
    if (!target_said)
        rule->target_mbpm = rule->list_mbpm[rule->list_count - 1];
}

/* "80 % of lower result", "last result". False if it is nothing of the kind. */
static bool read_look_back(const char *value, struct passo_look_back *out_look)
{
    static const char *const which[PASSO_LOOK_COUNT] = {
        [PASSO_LOOK_NONE] = "",
        [PASSO_LOOK_LOWER] = "lower result",
        [PASSO_LOOK_HIGHER] = "higher result",
        [PASSO_LOOK_LAST] = "last result",
    };
    for (size_t i = PASSO_LOOK_NONE + 1; i < PASSO_LOOK_COUNT; i++) {
        char share_of[32];
        char share_of_the[32];
        int64_t share = 1000;
        snprintf(share_of, sizeof share_of, "%% of %s", which[i]);
        snprintf(share_of_the, sizeof share_of_the, "%% of the %s", which[i]);
        if (!scan_match(value, which[i], NULL) && !scan_match(value, share_of, &share) &&
            !scan_match(value, share_of_the, &share))
            continue;
        *out_look = (struct passo_look_back){(enum passo_look)i, (int32_t)share};
        return reading_fits(share, 1, 2000);
    }
    return false;
}

/* NULL with *out_looks, or what would do. */
static const char *read_looking(const struct making *making, const char *value,
                                struct passo_look_back *look, bool *out_looks)
{
    *out_looks = strcasestr(value, "result");
    *look = (struct passo_look_back){0};
    if (!*out_looks)
        return NULL;
    if (!read_look_back(value, look))
        return "a look back is written 80 % of lower result (or higher, or last), at most 200 %";
    return making->first ? "the first stage has nothing to look back at; a share, 60 %, or a tempo "
                           "would do"
                         : NULL;
}

static const char *read_stage_start(const struct making *making, const char *value)
{
    bool looks = false;
    struct passo_rule *rule = &making->stage->rule;
    const char *fault = read_looking(making, value, &making->stage->start, &looks);
    if (!looks)
        return read_start(value, making->draft);
    rule->start_mbpm = 0;
    rule->start_permille = passo_rule_default().start_permille;
    return fault;
}

/* A share of the passage's target, to a hundredth, half up. */
static int32_t share_of_target(const struct draft *draft, int32_t permille)
{
    int64_t share = (int64_t)draft->setup->rule.target_mbpm * permille;
    return (int32_t)((share + 5000) / 10000 * 10);
}

static const char *read_stage_target(const struct making *making, const char *value)
{
    struct draft *draft = making->draft;
    int64_t share = 0;
    bool looks = false;
    const char *fault = read_looking(making, value, &making->stage->target, &looks);
    if (looks)
        return fault;
    if (!scan_match(value, "%", &share) && !scan_match(value, "% of target", &share) &&
        !scan_match(value, "% of the target", &share)) {
        if (strchr(value, '%'))
            return "a share of the passage's target is written 90 %, or looks back: 80 % of lower "
                   "result";
        return reading_tempo(value, draft, &making->stage->rule.target_mbpm);
    }
    if (!reading_fits(share, 1, 2000))
        return "a stage's target is at most 200 % of the passage's, and more than nothing: 90 %";
    making->stage->rule.target_mbpm = share_of_target(draft, (int32_t)share);
    return NULL;
}

/* Limits in a stage end that stage; the common ones stay the climb's. */
static const char *read_stage_stop(const struct making *making, const char *value)
{
    struct passo_rule *rule = &making->stage->rule;
    struct passo_rule limits = passo_rule_default();
    making->draft->rule = &limits;
    const char *fault = read_stop(value, making->draft);
    making->draft->rule = rule;
    rule->stage_ms = limits.stop_ms;
    rule->stage_passes = limits.stop_passes;
    rule->stage_misses = limits.stop_misses;
    return fault;
}

static const char *read_stage_value(const struct making *making, enum setting_id id,
                                    const char *value)
{
    static char empty[] = "nothing is said; leave it out, and the common line holds";
    if (!*value)
        return empty;
    if (id == SETTING_start)
        return read_stage_start(making, value);
    if (id == SETTING_target)
        return read_stage_target(making, value);
    if (id == SETTING_stop)
        return read_stage_stop(making, value);
    if (id == SETTING_finish && !making->last)
        return "a climb has one finish, after its last stage; say it there or in [ladder]";
    if (id == SETTING_loop || id == SETTING_variant || id == SETTING_chain)
        return NULL;
    return setting_reader_at(id)(value, making->draft);
}

static void read_stage_lines(const struct making *making)
{
    struct draft *draft = making->draft;
    for (size_t i = 0; i < SETTING_COUNT; i++) {
        enum setting_id id = (enum setting_id)i;
        const struct passo_line *line = making->own->line[id];
        if (!line)
            continue;
        struct passo_ratio common_unit = draft->unit[id];
        draft->unit[id] = (struct passo_ratio){0, 0};
        draft->now = id;
        const char *fault = read_stage_value(making, id, line->value);
        if (fault)
            lines_fault(draft->faults, line, fault);
        else if (!draft->bad[SETTING_meter] && !draft->bad[SETTING_beat])
            (void)join_unit(draft, line, draft->unit[id]);
        draft->unit[id] = common_unit;
    }
}

/* What of the common rule is for the climb's ends alone. */
static void leave_to_the_ends(const struct making *making)
{
    struct passo_rule *rule = &making->stage->rule;
    if (!making->first)
        rule->cold = false;
    if (making->last)
        return;
    rule->over_passes = 0;
    rule->close_clean = 0;
    rule->close_thins = false;
}

static void make_rule(const struct making *making, const struct passo_rule *common)
{
    struct draft *draft = making->draft;
    struct passo_rule *rule = &making->stage->rule;
    const struct stage_lines *own = making->own;
    *rule = *common;
    rule->full_mbpm = draft->setup->rule.target_mbpm;
    draft->rule = rule;
    leave_to_the_ends(making);
    if (own) {
        bool own_list = own->line[SETTING_steps];
        rule_settle_list(rule, draft->line[SETTING_start], draft->line[SETTING_target]);
        if (!rule->target_mbpm)
            rule->target_mbpm = draft->setup->rule.target_mbpm;
        read_stage_lines(making);
        if (own_list)
            rule_settle_list(rule, own->line[SETTING_start], own->line[SETTING_target]);
    } else {
        rule_settle_list(rule, draft->line[SETTING_start], draft->line[SETTING_target]);
    }
    draft->rule = &draft->setup->rule;
}

static void begin_making(struct draft *draft, size_t i, struct making *out_making)
{
    size_t stages = draft->stages ? draft->stages : 1;
    *out_making = (struct making){
        .draft = draft,
        .stage = &draft->setup->course.stage[i],
        .own = draft->stages ? &draft->stage_lines[i] : NULL,
        .first = i == 0,
        .last = i + 1 == stages,
    };
}

void stages_join(struct draft *draft)
{
    struct passo_rule common = draft->setup->rule;
    struct passo_course *course = &draft->setup->course;
    course->stages = draft->stages ? draft->stages : 1;
    rule_settle_list(&draft->setup->rule, draft->line[SETTING_start], draft->line[SETTING_target]);
    for (size_t i = 0; i < course->stages; i++) {
        struct making making;
        begin_making(draft, i, &making);
        if (making.own)
            passo_text_clean(making.own->name, making.stage->name, PASSO_NAME_MAX);
        for (size_t id = 0; making.own && id < SETTING_COUNT; id++)
            if (making.own->line[id] && setting_line_yields(making.own->line[id], draft->line[id]))
                making.own->line[id] = NULL;
        make_rule(&making, &common);
    }
    if (draft->joined)
        turns_join(draft);
}

const struct passo_line *stages_line_of(const struct draft *draft, const char *sentence)
{
    const struct stage_lines *stage = NULL;
    for (const char *at = strchr(sentence, '`'); at; at = strchr(at + 1, '`')) {
        char part[PASSO_NAME_MAX];
        const char *end = strchr(++at, '`');
        if (!end)
            return NULL;
        snprintf(part, sizeof part, "%.*s", (int)(end - at), at);
        for (size_t i = 0; i < draft->stages && !stage; i++)
            if (!strcasecmp(draft->stage_lines[i].name, part))
                stage = &draft->stage_lines[i];
        part[strspn(part, "abcdefghijklmnopqrstuvwxyz-")] = '\0';
        enum setting_id id = setting_id_of(part);
        if (id != SETTING_COUNT)
            return stage && stage->line[id] ? stage->line[id] : draft->line[id];
        at = end;
    }
    return NULL;
}
