/* Notes as musicians name them: a letter, what alters it, and the octave that goes with the letter.
 */
#include "text/notation.h"
#include "text/reading.h"
#include "text/scan.h"
#include "text/spelling.h"

#include <stdio.h>

/* A minus right before the number: C-1 is the octave below C 0. */
static bool scan_octave(const char **at, int64_t *out_octave)
{
    int64_t milli = 0;
    bool whole = false;
    bool minus = scan_char(at, '-');
    if ((minus && (**at == ' ' || **at == '\t')) || !scan_number(at, &milli, &whole) || !whole)
        return false;
    *out_octave = (minus ? -milli : milli) / 1000;
    return true;
}

enum passo_error passo_pitch_read(const char *text, struct passo_pitch *out_pitch)
{
    const char *at = text;
    int fifths = 0;
    int64_t octave = 0;
    if (!spelling_scan(&at, &fifths) || !scan_octave(&at, &octave) || !scan_end(&at))
        return PASSO_ERR_SYNTAX;
    if (!reading_fits(octave, PASSO_OCTAVE_MIN, PASSO_OCTAVE_MAX))
        return PASSO_ERR_RANGE;
    *out_pitch = (struct passo_pitch){.fifths = (int8_t)fifths, .octave = (int8_t)octave};
    return PASSO_OK;
}

const char *passo_pitch_write(struct passo_pitch pitch, char *out, size_t bytes)
{
    char letter[SPELLING_BYTES];
    snprintf(out, bytes, "%s %d", spelling_write(pitch.fifths, letter, sizeof letter),
             pitch.octave);
    return out;
}

const char *passo_pitch_write_short(struct passo_pitch pitch, bool ascii, char *out, size_t bytes)
{
    char letter[SPELLING_BYTES];
    snprintf(out, bytes, "%s%d", spelling_write_short(pitch.fifths, ascii, letter, sizeof letter),
             pitch.octave);
    return out;
}
