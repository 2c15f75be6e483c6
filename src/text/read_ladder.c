/* Readers of the ladder's lines, one a part of the design's table: start to lift. Each takes its
 * line alone; what the parts make together is judged by passo_ladder_init(). */
#include "text/reading.h"
#include "text/scan.h"
#include "text/settings.h"

#include <string.h>

const char *read_target(const char *value, struct draft *draft)
{
    return reading_tempo(value, draft, &draft->rule->target_mbpm);
}

const char *read_start(const char *value, struct draft *draft)
{
    struct passo_rule *rule = draft->rule;
    int64_t share = 0;
    if (!scan_match(value, "%", &share) && !scan_match(value, "% of target", &share) &&
        !scan_match(value, "% of the target", &share)) {
        if (strcasestr(value, "result"))
            return "only a stage after the first looks back at a result; a share, 60 %, or a tempo "
                   "would do";
        if (strchr(value, '%'))
            return "a share of the target is written 60 %, to a tenth of a percent";
        return reading_tempo(value, draft, &rule->start_mbpm);
    }
    if (!reading_fits(share, 1, 1000))
        return "the start is at most 100 % of the target, and more than nothing: 60 %";
    rule->start_mbpm = 0;
    rule->start_permille = (int32_t)share;
    return NULL;
}

/* "60 66 72 80", with blanks or commas between. */
static const char *read_list(const char *value, struct passo_rule *rule)
{
    static const char how[] = "steps are 4 bpm, 5 %, 10 points, 8 rungs, marks, quarter of the "
                              "rest, or a list of tempi: 60 66 72 80";
    const char *at = value;
    const char *fault = NULL;
    size_t count = 0;
    while (!scan_end(&at)) {
        int64_t mbpm = 0;
        bool whole = false;
        if (!scan_number(&at, &mbpm, &whole))
            return how;
        if (count == PASSO_RUNGS_MAX)
            return "a list has at most 1024 tempi";
        if (!reading_fits(mbpm, PASSO_TEMPO_MIN_MBPM, PASSO_TEMPO_MAX_MBPM))
            fault = "every tempo of a list is 5 to 1000 beats a minute";
        else if (count && mbpm <= rule->list_mbpm[count - 1])
            fault = "a list of tempi goes up, as 60 66 72 80";
        rule->list_mbpm[count++] = (int32_t)(fault ? 0 : mbpm);
        (void)scan_char(&at, ',');
    }
    /* One number alone is more likely a step that lacks its word. */
    if (fault || count < 2)
        return count < 2 ? how : fault;
    rule->steps = PASSO_STEPS_LIST;
    rule->list_count = (uint16_t)count;
    return NULL;
}

static const char *set_share_steps(struct passo_rule *rule, enum passo_steps steps, int64_t share)
{
    if (!reading_fits(share, 1, 1000))
        return "this share is more than nothing and at most 100";
    rule->steps = steps;
    rule->step_permille = (int32_t)share;
    return NULL;
}

/* A third is 334 thousandths: a whole remainder under 500 bpm then gives what its exact third
 * rounded down gives, which 333 does not (60 would rise by 19). */
static const char *read_share_steps(const char *value, struct passo_rule *rule)
{
    int64_t share = 0;
    if (scan_match(value, "half of the rest", NULL))
        return set_share_steps(rule, PASSO_STEPS_REST, 500);
    if (scan_match(value, "third of the rest", NULL))
        return set_share_steps(rule, PASSO_STEPS_REST, 334);
    if (scan_match(value, "quarter of the rest", NULL))
        return set_share_steps(rule, PASSO_STEPS_REST, 250);
    if (scan_match(value, "% of the rest", &share))
        return set_share_steps(rule, PASSO_STEPS_REST, share);
    if (scan_match(value, "%", &share))
        return set_share_steps(rule, PASSO_STEPS_PERCENT, share);
    if (scan_match(value, "~ points|point", &share) && share % 100 == 0)
        return set_share_steps(rule, PASSO_STEPS_POINTS, share / 100);
    return read_list(value, rule);
}

const char *read_steps(const char *value, struct draft *draft)
{
    struct passo_rule *rule = draft->rule;
    int64_t number = 0;
    if (scan_match(value, "~ bpm", &number)) {
        if (!reading_fits(number, 1, PASSO_TEMPO_MAX_MBPM))
            return "a step is more than 0 and at most 1000 bpm: 4 bpm";
        rule->steps = PASSO_STEPS_BPM;
        rule->step_mbpm = (int32_t)number;
    } else if (scan_match(value, "# rungs|rung", &number)) {
        if (!reading_fits(number, 2, PASSO_RUNGS_MAX))
            return "a ladder has 2 to 1024 rungs: 8 rungs";
        rule->steps = PASSO_STEPS_RUNGS;
        rule->step_rungs = (int32_t)number;
    } else if (scan_match(value, "marks", NULL)) {
        rule->steps = PASSO_STEPS_MARKS;
    } else {
        return read_share_steps(value, rule);
    }
    return NULL;
}

