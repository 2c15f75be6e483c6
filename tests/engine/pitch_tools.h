/* Notes by their names, "Bb4" and "F##-1", for the tests of pitch. */
#ifndef PASSO_TESTS_PITCH_TOOLS_H
#define PASSO_TESTS_PITCH_TOOLS_H

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include <passo/pitch.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

static inline void near(double got, double wanted, double within)
{
    if (!(fabs(got - wanted) <= within))
        fail_msg("%.12g is not %.12g", got, wanted);
}

/* The line of fifths as it is printed. */
static const char *const line_of_fifths[] = {
    "Fbb", "Cbb", "Gbb", "Dbb", "Abb", "Ebb", "Bbb", "Fb",  "Cb",  "Gb",  "Db", "Ab",
    "Eb",  "Bb",  "F",   "C",   "G",   "D",   "A",   "E",   "B",   "F#",  "C#", "G#",
    "D#",  "A#",  "E#",  "B#",  "F##", "C##", "G##", "D##", "A##", "E##", "B##"};

static inline int fifths_named(const char *name, size_t bytes)
{
    for (size_t i = 0; i < COUNT(line_of_fifths); i++) {
        if (strlen(line_of_fifths[i]) == bytes && strncmp(line_of_fifths[i], name, bytes) == 0)
            return (int)i + PASSO_FIFTHS_MIN;
    }
    fail_msg("no letter \"%s\"", name);
    return 0;
}

static inline struct passo_pitch pitch_named(const char *name)
{
    const size_t letters = strcspn(name, "-0123456789");
    return (struct passo_pitch){(int8_t)fifths_named(name, letters),
                                (int8_t)strtol(name + letters, NULL, 10)};
}

static inline struct passo_key key_named(const char *name, enum passo_mode mode)
{
    return (struct passo_key){(int8_t)fifths_named(name, strlen(name)), (uint8_t)mode};
}

static inline void is_pitch(struct passo_pitch got, const char *wanted)
{
    char name[16];
    assert_in_range(got.fifths - PASSO_FIFTHS_MIN, 0, COUNT(line_of_fifths) - 1);
    snprintf(name, sizeof name, "%s%d", line_of_fifths[got.fifths - PASSO_FIFTHS_MIN], got.octave);
    assert_string_equal(name, wanted);
}

static inline void is_key(struct passo_key got, const char *wanted)
{
    assert_string_equal(line_of_fifths[got.tonic - PASSO_FIFTHS_MIN], wanted);
}

#endif
