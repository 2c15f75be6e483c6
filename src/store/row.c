/* The few things that every reader and writer of rows needs. Pure, but for the time zone. */
#include "store/row.h"

#include <string.h>
#include <time.h>
#include "store/day.h"

static const char *const extra_names[PASSO_EXTRA_COUNT] = {
    [PASSO_EXTRA_NONE] = "", [PASSO_EXTRA_VISIT] = "visit", [PASSO_EXTRA_CHECK] = "check"};

struct passo_row passo_row_empty(void)
{
    return (struct passo_row){.player = "",
                              .session = "",
                              .passage = "",
                              .piece = "",
                              .loop = "",
                              .bars = "",
                              .variant = "",
                              .beat_unit = "",
                              .marked_by = "",
                              .miss_bar = INT32_MIN};
}

bool passo_row_shows(const struct passo_row *row)
{
    switch (row->part) {
    case PASSO_PART_COLD:
    case PASSO_PART_CLIMB:
    case PASSO_PART_OVER:
    case PASSO_PART_CLOSE:
    case PASSO_PART_CONTEXT:
        return true;
    case PASSO_PART_ANCHOR:
    case PASSO_PART_EASY:
    case PASSO_PART_DONE:
        return false;
    case PASSO_PART_COUNT:
        break;
    }
    return row->extra == PASSO_EXTRA_VISIT;
}

bool passo_row_is_level(const struct passo_row *row)
{
    return !row->off_pitch && (row->part == PASSO_PART_CONTEXT || !strcmp(row->loop, "whole"));
}

bool passo_row_wins(const struct passo_row *row)
{
    return (row->part == PASSO_PART_CLIMB || row->extra == PASSO_EXTRA_VISIT) &&
           row->mark == PASSO_MARK_CLEAN &&
           (row->move == PASSO_MOVE_RAISED || row->move == PASSO_MOVE_WON ||
            row->move == PASSO_MOVE_DROPPED);
}

static int64_t floor_div(int64_t number, int64_t by)
{
    return number / by - (number % by < 0);
}

void passo_row_time(struct passo_row *row, int64_t time_ns, int32_t offset_s)
{
    row->time_ns = time_ns;
    row->offset_s = offset_s;
    row->day = passo_day_of(floor_div(floor_div(time_ns, 1000000000) + offset_s, 86400));
}

void passo_row_time_here(struct passo_row *row, int64_t time_ns)
{
    time_t seconds = (time_t)floor_div(time_ns, 1000000000);
    struct tm local;
    localtime_r(&seconds, &local);
    /* Zones of old had seconds, for which an offset has no place. */
    passo_row_time(row, time_ns, (int32_t)(local.tm_gmtoff / 60 * 60));
}

const char *passo_row_part_name(const struct passo_row *row)
{
    return row->extra ? extra_names[row->extra] : passo_part_name(row->part);
}

bool passo_row_part_read(struct passo_row *row, const char *name)
{
    row->part = PASSO_PART_COUNT;
    row->extra = PASSO_EXTRA_NONE;
    for (enum passo_part part = 0; part < PASSO_PART_DONE; part++) {
        if (!strcmp(name, passo_part_name(part)))
            row->part = part;
    }
    for (enum passo_extra extra = PASSO_EXTRA_NONE + 1; extra < PASSO_EXTRA_COUNT; extra++) {
        if (!strcmp(name, extra_names[extra]))
            row->extra = extra;
    }
    return row->part != PASSO_PART_COUNT || row->extra != PASSO_EXTRA_NONE;
}

static const char away[] = " (an octave away)";
static const char at_pitch[] = " (at pitch)";

static bool tells_octave(const char *name)
{
    return strcasestr(name, "octave") != NULL;
}

const char *passo_row_pitch_words(const struct passo_row *row)
{
    if (row->off_pitch == tells_octave(row->variant))
        return "";
    return row->off_pitch ? away : at_pitch;
}

/* Cuts the words off, if they stand at the end of a name that needs them. */
static bool cut(char *name, const char *words, bool needed)
{
    size_t length = strlen(name);
    size_t end = strlen(words);
    if (length < end || strcmp(name + length - end, words) != 0)
        return false;
    name[length - end] = '\0';
    bool needs = tells_octave(name) == needed;
    if (!needs)
        name[length - end] = words[0];
    return needs;
}

void passo_row_pitch_read(struct passo_row *row, char *name)
{
    if (cut(name, away, false))
        row->off_pitch = true;
    else if (cut(name, at_pitch, true))
        row->off_pitch = false;
    else
        row->off_pitch = tells_octave(name);
}

enum passo_move passo_move_as_end(enum passo_move last)
{
    bool end = last == PASSO_MOVE_WON || last == PASSO_MOVE_PLATEAU || last == PASSO_MOVE_TIRED;
    return end || last == PASSO_MOVE_NONE ? last : PASSO_MOVE_STOPPED;
}
