/* What a view draws of a day: its list, and a snapshot for the time between two items, when no
 * climb fills one. Runs on the main thread. */
#include "day_priv.h"

#include <stdio.h>
#include <string.h>
#include "text/notation.h"

void day_show_begin(struct day *day)
{
    const struct passo_day_setup *setup = day->setup;
    struct passo_day_show *show = &day->show;
    passo_text_clean(setup->title ? setup->title : "", show->title, sizeof show->title);
    show->line = day->line;
    show->lines = setup->items;
    show->now = day->orders ? day->order[0] : 0;
    for (size_t i = 0; i < setup->items; i++) {
        const struct passo_day_item *item = &setup->item[i];
        struct passo_day_line *line = &day->line[i];
        passo_text_clean(item->line, line->what, sizeof line->what);
        passo_text_clean(item->why ? item->why : "", line->why, sizeof line->why);
        line->ms = item->ms;
        line->visit = item->visit;
        line->state = !item->over     ? PASSO_DAY_TO_COME
                      : item->skipped ? PASSO_DAY_SKIPPED
                                      : PASSO_DAY_DONE;
        show->whole_ms += item->ms;
        show->done_ms += item->over ? item->ms : 0;
    }
    day->snapshot.best_rung = -1;
    day->snapshot.note_now = -1;
    day->snapshot.beat = (struct passo_ratio){1, 4};
    memcpy(day->snapshot.title, show->title, sizeof show->title);
    day->snapshot.day = show;
}

void day_show_state(struct day *day, size_t item, enum passo_day_state state)
{
    day->line[item].state = state;
    if (state == PASSO_DAY_DONE || state == PASSO_DAY_SKIPPED)
        day->show.done_ms += day->line[item].ms;
    day->show.serial++;
}

void day_show_now(struct day *day, size_t item, enum passo_day_state state)
{
    day->show.now = item;
    day->show.block = day->setup->item[item].block;
    day_show_state(day, item, state);
}

static int64_t rest_left_ms(const struct day *day)
{
    const struct between *between = &day->between;
    if (between->listing || between->paused)
        return -1;
    return between->until > day->now ? (between->until - day->now) * 1000 / day->rate_hz : 0;
}

static void fill_next(struct day *day)
{
    struct passo_snapshot *to = &day->snapshot;
    char prompt[PASSO_WORDS_BYTES];
    if (day->between.listing)
        snprintf(to->next, sizeof to->next, "Space begins, q leaves.");
    else if (day->between.paused)
        snprintf(to->next, sizeof to->next, "Press p to go on: a breath, then the count-in.");
    else
        snprintf(to->next, sizeof to->next, "%s", day_prompt(day, prompt, sizeof prompt));
}

static void draw(struct day *day)
{
    struct passo_snapshot *to = &day->snapshot;
    struct passo_view *view = day->setup->base.view;
    to->played_ms = day->balance.played_ms;
    to->rested_ms = day->balance.rested_ms;
    to->elapsed_ms = to->played_ms + to->rested_ms;
    to->level_permille = day->level_permille;
    to->sounding = !day->sounding.lost && day->setup->base.output != &passo_output_silent;
    memcpy(to->move, day->last_words, sizeof to->move);
    snprintf(to->notice, sizeof to->notice, "%s", day->sounding.notice);
    view->ops->draw(view, to);
}

void day_draw(struct day *day)
{
    struct passo_snapshot *to = &day->snapshot;
    memcpy(to->what, day->line[day->order[day->at]].what, sizeof to->what);
    to->phase = day->between.paused ? PASSO_PHASE_PAUSED : PASSO_PHASE_REST;
    to->rest_left_ms = rest_left_ms(day);
    fill_next(day);
    draw(day);
}

void day_draw_end(struct day *day, const char *words)
{
    struct passo_snapshot *to = &day->snapshot;
    to->phase = PASSO_PHASE_OVER;
    to->rest_left_ms = 0;
    to->what[0] = '\0';
    snprintf(to->next, sizeof to->next, "%s", words);
    draw(day);
}
