/* The notes of a passage: on a line in ABC or in a file, laid over its bars; what the passage
 * leaves unsaid; what is written reads back. The notes were worked out by hand from the line (ABC:
 * C is middle C, a comma an octave lower; MIDI: 60 is middle C). */
#include "write_tools.h"

/* A note of a passage: its place from the first full bar in sixteenths, its length likewise. */
struct want {
    int at;
    int length;
    const char *pitch;
};

static void assert_notes(const struct trial *trial, const struct want *want, size_t count)
{
    const struct passo_notes *notes = &trial->setup.notes;
    assert_int_equal(notes->notes, count);
    for (size_t i = 0; i < count; i++) {
        char pitch[32];
        assert_int_equal(notes->note[i].at.num * 16 / notes->note[i].at.den, want[i].at);
        assert_int_equal(notes->note[i].length.num * 16 / notes->note[i].length.den,
                         want[i].length);
        assert_string_equal(passo_pitch_write(notes->note[i].pitch, pitch, sizeof pitch),
                            want[i].pitch);
    }
}

#define NOTES(trial, ...)                                                                          \
    do {                                                                                           \
        const struct want want[] = {__VA_ARGS__};                                                  \
        assert_notes(trial, want, sizeof want / sizeof *want);                                     \
    } while (0)

static void assert_same_notes(const struct trial *a, const struct trial *b)
{
    assert_int_equal(a->setup.notes.notes, b->setup.notes.notes);
    for (size_t i = 0; i < a->setup.notes.notes; i++) {
        const struct passo_note *one = &a->setup.notes.note[i];
        const struct passo_note *other = &b->setup.notes.note[i];
        assert_int_equal(passo_ratio_cmp(one->at, other->at), 0);
        assert_int_equal(passo_ratio_cmp(one->length, other->length), 0);
        assert_memory_equal(&one->pitch, &other->pitch, sizeof one->pitch);
        assert_int_equal(one->marks, other->marks);
    }
}

static void notes_on_a_line(void **state)
{
    (void)state;
    struct trial *trial =
        try_new("[passage]\nkey = A-flat major\nbars = 33-34\ntarget = 96\n"
                "notes = E,4 A,4 | (B,2 =B,2) z2 .C2 |]\n[pitch]\nhear = every pass\n",
                NULL);
    NOTES(trial, {0, 8, "E-flat 3"}, {8, 8, "A-flat 3"}, {16, 4, "B-flat 3"}, {20, 4, "B 3"},
          {28, 4, "C 4"});
    assert_int_equal(trial->setup.notes.note[2].marks, PASSO_NOTE_SLUR);
    assert_int_equal(trial->setup.notes.note[4].marks, PASSO_NOTE_STACCATO);
    assert_int_equal(trial->setup.intonation.hear, PASSO_HEAR_EVERY_PASS);
    assert_reads_back(trial, true);
    free_trial(trial);
    /* An option wins over the file's line, whichever of the two says where they are. */
    write_file("other.abc", "X:1\nK:C\nC4 D4|E8|\n", 17);
    const char *const options[] = {"notes-from", "other.abc", NULL};
    trial = try_new("[passage]\nnotes = C8|C8|\n", options);
    NOTES(trial, {0, 8, "C 4"}, {8, 8, "D 4"}, {16, 16, "E 4"});
    assert_reads_back(trial, true);
    free_trial(trial);
    const char *const line[] = {"notes", "F8 | G8 |", NULL};
    trial = try_new("[passage]\nnotes-from = other.abc\nnotes-part = 1\n", line);
    NOTES(trial, {0, 16, "F 4"}, {16, 16, "G 4"});
    assert_reads_back(trial, true);
    free_trial(trial);
}

