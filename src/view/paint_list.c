/* Painters of a day's list: every item a row with a sign for what has become of it, visits set in
 * from the left under the block that they follow, minutes on the right. A list that is longer than
 * its rows shows those around the current line and says how many more there are. A block's keys
 * stand one below the other without its name before each. Signs and words tell the states apart, no
 * hue. Thread: main. */
#include "view/paint.h"
#include "view/day_words.h"

#include <stdio.h>
#include <string.h>

#define DOT             " \u00b7 "
#define VISIT_WORD      "visit: "
#define SIGN_COLS       2
#define INDENT          2
#define GAP             2
#define WIDE_COLS       70 /* from here on, the listing has a column for the whys */
#define WHY_COLS_LEAST  16
#define HEAD_COLS_LEAST 4
#define COLUMN_ROWS     4 /* from here on, there is a list; below, one row of words */

/* The rows of a list. */
struct list {
    struct rect in;
    const struct passo_day_show *day;
    int number_cols;  /* 0: no numbers */
    int minutes_cols; /* of the longest time */
    int minutes_from; /* column of its first sign */
    int why_from;     /* column of the whys; 0: none beside */
    bool why_below;   /* of visits, on a row of its own */
    bool aligned;     /* a key without its block's name stands under the key above */
    bool now_wraps;   /* the current line may take two rows */
    bool more_before; /* the first row says so */
    size_t from, to;  /* the lines that are shown, `to` not included */
};

/* --- words --- */

/* When the day is over, the last line is only done. */
static bool is_now(const struct passo_day_show *day, size_t at)
{
    enum passo_day_state state = day->line[at].state;
    return at == day->now && (state == PASSO_DAY_NOW || state == PASSO_DAY_TO_COME);
}

/* "2:30"; of a line that was left out, or put off to the end, the word. */
static const char *minutes_write(const struct passo_day_line *line, char *out, size_t bytes)
{
    long long s = (line->ms + 500) / 1000;
    if (line->state == PASSO_DAY_SKIPPED)
        snprintf(out, bytes, "out");
    else if (line->state == PASSO_DAY_PUT_OFF)
        snprintf(out, bytes, "end");
    else
        snprintf(out, bytes, "%lld:%02lld", s / 60, s % 60);
    return out;
}

/* Its place and sign say that it is a visit. */
static const char *line_words(const struct passo_day_line *line)
{
    size_t word = strlen(VISIT_WORD);
    bool said = line->visit && strncmp(line->what, VISIT_WORD, word) == 0;
    return said ? line->what + word : line->what;
}

/* What a line need not say again: the bytes before its key, if the block above it, among the lines
 * that are shown, has the same; the current line says everything. */
static size_t said_above(const struct list *list, size_t at)
{
    const struct passo_day_line *line = &list->day->line[at];
    const char *dot = strstr(line->what, DOT);
    if (dot == NULL || line->visit || is_now(list->day, at))
        return 0;
    size_t bytes = (size_t)(dot - line->what) + strlen(DOT);
    for (size_t above = at; above-- > list->from;)
        if (!list->day->line[above].visit)
            return strncmp(list->day->line[above].what, line->what, bytes) == 0 ? bytes : 0;
    return 0;
}

/* --- rows --- */

static int words_from(const struct list *list, const struct passo_day_line *line)
{
    int number = list->number_cols > 0 ? list->number_cols + 1 : 0;
    return number + SIGN_COLS + (line->visit ? INDENT : 0);
}

static int words_cols(const struct list *list, const struct passo_day_line *line)
{
    return list->minutes_from - 1 - words_from(list, line);
}

static int line_rows(const struct list *list, size_t at)
{
    const struct passo_day_line *line = &list->day->line[at];
    int rows = 1;
    if (list->now_wraps && is_now(list->day, at) &&
        ink_rows(words_cols(list, line), line_words(line)) > 1)
        rows++;
    return rows + (list->why_below && line->visit && line->why[0] != '\0' ? 1 : 0);
}

/* On one row: of a block and its key the block's name gives way, word by word. */
static void paint_on_a_row(struct rect row, enum ink ink, const char *words)
{
    char text[PASSO_WORDS_BYTES + 8];
    const char *dot = strstr(words, DOT);
    size_t head = dot == NULL ? 0 : (size_t)(dot - words);
    snprintf(text, sizeof text, "%s", words);
    while (head > 0 && ink_width(text) > row.cols) {
        while (head > 0 && words[--head] != ' ')
            continue;
        snprintf(text, sizeof text, "%.*s%s\u2026%s", (int)head, words, head > 0 ? " " : "", dot);
    }
    ink_wrap(row, ink, ink_width(text) > row.cols ? words : text);
}

