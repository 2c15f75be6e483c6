/* Meters in words: "4/4", "2+2+3/8", "7/8 as 2+2+3", "7/8 (2+2+3)". */
#include "text/reading.h"
#include "text/scan.h"

#include <stdio.h>

static const char how[] = "a meter is written 4/4, 6/8, 2+2+3/8 or 7/8 as 2+2+3";
static const char lower[] = "the lower number is a note value: 1, 2, 4, 8, 16, 32 or 64";
static const char upper[] = "the upper number is 1 to 64";
static const char groups[] = "every group is at least 1, and together they make the upper number";

/* "7" or "2+2+3" */
struct sum {
    int64_t total;
    uint8_t term[PASSO_METER_COUNT_MAX];
    size_t terms;
};

static const char *read_sum(const char **at, struct sum *out_sum)
{
    *out_sum = (struct sum){0};
    do {
        int64_t milli = 0;
        bool whole = false;
        if (!scan_number(at, &milli, &whole) || !whole)
            return how;
        if (milli < 1000 || milli > PASSO_METER_COUNT_MAX * 1000 ||
            out_sum->terms == PASSO_METER_COUNT_MAX)
            return upper;
        out_sum->term[out_sum->terms++] = (uint8_t)(milli / 1000);
        out_sum->total += milli / 1000;
    } while (scan_char(at, '+'));
    return out_sum->total > PASSO_METER_COUNT_MAX ? upper : NULL;
}

/* " as 2+2+3" or " (2+2+3)" after the meter. */
static const char *read_groups(const char **at, struct sum *sum)
{
    bool bracket = scan_char(at, '(');
    if (!bracket && !scan_word(at, "as"))
        return how;
    int64_t total = sum->total;
    if (sum->terms > 1)
        return how;
    const char *fault = read_sum(at, sum);
    if (fault)
        return fault == how ? how : groups;
    if (bracket && !scan_char(at, ')'))
        return how;
    return sum->total == total ? NULL : groups;
}

const char *reading_meter(const char *text, struct passo_meter *out_meter)
{
    const char *at = text;
    struct sum sum;
    int64_t unit = 0;
    bool whole = false;
    bool usual = true;
    const char *fault = read_sum(&at, &sum);
    if (fault)
        return fault;
    if (!scan_char(&at, '/') || !scan_number(&at, &unit, &whole) || !whole)
        return how;
    unit /= 1000;
    if (unit < 1 || unit > 64 || (unit & (unit - 1)))
        return lower;
    usual = sum.terms == 1;
    if (!scan_end(&at)) {
        usual = false;
        fault = read_groups(&at, &sum);
        if (fault)
            return fault;
    }
    if (!scan_end(&at))
        return how;
    enum passo_error error = usual ? passo_meter_init(out_meter, sum.total, unit)
                                   : passo_meter_init_groups(out_meter, sum.term, sum.terms, unit);
    return error ? how : NULL;
}

enum passo_error passo_meter_read(const char *text, struct passo_meter *out_meter)
{
    const char *fault = reading_meter(text, out_meter);
    if (!fault)
        return PASSO_OK;
    return fault != how ? PASSO_ERR_RANGE : PASSO_ERR_SYNTAX;
}

const char *passo_meter_write(const struct passo_meter *meter, char *out, size_t bytes)
{
    struct passo_meter usual;
    int used = snprintf(out, bytes, "%d/%d", meter->count, meter->unit);
    bool same =
        !passo_meter_init(&usual, meter->count, meter->unit) && passo_meter_same(&usual, meter);
    for (size_t i = 0; !same && i < meter->groups && used > 0 && (size_t)used < bytes; i++)
        used +=
            snprintf(out + used, bytes - (size_t)used, "%s%d", i ? "+" : " as ", meter->group[i]);
    return out;
}
