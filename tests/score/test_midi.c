/* Standard MIDI Files, byte by byte: the specification's own example and tables, and what a file
 * may say of parts, meters, keys and tempi. */
#include "midi_file.h"

#include "score/midi_priv.h"

static char fault[512];

static const struct passo_score_ask plain = {.part = ""};

/* Reads what must be readable. */
static struct passo_score read_with(const struct midi_file *file, const struct passo_score_ask *ask)
{
    struct passo_score score;
    const enum passo_error error =
        passo_midi_read(file->data, file->bytes, ask, &score, fault, sizeof fault);
    assert_string_equal(fault, "");
    assert_int_equal(error, PASSO_OK);
    assert_true(score.sounding && !score.transposes);
    scores_check(&score);
    return score;
}

static void check_refused(const struct midi_file *file, const struct passo_score_ask *ask,
                          enum passo_error wanted, const char *sentence)
{
    struct passo_score score;
    assert_int_equal(passo_midi_read(file->data, file->bytes, ask, &score, fault, sizeof fault),
                     wanted);
    scores_check_fault(&score, fault);
    if (!strstr(fault, sentence))
        fail_msg("\"%s\" says nothing of \"%s\"", fault, sentence);
}

static void end(struct midi_file *file, struct passo_score *score)
{
    passo_score_deinit(score);
    free(file->data);
    *file = (struct midi_file){0};
}

/* The example of format 0 in the specification (Standard MIDI Files 1.0, MMA RP-001; the bytes as
 * in shared/references.md 9.3): 4/4, 120 beats a minute, 96 ticks a quarter; channel 3 holds two
 * Cs for a whole note, channel 2 enters with G a quarter later, channel 1 with E after two. */
static const uint8_t example[81] = {
    0x4D, 0x54, 0x68, 0x64, 0,    0,    0,    6,    0,    0,    0,    1,    0,    0x60,
    0x4D, 0x54, 0x72, 0x6B, 0,    0,    0,    0x3B, 0,    0xFF, 0x58, 4,    4,    2,
    0x18, 8,    0,    0xFF, 0x51, 3,    7,    0xA1, 0x20, 0,    0xC0, 5,    0,    0xC1,
    0x2E, 0,    0xC2, 0x46, 0,    0x92, 0x30, 0x60, 0,    0x3C, 0x60, 0x60, 0x91, 0x43,
    0x40, 0x60, 0x90, 0x4C, 0x20, 0x81, 0x40, 0x82, 0x30, 0x40, 0,    0x3C, 0x40, 0,
    0x81, 0x43, 0x40, 0,    0x80, 0x4C, 0x40, 0,    0xFF, 0x2F, 0};

static struct passo_score read_example(const char *part)
{
    struct midi_file file = {0};
    midi_put(&file, example, sizeof example);
    struct passo_score score = read_with(&file, &(struct passo_score_ask){.part = part});
    free(file.data);
    return score;
}

static void test_the_specifications_example(void **state)
{
    (void)state;
    static const struct {
        const char *part, *name, *notes;
        size_t left_out;
    } row[] = {{"", "channel 1", "E5@1/2+1/2", 0},
               {"1", "channel 1", "E5@1/2+1/2", 0},
               {"2", "channel 2", "G4@1/4+3/4", 0},
               {"3", "channel 3", "C4@0/1+1/1", 1},
               {"Channel 3", "channel 3", "C4@0/1+1/1", 1}};
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
        struct passo_score score = read_example(row[i].part);
        assert_string_equal(scores_notes(&score), row[i].notes);
        assert_string_equal(score.part, row[i].name);
        assert_string_equal(score.title, "");
        assert_int_equal(score.left_out, row[i].left_out);
        assert_int_equal(score.parts, 3);
        assert_false(score.keyed);
        assert_string_equal(scores_bars(&score), "1@0/1+1/1:4/4:0");
        assert_string_equal(scores_tempi(&score), "120000@0/1=1/4");
        passo_score_deinit(&score);
    }
}

