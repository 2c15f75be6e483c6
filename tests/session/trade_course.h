/* The sessions of trade.md section 4 as files: NN-name.passo, the passage, and NN-name.course, what
 * is played of it and what must come of it. This reads a .course:
 *
 *   # comment                       to the end of the line
 *   climb WORDS                     a climb of its own begins; none is needed for the first
 *   NUMBER TEMPO MARK [WORD VALUE]  a row of the record: its pass, its tempo exactly, its mark (C
 *                                   clean, M miss, U unmarked, V void), then what else must hold
 *   press KEY pass NUMBER PLACE     a press at its time; without any the marks are played as told
 *   day DATE [WORD VALUE]           a day's climb, which opens by the log of the days before
 *   end OUTCOME [WORD VALUE]        how the climb ended
 *
 * A value with blanks stands in double quotes. A line that begins with blanks and a letter goes on
 * with the line above. Numbers are compared to as many places as they are written. trade_judge.h
 * has the words. A fault names file and line. */
#ifndef PASSO_TESTS_TRADE_COURSE_H
#define PASSO_TESTS_TRADE_COURSE_H

#include <ctype.h>

#include "stage_band.h"

enum { TRADE_LINES = 128, TRADE_WORDS = 48, TRADE_WORD_BYTES = 256 };

struct trade_word {
    char text[TRADE_WORD_BYTES];
    int line; /* of the file */
};

struct trade_line {
    struct trade_word word[TRADE_WORDS];
    size_t words;
};

struct trade_course {
    char name[64]; /* "01-streak.course" */
    struct trade_line line[TRADE_LINES];
    size_t lines;
    size_t faults;
    bool quiet; /* faults are counted, not told */
};

static void trade_fault(struct trade_course *course, int line, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

static void trade_fault(struct trade_course *course, int line, const char *format, ...)
{
    char sentence[1024];
    va_list values;
    va_start(values, format);
    vsnprintf(sentence, sizeof sentence, format, values);
    va_end(values);
    course->faults++;
    if (!course->quiet)
        print_error("%s, line %d: %s\n", course->name, line, sentence);
}

/* Takes the next word off a text; false at its end or at a comment. */
static bool trade_take_word(const char **at, struct trade_course *course, int number,
                            struct trade_word *out_word)
{
    *at += strspn(*at, " \t\r\n");
    if (!**at || **at == '#')
        return false;
    bool quoted = **at == '"';
    *at += quoted;
    size_t bytes = strcspn(*at, quoted ? "\"\n" : " \t\r\n");
    out_word->line = number;
    snprintf(out_word->text, sizeof out_word->text, "%.*s", (int)bytes, *at);
    if (bytes >= sizeof out_word->text)
        trade_fault(course, number, "a word has %zu bytes, at most 255 would do", bytes);
    *at += bytes;
    if (quoted && **at != '"')
        trade_fault(course, number, "a quote is not closed");
    else
        *at += quoted;
    return true;
}

static void trade_read_line(struct trade_course *course, const char *text, int number)
{
    bool goes_on = isblank(text[0]) && isalpha(text[strspn(text, " \t")]);
    const char *at = text;
    struct trade_word word;
    if (!trade_take_word(&at, course, number, &word))
        return;
    if (goes_on && course->lines == 0) {
        trade_fault(course, number, "there is no line above to go on with");
        return;
    }
    assert_true(goes_on || course->lines < TRADE_LINES);
    struct trade_line *line = &course->line[goes_on ? course->lines - 1 : course->lines++];
    do {
        if (line->words == TRADE_WORDS) {
            trade_fault(course, number, "a line has at most %d words", TRADE_WORDS);
            return;
        }
        line->word[line->words++] = word;
    } while (trade_take_word(&at, course, number, &word));
}

/* Reads a text; free with free(). */
static struct trade_course *trade_course_read(const char *name, FILE *from, bool quiet)
{
    struct trade_course *course = calloc(1, sizeof *course);
    char text[1024];
    snprintf(course->name, sizeof course->name, "%s", name);
    course->quiet = quiet;
    for (int number = 1; fgets(text, sizeof text, from); number++)
        trade_read_line(course, text, number);
    if (course->lines == 0)
        trade_fault(course, 1, "nothing is said; a pass is `1 84 C`");
    return course;
}

static bool trade_line_is(const struct trade_line *line, const char *word)
{
    return strcmp(line->word[0].text, word) == 0;
}

/* A row of the record begins with a number. */
static bool trade_line_is_row(const struct trade_line *line)
{
    return isdigit(line->word[0].text[0]);
}

/* The value of a word from the index on, or NULL. */
static const char *trade_value(const struct trade_line *line, size_t from, const char *word)
{
    for (size_t i = from; i + 1 < line->words; i += 2) {
        if (strcmp(line->word[i].text, word) == 0)
            return line->word[i + 1].text;
    }
    return NULL;
}

#endif
