/* For the tests of the drawings in text: what was drawn, its lines, and what must hold of any. */
#ifndef PASSO_TESTS_REPORT_TEXT_TOOLS_H
#define PASSO_TESTS_REPORT_TEXT_TOOLS_H

#include "report_tools.h"

#include <locale.h>
#include <wchar.h>

typedef void (*text_draw)(const struct passo_report *report, const struct passo_report_style *style,
                          FILE *to);

/* What is drawn; free it. Not inline: gcc would take what the stream writes for gone with it. */
__attribute__((noinline, unused)) static char *
drawn(text_draw draw, const struct passo_report *report, int columns, bool utf8)
{
    char *text = NULL;
    size_t bytes = 0;
    const struct passo_report_style style = {.utf8 = utf8, .columns = columns};
    FILE *to = open_memstream(&text, &bytes);
    assert_non_null(to);
    draw(report, &style, to);
    assert_int_equal(fclose(to), 0);
    return text;
}

/* Columns of a line, as the C library counts them. */
static inline int width_of(const char *line)
{
    wchar_t wide[4096];
    size_t length = mbstowcs(wide, line, 4096);
    int columns = 0;
    assert_true(length < 4096); /* broken UTF-8 is (size_t)-1 */
    for (size_t i = 0; i < length; i++) {
        int one = wcwidth(wide[i]);
        columns += one < 0 ? 1 : one; /* what the library does not know yet */
    }
    return columns;
}

/* No line too wide, none with a blank at its end, nothing that moves a cursor, ASCII if asked. */
static inline void assert_fits(const char *text, int columns, bool utf8)
{
    char *copy = strdup(text);
    size_t bytes = strlen(copy);
    assert_true(bytes > 0 && copy[bytes - 1] == '\n');
    for (const unsigned char *at = (const unsigned char *)text; *at; at++) {
        assert_true(*at == '\n' || (*at >= 0x20 && *at != 0x7f));
        assert_true(utf8 || *at < 0x80);
        assert_false(at[0] == 0xc2 && at[1] < 0xa0);
    }
    for (char *line = copy, *end; *line; line = end + 1) {
        end = strchr(line, '\n');
        *end = '\0';
        int width = width_of(line);
        if (width > columns)
            fail_msg("%d columns, not %d: %s", width, columns, line);
        assert_true(end == line || end[-1] != ' ');
    }
    free(copy);
}

static inline size_t lines_of(const char *text)
{
    size_t lines = 0;
    for (; *text; text++)
        lines += *text == '\n';
    return lines;
}

static inline void assert_has(const char *text, const char *words)
{
    if (!strstr(text, words))
        fail_msg("\"%s\" is not in:\n%s", words, text);
}

static inline void assert_has_not(const char *text, const char *words)
{
    if (strstr(text, words))
        fail_msg("\"%s\" is in:\n%s", words, text);
}

static inline int use_utf8(void **state)
{
    (void)state;
    return setlocale(LC_CTYPE, "C.UTF-8") ? 0 : -1;
}

#endif
