/* Keys as musicians write them: a letter, what alters it, and major or minor. The letters are
 * places on the line of fifths, and a flat or a sharp is seven of its steps. */
#include "text/routine.h"
#include "text/scan.h"

#include <stdio.h>
#include <string.h>
#include <strings.h>

#define FLAT    "\xE2\x99\xAD"
#define NATURAL "\xE2\x99\xAE"
#define SHARP   "\xE2\x99\xAF"

enum { STEPS_A_SIGN = 7, SIGNS_MAX = 2 };

/* F is the lowest letter on the line of fifths. */
static const char letters[] = "FCGDAEB";
enum { TONIC_OF_F = -1 };

/* Skips a sign that is part of the letter's word. `at` is right behind the letter or a sign. */
static bool scan_sign(const char **at, int *alter)
{
    static const struct {
        const char *sign;
        int alter;
    } signs[] = {{FLAT, -1}, {SHARP, 1}, {"#", 1}, {"b", -1}};
    for (size_t i = 0; i < sizeof signs / sizeof *signs; i++) {
        size_t length = strlen(signs[i].sign);
        if (strncmp(*at, signs[i].sign, length) != 0)
            continue;
        *at += length;
        *alter = signs[i].alter;
        return true;
    }
    return false;
}

/* Skips blanks, and a hyphen if there is one; a hyphen and blanks are the same between words. */
static void skip_gap(const char **at)
{
    if (!scan_char(at, '-'))
        return;
    *at += strspn(*at, " \t");
}

/* Skips "-flat", " double sharp". */
static bool scan_sign_word(const char **at, int *out_alter)
{
    const char *from = *at;
    skip_gap(&from);
    int signs = scan_word(&from, "double") ? SIGNS_MAX : 1;
    skip_gap(&from);
    bool flat = scan_word(&from, "flat");
    if (!flat && !scan_word(&from, "sharp"))
        return false;
    *out_alter = flat ? -signs : signs;
    *at = from;
    return true;
}

/* Flats below zero, sharps above; false of flats and sharps at once. */
static bool scan_alter(const char **at, int *out_alter)
{
    int one = 0;
    int count = 0;
    const char *behind = *at + strspn(*at, " \t");
    *out_alter = 0;
    if (scan_sign_word(at, out_alter))
        return true;
    /* "A ♭": only a musical sign may stand apart. */
    if (!strncmp(behind, FLAT, strlen(FLAT)) || !strncmp(behind, SHARP, strlen(SHARP)))
        *at = behind;
    if (!strncmp(behind, NATURAL, strlen(NATURAL))) {
        *at = behind + strlen(NATURAL);
        return true;
    }
    for (; scan_sign(at, &one); count++)
        *out_alter += one;
    /* "b#" is a slip of the hand. More signs than a key has are off the line of fifths. */
    return *out_alter == count || *out_alter == -count;
}

/* Skips "major", "min", "m" or nothing. A lone M is major's, a lone m minor's. */
static enum passo_mode scan_mode(const char **at)
{
    const char *from = *at;
    skip_gap(&from);
    bool minor = scan_word(&from, "minor") || scan_word(&from, "min");
    if (!minor && !scan_word(&from, "major") && !scan_word(&from, "maj")) {
        const char *letter = from;
        if (!scan_word(&from, "m"))
            return PASSO_MODE_MAJOR;
        minor = letter[strspn(letter, " \t")] == 'm';
    }
    *at = from;
    return minor ? PASSO_MODE_MINOR : PASSO_MODE_MAJOR;
}

/* Reads a key up to a comma or the end. */
static bool scan_key(const char **at, struct passo_key *out_key)
{
    const char *from = *at + strspn(*at, " \t");
    int alter = 0;
    char upper = *from >= 'a' && *from <= 'g' ? (char)(*from - 'a' + 'A') : *from;
    const char *letter = upper ? strchr(letters, upper) : NULL;
    if (!letter)
        return false;
    from++;
    if (!scan_alter(&from, &alter))
        return false;
    int tonic = (int)(letter - letters) + TONIC_OF_F + STEPS_A_SIGN * alter;
    enum passo_mode mode = scan_mode(&from);
    if (tonic < -PASSO_TONIC_MAX || tonic > PASSO_TONIC_MAX)
        return false;
    if (!scan_end(&from) && *from != ',')
        return false;
    *out_key = (struct passo_key){.tonic = (int8_t)tonic, .mode = (uint8_t)mode};
    *at = from;
    return true;
}

enum passo_error passo_key_read(const char *text, struct passo_key *out_key)
{
    struct passo_key key;
    const char *at = text;
    if (!scan_key(&at, &key) || *at)
        return PASSO_ERR_SYNTAX;
    *out_key = key;
    return PASSO_OK;
}

size_t passo_keys_read(const char *text, struct passo_key *out_key, size_t most, bool *out_whole)
{
    struct passo_key key;
    const char *at = text;
    size_t count = 0;
    *out_whole = true;
    for (;;) {
        while (scan_char(&at, ','))
            continue;
        if (scan_end(&at))
            return count;
        if (count == most || !scan_key(&at, &key)) {
            *out_whole = false;
            return count;
        }
        out_key[count++] = key;
    }
}

const char *passo_key_write(struct passo_key key, char *out, size_t bytes)
{
    static const char *const signs[] = {"-double-flat", "-flat", "", "-sharp", "-double-sharp"};
    int from_f = key.tonic - TONIC_OF_F + SIGNS_MAX * STEPS_A_SIGN;
    PASSO_BUG_ON(from_f < 0 || key.tonic > PASSO_TONIC_MAX || key.mode >= PASSO_MODE_COUNT);
    snprintf(out, bytes, "%c%s %s", letters[from_f % STEPS_A_SIGN], signs[from_f / STEPS_A_SIGN],
             key.mode == PASSO_MODE_MINOR ? "minor" : "major");
    return out;
}
