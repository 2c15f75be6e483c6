/* What a mark did, and why, in one sentence. Every move has its reason in words; a miss is
 * information and is never scolded. The sentences name where the ladder now stands: its tempo, or,
 * where lengths are climbed, how much is played. */
#include "session/words.h"

#include <stdio.h>
#include <string.h>
#include "text/notation.h"

enum { HERE_BYTES = PASSO_NAME_MAX + 40, RULE_BYTES = 48 };

/* What a sentence is made of. */
struct telling {
    const struct passo_course *course;
    const struct passo_passage *passage;
    const struct passo_course_state *state;
    const struct passo_decision *decision;
    const struct passo_rule *rule; /* of the stage that the mark was worked in */
    char here[HERE_BYTES];         /* "quarter = 92", "last 3 beats" */
    char wins[RULE_BYTES];         /* "2 clean in a row" */
    char *out;
    size_t bytes;
};

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
    if (stage->rule.climbs == PASSO_CLIMBS_LENGTH)
        snprintf(telling->here, sizeof telling->here, "%s",
                 telling->passage->loop[stage->length[state->now.rung]].name);
    else
        passo_tempo_write(state->ladder.rung_mbpm[state->now.rung], telling->passage->beat,
                          telling->here, sizeof telling->here);
}

static bool is_length(const struct telling *telling)
{
    return telling->course->stage[telling->state->stage].rule.climbs == PASSO_CLIMBS_LENGTH;
}

/* A clean pass that is not enough yet: how many more. */
static void clean_words(const struct telling *telling)
{
    const struct passo_rule *rule = telling->rule;
    int more = rule->raise_clean - passo_cleans_now(&telling->state->ladder, &telling->state->now);
    if (more <= 1)
        snprintf(telling->out, telling->bytes, "Clean. One more clean pass wins %s.",
                 telling->here);
    else
        snprintf(telling->out, telling->bytes, "Clean. %d more%s win %s.", more,
                 rule->raise_of || rule->raise_coins ? "" : " in a row", telling->here);
}

static void drop_words(const struct telling *telling)
{
    const struct passo_rule *rule = telling->rule;
    static const char *const counted[PASSO_DROP_COUNTS_COUNT] = {
        [PASSO_DROP_COUNTS_IN_A_ROW] = " in a row",
        [PASSO_DROP_COUNTS_HERE] = " here",
        [PASSO_DROP_COUNTS_IN_A_ROW_HERE] = " in a row here",
    };
    bool one = rule->drop_misses == 1;
    snprintf(telling->out, telling->bytes, "%s %s: %d %s%s.",
             is_length(telling) ? "Shorter now," : "Down to", telling->here, rule->drop_misses,
             one ? "miss" : "misses",
             one && rule->drop_counts == PASSO_DROP_COUNTS_IN_A_ROW ? ""
                                                                    : counted[rule->drop_counts]);
}

static void next_stage_words(const struct telling *telling)
{
    const struct passo_stage *was = &telling->course->stage[telling->decision->stage];
    const struct passo_stage *now = &telling->course->stage[telling->state->stage];
    snprintf(telling->out, telling->bytes, "Won: %s. Next: %s, from %s.", was->name, now->name,
             telling->here);
}

static void hand_words(const struct telling *telling)
{
    enum passo_move move = telling->decision->move;
    snprintf(telling->out, telling->bytes, "%s by hand: %s.",
             move == PASSO_MOVE_EASIER   ? "Easier"
             : move == PASSO_MOVE_HARDER ? "Harder"
                                         : "Changed",
             telling->here);
}

static void uncounted_words(const struct telling *telling, enum passo_part part)
{
    static const char *const words[PASSO_PART_COUNT] = {
        [PASSO_PART_COLD] = "The first try is noted. Now the work.",
        [PASSO_PART_ANCHOR] = "The slow one is played.",
        [PASSO_PART_OVER] = "Played past the target; it spoils nothing.",
        [PASSO_PART_CLOSE] = "Played at the target.",
        [PASSO_PART_CONTEXT] = "Played in context.",
        [PASSO_PART_EASY] = "That is enough for today.",
    };
    bool below = part == PASSO_PART_CLOSE && telling->state->now.outcome == PASSO_OUTCOME_PLATEAU;
    snprintf(telling->out, telling->bytes, "%s",
             below         ? "Played at the best tempo won."
             : words[part] ? words[part]
                           : "");
}