static void paint_line_words(const struct list *list, struct rect row, size_t at)
{
    const struct passo_day_line *line = &list->day->line[at];
    char above[PASSO_WORDS_BYTES];
    size_t said = said_above(list, at);
    enum ink ink = is_now(list->day, at) ? INK_STRONG : INK_PLAIN;
    if (said == 0 && row.rows > 1) {
        ink_wrap(row, ink, line_words(line));
        return;
    }
    if (said > 0) {
        snprintf(above, sizeof above, "%.*s", (int)said, line->what);
        int indent = list->aligned ? ink_width(above) : INDENT;
        if (indent > row.cols / 2)
            indent = INDENT;
        row.x += indent;
        row.cols -= indent;
    }
    paint_on_a_row(row, ink, line_words(line) + said);
}

static void paint_state(const struct list *list, int y, int x, size_t at)
{
    const struct passo_day_line *line = &list->day->line[at];
    if (is_now(list->day, at))
        ink_signs(list->in, y, x, INK_BEAT, SIGN_HERE, 1);
    else if (line->state == PASSO_DAY_DONE)
        ink_signs(list->in, y, x, INK_PLAIN, SIGN_DONE, 1);
    else if (line->state == PASSO_DAY_SKIPPED)
        ink_signs(list->in, y, x, INK_PLAIN, SIGN_LEFT_OUT, 1);
}

static void paint_why(const struct list *list, int y, int rows, const struct passo_day_line *line)
{
    struct rect in = list->in;
    int x = list->why_below ? words_from(list, line) : list->why_from;
    if (line->why[0] == '\0' || x == 0 || (list->why_below && !line->visit))
        return;
    if (list->why_below)
        y += rows - 1;
    ink_wrap((struct rect){in.y + y, in.x + x, 1, in.cols - x}, INK_PLAIN, line->why);
}

/* Returns the rows used. */
static int paint_line(const struct list *list, int y, size_t at)
{
    const struct passo_day_line *line = &list->day->line[at];
    char text[32];
    struct rect in = list->in;
    enum ink ink = is_now(list->day, at) ? INK_STRONG : INK_PLAIN;
    int rows = line_rows(list, at);
    int x = words_from(list, line);
    if (list->number_cols > 0) {
        int digits = snprintf(text, sizeof text, "%zu", at + 1);
        ink_text(in, y, list->number_cols - digits, ink, text);
    }
    paint_state(list, y, list->number_cols > 0 ? list->number_cols + 1 : 0, at);
    if (line->visit)
        ink_signs(in, y, x - INDENT, ink, SIGN_VISIT, 1);
    int words_rows = list->why_below && line->visit && line->why[0] != '\0' ? rows - 1 : rows;
    paint_line_words(list, (struct rect){in.y + y, in.x + x, words_rows, words_cols(list, line)},
                     at);
    minutes_write(line, text, sizeof text);
    ink_text(in, y, list->minutes_from + list->minutes_cols - ink_width(text), ink, text);
    paint_why(list, y, rows, line);
    return rows;
}

/* --- which lines --- */

static int all_rows(const struct list *list)
{
    int rows = 0;
    for (size_t i = 0; i < list->day->lines; i++)
        rows += line_rows(list, i);
    return rows;
}

/* Lines in the rows there are: the current one, a third of the others before it, as far as there
 * are any, the rest behind it. One row on a side where lines are missing is for saying so. */
static void choose_lines(struct list *list)
{
    const struct passo_day_show *day = list->day;
    size_t now = day->now < day->lines ? day->now : day->lines - 1;
    size_t room = (size_t)(list->in.rows - line_rows(list, now));
    list->from = 0;
    list->to = day->lines;
    if (all_rows(list) <= list->in.rows)
        return;
    size_t behind = day->lines - 1 - now;
    size_t before = now < room / 3 ? now : room / 3;
    if (behind > room - before)
        behind = room - before;
    before = now < room - behind ? now : room - behind;
    list->from = now - before;
    list->to = now + 1 + behind;
    list->more_before = list->from > 0 && before > 0;
    if (list->more_before)
        list->from++;
    if (list->to < day->lines && behind > 0)
        list->to--;
}

