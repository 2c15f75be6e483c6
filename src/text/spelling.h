/* Letters and what alters them, as keys and notes share them. Inside src/text/ only. Thread: any
 * but the audio thread. */
#ifndef PASSO_TEXT_SPELLING_H
#define PASSO_TEXT_SPELLING_H

#include <stdbool.h>
#include <stddef.h>

#define SPELLING_BYTES 24 /* "B-double-sharp" and more */

/* Skips blanks, then a letter and its flats or sharps: signs (Bb, F##, A♭) or words (B-flat, c
 * double sharp). Gives its place on the line of fifths: C 0, G 1, B-flat -2; from F double flat,
 * -15, to B double sharp, 19. False, and *at anywhere, of anything else, flats and sharps at once
 * too. */
bool spelling_scan(const char **at, int *out_fifths);
/* Skips blanks, and a hyphen with the blanks behind it if there is one. */
void spelling_skip_gap(const char **at);

/* "B-flat", "F-double-sharp". A place beyond those limits is a bug. Returns out. */
const char *spelling_write(int fifths, char *out, size_t bytes);
/* "B♭", or of ascii "Bb". Returns out. */
const char *spelling_write_short(int fifths, bool ascii, char *out, size_t bytes);

#endif
