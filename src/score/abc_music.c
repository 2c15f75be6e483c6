/* A line of ABC's music, thing by thing: what is one note's is in abc_note.c. Any thread. */
#include "score/abc_priv.h"

#include <string.h>

static char ahead(const struct abc_reader *reader)
{
    return reader->line.end - reader->at > 1 ? reader->at[1] : '\0';
}

static bool is_letter(char character)
{
    const char lower = (char)(character | 0x20);
    return lower >= 'a' && lower <= 'z';
}

static bool is_digit(char character)
{
    return character >= '0' && character <= '9';
}

/* Moves behind the next such character; false if there is none in the line. */
static bool skip_past(struct abc_reader *reader, char character)
{
    const char *found =
        memchr(reader->at + 1, character, (size_t)(reader->line.end - reader->at - 1));
    if (found)
        reader->at = found + 1;
    return found;
}

bool abc_is_taken(struct abc_reader *reader)
{
    return reader->taken != ABC_NO_VOICE &&
           reader->taken == (reader->current == ABC_NO_VOICE ? 0 : reader->current);
}

/* --- other voices --- */

static bool is_inline_field(const struct abc_reader *reader)
{
    return abc_here(reader) == '[' && reader->line.end - reader->at > 2 &&
           is_letter(ahead(reader)) && reader->at[2] == ':' &&
           !(reader->line.end - reader->at > 3 && reader->at[3] == '|');
}

/* Counts one thing's note, or goes over it; what has no other end goes to the line's. */
static void count_one(struct abc_reader *reader, size_t *notes)
{
    const char character = abc_here(reader);
    const char close = character == '{' ? '}' : character;
    if (character == '"' || character == '!' || character == '+' || character == '{') {
        if (!skip_past(reader, close))
            reader->at = reader->line.end;
        return;
    }
    *notes += (character >= 'A' && character <= 'G') || (character >= 'a' && character <= 'g');
    reader->at++;
}

static void count_voice(struct abc_reader *reader)
{
    size_t notes = 0;
    while (reader->at < reader->line.end && !is_inline_field(reader))
        count_one(reader, &notes);
    const size_t voice = reader->current == ABC_NO_VOICE ? 0 : reader->current;
    if (reader->taken == ABC_NO_VOICE)
        reader->voice[voice].notes += notes;
}

/* Another voice over this bar, until its line. */
static void count_overlay(struct abc_reader *reader)
{
    while (reader->at < reader->line.end && abc_here(reader) != '|' && !is_inline_field(reader))
        count_one(reader, &reader->left_out);
}

/* --- signs --- */

static bool inline_field(struct abc_reader *reader)
{
    const char *open = reader->at;
    if (!skip_past(reader, ']'))
        return abc_fault(reader, open, PASSO_ERR_SYNTAX, "[%c: has no ] in its line", open[1]);
    return abc_field(reader, open[1], abc_trim((struct abc_span){open + 3, reader->at - 1}));
}

static bool begins_bar_line(const struct abc_reader *reader)
{
    const char next = ahead(reader);
    switch (abc_here(reader)) {
    case '|':
        return true;
    case ':':
        return next == '|' || next == ':';
    case '[':
        return next == '|';
    case '.':
        return next == '|';
    default:
        return false;
    }
}

/* Numbers of endings: "1", "1,3", "1-3". */
static void skip_endings(struct abc_reader *reader)
{
    while (is_digit(abc_here(reader)) ||
           (strchr(",-.", abc_here(reader)) && abc_here(reader) && is_digit(ahead(reader))))
        reader->at++;
}

static bool bar_line(struct abc_reader *reader)
{
    const char *from = reader->at;
    reader->at += *from == '.';
    for (; reader->at < reader->line.end; reader->at++) {
        const char before = reader->at > from ? reader->at[-1] : '\0';
        const char character = *reader->at;
        if (character != '|' && character != ':' && !(character == ']' && before == '|') &&
            !(character == '[' && ahead(reader) == '|'))
            break;
    }
    const size_t count = (size_t)(reader->at - from);
    const bool parts = memchr(from, ':', count) || (count > 1 && *from != '.');
    skip_endings(reader);
    return abc_close_bar(reader, parts);
}

/* "[1", "["words"". */
static bool ending(struct abc_reader *reader)
{
    const char *from = reader->at++;
    if (abc_here(reader) == '"' && !skip_past(reader, '"'))
        return abc_fault(reader, from, PASSO_ERR_SYNTAX, "a \" without its other \"");
    skip_endings(reader);
    return abc_close_bar(reader, true);
}

/* "!tenuto!", "+accent+". A lone ! is an old end of line. */
static bool decoration(struct abc_reader *reader)
{
    const char *from = reader->at;
    if (skip_past(reader, *from))
        reader->marks |= abc_decoration((struct abc_span){from + 1, reader->at - 1});
    else if (*from == '!' && from + 1 == reader->line.end)
        reader->at++;
    else
        return abc_fault(reader, from, PASSO_ERR_SYNTAX, "a %c without its other %c", *from, *from);
    return true;
}

/* The letters that stand for decorations, and the dots of dotted ties, slurs and bar lines. */
static bool letter_sign(struct abc_reader *reader)
{
    const char letter = *reader->at++;
    reader->marks |= reader->symbol[(unsigned char)letter];
    return true;
}

