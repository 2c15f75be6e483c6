/* What the readers of MIDI and of MusicXML share. */
#include "score/gather.h"

#include <ctype.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

enum { ROOM_FIRST = 16, LIST_BYTES = 320, NAME_SHOWN = 40, NUMBER_DIGITS = 6 };

bool gather_fault(struct gather_fault *fault, enum passo_error error, const char *format, ...)
{
    va_list arguments;
    if (fault->error != PASSO_OK)
        return false;
    fault->error = error;
    va_start(arguments, format);
    vsnprintf(fault->text, fault->bytes, format, arguments);
    va_end(arguments);
    return false;
}

/* The bytes of a well-formed UTF-8 character that may be shown, 0 if there is none. As
 * passo_text_clean() (text/clean.c), which stands a floor above. */
static size_t shown_character(const uint8_t *at, size_t left)
{
    static const uint32_t least[] = {0, 0, 0x80, 0x800, 0x10000};
    const size_t length = at[0] < 0x80             ? 1
                          : (at[0] & 0xE0) == 0xC0 ? 2
                          : (at[0] & 0xF0) == 0xE0 ? 3
                          : (at[0] & 0xF8) == 0xF0 ? 4
                                                   : 0;
    if (!length || length > left)
        return 0;
    uint32_t code = length == 1 ? at[0] : at[0] & (0x7FU >> length);
    for (size_t i = 1; i < length; i++) {
        if ((at[i] & 0xC0) != 0x80)
            return 0;
        code = code << 6 | (at[i] & 0x3F);
    }
    const bool formed =
        code >= least[length] && code <= 0x10FFFF && (code < 0xD800 || code > 0xDFFF);
    const bool moves = code < 0x20 || (code >= 0x7F && code < 0xA0) || code == 0x61C ||
                       code == 0x200E || code == 0x200F || (code >= 0x2028 && code <= 0x202E) ||
                       (code >= 0x2066 && code <= 0x2069) || code == 0xFEFF;
    return formed && !moves ? length : 0;
}

static bool is_blank(uint8_t byte)
{
    return byte == ' ' || byte == '\t' || byte == '\n' || byte == '\r';
}

void gather_text(const char *text, size_t bytes, char out[PASSO_TEXT_MAX])
{
    const uint8_t *at = (const uint8_t *)text;
    size_t used = 0;
    bool blank = false;
    for (size_t i = 0; i < bytes;) {
        if (is_blank(at[i])) {
            blank = used > 0;
            i++;
            continue;
        }
        const size_t length = shown_character(at + i, bytes - i);
        const size_t shown = length ? length : 1;
        if (used + blank + shown >= PASSO_TEXT_MAX)
            break;
        if (blank)
            out[used++] = ' ';
        blank = false;
        if (length)
            memcpy(out + used, at + i, length);
        else
            out[used] = '?';
        used += shown;
        i += shown;
    }
    out[used] = '\0';
}

void *gather_room(void *list, size_t count, size_t element_bytes)
{
    if (count == 0)
        return passo_xrealloc(list, ROOM_FIRST * element_bytes);
    if (count >= ROOM_FIRST && (count & (count - 1)) == 0)
        return passo_xrealloc(list, 2 * count * element_bytes);
    return list;
}

/* --- choosing a part --- */

/* `1 "Cornet", 2 "Trombone", 3`, as many as there is room for; a name of many characters is cut,
 * at a character's end. */
static const char *listed(const char (*name)[PASSO_TEXT_MAX], size_t parts, char out[LIST_BYTES])
{
    size_t used = 0;
    for (size_t i = 0; i < parts; i++) {
        size_t shown = strlen(name[i]);
        const bool cut = shown > NAME_SHOWN;
        if (cut) {
            shown = NAME_SHOWN;
            while (((uint8_t)name[i][shown] & 0xC0) == 0x80)
                shown--;
        }
        char one[NAME_SHOWN + 32];
        const int length = name[i][0] ? snprintf(one, sizeof one, "%s%zu \"%.*s%s\"", i ? ", " : "",
                                                 i + 1, (int)shown, name[i], cut ? "..." : "")
                                      : snprintf(one, sizeof one, "%s%zu", i ? ", " : "", i + 1);
        if (used + (size_t)length + sizeof " ..." > LIST_BYTES) {
            memcpy(out + used, " ...", sizeof " ...");
            return out;
        }
        memcpy(out + used, one, (size_t)length + 1);
        used += (size_t)length;
    }
    return out;
}

static bool contains(const char *name, const char *piece)
{
    const size_t length = strlen(piece);
    for (; *name; name++) {
        size_t same = 0;
        while (same < length && tolower((uint8_t)name[same]) == tolower((uint8_t)piece[same]))
            same++;
        if (same == length)
            return true;
    }
    return false;
}

static bool by_number(const char (*name)[PASSO_TEXT_MAX], size_t parts, const char *ask,
                      size_t *out_part, struct gather_fault *fault)
{
    char list[LIST_BYTES];
    const long number = strlen(ask) <= NUMBER_DIGITS ? strtol(ask, NULL, 10) : 0;
    if (number >= 1 && (size_t)number <= parts) {
        *out_part = (size_t)number - 1;
        return true;
    }
    return gather_fault(fault, PASSO_ERR_SYNTAX, "part %.20s is not in the file; it has %s", ask,
                        listed(name, parts, list));
}

bool gather_part(const char (*name)[PASSO_TEXT_MAX], size_t parts, const char *ask, size_t first,
                 size_t *out_part, struct gather_fault *fault)
{
    char list[LIST_BYTES];
    char shown[PASSO_TEXT_MAX];
    size_t exact = 0;
    size_t near = 0;
    *out_part = first;
    if (!ask[0])
        return true;
    if (strspn(ask, "0123456789") == strlen(ask))
        return by_number(name, parts, ask, out_part, fault);
    for (size_t i = 0; i < parts; i++) {
        if (!contains(name[i], ask))
            continue;
        const bool whole = strlen(name[i]) == strlen(ask);
        near++;
        exact += whole;
        if (whole || !exact)
            *out_part = i;
    }
    if (exact == 1 || (exact == 0 && near == 1))
        return true;
    gather_text(ask, strlen(ask), shown);
    return gather_fault(fault, PASSO_ERR_SYNTAX,
                        near ? "\"%.60s\" fits more than one part; name one by its number: %s"
                             : "no part is called \"%.60s\"; the file has %s",
                        shown, listed(name, parts, list));
}
