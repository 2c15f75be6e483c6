/* Going on the same day: what the plan was made from, what is done of it, and how play and rest
 * stand. Runs on the main thread. */
#include "command/today_parts.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* The whole, its order, whether all passages are due; then, a line each, the routine's file and the
 * passages that were named. */
#define NOTE_WRITE "%" PRId64 " ms, order %d, all %d\n%s\n%s"
#define NOTE_READ  "%" SCNd64 " ms, order %d, all %d\n%n"

/* A log may be damaged or changed by hand: a day has no more. */
#define WHOLE_MAX_MS (INT64_C(24) * 3600 * 1000)

char *today_note_write(const struct today *today)
{
    char path[PASSO_PATH_BYTES];
    char *note = NULL;
    const char *only = today->only ? today->only : "";
    if (asprintf(&note, NOTE_WRITE, today->whole_ms, (int)today->file.routine.order,
                 (int)today->all, realpath(today->path, path) ? path : today->path, only) < 0)
        passo_out_of_memory();
    return note;
}

void today_note_read(struct today_past *past, const char *note)
{
    int order = PASSO_ORDER_MIXED;
    int all = 0;
    int length = 0;
    free(past->path);
    free(past->only);
    if (sscanf(note, NOTE_READ, &past->whole_ms, &order, &all, &length) != 3 || length == 0 ||
        past->whole_ms < 0 || past->whole_ms > WHOLE_MAX_MS) {
        past->whole_ms = 0;
        length = (int)strlen(note);
    }
    past->order = order == PASSO_ORDER_BLOCKED ? PASSO_ORDER_BLOCKED : PASSO_ORDER_MIXED;
    past->all = all == 1;
    past->path = spots_copy(note + length);
    char *end = strchr(past->path, '\n');
    past->only = spots_copy(end ? end + 1 : "");
    if (end)
        *end = '\0';
}

void today_done(const struct today_past *past, const char *item, struct passo_day_item *out_item)
{
    for (size_t i = 0; past->goes_on && i < past->deeds; i++) {
        const struct today_deed *deed = &past->deed[i];
        if (strcmp(deed->item, item) != 0)
            continue;
        if (deed->deed == PASSO_LOG_ITEM_DONE || deed->deed == PASSO_LOG_ITEM_SKIPPED)
            out_item->over = true;
        out_item->skipped = deed->deed == PASSO_LOG_ITEM_SKIPPED;
        out_item->put_off |= deed->deed == PASSO_LOG_ITEM_PUT_OFF;
    }
}

/* Of an item of another plan it is not known: as usual. */
static int32_t strain_of(const struct today *today, const char *item)
{
    for (size_t i = 0; i < today->plan.items; i++)
        if (strcmp(today->item[i].id, item) == 0)
            return today->shown[i].strain_permille;
    return PASSO_STRAIN_USUAL;
}

/* An afternoon away is a long rest, and no more: nobody can rest for what is yet to be played. A
 * clock may have been set back. */
static void rest_until(struct passo_balance *balance, int64_t from_ns, int64_t until_ns)
{
    const int64_t debt_ms = balance->weighted_ms - balance->rested_ms;
    const int64_t most_ms =
        debt_ms > PASSO_BALANCE_LONG_REST_MS ? debt_ms : PASSO_BALANCE_LONG_REST_MS;
    const int64_t away_ms = from_ns > 0 && until_ns > from_ns ? (until_ns - from_ns) / 1000000 : 0;
    passo_balance_rest(balance, away_ms < most_ms ? away_ms : most_ms);
}

void today_balance(const struct today *today, int64_t now_ns, struct passo_balance *out_balance)
{
    const struct today_past *past = &today->past;
    int64_t ended_ns = 0;
    *out_balance = (struct passo_balance){0};
    for (size_t i = 0; i < past->deeds; i++) {
        const struct today_deed *deed = &past->deed[i];
        const int32_t strain = strain_of(today, deed->item);
        if (deed->deed == PASSO_LOG_ITEM_BEGAN)
            rest_until(out_balance, ended_ns, deed->time_ns);
        else if (strain && deed->played_ms >= 0 && deed->rested_ms >= 0)
            passo_balance_add(out_balance, deed->played_ms, deed->rested_ms, strain);
        ended_ns = deed->time_ns;
    }
    rest_until(out_balance, ended_ns, now_ns);
}
