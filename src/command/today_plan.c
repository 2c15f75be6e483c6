/* From passages, log and routine to the day's plan and its texts. Runs on the main thread. */
#include "command/today_parts.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "store/day.h"

#define TODAY_MOST_MS (600 * 60000)
#define GIVE_BACK_MS  15000 /* what is less is not worth it */

/* The time to read what comes, which blocks do not count in; of a routine that says what is for
 * passages, and not how long the whole is, it comes on top. */
static int64_t between_ms(const struct today *today)
{
    const struct passo_routine *routine = &today->file.routine;
    if (!today->options->limit_ms && !today->file.whole_ms)
        return 0;
    const int64_t visits = today->passages_ms / routine->visit_ms;
    const int64_t ms = (int64_t)routine->blocks * TODAY_PREPARE_MS + visits * TODAY_BACK_MS;
    return ms < today->passages_ms ? ms : today->passages_ms;
}

/* How long the day is, and what of it is for passages. Blocks are stretched with the whole. */
static bool share_out(struct today *today)
{
    struct passo_routine_file *file = &today->file;
    int64_t blocks_ms = passo_routine_ms(&file->routine);
    int64_t usual_ms = file->whole_ms ? file->whole_ms : blocks_ms + file->passages_ms;
    today->whole_ms = usual_ms;
    if (today->options->limit_ms)
        today->whole_ms = today->options->limit_ms;
    else if (today->past.goes_on && today->past.whole_ms)
        today->whole_ms = today->past.whole_ms;
    if (today->whole_ms > TODAY_MOST_MS) {
        passo_fault(&today->options->faults, "--minutes: a day has at most %d",
                    TODAY_MOST_MS / 60000);
        return false;
    }
    if (today->whole_ms != usual_ms && usual_ms > 0)
        passo_routine_stretch(&file->routine, today->whole_ms, usual_ms);
    today->passages_ms = today->whole_ms - passo_routine_ms(&file->routine);
    /* What is said to be for passages is no less, and no more, of a longer or shorter day. */
    if (file->passages_ms && usual_ms > 0) {
        const int64_t said_ms = file->passages_ms * today->whole_ms / usual_ms;
        today->passages_ms = today->passages_ms < said_ms ? today->passages_ms : said_ms;
    }
    if (today->passages_ms >= 0) {
        today->between_ms = between_ms(today);
        today->passages_ms -= today->between_ms;
        return true;
    }
    passo_fault(&today->options->faults,
                "the blocks of %s take more than the %lld minutes of the day; give it more minutes "
                "or take a shorter routine",
                file->title, (long long)(today->whole_ms / 60000));
    return false;
}

/* Its turn was another's, or the minutes of the last day did not reach for it: it comes before
 * those that had theirs. */
static bool is_owed(const struct today_past *past, const char *name)
{
    bool visited = past->last_visits.count == 0;
    for (size_t i = 0; i < past->last_visits.count; i++)
        visited |= strcmp(today_visited(past->last_visits.name[i]), name) == 0;
    return !visited || today_has(&past->owed, name);
}

static void fill_passages(const struct today *today, struct passo_today_passage *out)
{
    for (size_t i = 0; i < today->spots.count; i++) {
        const struct spot *from = &today->spots.at[i];
        out[i] = (struct passo_today_passage){.name = from->name,
                                              .tags = from->tags,
                                              .keys = from->keys,
                                              .level = from->practice.level,
                                              .rate = from->practice.rate,
                                              .due = today->all || from->practice.due,
                                              .owed = is_owed(&today->past, from->name)};
        memcpy(out[i].key, from->key, sizeof out[i].key);
    }
}

static char *item_id(const struct today *today, const struct passo_today_item *item)
{
    char key[PASSO_NAME_MAX] = "-";
    char *id = NULL;
    int length = -1;
    if (item->kind == PASSO_ITEM_VISIT) {
        length = asprintf(&id, "visit/%d/%s", item->number, today->spots.at[item->passage].name);
    } else {
        if (item->keyed)
            passo_key_write(item->key, key, sizeof key);
        length = asprintf(&id, "block/%s/%s", today->file.routine.block[item->block].name, key);
    }
    if (length < 0)
        passo_out_of_memory();
    return id;
}

