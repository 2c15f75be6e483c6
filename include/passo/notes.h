/* The notes of a passage: one line of music as it is written, and what a way to play it makes of
 * them. Plain values. Thread: any. Pure: no I/O, no clock, no allocation. */
#ifndef PASSO_NOTES_H
#define PASSO_NOTES_H

#include <passo/passage.h>
#include <passo/pitch.h>

#define PASSO_NOTES_MAX 2048

/* How a note is marked; bits of passo_note.marks. None: tongued, as brass players do. */
enum passo_note_mark {
    PASSO_NOTE_SLUR = 1 << 0, /* to the next note: that one is not tongued */
    PASSO_NOTE_STACCATO = 1 << 1,
    PASSO_NOTE_TENUTO = 1 << 2,
    PASSO_NOTE_ACCENT = 1 << 3 /* of a note that is tongued; one that a slur leads to has no
                                  beginning that could be stronger, and sounds as without it */
};

/* One note, tied ones joined. Rests are where no note is. */
struct passo_note {
    struct passo_ratio at;     /* whole notes from the bar line of the passage's first full bar;
                                  below 0 in a pickup or in what comes before */
    struct passo_ratio length; /* above 0; ends by the next note's `at` */
    struct passo_pitch pitch;  /* as written in the part */
    uint8_t marks;
};

/* In the order in which they are played, none over another. */
struct passo_notes {
    size_t notes; /* 0: none are known */
    struct passo_note note[PASSO_NOTES_MAX];
};

/* The place of a bar's line, or of any place, on the notes' line. */
struct passo_ratio passo_notes_at(const struct passo_passage *passage, struct passo_place place);
/* The place of a point of that line: its bar and how far into it. Before the passage and behind it
 * bars go on in the nearest bar's meter. */
struct passo_place passo_notes_place(const struct passo_passage *passage, struct passo_ratio at);
/* Is any of a note played from one place to another: is it under way at `from`, or does it begin
 * before `to`; or, where a pass lands at `to`, does it begin there? Places are on any line on which
 * the note's are. */
bool passo_notes_is_played(const struct passo_note *note, struct passo_ratio from,
                           struct passo_ratio to, bool lands);
/* The first note that is played in a loop with its landing, or NULL. It may begin before the loop.
 */
const struct passo_note *passo_notes_first(const struct passo_notes *notes,
                                           const struct passo_passage *passage,
                                           const struct passo_loop *loop);

/* What a variant makes of the notes (passage.h: touch, rhythm, group, octave): pitches moved by
 * octaves, marks replaced, rhythms made. A touch other than WRITTEN takes the place of slurs,
 * staccato and tenuto; accents stay. A slur that leads to no note is left out; one between two
 * notes of the same pitch, which would be one, becomes a tenuto. Rhythms are made of runs of notes
 * of one length that lie on multiples of the pair or group in their bar, within it, and have no
 * rest between: DOTTED makes 3:1 of a pair (long, short), REVERSED 1:3; HELD gives the first of
 * `group` notes half of the group's time and the others equal shares of the rest. What does not fit
 * such a run stays as it is written. */
void passo_notes_vary(const struct passo_notes *notes, const struct passo_passage *passage,
                      const struct passo_variant *variant, struct passo_notes *out_notes);

#endif