/* The specification's table of variable-length quantities (references.md 9.3). */
static void test_variable_lengths(void **state)
{
    (void)state;
    static const struct {
        uint32_t value;
        size_t bytes;
        uint8_t byte[4];
    } row[] = {{0x0, 1, {0}},
               {0x40, 1, {0x40}},
               {0x7F, 1, {0x7F}},
               {0x80, 2, {0x81, 0}},
               {0x2000, 2, {0xC0, 0}},
               {0x3FFF, 2, {0xFF, 0x7F}},
               {0x4000, 3, {0x81, 0x80, 0}},
               {0x100000, 3, {0xC0, 0x80, 0}},
               {0x1FFFFF, 3, {0xFF, 0xFF, 0x7F}},
               {0x200000, 4, {0x81, 0x80, 0x80, 0}},
               {0x8000000, 4, {0xC0, 0x80, 0x80, 0}},
               {0xFFFFFFF, 4, {0xFF, 0xFF, 0xFF, 0x7F}},
               {480, 2, {0x83, 0x60}}};
    struct passo_score score;
    struct score_builder build;
    score_begin(&build, &score, fault, sizeof fault);
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
        struct midi_track track = {.data = row[i].byte, .end = row[i].bytes};
        uint32_t value = 1;
        assert_true(midi_variable(&track, &value, &build));
        assert_int_equal(value, row[i].value);
        assert_int_equal(track.at, row[i].bytes);
    }
    static const uint8_t five[] = {0x81, 0x80, 0x80, 0x80, 0};
    struct midi_track track = {.data = five, .end = sizeof five};
    uint32_t value = 0;
    assert_false(midi_variable(&track, &value, &build));
    assert_int_equal(score_end(&build), PASSO_ERR_SYNTAX);
}

/* The 39 marks of a mechanical scale as tempo bytes (references.md 9.3), and the trap named there:
 * 0A2C2B is 90, not 89. Then every whole number, and every tenth, rounded and cut. */
static void test_tempi(void **state)
{
    (void)state;
    static const struct {
        int32_t bpm;
        uint32_t bytes;
    } row[] = {{40, 0x16E360},  {42, 0x15CC5B},  {60, 0x0F4240},  {63, 0x0E883D},  {66, 0x0DDF23},
               {69, 0x0D44BD},  {72, 0x0CB735},  {76, 0x0C0BE2},  {80, 0x0B71B0},  {84, 0x0AE62E},
               {88, 0x0A675A},  {92, 0x09F38E},  {96, 0x098968},  {100, 0x0927C0}, {104, 0x08CD9B},
               {108, 0x087A24}, {112, 0x082CA2}, {116, 0x07E479}, {120, 0x07A120}, {126, 0x07441E},
               {132, 0x06EF91}, {138, 0x06A25F}, {140, 0x068A1B}, {144, 0x065B9B}, {152, 0x0605F1},
               {160, 0x05B8D8}, {168, 0x057317}, {176, 0x0533AD}, {184, 0x04F9C7}, {192, 0x04C4B4},
               {200, 0x0493E0}, {208, 0x0466CE}, {90, 0x0A2C2B}};
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++)
        assert_int_equal(midi_tempo_mbpm(row[i].bytes), row[i].bpm * 1000);
    for (int32_t bpm = 5; bpm <= 1000; bpm++) {
        assert_int_equal(midi_tempo_mbpm((uint32_t)((60000000 + bpm / 2) / bpm)), bpm * 1000);
        assert_int_equal(midi_tempo_mbpm((uint32_t)(60000000 / bpm)), bpm * 1000);
    }
    for (int32_t tenths = 400; tenths <= 2080; tenths++)
        assert_int_equal(midi_tempo_mbpm((uint32_t)((600000000 + tenths / 2) / tenths)),
                         tenths * 100);
    assert_int_equal(midi_tempo_mbpm(1), PASSO_TEMPO_MAX_MBPM);
    assert_int_equal(midi_tempo_mbpm(0xFFFFFF), PASSO_TEMPO_MIN_MBPM);
    assert_int_equal(midi_tempo_mbpm(654321), 91698); /* 91.69811: no writer's round number */
}

