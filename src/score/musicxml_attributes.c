/* What MusicXML says of meters, keys, transpositions and tempi. */
#include "score/musicxml_priv.h"

#include <string.h>

enum {
    DIVISIONS_MAX = 65536,
    SIGNS_MAX = 7,
    SEMITONES_MAX = 48,
    OCTAVES_MAX = 4,
    OCTAVE = 12,
    DOTS_MAX = 3
};

static bool is_read(const struct musicxml *music)
{
    return music->reads && music->current == music->chosen;
}

/* --- meters --- */

/* "3+2" as groups of this meter, whose unit is still to come. */
static void take_beats(struct musicxml *music, const char *text)
{
    struct musicxml_taking *taking = &music->taking;
    const char *at = text;
    do {
        int64_t beats = 0;
        char number[XML_TEXT_MAX];
        const size_t length = strcspn(at, "+");
        snprintf(number, sizeof number, "%.*s", (int)length, at);
        number[strcspn(number, " ")] = '\0';
        const char *digits = number + strspn(number, " ");
        if (taking->groups == PASSO_METER_COUNT_MAX ||
            !musicxml_whole(digits, 1, PASSO_METER_COUNT_MAX, &beats)) {
            xml_fault(music->xml, PASSO_ERR_SYNTAX,
                      "beats of \"%.40s\"; a number from 1 to %d will do, or several: 3+2", text,
                      PASSO_METER_COUNT_MAX);
            return;
        }
        taking->group_unit[taking->groups] = 0;
        taking->group[taking->groups++] = (uint8_t)beats;
        at += length;
    } while (*at++ == '+' && *at);
}

static void take_beat_type(struct musicxml *music, const char *text)
{
    struct musicxml_taking *taking = &music->taking;
    int64_t unit = 0;
    if (!musicxml_whole(text, 1, 64, &unit) || (unit & (unit - 1))) {
        xml_fault(music->xml, PASSO_ERR_SYNTAX,
                  "a beat type of \"%.40s\"; 1, 2, 4, 8, 16, 32 or 64 will do", text);
        return;
    }
    for (size_t i = taking->groups; i && !taking->group_unit[i - 1]; i--)
        taking->group_unit[i - 1] = (uint8_t)unit;
}

/* 3+2 over 8 is two groups; 2 over 4 and 3 over 8 are groups of their shortest unit. */
static enum passo_error meter_of(const struct musicxml_taking *taking, struct passo_meter *meter)
{
    uint8_t group[PASSO_METER_COUNT_MAX];
    uint8_t unit = 0;
    for (size_t i = 0; i < taking->groups; i++)
        unit = taking->group_unit[i] > unit ? taking->group_unit[i] : unit;
    if (taking->groups == 1)
        return passo_meter_init(meter, taking->group[0], unit);
    for (size_t i = 0; i < taking->groups; i++) {
        const int length =
            taking->group_unit[i] ? taking->group[i] * (unit / taking->group_unit[i]) : 0;
        if (length > PASSO_METER_COUNT_MAX)
            return PASSO_ERR_RANGE;
        group[i] = (uint8_t)length;
    }
    return passo_meter_init_groups(meter, group, taking->groups, unit);
}

static void take_time(struct musicxml *music)
{
    struct passo_meter meter;
    if (!music->taking.taken || !music->taking.groups || !is_read(music))
        return; /* senza misura: the meter before goes on */
    if (meter_of(&music->taking, &meter) != PASSO_OK) {
        xml_fault(
            music->xml, PASSO_ERR_RANGE,
            "a time signature that cannot be counted; up to %d notes of 1/1 to 1/64 a bar will "
            "do",
            PASSO_METER_COUNT_MAX);
        return;
    }
    music->meter = meter;
    if (!music->part[music->current].at.num)
        music->score->bar[music->score->bars - 1].meter = meter;
}

/* --- keys and transpositions --- */

static void take_fifths(struct musicxml *music, const char *text)
{
    int64_t fifths = 0;
    if (!musicxml_whole(text, -SIGNS_MAX, SIGNS_MAX, &fifths)) {
        xml_fault(music->xml, PASSO_ERR_SYNTAX,
                  "fifths of \"%.40s\"; from -7 (seven flats) to 7 (seven sharps) will do", text);
        return;
    }
    music->taking.fifths = (int)fifths;
    music->taking.keyed = true;
}

static void take_key(struct musicxml *music)
{
    const struct musicxml_taking *taking = &music->taking;
    if (!taking->taken || !taking->keyed || !is_read(music))
        return;
    music->key = (struct passo_key){(int8_t)(taking->fifths + (taking->minor ? 3 : 0)),
                                    (uint8_t)(taking->minor ? PASSO_MODE_MINOR : PASSO_MODE_MAJOR)};
    music->score->keyed = true;
    if (!music->part[music->current].at.num)
        music->score->bar[music->score->bars - 1].key = music->key;
}

