/* What a day's snapshot says where a climb's would say something else. Owns no state. Thread: any.
 */
#include "view/day_words.h"

#include <stdio.h>
#include "view/keys.h"

#define DOT " \u00b7 "

/* "12 of 45 min": what is begun of a minute is not yet done, and counts in the whole. */
const char *day_minutes(const struct passo_day_show *day, char *out, size_t bytes)
{
    snprintf(out, bytes, "%lld of %lld min", (long long)day->done_ms / 60000,
             ((long long)day->whole_ms + 59999) / 60000);
    return out;
}

static const struct passo_day_line *line_now(const struct passo_day_show *day)
{
    return day->now < day->lines ? &day->line[day->now] : NULL;
}

const char *day_place(const struct passo_day_show *day, bool brief, char *out, size_t bytes)
{
    const struct passo_day_line *line = line_now(day);
    char minutes[48];
    size_t number = 0;
    size_t of = 0;
    out[0] = '\0';
    if (line == NULL)
        return out;
    for (size_t i = 0; i < day->lines; i++) {
        bool counts = !line->visit || day->line[i].visit;
        of += counts;
        number += counts && i <= day->now;
    }
    if (brief)
        snprintf(out, bytes, "%s%zu/%zu", line->visit ? "visit " : "", number, of);
    else
        snprintf(out, bytes, "%s%zu of %zu" DOT "%s", line->visit ? "visit " : "", number, of,
                 day_minutes(day, minutes, sizeof minutes));
    return out;
}

bool day_lists(const struct passo_snapshot *now)
{
    enum key_place place = keys_place(now);
    return place == KEYS_LISTING || place == KEYS_BLOCK || place == KEYS_BETWEEN ||
           place == KEYS_END;
}

const char *day_what(const struct passo_snapshot *now)
{
    enum key_place place = keys_place(now);
    if (place != KEYS_BLOCK && place != KEYS_BETWEEN)
        return now->what;
    const struct passo_day_line *line = line_now(now->day);
    return line == NULL ? now->what : line->what;
}

/* The next line in this state, going round; NULL: there is none. */
static const struct passo_day_line *next_line(const struct passo_day_show *day,
                                              enum passo_day_state state)
{
    for (size_t i = 1; i < day->lines; i++) {
        const struct passo_day_line *line = &day->line[(day->now + i) % day->lines];
        if (line->state == state)
            return line;
    }
    return NULL;
}

const char *day_in_a_row(const struct passo_day_show *day, char *out, size_t bytes)
{
    char place[64];
    char minutes[48];
    const struct passo_day_line *next = next_line(day, PASSO_DAY_TO_COME);
    if (next == NULL)
        next = next_line(day, PASSO_DAY_PUT_OFF);
    day_place(day, true, place, sizeof place);
    snprintf(out, bytes, "%s%s%s%s%s", place, place[0] == '\0' ? "" : DOT,
             day_minutes(day, minutes, sizeof minutes), next == NULL ? "" : DOT "then ",
             next == NULL ? "" : next->what);
    return out;
}
