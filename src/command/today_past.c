/* What the log has of days: what was done of this one, in which order passages were visited on the
 * last, whose turn was another's, and how far each block's keys have come. Runs on the main thread.
 */
#include "command/today_parts.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static void add(struct today_names *names, const char *name)
{
    names->name = passo_xrealloc(names->name, (names->count + 1) * sizeof *names->name);
    names->name[names->count++] = spots_copy(name);
}

static void empty(struct today_names *names)
{
    for (size_t i = 0; i < names->count; i++)
        free(names->name[i]);
    free(names->name);
    *names = (struct today_names){0};
}

static void take_away(struct today_names *names, const char *name)
{
    size_t kept = 0;
    for (size_t i = 0; i < names->count; i++) {
        if (strcmp(names->name[i], name) == 0)
            free(names->name[i]);
        else
            names->name[kept++] = names->name[i];
    }
    names->count = kept;
}

bool today_has(const struct today_names *names, const char *name)
{
    for (size_t i = 0; i < names->count; i++)
        if (strcmp(names->name[i], name) == 0)
            return true;
    return false;
}

static void empty_deeds(struct today_past *past)
{
    for (size_t i = 0; i < past->deeds; i++)
        free(past->deed[i].item);
    free(past->deed);
    past->deed = NULL;
    past->deeds = 0;
}

void today_past_free(struct today_past *past)
{
    empty_deeds(past);
    empty(&past->last_visits);
    empty(&past->owed);
    free(past->path);
    free(past->only);
    past->path = NULL;
    past->only = NULL;
}

const char *today_visited(const char *item)
{
    if (strncmp(item, "visit/", 6) != 0)
        return NULL;
    const char *slash = strchr(item + 6, '/');
    return slash ? slash + 1 : NULL;
}

/* A new plan of today: what was done under an earlier one stays played, but ticks nothing off. */
static void take_today(struct today_past *past, const struct passo_log_day_row *row)
{
    if (row->deed == PASSO_LOG_DAY_BEGAN) {
        empty_deeds(past);
        past->begun = true;
        snprintf(past->routine, sizeof past->routine, "%s", row->routine);
        today_note_read(past, row->item);
        return;
    }
    past->deed = passo_xrealloc(past->deed, (past->deeds + 1) * sizeof *past->deed);
    past->deed[past->deeds++] = (struct today_deed){.item = spots_copy(row->item),
                                                    .deed = row->deed,
                                                    .time_ns = row->time_ns,
                                                    .played_ms = row->played_ns / 1000000,
                                                    .rested_ms = row->rested_ns / 1000000};
}

/* The order is that of the last plan of the last day on which anything was visited; a visit that
 * was stopped and gone on with stands in it once. */
static void take_earlier(struct today_past *past, const struct passo_log_day_row *row)
{
    const char *passage = today_visited(row->item);
    if (row->deed == PASSO_LOG_DAY_BEGAN && row->day == past->last_day)
        empty(&past->last_visits);
    if (!passage)
        return;
    if (row->deed == PASSO_LOG_ITEM_OWED && !today_has(&past->owed, passage))
        add(&past->owed, passage);
    if (row->deed == PASSO_LOG_ITEM_DONE)
        take_away(&past->owed, passage);
    if (row->deed != PASSO_LOG_ITEM_BEGAN)
        return;
    if (row->day != past->last_day)
        empty(&past->last_visits);
    past->last_day = row->day;
    if (!today_has(&past->last_visits, row->item))
        add(&past->last_visits, row->item);
}

static void take_row(void *user, const struct passo_log_day_row *row)
{
    struct today *today = user;
    if (row->day == today->day)
        take_today(&today->past, row);
    else if (row->day < today->day)
        take_earlier(&today->past, row);
}

static enum passo_error read_rows(struct today *today, struct passo_log *log,
                                  void (*take)(void *user, const struct passo_log_day_row *row))
{
    char fault[PASSO_PATH_BYTES + 256];
    enum passo_error error = PASSO_OK;
    if (log)
        error = passo_log_today_rows(log, today->staging.player, 0, today->day, take, today, fault,
                                     sizeof fault);
    if (error != PASSO_OK)
        passo_tell(fault);
    return error;
}

enum passo_error today_past_read(struct today *today, struct passo_log *log)
{
    return read_rows(today, log, take_row);
}

/* The place in the block's cycle of the key that an item names; -1: it is none of it. */
static int64_t place_of(const struct passo_block *block, const char *item)
{
    struct passo_key key;
    const size_t length = strlen(block->name);
    if (strncmp(item, "block/", 6) != 0 || strncmp(item + 6, block->name, length) != 0 ||
        item[6 + length] != '/' || passo_key_read(item + 7 + length, &key) != PASSO_OK)
        return -1;
    for (size_t place = 0; place < passo_cycle_length(&block->cycle); place++) {
        const struct passo_key other = passo_cycle_key(&block->cycle, place);
        if (other.tonic == key.tonic && other.mode == key.mode)
            return (int64_t)place;
    }
    return -1;
}

/* Where each block's keys went on the last day that it had any. */
static void take_key(void *user, const struct passo_log_day_row *row)
{
    struct today *today = user;
    struct today_past *past = &today->past;
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
            past->carried[i] = place + 1;
        else if (row->day != past->last_key_day[i])
            past->last_start[i] = (int32_t)place;
        past->last_key_day[i] = row->day;
    }
}

enum passo_error today_keys_read(struct today *today, struct passo_log *log)
{
    for (size_t i = 0; i < PASSO_BLOCKS_MAX; i++) {
        today->past.carried[i] = -1;
        today->past.last_start[i] = -1;
    }
    return read_rows(today, log, take_key);
}
