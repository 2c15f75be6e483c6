/* Readers of the passage's lines. Places wait in the draft until meter, bars and beat are known. */
#include "text/reading.h"
#include "text/scan.h"
#include "text/settings.h"

#include <stdio.h>
#include <string.h>

#define BARS_OUTSIDE_MAX 1000 /* of a context, before and after */

/* The lines of a preset were taken in when it was named. */
const char *read_preset(const char *value, struct draft *draft)
{
    (void)value;
    (void)draft;
    return NULL;
}

const char *read_title(const char *value, struct draft *draft)
{
    passo_text_clean(value, draft->setup->passage.title, PASSO_TEXT_MAX);
    return NULL;
}

const char *read_piece(const char *value, struct draft *draft)
{
    passo_text_clean(value, draft->setup->passage.piece, PASSO_TEXT_MAX);
    return NULL;
}

/* The words with one comma and blank between, empty ones left out. */
const char *read_tags(const char *value, struct draft *draft)
{
    char *tags = draft->setup->passage.tags;
    char part[4 * PASSO_TEXT_MAX]; /* longer than what is kept of it */
    size_t used = 0;
    tags[0] = '\0';
    for (const char *at = value; scan_part(&at, ',', part, sizeof part);) {
        size_t gap = used ? strlen(", ") : 0;
        if (!*part)
            continue;
        if (used + gap + strlen(part) >= PASSO_TEXT_MAX)
            return "tags have at most 127 bytes together: chromatic, low register";
        if (gap)
            strcpy(tags + used, ", ");
        passo_text_clean(part, tags + used + gap, PASSO_TEXT_MAX - used - gap);
        used = strlen(tags);
    }
    return used ? NULL : "tags are words with commas between: chromatic, low register";
}

const char *read_meter(const char *value, struct draft *draft)
{
    return reading_meter(value, &draft->setup->passage.meter);
}

const char *read_beat(const char *value, struct draft *draft)
{
    if (passo_note_value_read(value, &draft->unit[SETTING_beat]))
        return "the beat unit is a note value: quarter, dotted quarter, eighth, half";
    return NULL;
}

const char *read_bars(const char *value, struct draft *draft)
{
    struct passo_passage *passage = &draft->setup->passage;
    struct range range = {.from = {1, 0}};
    int64_t count = 0;
    if (scan_match(value, "#", &count) || scan_match(value, "# bars|bar", &count)) {
        range.to.bar = reading_fits(count, 1, PASSO_BARS_MAX) ? (int32_t)count : 0;
    } else {
        const char *fault = range_read(value, &range);
        if (fault || range.from.beat || range.to.beat)
            return "bars are how many, 4, or their printed numbers, 33-36";
    }
    if (!reading_fits((int64_t)range.to.bar - range.from.bar + 1, 1, PASSO_BARS_MAX))
        return "a passage has 1 to 2000 bars: 4, or 33-36";
    passage->first_bar = range.from.bar;
    passage->bars = range.to.bar - range.from.bar + 1;
    return NULL;
}

const char *read_pickup(const char *value, struct draft *draft)
{
    struct passo_passage *passage = &draft->setup->passage;
    int64_t beats = 0;
    if (scan_match(value, "none", NULL))
        return NULL;
    if (scan_match(value, "# beats|beat", &beats) && reading_fits(beats, 1, PASSO_METER_BEATS_MAX))
        draft->pickup_beats = (int32_t)beats;
    else if (passo_note_value_read(value, &passage->pickup))
        return "a pickup is a note value, quarter, or 1 beat, 2 beats, or none";
    return NULL;
}

static const char *read_context_bars(const char *value, struct draft *draft)
{
    char text[64];
    int64_t bars[2] = {0, 0};
    size_t length = strlen(value);
    if (length >= sizeof text)
        return "";
    strcpy(text, value);
    for (char *at = text; *at; at++)
        if (*at == ',')
            *at = ' ';
    if (scan_match(text, "#", bars) || scan_match(text, "# bars|bar", bars))
        bars[1] = bars[0];
    else if (!scan_match(text, "# before # after", bars) && !scan_match(text, "# before", bars) &&
             !scan_match(text, "# after", bars + 1))
        return "";
    if (!reading_fits(bars[0], 0, BARS_OUTSIDE_MAX) || !reading_fits(bars[1], 0, BARS_OUTSIDE_MAX))
        return "a context has up to 1000 bars before and after";
    draft->context_bars = true;
    draft->context_before = (int32_t)bars[0];
    draft->context_after = (int32_t)bars[1];
    return NULL;
}

const char *read_context(const char *value, struct draft *draft)
{
    const char *fault = read_context_bars(value, draft);
    if (!fault || *fault)
        return fault;
    if (range_read(value, &draft->context))
        return "a context is its bars, 29-40, or so many before and after, 4, or 4 before, 2 after";
    return NULL;
}
