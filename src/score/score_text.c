/* Text from files: names made safe to show, and the part that is asked for by its name. */
#include "score/score_priv.h"

#include <stdlib.h>
#include <string.h>
#include <strings.h>

/* The bytes of the character that begins here, by UTF-8 (RFC 3629); 0 if none does. */
static size_t utf8(const unsigned char *bytes, size_t count, uint32_t *out_code)
{
    static const uint32_t least[] = {0, 0, 0x80, 0x800, 0x10000};
    const size_t length = bytes[0] < 0x80             ? 1
                          : (bytes[0] & 0xE0) == 0xC0 ? 2
                          : (bytes[0] & 0xF0) == 0xE0 ? 3
                          : (bytes[0] & 0xF8) == 0xF0 ? 4
                                                      : 0;
    if (!length || length > count)
        return 0;
    uint32_t code = length == 1 ? bytes[0] : bytes[0] & (0x7Fu >> length);
    for (size_t i = 1; i < length; i++) {
        if ((bytes[i] & 0xC0) != 0x80)
            return 0;
        code = code << 6 | (bytes[i] & 0x3Fu);
    }
    if (code < least[length] || code > 0x10FFFF || (code >= 0xD800 && code <= 0xDFFF))
        return 0;
    *out_code = code;
    return length;
}

/* Characters that move the cursor, turn the writing's direction or start a new line. */
static bool unsafe(uint32_t code)
{
    return code < 0x20 || (code >= 0x7F && code < 0xA0) || code == 0x61C || code == 0x200E ||
           code == 0x200F || (code >= 0x2028 && code <= 0x202E) ||
           (code >= 0x2066 && code <= 0x2069) || code == 0xFEFF;
}

static bool blank(char character)
{
    return character == ' ' || (character >= '\t' && character <= '\r');
}

const char *score_text(const char *bytes, size_t count, char out[PASSO_TEXT_MAX])
{
    size_t used = 0;
    while (count && blank(bytes[0]))
        bytes++, count--;
    while (count && blank(bytes[count - 1]))
        count--;
    while (count) {
        uint32_t code = 0;
        const size_t length = utf8((const unsigned char *)bytes, count, &code);
        const bool good = length && !unsafe(code);
        const size_t shown = good ? length : 1;
        if (used + shown >= PASSO_TEXT_MAX)
            break;
        if (good)
            memcpy(out + used, bytes, length);
        else
            out[used] = code == '\t' ? ' ' : '?';
        used += shown;
        bytes += length ? length : 1;
        count -= length ? length : 1;
    }
    out[used] = '\0';
    return out;
}

/* A number from 1 to the most, or 0. */
static size_t number_of(const char *text, size_t most)
{
    size_t number = 0;
    if (!*text)
        return 0;
    for (; *text; text++) {
        if (*text < '0' || *text > '9' || number > most)
            return 0;
        number = number * 10 + (size_t)(*text - '0');
    }
    return number <= most ? number : 0;
}

static bool find_named(const struct passo_score *score, const char *asked, size_t *out_part)
{
    for (size_t i = 0; i < score->parts; i++) {
        if (strcasecmp(score->part_name[i], asked) == 0) {
            *out_part = i;
            return true;
        }
    }
    for (size_t i = 0; i < score->parts; i++) {
        if (strcasestr(score->part_name[i], asked)) {
            *out_part = i;
            return true;
        }
    }
    return false;
}

#define NAME_SHOWN 40 /* bytes: six names fit in a sentence */

/* The name, or its beginning up to a character's edge. Returns out. */
static const char *shortened(const char *name, char out[NAME_SHOWN])
{
    const size_t count = strlen(name);
    size_t kept = count < NAME_SHOWN ? count : NAME_SHOWN - 1;
    while (kept < count && kept && ((unsigned char)name[kept] & 0xC0) == 0x80)
        kept--;
    memcpy(out, name, kept);
    out[kept] = '\0';
    return out;
}

static bool fault_of_part(struct score_builder *builder, const char *asked)
{
    enum { SHOWN = 6 };
    const struct passo_score *score = builder->score;
    char safe[PASSO_TEXT_MAX];
    char name[NAME_SHOWN];
    char there[SHOWN * (NAME_SHOWN + 24)] = "";
    size_t used = 0;
    for (size_t i = 0; i < score->parts && i < SHOWN; i++) {
        const char *quote = *score->part_name[i] ? "\"" : "";
        used += (size_t)snprintf(there + used, sizeof there - used, "%s%zu%s%s%s%s", i ? ", " : "",
                                 i + 1, *quote ? " " : "", quote,
                                 shortened(score->part_name[i], name), quote);
    }
    if (score->parts > SHOWN)
        snprintf(there + used, sizeof there - used, " ... %zu", score->parts);
    score_text(asked, strlen(asked), safe);
    return score_fault(builder, PASSO_ERR_RANGE,
                       "there is no part \"%s\"; name one by its number or its name: %s",
                       shortened(safe, name), there);
}

bool score_choose_part(struct score_builder *builder, const char *asked, const size_t *notes,
                       size_t *out_part)
{
    const size_t parts = builder->score->parts;
    *out_part = 0;
    if (builder->error)
        return false;
    if (asked && *asked) {
        const size_t number = number_of(asked, parts);
        if (number)
            *out_part = number - 1;
        else if (!find_named(builder->score, asked, out_part))
            return fault_of_part(builder, asked);
    } else {
        for (size_t i = parts; i > 0; i--)
            *out_part = notes[i - 1] ? i - 1 : *out_part;
    }
    if (*out_part < parts)
        memcpy(builder->score->part, builder->score->part_name[*out_part], PASSO_TEXT_MAX);
    return true;
}
