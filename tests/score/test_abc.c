/* ABC, construct by construct: what is read of it, by the standard's own rules (ABC 2.1, from
 * memory). What cannot be read is in test_abc_faults.c; whole tunes are compared with abc2midi in
 * test_abc_tunes.c. */
#include "abc_tools.h"

static void expect_notes(const char *text, const char *notes)
{
    struct passo_score score;
    char all[ALL_BYTES];
    read_good(text, &score);
    assert_string_equal(notes_text(score.note, score.notes, all), notes);
    passo_score_deinit(&score);
}

static void expect_bars(const char *text, const char *bars)
{
    struct passo_score score;
    char all[ALL_BYTES];
    read_good(text, &score);
    assert_string_equal(bars_text(&score, all), bars);
    passo_score_deinit(&score);
}

static void reads_pitches(void **state)
{
    (void)state;
    expect_notes("C c c' C,", "60@0+1/8 72@1/8+1/8 84@1/4+1/8 48@3/8+1/8");
    expect_notes("C' c,, B,,,", "72@0+1/8 48@1/8+1/8 35@1/4+1/8");
    expect_notes("^C _D =E ^^F __G", "61@0+1/8 61@1/8+1/8 64@1/4+1/8 67@3/8+1/8 65@1/2+1/8");
    /* An accidental holds to the bar's end in all octaves, and not behind its line. */
    expect_notes("^C2 c2 C,2 =C2 | C", "61@0+1/4 73@1/4+1/4 49@1/2+1/4 60@3/4+1/4 60@1+1/8");
    expect_notes("[I:propagate-accidentals octave] ^C c C", "61@0+1/8 72@1/8+1/8 61@1/4+1/8");
    expect_notes("[I:propagate-accidentals not] ^C c C", "61@0+1/8 72@1/8+1/8 60@1/4+1/8");
    /* Tied over the line it goes on; what comes then is as the key says. */
    expect_notes("z6 ^F2- | F2 F2", "66@3/4+1/2 65@5/4+1/4");
    expect_notes("z6 ^F2- | F2- F F", "66@3/4+5/8 65@11/8+1/8");
}

static void reads_lengths(void **state)
{
    (void)state;
    expect_notes("A2 A/2 A/ A// A3/2 A/4 A7", "69@0+1/4 69@1/4+1/16 69@5/16+1/16 69@3/8+1/32 "
                                              "69@13/32+3/16 69@19/32+1/32 69@5/8+7/8");
    expect_notes("[L:1/4] A [L:1/16] A [L:1] A", "69@0+1/4 69@1/4+1/16 69@5/16+1");
    /* No L:, by the meter: sixteenths under three quarters. */
    expect_notes("[M:2/4] A", "69@0+1/16");
    expect_notes("[M:3/4] A", "69@0+1/8");
    expect_notes("[M:6/8] A", "69@0+1/8");
    expect_notes("X:1\nM:2/4\nK:C\nM:4/4\nA", "69@0+1/16");
    expect_notes("A z A x2 A", "69@0+1/8 69@1/4+1/8 69@5/8+1/8");
    expect_notes("Z2 | A", "69@2+1/8");
    expect_notes("A>B c<d", "69@0+3/16 71@3/16+1/16 72@1/4+1/16 74@5/16+3/16");
    expect_notes("A>>B A>>>B", "69@0+7/32 71@7/32+1/32 69@1/4+15/64 71@31/64+1/64");
    expect_notes("A>z A<z A", "69@0+3/16 69@1/4+1/16 69@1/2+1/8");
    expect_notes("[L:1/4] A2-|A>B", "69@0+7/8 71@7/8+1/8");
}

