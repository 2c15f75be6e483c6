/* Reads ABC 2.1 (the open notation; its standard from memory): a tune with its header, the first of
 * a file, or a bare line of music. Walks the lines, twice (abc_priv.h). Any thread. */
#include "score/abc_priv.h"

#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

/* --- places and spans --- */

/* Columns are characters, not bytes: the bytes that go on a character of UTF-8 do not count. */
static size_t column_of(const struct abc_reader *reader, const char *at)
{
    size_t column = 1;
    for (const char *c = reader->line.at; c < at; c++)
        column += ((unsigned char)*c & 0xC0) != 0x80;
    return column;
}

bool abc_fault(struct abc_reader *reader, const char *at, enum passo_error error,
               const char *format, ...)
{
    char what[400];
    char line[32] = "";
    char bar[32] = "";
    va_list values;
    if (reader->build.error)
        return false;
    va_start(values, format);
    vsnprintf(what, sizeof what, format, values);
    va_end(values);
    if (reader->many_lines)
        snprintf(line, sizeof line, "line %zu, ", reader->line_number);
    if (!reader->header && reader->taken != ABC_NO_VOICE)
        snprintf(bar, sizeof bar, "bar %d, ", reader->number);
    return score_fault(&reader->build, error, "%s%scolumn %zu: %s", line, bar,
                       column_of(reader, at), what);
}

const char *abc_shown(struct abc_span span, char out[ABC_SHOWN_BYTES])
{
    enum { SHOWN = 24 }; /* bytes of the file */
    char safe[PASSO_TEXT_MAX];
    size_t count = (size_t)(span.end - span.at);
    const bool cut = count > SHOWN;
    if (cut)
        count = SHOWN;
    while (cut && count && ((unsigned char)span.at[count] & 0xC0) == 0x80)
        count--;
    snprintf(out, ABC_SHOWN_BYTES, "%.30s%s", score_text(span.at, count, safe), cut ? "..." : "");
    return out;
}

static bool blank(char character)
{
    return character == ' ' || character == '\t';
}

struct abc_span abc_trim(struct abc_span span)
{
    while (span.at < span.end && blank(*span.at))
        span.at++;
    while (span.at < span.end && blank(span.end[-1]))
        span.end--;
    return span;
}

struct abc_span abc_word(struct abc_span *span)
{
    *span = abc_trim(*span);
    struct abc_span word = {span->at, span->at};
    bool quoted = false;
    while (word.end < span->end && (quoted || !blank(*word.end)))
        quoted ^= *word.end++ == '"';
    span->at = word.end;
    return word;
}

bool abc_is(struct abc_span span, const char *text)
{
    const size_t count = (size_t)(span.end - span.at);
    return strlen(text) == count && strncasecmp(span.at, text, count) == 0;
}

bool abc_value(struct abc_span word, const char *name, struct abc_span *out_value)
{
    const size_t count = strlen(name);
    if ((size_t)(word.end - word.at) < count || strncasecmp(word.at, name, count) != 0)
        return false;
    word.at += count;
    if (word.at < word.end && *word.at == '"')
        word.at++;
    if (word.at < word.end && word.end[-1] == '"')
        word.end--;
    *out_value = word;
    return true;
}

bool abc_digits(struct abc_span *span, long most, long *out_number)
{
    long number = 0;
    const char *from = span->at;
    for (; span->at < span->end && *span->at >= '0' && *span->at <= '9'; span->at++) {
        if (number <= most)
            number = number * 10 + (*span->at - '0');
    }
    *out_number = number;
    return span->at > from && number <= most;
}

bool abc_whole(struct abc_span span, long least, long most, long *out_number)
{
    long number = 0;
    span = abc_trim(span);
    const bool below = span.at < span.end && *span.at == '-';
    if (below || (span.at < span.end && *span.at == '+'))
        span.at++;
    if (!abc_digits(&span, 1000000000, &number) || span.at < span.end)
        return false;
    *out_number = below ? -number : number;
    return *out_number >= least && *out_number <= most;
}

/* --- lines --- */

/* A field's letter and a colon; not "G:|", which is a note and a bar line. */
static bool is_field(struct abc_span line)
{
    if (line.end - line.at < 2 || line.at[1] != ':')
        return false;
    if (line.end - line.at > 2 && (line.at[2] == '|' || line.at[2] == ':'))
        return false;
    const char letter = (char)(line.at[0] | 0x20);
    return line.at[0] == '+' || (letter >= 'a' && letter <= 'z');
}

/* Up to what is a comment: "%", but not "\%". */
static struct abc_span without_comment(struct abc_span line)
{
    for (const char *c = line.at; c < line.end; c++) {
        if (*c == '%' && (c == line.at || c[-1] != '\\'))
            line.end = c;
    }
    return line;
}

/* Where a line ends: at LF, CR, or both; the end if nothing ends it. */
static const char *line_end(const char *from, const char *end)
{
    while (from < end && *from != '\n' && *from != '\r')
        from++;
    return from;
}

/* The beginning of the line behind one that ends there. */
static const char *behind_line(const char *line, const char *end)
{
    const bool both = end - line >= 2 && line[0] == '\r' && line[1] == '\n';
    return line == end ? end : line + 1 + both;
}

static bool next_line(struct abc_reader *reader, const char **from)
{
    const char *const text_end = reader->text.end;
    if (*from >= text_end)
        return false;
    const char *end = line_end(*from, text_end);
    reader->line = (struct abc_span){*from, end};
    *from = behind_line(end, text_end);
    reader->line_number++;
    return true;
}