/* What is said nowhere else is the music's. */
static void what_is_unsaid_is_the_musics(void **state)
{
    (void)state;
    struct trial *trial = try_new(
        "[passage]\nnotes = [M:3/4][Q:3/8=50] C2 | E6 | [M:2/4] F4 | [M:3/4] G6 |]\n", NULL);
    const struct passo_passage *passage = &trial->setup.passage;
    assert_int_equal(passage->meter.count, 3);
    assert_int_equal(passage->first_bar, 1);
    assert_int_equal(passage->bars, 3);
    assert_int_equal(passage->changes, 2);
    assert_int_equal(passage->change[0].bar, 2);
    assert_int_equal(passage->change[0].meter.count, 2);
    assert_int_equal(passage->change[1].bar, 3);
    assert_ratio(passage->pickup, 1, 4);
    assert_ratio(passage->beat, 3, 8);
    assert_int_equal(trial->setup.rule.target_mbpm, 50000);
    NOTES(trial, {-4, 4, "C 4"}, {0, 12, "E 4"}, {12, 8, "F 4"}, {20, 12, "G 4"});
    assert_reads_back(trial, true);
    char *text = written(trial, true);
    assert_non_null(strstr(text, "\nbars           = 1-3 "));
    assert_non_null(strstr(text, "\nmeter          = 3/4 "));
    assert_non_null(strstr(text, "\npickup         = quarter "));
    assert_non_null(strstr(text, "\ntarget         = dotted quarter = 50 "));
    free(text);
    free_trial(trial);
    /* What is said holds; a tempo in the passage's beat unit. */
    trial = try_new("[passage]\nnotes = [Q:1/4=90] C8 | D8 | E8 |\nbars = 7-8\nnotes-bar = 6\n"
                    "beat = half\nmeter = 4/4\n",
                    NULL);
    assert_int_equal(trial->setup.rule.target_mbpm, 45000);
    assert_int_equal(trial->setup.passage.first_bar, 7);
    NOTES(trial, {0, 16, "D 4"}, {16, 16, "E 4"});
    assert_reads_back(trial, true);
    free_trial(trial);
    /* A list of tempi is start and target, in the meter's beat unit. */
    trial = try_new("[passage]\nnotes = [Q:3/8=90] C8 |\n[ladder]\nsteps = 60 66 72\n", NULL);
    assert_int_equal(trial->setup.rule.target_mbpm, 72000);
    assert_ratio(trial->setup.passage.beat, 1, 4);
    free_trial(trial);
    /* A short first bar is one, unless the passage has no bar too few without it. */
    trial = try_new("[passage]\nnotes = C2|C8 |D8 |\nbars = 33-34\n", NULL);
    assert_ratio(trial->setup.passage.pickup, 1, 4);
    NOTES(trial, {-4, 4, "C 4"}, {0, 16, "C 4"}, {16, 16, "D 4"});
    free_trial(trial);
    /* A passage that begins later has no pickup. */
    trial = try_new("[passage]\nnotes = C2|C8 |D8 |\nnotes-bar = 1\nbars = 2-2\n", NULL);
    assert_int_equal(trial->setup.passage.pickup.num, 0);
    NOTES(trial, {0, 16, "D 4"});
    free_trial(trial);
    trial = try_new("[passage]\nnotes = [Q:1/4=90] C2|C8 |\npickup = none\ntarget = 80\n", NULL);
    assert_int_equal(trial->setup.rule.target_mbpm, 80000);
    NOTES(trial, {0, 16, "C 4"});
    free_trial(trial);
}

/* A line without a meter goes by the passage's, also where that changes. */
static void the_passages_meters_hold_for_a_line(void **state)
{
    (void)state;
    struct trial *trial =
        try_new("[passage]\nmeter = 4/4\nbars = 5-7\nnotes = C8 | D6 | E8 |\n[shape]\n"
                "bar 6 = meter 3/4\nbar 7 = meter 4/4\n",
                NULL);
    NOTES(trial, {0, 16, "C 4"}, {16, 12, "D 4"}, {28, 16, "E 4"});
    assert_reads_back(trial, true);
    free_trial(trial);
    /* Both may say so. */
    trial = try_new("[passage]\nmeter = 4/4\nbars = 5-7\nnotes = C8 |[M:3/4] D6 |[M:4/4] E8 |\n"
                    "[shape]\nbar 6 = meter 3/4\nbar 7 = meter 4/4\n",
                    NULL);
    assert_int_equal(trial->setup.passage.changes, 2);
    NOTES(trial, {0, 16, "C 4"}, {16, 12, "D 4"}, {28, 16, "E 4"});
    free_trial(trial);
}