static void reads_tuplets(void **state)
{
    (void)state;
    expect_notes("(3ABc d", "69@0+1/12 71@1/12+1/12 72@1/6+1/12 74@1/4+1/8");
    expect_notes("(2AB", "69@0+3/16 71@3/16+3/16");
    expect_notes("(4ABcd", "69@0+3/32 71@3/32+3/32 72@3/16+3/32 74@9/32+3/32");
    expect_notes("(3:2:2 A2B c", "69@0+1/6 71@1/6+1/12 72@1/4+1/8");
    expect_notes("(3::2 A2B c", "69@0+1/6 71@1/6+1/12 72@1/4+1/8");
    expect_notes("(3zAz B", "69@1/12+1/12 71@1/4+1/8");
    /* Five in the time of two, or of three in a compound meter. */
    expect_notes("(5ABcde f", "69@0+1/20 71@1/20+1/20 72@1/10+1/20 74@3/20+1/20 76@1/5+1/20 "
                              "77@1/4+1/8");
    expect_notes("[M:6/8](5ABcde f", "69@0+3/40 71@3/40+3/40 72@3/20+3/40 74@9/40+3/40 "
                                     "76@3/10+3/40 77@3/8+1/8");
    expect_notes("[M:3/8][L:1/8](5ABcde f", "69@0+1/20 71@1/20+1/20 72@1/10+1/20 74@3/20+1/20 "
                                            "76@1/5+1/20 77@1/4+1/8");
    expect_notes("(3A>Bc", "69@0+1/8 71@1/8+1/24 72@1/6+1/12");
}

static void reads_marks(void **state)
{
    (void)state;
    expect_notes("(ABc) d", "69@0+1/8s 71@1/8+1/8s 72@1/4+1/8 74@3/8+1/8");
    expect_notes("(A(Bc)d) e", "69@0+1/8s 71@1/8+1/8s 72@1/4+1/8s 74@3/8+1/8 76@1/2+1/8");
    /* Two slurs that meet in one note. */
    expect_notes("(AB(c)d)", "69@0+1/8s 71@1/8+1/8s 72@1/4+1/8s 74@3/8+1/8");
    expect_notes("A)B (c", "69@0+1/8 71@1/8+1/8 72@1/4+1/8s");
    expect_notes("(A-A B)", "69@0+1/4s 71@1/4+1/8");
    expect_notes("(A B-) | B", "69@0+1/8s 71@1/8+1/4");
    expect_notes(".A !tenuto!B !accent!c !>!d L e", "69@0+1/8. 71@1/8+1/8- 72@1/4+1/8> "
                                                    "74@3/8+1/8> 76@1/2+1/8>");
    expect_notes("~A HB Tc +tenuto+d !trill!e", "69@0+1/8 71@1/8+1/8 72@1/4+1/8 74@3/8+1/8- "
                                                "76@1/2+1/8");
    expect_notes("[U:M=!tenuto!] MA B", "69@0+1/8- 71@1/8+1/8");
    expect_notes("A.-A .(Bc)", "69@0+1/4 71@1/4+1/8s 72@3/8+1/8");
}

static void leaves_out_what_is_not_the_line(void **state)
{
    (void)state;
    struct passo_score score;
    char all[ALL_BYTES];
    expect_notes("\"Am\"A{cd}B \"^words\"c", "69@0+1/8 71@1/8+1/8 72@1/4+1/8");
    expect_notes("A `B y3 c % d e f", "69@0+1/8 71@1/8+1/8 72@1/4+1/8");
    expect_notes("A \\\nB\nw: la la\nN:b\nc", "69@0+1/8 71@1/8+1/8 72@1/4+1/8");
    expect_notes("[r:remark]A [N:n]B", "69@0+1/8 71@1/8+1/8");
    read_good("[CEG]2 [C2E2]/ & cde | [G,A,]", &score);
    assert_string_equal(notes_text(score.note, score.notes, all), "67@0+1/4 64@1/4+1/8 57@3/8+1/8");
    assert_int_equal(score.left_out, 2 + 1 + 3 + 1);
    passo_score_deinit(&score);
    /* A chord's tie is its highest note's; what else is tied is not the line. */
    expect_notes("[C-E-][CE] [CE]-[CE]", "64@0+1/4 64@1/4+1/4");
    expect_notes("[C-E][CE]", "64@0+1/8 64@1/8+1/8");
    expect_notes("[CE]-[CG] [CE]-z", "64@0+1/8 67@1/8+1/8 64@1/4+1/8");
}

