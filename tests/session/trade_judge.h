/* What may be said of a pass, of a day and of an end in a .course, and how each is read off what
 * was played: every word has a function that writes what came of it the way the file would. */
#ifndef PASSO_TESTS_TRADE_JUDGE_H
#define PASSO_TESTS_TRADE_JUDGE_H

#include "trade_course.h"
#include "trade_heard.h"

struct trade_came {
    const struct passo_setup *setup;
    /* of a pass */
    const struct band_row *row;
    const struct heard_pass *heard;
    /* of an end or a day */
    const struct passo_climb_result *result;
    double clean;    /* best clean tempo by the record */
    double tomorrow; /* where the next day opens by it */
    double opens;
    int missed;
    const char *cold;
};

/* Writes what came of it; wanted: what the file says, for its places after the point. */
typedef void trade_reader(const struct trade_came *came, const char *wanted, char *out,
                          size_t bytes);

static int trade_places(const char *number)
{
    const char *point = strchr(number, '.');
    return point ? (int)strspn(point + 1, "0123456789") : 0;
}

static void trade_number(double number, const char *wanted, char *out, size_t bytes)
{
    snprintf(out, bytes, "%.*f", trade_places(wanted), number);
}

/* Exactly. */
static void trade_tempo(double bpm, char *out, size_t bytes)
{
    snprintf(out, bytes, "%.8g", bpm);
}

#define TRADE_ROW_TEXT(name, member)                                                               \
    static void read_##name(const struct trade_came *came, const char *wanted, char *out,          \
                            size_t bytes)                                                          \
    {                                                                                              \
        (void)wanted;                                                                              \
        snprintf(out, bytes, "%s", came->row->member);                                             \
    }
TRADE_ROW_TEXT(part, part)
TRADE_ROW_TEXT(bars, bars)
TRADE_ROW_TEXT(loop, loop)
TRADE_ROW_TEXT(variant, variant)
TRADE_ROW_TEXT(unit, unit)
TRADE_ROW_TEXT(move, move)
TRADE_ROW_TEXT(by, marked_by)

#define TRADE_NUMBER(name, value)                                                                  \
    static void read_##name(const struct trade_came *came, const char *wanted, char *out,          \
                            size_t bytes)                                                          \
    {                                                                                              \
        trade_number(value, wanted, out, bytes);                                                   \
    }
TRADE_NUMBER(cleans, came->row->cleans)
TRADE_NUMBER(played, came->row->play_s)
TRADE_NUMBER(rest, came->row->rest_s)
TRADE_NUMBER(elapsed, came->row->elapsed_s)
TRADE_NUMBER(count_ins, came->heard->count_ins)
TRADE_NUMBER(taken, came->heard->taken)
TRADE_NUMBER(counted, heard_between_s(came->heard->timeline->start, came->heard->timeline->body,
                                      came->heard->timeline->rate_hz))
TRADE_NUMBER(body, heard_between_s(came->heard->timeline->body, came->heard->timeline->landing,
                                   came->heard->timeline->rate_hz))
TRADE_NUMBER(passes, came->result->passes)
TRADE_NUMBER(missed, came->missed)
TRADE_NUMBER(level, 100000 * came->clean / came->setup->rule.target_mbpm)

#define TRADE_TEMPO(name, value)                                                                   \
    static void read_##name(const struct trade_came *came, const char *wanted, char *out,          \
                            size_t bytes)                                                          \
    {                                                                                              \
        (void)wanted;                                                                              \
        trade_tempo(value, out, bytes);                                                            \
    }
TRADE_TEMPO(next, came->row->next)
TRADE_TEMPO(best, came->result->best_mbpm / 1000.0)
TRADE_TEMPO(clean, came->clean)
TRADE_TEMPO(tomorrow, came->tomorrow)
TRADE_TEMPO(opens, came->opens)

static void read_cold(const struct trade_came *came, const char *wanted, char *out, size_t bytes)
{
    (void)wanted;
    snprintf(out, bytes, "%s", came->cold);
}

/* The octave in which the variant sounds, 0 at pitch. */
static void read_octave(const struct trade_came *came, const char *wanted, char *out, size_t bytes)
{
    (void)wanted;
    const struct passo_passage *passage = &came->setup->passage;
    for (size_t i = 0; i < passage->variants; i++) {
        if (strcmp(passage->variant[i].name, came->row->variant) == 0)
            snprintf(out, bytes, "%d", passage->variant[i].octave);
    }
}

static void read_count_in(const struct trade_came *came, const char *wanted, char *out,
                          size_t bytes)
{
    size_t clicks = 0;
    const struct passo_timeline *timeline = came->heard->timeline;
    for (size_t i = 0; i < heard_body(timeline); i++)
        clicks += timeline->event[i].kind == PASSO_EVENT_CLICK;
    trade_number((double)clicks, wanted, out, bytes);
}

/* "1 2 3 4 | 1 2 3": what the count-in counts, bar by bar. */
static void read_counts(const struct trade_came *came, const char *wanted, char *out, size_t bytes)
{
    (void)wanted;
    size_t used = 0;
    const struct passo_timeline *timeline = came->heard->timeline;
    for (size_t i = 0; i < heard_body(timeline) && used < bytes; i++) {
        const struct passo_event *event = &timeline->event[i];
        if (event->kind != PASSO_EVENT_CLICK)
            continue;
        bool bar = event->click == PASSO_CLICK_COUNT_BAR;
        const char *between = i == 0 ? "" : bar ? " | " : " ";
        used += (size_t)snprintf(out + used, bytes - used, "%s%d", between, event->beat);
    }
}

