/* What the readers share: ties joined, places that cannot overflow, parts by name, safe text. */
#include "abc_tools.h"

#include "score/score_priv.h"

static char fault[FAULT_BYTES];

static void begin(struct score_builder *builder, struct passo_score *score)
{
    score_begin(builder, score, fault, sizeof fault);
}

static struct passo_note note_of(struct passo_ratio at, int midi, unsigned marks)
{
    const struct passo_key key = {0, PASSO_MODE_MAJOR};
    return (struct passo_note){.at = at,
                               .length = {1, 4},
                               .pitch = passo_pitch_of_midi(midi, key),
                               .marks = (uint8_t)marks};
}

static void joins_ties(void **state)
{
    (void)state;
    struct score_builder builder;
    struct passo_score score;
    char all[ALL_BYTES];
    begin(&builder, &score);
    const struct passo_note notes[] = {
        note_of(passo_ratio(0, 1), 60, PASSO_NOTE_SLUR | PASSO_NOTE_ACCENT),
        note_of(passo_ratio(1, 4), 60, PASSO_NOTE_TENUTO), /* joins: the slur ends with it */
        note_of(passo_ratio(1, 2), 62, 0),                 /* another pitch */
        note_of(passo_ratio(1, 1), 62, 0),                 /* behind a rest */
        note_of(passo_ratio(5, 4), 62, PASSO_NOTE_SLUR),   /* joins, and begins a slur */
    };
    for (size_t i = 0; i < sizeof notes / sizeof *notes; i++)
        assert_true(score_add_note(&builder, &notes[i], true));
    assert_string_equal(notes_text(score.note, score.notes, all),
                        "60@0+1/2-> 62@1/2+1/4 62@1+1/2s");
    assert_int_equal(score_end(&builder), PASSO_OK);
    passo_score_deinit(&score);
}

static void bounds_places(void **state)
{
    (void)state;
    struct passo_ratio sum;
    const struct passo_ratio most = {SCORE_WHOLE_MAX - 1, 1};
    const struct passo_ratio finest = {1, SCORE_TERM_MAX};
    const struct passo_ratio odd = {1, SCORE_TERM_MAX - 1};
    assert_true(score_sum(most, finest, &sum));
    assert_false(score_sum(sum, passo_ratio(1, 1), &sum));
    assert_false(score_sum(finest, odd, &sum));
    assert_true(score_sum(odd, odd, &sum));
    assert_true(score_is_exact(passo_ratio(-SCORE_WHOLE_MAX, 1)));
    assert_false(score_is_exact(passo_ratio(-SCORE_WHOLE_MAX - 1, 1)));
}

/* The first fault stays, what comes after it is let be, and nothing is left. */
static void keeps_the_first_fault(void **state)
{
    (void)state;
    struct score_builder builder;
    struct passo_score score;
    const struct passo_note note = note_of(passo_ratio(0, 1), 60, 0);
    begin(&builder, &score);
    assert_true(score_add_note(&builder, &note, false));
    assert_false(score_fault(&builder, PASSO_ERR_RANGE, "number %d", 1));
    assert_false(score_fault(&builder, PASSO_ERR_SYNTAX, "number %d", 2));
    assert_false(score_add_note(&builder, &note, false));
    assert_false(score_add_part(&builder, "a", 1));
    assert_int_equal(score_end(&builder), PASSO_ERR_RANGE);
    assert_string_equal(fault, "number 1");
    assert_null(score.note);
}

static void chooses_parts(void **state)
{
    (void)state;
    static const char *const names[] = {"Horn in F", "2nd Cornet", "Cornet", ""};
    static const struct {
        const char *asked;
        size_t part; /* from 1; 0 a fault */
    } cases[] = {
        {"", 2},       {NULL, 2},
        {"1", 1},      {"4", 4},
        {"cornet", 3}, {"2ND", 2},
        {"in f", 1},   {"5", 0},
        {"0", 0},      {"tuba", 0},
        {"00003", 3},  {"cornets", 0},
        {"\x1b", 0},   {"99999999999999999999", 0},
    };
    const size_t notes[] = {0, 7, 0, 9};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct score_builder builder;
        struct passo_score score;
        size_t part = 0;
        begin(&builder, &score);
        for (size_t n = 0; n < sizeof names / sizeof *names; n++)
            assert_true(score_add_part(&builder, names[n], strlen(names[n])));
        assert_int_equal(score_choose_part(&builder, cases[i].asked, notes, &part),
                         cases[i].part > 0);
        if (cases[i].part) {
            assert_int_equal(part + 1, cases[i].part);
            assert_string_equal(score.part, names[part]);
        } else {
            assert_null(strchr(fault, '\x1b'));
        }
        assert_int_equal(score_end(&builder), cases[i].part ? PASSO_OK : PASSO_ERR_RANGE);
        passo_score_deinit(&score);
    }
}

/* Long names are cut at a character's edge, so that the sentence ends as it should. */
static void shortens_names(void **state)
{
    (void)state;
    char flats[3 * PASSO_TEXT_MAX + 1] = "a";
    struct score_builder builder;
    struct passo_score score;
    size_t part = 0;
    for (int i = 0; i < 60; i++)
        strcat(flats, "\xE2\x99\xAD");
    begin(&builder, &score);
    for (int i = 0; i < 9; i++)
        assert_true(score_add_part(&builder, flats, strlen(flats)));
    assert_false(score_choose_part(&builder, "b", (const size_t[9]){0}, &part));
    assert_int_equal(score_end(&builder), PASSO_ERR_RANGE);
    assert_in_range(strlen(fault), 300, FAULT_BYTES - 1);
    assert_string_equal(fault + strlen(fault) - 7, "\" ... 9");
    /* Its first name: an a and twelve flats. */
    flats[1 + 3 * 12] = '\0';
    assert_non_null(strstr(fault, flats));
    assert_null(strstr(fault, strcat(flats, "\xE2\x99\xAD")));
}

static void makes_text_safe(void **state)
{
    (void)state;
    static const struct {
        const char *bytes;
        const char *safe;
    } cases[] = {
        {"  Solo Cornet \r\n", "Solo Cornet"},
        {"a\x1b[31mb", "a?[31mb"},
        {"a\tb\nc", "a b?c"},
        {"caf\xC3\xA9", "caf\xC3\xA9"},
        {"caf\xE9", "caf?"},
        {"\xE2\x80\xAE"
         "abc",
         "?abc"},                          /* from right to left */
        {"\xC0\x80\xED\xA0\x80", "?????"}, /* too long a 0, half a pair */
        {"\xF0\x9D\x84\x9E", "\xF0\x9D\x84\x9E"},
        {"\xF0\x9D\x84", "???"},
    };
    char out[PASSO_TEXT_MAX];
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        assert_string_equal(score_text(cases[i].bytes, strlen(cases[i].bytes), out), cases[i].safe);
    /* Cut at a character's edge. */
    char many[3 * PASSO_TEXT_MAX + 1] = "";
    for (int i = 0; i < PASSO_TEXT_MAX; i++)
        strcat(many, "\xE2\x99\xAD");
    assert_int_equal(strlen(score_text(many, strlen(many), out)), 126);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(joins_ties),
        cmocka_unit_test(bounds_places),
        cmocka_unit_test(keeps_the_first_fault),
        cmocka_unit_test(chooses_parts),
        cmocka_unit_test(shortens_names),
        cmocka_unit_test(makes_text_safe),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
