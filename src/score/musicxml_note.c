/* The notes of MusicXML as one line. A note stands open until the next one, as notes of its chord
 * may follow and rise over it. */
#include "score/musicxml_priv.h"

#include <string.h>

enum { WHOLE_QUARTERS = 4, LENGTH_MAX = 64, SLURS = 32, LETTERS = 7 };

/* --- one note, element by element --- */

static uint32_t slur_bit(const char **attribute)
{
    int64_t number = 1;
    const char *text = xml_attribute(attribute, "number");
    if (text[0] && !musicxml_whole(text, 1, SLURS, &number))
        return 0;
    return 1U << (number - 1);
}

static void take_slur(struct musicxml_note *note, const char **attribute)
{
    const char *type = xml_attribute(attribute, "type");
    if (strcmp(type, "start") == 0)
        note->slur_start |= slur_bit(attribute);
    if (strcmp(type, "stop") == 0)
        note->slur_stop |= slur_bit(attribute);
}

/* <tie> says what sounds and <tied> what is printed; either will do. */
static void take_tie(struct musicxml_note *note, const char **attribute)
{
    const char *type = xml_attribute(attribute, "type");
    note->tie_start = note->tie_start || strcmp(type, "start") == 0;
    note->tie_stop = note->tie_stop || strcmp(type, "stop") == 0;
}

static uint8_t mark_of(enum musicxml_element element)
{
    switch (element) {
    case MUSICXML_STACCATO:
    case MUSICXML_STACCATISSIMO:
    case MUSICXML_SPICCATO:
        return PASSO_NOTE_STACCATO;
    case MUSICXML_TENUTO:
        return PASSO_NOTE_TENUTO;
    case MUSICXML_DETACHED_LEGATO:
        return PASSO_NOTE_STACCATO | PASSO_NOTE_TENUTO;
    case MUSICXML_ACCENT:
    case MUSICXML_STRONG_ACCENT:
        return PASSO_NOTE_ACCENT;
    default:
        return 0;
    }
}

void musicxml_note_begin(struct musicxml *music, enum musicxml_element element,
                         const char **attribute)
{
    struct musicxml_note *note = &music->note;
    const enum musicxml_element in = music->path[music->depth - 1];
    if (element == MUSICXML_NOTE || element == MUSICXML_BACKUP || element == MUSICXML_FORWARD)
        *note = (struct musicxml_note){.length = {0, 1}, .voice = "1"};
    else if (in == MUSICXML_NOTE && element == MUSICXML_GRACE)
        note->grace = true;
    else if (in == MUSICXML_NOTE && element == MUSICXML_CUE)
        note->cue = true;
    else if (in == MUSICXML_NOTE && element == MUSICXML_CHORD)
        note->chord = true;
    else if (in == MUSICXML_NOTE && element == MUSICXML_PITCH)
        note->pitched = true;
    else if (element == MUSICXML_TIE || element == MUSICXML_TIED)
        take_tie(note, attribute);
    else if (element == MUSICXML_SLUR)
        take_slur(note, attribute);
    else if (in == MUSICXML_ARTICULATIONS)
        note->marks |= mark_of(element);
}

static void take_duration(struct musicxml *music, const char *text)
{
    const int64_t quarter = music->part[music->current].divisions;
    int64_t duration = 0;
    if (!quarter) {
        xml_fault(music->xml, PASSO_ERR_SYNTAX, "a duration, and no divisions before it");
        return;
    }
    if (!musicxml_whole(text, 0, (int64_t)LENGTH_MAX * WHOLE_QUARTERS * quarter, &duration)) {
        xml_fault(
            music->xml, PASSO_ERR_SYNTAX,
            "a duration of \"%.40s\"; a whole number of divisions, up to %d whole notes, will "
            "do",
            text, LENGTH_MAX);
        return;
    }
    music->note.length = passo_ratio(duration, WHOLE_QUARTERS * quarter);
    music->note.timed = true;
}

static void take_pitch(struct musicxml *music, enum musicxml_element element, const char *text)
{
    static const char letters[LETTERS + 1] = "CDEFGAB";
    struct musicxml_note *note = &music->note;
    int64_t value = 0;
    const char *letter = text[0] && !text[1] ? strchr(letters, text[0]) : NULL;
    if (element == MUSICXML_STEP && letter) {
        note->letter = (int)(letter - letters);
        note->lettered = true;
    } else if (element == MUSICXML_ALTER && musicxml_whole(text, -2, 2, &value)) {
        note->alter = (int)value;
    } else if (element == MUSICXML_OCTAVE &&
               musicxml_whole(text, PASSO_OCTAVE_MIN, PASSO_OCTAVE_MAX, &value)) {
        note->octave = (int)value;
        note->octaved = true;
    } else if (element == MUSICXML_STEP) {
        xml_fault(music->xml, PASSO_ERR_SYNTAX, "a step of \"%.40s\"; A to G will do", text);
    } else if (element == MUSICXML_ALTER) {
        xml_fault(music->xml, PASSO_ERR_SYNTAX,
                  "an alter of \"%.40s\"; -2, -1, 0, 1 or 2 semitones will do", text);
    } else if (element == MUSICXML_OCTAVE) {
        xml_fault(music->xml, PASSO_ERR_SYNTAX, "an octave of \"%.40s\"; %d to %d will do", text,
                  PASSO_OCTAVE_MIN, PASSO_OCTAVE_MAX);
    }
}

