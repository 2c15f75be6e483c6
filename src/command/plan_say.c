/* Words of `passo plan`, made fit for the terminal's characters. */
#include "command/plan_say.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include "text/fold.h"

enum { SAY_BYTES = 1024 };

static void put(const char *text)
{
    char ascii[2 * SAY_BYTES];
    fputs(passo_locale_is_utf8() ? text : passo_text_ascii(text, ascii, sizeof ascii), stdout);
}

void plan_say(const char *format, ...)
{
    char text[SAY_BYTES];
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(text, sizeof text, format, arguments);
    va_end(arguments);
    put(text);
}

/* Characters of UTF-8: bytes that do not continue one. */
static int columns_of(const char *text, size_t bytes)
{
    int columns = 0;
    for (size_t i = 0; i < bytes; i++)
        columns += ((unsigned char)text[i] & 0xc0) != 0x80;
    return columns;
}

void plan_tell(const char *format, ...)
{
    char text[SAY_BYTES];
    int column = 0;
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(text, sizeof text, format, arguments);
    va_end(arguments);
    for (char *word = text; *word;) {
        const size_t bytes = strcspn(word, " ");
        const int columns = columns_of(word, bytes);
        char *next = word + bytes + (word[bytes] == ' ');
        word[bytes] = '\0';
        if (column > 0) {
            const bool fits = column + 1 + columns <= PLAN_WIDTH;
            putchar(fits ? ' ' : '\n');
            column = fits ? column + 1 : 0;
        }
        put(word);
        column += columns;
        word = next;
    }
    putchar('\n');
}

int plan_bar(double share, int columns)
{
    static const char *const eighths[] = {"",       "\u258f", "\u258e", "\u258d",
                                          "\u258c", "\u258b", "\u258a", "\u2589"};
    const bool utf8 = passo_locale_is_utf8();
    const int parts = utf8 ? 8 : 1;
    const int filled = (int)(share * columns * parts + 0.5);
    for (int i = 0; i < filled / parts; i++)
        fputs(utf8 ? "\u2588" : "#", stdout);
    if (utf8)
        fputs(eighths[filled % parts], stdout);
    return (filled + parts - 1) / parts;
}

const char *plan_percent(uint32_t part, uint32_t whole, char out[16])
{
    const uint32_t percent = (uint32_t)(((uint64_t)part * 200 + whole) / (2 * (uint64_t)whole));
    if (part > 0 && percent == 0)
        snprintf(out, 16, "under 1 %%");
    else if (part < whole && percent == 100)
        snprintf(out, 16, "over 99 %%");
    else
        snprintf(out, 16, "%u %%", percent);
    return out;
}
