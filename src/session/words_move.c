/* What a mark did, and why, in one or two sentences. Every move has its reason in words; a miss is
 * information and is never scolded. The sentences name where the ladder now stands: its tempo, or,
 * where lengths are climbed, how much is played; and the stage that follows, where one does. Ends
 * are told by words_end.c. Owns nothing. Thread: the main thread. */
#include "session/words_priv.h"

#include <stdio.h>
#include <string.h>
#include "text/notation.h"

static void rule_words(const struct passo_rule *rule, char *out, size_t bytes)
{
    if (rule->raise_coins)
        snprintf(out, bytes, "%d coins across", rule->raise_clean);
    else if (rule->raise_of)
        snprintf(out, bytes, "%d clean of %d", rule->raise_clean, rule->raise_of);
    else if (rule->raise_clean == 1)
        snprintf(out, bytes, "one clean pass");
    else
        snprintf(out, bytes, "%d clean in a row", rule->raise_clean);
}

/* The rung, also while an anchor pass at its own tempo comes between. */
static void here_words(struct telling *telling)
{
    const struct passo_course_state *state = telling->state;
    const struct passo_stage *stage = &telling->course->stage[state->stage];
    if (telling->length)
        passo_words_length(&telling->passage->loop[stage->length[state->now.rung]], telling->here,
                           sizeof telling->here);
    else
        passo_tempo_write(state->ladder.rung_mbpm[state->now.rung], telling->passage->beat,
                          telling->here, sizeof telling->here);
}

/* A clean pass that is not enough yet: how many more. */
static void clean_words(const struct telling *telling)
{
    const struct passo_rule *rule = telling->rule;
    int cleans = passo_cleans_now(&telling->state->ladder, &telling->state->now);
    int more = rule->raise_clean - cleans;
    if (rule->raise_coins && more <= 1)
        snprintf(telling->out, telling->bytes, "Clean: %d of %d coins across. One more wins %s.",
                 cleans, rule->raise_clean, telling->here);
    else if (rule->raise_coins)
        snprintf(telling->out, telling->bytes, "Clean: %d of %d coins across. %d more win %s.",
                 cleans, rule->raise_clean, more, telling->here);
    else if (more <= 1)
        snprintf(telling->out, telling->bytes, "Clean. One more clean pass wins %s.",
                 telling->here);
    else
        snprintf(telling->out, telling->bytes, "Clean. %d more%s win %s.", more,
                 rule->raise_of ? "" : " in a row", telling->here);
}

static void miss_words(const struct telling *telling)
{
    const struct passo_rule *rule = telling->rule;
    int cleans = passo_cleans_now(&telling->state->ladder, &telling->state->now);
    const char *at = telling->length ? "" : "at ";
    if (rule->raise_coins)
        snprintf(telling->out, telling->bytes, "A miss: %d of %d coins across. Again %s%s.", cleans,
                 rule->raise_clean, at, telling->here);
    else
        snprintf(telling->out, telling->bytes, "A miss. Again %s%s.", at, telling->here);
}

/* "2 misses in a row". */
static void drop_rule_words(const struct passo_rule *rule, char *out, size_t bytes)
{
    static const char *const counted[PASSO_DROP_COUNTS_COUNT] = {
        [PASSO_DROP_COUNTS_IN_A_ROW] = " in a row",
        [PASSO_DROP_COUNTS_HERE] = " here",
        [PASSO_DROP_COUNTS_IN_A_ROW_HERE] = " in a row here",
    };
    bool one = rule->drop_misses == 1;
    bool bare = one && rule->drop_counts == PASSO_DROP_COUNTS_IN_A_ROW;
    snprintf(out, bytes, "%d %s%s", rule->drop_misses, one ? "miss" : "misses",
             bare ? "" : counted[rule->drop_counts]);
}

