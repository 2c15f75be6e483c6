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

/* `passo hear --keys`: no ladder, no marks. The machine plays. */
static void scene_hear(struct passo_snapshot *s)
{
    scene_notes_playing(s);
    s->block = true;
    scene_ladder.rungs = 1;
    scene_ladder.rung_mbpm[0] = 76000;
    s->mbpm = 76000;
    s->rung = 0;
    s->best_rung = -1;
    s->points = 0;
    s->cleans = s->cleans_needed = 0;
    s->pass = 1;
    s->plays = s->listening = true;
    s->played_ms = s->rested_ms = 0;
    s->elapsed_ms = 24000;
    SET(title, "B-flat major");
    SET(piece, "Lantern March, run-up to the trio");
    SET(count, "");
    SET(move, "");
    SET(what, "bars 33-36");
    SET(next, "Listen: bars 33-36 \u00b7 quarter = 76.");
}

/* `passo hear --alternate`: a pause broke the pass before off; the player's turn. */
static void scene_hear_your_turn(struct passo_snapshot *s)
{
    scene_hear(s);
    s->plays = s->listening = false;
    s->mark = PASSO_MARK_VOID; /* of what nobody marks nothing is shown */
    s->pass = 2;
    s->played_ms = 11000;
    s->rested_ms = 13000;
    SET(next, "Play bars 33-36 \u00b7 quarter = 76.");
}

/* Before the count-in of the next key: its title and its notes. */
static void scene_hear_rest(struct passo_snapshot *s)
{
    scene_hear_your_turn(s);
    s->phase = PASSO_PHASE_REST;
    s->note_now = -1;
    s->rest_left_ms = 12000;
    SET(next, "Next, listen: bars 33-36 \u00b7 quarter = 76.");
}

#endif
