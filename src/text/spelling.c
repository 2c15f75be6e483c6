/* Letters are places on the line of fifths, and a flat or a sharp is seven of its steps. */
#include "text/spelling.h"
#include "text/scan.h"

#include <passo/error.h>

#include <stdio.h>
#include <string.h>

#define FLAT         "\xE2\x99\xAD"
#define NATURAL      "\xE2\x99\xAE"
#define SHARP        "\xE2\x99\xAF"
#define DOUBLE_SHARP "\xF0\x9D\x84\xAA"
#define DOUBLE_FLAT  "\xF0\x9D\x84\xAB"

enum { STEPS_A_SIGN = 7, SIGNS_MAX = 2 };

/* F is the lowest letter on the line of fifths. */
static const char letters[] = "FCGDAEB";
enum { FIFTHS_OF_F = -1 };

static const struct {
    const char *sign;
    int alter;
} signs[] = {{FLAT, -1}, {SHARP, 1}, {DOUBLE_FLAT, -2}, {DOUBLE_SHARP, 2}, {"#", 1}, {"b", -1}};
#define MUSICAL_SIGNS 4 /* the first of them may stand apart from their letter */

/* The sign that stands there, of the first `count`; NULL if none does. */
static const char *sign_at(const char *at, size_t count, int *out_alter)
{
    for (size_t i = 0; i < count; i++)
        if (!strncmp(at, signs[i].sign, strlen(signs[i].sign))) {
            *out_alter = signs[i].alter;
            return signs[i].sign;
        }
    return NULL;
}

void spelling_skip_gap(const char **at)
{
    if (!scan_char(at, '-'))
        return;
    *at += strspn(*at, " \t");
}

/* Skips "-flat", " double sharp". */
static bool scan_sign_word(const char **at, int *out_alter)
{
    const char *from = *at;
    spelling_skip_gap(&from);
    int count = scan_word(&from, "double") ? SIGNS_MAX : 1;
    spelling_skip_gap(&from);
    bool flat = scan_word(&from, "flat");
    if (!flat && !scan_word(&from, "sharp"))
        return false;
    *out_alter = flat ? -count : count;
    *at = from;
    return true;
}

/* Flats below zero, sharps above; false of flats and sharps at once. */
static bool scan_alter(const char **at, int *out_alter)
{
    int one = 0;
    int size = 0;
    const char *sign = NULL;
    const char *behind = *at + strspn(*at, " \t");
    *out_alter = 0;
    if (scan_sign_word(at, out_alter))
        return true;
    /* "A ♭": only a musical sign may stand apart. */
    if (sign_at(behind, MUSICAL_SIGNS, &one))
        *at = behind;
    if (!strncmp(behind, NATURAL, strlen(NATURAL))) {
        *at = behind + strlen(NATURAL);
        return true;
    }
    while (size <= SIGNS_MAX && (sign = sign_at(*at, sizeof signs / sizeof *signs, &one))) {
        *at += strlen(sign);
        *out_alter += one;
        size += one < 0 ? -one : one;
    }
    /* "b#" is a slip of the hand. */
    return size <= SIGNS_MAX && (*out_alter == size || *out_alter == -size);
}

bool spelling_scan(const char **at, int *out_fifths)
{
    int alter = 0;
    *at += strspn(*at, " \t");
    char upper = **at >= 'a' && **at <= 'g' ? (char)(**at - 'a' + 'A') : **at;
    const char *letter = upper ? strchr(letters, upper) : NULL;
    if (!letter)
        return false;
    ++*at;
    if (!scan_alter(at, &alter))
        return false;
    *out_fifths = (int)(letter - letters) + FIFTHS_OF_F + STEPS_A_SIGN * alter;
    return true;
}

/* Steps from F double flat. */
static int steps_of(int fifths)
{
    int steps = fifths - FIFTHS_OF_F + SIGNS_MAX * STEPS_A_SIGN;
    PASSO_BUG_ON(steps < 0 || steps >= (2 * SIGNS_MAX + 1) * STEPS_A_SIGN);
    return steps;
}

const char *spelling_write(int fifths, char *out, size_t bytes)
{
    static const char *const words[] = {"-double-flat", "-flat", "", "-sharp", "-double-sharp"};
    int steps = steps_of(fifths);
    snprintf(out, bytes, "%c%s", letters[steps % STEPS_A_SIGN], words[steps / STEPS_A_SIGN]);
    return out;
}

const char *spelling_write_short(int fifths, bool ascii, char *out, size_t bytes)
{
    static const char *const words[][2 * SIGNS_MAX + 1] = {
        {FLAT FLAT, FLAT, "", SHARP, SHARP SHARP}, {"bb", "b", "", "#", "##"}};
    int steps = steps_of(fifths);
    snprintf(out, bytes, "%c%s", letters[steps % STEPS_A_SIGN], words[ascii][steps / STEPS_A_SIGN]);
    return out;
}