static void test_running_status_and_what_is_passed_over(void **state)
{
    (void)state;
    struct midi_file file;
    midi_begin(&file, 0, 1, 480);
    midi_put(&file, "XFIH\0\0\0\5hello", 13); /* a chunk of another kind */
    midi_track(&file);
    midi_meta(&file, 0, 0x03, "  Marrowby\x1B[2J  March\xFF ", 23);
    midi_put(&file, "\0\xF0\3\x7E\x7F\xF7", 6);   /* system exclusive */
    midi_put(&file, "\0\xF7\2\xF3\1", 5);         /* an escape */
    midi_meta(&file, 0, 0x7F, "\x90\x3C\x40", 3); /* a maker's own */
    midi_voice(&file, 0, 0xB0, 7, 100);
    midi_voice(&file, 0, 0xE0, 0, 64);
    midi_put(&file, "\0\xC0\x39\0\xD0\x40", 6);
    midi_put(&file, "\0\x90\x3A\x40\x83\x60\x3A\0", 8); /* running, and velocity 0 ends */
    midi_put(&file, "\0\xFF\1\1!", 5);
    midi_put(&file, "\0\x3E\x40\x81\x70\x3E\0", 7); /* still running, as files do */
    midi_track_end(&file, 0);
    midi_put(&file, "what follows is passed over", 27);
    struct passo_score score = read_with(&file, &plain);
    assert_string_equal(scores_notes(&score), "Bb3@0/1+1/4 D4@1/4+1/8");
    assert_int_equal(score.left_out, 0);
    assert_string_equal(score.title, "Marrowby?[2J  March?");
    end(&file, &score);
}

/* An off without an on ends nothing; of two ons with one key the first off ends the first; what is
 * never ended goes on to the track's end. */
static void test_notes_begin_and_end(void **state)
{
    (void)state;
    struct midi_file file;
    midi_begin(&file, 0, 1, 240);
    midi_track(&file);
    midi_voice(&file, 0, 0x80, 60, 0);
    midi_voice(&file, 0, 0x90, 60, 64);
    midi_voice(&file, 240, 0x90, 60, 64);
    midi_voice(&file, 5, 0x80, 60, 64);
    midi_voice(&file, 235, 0x80, 60, 64);
    midi_voice(&file, 240, 0x90, 62, 64);
    midi_voice(&file, 0, 0x80, 62, 64); /* lasts for no time */
    midi_voice(&file, 0, 0x90, 64, 64);
    midi_track_end(&file, 480);
    struct passo_score score = read_with(&file, &plain);
    assert_string_equal(scores_notes(&score), "C4@0/1+1/4 C4@1/4+1/4 E4@3/4+1/2");
    assert_int_equal(score.left_out, 1);
    end(&file, &score);
}

/* --- one line of many notes --- */

static void test_the_highest_of_a_chord(void **state)
{
    (void)state;
    struct midi_file file;
    midi_begin(&file, 0, 1, 480);
    midi_track(&file);
    midi_voice(&file, 0, 0x90, 60, 64);
    midi_voice(&file, 0, 0x90, 67, 64);
    midi_voice(&file, 0, 0x90, 64, 64);
    midi_voice(&file, 480, 0x80, 60, 64);
    midi_voice(&file, 0, 0x80, 64, 64);
    midi_voice(&file, 480, 0x80, 67, 64);
    midi_track_end(&file, 0);
    struct passo_score score = read_with(&file, &plain);
    assert_string_equal(scores_notes(&score), "G4@0/1+1/2");
    assert_int_equal(score.left_out, 2);
    end(&file, &score);
}

/* A player's legato, up and down; then an accompaniment under a held note, and one that a higher
 * note covers. */
static void test_overlaps(void **state)
{
    (void)state;
    struct midi_file file;
    midi_begin(&file, 0, 1, 480);
    midi_track(&file);
    midi_voice(&file, 0, 0x90, 62, 64);
    midi_voice(&file, 480, 0x90, 60, 64); /* down, 40 ticks over */
    midi_voice(&file, 40, 0x80, 62, 64);
    midi_voice(&file, 440, 0x90, 64, 64); /* up, 40 over */
    midi_voice(&file, 40, 0x80, 60, 64);
    midi_voice(&file, 440, 0x80, 64, 64);
    midi_voice(&file, 0, 0x90, 72, 64);   /* held for a half */
    midi_voice(&file, 480, 0x90, 55, 64); /* under it for a quarter: another voice */
    midi_voice(&file, 480, 0x80, 55, 64);
    midi_voice(&file, 0, 0x80, 72, 64);
    midi_voice(&file, 0, 0x90, 50, 64); /* held, and covered halfway */
    midi_voice(&file, 480, 0x90, 74, 64);
    midi_voice(&file, 480, 0x80, 74, 64);
    midi_voice(&file, 0, 0x80, 50, 64);
    midi_track_end(&file, 0);
    struct passo_score score = read_with(&file, &plain);
    assert_string_equal(scores_notes(&score), "D4@0/1+1/4 C4@1/4+1/4 E4@1/2+1/4 C5@3/4+1/2 "
                                              "D3@5/4+1/4 D5@3/2+1/4");
    assert_int_equal(score.left_out, 1);
    end(&file, &score);
}