const char *read_raise(const char *value, struct draft *draft)
{
    struct passo_rule *rule = draft->rule;
    int64_t number[2] = {0, 0};
    bool coins = scan_match(value, "# coins|coin", number);
    bool window = scan_match(value, "# clean of #", number);
    if (!coins && !window && !scan_match(value, "# clean in a row", number) &&
        !scan_match(value, "# clean", number))
        return "a rung is won by 2 clean in a row, 3 clean of 4, 1 clean or 5 coins";
    if (coins && !reading_fits(number[0], 1, 255))
        return "1 to 255 coins lie on the stand: 5 coins";
    if (!reading_fits(number[0], 1, window ? 32 : 255))
        return "a rung takes 1 to 255 clean passes, or 1 to 32 of a window: 2 clean in a row";
    if (window && !reading_fits(number[1], number[0], 32))
        return "a window holds the clean passes that it asks for, and at most 32: 3 clean of 4";
    rule->raise_clean = (uint8_t)number[0];
    rule->raise_of = window ? (uint8_t)number[1] : 0;
    rule->raise_coins = coins;
    return NULL;
}

/* "after 2 misses", "after 2 misses here" ..., behind how far down it goes. */
static bool read_drop_after(const char *text, struct passo_rule *rule, int64_t *out_misses)
{
    static const struct {
        const char *words;
        enum passo_drop_counts counts;
    } after[] = {
        {"after # miss|misses", PASSO_DROP_COUNTS_IN_A_ROW},
        {"after # miss|misses in a row", PASSO_DROP_COUNTS_IN_A_ROW},
        {"after # miss|misses here", PASSO_DROP_COUNTS_HERE},
        {"after # miss|misses in a row here", PASSO_DROP_COUNTS_IN_A_ROW_HERE},
    };
    for (size_t i = 0; i < sizeof after / sizeof *after; i++)
        if (scan_match(text, after[i].words, out_misses)) {
            rule->drop_counts = after[i].counts;
            return true;
        }
    return false;
}

const char *read_drop(const char *value, struct draft *draft)
{
    static const char how[] =
        "a drop is written 1 rung after 2 misses, 1 rung after 2 misses here, 1 rung after 2 "
        "misses in a row here, to start after 3 misses, or hold";
    struct passo_rule *rule = draft->rule;
    int64_t rungs = 1;
    int64_t misses = 0;
    char down[32];
    if (scan_match(value, "hold", NULL)) {
        rule->drop = PASSO_DROP_HOLD;
        return NULL;
    }
    const char *after = strcasestr(value, "after");
    size_t length = after ? (size_t)(after - value) : 0;
    if (!after || length >= sizeof down || !read_drop_after(after, rule, &misses))
        return how;
    memcpy(down, value, length);
    down[length] = '\0';
    bool to_start = scan_match(down, "to start", NULL);
    if (!to_start && !scan_match(down, "# rung|rungs", &rungs))
        return how;
    if (!reading_fits(rungs, 1, PASSO_RUNGS_MAX) || !reading_fits(misses, 1, 255))
        return "a drop is at least 1 rung, after 1 to 255 misses: 1 rung after 2 misses";
    rule->drop = to_start ? PASSO_DROP_TO_START : PASSO_DROP_RUNGS;
    rule->drop_rungs = (uint16_t)rungs;
    rule->drop_misses = (uint8_t)misses;
    return NULL;
}

const char *read_miss(const char *value, struct draft *draft)
{
    struct passo_rule *rule = draft->rule;
    if (scan_match(value, "again", NULL))
        rule->miss = PASSO_MISS_AGAIN;
    else if (scan_match(value, "first turn", NULL))
        rule->miss = PASSO_MISS_FIRST_TURN;
    else
        return "after a miss comes the same turn again, or the first turn";
    return NULL;
}

const char *read_lift(const char *value, struct draft *draft)
{
    static const char how[] = "moves of successive wins are written 1 or 2 -1: up to eight numbers "
                              "of rungs, none of them 0, which together go up";
    struct passo_rule *rule = draft->rule;
    const char *at = value;
    uint8_t lifts = 0;
    int64_t sum = 0;
    while (!scan_end(&at)) {
        char part[16];
        int64_t move = 0;
        size_t length = strcspn(at, " \t,");
        if (lifts == PASSO_LIFT_MAX || length >= sizeof part)
            return how;
        memcpy(part, at, length);
        part[length] = '\0';
        if (!scan_match(part, "#", &move) || !reading_fits(move, -100, 100) || !move)
            return how;
        rule->lift[lifts++] = (int8_t)move;
        sum += move;
        at += length;
        (void)scan_char(&at, ',');
    }
    if (sum <= 0)
        return how;
    rule->lifts = lifts;
    return NULL;
}

const char *read_turn(const char *value, struct draft *draft)
{
    struct passo_rule *rule = draft->rule;
    if (scan_match(value, "every rung", NULL))
        rule->turn = PASSO_TURN_EVERY_RUNG;
    else if (scan_match(value, "every pass", NULL))
        rule->turn = PASSO_TURN_EVERY_PASS;
    else if (scan_match(value, "whole climb", NULL))
        rule->turn = PASSO_TURN_WHOLE_CLIMB;
    else
        return "the next loop or variant comes every rung, every pass, or after a whole climb";
    return NULL;
}
