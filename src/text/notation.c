/* Note values and tempi in words. A note value is a name with its dots, a plain fraction, or two
 * of them tied; the writer prefers one name, then the most even tied pair, then the fraction. */
#include "text/notation.h"
#include "text/scan.h"

#include <stdio.h>
#include <string.h>
#include <strings.h>

#define VALUE_LONGEST  4   /* whole notes */
#define VALUE_FINEST   256 /* a double dotted sixty-fourth is 7/256 */
#define VALUE_TEXT_MAX 64

static const struct {
    const char *name;
    struct passo_ratio value;
} notes[] = {
    {"quarter", {1, 4}},        {"crotchet", {1, 4}},
    {"eighth", {1, 8}},         {"quaver", {1, 8}},
    {"half", {1, 2}},           {"minim", {1, 2}},
    {"sixteenth", {1, 16}},     {"semiquaver", {1, 16}},
    {"whole", {1, 1}},          {"semibreve", {1, 1}},
    {"thirty-second", {1, 32}}, {"demisemiquaver", {1, 32}},
    {"sixty-fourth", {1, 64}},  {"hemidemisemiquaver", {1, 64}},
    {"breve", {2, 1}},
};
#define NOTES (sizeof notes / sizeof *notes)

static const struct {
    const char *name;
    struct passo_ratio factor;
} dots[] = {{"", {1, 1}}, {"dotted ", {3, 2}}, {"double dotted ", {7, 4}}};
#define DOTS (sizeof dots / sizeof *dots)

static bool plain(struct passo_ratio value)
{
    return value.num > 0 && (value.den & (value.den - 1)) == 0 && value.den <= VALUE_FINEST &&
           passo_ratio_cmp(value, passo_ratio(VALUE_LONGEST, 1)) <= 0;
}

static bool read_fraction(const char *text, struct passo_ratio *out_value)
{
    int64_t num = 0;
    int64_t den = 0;
    bool whole = false;
    const char *at = text;
    if (!scan_number(&at, &num, &whole) || !whole || !scan_char(&at, '/') ||
        !scan_number(&at, &den, &whole) || !whole || !scan_end(&at) || den == 0)
        return false;
    *out_value = passo_ratio(num, den);
    return plain(*out_value);
}

static bool read_named(const char *text, struct passo_ratio *out_value)
{
    const char *at = text;
    size_t dotted = 0;
    if (scan_word(&at, "double"))
        dotted = 2;
    scan_char(&at, '-');
    if (scan_word(&at, "dotted"))
        dotted = dotted ? dotted : 1;
    else if (dotted)
        return false;
    scan_char(&at, '-');
    for (size_t i = 0; i < NOTES; i++) {
        char plural[32];
        snprintf(plural, sizeof plural, "%ss", notes[i].name);
        if (!scan_word(&at, notes[i].name) && !scan_word(&at, plural))
            continue;
        if (!scan_word(&at, "note"))
            (void)scan_word(&at, "notes");
        *out_value = passo_ratio_mul(notes[i].value, dots[dotted].factor);
        return scan_end(&at);
    }
    return false;
}

static bool read_single(const char *text, struct passo_ratio *out_value)
{
    return read_named(text, out_value) || read_fraction(text, out_value);
}

enum passo_error passo_note_value_read(const char *text, struct passo_ratio *out_value)
{
    char part[VALUE_TEXT_MAX];
    struct passo_ratio sum = {0, 1};
    size_t parts = 0;
    if (strlen(text) >= sizeof part)
        return PASSO_ERR_SYNTAX;
    for (const char *at = text; scan_part(&at, '+', part, sizeof part); parts++) {
        struct passo_ratio value;
        if (parts == 2 || !read_single(part, &value))
            return PASSO_ERR_SYNTAX;
        sum = passo_ratio_add(sum, value);
    }
    if (!plain(sum))
        return PASSO_ERR_SYNTAX;
    *out_value = sum;
    return PASSO_OK;
}

static bool write_single(struct passo_ratio value, size_t most_dots, char *out, size_t bytes)
{
    for (size_t i = 0; i < NOTES; i++)
        for (size_t dot = 0; dot <= most_dots; dot++)
            if (!passo_ratio_cmp(passo_ratio_mul(notes[i].value, dots[dot].factor), value)) {
                snprintf(out, bytes, "%s%s", dots[dot].name, notes[i].name);
                return true;
            }
    return false;
}