static void drop_words(const struct telling *telling)
{
    char why[WORDS_RULE_BYTES];
    drop_rule_words(telling->rule, why, sizeof why);
    if (telling->decision->reason == PASSO_REASON_DROP_AT_BOTTOM)
        snprintf(telling->out, telling->bytes, "%s: it stays at %s, the %s.", why, telling->here,
                 telling->length ? "shortest" : "lowest rung");
    else
        snprintf(telling->out, telling->bytes, "%s %s: %s.",
                 telling->length ? "Shorter now," : "Down to", telling->here, why);
}

/* A win that by `lift` does not raise. */
static void lift_words(const struct telling *telling)
{
    if (telling->decision->reason == PASSO_REASON_LIFT_BACK)
        snprintf(telling->out, telling->bytes, "Won; back to %s, as the ladder goes up and back.",
                 telling->here);
    else
        snprintf(telling->out, telling->bytes, "Won; it stays at %s, the %s.", telling->here,
                 telling->length ? "shortest" : "lowest rung");
}

/* The next loop or variant on the same rung. */
static void turn_words(const struct telling *telling)
{
    const struct passo_rule *rule = telling->rule;
    const bool drawn = rule->climbs == PASSO_CLIMBS_MIXED || rule->climbs == PASSO_CLIMBS_EDGE;
    const char *at = telling->length ? "" : "at ";
    if (drawn)
        snprintf(telling->out, telling->bytes, "Clean. Now the next way, %s%s.", at, telling->here);
    else if (rule->turn == PASSO_TURN_EVERY_RUNG)
        snprintf(telling->out, telling->bytes, "Won this way: %s. Now the next way, %s%s.",
                 telling->wins, at, telling->here);
    else
        snprintf(telling->out, telling->bytes, "Now the next way, %s%s.", at, telling->here);
}

/* Tempi in drawn order. */
static void drawn_words(const struct telling *telling)
{
    const struct passo_course_state *state = telling->state;
    const bool clean = telling->decision->reason == PASSO_REASON_PUT_AWAY;
    const int left = state->ladder.highest + 1 - words_put_away(&state->now);
    const bool same = left == 1 && !clean;
    if (clean)
        snprintf(telling->out, telling->bytes, "Clean, and put away; %d %s left. Now %s.", left,
                 left == 1 ? "tempo is" : "tempi are", telling->here);
    else
        snprintf(telling->out, telling->bytes, "A miss: that tempo %s. Now %s.",
                 same ? "alone is left" : "comes again later", telling->here);
}

static void ceiling_words(const struct telling *telling)
{
    if (telling->rule->climbs == PASSO_CLIMBS_MIXED)
        snprintf(telling->out, telling->bytes,
                 "Every tempo up to the ceiling for today is won: round again, now %s.",
                 telling->here);
    else
        snprintf(telling->out, telling->bytes, "Won; %s is the ceiling for today: round again.",
                 telling->here);
}

/* A hand that held changed the turn; with one turn there was no rung further. */
static void hand_words(const struct telling *telling)
{
    enum passo_move move = telling->decision->move;
    if (telling->moved_on)
        snprintf(telling->out, telling->bytes, "Left by hand.");
    else if (move == PASSO_MOVE_HELD && telling->state->ladder.turns == 1)
        snprintf(telling->out, telling->bytes, "There is nothing further: it stays at %s.",
                 telling->here);
    else
        snprintf(telling->out, telling->bytes, "%s by hand: %s.",
                 move == PASSO_MOVE_EASIER   ? "Easier"
                 : move == PASSO_MOVE_HARDER ? "Harder"
                                             : "Changed",
                 telling->here);
}

/* Two minutes and four passes, as far as either is limited. */
static void more_words(const struct telling *telling)
{
    const struct passo_rule *rule = &telling->state->ladder.rule;
    const bool time = rule->stop_ms || rule->stage_ms;
    const bool passes = rule->stop_passes || rule->stage_passes;
    _Static_assert(PASSO_EXTEND_MS == 120000 && PASSO_EXTEND_PASSES == 4, "as the words say");
    snprintf(telling->out, telling->bytes, "%s more.",
             time && passes ? "Two minutes and four passes"
             : time         ? "Two minutes"
                            : "Four passes");
}