static void reads_keys(void **state)
{
    (void)state;
    static const struct {
        const char *key;
        int tonic;
        int mode;
        const char *notes; /* C D E F G A B */
    } good[] = {
        {"C", 0, PASSO_MODE_MAJOR, "60 62 64 65 67 69 71"},
        {"G", 1, PASSO_MODE_MAJOR, "60 62 64 66 67 69 71"},
        {"Bb", -2, PASSO_MODE_MAJOR, "60 62 63 65 67 69 70"},
        {"C#", 7, PASSO_MODE_MAJOR, "61 63 65 66 68 70 72"},
        {"Cb", -7, PASSO_MODE_MAJOR, "59 61 63 64 66 68 70"},
        {"Am", 3, PASSO_MODE_MINOR, "60 62 64 65 67 69 71"},
        {"F# minor", 6, PASSO_MODE_MINOR, "61 62 64 66 68 69 71"},
        {"D dor", 0, PASSO_MODE_MAJOR, "60 62 64 65 67 69 71"},
        {"EPhrygian", 0, PASSO_MODE_MAJOR, "60 62 64 65 67 69 71"},
        {"F lyd", 0, PASSO_MODE_MAJOR, "60 62 64 65 67 69 71"},
        {"Gmix", 0, PASSO_MODE_MAJOR, "60 62 64 65 67 69 71"},
        {"B loc", 0, PASSO_MODE_MAJOR, "60 62 64 65 67 69 71"},
        {"A aeolian", 3, PASSO_MODE_MINOR, "60 62 64 65 67 69 71"},
        {"C ionian", 0, PASSO_MODE_MAJOR, "60 62 64 65 67 69 71"},
        {"D =c ^g", 2, PASSO_MODE_MAJOR, "60 62 64 66 68 69 71"},
        {"C exp _b ^f", 0, PASSO_MODE_MAJOR, "60 62 64 66 67 69 70"},
        {"none", 0, PASSO_MODE_MAJOR, "60 62 64 65 67 69 71"},
        {"Hp", 2, PASSO_MODE_MAJOR, "61 62 64 66 67 69 71"},
        {"HP", 0, PASSO_MODE_MAJOR, "60 62 64 65 67 69 71"},
    };
    for (size_t i = 0; i < sizeof good / sizeof *good; i++) {
        struct passo_score score;
        char text[64];
        char all[ALL_BYTES] = "";
        size_t used = 0;
        snprintf(text, sizeof text, "[K:%s]CDEFGAB", good[i].key);
        read_good(text, &score);
        for (size_t n = 0; n < score.notes; n++)
            used = add_text(all, used, "%s%d", n ? " " : "", passo_pitch_midi(score.note[n].pitch));
        assert_string_equal(all, good[i].notes);
        assert_int_equal(score.bar[0].key.mode, good[i].mode);
        assert_int_equal(score.bar[0].key.tonic, good[i].tonic);
        assert_int_equal(score.keyed, strcmp(good[i].key, "none") && strcmp(good[i].key, "HP"));
        passo_score_deinit(&score);
    }
}

/* Where nothing stands, the asker's key and meter hold. */
static void asks_for_key_and_meter(void **state)
{
    (void)state;
    struct passo_score_ask ask = {.meter = meter_of(2, 4), .key = {-3, PASSO_MODE_MAJOR}};
    struct passo_score score;
    char fault[FAULT_BYTES];
    char all[ALL_BYTES];
    assert_int_equal(passo_abc_read("E4 B4|", 6, &ask, &score, fault, sizeof fault), PASSO_OK);
    assert_string_equal(notes_text(score.note, score.notes, all), "63@0+1/4 70@1/4+1/4");
    assert_int_equal(score.bar[0].key.tonic, -3);
    assert_int_equal(score.bar[0].meter.count, 2);
    assert_false(score.keyed || score.transposes || score.sounding);
    passo_score_deinit(&score);
}