/* "44.1 0 0.635": from that beat on every click that sounds, in seconds from it, as many as are
 * wanted. */
static void read_clicks(const struct trade_came *came, const char *wanted, char *out, size_t bytes)
{
    const struct passo_timeline *timeline = came->heard->timeline;
    int bar = 0;
    int beat = 0;
    int read = 0;
    if (sscanf(wanted, "%d.%d%n", &bar, &beat, &read) != 2)
        return;
    size_t first = heard_find(timeline, bar, beat);
    size_t used = (size_t)snprintf(out, bytes, "%d.%d", bar, beat);
    const char *next = wanted + read;
    for (size_t i = first; i < timeline->events && used < bytes; i++) {
        next += strspn(next, " ");
        if (!*next)
            return;
        if (timeline->event[i].kind != PASSO_EVENT_CLICK)
            continue;
        char number[32];
        snprintf(number, sizeof number, "%.*s", (int)strcspn(next, " "), next);
        next += strlen(number);
        double s = heard_s(timeline, i) - heard_s(timeline, first);
        used += (size_t)snprintf(out + used, bytes - used, " %.*f", trade_places(number), s);
    }
}

static void read_silent(const struct trade_came *came, const char *wanted, char *out, size_t bytes)
{
    size_t silent = 0;
    for (size_t i = 0; i < came->heard->timeline->events; i++)
        silent += came->heard->timeline->event[i].kind == PASSO_EVENT_SILENT_CLICK;
    trade_number((double)silent, wanted, out, bytes);
}

/* The clicks of the body that sound after a silent one. */
static void read_returns(const struct trade_came *came, const char *wanted, char *out, size_t bytes)
{
    (void)wanted;
    const struct passo_timeline *timeline = came->heard->timeline;
    bool silent = false;
    size_t used = 0;
    for (size_t i = heard_body(timeline); timeline->event[i].kind != PASSO_EVENT_LAND; i++) {
        if (!heard_is_click(&timeline->event[i]))
            continue;
        bool sounds = timeline->event[i].kind == PASSO_EVENT_CLICK;
        if (silent && sounds && used < bytes)
            used += (size_t)snprintf(out + used, bytes - used, "%s%.3f", used ? " " : "",
                                     heard_s(timeline, i));
        silent = !sounds;
    }
}

/* When the landing clicks. */
static void read_landing(const struct trade_came *came, const char *wanted, char *out, size_t bytes)
{
    const struct passo_timeline *timeline = came->heard->timeline;
    size_t i = heard_body(timeline);
    while (timeline->event[i].kind != PASSO_EVENT_LAND)
        i++;
    if (timeline->event[i + 1].kind == PASSO_EVENT_CLICK)
        trade_number(heard_s(timeline, i + 1), wanted, out, bytes);
}

/* The cue of that name, if it was sent after the pass's first count-in began. */
static void read_cue(const struct trade_came *came, const char *wanted, char *out, size_t bytes)
{
    for (int cue = 0; cue < PASSO_CUE_COUNT; cue++) {
        const char *name = passo_cue_name((enum passo_cue)cue);
        if (strcmp(name, wanted) == 0 && (came->heard->cues & 1u << cue) != 0)
            snprintf(out, bytes, "%s", name);
    }
}

struct trade_says {
    const char *word;
    trade_reader *read;
};

static const struct trade_says trade_of_pass[] = {
    {"part", read_part},
    {"bars", read_bars},
    {"loop", read_loop},
    {"variant", read_variant},
    {"octave", read_octave},
    {"unit", read_unit},
    {"move", read_move},
    {"next", read_next},
    {"by", read_by},
    {"cleans", read_cleans},
    {"played", read_played},
    {"rest", read_rest},
    {"elapsed", read_elapsed},
    {"count-in", read_count_in},
    {"counts", read_counts},
    {"counted", read_counted},
    {"body", read_body},
    {"clicks", read_clicks},
    {"silent", read_silent},
    {"returns", read_returns},
    {"landing", read_landing},
    {"count-ins", read_count_ins},
    {"taken", read_taken},
    {"cue", read_cue},
    {NULL, NULL},
};

static const struct trade_says trade_of_end[] = {
    {"best", read_best},   {"passes", read_passes},     {"clean", read_clean},
    {"level", read_level}, {"tomorrow", read_tomorrow}, {NULL, NULL},
};

static const struct trade_says trade_of_day[] = {
    {"missed", read_missed}, {"opens", read_opens}, {"best", read_clean},
    {"level", read_level},   {"cold", read_cold},   {NULL, NULL},
};

/* Judges the words of a line from the index on, all but those of `played`. */
static void trade_judge(struct trade_course *course, const struct trade_line *line, size_t from,
                        const struct trade_says *says, const struct trade_came *came,
                        const char *played)
{
    for (size_t i = from; i < line->words; i += 2) {
        const struct trade_word *word = &line->word[i];
        const struct trade_says *at = says;
        char got[512] = "";
        while (at->word && strcmp(at->word, word->text))
            at++;
        if (played && strcmp(played, word->text) == 0)
            continue;
        if (!at->word) {
            trade_fault(course, word->line, "`%s` is not known here", word->text);
            return;
        }
        if (i + 1 == line->words) {
            trade_fault(course, word->line, "`%s` has no value", word->text);
            return;
        }
        at->read(came, word[1].text, got, sizeof got);
        if (strcmp(got, word[1].text))
            trade_fault(course, word->line, "%s %s: %s is `%s`, not `%s`", line->word[0].text,
                        line->word[1].text, word->text, got, word[1].text);
    }
}

#endif