static void the_context_has_notes_too(void **state)
{
    (void)state;
    static const char text[] = "[passage]\nbars = 33-34\ncontext = 32-35\nkey = F major\n"
                               "notes = %s\n%s";
    char line[512];
    snprintf(line, sizeof line, text, "B,8 | C8 | D8 | E8 |", "notes-bar = 32\n");
    struct trial *trial = try_new(line, NULL);
    NOTES(trial, {-16, 16, "B-flat 3"}, {0, 16, "C 4"}, {16, 16, "D 4"}, {32, 16, "E 4"});
    assert_reads_back(trial, true);
    free_trial(trial);
    /* Of a line that begins with the passage its context has none before. */
    snprintf(line, sizeof line, text, "C8 | D8 |", "");
    trial = try_new(line, NULL);
    NOTES(trial, {0, 16, "C 4"}, {16, 16, "D 4"});
    assert_reads_back(trial, true);
    free_trial(trial);
}

/* Three hundred notes and more: a line of any length. */
static void a_long_line(void **state)
{
    (void)state;
    char text[8192] = "[passage]\nbars = 1-50\nnotes = ";
    for (int bar = 0; bar < 50; bar++)
        strcat(text, "C,D,E,F, G,A,B,C | ");
    strcat(text, "; the end\ntitle = Long\n");
    struct trial *trial = try_new(text, NULL);
    assert_int_equal(trial->setup.notes.notes, 400);
    assert_string_equal(trial->setup.passage.title, "Long");
    assert_reads_back(trial, true);
    free_trial(trial);
}

/* --- files --- */

static const char march_abc[] = "X:1\nT:The Marrowby March\nM:3/4\nL:1/8\nQ:1/4=92\nK:Ab\n"
                                "c | (3(fga) b2- b>a | f4 d2 | .c.d ef z2 |]\n";

/* Three bars of 3/4 at 90, in quarters from C 4 up, as MIDI. */
static const uint8_t march_midi[] = {
    'M', 'T', 'h', 'd', 0, 0, 0, 6, 0, 0, 0, 1, 0, 96, 'M', 'T', 'r', 'k', 0, 0, 0, 91, 0, 0xFF,
    0x51, 3, 0x0A, 0x2C, 0x2B, 0, 0xFF, 0x58, 4, 3, 2, 24, 8, 0, 0x90, 60, 64, 96, 60, 0, 0, 62, 64,
    96, 62, 0, 0, 64, 64, 96, 64, 0, 0, 65, 64, 96, 65, 0, 0, 67, 64, 96, 67, 0, 0, 69, 64, 96, 69,
    0, 0, 71, 64, 96, 71, 0, 0, 72, 64, 96, 72, 0, 0, 74, 64, 96, 74, 0, 0, 0xFF, 0x2F, 0,
    /* what fills the track's length: text */
    0, 0xFF, 1, 1, 'x'};

static const char march_xml[] =
    "<?xml version=\"1.0\"?>\n<score-partwise version=\"4.0\"><part-list>"
    "<score-part id=\"P1\"><part-name>Solo Cornet</part-name></score-part>"
    "<score-part id=\"P2\"><part-name>Euphonium</part-name></score-part></part-list>"
    "<part id=\"P1\"><measure number=\"33\"><attributes><divisions>1</divisions><time>"
    "<beats>2</beats><beat-type>4</beat-type></time><transpose><diatonic>-1</diatonic>"
    "<chromatic>-2</chromatic></transpose></attributes>"
    "<note><pitch><step>C</step><octave>5</octave></pitch><duration>2</duration></note></measure>"
    "<measure number=\"34\">"
    "<note><pitch><step>D</step><octave>5</octave></pitch><duration>2</duration></note></measure>"
    "</part><part id=\"P2\"><measure number=\"33\"><attributes><divisions>1</divisions><time>"
    "<beats>2</beats><beat-type>4</beat-type></time></attributes>"
    "<note><pitch><step>B</step><alter>-1</alter><octave>2</octave></pitch><duration>2</duration>"
    "</note></measure><measure number=\"34\">"
    "<note><pitch><step>F</step><octave>2</octave></pitch><duration>2</duration></note></measure>"
    "</part></score-partwise>\n";