static void reads_clefs(void **state)
{
    (void)state;
    static const struct {
        const char *words;
        bool transposes;
        int transposition;
        int midi;
    } good[] = {
        {"C clef=bass", false, 0, 60},
        {"C bass", false, 0, 60},
        {"C transpose=-9", true, -9, 60},
        {"C clef=treble-8", true, -12, 60},
        {"C treble-8 transpose=-2", true, -14, 60},
        {"C clef=treble+8 octave=-1", true, 12, 48},
        {"octave=2", false, 0, 84},
        {"C clef=alto middle=C stafflines=5", false, 0, 60},
    };
    for (size_t i = 0; i < sizeof good / sizeof *good; i++) {
        struct passo_score score;
        char text[64];
        snprintf(text, sizeof text, "X:1\nK:%s\nC", good[i].words);
        read_good(text, &score);
        assert_int_equal(score.transposes, good[i].transposes);
        assert_int_equal(score.transposition, good[i].transposition);
        assert_int_equal(passo_pitch_midi(score.note[0].pitch), good[i].midi);
        passo_score_deinit(&score);
    }
}

static void numbers_bars(void **state)
{
    (void)state;
    expect_bars("C8|D8|E8", "1:1 2:1 3:1");
    expect_bars("C2|D8|E6", "0p:1/4 1:1 2:3/4");
    expect_bars("C2", "1:1/4");
    expect_bars("|: C8 :|: D8 || [| E8 |] .| F8 ::", "1:1 2:1 3:1 4:1");
    expect_bars("C8 |1 D8 :|2 E8 |]", "1:1 2:1 3:1");
    expect_bars("C8 | [1 D8 :|] [2 E8 [\"last\" F8", "1:1 2:1 3:1 4:1");
    /* Two shares of a bar at a repeat or a double line, not at a plain one. */
    expect_bars("C8|D6:|D2|E8", "1:1 2:3/4 2:1/4 3:1");
    expect_bars("C8|D6:| |D2|E8", "1:1 2:3/4 2:1/4 3:1");
    expect_bars("C8|D6||D2|E8", "1:1 2:3/4 2:1/4 3:1");
    expect_bars("C8|D6|D2|E8", "1:1 2:3/4 3:1/4 4:1");
    expect_bars("Z3|C8|", "1:1 2:1 3:1 4:1");
    expect_bars("%%setbarnb 33\nC2|D8|E8", "32p:1/4 33:1 34:1");
    expect_bars("[I:setbarnb 5]D8|E8", "5:1 6:1");
    expect_bars("C8|[M:3/4]D6|[M:C|]E8|[M:C]F8|[M:2+2+3/8]G7", "1:1 2:3/4 3:1 4:1 5:7/8");
}

static void reads_meters_and_tempi(void **state)
{
    (void)state;
    struct passo_score score;
    read_good("X:1\nT:A Title\nT:another\nM:(2+2+3)/8\nL:1/8\nQ:\"Quick\" 1/8=200\nK:C\n"
              "C7|[Q:1/4 1/8=60.25]D7|[Q:120]E7|[Q:C=90]F7|[Q:\"words\"]G7|\n",
              &score);
    assert_string_equal(score.title, "A Title");
    assert_int_equal(score.bar[0].meter.groups, 3);
    assert_int_equal(score.bar[0].meter.group[2], 3);
    static const struct passo_score_tempo tempi[] = {
        {{0, 1}, 200000, {1, 8}},
        {{7, 8}, 60250, {3, 8}},
        {{7, 4}, 120000, {1, 8}},
        {{21, 8}, 90000, {1, 8}},
    };
    assert_int_equal(score.tempi, 4);
    for (size_t i = 0; i < score.tempi; i++) {
        assert_int_equal(passo_ratio_cmp(score.tempo[i].at, tempi[i].at), 0);
        assert_int_equal(passo_ratio_cmp(score.tempo[i].beat, tempi[i].beat), 0);
        assert_int_equal(score.tempo[i].mbpm, tempi[i].mbpm);
    }
    passo_score_deinit(&score);
}

