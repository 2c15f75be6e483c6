/* The words of the day: what an item is, why it stands where it stands, why a passage gets its
 * minutes. Runs on the main thread. */
#include "command/today_parts.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include "command/dates.h"
#include "store/day.h"
#include "text/notation.h"

static const struct spot *passage_of(const struct today *today, const struct passo_today_item *item)
{
    return &today->spots.at[item->passage];
}

const char *today_item_line(const struct today *today, size_t at, char *out, size_t bytes)
{
    const struct passo_today_item *item = &today->plan.item[at];
    char key[PASSO_NAME_MAX];
    if (item->kind == PASSO_ITEM_VISIT) {
        const struct spot *passage = passage_of(today, item);
        snprintf(out, bytes, "%s, %s %s", passage->title,
                 strchr(passage->bars, '-') ? "bars" : "bar", passage->bars);
        return out;
    }
    const char *name = today->file.routine.block[item->block].name;
    if (item->keyed)
        snprintf(out, bytes, "%s · %s", name, passo_key_write(item->key, key, sizeof key));
    else
        snprintf(out, bytes, "%s", name);
    return out;
}

/* The block that was played last before an item; NULL: none. */
static const char *block_before(const struct today *today, size_t at)
{
    while (at-- > 0) {
        const struct passo_today_item *item = &today->plan.item[at];
        if (item->kind == PASSO_ITEM_BLOCK)
            return today->file.routine.block[item->block].name;
    }
    return NULL;
}

/* Whether any key of today's blocks would have done for the passage. */
static bool key_comes_up(const struct today *today, const struct spot *spot)
{
    const enum passo_key_match enough =
        today->file.routine.relative ? PASSO_KEY_RELATIVE : PASSO_KEY_ENHARMONIC;
    for (size_t i = 0; i < today->plan.items; i++) {
        const struct passo_today_item *item = &today->plan.item[i];
        if (item->kind != PASSO_ITEM_BLOCK || !item->keyed)
            continue;
        for (size_t k = 0; k < spot->keys; k++)
            if (passo_key_match(spot->key[k], item->key) <= enough)
                return true;
    }
    return false;
}

/* Of a visit that nothing calls to its place. */
static void suits_words(const struct today *today, const struct passo_today_item *item,
                        const char *block, char *out, size_t bytes)
{
    const struct spot *spot = passage_of(today, item);
    const char *why = spot->keys == 0             ? "it names no key"
                      : key_comes_up(today, spot) ? "its key is another's today"
                                                  : "its key does not come up today";
    snprintf(out, bytes,
             item->drawn ? "%s: a place was drawn, after %s"
                         : "%s: after %s, with which it has a word in common",
             why, block ? block : "the last block");
}

const char *today_item_why(const struct today *today, size_t at, char *out, size_t bytes)
{
    const struct passo_today_item *item = &today->plan.item[at];
    char after[PASSO_NAME_MAX];
    char own[PASSO_NAME_MAX];
    const char *block = block_before(today, at);
    snprintf(out, bytes, "%s", "");
    if (item->kind == PASSO_ITEM_BLOCK) {
        const char *caption = today->file.block[item->block].caption;
        if (item->number <= 1)
            snprintf(out, bytes, "%s", caption);
        return out;
    }
    passo_key_write(item->after, after, sizeof after);
    passo_key_write(item->key, own, sizeof own);
    switch (item->why) {
    case PASSO_PLACE_KEY:
        snprintf(out, bytes, "after %s, its own key", after);
        break;
    case PASSO_PLACE_ENHARMONIC:
        snprintf(out, bytes, "after %s: it is in %s, the same to the ear", after, own);
        break;
    case PASSO_PLACE_RELATIVE:
        snprintf(out, bytes, "after %s: it is in %s, the relative key", after, own);
        break;
    case PASSO_PLACE_TAG:
        snprintf(out, bytes, "after %s: both are marked %s", block ? block : "the block",
                 item->tag);
        break;
    case PASSO_PLACE_SUITS:
        suits_words(today, item, block, out, bytes);
        break;
    case PASSO_PLACE_SPREAD:
        snprintf(out, bytes, "one of its %d visits, away from the others", item->of);
        break;
    case PASSO_PLACE_FREE:
        snprintf(out, bytes, "in drawn order");
        break;
    case PASSO_PLACE_WHY_COUNT:
        PASSO_BUG_ON(item->why == PASSO_PLACE_WHY_COUNT);
    }
    return out;
}