static bool dot(struct abc_reader *reader)
{
    const char next = ahead(reader);
    reader->at++;
    if (next != '-' && next != '(')
        reader->marks |= PASSO_NOTE_STACCATO;
    return true;
}

static bool open_slur(struct abc_reader *reader)
{
    if (is_digit(ahead(reader)))
        return abc_tuplet(reader);
    reader->slurs++;
    reader->at++;
    return true;
}

/* A slur that began before this music has no other end. */
static bool close_slur(struct abc_reader *reader)
{
    struct passo_score *score = reader->build.score;
    reader->slurs -= reader->slurs > 0;
    if (!reader->slurs && score->notes)
        score->note[score->notes - 1].marks &= (uint8_t)~PASSO_NOTE_SLUR;
    reader->at++;
    return true;
}

static bool tie(struct abc_reader *reader)
{
    if (reader->last != ABC_LAST_NOTE)
        return abc_fault(reader, reader->at, PASSO_ERR_SYNTAX,
                         "- ties a note, and none is before it");
    reader->tied = true;
    reader->at++;
    return true;
}

static bool skip_closed(struct abc_reader *reader, char close)
{
    const char *from = reader->at;
    return skip_past(reader, close) ||
           abc_fault(reader, from, PASSO_ERR_SYNTAX, "a %c without its %c", *from, close);
}

static bool skip_spacer(struct abc_reader *reader)
{
    reader->at++;
    while (is_digit(abc_here(reader)))
        reader->at++;
    return true;
}

/* What somebody may have meant who writes "F#4" or "C4 M:3/4 D4"; NULL: nothing that is known. */
static const char *meant(const struct abc_reader *reader)
{
    const size_t left = (size_t)(reader->line.end - reader->at);
    const char before = reader->at > reader->line.at ? reader->at[-1] : '\0';
    if (*reader->at == '#' || (left >= 3 && (!memcmp(reader->at, "\xE2\x99\xAD", 3) ||
                                             !memcmp(reader->at, "\xE2\x99\xAF", 3))))
        return "flats and sharps stand before the letter: _B, ^F";
    return *reader->at == ':' && is_letter(before) ? ABC_IN_BRACKETS : NULL;
}

static bool unknown(struct abc_reader *reader)
{
    char shown[ABC_SHOWN_BYTES];
    const char *hint = meant(reader);
    if (hint)
        return abc_fault(reader, reader->at, PASSO_ERR_SYNTAX,
                         "\"%s\" is no note, rest or bar line; %s",
                         abc_shown((struct abc_span){reader->at, reader->line.end}, shown), hint);
    return abc_fault(reader, reader->at, PASSO_ERR_SYNTAX,
                     "\"%s\" is no note, rest or bar line; write notes as C or c, with ^ _ = "
                     "before and , ' behind, rests as z, bar lines as |",
                     abc_shown((struct abc_span){reader->at, reader->line.end}, shown));
}

/* --- things --- */

static bool bracket(struct abc_reader *reader)
{
    if (is_inline_field(reader))
        return inline_field(reader);
    if (is_digit(ahead(reader)) || ahead(reader) == '"')
        return ending(reader);
    return abc_chord(reader);
}

static bool letter(struct abc_reader *reader)
{
    const char character = abc_here(reader);
    if ((character >= 'A' && character <= 'G') || (character >= 'a' && character <= 'g'))
        return abc_note(reader);
    if (character == 'z' || character == 'x')
        return abc_rest(reader);
    if (character == 'Z' || character == 'X')
        return abc_bars_rest(reader);
    if (character == 'y')
        return skip_spacer(reader);
    if ((character >= 'H' && character <= 'W') || (character >= 'h' && character <= 'w'))
        return letter_sign(reader);
    return unknown(reader);
}

static bool sign(struct abc_reader *reader)
{
    switch (abc_here(reader)) {
    case ' ':
    case '\t':
    case '`':
    case '$':
    case '\\':
    case '~':
        reader->at++;
        return true;
    case '^':
    case '_':
    case '=':
        return abc_note(reader);
    case '[':
        return bracket(reader);
    case '(':
        return open_slur(reader);
    case ')':
        return close_slur(reader);
    case '-':
        return tie(reader);
    case '>':
    case '<':
        return abc_broken(reader);
    case '.':
        return dot(reader);
    case '!':
    case '+':
        return decoration(reader);
    case '"':
        return skip_closed(reader, '"');
    case '{':
        return skip_closed(reader, '}');
    case '&':
        count_overlay(reader);
        return true;
    default:
        return unknown(reader);
    }
}

static bool read_one(struct abc_reader *reader)
{
    if (begins_bar_line(reader))
        return bar_line(reader);
    return is_letter(abc_here(reader)) ? letter(reader) : sign(reader);
}

bool abc_music(struct abc_reader *reader)
{
    if (reader->current == ABC_NO_VOICE && !reader->voices)
        reader->voices = 1;
    while (reader->at < reader->line.end) {
        bool fine = true;
        if (abc_is_taken(reader))
            fine = read_one(reader);
        else if (is_inline_field(reader))
            fine = inline_field(reader);
        else
            count_voice(reader);
        if (!fine)
            return false;
    }
    return true;
}