/* The pair whose parts are most alike, shorter first: 5/8 is quarter + dotted quarter. */
static bool write_pair(struct passo_ratio value, char *out, size_t bytes)
{
    struct passo_ratio best = {0, 1};
    char first[VALUE_TEXT_MAX];
    char second[VALUE_TEXT_MAX];
    for (size_t i = 0; i < NOTES; i++)
        for (size_t dot = 0; dot < DOTS - 1; dot++) {
            struct passo_ratio a = passo_ratio_mul(notes[i].value, dots[dot].factor);
            struct passo_ratio b = passo_ratio_sub(value, a);
            if (passo_ratio_cmp(a, b) <= 0 && passo_ratio_cmp(a, best) > 0 &&
                write_single(b, 1, second, sizeof second))
                best = a;
        }
    if (!best.num || !write_single(best, 1, first, sizeof first) ||
        !write_single(passo_ratio_sub(value, best), 1, second, sizeof second))
        return false;
    snprintf(out, bytes, "%s + %s", first, second);
    return true;
}

const char *passo_note_value_write(struct passo_ratio value, char *out, size_t bytes)
{
    bool writable = plain(value);
    if (!(writable && (write_single(value, DOTS - 1, out, bytes) || write_pair(value, out, bytes))))
        snprintf(out, bytes, "%lld/%lld", (long long)value.num, (long long)value.den);
    return out;
}

/* "-5", "nan", "inf", "1e9": a number, but no tempo. */
static bool out_of_range(const char *text)
{
    const char *at = text;
    int64_t milli = 0;
    bool whole = false;
    bool sign = scan_char(&at, '-') || scan_char(&at, '+');
    if (scan_word(&at, "nan") || scan_word(&at, "inf") || scan_word(&at, "infinity"))
        return scan_end(&at);
    if (!scan_number(&at, &milli, &whole))
        return false;
    if (sign)
        return true;
    if (*at != 'e' && *at != 'E')
        return false;
    at += 1 + (at[1] == '-' || at[1] == '+');
    return scan_number(&at, &milli, &whole);
}

static enum passo_error read_bpm(const char *text, int32_t *out_mbpm)
{
    const char *at = text;
    int64_t mbpm = 0;
    bool whole = false;
    if (out_of_range(text))
        return PASSO_ERR_RANGE;
    if (!scan_number(&at, &mbpm, &whole))
        return PASSO_ERR_SYNTAX;
    (void)scan_word(&at, "bpm");
    if (!scan_end(&at))
        return PASSO_ERR_SYNTAX;
    if (mbpm < PASSO_TEMPO_MIN_MBPM || mbpm > PASSO_TEMPO_MAX_MBPM)
        return PASSO_ERR_RANGE;
    *out_mbpm = (int32_t)mbpm;
    return PASSO_OK;
}

enum passo_error passo_tempo_read(const char *text, int32_t *out_mbpm, struct passo_ratio *out_beat)
{
    char unit[VALUE_TEXT_MAX];
    const char *equals = strchr(text, '=');
    struct passo_ratio beat = {0, 1};
    if (equals) {
        size_t length = (size_t)(equals - text);
        if (length >= sizeof unit)
            return PASSO_ERR_SYNTAX;
        memcpy(unit, text, length);
        unit[length] = '\0';
        enum passo_error error = passo_note_value_read(unit, &beat);
        if (error)
            return error;
    }
    enum passo_error error = read_bpm(equals ? equals + 1 : text, out_mbpm);
    if (!error)
        *out_beat = beat;
    return error;
}

int32_t passo_tempo_in_beat(int32_t mbpm, struct passo_ratio unit, struct passo_ratio beat)
{
    if (unit.num == 0)
        return mbpm;
    const struct passo_ratio factor = passo_ratio_div(unit, beat);
    const int64_t converted = (2 * mbpm * factor.num + factor.den) / (2 * factor.den);
    return converted < PASSO_TEMPO_MIN_MBPM || converted > PASSO_TEMPO_MAX_MBPM
               ? 0
               : (int32_t)converted;
}

const char *passo_bpm_write(int32_t mbpm, char *out, size_t bytes)
{
    char digits[16];
    snprintf(digits, sizeof digits, "%d.%03d", (int)(mbpm / 1000), (int)(mbpm % 1000));
    size_t length = strlen(digits);
    while (digits[length - 1] == '0')
        length--;
    if (digits[length - 1] == '.')
        length--;
    snprintf(out, bytes, "%.*s", (int)length, digits);
    return out;
}

const char *passo_tempo_write(int32_t mbpm, struct passo_ratio beat, char *out, size_t bytes)
{
    char value[VALUE_TEXT_MAX];
    char number[16];
    snprintf(out, bytes, "%s = %s", passo_note_value_write(beat, value, sizeof value),
             passo_bpm_write(mbpm, number, sizeof number));
    return out;
}

const char *passo_span_write(int64_t ms, char *out, size_t bytes)
{
    const int64_t s = (ms + 500) / 1000;
    if (s < 60)
        snprintf(out, bytes, "%d s", (int)s);
    else if (s % 60)
        snprintf(out, bytes, "%d min %d s", (int)(s / 60), (int)(s % 60));
    else
        snprintf(out, bytes, "%d min", (int)(s / 60));
    return out;
}
