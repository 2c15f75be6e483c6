/* What the files of the words share: words.c, words_move.c, words_end.c, words_result.c. */
#ifndef PASSO_SESSION_WORDS_PRIV_H
#define PASSO_SESSION_WORDS_PRIV_H

#include "session/words.h"

enum { WORDS_HERE_BYTES = PASSO_NAME_MAX + 40, WORDS_RULE_BYTES = 48 };

/* What the sentence about a mark is made of. */
struct telling {
    const struct passo_course *course;
    const struct passo_passage *passage;
    const struct passo_course_state *state; /* after the mark */
    const struct passo_decision *decision;
    const struct passo_rule *rule; /* of the stage that the mark was worked in */
    bool moved_on;                 /* another stage has begun with it */
    bool length;                   /* lengths are climbed where the ladder now stands */
    char here[WORDS_HERE_BYTES];   /* there: "quarter = 92", "the last 3 beats" */
    char wins[WORDS_RULE_BYTES];   /* "2 clean in a row" */
    char *out;
    size_t bytes;
};

/* "one click a bar"; of an enum passo_thin. */
const char *words_clicks(uint8_t thin);
/* Tempi in drawn order: how many are put away. */
int words_put_away(const struct passo_ladder_state *state);
/* Ends of a turn's climb, of a stage or of the climb. False: the reason is another. */
bool words_tell_end(const struct telling *telling);
/* Passes around the climbing. False: the reason is another. */
bool words_tell_around(const struct telling *telling, enum passo_part part);

#endif
