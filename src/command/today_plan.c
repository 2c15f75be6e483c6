/* From passages, log and routine to the day's plan and its texts. Runs on the main thread. */
#include "command/today_parts.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "store/day.h"

static bool has(char *const *list, size_t count, const char *text)
{
    for (size_t i = 0; i < count; i++)
        if (strcmp(list[i], text) == 0)
            return true;
    return false;
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
    if (today->whole_ms != usual_ms && usual_ms > 0)
        passo_routine_stretch(&file->routine, (int32_t)(today->whole_ms * 1000 / usual_ms));
    today->passages_ms = today->whole_ms - passo_routine_ms(&file->routine);
    if (today->passages_ms >= 0)
        return true;
    passo_fault(&today->options->faults,
                "the blocks of %s take more than the %lld minutes of the day; give it more minutes "
                "or take a shorter routine",
                file->title, (long long)(today->whole_ms / 60000));
    return false;
}

static void fill_passages(const struct today *today, struct passo_today_passage *out)
{
    for (size_t i = 0; i < today->spots.count; i++) {
        const struct spot *from = &today->spots.at[i];
        out[i] = (struct passo_today_passage){
            .name = from->name,
            .tags = from->tags,
            .keys = from->keys,
            .level = from->practice.level,
            .rate = from->practice.rate,
            .due = today->options->all || from->practice.due,
            .owed = has(today->past.owed, today->past.oweds, from->name)};
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
    const bool skipped = has(today->past.skipped, today->past.skips, item->id);
    today->shown[at] = (struct passo_day_item){
        .line = item->line,
        .why = item->why,
        .prompt = item->prompt,
        .ms = from->ms,
        .prepare_ms = item->prepare_ms,
        .strain_permille = played ? passo_balance_strain(tags) : 0,
        .visit = visit,
        .block = !visit,
        .over = skipped || has(today->past.done, today->past.dones, item->id),
        .skipped = skipped};
}

bool today_plan_make(struct today *today)
{
    if (!share_out(today))
        return false;
    struct passo_today_passage *passage = passo_xcalloc(today->spots.count + 1, sizeof *passage);
    fill_passages(today, passage);
    const struct passo_today_ask ask = {.routine = &today->file.routine,
                                        .passage = passage,
                                        .passages = today->spots.count,
                                        .passages_ms = today->passages_ms,
                                        .day = passo_day_count(today->day),
                                        .carried = today->past.carried,
                                        .last_start = today->past.last_start,
                                        .last_order = (const char *const *)today->past.last_order,
                                        .last_visits = today->past.last_visits};
    const bool made = passo_today_plan(&ask, &today->plan) == PASSO_OK;
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