/* Notes of 95 % get their length back, before a note, a rest and the end; what ends on a
 * sixteenth is meant, and so is what is much shorter. */
static void test_shortened_notes(void **state)
{
    (void)state;
    struct midi_file file;
    midi_begin(&file, 0, 1, 480);
    midi_track(&file);
    midi_note(&file, 0, 60, 456);   /* a quarter, then a note */
    midi_note(&file, 24, 62, 228);  /* an eighth, then a rest of one */
    midi_note(&file, 252, 64, 456); /* a quarter ... */
    midi_note(&file, 24, 65, 152);  /* ... three of a triplet */
    midi_note(&file, 8, 67, 152);
    midi_note(&file, 8, 69, 152);
    midi_note(&file, 8, 71, 240);    /* a quarter that is played staccato */
    midi_note(&file, 240, 72, 1800); /* a whole less a sixteenth, and a rest of one */
    midi_note(&file, 120, 74, 479);  /* a tick short, at the end */
    midi_note(&file, 1, 76, 91);     /* two of five in a quarter */
    midi_note(&file, 5, 77, 91);
    midi_track_end(&file, 0);
    struct passo_score score = read_with(&file, &plain);
    assert_string_equal(scores_notes(&score),
                        "C4@0/1+1/4 D4@1/4+1/8 E4@1/2+1/4 F4@3/4+1/12 G4@5/6+1/12 A4@11/12+1/12 "
                        "B4@1/1+1/8 C5@5/4+15/16 D5@9/4+1/4 E5@5/2+1/20 F5@51/20+91/1920");
    end(&file, &score);
}

/* --- parts --- */

static void begin_band(struct midi_file *file)
{
    midi_begin(file, 1, 4, 96);
    midi_track(file);
    midi_meta(file, 0, 0x03, "Marrowby March", 14);
    midi_meta(file, 0, 0x51, "\x05\xB8\xD8", 3); /* replaced at once */
    midi_meta(file, 0, 0x51, "\x07\xA1\x20", 3);
    midi_meta(file, 96, 0x51, "\x09\x89\x68", 3);
    midi_track_end(file, 0);
    midi_track(file);
    midi_meta(file, 0, 0x03, "Cornet", 6);
    midi_meta(file, 0, 0x59, "\2\0", 2);
    midi_note(file, 0, 73, 96);
    midi_track_end(file, 0);
    midi_track(file); /* nameless */
    midi_note(file, 0, 61, 96);
    midi_track_end(file, 0);
    midi_track(file);
    midi_meta(file, 0, 0x03, "Bass Trombone", 13);
    midi_meta(file, 0, 0x59, "\xFB\0", 2);
    midi_note(file, 96, 49, 192);
    midi_track_end(file, 0);
}

static void test_parts(void **state)
{
    (void)state;
    static const struct {
        const char *part, *name, *notes;
    } row[] = {{"", "Cornet", "C#5@0/1+1/4"},
               {"1", "Cornet", "C#5@0/1+1/4"},
               {"2", "", "C#4@0/1+1/4"},
               {"3", "Bass Trombone", "Db3@1/4+1/2"},
               {"cornet", "Cornet", "C#5@0/1+1/4"},
               {"TROMB", "Bass Trombone", "Db3@1/4+1/2"}};
    struct midi_file file;
    begin_band(&file);
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
        struct passo_score score = read_with(&file, &(struct passo_score_ask){.part = row[i].part});
        assert_string_equal(score.title, "Marrowby March");
        assert_string_equal(score.part, row[i].name);
        assert_string_equal(scores_notes(&score), row[i].notes);
        assert_string_equal(scores_tempi(&score), "120000@0/1=1/4 96000@1/4=1/4");
        assert_int_equal(score.parts, 3);
        assert_true(score.keyed);
        passo_score_deinit(&score);
    }
    check_refused(&file, &(struct passo_score_ask){.part = "4"}, PASSO_ERR_RANGE, "Bass Trombone");
    check_refused(&file, &(struct passo_score_ask){.part = "0"}, PASSO_ERR_RANGE, "Cornet");
    check_refused(&file, &(struct passo_score_ask){.part = "tuba"}, PASSO_ERR_RANGE, "Cornet");
    free(file.data);
}

