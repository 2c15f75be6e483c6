/* How instruments transpose. A name is taken word by word, in whatever order: what kind of horn it
 * is, the note it stands in, its clef. What the same words may mean in two ways (a horn in B-flat,
 * alto or basso; Wagner tubas, of which composers wrote in several ways) is not known here, nor is
 * a name with a word in it that is not: "B-flt trumpet" is in no B. `transposition` says it. */
#include "text/notation.h"
#include "text/scan.h"
#include "text/spelling.h"

#include <string.h>
#include <strings.h>

#define OCTAVE 12

enum family {
    FAMILY_NONE,
    FAMILY_TRUMPET,
    FAMILY_CORNET, /* and flugelhorn */
    FAMILY_HORN,
    FAMILY_LOW,      /* trombone, euphonium, baritone: an octave and a second down in treble clef */
    FAMILY_TUBA,     /* two octaves down and more in treble clef */
    FAMILY_AT_PITCH, /* ophicleide, cimbasso: in the bass clef alone */
    FAMILY_OTHER     /* not a brass instrument, or none that this table knows */
};

/* What is said besides. */
enum {
    SAID_TREBLE = 1 << 0,
    SAID_BASS = 1 << 1, /* of "bass" alone it is a brass band's part, in treble clef */
    SAID_CLEF = 1 << 2,
    SAID_ALTO = 1 << 3,
    SAID_TENOR = 1 << 4,
    SAID_SOPRANO = 1 << 5,
    SAID_PICCOLO = 1 << 6,
    SAID_BASSO = 1 << 7,
    SAID_DOUBLE = 1 << 8,
    SAID_CONCERT = 1 << 9,
    SAID_UNKNOWN = 1 << 10 /* a word that is not in the table */
};

struct told {
    enum family family;
    unsigned said;
    bool keyed;
    int fifths; /* of the note it stands in */
};

static const struct {
    const char *word;
    enum family family;
    unsigned said;
} words[] = {
    {"trumpet", FAMILY_TRUMPET, 0},
    {"cornet", FAMILY_CORNET, 0},
    {"flugelhorn", FAMILY_CORNET, 0},
    {"fluegelhorn", FAMILY_CORNET, 0},
    {"flugel", FAMILY_CORNET, 0},
    {"flügelhorn", FAMILY_CORNET, 0},
    {"horn", FAMILY_HORN, 0},
    {"mellophone", FAMILY_HORN, 0},
    {"trombone", FAMILY_LOW, 0},
    {"euphonium", FAMILY_LOW, 0},
    {"baritone", FAMILY_LOW, 0},
    {"tuba", FAMILY_TUBA, 0},
    {"sousaphone", FAMILY_TUBA, 0},
    {"helicon", FAMILY_TUBA, 0},
    {"ophicleide", FAMILY_AT_PITCH, 0},
    {"cimbasso", FAMILY_AT_PITCH, 0},
    {"serpent", FAMILY_AT_PITCH, 0},
    {"sackbut", FAMILY_AT_PITCH, 0},
    {"saxophone", FAMILY_OTHER, 0},
    {"sax", FAMILY_OTHER, 0},
    {"clarinet", FAMILY_OTHER, 0},
    {"wagner", FAMILY_OTHER, 0},
    {"oboe", FAMILY_OTHER, 0},
    {"guitar", FAMILY_OTHER, 0},
    {"drum", FAMILY_OTHER, 0},
    {"flute", FAMILY_OTHER, 0},
    {"english", FAMILY_OTHER, 0},
    {"basset", FAMILY_OTHER, 0},
    {"treble", FAMILY_NONE, SAID_TREBLE},
    {"clef", FAMILY_NONE, SAID_CLEF},
    {"bass", FAMILY_NONE, SAID_BASS},
    {"alto", FAMILY_NONE, SAID_ALTO},
    {"tenor", FAMILY_NONE, SAID_TENOR},
    {"soprano", FAMILY_NONE, SAID_SOPRANO},
    {"piccolo", FAMILY_NONE, SAID_PICCOLO},
    {"basso", FAMILY_NONE, SAID_BASSO},
    {"tc", FAMILY_NONE, SAID_TREBLE | SAID_CLEF},
    {"bc", FAMILY_NONE, SAID_BASS | SAID_CLEF},
    {"t.c", FAMILY_NONE, SAID_TREBLE | SAID_CLEF},
    {"b.c", FAMILY_NONE, SAID_BASS | SAID_CLEF},
    {"low", FAMILY_NONE, SAID_BASSO},
    {"double", FAMILY_NONE, SAID_DOUBLE},
    {"concert", FAMILY_NONE, SAID_CONCERT},
    /* What changes nothing: how it is built, and whose part it is. */
    {"in", FAMILY_NONE, 0},
    {"the", FAMILY_NONE, 0},
    {"and", FAMILY_NONE, 0},
    {"with", FAMILY_NONE, 0},
    {"part", FAMILY_NONE, 0},
    {"solo", FAMILY_NONE, 0},
    {"principal", FAMILY_NONE, 0},
    {"first", FAMILY_NONE, 0},
    {"second", FAMILY_NONE, 0},
    {"third", FAMILY_NONE, 0},
    {"fourth", FAMILY_NONE, 0},
    {"st", FAMILY_NONE, 0},
    {"nd", FAMILY_NONE, 0},
    {"rd", FAMILY_NONE, 0},
    {"th", FAMILY_NONE, 0},
    {"no", FAMILY_NONE, 0},
    {"repiano", FAMILY_NONE, 0},
    {"ripieno", FAMILY_NONE, 0},
    {"french", FAMILY_NONE, 0},
    {"marching", FAMILY_NONE, 0},
    {"pocket", FAMILY_NONE, 0},
    {"valve", FAMILY_NONE, 0},
    {"valved", FAMILY_NONE, 0},
    {"rotary", FAMILY_NONE, 0},
    {"slide", FAMILY_NONE, 0},
    {"contrabass", FAMILY_NONE, 0},
    {"pitch", FAMILY_NONE, 0},
};

