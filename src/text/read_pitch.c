/* Readers of what is tuned to and of what the passage's notes are. What needs the key or the notes
 * waits for tune.c. */
#include "text/reading.h"
#include "text/routine.h"
#include "text/scan.h"
#include "text/spelling.h"

#include <string.h>

#define SEMITONES_MAX 48

/* The key as it is printed; of several the first is what a drone and a file's spelling go by. */
const char *read_key(const char *value, struct draft *draft)
{
    struct passo_intonation *intonation = &draft->setup->intonation;
    bool whole = false;
    passo_text_clean(value, draft->setup->passage.key, PASSO_NAME_MAX);
    intonation->keyed = passo_keys_read(value, &intonation->key, 1, &whole) == 1;
    return NULL;
}

/* One that is not known stands for itself: what is written sounds. */
const char *read_instrument(const char *value, struct draft *draft)
{
    int16_t semitones = 0;
    passo_text_clean(value, draft->setup->passage.instrument, PASSO_NAME_MAX);
    draft->transposes = passo_instrument_transposition(value, &semitones);
    draft->setup->intonation.transposition = semitones;
    return NULL;
}

const char *read_transposition(const char *value, struct draft *draft)
{
    int64_t semitones = 0;
    if ((!scan_match(value, "#", &semitones) &&
         !scan_match(value, "# semitones|semitone", &semitones)) ||
        !reading_fits(semitones, -SEMITONES_MAX, SEMITONES_MAX))
        return "a transposition is so many semitones, sounding minus written, from -48 to 48: -2 "
               "of a B-flat trumpet, -9 of an E-flat horn";
    draft->setup->intonation.transposition = (int16_t)semitones;
    draft->transposes = true;
    return NULL;
}

const char *read_start_pitch(const char *value, struct draft *draft)
{
    struct passo_intonation *intonation = &draft->setup->intonation;
    enum passo_error error = passo_pitch_read(value, &intonation->start);
    if (error == PASSO_ERR_RANGE)
        return "octaves are -1 to 9; C 4 is middle C";
    if (error)
        return "a note is written with its octave: E-flat 3, Eb3, F#2, C 4";
    intonation->starts = true;
    passo_pitch_write(intonation->start, draft->setup->passage.start_pitch, PASSO_NAME_MAX);
    return NULL;
}

/* Skips "A =", "A4 =". */
static const char *behind_a4(const char *value)
{
    const char *at = value;
    int64_t milli = 0;
    bool whole = false;
    if (!scan_word(&at, "a"))
        return value;
    const char *number = at;
    if (!scan_char(&at, '=')) {
        if (!scan_number(&number, &milli, &whole) || milli != 4000)
            return value;
        at = number;
        if (!scan_char(&at, '='))
            return value;
    }
    return at;
}

const char *read_reference(const char *value, struct draft *draft)
{
    int64_t milli = 0;
    const char *number = behind_a4(value);
    if ((!scan_match(number, "~", &milli) && !scan_match(number, "~ hz", &milli)) ||
        !reading_fits(milli, (int64_t)(PASSO_A4_MIN_HZ * 1000), (int64_t)(PASSO_A4_MAX_HZ * 1000)))
        return "the reference is what A 4 is tuned to, 415 to 466 Hz: 442, or A = 442";
    draft->setup->intonation.a4_hz = (double)milli / 1000;
    return NULL;
}

const char *read_drone(const char *value, struct draft *draft)
{
    struct passo_intonation *intonation = &draft->setup->intonation;
    if (scan_match(value, "none", NULL))
        intonation->drone = PASSO_DRONE_NONE;
    else if (scan_match(value, "root", NULL))
        intonation->drone = PASSO_DRONE_ROOT;
    else if (scan_match(value, "root and fifth", NULL))
        intonation->drone = PASSO_DRONE_ROOT_AND_FIFTH;
    else if (passo_pitch_read(value, &intonation->note) == PASSO_OK)
        intonation->drone = PASSO_DRONE_NOTE;
    else
        return "a drone is root, root and fifth, a note with its octave (B-flat 2), or none";
    return NULL;
}

const char *read_fifth(const char *value, struct draft *draft)
{
    bool pure = scan_match(value, "pure", NULL);
    if (!pure && !scan_match(value, "equal", NULL))
        return "the drone's fifth is equal, as a keyboard has it, or pure, 3:2 over the root";
    draft->setup->intonation.pure_fifth = pure;
    return NULL;
}

const char *read_hear(const char *value, struct draft *draft)
{
    struct passo_intonation *intonation = &draft->setup->intonation;
    if (scan_match(value, "off", NULL))
        intonation->hear = PASSO_HEAR_OFF;
    else if (scan_match(value, "before each new rung", NULL))
        intonation->hear = PASSO_HEAR_NEW_RUNG;
    else if (scan_match(value, "every pass", NULL))
        intonation->hear = PASSO_HEAR_EVERY_PASS;
    else
        return "the passage is heard before each new rung, every pass, or off";
    return NULL;
}

/* The notes are read when the meter and the key are known. */
const char *read_notes(const char *value, struct draft *draft)
{
    (void)value;
    (void)draft;
    return NULL;
}

const char *read_notes_from(const char *value, struct draft *draft)
{
    (void)draft;
    return strlen(value) < PASSO_PATH_BYTES ? NULL : "this path is too long";
}

const char *read_notes_part(const char *value, struct draft *draft)
{
    (void)value;
    (void)draft;
    return NULL;
}

const char *read_notes_bar(const char *value, struct draft *draft)
{
    int64_t bar = 0;
    if ((!scan_match(value, "#", &bar) && !scan_match(value, "bar #", &bar)) ||
        !reading_fits(bar, -PASSO_BAR_MAX, PASSO_BAR_MAX))
        return "this is the printed number of one bar: 33";
    draft->tune.bar = (int32_t)bar;
    draft->tune.bar_said = true;
    return NULL;
}