static bool read_line(struct abc_reader *reader)
{
    struct abc_span line = reader->line;
    if (line.end - line.at >= 2 && line.at[0] == '%' && line.at[1] == '%')
        return abc_directive(reader, (struct abc_span){line.at + 2, line.end});
    line = without_comment(line);
    reader->line.end = line.end;
    if (is_field(line))
        return abc_field(reader, *line.at, abc_trim((struct abc_span){line.at + 2, line.end}));
    if (abc_trim(line).at == line.end)
        return true;
    reader->header = false;
    reader->at = line.at;
    return abc_music(reader);
}

static bool is_empty(struct abc_span line)
{
    line = abc_trim(line);
    return line.at == line.end;
}

static bool begins_tune(struct abc_span line)
{
    return line.end - line.at >= 2 && line.at[0] == 'X' && line.at[1] == ':';
}

/* Where the first tune begins; NULL if the text is music without a header. */
static const char *find_tune(struct abc_reader *reader)
{
    const char *from = reader->text.at;
    const char *tune = NULL;
    while (!tune && next_line(reader, &from)) {
        if (begins_tune(reader->line))
            tune = reader->line.at;
    }
    reader->line_number = 0;
    return tune;
}

/* Of the lines before the tune only fields and directives that hold for all tunes are read. */
static bool is_for_all_tunes(struct abc_span line)
{
    return (line.end - line.at > 2 && line.at[0] == '%' && line.at[1] == '%') ||
           (is_field(line) && strchr("MLQUI", *line.at));
}

static bool walk(struct abc_reader *reader)
{
    const char *from = reader->text.at;
    const char *tune = find_tune(reader);
    bool in_tune = !tune;
    reader->header = tune != NULL;
    while (next_line(reader, &from)) {
        if (reader->line.at == tune)
            in_tune = true;
        else if (in_tune && tune && is_empty(reader->line))
            break;
        if (!in_tune && !is_for_all_tunes(reader->line))
            continue;
        if (!read_line(reader))
            return false;
    }
    return abc_close_bar(reader, false);
}

/* --- twice --- */

static void begin_walk(struct abc_reader *reader)
{
    reader->line_number = 0;
    reader->current = ABC_NO_VOICE;
    reader->clef = (struct abc_clef){0};
    for (size_t i = 0; i < reader->voices; i++)
        reader->voice[i].clef = (struct abc_clef){0};
    reader->meter = reader->ask->meter;
    reader->unit = (struct passo_ratio){0, 0};
    abc_set_key(reader, reader->ask->key);
    memset(reader->symbol, 0, sizeof reader->symbol);
    reader->symbol['L'] = PASSO_NOTE_ACCENT;
    reader->reach = ABC_REACH_PITCH;
    reader->now = (struct passo_ratio){0, 1};
    reader->number = 1;
    reader->next_share = (struct passo_ratio){1, 1};
    memset(reader->by_letter, ABC_NO_ACCIDENTAL, sizeof reader->by_letter);
    memset(reader->by_octave, ABC_NO_ACCIDENTAL, sizeof reader->by_octave);
}

/* What no one names is the first voice. */
static bool choose_voice(struct abc_reader *reader)
{
    size_t notes[PASSO_SCORE_PARTS_MAX];
    reader->voices += reader->voices == 0;
    for (size_t i = 0; i < reader->voices; i++) {
        const struct abc_voice *voice = &reader->voice[i];
        const char *name = *voice->name ? voice->name : voice->id;
        notes[i] = voice->notes;
        if (!score_add_part(&reader->build, name, strlen(name)))
            return false;
    }
    if (!score_choose_part(&reader->build, reader->ask->part, notes, &reader->taken))
        return false;
    for (size_t i = 0; i < reader->voices; i++)
        reader->left_out += i == reader->taken ? 0 : notes[i];
    return true;
}

static void finish(struct abc_reader *reader)
{
    struct passo_score *score = reader->build.score;
    score->left_out = reader->left_out;
    /* A bar that stands alone is no pickup, however short. */
    if (score->bars == 1 && score->bar[0].pickup) {
        score->bar[0].pickup = false;
        score->bar[0].number++;
    }
}

static bool read_text(struct abc_reader *reader)
{
    reader->taken = ABC_NO_VOICE;
    begin_walk(reader);
    if (!walk(reader) || !choose_voice(reader))
        return false;
    begin_walk(reader);
    if (!walk(reader))
        return false;
    finish(reader);
    if (!reader->build.score->bars && !reader->many_lines && is_field(reader->text))
        return score_fault(&reader->build, PASSO_ERR_SYNTAX,
                           "there is no music in it; " ABC_IN_BRACKETS);
    if (!reader->build.score->bars)
        return score_fault(&reader->build, PASSO_ERR_SYNTAX,
                           "there is no music in it; write notes such as C D E F | G4");
    return true;
}

enum passo_error passo_abc_read(const char *text, size_t bytes, const struct passo_score_ask *ask,
                                struct passo_score *out_score, char *out_fault, size_t fault_bytes)
{
    struct abc_reader *reader = passo_xcalloc(1, sizeof *reader);
    score_begin(&reader->build, out_score, out_fault, fault_bytes);
    reader->ask = ask;
    if (bytes >= 3 && memcmp(text, "\xEF\xBB\xBF", 3) == 0) /* the mark of UTF-8 */
        text += 3, bytes -= 3;
    reader->text = (struct abc_span){text, text + bytes};
    reader->many_lines = behind_line(line_end(text, text + bytes), text + bytes) < text + bytes;
    if (bytes > PASSO_SCORE_BYTES_MAX)
        score_fault(&reader->build, PASSO_ERR_RANGE, "this is larger than %d MiB",
                    PASSO_SCORE_BYTES_MAX / 1024 / 1024);
    else
        read_text(reader);
    const enum passo_error error = score_end(&reader->build);
    free(reader);
    return error;
}
