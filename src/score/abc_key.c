/* K: of ABC: tonic, mode and signs, and the words of clefs, which V: has too. Any thread. */
#include "score/abc_priv.h"

#include <string.h>
#include <strings.h>

#define OCTAVE 12 /* semitones: a clef's little 8 */

/* So many sharps; below 0 flats. They come in the order F C G D A E B, flats the other way, and
 * from the eighth on a second time. */
static void signs_of(int sharps, int8_t out_alter[ABC_LETTERS])
{
    static const int place[ABC_LETTERS] = {1, 3, 5, 0, 2, 4, 6}; /* in that order, from C */
    for (int i = 0; i < ABC_LETTERS; i++) {
        /* Floor division of what may be negative. */
        const int reached = sharps + 6 - place[i] + 3 * ABC_LETTERS;
        int alter = reached / ABC_LETTERS - 3;
        if (alter > 2)
            alter = 2;
        if (alter < -2)
            alter = -2;
        out_alter[i] = (int8_t)alter;
    }
}

void abc_signs_of(struct passo_key key, int8_t out_alter[ABC_LETTERS])
{
    signs_of(key.mode == PASSO_MODE_MINOR ? key.tonic - 3 : key.tonic, out_alter);
}

void abc_set_key(struct abc_reader *reader, struct passo_key key)
{
    reader->key = key;
    abc_signs_of(key, reader->signs);
}

/* --- clefs --- */

/* "treble", "bass-8", "tenor4+8": the little 8 is where it sounds. */
static void clef_name(struct abc_span word, struct abc_clef *clef)
{
    static const char *const names[] = {"treble", "bass", "alto", "tenor", "perc", "none"};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        const size_t count = strlen(names[i]);
        if ((size_t)(word.end - word.at) < count || strncasecmp(word.at, names[i], count) != 0)
            continue;
        word.at += count;
        if (word.at < word.end && *word.at >= '1' && *word.at <= '5')
            word.at++;
        const bool below = abc_is(word, "-8");
        const bool eighth = below || abc_is(word, "+8");
        if (eighth || word.at == word.end)
            clef->eighth = !eighth ? 0 : below ? -OCTAVE : OCTAVE;
        clef->transposes |= eighth;
        return;
    }
}

bool abc_clef_word(struct abc_reader *reader, struct abc_span word, struct abc_clef *clef)
{
    char shown[ABC_SHOWN_BYTES];
    struct abc_span value;
    long number = 0;
    if (abc_value(word, "octave=", &value)) {
        if (!abc_whole(value, -4, 4, &number))
            return abc_fault(reader, word.at, PASSO_ERR_RANGE, "%s is not from octave=-4 to 4",
                             abc_shown(word, shown));
        clef->octave = (int)number;
        clef->moves_octave = true;
    } else if (abc_value(word, "transpose=", &value)) {
        if (!abc_whole(value, -36, 36, &number))
            return abc_fault(reader, word.at, PASSO_ERR_RANGE,
                             "%s is not from transpose=-36 to 36 (semitones)",
                             abc_shown(word, shown));
        clef->transpose = (int)number;
        clef->transposes = true;
    } else if (abc_value(word, "clef=", &value)) {
        clef_name(value, clef);
    } else {
        clef_name(word, clef);
    }
    return true;
}

/* --- keys --- */

static const struct {
    const char *name; /* three letters tell */
    int sharps;       /* more than the major key's */
    bool minor;
} modes[] = {
    {"maj", 0, false},  {"ion", 0, false},  {"mix", -1, false},
    {"dor", -2, false}, {"min", -3, true},  {"aeo", -3, true},
    {"phr", -4, false}, {"loc", -5, false}, {"lyd", 1, false},
};

static bool is_letter(char character)
{
    const char lower = (char)(character | 0x20);
    return lower >= 'a' && lower <= 'z';
}

/* A mode's word. False: it is none. */
static bool mode_of(struct abc_span word, int *out_sharps, bool *out_minor)
{
    if (word.end - word.at == 1 && *word.at == 'm') {
        *out_sharps = -3;
        *out_minor = true;
        return true;
    }
    if (word.end - word.at < 3)
        return false;
    for (size_t i = 0; i < sizeof modes / sizeof *modes; i++) {
        if (strncasecmp(word.at, modes[i].name, 3) == 0) {
            *out_sharps = modes[i].sharps;
            *out_minor = modes[i].minor;
            return true;
        }
    }
    return false;
}