/* --- the line --- */

/* In the way of the note before, as only a file that contradicts itself has it. */
static bool collides(const struct passo_score *score, const struct passo_note *note)
{
    if (!score->notes)
        return false;
    const struct passo_note *before = &score->note[score->notes - 1];
    return passo_ratio_cmp(passo_ratio_add(before->at, before->length), note->at) > 0;
}

void musicxml_line_close(struct musicxml *music)
{
    struct musicxml_line *line = &music->line;
    if (!line->open)
        return;
    line->open = false;
    if (line->slurs)
        line->note.marks |= PASSO_NOTE_SLUR;
    if (collides(music->score, &line->note) || !line->note.length.num) {
        music->score->left_out++;
        return;
    }
    score_add_note(&music->build, &line->note, line->tied && line->tie_stop);
    line->tied = line->tie_start;
}

static void take_slurs(struct musicxml *music)
{
    music->line.slurs = (music->line.slurs & ~music->note.slur_stop) | music->note.slur_start;
}

/* A note of a chord: the higher one stands. */
static void join_chord(struct musicxml *music, struct passo_pitch pitch)
{
    struct musicxml_line *line = &music->line;
    const struct musicxml_note *note = &music->note;
    music->score->left_out += !note->tie_stop;
    line->note.marks |= note->marks;
    if (passo_pitch_midi(pitch) <= passo_pitch_midi(line->note.pitch))
        return;
    line->note.pitch = pitch;
    line->tie_start = note->tie_start;
    line->tie_stop = note->tie_stop;
}

static void begin_note(struct musicxml *music, struct passo_pitch pitch)
{
    struct musicxml_line *line = &music->line;
    const struct musicxml_note *note = &music->note;
    const struct passo_score *score = music->score;
    line->note = (struct passo_note){.at = score->bar[score->bars - 1].at,
                                     .length = note->length,
                                     .pitch = pitch,
                                     .marks = note->marks};
    line->tie_start = note->tie_start;
    line->tie_stop = note->tie_stop;
    line->open = musicxml_add(music, &line->note.at, music->part[music->current].at);
}

/* Notes of other voices are counted only. Grace notes have no time of their own; a slur may begin
 * or end at one. A cue is someone else's. */
static void take_note(struct musicxml *music, bool sounds)
{
    const struct musicxml_note *note = &music->note;
    if (strcmp(note->voice, music->voice) != 0) {
        music->score->left_out += sounds && !note->tie_stop;
        return;
    }
    if (!note->chord)
        musicxml_line_close(music);
    take_slurs(music);
    if (!sounds)
        return;
    const struct passo_pitch pitch = passo_pitch_of(note->letter, note->alter, note->octave);
    if (note->chord && music->line.open)
        join_chord(music, pitch);
    else if (!note->chord)
        begin_note(music, pitch);
    else
        music->score->left_out++;
}

/* The first time through: which voices the part has, and which of them have notes. */
static void know_voice(struct musicxml *music, bool sounds)
{
    struct musicxml_part *part = &music->part[music->current];
    size_t i = 0;
    while (i < part->voices && strcmp(part->voice[i].name, music->note.voice) != 0)
        i++;
    if (i == MUSICXML_VOICES)
        return;
    if (i == part->voices) {
        memcpy(part->voice[i].name, music->note.voice, sizeof music->note.voice);
        part->voices++;
    }
    part->voice[i].pitched = part->voice[i].pitched || sounds;
}

static void end_note(struct musicxml *music)
{
    const struct musicxml_note *note = &music->note;
    const bool sounds = note->pitched && !note->grace && !note->cue;
    if (!note->timed && !note->grace) {
        xml_fault(music->xml, PASSO_ERR_SYNTAX, "a note without a duration");
        return;
    }
    if (note->pitched && (!note->lettered || !note->octaved)) {
        xml_fault(music->xml, PASSO_ERR_SYNTAX, "a pitch without its step or its octave");
        return;
    }
    if (!music->reads)
        know_voice(music, sounds);
    else if (music->current == music->chosen)
        take_note(music, sounds);
    if (!note->chord && !note->grace && music->build.error == PASSO_OK)
        musicxml_move(music, true);
}

void musicxml_note_end(struct musicxml *music, enum musicxml_element element, const char *text)
{
    struct musicxml_note *note = &music->note;
    const enum musicxml_element in = music->path[music->depth - 1];
    if (element == MUSICXML_NOTE)
        end_note(music);
    else if (element == MUSICXML_BACKUP || element == MUSICXML_FORWARD)
        musicxml_move(music, element == MUSICXML_FORWARD);
    else if (element == MUSICXML_DURATION)
        take_duration(music, text);
    else if (in == MUSICXML_PITCH)
        take_pitch(music, element, text);
    else if (in == MUSICXML_NOTE && element == MUSICXML_VOICE)
        snprintf(note->voice, sizeof note->voice, "%s", text);
}
