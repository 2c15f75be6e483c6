/* The fields of ABC that matter to one line of music: title, meter, unit length, tempo, voices,
 * user symbols and two directives. All others are let be. Any thread. */
#include "score/abc_priv.h"

#include <string.h>

#define UNIT_TERM_MAX 512

/* --- meter and unit length --- */

static bool is_common(struct abc_span value, long *out_count, long *out_unit)
{
    const bool cut = abc_is(value, "C|");
    if (!cut && !abc_is(value, "C"))
        return false;
    *out_count = cut ? 2 : 4;
    *out_unit = cut ? 2 : 4;
    return true;
}

/* "2+3+2", with or without brackets around it. */
static bool groups_of(struct abc_span *span, uint8_t group[PASSO_METER_COUNT_MAX],
                      size_t *out_groups)
{
    const bool bracket = span->at < span->end && *span->at == '(';
    size_t groups = 0;
    span->at += bracket;
    for (;;) {
        long number = 0;
        *span = abc_trim(*span);
        if (groups == PASSO_METER_COUNT_MAX || !abc_digits(span, PASSO_METER_COUNT_MAX, &number))
            return false;
        group[groups++] = (uint8_t)number;
        *span = abc_trim(*span);
        if (span->at == span->end || *span->at != '+')
            break;
        span->at++;
    }
    if (bracket && (span->at == span->end || *span->at++ != ')'))
        return false;
    *out_groups = groups;
    return true;
}

static bool meter_of(struct abc_span value, struct passo_meter *out_meter)
{
    uint8_t group[PASSO_METER_COUNT_MAX];
    size_t groups = 0;
    long count = 0;
    long unit = 0;
    if (is_common(value, &count, &unit))
        return passo_meter_init(out_meter, count, unit) == PASSO_OK;
    if (!groups_of(&value, group, &groups))
        return false;
    value = abc_trim(value);
    if (value.at == value.end || *value.at++ != '/' || !abc_whole(value, 1, 64, &unit))
        return false;
    return (groups == 1 ? passo_meter_init(out_meter, group[0], unit)
                        : passo_meter_init_groups(out_meter, group, groups, unit)) == PASSO_OK;
}

/* What is wrong with the value of M: or L:. What follows it on its line may be music or a field. */
static bool fault_value(struct abc_reader *reader, struct abc_span value, const char *what,
                        const char *would_do)
{
    char shown[ABC_SHOWN_BYTES];
    const struct abc_span first = abc_word(&(struct abc_span){value.at, value.end});
    const bool more = first.end < value.end;
    return abc_fault(reader, value.at, PASSO_ERR_SYNTAX, "%s is no %s; %s", abc_shown(value, shown),
                     what, more ? ABC_IN_BRACKETS : would_do);
}

static bool read_meter(struct abc_reader *reader, struct abc_span value)
{
    struct passo_meter meter;
    if (abc_is(value, "none") || value.at == value.end) {
        reader->meter = reader->ask->meter;
        return true;
    }
    if (!meter_of(value, &meter))
        return fault_value(reader, value, "meter", "write M:4/4, M:6/8, M:2+2+3/8, M:C or M:C|");
    reader->meter = meter;
    return true;
}

/* "1/8" or "1"; moves span->at behind it. */
static bool fraction(struct abc_span *span, struct passo_ratio *out_value)
{
    long num = 0;
    long den = 1;
    *span = abc_trim(*span);
    if (!abc_digits(span, UNIT_TERM_MAX, &num) || num == 0)
        return false;
    if (span->at < span->end && *span->at == '/') {
        span->at++;
        if (!abc_digits(span, UNIT_TERM_MAX, &den) || den == 0)
            return false;
    }
    *out_value = passo_ratio(num, den);
    return true;
}

static bool read_unit(struct abc_reader *reader, struct abc_span value)
{
    struct abc_span rest = value;
    struct passo_ratio unit;
    if (!fraction(&rest, &unit) || abc_trim(rest).at != rest.end)
        return fault_value(reader, value, "unit length", "write L:1/4, L:1/8 or L:1/16");
    reader->unit = unit;
    return true;
}

/* 1/16 in a meter of under three quarters, else 1/8. */
void abc_settle_unit(struct abc_reader *reader)
{
    if (reader->unit.den)
        return;
    const struct passo_ratio bar = passo_meter_length(&reader->meter);
    reader->unit = passo_ratio(1, passo_ratio_cmp(bar, passo_ratio(3, 4)) < 0 ? 16 : 8);
}