/* Moves of the rung or the turn. False: the reason is another. */
static bool tell_move(const struct telling *telling)
{
    char *out = telling->out;
    size_t bytes = telling->bytes;
    const char *here = telling->here;
    switch ((int)telling->decision->reason) {
    case PASSO_REASON_RUNG_WON:
        snprintf(out, bytes, "%s %s: %s.", telling->length ? "Longer now," : "Raised to", here,
                 telling->wins);
        return true;
    case PASSO_REASON_LIFT_BACK:
    case PASSO_REASON_LIFT_CLAMPED:
        lift_words(telling);
        return true;
    case PASSO_REASON_NEXT_TURN:
        turn_words(telling);
        return true;
    case PASSO_REASON_DROP:
    case PASSO_REASON_DROP_AT_BOTTOM:
        drop_words(telling);
        return true;
    case PASSO_REASON_CEILING:
        ceiling_words(telling);
        return true;
    case PASSO_REASON_PUT_AWAY:
    case PASSO_REASON_STAYS_IN:
        drawn_words(telling);
        return true;
    case PASSO_REASON_EDGE_UP:
        snprintf(out, bytes, "Clean: up to %s.", here);
        return true;
    case PASSO_REASON_EDGE_HALF:
        snprintf(out, bytes, "Half way between the clean and the missed: %s.", here);
        return true;
    case PASSO_REASON_BY_HAND:
        hand_words(telling);
        return true;
    case PASSO_REASON_EXTENDED:
        more_words(telling);
        return true;
    }
    return false;
}

/* What moved nothing. */
static void tell_rest(const struct telling *telling)
{
    char *out = telling->out;
    size_t bytes = telling->bytes;
    const char *at = telling->length ? "with " : "at ";
    switch ((int)telling->decision->reason) {
    case PASSO_REASON_CLEAN:
        clean_words(telling);
        return;
    case PASSO_REASON_MISS:
        miss_words(telling);
        return;
    case PASSO_REASON_FIRST_TURN:
        snprintf(out, bytes, "A miss. The round begins again %s%s.", at, telling->here);
        return;
    case PASSO_REASON_UNMARKED:
        snprintf(out, bytes, "Not marked: played, changes nothing.");
        return;
    case PASSO_REASON_VOID:
        snprintf(out, bytes, "Void: it does not count.");
        return;
    case PASSO_REASON_ELSEWHERE:
        snprintf(out, bytes, "Noted; the ladder had moved meanwhile and stands at %s.",
                 telling->here);
        return;
    }
    out[0] = '\0';
}

/* "... On to stage 3 of 4, seam." */
static void add_stage(const struct telling *telling)
{
    char stage[PASSO_NAME_MAX + 32];
    size_t used = strlen(telling->out);
    if (!telling->moved_on)
        return;
    passo_words_stage(telling->course, telling->state->stage, stage, sizeof stage);
    snprintf(telling->out + used, telling->bytes - used, "%sOn to %s.", used ? " " : "", stage);
}

const char *passo_words_move(const struct passo_course *course, const struct passo_passage *passage,
                             const struct passo_course_state *state, enum passo_part part,
                             const struct passo_decision *decision, char *out, size_t bytes)
{
    const struct passo_rule *here = &course->stage[state->stage].rule;
    struct telling telling = {.course = course,
                              .passage = passage,
                              .state = state,
                              .decision = decision,
                              .rule = &course->stage[decision->stage].rule,
                              .moved_on = decision->stage != state->stage,
                              .length = here->climbs == PASSO_CLIMBS_LENGTH,
                              .out = out,
                              .bytes = bytes};
    here_words(&telling);
    rule_words(telling.rule, telling.wins, sizeof telling.wins);
    if (!tell_move(&telling) && !words_tell_end(&telling) && !words_tell_around(&telling, part))
        tell_rest(&telling);
    add_stage(&telling);
    return out;
}
