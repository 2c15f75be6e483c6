/* The day: which item comes, what became of it, and what the day comes to. One stream of sound is
 * open from the first item to the last; each item is a climb of its own on it, and the time between
 * two is day_wait.c's. The order is a list of items: one that is put off goes to its end, once.
 * Runs on the main thread. */
#include "day_priv.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include "text/notation.h"

enum { USUAL_LEVEL = 500 };

const struct passo_day_item *day_coming(const struct day *day)
{
    return &day->setup->item[day->order[day->at]];
}

bool day_simulated(const struct day *day)
{
    return day->sounding.output->ops->advance != NULL;
}

bool day_over(const struct day *day)
{
    return day->ended || day->at == day->orders;
}

int64_t day_frames(const struct day *day, int64_t ms)
{
    return passo_instant_frame(passo_instant_from_ms(ms, day->rate_hz));
}

void day_say(struct day *day, enum passo_say kind, const char *format, ...)
{
    char line[3 * PASSO_WORDS_BYTES];
    struct passo_view *view = day->setup->base.view;
    va_list values;
    va_start(values, format);
    vsnprintf(line, sizeof line, format, values);
    va_end(values);
    if (line[0])
        view->ops->say(view, kind, line);
}

void day_end(struct day *day, bool cut_short)
{
    day->ended = true;
    day->cut_short |= cut_short;
}

void day_set_level(struct day *day, int32_t level_permille)
{
    day->level_permille = level_permille < 0 ? 0 : level_permille > 1000 ? 1000 : level_permille;
    /* As in a climb: loudness grows about with the square; a full ring keeps the old level. */
    float way = (float)day->level_permille / 1000.0f;
    if (passo_player_level(day->sounding.player, way * way) != PASSO_OK)
        return;
}

static int64_t wall_now_ns(void)
{
    struct timespec wall;
    clock_gettime(CLOCK_REALTIME, &wall);
    return (int64_t)wall.tv_sec * 1000000000 + wall.tv_nsec;
}

/* Simulated time counts on from the day's beginning. */
static int64_t wall_ns(const struct day *day)
{
    const struct passo_output *output = day->sounding.output;
    return day_simulated(day) ? day->began_ns + output->ops->now_ns(output) : wall_now_ns();
}

static void put_at_the_end(struct day *day)
{
    size_t *at = &day->order[day->at];
    size_t item = *at;
    day->put_off[item] = true;
    memmove(at, at + 1, (day->orders - day->at - 1) * sizeof *at);
    day->order[day->orders - 1] = item;
}

void day_pass_on(struct day *day, enum passo_day_doing doing,
                 const struct passo_climb_result *result)
{
    const size_t item = day->order[day->at];
    const char *line = day->line[item].what;
    const bool again = doing == PASSO_DOING_PUT_OFF && day->put_off[item];
    if (again)
        doing = PASSO_DOING_SKIPPED;
    if (again)
        day_say(day, PASSO_SAY_NOTICE, "Put off twice, so left out today: %s.", line);
    else if (doing == PASSO_DOING_PUT_OFF)
        day_say(day, PASSO_SAY_NOTICE, "Put off to the end: %s.", line);
    else if (doing == PASSO_DOING_SKIPPED)
        day_say(day, PASSO_SAY_NOTICE, "Left out: %s.", line);
    if (doing == PASSO_DOING_PUT_OFF) {
        put_at_the_end(day);
        day_show_state(day, item, PASSO_DAY_PUT_OFF);
    } else if (doing == PASSO_DOING_DONE || doing == PASSO_DOING_SKIPPED) {
        day->at++;
        day->done += doing == PASSO_DOING_DONE;
        day->skipped += doing == PASSO_DOING_SKIPPED;
        day_show_state(day, item, doing == PASSO_DOING_DONE ? PASSO_DAY_DONE : PASSO_DAY_SKIPPED);
    } else {
        day_show_state(day, item, PASSO_DAY_TO_COME);
    }
    day->told = false;
    day->setup->over(day->setup->user, item, doing, result, wall_ns(day));
}