/* --- tempo --- */

/* "120", "92.5": thousandths, half up; what goes on behind is let be. */
static bool bpm_of(struct abc_span *span, int32_t *out_mbpm)
{
    long whole = 0;
    long thousandths = 0;
    *span = abc_trim(*span);
    if (!abc_digits(span, PASSO_TEMPO_MAX_MBPM / 1000, &whole))
        return false;
    if (span->at < span->end && *span->at == '.') {
        long scale = 1000;
        for (span->at++; span->at < span->end && *span->at >= '0' && *span->at <= '9'; span->at++) {
            scale /= 10;
            thousandths += scale * (*span->at - '0');
        }
    }
    *out_mbpm = (int32_t)(whole * 1000 + thousandths);
    return *out_mbpm >= PASSO_TEMPO_MIN_MBPM && *out_mbpm <= PASSO_TEMPO_MAX_MBPM;
}

/* The words in quotes before and behind a tempo are taken away. */
static struct abc_span without_words(struct abc_span value)
{
    value = abc_trim(value);
    if (value.at < value.end && *value.at == '"') {
        const char *close = memchr(value.at + 1, '"', (size_t)(value.end - value.at - 1));
        value.at = close ? close + 1 : value.end;
    }
    const char *words = memchr(value.at, '"', (size_t)(value.end - value.at));
    if (words)
        value.end = words;
    return abc_trim(value);
}

/* "1/4=120", "1/4 3/8=40" (a beat of both), and the old "120" and "C=120", in unit lengths. */
static bool tempo_of(struct abc_reader *reader, struct abc_span value, int32_t *out_mbpm,
                     struct passo_ratio *out_beat)
{
    struct passo_ratio part;
    *out_beat = (struct passo_ratio){0, 1};
    if (memchr(value.at, '=', (size_t)(value.end - value.at)) && *value.at != 'C') {
        while (value.at < value.end && *value.at != '=') {
            if (!fraction(&value, &part) || !score_sum(*out_beat, part, out_beat))
                return false;
            value = abc_trim(value);
        }
        value.at += value.at < value.end;
    } else {
        *out_beat = reader->unit.den ? reader->unit : passo_ratio(1, 8);
        if (*value.at == 'C')
            value.at++;
        value = abc_trim(value);
        if (value.at < value.end && *value.at == '=')
            value.at++;
    }
    return out_beat->num > 0 && bpm_of(&value, out_mbpm) && abc_trim(value).at == value.end;
}

static bool read_tempo(struct abc_reader *reader, struct abc_span value)
{
    char shown[ABC_SHOWN_BYTES];
    struct passo_score_tempo tempo = {.at = reader->now};
    struct abc_span said = without_words(value);
    if (said.at == said.end || reader->taken == ABC_NO_VOICE)
        return true;
    if (!tempo_of(reader, said, &tempo.mbpm, &tempo.beat))
        return abc_fault(reader, said.at, PASSO_ERR_SYNTAX,
                         "%s is no tempo from 5 to 1000; write Q:1/4=120 or Q:3/8=60",
                         abc_shown(said, shown));
    return score_add_tempo(&reader->build, &tempo);
}

/* --- voices --- */

static size_t find_voice(const struct abc_reader *reader, const char *id)
{
    for (size_t i = 0; i < reader->voices; i++) {
        if (strcmp(reader->voice[i].id, id) == 0)
            return i;
    }
    return ABC_NO_VOICE;
}

static bool voice_words(struct abc_reader *reader, struct abc_voice *voice, struct abc_span rest)
{
    voice->clef = (struct abc_clef){0};
    for (;;) {
        struct abc_span name;
        const struct abc_span word = abc_word(&rest);
        if (word.at == word.end)
            return true;
        if (abc_value(word, "name=", &name) || abc_value(word, "nm=", &name))
            score_text(name.at, (size_t)(name.end - name.at), voice->name);
        else if (!abc_clef_word(reader, word, &voice->clef))
            return false;
    }
}