/* The passage's folder is where its notes are looked for. */
static void notes_from_files(void **state)
{
    (void)state;
    assert_int_equal(mkdir("tunes", 0700), 0);
    write_file("tunes/march.abc", march_abc, strlen(march_abc));
    uint8_t midi[sizeof march_midi];
    memcpy(midi, march_midi, sizeof midi);
    midi[21] = (uint8_t)(sizeof midi - 22 - 5); /* the track ends with its end */
    write_file("tunes/march.mid", midi, sizeof midi - 5);
    write_file("tunes/march.musicxml", march_xml, strlen(march_xml));

    const char abc[] = "[passage]\nkey = A-flat major\nnotes-from = march.abc\n";
    write_file("tunes/march.passo", abc, strlen(abc));
    struct trial *trial = new_trial();
    passo_lines_add_file(&trial->lines, "tunes/march.passo", &trial->faults);
    passo_setup_resolve(&trial->lines, true, &trial->setup, &trial->faults);
    assert_no_faults(trial);
    assert_int_equal(trial->setup.rule.target_mbpm, 92000);
    assert_int_equal(trial->setup.passage.bars, 3);
    assert_int_equal(trial->setup.notes.notes, 12);
    assert_ratio(trial->setup.notes.note[2].at, 1, 12);
    assert_reads_back(trial, true); /* elsewhere: back.passo has the notes itself */
    char *text = written(trial, true);
    assert_null(strstr(text, "\nnotes-from"));
    assert_non_null(strstr(text, "\nnotes          = [L:1/16] c2 | (3(f2g2a2) b"));
    free(text);
    free_trial(trial);

    /* Of MIDI what sounds is moved to what is written. An option's path is the working folder's. */
    const char *const trumpet[] = {
        "notes-from", "tunes/march.mid", "instrument", "B-flat trumpet", "bars", "2", NULL};
    trial = try_new(NULL, trumpet);
    assert_int_equal(trial->setup.rule.target_mbpm, 90000);
    assert_int_equal(trial->setup.passage.meter.count, 3);
    NOTES(trial, {0, 4, "D 4"}, {4, 4, "E 4"}, {8, 4, "F-sharp 4"}, {12, 4, "G 4"}, {16, 4, "A 4"},
          {20, 4, "B 4"});
    assert_reads_back(trial, true);
    free_trial(trial);
    /* Its first bar may be any. */
    const char *const later[] = {
        "notes-from", "tunes/march.mid", "bars", "42-43", "notes-bar", "41", NULL};
    trial = try_new(NULL, later);
    NOTES(trial, {0, 4, "F 4"}, {4, 4, "G 4"}, {8, 4, "A 4"}, {12, 4, "B 4"}, {16, 4, "C 5"},
          {20, 4, "D 5"});
    assert_reads_back(trial, true);
    free_trial(trial);

    /* MusicXML has numbers of its own, and says how its part transposes. */
    const char *const xml[] = {"notes-from", "tunes/march.musicxml", "target", "96", NULL};
    trial = try_new(NULL, xml);
    assert_int_equal(trial->setup.passage.first_bar, 33);
    assert_int_equal(trial->setup.passage.bars, 2);
    assert_int_equal(trial->setup.intonation.transposition, -2);
    NOTES(trial, {0, 8, "C 5"}, {8, 8, "D 5"});
    assert_reads_back(trial, true);
    free_trial(trial);
    const char *const part[] = {
        "notes-from", "tunes/march.musicxml", "notes-part", "euphon", "bars", "34-34", NULL};
    trial = try_new(NULL, part);
    NOTES(trial, {0, 8, "F 2"});
    assert_int_equal(trial->setup.intonation.transposition, 0);
    assert_reads_back(trial, true);
    free_trial(trial);
    const char *const kazoo[] = {"notes-from", "tunes/march.musicxml", "instrument", "kazoo", NULL};
    trial = try_new(NULL, kazoo);
    assert_int_equal(trial->setup.intonation.transposition, -2); /* the score tells */
    assert_false(trial->setup.intonation.unknown_instrument);
    free_trial(trial);
    const char *const own[] = {"notes-from", "tunes/march.musicxml", "instrument", "horn in F",
                               NULL};
    trial = try_new(NULL, own);
    assert_int_equal(trial->setup.intonation.transposition, -7);
    assert_false(trial->setup.intonation.unknown_instrument);
    free_trial(trial);
    const char *const said[] = {"notes-from", "tunes/march.musicxml", "transposition", "0", NULL};
    trial = try_new(NULL, said);
    assert_int_equal(trial->setup.intonation.transposition, 0);
    free_trial(trial);
}

