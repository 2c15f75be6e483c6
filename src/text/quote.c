/* Texts in quotes. inih knows none: it cuts a value at a blank with a semicolon, a name at its
 * first = or :, and a line at its buffer's end. A line with quotes, or longer than that buffer, is
 * therefore read here, and page.c hands inih a stand-in. The writer puts quotes only where a bare
 * text would be misread, or where a terminal would obey it. */
#include "text/quote.h"
#include "text/notation.h"
#include "text/scan.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define CHARACTER_MAX 5 /* bytes of one in UTF-8, terminating 0 included */

static bool blank(char sign)
{
    return sign == ' ' || sign == '\t' || sign == '\r' || sign == '\f' || sign == '\v';
}

static int hex(char sign)
{
    static const char digits[] = "0123456789abcdef0123456789ABCDEF";
    const char *digit = sign ? strchr(digits, sign) : NULL;
    return digit ? (int)((digit - digits) % 16) : -1;
}

/* What stands behind a backslash. */
static bool read_escape(const char **at, const char *end, char *out_sign)
{
    if (end - *at >= 1 && (**at == '"' || **at == '\\')) {
        *out_sign = *(*at)++;
        return true;
    }
    if (end - *at < 3 || **at != 'x')
        return false;
    int high = hex((*at)[1]);
    int low = hex((*at)[2]);
    if (high < 0 || low < 0 || high + low == 0)
        return false;
    *out_sign = (char)(high * 16 + low);
    *at += 3;
    return true;
}

/* The text that begins with the quote at *at, which then is behind its end. NULL if it has none. */
static char *read_quoted(const char **at, const char *end)
{
    char *text = passo_xcalloc((size_t)(end - *at) + 1, 1);
    size_t used = 0;
    const char *from = *at + 1;
    while (from < end && *from != '"') {
        char sign = *from++;
        if (sign == '\\' && !read_escape(&from, end, &sign))
            from = end;
        else
            text[used++] = sign;
    }
    if (from < end) {
        *at = from + 1;
        return text;
    }
    free(text);
    return NULL;
}

static char *copy_trimmed(const char *from, const char *to)
{
    char *text = passo_xcalloc((size_t)(to - from) + 1, 1);
    memcpy(text, from, (size_t)(to - from));
    char *trimmed = scan_copy(text);
    free(text);
    return trimmed;
}

static void skip_blanks(const char **at, const char *end)
{
    while (*at < end && blank(**at))
        ++*at;
}

/* As inih finds it: up to one of these signs or a comment. */
static const char *bare_end(const char *from, const char *end, const char *signs)
{
    const char *at = from;
    while (at < end && !strchr(signs, *at) && !(*at == ';' && at > from && blank(at[-1])))
        at++;
    return at;
}

static char *read_key(const char **at, const char *end, bool *out_quoted)
{
    char *key = NULL;
    *out_quoted = *at < end && **at == '"' && (key = read_quoted(at, end));
    if (!*out_quoted) {
        const char *from = *at;
        *at = bare_end(from, end, "=:");
        key = copy_trimmed(from, *at);
    }
    skip_blanks(at, end);
    if (*at < end && (**at == '=' || **at == ':')) {
        ++*at;
        return key;
    }
    free(key);
    return NULL;
}

static char *read_value(const char **at, const char *end, bool *out_quoted)
{
    skip_blanks(at, end);
    const char *from = *at;
    char *value = *at < end && **at == '"' ? read_quoted(at, end) : NULL;
    const char *behind = *at;
    skip_blanks(&behind, end);
    *out_quoted = value && (behind == end || (behind > *at && *behind == ';'));
    if (*out_quoted)
        return value;
    free(value);
    /* A comment may stand where the value would. */
    const char *to = from < end && *from == ';' && blank(from[-1]) ? from : bare_end(from, end, "");
    return copy_trimmed(from, to);
}

/* bare: a line without quotes will do too. */
static bool read_line(const char *line, size_t length, bool bare, char **out_key, char **out_value)
{
    bool quoted_key = false;
    bool quoted_value = false;
    const char *at = line;
    const char *end = line + length;
    char *key = read_key(&at, end, &quoted_key);
    char *value = key ? read_value(&at, end, &quoted_value) : NULL;
    if (value && (bare || quoted_key || quoted_value)) {
        *out_key = key;
        *out_value = value;
        return true;
    }
    free(key);
    free(value);
    return false;
}

bool quote_read(const char *line, size_t length, char **out_key, char **out_value)
{
    return memchr(line, '"', length) && read_line(line, length, false, out_key, out_value);
}

bool quote_read_long(const char *line, size_t length, char **out_key, char **out_value)
{
    return read_line(line, length, true, out_key, out_value);
}

/* The length of the character there if it is safe to show, else 0. */
static size_t safe_length(const char *at)
{
    char one[CHARACTER_MAX] = "";
    char shown[CHARACTER_MAX];
    uint32_t code = 0;
    size_t length = scan_utf8(at, &code);
    memcpy(one, at, length);
    return length && !strcmp(passo_text_clean(one, shown, sizeof shown), one) ? length : 0;
}

bool quote_bare(const char *text, enum quote_as as)
{
    const char *first = as == QUOTE_AS_KEY ? "\";[#" : "\";";
    if (!*text || strchr(first, *text))
        return false;
    for (const char *at = text; *at;) {
        size_t length = safe_length(at);
        if (!length || (as == QUOTE_AS_KEY && strchr("=:", *at)) || (*at == ' ' && at[1] == ';'))
            return false;
        at += length;
    }
    return true;
}

char *quote_write(const char *text)
{
    size_t used = 0;
    char *out = passo_xcalloc(strlen(text) * 4 + 3, 1);
    out[used++] = '"';
    for (const char *at = text; *at;) {
        size_t length = safe_length(at);
        if (*at == '"' || *at == '\\')
            out[used++] = '\\';
        if (length)
            memcpy(out + used, at, length);
        else
            snprintf(out + used, 5, "\\x%02X", (unsigned)(unsigned char)*at);
        used += length ? length : 4;
        at += length ? length : 1;
    }
    out[used] = '"';
    return out;
}