/* --- one item --- */

/* What is the day's in an item's climb, whatever ready() filled in. */
static void join(struct day *day, struct passo_climb_setup *run)
{
    const struct passo_day_setup *setup = day->setup;
    const struct passo_day_item *next =
        day->at + 1 < day->orders ? &setup->item[day->order[day->at + 1]] : NULL;
    run->output = setup->base.output;
    run->ask = setup->base.ask;
    run->view = setup->base.view;
    run->sounding = &day->sounding;
    run->in_day = true;
    run->day = &day->show;
    /* Where no time lies between, the last rest is the time to read what comes. */
    run->then_words = NULL;
    if (next && next->prepare_ms == 0)
        run->then_words = passo_text_clean(next->prompt, day->then_words, sizeof day->then_words);
    run->wall_ns = day_simulated(day) ? wall_ns(day) : 0;
    if (day->level_by_hand)
        run->level_permille = day->level_permille ? day->level_permille : 1;
}

/* The hand's level goes on to the next item; one that nobody touched is the item's own. */
static void keep_level(struct day *day, const struct passo_climb_setup *run,
                       const struct passo_climb_result *result)
{
    day->level_by_hand |= result->level_permille > 0;
    if (result->level_permille > 0)
        day->level_permille = result->level_permille;
    else if (!day->level_by_hand)
        day->level_permille = run->setup->volume_permille;
}

static void leave_out(struct day *day, const char *why)
{
    day_say(day, PASSO_SAY_NOTICE, "%s cannot be played: %s.", day->line[day->order[day->at]].what,
            why);
    day_pass_on(day, PASSO_DOING_SKIPPED, NULL);
}

/* Left in its last rest, an item is done all the same. */
static enum passo_day_doing doing_of(const struct passo_climb_result *result)
{
    switch (result->end) {
    case PASSO_END_SKIP:
        return PASSO_DOING_SKIPPED;
    case PASSO_END_PUT_OFF:
        return PASSO_DOING_PUT_OFF;
    case PASSO_END_QUIT:
        if (result->outcome == PASSO_OUTCOME_OPEN || result->outcome == PASSO_OUTCOME_QUIT)
            return PASSO_DOING_STOPPED;
        break;
    case PASSO_END_RULE:
    case PASSO_END_COUNT:
        break;
    }
    return PASSO_DOING_DONE;
}

static void take_result(struct day *day, const struct passo_climb_setup *run,
                        const struct passo_climb_result *result)
{
    const struct passo_marker *marker = run->marker;
    const struct passo_day_item *item = day_coming(day);
    const enum passo_day_doing doing = doing_of(result);
    if (item->strain_permille)
        passo_balance_add(&day->balance, result->played_ns / 1000000, result->rested_ns / 1000000,
                          item->strain_permille);
    keep_level(day, run, result);
    day->csv_failed |= result->csv_failed;
    day->missed |= run->extra == PASSO_EXTRA_CHECK && result->outcome == PASSO_OUTCOME_MISSES;
    const bool left = doing == PASSO_DOING_SKIPPED || doing == PASSO_DOING_PUT_OFF;
    snprintf(day->last_words, sizeof day->last_words, "%s",
             item->block || left ? "" : result->words);
    if (doing == PASSO_DOING_STOPPED) {
        day->stopped_ms = result->elapsed_ns / 1000000;
        day->marks_ran_out = !item->block && marker && passo_marker_peek(marker) == PASSO_SIGN_END;
    }
    if (result->end == PASSO_END_QUIT || result->cut_short)
        day_end(day, result->cut_short);
    day_pass_on(day, doing, result);
    /* A last rest that was cut short, or not begun, is no time to read in. */
    day->told = !result->by_hand && run->then_words;
}

