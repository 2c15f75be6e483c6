/* Music's own words for lengths, tempi, meters and places, read and written. Reads are forgiving
 * in spacing and case; writes are canonical and read back to the same value. Thread: any but the
 * audio thread. */
#ifndef PASSO_TEXT_NOTATION_H
#define PASSO_TEXT_NOTATION_H

#include <passo/error.h>
#include <passo/passage.h>
#include <passo/pitch.h>

/* "quarter", "dotted quarter", "eighth", "half", "sixteenth", "whole", "thirty-second", "double
 * dotted ..." and their other names (crotchet, quaver, minim, semibreve, semiquaver), the plain
 * fraction "3/8", or two tied values "quarter + dotted quarter". */
PASSO_MUST_CHECK enum passo_error passo_note_value_read(const char *text,
                                                        struct passo_ratio *out_value);
/* The canonical name ("dotted quarter"); a tied pair or a fraction where there is no single name.
 * Returns out. */
const char *passo_note_value_write(struct passo_ratio value, char *out, size_t bytes);

/* "92", "63.7", "92 bpm" (then *out_beat is 0/1) or "dotted quarter = 88". To a thousandth, half
 * up. PASSO_ERR_SYNTAX, or PASSO_ERR_RANGE outside 5 to 1000 bpm (also inf, nan, 1e9). */
PASSO_MUST_CHECK enum passo_error passo_tempo_read(const char *text, int32_t *out_mbpm,
                                                   struct passo_ratio *out_beat);
/* A tempo in another beat unit, rounded half up; unit 0/1 is the beat itself. 0 if it is then no
 * tempo from 5 to 1000 bpm. */
int32_t passo_tempo_in_beat(int32_t mbpm, struct passo_ratio unit, struct passo_ratio beat);
/* "92", "63.7", "168.54": as short as exact. Returns out. */
const char *passo_bpm_write(int32_t mbpm, char *out, size_t bytes);
/* "dotted quarter = 88". Returns out. */
const char *passo_tempo_write(int32_t mbpm, struct passo_ratio beat, char *out, size_t bytes);

/* A stretch of time to the second, half up: "50 s", "3 min", "2 min 30 s". ms from 0. Returns out.
 */
const char *passo_span_write(int64_t ms, char *out, size_t bytes);

/* "4/4", "6/8", "2+2+3/8", "7/8 as 2+2+3", "7/8 (2+2+3)". */
PASSO_MUST_CHECK enum passo_error passo_meter_read(const char *text, struct passo_meter *out_meter);
/* "4/4", or "7/8 as 2+2+3" where the groups are not the usual ones. Returns out. */
const char *passo_meter_write(const struct passo_meter *meter, char *out, size_t bytes);

/* "Bb2", "F#3", "E-flat 3", "C 4", with musical signs or in words; double flats and sharps too. */
PASSO_MUST_CHECK enum passo_error passo_pitch_read(const char *text, struct passo_pitch *out_pitch);
/* "B-flat 2". Returns out. */
const char *passo_pitch_write(struct passo_pitch pitch, char *out, size_t bytes);
/* As short as it goes, for a narrow place: "B♭2", or of ascii "Bb2". Returns out. */
const char *passo_pitch_write_short(struct passo_pitch pitch, bool ascii, char *out, size_t bytes);

/* An instrument's transposition by its name, in any case and with any of its words in any order:
 * "B-flat trumpet", "Horn in F", "euphonium, treble clef", "bass trombone". False: not known. */
bool passo_instrument_transposition(const char *name, int16_t *out_semitones);

/* A copy of untrusted text that is safe to show: control characters (C0, C1, DEL), bidirectional
 * overrides and broken UTF-8 become '?', and the result is cut at a character's edge. Returns
 * out. */
const char *passo_text_clean(const char *text, char *out, size_t bytes);

#endif