/* What the filed copy and a new passage say in place of the file. */
static void notes_are_taken_in(void **state)
{
    (void)state;
    write_file("march.abc", march_abc, strlen(march_abc));
    const char text[] = "# To be kept.\n[passage]\r\ntitle = March ; as it is\nnotes-bar = 9\n"
                        "notes-from = march.abc ; there\nnotes-part = 1\nkey = A-flat major\n"
                        "[ladder]\nraise = 1 clean";
    struct trial *trial = try_new(text, NULL);
    size_t bytes = 0;
    char *taken = passo_file_take_notes_in("march.passo", &trial->lines, &trial->setup, &bytes,
                                           &trial->faults);
    assert_no_faults(trial);
    assert_non_null(taken);
    assert_int_equal(bytes, strlen(taken));
    assert_string_equal(
        taken, "# To be kept.\n[passage]\r\ntitle = March ; as it is\n# The notes of march.abc:\n"
               "meter = 3/4\nbars = 9-11\npickup = eighth\ntarget = quarter = 92\n"
               "notes = [L:1/16] c2 | (3(f2g2a2) b7a | f8 d4 | .c2.d2 e2f2 z4 |\n"
               "key = A-flat major\n[ladder]\nraise = 1 clean");
    struct trial *back = try_new(taken, NULL);
    assert_same_notes(back, trial);
    assert_int_equal(back->setup.passage.first_bar, 9);
    assert_int_equal(back->setup.rule.target_mbpm, 92000);
    free_trial(back);
    /* As options. */
    passo_lines_take_notes_in(&trial->lines, &trial->setup, &trial->faults);
    const size_t lines = trial->lines.lines;
    for (size_t i = 0; i < lines; i++)
        assert_string_not_equal(trial->lines.line[i].key, "notes-from");
    passo_lines_take_notes_in(&trial->lines, &trial->setup, &trial->faults);
    assert_no_faults(trial);
    assert_int_equal(trial->lines.lines, lines);
    back = new_trial();
    passo_setup_resolve(&trial->lines, true, &back->setup, &back->faults);
    assert_no_faults(back);
    assert_same_notes(back, trial);
    free_trial(back);
    free(taken);
    free_trial(trial);
    /* A file with its notes on a line stays as it is. */
    trial = try_new("[passage]\nnotes = C8|\n", NULL);
    assert_null(passo_file_take_notes_in("march.passo", &trial->lines, &trial->setup, &bytes,
                                         &trial->faults));
    assert_no_faults(trial);
    free_trial(trial);
}

/* Lengths as nobody writes them: a file of a hand's own playing stays where it is. */
static void notes_that_cannot_be_written(void **state)
{
    (void)state;
    assert_int_equal(mkdir("played", 0700), 0);
    write_file("played/odd.abc", "X:1\nK:C\nC512/1021 D2 |\n", 23);
    write_file("played/odd.passo", "[passage]\nnotes-from = odd.abc\nbars = 1-1\n", 42);
    struct trial *trial = new_trial();
    passo_lines_add_file(&trial->lines, "played/odd.passo", &trial->faults);
    passo_setup_resolve(&trial->lines, false, &trial->setup, &trial->faults);
    assert_no_faults(trial);
    char *text = written(trial, true);
    assert_non_null(strstr(text, "/played/odd.abc\n"));
    free(text);
    assert_reads_back(trial, true);
    size_t bytes = 0;
    assert_null(passo_file_take_notes_in("played/odd.passo", &trial->lines, &trial->setup, &bytes,
                                         &trial->faults));
    assert_fault_says(trial, "played/odd.passo, line 2: notes-from = odd.abc: ", "",
                      "cannot be taken along");
    passo_faults_deinit(&trial->faults);
    passo_lines_take_notes_in(&trial->lines, &trial->setup, &trial->faults);
    assert_int_equal(trial->faults.faults, 1);
    free_trial(trial);
}

/* --- faults --- */

static void assert_told(const char *text, const char *sentence)
{
    struct trial *trial = new_trial();
    try_lines(trial, text, NULL, false);
    assert_fault(trial, sentence);
    assert_int_equal(trial->setup.notes.notes, 0);
    free_trial(trial);
}

