/* Text for terminals: its columns, and UTF-8 folded to ASCII, by two tables of letters without
 * their accents, a short list of signs, '?' for the rest. Owns no state. Thread: any, but
 * passo_locale_is_utf8 the main thread. */
#include "text/fold.h"

#include <langinfo.h>
#include <locale.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>
#include <wchar.h>

/* U+00C0 to U+00FF, and U+0100 to U+017F: the base letter of each. */
static const char latin1[] = "AAAAAAACEEEEIIIIDNOOOOOxOUUUUYTsaaaaaaaceeeeiiiidnooooo/ouuuuyty";
static const char extended[] = "AaAaAaCcCcCcCcDdDdEeEeEeEeEeGgGgGgGgHhHhIiIiIiIiIiIiJjKkk"
                               "LlLlLlLlLlNnNnNnnNnOoOoOoOoRrRrRrSsSsSsSsTtTtTtUuUuUuUuUuUu"
                               "WwYyYZzZzZzs";

static const struct {
    uint32_t sign;
    const char *ascii;
} signs[] = {
    {0xa0, " "},    {0xa9, "(c)"},  {0xab, "\""},      {0xb0, " deg"},       {0xb7, "-"},
    {0xbb, "\""},   {0xbd, "1/2"},  {0xc4, "Ae"},      {0xc6, "Ae"},         {0xd6, "Oe"},
    {0xdc, "Ue"},   {0xdf, "ss"},   {0xe4, "ae"},      {0xe6, "ae"},         {0xf6, "oe"},
    {0xfc, "ue"},   {0x152, "Oe"},  {0x153, "oe"},     {0x2010, "-"},        {0x2011, "-"},
    {0x2012, "-"},  {0x2013, "-"},  {0x2014, "-"},     {0x2018, "'"},        {0x2019, "'"},
    {0x201c, "\""}, {0x201d, "\""}, {0x201e, "\""},    {0x2022, "*"},        {0x2026, "..."},
    {0x2190, "<-"}, {0x2192, "->"}, {0x2212, "-"},     {0x2264, "<="},       {0x2265, ">="},
    {0x25cb, "."},  {0x25cf, "o"},  {0x266d, "-flat"}, {0x266e, "-natural"}, {0x266f, "-sharp"},
};

bool passo_locale_is_utf8(void)
{
    setlocale(LC_CTYPE, "");
    return strcmp(nl_langinfo(CODESET), "UTF-8") == 0;
}

uint32_t passo_text_next(const char **at)
{
    const unsigned char *p = (const unsigned char *)*at;
    size_t more = *p < 0x80 ? 0 : *p < 0xe0 ? 1 : *p < 0xf0 ? 2 : 3;
    uint32_t sign = more == 0 ? *p : *p & (0x3fu >> more);
    size_t got = 0;
    while (got < more && (p[got + 1] & 0xc0) == 0x80)
        sign = sign << 6 | (p[++got] & 0x3f);
    *at += 1 + got;
    return got == more ? sign : 0xfffd;
}

static const char *likeness(uint32_t sign, char letter[2])
{
    for (size_t i = 0; i < sizeof signs / sizeof signs[0]; i++)
        if (signs[i].sign == sign)
            return signs[i].ascii;
    letter[0] = '?';
    if (sign >= 0x300 && sign <= 0x36f)
        return ""; /* an accent of its own */
    if (sign < 0x80)
        letter[0] = (char)sign;
    else if (sign >= 0xc0 && sign <= 0xff)
        letter[0] = latin1[sign - 0xc0];
    else if (sign >= 0x100 && sign <= 0x17f)
        letter[0] = extended[sign - 0x100];
    return letter;
}

const char *passo_text_ascii(const char *text, char *out, size_t bytes)
{
    size_t used = 0;
    while (*text) {
        uint32_t sign = passo_text_next(&text);
        char letter[2] = {0};
        const char *ascii = likeness(sign, letter);
        /* a dot between two statements reads as a comma */
        if (sign == 0xb7 && used > 0 && out[used - 1] == ' ') {
            used--;
            ascii = ",";
        }
        size_t length = strlen(ascii);
        if (used + length + 1 > bytes)
            break;
        memcpy(out + used, ascii, length);
        used += length;
    }
    if (bytes > 0)
        out[used] = '\0';
    return out;
}

size_t passo_text_fitting(const char *text, int most, int *out_columns)
{
    const char *at = text;
    *out_columns = 0;
    while (*at) {
        const char *behind = at;
        int wide = wcwidth((wchar_t)passo_text_next(&behind));
        /* A character that the locale does not know has one column, as most have. */
        wide = wide < 0 ? 1 : wide;
        if (*out_columns + wide > most)
            break;
        *out_columns += wide;
        at = behind;
    }
    return (size_t)(at - text);
}