static bool in_word(char sign)
{
    return (sign >= 'a' && sign <= 'z') || (sign >= 'A' && sign <= 'Z') || (sign & 0x80);
}

/* Skips "B-flat", "Bb", "F", and what names a low tuba's: "BBb", "EE-flat", "CC". */
static bool scan_note(const char **at, int *out_fifths)
{
    const char *from = *at;
    if (in_word(from[0]) && from[0] == from[1] && from[0] != 'b')
        from++;
    if (!spelling_scan(&from, out_fifths) || in_word(*from))
        return false;
    *at = from;
    return true;
}

/* Whether the word there, plural or not, is this one; skips it. */
static bool scan_name(const char **at, const char *word)
{
    size_t length = strlen(word);
    if (strncasecmp(*at, word, length) != 0)
        return false;
    const char *end = *at + length;
    end += *end == 's' || *end == 'S';
    if (in_word(*end))
        return false;
    *at = end;
    return true;
}

/* A later word for a kind of horn tells more: a "baritone horn" is no horn, a "horn" after it adds
 * nothing. */
static void take_family(struct told *told, enum family family)
{
    if (told->family == FAMILY_NONE || told->family == FAMILY_HORN || family == FAMILY_OTHER)
        told->family = family;
}

static void take_word(struct told *told, const char **at)
{
    int fifths = 0;
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (scan_name(at, words[i].word)) {
            if (words[i].family != FAMILY_NONE)
                take_family(told, words[i].family);
            told->said |= words[i].said;
            return;
        }
    if (scan_note(at, &fifths)) {
        if (!told->keyed)
            told->fifths = fifths;
        told->keyed = true;
        return;
    }
    told->said |= SAID_UNKNOWN;
    while (in_word(**at))
        ++*at;
}

static struct told take_words(const char *name)
{
    struct told told = {0};
    while (*name)
        if (in_word(*name))
            take_word(&told, &name);
        else
            name++;
    return told;
}

/* Semitones from C up to the note, 0 to 11. */
static int above_c(int fifths)
{
    const int semitones_a_fifth = 7;
    return ((fifths * semitones_a_fifth) % OCTAVE + OCTAVE) % OCTAVE;
}

enum { IN_A = 9, IN_B_FLAT = 10, IN_E_FLAT = 3, IN_F = 5, IN_C = 0, IN_D = 2, G_UP = 7 };

/* An octave under the trumpet of its note, in treble clef; of others than these and of the bass
 * clef nothing is known. */