/* Signs of its own: "^f", "_b=e". */
static bool own_signs(struct abc_reader *reader, struct abc_span word)
{
    static const char letters[] = "CDEFGAB";
    char shown[ABC_SHOWN_BYTES];
    for (const char *c = word.at; c < word.end;) {
        int alter = 0;
        for (; c < word.end && (*c == '^' || *c == '_' || *c == '='); c++)
            alter += *c == '^' ? 1 : *c == '_' ? -1 : 0;
        const char *letter = c < word.end && is_letter(*c) ? strchr(letters, *c & ~0x20) : NULL;
        if (!letter || !*letter || alter < -2 || alter > 2)
            return abc_fault(reader, word.at, PASSO_ERR_SYNTAX,
                             "%s is no sign of a key; write ^f, _b or =c", abc_shown(word, shown));
        reader->signs[letter - letters] = (int8_t)alter;
        c++;
    }
    return true;
}

/* By how many signs of its own a key has, the major key that has as many. */
static struct passo_key key_by_signs(const int8_t signs[ABC_LETTERS])
{
    int sum = 0;
    for (int i = 0; i < ABC_LETTERS; i++)
        sum += signs[i];
    return (struct passo_key){.tonic = (int8_t)sum, .mode = PASSO_MODE_MAJOR};
}

/* The words behind tonic and mode. Signs beside those of a named key leave it its name. */
static bool key_words(struct abc_reader *reader, struct abc_span rest, struct abc_clef *clef)
{
    bool by_signs = false;
    for (;;) {
        const struct abc_span word = abc_word(&rest);
        if (word.at == word.end)
            break;
        if (strchr("^_=", *word.at)) {
            if (!own_signs(reader, word))
                return false;
        } else if (abc_is(word, "exp")) {
            memset(reader->signs, 0, sizeof reader->signs);
            by_signs = true;
        } else if (!abc_clef_word(reader, word, clef)) {
            return false;
        }
    }
    if (by_signs)
        reader->key = key_by_signs(reader->signs);
    return true;
}

/* "G", "Bb", "F#mix", "A minor", "Ddor". Moves span->at behind it. */
static bool read_tonic(struct abc_reader *reader, struct abc_span *span)
{
    static const int8_t fifths[] = {['A' - 'A'] = 3, 5, 0, 2, 4, -1, 1};
    char shown[ABC_SHOWN_BYTES];
    const char *from = span->at;
    int tonic = fifths[*span->at++ - 'A'];
    int sharps = 0;
    bool minor = false;
    if (span->at < span->end && (*span->at == '#' || *span->at == 'b'))
        tonic += *span->at++ == '#' ? 7 : -7;
    struct abc_span word = {span->at, span->at};
    while (word.end < span->end && is_letter(*word.end))
        word.end++;
    struct abc_span rest = {word.end, span->end};
    if (word.at == word.end) {
        word = abc_word(&rest);
        if (mode_of(word, &sharps, &minor))
            span->at = rest.at;
    } else if (mode_of(word, &sharps, &minor)) {
        span->at = rest.at;
    } else {
        return abc_fault(reader, from, PASSO_ERR_SYNTAX,
                         "%s is no key; write G, Bb, F#m, Ddor or Emix",
                         abc_shown((struct abc_span){from, word.end}, shown));
    }
    signs_of(tonic + sharps, reader->signs);
    reader->key = minor ? (struct passo_key){(int8_t)tonic, PASSO_MODE_MINOR}
                        : (struct passo_key){(int8_t)(tonic + sharps), PASSO_MODE_MAJOR};
    reader->build.score->keyed = true;
    return true;
}

bool abc_key_field(struct abc_reader *reader, struct abc_span value)
{
    /* In a tune's music it is the voice's own; in the header it is for all. */
    const bool own = !reader->header && reader->current != ABC_NO_VOICE;
    struct abc_clef *clef = own ? &reader->voice[reader->current].clef : &reader->clef;
    struct abc_span rest = value;
    const struct abc_span first = abc_word(&rest);
    if (abc_is(first, "none") || abc_is(first, "HP")) {
        /* "Hp" prints two sharps; "HP" and "none" nothing. */
        const bool pipes = first.at[0] == 'H' && first.at[1] == 'p';
        reader->build.score->keyed = pipes;
        abc_set_key(reader, (struct passo_key){pipes ? 2 : 0, PASSO_MODE_MAJOR});
        value = rest;
    } else if (value.at < value.end && *value.at >= 'A' && *value.at <= 'G') {
        if (!read_tonic(reader, &value))
            return false;
    }
    return key_words(reader, value, clef);
}