/* --- bars and keys --- */

static void test_meters(void **state)
{
    (void)state;
    struct midi_file file;
    midi_begin(&file, 0, 1, 24);
    midi_track(&file);
    midi_meta(&file, 0, 0x58, "\3\2\x18\x08", 4);
    midi_note(&file, 0, 60, 144);                 /* two of 3/4 */
    midi_meta(&file, 0, 0x58, "\6\3\x24\x08", 4); /* 6/8: 36 clocks a click */
    midi_note(&file, 0, 62, 72);
    midi_meta(&file, 0, 0x58, "\7\3\x0C\x08", 4);
    midi_note(&file, 0, 64, 84);
    midi_meta(&file, 0, 0x58, "\2\1\x18\x08", 4); /* 2/2, begun and no more */
    midi_note(&file, 0, 65, 24);
    midi_track_end(&file, 4000);
    struct passo_score score = read_with(&file, &plain);
    assert_string_equal(scores_bars(&score),
                        "1@0/1+3/4:3/4:0 2@3/4+3/4:3/4:0 3@3/2+3/4:6/8:0 4@9/4+7/8:7/8:0 "
                        "5@25/8+1/1:2/2:0");
    assert_int_equal(score.bar[2].meter.groups, 2);
    end(&file, &score);
}

/* A time signature in mid-bar begins a bar; where that is the first, it was a pickup. */
static void test_a_pickup(void **state)
{
    (void)state;
    struct midi_file file;
    midi_begin(&file, 0, 1, 24);
    midi_track(&file);
    midi_meta(&file, 0, 0x58, "\4\2\x18\x08", 4);
    midi_note(&file, 0, 67, 24);
    midi_meta(&file, 0, 0x58, "\4\2\x18\x08", 4);
    midi_note(&file, 0, 72, 96);
    midi_note(&file, 0, 72, 48);
    midi_meta(&file, 0, 0x58, "\3\2\x18\x08", 4);
    midi_note(&file, 0, 72, 72);
    midi_track_end(&file, 0);
    struct passo_score score = read_with(&file, &plain);
    assert_string_equal(scores_bars(&score), "0p@0/1+1/4:4/4:0 1@1/4+1/1:4/4:0 2@5/4+1/2:4/4:0 "
                                             "3@7/4+3/4:3/4:0");
    end(&file, &score);
}

/* Notes are spelt by the signature in force, minor ones too; by the passage's key where none is. */
static void test_keys(void **state)
{
    (void)state;
    struct midi_file file;
    midi_begin(&file, 0, 1, 24);
    midi_track(&file);
    midi_note(&file, 0, 66, 48);
    midi_meta(&file, 0, 0x59, "\xFA\0", 2); /* six flats, in mid-bar */
    midi_note(&file, 0, 66, 48);
    midi_meta(&file, 0, 0x59, "\3\1", 2); /* three sharps, minor: F sharp minor */
    midi_note(&file, 0, 66, 96);
    midi_track_end(&file, 0);
    const struct passo_score_ask flat = {.part = "", .key = {-5, PASSO_MODE_MAJOR}};
    struct passo_score score = read_with(&file, &flat);
    assert_string_equal(scores_notes(&score), "Gb4@0/1+1/2 Gb4@1/2+1/2 F#4@1/1+1/1");
    assert_string_equal(scores_bars(&score), "1@0/1+1/1:4/4:-5 2@1/1+1/1:4/4:6m");
    end(&file, &score);
}

/* --- what is refused --- */

