/* The words of the day: what an item is, why it stands where it stands, why a passage gets its
 * minutes. Runs on the main thread. */
#include "command/today_parts.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include "command/dates.h"
#include "store/day.h"
#include "text/notation.h"

const char *today_time_words(int64_t ms, char *out, size_t bytes)
{
    const int64_t seconds = (ms + 500) / 1000;
    const int minutes = (int)(seconds / 60);
    const int rest = (int)(seconds % 60);
    if (minutes && rest)
        snprintf(out, bytes, "%d min %d s", minutes, rest);
    else if (minutes)
        snprintf(out, bytes, "%d min", minutes);
    else
        snprintf(out, bytes, "%d s", rest);
    return out;
}

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
        snprintf(out, bytes, "its key does not come up today: after %s, which suits best",
                 block ? block : "the last block");
        break;
    case PASSO_PLACE_SPREAD:
        snprintf(out, bytes, "once more, away from its other visits");
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
    today_time_words(item->ms, time, sizeof time);
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
        snprintf(out, bytes, "A visit, %s at most, nothing to lose: %s.",
                 today_time_words(item->ms, time, sizeof time),
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

const char *today_part_why(const struct today *today, size_t at, char *out, size_t bytes)
{
    const struct spot *passage = &today->spots.at[at];
    const struct passo_today_part *part = &today->plan.part[at];
    char stands[96];
    char day[40];
    stand_words(passage, part->ms > 0, stands, sizeof stands);
    switch (part->why) {
    case PASSO_GETS_LEVEL:
        snprintf(out, bytes, "%s; with this it should come to about %d %%, like the others", stands,
                 percent(part->after));
        break;
    case PASSO_GETS_LEAST:
        snprintf(out, bytes, "%s, higher than the others will be: the least", stands);
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
        snprintf(out, bytes, "%s; its key is %s's today, and its own tomorrow", stands,
                 today->spots.at[part->other].title);
        break;
    case PASSO_GETS_TIME:
        snprintf(out, bytes, "%s; the minutes do not reach, others need them more", stands);
        break;
    case PASSO_GETS_COUNT:
        PASSO_BUG_ON(part->why == PASSO_GETS_COUNT);
    }
    return out;
}