/* The rest of what is said of a voice may stand where it begins anew: no words change nothing. */
static bool read_voice(struct abc_reader *reader, struct abc_span value)
{
    char id[PASSO_TEXT_MAX];
    const struct abc_span word = abc_word(&value);
    score_text(word.at, (size_t)(word.end - word.at), id);
    if (!*id || strcmp(id, "*") == 0)
        return true;
    size_t at = find_voice(reader, id);
    if (at == ABC_NO_VOICE) {
        if (reader->voices == PASSO_SCORE_PARTS_MAX)
            return abc_fault(reader, word.at, PASSO_ERR_RANGE, "there are more than %d voices",
                             PASSO_SCORE_PARTS_MAX);
        at = reader->voices++;
        memcpy(reader->voice[at].id, id, sizeof id);
    }
    reader->current = at;
    value = abc_trim(value);
    return value.at == value.end || voice_words(reader, &reader->voice[at], value);
}

/* --- symbols and directives --- */

uint8_t abc_decoration(struct abc_span name)
{
    if (abc_is(name, "tenuto"))
        return PASSO_NOTE_TENUTO;
    if (abc_is(name, "staccato") || abc_is(name, "."))
        return PASSO_NOTE_STACCATO;
    if (abc_is(name, "accent") || abc_is(name, ">") || abc_is(name, "emphasis") ||
        abc_is(name, "marcato") || abc_is(name, "^"))
        return PASSO_NOTE_ACCENT;
    return 0;
}

/* "M = !tenuto!": the letter stands for it from here on. Of other letters nothing is kept. */
static bool read_symbol(struct abc_reader *reader, struct abc_span value)
{
    struct abc_span name = {value.at + 1, value.end};
    if (value.at == value.end || (unsigned char)*value.at >= sizeof reader->symbol)
        return true;
    name = abc_trim(name);
    if (name.at == name.end || *name.at++ != '=')
        return true;
    name = abc_trim(name);
    if (name.end - name.at > 2 && strchr("!+", *name.at) && name.end[-1] == *name.at)
        name = (struct abc_span){name.at + 1, name.end - 1};
    reader->symbol[(unsigned char)*value.at] = abc_decoration(name);
    return true;
}

static bool read_reach(struct abc_reader *reader, struct abc_span value)
{
    char shown[ABC_SHOWN_BYTES];
    if (abc_is(value, "pitch"))
        reader->reach = ABC_REACH_PITCH;
    else if (abc_is(value, "octave"))
        reader->reach = ABC_REACH_OCTAVE;
    else if (abc_is(value, "not"))
        reader->reach = ABC_REACH_NOTE;
    else
        return abc_fault(reader, value.at, PASSO_ERR_SYNTAX,
                         "propagate-accidentals %s is not known; write pitch, octave or not",
                         abc_shown(value, shown));
    return true;
}

bool abc_directive(struct abc_reader *reader, struct abc_span value)
{
    const struct abc_span name = abc_word(&value);
    long number = 0;
    value = abc_trim(value);
    if (!reader->header && !abc_is_taken(reader))
        return true;
    if (abc_is(name, "propagate-accidentals"))
        return read_reach(reader, value);
    if (!abc_is(name, "setbarnb"))
        return true;
    if (!abc_whole(value, -PASSO_BAR_MAX, PASSO_BAR_MAX, &number))
        return abc_fault(reader, name.at, PASSO_ERR_RANGE,
                         "setbarnb wants a bar's number, such as setbarnb 33");
    reader->number = (int32_t)number;
    return true;
}

/* --- all of them --- */

static bool end_header(struct abc_reader *reader)
{
    abc_settle_unit(reader);
    reader->current = ABC_NO_VOICE;
    reader->header = false;
    return true;
}

static bool read_key(struct abc_reader *reader, struct abc_span value)
{
    return abc_key_field(reader, value) && (!reader->header || end_header(reader));
}

static bool read_title(struct abc_reader *reader, struct abc_span value)
{
    struct passo_score *score = reader->build.score;
    if (!*score->title)
        score_text(value.at, (size_t)(value.end - value.at), score->title);
    return true;
}

bool abc_field(struct abc_reader *reader, char letter, struct abc_span value)
{
    /* In the music meter, key, unit and tempo are those of their voice. */
    const bool mine = reader->header || abc_is_taken(reader);
    switch (letter) {
    case 'T':
        return read_title(reader, value);
    case 'V':
        return read_voice(reader, value);
    case 'I':
        return abc_directive(reader, value);
    case 'U':
        return read_symbol(reader, value);
    case 'M':
        return !mine || read_meter(reader, value);
    case 'L':
        return !mine || read_unit(reader, value);
    case 'Q':
        return !mine || read_tempo(reader, value);
    case 'K':
        return !mine || read_key(reader, value);
    default:
        return true;
    }
}
