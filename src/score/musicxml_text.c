/* Numbers as they stand in the texts of MusicXML, which are decimals; no locale is asked. */
#include "score/musicxml_priv.h"

#include <string.h>

enum { DIGITS_MAX = 9, THOUSAND = 1000 };

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

bool musicxml_whole(const char *text, int64_t least, int64_t most, int64_t *out_value)
{
    const bool minus = *text == '-';
    int64_t value = 0;
    int digits = 0;
    text += *text == '-' || *text == '+';
    for (; is_digit(*text) && digits <= DIGITS_MAX; digits++)
        value = 10 * value + (*text++ - '0');
    if (*text == '.')
        text += 1 + strspn(text + 1, "0");
    *out_value = minus ? -value : value;
    return digits && digits <= DIGITS_MAX && !*text && *out_value >= least && *out_value <= most;
}

int64_t musicxml_thousandths(const char *text)
{
    int64_t value = 0;
    int64_t unit = THOUSAND;
    text += strcspn(text, "0123456789");
    for (int digits = 0; is_digit(*text) && digits < DIGITS_MAX; digits++)
        value = 10 * value + (int64_t)THOUSAND * (*text++ - '0');
    if (*text != '.' && *text != ',')
        return value;
    for (text++; is_digit(*text) && unit > 1; text++) {
        unit /= 10;
        value += unit * (*text - '0');
    }
    return value + (unit == 1 && *text >= '5' && *text <= '9');
}

struct passo_ratio musicxml_note_type(const char *text)
{
    static const struct {
        const char *name;
        struct passo_ratio length;
    } type[] = {{"breve", {2, 1}},  {"whole", {1, 1}}, {"half", {1, 2}},  {"quarter", {1, 4}},
                {"eighth", {1, 8}}, {"16th", {1, 16}}, {"32nd", {1, 32}}, {"64th", {1, 64}}};
    for (size_t i = 0; i < sizeof type / sizeof type[0]; i++) {
        if (strcmp(text, type[i].name) == 0)
            return type[i].length;
    }
    return (struct passo_ratio){0, 1};
}