/* Time to read the prompt: not between two keys of one block. */
static int32_t prepare_ms(const struct passo_today *plan, size_t at)
{
    const struct passo_today_item *item = &plan->item[at];
    const struct passo_today_item *before = at ? &plan->item[at - 1] : NULL;
    if (item->kind == PASSO_ITEM_VISIT || item->number <= 1)
        return TODAY_PREPARE_MS;
    return before && before->kind == PASSO_ITEM_VISIT ? TODAY_BACK_MS : 0;
}

static void show_item(struct today *today, size_t at)
{
    const struct passo_today_item *from = &today->plan.item[at];
    struct today_item *item = &today->item[at];
    const bool visit = from->kind == PASSO_ITEM_VISIT;
    const char *tags =
        visit ? today->spots.at[from->passage].tags : today->file.routine.block[from->block].tags;
    item->id = item_id(today, from);
    item->prepare_ms = prepare_ms(&today->plan, at);
    today_item_line(today, at, item->line, sizeof item->line);
    today_item_why(today, at, item->why, sizeof item->why);
    today_item_prompt(today, at, item->prompt, sizeof item->prompt);
    /* A free block is the player's own: breathing, the mouthpiece, a glass of water. */
    const bool played = visit || today->file.block[from->block].setup;
    today->shown[at] =
        (struct passo_day_item){.line = item->line,
                                .why = item->why,
                                .prompt = item->prompt,
                                .ms = from->ms,
                                .prepare_ms = item->prepare_ms,
                                .strain_permille = played ? passo_balance_strain(tags) : 0,
                                .visit = visit,
                                .block = !visit};
    today_done(&today->past, item->id, &today->shown[at]);
}

static bool ask(struct today *today, const struct passo_today_passage *passage)
{
    const struct today_names *last = &today->past.last_visits;
    const char **order = passo_xcalloc(last->count + 1, sizeof *order);
    for (size_t i = 0; i < last->count; i++)
        order[i] = today_visited(last->name[i]);
    const struct passo_today_ask wish = {.routine = &today->file.routine,
                                         .passage = passage,
                                         .passages = today->spots.count,
                                         .passages_ms = today->passages_ms,
                                         .day = passo_day_count(today->day),
                                         .carried = today->past.carried,
                                         .last_start = today->past.last_start,
                                         .last_order = order,
                                         .last_visits = last->count};
    passo_today_free(&today->plan);
    const bool made = passo_today_plan(&wish, &today->plan) == PASSO_OK;
    free(order);
    return made;
}

/* Minutes that no passage can use, since each has its most, go back to the blocks. */
static bool give_back(struct today *today, const struct passo_today_passage *passage)
{
    const int64_t blocks_ms = passo_routine_ms(&today->file.routine);
    const int64_t left_ms = today->whole_ms - today->between_ms - blocks_ms - today->plan.visits_ms;
    if (left_ms < GIVE_BACK_MS || blocks_ms == 0)
        return true;
    passo_routine_stretch(&today->file.routine, blocks_ms + left_ms, blocks_ms);
    today->passages_ms = today->plan.visits_ms;
    return ask(today, passage);
}

bool today_plan_make(struct today *today)
{
    if (!share_out(today))
        return false;
    struct passo_today_passage *passage = passo_xcalloc(today->spots.count + 1, sizeof *passage);
    fill_passages(today, passage);
    const bool made = ask(today, passage) && give_back(today, passage);
    free(passage);
    if (!made) {
        passo_fault(&today->options->faults, "%s makes no day that can be played",
                    today->file.title);
        return false;
    }
    today->item = passo_xcalloc(today->plan.items + 1, sizeof *today->item);
    today->shown = passo_xcalloc(today->plan.items + 1, sizeof *today->shown);
    for (size_t i = 0; i < today->plan.items; i++)
        show_item(today, i);
    return true;
}

void today_plan_free(struct today *today)
{
    for (size_t i = 0; today->item && i < today->plan.items; i++)
        free(today->item[i].id);
    free(today->item);
    free(today->shown);
    passo_today_free(&today->plan);
    today->item = NULL;
    today->shown = NULL;
}