static void test_refusals(void **state)
{
    (void)state;
    struct midi_file file;
    midi_begin(&file, 2, 1, 96);
    check_refused(&file, &plain, PASSO_ERR_SYNTAX, "format 2; format 0 or 1");
    free(file.data);
    midi_begin(&file, 1, 1, 0xE728);
    check_refused(&file, &plain, PASSO_ERR_SYNTAX, "time code");
    free(file.data);
    midi_begin(&file, 1, 1, 0);
    check_refused(&file, &plain, PASSO_ERR_SYNTAX, "no ticks");
    free(file.data);
    midi_begin(&file, 1, 0, 96);
    check_refused(&file, &plain, PASSO_ERR_SYNTAX, "no notes");
    free(file.data);
    midi_begin(&file, 0, 1, 96);
    midi_track(&file);
    midi_note(&file, 0, 60, 0);
    midi_track_end(&file, 0);
    check_refused(&file, &plain, PASSO_ERR_SYNTAX, "no notes that last");
    free(file.data);
    file = (struct midi_file){0};
    check_refused(&file, &plain, PASSO_ERR_SYNTAX, "byte 0");
}

static void check_event(const char *bytes, size_t count, enum passo_error error,
                        const char *sentence)
{
    struct midi_file file;
    midi_begin(&file, 0, 1, 96);
    midi_track(&file);
    midi_put(&file, bytes, count);
    midi_note(&file, 0, 60, 96);
    midi_track_end(&file, 0);
    check_refused(&file, &plain, error, sentence);
    free(file.data);
}

static void test_bad_events(void **state)
{
    (void)state;
    check_event("\0\x3C\x40", 3, PASSO_ERR_SYNTAX, "byte 23: 3C where an event begins");
    check_event("\0\xF1\x40", 3, PASSO_ERR_SYNTAX, "byte 23: F1 where an event begins");
    check_event("\0\x90\x80\x40", 4, PASSO_ERR_SYNTAX, "byte 24: 80 where an event");
    check_event("\x80\x80\x80\x80\0", 5, PASSO_ERR_SYNTAX, "byte 22: a time or a length");
    check_event("\0\xFF\x01\x7F", 4, PASSO_ERR_SYNTAX, "cut off");
    struct midi_file file;
    midi_begin(&file, 0, 1, 96);
    midi_track(&file);
    midi_note(&file, 0, 60, 96);
    midi_put(&file, "\0\xFF\1\1", 4); /* one byte more than is left */
    file.data[21] = (uint8_t)(file.bytes - 22);
    check_refused(&file, &plain, PASSO_ERR_SYNTAX, "the track ends in the middle of an event");
    free(file.data);
    check_event("\0\xFF\x51\3\0\0\0", 7, PASSO_ERR_SYNTAX, "byte 23: a tempo that is none");
    check_event("\0\xFF\x51\2\7\7", 6, PASSO_ERR_SYNTAX, "byte 23: a tempo that is none");
    check_event("\0\xFF\x58\1\4", 5, PASSO_ERR_SYNTAX, "byte 23: a time signature of 1 bytes");
    check_event("\0\xFF\x58\4\0\2\x18\x08", 8, PASSO_ERR_RANGE, "a time signature of 0 notes");
    check_event("\0\xFF\x58\4\x41\2\x18\x08", 8, PASSO_ERR_RANGE, "a time signature of 65 notes");
    check_event("\0\xFF\x58\4\4\7\x18\x08", 8, PASSO_ERR_RANGE, "of 1/2^7");
    check_event("\0\xFF\x59\2\x08\0", 6, PASSO_ERR_SYNTAX, "a key signature that is none");
    check_event("\0\xFF\x59\2\0\2", 6, PASSO_ERR_SYNTAX, "a key signature that is none");
    check_event("\0\xFF\x59\0", 4, PASSO_ERR_SYNTAX, "a key signature that is none");
}

/* Cut off anywhere, with the length of the track as it was and with the one that is left. */
static void test_cut_off_anywhere(void **state)
{
    (void)state;
    struct midi_file file = {0};
    midi_put(&file, example, sizeof example);
    for (file.bytes = 0; file.bytes < sizeof example; file.bytes++)
        check_refused(&file, &plain, PASSO_ERR_SYNTAX, "");
    for (file.bytes = 22; file.bytes < sizeof example; file.bytes++) {
        struct passo_score score;
        file.data[21] = (uint8_t)(file.bytes - 22);
        if (passo_midi_read(file.data, file.bytes, &plain, &score, fault, sizeof fault))
            scores_check_fault(&score, fault);
        else
            scores_check(&score);
        passo_score_deinit(&score);
    }
    free(file.data);
}

