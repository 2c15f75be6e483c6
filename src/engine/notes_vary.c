/* What a way to play makes of the notes: octave, tongue, rhythm. A rhythm is made of notes of one
 * length that follow each other without a rest, as many as make a pair or a group, and begin on a
 * multiple of its time in their bar and end in that bar. Pure; any thread. */
#include <passo/notes.h>

#define GROUP_MOST 8

static void touch(struct passo_note *note, enum passo_touch way)
{
    const unsigned spoken = PASSO_NOTE_SLUR | PASSO_NOTE_STACCATO | PASSO_NOTE_TENUTO;
    if (way == PASSO_TOUCH_WRITTEN)
        return;
    unsigned marks = note->marks & ~spoken;
    if (way == PASSO_TOUCH_SLURRED)
        marks |= PASSO_NOTE_SLUR;
    if (way == PASSO_TOUCH_STACCATO)
        marks |= PASSO_NOTE_STACCATO;
    note->marks = (uint8_t)marks;
}

static struct passo_ratio end_of(const struct passo_note *note)
{
    return passo_ratio_add(note->at, note->length);
}

/* A slur leads to a note that it touches; over a rest there is nothing to slur. Nor is there
 * between two notes of one pitch, which would be one long note: they are tongued, but hardly
 * parted. */
static void cut_slurs(struct passo_notes *notes)
{
    for (size_t i = 0; i < notes->notes; i++) {
        struct passo_note *note = &notes->note[i];
        const struct passo_note *next = i + 1 < notes->notes ? note + 1 : NULL;
        bool touches = next && passo_ratio_cmp(end_of(note), next->at) == 0;
        bool again = touches && passo_pitch_midi(note->pitch) == passo_pitch_midi(next->pitch);
        if (!(note->marks & PASSO_NOTE_SLUR) || (touches && !again))
            continue;
        unsigned marks = note->marks & ~(unsigned)PASSO_NOTE_SLUR;
        if (again && !(marks & PASSO_NOTE_STACCATO))
            marks |= PASSO_NOTE_TENUTO;
        note->marks = (uint8_t)marks;
    }
}

/* Whether the notes from i on are such a group. */
static bool is_group(const struct passo_notes *notes, size_t i, size_t group,
                     const struct passo_passage *passage)
{
    const struct passo_note *first = &notes->note[i];
    if (i + group > notes->notes)
        return false;
    for (size_t k = 1; k < group; k++) {
        const struct passo_note *note = &notes->note[i + k];
        if (passo_ratio_cmp(note->length, first->length) != 0 ||
            passo_ratio_cmp(note->at, end_of(note - 1)) != 0)
            return false;
    }
    struct passo_place place = passo_notes_place(passage, first->at);
    struct passo_ratio bar = passo_meter_length(passo_passage_meter(passage, place.bar));
    struct passo_ratio time = passo_ratio_mul(first->length, passo_ratio((int64_t)group, 1));
    return passo_ratio_div(place.at, time).den == 1 &&
           passo_ratio_cmp(passo_ratio_add(place.at, time), bar) <= 0;
}

/* Gives the group its lengths: the first note `first` of the whole, the others equal shares. */
static void share_out(struct passo_note *note, size_t group, struct passo_ratio first)
{
    struct passo_ratio time = passo_ratio_mul(note->length, passo_ratio((int64_t)group, 1));
    struct passo_ratio lead = passo_ratio_mul(time, first);
    struct passo_ratio rest =
        passo_ratio_div(passo_ratio_sub(time, lead), passo_ratio((int64_t)group - 1, 1));
    note[0].length = lead;
    for (size_t k = 1; k < group; k++) {
        note[k].at = end_of(&note[k - 1]);
        note[k].length = rest;
    }
}

static void make_rhythm(struct passo_notes *notes, const struct passo_passage *passage,
                        const struct passo_variant *variant)
{
    size_t group = variant->rhythm == PASSO_RHYTHM_HELD ? variant->group : 2;
    struct passo_ratio first = variant->rhythm == PASSO_RHYTHM_DOTTED     ? passo_ratio(3, 4)
                               : variant->rhythm == PASSO_RHYTHM_REVERSED ? passo_ratio(1, 4)
                                                                          : passo_ratio(1, 2);
    if (variant->rhythm == PASSO_RHYTHM_WRITTEN || group < 2 || group > GROUP_MOST)
        return;
    for (size_t i = 0; i < notes->notes;) {
        bool fits = is_group(notes, i, group, passage);
        if (fits)
            share_out(&notes->note[i], group, first);
        i += fits ? group : 1;
    }
}

void passo_notes_vary(const struct passo_notes *notes, const struct passo_passage *passage,
                      const struct passo_variant *variant, struct passo_notes *out_notes)
{
    const struct passo_interval octaves = {0, (int16_t)(12 * variant->octave)};
    out_notes->notes = notes->notes;
    for (size_t i = 0; i < notes->notes; i++) {
        struct passo_note note = notes->note[i];
        note.pitch = passo_pitch_move(note.pitch, octaves);
        touch(&note, (enum passo_touch)variant->touch);
        out_notes->note[i] = note;
    }
    make_rhythm(out_notes, passage, variant);
    cut_slurs(out_notes);
}