static const char three_lines[] =
    "[passage]\nbars = 33-36\nnotes = E,4 A,4 |\n# the slow half\nnotes = (B,2 =B,2) z4 | C8 |\n"
    "piece = Marrowby March\n[ladder]\n[Passage]\nNotes = D8 |]\n";

static void notes_go_on_in_the_next_line(void **state)
{
    static const char *const option[] = {"notes", "C8 | D8 | E8 | F8 |", NULL};
    (void)state;
    struct trial *trial = try_new(three_lines, NULL);
    NOTES(trial, {0, 8, "E 3"}, {8, 8, "A 3"}, {16, 4, "B 3"}, {20, 4, "B 3"}, {32, 16, "C 4"},
          {48, 16, "D 4"});
    assert_reads_back(trial, true);
    free_trial(trial);
    /* An option stands in place of them all. */
    trial = try_new(three_lines, option);
    NOTES(trial, {0, 16, "C 4"}, {16, 16, "D 4"}, {32, 16, "E 4"}, {48, 16, "F 4"});
    free_trial(trial);
    /* Of options the later one wins, as ever; other lines may still not come twice. */
    const char *const twice[] = {"notes", "C8 |", "notes", "D8 |", NULL};
    trial = try_new("[passage]\nbars = 1-1\n", twice);
    NOTES(trial, {0, 16, "D 4"});
    free_trial(trial);
    trial = new_trial();
    try_lines(trial, "[passage]\nkey = C major\nkey = D major\n", NULL, false);
    assert_fault_says(trial, "march.passo, line 3: key = D major: ", "said already", "line 2");
    free_trial(trial);
}

/* Each line has its own columns; a bar is that of the line in which it begins. */
static void faults_of_several_lines_keep_theirs(void **state)
{
    (void)state;
    assert_told("[passage]\nnotes = C8 |\n\nnotes = D8 | \xC3\xA4 |\nnotes = E8 |\n",
                "march.passo, line 4: notes = D8 | \xC3\xA4 |: bar 3, column 6: \"\xC3\xA4 | E8 "
                "|\" is no note, rest or bar line; write notes as C or c, with ^ _ = before and , "
                "' behind, rests as z, bar lines as |");
    assert_told("[passage]\nnotes = C8 |\nnotes = ? |\n",
                "march.passo, line 3: notes = ? |: bar 2, column 1: \"? |\" is no note, rest or "
                "bar line; write notes as C or c, with ^ _ = before and , ' behind, rests as z, "
                "bar lines as |");
    assert_told(
        "[passage]\nnotes = ? |\nnotes = C8 |\n",
        "march.passo, line 2: notes = ? |: bar 1, column 1: \"? | C8 |\" is no note, rest or bar "
        "line; write notes as C or c, with ^ _ = before and , ' behind, rests as z, bar "
        "lines as |");
    assert_told(
        "[passage]\nbars = 33-37\nnotes = C8 | C8 |\nnotes = C8 | C4\nnotes = C3 | C8 |\n",
        "march.passo, line 4: notes = C8 | C4: bar 36 has 7/8 of notes, and 4/4 is written");
    assert_told("[passage]\nbars = 33-36\nnotes = C8 | C8 |\nnotes = C8\nnotes = | C7 | C8\n",
                "march.passo, line 5: notes = | C7 | C8: bar 36 has 7/8 of notes, and 4/4 is "
                "written");
}

/* Broken behind bar lines alone, never inside what is one thing; the same text when read. */
static void long_notes_are_written_on_several_lines(void **state)
{
    char text[4096] = "[passage]\nbars = 1-24\nnotes = ";
    (void)state;
    for (int bar = 0; bar < 24; bar++)
        strcat(text, bar % 5 == 3 ? "\"a | b; c\" C4 (D2 E2) |: " : "C2 .D2 E2 [FA]2 :| ");
    struct trial *trial = try_new(text, NULL);
    char *shown = written(trial, true);
    size_t lines = 0;
    for (const char *line = shown; *line; line += strcspn(line, "\n") + 1) {
        if (strncmp(line, "notes ", 6) != 0)
            continue;
        lines++;
        assert_true(strcspn(line, "\n") <= 80);
    }
    assert_true(lines > 5);
    assert_reads_back(trial, true);
    free(shown);
    free_trial(trial);
    /* What has no place to break stays whole. */
    char whole[1024] = "[passage]\nbars = 1-1\nnotes = [L:1/64]";
    for (int note = 0; note < 64; note++)
        strcat(whole, " ^^c");
    trial = try_new(whole, NULL);
    assert_reads_back(trial, true);
    free_trial(trial);
}