static void test_beyond_the_limits(void **state)
{
    (void)state;
    struct midi_file file;
    midi_begin(&file, 0, 1, 1); /* 2^28 quarters of rest */
    midi_track(&file);
    midi_note(&file, 0x0FFFFFFF, 60, 1);
    midi_track_end(&file, 0x0FFFFFFF);
    check_refused(&file, &plain, PASSO_ERR_RANGE, "20000 bars");
    free(file.data);
    midi_begin(&file, 0, 1, 1);
    midi_track(&file);
    midi_meta(&file, 0, 0x58, "\x40\0\x18\x08", 4); /* 64/1 */
    midi_note(&file, 0x0FFFFFFF, 60, 1);
    midi_track_end(&file, 0);
    check_refused(&file, &plain, PASSO_ERR_RANGE, "too far on");
    free(file.data);
    midi_begin(&file, 1, PASSO_SCORE_PARTS_MAX + 1, 96);
    for (int i = 0; i <= PASSO_SCORE_PARTS_MAX; i++) {
        midi_track(&file);
        midi_note(&file, 0, 60, 96);
        midi_track_end(&file, 0);
    }
    check_refused(&file, &plain, PASSO_ERR_RANGE, "256 parts");
    free(file.data);
}

/* A silence behind the last note is no bars, however long it is. */
static void test_a_long_end(void **state)
{
    (void)state;
    struct midi_file file;
    midi_begin(&file, 0, 1, 1);
    midi_track(&file);
    midi_note(&file, 0, 60, 1);
    midi_meta(&file, 0x0FFFFFFF, 0x51, "\x07\xA1\x20", 3);
    midi_track_end(&file, 0x0FFFFFFF);
    struct passo_score score = read_with(&file, &plain);
    assert_int_equal(score.bars, 1);
    assert_int_equal(score.tempi, 0);
    end(&file, &score);
}

/* As many notes as may be, none of which ends, and one more. */
static void test_many_notes(void **state)
{
    (void)state;
    struct midi_file file;
    midi_begin(&file, 0, 1, 96);
    midi_track(&file);
    midi_voice(&file, 0, 0x90, 60, 64);
    const size_t notes = PASSO_SCORE_NOTES_MAX;
    uint8_t *run = malloc(3 * notes);
    assert_non_null(run);
    for (size_t i = 0; i < notes; i++)
        memcpy(run + 3 * i, (const uint8_t[]){1, (uint8_t)(60 + i % 2), 64}, 3);
    const size_t before = file.bytes;
    midi_put(&file, run, 3 * (notes - 1));
    midi_track_end(&file, 0);
    struct passo_score score = read_with(&file, &plain);
    assert_true(score.notes + score.left_out == notes);
    passo_score_deinit(&score);
    file.bytes = before;
    midi_put(&file, run, 3 * notes);
    midi_track_end(&file, 0);
    check_refused(&file, &plain, PASSO_ERR_RANGE, "200000 notes");
    free(run);
    free(file.data);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_the_specifications_example),
        cmocka_unit_test(test_variable_lengths),
        cmocka_unit_test(test_tempi),
        cmocka_unit_test(test_running_status_and_what_is_passed_over),
        cmocka_unit_test(test_notes_begin_and_end),
        cmocka_unit_test(test_the_highest_of_a_chord),
        cmocka_unit_test(test_overlaps),
        cmocka_unit_test(test_shortened_notes),
        cmocka_unit_test(test_parts),
        cmocka_unit_test(test_meters),
        cmocka_unit_test(test_a_pickup),
        cmocka_unit_test(test_keys),
        cmocka_unit_test(test_refusals),
        cmocka_unit_test(test_bad_events),
        cmocka_unit_test(test_cut_off_anywhere),
        cmocka_unit_test(test_beyond_the_limits),
        cmocka_unit_test(test_a_long_end),
        cmocka_unit_test(test_many_notes),
    };
    return cmocka_run_group_tests_name("score/midi", tests, NULL, NULL);
}
