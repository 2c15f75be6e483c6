/* The sentences of what cannot be read as ABC: the place, what was read and what would do; and the
 * limits within which the reader stays. */
#include "abc_tools.h"

static void names_faults(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        enum passo_error error;
        const char *fault; /* how it begins */
    } bad[] = {
        {"C D E 9", PASSO_ERR_SYNTAX, "bar 1, column 7: \"9\" is no note, rest or bar line;"},
        {"C8|D8|E*F", PASSO_ERR_SYNTAX, "bar 3, column 8: \"*F\" is no note"},
        {"\xC3\xA9", PASSO_ERR_SYNTAX, "bar 1, column 1: \"\xC3\xA9\" is no note"},
        {"\"\xC3\xA9\"?", PASSO_ERR_SYNTAX, "bar 1, column 4: \"?\""},
        {"C\nC8|D?", PASSO_ERR_SYNTAX, "line 2, bar 2, column 5: \"?\""},
        {"\x1b[31m", PASSO_ERR_SYNTAX, "bar 1, column 1: \"?[31m\" is no note"},
        {"^z", PASSO_ERR_SYNTAX, "bar 1, column 1: ^ ^^ _ __ or = stands before a note"},
        {"^^^c", PASSO_ERR_SYNTAX, "bar 1, column 1: ^ ^^ _"},
        {"C''''''", PASSO_ERR_RANGE, "bar 1, column 1: this note is beyond the octaves"},
        {"C0", PASSO_ERR_RANGE, "bar 1, column 2: a length is a whole number or a fraction"},
        {"C/0", PASSO_ERR_RANGE, "bar 1, column 2: a length"},
        {"C99999999999999999999", PASSO_ERR_RANGE, "bar 1, column 2: a length"},
        {"C//////////////////////", PASSO_ERR_RANGE, "bar 1, column 2: a length"},
        {">C", PASSO_ERR_SYNTAX, "bar 1, column 1: one to three > stand between two notes"},
        {"C>>>>D", PASSO_ERR_SYNTAX, "bar 1, column 2: one to three >"},
        {"C>|D", PASSO_ERR_SYNTAX, "bar 1, column 4: > and < stand between two notes of one bar"},
        {"C>", PASSO_ERR_SYNTAX, "bar 1, column 3: > and <"},
        {"C><D", PASSO_ERR_SYNTAX, "bar 1, column 3: one to three <"},
        {"(1C", PASSO_ERR_SYNTAX, "bar 1, column 1: (1 is no tuplet"},
        {"(99C", PASSO_ERR_SYNTAX, "bar 1, column 1: (99 is no tuplet"},
        {"(3:0C", PASSO_ERR_SYNTAX, "bar 1, column 1: (3:0 is no tuplet"},
        {"(3C(3DEF", PASSO_ERR_SYNTAX, "bar 1, column 4: a tuplet within a tuplet"},
        {"-C", PASSO_ERR_SYNTAX, "bar 1, column 1: - ties a note, and none is before it"},
        {"C-z", PASSO_ERR_SYNTAX, "bar 1, column 3: a tie leads to the same note again, not"},
        {"C-D", PASSO_ERR_SYNTAX, "bar 1, column 3: a tie leads to the same note again; a slur"},
        {"[CE", PASSO_ERR_SYNTAX, "bar 1, column 1: a chord is notes between [ and ]"},
        {"[]", PASSO_ERR_SYNTAX, "bar 1, column 1: there is no note between [ and ]"},
        {"{c", PASSO_ERR_SYNTAX, "bar 1, column 1: a { without its }"},
        {"C \"Am", PASSO_ERR_SYNTAX, "bar 1, column 3: a \" without its \""},
        {"C !acc D", PASSO_ERR_SYNTAX, "bar 1, column 3: a ! without its other !"},
        {"[K:C", PASSO_ERR_SYNTAX, "column 1: [K: has no ] in its line"},
        {"[K:Gfoo]C", PASSO_ERR_SYNTAX, "bar 1, column 4: Gfoo is no key; write G"},
        {"[K:C ^x]C", PASSO_ERR_SYNTAX, "bar 1, column 6: ^x is no sign of a key"},
        {"[K:C octave=9]C", PASSO_ERR_RANGE, "bar 1, column 6: octave=9 is not from"},
        {"[K:C transpose=x]C", PASSO_ERR_RANGE, "bar 1, column 6: transpose=x is not from"},
        {"[M:5]C", PASSO_ERR_SYNTAX, "bar 1, column 4: 5 is no meter; write M:4/4"},
        {"[M:4/3]C", PASSO_ERR_SYNTAX, "bar 1, column 4: 4/3 is no meter"},
        {"[L:0]C", PASSO_ERR_SYNTAX, "bar 1, column 4: 0 is no unit length"},
        {"[Q:1/4=9999]C", PASSO_ERR_SYNTAX, "bar 1, column 4: 1/4=9999 is no tempo"},
        {"[I:setbarnb x]C", PASSO_ERR_RANGE, "bar 1, column 4: setbarnb wants"},
        {"[I:propagate-accidentals x]C", PASSO_ERR_SYNTAX,
         "bar 1, column 26: propagate-accidentals x is not"},
        {"Z0", PASSO_ERR_RANGE, "bar 1, column 1: Z rests 1 to"},
        {"Z99999", PASSO_ERR_RANGE, "bar 1, column 1: Z rests 1 to"},
        /* What newcomers write, and what would do. */
        {"M:4/4 L:1/8 K:C C4", PASSO_ERR_SYNTAX,
         "column 3: 4/4 L:1/8 K:C C4 is no meter; a field inside a line of music stands in "
         "brackets: [M:4/4]"},
        {"L:1/8 C4", PASSO_ERR_SYNTAX,
         "column 3: 1/8 C4 is no unit length; a field inside a line of music stands in brackets"},
        {"K:C C4 D4", PASSO_ERR_SYNTAX,
         "there is no music in it; a field inside a line of music stands in brackets"},
        {"C4 M:3/4 D4", PASSO_ERR_SYNTAX,
         "bar 1, column 5: \":3/4 D4\" is no note, rest or bar line; a field inside a line of "
         "music stands in brackets"},
        {"Bb4 F#4", PASSO_ERR_SYNTAX,
         "bar 1, column 6: \"#4\" is no note, rest or bar line; flats and sharps stand before the "
         "letter: _B, ^F"},
        {"E\xE2\x99\xAD", PASSO_ERR_SYNTAX, "flats and sharps stand before the letter"},
        {"F\xE2\x99\xAF", PASSO_ERR_SYNTAX, "flats and sharps stand before the letter"},
        {"", PASSO_ERR_SYNTAX, "there is no music in it; write notes"},
        {"X:1\nT:x\nK:C\n", PASSO_ERR_SYNTAX, "there is no music in it"},
        {"% nothing", PASSO_ERR_SYNTAX, "there is no music in it"},
    };
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        const struct passo_score_ask ask = plain_ask();
        struct passo_score score;
        char fault[FAULT_BYTES] = "";
        assert_int_equal(
            passo_abc_read(bad[i].text, strlen(bad[i].text), &ask, &score, fault, sizeof fault),
            bad[i].error);
        if (!strstr(fault, bad[i].fault))
            fail_msg("%s: %s", bad[i].text, fault);
        assert_int_not_equal(fault[strlen(fault) - 1], '.');
        assert_null(score.note);
        assert_int_equal(score.notes + score.bars + score.parts, 0);
    }
}