static const char two_voices[] = "X:1\nM:4/4\nL:1/4\nV:1 name=\"Solo Cornet\"\nV:2 nm=\"Flugel\"\n"
                                 "V:T1 name=Tuba\nK:C\n[V:1] z4 | [V:2] CDEF |\n"
                                 "V:1\nG4 | [V:T1]C,4 | D,4 | [V:1] [ce]4 |\n";

static void takes_one_voice(void **state)
{
    (void)state;
    static const struct {
        const char *part;
        const char *name;
        const char *notes;
        size_t left_out;
    } good[] = {
        {"", "Solo Cornet", "67@1+1 76@2+1", 7},
        {"1", "Solo Cornet", "67@1+1 76@2+1", 7},
        {"cornet", "Solo Cornet", "67@1+1 76@2+1", 7},
        {"2", "Flugel", "60@0+1/4 62@1/4+1/4 64@1/2+1/4 65@3/4+1/4", 5},
        {"FLUGEL", "Flugel", "60@0+1/4 62@1/4+1/4 64@1/2+1/4 65@3/4+1/4", 5},
        {"tub", "Tuba", "48@0+1 50@1+1", 7},
    };
    for (size_t i = 0; i < sizeof good / sizeof *good; i++) {
        struct passo_score_ask ask = plain_ask();
        struct passo_score score;
        char fault[FAULT_BYTES] = "";
        char all[ALL_BYTES];
        ask.part = good[i].part;
        assert_int_equal(
            passo_abc_read(two_voices, sizeof two_voices - 1, &ask, &score, fault, sizeof fault),
            PASSO_OK);
        assert_string_equal(score.part, good[i].name);
        assert_string_equal(notes_text(score.note, score.notes, all), good[i].notes);
        assert_int_equal(score.left_out, good[i].left_out);
        assert_int_equal(score.parts, 3);
        assert_string_equal(score.part_name[2], "Tuba");
        passo_score_deinit(&score);
    }
}

/* The first voice with notes is taken where none is named, not one that rests. */
static void takes_the_first_voice_with_notes(void **state)
{
    (void)state;
    struct passo_score score;
    read_good("X:1\nL:1/4\nK:C\nV:A\nz4|\nV:B\nc4|\nV:C\ne4|\n", &score);
    assert_string_equal(score.part, "B");
    assert_int_equal(score.left_out, 1);
    passo_score_deinit(&score);
}

static void reads_the_first_tune(void **state)
{
    (void)state;
    expect_notes("M:3/4\nL:1/2\n\nSome words of an editor.\n\nX:7\nT:a\nK:G\nF|\n\nX:8\nK:C\nc|\n",
                 "66@0+1/2");
    expect_notes("\xEF\xBB\xBFX:1\r\nK:C\r\nC|\r\n", "60@0+1/8");
    expect_notes("X:1\rK:C\rC|\r", "60@0+1/8");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reads_pitches),
        cmocka_unit_test(reads_lengths),
        cmocka_unit_test(reads_tuplets),
        cmocka_unit_test(reads_marks),
        cmocka_unit_test(leaves_out_what_is_not_the_line),
        cmocka_unit_test(reads_keys),
        cmocka_unit_test(asks_for_key_and_meter),
        cmocka_unit_test(reads_clefs),
        cmocka_unit_test(numbers_bars),
        cmocka_unit_test(reads_meters_and_tempi),
        cmocka_unit_test(takes_one_voice),
        cmocka_unit_test(takes_the_first_voice_with_notes),
        cmocka_unit_test(reads_the_first_tune),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
