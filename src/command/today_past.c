/* What the log has of days: what was done of this one, in which order passages were visited on the
 * last, whose turn was another's, and how far each block's keys have come. Item names as they stand
 * in the log: "block/NAME/KEY" (KEY "-" of a block without keys), "visit/N/PASSAGE". Runs on the
 * main thread. */
#include "command/today_parts.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* The whole, its order, and where the routine's file lies. */
#define PLAN_WRITE "%" PRId64 " ms, order %d, from %s"
#define PLAN_READ  "%" SCNd64 " ms, order %d, from %n"

void today_plan_note(const struct today *today, char *out, size_t bytes)
{
    char path[PASSO_PATH_BYTES];
    snprintf(out, bytes, PLAN_WRITE, today->whole_ms, (int)today->file.routine.order,
             realpath(today->path, path) ? path : today->path);
}

/* A log may be damaged or changed by hand: a day has no more. */
#define WHOLE_MAX_MS (INT64_C(24) * 3600 * 1000)

static void add(char ***list, size_t *count, const char *text)
{
    *list = passo_xrealloc(*list, (*count + 1) * sizeof **list);
    (*list)[(*count)++] = spots_copy(text);
}

static void empty(char ***list, size_t *count)
{
    for (size_t i = 0; i < *count; i++)
        free((*list)[i]);
    free(*list);
    *list = NULL;
    *count = 0;
}

void today_past_free(struct today_past *past)
{
    empty(&past->done, &past->dones);
    empty(&past->skipped, &past->skips);
    empty(&past->last_order, &past->last_visits);
    empty(&past->owed, &past->oweds);
}

/* The passage of "visit/N/PASSAGE"; NULL: no visit. */
static const char *visited(const char *item)
{
    if (strncmp(item, "visit/", 6) != 0)
        return NULL;
    const char *slash = strchr(item + 6, '/');
    return slash ? slash + 1 : NULL;
}

/* A plan of today: what was done under an earlier one stays played, but is not ticked off. */
static void begin_day(struct today_past *past, const struct passo_log_day_row *row)
{
    int order = PASSO_ORDER_MIXED;
    int length = 0;
    empty(&past->done, &past->dones);
    empty(&past->skipped, &past->skips);
    past->begun = true;
    snprintf(past->routine, sizeof past->routine, "%s", row->routine);
    if (sscanf(row->item, PLAN_READ, &past->whole_ms, &order, &length) != 2 || length == 0 ||
        past->whole_ms < 0 || past->whole_ms > WHOLE_MAX_MS) {
        past->whole_ms = 0;
        length = (int)strlen(row->item);
    }
    snprintf(past->path, sizeof past->path, "%s", row->item + length);
    past->order = order == PASSO_ORDER_BLOCKED ? PASSO_ORDER_BLOCKED : PASSO_ORDER_MIXED;
}

static void take_today(struct today_past *past, const struct passo_log_day_row *row)
{
    switch (row->deed) {
    case PASSO_LOG_DAY_BEGAN:
        begin_day(past, row);
        break;
    case PASSO_LOG_ITEM_DONE:
        add(&past->done, &past->dones, row->item);
        break;
    case PASSO_LOG_ITEM_SKIPPED:
        add(&past->skipped, &past->skips, row->item);
        break;
    case PASSO_LOG_ITEM_BEGAN:
    case PASSO_LOG_ITEM_PUT_OFF:
    case PASSO_LOG_ITEM_STOPPED:
    case PASSO_LOG_ITEM_OWED:
    case PASSO_LOG_DEED_COUNT:
        break;
    }
    /* A log may be damaged or changed by hand. */
    if (row->played_ns >= 0 && row->rested_ns >= 0)
        passo_balance_add(&past->balance, row->played_ns / 1000000, row->rested_ns / 1000000,
                          PASSO_STRAIN_USUAL);
}

static void take_earlier(struct today_past *past, const struct passo_log_day_row *row)
{
    const char *passage = visited(row->item);
    if (row->day != past->last_day) {
        empty(&past->last_order, &past->last_visits);
        empty(&past->owed, &past->oweds);
        past->last_day = row->day;
    }
    if (!passage)
        return;
    if (row->deed == PASSO_LOG_ITEM_BEGAN)
        add(&past->last_order, &past->last_visits, passage);
    else if (row->deed == PASSO_LOG_ITEM_OWED)
        add(&past->owed, &past->oweds, passage);
}

static void take_row(void *user, const struct passo_log_day_row *row)
{
    struct today *today = user;
    if (row->day == today->day)
        take_today(&today->past, row);
    else if (row->day < today->day)
        take_earlier(&today->past, row);
}

static bool read_rows(struct today *today, struct passo_log *log,
                      void (*take)(void *user, const struct passo_log_day_row *row))
{
    char fault[PASSO_PATH_BYTES + 256];
    if (!log || passo_log_today_rows(log, today->staging.player, 0, today->day, take, today, fault,
                                     sizeof fault) == PASSO_OK)
        return true;
    passo_tell(fault);
    return false;
}

bool today_past_read(struct today *today, struct passo_log *log)
{
    today->past = (struct today_past){0};
    return read_rows(today, log, take_row);
}

/* The place in the block's cycle of the key that an item names; -1: it is none of it. */
static int64_t place_of(const struct passo_block *block, const char *item)
{
    char name[PASSO_NAME_MAX];
    struct passo_key key;
    const size_t length = strlen(block->name);
    if (strncmp(item, "block/", 6) || strncmp(item + 6, block->name, length) ||
        item[6 + length] != '/' || passo_key_read(item + 7 + length, &key) != PASSO_OK)
        return -1;
    passo_key_write(key, name, sizeof name);
    for (size_t place = 0; place < passo_cycle_length(&block->cycle); place++) {
        struct passo_key other = passo_cycle_key(&block->cycle, place);
        if (other.tonic == key.tonic && other.mode == key.mode)
            return (int64_t)place;
    }
    return -1;
}

/* Where each block's keys went on the last day that it had any. */
static void take_key(void *user, const struct passo_log_day_row *row)
{
    struct today *today = user;
    const struct passo_routine *routine = &today->file.routine;
    const bool played = row->deed == PASSO_LOG_ITEM_DONE;
    if (row->day >= today->day || strcmp(row->routine, today->file.name) != 0 ||
        (!played && row->deed != PASSO_LOG_ITEM_BEGAN))
        return;
    for (size_t i = 0; i < routine->blocks; i++) {
        const int64_t place = place_of(&routine->block[i], row->item);
        if (place < 0)
            continue;
        if (played)
            today->past.carried[i] = place + 1;
        else if (row->day != today->past.last_key_day[i])
            today->past.last_start[i] = (int32_t)place;
        today->past.last_key_day[i] = row->day;
    }
}

bool today_keys_read(struct today *today, struct passo_log *log)
{
    for (size_t i = 0; i < PASSO_BLOCKS_MAX; i++) {
        today->past.carried[i] = -1;
        today->past.last_start[i] = -1;
    }
    return read_rows(today, log, take_key);
}
