/* Phrases, numbers and UTF-8, read without regard to the locale: a file written in one country is
 * read in another. A phrase is matched against a pattern word by word, so that each line of the
 * ladder's grammar is one pattern in the reader that needs it. */
#include "text/scan.h"

#include <passo/error.h>

#include <string.h>
#include <strings.h>

static bool blank(char sign)
{
    return sign == ' ' || sign == '\t' || sign == '\r' || sign == '\n' || sign == '\f' ||
           sign == '\v';
}

static bool digit(char sign)
{
    return sign >= '0' && sign <= '9';
}

static bool letter(char sign)
{
    return (sign >= 'a' && sign <= 'z') || (sign >= 'A' && sign <= 'Z') || (sign & 0x80);
}

static void skip_blanks(const char **at)
{
    while (blank(**at))
        ++*at;
}

bool scan_word(const char **at, const char *word)
{
    skip_blanks(at);
    size_t length = strlen(word);
    if (strncasecmp(*at, word, length) || (letter(word[length - 1]) && letter((*at)[length])))
        return false;
    *at += length;
    return true;
}

bool scan_char(const char **at, char sign)
{
    skip_blanks(at);
    if (**at != sign)
        return false;
    ++*at;
    return true;
}

bool scan_end(const char **at)
{
    skip_blanks(at);
    return **at == '\0';
}

bool scan_number(const char **at, int64_t *out_milli, bool *out_whole)
{
    skip_blanks(at);
    if (!digit(**at))
        return false;
    int64_t milli = 0;
    for (; digit(**at); ++*at)
        if (milli < SCAN_NUMBER_MAX * 1000)
            milli = milli * 10 + (**at - '0') * 1000;
    *out_whole = !(**at == '.' && digit((*at)[1]));
    if (!*out_whole) {
        ++*at;
        for (int place = 100; digit(**at); ++*at, place /= 10) {
            milli += (**at - '0') * place;
            if (place == 1 && digit((*at)[1])) {
                milli += (*at)[1] >= '5';
                while (digit((*at)[1]))
                    ++*at;
            }
        }
    }
    *out_milli = milli < SCAN_NUMBER_MAX * 1000 ? milli : SCAN_NUMBER_MAX * 1000;
    return true;
}

static bool match_whole(const char **at, int64_t *out_number)
{
    skip_blanks(at);
    bool minus = **at == '-';
    if (minus || **at == '+')
        ++*at;
    int64_t milli = 0;
    bool whole = false;
    if (!digit(**at) || !scan_number(at, &milli, &whole) || !whole)
        return false;
    *out_number = (minus ? -milli : milli) / 1000;
    return true;
}

static bool match_share(const char **at, int64_t *out_number)
{
    int64_t milli = 0;
    bool whole = false;
    if (!scan_number(at, &milli, &whole) || milli % 100)
        return false;
    *out_number = milli / 100;
    return scan_char(at, '%') || scan_word(at, "percent") ||
           (scan_word(at, "per") && scan_word(at, "cent"));
}

static bool match_time(const char **at, int64_t *out_number)
{
    static const struct {
        const char *word;
        int64_t ms;
    } unit[] = {{"s", 1000},    {"sec", 1000},     {"second", 1000},   {"seconds", 1000},
                {"min", 60000}, {"mins", 60000},   {"minute", 60000},  {"minutes", 60000},
                {"h", 3600000}, {"hour", 3600000}, {"hours", 3600000}, {"ms", 1}};
    int64_t milli = 0;
    bool whole = false;
    if (!scan_number(at, &milli, &whole))
        return false;
    if (milli > SCAN_NUMBER_MAX / 1000)
        milli = SCAN_NUMBER_MAX / 1000;
    for (size_t i = 0; i < sizeof unit / sizeof *unit; i++)
        if (scan_word(at, unit[i].word)) {
            *out_number = milli * unit[i].ms / 1000;
            return true;
        }
    return false;
}

/* One word of the pattern, which may name others with '|' between. */
static bool match_words(const char **at, const char *word, size_t length)
{
    for (size_t from = 0; from < length;) {
        size_t to = from;
        while (to < length && word[to] != '|')
            to++;
        char one[32];
        PASSO_BUG_ON(to - from >= sizeof one);
        memcpy(one, word + from, to - from);
        one[to - from] = '\0';
        if (scan_word(at, one))
            return true;
        from = to + 1;
    }
    return false;
}

static bool match_item(const char **at, const char *item, size_t length, int64_t **out_number)
{
    bool whole = false;
    switch (*item) {
    case '#':
        return match_whole(at, (*out_number)++);
    case '~':
        return scan_number(at, (*out_number)++, &whole);
    case '%':
        return match_share(at, (*out_number)++);
    case '@':
        return match_time(at, (*out_number)++);
    default:
        return match_words(at, item, length);
    }
}

bool scan_match(const char *text, const char *pattern, int64_t *out_number)
{
    const char *at = text;
    while (*pattern) {
        size_t length = strcspn(pattern, " ");
        if (!match_item(&at, pattern, length, &out_number))
            return false;
        pattern += length;
        pattern += *pattern == ' ';
    }
    return scan_end(&at);
}

bool scan_part(const char **at, char mark, char *out, size_t bytes)
{
    if (!*at)
        return false;
    const char *end = strchr(*at, mark);
    const char *from = *at;
    const char *to = end ? end : *at + strlen(*at);
    *at = end ? end + 1 : NULL;
    while (from < to && blank(*from))
        from++;
    while (to > from && blank(to[-1]))
        to--;
    size_t length = (size_t)(to - from) < bytes ? (size_t)(to - from) : bytes - 1;
    memcpy(out, from, length);
    out[length] = '\0';
    return true;
}

size_t scan_utf8(const char *at, uint32_t *out_code)
{
    const unsigned char *byte = (const unsigned char *)at;
    if (byte[0] < 0x80) {
        *out_code = byte[0];
        return byte[0] ? 1 : 0;
    }
    size_t length = byte[0] >= 0xF0 ? 4 : byte[0] >= 0xE0 ? 3 : 2;
    static const uint32_t least[] = {0, 0, 0x80, 0x800, 0x10000};
    if (byte[0] < 0xC2 || byte[0] > 0xF4)
        return 0;
    uint32_t code = byte[0] & (0x7Fu >> length);
    for (size_t i = 1; i < length; i++) {
        if ((byte[i] & 0xC0) != 0x80)
            return 0;
        code = code << 6 | (byte[i] & 0x3Fu);
    }
    if (code < least[length] || code > 0x10FFFF || (code >= 0xD800 && code <= 0xDFFF))
        return 0;
    *out_code = code;
    return length;
}

char *scan_copy(const char *text)
{
    skip_blanks(&text);
    size_t length = strlen(text);
    while (length && blank(text[length - 1]))
        length--;
    char *copy = passo_xcalloc(length + 1, 1);
    memcpy(copy, text, length);
    return copy;
}

char *scan_copy_lower(const char *text)
{
    char *copy = scan_copy(text);
    for (char *at = copy; *at; at++)
        if (*at >= 'A' && *at <= 'Z')
            *at = (char)(*at - 'A' + 'a');
    return copy;
}
