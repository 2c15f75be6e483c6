/* The player of a session: a band that presses where its course says. A press stands at a place of
 * a pass, which is known once the count-in of that pass has begun; when it is due is looked up anew
 * each time, for a count-in may be stopped and begin again. */
#ifndef PASSO_TESTS_TRADE_STAND_H
#define PASSO_TESTS_TRADE_STAND_H

#include "trade_course.h"
#include "trade_heard.h"

/* One line `press`, or the keys that a foot repeats. */
struct press_line {
    const struct trade_line *line;
    int repeats; /* made already */
};

/* A band that presses where the course says. */
struct stand {
    struct band band;
    struct trade_course *course;
    struct press_line press[TRADE_LINES];
    size_t presses;
    size_t taken;
};

static const struct {
    const char *name;
    enum passo_command command;
    int key;
} trade_keys[] = {{"space", PASSO_COMMAND_CLEAN, ' '},  {"left", PASSO_COMMAND_MISS, 1000},
                  {"right", PASSO_COMMAND_CLEAN, 1001}, {"u", PASSO_COMMAND_UNDO, 'u'},
                  {"p", PASSO_COMMAND_PAUSE, 'p'},      {"q", PASSO_COMMAND_QUIT, 'q'}};

enum { TRADE_KEYS = sizeof trade_keys / sizeof trade_keys[0], REPEATS_A_S = 30 };

static size_t key_of(const struct trade_line *line)
{
    size_t key = 0;
    while (key < TRADE_KEYS && strcmp(trade_keys[key].name, line->word[1].text))
        key++;
    return key;
}

/* Seconds of the clock at `press KEY pass N PLACE`, by what is known of the pass now; -1: nothing
 * yet, or no such place. */
static double press_s(const struct trade_line *line)
{
    uint32_t pass = (uint32_t)atoi(line->word[3].text);
    const char *place = line->word[4].text;
    double number = atof(line->word[5].text);
    if (pass != heard.now)
        return -1;
    const struct passo_timeline *timeline = heard.pass[pass].timeline;
    if (strcmp(place, "count-in") == 0)
        return heard_beat_s(timeline, 0, number);
    if (strcmp(place, "bar") == 0 && line->words > 6)
        return heard_beat_s(timeline, (int)number, atof(line->word[6].text));
    struct passo_instant from = strcmp(place, "rest") == 0 ? timeline->end : timeline->body;
    return (double)from.frame / timeline->rate_hz + number;
}

static int64_t stand_due(struct passo_view *view)
{
    const struct stand *stand = (struct stand *)view;
    if (stand->taken == stand->presses)
        return INT64_MAX;
    const struct press_line *press = &stand->press[stand->taken];
    double s = press_s(press->line);
    return s < 0 ? INT64_MAX : (int64_t)((s + (double)press->repeats / REPEATS_A_S) * 1e9);
}

static bool stand_press(struct passo_view *view, int64_t now_ns, struct passo_press *out_press)
{
    struct stand *stand = (struct stand *)view;
    int64_t due_ns = stand_due(view);
    if (due_ns > now_ns)
        return false;
    struct press_line *press = &stand->press[stand->taken];
    size_t key = key_of(press->line);
    size_t behind = strcmp(press->line->word[4].text, "bar") ? 6 : 7;
    const char *held_s = trade_value(press->line, behind, "held");
    *out_press = (struct passo_press){
        .command = trade_keys[key].command, .key = trade_keys[key].key, .at_ns = due_ns};
    press->repeats++;
    if (!held_s || press->repeats >= atof(held_s) * REPEATS_A_S)
        stand->taken++;
    return true;
}

static void stand_say(struct passo_view *view, enum passo_say kind, const char *line)
{
    unsigned number;
    band_say(view, kind, line);
    if (kind == PASSO_SAY_PASS && sscanf(line, "Pass %u:", &number) == 1)
        heard_begin(number);
    if (kind == PASSO_SAY_MARK && sscanf(line, "Pass %u:", &number) == 1)
        heard.pass[number].taken++;
}

static const struct passo_view_ops stand_ops = {.name = "stand",
                                                .draw = band_draw,
                                                .say = stand_say,
                                                .press = stand_press,
                                                .due_ns = stand_due};

static void stand_add_press(struct stand *stand, const struct trade_line *line)
{
    static const char *const places[] = {"count-in", "bar", "playing", "rest"};
    bool known = false;
    for (size_t i = 0; line->words > 5 && i < 4; i++)
        known |= strcmp(line->word[4].text, places[i]) == 0;
    if (known && strcmp(line->word[2].text, "pass") == 0 && key_of(line) < TRADE_KEYS)
        stand->press[stand->presses++].line = line;
    else
        trade_fault(stand->course, line->word[0].line, "`press space pass 3 rest 1` would do");
}

static struct stand *stand_new(struct trade_course *course, time_t wall_s)
{
    struct stand *stand = calloc(1, sizeof *stand);
    stand->course = course;
    stand->band.ops = &stand_ops;
    heard_clear();
    heard.wall_s = wall_s;
    return stand;
}

#endif