static void take_number(struct musicxml *music, const char *text, const char *what, int most,
                        int *out_value)
{
    int64_t value = 0;
    if (!musicxml_whole(text, -most, most, &value))
        xml_fault(music->xml, PASSO_ERR_SYNTAX, "%s of \"%.40s\"; from -%d to %d will do", what,
                  text, most, most);
    *out_value = (int)value;
}

/* The first of a part is taken; later ones are for a change of instrument. */
static void take_transpose(struct musicxml *music)
{
    if (!music->taking.taken || !is_read(music) || music->score->transposes)
        return;
    music->score->transposes = true;
    music->score->transposition =
        (int16_t)(music->taking.chromatic + OCTAVE * music->taking.octaves);
}

/* --- tempi --- */

static void take_metronome(struct musicxml *music)
{
    const struct musicxml_taking *taking = &music->taking;
    const int64_t parts = INT64_C(1) << taking->dots; /* each dot adds half of what is before it */
    /* Where one beat becomes another there is no number, and no tempo. */
    musicxml_tempo_add(music, true, taking->mbpm,
                       passo_ratio_mul(taking->unit, passo_ratio(2 * parts - 1, parts)));
}

/* --- elements --- */

void musicxml_attributes_begin(struct musicxml *music, enum musicxml_element element,
                               const char **attribute)
{
    const char *staff = xml_attribute(attribute, "number");
    switch (element) {
    case MUSICXML_KEY:
    case MUSICXML_TIME:
    case MUSICXML_TRANSPOSE:
    case MUSICXML_METRONOME:
        music->taking =
            (struct musicxml_taking){.taken = !staff[0] || strcmp(staff, "1") == 0, .unit = {0, 1}};
        break;
    case MUSICXML_BEAT_UNIT_DOT:
        music->taking.dots += music->taking.dots < DOTS_MAX;
        break;
    case MUSICXML_SOUND:
        musicxml_tempo_add(music, false, musicxml_thousandths(xml_attribute(attribute, "tempo")),
                           (struct passo_ratio){1, 4});
        break;
    default: /* the elements of notes and parts are others' */
        break;
    }
}

static void take_divisions(struct musicxml *music, const char *text)
{
    int64_t divisions = 0;
    if (!musicxml_whole(text, 1, DIVISIONS_MAX, &divisions)) {
        xml_fault(music->xml, PASSO_ERR_SYNTAX,
                  "divisions of \"%.40s\"; a whole number from 1 to %d will do", text,
                  DIVISIONS_MAX);
        return;
    }
    music->part[music->current].divisions = divisions;
}

static void end_in(struct musicxml *music, enum musicxml_element element, const char *text)
{
    struct musicxml_taking *taking = &music->taking;
    switch (music->path[music->depth - 1]) {
    case MUSICXML_TIME:
        if (element == MUSICXML_BEATS)
            take_beats(music, text);
        if (element == MUSICXML_BEAT_TYPE)
            take_beat_type(music, text);
        break;
    case MUSICXML_KEY:
        if (element == MUSICXML_FIFTHS)
            take_fifths(music, text);
        if (element == MUSICXML_MODE)
            taking->minor = strcmp(text, "minor") == 0;
        break;
    case MUSICXML_TRANSPOSE:
        if (element == MUSICXML_CHROMATIC)
            take_number(music, text, "a transposition", SEMITONES_MAX, &taking->chromatic);
        if (element == MUSICXML_OCTAVE_CHANGE)
            take_number(music, text, "an octave change", OCTAVES_MAX, &taking->octaves);
        break;
    case MUSICXML_METRONOME:
        if (element == MUSICXML_BEAT_UNIT)
            taking->unit = musicxml_note_type(text);
        if (element == MUSICXML_PER_MINUTE) {
            const int64_t mbpm = musicxml_thousandths(text);
            taking->mbpm = (int32_t)(mbpm < PASSO_TEMPO_MAX_MBPM ? mbpm : PASSO_TEMPO_MAX_MBPM);
        }
        break;
    default:
        break;
    }
}

void musicxml_attributes_end(struct musicxml *music, enum musicxml_element element,
                             const char *text)
{
    switch (element) {
    case MUSICXML_DIVISIONS:
        take_divisions(music, text);
        break;
    case MUSICXML_KEY:
        take_key(music);
        break;
    case MUSICXML_TIME:
        take_time(music);
        break;
    case MUSICXML_TRANSPOSE:
        take_transpose(music);
        break;
    case MUSICXML_METRONOME:
        take_metronome(music);
        break;
    default:
        end_in(music, element, text);
    }
}