static void bars_that_do_not_add_up_are_named(void **state)
{
    (void)state;
    assert_told("[passage]\nbars = 33-35\nnotes = C8 | C7 | C8 |\n",
                "march.passo, line 3: notes = C8 | C7 | C8 |: bar 34 has 7/8 of notes, and 4/4 is "
                "written");
    assert_told("[passage]\nbars = 2-4\nmeter = 7/8 as 2+2+3\nnotes = C7 | C8 | C7 |\n",
                "march.passo, line 4: notes = C7 | C8 | C7 |: bar 3 has 8/8 of notes, and 7/8 as "
                "2+2+3 is written");
    assert_told("[passage]\nbars = 2-4\nnotes = C8 | C15/2 | C8 |\n",
                "march.passo, line 3: notes = C8 | C15/2 | C8 |: bar 3 has 15/16 of notes, and 4/4 "
                "is written");
    assert_told(
        "[passage]\nbars = 33-34\nnotes = C7 | C8 |\n",
        "march.passo, line 3: notes = C7 | C8 |: bar 33 has 7/8 of notes, and 4/4 is written");
    /* Also where the notes end too early: a short bar is why, more likely than not. */
    struct trial *both = new_trial();
    try_lines(both, "[passage]\nmeter = 3/4\nbars = 17-20\nnotes = F>G A2 | B>A G2\n", NULL, false);
    assert_int_equal(both->faults.faults, 2);
    assert_string_equal(both->faults.fault[0],
                        "march.passo, line 4: notes = F>G A2 | B>A G2: bar 17 has 2/4 of notes, "
                        "and 3/4 is written");
    assert_non_null(strstr(both->faults.fault[1], "bar 18 has 2/4 of notes"));
    free_trial(both);
    assert_told(
        "[passage]\nbars = 17-20\nnotes = C8 | C4\n",
        "march.passo, line 3: notes = C8 | C4: bar 18 has 2/4 of notes, and 4/4 is written");
    assert_told("[passage]\nbars = 17-20\nnotes = C4\n",
                "march.passo, line 3: notes = C4: bar 17 has 2/4 of notes, and 4/4 is written");
    assert_told("[passage]\nbars = 17-20\nnotes = C8 | C8\n",
                "march.passo, line 3: notes = C8 | C8: the notes end before bar 19; the passage "
                "goes on to bar 20");
    /* Those outside the passage are not looked at. */
    struct trial *trial = try_new("[passage]\nbars = 3-4\nnotes-bar = 1\n"
                                  "notes = C8 | C7 | C8 | D8 | C8 | C9 | C8 |\n",
                                  NULL);
    NOTES(trial, {0, 16, "C 4"}, {16, 16, "D 4"});
    free_trial(trial);
    /* Many are told, but not without end. */
    char text[1024] = "[passage]\nbars = 1-40\nnotes = ";
    for (int bar = 0; bar < 40; bar++)
        strcat(text, "C9 | ");
    strcat(text, "\n");
    trial = new_trial();
    try_lines(trial, text, NULL, false);
    assert_int_equal(trial->faults.faults, 9);
    assert_non_null(strstr(trial->faults.fault[7], "bar 8 has 9/8 of notes"));
    assert_non_null(strstr(trial->faults.fault[8], "32 more bars do not add up"));
    free_trial(trial);
}