static void play(struct day *day)
{
    const struct passo_day_setup *setup = day->setup;
    const size_t item = day->order[day->at];
    struct passo_climb_setup run = setup->base;
    struct passo_climb_result result;
    char why[PASSO_WORDS_BYTES] = "";
    if (!setup->ready(setup->user, item, &run, why, sizeof why)) {
        leave_out(day, why);
        return;
    }
    join(day, &run);
    day_show_now(day, item, PASSO_DAY_NOW);
    setup->over(setup->user, item, PASSO_DOING_BEGAN, NULL, wall_ns(day));
    if (passo_climb_run(&run, &result, why, sizeof why) != PASSO_OK)
        leave_out(day, why);
    else
        take_result(day, &run, &result);
}

/* A script of marks that has nothing more ends the day before the next thing that is marked. */
static bool marks_ran_out(const struct day *day)
{
    const struct passo_marker *marker = day->setup->base.marker;
    return marker && passo_marker_peek(marker) == PASSO_SIGN_END && !day_coming(day)->block;
}

static void run(struct day *day)
{
    day_list(day);
    while (!day_obey_signals(day)) {
        if (marks_ran_out(day)) {
            day->marks_ran_out = true;
            day_end(day, false);
            break;
        }
        day_wait(day);
        if (!day_over(day))
            play(day);
    }
}

/* --- the whole --- */

static void begin(struct day *day)
{
    const struct passo_day_setup *setup = day->setup;
    day->balance = setup->balance;
    day->order = passo_xcalloc(setup->items + 1, sizeof *day->order);
    day->put_off = passo_xcalloc(setup->items + 1, sizeof *day->put_off);
    day->line = passo_xcalloc(setup->items + 1, sizeof *day->line);
    for (size_t i = 0; i < setup->items; i++) {
        const struct passo_day_item *item = &setup->item[i];
        day->done += item->over && !item->skipped;
        day->skipped += item->over && item->skipped;
        if (!item->over && !item->put_off)
            day->order[day->orders++] = i;
    }
    /* What was put off earlier today still comes last. */
    for (size_t i = 0; i < setup->items; i++) {
        day->put_off[i] = setup->item[i].put_off;
        if (!setup->item[i].over && setup->item[i].put_off)
            day->order[day->orders++] = i;
    }
    day_show_begin(day);
}

/* The stream, the level and the clock, once it is known that something is to be played. */
static enum passo_error open_sound(struct day *day, char *out_fault, size_t fault_bytes)
{
    const struct passo_climb_setup *base = &day->setup->base;
    enum passo_error error = passo_sounding_open(&day->sounding, base->output, &base->ask,
                                                 day->setup->sounds, out_fault, fault_bytes);
    if (error != PASSO_OK)
        return error;
    day->rate_hz = passo_sounding_rate_hz(&day->sounding);
    day->began_ns = base->wall_ns ? base->wall_ns : wall_now_ns();
    day->level_by_hand = base->level_permille > 0;
    day_set_level(day, day->level_by_hand ? base->level_permille
                       : base->setup      ? base->setup->volume_permille
                                          : USUAL_LEVEL);
    return PASSO_OK;
}

static void end(struct day *day, struct passo_day_result *out_result)
{
    out_result->finished = day->at == day->orders;
    out_result->cut_short = day->cut_short;
    out_result->done = day->done;
    out_result->skipped = day->skipped;
    out_result->left = day->orders - day->at;
    out_result->csv_failed = day->csv_failed;
    out_result->balance = day->balance;
    day_result_words(day, out_result->words, sizeof out_result->words);
    day_say(day, PASSO_SAY_END, "%s", out_result->words);
}

enum passo_error passo_day_run(const struct passo_day_setup *setup,
                               struct passo_day_result *out_result, char *out_fault,
                               size_t fault_bytes)
{
    struct day *day = passo_xcalloc(1, sizeof *day);
    enum passo_error error = PASSO_OK;
    *out_result = (struct passo_day_result){0};
    day->setup = setup;
    begin(day);
    if (day->orders)
        error = open_sound(day, out_fault, fault_bytes);
    if (error == PASSO_OK) {
        day_say_list(day);
        run(day);
        end(day, out_result);
        day_draw_end(day, out_result->words);
    }
    passo_sounding_close(&day->sounding);
    free(day->order);
    free(day->put_off);
    free(day->line);
    free(day);
    return error;
}
