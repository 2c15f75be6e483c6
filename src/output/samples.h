/* Click sets: replaces sounds of a kit by a player's own audio files (any that libsndfile reads),
 * mixed to mono and resampled to the kit's rate. Thread: control. */
#ifndef PASSO_OUTPUT_SAMPLES_H
#define PASSO_OUTPUT_SAMPLES_H

#include <passo/error.h>
#include "sound/kit.h"

#define PASSO_SAMPLE_MAX_S 4 /* a longer click is cut here, with a fade */

/* Loads the click sounds of the folder `folder` into the kit: files named bar, group, beat, sub,
 * count-bar, count with any extension libsndfile reads (bar.wav, beat.flac ...). `bar` and `beat`
 * must be there; a missing group is beat, a missing sub is beat at -10 dB, missing count sounds
 * are bar and beat. Leading silence (under -60 dB of full scale) is cut, so that the onset sits on
 * the frame. The set gets the loudness that the kit's clicks had (ITU-R BS.1770): one gain of at
 * most 20 dB either way for all its sounds, under which none peaks over 0.9. On failure the kit is
 * unchanged and out_fault holds one sentence with the file. Errors: PASSO_ERR_FILE,
 * PASSO_ERR_SYNTAX (not audio), PASSO_ERR_RANGE (empty, silent). */
PASSO_MUST_CHECK enum passo_error passo_samples_load(struct passo_kit *kit, const char *folder,
                                                     char *out_fault, size_t fault_bytes);
/* Writes the kit's clicks as 16-bit mono WAV files into an existing folder (the generator of the
 * shipped sets). Errors: PASSO_ERR_FILE. */
PASSO_MUST_CHECK enum passo_error passo_samples_save(const struct passo_kit *kit,
                                                     const char *folder, char *out_fault,
                                                     size_t fault_bytes);

#endif
