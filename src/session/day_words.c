/* The day in sentences: its list, what is offered, what comes, what it came to. Owns nothing. Runs
 * on the main thread. */
#include "day_priv.h"

#include <stdio.h>
#include <string.h>
#include "text/notation.h"

enum { MINUTE_MS = 60000, IN_SECONDS_MS = 2 * MINUTE_MS };

/* Sums of a day are told to the minute, unless there is hardly one. */
static const char *sum(int64_t ms, char *out, size_t bytes)
{
    if (ms < IN_SECONDS_MS)
        return passo_span_write(ms, out, bytes);
    snprintf(out, bytes, "%lld min", (long long)((ms + MINUTE_MS / 2) / MINUTE_MS));
    return out;
}

static void say_line(struct day *day, size_t item)
{
    const struct passo_day_line *line = &day->line[item];
    long long s = (line->ms + 500) / 1000;
    const char *state = line->state == PASSO_DAY_DONE      ? ", done"
                        : line->state == PASSO_DAY_SKIPPED ? ", left out"
                        : line->state == PASSO_DAY_PUT_OFF ? ", put off to the end"
                                                           : "";
    day_say(day, PASSO_SAY_START, "%zu. %s \u00b7 %lld:%02lld%s%s%s%s", item + 1, line->what,
            s / 60, s % 60, state, line->why[0] ? " (" : "", line->why, line->why[0] ? ")" : "");
}

void day_say_list(struct day *day)
{
    char whole[40];
    const char *title = day->show.title;
    day_say(day, PASSO_SAY_START, "%s, %s:", title[0] ? title : "The day",
            sum(day->show.whole_ms, whole, sizeof whole));
    for (size_t i = 0; i < day->setup->items; i++)
        say_line(day, i);
    if (day->orders == 0)
        return;
    day_say(day, PASSO_SAY_START,
            "Before each: Space goes on, l more rest, k leaves it out, o puts it off, p pauses, q "
            "leaves.");
    if (day->sounding.notice[0])
        day_say(day, PASSO_SAY_NOTICE, "%s", day->sounding.notice);
}

const char *day_offer_words(const struct day *day, const struct passo_rest_offer *offer, char *out,
                            size_t bytes)
{
    char span[40];
    static const char keys[] = "Space goes on, l is longer.";
    passo_span_write(offer->ms, span, sizeof span);
    switch (offer->why) {
    case PASSO_REST_LONG:
        snprintf(out, bytes,
                 "Fifteen minutes of playing%s since the last long rest: five minutes off are "
                 "offered. %s",
                 day->balance.high_ms ? ", high playing counted half as much again," : "", keys);
        break;
    case PASSO_REST_HIGH:
        snprintf(out, bytes, "High or loud playing earns more rest: %s first. %s", span, keys);
        break;
    case PASSO_REST_EVEN:
        snprintf(out, bytes, "More was played than rested: %s of rest first. %s", span, keys);
        break;
    case PASSO_REST_NONE:
    case PASSO_REST_WHY_COUNT:
        out[0] = '\0';
        break;
    }
    return out;
}

const char *day_prompt(const struct day *day, char *out, size_t bytes)
{
    const struct passo_day_item *item = day_coming(day);
    if (item->prompt && item->prompt[0])
        passo_text_clean(item->prompt, out, bytes);
    else
        snprintf(out, bytes, "%s.", day->line[day->order[day->at]].what);
    return out;
}

/* --- the end --- */

/* What stands before the key: "flow study" of "flow study · D-flat major". */
static size_t head_bytes(const char *line)
{
    const char *end = strstr(line, " \u00b7 ");
    return end ? (size_t)(end - line) : strlen(line);
}

static bool same_block(const struct day *day, size_t a, size_t b)
{
    const char *one = day->line[a].what;
    const char *other = day->line[b].what;
    size_t bytes = head_bytes(one);
    return day->setup->item[b].block && day->line[b].state == PASSO_DAY_DONE &&
           bytes == head_bytes(other) && !memcmp(one, other, bytes);
}