/* Moves of the rung or the turn. False: the reason is another. */
static bool tell_move(const struct telling *telling)
{
    char *out = telling->out;
    size_t bytes = telling->bytes;
    const char *here = telling->here;
    bool length = is_length(telling);
    switch ((int)telling->decision->reason) {
    case PASSO_REASON_RUNG_WON:
        snprintf(out, bytes, "%s %s: %s.", length ? "Longer now," : "Raised to", here,
                 telling->wins);
        return true;
    case PASSO_REASON_LIFT_BACK:
        snprintf(out, bytes, "Won; one back to %s, as the ladder goes up and back.", here);
        return true;
    case PASSO_REASON_LIFT_CLAMPED:
        snprintf(out, bytes, "Won; stays at %s, the lowest rung.", here);
        return true;
    case PASSO_REASON_NEXT_TURN:
        snprintf(out, bytes, "Now the next one, %s%s.", length ? "" : "at ", here);
        return true;
    case PASSO_REASON_CLEAN:
        clean_words(telling);
        return true;
    case PASSO_REASON_MISS:
        snprintf(out, bytes, "A miss. Again %s%s.", length ? "the " : "at ", here);
        return true;
    case PASSO_REASON_FIRST_TURN:
        snprintf(out, bytes, "A miss. The round begins again %s%s.", length ? "with the " : "at ",
                 here);
        return true;
    case PASSO_REASON_DROP:
        drop_words(telling);
        return true;
    case PASSO_REASON_DROP_AT_BOTTOM:
        snprintf(out, bytes, "Stays at %s, the lowest rung.", here);
        return true;
    case PASSO_REASON_CEILING:
        snprintf(out, bytes, "Won; %s is the ceiling for today: round again.", here);
        return true;
    case PASSO_REASON_PUT_AWAY:
        snprintf(out, bytes, "Clean: that tempo is put away. Now %s.", here);
        return true;
    case PASSO_REASON_STAYS_IN:
        snprintf(out, bytes, "A miss: that tempo comes again. Now %s.", here);
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
    }
    return false;
}

/* Ends of a turn's climb, a stage or the climb. False: the reason is another. */
static bool tell_end(const struct telling *telling)
{
    const struct passo_rule *rule = telling->rule;
    char *out = telling->out;
    size_t bytes = telling->bytes;
    switch ((int)telling->decision->reason) {
    case PASSO_REASON_TARGET_WON:
        if (rule->climbs == PASSO_CLIMBS_MIXED)
            snprintf(out, bytes, "Every tempo is won.");
        else
            snprintf(out, bytes, "The target is won: %s.",
                     rule->climbs == PASSO_CLIMBS_EDGE ? "clean" : telling->wins);
        return true;
    case PASSO_REASON_NEXT_CLIMB:
        snprintf(out, bytes, "This way is won. The next way begins at %s.", telling->here);
        return true;
    case PASSO_REASON_NEXT_STAGE:
        next_stage_words(telling);
        return true;
    case PASSO_REASON_EDGE_FOUND:
        snprintf(out, bytes, "The edge is found.");
        return true;
    case PASSO_REASON_PLATEAU:
        snprintf(out, bytes, "%d drops from one rung: that is the ceiling for today.",
                 rule->plateau_drops);
        return true;
    case PASSO_REASON_TIRED:
        snprintf(out, bytes, "%d misses in the last %d: a long rest, one easy pass, then enough.",
                 rule->tired_misses, rule->tired_of);
        return true;
    case PASSO_REASON_TIME:
        snprintf(out, bytes, "The time is up.");
        return true;
    case PASSO_REASON_PASSES:
        snprintf(out, bytes, "Those were the %d passes.",
                 rule->stop_passes ? rule->stop_passes : rule->stage_passes);
        return true;
    case PASSO_REASON_MISSES:
        snprintf(out, bytes, "%d misses in a row: enough for now.",
                 rule->stop_misses ? rule->stop_misses : rule->stage_misses);
        return true;
    case PASSO_REASON_QUIT:
        snprintf(out, bytes, "Finished by the player.");
        return true;
    }
    return false;
}

/* What moved nothing. */
static void tell_rest(const struct telling *telling, enum passo_part part)
{
    char *out = telling->out;
    size_t bytes = telling->bytes;
    switch ((int)telling->decision->reason) {
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
    case PASSO_REASON_UNCOUNTED:
        uncounted_words(telling, part);
        return;
    case PASSO_REASON_THINNER:
        snprintf(out, bytes, "Clean: fewer clicks now.");
        return;
    case PASSO_REASON_FULLER:
        snprintf(out, bytes, "A miss: more clicks again.");
        return;
    }
    out[0] = '\0';
}

const char *passo_words_move(const struct passo_course *course, const struct passo_passage *passage,
                             const struct passo_course_state *state, enum passo_part part,
                             const struct passo_decision *decision, char *out, size_t bytes)
{
    struct telling telling = {.course = course,
                              .passage = passage,
                              .state = state,
                              .decision = decision,
                              .rule = &course->stage[decision->stage].rule,
                              .out = out,
                              .bytes = bytes};
    here_words(&telling);
    rule_words(telling.rule, telling.wins, sizeof telling.wins);
    if (!tell_move(&telling) && !tell_end(&telling))
        tell_rest(&telling, part);
    return out;
}
