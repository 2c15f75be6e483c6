/* Scenes of a passage whose notes are known: four bars of a run up and down in B-flat, in eighths
 * and sixteenths, with a long note at its end. Included by scenes.h. */
#ifndef PASSO_TESTS_VIEW_SCENES_NOTES_H
#define PASSO_TESTS_VIEW_SCENES_NOTES_H

#define SCENE_NOTES 29

static struct passo_strip_note scene_notes[SCENE_NOTES];

/* Bars 33 to 35 in eighths, bar 36 in four sixteenths and a dotted half. */
static void scene_with_notes(struct passo_snapshot *s, int octave)
{
    static const char letters[SCENE_NOTES + 1] = "BCDEFGAB"
                                                 "CDEFGFED"
                                                 "CBAGFEDC"
                                                 "BCDCB";
    int at_octave = octave;
    char before = 'A';
    for (size_t i = 0; i < SCENE_NOTES; i++) {
        struct passo_strip_note *note = &scene_notes[i];
        char letter = letters[i];
        int place = (int)(strchr("CDEFGAB", letter) - "CDEFGAB");
        if (before == 'B' && letter == 'C')
            at_octave++;
        if (before == 'C' && letter == 'B')
            at_octave--;
        before = letter;
        note->pitch = passo_pitch_of(place, letter == 'B' || letter == 'E' ? -1 : 0, at_octave);
        note->bar = 33 + (int32_t)i / 8;
        note->at = passo_ratio((int64_t)i % 8, i < 24 ? 8 : 16);
        note->length = i < 24 ? passo_ratio(1, 8) : i < 28 ? passo_ratio(1, 16) : passo_ratio(3, 4);
    }
    s->strip = (struct passo_strip){scene_notes, SCENE_NOTES, (uint32_t)octave};
}

/* The player plays: the third beat of bar 34. */
static void scene_notes_playing(struct passo_snapshot *s)
{
    scene_playing(s);
    scene_with_notes(s, 2);
    s->note_now = 12;
    scene_beat(s, 34, 3, 4, PASSO_CLICK_BEAT);
}

/* In a rest the machine plays. */
static void scene_hearing(struct passo_snapshot *s)
{
    scene_rest(s);
    scene_with_notes(s, 2);
    s->listening = true;
    s->note_now = 4;
    SET(next, "Listen: bars 33-36 \u00b7 octave down \u00b7 quarter = 76. Then you play.");
    scene_beat(s, 33, 3, 4, PASSO_CLICK_BEAT);
}

/* Far up, on the last note, over ledger lines no window has room for. */
static void scene_hearing_wide(struct passo_snapshot *s)
{
    scene_hearing(s);
    scene_notes[0].pitch.octave = 0;
    scene_notes[SCENE_NOTES - 1].pitch.octave = 7;
    scene_notes[1].length = passo_ratio(1, 1024);
    s->strip.serial = 77;
    s->note_now = SCENE_NOTES - 1;
    scene_beat(s, 36, 4, 4, PASSO_CLICK_BEAT);
}

#endif