static void what_is_wrong_with_notes_is_told(void **state)
{
    struct trial *trial = new_trial();
    (void)state;
    try_lines(trial, "[passage]\nnotes = C8 | ? |\n", NULL, false);
    assert_fault_says(trial, "march.passo, line 2: notes = C8 | ? |: ", "bar 2", "column ");
    trial_end(trial);
    try_lines(trial, "[passage]\nnotes = C8 |\nnotes-from = x.abc\n", NULL, false);
    assert_fault(trial, "march.passo, line 3: notes-from = x.abc: the notes are said already (line "
                        "2); one of the two would do");
    trial_end(trial);
    try_lines(trial, "[passage]\nnotes-from = nowhere.mid\n[pitch]\nhear = every pass\n", NULL,
              false);
    assert_fault_says(trial, "march.passo, line 2: notes-from = nowhere.mid: ", "", "no such file");
    trial_end(trial);
    try_lines(trial, "[passage]\nnotes-from = .\n", NULL, false);
    assert_fault_says(trial, "march.passo, line 2: notes-from = .: ", "", "folder");
    trial_end(trial);
    try_lines(trial, "[passage]\nnotes-from = /dev/zero\n", NULL, false);
    assert_fault_says(trial, "march.passo, line 2: notes-from = /dev/zero: ", "", "device");
    trial_end(trial);
    try_lines(trial, "[passage]\nbars = 5-6\nnotes = C8 |\n", NULL, false);
    assert_fault_says(trial, "march.passo, line 3: notes = C8 |: ", "", "bar 6");
    trial_end(trial);
    try_lines(trial, "[passage]\nbars = 5-6\nnotes = z8 | z8 |\n", NULL, false);
    assert_fault_says(trial, "march.passo, line 3: notes = z8 | z8 |: ", "", "no note");
    trial_end(trial);
    try_lines(trial, "[passage]\nmeter = 3/4\nbars = 5-6\nnotes = [M:4/4] C8 | C8 |\n", NULL,
              false);
    assert_fault_says(trial, "march.passo, line 4: ", "4/4", "3/4");
    trial_end(trial);
    try_lines(trial, "[passage]\nnotes-bar = 5\n", NULL, false);
    assert_fault_says(trial, "march.passo, line 2: notes-bar = 5: ", "there are no notes",
                      "say them");
    trial_end(trial);
    try_lines(trial, "[passage]\nnotes = C8 |\nnotes-bar = bar five\n", NULL, false);
    assert_fault_says(trial, "march.passo, line 3: notes-bar = bar five: ", "", "33");
    trial_end(trial);
    try_lines(trial, "[passage]\nnotes = C8 |\nnotes-part = 1\n", NULL, false);
    assert_fault_says(trial, "march.passo, line 3: notes-part = 1: ", "", "notes-from = FILE");
    trial_end(trial);
    write_file("march.musicxml", march_xml, strlen(march_xml));
    try_lines(trial, "[passage]\nnotes-from = march.musicxml\nnotes-part = tuba\n", NULL, false);
    assert_fault_says(trial, "march.passo, line 2: ", "Solo Cornet", "Euphonium");
    trial_end(trial);
    /* What only follows from another fault is not told. */
    try_lines(trial, "[passage]\nmeter = 4/3\nnotes = C8 | C8 |\n[pitch]\nhear = every pass\n",
              NULL, false);
    assert_fault_says(trial, "march.passo, line 2: meter = 4/3: ", "", "");
    free_trial(trial);
}

/* Bars and numbers at the ends of what there can be. */
static void far_numbers(void **state)
{
    static const char *const bars[] = {"1000000", "-1000000", "999999"};
    (void)state;
    for (size_t i = 0; i < sizeof bars / sizeof *bars; i++) {
        const char *const options[] = {"notes", "[I:setbarnb 2000000000] C8 | D8 |", "notes-bar",
                                       bars[i], NULL};
        struct trial *trial = new_trial();
        try_lines(trial, NULL, options, false);
        for (size_t j = 0; j < trial->faults.faults; j++)
            assert_null(strstr(trial->faults.fault[j], "do not fit together"));
        free_trial(trial);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(notes_on_a_line),
        cmocka_unit_test(what_is_unsaid_is_the_musics),
        cmocka_unit_test(the_passages_meters_hold_for_a_line),
        cmocka_unit_test(the_context_has_notes_too),
        cmocka_unit_test(a_long_line),
        cmocka_unit_test(notes_from_files),
        cmocka_unit_test(notes_are_taken_in),
        cmocka_unit_test(notes_that_cannot_be_written),
        cmocka_unit_test(notes_go_on_in_the_next_line),
        cmocka_unit_test(faults_of_several_lines_keep_theirs),
        cmocka_unit_test(long_notes_are_written_on_several_lines),
        cmocka_unit_test(bars_that_do_not_add_up_are_named),
        cmocka_unit_test(what_is_wrong_with_notes_is_told),
        cmocka_unit_test(far_numbers),
    };
    return cmocka_run_group_tests(tests, enter_folder, leave_folder);
}