static bool of_bass_trumpet(const struct told *told, int in, int *out)
{
    const bool nearest_below = in == IN_B_FLAT;
    const bool in_bass_clef = told->said & SAID_CLEF && !(told->said & SAID_TREBLE);
    *out = in - OCTAVE - (nearest_below ? OCTAVE : 0);
    return told->keyed && !in_bass_clef &&
           (nearest_below || in == IN_C || in == IN_D || in == IN_E_FLAT);
}

static bool of_trumpet(const struct told *told, int in, int *out)
{
    if (told->said & SAID_BASS)
        return of_bass_trumpet(told, in, out);
    if (!told->keyed)
        in = IN_B_FLAT;
    if (told->said & SAID_PICCOLO)
        *out = in == IN_C ? OCTAVE : in;
    else
        *out = in > G_UP ? in - OCTAVE : in; /* the nearest, as those in D, E-flat, F, B-flat are */
    return true;
}

static bool of_cornet(const struct told *told, int in, int *out)
{
    if (!told->keyed)
        in = told->said & SAID_SOPRANO ? IN_E_FLAT : IN_B_FLAT;
    *out = in > G_UP ? in - OCTAVE : in;
    return true;
}

/* In F, E, E-flat ... down to C, an octave down; of those in B-flat and A only what is said. */
static bool of_horn(const struct told *told, int in, int *out)
{
    const bool high = told->said & SAID_ALTO;
    const bool low = told->said & SAID_BASSO;
    const bool band = told->said & SAID_TENOR || (high && (!told->keyed || in == IN_E_FLAT));
    if (band && told->keyed && in == IN_B_FLAT) {
        *out = IN_B_FLAT - 2 * OCTAVE; /* a band's tenor horn in B-flat is a baritone's sister */
        return true;
    }
    if (!told->keyed || told->said & SAID_DOUBLE)
        in = band ? IN_E_FLAT : IN_F;
    if (in >= IN_A && !high && !low)
        return false;
    *out = in - OCTAVE - (in >= IN_A && low ? OCTAVE : 0);
    return true;
}

/* As it sounds, unless the part is in the treble clef. */
static bool of_low(const struct told *told, int in, int *out)
{
    *out = 0;
    if (!(told->said & SAID_TREBLE))
        return true;
    if (!told->keyed)
        in = IN_B_FLAT;
    *out = in == IN_B_FLAT ? IN_B_FLAT - 2 * OCTAVE : 0;
    return in == IN_B_FLAT;
}

static bool of_tuba(const struct told *told, int in, int *out)
{
    if (told->said & SAID_TENOR) /* a euphonium by another name */
        return of_low(told, in, out);
    *out = 0;
    if (!(told->said & SAID_TREBLE))
        return true;
    *out = in == IN_B_FLAT ? IN_B_FLAT - 3 * OCTAVE : in == IN_E_FLAT ? IN_E_FLAT - 2 * OCTAVE : 0;
    return told->keyed && *out;
}

/* "E-flat bass", "BB-flat bass", "E-flat bass, bass clef". */
static bool of_none(struct told told, int in, int *out)
{
    if (!(told.said & SAID_BASS))
        return false;
    if (!(told.said & SAID_CLEF))
        told.said |= SAID_TREBLE;
    return told.keyed && of_tuba(&told, in, out);
}

bool passo_instrument_transposition(const char *name, int16_t *out_semitones)
{
    const struct told told = take_words(name);
    const int in = above_c(told.fifths);
    int semitones = 0;
    bool known = false;
    switch (told.family) {
    case FAMILY_NONE:
        known = of_none(told, in, &semitones);
        break;
    case FAMILY_TRUMPET:
        known = of_trumpet(&told, in, &semitones);
        break;
    case FAMILY_CORNET:
        known = of_cornet(&told, in, &semitones);
        break;
    case FAMILY_HORN:
        known = of_horn(&told, in, &semitones);
        break;
    case FAMILY_LOW:
        known = of_low(&told, in, &semitones);
        break;
    case FAMILY_TUBA:
        known = of_tuba(&told, in, &semitones);
        break;
    case FAMILY_AT_PITCH:
        known = !(told.said & SAID_TREBLE);
        break;
    case FAMILY_OTHER:
        break;
    }
    /* A part at concert pitch is not one that transposes. */
    known = known && !(told.said & SAID_UNKNOWN) && !(told.said & SAID_CONCERT && semitones);
    if (known)
        *out_semitones = (int16_t)semitones;
    return known;
}