static void paint_more(const struct list *list, int y, size_t lines, const char *where)
{
    char text[48];
    if (lines == 0 || y >= list->in.rows)
        return;
    snprintf(text, sizeof text, "\u2026 %zu %s", lines, where);
    ink_text(list->in, y, list->number_cols > 0 ? list->number_cols + 1 + SIGN_COLS : SIGN_COLS,
             INK_PLAIN, text);
}

static void paint_lines(struct list *list)
{
    int y = 0;
    if (list->day->lines == 0)
        return;
    choose_lines(list);
    if (list->more_before)
        paint_more(list, y++, list->from, "before");
    for (size_t i = list->from; i < list->to; i++)
        y += paint_line(list, y, i);
    paint_more(list, y, list->day->lines - list->to, "more");
}

static int minutes_cols(const struct passo_day_show *day)
{
    char text[32];
    int cols = 3; /* "out" */
    for (size_t i = 0; i < day->lines; i++) {
        int own = ink_width(minutes_write(&day->line[i], text, sizeof text));
        if (own > cols)
            cols = own;
    }
    return cols;
}

/* --- the two lists --- */

void paint_list(struct rect in, const struct passo_day_show *day)
{
    char minutes[48];
    if (in.rows < COLUMN_ROWS) {
        char text[2 * PASSO_WORDS_BYTES];
        ink_wrap(in, INK_PLAIN, day_in_a_row(day, text, sizeof text));
        return;
    }
    struct list list = {.in = {in.y + 1, in.x, in.rows - 1, in.cols},
                        .day = day,
                        .minutes_cols = minutes_cols(day),
                        .now_wraps = true};
    list.minutes_from = in.cols - list.minutes_cols;
    ink_text(in, 0, 0, INK_STRONG, day_minutes(day, minutes, sizeof minutes));
    paint_lines(&list);
}

static long long round_minutes(int64_t ms)
{
    return (ms + 30000) / 60000;
}

/* "45 min: 25 min of blocks, 20 min of passages", "4 min, 5 to play", "12 of 45 min, 7 to play". */
static void paint_head(struct rect in, const struct passo_day_show *day)
{
    char text[128];
    char minutes[48];
    size_t to_play = 0;
    int64_t ms[2] = {0, 0};
    for (size_t i = 0; i < day->lines; i++) {
        ms[day->line[i].visit] += day->line[i].ms;
        to_play += day->line[i].state == PASSO_DAY_TO_COME || day->line[i].state == PASSO_DAY_NOW;
    }
    long long whole = ((long long)day->whole_ms + 59999) / 60000;
    if (day->done_ms > 0)
        snprintf(text, sizeof text, "%s, %zu to play", day_minutes(day, minutes, sizeof minutes),
                 to_play);
    else if (ms[0] == 0 || ms[1] == 0)
        snprintf(text, sizeof text, "%lld min, %zu to play", whole, to_play);
    else
        snprintf(text, sizeof text, "%lld min: %lld min of blocks, %lld min of passages", whole,
                 round_minutes(ms[0]), round_minutes(ms[1]));
    ink_wrap(in, INK_PLAIN, text);
}

/* Times stand right behind the longest line, so that the eye finds its row. */
static void lay_out_listing(struct list *list)
{
    const struct passo_day_show *day = list->day;
    struct rect in = list->in;
    int widest = 0;
    int end = in.cols;
    for (size_t i = 0; i < day->lines; i++) {
        int cols = words_from(list, &day->line[i]) + ink_width(line_words(&day->line[i]));
        if (cols > widest)
            widest = cols;
    }
    if (in.cols >= WIDE_COLS && widest > in.cols / 2)
        widest = in.cols / 2;
    if (widest + GAP + list->minutes_cols < end)
        end = widest + GAP + list->minutes_cols;
    list->minutes_from = end - list->minutes_cols;
    if (in.cols >= WIDE_COLS && in.cols - end - GAP >= WHY_COLS_LEAST)
        list->why_from = end + GAP;
    else
        list->why_below = true;
    if (list->why_below && all_rows(list) > in.rows)
        list->why_below = false;
}

void paint_listing(struct rect in, const struct passo_day_show *day)
{
    char last[16];
    int blank = in.rows >= 12 ? 1 : 0;
    paint_head((struct rect){in.y, in.x, 1, in.cols}, day);
    struct list list = {.in = {in.y + 1 + blank, in.x, in.rows - 1 - blank, in.cols},
                        .day = day,
                        .number_cols = snprintf(last, sizeof last, "%zu", day->lines),
                        .minutes_cols = minutes_cols(day),
                        .aligned = true};
    lay_out_listing(&list);
    paint_lines(&list);
}