static const char three_voices[] = "X:1\nV:1 name=\"Solo Cornet\"\nV:2 nm=\"Flugel\"\n"
                                   "V:T1 name=Tuba\nK:C\nV:1\nG4 |\n";

static void names_the_parts_that_are_there(void **state)
{
    (void)state;
    struct passo_score_ask ask = plain_ask();
    struct passo_score score;
    char fault[FAULT_BYTES] = "";
    ask.part = "horn";
    assert_int_equal(
        passo_abc_read(three_voices, sizeof three_voices - 1, &ask, &score, fault, sizeof fault),
        PASSO_ERR_RANGE);
    assert_string_equal(fault, "there is no part \"horn\"; name one by its number or its name: "
                               "1 \"Solo Cornet\", 2 \"Flugel\", 3 \"Tuba\"");
}

/* Lengths whose sums need ever finer parts end in a sentence, not in an overflow; and so do too
 * many notes, bars and voices. */
static void keeps_its_limits(void **state)
{
    (void)state;
    const struct passo_score_ask ask = plain_ask();
    struct passo_score score;
    char fault[FAULT_BYTES] = "";
    const char *odd = "C/3 C/5 C/7 C/11 C/13 C/17 C/19 C/23";
    assert_int_equal(passo_abc_read(odd, strlen(odd), &ask, &score, fault, sizeof fault),
                     PASSO_ERR_RANGE);
    assert_non_null(strstr(fault, "too finely parted"));
    const size_t bytes = 3 * PASSO_SCORE_NOTES_MAX;
    char *many = passo_xcalloc(bytes, 1);
    memset(many, 'C', bytes);
    assert_int_equal(passo_abc_read(many, PASSO_SCORE_NOTES_MAX, &ask, &score, fault, sizeof fault),
                     PASSO_OK);
    assert_int_equal(score.notes, PASSO_SCORE_NOTES_MAX);
    passo_score_deinit(&score);
    assert_int_equal(
        passo_abc_read(many, PASSO_SCORE_NOTES_MAX + 1, &ask, &score, fault, sizeof fault),
        PASSO_ERR_RANGE);
    for (size_t i = 1; i < bytes; i += 2)
        many[i] = '|';
    assert_int_equal(
        passo_abc_read(many, 2 * PASSO_SCORE_BARS_MAX, &ask, &score, fault, sizeof fault),
        PASSO_OK);
    assert_int_equal(score.bars, PASSO_SCORE_BARS_MAX);
    passo_score_deinit(&score);
    assert_int_equal(
        passo_abc_read(many, 2 * PASSO_SCORE_BARS_MAX + 1, &ask, &score, fault, sizeof fault),
        PASSO_ERR_RANGE);
    size_t used = 0;
    for (int i = 0; i <= PASSO_SCORE_PARTS_MAX; i++)
        used += (size_t)sprintf(many + used, "V:%d\nC\n", i);
    assert_int_equal(passo_abc_read(many, used, &ask, &score, fault, sizeof fault),
                     PASSO_ERR_RANGE);
    free(many);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(names_faults),
        cmocka_unit_test(names_the_parts_that_are_there),
        cmocka_unit_test(keeps_its_limits),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
