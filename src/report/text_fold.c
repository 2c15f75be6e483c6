/* ASCII for terminals without UTF-8: letters by their base letter, a few signs by what is written
 * for them on a typewriter. Pure. */
#include "report/text_fold.h"

#include <string.h>

/* U+00C0 to U+017F: the base letter of each. */
static const char letters[] = "AAAAAAACEEEEIIIIDNOOOOOxOUUUUYTsaaaaaaaceeeeiiiidnooooo/ouuuuyty"
                              "AaAaAaCcCcCcCcDdDdEeEeEeEeEeGgGgGgGgHhHhIiIiIiIiIiIiJjKkkLlLlLlLlLl"
                              "NnNnNnnNnOoOoOoOoRrRrRrSsSsSsSsTtTtTtUuUuUuUuUuUuWwYyYZzZzZzs";

static const struct {
    wchar_t sign;
    const char *ascii;
} signs[] = {
    {0xa0, " "},    {0xab, "\""},    {0xb0, " deg"},   {0xb7, "-"},       {0xbb, "\""},
    {0xbd, "1/2"},  {0xdf, "ss"},    {0x2010, "-"},    {0x2011, "-"},     {0x2013, "-"},
    {0x2014, "-"},  {0x2018, "'"},   {0x2019, "'"},    {0x201c, "\""},    {0x201d, "\""},
    {0x201e, "\""}, {0x2026, "..."}, {0x266d, "flat"}, {0x266f, "sharp"},
};

wchar_t text_next(const char **at)
{
    const unsigned char *byte = (const unsigned char *)*at;
    size_t length = byte[0] >= 0xF0 ? 4 : byte[0] >= 0xE0 ? 3 : byte[0] >= 0xC0 ? 2 : 1;
    unsigned code = length == 1 ? byte[0] : byte[0] & (0x7Fu >> length);
    for (size_t i = 1; i < length; i++)
        code = code << 6 | (byte[i] & 0x3Fu);
    *at += length;
    return (wchar_t)code;
}

static const char *likeness(wchar_t sign, char letter[2])
{
    letter[0] = '?';
    letter[1] = '\0';
    for (size_t i = 0; i < sizeof signs / sizeof signs[0]; i++) {
        if (signs[i].sign == sign)
            return signs[i].ascii;
    }
    if (sign >= 0x300 && sign <= 0x36f)
        return ""; /* an accent of its own */
    if (sign < 0x80)
        letter[0] = (char)sign;
    else if (sign >= 0xc0 && sign <= 0x17f)
        letter[0] = letters[sign - 0xc0];
    return letter;
}

const char *text_ascii(const char *text, char *out, size_t bytes)
{
    size_t used = 0;
    char letter[2];
    while (*text) {
        const char *ascii = likeness(text_next(&text), letter);
        size_t length = strlen(ascii);
        if (used + length + 1 > bytes)
            break;
        memcpy(out + used, ascii, length);
        used += length;
    }
    if (bytes)
        out[used] = '\0';
    return out;
}