static void block_prompt(const struct today *today, const struct passo_today_item *item, char *out,
                         size_t bytes)
{
    const struct passo_routine_block *block = &today->file.block[item->block];
    char key[PASSO_NAME_MAX + 8] = "";
    char name[PASSO_NAME_MAX];
    char time[32];
    passo_span_write(item->ms, time, sizeof time);
    if (item->keyed) {
        passo_key_write(item->key, name, sizeof name);
        snprintf(key, sizeof key, " in %s", name);
        snprintf(time, sizeof time, "key %d of %d", item->number, item->of);
    }
    /* What it is for is said once. */
    const char *caption = item->number <= 1 ? block->caption : "";
    snprintf(out, bytes, "%s%s, %s%s%s.", today->file.routine.block[item->block].name, key, time,
             caption[0] ? ": " : "", caption);
}

const char *today_item_prompt(const struct today *today, size_t at, char *out, size_t bytes)
{
    const struct passo_today_item *item = &today->plan.item[at];
    char line[PASSO_WORDS_BYTES];
    char time[32];
    if (item->kind == PASSO_ITEM_BLOCK)
        block_prompt(today, item, out, bytes);
    else
        snprintf(out, bytes, "A visit of about %s, nothing to lose: %s.",
                 passo_span_write(item->ms, time, sizeof time),
                 today_item_line(today, at, line, sizeof line));
    return out;
}

static int percent(double level)
{
    return (int)lround(100 * exp(level));
}

/* Whose numbers they are: the log's, or a guess; and what a minute is expected to add. */
static void stand_words(const struct spot *passage, bool plays, char *out, size_t bytes)
{
    const struct passo_practice *practice = &passage->practice;
    int used = practice->guessed
                   ? snprintf(out, bytes, "not known yet, taken as %d %%", percent(practice->level))
                   : snprintf(out, bytes, "secure at %d %%", percent(practice->level));
    if (plays && practice->rate_days >= 2)
        snprintf(out + used, bytes - (size_t)used, ", a minute adds %.1f %%", 100 * practice->rate);
}

/* How many passages get their minutes for this reason. */
static size_t so_many(const struct today *today, enum passo_part_why why)
{
    size_t count = 0;
    for (size_t i = 0; i < today->spots.count; i++)
        count += today->plan.part[i].why == why;
    return count;
}

static void level_words(const struct today *today, const struct passo_today_part *part,
                        const char *stands, char *out, size_t bytes)
{
    const size_t others = so_many(today, PASSO_GETS_LEVEL) - 1;
    snprintf(out, bytes, "%s; with this it should come to about %d %%%s", stands,
             percent(part->after), others ? ", like the others" : "");
}

static void least_words(const struct today *today, const char *stands, char *out, size_t bytes)
{
    const bool higher = so_many(today, PASSO_GETS_LEVEL) + so_many(today, PASSO_GETS_MOST) > 0;
    snprintf(out, bytes,
             higher ? "%s, higher than the others will be: the least"
                    : "%s; the minutes reach for no more than the least",
             stands);
}

static void time_words(const struct today *today, const char *stands, char *out, size_t bytes)
{
    const bool others = today->plan.visits_ms > 0;
    snprintf(out, bytes,
             others ? "%s; the minutes do not reach, its turn comes tomorrow"
                    : "%s; the minutes do not reach for a visit",
             stands);
}

const char *today_part_why(const struct today *today, size_t at, char *out, size_t bytes)
{
    const struct spot *passage = &today->spots.at[at];
    const struct passo_today_part *part = &today->plan.part[at];
    char stands[96];
    char day[40];
    stand_words(passage, part->ms > 0, stands, sizeof stands);
    switch (part->why) {
    case PASSO_GETS_LEVEL:
        level_words(today, part, stands, out, bytes);
        break;
    case PASSO_GETS_LEAST:
        least_words(today, stands, out, bytes);
        break;
    case PASSO_GETS_MOST:
        snprintf(out, bytes, "%s; it could do with more, but this is the most for one day", stands);
        break;
    case PASSO_GETS_NOT_DUE:
        snprintf(out, bytes, "%s and holds: it rests until %s", stands,
                 passo_date_words(
                     passo_day_of(passo_day_count(today->day) + passage->practice.held_back),
                     today->day, day, sizeof day));
        break;
    case PASSO_GETS_TURN:
        snprintf(out, bytes, "%s; its key is %s's today, its turn comes another day", stands,
                 today->spots.at[part->other].title);
        break;
    case PASSO_GETS_TIME:
        time_words(today, stands, out, bytes);
        break;
    case PASSO_GETS_COUNT:
        PASSO_BUG_ON(part->why == PASSO_GETS_COUNT);
    }
    return out;
}