/* Blocks of which something was played: one that goes through keys is one block. */
static size_t blocks_done(const struct day *day)
{
    size_t blocks = 0;
    for (size_t i = 0; i < day->setup->items; i++) {
        bool fresh = day->setup->item[i].block && day->line[i].state == PASSO_DAY_DONE;
        for (size_t before = 0; fresh && before < i; before++)
            fresh = !same_block(day, i, before);
        blocks += fresh;
    }
    return blocks;
}

static size_t visits_done(const struct day *day)
{
    size_t visits = 0;
    for (size_t i = 0; i < day->setup->items; i++)
        visits += day->setup->item[i].visit && day->line[i].state == PASSO_DAY_DONE;
    return visits;
}

/* "; 5 blocks, 6 visits, one left out" */
static void counts(const struct day *day, char *out, size_t bytes)
{
    const size_t blocks = blocks_done(day);
    const size_t visits = visits_done(day);
    const char *next = "; ";
    size_t used = 0;
    out[0] = '\0';
    if (blocks) {
        used += (size_t)snprintf(out + used, bytes - used, "%s%zu %s", next, blocks,
                                 blocks == 1 ? "block" : "blocks");
        next = ", ";
    }
    if (visits) {
        used += (size_t)snprintf(out + used, bytes - used, "%s%zu %s", next, visits,
                                 visits == 1 ? "visit" : "visits");
        next = ", ";
    }
    if (day->skipped == 1)
        snprintf(out + used, bytes - used, "%sone left out", next);
    else if (day->skipped)
        snprintf(out + used, bytes - used, "%s%zu left out", next, day->skipped);
}

static void done_words(const struct day *day, char *out, size_t bytes)
{
    char played[40];
    char rested[40];
    char what[96];
    const char *goodbye = day->missed && day->setup->goodbye_missed ? day->setup->goodbye_missed
                                                                    : day->setup->goodbye;
    if (goodbye && goodbye[0]) {
        passo_text_clean(goodbye, out, bytes);
        return;
    }
    counts(day, what, sizeof what);
    snprintf(out, bytes, "The day is done: played %s, rested %s%s.",
             sum(day->balance.played_ms, played, sizeof played),
             sum(day->balance.rested_ms, rested, sizeof rested), what);
}

/* "12 of 40 minutes"; of the item in which it was left no more than its share. */
static void stopped_after(const struct day *day, char *out, size_t bytes)
{
    const int64_t planned_ms = day_coming(day)->ms;
    const int64_t more_ms = day->stopped_ms < planned_ms ? day->stopped_ms : planned_ms;
    const int64_t done_ms = day->show.done_ms + more_ms;
    const bool seconds = day->show.whole_ms < IN_SECONDS_MS;
    const int64_t unit_ms = seconds ? 1000 : MINUTE_MS;
    snprintf(out, bytes, "%lld of %lld %s", (long long)((done_ms + unit_ms / 2) / unit_ms),
             (long long)((day->show.whole_ms + unit_ms / 2) / unit_ms),
             seconds ? "seconds" : "minutes");
}

/* Of a check: its spots are neither blocks nor visits. */
static bool is_check(const struct day *day)
{
    for (size_t i = 0; i < day->setup->items; i++) {
        if (day->setup->item[i].visit || day->setup->item[i].block)
            return false;
    }
    return true;
}

void day_result_words(const struct day *day, char *out, size_t bytes)
{
    char after[64];
    if (day->at == day->orders) {
        done_words(day, out, bytes);
        return;
    }
    stopped_after(day, after, sizeof after);
    const bool begun = day->show.done_ms > 0 || day->stopped_ms > 0;
    const bool check = is_check(day);
    if (check && !begun)
        snprintf(out, bytes, "Nothing was played yet.");
    else if (check)
        snprintf(out, bytes, "Stopped after %zu of %zu spots.", day->done, day->setup->items);
    else if (day->marks_ran_out)
        snprintf(out, bytes, "The marks ran out after %s.", after);
    else if (!begun)
        snprintf(out, bytes, "Nothing was played yet; passo today is ready when you are.");
    else
        snprintf(out, bytes, "Stopped after %s%s.", after,
                 day->setup->goes_on ? "; passo today goes on where you left" : "");
}
